package trial

import "math"

// draws gives every random number of a season its own place, so that two
// policies meet the same day with the same luck however much each of them asks
// for. It is the splitmix64 finaliser over the season's seed and the place.
type draws struct{ seed uint64 }

// Places.
const (
	drawPlayer = iota + 1
	drawLift
	drawForm
	drawLiftForm
	drawReport
	drawTest
	drawWander
	drawAttend
	drawHabit
	drawSore
	drawTyping
	drawWorld
	drawMatch
	drawHealth
)

func mix(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

func (d draws) bits(place, a, b, c int) uint64 {
	x := mix(d.seed ^ uint64(place)*0xd6e8feb86659fd93)
	x = mix(x ^ uint64(a))
	x = mix(x ^ uint64(b))
	return mix(x ^ uint64(c))
}

// uniform is in (0, 1).
func (d draws) uniform(place, a, b, c int) float64 {
	return (float64(d.bits(place, a, b, c)>>11) + 0.5) / (1 << 53)
}

// normal is standard normal.
func (d draws) normal(place, a, b, c int) float64 {
	return math.Sqrt2 * math.Erfinv(2*d.uniform(place, a, b, c)-1)
}

// poisson counts events at a mean rate.
func (d draws) poisson(mean float64, place, a int) int {
	limit, p := math.Exp(-mean), 1.0
	for n := range 50 {
		p *= d.uniform(place, a, n, 0)
		if p < limit {
			return n
		}
	}
	return 50
}

// between is a whole number from low to high.
func (d draws) between(low, high, place, a, b int) int {
	return low + int(d.uniform(place, a, b, 0)*float64(high-low+1))
}
