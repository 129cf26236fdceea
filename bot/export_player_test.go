package bot

import "pegcard/prescribe"

// TapVerbs are the verbs of all buttons.
func TapVerbs() []string {
	var out []string
	for _, row := range tapTable() {
		out = append(out, row.verb)
	}
	return out
}

// ReadDays is readDays.
func ReadDays(s string, today prescribe.Day) (from, to prescribe.Day, ok bool) {
	return readDays(s, today)
}

// PainPlaces are the places offered at once, and those behind "more places".
func PainPlaces() (first, more []prescribe.Region) { return painFirst, painMore }
