package telegram

import (
	"html"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"
)

// MessageMax is the longest text of a message, in UTF-16 units.
const MessageMax = 4096

var escaper = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;")

// EscapeHTML makes s safe as text and as a quoted attribute of a message with
// HTML markup.
func EscapeHTML(s string) string { return escaper.Replace(s) }

// UTF16Len is the length of s as the Bot API counts it, in UTF-16 units.
func UTF16Len(s string) int {
	n := 0
	for _, r := range s {
		n += utf16.RuneLen(r)
	}
	return n
}

// One piece of HTML text that must stay whole. Anything that is not a
// well-formed tag or entity is text, taken rune by rune.
var (
	tagShape    = regexp.MustCompile(`^<(/?)([a-zA-Z][a-zA-Z0-9-]*)((?:"[^"]*"|'[^']*'|[^<>"'])*)>`)
	entityShape = regexp.MustCompile(`^&(?:#[0-9]{1,7}|#[xX][0-9a-fA-F]{1,6}|[a-zA-Z][a-zA-Z0-9]{1,31});`)
)

type pieceKind int

const (
	pieceText pieceKind = iota // a rune or an entity
	pieceOpen
	pieceClose
)

type piece struct {
	text  string // as written
	kind  pieceKind
	name  string // tag name as written
	shown string // what a reader sees; "" for tags
	width int    // UTF-16 units of text
}

// tagScan bounds how far a "<" is looked after for its ">", so that text with
// many of them stays linear. No tag that the API knows is as long.
const tagScan = 2048

func pieces(s string) []piece {
	var out []piece
	for len(s) > 0 {
		p := piece{kind: pieceText}
		switch s[0] {
		case '<':
			if m := tagShape.FindStringSubmatch(s[:min(len(s), tagScan)]); m != nil {
				p.text, p.name, p.kind = m[0], m[2], pieceOpen
				if m[1] != "" {
					p.kind = pieceClose
				}
			}
		case '&':
			if m := entityShape.FindString(s[:min(len(s), 64)]); m != "" {
				p.text, p.shown = m, html.UnescapeString(m)
			}
		}
		if p.text == "" {
			_, n := utf8.DecodeRuneInString(s)
			p.text, p.shown = s[:n], s[:n]
		}
		p.width = UTF16Len(p.text)
		out = append(out, p)
		s = s[len(p.text):]
	}
	return out
}

// StripHTML is what a reader of the HTML text s sees: tags gone, entities as
// the characters they stand for. A "<" or "&" that is neither stays.
func StripHTML(s string) string {
	var b strings.Builder
	for _, p := range pieces(s) {
		b.WriteString(p.shown)
	}
	return b.String()
}

// splitMin is the least limit Split keeps: room for the longest entity and
// for short tags around it.
const splitMin = 64

// Split cuts an HTML text into messages of at most limit UTF-16 units (at
// least 64; MessageMax is the API's), counted with the markup, so never more
// than the API counts. It cuts at the last line end that fits, else at a
// space, else between two characters; never inside a tag or an entity. Tags
// open at a cut are closed before it and opened again after it. Parts with
// nothing to see are left out, as the API refuses them: a blank text gives
// none. No visible character other than white space is lost.
//
// A text with so many open tags at a cut that they would take more than half of
// the next part is split without its markup.
func Split(text string, limit int) []string {
	limit = max(limit, splitMin)
	if UTF16Len(text) <= limit {
		if blank(StripHTML(text)) {
			return nil
		}
		return []string{text}
	}
	all := pieces(text)
	parts, ok := splitPieces(all, limit)
	if !ok {
		parts, _ = splitPieces(pieces(EscapeHTML(StripHTML(text))), limit)
	}
	return parts
}

func blank(s string) bool { return strings.IndexFunc(s, visible) < 0 }

func visible(r rune) bool { return !unicode.IsSpace(r) && r != 0 }

// splitPieces reports false when tags open at a cut would take more than half
// of the next part.
func splitPieces(all []piece, limit int) ([]string, bool) {
	var parts []string
	var open []piece // tags open where the next part begins
	for start := 0; start < len(all); {
		var b, seen strings.Builder
		overhead := 0
		for _, t := range open {
			b.WriteString(t.text)
			overhead += t.width + closeWidth(t)
		}
		cut := fit(all, start, open, limit)
		if cut == start || overhead > limit/2 {
			return nil, false
		}
		for _, p := range all[start:cut] {
			b.WriteString(p.text)
			seen.WriteString(p.shown)
			open = follow(open, p)
		}
		for i := len(open) - 1; i >= 0; i-- {
			b.WriteString("</" + open[i].name + ">")
		}
		if !blank(seen.String()) {
			parts = append(parts, b.String())
		}
		start = cut
	}
	return parts, true
}

// follow is the list of open tags after p. A closing tag that nobody opened is
// left for the server to refuse.
func follow(open []piece, p piece) []piece {
	switch p.kind {
	case pieceOpen:
		return append(open, p)
	case pieceClose:
		for j := len(open) - 1; j >= 0; j-- {
			if strings.EqualFold(open[j].name, p.name) {
				return open[:j]
			}
		}
	}
	return open
}

// fit finds where the part that begins at start ends, with open the tags open
// there. It returns start when nothing fits.
func fit(all []piece, start int, open []piece, limit int) (cut int) {
	line, space, last := start, start, start
	open = slices.Clone(open)
	width := 0
	for _, t := range open {
		width += t.width
	}
	i := start
	for ; i < len(all); i++ {
		p := all[i]
		open = follow(open, p)
		width += p.width
		closing := 0
		for _, t := range open {
			closing += closeWidth(t)
		}
		if width+closing > limit {
			break
		}
		last = i + 1
		// A closing tag right after a cut belongs before it.
		switch {
		case p.shown == "\n", p.kind == pieceClose && line == i && i > start:
			line = i + 1
		case p.kind == pieceText && blank(p.shown), p.kind == pieceClose && space == i && i > start:
			space = i + 1
		}
	}
	switch {
	case i == len(all):
		return last
	case line > start:
		return line
	case space > start:
		return space
	}
	return last
}

func closeWidth(t piece) int { return UTF16Len(t.name) + len("</>") }
