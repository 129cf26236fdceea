package wording

import (
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var prune = flag.Bool("prune", false, "take messages that no code uses out of every language file, and empty testdata/waiting.txt")

// waiting lists messages that are written and translated, but whose code is
// still to come. It only ever gets shorter; -prune empties it.
const waiting = "testdata/waiting.txt"

// A message that no code says is dead weight in eight languages. Used is an id
// that stands in the code, whole or as the key of a button or command, or that
// belongs to a family put together from keys (see named).
func TestNoUnusedMessage(t *testing.T) {
	en := catalogue(t).For(Fallback)
	_, literals := inSource(t)
	var unused []string
	for _, id := range en.ids() {
		if !used(id, literals) {
			unused = append(unused, id)
		}
	}
	if *prune {
		pruneFiles(t, unused)
		require.NoError(t, os.WriteFile(waiting, nil, 0o644))
		return
	}
	if *update {
		require.NoError(t, os.WriteFile(waiting, []byte(strings.Join(unused, "\n")+"\n"), 0o644))
	}
	text, err := os.ReadFile(waiting)
	require.NoError(t, err)
	require.Empty(t, missing(unused, strings.Fields(string(text))), "no code uses these messages: delete them, or run this test with -prune")
}

func used(id string, literals map[string]bool) bool {
	if literals[id] {
		return true
	}
	if slices.ContainsFunc(named, func(prefix string) bool { return strings.HasPrefix(id, prefix) }) {
		return true
	}
	// prefixes written in the code: "staff.help_" + role
	for s := range literals {
		if idShape.MatchString(s) && (strings.HasSuffix(s, "_") || strings.HasSuffix(s, ".")) && len(s) > len("button.") && strings.HasPrefix(id, s) {
			return true
		}
	}
	family, key, _ := strings.Cut(id, ".")
	return (family == "button" || family == "cmd") && (literals[key] || literals["/"+key])
}

// pruneFiles takes messages, also those over several lines, out of the files.
func pruneFiles(t *testing.T, ids []string) {
	names, err := filepath.Glob("lang/*.toml")
	require.NoError(t, err)
	for _, name := range names {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		for _, id := range ids {
			line := regexp.MustCompile(`(?m)^"` + regexp.QuoteMeta(id) + `" = (?:"""(?s:.*?)"""|.*)\n`)
			text = line.ReplaceAll(text, nil)
		}
		require.NoError(t, os.WriteFile(name, text, 0o644))
	}
}
