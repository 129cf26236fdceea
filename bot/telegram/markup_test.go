package telegram_test

import (
	"regexp"
	"strings"
	"testing"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pegcard/bot/telegram"
)

func TestEscapeAndStrip(t *testing.T) {
	require.Equal(t, "&lt;b&gt; &amp;amp; &quot;x&quot;", telegram.EscapeHTML(`<b> &amp; "x"`))
	require.Equal(t, "1 < 2 & 3 > 2 bold ☺ &bogus", telegram.StripHTML(`1 < 2 &amp; 3 &gt; 2 <b>bold</b> &#9786; &bogus`))
	require.Equal(t, "link", telegram.StripHTML(`<a href="https://example.org/?a>b">link</a>`))
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.String().Draw(t, "s")
		require.Equal(t, s, telegram.StripHTML(telegram.EscapeHTML(s)))
	})
}

func TestUTF16Len(t *testing.T) {
	require.Equal(t, 0, telegram.UTF16Len(""))
	require.Equal(t, 2, telegram.UTF16Len("🏋"))
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.String().Draw(t, "s")
		require.Equal(t, len(utf16.Encode([]rune(s))), telegram.UTF16Len(s))
	})
}

func TestSplitKnown(t *testing.T) {
	require.Empty(t, telegram.Split("", 100))
	require.Empty(t, telegram.Split(" \n<b> </b>", 100))
	require.Equal(t, []string{"short"}, telegram.Split("short", 100))

	line := strings.Repeat("x", 40)
	require.Equal(t, []string{line + "\n", line + "\n", line}, telegram.Split(line+"\n"+line+"\n"+line, 64), "at line ends")
	require.Equal(t, []string{"<b>" + line + "\n</b>", "<b>" + line + "</b>"}, telegram.Split("<b>"+line+"\n"+line+"</b>", 64), "an open tag goes on")
	require.Equal(t, []string{"<b>" + line + "\n</b>", line}, telegram.Split("<b>"+line+"\n</b>"+line, 64), "a closing tag stays with its text")
	require.Equal(t, []string{line + " ", line}, telegram.Split(line+" "+line, 64), "at a space when there is no line end")
	require.Equal(t, []string{strings.Repeat("🏋", 32), strings.Repeat("🏋", 8)}, telegram.Split(strings.Repeat("🏋", 40), 64), "never half a character")
	entity := strings.Repeat("y", 62) + "&amp;" + "z"
	require.Equal(t, []string{strings.Repeat("y", 62), "&amp;z"}, telegram.Split(entity, 64), "never half an entity")
	deep := strings.Repeat("<b>", 40) + "word" + strings.Repeat("</b>", 40)
	require.Equal(t, []string{"word"}, telegram.Split(deep, 64), "without markup when it leaves no room")

	// 200 open tags take 1400 of 4096 units and are kept; 600 would take all.
	long := strings.Repeat("word ", 2000)
	require.Contains(t, telegram.Split(strings.Repeat("<b>", 200)+long, telegram.MessageMax)[1], "<b><b>")
	for _, p := range telegram.Split(strings.Repeat("<b>", 580)+long, telegram.MessageMax) {
		require.NotContains(t, p, "<b>")
	}

	full := strings.Repeat("q", telegram.MessageMax)
	require.Equal(t, []string{full}, telegram.Split(full, telegram.MessageMax))
	require.Len(t, telegram.Split(full+"q", telegram.MessageMax), 2)
}

// htmlText draws a well-formed message.
func htmlText(t *rapid.T, depth int) string {
	var b strings.Builder
	for range rapid.IntRange(0, 8).Draw(t, "n") {
		switch rapid.IntRange(0, 5).Draw(t, "kind") {
		case 0:
			b.WriteString("\n")
		case 1:
			b.WriteString(telegram.EscapeHTML(rapid.StringMatching(`[a-z<>&"é🏋 ]{0,90}`).Draw(t, "text")))
		case 2:
			b.WriteString(strings.Repeat("&amp;", rapid.IntRange(1, 20).Draw(t, "amps")))
		case 3:
			b.WriteString("&#9786; ")
		default:
			if depth > 0 {
				tag := rapid.SampledFrom([]string{"b", "i", "u", "code"}).Draw(t, "tag")
				b.WriteString("<" + tag + ">" + htmlText(t, depth-1) + "</" + tag + ">")
			}
		}
	}
	return b.String()
}

var (
	anyTag    = regexp.MustCompile(`<(/?)([a-z]+)>`)
	anyEntity = regexp.MustCompile(`&(amp|lt|gt|quot|#9786);`)
)

// wellFormed checks a part by other means than the code under test: tags
// nest, and no stray sign is left.
func wellFormed(part string) bool {
	var open []string
	for _, m := range anyTag.FindAllStringSubmatch(part, -1) {
		if m[1] == "" {
			open = append(open, m[2])
			continue
		}
		if len(open) == 0 || open[len(open)-1] != m[2] {
			return false
		}
		open = open[:len(open)-1]
	}
	rest := anyEntity.ReplaceAllString(anyTag.ReplaceAllString(part, ""), "")
	return len(open) == 0 && !strings.ContainsAny(rest, "<>&")
}

func seen(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return -1
		}
		return r
	}, telegram.StripHTML(s))
}

func TestSplitProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := htmlText(t, 3)
		limit := rapid.IntRange(64, 200).Draw(t, "limit")
		parts := telegram.Split(text, limit)
		for _, p := range parts {
			require.LessOrEqual(t, telegram.UTF16Len(p), limit)
			require.True(t, wellFormed(p), "%q", p)
			require.NotEmpty(t, seen(p))
		}
		require.Equal(t, seen(text), seen(strings.Join(parts, "")))
	})
}

func FuzzSplit(f *testing.F) {
	for _, s := range []string{"", "<b>x</b>", "a\nb", "<", "&", "&amp", "</b></i>", `<a href="`, strings.Repeat("<b>", 100), "\xff\xfe", strings.Repeat("<a", 3000)} {
		f.Add(s, 64)
	}
	f.Fuzz(func(t *testing.T, s string, limit int) {
		limit = max(limit, 64) % 5000
		if limit < 64 {
			limit = 64
		}
		parts := telegram.Split(s, limit)
		for _, p := range parts {
			if n := telegram.UTF16Len(p); n > limit {
				t.Fatalf("%d units, limit %d", n, limit)
			}
			if utf8.ValidString(s) && !utf8.ValidString(p) {
				t.Fatalf("half a character in %q", p)
			}
		}
	})
}
