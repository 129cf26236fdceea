package prescribe

import "slices"

// choice is the exercise that fills a slot on a day.
type choice struct {
	ex        Exercise
	scheme    Scheme
	eccentric bool     // the lowering is the work
	heavy     bool     // counts as heavy two days before a match
	lowOnly   bool     // Nordic inside the 72 hours: a low dose only
	spare     Region   // soreness or pain there was in the way
	withheld  bool     // a stop, a cap or pain was in the way
	places    []Region // where that is; empty: the whole player
	skipped   ExerciseID
	cause     string // why skipped was not chosen; empty when the first candidate was
	why       []Reason
}

// choose takes the first candidate of the slot, then the candidates'
// substitutes in order, that nothing forbids on the day. When none is left,
// the choice still names the first candidate and what was in its way; where a
// stop, a cap or pain took what would have been done, that one.
func (w *planner) choose(slot Slot, f facts, minutes int, excluded map[ExerciseID]string) (choice, bool) {
	list := slices.Clone(slot.Candidates)
	for _, id := range slot.Candidates {
		if ex, ok := Lookup(id); ok {
			list = append(list, ex.Substitutes...)
		}
	}
	var first choice
	var spared []Region // what fell away for soreness or pain there is not made up for there
	var lost *choice    // what would have been done but for a stop, a cap or pain
	tried := map[ExerciseID]bool{}
	for i, id := range list {
		// What another slot asks for, or has already got, is no substitute here.
		if tried[id] || i > 0 && w.taken(id, slot, i >= len(slot.Candidates)) {
			continue
		}
		tried[id] = true
		c := choice{}
		cause, why := "unknown", []Reason(nil)
		if ex, ok := Lookup(id); ok {
			c = choice{ex: ex, scheme: schemeFor(slot, ex)}
			c.eccentric, c.heavy = eccentricWork(slot, c), w.heavyOnMD2(slot, c.scheme, ex)
			cause, why = w.judge(&c, f, minutes)
			if cause == "" && slices.ContainsFunc(spared, func(r Region) bool { return restricts(r, ex) }) {
				cause = first.cause
			}
			if cause == "" && lost != nil && !w.standsIn(c, f, lost.places) {
				cause = lost.cause
			}
			if c.spare != "" {
				spared = append(spared, c.spare)
			}
		}
		if x, ok := excluded[id]; ok && cause == "" {
			cause = x
		}
		switch blind := c; {
		case !c.withheld:
		case lost != nil:
			lost.places = append(lost.places, c.places...)
		case !(i == 0 && w.coachs(slot, id)) && w.judgeBlind(&blind, f, minutes) == "":
			lost = &choice{skipped: id, cause: cause, why: why, places: slices.Clone(c.places)}
		}
		if cause == "" {
			if lost != nil {
				first = *lost
			}
			c.skipped, c.cause, c.why = first.skipped, first.cause, first.why
			return c, true
		}
		if first.cause == "" {
			first = choice{skipped: id, cause: cause, why: why}
		}
	}
	if lost != nil {
		return *lost, false
	}
	return first, false
}

// standsIn: the exercise may take the place of one that a stop, a cap or pain
// in the places took away. It works neither them nor what borders on them, and
// it is no new load on the legs: another lift there, a first or heavier
// lowering or a first flywheel session was not on the card that the player
// would have had.
func (w *planner) standsIn(c choice, f facts, places []Region) bool {
	if slices.ContainsFunc(places, func(r Region) bool { return burdens(c.ex, r) }) {
		return false
	}
	return !(c.ex.Lower && c.ex.LoadKind != LoadNone) && !w.overload(c, f)
}

// coachs: a coach put the exercise into the slot. What the card had before is
// then no substitute for it.
func (w *planner) coachs(slot Slot, id ExerciseID) bool {
	e, ok := w.edit(EditExercise, slot.ID)
	return ok && e.Exercise == id
}

// judgeBlind is judge as if nothing were sore, hurt or held.
func (w *planner) judgeBlind(c *choice, f facts, minutes int) string {
	blind := w.blind
	w.blind = true
	cause, _ := w.judge(c, f, minutes)
	w.blind = blind
	return cause
}

