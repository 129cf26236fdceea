package prescribe_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
)

func TestStops(t *testing.T) {
	s := foldAll(adult, on(today0, prescribe.Event{Hold: &prescribe.Hold{ID: "h", Region: prescribe.Hamstring}}))
	require.True(t, s.Stops("romanian_deadlift", today0))
	require.False(t, s.Stops("bench_press", today0))
	require.False(t, s.Stops("zercher_squat", today0), "not in the library: nothing is known to stop it")
	sign := foldAll(adult, on(today0, prescribe.Event{Warning: &prescribe.Warning{Sign: prescribe.SignPalpitations}}))
	require.True(t, sign.Stops("bench_press", today0))
	somewhere := foldAll(adult, on(today0, prescribe.Event{Pain: &prescribe.Pain{Unclear: true}}))
	require.True(t, somewhere.Stops("bench_press", today0))
}

func TestLiftKeysAreSorted(t *testing.T) {
	set := func(id prescribe.ExerciseID) prescribe.Event {
		return on(today0, prescribe.Event{Set: &prescribe.Set{Exercise: id, Load: 20, Reps: 5, Ordinal: 1}})
	}
	s := foldAll(adult, set("step_up"), set("back_squat"))
	require.Equal(t, []string{"back_squat", "step_up/left", "step_up/right"}, s.LiftKeys())
}

func TestInstantsAreTimes(t *testing.T) {
	at := time.Date(2026, 3, 4, 10, 30, 0, 5e6, time.FixedZone("there", 3600))
	require.True(t, prescribe.InstantOf(at).Time().Equal(at))
	require.Equal(t, time.UTC, prescribe.InstantOf(at).Time().Location())
}

// Every exercise stresses regions that a player can name, each region is named
// once, and those that are sore or hurt often in football are there.
func TestRegions(t *testing.T) {
	seen := map[prescribe.Region]bool{}
	for _, r := range prescribe.Regions() {
		require.False(t, seen[r], r)
		seen[r] = true
	}
	for _, ex := range prescribe.Library() {
		for _, r := range ex.Regions {
			require.True(t, seen[r], "%s stresses %s", ex.ID, r)
		}
	}
}

// Repetitions in reserve that are told after the session was closed count, too.
func TestEffortToldAfterTheSession(t *testing.T) {
	rir := prescribe.RIR(2)
	session := prescribe.Event{Session: &prescribe.Session{Template: "main-a", Outcome: prescribe.DoneChanged}}
	set := prescribe.Event{Set: &prescribe.Set{Exercise: "back_squat", Load: 100, Reps: 5, Ordinal: 1, RIR: &rir}}
	s := foldAll(adult, on(today0, session))
	require.Equal(t, 1, s.NoRIRRun)
	require.Zero(t, prescribe.Fold(s, on(today0, set), rules).NoRIRRun)
	require.Equal(t, 1, prescribe.Fold(s, on(today0-1, set), rules).NoRIRRun, "of another day")
}

// Two sessions of a day are one day's load, and an effort that cannot be is the
// nearest that can.
func TestLoadsOfADayAddUp(t *testing.T) {
	session := func(template string, rpe prescribe.Score, minutes int) prescribe.Event {
		return on(today0, prescribe.Event{Session: &prescribe.Session{Template: template, Outcome: prescribe.DoneAsWritten, RPE: &rpe, Minutes: minutes}})
	}
	s := foldAll(adult, session("main-a", 7, 60), session("main-b", 14, 30))
	require.Equal(t, []prescribe.DayLoad{{Day: today0, Load: 7*60 + 10*30}}, s.Loads)
}

// An answer about a lift that nobody knows changes nothing.
func TestAnswerAboutNothing(t *testing.T) {
	s := foldAll(adult)
	e := on(today0, prescribe.Event{Answer: &prescribe.RecordAnswer{Exercise: "zercher_squat", SetKey: "x", Right: true}})
	after := prescribe.Fold(s, e, rules)
	after.Now = s.Now
	require.Equal(t, s, after)
}

