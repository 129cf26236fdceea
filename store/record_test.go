package store_test

import (
	"cmp"
	"database/sql"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pegcard/prescribe"
	"pegcard/store"
)

// fill sets every field below v to something that is not zero, so that a field
// with no column shows as a difference.
func fill(v reflect.Value, n *int) {
	*n++
	switch v.Kind() {
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fill(v.Elem(), n)
	case reflect.Struct:
		for i := range v.NumField() {
			fill(v.Field(i), n)
		}
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		fill(v.Index(0), n)
		fill(v.Index(1), n)
	case reflect.String:
		v.SetString(fmt.Sprintf("w%d", *n))
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Float64:
		v.SetFloat(float64(*n) + 0.25)
	case reflect.Int, reflect.Int64:
		v.SetInt(int64(*n))
	default:
		panic("no value for " + v.Type().String())
	}
}

// kinds are the pointer fields of Event.
func kinds() (out []int) {
	t := reflect.TypeFor[prescribe.Event]()
	for i := range t.NumField() {
		if t.Field(i).Type.Kind() == reflect.Pointer {
			out = append(out, i)
		}
	}
	return out
}

func TestEveryFieldOfEveryEventIsKept(t *testing.T) {
	s := withClub(t)
	agreed(t, s)
	nine := id(t, s, "9")
	require.NotEmpty(t, kinds())
	for _, k := range kinds() {
		for _, filled := range []bool{true, false} {
			e := prescribe.Event{At: morning, Day: today}
			f := reflect.ValueOf(&e).Elem().Field(k)
			f.Set(reflect.New(f.Type().Elem()))
			if filled {
				n := 0
				fill(f.Elem(), &n)
			}
			name := reflect.TypeFor[prescribe.Event]().Field(k).Name
			write(t, s, func(tx *store.Tx) {
				source := fmt.Sprintf("m:%s:%v", name, filled)
				f, err := tx.Record(nine, source, morning, e)
				do(err)
				require.True(t, f.Changed)
				e.Key = source + "#000"
				require.Equal(t, []prescribe.Event{e}, must(tx.Recorded(nine, source)), name)
			})
		}
	}
}

func sore(at prescribe.Instant, r prescribe.Region, n prescribe.Score) prescribe.Event {
	return prescribe.Event{At: at, Soreness: &prescribe.Soreness{Region: r, Score: n}}
}

func pain(at prescribe.Instant, r prescribe.Region, n prescribe.Score) prescribe.Event {
	return prescribe.Event{At: at, Pain: &prescribe.Pain{Region: r, Score: n}}
}

func squat(at prescribe.Instant, load prescribe.Kg, reps, left int) prescribe.Event {
	return prescribe.Event{At: at, Set: &prescribe.Set{Exercise: "back_squat", Load: load, Reps: reps, RIR: rir(prescribe.RIR(left)), Ordinal: 1}}
}

func TestAnEditedMessageCountsOnce(t *testing.T) {
	s := withClub(t)
	agreed(t, s)
	nine := id(t, s, "9")
	write(t, s, func(tx *store.Tx) {
		do2 := func(events ...prescribe.Event) store.Folded {
			return must(tx.Record(nine, "m:7:1", morning, events...))
		}
		f := do2(sore(morning, prescribe.Hamstring, 6), sore(morning, prescribe.Calf, 2))
		require.True(t, f.Changed)
		require.NotEqual(t, f.Before, f.After)

		again := do2(sore(morning, prescribe.Hamstring, 6), sore(morning, prescribe.Calf, 2))
		require.False(t, again.Changed)
		require.Empty(t, again.Notices)
		require.Equal(t, f.After, again.After)

		edited := do2(sore(morning, prescribe.Hamstring, 3))
		require.True(t, edited.Changed)
		es := must(tx.Recorded(nine, "m:7:1"))
		require.Len(t, es, 1)
		require.Equal(t, prescribe.Score(3), es[0].Soreness.Score)
		require.Len(t, edited.After.Sore, 1)
		require.Equal(t, prescribe.Score(3), edited.After.Sore["hamstring"].Score)

		undone := must(tx.Undo(nine, "m:7:1", morning))
		require.True(t, undone.Changed)
		require.Equal(t, f.Before, undone.After)
		require.Empty(t, must(tx.Recorded(nine, "m:7:1")))

		require.False(t, must(tx.Undo(nine, "m:7:1", morning)).Changed)
		require.Equal(t, f.After, do2(sore(morning, prescribe.Hamstring, 6), sore(morning, prescribe.Calf, 2)).After)
	})
}

