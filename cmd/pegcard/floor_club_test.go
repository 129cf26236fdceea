package main

import (
	"context"
	"database/sql"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	_ "modernc.org/sqlite"

	"pegcard/bot"
	"pegcard/bot/localchat"
	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/cmd/pegcard/democlub"
	"pegcard/prescribe"
	"pegcard/store"
	"pegcard/store/clubfile"
)

// Benchmarks named BenchmarkFloor measure the program against a floor in the
// same run: the least that anything must do that reads and writes the same
// rows. They report a ratio, "x-floor"; README's table is made of them.

// squadSize is the usual size of a squad.
const squadSize = 25

// bigClub is the data directory of a club of n players in squads of 25: copies
// of the demo's first team with its tests, minutes and fixtures. All have
// joined, and cards go out without a look-over. The copies are made of the
// first squad's rows, which is much faster than importing them.
func bigClub(tb testing.TB, n int) string {
	tb.Helper()
	start := prescribe.InstantOf(democlub.Start())
	dir, st := importSquad(tb, min(n, squadSize), start, func(*store.Import) {})
	require.NoError(tb, st.Write(tb.Context(), func(tx *store.Tx) error {
		sq, err := tx.SquadBySlug("first")
		if err != nil {
			return err
		}
		members, err := tx.Members(sq.ID, prescribe.DayOf(democlub.Start()))
		if err != nil {
			return err
		}
		for _, p := range members {
			if err := joinDemo(tx, p, start); err != nil {
				return err
			}
		}
		return nil
	}))
	require.NoError(tb, st.Close())
	db := rawDB(tb, dir)
	copySquad(tb, db, (n+squadSize-1)/squadSize)
	require.NoError(tb, db.Close())
	return dir
}

// importSquad opens a new data directory and imports n players of the demo's
// first team into it, as of an instant, after change.
func importSquad(tb testing.TB, n int, at prescribe.Instant, change func(*store.Import)) (dir string, st *store.Store) {
	tb.Helper()
	dir = filepath.Join(tb.TempDir(), "data")
	st, err := store.Open(tb.Context(), store.Options{Dir: dir})
	require.NoError(tb, err)
	im, problems := clubfile.Read(democlub.Files, clubfile.Options{Now: democlub.Start()})
	require.Empty(tb, problems)
	im = oneSquad(im, n)
	change(&im)
	res, err := st.Import(tb.Context(), im, at, false)
	require.NoError(tb, err)
	require.Empty(tb, res.Problems)
	return dir, st
}

// oneSquad is the demo's first team alone, with n players and no staff.
func oneSquad(im store.Import, n int) store.Import {
	club := *im.Club
	first := club.Squads[slices.IndexFunc(club.Squads, func(s store.SquadDef) bool { return s.Slug == "first" })]
	first.Review = "none"
	club.Squads, club.Staff = []store.SquadDef{first}, nil
	im.Club = &club
	im.Players = slices.DeleteFunc(im.Players, func(p store.PlayerRow) bool { return p.Squad != first.Slug })[:n]
	of := map[string]bool{}
	for _, p := range im.Players {
		of[p.Key] = true
	}
	im.Tests = slices.DeleteFunc(im.Tests, func(t store.TestRow) bool { return !of[t.Player] })
	im.Minutes = slices.DeleteFunc(im.Minutes, func(m store.MinutesRow) bool { return !of[m.Player] })
	im.Fixtures = slices.DeleteFunc(im.Fixtures, func(f store.FixtureRow) bool { return f.Squad != first.Slug })
	return im
}

// copyStep keeps the ids of one copy apart from the next one's.
const copyStep = 1_000_000

