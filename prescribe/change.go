package prescribe

// What changed since the last time the same exercise was done, so that the
// player reads it in one line. The causes are reason codes; medical ones are
// named "limit.restricted" where a coach reads them.

// lately is how long ago the last time may be for a missing exercise to be
// worth a word.
const lately = 14

// compare adds the differences to the last work of the same exercise under the
// same scheme.
func (w *planner) compare(d *draft) {
	first, cause := d.slot.Candidates[0], w.publicCause(d.cause)
	if first == d.edits.exercise.Exercise && len(d.slot.Candidates) > 1 {
		// The coach's wish stands before what the programme has.
		if first == d.ex.ID {
			cause = "edit"
		}
		first = d.slot.Candidates[1]
	}
	if first != d.ex.ID && w.doneLately(first) {
		d.say(reason(seeTraining, "change.swapped", nil, argExercise("from", first), argExercise("to", d.ex.ID), argID("cause", cause)))
	}
	if d.item.Finding || !d.hasLast || d.last.Stopped {
		return
	}
	n := len(d.reasons)
	last, it := d.last, d.item
	note := func(up bool, what, cause string, from, to Arg) {
		code := "change." + what + "_down"
		if up {
			code = "change." + what + "_up"
		}
		open := w.publicCause(cause)
		if open != cause {
			d.say(reason(seeMedical, code, nil, from, to, argID("cause", cause)), reason(seeOthers, code, nil, from, to, argID("cause", open)))
			return
		}
		d.say(reason(seeTraining, code, nil, from, to, argID("cause", cause)))
	}
	switch {
	case it.Load < last.Load && d.loadCause == "load.harder":
		d.say(reason(seeTraining, "change.load_harder", nil, argKg("from", last.Load), argKg("to", it.Load),
			argInt("left", int(*last.RIR)), argInt("plan", d.planned)))
	case it.Load != last.Load:
		note(it.Load > last.Load, "load", d.loadCause, argKg("from", last.Load), argKg("to", it.Load))
	}
	if last.Inertia != 0 && it.Inertia != last.Inertia {
		note(it.Inertia > last.Inertia, "inertia", "flywheel.best", argInertia("from", last.Inertia), argInertia("to", it.Inertia))
	}
	if it.Sets != last.Sets {
		note(it.Sets > last.Sets, "sets", d.setsCause, argInt("from", last.Sets), argInt("to", it.Sets))
	}
	was := last.Asked
	if was == 0 {
		was = last.Reps
	}
	if it.Reps != was {
		note(it.Reps > was, "reps", d.repsCause, argInt("from", was), argInt("to", it.Reps))
	}
	if len(d.reasons) == n {
		d.say(reason(seeTraining, "change.same", nil, argDay("day", last.Day)))
	}
}

// compareDropped says that an exercise done lately is not there today.
func (w *planner) compareDropped(id ExerciseID, cause string) {
	if w.doneLately(id) {
		w.say(reason(seeTraining, "change.withdrawn", nil, argExercise("exercise", id), argID("cause", cause)))
	}
}

func (w *planner) doneLately(id ExerciseID) bool {
	gap, ok := w.s.gapBefore(id, w.day)
	return ok && gap <= lately
}
