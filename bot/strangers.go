package bot

import (
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// strangers limits what people without an invitation can cause. It is memory
// only, and bounded: when it is full, unknown chats get no answer until it is
// emptied.
type strangers struct {
	mu    sync.Mutex
	chats map[int64]*stranger
	since time.Time
}

type stranger struct {
	tries  *rate.Limiter // of invitation codes
	greets *rate.Limiter
}

const (
	strangersMax   = 1000
	strangersReset = time.Hour
)

func (s *strangers) of(chat int64, now time.Time) *stranger {
	if s.chats == nil || now.Sub(s.since) > strangersReset {
		s.chats, s.since = map[int64]*stranger{}, now
	}
	st := s.chats[chat]
	if st == nil {
		if len(s.chats) >= strangersMax {
			return nil
		}
		st = &stranger{
			tries:  rate.NewLimiter(rate.Every(10*time.Second), 10),
			greets: rate.NewLimiter(rate.Every(time.Minute), 2),
		}
		s.chats[chat] = st
	}
	return st
}

// allow reports whether the chat may try an invitation code now.
func (s *strangers) allow(chat int64, now time.Time) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	st := s.of(chat, now)
	return st != nil && st.tries.AllowN(now, 1)
}

// greet reports whether the chat is told again how to get in.
func (s *strangers) greet(chat int64, now time.Time) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	st := s.of(chat, now)
	return st != nil && st.greets.AllowN(now, 1)
}
