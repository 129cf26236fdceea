package bot

import (
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"pegcard/bot/telegram"
	"pegcard/bot/understand"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
)

// Tests by chat: "/test okoro back squat 120x3 rir 1" or "/test okoro flywheel
// squat inertia 0.05 power 520". What the text leaves open is asked with
// buttons, and what was read is shown before it is recorded.

const (
	dialogTest = "test"
	verbTestDo = "tx" // tx:asked, the instant of the question that it answers
	verbTestIs = "ti" // ti:asked:field:value answers what the text left open

	testExercises = 6    // exercises offered when the text fits several
	powerMin      = 10   // W; less or more is a slip of the pen
	powerMax      = 5000 // W
)

// testFlow is a test while it is put together.
type testFlow struct {
	Text     string                 `json:"text,omitempty"` // what was written, less the name
	Name     string                 `json:"name,omitempty"` // that fits several players
	Player   int64                  `json:"player,omitempty"`
	Exercise prescribe.ExerciseID   `json:"exercise,omitempty"`
	Which    []prescribe.ExerciseID `json:"which,omitempty"` // that the text could mean
	Side     prescribe.Side         `json:"side,omitempty"`
	Set      *prescribe.Set         `json:"set,omitempty"`
	Power    *prescribe.PowerTest   `json:"power,omitempty"`
}

// ready: it waits for its yes only.
func (f testFlow) ready() bool { return f.Set != nil || f.Power != nil }

func (h *hand) cmdTest(arg string) error {
	if arg == "" {
		return h.say("staff.test_how")
	}
	found, rest, err := h.leadingPlayers(arg)
	if err != nil {
		return err
	}
	switch len(found) {
	case 0:
		return mend("staff.player_none")
	case 1:
		return h.readTest(testFlow{Player: found[0].ID, Text: rest})
	}
	name := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(arg), rest))
	return h.putTest(testFlow{Name: clip(name, 40), Text: rest})
}

func (h *hand) putTest(f testFlow) error {
	args, err := json.Marshal(f)
	if err != nil {
		return err
	}
	if err := h.tx.PutDialog(store.Dialog{Chat: h.chat, Kind: dialogTest, Args: args, Asked: h.now}); err != nil {
		return err
	}
	if h.tap {
		return h.redraw("test")
	}
	return h.view("test")
}

// readTest reads the text of a test of a known player and asks for what is
// missing, or for the yes.
func (h *hand) readTest(f testFlow) error {
	sq, ok, err := h.tx.SquadOf(f.Player, h.day)
	if err != nil {
		return err
	}
	if !ok || !h.viewer.May(sq.ID, store.RoleCoach) {
		return store.ErrNotFound
	}
	in, err := h.tx.Inputs(f.Player, h.day)
	if err != nil {
		return err
	}
	if inertia, power, ok := powerText(f.Text); ok {
		return h.readPower(f, in, inertia, power)
	}
	var items []understand.Item
	for _, ex := range prescribe.Library() {
		if ex.LoadKind == prescribe.LoadFlywheel || ex.LoadKind == prescribe.LoadNone || f.Exercise != "" && ex.ID != f.Exercise {
			continue
		}
		items = append(items, understand.Item{Exercise: ex.ID, Names: h.namesOf(ex), PerSide: ex.Unilateral, LoadKind: ex.LoadKind})
	}
	got := understand.Read(f.Text, understand.Context{Lang: h.sp.Lang(), Items: items})
	var m understand.Meaning
	for _, x := range got.Meanings {
		if x.Kind == understand.Sets && len(x.Sets) > 0 {
			m = x
			break
		}
	}
	if m.Kind == "" && h.mentionsExercise(f.Text) {
		return mend("staff.test_unreadable")
	}
	if m.Kind == "" || m.Exercise == "" && len(m.Which) == len(items) && len(items) > 1 {
		return mend("staff.test_exercise") // no word of it fits
	}
	if m.Exercise == "" && f.Exercise != "" {
		m.Exercise = f.Exercise
	}
	if m.Exercise == "" {
		f.Which = likeliest(m.Which, in.State)
		if len(f.Which) == 0 {
			return mend("staff.test_exercise")
		}
		return h.putTest(f)
	}
	f.Exercise = m.Exercise
	ex, ok := prescribe.Lookup(f.Exercise)
	if !ok {
		return mend("staff.test_exercise")
	}
	s := m.Sets[0]
	if s.Load == nil && ex.LoadKind != prescribe.LoadBodyweight || s.Reps < 1 || s.Reps > repsMax {
		return mend("staff.test_unreadable")
	}
	set := prescribe.Set{Exercise: ex.ID, Reps: s.Reps, Ordinal: 1, Test: true, RIR: s.RIR, ToFail: s.RIR == nil}
	if s.Load != nil {
		set.Load = *s.Load
	}
	if ex.Unilateral {
		set.Side = cmp.Or(m.Side, f.Side)
		if set.Side == prescribe.Both {
			return h.putTest(f)
		}
	}
	f.Set = &set
	return h.putTest(f)
}

