package clubfile

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"pegcard/prescribe"
	"pegcard/store"
)

// ReadRules reads rules.toml. name is how the file is called in problems.
func ReadRules(r io.Reader, name string) (*store.RulesDef, []*Problem) {
	ps := &problems{file: name}
	t, text := openTOML(r, ps)
	if t == nil {
		return nil, ps.sorted()
	}
	d := &store.RulesDef{Values: map[string]float64{}, Source: text}
	table := map[string]prescribe.Rule{}
	for _, r := range prescribe.RuleTable() {
		table[r.ID] = r
	}
	readRuleTable(t, "", table, d.Values)
	return d, ps.sorted()
}

// readRuleTable reads the numbers of a table and of the tables in it; the names
// joined with dots are the rule's id.
func readRuleTable(t *tomlTable, prefix string, table map[string]prescribe.Rule, out map[string]float64) {
	for _, k := range slices.Sorted(maps.Keys(t.values)) {
		id := join(prefix, k)
		var v float64
		switch x := t.values[k].(type) {
		case map[string]any:
			readRuleTable(&tomlTable{ps: t.ps, places: t.places, path: join(t.path, k), values: x}, id, table, out)
			continue
		case int64:
			v = float64(x)
		case float64:
			v = x
		default:
			t.mistyped(k, x, "a number without quotation marks")
			continue
		}
		rule, ok := table[id]
		if !ok {
			p := t.place(k)
			if kp, ok := t.places.key[join(t.path, k)]; ok {
				p = kp
			}
			mend := "take it out; “pegcard rules” lists them all"
			if n := nearest(id, slices.Sorted(maps.Keys(table))); n != "" {
				mend = fmt.Sprintf("write %q", n)
			}
			t.ps.add(p.line, p.column, fmt.Sprintf("there is no rule %q", id), mend)
			continue
		}
		if _, err := prescribe.DefaultRules().With(id, v); err != nil {
			what, mend, cut := strings.Cut(err.Error(), "; ")
			if !cut {
				mend = fmt.Sprintf("write a number from %v to %v (%s), or leave it out: it is %v then", rule.Min, rule.Max, rule.Unit, rule.Value)
			}
			p := t.place(k)
			t.ps.add(p.line, p.column, what, mend)
			continue
		}
		out[id] = v
	}
}
