package prescribe_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// Would a test notice if the engine were a little wrong? Every comparison of the
// package is turned into its neighbour (< into <=, == into !=), one at a time, by
// a switch compiled in; the cases are run against each, and what they let pass
// meets the rest of the short tests. Whatever passes all of them has to stand in
// testdata/mutants.txt with a reason.
//
// It takes some minutes of two cores:
//
//	PEGCARD_MUTATE=all go test ./prescribe -run TestMutants -timeout 60m
//
// PEGCARD_MUTATE=listed tries only those of testdata/mutants.txt.
func TestMutants(t *testing.T) {
	if os.Getenv("PEGCARD_MUTATE") == "" {
		t.Skip("takes some minutes; PEGCARD_MUTATE=all runs it")
	}
	m := mutants{texts: []string{""}}
	dir := t.TempDir()
	overlay := map[string]string{}
	put := func(name, text string) {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		here, err := filepath.Abs(name)
		require.NoError(t, err)
		overlay[here] = path
	}
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	for _, name := range files {
		if !strings.HasSuffix(name, "_test.go") {
			put(name, m.file(t, name))
		}
	}
	put("zz_mutant.go", mutantSwitch)
	put("zz_mutant_test.go", mutantRunner)
	b, err := json.Marshal(map[string]any{"Replace": overlay})
	require.NoError(t, err)
	list, bin := filepath.Join(dir, "overlay.json"), filepath.Join(dir, "mutants.test")
	require.NoError(t, os.WriteFile(list, b, 0o600))
	out, err := exec.Command("go", "test", "-c", "-overlay", list, "-o", bin, ".").CombinedOutput()
	require.NoError(t, err, "%s", out)

	explained := explainedMutants(t)
	var ids []string
	for id, text := range m.texts[1:] {
		if os.Getenv("PEGCARD_MUTATE") != "listed" || explained[text] {
			ids = append(ids, strconv.Itoa(id+1))
		}
	}
	run := exec.Command(bin, "-test.run", "^TestMutantsByCases$", "-test.timeout", "30m")
	run.Env = append(os.Environ(), "PEGCARD_MUTANTS="+strings.Join(ids, " "))
	out, err = run.CombinedOutput()
	require.NoError(t, err, "%s", out)
	var passed []int
	for line := range strings.Lines(string(out)) {
		if rest, ok := strings.CutPrefix(line, "passed "); ok {
			id, err := strconv.Atoi(strings.TrimSpace(rest))
			require.NoError(t, err)
			passed = append(passed, id)
		}
	}
	t.Logf("%d mutants, the cases notice %d", len(ids), len(ids)-len(passed))

	// The rest of the short tests against one mutant; against 0 they pass.
	notices := func(id int) bool {
		run := exec.Command(bin, "-test.short", "-test.failfast", "-rapid.seed=1", "-rapid.checks=100", "-rapid.nofailfile", "-test.timeout", "2m",
			"-test.skip", "^(TestMutants.*|TestCases|TestEngineDigest|TestReasonCodes|TestPublishedFilesAreRead|TestStateStaysBounded|TestNileAgainstR)$")
		run.Env = append(os.Environ(), "PEGCARD_MUTANT="+strconv.Itoa(id))
		return run.Run() != nil
	}
	require.False(t, notices(0), "the tests do not pass as they are")
	var left []int
	var mu sync.Mutex
	var wg sync.WaitGroup
	work := make(chan int)
	for range 2 {
		wg.Go(func() {
			for id := range work {
				if !notices(id) {
					mu.Lock()
					left = append(left, id)
					fmt.Println("left:", m.texts[id])
					mu.Unlock()
				}
			}
		})
	}
	for _, id := range passed {
		work <- id
	}
	close(work)
	wg.Wait()
	t.Logf("the other tests notice %d, %d are left", len(passed)-len(left), len(left))

	slices.Sort(left)
	for _, id := range left {
		if !explained[m.texts[id]] {
			t.Errorf("nobody notices %s", m.texts[id])
		}
		delete(explained, m.texts[id])
	}
	for text := range explained {
		t.Errorf("testdata/mutants.txt explains what a test notices, or what is not there: %s", text)
	}
}

// explainedMutants reads testdata/mutants.txt: a reason after #, and below it,
// indented, the mutants it is the reason of.
func explainedMutants(t *testing.T) map[string]bool {
	b, err := os.ReadFile("../testdata/mutants.txt")
	require.NoError(t, err)
	out, reason := map[string]bool{}, false
	for line := range strings.Lines(string(b)) {
		text := strings.TrimSpace(line)
		switch {
		case text == "":
			reason = false
		case strings.HasPrefix(text, "#"):
			reason = true
		default:
			require.True(t, reason, "no reason above %s", text)
			require.False(t, out[text], "twice: %s", text)
			out[text] = true
		}
	}
	return out
}

