package localchat

import (
	"cmp"
	"fmt"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"
)

// units counts UTF-16 code units, in which the Bot API measures text.
func units(s string) int {
	n := 0
	for _, r := range s {
		n += runeUnits(r)
	}
	return n
}

func runeUnits(r rune) int {
	if r > 0xffff {
		return 2
	}
	return 1
}

// htmlTags maps each tag of HTML parse mode to the entity it makes.
var htmlTags = map[string]string{
	"b": "bold", "strong": "bold",
	"i": "italic", "em": "italic",
	"u": "underline", "ins": "underline",
	"s": "strikethrough", "strike": "strikethrough", "del": "strikethrough",
	"span": "spoiler", "tg-spoiler": "spoiler",
	"a": "text_link", "code": "code", "pre": "pre", "blockquote": "blockquote",
}

type openTag struct {
	name, entity, argument string
	offset, byteAt         int
}

// entityError is why a text cannot be parsed, in the public server's words,
// which begin with a capital.
type entityError string

func (e entityError) Error() string { return string(e) }

func unparsed(format string, args ...any) error {
	return entityError(fmt.Sprintf(format, args...))
}

// parseHTML reads HTML parse mode into plain text and entities. The error
// texts follow the public server's; byte offsets point into the input.
func parseHTML(in string) (string, []Entity, error) {
	var out strings.Builder
	var entities []Entity
	var open []openTag
	at := 0 // UTF-16 offset in the output
	put := func(r rune) {
		out.WriteRune(r)
		at += runeUnits(r)
	}
	for i := 0; i < len(in); {
		if in[i] == '&' {
			if r, n := charReference(in[i:]); n > 0 {
				put(r)
				i += n
				continue
			}
		}
		if in[i] != '<' {
			r, n := utf8.DecodeRuneInString(in[i:])
			put(r)
			i += n
			continue
		}
		begin := i
		if strings.HasPrefix(in[i:], "</") {
			if len(open) == 0 {
				return "", nil, unparsed("Unexpected end tag at byte offset %d", begin)
			}
			end := strings.IndexByte(in[i:], '>')
			if end < 0 {
				return "", nil, unparsed("Unclosed end tag at byte offset %d", begin)
			}
			name := strings.ToLower(strings.TrimSpace(in[i+2 : i+end]))
			t := open[len(open)-1]
			if name != "" && name != t.name {
				return "", nil, unparsed("Unmatched end tag at byte offset %d, expected \"</%s>\", found \"</%s>\"", begin, t.name, name)
			}
			open = open[:len(open)-1]
			i += end + 1
			text := out.String()[t.byteAt:]
			if e, ok := closeTag(t, text, at-t.offset); ok {
				entities = append(entities, e)
			}
			continue
		}
		t, n, err := startTag(in, begin)
		if err != nil {
			return "", nil, err
		}
		t.offset, t.byteAt = at, out.Len()
		open = append(open, t)
		i += n
	}
	if len(open) > 0 {
		return "", nil, unparsed("Can't find end tag corresponding to start tag \"%s\"", open[len(open)-1].name)
	}
	text, entities := trimText(out.String(), tidy(entities))
	return text, entities, nil
}

