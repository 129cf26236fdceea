package bot

import (
	"context"
	"errors"
	"runtime/debug"
	"sync"
	"sync/atomic"
	"time"

	"pegcard/bot/telegram"
	"pegcard/prescribe"
	"pegcard/store"
)

const (
	// sendersMax is how many calls are on their way at once. The server takes
	// about 30 messages a second; ten chats that hang must not use up all hands.
	sendersMax = 24
	// claimMax is how many rows are taken at once: few, so that an alert written
	// now overtakes the cards that are still waiting.
	claimMax = 8
	// idle is how long the sender sleeps at most when nothing wakes it: a row
	// that another process wrote is found then.
	idle = time.Minute
	// attemptsMax buries a message whose outcome stays bad that often. With the
	// pauses below that is about a day.
	attemptsMax = 40
)

// sender takes rows of the outbox, words them, and hands them to the network
// at the pace the server allows.
type sender struct {
	b     *Bot
	pacer *telegram.Pacer
	woken chan struct{}

	mu    sync.Mutex
	parts map[int64]int  // parts that arrived of rows that did not arrive whole
	busy  map[int64]bool // chats with a message on its way: order is kept within a chat
	// claiming counts rounds that may have claimed rows that are not in busy yet.
	claiming atomic.Int32
	// unmarked: an outcome could not be stored.
	unmarked bool
}

func newSender(b *Bot) *sender {
	return &sender{b: b, pacer: telegram.NewPacer(), woken: make(chan struct{}, 1), busy: map[int64]bool{}, parts: map[int64]int{}}
}

// wake makes the sender look at the outbox now.
func (s *sender) wake() {
	select {
	case s.woken <- struct{}{}:
	default:
	}
}

func (s *sender) run(ctx context.Context) error {
	var wg sync.WaitGroup
	defer wg.Wait()
	for {
		n, err := s.round(ctx, &wg)
		if err != nil {
			if ctx.Err() != nil {
				return nil
			}
			s.b.Logger.Error("the outbox could not be read and is tried again", "event", "outbox.failed", "err", err)
		}
		if n > 0 {
			continue
		}
		timer := time.NewTimer(s.sleep(ctx))
		select {
		case <-ctx.Done():
			timer.Stop()
			return nil
		case <-s.woken:
			timer.Stop()
		case <-timer.C:
		}
	}
}

// sleep is how long until the next row may be due.
func (s *sender) sleep(ctx context.Context) time.Duration {
	next, ok := prescribe.Instant(0), false
	err := s.b.Store.Read(ctx, func(tx *store.Tx) (err error) {
		next, ok, err = tx.NextOut()
		return err
	})
	if err != nil || !ok {
		return idle
	}
	d := next.Time().Sub(s.b.Now())
	// A row that is due already waits for its chat, which wakes us when it is free.
	if d <= 0 || d > idle {
		return idle
	}
	return d
}

// round claims rows and starts their delivery; it returns how many. It looks
// before it claims: most of the time there is nothing, and looking takes no
// write lock.
func (s *sender) round(ctx context.Context, wg *sync.WaitGroup) (int, error) {
	if err := s.reclaim(ctx); err != nil {
		return 0, err
	}
	pending := 0
	if err := s.b.Store.Read(ctx, func(tx *store.Tx) (err error) {
		pending, err = tx.OutPending(s.b.now())
		return err
	}); err != nil || pending == 0 {
		return 0, err
	}
	s.mu.Lock()
	free := sendersMax - len(s.busy)
	busy := make([]int64, 0, len(s.busy))
	for c := range s.busy {
		busy = append(busy, c)
	}
	s.mu.Unlock()
	if free <= 0 || ctx.Err() != nil {
		return 0, ctx.Err()
	}
	// Between the claim and take a row is neither pending nor in busy.
	s.claiming.Add(1)
	defer s.claiming.Add(-1)
	var outs []store.Out
	err := s.b.Store.Write(ctx, func(tx *store.Tx) (err error) {
		outs, err = tx.ClaimOut(s.b.now(), min(free, claimMax), busy)
		return err
	})
	if err != nil || len(outs) == 0 {
		return 0, err
	}
	s.b.Hooks.at("out.claimed")
	for _, o := range outs {
		s.take(o.Chat)
		wg.Go(func() {
			defer s.leave(o.Chat)
			s.deliver(ctx, o)
		})
	}
	return len(outs), nil
}

func (s *sender) take(chat int64) {
	s.mu.Lock()
	s.busy[chat] = true
	s.mu.Unlock()
}

func (s *sender) leave(chat int64) {
	s.mu.Lock()
	delete(s.busy, chat)
	s.mu.Unlock()
	s.wake()
}

