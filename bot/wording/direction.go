package wording

import (
	"strings"

	"golang.org/x/text/unicode/bidi"
)

// Unicode bidirectional controls (UAX #9, section 2). A first-strong isolate
// takes its direction from its own content, and left to right when that holds
// no letter, so "3 × 5" keeps its order in an Arabic line.
const (
	firstStrongIsolate = "\u2068"
	popIsolate         = "\u2069"
	rightToLeftMark    = "\u200f"
)

func isIsolate(r rune) bool { return r >= '\u2066' && r <= '\u2069' }

// isolate keeps s together and in its own direction inside a text of the
// speaker's: in a right-to-left language everything but plain digits and words
// of its own script, in a left-to-right language what holds right-to-left
// letters.
func (sp *Speaker) isolate(s string) string {
	if s == "" || strings.HasPrefix(s, firstStrongIsolate) && strings.HasSuffix(s, popIsolate) && strings.Count(s, popIsolate) == 1 {
		return s
	}
	foreign, mixed := false, false
	for _, r := range s {
		switch class(r) {
		case bidi.L:
			foreign = foreign || sp.rtl
		case bidi.R, bidi.AL:
			foreign = foreign || !sp.rtl
		case bidi.EN, bidi.AN:
		default:
			mixed = true
		}
	}
	if foreign || sp.rtl && mixed {
		return firstStrongIsolate + s + popIsolate
	}
	return s
}

func class(r rune) bidi.Class {
	p, _ := bidi.LookupRune(r)
	return p.Class()
}

// directed gives each line of a right-to-left text that direction where its
// first letter would give it the other one, and keeps code examples together.
func (sp *Speaker) directed(text string) string {
	if !sp.rtl {
		return text
	}
	if strings.Contains(text, "<code>") {
		text = strings.ReplaceAll(text, firstStrongIsolate+"<code>", "<code>")
		text = strings.ReplaceAll(text, "</code>"+popIsolate, "</code>")
		text = strings.ReplaceAll(text, "<code>", firstStrongIsolate+"<code>")
		text = strings.ReplaceAll(text, "</code>", "</code>"+popIsolate)
	}
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		if firstStrong(line) == bidi.L {
			lines[i] = rightToLeftMark + line
		}
	}
	return strings.Join(lines, "\n")
}

// firstStrong is the class of the first strong character outside tags and
// isolates (UAX #9 rule P2), or bidi.ON.
func firstStrong(line string) bidi.Class {
	depth := 0
	for _, r := range tags.ReplaceAllString(line, "") {
		switch {
		case r >= '\u2066' && r <= '\u2068':
			depth++
		case r == '\u2069' && depth > 0:
			depth--
		case depth == 0:
			if c := class(r); c == bidi.L || c == bidi.R || c == bidi.AL {
				return c
			}
		}
	}
	return bidi.ON
}
