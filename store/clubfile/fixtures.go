package clubfile

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/teambition/rrule-go"

	"pegcard/prescribe"
	"pegcard/store"
)

// Fixtures is what fixtures.ics brings: every occurrence from a year ago to a
// year ahead, by squad, day and UID, and the span in which what is not there
// any more is off. The span begins today, or with the first occurrence if that
// was earlier: a calendar that no longer has last season does not cancel it.
type Fixtures struct {
	Rows     []store.FixtureRow
	From, To prescribe.Day
}

// How far fixtures are worked out, and how many.
const (
	horizonDays    = 400 // before and after today
	maxOccurrences = 1000
	maxSeriesYears = 5              // a series began at most so long ago
	defaultLength  = 2 * time.Hour  // kick-off to final whistle
	maxLength      = 12 * time.Hour // of a match
	maxTripDays    = 90             // of a trip
	noon           = 12 * time.Hour // assumed kick-off of a date without a time
	travelCategory = "TRAVEL"
)

// when is a date or a date and time as it stands in a calendar.
type when struct {
	wall     time.Time
	date     bool // a date only
	utc      bool // written in UTC
	floating bool // without a zone
	zone     zone // of neither: its own
}

// in is the zone the time is in, home being the squad's.
func (w when) in(home zone) zone {
	switch {
	case w.utc:
		return zone{loc: time.UTC}
	case w.floating || w.date:
		return home
	}
	return w.zone
}

// event is a VEVENT read.
type event struct {
	uid      string
	line     int
	sequence int
	summary  string
	start    when
	span     time.Duration // from start to end
	days     int           // of a date-only event
	rule     *prop
	extra    []when // RDATE
	except   []when // EXDATE
	exceptAt []*prop
	replaces *when // RECURRENCE-ID
	at       *prop // of RECURRENCE-ID
	off      bool
	travel   bool
	squads   []string
	named    bool // squads come from CATEGORIES
}

// fixtureReader is a calendar being worked out.
type fixtureReader struct {
	ps      *problems
	o       Options
	defined map[string]zone
	events  []*event
	out     []store.FixtureRow
	full    bool
}

// ReadFixtures reads fixtures.ics. name is how the file is called in problems.
func ReadFixtures(r io.Reader, name string, o Options) (Fixtures, []*Problem) {
	ps := &problems{file: name}
	fr := &fixtureReader{ps: ps, o: o, defined: map[string]zone{}}
	today := o.today()
	cals := openCalendar(r, ps)
	if cals == nil {
		return Fixtures{}, ps.sorted()
	}
	var events []*component
	for _, cal := range cals {
		for _, c := range cal.children {
			switch c.name {
			case "VTIMEZONE":
				if len(fr.defined) >= maxZones {
					ps.add(c.line, 1, fmt.Sprintf("there are more than %d time zones", maxZones), "define each once")
					return Fixtures{}, ps.sorted()
				}
				if id, z, ok := definedZone(c, ps, (today + 3*horizonDays).Time()); ok {
					fr.defined[id] = z
				}
			case "VEVENT":
				events = append(events, c)
			}
		}
	}
	if len(events) > maxEvents {
		ps.add(0, 0, fmt.Sprintf("there are %d events, more than %d", len(events), maxEvents), "export one season at a time")
		return Fixtures{}, ps.sorted()
	}
	if len(events) == 0 {
		ps.add(1, 1, "the calendar has no events", "export it with its events; an empty calendar would cancel every fixture")
		return Fixtures{}, ps.sorted()
	}
	for _, c := range events {
		if e := fr.event(c); e != nil {
			fr.events = append(fr.events, e)
		}
	}
	fr.expand()
	slices.SortStableFunc(fr.out, func(a, b store.FixtureRow) int {
		return cmp.Or(cmp.Compare(a.Squad, b.Squad), a.Kickoff.Compare(b.Kickoff), cmp.Compare(a.UID, b.UID), cmp.Compare(a.Recurrence, b.Recurrence))
	})
	f := Fixtures{Rows: fr.out, From: today, To: today + horizonDays}
	for _, row := range f.Rows {
		f.From = min(f.From, row.Day)
	}
	return f, ps.sorted()
}

func (fr *fixtureReader) wrong(p *prop, f *fault) {
	fr.ps.add(p.line, p.column, p.Name+": "+f.what, f.mend)
}

