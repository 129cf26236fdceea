package prescribe

import (
	"strconv"
	"strings"
)

// slowTempo reads a tempo, lowering-pause-raising-pause in seconds, and reports
// whether lowering and raising together are so long that a set says nothing
// about strength (record.slow_from).
func slowTempo(tempo string, r Rules) bool {
	moving := 0
	for i, s := range strings.Split(tempo, "-") {
		if n, err := strconv.Atoi(s); err == nil && i%2 == 0 {
			moving += n
		}
	}
	return float64(moving) >= r.Num("record.slow_from")
}
