package store_test

import (
	"bytes"
	"database/sql"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
	"pegcard/store"
)

// The marks by which a person's bytes are recognised. The pseudonym is none: it
// stays by design.
const (
	canaryName   = "Quirin Canarytree"
	canaryKey    = "canary-key-77"
	canaryChat   = 9183746501
	canaryDevice = "canary-device"
	canaryText   = "canary words of a coach"
)

var canaries = []string{canaryName, canaryKey, "9183746501", canaryDevice, canaryText, "canary"}

// lived is a club in which a player with canaries everywhere lived a while.
func lived(t *testing.T, dir string, opts ...func(*store.Options)) (*store.Store, int64) {
	t.Helper()
	s := withClub(t, append([]func(*store.Options){inDir(dir)}, opts...)...)
	im := store.Import{
		Players: []store.PlayerRow{{Key: canaryKey, Name: canaryName, Squad: "first", Born: prescribe.Date(2001, 1, 1), BodyMass: 70, Zone: "Europe/Lisbon", Gym: "hotel"}},
		Tests: []store.TestRow{{Player: canaryKey, Day: today - 3,
			Power: &prescribe.PowerTest{Exercise: "flywheel_squat", Device: canaryDevice, Inertia: 0.05, Power: 700}}},
	}
	r, err := s.Import(t.Context(), im, morning, false)
	require.NoError(t, err)
	require.Empty(t, r.Problems)
	p := joined(t, s, canaryKey, canaryChat)
	agreed(t, s, canaryKey)
	sc, doc := id(t, s, "sc"), id(t, s, "doc")
	for i := range prescribe.Instant(16) {
		at := morning + i*day
		_, err := s.Once(t.Context(), "m:9183746501:"+at.Time().String(), at, func(tx *store.Tx) error {
			must(tx.Record(p, "m:9183746501:"+today.String(), at, sore(at, prescribe.Calf, 7), squat(at, 90, 5, 1),
				prescribe.Event{At: at, Set: &prescribe.Set{Exercise: "flywheel_squat", Device: canaryDevice, Inertia: 0.05, Reps: 8}}))
			must(tx.Record(p, "x:"+at.Time().String(), at, pain(at, prescribe.Knee, 6)))
			c, _, err := tx.IssueCard(p, today+prescribe.Day(i), at)
			do(err)
			do(tx.AddEdit(c.ID, sc, prescribe.Edit{At: at, Kind: prescribe.EditHold, Reason: canaryText}))
			_, _, err = tx.IssueCard(p, today+prescribe.Day(i), at+hour)
			do(err)
			out := enqueue(tx, store.Out{Kind: "card", Recipient: p, Ref: c.ID, Args: "canary"})
			do(tx.OutSent(out, canaryChat, int(i)+1, at))
			a, _, err := tx.RaiseAlert(p, notice(prescribe.NoticePain, prescribe.ForMedical, prescribe.Knee), at)
			do(err)
			must(tx.Acknowledge(a.ID, doc, at))
			do(tx.CloseAlert(a.ID, doc, canaryText, at))
			return nil
		})
		require.NoError(t, err)
	}
	write(t, s, func(tx *store.Tx) {
		do(tx.PutDialog(store.Dialog{Chat: canaryChat, Kind: "canary", Args: []byte(`"canary"`)}))
		do(tx.Quarantine([]byte(`{"message":{"from":{"id":9183746501},"text":"canary"}}`), 5, "panic", morning))
		do(tx.Quarantine([]byte(`{"message":{"from":{"id":5},"text":"somebody else"}}`), 6, "panic", morning))
		must(tx.SetAway(p, store.Away{From: today, Until: today + 2, Place: "canary place", Equipment: "hotel"}, morning))
		must(tx.Invite(p, sc, morning, morning+day))
		do(tx.Audit(doc, p, "read", "health", morning))
	})
	return s, p
}

func bytesOf(t *testing.T, dir string) (all []byte) {
	t.Helper()
	files, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, f := range files {
		b, err := os.ReadFile(filepath.Join(dir, f.Name()))
		require.NoError(t, err)
		all = append(all, b...)
	}
	return all
}

