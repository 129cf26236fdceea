package prescribe

// Exercise is one exercise of the library.
type Exercise struct {
	ID                ExerciseID   `json:"id"`
	Name              string       `json:"name"` // plain English, the standard term
	Pattern           Pattern      `json:"pattern"`
	Methods           []Method     `json:"methods"`
	Planes            []string     `json:"planes"`          // "sagittal", "frontal", "transverse"
	Lower             bool         `json:"lower,omitempty"` // lower body
	Regions           []Region     `json:"regions"`         // stressed
	LoadKind          LoadKind     `json:"load_kind"`
	BarKind           string       `json:"bar_kind,omitempty"` // LoadBar: "straight", "trap", "sled"
	Unilateral        bool         `json:"unilateral,omitempty"`
	BodyFraction      float64      `json:"body_fraction,omitempty"` // of body mass in the total; 0: the total is the external load
	BodyMark          string       `json:"body_mark,omitempty"`     // how well BodyFraction is founded
	BodySource        string       `json:"body_source,omitempty"`   // bibliography key
	Needs             []GearItem   `json:"needs,omitempty"`
	Supervised        bool         `json:"supervised,omitempty"` // supervised sessions only
	MinAge            int          `json:"min_age,omitempty"`    // years
	EccentricOverload bool         `json:"eccentric_overload,omitempty"`
	SoloUnsafe        bool         `json:"solo_unsafe,omitempty"`     // alone only in a rack with safeties
	RecordOf          ExerciseID   `json:"record_of,omitempty"`       // loaded from this lift's record
	BilateralOf       ExerciseID   `json:"bilateral_of,omitempty"`    // may start from this lift's record …
	BilateralShare    float64      `json:"bilateral_share,omitempty"` // … at this share of its load
	Substitutes       []ExerciseID `json:"substitutes,omitempty"`     // same pattern, best first
	Hold              bool         `json:"hold,omitempty"`            // held for seconds
	Family            string       `json:"family,omitempty"`          // repetition-curve family
}

// Library lists the exercises by ID.
func Library() []Exercise { return nil }

// Lookup finds an exercise.
func Lookup(id ExerciseID) (Exercise, bool) { return Exercise{}, false }

// CanDo reports whether the exercise can be done with what a setting has.
func (e Exercise) CanDo(s Setting) bool { return false }
