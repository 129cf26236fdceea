package trial

import (
	"slices"

	"pegcard/prescribe"
)

// Weeks is the length of a season.
const Weeks = 46

// firstMonday is the first day of every season. The civil date means nothing.
var firstMonday = prescribe.Date(2026, 6, 1)

// world is what happens around the player: the same for every policy.
type world struct {
	first, last prescribe.Day
	days        []prescribe.CalendarDay // with a fortnight before and three weeks after
	settings    map[string]prescribe.Setting
	fixtures    []fixture
	tests       map[prescribe.Day]bool
	health      map[prescribe.Day][]prescribe.Event // morning
	stopped     map[prescribe.Day]bool              // a medical stop or cap stands
	whole       map[prescribe.Day]bool              // a stop of the whole player
	region      map[prescribe.Day]prescribe.Region  // a stop of a region
	ramp        map[prescribe.Day]bool              // back from a break: the method itself asks for less
	attend      map[prescribe.Day]attendance
	minutes     map[string]int
	programme   prescribe.Programme
}

// fixture is a match and from when on it stands in the calendar.
type fixture struct {
	prescribe.Match
	known prescribe.Day // in the calendar from this day on
	gone  prescribe.Day // out of it from this day on; 0 never
}

type attendance int

const (
	comes attendance = iota
	says             // he cannot come and says so
	silent
)

const hour = prescribe.Instant(3600 * 1000)

func clock(d prescribe.Day, hours float64) prescribe.Instant {
	return prescribe.Instant(d)*24*hour + prescribe.Instant(hours*float64(hour))
}

const (
	daysBefore = 14 // of the calendar that a plan gets
	daysAfter  = 21
)

// calendar is what was known on a day.
func (w *world) calendar(day prescribe.Day) prescribe.Calendar {
	at := int(day - w.days[0].Day)
	c := prescribe.Calendar{Days: w.days[at-daysBefore : at+daysAfter+1], Settings: w.settings}
	for _, f := range w.fixtures {
		if f.Day >= day-daysBefore && f.Day <= day+daysAfter && f.stands(day) {
			c.Matches = append(c.Matches, f.Match)
		}
	}
	return c
}

func (f fixture) stands(day prescribe.Day) bool {
	return day >= f.known && (f.gone == 0 || day < f.gone)
}

// played are the matches of a day that took place.
func (w *world) played(day prescribe.Day) []prescribe.Match {
	var out []prescribe.Match
	for _, f := range w.fixtures {
		if f.Day == day && f.stands(day) {
			out = append(out, f.Match)
		}
	}
	return out
}

func newWorld(p player) *world {
	d := p.draw
	w := &world{
		first: firstMonday, last: firstMonday + 7*Weeks - 1,
		settings: settings(d.uniform(drawWorld, 11, 0, 0) < 0.5), tests: map[prescribe.Day]bool{}, health: map[prescribe.Day][]prescribe.Event{},
		stopped: map[prescribe.Day]bool{}, whole: map[prescribe.Day]bool{}, region: map[prescribe.Day]prescribe.Region{}, ramp: map[prescribe.Day]bool{}, attend: map[prescribe.Day]attendance{}, minutes: map[string]int{},
		programme: programme(d.uniform(drawWorld, 1, 0, 0) < 0.5, d.uniform(drawWorld, 2, 0, 0) < 0.5),
	}
	off := d.between(2, 4, drawWorld, 3, 0)
	pre := d.between(5, 7, drawWorld, 4, 0)
	w.fixtures = fixtures(p, off, pre)
	w.layDays(p, off, pre)
	w.layMinutes(p)
	w.layTests(p, off, pre)
	w.layHealth(p)
	for day := w.first; day <= w.last; day++ {
		x := d.uniform(drawAttend, int(day), 0, 0)
		switch {
		case x < p.m.num("season.missed"):
			w.attend[day] = says
		case x < p.m.num("season.missed")+p.m.num("season.silent"):
			w.attend[day] = silent
		}
	}
	return w
}

