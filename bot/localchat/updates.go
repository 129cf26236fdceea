package localchat

import (
	"encoding/json"
	"fmt"
	"time"
)

const (
	updateLife = 24 * time.Hour // how long the public server keeps an update
	maxPending = 50000
)

type pending struct {
	id  int
	at  time.Time // real
	raw json.RawMessage
}

// queue holds what the bot has not confirmed yet.
type queue struct {
	next    int // id of the next update
	pending []pending
	allowed map[string]bool // nil: everything that happens here
	wake    chan struct{}   // closed when something was added
	poll    *poll           // the one waiting request
}

type poll struct{ ousted chan struct{} }

// push adds an update and returns its id, or 0 when the bot did not ask for
// this kind. As at the public server, the wish of the last getUpdates counts
// for what happens after it. The server is locked.
func (s *Server) push(u Update) int {
	q := &s.queue
	if q.allowed != nil && !q.allowed[u.kind()] {
		return 0
	}
	u.UpdateID = q.next
	raw, err := json.Marshal(u)
	if err != nil {
		panic(fmt.Sprintf("localchat: an update of our own types cannot be marshalled: %v", err))
	}
	q.next++
	q.pending = append(q.pending, pending{id: u.UpdateID, at: time.Now(), raw: raw})
	if n := len(q.pending) - maxPending; n > 0 {
		q.pending = q.pending[n:]
	}
	close(q.wake)
	q.wake = make(chan struct{})
	return u.UpdateID
}

// Pending is the number of updates that the bot has not confirmed yet.
func (s *Server) Pending() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.queue.pending)
}

// RestartUpdateIDs makes the next update carry the given id, as the public
// server does after a week without updates, when it picks a new number that
// may be lower. It refuses while updates are pending or for an id below 1.
func (s *Server) RestartUpdateIDs(next int) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.queue.pending) > 0 || next < 1 {
		return fmt.Errorf("localchat: update ids can restart only at 1 or above and with no update pending (%d are)", len(s.queue.pending))
	}
	s.queue.next = next
	return nil
}

// confirm forgets what an offset confirms. An offset beyond the next id comes
// from before the ids restarted: it confirms nothing.
func (q *queue) confirm(offset int, now time.Time) {
	switch {
	case offset > 0 && offset <= q.next:
		for len(q.pending) > 0 && q.pending[0].id < offset {
			q.pending = q.pending[1:]
		}
	case offset < 0:
		if n := len(q.pending) + offset; n > 0 {
			q.pending = q.pending[n:]
		}
	}
	for len(q.pending) > 0 && now.Sub(q.pending[0].at) > updateLife {
		q.pending = q.pending[1:]
	}
}

func (q *queue) head(limit int) []json.RawMessage {
	out := make([]json.RawMessage, 0, min(limit, len(q.pending)))
	for _, p := range q.pending[:min(limit, len(q.pending))] {
		out = append(out, p.raw)
	}
	return out
}

// maxPoll is the longest a poll waits, whatever it asks for.
const maxPoll = 50 * time.Second

// getUpdates waits for updates. A second one ends the first with a conflict.
func (s *Server) getUpdates(c *call) (any, *failure) {
	limit := c.number("limit")
	if limit < 1 || limit > 100 {
		limit = 100
	}
	wait := min(time.Duration(max(c.number("timeout"), 0))*time.Second, maxPoll)
	kinds, listed, f := c.words("allowed_updates")
	if f != nil {
		return nil, f
	}
	patience(c.w, wait+30*time.Second)
	select {
	case <-s.closing:
		return nil, failRestart // not an empty answer, which would be asked for again at once
	default:
	}

	s.mu.Lock()
	q := &s.queue
	if q.poll != nil {
		close(q.poll.ousted)
	}
	self := &poll{ousted: make(chan struct{})}
	q.poll = self
	if listed {
		q.allowed = nil
		if len(kinds) > 0 {
			q.allowed = map[string]bool{}
			for _, k := range kinds {
				q.allowed[k] = true
			}
		}
	}
	q.confirm(c.number("offset"), time.Now())
	s.mu.Unlock()

	timer := time.NewTimer(wait)
	defer timer.Stop()
	for last := wait == 0; ; {
		s.mu.Lock()
		if q.poll != self {
			s.mu.Unlock()
			return nil, failConflict
		}
		got, wake := q.head(limit), q.wake
		if len(got) > 0 || last {
			q.poll = nil
			s.mu.Unlock()
			return got, nil
		}
		s.mu.Unlock()
		select {
		case <-wake:
		case <-self.ousted: // seen at the top
		case <-timer.C:
			last = true
		case <-s.closing:
			last = true
		case <-c.r.Context().Done():
			last = true
		}
	}
}
