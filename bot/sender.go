package bot

import (
	"context"
	"errors"
	"maps"
	"runtime/debug"
	"slices"
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

	mu   sync.Mutex
	busy map[int64]bool // chats with a message on its way: order is kept within a chat
	held map[int64]bool // rows that this process is sending
	// claiming counts rounds that may have claimed rows that are not in busy yet.
	claiming atomic.Int32
	// aside counts messages on their way past the outbox.
	aside atomic.Int32
	// rounds lets one round look and claim at a time: what it finds claimed and
	// not held is then nobody's.
	rounds sync.Mutex
}

func newSender(b *Bot) *sender {
	return &sender{b: b, pacer: telegram.NewPacer(), woken: make(chan struct{}, 1), busy: map[int64]bool{}, held: map[int64]bool{}}
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
		s.b.status.send.beat()
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
// write lock. A row that is claimed and that nobody here is sending, since its
// outcome or its claim was lost, is put back: it would silence its chat.
func (s *sender) round(ctx context.Context, wg *sync.WaitGroup) (int, error) {
	s.rounds.Lock()
	defer s.rounds.Unlock()
	s.mu.Lock()
	free := sendersMax - len(s.busy)
	busy := make([]int64, 0, len(s.busy))
	for c := range s.busy {
		busy = append(busy, c)
	}
	held := maps.Clone(s.held) // before looking: what ends meanwhile is no orphan
	s.mu.Unlock()
	waits := false
	var lost []int64
	if err := s.b.Store.Read(ctx, func(tx *store.Tx) (err error) {
		if lost, err = tx.OutClaimed(); err != nil {
			return err
		}
		lost = slices.DeleteFunc(lost, func(id int64) bool { return held[id] })
		waits, err = tx.OutWaits(s.b.now())
		return err
	}); err != nil || !waits && len(lost) == 0 {
		return 0, err
	}
	if len(lost) > 0 {
		if err := s.b.Store.Write(ctx, func(tx *store.Tx) error {
			_, err := tx.Reclaim(s.b.now(), lost...)
			return err
		}); err != nil {
			return 0, err
		}
		s.b.Logger.Warn("messages whose outcome was lost are sent again", "event", "outbox.reclaimed", "count", len(lost))
	}
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
		s.take(o)
		wg.Go(func() {
			defer s.leave(o)
			s.deliver(ctx, o)
		})
	}
	return len(outs), nil
}

func (s *sender) take(o store.Out) {
	s.mu.Lock()
	s.busy[o.Chat], s.held[o.ID] = true, true
	s.mu.Unlock()
}

func (s *sender) leave(o store.Out) {
	s.mu.Lock()
	delete(s.busy, o.Chat)
	delete(s.held, o.ID)
	s.mu.Unlock()
	s.wake()
}

const (
	// sendGrace is how long a message may still be on its way after the stop,
	// markGrace how long what came of it may take to be written.
	sendGrace = 2500 * time.Millisecond
	markGrace = 2 * time.Second
)

// graced is a context that outlives ctx by d.
func graced(ctx context.Context, d time.Duration) (context.Context, context.CancelFunc) {
	out, cancel := context.WithCancel(context.WithoutCancel(ctx))
	stop := context.AfterFunc(ctx, func() {
		timer := time.AfterFunc(d, cancel)
		context.AfterFunc(out, func() { timer.Stop() })
	})
	return out, func() {
		stop()
		cancel()
	}
}

