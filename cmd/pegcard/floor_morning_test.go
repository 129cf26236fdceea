package main

import (
	"database/sql"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/cmd/pegcard/democlub"
	"pegcard/prescribe"
	"pegcard/schedule"
)

// The morning of a whole club: what is due is found, each player's card is
// worked out, stored with its reasons and put into the outbox. The floor reads
// and writes the same rows with raw SQL and works nothing out.
func BenchmarkFloorMorning(b *testing.B) {
	sizes := []int{25, 1_000}
	if os.Getenv("PEGCARD_BENCH_LONG") == "1" {
		sizes = append(sizes, 10_000, 50_000)
	}
	for _, n := range sizes {
		b.Run(fmt.Sprintf("players=%d", n), func(b *testing.B) { benchMorning(b, n) })
	}
}

func benchMorning(b *testing.B, n int) {
	dir := bigClub(b, n)
	at := morningOf(b)
	var ours, floor time.Duration
	for b.Loop() {
		b.StopTimer()
		mine := cloneData(b, dir)
		bt, st := quietBot(b, mine, at.Add(-time.Minute))
		require.NoError(b, bt.Tick(b.Context())) // what was due before is no part of the morning
		require.NoError(b, st.Close())
		dirs := [2]string{mine, cloneData(b, mine)}
		bt, st = quietBot(b, mine, at)
		began := time.Now()
		require.NoError(b, bt.Tick(b.Context()))
		ours += time.Since(began)
		require.NoError(b, st.Close())

		db := rawDB(b, mine)
		day := prescribe.DayOf(at).String()
		made := morningRows(b, db, day)
		require.Len(b, made.people, n)
		require.NoError(b, db.Close())

		raw := rawDB(b, dirs[1])
		b.StartTimer()
		began = time.Now()
		made.rewrite(b, raw)
		floor += time.Since(began)
		b.StopTimer()
		require.NoError(b, raw.Close())
		b.StartTimer()
	}
	b.ReportMetric(float64(ours)/float64(floor), "x-floor")
	b.ReportMetric(float64(ours.Microseconds())/float64(b.N*n), "µs/player")
	b.ReportMetric(float64(floor.Microseconds())/float64(b.N*n), "floor-µs/player")
}

// morningOf is when the demo club's first team gets its cards.
func morningOf(tb testing.TB) time.Time {
	loc, err := time.LoadLocation(democlub.Zone)
	require.NoError(tb, err)
	return schedule.At(prescribe.DayOf(democlub.Start().In(loc)), 7*60+30, loc)
}

// morning is what a morning wrote, by player.
type morning struct {
	day    string
	people []int64
	keys   map[int64]string
	card   map[int64][][]any
	rev    map[int64][][]any // by card
	item   map[int64][][]any // by revision
	out    map[int64][][]any
	cols   map[string][]string
	// rules and programmes are the versions that cards refer to.
	rules, programmes table
}

func morningRows(tb testing.TB, db *sql.DB, day string) morning {
	m := morning{day: day, keys: map[int64]string{}, cols: map[string][]string{}}
	take := func(name, group, q string, args ...any) map[int64][][]any {
		t := readTable(tb, db, q, args...)
		m.cols[name] = t.cols
		return t.by(group)
	}
	m.card = take("card", "person", `SELECT * FROM card WHERE day = ?`, day)
	m.rev = take("card_rev", "card", `SELECT * FROM card_rev WHERE card IN (SELECT id FROM card WHERE day = ?)`, day)
	m.item = take("card_item", "card_rev", `SELECT * FROM card_item`)
	m.out = take("outbox", "recipient", `SELECT * FROM outbox WHERE recipient IS NOT NULL`)
	for _, r := range readTable(tb, db, `SELECT key FROM once_key WHERE key LIKE 'due/%'`).rows {
		key := r[0].(string)
		var person int64
		if _, err := fmt.Sscanf(key, "due/card/%d/", &person); err == nil && strings.HasSuffix(key, day) {
			m.keys[person] = key
		}
	}
	m.rules = readTable(tb, db, `SELECT * FROM rules_version`)
	m.programmes = readTable(tb, db, `SELECT * FROM programme_version`)
	m.people = sortedKeys(m.card)
	return m
}

