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
