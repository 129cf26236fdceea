package clubfile

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"pegcard/prescribe"
	"pegcard/store"
)

// What a squad gets that club.toml does not say.
const (
	defaultCardsAt    = store.Clock(7*60 + 30)
	defaultEveningAt  = store.Clock(18 * 60)
	defaultDigestAt   = store.Clock(20 * 60)
	defaultStrengthAt = store.Clock(10*60 + 30)
	defaultCutOff     = store.Clock(14 * 60)
	defaultQuietFrom  = store.Clock(21*60 + 30)
	defaultQuietTo    = store.Clock(7 * 60)
)

var (
	phases       = []string{string(prescribe.PreSeason), string(prescribe.InSeason), string(prescribe.OffSeason)}
	weekdays     = []string{"monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"}
	reviews      = []string{"none", "look", "must"}
	roles        = []string{string(store.RoleCoach), string(store.RoleMedical), string(store.RoleHeadCoach), string(store.RoleSafeguarding), string(store.RoleAdmin)}
	placesOfWork = []string{"gym", "hotel", "home", "travel"}
	barKinds     = []string{"straight", "trap", "sled"}
	gear         = []string{
		string(prescribe.GearRack), string(prescribe.GearBench), string(prescribe.GearPullUpBar), string(prescribe.GearBand),
		string(prescribe.GearReleasers), string(prescribe.GearBox), string(prescribe.GearAnchor), string(prescribe.GearCable),
		string(prescribe.GearLegPress), string(prescribe.GearSlider),
	}
)

// ReadClub reads club.toml. name is how the file is called in problems.
func ReadClub(r io.Reader, name string) (*store.ClubDef, []*Problem) {
	ps := &problems{file: name}
	t, _ := openTOML(r, ps)
	if t == nil {
		return nil, ps.sorted()
	}
	c := &store.ClubDef{
		Name:     personName(t, "name"),
		Zone:     t.checked("zone", `"Europe/London"`, zoneName),
		Language: t.checked("language", `"en"`, languageTag),
	}
	if !t.has("zone") {
		t.missing("zone", `add zone = "Europe/London" with the club's own IANA time zone`)
	}
	if !t.has("language") {
		t.missing("language", `add language = "en", the language of everybody who has not chosen one`)
	}
	c.Emergency = t.checked("emergency", `"112"`, emergencyNumber)
	if !t.has("emergency") {
		t.missing("emergency", `add emergency = "112" with the local emergency number that players are told to call`)
	}

	gyms := map[string]int{}
	for _, gt := range t.tables("gym") {
		g := readGym(gt)
		if !unique(gt, "slug", g.Slug, gyms, "gym") {
			continue
		}
		c.Gyms = append(c.Gyms, g)
	}
	squads := map[string]int{}
	for _, st := range t.tables("squad") {
		s := readSquad(st, c)
		if !unique(st, "slug", s.Slug, squads, "squad") {
			continue
		}
		c.Squads = append(c.Squads, s)
	}
	if len(c.Squads) == 0 && !t.has("squad") {
		t.missing("squad", "add a [[squad]] with slug, name and phases")
	}
	staff := map[string]int{}
	for _, st := range t.tables("staff") {
		s := readStaff(st, c)
		if !unique(st, "key", s.Key, staff, "staff member") {
			continue
		}
		c.Staff = append(c.Staff, s)
	}
	orderMedical(c)
	covered(t, c)
	t.done()
	return c, ps.sorted()
}

// unique reports a key that an earlier table has.
func unique(t *tomlTable, key, value string, lines map[string]int, what string) bool {
	if value == "" {
		return true
	}
	if first, twice := lines[value]; twice {
		t.wrong(key, wrong("give each "+what+" its own", "%q is already used in line %d", value, first))
		return false
	}
	lines[value] = t.place(key).line
	return true
}

func personName(t *tomlTable, key string) string {
	s := t.needText(key, `a name in quotation marks`)
	if n := utf8.RuneCountInString(s); n > maxName {
		t.wrong(key, wrong(fmt.Sprintf("write at most %d", maxName), "has %d characters", n))
	}
	return s
}

func slug(t *tomlTable, key string) string {
	s := t.needText(key, `a short id in quotation marks, such as "first"`)
	if s != "" {
		if f := keyFault(s); f != nil {
			t.wrong(key, f)
		}
	}
	return s
}

// emergencyNumber checks a telephone number: it is shown to people in danger.
func emergencyNumber(s string) (string, *fault) {
	digits := strings.NewReplacer(" ", "", "-", "", "+", "").Replace(s)
	if len(digits) < 2 || len(digits) > 15 || strings.Trim(digits, "0123456789") != "" {
		return "", wrong(`write the number as it is dialled, such as "112"`, "%q is not a telephone number", s)
	}
	return s, nil
}

