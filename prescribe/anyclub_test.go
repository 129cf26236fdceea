package prescribe_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pegcard/prescribe"
)

// anyClub gives the life another club: a programme that no coach would write,
// gyms with anything in them, and rules changed within their ranges.
func (l *life) anyClub(t *rapid.T) {
	l.prog = drawProgramme(t)
	for _, name := range []string{"gym", "hotel"} {
		l.settings[name] = drawSetting(t, name)
	}
	table := prescribe.RuleTable()
	for range rapid.IntRange(0, 6).Draw(t, "rules changed") {
		r := rapid.SampledFrom(table).Draw(t, "rule")
		v := r.Min + rapid.Float64Range(0, 1).Draw(t, "value")*(r.Max-r.Min)
		if r.Whole {
			v = math.Round(v)
		}
		next, err := l.rules.With(r.ID, v)
		require.NoError(t, err)
		l.rules = next
	}
	l.option = l.rules.Int("place.md1_option") == 1
}

func (l *life) maybeAnyClub(t *rapid.T) {
	if rapid.Bool().Draw(t, "any club") {
		l.anyClub(t)
	}
}

func drawSetting(t *rapid.T, name string) prescribe.Setting {
	s := prescribe.Setting{Place: name, Supervised: rapid.Bool().Draw(t, "supervised")}
	e := &s.Equipment
	for _, b := range []prescribe.Bar{{Kind: "straight", Mass: 20}, {Kind: "straight", Mass: 10}, {Kind: "trap", Mass: 25}, {Kind: "sled", Mass: 40}} {
		if rapid.Bool().Draw(t, "bar") {
			e.Bars = append(e.Bars, b)
		}
	}
	for _, m := range []prescribe.Kg{25, 20, 10, 5, 2.5, 1.25} {
		e.Plates = append(e.Plates, prescribe.Plate{Mass: m, Pairs: rapid.IntRange(0, 4).Draw(t, "pairs")})
	}
	for range rapid.IntRange(0, 6).Draw(t, "dumbbells") {
		e.Dumbbells = append(e.Dumbbells, prescribe.Kg(rapid.IntRange(2, 90).Draw(t, "dumbbell"))/2)
	}
	for range rapid.IntRange(0, 2).Draw(t, "added") {
		e.Added = append(e.Added, prescribe.Kg(rapid.IntRange(1, 20).Draw(t, "added mass")))
	}
	for _, d := range []string{"north", "south"} {
		if rapid.Bool().Draw(t, "wheel") {
			e.Flywheels = append(e.Flywheels, prescribe.Wheel{Device: d, Inertias: []prescribe.Inertia{0.025, 0.05, 0.1}})
		}
	}
	for _, g := range []prescribe.GearItem{prescribe.GearRack, prescribe.GearBench, prescribe.GearPullUpBar, prescribe.GearBand, prescribe.GearReleasers,
		prescribe.GearBox, prescribe.GearAnchor, prescribe.GearCable, prescribe.GearLegPress, prescribe.GearSlider} {
		if rapid.IntRange(0, 3).Draw(t, "gear") > 0 {
			e.Has = append(e.Has, g)
		}
	}
	return s
}

func drawProgramme(t *rapid.T) prescribe.Programme {
	library := prescribe.Library()
	id := func() prescribe.ExerciseID { return rapid.SampledFrom(library).Draw(t, "candidate").ID }
	// Slots are called as in randomProgramme, so that the life's edits meet some.
	slots := []string{"squat", "nordic", "wheel", "hinge", "six", "over"}
	session := func(name string) prescribe.SessionTemplate {
		s := prescribe.SessionTemplate{ID: name, Phase: prescribe.InSeason}
		for _, slot := range slots[:rapid.IntRange(1, len(slots)).Draw(t, "slots")] {
			c := []prescribe.ExerciseID{id()}
			for range rapid.IntRange(0, 2).Draw(t, "more candidates") {
				c = append(c, id())
			}
			s.Slots = append(s.Slots, prescribe.Slot{ID: slot, Candidates: c,
				Method: rapid.SampledFrom([]prescribe.Method{prescribe.Traditional, prescribe.Eccentric, prescribe.Flywheel, prescribe.Support}).Draw(t, "method"),
				Scheme: rapid.SampledFrom([]prescribe.Scheme{prescribe.SchemePercent, prescribe.SchemeRIR, prescribe.SchemeNordic, prescribe.SchemeCopenhagen,
					prescribe.SchemeAccentuated, prescribe.SchemeFlywheel, prescribe.SchemeReps, prescribe.SchemeHold}).Draw(t, "scheme"),
				Sets: rapid.IntRange(0, 8).Draw(t, "sets"), MinSets: rapid.IntRange(0, 3).Draw(t, "least sets"), Reps: rapid.IntRange(0, 15).Draw(t, "repetitions"),
				Intensity: prescribe.Percent(rapid.IntRange(0, 110).Draw(t, "intensity")), Ecc: prescribe.Percent(rapid.IntRange(90, 140).Draw(t, "lowering")),
				RIR: prescribe.RIR(rapid.IntRange(0, 4).Draw(t, "reserve")), Six: rapid.SampledFrom([]prescribe.SixAt85{"", prescribe.SixCluster, prescribe.SixStraight, prescribe.SixLighter}).Draw(t, "six"),
				Optional: rapid.IntRange(0, 5).Draw(t, "optional") == 0})
		}
		return s
	}
	p := prescribe.Programme{Name: "any"}
	for _, name := range []string{"main-a", "main-b", "main-c"} {
		p.Sessions = append(p.Sessions, session(name))
	}
	if rapid.Bool().Draw(t, "small") {
		s := session("small")
		s.Small = true
		p.Sessions = append(p.Sessions, s)
	}
	if rapid.Bool().Draw(t, "priming") {
		s := session("prime")
		s.Priming = true
		p.Sessions = append(p.Sessions, s)
	}
	if rapid.Bool().Draw(t, "remote") {
		s := session("away")
		s.Remote = true
		p.Sessions = append(p.Sessions, s)
	}
	if rapid.Bool().Draw(t, "dose") {
		p.Doses = []prescribe.PhaseDose{{Phase: prescribe.InSeason, Sessions: rapid.IntRange(0, 7).Draw(t, "sessions"), Crowded: rapid.IntRange(0, 3).Draw(t, "crowded"),
			NordicWeekly: rapid.IntRange(0, 3).Draw(t, "nordics"), FlywheelWeek: rapid.IntRange(0, 3).Draw(t, "wheels")}}
	}
	return p
}

