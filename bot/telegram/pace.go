package telegram

import (
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// The API's limits, from core.telegram.org/bots/faq ("My bot is hitting
// limits"): about 30 messages a second in all, about one a second in a chat
// with short bursts above it, 20 a minute in a group. A bucket lets through
// burst + rate × span, so in a group the two together make up the limit in every
// minute, wherever it begins. In all, the limit itself is the pace: the span is a
// little longer than a second, since messages may be further apart when they
// leave than when they arrive.
const (
	allMax         = 30
	allSpan        = time.Second + 15*time.Millisecond
	chatBurst      = 3
	chatPerSecond  = 1
	groupBurst     = 3
	groupPerMinute = 17 // + burst 3 = 20 in any minute

	// floodChats different chats refused within floodWindow mean that the
	// whole bot writes too fast, not one chat.
	floodChats  = 3
	floodWindow = 10 * time.Second

	// refusedPause stands in for a refusal that does not say how long.
	refusedPause = time.Second

	// sweepMin is how many chats are remembered before idle ones are looked for.
	sweepMin = 256
)

// Pacer says when a chat may be written to. It waits for nothing and takes the
// time from its caller, so one chat that has to wait never delays another. It
// may be used at the same time from several goroutines; a clock that jumps
// back gives no message early and none later than its wait.
type Pacer struct {
	mu    sync.Mutex
	all   *window
	chats map[int64]*chatPace
	sweep int // size of chats at which idle ones are forgotten

	closed  time.Time // nobody is written to before
	refused []refusal429

	last  time.Time     // the latest time given
	shift time.Duration // added to the time given, so that it never goes back
}

type chatPace struct {
	limits []*rate.Limiter
	closed time.Time // not before
}

// window lets through n in any span, wherever it begins. A bucket that promises
// the same gives away its burst in every window after the first, and what a late
// wake-up costs it is lost.
type window struct {
	span time.Duration
	at   []time.Time // of the last n, a ring
	next int         // the oldest of them
}

func newWindow(n int, span time.Duration) *window {
	return &window{span: span, at: make([]time.Time, n)}
}

// wait is how long until the next may go.
func (w *window) wait(now time.Time) time.Duration {
	oldest := w.at[w.next]
	if oldest.IsZero() {
		return 0
	}
	return max(0, w.span-now.Sub(oldest))
}

func (w *window) take(now time.Time) {
	w.at[w.next] = now
	w.next = (w.next + 1) % len(w.at)
}

type refusal429 struct {
	chat      int64
	at, until time.Time
}

// NewPacer returns a Pacer to which nothing has been sent.
func NewPacer() *Pacer {
	return &Pacer{
		all:   newWindow(allMax, allSpan),
		chats: map[int64]*chatPace{},
		sweep: sweepMin,
	}
}

// Reserve takes the right to send one message to chat now and returns 0, or
// takes nothing and returns how long to wait before asking again (above 0).
// A negative chat id is a group's.
func (p *Pacer) Reserve(chat int64, now time.Time) time.Duration {
	p.mu.Lock()
	defer p.mu.Unlock()
	now = p.forward(now)
	if wait := p.wait(chat, now); wait > 0 {
		return wait
	}
	c := p.chat(chat, now)
	p.all.take(now)
	for _, l := range c.limits {
		l.AllowN(now, 1)
	}
	return 0
}

// Ready is how long to wait before Reserve would return 0, without taking
// anything.
func (p *Pacer) Ready(chat int64, now time.Time) time.Duration {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.wait(chat, p.forward(now))
}

// Note429 records that the server refused a message to chat and asked not to
// be called for retryAfter. The chat is closed that long, to the instant;
// after refusals in 3 different chats within 10 s all chats are, for the
// shortest of their times. chat 0 is a refusal of no chat in particular and
// closes all.
func (p *Pacer) Note429(chat int64, retryAfter time.Duration, now time.Time) {
	p.mu.Lock()
	defer p.mu.Unlock()
	now = p.forward(now)
	if retryAfter <= 0 {
		retryAfter = refusedPause
	}
	until := now.Add(retryAfter)
	if chat == 0 {
		p.closed = later(p.closed, until)
		return
	}
	c := p.chat(chat, now)
	c.closed = later(c.closed, until)

	kept := p.refused[:0]
	for _, r := range p.refused {
		if r.chat != chat && now.Sub(r.at) < floodWindow {
			kept = append(kept, r)
		}
	}
	p.refused = append(kept, refusal429{chat, now, until})
	if n := len(p.refused); n >= floodChats {
		p.refused = append(p.refused[:0], p.refused[n-floodChats:]...)
		// What they have in common is the shortest of the times asked for: one
		// chat that is closed for an hour must not close the others as long.
		for _, r := range p.refused {
			if r.until.Before(until) {
				until = r.until
			}
		}
		p.closed = later(p.closed, until)
	}
}

// forward is now on a time line that never goes back: after a jump back it
// goes on from the latest time, at the pace of the new clock.
func (p *Pacer) forward(now time.Time) time.Time {
	now = now.Round(0).Add(p.shift)
	if now.Before(p.last) {
		p.shift += p.last.Sub(now)
		now = p.last
	}
	p.last = now
	return now
}

func (p *Pacer) wait(chat int64, now time.Time) time.Duration {
	wait := max(p.closed.Sub(now), p.all.wait(now))
	if c := p.chats[chat]; c != nil {
		wait = max(wait, c.closed.Sub(now))
		for _, l := range c.limits {
			wait = max(wait, until(l, now))
		}
	}
	return wait
}

// until is how long the limiter has to be waited for.
func until(l *rate.Limiter, now time.Time) time.Duration {
	r := l.ReserveN(now, 1)
	d := r.DelayFrom(now)
	r.CancelAt(now)
	return d
}

// chat is the entry of a chat, made if there is none.
func (p *Pacer) chat(id int64, now time.Time) *chatPace {
	if c := p.chats[id]; c != nil {
		return c
	}
	if len(p.chats) >= p.sweep {
		for id, c := range p.chats {
			if c.idle(now) {
				delete(p.chats, id)
			}
		}
		// Twice what is in use: looking through costs a constant each.
		p.sweep = max(sweepMin, 2*len(p.chats))
	}
	c := &chatPace{limits: []*rate.Limiter{rate.NewLimiter(chatPerSecond, chatBurst)}}
	if id < 0 {
		c.limits = append(c.limits, rate.NewLimiter(rate.Limit(groupPerMinute)/60, groupBurst))
	}
	p.chats[id] = c
	return c
}

// idle reports whether the entry says nothing that a new one would not.
func (c *chatPace) idle(now time.Time) bool {
	if now.Before(c.closed) {
		return false
	}
	for _, l := range c.limits {
		if l.TokensAt(now) < float64(l.Burst()) {
			return false
		}
	}
	return true
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}
