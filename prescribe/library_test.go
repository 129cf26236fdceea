package prescribe_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	. "pegcard/prescribe"
)

// The places a player trains without the club's gym.
var (
	hotelRoom = Setting{Place: "hotel"}
	home      = Setting{Place: "home", Equipment: Equipment{Has: []GearItem{GearBand, GearBench}}}
	travelBag = Setting{Place: "travel", Equipment: Equipment{Dumbbells: []Kg{5, 10}, Has: []GearItem{GearBand}}}
	gym       = Setting{Place: "gym", Supervised: true, Equipment: Equipment{
		Bars:      []Bar{{"straight", 20}, {"trap", 25}, {"sled", 50}},
		Plates:    []Plate{{20, 5}, {10, 2}, {5, 2}, {2.5, 2}, {1.25, 2}},
		Dumbbells: []Kg{10, 20, 30},
		Flywheels: []Wheel{wheel},
		Has: []GearItem{GearRack, GearBench, GearPullUpBar, GearBand, GearReleasers, GearBox, GearAnchor,
			GearCable, GearLegPress, GearSlider},
	}}
)

func TestLibrary(t *testing.T) {
	lib := Library()
	require.Greater(t, len(lib), 45)
	regions := []Region{Hamstring, Quadriceps, Adductor, Glute, Calf, HipFront, LowBack, UpperBack, Trunk, Chest,
		Shoulder, Arm, Neck, Knee, TibialTub, Shin, Ankle, Achilles, Heel, Foot, Hip, Elbow, Wrist}
	for i, e := range lib {
		if i > 0 {
			require.Less(t, lib[i-1].ID, e.ID, "sorted, each once")
		}
		require.Regexp(t, `^[a-z]+(_[a-z]+)*$`, string(e.ID))
		require.NotEmpty(t, e.Name, e.ID)
		require.NotEmpty(t, e.Methods, e.ID)
		require.NotEmpty(t, e.Regions, e.ID)
		require.NotEmpty(t, e.Planes, e.ID)
		for _, p := range e.Planes {
			require.Contains(t, []string{Sagittal, Frontal, Transverse}, p, e.ID)
		}
		seen := map[Region]bool{}
		for _, r := range e.Regions {
			require.Contains(t, regions, r, e.ID)
			require.False(t, seen[r], "%s stresses %s twice", e.ID, r)
			seen[r] = true
		}
		require.Equal(t, e.LoadKind == LoadBar, e.BarKind != "", e.ID)
		require.Equal(t, e.LoadKind == LoadFlywheel, e.Fills(Flywheel), e.ID)
		require.True(t, e.BodyFraction == 0 || e.LoadKind == LoadBodyweight, e.ID)
		require.True(t, !e.EccentricOverload || e.Supervised && e.MinAge >= 18 && e.RecordOf != "", e.ID)
		require.Equal(t, slices.Contains([]Pattern{Push, Pull, TrunkBrace, Rotation}, e.Pattern), !e.Lower, e.ID)
		require.True(t, e.CanDo(gym), "%s: the full gym can do everything", e.ID)

		require.NotEmpty(t, e.Substitutes, e.ID)
		for _, id := range e.Substitutes {
			s, ok := Lookup(id)
			require.True(t, ok, "%s: no substitute %s", e.ID, id)
			require.Equal(t, e.Pattern, s.Pattern, "%s and %s", e.ID, id)
			require.NotEqual(t, e.ID, id)
		}
		for _, id := range []ExerciseID{e.RecordOf, e.BilateralOf} {
			if id != "" {
				of, ok := Lookup(id)
				require.True(t, ok, "%s: no lift %s", e.ID, id)
				require.False(t, of.Unilateral, e.ID)
				require.Equal(t, LoadBar, of.LoadKind, e.ID)
			}
		}
		got, ok := Lookup(e.ID)
		require.True(t, ok)
		require.Equal(t, e, got)
	}
	_, ok := Lookup("barbell_nothing")
	require.False(t, ok)
	lib[0].Name = "changed"
	require.NotEqual(t, lib[0].Name, Library()[0].Name, "a copy")
}

