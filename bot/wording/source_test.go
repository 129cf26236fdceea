package wording

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
)

// idShape is what a message id looks like in the code.
var idShape = regexp.MustCompile(`^[a-z]+\.[a-z0-9_.]+$`)

// named are the families whose ids are put together from a key: tests below
// check each of them against the place its keys come from.
var named = []string{"region.", "side.", "method.", "pattern.", "phase.", "absence.", "sign.", "role.", "place.", "state.", "exercise.", "howto.", "reason.", "why.mark_", "cause.", "criterion.", "outcome.", "edit.", "ask."}

// call is one call of a speaker with the id written in place.
type call struct {
	id   string
	keys []string // names of the arguments; nil when they are not all written in place
	all  bool     // keys are all there are
	at   string
}

// inSource reads the Go source of the packages that speak: all of bot and
// cmd, without tests.
func inSource(t *testing.T) (calls []call, literals map[string]bool) {
	literals = map[string]bool{}
	root := filepath.Join("..", "..")
	fset := token.NewFileSet()
	for _, dir := range []string{"bot", "cmd"} {
		err := filepath.WalkDir(filepath.Join(root, dir), func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			file, err := parser.ParseFile(fset, path, nil, parser.SkipObjectResolution)
			if err != nil {
				return nil // its owner's compiler says so
			}
			ast.Inspect(file, func(n ast.Node) bool {
				if s, ok := text(n); ok {
					literals[s] = true
				}
				if c, ok := n.(*ast.CallExpr); ok {
					if sel, ok := c.Fun.(*ast.SelectorExpr); ok && notWorded[sel.Sel.Name] {
						return false
					}
					if found, ok := speaks(c); ok {
						found.at = fset.Position(c.Pos()).String()
						calls = append(calls, found)
						literals[found.id] = true
					}
				}
				return true
			})
			return nil
		})
		require.NoError(t, err)
	}
	return calls, literals
}

func text(n any) (string, bool) {
	lit, ok := n.(*ast.BasicLit)
	if !ok || lit.Kind != token.STRING {
		return "", false
	}
	s, err := strconv.Unquote(lit.Value)
	return s, err == nil
}

func speaks(c *ast.CallExpr) (call, bool) {
	sel, ok := c.Fun.(*ast.SelectorExpr)
	if !ok || len(c.Args) == 0 {
		return call{}, false
	}
	id, ok := text(c.Args[0])
	if !ok {
		return call{}, false
	}
	switch sel.Sel.Name {
	case "T", "t", "Plain", "say":
		if !idShape.MatchString(id) {
			return call{}, false
		}
	case "Button":
		id = "button." + id
	case "Command":
		id = "cmd." + id
	default:
		return call{}, false
	}
	if sel.Sel.Name == "say" {
		return call{id: id}, true // arguments come later, or as a map
	}
	out := call{id: id, all: !c.Ellipsis.IsValid() && len(c.Args)%2 == 1}
	for i := 1; i < len(c.Args); i += 2 {
		key, ok := text(c.Args[i])
		if !ok {
			return call{id: id}, true
		}
		out.keys = append(out.keys, key)
	}
	return out, true
}

func TestEveryIDInTheCodeExists(t *testing.T) {
	en := catalogue(t).For(Fallback)
	calls, literals := inSource(t)
	require.NotEmpty(t, calls)
	for _, c := range calls {
		require.True(t, en.Has(c.id), "%s: no message %q; add it to lang/en.toml", c.at, c.id)
	}
	families := map[string]bool{}
	for _, id := range en.ids() {
		family, _, _ := strings.Cut(id, ".")
		families[family] = true
	}
	// ids passed on as values: those that can be nothing else
	for _, family := range []string{"card", "join", "player", "staff", "draft", "alert", "digest", "error", "button"} {
		require.True(t, families[family], family)
		for s := range literals {
			if strings.HasPrefix(s, family+".") && idShape.MatchString(s) && !strings.HasSuffix(s, ".") && !strings.HasSuffix(s, "_") && !strings.HasSuffix(s, ".go") {
				if !goName.MatchString(s) {
					require.True(t, en.Has(s), "no message %q; add it to lang/en.toml", s)
				}
			}
		}
	}
}

// goName are literals that look like ids and are something else: file names.
var goName = regexp.MustCompile(`\.(go|toml|csv|ics|txt|json|html|js|css|sqlite|db|log)$`)

func TestArgumentsInTheCodeFitTheMessage(t *testing.T) {
	en := catalogue(t).For(Fallback)
	calls, _ := inSource(t)
	checked := 0
	for _, c := range calls {
		m, ok := en.messages[c.id]
		if !ok || !c.all {
			continue
		}
		checked++
		require.Empty(t, missing(m.placeholders(), c.keys), "%s: %s lacks arguments", c.at, c.id)
		extra := missing(c.keys, m.placeholders())
		if m.plural {
			extra = slices.DeleteFunc(extra, func(k string) bool { return k == "n" })
		}
		require.Empty(t, extra, "%s: %s has no use for these arguments", c.at, c.id)
	}
	require.NotZero(t, checked)
}

