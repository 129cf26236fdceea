package trial

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"

	"pegcard/prescribe"
)

// Options of a run.
type Options struct {
	Seasons   int             // player-seasons, at least 2
	Source    rand.Source     // of one seed a season and of the bootstrap
	Model     Model           // zero: DefaultModel
	Rules     prescribe.Rules // of the engine
	Workers   int             // 0: one a processor
	Resamples int             // of the bootstrap; 0: 1000
}

// MaxSeasons is the longest run.
const MaxSeasons = 1_000_000

// Report is what came out.
type Report struct {
	Seasons   int    `json:"seasons"`
	Weeks     int    `json:"weeks"` // of a season
	Engine    string `json:"engine"`
	RulesHash string `json:"rules_hash"`
	Rows      []Row  `json:"rows"` // the engine first
}

// Row is one policy.
type Row struct {
	Policy     string         `json:"policy"`
	Values     Values         `json:"values"`
	Bias       float64        `json:"estimate_bias"`   // mean of ln estimate − ln true level, %
	Sets       int            `json:"sets"`            // of the tested lifts
	Heavy      int            `json:"heavy_sets"`      // of them, those the band is judged by
	Weeks      int            `json:"dose_weeks"`      // with a lawful day and no medical stop
	Shortfalls map[string]int `json:"dose_shortfalls"` // why the minimum was missed
	Kinds      map[string]int `json:"breach_kinds"`
	Against    []Difference   `json:"against_engine,omitzero"` // by column
}

// Values are the figures of a row: shares are ratios of sums over all
// player-seasons, the estimate error is the median over all prescriptions,
// counts are sums, the gain is a mean.
type Values [Columns]float64

// Difference is policy − engine, the mean over player-seasons of the figures of
// one season, with a 95 % bootstrap interval of that mean. Both policies met the
// same season.
type Difference struct {
	Mean float64 `json:"mean"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
	N    int     `json:"n"` // seasons in which both have a figure
}

// MarshalJSON names the columns.
func (v Values) MarshalJSON() ([]byte, error) { return marshalColumns(v[:]) }

// Run plays player-seasons and compares. The same source, model and rules give
// the same report, whatever the number of workers.
func Run(ctx context.Context, o Options) (Report, error) {
	switch {
	case o.Seasons < 2 || o.Seasons > MaxSeasons:
		return Report{}, fmt.Errorf("%d player-seasons; a trial takes 2 to %d", o.Seasons, MaxSeasons)
	case o.Source == nil:
		return Report{}, fmt.Errorf("a trial needs a seeded source")
	}
	if o.Model.values == nil {
		o.Model = DefaultModel()
	}
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	if o.Resamples <= 0 {
		o.Resamples = 1000
	}
	seeds := make([]uint64, o.Seasons)
	for i := range seeds {
		seeds[i] = o.Source.Uint64()
	}
	results := make([][]result, o.Seasons)
	var wg sync.WaitGroup
	todo := make(chan int)
	for range min(o.Workers, o.Seasons) {
		wg.Go(func() {
			for i := range todo {
				results[i] = newSeason(o.Model, seeds[i], o.Rules).run()
			}
		})
	}
	err := func() error {
		defer close(todo)
		for i := range seeds {
			select {
			case todo <- i:
			case <-ctx.Done():
				return context.Cause(ctx)
			}
		}
		return nil
	}()
	wg.Wait()
	if err != nil {
		return Report{}, err
	}
	return summarise(o, results), nil
}

func summarise(o Options, results [][]result) Report {
	rep := Report{Seasons: o.Seasons, Weeks: Weeks, Engine: prescribe.EngineVersion, RulesHash: o.Rules.Hash()}
	for k, name := range rowNames() {
		rep.Rows = append(rep.Rows, rowOf(name, k, results))
	}
	rng := rand.New(rand.NewPCG(o.Source.Uint64(), 1))
	draws := make([][]int32, o.Resamples)
	for i := range draws {
		draws[i] = make([]int32, o.Seasons)
		for j := range draws[i] {
			draws[i][j] = int32(rng.IntN(o.Seasons))
		}
	}
	for k := 1; k < len(rep.Rows); k++ {
		for c := range Columns {
			d := make([]float64, o.Seasons)
			for i, r := range results {
				d[i] = r[k].values[c] - r[0].values[c]
			}
			rep.Rows[k].Against = append(rep.Rows[k].Against, difference(d, draws))
		}
	}
	return rep
}

func rowOf(name string, k int, results [][]result) Row {
	row := Row{Policy: name, Shortfalls: map[string]int{}, Kinds: map[string]int{}}
	var t tally
	hist, n := make([]int, histSize), 0
	for _, list := range results {
		r := list[k]
		for i, c := range r.hist {
			hist[i] += int(c)
			n += int(c)
		}
		t.bias += r.bias
		t.sets, t.heavy, t.inBand = t.sets+r.sets, t.heavy+r.heavy, t.inBand+r.inBand
		t.short, t.over, t.above = t.short+r.short, t.over+r.over, t.above+r.above
		t.weeks, t.met, t.full = t.weeks+r.weeks, t.met+r.met, t.full+r.full
		t.near, t.breaches = t.near+r.near, t.breaches+r.breaches
		t.gain += r.gain / float64(len(results))
		for why, c := range r.shortfalls {
			row.Shortfalls[why] += c
		}
		for what, c := range r.kinds {
			row.Kinds[what] += c
		}
	}
	row.Values = Values(t.result().values)
	row.Values[EstimateError] = medianOf(hist, n)
	row.Sets, row.Heavy, row.Weeks = t.sets, t.heavy, t.weeks
	if n > 0 {
		row.Bias = 100 * t.bias / float64(n)
	}
	return row
}

// medianOf is the median of the histogram, in %.
func medianOf(hist []int, n int) float64 {
	sum := 0
	for i, c := range hist {
		if sum += c; 2*sum >= n && n > 0 {
			return 100 * histStep * (float64(i) + 0.5)
		}
	}
	return math.NaN()
}

// difference is the mean with the percentiles of its bootstrap.
func difference(d []float64, draws [][]int32) Difference {
	mean := func(pick func(int) float64, n int) float64 {
		sum, k := 0.0, 0
		for i := range n {
			if v := pick(i); !math.IsNaN(v) {
				sum, k = sum+v, k+1
			}
		}
		return sum / float64(max(k, 1))
	}
	out := Difference{Mean: mean(func(i int) float64 { return d[i] }, len(d))}
	for _, v := range d {
		if !math.IsNaN(v) {
			out.N++
		}
	}
	means := make([]float64, len(draws))
	for b, pick := range draws {
		means[b] = mean(func(i int) float64 { return d[pick[i]] }, len(pick))
	}
	slices.Sort(means)
	at := func(p float64) float64 { return means[int(math.Round(p*float64(len(means)-1)))] }
	out.Low, out.High = at(0.025), at(0.975)
	return out
}
