package prescribe

import (
	"cmp"
	"math"
	"slices"
)

// Bounds of a Record, so that a player's state does not grow.
const (
	recordRecent  = 8  // sets kept for the derivation
	recordDoubts  = 4  // sets that can wait for an answer
	biasMemory    = 20 // sets to failure that the correction of reports remembers
	reportsBeyond = 1  // a report above record.rir_exact counts as this much above it
)

// Record is what is believed about one lift of one player, on one side: the
// logarithm of the 1RM in kg of the lift's total, as a local level, and what
// today has said about it so far. The total is the external load or, for an
// exercise with a BodyFraction, that share of body mass and the added load.
//
// The level is kept as if the player's repetition curve were the table, beside
// how much it leans on the table (OnCurve) and how far the player's own curve is
// from it (Curve): the 1RM is the level and OnCurve·Curve.Bend together. This is
// the Kalman filter with an unknown constant in two stages (Friedland 1969). It
// is exact, and how far a set moves the level does not hang on what the curve
// turns out to be.
//
// A Record is a value. The zero Record knows nothing.
type Record struct {
	Mean float64 `json:"mean,omitempty"` // of the level on Day, before today's sets
	Var  float64 `json:"var,omitempty"`  // 0: nothing known before today
	Day  Day     `json:"day,omitempty"`
	Seen Day     `json:"seen,omitempty"` // last day the lift was trained: absence counts from here

	// What today's sets said. They are kept apart from the level until the day
	// is over, so that the order in which they arrive makes no difference.
	Exact   *Reading `json:"exact,omitempty"`   // the first working set, or the best test
	AtLeast *Reading `json:"atleast,omitempty"` // highest lower bound; of an unknown lift also an earlier day's
	Few     *Stretch `json:"few,omitempty"`     // of the day's tests to failure, the one of the fewest repetitions
	Many    *Stretch `json:"many,omitempty"`    // and of the most
	Below   *Reading `json:"below,omitempty"`   // lowest load that failed outright

	// How much of the level rests on the repetition table and on reports: errors
	// of these come back with every set, so they do not average out.
	OnCurve  float64 `json:"on_curve,omitempty"`  // −logarithm of the table's fraction, averaged as the sets count
	OnReport float64 `json:"on_report,omitempty"` // table slope where the set was a report, likewise

	Top      float64 `json:"top,omitempty"`       // the level after the last exact set: lower bounds alone lift it so far above only
	ExactDay Day     `json:"exact_day,omitempty"` // last day with an exact set
	TestDay  Day     `json:"test_day,omitempty"`  // last day with an exact test
	Sets     int     `json:"sets,omitempty"`      // that said something
	Exacts   int     `json:"exacts,omitempty"`    // of these, exact

	// How reports in reserve compare with sets to failure.
	Fails    int     `json:"fails,omitempty"`    // sets to failure that a report can be judged by
	Bias     float64 `json:"bias,omitempty"`     // repetitions under-reported, their mean
	Reported float64 `json:"reported,omitempty"` // table slope at the last exact set if that was a report, else 0

	Curve Curve `json:"curve,omitzero"`

	Waiting []Doubt `json:"waiting,omitempty"` // sets too good to count before the player confirms them, oldest first
	Recent  []Kept  `json:"recent,omitempty"`  // oldest first
}

// Reading is what one set says of the 1RM.
type Reading struct {
	Key  string  `json:"key"`
	Y    float64 `json:"y"`              // logarithm of the 1RM implied by the table, kg
	R    float64 `json:"r"`              // variance of Y
	N    float64 `json:"n"`              // repetitions to failure it was read at
	Min  float64 `json:"min"`            // the lower bound that the repetitions done prove alone, as Y of a bound
	Test bool    `json:"test,omitempty"` // taken as a test
	Fail bool    `json:"fail,omitempty"` // to failure
	Rep  bool    `json:"rep,omitempty"`  // N counts repetitions reported in reserve
	Sure bool    `json:"sure,omitempty"` // implausible, and confirmed by the player
	Day  Day     `json:"day"`
}

