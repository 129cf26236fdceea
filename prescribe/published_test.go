package prescribe_test

import (
	"bufio"
	"maps"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	. "pegcard/prescribe"
)

const publishedDir = "../testdata/published"

// publishedChecks runs every file of vectors. A file's head names its source.
var publishedChecks = map[string]func(t *testing.T, rows [][]string){
	"bodyweight.txt":                checkBodyweight,
	"body-share.txt":                checkBodyShare,
	"flywheel-energy.txt":           checkFlywheelEnergy,
	"intensity-relative-volume.txt": checkIntensityVolume,
	"nile.txt":                      checkNile,
	"nordic-build-up.txt":           checkNordicBuildUp,
	"normal-tail.txt":               checkNormalTail,
	"plates.txt":                    checkPlates,
	"prediction-equations.txt":      checkPredictionEquations,
	"repetition-table.txt":          checkRepetitionTable,
	"repetitions-at-80.txt":         checkRepetitionsAt80,
	"retention.txt":                 checkRetention,
	"skew-normal.txt":               checkSkewNormal,
	"split-squat.txt":               checkSplitSquat,
}

func TestPublished(t *testing.T) {
	for _, name := range slices.Sorted(maps.Keys(publishedChecks)) {
		t.Run(strings.TrimSuffix(name, ".txt"), func(t *testing.T) {
			rows := readPublished(t, filepath.Join(publishedDir, name))
			require.NotEmpty(t, rows)
			publishedChecks[name](t, rows)
		})
	}
}

// readPublished reads the rows of a file of vectors: fields between blanks,
// after a head of # lines that names the source.
func readPublished(t *testing.T, path string) [][]string {
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	var rows [][]string
	sourced := false
	for lines := bufio.NewScanner(f); lines.Scan(); {
		line := strings.TrimSpace(lines.Text())
		if strings.HasPrefix(line, "#") {
			sourced = sourced || strings.Contains(line, "Source")
			continue
		}
		if line != "" {
			rows = append(rows, strings.Fields(line))
		}
	}
	require.True(t, sourced, "%s names no source", path)
	return rows
}

