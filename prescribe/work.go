package prescribe

import (
	"math"
	"slices"
)

// draft is an item while it is worked out.
type draft struct {
	choice
	slot    Slot
	edits   slotEdits
	item    Item
	reasons []Reason

	knowledge
	sore     soreBand
	soreMark SoreMark
	pain     painBand
	painMark PainMark
	lately   PainMark // where pain of the last hours was
	high     PainScore
	hold     restraint

	reserve    int     // least repetitions to be left
	fraction   Percent // of the record, that the scheme asks for
	limited    bool    // a limit lowered it below what the slot says
	heavyMD2   bool
	claim      int // heavy sets that the slot may have two days before a match
	setBounds  []setBound
	loadBounds []loadBound
	last       LastWork
	hasLast    bool
	planned    int    // repetitions in reserve that last time is held against
	before     Item   // before the load was worked out
	target     Kg     // total before limits
	final      Kg     // total to be built
	loadCause  string // code of what decided the load
	setsCause  string
	repsCause  string
}

type setBound struct {
	to   int
	hard bool // a coach's edit does not override it
	why  Reason
}

type loadBound struct {
	total Kg
	hard  bool
	why   Reason
}

// say adds reasons, each once.
func (d *draft) say(list ...Reason) {
	for _, x := range list {
		if !slices.ContainsFunc(d.reasons, func(o Reason) bool { return sameReason(o, x) }) {
			d.reasons = append(d.reasons, x)
		}
	}
}

// hurt: there is pain today, or there was in the last hours, that lets nothing
// be added.
func (d *draft) hurt() bool { return d.pain > painNone || d.high.Score > 0 }

func (d *draft) done() Item {
	d.item.Reasons = d.reasons
	return d.item
}

// work fills the draft, stage by stage. It returns a cause of SlotCauses when
// the exercise cannot be done after all.
func (w *planner) work(d *draft) string {
	if cause := w.observe(d); cause != "" {
		return cause
	}
	w.effort(d)
	if w.mustFind(d.ex, d.scheme) {
		return w.find(d)
	}
	w.scheme(d)
	if cause := w.sets(d); cause != "" {
		return cause
	}
	d.before = d.item
	if cause := w.load(d); cause != "" {
		return cause
	}
	w.close(d)
	return ""
}

// observe gathers what is known of the exercise and the body today.
func (w *planner) observe(d *draft) string {
	d.item = Item{Slot: d.slot.ID, Exercise: d.ex.ID, Method: d.slot.Method, Scheme: d.scheme, LoadKind: d.ex.LoadKind,
		PerSide: d.ex.Unilateral, Tempo: d.slot.Tempo, Slow: slowTempo(d.slot.Tempo, w.r), Optional: d.slot.Optional || w.priming}
	if !d.ex.Fills(d.slot.Method) && len(d.ex.Methods) > 0 {
		d.item.Method = d.ex.Methods[0]
	}
	d.knowledge = w.knowledgeOf(d.ex)
	d.soreMark, d.sore = w.s.sorest(d.ex, w.facts.Start, w.r)
	d.pain, d.painMark = w.s.painToday(d.ex, w.day, w.r)
	d.lately, d.high = w.s.recentPain(d.ex, w.facts.Start, w.r)
	d.hold = w.s.restrain(d.ex, w.day)
	d.item.New = w.overload(d.choice, w.facts)
	gap, done := w.s.gapBefore(d.ex.ID, w.day)
	d.item.Unused = !done || gap > w.r.Int("nordic.window")
	code := map[Scheme]string{SchemePercent: "scheme.percent", SchemeAccentuated: "scheme.percent", SchemeRIR: "scheme.rir",
		SchemeHold: "scheme.hold"}[d.scheme]
	if code == "" {
		code = "scheme.reps"
	}
	d.loadCause, d.setsCause, d.repsCause = code, code, code
	switch {
	case d.scheme == SchemeAccentuated:
		return w.accentuatedBar(d)
	case d.slot.Scheme == SchemeAccentuated && d.scheme == SchemePercent && d.choice.cause != "":
		d.say(reason(seeTraining, "accentuated.plain", by("accentuated.exact_days", "accentuated.min_age"), argID("cause", d.choice.cause)))
	}
	return ""
}

// effort is how far from failure the work has to stay.
func (w *planner) effort(d *draft) {
	d.reserve = 1
	raise := func(n int, rule, code string) {
		if n > d.reserve {
			d.reserve = n
			d.say(reason(seeTraining, code, by(rule), argInt("rir", n)))
		}
	}
	if !hasRecord(d.ex) && d.ex.LoadKind != LoadNone && d.scheme != SchemeAccentuated {
		return
	}
	if w.youth {
		raise(w.r.Int("youth.rir"), "youth.rir", "limit.youth_rir")
	}
	if !w.facts.setting.Supervised {
		raise(w.r.Int("effort.alone_rir"), "effort.alone_rir", "limit.alone")
	}
	d.heavyMD2 = w.facts.md2 && w.heavyOnMD2(d.slot, d.scheme, d.ex)
	if d.heavyMD2 {
		raise(w.r.Int("place.md2_rir"), "place.md2_rir", "limit.md2")
	}
}

