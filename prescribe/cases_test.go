package prescribe_test

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
)

var update = flag.Bool("update", false, "write the cards below the line of every case; read them before you commit them")

const casesDir = "../testdata/cases"

func caseNames(t testing.TB) []string {
	t.Helper()
	paths, err := filepath.Glob(casesDir + "/*.txt")
	require.NoError(t, err)
	var names []string
	for _, p := range paths {
		if n := filepath.Base(p); n != "club.txt" {
			names = append(names, n)
		}
	}
	slices.Sort(names)
	require.NotEmpty(t, names)
	return names
}

// planned is one case worked out.
type planned struct {
	caseFile
	state   prescribe.State // before the first day
	notices []prescribe.Notice
	cards   []prescribe.Card
}

// run folds what happened before each day and plans it; later records wait
// for their day.
func (c caseFile) run() planned {
	out := planned{caseFile: c}
	events := slices.Clone(c.events)
	slices.SortStableFunc(events, func(a, b prescribe.Event) int { return int(a.At - b.At) })
	s := prescribe.Fold(prescribe.State{}, prescribe.Event{Day: 1, Key: "profile", Profile: &c.profile}, c.rules)
	i := 0
	for n, day := range c.days {
		start := at(day, "00:00")
		for _, d := range c.cal.Days {
			if d.Day == day {
				start = d.Start
			}
		}
		for ; i < len(events) && events[i].At < start; i++ {
			next := prescribe.Fold(s, events[i], c.rules)
			out.notices = append(out.notices, prescribe.Notices(s, next, events[i], c.rules)...)
			s = next
		}
		if n == 0 {
			out.state = s
		}
		out.cards = append(out.cards, prescribe.Plan(s, c.cal, c.prog, c.rules, day, c.edits))
	}
	return out
}

func TestCases(t *testing.T) {
	for _, name := range caseNames(t) {
		t.Run(strings.TrimSuffix(name, ".txt"), func(t *testing.T) {
			c, below := readCase(t, casesDir, name)
			require.NotEmpty(t, c.notes, "say what the case is about")
			got := c.run().print()
			if *update {
				path := casesDir + "/" + name
				b, err := os.ReadFile(path)
				require.NoError(t, err)
				above, _, _ := strings.Cut(string(b), "\n"+caseLine+"\n")
				require.NoError(t, os.WriteFile(path, []byte(strings.TrimRight(above, "\n")+"\n\n"+caseLine+"\n"+got), 0o644))
				return
			}
			require.Equal(t, below, got, "read the difference; -update writes it")
		})
	}
}

// The digest makes a silent change of output impossible: equal inputs must give
// equal cards under one engine version, or stored cards could not be verified.
func TestEngineDigest(t *testing.T) {
	h := sha256.New()
	for _, name := range caseNames(t) {
		c, _ := readCase(t, casesDir, name)
		for _, card := range c.run().cards {
			b, err := json.Marshal(card)
			require.NoError(t, err)
			fmt.Fprintf(h, "%s %s\n", name, b)
		}
	}
	sum := prescribe.EngineVersion + " " + hex.EncodeToString(h.Sum(nil)) + "\n"
	const path = "../testdata/engine.digest"
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(sum), 0o644))
		return
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	version, _, _ := strings.Cut(string(want), " ")
	if string(want) != sum && version == prescribe.EngineVersion {
		t.Fatal("the same inputs give other cards than before: raise EngineVersion in card.go, then run with -update")
	}
	require.Equal(t, string(want), sum, "run with -update")
}

// Every reason that the cases bring out is in the table the wordings are
// written against, with its arguments in order and rules that exist.
func TestReasonCodes(t *testing.T) {
	rules := map[string]bool{}
	for _, r := range prescribe.RuleTable() {
		rules[r.ID] = true
	}
	seen := map[string]bool{}
	check := func(where string, list []prescribe.Reason) {
		for _, r := range list {
			names, ok := prescribe.ReasonCodes[r.Code]
			require.True(t, ok, "%s: %s is not in ReasonCodes", where, r.Code)
			var got []string
			for _, a := range r.Args {
				got = append(got, a.Name)
				if a.Name == "cause" {
					_, isCode := prescribe.ReasonCodes[a.ID]
					require.True(t, isCode || slices.Contains(prescribe.SlotCauses, a.ID) || slices.Contains(prescribe.PainCauses, a.ID),
						"%s: %s has the cause %q", where, r.Code, a.ID)
				}
				if a.Name == "criterion" {
					require.Contains(t, prescribe.PlacementCriteria, a.ID, where)
				}
			}
			require.ElementsMatch(t, names, got, "%s: %s", where, r.Code)
			for _, id := range r.Rules {
				require.True(t, rules[id], "%s: %s names the rule %q", where, r.Code, id)
			}
			require.NotZero(t, r.See, "%s: nobody may read %s", where, r.Code)
			seen[r.Code] = true
		}
	}
	for _, name := range caseNames(t) {
		c, _ := readCase(t, casesDir, name)
		for _, card := range c.run().cards {
			check(name, card.Reasons)
			for _, it := range card.Items {
				check(name, it.Reasons)
			}
		}
	}
	var unseen []string
	for code := range prescribe.ReasonCodes {
		if !seen[code] {
			unseen = append(unseen, code)
		}
	}
	slices.Sort(unseen)
	require.Empty(t, unseen, "no case shows them")
}

// print is the readable form of what came of a case.
func (p planned) print() string {
	var b strings.Builder
	for _, n := range p.notices {
		fmt.Fprintf(&b, "staff are told: %s\n", noticeText(n))
	}
	for i, c := range p.cards {
		if i > 0 || len(p.notices) > 0 {
			b.WriteString("\n")
		}
		cardText(&b, c, len(p.cards) == 1)
	}
	return b.String()
}

