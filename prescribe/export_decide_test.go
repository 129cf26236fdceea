package prescribe

// LayoutsTried is how many ways to lay out the rest of the week the placement
// of the day compares.
func LayoutsTried(s State, c Calendar, p Programme, r Rules, d Day) int {
	w := newPlanner(s, c, p, r, d, nil)
	if !w.inCalendar() {
		return 0
	}
	return w.place().searched
}

// NordicDose is sets and repetitions of the build-up after so many completed
// exposures.
func NordicDose(step int, r Rules) (sets, reps int) {
	d := nordicRung(step, r)
	return d.sets, d.reps
}

// IntensityVolume is sets × repetitions × fraction of 1RM; SetsWithin is how many
// of the sets a limit of it leaves.
func IntensityVolume(sets, reps int, f Percent) float64 { return intensityVolume(sets, reps, f) }
func SetsWithin(limit float64, sets, reps int, f Percent) int {
	return setsWithin(limit, sets, reps, f)
}

// CopenhagenDose is level and repetitions after so many completed exposures.
func CopenhagenDose(step int) (level, reps int) { return copenhagenRung(step) }

// Years is the age on a day.
func (p Profile) Years(day Day) (int, bool) { return p.age(day) }
