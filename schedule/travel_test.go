package schedule_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
	"pegcard/schedule"
	"pegcard/store"
)

// The first morning away is the morning there, and the first one back the
// morning at home: one card a civil date.
func TestMorningsMoveWithATraveller(t *testing.T) {
	first := prescribe.Date(2026, time.June, 12)
	zoneOn := func(d prescribe.Day) string {
		if d >= first && d <= first+2 {
			return "Asia/Tokyo"
		}
		return "Europe/London"
	}
	in := store.DueInputs{Squads: []store.DueSquad{squad()}, Done: map[string]bool{}}
	p := &in.Squads[0].Players[0]
	in.Squads[0].Players = in.Squads[0].Players[:1]
	came := map[string]time.Time{}
	for now := time.Date(2026, 6, 11, 0, 0, 0, 0, time.UTC); now.Before(time.Date(2026, 6, 17, 0, 0, 0, 0, time.UTC)); now = now.Add(time.Minute) {
		utc := prescribe.DayOf(now)
		p.Zone, p.Zones = zoneOn(utc), map[prescribe.Day]string{utc - 1: zoneOn(utc - 1), utc + 1: zoneOn(utc + 1)}
		items, err := schedule.Due(in, now)
		require.NoError(t, err)
		for _, it := range items {
			in.Done[it.Key] = true
			if it.Kind == schedule.Card && it.Day >= first-1 {
				require.NotContains(t, came, it.Day.String())
				came[it.Day.String()] = now
			}
		}
	}
	for d := first - 1; d <= first+4; d++ {
		loc := zone(t, zoneOn(d))
		got, ok := came[d.String()]
		require.True(t, ok, "%s", d)
		require.Equal(t, d.String()+" 07:30", got.In(loc).Format("2006-01-02 15:04"))
	}
}

func TestNoCardComesInAPause(t *testing.T) {
	loc := zone(t, "Europe/London")
	from := time.Date(2026, 3, 10, 0, 0, 0, 0, loc)
	in := store.DueInputs{Squads: []store.DueSquad{squad()}}
	day := prescribe.DayOf(from)
	in.Squads[0].Players[0].Paused = map[prescribe.Day]bool{day + 1: true, day + 2: true}
	done := run(t, in, from, from.AddDate(0, 0, 4), nil)
	for i, want := range []int{1, 0, 0, 1} {
		require.Equal(t, want, done["card 10 "+(day+prescribe.Day(i)).String()], "day %d", i)
		require.Equal(t, 0, done["toolate 10 "+(day+prescribe.Day(i)).String()])
	}
}
