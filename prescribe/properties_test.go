package prescribe_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pegcard/prescribe"
)

// A random life of a player: what he did and how it felt in the eight weeks
// before the day, fixtures around it, a place to train, a programme.
type life struct {
	caseFile
	today  prescribe.Day
	option bool // the coach's MD+1 option
}

var today0 = func() prescribe.Day { d, _ := prescribe.ParseDay("2026-03-04"); return d }()

var soreRegions = []prescribe.Region{prescribe.Hamstring, prescribe.Quadriceps, prescribe.Adductor, prescribe.Glute, prescribe.Calf, prescribe.LowBack, prescribe.Chest}

var painRegions = append([]prescribe.Region{prescribe.Knee, prescribe.Achilles, prescribe.Hip, prescribe.Shoulder, prescribe.Heel, prescribe.TibialTub}, soreRegions...)

const randomProgramme = `
dose season sessions 2 crowded 1 sets 4 exercises 2 nordic 1 flywheel 1
session main-a season
squat traditional percent back_squat/trap_bar_deadlift 4x5 at 85 min 2
single traditional rir rear_foot_elevated_split_squat 3x6 rir 2 min 1
nordic eccentric nordic nordic_hamstring 3x6 min 1
press traditional rir bench_press/push_up 3x6 rir 2 min 1
session main-b season
hinge traditional rir romanian_deadlift 3x6 rir 2 min 2
six traditional percent back_squat 3x6 at 85 six cluster
groin eccentric copenhagen copenhagen_adduction 1x12
wheel flywheel flywheel flywheel_squat/flywheel_leg_curl 4x7
calf eccentric reps standing_calf_raise 3x10 min 2
pull traditional rir pull_up 3x6 rir 2 min 1
session main-c season
over eccentric accentuated accentuated_back_squat 3x4 at 80 ecc 110
curl flywheel flywheel flywheel_leg_curl 3x8
slide eccentric reps slider_leg_curl 2x8
session small season small
squat traditional percent back_squat 2x4 at 85
nordic eccentric nordic nordic_hamstring 2x4
session prime season priming
jump support reps bodyweight_squat 2x3
nordic eccentric nordic nordic_hamstring 1x4
`

