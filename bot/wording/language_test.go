package wording

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"golang.org/x/text/feature/plural"
	"golang.org/x/text/language"
)

var loaded = sync.OnceValues(Load)

func catalogue(t testing.TB) *Catalogue {
	t.Helper()
	c, err := loaded()
	require.NoError(t, err)
	return c
}

// eachLanguage runs f for every language file but, where others is set,
// English.
func eachLanguage(t *testing.T, others bool, f func(t *testing.T, sp, en *Speaker)) {
	c := catalogue(t)
	for _, lang := range c.Languages() {
		if others && lang == Fallback {
			continue
		}
		t.Run(lang, func(t *testing.T) { f(t, c.For(lang), c.For(Fallback)) })
	}
}

// ids are the ids of a speaker's own file, sorted.
func (sp *Speaker) ids() []string { return slices.Sorted(maps.Keys(sp.messages)) }

// placeholders are the arguments that a message uses, in any of its forms.
func (m message) placeholders() []string {
	seen := map[string]bool{}
	for _, text := range m.forms {
		for _, p := range placeholder.FindAllStringSubmatch(text, -1) {
			seen[strings.ToLower(p[1][:1])+p[1][1:]] = true
		}
	}
	return slices.Sorted(maps.Keys(seen))
}

// missing are the members of a that b lacks.
func missing(a, b []string) []string {
	var out []string
	for _, s := range a {
		if !slices.Contains(b, s) {
			out = append(out, s)
		}
	}
	return out
}

func TestEveryLanguageHasEveryMessage(t *testing.T) {
	eachLanguage(t, true, func(t *testing.T, sp, en *Speaker) {
		have := slices.DeleteFunc(sp.ids(), func(id string) bool { return strings.HasPrefix(id, "exercise.") })
		require.Empty(t, missing(en.ids(), have), "missing in %s.toml", sp.Lang())
		require.Empty(t, missing(have, en.ids()), "in %s.toml, but not in en.toml", sp.Lang())
	})
}

func TestEveryLanguageUsesTheSameArguments(t *testing.T) {
	eachLanguage(t, true, func(t *testing.T, sp, en *Speaker) {
		for _, id := range sp.ids() {
			if m, ok := en.messages[id]; ok {
				require.Equal(t, m.placeholders(), sp.messages[id].placeholders(), "%s.toml: %s", sp.Lang(), id)
				require.Equal(t, m.plural, sp.messages[id].plural, "%s.toml: %s: plural forms here or there only", sp.Lang(), id)
			}
		}
	})
}

// Plural categories: Unicode CLDR through golang.org/x/text/feature/plural.
// Counts of the bot stay below a thousand.
func TestPluralFormsAreComplete(t *testing.T) {
	names := map[plural.Form]string{plural.Zero: "zero", plural.One: "one", plural.Two: "two", plural.Few: "few", plural.Many: "many", plural.Other: "other"}
	eachLanguage(t, false, func(t *testing.T, sp, _ *Speaker) {
		need := map[string]bool{"other": true}
		for n := range 1000 {
			need[names[plural.Cardinal.MatchPlural(sp.tag, n, 0, 0, 0, 0)]] = true
		}
		want := slices.Sorted(maps.Keys(need))
		for _, id := range sp.ids() {
			m := sp.messages[id]
			if !m.plural {
				continue
			}
			require.Equal(t, want, slices.Sorted(maps.Keys(m.forms)), "%s.toml: %s", sp.Lang(), id)
			for form, text := range m.forms {
				if form == "few" || form == "many" || form == "other" {
					require.Contains(t, text, "{n}", "%s.toml: %s: form %s hides its number", sp.Lang(), id, form)
				}
			}
		}
	})
}

// allowedTags are those of Telegram's HTML parse mode that the texts use.
var allowedTags = regexp.MustCompile(`^(b|i|u|s|code|pre|a|blockquote|tg-spoiler)$`)

func checkTags(text string) error {
	var open []string
	for _, tag := range regexp.MustCompile(`<(/?)([^ >]*)[^>]*>`).FindAllStringSubmatch(text, -1) {
		if !allowedTags.MatchString(tag[2]) {
			return fmt.Errorf("tag <%s> is not one Telegram knows", tag[2])
		}
		if tag[1] == "" {
			open = append(open, tag[2])
			continue
		}
		if len(open) == 0 || open[len(open)-1] != tag[2] {
			return fmt.Errorf("</%s> closes nothing", tag[2])
		}
		open = open[:len(open)-1]
	}
	if len(open) > 0 {
		return fmt.Errorf("<%s> is not closed", open[len(open)-1])
	}
	if bare := strings.IndexAny(tags.ReplaceAllString(text, ""), "<>"); bare >= 0 {
		return fmt.Errorf("a bare < or > stands in the text")
	}
	if regexp.MustCompile(`&(?:[^a-z#]|$)`).MatchString(text) {
		return fmt.Errorf("a bare & stands in the text; write &amp;")
	}
	return nil
}

func TestTags(t *testing.T) {
	eachLanguage(t, false, func(t *testing.T, sp, en *Speaker) {
		for _, id := range sp.ids() {
			for _, text := range sp.messages[id].forms {
				require.NoError(t, checkTags(text), "%s.toml: %s", sp.Lang(), id)
				require.False(t, strings.Contains(text, "{{"), "%s.toml: %s: arguments have single braces", sp.Lang(), id)
			}
			base := en.messages[id].forms["other"]
			if strings.Contains(base, "<code>") {
				require.Equal(t, strings.Count(base, "<code>"), strings.Count(sp.messages[id].forms["other"], "<code>"), "%s.toml: %s: examples", sp.Lang(), id)
			}
		}
	})
}

