package prescribe

import (
	"cmp"
	"slices"
	"strings"
)

// Plan is the card of day d. It goes through the stages in the order they are
// written below; each is one function and leaves its reasons on the card.
//
// The edits are the coach's changes to this card, in any order. A stop and the
// hard limits win over them, and the card says so.
func Plan(s State, c Calendar, p Programme, r Rules, d Day, edits []Edit) Card {
	w := newPlanner(s, c, p, r, d, edits)
	w.plan()
	return w.finish()
}

func (w *planner) plan() {
	if !w.inCalendar() {
		return
	}
	if w.stopped() || w.heldByCoach() {
		return
	}
	w.questions()
	template, ok := w.session()
	if !ok {
		return
	}
	w.items(template)
	w.approvals()
}

// planner is one planning of one card.
type planner struct {
	s     State
	c     Calendar
	p     Programme
	r     Rules
	day   Day
	edits []Edit

	facts     facts
	youth     bool
	priming   bool   // the session is the optional one before a match
	small     bool   // a crowded week: sessions not written for one get their least sets
	minutes   int    // longest that the session can take
	blind     bool   // choosing as if nothing were sore, hurt or held
	heavyLeft int    // heavy sets left two days before a match
	slots     []Slot // of the session

	card    Card
	drafts  []*draft // of the card's items
	withhld int      // slots that fell away for a restriction
}

func newPlanner(s State, c Calendar, p Programme, r Rules, d Day, edits []Edit) *planner {
	w := &planner{s: s, c: c, p: p, r: r, day: d, edits: slices.Clone(edits)}
	slices.SortStableFunc(w.edits, func(a, b Edit) int { return cmp.Compare(a.At, b.At) })
	w.youth = s.youth(d, r)
	w.card = Card{Day: d, Engine: EngineVersion, RulesHash: r.Hash(), Kind: CardRest}
	return w
}

// say adds a reason to the card.
func (w *planner) say(list ...Reason) {
	for _, x := range list {
		if !slices.ContainsFunc(w.card.Reasons, func(o Reason) bool { return sameReason(o, x) }) {
			w.card.Reasons = append(w.card.Reasons, x)
		}
	}
}

func sameReason(a, b Reason) bool {
	return a.Code == b.Code && a.See == b.See && slices.Equal(a.Args, b.Args)
}

func (w *planner) approve(why Reason) {
	w.card.Approval = true
	w.say(why)
}

func (w *planner) finish() Card { return w.card }

// inCalendar: a day that the calendar does not hold is no training day.
func (w *planner) inCalendar() bool {
	f, ok := w.factsOf(w.day)
	if !ok {
		w.say(reason(seeTraining, "rest.no_calendar", nil))
		return false
	}
	w.facts = f
	w.card.MatchDay, w.card.Setting, w.card.Supervised = f.label, f.Setting, f.setting.Supervised
	w.heavyLeft = w.r.Int("place.md2_sets")
	return true
}

// stopped: a warning sign or a stop of the whole player. Nothing overrides it.
func (w *planner) stopped() bool {
	stop := false
	for _, x := range w.s.Warnings {
		stop = true
		w.say(reason(seeMedical, "stop.warning", nil, argID("sign", string(x.Sign))))
	}
	if w.s.Unplaced() {
		stop = true
		w.say(reason(seeMedical, "stop.unplaced", nil))
	}
	restricted := stop
	for _, h := range w.s.Holds {
		switch {
		case h.Region != "" || h.over(w.day) || h.capped(w.day):
		case h.lapsed(w.day):
			stop, restricted = true, true
			w.say(reason(seeMedical, "stop.lapsed", by("hold.review_max"), argRegion("region", ""), argDay("day", h.Until)))
		case h.MaxLoad <= 0 && h.Medical:
			stop, restricted = true, true
			w.say(reason(seeMedical, "stop.hold", nil, argID("id", h.ID)))
		case h.MaxLoad <= 0:
			stop = true
			w.say(reason(seeTraining|ForHeadCoach, "stop.hold", nil, argID("id", h.ID)))
		}
	}
	if restricted {
		w.say(reason(seeOthers, "stop.restricted", nil))
	}
	if stop {
		w.card.Kind = CardWithheld
		w.refuseAll("restricted")
	}
	return stop
}

