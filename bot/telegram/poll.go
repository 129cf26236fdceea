package telegram

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"math"
	"runtime"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
)

// Update is one thing that happened in a chat.
type Update = tgbotapi.Update

// AllowedUpdates are the kinds of update a Poller asks for. my_chat_member
// tells that a person blocked the bot or let it back in.
func AllowedUpdates() []string {
	return []string{"message", "edited_message", "callback_query", "my_chat_member"}
}

const (
	// pollTimeout is how long the server may hold a poll without news.
	pollTimeout    = 50 * time.Second
	pollTimeoutMin = time.Second
	// batchMax is the most updates the API hands out at once.
	batchMax = 100

	backoffFirst    = time.Second
	backoffMax      = 30 * time.Second
	backoffConflict = 5 * time.Second

	// deafAfter is how long polls may bring nothing before the server is asked
	// whether something waits.
	deafAfter = 20 * time.Minute

	// errorsMax and panicsMax are the failed tries after which an update is
	// quarantined, so that one that always fails does not hold up the others.
	errorsMax = 5
	panicsMax = 2

	// handleMax bounds one try of Handle or Quarantine, handleGrace what it may
	// still take after the stop.
	handleMax   = 30 * time.Second
	handleGrace = 2500 * time.Millisecond
	// unnamedMax bounds what is remembered of updates without an id.
	unnamedMax = 1000
	// confirmMax bounds the last call of a stopping Poller.
	confirmMax = 2 * time.Second
	// drainTries is how many calls in a row may fail before Drain gives up.
	drainTries = 5

	// answerMax bounds the answer to one tap, answersAtOnce how many are on
	// their way together, answersWaiting how many wait at most: an answer is
	// a courtesy.
	answerMax      = 5 * time.Second
	answersAtOnce  = 8
	answersWaiting = 256
)

// Hooks let a test stop the process at the points that matter. Each may be nil.
type Hooks struct {
	BatchReceived func() // updates have arrived, none is handled
	Handled       func() // Handle returned nil, the offset has not moved yet
	BeforeConfirm func() // the next call tells the server what was handled
}

func call(hook func()) {
	if hook != nil {
		hook()
	}
}

// Poller takes updates from the server and hands them on, one at a time and in
// the order of their ids.
//
// An update is confirmed to the server only by a call made after Handle
// returned nil for it (or Quarantine did): what a killed process had not
// committed comes again. So does what it had committed but not yet confirmed;
// Handle must take an update that comes twice.
//
// The offset is the last handled id + 1 by assignment. Ids restart anywhere,
// lower too, after a week without news.
type Poller struct {
	Client *Client
	// Handle commits one update. Its context outlives the one given to Run by
	// 2.5 s, so that a stop does not break off a transaction. On an error
	// or a panic the same update comes again, after a while; after 5 errors or
	// 2 panics it goes to Quarantine. Its errors are logged, so they hold no
	// words of people. It must not call Drain. Message.From may be nil, also
	// where Chat is not.
	Handle func(context.Context, Update) error
	// Quarantine keeps an update that cannot be read or handled: raw as it
	// came, its id (0 if it has none) and why. While it fails, nothing moves
	// on, and Handle gets the update again in between, as then the fault is
	// hardly the update's.
	Quarantine func(ctx context.Context, raw []byte, id int, reason string) error
	// Answer ends the waiting mark on a tapped button, beside the handling and
	// before it, best effort; nil answers without words. It ends with its
	// context, after 5 s.
	Answer func(context.Context, tgbotapi.CallbackQuery)
	// Timeout of the long poll, in whole seconds, at least 1; 0 means 50 s.
	Timeout time.Duration
	// Jitter gives how much of a pause d to wait, between 0 and d, so that
	// many do not call again at once; nil means all of it. A pause that the
	// server asked for is always kept in full.
	Jitter func(d time.Duration) time.Duration
	Logger *slog.Logger // nil discards
	Hooks  Hooks

	start    sync.Once
	turn     chan struct{} // holds one token while somebody polls or handles
	slots    chan struct{} // bounds answers on their way
	running  atomic.Bool
	lastPoll atomic.Int64 // Unix nanoseconds
	pulse    atomic.Int64 // the same, see Pulse

	mu        sync.Mutex
	drains    int                // calls of Drain in progress
	drained   chan struct{}      // closed when drains is 0 again
	interrupt context.CancelFunc // ends the long poll in progress, or nil
	answers   int                // answers to taps not finished
	answered  chan struct{}      // closed when answers is 0 again

	// asked is when it was last certain that nothing waits unseen; only Run uses it.
	asked time.Time

	// The rest belongs to whoever has the turn.
	offset      int       // 0 before the first update
	unconfirmed bool      // something was handled that the server was not told
	notBefore   time.Time // the server asked for quiet until then
	limit       int
	// unnamed are digests of updates without an id that were quarantined: they
	// may come again, as they cannot be confirmed.
	unnamed map[[sha256.Size]byte]bool
}