// fixtures draws a season's matches: friendlies in pre-season, a league match
// nearly every weekend, midweek matches, more of them in some seasons, blank
// weeks, late changes.
func fixtures(p player, off, pre int) []fixture {
	d := p.draw
	busy := d.uniform(drawWorld, 5, 0, 0) < 0.4
	var out []fixture
	taken := map[prescribe.Day]bool{}
	add := func(day prescribe.Day, kick float64, known prescribe.Day, gone prescribe.Day) {
		if taken[day] && gone == 0 {
			return
		}
		taken[day] = taken[day] || gone == 0
		certain := d.uniform(drawMatch, int(day), 1, 0) > 0.05
		if !certain {
			kick = 12
		}
		m := prescribe.Match{ID: "m" + day.String(), Day: day, Kickoff: clock(day, kick), End: clock(day, kick+1.9), Known: certain}
		out = append(out, fixture{m, known, gone})
	}
	blank := map[int]bool{}
	for i := range 3 {
		blank[off+pre+4+i*5+d.between(0, 1, drawWorld, 6, i)] = true
	}
	for week := off + 2; week < Weeks; week++ {
		monday := firstMonday + prescribe.Day(7*week)
		u := func(i int) float64 { return d.uniform(drawMatch, week, 10+i, 0) }
		if week < off+pre {
			if u(0) < 0.8 {
				add(monday+5, 15, 0, 0)
			}
			if u(1) < 0.3 {
				add(monday+2, 19, 0, 0)
			}
			continue
		}
		if blank[week] {
			continue
		}
		day, kick := monday+5, 15.0
		switch {
		case u(2) < 0.25:
			day = monday + 6
		case u(2) < 0.35:
			kick = 12.5
		case u(2) < 0.45:
			kick = 19.5
		}
		if u(3) < p.m.num("season.postponed") {
			notice := prescribe.Day(d.between(1, 3, drawMatch, week, 4))
			add(day, kick, 0, day-notice)
			add(day+prescribe.Day(d.between(10, 17, drawMatch, week, 5)), 19.5, day-notice, 0)
		} else {
			add(day, kick, 0, 0)
		}
		midweek := 0.15
		if busy {
			midweek = 0.4
		}
		if u(6) < midweek {
			known := prescribe.Day(0)
			day := monday + prescribe.Day(d.between(1, 2, drawMatch, week, 7))
			if u(8) < 0.3 { // drawn late
				known = day - prescribe.Day(d.between(5, 9, drawMatch, week, 9))
			}
			add(day, 19.75, known, 0)
		}
	}
	slices.SortFunc(out, func(a, b fixture) int { return int(a.Kickoff - b.Kickoff) })
	return out
}

// layDays fills the calendar: phase, place, days off.
func (w *world) layDays(p player, off, pre int) {
	d := p.draw
	start := 10.0
	if d.uniform(drawWorld, 7, 0, 0) < 0.3 {
		start = 14.5
	}
	away := d.uniform(drawWorld, 8, 0, 0) < p.m.num("season.away")
	match := map[prescribe.Day]bool{}
	for _, f := range w.fixtures {
		if f.gone == 0 {
			match[f.Day] = true
		}
	}
	for day := w.first - daysBefore; day <= w.last+daysAfter+1; day++ {
		week := int(day-w.first) / 7
		if day < w.first {
			week = -1
		}
		c := prescribe.CalendarDay{Day: day, Start: clock(day, start), Setting: "gym", Pitch: true}
		switch {
		case week < off:
			c.Phase, c.Setting, c.Pitch = prescribe.OffSeason, "home", false
		case week < off+pre:
			c.Phase = prescribe.PreSeason
		default:
			c.Phase = prescribe.InSeason
		}
		wd := int(day-w.first)%7 + 7
		wd %= 7
		matches := 0
		for i := range prescribe.Day(7) {
			if match[day-prescribe.Day(wd)+i] {
				matches++
			}
		}
		switch {
		case week < off:
			c.Off = wd == 6 || wd == 2
		case match[day]:
			c.Pitch = false
		case match[day-1]:
			c.Off = !match[day+1] && d.uniform(drawWorld, 9, int(day), 0) < 0.55
		case week >= off+pre && matches == 0:
			c.Off = wd >= 5
			if away && c.Phase == prescribe.InSeason {
				c.Setting, c.Pitch = "hotel", true
				c.Off = wd == 0 || wd == 6 // travelling
			}
		case week < off+pre:
			c.Off = wd == 6
		}
		w.days = append(w.days, c)
	}
}

