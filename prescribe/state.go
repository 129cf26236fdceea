package prescribe

import (
	"maps"
	"slices"
)

// State is all that is remembered of one player: bounded, made by folding
// events, and enough to plan a card. It is a value: Fold never changes the
// State it was given. The zero State is a player of whom nothing is known.
//
// Everything that grows has a limit, stated beside it; the oldest goes first.
// Maps have string keys, so that the JSON of equal states is equal.
type State struct {
	Profile Profile `json:"profile"`

	Lifts map[string]Record      `json:"lifts,omitempty"` // strength records by LiftKey
	Power map[string]PowerRecord `json:"power,omitempty"` // flywheel records by PowerKey

	Sore     map[string]SoreMark `json:"sore,omitempty"`     // by placeKey
	Pain     map[string]PainMark `json:"pain,omitempty"`     // by placeKey
	Warnings []WarningMark       `json:"warnings,omitempty"` // by (At, Sign); at most one a sign and region
	Holds    []HoldMark          `json:"holds,omitempty"`    // by ID; at most maxHolds
	Medical  MedicalMark         `json:"medical,omitzero"`   // the last release by medical staff

	Matches  []MatchMark           `json:"matches,omitempty"`  // the last maxMatches, of any length, by End
	Exposed  map[string][]Dose     `json:"exposed,omitempty"`  // by exercise: days trained, exposureDays back and at least the last one, ascending
	Ladders  map[string]Ladder     `json:"ladders,omitempty"`  // by exercise: Nordic and Copenhagen
	Heavy    Day                   `json:"heavy,omitempty"`    // last day with heavy lower-body work
	Nordic   Day                   `json:"nordic,omitempty"`   // last day with Nordics
	Wheels   map[string]WheelUse   `json:"wheels,omitempty"`   // by PowerKey: flywheel experience
	Last     map[string][]LastWork `json:"last,omitempty"`     // by LiftKey: the last work done, one a scheme, latest first, at most maxLast
	Sessions []SessionMark         `json:"sessions,omitempty"` // of this and last week, by (Day, Template)

	Missed      int       `json:"missed,omitempty"`       // sessions not done, running
	NoAnswerRun int       `json:"noanswer_run,omitempty"` // sessions without an answer, running
	NoRIRRun    int       `json:"norir_run,omitempty"`    // sessions done without any repetitions in reserve reported
	RIRDay      Day       `json:"rir_day,omitempty"`      // last day on which they were reported
	Trained     Day       `json:"trained,omitempty"`      // last day of any strength work
	Return      Return    `json:"return,omitzero"`        // the last break longer than a week, and its end
	Loads       []DayLoad `json:"loads,omitempty"`        // session RPE × minutes, 28 days

	Now Day `json:"now,omitempty"` // the latest day folded: old entries are dropped against it
}

// SoreMark is the latest soreness report of a place.
type SoreMark struct {
	Region Region  `json:"region"`
	Side   Side    `json:"side,omitempty"`
	Score  Score   `json:"score"`
	At     Instant `json:"at"`
}

// PainMark is what is remembered of pain at one place.
type PainMark struct {
	Region Region `json:"region"`
	Side   Side   `json:"side,omitempty"`
	Score  Score  `json:"score"` // the latest
	Day    Day    `json:"day"`   // of the latest
	Muscle bool   `json:"muscle,omitempty"`

	Weeks []WeekMax `json:"weeks,omitempty"` // weekly maxima, the last maxWeeks reported, ascending
	// Base is the latest score given before a session, to judge the next
	// morning by.
	Base    Score `json:"base,omitempty"`
	BaseDay Day   `json:"base_day,omitempty"`

	// High are the scores from pain.ask_from of the last pain.after_hours that no
	// later one reached: falling, so at most eight.
	High []PainScore `json:"high,omitempty"`

	Open       bool      `json:"open,omitempty"`    // a score from pain.ask_from that nothing has answered yet
	Unclear    bool      `json:"unclear,omitempty"` // said to hurt on UnclearDay, with no number or no place so far
	UnclearDay Day       `json:"unclear_day,omitempty"`
	Classified bool      `json:"classified,omitempty"`
	Stop       StopCause `json:"stop,omitempty"` // set: the region is stopped
	StopDay    Day       `json:"stop_day,omitempty"`
}

// WeekMax is the highest pain of one ISO week.
type WeekMax struct {
	Monday Day   `json:"monday"`
	Max    Score `json:"max"`
}

// PainScore is one score and when it was told.
type PainScore struct {
	Score Score   `json:"score"`
	Day   Day     `json:"day"`
	At    Instant `json:"at"`
}

// WarningMark is a warning sign nobody has lifted.
type WarningMark struct {
	Sign   Sign    `json:"sign"`
	Region Region  `json:"region,omitempty"`
	Day    Day     `json:"day"`
	At     Instant `json:"at"`
}