func (p *Poller) init() {
	p.start.Do(func() {
		p.turn = make(chan struct{}, 1)
		p.slots = make(chan struct{}, answersAtOnce)
		p.limit = batchMax
		p.unnamed = map[[sha256.Size]byte]bool{}
		if p.Timeout <= 0 {
			p.Timeout = pollTimeout
		}
		p.Timeout = max(p.Timeout, pollTimeoutMin)
		if p.Logger == nil {
			p.Logger = slog.New(slog.DiscardHandler)
		}
	})
}

// LastPoll is when the server last answered a poll; zero before the first.
func (p *Poller) LastPoll() time.Time {
	n := p.lastPoll.Load()
	if n == 0 {
		return time.Time{}
	}
	return time.Unix(0, n)
}

// Pulse is the last sign of life: a call that came back, well or not, or a try
// to handle something. While the server has asked for quiet it is the end of
// that, ahead of now. One that grows old means that something hangs for good.
func (p *Poller) Pulse() time.Time {
	n := p.pulse.Load()
	if n == 0 {
		return time.Time{}
	}
	return time.Unix(0, n)
}

func (p *Poller) beat(at time.Time) { p.pulse.Store(at.UnixNano()) }

// Run polls until ctx ends, then lets the Handle in progress finish, tells the
// server in one short call what was handled (2 s at most) and returns nil. It
// returns an error only when the token is not accepted; everything else is
// logged and tried again.
func (p *Poller) Run(ctx context.Context) error {
	p.init()
	if !p.running.CompareAndSwap(false, true) {
		return errors.New("telegram: this poller is running already")
	}
	defer p.running.Store(false)
	defer p.awaitAnswers(context.WithoutCancel(ctx))
	fails := 0
	p.asked = time.Now()
	for ctx.Err() == nil {
		if !p.acquire(ctx) {
			break
		}
		begin := time.Now()
		n, err := p.longPoll(ctx)
		p.release()
		switch {
		case err == nil:
			fails = 0
			if n == 0 && time.Since(begin) < pollTimeoutMin {
				// Nothing, and at once: something on the way does not hold
				// polls. Asking on without a pause would be a flood.
				pause(ctx, backoffFirst)
			}
			if n == 0 {
				p.listen(ctx)
			} else {
				p.asked = time.Now()
			}
		case ctx.Err() != nil:
		case errors.Is(err, errInterrupted):
			p.awaitDrains(ctx)
		case ClassOf(err) == Unauthorized:
			p.Logger.LogAttrs(ctx, slog.LevelError, "telegram polling ends", slog.String("event", "poll.ends"), slog.String("error", err.Error()))
			return err
		default:
			fails++
			p.report(ctx, err, fails)
			if ClassOf(err) == Network {
				// A connection that is dead and does not say so would be used again.
				p.Client.Close()
			}
			pause(ctx, p.backoff(err, fails))
		}
	}
	p.confirm(ctx)
	return nil
}

// listen asks, after a while of polls without news, whether updates wait at the
// server all the same. Then the offset is not what the server takes it for, and
// the next poll begins without one: what was handled before and comes again is
// known by its meaning.
func (p *Poller) listen(ctx context.Context) {
	if time.Since(p.asked) < deafAfter {
		return
	}
	p.asked = time.Now()
	waiting, err := p.Client.Waiting(ctx)
	if err != nil || waiting == 0 {
		return // a server that does not say is polled as ever
	}
	if !p.acquire(ctx) {
		return
	}
	defer p.release()
	// It may have come between the two calls.
	if n, err := p.poll(ctx, 0); err != nil || n > 0 || p.offset == 0 {
		return
	}
	p.Logger.LogAttrs(ctx, slog.LevelError, "updates wait at the server and polls do not bring them; asking for all of them", slog.String("event", "poll.deaf"), slog.Int("waiting", waiting))
	p.offset, p.unconfirmed = 0, false
}

