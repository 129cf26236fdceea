package main

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/cmd/pegcard/democlub"
	"pegcard/prescribe"
	"pegcard/store"
	"pegcard/store/report"
)

func (d *desk) replay(args ...string) report.Replay {
	d.t.Helper()
	var r report.Replay
	out := d.must(append([]string{"replay", "--json"}, args...)...)
	require.NoError(d.t, json.Unmarshal([]byte(out), &r))
	return r
}

func (d *desk) file(text string) string {
	d.t.Helper()
	name := filepath.Join(d.t.TempDir(), "try.toml")
	require.NoError(d.t, os.WriteFile(name, []byte(text), 0o600))
	return name
}

// Every card of the demo's history comes out as it was issued, and with the
// rules and the programme it has nothing differs.
func TestReplayOfTheDemoUnchanged(t *testing.T) {
	if testing.Short() {
		t.Skip("four weeks of the whole club")
	}
	d := livedDesk(t)
	programme, err := democlub.Files.ReadFile("programme.toml")
	require.NoError(t, err)
	r := d.replay("--by", "s-coach", "--programme", d.file(string(programme)), "--rules", d.file(""))
	require.Greater(t, r.Cards, 900)
	require.Equal(t, r.Cards, r.Issued)
	require.Greater(t, r.Loads, 400)
	require.Empty(t, r.Changed)
	require.Empty(t, r.Alerts)
	require.Zero(t, r.Lighter+r.Heavier)
	for _, x := range r.Dose {
		require.Equal(t, x.Sets[0], x.Sets[1])
		require.Equal(t, x.Work[0], x.Work[1])
	}
	require.Contains(t, d.must("replay", "--by", "s-coach", "--days", "7"), "0 differ with it, 0 alerts differ")

	// A more cautious record makes loads lighter and none heavier, and a rule of
	// the programme shows in the dose.
	r = d.replay("--by", "s-coach", "--squad", "first", "--days", "14", "--rules", d.file("[record]\nquantile = 10\n"))
	require.Equal(t, r.Cards, r.Issued)
	require.Greater(t, r.Lighter, 20)
	require.Zero(t, r.Heavier)
	require.Negative(t, r.Percent)
	r = d.replay("--by", "s-coach", "--squad", "first", "--days", "7", "--programme", d.file(threeSets(string(programme))))
	sets := [2]int{}
	for _, x := range r.Dose {
		sets[0], sets[1] = sets[0]+x.Sets[0], sets[1]+x.Sets[1]
	}
	require.Less(t, sets[1], sets[0])
}

// A history with everything that makes a past hard to go over again: sets
// corrected days later, reports taken back, a coach's edits, holds, soreness
// and pain.
func TestReplayOfARandomHistoryUnchanged(t *testing.T) {
	if testing.Short() {
		t.Skip("a history of twelve days of the whole club; the cases of prescribe run in the short form")
	}
	d := newDesk(t)
	randomHistory(d, rand.New(rand.NewPCG(7, 7)), 12)
	d.now = d.now.AddDate(0, 0, 12)
	first := prescribe.DayOf(democlub.Start()).String()
	r := d.replay("--by", "s-doctor", "--day", first, "--days", "12")
	require.Greater(t, r.Cards, 90)
	require.Equal(t, r.Cards, r.Issued, "as issued")
	require.Empty(t, r.Changed)
	require.Empty(t, r.Alerts)

	// Medical staff can try a stricter band of pain; a coach would learn the scores.
	strict := d.file("[pain]\nstop_above = 3\n")
	r = d.replay("--by", "s-doctor", "--day", first, "--days", "12", "--rules", strict)
	require.NotEmpty(t, r.Alerts)
	told := 0
	for _, x := range r.Alerts {
		if x.Told && x.Notice.Kind == prescribe.NoticePain && x.Notice.Urgent {
			told++
		}
	}
	require.Positive(t, told, "%v", r.Alerts)
	_, err := d.run("replay", "--by", "s-coach", "--day", first, "--days", "12", "--rules", strict)
	require.ErrorContains(t, err, "pain.stop_above")
	_, err = d.run("replay", "--by", "s-head", "--day", first)
	require.ErrorContains(t, err, "--by takes the key of a strength coach or of medical staff")
	_, err = d.run("replay", "--by", "s-doctor", "--rules", d.file("[pain]\nstop_abov = 3\n"))
	require.ErrorContains(t, err, "stop_above")
	// And a coach's replay holds no pain.
	for _, x := range d.replay("--by", "s-coach", "--day", first, "--days", "12", "--rules", d.file("[record]\nquantile = 10\n")).Alerts {
		require.NotEqual(t, prescribe.NoticePain, x.Notice.Kind)
	}
}

