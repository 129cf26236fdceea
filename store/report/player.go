package report

import (
	"cmp"
	"slices"
	"strings"

	"pegcard/prescribe"
	"pegcard/store"
)

// Strength is a player's strength over time.
type Strength struct {
	From, To prescribe.Day
	Lifts    []LiftHistory // those with a band first, then the most sets; at most MaxLifts
}

// MaxLifts is how many lifts a picture of strength shows.
const MaxLifts = 4

// LiftHistory is one strength record over time, in kg of the lift's total.
type LiftHistory struct {
	Key  string // prescribe.LiftKey
	Band []BandPoint
	Sets []SetPoint // by (day, fold order)
}

// BandPoint is what the record said at the end of a day.
type BandPoint struct {
	Day               prescribe.Day
	Low, Median, High prescribe.Kg // ends of record.interval
}

// SetPoint is the 1RM that a set implied, and how it was taken.
type SetPoint struct {
	Day   prescribe.Day
	OneRM prescribe.Kg
	As    prescribe.ReadAs
}

// StrengthOf is the player's strength from..to, for the player and for staff
// who may see it (strength coach, medical); others get ErrNotFound. It folds the
// player's sets again, so that each day's band is the one that stood then.
func StrengthOf(tx *store.Tx, v store.Viewer, person int64, from, to prescribe.Day) (Strength, error) {
	out := Strength{From: from, To: to}
	see, err := tx.Sees(v, person, to)
	if err != nil {
		return out, err
	}
	if see&(prescribe.ForPlayer|prescribe.ForCoach|prescribe.ForMedical) == 0 {
		return out, store.ErrNotFound
	}
	in, err := tx.Inputs(person, to)
	if err != nil {
		return out, err
	}
	events, err := tx.Events(person, 1, to)
	if err != nil {
		return out, err
	}
	out.Lifts = liftHistories(events, in.Rules, from, to)
	// What is empty before the first set need not be shown.
	out.From = to
	for _, l := range out.Lifts {
		for _, b := range l.Band {
			out.From = min(out.From, b.Day)
		}
		for _, x := range l.Sets {
			out.From = min(out.From, x.Day)
		}
	}
	out.From = max(from, min(out.From, to-13))
	return out, nil
}

func liftHistories(events []prescribe.Event, r prescribe.Rules, from, to prescribe.Day) []LiftHistory {
	by := map[string]*LiftHistory{}
	of := func(key string) *LiftHistory {
		if by[key] == nil {
			by[key] = &LiftHistory{Key: key}
		}
		return by[key]
	}
	var s prescribe.State
	note := func(day prescribe.Day) {
		for _, key := range s.LiftKeys() {
			e := s.Lifts[key].Estimate(day, r)
			if e.Median > 0 && (day == from || day == to || s.Lifts[key].Seen == day || (to-day)%7 == 0) {
				h := of(key)
				h.Band = append(h.Band, BandPoint{day, e.Low, e.Median, e.High})
			}
		}
	}
	next := 0
	for ; next < len(events) && events[next].Day < from; next++ {
		s = foldStrength(s, events[next], r)
	}
	for day := from; day <= to; day++ {
		for ; next < len(events) && events[next].Day <= day; next++ {
			e := events[next]
			s = foldStrength(s, e, r)
			if e.Set == nil {
				continue
			}
			for _, side := range []prescribe.Side{prescribe.Both, prescribe.Left, prescribe.Right} {
				key := prescribe.LiftKey(e.Set.Exercise, side)
				for _, k := range s.Lifts[key].Recent {
					if k.Key == e.Key && k.OneRM > 0 && (k.As == prescribe.ReadExact || k.As == prescribe.ReadAtLeast) {
						h := of(key)
						h.Sets = append(h.Sets, SetPoint{e.Day, k.OneRM, k.As})
					}
				}
			}
		}
		note(day)
	}
	var out []LiftHistory
	for _, h := range by {
		if len(h.Sets) > 0 {
			out = append(out, *h)
		}
	}
	slices.SortFunc(out, func(a, b LiftHistory) int {
		return cmp.Or(cmp.Compare(min(len(b.Band), 1), min(len(a.Band), 1)), cmp.Compare(len(b.Sets), len(a.Sets)), cmp.Compare(a.Key, b.Key))
	})
	return out[:min(len(out), MaxLifts)]
}

// foldStrength folds what bears on the strength record.
func foldStrength(s prescribe.State, e prescribe.Event, r prescribe.Rules) prescribe.State {
	if e.Set == nil && e.Profile == nil && e.Answer == nil {
		return s
	}
	return prescribe.Fold(s, e, r)
}

// Exposure is which methods a player trained on which day, beside the matches.
type Exposure struct {
	From, To prescribe.Day
	Days     map[prescribe.Day]ExposureDay
}

// ExposureDay is one day of it.
type ExposureDay struct {
	Did     map[prescribe.Method]int // working sets
	Match   bool
	Minutes int // played; -1 not known
}

