package prescribe

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// Marks say how well a number is founded. A published number names its source.
// One of ours may name the publication it was chosen in the light of.
const (
	MarkPublished = "pub"  // read in the source named
	MarkMemory    = "mem"  // published, but the value is quoted from memory
	MarkPractice  = "prac" // common practice, no single source
	MarkOurs      = "ours" // this project's own choice
)

// Rule is one threshold of the engine: everything a coach or a doctor may
// want to question or change, with where it comes from.
type Rule struct {
	ID     string  `json:"id"` // "record.quantile": the concept, a dot, the number
	Value  float64 `json:"value"`
	Unit   string  `json:"unit"`
	Min    float64 `json:"min"` // allowed range, both ends included
	Max    float64 `json:"max"`
	Mark   string  `json:"mark"`             // MarkPublished, MarkMemory, MarkPractice or MarkOurs
	Source string  `json:"source,omitempty"` // key of Bibliography
	Note   string  `json:"note"`
	Whole  bool    `json:"whole,omitempty"` // only whole numbers make sense; read with Int
}

// ruleBook is the table in both forms it is read in.
type ruleBook struct {
	sorted []Rule
	byID   map[string]Rule
}

var readRules = sync.OnceValue(func() ruleBook {
	b := ruleBook{sorted: slices.Concat(strengthRules(), decisionRules()), byID: map[string]Rule{}}
	slices.SortFunc(b.sorted, func(x, y Rule) int { return cmp.Compare(x.ID, y.ID) })
	for _, r := range b.sorted {
		b.byID[r.ID] = r
	}
	return b
})

// RuleTable lists every rule with its default value, by ID.
func RuleTable() []Rule { return slices.Clone(readRules().sorted) }

// Rules is the set of values in force: the defaults of RuleTable and what a
// club changed. The zero value is the defaults. Its JSON holds the changes
// only. A Rules value is never changed, so it may be shared.
type Rules struct {
	changed map[string]float64
}

// DefaultRules is the table unchanged.
func DefaultRules() Rules { return Rules{} }

// With is r with one value changed. The error says what may be written
// instead.
func (r Rules) With(id string, v float64) (Rules, error) {
	rule, ok := readRules().byID[id]
	if !ok {
		return r, fmt.Errorf("there is no rule %q; %s", id, similarRules(id))
	}
	switch {
	case math.IsNaN(v) || v < rule.Min || v > rule.Max:
		return r, fmt.Errorf("rule %s is %s; write a number from %s to %s (%s)", id, number(v), number(rule.Min), number(rule.Max), rule.Unit)
	case rule.Whole && v != math.Trunc(v):
		return r, fmt.Errorf("rule %s is %s; write a whole number from %s to %s (%s)", id, number(v), number(rule.Min), number(rule.Max), rule.Unit)
	}
	next := maps.Clone(r.changed)
	if v == rule.Value {
		delete(next, id)
	} else {
		if next == nil {
			next = map[string]float64{}
		}
		next[id] = v
	}
	if len(next) == 0 {
		next = nil
	}
	return Rules{changed: next}, nil
}

// Num is the value in force. An unknown id is a programming error and panics;
// a test reads every id out of the source.
func (r Rules) Num(id string) float64 {
	if v, ok := r.changed[id]; ok {
		return v
	}
	rule, ok := readRules().byID[id]
	if !ok {
		panic("prescribe: no rule " + strconv.Quote(id))
	}
	return rule.Value
}

// Int is the value in force of a rule for which only whole numbers make
// sense.
func (r Rules) Int(id string) int { return int(math.Round(r.Num(id))) }

// Changed lists the ids a club changed, sorted.
func (r Rules) Changed() []string { return slices.Sorted(maps.Keys(r.changed)) }

// Hash names the values in force: it changes when any of them does, whether
// the club's or the default. 32 hexadecimal digits.
func (r Rules) Hash() string {
	h := sha256.New()
	for _, rule := range readRules().sorted {
		fmt.Fprintf(h, "%s=%s\n", rule.ID, number(r.Num(rule.ID)))
	}
	return hex.EncodeToString(h.Sum(nil)[:16])
}

// MarshalJSON writes the changed values, by id.
func (r Rules) MarshalJSON() ([]byte, error) {
	if r.changed == nil {
		return []byte("{}"), nil
	}
	return json.Marshal(r.changed)
}

// UnmarshalJSON reads what MarshalJSON writes and checks every value as With
// does.
func (r *Rules) UnmarshalJSON(b []byte) error {
	var m map[string]float64
	if err := json.Unmarshal(b, &m); err != nil {
		return fmt.Errorf("rules: %w", err)
	}
	next := Rules{}
	for _, id := range slices.Sorted(maps.Keys(m)) {
		var err error
		if next, err = next.With(id, m[id]); err != nil {
			return err
		}
	}
	*r = next
	return nil
}

// similarRules helps a person who mistyped an id.
func similarRules(id string) string {
	group, _, _ := strings.Cut(id, ".")
	var same []string
	for _, r := range readRules().sorted {
		if strings.HasPrefix(r.ID, group+".") {
			same = append(same, r.ID)
		}
	}
	if len(same) == 0 {
		return "the first part is one of " + strings.Join(ruleGroups(), ", ")
	}
	return "write one of " + strings.Join(same, ", ")
}

func ruleGroups() []string {
	seen := map[string]bool{}
	for _, r := range readRules().sorted {
		group, _, _ := strings.Cut(r.ID, ".")
		seen[group] = true
	}
	return slices.Sorted(maps.Keys(seen))
}

// number is the shortest decimal that reads back as v.
func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