// A slot without candidates is left out, and the card says so.
func TestSlotWithoutCandidates(t *testing.T) {
	c, _, err := clubCase()
	require.NoError(t, err)
	day := today0
	c.cal = prescribe.Calendar{Settings: c.settings, Days: []prescribe.CalendarDay{{Day: day, Phase: prescribe.InSeason, Setting: "gym", Start: at(day, "10:00")}}}
	p := prescribe.Programme{Sessions: []prescribe.SessionTemplate{{ID: "a", Phase: prescribe.InSeason, Slots: []prescribe.Slot{
		{ID: "empty", Scheme: prescribe.SchemeReps, Sets: 2, Reps: 5},
		{ID: "row", Scheme: prescribe.SchemeReps, Candidates: []prescribe.ExerciseID{"band_row"}, Sets: 2, Reps: 10},
	}}}}
	card := prescribe.Plan(foldAll(adult), c.cal, p, rules, day, nil)
	require.Len(t, card.Items, 1)
	require.Equal(t, prescribe.ExerciseID("band_row"), card.Items[0].Exercise)
	require.Contains(t, codes(card.Reasons), "slot.dropped")
	for _, slot := range p.Sessions[0].Slots[:1] {
		p.Sessions[0].Slots = []prescribe.Slot{slot}
		require.Equal(t, prescribe.CardRest, prescribe.Plan(foldAll(adult), c.cal, p, rules, day, nil).Kind)
	}
	p.Sessions[0].Slots = []prescribe.Slot{{ID: "empty"}}
	edit := []prescribe.Edit{{Kind: prescribe.EditAdd, Template: "a"}, {Kind: prescribe.EditDrop, Slot: "empty"}}
	require.Empty(t, prescribe.Plan(foldAll(adult), c.cal, p, rules, day, edit).Items)
}

func codes(list []prescribe.Reason) (out []string) {
	for _, r := range list {
		out = append(out, r.Code)
	}
	return out
}

// An exercise of a stored card that the library does not know any more is not
// stopped for a region; a stop of the whole player ends it.
func TestCurtailUnknownExercise(t *testing.T) {
	begun := prescribe.Begun{Card: prescribe.Card{Day: today0, Kind: prescribe.CardTrain, Items: []prescribe.Item{{Slot: "a", Exercise: "zercher_squat", Sets: 3, Reps: 5}}}, Done: []int{1}}
	s := foldAll(adult, on(today0, prescribe.Event{Hold: &prescribe.Hold{ID: "h", Region: prescribe.Hamstring}}))
	require.Equal(t, begun.Card, prescribe.Curtail(s, begun, rules))
	s = prescribe.Fold(s, on(today0, prescribe.Event{Hold: &prescribe.Hold{ID: "all"}}), rules)
	require.True(t, prescribe.Curtail(s, begun, rules).Items[0].Ended)
	require.Equal(t, 1, prescribe.Curtail(s, begun, rules).Items[0].Sets)
}

// What cannot be a measurement changes nothing.
func TestSenselessPowerTest(t *testing.T) {
	for _, p := range []prescribe.PowerTest{{Power: 1e6, Inertia: 0.05}, {Power: 500, Inertia: 50}, {Power: -1, Inertia: 0.05}, {Power: 500, Inertia: -1}} {
		p.Exercise, p.Device = "flywheel_squat", "north"
		require.Empty(t, foldAll(adult, on(today0, prescribe.Event{Power: &p})).Power, "%v", p)
	}
	good := prescribe.PowerTest{Exercise: "flywheel_squat", Device: "north", Power: 500, Inertia: 0.05}
	require.Len(t, foldAll(adult, on(today0, prescribe.Event{Power: &good})).Power, 1)
}

// A release of one region leaves the others' pain as it was; a coach's hold that
// has run out is shown no more, and what nobody answered is.
func TestHeldOnTheDay(t *testing.T) {
	s := foldAll(adult,
		on(today0, painOf(prescribe.Knee, 8, "")),
		on(today0, painOf(prescribe.Shoulder, 8, "")),
		on(today0, painOf(prescribe.Elbow, 3, "")),
		on(today0, prescribe.Event{Hold: &prescribe.Hold{ID: "short", Region: prescribe.Calf, MaxLoad: 70, Until: today0 + 1}}),
		on(today0, prescribe.Event{Release: &prescribe.Release{Medical: true, Region: prescribe.Knee, MaxLoad: 100}}))
	held := func(day prescribe.Day) map[prescribe.Region]string {
		out := map[prescribe.Region]string{}
		for _, h := range s.Held(day) {
			out[h.Region] = h.Cause
		}
		return out
	}
	require.Equal(t, map[prescribe.Region]string{prescribe.Calf: "hold", prescribe.Shoulder: "pain", prescribe.Elbow: "reported"}, held(today0))
	require.Equal(t, map[prescribe.Region]string{prescribe.Shoulder: "pain", prescribe.Elbow: "unanswered"}, held(today0+2))
}

