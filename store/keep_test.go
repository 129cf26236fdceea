package store_test

import (
	"bytes"
	"database/sql"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
	"pegcard/store"
)

func TestDailyCopies(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	s, _ := lived(t, dir)
	copies := filepath.Join(dir, "backups")
	names := func() (out []string) {
		files, err := os.ReadDir(copies)
		require.NoError(t, err)
		for _, f := range files {
			out = append(out, f.Name())
		}
		return out
	}
	for i := range prescribe.Day(6) {
		path, err := s.DailyBackup(t.Context(), copies, 4, today+i)
		require.NoError(t, err)
		require.Equal(t, filepath.Join(copies, "pegcard-"+(today+i).String()+".db"), path)
		again, err := s.DailyBackup(t.Context(), copies, 4, today+i)
		require.NoError(t, err)
		require.Empty(t, again, "once a day")
	}
	four := []string{"pegcard-2026-03-06.db", "pegcard-2026-03-07.db", "pegcard-2026-03-08.db", "pegcard-2026-03-09.db"}
	require.Equal(t, four, names())
	info, err := os.Stat(filepath.Join(copies, four[3]))
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm())

	// Other files are nobody's business; what a stop left goes.
	for _, f := range []string{"pegcard-2026-03-05.db.part", "pegcard-before-season.db", "notes.txt"} {
		require.NoError(t, os.WriteFile(filepath.Join(copies, f), nil, 0o600))
	}
	_, err = s.DailyBackup(t.Context(), copies, 4, today+5)
	require.NoError(t, err)
	require.Equal(t, append([]string{"notes.txt"}, append(slices.Clone(four), "pegcard-before-season.db")...), names())

	// A copy of a damaged database is none, and takes no older one's place.
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName))
	require.NoError(t, err)
	defer db.Close()
	_, err = db.Exec(`UPDATE row_sum SET sum = sum + 1 WHERE name = 'pain'`)
	require.NoError(t, err)
	_, err = s.DailyBackup(t.Context(), copies, 1, today+6)
	require.ErrorIs(t, err, store.ErrDamaged)
	require.Equal(t, append([]string{"notes.txt"}, append(slices.Clone(four), "pegcard-before-season.db")...), names())
}

// The drill: a copy, more work, an erasure, a loss, and back.
func TestRestore(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	s, p := lived(t, dir)
	nine := id(t, s, "9")
	agreed(t, s, "9")
	write(t, s, func(tx *store.Tx) {
		_, _, err := tx.IssueCard(nine, today, morning)
		do(err)
	})
	copies := filepath.Join(dir, "backups")
	backup, err := s.DailyBackup(t.Context(), copies, 3, today)
	require.NoError(t, err)
	_, err = s.Once(t.Context(), "later", morning+40*day, func(tx *store.Tx) error {
		_, err := tx.Record(nine, "later", morning+40*day, pain(morning+40*day, prescribe.Knee, 5))
		return err
	})
	require.NoError(t, err)
	require.NoError(t, s.Erase(t.Context(), p, morning+50*day))
	_, err = s.DailyBackup(t.Context(), copies, 3, today+1) // takes the journal along
	require.NoError(t, err)

	options := store.Options{Dir: dir}
	_, err = store.Restore(t.Context(), options, backup)
	require.ErrorIs(t, err, store.ErrLocked, "the bot runs")
	require.NoError(t, s.Close())
	before := dump(t, dir)

	var problem *store.Problem
	_, err = store.Restore(t.Context(), options, filepath.Join(dir, store.FileName))
	require.ErrorAs(t, err, &problem)
	other := filepath.Join(t.TempDir(), "other.db")
	db, err := sql.Open("sqlite", "file:"+other)
	require.NoError(t, err)
	_, err = db.Exec(`CREATE TABLE x (a)`)
	require.NoError(t, err)
	require.NoError(t, db.Close())
	_, err = store.Restore(t.Context(), options, other)
	require.ErrorAs(t, err, &problem)
	require.NoError(t, os.WriteFile(other+"-wal", []byte("log"), 0o600))
	_, err = store.Restore(t.Context(), options, other)
	require.ErrorAs(t, err, &problem)
	bad, err := os.ReadFile(backup)
	require.NoError(t, err)
	bad[bytes.LastIndex(bad, []byte(canaryText))] ^= 1
	damaged := filepath.Join(t.TempDir(), "damaged.db")
	require.NoError(t, os.WriteFile(damaged, bad, 0o600))
	_, err = store.Restore(t.Context(), options, damaged)
	require.ErrorIs(t, err, store.ErrDamaged)
	require.NoError(t, os.WriteFile(damaged, []byte("no database"), 0o600))
	_, err = store.Restore(t.Context(), options, damaged)
	require.Error(t, err)
	require.Equal(t, before, dump(t, dir), "nothing was touched")

	// A stop just before the end leaves the database that was there.
	cut := options
	cut.Hooks.Point = func(name string) {
		if name == "restore.rename" {
			panic("cut")
		}
	}
	require.Panics(t, func() { store.Restore(t.Context(), cut, backup) })
	require.Equal(t, before, dump(t, dir))

	r, err := store.Restore(t.Context(), options, backup)
	require.NoError(t, err)
	require.True(t, r.Report.OK(), r.Report)
	require.Positive(t, r.Report.Recomputed)
	require.Equal(t, morning+15*day, r.Until)
	b, err := os.ReadFile(filepath.Join(dir, store.FileName))
	require.NoError(t, err)
	for _, c := range canaries {
		require.False(t, bytes.Contains(b, []byte(c)), "%q is back", c)
	}
	aside := filepath.Join(t.TempDir(), "aside")
	require.NoError(t, os.Mkdir(aside, 0o700))
	require.NoError(t, os.Rename(r.Aside, filepath.Join(aside, store.FileName)))
	require.Equal(t, before, dump(t, aside), "what was there is kept")
	s, err = store.Open(t.Context(), options)
	require.NoError(t, err)
	read(t, s, func(tx *store.Tx) {
		_, err := tx.Person(p)
		require.ErrorIs(t, err, store.ErrNotFound)
		require.Empty(t, must(tx.Recorded(nine, "later")))
	})
	require.Equal(t, []int{1}, query[int](t, dir, `SELECT COUNT(*) FROM audit WHERE action = 'restore'`))
	require.NoError(t, s.Close())

	// Elsewhere, with no journal but the one beside the copy.
	fresh := filepath.Join(t.TempDir(), "new")
	r, err = store.Restore(t.Context(), store.Options{Dir: fresh}, backup)
	require.NoError(t, err)
	require.Empty(t, r.Aside)
	for _, c := range canaries {
		require.False(t, bytes.Contains(bytesOf(t, fresh), []byte(c)), "%q is back", c)
	}
}