// namesOf are the names by which the speaker may know an exercise.
func (h *hand) namesOf(ex prescribe.Exercise) []string {
	return []string{ex.Name, plain(h.sp.Exercise(ex.ID)), strings.ReplaceAll(string(ex.ID), "_", " ")}
}

// likeliest are at most testExercises: those that the player has a record of,
// then those whose name adds least to what was written.
func likeliest(ids []prescribe.ExerciseID, s prescribe.State) []prescribe.ExerciseID {
	known := map[prescribe.ExerciseID]bool{}
	for _, key := range s.LiftKeys() {
		id, _, _ := strings.Cut(key, "/")
		known[prescribe.ExerciseID(id)] = s.Lifts[key].Known()
	}
	out := slices.Clone(ids)
	slices.SortStableFunc(out, func(a, b prescribe.ExerciseID) int {
		switch {
		case known[a] == known[b]:
			return cmp.Compare(len(a), len(b))
		case known[a]:
			return -1
		}
		return 1
	})
	return out[:min(len(out), testExercises)]
}

// exercisesNamed are the exercises that the words name, in the speaker's
// language or English: the one of exactly that name, else the ones whose name
// holds all of the words.
func (h *hand) exercisesNamed(text string) []prescribe.ExerciseID {
	words := strings.Fields(strings.ToLower(text))
	var out []prescribe.ExerciseID
	if len(words) == 0 {
		return nil
	}
	for _, ex := range prescribe.Library() {
		for _, name := range h.namesOf(ex) {
			name = strings.ToLower(name)
			if name == strings.Join(words, " ") {
				return []prescribe.ExerciseID{ex.ID}
			}
			all := true
			for _, w := range words {
				all = all && (strings.Contains(name, w) || !strings.ContainsFunc(w, isLetter))
			}
			if all && !slices.Contains(out, ex.ID) {
				out = append(out, ex.ID)
			}
		}
	}
	return out
}

// mentionsExercise: the whole name of one stands in the text.
func (h *hand) mentionsExercise(text string) bool {
	text = strings.ToLower(text)
	for _, ex := range prescribe.Library() {
		for _, name := range h.namesOf(ex) {
			if strings.Contains(text, strings.ToLower(name)) {
				return true
			}
		}
	}
	return false
}

func isLetter(r rune) bool { return r >= 'a' && r <= 'z' || r > 127 }

// testPower is an inertia in kg·m² and, behind it, a power in W.
var testPower = regexp.MustCompile(`(?:^|\s)(0[.,]\d+)\D+(\d+(?:[.,]\d+)?)`)

// powerText reads "inertia 0.05 power 520".
func powerText(s string) (prescribe.Inertia, prescribe.Watts, bool) {
	m := testPower.FindStringSubmatch(s)
	if m == nil {
		return 0, 0, false
	}
	inertia, err1 := strconv.ParseFloat(strings.ReplaceAll(m[1], ",", "."), 64)
	power, err2 := strconv.ParseFloat(strings.ReplaceAll(m[2], ",", "."), 64)
	return prescribe.Inertia(inertia), prescribe.Watts(power), err1 == nil && err2 == nil
}

