package report

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"pegcard/prescribe"
	"pegcard/store"
)

// Change is what a replay tries: other rules, another programme, or neither.
type Change struct {
	// Rules are the values of a rules.toml, which stands for the whole of it: what
	// it does not name is the default. nil: the rules of each card.
	Rules     map[string]float64
	Programme *prescribe.Programme // nil: the one that each card was planned from
}

// rules are the changed ones in place of r. What a squad chose for itself stays.
func (c Change) rules(r prescribe.Rules) (prescribe.Rules, error) {
	if c.Rules == nil {
		return r, nil
	}
	const squads = "place.md1_option"
	next := prescribe.DefaultRules()
	var err error
	for _, id := range slices.Sorted(maps.Keys(c.Rules)) {
		if next, err = next.With(id, c.Rules[id]); err != nil {
			return r, err
		}
	}
	if r.Num(squads) == 1 {
		next, err = next.With(squads, 1)
	}
	return next, err
}

// medical is a rule that the change moves and whose effect would show what only
// medical staff may know: who had how much pain and, of under-18s, how sore they
// were. "" when there is none.
func (c Change) medical(was prescribe.Rules, youth bool) (string, error) {
	is, err := c.rules(was)
	if err != nil {
		return "", err
	}
	for _, r := range prescribe.RuleTable() {
		family, _, _ := strings.Cut(r.ID, ".")
		if was.Num(r.ID) != is.Num(r.ID) && (family == "pain" || family == "fever" || family == "hold" || family == "soreness" && youth) {
			return r.ID, nil
		}
	}
	return "", nil
}

// Replay is past days gone over again: what players did stays as it was
// recorded, each day's card is worked out from what had been recorded by then,
// as it was and with the change. A card that the change makes lighter is
// followed by the day as it went, not by the day that would have followed.
type Replay struct {
	From prescribe.Day `json:"from"`
	To   prescribe.Day `json:"to"`
	// Cards were gone over. Issued of them came out as they were issued, byte for
	// byte; the others were planned by another engine version, or their record
	// was changed since in a way that does not show when.
	Cards  int `json:"cards"`
	Issued int `json:"issued"`

	Changed []CardChange  `json:"changed"` // by (day, player)
	Alerts  []AlertChange `json:"alerts"`  // by (day, player, kind)
	Dose    []DoseChange  `json:"dose"`    // by (week, method): what the cards asked for

	Loads    int     `json:"loads"` // lines with a load in kg in both
	Lighter  int     `json:"lighter"`
	Heavier  int     `json:"heavier"`
	Percent  float64 `json:"percent"` // mean change over Loads
	Withheld [2]int  `json:"withheld"`
}

// CardChange is a card that would have been another. Pairs are as it was and
// with the change.
type CardChange struct {
	Player   string                `json:"player"`
	Name     string                `json:"name"`
	Day      prescribe.Day         `json:"day"`
	Kind     [2]prescribe.CardKind `json:"kind"`
	Template [2]string             `json:"template"`
	Approval [2]bool               `json:"approval"`
	Items    []ItemChange          `json:"items"`
	Why      []prescribe.Reason    `json:"why,omitempty"` // of the whole card, new with the change
}

// ItemChange is a line of a card that would have been another; nil: not there.
type ItemChange struct {
	Slot string             `json:"slot"`
	Was  *prescribe.Item    `json:"was,omitempty"`
	Is   *prescribe.Item    `json:"is,omitempty"`
	Why  []prescribe.Reason `json:"why,omitempty"` // new with the change
}

// AlertChange is something that staff would have been told, or not.
type AlertChange struct {
	Player string           `json:"player"`
	Name   string           `json:"name"`
	Day    prescribe.Day    `json:"day"`
	Notice prescribe.Notice `json:"notice"`
	Told   bool             `json:"told"` // with the change; false: it was told, and would not have been
}