// A line of the journal that a stop cut short takes no later erasure with it.
func TestJournalCutShort(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	s, p := lived(t, dir)
	backup := filepath.Join(t.TempDir(), "copy.db")
	require.NoError(t, s.Backup(t.Context(), backup))
	require.NoError(t, os.WriteFile(filepath.Join(dir, store.JournalName), []byte("p0123 2026-03"), 0o600))
	require.NoError(t, s.Erase(t.Context(), p, morning+50*day))
	require.NoError(t, s.Close())
	_, err := store.Restore(t.Context(), store.Options{Dir: dir}, backup)
	require.NoError(t, err)
	b, err := os.ReadFile(filepath.Join(dir, store.FileName))
	require.NoError(t, err)
	require.NotContains(t, string(b), canaryName)
}

// An erasure that was cut short after it, before the files were rewritten, is
// finished by the next Open.
func TestErasureCutShortBeforeTheScrub(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	armed := true
	s, p := lived(t, dir, func(o *store.Options) {
		o.Hooks.Point = func(name string) {
			if armed && name == "erase.scrub" {
				panic("cut")
			}
		}
	})
	require.Panics(t, func() { s.Erase(t.Context(), p, morning+50*day) })
	armed = false
	// As a kill leaves it: the log is not emptied by closing.
	cut := filepath.Join(t.TempDir(), "cut")
	require.NoError(t, os.CopyFS(cut, os.DirFS(dir)))
	require.Contains(t, string(bytesOf(t, cut)), canaryName, "else this shows nothing")
	s, err := store.Open(t.Context(), store.Options{Dir: cut})
	require.NoError(t, err)
	defer s.Close()
	for _, c := range canaries {
		require.False(t, bytes.Contains(bytesOf(t, cut), []byte(c)), "%q is left", c)
	}
}

