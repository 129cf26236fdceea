package prescribe

// Event is one thing that happened to one player. Exactly one of the pointers
// is set. Events are folded in the order (At, Key); a correction replaces the
// event it supersedes and the fold is run again from before it.
type Event struct {
	At  Instant `json:"at"`  // when it happened, as far as known
	Day Day     `json:"day"` // the player's civil date it belongs to
	Key string  `json:"key"` // unique and stable: the record it came from; breaks ties

	Profile  *Profile      `json:"profile,omitempty"`
	Set      *Set          `json:"set,omitempty"`
	Power    *PowerTest    `json:"power,omitempty"`
	Session  *Session      `json:"session,omitempty"`
	Soreness *Soreness     `json:"soreness,omitempty"`
	Pain     *Pain         `json:"pain,omitempty"`
	Warning  *Warning      `json:"warning,omitempty"`
	Hold     *Hold         `json:"hold,omitempty"`
	Release  *Release      `json:"release,omitempty"`
	Match    *MatchPlayed  `json:"match,omitempty"`
	Answer   *RecordAnswer `json:"answer,omitempty"`
}

// Profile is what changes slowly about a player; a later one replaces an
// earlier one whole.
type Profile struct {
	Born        Day `json:"born"`
	BodyMass    Kg  `json:"body_mass"`              // 0: unknown
	TrainingAge int `json:"training_age,omitempty"` // years of strength training; 0 unknown
	// YouthSignOff: the coach has signed off 85 % for this under-18.
	YouthSignOff bool `json:"youth_sign_off,omitempty"`
}

// Set is one set of one exercise, from a card, from a test or reported alone.
type Set struct {
	Exercise ExerciseID `json:"exercise"`
	Side     Side       `json:"side,omitempty"`
	Load     Kg         `json:"load"`              // external load; per hand for dumbbells; added load for bodyweight
	Inertia  Inertia    `json:"inertia,omitempty"` // flywheel
	Device   string     `json:"device,omitempty"`  // flywheel
	Reps     int        `json:"reps"`
	Asked    int        `json:"asked,omitempty"` // repetitions the card asked for; 0 not from a card
	RIR      *RIR       `json:"rir,omitempty"`   // nil: not reported
	ToFail   bool       `json:"to_fail,omitempty"`
	Ordinal  int        `json:"ordinal"` // 1 = first working set of that exercise that day
	Test     bool       `json:"test,omitempty"`
	Stopped  bool       `json:"stopped,omitempty"` // stopped for pain: says nothing about strength
	// AsWritten: reported by "done as written", not set by set.
	AsWritten bool `json:"as_written,omitempty"`
	// Unbroken is the longest run without a pause inside a cluster set; 0 = Reps.
	Unbroken int `json:"unbroken,omitempty"`
	// Slow: the card prescribed a slow tempo, so the load says nothing about strength.
	Slow bool `json:"slow,omitempty"`
	// Scheme and Intended are copied from the card's item that the set answers
	// (Item.Scheme, Item.Intended); empty for a set that came alone. Accentuated
	// work says nothing about the record, and "the same scheme" means these.
	Scheme   Scheme  `json:"scheme,omitempty"`
	Intended Percent `json:"intended,omitempty"`
}

// PowerTest is a flywheel power-by-inertia test on one device.
type PowerTest struct {
	Exercise ExerciseID `json:"exercise"`
	Device   string     `json:"device"`
	Inertia  Inertia    `json:"inertia"`
	Power    Watts      `json:"power"` // mean concentric power
}

// Outcome is how a session ended.
type Outcome string

const (
	DoneAsWritten Outcome = "as_written"
	DoneChanged   Outcome = "changed" // logged set by set, all or part
	NotDone       Outcome = "not_done"
	NoAnswer      Outcome = "no_answer" // counted apart from not done
	Withheld      Outcome = "withheld"  // by a medical stop: not counted against the player
)

// Session closes a day's card.
type Session struct {
	Template string   `json:"template"` // SessionTemplate.ID
	Outcome  Outcome  `json:"outcome"`
	Reason   Absence  `json:"reason,omitempty"`
	RPE      *Score   `json:"rpe,omitempty"`     // session effort 0–10
	Minutes  int      `json:"minutes,omitempty"` // duration
	Patterns []string `json:"patterns,omitempty"`
	Sets     int      `json:"sets,omitempty"` // working sets done
}

// Soreness is muscle soreness 0–10 in one region.
type Soreness struct {
	Region Region `json:"region"`
	Side   Side   `json:"side,omitempty"`
	Score  Score  `json:"score"`
}

// PainTiming is when a pain score was given relative to a session.
type PainTiming string

const (
	PainBefore  PainTiming = "before"
	PainDuring  PainTiming = "during" // new pain during a set
	PainMorning PainTiming = "morning"
	PainOther   PainTiming = ""
)

// Pain is pain 0–10 at one place.
type Pain struct {
	Region Region     `json:"region"`
	Side   Side       `json:"side,omitempty"`
	Score  Score      `json:"score"`
	Timing PainTiming `json:"timing,omitempty"`
	// Muscle: the player says it is in the muscle, as in a strain.
	Muscle bool `json:"muscle,omitempty"`
	// Unclear: the player says that it hurts, and not yet where or how much. The
	// region, or with none the whole session, is withheld until a report says
	// both. Score is what was said, 0 when nothing was; it is not judged.
	Unclear bool `json:"unclear,omitempty"`
}

// Warning is a warning sign.
type Warning struct {
	Sign   Sign   `json:"sign"`
	Region Region `json:"region,omitempty"`
}

// Hold is a stop or cap set by staff. A coach's hold can be lifted by a coach;
// a medical one only by medical staff.
type Hold struct {
	ID      string  `json:"id"`
	Medical bool    `json:"medical"`
	Region  Region  `json:"region,omitempty"` // empty: the whole player
	MaxLoad Percent `json:"max_load"`         // 0 = stop; else cap in percent of the record
	Until   Day     `json:"until,omitempty"`  // review date; a medical cap that lapses becomes a stop again
}

// Release lifts holds, and the stops that pain or a warning sign set.
type Release struct {
	Medical bool    `json:"medical"`          // given by medical staff
	HoldID  string  `json:"hold,omitempty"`   // empty: all that the giver may lift, in Region
	Region  Region  `json:"region,omitempty"` // empty: everything
	MaxLoad Percent `json:"max_load"`         // cap after release; 100 = none
	Review  Day     `json:"review,omitempty"` // medical: ≤ 7 days away; when it passes the stop returns. Zero: full release
	// Classified: the complaint is one that medical staff have classified, so
	// the published 3–5 "hold or lower" band applies to it.
	Classified bool `json:"classified,omitempty"`
	// Reason is why a stop for a warning sign is lifted without a limit, in the
	// giver's words. It decides nothing.
	Reason string `json:"reason,omitempty"`
}

// MatchPlayed is minutes in a match.
type MatchPlayed struct {
	MatchID string  `json:"match"`
	Minutes int     `json:"minutes"`
	End     Instant `json:"end"` // final whistle
}

// RecordAnswer is the player's answer to "was that set really …?".
type RecordAnswer struct {
	Exercise ExerciseID `json:"exercise"`
	Side     Side       `json:"side,omitempty"`
	SetKey   string     `json:"set"`
	Right    bool       `json:"right"`
}
