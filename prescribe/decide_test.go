package prescribe_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
)

var rules = prescribe.DefaultRules()

// fold folds events of the days given, in order, for an adult unless born
// says otherwise.
func foldAll(born prescribe.Day, list ...prescribe.Event) prescribe.State {
	s := prescribe.Fold(prescribe.State{}, prescribe.Event{Day: 1, Profile: &prescribe.Profile{Born: born, BodyMass: 80}}, rules)
	for i, e := range list {
		e.Key = fmt.Sprint(i)
		s = prescribe.Fold(s, e, rules)
	}
	return s
}

var adult = today0 - 9000

func on(day prescribe.Day, e prescribe.Event) prescribe.Event {
	e.Day, e.At = day, at(day, "08:00")
	return e
}

func painOf(r prescribe.Region, score int, timing prescribe.PainTiming) prescribe.Event {
	return prescribe.Event{Pain: &prescribe.Pain{Region: r, Score: prescribe.Score(score), Timing: timing}}
}

// The bands of the pain-monitoring model (Thomeé 1997 for the kneecap,
// Silbernagel 2007 for the Achilles; values from memory): 0–2 carry on, 3–5
// acceptable within limits, above 5 stop. What stops earlier is this project's
// own caution: muscle pain from 3, new pain during a set, growth places under
// 18.
func TestPainBands(t *testing.T) {
	young := today0 - 16*365
	for _, c := range []struct {
		region     prescribe.Region
		timing     prescribe.PainTiming
		classified bool
		born       prescribe.Day
		stopFrom   int // lowest score that stops; 11: none does
	}{
		{prescribe.Knee, prescribe.PainBefore, false, adult, 6},
		{prescribe.Knee, prescribe.PainBefore, true, adult, 6},
		{prescribe.Achilles, prescribe.PainMorning, false, adult, 6},
		{prescribe.Knee, prescribe.PainDuring, false, adult, 1},
		{prescribe.Knee, prescribe.PainDuring, true, adult, 6},
		{prescribe.Hamstring, prescribe.PainBefore, false, adult, 3},
		{prescribe.Hamstring, prescribe.PainBefore, true, adult, 6},
		{prescribe.Heel, prescribe.PainBefore, false, adult, 6},
		{prescribe.Heel, prescribe.PainBefore, false, young, 3},
		{prescribe.TibialTub, prescribe.PainOther, false, young, 3},
		{prescribe.HipFront, prescribe.PainOther, false, young, 3},
		{prescribe.Knee, prescribe.PainBefore, false, young, 6},
	} {
		for score := 0; score <= 10; score++ {
			var list []prescribe.Event
			if c.classified {
				list = append(list, on(today0-10, prescribe.Event{Release: &prescribe.Release{Medical: true, Region: c.region, MaxLoad: 100, Classified: true}}))
			}
			s := foldAll(c.born, append(list, on(today0, painOf(c.region, score, c.timing)))...)
			stopped, withheld := false, false
			for _, h := range s.Held(today0) {
				stopped = stopped || h.Region == c.region && h.MaxLoad == 0 && h.Cause == "pain"
				withheld = withheld || h.Region == c.region && h.MaxLoad == 0
			}
			// "Hold or lower" from 3 is for classified complaints only.
			require.Equal(t, stopped || score >= 3 && !c.classified, withheld, "%s %d, %s, classified %v", c.region, score, c.timing, c.classified)
			require.Equal(t, score >= c.stopFrom, stopped, "%s %d, %s, classified %v", c.region, score, c.timing, c.classified)
			// Silence: from 3 on, unless stopped already, withheld from the next day.
			open := s.OpenPain(today0 + 1)
			require.Equal(t, score >= 3 && !stopped, len(open) == 1, "%s %d", c.region, score)
			require.Empty(t, s.OpenPain(today0), "the day itself has its answer")
		}
	}
}

func TestPainIsAnsweredBySideOrWhole(t *testing.T) {
	left := prescribe.Event{Pain: &prescribe.Pain{Region: prescribe.Knee, Side: prescribe.Left, Score: 1}}
	right := prescribe.Event{Pain: &prescribe.Pain{Region: prescribe.Knee, Side: prescribe.Right, Score: 1}}
	s := foldAll(adult, on(today0, painOf(prescribe.Knee, 4, "")))
	require.Equal(t, []prescribe.Region{prescribe.Knee}, s.OpenPain(today0+5), "until it is answered")
	require.Empty(t, foldAll(adult, on(today0, painOf(prescribe.Knee, 4, "")), on(today0+1, left)).OpenPain(today0+2))
	left.Pain.Score = 4
	s = foldAll(adult, on(today0, left), on(today0+1, right))
	require.Equal(t, []prescribe.Region{prescribe.Knee}, s.OpenPain(today0+1), "the other side is no answer")
}

