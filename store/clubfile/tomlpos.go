package clubfile

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// place is a line and a column, both from 1; columns count characters.
type place struct{ line, column int }

// tomlPlaces tells where the keys and values of a TOML text stand, by path,
// such as "squad[0].phase[1].from" or "gym[0].dumbbells[3]". The library reads
// the values but gives no places for what it read without error, and a problem
// with a value needs one. The text must already have been read without error.
type tomlPlaces struct {
	key, value map[string]place
}

type tomlScanner struct {
	s      string
	i      int
	starts []int // of lines
	arrays map[string]int
	out    tomlPlaces
}

func placesOf(text string) tomlPlaces {
	sc := &tomlScanner{s: text, starts: lineStarts(text), arrays: map[string]int{},
		out: tomlPlaces{map[string]place{}, map[string]place{}}}
	sc.file()
	return sc.out
}

func lineStarts(text string) []int {
	starts := []int{0}
	for i := range len(text) {
		if text[i] == '\n' {
			starts = append(starts, i+1)
		}
	}
	return starts
}

func placeAt(text string, starts []int, offset int) place {
	offset = min(max(offset, 0), len(text))
	n, found := slices.BinarySearch(starts, offset)
	if !found {
		n--
	}
	return place{n + 1, utf8.RuneCountInString(text[starts[n]:offset]) + 1}
}

func (sc *tomlScanner) here() place { return placeAt(sc.s, sc.starts, sc.i) }

func (sc *tomlScanner) more() bool { return sc.i < len(sc.s) }

func (sc *tomlScanner) at(prefix string) bool { return strings.HasPrefix(sc.s[sc.i:], prefix) }

// blank skips white space and comments, and line ends when lines is set.
func (sc *tomlScanner) blank(lines bool) {
	for sc.more() {
		switch c := sc.s[sc.i]; {
		case c == ' ' || c == '\t' || c == '\n' && lines:
			sc.i++
		case c == '#':
			sc.line()
		default:
			return
		}
	}
}

// line skips to the end of the line.
func (sc *tomlScanner) line() {
	for sc.more() && sc.s[sc.i] != '\n' {
		sc.i++
	}
}

func (sc *tomlScanner) file() {
	table := ""
	for {
		sc.blank(true)
		if !sc.more() {
			return
		}
		if sc.at("[") {
			table = sc.header()
		} else {
			sc.pair(table)
		}
		sc.line()
	}
}

// header reads [a.b] or [[a.b]] and gives the path of the table it opens.
func (sc *tomlScanner) header() string {
	p := sc.here()
	array := sc.at("[[")
	sc.i++
	if array {
		sc.i++
	}
	path := ""
	keys := sc.keys()
	for i, k := range keys {
		path = join(path, k)
		if i == len(keys)-1 && array {
			sc.arrays[path]++
		}
		if n := sc.arrays[path]; n > 0 {
			path = index(path, n-1)
		}
	}
	sc.out.key[path] = p
	return path
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

func index(path string, i int) string { return fmt.Sprintf("%s[%d]", path, i) }

// keys reads a key of one or more parts.
func (sc *tomlScanner) keys() []string {
	var keys []string
	for {
		sc.blank(false)
		keys = append(keys, sc.simpleKey())
		sc.blank(false)
		if !sc.at(".") {
			return keys
		}
		sc.i++
	}
}

func (sc *tomlScanner) simpleKey() string {
	start := sc.i
	if sc.at(`"`) || sc.at(`'`) {
		sc.text()
		return strings.Trim(sc.s[start:sc.i], `"'`)
	}
	for sc.more() && !strings.ContainsRune(" \t\n.=]#", rune(sc.s[sc.i])) {
		sc.i++
	}
	return sc.s[start:sc.i]
}

// pair reads key = value in the table at path.
func (sc *tomlScanner) pair(path string) {
	p := sc.here()
	for _, k := range sc.keys() {
		path = join(path, k)
		if _, there := sc.out.key[path]; !there {
			sc.out.key[path] = p
		}
	}
	sc.blank(false)
	if sc.at("=") {
		sc.i++
	}
	sc.blank(false)
	sc.read(path)
}

// read passes over a value, noting where it stands.
func (sc *tomlScanner) read(path string) {
	sc.out.value[path] = sc.here()
	switch {
	case sc.at(`"`), sc.at(`'`):
		sc.text()
	case sc.at("["):
		sc.i++
		for n := 0; ; {
			sc.blank(true)
			switch {
			case !sc.more():
				return
			case sc.at("]"):
				sc.i++
				return
			case sc.at(","):
				sc.i++
			default:
				before := sc.i
				sc.read(index(path, n))
				n++
				if sc.i == before {
					sc.i++
				}
			}
		}
	case sc.at("{"):
		sc.i++
		for {
			sc.blank(true)
			switch {
			case !sc.more():
				return
			case sc.at("}"):
				sc.i++
				return
			case sc.at(","):
				sc.i++
			default:
				before := sc.i
				sc.pair(path)
				if sc.i == before {
					sc.i++
				}
			}
		}
	default:
		for sc.more() && !strings.ContainsRune(",]}#\n", rune(sc.s[sc.i])) {
			sc.i++
		}
	}
}

// text passes over a string of any of the four kinds.
func (sc *tomlScanner) text() {
	q := sc.s[sc.i : sc.i+1]
	end := q
	if long := strings.Repeat(q, 3); sc.at(long) {
		end = long
	}
	sc.i += len(end)
	for sc.more() {
		switch {
		case q == `"` && sc.at(`\`):
			sc.i += 2
		case sc.at(end):
			sc.i += len(end)
			for len(end) == 3 && sc.at(q) { // up to two more belong to the text
				sc.i++
			}
			sc.i = min(sc.i, len(sc.s))
			return
		default:
			sc.i++
		}
	}
	sc.i = min(sc.i, len(sc.s))
}
