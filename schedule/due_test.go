package schedule_test

import (
	"fmt"
	"testing"
	"time"
	_ "time/tzdata"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
	"pegcard/schedule"
	"pegcard/store"
)

func zone(t *testing.T, name string) *time.Location {
	t.Helper()
	loc, err := time.LoadLocation(name)
	require.NoError(t, err)
	return loc
}

// Transitions of the IANA tz database, from its published rules: European
// Union, last Sunday of March and October at 01:00 UTC; United States, second
// Sunday of March and first of November at 02:00 local; Samoa skipped Friday
// 2011-12-30 whole.
func TestAtAroundClockChanges(t *testing.T) {
	for _, c := range []struct {
		zone, day string
		clock     store.Clock
		want      string // UTC
	}{
		{"Europe/London", "2026-03-29", 90, "2026-03-29T01:00:00Z"},          // 01:30 is skipped: the first instant after
		{"Europe/London", "2026-03-29", 60, "2026-03-29T01:00:00Z"},          // so is 01:00 itself
		{"Europe/London", "2026-03-29", 120, "2026-03-29T01:00:00Z"},         // 02:00 BST
		{"Europe/London", "2026-10-25", 90, "2026-10-25T00:30:00Z"},          // shown twice: the first
		{"Europe/London", "2026-10-25", 7*60 + 30, "2026-10-25T07:30:00Z"},   // GMT by breakfast
		{"America/New_York", "2026-03-08", 150, "2026-03-08T07:00:00Z"},      // 02:30 is skipped
		{"America/New_York", "2026-11-01", 90, "2026-11-01T05:30:00Z"},       // 01:30 EDT, the first
		{"Pacific/Apia", "2011-12-30", 8 * 60, "2011-12-30T10:00:00Z"},       // the day does not exist
		{"Asia/Kathmandu", "2026-06-01", 8 * 60, "2026-06-01T02:15:00Z"},     // +05:45
		{"Australia/Lord_Howe", "2026-10-04", 135, "2026-10-03T15:30:00Z"},   // half an hour is skipped at 02:00
		{"Pacific/Kiritimati", "2026-01-01", 7 * 60, "2025-12-31T17:00:00Z"}, // +14
	} {
		d, err := prescribe.ParseDay(c.day)
		require.NoError(t, err)
		got := schedule.At(d, c.clock, zone(t, c.zone))
		require.Equal(t, c.want, got.UTC().Format(time.RFC3339), "%s %s %d", c.zone, c.day, c.clock)
	}
}

func TestQuietHoursRunOverMidnight(t *testing.T) {
	loc := zone(t, "Europe/London")
	at := func(s string) time.Time {
		x, err := time.ParseInLocation("2006-01-02 15:04", s, loc)
		require.NoError(t, err)
		return x
	}
	for from, want := range map[string]string{
		"2026-03-10 21:29": "2026-03-10 21:29",
		"2026-03-10 21:30": "2026-03-11 07:00",
		"2026-03-11 02:00": "2026-03-11 07:00",
		"2026-03-11 07:00": "2026-03-11 07:00",
		"2026-03-28 23:00": "2026-03-29 07:00",
	} {
		got := schedule.AfterQuiet(at(from), 21*60+30, 7*60, loc)
		require.Equal(t, want, got.Format("2006-01-02 15:04"), from)
	}
	require.Equal(t, at("2026-03-10 03:00"), schedule.AfterQuiet(at("2026-03-10 03:00"), 0, 0, loc), "no quiet hours")
}

func squad() store.DueSquad {
	s := store.Squad{ID: 1}
	s.Slug, s.Zone, s.Review = "first", "Europe/London", "look"
	s.CardsAt, s.CutOff, s.EveningAt, s.DigestAt = 7*60+30, 14*60, 18*60, 19*60
	s.QuietFrom, s.QuietTo = 21*60+30, 7*60
	return store.DueSquad{Squad: s,
		Players: []store.DuePlayer{
			{Person: 10, Zone: "Europe/London", Joined: true, Reachable: true, Consented: true},
			{Person: 11, Zone: "America/New_York", Joined: true, Reachable: true, Consented: true},
			{Person: 12, Zone: "Europe/London", Joined: true, Reachable: true}, // has not consented
		},
		Staff: []store.DueStaff{
			{Person: 1, Role: store.RoleCoach, Zone: "Europe/London", Joined: true, Reachable: true},
			{Person: 2, Role: store.RoleAdmin, Zone: "Europe/London", Joined: true, Reachable: true},
		}}
}

// run walks the minutes from..to with the given gaps (the process is down) and
// returns what was done, as "kind person day", with how often.
func run(t *testing.T, in store.DueInputs, from, to time.Time, down func(time.Time) bool) map[string]int {
	t.Helper()
	done := map[string]int{}
	in.Done = map[string]bool{}
	for now := from; now.Before(to); now = now.Add(time.Minute) {
		if down != nil && down(now) {
			continue
		}
		items, err := schedule.Due(in, now)
		require.NoError(t, err)
		for _, it := range items {
			require.False(t, in.Done[it.Key])
			in.Done[it.Key] = true
			done[fmt.Sprintf("%s %d %s", it.Kind, it.Person, it.Day)]++
		}
	}
	return done
}

