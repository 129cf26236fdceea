package prescribe

import "math"

// level is the belief about one quantity that wanders: a normal distribution.
// It is the local-level model of Durbin & Koopman (Time Series Analysis by
// State Space Methods, 2001, chapter 2). A variance of 0 means that nothing
// is known yet.
type level struct{ mean, variance float64 }

func (l level) known() bool { return l.variance > 0 }

// predict lets the quantity wander: q is the variance that time adds.
func (l level) predict(q float64) level {
	if !l.known() {
		return l
	}
	return level{l.mean, l.variance + q}
}

// update takes in a reading y of the quantity, whose error has variance r. The
// first reading stands for the level as it is (a diffuse start).
func (l level) update(y, r float64) level {
	if !l.known() {
		return level{y, r}
	}
	gain := l.variance / (l.variance + r)
	return level{l.mean + gain*(y-l.mean), l.variance * (1 - gain)}
}

// updateAbove takes in that the quantity is at least y, where y is uncertain
// with variance r. The exact posterior is a skewed normal; the level keeps its
// mean and variance (moment matching):
//
//	z = (m−y)/√(P+r), λ = φ(z)/Φ(z)
//	m' = m + P/√(P+r)·λ
//	P' = P − P²/(P+r)·λ(z+λ)
//
// The mean never falls.
func (l level) updateAbove(y, r float64) level {
	if !l.known() {
		return l
	}
	s := l.variance + r
	z := (l.mean - y) / math.Sqrt(s)
	lambda, excess := mills(z)
	return level{
		l.mean + l.variance/math.Sqrt(s)*lambda,
		l.variance * (1 - l.variance/s*lambda*excess),
	}
}

// updateBelow takes in that the quantity is at most y. The mean never rises.
func (l level) updateBelow(y, r float64) level {
	m := level{-l.mean, l.variance}.updateAbove(-y, r)
	return level{-m.mean, m.variance}
}

// quantile is the value below which the quantity lies with probability p.
func (l level) quantile(p float64) float64 {
	return l.mean + math.Sqrt(l.variance)*math.Sqrt2*math.Erfinv(2*p-1)
}

// within limits how far one reading can move the level. A reading more than k
// standard deviations below counts as one k below, so that a worse set never
// gives a better record. A reading more than k above, which reaches here only
// after somebody confirmed it, says that the level was less certain than it
// looked: its variance is raised until the reading is k away.
func (l level) within(y, r, k float64) (level, float64) {
	if !l.known() {
		return l, y
	}
	far := k * math.Sqrt(l.variance+r)
	switch d := y - l.mean; {
	case d < -far:
		return l, l.mean - far
	case d > far:
		return level{l.mean, (d/k)*(d/k) - r}, y
	}
	return l, y
}

// mills is λ(z) = φ(z)/Φ(z), the inverse Mills ratio, and z+λ(z), both exact
// far into the lower tail, where φ and Φ vanish and z+λ cancels.
func mills(z float64) (lambda, excess float64) {
	if z > 38 { // φ underflows: nothing is learnt
		return 0, z
	}
	if z > -30 {
		lambda = math.Sqrt(2/math.Pi) * math.Exp(-z*z/2) / math.Erfc(-z/math.Sqrt2)
		return lambda, z + lambda
	}
	// Asymptotic series of the Mills ratio; at t = 30 its next term is below
	// one part in 10⁹.
	t := -z
	excess = 1/t - 2/(t*t*t) + 10/(t*t*t*t*t)
	return t + excess, excess
}