func TestOnlyMedicalStaffLiftMedicalStops(t *testing.T) {
	stops := map[string]prescribe.Event{
		"pain":    painOf(prescribe.Knee, 8, ""),
		"warning": {Warning: &prescribe.Warning{Sign: prescribe.SignHeadImpact}},
		"hold":    {Hold: &prescribe.Hold{ID: "m", Medical: true, Region: prescribe.Knee}},
	}
	for name, stop := range stops {
		coach := prescribe.Event{Release: &prescribe.Release{MaxLoad: 100}}
		s := foldAll(adult, on(today0, stop), on(today0, coach))
		require.Len(t, s.Held(today0), 1, name)
		require.True(t, s.Held(today0)[0].Medical, name)
		medical := prescribe.Event{Release: &prescribe.Release{Medical: true, MaxLoad: 100}}
		s = foldAll(adult, on(today0, stop), on(today0, medical))
		require.Empty(t, s.Held(today0), name)
		require.True(t, s.Medical.First, "%s: the next card waits for approval", name)
		nothing := prescribe.Event{Release: &prescribe.Release{Medical: true}}
		s = foldAll(adult, on(today0, stop), on(today0, nothing))
		require.NotEmpty(t, s.Held(today0), "%s: a cap of 0 is a stop", name)
	}
	// A release of a region leaves a sign of the whole body; one of a hold by
	// name leaves the rest.
	region := prescribe.Event{Release: &prescribe.Release{Medical: true, Region: prescribe.Knee, MaxLoad: 100}}
	require.Len(t, foldAll(adult, on(today0, stops["warning"]), on(today0, region)).Held(today0), 1)
	named := prescribe.Event{Release: &prescribe.Release{Medical: true, HoldID: "m", MaxLoad: 100}}
	require.Len(t, foldAll(adult, on(today0, stops["pain"]), on(today0, stops["hold"]), on(today0, named)).Held(today0), 1)
	// Medical staff do not lift a coach's hold.
	mine := prescribe.Event{Hold: &prescribe.Hold{ID: "c", Region: prescribe.Knee}}
	require.Len(t, foldAll(adult, on(today0, mine), on(today0, region)).Held(today0), 1)
	lift := prescribe.Event{Release: &prescribe.Release{HoldID: "c", MaxLoad: 100}}
	require.Empty(t, foldAll(adult, on(today0, mine), on(today0, lift)).Held(today0))
}

func TestReviewIsAtMostAWeekAwayAndLapsesToAStop(t *testing.T) {
	for _, review := range []prescribe.Day{0, today0 + 30} {
		s := foldAll(adult, on(today0, painOf(prescribe.Knee, 8, "")),
			on(today0, prescribe.Event{Release: &prescribe.Release{Medical: true, Region: prescribe.Knee, MaxLoad: 60, Review: review}}))
		held := s.Held(today0 + 7)
		require.Len(t, held, 1)
		require.Equal(t, prescribe.Percent(60), held[0].MaxLoad)
		require.Equal(t, today0+7, held[0].Until)
		again := prescribe.Fold(prescribe.Fold(s, on(today0+1, prescribe.Event{Session: &prescribe.Session{Template: "a", Outcome: prescribe.DoneAsWritten}}), rules),
			on(today0+2, prescribe.Event{Release: &prescribe.Release{Medical: true, Region: prescribe.Knee, MaxLoad: 80}}), rules)
		require.False(t, again.Medical.First, "a cap that goes on is not the end of a stop")
		held = s.Held(today0 + 8)
		require.Zero(t, held[0].MaxLoad)
		require.True(t, held[0].Lapsed)
	}
}

