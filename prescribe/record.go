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
	curveForget   = 0.98
	reportsBeyond = 1 // a report above record.rir_exact counts as this much above it
)

// Record is what is believed about one lift of one player, on one side: the
// logarithm of the 1RM in kg of the lift's total, as a local level, and what
// today has said about it so far. The total is the external load or, for an
// exercise with a BodyFraction, that share of body mass and the added load.
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
	Below   *Reading `json:"below,omitempty"`   // lowest load that failed outright

	// How much of the level rests on the repetition table and on reports: errors
	// of these come back with every set, so they do not average out.
	OnCurve  float64 `json:"on_curve,omitempty"`  // −logarithm of the table's fraction, averaged as the sets count
	OnReport float64 `json:"on_report,omitempty"` // table slope where the set was a report, likewise

	ExactDay Day `json:"exact_day,omitempty"` // last day with an exact set
	Sets     int `json:"sets,omitempty"`      // that said something
	Exacts   int `json:"exacts,omitempty"`    // of these, exact

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
	Y    float64 `json:"y"`              // logarithm of the 1RM implied, kg
	R    float64 `json:"r"`              // variance of Y
	N    float64 `json:"n"`              // repetitions to failure it was read at
	Min  float64 `json:"min"`            // the lower bound that the repetitions done prove alone, as Y of a bound
	Test bool    `json:"test,omitempty"` // taken as a test
	Fail bool    `json:"fail,omitempty"` // to failure
	Rep  bool    `json:"rep,omitempty"`  // N counts repetitions reported in reserve
	Sure bool    `json:"sure,omitempty"` // implausible, and confirmed by the player
	Day  Day     `json:"day"`
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
	now := rec.today(r)
	if rec.Exact != nil {
		rec.OnCurve, rec.OnReport = rec.rests(*rec.Exact, r)
	}
	before, after := absence(rec.Day-rec.Seen, r), absence(day-rec.Seen, r)
	spread := r.Num("record.absence_spread")
	now = now.predict(wander(day-rec.Day, r) + spread*spread*(after*after-before*before))
	rec.Mean, rec.Var = now.mean+after-before, now.variance
	rec.Exact, rec.AtLeast, rec.Below = nil, nil, nil
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
		prior, y := l.facing(*e, k)
		l = prior.update(y, e.R)
	}
	if b := rec.AtLeast; b != nil {
		l = l.atLeast(*b, r)
	}
	return l
}

// atLeast takes a lower bound in. A bound far below is not raised to what is
// plausible: it simply says nothing. The level rises as the truncated normal
// says. How much surer it gets is a fixed share: were it to depend on the load,
// a lighter history could leave the level more open to the next set, and end
// above a heavier one.
func (l level) atLeast(b Reading, r Rules) level {
	y := b.Y
	if !b.Sure {
		y = min(y, l.near(y, b.R, r.Num("record.doubt_sd")))
	}
	return level{l.updateAbove(y, b.R).mean, l.variance * (1 - r.Num("record.bound_share")/100)}
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
	report := rec.OnReport * r.Num("record.rir_error")
	return curve*curve + report*report
}

// Estimate is what the record says on day; zero when nothing is known.
func (rec Record) Estimate(day Day, r Rules) Estimate {
	rec = rec.At(day, r)
	if !rec.Known() {
		return Estimate{}
	}
	l := rec.today(r)
	l = l.predict(rec.lasting(r))
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
	return Reading{Y: load - rec.Curve.shape(r)*logFraction(n), R: day*day + curve*curve + report*report, N: n}
}

