package bot

import "pegcard/store"

// verbView shows a page again: view:name:args. It changes nothing.
const verbView = "v"

// tapRow is one kind of button: who may use it and what it does.
type tapRow struct {
	verb  string
	roles []store.Role // any of them; nil: everybody who has joined
	// early: works before consent was given.
	early bool
	run   func(h *hand, t tap) error
}

// tapTable is every kind of button.
func tapTable() []tapRow {
	both := []tapRow{
		{verb: verbView, run: (*hand).tapView},
		{verb: verbPicture, roles: []store.Role{store.RolePlayer, store.RoleCoach, store.RoleMedical}, run: (*hand).tapPicture},
		{verb: verbReport, roles: reporters, run: (*hand).tapReport},
	}
	return append(append(both, playerTaps()...), staffTaps()...)
}

// tapped is a button. A button that is not known, or not this person's, gets
// the same answer as one that is too old.
func (h *hand) tapped(t tap) error {
	if !h.known {
		return nil
	}
	for _, row := range tapTable() {
		if row.verb != t.verb {
			continue
		}
		if row.roles != nil && !h.is(row.roles...) {
			break
		}
		if h.group && (t.verb != verbView || !groupPages[t.str(0)]) {
			break // a group shows no player's details, whoever asks
		}
		if !row.early {
			if done, err := h.mustConsent(); done || err != nil {
				return err
			}
		}
		return row.run(h, t)
	}
	return h.say("error.old_button")
}

// tapView shows a page in place of the message it was tapped on. Pages check
// for themselves what their reader may see.
func (h *hand) tapView(t tap) error {
	if _, ok := pages[t.str(0)]; !ok || !tappable[t.str(0)] {
		return h.say("error.old_button")
	}
	args := make([]any, 0, len(t.args))
	for _, a := range t.args[1:] {
		args = append(args, a)
	}
	return h.redraw(t.str(0), args...)
}

// tappable are the pages that a button may open. All others are notices and
// steps that only the program itself sends: whoever writes button data by hand
// gets none of them.
var tappable = map[string]bool{
	"today": true, "howto": true, "detail": true, "why": true, "whyitem": true, "privacy": true,
	"player": true, "squad": true, "fixtures": true, "fixmove": true,
	"look": true, "lookall": true, "lookcard": true, "cardedit": true, "edititem": true,
	"coachwhy": true, "coachwhyitem": true, "progress": true,
}

// groupPages are those of them that show counts and dates only.
var groupPages = map[string]bool{"squad": true, "fixtures": true}