// find makes the item a guided way up to one set, from which the record is
// known.
func (w *planner) find(d *draft) string {
	if w.facts.md2 && d.claim < 1 {
		return "md2"
	}
	if d.tooOld {
		d.say(reason(seeTraining, "record.too_old", d.brk.rules, argDays("days", d.brk.gap)))
	} else {
		d.say(reason(seeTraining, "record.none", nil, argExercise("exercise", d.ex.ID)))
	}
	rir := RIR(max(w.r.Int("finding.rir"), d.reserve))
	d.item.Finding = true
	d.item.Scheme = SchemeRIR
	d.item.Sets, d.item.Reps, d.item.RIR = 1, w.r.Int("finding.reps"), &rir
	d.say(reason(seeTraining, "finding.ramp", by("finding.reps", "finding.rir", "finding.sets"),
		argInt("reps", d.item.Reps), argInt("rir", int(rir)), argInt("rir_high", int(rir)+1), argInt("sets", w.r.Int("finding.sets"))))
	if d.edits.load != nil {
		w.refuse(*d.edits.load, "no_record")
	}
	d.item.Rest = w.restFor(d, 100)
	d.say(reason(seeTraining, "load.rest", by("pause.heavy"), argSeconds("seconds", d.item.Rest)))
	d.item.Minutes = minutesOf(w.r.Int("finding.sets"), w.workSeconds(d), d.item.Rest, 0)
	return ""
}

// scheme sets repetitions, sets as written and the fraction of the record.
func (w *planner) scheme(d *draft) {
	slot := d.slot
	d.item.Sets, d.item.Reps = max(slot.Sets, 1), max(slot.Reps, 1)
	if slot.Reps == 0 && d.scheme != slot.Scheme {
		// A ladder says its own repetitions; what stands in for it has none.
		d.item.Reps = w.r.Int("substitute.reps")
	}
	if w.bodyForLoad(d) {
		d.scheme, d.item.Scheme = SchemeReps, SchemeReps
		d.item.Reps = max(d.item.Reps, w.r.Int("substitute.reps"))
	}
	progress := d.sore == soreNone && !d.hurt()
	switch d.scheme {
	case SchemePercent, SchemeAccentuated:
		if d.scheme == SchemeAccentuated {
			w.accentuatedMost(d)
		}
		if slot.Intensity <= 0 {
			w.schemeRIR(d)
			return
		}
		w.schemePercent(d)
	case SchemeRIR:
		w.schemeRIR(d)
	case SchemeReps:
		// A body without a record needs none: it is its own load.
		if hasRecord(d.ex) && (d.known || d.ex.LoadKind != LoadBodyweight) {
			w.schemeRIR(d)
			return
		}
		d.say(reason(seeTraining, "scheme.reps", nil, argInt("sets", d.item.Sets), argInt("reps", d.item.Reps)))
		if slot.RIR > 0 || d.reserve > 1 {
			w.showReserve(d, max(int(slot.RIR), d.reserve))
		}
	case SchemeHold:
		d.item.Reps = 1
		d.item.Seconds = slot.Seconds
		if d.item.Seconds <= 0 {
			d.item.Seconds = defaultHold
		}
		d.say(reason(seeTraining, "scheme.hold", nil, argInt("sets", d.item.Sets), argSeconds("seconds", d.item.Seconds)))
	case SchemeNordic:
		dose, why := w.s.nordicDose(slot, w.day, progress, w.r)
		d.say(why...)
		if d.lowOnly {
			if low := lowDose(dose, w.r); low != dose {
				dose = low
				d.say(reason(seeTraining, "nordic.low_dose", by("nordic.low_reps", "place.new_eccentric_hours"),
					argInt("reps", low.sets*low.reps), argHours("hours", w.r.Num("place.new_eccentric_hours"))))
			}
		}
		if !progress {
			// A smaller dose can be cut into fewer sets of more repetitions, by a
			// gap or by the low dose: soreness must not lengthen a set.
			up, _ := w.s.nordicDose(slot, w.day, true, w.r)
			if d.lowOnly {
				up = lowDose(up, w.r)
			}
			dose = rung{min(dose.sets, up.sets), min(dose.reps, up.reps)}
		}
		d.item.Sets, d.item.Reps = dose.sets, dose.reps
		cause := why[len(why)-1].Code
		if last := d.reasons[len(d.reasons)-1].Code; last == "nordic.low_dose" {
			cause = last
		}
		d.setsCause, d.repsCause = cause, cause
	case SchemeCopenhagen:
		near := w.facts.nearMatch(w.minutes, w.r)
		level, reps, why := w.s.copenhagenDose(slot, w.day, progress && !near, w.r)
		d.say(why)
		d.item.Sets, d.item.Reps, d.item.Level = 1, reps, level
		d.repsCause = why.Code
	case SchemeFlywheel:
		if slot.Scheme != SchemeFlywheel {
			d.item.Reps = w.r.Int("flywheel.reps")
		}
		d.say(reason(seeTraining, "scheme.reps", nil, argInt("sets", d.item.Sets), argInt("reps", d.item.Reps)))
		w.flywheel(d)
		d.heavyMD2 = w.facts.md2 && d.ex.Lower
	}
	if w.facts.Pitch && d.scheme == SchemeNordic {
		d.say(reason(seeTraining, "nordic.after_pitch", nil))
	}
	if !progress && d.eccentric && d.sore >= soreReduce {
		d.say(reason(w.seeSoreness(), "soreness.hold", by("soreness.reduce_from"), argRegion("region", d.soreMark.Region), argScore("score", d.soreMark.Score)))
	}
	if !progress && d.eccentric && d.pain > painNone {
		d.say(reason(seeMedical, "pain.no_progress", by("pain.ask_from"), argRegion("region", d.painMark.Region), argScore("score", d.painMark.Score)),
			reason(seeOthers, "limit.restricted", nil))
	} else if d.eccentric && d.high.Score > 0 {
		d.say(w.recentNew(d.lately, d.high), reason(seeOthers, "limit.restricted", nil))
	}
}

