package prescribe

import "slices"

// Begun is a session under way: the card as the player has it, and how many
// sets of each of its items were done, on the side with more.
type Begun struct {
	Card Card  `json:"card"`
	Done []int `json:"done"` // as long as Card.Items
}

// Curtail is the card of a session under way without what may not be gone on
// with: for a warning sign, a hold or pain of the whole player all of it, else
// the exercises that the stop concerns, and those heavier than a limit allows.
// They stay in their places with the sets done, which may be none, and are
// Ended. It only takes work away; where nothing is stopped the card stays as it
// is.
func Curtail(s State, b Begun, r Rules) Card {
	w := newPlanner(s, Calendar{}, Programme{}, r, b.Card.Day, nil)
	w.card = b.Card
	w.card.Items, w.card.Reasons = nil, slices.Clone(b.Card.Reasons)
	all := w.stopped()
	for i, it := range b.Card.Items {
		why := w.mayNotGoOn(it)
		if it.Ended || !all && len(why) == 0 {
			w.card.Items = append(w.card.Items, it)
			continue
		}
		w.say(why...)
		w.card.Minutes = max(0, w.card.Minutes-it.Minutes)
		it.Sets, it.Ended = 0, true
		if i < len(b.Done) {
			it.Sets = b.Done[i]
		}
		w.card.Items = append(w.card.Items, it)
	}
	if !slices.ContainsFunc(w.card.Items, func(it Item) bool { return !it.Ended }) && len(b.Card.Items) > 0 {
		w.card.Kind = CardWithheld
	}
	return w.card
}

// mayNotGoOn is why no more of an item may be done; none: it may.
func (w *planner) mayNotGoOn(it Item) []Reason {
	ex, ok := Lookup(it.Exercise)
	if !ok {
		return nil
	}
	x := w.s.restrain(ex, w.day)
	if len(x.stopped) == 0 && x.cap < 100 && it.Percent > x.cap {
		return []Reason{x.why()}
	}
	return x.stopped
}
