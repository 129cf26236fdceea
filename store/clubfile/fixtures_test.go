package clubfile_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pegcard/prescribe"
	"pegcard/store"
	"pegcard/store/clubfile"
)

func fixtures(t *testing.T, blocks ...string) []store.FixtureRow {
	t.Helper()
	f, problems := clubfile.ReadFixtures(strings.NewReader(calendar(blocks...)), "fixtures.ics", asOf())
	for _, p := range problems {
		t.Error(p)
	}
	return f.Rows
}

// say writes a fixture on one line.
func say(f store.FixtureRow) string {
	s := f.Kickoff.Format("2006-01-02 15:04 -0700") + f.End.Format("–15:04")
	if !f.Known {
		s += " unknown"
	}
	if f.Cancelled {
		s += " cancelled"
	}
	if f.Travel {
		s += fmt.Sprintf(" travel %s..%s", f.Day, f.Until)
	}
	if f.Squad != "first" {
		s += " " + f.Squad
	}
	return s
}

func sayAll(rows []store.FixtureRow) []string {
	var out []string
	for _, f := range rows {
		out = append(out, say(f))
	}
	return out
}

func TestTheFormsOfAKickOff(t *testing.T) {
	for _, c := range []struct{ name, lines, want string }{
		{"zone", "DTSTART;TZID=Europe/London:20260314T150000", "2026-03-14 15:00 +0000–17:00"},
		{"summer", "DTSTART;TZID=Europe/London:20260404T150000", "2026-04-04 15:00 +0100–17:00"},
		{"UTC", "DTSTART:20260404T140000Z", "2026-04-04 15:00 +0100–17:00"},
		{"floating: the squad's zone", "DTSTART:20260404T150000", "2026-04-04 15:00 +0100–17:00"},
		{"vendor's prefix", "DTSTART;TZID=/vendor.example/1/Europe/Madrid:20260314T150000", "2026-03-14 15:00 +0100–17:00"},
		{"quoted zone", `DTSTART;TZID="Europe/Madrid":20260314T150000`, "2026-03-14 15:00 +0100–17:00"},
		{"date only: noon", "DTSTART;VALUE=DATE:20260404", "2026-04-04 12:00 +0100–14:00 unknown"},
		{"date only, with its end", "DTSTART;VALUE=DATE:20260404\r\nDTEND;VALUE=DATE:20260405", "2026-04-04 12:00 +0100–14:00 unknown"},
		{"end", "DTSTART:20260314T150000\r\nDTEND:20260314T164500", "2026-03-14 15:00 +0000–16:45"},
		{"duration", "DTSTART:20260314T150000\r\nDURATION:PT1H50M", "2026-03-14 15:00 +0000–16:50"},
		{"cancelled", "DTSTART:20260314T150000\r\nSTATUS:CANCELLED", "2026-03-14 15:00 +0000–17:00 cancelled"},
		{"squad", "DTSTART:20260314T150000\r\nCATEGORIES:League,ACADEMY", "2026-03-14 15:00 +0000–17:00 academy"},
		{"folded", "DTSTART;TZID=Europe\r\n /London:2026031\r\n\t4T150000", "2026-03-14 15:00 +0000–17:00"},
		{"lower case", "dtstart;tzid=Europe/London:20260314t150000", "2026-03-14 15:00 +0000–17:00"},
		{"trip", "DTSTART;VALUE=DATE:20260320\r\nDTEND;VALUE=DATE:20260323\r\nCATEGORIES:TRAVEL", "2026-03-20 12:00 +0000–14:00 unknown travel 2026-03-20..2026-03-22"},
		{"timed trip", "DTSTART:20260320T120000\r\nDTEND:20260322T000000\r\nCATEGORIES:travel", "2026-03-20 12:00 +0000–00:00 travel 2026-03-20..2026-03-21"},
		{"the hour that is left out (RFC 5545 section 3.3.5)", "DTSTART;TZID=Europe/London:20260329T013000", "2026-03-29 02:30 +0100–04:30"},
		{"the hour that comes twice is the first", "DTSTART;TZID=Europe/London:20261025T013000", "2026-10-25 01:30 +0100–02:30"},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Equal(t, []string{c.want}, sayAll(fixtures(t, event(c.lines))))
		})
	}
}

