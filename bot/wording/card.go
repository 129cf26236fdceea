package wording

import (
	"html"
	"slices"
	"strconv"
	"strings"
	"unicode/utf16"

	"pegcard/prescribe"
)

// View is who reads a card and in what situation.
type View struct {
	Audience prescribe.Audience // zero: ForPlayer
	Name     string             // the player's name, shown to staff
	Today    prescribe.Day      // shows the card's day as today or tomorrow; zero: the date alone
	Draft    bool               // not sent yet
	Replaces bool               // the player has had another card for this day
	Remote   bool               // written for a place without the club's gym
	// CoachHold: the card is withheld by the coach alone, and its reader may know
	// that. Without it a withheld card points to the medical staff.
	CoachHold bool
}

func (v View) audience() prescribe.Audience {
	if v.Audience == 0 {
		return prescribe.ForPlayer
	}
	return v.Audience
}

func (v View) player() bool { return v.audience() == prescribe.ForPlayer }

// MaxMessage is the length of a Telegram message, in UTF-16 units.
const MaxMessage = 4096

// detail is how much of a card or a derivation is written out.
type detail int

const (
	full      detail = iota
	noWarmup         // a card without warm-up sets
	noSources        // a derivation without notes and sources
	bare             // one line an exercise, one line a reason
)

// Card is a card as Telegram HTML of at most MaxMessage units: headline, one
// block an exercise, at most two lines on what changed, the safety line. A
// card that is too long loses its warm-up sets first, then all but one line an
// exercise, then its last exercises, and says so.
func (sp *Speaker) Card(c prescribe.Card, v View) string {
	for _, d := range []detail{full, noWarmup, bare} {
		if s := sp.card(c, v, d, len(c.Items)); units(s) <= MaxMessage {
			return s
		}
	}
	for n := len(c.Items) - 1; n > 0; n-- {
		if s := sp.card(c, v, bare, n); units(s) <= MaxMessage {
			return s
		}
	}
	return sp.card(c, v, bare, 0)
}

// CardPlain is Card without tags, for a terminal.
func (sp *Speaker) CardPlain(c prescribe.Card, v View) string {
	return stripTags(sp.card(c, v, full, len(c.Items)))
}

func units(s string) int { return len(utf16.Encode([]rune(s))) }

func (sp *Speaker) card(c prescribe.Card, v View, d detail, items int) string {
	var b blocks
	b.add(sp.headline(c, v)...)
	switch c.Kind {
	case prescribe.CardRest:
		b.add(append([]string{sp.t("card.rest_day")}, sp.changes(c, v)...)...)
		return sp.directed(b.String())
	case prescribe.CardWithheld:
		b.add(sp.withheld(c, v)...)
		return sp.directed(b.String())
	case prescribe.CardFinding:
		how := sp.t("card.finding_how")
		if _, most, ok := sp.ramp(c.Items); ok {
			how += " " + most
		}
		b.add(how)
	}
	for i, it := range c.Items[:items] {
		b.add(sp.item(it, i+1, d, c.Kind != prescribe.CardFinding)...)
	}
	if left := len(c.Items) - items; left > 0 {
		b.add(sp.t("card.more", "n", left))
	}
	b.add(sp.changes(c, v)...)
	if v.player() {
		b.add(sp.t("card.safety"))
	}
	return sp.directed(b.String())
}

