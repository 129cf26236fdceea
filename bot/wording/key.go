package wording

import (
	"strings"

	"pegcard/prescribe"
)

// place words a region key, "knee" or "knee/left".
func (sp *Speaker) place(key string) string {
	region, side, _ := strings.Cut(key, "/")
	return sp.Region(prescribe.Region(region), prescribe.Side(side))
}

// liftKey words an exercise key, "step_up" or "step_up/left".
func (sp *Speaker) liftKey(key string) string {
	exercise, side, _ := strings.Cut(key, "/")
	return sp.Lift(prescribe.ExerciseID(exercise), prescribe.Side(side))
}
