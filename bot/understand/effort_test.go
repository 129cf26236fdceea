package understand

import (
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
)

// Zourdos et al. 2016, "Novel resistance training-specific rating of perceived
// exertion scale measuring repetitions in reserve", J Strength Cond Res
// 30(1):267–275. The whole points 10, 9, 8, 7 as published; half points and the
// rows below 7 from memory of the same table.
func TestRIROfSetRPE(t *testing.T) {
	for _, row := range []struct {
		rpe    float64
		lo, hi prescribe.RIR
	}{
		{10, 0, 0}, {9.5, 0, 0}, {9, 1, 1}, {8.5, 1, 2}, {8, 2, 2}, {7.5, 2, 3}, {7, 3, 3},
		{6, 4, 4}, {5, 4, 4}, {4, 4, 4}, {1, 4, 4},
	} {
		lo, hi, ok := rirOfRPE(row.rpe)
		require.True(t, ok, row.rpe)
		require.Equal(t, row.lo, lo, row.rpe)
		require.Equal(t, row.hi, hi, row.rpe)
	}
	for _, bad := range []float64{-1, 0, 0.5, 10.5, 11, 8.2} {
		_, _, ok := rirOfRPE(bad)
		require.False(t, ok, bad)
	}
}

// The scale as players write it, beside a set.
func TestSetRPEInText(t *testing.T) {
	ctx := Context{Lang: "en", Items: []Item{{Exercise: "back_squat", Sets: 3, Reps: 5, Load: 100, LoadKind: prescribe.LoadBar}}}
	for rpe, want := range map[string]prescribe.RIR{"10": 0, "9.5": 0, "9": 1, "8": 2, "7": 3, "6": 4} {
		r := Read("3x5 100 rpe "+rpe, ctx)
		require.Empty(t, r.Unclear, rpe)
		require.Len(t, r.Meanings, 1)
		for _, s := range r.Meanings[0].Sets {
			require.NotNil(t, s.RIR, rpe)
			require.Equal(t, want, *s.RIR, rpe)
		}
	}
}

// One pound is 0.45359237 kg exactly (international yard and pound agreement,
// 1959).
func TestPounds(t *testing.T) {
	r := Read("3x5 225 lb", Context{Lang: "en"})
	require.Len(t, r.Meanings, 1)
	require.InDelta(t, 102.05828325, float64(*r.Meanings[0].Sets[0].Load), 1e-9)
}

func TestSlips(t *testing.T) {
	for _, c := range []struct {
		a, b string
		n    int
	}{{"hamstring", "hamstring", 0}, {"hamstrng", "hamstring", 1}, {"sqaut", "squat", 1}, {"", "abc", 3}, {"kitten", "sitting", 3}, {"ca", "abc", 3}} {
		require.Equal(t, c.n, distance(c.a, c.b), c)
		require.Equal(t, c.n, distance(c.b, c.a), c)
	}
	require.Equal(t, 0, slips("knee"))
	require.Equal(t, 1, slips("ankle"))
	require.Equal(t, 2, slips("hamstring"))
}