// DoseChange is a week's prescribed work of one method, optional work left out;
// both sides of one-sided work count as one set.
type DoseChange struct {
	Week   prescribe.Day    `json:"week"` // its Monday
	Method prescribe.Method `json:"method"`
	Sets   [2]int           `json:"sets"`
	Heavy  [2]int           `json:"heavy"` // of these, heavy
	Work   [2]float64       `json:"work"`  // Σ sets × repetitions × kg of external load
}

// Replaying goes over the cards of the players from..to, as far as the viewer
// may read them as a coach or as medical staff. Nothing is written.
func Replaying(tx *store.Tx, v store.Viewer, players []store.Person, from, to prescribe.Day, change Change) (Replay, error) {
	out := Replay{From: from, To: to}
	dose := map[DoseChange]*DoseChange{}
	sum := 0.0
	for _, p := range players {
		if err := out.player(tx, v, p, change, dose, &sum); err != nil {
			return out, fmt.Errorf("player %s: %w", p.Key, err)
		}
	}
	if out.Loads > 0 {
		out.Percent = sum / float64(out.Loads)
	}
	slices.SortStableFunc(out.Changed, func(a, b CardChange) int { return cmp.Compare(a.Day, b.Day) })
	slices.SortStableFunc(out.Alerts, func(a, b AlertChange) int { return cmp.Compare(a.Day, b.Day) })
	for _, d := range dose {
		out.Dose = append(out.Dose, *d)
	}
	slices.SortFunc(out.Dose, func(a, b DoseChange) int {
		return cmp.Or(cmp.Compare(a.Week, b.Week), cmp.Compare(a.Method, b.Method))
	})
	return out, nil
}

func (x *Replay) player(tx *store.Tx, v store.Viewer, p store.Person, change Change, dose map[DoseChange]*DoseChange, sum *float64) error {
	heard, err := tx.Heard(p.ID)
	if err != nil {
		return err
	}
	cards, err := tx.Cards(p.ID, x.From, x.To)
	if err != nil {
		return err
	}
	var was [3]folder
	is := folder{heard: heard}
	for _, c := range cards {
		a, err := tx.Sees(v, p.ID, c.Day)
		if err != nil {
			return err
		}
		if !a.Has(prescribe.ForCoach) && !a.Has(prescribe.ForMedical) {
			return store.ErrNotFound
		}
		rev, in, ok, err := plannedRev(tx, c)
		if err != nil {
			return err
		}
		if !ok {
			continue
		}
		x.Cards++
		rules, err := change.rules(in.Rules)
		if err != nil {
			return err
		}
		if !a.Has(prescribe.ForMedical) {
			age, known, err := tx.Age(p.ID, c.Day)
			if err != nil {
				return err
			}
			id, err := change.medical(in.Rules, !known || age < 18)
			if err != nil {
				return err
			}
			if id != "" {
				return fmt.Errorf("trying another %s would show what only medical staff may know; --by takes the key of medical staff for it", id)
			}
		}
		known, before, same, err := reproduce(&was, heard, rev, in)
		if err != nil {
			return err
		}
		if same {
			x.Issued++
		}
		programme := in.Programme
		if change.Programme != nil {
			programme = *change.Programme
		}
		after := prescribe.Plan(is.state(known, rules), in.Calendar, programme, rules, in.Day, in.Edits)
		x.compare(p, before, after, a, sum)
		countDose(dose, before, 0)
		countDose(dose, after, 1)
	}
	return x.alerts(tx, v, p, change, heard)
}

// plannedRev is the last revision that was planned, before any stop took work
// from a session under way.
func plannedRev(tx *store.Tx, c store.CardRev) (rev store.CardRev, in store.Inputs, ok bool, err error) {
	for n := c.Rev; n > 0; n-- {
		if in, err = tx.InputsOf(c.ID, n); err != nil {
			return rev, in, false, err
		}
		if in.Begun == nil {
			rev, err = tx.CardRevision(c.ID, n)
			return rev, in, err == nil, err
		}
	}
	return rev, in, false, nil
}

