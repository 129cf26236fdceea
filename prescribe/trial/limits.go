package trial

import (
	"slices"

	"pegcard/prescribe"
)

// limits checks the hard limits of a card again, from the calendar and from
// what was done, without the engine.
type limits struct {
	w       *world
	days    map[prescribe.ExerciseID][]prescribe.Day // on which it was done
	inertia map[prescribe.ExerciseID]prescribe.Inertia
}

func newLimits(w *world) *limits {
	return &limits{w: w, days: map[prescribe.ExerciseID][]prescribe.Day{}, inertia: map[prescribe.ExerciseID]prescribe.Inertia{}}
}

func (l *limits) note(it prescribe.Item, day prescribe.Day) {
	if list := l.days[it.Exercise]; len(list) == 0 || list[len(list)-1] != day {
		l.days[it.Exercise] = append(list, day)
	}
	l.inertia[it.Exercise] = max(l.inertia[it.Exercise], it.Inertia)
}

// used: four exposures in 42 days, the last no more than 14 days ago.
func (l *limits) used(id prescribe.ExerciseID, day prescribe.Day) bool {
	n, last := 0, prescribe.Day(0)
	for _, d := range l.days[id] {
		if d < day && d >= day-42 {
			n, last = n+1, d
		}
	}
	return n >= 4 && day-last <= 14
}

// overload: new or overload eccentric work for this player on this day.
func (l *limits) overload(it prescribe.Item, ex prescribe.Exercise, day prescribe.Day) bool {
	list := l.days[ex.ID]
	switch {
	case it.EccLoad > 0:
		return true
	case it.LoadKind == prescribe.LoadFlywheel:
		return len(list) < 3 || day-list[len(list)-1] > 14 || it.Inertia > l.inertia[ex.ID]
	case ex.ID == prescribe.NordicHamstring:
		return !l.used(ex.ID, day) || it.Sets*it.Reps > 8
	case it.Method == prescribe.Eccentric:
		return !l.used(ex.ID, day)
	}
	return false
}

// check counts breaches of a card: eccentric work inside 72 h of a match, and
// all of them.
func (l *limits) check(card prescribe.Card, day prescribe.Day, minutes map[string]int) (near int, all []string) {
	if len(card.Items) == 0 {
		return 0, nil
	}
	c := l.w.calendar(day)
	start := l.w.at(day).Start
	end := start + prescribe.Instant(card.Minutes)*60000
	next, toKick, early := 99, 1e9, false
	for _, m := range c.Matches {
		if d := int(m.Day - day); d >= 0 {
			next = min(next, d)
		}
		if m.Kickoff > start {
			toKick = min(toKick, m.Kickoff.Hours(end))
		}
		if m.End <= start && start.Hours(m.End) < 24 && minutes[m.ID] >= 60 {
			early = true
		}
	}
	breach := func(what string) { all = append(all, what) }
	if l.w.whole[day] {
		breach("work under a medical stop")
	}
	heavy := 0
	for _, it := range card.Items {
		ex, ok := prescribe.Lookup(it.Exercise)
		if !ok {
			breach("unknown exercise")
			continue
		}
		if next == 0 || next == 1 && !it.Optional {
			breach("work on or before match day")
		}
		if ex.Lower && early {
			breach("lower body within 24 h of a match")
		}
		if r := l.w.region[day]; r != "" && slices.Contains(ex.Regions, r) {
			breach("work in a stopped region")
		}
		if ex.Lower && toKick < 72 && l.overload(it, ex, day) {
			near++
			breach("eccentric work within 72 h")
		}
		if next <= 2 && ex.ID == prescribe.NordicHamstring {
			breach("Nordics on MD-2 or later")
		}
		if next == 2 && (it.Percent >= 80 || it.LoadKind == prescribe.LoadFlywheel && ex.Lower) {
			heavy += it.Sets
			if it.RIR != nil && *it.RIR < 2 {
				breach("less than 2 in reserve on MD-2")
			}
		}
	}
	if heavy > 2 {
		breach("more than 2 heavy sets on MD-2")
	}
	return near, all
}
