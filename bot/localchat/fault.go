package localchat

import (
	"net/http"
	"time"
)

// Fault is what goes wrong with one request, for tests of a bot's nerves.
// Exactly what the zero fields say still happens: an empty Fault changes
// nothing.
type Fault struct {
	Delay  time.Duration // waited before anything else
	Status int           // when not 0: answered instead of processing
	Body   string        // of that answer
	// Drop ends the connection without an answer. Process decides what was
	// done before: nothing, or everything (the answer lost on the way).
	Drop    bool
	Process bool
}

// Fault installs a function asked before each method call, with the method's
// name and the request, whose Form holds the parameters. A nil answer means
// no fault; nil removes the function. It may be called from several
// goroutines at once.
func (s *Server) Fault(f func(method string, r *http.Request) *Fault) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.fault = f
}

// suffer applies a fault; done means that no answer is wanted any more.
func (s *Server) suffer(w http.ResponseWriter, r *http.Request, f *Fault) (done bool) {
	if f.Delay > 0 {
		t := time.NewTimer(f.Delay)
		defer t.Stop()
		select {
		case <-t.C:
		case <-r.Context().Done():
			return true
		case <-s.closing:
			return true
		}
	}
	switch {
	case f.Drop && !f.Process:
		panic(http.ErrAbortHandler)
	case f.Status != 0:
		if len(f.Body) > 0 && f.Body[0] == '{' {
			w.Header().Set("Content-Type", "application/json")
		} else {
			w.Header().Set("Content-Type", "text/html")
		}
		w.WriteHeader(f.Status)
		_, _ = w.Write([]byte(f.Body))
		return true
	}
	return false
}
