package prescribe_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
)

// unnoticed are the rules, and the ways to move them, that no case notices: the
// test that holds them, or "open" where none does yet.
var unnoticed = map[string]string{
	"dose.heavy_gap down":       "TestGapsAreToldOnce",
	"load.keep_days down":       "open",
	"load.keep_days up":         "open",
	"load.top_days down":        "open",
	"load.top_days up":          "open",
	"record.bias_failures down": "TestReportsAreCorrectedAfterThreeFailures",
	"record.bias_failures up":   "TestReportsAreCorrectedAfterThreeFailures",
	"record.bias_max down":      "TestReportsAreCorrectedAfterThreeFailures",
	"record.bias_max up":        "TestReportsAreCorrectedAfterThreeFailures",
	"record.bias_prior down":    "TestReportsAreCorrectedAfterThreeFailures",
	"record.bias_prior up":      "TestReportsAreCorrectedAfterThreeFailures",
	"record.climb_day down":     "TestLowerBoundsAloneClimbOnlySoFar",
	"record.climb_day up":       "TestLowerBoundsAloneClimbOnlySoFar",
	"record.climb_free down":    "TestLowerBoundsAloneClimbOnlySoFar",
	"record.climb_free up":      "TestLowerBoundsAloneClimbOnlySoFar",
	"record.curve_apart down":   "open",
	"record.curve_apart up":     "open",
	"record.curve_sets up":      "TestTheOwnRepetitionCurveIsLearnt",
	"record.doubt_sd down":      "open",
	"record.slow_from down":     "open",
	"record.slow_from up":       "open",
}

// Every threshold is held in its place by a case: moved by the least that makes
// sense, a whole number by one and any other by a fiftieth of its range, up and
// down as far as its range allows, some card or notice changes.
func TestEveryRuleIsNoticed(t *testing.T) {
	if testing.Short() {
		t.Skip("runs every case some two hundred times")
	}
	var cases []caseFile
	var before []string
	for _, name := range caseNames(t) {
		c, _ := readCase(t, casesDir, name)
		cases, before = append(cases, c), append(before, outcomeOf(t, c))
	}
	notices := func(id string, v float64) bool {
		for i, c := range cases {
			if slices.Contains(c.rules.Changed(), id) {
				continue
			}
			rules, err := c.rules.With(id, v)
			require.NoError(t, err)
			c.rules = rules
			if outcomeOf(t, c) != before[i] {
				return true
			}
		}
		return false
	}
	moved := map[string]bool{}
	for _, r := range prescribe.RuleTable() {
		step := 1.0
		if !r.Whole {
			step = (r.Max - r.Min) / 50
		}
		for _, way := range []struct {
			name string
			v    float64
		}{{"down", math.Max(r.Min, r.Value-step)}, {"up", math.Min(r.Max, r.Value+step)}} {
			if way.v == r.Value {
				continue
			}
			key := r.ID + " " + way.name
			moved[key] = true
			switch why := unnoticed[key]; {
			case why == "" && !notices(r.ID, way.v):
				t.Errorf("no case notices %s: from %v to %v", key, r.Value, way.v)
			case why != "" && notices(r.ID, way.v):
				t.Errorf("a case notices %s after all: take it off the list", key)
			}
		}
	}
	for key := range unnoticed {
		require.True(t, moved[key], "%s is no way to move a rule", key)
	}
}

// outcomeOf is what a case comes to, without the hash of the rules.
func outcomeOf(t *testing.T, c caseFile) string {
	p := c.run()
	var b strings.Builder
	for i := range p.cards {
		p.cards[i].RulesHash = ""
		b.WriteString(mustJSON(t, p.cards[i]))
	}
	b.WriteString(mustJSON(t, p.notices))
	return b.String()
}