// A set of an exercise that the library does not know is training all the same.
func TestSetOfAnUnknownExercise(t *testing.T) {
	s := foldAll(adult, on(today0, prescribe.Event{Set: &prescribe.Set{Exercise: "zercher_squat", Load: 60, Reps: 5, Ordinal: 1}}))
	require.Equal(t, today0, s.Trained)
	require.Empty(t, s.Lifts)
	require.Empty(t, s.Exposed)
}

// Minutes that are told again replace those told before; other matches stay.
func TestMinutesToldAgain(t *testing.T) {
	played := func(id string, minutes int, day prescribe.Day) prescribe.Event {
		return on(day, prescribe.Event{Match: &prescribe.MatchPlayed{MatchID: id, Minutes: minutes, End: at(day, "17:00")}})
	}
	s := foldAll(adult, played("m1", 90, today0-7), played("m2", 20, today0), played("m1", 45, today0-7))
	require.Len(t, s.Matches, 2)
	require.Equal(t, 45, s.Matches[0].Minutes)
	require.Equal(t, 20, s.Matches[1].Minutes)
}

// Each warning sign of each place is remembered once.
func TestWarningSignsAreKeptOnce(t *testing.T) {
	sign := func(x prescribe.Sign, r prescribe.Region, day prescribe.Day) prescribe.Event {
		return on(day, prescribe.Event{Warning: &prescribe.Warning{Sign: x, Region: r}})
	}
	s := foldAll(adult, sign(prescribe.SignPop, prescribe.Knee, today0), sign(prescribe.SignPop, prescribe.Ankle, today0),
		sign(prescribe.SignSwelling, prescribe.Knee, today0), sign(prescribe.SignPop, prescribe.Knee, today0+1))
	require.Len(t, s.Warnings, 3)
	require.Equal(t, today0+1, s.Warnings[2].Day)
}

// Sessions without an answer are counted apart; one withheld counts as neither.
func TestRunsOfSessions(t *testing.T) {
	session := func(o prescribe.Outcome, day prescribe.Day) prescribe.Event {
		return on(day, prescribe.Event{Session: &prescribe.Session{Template: "a", Outcome: o}})
	}
	s := foldAll(adult, session(prescribe.NoAnswer, today0), session(prescribe.Withheld, today0+1), session(prescribe.NoAnswer, today0+2))
	require.Equal(t, []int{2, 0}, []int{s.NoAnswerRun, s.Missed})
	s = foldAll(adult, session(prescribe.NoAnswer, today0), session(prescribe.NotDone, today0+1), session(prescribe.Withheld, today0+2))
	require.Equal(t, []int{0, 1}, []int{s.NoAnswerRun, s.Missed})
}

// Of a lift's plan lines the last day of each is remembered: the first set's load,
// the fewest repetitions, the first effort told.
func TestLastWorkOfALift(t *testing.T) {
	one, three := prescribe.RIR(1), prescribe.RIR(3)
	set := func(day prescribe.Day, scheme prescribe.Scheme, load prescribe.Kg, reps, asked int, rir *prescribe.RIR) prescribe.Event {
		return on(day, prescribe.Event{Set: &prescribe.Set{Exercise: "back_squat", Scheme: scheme, Load: load, Reps: reps, Asked: asked, RIR: rir, Ordinal: 1}})
	}
	s := foldAll(adult,
		set(today0, prescribe.SchemeRIR, 100, 6, 6, nil), set(today0, prescribe.SchemeRIR, 95, 5, 6, &three), set(today0, prescribe.SchemeRIR, 95, 6, 6, &one),
		set(today0+1, "", 60, 8, 8, nil), set(today0+2, "", 70, 5, 5, nil), set(today0+3, "", 62, 8, 8, nil))
	list := s.Last["back_squat"]
	require.Len(t, list, 3, "sets without a scheme are apart by what was asked")
	require.Equal(t, prescribe.Kg(62), list[0].Load)
	require.Equal(t, prescribe.Kg(70), list[1].Load)
	first := list[2]
	require.Equal(t, []any{today0, prescribe.Kg(100), 3, 5, 6, &three}, []any{first.Day, first.Load, first.Sets, first.Reps, first.Asked, first.RIR})
	s = prescribe.Fold(s, set(today0+4, prescribe.SchemeRIR, 102.5, 7, 7, nil), rules)
	require.Len(t, s.Last["back_squat"], 3, "of one scheme the latest, whatever it asked for")
	require.Equal(t, prescribe.Kg(102.5), s.Last["back_squat"][0].Load)
}