// taken: the exercise is on the card already or, for a substitute, is what
// another slot of the session is written for.
func (w *planner) taken(id ExerciseID, slot Slot, substitute bool) bool {
	if slices.ContainsFunc(w.card.Items, func(it Item) bool { return it.Exercise == id && it.Slot != slot.ID }) {
		return true
	}
	return substitute && slices.ContainsFunc(w.slots, func(s Slot) bool {
		return s.ID != slot.ID && slices.Contains(s.Candidates, id)
	})
}

// schemeFor is the slot's scheme, or what stands for it when the exercise that
// fills the slot cannot be done that way.
func schemeFor(slot Slot, ex Exercise) Scheme {
	switch {
	case ex.Hold:
		return SchemeHold
	case ex.LoadKind == LoadFlywheel:
		return SchemeFlywheel
	case ex.ID == NordicHamstring:
		return SchemeNordic
	case ex.ID == CopenhagenAdduction:
		return SchemeCopenhagen
	case ex.EccentricOverload:
		return SchemeAccentuated
	}
	switch slot.Scheme {
	case SchemeNordic, SchemeCopenhagen, SchemeHold:
		return SchemeReps
	case SchemeAccentuated:
		if hasRecord(ex) {
			return SchemePercent // its concentric part, as a plain lift
		}
		return SchemeReps
	case SchemeFlywheel:
		if hasRecord(ex) {
			return SchemeRIR
		}
		return SchemeReps
	case SchemePercent, SchemeRIR:
		if !hasRecord(ex) {
			return SchemeReps
		}
	}
	return slot.Scheme
}

// eccentricWork: the lowering is the work, whatever the slot is called.
func eccentricWork(slot Slot, c choice) bool {
	switch c.scheme {
	case SchemeNordic, SchemeCopenhagen, SchemeAccentuated:
		return true
	}
	if !c.ex.Fills(slot.Method) { // a substitute from another method
		return len(c.ex.Methods) > 0 && c.ex.Methods[0] == Eccentric
	}
	return slot.Method == Eccentric || c.ex.EccentricOverload
}

// judge says why an exercise cannot fill the slot on the day, as a cause of
// SlotCauses; empty when it can. All hard limits are here but two: that there is
// no session on a match day, and none but priming the day before, is seen to
// where sessions are chosen.
func (w *planner) judge(c *choice, f facts, minutes int) (string, []Reason) {
	ex := c.ex
	switch {
	case ex.Supervised && !f.setting.Supervised,
		ex.SoloUnsafe && !f.setting.Supervised && !slices.Contains(f.setting.Equipment.Has, GearRack):
		return "alone", nil
	case !ex.CanDo(f.setting):
		return "equipment", nil
	case !w.s.oldEnough(ex.MinAge, w.day):
		return "age", nil
	}

	if w.blind {
		return w.judgeDay(c, f, minutes)
	}

	// Stops, and caps on work that cannot be scaled.
	hold := w.s.restrain(ex, w.day)
	wheel := c.scheme == SchemeFlywheel
	if len(hold.stopped) > 0 {
		c.withheld, c.places = true, hold.places
		return "restricted", hold.stopped
	}
	if hold.cap < 100 && (c.eccentric || wheel) {
		c.spare, c.withheld, c.places = hold.capBy.Region, true, hold.places
		return "restricted", []Reason{hold.why()}
	}
	pain, mark := w.s.painToday(ex, w.day, w.r)
	lately, high := w.s.recentPain(ex, w.facts.Start, w.r)
	if pain == painLower && (c.eccentric || wheel) || pain == painHold && w.overload(*c, f) {
		c.spare, c.withheld, c.places = mark.Region, true, []Region{mark.Region}
		return "restricted", []Reason{reason(seeMedical, "pain.no_eccentric", by("pain.ask_from", "pain.lower_from"), argRegion("region", mark.Region), argScore("score", mark.Score))}
	}
	if high.Score > 0 && w.overload(*c, f) {
		c.spare, c.withheld, c.places = lately.Region, true, []Region{lately.Region}
		return "restricted", []Reason{w.recentNew(lately, high)}
	}
	// How sore he will be on a later day nobody knows: today's counts.
	sore, band := w.s.sorest(ex, w.facts.Start, w.r)
	if band == soreWithdraw && (c.eccentric || wheel) {
		c.spare = sore.Region
		return "sore", []Reason{reason(w.seeSoreness(), "soreness.hold", by("soreness.withdraw_from"), argRegion("region", sore.Region), argScore("score", sore.Score))}
	}
	if w.mustFind(ex, c.scheme) {
		// Not a day to find a record with that region.
		switch {
		case pain > painNone:
			c.spare, c.withheld, c.places = mark.Region, true, []Region{mark.Region}
		case high.Score > 0:
			c.spare, c.withheld, c.places = lately.Region, true, []Region{lately.Region}
		case hold.cap < 100:
			c.spare, c.withheld, c.places = hold.capBy.Region, true, hold.places
		}
		if band >= soreReduce {
			c.spare = sore.Region
		}
		if c.withheld || band >= soreReduce {
			return "no_record", nil
		}
	}
	return w.judgeDay(c, f, minutes)
}