// folder folds what was known, going on from the last time where it can.
type folder struct {
	heard []store.Heard
	known []int // indices of heard that s was folded from
	hash  string
	s     prescribe.State
}

// state is what had been recorded, under the rules.
func (f *folder) state(known []int, r prescribe.Rules) prescribe.State {
	if h := r.Hash(); h != f.hash || len(known) < len(f.known) || !slices.Equal(known[:len(f.known)], f.known) {
		f.hash, f.known, f.s = h, nil, prescribe.State{}
	}
	for _, i := range known[len(f.known):] {
		f.s = prescribe.Fold(f.s, f.heard[i].Event, r)
	}
	f.known = known
	return f.s
}

// reproduce works the card out again from what had been recorded when it was
// made. What came in at the very instant may have come before or after it; and
// what was entered later of an earlier time may have been known, as when a club
// brings its past in. The first of these that gives the card as it was issued
// counts; where none does, the first.
func reproduce(fs *[3]folder, heard []store.Heard, rev store.CardRev, in store.Inputs) (known []int, card prescribe.Card, same bool, err error) {
	want, err := json.Marshal(rev.Card)
	if err != nil {
		return nil, card, false, err
	}
	at := rev.CreatedAt
	stands := func(h store.Heard) bool { return h.Until == 0 || h.Until > at }
	tries := [3]func(store.Heard) bool{
		func(h store.Heard) bool { return h.From <= at && stands(h) },
		func(h store.Heard) bool { return h.From < at && (h.Until == 0 || h.Until >= at) },
		func(h store.Heard) bool { return h.At <= at && h.Until == 0 },
	}
	for i, is := range tries {
		f := &fs[i]
		f.heard = heard
		var list []int
		for j, h := range heard {
			if is(h) {
				list = append(list, j)
			}
		}
		c := prescribe.Plan(f.state(list, in.Rules), in.Calendar, in.Programme, in.Rules, in.Day, in.Edits)
		got, err := json.Marshal(c)
		if err != nil {
			return nil, card, false, err
		}
		if bytes.Equal(got, want) {
			return list, c, true, nil
		}
		if i == 0 {
			known, card = list, c
		}
	}
	return known, card, false, nil
}

// compare notes what is different.
func (x *Replay) compare(p store.Person, was, is prescribe.Card, a prescribe.Audience, sum *float64) {
	for i, c := range []prescribe.Card{was, is} {
		if c.Kind == prescribe.CardWithheld {
			x.Withheld[i]++
		}
	}
	d := CardChange{Player: p.Key, Name: p.Name, Day: was.Day, Kind: [2]prescribe.CardKind{was.Kind, is.Kind},
		Template: [2]string{was.Template, is.Template}, Approval: [2]bool{was.Approval, is.Approval}}
	slots := []string{}
	for _, it := range slices.Concat(was.Items, is.Items) {
		if !slices.Contains(slots, it.Slot) {
			slots = append(slots, it.Slot)
		}
	}
	for _, slot := range slots {
		l, r := itemAt(was, slot), itemAt(is, slot)
		if l != nil && r != nil {
			if l.Load > 0 && r.Load > 0 && l.Exercise == r.Exercise {
				x.Loads++
				*sum += 100 * (float64(r.Load/l.Load) - 1)
				switch {
				case r.Load < l.Load:
					x.Lighter++
				case r.Load > l.Load:
					x.Heavier++
				}
			}
			if sameWork(*l, *r) {
				continue
			}
		}
		c := ItemChange{Slot: slot, Was: bare(l), Is: bare(r)}
		if r != nil {
			var old []prescribe.Reason
			if l != nil {
				old = l.Reasons
			}
			c.Why = fresh(old, r.Reasons, a)
		}
		d.Items = append(d.Items, c)
	}
	if len(d.Items) > 0 || d.Kind[0] != d.Kind[1] || d.Template[0] != d.Template[1] || d.Approval[0] != d.Approval[1] {
		d.Why = fresh(was.Reasons, is.Reasons, a)
		x.Changed = append(x.Changed, d)
	}
}

