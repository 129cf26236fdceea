package localchat_test

import (
	"encoding/json"
	"html"
	"strings"
	"testing"
	"unicode"
	"unicode/utf16"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pegcard/bot/localchat"
)

// The tags are those listed under "HTML style" in the Bot API manual.
func TestHTML(t *testing.T) {
	type e = localchat.Entity
	for _, c := range []struct {
		in, text string
		want     []e
	}{
		{"plain &lt;b&gt; &amp; &quot;x&quot; &#65;&#x42; &nbsp; &amp", `plain <b> & "x" AB &nbsp; &`, nil},
		{"<b>a</b> <strong>b</strong> <i>c</i> <em>d</em>", "a b c d", []e{{Type: "bold", Length: 1}, {Type: "bold", Offset: 2, Length: 1}, {Type: "italic", Offset: 4, Length: 1}, {Type: "italic", Offset: 6, Length: 1}}},
		{"<u>a</u><ins>b</ins><s>c</s><strike>d</strike><del>e</del>", "abcde", []e{{Type: "underline", Length: 1}, {Type: "underline", Offset: 1, Length: 1}, {Type: "strikethrough", Offset: 2, Length: 1}, {Type: "strikethrough", Offset: 3, Length: 1}, {Type: "strikethrough", Offset: 4, Length: 1}}},
		{`<span class="tg-spoiler">a</span><tg-spoiler>b</tg-spoiler>`, "ab", []e{{Type: "spoiler", Length: 1}, {Type: "spoiler", Offset: 1, Length: 1}}},
		{`<a href="https://example.org/?a=1&amp;b=2">link</a>`, "link", []e{{Type: "text_link", Length: 4, URL: "https://example.org/?a=1&b=2"}}},
		{`<a href=https://example.org>x</a>`, "x", []e{{Type: "text_link", Length: 1, URL: "https://example.org"}}},
		{`<a href="javascript:alert(1)">x</a>`, "x", nil},
		{"<code>5 x 5</code>", "5 x 5", []e{{Type: "code", Length: 5}}},
		{"<pre>a\nb</pre>", "a\nb", []e{{Type: "pre", Length: 3}}},
		{`<pre><code class="language-go">x</code></pre>`, "x", []e{{Type: "pre", Length: 1, Language: "go"}}},
		{"<blockquote>q</blockquote>", "q", []e{{Type: "blockquote", Length: 1}}},
		{"<blockquote expandable>q</blockquote>", "q", []e{{Type: "expandable_blockquote", Length: 1}}},
		{"<b>a<i>b</i></b>", "ab", []e{{Type: "bold", Length: 2}, {Type: "italic", Offset: 1, Length: 1}}},
		{"<B>a</b>", "a", []e{{Type: "bold", Length: 1}}},
		{"<b></b>x", "x", nil},
		{"<code><b>x</b></code>", "x", []e{{Type: "code", Length: 1}}},
		{"<b>a <code>x</code> b</b>", "a x b", []e{{Type: "bold", Length: 2}, {Type: "code", Offset: 2, Length: 1}, {Type: "bold", Offset: 3, Length: 2}}},
		{"  <b> a </b>  ", "a", []e{{Type: "bold", Length: 1}}},
		// offsets count UTF-16 code units: 💪 is two, é and Arabic letters one each
		{"💪 <b>é</b> <i>مرحبا</i> 👩‍🦱<u>x</u>", "💪 é مرحبا 👩‍🦱x", []e{{Type: "bold", Offset: 3, Length: 1}, {Type: "italic", Offset: 5, Length: 5}, {Type: "underline", Offset: 16, Length: 1}}},
		{"see https://example.org/a. or /card, @pegs_bot 5/6 and/or /a/b", "see https://example.org/a. or /card, @pegs_bot 5/6 and/or /a/b", []e{{Type: "url", Offset: 4, Length: 21}, {Type: "bot_command", Offset: 30, Length: 5}, {Type: "mention", Offset: 37, Length: 9}}},
		{"<code>/card</code> <a href='https://example.org'>https://example.com</a>", "/card https://example.com", []e{{Type: "code", Length: 5}, {Type: "text_link", Offset: 6, Length: 19, URL: "https://example.org"}}},
	} {
		s := newServer(t, nil)
		var m localchat.Message
		good(t, s, &m, "sendMessage", "chat_id", "101", "text", c.in, "parse_mode", "HTML")
		require.Equal(t, c.text, m.Text, c.in)
		require.Equal(t, c.want, m.Entities, c.in)
	}
}

