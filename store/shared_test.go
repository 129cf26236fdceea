package store_test

import (
	"database/sql"
	"errors"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/store"
)

// What players have in common is kept between transactions; none may ever see
// what another one has not committed, or miss what it has.
func TestCommonDataBelongToTheirSnapshot(t *testing.T) {
	dir := t.TempDir()
	s := open(t, inDir(dir))
	_, err := s.Import(t.Context(), files(), morning, false)
	require.NoError(t, err)
	fixtures := func(tx *store.Tx) (n int) {
		fs, err := tx.Fixtures(1, today-40, today+40)
		require.NoError(t, err)
		return len(fs)
	}
	add := func(tx *store.Tx) {
		_, _, err := tx.AddFixture(store.Fixture{Squad: 1, Summary: "v Tidewater", Day: today + 9, Kickoff: morning + 9*day, End: morning + 9*day + 2*hour, Known: true}, 0, morning)
		require.NoError(t, err)
	}
	count := func() (n int) {
		require.NoError(t, s.Read(t.Context(), func(tx *store.Tx) error { n = fixtures(tx); return nil }))
		return n
	}
	before := count()
	require.NotZero(t, before)
	stop := errors.New("rolled back")
	require.NoError(t, s.Read(t.Context(), func(old *store.Tx) error {
		require.ErrorIs(t, s.Write(t.Context(), func(tx *store.Tx) error {
			require.Equal(t, before, fixtures(tx))
			add(tx)
			require.Equal(t, before+1, fixtures(tx), "a transaction sees what it wrote")
			return stop
		}), stop)
		require.Equal(t, before, count(), "what was rolled back was never there")
		require.NoError(t, s.Write(t.Context(), func(tx *store.Tx) error {
			require.Equal(t, before, fixtures(tx))
			add(tx)
			add2, _, err := tx.AddFixture(store.Fixture{Squad: 1, UID: "second", Summary: "v Seabank", Day: today + 12, Kickoff: morning + 12*day, End: morning + 12*day + 2*hour, Known: true}, 0, morning)
			require.NoError(t, err)
			require.NotZero(t, add2)
			require.Equal(t, before+2, fixtures(tx))
			return nil
		}))
		require.Equal(t, before+2, count())
		require.Equal(t, before, fixtures(old), "a snapshot stays as it was")
		return nil
	}))
	require.Equal(t, before+2, count(), "and spoils nothing for later ones")

	// Another process on the same files.
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName))
	require.NoError(t, err)
	defer db.Close()
	_, err = db.Exec(`UPDATE fixture SET cancelled = 1 WHERE uid = 'second'`)
	require.NoError(t, err)
	require.Equal(t, before+1, count())
}

func TestSharedSquadsAreClones(t *testing.T) {
	s := open(t, inDir(t.TempDir()))
	_, err := s.Import(t.Context(), files(), morning, false)
	require.NoError(t, err)
	read := func() (sq store.Squad) {
		require.NoError(t, s.Read(t.Context(), func(tx *store.Tx) (err error) {
			sq, err = tx.SquadBySlug("first")
			return err
		}))
		return sq
	}
	sq := read()
	want := sq.Phases[0]
	sq.Phases[0].Phase, sq.OffDays[0] = "mine", 3
	require.Equal(t, want, read().Phases[0])
	require.ErrorIs(t, s.Read(t.Context(), func(tx *store.Tx) error { _, err := tx.Squad(99); return err }), store.ErrNotFound)
}