// bodyForLoad: an exercise that nobody can load, or whose record nobody knows,
// stands in for a loaded lift. The few repetitions meant for the bar would be
// nothing.
func (w *planner) bodyForLoad(d *draft) bool {
	switch d.slot.Scheme {
	case SchemePercent, SchemeRIR, SchemeAccentuated:
	default:
		return false
	}
	return !d.eccentric && !d.ex.Hold && !slices.Contains(d.slot.Candidates, d.ex.ID) &&
		(d.ex.LoadKind == LoadNone || d.ex.LoadKind == LoadBodyweight && !d.known)
}

func (w *planner) showReserve(d *draft, n int) {
	r := RIR(min(n, 4))
	d.item.RIR = &r
}

// schemePercent: sets × reps at a percentage of the record. Where straight sets
// would leave nothing in reserve, the slot's SixAt85 says what gives.
func (w *planner) schemePercent(d *draft) {
	slot, est := d.slot, d.est.cautious()
	f := slot.Intensity
	d.say(reason(seeTraining, "scheme.percent", nil, argInt("sets", d.item.Sets), argInt("reps", d.item.Reps), argPercent("percent", f)))
	f = w.youthLimit(d, f)
	reps := d.item.Reps
	if most := w.tableAt(est, reps+d.reserve); f > most {
		choice := w.six(d, reps)
		switch {
		case choice == SixCluster && d.reserve == 1 && f <= w.tableAt(est, (reps+1)/2+1):
			d.item.Cluster = []int{(reps + 1) / 2, reps / 2}
			d.item.Pause = Seconds(w.r.Int("six.pause"))
			d.say(reason(seeTraining, "six.cluster", by("six.pause"), argInt("reps", reps), argPercent("percent", f), argSeconds("pause", d.item.Pause)))
		case choice != SixLighter && f <= w.tableAt(est, 1+d.reserve):
			fewer := reps
			for fewer > 1 && f > w.tableAt(est, fewer+d.reserve) {
				fewer--
			}
			d.item.Reps = fewer
			d.say(reason(seeTraining, "six.straight", nil, argInt("from", reps), argInt("to", fewer), argPercent("percent", f)))
			d.repsCause = "six.straight"
		default:
			d.limited = d.reserve > 1
			d.say(reason(seeTraining, "six.lighter", nil, argInt("reps", reps), argPercent("from", f), argPercent("to", most)))
			f = most
		}
	}
	d.fraction = f
	if len(d.item.Cluster) == 0 {
		w.showReserve(d, max(w.reserveAt(est, f, d.item.Reps), d.reserve))
	}
}

// six is what gives where straight sets would leave nothing in reserve.
func (w *planner) six(d *draft, reps int) SixAt85 {
	if d.reserve > 1 && !d.heavyMD2 || d.slot.Six == "" && reps == 1 {
		return SixLighter // no pause inside a set gives the reserve that is asked for
	}
	return d.slot.Six
}

// reserveAt is how many repetitions a percentage leaves, up to 4.
func (w *planner) reserveAt(est Estimate, f Percent, reps int) int {
	left := 0
	for left < 4 && w.tableAt(est, reps+left+1) >= f {
		left++
	}
	return left
}

// schemeRIR: sets × reps at the load that leaves a number of repetitions.
func (w *planner) schemeRIR(d *draft) {
	rir := max(int(d.slot.RIR), d.reserve)
	d.limited = rir > max(int(d.slot.RIR), 1)
	total := d.item.Reps + rir
	f := w.tableAt(d.est, total)
	d.say(reason(seeTraining, "scheme.rir", nil, argInt("sets", d.item.Sets), argInt("reps", d.item.Reps), argInt("rir", rir), argPercent("percent", f)))
	if total > TableReps {
		d.say(reason(seeTraining, "scheme.beyond_table", by("load.beyond_table"), argInt("reps", total), argPercent("percent", f)))
	}
	d.fraction = w.youthLimit(d, f)
	w.showReserve(d, rir)
}

func (w *planner) youthLimit(d *draft, f Percent) Percent {
	if !w.youth {
		return f
	}
	most, rule := w.s.youthPercent(w.r)
	if f <= most {
		return f
	}
	d.limited = true
	d.say(reason(seeTraining, "limit.youth_percent", by(rule), argPercent("from", f), argPercent("to", most)))
	return most
}