// Drain handles all updates that wait at the server now, until it has none. It
// interrupts a long poll of Run, which goes on afterwards; the two never
// handle at the same time. It returns nil when the server had no more, else
// the reason why it could not go on.
func (p *Poller) Drain(ctx context.Context) error {
	p.init()
	p.mu.Lock()
	if p.drains == 0 {
		p.drained = make(chan struct{})
	}
	p.drains++
	if p.interrupt != nil {
		p.interrupt()
	}
	p.mu.Unlock()
	defer func() {
		p.mu.Lock()
		defer p.mu.Unlock()
		if p.drains--; p.drains == 0 {
			close(p.drained)
		}
	}()
	if !p.acquire(ctx) {
		return ended(ctx)
	}
	defer p.release()
	fails := 0
	for {
		n, err := p.poll(ctx, 0)
		switch {
		case ctx.Err() != nil:
			return ended(ctx)
		case err == nil && n == 0:
			p.awaitAnswers(ctx)
			return nil
		case err == nil:
			fails = 0
			continue
		}
		fails++
		p.report(ctx, err, fails)
		if ClassOf(err) == Unauthorized || fails >= drainTries {
			return fmt.Errorf("telegram: taking the waiting updates: %w", err)
		}
		if !pause(ctx, p.backoff(err, fails)) {
			return ended(ctx)
		}
	}
}

func ended(ctx context.Context) error {
	return fmt.Errorf("telegram: taking the waiting updates: %w", context.Cause(ctx))
}

func (p *Poller) acquire(ctx context.Context) bool {
	select {
	case p.turn <- struct{}{}:
		return true
	case <-ctx.Done():
		return false
	}
}

func (p *Poller) release() { <-p.turn }

// errInterrupted: a Drain wants the turn.
var errInterrupted = errors.New("interrupted")

// errNoProgress: a batch held only updates that cannot be confirmed.
var errNoProgress = errors.New("the server keeps sending an update without an id")

// longPoll is one poll that Drain may interrupt while it waits.
func (p *Poller) longPoll(ctx context.Context) (n int, err error) {
	pollCtx, cancel := context.WithCancel(ctx)
	defer cancel()
	p.mu.Lock()
	if p.drains > 0 {
		p.mu.Unlock()
		return 0, errInterrupted
	}
	p.interrupt = cancel
	p.mu.Unlock()
	raw, err := p.fetch(pollCtx, p.Timeout)
	p.mu.Lock()
	p.interrupt = nil
	p.mu.Unlock()
	if err != nil {
		if pollCtx.Err() != nil && ctx.Err() == nil {
			return 0, errInterrupted
		}
		return 0, err
	}
	return len(raw), p.batch(ctx, raw)
}

// poll takes and handles one batch. n is its size.
func (p *Poller) poll(ctx context.Context, timeout time.Duration) (n int, err error) {
	raw, err := p.fetch(ctx, timeout)
	if err != nil {
		return 0, err
	}
	return len(raw), p.batch(ctx, raw)
}

// awaitDrains waits until no Drain is in progress.
func (p *Poller) awaitDrains(ctx context.Context) {
	p.mu.Lock()
	ch, busy := p.drained, p.drains > 0
	p.mu.Unlock()
	if !busy {
		return
	}
	select {
	case <-ch:
	case <-ctx.Done():
	}
}

// fetch asks for updates, not before the server allows it.
func (p *Poller) fetch(ctx context.Context, timeout time.Duration) ([]json.RawMessage, error) {
	if wait := time.Until(p.notBefore); wait > 0 {
		p.beat(p.notBefore)
		if !pause(ctx, wait) {
			return nil, ctx.Err()
		}
	}
	if p.unconfirmed {
		call(p.Hooks.BeforeConfirm)
	}
	raw, err := p.Client.GetUpdates(ctx, p.offset, p.limit, timeout, AllowedUpdates())
	p.beat(time.Now())
	if err != nil {
		var e *Error
		if errors.As(err, &e) {
			if e.Class == RateLimited {
				p.notBefore = time.Now().Add(e.RetryAfter)
			}
			if e.Class == Server && e.Code == 200 {
				// The answer came and could not be read: fewer updates at once
				// get past one that is too large or broken.
				p.limit = max(1, p.limit/10)
			}
		}
		return nil, err
	}
	p.lastPoll.Store(time.Now().UnixNano())
	p.unconfirmed, p.limit = false, min(batchMax, p.limit*10)
	return raw, nil
}