// Stretch is one test to failure, as the curve needs it.
type Stretch struct {
	Key  string  `json:"key"`
	Load float64 `json:"load"` // logarithm, kg of the total
	N    float64 `json:"n"`    // repetitions to failure
}

// ReadAs is how a set was taken.
type ReadAs string

const (
	ReadExact   ReadAs = "exact"    // the 1RM is this
	ReadAtLeast ReadAs = "at_least" // the 1RM is this or more
	ReadBelow   ReadAs = "below"    // the 1RM is less
	ReadNothing ReadAs = "nothing"  // says nothing about strength
	ReadWaiting ReadAs = "waiting"  // too good to count before it is confirmed
	ReadWrong   ReadAs = "wrong"    // the player said it was not so
)

// Doubt is a set that waits for an answer.
type Doubt struct {
	Reading
	As   ReadAs `json:"as"`   // what it will count as
	Load Kg     `json:"load"` // as reported
	Reps int    `json:"reps"`
}

// Kept is a set as the derivation shows it.
type Kept struct {
	Key   string `json:"key"`
	Day   Day    `json:"day"`
	Total Kg     `json:"total"`
	Reps  int    `json:"reps"`
	RIR   *RIR   `json:"rir,omitempty"`
	As    ReadAs `json:"as"`
	OneRM Kg     `json:"one_rm,omitempty"` // implied; 0 when it says nothing
}

// Estimate is what a record says on a day, in kg of the lift's total.
type Estimate struct {
	Median Kg      `json:"median"`
	Low    Kg      `json:"low"` // ends of record.interval
	High   Kg      `json:"high"`
	Used   Kg      `json:"used"` // record.quantile: what loads are worked out from
	SD     float64 `json:"sd"`   // of the logarithm
	Days   int     `json:"days"` // since the last exact set
	Sets   int     `json:"sets"` // that said something
	// Shape is the player's own repetition curve: it multiplies the table's
	// logarithm. 1, or 0 when nothing is known, is the table itself.
	Shape float64 `json:"shape,omitempty"`
	// Steep is the shape that record.quantile of players like him are flatter
	// than: how many repetitions a heavy load allows is worked out with it.
	Steep float64 `json:"steep,omitempty"`
}

// Fraction is the percentage of 1RM that this player can lift totalReps times:
// the table, bent to the player's own repetition curve. Loads have to be
// worked out with it, for the 1RM was read with it. It is false below 1 and
// above TableReps.
func (e Estimate) Fraction(totalReps int) (Percent, bool) {
	table, ok := Fraction(totalReps)
	if !ok || e.Shape == 0 || e.Shape == 1 {
		return table, ok
	}
	return Percent(100 * math.Exp(e.Shape*logFraction(float64(totalReps)))), true
}

// cautious is the estimate with the steep curve.
func (e Estimate) cautious() Estimate {
	e.Shape = e.Steep
	return e
}

// Known reports whether there is a record to prescribe from: at least one
// exact set.
func (rec Record) Known() bool { return rec.Var > 0 || rec.Exact != nil }

// At is the record on a later day: today's sets are taken into the level, the
// level becomes less certain, and after a long absence it falls. An earlier
// day changes nothing. At(a).At(b) equals At(b).
//
// Strength is held for record.absence_held days without the lift and falls
// evenly to record.absence_loss at record.absence_end. Nothing published goes
// further, so neither does the fall; the uncertainty goes on growing.
func (rec Record) At(day Day, r Rules) Record {
	if day <= rec.Day {
		return rec
	}
	if !rec.Known() {
		if int(day-rec.Seen) > r.Int("record.absence_held") {
			rec.AtLeast = nil
		}
		rec.Below = nil
		rec.Day = day
		return rec
	}
	now, curve := rec.today(r), rec.bent(r)
	if rec.Exact != nil {
		exact := rec
		exact.AtLeast = nil
		rec.Top = exact.today(r).mean
		rec.OnCurve, rec.OnReport = rec.rests(*rec.Exact, r)
	}
	rec.Curve = curve
	before, after := absence(rec.Day-rec.Seen, r), absence(day-rec.Seen, r)
	spread := r.Num("record.absence_spread")
	now = now.predict(wander(day-rec.Day, r) + spread*spread*(after*after-before*before))
	rec.Mean, rec.Var = now.mean+after-before, now.variance
	rec.Exact, rec.AtLeast, rec.Below, rec.Few, rec.Many = nil, nil, nil, nil, nil
	rec.Day = day
	return rec
}

