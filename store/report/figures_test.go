package report_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/store/report"
)

// Wilson score interval without continuity correction for 17 of 20, as worked
// by standard formula (Wilson EB, J Am Stat Assoc 1927;22:209-212); the figures
// 64.0 to 94.8 are the ones stated with the method.
func TestWilson(t *testing.T) {
	low, high := report.Share{K: 17, N: 20}.Wilson()
	require.InDelta(t, 64.0, float64(low), 0.05)
	require.InDelta(t, 94.8, float64(high), 0.05)
	low, high = report.Share{}.Wilson()
	require.Zero(t, low)
	require.EqualValues(t, 100, high)
	p, ok := report.Share{K: 17, N: 20}.Percent()
	require.True(t, ok)
	require.EqualValues(t, 85, p)
	low, _ = report.Share{K: 0, N: 5}.Wilson()
	require.GreaterOrEqual(t, float64(low), 0.0)
}

func week(days ...float64) report.Week {
	var w report.Week
	for i := range days {
		w[i] = &days[i]
	}
	return w
}

// Monotony and strain after Foster C, Med Sci Sports Exerc 1998;30:1164-1168:
// a worked week of session RPE × minutes.
func TestMonotonyAndStrain(t *testing.T) {
	m, s, ok := week(0, 450, 300, 480, 240, 150, 720).Monotony()
	require.True(t, ok)
	require.InDelta(t, 1.4060, m, 0.00005)
	require.InDelta(t, 3290.03, s, 0.005)
	_, _, ok = week(300, 300, 300, 300, 300, 300, 300).Monotony()
	require.False(t, ok, "a flat week is undefined")
	w := week(0, 450, 300, 480, 240, 150, 720)
	w[3] = nil
	_, _, ok = w.Monotony()
	require.False(t, ok, "a week with a missing day is blank")
}
