package trial

import (
	"math"

	"pegcard/prescribe"
)

// group is what trains together: lifts of one group share gains and losses.
type group int

const (
	knee group = iota
	hip
	push
	pull
	groups
	noGroup group = -1
)

func groupOf(p prescribe.Pattern) group {
	switch p {
	case prescribe.Squat, prescribe.SingleLeg:
		return knee
	case prescribe.Hinge, prescribe.KneeFlexion:
		return hip
	case prescribe.Push:
		return push
	case prescribe.Pull:
		return pull
	}
	return noGroup
}

// player is the virtual player: what no policy may see. It does not change;
// what training makes of it is in body.
type player struct {
	m    Model
	draw draws

	mass     prescribe.Kg
	ceiling  float64 // log gain
	bias     float64 // repetitions under-reported
	detailed bool    // logs set by set
	strong   float64 // log, against the median player

	curve float64 // log factor of k that the player's lifts share
}

func newPlayer(m Model, d draws) player {
	n := func(i int) float64 { return d.normal(drawPlayer, i, 0, 0) }
	return player{
		m: m, draw: d,
		mass:     prescribe.Kg(math.Round(m.num("body.mass") + m.num("body.spread")*n(0))),
		ceiling:  max(0.03, (m.num("gain.ceiling")+m.num("gain.ceiling_spread")*n(1))/100),
		bias:     m.num("report.bias") + m.num("report.bias_spread")*n(2),
		strong:   m.num("strength.spread") * n(3),
		curve:    m.num("curve.spread") * math.Sqrt(m.num("curve.shared")) * n(4),
		detailed: d.uniform(drawPlayer, 5, 0, 0) < m.num("report.detail"),
	}
}

// lift is one lift of a player, on one side.
type lift struct {
	ex    prescribe.Exercise
	side  prescribe.Side
	key   string
	id    int // for draws
	group group
	base  float64 // log of the 1RM in kg of the total on the first day, without gains
	k     float64 // of the repetition curve
	body  float64 // kg of the body in the total
}

// ratio is a lift's median 1RM (total; each hand for dumbbells) as a share of
// the back squat. Ours: usual proportions of trained players; the estimate
// never sees them.
var ratio = map[prescribe.ExerciseID]float64{
	"back_squat": 1, "front_squat": 0.82, "trap_bar_deadlift": 1.15, "leg_press": 2, "dumbbell_squat": 0.36, "bodyweight_squat": 1.3,
	"romanian_deadlift": 0.85, "hip_thrust": 1.2, "dumbbell_romanian_deadlift": 0.38, "single_leg_romanian_deadlift": 0.22,
	"rear_foot_elevated_split_squat": 0.25, "barbell_rear_foot_elevated_split_squat": 0.5, "step_up": 0.24, "lateral_step_up": 0.2,
	"lateral_lunge": 0.18, "transverse_lunge": 0.18, "single_leg_squat": 0.6,
	"bench_press": 0.72, "dumbbell_press": 0.3, "dumbbell_floor_press": 0.3, "overhead_press": 0.46, "dumbbell_overhead_press": 0.2, "push_up": 0.72,
	"pull_up": 0.84, "dumbbell_row": 0.34,
}

const otherRatio = 0.3

// lift works out a lift. It is the same each time it is asked for.
func (p player) lift(ex prescribe.Exercise, side prescribe.Side) lift {
	id := int(hash(string(ex.ID)))
	both := p.draw.normal(drawLift, id, 0, 0)
	share, ok := ratio[ex.ID]
	if !ok {
		share = otherRatio
	}
	base := math.Log(float64(p.mass)*p.m.num("strength.squat")*share) + p.strong + p.m.num("strength.lift_spread")*both
	if side != prescribe.Both {
		id += len(side)
		base += p.m.num("strength.side_spread") * p.draw.normal(drawLift, id, 1, 0)
	}
	if ex.LoadKind == prescribe.LoadBodyweight { // who trains an exercise of the body can do it [ours]
		base = max(base, math.Log(1.15*ex.BodyFraction*float64(p.mass)))
	}
	own := math.Sqrt(1-p.m.num("curve.shared")) * p.m.num("curve.spread") * p.draw.normal(drawLift, int(hash(string(ex.ID))), 2, 0)
	return lift{
		ex: ex, side: side, key: prescribe.LiftKey(ex.ID, side), id: id, group: groupOf(ex.Pattern),
		base: base, k: p.medianCurve(ex) * math.Exp(p.curve+own), body: ex.BodyFraction * float64(p.mass),
	}
}

// medianCurve is k of the median player: n = 1 − ln f / k. Published numbers are
// whole repetitions done, and on average half a repetition more was in the
// player.
func (p player) medianCurve(ex prescribe.Exercise) float64 {
	k := func(f, reps float64) float64 { return -math.Log(f) / (reps + 0.5 - 1) }
	switch {
	case ex.ID == "leg_press":
		return k(0.80, p.m.num("curve.press_reps"))
	case ex.Lower:
		return k(0.70, p.m.num("curve.squat_reps"))
	}
	return k(0.80, p.m.num("curve.bench_reps"))
}

func hash(s string) uint64 {
	h := uint64(14695981039346656037)
	for i := range len(s) {
		h = (h ^ uint64(s[i])) * 1099511628211
	}
	return h >> 8
}