func readSquad(t *tomlTable, c *store.ClubDef) store.SquadDef {
	s := store.SquadDef{
		Slug:       slug(t, "slug"),
		Name:       personName(t, "name"),
		Zone:       t.checked("zone", `"Europe/London"`, zoneName),
		Youth:      t.flag("youth"),
		Gym:        t.text("gym", "the slug of a [[gym]]"),
		CardsAt:    t.clock("cards_at", defaultCardsAt),
		EveningAt:  t.clock("evening_at", defaultEveningAt),
		DigestAt:   t.clock("digest_at", defaultDigestAt),
		StrengthAt: t.clock("strength_at", defaultStrengthAt),
		CutOff:     t.clock("cut_off", defaultCutOff),
		QuietFrom:  t.clock("quiet_from", defaultQuietFrom),
		QuietTo:    t.clock("quiet_to", defaultQuietTo),
		Review:     t.choice("review", "look", reviews...),
		Unapproved: t.choice("unapproved", "go", "go", "wait"),
		MD1Option:  t.flag("md1_option"),
		WeeklyOn:   t.choice("weekly_on", "monday", append([]string{"none"}, weekdays...)...),
		Monthly:    t.flag("monthly") || !t.has("monthly"),
	}
	for _, d := range choices[string](t, "off_days", weekdays) {
		s.OffDays = append(s.OffDays, weekday(d))
	}
	for _, d := range choices[string](t, "pitch_days", weekdays) {
		s.PitchDays = append(s.PitchDays, weekday(d))
		if slices.Contains(s.OffDays, weekday(d)) {
			t.wrong("pitch_days", wrong("take it out of one of the two", "%q is an off day as well", d))
		}
	}
	var slugs []string
	for _, g := range c.Gyms {
		slugs = append(slugs, g.Slug)
	}
	switch {
	case s.Gym == "" && !t.has("gym"):
		t.missing("gym", "add gym = the slug of the [[gym]] where the squad usually trains")
	case s.Gym != "" && !slices.Contains(slugs, s.Gym):
		t.wrong("gym", wrong(oneOf(s.Gym, slugs), "there is no [[gym]] with the slug %q", s.Gym))
	}
	if s.CutOff <= s.CardsAt && !t.faulty["cut_off"] && !t.faulty["cards_at"] {
		t.wrong("cut_off", wrong("write a time after cards_at", "%s is not after cards_at, %s", sayClock(s.CutOff), sayClock(s.CardsAt)))
	}
	if quiet(s, s.CardsAt) && !t.faulty["cards_at"] && !t.faulty["quiet_from"] && !t.faulty["quiet_to"] {
		t.wrong("cards_at", wrong("move the one or the other", "%s lies in the quiet hours, %s to %s", sayClock(s.CardsAt), sayClock(s.QuietFrom), sayClock(s.QuietTo)))
	}
	readPhases(t, &s)
	t.done()
	return s
}

func quiet(s store.SquadDef, c store.Clock) bool {
	if s.QuietFrom <= s.QuietTo {
		return c >= s.QuietFrom && c < s.QuietTo
	}
	return c >= s.QuietFrom || c < s.QuietTo
}

func sayClock(c store.Clock) string { return fmt.Sprintf("%02d:%02d", c/60, c%60) }

func weekday(s string) time.Weekday {
	return time.Weekday((slices.Index(weekdays, s) + 1) % 7)
}

// readPhases reads the phases, which follow one another without gap or overlap.
func readPhases(t *tomlTable, s *store.SquadDef) {
	type dated struct {
		store.PhaseDef
		t *tomlTable
	}
	var list []dated
	for _, pt := range t.tables("phase") {
		p := store.PhaseDef{
			Phase: prescribe.Phase(pt.choice("phase", "", phases...)),
			From:  pt.day("from"),
			To:    pt.day("to"),
		}
		if !pt.has("phase") {
			pt.missing("phase", "add phase, "+anyOf(phases))
		}
		pt.done()
		if p.From != 0 && p.To != 0 {
			if p.To < p.From {
				pt.wrong("to", wrong("write the last day of the phase", "%s is before %s", p.To, p.From))
				continue
			}
			list = append(list, dated{p, pt})
		}
		s.Phases = append(s.Phases, p)
	}
	if len(s.Phases) == 0 && len(list) == 0 && !t.has("phase") {
		t.missing("phase", "add [[squad.phase]] tables with phase, from and to, one for each part of the year")
	}
	slices.SortStableFunc(list, func(a, b dated) int { return cmp.Compare(a.From, b.From) })
	for i := 1; i < len(list); i++ {
		before, p := list[i-1], list[i]
		switch {
		case p.From <= before.To:
			p.t.wrong("from", wrong("let one phase end the day before the next begins", "%s lies in the phase %s to %s of line %d", p.From, before.From, before.To, before.t.own().line))
		case p.From == before.To+2:
			p.t.wrong("from", wrong("let the phases follow one another day by day", "the day %s belongs to no phase", before.To+1))
		case p.From > before.To+1:
			p.t.wrong("from", wrong("let the phases follow one another day by day", "the days %s to %s belong to no phase", before.To+1, p.From-1))
		}
	}
	slices.SortStableFunc(s.Phases, func(a, b store.PhaseDef) int { return cmp.Compare(a.From, b.From) })
}

