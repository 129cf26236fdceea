package bot

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/schedule"
	"pegcard/store"
)

// Changing one exercise of a card: which exercise, what about it, the new
// value, and a reason in the coach's words.

const (
	verbEditField = "ef" // ef:card:revision:item:field asks for the value
	verbEditValue = "ev" // ev:card:revision:item:field:value asks for the reason
	dialogEdit    = "card_edit"

	setsMax, repsMax = 10, 30 // what the engine takes from a coach
	loadMax          = 600    // kg; more is a slip of the pen
	swapMax          = 8      // exercises offered instead of one
	reasonMax        = 200    // runes kept of a coach's reason
	noValue          = "-"    // of a field that has none
)

// cardEdit is a change while it is put together.
type cardEdit struct {
	Card  int64              `json:"card"`
	Slot  string             `json:"slot"`
	Field prescribe.EditKind `json:"field"`
	Value string             `json:"value,omitempty"` // "": not said yet
}

// fields are what can be changed of an item.
func fields(it prescribe.Item) []prescribe.EditKind {
	out := []prescribe.EditKind{prescribe.EditExercise}
	switch it.LoadKind {
	case prescribe.LoadBar, prescribe.LoadDumbbells, prescribe.LoadBodyweight:
		if !it.Finding {
			out = append(out, prescribe.EditLoad)
		}
	}
	return append(out, prescribe.EditSets, prescribe.EditReps, prescribe.EditDrop)
}

var (
	// fieldCodes keep a button's data short: names of exercises are long.
	fieldCodes = map[string]prescribe.EditKind{
		"x": prescribe.EditExercise, "l": prescribe.EditLoad, "s": prescribe.EditSets, "r": prescribe.EditReps, "d": prescribe.EditDrop,
	}
	fieldButtons = map[prescribe.EditKind]string{
		prescribe.EditExercise: "edit_exercise", prescribe.EditLoad: "edit_load", prescribe.EditSets: "edit_sets",
		prescribe.EditReps: "edit_reps", prescribe.EditDrop: "edit_drop",
	}
	fieldQuestions = map[prescribe.EditKind]string{
		prescribe.EditExercise: "draft.edit_exercise", prescribe.EditLoad: "draft.edit_load",
		prescribe.EditSets: "draft.edit_sets", prescribe.EditReps: "draft.edit_reps",
	}
)

func fieldCode(f prescribe.EditKind) string {
	for code, x := range fieldCodes {
		if x == f {
			return code
		}
	}
	return ""
}

// changeable: the player has not begun the session.
func changeable(c store.CardRev) bool {
	return trains(c.Card) && (unsent(c) || c.State == store.CardSent)
}

// editedItem is the item that a button's data names: card, revision, item. It
// is not ok when the card is another by now, or can no longer be changed.
func editedItem(tx *store.Tx, v store.Viewer, t tap) (c store.CardRev, it prescribe.Item, ok bool, err error) {
	if c, _, err = coachCard(tx, v, t.id(0)); err != nil {
		return c, it, false, err
	}
	rev, ok1 := t.int(1)
	i, ok2 := t.int(2)
	if !ok1 || !ok2 || rev != c.Rev || i < 0 || i >= len(c.Card.Items) || !changeable(c) {
		return c, it, false, nil
	}
	return c, c.Card.Items[i], true, nil
}

// tapEditField asks for the value of a field.
func (h *hand) tapEditField(t tap) error {
	c, it, ok, err := editedItem(h.tx, h.viewer, t)
	if err != nil {
		return err
	}
	field := fieldCodes[t.str(3)]
	if !ok || !slices.Contains(fields(it), field) {
		return h.redraw("lookcard", c.ID, "again")
	}
	if field == prescribe.EditDrop {
		return h.editWhy(cardEdit{Card: c.ID, Slot: it.Slot, Field: field, Value: noValue})
	}
	if err := h.putEdit(cardEdit{Card: c.ID, Slot: it.Slot, Field: field}); err != nil {
		return err
	}
	return h.redraw("editvalue", c.ID, c.Rev, t.str(2), t.str(3))
}

