package bot

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
)

// Minutes played by chat: "/minutes okoro 75", one player a line.

const (
	dialogMinutes = "minutes"
	verbMinutesDo = "mx" // mx:asked
	// minutesBack is how many days after a match its minutes can be told by chat.
	minutesBack = 3
)

type minutesFlow struct {
	Fixture int64         `json:"fixture"`
	Played  []minutesLine `json:"played"`
}

type minutesLine struct {
	Player  int64 `json:"player"`
	Minutes int   `json:"minutes"`
}

func (h *hand) cmdMinutes(arg string) error {
	if arg == "" {
		return h.say("staff.minutes_how")
	}
	var f minutesFlow
	var squad int64
	for _, line := range strings.Split(arg, "\n") {
		fields := strings.Fields(line)
		if len(fields) == 0 {
			continue
		}
		n, err := strconv.Atoi(fields[len(fields)-1])
		if err != nil || n < 0 || n > 120 || len(fields) < 2 {
			return mend("staff.minutes_unreadable")
		}
		found, err := h.findPlayers(strings.Join(fields[:len(fields)-1], " "))
		if err != nil {
			return err
		}
		switch len(found) {
		case 0:
			return mend("staff.player_none")
		case 1:
		default:
			return h.view("which", clip(strings.ReplaceAll(fields[0], ":", " "), 24))
		}
		sq, ok, err := h.tx.SquadOf(found[0].ID, h.day)
		if err != nil {
			return err
		}
		if !ok || !h.viewer.May(sq.ID, store.RoleCoach) || squad != 0 && squad != sq.ID {
			return store.ErrNotFound
		}
		squad = sq.ID
		f.Played = append(f.Played, minutesLine{found[0].ID, n})
	}
	match, ok, err := h.lastMatch(squad)
	if err != nil {
		return err
	}
	if !ok || len(f.Played) == 0 {
		return mend("staff.minutes_no_match")
	}
	f.Fixture = match.ID
	args, err := json.Marshal(f)
	if err != nil {
		return err
	}
	if err := h.tx.PutDialog(store.Dialog{Chat: h.chat, Kind: dialogMinutes, Args: args, Asked: h.now}); err != nil {
		return err
	}
	return h.view("minutesconfirm")
}

// lastMatch is the squad's last match that has begun, not longer ago than
// minutes can be told.
func (h *hand) lastMatch(squad int64) (store.Fixture, bool, error) {
	list, err := h.tx.Fixtures(squad, h.day-minutesBack, h.day)
	if err != nil {
		return store.Fixture{}, false, err
	}
	for i := len(list) - 1; i >= 0; i-- {
		if !list[i].Travel && list[i].Kickoff <= h.now {
			return list[i], true, nil
		}
	}
	return store.Fixture{}, false, nil
}

func (h *hand) tapMinutesDo(t tap) error {
	d, ok, err := h.tx.Dialog(h.chat)
	if err != nil {
		return err
	}
	var f minutesFlow
	if !ok || d.Kind != dialogMinutes || strconv.FormatInt(int64(d.Asked), 10) != t.str(0) || json.Unmarshal(d.Args, &f) != nil {
		return h.say("error.old_button")
	}
	match, err := h.tx.Fixture(f.Fixture)
	if err != nil {
		return err
	}
	if !h.viewer.May(match.Squad, store.RoleCoach) {
		return store.ErrNotFound
	}
	for _, l := range f.Played {
		// One source a player and match: telling it again replaces it.
		source := fmt.Sprintf("minutes:%d:%d", l.Player, match.ID)
		folded, err := h.tx.Record(l.Player, source, h.now, prescribe.Event{
			At: match.End, Day: match.Day, Key: source + "/0",
			Match: &prescribe.MatchPlayed{MatchID: fmt.Sprint(match.ID), Minutes: l.Minutes, End: match.End},
		})
		if err != nil {
			return err
		}
		if err := h.tx.Audit(h.person.ID, l.Player, "minutes", "", h.now); err != nil {
			return err
		}
		if err := h.b.tell(h.tx, l.Player, folded.Notices, h.now); err != nil {
			return err
		}
		if err := h.b.replan(h.tx, l.Player, h.day, h.now); err != nil {
			return err
		}
	}
	if err := h.tx.ClearDialog(h.chat); err != nil {
		return err
	}
	return h.redraw("minutesdone", len(f.Played))
}

func init() {
	pages["minutesdone"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		n, _ := t.int(0)
		return telegram.Outgoing{Text: r.sp.T("staff.minutes_done", "n", n)}, nil
	}
	pages["minutesconfirm"] = func(r *rendering, _ tap) (telegram.Outgoing, error) {
		d, ok, err := r.tx.Dialog(r.out.Chat)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		var f minutesFlow
		if !ok || d.Kind != dialogMinutes || json.Unmarshal(d.Args, &f) != nil {
			return telegram.Outgoing{}, errNothing
		}
		match, err := r.tx.Fixture(f.Fixture)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		var parts []string
		for _, l := range f.Played {
			p, err := r.tx.Person(l.Player)
			if err != nil {
				return telegram.Outgoing{}, err
			}
			parts = append(parts, fmt.Sprintf("%s %s", r.sp.Format(p.Name), r.sp.Number(float64(l.Minutes))))
		}
		return telegram.Outgoing{
			Text: r.sp.T("staff.minutes_confirm", "match", wording.HTML(r.sp.Format(match.Summary)+", "+r.sp.Day(match.Day)), "what", wording.HTML(strings.Join(parts, ", "))),
			Buttons: rows(2, telegram.Button{Text: r.sp.Button("confirm"), Data: newTap(verbMinutesDo, d.Asked)},
				telegram.Button{Text: r.sp.Button("cancel"), Data: newTap(verbCancel)})}, nil
	}
}