func (w *world) layMinutes(p player) {
	d := p.draw
	role := []float64{0.9, 0.9, 0.6, 0.25}[d.between(0, 3, drawWorld, 10, 0)]
	for _, f := range w.fixtures {
		u := d.uniform(drawMatch, int(f.Day), 2, 0)
		switch {
		case u < role*0.75:
			w.minutes[f.ID] = 90
		case u < role:
			w.minutes[f.ID] = d.between(60, 85, drawMatch, int(f.Day), 3)
		case u < role+(1-role)*0.6:
			w.minutes[f.ID] = d.between(5, 40, drawMatch, int(f.Day), 4)
		default:
			w.minutes[f.ID] = 0
		}
	}
}

// layTests puts strength tests at the start of pre-season, of the season, and
// then every so many weeks, on a day away from matches.
func (w *world) layTests(p player, off, pre int) {
	quiet := func(day prescribe.Day) bool {
		c := w.at(day)
		if c.Off || c.Setting != "gym" {
			return false
		}
		for _, f := range w.fixtures {
			if f.Day >= day-2 && f.Day <= day+2 {
				return false
			}
		}
		return true
	}
	put := func(week int) {
		for ; week < Weeks; week++ {
			for _, wd := range []prescribe.Day{1, 2, 0, 3} {
				if day := w.first + prescribe.Day(7*week) + wd; quiet(day) {
					w.tests[day] = true
					w.days[int(day-w.days[0].Day)].Off = true
					return
				}
			}
		}
	}
	put(off)
	for week := off + pre; week < Weeks-2; week += int(p.m.num("season.tests")) {
		put(week)
	}
}

func (w *world) at(day prescribe.Day) prescribe.CalendarDay { return w.days[int(day-w.days[0].Day)] }

