package schedule_test

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pegcard/prescribe"
	"pegcard/schedule"
	"pegcard/store"
)

// yearsEnv widens the years over which every zone is checked: "1970-2037" is
// the long form.
const yearsEnv = "PEGCARD_ZONE_YEARS"

// years are those to be checked: by default that of the rules' release and two
// more.
func years(t *testing.T) (from, to int) {
	s := os.Getenv(yearsEnv)
	if s == "" {
		return 2025, 2027
	}
	a, b, ok := strings.Cut(s, "-")
	from, err := strconv.Atoi(a)
	require.NoError(t, err)
	to, err = strconv.Atoi(b)
	require.True(t, ok && err == nil && from <= to, "%s is like 1970-2037, not %q", yearsEnv, s)
	return from, to
}

// zoneNames are all zones of the IANA database.
func zoneNames(t *testing.T) (names []string) {
	f, err := os.Open("../testdata/published/iana-zones.txt")
	require.NoError(t, err)
	defer f.Close()
	for s := bufio.NewScanner(f); s.Scan(); {
		if !strings.HasPrefix(s.Text(), "#") {
			names = append(names, s.Text())
		}
	}
	require.Len(t, names, 598)
	return names
}

// transitions are the instants in which the offset of a zone changes, and the
// offsets before and after, in seconds. ZoneBounds reads them from the rules
// themselves; what is checked works from offsets alone.
type transition struct {
	at            time.Time
	before, after int
}

func transitions(loc *time.Location, from, to int) (out []transition) {
	t := time.Date(from, 1, 1, 0, 0, 0, 0, time.UTC)
	end := time.Date(to+1, 1, 1, 0, 0, 0, 0, time.UTC)
	for {
		_, next := t.In(loc).ZoneBounds()
		if next.IsZero() || next.After(end) {
			return out
		}
		_, before := next.Add(-time.Second).In(loc).Zone()
		_, after := next.In(loc).Zone()
		if before != after {
			out = append(out, transition{next, before, after})
		}
		t = next
	}
}

// firstShown is the first instant at which the clocks of loc show want or more,
// looked for in each stretch of one offset.
func firstShown(want time.Time, loc *time.Location) time.Time {
	t := want.Add(-3 * 24 * time.Hour)
	for range 20 {
		start, end := t.In(loc).ZoneBounds()
		_, offset := t.In(loc).Zone()
		at := want.Add(-time.Duration(offset) * time.Second)
		if at.Before(start) {
			at = start // the clocks skipped over it
		}
		if end.IsZero() || at.Before(end) {
			return at
		}
		t = end
	}
	panic("no stretch of the zone shows it")
}

// awkward are hours around a change as they are met in the rules: midnight,
// one, two and three o'clock, half hours, and the last minute of the day.
var awkward = []store.Clock{0, 1, 30, 59, 60, 61, 90, 119, 120, 121, 150, 179, 180, 181, 240, 7*60 + 30, 12 * 60, 23 * 60, 23*60 + 59}

// At, in every zone, on every date within three days of each change of its
// clocks: it is the first instant at which the clocks show the time or later.
func TestAtInEveryZone(t *testing.T) {
	from, to := years(t)
	checked := 0
	for _, name := range zoneNames(t) {
		loc := zone(t, name)
		for _, tr := range transitions(loc, from, to) {
			day := prescribe.DayOf(tr.at.In(loc))
			for d := day - 3; d <= day+3; d++ {
				for _, c := range awkward {
					want := firstShown(d.Time().Add(time.Duration(c)*time.Minute), loc)
					if got := schedule.At(d, c, loc); !got.Equal(want) {
						t.Fatalf("%s, %s at minute %d: %s, want %s (change %+v)", name, d, c, got.UTC(), want.UTC(), tr)
					}
					checked++
				}
			}
		}
	}
	require.Greater(t, checked, 50_000)
	t.Logf("%d instants in the years %d to %d", checked, from, to)
}

// Mornings, evenings and digests, in every zone, over each change of its
// clocks, for a squad that wants its cards at an awkward hour: each civil date
// has each thing once, on time, and nothing is too late.
func TestNothingSkippedOrDoubledInAnyZone(t *testing.T) {
	from, to := years(t)
	hours := []store.Clock{0, 1, 30, 60, 90, 120, 150, 180, 7*60 + 30, 23*60 + 30}
	changes := 0
	seen := map[string]bool{} // links and neighbours change alike
	for _, name := range zoneNames(t) {
		loc := zone(t, name)
		for i, tr := range transitions(loc, from, to) {
			like := fmt.Sprint(tr.at.Unix(), tr.before, tr.after)
			if seen[like] {
				continue
			}
			seen[like] = true
			changes++
			for j, cards := range hours {
				overChange(t, name, loc, tr, cards, uint64(i*len(hours)+j))
			}
		}
	}
	require.Greater(t, changes, 50)
	t.Logf("%d different changes in the years %d to %d, %d hours each", changes, from, to, len(hours))
}