func TestEraseLeavesNoByte(t *testing.T) {
	dir := t.TempDir()
	s, p := lived(t, dir)
	before := bytesOf(t, dir)
	for _, c := range canaries {
		require.Contains(t, string(before), c)
	}
	var pseudo string
	read(t, s, func(tx *store.Tx) { pseudo = must(tx.Person(p)).Pseudo })
	others := count(t, dir, p)

	require.NoError(t, s.Erase(t.Context(), p, morning+50*day))

	after := bytesOf(t, dir) // database, log, journal, all still open
	for _, c := range canaries {
		require.False(t, bytes.Contains(after, []byte(c)), "%q is left", c)
	}
	journal, err := os.ReadFile(filepath.Join(dir, store.JournalName))
	require.NoError(t, err)
	require.True(t, strings.HasPrefix(string(journal), pseudo+" "))
	require.Equal(t, others, count(t, dir, p), "rows of others went too")
	require.Equal(t, []int{1}, query[int](t, dir, `SELECT COUNT(*) FROM quarantine`))
	require.Positive(t, query[int](t, dir, `SELECT COUNT(*) FROM audit WHERE target = ?`, pseudo)[0], "the audit keeps the pseudonym")
	read(t, s, func(tx *store.Tx) {
		_, err := tx.Person(p)
		require.ErrorIs(t, err, store.ErrNotFound)
		_, err = tx.PersonByUser(canaryChat)
		require.ErrorIs(t, err, store.ErrNotFound)
		require.ErrorIs(t, tx.Export(p, io.Discard), store.ErrNotFound)
	})
	require.ErrorIs(t, s.Erase(t.Context(), p, morning+50*day), store.ErrNotFound)
	r, err := s.Verify(t.Context())
	require.NoError(t, err)
	require.True(t, r.OK(), r)

	// The way for deletes is closed again.
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName))
	require.NoError(t, err)
	defer db.Close()
	_, err = db.Exec(`DELETE FROM entry`)
	require.ErrorContains(t, err, "never deleted")
}

// count is the rows of each table that belong to people other than p.
func count(t *testing.T, dir string, p int64) map[string]int {
	t.Helper()
	out := map[string]int{}
	for _, table := range personTables(t, dir) {
		out[table.name] = query[int](t, dir, `SELECT COUNT(*) FROM `+table.name+` WHERE `+table.col+` <> ?`, p)[0]
	}
	return out
}

type personTable struct{ name, col string }

// personTables are the tables with a column that says whose the row is.
func personTables(t *testing.T, dir string) (out []personTable) {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName))
	require.NoError(t, err)
	defer db.Close()
	rows, err := db.Query(`SELECT m.name, c.name FROM sqlite_schema m, pragma_table_info(m.name) c
WHERE m.type = 'table' AND c.name IN ('person', 'recipient', 'subject') ORDER BY 1, 2`)
	require.NoError(t, err)
	defer rows.Close()
	for rows.Next() {
		var p personTable
		require.NoError(t, rows.Scan(&p.name, &p.col))
		out = append(out, p)
	}
	require.NoError(t, rows.Err())
	return out
}

func TestEraseThatWasCutShortIsDoneAtTheNextOpen(t *testing.T) {
	dir := t.TempDir()
	armed := true
	s, p := lived(t, dir, func(o *store.Options) {
		o.Hooks.Point = func(point string) {
			if armed && point == "erase.journal" {
				panic(errors.New("cut"))
			}
		}
	})
	require.Panics(t, func() { s.Erase(t.Context(), p, morning+50*day) })
	armed = false
	require.NoError(t, s.Close())
	s, err := store.Open(t.Context(), store.Options{Dir: dir})
	require.NoError(t, err)
	defer s.Close()
	for _, c := range canaries {
		require.False(t, bytes.Contains(bytesOf(t, dir), []byte(c)), "%q is left", c)
	}
}