// layHealth draws injuries, fevers and complaints and what medical staff do
// about them.
func (w *world) layHealth(p player) {
	d := p.draw
	span := 7 * Weeks
	regions := []prescribe.Region{prescribe.Hamstring, prescribe.Hamstring, prescribe.Adductor, prescribe.Knee, prescribe.Ankle, prescribe.Quadriceps, prescribe.Calf, prescribe.Ankle}
	ev := func(day prescribe.Day, e prescribe.Event) {
		if day <= w.last {
			w.health[day] = append(w.health[day], e)
		}
	}
	free := func(from, to prescribe.Day) bool {
		for day := from - 1; day <= to+1; day++ {
			if w.stopped[day] {
				return false
			}
		}
		return true
	}
	stop := func(from, to prescribe.Day) {
		for day := from; day <= to; day++ {
			w.stopped[day] = true
		}
	}
	for i := range d.poisson(p.m.num("season.injuries"), drawHealth, 1) {
		from := w.first + prescribe.Day(d.between(0, span-1, drawHealth, 2, i))
		length := prescribe.Day(d.between(2, 7, drawHealth, 3, i))
		if d.uniform(drawHealth, 4, i, 0) > p.m.num("season.minor") {
			length = prescribe.Day(d.between(8, 28, drawHealth, 5, i))
			if d.uniform(drawHealth, 6, i, 0) < 0.25 {
				length = prescribe.Day(d.between(29, 70, drawHealth, 7, i))
			}
		}
		end := from + length + 7 // a week under a cap
		if !free(from, end) {
			continue
		}
		region := regions[d.between(0, len(regions)-1, drawHealth, 8, i)]
		half := from + (length+1)/2
		id := "injury" + from.String()
		ev(from, prescribe.Event{Pain: &prescribe.Pain{Region: region, Score: prescribe.Score(d.between(6, 8, drawHealth, 9, i)), Timing: prescribe.PainOther, Muscle: true}})
		ev(from, prescribe.Event{Hold: &prescribe.Hold{ID: id, Medical: true}})
		ev(half, prescribe.Event{Hold: &prescribe.Hold{ID: id + "r", Medical: true, Region: region}})
		ev(half, prescribe.Event{Release: &prescribe.Release{Medical: true, HoldID: id, MaxLoad: 100}})
		ev(from+length, prescribe.Event{Release: &prescribe.Release{Medical: true, Region: region, MaxLoad: 80, Review: end}})
		ev(end, prescribe.Event{Release: &prescribe.Release{Medical: true, Region: region, MaxLoad: 100}})
		stop(from, end)
		for day := from; day < from+length; day++ {
			if day < half {
				w.whole[day] = true
			} else {
				w.region[day] = region
			}
			for _, m := range w.fixtures {
				if m.Day == day {
					w.minutes[m.ID] = 0
				}
			}
		}
		if length > 7 {
			for day := end; day <= end+28; day++ {
				w.ramp[day] = true
			}
		}
	}
	for i := range d.poisson(p.m.num("season.illness"), drawHealth, 11) {
		from := w.first + prescribe.Day(d.between(0, span-1, drawHealth, 12, i))
		end := from + prescribe.Day(d.between(3, 6, drawHealth, 13, i))
		if !free(from, end) {
			continue
		}
		ev(from, prescribe.Event{Warning: &prescribe.Warning{Sign: prescribe.SignFever}})
		ev(end, prescribe.Event{Release: &prescribe.Release{Medical: true, MaxLoad: 100}})
		stop(from, end)
		for day := end; day <= end+7; day++ { // the first session is half of one
			w.ramp[day] = true
		}
		for day := from; day < end; day++ {
			w.whole[day] = true
			for _, m := range w.fixtures {
				if m.Day == day {
					w.minutes[m.ID] = 0
				}
			}
		}
	}
	for i := range d.poisson(p.m.num("season.complaints"), drawHealth, 14) {
		day := w.first + prescribe.Day(d.between(0, span-1, drawHealth, 15, i))
		if !free(day, day) {
			continue
		}
		ev(day, prescribe.Event{Pain: &prescribe.Pain{Region: prescribe.Knee, Score: prescribe.Score(d.between(2, 3, drawHealth, 16, i)), Timing: prescribe.PainBefore}})
	}
}

