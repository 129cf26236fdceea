package wording

import (
	"fmt"
	"html"
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/nicksnyder/go-i18n/v2/i18n"
	"github.com/nicksnyder/go-i18n/v2/i18n/template"
	"golang.org/x/text/collate"
	"golang.org/x/text/language"
	"golang.org/x/text/message/catalog"

	textmessage "golang.org/x/text/message"

	"pegcard/prescribe"
)

// HTML is an argument that is Telegram HTML already and is not escaped again.
type HTML string

// Speaker words things in one language.
type Speaker struct {
	lang     string
	tag      language.Tag
	rtl      bool
	messages map[string]message
	local    *i18n.Localizer
	numbers  *textmessage.Printer
	months   []string // January first
	weekdays []string // Monday first
	base     *Speaker // English
}

// rightToLeft are the scripts written from right to left that Telegram clients
// are translated into or that players are likely to write.
var rightToLeft = []string{"Arab", "Hebr", "Syrc", "Thaa"}

func newSpeaker(lang string, bundle *i18n.Bundle, file *i18n.MessageFile) (*Speaker, error) {
	tag, err := language.Parse(lang)
	if err != nil {
		return nil, fmt.Errorf("%q is not a language tag; name the file such as en.toml or pt-BR.toml: %w", lang, err)
	}
	sp := &Speaker{lang: lang, tag: tag, local: i18n.NewLocalizer(bundle, lang)}
	script, _ := tag.Script()
	sp.rtl = slices.Contains(rightToLeft, script.String())
	if sp.messages, err = messagesOf(file); err != nil {
		return nil, err
	}
	// Plates and bars are stamped with Latin digits all over the world, so
	// every language writes these.
	latin, err := tag.SetTypeForKey("nu", "latn")
	if err != nil {
		return nil, fmt.Errorf("digits of %s: %w", lang, err)
	}
	sp.numbers = textmessage.NewPrinter(latin, textmessage.Catalog(catalog.NewBuilder()))
	for _, list := range []struct {
		id   string
		n    int
		into *[]string
	}{{"date.months", 12, &sp.months}, {"date.weekdays", 7, &sp.weekdays}} {
		*list.into = strings.Split(sp.messages[list.id].forms["other"], "|")
		if len(*list.into) != list.n {
			return nil, fmt.Errorf("%q holds %d names; write %d, with | between them", list.id, len(*list.into), list.n)
		}
	}
	return sp, nil
}

// Lang is the speaker's language tag.
func (sp *Speaker) Lang() string { return sp.lang }

// RightToLeft reports whether the language is written from right to left.
func (sp *Speaker) RightToLeft() bool { return sp.rtl }

// Has reports whether there is a message of that id.
func (sp *Speaker) Has(id string) bool {
	_, ok := sp.messages[id]
	return ok || sp.base != nil && sp.base.messages[id].forms != nil
}

// T is the message id with its arguments, as Telegram HTML. Arguments are
// pairs of name and value, or one map[string]any. The argument n chooses the
// plural form. Values are formatted by their type (see Format) and escaped. A
// placeholder without an argument stays as it is; an unknown id is given back
// as it is: the tests make both impossible for ids written in the code.
func (sp *Speaker) T(id string, args ...any) string {
	return sp.directed(sp.say(id, argMap(id, args)))
}

// t is T for a piece of a line: the whole is given its direction later.
func (sp *Speaker) t(id string, args ...any) string { return sp.say(id, argMap(id, args)) }

// Plain is T without tags and escapes, for button labels, command
// descriptions and terminals.
func (sp *Speaker) Plain(id string, args ...any) string {
	return stripTags(sp.say(id, argMap(id, args)))
}

// Button is the label button.<name>, plain.
func (sp *Speaker) Button(name string, args ...any) string {
	return sp.Plain("button."+name, args...)
}

// Command is the description of a command, plain, for the chat's menu.
func (sp *Speaker) Command(name string) string { return sp.Plain("cmd." + name) }

func argMap(id string, args []any) map[string]any {
	if len(args) == 1 {
		if m, ok := args[0].(map[string]any); ok {
			return m
		}
	}
	if len(args)%2 != 0 {
		panic(fmt.Sprintf("wording: message %q: arguments are pairs of name and value", id))
	}
	m := make(map[string]any, len(args)/2)
	for i := 0; i < len(args); i += 2 {
		name, ok := args[i].(string)
		if !ok {
			panic(fmt.Sprintf("wording: message %q: argument name %v is not a string", id, args[i]))
		}
		m[name] = args[i+1]
	}
	return m
}

