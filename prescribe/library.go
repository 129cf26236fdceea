package prescribe

import (
	"cmp"
	"slices"
	"sync"
)

// Exercise is one exercise of the library. Names and ids are the trade's
// standard terms. What the exercises are and what they stress is common
// practice; a number that rests on a source names it.
type Exercise struct {
	ID       ExerciseID `json:"id"`
	Name     string     `json:"name"` // in plain English
	Pattern  Pattern    `json:"pattern"`
	Methods  []Method   `json:"methods"`         // slots it may fill
	Planes   []string   `json:"planes"`          // of movement, or of the movement resisted
	Lower    bool       `json:"lower,omitempty"` // lower body
	Regions  []Region   `json:"regions"`         // stressed
	LoadKind LoadKind   `json:"load_kind"`
	BarKind  string     `json:"bar_kind,omitempty"` // LoadBar: "straight", "trap" or "sled"
	// Unilateral: one side at a time, a record a side.
	Unilateral bool `json:"unilateral,omitempty"`
	// BodyFraction is the share of body mass in the total; 0: the total is the
	// external load.
	BodyFraction float64    `json:"body_fraction,omitempty"`
	BodyMark     string     `json:"body_mark,omitempty"`   // mark of BodyFraction
	BodySource   string     `json:"body_source,omitempty"` // bibliography key
	Needs        []GearItem `json:"needs,omitempty"`       // all of them
	Supervised   bool       `json:"supervised,omitempty"`  // supervised sessions only
	MinAge       int        `json:"min_age,omitempty"`     // years
	// EccentricOverload: lowered heavier than it can be raised.
	EccentricOverload bool `json:"eccentric_overload,omitempty"`
	// SoloUnsafe: unsupervised only in a rack with safeties.
	SoloUnsafe bool `json:"solo_unsafe,omitempty"`
	// RecordOf is the lift whose record gives the load, where it is not the
	// exercise's own.
	RecordOf ExerciseID `json:"record_of,omitempty"`
	// BilateralOf is the lift whose record may stand in until there is an own
	// one, at BilateralShare of its load (for dumbbells, of one hand).
	BilateralOf     ExerciseID   `json:"bilateral_of,omitempty"`
	BilateralShare  float64      `json:"bilateral_share,omitempty"`
	BilateralMark   string       `json:"bilateral_mark,omitempty"`
	BilateralSource string       `json:"bilateral_source,omitempty"`
	Substitutes     []ExerciseID `json:"substitutes,omitempty"` // same pattern, nearest first
	Hold            bool         `json:"hold,omitempty"`        // held for seconds
}

// The planes of movement.
const (
	Sagittal   = "sagittal"
	Frontal    = "frontal"
	Transverse = "transverse"
)

type catalogue struct {
	sorted []Exercise
	byID   map[ExerciseID]Exercise
}

var readLibrary = sync.OnceValue(func() catalogue {
	c := catalogue{exercises(), map[ExerciseID]Exercise{}}
	slices.SortFunc(c.sorted, func(a, b Exercise) int { return cmp.Compare(a.ID, b.ID) })
	for _, e := range c.sorted {
		c.byID[e.ID] = e
	}
	return c
})

// Library lists the exercises by ID. The slices inside are shared: read only.
func Library() []Exercise { return slices.Clone(readLibrary().sorted) }

// Lookup finds an exercise.
func Lookup(id ExerciseID) (Exercise, bool) {
	e, ok := readLibrary().byID[id]
	return e, ok
}

// CanDo reports whether the exercise can be done where a setting is: it has
// the gear and something to load, and is supervised or safe alone.
func (e Exercise) CanDo(s Setting) bool {
	if e.Supervised && !s.Supervised {
		return false
	}
	has := func(g GearItem) bool { return slices.Contains(s.Equipment.Has, g) }
	if e.SoloUnsafe && !s.Supervised && !has(GearRack) {
		return false
	}
	for _, g := range e.Needs {
		if !has(g) {
			return false
		}
	}
	switch e.LoadKind {
	case LoadBar:
		return slices.ContainsFunc(s.Equipment.Bars, func(b Bar) bool { return b.Kind == e.BarKind })
	case LoadDumbbells:
		return len(s.Equipment.Dumbbells) > 0
	case LoadFlywheel:
		return slices.ContainsFunc(s.Equipment.Flywheels, func(w Wheel) bool { return len(w.Inertias) > 0 })
	}
	return true
}

