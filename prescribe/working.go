package prescribe

import (
	"math"
	"slices"
)

// Working is how the load of one item came about, in numbers that are not
// rounded for reading: enough to work the load out again step by step, also
// from other numbers. The reasons of the item say the same in words.
//
// The steps, masses being totals (body share and external load together):
//
//	record    the lowest Used of Records, times Share
//	percent   the lowest of Asked, the table at Total repetitions, and Youth
//	wanted    record × percent
//	target    wanted, unless Tested at most Up % above the higher of Last's Load and,
//	          within load.top_days, its Top; not below Last where MayKeep and the
//	          median carries Last for Unbroken repetitions
//	final     target or the lowest of Limits; a coach's Edit instead, up to
//	          median × percent and the hard limits
//	load      final less Body, rounded down to what can be built; where MayStep,
//	          Last again, or one step up from it, as load.extra_reps, the record
//	          with Left repetitions in reserve and load.step_max say
//
// Last is held against only while its percentage of the record is Percent.
type Working struct {
	Loaded bool // false: there is no load in kg, or none is worked out from a record

	Records []WorkingRecord // one; of one-sided work one or both sides
	Share   float64         // of the record: 1, or what one leg counts of the two-legged lift
	Asked   Percent         // as the programme has it; 0: the table decides
	Total   int             // repetitions done and in reserve of the table's row; 0: not looked up
	Reserve int             // least repetitions in reserve
	Youth   Percent         // highest allowed under 18; 0: none
	Percent Percent         // of the record

	BodyShare float64 // of BodyMass that is lifted
	BodyMass  Kg

	Reps     int // before repetitions give way to steps
	Unbroken int // without a pause inside the set
	Planned  *RIR
	Last     *LastWork // nil: not done before under this scheme
	Tested   bool      // a test since Last: no step limit
	MayKeep  bool      // nothing on the card's side speaks against keeping Last's load
	MayStep  bool      // likewise against repetitions first, then one step
	Left     int       // repetitions to be left when they go up before the load
	Up       Percent   // step limit

	Limits []WorkingLimit
	Edit   *Kg     // the coach's load
	Lower  Percent // accentuated: of the record, for the lowering; else 0
	Final  Kg
}

// WorkingRecord is a strength record as it stood on the day.
type WorkingRecord struct {
	Lift string // LiftKey
	Estimate
	CurveSpread float64 // one standard deviation of Shape, from which Steep follows
	Recent      []Kept  // the last sets, oldest first
}

// LimitBase is what a limit is a percentage of.
type LimitBase string

const (
	OfTarget LimitBase = "target" // the load before limits
	OfLower  LimitBase = "lower"  // the lower of that and the last load
	OfRecord LimitBase = "record" // the record used
	OfBefore LimitBase = "before" // the intended percentage of the record when a break began
)

// WorkingLimit is an upper limit of the load.
type WorkingLimit struct {
	Of      LimitBase
	Percent float64 // not rounded
	Base    Kg      // of what, in kg
	Hard    bool    // a coach's edit does not pass it
	Why     Reason
}

// PlanWorking is Plan with the working of each item of the card, in the items'
// order.
func PlanWorking(s State, c Calendar, p Programme, r Rules, d Day, edits []Edit) (Card, []Working) {
	w := newPlanner(s, c, p, r, d, edits)
	w.plan()
	var out []Working
	for _, d := range w.drafts {
		out = append(out, w.working(d))
	}
	return w.finish(), out
}

// Fraction is the percentage of 1RM for so many repetitions to failure, by the
// repetition curve of the estimate, as the engine uses it: above TableReps it
// falls by load.beyond_table a repetition.
func (r Rules) Fraction(est Estimate, n int) Percent { return (&planner{r: r}).tableAt(est, n) }