// headline is the day, its distance from the match and how long it takes, and
// for staff whose card it is.
func (sp *Speaker) headline(c prescribe.Card, v View) []string {
	var lines []string
	if v.Replaces {
		lines = append(lines, sp.t("card.replaced"))
	}
	if v.Name != "" && !v.player() {
		lines = append(lines, "<b>"+sp.Format(v.Name)+"</b>")
	}
	day := sp.Day(c.Day)
	if near := sp.Near(c.Day, v.Today); v.Today != 0 && near != day {
		day = sp.comma([]string{upperFirst(near), day})
	}
	parts := []string{"<b>" + day + "</b>"}
	switch c.Kind {
	case prescribe.CardRest:
		parts = append(parts, sp.t("card.title.rest"))
	case prescribe.CardWithheld:
		parts = append(parts, sp.t("card.title.withheld"))
	case prescribe.CardFinding:
		parts = append(parts, sp.t("card.title.finding"))
	}
	if md := sp.MatchDay(c.MatchDay); md != "" {
		if v.player() {
			md = sp.fromMatch(c.MatchDay)
		}
		parts = append(parts, md)
	}
	if c.Minutes > 0 && len(c.Items) > 0 {
		parts = append(parts, sp.t("card.about_minutes", "n", c.Minutes))
	}
	lines = append(lines, dots(parts))
	if v.Remote && c.Setting != "" {
		lines = append(lines, sp.t("card.remote", "place", HTML(sp.Place(c.Setting))))
	}
	if v.Remote && !c.Supervised && len(c.Items) > 0 {
		lines = append(lines, sp.t("card.alone"))
	}
	if v.Draft {
		lines = append(lines, sp.t("card.draft"))
	}
	if c.Approval && !v.player() {
		lines = append(lines, sp.t("card.approval"))
	}
	return lines
}

// withheld says no more than its reader may know. The player hears that
// training is held and whom to talk to, never that all is well.
func (sp *Speaker) withheld(c prescribe.Card, v View) []string {
	switch {
	case v.player() && len(c.AskPain) > 0:
		lines := make([]string, len(c.AskPain))
		for i, r := range c.AskPain {
			lines[i] = sp.t("card.withheld_ask", "region", r)
		}
		return lines
	case v.player() && v.CoachHold:
		return []string{sp.t("card.withheld_coach_hold")}
	case v.player():
		return []string{sp.t("card.withheld_player")}
	case v.CoachHold:
		return sp.Reasons(c.Reasons, v.audience())
	case v.audience().Has(prescribe.ForMedical):
		return append([]string{sp.t("card.withheld_medical")}, sp.Reasons(c.Reasons, v.Audience)...)
	}
	return []string{sp.t("card.withheld_staff")}
}

// headlines are the reasons of a whole card that its reader meets on the card
// itself; the others wait behind Why.
var headlines = []string{"edit.", "place.carried", "place.nonstarter", "place.crowded", "place.priming", "place.after_break", "ask.rir", "limit.medical_cap", "limit.restricted", "stop.region", "stop.pain", "pain.", "stop.reported", "stop.unanswered", "stop.unclear"}

// changes are at most two short lines on what is different today: first what
// changed in an exercise, then why the day is as it is.
func (sp *Speaker) changes(c prescribe.Card, v View) []string {
	var lines []string
	add := func(line string) {
		if len(lines) < 2 {
			lines = append(lines, line)
		}
	}
	for _, it := range c.Items {
		for _, r := range it.Reasons {
			switch {
			case r.Code == "change.same" || !strings.HasPrefix(r.Code, "change.") || !r.See.Has(v.audience()):
			case r.Code == "change.swapped": // names both exercises itself
				add(sp.t("card.changed", "reason", HTML(sp.Reason(r))))
			default:
				add(sp.t("card.changed_item", "exercise", it.Exercise, "reason", HTML(sp.Reason(r))))
			}
		}
	}
	for _, r := range c.Reasons {
		if !r.See.Has(v.audience()) {
			continue
		}
		switch {
		case strings.HasPrefix(r.Code, "change.") && r.Code != "change.same" && c.Kind != prescribe.CardRest:
			add(sp.t("card.changed", "reason", HTML(sp.Reason(r))))
		case c.Kind == prescribe.CardRest && strings.HasPrefix(r.Code, "rest."),
			slices.ContainsFunc(headlines, func(h string) bool { return strings.HasPrefix(r.Code, h) }):
			add(sp.Reason(r))
		}
	}
	return lines
}

// ramp is how the first of items without a record is worked up to its weight,
// and how many sets that takes at most.
func (sp *Speaker) ramp(items []prescribe.Item) (how, most string, ok bool) {
	for _, it := range items {
		i := slices.IndexFunc(it.Reasons, func(r prescribe.Reason) bool { return r.Code == "finding.ramp" })
		if it.Finding && i >= 0 {
			args := sp.args(it.Reasons[i].Args)
			return sp.say("card.finding_item", args), sp.t("card.finding_most", "n", args["sets"]), true
		}
	}
	return "", "", false
}

