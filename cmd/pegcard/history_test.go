package main

import (
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/cmd/pegcard/democlub"
	"pegcard/prescribe"
	"pegcard/store"
)

// After the weeks before the demo the cards are ordinary ones: the loads are
// known, and they neither run away nor fall from week to week.
func TestHistoryLeavesOrdinaryCards(t *testing.T) {
	if testing.Short() {
		t.Skip("four weeks of the whole club")
	}
	d := livedDesk(t)
	first := prescribe.DayOf(democlub.Start())
	items, finding, kept := 0, 0, 0
	d.read(func(tx *store.Tx) {
		sq, err := tx.SquadBySlug("first")
		require.NoError(t, err)
		members, err := tx.Members(sq.ID, first)
		require.NoError(t, err)
		for _, p := range members {
			loads := map[prescribe.ExerciseID]prescribe.Kg{}
			cards, err := tx.Cards(p.ID, first-historyDays, first-1)
			require.NoError(t, err)
			for _, c := range cards {
				for _, it := range c.Card.Items {
					if _, seen := loads[it.Exercise]; it.Load > 0 && !seen {
						loads[it.Exercise] = it.Load
					}
				}
			}
			for d := first; d < first+7; d++ {
				c, err := tx.Plan(p.ID, d)
				require.NoError(t, err)
				require.NotEqual(t, prescribe.CardFinding, c.Kind, "%s on %s", p.Key, d)
				for _, it := range c.Items {
					items++
					if it.Finding {
						finding++
					}
					if was := loads[it.Exercise]; was > 0 && it.Load > 0 {
						kept++
						require.InEpsilon(t, float64(was), float64(it.Load), 0.25, "%s: %s", p.Key, it.Exercise)
					}
				}
			}
		}
	})
	require.Positive(t, kept)
	require.Less(t, 50*finding, items, "%d of %d exercises still without a record", finding, items)
}

func TestEventLine(t *testing.T) {
	two := prescribe.RIR(2)
	require.Equal(t, "back_squat 100 kg x 5, 2 in reserve", eventLine(prescribe.Event{Set: &prescribe.Set{Exercise: "back_squat", Load: 100, Reps: 5, RIR: &two}}))
	require.Equal(t, "flywheel_squat inertia 0.05 kg m2 x 6", eventLine(prescribe.Event{Set: &prescribe.Set{Exercise: "flywheel_squat", Inertia: 0.05, Reps: 6}}))
}
