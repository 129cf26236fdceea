package prescribe

// Nordic hamstring lowering. The build-up is Petersen's (2011): one session of
// 2×5, two of 2×6, three of 3×6–8, then 3×8–10 and 12-10-8; here by completed
// exposures instead of weeks, so that a missed week does not skip a step, the
// lower repetition number of a range, and 3×10 for 12-10-8, which is as many.
// The slot's sets and repetitions are the coach's upper limits: common
// practice is 1–3 sets of 3–6, and force falls from the fourth repetition on.

// NordicHamstring is the library's exercise that climbs this ladder.
const NordicHamstring ExerciseID = "nordic_hamstring"

type rung struct{ sets, reps int }

// nordicSteps is how many exposures the build-up takes; the last step stays.
const nordicSteps = 10

// nordicRung is the dose after so many completed exposures.
func nordicRung(step int, r Rules) rung {
	switch {
	case step < 1:
		return rung{2, r.Int("nordic.first_reps")}
	case step < 3:
		return rung{2, r.Int("nordic.second_reps")}
	case step < 6:
		return rung{3, r.Int("nordic.third_reps")}
	case step < nordicSteps-1:
		return rung{3, r.Int("nordic.fourth_reps")}
	}
	return rung{3, r.Int("nordic.last_reps")}
}

// climbs: the exercise has a ladder.
func climbs(ex Exercise) bool { return ex.ID == NordicHamstring || ex.ID == CopenhagenAdduction }

// climb is the ladder after a set. The first set of a day raises it; one that
// falls short of what was asked, or was stopped, takes that back.
func (l Ladder) climb(set Set, day Day, r Rules) Ladder {
	short := set.Stopped || set.Asked > 0 && set.Reps < set.Asked
	if l.Last == day {
		if short && l.Rose {
			l.Step, l.Rose = l.Step-1, false
		}
		return l
	}
	gap := int(day - l.Last)
	fresh := l.Last == 0 || gap > r.Int("nordic.window")
	if fresh {
		l.Step = 0
	}
	// After a gap the dose is halved, which is no step upwards.
	l.Rose = !short && (fresh || gap <= r.Int("nordic.recent"))
	if l.Rose {
		l.Step = min(l.Step+1, maxStep)
	}
	l.Last = max(l.Last, day)
	return l
}

// gapBefore is the days since the last exposure before day; false when there
// was none.
func (s State) gapBefore(ex ExerciseID, day Day) (int, bool) {
	last, ok := s.doseBefore(ex, day)
	if !ok {
		return 0, false
	}
	return int(day - last.Day), true
}

// doseBefore is the last exposure before day; false when there was none.
func (s State) doseBefore(ex ExerciseID, day Day) (Dose, bool) {
	list := s.Exposed[string(ex)]
	for i := len(list) - 1; i >= 0; i-- {
		if list[i].Day < day {
			return list[i], true
		}
	}
	return Dose{}, false
}

// established: eccentric work the player is used to.
func (s State) established(ex ExerciseID, day Day, r Rules) bool {
	n := 0
	for _, d := range s.Exposed[string(ex)] {
		if d.Day < day && d.Day >= day-Day(r.Int("nordic.window")) {
			n++
		}
	}
	gap, ok := s.gapBefore(ex, day)
	return ok && gap <= r.Int("nordic.recent") && n >= r.Int("nordic.established")
}

// ladderStart says from which step the day goes on, whether the dose is halved
// after a gap, and why.
func (s State) ladderStart(ex ExerciseID, day Day, progress bool, r Rules) (step int, half bool, gap int, fresh bool) {
	gap, ok := s.gapBefore(ex, day)
	if !ok || gap > r.Int("nordic.window") {
		return 0, false, gap, true
	}
	step = s.Ladders[string(ex)].Step
	if !progress {
		step = max(0, step-1)
	}
	return step, gap > r.Int("nordic.recent"), gap, false
}

