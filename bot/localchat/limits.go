package localchat

import (
	"math"
	"time"

	"golang.org/x/time/rate"
)

// Limits are the sending limits; a zero field is off.
// Source: "My bot is hitting limits, how do I avoid this?" in the Bot API
// FAQ (https://core.telegram.org/bots/faq): about 30 messages a second in
// all, 1 a second in one chat with short bursts allowed, 20 a minute in a
// group.
type Limits struct {
	PerSecondAll      int
	PerChatPerSecond  float64
	ChatBurst         int // messages that may come at once in one chat; at least 1
	PerGroupPerMinute int
}

// DefaultLimits are the documented ones, with a burst of 5: the size of the
// burst is not documented, and one answer of a bot may be several messages.
func DefaultLimits() Limits {
	return Limits{PerSecondAll: 30, PerChatPerSecond: 1, ChatBurst: 5, PerGroupPerMinute: 20}
}

type limiter struct {
	limits Limits
	all    *rate.Limiter
	chats  map[int64]*rate.Limiter
	groups map[int64]*rate.Limiter
}

func newLimiter(l Limits) *limiter {
	r := &limiter{limits: l, chats: map[int64]*rate.Limiter{}, groups: map[int64]*rate.Limiter{}}
	if l.PerSecondAll > 0 {
		r.all = rate.NewLimiter(rate.Limit(l.PerSecondAll), l.PerSecondAll)
	}
	return r
}

// take takes one message's room, or says in how many whole seconds there
// will be room again and takes nothing.
func (l *limiter) take(ch *chat, now time.Time) (wait int) {
	var asked []*rate.Limiter
	if l.all != nil {
		asked = append(asked, l.all)
	}
	if ch.isGroup() {
		if n := l.limits.PerGroupPerMinute; n > 0 {
			asked = append(asked, bucket(l.groups, ch.id, rate.Limit(float64(n)/60), n))
		}
	} else if n := l.limits.PerChatPerSecond; n > 0 {
		asked = append(asked, bucket(l.chats, ch.id, rate.Limit(n), max(l.limits.ChatBurst, 1)))
	}
	var longest time.Duration
	taken := make([]*rate.Reservation, 0, len(asked))
	for _, a := range asked {
		r := a.ReserveN(now, 1)
		taken = append(taken, r)
		longest = max(longest, r.DelayFrom(now))
	}
	if longest == 0 {
		return 0
	}
	for _, r := range taken {
		r.CancelAt(now)
	}
	return int(math.Ceil(longest.Seconds()))
}

func bucket(m map[int64]*rate.Limiter, id int64, every rate.Limit, burst int) *rate.Limiter {
	b, ok := m[id]
	if !ok {
		b = rate.NewLimiter(every, burst)
		m[id] = b
	}
	return b
}