// wander is the variance that days add to the level. Dates that make no sense
// add no more than a lifetime.
func wander(days Day, r Rules) float64 {
	const lifetime = 36525
	sd := r.Num("record.drift_sd") / 100
	return sd * sd * float64(min(max(days, 0), lifetime))
}

// absence is the change of log strength after days without the lift, ≤ 0.
func absence(days Day, r Rules) float64 {
	held, end := r.Num("record.absence_held"), r.Num("record.absence_end")
	part := (float64(days) - held) / (end - held)
	return math.Log1p(-r.Num("record.absence_loss")/100) * min(max(part, 0), 1)
}

// today is the level with today's readings. The order is fixed, whichever
// order they came in, and such that a higher reading of any kind gives a higher
// level, however the readings contradict each other.
func (rec Record) today(r Rules) level {
	k := r.Num("record.doubt_sd")
	l := level{rec.Mean, rec.Var}
	if b := rec.Below; b != nil {
		l = l.atMost(l.near(b.Y, b.R, k), b.R)
	}
	if e := rec.Exact; e != nil {
		shift := rec.shift(*e, r)
		prior, y := l.facing(e.less(shift), k)
		l = prior.update(y+shift, e.R)
		rec.OnCurve, _ = rec.rests(*e, r)
	}
	if b := rec.AtLeast; b != nil {
		top := rec.top(l) + rec.climb(r)
		l = l.atLeast(b.less(rec.shift(*b, r)), rec.lean(*b, r), top, r)
	}
	return l
}

// top is Top with today's exact set, after which the level is l.
func (rec Record) top(l level) float64 {
	if rec.Exact != nil {
		return l.mean
	}
	return rec.Top
}

// climb is how far above Top lower bounds alone may bring the level. Whoever
// only ever says that the sets were done as written proves what was lifted, if
// it is so; but nobody has seen how hard it was, and from that alone loads must
// not grow faster than strength does.
func (rec Record) climb(r Rules) float64 {
	days := float64(max(rec.Day-rec.ExactDay, 0))
	return math.Log1p((r.Num("record.climb_free") + days*r.Num("record.climb_day")) / 100)
}

// shift is how much more a reading of the level is expected to say than the
// level does, for the player's own curve.
func (rec Record) shift(x Reading, r Rules) float64 {
	return (rec.OnCurve + logFraction(x.N)) * rec.Curve.bend(r)
}

// lean is the variance that the curve adds between a reading and the level.
func (rec Record) lean(x Reading, r Rules) float64 {
	if !rec.Curve.used(r) {
		return 0
	}
	d := (rec.OnCurve + logFraction(x.N)) * rec.Curve.spread(r)
	return d * d
}

// less is the reading with its value lowered.
func (x Reading) less(by float64) Reading {
	x.Y -= by
	return x
}

// atLeast takes a lower bound in. A bound far below is not raised to what is
// plausible: it simply says nothing. The level rises as the truncated normal
// says, but no higher than top, unless the player confirmed the set. How much
// surer it gets is a fixed share: were it to depend on the load,
// a lighter history could leave the level more open to the next set, and end
// above a heavier one.
func (l level) atLeast(b Reading, lean, top float64, r Rules) level {
	y := b.Y
	if !b.Sure {
		y = min(y, l.near(y, b.R, r.Num("record.doubt_sd")))
	}
	mean := l.updateAbove(y, b.R+lean).mean
	if !b.Sure {
		mean = max(l.mean, min(mean, top))
	}
	return level{mean, l.variance * (1 - r.Num("record.bound_share")/100)}
}

// facing is the level and the value with which a reading is taken in. An
// implausible reading that the player confirmed says that the level was less
// certain than it looked: its variance is raised by k times the reading's, so
// that the reading counts for k parts in k+1 at least. Any other is kept near.
func (l level) facing(x Reading, k float64) (level, float64) {
	if x.Sure {
		return l.predict(k * x.R), x.Y
	}
	return l, l.near(x.Y, x.R, k)
}

