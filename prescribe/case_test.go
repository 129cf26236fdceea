package prescribe_test

import (
	"bufio"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // zones where the machine has none

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
)

// A case is a prescription that a coach can read: who, where, with what, what
// happened, and below the line the card that came of it with its reasons.
//
// Sections start at the margin, their lines are indented. Sections that a case
// leaves out are taken from club.txt. A line that starts with # is a note.
//
//	player      born, mass, sign-off, trained (years)
//	rules       id value
//	place NAME  supervised, bars, plates, dumbbells, added, wheel, has
//	programme   dose PHASE …, session ID PHASE [small|priming|remote], slot lines
//	records     one event a line, by day and time; "weekly A..B …" repeats one
//	calendar    from, phase, match, off, pitch, at; times are UTC unless a zone follows
//	edits       one a line
//	today       a day; or several, or A..B, in short
type caseFile struct {
	name     string
	notes    []string
	profile  prescribe.Profile
	rules    prescribe.Rules
	settings map[string]prescribe.Setting
	prog     prescribe.Programme
	events   []prescribe.Event
	cal      prescribe.Calendar
	edits    []prescribe.Edit
	days     []prescribe.Day
}

const caseLine = "-----"

type section struct {
	head  string
	lines []caseText
}

type caseText struct {
	n    int
	text string
}

// readSections splits a case file; what stands below the line is returned as
// it is.
func readSections(path string) (notes []string, out []section, below string, err error) {
	b, err := os.ReadFile(path)
	if err != nil {
		return nil, nil, "", err
	}
	above, below, _ := strings.Cut(string(b), "\n"+caseLine+"\n")
	sc := bufio.NewScanner(strings.NewReader(above))
	for n := 1; sc.Scan(); n++ {
		line := strings.TrimRight(sc.Text(), " ")
		switch trimmed := strings.TrimSpace(line); {
		case trimmed == "":
		case strings.HasPrefix(trimmed, "#"):
			if len(out) == 0 {
				notes = append(notes, line)
			}
		case line[0] != ' ':
			out = append(out, section{head: line})
		case len(out) == 0:
			return nil, nil, "", fmt.Errorf("%s:%d: a line before the first section", path, n)
		default:
			last := &out[len(out)-1]
			last.lines = append(last.lines, caseText{n, trimmed})
		}
	}
	return notes, out, below, nil
}

func readCase(t *testing.T, dir, name string) (c caseFile, below string) {
	t.Helper()
	_, base, _, err := readSections(dir + "/club.txt")
	require.NoError(t, err)
	notes, own, below, err := readSections(dir + "/" + name)
	require.NoError(t, err)
	c = caseFile{name: name, notes: notes, settings: map[string]prescribe.Setting{}}

	kind := func(s section) string { return strings.Fields(s.head)[0] }
	sections := slices.Clone(base)
	for _, s := range own {
		// A section of the case replaces that of the club; places one by one.
		i := slices.IndexFunc(sections, func(o section) bool {
			return o.head == s.head || kind(o) == kind(s) && kind(s) != "place"
		})
		if i >= 0 {
			sections[i] = s
		} else {
			sections = append(sections, s)
		}
	}
	for _, s := range sections {
		if err := c.section(s); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	}
	c.cal.Settings = c.settings
	require.NotEmpty(t, c.days, "%s: no section \"today\"", name)
	return c, below
}

func (c *caseFile) section(s section) error {
	head := strings.Fields(s.head)
	var place prescribe.Setting
	if head[0] == "place" {
		place = prescribe.Setting{Place: head[1]}
	}
	if head[0] == "today" {
		c.days = nil
		for _, text := range head[1:] {
			a, b, err := dayRange(text)
			if err != nil {
				return err
			}
			for d := a; d <= b; d++ {
				c.days = append(c.days, d)
			}
		}
		return nil
	}
	if head[0] == "calendar" {
		c.cal = prescribe.Calendar{}
	}
	for _, l := range s.lines {
		f := strings.Fields(strings.ReplaceAll(l.text, ",", " "))
		var err error
		switch head[0] {
		case "player":
			err = c.player(f)
		case "rules":
			var v float64
			if v, err = strconv.ParseFloat(f[1], 64); err == nil {
				c.rules, err = c.rules.With(f[0], v)
			}
		case "place":
			err = placeLine(&place, f)
		case "programme":
			err = c.programmeLine(f)
		case "records":
			err = c.record(f)
		case "calendar":
			err = c.calendarLine(f)
		case "edits":
			err = c.edit(f)
		default:
			err = fmt.Errorf("no section %q", s.head)
		}
		if err != nil {
			return fmt.Errorf("line %d, %q: %w", l.n, l.text, err)
		}
	}
	if head[0] == "place" {
		c.settings[head[1]] = place
	}
	return nil
}