// nordicDose is today's sets and repetitions.
func (s State) nordicDose(slot Slot, day Day, progress bool, r Rules) (rung, []Reason) {
	step, half, gap, fresh := s.ladderStart(NordicHamstring, day, progress, r)
	dose := nordicRung(step, r)
	if slot.Sets > 0 {
		dose.sets = min(dose.sets, slot.Sets)
	}
	if slot.Reps > 0 {
		dose.reps = min(dose.reps, slot.Reps)
	}
	if !progress && !fresh {
		dose = s.noMore(NordicHamstring, day, dose)
	}
	switch {
	case fresh && gap > 0:
		return dose, []Reason{reason(seeTraining, "nordic.restart", by("nordic.window"), argDays("days", gap))}
	case fresh:
		return dose, []Reason{reason(seeTraining, "nordic.first", nil)}
	case half:
		dose = halve(dose)
		return dose, []Reason{reason(seeTraining, "nordic.gap", by("nordic.recent"),
			argDays("days", gap), argInt("sets", dose.sets), argInt("reps", dose.reps))}
	}
	return dose, []Reason{reason(seeTraining, "nordic.step", nil,
		argInt("step", min(step+1, nordicSteps)), argInt("sets", dose.sets), argInt("reps", dose.reps))}
}

// noMore keeps a dose within what was done the last time, which there was.
func (s State) noMore(ex ExerciseID, day Day, d rung) rung {
	last, _ := s.doseBefore(ex, day)
	return rung{min(d.sets, last.Sets), min(d.reps, max(1, last.Reps/max(last.Sets, 1)))}
}

// halve is at most half the repetitions, over half the sets rounded up: more
// sets of few repetitions rather than one long one.
func halve(d rung) rung {
	total := d.sets * d.reps / 2
	sets := (d.sets + 1) / 2
	return rung{sets, max(1, total/sets)}
}

// lowDose is the most a player used to it does inside the 72 hours.
func lowDose(d rung, r Rules) rung {
	limit := r.Int("nordic.low_reps")
	if d.sets*d.reps <= limit {
		return d
	}
	sets := min(d.sets, 2)
	return rung{sets, min(d.reps, max(1, limit/sets))}
}

// addedLoad is what a coach adds to an exercise whose load is the body: Nordics
// only, in which he sees that the whole range is controlled.
func (w *planner) addedLoad(d *draft) {
	e := d.edits.load
	if e == nil {
		if d.ex.LoadKind == LoadBodyweight {
			d.say(reason(seeTraining, "load.bodyweight", nil))
		}
		return
	}
	most := min(e.Load, Kg(w.r.Num("nordic.added_max")))
	built, _ := Build(most, d.ex, w.facts.setting.Equipment)
	cause := w.noAddedLoad(d)
	if cause == "" && built.Load == 0 && e.Load > 0 {
		cause = "equipment"
	}
	switch {
	case cause != "":
		w.refuse(*e, cause)
		d.say(reason(seeTraining, "load.bodyweight", nil))
		return
	case e.Load > most:
		d.say(reason(seeTraining, "edit.load_clamped", by("nordic.added_max"), argKg("asked", e.Load), argKg("allowed", most)))
	default:
		d.say(reason(seeTraining, "edit.load", nil, argKg("load", e.Load)))
	}
	d.item.Load, d.loadCause = built.Load, "edit.load"
	d.item.New = d.item.New || built.Load > d.last.Load
}

// noAddedLoad is why nothing may be added today, as a slot cause.
func (w *planner) noAddedLoad(d *draft) string {
	switch {
	case d.ex.ID != NordicHamstring:
		return "no_load"
	case w.youth:
		return "age"
	case !w.facts.setting.Supervised:
		return "alone"
	case !w.s.established(d.ex.ID, w.day, w.r):
		return "unused"
	case d.lowOnly:
		return "match"
	case d.sore >= soreReduce:
		return "sore"
	case d.hurt():
		return "restricted"
	}
	return ""
}