// rests is OnCurve and OnReport after an exact reading of a level. A level that
// moves towards a reading by some share takes over that share of the reading's
// dependence; this is the sensitivity of the filter to a constant error.
func (rec Record) rests(x Reading, r Rules) (curve, report float64) {
	share := 1.0
	if l, _ := (level{rec.Mean, rec.Var}).facing(x, r.Num("record.doubt_sd")); l.known() {
		share = l.variance / (l.variance + x.R)
	}
	slope := 0.0
	if x.Rep {
		slope = logSlope(x.N)
	}
	return rec.OnCurve + share*(-logFraction(x.N)-rec.OnCurve), rec.OnReport + share*(slope-rec.OnReport)
}

// lasting is the variance of the errors that do not average out.
func (rec Record) lasting(r Rules) float64 {
	if rec.Exact != nil {
		rec.OnCurve, rec.OnReport = rec.rests(*rec.Exact, r)
	}
	curve := rec.OnCurve * rec.Curve.spread(r)
	report := rec.OnReport * r.Num("record.bias_spread")
	return curve*curve + report*report
}

// Estimate is what the record says on day; zero when nothing is known.
func (rec Record) Estimate(day Day, r Rules) Estimate {
	rec = rec.At(day, r)
	if !rec.Known() {
		return Estimate{}
	}
	l := rec.today(r).predict(rec.lasting(r))
	if rec.Exact != nil {
		rec.OnCurve, rec.OnReport = rec.rests(*rec.Exact, r)
	}
	l.mean += rec.OnCurve * rec.Curve.bend(r)
	tail := (1 - r.Num("record.interval")/100) / 2
	return Estimate{
		Median: Kg(math.Exp(l.mean)),
		Low:    Kg(math.Exp(l.quantile(tail))),
		High:   Kg(math.Exp(l.quantile(1 - tail))),
		Used:   Kg(math.Exp(l.quantile(r.Num("record.quantile") / 100))),
		SD:     math.Sqrt(l.variance),
		Days:   int(max(day-rec.ExactDay, 0)),
		Sets:   rec.Sets,
		Shape:  rec.Curve.shape(r),
		Steep:  level{rec.Curve.shape(r), max(rec.Curve.spread(r)*rec.Curve.spread(r), 1e-12)}.quantile(1 - r.Num("record.quantile")/100),
	}
}

// Total is the lift's total of an external load on a player of mass body; it
// is false when the exercise needs the body mass and that is unknown, when
// there is no load to speak of, or when it is one that nobody lifts.
func Total(load Kg, ex Exercise, body Kg) (Kg, bool) {
	total := load
	switch ex.LoadKind {
	case LoadBar, LoadDumbbells:
	case LoadBodyweight:
		if ex.BodyFraction == 0 || !(body > 0) {
			return 0, false
		}
		total += Kg(ex.BodyFraction) * body
	default:
		return 0, false
	}
	return total, total > 0 && total <= heaviest
}

// External is the load to add for a total; negative when the body alone is
// more.
func External(total Kg, ex Exercise, body Kg) Kg { return total - Kg(ex.BodyFraction)*body }