// Wherever a player is, there is something of every pattern, and from every
// exercise of the gym a way to it.
func TestLibraryEverywhere(t *testing.T) {
	for place, s := range map[string]Setting{"hotel room": hotelRoom, "home": home, "travel bag": travelBag} {
		byPattern := map[Pattern][]ExerciseID{}
		for _, e := range Library() {
			if e.CanDo(s) {
				byPattern[e.Pattern] = append(byPattern[e.Pattern], e.ID)
			}
		}
		for _, p := range []Pattern{Squat, Hinge, SingleLeg, KneeFlexion, HipAdduction, HipAbduction, CalfRaise, Push, Pull, TrunkBrace, Rotation} {
			require.NotEmpty(t, byPattern[p], "%s: nothing for %s", place, p)
		}
		for _, e := range Library() {
			reached := []ExerciseID{e.ID}
			for i := 0; i < len(reached); i++ {
				at, _ := Lookup(reached[i])
				for _, id := range at.Substitutes {
					if !slices.Contains(reached, id) {
						reached = append(reached, id)
					}
				}
			}
			require.True(t, slices.ContainsFunc(reached, func(id ExerciseID) bool {
				x, _ := Lookup(id)
				return x.CanDo(s)
			}), "%s: no way from %s", place, e.ID)
		}
	}
}

// What METHOD asks for: the three planes for single-leg strength, the flywheel
// exercises, straight- and bent-knee calf raises.
func TestLibraryCoversTheMethods(t *testing.T) {
	planes := map[string]bool{}
	for _, e := range Library() {
		if e.Pattern == SingleLeg && e.Fills(Traditional) && e.LoadKind == LoadDumbbells {
			for _, p := range e.Planes {
				planes[p] = true
			}
		}
	}
	require.Len(t, planes, 3)
	for id, m := range map[ExerciseID]Method{
		"back_squat": Traditional, "trap_bar_deadlift": Traditional, "rear_foot_elevated_split_squat": Traditional,
		"step_up": Traditional, "single_leg_squat": Traditional, "accentuated_back_squat": Eccentric,
		"nordic_hamstring": Eccentric, "copenhagen_adduction": Eccentric, "standing_calf_raise": Eccentric,
		"bent_knee_calf_raise": Eccentric, "flywheel_squat": Flywheel, "flywheel_lunge": Flywheel,
		"flywheel_leg_curl": Flywheel, "flywheel_split_squat": Flywheel, "flywheel_hamstring_kick": Flywheel,
	} {
		e, ok := Lookup(id)
		require.True(t, ok, id)
		require.True(t, e.Fills(m), id)
		require.False(t, e.Fills("nothing"))
	}
}

func TestCanDo(t *testing.T) {
	alone := gym
	alone.Supervised = false
	noRack := alone
	noRack.Equipment.Has = []GearItem{GearBench}
	for _, c := range []struct {
		id   ExerciseID
		in   Setting
		want bool
		why  string
	}{
		{"accentuated_back_squat", gym, true, ""},
		{"accentuated_back_squat", alone, false, "supervised only"},
		{"back_squat", alone, true, "a rack with safeties"},
		{"bench_press", alone, true, "a rack with safeties"},
		{"bench_press", noRack, false, "alone without safeties"},
		{"dumbbell_press", noRack, true, ""},
		{"dumbbell_press", hotelRoom, false, "no bench, no dumbbells"},
		{"dumbbell_floor_press", hotelRoom, false, "no dumbbells"},
		{"trap_bar_deadlift", Setting{Equipment: Equipment{Bars: []Bar{{"straight", 20}}}}, false, "not that bar"},
		{"flywheel_squat", home, false, "no flywheel"},
		{"push_up", hotelRoom, true, ""},
		{"nordic_hamstring", hotelRoom, false, "nothing holds the ankles"},
	} {
		e, ok := Lookup(c.id)
		require.True(t, ok)
		require.Equal(t, c.want, e.CanDo(c.in), "%s: %s", c.id, c.why)
	}
}
