package clubfile

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"
	_ "time/tzdata" // the same zones on every machine

	"github.com/teambition/rrule-go"
)

// windowsZones are time zone names that calendars made on Windows use, and the
// zone of the IANA list that is meant: the “001” rows of the Unicode CLDR table
// windowsZones, from memory. They are only used to tell what to write; a
// calendar that brings the zone's definition along is read by that.
var windowsZones = map[string]string{
	"argentina standard time":         "America/Argentina/Buenos_Aires",
	"arab standard time":              "Asia/Riyadh",
	"arabian standard time":           "Asia/Dubai",
	"aus eastern standard time":       "Australia/Sydney",
	"central europe standard time":    "Europe/Budapest",
	"central european standard time":  "Europe/Warsaw",
	"central standard time":           "America/Chicago",
	"central standard time (mexico)":  "America/Mexico_City",
	"china standard time":             "Asia/Shanghai",
	"e. europe standard time":         "Europe/Chisinau",
	"e. south america standard time":  "America/Sao_Paulo",
	"eastern standard time":           "America/New_York",
	"egypt standard time":             "Africa/Cairo",
	"fle standard time":               "Europe/Kyiv",
	"gmt standard time":               "Europe/London",
	"greenwich standard time":         "Atlantic/Reykjavik",
	"gtb standard time":               "Europe/Bucharest",
	"india standard time":             "Asia/Kolkata",
	"israel standard time":            "Asia/Jerusalem",
	"korea standard time":             "Asia/Seoul",
	"morocco standard time":           "Africa/Casablanca",
	"mountain standard time":          "America/Denver",
	"new zealand standard time":       "Pacific/Auckland",
	"pacific standard time":           "America/Los_Angeles",
	"romance standard time":           "Europe/Paris",
	"russian standard time":           "Europe/Moscow",
	"sa pacific standard time":        "America/Bogota",
	"singapore standard time":         "Asia/Singapore",
	"south africa standard time":      "Africa/Johannesburg",
	"tokyo standard time":             "Asia/Tokyo",
	"turkey standard time":            "Europe/Istanbul",
	"utc":                             "UTC",
	"w. central africa standard time": "Africa/Lagos",
	"w. europe standard time":         "Europe/Berlin",
}

// maxOnsets is how many clock changes a defined zone may have: two a year since
// 1601, where some programs begin.
const maxOnsets = 2000

// ianaOf guesses the IANA zone that a name means, or "".
func ianaOf(name string) string {
	lower := strings.ToLower(strings.TrimSpace(name))
	if z, ok := windowsZones[lower]; ok {
		return z
	}
	switch lower {
	case "gmt", "bst", "wet", "london":
		return "Europe/London"
	case "z", "zulu", "etc/utc":
		return "UTC"
	}
	var all []string
	for _, z := range windowsZones {
		all = append(all, z)
	}
	slices.Sort(all)
	return nearest(name, all)
}

// zone turns times of day into instants and back: a zone of the IANA list, or
// one that the calendar defines itself. Times of day are kept in wall times: a
// time.Time in UTC whose clock shows the local time.
type zone struct {
	loc    *time.Location
	name   string  // of a defined one
	onsets []onset // of a defined one, ascending
}

// onset is the beginning of an observance of a defined zone.
type onset struct {
	wall     time.Time // in the offset before it
	from, to int       // seconds east of UTC
}

// at is the instant of a wall time. A time that a clock change leaves out is
// read with the offset before the change, one that comes twice is the first
// (RFC 5545 section 3.3.5).
func (z zone) at(wall time.Time) time.Time {
	if z.loc == nil {
		return time.Unix(wall.Unix()-int64(z.offset(wall)), 0).In(time.FixedZone(z.name, z.offset(wall)))
	}
	y, m, d := wall.Date()
	t := time.Date(y, m, d, wall.Hour(), wall.Minute(), wall.Second(), 0, z.loc)
	_, before := t.Add(-12 * time.Hour).Zone()
	c := time.Unix(wall.Unix()-int64(before), 0).In(z.loc)
	if !wallOf(c).Equal(wall) && wallOf(t).Equal(wall) {
		return t
	}
	return c
}

// offset is the offset of a defined zone at a wall time.
func (z zone) offset(wall time.Time) int {
	off := z.onsets[0].from
	for _, o := range z.onsets {
		if wall.Before(o.wall) {
			break
		}
		if gap := o.to - o.from; gap > 0 && wall.Before(o.wall.Add(time.Duration(gap)*time.Second)) {
			off = o.from
			continue
		}
		off = o.to
	}
	return off
}

// wall is the wall time of an instant.
func (z zone) wall(t time.Time) time.Time {
	if z.loc != nil {
		return wallOf(t.In(z.loc))
	}
	off := z.onsets[0].from
	for _, o := range z.onsets {
		if t.Unix() < o.wall.Unix()-int64(o.from) {
			break
		}
		off = o.to
	}
	return t.UTC().Add(time.Duration(off) * time.Second)
}

// wallOf is t's local clock, as a wall time.
func wallOf(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, t.Hour(), t.Minute(), t.Second(), 0, time.UTC)
}

