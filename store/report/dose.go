package report

import (
	"slices"

	"pegcard/prescribe"
	"pegcard/store"
)

// Cause is why a method was short of its minimum in a week.
type Cause string

// The causes, in the order they are told. Several may hold.
const (
	ShortMedical  Cause = "medical"    // a card, or part of one, was held by medical staff or for pain
	ShortAway     Cause = "away"       // away from the usual gym, or the reason given was travel or no gym
	ShortNoAnswer Cause = "no_answer"  // sessions without an answer
	ShortNotDone  Cause = "not_done"   // sessions not done, for any other reason
	ShortFewer    Cause = "fewer"      // the session was done with fewer sets than written
	ShortReduced  Cause = "reduced"    // the card was made smaller for soreness or a break
	ShortMatch    Cause = "match"      // matches left no lawful day, or only one for a small session
	ShortUnset    Cause = "no_session" // no session was planned
)

// causes lists them in order.
var causes = []Cause{ShortMedical, ShortAway, ShortNoAnswer, ShortNotDone, ShortFewer, ShortReduced, ShortMatch, ShortUnset}

// MethodDose is one method's exposures of a week. An exposure is, for
// traditional work, a day with the phase's heavy working sets over its number of
// exercises (in a crowded week half the sets over any number [our choice]); for
// eccentric work a day with Nordics; for the flywheel a day with it.
type MethodDose struct {
	Method    prescribe.Method
	Due, Done int
	Sets      int     // working sets of the method, heavy ones of traditional work
	Short     []Cause // of Done < Due in a week that is over
}

// WeekDose is one player's week against the minimum of its phase.
type WeekDose struct {
	Monday  prescribe.Day
	Phase   prescribe.Phase
	Crowded bool // match dates less than place.crowded_days apart
	Over    bool // the week has ended
	Methods [3]MethodDose
}

// Met reports whether no method is short.
func (w WeekDose) Met() bool {
	return !slices.ContainsFunc(w.Methods[:], func(m MethodDose) bool { return m.Done < m.Due })
}

// playerWeeks is what a player's weeks are worked out from.
type playerWeeks struct {
	events    []prescribe.Event
	cards     []store.CardRev
	calendar  prescribe.Calendar
	programme prescribe.Programme
	rules     prescribe.Rules
	young     bool // under 18
}

// weekDose is the dose of the week that begins on monday, as of today.
func (p playerWeeks) weekDose(monday, today prescribe.Day) WeekDose {
	w := WeekDose{Monday: monday, Over: today > monday+6}
	_, w.Crowded = prescribe.Crowded(p.calendar.Matches, monday, p.rules)
	away := false
	for _, d := range p.calendar.Days {
		if d.Day == monday {
			w.Phase = d.Phase
		}
		if d.Day >= monday && d.Day < monday+7 {
			if s, ok := p.calendar.Settings[d.Setting]; ok && s.Place != "" && s.Place != "gym" {
				away = true
			}
		}
	}
	dose := prescribe.PhaseDose{}
	for _, d := range p.programme.Doses {
		if d.Phase == w.Phase {
			dose = d
		}
	}
	sessions := dose.Sessions
	sets, exercises := dose.WorkingSets, dose.Exercises
	if w.Crowded {
		sessions = min(sessions, max(1, dose.Crowded))
		sets, exercises = (sets+1)/2, 1
	}
	heavy, all := map[prescribe.Day]setCount{}, [3]map[prescribe.Day]setCount{{}, {}, {}}
	method := methodsOf(p.cards)
	heavyAt := p.heavySets()
	for _, e := range p.events {
		if e.Set == nil || e.Set.Test || e.Set.Reps <= 0 || e.Day < monday || e.Day >= monday+7 {
			continue
		}
		switch m := method(e.Day, *e.Set); {
		case m == prescribe.Traditional:
			count(all[0], e)
			if dose.WorkingSets == 0 || heavyAt(e) {
				count(heavy, e)
			}
		case m == prescribe.Eccentric:
			if e.Set.Exercise == prescribe.NordicHamstring {
				count(all[1], e)
			}
		case m == prescribe.Flywheel:
			count(all[2], e)
		}
	}
	w.Methods[0] = MethodDose{Method: prescribe.Traditional, Due: sessions}
	for _, c := range heavy {
		w.Methods[0].Sets += c.sets()
		if c.sets() >= max(1, sets) && len(c) >= exercises {
			w.Methods[0].Done++
		}
	}
	w.Methods[1] = MethodDose{Method: prescribe.Eccentric, Due: min(dose.NordicWeekly, sessions), Done: len(all[1]), Sets: total(all[1])}
	w.Methods[2] = MethodDose{Method: prescribe.Flywheel, Due: min(dose.FlywheelWeek, sessions), Done: len(all[2]), Sets: total(all[2])}
	why := p.causes(monday, away, w.Crowded)
	for i := range w.Methods {
		if m := &w.Methods[i]; w.Over && m.Done < m.Due {
			m.Short = why
		}
	}
	return w
}