func noticeText(n prescribe.Notice) string {
	s := string(n.Kind)
	for _, x := range []string{string(n.Region), string(n.Side), string(n.Sign)} {
		if x != "" {
			s += " " + x
		}
	}
	s += argsText(n.Args) + " → " + audienceText(n.To)
	if n.Urgent {
		s += ", at once"
	}
	return s
}

func cardText(b *strings.Builder, c prescribe.Card, full bool) {
	fmt.Fprintf(b, "%s %s", c.Day.Time().Format("Mon 2006-01-02"), c.Kind)
	for _, x := range []string{c.MatchDay, c.Template, c.Setting} {
		if x != "" {
			b.WriteString(" · " + x)
		}
	}
	if c.Minutes > 0 {
		fmt.Fprintf(b, " · %d min", c.Minutes)
	}
	if c.Approval {
		b.WriteString(" · WAITS FOR APPROVAL")
	}
	b.WriteString("\n")
	if len(c.AskPain) > 0 {
		fmt.Fprintf(b, "  ask about pain: %v\n", c.AskPain)
	}
	if len(c.Week) > 0 {
		b.WriteString("  week:")
		for _, p := range c.Week {
			fmt.Fprintf(b, " %s %s", p.Day.Time().Format("Mon"), p.Template)
		}
		b.WriteString("\n")
	}
	for _, r := range c.Reasons {
		b.WriteString("  " + reasonText(r) + "\n")
	}
	for _, it := range c.Items {
		b.WriteString("  " + itemText(it) + "\n")
		if full {
			for _, r := range it.Reasons {
				b.WriteString("      " + reasonText(r) + "\n")
			}
		}
	}
}

func itemText(it prescribe.Item) string {
	s := fmt.Sprintf("%s: %s ", it.Slot, it.Exercise)
	if it.Finding {
		s += "work up to "
	}
	switch {
	case it.Seconds > 0:
		s += fmt.Sprintf("%d × %d s", it.Sets, it.Seconds)
	case len(it.Cluster) > 0:
		var parts []string
		for _, n := range it.Cluster {
			parts = append(parts, strconv.Itoa(n))
		}
		s += fmt.Sprintf("%d × %s (%d s between)", it.Sets, strings.Join(parts, "+"), it.Pause)
	default:
		s += fmt.Sprintf("%d × %d", it.Sets, it.Reps)
	}
	if it.Uncount > 0 {
		s += fmt.Sprintf(" after %d to start", it.Uncount)
	}
	if it.PerSide {
		s += " a side"
	}
	if it.First != "" {
		s += ", " + string(it.First) + " first"
	}
	switch {
	case it.Inertia > 0:
		s += fmt.Sprintf(", inertia %s on %s", plainNumber(float64(it.Inertia)), it.Device)
	case it.Load > 0:
		s += fmt.Sprintf(", %s kg", plainNumber(float64(it.Load)))
		if it.Bar > 0 {
			s += fmt.Sprintf(" = bar %s %v", plainNumber(float64(it.Bar)), it.Plates)
		}
	}
	if it.EccLoad > 0 {
		s += fmt.Sprintf(", %s kg down", plainNumber(float64(it.EccLoad)))
	}
	if it.Percent > 0 {
		s += fmt.Sprintf(" (%s %%)", plainNumber(float64(it.Percent)))
	}
	if it.RIR != nil {
		s += fmt.Sprintf(", leave %d", *it.RIR)
	}
	if it.Level > 0 {
		s += fmt.Sprintf(", level %d", it.Level)
	}
	if it.Rest > 0 {
		s += fmt.Sprintf(", rest %d s", it.Rest)
	}
	for flag, on := range map[string]bool{"heavy": it.Heavy} {
		if on {
			s += " · " + flag
		}
	}
	if it.New {
		s += " · new"
	}
	if it.Optional {
		s += " · optional"
	}
	if len(it.Warmup) > 0 {
		s += " · warm-up"
		for _, u := range it.Warmup {
			s += fmt.Sprintf(" %d×%s", u.Reps, plainNumber(float64(u.Load)))
		}
	}
	return s
}

func plainNumber(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func reasonText(r prescribe.Reason) string {
	s := r.Code + argsText(r.Args)
	if r.See != prescribe.ForPlayer|prescribe.ForCoach|prescribe.ForMedical {
		s += " [" + audienceText(r.See) + "]"
	}
	return s
}

func argsText(args []prescribe.Arg) string {
	s := ""
	for _, a := range args {
		v := plainNumber(a.Num)
		switch a.Kind {
		case prescribe.ArgKg:
			v += " kg"
		case prescribe.ArgPercent:
			v += " %"
		case prescribe.ArgDays:
			v += " days"
		case prescribe.ArgHours:
			v += " h"
		case prescribe.ArgSeconds:
			v += " s"
		case prescribe.ArgWatts:
			v += " W"
		case prescribe.ArgDay:
			v = a.Day.String()
		case prescribe.ArgRegion, prescribe.ArgExercise, prescribe.ArgMatchDay, prescribe.ArgID:
			v = a.ID
		}
		if v == "" {
			v = "–"
		}
		s += ", " + a.Name + " " + v
	}
	return s
}

func audienceText(a prescribe.Audience) string {
	var out []string
	for _, x := range []struct {
		is   prescribe.Audience
		name string
	}{{prescribe.ForPlayer, "player"}, {prescribe.ForCoach, "coach"}, {prescribe.ForMedical, "medical"},
		{prescribe.ForHeadCoach, "head coach"}, {prescribe.ForSafeguarding, "safeguarding"}} {
		if a.Has(x.is) {
			out = append(out, x.name)
		}
	}
	return strings.Join(out, " ")
}
