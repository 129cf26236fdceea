package understand

import (
	"strconv"
	"strings"
	"unicode"
)

type tokenKind uint8

const (
	tokWord tokenKind = iota
	tokNumber
	tokSymbol // one of the marks below, or any other sign
	tokEmoji
)

// token is a piece of normalised text.
type token struct {
	kind tokenKind
	text string
	num  number
}

// number is a number as written. In "102,5" the comma may be a decimal comma or
// stand between two numbers; which one is for the grammar to find out.
type number struct {
	val   float64
	whole bool
	comma bool // "a,b": val is the decimal reading
	a, b  int
	tight string // digits after the comma
	odd   bool   // 1,000, 1.000, 0123456: no way to tell
	word  bool   // written as a word
}

const marks = ",;.:/-+=()%?!@\n&~<>"

// tokenise splits normalised text.
func tokenise(s string) []token {
	rs := []rune(s)
	var out []token
	for i := 0; i < len(rs); {
		r := rs[i]
		switch {
		case r >= '0' && r <= '9':
			j := i + 1
			for j < len(rs) && (isDigit(rs[j]) || (rs[j] == '.' || rs[j] == ',') && j+1 < len(rs) && isDigit(rs[j+1])) {
				j++
			}
			if n := ordinalEnd(rs, i, j); n > j {
				out = append(out, token{kind: tokWord, text: string(rs[i:n])})
				i = n
				continue
			}
			out = append(out, numbers(string(rs[i:j]))...)
			i = j
		case r == '.' && i+1 < len(rs) && isDigit(rs[i+1]) && (i == 0 || unicode.IsSpace(rs[i-1])):
			j := i + 1
			for j < len(rs) && isDigit(rs[j]) {
				j++
			}
			out = append(out, numbers("0"+string(rs[i:j]))...)
			i = j
		case r == '×':
			out = append(out, token{kind: tokSymbol, text: "x"})
			i++
		case unicode.IsLetter(r):
			j := i + 1
			for j < len(rs) && (unicode.IsLetter(rs[j]) || rs[j] == '\'' && j+1 < len(rs) && unicode.IsLetter(rs[j+1])) {
				j++
			}
			word := string(rs[i:j])
			afterDigit := i > 0 && isDigit(rs[i-1])
			if word == "x" {
				out = append(out, token{kind: tokSymbol, text: "x"})
			} else {
				if afterDigit && strings.HasPrefix(word, "x") {
					out = append(out, token{kind: tokSymbol, text: "x"})
					word = word[1:]
				}
				// "100kgx5"
				times := afterDigit && j < len(rs) && isDigit(rs[j]) && len(word) > 1 && strings.HasSuffix(word, "x")
				if times {
					word = word[:len(word)-1]
				}
				out = append(out, words(word)...)
				if times {
					out = append(out, token{kind: tokSymbol, text: "x"})
				}
			}
			i = j
		case r == '-' && i > 0 && i+1 < len(rs) && unicode.IsLetter(rs[i-1]) && unicode.IsLetter(rs[i+1]):
			i++ // a hyphen inside a word parts it
		case r == '\n':
			out = append(out, token{kind: tokSymbol, text: "\n"})
			i++
		case unicode.IsSpace(r) || r == '\'' || r == '"' || r == '_' || unicode.IsControl(r):
			i++
		case strings.ContainsRune(marks, r):
			out = append(out, token{kind: tokSymbol, text: string(r)})
			i++
		case unicode.Is(unicode.So, r) || r >= 0x1f000:
			out = append(out, token{kind: tokEmoji, text: string(r)})
			i++
		default:
			out = append(out, token{kind: tokSymbol, text: string(r)})
			i++
		}
	}
	return out
}