func TestRecordFillsDayInThePlayersZone(t *testing.T) {
	s := withClub(t)
	agreed(t, s)
	ten, young := id(t, s, "10"), id(t, s, "41") // Madrid, Azores
	late := morning + 16*hour + 30*minute        // 23:30 UTC
	write(t, s, func(tx *store.Tx) {
		must(tx.Record(ten, "a", late, sore(late, prescribe.Calf, 1)))
		must(tx.Record(young, "a", late, sore(late, prescribe.Calf, 1)))
		require.Equal(t, today+1, must(tx.Recorded(ten, "a"))[0].Day)
		require.Equal(t, today, must(tx.Recorded(young, "a"))[0].Day)
	})
}

func TestRecordRefuses(t *testing.T) {
	s := withClub(t)
	agreed(t, s)
	nine := id(t, s, "9")
	write(t, s, func(tx *store.Tx) {
		for name, err := range map[string]error{
			"no instant":  second(tx.Record(nine, "a", morning, sore(0, prescribe.Calf, 1))),
			"no kind":     second(tx.Record(nine, "a", morning, prescribe.Event{At: morning})),
			"two kinds":   second(tx.Record(nine, "a", morning, prescribe.Event{At: morning, Pain: &prescribe.Pain{}, Soreness: &prescribe.Soreness{}})),
			"no source":   second(tx.Record(nine, "", morning, sore(morning, prescribe.Calf, 1))),
			"no person":   second(tx.Record(12345, "a", morning, sore(morning, prescribe.Calf, 1))),
			"other unit":  second(tx.RecordIn(nine, "a", morning, "stone", squat(morning, 100, 5, 1))),
			"key in name": second(tx.Record(nine, "a#000", morning, sore(morning, prescribe.Calf, 1))),
		} {
			require.Error(t, err, name)
		}
	})
}

func second[T any](_ T, err error) error { return err }

func TestPainTellsMedicalStaff(t *testing.T) {
	s := withClub(t)
	agreed(t, s)
	nine := id(t, s, "9")
	write(t, s, func(tx *store.Tx) {
		f := must(tx.Record(nine, "m:7:1", morning, pain(morning, prescribe.Knee, 7)))
		require.NotEmpty(t, f.Notices)
		require.Equal(t, prescribe.NoticePain, f.Notices[0].Kind)
		require.NotEmpty(t, must(tx.State(nine)).Held(today))
	})
}

// What comes late is told of; what was told before is not told again when it is
// folded again after it.
func TestNoticesAreOfTheNewEventsOnly(t *testing.T) {
	s := withClub(t)
	agreed(t, s)
	nine := id(t, s, "9")
	write(t, s, func(tx *store.Tx) {
		require.NotEmpty(t, must(tx.Record(nine, "m:1", morning, pain(morning, prescribe.Knee, 7))).Notices)
		late := must(tx.Record(nine, "m:2", morning+hour, sore(morning-2*hour, prescribe.Calf, 2)))
		require.True(t, late.Changed)
		require.Empty(t, late.Notices)
		require.NotEmpty(t, must(tx.Record(nine, "m:3", morning+hour, pain(morning-hour, prescribe.Achilles, 8))).Notices)
	})
}

// A checkpoint of another engine is not built upon, and the next Open makes it
// again.
func TestNewEngineFoldsAgain(t *testing.T) {
	dir := t.TempDir()
	s := withClub(t, inDir(dir))
	agreed(t, s)
	nine := id(t, s, "9")
	var want prescribe.State
	write(t, s, func(tx *store.Tx) {
		want = must(tx.Record(nine, "m:1", morning, pain(morning, prescribe.Knee, 5), squat(morning, 100, 5, 1))).After
	})
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName))
	require.NoError(t, err)
	_, err = db.Exec(`UPDATE checkpoint SET engine = 'earlier', state = '{"profile":{"body_mass":1}}'`)
	require.NoError(t, err)
	require.NoError(t, db.Close())
	read(t, s, func(tx *store.Tx) { require.Equal(t, text(t, want), text(t, must(tx.State(nine)))) })

	require.NoError(t, s.Close())
	s, err = store.Open(t.Context(), store.Options{Dir: dir})
	require.NoError(t, err)
	defer s.Close()
	require.Equal(t, []string{prescribe.EngineVersion}, query[string](t, dir, `SELECT DISTINCT engine FROM checkpoint`))
	read(t, s, func(tx *store.Tx) { require.Equal(t, text(t, want), text(t, must(tx.State(nine)))) })
}