// asBound is the reading as a lower bound. What is uncertain in it is taken off
// the bound, one standard deviation, and all bounds are equally sharp. So of
// two bounds the higher always says more, whatever they were read from, and a
// day needs to keep only one. And easy sets, done as written week after week,
// do not push the record up for nothing.
func (x Reading) asBound(r Rules) Reading {
	x.Y -= math.Sqrt(x.R)
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

// learn compares an exact reading with what the record expected: for the
// correction of reports and for the player's own repetition curve.
func (rec Record) learn(x Reading, r Rules) Record {
	l := level{rec.Mean, rec.Var}
	slope := 0.0
	if x.Rep {
		slope = logSlope(x.N)
	}
	if l.known() {
		y := l.near(x.Y, x.R, r.Num("record.doubt_sd"))
		if x.Fail && rec.Reported > 0 {
			most := r.Num("record.bias_max")
			sample := min(max((y-l.mean)/rec.Reported+rec.bias(r), -most), most)
			rec.Fails++
			rec.Bias += (sample - rec.Bias) / float64(min(rec.Fails, biasMemory))
		}
		if y == x.Y { // a freak set teaches nothing about the curve
			// Against the table itself, whatever curve is in use.
			table := x.Y + (rec.Curve.shape(r)-1)*logFraction(x.N)
			rec.Curve = rec.Curve.add(x.N, table-l.mean)
		}
	}
	rec.Reported = slope
	return rec
}

// bias is how many repetitions a report in reserve is short by. Until the
// player has record.bias_failures sets to failure to judge by, it is 0.
func (rec Record) bias(r Rules) float64 {
	if rec.Fails < r.Int("record.bias_failures") {
		return 0
	}
	n := float64(min(rec.Fails, biasMemory))
	most := r.Num("record.bias_max")
	return min(max(rec.Bias*n/(n+r.Num("record.bias_prior")), -most), most)
}

// Correction is the number of repetitions added to a report in reserve; 0
// until there are sets to failure to judge by.
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
		prior, y := l.facing(x, r.Num("record.doubt_sd"))
		l = prior.update(y, x.R)
		rec.OnCurve, rec.OnReport = rec.rests(x, r)
		rec.ExactDay = max(rec.ExactDay, x.Day)
	} else {
		l = l.atLeast(x, r)
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

// Curve is what the player's exact sets say about their own repetition curve:
// the sums of a regression of "better than expected" on the table's logarithm,
// older sets fading.
type Curve struct {
	Sets int     `json:"sets,omitempty"`
	Low  float64 `json:"low,omitempty"`  // fewest repetitions to failure seen
	High float64 `json:"high,omitempty"` // most
	W    float64 `json:"w,omitempty"`    // weight
	T    float64 `json:"t,omitempty"`    // sum of log fractions
	E    float64 `json:"e,omitempty"`    // sum of surprises
	TT   float64 `json:"tt,omitempty"`
	TE   float64 `json:"te,omitempty"`
}

func (c Curve) add(n, surprise float64) Curve {
	t := logFraction(n)
	if c.Sets == 0 {
		c.Low, c.High = n, n
	}
	c.Sets++
	c.Low, c.High = min(c.Low, n), max(c.High, n)
	c.W = c.W*curveForget + 1
	c.T = c.T*curveForget + t
	c.E = c.E*curveForget + surprise
	c.TT = c.TT*curveForget + t*t
	c.TE = c.TE*curveForget + t*surprise
	return c
}

// shape multiplies the table's logarithm: below 1 the player loses less load
// for each repetition than the table says. A player who does better than
// expected at many repetitions and worse at few has a flatter curve. Until
// there are record.curve_sets sets, record.curve_spread repetitions apart, it
// is 1; then a least-squares slope, drawn towards 1 and kept within
// record.curve_max.
func (c Curve) shape(r Rules) float64 {
	if !c.used(r) {
		return 1
	}
	slope := (c.TE - c.T*c.E/c.W) / (c.distance() + curveShrink(r))
	most := r.Num("record.curve_max") / 100
	return 1 + min(max(slope, -most), most)
}

// spread is how far the player's curve may still lie from shape, one standard
// deviation.
func (c Curve) spread(r Rules) float64 {
	prior := r.Num("record.curve_prior") / 100
	if !c.used(r) {
		return prior
	}
	shrink := curveShrink(r)
	return prior * math.Sqrt(shrink/(c.distance()+shrink))
}

func (c Curve) used(r Rules) bool {
	return c.Sets >= r.Int("record.curve_sets") && c.High-c.Low >= r.Num("record.curve_spread")
}

// distance is how far apart on the table the sets lie: the sum of squares.
func (c Curve) distance() float64 { return max(c.TT-c.T*c.T/c.W, 0) }

// curveShrink is the weight of "as the table says": the variance of a surprise,
// which is the difference of two readings of the level, in units of how far
// players' curves are expected to lie from the table.
func curveShrink(r Rules) float64 {
	noise := math.Sqrt2 * r.Num("record.retest_cv") / r.Num("record.curve_prior")
	return noise * noise
}