// refuseAll says of every change that it could not be made.
func (w *planner) refuseAll(cause string) {
	for _, e := range w.edits {
		if e.Kind != EditHold && e.Kind != EditApprove {
			w.refuse(e, cause)
		}
	}
}

func (w *planner) refuse(e Edit, cause string) {
	slot := e.Slot
	if slot == "" {
		slot = e.Template
	}
	w.say(reason(ForCoach, "edit.refused", nil, argID("edit", string(e.Kind)), argID("slot", slot), argID("cause", cause)))
}

// edit is the last edit of a kind for a slot.
func (w *planner) edit(kind EditKind, slot string) (Edit, bool) {
	for i := len(w.edits) - 1; i >= 0; i-- {
		if e := w.edits[i]; e.Kind == kind && (slot == "" || e.Slot == slot) {
			return e, true
		}
	}
	return Edit{}, false
}

func (w *planner) heldByCoach() bool {
	hold, held := w.edit(EditHold, "")
	if approve, ok := w.edit(EditApprove, ""); ok && held && approve.At > hold.At {
		held = false
	}
	if held {
		w.card.Kind = CardWithheld
		w.say(reason(ForStaff, "edit.hold", nil))
	}
	return held
}

// questions are what has to be asked with or before the session.
func (w *planner) questions() {
	w.card.AskPain = w.s.askPain(w.day, w.r)
	for _, region := range w.card.AskPain {
		w.say(reason(seeMedical, "ask.pain", by("pain.ask_from"), argRegion("region", region)))
	}
	if w.s.NoRIRRun >= w.r.Int("effort.ask_after") {
		w.say(reason(seeTraining, "ask.rir", by("effort.ask_after"), argInt("sessions", w.s.NoRIRRun)))
	}
}

// session decides whether there is one today, and which.
func (w *planner) session() (SessionTemplate, bool) {
	if _, apart := w.crowded(w.day); apart {
		w.small = true
	}
	for _, m := range w.s.Sessions {
		if m.Day == w.day && m.Outcome != Withheld && m.Outcome != "" {
			w.say(reason(seeTraining, "rest.closed", nil, argID("outcome", string(m.Outcome))))
			w.refuseAll("closed")
			return SessionTemplate{}, false
		}
	}
	switch {
	case w.facts.match:
		w.say(reason(seeTraining, "rest.match", nil))
		w.refuseAll("matchday")
		return SessionTemplate{}, false
	case w.youth && !w.facts.setting.Supervised:
		if _, known := w.s.Profile.age(w.day); !known {
			w.say(reason(seeTraining, "limit.youth_unknown", by("youth.age")))
		}
		w.say(reason(seeTraining, "rest.youth_alone", by("youth.age")))
		w.refuseAll("alone")
		return SessionTemplate{}, false
	}

	add, adding := w.edit(EditAdd, "")
	if adding {
		t, ok := w.added(add)
		if ok {
			w.setTemplate(t)
			return t, true
		}
	}
	switch {
	case w.facts.Off:
		w.say(reason(seeTraining, "rest.off", nil))
		return SessionTemplate{}, false
	case w.facts.md1:
		if list := w.sessions(w.facts.Phase, primingSession); len(list) > 0 {
			w.priming = true
			w.say(reason(seeTraining, "place.priming", nil))
			w.setTemplate(list[0])
			return list[0], true
		}
	}
	return w.placed()
}

// added is the session that the coach adds today, if the limits let it be.
func (w *planner) added(e Edit) (SessionTemplate, bool) {
	i := slices.IndexFunc(w.p.Sessions, func(t SessionTemplate) bool { return t.ID == e.Template })
	switch {
	case i < 0:
		w.refuse(e, "no_template")
		return SessionTemplate{}, false
	case w.facts.md1 && !w.p.Sessions[i].Priming:
		w.refuse(e, "md1")
		return SessionTemplate{}, false
	}
	w.priming = w.p.Sessions[i].Priming
	w.small = false // what a coach adds is meant as it is written
	w.say(reason(seeTraining, "edit.add", nil, argID("template", e.Template)))
	return w.p.Sessions[i], true
}