// Masses of gear outside of these are taken for slips, in kg.
const (
	minBar, maxBar         = 5, 60
	minPlate, maxPlate     = 0.1, 50
	minBell, maxBell       = 0.5, 100
	minAddedMass, maxExtra = 0.25, 100
)

func readGym(t *tomlTable) store.GymDef {
	g := store.GymDef{Slug: slug(t, "slug"), Name: personName(t, "name")}
	unit := t.choice("unit", unitKg, unitKg, unitLb)
	e := &g.Setting.Equipment
	g.Setting.Place = t.choice("place", "", placesOfWork...)
	if !t.has("place") {
		t.missing("place", "add place, "+anyOf(placesOfWork))
	}
	g.Setting.Supervised = t.flag("supervised")
	for _, x := range choices[string](t, "has", gear) {
		e.Has = append(e.Has, prescribe.GearItem(x))
	}
	slices.Sort(e.Has)
	e.Dumbbells = masses(t, "dumbbells", unit, minBell, maxBell)
	e.Added = masses(t, "added", unit, minAddedMass, maxExtra)
	for _, bt := range t.tables("bar") {
		b := prescribe.Bar{Kind: bt.choice("kind", "", barKinds...), Mass: needMass(bt, "mass", unit, minBar, maxBar)}
		if !bt.has("kind") {
			bt.missing("kind", "add kind, "+anyOf(barKinds))
		}
		bt.done()
		e.Bars = append(e.Bars, b)
	}
	lines := map[string]int{}
	for _, pt := range t.tables("plate") {
		p := prescribe.Plate{Mass: needMass(pt, "mass", unit, minPlate, maxPlate), Pairs: pt.needWhole("pairs", 1, 50, "how many pairs one bar can get")}
		pt.done()
		if unique(pt, "mass", fmt.Sprint(p.Mass), lines, "plate mass") {
			e.Plates = append(e.Plates, p)
		}
	}
	slices.SortStableFunc(e.Plates, func(a, b prescribe.Plate) int { return cmp.Compare(b.Mass, a.Mass) })
	if len(e.Plates) > 0 && len(e.Bars) == 0 {
		t.missing("bar", `add a [[gym.bar]] with kind and mass, or take the plates out`)
	}
	devices := map[string]int{}
	for _, ft := range t.tables("flywheel") {
		w := prescribe.Wheel{Device: slug(ft, "device")}
		ft.list("inertias", "numbers such as 0.05", func(k string, v any) {
			n := prescribe.Inertia(ft.realValue(k, v, 0, minInertia, maxInertia, "kg·m²"))
			switch {
			case n == 0:
			case slices.Contains(w.Inertias, n):
				ft.wrong(k, wrong("name it once", "%v is there twice", n))
			default:
				w.Inertias = append(w.Inertias, n)
			}
		})
		slices.Sort(w.Inertias)
		if !ft.has("inertias") {
			ft.missing("inertias", "add inertias = [0.05, 0.075], all that the device can be set to, in kg·m²")
		} else if v, ok := ft.values["inertias"].([]any); ok && len(v) == 0 {
			ft.wrong("inertias", wrong("name all that the device can be set to, in kg·m²", "is empty"))
		}
		ft.done()
		if unique(ft, "device", w.Device, devices, "device") {
			e.Flywheels = append(e.Flywheels, w)
		}
	}
	t.done()
	return g
}

// needMass reads a mass that must be there, in the gym's unit.
func needMass(t *tomlTable, key, unit string, lo, hi float64) prescribe.Kg {
	if !t.has(key) {
		t.get(key)
		t.missing(key, fmt.Sprintf("add %s = its mass in %s", key, unit))
		return 0
	}
	v, _ := t.get(key)
	return massValue(t, key, v, unit, lo, hi)
}

func massValue(t *tomlTable, key string, v any, unit string, lo, hi float64) prescribe.Kg {
	if s, ok := v.(string); ok {
		kg, _, f := mass(s, "", prescribe.Kg(lo), prescribe.Kg(hi))
		if f != nil {
			t.wrong(key, f)
		}
		return kg
	}
	factor := 1.0
	if unit == unitLb {
		factor = prescribe.KgPerLb
	}
	return prescribe.Kg(t.realValue(key, v, 0, lo/factor, hi/factor, unit) * factor)
}

