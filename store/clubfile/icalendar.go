package clubfile

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	ical "github.com/emersion/go-ical"
)

// The forms of dates in iCalendar (RFC 5545 sections 3.3.4 and 3.3.5).
const (
	icalDate  = "20060102"
	icalLocal = "20060102T150405"
	icalUTC   = "20060102T150405Z"
)

// Limits of a calendar.
const (
	maxDepth    = 6       // components inside each other
	maxProperty = 8 << 10 // bytes of a property that is read
	maxEvents   = 2000    // events in one file
	maxSeries   = 40      // events that recur
	maxDates    = 500     // of an event in RDATE and EXDATE
	maxLines    = 50_000  // properties that are read
	maxZones    = 50      // zones that the file defines
)

// readProperties are the properties that matter; others are passed over, so
// that neither their size nor their errors do.
var readProperties = []string{
	"UID", "DTSTART", "DTEND", "DURATION", "RRULE", "RDATE", "EXDATE", "EXRULE", "RECURRENCE-ID",
	"STATUS", "CATEGORIES", "SUMMARY", "SEQUENCE", "TZID", "TZOFFSETFROM", "TZOFFSETTO",
}

// prop is a property and the place of its value.
type prop struct {
	ical.Prop
	line, column int
}

// component is a component of a calendar with the line of its BEGIN.
type component struct {
	name     string
	line     int
	props    map[string][]*prop
	children []*component
	broken   []string // properties that could not be read
}

func (c *component) first(name string) *prop {
	if l := c.props[name]; len(l) > 0 {
		return l[0]
	}
	return nil
}

// contentLine is an unfolded line and the number of its first part.
type contentLine struct {
	line  int
	first int // length of the first part
	text  string
}

// unfold joins lines that were folded (RFC 5545 section 3.1).
func unfold(text string) []contentLine {
	var out []contentLine
	var b strings.Builder
	start, first := 0, 0
	flush := func() {
		if b.Len() > 0 {
			out = append(out, contentLine{start, first, b.String()})
		}
		b.Reset()
	}
	for i, l := range strings.Split(text, "\n") {
		if b.Len() > 0 && l != "" && (l[0] == ' ' || l[0] == '\t') {
			b.WriteString(l[1:])
			continue
		}
		flush()
		if strings.TrimSpace(l) == "" {
			continue
		}
		start, first = i+1, len(l)
		b.WriteString(l)
	}
	flush()
	return out
}

// openCalendar reads the components of a calendar file. Each line is decoded by
// itself, so one that is wrong is reported and the others are read.
func openCalendar(r io.Reader, ps *problems) []*component {
	text, ok := load(r, ps)
	if !ok {
		return nil
	}
	lines := unfold(text)
	if len(lines) == 0 || !strings.EqualFold(strings.TrimSpace(lines[0].text), "BEGIN:VCALENDAR") {
		ps.add(1, 1, "this is not an iCalendar file", "export the fixtures as iCalendar (.ics); its first line is BEGIN:VCALENDAR")
		return nil
	}
	root := &component{}
	read := 0
	stack := []*component{root}
	for _, l := range lines {
		top := stack[len(stack)-1]
		name, rest, _ := strings.Cut(l.text, ":")
		bare, _, _ := strings.Cut(name, ";")
		bare = strings.ToUpper(strings.TrimSpace(bare))
		switch {
		case bare == "BEGIN":
			if len(stack) > maxDepth {
				ps.add(l.line, 1, "components lie too deep inside each other", "end each with its END: line")
				return nil
			}
			c := &component{name: strings.ToUpper(strings.TrimSpace(rest)), line: l.line, props: map[string][]*prop{}}
			top.children = append(top.children, c)
			stack = append(stack, c)
		case bare == "END":
			ends := strings.ToUpper(strings.TrimSpace(rest))
			if len(stack) == 1 || top.name != ends {
				ps.add(l.line, 1, fmt.Sprintf("END:%s does not end what began last", ends), "write one END: for each BEGIN:, the inner one first")
				return nil
			}
			stack = stack[:len(stack)-1]
		case len(stack) == 1:
			ps.add(l.line, 1, "the line lies outside of the calendar", "put it between BEGIN:VCALENDAR and END:VCALENDAR")
		case slices.Contains(readProperties, bare):
			if read++; read > maxLines {
				ps.add(l.line, 1, fmt.Sprintf("there are more than %d properties", maxLines), "export one season at a time")
				return nil
			}
			if len(l.text) > maxProperty {
				top.broken = append(top.broken, bare)
				ps.add(l.line, 1, fmt.Sprintf("%s is longer than %d KB", bare, maxProperty>>10), "shorten it")
				continue
			}
			p, err := decodeProperty(l.text)
			if err != nil {
				top.broken = append(top.broken, bare)
				ps.add(l.line, 1, fmt.Sprintf("%s cannot be read: %s", bare, strings.TrimPrefix(err.Error(), "ical: ")), `write NAME;PARAMETER=value:value, with a value that has a colon or comma in quotation marks`)
				continue
			}
			column := 1
			if at := len(l.text) - len(p.Value); at <= l.first {
				column = utf8.RuneCountInString(l.text[:at]) + 1
			}
			p.Value = strings.TrimSpace(p.Value)
			top.props[bare] = append(top.props[bare], &prop{*p, l.line, column})
		case !strings.ContainsAny(l.text, ":"):
			ps.add(l.line, 1, "the line has no colon", "begin it with a space if it carries on the line before, or write NAME:value")
		}
	}
	if open := stack[len(stack)-1]; open != root {
		ps.add(open.line, 1, fmt.Sprintf("%s does not end", open.name), "the file may have been cut off; export it again")
	}
	return root.children
}

// decodeProperty decodes one unfolded line. The library expects a calendar
// around it, and gives up on some malformed parameters by panicking.
func decodeProperty(line string) (p *ical.Prop, err error) {
	defer func() {
		if recover() != nil {
			err = errors.New("its parameters are malformed")
		}
	}()
	cal, err := ical.NewDecoder(strings.NewReader("BEGIN:VCALENDAR\r\n" + line + "\r\nEND:VCALENDAR\r\n")).Decode()
	if err != nil {
		return nil, err
	}
	for _, l := range cal.Props {
		if len(l) == 1 {
			return &l[0], nil
		}
	}
	return nil, errors.New("it is malformed")
}
