package understand_test

import (
	"bufio"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/bot/understand"
	"pegcard/prescribe"
)

const corpusFile = "../../testdata/replies/corpus.txt"

// cards are the cards that the corpus is read against.
var cards = map[string][]understand.Item{
	"squat": {
		{Exercise: "back_squat", Names: []string{"Back squat", "Sentadilla trasera", "Kniebeuge"}, Sets: 3, Reps: 5, Load: 100, LoadKind: prescribe.LoadBar},
	},
	"four": {
		{Exercise: "back_squat", Names: []string{"Back squat"}, Sets: 3, Reps: 5, Load: 100, LoadKind: prescribe.LoadBar},
		{Exercise: "bench_press", Names: []string{"Bench press"}, Sets: 3, Reps: 8, Load: 60, LoadKind: prescribe.LoadBar},
		{Exercise: "nordic_hamstring", Names: []string{"Nordic hamstring"}, Sets: 2, Reps: 5, LoadKind: prescribe.LoadBodyweight},
		{Exercise: "rear_foot_elevated_split_squat", Names: []string{"Rear-foot-elevated split squat"}, Sets: 3, Reps: 8, Load: 20, LoadKind: prescribe.LoadDumbbells, PerSide: true},
	},
	"split": {
		{Exercise: "rear_foot_elevated_split_squat", Names: []string{"Rear-foot-elevated split squat"}, Sets: 3, Reps: 8, Load: 20, LoadKind: prescribe.LoadDumbbells, PerSide: true},
	},
	"light": {
		{Exercise: "dumbbell_row", Names: []string{"Dumbbell row"}, Sets: 3, Reps: 8, Load: 12, LoadKind: prescribe.LoadDumbbells},
	},
	"pullup": {
		{Exercise: "pull_up", Names: []string{"Pull-up"}, Sets: 3, Reps: 8, LoadKind: prescribe.LoadBodyweight},
	},
	"nordic": {
		{Exercise: "nordic_hamstring", Names: []string{"Nordic hamstring"}, Sets: 2, Reps: 5, LoadKind: prescribe.LoadNone},
	},
	"none": nil,
}

// line is one line of the corpus: "en four rir | text | expected".
type line struct {
	at             int
	ctx            understand.Context
	text, expected string
}

func readCorpus(t testing.TB) []line {
	f, err := os.Open(corpusFile)
	require.NoError(t, err)
	defer f.Close()
	var out []line
	sc := bufio.NewScanner(f)
	for n := 1; sc.Scan(); n++ {
		s := strings.TrimSpace(sc.Text())
		if s == "" || s[0] == '#' {
			continue
		}
		cols := strings.Split(s, " | ")
		require.Lenf(t, cols, 3, "corpus line %d: want three columns parted by ' | '", n)
		out = append(out, line{n, corpusContext(t, n, cols[0]), strings.ReplaceAll(cols[1], `\n`, "\n"), strings.TrimSpace(cols[2])})
	}
	require.NoError(t, sc.Err())
	return out
}

func corpusContext(t testing.TB, n int, head string) understand.Context {
	f := strings.Fields(head)
	ctx := understand.Context{Lang: f[0], Items: cards["squat"]}
	for _, w := range f[1:] {
		if items, ok := cards[w]; ok {
			ctx.Items = items
			continue
		}
		switch o := understand.Open(w); o {
		case understand.OpenRIR, understand.OpenRPE, understand.OpenPain, understand.OpenSoreness, understand.OpenReason,
			understand.OpenMinutes, understand.OpenLoad, understand.OpenReps, understand.OpenRegion, understand.OpenYesNo:
			ctx.Open = o
		case "lb":
			ctx.Unit = "lb"
		default:
			require.Failf(t, "corpus", "line %d: %q is neither a card nor an open question", n, w)
		}
	}
	return ctx
}

// show writes a reading as the corpus does.
func show(r understand.Reading) string {
	var out []string
	for _, m := range r.Meanings {
		out = append(out, showMeaning(m))
	}
	for _, q := range r.Unclear {
		s := "? " + string(q.Code)
		if q.Sign != "" {
			s += " " + string(q.Sign)
		}
		if q.Sign == "" && len(q.Candidates) > 0 {
			var cs []string
			for _, c := range q.Candidates {
				var ms []string
				for _, m := range c {
					ms = append(ms, showMeaning(m))
				}
				cs = append(cs, strings.Join(ms, " & "))
			}
			s += " {" + strings.Join(cs, " / ") + "}"
		}
		out = append(out, s)
	}
	return strings.Join(out, "; ")
}

func showMeaning(m understand.Meaning) string {
	if m.Kind != understand.Sets {
		return understand.Show(m)
	}
	name := string(m.Exercise)
	if name == "" {
		var ids []string
		for _, w := range m.Which {
			ids = append(ids, string(w))
		}
		name = "which(" + strings.Join(ids, ",") + ")"
	}
	if m.Side != "" {
		name += " " + string(m.Side)
	}
	if len(m.Sets) == 0 {
		return name + " none"
	}
	var runs []string
	for i := 0; i < len(m.Sets); {
		j := i + 1
		for j < len(m.Sets) && same(m.Sets[i].Load, m.Sets[j].Load) {
			j++
		}
		run := m.Sets[i:j]
		uniform, anyRIR, allRIR := true, false, true
		var reps []string
		for _, s := range run {
			uniform = uniform && s.Reps == run[0].Reps && (s.RIR == nil) == (run[0].RIR == nil) && (s.RIR == nil || *s.RIR == *run[0].RIR)
			anyRIR = anyRIR || s.RIR != nil
			allRIR = allRIR && s.RIR != nil
			r := fmt.Sprint(s.Reps)
			if s.RIR != nil {
				r += fmt.Sprintf("(rir %d)", *s.RIR)
			}
			reps = append(reps, r)
		}
		s := strings.Join(reps, ",")
		if uniform {
			s = fmt.Sprintf("%d×%d", len(run), run[0].Reps)
		}
		if run[0].Load != nil {
			s += fmt.Sprintf(" @%.5gkg", float64(*run[0].Load))
		}
		if uniform && anyRIR {
			s += fmt.Sprintf(" rir %d", *run[0].RIR)
		}
		runs = append(runs, s)
		i = j
	}
	return name + " " + strings.Join(runs, " + ")
}

func same(a, b *prescribe.Kg) bool {
	return a == nil && b == nil || a != nil && b != nil && *a == *b
}

// TestCorpus reads every line of the corpus. The texts are invented.
func TestCorpus(t *testing.T) {
	lines := readCorpus(t)
	count := map[string]int{}
	for _, l := range lines {
		count[l.ctx.Lang]++
		if got := show(understand.Read(l.text, l.ctx)); got != l.expected {
			t.Errorf("corpus line %d (%s): %q\n got  %s\n want %s", l.at, l.ctx.Lang, l.text, got, l.expected)
		}
	}
	require.GreaterOrEqual(t, len(lines), 400)
	require.GreaterOrEqual(t, count["en"], 200)
	for _, lang := range understand.Languages() {
		require.GreaterOrEqualf(t, count[lang], 25, "lines in %s", lang)
	}
}