// randomEvents are events of a few days, some at the same instant.
func randomEvents(t *rapid.T) (out []prescribe.Event) {
	n := rapid.IntRange(1, 10).Draw(t, "events")
	regions := []prescribe.Region{prescribe.Hamstring, prescribe.Knee, prescribe.Calf}
	for i := range n {
		at := morning - prescribe.Instant(rapid.IntRange(0, 90).Draw(t, "days ago"))*day + prescribe.Instant(rapid.IntRange(0, 3).Draw(t, "hours"))*hour
		region := rapid.SampledFrom(regions).Draw(t, "region")
		score := prescribe.Score(rapid.IntRange(0, 10).Draw(t, "score"))
		var e prescribe.Event
		switch rapid.IntRange(0, 6).Draw(t, "kind") {
		case 0:
			e = sore(at, region, score)
		case 1:
			e = pain(at, region, score)
		case 2:
			e = squat(at, prescribe.Kg(80+5*i), rapid.IntRange(1, 6).Draw(t, "reps"), 1)
		case 3:
			e = prescribe.Event{At: at, Session: &prescribe.Session{Template: "main-a", Outcome: rapid.SampledFrom([]prescribe.Outcome{
				prescribe.DoneAsWritten, prescribe.NotDone, prescribe.NoAnswer}).Draw(t, "outcome"), RPE: &score, Minutes: 45, Sets: 8}}
		case 4:
			e = prescribe.Event{At: at, Hold: &prescribe.Hold{ID: fmt.Sprint("h", i), Medical: score > 5, Region: region, MaxLoad: 60}}
		case 5:
			e = prescribe.Event{At: at, Release: &prescribe.Release{Medical: true, Region: region, MaxLoad: 100}}
		case 6:
			e = prescribe.Event{At: at, Match: &prescribe.MatchPlayed{MatchID: fmt.Sprint("m", i), Minutes: 90, End: at}}
		}
		e.Day = prescribe.DayOf(at.Time())
		out = append(out, e)
	}
	return out
}

func text(t require.TestingT, v any) string {
	b, err := json.Marshal(v)
	require.NoError(t, err)
	return string(b)
}

// Whatever the order in which things are told, corrected and taken back, the
// record is that of the events that stand, folded in the order they happened.
func TestAnyOrderOfTellingGivesTheSameState(t *testing.T) {
	s := withClub(t)
	agreed(t, s)
	n := 0
	rapid.Check(t, func(rt *rapid.T) {
		n++
		events := randomEvents(rt)
		order := rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "order"), 1)).Perm(len(events))
		err := s.Write(t.Context(), func(tx *store.Tx) error {
			person := must(tx.PersonByKey("9")).ID
			standing := map[string]prescribe.Event{}
			for _, i := range order {
				source := fmt.Sprintf("run:%d:%d", n, i)
				must(tx.Record(person, source, morning, events[i]))
				standing[source] = events[i]
				switch rapid.IntRange(0, 5).Draw(rt, "then") {
				case 0: // told again, otherwise
					other := events[rapid.IntRange(0, len(events)-1).Draw(rt, "other")]
					must(tx.Record(person, source, morning, other))
					standing[source] = other
				case 1:
					must(tx.Undo(person, source, morning))
					delete(standing, source)
				}
			}
			want := must(tx.Events(person, 1, today-1000)) // the profile
			for source, e := range standing {
				e.Key = source + "#000"
				want = append(want, e)
			}
			slices.SortFunc(want, func(a, b prescribe.Event) int {
				return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(a.Key, b.Key))
			})
			var state prescribe.State
			for _, e := range want {
				state = prescribe.Fold(state, e, prescribe.DefaultRules())
			}
			require.Equal(rt, text(rt, state), text(rt, must(tx.State(person))))
			return errRollBack
		})
		require.ErrorIs(rt, err, errRollBack)
	})
}

var errRollBack = fmt.Errorf("roll back")

func query[T any](t *testing.T, dir, q string, args ...any) (out []T) {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName))
	require.NoError(t, err)
	defer db.Close()
	rows, err := db.Query(q, args...)
	require.NoError(t, err)
	defer rows.Close()
	for rows.Next() {
		var v T
		require.NoError(t, rows.Scan(&v))
		out = append(out, v)
	}
	require.NoError(t, rows.Err())
	return out
}

// Checkpoints: all of the last 3 days, one a day for 60, then one a week.
func TestCheckpointsArePruned(t *testing.T) {
	dir := t.TempDir()
	s := withClub(t, inDir(dir))
	agreed(t, s)
	nine := id(t, s, "9")
	const days = 100
	write(t, s, func(tx *store.Tx) {
		for d := range prescribe.Instant(days) {
			at := morning - (days-1-d)*day
			for i := range prescribe.Instant(2) {
				must(tx.Record(nine, fmt.Sprintf("m:%d:%d", d, i), at, sore(at+i*hour, prescribe.Calf, 2)))
			}
		}
	})
	counts := map[string]int{}
	for _, d := range query[string](t, dir, `SELECT day FROM checkpoint WHERE person = ? ORDER BY day`, nine) {
		counts[d]++
	}
	for d := today; d > today-days; d-- {
		n := counts[d.String()]
		switch age := today - d; {
		case age < 3:
			require.Equal(t, 2, n, d)
		case age < 60:
			require.Equal(t, 1, n, d)
		default:
			require.LessOrEqual(t, n, 1, d)
		}
	}
	older := 0
	for d := today - days; d <= today-60; d++ {
		older += counts[d.String()]
	}
	require.InDelta(t, (days-60)/7, older, 2)

	// A correction far back folds again from the week before and agrees.
	write(t, s, func(tx *store.Tx) {
		must(tx.Record(nine, "m:10:1", morning, squat(morning-(days-11)*day, 100, 5, 1)))
	})
	r, err := s.Verify(t.Context())
	require.NoError(t, err)
	require.True(t, r.OK(), r)
	require.Equal(t, 3, r.States)
}

