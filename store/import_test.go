package store_test

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	_ "modernc.org/sqlite"

	"pegcard/prescribe"
	"pegcard/store"
)

// dump is every row of every table, as text, through a connection of its own.
func dump(t *testing.T, dir string) string {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName))
	require.NoError(t, err)
	defer db.Close()
	var out strings.Builder
	for _, table := range tableNames(t, db) {
		rows, err := db.Query(`SELECT * FROM ` + table)
		require.NoError(t, err)
		cols, err := rows.Columns()
		require.NoError(t, err)
		for rows.Next() {
			vals := make([]any, len(cols))
			for i := range vals {
				vals[i] = new(any)
			}
			require.NoError(t, rows.Scan(vals...))
			fmt.Fprint(&out, table)
			for _, v := range vals {
				fmt.Fprintf(&out, " | %v", *v.(*any))
			}
			fmt.Fprintln(&out)
		}
		require.NoError(t, rows.Err())
		rows.Close()
	}
	return out.String()
}

func tableNames(t *testing.T, db *sql.DB) (names []string) {
	t.Helper()
	rows, err := db.Query(`SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND name NOT LIKE 'goose_%'
AND name NOT IN ('club_version', 'row_sum') ORDER BY name`) // which counts writes, also those that change nothing
	require.NoError(t, err)
	defer rows.Close()
	for rows.Next() {
		var n string
		require.NoError(t, rows.Scan(&n))
		names = append(names, n)
	}
	require.NoError(t, rows.Err())
	return names
}

func inDir(dir string) func(*store.Options) { return func(o *store.Options) { o.Dir = dir } }

func rir(n prescribe.RIR) *prescribe.RIR { return &n }

func match(uid string, d prescribe.Day, h int) store.FixtureRow {
	at := d.Time().Add(time.Duration(h) * time.Hour)
	return store.FixtureRow{At: store.At{File: "in/fixtures.ics", Line: 4}, UID: uid, Squad: "first", Summary: "v " + uid,
		Kickoff: at, End: at.Add(105 * time.Minute), Known: true, Day: d}
}

// files is club with every other kind of file.
func files() store.Import {
	im := club()
	im.Rules = &store.RulesDef{Values: map[string]float64{"pain.stop_above": 4}, Source: "pain"}
	im.Fixtures = []store.FixtureRow{match("Saltmarsh", today+3, 15), match("Kelpford", today-4, 19)}
	im.FixturesFrom, im.FixturesTo = today-30, today+60
	im.Tests = []store.TestRow{
		{At: store.At{File: "tests.csv", Line: 2}, Player: "9", Day: today - 20, Unit: "kg",
			Set: &prescribe.Set{Exercise: "back_squat", Load: 120, Reps: 3, RIR: rir(1), Test: true}},
		{At: store.At{File: "tests.csv", Line: 3}, Player: "9", Day: today - 20, Unit: "lb",
			Set: &prescribe.Set{Exercise: "back_squat", Load: 125, Reps: 2, RIR: rir(0), Test: true}},
		{At: store.At{File: "tests.csv", Line: 4}, Player: "10", Day: today - 20,
			Power: &prescribe.PowerTest{Exercise: "flywheel_squat", Device: "box", Inertia: 0.05, Power: 700}},
	}
	im.Minutes = []store.MinutesRow{{At: store.At{File: "minutes.csv", Line: 2}, Player: "9", Day: today - 4, Minutes: 90}}
	return im
}

func TestImportTwiceChangesNothing(t *testing.T) {
	dir := t.TempDir()
	s := open(t, inDir(dir))
	r, err := s.Import(t.Context(), files(), morning, false)
	require.NoError(t, err)
	require.Empty(t, r.Problems)
	require.NotEmpty(t, r.Changes)
	require.NotEmpty(t, r.Replan)
	before := dump(t, dir)
	for _, later := range []prescribe.Instant{hour, 3 * day} {
		r, err = s.Import(t.Context(), files(), morning+later, false)
		require.NoError(t, err)
		require.Equal(t, store.ImportResult{Replan: []store.PersonDay{}}, r)
		require.Equal(t, before, dump(t, dir))
	}
}

