package wording

import (
	"strconv"
	"strings"

	"pegcard/prescribe"
)

// Why is the derivation of an item of a card, or with item −1 of the card as
// a whole, as HTML: every reason in order, numbered, each with the rules it
// used, their values in the card's units, how well each is founded, and its
// source. Rules, notes and sources stand in English in every language, as they
// do in the rule table. Where that is longer than MaxMessage the notes and
// sources are left out, then the rules, then the last reasons; WhyPlain has
// them all.
func (sp *Speaker) Why(c prescribe.Card, item int, who prescribe.Audience) string {
	for _, d := range []detail{full, noSources, bare} {
		if s := sp.why(c, item, who, d); units(s) <= MaxMessage {
			return s
		}
	}
	lines := strings.Split(sp.why(c, item, who, bare), "\n")
	for units(strings.Join(lines, "\n"))+2 > MaxMessage {
		lines = lines[:len(lines)-1]
	}
	return strings.Join(lines, "\n") + "\n…"
}

func (sp *Speaker) why(c prescribe.Card, item int, who prescribe.Audience, d detail) string {
	reasons, title := c.Reasons, sp.t("why.title")
	if item >= 0 && item < len(c.Items) {
		reasons, title = c.Items[item].Reasons, "<b>"+sp.Exercise(c.Items[item].Exercise)+"</b> · "+dots(sp.work(c.Items[item]))
	}
	rules := map[string]prescribe.Rule{}
	for _, r := range prescribe.RuleTable() {
		rules[r.ID] = r
	}
	sources := prescribe.Bibliography()
	var lines []string
	for _, r := range reasons {
		if r.See&who == 0 {
			continue
		}
		lines = append(lines, strconv.Itoa(len(lines)+1)+". "+sp.Reason(r)+sp.rules(r, rules, sources, d))
	}
	if len(lines) == 0 {
		lines = []string{sp.t("why.none")}
	}
	return sp.directed(title + "\n\n" + strings.Join(lines, "\n"))
}

// WhyPlain is Why without tags, for a terminal.
func (sp *Speaker) WhyPlain(c prescribe.Card, item int, who prescribe.Audience) string {
	return stripTags(sp.why(c, item, who, full))
}

func (sp *Speaker) rules(r prescribe.Reason, rules map[string]prescribe.Rule, sources map[string]string, d detail) string {
	var b strings.Builder
	if d == bare {
		return ""
	}
	for _, id := range r.Rules {
		rule, ok := rules[id]
		if !ok {
			b.WriteString("\n   " + sp.t("why.rule", "id", id, "value", "?"))
			continue
		}
		value := strings.TrimSpace(sp.rounded(rule.Value, 4) + " " + rule.Unit)
		b.WriteString("\n   " + sp.t("why.rule", "id", id, "value", value) + " (" + sp.t("why.mark_"+rule.Mark) + ")")
		if d == noSources {
			continue
		}
		if rule.Note != "" {
			b.WriteString(": " + sp.Format(rule.Note))
		}
		if source, ok := sources[rule.Source]; ok {
			b.WriteString("\n   " + sp.t("why.source", "source", source))
		}
	}
	return b.String()
}
