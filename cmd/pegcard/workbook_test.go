package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"pegcard/cmd/pegcard/democlub"
	"pegcard/prescribe"
	"pegcard/store"
	"pegcard/store/report"
)

// lived is the demo club's database after its weeks of history, made once for
// all tests that start from it.
var lived = sync.OnceValues(func() ([]byte, error) {
	dir, err := os.MkdirTemp("", "pegcard-lived-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	ctx := context.Background()
	st, err := store.Open(ctx, store.Options{Dir: dir, Logger: slog.New(slog.DiscardHandler)})
	if err != nil {
		return nil, err
	}
	if err = importDemo(ctx, st); err == nil {
		_, err = seedHistory(ctx, st)
	}
	copied := filepath.Join(dir, "copy")
	if err == nil {
		err = st.Backup(ctx, copied)
	}
	if err = errors.Join(err, st.Close()); err != nil {
		return nil, err
	}
	return os.ReadFile(copied)
})

// livedDesk is a command line beside a copy of that club.
func livedDesk(t *testing.T) *desk {
	t.Helper()
	db, err := lived()
	require.NoError(t, err)
	d := &desk{t: t, dir: filepath.Join(t.TempDir(), "data"), now: democlub.Start()}
	require.NoError(t, os.MkdirAll(d.dir, 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(d.dir, store.FileName), db, 0o600))
	return d
}

// recalculated has another spreadsheet program work every formula out and gives
// what it found.
func recalculated(t *testing.T, name string) *excelize.File {
	t.Helper()
	program, err := exec.LookPath("ssconvert")
	if err != nil {
		if os.Getenv("PEGCARD_NEED_GNUMERIC") != "" {
			t.Fatal("ssconvert is not installed; apt-get install gnumeric")
		}
		t.Skip("needs ssconvert: apt-get install gnumeric")
	}
	out := filepath.Join(t.TempDir(), "recalculated.xlsx")
	text, err := exec.CommandContext(t.Context(), program, "--recalc", name, out).CombinedOutput()
	require.NoError(t, err, "%s", text)
	f, err := excelize.OpenFile(out)
	require.NoError(t, err)
	t.Cleanup(func() { f.Close() })
	return f
}

// sheetRows are a sheet's rows by the names in its head row.
func sheetRows(t *testing.T, f *excelize.File, sheet string, head int) []map[string]string {
	t.Helper()
	rows, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	require.Greater(t, len(rows), head)
	var out []map[string]string
	for _, r := range rows[head:] {
		m := map[string]string{}
		for i, name := range rows[head-1] {
			if i < len(r) {
				m[name] = r[i]
			}
		}
		out = append(out, m)
	}
	return out
}

func figure(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

// blockDays of the demo: its last week, its first day and the days to come.
const (
	blockBefore = 7
	blockDays   = 14
)

// issued are the cards of the block with what they were planned from, in the
// order of the workbook.
type issued struct {
	name string
	card prescribe.Card
	in   store.Inputs
}

func issuedCards(t *testing.T, d *desk, first prescribe.Day) (out []issued) {
	t.Helper()
	d.read(func(tx *store.Tx) {
		squads, err := tx.Squads()
		require.NoError(t, err)
		for day := first; day < first+blockDays; day++ {
			for _, sq := range squads {
				members, err := tx.Members(sq.ID, prescribe.DayOf(d.now))
				require.NoError(t, err)
				for _, p := range members {
					c, ok, err := tx.Card(p.ID, day)
					require.NoError(t, err)
					x := issued{name: p.Name, card: c.Card}
					if ok {
						x.in, err = tx.InputsOf(c.ID, c.Rev)
					} else {
						x.in, err = tx.Inputs(p.ID, day)
						require.NoError(t, err)
						x.card, err = tx.Plan(p.ID, day)
					}
					require.NoError(t, err)
					if len(x.card.Items) > 0 {
						out = append(out, x)
					}
				}
			}
		}
	})
	return out
}

// The loads that Gnumeric works out from the workbook are those of the cards,
// to the last plate: every working load, warm-up and lowering load of the demo
// club's last week, of its first day and of the week to come. And the formulas
// are live: with another record, other rules or a coach's load in the yellow
// cells they give what the engine itself would.
func TestWorkbookIsTheCards(t *testing.T) {
	if testing.Short() {
		t.Skip("four weeks of the whole club")
	}
	d := livedDesk(t)
	name := filepath.Join(t.TempDir(), "block.xlsx")
	first := prescribe.DayOf(democlub.Start()) - blockBefore
	d.must("workbook", name, "--by", "s-coach", "--day", first.String(), "--days", strconv.Itoa(blockDays))
	cards := issuedCards(t, d, first)

	t.Run("as issued", func(t *testing.T) {
		f := recalculated(t, name)
		same, other := compareWorkbook(t, f, cards, func(x issued) prescribe.Card { return x.card })
		require.Greater(t, same, 300)
		require.Zero(t, other)
		for _, r := range sheetRows(t, f, "Working", 2) {
			require.Equal(t, "same", r["Same as the card"])
		}
	})
	t.Run("another record", func(t *testing.T) {
		for _, factor := range []float64{0.93, 1.03} {
			changed := edited(t, name, func(f *excelize.File) {
				scale(t, f, "Records", 1, "Median, kg", factor)
				scale(t, f, "Working", 2, "of the record when it began, kg", factor)
			})
			same, other := compareWorkbook(t, recalculated(t, changed), cards, func(x issued) prescribe.Card {
				return withRecords(x.in, factor)
			})
			require.Greater(t, same, 300)
			require.Less(t, other*10, same, "another exercise")
		}
	})
	t.Run("other rules", func(t *testing.T) {
		values := map[string]float64{"record.quantile": 12, "load.up_lower": 2, "load.extra_reps": 1, "load.top_days": 3, "load.keep_effort": 1,
			"warmup.second_percent": 65}
		changed := edited(t, name, func(f *excelize.File) {
			rows, err := f.GetRows("Rules")
			require.NoError(t, err)
			for i, r := range rows {
				if v, ok := values[r[0]]; ok {
					require.NoError(t, f.SetCellValue("Rules", "E"+strconv.Itoa(i+1), v))
				}
			}
		})
		same, other := compareWorkbook(t, recalculated(t, changed), cards, func(x issued) prescribe.Card {
			in := x.in
			for _, id := range slices.Sorted(maps.Keys(values)) {
				var err error
				in.Rules, err = in.Rules.With(id, values[id])
				require.NoError(t, err)
			}
			return prescribe.Plan(in.State, in.Calendar, in.Programme, in.Rules, in.Day, in.Edits)
		})
		require.Greater(t, same, 300)
		require.Less(t, other*10, same)
	})
	t.Run("a coach's load", func(t *testing.T) {
		changed := edited(t, name, func(f *excelize.File) {
			change(t, f, "Working", 2, "Coach's load, kg", func(r map[string]string) (float64, bool) {
				return figure(t, r["Load on the card, kg"])*1.06 + 1, true
			})
		})
		same, other := compareWorkbook(t, recalculated(t, changed), cards, func(x issued) prescribe.Card {
			in := x.in
			for i, it := range x.card.Items {
				in.Edits = append(slices.Clone(in.Edits), prescribe.Edit{Kind: prescribe.EditLoad, Slot: it.Slot, Load: it.Load*1.06 + 1, At: prescribe.Instant(i + 1)})
			}
			return prescribe.Plan(in.State, in.Calendar, in.Programme, in.Rules, in.Day, in.Edits)
		})
		require.Greater(t, same, 300)
		require.Less(t, other*10, same)
	})
}

// The same where something is in the way.
func TestWorkbookOfHardDays(t *testing.T) {
	if testing.Short() {
		t.Skip("four weeks of the whole club")
	}
	d := livedDesk(t)
	cards := issuedCards(t, d, prescribe.DayOf(democlub.Start()))
	var hard []issued
	var book report.Book
	seen := map[string]int{}
	for i, x := range cards {
		hardDays[i%len(hardDays)](&x.in)
		var w store.Worked
		w.Card, w.Items = prescribe.PlanWorking(x.in.State, x.in.Calendar, x.in.Programme, x.in.Rules, x.in.Day, x.in.Edits)
		w.Rules, w.Equipment = x.in.Rules, x.in.Calendar.Settings[w.Card.Setting].Equipment
		x.card = w.Card
		hard = append(hard, x)
		book.Cards = append(book.Cards, report.BookCard{Key: x.name, Name: x.name, Worked: w})
		for _, it := range x.card.Items {
			for _, r := range it.Reasons {
				seen[r.Code]++
			}
		}
	}
	for _, code := range []string{"soreness.load", "pain.hold", "pain.lower", "limit.medical_cap", "load.step", "load.no_step", "load.reps_first",
		"break.load", "accentuated.load", "load.cap", "load.kept", "limit.youth_percent"} {
		require.Positive(t, seen[code], "no card of the block has %s: %v", code, seen)
	}
	name := filepath.Join(t.TempDir(), "hard.xlsx")
	require.NoError(t, writeNew(name, book.Write))
	same, _ := compareWorkbook(t, recalculated(t, name), hard, func(x issued) prescribe.Card { return x.card })
	require.Greater(t, same, 100)

	changed := edited(t, name, func(f *excelize.File) {
		scale(t, f, "Records", 1, "Median, kg", 1.04)
		scale(t, f, "Working", 2, "of the record when it began, kg", 1.04)
	})
	same, other := compareWorkbook(t, recalculated(t, changed), hard, func(x issued) prescribe.Card { return withRecords(x.in, 1.04) })
	require.Greater(t, same, 100)
	require.Less(t, other*10, same)
}

// withRecords is the card of the same inputs with stronger records.
func withRecords(in store.Inputs, factor float64) prescribe.Card {
	in.State.Lifts = maps.Clone(in.State.Lifts)
	for key, rec := range in.State.Lifts {
		in.State.Lifts[key] = stronger(rec, factor)
	}
	return prescribe.Plan(in.State, in.Calendar, in.Programme, in.Rules, in.Day, in.Edits)
}

// hardDays change what a card is planned from, so that the block has what the
// demo's quiet weeks have not: soreness, pain that medical staff have assessed,
// a medical load limit, discs too large for a step, a return after weeks, and
// accentuated lowering.
var hardDays = []func(in *store.Inputs){
	func(in *store.Inputs) {
		for _, r := range []prescribe.Region{prescribe.Quadriceps, prescribe.Glute, prescribe.Chest, prescribe.UpperBack} {
			happened(in, prescribe.Event{Soreness: &prescribe.Soreness{Region: r, Score: 8}})
		}
	},
	func(in *store.Inputs) { assessed(in, 3) },
	func(in *store.Inputs) { assessed(in, 5) },
	func(in *store.Inputs) {
		happened(in, prescribe.Event{Hold: &prescribe.Hold{ID: "h", Medical: true, MaxLoad: 60, Until: in.Day + 3}})
	},
	func(in *store.Inputs) {
		in.Calendar.Settings = maps.Clone(in.Calendar.Settings)
		for key, s := range in.Calendar.Settings {
			s.Equipment.Plates = []prescribe.Plate{{Mass: 20, Pairs: 4}, {Mass: 10, Pairs: 1}, {Mass: 2.5, Pairs: 4}}
			s.Equipment.Dumbbells = []prescribe.Kg{10, 12.5, 15, 20, 22.5, 25, 27.5, 30, 40}
			in.Calendar.Settings[key] = s
		}
		in.State.Last = maps.Clone(in.State.Last)
		for key, list := range in.State.Last {
			list = slices.Clone(list)
			for i := range list {
				if list[i].Load > 0 {
					list[i].Load = max(25, 5*prescribe.Kg(math.Floor(float64(list[i].Load)/5)))
					if len(key)%3 != 0 {
						list[i].Asked += 2
						list[i].Reps = list[i].Asked
					}
				}
			}
			in.State.Last[key] = list
		}
	},
	func(in *store.Inputs) { in.State.Trained, in.State.Return = in.Day-20, prescribe.Return{} },
	func(in *store.Inputs) {
		in.Calendar.Settings = maps.Clone(in.Calendar.Settings)
		for key, s := range in.Calendar.Settings {
			s.Supervised, s.Place = true, "gym"
			s.Equipment.Has = append(slices.Clone(s.Equipment.Has), prescribe.GearReleasers, prescribe.GearRack)
			in.Calendar.Settings[key] = s
		}
		in.Calendar.Matches = nil
		in.Programme.Sessions = slices.Clone(in.Programme.Sessions)
		for i, t := range in.Programme.Sessions {
			t.Slots = slices.Clone(t.Slots)
			for j := range t.Slots {
				if t.Slots[j].Candidates[0] == "back_squat" {
					t.Slots[j].Method, t.Slots[j].Scheme = prescribe.Eccentric, prescribe.SchemeAccentuated
					t.Slots[j].Candidates = []prescribe.ExerciseID{"accentuated_back_squat"}
					t.Slots[j].Intensity, t.Slots[j].Ecc, t.Slots[j].Reps = 80, 110, 4
				}
			}
			in.Programme.Sessions[i] = t
		}
	},
}

// happened folds an event of an hour before the session.
func happened(in *store.Inputs, e prescribe.Event) {
	e.Day, e.Key = in.Day, "z"
	for _, d := range in.Calendar.Days {
		if d.Day == in.Day {
			e.At = d.Start - 3_600_000
		}
	}
	in.State = prescribe.Fold(in.State, e, in.Rules)
}

// assessed: pain in the knee that medical staff have assessed, reported today.
func assessed(in *store.Inputs, score prescribe.Score) {
	happened(in, prescribe.Event{Pain: &prescribe.Pain{Region: prescribe.Knee, Score: score}})
	happened(in, prescribe.Event{Release: &prescribe.Release{Medical: true, Region: prescribe.Knee, MaxLoad: 100, Classified: true}})
	happened(in, prescribe.Event{Pain: &prescribe.Pain{Region: prescribe.Knee, Score: score, Timing: prescribe.PainBefore}})
}

// stronger is a record of a player whose 1RM is another by a factor.
func stronger(rec prescribe.Record, factor float64) prescribe.Record {
	by := math.Log(factor)
	move := func(x *prescribe.Reading) *prescribe.Reading {
		if x == nil {
			return nil
		}
		y := *x
		y.Y += by
		return &y
	}
	rec.Mean, rec.Top = rec.Mean+by, rec.Top+by
	rec.Exact, rec.AtLeast, rec.Below = move(rec.Exact), move(rec.AtLeast), move(rec.Below)
	return rec
}

// compareWorkbook holds every line of the working against the card that want
// gives, also where the repetitions are others there. Lines whose exercise is
// another there, which the workbook does not choose, are counted apart.
func compareWorkbook(t *testing.T, f *excelize.File, cards []issued, want func(issued) prescribe.Card) (same, other int) {
	t.Helper()
	rows := sheetRows(t, f, "Working", 2)
	n := 0
	for _, x := range cards {
		card := want(x)
		for _, was := range x.card.Items {
			if n == len(rows) || rows[n]["Player"] != x.name || rows[n]["Day"] != x.card.Day.String() || rows[n]["Slot"] != was.Slot {
				require.False(t, isLoaded(was), "%s on %s: %s has no line", x.name, x.card.Day, was.Exercise)
				continue
			}
			r := rows[n]
			n++
			i := slices.IndexFunc(card.Items, func(it prescribe.Item) bool { return it.Slot == was.Slot && it.Exercise == was.Exercise })
			if i < 0 {
				// Only where the record no longer carries the body often enough does
				// a weaker one lead to another exercise; any other lift stays.
				require.Equal(t, prescribe.LoadBodyweight, was.LoadKind, "%s on %s: %s left the card", x.name, x.card.Day, was.Exercise)
				other++
				continue
			}
			it := card.Items[i]
			where := fmt.Sprintf("%s on %s: %s %v", x.name, x.card.Day, was.Exercise, r)
			require.InDelta(t, float64(it.Load), figure(t, r["Load, kg"]), 1e-9, where)
			require.InDelta(t, float64(it.Percent), figure(t, r["% of the record"]), 0.1000001, where)
			if it.EccLoad > 0 {
				require.InDelta(t, float64(it.EccLoad), figure(t, r["Load down, kg"]), 1e-9, where)
			}
			var warm []string
			for _, w := range it.Warmup {
				warm = append(warm, strconv.FormatFloat(float64(w.Load), 'f', -1, 64))
			}
			var shown []string
			for _, k := range []string{"First, kg", "Second, kg", "Third, kg"} {
				if r[k] != "" {
					shown = append(shown, strconv.FormatFloat(math.Round(figure(t, r[k])*1e6)/1e6, 'f', -1, 64))
				}
			}
			require.Equal(t, warm, shown, where)
			same++
		}
	}
	require.Equal(t, len(rows), n, "lines of no card")
	return same, other
}

// isLoaded: a load in kg was worked out from a record.
func isLoaded(it prescribe.Item) bool {
	return it.Load > 0 && it.Percent > 0
}

// edited is a copy of a workbook with changes.
func edited(t *testing.T, name string, edit func(f *excelize.File)) string {
	t.Helper()
	f, err := excelize.OpenFile(name)
	require.NoError(t, err)
	defer f.Close()
	edit(f)
	out := filepath.Join(t.TempDir(), "edited.xlsx")
	require.NoError(t, f.SaveAs(out))
	return out
}

// change sets a column's cells to what value gives for their rows; nothing where
// it gives false.
func change(t *testing.T, f *excelize.File, sheet string, head int, column string, value func(r map[string]string) (float64, bool)) {
	t.Helper()
	rows, err := f.GetRows(sheet)
	require.NoError(t, err)
	c := slices.Index(rows[head-1], column)
	require.GreaterOrEqual(t, c, 0, column)
	for i, r := range sheetRows(t, f, sheet, head) {
		if v, ok := value(r); ok {
			cell, err := excelize.CoordinatesToCellName(c+1, head+1+i)
			require.NoError(t, err)
			require.NoError(t, f.SetCellValue(sheet, cell, v))
		}
	}
}

func scale(t *testing.T, f *excelize.File, sheet string, head int, column string, factor float64) {
	t.Helper()
	change(t, f, sheet, head, column, func(r map[string]string) (float64, bool) {
		if r[column] == "" {
			return 0, false
		}
		return factor * figure(t, r[column]), true
	})
}