func (d *draft) limitSets(to int, hard bool, why Reason) {
	d.setBounds = append(d.setBounds, setBound{max(to, 1), hard, why})
}

// sets reduces the sets. Of several reductions the lowest wins, never their
// product.
func (w *planner) sets(d *draft) string {
	base := d.item.Sets
	if w.small && d.slot.MinSets > 0 && d.slot.MinSets < base {
		d.limitSets(d.slot.MinSets, false, reason(seeTraining, "dose.small", by("place.crowded_days"), argInt("from", base), argInt("to", d.slot.MinSets)))
	}
	// Ladders have their own rule for a gap; applying both would multiply them.
	if b := d.brk; b.gap > 0 && b.volume < 100 && !climbs(d.ex) {
		to := max(1, int(math.Floor(float64(base)*float64(b.volume)/100+1e-9)))
		d.limitSets(to, false, reason(seeTraining, "break.volume", b.rules, argDays("days", b.gap), argInt("week", b.week), argPercent("percent", b.volume), argInt("from", base), argInt("to", to)))
	}
	if b := d.brk; b.limit && d.fraction > 0 {
		limit := w.r.Num("break.volume_max")
		if to := setsWithin(limit, base, d.item.Reps, d.fraction); to < base {
			d.limitSets(to, false, reason(seeTraining, "break.volume_max", by("break.volume_max"), argNumber("limit", limit), argInt("from", base), argInt("to", to)))
		}
	}
	if to := w.offSeason(d, base); to < base {
		d.limitSets(to, false, reason(seeTraining, "dose.off_season", by("offseason.week_1", "offseason.week_2", "offseason.week_3", "offseason.week_4"),
			argPercent("percent", w.offSeasonShare()), argInt("from", base), argInt("to", to)))
	}
	if d.eccentric && legs(d.ex) {
		room, limit, rule := w.eccentricRoom(d)
		if to := max(room, w.r.Int("eccentric.least")); to < base {
			d.limitSets(to, false, reason(seeTraining, "dose.eccentric", by(rule, "eccentric.least"),
				argInt("limit", limit), argInt("from", base), argInt("to", to)))
		}
	}
	if w.s.Medical.Fever {
		percent := w.r.Num("fever.volume")
		to := max(1, int(math.Floor(float64(base)*percent/100+1e-9)))
		d.limitSets(to, true, reason(seeMedical, "fever.volume", by("fever.volume"), argPercent("percent", Percent(percent)), argInt("from", base), argInt("to", to)))
	}
	if d.sore >= soreReduce {
		to := max(1, base-w.r.Int("soreness.sets"))
		d.limitSets(to, false, reason(w.seeSoreness(), "soreness.sets", by("soreness.reduce_from"), argRegion("region", d.soreMark.Region), argScore("score", d.soreMark.Score), argInt("from", base), argInt("to", to)))
	}
	if d.heavyMD2 {
		if d.claim < 1 {
			return "md2"
		}
		if base > d.claim {
			d.limitSets(d.claim, true, reason(seeTraining, "limit.md2_sets", by("place.md2_sets"), argInt("from", base), argInt("to", d.claim)))
		}
	}
	restricted := false
	for _, b := range d.setBounds {
		if d.edits.sets && !b.hard || b.to >= base {
			continue
		}
		d.say(b.why)
		restricted = restricted || b.why.See == seeMedical
		if b.to < d.item.Sets {
			d.item.Sets, d.setsCause = b.to, b.why.Code
		}
	}
	if restricted {
		d.say(reason(seeOthers, "limit.restricted", nil))
	}
	return ""
}

// lastOf is the last work of the same exercise under the same scheme, on an
// earlier day.
func (w *planner) lastOf(d *draft) (LastWork, bool) {
	side := Both
	if d.ex.Unilateral {
		side = d.side
		if side == Both {
			side = Left
		}
	}
	for _, l := range w.s.Last[LiftKey(d.ex.ID, side)] {
		if l.Day >= w.day {
			continue
		}
		plain := l.Scheme == "" && l.Asked == d.item.Reps // reported without the card
		if plain || l.Scheme == d.item.Scheme && sameLine(l.Intended, d.fraction, w.r) {
			return l, true
		}
	}
	return LastWork{}, false
}

// sameLine reports whether two percentages are of the same line of a plan: what
// the line asks for stays, but the percentage moves with the repetition curve
// that is learnt.
func sameLine(a, b Percent, r Rules) bool {
	return math.Abs(float64(a-b)) <= r.Num("load.same_within")+0.05
}

