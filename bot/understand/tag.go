package understand

import (
	"fmt"
	"slices"
	"sort"
	"strconv"
	"strings"
)

type lexemeKind uint8

const (
	lexUnknown lexemeKind = iota
	lexNumber
	lexSymbol
	lexEmoji
	lexTerm
)

// lexeme is a token, or a phrase of several, and what it can mean.
type lexeme struct {
	kind  lexemeKind
	text  string
	num   number
	keys  []string   // concepts, sorted
	items []int      // items of the card it names
	alts  [][]string // equally near words: one set of concepts each
	sign  bool       // part of a warning sign
	off   string     // an exercise that is not on the card, by its id or a part of it
}

func (l lexeme) has(key string) bool { return slices.Contains(l.keys, key) }

func (l lexeme) arg(prefix string) (string, bool) {
	for _, k := range l.keys {
		if a, ok := strings.CutPrefix(k, prefix+" "); ok {
			return a, true
		}
	}
	return "", false
}

func (l lexeme) symbol(s string) bool {
	return l.kind == lexSymbol && l.text != "" && strings.Contains(s, l.text)
}

// exercise: it names an exercise, on the card or not.
func (l lexeme) exercise() bool { return len(l.items) > 0 || l.has("exercise") }

// filler: it says nothing.
func (l lexeme) filler() bool { return l.has("filler") && len(l.keys) == 1 }

// tag looks up what the tokens mean: the card's exercises, the chat's language,
// English, the other languages; exactly, then with slips in the first two.
func tag(toks []token, used []bool, ctx Context) []lexeme {
	b := allBooks()
	lang := ctx.Lang
	if b.lang[lang] == nil {
		lang = "en"
	}
	items := itemBook(ctx.Items, b, lang)
	exact := []*matcher{newMatcher(items, nil, false), newMatcher(b.lang[lang], nil, false)}
	if lang != "en" {
		exact = append(exact, newMatcher(b.lang["en"], nil, false))
	}
	var others []*matcher
	for _, o := range b.order {
		if o != lang && o != "en" {
			others = append(others, newMatcher(b.lang[o], nil, false))
		}
	}
	fuzzy := []*matcher{newMatcher(items, b.known, true), newMatcher(b.lang[lang], b.known, true)}

	var out []lexeme
	for i := 0; i < len(toks); {
		t := toks[i]
		l := lexeme{text: t.text, sign: used[i]}
		best := hit{to: i}
		var keys []string
		for _, m := range exact {
			if k, h := longest(m, toks, i); h.to > best.to {
				best, keys = h, k
			}
		}
		var same []string
		reach, agree := i, true
		for _, m := range others {
			k, h := longest(m, toks, i)
			k = slices.DeleteFunc(slices.Clone(k), func(s string) bool { return strings.HasPrefix(s, "n ") })
			switch {
			case len(k) == 0 || h.to < reach:
			case h.to > reach:
				reach, same, agree = h.to, k, true
			default:
				agree = agree && slices.Equal(same, k)
			}
		}
		if reach > best.to && agree && !(t.kind == tokNumber && reach == i+1) {
			best, keys = hit{from: i, to: reach}, same
		}
		if best.to == i && t.kind == tokWord {
			var sets [][]string
			for _, m := range fuzzy {
				for _, h := range m.at(toks, i) {
					k := m.b.phrases[h.phrase].keys
					switch {
					case best.to == i || h.to > best.to || h.to == best.to && h.dist < best.dist:
						best, sets = h, [][]string{k}
					case h.to == best.to && h.dist == best.dist && !slices.ContainsFunc(sets, func(s []string) bool { return slices.Equal(s, k) }):
						sets = append(sets, k)
					}
				}
			}
			switch len(sets) {
			case 0:
			case 1:
				keys = sets[0]
			default:
				sort.Slice(sets, func(i, j int) bool { return slices.Compare(sets[i], sets[j]) < 0 })
				keys = sets[0]
				if !sameMeaning(sets, ctx.Items) {
					keys, l.alts = nil, sets
				}
			}
		}
		switch {
		case best.to > i:
			l.kind = lexTerm
			l.text = text(toks[i:best.to])
			for k := i; k < best.to; k++ {
				l.sign = l.sign && used[k]
			}
			if best.to == i+1 && t.kind == tokSymbol {
				l.kind, keys = lexSymbol, nil // "x" is a sign, in every language
			}
			if best.to == i+1 && t.kind == tokNumber {
				l.kind, l.num, keys = lexNumber, t.num, nil
			}
			l.mean(keys, ctx.Items)
			i = best.to
		default:
			switch t.kind {
			case tokNumber:
				l.kind, l.num = lexNumber, t.num
			case tokSymbol:
				l.kind = lexSymbol
			case tokEmoji:
				l.kind = lexEmoji
			}
			i++
		}
		out = append(out, l)
	}
	return out
}

