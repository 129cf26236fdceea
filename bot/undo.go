package bot

import (
	"slices"

	"pegcard/bot/telegram"
	"pegcard/prescribe"
	"pegcard/store"
)

// undoFor is how long an answer can be taken back, in hours. [ours]
const undoFor = 24

// undoable are the sources of what a player says.
var undoable = []string{"msg:", "card:", "sore:", "pain:", "sign:", "answer:"}

// cmdUndo takes the last answer back.
func (h *hand) cmdUndo(string) error {
	e, err := h.tx.LastEntry(h.person.ID, undoable...)
	if err != nil {
		if ignoreNotFound(err) == nil {
			return h.say("player.undo_nothing")
		}
		return err
	}
	return h.undo(e)
}

// tapUndo takes one answer back: its entry.
func (h *hand) tapUndo(t tap) error {
	e, err := h.tx.Entry(h.person.ID, t.id(0))
	if err != nil {
		if ignoreNotFound(err) == nil {
			return h.say("player.undo_nothing")
		}
		return err
	}
	return h.undo(e)
}

func (h *hand) undo(e store.Entry) error {
	if h.now-e.Received > hours(undoFor) {
		return h.say("player.undo_late")
	}
	es, err := h.tx.Recorded(h.person.ID, e.Source)
	if err != nil {
		return err
	}
	if len(es) == 0 {
		return h.say("player.undo_nothing")
	}
	// What cannot be taken back stays: record sees to it.
	if _, err := h.record(e.Source, nil); err != nil {
		return err
	}
	left, err := h.tx.Recorded(h.person.ID, e.Source)
	if err != nil {
		return err
	}
	if err := h.tx.ClearDialog(h.chat); err != nil {
		return err
	}
	days := map[prescribe.Day]bool{}
	for _, x := range es {
		if days[x.Day] {
			continue
		}
		days[x.Day] = true
		c, ok, err := h.tx.Card(h.person.ID, x.Day)
		if err != nil {
			return err
		}
		if ok {
			if err := h.settleCard(c.ID); err != nil {
				return err
			}
		}
	}
	gone := func(n prescribe.Notice) bool {
		return !slices.ContainsFunc(left, func(e prescribe.Event) bool {
			return e.Warning != nil || e.Pain != nil && e.Pain.Region == n.Region
		}) && slices.ContainsFunc(es, func(e prescribe.Event) bool { return e.Pain != nil && e.Pain.Region == n.Region })
	}
	if err := h.settle(gone); err != nil {
		return err
	}
	id := "player.undone"
	switch {
	case len(left) > 0 && len(left) < len(es):
		id = "player.undo_rest"
	case len(left) > 0:
		id = "player.undo_medical"
	}
	if h.tap {
		err = h.answer(store.Out{Kind: outView, Args: newTap("undone", id), Edit: true, MessageID: h.message})
	} else {
		err = h.view("undone", id)
	}
	if err != nil {
		return err
	}
	_, err = h.replanned()
	return err
}

func init() {
	// t: message.
	pages["undone"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		m := telegram.Outgoing{Text: r.sp.T(t.str(0))}
		c, ok, err := r.tx.Card(r.person.ID, r.day)
		if err != nil {
			return m, err
		}
		if ok && c.State == store.CardSent {
			m.Buttons = [][]telegram.Button{{r.button("card", newTap(verbView, "today", c.ID))}}
		}
		return m, nil
	}
}