// load works out the load in the order the card explains it: record, fraction,
// step limits, reductions, rounding.
func (w *planner) load(d *draft) string {
	d.item.Intended = d.fraction
	d.last, d.hasLast = w.lastOf(d)
	switch d.ex.LoadKind {
	case LoadNone:
		if d.edits.load != nil {
			w.refuse(*d.edits.load, "no_load")
		}
		return ""
	case LoadFlywheel:
		if d.edits.load != nil {
			w.refuse(*d.edits.load, "no_load")
		}
		return ""
	}
	if !hasRecord(d.ex) && d.scheme != SchemeAccentuated {
		w.addedLoad(d)
		return ""
	}
	if !d.known {
		return w.loadUnknown(d)
	}
	if d.ex.BodyFraction > 0 && !(w.s.Profile.BodyMass > 0) {
		d.say(reason(seeTraining, "load.no_body_mass", nil))
		return ""
	}
	w.explainRecord(d)

	body := Kg(d.ex.BodyFraction) * w.s.Profile.BodyMass
	wanted := d.est.Used * Kg(d.fraction) / 100
	d.say(reason(seeTraining, "load.target", nil, argKg("load", wanted)))
	d.loadCause = "record.estimate"
	target := wanted
	up, rule := w.stepLimit(d.ex)
	lastTotal := d.last.Load + body
	if d.hasLast && lastTotal > 0 {
		if limit := w.stepTop(d, up, body); target > limit {
			target, d.loadCause = limit, "load.cap"
			d.say(reason(seeTraining, "load.cap", by(rule, "load.top_days"), argPercent("percent", Percent(up)), argKg("last", limit/Kg(1+up/100)-body), argKg("to", limit-body)))
		}
		switch kept, harder := w.kept(d, target, lastTotal); {
		case harder:
			d.loadCause, d.planned = "load.harder", int(*d.item.RIR)
			d.say(reason(seeTraining, "load.harder", by("load.keep_effort"), argInt("left", int(*d.last.RIR)), argInt("plan", int(*d.item.RIR))))
		case kept:
			target, d.loadCause = lastTotal, "load.kept"
			d.say(reason(seeTraining, "load.kept", by("load.keep_days"), argKg("last", d.last.Load), argDays("days", int(w.day-d.last.Day))))
		}
	}

	d.target = target
	w.reduceLoad(d, target, lastTotal, body)
	final, bitten, hardest := w.lowest(d, target, body)
	if d.edits.load != nil {
		final = w.editLoad(d, hardest, body)
	}
	d.final = final

	built, ok := Build(final-body, d.ex, w.facts.setting.Equipment)
	if d.ex.LoadKind == LoadBodyweight && final < body {
		return w.bodyAlone(d, body)
	}
	if !ok {
		least, any := NextUp(0, d.ex, w.facts.setting.Equipment)
		if any {
			d.why = append(d.why, reason(seeTraining, "load.lightest", nil, argKg("load", least.Load), argKg("target", final-body)))
		}
		return "equipment"
	}
	if !bitten && d.edits.load == nil {
		built = w.stepUp(d, built, wanted, target, lastTotal, body, up)
	}
	if math.Abs(float64(built.Load-(final-body))) > 0.005 && built.Load < final-body {
		d.say(reason(seeTraining, "load.rounded", nil, argKg("from", final-body), argKg("to", built.Load)))
	}
	d.item.Load, d.item.Bar, d.item.BarKind, d.item.Plates = built.Load, built.Bar, built.BarKind, built.Plates
	if d.ex.BodyFraction > 0 {
		d.say(reason(seeTraining, "load.body_mass", nil, argNumber("fraction", d.ex.BodyFraction), argKg("mass", w.s.Profile.BodyMass), argKg("total", built.Load+body), argKg("added", built.Load)))
	}
	d.item.Percent = Percent(round(100*float64((built.Load+body)/d.est.Used), 1))
	if (bitten || d.edits.load != nil || d.scheme == SchemePercent) && len(d.item.Cluster) == 0 {
		// A lighter load leaves more; saying less would invite more repetitions.
		w.showReserve(d, max(w.reserveAt(d.est, d.item.Percent, d.item.Reps), d.reserve))
	}
	// A set written at the heavy dose stays one when coarse discs take a little.
	exact, from := 100*float64((built.Load+body)/d.est.Used), w.r.Num("dose.heavy_from")
	d.item.Heavy = exact >= from || float64(d.fraction) >= from && exact >= from-w.r.Num("dose.rounding")
	if d.scheme == SchemeAccentuated {
		return w.accentuate(d)
	}
	return ""
}

// loadUnknown: no record, and the scheme does not need one.
func (w *planner) loadUnknown(d *draft) string {
	d.item.Intended = 0
	d.fraction = 0
	if d.ex.LoadKind == LoadBodyweight {
		d.say(reason(seeTraining, "load.bodyweight", nil))
		if d.slot.RIR == 0 && d.reserve == 1 {
			d.item.RIR = nil
		}
	} else {
		rir := max(w.r.Int("finding.rir"), int(d.slot.RIR), d.reserve)
		w.showReserve(d, rir)
		d.say(reason(seeTraining, "record.none", nil, argExercise("exercise", d.ex.ID)),
			reason(seeTraining, "load.by_effort", by("finding.rir"), argInt("reps", d.item.Reps), argInt("rir", rir)))
	}
	if d.edits.load != nil {
		w.refuse(*d.edits.load, "no_record")
	}
	return ""
}