// The examples of RFC 5545 section 3.3.5: the first gap and overlap of 2007 in
// New York, as instants.
func TestGapAndOverlapOfTheStandard(t *testing.T) {
	o := clubfile.Options{Now: time.Date(2007, 6, 1, 0, 0, 0, 0, time.UTC), Zone: "America/New_York"}
	for value, want := range map[string]string{
		"20071104T013000": "2007-11-04T05:30:00Z", // 1:30 EDT, -0400
		"20070311T023000": "2007-03-11T07:30:00Z", // read as 3:30 EDT, -0400
	} {
		f, problems := clubfile.ReadFixtures(strings.NewReader(calendar(event("DTSTART;TZID=America/New_York:"+value))), "fixtures.ics", o)
		require.Empty(t, problems)
		require.Equal(t, want, f.Rows[0].Kickoff.UTC().Format(time.RFC3339))
	}
}

const weekly = "UID:league@example\r\nDTSTART;TZID=Europe/London:20260314T150000\r\nDTEND;TZID=Europe/London:20260314T165000\r\n" +
	"RRULE:FREQ=WEEKLY;UNTIL=20260411T140000Z\r\nSUMMARY:League\r\nCATEGORIES:academy"

func TestAWeeklyMatchKeepsItsLocalTime(t *testing.T) {
	require.Equal(t, []string{
		"2026-03-14 15:00 +0000–16:50 academy",
		"2026-03-21 15:00 +0000–16:50 academy",
		"2026-03-28 15:00 +0000–16:50 academy",
		"2026-04-04 15:00 +0100–16:50 academy",
		"2026-04-11 15:00 +0100–16:50 academy",
	}, sayAll(fixtures(t, event(weekly))))
}

func TestMovedCancelledAndLeftOutOccurrences(t *testing.T) {
	rows := fixtures(t,
		event(weekly, "EXDATE;TZID=Europe/London:20260321T150000"),
		// moved to Sunday; it says no squad, so it has the series'
		event("UID:league@example", "RECURRENCE-ID;TZID=Europe/London:20260328T150000", "SEQUENCE:1", "DTSTART;TZID=Europe/London:20260329T140000", "SUMMARY:Moved"),
		// an older word about the same occurrence
		event("UID:league@example", "RECURRENCE-ID;TZID=Europe/London:20260328T150000", "DTSTART;TZID=Europe/London:20260330T140000"),
		// named in UTC, cancelled
		event("UID:league@example", "RECURRENCE-ID:20260404T140000Z", "DTSTART;TZID=Europe/London:20260404T150000", "STATUS:CANCELLED"),
	)
	require.Equal(t, []string{
		"2026-03-14 15:00 +0000–16:50 academy",
		"2026-03-29 14:00 +0100–16:00 academy",
		"2026-04-04 15:00 +0100–17:00 cancelled academy",
		"2026-04-11 15:00 +0100–16:50 academy",
	}, sayAll(rows))
	require.Equal(t, []string{"20260314T150000Z", "20260328T150000Z", "20260404T140000Z", "20260411T140000Z"},
		[]string{rows[0].Recurrence, rows[1].Recurrence, rows[2].Recurrence, rows[3].Recurrence})
	require.Equal(t, "Moved", rows[1].Summary)
	require.Equal(t, "League", rows[2].Summary)
	require.Equal(t, prescribe.Date(2026, 3, 29), rows[1].Day)
	for _, r := range rows {
		require.Equal(t, "league@example", r.UID)
	}
}

func TestAnExceptionWithoutATimeTakesTheDayOut(t *testing.T) {
	rows := fixtures(t, event(weekly, "EXDATE;VALUE=DATE:20260321,20260328"))
	require.Len(t, rows, 3)
}

func TestAMovedOccurrenceThatIsAlsoAnException(t *testing.T) {
	rows := fixtures(t,
		event(weekly, "EXDATE;TZID=Europe/London:20260328T150000"),
		event("UID:league@example", "RECURRENCE-ID;TZID=Europe/London:20260328T150000", "DTSTART;TZID=Europe/London:20260329T140000"))
	require.Len(t, rows, 5)
	require.Equal(t, "2026-03-29 14:00 +0100–16:00 academy", say(rows[2]))
}

func TestExtraDates(t *testing.T) {
	require.Equal(t, []string{
		"2026-03-14 15:00 +0000–17:00",
		"2026-03-17 19:45 +0000–21:45",
		"2026-04-07 15:00 +0100–17:00",
	}, sayAll(fixtures(t, event("DTSTART;TZID=Europe/London:20260314T150000", "RDATE;TZID=Europe/London:20260317T194500", "RDATE:20260407T140000Z"))))
}