// when reads one date or date and time of a property.
func (fr *fixtureReader) when(p *prop, value string) (when, *fault) {
	value = strings.ToUpper(strings.TrimSpace(value))
	isDate := strings.EqualFold(p.Params.Get("VALUE"), "DATE")
	bad := wrong("write it as 20260307T150000 (local time), 20260307T150000Z (UTC) or, without a time, VALUE=DATE:20260307", "%q is not a date and time", value)
	var w when
	var err error
	switch len(value) {
	case len(icalDate):
		w.date = true
		w.wall, err = time.Parse(icalDate, value)
	case len(icalLocal):
		w.wall, err = time.Parse(icalLocal, value)
		if tzid := p.Params.Get("TZID"); tzid != "" {
			var f *fault
			if w.zone, f = namedZone(tzid, fr.defined); f != nil {
				return w, f
			}
		} else {
			w.floating = true
		}
	case len(icalUTC):
		w.utc = true
		w.wall, err = time.Parse(icalUTC, value)
	default:
		return w, bad
	}
	if err != nil || isDate && !w.date {
		return w, bad
	}
	if y := w.wall.Year(); y < 1900 || y > 2200 {
		return w, wrong("check the year", "%q lies too far away", value)
	}
	return w, nil
}

// event reads a VEVENT; nil when it is too broken to go on with.
func (fr *fixtureReader) event(c *component) *event {
	if len(c.broken) > 0 {
		return nil // reported; without the property it would be another event
	}
	e := &event{line: c.line}
	ok := true
	fail := func(p *prop, f *fault) {
		fr.wrong(p, f)
		ok = false
	}
	if p := c.first("UID"); p == nil || p.Value == "" {
		fr.ps.add(c.line, 1, "the event has no UID", "write UID: with a name of its own that stays the same when the event moves")
		ok = false
	} else if len(p.Value) > 255 {
		fail(p, wrong("write at most 255", "has %d characters", len(p.Value)))
	} else {
		e.uid = p.Value
	}
	if p := c.first("SUMMARY"); p != nil {
		s, err := p.Text()
		if err != nil {
			s = p.Value
		}
		s = strings.Join(strings.Fields(s), " ")
		if utf8.RuneCountInString(s) > maxName {
			s = string([]rune(s)[:maxName-1]) + "…"
		}
		e.summary = s
	}
	if p := c.first("SEQUENCE"); p != nil {
		n, err := strconv.Atoi(p.Value)
		if err != nil || n < 0 {
			fail(p, wrong("write a number, 0 or more", "%q is not a number", p.Value))
		}
		e.sequence = n
	}
	if p := c.first("STATUS"); p != nil {
		switch strings.ToUpper(p.Value) {
		case "CANCELLED":
			e.off = true
		case "CONFIRMED", "TENTATIVE":
		default:
			fail(p, wrong("write CONFIRMED, TENTATIVE or CANCELLED", "%q is not known", p.Value))
		}
	}
	fr.categories(e, c)
	start := c.first("DTSTART")
	if start == nil {
		fr.ps.add(c.line, 1, "the event has no DTSTART", "write DTSTART;TZID=Europe/London:20260307T150000 with the kick-off, or DTSTART;VALUE=DATE:20260307 when it is not known")
		return nil
	}
	var f *fault
	if e.start, f = fr.when(start, start.Value); f != nil {
		fail(start, f)
		return nil
	}
	if !fr.length(e, c) {
		ok = false
	}
	if p := c.first("RECURRENCE-ID"); p != nil {
		w, f := fr.when(p, p.Value)
		switch {
		case f != nil:
			fail(p, f)
		case p.Params.Get("RANGE") != "":
			fail(p, wrong("end the series with UNTIL and write the later ones as a series of their own", "RANGE=%s is not read", p.Params.Get("RANGE")))
		default:
			e.replaces, e.at = &w, p
		}
	}
	for _, p := range c.props["EXRULE"] {
		fail(p, wrong("write the days left out as EXDATE", "is no longer part of the standard"))
	}
	e.rule = c.first("RRULE")
	if l := c.props["RRULE"]; len(l) > 1 {
		fail(l[1], wrong("write two events", "there are two rules"))
	}
	for _, name := range []string{"RDATE", "EXDATE"} {
		for _, p := range c.props[name] {
			if strings.EqualFold(p.Params.Get("VALUE"), "PERIOD") {
				fail(p, wrong("write the beginning only, without VALUE=PERIOD", "periods are not read"))
				continue
			}
			values := strings.Split(p.Value, ",")
			if len(e.extra)+len(e.except)+len(values) > maxDates {
				fail(p, wrong("shorten the series, or write single events", "the event has more than %d dates", maxDates))
				break
			}
			for _, v := range values {
				w, f := fr.when(p, v)
				if f != nil {
					fail(p, f)
					continue
				}
				if name == "RDATE" {
					e.extra = append(e.extra, w)
				} else {
					e.except, e.exceptAt = append(e.except, w), append(e.exceptAt, p)
				}
			}
		}
	}
	if e.replaces != nil && (e.rule != nil || len(e.extra) > 0) {
		fail(e.at, wrong("take RRULE and RDATE out of the event that replaces one occurrence", "one occurrence cannot recur"))
	}
	if !ok {
		return nil
	}
	return e
}