// Observe is the record after a set. The rules of reading it, in order:
//
//   - a set stopped for pain changes nothing, not even the absence;
//   - lowering beyond what can be raised, a slow tempo, or a load that is not a
//     mass says nothing;
//   - no repetition at all, to failure, says the 1RM is below the load;
//   - a cluster is a lower bound from its longest unbroken run;
//   - the first working set of the day, to failure or with repetitions in
//     reserve reported, is exact, and so is a first set of fewer repetitions
//     than the card asked for;
//   - everything else is a lower bound, and so is anything above the table.
//
// A set far above the record waits; see Answer. key must be the event's.
func (rec Record) Observe(set Set, key string, ex Exercise, body Kg, day Day, r Rules) Record {
	if set.Stopped {
		return rec
	}
	late := max(rec.Day-day, 0) // reported after a later set: its day has been closed
	rec = rec.At(day, r)
	rec.Seen = max(rec.Seen, day)

	kept := Kept{Key: key, Day: day, Reps: set.Reps, As: ReadNothing}
	if set.RIR != nil {
		kept.RIR = new(*set.RIR)
	}
	total, ok := Total(set.Load, ex, body)
	if ok {
		kept.Total = total
	}
	if !ok || ex.Hold || ex.EccentricOverload || set.Slow || set.Reps < 0 {
		return rec.keep(kept)
	}
	reading, as := rec.read(set, total, r)
	if set.Test && set.ToFail && set.Reps > 0 {
		rec = rec.apart(Stretch{Load: log(total), N: float64(set.Reps), Key: key})
	}
	if as == ReadNothing {
		return rec.keep(kept)
	}
	reading.Key, reading.Day = key, day
	kept.As, kept.OneRM = as, Kg(math.Exp(log(total)-rec.Curve.shape(r)*logFraction(reading.N)))
	if as == ReadExact {
		reading.R += wander(late, r)
	}

	if as != ReadBelow && rec.doubtful(reading, r) {
		kept.As = ReadWaiting
		d := Doubt{Reading: reading, As: as, Load: set.Load, Reps: set.Reps}
		rec.Waiting = push(rec.Waiting, d, recordDoubts)
		return rec.keep(kept)
	}
	return rec.take(reading, as, r).keep(kept)
}

// apart keeps the tests to failure of a day that lie farthest apart, whatever
// order they come in.
func (rec Record) apart(x Stretch) Record {
	order := func(a, b *Stretch) int {
		return cmp.Or(cmp.Compare(a.N, b.N), cmp.Compare(b.Load, a.Load), cmp.Compare(a.Key, b.Key))
	}
	if rec.Few == nil || order(&x, rec.Few) < 0 {
		rec.Few = &x
	}
	if rec.Many == nil || order(&x, rec.Many) > 0 {
		rec.Many = &x
	}
	return rec
}

// read is what a set of a positive total says.
func (rec Record) read(set Set, total Kg, r Rules) (Reading, ReadAs) {
	load := log(total)
	failed := set.ToFail || set.Test && (set.RIR == nil || *set.RIR <= 0)
	if set.Reps == 0 {
		if !failed {
			return Reading{}, ReadNothing
		}
		return rec.reading(load, 1, 0, r), ReadBelow
	}
	if 0 < set.Unbroken && set.Unbroken < set.Reps {
		return rec.reading(load, float64(set.Unbroken), 0, r).asBound(r), ReadAtLeast
	}

	exactTo := r.Int("record.rir_exact")
	if set.Test { // somebody stood beside it
		exactTo = max(exactTo, 4)
	}
	reserve, doubt, as := 0, 0.0, ReadAtLeast
	missed := set.Asked > 0 && set.Reps < set.Asked && !set.AsWritten
	switch {
	case failed:
		as = ReadExact
	case set.RIR != nil && int(*set.RIR) <= exactTo:
		reserve, doubt, as = max(int(*set.RIR), 0), 1, ReadExact
	case set.RIR != nil:
		reserve = exactTo + reportsBeyond
	case missed:
		doubt, as = 1, ReadExact
	}
	if !set.Test && (set.Ordinal > 1 || rec.Exact != nil) {
		as = ReadAtLeast
	}
	n := set.Reps + reserve
	if n > TableReps {
		as = ReadAtLeast
	}
	corrected := float64(n)
	if reserve > 0 {
		// A lower bound is corrected only downwards.
		bias := rec.bias(r)
		if as == ReadAtLeast {
			bias = min(bias, 0)
		}
		corrected = max(corrected+bias, float64(set.Reps))
	}
	reading := rec.reading(load, corrected, doubt, r)
	if as == ReadAtLeast {
		return reading.asBound(r), as
	}
	reading.Min = rec.reading(load, float64(set.Reps), 0, r).asBound(r).Y
	reading.Test, reading.Fail, reading.Rep = set.Test, failed, reserve > 0
	return reading, as
}