func TestAnOccurrenceWhoseSeriesIsNotThere(t *testing.T) {
	rows := fixtures(t, event("UID:x@example", "RECURRENCE-ID;TZID=Europe/London:20260328T150000", "DTSTART;TZID=Europe/London:20260329T140000"))
	require.Len(t, rows, 1)
	require.Equal(t, "20260328T150000Z", rows[0].Recurrence)
}

func TestTheNewerOfTwoEventsWithOneUID(t *testing.T) {
	rows := fixtures(t,
		event("UID:x@example", "SEQUENCE:2", "DTSTART:20260314T150000"),
		event("UID:x@example", "SEQUENCE:1", "DTSTART:20260315T150000"))
	require.Equal(t, []string{"2026-03-14 15:00 +0000–17:00"}, sayAll(rows))
}

func TestOneEventForTwoSquads(t *testing.T) {
	rows := fixtures(t, event("UID:x@example", "DTSTART;VALUE=DATE:20260320", "CATEGORIES:TRAVEL,first", "CATEGORIES:academy"))
	require.Len(t, rows, 2)
	require.Equal(t, "x@example#academy", rows[0].UID)
	require.Equal(t, "x@example#first", rows[1].UID)
}

const windowsZone = "BEGIN:VTIMEZONE\r\nTZID:GMT Standard Time\r\n" +
	"BEGIN:STANDARD\r\nDTSTART:16010101T020000\r\nTZOFFSETFROM:+0100\r\nTZOFFSETTO:+0000\r\nRRULE:FREQ=YEARLY;INTERVAL=1;BYDAY=-1SU;BYMONTH=10\r\nEND:STANDARD\r\n" +
	"BEGIN:DAYLIGHT\r\nDTSTART:16010101T010000\r\nTZOFFSETFROM:+0000\r\nTZOFFSETTO:+0100\r\nRRULE:FREQ=YEARLY;INTERVAL=1;BYDAY=-1SU;BYMONTH=3\r\nEND:DAYLIGHT\r\nEND:VTIMEZONE\r\n"

func TestAZoneThatTheCalendarDefines(t *testing.T) {
	rows := fixtures(t, windowsZone, event(strings.ReplaceAll(weekly, "TZID=Europe/London", "TZID=GMT Standard Time")))
	require.Equal(t, []string{
		"2026-03-14 15:00 +0000–16:50 academy",
		"2026-03-21 15:00 +0000–16:50 academy",
		"2026-03-28 15:00 +0000–16:50 academy",
		"2026-04-04 15:00 +0100–16:50 academy",
		"2026-04-11 15:00 +0100–16:50 academy",
	}, sayAll(rows))
}

// A defined zone that says what London does gives London's instants at every
// wall time, the hours around the clock changes included.
func TestADefinedZoneIsTheNamedOne(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		day := rapid.SampledFrom([]string{"20260328", "20260329", "20260330", "20260715", "20261024", "20261025", "20261026", "20260110"}).Draw(rt, "day")
		minute := rapid.IntRange(0, 23*60+59).Draw(rt, "minute")
		value := fmt.Sprintf("%sT%02d%02d00", day, minute/60, minute%60)
		read := func(tzid string) time.Time {
			f, problems := clubfile.ReadFixtures(strings.NewReader(calendar(windowsZone, event("DTSTART;TZID="+tzid+":"+value))), "fixtures.ics", asOf())
			require.Empty(rt, problems)
			require.Len(rt, f.Rows, 1)
			return f.Rows[0].Kickoff.UTC()
		}
		require.Equal(rt, read("Europe/London"), read("GMT Standard Time"), value)
	})
}

func TestAMatchFarAwayHasTheDateOfItsPlace(t *testing.T) {
	rows := fixtures(t, event("DTSTART;TZID=America/New_York:20260314T203000")) // 00:30 on the 15th in London
	require.Equal(t, prescribe.Date(2026, 3, 14), rows[0].Day)
	rows = fixtures(t, event("DTSTART:20260315T003000Z")) // written in UTC: where the squad is
	require.Equal(t, prescribe.Date(2026, 3, 15), rows[0].Day)
}

