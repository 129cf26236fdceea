package prescribe_test

import (
	"math"
	"testing"
	"time"

	"pegcard/prescribe"
)

// One update of a player's record of a lift: a reported first set of a session,
// every third day, read, judged and taken in. The floor is a scalar filter of
// the local level that takes the same observations in.
func BenchmarkFloorUpdate(b *testing.B) {
	ex, ok := prescribe.Lookup("back_squat")
	if !ok {
		b.Fatal("no back squat")
	}
	rules := prescribe.DefaultRules()
	day := prescribe.Day(20_000)
	sets := make([]prescribe.Set, 64)
	for i := range sets {
		rir := prescribe.RIR(1 + i%3)
		sets[i] = prescribe.Set{Exercise: ex.ID, Load: prescribe.Kg(100 + i%4*5/2), Reps: 5, Asked: 5, RIR: &rir, Ordinal: 1, Scheme: "percent", Intended: 80}
	}
	warm := func() (rec prescribe.Record) {
		for i, s := range sets {
			rec = rec.Observe(s, "warm", ex, 80, day+prescribe.Day(3*i), rules)
		}
		return rec
	}
	known := warm()
	start := day + prescribe.Day(3*len(sets))
	const updates = 256
	var ours, floor time.Duration
	var sink float64
	for b.Loop() {
		rec := known
		began := time.Now()
		for i := range updates {
			rec = rec.Observe(sets[i%len(sets)], "bench", ex, 80, start+prescribe.Day(3*i), rules)
		}
		ours += time.Since(began)
		sink += rec.Mean

		mean, variance := known.Mean, known.Var
		began = time.Now()
		for i := range updates {
			s := sets[i%len(sets)]
			f, _ := prescribe.Fraction(s.Reps + int(*s.RIR))
			y := math.Log(float64(s.Load)) - math.Log(float64(f)/100)
			variance += 3 * 1e-5
			gain := variance / (variance + 2e-3)
			mean += gain * (y - mean)
			variance *= 1 - gain
		}
		floor += time.Since(began)
		sink += mean
	}
	if math.IsNaN(sink) {
		b.Fatal("no number")
	}
	b.ReportMetric(ours.Seconds()/floor.Seconds(), "x-floor")
	b.ReportMetric(float64(ours.Nanoseconds())/float64(b.N*updates), "ns/update")
	b.ReportMetric(testing.AllocsPerRun(100, func() { known.Observe(sets[0], "bench", ex, 80, start, rules) }), "allocs")
}
