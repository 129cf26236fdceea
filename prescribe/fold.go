package prescribe

import (
	"cmp"
	"slices"
	"strings"
)

// Fold is the state after the event. It is total: an event that makes no
// sense changes nothing. It never changes s or anything s refers to, so the
// caller may keep s. Folding the same event twice is the caller's to prevent.
func Fold(s State, e Event, r Rules) State {
	if e.Day > s.Now {
		s.Now = e.Day
	}
	switch {
	case e.Profile != nil:
		s.Profile = *e.Profile
		if !(s.Profile.BodyMass > 0 && s.Profile.BodyMass < maxBody) {
			s.Profile.BodyMass = 0
		}
	case e.Set != nil:
		s = s.foldSet(*e.Set, e, r)
	case e.Power != nil:
		s = s.foldPower(*e.Power, e)
	case e.Session != nil:
		s = s.foldSession(*e.Session, e, r)
	case e.Soreness != nil:
		s = s.foldSoreness(*e.Soreness, e)
	case e.Pain != nil:
		s = s.foldPain(*e.Pain, e, r)
	case e.Warning != nil:
		s = s.foldWarning(*e.Warning, e)
	case e.Hold != nil:
		s = s.foldHold(*e.Hold, e, r)
	case e.Release != nil:
		s = s.foldRelease(*e.Release, e, r)
	case e.Match != nil:
		s = s.foldMatch(*e.Match, e)
	case e.Answer != nil:
		s = s.foldAnswer(*e.Answer, r)
	}
	return s.forget()
}

// forget drops what no decision looks back at any more.
func (s State) forget() State {
	thisWeek := s.Now.Monday()
	s.Sessions = dropWhile(s.Sessions, func(m SessionMark) bool { return m.Day < thisWeek-7 })
	s.Loads = dropWhile(s.Loads, func(l DayLoad) bool { return l.Day <= s.Now-loadDays })
	if slices.ContainsFunc(s.Holds, func(h HoldMark) bool { return h.over(s.Now) }) {
		s.Holds = slices.DeleteFunc(slices.Clone(s.Holds), func(h HoldMark) bool { return h.over(s.Now) })
	}
	return s
}

// dropWhile cuts the front of an ascending list; nil when nothing is left.
func dropWhile[T any](list []T, old func(T) bool) []T {
	i := 0
	for i < len(list) && old(list[i]) {
		i++
	}
	if i == len(list) {
		return nil
	}
	return list[i:]
}

// Above these a number is a mistake, not a measurement.
const (
	maxBody    = 400.0 // kg
	maxInertia = 10.0  // kg·m²
	maxWatts   = 20000.0
	maxReps    = 1000
)

func sane(v, limit float64) bool { return v >= 0 && v <= limit }

// hasRecord: the exercise has a strength record: a constant load that can be
// put in kilograms.
func hasRecord(ex Exercise) bool {
	switch ex.LoadKind {
	case LoadBar, LoadDumbbells:
		return !ex.EccentricOverload
	case LoadBodyweight:
		return ex.BodyFraction > 0 && !ex.EccentricOverload
	}
	return false
}

// recordSides are the sides whose record a set speaks for.
func recordSides(ex Exercise, side Side) []Side {
	switch {
	case !ex.Unilateral:
		return []Side{Both}
	case side == Both:
		return []Side{Left, Right}
	}
	return []Side{side}
}

func (s State) foldSet(set Set, e Event, r Rules) State {
	if !sane(float64(set.Load), float64(heaviest)) || !sane(float64(set.Inertia), maxInertia) || !sane(float64(set.Intended), 200) ||
		set.Reps < 0 || set.Reps > maxReps {
		return s
	}
	// A test shows what a player can do, not that he trained.
	if !set.Test {
		s = s.trained(e.Day, r)
	}
	if set.RIR != nil {
		s.RIRDay = max(s.RIRDay, e.Day)
		if len(s.Sessions) > 0 && s.Sessions[len(s.Sessions)-1].Day == e.Day {
			s.NoRIRRun = 0
		}
	}
	ex, ok := Lookup(set.Exercise)
	if !ok {
		return s
	}

	heavy := set.Test || set.Intended >= Percent(r.Num("dose.heavy_from")) || set.Scheme == SchemeAccentuated
	for _, side := range recordSides(ex, set.Side) {
		key := LiftKey(ex.ID, side)
		if hasRecord(ex) && set.Scheme != SchemeAccentuated {
			rec := s.Lifts[key]
			if rec.Known() && set.Intended == 0 {
				used := rec.Estimate(e.Day, r).Used
				total := set.Load + Kg(ex.BodyFraction)*s.Profile.BodyMass
				heavy = heavy || used > 0 && 100*float64(total/used) >= r.Num("dose.heavy_from")
			}
			s.Lifts = with(s.Lifts, key, rec.Observe(set, e.Key, ex, s.Profile.BodyMass, e.Day, r), maxExercises)
		}
		s.Last = with(s.Last, key, lastWork(s.Last[key], set, e.Day, s.hampered(ex, e, r), r), maxExercises)
	}
	if !set.Test && !set.Stopped && hasRecord(ex) {
		s = s.keepKindred(ex, e.Day, r)
	}
	if heavy && ex.Lower {
		s.Heavy = max(s.Heavy, e.Day)
	}

	s.Exposed = with(s.Exposed, string(ex.ID), expose(s.Exposed[string(ex.ID)], e.Day, set.Reps), maxExercises)
	if ex.ID == NordicHamstring {
		s.Nordic = max(s.Nordic, e.Day)
	}
	if climbs(ex) {
		s.Ladders = with(s.Ladders, string(ex.ID), s.Ladders[string(ex.ID)].climb(set, e.Day, r), maxExercises)
	}
	if ex.LoadKind == LoadFlywheel {
		key := PowerKey(ex.ID, set.Device)
		s.Wheels = with(s.Wheels, key, s.Wheels[key].use(set, e.Day), maxExercises)
		if ex.Lower {
			s.Heavy = max(s.Heavy, e.Day)
		}
	}
	return s
}