// sameMeaning: all sets of concepts come to the same.
func sameMeaning(sets [][]string, items []Item) bool {
	var first lexeme
	first.mean(sets[0], items)
	for _, s := range sets[1:] {
		var l lexeme
		l.mean(s, items)
		if !slices.Equal(l.keys, first.keys) || !slices.Equal(l.items, first.items) {
			return false
		}
	}
	return true
}

// mean gives a lexeme its concepts: names of exercises become items, and a
// number word becomes a number.
func (l *lexeme) mean(keys []string, items []Item) {
	l.keys, l.items, l.off = nil, nil, ""
	var full, part []int
	named := false
	for _, k := range keys {
		switch {
		case strings.HasPrefix(k, "full "):
			n, _ := strconv.Atoi(k[5:])
			full = append(full, n)
		case strings.HasPrefix(k, "part "):
			n, _ := strconv.Atoi(k[5:])
			part = append(part, n)
		case strings.HasPrefix(k, "ex "):
			named = true
			if l.off == "" {
				l.off = k[3:]
			} else if l.off != k[3:] {
				l.off = "?" // one of several
			}
			for n, it := range items {
				id := "_" + string(it.Exercise) + "_"
				if strings.Contains(id, "_"+k[3:]+"_") && !slices.Contains(part, n) {
					part = append(part, n)
				}
			}
		case strings.HasPrefix(k, "n "):
			n, _ := strconv.Atoi(k[2:])
			l.num = number{val: float64(n), whole: true, word: true}
			l.keys = append(l.keys, k)
		default:
			l.keys = append(l.keys, k)
		}
	}
	sort.Ints(full)
	sort.Ints(part)
	l.items = part
	if len(full) > 0 {
		l.items = full
	}
	if len(l.items) > 0 {
		l.off = ""
	}
	if named && len(l.items) == 0 {
		l.keys = append(l.keys, "exercise")
		sort.Strings(l.keys)
	}
}

// number: it is a figure, or a word that can be one.
func (l lexeme) number() bool { return l.kind == lexNumber || l.num.word }

// longest is the longest phrase of a book that begins at token i, and the
// concepts of all phrases that long.
func longest(m *matcher, toks []token, i int) ([]string, hit) {
	best := hit{to: i}
	var keys []string
	for _, h := range m.at(toks, i) {
		switch k := m.b.phrases[h.phrase].keys; {
		case h.to > best.to:
			best, keys = h, slices.Clone(k)
		case h.to == best.to:
			for _, s := range k {
				if !slices.Contains(keys, s) {
					keys = append(keys, s)
				}
			}
		}
	}
	sort.Strings(keys)
	return keys, best
}

// itemBook holds the card's exercise names, whole and in parts. A single word
// that means something else as well ("hamstring" of a Nordic hamstring) is no
// part of a name.
func itemBook(items []Item, b *books, lang string) *book {
	bk := newBook()
	for n, it := range items {
		names := append([]string{strings.ReplaceAll(string(it.Exercise), "_", " ")}, it.Names...)
		for _, name := range names {
			toks := tokenise(normalise(name))
			toks = slices.DeleteFunc(toks, func(t token) bool { return t.kind != tokWord && t.kind != tokNumber })
			if len(toks) == 0 || len(toks) > 12 {
				continue
			}
			bk.add(text(toks), fmt.Sprintf("full %d", n), false)
			for i := range toks {
				for j := i + 1; j <= len(toks); j++ {
					if j == i+1 && !telling(toks[i], b, lang) {
						continue
					}
					bk.add(text(toks[i:j]), fmt.Sprintf("part %d", n), false)
				}
			}
		}
	}
	return bk
}

// telling: a word of a name that stands for nothing else.
func telling(t token, b *books, lang string) bool {
	if t.kind != tokWord || len([]rune(t.text)) < 3 {
		return false
	}
	for _, l := range []string{lang, "en"} {
		for _, w := range b.lang[l].find(t.text, false) {
			for _, p := range b.lang[l].byFirst[w.id] {
				if ph := b.lang[l].phrases[p]; len(ph.words) == 1 {
					for _, k := range ph.keys {
						if !strings.HasPrefix(k, "ex ") {
							return false
						}
					}
				}
			}
		}
	}
	return true
}