// item is one exercise: its name, the work, how the load is put together or,
// with ramp, found, and the warm-up.
func (sp *Speaker) item(it prescribe.Item, n int, d detail, ramp bool) []string {
	name := "<b>" + strconv.Itoa(n) + ". " + sp.Exercise(it.Exercise) + "</b>"
	if it.Ended {
		// A stop came while the session was under way: what was done, and no more.
		parts := []string{name, sp.t("card.ended")}
		if it.Sets > 0 {
			parts = append(parts, sp.work(it)...)
		}
		return []string{dots(parts)}
	}
	var tags []string
	if it.Optional {
		tags = append(tags, sp.t("card.optional"))
	}
	if it.New && it.Unused {
		tags = append(tags, sp.t("card.new"))
	}
	if d == bare {
		return []string{dots(append(append([]string{name}, tags...), sp.work(it)...))}
	}
	lines := []string{dots(append([]string{name}, tags...)), dots(sp.work(it))}
	if how, _, ok := sp.ramp([]prescribe.Item{it}); ok && ramp {
		lines = append(lines, how)
	}
	lines = append(lines, sp.plates(it)...)
	if how := sp.manner(it); len(how) > 0 {
		lines = append(lines, dots(how))
	}
	if d == full && len(it.Warmup) > 0 {
		sets := make([]string, len(it.Warmup))
		for i, w := range it.Warmup {
			sets[i] = sp.times(sp.Number(float64(w.Reps)), sp.Kg(w.Load))
		}
		lines = append(lines, sp.t("card.warmup", "sets", HTML(sp.comma(sets))))
	}
	return lines
}

// work is sets, repetitions, sides and load.
func (sp *Speaker) work(it prescribe.Item) []string {
	reps := sp.Number(float64(it.Reps))
	if it.Seconds > 0 {
		reps = sp.Seconds(it.Seconds)
	}
	parts := []string{sp.times(sp.Number(float64(it.Sets)), reps)}
	if it.Finding {
		parts[0] = sp.t("card.finding_sets", "n", it.Reps)
	}
	if it.PerSide {
		switch it.First {
		case prescribe.Left:
			parts = append(parts, sp.t("card.first_left"))
		case prescribe.Right:
			parts = append(parts, sp.t("card.first_right"))
		default:
			parts = append(parts, sp.t("card.per_side"))
		}
	}
	if s := sp.Load(it); s != "" {
		parts = append(parts, s)
	}
	if it.Level > 0 {
		parts = append(parts, sp.t("card.level", "n", it.Level))
	}
	return parts
}

// Load is an item's load as the reader meets it in the gym: "100 kg", "24 kg
// each hand", "bodyweight + 10 kg", "inertia 0.07 kg·m²". It is empty where
// there is none.
func (sp *Speaker) Load(it prescribe.Item) string {
	switch it.LoadKind {
	case prescribe.LoadBar:
		if it.EccLoad > 0 {
			return sp.t("card.down_up", "ecc", it.EccLoad, "load", it.Load)
		}
		if it.Load > 0 {
			return sp.Kg(it.Load)
		}
	case prescribe.LoadDumbbells:
		if it.Load > 0 {
			return sp.t("card.each_hand", "load", it.Load)
		}
	case prescribe.LoadBodyweight:
		if it.Load > 0 {
			return sp.t("card.bodyweight_plus", "load", it.Load)
		}
		return sp.t("card.bodyweight")
	case prescribe.LoadFlywheel:
		if it.Inertia > 0 {
			return sp.t("card.inertia", "inertia", it.Inertia)
		}
	}
	return ""
}

