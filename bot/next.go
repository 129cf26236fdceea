package bot

import (
	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
)

// nextWithin is how many days ahead the next session is looked for.
const nextWithin = 14

// nextLines is how many changes are told at the end of a session.
const nextLines = 2

// pageClosing thanks for a session and says what is different next time. t:
// card.
func pageClosing(r *rendering, t tap) (telegram.Outgoing, error) {
	c, err := r.myCard(t.id(0))
	if err != nil {
		return telegram.Outgoing{}, err
	}
	s, err := saidOf(r.tx, c)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	text := r.sp.T("player.done")
	if s.session != nil && s.session.Session.RPE != nil {
		text = r.sp.T("player.effort_thanks", "score", *s.session.Session.RPE)
	}
	lines, err := nextTime(r.tx, r.sp, c)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	for _, l := range lines {
		text += "\n" + l
	}
	return telegram.Outgoing{Text: text}, nil
}

// nextTime compares the card with the next one that shares an exercise with it,
// as it will be if all until then is done as written. Nothing is promised when no
// such card is near.
func nextTime(tx *store.Tx, sp *wording.Speaker, c store.CardRev) ([]string, error) {
	if optional(c.Card) {
		return nil, nil
	}
	next, ok, err := nextCard(tx, c)
	if err != nil || !ok {
		return nil, err
	}
	var lines []string
	add := func(id string, args ...any) {
		if len(lines) < nextLines {
			lines = append(lines, sp.T("player.next", "what", wording.HTML(sp.T(id, args...))))
		}
	}
	shared := false
	for _, it := range c.Card.Items {
		n, ok := itemLike(next, it)
		if !ok {
			continue
		}
		shared = true
		was, is := it.Sets*it.Reps, n.Sets*n.Reps
		switch {
		case it.Finding || n.Finding:
		case n.Level > it.Level:
			add("player.next_level", "exercise", n.Exercise, "n", n.Level)
		case n.Level < it.Level:
			add("player.next_easier", "exercise", n.Exercise, "n", n.Level)
		case n.Load > it.Load:
			add("player.next_more_load", "exercise", n.Exercise, "load", wording.HTML(sp.Load(n)))
		case n.Load < it.Load:
			add("player.next_less_load", "exercise", n.Exercise, "load", wording.HTML(sp.Load(n)))
		case is > was:
			add("player.next_more_reps", "exercise", n.Exercise, "sets", n.Sets, "reps", n.Reps)
		case is < was:
			add("player.next_fewer", "exercise", n.Exercise, "sets", n.Sets, "reps", n.Reps)
		}
	}
	if next.Template == c.Card.Template {
		for _, it := range c.Card.Items {
			if !hasExercise(next, it.Exercise) {
				add("player.next_out", "exercise", it.Exercise)
			}
		}
		for _, n := range next.Items {
			if !hasExercise(c.Card, n.Exercise) {
				add("player.next_in", "exercise", n.Exercise)
			}
		}
	}
	if len(lines) == 0 && shared {
		lines = []string{sp.T("player.next_same")}
	}
	return lines, nil
}

func nextCard(tx *store.Tx, c store.CardRev) (prescribe.Card, bool, error) {
	// The calendar around the middle of the days looked at holds them all.
	in, err := tx.Inputs(c.Person, c.Day+nextWithin/2)
	if err != nil {
		return prescribe.Card{}, false, err
	}
	state := in.State
	for d := c.Day + 1; d <= c.Day+nextWithin; d++ {
		n := prescribe.Plan(state, in.Calendar, in.Programme, in.Rules, d, nil)
		if n.Kind != prescribe.CardTrain && n.Kind != prescribe.CardFinding {
			continue
		}
		for _, it := range c.Card.Items {
			if _, ok := itemLike(n, it); ok {
				return n, true, nil
			}
		}
		state = asIfDone(state, n, in.Rules)
	}
	return prescribe.Card{}, false, nil
}

// asIfDone is the state after a card has been done as written.
func asIfDone(s prescribe.State, c prescribe.Card, r prescribe.Rules) prescribe.State {
	fold := func(e prescribe.Event) {
		e.At, e.Day, e.Key = prescribe.InstantOf(c.Day.Time()), c.Day, "next"
		s = prescribe.Fold(s, e, r)
	}
	for _, it := range c.Items {
		if it.Finding {
			continue
		}
		for _, side := range sidesOf(it) {
			for _, x := range asWritten(it, 1, side) {
				fold(prescribe.Event{Set: &x})
			}
		}
	}
	fold(prescribe.Event{Session: &prescribe.Session{Template: c.Template, Outcome: prescribe.DoneAsWritten}})
	return s
}

// itemLike is the item that asks for the same kind of work at the same
// exercise: another scheme or another share of the record on another day of the
// week is not more or less of it.
func itemLike(c prescribe.Card, it prescribe.Item) (prescribe.Item, bool) {
	for _, n := range c.Items {
		if n.Exercise == it.Exercise && !n.Optional && n.Scheme == it.Scheme && n.Intended == it.Intended && len(n.Cluster) == len(it.Cluster) {
			return n, true
		}
	}
	return prescribe.Item{}, false
}

func hasExercise(c prescribe.Card, id prescribe.ExerciseID) bool {
	for _, it := range c.Items {
		if it.Exercise == id {
			return true
		}
	}
	return false
}
