package store_test

import (
	"database/sql"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
	"pegcard/store"
)

var update = flag.Bool("update", false, "write the dumps in testdata/db again")

// schemaVersion is the number of the last migration. A new migration gets a
// dump of its own; the older ones stay for the upgrade tests.
const schemaVersion = 5

var dumps = filepath.Join("..", "testdata", "db")

func schemaOf(t *testing.T, dir string) string {
	return strings.Join(query[string](t, dir, `SELECT sql || ';' FROM sqlite_schema
WHERE sql IS NOT NULL AND name NOT LIKE 'goose_%' AND name NOT LIKE 'sqlite_%' AND name NOT LIKE 'sum\_%' ESCAPE '\' ORDER BY type DESC, name`), "\n\n") + "\n"
}

func TestSchemaIsTheDumpedOne(t *testing.T) {
	dir := t.TempDir()
	open(t, inDir(dir))
	require.Equal(t, []int{schemaVersion}, query[int](t, dir, `SELECT MAX(version_id) FROM goose_db_version`))
	file := filepath.Join(dumps, fmt.Sprintf("schema_v%d.sql", schemaVersion))
	got := schemaOf(t, dir)
	if *update {
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, string(want), got, "a released schema changes by a new migration only")
}

func TestSchemaConventions(t *testing.T) {
	dir := t.TempDir()
	open(t, inDir(dir))
	require.Empty(t, query[string](t, dir, `SELECT name FROM pragma_table_list WHERE type = 'table' AND NOT strict AND name NOT LIKE 'goose_%' AND name NOT LIKE 'sqlite_%'`))
	require.Empty(t, query[string](t, dir, `SELECT m.name || '.' || c.name || ' ' || c.type FROM sqlite_schema m, pragma_table_info(m.name) c
WHERE m.type = 'table' AND m.name NOT LIKE 'goose_%' AND m.name NOT LIKE 'sqlite_%'
AND (c.name IN ('at', 'key') OR c.name LIKE '%\_at' ESCAPE '\' OR c.name LIKE '%\_day' ESCAPE '\' OR c.name = 'day')
AND NOT (c.type = CASE WHEN c.name IN ('key', 'day') OR c.name LIKE '%\_day' ESCAPE '\' THEN 'TEXT' ELSE 'INTEGER' END)`),
		"instants are INTEGER milliseconds, civil dates TEXT")
	for pragma, want := range map[string]string{"journal_mode": "wal"} {
		require.Equal(t, []string{want}, query[string](t, dir, `PRAGMA `+pragma))
	}
}

// script is a database as SQL that makes it again.
func script(t *testing.T, dir string) string {
	t.Helper()
	var b strings.Builder
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName))
	require.NoError(t, err)
	defer db.Close()
	objects := query[string](t, dir, `SELECT sql || ';' FROM sqlite_schema WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite_%' AND type = 'table' ORDER BY name`)
	fmt.Fprintln(&b, strings.Join(objects, "\n"))
	for _, table := range append(tableNames(t, db), "club_version", "row_sum", "goose_db_version") {
		cols := query[string](t, dir, `SELECT name FROM pragma_table_info(?)`, table)
		quoted := make([]string, len(cols))
		for i, c := range cols {
			quoted[i] = `quote("` + c + `")`
		}
		for _, row := range query[string](t, dir, `SELECT `+strings.Join(quoted, ` || ', ' || `)+` FROM `+table) {
			fmt.Fprintf(&b, "INSERT INTO %s VALUES (%s);\n", table, row)
		}
	}
	rest := query[string](t, dir, `SELECT sql || ';' FROM sqlite_schema WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite_%' AND type <> 'table' ORDER BY type, name`)
	fmt.Fprintln(&b, strings.Join(rest, "\n"))
	return b.String()
}