// Fills reports whether the exercise may fill a slot of the method.
func (e Exercise) Fills(m Method) bool { return slices.Contains(e.Methods, m) }

// Body-mass fractions.
const (
	pullUpBody = 1.0 // the whole body hangs
	// Men 0.67 arms straight to 0.75 at the bottom, women 0.65 to 0.70; the
	// middle of the four.
	pushUpBody = 0.69
	// All but shanks and feet, which do not rise; of men (of women 0.878).
	squatBody = 0.886
)

// halfBilateral: a rear-foot-elevated split squat is loaded with half of what
// the back squat is, a dumbbell in each hand with a quarter.
const halfBilateral = 0.5

func exercises() []Exercise {
	traditional := []Method{Traditional}
	eccentric := []Method{Eccentric}
	flywheel := []Method{Flywheel}
	both := []Method{Traditional, Eccentric}
	support := []Method{Support}
	anyLower := []Method{Traditional, Support}
	sagittal := []string{Sagittal}
	frontal := []string{Frontal}
	transverse := []string{Transverse}
	leg := []Region{Quadriceps, Glute, Adductor, Knee, Hip, LowBack}
	oneLeg := []Region{Quadriceps, Glute, Adductor, Knee, Hip, Ankle}
	hinge := []Region{Hamstring, Glute, LowBack, Hip}
	curl := []Region{Hamstring, Knee}
	groin := []Region{Adductor, Hip, Trunk}
	calf := []Region{Calf, Achilles, Ankle}
	push := []Region{Chest, Shoulder, Arm, Elbow, Wrist}
	pull := []Region{UpperBack, Shoulder, Arm, Elbow}
	trunk := []Region{Trunk, LowBack}
	return []Exercise{
		// Squat.
		{ID: "accentuated_back_squat", Name: "Accentuated eccentric back squat", Pattern: Squat, Methods: eccentric, Planes: sagittal, Lower: true,
			Regions: leg, LoadKind: LoadBar, BarKind: "straight", Needs: []GearItem{GearRack, GearReleasers}, Supervised: true, MinAge: 18,
			EccentricOverload: true, SoloUnsafe: true, RecordOf: "back_squat", Substitutes: []ExerciseID{"back_squat", "flywheel_squat"}},
		{ID: "back_squat", Name: "Back squat", Pattern: Squat, Methods: traditional, Planes: sagittal, Lower: true,
			Regions: leg, LoadKind: LoadBar, BarKind: "straight", Needs: []GearItem{GearRack}, SoloUnsafe: true,
			Substitutes: []ExerciseID{"front_squat", "trap_bar_deadlift", "leg_press", "dumbbell_squat", "bodyweight_squat"}},
		{ID: "bodyweight_squat", Name: "Bodyweight squat", Pattern: Squat, Methods: anyLower, Planes: sagittal, Lower: true,
			Regions: leg, LoadKind: LoadBodyweight, BodyFraction: squatBody, BodyMark: MarkPublished, BodySource: "deleva1996",
			Substitutes: []ExerciseID{"dumbbell_squat"}},
		{ID: "dumbbell_squat", Name: "Dumbbell squat", Pattern: Squat, Methods: traditional, Planes: sagittal, Lower: true,
			Regions: leg, LoadKind: LoadDumbbells, Substitutes: []ExerciseID{"back_squat", "bodyweight_squat"}},
		{ID: "flywheel_squat", Name: "Flywheel squat", Pattern: Squat, Methods: flywheel, Planes: sagittal, Lower: true,
			Regions: leg, LoadKind: LoadFlywheel, Substitutes: []ExerciseID{"back_squat", "dumbbell_squat", "bodyweight_squat"}},
		{ID: "front_squat", Name: "Front squat", Pattern: Squat, Methods: traditional, Planes: sagittal, Lower: true,
			Regions: leg, LoadKind: LoadBar, BarKind: "straight", Needs: []GearItem{GearRack}, SoloUnsafe: true,
			Substitutes: []ExerciseID{"back_squat", "dumbbell_squat", "bodyweight_squat"}},
		{ID: "leg_press", Name: "Leg press", Pattern: Squat, Methods: traditional, Planes: sagittal, Lower: true,
			Regions: leg, LoadKind: LoadBar, BarKind: "sled", Needs: []GearItem{GearLegPress},
			Substitutes: []ExerciseID{"back_squat", "dumbbell_squat", "bodyweight_squat"}},
		{ID: "trap_bar_deadlift", Name: "Trap-bar deadlift", Pattern: Squat, Methods: traditional, Planes: sagittal, Lower: true,
			Regions: append([]Region{Hamstring}, leg...), LoadKind: LoadBar, BarKind: "trap",
			Substitutes: []ExerciseID{"back_squat", "dumbbell_squat", "bodyweight_squat"}},

		// Hinge.
		{ID: "band_good_morning", Name: "Band good morning", Pattern: Hinge, Methods: anyLower, Planes: sagittal, Lower: true,
			Regions: hinge, LoadKind: LoadNone, Needs: []GearItem{GearBand},
			Substitutes: []ExerciseID{"dumbbell_romanian_deadlift", "single_leg_glute_bridge"}},
		{ID: "dumbbell_romanian_deadlift", Name: "Dumbbell Romanian deadlift", Pattern: Hinge, Methods: traditional, Planes: sagittal, Lower: true,
			Regions: hinge, LoadKind: LoadDumbbells,
			Substitutes: []ExerciseID{"romanian_deadlift", "single_leg_romanian_deadlift", "band_good_morning", "single_leg_glute_bridge"}},
		{ID: "hip_thrust", Name: "Hip thrust", Pattern: Hinge, Methods: traditional, Planes: sagittal, Lower: true,
			Regions: []Region{Glute, Hamstring, Hip}, LoadKind: LoadBar, BarKind: "straight", Needs: []GearItem{GearBench},
			Substitutes: []ExerciseID{"romanian_deadlift", "single_leg_glute_bridge"}},
		{ID: "romanian_deadlift", Name: "Romanian deadlift", Pattern: Hinge, Methods: traditional, Planes: sagittal, Lower: true,
			Regions: hinge, LoadKind: LoadBar, BarKind: "straight",
			Substitutes: []ExerciseID{"dumbbell_romanian_deadlift", "hip_thrust", "single_leg_romanian_deadlift", "band_good_morning", "single_leg_glute_bridge"}},
		{ID: "single_leg_glute_bridge", Name: "Single-leg glute bridge", Pattern: Hinge, Methods: anyLower, Planes: sagittal, Lower: true,
			Regions: []Region{Glute, Hamstring, Hip}, LoadKind: LoadNone, Unilateral: true,
			Substitutes: []ExerciseID{"hip_thrust", "band_good_morning"}},
		{ID: "single_leg_romanian_deadlift", Name: "Single-leg Romanian deadlift", Pattern: Hinge, Methods: traditional, Planes: []string{Sagittal, Transverse}, Lower: true,
			Regions: append([]Region{Ankle}, hinge...), LoadKind: LoadDumbbells, Unilateral: true,
			Substitutes: []ExerciseID{"dumbbell_romanian_deadlift", "romanian_deadlift", "single_leg_glute_bridge"}},

		// Single leg, in three planes.
		{ID: "barbell_rear_foot_elevated_split_squat", Name: "Barbell rear-foot-elevated split squat", Pattern: SingleLeg, Methods: traditional, Planes: sagittal, Lower: true,
			Regions: oneLeg, LoadKind: LoadBar, BarKind: "straight", Unilateral: true, Needs: []GearItem{GearBench, GearRack}, SoloUnsafe: true,
			BilateralOf: "back_squat", BilateralShare: halfBilateral, BilateralMark: MarkPublished, BilateralSource: "deforest2014",
			Substitutes: []ExerciseID{"rear_foot_elevated_split_squat", "step_up", "single_leg_squat", "split_squat"}},
		{ID: "bodyweight_lateral_lunge", Name: "Bodyweight lateral lunge", Pattern: SingleLeg, Methods: anyLower, Planes: frontal, Lower: true,
			Regions: oneLeg, LoadKind: LoadNone, Unilateral: true,
			Substitutes: []ExerciseID{"lateral_lunge", "split_squat"}},
		{ID: "flywheel_lunge", Name: "Flywheel lunge", Pattern: SingleLeg, Methods: flywheel, Planes: sagittal, Lower: true,
			Regions: oneLeg, LoadKind: LoadFlywheel, Unilateral: true,
			Substitutes: []ExerciseID{"flywheel_split_squat", "rear_foot_elevated_split_squat", "split_squat"}},
		{ID: "flywheel_split_squat", Name: "Flywheel rear-foot-elevated split squat", Pattern: SingleLeg, Methods: flywheel, Planes: sagittal, Lower: true,
			Regions: oneLeg, LoadKind: LoadFlywheel, Unilateral: true, Needs: []GearItem{GearBench},
			Substitutes: []ExerciseID{"flywheel_lunge", "rear_foot_elevated_split_squat", "split_squat"}},
		{ID: "lateral_lunge", Name: "Dumbbell lateral lunge", Pattern: SingleLeg, Methods: traditional, Planes: frontal, Lower: true,
			Regions: oneLeg, LoadKind: LoadDumbbells, Unilateral: true,
			Substitutes: []ExerciseID{"lateral_step_up", "bodyweight_lateral_lunge"}},
		{ID: "lateral_step_up", Name: "Dumbbell lateral step-up", Pattern: SingleLeg, Methods: traditional, Planes: frontal, Lower: true,
			Regions: oneLeg, LoadKind: LoadDumbbells, Unilateral: true, Needs: []GearItem{GearBox},
			Substitutes: []ExerciseID{"lateral_lunge", "bodyweight_lateral_lunge"}},
		{ID: "rear_foot_elevated_split_squat", Name: "Dumbbell rear-foot-elevated split squat", Pattern: SingleLeg, Methods: traditional, Planes: sagittal, Lower: true,
			Regions: oneLeg, LoadKind: LoadDumbbells, Unilateral: true, Needs: []GearItem{GearBench},
			BilateralOf: "back_squat", BilateralShare: halfBilateral / 2, BilateralMark: MarkPublished, BilateralSource: "deforest2014",
			Substitutes: []ExerciseID{"barbell_rear_foot_elevated_split_squat", "step_up", "single_leg_squat", "split_squat"}},
		{ID: "single_leg_squat", Name: "Single-leg squat to a box", Pattern: SingleLeg, Methods: traditional, Planes: []string{Sagittal, Frontal}, Lower: true,
			Regions: oneLeg, LoadKind: LoadBodyweight, Unilateral: true, BodyFraction: squatBody, BodyMark: MarkPublished, BodySource: "deleva1996",
			Needs: []GearItem{GearBox}, Substitutes: []ExerciseID{"step_up", "rear_foot_elevated_split_squat", "split_squat"}},
		{ID: "split_squat", Name: "Bodyweight split squat", Pattern: SingleLeg, Methods: anyLower, Planes: sagittal, Lower: true,
			Regions: oneLeg, LoadKind: LoadNone, Unilateral: true,
			Substitutes: []ExerciseID{"rear_foot_elevated_split_squat", "bodyweight_lateral_lunge"}},
		{ID: "step_up", Name: "Dumbbell step-up", Pattern: SingleLeg, Methods: traditional, Planes: sagittal, Lower: true,
			Regions: oneLeg, LoadKind: LoadDumbbells, Unilateral: true, Needs: []GearItem{GearBox},
			Substitutes: []ExerciseID{"rear_foot_elevated_split_squat", "single_leg_squat", "split_squat"}},
		{ID: "transverse_lunge", Name: "Dumbbell transverse lunge", Pattern: SingleLeg, Methods: traditional, Planes: transverse, Lower: true,
			Regions: oneLeg, LoadKind: LoadDumbbells, Unilateral: true,
			Substitutes: []ExerciseID{"lateral_lunge", "bodyweight_lateral_lunge"}},

		// Knee flexion: the hamstrings.
		{ID: "flywheel_hamstring_kick", Name: "Flywheel single-leg hamstring kick", Pattern: KneeFlexion, Methods: flywheel, Planes: sagittal, Lower: true,
			Regions: []Region{Hamstring, Glute, Hip}, LoadKind: LoadFlywheel, Unilateral: true,
			Substitutes: []ExerciseID{"flywheel_leg_curl", "nordic_hamstring", "slider_leg_curl", "hamstring_walkout"}},
		{ID: "flywheel_leg_curl", Name: "Flywheel leg curl", Pattern: KneeFlexion, Methods: flywheel, Planes: sagittal, Lower: true,
			Regions: curl, LoadKind: LoadFlywheel,
			Substitutes: []ExerciseID{"flywheel_hamstring_kick", "nordic_hamstring", "slider_leg_curl", "hamstring_walkout"}},
		{ID: "hamstring_walkout", Name: "Hamstring walkout", Pattern: KneeFlexion, Methods: []Method{Eccentric, Support}, Planes: sagittal, Lower: true,
			Regions: []Region{Hamstring, Glute, Knee}, LoadKind: LoadNone,
			Substitutes: []ExerciseID{"slider_leg_curl", "nordic_hamstring"}},
		{ID: "nordic_hamstring", Name: "Nordic hamstring exercise", Pattern: KneeFlexion, Methods: eccentric, Planes: sagittal, Lower: true,
			Regions: curl, LoadKind: LoadBodyweight, Needs: []GearItem{GearAnchor},
			Substitutes: []ExerciseID{"razor_curl", "flywheel_leg_curl", "slider_leg_curl", "hamstring_walkout"}},
		{ID: "razor_curl", Name: "Razor curl", Pattern: KneeFlexion, Methods: eccentric, Planes: sagittal, Lower: true,
			Regions: []Region{Hamstring, Glute, Knee}, LoadKind: LoadBodyweight, Needs: []GearItem{GearAnchor},
			Substitutes: []ExerciseID{"nordic_hamstring", "slider_leg_curl", "hamstring_walkout"}},
		{ID: "slider_leg_curl", Name: "Slider leg curl", Pattern: KneeFlexion, Methods: []Method{Eccentric, Support}, Planes: sagittal, Lower: true,
			Regions: []Region{Hamstring, Glute, Knee}, LoadKind: LoadNone, Needs: []GearItem{GearSlider},
			Substitutes: []ExerciseID{"nordic_hamstring", "hamstring_walkout"}},

		// Hip adduction and abduction.
		{ID: "adductor_squeeze", Name: "Adductor squeeze", Pattern: HipAdduction, Methods: support, Planes: frontal, Lower: true,
			Regions: groin, LoadKind: LoadNone, Hold: true, Substitutes: []ExerciseID{"side_lying_adduction"}},
		{ID: "copenhagen_adduction", Name: "Copenhagen adduction", Pattern: HipAdduction, Methods: eccentric, Planes: frontal, Lower: true,
			Regions: append([]Region{Knee}, groin...), LoadKind: LoadNone, Unilateral: true, Needs: []GearItem{GearBench},
			Substitutes: []ExerciseID{"side_lying_adduction", "adductor_squeeze"}},
		{ID: "hip_abduction_band", Name: "Band hip abduction", Pattern: HipAbduction, Methods: support, Planes: frontal, Lower: true,
			Regions: []Region{Glute, Hip}, LoadKind: LoadNone, Unilateral: true, Needs: []GearItem{GearBand},
			Substitutes: []ExerciseID{"side_lying_hip_abduction"}},
		{ID: "side_lying_adduction", Name: "Side-lying hip adduction", Pattern: HipAdduction, Methods: []Method{Eccentric, Support}, Planes: frontal, Lower: true,
			Regions: groin, LoadKind: LoadNone, Unilateral: true, Substitutes: []ExerciseID{"copenhagen_adduction", "adductor_squeeze"}},
		{ID: "side_lying_hip_abduction", Name: "Side-lying hip abduction", Pattern: HipAbduction, Methods: support, Planes: frontal, Lower: true,
			Regions: []Region{Glute, Hip}, LoadKind: LoadNone, Unilateral: true, Substitutes: []ExerciseID{"hip_abduction_band"}},

		// Calf.
		{ID: "bent_knee_calf_raise", Name: "Bent-knee calf raise", Pattern: CalfRaise, Methods: both, Planes: sagittal, Lower: true,
			Regions: calf, LoadKind: LoadBodyweight, Unilateral: true, Substitutes: []ExerciseID{"dumbbell_bent_knee_calf_raise", "standing_calf_raise"}},
		{ID: "dumbbell_bent_knee_calf_raise", Name: "Dumbbell bent-knee calf raise", Pattern: CalfRaise, Methods: both, Planes: sagittal, Lower: true,
			Regions: calf, LoadKind: LoadDumbbells, Unilateral: true, Substitutes: []ExerciseID{"bent_knee_calf_raise", "dumbbell_standing_calf_raise"}},
		{ID: "dumbbell_standing_calf_raise", Name: "Dumbbell standing calf raise", Pattern: CalfRaise, Methods: both, Planes: sagittal, Lower: true,
			Regions: calf, LoadKind: LoadDumbbells, Unilateral: true, Substitutes: []ExerciseID{"standing_calf_raise", "dumbbell_bent_knee_calf_raise"}},
		{ID: "standing_calf_raise", Name: "Standing calf raise", Pattern: CalfRaise, Methods: both, Planes: sagittal, Lower: true,
			Regions: calf, LoadKind: LoadBodyweight, Unilateral: true, Substitutes: []ExerciseID{"dumbbell_standing_calf_raise", "bent_knee_calf_raise"}},

		// Push.
		{ID: "bench_press", Name: "Bench press", Pattern: Push, Methods: traditional, Planes: transverse,
			Regions: push, LoadKind: LoadBar, BarKind: "straight", Needs: []GearItem{GearBench}, SoloUnsafe: true,
			Substitutes: []ExerciseID{"dumbbell_press", "dumbbell_floor_press", "push_up"}},
		{ID: "dumbbell_floor_press", Name: "Dumbbell floor press", Pattern: Push, Methods: traditional, Planes: transverse,
			Regions: push, LoadKind: LoadDumbbells, Substitutes: []ExerciseID{"dumbbell_press", "bench_press", "push_up"}},
		{ID: "dumbbell_overhead_press", Name: "Dumbbell overhead press", Pattern: Push, Methods: traditional, Planes: frontal,
			Regions: []Region{Shoulder, Arm, UpperBack, Trunk}, LoadKind: LoadDumbbells, Substitutes: []ExerciseID{"overhead_press", "push_up"}},
		{ID: "dumbbell_press", Name: "Dumbbell bench press", Pattern: Push, Methods: traditional, Planes: transverse,
			Regions: push, LoadKind: LoadDumbbells, Needs: []GearItem{GearBench},
			Substitutes: []ExerciseID{"bench_press", "dumbbell_floor_press", "push_up"}},
		{ID: "overhead_press", Name: "Overhead press", Pattern: Push, Methods: traditional, Planes: frontal,
			Regions: []Region{Shoulder, Arm, UpperBack, Trunk, LowBack}, LoadKind: LoadBar, BarKind: "straight", Needs: []GearItem{GearRack},
			Substitutes: []ExerciseID{"dumbbell_overhead_press", "push_up"}},
		{ID: "push_up", Name: "Push-up", Pattern: Push, Methods: []Method{Traditional, Support}, Planes: transverse,
			Regions: append([]Region{Trunk}, push...), LoadKind: LoadBodyweight, BodyFraction: pushUpBody, BodyMark: MarkPublished, BodySource: "mier2014",
			Substitutes: []ExerciseID{"dumbbell_floor_press", "dumbbell_press", "bench_press"}},

		// Pull.
		{ID: "band_row", Name: "Band row", Pattern: Pull, Methods: []Method{Traditional, Support}, Planes: sagittal,
			Regions: pull, LoadKind: LoadNone, Needs: []GearItem{GearBand}, Substitutes: []ExerciseID{"dumbbell_row", "inverted_row", "prone_y_raise"}},
		{ID: "dumbbell_row", Name: "Dumbbell row", Pattern: Pull, Methods: traditional, Planes: sagittal,
			Regions: append([]Region{LowBack}, pull...), LoadKind: LoadDumbbells, Unilateral: true,
			Substitutes: []ExerciseID{"inverted_row", "band_row", "prone_y_raise"}},
		{ID: "inverted_row", Name: "Inverted row", Pattern: Pull, Methods: []Method{Traditional, Support}, Planes: sagittal,
			Regions: pull, LoadKind: LoadBodyweight, Needs: []GearItem{GearRack}, Substitutes: []ExerciseID{"dumbbell_row", "band_row", "prone_y_raise"}},
		{ID: "prone_y_raise", Name: "Prone Y raise", Pattern: Pull, Methods: support, Planes: frontal,
			Regions: []Region{UpperBack, Shoulder}, LoadKind: LoadNone, Substitutes: []ExerciseID{"band_row", "dumbbell_row"}},
		{ID: "pull_up", Name: "Pull-up", Pattern: Pull, Methods: traditional, Planes: frontal,
			Regions: pull, LoadKind: LoadBodyweight, BodyFraction: pullUpBody, BodyMark: MarkPractice, Needs: []GearItem{GearPullUpBar},
			Substitutes: []ExerciseID{"inverted_row", "dumbbell_row", "band_row", "prone_y_raise"}},

		// Trunk and rotation.
		{ID: "band_chop", Name: "Band chop", Pattern: Rotation, Methods: support, Planes: transverse,
			Regions: append([]Region{Shoulder}, trunk...), LoadKind: LoadNone, Unilateral: true, Needs: []GearItem{GearBand},
			Substitutes: []ExerciseID{"half_kneeling_chop", "side_plank_rotation"}},
		{ID: "dead_bug", Name: "Dead bug", Pattern: TrunkBrace, Methods: support, Planes: sagittal,
			Regions: []Region{Trunk, HipFront}, LoadKind: LoadNone, Substitutes: []ExerciseID{"front_plank"}},
		{ID: "front_plank", Name: "Front plank", Pattern: TrunkBrace, Methods: support, Planes: sagittal,
			Regions: append([]Region{Shoulder}, trunk...), LoadKind: LoadNone, Hold: true, Substitutes: []ExerciseID{"dead_bug", "side_plank"}},
		{ID: "half_kneeling_chop", Name: "Half-kneeling cable chop", Pattern: Rotation, Methods: support, Planes: transverse,
			Regions: append([]Region{Shoulder}, trunk...), LoadKind: LoadNone, Unilateral: true, Needs: []GearItem{GearCable},
			Substitutes: []ExerciseID{"band_chop", "side_plank_rotation"}},
		{ID: "pallof_press", Name: "Pallof press", Pattern: Rotation, Methods: support, Planes: transverse,
			Regions: trunk, LoadKind: LoadNone, Unilateral: true, Needs: []GearItem{GearBand},
			Substitutes: []ExerciseID{"band_chop", "half_kneeling_chop", "side_plank_rotation"}},
		{ID: "side_plank", Name: "Side plank", Pattern: TrunkBrace, Methods: support, Planes: frontal,
			Regions: append([]Region{Shoulder}, trunk...), LoadKind: LoadNone, Unilateral: true, Hold: true, Substitutes: []ExerciseID{"front_plank"}},
		{ID: "side_plank_rotation", Name: "Side plank with rotation", Pattern: Rotation, Methods: support, Planes: transverse,
			Regions: append([]Region{Shoulder}, trunk...), LoadKind: LoadNone, Unilateral: true, Substitutes: []ExerciseID{"band_chop", "pallof_press"}},
	}
}
