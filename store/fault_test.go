package store_test

import (
	"database/sql"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
	"pegcard/store"
)

// long reports whether the long forms of these tests are asked for:
//
//	PEGCARD_LONG=1 go test ./store -run 'Fault|Full|Log|Flip' -timeout 3h
func long() bool { return os.Getenv("PEGCARD_LONG") != "" }

// every is how many cases the short forms pass over.
func every(short, normal int) int {
	switch {
	case long():
		return 1
	case testing.Short():
		return short
	}
	return normal
}

// flow is one thing that happens to a database. It runs under a key of its own,
// so that a second try after a lost answer changes nothing.
type flow struct {
	name string
	run  func(t *testing.T, s *store.Store) error
}

// flows are what a day brings, in an order in which each finds what it needs.
func flows(dir string, ten int64) []flow {
	once := func(name string, fn func(tx *store.Tx, nine, doc int64) error) flow {
		return flow{name, func(t *testing.T, s *store.Store) error {
			_, err := s.Once(t.Context(), name, morning, func(tx *store.Tx) error {
				nine, err := tx.PersonByKey("9")
				if err != nil {
					return err
				}
				doc, err := tx.PersonByKey("doc")
				if err != nil {
					return err
				}
				return fn(tx, nine.ID, doc.ID)
			})
			return err
		}}
	}
	alert := func(tx *store.Tx, nine int64) (int64, error) {
		as, err := tx.AlertsOf(nine)
		if err != nil || len(as) == 0 {
			return 0, errors.Join(err, errors.New("no alert"))
		}
		return as[0].ID, nil
	}
	return []flow{
		once("join", func(tx *store.Tx, nine, doc int64) error {
			code, err := tx.Invite(nine, doc, morning, morning+day)
			if err != nil {
				return err
			}
			_, err = tx.Join(code, 700, 700, morning)
			return err
		}),
		once("consent", func(tx *store.Tx, nine, _ int64) error { return tx.Consent(nine, "1", "en", morning) }),
		once("card", func(tx *store.Tx, nine, _ int64) error {
			c, _, err := tx.IssueCard(nine, today, morning)
			if err != nil {
				return err
			}
			if _, _, err = tx.Enqueue(store.Out{Kind: "card", Recipient: nine, Ref: c.ID, Rev: c.Rev, Dedup: "card"}); err != nil {
				return err
			}
			return tx.PutDialog(store.Dialog{Chat: 700, Kind: "rpe", Args: []byte("{}"), Card: c.ID, Asked: morning})
		}),
		once("claim", func(tx *store.Tx, _, _ int64) error {
			out, err := tx.ClaimOut(morning, 10, nil)
			if err == nil && len(out) != 1 {
				err = fmt.Errorf("%d claimed", len(out))
			}
			return err
		}),
		once("sent", func(tx *store.Tx, _, _ int64) error {
			ids, err := tx.OutClaimed()
			if err != nil {
				return err
			}
			return tx.OutSent(ids[0], 700, 11, morning)
		}),
		once("answer", func(tx *store.Tx, nine, _ int64) error {
			_, err := tx.Record(nine, "msg:700:1", morning, squat(morning, 100, 5, 2), sore(morning, prescribe.Hamstring, 6))
			return err
		}),
		once("correction", func(tx *store.Tx, nine, _ int64) error {
			_, err := tx.Record(nine, "msg:700:1", morning+minute, squat(morning, 102.5, 5, 2))
			return err
		}),
		once("pain", func(tx *store.Tx, nine, _ int64) error {
			f, err := tx.Record(nine, "msg:700:2", morning+minute, pain(morning, prescribe.Knee, 6))
			if err != nil {
				return err
			}
			for _, n := range f.Notices {
				if _, _, err := tx.RaiseAlert(nine, n, morning); err != nil {
					return err
				}
			}
			return nil
		}),
		once("new card", func(tx *store.Tx, nine, doc int64) error {
			c, _, err := tx.IssueCard(nine, today, morning+2*minute)
			if err != nil {
				return err
			}
			return tx.AddEdit(c.ID, doc, prescribe.Edit{At: morning, Kind: prescribe.EditApprove})
		}),
		once("the week's cards", func(tx *store.Tx, nine, _ int64) error {
			for d := range prescribe.Day(7) {
				if _, _, err := tx.IssueCard(nine, today+1+d, morning); err != nil {
					return err
				}
			}
			return nil
		}),
		once("look", func(tx *store.Tx, nine, doc int64) error {
			v, err := tx.Viewer(doc, today)
			if err != nil {
				return err
			}
			_, err = tx.ViewEvents(v, nine, today-7, today, morning)
			return err
		}),
		once("acknowledge", func(tx *store.Tx, nine, doc int64) error {
			a, err := alert(tx, nine)
			if err != nil {
				return err
			}
			if _, err := tx.Acknowledge(a, doc, morning); err != nil {
				return err
			}
			return tx.CloseAlert(a, doc, "seen", morning)
		}),
		once("travel", func(tx *store.Tx, nine, _ int64) error {
			if _, err := tx.SetAway(nine, store.Away{From: today + 1, Until: today + 3, Place: "hotel", Equipment: "hotel"}, morning); err != nil {
				return err
			}
			return tx.SetZone(nine, "Asia/Tokyo", today+1)
		}),
		{"import", func(t *testing.T, s *store.Store) error {
			im := store.Import{Tests: []store.TestRow{{Player: "10", Day: today - 3, Set: &prescribe.Set{Exercise: "back_squat", Load: 110, Reps: 3, ToFail: true, Ordinal: 1, Test: true}}}}
			r, err := s.Import(t.Context(), im, morning, false)
			if err == nil && len(r.Problems) > 0 {
				err = r.Problems[0]
			}
			return err
		}},
		{"digest", func(t *testing.T, s *store.Store) error {
			return s.Read(t.Context(), func(tx *store.Tx) error {
				_, err := tx.DueInputs(morning)
				return err
			})
		}},
		{"export", func(t *testing.T, s *store.Store) error {
			return s.Read(t.Context(), func(tx *store.Tx) error {
				p, err := tx.PersonByKey("9")
				if err != nil {
					return err
				}
				return tx.Export(p.ID, io.Discard)
			})
		}},
		{"verify", func(t *testing.T, s *store.Store) error {
			r, err := s.Verify(t.Context())
			if err == nil && !r.OK() {
				err = fmt.Errorf("%v", r)
			}
			return err
		}},
		{"backup", func(t *testing.T, s *store.Store) error {
			return s.Backup(t.Context(), filepath.Join(filepath.Dir(dir), "copy.db"))
		}},
		{"housekeeping", func(t *testing.T, s *store.Store) error {
			return s.Housekeep(t.Context(), morning+100*day, store.LeftDays)
		}},
		once("leave", func(tx *store.Tx, nine, _ int64) error { return tx.Leave(nine, morning) }),
		{"erase", func(t *testing.T, s *store.Store) error {
			err := s.Erase(t.Context(), ten, morning)
			if errors.Is(err, store.ErrNotFound) {
				err = nil // done before the answer was lost
			}
			return err
		}},
	}
}