// Classifying a complaint does not make its last score newer than it is.
func TestClassifiedLater(t *testing.T) {
	s := foldAll(adult, on(today0, painOf(prescribe.Knee, 4, "")),
		on(today0+3, prescribe.Event{Release: &prescribe.Release{Medical: true, Region: prescribe.Knee, MaxLoad: 100, Classified: true}}))
	require.Equal(t, today0, s.Pain["knee"].Day)
	s = foldAll(adult, on(today0+3, prescribe.Event{Release: &prescribe.Release{Medical: true, Region: prescribe.Knee, MaxLoad: 100, Classified: true}}))
	require.Equal(t, today0+3, s.Pain["knee"].Day)
}

// Of too many holds the oldest of a coach goes first; medical ones stay.
func TestTooManyHolds(t *testing.T) {
	var list []prescribe.Event
	for i := range 33 {
		id := string(rune('A' + i))
		list = append(list, on(today0+prescribe.Day(i), prescribe.Event{Hold: &prescribe.Hold{ID: id, Medical: i != 5 && i != 9}}))
	}
	s := foldAll(adult, list...)
	require.Len(t, s.Holds, 32)
	for _, h := range s.Holds {
		require.NotEqual(t, string(rune('A'+5)), h.ID)
	}
	require.Len(t, foldAll(adult, list[:32]...).Holds, 32)
	// In whatever order they came.
	for i := range list {
		list[i] = on(today0-prescribe.Day(i), list[i])
	}
	var ids []string
	for _, h := range foldAll(adult, list...).Holds {
		ids = append(ids, h.ID)
	}
	require.Len(t, ids, 32)
	require.Contains(t, ids, string(rune('A'+5)))
	require.NotContains(t, ids, string(rune('A'+9)), "the older of the coach's two")
}

// A region that is stopped is told of at once, and again when it hurts more; the
// same pain again is no news.
func TestPainIsToldOnce(t *testing.T) {
	s := foldAll(adult)
	tell := func(score int) []prescribe.Notice {
		e := on(today0, painOf(prescribe.Knee, score, ""))
		next := prescribe.Fold(s, e, rules)
		list := prescribe.Notices(s, next, e, rules)
		s = next
		return list
	}
	require.Len(t, tell(7), 1)
	require.Empty(t, tell(7))
	require.Len(t, tell(8), 1)
	require.Empty(t, tell(2))
}

// Ten days without heavy work for the legs are not too many; on the eleventh staff
// are told, once. Of Nordics likewise on the fifteenth.
func TestGapsAreToldOnce(t *testing.T) {
	for _, c := range []struct {
		set  prescribe.Set
		what string
		most int
	}{{prescribe.Set{Exercise: "back_squat", Load: 100, Reps: 5, Ordinal: 1, Scheme: prescribe.SchemePercent, Intended: 85}, "heavy", 10},
		{prescribe.Set{Exercise: prescribe.NordicHamstring, Reps: 5, Ordinal: 1}, "nordic", 14}} {
		s := foldAll(adult, on(today0, prescribe.Event{Set: &c.set}))
		var told []int
		for d := 1; d < 20; d++ {
			for range 2 { // two events a day
				e := on(today0+prescribe.Day(d), prescribe.Event{Soreness: &prescribe.Soreness{Region: prescribe.Calf, Score: 1}})
				next := prescribe.Fold(s, e, rules)
				for _, n := range prescribe.Notices(s, next, e, rules) {
					require.Equal(t, prescribe.NoticeDose, n.Kind)
					require.Equal(t, c.what, n.Args[0].ID)
					told = append(told, d)
				}
				s = next
			}
		}
		require.Equal(t, []int{c.most + 1}, told, c.what)
	}
}

// The ladder goes on after fourteen days, waits after more, and starts over after
// more than 42.
func TestLadderGaps(t *testing.T) {
	step := func(gap prescribe.Day) int {
		var list []prescribe.Event
		for _, d := range []prescribe.Day{0, 7, 14, 14 + gap} {
			list = append(list, on(today0+d, prescribe.Event{Set: &prescribe.Set{Exercise: prescribe.NordicHamstring, Reps: 5, Asked: 5, Ordinal: 1}}))
		}
		return foldAll(adult, list...).Ladders[string(prescribe.NordicHamstring)].Step
	}
	require.Equal(t, []int{4, 4, 3, 3, 1}, []int{step(7), step(14), step(15), step(42), step(43)})
}