func (sp *Speaker) say(id string, args map[string]any) string {
	cfg := &i18n.LocalizeConfig{MessageID: id, TemplateParser: template.IdentityParser{}}
	if n, ok := count(args["n"]); ok {
		cfg.PluralCount = n
	}
	// A language that lacks the message answers in English with an error; the
	// words are still there.
	text, err := sp.local.Localize(cfg)
	if text == "" && err != nil {
		return html.EscapeString(id)
	}
	text = placeholder.ReplaceAllStringFunc(text, func(p string) string {
		name := p[1 : len(p)-1]
		lower := strings.ToLower(name[:1]) + name[1:]
		v, ok := args[lower]
		if !ok {
			return p
		}
		s := sp.Format(v)
		if name != lower {
			s = upperFirst(s)
		}
		return s
	})
	return strings.TrimSpace(text)
}

// count is the number that chooses a plural form.
func count(v any) (int, bool) {
	switch v := v.(type) {
	case int:
		return v, true
	case int64:
		return int(v), true
	case prescribe.Score:
		return int(v), true
	case prescribe.RIR:
		return int(v), true
	case prescribe.Seconds:
		return int(v), true
	case float64:
		return int(v), v == float64(int(v))
	}
	return 0, false
}

// Format words one value by its type, escaped and, where the writing
// directions differ, isolated: strings as they are, numbers and units in the
// speaker's way, days and times, regions, exercises, signs and the rest of the
// vocabulary by name, lists joined.
func (sp *Speaker) Format(v any) string {
	switch v := v.(type) {
	case HTML:
		return string(v)
	case string:
		return sp.isolate(html.EscapeString(v))
	case []string:
		return sp.List(v)
	case int:
		return sp.Number(float64(v))
	case int64:
		return sp.Number(float64(v))
	case float64:
		return sp.Number(v)
	case prescribe.Kg:
		return sp.Kg(v)
	case prescribe.Percent:
		return sp.Percent(v)
	case prescribe.Inertia:
		return sp.Inertia(v)
	case prescribe.Watts:
		return sp.Watts(v)
	case prescribe.Seconds:
		return sp.Seconds(v)
	case prescribe.Score:
		return sp.Score(v)
	case prescribe.RIR:
		return sp.Number(float64(v))
	case prescribe.Day:
		return sp.Day(v)
	case time.Time:
		return sp.Time(v)
	case prescribe.Region:
		return sp.Region(v, prescribe.Both)
	case prescribe.Side:
		return sp.Side(v)
	case prescribe.ExerciseID:
		return sp.Exercise(v)
	case prescribe.Method:
		return sp.Method(v)
	case prescribe.Pattern:
		return sp.Pattern(v)
	case prescribe.Phase:
		return sp.Phase(v)
	case prescribe.Absence:
		return sp.Absence(v)
	case prescribe.Sign:
		return sp.Sign(v)
	}
	return sp.isolate(html.EscapeString(fmt.Sprint(v)))
}

// List joins names: "a", "a and b", "a, b and c". The names are escaped.
func (sp *Speaker) List(names []string) string {
	parts := make([]string, len(names))
	for i, n := range names {
		parts[i] = sp.isolate(html.EscapeString(n))
	}
	return sp.join(parts)
}

func (sp *Speaker) join(parts []string) string {
	switch len(parts) {
	case 0:
		return ""
	case 1:
		return parts[0]
	}
	head := parts[0]
	for _, p := range parts[1 : len(parts)-1] {
		head = sp.t("list.more", "a", HTML(head), "b", HTML(p))
	}
	return sp.t("list.two", "a", HTML(head), "b", HTML(parts[len(parts)-1]))
}

// Sort sorts names as the language does, equal ones by their bytes.
func (sp *Speaker) Sort(names []string) {
	col := collate.New(sp.tag, collate.IgnoreCase)
	slices.SortStableFunc(names, func(a, b string) int {
		if c := col.CompareString(a, b); c != 0 {
			return c
		}
		return strings.Compare(a, b)
	})
}

var tags = regexp.MustCompile(`</?[a-z-]+(?: [^>]*)?>`)

func stripTags(s string) string { return html.UnescapeString(tags.ReplaceAllString(s, "")) }

// upperFirst makes the first letter a capital, past an opening isolate.
func upperFirst(s string) string {
	for i, r := range s {
		if isIsolate(r) {
			continue
		}
		return s[:i] + string(unicode.ToUpper(r)) + s[i+utf8.RuneLen(r):]
	}
	return s
}
