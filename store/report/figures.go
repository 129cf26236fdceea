package report

import (
	"math"

	"pegcard/prescribe"
)

// Share is a proportion k of n with its interval.
type Share struct {
	K, N int
}

// Percent is 100·k/n; ok is false for n = 0.
func (s Share) Percent() (p prescribe.Percent, ok bool) {
	if s.N == 0 {
		return 0, false
	}
	return prescribe.Percent(100 * float64(s.K) / float64(s.N)), true
}

// z95 is the 97.5 % quantile of the standard normal distribution.
const z95 = 1.959963984540054

// Wilson is the 95 % score interval of the proportion, in percent (Wilson 1927,
// without continuity correction): 17 of 20 gives 64.0 to 94.8. It is 0 to 100
// for n = 0.
func (s Share) Wilson() (low, high prescribe.Percent) {
	if s.N == 0 {
		return 0, 100
	}
	n, p := float64(s.N), float64(s.K)/float64(s.N)
	z2 := z95 * z95
	centre := (p + z2/(2*n)) / (1 + z2/n)
	half := z95 / (1 + z2/n) * math.Sqrt(p*(1-p)/n+z2/(4*n*n))
	return prescribe.Percent(100 * max(0, centre-half)), prescribe.Percent(100 * min(1, centre+half))
}

// Week is seven days of training load, session RPE × minutes in arbitrary
// units (Foster 2001). A nil day is one of which nothing is known; a day
// without training is 0.
type Week [7]*float64

// Monotony is the mean of the seven days over their standard deviation (n−1),
// strain the sum times monotony (Foster 1998). ok is false when a day is
// missing or all days are equal: then neither is defined.
func (w Week) Monotony() (monotony, strain float64, ok bool) {
	sum := 0.0
	for _, d := range w {
		if d == nil {
			return 0, 0, false
		}
		sum += *d
	}
	mean, ss := sum/7, 0.0
	for _, d := range w {
		ss += (*d - mean) * (*d - mean)
	}
	sd := math.Sqrt(ss / 6)
	if sd == 0 {
		return 0, 0, false
	}
	return mean / sd, sum * mean / sd, true
}