// readPower is a flywheel test, on the device of the player's place that can be
// set to the inertia.
func (h *hand) readPower(f testFlow, in store.Inputs, inertia prescribe.Inertia, power prescribe.Watts) error {
	if f.Exercise == "" {
		words := strings.ToLower(f.Text)
		longest := 0
		for _, ex := range prescribe.Library() {
			if ex.LoadKind != prescribe.LoadFlywheel {
				continue
			}
			f.Which = append(f.Which, ex.ID)
			for _, name := range h.namesOf(ex) {
				if len(name) > longest && strings.Contains(words, strings.ToLower(name)) {
					f.Exercise, longest = ex.ID, len(name)
				}
			}
		}
		if f.Exercise == "" {
			f.Which = f.Which[:min(len(f.Which), testExercises)]
			return h.putTest(f)
		}
	}
	if power < powerMin || power > powerMax {
		return mend("staff.test_unreadable")
	}
	device := deviceAt(in.Calendar, h.day, inertia)
	if device == "" {
		return mend("staff.test_inertia")
	}
	f.Power = &prescribe.PowerTest{Exercise: f.Exercise, Device: device, Inertia: inertia, Power: power}
	return h.putTest(f)
}

// deviceAt is the first flywheel at the player's place of the day that can be
// set to the inertia.
func deviceAt(c prescribe.Calendar, day prescribe.Day, inertia prescribe.Inertia) string {
	for _, d := range c.Days {
		if d.Day != day {
			continue
		}
		for _, w := range c.Settings[d.Setting].Equipment.Flywheels {
			if slices.ContainsFunc(w.Inertias, func(x prescribe.Inertia) bool { return math.Abs(float64(x-inertia)) < 1e-9 }) {
				return w.Device
			}
		}
	}
	return ""
}

// openTest is the test that the chat is about, when asked is its question.
func (h *hand) openTest(asked string) (testFlow, bool, error) {
	d, ok, err := h.tx.Dialog(h.chat)
	var f testFlow
	if err != nil || !ok || d.Kind != dialogTest || strconv.FormatInt(int64(d.Asked), 10) != asked {
		return f, false, err
	}
	return f, json.Unmarshal(d.Args, &f) == nil, nil
}

// tapTestIs takes one answer to what the text left open.
func (h *hand) tapTestIs(t tap) error {
	f, ok, err := h.openTest(t.str(0))
	if err != nil {
		return err
	}
	if !ok {
		return h.say("error.old_button")
	}
	switch t.str(1) {
	case "p":
		f.Player = t.id(2)
	case "x":
		f.Exercise = prescribe.ExerciseID(t.str(2))
	case "s":
		f.Side = prescribe.Side(t.str(2))
		if f.Side != prescribe.Left && f.Side != prescribe.Right {
			return store.ErrNotFound
		}
	}
	return h.readTest(f)
}

// testText is an answer in words.
func (h *hand) testText(d store.Dialog, text string) error {
	var f testFlow
	if err := json.Unmarshal(d.Args, &f); err != nil {
		return fmt.Errorf("dialog %q: %w", d.Kind, err)
	}
	if f.ready() {
		yes, ok := h.yesOrNo(text)
		switch {
		case !ok:
			return h.orPlayer(text)
		case !yes:
			return h.tapCancel(tap{})
		}
		return h.tapTestDo(tap{args: []string{strconv.FormatInt(int64(d.Asked), 10)}})
	}
	switch {
	case f.Player == 0:
		found, rest, err := h.leadingPlayers(text)
		if err != nil {
			return err
		}
		if len(found) != 1 || rest != "" {
			return mend("staff.player_none")
		}
		f.Player = found[0].ID
	case f.Exercise == "":
		ids := h.exercisesNamed(text)
		if len(ids) != 1 {
			return mend("staff.test_exercise")
		}
		f.Exercise = ids[0]
	default:
		side, ok := h.sideNamed(text)
		if !ok {
			return mend("staff.test_side")
		}
		f.Side = side
	}
	return h.readTest(f)
}

func (h *hand) sideNamed(text string) (prescribe.Side, bool) {
	text = strings.ToLower(strings.TrimSpace(text))
	for _, side := range []prescribe.Side{prescribe.Left, prescribe.Right} {
		if text == string(side) || text == strings.ToLower(plain(h.sp.Side(side))) {
			return side, true
		}
	}
	return prescribe.Both, false
}