// placed is the session that the placement puts on today.
func (w *planner) placed() (SessionTemplate, bool) {
	phase := w.facts.Phase
	wk := w.place()
	for i, day := range wk.best.days {
		w.card.Week = append(w.card.Week, Placement{Day: day, Template: wk.fits[wk.best.needs[i]][int(day-w.day)].template.ID})
	}
	if apart, yes := w.crowded(w.day); yes {
		w.say(reason(seeTraining, "place.crowded", by("place.crowded_days"), argDays("days", apart), argInt("sessions", wk.total)))
	}
	if wk.today == nil {
		switch {
		case wk.total == 0:
			w.say(reason(seeTraining, "rest.no_session", nil, argID("phase", string(phase))))
		case wk.due == 0:
			w.say(reason(seeTraining, "rest.week_done", nil, argInt("sessions", wk.total)))
		case len(wk.best.days) == 0:
			w.whyNot()
		default:
			w.say(reason(seeTraining, "rest.other_day", nil, argDay("day", wk.other), argID("template", wk.otherIs), argID("criterion", wk.criterion())))
		}
		return SessionTemplate{}, false
	}

	t := wk.today.template
	if wk.other == 0 {
		w.say(reason(seeTraining, "place.only_day", nil, argID("template", t.ID), argMatchDay("match_day", w.facts.label)))
	} else {
		w.say(reason(seeTraining, "place.today", nil, argID("template", t.ID), argMatchDay("match_day", w.facts.label),
			argID("criterion", wk.decided), argDay("day", wk.other)))
	}
	if mark, bench := w.nonStarter(w.day); bench {
		w.say(reason(seeTraining, "place.nonstarter", by("place.played_minutes"), argInt("minutes", mark.Minutes)))
		main := w.sessions(phase, plainSession)
		w.small = w.small && (len(main) == 0 || t.ID != main[0].ID)
	}
	for _, m := range w.s.Sessions {
		if m.Outcome == NotDone && m.Template == t.ID && m.Day >= w.day.Monday() && m.Day < w.day {
			w.say(reason(seeTraining, "place.carried", nil, argID("template", t.ID), argDay("day", m.Day)))
		}
	}
	w.setTemplate(t)
	return t, true
}

// criterion is what decided; a day on which nothing is allowed lost for dose.
func (k week) criterion() string {
	if k.decided == "" {
		return "dose"
	}
	return k.decided
}

// whyNot says of the week's first session what is in the way of its exercises
// today: restrictions, or the days that are left.
func (w *planner) whyNot() {
	label := w.facts.label
	due, _ := w.needs()
	if w.facts.md1 {
		w.say(reason(seeTraining, "rest.no_day", by("place.after_match_hours", "place.new_eccentric_hours"), argMatchDay("match_day", label)))
		return
	}
	t := w.variant(due[0], w.facts)
	w.slots = t.Slots
	for _, slot := range t.Slots {
		if c, ok := w.choose(slot, w.facts, w.templateMinutes(t), nil); !ok {
			w.drop(slot, c)
		}
	}
	if w.withhld > 0 {
		w.card.Kind = CardWithheld
		w.say(reason(seeTraining, "rest.nothing_left", nil))
		return
	}
	w.say(reason(seeTraining, "rest.no_day", by("place.after_match_hours", "place.new_eccentric_hours"), argMatchDay("match_day", label)))
}

func (w *planner) setTemplate(t SessionTemplate) {
	w.card.Template = t.ID
	w.minutes = w.templateMinutes(t)
	if t.Small || t.Priming {
		w.small = false
	}
	if t.Remote {
		w.say(reason(seeTraining, "place.remote", nil, argID("setting", w.facts.Setting)))
	}
	if w.r.Int("place.md1_option") == 1 && w.facts.label == "MD+1" {
		w.say(reason(seeTraining, "place.md1_option", by("place.md1_option")))
	}
	if b := w.onBreak(); b.gap > 0 && b.start == w.day {
		w.say(reason(seeTraining, "place.after_break", b.rules, argDays("days", b.gap)))
	}
}

// items fills the session's slots.
func (w *planner) items(t SessionTemplate) {
	for _, e := range w.edits {
		if e.Slot != "" && !slices.ContainsFunc(t.Slots, func(s Slot) bool { return s.ID == e.Slot }) {
			w.refuse(e, "no_slot")
		}
	}
	w.slots = t.Slots
	for _, slot := range t.Slots {
		w.item(slot)
	}
	w.askAbout()
	w.card.Kind = CardTrain
	finding, loaded := 0, 0
	for _, it := range w.card.Items {
		w.card.Minutes += it.Minutes
		switch {
		case it.Finding:
			finding++
		case it.Load > 0 || it.LoadKind == LoadBar || it.LoadKind == LoadDumbbells || it.LoadKind == LoadFlywheel:
			loaded++
		}
	}
	if finding > 0 && loaded == 0 {
		w.card.Kind = CardFinding
	}
	if len(w.card.Items) > 0 {
		w.card.Minutes += generalWarmup
		return
	}
	w.say(reason(seeTraining, "rest.nothing_left", nil))
	w.card.Kind = CardRest
	if w.withhld > 0 {
		w.card.Kind = CardWithheld
	}
}