// Whatever the coach writes and whatever stands in the gym, the hard limits hold.
// Rules can only be made stricter than the limits that are checked.
func TestHardLimitsHoldForAnyClub(t *testing.T) {
	items := 0
	for range 10 { // rapid's own number of checks is a hundred
		rapid.Check(t, func(t *rapid.T) {
			l := drawLife(t)
			l.anyClub(t)
			s := l.state()
			card := l.plan(s)
			items += len(card.Items)
			checkLimits(t, l, s, card)
		})
	}
	met(t, items)
}

// What is on a card is never more than what it was worked out to be: rounding
// goes down, and only the last time's own load, or the coach's, stands above the
// record's target.
func TestNothingIsRoundedUp(t *testing.T) {
	rounded := 0
	rapid.Check(t, func(t *rapid.T) {
		l := drawLife(t)
		l.maybeAnyClub(t)
		l.force(t)
		for _, it := range l.plan(l.state()).Items {
			target, kept := math.Inf(1), false
			for _, r := range it.Reasons {
				switch r.Code {
				case "load.target":
					target = r.Args[0].Num
				case "load.kept":
					kept = true
					require.LessOrEqual(t, float64(it.Load), r.Args[0].Num+0.005, it.Exercise)
				case "load.rounded":
					require.Less(t, r.Args[1].Num, r.Args[0].Num, it.Exercise)
					rounded++
				}
			}
			if !kept && it.Load > 0 {
				require.LessOrEqual(t, float64(it.Load), target+0.005, it.Exercise)
			}
		}
	})
	met(t, rounded)
}

// The order in which things that do not hang together are handed over makes no
// difference: the lifts of a day, the fixtures, what stands in the gym.
func TestOrderMakesNoDifference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawLife(t)
		l.maybeAnyClub(t)
		s := l.state()
		first := mustJSON(t, l.plan(s))

		other := l
		other.events = slices.Clone(l.events)
		turn := map[prescribe.ExerciseID]int{}
		for _, ex := range prescribe.Library() {
			turn[ex.ID] = rapid.IntRange(0, 9).Draw(t, "turn")
		}
		slices.SortStableFunc(other.events, func(a, b prescribe.Event) int {
			if a.At != b.At || a.Set == nil || b.Set == nil {
				return int(a.At - b.At)
			}
			return turn[a.Set.Exercise] - turn[b.Set.Exercise]
		})
		require.Equal(t, mustJSON(t, s), mustJSON(t, other.state()))

		other.cal.Matches = slices.Clone(l.cal.Matches)
		slices.Reverse(other.cal.Matches)
		other.cal.Settings = map[string]prescribe.Setting{}
		for name, x := range l.settings {
			e := &x.Equipment
			e.Bars, e.Plates, e.Dumbbells, e.Added, e.Has = slices.Clone(e.Bars), slices.Clone(e.Plates), slices.Clone(e.Dumbbells), slices.Clone(e.Added), slices.Clone(e.Has)
			slices.Reverse(e.Bars)
			slices.Reverse(e.Plates)
			slices.Reverse(e.Dumbbells)
			slices.Reverse(e.Added)
			slices.Reverse(e.Has)
			e.Flywheels = slices.Clone(e.Flywheels)
			for i := range e.Flywheels {
				e.Flywheels[i].Inertias = slices.Clone(e.Flywheels[i].Inertias)
				slices.Reverse(e.Flywheels[i].Inertias)
			}
			other.cal.Settings[name] = x
		}
		require.Equal(t, first, mustJSON(t, other.plan(s)))
	})
}