// mutants are those made so far, by number from 1: "file function: text → text".
type mutants struct {
	texts []string
	seen  map[string]int

	src       []byte
	fset      *token.FileSet
	name, fun string
}

var neighbour = map[token.Token]token.Token{token.LSS: token.LEQ, token.LEQ: token.LSS, token.GTR: token.GEQ, token.GEQ: token.GTR,
	token.EQL: token.NEQ, token.NEQ: token.EQL}

// file is the source of a file with all its mutants in it.
func (m *mutants) file(t *testing.T, name string) string {
	src, err := os.ReadFile(name)
	require.NoError(t, err)
	m.src, m.fset, m.name = src, token.NewFileSet(), name
	f, err := parser.ParseFile(m.fset, name, src, parser.SkipObjectResolution)
	require.NoError(t, err)
	var b strings.Builder
	at := 0
	for _, d := range f.Decls {
		m.fun = ""
		if fn, ok := d.(*ast.FuncDecl); ok {
			m.fun = fn.Name.Name
		}
		b.Write(src[at:m.offset(d.Pos())])
		b.WriteString(m.text(d))
		at = m.offset(d.End())
	}
	b.Write(src[at:])
	return b.String()
}

func (m *mutants) offset(p token.Pos) int { return m.fset.Position(p).Offset }

// text is the source of a node with the mutants of what is inside it.
func (m *mutants) text(n ast.Node) string {
	var b bytes.Buffer
	at := m.offset(n.Pos())
	ast.Inspect(n, func(x ast.Node) bool {
		be, ok := x.(*ast.BinaryExpr)
		if !ok || neighbour[be.Op] == 0 {
			return true
		}
		b.Write(m.src[at:m.offset(be.Pos())])
		b.WriteString(m.mutate(be))
		at = m.offset(be.End())
		return false
	})
	b.Write(m.src[at:m.offset(n.End())])
	return b.String()
}

func (m *mutants) mutate(be *ast.BinaryExpr) string {
	plain := func(n ast.Node) string {
		return strings.Join(strings.Fields(string(m.src[m.offset(n.Pos()):m.offset(n.End())])), " ")
	}
	l, r := m.text(be.X), m.text(be.Y)
	return1 := func(s string) string { return "func() bool { return " + s + " }" }
	op := neighbour[be.Op]
	id := m.number(plain(be), plain(be.X)+" "+op.String()+" "+plain(be.Y))
	return fmt.Sprintf("mutated(%d, %s, %s)", id, return1(l+" "+be.Op.String()+" "+r), return1(l+" "+op.String()+" "+r))
}

func (m *mutants) number(was, is string) int {
	text := fmt.Sprintf("%s %s: %s → %s", m.name, m.fun, was, is)
	if m.seen == nil {
		m.seen = map[string]int{}
	}
	if m.seen[text]++; m.seen[text] > 1 {
		text += fmt.Sprintf(" (%d)", m.seen[text])
	}
	m.texts = append(m.texts, text)
	return len(m.texts) - 1
}

// mutantSwitch is compiled into the package, mutantRunner beside its tests.
const mutantSwitch = `package prescribe

import (
	"os"
	"strconv"
)

var Mutant, _ = strconv.Atoi(os.Getenv("PEGCARD_MUTANT"))

func mutated(id int, was, is func() bool) bool {
	if Mutant == id {
		return is()
	}
	return was()
}
`

const mutantRunner = `package prescribe_test

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"pegcard/prescribe"
)

func TestMutantsByCases(t *testing.T) {
	var cases []caseFile
	var before []string
	for _, name := range caseNames(t) {
		c, _ := readCase(t, casesDir, name)
		cases, before = append(cases, c), append(before, outcomeOf(t, c))
	}
	for _, text := range strings.Fields(os.Getenv("PEGCARD_MUTANTS")) {
		id, _ := strconv.Atoi(text)
		prescribe.Mutant = id
		noticed := make(chan bool, 1)
		go func() {
			defer func() {
				if recover() != nil {
					noticed <- true
				}
			}()
			for i, c := range cases {
				if outcomeOf(t, c) != before[i] {
					noticed <- true
					return
				}
			}
			noticed <- false
		}()
		select {
		case yes := <-noticed:
			if !yes {
				fmt.Println("passed", id)
			}
		case <-time.After(20 * time.Second): // goes round and round
		}
	}
	prescribe.Mutant = 0
}
`
