package main

import (
	"context"
	"errors"
	"fmt"
	"sync/atomic"
	"time"

	"pegcard/store"
)

// movedClock is civil now = real now + an offset that is kept in the data
// directory and only grows.
type movedClock struct {
	st     *store.Store
	real   func() time.Time
	offset atomic.Int64 // nanoseconds
}

func newMovedClock(ctx context.Context, st *store.Store, real func() time.Time) (*movedClock, error) {
	c := &movedClock{st: st, real: real}
	err := st.Read(ctx, func(tx *store.Tx) error {
		d, err := tx.ClockOffset()
		c.offset.Store(int64(d))
		return err
	})
	return c, err
}

func (c *movedClock) now() time.Time { return c.real().Add(time.Duration(c.offset.Load())) }

// set makes civil now t, and keeps it over a restart.
func (c *movedClock) set(ctx context.Context, t time.Time) error {
	d := t.Sub(c.real()).Round(time.Millisecond)
	err := c.st.Write(ctx, func(tx *store.Tx) error { return tx.SetClockOffset(d) })
	if errors.Is(err, store.ErrNotAllowed) {
		return fmt.Errorf("the clock only moves forward, and %s has passed", t.Format(time.RFC3339))
	}
	if err == nil {
		c.offset.Store(int64(d))
	}
	return err
}