// namedZone finds the zone of a TZID: first in the IANA list, also behind a
// vendor's prefix as in "/vendor/Europe/London", then in the calendar.
func namedZone(tzid string, defined map[string]zone) (zone, *fault) {
	parts := strings.Split(strings.Trim(tzid, "/"), "/")
	for n := min(3, len(parts)); n >= 1; n-- {
		if loc, err := loadZone(strings.Join(parts[len(parts)-n:], "/")); err == nil {
			return zone{loc: loc}, nil
		}
	}
	if z, ok := defined[tzid]; ok {
		return z, nil
	}
	if n := ianaOf(tzid); n != "" {
		return zone{}, wrong(fmt.Sprintf("write TZID=%s", n), "time zone %q is neither in the IANA list nor defined in this calendar", tzid)
	}
	return zone{}, wrong("write a zone of the IANA list, such as TZID=Europe/London", "time zone %q is neither in the IANA list nor defined in this calendar", tzid)
}

// definedZone reads a VTIMEZONE. Its onsets are worked out up to last.
func definedZone(c *component, ps *problems, last time.Time) (string, zone, bool) {
	id := c.first("TZID")
	if id == nil {
		ps.add(c.line, 1, "a VTIMEZONE has no TZID", "write the line TZID: with the name that its times use")
		return "", zone{}, false
	}
	z := zone{name: id.Value}
	for _, o := range c.children {
		if o.name != "STANDARD" && o.name != "DAYLIGHT" {
			continue
		}
		start, from, to := o.first("DTSTART"), o.first("TZOFFSETFROM"), o.first("TZOFFSETTO")
		if start == nil || from == nil || to == nil {
			ps.add(o.line, 1, fmt.Sprintf("a part of time zone %q lacks DTSTART, TZOFFSETFROM or TZOFFSETTO", id.Value), "write all three, or use a zone of the IANA list")
			return "", zone{}, false
		}
		wall, err := time.Parse(icalLocal, start.Value)
		if err != nil || wall.Year() < 1500 {
			ps.add(start.line, start.column, fmt.Sprintf("%q is not a local date and time", start.Value), "write it as 19701025T030000")
			return "", zone{}, false
		}
		off := onset{wall: wall}
		for _, p := range []struct {
			prop *prop
			to   *int
		}{{from, &off.from}, {to, &off.to}} {
			var f *fault
			if *p.to, f = utcOffset(p.prop.Value); f != nil {
				ps.add(p.prop.line, p.prop.column, f.what, f.mend)
				return "", zone{}, false
			}
		}
		z.onsets = append(z.onsets, off)
		for _, p := range o.props["RDATE"] {
			for _, v := range strings.Split(p.Value, ",") {
				if w, err := time.Parse(icalLocal, v); err == nil && w.After(wall) && w.Before(last) {
					z.onsets = append(z.onsets, onset{w, off.from, off.to})
				}
			}
		}
		if p := o.first("RRULE"); p != nil {
			opt, f := recurrence(p.Value, "YEARLY")
			if f != nil {
				ps.add(p.line, p.column, f.what, f.mend)
				return "", zone{}, false
			}
			opt.Dtstart = wall
			if !opt.Until.IsZero() && strings.Contains(strings.ToUpper(p.Value), "Z") {
				opt.Until = opt.Until.Add(time.Duration(off.from) * time.Second)
			}
			if opt.Until.IsZero() {
				opt.Until = last // left open, the library ends it 290 years on, and some zones begin in 1601
			}
			rule, err := rrule.NewRRule(*opt)
			if err != nil {
				ps.add(p.line, p.column, fmt.Sprintf("%q cannot be worked out: %v", p.Value, err), "use a zone of the IANA list")
				return "", zone{}, false
			}
			next := rule.Iterator()
			for w, ok := next(); ok && w.Before(last) && len(z.onsets) <= maxOnsets; w, ok = next() {
				if w.After(wall) {
					z.onsets = append(z.onsets, onset{w, off.from, off.to})
				}
			}
		}
		if len(z.onsets) > maxOnsets {
			ps.add(c.line, 1, fmt.Sprintf("time zone %q changes its clock more than %d times", id.Value, maxOnsets), "use a zone of the IANA list")
			return "", zone{}, false
		}
	}
	if len(z.onsets) == 0 {
		ps.add(c.line, 1, fmt.Sprintf("time zone %q has neither STANDARD nor DAYLIGHT", id.Value), "write at least one, or use a zone of the IANA list")
		return "", zone{}, false
	}
	slices.SortFunc(z.onsets, func(a, b onset) int {
		return cmp.Or(a.wall.Compare(b.wall), cmp.Compare(a.to, b.to))
	})
	return id.Value, z, true
}

// utcOffset reads "+0100", "-043000" in seconds.
func utcOffset(s string) (int, *fault) {
	bad := wrong("write it as +0100 or -0500", "%q is not an offset from UTC", s)
	if len(s) != 5 && len(s) != 7 || s[0] != '+' && s[0] != '-' || strings.Trim(s[1:], "0123456789") != "" {
		return 0, bad
	}
	n := 0
	for i, unit := 1, 3600; i < len(s); i, unit = i+2, unit/60 {
		n += (int(s[i]-'0')*10 + int(s[i+1]-'0')) * unit
	}
	if n > 18*3600 {
		return 0, bad
	}
	if s[0] == '-' {
		n = -n
	}
	return n, nil
}