// tapEditValue takes the value and asks why.
func (h *hand) tapEditValue(t tap) error {
	c, it, ok, err := editedItem(h.tx, h.viewer, t)
	if err != nil {
		return err
	}
	e := cardEdit{Card: c.ID, Slot: it.Slot, Field: fieldCodes[t.str(3)], Value: t.str(4)}
	if !ok || !slices.Contains(fields(it), e.Field) {
		return h.redraw("lookcard", c.ID, "again")
	}
	if _, err := e.edit(); err != nil {
		return err
	}
	return h.editWhy(e)
}

// editWhy keeps the change and asks for the reason.
func (h *hand) editWhy(e cardEdit) error {
	if err := h.putEdit(e); err != nil {
		return err
	}
	if h.message != 0 && h.tap {
		return h.redraw("editwhy")
	}
	return h.view("editwhy")
}

func (h *hand) putEdit(e cardEdit) error {
	args, err := json.Marshal(e)
	if err != nil {
		return err
	}
	return h.tx.PutDialog(store.Dialog{Chat: h.chat, Kind: dialogEdit, Card: e.Card, Args: args, Asked: h.now})
}

// edit is the change as the engine takes it; an error says what is wrong with
// the value.
func (e cardEdit) edit() (prescribe.Edit, error) {
	out := prescribe.Edit{Kind: e.Field, Slot: e.Slot}
	switch e.Field {
	case prescribe.EditDrop:
	case prescribe.EditExercise:
		out.Exercise = prescribe.ExerciseID(e.Value)
		if _, ok := prescribe.Lookup(out.Exercise); !ok {
			return out, mend("staff.test_exercise")
		}
	case prescribe.EditLoad:
		v, err := strconv.ParseFloat(e.Value, 64)
		if err != nil || !(v >= 0 && v <= loadMax) { // also not a number
			return out, mend("draft.bad_load")
		}
		out.Load = prescribe.Kg(v)
	case prescribe.EditSets, prescribe.EditReps:
		most := setsMax
		if e.Field == prescribe.EditReps {
			most = repsMax
		}
		n, err := strconv.Atoi(e.Value)
		if err != nil || n < 1 || n > most {
			return out, mend("draft.bad_number")
		}
		out.Number = n
	default:
		return out, store.ErrNotFound
	}
	return out, nil
}

// editText is what a coach writes while a change is open: the value, or the
// reason.
func (h *hand) editText(d store.Dialog, text string) error {
	var e cardEdit
	if err := json.Unmarshal(d.Args, &e); err != nil {
		return fmt.Errorf("dialog %q: %w", d.Kind, err)
	}
	if e.Value != "" {
		return h.applyEdit(e, clip(text, reasonMax))
	}
	switch e.Field {
	case prescribe.EditExercise:
		ids := h.exercisesNamed(text)
		if len(ids) != 1 {
			return mend("staff.test_exercise")
		}
		e.Value = string(ids[0])
	case prescribe.EditLoad:
		kg, ok := loadText(text)
		if !ok {
			return mend("draft.bad_load")
		}
		e.Value = strconv.FormatFloat(float64(kg), 'f', -1, 64)
	default:
		e.Value = strings.TrimSpace(text)
	}
	if _, err := e.edit(); err != nil {
		return err
	}
	return h.editWhy(e)
}

// loadText reads "102.5", "102,5 kg" or "225 lb".
func loadText(s string) (prescribe.Kg, bool) {
	s = strings.ToLower(strings.TrimSpace(s))
	unit := 1.0
	for _, u := range []struct {
		suffix string
		factor float64
	}{{"kg", 1}, {"lbs", prescribe.KgPerLb}, {"lb", prescribe.KgPerLb}} {
		if cut, ok := strings.CutSuffix(s, u.suffix); ok {
			s, unit = strings.TrimSpace(cut), u.factor
			break
		}
	}
	v, err := strconv.ParseFloat(strings.ReplaceAll(s, ",", "."), 64)
	if err != nil || !(v >= 0 && v*unit <= loadMax) { // also not a number
		return 0, false
	}
	return prescribe.Kg(v * unit), true
}

