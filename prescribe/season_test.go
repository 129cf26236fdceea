package prescribe_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
)

// A season of one match a week, every card done as written: the weekly minimum
// is reached, Nordics come every week, and the squat never gets lighter from
// one session to the next while nothing is in the way.
func TestSeasonDoneAsWritten(t *testing.T) {
	c, _ := readCase(t, casesDir, "ordinary-week.txt")
	first := c.days[0] // a Monday
	const weeks = 30
	c.cal = prescribe.Calendar{Settings: c.settings}
	for d := first - 14; d < first+7*(weeks+3); d++ {
		c.cal.Days = append(c.cal.Days, prescribe.CalendarDay{Day: d, Phase: prescribe.InSeason, Setting: "gym", Start: at(d, "10:00")})
		if d.Weekday() == 6 {
			m := prescribe.Match{ID: "m" + d.String(), Day: d, Kickoff: at(d, "15:00"), End: at(d, "16:50"), Known: true}
			c.cal.Matches = append(c.cal.Matches, m)
		}
	}
	s := foldAll(adult,
		on(first-3, prescribe.Event{Set: &prescribe.Set{Exercise: "back_squat", Load: 140, Reps: 1, Ordinal: 1, Test: true, ToFail: true}}),
		on(first-3, prescribe.Event{Set: &prescribe.Set{Exercise: "bench_press", Load: 90, Reps: 1, Ordinal: 1, Test: true, ToFail: true}}),
		on(first-3, prescribe.Event{Set: &prescribe.Set{Exercise: "romanian_deadlift", Load: 110, Reps: 1, Ordinal: 1, Test: true, ToFail: true}}))
	n := 0
	fold := func(day prescribe.Day, clock string, e prescribe.Event) {
		n++
		e.Day, e.At, e.Key = day, at(day, clock), fmt.Sprintf("%05d", n)
		s = prescribe.Fold(s, e, c.rules)
	}
	squat := prescribe.Kg(0)
	for week := range weeks {
		sessions, heavy, nordic := 0, 0, 0
		for day := first + prescribe.Day(7*week); day < first+prescribe.Day(7*week+7); day++ {
			card := prescribe.Plan(s, c.cal, c.prog, c.rules, day, nil)
			if card.Kind == prescribe.CardTrain || card.Kind == prescribe.CardFinding {
				optional := true
				for _, it := range card.Items {
					optional = optional && it.Optional
					if it.Slot == "squat" {
						require.GreaterOrEqual(t, it.Load, squat, "week %d: %s", week+1, mustJSON(t, it))
						squat = it.Load
						if it.Heavy {
							heavy += it.Sets
						}
					}
					if it.Scheme == prescribe.SchemeNordic {
						nordic++
					}
					sides := []prescribe.Side{prescribe.Both}
					if it.PerSide {
						sides = []prescribe.Side{prescribe.Left, prescribe.Right}
					}
					load := it.Load
					if it.Finding {
						load = 20
					}
					for _, side := range sides {
						for i := range it.Sets {
							set := prescribe.Set{Exercise: it.Exercise, Side: side, Load: load, Reps: it.Reps, Asked: it.Reps, Ordinal: i + 1,
								AsWritten: true, Scheme: it.Scheme, Intended: it.Intended, Inertia: it.Inertia, Device: it.Device}
							if i == 0 && week%3 == 0 {
								set.RIR = it.RIR
							}
							fold(day, "11:00", prescribe.Event{Set: &set})
						}
					}
				}
				rpe := prescribe.Score(6)
				fold(day, "12:00", prescribe.Event{Session: &prescribe.Session{Template: card.Template, Outcome: prescribe.DoneAsWritten, RPE: &rpe, Minutes: card.Minutes}})
				if !optional {
					sessions++
				}
			}
			for _, m := range c.cal.Matches {
				if m.Day == day {
					fold(day, "16:50", prescribe.Event{Match: &prescribe.MatchPlayed{MatchID: m.ID, Minutes: 90, End: m.End}})
				}
			}
		}
		t.Logf("week %d: %d sessions, squat %v kg, %d heavy sets, %d Nordics, used %.1f", week+1, sessions, squat, heavy, nordic, s.Lifts["back_squat"].Estimate(first+prescribe.Day(7*week+7), c.rules).Used)
		require.Less(t, len(mustJSON(t, s)), 40_000, "bytes of state after week %d", week+1)
		require.Equal(t, 2, sessions, "week %d", week+1)
		require.Equal(t, 1, nordic, "week %d", week+1)
	}
}
