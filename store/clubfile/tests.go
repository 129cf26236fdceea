package clubfile

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"sync"

	"pegcard/prescribe"
	"pegcard/store"
)

type testTable = table[testLine]

type testLine struct {
	Player   string `csv:"player"`
	Date     string `csv:"date"`
	Exercise string `csv:"exercise"`
	Load     string `csv:"load"`
	Unit     string `csv:"unit"`
	Reps     string `csv:"reps"`
	RIR      string `csv:"rir"`
	Side     string `csv:"side"`
	Device   string `csv:"device"`
	Inertia  string `csv:"inertia"`
	Power    string `csv:"power"`
}

// Tests outside of these are taken for slips.
const (
	minLoad, maxLoad       = 1, 500       // kg, external load
	maxAdded               = 200          // kg, added to body mass
	maxReps                = 30           //
	maxRIR                 = 10           //
	minInertia, maxInertia = 0.005, 0.5   // kg·m²
	minPower, maxPower     = 10.0, 5000.0 // W, mean concentric
)

// ReadTests reads tests.csv. name is how the file is called in problems.
func ReadTests(r io.Reader, name string, o Options) ([]store.TestRow, []*Problem) {
	ps := &problems{file: name}
	t := openTable[testLine](r, ps, "player", "date", "exercise")
	if t == nil {
		return nil, ps.sorted()
	}
	var rows []store.TestRow
	ordinal := map[string]int{}
	lineOf := map[string]int{}
	t.each(func(l testLine, at store.At) {
		row := store.TestRow{At: at, Player: l.Player}
		var f *fault
		if l.Player == "" {
			t.missing("player", "write the player's key from players.csv")
		} else if f := keyFault(l.Player); f != nil {
			t.wrong("player", f)
		}
		if l.Date == "" {
			t.missing("date", "write the day of the test")
		} else if row.Day, f = day(l.Date); f != nil {
			t.wrong("date", f)
		} else if row.Day > o.today() {
			t.wrong("date", wrong("check the year, month and day", "%s has not come yet", l.Date))
		}
		ex, ok := testExerciseOf(t, l.Exercise)
		switch {
		case l.Power != "" || l.Inertia != "" || l.Device != "" || ok && ex.LoadKind == prescribe.LoadFlywheel:
			row.Power = testPowerOf(t, l, ex, ok)
			id := fmt.Sprint(l.Player, " ", row.Day, " ", row.Power.Exercise, " ", row.Power.Device, " ", row.Power.Inertia)
			if first, twice := lineOf[id]; twice {
				t.wrong("inertia", wrong("keep the better of the two tests", "the same test of that day is in line %d", first))
			}
			lineOf[id] = at.Line
		default:
			row.Set, row.Unit = testSetOf(t, l, ex, ok)
			id := fmt.Sprint(l.Player, " ", row.Day, " ", row.Set.Exercise, " ", row.Set.Side)
			ordinal[id]++
			row.Set.Ordinal = ordinal[id]
		}
		rows = append(rows, row)
	})
	return rows, ps.sorted()
}

// set reads the columns of a set of repetitions.
func testSetOf(t *testTable, l testLine, ex prescribe.Exercise, known bool) (*prescribe.Set, string) {
	s := &prescribe.Set{Exercise: ex.ID, Test: true}
	unit, f := massUnit(l.Unit)
	if f != nil {
		t.wrong("unit", f)
	}
	bodyweight := known && ex.LoadKind == prescribe.LoadBodyweight
	lo, hi := prescribe.Kg(minLoad), prescribe.Kg(maxLoad)
	if bodyweight {
		lo, hi = 0, maxAdded
	}
	switch {
	case known && ex.LoadKind == prescribe.LoadNone && l.Load != "":
		t.wrong("load", wrong("leave the load empty", "%s has no load", ex.ID))
	case known && ex.LoadKind == prescribe.LoadNone:
	case l.Load == "" && bodyweight:
		unit = orKg(unit)
	case l.Load == "":
		if t.has("load") {
			t.missing("load", `write the load, such as 102.5 or "225 lb"; for bodyweight exercises the load added`)
		} else {
			t.wrong("load", wrong("add a column load", "%s needs a load", l.Exercise))
		}
	default:
		if s.Load, unit, f = mass(l.Load, unit, lo, hi); f != nil {
			t.wrong("load", f)
		}
	}
	switch {
	case l.Reps == "":
		t.wrong("reps", wrong("write how many repetitions were done; 1 for a tested maximum", "is empty"))
	default:
		if s.Reps, f = integer(l.Reps, 1, maxReps, " repetitions"); f != nil {
			t.wrong("reps", f)
		}
	}
	if r := strings.TrimSuffix(l.RIR, "+"); l.RIR != "" {
		n, f := integer(r, 0, maxRIR, " repetitions in reserve")
		if f != nil {
			t.wrong("rir", f)
		} else {
			rir := prescribe.RIR(n)
			s.RIR = &rir
			s.ToFail = n == 0
		}
	}
	s.Side = testSideOf(t, l, ex, known)
	return s, orKg(unit)
}

