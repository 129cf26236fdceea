// Command floors makes the table of README's benchmarks:
//
//	go test -run '^$' -bench Floor -benchtime 1x ./... | go run ./cmd/floors
//
// It reads the output of go test on standard input and writes Markdown. Each
// line says what was measured, against which floor of the same run, the figure,
// and the aim; a missed aim is said.
package main

import (
	"fmt"
	"io"
	"os"
	"strings"

	"golang.org/x/perf/benchfmt"
)

// line is one of the table.
type line struct {
	what, floor string
	bench       string // of the benchmark's name, after "Floor"
	unit        string
	show        string // how the figure is written
	atMost      float64
	atLeast     float64 // 0: atMost holds; both 0: there is no aim
}

var lines = []line{
	{"a morning for 25 players", "the same rows with raw SQL", "Morning/players=25", "x-floor", "%.2f×", 0, 0},
	{"… 1,000 players", "", "Morning/players=1000", "x-floor", "%.2f×", 0, 0},
	{"… 10,000 players", "", "Morning/players=10000", "x-floor", "%.2f×", 1.5, 0},
	{"… 50,000 players", "", "Morning/players=50000", "x-floor", "%.2f×", 0, 0},
	{"… time for a player, 10,000 against 1,000", "1,000 players", "Morning", "flat-10000", "%.2f×", 1.1, 0},
	{"… time for a player, 50,000 against 1,000", "1,000 players", "Morning", "flat-50000", "%.2f×", 1.1, 0},
	{"a reply, half of them within", "a bot that writes a row and answers", "Reply", "p50-x-floor", "%.1f×", 1.3, 0},
	{"a reply, 99 of 100 within", "", "Reply", "p99-x-floor", "%.1f×", 2, 0},
	{"cards to 1,000 chats, ten of them slow or failing", "30 a second", "Push", "%-of-pace", "%.1f %%", 0, 98},
	{"… refusals for writing too fast", "", "Push", "429s", "%.0f", 0.5, 0},
	{"… an alert among the cards goes out after", "", "Push", "ms-alert", "%.0f ms", 0, 0},
	{"a day after ten seasons", "the same day after one", "Seasons", "x-floor", "%.2f×", 1.05, 0},
	{"25 players' 46 weeks replayed", "the same events read with raw SQL", "Replay", "x-floor", "%.2f×", 3, 0},
	{"one update of an estimate", "a scalar filter", "Update", "x-floor", "%.2f×", 2, 0},
	{"… allocations", "", "Update", "allocs", "%.0f", 0.5, 0},
	{"a player's week placed: time", "all placements enumerated", "Placement", "x-floor", "%.3f×", 0, 0},
	{"… placements judged", "", "Placement", "judged-x-floor", "%.3f×", 0, 0},
	{"start to first poll, 25 players", "a minimal bot", "Process/players=25", "start-x-floor", "%.1f×", 2, 0},
	{"… 10,000 players", "", "Process/players=10000", "start-x-floor", "%.1f×", 2, 0},
	{"memory at rest, 25 players", "", "Process/players=25", "memory-x-floor", "%.1f×", 2, 0},
	{"… 10,000 players", "", "Process/players=10000", "memory-x-floor", "%.1f×", 2, 0},
	{"size of the binary", "", "Process/players=25", "binary-x-floor", "%.1f×", 0, 0},
	{"fifty squads at one minute, one with a broken player: share of a tick", "one minute", "Squads", "ticks", "%.2f", 1, 0},
}

func main() {
	if err := run(os.Stdin, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "floors:", err)
		os.Exit(1)
	}
}

func run(in io.Reader, out io.Writer) error {
	got, err := read(in)
	if err != nil {
		return err
	}
	if len(got) == 0 {
		return fmt.Errorf("no benchmark named Floor in the input; pipe the output of go test -run '^$' -bench Floor into it")
	}
	fmt.Fprintln(out, "| what | floor in the same run | figure | aim |")
	fmt.Fprintln(out, "|---|---|---|---|")
	floor := ""
	for _, l := range lines {
		if l.floor != "" {
			floor = l.floor
		}
		v, ok := got[l.bench+" "+l.unit]
		if !ok {
			continue // not part of this run
		}
		fmt.Fprintf(out, "| %s | %s | %s | %s |\n", l.what, floor, fmt.Sprintf(l.show, v), l.aim(v))
	}
	return nil
}

// aim says what was aimed at and whether v misses it.
func (l line) aim(v float64) string {
	say := func(sign string, aim float64, missed bool) string {
		s := sign + " " + strings.TrimSpace(fmt.Sprintf(strings.NewReplacer("%.3f", "%g", "%.2f", "%g", "%.1f", "%g", "%.0f", "%g").Replace(l.show), aim))
		if missed {
			s += ", missed"
		}
		return s
	}
	switch {
	case l.atLeast > 0:
		return say("≥", l.atLeast, v < l.atLeast)
	case l.atMost > 0 && l.atMost < 1 && l.show == "%.0f":
		return strings.TrimSpace(say("", 0, v > l.atMost)) // none at all
	case l.atMost > 0:
		return say("≤", l.atMost, v > l.atMost)
	}
	return ""
}

// read gives the figures by "benchmark unit".
func read(in io.Reader) (map[string]float64, error) {
	got := map[string]float64{}
	r := benchfmt.NewReader(in, "standard input")
	for r.Scan() {
		switch rec := r.Result().(type) {
		case *benchfmt.Result:
			name, _, _ := strings.Cut(string(rec.Name.Full()), "-") // without the number of processors
			name, ok := strings.CutPrefix(name, "Floor")
			if !ok {
				continue
			}
			for _, v := range rec.Values {
				unit, value := v.Unit, v.Value
				if v.OrigUnit != "" {
					unit, value = v.OrigUnit, v.OrigValue
				}
				got[name+" "+unit] = value
			}
		}
	}
	if err := r.Err(); err != nil {
		return nil, err
	}
	for _, n := range []string{"10000", "50000"} {
		many, ok1 := got["Morning/players="+n+" µs/player"]
		few, ok2 := got["Morning/players=1000 µs/player"]
		if ok1 && ok2 {
			got["Morning flat-"+n] = many / few
		}
	}
	return got, nil
}