func TestMissedRun(t *testing.T) {
	session := func(day prescribe.Day, o prescribe.Outcome) prescribe.Event {
		return on(day, prescribe.Event{Session: &prescribe.Session{Template: "a", Outcome: o}})
	}
	s := foldAll(adult, session(today0, prescribe.NotDone), session(today0+1, prescribe.NoAnswer), session(today0+2, prescribe.Withheld))
	require.Equal(t, 1, s.MissedRun(), "neither silence nor a stop counts against the player")
	require.Equal(t, 1, s.NoAnswerRun)
	last := session(today0+3, prescribe.NotDone)
	next := prescribe.Fold(s, last, rules)
	require.Equal(t, 2, next.MissedRun())
	require.Equal(t, prescribe.NoticeSkipped, prescribe.Notices(s, next, last, rules)[0].Kind)
	third := session(today0+4, prescribe.NotDone)
	require.Empty(t, prescribe.Notices(next, prescribe.Fold(next, third, rules), third, rules), "once for two")
	require.Zero(t, prescribe.Fold(next, session(today0+5, prescribe.DoneChanged), rules).MissedRun())
}

func TestDistressGoesToOnePersonAndIsNotKept(t *testing.T) {
	s := foldAll(adult)
	e := on(today0, prescribe.Event{Warning: &prescribe.Warning{Sign: prescribe.SignDistress}})
	next := prescribe.Fold(s, e, rules)
	require.Empty(t, next.Held(today0))
	require.Equal(t, []prescribe.Notice{{Kind: prescribe.NoticeDistress, Sign: prescribe.SignDistress, Urgent: true, To: prescribe.ForSafeguarding}},
		prescribe.Notices(s, next, e, rules))
}

// Who is told what: a coach never reads pain, a head coach neither, and of an
// under-18 the coach does not read soreness.
func TestNoticesReachOnlyThoseWhoMayRead(t *testing.T) {
	notices := func(born prescribe.Day, e prescribe.Event) []prescribe.Notice {
		s := foldAll(born)
		e = on(today0, e)
		return prescribe.Notices(s, prescribe.Fold(s, e, rules), e, rules)
	}
	for _, n := range notices(adult, painOf(prescribe.Knee, 8, "")) {
		require.Equal(t, prescribe.ForMedical, n.To)
		require.True(t, n.Urgent)
	}
	held := notices(adult, painOf(prescribe.Knee, 3, ""))
	require.Len(t, held, 1)
	require.False(t, held[0].Urgent, "held, not stopped")
	require.Empty(t, held[0].Args[1].ID)
	classified := foldAll(adult, on(today0-10, prescribe.Event{Release: &prescribe.Release{Medical: true, Region: prescribe.Knee, MaxLoad: 100, Classified: true}}))
	pain := on(today0, painOf(prescribe.Knee, 3, ""))
	held = prescribe.Notices(classified, prescribe.Fold(classified, pain, rules), pain, rules)
	require.Len(t, held, 1)
	require.Equal(t, prescribe.PainClassified, held[0].Args[1].ID)
	require.Empty(t, notices(adult, painOf(prescribe.Knee, 2, "")))
	sore := prescribe.Event{Soreness: &prescribe.Soreness{Region: prescribe.Calf, Score: 7}}
	require.Equal(t, prescribe.ForStaff, notices(adult, sore)[0].To)
	require.Equal(t, prescribe.ForMedical, notices(today0-16*365, sore)[0].To)
	sore.Soreness.Score = 6
	require.Empty(t, notices(adult, sore))
}

// A set that can hardly be true is asked about.
func TestDoubtfulSetIsTold(t *testing.T) {
	test := on(today0-2, prescribe.Event{Set: &prescribe.Set{Exercise: "back_squat", Load: 100, Reps: 1, Ordinal: 1, Test: true, ToFail: true}})
	s := foldAll(adult, test)
	e := on(today0, prescribe.Event{Key: "odd", Set: &prescribe.Set{Exercise: "back_squat", Load: 190, Reps: 5, Ordinal: 1}})
	next := prescribe.Fold(s, e, rules)
	list := prescribe.Notices(s, next, e, rules)
	require.Len(t, list, 1)
	require.Equal(t, prescribe.NoticeDoubtful, list[0].Kind)
	require.Equal(t, "odd", list[0].Args[3].ID)
	answer := on(today0, prescribe.Event{Answer: &prescribe.RecordAnswer{Exercise: "back_squat", SetKey: "odd", Right: false}})
	require.Empty(t, prescribe.Fold(next, answer, rules).Lifts["back_squat"].Waiting)
}

