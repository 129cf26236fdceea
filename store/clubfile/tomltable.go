package clubfile

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/BurntSushi/toml"

	"pegcard/prescribe"
	"pegcard/store"
)

// Limits that keep a file that is no settings file from taking long to refuse.
const (
	maxTOMLLine  = 4000 // characters
	maxTOMLDepth = 100  // open brackets
	maxTOMLDots  = 200  // in a line
	maxTOMLSize  = 512 << 10
	maxTables    = 500 // of one name, such as [[squad]]
)

// tomlTable is a table of a TOML file being read. Every key that is asked for
// is known; done reports the others. A value that is wrong is reported where it
// stands, and the reading goes on with a zero value.
type tomlTable struct {
	ps     *problems
	places *tomlPlaces
	path   string
	values map[string]any
	known  []string
	faulty map[string]bool // keys with a reported fault
}

// openTOML reads a TOML file. The text comes back for the record. It gives nil
// when the text is not TOML; only the first such error can be told.
func openTOML(r io.Reader, ps *problems) (*tomlTable, string) {
	text, ok := load(r, ps)
	if !ok {
		return nil, ""
	}
	if len(text) > maxTOMLSize {
		ps.add(0, 0, fmt.Sprintf("the file is too large: more than %d KB", maxTOMLSize>>10), "check that it is the settings file")
		return nil, ""
	}
	depth := 0
	for n, l := range strings.Split(text, "\n") {
		if len(l) > maxTOMLLine {
			ps.add(n+1, 1, "the line is too long for a settings file", fmt.Sprintf("break it into lines of at most %d characters", maxTOMLLine))
			return nil, ""
		}
		l, _, _ = strings.Cut(l, "#")
		depth += strings.Count(l, "[") + strings.Count(l, "{") - strings.Count(l, "]") - strings.Count(l, "}")
		if depth > maxTOMLDepth || strings.Count(l, "[")+strings.Count(l, "{") > maxTOMLDots || strings.Count(l, ".") > maxTOMLDots {
			ps.add(n+1, 1, "there are too many brackets or dots inside each other", "close each bracket; no table here lies more than three deep")
			return nil, ""
		}
	}
	values := map[string]any{}
	if _, err := toml.Decode(text, &values); err != nil {
		var pe toml.ParseError
		if errors.As(err, &pe) {
			p := placeAt(text, lineStarts(text), pe.Position.Start)
			if p.line != pe.Position.Line && pe.Position.Line > 0 {
				p = place{pe.Position.Line, 1}
			}
			mend := "check quotation marks, brackets and equals signs here and on the line before"
			if pe.LastKey != "" {
				mend += fmt.Sprintf(" (the last key read is %q)", pe.LastKey)
			}
			ps.add(p.line, p.column, strings.TrimSuffix(pe.Message, "."), mend)
		} else {
			ps.add(0, 0, "the file cannot be read: "+err.Error(), "check it against the description of its format")
		}
		return nil, text
	}
	places := placesOf(text)
	return &tomlTable{ps: ps, places: &places, values: values}, text
}

// place is where the value of key stands, or the key, or the table.
func (t *tomlTable) place(key string) place {
	path := join(t.path, key)
	if p, ok := t.places.value[path]; ok {
		return p
	}
	if p, ok := t.places.key[path]; ok {
		return p
	}
	if p, ok := t.places.key[index(path, 0)]; ok {
		return p
	}
	return t.own()
}

// own is where the table itself begins.
func (t *tomlTable) own() place {
	if p, ok := t.places.key[t.path]; ok {
		return p
	}
	if p, ok := t.places.value[t.path]; ok {
		return p
	}
	return place{1, 1}
}

func (t *tomlTable) at() store.At {
	p := t.own()
	return store.At{File: t.ps.file, Line: p.line, Column: p.column}
}

// wrong reports a fault in the value of key; key may be "list[2]".
func (t *tomlTable) wrong(key string, f *fault) {
	p := t.place(key)
	name, _, _ := strings.Cut(key, "[")
	if t.faulty == nil {
		t.faulty = map[string]bool{}
	}
	t.faulty[name] = true
	t.ps.add(p.line, p.column, name+": "+f.what, f.mend)
}

// missing reports a key that is needed.
func (t *tomlTable) missing(key, mend string) {
	p := t.own()
	t.ps.add(p.line, p.column, t.name()+fmt.Sprintf("has no %q", key), mend)
}

// name is how the table is called in a sentence, with a space after it.
func (t *tomlTable) name() string {
	if t.path == "" {
		return "the file "
	}
	last := t.path[strings.LastIndexByte(t.path, '.')+1:]
	name, _, _ := strings.Cut(last, "[")
	return "this " + name + " "
}