func (w *planner) explainRecord(d *draft) {
	lift := d.ex.ID
	switch {
	case d.fromBilateral != "":
		lift = d.fromBilateral
		d.say(reason(seeTraining, "record.from_bilateral", nil, argExercise("exercise", lift), argPercent("percent", d.share)))
	case d.ex.RecordOf != "":
		lift = d.ex.RecordOf
	}
	d.say(reason(seeTraining, "record.estimate", by("record.quantile", "record.interval"), argExercise("exercise", lift),
		argKg("median", d.est.Median), argKg("low", d.est.Low), argKg("high", d.est.High), argKg("used", d.est.Used),
		argInt("sets", d.est.Sets), argDays("days", d.est.Days)))
	switch {
	case d.oneSided:
		d.say(reason(seeTraining, "record.one_side", nil, argID("side", string(d.side))))
	case d.side != Both:
		d.say(reason(seeTraining, "record.side", by("sides.show_above"), argID("side", string(d.side)), argPercent("difference", d.difference)))
	}
	d.item.First = d.side
}

// stepTop is the highest total that is no more than a step, counted from the
// highest load of the same scheme lately completed. What a test has shown since
// the last session is no step: then there is no limit.
func (w *planner) stepTop(d *draft, up float64, body Kg) Kg {
	if w.testedSince(d) {
		return heaviest
	}
	from := d.last.Load
	if int(w.day-d.last.TopDay) <= w.r.Int("load.top_days") {
		from = max(from, d.last.Top)
	}
	return (from + body) * Kg(1+up/100)
}

func (w *planner) testedSince(d *draft) bool { return w.s.Lifts[d.lift].TestDay > d.last.Day }

func (w *planner) stepLimit(ex Exercise) (percent float64, rule string) {
	if ex.Lower {
		return w.r.Num("load.up_lower"), "load.up_lower"
	}
	return w.r.Num("load.up_upper"), "load.up_upper"
}

// kept: the same scheme was done as written lately, so it is not lighter now.
// harder: it would be, but fewer repetitions were left in reserve than the plan
// says, which is not "as written". A load above what can be lifted so often is
// never kept.
func (w *planner) kept(d *draft, target, lastTotal Kg) (kept, harder bool) {
	if target >= lastTotal || d.last.Asked != 0 && d.last.Asked < d.item.Reps || !d.last.AsWritten || d.last.Stopped || d.limited || d.brk.gap > 0 ||
		int(w.day-d.last.Day) > w.r.Int("load.keep_days") {
		return false, false
	}
	if d.last.RIR != nil && d.item.RIR != nil && int(*d.last.RIR) < int(*d.item.RIR)-w.r.Int("load.keep_effort") {
		return false, true
	}
	est := d.est
	if d.slot.Intensity > 0 && (d.scheme == SchemePercent || d.scheme == SchemeAccentuated) {
		est = est.cautious()
	}
	return lastTotal <= est.Median*Kg(w.tableAt(est, w.unbroken(d)))/100, false
}

func (w *planner) unbroken(d *draft) int {
	if len(d.item.Cluster) > 0 {
		return d.item.Cluster[0]
	}
	return d.item.Reps
}

// reduceLoad gathers the upper limits of the load.
func (w *planner) reduceLoad(d *draft, target, lastTotal, body Kg) {
	bound := func(total Kg, hard bool, why Reason) {
		d.loadBounds = append(d.loadBounds, loadBound{total, hard, why})
	}
	if d.sore == soreWithdraw {
		p := w.r.Num("soreness.load")
		to := target * Kg(1-p/100)
		bound(to, false, reason(w.seeSoreness(), "soreness.load", by("soreness.withdraw_from", "soreness.load"),
			argRegion("region", d.soreMark.Region), argScore("score", d.soreMark.Score), argPercent("percent", Percent(p)), argKg("to", to-body)))
	}
	switch d.pain {
	case painHold:
		to := target
		if d.hasLast && lastTotal > 0 {
			to = min(to, lastTotal)
		}
		bound(to, true, reason(seeMedical, "pain.hold", by("pain.ask_from"),
			argRegion("region", d.painMark.Region), argScore("score", d.painMark.Score), argKg("to", to-body)))
	case painLower:
		p := w.r.Num("pain.lower")
		to := target
		if d.hasLast && lastTotal > 0 {
			to = min(to, lastTotal)
		}
		to *= Kg(1 - p/100)
		bound(to, true, reason(seeMedical, "pain.lower", by("pain.lower_from", "pain.lower"),
			argRegion("region", d.painMark.Region), argScore("score", d.painMark.Score), argPercent("percent", Percent(p)), argKg("to", to-body)))
	}
	if d.high.Score > 0 && (d.pain == painNone || d.high.Score > d.painMark.Score) {
		to := target
		if d.hasLast && lastTotal > 0 {
			to = min(to, lastTotal)
		}
		// What was done since was lowered already.
		since := d.hasLast && (d.last.Day > d.high.Day || d.last.Day == d.high.Day && d.lately.BaseDay == d.high.Day)
		if bandOfPain(d.high.Score, w.r) == painLower && !since {
			to *= Kg(1 - w.r.Num("pain.lower")/100)
		}
		bound(to, true, reason(seeMedical, "pain.recent", by("pain.after_hours", "pain.lower_from", "pain.lower"), argRegion("region", d.lately.Region),
			argScore("score", d.high.Score), argHours("hours", w.r.Num("pain.after_hours")), argKg("to", to-body)))
	}
	if d.hold.cap < 100 {
		to := d.est.Used * Kg(d.hold.cap) / 100
		bound(to, true, d.hold.why())
	}
	if w.youth {
		most, rule := w.s.youthPercent(w.r)
		bound(d.est.Used*Kg(most)/100, true, reason(seeTraining, "limit.youth_percent", by(rule), argPercent("from", d.fraction), argPercent("to", most)))
	}
	if w.facts.md2 && !d.heavyMD2 {
		// Light by the table; by the player's own curve it may not be.
		bound(d.est.Used*w.lightOnMD2()/100, true, reason(seeTraining, "limit.md2_light", by("place.md2_heavy_from"), argKg("to", d.est.Used*w.lightOnMD2()/100-body)))
	}
	if b := d.brk; b.gap > 0 && b.load < 100 && d.beforeBreak.Used > 0 {
		to := d.beforeBreak.Used * Kg(d.fraction) / 100 * Kg(b.load) / 100
		bound(to, false, reason(seeTraining, "break.load", b.rules, argDays("days", b.gap), argPercent("percent", b.load), argKg("to", to-body)))
	}
}

