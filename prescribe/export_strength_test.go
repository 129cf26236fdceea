package prescribe

import "math"

// The local level, for the checks against published series and distributions.

type Level = level

func NewLevel(mean, variance float64) Level    { return level{mean, variance} }
func (l level) Mean() float64                  { return l.mean }
func (l level) Variance() float64              { return l.variance }
func (l level) Predict(q float64) Level        { return l.predict(q) }
func (l level) Update(y, r float64) Level      { return l.update(y, r) }
func (l level) UpdateAbove(y, r float64) Level { return l.updateAbove(y, r) }
func (l level) AtMost(y, r float64) Level      { return l.atMost(y, r) }
func (l level) Quantile(p float64) float64     { return l.quantile(p) }
func (l level) Near(y, r, k float64) float64   { return l.near(y, r, k) }

func Mills(z float64) (lambda, excess float64) { return mills(z) }

// TableLog is the logarithm of the table's fraction at n repetitions.
func TableLog(n float64) float64 { return logFraction(n) }

// TodayMean is the middle of the belief as logarithm, with today's sets.
func (rec Record) TodayMean(r Rules) float64 {
	return rec.today(r).mean
}

// TodaySD is its standard deviation.
func (rec Record) TodaySD(r Rules) float64 {
	return math.Sqrt(rec.today(r).variance)
}

// Shape is the multiplier of the table's logarithm.
func (c Curve) Shape(r Rules) float64 { return c.shape(r) }