// categories finds the squads and whether it is a trip.
func (fr *fixtureReader) categories(e *event, c *component) {
	slugs := fr.o.slugs()
	for _, p := range c.props["CATEGORIES"] {
		l, err := p.TextList()
		if err != nil {
			fr.wrong(p, wrong(`write names with commas between; a comma inside a name is \,`, "cannot be read"))
			continue
		}
		for _, name := range l {
			name = strings.TrimSpace(name)
			if strings.EqualFold(name, travelCategory) {
				e.travel = true
				continue
			}
			i := slices.IndexFunc(slugs, func(s string) bool { return strings.EqualFold(s, name) })
			switch {
			case i >= 0 && !slices.Contains(e.squads, slugs[i]):
				e.squads = append(e.squads, slugs[i])
				e.named = true
			case i < 0:
				if n := nearest(name, slugs); n != "" {
					fr.wrong(p, wrong(fmt.Sprintf("write %q", n), "%q is not a squad of the club", name))
				}
			}
		}
	}
	if len(e.squads) == 0 {
		e.squads = []string{""}
		if len(slugs) > 0 {
			e.squads[0] = slugs[0]
		}
	}
}

// length reads DTEND or DURATION.
func (fr *fixtureReader) length(e *event, c *component) bool {
	home := zone{loc: fr.o.location(e.squads[0])}
	end, dur := c.first("DTEND"), c.first("DURATION")
	e.days, e.span = 1, defaultLength
	at := end
	switch {
	case end != nil && dur != nil:
		fr.wrong(dur, wrong("take one of them out", "DTEND and DURATION exclude each other"))
		return false
	case end != nil:
		w, f := fr.when(end, end.Value)
		if f != nil {
			fr.wrong(end, f)
			return false
		}
		if w.date != e.start.date {
			fr.wrong(end, wrong("write both with a time, or both without", "DTSTART and DTEND are not of one kind"))
			return false
		}
		if e.start.date {
			e.days = int(w.wall.Sub(e.start.wall) / (24 * time.Hour))
			if e.days == 0 { // written by some programs for a single day
				e.days = 1
			}
			e.span = time.Duration(e.days) * 24 * time.Hour
		} else {
			e.span = w.in(home).at(w.wall).Sub(e.start.in(home).at(e.start.wall))
		}
	case dur != nil:
		at = dur
		d, err := dur.Duration()
		if err != nil || len(dur.Value) > 20 {
			fr.wrong(dur, wrong("write it as PT2H or PT1H45M", "%q is not a duration", dur.Value))
			return false
		}
		e.span = d
		if e.start.date {
			e.days = int(d / (24 * time.Hour))
		}
	case e.start.date:
		return true
	default:
		return true
	}
	switch {
	case e.span <= 0 || e.start.date && e.days < 1:
		fr.wrong(at, wrong("write an end after DTSTART", "the event ends before it begins"))
	case e.travel && e.span > maxTripDays*24*time.Hour:
		fr.wrong(at, wrong("check the dates", "the trip lasts more than %d days", maxTripDays))
	case !e.travel && e.start.date && e.days > 1:
		fr.wrong(at, wrong("write one event for each match, or CATEGORIES:TRAVEL for a trip", "a match lasts one day, not %d", e.days))
	case !e.travel && !e.start.date && e.span > maxLength:
		fr.wrong(at, wrong("write the final whistle as DTEND, or CATEGORIES:TRAVEL for a trip", "a match does not last %s", e.span))
	default:
		return true
	}
	return false
}