// overChange ticks from two days before a change to two days after it.
func overChange(t *testing.T, name string, loc *time.Location, tr transition, cards store.Clock, seed uint64) {
	rng := rand.New(rand.NewPCG(seed, 1))
	s := squad()
	s.Squad.Zone, s.Squad.CardsAt, s.Squad.CutOff = name, cards, cards+29
	s.Squad.QuietFrom, s.Squad.QuietTo = 0, 0
	s.Squad.EveningAt, s.Squad.DigestAt = (cards+11*60)%(24*60), (cards+12*60)%(24*60)
	s.Players = s.Players[:1]
	s.Players[0].Zone = name
	in := store.DueInputs{Squads: []store.DueSquad{s}, Done: map[string]bool{}}
	day := prescribe.DayOf(tr.at.In(loc))
	start, end := firstShown((day-2).Time(), loc), firstShown((day+3).Time(), loc)
	done := map[string]int{}
	now := start.Add(-time.Second)
	for now.Before(end) {
		items, err := schedule.Due(in, now)
		require.NoError(t, err)
		for _, it := range items {
			in.Done[it.Key] = true
			done[fmt.Sprintf("%s %s", it.Kind, it.Day)]++
			if late := now.Sub(it.At.Time()); now.After(start) && late > time.Minute {
				t.Fatalf("%s, cards at %d, change %+v: %s of %s is %s late", name, cards, tr, it.Kind, it.Day, late)
			}
		}
		// The next tick is up to a minute after the next thing, or after a while.
		next := now.Add(6 * time.Hour)
		it, ok, err := schedule.Next(in, now)
		require.NoError(t, err)
		if ok && it.At.Time().Before(next) {
			next = it.At.Time()
		}
		now = next.Add(time.Duration(rng.IntN(60)) * time.Second)
	}
	for d := day - 1; d <= day+1; d++ {
		for _, kind := range []schedule.Kind{schedule.Card, schedule.Digest, schedule.LookOver} {
			if kind == schedule.LookOver && tr.after-tr.before >= 24*3600 {
				continue // the evening before is on a date that does not exist
			}
			n := done[fmt.Sprintf("%s %s", kind, d)]
			if n != 1 {
				t.Fatalf("%s, cards at %d, change %+v: %d × %s of %s: %v", name, cards, tr, n, kind, d, done)
			}
		}
		if n := done[fmt.Sprintf("%s %s", schedule.TooLate, d)]; n != 0 {
			t.Fatalf("%s, cards at %d, change %+v: the card of %s is too late", name, cards, tr, d)
		}
	}
}

// A clock that jumps, both ways, by minutes or by a day: a card goes out inside
// its window only, nothing comes twice, and what the jump passed over is either
// caught up or said to be too late, once.
func TestClockJumps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := squad()
		s.Players = s.Players[:1]
		s.Squad.QuietFrom, s.Squad.QuietTo = 0, 0
		in := store.DueInputs{Squads: []store.DueSquad{s}, Done: map[string]bool{}}
		loc, err := time.LoadLocation(s.Squad.Zone)
		require.NoError(t, err)
		now := time.Date(2026, 3, 26, 0, 0, 0, 0, loc)
		outcome := map[prescribe.Day][]schedule.Kind{}
		visited := map[prescribe.Day]bool{} // dates whose window a tick has met
		for range rapid.IntRange(5, 60).Draw(t, "ticks") {
			step := rapid.SampledFrom([]time.Duration{time.Minute, 10 * time.Minute, time.Hour, 5 * time.Hour, 23 * time.Hour,
				-time.Minute, -time.Hour, -9 * time.Hour, -26 * time.Hour}).Draw(t, "step")
			now = now.Add(step)
			items, err := schedule.Due(in, now)
			require.NoError(t, err)
			for _, it := range items {
				require.False(t, in.Done[it.Key], "%s twice", it.Key)
				in.Done[it.Key] = true
				open, cut := schedule.At(it.Day, s.Squad.CardsAt, loc), schedule.At(it.Day, s.Squad.CutOff, loc)
				switch it.Kind {
				case schedule.Card:
					require.False(t, now.Before(open) || now.After(cut), "the card of %s at %s", it.Day, now)
					outcome[it.Day] = append(outcome[it.Day], it.Kind)
				case schedule.TooLate:
					require.True(t, now.After(cut))
					outcome[it.Day] = append(outcome[it.Day], it.Kind)
				}
			}
			today := prescribe.DayOf(now)
			if !now.Before(schedule.At(today, s.Squad.CardsAt, loc)) && !now.After(schedule.At(today, s.Squad.CutOff, loc)) {
				visited[today] = true
			}
		}
		for d, kinds := range outcome {
			require.Len(t, kinds, 1, "%s", d)
		}
		for d := range visited {
			require.Len(t, outcome[d], 1, "%s had its window and nothing came", d)
		}
	})
}