// applyEdit makes the change an input of the card and shows the new card. What
// the player has already and what waits is treated as after any other change.
func (h *hand) applyEdit(e cardEdit, why string) error {
	c, sq, err := h.coachCard(e.Card)
	if err != nil {
		return err
	}
	if err := h.tx.ClearDialog(h.chat); err != nil {
		return err
	}
	if !changeable(c) {
		return h.view("lookcard", c.ID, "again")
	}
	edit, err := e.edit()
	if err != nil {
		return err
	}
	edit.At, edit.Reason = h.now, why
	if err := h.tx.AddEdit(c.ID, h.person.ID, edit); err != nil {
		return err
	}
	if err := h.tx.Audit(h.person.ID, c.Person, "card.edit", fmt.Sprintf("card %d %s", c.ID, e.Field), h.now); err != nil {
		return err
	}
	today, err := h.tx.Today(c.Person, h.now)
	if err != nil {
		return err
	}
	if err := h.b.replanDay(h.tx, c.Person, c.Day, today, h.now); err != nil {
		return err
	}
	if c, err = h.tx.CardByID(c.ID); err != nil {
		return err
	}
	if unsent(c) {
		if err := h.onItsWay(sq, c); err != nil {
			return err
		}
	}
	return h.view("lookcard", c.ID, "new")
}

// onItsWay sends a changed card whose morning has passed, if nothing holds it
// back; it counts as approved by the one who changed it.
func (h *hand) onItsWay(sq store.Squad, c store.CardRev) error {
	loc, err := h.b.locate(h.tx, c.Person, h.now)
	if err != nil {
		return err
	}
	if h.now.Time().Before(schedule.At(c.Day, sq.CardsAt, loc)) {
		return nil
	}
	if ok, err := h.b.mayGo(h.tx, sq.ID, c); err != nil || !ok {
		return err
	}
	if err := h.tx.SetCardState(c.ID, store.CardApproved); err != nil {
		return err
	}
	_, err = h.b.goNow(h.tx, sq, c, h.now)
	return err
}