func num(t *testing.T, s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

func checkRepetitionTable(t *testing.T, rows [][]string) {
	require.Len(t, rows, TableReps)
	for i, row := range rows {
		require.Equal(t, float64(i+1), num(t, row[0]))
		got, ok := Fraction(i + 1)
		require.True(t, ok)
		require.Equal(t, num(t, row[1]), float64(got))
		for j, oneRM := range []float64{100, 140, 200} {
			require.InDelta(t, num(t, row[2+j]), oneRM*float64(got)/100, 0.05, "%d of %v", i+1, oneRM)
		}
	}
}

func checkPredictionEquations(t *testing.T, rows [][]string) {
	seen := map[string]bool{}
	for _, row := range rows {
		e, ok := EquationByName(row[0])
		require.True(t, ok, row[0])
		got, ok := e.OneRM(Kg(num(t, row[1])), int(num(t, row[2])))
		require.True(t, ok)
		require.InDelta(t, num(t, row[3]), float64(got), 0.0001, "%v", row)
		seen[row[0]] = true
	}
	for _, e := range Equations() {
		require.True(t, seen[e.Name], "%s has no vector", e.Name)
	}
}

func checkNile(t *testing.T, rows [][]string) {
	var noise, drift, gain float64
	var flow []float64
	want := map[int][2]float64{}
	for _, row := range rows {
		switch row[0] {
		case "variance":
			if row[1] == "level" {
				drift = num(t, row[2])
			} else {
				noise = num(t, row[2])
			}
		case "filtered":
			want[int(num(t, row[1]))] = [2]float64{num(t, row[2]), num(t, row[3])}
		case "gain":
			gain = num(t, row[2])
		case "flow":
			for _, s := range row[1:] {
				flow = append(flow, num(t, s))
			}
		}
	}
	require.Len(t, flow, 100)
	require.Len(t, want, 4)
	var l Level
	for i, y := range flow {
		l = l.Predict(drift).Update(y, noise)
		if w, ok := want[1871+i]; ok {
			require.InDelta(t, w[0], l.Mean(), 0.0006, "%d", 1871+i)
			require.InDelta(t, w[1], l.Variance(), 0.0006, "%d", 1871+i)
		}
	}
	p := l.Predict(drift).Variance()
	require.InDelta(t, gain, p/(p+noise), 5e-7)
}

// The same series and filter as R has them: the variances that R fits, and the
// filtered level of every year.
func TestNileAgainstR(t *testing.T) {
	rscript, err := exec.LookPath("Rscript")
	if err != nil {
		if os.Getenv("PEGCARD_NEED_R") != "" {
			t.Fatal("Rscript is not installed; apt-get install r-base-core")
		}
		t.Skip("needs Rscript: apt-get install r-base-core")
	}
	out, err := exec.Command(rscript, "--vanilla", filepath.Join(publishedDir, "nile.R")).Output()
	require.NoError(t, err)
	noise, drift, years := 0.0, 0.0, 0
	var l Level
	for line := range strings.Lines(string(out)) {
		switch row := strings.Fields(line); row[0] {
		case "level":
			drift = num(t, row[1])
		case "epsilon":
			noise = num(t, row[1])
		default:
			l = l.Predict(drift).Update(num(t, row[1]), noise)
			// R starts with a variance of 10⁶ times the series', not with none.
			require.InDelta(t, num(t, row[2]), l.Mean(), 0.001, row[0])
			years++
		}
	}
	require.Equal(t, 100, years)
	require.InDelta(t, 15099, noise, 1, "Durbin & Koopman")
	require.InDelta(t, 1469.1, drift, 0.1, "Durbin & Koopman")
}

func checkNordicBuildUp(t *testing.T, rows [][]string) {
	n := func(s string) int { return int(num(t, s)) }
	step, total, weeks := 0, 0, 10
	for _, row := range rows {
		switch row[0] {
		case "total":
			total = n(row[1])
		case "week":
			weeks--
			for range n(row[2]) {
				sets, reps := NordicDose(step, DefaultRules())
				require.Equal(t, n(row[3]), sets, "after %d exposures", step)
				require.GreaterOrEqual(t, reps, n(row[4]), "after %d exposures", step)
				require.LessOrEqual(t, reps, n(row[5]), "after %d exposures", step)
				step++
			}
		case "later":
			for range weeks * n(row[1]) {
				sets, reps := NordicDose(step, DefaultRules())
				require.Equal(t, 3, sets)
				require.Equal(t, n(row[2])+n(row[3])+n(row[4]), sets*reps, "as many as in unequal sets, after %d exposures", step)
				step++
			}
		}
	}
	require.Equal(t, total, step)
}

func checkIntensityVolume(t *testing.T, rows [][]string) {
	limit := DefaultRules().Num("break.volume_max")
	for _, row := range rows {
		sets, reps, f := int(num(t, row[0])), int(num(t, row[1])), Percent(100*num(t, row[2]))
		require.InDelta(t, num(t, row[3]), IntensityVolume(sets, reps, f), 1e-9, "%v", row)
		left := SetsWithin(limit, sets, reps, f)
		if row[4] == "one" { // one set always remains
			require.Equal(t, 1, left)
			continue
		}
		require.Equal(t, row[4] == "yes", left == sets, "%v", row)
		require.LessOrEqual(t, IntensityVolume(left, reps, f), limit+1e-9)
		require.True(t, left == sets || IntensityVolume(left+1, reps, f) > limit, "%v: no more is taken away than must be", row)
	}
}

func checkSkewNormal(t *testing.T, rows [][]string) {
	for _, row := range rows {
		l := NewLevel(0, 1).UpdateAbove(0, num(t, row[0]))
		require.InDelta(t, num(t, row[1]), l.Mean(), 1e-6)
		require.InDelta(t, num(t, row[2]), l.Variance(), 1e-6)
	}
}

func checkNormalTail(t *testing.T, rows [][]string) {
	for _, row := range rows {
		z, want := -num(t, row[0]), num(t, row[1])
		lambda, excess := Mills(z)
		require.InEpsilon(t, want, lambda, 1e-11)
		require.InDelta(t, z+want, excess, 1e-11)
	}
}

func checkBodyweight(t *testing.T, rows [][]string) {
	epley, _ := EquationByName("Epley")
	for _, row := range rows {
		ex, ok := Lookup(ExerciseID(row[0]))
		require.True(t, ok)
		body := Kg(num(t, row[1]))
		total, ok := Total(Kg(num(t, row[2])), ex, body)
		require.True(t, ok)
		oneRM, ok := epley.OneRM(total, int(num(t, row[3])))
		require.True(t, ok)
		require.InDelta(t, num(t, row[4]), float64(oneRM), 0.005)
		require.InDelta(t, num(t, row[5]), float64(External(oneRM, ex, body)), 0.005)
	}
}

func checkBodyShare(t *testing.T, rows [][]string) {
	want := map[ExerciseID]bool{}
	for _, row := range rows {
		ex, ok := Lookup(ExerciseID(row[0]))
		require.True(t, ok, row[0])
		require.GreaterOrEqual(t, ex.BodyFraction, num(t, row[1]))
		require.LessOrEqual(t, ex.BodyFraction, num(t, row[2]))
		want[ex.ID] = true
	}
	for _, ex := range Library() {
		require.Equal(t, ex.BodyFraction > 0, want[ex.ID], "%s", ex.ID)
	}
}

func checkSplitSquat(t *testing.T, rows [][]string) {
	for _, row := range rows {
		bilateral, split := num(t, row[0]), num(t, row[1])
		bar, _ := Lookup("barbell_rear_foot_elevated_split_squat")
		require.InDelta(t, split, bilateral*bar.BilateralShare, 1e-9)
		hand, _ := Lookup("rear_foot_elevated_split_squat")
		require.InDelta(t, split, 2*bilateral*hand.BilateralShare, 1e-9, "two hands")
	}
}

// checkRetention follows a record that is left alone.
func checkRetention(t *testing.T, rows [][]string) {
	r := DefaultRules()
	start := Date(2026, 6, 1)
	rec := Record{}.Observe(Set{Load: 100, Reps: 1, Test: true}, "a", squat(t), 80, start, r)
	before := rec.Estimate(start, r).Median
	for _, row := range rows {
		after := rec.Estimate(start+Day(num(t, row[0])), r).Median
		change := 100 * float64(after/before-1)
		require.GreaterOrEqual(t, change, num(t, row[1]))
		require.LessOrEqual(t, change, num(t, row[2])+1e-9)
	}
}

func checkFlywheelEnergy(t *testing.T, rows [][]string) {
	for _, row := range rows {
		require.InDelta(t, num(t, row[2]), KineticEnergy(Inertia(num(t, row[0])), num(t, row[1])), 1e-9)
	}
}

func checkPlates(t *testing.T, rows [][]string) {
	for _, row := range rows {
		eq := Equipment{Bars: []Bar{{Kind: "straight", Mass: Kg(num(t, row[0]))}}}
		for _, m := range []Kg{25, 20, 15, 10, 5, 2.5, 2, 1.5, 1.25, 1, 0.5} {
			pairs := 1
			if m == 25 {
				pairs = 2
			}
			if least := Kg(num(t, row[1])); m >= least && (m != 1.25 || least == 1.25) {
				eq.Plates = append(eq.Plates, Plate{m, pairs})
			}
		}
		got, ok := Build(Kg(num(t, row[2])), squat(t), eq)
		require.Equal(t, row[3] != "-", ok, "%v", row)
		if !ok {
			continue
		}
		var side []Kg
		for _, s := range row[4:] {
			if s != "-" {
				side = append(side, Kg(num(t, s)))
			}
		}
		require.Equal(t, Built{Load: Kg(num(t, row[3])), Bar: eq.Bars[0].Mass, BarKind: "straight", Plates: side}, got, "%v", row)
	}
}

// checkRepetitionsAt80: the table is right for the bench press and short for
// the leg press, so the player's own sets must be able to bend it. The most
// that it bends reaches into the leg press's range.
func checkRepetitionsAt80(t *testing.T, rows [][]string) {
	table := 0
	for n := 1; n <= TableReps; n++ {
		if p, _ := Fraction(n); p >= 80 {
			table = n
		}
	}
	last, _ := Fraction(TableReps)
	flattest := 1 - DefaultRules().Num("record.curve_max")/100
	require.GreaterOrEqual(t, 100*math.Pow(float64(last)/100, flattest), 80.0, "%d repetitions at 80 %%", TableReps)
	for _, row := range rows {
		low, high := num(t, row[1]), num(t, row[3])
		require.Equal(t, row[0] == "bench_press", low <= float64(table) && float64(table) <= high, row[0])
		require.GreaterOrEqual(t, float64(TableReps), low, row[0])
	}
}

// No file of vectors lies about unread. Files of other rooms are theirs.
func TestPublishedFilesAreRead(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(publishedDir, "*.txt"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, path := range files {
		require.NotEmpty(t, readPublished(t, path))
	}
	for name := range publishedChecks {
		require.Contains(t, files, filepath.Join(publishedDir, name))
	}
}

// fataler is a test of either kind.
type fataler interface{ Fatalf(string, ...any) }

func lift(t fataler, id ExerciseID) Exercise {
	ex, ok := Lookup(id)
	if !ok {
		t.Fatalf("no %s", id)
	}
	return ex
}

func squat(t fataler) Exercise { return lift(t, "back_squat") }