// batch handles updates in order and moves the offset after each.
func (p *Poller) batch(ctx context.Context, raws []json.RawMessage) error {
	if len(raws) == 0 {
		return nil
	}
	call(p.Hooks.BatchReceived)
	type item struct {
		raw    json.RawMessage
		update Update
		id     int
		err    error
	}
	items := make([]item, len(raws))
	for i, raw := range raws {
		u, id, err := DecodeUpdate(raw)
		items[i] = item{raw, u, id, err}
		if err == nil && u.CallbackQuery != nil {
			// A tap waits for its answer 150 s at most, so answers go out
			// before the first update is handled.
			p.answer(ctx, *u.CallbackQuery)
		}
	}
	if !slices.ContainsFunc(items, func(it item) bool { return it.id == 0 }) {
		// Out of order, a stop in between would confirm what was not handled.
		slices.SortStableFunc(items, func(a, b item) int { return cmp.Compare(a.id, b.id) })
	}
	moved := false
	for _, it := range items {
		if ctx.Err() != nil {
			return ctx.Err() // the rest stays at the server
		}
		var err error
		again := it.id == 0 && p.unnamed[sha256.Sum256(it.raw)]
		switch {
		case it.err == nil:
			err = p.handle(ctx, it.raw, it.update)
		case !again:
			p.Logger.LogAttrs(ctx, slog.LevelError, "an update cannot be read", slog.String("event", "update.unreadable"), slog.Int("update", it.id))
			err = p.quarantine(ctx, it.raw, it.id, it.err.Error(), nil)
		}
		if err != nil {
			return err
		}
		moved = moved || !again
		if it.id != 0 {
			p.offset, p.unconfirmed = it.id+1, true
			continue
		}
		if len(p.unnamed) >= unnamedMax {
			clear(p.unnamed)
		}
		p.unnamed[sha256.Sum256(it.raw)] = true
		if p.offset > 0 {
			// Ids rise within a batch, so the one missing is at least the
			// offset: confirming that much gives up nothing unhandled.
			p.offset, p.unconfirmed = p.offset+1, true
		}
	}
	if !moved {
		return errNoProgress
	}
	return nil
}

// handle returns nil once the update is committed or quarantined, else the
// reason why it is not: ctx ended.
func (p *Poller) handle(ctx context.Context, raw []byte, u Update) error {
	errs, panics := 0, 0
	for {
		err, panicked := p.try(ctx, func(ctx context.Context) error { return p.Handle(ctx, u) })
		log := []slog.Attr{slog.Int("update", u.UpdateID), slog.Int("try", errs+panics+1)}
		switch {
		case panicked:
			panics++
			// err says what panicked, without the words of anybody.
			p.Logger.LogAttrs(ctx, slog.LevelError, "handling an update panicked", append(log, slog.String("event", "update.panicked"), slog.String("panic", err.Error()))...)
		case err != nil:
			errs++
			p.Logger.LogAttrs(ctx, slog.LevelWarn, "handling an update failed", append(log, slog.String("event", "update.failed"), slog.String("error", err.Error()))...)
		default:
			call(p.Hooks.Handled)
			return nil
		}
		if ctx.Err() != nil {
			return ctx.Err() // not confirmed, so the server sends it again
		}
		if panics >= panicsMax {
			return p.quarantine(ctx, raw, u.UpdateID, fmt.Sprintf("handling panicked %d times: %v", panics, err), nil)
		}
		if errs >= errorsMax {
			return p.quarantine(ctx, raw, u.UpdateID, fmt.Sprintf("handling failed %d times: %v", errs, err), func(ctx context.Context) error { return p.Handle(ctx, u) })
		}
		if !pause(ctx, p.jitter(exponential(backoffFirst, errs+panics))) {
			return ctx.Err()
		}
	}
}

