package store

import (
	"encoding/json"

	"pegcard/prescribe"
)

// Dialog is the open question of a chat; there is at most one.
type Dialog struct {
	Chat  int64
	Kind  string
	Args  json.RawMessage // what has been gathered so far
	Card  int64           // the card it is about; 0 none
	Asked prescribe.Instant
}

// Dialog is the chat's open question, if any.
func (tx *Tx) Dialog(chat int64) (d Dialog, ok bool, err error) {
	defer wrap(&err, "dialog")
	ds, err := all(tx, func(r scanner) (d Dialog, err error) {
		var args string
		err = r.Scan(&d.Chat, &d.Kind, &args, &d.Card, &d.Asked)
		if args != "" {
			d.Args = json.RawMessage(args)
		}
		return d, err
	}, `SELECT chat, kind, args, card, asked_at FROM dialog WHERE chat = ?`, chat)
	if err != nil || len(ds) == 0 {
		return d, false, err
	}
	return ds[0], true, nil
}

// PutDialog makes d the chat's open question.
func (tx *Tx) PutDialog(d Dialog) (err error) {
	defer wrap(&err, "put dialog")
	return tx.exec(`INSERT INTO dialog (chat, kind, args, card, asked_at) VALUES (?, ?, ?, ?, ?)
ON CONFLICT (chat) DO UPDATE SET kind = excluded.kind, args = excluded.args, card = excluded.card, asked_at = excluded.asked_at`,
		d.Chat, d.Kind, string(d.Args), d.Card, d.Asked)
}

// ClearDialog leaves no open question.
func (tx *Tx) ClearDialog(chat int64) (err error) {
	defer wrap(&err, "clear dialog")
	return tx.exec(`DELETE FROM dialog WHERE chat = ?`, chat)
}