func drawLife(t *rapid.T) life {
	var l life
	c, _, err := clubCase()
	if err != nil {
		t.Fatal(err)
	}
	l.caseFile = c
	l.prog = programmeOf(randomProgramme)
	l.today = today0 + prescribe.Day(rapid.IntRange(0, 6).Draw(t, "weekday"))
	born, _ := prescribe.ParseDay("1999-01-01")
	if rapid.IntRange(0, 4).Draw(t, "young") == 0 {
		born, _ = prescribe.ParseDay("2009-01-01")
	}
	l.profile = prescribe.Profile{Born: born, BodyMass: prescribe.Kg(rapid.IntRange(0, 95).Draw(t, "mass")), YouthSignOff: rapid.Bool().Draw(t, "sign-off")}
	if l.option = rapid.IntRange(0, 3).Draw(t, "option") == 0; l.option {
		l.rules, _ = l.rules.With("place.md1_option", 1)
	}

	// Fixtures and places.
	hour := rapid.IntRange(8, 19).Draw(t, "hour")
	from := l.today - 60
	l.cal = prescribe.Calendar{Settings: l.settings}
	for d := from; d <= l.today+21; d++ {
		day := prescribe.CalendarDay{Day: d, Phase: prescribe.InSeason, Setting: "gym", Start: at(d, fmt.Sprintf("%02d:00", hour))}
		switch rapid.IntRange(0, 9).Draw(t, "day") {
		case 0:
			day.Off = true
		case 1:
			day.Setting = "hotel"
		case 2:
			day.Pitch = true
		}
		l.cal.Days = append(l.cal.Days, day)
	}
	for d := from + prescribe.Day(rapid.IntRange(0, 5).Draw(t, "first")); d <= l.today+21; d += prescribe.Day(rapid.IntRange(2, 9).Draw(t, "gap")) {
		kick := at(d, fmt.Sprintf("%02d:00", rapid.IntRange(12, 21).Draw(t, "kick")))
		m := prescribe.Match{ID: "m" + d.String(), Day: d, Kickoff: kick, End: kick + 110*60*1000, Known: true}
		l.cal.Matches = append(l.cal.Matches, m)
		if d < l.today && rapid.IntRange(0, 4).Draw(t, "minutes known") > 0 {
			l.add(d, m.End, prescribe.Event{Match: &prescribe.MatchPlayed{MatchID: m.ID, Minutes: rapid.IntRange(0, 95).Draw(t, "minutes"), End: m.End}})
		}
	}

	// Eight weeks of work.
	exercises := []string{"back_squat", "romanian_deadlift", "bench_press", "pull_up", "rear_foot_elevated_split_squat", "flywheel_squat",
		"flywheel_leg_curl", "nordic_hamstring", "copenhagen_adduction", "standing_calf_raise", "slider_leg_curl"}
	for _, id := range exercises {
		if rapid.IntRange(0, 3).Draw(t, "tested "+id) == 0 {
			continue
		}
		l.add(from, at(from, "09:00"), prescribe.Event{Set: &prescribe.Set{Exercise: prescribe.ExerciseID(id),
			Load: prescribe.Kg(rapid.IntRange(10, 80).Draw(t, "test")), Reps: 3, Ordinal: 1, Test: true, ToFail: true}})
	}
	for d := from + 1; d < l.today; d += prescribe.Day(rapid.IntRange(1, 12).Draw(t, "rest")) {
		for range rapid.IntRange(1, 4).Draw(t, "exercises") {
			l.add(d, at(d, "10:00"), prescribe.Event{Set: l.drawSet(t, exercises)})
		}
		l.add(d, at(d, "12:00"), prescribe.Event{Session: &prescribe.Session{Template: rapid.SampledFrom([]string{"main-a", "main-b", "small"}).Draw(t, "template"),
			Outcome: rapid.SampledFrom([]prescribe.Outcome{prescribe.DoneAsWritten, prescribe.DoneAsWritten, prescribe.DoneChanged, prescribe.NotDone, prescribe.NoAnswer, prescribe.Withheld}).Draw(t, "outcome")}})
	}

	// How it feels, holds and releases, lately.
	for range rapid.IntRange(0, 4).Draw(t, "reports") {
		d := l.today - prescribe.Day(rapid.IntRange(0, 9).Draw(t, "ago"))
		when := at(d, "07:00")
		switch rapid.IntRange(0, 5).Draw(t, "report") {
		case 0, 1:
			l.add(d, when, prescribe.Event{Soreness: &prescribe.Soreness{Region: rapid.SampledFrom(soreRegions).Draw(t, "sore"), Score: prescribe.Score(rapid.IntRange(0, 10).Draw(t, "score"))}})
		case 2:
			l.add(d, when, prescribe.Event{Pain: &prescribe.Pain{Region: rapid.SampledFrom(painRegions).Draw(t, "pain"), Score: prescribe.Score(rapid.IntRange(0, 10).Draw(t, "score")),
				Timing: rapid.SampledFrom([]prescribe.PainTiming{prescribe.PainBefore, prescribe.PainDuring, prescribe.PainMorning, prescribe.PainOther}).Draw(t, "timing")}})
		case 3:
			l.add(d, when, prescribe.Event{Hold: &prescribe.Hold{ID: "h", Medical: rapid.Bool().Draw(t, "medical"), Region: rapid.SampledFrom(painRegions).Draw(t, "held"),
				MaxLoad: prescribe.Percent(rapid.SampledFrom([]int{0, 50, 70, 100}).Draw(t, "cap")), Until: d + prescribe.Day(rapid.IntRange(0, 12).Draw(t, "until"))}})
		case 4:
			l.add(d, when, prescribe.Event{Release: &prescribe.Release{Medical: rapid.Bool().Draw(t, "medical"), MaxLoad: prescribe.Percent(rapid.SampledFrom([]int{0, 60, 100}).Draw(t, "cap")),
				Region: rapid.SampledFrom(append([]prescribe.Region{""}, painRegions...)).Draw(t, "released"), Classified: rapid.Bool().Draw(t, "classified")}})
		case 5:
			if rapid.IntRange(0, 3).Draw(t, "rare") == 0 {
				l.add(d, when, prescribe.Event{Warning: &prescribe.Warning{Sign: prescribe.SignDarkUrine}})
			}
		}
	}

	// A coach who changes things.
	for range rapid.IntRange(0, 3).Draw(t, "edits") {
		e := prescribe.Edit{At: prescribe.Instant(len(l.edits)), Kind: rapid.SampledFrom([]prescribe.EditKind{prescribe.EditAdd, prescribe.EditLoad, prescribe.EditSets,
			prescribe.EditReps, prescribe.EditExercise, prescribe.EditApprove}).Draw(t, "edit"), Slot: rapid.SampledFrom([]string{"squat", "nordic", "wheel", "hinge", "six", "over"}).Draw(t, "slot"),
			Template: rapid.SampledFrom([]string{"main-a", "main-b", "main-c", "small"}).Draw(t, "add"), Exercise: prescribe.ExerciseID(rapid.SampledFrom(exercises).Draw(t, "exercise")),
			Load: prescribe.Kg(rapid.IntRange(0, 200).Draw(t, "load")), Number: rapid.IntRange(0, 12).Draw(t, "number")}
		l.edits = append(l.edits, e)
	}
	return l
}

