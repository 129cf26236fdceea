package prescribe

import (
	"cmp"
	"math"
	"slices"
)

// Built is a load that can be put together.
type Built struct {
	Load    Kg     `json:"load"` // as the exercise's LoadKind counts it
	Bar     Kg     `json:"bar,omitempty"`
	BarKind string `json:"bar_kind,omitempty"`
	Plates  []Kg   `json:"plates,omitempty"` // a side, heaviest first
}

// Loads are added up as whole milligrams, so that no sum of discs is off by a
// rounding error. Targets are met to half a gram: the same load written in
// pounds and in kilograms is the same load.
const (
	milligrams = 1e6
	halfGram   = 500
	heaviest   = Kg(2000) // nothing is loaded beyond this
)

func toMilligrams(k Kg) int64 { return int64(math.Round(float64(k) * milligrams)) }
func toKg(mg int64) Kg        { return Kg(float64(mg) / milligrams) }

// Build is the greatest load at or below target that the equipment allows; it
// never rounds up. It is false when nothing can be built: no bar, no dumbbell
// light enough, or a target below the empty bar or below bodyweight. Where the
// load is not a mass (band, floor, flywheel) there is nothing to build, and it
// is true with a load of 0.
//
// Of several bars the one that comes closest is taken, then the heaviest. Of
// several ways to load a bar, the one with the heaviest discs innermost.
func Build(target Kg, ex Exercise, eq Equipment) (Built, bool) {
	return choose(target, ex, eq, false)
}

// NextUp is the smallest load above load that the equipment allows, chosen as
// Build does; false when there is none.
func NextUp(load Kg, ex Exercise, eq Equipment) (Built, bool) {
	return choose(load, ex, eq, true)
}

func choose(target Kg, ex Exercise, eq Equipment, above bool) (Built, bool) {
	if !(target >= 0 && target <= heaviest) {
		return Built{}, false
	}
	switch ex.LoadKind {
	case LoadBar:
		return chooseBar(target, ex.BarKind, eq, above)
	case LoadDumbbells:
		return chooseMass(target, eq.Dumbbells, above)
	case LoadBodyweight: // one mass at a time, or none
		return chooseMass(target, append([]Kg{0}, eq.Added...), above)
	}
	return Built{}, !above
}

func chooseMass(target Kg, masses []Kg, above bool) (Built, bool) {
	best, found := Kg(0), false
	limit := toMilligrams(target) + halfGram
	for _, m := range masses {
		switch mg := toMilligrams(m); {
		case above && mg > limit && (!found || m < best):
			best, found = m, true
		case !above && mg <= limit && (!found || m > best):
			best, found = m, true
		}
	}
	return Built{Load: best}, found
}

func chooseBar(target Kg, kind string, eq Equipment, above bool) (Built, bool) {
	discs := discsOf(eq.Plates)
	bars := slices.Clone(eq.Bars)
	slices.SortFunc(bars, func(a, b Bar) int { return cmp.Compare(b.Mass, a.Mass) })
	best, found := Built{}, false
	for _, bar := range bars {
		if bar.Kind != kind {
			continue
		}
		rest := toMilligrams(target) + halfGram - toMilligrams(bar.Mass)
		var counts []int
		var ok bool
		switch {
		case above && rest < 0: // the empty bar is more already
			counts, ok = make([]int, len(discs)), true
		case above:
			counts, ok = discs.least(rest/2 + 1)
		case rest >= 0:
			counts, ok = discs.most(rest / 2)
		}
		if !ok {
			continue
		}
		b := Built{Bar: bar.Mass, BarKind: kind}
		side := int64(0)
		for i, d := range discs {
			side += int64(counts[i]) * d.mg
			for range counts[i] {
				b.Plates = append(b.Plates, d.mass)
			}
		}
		b.Load = toKg(toMilligrams(bar.Mass) + 2*side)
		if !found || above && b.Load < best.Load || !above && b.Load > best.Load {
			best, found = b, true
		}
	}
	return best, found
}

// disc is a plate mass and how many of it fit on one side.
type disc struct {
	mass  Kg
	mg    int64
	pairs int
}

// rack is the discs of one side, heaviest first, each mass once.
type rack []disc

func discsOf(plates []Plate) rack {
	var all rack
	for _, p := range plates {
		if mg := toMilligrams(p.Mass); mg > 0 && p.Mass <= heaviest && p.Pairs > 0 {
			all = append(all, disc{p.Mass, mg, min(p.Pairs, int(toMilligrams(heaviest)/mg))})
		}
	}
	slices.SortFunc(all, func(a, b disc) int { return cmp.Compare(b.mg, a.mg) })
	var merged rack
	for _, d := range all {
		if n := len(merged); n > 0 && merged[n-1].mg == d.mg {
			merged[n-1].pairs += d.pairs
			continue
		}
		merged = append(merged, d)
	}
	return merged
}