// judgeDay is the calendar's part of judge.
func (w *planner) judgeDay(c *choice, f facts, minutes int) (string, []Reason) {
	ex := c.ex
	wheel := c.scheme == SchemeFlywheel
	switch {
	case f.md1 && (c.eccentric || wheel || c.heavy || w.mustFind(ex, c.scheme)):
		// Priming is light, whatever the programme calls it.
		return "md1", nil
	case f.played && ex.Lower:
		return "played", []Reason{reason(seeTraining, "place.too_early", by("place.after_match_hours"), argHours("hours", w.r.Num("place.after_match_hours")))}
	case !ex.Lower:
		return "", nil
	}
	near := f.nearMatch(minutes, w.r)
	if c.scheme == SchemeNordic && f.md2 {
		return "md2", nil
	}
	if near && w.overload(*c, f) {
		return "match", []Reason{reason(seeTraining, "eccentric.new", by("place.new_eccentric_hours"), argHours("hours", w.r.Num("place.new_eccentric_hours")))}
	}
	c.lowOnly = near && c.scheme == SchemeNordic
	return "", nil
}

// overload: new or overload eccentric work on that day. Eccentric work stops
// being new when the player is used to it; accentuated work never does.
func (w *planner) overload(c choice, f facts) bool {
	switch {
	case c.scheme == SchemeAccentuated:
		return true
	case c.scheme == SchemeFlywheel:
		wheel := w.s.wheelFor(c.ex.ID, f.setting.Equipment.Flywheels)
		return w.s.wheelOverload(PowerKey(c.ex.ID, wheel.Device), f.Day, w.r) != ""
	case c.eccentric:
		return !w.s.established(c.ex.ID, f.Day, w.r)
	}
	return false
}

// mustFind: the scheme needs a record and there is none to use.
func (w *planner) mustFind(ex Exercise, scheme Scheme) bool {
	switch scheme {
	case SchemePercent, SchemeRIR, SchemeAccentuated:
	default:
		return false
	}
	if ex.LoadKind == LoadBodyweight {
		return false
	}
	k := w.knowledgeOf(ex)
	return !k.known || k.tooOld
}

// knowledge is what a record says today about an exercise.
type knowledge struct {
	known         bool
	est           Estimate
	lift          string // LiftKey of the record
	side          Side   // weaker side, for unilateral work
	difference    Percent
	oneSided      bool
	fromBilateral ExerciseID
	share         Percent
	tooOld        bool // after a long break it is found again
	brk           breakFacts
	beforeBreak   Estimate
}