// trained notes a day of strength work and the end of a break.
func (s State) trained(day Day, r Rules) State {
	gap := int(day - s.Trained)
	if s.Trained != 0 && gap > r.Int("break.free") {
		next := Return{Day: day, Gap: gap, From: s.Trained}
		// A break inside the way back does not shorten it.
		if old := s.Return; old.Gap > gap && s.Trained < old.Day+rampDays(old.Gap, r) {
			next.Gap, next.From = old.Gap, old.From
		}
		s.Return = next
	}
	s.Trained = max(s.Trained, day)
	return s
}

// kin is what trains together: strength of one keeps the strength of the other.
func kin(p Pattern) Pattern {
	if p == SingleLeg {
		return Squat
	}
	return p
}

// keepKindred notes in the records of kindred lifts that their muscles were
// trained against a known load: absence counts from there.
func (s State) keepKindred(ex Exercise, day Day, r Rules) State {
	for _, key := range sortedKeys(s.Lifts) {
		id, _, _ := strings.Cut(key, "/")
		other, _ := Lookup(ExerciseID(id))
		if rec := s.Lifts[key]; rec.Seen < day && rec.Known() && kin(other.Pattern) == kin(ex.Pattern) {
			rec = rec.At(day, r)
			rec.Seen = day
			s.Lifts = with(s.Lifts, key, rec, maxExercises)
		}
	}
	return s
}

// hampered: the work was held back, or could have been, for pain or by medical
// staff. What was lifted before that is no longer what the next step is counted
// from.
func (s State) hampered(ex Exercise, e Event, r Rules) bool {
	pain, _ := s.painToday(ex, e.Day, r)
	_, high := s.recentPain(ex, e.At, r)
	return pain > painNone || high.Score > 0 || s.restrain(ex, e.Day).cap < 100
}

// top is the highest load of a plan line lately completed, after a set of day.
// A lighter day, for soreness or because the record was lower, does not lower
// it; a set not completed, or held back, does.
func (w LastWork) top(set Set, day Day, hampered bool, r Rules) (Kg, Day) {
	done := set.Reps >= set.Asked && !set.Stopped && !hampered
	if done && set.Load < w.Top && int(day-w.TopDay) <= r.Int("load.top_days") {
		return w.Top, w.TopDay
	}
	return set.Load, day
}

// lastWork is list with a set taken in: latest scheme first.
func lastWork(list []LastWork, set Set, day Day, hampered bool, r Rules) []LastWork {
	same := func(w LastWork) bool {
		return w.Scheme == set.Scheme && sameLine(w.Intended, set.Intended, r) && (w.Asked == set.Asked || w.Day == day)
	}
	next := slices.Clone(list)
	i := slices.IndexFunc(next, same)
	if i >= 0 && next[i].Day == day {
		w := next[i]
		w.Sets++
		w.Reps = min(w.Reps, set.Reps)
		w.AsWritten = w.AsWritten && set.AsWritten
		w.Stopped = w.Stopped || set.Stopped
		w.Top, w.TopDay = w.top(set, day, hampered, r)
		if w.RIR == nil {
			w.RIR = set.RIR
		}
		next[i] = w
		return next
	}
	var before LastWork
	// An earlier day of the same plan line is replaced whatever repetitions it
	// asked for: they move by a few before the load does.
	next = slices.DeleteFunc(next, func(w LastWork) bool {
		old := w.Scheme == set.Scheme && sameLine(w.Intended, set.Intended, r) && (set.Scheme != "" || w.Asked == set.Asked)
		if old && w.Day >= before.Day {
			before = w
		}
		return old
	})
	top, topDay := before.top(set, day, hampered, r)
	next = slices.Insert(next, 0, LastWork{
		Top: top, TopDay: topDay,
		Day: day, Load: set.Load, Inertia: set.Inertia, Sets: 1, Reps: set.Reps, Asked: set.Asked,
		RIR: set.RIR, AsWritten: set.AsWritten, Stopped: set.Stopped, Scheme: set.Scheme, Intended: set.Intended,
	})
	return next[:min(len(next), maxLast)]
}