// digests reads the sums of all tables through a connection of its own: equal
// sums, equal rows.
func digests(t *testing.T, dir string) func() string {
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName)+"?_pragma=busy_timeout(5000)")
	require.NoError(t, err)
	t.Cleanup(func() { db.Close() })
	db.SetMaxOpenConns(1)
	return func() string {
		t.Helper()
		var s string
		// That of the writes that changed nothing is not compared.
		require.NoError(t, db.QueryRow(`SELECT group_concat(name || sum, ' ') FROM (SELECT name, sum FROM row_sum WHERE name <> 'club_version' ORDER BY name)`).Scan(&s))
		return s
	}
}

// copyData copies a closed data directory.
func copyData(t *testing.T, from, to string) {
	t.Helper()
	require.NoError(t, os.RemoveAll(to))
	require.NoError(t, os.CopyFS(to, os.DirFS(from)))
}

// sevens is a source of bytes that are the same at every try.
type sevens struct{}

func (sevens) Read(b []byte) (int, error) {
	for i := range b {
		b[i] = 7
	}
	return len(b), nil
}

// faulty is a store behind the faulty driver.
func faulty(t *testing.T, dir string) *store.Store {
	t.Helper()
	s, err := store.Open(t.Context(), store.Options{Dir: dir, Rand: sevens{}, Hooks: store.Hooks{Driver: faultName}})
	require.NoError(t, err)
	return s
}

// Whatever call of whatever flow fails, before or after the database did it,
// everything of the flow is there or nothing, the store goes on working, and a
// second try ends where an undisturbed one does.
func TestEveryDatabaseCallFails(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	s := withClub(t, inDir(dir))
	agreed(t, s, "10")
	ten := id(t, s, "10")
	require.NoError(t, s.Close())
	base := filepath.Join(t.TempDir(), "base")
	tried := 0
	for _, f := range flows(dir, ten) {
		t.Run(f.name, func(t *testing.T) {
			copyData(t, dir, base)
			reopen := func() *store.Store {
				copyData(t, base, dir)
				return faulty(t, dir)
			}
			s := reopen()
			was := digests(t, dir)()
			faults.arm(0, false)
			require.NoError(t, f.run(t, s))
			calls, _ := faults.disarm()
			done := digests(t, dir)()
			require.NoError(t, s.Close())
			require.Positive(t, calls)

			s = reopen()
			step := max(every(41, 3), calls*every(41, 3)/400) // of the long ones, some of the like
			if long() {
				step = 1
			}
			for n := 1 + tried%step; n <= calls; n += step {
				for _, after := range []bool{false, true} {
					tried++
					faults.arm(n, after)
					err := f.run(t, s)
					_, hit := faults.disarm()
					what := fmt.Sprintf("call %d of %d, %s, after: %t", n, calls, hit, after)
					now := digests(t, dir)()
					if err == nil {
						require.Equal(t, done, now, "%s: no error, and not done", what)
					} else {
						require.ErrorIs(t, err, errFault, what)
						require.Contains(t, []string{was, done}, now, "%s: done in part", what)
					}
					require.NoError(t, s.Write(t.Context(), func(*store.Tx) error { return nil }), what)
					require.NoError(t, s.Read(t.Context(), func(tx *store.Tx) error { _, err := tx.Club(); return err }), what)
					if n%5 == 0 || now != was {
						require.NoError(t, f.run(t, s), what)
						require.Equal(t, done, digests(t, dir)(), "%s: the second try ends elsewhere", what)
						require.NoError(t, s.Close())
						s = reopen()
					}
				}
			}
			require.NoError(t, f.run(t, s))
			r, err := s.Verify(t.Context())
			require.NoError(t, err)
			require.True(t, r.OK(), r)
			require.NoError(t, s.Close())
			parts, err := filepath.Glob(filepath.Join(filepath.Dir(dir), "*.part"))
			require.NoError(t, err)
			require.Empty(t, parts)
		})
	}
	t.Logf("%d faults", tried)
	require.Greater(t, tried, 40)
}