func (l *life) drawSet(t *rapid.T, exercises []string) *prescribe.Set {
	s := &prescribe.Set{Exercise: prescribe.ExerciseID(rapid.SampledFrom(exercises).Draw(t, "did")), Ordinal: 1,
		Load: prescribe.Kg(rapid.IntRange(0, 140).Draw(t, "kg")) / 2, Reps: rapid.IntRange(1, 10).Draw(t, "reps"),
		Asked: rapid.IntRange(3, 8).Draw(t, "asked"), AsWritten: rapid.Bool().Draw(t, "as written")}
	switch s.Exercise {
	case "flywheel_squat", "flywheel_leg_curl":
		s.Device, s.Inertia, s.Scheme = "north", prescribe.Inertia(rapid.SampledFrom([]float64{0.05, 0.075, 0.1}).Draw(t, "inertia")), prescribe.SchemeFlywheel
	case "back_squat":
		s.Scheme, s.Intended = prescribe.SchemePercent, 85
	case "romanian_deadlift", "bench_press", "pull_up", "rear_foot_elevated_split_squat":
		s.Scheme, s.Intended = prescribe.SchemeRIR, 80
	case "nordic_hamstring":
		s.Scheme, s.Load = prescribe.SchemeNordic, 0
	}
	if rapid.Bool().Draw(t, "effort told") {
		rir := prescribe.RIR(rapid.IntRange(0, 4).Draw(t, "rir"))
		s.RIR = &rir
	}
	return s
}

func (l *life) add(day prescribe.Day, when prescribe.Instant, e prescribe.Event) {
	e.Day, e.At, e.Key = day, when, fmt.Sprintf("k%04d", len(l.events))
	l.events = append(l.events, e)
}

// state folds the life up to its day, and more.
func (l life) state(more ...prescribe.Event) prescribe.State {
	events := append(slices.Clone(l.events), more...)
	slices.SortStableFunc(events, func(a, b prescribe.Event) int { return int(a.At - b.At) })
	s := prescribe.Fold(prescribe.State{}, prescribe.Event{Day: 1, Key: "profile", Profile: &l.profile}, l.rules)
	for _, e := range events {
		s = prescribe.Fold(s, e, l.rules)
	}
	return s
}

func (l life) plan(s prescribe.State) prescribe.Card {
	return prescribe.Plan(s, l.cal, l.prog, l.rules, l.today, l.edits)
}

// force puts a session on today whatever the placement says, so that two cards
// can be compared line by line.
func (l *life) force(t *rapid.T) {
	l.edits = []prescribe.Edit{{Kind: prescribe.EditAdd, Template: rapid.SampledFrom([]string{"main-a", "main-b", "main-c"}).Draw(t, "forced")}}
}

func clubCase() (caseFile, string, error) {
	_, sections, _, err := readSections(casesDir + "/club.txt")
	c := caseFile{settings: map[string]prescribe.Setting{}}
	for _, s := range sections {
		if err == nil && (s.head == "place gym" || s.head == "place hotel") {
			err = c.section(s)
		}
	}
	return c, "", err
}