// askAbout marks the item of which the answer to "how many more?" says most: the
// one whose record is least certain, of those whose first set can be read as
// exact.
func (w *planner) askAbout() {
	best, sd := -1, 0.0
	for i, d := range w.drafts {
		it := d.item
		if it.Method != Traditional || it.Optional || it.Load <= 0 || it.EccLoad > 0 || len(it.Cluster) > 0 || it.Tempo != "" || !d.known || d.fromBilateral != "" {
			continue
		}
		if best < 0 || d.est.SD > sd {
			best, sd = i, d.est.SD
		}
	}
	if best >= 0 {
		w.card.Items[best].Ask = true
	}
}

// item fills one slot, trying the next exercise where one cannot be loaded.
func (w *planner) item(slot Slot) {
	if e, ok := w.edit(EditDrop, slot.ID); ok && e.Slot == slot.ID {
		first := ExerciseID("")
		if len(slot.Candidates) > 0 {
			first = slot.Candidates[0]
		}
		w.say(reason(seeTraining, "edit.drop", nil, argExercise("exercise", first)))
		return
	}
	edited := w.editSlot(&slot)
	excluded := map[ExerciseID]string{}
	claim := w.heavyClaim(slot)
	var why []Reason
	for {
		c, ok := w.choose(slot, w.facts, w.minutes, excluded)
		if !ok {
			c.why = append(c.why, why...)
			if edited.exercise.Exercise != "" && c.skipped == edited.exercise.Exercise {
				w.refuse(edited.exercise, c.cause)
			}
			w.drop(slot, c)
			return
		}
		d := &draft{slot: slot, choice: c, edits: edited, claim: claim}
		cause := w.work(d)
		if cause == "" {
			w.introduce(d, why)
			w.compare(d)
			w.card.Items = append(w.card.Items, d.done())
			w.drafts = append(w.drafts, d)
			return
		}
		why = append(why, d.why...)
		excluded[c.ex.ID] = cause
	}
}

// slotEdits are the coach's changes to one slot.
type slotEdits struct {
	exercise Edit
	load     *Edit
	sets     bool
	reasons  []Reason
}

// editSlot applies what the coach changed to the slot itself.
func (w *planner) editSlot(slot *Slot) slotEdits {
	var out slotEdits
	if e, ok := w.edit(EditExercise, slot.ID); ok {
		if _, known := Lookup(e.Exercise); !known {
			w.refuse(e, "unknown")
		} else {
			out.exercise = e
			slot.Candidates = append([]ExerciseID{e.Exercise}, slot.Candidates...)
		}
	}
	if e, ok := w.edit(EditSets, slot.ID); ok {
		if e.Number < 1 || e.Number > 10 {
			w.refuse(e, "number")
		} else {
			out.sets = true
			out.reasons = append(out.reasons, reason(seeTraining, "edit.sets", nil, argInt("from", slot.Sets), argInt("to", e.Number)))
			slot.Sets, slot.MinSets = e.Number, e.Number
		}
	}
	if e, ok := w.edit(EditReps, slot.ID); ok {
		if e.Number < 1 || e.Number > 30 {
			w.refuse(e, "number")
		} else {
			out.reasons = append(out.reasons, reason(seeTraining, "edit.reps", nil, argInt("from", slot.Reps), argInt("to", e.Number)))
			slot.Reps = e.Number
		}
	}
	if e, ok := w.edit(EditLoad, slot.ID); ok {
		if !(e.Load >= 0) {
			w.refuse(e, "number")
		} else {
			out.load = &e
		}
	}
	return out
}

