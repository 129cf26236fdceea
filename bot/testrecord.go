package bot

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
)

// Tests by chat: "/test okoro back squat 120x3 rir 1" or "/test okoro flywheel
// squat inertia 0.05 power 520". What was read is shown before it is recorded.

const (
	dialogTest = "test"
	verbTestDo = "tx" // tx:asked, the instant of the question that it answers
)

// testFlow is a test that waits for its yes.
type testFlow struct {
	Player int64                `json:"player"`
	Set    *prescribe.Set       `json:"set,omitempty"`
	Power  *prescribe.PowerTest `json:"power,omitempty"`
}

var (
	testSet   = regexp.MustCompile(`(\d+(?:[.,]\d+)?)\s*(kg|lbs?)?\s*[x×*]\s*(\d+)`)
	testRIR   = regexp.MustCompile(`\brir\s*(\d)\b`)
	testPower = regexp.MustCompile(`\binertia\s*(0?[.,]\d+)\D+?(\d+(?:[.,]\d+)?)`)
)

func (h *hand) cmdTest(arg string) error {
	name, rest, _ := strings.Cut(arg, " ")
	if name == "" {
		return h.say("staff.test_how")
	}
	found, err := h.findPlayers(name)
	if err != nil {
		return err
	}
	switch len(found) {
	case 0:
		return mend("staff.player_none")
	case 1:
	default:
		return h.view("which", clip(strings.ReplaceAll(name, ":", " "), 24))
	}
	f, err := h.readTest(found[0], strings.ToLower(rest))
	if err != nil {
		return err
	}
	args, err := json.Marshal(f)
	if err != nil {
		return err
	}
	if err := h.tx.PutDialog(store.Dialog{Chat: h.chat, Kind: dialogTest, Args: args, Asked: h.now}); err != nil {
		return err
	}
	return h.view("testconfirm")
}

func (h *hand) readTest(p store.Person, text string) (testFlow, error) {
	f := testFlow{Player: p.ID}
	ex, ok := h.exerciseNamed(text)
	if !ok {
		return f, mend("staff.test_exercise")
	}
	if m := testPower.FindStringSubmatch(text); m != nil && ex.LoadKind == prescribe.LoadFlywheel {
		inertia, power := decimal(m[1]), decimal(m[2])
		in, err := h.tx.Inputs(p.ID, h.day)
		if err != nil {
			return f, err
		}
		device := flywheelOf(in.Calendar, h.day)
		if inertia < 0.005 || inertia > 0.5 || power < 10 || power > 5000 || device == "" {
			return f, mend("staff.test_unreadable")
		}
		f.Power = &prescribe.PowerTest{Exercise: ex.ID, Device: device, Inertia: prescribe.Inertia(inertia), Power: prescribe.Watts(power)}
		return f, nil
	}
	m := testSet.FindStringSubmatch(text)
	if m == nil || ex.LoadKind == prescribe.LoadFlywheel {
		return f, mend("staff.test_unreadable")
	}
	load := decimal(m[1])
	if strings.HasPrefix(m[2], "lb") {
		load *= prescribe.KgPerLb
	}
	reps, err := strconv.Atoi(m[3])
	if err != nil || reps < 1 || reps > 30 || load > 500 {
		return f, mend("staff.test_unreadable")
	}
	set := &prescribe.Set{Exercise: ex.ID, Load: prescribe.Kg(load), Reps: reps, Ordinal: 1, Test: true, ToFail: true}
	if r := testRIR.FindStringSubmatch(text); r != nil {
		n, _ := strconv.Atoi(r[1]) // one digit
		rir := prescribe.RIR(n)
		set.RIR, set.ToFail = &rir, false
	}
	if ex.Unilateral {
		for _, side := range []prescribe.Side{prescribe.Left, prescribe.Right} {
			if strings.Contains(text, string(side)) || strings.Contains(text, strings.ToLower(telegram.StripHTML(h.sp.Side(side)))) {
				set.Side = side
			}
		}
		if set.Side == prescribe.Both {
			return f, mend("staff.test_side")
		}
	}
	f.Set = set
	return f, nil
}

// decimal reads a number of digits with a point or a comma; the patterns above
// let nothing else through.
func decimal(s string) float64 {
	v, err := strconv.ParseFloat(strings.ReplaceAll(s, ",", "."), 64)
	if err != nil {
		return 0
	}
	return v
}

