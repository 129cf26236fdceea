package prescribe

// Lowering work is planned with the lifting of the same week and with the
// player's experience: the legs pay for both. The week's lower-body sets, those
// done and those of today's session as it is written, stay within
// eccentric.week_sets, or eccentric.week_sets_new for a player who is new to it.
// Beyond that the lowering sets give way, down to eccentric.least of an
// exercise. Calf raises are not counted: they are light.

// eccentricRoom is how many lowering sets of the draft the week has room for,
// of how many in all, and the rule that says so. What is sore or hurts today makes no difference to
// it: nothing given up for that is handed to another exercise.
func (w *planner) eccentricRoom(d *draft) (room, limit int, rule string) {
	limit, rule = w.r.Int("eccentric.week_sets_new"), "eccentric.week_sets_new"
	if w.s.Profile.TrainingAge >= w.r.Int("eccentric.experience") || w.s.established(d.ex.ID, w.day, w.r) {
		limit, rule = w.r.Int("eccentric.week_sets"), "eccentric.week_sets"
	}
	room = limit
	for _, id := range sortedKeys(w.s.Exposed) {
		if ex, ok := Lookup(ExerciseID(id)); !ok || !legs(ex) {
			continue
		}
		for _, x := range w.s.Exposed[id] {
			if x.Day >= w.day.Monday() && x.Day < w.day {
				room -= x.Sets
			}
		}
	}
	before := true // of the session's other lowering slots, the earlier ones have theirs
	for _, slot := range w.slots {
		if slot.ID == d.slot.ID {
			before = false
			continue
		}
		for _, id := range slot.Candidates {
			if ex, ok := Lookup(id); ok {
				if legs(ex) && (before || !eccentricWork(slot, choice{ex: ex, scheme: schemeFor(slot, ex)})) {
					room -= max(slot.Sets, 1)
				}
				break
			}
		}
	}
	return room, limit, rule
}

// legs: the exercise counts among the week's lower-body sets.
func legs(ex Exercise) bool { return ex.Lower && ex.Pattern != CalfRaise }