// deliver waits for a row's turn, words it, sends it and writes what came of
// it. The marks are written even while stopping: a message that went out must
// not go out again.
func (s *sender) deliver(ctx context.Context, o store.Out) {
	keep := context.WithoutCancel(ctx)
	if !s.turn(ctx, o.Chat) {
		s.mark(keep, func(tx *store.Tx) error { return tx.OutRetry(o.ID, s.b.now(), "stopping") })
		return
	}
	m, err := s.word(keep, o)
	switch {
	case errors.Is(err, errNothing), errors.Is(err, store.ErrNotFound):
		s.mark(keep, func(tx *store.Tx) error { return tx.OutBury(o.ID, "nothing to say: "+safeReason(err)) })
		return
	case errors.As(err, &panicked{}):
		// It would panic again: it is dropped, and said loudly.
		s.mark(keep, func(tx *store.Tx) error { return tx.OutBury(o.ID, "could not be worded") })
		s.b.Logger.Error("a message could not be worded and is dropped", "event", "outbox.unworded", "row", o.ID, "kind", o.Kind, "err", err)
		return
	case err != nil:
		s.b.Logger.Error("a message could not be worded and is tried again", "event", "outbox.unworded", "row", o.ID, "kind", o.Kind, "err", err)
		if o.Attempts+1 >= attemptsMax {
			s.mark(keep, func(tx *store.Tx) error { return tx.OutBury(o.ID, "could not be worded") })
			return
		}
		at := s.b.now() + prescribe.Instant(backoff(o.Attempts)/time.Millisecond)
		s.mark(keep, func(tx *store.Tx) error { return tx.OutRetry(o.ID, at, "could not be worded") })
		return
	}
	// A send that hangs is given up shortly after the stop; its outcome is
	// unknown then, and it goes out again with the next start.
	out, give := context.WithCancel(keep)
	defer give()
	defer context.AfterFunc(ctx, func() {
		timer := time.AfterFunc(stopGrace, give)
		context.AfterFunc(out, func() { timer.Stop() })
	})()
	id, err := s.send(out, o, m)
	s.b.Hooks.at("out.answered")
	s.settle(keep, o, id, err)
}

// stopGrace is how long a message may still be on its way after the stop.
const stopGrace = 2 * time.Second

// turn waits until the pace allows a message to the chat; false when stopping.
func (s *sender) turn(ctx context.Context, chat int64) bool {
	for {
		wait := s.pacer.Reserve(chat, time.Now())
		if wait <= 0 {
			return true
		}
		timer := time.NewTimer(wait)
		select {
		case <-timer.C:
		case <-ctx.Done():
			timer.Stop()
			return false
		}
	}
}

// panicked is a panic while a message was worded.
type panicked struct{ place string }

func (p panicked) Error() string { return "panic at " + p.place }

// word renders a row. A write transaction, since reading health data is written
// to the audit.
func (s *sender) word(ctx context.Context, o store.Out) (m telegram.Outgoing, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = panicked{telegram.PanicPlace(debug.Stack())}
		}
	}()
	err = s.b.Store.Write(ctx, func(tx *store.Tx) (err error) {
		m, err = s.b.render(tx, o, s.b.now())
		return err
	})
	return m, err
}

func (s *sender) send(ctx context.Context, o store.Out, m telegram.Outgoing) (int, error) {
	if o.Edit {
		err := s.b.Client.EditText(ctx, o.MessageID, m)
		var e *telegram.Error
		if errors.As(err, &e) && e.Class == telegram.Rejected {
			// The message is too old to be edited, or gone: say it anew.
			return s.sendNew(ctx, o, m)
		}
		return o.MessageID, err
	}
	return s.sendNew(ctx, o, m)
}

// sendNew sends a message, in parts where it is too long for one. Parts that
// arrived are not sent again when a later one fails.
func (s *sender) sendNew(ctx context.Context, o store.Out, m telegram.Outgoing) (int, error) {
	if m.File != nil {
		sent, err := s.b.Client.SendDocument(ctx, m.ChatID, m.File.Name, m.File.Data, telegram.StripHTML(m.Text))
		return sent.MessageID, err
	}
	parts := telegram.Split(m.Text, telegram.MessageMax)
	for i, p := range parts[:max(0, len(parts)-1)] {
		if i < s.partsSent(o.ID, 0) {
			continue
		}
		if _, err := s.b.Client.Send(ctx, telegram.Outgoing{ChatID: m.ChatID, Text: p, HTML: m.HTML, Silent: m.Silent, Protect: m.Protect}); err != nil {
			return 0, err
		}
		s.partsSent(o.ID, i+1)
		if !s.turn(ctx, o.Chat) {
			return 0, &telegram.Error{Class: telegram.Canceled, Description: "stopping", Certain: true}
		}
	}
	if len(parts) > 0 {
		m.Text = parts[len(parts)-1]
	}
	sent, err := s.b.Client.Send(ctx, m)
	return sent.MessageID, err
}

// partsSent notes how many parts of a row have arrived (0: only asks).
func (s *sender) partsSent(row int64, n int) int {
	s.mu.Lock()
	defer s.mu.Unlock()
	if n > 0 {
		s.parts[row] = n
	}
	return s.parts[row]
}

