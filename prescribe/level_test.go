package prescribe_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	. "pegcard/prescribe"
)

func TestLevelUnknown(t *testing.T) {
	var l Level
	require.Equal(t, l, l.Predict(5))
	require.Equal(t, l, l.UpdateAbove(1, 1), "a bound alone is no level")
	require.Equal(t, l, l.AtMost(-1, 1))
	require.Equal(t, NewLevel(3, 2), l.Update(3, 2))
	require.Equal(t, 7.0, l.Near(7, 1, 3))
}

// Textbook quantiles of the normal distribution.
func TestLevelQuantile(t *testing.T) {
	l := NewLevel(10, 4)
	require.InDelta(t, 10, l.Quantile(0.5), 1e-12)
	require.InDelta(t, 10+2*1.959963985, l.Quantile(0.975), 1e-8)
	require.InDelta(t, 10-2*0.524400513, l.Quantile(0.3), 1e-8)
}

// Gordon 1941 (Ann Math Stat 12:364–366): t < λ(−t) < t + 1/t for t > 0. Checked
// far beyond the point at which density and tail both vanish.
func TestMillsFarOut(t *testing.T) {
	for x := 0.5; x < 1e8; x *= 1.3 {
		lambda, excess := Mills(-x)
		require.GreaterOrEqual(t, lambda, x)
		require.LessOrEqual(t, lambda, x+1/x)
		require.Greater(t, excess, 0.0)
		require.LessOrEqual(t, excess, 1/x)
	}
	// Both sides of the change of formula agree.
	a, ea := Mills(-30 + 1e-9)
	b, eb := Mills(-30 - 1e-9)
	require.InEpsilon(t, a, b, 1e-9)
	require.InEpsilon(t, ea, eb, 1e-6)
	lambda, excess := Mills(40)
	require.Zero(t, lambda)
	require.Equal(t, 40.0, excess)
}

func TestOneSidedUpdate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := NewLevel(rapid.Float64Range(-5, 5).Draw(t, "mean"), math.Exp(rapid.Float64Range(-12, 3).Draw(t, "log variance")))
		r := math.Exp(rapid.Float64Range(-12, 3).Draw(t, "log noise"))
		y := l.Mean() + rapid.Float64Range(-1e3, 1e3).Draw(t, "distance")*math.Sqrt(l.Variance()+r)
		up := l.UpdateAbove(y, r)
		if up.Mean() < l.Mean() {
			t.Fatal("at least so much must never lower the mean")
		}
		if !(up.Variance() > 0) || up.Variance() > l.Variance() {
			t.Fatalf("variance %v after %v", up.Variance(), l.Variance())
		}
		// "At least y" says as much of the mean as "y", and more.
		if exact := l.Update(y, r); up.Mean() < exact.Mean()-1e-9*math.Abs(exact.Mean()) {
			t.Fatalf("at least %v gives %v, exactly gives %v", y, up.Mean(), exact.Mean())
		}
		higher := l.UpdateAbove(y+rapid.Float64Range(0, 10).Draw(t, "more"), r)
		if higher.Mean() < up.Mean()-1e-9*math.Abs(up.Mean()) {
			t.Fatal("a higher bound gives a lower mean")
		}
		down := l.AtMost(y, r)
		if down.Mean() > l.Mean() || down.Variance() != l.Variance() {
			t.Fatal("at most so much must never raise the mean, nor make it surer")
		}
		if y < l.Mean() && down.Mean() != l.Update(y, r).Mean() {
			t.Fatal("at most so much must lower a higher mean as the reading itself")
		}
	})
}

func TestLevelNear(t *testing.T) {
	l := NewLevel(0, 3) // with r = 1, one standard deviation is 2
	for _, c := range []struct{ y, want float64 }{{5, 5}, {-5, -5}, {100, 6}, {-100, -6}} {
		require.Equal(t, c.want, l.Near(c.y, 1, 3))
	}
}