// reading is the 1RM implied by a load, as logarithm, at n repetitions to
// failure. Its variance has three parts: how a tested 1RM differs from day to
// day, how players differ the further the set is from one repetition, and,
// where n rests on a report, the report's error along the table's slope.
func (rec Record) reading(load, n, reported float64, r Rules) Reading {
	n = min(n, TableReps)
	day := r.Num("record.retest_cv") / 100
	curve := r.Num("record.rep_spread") / 100 * (n - 1)
	report := reported * r.Num("record.rir_error") * logSlope(n)
	return Reading{Y: load - logFraction(n), R: day*day + curve*curve + report*report, N: n}
}

// asBound is the reading as a lower bound. Some of what is uncertain in it is
// taken off the bound, record.bound_loss standard deviations, and all bounds are
// equally sharp. So of two bounds the higher always says more, whatever they were
// read from, and a day needs to keep only one. And easy sets, done as written week after week,
// do not push the record up for nothing.
func (x Reading) asBound(r Rules) Reading {
	x.Y -= r.Num("record.bound_loss") * math.Sqrt(x.R)
	x.R = boundVariance(r)
	return x
}

func boundVariance(r Rules) float64 {
	sd := r.Num("record.bound_sd") / 100
	return sd * sd
}

func log(kg Kg) float64 { return math.Log(float64(kg)) }

// doubtful reports whether a reading lies so far above the record that a
// mistyped load is likelier than the strength.
func (rec Record) doubtful(x Reading, r Rules) bool {
	l := level{rec.Mean, rec.Var}
	if !l.known() && rec.Exact != nil {
		l = level{rec.Exact.Y, rec.Exact.R}
	}
	return l.known() && x.Y-l.mean > r.Num("record.doubt_sd")*math.Sqrt(l.variance+x.R)
}

// take lets a reading count.
func (rec Record) take(x Reading, as ReadAs, r Rules) Record {
	rec.Sets++
	switch as {
	case ReadBelow:
		if b := rec.Below; b == nil || cmp.Or(cmp.Compare(x.Y, b.Y), cmp.Compare(x.Key, b.Key)) < 0 {
			rec.Below = &x
		}
	case ReadAtLeast:
		rec = rec.bound(x)
	case ReadExact:
		if old := rec.Exact; old != nil {
			if !x.Test { // a confirmed set of a day with an exact one
				return rec.bound(x.proved(r))
			}
			best, other := x, *old
			if old.Test {
				if old.Y > x.Y || old.Y == x.Y && old.Key < x.Key {
					best, other = other, best
				}
				// As uncertain as the less certain of the two: how far the day's tests
				// are trusted must not depend on which of them was the best.
				best.R, best.N, best.Rep = max(best.R, other.R), max(best.N, other.N), best.Rep || other.Rep
			}
			x, rec = best, rec.bound(other.proved(r))
		} else {
			rec.Exacts++
			rec = rec.learn(x, r)
		}
		rec.Exact = &x
		rec.ExactDay = max(rec.ExactDay, x.Day)
		if x.Test {
			rec.TestDay = max(rec.TestDay, x.Day)
		}
	}
	return rec
}

// bound keeps the higher of the day's lower bounds: sets of one day share the
// day's form, so they are one piece of evidence, not several.
func (rec Record) bound(x Reading) Record {
	if b := rec.AtLeast; b != nil {
		sure := x.Sure || b.Sure
		if b.Y > x.Y || b.Y == x.Y && b.Key < x.Key {
			x = *b
		}
		x.Sure = sure
	}
	rec.AtLeast = &x
	return rec
}

// proved is what remains of an exact reading beside a better one: what its
// repetitions prove.
func (x Reading) proved(r Rules) Reading {
	x.Y, x.R, x.Rep = x.Min, boundVariance(r), false
	return x
}

// learn compares an exact reading with what the record expected, for the
// correction of reports.
func (rec Record) learn(x Reading, r Rules) Record {
	l := level{rec.Mean, rec.Var}
	slope := 0.0
	if x.Rep {
		slope = logSlope(x.N)
	}
	if l.known() {
		y := l.near(x.Y-rec.shift(x, r), x.R, r.Num("record.doubt_sd"))
		if x.Fail && rec.Reported > 0 {
			most := r.Num("record.bias_max")
			sample := min(max((y-l.mean)/rec.Reported+rec.bias(r), -most), most)
			rec.Fails++
			rec.Bias += (sample - rec.Bias) / float64(min(rec.Fails, biasMemory))
		}
	}
	rec.Reported = slope
	return rec
}

