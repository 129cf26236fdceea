package localchat

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync"
	"time"
)

// Clock lets the page show the civil clock and move it forward. A nil Now
// hides the panel; a nil MoveTo shows the time without the controls; a nil
// Next shows no next event. The functions are called from several goroutines;
// Now and Next must not wait for a move that is under way, or the page cannot
// show it, and none may call SetClock or SetScenes.
type Clock struct {
	Now func() time.Time
	// Next is the next instant at which something is due, strictly after
	// Now, with a short label such as "morning cards". It is asked about
	// once a second while a page is open.
	Next func() (at time.Time, label string, ok bool)
	// MoveTo steps the clock to an instant and returns when all that was due
	// on the way has been done.
	MoveTo func(ctx context.Context, to time.Time) error
}

// SetClock replaces Options.Clock.
func (s *Server) SetClock(c Clock) {
	s.board.mu.Lock()
	defer s.board.mu.Unlock()
	s.board.clock = c
	s.board.at = time.Time{}
}

// boardState is the clock, the guided strip and the last picture of both.
type boardState struct {
	moving sync.Mutex // held during a move

	mu     sync.Mutex
	clock  Clock
	scenes []Scene
	done   []bool
	isMove bool
	at     time.Time // real time of last
	last   board
}

// board is what the top of the page shows.
type board struct {
	Clock  *clockView  `json:"clock"`
	Scenes []sceneView `json:"scenes"`
}

type clockView struct {
	Day     string    `json:"day"`  // Tue 4 Aug 2026
	Time    string    `json:"time"` // 07:42
	Zone    string    `json:"zone"`
	Local   string    `json:"local"` // 2026-08-04T07:42, for the picker
	Evening string    `json:"evening"`
	Movable bool      `json:"movable"`
	Moving  bool      `json:"moving"`
	Next    *nextView `json:"next"`
}

type nextView struct {
	Label string `json:"label"`
	When  string `json:"when"` // 08:00, or Wed 08:00 on another day
	In    string `json:"in"`   // in 18 min
}

// freshFor keeps several open pages from asking the clock and the scenes
// over and over.
const freshFor = 300 * time.Millisecond

func (s *Server) boardNow() board {
	b := &s.board
	b.mu.Lock()
	defer b.mu.Unlock()
	if real := time.Now(); b.at.IsZero() || real.Sub(b.at) > freshFor || real.Before(b.at) {
		b.at = real
		b.last = board{Clock: s.clockView(), Scenes: s.sceneViews()}
	}
	return b.last
}

// stale makes the next look at the board a fresh one.
func (b *boardState) stale() {
	b.mu.Lock()
	b.at = time.Time{}
	b.mu.Unlock()
}

func (s *Server) clockView() *clockView {
	c := s.board.clock
	if c.Now == nil {
		return nil
	}
	now := c.Now().In(s.opt.Zone)
	v := &clockView{
		Day: now.Format("Mon 2 Jan 2006"), Time: now.Format("15:04"), Zone: s.opt.Zone.String(),
		Local: now.Format("2006-01-02T15:04"), Evening: s.evening(now).Format("15:04"),
		Movable: c.MoveTo != nil, Moving: s.board.isMove,
	}
	if c.Next != nil {
		if at, label, ok := c.Next(); ok {
			at = at.In(s.opt.Zone)
			v.Next = &nextView{Label: label, When: at.Format("15:04"), In: inWords(at.Sub(now))}
			if at.Format(time.DateOnly) != now.Format(time.DateOnly) {
				v.Next.When = at.Format("Mon 15:04")
			}
		}
	}
	return v
}

func inWords(d time.Duration) string {
	switch minutes := int(d.Round(time.Minute) / time.Minute); {
	case minutes < 1:
		return "now"
	case minutes < 60:
		return fmt.Sprintf("in %d min", minutes)
	case minutes < 48*60:
		return strings.TrimSuffix(fmt.Sprintf("in %d h %d min", minutes/60, minutes%60), " 0 min")
	default:
		return fmt.Sprintf("in %d days", minutes/(24*60))
	}
}

// evening is the next instant after now at which it is EveningAt o'clock.
func (s *Server) evening(now time.Time) time.Time {
	at := func(days int) time.Time {
		y, m, d := now.In(s.opt.Zone).Date()
		e := s.opt.EveningAt
		return time.Date(y, m, d+days, int(e/time.Hour), int(e%time.Hour/time.Minute), 0, 0, s.opt.Zone)
	}
	if t := at(0); t.After(now) {
		return t
	}
	return at(1)
}

var (
	errMoving = errors.New("the clock is on its way already; wait until it has arrived")
	errNoMove = errors.New("this clock cannot be moved")
)

// moveLimit bounds one move in real time.
const moveLimit = 3 * time.Minute

// moveClock moves to "next", "evening", "+1d" and the like ("+90m", "+2h"),
// an RFC 3339 instant, or a local date and time 2006-01-02T15:04.
func (s *Server) moveClock(ctx context.Context, to string) error {
	if !s.board.moving.TryLock() {
		return errMoving
	}
	defer s.board.moving.Unlock()
	s.board.mu.Lock()
	c := s.board.clock
	s.board.mu.Unlock()
	if c.Now == nil || c.MoveTo == nil {
		return errNoMove
	}
	now := c.Now()
	target, err := s.moveTarget(c, now, strings.TrimSpace(to))
	if err != nil {
		return err
	}
	zone := s.opt.Zone
	if !target.After(now) {
		return fmt.Errorf("the clock only moves forward: it is %s already", now.In(zone).Format("Mon 2 Jan 2006, 15:04"))
	}
	if far := now.AddDate(0, 0, s.opt.MoveHorizonDays); target.After(far) {
		return fmt.Errorf("that is too far in one move; the latest is %s", far.In(zone).Format("2 Jan 2006"))
	}
	moving := func(yes bool) {
		s.board.mu.Lock()
		s.board.isMove, s.board.at = yes, time.Time{}
		s.board.mu.Unlock()
	}
	moving(true)
	defer moving(false)
	// A closed tab must not leave the day half done.
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), moveLimit)
	defer cancel()
	stop := make(chan struct{})
	defer close(stop)
	go func() {
		select {
		case <-s.closing:
			cancel()
		case <-stop:
		}
	}()
	if err := c.MoveTo(ctx, target); err != nil {
		return fmt.Errorf("moving the clock to %s: %w", target.In(zone).Format("2 Jan 15:04"), err)
	}
	return nil
}

func (s *Server) moveTarget(c Clock, now time.Time, to string) (time.Time, error) {
	switch {
	case to == "next":
		if c.Next != nil {
			if at, _, ok := c.Next(); ok {
				return at, nil
			}
		}
		return time.Time{}, errors.New("nothing is due ahead")
	case to == "evening":
		return s.evening(now), nil
	case strings.HasPrefix(to, "+") && strings.HasSuffix(to, "d"):
		if days, err := strconv.Atoi(to[1 : len(to)-1]); err == nil && days > 0 && days < 10000 {
			return now.In(s.opt.Zone).AddDate(0, 0, days), nil
		}
	case strings.HasPrefix(to, "+"):
		if d, err := time.ParseDuration(to[1:]); err == nil {
			return now.Add(d), nil
		}
	default:
		if t, err := time.Parse(time.RFC3339, to); err == nil {
			return t, nil
		}
		if t, err := time.ParseInLocation("2006-01-02T15:04", to, s.opt.Zone); err == nil {
			return t, nil
		}
	}
	return time.Time{}, fmt.Errorf("%q is no time to move to; write next, evening, +1d, +2h, or a time such as 2026-08-04T18:30", to)
}
