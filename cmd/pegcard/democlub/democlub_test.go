package democlub_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/cmd/pegcard/democlub"
	"pegcard/prescribe"
	"pegcard/store"
	"pegcard/store/clubfile"
)

func readDemo(t *testing.T) store.Import {
	t.Helper()
	in, problems := clubfile.Read(democlub.Files, clubfile.Options{Now: democlub.Start()})
	for _, p := range problems {
		t.Error(p)
	}
	return in
}

func TestDemoClubHasWhatItPromises(t *testing.T) {
	in := readDemo(t)

	require.Equal(t, "Brackwater Rovers", in.Club.Name)
	require.Len(t, in.Club.Squads, 2)
	require.True(t, in.Club.Squads[1].Youth)
	require.Len(t, in.Club.Gyms, 3)
	require.Len(t, in.Club.Staff, 6)
	require.Len(t, in.Programme.Programme.Doses, 3)
	require.Len(t, in.Programme.Programme.Sessions, 8)
	methods := map[prescribe.Method]bool{}
	schemes := map[prescribe.Scheme]bool{}
	for _, s := range in.Programme.Programme.Sessions {
		for _, l := range s.Slots {
			methods[l.Method] = true
			schemes[l.Scheme] = true
		}
	}
	require.Len(t, methods, 4)
	require.Len(t, schemes, 8)

	squad := map[string]int{}
	languages := map[string]bool{}
	inSquad := map[string]string{}
	today := prescribe.DayOf(democlub.Start())
	for _, p := range in.Players {
		squad[p.Squad]++
		languages[p.Language] = true
		inSquad[p.Key] = p.Squad
		age := int(today-p.Born) / 365
		if p.Squad == "academy" {
			require.True(t, age >= 16 && age <= 18, "%s is %d", p.Name, age)
		} else {
			require.GreaterOrEqual(t, age, 18, p.Name)
		}
	}
	require.Equal(t, map[string]int{"first": 25, "academy": 12}, squad)
	require.Len(t, languages, 8)

	require.Len(t, in.Tests, 303)
	require.Len(t, in.Minutes, 234)
	power := map[string]int{}
	tested := map[string]map[prescribe.ExerciseID]prescribe.Day{}
	for _, row := range in.Tests {
		require.Contains(t, inSquad, row.Player)
		require.True(t, row.Day >= prescribe.Date(2025, 7, 1) && row.Day < prescribe.Date(2026, 3, 1))
		if tested[row.Player] == nil {
			tested[row.Player] = map[prescribe.ExerciseID]prescribe.Day{}
		}
		if row.Power != nil {
			power[row.Player]++
		} else {
			e := row.Set.Exercise
			tested[row.Player][e] = max(tested[row.Player][e], row.Day)
		}
	}
	require.Len(t, power, 24)
	for key, n := range power {
		require.Equal(t, 5, n, key)
	}
	require.NotContains(t, tested, "23", "joined in February")
	require.NotContains(t, tested["20"], prescribe.ExerciseID("rear_foot_elevated_split_squat"))
	require.Equal(t, time.July, tested["14"]["back_squat"].Time().Month(), "a stale test")
	for _, row := range in.Minutes {
		require.Contains(t, inSquad, row.Player)
	}
}

// The matches on which minutes were played are in the calendar, and eleven
// players played for ninety minutes each in all.
func TestDemoMinutesFitTheFixtures(t *testing.T) {
	in := readDemo(t)
	squadOf := map[string]string{}
	for _, p := range in.Players {
		squadOf[p.Key] = p.Squad
	}
	total := map[string]int{}
	for _, m := range in.Minutes {
		total[squadOf[m.Player]+" "+m.Day.String()] += m.Minutes
	}
	require.Len(t, total, 12)
	for match, minutes := range total {
		require.Equal(t, 990, minutes, match)
		require.True(t, slices.ContainsFunc(in.Fixtures, func(f store.FixtureRow) bool {
			return f.Squad+" "+f.Day.String() == match && !f.Cancelled && !f.Travel
		}), match)
	}
}

func TestDemoFixturesAroundTheStart(t *testing.T) {
	in := readDemo(t)
	start := democlub.Start()
	require.Equal(t, "2026-03-10 07:20 Tuesday", start.Format("2006-01-02 15:04 Monday"))
	var near []string
	for _, f := range in.Fixtures {
		if d := f.Day - prescribe.DayOf(start); f.Squad == "first" && d >= -10 && d <= 21 {
			what := "match"
			if f.Travel {
				what = "trip"
			}
			near = append(near, f.Kickoff.Format("Mon 01-02 15:04 MST ")+what)
		}
	}
	require.Equal(t, []string{
		"Sat 02-28 15:00 GMT match",
		"Sat 03-07 15:00 GMT match",
		"Sat 03-14 15:00 GMT match",
		"Tue 03-17 19:45 GMT match",
		"Fri 03-20 12:00 GMT trip",
		"Sat 03-21 15:00 GMT match",
		"Sun 03-29 14:00 BST match", // moved, and on the day the clocks change
	}, near)

	count := map[string]int{}
	for _, f := range in.Fixtures {
		switch {
		case f.Travel:
			count["trips"]++
		case f.Cancelled:
			count["cancelled"]++
		default:
			count[f.Squad]++
			if !f.Known {
				count["unknown"]++
			}
		}
	}
	require.Equal(t, map[string]int{"first": 47, "academy": 28, "trips": 2, "cancelled": 1, "unknown": 1}, count)
}
