package bot

import (
	"context"
	"errors"

	"pegcard/prescribe"
	"pegcard/store"
)

// Keep says what is kept and what is not; the zero value writes no copies.
type Keep struct {
	Left    int    // days after somebody has left until they are erased; 0: store.LeftDays
	Backups string // folder of the daily copies; empty: none are written
	Copies  int    // how many of them are kept
}

// nightAgain is when a pass that failed is tried again: a copy is too much work
// for every minute.
const nightAgain = prescribe.Instant(3600_000)

// nightly is the pass of the day, once each UTC day and at the start: the copy
// first, then what has lapsed goes. What fails stops nothing else.
func (b *Bot) nightly(ctx context.Context, day prescribe.Day, now prescribe.Instant) {
	if day == b.ticker.kept || now < b.ticker.keep || ctx.Err() != nil {
		return
	}
	var err error
	if b.Keep.Backups != "" {
		var path string
		if path, err = b.Store.DailyBackup(ctx, b.Keep.Backups, b.Keep.Copies, day); err == nil && path != "" {
			b.Logger.Info("the day's copy is written and checked", "event", "backup.written", "file", path)
		}
	}
	left := b.Keep.Left
	if left == 0 {
		left = store.LeftDays
	}
	err = errors.Join(err, b.Store.Housekeep(ctx, now, left))
	switch {
	case err == nil:
		b.ticker.kept = day
	case ctx.Err() == nil:
		b.ticker.keep = now + nightAgain
		b.Logger.Error("the nightly pass failed and is tried again in an hour", "event", "nightly.failed", "err", err)
	}
}