// setCount is a day's sets by exercise and side.
type setCount map[prescribe.ExerciseID]map[prescribe.Side]int

// sets counts the sets: both sides of one-sided work are one.
func (c setCount) sets() (n int) {
	for _, sides := range c {
		n += sides[prescribe.Both] + max(sides[prescribe.Left], sides[prescribe.Right])
	}
	return n
}

func count(days map[prescribe.Day]setCount, e prescribe.Event) {
	if days[e.Day] == nil {
		days[e.Day] = setCount{}
	}
	if days[e.Day][e.Set.Exercise] == nil {
		days[e.Day][e.Set.Exercise] = map[prescribe.Side]int{}
	}
	days[e.Day][e.Set.Exercise][e.Set.Side]++
}

func total(days map[prescribe.Day]setCount) (n int) {
	for _, c := range days {
		n += c.sets()
	}
	return n
}

// heavySets says which sets are heavy: by the card's item that they answer, or
// by the intensity that was meant. Of an under-18, whose loads the rules keep
// below that, it is every loaded set of the legs that counts [our choice].
func (p playerWeeks) heavySets() func(prescribe.Event) bool {
	type at struct {
		day prescribe.Day
		ex  prescribe.ExerciseID
	}
	items := map[at]bool{}
	for _, c := range p.cards {
		for _, it := range c.Card.Items {
			items[at{c.Day, it.Exercise}] = it.Heavy
		}
	}
	from := prescribe.Percent(p.rules.Num("dose.heavy_from"))
	return func(e prescribe.Event) bool {
		if ex, ok := prescribe.Lookup(e.Set.Exercise); p.young && ok && ex.Lower && e.Set.Load > 0 {
			return true
		}
		if heavy, ok := items[at{e.Day, e.Set.Exercise}]; ok {
			return heavy
		}
		return e.Set.Intended >= from
	}
}

// causes are what stood in the way of the week's dose.
func (p playerWeeks) causes(monday prescribe.Day, away, crowded bool) []Cause {
	found := map[Cause]bool{ShortAway: away, ShortMatch: crowded}
	for _, m := range p.calendar.Matches {
		found[ShortMatch] = found[ShortMatch] || m.Day >= monday && m.Day < monday+7
	}
	planned := 0
	for _, c := range p.cards {
		if c.Day < monday || c.Day >= monday+7 || c.Card.Kind == prescribe.CardRest {
			continue
		}
		planned++
		found[ShortMedical] = found[ShortMedical] || c.Card.Kind == prescribe.CardWithheld || stoppedPart(c.Card)
		found[ShortNoAnswer] = found[ShortNoAnswer] || c.State == store.CardUnanswered
		found[ShortFewer] = found[ShortFewer] || c.State == store.CardChanged
		found[ShortReduced] = found[ShortReduced] || reduced(c.Card)
		found[ShortNotDone] = found[ShortNotDone] || c.State == store.CardMissed
	}
	for _, e := range p.events {
		if e.Session != nil && e.Day >= monday && e.Day < monday+7 {
			switch e.Session.Reason {
			case prescribe.AbsentTravel, prescribe.AbsentNoGym:
				found[ShortAway] = true
			}
			found[ShortMedical] = found[ShortMedical] || e.Session.Outcome == prescribe.Withheld
		}
	}
	// A match alone explains nothing where a session was missed all the same.
	missed := found[ShortNoAnswer] || found[ShortNotDone] || found[ShortMedical]
	found[ShortMatch] = found[ShortMatch] && (crowded || !missed)
	if planned == 0 {
		for c := range found {
			found[c] = found[c] && c == ShortAway
		}
		found[ShortUnset] = true
	}
	var out []Cause
	for _, c := range causes {
		if found[c] {
			out = append(out, c)
		}
	}
	if len(out) == 0 {
		out = append(out, ShortUnset)
	}
	return out
}