func orKg(unit string) string {
	if unit == "" {
		return unitKg
	}
	return unit
}

// power reads the columns of a flywheel power test.
func testPowerOf(t *testTable, l testLine, ex prescribe.Exercise, known bool) *prescribe.PowerTest {
	p := &prescribe.PowerTest{Exercise: ex.ID, Device: l.Device}
	if known && !slices.Contains(ex.Methods, prescribe.Flywheel) {
		t.wrong("exercise", wrong("take device, inertia and power out of the row, or write a flywheel exercise",
			"%s is not done on a flywheel", ex.ID))
	}
	if l.Load != "" || l.Reps != "" || l.RIR != "" {
		name := "load"
		if l.Load == "" {
			name = "reps"
			if l.Reps == "" {
				name = "rir"
			}
		}
		t.wrong(name, wrong("leave load, reps and rir empty: a flywheel test is device, inertia and power", "%s is a flywheel test", l.Exercise))
	}
	if l.Device == "" {
		t.wrong("device", wrong("write the device's name from club.toml; inertias compare only within one device", "is empty"))
	} else if f := keyFault(l.Device); f != nil {
		t.wrong("device", f)
	}
	if l.Inertia == "" {
		t.wrong("inertia", wrong("write the moment of inertia in kg·m², such as 0.05", "is empty"))
	} else if v, f := within(l.Inertia, minInertia, maxInertia, "kg·m²"); f != nil {
		t.wrong("inertia", f)
	} else {
		p.Inertia = prescribe.Inertia(v)
	}
	if l.Power == "" {
		t.wrong("power", wrong("write the mean concentric power in watts", "is empty"))
	} else if v, f := within(l.Power, minPower, maxPower, "W"); f != nil {
		t.wrong("power", f)
	} else {
		p.Power = prescribe.Watts(v)
	}
	if s := testSideOf(t, l, ex, false); s != prescribe.Both {
		t.wrong("side", wrong("leave it empty", "a flywheel power record has no side"))
	}
	return p
}

// exercise looks an exercise up by its id or its English name.
func testExerciseOf(t *testTable, written string) (prescribe.Exercise, bool) {
	if written == "" {
		t.missing("exercise", "write the exercise, such as back_squat")
		return prescribe.Exercise{}, false
	}
	if ex, ok := findExercise(written); ok {
		return ex, true
	}
	t.wrong("exercise", unknownExercise(written))
	return prescribe.Exercise{ID: prescribe.ExerciseID(written)}, false
}

// findExercise takes "back_squat", "Back squat" and "back-squat".
func findExercise(written string) (prescribe.Exercise, bool) {
	id := strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToLower(strings.TrimSpace(written)))
	if ex, ok := prescribe.Lookup(prescribe.ExerciseID(id)); ok {
		return ex, true
	}
	for _, ex := range prescribe.Library() {
		if strings.EqualFold(ex.Name, strings.TrimSpace(written)) {
			return ex, true
		}
	}
	return prescribe.Exercise{}, false
}

var exerciseIDs = sync.OnceValue(func() []string {
	var ids []string
	for _, ex := range prescribe.Library() {
		ids = append(ids, string(ex.ID))
	}
	return ids
})

func unknownExercise(written string) *fault {
	id := strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToLower(written))
	mend := "write an exercise of the library, such as back_squat or trap_bar_deadlift"
	if n := nearest(id, exerciseIDs()); n != "" {
		mend = fmt.Sprintf("write %q", n)
	}
	return wrong(mend, "%q is not an exercise of the library", written)
}

// side reads left, right or nothing, and that it fits the exercise.
func testSideOf(t *testTable, l testLine, ex prescribe.Exercise, known bool) prescribe.Side {
	var s prescribe.Side
	switch strings.ToLower(l.Side) {
	case "", "both":
	case "l", "left":
		s = prescribe.Left
	case "r", "right":
		s = prescribe.Right
	default:
		t.wrong("side", wrong(`write "left" or "right", or nothing for both`, "%q is not a side", l.Side))
		return s
	}
	switch {
	case known && ex.Unilateral && s == prescribe.Both:
		t.wrong("side", wrong(`write "left" or "right", one row for each`, "%s is done one side at a time", ex.ID))
	case known && !ex.Unilateral && s != prescribe.Both:
		t.wrong("side", wrong("leave it empty", "%s is done with both sides together", ex.ID))
	}
	return s
}

// within reads a number of lo..hi.
func within(s string, lo, hi float64, unit string) (float64, *fault) {
	v, f := number(s, hi)
	if f != nil {
		return 0, f
	}
	if v < lo || v > hi {
		return 0, wrong(fmt.Sprintf("write %v to %v %s", lo, hi, unit), "%q is out of range", s)
	}
	return v, nil
}
