package store_test

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
	"pegcard/store"
)

// Wednesday, 4 March 2026, 07:00 UTC: the morning on which most tests happen.
var (
	today   = prescribe.Date(2026, time.March, 4)
	morning = prescribe.InstantOf(time.Date(2026, time.March, 4, 7, 0, 0, 0, time.UTC))
)

const (
	minute = prescribe.Instant(60_000)
	hour   = 60 * minute
	day    = 24 * hour
)

func open(t *testing.T, opts ...func(*store.Options)) *store.Store {
	t.Helper()
	o := store.Options{Dir: filepath.Join(t.TempDir(), "data")}
	for _, f := range opts {
		f(&o)
	}
	s, err := store.Open(t.Context(), o)
	require.NoError(t, err)
	t.Cleanup(func() { s.Close() })
	return s
}

func write(t *testing.T, s *store.Store, fn func(*store.Tx)) {
	t.Helper()
	require.NoError(t, s.Write(t.Context(), func(tx *store.Tx) error { fn(tx); return nil }))
}

func read(t *testing.T, s *store.Store, fn func(*store.Tx)) {
	t.Helper()
	require.NoError(t, s.Read(t.Context(), func(tx *store.Tx) error { fn(tx); return nil }))
}

// must is for calls inside write and read.
func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

func do(err error) {
	if err != nil {
		panic(err)
	}
}

// club is an invented club with two squads, four staff and three players.
func club() store.Import {
	gym := prescribe.Setting{Place: "gym", Supervised: true, Equipment: prescribe.Equipment{
		Bars:      []prescribe.Bar{{Kind: "straight", Mass: 20}, {Kind: "trap", Mass: 25}},
		Plates:    []prescribe.Plate{{Mass: 25, Pairs: 4}, {Mass: 10, Pairs: 2}, {Mass: 5, Pairs: 2}, {Mass: 2.5, Pairs: 2}, {Mass: 1.25, Pairs: 1}},
		Dumbbells: []prescribe.Kg{10, 12.5, 15, 20},
		Flywheels: []prescribe.Wheel{{Device: "box", Inertias: []prescribe.Inertia{0.05, 0.1}}},
		Has:       []prescribe.GearItem{prescribe.GearRack, prescribe.GearBench, prescribe.GearAnchor},
	}}
	squad := store.SquadDef{
		Name: "First team", Slug: "first", Gym: "main", CardsAt: 7 * 60, EveningAt: 18 * 60, DigestAt: 20 * 60,
		StrengthAt: 10*60 + 30, CutOff: 14 * 60, QuietFrom: 22 * 60, QuietTo: 7 * 60, Review: "look", Unapproved: "go",
		OffDays: []time.Weekday{time.Sunday}, PitchDays: []time.Weekday{time.Tuesday, time.Thursday},
		Phases: []store.PhaseDef{
			{Phase: prescribe.PreSeason, From: prescribe.Date(2025, 7, 1), To: prescribe.Date(2025, 8, 8)},
			{Phase: prescribe.InSeason, From: prescribe.Date(2025, 8, 9), To: prescribe.Date(2026, 5, 24)},
		},
	}
	youth := squad
	youth.Name, youth.Slug, youth.Youth, youth.MD1Option = "Academy", "academy", true, true
	youth.Zone = "Atlantic/Azores"
	return store.Import{
		Club: &store.ClubDef{
			Name: "Brackwater Rovers", Zone: "Europe/Dublin", Language: "en", Emergency: "112",
			Gyms: []store.GymDef{
				{Slug: "main", Name: "Main gym", Setting: gym},
				{Slug: "hotel", Name: "Hotel", Setting: prescribe.Setting{Place: "hotel", Equipment: prescribe.Equipment{Dumbbells: []prescribe.Kg{10}}}},
			},
			Squads: []store.SquadDef{squad, youth},
			Staff: []store.StaffDef{
				{Key: "sc", Name: "Orla Strand", Role: store.RoleCoach},
				{Key: "doc", Name: "Ines Quay", Role: store.RoleMedical, Order: 1},
				{Key: "phys", Name: "Bram Oarsman", Role: store.RoleMedical, Order: 2, Squads: []string{"first"}},
				{Key: "head", Name: "Piet Harbourer", Role: store.RoleHeadCoach},
				{Key: "safe", Name: "Una Keel", Role: store.RoleSafeguarding},
				{Key: "adm", Name: "Rosa Ledger", Role: store.RoleAdmin},
			},
		},
		Players: []store.PlayerRow{
			{Key: "9", Name: "Tomas Windlass", Squad: "first", Born: prescribe.Date(2000, 5, 6), BodyMass: 78, From: prescribe.Date(2025, 7, 1)},
			{Key: "10", Name: "Ivo Bollard", Squad: "first", Born: prescribe.Date(1998, 1, 2), BodyMass: 82.5, From: prescribe.Date(2025, 7, 1), Zone: "Europe/Madrid"},
			{Key: "41", Name: "Sami Capstan", Squad: "academy", Born: prescribe.Date(2009, 9, 9), BodyMass: 66, From: prescribe.Date(2025, 7, 1), Language: "pt"},
		},
		Programme: &store.ProgrammeDef{Programme: programme(), Source: "name = \"Season\""},
	}
}

