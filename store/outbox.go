package store

import (
	"fmt"

	"pegcard/prescribe"
)

// Out is a message to be sent: references, never text or scores.
type Out struct {
	ID                 int64
	Kind               string
	Recipient          int64 // person; 0: only a chat
	Chat               int64 // 0: the person's chat when it is claimed
	Ref                int64
	Rev                int
	Args               string // a short key, such as a question's kind
	Priority           int    // 0 urgent … 9
	NotBefore, Expires prescribe.Instant
	Dedup              string // unique when set
	Edit               bool   // edit MessageID instead of sending
	MessageID          int
	Attempts           int
	Parts              int  // of a long message, how many have arrived
	Repeat             bool // it may have been sent before a crash
}

// blankArgs takes the code out of an invitation that is settled: what is kept of
// a code is its hash.
const blankArgs = `args = CASE WHEN kind = 'invite' THEN '' ELSE args END`

const selectOut = `
SELECT o.id, o.kind, COALESCE(o.recipient, 0), o.chat, o.ref, o.rev, o.args, o.priority, o.not_before, o.expires_at,
  COALESCE(o.dedup, ''), o.edit, o.message_id, o.attempts, o.parts, o.repeated > 0 FROM outbox o `

func scanOut(r scanner) (o Out, err error) {
	err = r.Scan(&o.ID, &o.Kind, &o.Recipient, &o.Chat, &o.Ref, &o.Rev, &o.Args, &o.Priority, &o.NotBefore, &o.Expires,
		&o.Dedup, &o.Edit, &o.MessageID, &o.Attempts, &o.Parts, &o.Repeat)
	return o, err
}

// Enqueue puts a message into the outbox. When one with the same Dedup was ever
// put there, that one's id is returned and fresh is false.
func (tx *Tx) Enqueue(o Out) (id int64, fresh bool, err error) {
	defer wrap(&err, "enqueue %q", o.Kind)
	if o.Recipient == 0 && o.Chat == 0 {
		return 0, false, fmt.Errorf("neither a recipient nor a chat")
	}
	var dedup any
	if o.Dedup != "" {
		dedup = o.Dedup
		ids, err := all(tx, one[int64], `SELECT id FROM outbox WHERE dedup = ?`, o.Dedup)
		if err != nil {
			return 0, false, err
		}
		if len(ids) > 0 {
			return ids[0], false, nil
		}
	}
	id, err = tx.insert(`INSERT INTO outbox (kind, recipient, chat, ref, rev, args, priority, not_before, expires_at, dedup, edit, message_id)
VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`, o.Kind, none(o.Recipient), o.Chat, o.Ref, o.Rev, o.Args, o.Priority,
		o.NotBefore, o.Expires, dedup, o.Edit, o.MessageID)
	return id, err == nil, err
}

// ClaimOut marks up to limit messages claimed and returns them, most urgent
// first, then oldest. It gives at most one a chat, none of a chat in busy and
// none of a chat with a claimed message, so a chat's messages keep their order.
// Messages that expired are buried where they are met, and so are those to
// people who have no chat or cannot be reached.
func (tx *Tx) ClaimOut(now prescribe.Instant, limit int, busy []int64) (out []Out, err error) {
	defer wrap(&err, "claim")
	if limit <= 0 {
		return nil, nil
	}
	taken := map[int64]bool{}
	for _, c := range busy {
		taken[c] = true
	}
	claimed, err := all(tx, one[int64], `SELECT COALESCE(NULLIF(o.chat, 0), p.chat, 0) FROM outbox o
LEFT JOIN person p ON p.id = o.recipient WHERE o.state = 'claimed'`)
	if err != nil {
		return nil, err
	}
	for _, c := range claimed {
		taken[c] = true
	}
	// In the order of the index, and no further than needed: there may be many.
	type row struct {
		id, chat int64
		late     bool
	}
	var bury, take []row
	err = each(tx, func(r scanner) (w row, err error) {
		err = r.Scan(&w.id, &w.chat, &w.late)
		return w, err
	}, func(w row) bool {
		switch {
		case w.late || w.chat == 0:
			bury = append(bury, w)
		case !taken[w.chat]:
			taken[w.chat] = true
			take = append(take, w)
		}
		return len(take) < limit
	}, `SELECT o.id, COALESCE(NULLIF(o.chat, 0), CASE WHEN p.reachable THEN p.chat END, 0), o.expires_at > 0 AND o.expires_at <= ?1
FROM outbox o LEFT JOIN person p ON p.id = o.recipient WHERE o.state = 'pending' AND o.not_before <= ?1
ORDER BY o.priority, o.not_before, o.id`, now)
	if err != nil {
		return nil, err
	}
	for _, w := range bury {
		reason := "no chat"
		if w.late {
			reason = "expired"
		}
		if err := tx.exec(`UPDATE outbox SET state = 'buried', reason = ?, `+blankArgs+`, settled_at = ? WHERE id = ?`, reason, now, w.id); err != nil {
			return nil, err
		}
	}
	for _, w := range take {
		if err := tx.exec(`UPDATE outbox SET state = 'claimed', attempts = attempts + 1 WHERE id = ?`, w.id); err != nil {
			return nil, err
		}
		o, err := scanOut(tx.row(selectOut+`WHERE o.id = ?`, w.id))
		if err != nil {
			return nil, err
		}
		o.Chat = w.chat
		out = append(out, o)
	}
	if len(out) > 0 {
		tx.points = append(tx.points, "out.claimed")
	}
	return out, nil
}

