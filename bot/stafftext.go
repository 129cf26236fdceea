package bot

import (
	"encoding/json"
	"fmt"
	"strconv"

	"pegcard/bot/understand"
	"pegcard/store"
)

// What staff write without a command: the answer to what they were asked, else
// a player's name.

// noteMax is how much of a closing note is kept, in runes.
const noteMax = 500

// staffAnswers says how a text answers each open question of staff.
var staffAnswers map[string]func(h *hand, d store.Dialog, text string) error

func init() {
	confirm := func(do func(h *hand, t tap) error) func(h *hand, d store.Dialog, text string) error {
		return func(h *hand, d store.Dialog, text string) error {
			yes, ok := h.yesOrNo(text)
			switch {
			case !ok:
				return h.orPlayer(text)
			case !yes:
				return h.tapCancel(tap{})
			}
			return do(h, tap{args: []string{strconv.FormatInt(int64(d.Asked), 10)}})
		}
	}
	staffAnswers = map[string]func(h *hand, d store.Dialog, text string) error{
		dialogClose:   (*hand).closeNote,
		dialogEdit:    (*hand).editText,
		dialogHold:    (*hand).holdText,
		dialogTest:    (*hand).testText,
		dialogMinutes: confirm((*hand).tapMinutesDo),
		dialogFile:    (*hand).fileText,
		dialogFixture: func(h *hand, d store.Dialog, text string) error {
			if yes, ok := h.yesOrNo(text); ok {
				if !yes {
					return h.tapCancel(tap{})
				}
				return h.tapFixtureDo(tap{args: []string{strconv.FormatInt(int64(d.Asked), 10)}})
			}
			return h.fixtureText(d, text)
		},
	}
}

// staffText is text of somebody on the staff.
func (h *hand) staffText(text string) error {
	d, ok, err := h.tx.Dialog(h.chat)
	if err != nil {
		return err
	}
	if ok && staffAnswers[d.Kind] != nil && h.after(d) {
		return staffAnswers[d.Kind](h, d, text)
	}
	return h.orPlayer(text)
}

// staffAsked reports whether the chat's open question is one of staff's.
func (h *hand) staffAsked() (bool, error) {
	d, ok, err := h.tx.Dialog(h.chat)
	return ok && staffAnswers[d.Kind] != nil && h.after(d), err
}

// after reports whether the message can be an answer to the question: one that
// was written before it and edited since is not.
func (h *hand) after(d store.Dialog) bool { return !h.edited || h.when > d.Asked }

// orPlayer opens the page of the player whose name was written.
func (h *hand) orPlayer(text string) error {
	if !h.is(store.RoleCoach, store.RoleMedical, store.RoleSafeguarding) {
		return h.say("staff.text_unknown")
	}
	found, rest, err := h.leadingPlayers(text)
	if err != nil {
		return err
	}
	if len(found) == 0 || rest != "" {
		return h.say("staff.text_unknown")
	}
	return h.cmdPlayer(text)
}

// yesOrNo reads a plain yes or no in the speaker's language.
func (h *hand) yesOrNo(text string) (yes, ok bool) {
	got := understand.Read(text, understand.Context{Lang: h.sp.Lang(), Open: understand.OpenYesNo})
	if len(got.Meanings) != 1 || len(got.Unclear) > 0 {
		return false, false
	}
	switch got.Meanings[0].Kind {
	case understand.Yes:
		return true, true
	case understand.No:
		return false, true
	}
	return false, false
}

// closeNote ends an alert with the note that was asked for.
func (h *hand) closeNote(d store.Dialog, text string) error {
	var args struct {
		Alert int64 `json:"alert"`
	}
	if err := json.Unmarshal(d.Args, &args); err != nil {
		return fmt.Errorf("dialog %q: %w", d.Kind, err)
	}
	a, err := h.tx.Alert(args.Alert)
	if err != nil {
		return err
	}
	if err := h.tx.ClearDialog(h.chat); err != nil {
		return err
	}
	ok, err := h.b.answersFor(h.tx, a, h.person.ID, h.now)
	if err != nil {
		return err
	}
	if !ok {
		return store.ErrNotFound
	}
	if err := h.tx.CloseAlert(a.ID, h.person.ID, clip(text, noteMax), h.now); err != nil {
		return err
	}
	if err := h.redrawAlert(a.ID); err != nil {
		return err
	}
	return h.say("staff.note_kept")
}

// fileText: a file is taken in with the button only, since it is fetched again
// for that.
func (h *hand) fileText(_ store.Dialog, text string) error {
	yes, ok := h.yesOrNo(text)
	switch {
	case ok && !yes:
		return h.tapCancel(tap{})
	case ok:
		return h.say("staff.file_tap")
	}
	return h.orPlayer(text)
}
