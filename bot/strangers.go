package bot

import (
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// strangers limits what people without an invitation can cause. It is memory
// only, and bounded: when it is full, the chat that was quiet longest is
// forgotten.
type strangers struct {
	mu    sync.Mutex
	chats map[int64]*stranger
	// greets and helps bound what goes out to all of them together: a crowd must
	// not take the pace away from the club.
	greets, helps *rate.Limiter
}

// [ours] Of the 27 messages a second of the whole bot.
const (
	greetsPerSecond = 2
	helpsPerSecond  = 5
	crowdBurst      = 10
)

type stranger struct {
	tries  *rate.Limiter // of invitation codes
	greets *rate.Limiter
	last   time.Time
}

const strangersMax = 1000

func (s *strangers) of(chat int64, now time.Time) *stranger {
	st := s.chats[chat]
	if st == nil {
		if s.chats == nil {
			s.chats = map[int64]*stranger{}
		}
		if len(s.chats) >= strangersMax {
			s.forget()
		}
		st = &stranger{
			tries:  rate.NewLimiter(rate.Every(10*time.Second), 10),
			greets: rate.NewLimiter(rate.Every(time.Minute), 2),
		}
		s.chats[chat] = st
	}
	st.last = now
	return st
}

// forget drops the chat that was quiet longest.
func (s *strangers) forget() {
	idlest := int64(0)
	for chat, st := range s.chats {
		was, ok := s.chats[idlest]
		if !ok || st.last.Before(was.last) || st.last.Equal(was.last) && chat < idlest {
			idlest = chat
		}
	}
	delete(s.chats, idlest)
}

// allow reports whether the chat may try an invitation code now.
func (s *strangers) allow(chat int64, now time.Time) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.of(chat, now).tries.AllowN(now, 1)
}

// greet reports whether the chat is told again how to get in or, where sign
// says that it told of a warning sign, what helps.
func (s *strangers) greet(chat int64, sign bool, now time.Time) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.greets == nil {
		s.greets, s.helps = rate.NewLimiter(greetsPerSecond, crowdBurst), rate.NewLimiter(helpsPerSecond, crowdBurst)
	}
	st := s.of(chat, now)
	if sign {
		return (st.greets.AllowN(now, 1) || st.tries.AllowN(now, 1)) && s.helps.AllowN(now, 1)
	}
	return st.greets.AllowN(now, 1) && s.greets.AllowN(now, 1)
}