// OutSent notes that the message stands in the chat under messageID.
func (tx *Tx) OutSent(id, chat int64, messageID int, now prescribe.Instant) (err error) {
	defer wrap(&err, "sent message %d", id)
	if err := tx.touched(`UPDATE outbox SET state = 'sent', `+blankArgs+`, chat = ?, message_id = ?, settled_at = ? WHERE id = ? AND state <> 'sent'`,
		chat, messageID, now, id); err != nil {
		return err
	}
	if err := tx.exec(`INSERT INTO message (recipient, kind, ref, chat, message_id, at) SELECT recipient, kind, ref, chat, message_id, ? FROM outbox WHERE id = ?`,
		now, id); err != nil {
		return err
	}
	tx.points = append(tx.points, "out.sent")
	return nil
}

// OutPart notes that the first n parts of a long message stand in the chat: they
// are not sent again.
func (tx *Tx) OutPart(id int64, n int) (err error) {
	defer wrap(&err, "parts of message %d", id)
	return tx.touched(`UPDATE outbox SET parts = ? WHERE id = ? AND state = 'claimed'`, n, id)
}

// OutRetry puts the message back, to be sent again at at.
func (tx *Tx) OutRetry(id int64, at prescribe.Instant, reason string) (err error) {
	defer wrap(&err, "retry message %d", id)
	return tx.touched(`UPDATE outbox SET state = 'pending', not_before = ?, reason = ? WHERE id = ? AND state = 'claimed'`, at, reason, id)
}

// OutBury gives the message up.
func (tx *Tx) OutBury(id int64, reason string) (err error) {
	defer wrap(&err, "bury message %d", id)
	return tx.touched(`UPDATE outbox SET state = 'buried', `+blankArgs+`, reason = ?, settled_at = MAX(not_before, 1) WHERE id = ? AND state <> 'sent'`, reason, id)
}

// OutWaiting are the messages of that kind that wait to be sent to the person,
// by id.
func (tx *Tx) OutWaiting(recipient int64, kind string) (os []Out, err error) {
	defer wrap(&err, "messages %q that wait", kind)
	return all(tx, scanOut, selectOut+`WHERE o.recipient = ? AND o.kind = ? AND o.state = 'pending' ORDER BY o.id`, recipient, kind)
}

// OutPending is how many messages could be sent now.
func (tx *Tx) OutPending(now prescribe.Instant) (n int, err error) {
	defer wrap(&err, "pending messages")
	err = tx.row(`SELECT COUNT(*) FROM outbox WHERE state = 'pending' AND not_before <= ?1 AND (expires_at = 0 OR expires_at > ?1)`, now).Scan(&n)
	return n, err
}

// OutWaits reports whether any message could be sent now.
func (tx *Tx) OutWaits(now prescribe.Instant) (yes bool, err error) {
	defer wrap(&err, "pending messages")
	err = tx.row(`SELECT EXISTS (SELECT 1 FROM outbox WHERE state = 'pending' AND not_before <= ?1 AND (expires_at = 0 OR expires_at > ?1))`, now).Scan(&yes)
	return yes, err
}

// NextOut is when the next message may be sent; ok is false when none waits.
func (tx *Tx) NextOut() (at prescribe.Instant, ok bool, err error) {
	defer wrap(&err, "next message")
	var n int
	err = tx.row(`SELECT COUNT(*), COALESCE(MIN(not_before), 0) FROM outbox WHERE state = 'pending'`).Scan(&n, &at)
	return at, n > 0, err
}