// bias is how many repetitions a report in reserve is short by: record.bias_mean
// until the player has record.bias_failures sets to failure to judge by, then
// drawn towards what they say.
func (rec Record) bias(r Rules) float64 {
	mean := r.Num("record.bias_mean")
	if rec.Fails < r.Int("record.bias_failures") {
		return mean
	}
	n, prior := float64(min(rec.Fails, biasMemory)), r.Num("record.bias_prior")
	most := r.Num("record.bias_max")
	return min(max((rec.Bias*n+mean*prior)/(n+prior), -most), most)
}

// Correction is the number of repetitions added to a report in reserve.
func (rec Record) Correction(r Rules) float64 { return rec.bias(r) }

// Answer is the record after the player said whether a waiting set was right.
// The answer speaks for the other waiting sets of that day at the same load,
// too. A confirmed set counts as of its day. An answer about a set that does
// not wait changes nothing.
func (rec Record) Answer(a RecordAnswer, r Rules) Record {
	i := slices.IndexFunc(rec.Waiting, func(d Doubt) bool { return d.Key == a.SetKey })
	if i < 0 {
		return rec
	}
	about := rec.Waiting[i]
	var still []Doubt
	rec.Recent = slices.Clone(rec.Recent)
	for _, d := range rec.Waiting {
		if d.Day != about.Day || d.Load != about.Load {
			still = append(still, d)
			continue
		}
		as := ReadWrong
		if a.Right {
			as = d.As
			rec = rec.confirm(d, r)
		}
		for j := range rec.Recent {
			if rec.Recent[j].Key == d.Key {
				rec.Recent[j].As = as
			}
		}
	}
	rec.Waiting = still
	return rec
}

// confirm lets a waiting set count. One of an earlier day goes straight into
// the level, under what today has said.
func (rec Record) confirm(d Doubt, r Rules) Record {
	x, as := d.Reading, d.As
	x.Sure = true
	if d.Day == rec.Day {
		return rec.take(x, as, r)
	}
	l := level{rec.Mean, rec.Var}
	rec.Sets++
	if as == ReadExact {
		x.R += wander(rec.Day-d.Day, r)
		rec.Exacts++
		rec = rec.learn(x, r)
		shift := rec.shift(x, r)
		prior, y := l.facing(x.less(shift), r.Num("record.doubt_sd"))
		l = prior.update(y+shift, x.R)
		rec.Top = l.mean
		curve := rec.bentBy(x, r)
		rec.OnCurve, rec.OnReport = rec.rests(x, r)
		rec.Curve = curve
		rec.ExactDay = max(rec.ExactDay, x.Day)
	} else {
		l = l.atLeast(x.less(rec.shift(x, r)), rec.lean(x, r), l.mean, r) // confirmed: no top
	}
	rec.Mean, rec.Var = l.mean, l.variance
	return rec
}

func (rec Record) keep(k Kept) Record {
	rec.Recent = push(rec.Recent, k, recordRecent)
	return rec
}

// push is list with v at the end, at most limit long, the oldest left out. It
// never shares memory with list.
func push[T any](list []T, v T, limit int) []T {
	if over := len(list) + 1 - limit; over > 0 {
		list = list[over:]
	}
	return append(slices.Clone(list), v)
}

// Curve is what the player's sets say of their own repetition curve: the table's
// logarithm is multiplied by 1 + Bend.
type Curve struct {
	Sets int     `json:"sets,omitempty"` // exact sets that it was learnt from
	Bend float64 `json:"bend,omitempty"`
	Var  float64 `json:"var,omitempty"` // of Bend; 0: nothing learnt yet
}

// shape multiplies the table's logarithm: below 1 the player loses less load
// for each repetition than the table says. Until there are record.curve_sets
// sets it is 1.
func (c Curve) shape(r Rules) float64 { return 1 + c.bend(r) }

func (c Curve) bend(r Rules) float64 {
	if !c.used(r) {
		return 0
	}
	return c.Bend
}