// deliver waits for a row's turn, words it, sends it and writes what came of
// it. The marks are written even while stopping: a message that went out must
// not go out again. A send that hangs is given up shortly after the stop; its
// outcome is unknown then, and it goes out again with the next start.
func (s *sender) deliver(ctx context.Context, o store.Out) {
	defer func() {
		if p := recover(); p != nil {
			// It would panic again: it is dropped, and said loudly.
			at := panicked{telegram.PanicPlace(debug.Stack())}
			s.b.Logger.Error("sending a message panicked; it is dropped", "event", "outbox.panic", "row", o.ID, "kind", o.Kind, "err", at)
			s.mark(ctx, func(tx *store.Tx) error { return tx.OutBury(o.ID, at.Error()) })
		}
	}()
	m, ok, err := s.wordInTurn(ctx, o)
	if !ok {
		s.mark(ctx, func(tx *store.Tx) error { return tx.OutRetry(o.ID, s.b.now(), "stopping") })
		return
	}
	switch {
	case errors.Is(err, errNothing), errors.Is(err, store.ErrNotFound):
		s.mark(ctx, func(tx *store.Tx) error { return tx.OutBury(o.ID, "nothing to say: "+safeReason(err)) })
		return
	case errors.As(err, &panicked{}):
		s.mark(ctx, func(tx *store.Tx) error { return tx.OutBury(o.ID, "could not be worded") })
		s.b.Logger.Error("a message could not be worded and is dropped", "event", "outbox.unworded", "row", o.ID, "kind", o.Kind, "err", err)
		return
	case err != nil:
		s.b.Logger.Error("a message could not be worded and is tried again", "event", "outbox.unworded", "row", o.ID, "kind", o.Kind, "err", err)
		if o.Attempts+1 >= attemptsMax {
			s.mark(ctx, func(tx *store.Tx) error { return tx.OutBury(o.ID, "could not be worded") })
			return
		}
		at := s.b.now() + prescribe.Instant(backoff(o.Attempts)/time.Millisecond)
		s.mark(ctx, func(tx *store.Tx) error { return tx.OutRetry(o.ID, at, "could not be worded") })
		return
	}
	out, cancel := graced(ctx, sendGrace)
	defer cancel()
	id, err := s.send(ctx, out, o, m)
	s.b.Hooks.at("out.answered")
	s.settle(ctx, o, id, err)
}

// freshFor is how long words may wait for their turn before they are looked up
// again.
const freshFor = 2 * time.Second

// wordInTurn words a row when its turn is near and returns when it has come; ok
// is false when stopping. The turn is taken last: what lies between taking it
// and the call would disturb the pace.
func (s *sender) wordInTurn(ctx context.Context, o store.Out) (m telegram.Outgoing, ok bool, err error) {
	for {
		if wait := s.pacer.Ready(o.Chat, time.Now()); wait > 0 && !sleep(ctx, wait) {
			return m, false, nil
		}
		out, cancel := graced(ctx, sendGrace)
		m, err = s.word(out, o)
		cancel()
		if err != nil {
			return m, true, err
		}
		for worded := time.Now(); time.Since(worded) < freshFor; {
			wait := s.pacer.Reserve(o.Chat, time.Now())
			if wait <= 0 {
				return m, true, nil
			}
			if !sleep(ctx, min(wait, freshFor)) {
				return m, false, nil
			}
		}
	}
}

// turn waits until the pace allows a message to the chat; false when stopping.
func (s *sender) turn(ctx context.Context, chat int64) bool {
	for {
		wait := s.pacer.Reserve(chat, time.Now())
		if wait <= 0 {
			return true
		}
		if !sleep(ctx, wait) {
			return false
		}
	}
}