// settings are the places: a full gym, home and a hotel. Some gyms have small
// discs, so that a bar goes up by 1 kg; the others by 2.5.
func settings(small bool) map[string]prescribe.Setting {
	kgs := func(from, to, step prescribe.Kg) []prescribe.Kg {
		var out []prescribe.Kg
		for k := from; k <= to; k += step {
			out = append(out, k)
		}
		return out
	}
	discs := []prescribe.Plate{{Mass: 25, Pairs: 5}, {Mass: 20, Pairs: 2}, {Mass: 15, Pairs: 2}, {Mass: 10, Pairs: 2}, {Mass: 5, Pairs: 2}, {Mass: 2.5, Pairs: 2}, {Mass: 1.25, Pairs: 2}}
	if small {
		discs = append(discs, prescribe.Plate{Mass: 1, Pairs: 2}, prescribe.Plate{Mass: 0.5, Pairs: 1})
	}
	return map[string]prescribe.Setting{
		"gym": {Place: "gym", Supervised: true, Equipment: prescribe.Equipment{
			Bars:      []prescribe.Bar{{Kind: "straight", Mass: 20}, {Kind: "trap", Mass: 25}},
			Plates:    discs,
			Dumbbells: kgs(5, 60, 2.5),
			Flywheels: []prescribe.Wheel{{Device: "fw", Inertias: []prescribe.Inertia{0.05, 0.075, 0.1}}},
			Added:     kgs(2.5, 60, 2.5),
			Has: []prescribe.GearItem{prescribe.GearRack, prescribe.GearBench, prescribe.GearPullUpBar, prescribe.GearBand,
				prescribe.GearReleasers, prescribe.GearBox, prescribe.GearAnchor, prescribe.GearCable, prescribe.GearSlider},
		}},
		"home": {Place: "home", Equipment: prescribe.Equipment{Dumbbells: kgs(5, 30, 2.5),
			Has: []prescribe.GearItem{prescribe.GearBand, prescribe.GearAnchor, prescribe.GearBench, prescribe.GearBox}}},
		"hotel": {Place: "hotel", Equipment: prescribe.Equipment{Dumbbells: kgs(5, 25, 2.5), Has: []prescribe.GearItem{prescribe.GearBand, prescribe.GearBench}}},
	}
}