// body is what a season makes of a player under one policy.
type body struct {
	player
	gain    [groups]float64 // log
	peak    [groups]float64
	rested  [groups]int     // days since the group was trained
	effort  [groups]float64 // today's
	sore    map[prescribe.Region]float64
	wander  map[string]float64
	seen    map[string]int               // exposures to unaccustomed work, for soreness
	next    map[prescribe.Region]float64 // soreness of tomorrow
	today   prescribe.Day
	played  float64 // share of a full match, fading
	match90 float64 // today's
}

func newBody(p player) *body {
	return &body{player: p, sore: map[prescribe.Region]float64{}, wander: map[string]float64{}, seen: map[string]int{}, next: map[prescribe.Region]float64{}}
}

// level is the log 1RM of a lift that the form of the day goes up and down
// around: what an estimate should be.
func (b *body) level(l lift) float64 {
	v := l.base + b.drift(l)
	if l.group != noGroup {
		v += b.gain[l.group]
	}
	return v
}

// drift is the slow wandering of a lift, one step a week.
func (b *body) drift(l lift) float64 {
	week := int(b.today) / 7
	name := l.key
	at, ok := b.wander[name+"#"]
	if ok && int(at) == week {
		return b.wander[name]
	}
	sd := b.m.num("level.wander") / 100 * math.Sqrt(7)
	from := int(firstMonday) / 7
	v, last := b.wander[name], from-1
	if ok {
		last = int(at)
	}
	for w := last + 1; w <= week; w++ {
		v += sd * b.draw.normal(drawWander, l.id, w, 0)
	}
	b.wander[name], b.wander[name+"#"] = v, float64(week)
	return v
}

// strength is the log of what can be lifted once today, fresh.
func (b *body) strength(l lift) float64 {
	sd, shared := b.m.num("form.sd")/100, b.m.num("form.shared")
	day := int(b.today)
	v := b.level(l)
	v += sd * math.Sqrt(shared) * b.draw.normal(drawForm, day, 0, 0)
	v += sd * math.Sqrt(1-shared) * b.draw.normal(drawLiftForm, day, int(hash(string(l.ex.ID))), 0)
	if l.ex.Lower {
		v -= b.m.num("match.fatigue") / 100 * b.played
	}
	worst := 0.0
	for _, r := range l.ex.Regions {
		worst = max(worst, b.sore[r])
	}
	return v - b.m.num("sore.fatigue")/100*max(0, worst-3)
}

// reps is how many repetitions a total of so many kg allows at a log strength,
// not rounded; 0 when it cannot be lifted.
func (l lift) reps(strength, total float64) float64 {
	left := strength - math.Log(total)
	if left < 0 {
		return 0
	}
	return 1 + left/l.k
}

// work is the training effect of one set for the group.
func (b *body) work(l lift, total, strength float64, reps, asked int) {
	if l.group == noGroup || reps == 0 {
		return
	}
	share := total / math.Exp(strength)
	e := min(max((share-0.55)/0.30, 0), 1) * min(1, float64(reps)/float64(max(asked, 1)))
	if l.side != prescribe.Both {
		e /= 2
	}
	b.effort[l.group] += e
}

// night ends a day: gains, losses, soreness of tomorrow.
func (b *body) night(inSeason bool) {
	for g := range groups {
		if b.effort[g] < 0.5 {
			b.rested[g]++
			d := float64(b.rested[g])
			switch {
			case d > 49:
			case d > 21:
				b.gain[g] -= b.m.num("loss.late") / 100
			case d > b.m.num("loss.held"):
				b.gain[g] -= b.m.num("loss.early") / 100
			}
		} else {
			b.rested[g] = 0
			rate := b.m.num("gain.rate") / 100
			if inSeason {
				rate *= b.m.num("gain.season")
			}
			if b.gain[g] < b.peak[g] { // what was lost comes back faster [ours]
				rate *= 2
			}
			full := 1 - math.Exp(-b.effort[g]/b.m.num("gain.sets"))
			b.gain[g] += rate * full * max(0, 1-b.gain[g]/b.ceiling)
			b.peak[g] = max(b.peak[g], b.gain[g])
		}
		b.effort[g] = 0
	}
	b.played *= 0.5
	if b.match90 > 0 {
		b.played, b.match90 = b.match90, 0
	}
	for _, r := range prescribe.Regions() {
		if v := b.sore[r] * b.m.num("sore.keep"); v > 0.05 || b.next[r] > 0 {
			b.sore[r] = min(10, math.Hypot(v, b.next[r]))
		} else {
			delete(b.sore, r)
		}
	}
	clear(b.next)
}

// later adds soreness in regions from the next morning on.
func (b *body) later(points float64, regions ...prescribe.Region) {
	for _, r := range regions {
		b.next[r] = math.Hypot(b.next[r], points)
	}
}

// match is a share of a full match played today.
func (b *body) match(share float64) {
	b.match90 = share
	b.later(b.m.num("sore.match")*share, prescribe.Hamstring, prescribe.Quadriceps, prescribe.Adductor, prescribe.Calf)
}

// report is how many repetitions the player says are left, of left that he has
// in him, of which only whole ones can be done.
func (b *body) report(left float64, l lift, set int) prescribe.RIR {
	said := math.Floor(left) - b.bias + b.m.num("report.sd")*b.draw.normal(drawReport, int(b.today), l.id, set)
	return prescribe.RIR(min(max(math.Round(said), 0), 4))
}