// copySquad copies every row that belongs to the one squad or its players until
// there are n squads: ids and references move on by a step, unique words get a
// suffix.
func copySquad(tb testing.TB, db *sql.DB, n int) {
	tb.Helper()
	shared := []string{"club", "club_version", "row_sum", "gym", "gym_setting", "programme_version", "programme_use", "rules_version", "rules_use", "goose_db_version", "once_key", "clock", "erasing", "replan"}
	suffixed := []string{"person.key", "person.pseudo", "squad.slug", "invitation.code_hash"}
	moved := []string{"person.user_id", "person.chat", "person_account.user_id", "person_account.chat"}
	_, err := db.Exec(`PRAGMA foreign_keys = 0`)
	require.NoError(tb, err)
	tx, err := db.Begin()
	require.NoError(tb, err)
	for _, t := range readTable(tb, tx, `SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name`).rows {
		name := t[0].(string)
		if slices.Contains(shared, name) {
			continue
		}
		refs := map[string]bool{}
		for _, r := range readTable(tb, tx, `SELECT "from", "table" FROM pragma_foreign_key_list(?)`, name).rows {
			refs[r[0].(string)] = !slices.Contains(shared, r[1].(string))
		}
		var cols, values []string
		for _, c := range readTable(tb, tx, `SELECT name, pk, type FROM pragma_table_info(?)`, name).rows {
			col := c[0].(string)
			cols = append(cols, col)
			switch {
			case slices.Contains(suffixed, name+"."+col):
				values = append(values, col+` || '-' || ?1`)
			case refs[col], col == "id" && c[1].(int64) > 0, slices.Contains(moved, name+"."+col):
				values = append(values, fmt.Sprintf(`%s + ?1 * %d`, col, copyStep))
			default:
				values = append(values, col)
			}
		}
		own := ""
		if cols[0] == "id" {
			own = fmt.Sprintf(` WHERE id < %d`, copyStep)
		} else if i := slices.Index(cols, "person"); i >= 0 {
			own = fmt.Sprintf(` WHERE person < %d`, copyStep)
		}
		for k := 1; k < n; k++ {
			_, err := tx.Exec(fmt.Sprintf(`INSERT INTO %s (%s) SELECT %s FROM %s%s`, name, strings.Join(cols, ", "), strings.Join(values, ", "), name, own), k)
			require.NoError(tb, err, name)
		}
	}
	require.NoError(tb, tx.Commit())
}

// cloneData copies a closed data directory.
func cloneData(tb testing.TB, dir string) string {
	tb.Helper()
	to := filepath.Join(tb.TempDir(), "data")
	require.NoError(tb, os.CopyFS(to, os.DirFS(dir)))
	require.NoError(tb, os.Chmod(to, 0o700))
	return to
}

// quietBot is the production bot on a data directory and a chat server in the
// same process. Its loops do not run.
func quietBot(tb testing.TB, dir string, now time.Time) (*bot.Bot, *store.Store) {
	tb.Helper()
	st, err := store.Open(context.Background(), store.Options{Dir: dir})
	require.NoError(tb, err)
	words, err := wording.Load()
	require.NoError(tb, err)
	loc, err := store.Zone(democlub.Zone)
	require.NoError(tb, err)
	clock := func() time.Time { return now }
	chat := localchat.New(localchat.Options{Token: "7000000001:bench-secret", Now: clock, Zone: loc, Limits: localchat.DefaultLimits()})
	tb.Cleanup(chat.Close)
	client, err := telegram.NewClient(telegram.Config{Token: chat.Token(), Endpoint: "http://chat.invalid", Transport: chat.Transport()})
	require.NoError(tb, err)
	return bot.New(bot.Config{Store: st, Client: client, Words: words, Now: clock}), st
}

// rawDB opens a data directory's file as plainly as can be, with the same
// promises of durability as the store.
func rawDB(tb testing.TB, dir string) *sql.DB {
	tb.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName)+
		"?_pragma=busy_timeout(5000)&_pragma=foreign_keys(1)&_pragma=secure_delete(1)&_pragma=synchronous(FULL)&_pragma=journal_mode(WAL)&_txlock=immediate")
	require.NoError(tb, err)
	db.SetMaxOpenConns(1)
	return db
}

type querier interface {
	Query(q string, args ...any) (*sql.Rows, error)
}

// table is rows of a query, as the driver gives them.
type table struct {
	cols []string
	rows [][]any
}

func readTable(tb testing.TB, db querier, q string, args ...any) table {
	tb.Helper()
	rs, err := db.Query(q, args...)
	require.NoError(tb, err)
	defer rs.Close()
	var t table
	t.cols, err = rs.Columns()
	require.NoError(tb, err)
	for rs.Next() {
		row, into := make([]any, len(t.cols)), make([]any, len(t.cols))
		for i := range row {
			into[i] = &row[i]
		}
		require.NoError(tb, rs.Scan(into...))
		t.rows = append(t.rows, row)
	}
	require.NoError(tb, rs.Err())
	return t
}

// by groups the rows by the value of a column.
func (t table) by(col string) map[int64][][]any {
	i := slices.Index(t.cols, col)
	out := map[int64][][]any{}
	for _, r := range t.rows {
		out[r[i].(int64)] = append(out[r[i].(int64)], r)
	}
	return out
}

func sortedKeys(m map[int64][][]any) []int64 { return slices.Sorted(maps.Keys(m)) }