// programme is the coach's plan: two main sessions of two heavy exercises each,
// a small one for crowded weeks, remote ones. A coach may want six repetitions
// at 85 % as a cluster, and accentuated squats instead of the flywheel.
func programme(cluster, accentuated bool) prescribe.Programme {
	heavy := func(id string, pattern prescribe.Pattern, ex prescribe.ExerciseID, sets, reps int, six prescribe.SixAt85) prescribe.Slot {
		return prescribe.Slot{ID: id, Pattern: pattern, Method: prescribe.Traditional, Scheme: prescribe.SchemePercent,
			Candidates: []prescribe.ExerciseID{ex}, Sets: sets, MinSets: 2, Reps: reps, Intensity: 85, RIR: 1, Six: six}
	}
	effort := func(id string, pattern prescribe.Pattern, ex prescribe.ExerciseID, sets, reps int) prescribe.Slot {
		return prescribe.Slot{ID: id, Pattern: pattern, Method: prescribe.Traditional, Scheme: prescribe.SchemeRIR,
			Candidates: []prescribe.ExerciseID{ex}, Sets: sets, MinSets: 2, Reps: reps, RIR: 2}
	}
	other := func(id string, pattern prescribe.Pattern, scheme prescribe.Scheme, ex prescribe.ExerciseID, sets, reps int) prescribe.Slot {
		method := prescribe.Eccentric
		if scheme == prescribe.SchemeFlywheel {
			method = prescribe.Flywheel
		}
		return prescribe.Slot{ID: id, Pattern: pattern, Method: method, Scheme: scheme, Candidates: []prescribe.ExerciseID{ex}, Sets: sets, MinSets: 1, Reps: reps}
	}
	squat := heavy("squat", prescribe.Squat, "back_squat", 3, 5, "")
	if cluster {
		squat = heavy("squat", prescribe.Squat, "back_squat", 3, 6, prescribe.SixCluster)
	}
	over := other("wheel", prescribe.Squat, prescribe.SchemeFlywheel, "flywheel_squat", 3, 6)
	if accentuated {
		over = prescribe.Slot{ID: "accentuated", Pattern: prescribe.Squat, Method: prescribe.Eccentric, Scheme: prescribe.SchemeAccentuated,
			Candidates: []prescribe.ExerciseID{"accentuated_back_squat"}, Sets: 3, MinSets: 2, Reps: 3, Intensity: 80, Ecc: 105}
	}
	mainA := []prescribe.Slot{
		squat,
		heavy("hinge", prescribe.Hinge, "romanian_deadlift", 3, 5, ""),
		effort("single-leg", prescribe.SingleLeg, "rear_foot_elevated_split_squat", 2, 6),
		other("nordic", prescribe.KneeFlexion, prescribe.SchemeNordic, "nordic_hamstring", 2, 6),
		effort("pull", prescribe.Pull, "pull_up", 3, 6),
	}
	mainB := []prescribe.Slot{
		heavy("deadlift", prescribe.Squat, "trap_bar_deadlift", 3, 4, ""),
		heavy("press", prescribe.Push, "bench_press", 3, 5, ""),
		over,
		other("adductor", prescribe.HipAdduction, prescribe.SchemeCopenhagen, "copenhagen_adduction", 1, 0),
		other("calf", prescribe.CalfRaise, prescribe.SchemeReps, "standing_calf_raise", 3, 10),
	}
	small := []prescribe.Slot{
		heavy("deadlift", prescribe.Squat, "trap_bar_deadlift", 2, 3, ""),
		heavy("press", prescribe.Push, "bench_press", 2, 5, ""),
		// At 75 % these are not heavy, so they are left two days before a match.
		effort("single-leg", prescribe.SingleLeg, "rear_foot_elevated_split_squat", 2, 8),
		effort("pull", prescribe.Pull, "pull_up", 2, 8),
		other("nordic", prescribe.KneeFlexion, prescribe.SchemeNordic, "nordic_hamstring", 2, 6),
	}
	awayA := []prescribe.Slot{
		effort("single-leg", prescribe.SingleLeg, "rear_foot_elevated_split_squat", 3, 8),
		other("nordic", prescribe.KneeFlexion, prescribe.SchemeNordic, "nordic_hamstring", 2, 5),
		{ID: "push", Pattern: prescribe.Push, Method: prescribe.Traditional, Scheme: prescribe.SchemeReps, Candidates: []prescribe.ExerciseID{"push_up"}, Sets: 3, Reps: 10},
	}
	awayB := []prescribe.Slot{
		effort("hinge", prescribe.Hinge, "single_leg_romanian_deadlift", 3, 8),
		effort("pull", prescribe.Pull, "dumbbell_row", 3, 8),
		other("adductor", prescribe.HipAdduction, prescribe.SchemeCopenhagen, "copenhagen_adduction", 1, 0),
	}
	p := prescribe.Programme{Name: "trial", Doses: []prescribe.PhaseDose{
		{Phase: prescribe.PreSeason, Sessions: 2, Crowded: 1, WorkingSets: 4, Exercises: 2, NordicWeekly: 1, FlywheelWeek: 1},
		{Phase: prescribe.InSeason, Sessions: 2, Crowded: 1, WorkingSets: 4, Exercises: 2, NordicWeekly: 1, FlywheelWeek: 1},
		{Phase: prescribe.OffSeason, Sessions: 2, Crowded: 1, Exercises: 2, NordicWeekly: 1},
	}}
	for _, phase := range []prescribe.Phase{prescribe.PreSeason, prescribe.InSeason} {
		id := string(phase)
		p.Sessions = append(p.Sessions,
			prescribe.SessionTemplate{ID: id + "-a", Phase: phase, Slots: mainA},
			prescribe.SessionTemplate{ID: id + "-b", Phase: phase, Slots: mainB},
			prescribe.SessionTemplate{ID: id + "-small", Phase: phase, Small: true, Slots: small})
	}
	for _, phase := range []prescribe.Phase{prescribe.InSeason, prescribe.OffSeason} {
		id := string(phase)
		p.Sessions = append(p.Sessions,
			prescribe.SessionTemplate{ID: id + "-away-a", Phase: phase, Remote: true, Slots: awayA},
			prescribe.SessionTemplate{ID: id + "-away-b", Phase: phase, Remote: true, Slots: awayB})
	}
	return p
}
