package bot

import (
	"context"
	"errors"
	"fmt"
	"time"
)

// movePatience bounds one drain of a move in real time: a chat that does not
// answer must not stop the clock.
const movePatience = 20 * time.Second

// Move steps the moved clock to target: what is waiting is handled and sent,
// then the clock goes to each due instant in order, and what falls due there is
// done and sent before it goes on. set persists the new civil now. The clock
// only moves forward. What cannot be done on the way stops nothing, and is told
// at the end.
func (b *Bot) Move(ctx context.Context, target time.Time, set func(context.Context, time.Time) error) error {
	if target.Before(b.Now()) {
		return fmt.Errorf("the clock shows %s already; it only moves forward", b.Now().Format(time.RFC3339))
	}
	var failed error
	for {
		if err := b.settleAll(ctx); err != nil {
			return err
		}
		ev, ok, err := b.Next(ctx, b.Now())
		if err != nil {
			return err
		}
		to := target
		if ok && ev.At.Time().Before(target) {
			to = ev.At.Time()
		}
		if to.After(b.Now()) {
			if err := set(ctx, to); err != nil {
				return err
			}
		}
		b.ticker.invalidate()
		if err := b.Tick(ctx); err != nil {
			if ctx.Err() != nil {
				return err
			}
			failed = fmt.Errorf("at %s: %w", to.Format(time.RFC3339), err) // the last one says enough
		}
		if to.Equal(target) {
			return errors.Join(failed, b.settleAll(ctx))
		}
	}
}

// settleAll handles all updates that wait and sends all messages that are due.
func (b *Bot) settleAll(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, movePatience)
	defer cancel()
	if err := b.poller.Drain(ctx); err != nil {
		return fmt.Errorf("handling what waits before the clock moves: %w", err)
	}
	if err := b.sender.drain(ctx); err != nil {
		return fmt.Errorf("sending what waits before the clock moves: %w", err)
	}
	return nil
}
