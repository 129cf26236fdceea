package prescribe_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	. "pegcard/prescribe"
)

// The working of every case, followed step by step as its comment says, gives
// the card's load; and the card is the one of Plan.
func TestWorkingGivesTheLoad(t *testing.T) {
	loads := 0
	for _, name := range caseNames(t) {
		c, _ := readCase(t, casesDir, name)
		got := c.run()
		// Only of a single day are the state and the card of the same day.
		if len(got.cards) != 1 {
			continue
		}
		card, list := PlanWorking(got.state, c.cal, c.prog, c.rules, c.days[0], c.edits)
		require.Equal(t, got.cards[0], card, name)
		require.Len(t, list, len(card.Items), name)
		for i, x := range list {
			it := card.Items[i]
			if !x.Loaded {
				continue
			}
			require.NotEmpty(t, x.Records, "%s: %s", name, it.Exercise)
			record := x.Records[0].Used
			for _, r := range x.Records {
				record = min(record, r.Used)
			}
			record *= Kg(x.Share)
			percent := x.Asked
			if x.Total > 0 {
				est := x.Records[0].Estimate
				if x.Asked > 0 {
					est.Shape = est.Steep
				}
				f := c.rules.Fraction(est, x.Total)
				if percent == 0 || f < percent {
					percent = f
				}
			}
			if x.Youth > 0 {
				percent = min(percent, x.Youth)
			}
			require.InDelta(t, float64(percent), float64(x.Percent), 1e-9, "%s: %s", name, it.Exercise)

			body := Kg(x.BodyShare) * x.BodyMass
			final := record * Kg(percent) / 100
			if x.Last != nil {
				if !x.Tested {
					from := x.Last.Load
					if int(c.days[0]-x.Last.TopDay) <= c.rules.Int("load.top_days") {
						from = max(from, x.Last.Top)
					}
					final = min(final, (from+body)*Kg(1+x.Up/100))
				}
				if gives(it, "load.kept") {
					final = x.Last.Load + body
				}
			}
			for _, l := range x.Limits {
				total := l.Base * Kg(l.Percent) / 100
				for _, a := range l.Why.Args {
					if a.Name == "to" && a.Kind == ArgKg {
						require.InDelta(t, a.Num, float64(total-body), 0.006, "%s: %s", name, l.Why.Code)
					}
				}
				final = min(final, total)
			}
			if x.Edit == nil {
				require.InDelta(t, float64(final), float64(x.Final), 1e-6, "%s: %s", name, it.Exercise)
			}
			ex, _ := Lookup(it.Exercise)
			if b, ok := Build(x.Final-body, ex, c.settings[card.Setting].Equipment); ok && !gives(it, "load.step", "load.no_step", "load.reps_first") {
				require.Equal(t, b.Load, it.Load, "%s: %s", name, it.Exercise)
				loads++
			}
			require.Equal(t, it.EccLoad > 0, x.Lower > 0, name)
		}
	}
	require.Greater(t, loads, 50)
}

func gives(it Item, codes ...string) bool {
	return slices.ContainsFunc(it.Reasons, func(r Reason) bool { return slices.Contains(codes, r.Code) })
}