// quarantine puts an update aside. It goes on until that worked, or ctx ends,
// or, if again is given, until that works after all: as long as nothing can be
// stored the fault is not the update's.
func (p *Poller) quarantine(ctx context.Context, raw []byte, id int, reason string, again func(context.Context) error) error {
	for tries := 1; ; tries++ {
		err, _ := p.try(ctx, func(ctx context.Context) error { return p.Quarantine(ctx, raw, id, reason) })
		if err == nil {
			return nil
		}
		p.Logger.LogAttrs(ctx, slog.LevelError, "an update could not be quarantined; nothing moves on until it is", slog.String("event", "update.not_kept"), slog.Int("update", id), slog.Int("try", tries), slog.String("error", err.Error()))
		if !pause(ctx, p.jitter(exponential(backoffFirst, tries))) {
			return ctx.Err()
		}
		if again == nil {
			continue
		}
		if err, panicked := p.try(ctx, again); err == nil {
			call(p.Hooks.Handled)
			return nil
		} else if panicked {
			again = nil
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
	}
}

// try calls f with a context that outlives ctx a little, and recovers. The error of a
// panic says its kind and place but not its value, which may hold a person's
// words; a runtime error's text is safe.
func (p *Poller) try(ctx context.Context, f func(context.Context) error) (err error, panicked bool) {
	p.beat(time.Now())
	stopping := ctx
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), handleMax)
	defer cancel()
	defer context.AfterFunc(stopping, func() {
		timer := time.AfterFunc(handleGrace, cancel)
		context.AfterFunc(ctx, func() { timer.Stop() })
	})()
	done := false
	defer func() {
		if done {
			return
		}
		v := recover()
		what := fmt.Sprintf("a value of type %T", v)
		if r, ok := v.(runtime.Error); ok {
			what = r.Error()
		}
		err, panicked = fmt.Errorf("%s at %s", what, PanicPlace(debug.Stack())), true
	}()
	err = f(ctx)
	done = true
	return err, false
}

// PanicPlace is the function and line that panicked, from a stack trace: what
// may be logged of a panic, whose value may hold people's words.
func PanicPlace(stack []byte) string {
	_, after, found := strings.Cut(string(stack), "\npanic(")
	lines := strings.Split(after, "\n")
	if !found {
		return "an unknown place"
	}
	// Line 0 ends the panic call, 1 is its position; frames follow in pairs.
	for i := 2; i+1 < len(lines); i += 2 {
		if name := lines[i]; !strings.HasPrefix(name, "runtime.") && !strings.HasPrefix(name, "panic(") {
			position, _, _ := strings.Cut(strings.TrimSpace(lines[i+1]), " ")
			if j := strings.LastIndex(name, "("); j > 0 {
				name = name[:j] // arguments are addresses
			}
			return name + " (" + position[strings.LastIndex(position, "/")+1:] + ")"
		}
	}
	return "an unknown place"
}

// answer ends the waiting mark of a tap in the background.
func (p *Poller) answer(ctx context.Context, q tgbotapi.CallbackQuery) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.answers >= answersWaiting {
		return
	}
	if p.answers++; p.answers == 1 {
		p.answered = make(chan struct{})
	}
	go func() {
		defer func() {
			p.mu.Lock()
			defer p.mu.Unlock()
			if p.answers--; p.answers == 0 {
				close(p.answered)
			}
		}()
		p.slots <- struct{}{}
		defer func() { <-p.slots }()
		err, panicked := p.try(ctx, func(ctx context.Context) error {
			ctx, cancel := context.WithTimeout(ctx, answerMax)
			defer cancel()
			if p.Answer != nil {
				p.Answer(ctx, q)
				return nil
			}
			return p.Client.AnswerCallback(ctx, q.ID, "", false)
		})
		if err != nil {
			level := slog.LevelInfo
			if panicked {
				level = slog.LevelError
			}
			p.Logger.LogAttrs(ctx, level, "a tap was not answered", slog.String("event", "tap.unanswered"), slog.String("error", err.Error()))
		}
	}()
}

// awaitAnswers waits until no answer to a tap is on its way.
func (p *Poller) awaitAnswers(ctx context.Context) {
	p.mu.Lock()
	ch, busy := p.answered, p.answers > 0
	p.mu.Unlock()
	if !busy {
		return
	}
	select {
	case <-ch:
	case <-ctx.Done():
	}
}

