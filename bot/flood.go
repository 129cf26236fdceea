package bot

import (
	"sync"
	"time"

	"golang.org/x/time/rate"

	"pegcard/bot/telegram"
)

// How much one person is listened to. [ours] A session logged set by set with
// all its questions is about 40 messages and taps, and takes most of an hour.
const (
	talkBurst     = 40
	talkPerMinute = 40
	// talkersMax is how many people are remembered before those who are quiet are
	// forgotten.
	talkersMax = 1000
)

// talkers keeps one account that writes without end, by fault or on purpose,
// from holding up everybody else.
type talkers struct {
	mu     sync.Mutex
	people map[int64]*talker
}

type talker struct {
	limit *rate.Limiter
	told  bool // that it is too much, since it last was not
}

// allow reports whether an update of the account is handled, and, if not,
// whether the account is to be told so now.
func (s *talkers) allow(user int64, now time.Time) (ok, tell bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	t := s.people[user]
	if t == nil {
		if len(s.people) >= talkersMax {
			for id, t := range s.people {
				if t.limit.TokensAt(now) >= talkBurst {
					delete(s.people, id)
				}
			}
		}
		if s.people == nil {
			s.people = map[int64]*talker{}
		}
		t = &talker{limit: rate.NewLimiter(rate.Limit(talkPerMinute)/60, talkBurst)}
		s.people[user] = t
	}
	if t.limit.AllowN(now, 1) {
		t.told = false
		return true, false
	}
	tell, t.told = !t.told, true
	return false, tell
}

// tellsSigns are the buttons that answer whether there is a warning sign.
var tellsSigns = map[string]bool{"pg": true, "ill": true}

// urgent reports whether the update may tell of a warning sign: it is handled
// however much was written before.
func urgent(u telegram.Update, lang string) bool {
	if u.CallbackQuery != nil {
		return tellsSigns[readTap(u.CallbackQuery.Data).verb]
	}
	m := messageOf(u)
	return m == nil || tellsSign(m.Text+" "+m.Caption, lang)
}