func TestHTMLRefusals(t *testing.T) {
	s := newServer(t, nil)
	for in, want := range map[string]string{
		"<b>a</i>":              `Unmatched end tag at byte offset 4, expected "</b>", found "</i>"`,
		"é<b>a</i>":             `Unmatched end tag at byte offset 6, expected "</b>", found "</i>"`,
		"a</b>":                 "Unexpected end tag at byte offset 1",
		"<b>a":                  `Can't find end tag corresponding to start tag "b"`,
		"<b><i>a</i>":           `Can't find end tag corresponding to start tag "b"`,
		"<b":                    "Unclosed start tag at byte offset 0",
		"<a href":               `Unclosed start tag "a" at byte offset 0`,
		`<a href="x`:            `Unclosed start tag "a" at byte offset 0`,
		"<b>x</b":               "Unclosed end tag at byte offset 4",
		"3 < 5":                 `Unsupported start tag "" at byte offset 2`,
		"<script>x</script>":    `Unsupported start tag "script" at byte offset 0`,
		"<br/>":                 `Unsupported start tag "br/" at byte offset 0`,
		"<span>x</span>":        `Tag "span" must have class "tg-spoiler" at byte offset 0`,
		"<a =x>y</a>":           `Empty attribute name in the tag "a" at byte offset 0`,
		"<b class>x</b>":        `Expected equal sign in declaration of an attribute of the tag "b" at byte offset 0`,
		"<blockquote>a</b></b>": `Unmatched end tag at byte offset 13, expected "</blockquote>", found "</b>"`,
	} {
		got := api(t, s, "sendMessage", "chat_id", "101", "text", in, "parse_mode", "HTML")
		if in == "3 < 5" { // an unclosed tag before it is an unknown one
			require.Equal(t, 400, got.ErrorCode)
			require.Contains(t, got.Description, "Bad Request: can't parse entities: Unsupported start tag")
			continue
		}
		require.Equal(t, "Bad Request: can't parse entities: "+want, got.Description, in)
	}
}

// Whatever text a bot escapes arrives unchanged, and every entity lies inside
// the text, in UTF-16 units.
func TestEscapedTextArrives(t *testing.T) {
	s := newServer(t, nil)
	rapid.Check(t, func(rt *rapid.T) {
		text := rapid.StringOfN(rapid.RuneFrom([]rune("ab <>&\"'/=💪é\nم@;#x1"), unicode.Latin, unicode.Arabic), 1, 60, -1).Draw(rt, "text")
		a := api(t, s, "sendMessage", "chat_id", "101", "text", "<b>"+html.EscapeString(text)+"</b>", "parse_mode", "HTML")
		want := strings.TrimSpace(text)
		if want == "" {
			if a.ErrorCode != 400 {
				rt.Fatalf("an empty message was taken: %+v", a)
			}
			return
		}
		var m tgbotapi.Message
		if err := json.Unmarshal(a.Result, &m); err != nil {
			rt.Fatalf("%v: %s", err, a.Description)
		}
		if m.Text != want {
			rt.Fatalf("sent %q, hangs %q", want, m.Text)
		}
		size := len(utf16.Encode([]rune(m.Text)))
		for _, e := range m.Entities {
			if e.Offset < 0 || e.Length <= 0 || e.Offset+e.Length > size {
				rt.Fatalf("entity %+v outside %d units", e, size)
			}
		}
		if e := m.Entities[0]; e.Type != "bold" || e.Offset != 0 || e.Length != size {
			rt.Fatalf("the bold stretch became %+v", e)
		}
	})
}

// Any bytes at all are either taken or refused with 400, never anything else.
func FuzzHTML(f *testing.F) {
	for _, seed := range []string{"<b>x</b>", "<a href='", "</", "&#x;", "<span class=tg-spoiler>é</span>", "<pre><code class=language-x>"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, in string) {
		s := newServer(t, nil)
		a := api(t, s, "sendMessage", "chat_id", "101", "text", in, "parse_mode", "HTML")
		if !a.OK && a.ErrorCode != 400 {
			t.Fatalf("%q: %+v", in, a)
		}
	})
}

func TestEntitiesParameter(t *testing.T) {
	s := newServer(t, nil)
	var m localchat.Message
	good(t, s, &m, "sendMessage", "chat_id", "101", "text", "a 💪 b", "entities", `[{"type":"bold","offset":2,"length":2}]`)
	require.Equal(t, []localchat.Entity{{Type: "bold", Offset: 2, Length: 2}}, m.Entities)
	bad(t, s, 400, "Bad Request: can't parse entities JSON object", "sendMessage", "chat_id", "101", "text", "x", "entities", "no")
	bad(t, s, 400, "Bad Request: can't parse entities: entity of type bold lies outside the text", "sendMessage", "chat_id", "101", "text", "x", "entities", `[{"type":"bold","offset":0,"length":2}]`)
}