func (t *tomlTable) get(key string) (any, bool) {
	if !slices.Contains(t.known, key) {
		t.known = append(t.known, key)
	}
	v, ok := t.values[key]
	return v, ok
}

func (t *tomlTable) has(key string) bool { _, ok := t.values[key]; return ok }

// done reports the keys that nobody asked for.
func (t *tomlTable) done() {
	var keys []string
	for k := range t.values {
		if !slices.Contains(t.known, k) {
			keys = append(keys, k)
		}
	}
	slices.Sort(keys)
	slices.Sort(t.known)
	for _, k := range keys {
		if t.ps.full() {
			t.ps.more++
			continue
		}
		p, ok := t.places.key[join(t.path, k)]
		if !ok {
			if p, ok = t.places.key[index(join(t.path, k), 0)]; !ok {
				p = t.place(k)
			}
		}
		t.ps.add(p.line, p.column, fmt.Sprintf("key %q is not known here", k), oneOf(k, t.known))
	}
}

func (t *tomlTable) mistyped(key string, v any, want string) {
	kind := "something else"
	switch v.(type) {
	case string:
		kind = "a text in quotation marks"
	case int64, float64:
		kind = "a number"
	case bool:
		kind = "true or false"
	case time.Time:
		kind = "a date or time"
	case []any:
		kind = "a list"
	case map[string]any, []map[string]any:
		kind = "a table"
	}
	t.wrong(key, wrong("write "+want, "is %s", kind))
}

// text reads a string; "" when it is not there.
func (t *tomlTable) text(key, want string) string {
	v, ok := t.get(key)
	if !ok {
		return ""
	}
	s, ok := v.(string)
	if !ok {
		t.mistyped(key, v, want)
		return ""
	}
	return strings.TrimSpace(s)
}

// needText reads a string that must be there.
func (t *tomlTable) needText(key, want string) string {
	s := t.text(key, want)
	if _, ok := t.values[key]; !ok {
		t.missing(key, "add "+key+" = "+want)
	} else if _, ok := t.values[key].(string); ok && s == "" {
		t.wrong(key, wrong("write "+want, "is empty"))
	}
	return s
}

// choice reads one of a closed list; def when it is not there.
func (t *tomlTable) choice(key, def string, of ...string) string {
	s := t.text(key, "one of "+shortList(of))
	if s == "" {
		if v, ok := t.values[key].(string); ok {
			t.wrong(key, wrong(oneOf(v, of), "is empty"))
		}
		return def
	}
	if !slices.Contains(of, s) {
		t.wrong(key, wrong(oneOf(s, of), "%q is not known", s))
		return def
	}
	return s
}

// checked reads a string that check accepts.
func (t *tomlTable) checked(key, want string, check func(string) (string, *fault)) string {
	s := t.text(key, want)
	if s == "" {
		return ""
	}
	out, f := check(s)
	if f != nil {
		t.wrong(key, f)
	}
	return out
}

func (t *tomlTable) flag(key string) bool {
	v, ok := t.get(key)
	if !ok {
		return false
	}
	b, ok := v.(bool)
	if !ok {
		t.mistyped(key, v, "true or false, without quotation marks")
	}
	return b
}

func (t *tomlTable) whole(key string, def, lo, hi int) int {
	v, ok := t.get(key)
	if !ok {
		return def
	}
	n, ok := v.(int64)
	if !ok {
		t.mistyped(key, v, fmt.Sprintf("a whole number from %d to %d", lo, hi))
		return def
	}
	if n < int64(lo) || n > int64(hi) {
		t.wrong(key, wrong(fmt.Sprintf("write a whole number from %d to %d", lo, hi), "%d is out of range", n))
		return def
	}
	return int(n)
}

// needWhole reads a whole number that must be there.
func (t *tomlTable) needWhole(key string, lo, hi int, what string) int {
	if !t.has(key) {
		t.get(key)
		t.missing(key, fmt.Sprintf("add %s = %s, %d to %d", key, what, lo, hi))
		return 0
	}
	return t.whole(key, 0, lo, hi)
}

// real reads a number within lo..hi, with or without decimals.
func (t *tomlTable) real(key string, def, lo, hi float64, unit string) float64 {
	v, ok := t.get(key)
	if !ok {
		return def
	}
	return t.realValue(key, v, def, lo, hi, unit)
}

func (t *tomlTable) realValue(key string, v any, def, lo, hi float64, unit string) float64 {
	var x float64
	switch n := v.(type) {
	case int64:
		x = float64(n)
	case float64:
		x = n
	default:
		t.mistyped(key, v, fmt.Sprintf("a number from %v to %v (%s), without quotation marks", lo, hi, unit))
		return def
	}
	if !(x >= lo && x <= hi) {
		t.wrong(key, wrong(fmt.Sprintf("write a number from %v to %v (%s)", lo, hi, unit), "%v is out of range", x))
		return def
	}
	return x
}