// New rules judge the whole history, and the old checkpoints are not mixed in.
func TestNewRulesFoldAgain(t *testing.T) {
	s := withClub(t)
	agreed(t, s)
	nine := id(t, s, "9")
	write(t, s, func(tx *store.Tx) {
		must(tx.Record(nine, "m:1", morning, pain(morning, prescribe.Knee, 5)))
		must(tx.Record(nine, "m:2", morning, squat(morning+hour, 100, 5, 1)))
	})
	values := map[string]float64{"pain.stop_above": 4}
	_, err := s.Import(t.Context(), store.Import{Rules: &store.RulesDef{Values: values}}, morning+day, false)
	require.NoError(t, err)
	rules, err := prescribe.DefaultRules().With("pain.stop_above", 4)
	require.NoError(t, err)
	read(t, s, func(tx *store.Tx) {
		var want prescribe.State
		for _, e := range must(tx.Events(nine, 1, today)) {
			want = prescribe.Fold(want, e, rules)
		}
		require.Equal(t, text(t, want), text(t, must(tx.State(nine))))
	})
}

func TestUnitIsKept(t *testing.T) {
	dir := t.TempDir()
	s := withClub(t, inDir(dir))
	agreed(t, s)
	nine := id(t, s, "9")
	write(t, s, func(tx *store.Tx) { must(tx.RecordIn(nine, "m:1", morning, "lb", squat(morning, 102.05828325, 5, 1))) })
	require.Equal(t, []string{"lb"}, query[string](t, dir, `SELECT unit FROM set_record`))
}

func TestTablesThatOnlyGrow(t *testing.T) {
	dir := t.TempDir()
	s := withClub(t, inDir(dir))
	agreed(t, s)
	nine := id(t, s, "9")
	write(t, s, func(tx *store.Tx) {
		for _, k := range kinds() {
			e := prescribe.Event{At: morning, Day: today}
			f := reflect.ValueOf(&e).Elem().Field(k)
			f.Set(reflect.New(f.Type().Elem()))
			must(tx.Record(nine, fmt.Sprint("k", k), morning, e))
		}
		c, _, err := tx.IssueCard(nine, today, morning)
		do(err)
		do(tx.AddEdit(c.ID, 0, prescribe.Edit{At: morning, Kind: prescribe.EditApprove}))
		do(tx.Consent(nine, "1", "en", morning))
		_, _, err = tx.RaiseAlert(nine, prescribe.Notice{Kind: prescribe.NoticePain, To: prescribe.ForMedical}, morning)
		do(err)
		do(tx.Audit(0, nine, "read", "", morning))
	})
	_, err := s.Import(t.Context(), store.Import{Rules: &store.RulesDef{Values: map[string]float64{"pain.stop_above": 4}}}, morning, false)
	require.NoError(t, err)

	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName))
	require.NoError(t, err)
	defer db.Close()
	guarded := []string{"profile", "set_record", "flywheel_test", "session_report", "soreness", "pain", "warning_sign", "hold",
		"release", "match_minutes", "record_answer", "entry", "card_rev", "card_edit", "consent", "alert_transition",
		"audit", "change_log", "programme_version", "programme_use", "rules_version", "rules_use"}
	for _, table := range guarded {
		var col string
		require.NoError(t, db.QueryRow(`SELECT name FROM pragma_table_info(?) LIMIT 1`, table).Scan(&col))
		_, err := db.Exec(`UPDATE ` + table + ` SET ` + col + ` = ` + col)
		require.ErrorContains(t, err, "never changed", table)
		_, err = db.Exec(`DELETE FROM ` + table)
		require.ErrorContains(t, err, "never deleted", table)
	}
	// card_item is empty on a rest day: its triggers are there all the same.
	require.Equal(t, []int{2}, query[int](t, dir, `SELECT COUNT(*) FROM sqlite_schema WHERE type = 'trigger' AND tbl_name = 'card_item' AND name LIKE 'card_item%'`))
}