// constants are the string constants of a type in a Go file.
func constants(t *testing.T, path, typ string) []string {
	file, err := parser.ParseFile(token.NewFileSet(), filepath.Join("..", "..", path), nil, parser.SkipObjectResolution)
	require.NoError(t, err)
	var out []string
	ast.Inspect(file, func(n ast.Node) bool {
		spec, ok := n.(*ast.ValueSpec)
		if !ok {
			return true
		}
		if id, ok := spec.Type.(*ast.Ident); ok && id.Name == typ {
			for _, v := range spec.Values {
				if s, ok := text(v); ok && s != "" {
					out = append(out, s)
				}
			}
		}
		return true
	})
	slices.Sort(out)
	require.NotEmpty(t, out, "%s: constants of type %s", path, typ)
	return slices.Compact(out)
}

func family(sp *Speaker, prefix string) []string {
	var out []string
	for _, id := range sp.ids() {
		if key, ok := strings.CutPrefix(id, prefix); ok {
			out = append(out, key)
		}
	}
	return out
}

// causes are the keys of cause.*: those that stand alone, and one for each
// group of reason codes.
func causes() []string {
	out := slices.Concat(prescribe.SlotCauses, prescribe.PainCauses)
	for code := range prescribe.ReasonCodes {
		group, _, _ := strings.Cut(code, ".")
		out = append(out, "of_"+group)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func TestEveryReasonHasItsSentence(t *testing.T) {
	en := catalogue(t).For(Fallback)
	codes := slices.Sorted(maps.Keys(prescribe.ReasonCodes))
	require.NotEmpty(t, codes)
	require.Empty(t, missing(codes, family(en, "reason.")), "reason.* missing")
	require.Empty(t, missing(family(en, "reason."), codes), "reason.* that the engine never gives")
	for _, code := range codes {
		words := en.messages["reason."+code].placeholders()
		require.Empty(t, missing(words, prescribe.ReasonCodes[code]), "reason.%s uses arguments that it does not get", code)
	}
}

func TestVocabularyHasItsWords(t *testing.T) {
	en := catalogue(t).For(Fallback)
	const vocab, clubdata = "prescribe/vocab.go", "store/clubdata.go"
	for _, c := range []struct {
		prefix string
		keys   []string
	}{
		{"region.", append(constants(t, vocab, "Region"), "all")},
		{"side.", append(constants(t, vocab, "Side"), "region", "exercise")},
		{"method.", constants(t, vocab, "Method")},
		{"pattern.", constants(t, vocab, "Pattern")},
		{"phase.", constants(t, vocab, "Phase")},
		{"absence.", constants(t, vocab, "Absence")},
		{"sign.", constants(t, vocab, "Sign")},
		{"role.", constants(t, clubdata, "Role")},
		{"outcome.", constants(t, "prescribe/event.go", "Outcome")},
		{"edit.", constants(t, "prescribe/edit.go", "EditKind")},
		{"criterion.", slices.Clone(prescribe.PlacementCriteria)},
		{"cause.", causes()},
		{"why.mark_", []string{prescribe.MarkPublished, prescribe.MarkMemory, prescribe.MarkPractice, prescribe.MarkOurs}},
	} {
		slices.Sort(c.keys)
		require.Equal(t, c.keys, family(en, c.prefix), "messages %s* and the vocabulary", c.prefix)
	}
	for _, code := range constants(t, "bot/understand/reading.go", "Code") {
		require.Contains(t, family(en, "ask."), code, "a question that bot/understand asks")
	}
	for _, key := range []string{"gym", "hotel", "home", "travel"} { // prescribe.Setting.Place
		require.Contains(t, family(en, "place."), key)
	}
	for _, key := range []string{"draft", "approved", "sent", "started", "done", "changed", "missed", "unanswered", "withheld", "replaced"} {
		require.Contains(t, family(en, "state."), key)
	}
}

func TestEveryExerciseIsNamedAndExplained(t *testing.T) {
	library := prescribe.Library()
	require.NotEmpty(t, library)
	var ids []string
	for _, ex := range library {
		require.NotEmpty(t, ex.Name, ex.ID)
		ids = append(ids, string(ex.ID))
	}
	slices.Sort(ids)
	eachLanguage(t, false, func(t *testing.T, sp, _ *Speaker) {
		if sp.Lang() == Fallback {
			require.Empty(t, family(sp, "exercise."), "English names stand in prescribe.Library")
		} else {
			require.Empty(t, missing(ids, family(sp, "exercise.")), "%s.toml: exercise.* missing", sp.Lang())
			require.Empty(t, missing(family(sp, "exercise."), ids), "%s.toml: exercise.* not in the library", sp.Lang())
		}
		require.Empty(t, missing(ids, family(sp, "howto.")), "%s.toml: howto.* missing", sp.Lang())
		require.Empty(t, missing(family(sp, "howto."), ids), "%s.toml: howto.* not in the library", sp.Lang())
	})
}

// notWorded are calls whose arguments look like ids and are none: actions of
// the audit, events of the log.
var notWorded = map[string]bool{"Audit": true, "Debug": true, "Info": true, "Warn": true, "Error": true}