// confirm tells the server, before the process ends, what was handled. Without
// it the last batch would come again at the next start. The update that may
// come with the answer is not confirmed and stays at the server.
func (p *Poller) confirm(ctx context.Context) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), confirmMax)
	defer cancel()
	if !p.acquire(ctx) {
		return
	}
	defer p.release()
	if !p.unconfirmed || time.Until(p.notBefore) > 0 {
		return
	}
	call(p.Hooks.BeforeConfirm)
	if _, err := p.Client.GetUpdates(ctx, p.offset, 1, 0, AllowedUpdates()); err != nil {
		p.Logger.LogAttrs(ctx, slog.LevelInfo, "the last updates could not be confirmed; they come again at the next start", slog.String("event", "poll.unconfirmed"), slog.String("error", err.Error()))
		return
	}
	p.unconfirmed = false
}

// report logs a failed poll: the first of a series and then each power of two,
// so that a night without a network does not fill the log.
func (p *Poller) report(ctx context.Context, err error, fails int) {
	if fails&(fails-1) != 0 {
		return
	}
	level, event, message := slog.LevelWarn, "poll.failed", "polling failed; trying again"
	switch ClassOf(err) {
	case Conflict:
		level, event, message = slog.LevelError, "poll.conflict", "another process takes this bot's updates, or a webhook is set: stop it, or delete the webhook; trying again"
	case Rejected:
		level, event = slog.LevelError, "poll.rejected"
	}
	p.Logger.LogAttrs(ctx, level, message, slog.String("event", event), slog.Int("failures", fails), slog.String("error", err.Error()))
}

// backoff is the pause after a failed call. A 429 is obeyed by fetch, to the
// instant; without a time from the server it counts as any failure.
func (p *Poller) backoff(err error, fails int) time.Duration {
	var e *Error
	if errors.As(err, &e) {
		switch {
		case e.Class == RateLimited && e.RetryAfter > 0:
			return 0
		case e.Class == Conflict:
			return p.jitter(exponential(backoffConflict, fails))
		}
	}
	return p.jitter(exponential(backoffFirst, fails))
}

// exponential is first, doubled for each failure after the first, up to 30 s.
func exponential(first time.Duration, fails int) time.Duration {
	d := first
	for i := 1; i < fails && d < backoffMax; i++ {
		d *= 2
	}
	return min(d, backoffMax)
}

func (p *Poller) jitter(d time.Duration) time.Duration {
	if p.Jitter == nil {
		return d
	}
	return min(max(p.Jitter(d), 0), d)
}

// pause waits for d of real time and reports whether ctx still goes on.
func pause(ctx context.Context, d time.Duration) bool {
	if d <= 0 {
		return ctx.Err() == nil
	}
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
		return ctx.Err() == nil
	case <-ctx.Done():
		return false
	}
}

// DecodeUpdate reads one update and checks what every handler relies on: an
// id, and the chat or person that the documentation says is always there. On
// an error the id is given if it could be made out, else 0.
func DecodeUpdate(raw []byte) (u Update, id int, err error) {
	var named struct {
		ID json.RawMessage `json:"update_id"`
	}
	if err := json.Unmarshal(raw, &named); err != nil {
		return Update{}, 0, fmt.Errorf("not an update: %w", err)
	}
	// A number, or one in quotes. 0 and below would mean something else as an
	// offset.
	id64, err := strconv.ParseInt(strings.Trim(string(named.ID), `"`), 10, 64)
	if err != nil || id64 <= 0 || id64 >= math.MaxInt {
		return Update{}, 0, errors.New("the update has no usable update_id")
	}
	id = int(id64)
	if err := json.Unmarshal(raw, &u); err != nil {
		return Update{}, id, fmt.Errorf("the update does not have the form the API describes: %w", err)
	}
	u.UpdateID = id
	missing := ""
	switch {
	case u.Message != nil && u.Message.Chat == nil:
		missing = "message.chat"
	case u.EditedMessage != nil && u.EditedMessage.Chat == nil:
		missing = "edited_message.chat"
	case u.CallbackQuery != nil && u.CallbackQuery.From == nil:
		missing = "callback_query.from"
	case u.CallbackQuery != nil && u.CallbackQuery.ID == "":
		missing = "callback_query.id"
	case u.CallbackQuery != nil && u.CallbackQuery.Message != nil && u.CallbackQuery.Message.Chat == nil:
		missing = "callback_query.message.chat"
	}
	if missing != "" {
		return Update{}, id, fmt.Errorf("the update lacks %s", missing)
	}
	return u, id, nil
}
