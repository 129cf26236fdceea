package clubfile_test

import (
	"bytes"
	"os"
	"path/filepath"
	"runtime/metrics"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"pegcard/store/clubfile"
)

// Memory that one reading of a file may take in all, freed on the way or not:
// so much, and so much more for each byte of it. The fullest files that are
// read, 20,000 rows and 50,000 properties, take 600 and 900 bytes a byte.
const (
	readBase    = 16 << 20
	readPerByte = 2000
)

// allocated is what the process has taken from the heap so far.
func allocated() uint64 {
	s := []metrics.Sample{{Name: "/gc/heap/allocs:bytes"}}
	metrics.Read(s)
	return s[0].Value.Uint64()
}

// fuzzFile reads whatever the fuzzer makes of a file: no panic, bounded memory,
// every problem named in the file with advice, the same problems again. What
// the fuzzer finds is kept in testdata/fuzz and run by every go test. The long
// form, for each of the seven files:
//
//	go test ./store/clubfile -run '^$' -fuzz FuzzFixtures -fuzztime 1000000x
func fuzzFile(f *testing.F, name string, more ...string) {
	paths, err := filepath.Glob(filepath.Join(clubs, "*", name))
	require.NoError(f, err)
	require.NotEmpty(f, paths)
	for _, p := range paths {
		b, err := os.ReadFile(p)
		require.NoError(f, err)
		f.Add(b)
	}
	for _, m := range more {
		f.Add([]byte(m))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		before := allocated()
		in, problems := clubfile.ReadOne(name, bytes.NewReader(b), asOf())
		require.LessOrEqual(t, allocated()-before, uint64(readBase+readPerByte*len(b)), "%d bytes of %s", len(b), name)
		lines := strings.Count(string(b), "\n") + strings.Count(string(b), "\r") + 1
		for _, p := range problems {
			require.Equal(t, name, p.At.File)
			require.LessOrEqual(t, p.At.Line, lines)
			require.GreaterOrEqual(t, p.At.Line, 0)
			require.GreaterOrEqual(t, p.At.Column, 0)
			require.NotEmpty(t, p.What)
			require.NotEmpty(t, p.Mend)
			require.True(t, utf8.ValidString(p.Error()))
		}
		require.LessOrEqual(t, len(problems), 201)
		require.LessOrEqual(t, len(in.Fixtures), 1000)
		again, problems2 := clubfile.ReadOne(name, bytes.NewReader(b), asOf())
		require.Equal(t, problems, problems2)
		require.Equal(t, in, again)
	})
}

func FuzzClub(f *testing.F) {
	fuzzFile(f, "club.toml", "name = \"\"\"\n\"\"\"\"\"\n", "a.b.c = {d = [1, {e = 2}]}\n[[a.f]]\n", "squad = [1, {slug = 2}]", "name = 1979-05-27T07:32:00Z")
}
func FuzzProgramme(f *testing.F) {
	fuzzFile(f, "programme.toml", "session = {}", "[[session]]\nslot = [[]]")
}
func FuzzRules(f *testing.F) { fuzzFile(f, "rules.toml", "pain = {stop_above = nan}", "a = inf") }
func FuzzPlayers(f *testing.F) {
	fuzzFile(f, "players.csv", "sep=;\nkey;name", "\"key\",\"na\nme\",squad,born\n1,2,3,4", ",,,\n,,,", "sep=")
}
func FuzzTests(f *testing.F) {
	fuzzFile(f, "tests.csv", "player\tdate\texercise\n1\t2026-01-01\tback_squat\n")
}
func FuzzMinutes(f *testing.F) { fuzzFile(f, "minutes.csv", "player,date,minutes\n7,2026-03-07,1e9\n") }
func FuzzFixtures(f *testing.F) {
	fuzzFile(f, "fixtures.ics",
		calendar(windowsZone, event(strings.ReplaceAll(weekly, "Europe/London", "GMT Standard Time"))),
		calendar(event("DTSTART;X=")), calendar(event("DTSTART;X=\"a\"b:1")),
		calendar(event("DTSTART:20260314T150000", "RRULE:FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30")),
		calendar(event("DTSTART;VALUE=DATE:20260314", "RDATE;VALUE=DATE:20260315", "EXDATE:20260314T000000")),
		calendar(event("DTSTART:20260314T150000", "DURATION:-P999999999W")),
		"BEGIN:VCALENDAR\nBEGIN:VTIMEZONE\nTZID:X\nBEGIN:STANDARD\nDTSTART:16010101T000000\nTZOFFSETFROM:+0000\nTZOFFSETTO:+0100\nRDATE:20000101T000000\nEND:STANDARD\nEND:VTIMEZONE\nEND:VCALENDAR\n")
}
