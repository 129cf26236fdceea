package store

import (
	"strings"

	"pegcard/prescribe"
)

// Entry is one source's word as it stands in the record: a message, an answer
// to a card. Its id names it where the source would tell too much.
type Entry struct {
	ID       int64
	Source   string
	Received prescribe.Instant
}

const selectEntry = `SELECT e.id, e.source, e.received_at FROM entry e
WHERE e.person = ? AND NOT EXISTS (SELECT 1 FROM entry n WHERE n.replaces = e.id) `

func scanEntry(r scanner) (e Entry, err error) {
	err = r.Scan(&e.ID, &e.Source, &e.Received)
	return e, err
}

// Entry is the person's entry of that id; ErrNotFound also when another has
// replaced it.
func (tx *Tx) Entry(person, id int64) (e Entry, err error) {
	defer wrap(&err, "entry %d", id)
	return scanEntry(tx.row(selectEntry+`AND e.id = ?`, person, id))
}

// EntryOf is the entry of the source that stands; ErrNotFound when it was never
// recorded.
func (tx *Tx) EntryOf(person int64, source string) (e Entry, err error) {
	defer wrap(&err, "entry of a source") // which may name a place on the body
	return scanEntry(tx.row(selectEntry+`AND e.source = ?`, person, source))
}

// LastEntry is the latest entry that still says something, of the sources that
// begin with one of prefixes; ErrNotFound when there is none.
func (tx *Tx) LastEntry(person int64, prefixes ...string) (e Entry, err error) {
	defer wrap(&err, "last entry of %d", person)
	found, err := all(tx, scanEntry, selectEntry+`ORDER BY e.received_at DESC, e.id DESC LIMIT 100`, person)
	if err != nil {
		return e, err
	}
	for _, e := range found {
		for _, p := range prefixes {
			if !strings.HasPrefix(e.Source, p) {
				continue
			}
			events, err := tx.Recorded(person, e.Source)
			if err != nil {
				return e, err
			}
			if len(events) > 0 {
				return e, nil
			}
		}
	}
	return Entry{}, ErrNotFound
}

// Dialogs are the open questions asked from..to, by chat.
func (tx *Tx) Dialogs(from, to prescribe.Instant) (ds []Dialog, err error) {
	defer wrap(&err, "dialogs")
	chats, err := all(tx, one[int64], `SELECT chat FROM dialog WHERE asked_at BETWEEN ? AND ? ORDER BY chat`, from, to)
	if err != nil {
		return nil, err
	}
	for _, c := range chats {
		d, ok, err := tx.Dialog(c)
		if err != nil {
			return nil, err
		}
		if ok {
			ds = append(ds, d)
		}
	}
	return ds, nil
}

// OpenAlertLike is the open alert of the same person, kind and place, which a
// new notice would refresh.
func (tx *Tx) OpenAlertLike(person int64, n prescribe.Notice) (a Alert, ok bool, err error) {
	defer wrap(&err, "alert about %d", person)
	as, err := all(tx, scanAlert, selectAlert+`WHERE person = ? AND kind = ? AND region = ? AND state = 'open'`, person, n.Kind, place(n))
	if err != nil || len(as) == 0 {
		return a, false, err
	}
	return as[0], true, nil
}

// OpenAlertsOf are the player's open alerts of the kind, the oldest first, for
// the program's own use.
func (tx *Tx) OpenAlertsOf(person int64, kind prescribe.NoticeKind) (as []Alert, err error) {
	defer wrap(&err, "open alerts about %d", person)
	return all(tx, scanAlert, selectAlert+`WHERE person = ? AND kind = ? AND state = 'open' ORDER BY id`, person, kind)
}

// Hasten lets the person's messages of the kind that wait for their time go now.
func (tx *Tx) Hasten(person int64, kind string, now prescribe.Instant) (err error) {
	defer wrap(&err, "hasten")
	return tx.exec(`UPDATE outbox SET not_before = ?1 WHERE recipient = ?2 AND kind = ?3 AND state = 'pending' AND not_before > ?1`,
		now, person, kind)
}

// Mark notes a key in the same way as Once does, inside a transaction that has
// one already; fresh is false when the key was there before.
func (tx *Tx) Mark(key string, now prescribe.Instant) (fresh bool, err error) {
	defer wrap(&err, "mark")
	n, err := tx.changed(`INSERT INTO once_key (key, at) VALUES (?, ?) ON CONFLICT DO NOTHING`, key, now)
	return n > 0, err
}

// Marked reports whether the key was noted.
func (tx *Tx) Marked(key string) (yes bool, err error) {
	defer wrap(&err, "mark")
	err = tx.row(`SELECT EXISTS (SELECT 1 FROM once_key WHERE key = ?)`, key).Scan(&yes)
	return yes, err
}
