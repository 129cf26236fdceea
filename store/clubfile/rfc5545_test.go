package clubfile_test

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/store/clubfile"
)

// recurrenceExample is one worked example of RFC 5545 section 3.8.5.3.
type recurrenceExample struct {
	name  string
	lines []string // of the event
	days  []string // "1997-09-02 09:00 EDT"
	andOn bool
}

func readRecurrenceExamples(t *testing.T) []recurrenceExample {
	t.Helper()
	b, err := os.ReadFile("testdata/published/rfc5545-recurrence.txt")
	require.NoError(t, err)
	var out []recurrenceExample
	for _, block := range strings.Split(strings.TrimSpace(string(b)), "\n\n") {
		lines := strings.Split(block, "\n")
		if strings.HasPrefix(lines[0], "#") {
			continue
		}
		ex := recurrenceExample{name: lines[0]}
		for _, l := range lines[1:] {
			switch head, rest, _ := strings.Cut(l, ": "); {
			case l == "and on":
				ex.andOn = true
			case rest == "":
				ex.lines = append(ex.lines, l)
			default:
				year, zone, _ := strings.Cut(head, " ")
				for _, month := range strings.Split(rest, "; ") {
					name, days, _ := strings.Cut(month, " ")
					for _, span := range strings.Split(days, ",") {
						first, last, isSpan := strings.Cut(span, "-")
						if !isSpan {
							last = first
						}
						from, err := strconv.Atoi(first)
						require.NoError(t, err, l)
						to, err := strconv.Atoi(last)
						require.NoError(t, err, l)
						for d := from; d <= to; d++ {
							tm, err := time.Parse("2006 Jan 2", fmt.Sprintf("%s %s %d", year, name, d))
							require.NoError(t, err, l)
							ex.days = append(ex.days, tm.Format("2006-01-02")+" 09:00 "+zone)
						}
					}
				}
			}
		}
		out = append(out, ex)
	}
	return out
}

// Source: RFC 5545 section 3.8.5.3. A calendar is worked out for 400 days from
// today, so "today" is put between the first days and the examples' later ones.
func TestRecurrenceExamplesOfTheStandard(t *testing.T) {
	examples := readRecurrenceExamples(t)
	require.Len(t, examples, 36)
	for _, ex := range examples {
		t.Run(ex.name, func(t *testing.T) {
			require.NotEmpty(t, ex.days)
			_, value, _ := strings.Cut(ex.lines[0], ":")
			start, err := time.Parse("20060102T150405", value)
			require.NoError(t, err)
			now := start.AddDate(0, 0, 390)
			horizon := now.AddDate(0, 0, 399).Format("2006-01-02")

			f, problems := clubfile.ReadFixtures(strings.NewReader(calendar(event(ex.lines...))), "fixtures.ics",
				clubfile.Options{Now: now, Zone: "America/New_York"})
			require.Empty(t, problems)
			var got, want []string
			for _, row := range f.Rows {
				if s := row.Kickoff.Format("2006-01-02 15:04 MST"); s < horizon {
					got = append(got, s)
				}
			}
			for _, d := range ex.days {
				if d < horizon {
					want = append(want, d)
				}
			}
			if ex.andOn {
				require.GreaterOrEqual(t, len(got), len(want))
				got = got[:len(want)]
			}
			require.Equal(t, want, got)
		})
	}
}

// The standard's remaining examples begin several times a day; a match does not.
func TestRecurrenceExamplesThatAreNoFixtures(t *testing.T) {
	for rule, what := range map[string]string{
		"FREQ=HOURLY;INTERVAL=3;UNTIL=19970902T170000Z":             "FREQ=HOURLY is not read here",
		"FREQ=MINUTELY;INTERVAL=15;COUNT=6":                         "FREQ=MINUTELY is not read here",
		"FREQ=MINUTELY;INTERVAL=90;COUNT=4":                         "FREQ=MINUTELY is not read here",
		"FREQ=DAILY;BYHOUR=9,10,11,12,13,14,15,16;BYMINUTE=0,20,40": "BYHOUR would give several times on one day",
		"FREQ=MINUTELY;INTERVAL=20;BYHOUR=9,10,11,12,13,14,15,16":   "BYHOUR would give several times on one day",
		"FREQ=SECONDLY": "FREQ=SECONDLY is not read here",
	} {
		_, problems := clubfile.ReadFixtures(strings.NewReader(calendar(event("DTSTART;TZID=America/New_York:19970902T090000", "RRULE:"+rule))), "fixtures.ics",
			clubfile.Options{Now: time.Date(1997, 9, 1, 0, 0, 0, 0, time.UTC), Zone: "America/New_York"})
		require.Len(t, problems, 1, rule)
		require.Contains(t, problems[0].Error(), what)
		require.Equal(t, 6, problems[0].At.Line)
	}
}

// calendar wraps lines in a calendar, folding none.
func calendar(blocks ...string) string {
	return "BEGIN:VCALENDAR\r\nVERSION:2.0\r\n" + strings.Join(blocks, "") + "END:VCALENDAR\r\n"
}

// event is a VEVENT with a UID of its own first lines.
func event(lines ...string) string {
	uid := "UID:e1@example"
	for _, l := range lines {
		if strings.HasPrefix(l, "UID:") {
			uid = ""
		}
	}
	out := "BEGIN:VEVENT\r\n"
	if uid != "" {
		out += uid + "\r\n"
	}
	return out + strings.Join(lines, "\r\n") + "\r\nEND:VEVENT\r\n"
}
