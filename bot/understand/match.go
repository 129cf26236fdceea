package understand

import (
	"sort"
	"strings"
)

// book finds phrases in tokens.
type book struct {
	vocab   []vocabWord
	index   map[vocabWord]int
	exact   map[string]int
	stars   []int
	deleted map[string][]int // words with one or two letters left out → vocab
	phrases []phrase
	byFirst map[int][]int
	byText  map[string]int
}

type vocabWord struct {
	text string
	star bool
}

type phrase struct {
	words []int
	keys  []string // concepts, sorted
	hints []bool   // beside keys
}

func newBook() *book {
	return &book{index: map[vocabWord]int{}, exact: map[string]int{}, deleted: map[string][]int{}, byFirst: map[int][]int{}, byText: map[string]int{}}
}

// add puts a phrase in under a concept.
func (b *book) add(text, key string, hint bool) {
	var ids []int
	var name strings.Builder
	for _, w := range strings.Fields(text) {
		star := strings.HasSuffix(w, "*")
		toks := tokenise(normalise(strings.TrimSuffix(w, "*")))
		for i, t := range toks {
			if t.kind == tokSymbol && t.text != "x" {
				continue
			}
			id := b.word(vocabWord{t.text, star && i == len(toks)-1})
			ids = append(ids, id)
			name.WriteString(t.text)
			if star && i == len(toks)-1 {
				name.WriteByte('*')
			}
			name.WriteByte(' ')
		}
	}
	if len(ids) == 0 {
		return
	}
	p, ok := b.byText[name.String()]
	if !ok {
		p = len(b.phrases)
		b.byText[name.String()] = p
		b.phrases = append(b.phrases, phrase{words: ids})
		b.byFirst[ids[0]] = append(b.byFirst[ids[0]], p)
	}
	ph := &b.phrases[p]
	i := sort.SearchStrings(ph.keys, key)
	if i < len(ph.keys) && ph.keys[i] == key {
		ph.hints[i] = ph.hints[i] && hint
		return
	}
	ph.keys = append(ph.keys[:i], append([]string{key}, ph.keys[i:]...)...)
	ph.hints = append(ph.hints[:i], append([]bool{hint}, ph.hints[i:]...)...)
}

func (b *book) word(w vocabWord) int {
	if id, ok := b.index[w]; ok {
		return id
	}
	id := len(b.vocab)
	b.vocab = append(b.vocab, w)
	b.index[w] = id
	if w.star {
		b.stars = append(b.stars, id)
	} else {
		b.exact[w.text] = id
	}
	if k := slips(w.text); k > 0 {
		for _, d := range without(w.text, k) {
			b.deleted[d] = append(b.deleted[d], id)
		}
	}
	return id
}

// slips is how many typing mistakes a word may have: none under five letters,
// one from five, two from nine.
func slips(w string) int {
	switch n := len([]rune(w)); {
	case n < 5:
		return 0
	case n < 9:
		return 1
	case n > 40:
		return 0
	}
	return 2
}

// without lists w and w with up to k letters left out.
func without(w string, k int) []string {
	seen := map[string]bool{w: true}
	out := []string{w}
	for from := 0; k > 0; k-- {
		end := len(out)
		for ; from < end; from++ {
			rs := []rune(out[from])
			for i := range rs {
				s := string(rs[:i]) + string(rs[i+1:])
				if s != "" && !seen[s] {
					seen[s] = true
					out = append(out, s)
				}
			}
		}
	}
	return out
}

// distance is the number of single-letter slips (left out, added, changed, two
// neighbours swapped) between two words: optimal string alignment.
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	prev2, prev, cur := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(x); i++ {
		cur[0] = i
		for j := 1; j <= len(y); j++ {
			c := 1
			if x[i-1] == y[j-1] {
				c = 0
			}
			cur[j] = min(prev[j]+1, cur[j-1]+1, prev[j-1]+c)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				cur[j] = min(cur[j], prev2[j-2]+1)
			}
		}
		prev2, prev, cur = prev, cur, prev2
	}
	return prev[len(y)]
}

// wordMatch is a vocabulary word that a text word can be.
type wordMatch struct {
	id   int
	dist int
	far  bool // the first letters differ
}

// find lists the vocabulary words that w can be: exactly, or, where that fails
// and fuzzy is set, with slips.
func (b *book) find(w string, fuzzy bool) []wordMatch {
	var out []wordMatch
	forms := []string{w}
	if p, ok := proclitic(w); ok {
		forms = append(forms, p)
	}
	for _, f := range forms {
		if id, ok := b.exact[f]; ok {
			out = append(out, wordMatch{id: id})
		}
		for _, id := range b.stars {
			if strings.HasPrefix(f, b.vocab[id].text) {
				out = append(out, wordMatch{id: id})
			}
		}
		if len(out) > 0 {
			return out
		}
	}
	k := slips(w)
	if !fuzzy || k == 0 {
		return nil
	}
	seen := map[int]bool{}
	for _, d := range without(w, k) {
		for _, id := range b.deleted[d] {
			v := b.vocab[id]
			if seen[id] || v.star {
				continue
			}
			seen[id] = true
			if n := distance(w, v.text); n > 0 && n <= min(k, slips(v.text)) {
				out = append(out, wordMatch{id, n, firstRune(w) != firstRune(v.text)})
			}
		}
	}
	rs := []rune(w)
	for _, id := range b.stars {
		v := b.vocab[id].text
		m := slips(v)
		if m == 0 {
			continue
		}
		best := m + 1
		for n := len([]rune(v)) - 1; n <= len([]rune(v))+1; n++ {
			if n > 0 && n <= len(rs) {
				best = min(best, distance(string(rs[:n]), v))
			}
		}
		if best <= min(m, 1) {
			out = append(out, wordMatch{id, best, rs[0] != firstRune(v)})
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].id < out[j].id })
	return out
}

func firstRune(s string) rune {
	for _, r := range s {
		return r
	}
	return 0
}

// hit is a phrase found at a place.
type hit struct {
	phrase int
	from   int // token
	to     int // token after the last
	dist   int
	far    bool
}

// matcher looks words up once each.
type matcher struct {
	b     *book
	known map[string]bool // words that are not taken for slips; nil: none
	fuzzy bool
	cache map[string][]wordMatch
}

func newMatcher(b *book, known map[string]bool, fuzzy bool) *matcher {
	return &matcher{b: b, known: known, fuzzy: fuzzy, cache: map[string][]wordMatch{}}
}

func (m *matcher) word(t token) []wordMatch {
	if t.kind != tokWord && t.kind != tokNumber && t.text != "x" {
		return nil
	}
	if v, ok := m.cache[t.text]; ok {
		return v
	}
	v := m.b.find(t.text, m.fuzzy && t.kind == tokWord && !m.known[t.text])
	m.cache[t.text] = v
	return v
}

// at lists the phrases that begin at token i.
func (m *matcher) at(toks []token, i int) []hit {
	var out []hit
	for _, w := range m.word(toks[i]) {
		for _, p := range m.b.byFirst[w.id] {
			h := hit{phrase: p, from: i, to: i + 1, dist: w.dist, far: w.far}
			ok := true
			for _, want := range m.b.phrases[p].words[1:] {
				ok = false
				if h.to >= len(toks) {
					break
				}
				for _, v := range m.word(toks[h.to]) {
					if v.id == want {
						h.dist += v.dist
						h.far = h.far || v.far
						ok = true
						break
					}
				}
				if !ok {
					break
				}
				h.to++
			}
			if ok {
				out = append(out, h)
			}
		}
	}
	return out
}