func (c *caseFile) player(f []string) (err error) {
	switch f[0] {
	case "born":
		c.profile.Born, err = prescribe.ParseDay(f[1])
	case "mass":
		err = number(f[1], &c.profile.BodyMass)
	case "sign-off":
		c.profile.YouthSignOff = true
	case "trained":
		c.profile.TrainingAge, err = strconv.Atoi(f[1])
	default:
		err = fmt.Errorf("born, mass, sign-off or trained")
	}
	return err
}

func number[T ~float64](text string, to *T) error {
	v, err := strconv.ParseFloat(text, 64)
	*to = T(v)
	return err
}

func numbers[T ~float64](texts []string) ([]T, error) {
	// "5 to 30 by 2.5"
	if len(texts) == 5 && texts[1] == "to" && texts[3] == "by" {
		var a, b, step float64
		for i, to := range map[int]*float64{0: &a, 2: &b, 4: &step} {
			if err := number(texts[i], to); err != nil {
				return nil, err
			}
		}
		var out []T
		for v := a; v <= b+1e-9; v += step {
			out = append(out, T(v))
		}
		return out, nil
	}
	out := make([]T, len(texts))
	for i, s := range texts {
		if err := number(s, &out[i]); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func placeLine(p *prescribe.Setting, f []string) (err error) {
	switch e := &p.Equipment; f[0] {
	case "supervised":
		p.Supervised = true
	case "bars":
		for i := 1; i+1 < len(f); i += 2 {
			b := prescribe.Bar{Kind: f[i]}
			if err := number(f[i+1], &b.Mass); err != nil {
				return err
			}
			e.Bars = append(e.Bars, b)
		}
	case "plates":
		for _, s := range f[1:] {
			mass, pairs, _ := strings.Cut(s, "x")
			p := prescribe.Plate{Pairs: 1}
			if err := number(mass, &p.Mass); err != nil {
				return err
			}
			if p.Pairs, err = strconv.Atoi(pairs); err != nil {
				return err
			}
			e.Plates = append(e.Plates, p)
		}
	case "dumbbells":
		e.Dumbbells, err = numbers[prescribe.Kg](f[1:])
	case "added":
		e.Added, err = numbers[prescribe.Kg](f[1:])
	case "wheel":
		w := prescribe.Wheel{Device: f[1]}
		w.Inertias, err = numbers[prescribe.Inertia](f[2:])
		e.Flywheels = append(e.Flywheels, w)
	case "has":
		for _, s := range f[1:] {
			e.Has = append(e.Has, prescribe.GearItem(s))
		}
	default:
		err = fmt.Errorf("supervised, bars, plates, dumbbells, added, wheel or has")
	}
	return err
}

// programmeLine reads
//
//	dose PHASE sessions N crowded N sets N exercises N nordic N flywheel N
//	session ID PHASE [small|priming|remote]
//	SLOT METHOD SCHEME EXERCISE[/EXERCISE…] SETSxREPS [at N] [ecc N] [rir N] [six WAY] [min N] [seconds N] [rest N] [optional]
func (c *caseFile) programmeLine(f []string) (err error) {
	switch f[0] {
	case "dose":
		d := prescribe.PhaseDose{Phase: prescribe.Phase(f[1])}
		into := map[string]*int{"sessions": &d.Sessions, "crowded": &d.Crowded, "sets": &d.WorkingSets,
			"exercises": &d.Exercises, "nordic": &d.NordicWeekly, "flywheel": &d.FlywheelWeek}
		for i := 2; i+1 < len(f); i += 2 {
			if *into[f[i]], err = strconv.Atoi(f[i+1]); err != nil {
				return err
			}
		}
		c.prog.Doses = append(c.prog.Doses, d)
		return nil
	case "session":
		s := prescribe.SessionTemplate{ID: f[1], Phase: prescribe.Phase(f[2])}
		for _, w := range f[3:] {
			s.Small, s.Priming, s.Remote = s.Small || w == "small", s.Priming || w == "priming", s.Remote || w == "remote"
		}
		c.prog.Sessions = append(c.prog.Sessions, s)
		return nil
	}
	s := prescribe.Slot{ID: f[0], Method: prescribe.Method(f[1]), Scheme: prescribe.Scheme(f[2])}
	for _, id := range strings.Split(f[3], "/") {
		s.Candidates = append(s.Candidates, prescribe.ExerciseID(id))
	}
	if ex, ok := prescribe.Lookup(s.Candidates[0]); ok {
		s.Pattern = ex.Pattern
	}
	sets, reps, _ := strings.Cut(f[4], "x")
	if s.Sets, err = strconv.Atoi(sets); err != nil {
		return err
	}
	if s.Reps, err = strconv.Atoi(reps); err != nil {
		return err
	}
	for i := 5; i < len(f); i += 2 {
		if f[i] == "optional" {
			s.Optional = true
			break
		}
		n, _ := strconv.ParseFloat(f[i+1], 64)
		switch f[i] {
		case "at":
			s.Intensity = prescribe.Percent(n)
		case "ecc":
			s.Ecc = prescribe.Percent(n)
		case "rir":
			s.RIR = prescribe.RIR(n)
		case "six":
			s.Six = prescribe.SixAt85(f[i+1])
		case "min":
			s.MinSets = int(n)
		case "seconds":
			s.Seconds = prescribe.Seconds(n)
		case "rest":
			s.Rest = prescribe.Seconds(n)
		default:
			return fmt.Errorf("%q: at, ecc, rir, six, min, seconds, rest or optional", f[i])
		}
	}
	last := &c.prog.Sessions[len(c.prog.Sessions)-1]
	last.Slots = append(last.Slots, s)
	return nil
}

func dayRange(text string) (a, b prescribe.Day, err error) {
	from, to, many := strings.Cut(text, "..")
	if a, err = prescribe.ParseDay(from); err != nil || !many {
		return a, a, err
	}
	b, err = prescribe.ParseDay(to)
	return a, b, err
}

func at(day prescribe.Day, clock string) prescribe.Instant {
	t, err := time.Parse("15:04", clock)
	if err != nil {
		panic(err)
	}
	return prescribe.InstantOf(day.Time().Add(time.Duration(t.Hour())*time.Hour + time.Duration(t.Minute())*time.Minute))
}

// atIn is a time of day in a zone; without one, in UTC.
func atIn(day prescribe.Day, clock string, zone []string) prescribe.Instant {
	if len(zone) == 0 {
		return at(day, clock)
	}
	where, err := time.LoadLocation(zone[0])
	if err != nil {
		panic(err)
	}
	t, err := time.ParseInLocation("2006-01-02 15:04", day.String()+" "+clock, where)
	if err != nil {
		panic(err)
	}
	return prescribe.InstantOf(t)
}

// record reads "DAY [HH:MM] WHAT …" or "weekly A..B WHAT …".
func (c *caseFile) record(f []string) error {
	if f[0] == "weekly" {
		a, b, err := dayRange(f[1])
		if err != nil {
			return err
		}
		for d := a; d <= b; d += 7 {
			if err := c.record(append([]string{d.String()}, f[2:]...)); err != nil {
				return err
			}
		}
		return nil
	}
	day, err := prescribe.ParseDay(f[0])
	if err != nil {
		return err
	}
	f = f[1:]
	clock := "11:00"
	if strings.Contains(f[0], ":") {
		clock, f = f[0], f[1:]
	}
	what, err := events(f)
	if err != nil {
		return err
	}
	for _, e := range what {
		e.At, e.Day, e.Key = at(day, clock), day, fmt.Sprintf("e%03d", len(c.events))
		if e.Match != nil {
			e.Match.End = e.At
		}
		if e.Profile != nil {
			e.Profile.Born = c.profile.Born
		}
		c.events = append(c.events, e)
	}
	return nil
}

// words are the pairs and flags after the fixed part of a line.
type words map[string]string

func wordsOf(f []string, flags ...string) words {
	w := words{}
	for i := 0; i < len(f); i++ {
		if slices.Contains(flags, f[i]) || i+1 == len(f) {
			w[f[i]] = "yes"
			continue
		}
		w[f[i]] = f[i+1]
		i++
	}
	return w
}

func (w words) int(key string) int { n, _ := strconv.Atoi(w[key]); return n }

func (w words) num(key string) float64 { n, _ := strconv.ParseFloat(w[key], 64); return n }

func (w words) day(key string) prescribe.Day { d, _ := prescribe.ParseDay(w[key]); return d }

func regionOf(text string) (prescribe.Region, prescribe.Side) {
	r, s, _ := strings.Cut(text, "/")
	return prescribe.Region(r), prescribe.Side(s)
}

func events(f []string) ([]prescribe.Event, error) {
	switch f[0] {
	case "profile": // a new one without a body mass
		return []prescribe.Event{{Profile: &prescribe.Profile{}}}, nil
	case "test", "set":
		// set EXERCISE[/SIDE] LOAD REPS[;REPS…] [rir N] [asked N] [scheme S] [of N] [wheel D INERTIA] [as-written] [to-fail] [stopped]
		id, side, _ := strings.Cut(f[1], "/")
		load, err := strconv.ParseFloat(f[2], 64)
		if err != nil {
			return nil, err
		}
		w := wordsOf(f[4:], "as-written", "to-fail", "stopped")
		var out []prescribe.Event
		for i, r := range strings.Split(f[3], ";") {
			reps, err := strconv.Atoi(r)
			if err != nil {
				return nil, err
			}
			s := prescribe.Set{Exercise: prescribe.ExerciseID(id), Side: prescribe.Side(side), Load: prescribe.Kg(load), Reps: reps,
				Ordinal: i + 1, Test: f[0] == "test", Asked: w.int("asked"), AsWritten: w["as-written"] != "", ToFail: w["to-fail"] != "",
				Stopped: w["stopped"] != "", Scheme: prescribe.Scheme(w["scheme"]), Intended: prescribe.Percent(w.num("of")),
				Device: w["wheel"], Inertia: prescribe.Inertia(w.num("inertia"))}
			if v, ok := w["rir"]; ok {
				n, _ := strconv.Atoi(v)
				rir := prescribe.RIR(n)
				s.RIR = &rir
			}
			out = append(out, prescribe.Event{Set: &s})
		}
		return out, nil
	case "power":
		w := wordsOf(f[3:])
		return []prescribe.Event{{Power: &prescribe.PowerTest{Exercise: prescribe.ExerciseID(f[1]), Device: f[2],
			Inertia: prescribe.Inertia(w.num("inertia")), Power: prescribe.Watts(w.num("watts"))}}}, nil
	case "session":
		w := wordsOf(f[3:])
		s := prescribe.Session{Template: f[1], Outcome: prescribe.Outcome(f[2]), Reason: prescribe.Absence(w["reason"]), Minutes: w.int("min")}
		if v, ok := w["rpe"]; ok {
			n, _ := strconv.Atoi(v)
			rpe := prescribe.Score(n)
			s.RPE = &rpe
		}
		return []prescribe.Event{{Session: &s}}, nil
	case "sore", "pain":
		if f[0] == "pain" && (f[1] == "?" || f[2] == "?") { // not told yet: where, or how much
			p := prescribe.Pain{Unclear: true}
			if f[1] != "?" {
				p.Region, p.Side = regionOf(f[1])
			}
			n, _ := strconv.Atoi(f[2])
			p.Score = prescribe.Score(n)
			return []prescribe.Event{{Pain: &p}}, nil
		}
		r, side := regionOf(f[1])
		n, err := strconv.Atoi(f[2])
		if err != nil {
			return nil, err
		}
		if f[0] == "sore" {
			return []prescribe.Event{{Soreness: &prescribe.Soreness{Region: r, Side: side, Score: prescribe.Score(n)}}}, nil
		}
		p := prescribe.Pain{Region: r, Side: side, Score: prescribe.Score(n)}
		for _, x := range f[3:] {
			if x == "muscle" {
				p.Muscle = true
			} else {
				p.Timing = prescribe.PainTiming(x)
			}
		}
		return []prescribe.Event{{Pain: &p}}, nil
	case "warning":
		w := prescribe.Warning{Sign: prescribe.Sign(f[1])}
		if len(f) > 2 {
			w.Region = prescribe.Region(f[2])
		}
		return []prescribe.Event{{Warning: &w}}, nil
	case "hold": // hold medical|coach ID [region R] [cap N] [until D]
		w := wordsOf(f[3:])
		return []prescribe.Event{{Hold: &prescribe.Hold{ID: f[2], Medical: f[1] == "medical", Region: prescribe.Region(w["region"]),
			MaxLoad: prescribe.Percent(w.num("cap")), Until: w.day("until")}}}, nil
	case "release": // release medical|coach cap N [region R] [hold ID] [review D] [classified]
		w := wordsOf(f[2:], "classified")
		return []prescribe.Event{{Release: &prescribe.Release{Medical: f[1] == "medical", HoldID: w["hold"], Region: prescribe.Region(w["region"]),
			MaxLoad: prescribe.Percent(w.num("cap")), Review: w.day("review"), Classified: w["classified"] != ""}}}, nil
	case "played": // played ID N: the final whistle is the time of the line
		n, err := strconv.Atoi(f[2])
		return []prescribe.Event{{Match: &prescribe.MatchPlayed{MatchID: f[1], Minutes: n}}}, err
	}
	return nil, fmt.Errorf("test, set, power, session, sore, pain, warning, hold, release or played, not %q", f[0])
}

// calendarLine reads the calendar; "from A..B" comes first.
func (c *caseFile) calendarLine(f []string) error {
	each := func(text string, do func(*prescribe.CalendarDay)) error {
		a, b, err := dayRange(text)
		for i := range c.cal.Days {
			if d := &c.cal.Days[i]; d.Day >= a && d.Day <= b {
				do(d)
			}
		}
		return err
	}
	switch f[0] {
	case "from": // from A..B PHASE PLACE HH:MM [ZONE]
		a, b, err := dayRange(f[1])
		for d := a; d <= b; d++ {
			c.cal.Days = append(c.cal.Days, prescribe.CalendarDay{Day: d, Phase: prescribe.Phase(f[2]), Setting: f[3], Start: atIn(d, f[4], f[5:])})
		}
		return err
	case "phase": // phase A..B PHASE
		return each(f[1], func(d *prescribe.CalendarDay) { d.Phase = prescribe.Phase(f[2]) })
	case "match": // match ID DAY [HH:MM [ZONE]]
		d, err := prescribe.ParseDay(f[2])
		if err != nil {
			return err
		}
		m := prescribe.Match{ID: f[1], Day: d, Kickoff: at(d, "12:00")}
		if len(f) > 3 {
			m.Known, m.Kickoff = true, atIn(d, f[3], f[4:])
		}
		m.End = m.Kickoff + prescribe.Instant(110*60*1000)
		c.cal.Matches = append(c.cal.Matches, m)
		slices.SortStableFunc(c.cal.Matches, func(a, b prescribe.Match) int { return int(a.Kickoff - b.Kickoff) })
		return nil
	case "off":
		return each(f[1], func(d *prescribe.CalendarDay) { d.Off = true })
	case "pitch":
		return each(f[1], func(d *prescribe.CalendarDay) { d.Pitch = true })
	case "at":
		return each(f[1], func(d *prescribe.CalendarDay) { d.Setting = f[2] })
	}
	return fmt.Errorf("from, phase, match, off, pitch or at")
}

// edit reads "KIND [SLOT|TEMPLATE] [VALUE]".
func (c *caseFile) edit(f []string) error {
	e := prescribe.Edit{At: prescribe.Instant(len(c.edits) + 1), Kind: prescribe.EditKind(f[0])}
	if len(f) > 1 {
		e.Slot = f[1]
	}
	switch e.Kind {
	case prescribe.EditAdd:
		e.Slot, e.Template = "", f[1]
	case prescribe.EditExercise:
		e.Exercise = prescribe.ExerciseID(f[2])
	case prescribe.EditLoad:
		if err := number(f[2], &e.Load); err != nil {
			return err
		}
	case prescribe.EditSets, prescribe.EditReps:
		n, err := strconv.Atoi(f[2])
		if err != nil {
			return err
		}
		e.Number = n
	}
	c.edits = append(c.edits, e)
	return nil
}

// splitLines is the lines of text that are not empty, trimmed.
func splitLines(text string) []string {
	var out []string
	for line := range strings.Lines(text) {
		if line = strings.TrimSpace(line); line != "" {
			out = append(out, line)
		}
	}
	return out
}