// obey closes a chat for as long as a refusal says.
func (s *sender) obey(chat int64, err error) {
	var e *telegram.Error
	if errors.As(err, &e) && e.Class == telegram.RateLimited {
		s.pacer.Note429(chat, e.RetryAfter, time.Now())
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

// send gives a message to the network, which ends with out.
func (s *sender) send(ctx, out context.Context, o store.Out, m telegram.Outgoing) (int, error) {
	if o.Edit {
		err := s.b.Client.EditText(out, o.MessageID, m)
		if telegram.ClassOf(err) != telegram.Rejected {
			return o.MessageID, err
		}
		// The message is too old to be edited, or gone: say it anew.
		if !s.turn(ctx, o.Chat) {
			return 0, errStopping
		}
	}
	return s.sendNew(ctx, out, o, m)
}

var errStopping = &telegram.Error{Class: telegram.Canceled, Description: "stopping", Certain: true}

// sendNew sends a message, in parts where it is too long for one. How many parts
// have arrived stands in the row: they are not sent again when a later one fails.
func (s *sender) sendNew(ctx, out context.Context, o store.Out, m telegram.Outgoing) (int, error) {
	if m.Copy != nil {
		sent, err := s.b.Client.CopyMessage(out, m.ChatID, *m.Copy, m.Protect)
		return sent.MessageID, err
	}
	if m.File != nil {
		sent, err := s.b.Client.SendFile(out, m)
		return sent.MessageID, err
	}
	parts := telegram.Split(m.Text, telegram.MessageMax)
	for i := o.Parts; i < len(parts)-1; i++ {
		if _, err := s.b.Client.Send(out, telegram.Outgoing{ChatID: m.ChatID, Text: parts[i], HTML: m.HTML, Silent: m.Silent, Protect: m.Protect}); err != nil {
			return 0, err
		}
		s.mark(ctx, func(tx *store.Tx) error { return tx.OutPart(o.ID, i+1) })
		if !s.turn(ctx, o.Chat) {
			return 0, errStopping
		}
	}
	if len(parts) > 0 {
		m.Text = parts[len(parts)-1]
	}
	sent, err := s.b.Client.Send(out, m)
	return sent.MessageID, err
}

// settle writes the outcome of a send, by its class.
func (s *sender) settle(ctx context.Context, o store.Out, message int, err error) {
	now := s.b.now()
	if err == nil {
		s.mark(ctx, func(tx *store.Tx) error { return tx.OutSent(o.ID, o.Chat, message, now) },
			func(tx *store.Tx) error { return s.b.afterSent(tx, o) })
		s.b.Hooks.at("out.marked")
		s.b.status.messages.WithLabelValues("sent").Inc()
		return
	}
	var e *telegram.Error
	if !errors.As(err, &e) {
		e = &telegram.Error{Class: telegram.Network, Description: "no answer"}
	}
	s.b.Logger.Warn("a message did not go out", "event", "outbox.send_failed", "row", o.ID, "kind", o.Kind, "class", e.Class.String(), "code", e.Code)
	reason := e.Class.String()
	s.b.status.messages.WithLabelValues(reason).Inc()
	later := func(d time.Duration) func(tx *store.Tx) error {
		return func(tx *store.Tx) error {
			return tx.OutRetry(o.ID, now+prescribe.Instant(d/time.Millisecond), reason)
		}
	}
	switch e.Class {
	case telegram.RateLimited:
		s.obey(o.Chat, err)
		s.mark(ctx, later(max(e.RetryAfter, time.Second)))
	case telegram.Unreachable:
		s.mark(ctx, func(tx *store.Tx) error { return tx.OutBury(o.ID, reason) },
			func(tx *store.Tx) error { return s.b.unreachable(tx, o.Chat, now) },
			func(tx *store.Tx) error { return s.b.passOn(tx, []store.Out{o}, now) })
	case telegram.Migrated:
		s.mark(ctx, func(tx *store.Tx) error { return tx.OutRetry(o.ID, now, reason) },
			func(tx *store.Tx) error { return tx.SetChat(o.Chat, e.MigrateTo) })
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

const (
	// markPause and markPauseMax bound the pauses between tries to write an outcome.
	markPause    = 200 * time.Millisecond
	markPauseMax = 30 * time.Second
	// thenTries is how often what follows from an outcome is tried before the
	// outcome is written without it.
	thenTries = 5
)

// mark writes an outcome, and what follows from it, in one transaction. It is
// tried until it works: the outcome is known here and nowhere else, and a row
// without one holds up its chat. After the stop it is tried for a moment only;
// then the next start sends the message once more. What follows and fails again
// and again is left out, and said loudly: the message is sent all the same.
func (s *sender) mark(ctx context.Context, outcome func(tx *store.Tx) error, then ...func(tx *store.Tx) error) {
	keep, cancel := graced(ctx, markGrace)
	defer cancel()
	pause := markPause
	for try := 1; ; try++ {
		gone := false
		err := s.b.Store.Write(keep, func(tx *store.Tx) error {
			err := outcome(tx)
			// Settled otherwise: its person is erased, or has left.
			if gone = errors.Is(err, store.ErrNotFound); err != nil {
				return err
			}
			if try > thenTries {
				return nil
			}
			for _, f := range then {
				if err := f(tx); err != nil {
					return err
				}
			}
			return nil
		})
		if err == nil || gone {
			return
		}
		switch {
		case try == 1:
			s.b.Logger.Error("the outcome of a message could not be stored and is tried again", "event", "outbox.unmarked", "err", err)
		case try == thenTries:
			s.b.Logger.Error("what follows from a message could not be done", "event", "outbox.after", "err", err)
		}
		if !sleep(keep, pause) {
			s.b.Logger.Error("the outcome of a message could not be stored; it may be sent once more after a restart", "event", "outbox.lost", "err", err)
			return
		}
		pause = min(2*pause, markPauseMax)
	}
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
		if left == 0 && flying == 0 && !claiming && s.aside.Load() == 0 {
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