// OutClaimed are the ids of the messages that somebody claimed and has not
// settled, in order.
func (tx *Tx) OutClaimed() (ids []int64, err error) {
	defer wrap(&err, "claimed messages")
	return all(tx, one[int64], `SELECT id FROM outbox WHERE state = 'claimed' ORDER BY id`)
}

// reclaimsMax bounds how often a message whose outcome is not known is sent
// again: one that ends the process each time must not do so for ever.
const reclaimsMax = 3

// Reclaim puts claimed messages back that nobody is sending any more: at the
// start all, later those of ids. Whether they were sent is not known: Repeat says
// so, the one case in which a message can arrive twice. One that was put back 3
// times before is buried.
func (tx *Tx) Reclaim(now prescribe.Instant, ids ...int64) (n int, err error) {
	defer wrap(&err, "reclaim")
	if len(ids) == 0 {
		if ids, err = tx.OutClaimed(); err != nil {
			return 0, err
		}
	}
	for _, id := range ids {
		if err := tx.exec(`UPDATE outbox SET state = 'buried', reason = 'outcome unknown too often', `+blankArgs+`, settled_at = ?1
WHERE id = ?2 AND state = 'claimed' AND repeated >= ?3`, now, id, reclaimsMax); err != nil {
			return n, err
		}
		k, err := tx.changed(`UPDATE outbox SET state = 'pending', repeated = repeated + 1, not_before = MIN(not_before, ?1)
WHERE id = ?2 AND state = 'claimed'`, now, id)
		if err != nil {
			return n, err
		}
		n += k
	}
	return n, nil
}

// MessageOf is where the last message of that kind about ref stands.
func (tx *Tx) MessageOf(kind string, ref int64) (chat int64, messageID int, err error) {
	defer wrap(&err, "message %q about %d", kind, ref)
	err = tx.row(`SELECT chat, message_id FROM message WHERE kind = ? AND ref = ? ORDER BY id DESC LIMIT 1`, kind, ref).Scan(&chat, &messageID)
	return chat, messageID, err
}

// Message is a message that stands in a chat.
type Message struct {
	Recipient int64
	Kind      string
	Ref       int64
	Chat      int64
	MessageID int
	At        prescribe.Instant
}

// MessageIn is what the message in the chat showed, for a reply or a tap on it.
func (tx *Tx) MessageIn(chat int64, messageID int) (m Message, err error) {
	defer wrap(&err, "message %d", messageID)
	err = tx.row(`SELECT COALESCE(recipient, 0), kind, ref, chat, message_id, at FROM message WHERE chat = ? AND message_id = ? ORDER BY id DESC LIMIT 1`,
		chat, messageID).Scan(&m.Recipient, &m.Kind, &m.Ref, &m.Chat, &m.MessageID, &m.At)
	return m, err
}

// CopiesOf are the messages of that kind about ref that stand in chats, each
// once however often it was edited: the latest limit of them, by (chat, message).
func (tx *Tx) CopiesOf(kind string, ref int64, limit int) (ms []Message, err error) {
	defer wrap(&err, "messages %q about %d", kind, ref)
	return all(tx, func(r scanner) (m Message, err error) {
		err = r.Scan(&m.Recipient, &m.Kind, &m.Ref, &m.Chat, &m.MessageID, &m.At)
		return m, err
	}, `SELECT * FROM (SELECT COALESCE(recipient, 0), kind, ref, chat, message_id, MAX(at) AS at FROM message
		WHERE kind = ? AND ref = ? GROUP BY chat, message_id ORDER BY at DESC, message_id DESC LIMIT ?) ORDER BY chat, message_id`, kind, ref, limit)
}

// MessagesOf are all messages of that kind about ref that stand in chats, the
// latest of each chat, by chat.
func (tx *Tx) MessagesOf(kind string, ref int64) (ms []Message, err error) {
	defer wrap(&err, "messages %q about %d", kind, ref)
	return all(tx, func(r scanner) (m Message, err error) {
		err = r.Scan(&m.Recipient, &m.Kind, &m.Ref, &m.Chat, &m.MessageID, &m.At)
		return m, err
	}, `SELECT COALESCE(recipient, 0), kind, ref, chat, message_id, at FROM message
		WHERE id IN (SELECT MAX(id) FROM message WHERE kind = ? AND ref = ? GROUP BY chat) ORDER BY chat`, kind, ref)
}