func programme() prescribe.Programme {
	return prescribe.Programme{
		Name: "Season",
		Doses: []prescribe.PhaseDose{
			{Phase: prescribe.InSeason, Sessions: 2, Crowded: 1, WorkingSets: 4, Exercises: 2, NordicWeekly: 1},
		},
		Sessions: []prescribe.SessionTemplate{{
			ID: "main-a", Phase: prescribe.InSeason,
			Slots: []prescribe.Slot{
				{ID: "squat", Pattern: prescribe.Squat, Method: prescribe.Traditional, Scheme: prescribe.SchemePercent,
					Candidates: []prescribe.ExerciseID{"back_squat"}, Sets: 4, MinSets: 2, Reps: 5, Intensity: 85, RIR: 1},
				{ID: "nordic", Pattern: prescribe.KneeFlexion, Method: prescribe.Eccentric, Scheme: prescribe.SchemeNordic,
					Candidates: []prescribe.ExerciseID{"nordic_hamstring"}, Sets: 2, MinSets: 1, Reps: 5},
			},
		}},
	}
}

func withClub(t *testing.T, opts ...func(*store.Options)) *store.Store {
	t.Helper()
	s := open(t, opts...)
	r, err := s.Import(t.Context(), club(), morning, false)
	require.NoError(t, err)
	require.Empty(t, r.Problems)
	return s
}

// agreed has the players of these keys, or everybody, agree to the notice.
func agreed(t *testing.T, s *store.Store, keys ...string) {
	t.Helper()
	write(t, s, func(tx *store.Tx) {
		if len(keys) == 0 {
			for _, sq := range must(tx.Squads()) {
				for _, p := range must(tx.Members(sq.ID, today)) {
					keys = append(keys, p.Key)
				}
			}
		}
		for _, k := range keys {
			p := must(tx.PersonByKey(k)).ID
			if must(tx.GuardianMissing(p, morning)) {
				do(tx.GuardianConsent(p, 0, morning))
			}
			do(tx.Consent(p, "1", "en", morning))
		}
	})
}

// id of the person with that key.
func id(t *testing.T, s *store.Store, key string) (n int64) {
	t.Helper()
	read(t, s, func(tx *store.Tx) { n = must(tx.PersonByKey(key)).ID })
	return n
}

func TestOpenMakesPrivateFiles(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "with space?and#more", "data")
	s, err := store.Open(t.Context(), store.Options{Dir: dir})
	require.NoError(t, err)
	defer s.Close()
	info, err := os.Stat(dir)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o700), info.Mode().Perm())
	files, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, f := range files {
		info, err := f.Info()
		require.NoError(t, err)
		require.Equal(t, os.FileMode(0o600), info.Mode().Perm(), f.Name())
	}
}