// ExposureOf is the player's exposures from..to, for the player, the strength
// coach and medical staff; others get ErrNotFound.
func ExposureOf(tx *store.Tx, v store.Viewer, person int64, from, to prescribe.Day) (Exposure, error) {
	out := Exposure{From: from, To: to, Days: map[prescribe.Day]ExposureDay{}}
	see, err := tx.Sees(v, person, to)
	if err != nil {
		return out, err
	}
	if see&(prescribe.ForPlayer|prescribe.ForCoach|prescribe.ForMedical) == 0 {
		return out, store.ErrNotFound
	}
	events, err := tx.Events(person, from, to)
	if err != nil {
		return out, err
	}
	matches, err := matchDays(tx, person, from, to)
	if err != nil {
		return out, err
	}
	cards, err := tx.Cards(person, from, to)
	if err != nil {
		return out, err
	}
	out.Days = exposureDays(events, matches, cards)
	return out, nil
}

func exposureDays(events []prescribe.Event, matches []prescribe.Day, cards []store.CardRev) map[prescribe.Day]ExposureDay {
	days := map[prescribe.Day]ExposureDay{}
	method := methodsOf(cards)
	edit := func(d prescribe.Day, f func(*ExposureDay)) {
		x, ok := days[d]
		if !ok {
			x = ExposureDay{Did: map[prescribe.Method]int{}, Minutes: -1}
		}
		f(&x)
		days[d] = x
	}
	for _, d := range matches {
		edit(d, func(x *ExposureDay) { x.Match = true })
	}
	for _, e := range events {
		switch {
		case e.Match != nil:
			edit(e.Day, func(x *ExposureDay) { x.Match, x.Minutes = true, max(x.Minutes, e.Match.Minutes) })
		case e.Set != nil && e.Set.Reps > 0 && !e.Set.Test:
			if m := method(e.Day, *e.Set); m != prescribe.Support {
				edit(e.Day, func(x *ExposureDay) { x.Did[m]++ })
			}
		}
	}
	return days
}

// methodsOf says by which method a set counts: that of the card's item for the
// exercise, or else the first method that the library gives the exercise.
func methodsOf(cards []store.CardRev) func(prescribe.Day, prescribe.Set) prescribe.Method {
	type at struct {
		day prescribe.Day
		ex  prescribe.ExerciseID
	}
	by := map[at]prescribe.Method{}
	for _, c := range cards {
		for _, it := range c.Card.Items {
			by[at{c.Day, it.Exercise}] = it.Method
		}
	}
	return func(day prescribe.Day, set prescribe.Set) prescribe.Method {
		if m, ok := by[at{day, set.Exercise}]; ok {
			return m
		}
		if ex, ok := prescribe.Lookup(set.Exercise); ok && len(ex.Methods) > 0 {
			return ex.Methods[0]
		}
		return prescribe.Support
	}
}

// matchDays are the days of the player's squad's matches, ascending.
func matchDays(tx *store.Tx, person int64, from, to prescribe.Day) ([]prescribe.Day, error) {
	cal, err := tx.Calendar(person, from, to)
	if err != nil {
		return nil, err
	}
	var days []prescribe.Day
	for _, m := range cal.Matches {
		if m.Day >= from && m.Day <= to {
			days = append(days, m.Day)
		}
	}
	slices.Sort(days)
	return slices.Compact(days), nil
}

// SorenessHistory is a player's soreness by place.
type SorenessHistory struct {
	From, To prescribe.Day
	Places   []SorePlace // the highest score first
}

// SorePlace is one place: the highest score told on each day.
type SorePlace struct {
	Key    string // "hamstring", "hamstring/left"
	Region prescribe.Region
	Side   prescribe.Side
	Scores map[prescribe.Day]prescribe.Score
}

// SorenessOf is the player's soreness from..to, for the player and medical
// staff; others get ErrNotFound. Reading another's is written to the audit, so
// it wants a write transaction.
func SorenessOf(tx *store.Tx, v store.Viewer, person int64, from, to prescribe.Day, now prescribe.Instant) (SorenessHistory, error) {
	out := SorenessHistory{From: from, To: to}
	see, err := tx.Sees(v, person, to)
	if err != nil {
		return out, err
	}
	if see&(prescribe.ForPlayer|prescribe.ForMedical) == 0 {
		return out, store.ErrNotFound
	}
	events, err := tx.ViewEvents(v, person, from, to, now)
	if err != nil {
		return out, err
	}
	out.Places = sorePlaces(events)
	return out, nil
}

func sorePlaces(events []prescribe.Event) []SorePlace {
	by := map[string]*SorePlace{}
	highest := map[string]prescribe.Score{}
	for _, e := range events {
		if e.Soreness == nil {
			continue
		}
		key := string(e.Soreness.Region)
		if e.Soreness.Side != prescribe.Both {
			key += "/" + string(e.Soreness.Side)
		}
		p := by[key]
		if p == nil {
			p = &SorePlace{Key: key, Region: e.Soreness.Region, Side: e.Soreness.Side, Scores: map[prescribe.Day]prescribe.Score{}}
			by[key] = p
		}
		p.Scores[e.Day] = max(p.Scores[e.Day], e.Soreness.Score)
		highest[key] = max(highest[key], e.Soreness.Score)
	}
	var out []SorePlace
	for _, p := range by {
		out = append(out, *p)
	}
	slices.SortFunc(out, func(a, b SorePlace) int {
		return cmp.Or(cmp.Compare(highest[b.Key], highest[a.Key]), strings.Compare(a.Key, b.Key))
	})
	return out
}