func itemAt(c prescribe.Card, slot string) *prescribe.Item {
	i := slices.IndexFunc(c.Items, func(it prescribe.Item) bool { return it.Slot == slot })
	if i < 0 {
		return nil
	}
	return &c.Items[i]
}

// sameWork: the player would be asked for the same. Percentages of the record,
// what counts as heavy, and reasons may differ.
func sameWork(a, b prescribe.Item) bool {
	for _, it := range []*prescribe.Item{&a, &b} {
		it.Percent, it.Intended, it.Reasons, it.Minutes, it.Heavy = 0, 0, nil, 0, false
	}
	x, errA := json.Marshal(a)
	y, errB := json.Marshal(b)
	return errA == nil && errB == nil && bytes.Equal(x, y)
}

// bare is an item without its derivation.
func bare(it *prescribe.Item) *prescribe.Item {
	if it == nil {
		return nil
	}
	c := *it
	c.Reasons = nil
	return &c
}

// fresh are the reasons of is whose code was has not, as far as a may read them.
func fresh(was, is []prescribe.Reason, a prescribe.Audience) (out []prescribe.Reason) {
	for _, r := range is {
		if r.See&a != 0 && !slices.ContainsFunc(was, func(o prescribe.Reason) bool { return o.Code == r.Code }) {
			out = append(out, r)
		}
	}
	return out
}

func countDose(dose map[DoseChange]*DoseChange, c prescribe.Card, which int) {
	for _, it := range c.Items {
		if it.Optional {
			continue
		}
		key := DoseChange{Week: c.Day.Monday(), Method: it.Method}
		d := dose[key]
		if d == nil {
			d = &DoseChange{Week: key.Week, Method: key.Method}
			dose[key] = d
		}
		d.Sets[which] += it.Sets
		if it.Heavy {
			d.Heavy[which] += it.Sets
		}
		d.Work[which] += float64(it.Sets*it.Reps) * float64(it.Load)
	}
}

// alerts goes over what happened from..to under the rules in force now and with
// the change.
func (x *Replay) alerts(tx *store.Tx, v store.Viewer, p store.Person, change Change, heard []store.Heard) error {
	in, err := tx.Inputs(p.ID, x.To)
	if err != nil {
		return err
	}
	rules, err := change.rules(in.Rules)
	if err != nil {
		return err
	}
	var was, is prescribe.State
	for _, h := range heard {
		if h.Until != 0 || h.Day > x.To {
			continue
		}
		wasNext, isNext := prescribe.Fold(was, h.Event, in.Rules), prescribe.Fold(is, h.Event, rules)
		if h.Day >= x.From {
			a, err := tx.Sees(v, p.ID, h.Day)
			if err != nil {
				return err
			}
			told, would := prescribe.Notices(was, wasNext, h.Event, in.Rules), prescribe.Notices(is, isNext, h.Event, rules)
			x.differing(p, h.Day, told, would, a, false)
			x.differing(p, h.Day, would, told, a, true)
		}
		was, is = wasNext, isNext
	}
	return nil
}

// differing notes those of list that other has not, of the same kind, place and
// urgency.
func (x *Replay) differing(p store.Person, day prescribe.Day, list, other []prescribe.Notice, a prescribe.Audience, told bool) {
	for _, n := range list {
		if store.ReadersOf(n)&a == 0 || slices.ContainsFunc(other, func(o prescribe.Notice) bool {
			return o.Kind == n.Kind && o.Region == n.Region && o.Side == n.Side && o.Sign == n.Sign && o.Urgent == n.Urgent
		}) {
			continue
		}
		x.Alerts = append(x.Alerts, AlertChange{Player: p.Key, Name: p.Name, Day: day, Notice: n, Told: told})
	}
}