func TestDryRunWritesNothing(t *testing.T) {
	dir := t.TempDir()
	s := open(t, inDir(dir))
	empty := dump(t, dir)
	dry, err := s.Import(t.Context(), files(), morning, true)
	require.NoError(t, err)
	require.Equal(t, empty, dump(t, dir))
	wet, err := s.Import(t.Context(), files(), morning, false)
	require.NoError(t, err)
	require.Equal(t, wet, dry)
	require.NotEqual(t, empty, dump(t, dir))
}

func lines(cs []store.Change) (out []string) {
	for _, c := range cs {
		out = append(out, c.String())
	}
	return out
}

func TestImportSaysWhatChanges(t *testing.T) {
	s := open(t)
	_, err := s.Import(t.Context(), files(), morning, false)
	require.NoError(t, err)

	im := files()
	im.Club.Squads[0].CardsAt = 6*60 + 30
	im.Club.Gyms[1].Setting.Equipment.Dumbbells = []prescribe.Kg{10, 17.5}
	im.Club.Staff = slices.Delete(im.Club.Staff, 2, 3) // phys
	im.Club.Staff[1].Order = 3
	im.Rules.Values = map[string]float64{}
	im.Players[0].BodyMass = 80
	im.Players[1].Zone = ""
	im.Players[2].Squad = "first"
	im.Players[2].From = today + 5
	im.Fixtures[0] = match("Saltmarsh", today+4, 12)
	im.Tests[0].Set.Load = 122.5
	im.Minutes[0].Minutes = 61
	im.Programme.Programme.Sessions[0].Slots[0].Sets = 3
	r, err := s.Import(t.Context(), im, morning, false)
	require.NoError(t, err)
	require.Empty(t, r.Problems)
	require.Equal(t, []string{
		"gym hotel · dumbbells · 10 kg → 10 kg, 17.5 kg",
		"squad first · cards at · 07:00 → 06:30",
		"staff doc · medical of academy · order · 1 → 3",
		"staff doc · medical of first · order · 1 → 3",
		"staff phys · medical of first → none",
		"session main-a · squat · traditional percent 4 × 5 at 85 %, 1 in reserve (back_squat) → traditional percent 3 × 5 at 85 %, 1 in reserve (back_squat)",
		"rule pain.stop_above · 4 of 10 → 5 of 10",
		"player 9 · body mass · 78 kg → 80 kg",
		"player 10 · time zone · Europe/Madrid → none",
		"player 41 · squad · academy → first from 2026-03-09",
		"fixture v Saltmarsh · 2026-03-07, 15:00 UTC to 16:45 → 2026-03-08, 12:00 UTC to 13:45",
		"player 9 · 2026-02-12 · back_squat · 3 × 120 kg, 1 in reserve → 3 × 122.5 kg, 1 in reserve",
		"player 9 · 2026-02-28 · v Kelpford · 90 min → 61 min",
	}, lines(r.Changes))

	read(t, s, func(tx *store.Tx) {
		nine := must(tx.PersonByKey("9"))
		require.Equal(t, prescribe.Kg(80), must(tx.State(nine.ID)).Profile.BodyMass)
		es := must(tx.Events(nine.ID, today-30, today))
		var loads []prescribe.Kg
		for _, e := range es {
			if e.Set != nil {
				loads = append(loads, e.Set.Load)
			}
		}
		require.Equal(t, []prescribe.Kg{122.5, 125}, loads, "a corrected line counts once")
		young := must(tx.PersonByKey("41"))
		sq, ok, err := tx.SquadOf(young.ID, today+4)
		require.NoError(t, err)
		require.True(t, ok)
		require.Equal(t, "academy", sq.Slug)
		sq, _, err = tx.SquadOf(young.ID, today+5)
		require.NoError(t, err)
		require.Equal(t, "first", sq.Slug)
		require.Len(t, must(tx.Staff(sq.ID, store.RoleMedical, today)), 1)
	})
}

