package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every line of the log has an event id, and DEVELOPERS.md lists them all and no
// other.
func TestEventsAreListed(t *testing.T) {
	doc, err := os.ReadFile("../../DEVELOPERS.md")
	require.NoError(t, err)
	_, section, ok := strings.Cut(string(doc), "\n## Events in the log\n")
	require.True(t, ok)
	section, _, _ = strings.Cut(section, "\n## ")
	listed := map[string]bool{}
	for _, m := range regexp.MustCompile("`([a-z_]+\\.[a-z_]+)`").FindAllStringSubmatch(section, -1) {
		require.False(t, listed[m[1]], "%s is listed twice", m[1])
		listed[m[1]] = true
	}
	levels := []string{"Debug", "Info", "Warn", "Error", "LogAttrs"}
	used := map[string]bool{}
	calls := 0
	for _, dir := range []string{"../../bot", "../../store", "../../schedule", "../../cmd"} {
		require.NoError(t, filepath.WalkDir(dir, func(path string, _ os.DirEntry, err error) error {
			if err != nil || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			fset := token.NewFileSet()
			file, err := parser.ParseFile(fset, path, nil, 0)
			if err != nil {
				return err
			}
			ast.Inspect(file, func(n ast.Node) bool {
				if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
					if s, err := strconv.Unquote(lit.Value); err == nil && listed[s] {
						used[s] = true
					}
				}
				call, ok := n.(*ast.CallExpr)
				if !ok {
					return true
				}
				sel, ok := call.Fun.(*ast.SelectorExpr)
				if !ok || !slices.Contains(levels, sel.Sel.Name) || !logs(sel.X) {
					return true
				}
				calls++
				name, has := eventOf(call)
				require.True(t, has, "%s: a line of the log without an event", fset.Position(call.Pos()))
				require.True(t, name == "" || listed[name], "%s: %q is not in DEVELOPERS.md", fset.Position(call.Pos()), name)
				return true
			})
			return nil
		}))
	}
	require.Greater(t, calls, 30)
	for name := range listed {
		require.True(t, used[name], "nothing logs %s", name)
	}
}

// logs reports whether x is a logger by its name.
func logs(x ast.Expr) bool {
	switch x := x.(type) {
	case *ast.Ident:
		return x.Name == "log" || x.Name == "logger"
	case *ast.SelectorExpr:
		return x.Sel.Name == "log" || x.Sel.Name == "Logger"
	}
	return false
}

// eventOf finds the event of a call; its name is "" where a variable says it.
func eventOf(call *ast.CallExpr) (name string, has bool) {
	ast.Inspect(call, func(n ast.Node) bool {
		c, ok := n.(*ast.CallExpr)
		if !ok {
			return true
		}
		for i, a := range c.Args {
			lit, ok := a.(*ast.BasicLit)
			if !ok || lit.Value != `"event"` || i+1 == len(c.Args) {
				continue
			}
			has = true
			if v, ok := c.Args[i+1].(*ast.BasicLit); ok {
				name, _ = strconv.Unquote(v.Value)
			}
		}
		return true
	})
	return name, has
}