// working is the working of an item that has been worked out.
func (w *planner) working(d *draft) Working {
	it := d.before
	loaded := d.known && d.fraction > 0 && !d.item.Finding && (hasRecord(d.ex) || d.scheme == SchemeAccentuated) &&
		(d.ex.BodyFraction == 0 || w.s.Profile.BodyMass > 0)
	if !loaded {
		return Working{}
	}
	x := Working{Loaded: true, Share: 1, Percent: d.fraction, BodyShare: d.ex.BodyFraction, BodyMass: w.s.Profile.BodyMass,
		Reps: it.Reps, Reserve: d.reserve, Planned: it.RIR, Unbroken: it.Reps}
	if len(it.Cluster) > 0 {
		x.Unbroken = it.Cluster[0]
	}
	x.Records = w.workingRecords(d)
	if d.fromBilateral != "" {
		x.Share = d.ex.BilateralShare
	}
	x.Asked, x.Total, x.Youth = w.workingPercent(d, it)
	up, _ := w.stepLimit(d.ex)
	x.Up = Percent(up)
	body := Kg(x.BodyShare) * x.BodyMass
	lastTotal := d.last.Load + body
	if d.hasLast && lastTotal > 0 {
		last := d.last
		x.Last = &last
		x.Tested = w.testedSince(d)
		x.Left = w.left(d, it)
		x.MayKeep = !d.limited && d.brk.gap == 0
		x.MayStep = !w.facts.md2 && d.sore < soreReduce && !d.hurt() && !d.limited && d.brk.gap == 0 && len(it.Cluster) == 0 && d.scheme != SchemeAccentuated
	}
	for _, b := range d.loadBounds {
		x.Limits = append(x.Limits, w.workingLimit(d, b, lastTotal))
	}
	if d.edits.load != nil {
		x.Edit = new(d.edits.load.Load)
	}
	if d.scheme == SchemeAccentuated {
		x.Lower = Percent(min(float64(d.slot.Ecc), w.r.Num("accentuated.ecc_max")))
	}
	x.Final = d.final
	return x
}

func (w *planner) workingRecords(d *draft) []WorkingRecord {
	lift := d.ex.ID
	if d.ex.RecordOf != "" {
		lift = d.ex.RecordOf
	}
	sides := []Side{Left, Right}
	if d.fromBilateral != "" {
		lift = d.fromBilateral
	}
	if !d.ex.Unilateral || d.fromBilateral != "" {
		sides = []Side{Both}
	}
	var out []WorkingRecord
	for _, side := range sides {
		key := LiftKey(lift, side)
		if rec, ok := w.s.Lifts[key]; ok && rec.Known() {
			out = append(out, WorkingRecord{Lift: key, Estimate: rec.Estimate(w.day, w.r),
				CurveSpread: rec.At(w.day, w.r).Curve.spread(w.r), Recent: slices.Clone(rec.Recent)})
		}
	}
	return out
}

// workingPercent is what the percentage of the record is the lowest of.
func (w *planner) workingPercent(d *draft, it Item) (asked Percent, total int, youth Percent) {
	if d.slot.Intensity > 0 && (d.scheme == SchemePercent || d.scheme == SchemeAccentuated) {
		asked = d.slot.Intensity
		// Where a lighter load is what gives, the table is a limit on other days too.
		if w.six(d, it.Reps) == SixLighter || slices.ContainsFunc(d.reasons, func(r Reason) bool { return r.Code == "six.lighter" }) {
			total = it.Reps + d.reserve
		}
	} else {
		total = it.Reps + max(int(d.slot.RIR), d.reserve)
	}
	if w.youth {
		youth, _ = w.s.youthPercent(w.r)
	}
	return asked, total, youth
}

// workingLimit reads a limit's percentage back out of what it came to.
func (w *planner) workingLimit(d *draft, b loadBound, lastTotal Kg) WorkingLimit {
	x := WorkingLimit{Hard: b.hard, Why: b.why}
	switch b.why.Code {
	case "soreness.load":
		x.Of, x.Base = OfTarget, d.target
	case "pain.hold", "pain.lower", "pain.recent":
		x.Of, x.Base = OfLower, d.target
		if d.hasLast && lastTotal > 0 {
			x.Base = min(x.Base, lastTotal)
		}
	case "break.load":
		x.Of, x.Base = OfBefore, d.beforeBreak.Used*Kg(d.fraction)/100
	default:
		x.Of, x.Base = OfRecord, d.est.Used
	}
	if x.Base > 0 {
		x.Percent = 100 * float64(b.total/x.Base)
	}
	// Percentages are written with few digits; what is left of them is the error
	// of the division.
	if tidy := math.Round(x.Percent*1e6) / 1e6; math.Abs(tidy-x.Percent) < 1e-9 {
		x.Percent = tidy
	}
	return x
}
