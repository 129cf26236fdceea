package wording

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"
	"github.com/nicksnyder/go-i18n/v2/i18n"
	"golang.org/x/text/language"
)

//go:embed lang/*.toml
var files embed.FS

// Fallback is the language that is spoken when another is asked for that there
// is no file for.
const Fallback = "en"

// Catalogue holds all languages. It does not change after Load.
type Catalogue struct {
	speakers map[string]*Speaker
	tags     []string // sorted
	matcher  language.Matcher
	order    []*Speaker // in the matcher's order, Fallback first
}

// Load reads the embedded language files. An error names the file and what is
// wrong in it.
func Load() (*Catalogue, error) { return load(files, "lang") }

func load(fsys fs.FS, dir string) (*Catalogue, error) {
	names, err := fs.Glob(fsys, path.Join(dir, "*.toml"))
	if err != nil {
		return nil, fmt.Errorf("language files: %w", err)
	}
	slices.Sort(names)
	bundle := i18n.NewBundle(language.MustParse(Fallback))
	bundle.RegisterUnmarshalFunc("toml", toml.Unmarshal)
	c := &Catalogue{speakers: map[string]*Speaker{}}
	for _, name := range names {
		text, err := fs.ReadFile(fsys, name)
		if err != nil {
			return nil, fmt.Errorf("language file %s: %w", name, err)
		}
		file, err := bundle.ParseMessageFileBytes(text, name)
		if err != nil {
			return nil, fmt.Errorf("language file %s: %w", name, err)
		}
		tag := strings.TrimSuffix(path.Base(name), ".toml")
		sp, err := newSpeaker(tag, bundle, file)
		if err != nil {
			return nil, fmt.Errorf("language file %s: %w", name, err)
		}
		c.speakers[tag] = sp
		c.tags = append(c.tags, tag)
	}
	base, ok := c.speakers[Fallback]
	if !ok {
		return nil, errors.New("language files: " + Fallback + ".toml is missing")
	}
	c.order = []*Speaker{base}
	for _, tag := range c.tags {
		sp := c.speakers[tag]
		sp.base = base
		if tag != Fallback {
			c.order = append(c.order, sp)
		}
	}
	known := make([]language.Tag, len(c.order))
	for i, sp := range c.order {
		known[i] = sp.tag
	}
	c.matcher = language.NewMatcher(known)
	return c, nil
}

// Languages lists the tags there is a file for, sorted.
func (c *Catalogue) Languages() []string { return slices.Clone(c.tags) }

// For is the speaker of a language tag such as "de" or "pt-BR": the nearest
// language there is a file for, else English.
func (c *Catalogue) For(lang string) *Speaker {
	if sp, ok := c.speakers[lang]; ok {
		return sp
	}
	want, err := language.Parse(lang)
	if err != nil {
		return c.order[0]
	}
	_, i, confidence := c.matcher.Match(want)
	if confidence == language.No {
		return c.order[0]
	}
	return c.order[i]
}

// message is one message of one language: its plural forms by CLDR name,
// "other" alone for a plain text.
type message struct {
	forms  map[string]string
	plural bool
}

var placeholder = regexp.MustCompile(`\{([A-Za-z][A-Za-z0-9_]*)\}`)

func messagesOf(file *i18n.MessageFile) (map[string]message, error) {
	out := make(map[string]message, len(file.Messages))
	for _, m := range file.Messages {
		msg := message{forms: map[string]string{}}
		for form, text := range map[string]string{"zero": m.Zero, "one": m.One, "two": m.Two, "few": m.Few, "many": m.Many, "other": m.Other} {
			if text == "" {
				continue
			}
			msg.forms[form] = text
			msg.plural = msg.plural || form != "other"
		}
		if msg.forms["other"] == "" {
			return nil, fmt.Errorf("message %q is empty", m.ID)
		}
		out[m.ID] = msg
	}
	return out, nil
}
