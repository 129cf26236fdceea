package prescribe

// Copenhagen adduction after Harøy (2019): three levels, one set a side, from
// 3–5 up to 12–15 repetitions a level; pain above 3 goes to the easier level.
// The steps in between are ours.

// CopenhagenAdduction is the library's exercise that climbs this ladder.
const CopenhagenAdduction ExerciseID = "copenhagen_adduction"

const copenhagenLevels = 3

// copenhagenReps are the steps of one level.
var copenhagenReps = []int{5, 8, 10, 12, 15}

// copenhagenRung is the level, from 1, and the repetitions of a step.
func copenhagenRung(step int) (level, reps int) {
	n := len(copenhagenReps)
	step = min(max(step, 0), n*copenhagenLevels-1)
	return step/n + 1, copenhagenReps[step%n]
}

// copenhagenDose is today's level and repetitions a side.
func (s State) copenhagenDose(slot Slot, day Day, progress bool, r Rules) (level, reps int, why Reason) {
	step, half, gap, fresh := s.ladderStart(CopenhagenAdduction, day, progress, r)
	level, reps = copenhagenRung(step)
	if slot.Reps > 0 {
		reps = min(reps, slot.Reps)
	}
	if !progress && !fresh {
		reps = s.noMore(CopenhagenAdduction, day, rung{1, reps}).reps
	}
	switch {
	case fresh:
		return level, reps, reason(seeTraining, "copenhagen.first", by("nordic.window"))
	case half:
		reps = max(1, reps/2)
		return level, reps, reason(seeTraining, "copenhagen.gap", by("nordic.recent"),
			argDays("days", gap), argInt("level", level), argInt("reps", reps))
	}
	return level, reps, reason(seeTraining, "copenhagen.level", nil, argInt("level", level), argInt("reps", reps))
}

// easierCopenhagen goes down one level after pain where the exercise works.
func (s State) easierCopenhagen(region Region) State {
	ex, ok := Lookup(CopenhagenAdduction)
	l, climbed := s.Ladders[string(CopenhagenAdduction)]
	if !ok || !climbed || !restricts(region, ex) {
		return s
	}
	n := len(copenhagenReps)
	l.Step = max(0, min(l.Step, n*copenhagenLevels-1)-n)
	l.Rose = false
	s.Ladders = with(s.Ladders, string(CopenhagenAdduction), l, maxExercises)
	return s
}