// search is a bounded exact search over the discs. Every state (which disc,
// what is left) is worked out once; there are no more of them than sums that
// can be made, and the search ends early when no sum can be better.
type search struct {
	discs rack
	step  []int64 // greatest common divisor of disc i and all lighter ones
	seen  map[searchKey]int64
}

type searchKey struct {
	disc int
	left int64
}

func (k rack) search() search {
	s := search{discs: k, step: make([]int64, len(k)+1), seen: map[searchKey]int64{}}
	for i := len(k) - 1; i >= 0; i-- {
		s.step[i] = gcd(k[i].mg, s.step[i+1])
	}
	return s
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// most is the counts of discs with the greatest sum at or below limit ≥ 0.
func (k rack) most(limit int64) ([]int, bool) {
	s := k.search()
	return s.counts(limit, s.most), true
}

// most is the greatest sum of discs i and lighter at or below left.
func (s search) most(i int, left int64) int64 {
	if i == len(s.discs) {
		return 0
	}
	key := searchKey{i, left}
	if sum, ok := s.seen[key]; ok {
		return sum
	}
	d := s.discs[i]
	best, ideal := int64(0), left-left%s.step[i]
	for n := min(int64(d.pairs), left/d.mg); n >= 0; n-- {
		best = max(best, n*d.mg+s.most(i+1, left-n*d.mg))
		if best == ideal {
			break
		}
	}
	s.seen[key] = best
	return best
}

// least is the counts of discs with the smallest sum at or above need ≥ 1; it
// is false when all of them are less.
func (k rack) least(need int64) ([]int, bool) {
	s := k.search()
	if s.least(0, need) == tooMuch {
		return nil, false
	}
	return s.counts(need, s.least), true
}

const tooMuch = math.MaxInt64

// least is the smallest sum of discs i and lighter at or above need, or
// tooMuch.
func (s search) least(i int, need int64) int64 {
	if need <= 0 {
		return 0
	}
	if i == len(s.discs) {
		return tooMuch
	}
	key := searchKey{i, need}
	if sum, ok := s.seen[key]; ok {
		return sum
	}
	d := s.discs[i]
	best, ideal := int64(tooMuch), (need+s.step[i]-1)/s.step[i]*s.step[i]
	for n := min(int64(d.pairs), (need+d.mg-1)/d.mg); n >= 0; n-- {
		if rest := s.least(i+1, need-n*d.mg); rest != tooMuch {
			best = min(best, n*d.mg+rest)
		}
		if best == ideal {
			break
		}
	}
	s.seen[key] = best
	return best
}

// counts reads the discs back out of the sums, most of the heaviest first.
func (s search) counts(left int64, sum func(int, int64) int64) []int {
	counts := make([]int, len(s.discs))
	for i, d := range s.discs {
		want := sum(i, left)
		for n := min(int64(d.pairs), want/d.mg); n >= 0; n-- {
			if rest := sum(i+1, left-n*d.mg); rest != tooMuch && n*d.mg+rest == want {
				counts[i] = int(n)
				left -= n * d.mg
				break
			}
		}
	}
	return counts
}

// WarmupSets are the sets to show before a working load at pct % of 1RM, written
// as intended %: none below warmup.from, unless it was only rounding down, of
// dose.rounding at most, that took it there; then 50, 70 and 80 % of 1RM by
// rule, each rounded down to what can be built. A step that cannot be built, that
// is as heavy as the work or that builds to the load of the step before is left
// out. For bodyweight exercises, of whose total half cannot be taken, it is one
// set without added load.
func WarmupSets(load Kg, pct, intended Percent, ex Exercise, eq Equipment, r Rules) []Warmup {
	from := r.Num("warmup.from")
	if float64(intended) >= from {
		from -= r.Num("dose.rounding")
	}
	if !(float64(pct) >= from) || !(load > 0) {
		return nil
	}
	steps := []struct {
		percent float64
		reps    int
	}{
		{r.Num("warmup.first_percent"), r.Int("warmup.first_reps")},
		{r.Num("warmup.second_percent"), r.Int("warmup.second_reps")},
		{r.Num("warmup.third_percent"), r.Int("warmup.third_reps")},
	}
	switch ex.LoadKind {
	case LoadBodyweight:
		return []Warmup{{Load: 0, Reps: steps[0].reps}}
	case LoadBar, LoadDumbbells:
	default:
		return nil
	}
	var sets []Warmup
	for _, s := range steps {
		b, ok := Build(load*Kg(s.percent/float64(pct)), ex, eq)
		if !ok || b.Load >= load || len(sets) > 0 && b.Load <= sets[len(sets)-1].Load {
			continue
		}
		sets = append(sets, Warmup{Load: b.Load, Reps: s.reps, Plates: b.Plates})
	}
	return sets
}