func programmeOf(text string) prescribe.Programme {
	var c caseFile
	s := section{head: "programme"}
	for n, line := range splitLines(text) {
		s.lines = append(s.lines, caseText{n, line})
	}
	if err := c.section(s); err != nil {
		panic(err)
	}
	return c.prog
}

// noMoreWork compares two cards of the same session: where the second has the
// same exercise, it has no more sets, repetitions or load; and it has no more
// sets in all of the exercises that concern picks.
func noMoreWork(t *rapid.T, less, more prescribe.Card, concerns func(prescribe.Exercise) bool) {
	byID := map[string]prescribe.Item{}
	setsBefore, setsAfter := 0, 0
	for _, it := range less.Items {
		byID[it.Slot+string(it.Exercise)] = it
		if ex, _ := prescribe.Lookup(it.Exercise); concerns(ex) {
			setsBefore += it.Sets
		}
	}
	for _, it := range more.Items {
		ex, _ := prescribe.Lookup(it.Exercise)
		if !concerns(ex) {
			continue
		}
		setsAfter += it.Sets
		was, ok := byID[it.Slot+string(it.Exercise)]
		if !ok {
			continue
		}
		require.LessOrEqual(t, it.Sets, was.Sets, "sets of %s", it.Exercise)
		require.LessOrEqual(t, it.Load, was.Load, "load of %s", it.Exercise)
		require.LessOrEqual(t, it.Reps, was.Reps, "repetitions of %s", it.Exercise)
		require.LessOrEqual(t, it.Inertia, was.Inertia, "inertia of %s", it.Exercise)
	}
	require.LessOrEqual(t, setsAfter, setsBefore, "sets in that region")
}

func TestMoreSorenessIsNeverMoreWork(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawLife(t)
		l.maybeAnyClub(t)
		l.force(t)
		region := rapid.SampledFrom(soreRegions).Draw(t, "region")
		a := rapid.IntRange(0, 10).Draw(t, "a")
		b := rapid.IntRange(a, 10).Draw(t, "b")
		card := func(score int) prescribe.Card {
			e := prescribe.Event{At: at(l.today, "07:30"), Day: l.today, Key: "x", Soreness: &prescribe.Soreness{Region: region, Score: prescribe.Score(score)}}
			return l.plan(l.state(e))
		}
		noMoreWork(t, card(a), card(b), func(ex prescribe.Exercise) bool { return slices.Contains(ex.Regions, region) })
	})
}

func TestMorePainIsNeverMoreWork(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawLife(t)
		l.maybeAnyClub(t)
		l.force(t)
		p := prescribe.Pain{Region: rapid.SampledFrom(painRegions).Draw(t, "region"), Muscle: rapid.Bool().Draw(t, "muscle"),
			Timing: rapid.SampledFrom([]prescribe.PainTiming{prescribe.PainBefore, prescribe.PainDuring, prescribe.PainMorning, prescribe.PainOther}).Draw(t, "timing")}
		a := rapid.IntRange(0, 10).Draw(t, "a")
		b := rapid.IntRange(a, 10).Draw(t, "b")
		card := func(score int) prescribe.Card {
			q := p
			q.Score = prescribe.Score(score)
			return l.plan(l.state(prescribe.Event{At: at(l.today, "07:30"), Day: l.today, Key: "x", Pain: &q}))
		}
		noMoreWork(t, card(a), card(b), func(ex prescribe.Exercise) bool { return slices.Contains(ex.Regions, p.Region) })
	})
}

// met insists that a property was put to the test at all. The few draws of the
// short form may miss what is rare.
func met(t *testing.T, times int) {
	t.Helper()
	if !testing.Short() {
		require.Positive(t, times)
	}
}

