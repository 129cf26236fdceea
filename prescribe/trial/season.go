package trial

import (
	"fmt"
	"math"
	"slices"

	"pegcard/prescribe"
)

// TestedLifts are the lifts that every policy has tests for, and the
// repetitions of the test. Only these are measured.
func TestedLifts() map[prescribe.ExerciseID]int {
	return map[prescribe.ExerciseID]int{
		"back_squat": 1, "trap_bar_deadlift": 1, "bench_press": 1,
		"romanian_deadlift": 3, "rear_foot_elevated_split_squat": 5, "pull_up": 3,
	}
}

var tested = TestedLifts()

func testedOrder() []prescribe.ExerciseID {
	var ids []prescribe.ExerciseID
	for id := range tested {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	return ids
}

// arm is one policy with its own copy of the player.
type arm struct {
	body   *body
	policy policy // nil: the engine
	tally  tally
	start  [groups]float64
}

// season is one player-season, run for the engine and every policy at once.
type season struct {
	m      Model
	w      *world
	rules  prescribe.Rules
	state  prescribe.State
	limits *limits
	engine *arm
	others []*arm
	n      int // events folded
	said   map[prescribe.Region]prescribe.Score
	lifts  map[string]lift
	week   week
}

// week counts one ISO week.
type week struct {
	full, edge int // days on which the whole minimum is lawful, and days where only part of it is
	stopped    bool
	need       int
	done       []doneSession
	missed     int
}

type doneSession struct {
	edge      bool
	sets      int  // working sets
	heavy     int  // of them written at the heavy dose, and lighter only for what METHOD orders
	full      int  // of them heavy by the card
	capped    int  // written at the heavy dose, and lighter for the limit of a step
	reduced   bool // sets taken off for soreness, a break or a fever
	exercises int
}

func newSeason(m Model, seed uint64, rules prescribe.Rules) *season {
	p := newPlayer(m, draws{seed})
	s := &season{m: m, w: newWorld(p), rules: rules, said: map[prescribe.Region]prescribe.Score{}, lifts: map[string]lift{}}
	s.limits = newLimits(s.w)
	s.engine = &arm{body: newBody(p)}
	for _, x := range policies() {
		s.others = append(s.others, &arm{body: newBody(p), policy: x})
	}
	ref := &arm{body: newBody(p)}
	ref.policy = &known{level: func(ex prescribe.Exercise) float64 {
		low := math.Inf(1)
		for _, l := range s.sides(ex) {
			low = min(low, ref.body.level(l))
		}
		return low
	}}
	s.others = append(s.others, ref)
	return s
}

// names are the rows, the engine first.
func rowNames() []string {
	names := []string{"engine"}
	for _, p := range policies() {
		names = append(names, p.name())
	}
	return append(names, (&known{}).name())
}

func (s *season) arms() []*arm { return append([]*arm{s.engine}, s.others...) }

// sides are the lifts of an exercise: one, or left and right.
func (s *season) sides(ex prescribe.Exercise) []lift {
	get := func(side prescribe.Side) lift {
		key := prescribe.LiftKey(ex.ID, side)
		l, ok := s.lifts[key]
		if !ok {
			l = s.engine.body.lift(ex, side)
			s.lifts[key] = l
		}
		return l
	}
	if ex.Unilateral {
		return []lift{get(prescribe.Left), get(prescribe.Right)}
	}
	return []lift{get(prescribe.Both)}
}

func (s *season) fold(day prescribe.Day, at prescribe.Instant, e prescribe.Event) {
	s.n++
	e.Day, e.At, e.Key = day, at, fmt.Sprintf("%06d", s.n)
	s.state = prescribe.Fold(s.state, e, s.rules)
}

// run plays the season and returns one result an arm.
func (s *season) run() []result {
	s.before()
	for day := s.w.first; day <= s.w.last; day++ {
		for _, a := range s.arms() {
			a.body.today = day
		}
		if s.w.at(day).Day.Monday() == day {
			s.week = week{need: 99}
		}
		s.morning(day)
		s.weekday(day)
		s.train(day)
		s.evening(day)
		if day == day.Monday()+6 {
			s.closeWeek(day)
		}
	}
	var out []result
	for _, a := range s.arms() {
		for g := range groups {
			a.tally.gain += 100 * math.Expm1(a.body.gain[g]-a.start[g]) / float64(groups)
		}
		out = append(out, a.tally.result())
	}
	return out
}

// before is what was known when the season began: who he is, and tests from the
// end of the last one.
func (s *season) before() {
	b := s.engine.body
	day := s.w.first - 10
	s.fold(day, clock(day, 8), prescribe.Event{Profile: &prescribe.Profile{Born: s.w.first - 24*365, BodyMass: b.mass, TrainingAge: 4}})
	for _, a := range s.arms() {
		a.body.today = s.w.first
		a.start = a.body.gain
	}
	s.test(day)
}

// test is a day of strength tests, for every policy with its own body.
func (s *season) test(day prescribe.Day) {
	for _, a := range s.arms() {
		for _, id := range testedOrder() {
			ex, _ := prescribe.Lookup(id)
			low, reps := math.Inf(1), 0
			var long []repOut
			for _, l := range s.sides(ex) {
				total, n := s.try(a.body, l, tested[id])
				if total < low {
					low, reps = total, n
				}
				if a.policy == nil {
					s.fold(day, clock(day, 10.5), prescribe.Event{Set: &prescribe.Set{
						Exercise: id, Side: l.side, Load: prescribe.Kg(total - l.body), Reps: n, Ordinal: 1, Test: true, ToFail: true}})
				}
				a.body.work(l, total, a.body.strength(l), n, n)
				if safeToFail[id] {
					long = worse(long, s.long(a, l, day, total))
				}
			}
			if a.policy != nil {
				a.policy.test(ex, low, reps)
				for _, x := range long {
					a.policy.failed(ex, x.total, x.reps)
				}
			}
		}
	}
	if day >= s.w.first {
		gear := s.w.settings["gym"].Equipment
		for _, wheel := range gear.Flywheels {
			for i, inertia := range wheel.Inertias {
				s.fold(day, clock(day, 11), prescribe.Event{Power: &prescribe.PowerTest{Exercise: "flywheel_squat", Device: wheel.Device, Inertia: inertia,
					Power: prescribe.Watts(300 + 40*s.engine.body.draw.normal(drawTest, int(day), i, 7))}})
			}
		}
	}
}

// safeToFail are the tested lifts that end safely when the last repetition does
// not go up: dumbbells are dropped, a bar overhead is let go, a bench press is
// tested between safeties. After the test they are done again with a share of
// it, test.long_share, as often as it goes.
var safeToFail = map[prescribe.ExerciseID]bool{"rear_foot_elevated_split_squat": true, "pull_up": true, "bench_press": true}

// repOut is a set to failure as every policy is told of it.
type repOut struct {
	total float64 // kg
	reps  int
}

// long is those sets. The engine records them as sets to failure; what a policy
// is told comes back.
func (s *season) long(a *arm, l lift, day prescribe.Day, total float64) []repOut {
	const step = 2.5
	load := max(math.Floor((total*s.m.num("test.long_share")/100-l.body)/step), 0) * step
	strength := a.body.strength(l)
	var out []repOut
	for i := range int(s.m.num("test.long_sets")) {
		strength -= s.m.num("set.fatigue") / 100
		reps := int(l.reps(strength, load+l.body))
		a.body.work(l, load+l.body, strength, reps, reps)
		if reps == 0 {
			break
		}
		out = append(out, repOut{load + l.body, reps})
		if a.policy == nil {
			s.fold(day, clock(day, 10.6), prescribe.Event{Set: &prescribe.Set{
				Exercise: l.ex.ID, Side: l.side, Load: prescribe.Kg(load), Reps: reps, Ordinal: 2 + i, Test: true, ToFail: true}})
		}
	}
	return out
}

// worse is, of the sets of two sides, those of the weaker: a policy keeps one
// value for both.
func worse(a, b []repOut) []repOut {
	if len(b) == 0 || len(a) > 0 && epley(a[0].total, a[0].reps) <= epley(b[0].total, b[0].reps) {
		return a
	}
	return b
}

// try is a test of n repetitions: what was lifted and how often. For one
// repetition the load goes up in steps of 2.5 kg to the highest that is lifted.
// For more, a load is guessed from what the player thinks he can do, and lifted
// as often as it goes.
func (s *season) try(b *body, l lift, n int) (total float64, reps int) {
	strength := b.strength(l)
	const step = 2.5
	down := func(total float64) float64 { return l.body + math.Max(math.Floor((total-l.body)/step), 0)*step }
	if n == 1 {
		return down(math.Exp(strength)), 1
	}
	guess := b.level(l) - l.k*float64(n-1) + 0.02*b.draw.normal(drawTest, int(b.today), l.id, 0)
	total = down(math.Exp(guess))
	for range 20 { // guessed too high: less
		if reps = int(l.reps(strength, total)); reps >= 1 {
			break
		}
		total = down(total * 0.95)
	}
	return total, min(max(reps, 1), 10)
}

// morning: soreness, pain, and what medical staff decided.
func (s *season) morning(day prescribe.Day) {
	for _, e := range s.w.health[day] {
		s.fold(day, clock(day, 7), e)
	}
	b := s.engine.body
	if b.draw.uniform(drawHabit, int(day), 1, 0) > s.m.num("sore.answered") {
		return
	}
	for i, r := range prescribe.Regions() {
		v := b.sore[r]
		if v < 0.5 && s.said[r] == 0 {
			continue
		}
		score := prescribe.Score(min(max(math.Round(v+s.m.num("sore.noise")*b.draw.normal(drawSore, int(day), i, 0)), 0), 10))
		if score >= 3 || s.said[r] >= 3 {
			s.fold(day, clock(day, 7.5), prescribe.Event{Soreness: &prescribe.Soreness{Region: r, Score: score}})
		}
		s.said[r] = score
	}
}

// weekday judges what the day could have been used for, by METHOD's limits.
func (s *season) weekday(day prescribe.Day) {
	c := s.w.at(day)
	cal := s.w.calendar(day)
	s.week.stopped = s.week.stopped || s.w.stopped[day] || s.w.ramp[day]
	s.week.need = min(s.week.need, need(s.w.programme, c.Phase, cal, day))
	if c.Off || s.w.attend[day] != comes || c.Phase != prescribe.OffSeason && c.Setting != "gym" {
		return
	}
	next := 99
	for _, m := range cal.Matches {
		if m.Day >= day {
			next = min(next, int(m.Day-day))
		}
		if m.End <= c.Start && c.Start.Hours(m.End) < 24 && s.w.minutes[m.ID] >= 60 {
			return
		}
	}
	switch {
	case next <= 1:
	case next == 2:
		s.week.edge++
	default:
		s.week.full++
	}
}

// need is the sessions the week asks for as the calendar stands.
func need(p prescribe.Programme, phase prescribe.Phase, cal prescribe.Calendar, day prescribe.Day) int {
	var dose prescribe.PhaseDose
	for _, d := range p.Doses {
		if d.Phase == phase {
			dose = d
		}
	}
	monday := day.Monday()
	for i := 1; i < len(cal.Matches); i++ {
		a, b := cal.Matches[i-1].Day, cal.Matches[i].Day
		if b-a < 6 && b >= monday && b < monday+7 {
			return dose.Crowded
		}
	}
	return dose.Sessions
}

func (s *season) closeWeek(day prescribe.Day) {
	w, phase := s.week, s.w.at(day).Phase
	heavy, edge := 4, false
	if phase == prescribe.OffSeason {
		heavy = 0
	}
	need := min(w.need, w.full)
	if w.full == 0 && w.edge > 0 {
		need, edge = min(w.need, 1), true
		heavy = min(heavy, 2)
	}
	if need == 0 || w.stopped {
		return
	}
	n, full, capped, reduced := 0, 0, 0, false
	for _, d := range w.done {
		if d.sets < min(4, 4*heavy) || d.exercises < 2 {
			continue
		}
		if d.heavy >= heavy {
			n++
		}
		if d.full >= heavy {
			full++
		}
		if d.heavy+d.capped >= heavy {
			capped++
		}
		reduced = reduced || d.reduced
	}
	for _, a := range s.arms() {
		a.tally.weeks++
		if full >= need {
			a.tally.full++
		}
		if n >= need {
			a.tally.met++
			continue
		}
		why := "sets"
		switch {
		case w.missed > 0:
			why = "missed"
		case len(w.done) < need && edge:
			why = "not placed on MD-2"
		case len(w.done) < need:
			why = "not placed"
		case capped >= need:
			why = "step limit"
		case reduced:
			why = "fewer sets for soreness, a break or a fever"
		}
		a.tally.count(&a.tally.shortfalls, why)
	}
}

// train is the day's card, done.
func (s *season) train(day prescribe.Day) {
	c := s.w.at(day)
	if s.w.tests[day] && !s.w.stopped[day] && s.w.attend[day] == comes {
		s.test(day)
		return
	}
	cal := s.w.calendar(day)
	plan := func() prescribe.Card { return prescribe.Plan(s.state, cal, s.w.programme, s.rules, day, nil) }
	card := plan()
	if len(card.AskPain) > 0 {
		for _, r := range card.AskPain {
			s.fold(day, c.Start-2*hour, prescribe.Event{Pain: &prescribe.Pain{Region: r, Timing: prescribe.PainBefore}})
		}
		card = plan()
	}
	if len(card.Items) == 0 {
		return
	}
	near, breaches := s.limits.check(card, day, s.w.minutes)
	for _, a := range s.arms() {
		a.tally.near += near
		a.tally.breaches += len(breaches)
		for _, what := range breaches {
			a.tally.count(&a.tally.kinds, what)
		}
	}
	optional := !slices.ContainsFunc(card.Items, func(it prescribe.Item) bool { return !it.Optional })
	end := c.Start + prescribe.Instant(card.Minutes)*60000
	if optional { // priming: done by some, measured by none
		return
	}
	switch s.w.attend[day] {
	case says:
		s.week.missed++
		s.fold(day, end, prescribe.Event{Session: &prescribe.Session{Template: card.Template, Outcome: prescribe.NotDone, Reason: prescribe.AbsentTime}})
		return
	case silent:
		s.week.missed++
		s.fold(day, end, prescribe.Event{Session: &prescribe.Session{Template: card.Template, Outcome: prescribe.NoAnswer}})
		return
	}
	s.session(card, day, end)
}

// session does a card.
func (s *season) session(card prescribe.Card, day prescribe.Day, end prescribe.Instant) {
	gear := s.w.settings[card.Setting].Equipment
	done := doneSession{edge: card.MatchDay == "MD-2"}
	talks := s.engine.body.draw.uniform(drawHabit, int(day), 2, 0) >= s.m.num("report.silent")
	main := mainLift(card)
	changed, total := false, 0
	for i, it := range card.Items {
		if it.Optional {
			continue
		}
		ex, _ := prescribe.Lookup(it.Exercise)
		reps, over := s.engineItem(day, end, it, ex, gear, talks, talks && i == main)
		changed = changed || over
		total += it.Sets
		if reps > 0 {
			done.exercises++
			done.sets += it.Sets
		}
		for _, r := range it.Reasons {
			switch r.Code {
			case "soreness.sets", "break.volume", "break.volume_max", "fever.volume":
				done.reduced = true
			}
		}
		if heavyWork(it, ex, done.edge) && 2*reps >= it.Sets*it.Reps {
			if it.Heavy {
				done.full += it.Sets
			}
			if body := s.sides(ex)[0].body; it.Heavy || relief(it, body) < 1 || roundedOnly(it, ex, gear, body) {
				done.heavy += it.Sets
			} else {
				done.capped += it.Sets
			}
		}
		s.otherItem(it, ex, gear, card)
		s.limits.note(it, day)
		s.aches(it, ex)
	}
	out := prescribe.DoneAsWritten
	if changed {
		out = prescribe.DoneChanged
	}
	rpe := prescribe.Score(6)
	s.fold(day, end+1, prescribe.Event{Session: &prescribe.Session{Template: card.Template, Outcome: out, RPE: &rpe, Minutes: card.Minutes, Sets: total}})
	s.week.done = append(s.week.done, done)
}

// mainLift is the item whose effort the chat asks for: the one the card marks,
// or else the traditional one at the highest percentage.
func mainLift(card prescribe.Card) int {
	best := -1
	for i, it := range card.Items {
		if it.Method != prescribe.Traditional || it.Optional || it.Load <= 0 {
			continue
		}
		if it.Ask {
			return i
		}
		if best < 0 || it.Percent > card.Items[best].Percent {
			best = i
		}
	}
	return best
}

// attempt is one set as it went.
type attempt struct {
	total float64
	reps  int
	asked int
	left  float64
	fresh bool // more asked than there was, even fresh
	above bool // more than could be lifted once
}

// attempts does sets of a lift.
func (b *body) attempts(l lift, total float64, sets, reps int, cluster bool, fail bool, next func(attempt) float64) []attempt {
	strength := b.strength(l)
	fresh := strength
	gain := 1.0
	if cluster {
		gain = b.m.num("cluster.gain")
	}
	var out []attempt
	for i := range sets {
		if i > 0 && next != nil {
			total = next(out[i-1])
		}
		can := gain * l.reps(strength, total)
		a := attempt{total: total, asked: reps, reps: min(int(can), reps)}
		if fail {
			a.reps = min(int(can), 20)
		}
		a.left = max(can-float64(a.reps), 0)
		a.fresh = int(gain*l.reps(fresh, total)) < reps
		a.above = math.Log(total) > fresh
		out = append(out, a)
		b.work(l, total, fresh, a.reps, reps)
		cost := b.m.num("set.fatigue") / 100 * math.Pow(0.6, max(a.left-1, -1))
		strength -= cost
	}
	return out
}

// measure counts sets of a tested lift. heavy: they count for the band.
func (t *tally) measure(list []attempt, l lift, b *body, percent float64, heavy bool) {
	strength := b.strength(l)
	for _, a := range list {
		t.sets++
		if a.reps < a.asked {
			t.short++
		}
		if a.fresh {
			t.over++
		}
		if a.above {
			t.above++
		}
		if heavy {
			t.heavy++
			if math.Abs(100*a.total/math.Exp(strength)-100*percent) <= Band {
				t.inBand++
			}
		}
	}
}

func (t *tally) estimate(oneRM float64, l lift, b *body) {
	e := math.Log(oneRM) - b.level(l)
	t.errors = append(t.errors, math.Abs(e))
	t.bias += e
}

// loaded: the load is a mass on which the record rests.
func loaded(it prescribe.Item, ex prescribe.Exercise) bool {
	switch it.LoadKind {
	case prescribe.LoadBar, prescribe.LoadDumbbells:
		return true
	case prescribe.LoadBodyweight:
		return ex.BodyFraction > 0
	}
	return false
}

// engineItem does an item as the card says and reports it. It returns the
// repetitions done, on the worse side, and whether it went otherwise than
// written.
func (s *season) engineItem(day prescribe.Day, at prescribe.Instant, it prescribe.Item, ex prescribe.Exercise, gear prescribe.Equipment, talks, main bool) (reps int, changed bool) {
	b := s.engine.body
	reps = math.MaxInt
	for _, l := range s.sides(ex) {
		side := l.side
		if !it.PerSide {
			side = prescribe.Both
		}
		set := func(n, reps int, load prescribe.Kg) prescribe.Set {
			x := prescribe.Set{Exercise: it.Exercise, Side: side, Load: load, Inertia: it.Inertia, Device: it.Device,
				Reps: reps, Asked: it.Reps, Ordinal: n, Scheme: it.Scheme, Intended: it.Intended}
			if len(it.Cluster) > 1 {
				x.Unbroken = min(slices.Max(it.Cluster), reps)
			}
			return x
		}
		if !loaded(it, ex) || it.EccLoad > 0 {
			for n := range it.Sets {
				x := set(n+1, it.Reps, it.Load)
				x.AsWritten = true
				s.fold(day, at, prescribe.Event{Set: &x})
			}
			reps = min(reps, it.Sets*it.Reps)
			s.unmeasured(b, l, it)
			continue
		}
		load, free := it.Load, it.Finding || it.Load <= 0 && it.LoadKind != prescribe.LoadBodyweight
		if free {
			load = s.feel(b, l, it, ex, gear)
		}
		_, measured := tested[ex.ID]
		if measured && !free {
			if rec, ok := s.state.Lifts[l.key]; ok && rec.Known() {
				s.engine.tally.estimate(float64(rec.Estimate(day, s.rules).Median), l, b)
			}
		}
		list := b.attempts(l, float64(load)+l.body, it.Sets, it.Reps, len(it.Cluster) > 1, false, nil)
		if measured && !free {
			s.engine.tally.measure(list, l, b, float64(it.Intended)/100, it.Intended >= heavyFrom && relief(it, l.body) == 1)
		}
		sum := 0
		short := slices.ContainsFunc(list, func(a attempt) bool { return a.reps < a.asked })
		for n, a := range list {
			sum += a.reps
			x := set(n+1, a.reps, load)
			said := b.report(a.left, l, n)
			switch {
			case a.reps < a.asked:
				changed = true
				if talks {
					zero := prescribe.RIR(0)
					x.RIR = &zero
				}
			case free:
				x.RIR = it.RIR
			case talks && n == 0 && (b.detailed || main && (it.First == prescribe.Both || l.side == it.First)):
				x.RIR = &said // the chat asks for one side
			}
			x.AsWritten = !b.detailed && !short && !free
			if b.detailed && b.draw.uniform(drawTyping, int(day), l.id, n) < s.m.num("report.typing") {
				x.Load *= 1.3
			}
			s.fold(day, at, prescribe.Event{Set: &x})
		}
		reps = min(reps, sum)
		s.answer(day, at, l)
	}
	return reps, changed
}

// heavyWork: written at the heavy dose with a constant load. Two days before a
// match, where 2 have to be left in reserve, from 80 %.
func heavyWork(it prescribe.Item, ex prescribe.Exercise, edge bool) bool {
	from := prescribe.Percent(heavyFrom)
	if edge {
		from = 80
	}
	return it.Intended >= from && loaded(it, ex) && it.EccLoad == 0
}

// heavyFrom is what METHOD counts as heavy, % of 1RM.
const heavyFrom = 85

// answer tells, of sets that the record doubts, whether they were typed right.
func (s *season) answer(day prescribe.Day, at prescribe.Instant, l lift) {
	for _, d := range s.state.Lifts[l.key].Waiting {
		typed := math.Mod(float64(d.Load), 1.25) != 0
		s.fold(day, at, prescribe.Event{Answer: &prescribe.RecordAnswer{Exercise: l.ex.ID, Side: l.side, SetKey: d.Key, Right: !typed}})
	}
}

// unmeasured is the training effect of work whose load nobody measures.
func (s *season) unmeasured(b *body, l lift, it prescribe.Item) {
	if it.LoadKind == prescribe.LoadFlywheel || it.EccLoad > 0 {
		for range it.Sets {
			b.effort[l.group] += 0.8
		}
	}
}

// feel is the load a player chooses who is told repetitions and reserve only:
// he stops where he believes he has so many left.
func (s *season) feel(b *body, l lift, it prescribe.Item, ex prescribe.Exercise, gear prescribe.Equipment) prescribe.Kg {
	rir := 2.0
	if it.RIR != nil {
		rir = float64(*it.RIR)
	}
	left := max(0, rir+b.bias+b.m.num("report.sd")*b.draw.normal(drawReport, int(b.today), l.id, 99))
	total := math.Exp(b.strength(l) - l.k*(float64(it.Reps)+left+0.5-1))
	built, ok := prescribe.Build(prescribe.Kg(max(total-l.body, 0)), ex, gear)
	if !ok {
		built, _ = prescribe.NextUp(0, ex, gear)
	}
	return built.Load
}

// reliefs are the reasons for which a card is lighter than the coach asked for.
var reliefs = []string{"soreness.load", "pain.hold", "pain.lower", "break.load", "limit.medical_cap", "limit.cap"}

// relief is what they take off a load; 1 when there are none.
func relief(it prescribe.Item, body float64) float64 {
	target, found := target(it), false
	for _, r := range it.Reasons {
		found = found || slices.Contains(reliefs, r.Code)
	}
	if !found || target <= 0 {
		return 1
	}
	return min(max((float64(it.Load)+body)/target, 0.3), 0.999)
}

// roundedOnly: the load is the highest that can be built for what the record
// gives at the percentage asked for.
func roundedOnly(it prescribe.Item, ex prescribe.Exercise, gear prescribe.Equipment, body float64) bool {
	up, ok := prescribe.NextUp(it.Load, ex, gear)
	return !ok || float64(up.Load)+body > target(it)+0.005
}

// target is the load that the record gave before limits and rounding, kg of the
// total; 0 where the card does not say.
func target(it prescribe.Item) float64 {
	for _, r := range it.Reasons {
		if r.Code == "load.target" {
			return r.Args[0].Num
		}
	}
	return 0
}

// otherItem gives the item to the comparison policies.
func (s *season) otherItem(it prescribe.Item, ex prescribe.Exercise, gear prescribe.Equipment, card prescribe.Card) {
	_, measured := tested[ex.ID]
	sides := s.sides(ex)
	measured = measured && loaded(it, ex) && !it.Finding && it.EccLoad == 0 && it.Intended > 0
	for _, a := range s.others {
		if !measured {
			for _, l := range sides {
				if loaded(it, ex) && it.EccLoad == 0 && it.Load > 0 {
					a.body.attempts(l, float64(it.Load)+l.body, it.Sets, it.Reps, len(it.Cluster) > 1, false, nil)
				} else {
					s.unmeasured(a.body, l, it)
				}
			}
			continue
		}
		t := task{ex: ex, slot: it.Slot, sets: it.Sets, reps: s.written(it, card), cluster: it.Cluster, intended: float64(it.Intended) / 100,
			relief: relief(it, sides[0].body), gear: gear, body: sides[0].body}
		t.careful = card.MatchDay == "MD-2" || !card.Supervised
		w, ok := a.policy.ask(t)
		if !ok {
			continue
		}
		var worst []outcome
		for _, l := range sides {
			var next func(attempt) float64
			if p, ok := a.policy.(*apre); ok && w.toFail {
				next = func(first attempt) float64 { return float64(p.next(t, w, outcome{reps: first.reps})) + l.body }
			}
			a.tally.estimate(w.oneRM, l, a.body)
			list := a.body.attempts(l, float64(w.load)+l.body, w.sets, w.reps, len(w.cluster) > 1, w.toFail, next)
			a.tally.measure(list, l, a.body, w.percent, it.Intended >= heavyFrom && t.relief == 1)
			for n, x := range list {
				o := outcome{reps: x.reps, asked: x.asked, said: a.body.report(x.left, l, n)}
				if x.reps < x.asked {
					o.said = 0
				}
				if n == len(worst) {
					worst = append(worst, o)
				} else if o.reps < worst[n].reps || o.reps == worst[n].reps && o.said < worst[n].said {
					worst[n] = o
				}
			}
			if w.toFail {
				w.load = prescribe.Kg(list[len(list)-1].total - l.body)
			}
		}
		a.policy.done(t, w, worst)
	}
}

// written is the repetitions the coach wrote, or fewer where the card takes
// them off. Repetitions the engine adds before a coarse step are its own.
func (s *season) written(it prescribe.Item, card prescribe.Card) int {
	for _, t := range s.w.programme.Sessions {
		if t.ID != card.Template {
			continue
		}
		for _, slot := range t.Slots {
			if slot.ID == it.Slot && slot.Reps > 0 {
				return min(slot.Reps, it.Reps)
			}
		}
	}
	return it.Reps
}

// aches is the soreness an item leaves in every copy of the player.
func (s *season) aches(it prescribe.Item, ex prescribe.Exercise) {
	if !ex.Lower {
		return
	}
	points := s.m.num("sore.heavy") * float64(it.Sets)
	if it.LoadKind == prescribe.LoadFlywheel || it.EccLoad > 0 || it.Method == prescribe.Eccentric {
		n := s.engine.body.seen[string(ex.ID)]
		points = s.m.num("sore.nordic")*math.Pow(0.65, float64(n)) + 1
		if ex.ID == prescribe.CopenhagenAdduction || ex.Pattern == prescribe.CalfRaise {
			points /= 2
		}
	}
	for _, a := range s.arms() {
		a.body.seen[string(ex.ID)]++
		a.body.later(points, ex.Regions...)
	}
}

// evening: a match, and the night.
func (s *season) evening(day prescribe.Day) {
	for _, m := range s.w.played(day) {
		minutes := s.w.minutes[m.ID]
		s.fold(day, m.End, prescribe.Event{Match: &prescribe.MatchPlayed{MatchID: m.ID, Minutes: minutes, End: m.End}})
		share := float64(minutes) / 90
		for _, a := range s.arms() {
			a.body.match(share)
		}
	}
	for _, a := range s.arms() {
		a.body.night(s.w.at(day).Phase == prescribe.InSeason)
	}
}