// stoppedPart reports whether a stop took exercises from the card.
func stoppedPart(c prescribe.Card) bool {
	for _, r := range c.Reasons {
		if r.Code == "stop.region" || r.Code == "stop.pain" || r.Code == "stop.restricted" {
			return true
		}
	}
	return false
}

// gaps are the days since the last exposure on or before to, and the longest
// run of days without one that ends in from..to; -1 without any exposure on
// record. days must be ascending.
func gaps(days []prescribe.Day, from, to prescribe.Day) (since, longest int) {
	since, longest = -1, -1
	for i, d := range days {
		if d > to {
			break
		}
		since = int(to - d)
		if i > 0 && d >= from {
			longest = max(longest, int(d-days[i-1]))
		}
	}
	return since, max(longest, since)
}

// exposures are the days with Nordics, and those with heavy lower-body work,
// ascending.
func (p playerWeeks) exposures() (nordic, heavy []prescribe.Day) {
	isHeavy := p.heavySets()
	for _, e := range p.events {
		if e.Set == nil || e.Set.Test || e.Set.Reps <= 0 {
			continue
		}
		ex, ok := prescribe.Lookup(e.Set.Exercise)
		if !ok {
			continue
		}
		if ex.ID == prescribe.NordicHamstring {
			nordic = append(nordic, e.Day)
		}
		if ex.Lower && (isHeavy(e) || ex.LoadKind == prescribe.LoadFlywheel) {
			heavy = append(heavy, e.Day)
		}
	}
	slices.Sort(nordic)
	slices.Sort(heavy)
	return slices.Compact(nordic), slices.Compact(heavy)
}

// load is the week's session RPE × minutes, day by day. A day is known when
// nothing was planned on it or what was done has a score and a duration; the
// load of pitch sessions and matches is not recorded, so a day with one is not
// known.
func (p playerWeeks) load(monday prescribe.Day) (w Week, sum float64) {
	unknown := map[prescribe.Day]bool{}
	for _, d := range p.calendar.Days {
		unknown[d.Day] = d.Pitch
	}
	for _, m := range p.calendar.Matches {
		unknown[m.Day] = true
	}
	for _, c := range p.cards {
		if c.State == store.CardSent || c.State == store.CardStarted || c.State == store.CardUnanswered {
			unknown[c.Day] = true
		}
	}
	var days [7]float64
	for _, e := range p.events {
		if e.Session == nil || e.Day < monday || e.Day >= monday+7 {
			continue
		}
		switch s := e.Session; s.Outcome {
		case prescribe.DoneAsWritten, prescribe.DoneChanged:
			if s.RPE == nil || s.Minutes == 0 {
				unknown[e.Day] = true
				continue
			}
			days[e.Day-monday] += float64(*s.RPE) * float64(s.Minutes)
		case prescribe.NoAnswer:
			unknown[e.Day] = true
		}
	}
	for i := range days {
		sum += days[i]
		if !unknown[monday+prescribe.Day(i)] {
			w[i] = &days[i]
		}
	}
	return w, sum
}