// Harøy 2019: three levels, from 3–5 up to 12–15 repetitions a side.
func TestCopenhagenLevels(t *testing.T) {
	level, reps := prescribe.CopenhagenDose(0)
	require.Equal(t, []int{1, 5}, []int{level, reps})
	level, reps = prescribe.CopenhagenDose(4)
	require.Equal(t, []int{1, 15}, []int{level, reps})
	level, reps = prescribe.CopenhagenDose(5)
	require.Equal(t, []int{2, 5}, []int{level, reps})
	level, reps = prescribe.CopenhagenDose(1000)
	require.Equal(t, []int{3, 15}, []int{level, reps})
}

// Pain above 3 goes to the easier level.
func TestCopenhagenGoesDownAfterPain(t *testing.T) {
	var list []prescribe.Event
	for i := range 7 {
		list = append(list, on(today0+prescribe.Day(7*i), prescribe.Event{Set: &prescribe.Set{Exercise: prescribe.CopenhagenAdduction, Reps: 8, Asked: 8, Ordinal: 1}}))
	}
	s := foldAll(adult, list...)
	require.Equal(t, 7, s.Ladders[string(prescribe.CopenhagenAdduction)].Step)
	down := prescribe.Fold(s, on(today0+50, painOf(prescribe.Adductor, 4, "")), rules)
	require.Equal(t, 2, down.Ladders[string(prescribe.CopenhagenAdduction)].Step)
	same := prescribe.Fold(s, on(today0+50, painOf(prescribe.Adductor, 3, "")), rules)
	require.Equal(t, 7, same.Ladders[string(prescribe.CopenhagenAdduction)].Step)
}

// A set short of what was asked is no step, and neither is one after a gap.
func TestLadderSteps(t *testing.T) {
	set := func(day prescribe.Day, reps int) prescribe.Event {
		return on(day, prescribe.Event{Set: &prescribe.Set{Exercise: prescribe.NordicHamstring, Reps: reps, Asked: 5, Ordinal: 1}})
	}
	step := func(list ...prescribe.Event) int {
		return foldAll(adult, list...).Ladders[string(prescribe.NordicHamstring)].Step
	}
	require.Equal(t, 1, step(set(today0, 5), set(today0, 5)))
	require.Equal(t, 0, step(set(today0, 5), set(today0, 4)), "the second set of the day fell short")
	require.Equal(t, 2, step(set(today0, 5), set(today0+7, 5)))
	require.Equal(t, 1, step(set(today0, 5), set(today0+14+1, 5)), "halved after a gap")
	require.Equal(t, 1, step(set(today0, 5), set(today0+7, 5), set(today0+7+43, 5)), "started over")
}

func TestAge(t *testing.T) {
	born, _ := prescribe.ParseDay("2008-02-29")
	for day, want := range map[string]int{"2026-02-27": 17, "2026-02-28": 17, "2026-03-01": 18, "2028-02-29": 20} {
		d, _ := prescribe.ParseDay(day)
		age, ok := prescribe.Profile{Born: born}.Years(d)
		require.True(t, ok)
		require.Equal(t, want, age, day)
	}
	_, ok := prescribe.Profile{}.Years(today0)
	require.False(t, ok)
}

// The search stays small enough to be exact: seven days and five sessions.
func TestPlacementSearchIsBounded(t *testing.T) {
	c, _ := readCase(t, casesDir, "ordinary-week.txt")
	c.prog.Doses[0].Sessions = 50
	for i := range 7 {
		c.prog.Sessions = append(c.prog.Sessions, prescribe.SessionTemplate{ID: fmt.Sprint("s", i), Phase: prescribe.InSeason,
			Slots: []prescribe.Slot{{ID: "p", Method: prescribe.Traditional, Scheme: prescribe.SchemeReps, Candidates: []prescribe.ExerciseID{"push_up"}, Sets: 3, Reps: 8}}})
	}
	c.cal.Matches = nil
	for i := range c.cal.Days {
		c.cal.Days[i].Off = false
	}
	monday := c.days[0] + 7
	s := foldAll(adult)
	n := prescribe.LayoutsTried(s, c.cal, c.prog, c.rules, monday)
	// Choosing k of 7 days and arranging k of 5 sessions on them, k from 0 to 5.
	require.Equal(t, 1+7*5+21*20+35*60+35*120+21*120, n)
}