// expand works out every occurrence of every event.
func (fr *fixtureReader) expand() {
	masters := map[string]*event{}
	replaced := map[string]map[string]*event{} // by UID and occurrence
	series := 0
	for _, e := range fr.events {
		if e.replaces != nil {
			id := fr.id(e, *e.replaces)
			if replaced[e.uid] == nil {
				replaced[e.uid] = map[string]*event{}
			}
			if other := replaced[e.uid][id]; other != nil && other.sequence == e.sequence {
				fr.wrong(e.at, wrong("keep one, or give the newer one the higher SEQUENCE", "the same occurrence is replaced in line %d already", other.line))
			} else if other == nil || e.sequence > other.sequence {
				replaced[e.uid][id] = e
			}
			continue
		}
		if other := masters[e.uid]; other != nil && other.sequence == e.sequence {
			fr.ps.add(e.line, 1, fmt.Sprintf("UID %s is already used by the event in line %d", quoteUID(e.uid), other.line), "give each event a UID of its own")
		} else if other == nil || e.sequence > other.sequence {
			masters[e.uid] = e
		}
		if e.rule != nil {
			series++
		}
	}
	if series > maxSeries {
		fr.ps.add(0, 0, fmt.Sprintf("%d events recur, more than %d", series, maxSeries), "write them as single events")
		return
	}
	for _, e := range fr.events {
		switch {
		case e.replaces == nil && masters[e.uid] == e:
			fr.series(e, replaced[e.uid])
		case e.replaces != nil && masters[e.uid] == nil && replaced[e.uid][fr.id(e, *e.replaces)] == e:
			fr.emit(e, e, fr.id(e, *e.replaces), e.start.wall) // its series is not in this file
		}
	}
}

func quoteUID(s string) string {
	if len(s) > 40 {
		s = s[:40] + "…"
	}
	return strconv.Quote(s)
}

// id names an occurrence of e by its own beginning, in UTC, or as a date.
func (fr *fixtureReader) id(e *event, w when) string {
	if w.date {
		return w.wall.Format(icalDate)
	}
	return w.in(zone{loc: fr.o.location(e.squads[0])}).at(w.wall).UTC().Format(icalUTC)
}

// series emits the occurrences of an event that may recur.
func (fr *fixtureReader) series(e *event, replaced map[string]*event) {
	home := zone{loc: fr.o.location(e.squads[0])}
	own := e.start.in(home)
	today := fr.o.today()
	first, last := (today - horizonDays).Time(), (today + horizonDays + 1).Time()
	if e.rule == nil && len(e.extra) == 0 {
		if !e.start.wall.Before(last) {
			fr.ps.add(e.line, 1, fmt.Sprintf("the event is on %s, more than %d days ahead", e.start.wall.Format(time.DateOnly), horizonDays), "check the year, or bring it in nearer the time")
			return
		}
		fr.emit(e, e, "", e.start.wall)
		return
	}

	walls := map[time.Time]bool{e.start.wall: true}
	if e.rule != nil {
		opt, f := recurrence(e.rule.Value, "DAILY", "WEEKLY", "MONTHLY", "YEARLY")
		if f == nil && e.start.wall.Before(today.Time().AddDate(-maxSeriesYears, 0, 0)) {
			f = wrong("let the series begin with this season", "the series began on %s, more than %d years ago", e.start.wall.Format(time.DateOnly), maxSeriesYears)
		}
		if f != nil {
			fr.wrong(e.rule, f)
			return
		}
		opt.Dtstart = e.start.wall
		if !opt.Until.IsZero() {
			if untilUTC(e.rule.Value) {
				opt.Until = own.wall(opt.Until)
			}
			if opt.Until.Before(e.start.wall) {
				fr.wrong(e.rule, wrong("write the last day of the series as UNTIL", "UNTIL is before DTSTART"))
				return
			}
		}
		rule, err := rrule.NewRRule(*opt)
		if err != nil {
			fr.wrong(e.rule, wrong("check it against RFC 5545 section 3.3.10", "cannot be worked out: %v", err))
			return
		}
		next := rule.Iterator()
		for w, ok := next(); ok && w.Before(last); w, ok = next() {
			if !w.Before(first) {
				walls[w] = true
			}
		}
	}
	for _, w := range e.extra {
		wall := w.wall
		if w.date != e.start.date {
			fr.ps.add(e.line, 1, "RDATE and DTSTART are not of one kind", "write both with a time, or both without")
			return
		}
		if !w.date {
			wall = own.wall(w.in(home).at(w.wall))
		}
		walls[wall] = true
	}
	days := map[string]int{}
	for w := range walls {
		days[w.Format(icalDate)]++
	}
	for i, w := range e.except {
		switch {
		case w.date == e.start.date:
			wall := w.wall
			if !w.date {
				wall = own.wall(w.in(home).at(w.wall))
			}
			if !walls[wall] && days[wall.Format(icalDate)] > 0 {
				fr.wrong(e.exceptAt[i], wrong("write the time at which it would begin", "the series has an occurrence on %s, but not at %s", wall.Format(time.DateOnly), wall.Format("15:04")))
			}
			delete(walls, wall)
		default: // a date where a time is expected takes the whole day out
			for x := range walls {
				if x.Format(icalDate) == w.wall.Format(icalDate) {
					delete(walls, x)
				}
			}
		}
	}
	list := make([]time.Time, 0, len(walls))
	for w := range walls {
		list = append(list, w)
	}
	slices.SortFunc(list, time.Time.Compare)
	used := map[string]bool{}
	for _, w := range list {
		if !w.Before(last) {
			continue
		}
		this := e.start
		this.wall = w
		id := fr.id(e, this)
		if r := replaced[id]; r != nil {
			used[id] = true
			fr.emit(r, e, id, r.start.wall)
			continue
		}
		fr.emit(e, e, id, w)
	}
	for _, r := range fr.events {
		if r.replaces == nil || r.uid != e.uid {
			continue
		}
		id := fr.id(r, *r.replaces)
		if replaced[id] != r || used[id] {
			continue
		}
		if w := r.replaces.wall; w.Before(first) || !w.Before(last) {
			continue
		}
		// Programs write a moved occurrence with or without an EXDATE for its old place.
		if slices.ContainsFunc(e.except, func(x when) bool { return fr.id(e, x) == id }) {
			fr.emit(r, e, id, r.start.wall)
			continue
		}
		fr.wrong(r.at, wrong("write the beginning that the occurrence had before it was moved", "the series of line %d has no occurrence then", e.line))
	}
}

