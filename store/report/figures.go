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

// Ratio is done of planned over several players, in percent, in both ways it
// can be said, each with a 95 % interval. They differ when who has more planned
// does a larger or smaller part of it.
type Ratio struct {
	N int // players with something planned
	// OfSums is Σ done ÷ Σ planned; its interval is from the jackknife over
	// players with Student's t (Efron 1982), so it is 0, 0 for fewer than two.
	OfSums, SumsLow, SumsHigh prescribe.Percent
	// Mean is the mean over players of done ÷ planned; its interval is the mean's,
	// with Student's t.
	Mean, MeanLow, MeanHigh prescribe.Percent
}

// RatioOf works a ratio out from each player's done and planned; those with
// nothing planned do not count. ok is false when there are none.
func RatioOf(done, planned []float64) (r Ratio, ok bool) {
	var ds, ps []float64
	sd, sp := 0.0, 0.0
	for i := range planned {
		if planned[i] > 0 {
			ds, ps = append(ds, done[i]), append(ps, planned[i])
			sd, sp = sd+done[i], sp+planned[i]
		}
	}
	n := len(ps)
	if n == 0 {
		return r, false
	}
	each, pseudo := make([]float64, n), make([]float64, n)
	for i := range ps {
		each[i] = 100 * ds[i] / ps[i]
		if n > 1 {
			pseudo[i] = float64(n)*100*sd/sp - float64(n-1)*100*(sd-ds[i])/(sp-ps[i])
		}
	}
	r.N, r.OfSums = n, prescribe.Percent(100*sd/sp)
	mean, half := meanInterval(each)
	r.Mean = prescribe.Percent(mean)
	if n > 1 {
		r.MeanLow, r.MeanHigh = prescribe.Percent(max(0, mean-half)), prescribe.Percent(mean+half)
		_, half = meanInterval(pseudo)
		r.SumsLow, r.SumsHigh = prescribe.Percent(max(0, float64(r.OfSums)-half)), r.OfSums+prescribe.Percent(half)
	}
	return r, true
}

// meanInterval is the mean of v and the half width of its 95 % interval.
func meanInterval(v []float64) (mean, half float64) {
	for _, x := range v {
		mean += x / float64(len(v))
	}
	if len(v) < 2 {
		return mean, 0
	}
	ss := 0.0
	for _, x := range v {
		ss += (x - mean) * (x - mean)
	}
	return mean, t975(len(v)-1) * math.Sqrt(ss/float64(len(v)-1)/float64(len(v)))
}

// t975 is the 97.5 % quantile of Student's distribution, from the usual table up
// to 30 degrees of freedom and by 1.96 + 2.4/df beyond, which is right to 0.003.
func t975(df int) float64 {
	table := [...]float64{12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201, 2.179, 2.160, 2.145, 2.131,
		2.120, 2.110, 2.101, 2.093, 2.086, 2.080, 2.074, 2.069, 2.064, 2.060, 2.056, 2.052, 2.048, 2.045, 2.042}
	if df <= len(table) {
		return table[df-1]
	}
	return z95 + 2.4/float64(df)
}

// Epidemiology is what is counted of injuries or, here, of restrictions that
// medical staff have set, in the terms of the International Olympic Committee's
// consensus statement (Bahr 2020).
type Epidemiology struct {
	Episodes int
	TimeLoss int // episodes with a day lost
	DaysLost int
	Hours    float64 // of exposure
	// Bins counts episodes by days lost: 0, 1–7, 8–28, more than 28.
	Bins [4]int
}

// EpidemiologyOf counts episodes, each given by its days lost, in hours of
// exposure.
func EpidemiologyOf(lost []int, hours float64) Epidemiology {
	e := Epidemiology{Episodes: len(lost), Hours: hours}
	for _, d := range lost {
		e.DaysLost += d
		if d > 0 {
			e.TimeLoss++
		}
		switch {
		case d <= 0:
			e.Bins[0]++
		case d <= 7:
			e.Bins[1]++
		case d <= 28:
			e.Bins[2]++
		default:
			e.Bins[3]++
		}
	}
	return e
}

// Incidence is episodes per 1000 hours, of all and of those with a day lost; ok
// is false without hours.
func (e Epidemiology) Incidence() (all, timeLoss float64, ok bool) {
	if e.Hours <= 0 {
		return 0, 0, false
	}
	return 1000 * float64(e.Episodes) / e.Hours, 1000 * float64(e.TimeLoss) / e.Hours, true
}

// Burden is days lost per 1000 hours.
func (e Epidemiology) Burden() (perThousand float64, ok bool) {
	if e.Hours <= 0 {
		return 0, false
	}
	return 1000 * float64(e.DaysLost) / e.Hours, true
}

// Severity is the mean of days lost over the episodes with any.
func (e Epidemiology) Severity() (days float64, ok bool) {
	if e.TimeLoss == 0 {
		return 0, false
	}
	return float64(e.DaysLost) / float64(e.TimeLoss), true
}

// The scale that a squad of professionals may expect, time-loss injuries of all
// kinds (Ekstrand J, Hägglund M, Waldén M. Br J Sports Med 2011;45:553-558).
const (
	ExpectedPerPlayerSeason = 2.0
	ExpectedPerSquadSeason  = 50 // of 25 players
	ExpectedPerThousand     = 8.0
)