func TestEachThingOnceACivilDateOverAClockChange(t *testing.T) {
	loc := zone(t, "Europe/London")
	from := time.Date(2026, 3, 22, 0, 0, 0, 0, loc)
	done := run(t, store.DueInputs{Squads: []store.DueSquad{squad()}}, from, from.AddDate(0, 0, 14), nil)
	for i := range 14 {
		d := prescribe.DayOf(from) + prescribe.Day(i)
		require.Equal(t, 1, done[fmt.Sprintf("card 10 %s", d)], "%s", d)
		require.Equal(t, 1, done[fmt.Sprintf("digest 1 %s", d)], "%s", d)
		require.Equal(t, 1, done[fmt.Sprintf("lookover 0 %s", d+1)], "%s", d)
		require.Equal(t, 0, done[fmt.Sprintf("card 12 %s", d)], "without consent")
		require.Equal(t, 0, done[fmt.Sprintf("digest 2 %s", d)], "the administrator")
	}
	for i := range 13 {
		require.Equal(t, 1, done[fmt.Sprintf("card 11 %s", prescribe.DayOf(from)+prescribe.Day(i))])
	}
}

func TestDowntimeIsCaughtUpUntilTheCutOff(t *testing.T) {
	loc := zone(t, "Europe/London")
	from := time.Date(2026, 3, 10, 6, 0, 0, 0, loc)
	until := func(h, m int) func(time.Time) bool {
		return func(now time.Time) bool { return now.Before(time.Date(2026, 3, 10, h, m, 0, 0, loc)) }
	}
	in := store.DueInputs{Squads: []store.DueSquad{squad()}}
	done := run(t, in, from, from.Add(20*time.Hour), until(13, 59))
	require.Equal(t, 1, done["card 10 2026-03-10"], "late, but before the cut-off")
	done = run(t, in, from, from.Add(20*time.Hour), until(14, 1))
	require.Equal(t, 0, done["card 10 2026-03-10"], "after the cut-off")
	require.Equal(t, 1, done["toolate 10 2026-03-10"])
	done = run(t, in, from, from.Add(48*time.Hour), until(23, 59))
	require.Equal(t, 1, done["digest 1 2026-03-10"], "a late digest is still worth having")
}

func TestATravellerGetsOneCardACivilDate(t *testing.T) {
	// Between the two mornings the player flies east over the date: the date
	// that comes twice to him brings one card.
	in := store.DueInputs{Squads: []store.DueSquad{squad()}, Done: map[string]bool{}}
	p := &in.Squads[0].Players[0]
	p.Zone = "Asia/Tokyo"
	now := time.Date(2026, 3, 9, 22, 31, 0, 0, time.UTC) // 07:31 on the 10th in Tokyo
	count := 0
	for ; now.Before(time.Date(2026, 3, 10, 16, 0, 0, 0, time.UTC)); now = now.Add(time.Minute) {
		if now.Hour() == 3 {
			p.Zone = "America/Los_Angeles"
		}
		items, err := schedule.Due(in, now)
		require.NoError(t, err)
		for _, it := range items {
			in.Done[it.Key] = true
			if it.Kind == schedule.Card && it.Person == 10 && it.Day == prescribe.Date(2026, 3, 10) {
				count++
			}
		}
	}
	require.Equal(t, 1, count)
}

func TestNextIsTheFirstThingStillToCome(t *testing.T) {
	loc := zone(t, "Europe/London")
	in := store.DueInputs{Squads: []store.DueSquad{squad()}, Done: map[string]bool{}}
	now := time.Date(2026, 3, 10, 7, 20, 0, 0, loc)
	it, ok, err := schedule.Next(in, now)
	require.NoError(t, err)
	require.True(t, ok)
	require.Equal(t, schedule.Card, it.Kind)
	require.Equal(t, time.Date(2026, 3, 10, 7, 30, 0, 0, loc).UTC(), it.At.Time())
	items, err := schedule.Due(in, it.At.Time().Add(-time.Second))
	require.NoError(t, err)
	for _, d := range items {
		require.NotEqual(t, it.Key, d.Key, "not a second before")
	}
}

func TestAnUnansweredCardIsClosedBeforeTheNextMorning(t *testing.T) {
	in := store.DueInputs{Squads: []store.DueSquad{squad()}, Done: map[string]bool{}}
	d := prescribe.Date(2026, 3, 10)
	in.Squads[0].Players[0].Cards = []store.DueCard{{Card: 5, Day: d, State: store.CardSent}}
	loc := zone(t, "Europe/London")
	items, err := schedule.Due(in, time.Date(2026, 3, 11, 7, 30, 0, 0, loc))
	require.NoError(t, err)
	closing, card := -1, -1
	for i, it := range items {
		switch {
		case it.Kind == schedule.Close:
			closing = i
			require.EqualValues(t, 5, it.Card)
		case it.Kind == schedule.Card && it.Person == 10 && it.Day == d+1:
			card = i
		}
	}
	require.GreaterOrEqual(t, closing, 0)
	require.Greater(t, card, closing, "yesterday first")
}

func TestAnUnknownZoneIsAnErrorThatNamesIt(t *testing.T) {
	in := store.DueInputs{Squads: []store.DueSquad{squad()}}
	in.Squads[0].Players[0].Zone = "Europe/Nowhere"
	_, err := schedule.Due(in, time.Now())
	require.ErrorContains(t, err, "Europe/Nowhere")
}
