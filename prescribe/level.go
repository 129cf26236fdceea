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

// atMost takes in that the quantity is at most y, as the exact reading y would
// if the level is higher, and not at all if it is lower. It claims no more
// certainty: that keeps a lower y, and a lower level before it, from ending
// above a higher one.
func (l level) atMost(y, r float64) level {
	if y >= l.mean || !l.known() {
		return l
	}
	return level{l.update(y, r).mean, l.variance}
}

// quantile is the value below which the quantity lies with probability p.
func (l level) quantile(p float64) float64 {
	return l.mean + math.Sqrt(l.variance)*math.Sqrt2*math.Erfinv(2*p-1)
}

// near is a reading kept within k standard deviations of the level: one
// further away counts as if it were k away. So a worse reading never gives a
// better level, and evidence that contradicts itself moves it only so far.
func (l level) near(y, r, k float64) float64 {
	if !l.known() {
		return y
	}
	far := k * math.Sqrt(l.variance+r)
	return min(max(y, l.mean-far), l.mean+far)
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
