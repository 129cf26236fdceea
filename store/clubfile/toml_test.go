package clubfile

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/store"
)

func TestPlacesOfAwkwardTOML(t *testing.T) {
	text := "# a comment with [brackets] and \"quotes\"\n" +
		"name = \"a # in a text, and a \\\" too\" # after it\n" +
		"  \"quoted key\"   =  'literal [x'\n" +
		"long = \"\"\"\nline \"two\"\nline three\"\"\"\"\"\n" +
		"list = [ 1, [2, 3], # comment ]\n  \"x]\",\n  { a = 1, b.c = [4] },\n]\n" +
		"[ squad . inner ]\n" +
		"from = 2026-03-04 07:30:00\n" +
		"[[gym]]\n" +
		"slug = 'é'\n" +
		"[[gym.plate]]\nmass = 1\n" +
		"[[gym.plate]]\nmass = 2\n" +
		"[[gym]]\n[[gym.plate]]\n mass = 3\n"
	p := placesOf(text)
	for path, want := range map[string]place{
		"name":                 {2, 8},
		"quoted key":           {3, 21},
		"long":                 {4, 8},
		"list":                 {7, 8},
		"list[0]":              {7, 10},
		"list[1]":              {7, 13},
		"list[1][1]":           {7, 17},
		"list[2]":              {8, 3},
		"list[3]":              {9, 3},
		"list[3].a":            {9, 9},
		"list[3].b.c[0]":       {9, 19},
		"squad.inner.from":     {12, 8},
		"gym[0].slug":          {14, 8},
		"gym[0].plate[0].mass": {16, 8},
		"gym[0].plate[1].mass": {18, 8},
		"gym[1].plate[0].mass": {21, 9},
	} {
		require.Equal(t, want, p.value[path], path)
	}
	for path, want := range map[string]place{
		"name": {2, 1}, "quoted key": {3, 3}, "squad.inner": {11, 1}, "gym[0]": {13, 1}, "gym[1]": {19, 1}, "gym[1].plate[0]": {20, 1},
	} {
		require.Equal(t, want, p.key[path], path)
	}
}

// Every value that the library reads has a place, and stands there.
func TestEveryValueHasAPlace(t *testing.T) {
	text := `a = 1
b = [10, 20, [30]]
c.d = "x"
[t]
e = true
u = {f = 1.5, g = [{h = 7}]}
[[arr]]
i = "one"
[[arr]]
i = "two"
[arr.sub]
j = 5
`
	ps := &problems{file: "x.toml"}
	table, _ := openTOML(strings.NewReader(text), ps)
	require.NotNil(t, table)
	lines := strings.Split(text, "\n")
	var walk func(path string, v any)
	walk = func(path string, v any) {
		switch x := v.(type) {
		case map[string]any:
			for k, e := range x {
				walk(join(path, k), e)
			}
		case []map[string]any:
			for i, e := range x {
				walk(index(path, i), e)
			}
		case []any:
			for i, e := range x {
				walk(index(path, i), e)
			}
		default:
			p, ok := table.places.value[path]
			require.True(t, ok, path)
			rest := lines[p.line-1][p.column-1:]
			switch x := x.(type) {
			case string:
				require.True(t, strings.HasPrefix(rest, `"`+x), path)
			case bool:
				require.True(t, strings.HasPrefix(rest, "true"), path)
			default:
				require.Regexp(t, `^[0-9]`, rest, path)
			}
		}
	}
	walk("", table.values)
}

func TestTimesAndDatesInTOMLsOwnForm(t *testing.T) {
	ps := &problems{file: "x.toml"}
	table, _ := openTOML(strings.NewReader("a = 07:30:00\nb = 2026-03-04\nc = 2026-03-04T07:30:00Z\nd = 730\ne = \"07:30\"\nf = \"25:00\"\ng = \"2026-3-4\"\n"), ps)
	require.Equal(t, store.Clock(450), table.clock("a", 0))
	require.Equal(t, store.Clock(450), table.clock("e", 0))
	require.Equal(t, "2026-03-04", table.day("b").String())
	require.Empty(t, ps.list)
	require.Zero(t, table.clock("c", 0))
	require.Zero(t, table.clock("d", 0))
	require.Zero(t, table.clock("f", 0))
	require.Zero(t, table.day("g"))
	var got []string
	for _, p := range ps.sorted() {
		got = append(got, p.Error())
	}
	require.Equal(t, []string{
		`x.toml:3:5: c: is a date or time; write a time of day, such as "07:30"`,
		`x.toml:4:5: d: is a number; write a time of day, such as "07:30"`,
		`x.toml:6:5: f: "25:00" is not a time of day; write hours and minutes of the 24-hour clock, such as "07:30"`,
		`x.toml:7:5: g: "2026-3-4" is not a date; write year-month-day, such as 2001-03-12`,
	}, got)
}

func TestTOMLThatNestsTooDeep(t *testing.T) {
	for _, text := range []string{
		"a = " + strings.Repeat("[", 2000) + strings.Repeat("]", 2000) + "\n",
		"a = [\n" + strings.Repeat("[\n", 200) + strings.Repeat("]\n", 201),
		strings.Repeat("a.", 1500) + "a = 1\n",
		"a = \"" + strings.Repeat("x", 5000) + "\"\n",
	} {
		ps := &problems{file: "x.toml"}
		table, _ := openTOML(strings.NewReader(text), ps)
		require.Nil(t, table)
		require.Len(t, ps.list, 1)
	}
}
