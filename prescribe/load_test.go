package prescribe_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	. "pegcard/prescribe"
)

// The target of a percentage is a float; it must not fall short of a load by a
// rounding error.
func TestBuildAtTheEdge(t *testing.T) {
	eq := gym.Equipment
	for _, target := range []Kg{102.5, 102.49999999999999, 102.50000000000001, 0.85 * 120.58823529411765, 102.5 - 0.0004} {
		got, ok := Build(target, squat(t), eq)
		require.True(t, ok)
		require.Equal(t, Kg(102.5), got.Load, "%v", target)
		require.Equal(t, []Kg{20, 20, 1.25}, got.Plates)
	}
	got, _ := Build(102.499, squat(t), eq)
	require.Equal(t, Kg(100), got.Load)
}

// A pound gym: 45 lb bar and plates build 225 lb, written in kilograms.
func TestBuildPounds(t *testing.T) {
	lb := func(v float64) Kg { return Kg(v * KgPerLb) }
	eq := Equipment{Bars: []Bar{{"straight", lb(45)}}, Plates: []Plate{{lb(45), 4}, {lb(25), 1}, {lb(10), 2}, {lb(5), 1}, {lb(2.5), 1}}}
	for _, want := range []float64{45, 135, 225, 230, 245, 315} {
		got, ok := Build(lb(want), squat(t), eq)
		require.True(t, ok)
		require.InDelta(t, float64(lb(want)), float64(got.Load), 1e-5, "%v lb", want)
		below, ok := Build(lb(want)-0.01, squat(t), eq)
		if want == 45 {
			require.False(t, ok)
			continue
		}
		require.Less(t, below.Load, got.Load)
	}
}

func TestBuildChoosesTheBar(t *testing.T) {
	eq := Equipment{Bars: []Bar{{"straight", 15}, {"trap", 25}, {"straight", 20}}, Plates: []Plate{{10, 1}, {2.5, 1}, {10, 1}}}
	for _, c := range []struct{ target, load, bar Kg }{
		{60, 60, 20},   // 20 + 2·20
		{65, 65, 20},   // 20 + 2·22.5; with 15 only 60
		{56, 55, 15},   // 15 + 2·20; with 20 only 45
		{15.5, 15, 15}, // below the heavier bar
		{40, 40, 20},   // 20 + 2·10, as well 15 + 2·12.5: the heavier bar
		{1999, 65, 20}, // all there is
	} {
		got, ok := Build(c.target, squat(t), eq)
		require.True(t, ok)
		require.Equal(t, c.load, got.Load, "%v", c.target)
		require.Equal(t, c.bar, got.Bar, "%v", c.target)
		require.Equal(t, "straight", got.BarKind)
	}
	trap, ok := Build(46, lift(t, "trap_bar_deadlift"), eq)
	require.True(t, ok)
	require.Equal(t, Built{Load: 45, Bar: 25, BarKind: "trap", Plates: []Kg{10}}, trap)
	_, ok = Build(100, lift(t, "leg_press"), eq)
	require.False(t, ok, "no sled")
}

func TestBuildOtherLoads(t *testing.T) {
	eq := Equipment{Dumbbells: []Kg{30, 10, 20}, Added: []Kg{10, 5}}
	row := lift(t, "dumbbell_row")
	got, ok := Build(29.9, row, eq)
	require.True(t, ok)
	require.Equal(t, Built{Load: 20}, got)
	_, ok = Build(9, row, eq)
	require.False(t, ok, "no dumbbell is light enough")
	_, ok = Build(50, row, Equipment{})
	require.False(t, ok)

	pullUp := lift(t, "pull_up")
	for target, want := range map[Kg]Kg{0: 0, 4: 0, 5: 5, 14: 10} {
		got, ok = Build(target, pullUp, eq)
		require.True(t, ok)
		require.Equal(t, want, got.Load)
	}
	_, ok = Build(-3, pullUp, eq)
	require.False(t, ok, "the body is more than the target")

	for _, id := range []ExerciseID{"dead_bug", "flywheel_squat"} {
		got, ok = Build(50, lift(t, id), eq)
		require.True(t, ok)
		require.Equal(t, Built{}, got)
		_, ok = NextUp(50, lift(t, id), eq)
		require.False(t, ok)
	}
	for _, bad := range []Kg{Kg(math.NaN()), Kg(math.Inf(1)), -1, 1e9} {
		_, ok = Build(bad, squat(t), gym.Equipment)
		require.False(t, ok)
		_, ok = NextUp(bad, squat(t), gym.Equipment)
		require.False(t, ok)
	}
	// What cannot be a plate is no plate.
	odd := Equipment{Bars: []Bar{{"straight", 20}}, Plates: []Plate{{-5, 2}, {0, 2}, {Kg(math.NaN()), 1}, {5, 0}, {5e6, 1}, {10, 1 << 40}}}
	got, ok = Build(61, squat(t), odd)
	require.True(t, ok)
	require.Equal(t, []Kg{10, 10}, got.Plates)
}