// lowest takes the lowest of target and limits, and says which counted.
// hardest is the lowest limit that a coach's edit cannot pass either.
func (w *planner) lowest(d *draft, target, body Kg) (final Kg, bitten bool, hardest Kg) {
	final, hardest = target, Kg(math.Inf(1))
	n, restricted := 0, false
	for _, b := range d.loadBounds {
		if b.hard {
			hardest = min(hardest, b.total)
		}
		held := b.why.Code == "pain.hold" // says that nothing goes up, also where nothing was going to
		if b.total >= target && !held {
			continue
		}
		d.say(b.why)
		restricted = restricted || b.why.See == seeMedical
		n++
		bitten = true
		if b.total < final || d.loadCause == "record.estimate" && held {
			final, d.loadCause = min(final, b.total), b.why.Code
		}
	}
	if restricted {
		d.say(reason(seeOthers, "limit.restricted", nil))
	}
	if n > 1 {
		d.say(reason(seeTraining, "load.lowest", nil, argID("cause", w.publicCause(d.loadCause)), argKg("to", final-body)))
	}
	return final, bitten, hardest
}

// publicCause keeps medical causes out of what coaches read.
func (w *planner) publicCause(code string) string {
	switch code {
	case "pain.hold", "pain.lower", "pain.recent", "limit.medical_cap", "fever.volume":
		return "limit.restricted"
	case "soreness.load", "soreness.sets", "soreness.hold", "sore":
		if w.youth && code == "sore" {
			return "restricted"
		}
		if w.youth {
			return "limit.restricted"
		}
	}
	return code
}

// editLoad is the coach's own load: above what the record's cautious estimate
// or the step limit would give, up to the intended percentage of its median,
// and never above a hard limit.
func (w *planner) editLoad(d *draft, hardest, body Kg) Kg {
	asked := d.edits.load.Load + body
	allowed := min(d.est.Median*Kg(d.fraction)/100, hardest)
	d.loadCause = "edit.load"
	if asked <= allowed {
		d.say(reason(seeTraining, "edit.load", nil, argKg("load", asked-body)))
		return asked
	}
	d.say(reason(seeTraining, "edit.load_clamped", nil, argKg("asked", asked-body), argKg("allowed", allowed-body)))
	return allowed
}

// bodyAlone: the body is more than the target, so the repetitions give way. Too
// few of them are no dose: then another exercise has to do.
func (w *planner) bodyAlone(d *draft, body Kg) string {
	reps := d.item.Reps
	for reps > 1 && d.est.Used*Kg(w.tableAt(d.est, reps+d.reserve))/100 < body {
		reps--
	}
	if reps < min(d.slot.Reps, w.r.Int("load.body_min_reps")) && d.edits.exercise.Exercise == "" {
		return "body"
	}
	if reps < d.item.Reps {
		d.say(reason(seeTraining, "load.bodyweight_reps", nil, argInt("from", d.item.Reps), argInt("to", reps)))
		d.item.Reps, d.repsCause = reps, "load.bodyweight_reps"
	} else {
		d.say(reason(seeTraining, "load.bodyweight", nil))
	}
	d.item.Percent = Percent(round(100*float64(body/d.est.Used), 1))
	if w.facts.md2 && !d.heavyMD2 && Kg(d.item.Percent) > w.lightOnMD2() {
		return "md2"
	}
	return ""
}

// lightOnMD2 is the highest percentage that does not count as heavy two days
// before a match, as the card shows it.
func (w *planner) lightOnMD2() Kg { return Kg(w.r.Num("place.md2_heavy_from")) - 0.06 }