// startTag reads "<name attr="value" …>" at in[begin:] and says how many
// bytes it took.
func startTag(in string, begin int) (openTag, int, error) {
	i := begin + 1
	for i < len(in) && !isSpace(in[i]) && in[i] != '>' {
		i++
	}
	if i == len(in) {
		return openTag{}, 0, unparsed("Unclosed start tag at byte offset %d", begin)
	}
	t := openTag{name: strings.ToLower(in[begin+1 : i])}
	var known bool
	if t.entity, known = htmlTags[t.name]; !known {
		return openTag{}, 0, unparsed("Unsupported start tag \"%s\" at byte offset %d", t.name, begin)
	}
	unclosed := unparsed("Unclosed start tag \"%s\" at byte offset %d", t.name, begin)
	for {
		for i < len(in) && isSpace(in[i]) {
			i++
		}
		if i == len(in) {
			return openTag{}, 0, unclosed
		}
		if in[i] == '>' {
			break
		}
		nameAt := i
		for i < len(in) && !isSpace(in[i]) && in[i] != '=' && in[i] != '>' {
			i++
		}
		attr := strings.ToLower(in[nameAt:i])
		if attr == "" {
			return openTag{}, 0, unparsed("Empty attribute name in the tag \"%s\" at byte offset %d", t.name, begin)
		}
		for i < len(in) && isSpace(in[i]) {
			i++
		}
		if i == len(in) {
			return openTag{}, 0, unclosed
		}
		if in[i] != '=' {
			if t.name == "blockquote" && attr == "expandable" {
				t.entity = "expandable_blockquote"
				continue
			}
			return openTag{}, 0, unparsed("Expected equal sign in declaration of an attribute of the tag \"%s\" at byte offset %d", t.name, begin)
		}
		i++
		for i < len(in) && isSpace(in[i]) {
			i++
		}
		if i == len(in) {
			return openTag{}, 0, unclosed
		}
		var value strings.Builder
		quote := in[i]
		if quote == '"' || quote == '\'' {
			i++
			for i < len(in) && in[i] != quote {
				if in[i] == '&' {
					if r, n := charReference(in[i:]); n > 0 {
						value.WriteRune(r)
						i += n
						continue
					}
				}
				value.WriteByte(in[i])
				i++
			}
			if i == len(in) {
				return openTag{}, 0, unclosed
			}
			i++
		} else {
			for i < len(in) && !isSpace(in[i]) && in[i] != '>' {
				value.WriteByte(in[i])
				i++
			}
		}
		switch {
		case t.name == "a" && attr == "href":
			t.argument = value.String()
		case t.name == "code" && attr == "class" && strings.HasPrefix(value.String(), "language-"):
			t.argument = strings.TrimPrefix(value.String(), "language-")
		case t.name == "span" && attr == "class" && value.String() == "tg-spoiler":
			t.argument = "tg-spoiler"
		case t.name == "blockquote" && attr == "expandable":
			t.entity = "expandable_blockquote"
		}
	}
	if t.name == "span" && t.argument == "" {
		return openTag{}, 0, unparsed("Tag \"span\" must have class \"tg-spoiler\" at byte offset %d", begin)
	}
	return t, i + 1 - begin, nil
}

func closeTag(t openTag, text string, length int) (Entity, bool) {
	if length == 0 {
		return Entity{}, false
	}
	e := Entity{Type: t.entity, Offset: t.offset, Length: length}
	switch t.name {
	case "a":
		link := t.argument
		if link == "" {
			link = text
		}
		u, err := url.Parse(link)
		if err != nil {
			return Entity{}, false // the public server, too, keeps the text and drops the link
		}
		if u.Scheme == "" && strings.Contains(u.Path, ".") {
			link, u.Scheme = "http://"+link, "http"
		}
		if !slices.Contains([]string{"http", "https", "tg"}, u.Scheme) {
			return Entity{}, false
		}
		e.URL = link
	case "code":
		e.Language = t.argument // moved to the enclosing pre by tidy
	}
	return e, true
}

// tidy orders entities outermost first and applies the manual's rules on
// nesting: <pre><code class> is one pre with its language, code and pre hold
// nothing else, and a style around code goes on before and after it.
func tidy(in []Entity) []Entity {
	var out, styles []Entity
	for _, e := range in {
		switch e.Type {
		case "pre", "code":
		case "bold", "italic", "underline", "strikethrough", "spoiler":
			styles = append(styles, e)
			continue
		}
		out = append(out, e)
	}
	outermost := func(a, b Entity) int {
		return cmp.Or(cmp.Compare(a.Offset, b.Offset), cmp.Compare(b.Length, a.Length), cmp.Compare(rank(a), rank(b)))
	}
	slices.SortStableFunc(out, outermost)
	var kept, code []Entity
	for _, e := range out {
		inside := slices.IndexFunc(kept, func(o Entity) bool { return isCode(o) && within(e, o) })
		if inside >= 0 {
			if o := &kept[inside]; o.Type == "pre" && e.Type == "code" && e.Offset == o.Offset && e.Length == o.Length {
				o.Language = e.Language
			}
			continue
		}
		if e.Type == "code" {
			e.Language = ""
		}
		if isCode(e) {
			code = append(code, e)
		}
		kept = append(kept, e)
	}
	for _, e := range styles {
		end := e.Offset + e.Length
		for _, c := range code { // in order
			if c.Offset >= end || c.Offset+c.Length <= e.Offset {
				continue
			}
			if before := c.Offset - e.Offset; before > 0 {
				part := e
				part.Length = before
				kept = append(kept, part)
			}
			e.Offset = c.Offset + c.Length
		}
		if e.Length = end - e.Offset; e.Length > 0 {
			kept = append(kept, e)
		}
	}
	slices.SortStableFunc(kept, outermost)
	return kept
}