// spread is how far the player's curve may still lie from shape, one standard
// deviation.
func (c Curve) spread(r Rules) float64 {
	if !c.used(r) {
		return r.Num("record.curve_prior") / 100
	}
	return math.Sqrt(c.Var)
}

func (c Curve) used(r Rules) bool { return c.Sets >= r.Int("record.curve_sets") }

// bent is the curve after today's sets. Two tests to failure of one day, at loads
// far apart, say most: the day's form is in both, so what is between them is the
// curve alone.
func (rec Record) bent(r Rules) Curve {
	if a, b := rec.Few, rec.Many; a != nil && b.N-a.N >= r.Num("record.curve_apart") {
		rec.Curve = rec.Curve.between(*a, *b, r)
	}
	switch {
	case rec.Var <= 0:
	case rec.Exact != nil:
		return rec.bentBy(*rec.Exact, r)
	case rec.AtLeast != nil && rec.Curve.used(r):
		return rec.bentAbove(*rec.AtLeast, r)
	}
	return rec.Curve
}

// bentBy is the curve after an exact reading: the second stage of the filter.
// What the reading says beyond the level is blamed on the curve in proportion to
// how much more, or less, the set leans on it than the level does. How much it
// leans is taken from the load, not from the repetitions done: these carry the
// day's luck and the error of the report, and whoever compares luck with itself
// finds every player's curve flatter than it is.
//
// The share is kept within what leaves a better set a better set: the load of no
// number of repetitions on the table falls because of it.
func (rec Record) bentBy(x Reading, r Rules) Curve {
	c, most := rec.Curve, r.Num("record.curve_max")/100
	if c.Var <= 0 {
		prior := r.Num("record.curve_prior") / 100
		c.Var = prior * prior
	}
	c.Sets++
	last := -logFraction(TableReps)
	load := x.Y + logFraction(x.N)
	leans := min(max((rec.Mean+rec.OnCurve*c.Bend-load)/(1+c.Bend), 0), last)
	h, s := rec.OnCurve-leans, rec.Var+x.R
	all := s + h*h*c.Var
	far := r.Num("record.doubt_sd") * math.Sqrt(all)
	surprise := min(max(x.Y-rec.Mean-h*c.Bend, -far), far)
	gain, share := c.Var*h/all, rec.Var/s
	on := rec.OnCurve + share*(-logFraction(x.N)-rec.OnCurve)
	gain = min(max(gain, -share/max(on, 1e-9)), share/max(last-on, 1e-9))
	c.Bend = min(max(c.Bend+gain*surprise, -most/(1+most)), most)
	c.Var *= 1 - gain*h
	return c
}

// between is the curve after two tests of one day.
func (c Curve) between(few, many Stretch, r Rules) Curve {
	c.Sets = max(c.Sets, r.Int("record.curve_sets"))
	if c.Var <= 0 {
		prior := r.Num("record.curve_prior") / 100
		c.Var = prior * prior
	}
	shape := 1 + c.Bend
	between := few.Load - many.Load // shape · what the table says of the repetitions
	table := logFraction(few.N) - logBeyond(many.N)
	h := between / shape
	noise := shape * logSlope(min(many.N, TableReps)) / 2 // half a repetition
	s := h*h*c.Var + noise*noise
	most := r.Num("record.curve_max") / 100
	c.Bend = min(max(c.Bend+c.Var*h/s*(between-shape*table), -most/(1+most)), most)
	c.Var *= 1 - c.Var*h*h/s
	return c
}

// bentAbove is the curve after a lower bound, as level.updateAbove.
func (rec Record) bentAbove(x Reading, r Rules) Curve {
	c, most := rec.Curve, r.Num("record.curve_max")/100
	h := rec.OnCurve + logFraction(x.N)
	sd := math.Sqrt(rec.Var + x.R + h*h*c.Var)
	lambda, excess := mills((rec.Mean + h*c.Bend - x.Y) / sd)
	gain := c.Var * h / sd
	c.Bend = min(max(c.Bend+gain*lambda, -most/(1+most)), most)
	c.Var -= gain * gain * lambda * excess
	return c
}