func init() {
	// cardedit:card shows the card and a button for each exercise.
	pages["cardedit"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		c, _, err := coachCard(r.tx, r.viewer, t.id(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		text, err := r.coachsView(c)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		m := telegram.Outgoing{Text: text}
		if changeable(c) {
			m.Text += "\n\n" + r.sp.T("draft.edit_slot")
			for i, it := range c.Card.Items {
				m.Buttons = append(m.Buttons, []telegram.Button{{Text: plain(r.sp.Exercise(it.Exercise)), Data: newTap(verbView, "edititem", c.ID, c.Rev, i)}})
			}
		}
		m.Buttons = append(m.Buttons, []telegram.Button{r.button("back", newTap(verbView, "lookcard", c.ID))})
		return m, nil
	}
	// edititem:card:revision:item asks what is changed of one exercise.
	pages["edititem"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		c, it, ok, err := editedItem(r.tx, r.viewer, t)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		if !ok {
			return pages["lookcard"](r, readTap(newTap("lookcard", c.ID, "again")))
		}
		p, err := r.tx.Person(c.Person)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		m := telegram.Outgoing{Text: r.itemLine(it) + "\n\n" + r.sp.T("draft.edit_what", "name", p.Name)}
		var buttons []telegram.Button
		for _, f := range fields(it) {
			buttons = append(buttons, r.button(fieldButtons[f], newTap(verbEditField, c.ID, c.Rev, t.str(2), fieldCode(f))))
		}
		m.Buttons = append(rows(2, buttons...), []telegram.Button{r.button("back", newTap(verbView, "cardedit", c.ID))})
		return m, nil
	}
	// editvalue:card:revision:item:field offers the values of a field.
	pages["editvalue"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		c, it, ok, err := editedItem(r.tx, r.viewer, t)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		field := fieldCodes[t.str(3)]
		if !ok || fieldQuestions[field] == "" {
			return pages["lookcard"](r, readTap(newTap("lookcard", c.ID, "again")))
		}
		values, labels, err := r.editValues(c, it, field)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		m := telegram.Outgoing{Text: r.itemLine(it) + "\n\n" + r.sp.T(fieldQuestions[field]) + " " + r.sp.T("draft.edit_value")}
		var buttons []telegram.Button
		for k, v := range values {
			buttons = append(buttons, telegram.Button{Text: labels[k], Data: newTap(verbEditValue, c.ID, c.Rev, t.str(2), t.str(3), v)})
		}
		n := 4
		if field == prescribe.EditExercise {
			n = 1
		}
		m.Buttons = append(rows(n, buttons...), []telegram.Button{r.button("back", newTap(verbView, "edititem", c.ID, c.Rev, t.str(2)))})
		return m, nil
	}
	pages["editwhy"] = func(r *rendering, _ tap) (telegram.Outgoing, error) {
		d, ok, err := r.tx.Dialog(r.out.Chat)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		var e cardEdit
		if !ok || d.Kind != dialogEdit || json.Unmarshal(d.Args, &e) != nil {
			return telegram.Outgoing{}, errNothing
		}
		return telegram.Outgoing{Text: r.sp.T("draft.edit_reason"), Buttons: [][]telegram.Button{{r.button("cancel", newTap(verbCancel))}}}, nil
	}
}

// itemLine is one exercise of a card in a line.
func (r *rendering) itemLine(it prescribe.Item) string {
	reps := r.sp.Number(float64(it.Reps))
	if it.Seconds > 0 {
		reps = r.sp.Seconds(it.Seconds)
	}
	s := "<b>" + r.sp.Exercise(it.Exercise) + "</b> · " + r.sp.T("card.sets_reps", "sets", it.Sets, "reps", wording.HTML(reps))
	if load := r.sp.Load(it); load != "" {
		s += " · " + load
	}
	return s
}

// editValues are the likely values of a field and how they are shown.
func (r *rendering) editValues(c store.CardRev, it prescribe.Item, field prescribe.EditKind) (values, labels []string, err error) {
	add := func(v, label string) { values, labels = append(values, v), append(labels, clip(plain(label), 48)) }
	around := func(n, most int) {
		for v := max(1, n-2); v <= min(most, n+2); v++ {
			if v != n {
				add(strconv.Itoa(v), r.sp.Number(float64(v)))
			}
		}
	}
	switch field {
	case prescribe.EditSets:
		around(it.Sets, setsMax)
	case prescribe.EditReps:
		around(it.Reps, repsMax)
	case prescribe.EditLoad:
		loads, err := r.loadChoices(c, it, it.Load)
		if err != nil {
			return nil, nil, err
		}
		for _, kg := range loads {
			add(strconv.FormatFloat(float64(kg), 'f', -1, 64), r.sp.Kg(kg))
		}
	case prescribe.EditExercise:
		in, err := r.tx.InputsOf(c.ID, c.Rev)
		if err != nil {
			return nil, nil, err
		}
		for _, id := range swaps(in, c.Card, it) {
			add(string(id), r.sp.Exercise(id))
		}
	}
	return values, labels, nil
}

// swaps are what can stand in for an item at its place: first what the
// programme names, then the exercise's substitutes, then the rest of its
// movement pattern.
func swaps(in store.Inputs, c prescribe.Card, it prescribe.Item) []prescribe.ExerciseID {
	setting := in.Calendar.Settings[c.Setting]
	var out []prescribe.ExerciseID
	add := func(id prescribe.ExerciseID) {
		ex, ok := prescribe.Lookup(id)
		if !ok || id == it.Exercise || len(out) == swapMax || slices.Contains(out, id) || !ex.CanDo(setting) || hasExercise(c, id) {
			return
		}
		out = append(out, id)
	}
	for _, t := range in.Programme.Sessions {
		for _, s := range t.Slots {
			if t.ID == c.Template && s.ID == it.Slot {
				for _, id := range s.Candidates {
					add(id)
				}
			}
		}
	}
	ex, ok := prescribe.Lookup(it.Exercise)
	if !ok {
		return out
	}
	for _, id := range ex.Substitutes {
		add(id)
	}
	for _, other := range prescribe.Library() {
		if other.Pattern == ex.Pattern && other.Fills(it.Method) {
			add(other.ID)
		}
	}
	return out
}