func TestRestoredBackupIsErasedAgain(t *testing.T) {
	dir := t.TempDir()
	s, p := lived(t, dir)
	backup := filepath.Join(t.TempDir(), "pegcard.backup")
	require.NoError(t, s.Backup(t.Context(), backup))
	info, err := os.Stat(backup)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	require.NoError(t, s.Backup(t.Context(), backup), "a second backup of that name replaces the first")
	left, err := filepath.Glob(backup + "*")
	require.NoError(t, err)
	require.Equal(t, []string{backup}, left)

	require.NoError(t, s.Erase(t.Context(), p, morning+50*day))
	require.NoError(t, s.Close())
	b, err := os.ReadFile(backup)
	require.NoError(t, err)
	require.Contains(t, string(b), canaryName)
	for _, f := range []string{store.FileName + "-wal", store.FileName + "-shm"} {
		os.Remove(filepath.Join(dir, f))
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, store.FileName), b, 0o600))

	s, err = store.Open(t.Context(), store.Options{Dir: dir})
	require.NoError(t, err)
	defer s.Close()
	for _, c := range canaries {
		require.False(t, bytes.Contains(bytesOf(t, dir), []byte(c)), "%q is left", c)
	}
	require.Equal(t, "9", keysOf(t, s)[0])
}

func keysOf(t *testing.T, s *store.Store) (out []string) {
	read(t, s, func(tx *store.Tx) { out = keys(must(tx.Members(must(tx.SquadBySlug("first")).ID, today))) })
	return out
}

func TestBackupOverTheDatabaseIsRefused(t *testing.T) {
	dir := t.TempDir()
	s := withClub(t, inDir(dir))
	var p *store.Problem
	require.ErrorAs(t, s.Backup(t.Context(), filepath.Join(dir, store.FileName)), &p)
}

// Every table that knows a person is in the export, found from the schema, so
// that a table added later cannot be forgotten.
func TestExportHasEveryTable(t *testing.T) {
	dir := t.TempDir()
	s, p := lived(t, dir)
	var out bytes.Buffer
	read(t, s, func(tx *store.Tx) { do(tx.Export(p, &out)) })
	var got map[string][]map[string]any
	require.NoError(t, json.Unmarshal(out.Bytes(), &got))

	require.NotEmpty(t, personTables(t, dir))
	for _, table := range personTables(t, dir) {
		require.Contains(t, got, table.name)
		want := query[int](t, dir, `SELECT COUNT(*) FROM `+table.name+` WHERE `+table.col+` = ?`, p)[0]
		require.Len(t, got[table.name], want, table.name)
	}
	// Those that hang on such a row, or know the chat.
	for _, table := range []string{"card_rev", "card_item", "card_edit", "alert_transition", "dialog", "quarantine", "audit", "person"} {
		require.Contains(t, got, table)
	}
	for _, table := range []string{"person", "card_rev", "card_edit", "alert_transition", "dialog", "quarantine", "audit", "pain", "message"} {
		require.NotEmpty(t, got[table], table)
	}
	for _, c := range canaries {
		require.Contains(t, out.String(), c)
	}
	require.NotContains(t, out.String(), "Windlass")
	require.NotContains(t, out.String(), "somebody else")

	// Nothing else in the schema refers to people but as who acted.
	for _, ref := range query[string](t, dir, `SELECT m.name || '.' || f."from" FROM sqlite_schema m, pragma_foreign_key_list(m.name) f
WHERE m.type = 'table' AND f."table" = 'person' AND f."from" NOT IN ('person', 'recipient')`) {
		_, col, _ := strings.Cut(ref, ".")
		require.True(t, slices.Contains([]string{"by_person", "ack_by"}, col), "%s refers to a person: say whose row it is", ref)
	}
}

// What staff did to others' data stays when they are erased, by pseudonym.
func TestErasingStaffKeepsWhatTheyDid(t *testing.T) {
	dir := t.TempDir()
	s, p := lived(t, dir)
	doc := id(t, s, "doc")
	require.NoError(t, s.Erase(t.Context(), doc, morning+50*day))
	require.False(t, bytes.Contains(bytesOf(t, dir), []byte("Ines Quay")))
	require.Positive(t, query[int](t, dir, `SELECT COUNT(*) FROM alert WHERE person = ? AND ack_by = ?`, p, doc)[0])
	r, err := s.Verify(t.Context())
	require.NoError(t, err)
	require.True(t, r.OK(), r)
}