// Each table with somebody's rows has its span, and rows go when it is over,
// not before.
func TestRetention(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	s, p := lived(t, dir)
	var out bytes.Buffer
	read(t, s, func(tx *store.Tx) { do(tx.Export(p, &out)) })
	var owned map[string]any
	require.NoError(t, json.Unmarshal(out.Bytes(), &owned))
	var tables []string
	for table := range owned {
		tables = append(tables, table)
	}
	tables = append(tables, "once_key")
	slices.Sort(tables)
	var have []string
	for _, sp := range store.Spans(store.LeftDays) {
		have = append(have, sp.Table)
		require.Positive(t, sp.Days, sp.Table)
		require.NotEmpty(t, sp.When+sp.Why, sp.Table)
	}
	require.Equal(t, tables, have)

	now := morning + 2000*day
	old := map[string]string{ // rows by the day that counts, as SQL
		"audit":      `INSERT INTO audit (at, actor, target, action, detail) VALUES (%d, '', '', 'span', '')`,
		"change_log": `INSERT INTO change_log (at, kind, what, was, became) VALUES (%d, 'span', '', '', '')`,
		"dialog":     `INSERT INTO dialog (chat, kind, args, card, asked_at) VALUES (%[1]d, 'span', '', 0, %[1]d)`,
		"invitation": `INSERT INTO invitation (person, code_hash, created_at, expires_at) VALUES (1, 'span%[1]d', 0, %[1]d)`,
		"message":    `INSERT INTO message (kind, ref, chat, message_id, at) VALUES ('span', 0, 0, 0, %d)`,
		"once_key":   `INSERT INTO once_key (key, at) VALUES ('span%[1]d', %[1]d)`,
		"outbox":     `INSERT INTO outbox (kind, chat, ref, rev, args, priority, not_before, expires_at, edit, message_id, state, settled_at) VALUES ('span', 0, 0, 0, '', 0, 0, 0, 0, 0, 'sent', %d)`,
		"quarantine": `INSERT INTO quarantine (update_id, raw, reason, at) VALUES (77, X'', 'span', %d)`,
		"pause":      `INSERT INTO pause (person, from_day, until_day, at) VALUES (1, date(%[1]d / 1000, 'unixepoch'), date(%[1]d / 1000, 'unixepoch'), 0)`,
		"replan":     `INSERT INTO replan (person, day) VALUES (1, date(%d / 1000, 'unixepoch'))`,
	}
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName))
	require.NoError(t, err)
	defer db.Close()
	for _, sp := range store.Spans(0) {
		if sp.Days == 0 {
			require.NotContains(t, old, sp.Table)
			continue
		}
		require.Contains(t, old, sp.Table)
		count := func() int { return query[int](t, dir, `SELECT COUNT(*) FROM `+sp.Table)[0] }
		require.NoError(t, s.Housekeep(t.Context(), now, 100_000))
		none := count()
		for _, late := range []prescribe.Instant{0, day} {
			_, err := db.Exec(fmt.Sprintf(old[sp.Table], now-prescribe.Instant(sp.Days)*day+late))
			require.NoError(t, err, sp.Table)
		}
		require.NoError(t, s.Housekeep(t.Context(), now, 100_000))
		require.Equal(t, none+1, count(), "%s: one has lapsed and one has a day left", sp.Table)
	}

	// Who has left.
	write(t, s, func(tx *store.Tx) { do(tx.Leave(p, morning+40*day)) })
	require.NoError(t, s.Housekeep(t.Context(), morning+139*day, 100))
	require.Contains(t, string(bytesOf(t, dir)), canaryName)
	require.NoError(t, s.Housekeep(t.Context(), morning+140*day, 100))
	for _, c := range canaries {
		require.False(t, bytes.Contains(bytesOf(t, dir), []byte(c)), "%q is left", c)
	}
	require.NoError(t, s.Housekeep(t.Context(), morning+141*day, 100), "nobody is erased twice")
	require.Error(t, s.Housekeep(t.Context(), morning, 0))
	r, err := s.Verify(t.Context())
	require.NoError(t, err)
	require.True(t, r.OK(), r)
}

// What a player says of their health is not kept where they have not agreed:
// the schema itself refuses it, whatever the code above it does.
func TestHealthNeedsConsent(t *testing.T) {
	s := withClub(t)
	nine, doc := id(t, s, "9"), id(t, s, "doc")
	say := func(n int64, e prescribe.Event) error {
		return s.Write(t.Context(), func(tx *store.Tx) error {
			_, err := tx.Record(n, fmt.Sprint("m:", n, e.Pain != nil, e.Soreness != nil), morning, e)
			return err
		})
	}
	warning := prescribe.Event{At: morning, Warning: &prescribe.Warning{Sign: prescribe.SignFainting}}
	told := []prescribe.Event{sore(morning, prescribe.Calf, 5), pain(morning, prescribe.Knee, 5), warning}
	for _, e := range told {
		require.ErrorContains(t, say(nine, e), "has not agreed")
	}
	require.NoError(t, say(nine, squat(morning, 100, 5, 1)), "sets come from the coach's files too")
	agreed(t, s, "9")
	for _, e := range told {
		require.NoError(t, say(nine, e))
	}
	write(t, s, func(tx *store.Tx) { do(tx.WithdrawConsent(nine, morning+hour)) })
	require.ErrorContains(t, say(nine, pain(morning, prescribe.Ankle, 7)), "has not agreed")
	require.NoError(t, say(doc, warning), "staff are no players")
}