// plates is what goes on the bar: "bar 20 kg + 25 · 15 a side"; for lowering
// with more than is raised, in a second line what goes on for that.
func (sp *Speaker) plates(it prescribe.Item) []string {
	if it.LoadKind != prescribe.LoadBar || it.Bar == 0 {
		return nil
	}
	masses := func(list []prescribe.Kg) HTML {
		out := make([]string, len(list))
		for i, p := range list {
			out[i] = sp.mass(p)
		}
		return HTML(sp.isolate(strings.Join(out, " · ")))
	}
	var down []string
	if len(it.EccPlates) > 0 {
		down = append(down, sp.t("card.plates_down", "bar", it.Bar, "plates", masses(it.EccPlates)))
	}
	if len(it.Plates) == 0 {
		return append([]string{sp.t("card.bar_only", "bar", it.Bar)}, down...)
	}
	id := "card.plates"
	switch it.BarKind {
	case "trap":
		id = "card.plates_trap"
	case "sled":
		id = "card.plates_sled"
	}
	return append([]string{sp.t(id, "bar", it.Bar, "plates", masses(it.Plates))}, down...)
}

// manner is how the sets are done: pauses, effort, rest, tempo.
func (sp *Speaker) manner(it prescribe.Item) []string {
	var parts []string
	if len(it.Cluster) > 1 {
		reps := make([]string, len(it.Cluster))
		for i, n := range it.Cluster {
			reps[i] = sp.Number(float64(n))
		}
		parts = append(parts, sp.t("card.cluster", "reps", HTML(sp.isolate(strings.Join(reps, "+"))), "pause", it.Pause))
	}
	if it.Uncount > 0 {
		parts = append(parts, sp.t("card.uncount", "n", it.Uncount))
	}
	if it.RIR != nil && !it.Finding {
		if *it.RIR > 0 {
			parts = append(parts, sp.t("card.effort", "n", *it.RIR))
		} else {
			parts = append(parts, sp.t("card.effort_none"))
		}
	}
	parts = append(parts, sp.tempo(it.Tempo)...)
	if it.Rest > 0 {
		parts = append(parts, sp.t("card.rest", "rest", it.Rest))
	}
	return parts
}

// tempo reads lowering-pause-rising-pause seconds, "3-0-1-0". A tempo written
// in another way is shown as it is.
func (sp *Speaker) tempo(s string) []string {
	if s == "" {
		return nil
	}
	fields := strings.Split(s, "-")
	ids := []string{"card.tempo_down", "card.tempo_hold", "card.tempo_up", "card.tempo_hold"}
	if len(fields) > len(ids) {
		return []string{sp.Format(s)}
	}
	var parts []string
	for i, f := range fields {
		n, err := strconv.Atoi(f)
		if err != nil || n < 0 {
			return []string{sp.Format(s)}
		}
		if n > 0 {
			parts = append(parts, sp.t(ids[i], "n", n))
		}
	}
	return parts
}

// times writes "3 × 5"; a and b are written already.
func (sp *Speaker) times(a, b string) string {
	return sp.isolate(sp.t("card.sets_reps", "sets", HTML(a), "reps", HTML(b)))
}

// CardDetail is how one item of a card is done and when to stop, as HTML.
func (sp *Speaker) CardDetail(c prescribe.Card, item int) string {
	if item < 0 || item >= len(c.Items) {
		return sp.t("error.not_found")
	}
	it := c.Items[item]
	var b blocks
	b.add(sp.item(it, item+1, full, true)...)
	if how := sp.HowTo(it.Exercise); how != "" {
		b.add(how)
	}
	b.add(sp.t("card.detail_form"), sp.t("card.detail_stop"))
	return sp.directed(b.String())
}

// blocks are paragraphs with an empty line between them.
type blocks []string

func (b *blocks) add(lines ...string) {
	var kept []string
	for _, l := range lines {
		if l != "" {
			kept = append(kept, l)
		}
	}
	if len(kept) > 0 {
		*b = append(*b, strings.Join(kept, "\n"))
	}
}

func (b blocks) String() string { return strings.Join(b, "\n\n") }

// comma joins written parts with the language's own comma.
func (sp *Speaker) comma(parts []string) string {
	out := parts[0]
	for _, p := range parts[1:] {
		out = sp.t("list.more", "a", HTML(out), "b", HTML(p))
	}
	return out
}

// dots joins the parts of a line.
func dots(parts []string) string { return strings.Join(parts, " · ") }

// Escape makes s fit to stand in Telegram HTML.
func Escape(s string) string { return html.EscapeString(s) }