// introduce says how the exercise came to be chosen.
func (w *planner) introduce(d *draft, why []Reason) {
	first := d.slot.Candidates[0]
	var head []Reason
	switch {
	case d.edits.exercise.Exercise != "" && d.ex.ID == d.edits.exercise.Exercise:
		from := d.ex.ID
		if len(d.slot.Candidates) > 1 {
			from = d.slot.Candidates[1]
		}
		head = append(head, reason(seeTraining, "edit.exercise", nil, argExercise("from", from), argExercise("to", d.ex.ID)))
	case d.ex.ID != first:
		if d.edits.exercise.Exercise != "" {
			w.refuse(d.edits.exercise, d.cause)
		}
		head = append(head, reason(seeTraining, "slot.swapped", nil, argExercise("from", first), argExercise("to", d.ex.ID), argID("cause", w.publicCause(d.cause))))
		head = append(head, w.forReaders(append(slices.Clone(d.choice.why), why...))...)
	default:
		head = append(head, reason(seeTraining, "slot.chosen", nil, argExercise("exercise", d.ex.ID)))
	}
	d.reasons = slices.Concat(head, d.edits.reasons, d.reasons)
}

// drop leaves a slot out.
func (w *planner) drop(slot Slot, c choice) {
	cause := c.cause
	if cause == "" {
		cause = "equipment"
	}
	if cause == "restricted" {
		w.withhld++
	}
	cause = w.publicCause(cause)
	w.say(reason(seeTraining, "slot.dropped", nil, argID("slot", slot.ID), argExercise("exercise", c.skipped), argID("cause", cause)))
	w.say(w.forReaders(c.why)...)
	w.compareDropped(c.skipped, cause)
}

// forReaders adds, to reasons that only the player and medical staff may read,
// what the coach reads instead.
func (w *planner) forReaders(list []Reason) []Reason {
	out, instead := slices.Clone(list), ""
	for _, x := range list {
		switch {
		case x.See != seeMedical:
		case strings.HasPrefix(x.Code, "stop."):
			instead = "stop.restricted"
		case instead == "":
			instead = "limit.restricted" // under a cap, or for pain that stops nothing
		}
	}
	if instead != "" {
		out = append(out, reason(seeOthers, instead, nil))
	}
	return out
}

// approvals are the cards that always wait for staff.
func (w *planner) approvals() {
	if len(w.card.Items) == 0 {
		return
	}
	if w.s.Medical.First {
		w.approve(reason(seeTraining, "approval.medical", nil))
	}
	if w.youth {
		if _, known := w.s.Profile.age(w.day); !known {
			w.say(reason(seeTraining, "limit.youth_unknown", by("youth.age")))
		}
		w.approve(reason(seeTraining, "approval.youth", by("youth.age")))
	}
	if _, ok := w.edit(EditApprove, ""); ok {
		w.card.Approval = false
		w.say(reason(seeTraining, "edit.approved", nil))
	}
}

// generalWarmup is the minutes before the first exercise.
const generalWarmup = 8

// templateMinutes is the longest that a session can take: as written, on both
// sides, with every warm-up set. The hours to kick-off are counted from there.
func (w *planner) templateMinutes(t SessionTemplate) int {
	total := generalWarmup
	for _, s := range t.Slots {
		if e, ok := w.edit(EditSets, s.ID); ok && e.Number >= 1 && e.Number <= 10 {
			s.Sets = e.Number
		}
		if e, ok := w.edit(EditReps, s.ID); ok && e.Number >= 1 && e.Number <= 30 {
			s.Reps = e.Number
		}
		rest := s.Rest
		if rest == 0 {
			rest = Seconds(max(w.r.Int("pause.heavy"), w.r.Int("pause.nordic"), w.r.Int("pause.flywheel"), w.r.Int("pause.other")))
		}
		reps := max(s.Reps, copenhagenReps[len(copenhagenReps)-1]) + w.r.Int("load.extra_reps") + w.r.Int("flywheel.uncounted")
		seconds := max(s.Seconds, defaultHold)
		work := max(Seconds(reps)*secondsPerRep, seconds)*2 + Seconds(max(s.Reps, 1))*Seconds(max(w.r.Int("accentuated.pause"), w.r.Int("six.pause")))
		sets := max(s.Sets, w.r.Int("finding.sets"), 3)
		total += minutesOf(sets, work, rest, 4)
	}
	return total
}

const (
	secondsPerRep Seconds = 4
	defaultHold   Seconds = 30
	warmupMinutes         = 1
)

func minutesOf(sets int, work, rest Seconds, warmups int) int {
	return (sets*int(work+rest)+59)/60 + warmups*warmupMinutes
}