func TestOpenTwiceIsRefused(t *testing.T) {
	dir := t.TempDir()
	first, err := store.Open(t.Context(), store.Options{Dir: dir})
	require.NoError(t, err)
	_, err = store.Open(t.Context(), store.Options{Dir: dir})
	require.ErrorIs(t, err, store.ErrLocked)
	require.ErrorContains(t, err, dir)
	require.NoError(t, first.Close())
	again, err := store.Open(t.Context(), store.Options{Dir: dir})
	require.NoError(t, err)
	require.NoError(t, again.Close())
}

// A short command works beside the process that holds the directory.
func TestOpenShared(t *testing.T) {
	dir := t.TempDir()
	holder := withClub(t, inDir(dir))
	beside, err := store.Open(t.Context(), store.Options{Dir: dir, Shared: true})
	require.NoError(t, err)
	defer beside.Close()
	var group sync.WaitGroup
	for i, s := range []*store.Store{holder, beside} {
		group.Go(func() {
			for n := range 20 {
				_, err := s.Once(context.Background(), fmt.Sprint("both", n), morning, func(tx *store.Tx) error {
					_, _, err := tx.Enqueue(store.Out{Kind: "k", Chat: int64(i + 1)})
					return err
				})
				if err != nil {
					t.Error(err)
				}
			}
		})
	}
	group.Wait()
	read(t, holder, func(tx *store.Tx) {
		require.Equal(t, 20, must(tx.OutPending(morning)), "a key counts once, whoever comes first")
	})
	_, err = store.Open(t.Context(), store.Options{Dir: dir})
	require.ErrorIs(t, err, store.ErrLocked)

	// With nobody there it holds the directory itself.
	require.NoError(t, beside.Close())
	require.NoError(t, holder.Close())
	alone, err := store.Open(t.Context(), store.Options{Dir: dir, Shared: true})
	require.NoError(t, err)
	defer alone.Close()
	_, err = store.Open(t.Context(), store.Options{Dir: dir})
	require.ErrorIs(t, err, store.ErrLocked)
}

// Another program that holds the file for a moment is waited for.
func TestBusyIsWaitedFor(t *testing.T) {
	dir := t.TempDir()
	s := withClub(t, inDir(dir))
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName))
	require.NoError(t, err)
	defer db.Close()
	db.SetMaxOpenConns(1)
	_, err = db.Exec(`BEGIN IMMEDIATE`)
	require.NoError(t, err)
	var group sync.WaitGroup
	group.Go(func() {
		time.Sleep(300 * time.Millisecond)
		if _, err := db.Exec(`COMMIT`); err != nil {
			t.Error(err)
		}
	})
	done, err := s.Once(t.Context(), "k", morning, func(*store.Tx) error { return nil })
	group.Wait()
	require.NoError(t, err)
	require.True(t, done)
}

func TestOnce(t *testing.T) {
	s := withClub(t)
	n := 0
	fn := func(tx *store.Tx) error {
		n++
		_, _, err := tx.Enqueue(store.Out{Kind: "hello", Chat: 7})
		return err
	}
	for i, want := range []bool{true, false, false} {
		done, err := s.Once(t.Context(), "k", morning, fn)
		require.NoError(t, err)
		require.Equal(t, want, done, i)
	}
	require.Equal(t, 1, n)
	read(t, s, func(tx *store.Tx) { require.Equal(t, 1, must(tx.OutPending(morning))) })

	// An error takes the key back.
	_, err := s.Once(t.Context(), "e", morning, func(*store.Tx) error { return store.ErrNotAllowed })
	require.ErrorIs(t, err, store.ErrNotAllowed)
	done, err := s.Once(t.Context(), "e", morning, fn)
	require.NoError(t, err)
	require.True(t, done)

	_, err = s.Once(t.Context(), "", morning, fn)
	require.Error(t, err)
}