// ordinalEnd is the end of "3rd", "3a", "3ème" when the digit at i has such an
// ending; such a word is looked up whole.
func ordinalEnd(rs []rune, i, j int) int {
	if j != i+1 || rs[i] < '1' || rs[i] > '6' {
		return j
	}
	n := j
	for n < len(rs) && n < j+4 && unicode.IsLetter(rs[n]) {
		n++
	}
	switch string(rs[j:n]) {
	case "st", "nd", "rd", "th", "a", "o", "e", "er", "ere", "re", "eme":
		return n
	}
	return j
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

// numbers splits a run of digits, points and commas. "5,5,4" and "5.5.4" are
// lists; "102.5" is a number; "102,5" is one token that may be either.
func numbers(s string) []token {
	points, commas := strings.Count(s, "."), strings.Count(s, ",")
	switch {
	case points+commas == 0:
		return []token{whole(s)}
	case points == 1 && commas == 0:
		f := s[strings.IndexByte(s, '.')+1:]
		v, err := strconv.ParseFloat(s, 64)
		n := number{val: v, whole: err == nil && v == float64(int(v))}
		n.odd = err != nil || len(f) > 2 && s[0] != '0' || len(s) > 9
		return []token{{kind: tokNumber, text: s, num: n}}
	case commas == 1 && points == 0:
		l, r, _ := strings.Cut(s, ",")
		v, err := strconv.ParseFloat(l+"."+r, 64)
		a, errA := strconv.Atoi(l)
		b, errB := strconv.Atoi(r)
		n := number{val: v, comma: true, a: a, b: b, tight: r}
		n.odd = err != nil || errA != nil || errB != nil || len(r) > 2 && l != "0" || len(l) > 4
		return []token{{kind: tokNumber, text: s, num: n}}
	}
	sep := ","
	if commas == 0 {
		sep = "."
	}
	var out []token
	for i, part := range strings.Split(s, sep) {
		if i > 0 {
			out = append(out, token{kind: tokSymbol, text: ","})
		}
		if part == "" {
			continue
		}
		out = append(out, numbers(part)...)
	}
	return out
}

func whole(s string) token {
	v, err := strconv.ParseFloat(s, 64)
	if len(s) > 6 {
		err = strconv.ErrRange
	}
	n := number{val: v, whole: err == nil, odd: err != nil}
	return token{kind: tokNumber, text: s, num: n}
}

// elided are the little words that French and Italian tie to the next word.
var elided = map[string]bool{
	"l": true, "d": true, "j": true, "n": true, "m": true, "s": true, "t": true, "c": true, "qu": true, "un": true,
	"all": true, "dell": true, "nell": true, "sull": true, "dall": true, "jusqu": true,
}

// words splits a run of letters at elisions and takes other apostrophes out, so
// that "can't" and "cant" are one word.
func words(w string) []token {
	var out []token
	for {
		l, r, ok := strings.Cut(w, "'")
		if !ok || !elided[l] || len(r) < 2 {
			break
		}
		out = append(out, token{kind: tokWord, text: l})
		w = r
	}
	w = arabic(strings.ReplaceAll(w, "'", ""))
	if w == "" {
		return out
	}
	return append(out, token{kind: tokWord, text: w})
}

// arabic takes the article off an Arabic word, so that "الركبة" and "ركبة" are one.
func arabic(w string) string {
	rs := []rune(w)
	if len(rs) < 5 || rs[0] < 0x600 || rs[0] > 0x6ff {
		return w
	}
	for _, p := range []string{"وبال", "وال", "بال", "فال", "كال", "لل", "ال"} {
		if r, ok := strings.CutPrefix(w, p); ok && len([]rune(r)) >= 3 {
			return r
		}
	}
	return w
}

// proclitic gives an Arabic word without a one-letter word tied to its front.
func proclitic(w string) (string, bool) {
	for _, p := range []string{"و", "ب", "ف", "ل", "ك"} {
		if r, ok := strings.CutPrefix(w, p); ok && len([]rune(r)) >= 3 {
			return r, true
		}
	}
	return "", false
}