// exerciseNamed is the exercise whose name, in the speaker's language or
// English, or id, is the longest that text holds.
func (h *hand) exerciseNamed(text string) (prescribe.Exercise, bool) {
	var best prescribe.Exercise
	length := 0
	for _, ex := range prescribe.Library() {
		for _, name := range []string{ex.Name, telegram.StripHTML(h.sp.Exercise(ex.ID)), string(ex.ID), strings.ReplaceAll(string(ex.ID), "_", " ")} {
			name = strings.ToLower(name)
			if len(name) > length && strings.Contains(text, name) {
				best, length = ex, len(name)
			}
		}
	}
	return best, length > 0
}

// flywheelOf is the first device at the player's place of the day.
func flywheelOf(c prescribe.Calendar, day prescribe.Day) string {
	for _, d := range c.Days {
		if d.Day != day {
			continue
		}
		for _, w := range c.Settings[d.Setting].Equipment.Flywheels {
			return w.Device
		}
	}
	return ""
}

func (h *hand) tapTestDo(t tap) error {
	d, ok, err := h.tx.Dialog(h.chat)
	if err != nil {
		return err
	}
	var f testFlow
	if !ok || d.Kind != dialogTest || strconv.FormatInt(int64(d.Asked), 10) != t.str(0) || json.Unmarshal(d.Args, &f) != nil {
		return h.say("player.stale_button")
	}
	sq, ok, err := h.tx.SquadOf(f.Player, h.day)
	if err != nil {
		return err
	}
	if !ok || !h.viewer.May(sq.ID, store.RoleCoach) {
		return store.ErrNotFound
	}
	source := fmt.Sprintf("test:%d:%d:%d", f.Player, h.chat, d.Asked)
	folded, err := h.tx.Record(f.Player, source, h.now, prescribe.Event{At: d.Asked, Day: h.day, Key: source + "/0", Set: f.Set, Power: f.Power})
	if err != nil {
		return err
	}
	if err := h.tx.Audit(h.person.ID, f.Player, "test", "", h.now); err != nil {
		return err
	}
	if err := h.tx.ClearDialog(h.chat); err != nil {
		return err
	}
	if err := h.b.tell(h.tx, f.Player, folded.Notices, h.now); err != nil {
		return err
	}
	if err := h.b.replan(h.tx, f.Player, h.day, h.now); err != nil {
		return err
	}
	return h.answer(store.Out{Kind: outSay, Args: "staff.test_done", Edit: h.message != 0, MessageID: h.message})
}

func init() {
	pages["which"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		found, err := r.tx.FindPlayers(r.viewer, t.str(0), r.day)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		text := r.sp.T("staff.player_many")
		for i, p := range found {
			if i == findMax {
				break
			}
			text += "\n" + r.sp.Format(p.Key+" "+p.Name)
		}
		return telegram.Outgoing{Text: text}, nil
	}
	pages["testconfirm"] = func(r *rendering, _ tap) (telegram.Outgoing, error) {
		d, ok, err := r.tx.Dialog(r.out.Chat)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		var f testFlow
		if !ok || d.Kind != dialogTest || json.Unmarshal(d.Args, &f) != nil {
			return telegram.Outgoing{}, errNothing
		}
		p, err := r.tx.Person(f.Player)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		var text string
		switch {
		case f.Power != nil:
			text = r.sp.T("staff.test_confirm_power", "name", p.Name, "exercise", f.Power.Exercise, "inertia", f.Power.Inertia, "power", f.Power.Power)
		case f.Set == nil:
			return telegram.Outgoing{}, errNothing
		case f.Set.RIR != nil:
			text = r.sp.T("staff.test_confirm_rir", "name", p.Name, "exercise", wording.HTML(r.sp.Lift(f.Set.Exercise, f.Set.Side)), "load", f.Set.Load, "reps", f.Set.Reps, "rir", *f.Set.RIR)
		default:
			text = r.sp.T("staff.test_confirm", "name", p.Name, "exercise", wording.HTML(r.sp.Lift(f.Set.Exercise, f.Set.Side)), "load", f.Set.Load, "reps", f.Set.Reps)
		}
		return telegram.Outgoing{Text: text, Buttons: rows(2,
			telegram.Button{Text: r.sp.Button("confirm"), Data: newTap(verbTestDo, d.Asked)},
			telegram.Button{Text: r.sp.Button("cancel"), Data: newTap(verbCancel)})}, nil
	}
}
