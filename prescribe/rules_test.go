package prescribe_test

import (
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	. "pegcard/prescribe"
)

func TestRuleTable(t *testing.T) {
	table := RuleTable()
	require.NotEmpty(t, table)
	refs := Bibliography()
	for i, r := range table {
		require.Regexp(t, `^[a-z][a-z0-9]*(_[a-z0-9]+)*\.[a-z][a-z0-9_]*$`, r.ID)
		if i > 0 {
			require.Less(t, table[i-1].ID, r.ID, "sorted, each once")
		}
		require.Less(t, r.Min, r.Max, "%s: a rule nobody can change is a constant", r.ID)
		require.LessOrEqual(t, r.Min, r.Value, r.ID)
		require.LessOrEqual(t, r.Value, r.Max, r.ID)
		require.NotEmpty(t, r.Unit, r.ID)
		require.NotEmpty(t, r.Note, r.ID)
		if r.Whole {
			for _, v := range []float64{r.Min, r.Value, r.Max} {
				require.Equal(t, math.Trunc(v), v, r.ID)
			}
		}
		switch r.Mark {
		case MarkPublished, MarkMemory:
			require.NotEmpty(t, r.Source, "%s is published: say where", r.ID)
		case MarkPractice, MarkOurs:
		default:
			t.Errorf("%s has the mark %q", r.ID, r.Mark)
		}
		if r.Source != "" {
			require.Contains(t, refs, r.Source, "%s: its source is not in the bibliography", r.ID)
		}
	}
	table[0].Value = math.Inf(1)
	require.NotEqual(t, table[0], RuleTable()[0], "a copy")
}

// Every entry of the bibliography founds something: a rule, the table, an
// equation or a share of body mass.
func TestBibliographyIsUsed(t *testing.T) {
	used := map[string]bool{TableSource: true}
	for _, r := range RuleTable() {
		used[r.Source] = true
	}
	for _, e := range Equations() {
		require.Contains(t, Bibliography(), e.Source, e.Name)
		used[e.Source] = true
	}
	for _, e := range Library() {
		for _, founded := range []struct {
			value        float64
			mark, source string
		}{{e.BodyFraction, e.BodyMark, e.BodySource}, {e.BilateralShare, e.BilateralMark, e.BilateralSource}} {
			require.Equal(t, founded.value > 0, founded.mark != "", e.ID)
			if founded.mark == MarkPublished || founded.mark == MarkMemory {
				require.Contains(t, Bibliography(), founded.source, e.ID)
			}
			used[founded.source] = true
		}
	}
	require.Contains(t, Bibliography(), TableSource)
	for key, ref := range Bibliography() {
		require.True(t, used[key], "nothing rests on %s", key)
		require.Regexp(t, `^[^ ].*\b(19|20)\d\d\b.*\.$`, ref, key)
	}
}

// Every id in the source exists, every rule is read somewhere, and only rules
// of whole numbers are read with Int.
func TestRulesAreUsed(t *testing.T) {
	byID := map[string]Rule{}
	for _, r := range RuleTable() {
		byID[r.ID] = r
	}
	files, err := fs.Glob(os.DirFS("."), "*.go")
	require.NoError(t, err)
	read := map[string]bool{}
	fset := token.NewFileSet()
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(fset, name, nil, parser.SkipObjectResolution)
		require.NoError(t, err)
		ast.Inspect(file, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			sel, ok := call.Fun.(*ast.SelectorExpr)
			if !ok || sel.Sel.Name != "Num" && sel.Sel.Name != "Int" || len(call.Args) != 1 {
				return true
			}
			at := fset.Position(call.Pos())
			lit, ok := call.Args[0].(*ast.BasicLit)
			if !ok {
				if name != "rules.go" { // the table itself runs over all ids
					t.Errorf("%s: write the rule's id out, so that it can be checked", at)
				}
				return true
			}
			id, err := strconv.Unquote(lit.Value)
			require.NoError(t, err)
			rule, ok := byID[id]
			require.True(t, ok, "%s: no rule %q", at, id)
			require.True(t, sel.Sel.Name == "Num" || rule.Whole, "%s: %s is not Whole, so it cannot be read with Int", at, id)
			read[id] = true
			return true
		})
	}
	require.NotEmpty(t, read)
	for id := range byID {
		require.True(t, read[id], "no decision reads the rule %s", id)
	}
}

