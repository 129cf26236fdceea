package trial

import (
	"math"
	"slices"
)

// Column is one figure of the table.
type Column int

// The columns.
const (
	EstimateError Column = iota // median |ln estimate − ln true level|, %
	InBand                      // heavy sets within Band points of the percentage asked for, of today's strength, %
	NotCompleted                // sets with fewer repetitions than asked for, %
	AboveCapacity               // sets that ask for more repetitions than the player has in him that day, even fresh, %
	AboveOneRM                  // sets with more than the player could lift once that day, %
	DoseMet                     // weeks at or above the minimum dose, %; sets made lighter for soreness, pain, a cap or a break count as written
	DoseFull                    // the same, where only sets count that are heavy by the card
	NearMatch                   // new or overload eccentric work inside 72 h before a match, count
	Breaches                    // hard-limit breaches of every kind, count
	Gain                        // strength at the end against the start, %
	Columns
)

// Band is how far, in points of % of today's strength, a heavy set may lie from
// the percentage the card asks for and still count as inside. Ours.
const Band = 5.0

// Title names a column.
func (c Column) Title() string {
	return [...]string{"estimate error", "in band", "not completed", "above capacity", "above 1RM", "dose met", "at full load", "ecc < 72 h", "breaches", "gain"}[c]
}

// tally is what is counted of one policy in one player-season.
type tally struct {
	errors              []float64 // |ln|
	bias                float64   // sum of ln
	sets, heavy, inBand int
	short, over, above  int
	weeks, met, full    int
	near, breaches      int
	gain                float64
	shortfalls, kinds   map[string]int
}

func (t *tally) count(m *map[string]int, what string) {
	if *m == nil {
		*m = map[string]int{}
	}
	(*m)[what]++
}

// result is a tally without its list.
type result struct {
	values [Columns]float64 // of the player-season; NaN where there is nothing
	hist   []uint32
	tally
}

const (
	histStep = 0.0002 // of |ln|
	histSize = 2500
)

func (t tally) result() result {
	r := result{tally: t}
	for i := range r.values {
		r.values[i] = math.NaN()
	}
	share := func(c Column, n, of int) {
		if of > 0 {
			r.values[c] = 100 * float64(n) / float64(of)
		}
	}
	if len(t.errors) > 0 {
		slices.Sort(t.errors)
		r.values[EstimateError] = 100 * t.errors[len(t.errors)/2]
		r.hist = make([]uint32, histSize)
		for _, e := range t.errors {
			r.hist[min(int(e/histStep), histSize-1)]++
		}
	}
	share(InBand, t.inBand, t.heavy)
	share(NotCompleted, t.short, t.sets)
	share(AboveCapacity, t.over, t.sets)
	share(AboveOneRM, t.above, t.sets)
	share(DoseMet, t.met, t.weeks)
	share(DoseFull, t.full, t.weeks)
	r.values[NearMatch], r.values[Breaches] = float64(t.near), float64(t.breaches)
	r.values[Gain] = t.gain
	return r
}