// randomHistory lets ten players live through days after the demo's first.
func randomHistory(d *desk, rng *rand.Rand, days int) {
	d.t.Helper()
	hour := func(day prescribe.Day, h float64) prescribe.Instant {
		return prescribe.InstantOf(day.Time().Add(time.Duration(h * float64(time.Hour))))
	}
	first := prescribe.DayOf(d.now)
	d.read(func(tx *store.Tx) {
		need := func(err error) { d.t.Helper(); require.NoError(d.t, err) }
		for i := range 10 {
			p, err := tx.PersonByKey(fmt.Sprint(i + 1))
			need(err)
			need(joinDemo(tx, p, hour(first, 5)))
			var corrected []string
			record := func(source string, at prescribe.Instant, es ...prescribe.Event) {
				d.t.Helper()
				for j := range es {
					es[j].At = at + prescribe.Instant(j)
				}
				_, err := tx.Record(p.ID, source, at, es...)
				need(err)
			}
			for day := first; day < first+prescribe.Day(days); day++ {
				region := []prescribe.Region{prescribe.Hamstring, prescribe.Knee, prescribe.Shoulder}[rng.IntN(3)]
				if rng.IntN(4) == 0 {
					record(fmt.Sprintf("sore:%d", day), hour(day, 6), prescribe.Event{Soreness: &prescribe.Soreness{Region: region, Score: prescribe.Score(rng.IntN(10))}})
				}
				c, _, err := tx.IssueCard(p.ID, day, hour(day, 7.3))
				need(err)
				if rng.IntN(6) == 0 && len(c.Card.Items) > 0 {
					need(tx.AddEdit(c.ID, 0, prescribe.Edit{At: hour(day, 8), Kind: prescribe.EditSets, Slot: c.Card.Items[0].Slot, Number: 2}))
					c, _, err = tx.IssueCard(p.ID, day, hour(day, 8))
					need(err)
				}
				if rng.IntN(5) == 0 {
					record(fmt.Sprintf("pain:%d", day), hour(day, 9), prescribe.Event{Pain: &prescribe.Pain{Region: region, Score: prescribe.Score(rng.IntN(6))}})
					c, _, err = tx.IssueCard(p.ID, day, hour(day, 9))
					need(err)
				}
				if rng.IntN(9) == 0 {
					record(fmt.Sprintf("release:%d", day), hour(day, 9.5), prescribe.Event{Release: &prescribe.Release{Medical: true, MaxLoad: 100, Classified: true}})
					c, _, err = tx.IssueCard(p.ID, day, hour(day, 9.5))
					need(err)
				}
				var es []prescribe.Event
				for _, it := range c.Card.Items {
					for n := range it.Sets {
						left := prescribe.RIR(rng.IntN(4))
						es = append(es, prescribe.Event{Set: &prescribe.Set{Exercise: it.Exercise, Side: it.First, Load: it.Load + 20*prescribe.Kg(rng.IntN(2)), Reps: it.Reps,
							Asked: it.Reps, RIR: &left, Ordinal: n + 1, Scheme: it.Scheme, Intended: it.Intended}})
					}
				}
				if len(es) > 0 && rng.IntN(6) > 0 {
					source := fmt.Sprintf("log:%d", day)
					record(source, hour(day, 12), append(es, prescribe.Event{Session: &prescribe.Session{Template: c.Card.Template, Outcome: prescribe.DoneChanged, Sets: len(es)}})...)
					corrected = append(corrected, source)
				}
				if len(corrected) > 0 && rng.IntN(4) == 0 {
					_, err := tx.Undo(p.ID, corrected[rng.IntN(len(corrected))], hour(day, 20))
					need(err)
				}
			}
		}
	})
}

// threeSets is a programme of three sets where there were four.
func threeSets(programme string) string {
	return strings.ReplaceAll(programme, "  sets = 4", "  sets = 3")
}
