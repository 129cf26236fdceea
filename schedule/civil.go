package schedule

import (
	"time"

	"pegcard/prescribe"
	"pegcard/store"
)

// At is the instant at which the clocks of loc show c on day d. Where the
// clocks skip over it, it is the first instant after the gap; where they show
// it twice, it is the first of the two. The standard library leaves both cases
// open, so they are settled here.
func At(d prescribe.Day, c store.Clock, loc *time.Location) time.Time {
	midnight := d.Time()
	want := midnight.Add(time.Duration(c) * time.Minute) // as if the zone were UTC
	// The offset in force is one of those a day before and a day after: zones do
	// not change twice within two days. (A zone that skips a whole date has
	// offsets 24 h apart and is covered by the gap rule.)
	_, before := want.Add(-36 * time.Hour).In(loc).Zone()
	_, after := want.Add(36 * time.Hour).In(loc).Zone()
	first := want.Add(-time.Duration(max(before, after)) * time.Second)
	second := want.Add(-time.Duration(min(before, after)) * time.Second)
	for _, t := range []time.Time{first, second} {
		if shows(t.In(loc), want) {
			return t.In(loc)
		}
	}
	// In a gap: the transition lies between first and second.
	lo, hi := first.Unix(), second.Unix()
	_, early := first.In(loc).Zone()
	for lo+1 < hi {
		mid := (lo + hi) / 2
		if _, o := time.Unix(mid, 0).In(loc).Zone(); o == early {
			lo = mid
		} else {
			hi = mid
		}
	}
	return time.Unix(hi, 0).In(loc)
}

func shows(t, want time.Time) bool {
	y, m, d := t.Date()
	wy, wm, wd := want.Date()
	return y == wy && m == wm && d == wd && t.Hour() == want.Hour() && t.Minute() == want.Minute()
}

// AfterQuiet is t, or the end of the quiet hours that t falls into. Quiet hours
// run from one time of day to another, over midnight if to is the smaller;
// from = to means there are none.
func AfterQuiet(t time.Time, from, to store.Clock, loc *time.Location) time.Time {
	if from == to {
		return t
	}
	today := prescribe.DayOf(t.In(loc))
	for _, d := range []prescribe.Day{today - 1, today} {
		start := At(d, from, loc)
		end := At(d, to, loc)
		if to < from {
			end = At(d+1, to, loc)
		}
		if !t.Before(start) && t.Before(end) {
			return end
		}
	}
	return t
}
