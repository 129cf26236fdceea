package prescribe

// Programme is the coach's plan: what each phase asks for, and the sessions.
type Programme struct {
	Name     string            `json:"name"`
	Doses    []PhaseDose       `json:"doses"` // one a phase
	Sessions []SessionTemplate `json:"sessions"`
}

// PhaseDose is the minimum of a phase.
type PhaseDose struct {
	Phase        Phase `json:"phase"`
	Sessions     int   `json:"sessions"`      // strength sessions a week
	Crowded      int   `json:"crowded"`       // when match dates are less than 6 days apart
	WorkingSets  int   `json:"working_sets"`  // heavy working sets a session
	Exercises    int   `json:"exercises"`     // over at least so many exercises
	NordicWeekly int   `json:"nordic_weekly"` // Nordic exposures a week
	FlywheelWeek int   `json:"flywheel_weekly"`
}

// SessionTemplate is one session of the programme.
type SessionTemplate struct {
	ID    string `json:"id"` // such as "main-a"
	Phase Phase  `json:"phase"`
	// Small marks the one small dose for crowded weeks; Priming the optional MD−1 one.
	Small   bool   `json:"small,omitempty"`
	Priming bool   `json:"priming,omitempty"`
	Remote  bool   `json:"remote,omitempty"` // written for home or hotel
	Slots   []Slot `json:"slots"`
}

// SixAt85 is the coach's choice where a programme asks for both ≥ 6
// repetitions and ≥ 85 %, which straight sets cannot give with any reserve.
type SixAt85 string

const (
	SixCluster  SixAt85 = "cluster"  // 6 as 3+3 with a pause inside the set
	SixStraight SixAt85 = "straight" // straight sets at 85 %, fewer repetitions, 1 in reserve
	SixLighter  SixAt85 = "lighter"  // 6 repetitions at the load that leaves 1
)

// Scheme is how a slot's progression is chosen.
type Scheme string

const (
	SchemePercent     Scheme = "percent"     // sets × reps at Intensity % of the record
	SchemeRIR         Scheme = "rir"         // sets × reps at the load that leaves RIR
	SchemeNordic      Scheme = "nordic"      // the Nordic ladder decides sets × reps
	SchemeCopenhagen  Scheme = "copenhagen"  // levels
	SchemeAccentuated Scheme = "accentuated" // Ecc % down, Intensity % up, clusters
	SchemeFlywheel    Scheme = "flywheel"    // inertia from the power test
	SchemeReps        Scheme = "reps"        // sets × reps as written; load only from RIR if external
	SchemeHold        Scheme = "hold"        // seconds
)

// Slot is one line of a session: what kind of work, and which exercises may
// fill it, in the coach's order.
type Slot struct {
	ID         string       `json:"id"`
	Pattern    Pattern      `json:"pattern"`
	Method     Method       `json:"method"`
	Scheme     Scheme       `json:"scheme"`
	Candidates []ExerciseID `json:"candidates"`
	Sets       int          `json:"sets"`
	MinSets    int          `json:"min_sets"` // minimum dose when reduced for crowding
	Reps       int          `json:"reps"`
	Intensity  Percent      `json:"intensity,omitempty"`
	Ecc        Percent      `json:"ecc,omitempty"` // accentuated lowering load
	RIR        RIR          `json:"rir"`
	Six        SixAt85      `json:"six,omitempty"`
	Rest       Seconds      `json:"rest,omitempty"` // 0: by rule
	Seconds    Seconds      `json:"seconds,omitempty"`
	Tempo      string       `json:"tempo,omitempty"` // lowering-pause-rising-pause seconds, e.g. "3-0-1-0"
	Optional   bool         `json:"optional,omitempty"`
}