// What pain or a stop takes away is not made up for by another lift for the
// legs, nor by new lowering or flywheel work, nor by what works the place or
// borders on it.
func TestNothingNewStandsInForWhatHurts(t *testing.T) {
	fewer := 0
	rapid.Check(t, func(t *rapid.T) {
		l := drawLife(t)
		l.maybeAnyClub(t)
		l.force(t)
		region := rapid.SampledFrom(painRegions).Draw(t, "region")
		e := prescribe.Event{At: at(l.today, "07:30"), Day: l.today, Key: "x"}
		if rapid.Bool().Draw(t, "held") {
			e.Hold = &prescribe.Hold{ID: "x", Medical: rapid.Bool().Draw(t, "by medical"), Region: region}
		} else {
			e.Pain = &prescribe.Pain{Region: region, Score: prescribe.Score(rapid.IntRange(3, 10).Draw(t, "score"))}
		}
		before, after := l.plan(l.state()), l.plan(l.state(e))
		had := map[prescribe.ExerciseID]bool{}
		for _, it := range before.Items {
			had[it.Exercise] = true
		}
		if len(after.Items) < len(before.Items) {
			fewer++
		}
		for _, it := range after.Items {
			if had[it.Exercise] {
				continue
			}
			ex, _ := prescribe.Lookup(it.Exercise)
			require.False(t, ex.Lower && ex.LoadKind != prescribe.LoadNone, "%s was not on the card without it", it.Exercise)
			require.False(t, it.New, "new: %s", it.Exercise)
			require.NotContains(t, ex.Regions, region, it.Exercise)
			if region == prescribe.Hamstring {
				require.NotContains(t, ex.Regions, prescribe.Glute, it.Exercise)
			}
		}
	})
	met(t, fewer)
}

func TestLowerRecordIsNeverHeavier(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawLife(t)
		l.maybeAnyClub(t)
		l.edits = nil
		l.force(t)
		id := prescribe.ExerciseID(rapid.SampledFrom([]string{"back_squat", "romanian_deadlift", "bench_press", "pull_up"}).Draw(t, "lift"))
		tested := l.today - prescribe.Day(rapid.IntRange(1, 10).Draw(t, "tested"))
		a := rapid.IntRange(20, 150).Draw(t, "a")
		b := rapid.IntRange(20, a).Draw(t, "b")
		// A test far above the record waits for the player's answer, so it is not a
		// higher record yet.
		waits := false
		card := func(kg int) prescribe.Card {
			e := prescribe.Event{At: at(tested, "06:00"), Day: tested, Key: "x", Set: &prescribe.Set{Exercise: id, Load: prescribe.Kg(kg), Reps: 1, Ordinal: 1, Test: true, ToFail: true}}
			s := l.state(e)
			waits = waits || len(s.Lifts[string(id)].Waiting) > 0
			return l.plan(s)
		}
		high, low := card(a), card(b)
		if waits {
			return
		}
		for _, it := range low.Items {
			for _, was := range high.Items {
				if it.Slot == was.Slot && it.Exercise == was.Exercise && !it.Finding && !was.Finding {
					require.LessOrEqual(t, it.Load, was.Load, "%s of a record of %d against %d:\n%s\n%s", it.Exercise, b, a, mustJSON(t, it), mustJSON(t, was))
				}
			}
		}
	})
}

// The hard limits, worked out again from the calendar without the planner.
func TestHardLimitsHold(t *testing.T) {
	items := 0
	rapid.Check(t, func(t *rapid.T) {
		l := drawLife(t)
		s := l.state()
		card := l.plan(s)
		items += len(card.Items)
		checkLimits(t, l, s, card)
	})
	met(t, items)
}

