package clubfile_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/store/clubfile"
)

// A file that is not what it is taken for is refused soon, with a sentence.
func TestLimits(t *testing.T) {
	for _, c := range []struct{ name, file, text, want string }{
		{"settings", "club.toml", strings.Repeat("# x\n", 140_000), "more than 512 KB"},
		{"tables", "club.toml", strings.Repeat("[[staff]]\n", 501), "staff: there are more than 500; take the others out"},
		{"dots", "club.toml", strings.Repeat("a.", 300) + "a = 1\n", "too many brackets or dots"},
		{"rows", "minutes.csv", "player,date,minutes\n" + strings.Repeat("7,2026-03-07,90\n", 20_001), "minutes.csv:20002:1: there are more than 20000 rows"},
		{"columns", "minutes.csv", strings.Repeat("x,", 200) + "\n", "there are 201 columns"},
		{"properties", "fixtures.ics", "BEGIN:VCALENDAR\n" + strings.Repeat("UID:a\n", 50_001), "more than 50000 properties"},
		{"depth", "fixtures.ics", "BEGIN:VCALENDAR\n" + strings.Repeat("BEGIN:VEVENT\n", 10), "components lie too deep"},
		{"a long property", "fixtures.ics", calendar(event("DTSTART:20260314T150000", "SUMMARY:"+strings.Repeat("x", 9000))), "SUMMARY is longer than 8 KB"},
		{"dates", "fixtures.ics", calendar(event("DTSTART:20260314T150000", "RRULE:FREQ=DAILY;COUNT=9", "EXDATE;VALUE=DATE:"+strings.Repeat("20260101,", 500)+"20260101")), "more than 500 dates"},
		{"series", "fixtures.ics", calendar(func() string {
			s := ""
			for i := range 41 {
				s += event(fmt.Sprintf("UID:%d", i), "DTSTART:20260314T150000", "RRULE:FREQ=WEEKLY;COUNT=2")
			}
			return s
		}()), "41 events recur, more than 40"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, problems := clubfile.ReadOne(c.file, strings.NewReader(c.text), asOf())
			var all strings.Builder
			for _, p := range problems {
				all.WriteString(p.Error() + "\n")
			}
			require.Contains(t, all.String(), c.want)
		})
	}
}

// The examples in the package's description are what it says they are.
func TestTheDescribedFormatsAreRead(t *testing.T) {
	b, err := os.ReadFile("doc.go")
	require.NoError(t, err)
	example := func(section string) string {
		_, s, ok := strings.Cut(string(b), "// # "+section+"\n")
		require.True(t, ok)
		s, _, _ = strings.Cut(s, "\n// # ")
		var out strings.Builder
		for _, l := range strings.Split(s, "\n") {
			if l, ok := strings.CutPrefix(l, "//\t"); ok && (strings.Contains(l, " = ") || strings.HasPrefix(l, "[")) {
				out.WriteString(l + "\n")
			}
		}
		return out.String()
	}
	club, problems := clubfile.ReadClub(strings.NewReader(example("club.toml")), "club.toml")
	require.Len(t, problems, 1)
	require.Contains(t, problems[0].Error(), `squad "first" has no strength coach`) // the example shows one of the staff
	require.Len(t, club.Squads, 1)
	require.Len(t, club.Gyms[0].Setting.Equipment.Flywheels, 1)

	programme, problems := clubfile.ReadProgramme(strings.NewReader(example("programme.toml")), "programme.toml")
	require.Empty(t, problems)
	require.Len(t, programme.Programme.Sessions[0].Slots, 1)

	// What may be left out of a squad is, as described, what the example shows.
	bare := example("club.toml")
	var kept []string
	for _, l := range strings.Split(bare, "\n") {
		switch key, _, _ := strings.Cut(l, " "); key {
		case "cards_at", "strength_at", "cut_off", "evening_at", "digest_at", "quiet_from", "quiet_to", "review", "unapproved", "md1_option", "youth":
		default:
			kept = append(kept, l)
		}
	}
	short, problems := clubfile.ReadClub(strings.NewReader(strings.Join(kept, "\n")), "club.toml")
	require.Len(t, problems, 1)
	require.Equal(t, club.Squads, short.Squads)
}
