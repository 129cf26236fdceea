package main

import (
	"encoding/csv"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/cmd/pegcard/democlub"
	"pegcard/prescribe"
	"pegcard/store"
	"pegcard/store/report"
)

func readColumns(t *testing.T, name string) (head []string, rows []map[string]string) {
	t.Helper()
	f, err := os.Open(name)
	require.NoError(t, err)
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	for _, r := range all[1:] {
		m := map[string]string{}
		for i, v := range r {
			m[all[0][i]] = v
		}
		rows = append(rows, m)
	}
	return all[0], rows
}

// The table is one row a set, its columns are those of the dictionary, and no
// name is in it unless it was asked for; what only medical staff may know is
// theirs alone.
func TestSetsTable(t *testing.T) {
	d := newDesk(t)
	d.must("test", "9", "back_squat", "140x3", "--rir", "1", "--by", "s-coach")
	first := prescribe.DayOf(democlub.Start())
	set := func(stopped bool) prescribe.Event {
		return prescribe.Event{At: prescribe.InstantOf(d.now), Set: &prescribe.Set{Exercise: "bench_press", Load: 60, Reps: 5, Ordinal: 1, Stopped: stopped}}
	}
	d.read(func(tx *store.Tx) {
		p, err := tx.PersonByKey("9")
		require.NoError(t, err)
		require.NoError(t, joinDemo(tx, p, prescribe.InstantOf(d.now)))
		_, err = tx.Record(p.ID, "log", prescribe.InstantOf(d.now), set(false), set(true))
		require.NoError(t, err)
	})
	dir := filepath.Join(t.TempDir(), "out")
	one := []string{"--player", "9", "--day", first.String(), "--days", "1"}
	d.must(append([]string{"sets", dir, "--by", "s-coach"}, one...)...)
	head, rows := readColumns(t, filepath.Join(dir, "sets.csv"))
	_, dictionary := readColumns(t, filepath.Join(dir, "dictionary.csv"))
	require.Len(t, dictionary, len(head))
	for i, c := range dictionary {
		require.Equal(t, head[i], c["column"])
		require.NotEmpty(t, c["meaning"])
		require.NotEmpty(t, c["missing_means"])
	}
	require.Len(t, rows, 3)
	for _, r := range rows {
		require.Regexp(t, `^[0-9a-z-]{6,}$`, r["player"])
		require.Empty(t, r["name"])
		require.Empty(t, r["stopped"])
		require.Equal(t, "first", r["squad"])
	}
	text, err := os.ReadFile(filepath.Join(dir, "sets.csv"))
	require.NoError(t, err)
	d.read(func(tx *store.Tx) {
		p, err := tx.PersonByKey("9")
		require.NoError(t, err)
		for _, word := range strings.Fields(p.Name) {
			require.NotContains(t, string(text), word)
		}
	})

	named := filepath.Join(t.TempDir(), "named")
	d.must(append([]string{"sets", named, "--by", "s-doctor", "--names"}, one...)...)
	_, rows = readColumns(t, filepath.Join(named, "sets.csv"))
	stopped := []string{}
	for _, r := range rows {
		require.Equal(t, "9", r["player"])
		require.NotEmpty(t, r["name"])
		stopped = append(stopped, r["exercise"]+" "+r["set"]+" "+r["test"]+" "+r["stopped"])
	}
	require.ElementsMatch(t, []string{"back_squat 1 1 0", "bench_press 1 0 0", "bench_press 2 0 1"}, stopped)

	_, err = d.run(append([]string{"sets", dir, "--by", "s-coach"}, one...)...)
	require.ErrorContains(t, err, "exists; name a new file")
	for _, who := range []string{"s-head", "s-guard", "s-admin", "9"} {
		_, err = d.run(append([]string{"sets", filepath.Join(t.TempDir(), who), "--by", who}, one...)...)
		require.ErrorContains(t, err, "may not do this")
	}
}

// The worked analysis in R comes to the figures of the program's own reports:
// sessions, sessions done and relative dose of each squad and day, and Wilson's
// interval of each player's share.
func TestSetsAnalysedInR(t *testing.T) {
	if testing.Short() {
		t.Skip("four weeks of the whole club")
	}
	rscript, err := exec.LookPath("Rscript")
	if err != nil {
		if os.Getenv("PEGCARD_NEED_R") != "" {
			t.Fatal("Rscript is not installed; apt-get install r-base-core")
		}
		t.Skip("needs Rscript: apt-get install r-base-core")
	}
	d := livedDesk(t)
	dir := filepath.Join(t.TempDir(), "out")
	d.must("sets", dir, "--by", "s-coach", "--days", "14")
	out, err := exec.CommandContext(t.Context(), rscript, "--vanilla", "../../testdata/analysis/dose.R", filepath.Join(dir, "sets.csv")).CombinedOutput()
	require.NoError(t, err, "%s", out)

	first := prescribe.DayOf(democlub.Start())
	days, players := 0, 0
	d.read(func(tx *store.Tx) {
		coach, err := tx.PersonByKey("s-coach")
		require.NoError(t, err)
		v, err := tx.Viewer(coach.ID, first)
		require.NoError(t, err)
		for line := range strings.Lines(string(out)) {
			r := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
			switch r[0] {
			case "day":
				sq, err := tx.SquadBySlug(r[1])
				require.NoError(t, err)
				day, err := prescribe.ParseDay(r[2])
				require.NoError(t, err)
				want, err := report.Day(tx, v, sq.ID, day, prescribe.ForCoach)
				require.NoError(t, err)
				require.Equal(t, want.Done, report.Share{K: whole(t, r[4]), N: whole(t, r[3])}, line)
				if want.DoseOK {
					require.InDelta(t, float64(want.Dose), figure(t, r[5]), 1e-6, line)
				}
				days++
			case "player":
				share := report.Share{K: whole(t, r[3]), N: whole(t, r[2])}
				low, high := share.Wilson()
				require.InDelta(t, float64(low), figure(t, r[4]), 1e-6, line)
				require.InDelta(t, float64(high), figure(t, r[5]), 1e-6, line)
				players++
			}
		}
	})
	require.Greater(t, days, 10)
	require.Greater(t, players, 30)
}

func whole(t *testing.T, s string) int {
	t.Helper()
	n, err := strconv.Atoi(s)
	require.NoError(t, err)
	return n
}
