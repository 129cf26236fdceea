package store

import (
	"bytes"
	"encoding/json"

	"pegcard/prescribe"
)

// Worked is a card with the numbers behind its loads.
type Worked struct {
	Card prescribe.Card
	Rev  int // of the stored card; 0: worked out now, not issued
	// Items are the workings of Card.Items; nil when the card is another engine
	// version's, whose steps may have been others.
	Items     []prescribe.Working
	Rules     prescribe.Rules
	Equipment prescribe.Equipment // where the session takes place
}

// ViewWorking is the day's card with its workings, as far as the viewer may read
// it: coaches and medical staff only. Of a stored card it is the last revision
// that was planned, before any stop took work from a session under way. Reasons
// that the viewer may not read are left out; of a limit with such a reason the
// load remains, which is on the card.
func (tx *Tx) ViewWorking(v Viewer, person int64, day prescribe.Day) (w Worked, err error) {
	defer wrap(&err, "working of %d on %s", person, day)
	a, youth, err := tx.sees(v, person, day)
	if err != nil {
		return w, err
	}
	if !MayRead(prescribe.ForCoach|prescribe.ForMedical, a) {
		return w, ErrNotFound
	}
	in, err := tx.planned(person, day, &w)
	if err != nil {
		return w, err
	}
	w.Rules = in.Rules
	w.Equipment = in.Calendar.Settings[w.Card.Setting].Equipment
	w.Card = filterCard(w.Card, a, youth)
	for i := range w.Items {
		for j, l := range w.Items[i].Limits {
			if !MayRead(l.Why.See, a) {
				w.Items[i].Limits[j].Why = prescribe.Reason{Code: "limit.restricted", See: prescribe.ForCoach}
			}
		}
	}
	return w, nil
}

// planned fills in card, revision and workings, and gives what they were
// worked out from.
func (tx *Tx) planned(person int64, day prescribe.Day, w *Worked) (in Inputs, err error) {
	c, ok, err := tx.Card(person, day)
	if err != nil {
		return in, err
	}
	if !ok {
		if in, err = tx.Inputs(person, day); err == nil {
			w.Card, w.Items = prescribe.PlanWorking(in.State, in.Calendar, in.Programme, in.Rules, in.Day, in.Edits)
		}
		return in, err
	}
	for rev := c.Rev; rev > 0; rev-- {
		if in, err = tx.InputsOf(c.ID, rev); err != nil {
			return in, err
		}
		if in.Begun != nil {
			continue
		}
		stored, err := tx.CardRevision(c.ID, rev)
		if err != nil {
			return in, err
		}
		w.Card, w.Rev = stored.Card, rev
		card, items := prescribe.PlanWorking(in.State, in.Calendar, in.Programme, in.Rules, in.Day, in.Edits)
		a, err := json.Marshal(stored.Card)
		if err != nil {
			return in, err
		}
		b, err := json.Marshal(card)
		if err != nil {
			return in, err
		}
		if bytes.Equal(a, b) {
			w.Items = items
		}
		return in, nil
	}
	return in, ErrNotFound // a session under way was planned before
}
