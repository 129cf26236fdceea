package prescribe

import "math"

// Coming back after days without strength work. The load is the lower of this
// table and the record, never the product:
//
//	up to break.free       as written
//	up to break.short      break.short_load for the first week
//	up to break.medium     break.medium_load and break.medium_volume for the first week
//	up to break.long       break.long_load for the first week, and four weeks of
//	                       break.ramp_1 … 4 fewer sets
//	longer                 the record is found again, and the same four weeks
//
// The percentage is of what the record said when the break began.

// breakFacts is what a break means for a day; gap 0: nothing.
type breakFacts struct {
	gap    int // days without strength work
	from   Day // last day before them
	start  Day // first day of the way back
	week   int // of the way back, from 1
	load   Percent
	volume Percent
	limit  bool // break.volume_max applies
	long   bool // beyond break.long: a record not found again since is not used
	rules  []string
}

// rampDays is how long the way back from a gap longer than break.free lasts.
func rampDays(gap int, r Rules) Day {
	if gap <= r.Int("break.medium") {
		return 7
	}
	return 28
}

// breakOn is what the absence before the day, or the way back from the last
// one, means for it.
func (s State) breakOn(day Day, r Rules) breakFacts {
	if s.Trained == 0 {
		return s.onlyTested(day, r)
	}
	gap, from, start := s.Return.Gap, s.Return.From, s.Return.Day
	now := int(day - s.Trained)
	inside := s.Return.Day != 0 && day < start+rampDays(gap, r)
	switch {
	case now > r.Int("break.free") && (!inside || now >= gap):
		gap, from, start = now, s.Trained, day
	case now > r.Int("break.free"):
		start = day // the way back starts again
	case !inside:
		return breakFacts{}
	}
	b := breakFacts{gap: gap, from: from, start: start, week: int(day-start)/7 + 1, load: 100, volume: 100}
	switch {
	case gap <= r.Int("break.short"):
		b.load, b.rules = Percent(r.Num("break.short_load")), by("break.short", "break.short_load")
		return b
	case gap <= r.Int("break.medium"):
		b.load, b.volume = Percent(r.Num("break.medium_load")), Percent(r.Num("break.medium_volume"))
		b.rules = by("break.medium", "break.medium_load", "break.medium_volume")
		return b
	case gap <= r.Int("break.long"):
		if b.week == 1 {
			b.load = Percent(r.Num("break.long_load"))
		}
		b.rules = by("break.long", "break.long_load")
	default:
		b.long = true
		b.rules = by("break.long")
	}
	fewer := [4]float64{r.Num("break.ramp_1"), r.Num("break.ramp_2"), r.Num("break.ramp_3"), r.Num("break.ramp_4")}
	b.volume = Percent(100 - fewer[min(b.week, 4)-1])
	b.limit = b.week <= 2
	return b
}

// onBreak is breakOn for the day that is planned.
func (w *planner) onBreak() breakFacts { return w.s.breakOn(w.day, w.r) }

// onlyTested is for a player of whom tests are on file and no training: how long
// he has not trained is not known, so nothing is taken off. But records as old
// as a long break are found again first.
func (s State) onlyTested(day Day, r Rules) breakFacts {
	var last Day
	for _, rec := range s.Lifts {
		last = max(last, rec.ExactDay)
	}
	gap := int(day - last)
	if last == 0 || gap <= r.Int("break.long") {
		return breakFacts{}
	}
	return breakFacts{gap: gap, from: last, start: day, week: 1, load: 100, volume: 100, long: true, rules: by("break.long")}
}

// intensityVolume is the intensity-relative volume: sets × repetitions ×
// fraction of 1RM.
func intensityVolume(sets, reps int, f Percent) float64 {
	return float64(sets) * float64(reps) * float64(f) / 100
}

// setsWithin is the most sets, at least one, of at most so many whose volume is
// within the limit.
func setsWithin(limit float64, sets, reps int, f Percent) int {
	for sets > 1 && intensityVolume(sets, reps, f) > limit+1e-9 {
		sets--
	}
	return sets
}

// offSeasonShare is the share of the written sets that the off-season asks for:
// it builds up, week by week, to the phase that follows. 100 outside it.
func (w *planner) offSeasonShare() Percent {
	if w.facts.Phase != OffSeason {
		return 100
	}
	fewer := [4]float64{w.r.Num("offseason.week_1"), w.r.Num("offseason.week_2"), w.r.Num("offseason.week_3"), w.r.Num("offseason.week_4")}
	weeks := len(fewer)
	for _, c := range w.c.Days {
		if c.Day > w.day && c.Phase != OffSeason {
			weeks = min(weeks, (int(c.Day-w.day)+6)/7)
			break
		}
	}
	return Percent(100 - fewer[weeks-1])
}

// offSeason is how many of the sets that is, rounded down, and never fewer than
// the slot's least. A ladder has steps of its own.
func (w *planner) offSeason(d *draft, sets int) int {
	if climbs(d.ex) {
		return sets
	}
	return max(d.slot.MinSets, 1, int(math.Floor(float64(sets)*float64(w.offSeasonShare())/100+1e-9)))
}