func isCode(e Entity) bool { return e.Type == "code" || e.Type == "pre" }

func within(e, o Entity) bool {
	return e.Offset >= o.Offset && e.Offset+e.Length <= o.Offset+o.Length
}

// rank orders entities that cover the same text.
func rank(e Entity) int {
	switch e.Type {
	case "blockquote", "expandable_blockquote":
		return 0
	case "pre":
		return 1
	case "code":
		return 2
	}
	return 3
}

// charReference decodes the four named references and the numeric ones.
func charReference(s string) (rune, int) {
	if strings.HasPrefix(s, "&#") {
		digits, base, from := "0123456789", 10, 2
		if len(s) > 2 && (s[2] == 'x' || s[2] == 'X') {
			digits, base, from = "0123456789abcdefABCDEF", 16, 3
		}
		end := from
		for end < len(s) && strings.IndexByte(digits, s[end]) >= 0 {
			end++
		}
		n, err := strconv.ParseUint(s[from:end], base, 32)
		if err != nil || n == 0 || n > unicode.MaxRune || !utf8.ValidRune(rune(n)) {
			return 0, 0
		}
		if end < len(s) && s[end] == ';' {
			end++
		}
		return rune(n), end
	}
	for _, named := range []struct {
		name string
		r    rune
	}{{"&lt", '<'}, {"&gt", '>'}, {"&amp", '&'}, {"&quot", '"'}} {
		if rest, ok := strings.CutPrefix(s, named.name); ok {
			if rest != "" && (rest[0] >= 'a' && rest[0] <= 'z' || rest[0] >= 'A' && rest[0] <= 'Z') {
				return 0, 0
			}
			n := len(named.name)
			if strings.HasPrefix(rest, ";") {
				n++
			}
			return named.r, n
		}
	}
	return 0, 0
}

func isSpace(c byte) bool { return c == ' ' || c == '\t' || c == '\n' || c == '\r' }

// trimText drops white space at both ends and moves the entities along.
func trimText(text string, entities []Entity) (string, []Entity) {
	left := strings.TrimLeftFunc(text, unicode.IsSpace)
	shift := units(text[:len(text)-len(left)])
	trimmed := strings.TrimRightFunc(left, unicode.IsSpace)
	size := units(trimmed)
	var out []Entity
	for _, e := range entities {
		from := max(e.Offset-shift, 0)
		to := min(e.Offset-shift+e.Length, size)
		if to <= from {
			continue
		}
		e.Offset, e.Length = from, to-from
		out = append(out, e)
	}
	return trimmed, out
}

var (
	found  = regexp.MustCompile(`/[A-Za-z0-9_]{1,64}(?:@[A-Za-z0-9_]{3,32})?|@[A-Za-z0-9_]{3,32}|https?://[^\s<>"]+`)
	inWord = regexp.MustCompile(`[\pL\pN_/@]$`)
)

// findEntities adds what a chat server finds in plain text by itself:
// commands, mentions and web addresses.
func findEntities(text string, given []Entity) []Entity {
	out := slices.Clone(given)
	for _, m := range found.FindAllStringIndex(text, -1) {
		lo, hi := m[0], m[1]
		word := text[lo:hi]
		if inWord.MatchString(text[max(lo-utf8.UTFMax, 0):lo]) {
			continue // "and/or", "name@place"
		}
		e := Entity{Type: "bot_command"}
		switch {
		case strings.HasPrefix(word, "@"):
			e.Type = "mention"
		case strings.HasPrefix(word, "http"):
			e.Type = "url"
			word = strings.TrimRight(word, ".,;:!?)'")
		case hi < len(text) && text[hi] == '/':
			continue // a path, not a command
		}
		e.Offset, e.Length = units(text[:lo]), units(word)
		clash := slices.ContainsFunc(given, func(g Entity) bool {
			atomic := isCode(g) || g.Type == "text_link"
			return atomic && e.Offset < g.Offset+g.Length && g.Offset < e.Offset+e.Length
		})
		if !clash {
			out = append(out, e)
		}
	}
	slices.SortStableFunc(out, func(a, b Entity) int {
		return cmp.Or(cmp.Compare(a.Offset, b.Offset), cmp.Compare(b.Length, a.Length))
	})
	return out
}

// substring is the text an entity covers.
func substring(text string, e Entity) string {
	u := utf16.Encode([]rune(text))
	lo := min(max(e.Offset, 0), len(u))
	hi := min(max(lo+e.Length, lo), len(u))
	return string(utf16.Decode(u[lo:hi]))
}