// tapTestDo records the test and works the player's cards out again.
func (h *hand) tapTestDo(t tap) error {
	f, ok, err := h.openTest(t.str(0))
	if err != nil {
		return err
	}
	if !ok || !f.ready() {
		return h.say("error.old_button")
	}
	sq, ok, err := h.tx.SquadOf(f.Player, h.day)
	if err != nil {
		return err
	}
	if !ok || !h.viewer.May(sq.ID, store.RoleCoach) {
		return store.ErrNotFound
	}
	source := fmt.Sprintf("test:%d:%d:%s", f.Player, h.chat, t.str(0))
	folded, err := h.tx.Record(f.Player, source, h.now, prescribe.Event{At: h.now, Day: h.day, Key: source + "/0", Set: f.Set, Power: f.Power})
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
	return h.answer(store.Out{Kind: outSay, Args: "staff.test_done", Edit: h.tap && h.message != 0, MessageID: h.message})
}

func init() {
	// test is the next question of the open test.
	pages["test"] = func(r *rendering, _ tap) (telegram.Outgoing, error) {
		d, ok, err := r.tx.Dialog(r.out.Chat)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		var f testFlow
		if !ok || d.Kind != dialogTest || json.Unmarshal(d.Args, &f) != nil {
			return telegram.Outgoing{}, errNothing
		}
		is := func(field string, value any, label string) telegram.Button {
			return telegram.Button{Text: clip(label, 40), Data: newTap(verbTestIs, int64(d.Asked), field, value)}
		}
		cancel := []telegram.Button{r.button("cancel", newTap(verbCancel))}
		if f.Player == 0 {
			found, err := r.tx.FindPlayers(r.viewer, f.Name, r.day)
			if err != nil {
				return telegram.Outgoing{}, err
			}
			var buttons []telegram.Button
			for _, p := range found[:min(len(found), findMax)] {
				buttons = append(buttons, is("p", p.ID, p.Key+" "+p.Name))
			}
			return telegram.Outgoing{Text: r.sp.T("staff.player_many"), Buttons: append(rows(2, buttons...), cancel)}, nil
		}
		p, err := r.tx.Person(f.Player)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		if f.Exercise == "" {
			m := telegram.Outgoing{Text: r.sp.T("draft.line", "name", p.Name, "what", wording.HTML(r.sp.T("ask.exercise")))}
			for _, id := range f.Which {
				m.Buttons = append(m.Buttons, []telegram.Button{is("x", id, plain(r.sp.Exercise(id)))})
			}
			m.Buttons = append(m.Buttons, cancel)
			return m, nil
		}
		m := telegram.Outgoing{Buttons: rows(2, r.button("confirm", newTap(verbTestDo, int64(d.Asked))), r.button("cancel", newTap(verbCancel)))}
		switch {
		case f.Power != nil:
			m.Text = r.sp.T("staff.test_confirm_power", "name", p.Name, "exercise", f.Power.Exercise, "inertia", f.Power.Inertia, "power", f.Power.Power)
		case f.Set == nil:
			m.Text = r.sp.T("ask.side")
			m.Buttons = [][]telegram.Button{{is("s", prescribe.Left, r.sp.Button("left")), is("s", prescribe.Right, r.sp.Button("right"))}, cancel}
		case f.Set.RIR != nil:
			m.Text = r.sp.T("staff.test_confirm_rir", "name", p.Name, "exercise", wording.HTML(r.sp.Lift(f.Set.Exercise, f.Set.Side)), "load", f.Set.Load, "reps", f.Set.Reps, "rir", *f.Set.RIR)
		default:
			m.Text = r.sp.T("staff.test_confirm", "name", p.Name, "exercise", wording.HTML(r.sp.Lift(f.Set.Exercise, f.Set.Side)), "load", f.Set.Load, "reps", f.Set.Reps)
		}
		return m, nil
	}
	// which:query lists the players that fit a name.
	pages["which"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		found, err := r.tx.FindPlayers(r.viewer, t.str(0), r.day)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		text := r.sp.T("staff.player_many")
		for _, p := range found[:min(len(found), findMax)] {
			text += "\n" + r.sp.Format(p.Key+" "+p.Name)
		}
		return telegram.Outgoing{Text: text}, nil
	}
}
