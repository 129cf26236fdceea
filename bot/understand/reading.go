package understand

import "pegcard/prescribe"

// Context is what is known when a reply arrives.
type Context struct {
	Lang  string // the chat's language, such as "en"; unknown ones read as English
	Items []Item // the exercises the reply can be about, in the order of the card
	Open  Open   // the question the bot asked last, or OpenNone
	Unit  string // what a load without a unit is in, "kg" or "lb"; empty is "kg"
}

// Item is one exercise of the card, as far as reading needs it.
type Item struct {
	Exercise prescribe.ExerciseID
	Names    []string // the names the player may know it by, in any language
	Sets     int
	Reps     int // a side when PerSide
	Load     prescribe.Kg
	Unit     string // what a load without a unit is in for this exercise; empty is Context.Unit
	PerSide  bool
	LoadKind prescribe.LoadKind
}

// Open is a question the bot has asked and that has not been answered.
type Open string

const (
	OpenNone     Open = ""
	OpenRIR      Open = "rir"
	OpenRPE      Open = "rpe" // session effort 0–10
	OpenPain     Open = "pain_score"
	OpenSoreness Open = "soreness_score"
	OpenReason   Open = "reason"
	OpenMinutes  Open = "minutes"
	OpenLoad     Open = "load"
	OpenReps     Open = "reps"
	OpenRegion   Open = "region"
	OpenYesNo    Open = "yes_no"
)

// Reading is everything a text was taken to mean. Meanings stand in the order
// of the text, warning signs first. When Unclear is not empty its questions
// have to be put; the meanings hold all the same.
type Reading struct {
	Meanings []Meaning
	Unclear  []Question
	// Ignored are words that were not understood and did not matter to what was
	// read. They are shown back beside what was recorded.
	Ignored []string
}

// Kind is what a Meaning is about; it says which other fields are set.
type Kind string

const (
	// Done: the whole card as written. Sets beside it replace the exercises they name.
	Done Kind = "done"
	// NotDone: the session was not done. Reason may be empty: ask.
	NotDone Kind = "not_done"
	// Sets: Exercise, Sets, Side. Exercise empty: ask, Which lists what it could
	// be, likeliest first. Sets empty: none of that exercise was done.
	Sets Kind = "sets"
	// Soreness and Pain: Region, Side, Score. Region empty or Score nil: ask.
	Soreness Kind = "soreness"
	Pain     Kind = "pain"
	// Warning: Sign, and Region where one was named beside it.
	Warning Kind = "warning"
	// Score answers the open pain or soreness question: N, 0–10.
	Score Kind = "score"
	// RIR is repetitions in reserve of the last set: N. 4 and more is a lower bound.
	RIR Kind = "rir"
	// RPE is session effort: N, 0–10.
	RPE Kind = "rpe"
	// Minutes is the length of the session: N.
	Minutes Kind = "minutes"
	// Load and Reps answer the open question of set-by-set logging: Load in kg, or N.
	Load Kind = "load"
	Reps Kind = "reps"
	// Place answers the open region question: Region, Side.
	Place Kind = "place"
	// Command: Name without the slash, Rest as it was written.
	Command Kind = "command"
	Away    Kind = "away"
	Help    Kind = "help"
	Yes     Kind = "yes"
	No      Kind = "no"
	Thanks  Kind = "thanks"
)

// Meaning is one thing a text says.
type Meaning struct {
	Kind     Kind
	Reason   prescribe.Absence
	Exercise prescribe.ExerciseID
	Which    []prescribe.ExerciseID
	Sets     []SetRead
	Region   prescribe.Region
	Side     prescribe.Side
	Score    *prescribe.Score
	Sign     prescribe.Sign
	N        int
	Load     *prescribe.Kg
	Name     string
	Rest     string
}

// SetRead is one working set. A load is in kg: on the bar, in each hand, or
// added to the body, as the exercise has it.
type SetRead struct {
	Load *prescribe.Kg // nil: as written
	Reps int
	RIR  *prescribe.RIR // nil: not said
}

// Question is something the text left open.
type Question struct {
	Code Code
	Word string         // the words it is about, as far as there are any
	Sign prescribe.Sign // QSign only
	// Candidates are the ways it can be read, each a whole answer to the
	// question; they can be put as buttons. May be empty.
	Candidates [][]Meaning
}

// Code is why something is a question.
type Code string

const (
	QSign         Code = "sign_question"      // a warning sign was named but denied, or only hinted at
	QTooLong      Code = "too_long"           // over MaxRunes: only warning signs were looked for
	QUnreadable   Code = "unreadable"         // nothing was understood
	QNumbers      Code = "numbers"            // numbers that fit no way of writing sets
	QNumberAlone  Code = "number_alone"       // one number, and nothing asked
	QNumberForm   Code = "number_form"        // 1,000 or a number too long to be a load
	QOutOfRange   Code = "out_of_range"       // a score over 10, a load over 600 kg
	QRange        Code = "range"              // 6-7
	QFraction     Code = "fraction"           // 6.5 where whole numbers count
	QWhichNumber  Code = "which_number"       // several numbers for one place
	QWhichRegion  Code = "which_region"       // "leg", "back"
	QSoreOrPain   Code = "sore_or_pain"       // a place that can be either
	QRegionAlone  Code = "region_alone"       // a place and nothing about it
	QSetsOrLoad   Code = "sets_or_load"       // 12x8
	QListOrSides  Code = "list_or_sides"      // 8/8 for a one-sided exercise
	QListOrComma  Code = "list_or_decimal"    // 7,5
	QUnit         Code = "unit"               // 225 where the card says 100 kg
	QUnitPound    Code = "unit_pound"         // a pound of 500 g or of 453.6 g
	QLoadDoubtful Code = "load_doubtful"      // far from the card
	QEachOrTotal  Code = "each_or_total"      // each hand, each side or all together
	QLoadNotUsed  Code = "load_not_used"      // a load for an exercise without one
	QNotOnCard    Code = "not_on_card"        // an exercise that is not on the card
	QWhichEx      Code = "which_exercise"     // a change to a set, but of which exercise
	QConfirm      Code = "confirm"            // one likely reading with words that may turn it round
	QWhichWord    Code = "which_word"         // a typing mistake equally near to two words
	QWhichReason  Code = "which_reason"       // several reasons for not training
	QPartly       Code = "partly"             // "half", "almost": which sets
	QLater        Code = "later"              // "later", "tomorrow": nothing was recorded
	QEffortScale  Code = "rpe_session_or_set" // "rpe 8", of the session or of the set
	QEmoji        Code = "emoji"              // an emoji with no fixed meaning
	QSeconds      Code = "seconds"            // a hold given in seconds
	QCommand      Code = "command"            // a slash and no command name
)

// MaxRunes is the longest text that is read for more than warning signs.
const MaxRunes = 1000

// muscular says how a number beside a bare region name is taken. Places that
// are as often sore as hurt are asked about.
var muscular = map[prescribe.Region]bool{
	prescribe.Hamstring: true, prescribe.Quadriceps: true, prescribe.Adductor: true,
	prescribe.Glute: true, prescribe.Calf: true, prescribe.UpperBack: true,
	prescribe.Trunk: true, prescribe.Arm: true,
}

// mixed regions take soreness when the player says so and pain when the player
// says so; a bare number is a question.
var mixed = map[prescribe.Region]bool{
	prescribe.HipFront: true, prescribe.LowBack: true, prescribe.Chest: true,
	prescribe.Shoulder: true, prescribe.Neck: true,
}
