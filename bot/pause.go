package bot

import (
	"errors"
	"strings"

	"pegcard/bot/telegram"
	"pegcard/prescribe"
	"pegcard/store"
)

// A pause is a time in which no card comes by itself. The card is there for who
// asks, staff see the pause in the digest, and what is told of pain and warning
// signs goes through as ever.

// pauseDays are the lengths offered, today included.
var pauseDays = []prescribe.Day{1, 3, 7, 14}

// cmdPause asks until when; days may stand behind the command.
func (h *hand) cmdPause(arg string) error {
	if strings.TrimSpace(arg) == "" {
		return h.view("pause")
	}
	from, to, ok := readDays(arg, h.day)
	if !ok {
		return h.view("pause")
	}
	return h.pause(from, to)
}

// tapPause: first day, last day; a last day before the first ends the pause.
func (h *hand) tapPause(t tap) error {
	from, err1 := prescribe.ParseDay(t.str(0))
	to, err2 := prescribe.ParseDay(t.str(1))
	if err1 != nil || err2 != nil {
		return h.stale()
	}
	if to < h.day {
		return h.unpause()
	}
	return h.pause(from, to)
}

func (h *hand) pause(from, to prescribe.Day) error {
	err := h.tx.SetPause(h.person.ID, from, to, h.now)
	var problem *store.Problem
	if errors.As(err, &problem) {
		return h.say("player.pause_long")
	}
	if err != nil {
		return err
	}
	return h.pausePage()
}

func (h *hand) unpause() error {
	if err := h.tx.SetPause(h.person.ID, h.day, h.day-1, h.now); err != nil {
		return err
	}
	return h.pausePage()
}

// pausePage says what holds now, over the buttons that were tapped.
func (h *hand) pausePage() error {
	if h.tap {
		return h.redraw("pause", "set")
	}
	return h.view("pause", "set")
}

func init() {
	// t: "set" after a choice.
	pages["pause"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		from, until, ok, err := r.tx.Pause(r.person.ID, r.day)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		if ok {
			m := telegram.Outgoing{Text: r.sp.T("player.pause", "day", until)}
			if from > r.day {
				m.Text = r.sp.T("player.pause_later", "from", from, "day", until)
			}
			m.Buttons = [][]telegram.Button{{r.button("pause_end", newTap("hush", r.day, r.day-1))}}
			return m, nil
		}
		if t.str(0) == "set" {
			return telegram.Outgoing{Text: r.sp.T("player.pause_over")}, nil
		}
		var bs []telegram.Button
		for _, n := range pauseDays {
			bs = append(bs, telegram.Button{Text: plain(r.sp.Day(r.day + n - 1)), Data: newTap("hush", r.day, r.day+n-1)})
		}
		return telegram.Outgoing{Text: r.sp.T("player.pause_until"), Buttons: rows(2, bs...)}, nil
	}
}
