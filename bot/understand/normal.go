package understand

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// Normalise is the form in which texts are compared: lower case, no accents,
// Latin digits.
func Normalise(s string) string { return normalise(s) }

// normalise brings a text to the one form that all comparing is done in:
// compatibility forms resolved, lower case, no accents, digits 0–9 whatever
// script they were written in, one apostrophe, one hyphen, one times sign.
func normalise(s string) string {
	s = strings.ToValidUTF8(s, " ")
	var b strings.Builder
	b.Grow(len(s))
	var last rune
	put := func(t string) {
		b.WriteString(t)
		for _, r := range t {
			last = r
		}
	}
	for _, r := range s {
		switch {
		case r == '\n' || r == '\r' || r == '\u2028' || r == '\u2029' || r == '\u0085' || r == '\v' || r == '\f':
			put("\n")
		case r == '\u20e3' || r >= 0x1f3fb && r <= 0x1f3ff || unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Variation_Selector, r):
			// Keycaps, skin tones, joiners, direction marks carry no meaning here.
		case r == '½' || r == '¼' || r == '¾':
			f := map[rune]string{'½': ".5", '¼': ".25", '¾': ".75"}[r]
			if last < '0' || last > '9' {
				f = "0" + f
			}
			put(f + " ")
		case r == '🔟':
			put(" 10 ")
		case unicode.IsDigit(r):
			put(string(rune('0' + digitValue(r))))
		case unicode.IsNumber(r):
			// A superscript or circled figure must not grow onto a number before it.
			put(" " + norm.NFKC.String(string(r)) + " ")
		default:
			if t, ok := runeForms[r]; ok {
				put(t)
			} else {
				put(string(r))
			}
		}
	}
	s = strings.ToLower(norm.NFKC.String(b.String()))
	b.Reset()
	for _, r := range norm.NFD.String(s) {
		switch {
		case unicode.Is(unicode.Mn, r) || r == 'ـ':
		case r == '⁄':
			b.WriteByte('/')
		default:
			if t, ok := runeForms[r]; ok {
				b.WriteString(t)
			} else if unicode.IsDigit(r) {
				b.WriteByte(byte('0' + digitValue(r)))
			} else {
				b.WriteRune(r)
			}
		}
	}
	return b.String()
}

// runeForms are the spellings that Unicode's own foldings leave apart.
var runeForms = map[rune]string{
	'ß': "ss", 'ẞ': "ss", 'œ': "oe", 'æ': "ae", 'Œ': "oe", 'Æ': "ae", 'ø': "o", 'Ø': "o", 'ł': "l", 'ı': "i",
	'’': "'", '‘': "'", '`': "'", '´': "'", 'ʼ': "'", '＇': "'", '′': "'",
	'–': "-", '—': "-", '−': "-", '‐': "-", '‑': "-", '‒': "-",
	'×': "×", '✕': "×", '✖': "×", '⨯': "×", '*': "×", '∗': "×", '⋅': "×", 'х': "×", 'Х': "×",
	'،': ",", '؛': ";", '؟': "?", '٫': ".", '٬': "",
	'ى': "ي", 'ة': "ه", 'ٱ': "ا", 'ک': "ك", 'ی': "ي",
}

// digitValue is the value of a decimal digit of any script: the ranges of
// category Nd are runs of ten in ascending order.
func digitValue(r rune) rune {
	for _, x := range unicode.Nd.R16 {
		if r >= rune(x.Lo) && r <= rune(x.Hi) {
			return (r - rune(x.Lo)) % 10
		}
	}
	for _, x := range unicode.Nd.R32 {
		if r >= rune(x.Lo) && r <= rune(x.Hi) {
			return (r - rune(x.Lo)) % 10
		}
	}
	return 0
}