func TestRulesWith(t *testing.T) {
	r, err := DefaultRules().With("record.quantile", 20)
	require.NoError(t, err)
	require.Equal(t, 20.0, r.Num("record.quantile"))
	require.Equal(t, 36.0, DefaultRules().Num("record.quantile"))
	require.Equal(t, []string{"record.quantile"}, r.Changed())

	r2, err := r.With("warmup.first_reps", 6)
	require.NoError(t, err)
	require.Equal(t, 6, r2.Int("warmup.first_reps"))
	require.Equal(t, 5, r.Int("warmup.first_reps"), "the value it came from stays")

	back, err := r.With("record.quantile", 36)
	require.NoError(t, err)
	require.Equal(t, DefaultRules(), back)
	require.Equal(t, DefaultRules().Hash(), back.Hash())

	for _, c := range []struct {
		id    string
		value float64
		says  string
	}{
		{"record.quantile", 60, "rule record.quantile is 60; write a number from 5 to 50 (percentile)"},
		{"record.quantile", math.NaN(), "rule record.quantile is NaN; write a number from 5 to 50 (percentile)"},
		{"record.quantile", math.Inf(-1), "rule record.quantile is -Inf; write a number from 5 to 50 (percentile)"},
		{"warmup.first_reps", 5.5, "rule warmup.first_reps is 5.5; write a whole number from 1 to 12 (repetitions)"},
		{"warmup.reps", 5, `there is no rule "warmup.reps"; write one of warmup.first_percent, warmup.first_reps, warmup.from, warmup.second_percent, warmup.second_reps, warmup.third_percent, warmup.third_reps`},
	} {
		got, err := r.With(c.id, c.value)
		require.EqualError(t, err, c.says)
		require.Equal(t, r, got, "an error changes nothing")
	}
	_, err = r.With("pian.stop", 1)
	require.ErrorContains(t, err, `there is no rule "pian.stop"; the first part is one of `)
	require.ErrorContains(t, err, "record, ")
}

func TestRulesNumPanicsOnAnUnknownID(t *testing.T) {
	require.PanicsWithValue(t, `prescribe: no rule "nothing.here"`, func() { DefaultRules().Num("nothing.here") })
}

func TestRulesJSON(t *testing.T) {
	b, err := json.Marshal(DefaultRules())
	require.NoError(t, err)
	require.Equal(t, "{}", string(b))

	r, err := DefaultRules().With("warmup.from", 75)
	require.NoError(t, err)
	r, err = r.With("record.retest_cv", 5.5)
	require.NoError(t, err)
	b, err = json.Marshal(r)
	require.NoError(t, err)
	require.JSONEq(t, `{"record.retest_cv":5.5,"warmup.from":75}`, string(b))

	var back Rules
	require.NoError(t, json.Unmarshal(b, &back))
	require.Equal(t, r, back)

	require.EqualError(t, json.Unmarshal([]byte(`{"warmup.from":200}`), &back),
		"rule warmup.from is 200; write a number from 0 to 100 (% of 1RM)")
	require.ErrorContains(t, json.Unmarshal([]byte(`{"warmup.from":"x"}`), &back), "rules: ")
	require.Equal(t, r, back, "an error changes nothing")
}

// The hash names the values, not the way they were reached.
func TestRulesHash(t *testing.T) {
	require.Len(t, DefaultRules().Hash(), 32)
	table := RuleTable()
	rapid.Check(t, func(t *rapid.T) {
		var ids []string
		values := map[string]float64{}
		for range rapid.IntRange(0, 5).Draw(t, "changes") {
			rule := rapid.SampledFrom(table).Draw(t, "rule")
			if _, twice := values[rule.ID]; !twice {
				ids = append(ids, rule.ID)
			}
			values[rule.ID] = rapid.SampledFrom([]float64{rule.Min, rule.Value, rule.Max}).Draw(t, "value")
		}
		build := func(order []string) Rules {
			r := DefaultRules()
			for _, id := range order {
				var err error
				if r, err = r.With(id, values[id]); err != nil {
					t.Fatal(err)
				}
			}
			return r
		}
		one := build(ids)
		slices.Reverse(ids)
		other := build(ids)
		if one.Hash() != other.Hash() {
			t.Fatal("the order of changes shows in the hash")
		}
		changed := false
		for id, v := range values {
			changed = changed || v != DefaultRules().Num(id)
		}
		if changed == (one.Hash() == DefaultRules().Hash()) {
			t.Fatal("a change must show in the hash, and only a change")
		}
	})
}