// A club that weighs in pounds has the same targets before they are rounded to
// what its discs build: all masses in pounds give the numbers of all masses in
// kilograms, in pounds.
func TestPoundsGiveTheSameTargets(t *testing.T) {
	compared := 0
	rapid.Check(t, func(t *rapid.T) {
		l := drawLife(t)
		l.maybeAnyClub(t)
		l.force(t)
		targets := func(l life) map[string]float64 {
			out := map[string]float64{}
			for _, it := range l.plan(l.state()).Items {
				for _, r := range it.Reasons {
					if r.Code == "load.target" {
						out[fmt.Sprint(it.Slot, it.Exercise, it.Reps)] = r.Args[0].Num
					}
				}
			}
			return out
		}
		lb := l
		lb.profile.BodyMass /= prescribe.KgPerLb
		lb.events = slices.Clone(l.events)
		for i, e := range lb.events {
			if e.Set != nil {
				set := *e.Set
				set.Load /= prescribe.KgPerLb
				lb.events[i].Set = &set
			}
		}
		lb.cal.Settings = map[string]prescribe.Setting{}
		for name, x := range l.settings {
			lb.cal.Settings[name] = inPounds(x)
		}
		kilos, pounds := targets(l), targets(lb)
		for key, kg := range kilos {
			if v, ok := pounds[key]; ok {
				require.InDelta(t, kg, v*prescribe.KgPerLb, 0.02, key)
				compared++
			}
		}
	})
	met(t, compared)
}

func inPounds(x prescribe.Setting) prescribe.Setting {
	e := &x.Equipment
	e.Bars, e.Plates, e.Dumbbells, e.Added = slices.Clone(e.Bars), slices.Clone(e.Plates), slices.Clone(e.Dumbbells), slices.Clone(e.Added)
	for i := range e.Bars {
		e.Bars[i].Mass /= prescribe.KgPerLb
	}
	for i := range e.Plates {
		e.Plates[i].Mass /= prescribe.KgPerLb
	}
	for i := range e.Dumbbells {
		e.Dumbbells[i] /= prescribe.KgPerLb
	}
	for i := range e.Added {
		e.Added[i] /= prescribe.KgPerLb
	}
	return x
}

// Soreness never lengthens a Nordic set, wherever the player stands on the
// ladder and however long the last Nordics are ago: where the dose is halved or
// kept low, fewer sets must not make longer ones.
func TestSorenessNeverLengthensANordicSet(t *testing.T) {
	c, _ := readCase(t, casesDir, "nordic-gap.txt")
	day := c.days[0]
	c.prog = programmeOf("session main-a season\nnordic eccentric nordic nordic_hamstring 3x10")
	c.edits = []prescribe.Edit{{Kind: prescribe.EditAdd, Template: "main-a"}}
	nordics := 0
	for exposures := range 13 {
		for gap := 1; gap < 45; gap++ {
			plan := func(score prescribe.Score) (prescribe.Item, bool) {
				s := prescribe.Fold(prescribe.State{}, prescribe.Event{Day: 1, Profile: &c.profile}, c.rules)
				fold := func(d prescribe.Day, clock string, e prescribe.Event) {
					e.Day, e.At = d, at(d, clock)
					s = prescribe.Fold(s, e, c.rules)
				}
				for i := range exposures {
					d := day - prescribe.Day(gap+4*(exposures-1-i))
					sets, reps := prescribe.NordicDose(i, c.rules)
					for n := range sets {
						fold(d, "11:00", prescribe.Event{Set: &prescribe.Set{Exercise: prescribe.NordicHamstring, Reps: reps, Asked: reps, Ordinal: n + 1, Scheme: prescribe.SchemeNordic}})
					}
				}
				fold(day, "07:00", prescribe.Event{Soreness: &prescribe.Soreness{Region: prescribe.Hamstring, Score: score}})
				card := prescribe.Plan(s, c.cal, c.prog, c.rules, day, c.edits)
				if len(card.Items) == 0 {
					return prescribe.Item{}, false
				}
				return card.Items[0], card.Items[0].Exercise == prescribe.NordicHamstring
			}
			fresh, _ := plan(0)
			sore, ok := plan(5)
			if !ok {
				continue
			}
			nordics++
			require.LessOrEqual(t, sore.Reps, fresh.Reps, "%d exposures, %d days ago", exposures, gap)
			require.LessOrEqual(t, sore.Sets, fresh.Sets, "%d exposures, %d days ago", exposures, gap)
		}
	}
	met(t, nordics)
}