// settle writes the outcome of a send, by its class.
func (s *sender) settle(ctx context.Context, o store.Out, message int, err error) {
	now := s.b.now()
	if err == nil {
		s.mu.Lock()
		delete(s.parts, o.ID)
		s.mu.Unlock()
		s.mark(ctx, func(tx *store.Tx) error {
			if err := tx.OutSent(o.ID, o.Chat, message, now); err != nil {
				return err
			}
			return s.b.afterSent(tx, o)
		})
		s.b.Hooks.at("out.marked")
		return
	}
	var e *telegram.Error
	if !errors.As(err, &e) {
		e = &telegram.Error{Class: telegram.Network, Description: "no answer"}
	}
	s.b.Logger.Warn("a message did not go out", "event", "outbox.send_failed", "row", o.ID, "kind", o.Kind, "class", e.Class.String(), "code", e.Code)
	reason := e.Class.String()
	later := func(d time.Duration) func(tx *store.Tx) error {
		return func(tx *store.Tx) error {
			return tx.OutRetry(o.ID, now+prescribe.Instant(d/time.Millisecond), reason)
		}
	}
	switch e.Class {
	case telegram.RateLimited:
		s.pacer.Note429(o.Chat, e.RetryAfter, time.Now())
		s.mark(ctx, later(max(e.RetryAfter, time.Second)))
	case telegram.Unreachable:
		s.mark(ctx, func(tx *store.Tx) error {
			if err := tx.OutBury(o.ID, reason); err != nil {
				return err
			}
			return s.b.unreachable(tx, o.Chat, now)
		})
	case telegram.Migrated:
		s.mark(ctx, func(tx *store.Tx) error {
			if err := tx.SetChat(o.Chat, e.MigrateTo); err != nil {
				return err
			}
			return tx.OutRetry(o.ID, now, reason)
		})
	case telegram.Rejected, telegram.BadEntities:
		s.mark(ctx, func(tx *store.Tx) error { return tx.OutBury(o.ID, reason) })
		s.b.Logger.Error("the server refused a message for good", "event", "outbox.buried", "row", o.ID, "kind", o.Kind, "code", e.Code, "description", e.Description)
	default:
		if o.Attempts+1 >= attemptsMax {
			s.mark(ctx, func(tx *store.Tx) error { return tx.OutBury(o.ID, reason) })
			return
		}
		s.mark(ctx, later(backoff(o.Attempts)))
	}
}

// backoff is 1 s, 2 s, 4 s … up to half an hour.
func backoff(attempts int) time.Duration {
	return min(time.Second<<min(attempts, 11), 30*time.Minute)
}

// mark writes an outcome. A database that cannot be written to for a moment is
// tried again: a row whose outcome is not known blocks its chat.
func (s *sender) mark(ctx context.Context, fn func(tx *store.Tx) error) {
	var err error
	for try := range marksMax {
		if try > 0 {
			time.Sleep(time.Duration(try) * 200 * time.Millisecond)
		}
		if err = s.b.Store.Write(ctx, fn); err == nil {
			return
		}
	}
	s.b.Logger.Error("the outcome of a message could not be stored; the row is taken up again later and may repeat its message", "event", "outbox.unmarked", "err", err)
	s.mu.Lock()
	s.unmarked = true
	s.mu.Unlock()
}

// marksMax is how often an outcome is tried to be written.
const marksMax = 5

// reclaim takes up rows whose outcome could not be stored, when no message is
// on its way, so that their chats do not stay silent until the next start.
func (s *sender) reclaim(ctx context.Context) error {
	s.mu.Lock()
	due := s.unmarked && len(s.busy) == 0
	s.mu.Unlock()
	if !due {
		return nil
	}
	return s.b.Store.Write(ctx, func(tx *store.Tx) error {
		_, err := tx.Reclaim(s.b.now())
		if err == nil {
			s.mu.Lock()
			s.unmarked = false
			s.mu.Unlock()
		}
		return err
	})
}

// drain sends all that is due now and returns when it is out, or when ctx
// ends. It works beside run and without it.
func (s *sender) drain(ctx context.Context) error {
	var wg sync.WaitGroup
	defer wg.Wait()
	for {
		n, err := s.round(ctx, &wg)
		if err != nil {
			return err
		}
		if n > 0 {
			continue
		}
		left := 0
		if err := s.b.Store.Read(ctx, func(tx *store.Tx) (err error) {
			left, err = tx.OutPending(s.b.now())
			return err
		}); err != nil {
			return err
		}
		claiming := s.claiming.Load() > 0 // looked at between the two: see round
		s.mu.Lock()
		flying := len(s.busy)
		s.mu.Unlock()
		if left == 0 && flying == 0 && !claiming {
			return nil
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-s.woken:
		case <-time.After(20 * time.Millisecond):
		}
	}
}

// safeReason keeps an error's kind without the words people wrote.
func safeReason(err error) string {
	if errors.Is(err, errNothing) {
		return "settled before"
	}
	if errors.Is(err, store.ErrNotFound) {
		return "not found"
	}
	return "could not be worded"
}