// masses reads a list of masses, ascending, each once.
func masses(t *tomlTable, key, unit string, lo, hi float64) []prescribe.Kg {
	var out []prescribe.Kg
	t.list(key, "masses in "+unit, func(k string, v any) {
		kg := massValue(t, k, v, unit, lo, hi)
		switch {
		case kg == 0:
		case slices.Contains(out, kg):
			t.wrong(k, wrong("name each mass once; each is there as a pair", "%v is there twice", v))
		default:
			out = append(out, kg)
		}
	})
	slices.Sort(out)
	return out
}

func readStaff(t *tomlTable, c *store.ClubDef) store.StaffDef {
	s := store.StaffDef{
		At:       t.at(),
		Key:      slug(t, "key"),
		Name:     personName(t, "name"),
		Role:     store.Role(t.choice("role", "", roles...)),
		Squads:   t.texts("squads", "slugs of squads in quotation marks"),
		Language: t.checked("language", `"en"`, languageTag),
		Order:    t.whole("order", 0, 1, 20),
		Phone:    t.checked("phone", `"+44 1632 960101"`, phoneNumber),
	}
	if !t.has("role") {
		t.missing("role", "add role, "+anyOf(roles))
	}
	if s.Order != 0 && s.Role != store.RoleMedical && s.Role != "" {
		t.wrong("order", wrong("leave it out", "only medical staff are asked in an order"))
	}
	var slugs []string
	for _, q := range c.Squads {
		slugs = append(slugs, q.Slug)
	}
	for i, q := range s.Squads {
		if q != "" && !slices.Contains(slugs, q) {
			t.wrong(index("squads", i), wrong(oneOf(q, slugs), "there is no [[squad]] with the slug %q", q))
		}
	}
	t.done()
	return s
}

// phoneNumber checks a telephone number as people write it: digits, perhaps with
// a plus before them and spaces, hyphens, dots or brackets between them.
func phoneNumber(s string) (string, *fault) {
	s = strings.Join(strings.Fields(s), " ")
	digits := 0
	for i, r := range s {
		switch {
		case r >= '0' && r <= '9':
			digits++
		case r == '+' && i == 0, strings.ContainsRune(" -.()/", r) && i > 0, r == '(':
		default:
			digits = -len(s)
		}
	}
	// The international numbering plan (ITU-T E.164) has at most 15 digits; short
	// numbers inside a club or country have three or more.
	if digits < 3 || digits > 15 || len(s) > 30 {
		return "", wrong(`write digits, such as "+44 1632 960101"`, "%q is not a telephone number", s)
	}
	return s, nil
}

// orderMedical numbers medical staff who have no order, after those who have,
// as they stand in the file.
func orderMedical(c *store.ClubDef) {
	next := 1
	for _, s := range c.Staff {
		if s.Role == store.RoleMedical {
			next = max(next, s.Order+1)
		}
	}
	for i := range c.Staff {
		if s := &c.Staff[i]; s.Role == store.RoleMedical && s.Order == 0 {
			s.Order = next
			next++
		}
	}
}

// covered checks that somebody is there for what a player may report. Without
// medical staff an alert would reach nobody.
func covered(t *tomlTable, c *store.ClubDef) {
	for i, q := range c.Squads {
		has := map[store.Role]bool{}
		orders := map[int]string{}
		for _, s := range c.Staff {
			if len(s.Squads) > 0 && !slices.Contains(s.Squads, q.Slug) {
				continue
			}
			has[s.Role] = true
			if s.Role == store.RoleMedical {
				if other, twice := orders[s.Order]; twice {
					t.ps.add(s.At.Line, s.At.Column, fmt.Sprintf("%s and %s are both number %d of the medical staff of squad %q", other, s.Name, s.Order, q.Slug), "give each an order of his or her own")
				}
				orders[s.Order] = s.Name
			}
		}
		p := t.place(index("squad", i))
		if !has[store.RoleMedical] {
			t.ps.add(p.line, p.column, fmt.Sprintf("squad %q has no medical staff, so pain and warning signs would reach nobody", q.Slug), `add a [[staff]] with role = "medical"`)
		}
		if !has[store.RoleCoach] {
			t.ps.add(p.line, p.column, fmt.Sprintf("squad %q has no strength coach", q.Slug), `add a [[staff]] with role = "strength_coach"`)
		}
		if q.Youth && !has[store.RoleSafeguarding] {
			t.ps.add(p.line, p.column, fmt.Sprintf("youth squad %q has no safeguarding officer", q.Slug), `add a [[staff]] with role = "safeguarding"`)
		}
	}
}