// The classes of columns, in testdata/db/columns.txt.
const (
	classPerson = "person" // about somebody: in their export, gone after their erasure
	classRef    = "ref"    // ties rows together, or says when the person was erased
	classActor  = "actor"  // who did it; the row of an erased person is empty
	classPseudo = "pseudonym"
	classTrace  = "trace" // of the audit: names nobody but by pseudonym
	classClub   = "club"  // about nobody
)

// columnClasses reads the file; a column of the schema that is not in it, or
// the other way round, fails the test: whoever adds one says what it holds.
func columnClasses(t *testing.T, dir string) map[string]string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dumps, "columns.txt"))
	require.NoError(t, err)
	classes := map[string]string{}
	for n, line := range strings.Split(string(text), "\n") {
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		f := strings.Fields(line)
		require.Len(t, f, 2, "line %d", n+1)
		require.Contains(t, []string{classPerson, classRef, classActor, classPseudo, classTrace, classClub}, f[1], "line %d", n+1)
		require.NotContains(t, classes, f[0], "line %d", n+1)
		classes[f[0]] = f[1]
	}
	var listed []string
	for c := range classes {
		listed = append(listed, c)
	}
	slices.Sort(listed)
	require.Equal(t, query[string](t, dir, `SELECT m.name || '.' || c.name FROM sqlite_schema m, pragma_table_info(m.name) c
WHERE m.type = 'table' AND m.name NOT LIKE 'goose\_%' ESCAPE '\' AND m.name NOT LIKE 'sqlite\_%' ESCAPE '\' ORDER BY 1`), listed,
		"testdata/db/columns.txt says of every column what it holds")
	return classes
}