func checkLimits(t *rapid.T, l life, s prescribe.State, card prescribe.Card) {
	var day prescribe.CalendarDay
	for _, d := range l.cal.Days {
		if d.Day == l.today {
			day = d
		}
	}
	setting := l.settings[day.Setting]
	end := day.Start + prescribe.Instant(card.Minutes)*60*1000
	next, match := 99, false
	hours := 1e9
	early := false
	minutes := map[string]int{}
	for _, e := range l.events {
		if e.Match != nil {
			minutes[e.Match.MatchID] = e.Match.Minutes
		}
	}
	for _, m := range l.cal.Matches {
		match = match || m.Day == l.today
		if m.Day > l.today {
			next = min(next, int(m.Day-l.today))
		}
		if m.Kickoff > day.Start {
			hours = min(hours, m.Kickoff.Hours(end))
		}
		played, known := minutes[m.ID]
		if h := day.Start.Hours(m.End); h >= 0 && h < 24 && (!known || played >= 60) {
			early = true
		}
	}
	youth := l.profile.Born == 0 || l.profile.Born > today0-18*366
	if len(card.Items) > 0 {
		require.False(t, match, "a session on match day")
		require.Empty(t, s.Warnings, "a session with a warning sign")
		if youth {
			require.True(t, setting.Supervised)
			require.True(t, card.Approval || slices.ContainsFunc(l.edits, func(e prescribe.Edit) bool { return e.Kind == prescribe.EditApprove }))
		}
	}
	heavy := 0
	for _, it := range card.Items {
		ex, ok := prescribe.Lookup(it.Exercise)
		require.True(t, ok)
		require.True(t, ex.CanDo(setting), it.Exercise)
		require.Positive(t, it.Sets)
		require.Positive(t, it.Reps)
		if next == 1 {
			require.True(t, it.Optional, "%s the day before a match", it.Exercise)
			require.NotEqual(t, prescribe.SchemeNordic, it.Scheme)
			require.False(t, it.Finding, "%s: a record is found the day before a match", it.Exercise)
			require.False(t, it.Percent > 0 && it.Intended >= 80, "%s is heavy the day before a match", it.Exercise)
		}
		if ex.Lower {
			require.True(t, l.option || !early, "%s too early after a match", it.Exercise)
		}
		if it.New && ex.Lower {
			require.GreaterOrEqual(t, hours, 72.0, "new eccentric work: %s", it.Exercise)
		}
		if it.Scheme == prescribe.SchemeNordic {
			require.NotEqual(t, 2, next, "Nordics on MD-2")
			if hours < 72 {
				require.LessOrEqual(t, it.Sets*it.Reps, 8)
			}
		}
		loaded := it.Percent > 0
		if next == 2 && (loaded && it.Intended >= 80 || it.Scheme == prescribe.SchemeFlywheel && ex.Lower || it.Finding) {
			heavy += it.Sets
			if it.Scheme != prescribe.SchemeFlywheel {
				require.NotNil(t, it.RIR, it.Exercise)
				require.GreaterOrEqual(t, *it.RIR, prescribe.RIR(2), it.Exercise)
			}
		}
		if youth {
			require.NotEqual(t, prescribe.SchemeAccentuated, it.Scheme)
			most := prescribe.Percent(80)
			if l.profile.YouthSignOff {
				most = 85
			}
			if ex.LoadKind != prescribe.LoadBodyweight || it.Load > 0 {
				require.LessOrEqual(t, it.Percent, most+0.05, it.Exercise)
			}
			if loaded {
				require.NotNil(t, it.RIR)
				require.GreaterOrEqual(t, *it.RIR, prescribe.RIR(2))
			}
		}
		if !setting.Supervised && loaded {
			require.NotNil(t, it.RIR)
			require.GreaterOrEqual(t, *it.RIR, prescribe.RIR(2))
		}
		if it.Scheme == prescribe.SchemeAccentuated {
			require.True(t, setting.Supervised)
			require.True(t, setting.Place == "gym")
		}
		for _, h := range s.Held(l.today) {
			concerns := h.Region == "" || slices.Contains(ex.Regions, h.Region)
			if !concerns {
				continue
			}
			require.NotZero(t, h.MaxLoad, "%s though %s is stopped: %s", it.Exercise, h.Region, h.Cause)
			if h.MaxLoad < 100 && it.Load > 0 {
				require.LessOrEqual(t, it.Percent, h.MaxLoad+0.05, it.Exercise)
			}
		}
		if it.Load > 0 && it.EccLoad == 0 {
			built, ok := prescribe.Build(it.Load, ex, setting.Equipment)
			require.True(t, ok)
			require.Equal(t, built.Load, it.Load, "%s cannot be built", it.Exercise)
		}
	}
	require.LessOrEqual(t, heavy, 2, "heavy sets on MD-2: %s", mustJSON(t, card.Items))
	seen := map[prescribe.Day]bool{}
	for _, p := range card.Week {
		require.False(t, seen[p.Day], "two sessions on %s", p.Day)
		seen[p.Day] = true
		require.GreaterOrEqual(t, p.Day, l.today)
		require.Equal(t, l.today.Monday(), p.Day.Monday())
		for _, d := range l.cal.Days {
			require.False(t, d.Day == p.Day && d.Off, "placed on a day off")
		}
		for _, m := range l.cal.Matches {
			require.False(t, m.Day == p.Day || m.Day == p.Day+1, "placed on MD or MD-1")
		}
	}
	for _, r := range card.Reasons {
		names, ok := prescribe.ReasonCodes[r.Code]
		require.True(t, ok, r.Code)
		require.Len(t, r.Args, len(names), r.Code)
	}
	for _, it := range card.Items {
		for _, r := range it.Reasons {
			names, ok := prescribe.ReasonCodes[r.Code]
			require.True(t, ok, r.Code)
			require.Len(t, r.Args, len(names), r.Code)
		}
	}
}

