package store_test

import (
	"bytes"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
	"pegcard/store"
)

// Wherever the log ends, because the power went or the disk did not write it
// all, what is left is what some commit left: the first n of them, and never
// fewer the longer the log is.
func TestLogCutAnywhere(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	s := withClub(t, inDir(dir))
	agreed(t, s, "9")
	nine := id(t, s, "9")
	require.NoError(t, s.Close())
	faults.setUp = `PRAGMA wal_autocheckpoint = 0`
	s = faulty(t, dir) // with an empty log
	faults.setUp = ""
	t.Cleanup(func() { s.Close() })
	main := filepath.Join(dir, store.FileName)
	before, err := os.ReadFile(main)
	require.NoError(t, err)

	digest := digests(t, dir)
	after := map[string]int{digest(): 0}
	const commits = 64
	for n := range commits {
		at := morning + prescribe.Instant(n)*minute
		_, err := s.Once(t.Context(), fmt.Sprint("m", n), at, func(tx *store.Tx) error {
			_, err := tx.Record(nine, fmt.Sprint("m", n), at, sore(at, prescribe.Calf, prescribe.Score(n%4)), squat(at, 100, 5, 2))
			return err
		})
		require.NoError(t, err)
		after[digest()] = n + 1
	}
	require.Len(t, after, commits+1)
	log, err := os.ReadFile(main + "-wal")
	require.NoError(t, err)
	now, err := os.ReadFile(main)
	require.NoError(t, err)
	require.True(t, bytes.Equal(before, now), "the log went into the database before the end")

	cut := filepath.Join(t.TempDir(), "cut")
	require.NoError(t, os.Mkdir(cut, 0o700))
	lay := func(log []byte) {
		require.NoError(t, os.RemoveAll(filepath.Join(cut, store.FileName+"-shm")))
		require.NoError(t, os.WriteFile(filepath.Join(cut, store.FileName), before, 0o600))
		require.NoError(t, os.WriteFile(filepath.Join(cut, store.FileName+"-wal"), log, 0o600))
	}
	left := func() int {
		db, err := sql.Open("sqlite", "file:"+filepath.Join(cut, store.FileName))
		require.NoError(t, err)
		defer db.Close()
		var sums string
		require.NoError(t, db.QueryRow(`SELECT group_concat(name || sum, ' ') FROM (SELECT name, sum FROM row_sum WHERE name <> 'club_version' ORDER BY name)`).Scan(&sums))
		n, ok := after[sums]
		require.True(t, ok, "what is left is not what any commit left")
		return n
	}
	last, tried := 0, 0
	for size := 0; size <= len(log); size += 512 * every(389, 29) {
		lay(log[:size])
		n := left()
		require.GreaterOrEqual(t, n, last, "a longer log holds less")
		last = n
		if tried++; tried%40 == 0 {
			s, err := store.Open(t.Context(), store.Options{Dir: cut})
			require.NoError(t, err)
			r, err := s.Verify(t.Context())
			require.NoError(t, err)
			require.True(t, r.OK(), r)
			require.NoError(t, s.Close())
		}
	}
	lay(log)
	require.Equal(t, commits, left())
	// A page of it that was written wrongly ends the log there.
	rng := rand.New(rand.NewPCG(1, 64))
	for range 4000 / every(500, 40) {
		bad := bytes.Clone(log)
		bad[rng.IntN(len(bad))] ^= 1 << rng.IntN(8)
		lay(bad)
		left()
	}
	t.Logf("a log of %d bytes cut at %d places", len(log), tried)
}

