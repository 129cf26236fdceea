package prescribe_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	. "pegcard/prescribe"
)

func TestFractionEnds(t *testing.T) {
	for _, n := range []int{-1, 0, 11, 12, math.MaxInt} {
		_, ok := Fraction(n)
		require.False(t, ok, "%d", n)
	}
	for n := 2; n <= TableReps; n++ {
		a, _ := Fraction(n - 1)
		b, ok := Fraction(n)
		require.True(t, ok)
		require.Less(t, b, a, "more repetitions, less load")
	}
	require.Zero(t, TableLog(1))
	require.Zero(t, TableLog(0.5))
	require.InDelta(t, math.Log(0.75), TableLog(10), 1e-12)
	require.InDelta(t, math.Log(0.75), TableLog(11), 1e-12)
	require.InDelta(t, (math.Log(0.87)+math.Log(0.85))/2, TableLog(5.5), 1e-12)
}

// Epley and Brzycki meet at ten repetitions, and Epley is the higher below:
// a known property of the two.
func TestEpleyAndBrzyckiMeetAtTen(t *testing.T) {
	epley, _ := EquationByName("Epley")
	brzycki, _ := EquationByName("Brzycki")
	for reps := 2; reps <= 12; reps++ {
		e, _ := epley.OneRM(100, reps)
		b, _ := brzycki.OneRM(100, reps)
		switch {
		case reps < 10:
			require.Greater(t, e, b)
		case reps == 10:
			require.InDelta(t, float64(e), float64(b), 1e-9)
		default:
			require.Less(t, e, b)
		}
	}
}

func TestEquationLimits(t *testing.T) {
	_, ok := EquationByName("Nobody")
	require.False(t, ok)
	for _, e := range Equations() {
		for _, c := range []struct {
			load Kg
			reps int
		}{{0, 5}, {-20, 5}, {Kg(math.NaN()), 5}, {100, 0}, {100, -1}, {100, 37}} {
			_, ok := e.OneRM(c.load, c.reps)
			require.False(t, ok, "%s %v", e.Name, c)
		}
		last := Kg(0)
		for reps := 1; reps <= 36; reps++ {
			v, ok := e.OneRM(100, reps)
			require.True(t, ok)
			require.Greater(t, v, last, "%s at %d", e.Name, reps)
			last = v
		}
	}
}