// HoldMark is a hold that stands.
type HoldMark struct {
	Hold
	Day Day `json:"day"` // set on
}

// MedicalMark remembers the last release by medical staff.
type MedicalMark struct {
	Released Day  `json:"released,omitempty"`
	First    bool `json:"first,omitempty"` // no session done since
	Fever    bool `json:"fever,omitempty"` // what was lifted was a fever: the first session is smaller
}

// MatchMark is a match played.
type MatchMark struct {
	ID      string  `json:"id"`
	Day     Day     `json:"day"`
	End     Instant `json:"end"`
	Minutes int     `json:"minutes"`
}

// Dose is one day's work at one exercise.
type Dose struct {
	Day  Day `json:"day"`
	Sets int `json:"sets"`
	Reps int `json:"reps"` // all sets together
}

// Ladder is how far a player has climbed a build-up.
type Ladder struct {
	Step int  `json:"step"` // exposures completed since it was started, at most maxStep
	Last Day  `json:"last"`
	Rose bool `json:"rose,omitempty"` // the last exposure raised Step
}

// WheelUse is the experience with one exercise on one flywheel.
type WheelUse struct {
	Sessions int     `json:"sessions"` // counted up to maxFamiliar
	Last     Day     `json:"last"`
	Inertia  Inertia `json:"inertia"` // highest used
}

// LastWork is the last day's work at one lift.
type LastWork struct {
	Day       Day     `json:"day"`
	Load      Kg      `json:"load"` // of the first working set
	Inertia   Inertia `json:"inertia,omitempty"`
	Sets      int     `json:"sets"`
	Reps      int     `json:"reps"` // fewest in a set
	Asked     int     `json:"asked,omitempty"`
	RIR       *RIR    `json:"rir,omitempty"`
	Top       Kg      `json:"top,omitempty"`     // highest load of the plan line that was completed, load.top_days back
	TopDay    Day     `json:"top_day,omitempty"` // and when
	AsWritten bool    `json:"as_written,omitempty"`
	Stopped   bool    `json:"stopped,omitempty"`
	Scheme    Scheme  `json:"scheme,omitempty"`
	Intended  Percent `json:"intended,omitempty"`
}

// SessionMark is a session of this or last week.
type SessionMark struct {
	Day      Day     `json:"day"`
	Template string  `json:"template"`
	Outcome  Outcome `json:"outcome"`
	Reason   Absence `json:"reason,omitempty"`
	Sets     int     `json:"sets,omitempty"`
}

// Return is the end of a break.
type Return struct {
	Day  Day `json:"day,omitempty"`  // first day of work after it
	Gap  int `json:"gap,omitempty"`  // days without strength work before
	From Day `json:"from,omitempty"` // last day of work before it
}

// DayLoad is a day's session RPE × minutes.
type DayLoad struct {
	Day  Day     `json:"day"`
	Load float64 `json:"load"`
}

// LiftKey names a strength record: "back_squat", or
// "rear_foot_elevated_split_squat/left" for one side.
func LiftKey(ex ExerciseID, side Side) string {
	if side == Both {
		return string(ex)
	}
	return string(ex) + "/" + string(side)
}

// PowerKey names a flywheel record: exercise and device.
func PowerKey(ex ExerciseID, device string) string { return string(ex) + "@" + device }

func placeKey(r Region, side Side) string {
	if side == Both {
		return string(r)
	}
	return string(r) + "/" + string(side)
}

// LiftKeys lists the lifts with a record, sorted.
func (s State) LiftKeys() []string { return sortedKeys(s.Lifts) }

// MissedRun is how many sessions running were not done. Sessions without an
// answer and sessions withheld do not count.
func (s State) MissedRun() int { return s.Missed }

// Limits on what is remembered. The oldest or, where there is no time to go
// by, the last key goes first.
const (
	maxPlaces    = 96  // regions × sides
	maxExercises = 128 // keys of the per-exercise maps
	maxLast      = 4   // schemes remembered of a lift
	maxMatches   = 8
	maxSessions  = 28 // of two weeks
	maxStep      = 99
	exposureDays = 42 // longest look back at exposures
	loadDays     = 28 // of session RPE × minutes
)

// with is m with one value set. It never changes m. A new key beyond the limit
// takes the place of the alphabetically last one.
func with[V any](m map[string]V, key string, v V, limit int) map[string]V {
	next := maps.Clone(m)
	if next == nil {
		next = map[string]V{}
	}
	if _, ok := next[key]; !ok && len(next) >= limit {
		keys := sortedKeys(next)
		delete(next, keys[len(keys)-1])
	}
	next[key] = v
	return next
}

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