func TestImportCollectsEveryProblem(t *testing.T) {
	dir := t.TempDir()
	s := open(t, inDir(dir))
	_, err := s.Import(t.Context(), files(), morning, false)
	require.NoError(t, err)
	before := dump(t, dir)

	im := store.Import{
		Players: []store.PlayerRow{
			{At: store.At{File: "players.csv", Line: 2}, Key: "9", Name: "Tomas Windlass", Squad: "firts"},
			{At: store.At{File: "players.csv", Line: 3}, Key: "77", Name: "Nils Ropewalk", Squad: "first", Gym: "attic"},
			{At: store.At{File: "players.csv", Line: 4}, Key: "doc", Name: "Ines Quay", Squad: "first"},
			{At: store.At{File: "players.csv", Line: 5}, Key: "10", Name: "Ivo Bollard", Squad: "first", Zone: "Mars/Base"},
			{At: store.At{File: "players.csv", Line: 6}, Key: "10", Name: "Ivo Bollard", Squad: "first"},
			{At: store.At{File: "players.csv", Line: 7}, Key: "12", Name: "Good Row", Squad: "first"},
		},
		Tests: []store.TestRow{
			{At: store.At{File: "tests.csv", Line: 9}, Player: "99", Day: today, Set: &prescribe.Set{Exercise: "back_squat", Load: 1, Reps: 1}},
			{At: store.At{File: "tests.csv", Line: 10}, Player: "9", Day: today + 2, Set: &prescribe.Set{Exercise: "back_squat", Load: 1, Reps: 1}},
			{At: store.At{File: "tests.csv", Line: 11}, Player: "sc", Day: today, Set: &prescribe.Set{Exercise: "back_squat", Load: 1, Reps: 1}},
		},
		Minutes:  []store.MinutesRow{{At: store.At{File: "minutes.csv", Line: 5}, Player: "9", Day: today - 3, Minutes: 10}},
		Fixtures: []store.FixtureRow{{At: store.At{File: "fixtures.ics", Line: 12}, UID: "u", Squad: "women", Day: today}},
		Rules:    &store.RulesDef{Values: map[string]float64{"pain.stop_above": 99, "no.rule": 1}},
	}
	r, err := s.Import(t.Context(), im, morning, false)
	require.NoError(t, err)
	var got []string
	for _, p := range r.Problems {
		require.NotEmpty(t, p.What)
		got = append(got, fmt.Sprintf("%s:%d", p.At.File, p.At.Line))
	}
	require.Equal(t, []string{"rules.toml:0", "rules.toml:0", "players.csv:2", "players.csv:3", "players.csv:4", "players.csv:5", "players.csv:6",
		"fixtures.ics:12", "tests.csv:9", "tests.csv:10", "tests.csv:11", "minutes.csv:5"}, got)
	require.Equal(t, `players.csv:2: there is no squad "firts"; write one of academy, first`, r.Problems[2].Error())
	require.Equal(t, before, dump(t, dir), "with a problem nothing is written")
}

func TestImportBeforeTheClub(t *testing.T) {
	s := open(t)
	r, err := s.Import(t.Context(), store.Import{Players: club().Players}, morning, false)
	require.NoError(t, err)
	require.Len(t, r.Problems, 1)
	require.ErrorContains(t, r.Problems[0], "club.toml")
}

// A change of a fixture plans the week around its old and its new day again,
// from today on, for the members of its squad.
func TestMovedFixtureReplans(t *testing.T) {
	s := open(t)
	_, err := s.Import(t.Context(), files(), morning, false)
	require.NoError(t, err)
	im := store.Import{Fixtures: []store.FixtureRow{match("Saltmarsh", today+10, 15), match("Kelpford", today-4, 19)}}
	im.FixturesFrom, im.FixturesTo = today-30, today+60
	r, err := s.Import(t.Context(), im, morning, false)
	require.NoError(t, err)
	nine, ten := id(t, s, "9"), id(t, s, "10")
	var want []store.PersonDay
	for d := today; d <= today+17; d++ {
		want = append(want, store.PersonDay{Person: nine, Day: d}, store.PersonDay{Person: ten, Day: d})
	}
	require.Equal(t, want, r.Replan)
}