func TestNextUp(t *testing.T) {
	eq := Equipment{
		Bars:      []Bar{{"straight", 20}, {"straight", 15}},
		Plates:    []Plate{{20, 1}, {5, 1}, {2.5, 1}},
		Dumbbells: []Kg{10, 20}, Added: []Kg{5, 10},
	}
	for _, c := range []struct{ load, want Kg }{
		{0, 15}, {15, 20}, {20, 25}, {30, 35}, {60, 65}, {65, 70}, {74.9, 75},
	} {
		got, ok := NextUp(c.load, squat(t), eq)
		require.True(t, ok)
		require.Equal(t, c.want, got.Load, "above %v", c.load)
	}
	_, ok := NextUp(75, squat(t), eq)
	require.False(t, ok, "that is all there is")
	got, ok := NextUp(10, lift(t, "dumbbell_row"), eq)
	require.True(t, ok)
	require.Equal(t, Kg(20), got.Load)
	_, ok = NextUp(20, lift(t, "dumbbell_row"), eq)
	require.False(t, ok)
	got, ok = NextUp(0, lift(t, "pull_up"), eq)
	require.True(t, ok)
	require.Equal(t, Kg(5), got.Load)
}

// Against every combination there is.
func TestBuildIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		eq := Equipment{Bars: []Bar{{"straight", Kg(rapid.SampledFrom([]float64{7, 15, 20, 20.41}).Draw(t, "bar"))}}}
		if rapid.Bool().Draw(t, "second bar") {
			eq.Bars = append(eq.Bars, Bar{"straight", 10})
		}
		masses := []float64{25, 20, 15, 11.34, 10, 5, 2.5, 1.25, 1.134, 0.5}
		for range rapid.IntRange(0, 5).Draw(t, "kinds") {
			eq.Plates = append(eq.Plates, Plate{Kg(rapid.SampledFrom(masses).Draw(t, "mass")), rapid.IntRange(0, 3).Draw(t, "pairs")})
		}
		target := Kg(rapid.Float64Range(0, 300).Draw(t, "target"))
		sums := []int64{0}
		for _, p := range eq.Plates {
			var more []int64
			for _, s := range sums {
				for n := 0; n <= p.Pairs; n++ {
					more = append(more, s+int64(n)*int64(math.Round(float64(p.Mass)*1e6)))
				}
			}
			sums = more
		}
		most, least := int64(-1), int64(math.MaxInt64)
		limit := int64(math.Round(float64(target)*1e6)) + 500
		for _, bar := range eq.Bars {
			for _, s := range sums {
				switch total := int64(math.Round(float64(bar.Mass)*1e6)) + 2*s; {
				case total <= limit:
					most = max(most, total)
				default:
					least = min(least, total)
				}
			}
		}
		got, ok := Build(target, squat(t), eq)
		if ok != (most >= 0) || ok && got.Load != Kg(float64(most)/1e6) {
			t.Fatalf("built %v %v, best is %v mg", got, ok, most)
		}
		if ok {
			requireBuilt(t, got, eq)
			if got.Load > target+0.001 {
				t.Fatal("rounded up")
			}
		}
		up, ok := NextUp(target, squat(t), eq)
		if ok != (least < math.MaxInt64) || ok && up.Load != Kg(float64(least)/1e6) {
			t.Fatalf("next up %v %v, least is %v mg", up, ok, least)
		}
		if ok {
			requireBuilt(t, up, eq)
		}
	})
}

