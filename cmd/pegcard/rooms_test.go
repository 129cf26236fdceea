package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// rooms is which of our packages each package may import, tests aside. It is
// the table of DEVELOPERS.md.
var rooms = map[string][]string{
	"prescribe":              {},
	"prescribe/trial":        {"prescribe"},
	"store":                  {"prescribe"},
	"store/clubfile":         {"prescribe", "store"},
	"store/report":           {"prescribe", "store"},
	"schedule":               {"prescribe", "store"},
	"bot/telegram":           {},
	"bot/localchat":          {},
	"bot/localchat/pagetest": {},
	"bot/understand":         {"prescribe"},
	"bot/wording":            {"prescribe"},
	"bot":                    {"prescribe", "schedule", "store", "store/clubfile", "store/report", "bot/telegram", "bot/understand", "bot/wording"},
	"cmd/floors":             {},
	"cmd/pegcard":            {"*"},
	"cmd/pegcard/democlub":   {},
}

// topLevel is what may stand at the top of the repository beside dot files.
var topLevel = []string{"DEVELOPERS.md", "LICENSE", "README.md", "bot", "cmd", "go.mod", "go.sum", "prescribe", "schedule", "store", "testdata"}

func TestEachRoomImportsOnlyWhatItMay(t *testing.T) {
	root := filepath.Join("..", "..")
	seen := map[string]bool{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && path != root && (strings.HasPrefix(d.Name(), ".") || d.Name() == "testdata") {
			return filepath.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		rel, err := filepath.Rel(root, filepath.Dir(path))
		if err != nil {
			return err
		}
		room := filepath.ToSlash(rel)
		may, ok := rooms[room]
		if !ok {
			t.Errorf("%s lies in %q, which the table of rooms does not name", path, room)
			return nil
		}
		seen[room] = true
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, im := range f.Imports {
			name := strings.Trim(im.Path.Value, `"`)
			ours, isOurs := strings.CutPrefix(name, "pegcard/")
			switch {
			case isOurs && !slices.Contains(may, ours) && !slices.Contains(may, "*"):
				t.Errorf("%s imports %s; package %s may import only %v", path, ours, room, may)
			case !isOurs && room == "prescribe" && strings.Contains(name, "."):
				t.Errorf("%s imports %s; prescribe uses the standard library only", path, name)
			case room == "prescribe" && slices.Contains([]string{"log", "log/slog", "database/sql", "os", "net/http"}, name):
				t.Errorf("%s imports %s; prescribe is pure", path, name)
			}
		}
		return nil
	})
	require.NoError(t, err)
	for room := range rooms {
		require.True(t, seen[room], "the table names %q, which has no code", room)
	}
}

func TestTopLevel(t *testing.T) {
	entries, err := os.ReadDir(filepath.Join("..", ".."))
	require.NoError(t, err)
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), ".") {
			continue
		}
		require.Contains(t, topLevel, e.Name())
	}
}