// reads is all that the store tells anybody of a database, as text; an error
// where it cannot be read.
func reads(t *testing.T, dir string) (text string, err error) {
	s, err := store.Open(t.Context(), store.Options{Dir: dir})
	if err != nil {
		return "", err
	}
	defer s.Close()
	defer func() {
		if p := recover(); p != nil {
			text, err = "", fmt.Errorf("panic: %v", p)
		}
	}()
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	put := func(v any) { do(enc.Encode(v)) }
	err = s.Write(t.Context(), func(tx *store.Tx) error {
		put(must(tx.Club()))
		put(must(tx.Gyms(today)))
		put(must(tx.DueInputs(morning)))
		put(must(tx.DueAlerts(morning + 100*day)))
		put(must(tx.OpenCards(today + 100)))
		put(must(tx.Replans()))
		put(must(tx.PendingNotices()))
		rules, hash, err := tx.Rules()
		do(err)
		put(rules)
		put(hash)
		programme, hash, err := tx.Programme()
		do(err)
		put(programme)
		put(hash)
		put(must(tx.ClockOffset()))
		seen := map[int64]bool{}
		for _, sq := range must(tx.Squads()) {
			put(sq)
			put(must(tx.Fixtures(sq.ID, today-100, today+100)))
			put(must(tx.CardsOn(sq.ID, today)))
			people := must(tx.Members(sq.ID, today))
			for _, r := range []store.Role{store.RoleCoach, store.RoleMedical, store.RoleHeadCoach, store.RoleSafeguarding, store.RoleAdmin} {
				staff := must(tx.Staff(sq.ID, r, today))
				put(staff)
				people = append(people, staff...)
			}
			for _, p := range people {
				if seen[p.ID] {
					continue
				}
				seen[p.ID] = true
				put(p)
				put(must(tx.Person(p.ID)))
				put(must(tx.Roles(p.ID, today)))
				put(must(tx.State(p.ID)))
				put(must(tx.Events(p.ID, today-100, today+100)))
				put(must(tx.AlertsOf(p.ID)))
				put(must(tx.MayBeAsked(p.ID, morning)))
				put(must(tx.Calendar(p.ID, today, today+7)))
				put(must(tx.OutWaiting(p.ID, "card")))
				for _, c := range must(tx.Cards(p.ID, today-100, today+100)) {
					for rev := 1; rev <= c.Rev; rev++ {
						put(must(tx.CardRevision(c.ID, rev)))
						put(must(tx.InputsOf(c.ID, rev)))
					}
					put(must(tx.MessagesOf("card", c.ID)))
				}
				do(tx.Export(p.ID, &out))
			}
		}
		return errSeenAll // nothing of it is kept
	})
	if errors.Is(err, errSeenAll) {
		err = nil
	}
	return out.String(), err
}

var errSeenAll = errors.New("seen all")

// A bit that turns over anywhere in the file, and changes or breaks anything
// that anybody is told, is found by verify.
func TestFlippedBitsAreFound(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	s, p := lived(t, dir)
	agreed(t, s, "9")
	doc := id(t, s, "doc")
	write(t, s, func(tx *store.Tx) {
		must(tx.Record(p, "late", morning+20*day, pain(morning+20*day, prescribe.Hamstring, 6)))
		_, _, err := tx.RaiseAlert(p, notice(prescribe.NoticePain, prescribe.ForMedical, prescribe.Hamstring), morning+20*day)
		do(err)
		must(tx.Invite(doc, 0, morning, morning+day))
		do(tx.PutReplan(store.PersonDay{Person: p, Day: today + 1}))
		do(tx.PutNotices(p, morning, notice(prescribe.NoticePain, prescribe.ForMedical, prescribe.Knee)))
	})
	require.NoError(t, s.Close())
	file := filepath.Join(dir, store.FileName)
	db, err := sql.Open("sqlite", "file:"+file)
	require.NoError(t, err)
	_, err = db.Exec(`VACUUM; PRAGMA wal_checkpoint(TRUNCATE)`)
	require.NoError(t, err)
	require.NoError(t, db.Close())
	sound, err := os.ReadFile(file)
	require.NoError(t, err)
	want, err := reads(t, dir)
	require.NoError(t, err)
	require.Greater(t, len(want), 10_000)

	rng := rand.New(rand.NewPCG(5000, 8))
	flips := 5000 / every(700, 80)
	harmful, found := 0, 0
	for n := range flips {
		at, bit := rng.IntN(len(sound)), rng.IntN(8)
		what := fmt.Sprintf("flip %d: byte %d, bit %d", n, at, bit)
		bad := bytes.Clone(sound)
		bad[at] ^= 1 << bit
		lay := func() {
			for _, suffix := range []string{"-wal", "-shm"} {
				require.NoError(t, os.RemoveAll(file+suffix))
			}
			require.NoError(t, os.WriteFile(file, bad, 0o600))
		}
		lay()
		detected := verifies(t, dir) != nil
		lay()
		got, err := reads(t, dir)
		if err != nil || got != want {
			harmful++
			require.True(t, detected, "%s: not found (%v)", what, err)
		}
		if detected {
			found++
		}
	}
	require.Positive(t, found)
	t.Logf("%d flips in %d bytes: %d change or break what is read, %d are found", flips, len(sound), harmful, found)
}

// verifies is what the verify command would say of the directory; nil: sound.
func verifies(t *testing.T, dir string) (err error) {
	defer func() {
		if p := recover(); p != nil {
			t.Fatalf("verify panics: %v", p)
		}
	}()
	s, err := store.Open(t.Context(), store.Options{Dir: dir})
	if err != nil {
		return err
	}
	defer s.Close()
	r, err := s.Verify(t.Context())
	if err == nil && !r.OK() {
		err = fmt.Errorf("%v %v %v", r.Integrity, r.Bad, r.Differs)
	}
	return err
}
