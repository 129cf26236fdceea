package trial

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"text/tabwriter"
)

// Floor is what the engine has to reach in a column.
type Floor struct {
	Column Column
	Limit  float64
	Least  bool // at least, else at most
}

// Floors of the engine.
func Floors() []Floor {
	return []Floor{{EstimateError, 3, false}, {AboveCapacity, 2, false}, {DoseMet, 95, true}, {NearMatch, 0, false}, {Breaches, 0, false}}
}

// Met reports whether a value reaches the floor. A value that is not a number
// does not.
func (f Floor) Met(v float64) bool {
	if f.Least {
		return v >= f.Limit
	}
	return v <= f.Limit
}

func (f Floor) String() string {
	sign := "≤"
	if f.Least {
		sign = "≥"
	}
	return fmt.Sprintf("%s %s %v", f.Column.Title(), sign, f.Limit)
}

// engines: the column rests on days, sets and limits, which are the engine's in
// every row.
func (c Column) engines() bool { return c == DoseMet || c == DoseFull || c.counts() }

func (c Column) counts() bool { return c == NearMatch || c == Breaches }

func (c Column) format(v float64) string {
	switch {
	case math.IsNaN(v):
		return "–"
	case c.counts():
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.2f %%", v)
}

// WriteTable prints the report: the figures, the differences to the engine with
// their intervals, and the floors.
func (r Report) WriteTable(out io.Writer) error {
	fmt.Fprintf(out, "%d player-seasons of %d weeks, engine %s, rules %.8s\n\n", r.Seasons, r.Weeks, r.Engine, r.RulesHash)
	w := tabwriter.NewWriter(out, 0, 4, 2, ' ', tabwriter.AlignRight)
	head := []string{"policy"}
	for c := range Columns {
		head = append(head, c.Title())
	}
	fmt.Fprintln(w, strings.Join(head, "\t")+"\t")
	for i, row := range r.Rows {
		cells := []string{row.Policy}
		for c := range Columns {
			if i > 0 && c.engines() {
				cells = append(cells, "same")
				continue
			}
			cells = append(cells, c.format(row.Values[c]))
		}
		fmt.Fprintln(w, strings.Join(cells, "\t")+"\t")
	}
	if err := w.Flush(); err != nil {
		return err
	}
	fmt.Fprintln(out)
	w = tabwriter.NewWriter(out, 0, 4, 2, ' ', tabwriter.AlignRight)
	head = []string{"minus engine"}
	for c := range Columns {
		if !c.engines() {
			head = append(head, c.Title())
		}
	}
	fmt.Fprintln(w, strings.Join(head, "\t")+"\t")
	for _, row := range r.Rows[1:] {
		cells := []string{row.Policy}
		for c, d := range row.Against {
			if !Column(c).engines() {
				cells = append(cells, d.String())
			}
		}
		fmt.Fprintln(w, strings.Join(cells, "\t")+"\t")
	}
	if err := w.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(out, "\nDifferences are means over player-seasons with 95 %% bootstrap intervals, in points; both met the same season.\n\nFloors of the engine:\n")
	for _, f := range Floors() {
		verdict := "reached"
		if !f.Met(r.Rows[0].Values[f.Column]) {
			verdict = "NOT reached"
		}
		fmt.Fprintf(out, "  %s: %s, %s\n", f, f.Column.format(r.Rows[0].Values[f.Column]), verdict)
	}
	e := r.Rows[0]
	fmt.Fprintf(out, "\nEngine: estimates lie %+.2f %% from the true level on average; %d sets of tested lifts, %d of them heavy.\n", e.Bias, e.Sets, e.Heavy)
	fmt.Fprintf(out, "Weeks below the minimum dose, of %d: %s\n", e.Weeks, counted(e.Shortfalls))
	_, err := fmt.Fprintf(out, "Hard-limit breaches: %s\n", counted(e.Kinds))
	return err
}

func (d Difference) String() string {
	return fmt.Sprintf("%+.2f [%+.2f, %+.2f]", d.Mean, d.Low, d.High)
}

func counted(m map[string]int) string {
	var list []string
	for _, k := range sortedKeys(m) {
		list = append(list, fmt.Sprintf("%s %d", k, m[k]))
	}
	if len(list) == 0 {
		return "none"
	}
	return strings.Join(list, "; ")
}

func sortedKeys(m map[string]int) []string {
	var keys []string
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

func marshalColumns(v []float64) ([]byte, error) {
	m := map[string]*float64{}
	for i, x := range v {
		name := strings.NewReplacer(" < ", "_within_", " ", "_").Replace(Column(i).Title())
		if math.IsNaN(x) {
			m[name] = nil
			continue
		}
		m[name] = &x
	}
	return json.Marshal(m)
}
