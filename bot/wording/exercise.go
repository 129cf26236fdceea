package wording

import (
	"html"
	"strings"

	"pegcard/prescribe"
)

// Exercise names an exercise. English names stand in prescribe.Library, the
// others in the language files; what neither knows, as an exercise that a club
// adds, is named by its id.
func (sp *Speaker) Exercise(id prescribe.ExerciseID) string {
	key := "exercise." + string(id)
	if _, ok := sp.messages[key]; ok {
		return sp.t(key)
	}
	if ex, ok := prescribe.Lookup(id); ok && ex.Name != "" {
		return sp.isolate(html.EscapeString(ex.Name))
	}
	return sp.isolate(upperFirst(html.EscapeString(strings.ReplaceAll(string(id), "_", " "))))
}

// Lift names an exercise and, where there is one, the side.
func (sp *Speaker) Lift(id prescribe.ExerciseID, side prescribe.Side) string {
	if side == prescribe.Both {
		return sp.Exercise(id)
	}
	return sp.t("side.exercise", "exercise", id, "side", side)
}

// HowTo says in one or two sentences how an exercise is done, or "".
func (sp *Speaker) HowTo(id prescribe.ExerciseID) string {
	if key := "howto." + string(id); sp.Has(key) {
		return sp.T(key)
	}
	return ""
}