// untilUTC reports whether the rule's UNTIL is in UTC.
func untilUTC(rule string) bool {
	_, u, _ := strings.Cut(strings.ToUpper(rule), "UNTIL=")
	u, _, _ = strings.Cut(u, ";")
	return strings.HasSuffix(u, "Z")
}

// emit writes one occurrence of e, for each of its squads. master is the event
// of the series; an occurrence that names no squad has its.
func (fr *fixtureReader) emit(e, master *event, recurrence string, wall time.Time) {
	squads := e.squads
	if !e.named {
		squads = master.squads
	}
	today := fr.o.today()
	for _, squad := range squads {
		home := zone{loc: fr.o.location(squad)}
		row := store.FixtureRow{
			At:         store.At{File: fr.ps.file, Line: e.line, Column: 1},
			UID:        e.uid,
			Recurrence: recurrence,
			Squad:      squad,
			Summary:    e.summary,
			Known:      !e.start.date,
			Cancelled:  e.off || master.off,
			Travel:     e.travel || master.travel && !e.named,
		}
		if row.Summary == "" {
			row.Summary = master.summary
		}
		if len(squads) > 1 {
			row.UID += "#" + squad
		}
		if e.start.date {
			row.Kickoff = home.at(wall.Add(noon))
			row.End = row.Kickoff.Add(defaultLength)
			row.Day = prescribe.DayOf(wall)
			row.Until = row.Day + prescribe.Day(e.days-1)
		} else {
			row.Kickoff = e.start.in(home).at(wall)
			if e.start.utc { // the date is the one where the squad is
				row.Kickoff = row.Kickoff.In(home.loc)
			}
			row.End = row.Kickoff.Add(e.span)
			row.Day = prescribe.DayOf(row.Kickoff)
			row.Until = prescribe.DayOf(row.End.Add(-time.Second))
		}
		if !row.Travel {
			row.Until = row.Day
		}
		if row.Until < today-horizonDays || row.Day > today+horizonDays {
			continue
		}
		if len(fr.out) >= maxOccurrences {
			if !fr.full {
				fr.full = true
				fr.ps.add(e.line, 1, fmt.Sprintf("there are more than %d fixtures within %d days of today", maxOccurrences, horizonDays), "end series with UNTIL, or take out what is no match")
			}
			return
		}
		fr.out = append(fr.out, row)
	}
}