// A process that dies before the commit leaves nothing; one that dies after it
// has done all.
func TestOnceCutShort(t *testing.T) {
	for _, point := range []string{"tx.begin", "tx.before_commit", "tx.after_commit"} {
		t.Run(point, func(t *testing.T) {
			armed := false
			s := withClub(t, func(o *store.Options) {
				o.Hooks.Point = func(p string) {
					if armed && p == point {
						panic("cut")
					}
				}
			})
			agreed(t, s)
			nine := id(t, s, "9")
			fn := func(tx *store.Tx) error {
				if _, _, err := tx.Enqueue(store.Out{Kind: "thanks", Recipient: nine, Chat: 7}); err != nil {
					return err
				}
				_, err := tx.Record(nine, "m:7:1", morning, prescribe.Event{At: morning, Soreness: &prescribe.Soreness{Region: prescribe.Calf, Score: 3}})
				return err
			}
			armed = true
			require.PanicsWithValue(t, "cut", func() { s.Once(t.Context(), "k", morning, fn) })
			armed = false

			want := 0
			if point == "tx.after_commit" {
				want = 1
			}
			read(t, s, func(tx *store.Tx) {
				require.Equal(t, want, must(tx.OutPending(morning)))
				require.Len(t, must(tx.Recorded(nine, "m:7:1")), want)
			})
			done, err := s.Once(t.Context(), "k", morning, fn)
			require.NoError(t, err)
			require.Equal(t, want == 0, done)
			read(t, s, func(tx *store.Tx) {
				require.Equal(t, 1, must(tx.OutPending(morning)))
				require.Len(t, must(tx.Recorded(nine, "m:7:1")), 1)
			})
		})
	}
}

func TestReadCannotWrite(t *testing.T) {
	s := withClub(t)
	err := s.Read(t.Context(), func(tx *store.Tx) error {
		_, _, err := tx.Enqueue(store.Out{Kind: "hello", Chat: 7})
		return err
	})
	require.ErrorContains(t, err, "readonly")
}

func TestReadIsOneSnapshot(t *testing.T) {
	s := withClub(t)
	read(t, s, func(before *store.Tx) {
		require.Equal(t, 0, must(before.OutPending(morning)))
		write(t, s, func(tx *store.Tx) { _, _, err := tx.Enqueue(store.Out{Kind: "hello", Chat: 7}); do(err) })
		require.Equal(t, 0, must(before.OutPending(morning)))
		read(t, s, func(after *store.Tx) { require.Equal(t, 1, must(after.OutPending(morning))) })
	})
}

func TestCancelledContext(t *testing.T) {
	s := withClub(t)
	ctx, cancel := context.WithCancel(t.Context())
	_, err := s.Once(ctx, "k", morning, func(tx *store.Tx) error { cancel(); _, err := tx.Club(); return err })
	require.ErrorIs(t, err, context.Canceled)
	done, err := s.Once(t.Context(), "k", morning, func(*store.Tx) error { return nil })
	require.NoError(t, err)
	require.True(t, done, "a transaction that was cancelled kept its key")
}

func TestClockOnlyGoesForward(t *testing.T) {
	s := open(t)
	write(t, s, func(tx *store.Tx) {
		require.Zero(t, must(tx.ClockOffset()))
		do(tx.SetClockOffset(-48 * time.Hour)) // a demonstration may begin on a day that is past
		require.Equal(t, -48*time.Hour, must(tx.ClockOffset()))
		require.ErrorIs(t, tx.SetClockOffset(-49*time.Hour), store.ErrNotAllowed)
		do(tx.SetClockOffset(time.Hour))
		require.Equal(t, time.Hour, must(tx.ClockOffset()))
		require.ErrorIs(t, tx.SetClockOffset(time.Minute), store.ErrNotAllowed)
		require.Equal(t, time.Hour, must(tx.ClockOffset()))
	})
}

func TestHousekeeping(t *testing.T) {
	s := withClub(t)
	_, err := s.Once(t.Context(), "old", morning, func(tx *store.Tx) error { return tx.Quarantine([]byte("{}"), 3, "panic", morning) })
	require.NoError(t, err)
	_, err = s.Once(t.Context(), "due/new", morning+59*day, func(*store.Tx) error { return nil })
	require.NoError(t, err)
	require.NoError(t, s.Housekeep(t.Context(), morning+60*day, store.LeftDays))
	done, err := s.Once(t.Context(), "old", morning+60*day, func(*store.Tx) error { return nil })
	require.NoError(t, err)
	require.True(t, done)
	done, err = s.Once(t.Context(), "due/new", morning+60*day, func(*store.Tx) error { return nil })
	require.NoError(t, err)
	require.False(t, done)
}
