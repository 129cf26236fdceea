package store

import (
	"context"
	"encoding/json"
	"fmt"

	"pegcard/prescribe"
)

// What a short command leaves for the process that runs the bot: it sends
// nothing itself.

// PutReplan notes that the player's cards of those days have to be worked out
// again. A day without a card is passed over: it is planned when its time comes.
func (tx *Tx) PutReplan(days ...PersonDay) (err error) {
	defer wrap(&err, "note what to plan again")
	for _, d := range days {
		if err := tx.exec(`INSERT INTO replan (person, day) SELECT person, day FROM card WHERE person = ? AND day = ? ON CONFLICT DO NOTHING`, d.Person, d.Day.String()); err != nil {
			return err
		}
	}
	return nil
}

// Replans are the days noted, by person and day.
func (tx *Tx) Replans() (days []PersonDay, err error) {
	defer wrap(&err, "what to plan again")
	return all(tx, func(r scanner) (d PersonDay, err error) {
		err = r.Scan(&d.Person, intoDay(&d.Day))
		return d, err
	}, `SELECT person, day FROM replan ORDER BY person, day`)
}

// DropReplan forgets a day that has been planned again.
func (tx *Tx) DropReplan(d PersonDay) (err error) {
	defer wrap(&err, "planned again")
	return tx.exec(`DELETE FROM replan WHERE person = ? AND day = ?`, d.Person, d.Day.String())
}

// PendingNotice is a notice that nobody has been told of yet.
type PendingNotice struct {
	ID     int64
	Person int64
	Notice prescribe.Notice
	At     prescribe.Instant
}

// PutNotices keeps what staff have to be told of the player.
func (tx *Tx) PutNotices(person int64, now prescribe.Instant, ns ...prescribe.Notice) (err error) {
	defer wrap(&err, "keep notices about %d", person)
	for _, n := range ns {
		text, err := json.Marshal(n)
		if err != nil {
			return err
		}
		if err := tx.exec(`INSERT INTO pending_notice (person, notice, at) VALUES (?, ?, ?)`, person, string(text), now); err != nil {
			return err
		}
	}
	return nil
}

// PendingNotices are those kept, oldest first.
func (tx *Tx) PendingNotices() (ns []PendingNotice, err error) {
	defer wrap(&err, "notices kept")
	return all(tx, func(r scanner) (n PendingNotice, err error) {
		var text string
		if err = r.Scan(&n.ID, &n.Person, &text, &n.At); err != nil {
			return n, err
		}
		err = json.Unmarshal([]byte(text), &n.Notice)
		return n, err
	}, `SELECT id, person, notice, at FROM pending_notice ORDER BY id`)
}

// DropNotice forgets a notice that has been told.
func (tx *Tx) DropNotice(id int64) (err error) {
	defer wrap(&err, "notice told")
	return tx.exec(`DELETE FROM pending_notice WHERE id = ?`, id)
}

// DataVersion is a number that changes when another process has written to the
// database; what this Store writes leaves it as it is.
func (s *Store) DataVersion(ctx context.Context) (v int64, err error) {
	// It is a property of a connection, and the writer's pool has one.
	if err := s.w.QueryRowContext(ctx, `PRAGMA data_version`).Scan(&v); err != nil {
		return 0, fmt.Errorf("version of the data: %w", err)
	}
	return v, nil
}