// A card is the same whether its state was kept in memory or read back, and
// whenever it is worked out again.
func TestPlanIsAFunction(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawLife(t)
		l.maybeAnyClub(t)
		s := l.state()
		before := mustJSON(t, s)
		first := mustJSON(t, l.plan(s))
		require.Equal(t, first, mustJSON(t, l.plan(s)))
		require.Equal(t, before, mustJSON(t, s), "Plan changed its state")

		var back prescribe.State
		require.NoError(t, json.Unmarshal([]byte(before), &back))
		require.Equal(t, before, mustJSON(t, back))
		require.Equal(t, first, mustJSON(t, l.plan(back)))

		rand.New(rand.NewPCG(1, 2)).Shuffle(len(l.edits), func(i, j int) { l.edits[i], l.edits[j] = l.edits[j], l.edits[i] })
		require.Equal(t, first, mustJSON(t, l.plan(s)), "the order in which edits are handed over")
	})
}

func mustJSON(t require.TestingT, v any) string {
	b, err := json.Marshal(v)
	require.NoError(t, err)
	return string(b)
}

// Folding leaves the state it was given alone, and folding from a state read
// back is the same as going on.
func TestFoldIsAFunction(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawLife(t)
		events := slices.Clone(l.events)
		slices.SortStableFunc(events, func(a, b prescribe.Event) int { return int(a.At - b.At) })
		cut := rapid.IntRange(0, len(events)).Draw(t, "cut")
		var s prescribe.State
		for _, e := range events[:cut] {
			s = prescribe.Fold(s, e, l.rules)
		}
		before := mustJSON(t, s)
		var back prescribe.State
		require.NoError(t, json.Unmarshal([]byte(before), &back))
		straight := s
		for _, e := range events[cut:] {
			straight, back = prescribe.Fold(straight, e, l.rules), prescribe.Fold(back, e, l.rules)
		}
		require.Equal(t, before, mustJSON(t, s), "Fold changed its state")
		require.Equal(t, mustJSON(t, straight), mustJSON(t, back))
	})
}

// Nonsense changes nothing that cannot be written down, and never panics.
func TestFoldIsTotal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var s prescribe.State
		for i := range rapid.IntRange(1, 30).Draw(t, "events") {
			e := prescribe.Event{At: prescribe.Instant(rapid.Int64Range(-1e12, 1e13).Draw(t, "at")), Day: prescribe.Day(rapid.IntRange(-1000, 60000).Draw(t, "day")), Key: fmt.Sprint(i)}
			word, n := rapid.String().Draw(t, "word"), rapid.IntRange(-1000, 1000).Draw(t, "n")
			f := rapid.Float64().Draw(t, "f")
			switch rapid.IntRange(0, 11).Draw(t, "kind") {
			case 0:
				e.Set = &prescribe.Set{Exercise: prescribe.ExerciseID(rapid.SampledFrom([]string{word, "back_squat", "nordic_hamstring", "flywheel_squat", "pull_up"}).Draw(t, "exercise")), Load: prescribe.Kg(f), Reps: n, Ordinal: n, Inertia: prescribe.Inertia(f), Device: word}
			case 1:
				e.Soreness = &prescribe.Soreness{Region: prescribe.Region(word), Side: prescribe.Side(word), Score: prescribe.Score(n)}
			case 2:
				e.Pain = &prescribe.Pain{Region: prescribe.Region(word), Score: prescribe.Score(n), Timing: prescribe.PainTiming(word)}
			case 3:
				rpe := prescribe.Score(n)
				e.Session = &prescribe.Session{Template: word, Outcome: prescribe.Outcome(word), RPE: &rpe, Minutes: n}
			case 4:
				e.Hold = &prescribe.Hold{ID: word, MaxLoad: prescribe.Percent(f), Until: prescribe.Day(n), Medical: n > 0}
			case 5:
				e.Release = &prescribe.Release{Medical: n > 0, MaxLoad: prescribe.Percent(f), HoldID: word, Review: prescribe.Day(n)}
			case 6:
				e.Warning = &prescribe.Warning{Sign: prescribe.Sign(word)}
			case 7:
				e.Match = &prescribe.MatchPlayed{MatchID: word, Minutes: n, End: e.At}
			case 8:
				e.Power = &prescribe.PowerTest{Exercise: prescribe.ExerciseID(word), Device: word, Inertia: prescribe.Inertia(f), Power: prescribe.Watts(f)}
			case 9:
				e.Profile = &prescribe.Profile{Born: prescribe.Day(n), BodyMass: prescribe.Kg(f)}
			case 10:
				e.Answer = &prescribe.RecordAnswer{Exercise: "back_squat", SetKey: word, Right: n > 0}
			}
			next := prescribe.Fold(s, e, prescribe.DefaultRules())
			prescribe.Notices(s, next, e, prescribe.DefaultRules())
			s = next
		}
		mustJSON(t, s)
		s.Held(20000)
		s.OpenPain(20000)
	})
}