// requireBuilt checks that a load is the sum of its parts, that the parts are
// there, and that the discs stand heaviest first.
func requireBuilt(t *rapid.T, b Built, eq Equipment) {
	total := float64(b.Bar)
	left := map[Kg]int{}
	for _, p := range eq.Plates {
		left[p.Mass] += p.Pairs
	}
	for i, p := range b.Plates {
		total += 2 * float64(p)
		left[p]--
		if left[p] < 0 {
			t.Fatalf("%v is not there", p)
		}
		if i > 0 && p > b.Plates[i-1] {
			t.Fatal("heaviest first")
		}
	}
	if math.Abs(total-float64(b.Load)) > 1e-5 {
		t.Fatalf("%v is not %v", total, b.Load)
	}
}

// A wide set of discs that do not fit together stays quick: the search is
// bounded.
func TestBuildIsBounded(t *testing.T) {
	eq := Equipment{Bars: []Bar{{"straight", 20}}}
	for _, m := range []float64{25, 20.41166, 20, 15.87573, 15, 11.33981, 10, 5, 4.53592, 2.5, 2.26796, 1.25, 1.13398} {
		eq.Plates = append(eq.Plates, Plate{Kg(m), 4})
	}
	got, ok := Build(313.37, squat(t), eq)
	require.True(t, ok)
	require.LessOrEqual(t, got.Load, Kg(313.3705))
	require.Greater(t, got.Load, Kg(313.2))
	up, ok := NextUp(got.Load, squat(t), eq)
	require.True(t, ok)
	require.Greater(t, up.Load, got.Load)
}

func TestWarmup(t *testing.T) {
	r := DefaultRules()
	eq := gym.Equipment
	// 120 kg at 85 %: 1RM 141.2, so 70.6, 98.8 and 112.9 rounded down.
	got := WarmupSets(120, 85, 85, squat(t), eq, r)
	require.Equal(t, []Warmup{
		{Load: 70, Reps: 5, Plates: []Kg{20, 5}},
		{Load: 97.5, Reps: 3, Plates: []Kg{20, 10, 5, 2.5, 1.25}},
		{Load: 112.5, Reps: 1, Plates: []Kg{20, 20, 5, 1.25}},
	}, got)

	require.Empty(t, WarmupSets(120, 79.9, 79.9, squat(t), eq, r), "not heavy")
	require.Len(t, WarmupSets(120, 79.9, 80, squat(t), eq, r), 2, "written at 80 %, rounded down")
	require.Len(t, WarmupSets(120, 76, 80, squat(t), eq, r), 2)
	require.Empty(t, WarmupSets(120, 75.9, 80, squat(t), eq, r), "more than rounding took it there")
	require.Empty(t, WarmupSets(0, 85, 85, squat(t), eq, r))
	require.Empty(t, WarmupSets(120, Percent(math.NaN()), Percent(math.NaN()), squat(t), eq, r))
	require.Len(t, WarmupSets(120, 80, 80, squat(t), eq, r), 2, "the step as heavy as the work is left out")
	require.Equal(t, []Warmup{{Load: 20, Reps: 3}}, WarmupSets(25, 85, 85, squat(t),
		Equipment{Bars: eq.Bars, Plates: []Plate{{2.5, 1}}}, r), "half is below the bar; steps that build to the same load are one")
	require.Equal(t, []Warmup{{Load: 20, Reps: 3}}, WarmupSets(30, 80, 80, lift(t, "dumbbell_row"), Equipment{Dumbbells: []Kg{20, 30}}, r),
		"a step below the lightest dumbbell is left out")
	require.Equal(t, []Warmup{{Load: 20, Reps: 3}, {Load: 27.5, Reps: 2}}, WarmupSets(30, 80, 80, lift(t, "dumbbell_row"), Equipment{Dumbbells: []Kg{20, 27.5, 30}},
		withRule(t, withRule(t, r, "warmup.third_percent", 75), "warmup.third_reps", 2)), "the club's own steps")
	require.Equal(t, []Warmup{{Load: 0, Reps: 5}}, WarmupSets(20, 85, 85, lift(t, "pull_up"), eq, r))
	require.Empty(t, WarmupSets(20, 85, 85, lift(t, "dead_bug"), eq, r))
}

func withRule(t *testing.T, r Rules, id string, v float64) Rules {
	r, err := r.With(id, v)
	require.NoError(t, err)
	return r
}