// Sides that differ by exactly the rule are not shown.
func TestSidesAtTheRule(t *testing.T) {
	test := func(side prescribe.Side, kg prescribe.Kg) prescribe.Event {
		return on(today0, prescribe.Event{Set: &prescribe.Set{Exercise: "step_up", Side: side, Load: kg, Reps: 1, Ordinal: 1, Test: true, ToFail: true}})
	}
	s := foldAll(adult, test(prescribe.Left, 40))
	for kg, want := range map[prescribe.Kg]int{34.01: 0, 33.99: 1} {
		e := test(prescribe.Right, kg)
		require.Len(t, prescribe.Notices(s, prescribe.Fold(s, e, rules), e, rules), want, "%v", kg)
	}
}

// A release without a load lifts nothing; a medical stop does not lapse, it stays;
// a session without minutes is no load.
func TestNothingIsNothing(t *testing.T) {
	stop := on(today0, prescribe.Event{Hold: &prescribe.Hold{ID: "h", Medical: true, Region: prescribe.Knee, Until: today0 + 2}})
	s := foldAll(adult, stop, on(today0, prescribe.Event{Release: &prescribe.Release{Medical: true, MaxLoad: 0}}))
	require.Len(t, s.Holds, 1)
	require.Equal(t, today0+2, s.Holds[0].Until)
	for _, h := range s.Held(today0 + 9) {
		require.Zero(t, h.MaxLoad)
		require.False(t, h.Lapsed, "only what was allowed can lapse")
	}
	rpe := prescribe.Score(7)
	s = foldAll(adult, on(today0, prescribe.Event{Session: &prescribe.Session{Template: "a", Outcome: prescribe.DoneAsWritten, RPE: &rpe}}))
	require.Empty(t, s.Loads)
}

// A load that did not go up at all, to failure, lowers the record.
func TestFailedOutright(t *testing.T) {
	set := func(day prescribe.Day, kg prescribe.Kg, reps int) prescribe.Event {
		return on(day, prescribe.Event{Set: &prescribe.Set{Exercise: "back_squat", Load: kg, Reps: reps, Ordinal: 1, ToFail: true}})
	}
	s := foldAll(adult, set(today0, 140, 1))
	failed := prescribe.Fold(s, set(today0+7, 125, 0), rules)
	day := today0 + 8
	require.Less(t, failed.Lifts["back_squat"].Estimate(day, rules).Median, s.Lifts["back_squat"].Estimate(day, rules).Median)
}

// At a cap the work may go on, above it not; who has fewer sets noted than items
// has done none of the rest; an empty card stays as it is.
func TestCurtailAtTheEdges(t *testing.T) {
	s := foldAll(adult, on(today0, prescribe.Event{Hold: &prescribe.Hold{ID: "h", Medical: true, Region: prescribe.Hamstring, MaxLoad: 70, Until: today0 + 5}}))
	at70 := prescribe.Item{Exercise: "romanian_deadlift", Sets: 3, Reps: 5, Percent: 70}
	above := at70
	above.Percent = 70.1
	card := prescribe.Curtail(s, prescribe.Begun{Card: prescribe.Card{Day: today0, Kind: prescribe.CardTrain, Items: []prescribe.Item{above, at70}}}, rules)
	require.True(t, card.Items[0].Ended)
	require.Zero(t, card.Items[0].Sets)
	require.False(t, card.Items[1].Ended)
	require.Equal(t, prescribe.CardTrain, prescribe.Curtail(s, prescribe.Begun{Card: prescribe.Card{Day: today0, Kind: prescribe.CardTrain}}, rules).Kind)
}

// A flywheel without its discs is none.
func TestBareFlywheel(t *testing.T) {
	ex, _ := prescribe.Lookup("flywheel_squat")
	bare := prescribe.Setting{Equipment: prescribe.Equipment{Flywheels: []prescribe.Wheel{{Device: "bare"}}}}
	require.False(t, ex.CanDo(bare))
	bare.Equipment.Flywheels[0].Inertias = []prescribe.Inertia{0.05}
	require.True(t, ex.CanDo(bare))
}