// knowledgeOf reads the records an exercise can be loaded from: its own, the
// weaker side of two, or a share of the two-legged lift's.
func (w *planner) knowledgeOf(ex Exercise) knowledge {
	lift := ex.ID
	if ex.RecordOf != "" {
		lift = ex.RecordOf
	}
	k := knowledge{brk: w.onBreak()}
	at := func(key string) (Estimate, bool) {
		rec, ok := w.s.Lifts[key]
		if !ok || !rec.Known() {
			return Estimate{}, false
		}
		return rec.Estimate(w.day, w.r), true
	}
	if ex.Unilateral {
		left, okL := at(LiftKey(lift, Left))
		right, okR := at(LiftKey(lift, Right))
		switch {
		case okL && okR:
			k.known, k.est, k.side = true, left, Left
			high, low := right.Used, left.Used
			if right.Used < left.Used {
				k.est, k.side = right, Right
				high, low = left.Used, right.Used
			}
			k.difference = Percent(100 * (1 - float64(low/high)))
		case okL:
			k.known, k.est, k.side, k.oneSided = true, left, Left, true
		case okR:
			k.known, k.est, k.side, k.oneSided = true, right, Right, true
		}
		k.lift = LiftKey(lift, k.side)
	} else {
		k.est, k.known = at(LiftKey(lift, Both))
		k.lift = LiftKey(lift, Both)
	}
	scale := Kg(1)
	if !k.known && ex.BilateralOf != "" && ex.BilateralShare > 0 {
		if est, ok := at(LiftKey(ex.BilateralOf, Both)); ok {
			scale = Kg(ex.BilateralShare)
			est.Median, est.Low, est.High, est.Used = est.Median*scale, est.Low*scale, est.High*scale, est.Used*scale
			k.known, k.est, k.fromBilateral, k.share = true, est, ex.BilateralOf, Percent(100*ex.BilateralShare)
			k.lift, k.side, k.difference = LiftKey(ex.BilateralOf, Both), Both, 0
		}
	}
	if k.known && k.brk.gap > 0 && w.day-Day(k.est.Days) <= k.brk.from {
		// Nothing exact since the break began: the table applies to this lift.
		k.tooOld = k.brk.long
		k.beforeBreak = w.s.Lifts[k.lift].Estimate(k.brk.from, w.r)
		k.beforeBreak.Used *= scale
	}
	return k
}

// heavyOnMD2: the work counts as heavy two days before a match.
func (w *planner) heavyOnMD2(slot Slot, scheme Scheme, ex Exercise) bool {
	limit := Percent(w.r.Num("place.md2_heavy_from"))
	byReserve := w.tableAt(Estimate{}, slot.Reps+int(slot.RIR)) >= limit
	switch scheme {
	case SchemeFlywheel:
		return ex.Lower
	case SchemePercent, SchemeAccentuated:
		if slot.Intensity <= 0 { // then the repetitions in reserve say how heavy
			return byReserve
		}
		return slot.Intensity >= limit
	case SchemeRIR:
		return byReserve
	case SchemeReps:
		return hasRecord(ex) && byReserve && (ex.LoadKind != LoadBodyweight || w.knowledgeOf(ex).known)
	}
	return false
}

// tableAt is the percentage for so many repetitions to failure: by the
// player's own repetition curve, which the record was read with, else by the
// handbook. Above the table's last row it falls by load.beyond_table a
// repetition.
func (w *planner) tableAt(est Estimate, n int) Percent {
	at := Fraction
	if est.Shape > 0 {
		at = est.Fraction
	}
	n = max(n, 1)
	if p, ok := at(n); ok {
		return p
	}
	last, _ := at(TableReps)
	return max(last-Percent(w.r.Num("load.beyond_table"))*Percent(n-TableReps), 20)
}

// seeSoreness: staff see soreness, but of an under-18 the coach reads
// restrictions only.
func (w *planner) seeSoreness() Audience {
	if w.youth {
		return seeMedical
	}
	return seeTraining
}

// painToday is what today's pain scores ask of an exercise: the strictest.
func (s State) painToday(ex Exercise, day Day, r Rules) (painBand, PainMark) {
	var worst PainMark
	band := painNone
	for _, k := range sortedKeys(s.Pain) {
		m := s.Pain[k]
		if score, ok := m.today(day); ok && restricts(m.Region, ex) {
			if b := bandOfPain(score, r); b > band || b == band && score > worst.Score {
				band, worst = b, m
			}
		}
	}
	return band, worst
}

// recentNew says that nothing new is started after pain of the last hours.
func (w *planner) recentNew(m PainMark, p PainScore) Reason {
	return reason(seeMedical, "pain.recent_new", by("pain.after_hours"),
		argRegion("region", m.Region), argScore("score", p.Score), argHours("hours", w.r.Num("pain.after_hours")))
}

// heavyClaim is how many heavy sets two days before a match the slot may have,
// and takes them from what is left. It is worked out as if nothing were sore,
// hurt or held: what a slot gives up for that is not handed to the next one.
func (w *planner) heavyClaim(slot Slot) int {
	if !w.facts.md2 {
		return 0
	}
	w.blind = true
	c, ok := w.choose(slot, w.facts, w.minutes, nil)
	w.blind = false
	if !ok || !w.heavyOnMD2(slot, c.scheme, c.ex) {
		return 0
	}
	claim := min(max(slot.Sets, 1), w.heavyLeft)
	w.heavyLeft -= claim
	return claim
}