// list reads a list, calling f with each element and the key of its place.
func (t *tomlTable) list(key, want string, f func(key string, v any)) {
	v, ok := t.get(key)
	if !ok {
		return
	}
	l, ok := v.([]any)
	if !ok {
		t.mistyped(key, v, "a list in square brackets: "+want)
		return
	}
	for i, e := range l {
		f(index(key, i), e)
	}
}

// texts reads a list of strings.
func (t *tomlTable) texts(key, want string) []string {
	var out []string
	t.list(key, want, func(k string, v any) {
		if s, ok := v.(string); ok {
			out = append(out, strings.TrimSpace(s))
		} else {
			t.mistyped(k, v, want)
			out = append(out, "")
		}
	})
	return out
}

// choices reads a list out of a closed one, each once.
func choices[T ~string](t *tomlTable, key string, of []string) []T {
	var out []T
	t.list(key, shortList(of), func(k string, v any) {
		s, ok := v.(string)
		switch {
		case !ok:
			t.mistyped(k, v, "one of "+shortList(of))
		case !slices.Contains(of, s):
			t.wrong(k, wrong(oneOf(s, of), "%q is not known", s))
		case slices.Contains(out, T(s)):
			t.wrong(k, wrong("name it once", "%q is there twice", s))
		default:
			out = append(out, T(s))
		}
	})
	return out
}

// clock reads a time of day, "07:30".
func (t *tomlTable) clock(key string, def store.Clock) store.Clock {
	v, ok := t.get(key)
	if !ok {
		return def
	}
	switch c := v.(type) {
	case string:
		if tm, err := time.Parse("15:04", strings.TrimSpace(c)); err == nil {
			return store.Clock(tm.Hour()*60 + tm.Minute())
		}
		t.wrong(key, wrong(`write hours and minutes of the 24-hour clock, such as "07:30"`, "%q is not a time of day", c))
	case time.Time:
		if c.Year() <= 1 { // a TOML local time
			return store.Clock(c.Hour()*60 + c.Minute())
		}
		t.mistyped(key, v, `a time of day, such as "07:30"`)
	default:
		t.mistyped(key, v, `a time of day, such as "07:30"`)
	}
	return def
}

// day reads a date, as text or as a TOML date.
func (t *tomlTable) day(key string) prescribe.Day {
	v, ok := t.get(key)
	if !ok {
		t.missing(key, "add "+key+` = "year-month-day", such as "2026-03-04"`)
		return 0
	}
	switch d := v.(type) {
	case string:
		out, f := day(d)
		if f != nil {
			t.wrong(key, f)
		}
		return out
	case time.Time:
		if y := d.Year(); y >= 1900 && y <= 2200 {
			return prescribe.DayOf(d)
		}
	}
	t.mistyped(key, v, `year-month-day, such as "2026-03-04"`)
	return 0
}

// tables reads an array of tables, [[key]].
func (t *tomlTable) tables(key string) []*tomlTable {
	v, ok := t.get(key)
	if !ok {
		return nil
	}
	var out []*tomlTable
	add := func(i int, m map[string]any) {
		if i >= maxTables {
			if i == maxTables {
				t.wrong(index(key, i), wrong("take the others out", "there are more than %d", maxTables))
			}
			return
		}
		out = append(out, &tomlTable{ps: t.ps, places: t.places, path: index(join(t.path, key), i), values: m})
	}
	switch l := v.(type) {
	case []map[string]any:
		for i, m := range l {
			add(i, m)
		}
	case []any:
		for i, e := range l {
			if m, ok := e.(map[string]any); ok {
				add(i, m)
			} else {
				t.mistyped(index(key, i), e, fmt.Sprintf("a table: [[%s]]", join(t.path, key)))
			}
		}
	case map[string]any:
		t.wrong(key, wrong(fmt.Sprintf("write [[%s]], in double brackets", stripIndex(join(t.path, key))), "is a single table"))
	default:
		t.mistyped(key, v, fmt.Sprintf("tables: [[%s]]", stripIndex(join(t.path, key))))
	}
	return out
}

// stripIndex takes the numbers out of a path: "squad[0].phase" → "squad.phase".
func stripIndex(path string) string {
	var b strings.Builder
	in := false
	for _, r := range path {
		switch {
		case r == '[':
			in = true
		case r == ']':
			in = false
		case !in:
			b.WriteRune(r)
		}
	}
	return b.String()
}