// stepUp handles bars without small plates. When the record supports more than
// last time but the next load that can be built is further than the step
// limit, repetitions go up first; then one step, if it is not too large and
// the record carries it.
func (w *planner) stepUp(d *draft, built Built, wanted, target, lastTotal, body Kg, up float64) Built {
	const hair = 1e-6
	if !d.hasLast || lastTotal <= 0 || w.facts.md2 || d.sore >= soreReduce || d.hurt() || d.limited || d.brk.gap > 0 || len(d.item.Cluster) > 0 || d.scheme == SchemeAccentuated {
		return built
	}
	reps, extra := d.item.Reps, w.r.Int("load.extra_reps")
	left := w.left(d, d.item)
	asked := min(max(d.last.Asked, reps), reps+extra)
	if built.Load > d.last.Load+hair {
		return built
	}
	same, ok := Build(d.last.Load, d.ex, w.facts.setting.Equipment)
	if !ok || same.Load < d.last.Load-hair {
		return built // other equipment than last time
	}
	if target <= lastTotal*(1+hair) {
		if d.loadCause == "load.kept" {
			d.item.Reps = asked
		}
		return built
	}
	next, ok := NextUp(d.last.Load, d.ex, w.facts.setting.Equipment)
	if !ok {
		return same
	}
	step := 100 * float64((next.Load-d.last.Load)/lastTotal)
	if step <= up+hair {
		return built // it is the record that does not reach it yet
	}
	completed := d.last.Reps >= d.last.Asked && !d.last.Stopped
	more := min(asked+1, reps+extra)
	// As many sessions of more repetitions as the step has steps within the limit.
	first := min(extra, int(math.Ceil(step/up-hair))-1)
	// Repetitions first, as many as the record carries at this load.
	carries := lastTotal <= d.est.Used*Kg(w.tableAt(d.est, more+left))/100*(1+hair)
	ready := d.last.Asked >= reps+first || !carries
	switch {
	case ready && completed && step <= w.r.Num("load.step_max")+hair && wanted >= (next.Load+body)*(1-hair):
		d.say(reason(seeTraining, "load.step", by("load.step_max"), argKg("from", d.last.Load), argKg("to", next.Load), argPercent("percent", Percent(step))))
		d.loadCause, d.repsCause = "load.step", "load.step"
		return next
	case d.last.Asked >= reps+extra:
		d.item.Reps = reps + extra
		d.say(reason(seeTraining, "load.no_step", by("load.step_max"), argKg("step", next.Load), argPercent("percent", Percent(step))))
		return same
	}
	if completed && carries {
		asked = more
		d.say(reason(seeTraining, "load.reps_first", by("load.extra_reps"), argInt("reps", more), argKg("step", next.Load), argPercent("percent", Percent(step))))
		d.repsCause = "load.reps_first"
	}
	d.item.Reps = asked
	return same
}

// left is the repetitions that the card says are to be left, also after more of
// them.
func (w *planner) left(d *draft, it Item) int {
	if it.RIR != nil && d.scheme != SchemePercent {
		return max(d.reserve, int(*it.RIR))
	}
	return d.reserve
}

// close adds what follows from sets, repetitions and load.
func (w *planner) close(d *draft) {
	load, percent := d.item.Load, d.item.Percent
	if d.item.EccLoad > 0 {
		load, percent = d.item.EccLoad, Percent(100*d.item.EccLoad/d.est.Used)
	}
	d.item.Warmup = WarmupSets(load, percent, d.fraction, d.ex, w.facts.setting.Equipment, w.r)
	if d.scheme == SchemeFlywheel && d.ex.Lower {
		d.item.Heavy = true
	}
	d.item.Rest = w.restFor(d, d.fraction)
	d.say(reason(seeTraining, "load.rest", by(w.restRule(d, d.fraction)), argSeconds("seconds", d.item.Rest)))
	if d.item.New && d.ex.Lower {
		d.say(reason(seeTraining, "eccentric.new", by("place.new_eccentric_hours"), argHours("hours", w.r.Num("place.new_eccentric_hours"))))
	}
	d.item.Minutes = minutesOf(d.item.Sets, w.workSeconds(d), d.item.Rest, len(d.item.Warmup))
}

func (w *planner) workSeconds(d *draft) Seconds {
	work := Seconds(d.item.Reps+d.item.Uncount) * secondsPerRep
	if d.item.Seconds > 0 {
		work = d.item.Seconds
	}
	if d.item.PerSide {
		work *= 2
	}
	return work + Seconds(max(0, len(d.item.Cluster)-1))*d.item.Pause
}

func (w *planner) restRule(d *draft, f Percent) string {
	switch {
	case d.scheme == SchemeNordic:
		return "pause.nordic"
	case d.scheme == SchemeFlywheel:
		return "pause.flywheel"
	case f >= Percent(w.r.Num("warmup.from")) || d.scheme == SchemeAccentuated:
		return "pause.heavy"
	}
	return "pause.other"
}

func (w *planner) restFor(d *draft, f Percent) Seconds {
	if d.slot.Rest > 0 {
		return d.slot.Rest
	}
	switch w.restRule(d, f) {
	case "pause.nordic":
		return Seconds(w.r.Int("pause.nordic"))
	case "pause.flywheel":
		return Seconds(w.r.Int("pause.flywheel"))
	case "pause.heavy":
		return Seconds(w.r.Int("pause.heavy"))
	}
	return Seconds(w.r.Int("pause.other"))
}