// Every column that is about somebody is filled with a mark of its own, for one
// person, straight from the schema. All marks are in the export, and none is
// left in the files after the erasure.
func TestEveryPersonalColumn(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	s := withClub(t, inDir(dir))
	agreed(t, s)
	p := joined(t, s, "9", 700123456)
	ten := id(t, s, "10")
	write(t, s, func(tx *store.Tx) { // programme and rules to refer to
		_, _, err := tx.IssueCard(ten, today, morning)
		do(err)
	})
	classes := columnClasses(t, dir)
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName)+"?_pragma=recursive_triggers(1)")
	require.NoError(t, err)
	defer db.Close()

	type column struct{ name, kind string }
	columns := map[string][]column{}
	refs := map[string]string{} // "table.column" to the table it refers to
	pending := map[string]bool{}
	rows, err := db.Query(`SELECT m.name, c.name, c.type FROM sqlite_schema m, pragma_table_info(m.name) c WHERE m.type = 'table' ORDER BY 1, c.cid`)
	require.NoError(t, err)
	for rows.Next() {
		var table string
		var c column
		require.NoError(t, rows.Scan(&table, &c.name, &c.kind))
		columns[table] = append(columns[table], c)
		if classes[table+"."+c.name] == classPerson {
			pending[table] = true
		}
	}
	require.NoError(t, rows.Err())
	for _, r := range query[string](t, dir, `SELECT m.name || '.' || f."from" || ' ' || f."table" FROM sqlite_schema m, pragma_foreign_key_list(m.name) f WHERE m.type = 'table'`) {
		from, to, _ := strings.Cut(r, " ")
		refs[from] = to
	}
	require.Greater(t, len(pending), 30)

	marks := map[string]any{} // "table.column"
	number := int64(7_100_000_000_001)
	mark := func(table string, c column) any {
		var v any
		number += 3
		switch c.kind {
		case "TEXT":
			v = "mark:" + table + "." + c.name
		case "BLOB":
			v = []byte(`{"id":700123456,"mark":"mark:` + table + "." + c.name + `"}`)
		case "REAL":
			v = float64(number) + 0.5
		default:
			v = number
		}
		switch table + "." + c.name {
		case "outbox.priority": // a range of its own
			return int64(7)
		case "dialog.chat", "person.chat", "person.user_id", "person_account.chat", "person_account.user_id":
			return int64(700123456) // by which rows are found
		case "once_key.key": // is found by the chat in it
			return "in/msg/700123456/mark:"
		case "person.chosen", "person.reachable": // yes or no
			return int64(1)
		case "outbox.chat", "message.chat":
			return int64(700123456)
		}
		marks[table+"."+c.name] = v
		return v
	}
	parent := map[string]any{} // of each table, a row to refer to
	for table, q := range map[string]string{"squad": `SELECT MIN(id) FROM squad`, "programme_version": `SELECT MIN(hash) FROM programme_version`, "rules_version": `SELECT MIN(hash) FROM rules_version`} {
		var v any
		require.NoError(t, db.QueryRow(q).Scan(&v))
		parent[table] = v
	}
	parent["person"] = p
	for rounds := 0; len(pending) > 0; rounds++ {
		require.Less(t, rounds, 20, "rows refer to each other in a ring: %v", pending)
	tables:
		for _, table := range slices.Sorted(func(yield func(string) bool) {
			for x := range pending {
				if !yield(x) {
					return
				}
			}
		}) {
			var names, holes []string
			var values []any
			for _, c := range columns[table] {
				name := table + "." + c.name
				var v any
				switch to := refs[name]; {
				case to == table: // a row replaced by this one: none
					continue
				case to != "" && classes[name] == classActor:
					continue // nobody, or the program
				case to != "" && parent[to] == nil:
					continue tables // later
				case to != "":
					v = parent[to]
				case classes[name] == classPerson:
					v = mark(table, c)
				case c.name == "id" || table == "person":
					continue
				case c.kind == "TEXT":
					v = "r" + strconv.FormatInt(number, 10)
				default:
					v = 0
				}
				names, holes, values = append(names, c.name), append(holes, "?"), append(values, v)
			}
			if table == "person" {
				_, err = db.Exec(`UPDATE person SET `+strings.Join(names, " = ?, ")+` = ? WHERE id = ?`, append(values, p)...)
			} else {
				var r sql.Result
				r, err = db.Exec(`INSERT OR REPLACE INTO `+table+` (`+strings.Join(names, ", ")+`) VALUES (`+strings.Join(holes, ", ")+`)`, values...)
				if err == nil {
					parent[table], err = r.LastInsertId()
				}
			}
			require.NoError(t, err, table)
			delete(pending, table)
		}
	}

	var out bytes.Buffer
	read(t, s, func(tx *store.Tx) { do(tx.Export(p, &out)) })
	var export map[string][]map[string]any
	dec := json.NewDecoder(bytes.NewReader(out.Bytes()))
	dec.UseNumber()
	require.NoError(t, dec.Decode(&export))
	for name, want := range marks {
		table, col, _ := strings.Cut(name, ".")
		if b, ok := want.([]byte); ok {
			want = string(b)
		}
		found := slices.ContainsFunc(export[table], func(row map[string]any) bool {
			if n, ok := row[col].(json.Number); ok {
				f, err := n.Float64()
				return err == nil && fmt.Sprint(f) == fmt.Sprint(toFloat(want))
			}
			return row[col] == want
		})
		require.True(t, found, "%s is not in the export", name)
	}

	require.NoError(t, s.Erase(t.Context(), p, morning+day))
	all := bytesOf(t, dir)
	at := bytes.Index(all, []byte("mark:"))
	require.Negative(t, at, "a text is left in the files: %q", all[max(at, 0):min(max(at, 0)+60, len(all))])
	require.Equal(t, []int{0}, query[int](t, dir, `SELECT chosen + reachable FROM person WHERE id = ?`, p))
	for table, cs := range columns {
		for _, c := range cs {
			if c.kind != "INTEGER" && c.kind != "REAL" {
				continue
			}
			n := query[int](t, dir, `SELECT COUNT(*) FROM "`+table+`" WHERE "`+c.name+`" BETWEEN 7100000000001 AND ? OR "`+c.name+`" = 700123456`, number+1)[0]
			require.Zero(t, n, "a number is left in %s.%s", table, c.name)
		}
	}
	r, err := s.Verify(t.Context())
	require.NoError(t, err)
	require.True(t, r.OK(), r)
	read(t, s, func(tx *store.Tx) { require.ErrorIs(t, tx.Export(p, io.Discard), store.ErrNotFound) })
}

func toFloat(v any) float64 {
	switch v := v.(type) {
	case int64:
		return float64(v)
	case float64:
		return v
	}
	return -1
}
