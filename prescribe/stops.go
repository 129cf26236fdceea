package prescribe

// Stops reports whether nothing more may be done of the exercise on the day: the
// whole player is stopped, or a region that the exercise stresses. It is asked
// while a session runs, after its card was planned.
func (s State) Stops(id ExerciseID, day Day) bool {
	if len(s.Warnings) > 0 || s.Unplaced() {
		return true
	}
	ex, ok := Lookup(id)
	return ok && len(s.restrain(ex, day).stopped) > 0
}