// An upgrade that fails anywhere is taken up by the next Open.
func TestEveryCallOfAnUpgradeFails(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(dumps, "v1.sql"))
	require.NoError(t, err)
	old := filepath.Join(t.TempDir(), "old")
	require.NoError(t, os.Mkdir(old, 0o700))
	db, err := sql.Open("sqlite", "file:"+filepath.Join(old, store.FileName))
	require.NoError(t, err)
	_, err = db.Exec(string(text))
	require.NoError(t, err)
	require.NoError(t, db.Close())
	dir := filepath.Join(t.TempDir(), "data")
	fresh := func() (*store.Store, error) {
		copyData(t, old, dir)
		return store.Open(t.Context(), store.Options{Dir: dir, Hooks: store.Hooks{Driver: faultName}})
	}
	faults.arm(0, false)
	s, err := fresh()
	require.NoError(t, err)
	calls, _ := faults.disarm()
	require.NoError(t, s.Close())
	tried := 0
	step := every(900, 120)
	for n := 1; n <= calls; n += step {
		for _, after := range []bool{false, true} {
			tried++
			faults.arm(n, after)
			s, err := fresh()
			_, hit := faults.disarm()
			what := fmt.Sprintf("call %d of %d, %s, after: %t", n, calls, hit, after)
			if err == nil {
				require.NoError(t, s.Close(), what)
			}
			s, err = store.Open(t.Context(), store.Options{Dir: dir})
			require.NoError(t, err, what)
			r, err := s.Verify(t.Context())
			require.NoError(t, err, what)
			require.Empty(t, append(r.Integrity, r.Bad...), what)
			require.Equal(t, []string{strconv.Itoa(schemaVersion)}, query[string](t, dir, `SELECT MAX(version_id) FROM goose_db_version`))
			require.NoError(t, s.Close())
		}
	}
	t.Logf("%d faults", tried)
	require.Positive(t, tried)
}

// When the disk is full a flow is not done at all and says so; with space
// again, it is done.
func TestDiskFull(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	s := withClub(t, inDir(dir))
	agreed(t, s, "10")
	ten := id(t, s, "10")
	require.NoError(t, s.Close())
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName))
	require.NoError(t, err)
	_, err = db.Exec(`VACUUM`) // no page is free
	require.NoError(t, err)
	require.NoError(t, db.Close())
	base := filepath.Join(t.TempDir(), "base")
	full := 0
	for _, f := range flows(dir, ten) {
		copyData(t, dir, base)
		s := faulty(t, dir)
		was := digests(t, dir)()
		pages := query[int](t, dir, `SELECT page_count FROM pragma_page_count`)[0]
		require.NoError(t, f.run(t, s), f.name)
		done := digests(t, dir)()
		grown := query[int](t, dir, `SELECT page_count FROM pragma_page_count`)[0] - pages
		require.NoError(t, s.Close())
		for room := 0; room < grown; room += every(9, 1) {
			copyData(t, base, dir)
			faults.setUp = fmt.Sprintf("PRAGMA max_page_count = %d", pages+room)
			s = faulty(t, dir)
			err := f.run(t, s)
			require.ErrorContains(t, err, "full", "%s with room for %d pages", f.name, room)
			require.Equal(t, was, digests(t, dir)(), f.name)
			require.NoError(t, s.Close())
			full++
			faults.setUp = ""
			s = faulty(t, dir)
			require.NoError(t, f.run(t, s), f.name)
			require.Equal(t, done, digests(t, dir)(), f.name)
			r, err := s.Verify(t.Context())
			require.NoError(t, err)
			require.True(t, r.OK(), r)
			require.NoError(t, s.Close())
		}
	}
	require.Positive(t, full)
	t.Logf("%d times full", full)
}