// expose is list with a set taken in.
func expose(list []Dose, day Day, reps int) []Dose {
	next := slices.Clone(list)
	i, found := slices.BinarySearchFunc(next, day, func(d Dose, day Day) int { return cmp.Compare(d.Day, day) })
	if found {
		next[i].Sets++
		next[i].Reps += reps
	} else {
		next = slices.Insert(next, i, Dose{Day: day, Sets: 1, Reps: reps})
	}
	for len(next) > 1 && next[0].Day <= next[len(next)-1].Day-exposureDays {
		next = next[1:]
	}
	return next
}

func (w WheelUse) use(set Set, day Day) WheelUse {
	if w.Last != day {
		w.Sessions = min(w.Sessions+1, maxStep)
		w.Last = max(w.Last, day)
	}
	w.Inertia = max(w.Inertia, set.Inertia)
	return w
}

func (s State) foldPower(p PowerTest, e Event) State {
	if !sane(float64(p.Power), maxWatts) || !sane(float64(p.Inertia), maxInertia) {
		return s
	}
	key := PowerKey(p.Exercise, p.Device)
	s.Power = with(s.Power, key, s.Power[key].Observe(p, e.Day), maxExercises)
	return s
}

func (o Outcome) done() bool { return o == DoneAsWritten || o == DoneChanged }

func (s State) foldSession(x Session, e Event, r Rules) State {
	mark := SessionMark{Day: e.Day, Template: x.Template, Outcome: x.Outcome, Reason: x.Reason, Sets: x.Sets}
	order := func(a, b SessionMark) int {
		return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Template, b.Template))
	}
	next := slices.DeleteFunc(slices.Clone(s.Sessions), func(m SessionMark) bool { return order(m, mark) == 0 })
	i, _ := slices.BinarySearchFunc(next, mark, order)
	next = slices.Insert(next, i, mark)
	s.Sessions = next[max(0, len(next)-maxSessions):]

	switch {
	case x.Outcome.done():
		s = s.trained(e.Day, r)
		s.Missed, s.NoAnswerRun = 0, 0
		s.Medical.First, s.Medical.Fever = false, false
		if s.RIRDay == e.Day {
			s.NoRIRRun = 0
		} else {
			s.NoRIRRun = min(s.NoRIRRun+1, maxStep)
		}
	case x.Outcome == NotDone:
		s.Missed = min(s.Missed+1, maxStep)
		s.NoAnswerRun = 0
	case x.Outcome == NoAnswer:
		s.NoAnswerRun = min(s.NoAnswerRun+1, maxStep)
	}
	if x.RPE != nil && x.Minutes > 0 {
		s.Loads = addLoad(s.Loads, e.Day, float64(clampScore(*x.RPE))*float64(min(x.Minutes, 24*60)))
	}
	return s
}

func addLoad(list []DayLoad, day Day, load float64) []DayLoad {
	next := slices.Clone(list)
	i, found := slices.BinarySearchFunc(next, day, func(l DayLoad, d Day) int { return cmp.Compare(l.Day, d) })
	if found {
		next[i].Load += load
	} else {
		next = slices.Insert(next, i, DayLoad{Day: day, Load: load})
	}
	return next
}

func (s State) foldMatch(m MatchPlayed, e Event) State {
	next := slices.DeleteFunc(slices.Clone(s.Matches), func(o MatchMark) bool { return o.ID == m.MatchID })
	next = append(next, MatchMark{ID: m.MatchID, Day: e.Day, End: m.End, Minutes: max(m.Minutes, 0)})
	slices.SortFunc(next, func(a, b MatchMark) int { return cmp.Or(cmp.Compare(a.End, b.End), cmp.Compare(a.ID, b.ID)) })
	s.Matches = next[max(0, len(next)-maxMatches):]
	return s
}

func (s State) foldAnswer(a RecordAnswer, r Rules) State {
	ex, ok := Lookup(a.Exercise)
	if !ok {
		return s
	}
	for _, side := range recordSides(ex, a.Side) {
		key := LiftKey(ex.ID, side)
		if rec, ok := s.Lifts[key]; ok {
			s.Lifts = with(s.Lifts, key, rec.Answer(a, r), maxExercises)
		}
	}
	return s
}