// rewrite is the floor: for each player one durable transaction that reads the
// rows a card is worked out from and writes those it is stored as.
func (m morning) rewrite(tb testing.TB, db *sql.DB) {
	// Read once for all: what is due and what all cards share.
	for _, q := range []string{
		`SELECT * FROM club`, `SELECT * FROM squad`, `SELECT * FROM phase`, `SELECT * FROM gym`, `SELECT * FROM gym_setting`,
		`SELECT r.* FROM rules_use u JOIN rules_version r ON r.hash = u.hash ORDER BY u.id DESC LIMIT 1`,
		`SELECT p.* FROM programme_use u JOIN programme_version p ON p.hash = u.hash ORDER BY u.id DESC LIMIT 1`,
		`SELECT * FROM fixture`, `SELECT * FROM person`, `SELECT * FROM consent`, `SELECT * FROM membership`, `SELECT key FROM once_key`,
	} {
		drain(tb, db, q)
	}
	for name, t := range map[string]table{"rules_version": m.rules, "programme_version": m.programmes} {
		for _, r := range t.rows {
			_, err := db.Exec(fmt.Sprintf(`INSERT OR IGNORE INTO %s VALUES (%s)`, name, marks(len(r))), r...)
			require.NoError(tb, err)
		}
	}
	prep := func(q string) *sql.Stmt {
		st, err := db.Prepare(q)
		require.NoError(tb, err)
		return st
	}
	insert := map[string]*sql.Stmt{"once_key": prep(`INSERT INTO once_key (key, at) VALUES (?, 0)`)}
	for t, cols := range m.cols {
		insert[t] = prep(fmt.Sprintf(`INSERT INTO %s (%s) VALUES (%s)`, t, strings.Join(cols, ", "), marks(len(cols))))
	}
	reads := []*sql.Stmt{
		prep(`SELECT * FROM checkpoint WHERE person = ? ORDER BY at DESC, key DESC LIMIT 1`),
		prep(`SELECT * FROM person_zone WHERE person = ?`), prep(`SELECT * FROM person_gym WHERE person = ?`),
		prep(`SELECT * FROM away WHERE person = ?`), prep(`SELECT * FROM card WHERE person = ? AND day = '` + m.day + `'`),
	}
	for _, p := range m.people {
		tx, err := db.Begin()
		require.NoError(tb, err)
		run := func(t string, rows [][]any) {
			for _, r := range rows {
				_, err := tx.Stmt(insert[t]).Exec(r...)
				require.NoError(tb, err)
			}
		}
		run("once_key", [][]any{{m.keys[p]}})
		for _, st := range reads {
			rs, err := tx.Stmt(st).Query(p)
			require.NoError(tb, err)
			drainRows(tb, rs)
		}
		run("card", m.card[p])
		for _, c := range m.card[p] {
			revs := m.rev[c[0].(int64)]
			run("card_rev", revs)
			for _, r := range revs {
				run("card_item", m.item[r[0].(int64)])
			}
		}
		run("outbox", m.out[p])
		require.NoError(tb, tx.Commit())
	}
}

func marks(n int) string { return strings.TrimSuffix(strings.Repeat("?, ", n), ", ") }

func drain(tb testing.TB, db *sql.DB, q string) {
	rs, err := db.Query(q)
	require.NoError(tb, err)
	drainRows(tb, rs)
}

// drainRows reads all columns of all rows.
func drainRows(tb testing.TB, rs *sql.Rows) {
	defer rs.Close()
	cols, err := rs.Columns()
	require.NoError(tb, err)
	row, into := make([]any, len(cols)), make([]any, len(cols))
	for i := range row {
		into[i] = &row[i]
	}
	for rs.Next() {
		require.NoError(tb, rs.Scan(into...))
	}
	require.NoError(tb, rs.Err())
}