func TestDroppedFixtureIsCancelled(t *testing.T) {
	s := open(t)
	_, err := s.Import(t.Context(), files(), morning, false)
	require.NoError(t, err)
	var by int64
	write(t, s, func(tx *store.Tx) {
		first := must(tx.SquadBySlug("first"))
		var err error
		by, _, err = tx.AddFixture(store.Fixture{Squad: first.ID, Summary: "friendly", Day: today + 20, Kickoff: morning + 20*day, End: morning + 20*day + 2*hour, Known: true}, 0, morning)
		do(err)
	})
	im := store.Import{Fixtures: []store.FixtureRow{match("Newcomer", today+12, 15)}}
	im.FixturesFrom, im.FixturesTo = today-30, today+60
	r, err := s.Import(t.Context(), im, morning, false)
	require.NoError(t, err)
	require.Equal(t, []string{
		"fixture v Newcomer · 2026-03-16, 15:00 UTC to 16:45",
		"fixture v Saltmarsh · 2026-03-07, 15:00 UTC to 16:45 → cancelled",
	}, lines(r.Changes))
	read(t, s, func(tx *store.Tx) {
		first := must(tx.SquadBySlug("first"))
		var left []string
		for _, f := range must(tx.Fixtures(first.ID, today-30, today+60)) {
			left = append(left, f.Summary)
		}
		require.Equal(t, []string{"v Kelpford", "v Newcomer", "friendly"}, left, "what is played or was added by hand stays")
		require.False(t, must(tx.Fixture(by)).Cancelled)
	})
}

func TestImportIsCutShortWhole(t *testing.T) {
	dir := t.TempDir()
	armed := false
	s := open(t, inDir(dir), func(o *store.Options) {
		o.Hooks.Point = func(p string) {
			if armed && p == "tx.before_commit" {
				panic(errors.New("cut"))
			}
		}
	})
	before := dump(t, dir)
	armed = true
	require.Panics(t, func() { s.Import(context.Background(), files(), morning, false) })
	armed = false
	require.Equal(t, before, dump(t, dir))
}

func TestALanguageChosenInTheChatStays(t *testing.T) {
	s := withClub(t)
	im := club()
	im.Players[2].Language = "es"
	r, err := s.Import(t.Context(), im, morning, false)
	require.NoError(t, err)
	require.Equal(t, []string{"player 41 · language · pt → es"}, lines(r.Changes))
	young := id(t, s, "41")
	write(t, s, func(tx *store.Tx) { do(tx.SetLanguage(young, "fr")) })
	r, err = s.Import(t.Context(), im, morning, false)
	require.NoError(t, err)
	require.Empty(t, r.Changes)
	read(t, s, func(tx *store.Tx) { require.Equal(t, "fr", must(tx.Person(young)).Language) })
}

// Joining, leaving and coming back.
func TestMembershipIsDated(t *testing.T) {
	s := withClub(t)
	row := club().Players[0]
	nine := id(t, s, "9")
	imports := func(r store.PlayerRow, now prescribe.Instant) store.ImportResult {
		res, err := s.Import(t.Context(), store.Import{Players: []store.PlayerRow{r}}, now, false)
		require.NoError(t, err)
		return res
	}
	in := func(d prescribe.Day) (slug string) {
		read(t, s, func(tx *store.Tx) {
			sq, _, err := tx.SquadOf(nine, d)
			do(err)
			slug = sq.Slug
		})
		return slug
	}
	row.Until = today + 10
	require.Equal(t, []string{"player 9 · member until · none → 2026-03-14"}, lines(imports(row, morning).Changes))
	require.Equal(t, "first", in(today+10))
	require.Equal(t, "", in(today+11))

	back := club().Players[0]
	back.From = today + 40
	require.Equal(t, []string{"player 9 · squad · first → first from 2026-04-13"}, lines(imports(back, morning+30*day).Changes))
	require.Equal(t, "first", in(today+10))
	require.Equal(t, "", in(today+11))
	require.Equal(t, "first", in(today+40))
	require.Empty(t, imports(back, morning+50*day).Changes)

	loan := back
	loan.Squad, loan.From = "academy", today+20
	require.Len(t, imports(loan, morning+50*day).Problems, 1, "before the squad the player is in now")
	row.Until, row.From = today-3, today
	row.Key = "99"
	require.Len(t, imports(row, morning).Problems, 1)
}
