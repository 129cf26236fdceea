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
	return append(append([]tapRow{{verb: verbView, run: (*hand).tapView}}, playerTaps()...), staffTaps()...)
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
		if !row.early {
			if done, err := h.mustConsent(); done || err != nil {
				return err
			}
		}
		return row.run(h, t)
	}
	return h.say("player.stale_button")
}

// tapView shows a page in place of the message it was tapped on. Pages check
// for themselves what their reader may see.
func (h *hand) tapView(t tap) error {
	if _, ok := pages[t.str(0)]; !ok {
		return h.say("player.stale_button")
	}
	args := make([]any, 0, len(t.args))
	for _, a := range t.args[1:] {
		args = append(args, a)
	}
	return h.redraw(t.str(0), args...)
}
