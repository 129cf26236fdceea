package bot

import (
	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
)

// nextWithin is how many days ahead the next session is looked for.
const nextWithin = 8

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

// nextTime compares the card with the next one that shares an exercise with it.
// It is what would come if nothing else happened; nothing is promised when no
// such card is near.
func nextTime(tx *store.Tx, sp *wording.Speaker, c store.CardRev) ([]string, error) {
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
	for d := c.Day + 1; d <= c.Day+nextWithin; d++ {
		n, err := tx.Plan(c.Person, d)
		if err != nil {
			return n, false, err
		}
		if n.Kind != prescribe.CardTrain && n.Kind != prescribe.CardFinding {
			continue
		}
		for _, it := range c.Card.Items {
			if _, ok := itemLike(n, it); ok {
				return n, true, nil
			}
		}
	}
	return prescribe.Card{}, false, nil
}

// itemLike is the item of the same exercise, of several the one under the same
// plan line.
func itemLike(c prescribe.Card, it prescribe.Item) (like prescribe.Item, ok bool) {
	for _, n := range c.Items {
		if n.Exercise != it.Exercise || n.Optional {
			continue
		}
		if n.Scheme == it.Scheme && n.Intended == it.Intended {
			return n, true
		}
		like, ok = n, true
	}
	return like, ok
}

func hasExercise(c prescribe.Card, id prescribe.ExerciseID) bool {
	for _, it := range c.Items {
		if it.Exercise == id {
			return true
		}
	}
	return false
}
