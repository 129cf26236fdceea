package store

import (
	"time"

	"pegcard/prescribe"
)

// ClockOffset is how far civil now is ahead of real now.
func (tx *Tx) ClockOffset() (d time.Duration, err error) {
	defer wrap(&err, "clock")
	var ms int64
	err = tx.row(`SELECT COALESCE((SELECT offset_ms FROM clock), 0)`).Scan(&ms)
	return time.Duration(ms) * time.Millisecond, err
}

// SetClockOffset moves civil now. The first one may lie anywhere; after that
// the clock only moves forward, and backwards is ErrNotAllowed.
func (tx *Tx) SetClockOffset(d time.Duration) (err error) {
	defer wrap(&err, "set clock")
	var later bool
	if err := tx.row(`SELECT EXISTS (SELECT 1 FROM clock WHERE offset_ms > ?)`, d.Milliseconds()).Scan(&later); err != nil {
		return err
	}
	if later {
		return ErrNotAllowed
	}
	return tx.exec(`INSERT INTO clock (one, offset_ms) VALUES (1, ?) ON CONFLICT (one) DO UPDATE SET offset_ms = excluded.offset_ms`,
		d.Milliseconds())
}

// Quarantine keeps an update that could not be handled, raw, for 7 days.
func (tx *Tx) Quarantine(raw []byte, updateID int64, reason string, now prescribe.Instant) (err error) {
	defer wrap(&err, "quarantine update %d", updateID)
	return tx.exec(`INSERT INTO quarantine (update_id, raw, reason, at) VALUES (?, ?, ?, ?)`, updateID, raw, reason, now)
}