// Ten seasons of everything leave a state no larger than three.
func TestStateStaysBounded(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	pick := func(n int) int { return rng.IntN(n) }
	library := prescribe.Library()
	rules := prescribe.DefaultRules()
	s := prescribe.Fold(prescribe.State{}, prescribe.Event{Day: today0, Profile: &prescribe.Profile{Born: today0 - 9000, BodyMass: 80}}, rules)
	sizes := make([]int, 10)
	for season := range sizes {
		for d := range 365 {
			day := today0 + prescribe.Day(season*365+d)
			fold := func(e prescribe.Event) {
				e.Day, e.At, e.Key = day, at(day, "10:00"), fmt.Sprintf("%d/%d", day, pick(1e9))
				s = prescribe.Fold(s, e, rules)
			}
			ex := library[pick(len(library))]
			rir := prescribe.RIR(pick(5))
			side := []prescribe.Side{prescribe.Left, prescribe.Right, prescribe.Both}[pick(3)]
			for i := range 3 {
				fold(prescribe.Event{Set: &prescribe.Set{Exercise: ex.ID, Side: side, Load: prescribe.Kg(20 + pick(60)), Reps: 3 + pick(6), Asked: 3 + pick(6), RIR: &rir, Ordinal: i + 1,
					Device: "north", Inertia: 0.05, Scheme: prescribe.SchemePercent, Intended: prescribe.Percent(70 + pick(20))}})
			}
			fold(prescribe.Event{Power: &prescribe.PowerTest{Exercise: ex.ID, Device: fmt.Sprint("device ", pick(40)), Inertia: prescribe.Inertia(0.05 + 0.001*float64(pick(90))), Power: 500}})
			fold(prescribe.Event{Soreness: &prescribe.Soreness{Region: painRegions[pick(len(painRegions))], Side: side, Score: prescribe.Score(pick(11))}})
			fold(prescribe.Event{Pain: &prescribe.Pain{Region: painRegions[pick(len(painRegions))], Side: side, Score: prescribe.Score(pick(11))}})
			fold(prescribe.Event{Session: &prescribe.Session{Template: fmt.Sprint("t", pick(100)), Outcome: prescribe.DoneAsWritten, RPE: new(prescribe.Score), Minutes: 60}})
			fold(prescribe.Event{Match: &prescribe.MatchPlayed{MatchID: fmt.Sprint("m", day), Minutes: 90, End: at(day, "17:00")}})
			fold(prescribe.Event{Hold: &prescribe.Hold{ID: fmt.Sprint("h", day), Medical: d%2 == 0, MaxLoad: 50, Until: day + 3}})
			fold(prescribe.Event{Warning: &prescribe.Warning{Sign: prescribe.Sign(fmt.Sprint("s", day))}})
			if b := len(mustJSON(t, s)); b > sizes[season] {
				sizes[season] = b
			}
		}
	}
	t.Logf("largest JSON of each season, bytes: %v", sizes)
	most := slices.Max(sizes[:3])
	for season, b := range sizes {
		require.LessOrEqual(t, float64(b), 1.05*float64(most), "season %d", season+1)
	}
}