// Limits: labels must fit a phone's button, two in a row; descriptions of
// commands a menu (Telegram's own limit is 256); a message one screen.
func TestLengths(t *testing.T) {
	eachLanguage(t, false, func(t *testing.T, sp, _ *Speaker) {
		for _, id := range sp.ids() {
			limit := 320
			switch family, _, _ := strings.Cut(id, "."); {
			case family == "button":
				limit = 24
			case family == "cmd":
				limit = 40
			case family == "exercise":
				limit = 48
			case strings.HasPrefix(id, "staff.help_"), id == "player.help", id == "player.unreadable":
				limit = 900
			case id == "join.privacy":
				limit = 1400
			}
			for _, text := range sp.messages[id].forms {
				n := utf8.RuneCountInString(stripTags(text))
				require.LessOrEqual(t, n, limit, "%s.toml: %s is %d characters long", sp.Lang(), id, n)
			}
		}
	})
}

// forbidden are the words that calm somebody down or claim to know an
// illness. A language without its list fails: a new file brings its own words
// here.
var forbidden = map[string]*regexp.Regexp{
	"en": regexp.MustCompile(`(?i)\bsafe(ly)?\b|don['’]t worry|no worries|nothing serious|\bfine\b|harmless|\bdiagnos|all clear|\bno danger`),
	"es": regexp.MustCompile(`(?i)\bsegur[oa]\b|no te preocupes|nada grave|tranquil|inofensiv|diagn[oó]stic|sin peligro`),
	"fr": regexp.MustCompile(`(?i)\bsans danger|ne t['’]inqui[eè]te|rien de grave|rassur|inoffensi|diagnosti|pas d['’]inqui[eé]tude`),
	"pt": regexp.MustCompile(`(?i)\bsegur[oa]\b|n[aã]o te preocupes|não se preocupe|nada de grave|nada grave|tranquil|inofensiv|diagn[oó]stic|sem perigo`),
	"de": regexp.MustCompile(`(?i)\bsicher\b|keine sorge|nichts ernst|nichts schlimm|harmlos|unbedenklich|diagnos|ungefährlich|alles gut`),
	"it": regexp.MustCompile(`(?i)\bsicur[oa]\b|non preoccuparti|niente di grave|tranquill|innocu|diagnos|senza pericolo`),
	"nl": regexp.MustCompile(`(?i)\bveilig\b|geen zorgen|niets ernstigs|onschuldig|diagnos|ongevaarlijk|komt goed`),
	"ar": regexp.MustCompile(`لا تقلق|لا داعي للقلق|آمن|ليس خطير|ليس خطر|تشخيص|شيء بسيط|اطمئن`),
}

func TestNothingReassuresOrDiagnoses(t *testing.T) {
	eachLanguage(t, false, func(t *testing.T, sp, _ *Speaker) {
		words, ok := forbidden[sp.Lang()]
		require.True(t, ok, "write the words that must not be said in %q into this test", sp.Lang())
		for _, id := range sp.ids() {
			for _, text := range sp.messages[id].forms {
				require.Empty(t, words.FindString(text), "%s.toml: %s: %q", sp.Lang(), id, text)
			}
		}
	})
	// the check itself: each list catches what it is there for
	for lang, said := range map[string]string{"en": "Don't worry, it is safe.", "es": "No te preocupes.", "fr": "Rien de grave.", "pt": "Não é nada de grave.", "de": "Keine Sorge.", "it": "Niente di grave.", "nl": "Geen zorgen.", "ar": "لا تقلق."} {
		require.NotEmpty(t, forbidden[lang].FindString(said), lang)
	}
}

// notWords are placeholders and everything else that is not a word of three
// letters or more.
var notWords = regexp.MustCompile(`\{[^}]*\}|<[^>]*>|\b\pL{1,2}\b|[^\pL\s]`)

// A language file may not be English left standing.
func TestTranslated(t *testing.T) {
	eachLanguage(t, true, func(t *testing.T, sp, en *Speaker) {
		same := 0
		for _, id := range sp.ids() {
			text := sp.messages[id].forms["other"]
			words := strings.Fields(notWords.ReplaceAllString(text, " "))
			if base, ok := en.messages[id]; ok && len(words) >= 3 && base.forms["other"] == text {
				t.Errorf("%s.toml: %s is still English: %q", sp.Lang(), id, text)
				same++
			}
		}
		require.Zero(t, same)
	})
}

// Texts that tell somebody to tap a button name it as it is labelled.
func TestTextsNameButtonsByTheirLabels(t *testing.T) {
	eachLanguage(t, false, func(t *testing.T, sp, _ *Speaker) {
		for id, button := range map[string]string{
			"card.safety": "pain", "card.detail_stop": "pain", "player.pain_low": "pain", "player.photo": "pain", "player.video_passed": "pain", "player.unreadable_health": "pain",
			"card.more": "howto", "player.log_all_done": "finish",
		} {
			for form, text := range sp.messages[id].forms {
				require.Contains(t, text, sp.Button(button), "%s.toml: %s (%s)", sp.Lang(), id, form)
			}
		}
	})
}

func TestForFindsTheNearestLanguage(t *testing.T) {
	c := catalogue(t)
	for ask, want := range map[string]string{"en": "en", "en-GB": "en", "de-AT": "de", "pt-BR": "pt", "es-419": "es", "ar-EG": "ar", "xx": "en", "": "en", "not a tag": "en", "ja": "en"} {
		require.Equal(t, want, c.For(ask).Lang(), "asked for %q", ask)
	}
	require.True(t, c.For("ar").RightToLeft())
	require.False(t, c.For("nl").RightToLeft())
	require.Contains(t, c.Languages(), language.MustParse("fr").String())
}
