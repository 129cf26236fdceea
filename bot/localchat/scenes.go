package localchat

import (
	"slices"
	"time"
)

// Scene is one step of the guided strip at the top of the page. The strip
// shows all titles, ticks those that are done, and unfolds the first that is
// not: its text and one button that leads there.
type Scene struct {
	Title string // a few words: "Read the morning card"
	Text  string // one sentence: what to do and what to look for
	// Done is asked about once a second while a page is open; once true, the
	// scene stays ticked. nil: ticked by the button itself.
	Done func() bool

	// What the button does; any of the three may be combined.
	Person int64  // opens this person's chat
	Move   string // moves the clock: next, evening, +1d, …
	Say    string // laid into the composer, for the reader to send
	Button string // label; one is made from the fields above when empty
}

type sceneView struct {
	Title  string `json:"title"`
	Text   string `json:"text"`
	Done   bool   `json:"done"`
	Person int64  `json:"person,omitempty"`
	Move   string `json:"move,omitempty"`
	Say    string `json:"say,omitempty"`
	Button string `json:"button,omitempty"`
	ByHand bool   `json:"by_hand,omitempty"`
}

// SetScenes replaces the guided strip; ticks start afresh.
func (s *Server) SetScenes(scenes []Scene) {
	s.board.mu.Lock()
	defer s.board.mu.Unlock()
	s.board.scenes = slices.Clone(scenes)
	s.board.done = make([]bool, len(scenes))
	s.board.at = time.Time{}
}

// tickScene marks a scene without a Done function as done.
func (s *Server) tickScene(i int) error {
	s.board.mu.Lock()
	defer s.board.mu.Unlock()
	if i < 0 || i >= len(s.board.scenes) || s.board.scenes[i].Done != nil {
		return unknown("scene %d that is ticked by hand", i)
	}
	s.board.done[i] = true
	s.board.at = time.Time{}
	return nil
}

// sceneViews asks each open scene whether it is done. The board is locked,
// the server is not: a Done function may read transcripts.
func (s *Server) sceneViews() []sceneView {
	out := make([]sceneView, 0, len(s.board.scenes))
	for i, sc := range s.board.scenes {
		if !s.board.done[i] && sc.Done != nil {
			s.board.done[i] = sc.Done()
		}
		v := sceneView{Title: sc.Title, Text: sc.Text, Done: s.board.done[i], Person: sc.Person, Move: sc.Move, Say: sc.Say, Button: sc.Button, ByHand: sc.Done == nil}
		if v.Button == "" {
			v.Button = s.sceneButton(sc)
		}
		out = append(out, v)
	}
	return out
}

func (s *Server) sceneButton(sc Scene) string {
	s.mu.Lock()
	p := s.people[sc.Person]
	s.mu.Unlock()
	switch {
	case sc.Move == "next":
		return "Move to the next event"
	case sc.Move == "evening":
		return "Move to the evening"
	case sc.Move != "":
		return "Move the clock " + sc.Move
	case p != nil && p.Staff:
		return "Go to " + p.FirstName + " in the staff room"
	case p != nil:
		return "Go to " + p.FirstName + "’s peg"
	case sc.Say != "":
		return "Lay out the words"
	}
	return "Done, next"
}