func TestTheSpanThatAFileCovers(t *testing.T) {
	read := func(blocks ...string) clubfile.Fixtures {
		f, problems := clubfile.ReadFixtures(strings.NewReader(calendar(blocks...)), "fixtures.ics", asOf())
		require.Empty(t, problems)
		return f
	}
	today := prescribe.Date(2026, 3, 10)
	f := read(event("DTSTART:20260314T150000"))
	require.Equal(t, []prescribe.Day{today, today + 400}, []prescribe.Day{f.From, f.To})
	f = read(event("DTSTART:20250809T150000"), event("UID:b@example", "DTSTART:20260314T150000"))
	require.Equal(t, []prescribe.Day{prescribe.Date(2025, 8, 9), today + 400}, []prescribe.Day{f.From, f.To})
}

func TestFixturesAreWorkedOutSoFarAndNoFarther(t *testing.T) {
	rows := fixtures(t, event("DTSTART:20250104T150000", "RRULE:FREQ=WEEKLY"))
	today := prescribe.Date(2026, 3, 10)
	require.Equal(t, prescribe.Date(2025, 2, 8), rows[0].Day)
	require.LessOrEqual(t, today-rows[0].Day, prescribe.Day(400))
	last := rows[len(rows)-1].Day
	require.True(t, last <= today+400 && last > today+393, last)
	require.Len(t, rows, 114) // Saturdays within 400 days of 2026-03-10

	for _, c := range []struct{ lines, want string }{
		{"DTSTART:20200104T150000\r\nRRULE:FREQ=WEEKLY", "fixtures.ics:6:7: RRULE: the series began on 2020-01-04, more than 5 years ago; let the series begin with this season"},
		{"DTSTART:20260314T150000\r\nRRULE:FREQ=WEEKLY;UNTIL=20260301T000000Z", "fixtures.ics:6:7: RRULE: UNTIL is before DTSTART; write the last day of the series as UNTIL"},
		{"DTSTART:20260314T150000\r\nRRULE:FREQ=WEEKLY;COUNT=2;UNTIL=20260401T000000Z", "UNTIL and COUNT exclude each other"},
		{"DTSTART:20260314T150000\r\nRRULE:FREQ=WEEKLY;INTERVAL=0", "COUNT and INTERVAL begin at 1"},
		{"DTSTART:20260314T150000\r\nRRULE:FREQ=MONTHLY;BYMONTHDAY=32", "cannot be worked out"},
		{"DTSTART:20260314T150000\r\nRRULE:FREQ=WEEKLY;BYDAY=XX", "cannot be read"},
		{"DTSTART:20260314T150000\r\nEXRULE:FREQ=WEEKLY", "is no longer part of the standard"},
	} {
		_, problems := clubfile.ReadFixtures(strings.NewReader(calendar(event(c.lines))), "fixtures.ics", asOf())
		require.Len(t, problems, 1, c.lines)
		require.Contains(t, problems[0].Error(), c.want)
	}
}

func TestTooManyFixtures(t *testing.T) {
	var b strings.Builder
	for i := range 3 {
		b.WriteString(event(fmt.Sprintf("UID:%d@example\r\nDTSTART:20250801T150000\r\nRRULE:FREQ=DAILY", i)))
	}
	f, problems := clubfile.ReadFixtures(strings.NewReader(calendar(b.String())), "fixtures.ics", asOf())
	require.Len(t, f.Rows, 1000)
	require.Len(t, problems, 1)
	require.Contains(t, problems[0].Error(), "more than 1000 fixtures within 400 days of today")

	b.Reset()
	for i := range 2001 {
		b.WriteString(event(fmt.Sprintf("UID:%d@example\r\nDTSTART:20260314T150000", i)))
	}
	_, problems = clubfile.ReadFixtures(strings.NewReader(calendar(b.String())), "fixtures.ics", asOf())
	require.Len(t, problems, 1)
	require.Contains(t, problems[0].Error(), "2001 events, more than 2000")
}

// An empty calendar would cancel the season.
func TestAnEmptyCalendarIsRefused(t *testing.T) {
	f, problems := clubfile.ReadFixtures(strings.NewReader(calendar()), "fixtures.ics", asOf())
	require.Empty(t, f)
	require.Len(t, problems, 1)
}

func TestACalendarThatWasCutOff(t *testing.T) {
	whole := calendar(event("DTSTART:20260314T150000"))
	_, problems := clubfile.ReadFixtures(strings.NewReader(strings.TrimSuffix(whole, "END:VCALENDAR\r\n")), "fixtures.ics", asOf())
	require.Len(t, problems, 1)
	require.Equal(t, "fixtures.ics:1:1: VCALENDAR does not end; the file may have been cut off; export it again", problems[0].Error())
}