// small is the database that is dumped: a bit of everything.
func small(t *testing.T, dir string) {
	s := open(t, inDir(dir), func(o *store.Options) { o.Rand = rand.NewChaCha8([32]byte{7}) })
	_, err := s.Import(t.Context(), files(), morning, false)
	require.NoError(t, err)
	nine := joined(t, s, "9", 700001)
	_, err = s.Once(t.Context(), "m:700001:1", morning, func(tx *store.Tx) error {
		do(tx.Consent(nine, "1", "en", morning))
		must(tx.Record(nine, "m:700001:1", morning, squat(morning, 100, 5, 2), sore(morning, prescribe.Hamstring, 5), pain(morning, prescribe.Knee, 4)))
		must(tx.Record(nine, "m:700001:1", morning+minute, squat(morning, 102.5, 5, 2), sore(morning, prescribe.Hamstring, 5), pain(morning, prescribe.Knee, 4)))
		c, _, err := tx.IssueCard(nine, today, morning)
		do(err)
		do(tx.AddEdit(c.ID, 0, prescribe.Edit{At: morning, Kind: prescribe.EditApprove}))
		n := enqueue(tx, store.Out{Kind: "card", Recipient: nine, Ref: c.ID, Rev: c.Rev, Dedup: "card/1"})
		do(tx.OutSent(n, 700001, 11, morning))
		_, _, err = tx.RaiseAlert(nine, notice(prescribe.NoticePain, prescribe.ForMedical, prescribe.Knee), morning)
		do(err)
		must(tx.SetAway(nine, store.Away{From: today + 2, Until: today + 3, Place: "hotel", Equipment: "hotel"}, morning))
		return tx.PutDialog(store.Dialog{Chat: 700001, Kind: "rpe", Args: []byte("{}"), Card: c.ID, Asked: morning})
	})
	require.NoError(t, err)
}

// Every released database opens and says what it said. The dump of the present
// schema is written by -update; older ones are never touched.
func TestUpgrade(t *testing.T) {
	if *update {
		dir := t.TempDir()
		small(t, dir)
		require.NoError(t, os.WriteFile(filepath.Join(dumps, fmt.Sprintf("v%d.sql", schemaVersion)), []byte(script(t, dir)), 0o644))
	}
	for v := 1; v <= schemaVersion; v++ {
		if testing.Short() && v > 1 && v < schemaVersion {
			continue
		}
		t.Run(fmt.Sprintf("v%d", v), func(t *testing.T) { upgradeFrom(t, filepath.Join(dumps, fmt.Sprintf("v%d.sql", v))) })
	}
}

func upgradeFrom(t *testing.T, file string) {
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	dir := t.TempDir()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName))
	require.NoError(t, err)
	_, err = db.Exec(string(text))
	require.NoError(t, err)
	require.NoError(t, db.Close())

	s := open(t, inDir(dir))
	r, err := s.Verify(t.Context())
	require.NoError(t, err)
	require.Empty(t, r.Integrity)
	require.Empty(t, r.Bad)
	require.Equal(t, 1, r.Cards)
	nine := id(t, s, "9")
	write(t, s, func(tx *store.Tx) {
		require.Equal(t, int64(700001), must(tx.Person(nine)).Chat)
		es := must(tx.Recorded(nine, "m:700001:1"))
		require.Len(t, es, 3)
		require.Equal(t, prescribe.Kg(102.5), es[0].Set.Load)
		require.Equal(t, prescribe.Kg(78), must(tx.State(nine)).Profile.BodyMass)
		require.Len(t, must(tx.DueInputs(morning)).Squads, 2)
		require.Len(t, must(tx.Inputs(nine, today)).Calendar.Matches, 2)
		c, ok, err := tx.Card(nine, today)
		do(err)
		require.True(t, ok)
		require.Equal(t, 11, c.SentMessage)
		require.Equal(t, 1, c.Approved)
		_, _, err = tx.IssueCard(nine, today+1, morning)
		do(err)
	})
	require.NoError(t, s.Erase(t.Context(), nine, morning))
	r, err = s.Verify(t.Context())
	require.NoError(t, err)
	require.True(t, r.OK(), r)
	fresh := t.TempDir()
	open(t, inDir(fresh))
	require.Equal(t, schemaOf(t, fresh), schemaOf(t, dir), "an upgraded database has the schema of a new one")
}
