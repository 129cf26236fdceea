package localchat

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"time"
)

// keepEvents is how far back a page that lost its stream can catch up; one
// that is farther behind is told to load everything again.
const keepEvents = 1000

// event is one thing a page should know; sequence numbers start at 1.
type event struct {
	seq  int
	kind string
	data []byte
}

type hub struct {
	seq  int
	ring []event
	wake chan struct{} // closed when something was added
}

type (
	messageEvent struct {
		Chat     int64          `json:"chat"`
		Message  view           `json:"message"`
		Unread   map[int64]int  `json:"unread,omitempty"` // by person
		Keyboard *ReplyKeyboard `json:"keyboard"`
	}
	deletedEvent struct {
		Chat int64 `json:"chat"`
		ID   int   `json:"id"`
	}
	doingEvent struct {
		Chat int64 `json:"chat"`
	}
	answerEvent struct {
		Person int64  `json:"person"`
		Chat   int64  `json:"chat"`
		Text   string `json:"text"`
		Alert  bool   `json:"alert"`
	}
	seenEvent struct {
		Person int64 `json:"person"`
		Chat   int64 `json:"chat"`
		Unread int   `json:"unread"`
	}
)

// publish tells the pages. The server is locked.
func (s *Server) publish(kind string, v any) {
	data, err := json.Marshal(v)
	if err != nil {
		panic(fmt.Sprintf("localchat: an event of our own types cannot be marshalled: %v", err))
	}
	h := &s.events
	h.seq++
	h.ring = append(h.ring, event{seq: h.seq, kind: kind, data: data})
	if n := len(h.ring) - keepEvents; n > 0 {
		h.ring = h.ring[n:]
	}
	close(h.wake)
	h.wake = make(chan struct{})
}

// since lists the events after seq; false when some of them are gone.
func (h *hub) since(seq int) ([]event, bool) {
	if seq > h.seq || len(h.ring) > 0 && seq < h.ring[0].seq-1 {
		return nil, false
	}
	return h.ring[len(h.ring)-(h.seq-seq):], true
}

// boardTick is how often a page is told of the clock and the guided strip.
const boardTick = time.Second

// serveEvents streams to one page: everything after ?since= or, on a
// reconnection, after Last-Event-ID. The board (clock and strip) is sent
// beside the sequence whenever it changed.
func (s *Server) serveEvents(w http.ResponseWriter, r *http.Request) {
	from := r.Header.Get("Last-Event-ID")
	if from == "" {
		from = r.URL.Query().Get("since")
	}
	seq, err := strconv.Atoi(from)
	if err != nil || seq < 0 {
		seq = 0
	}
	out := http.NewResponseController(w)
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(http.StatusOK)
	tick := time.NewTicker(boardTick)
	defer tick.Stop()
	lastBoard, quiet := "", 0
	for {
		// A page that stops reading is let go after a while; it reconnects.
		patience(w, time.Minute)
		s.mu.Lock()
		events, complete := s.events.since(seq)
		wake := s.events.wake
		if !complete {
			seq = s.events.seq
		}
		s.mu.Unlock()
		if !complete {
			_, err = fmt.Fprintf(w, "id: %d\nevent: resync\ndata: {}\n\n", seq)
		}
		for _, e := range events {
			if err == nil {
				_, err = fmt.Fprintf(w, "id: %d\nevent: %s\ndata: %s\n\n", e.seq, e.kind, e.data)
			}
			seq = e.seq
		}
		if b, bad := json.Marshal(s.boardNow()); bad == nil && string(b) != lastBoard && err == nil {
			lastBoard = string(b)
			_, err = fmt.Fprintf(w, "event: board\ndata: %s\n\n", b)
		} else if quiet++; quiet%15 == 0 && err == nil {
			_, err = fmt.Fprint(w, ": still here\n\n")
		}
		if err == nil {
			err = out.Flush()
		}
		if err != nil {
			return
		}
		select {
		case <-wake:
		case <-tick.C:
		case <-s.closing:
			return
		case <-r.Context().Done():
			return
		}
	}
}
