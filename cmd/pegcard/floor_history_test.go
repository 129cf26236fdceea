package main

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/cmd/pegcard/democlub"
	"pegcard/prescribe"
	"pegcard/store"
)

// season is 52 weeks, so that weekdays and fixtures fall alike in each.
const season = prescribe.Day(52 * 7)

// What a player costs must not grow with his years at the club: the days after
// ten seasons against the same days after one, which is the floor. A day is a
// card worked out, answered and folded.
func BenchmarkFloorSeasons(b *testing.B) {
	const measured = 28
	last := prescribe.DayOf(democlub.Start()) - 1
	one, known := trained(b, 1, last-season+1, last)
	ten, long := trained(b, 1, last-10*season+1, last)
	require.Equal(b, len(known), len(long))
	took := map[string]time.Duration{}
	for b.Loop() {
		for _, dir := range []string{one, ten, ten, one} { // in turn, so that neither gets the better half
			b.StopTimer()
			st, err := store.Open(b.Context(), store.Options{Dir: cloneData(b, dir)})
			require.NoError(b, err)
			b.StartTimer()
			began := time.Now()
			trainDays(b, st, known, last+1, last+measured)
			took[dir] += time.Since(began)
			b.StopTimer()
			require.NoError(b, st.Close())
			b.StartTimer()
		}
	}
	b.ReportMetric(took[ten].Seconds()/took[one].Seconds(), "x-floor")
	b.ReportMetric(took[ten].Seconds()*1e3/float64(2*b.N*measured), "ms/day")
}

// trained is a club of the first n players of the demo's first team who have
// trained from one day to another, ten years of fixtures and phases around them.
func trained(tb testing.TB, n int, from, to prescribe.Day) (string, tested) {
	tb.Helper()
	dir, st := importSquad(tb, n, prescribe.InstantOf(from.Time()), func(im *store.Import) { tenYears(im, from) })
	known := tested{}
	trainDays(tb, st, known, from, to)
	require.NoError(tb, st.Close())
	return dir, known
}

// tenYears repeats the season of a squad nine times before it. The players came
// and were tested on the day from, and no minutes are on record.
func tenYears(im *store.Import, from prescribe.Day) {
	im.Minutes, im.FixturesFrom = nil, im.FixturesFrom-9*season
	fixtures, sq := im.Fixtures, &im.Club.Squads[0]
	phases := sq.Phases
	for k := prescribe.Day(1); k < 10; k++ {
		for _, f := range fixtures {
			f.UID = fmt.Sprintf("%s-%d", f.UID, k)
			f.Kickoff, f.End = f.Kickoff.AddDate(0, 0, -int(k*season)), f.End.AddDate(0, 0, -int(k*season))
			f.Day, f.Until = f.Day-k*season, f.Until-k*season
			im.Fixtures = append(im.Fixtures, f)
		}
		for _, p := range phases {
			p.From, p.To = p.From-k*season, p.To-k*season
			sq.Phases = append(sq.Phases, p)
		}
	}
	slices.SortStableFunc(sq.Phases, func(a, b store.PhaseDef) int { return int(a.From - b.From) })
	for i := range im.Players {
		im.Players[i].From = from
	}
	for i := range im.Tests {
		im.Tests[i].Day = from
	}
}

func trainDays(tb testing.TB, st *store.Store, known tested, from, to prescribe.Day) {
	tb.Helper()
	for d := from; d <= to; d++ {
		require.NoError(tb, st.Write(tb.Context(), func(tx *store.Tx) error {
			return known.trainDay(tx, d, prescribe.InstantOf(d.Time())+7*3_600_000)
		}))
	}
}
