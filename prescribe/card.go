package prescribe

// EngineVersion changes whenever the same inputs may give another card.
const EngineVersion = "1"

// CardKind is what the day brings.
type CardKind string

const (
	CardTrain    CardKind = "train"
	CardFinding  CardKind = "finding"  // no record of any loaded exercise: a guided submaximal session finds them
	CardRest     CardKind = "rest"     // nothing is due today
	CardWithheld CardKind = "withheld" // a hold, a stop or an unanswered question
)

// Card is one player's session of one day. It is a value: equal inputs give
// an equal card, byte for byte in JSON.
type Card struct {
	Day        Day      `json:"day"`
	Engine     string   `json:"engine"`
	RulesHash  string   `json:"rules_hash"`
	Kind       CardKind `json:"kind"`
	Template   string   `json:"template,omitempty"`
	MatchDay   string   `json:"match_day,omitempty"` // "MD-3", "MD+1", "" when no match is near
	Setting    string   `json:"setting,omitempty"`
	Supervised bool     `json:"supervised,omitempty"`
	Minutes    int      `json:"minutes,omitempty"` // planned duration
	Items      []Item   `json:"items,omitempty"`
	Reasons    []Reason `json:"reasons,omitempty"` // of the whole card: why today, what changed
	// Approval: staff must approve it before it goes out, and why is in Reasons.
	Approval bool `json:"approval,omitempty"`
	// AskPain lists regions whose pain must be asked about before training.
	AskPain []Region `json:"ask_pain,omitempty"`
	// Week is where the placement search put this week's sessions.
	Week []Placement `json:"week,omitempty"`
}

// Placement is one session of the week and its day.
type Placement struct {
	Day      Day    `json:"day"`
	Template string `json:"template"`
}

// LoadKind is what the number on the card means.
type LoadKind string

const (
	LoadBar        LoadKind = "bar"        // total on the bar
	LoadDumbbells  LoadKind = "dumbbells"  // each hand
	LoadBodyweight LoadKind = "bodyweight" // Load is added mass
	LoadFlywheel   LoadKind = "flywheel"
	LoadNone       LoadKind = "none" // band, slider, floor
)

// Item is one exercise of a card.
type Item struct {
	Slot      string     `json:"slot"`
	Exercise  ExerciseID `json:"exercise"`
	Method    Method     `json:"method"`
	Scheme    Scheme     `json:"scheme"`
	Sets      int        `json:"sets"`
	Reps      int        `json:"reps"`               // a side for unilateral work
	Cluster   []int      `json:"cluster,omitempty"`  // 3,3: pauses inside the set
	Uncount   int        `json:"uncount,omitempty"`  // flywheel: first repetitions not counted
	Seconds   Seconds    `json:"seconds,omitempty"`  // holds
	PerSide   bool       `json:"per_side,omitempty"` // start with First
	First     Side       `json:"first,omitempty"`
	LoadKind  LoadKind   `json:"load_kind"`
	Load      Kg         `json:"load"`                 // rounded, buildable
	EccLoad   Kg         `json:"ecc,omitempty"`        // accentuated: lowering load
	Plates    []Kg       `json:"plates,omitempty"`     // a side, heaviest first
	EccPlates []Kg       `json:"ecc_plates,omitempty"` // the same for EccLoad, on the bar and the releasers together
	Bar       Kg         `json:"bar,omitempty"`        // mass of the bar under Plates
	BarKind   string     `json:"bar_kind,omitempty"`
	Inertia   Inertia    `json:"inertia,omitempty"`
	Device    string     `json:"device,omitempty"`
	Percent   Percent    `json:"percent,omitempty"`  // of the estimate used, from the rounded load
	Intended  Percent    `json:"intended,omitempty"` // of the record, before reductions and rounding
	RIR       *RIR       `json:"rir,omitempty"`      // repetitions to leave in reserve
	Rest      Seconds    `json:"rest"`
	Pause     Seconds    `json:"pause,omitempty"` // inside a cluster
	Tempo     string     `json:"tempo,omitempty"`
	Slow      bool       `json:"slow,omitempty"`  // by its tempo: its sets say nothing about strength
	Level     int        `json:"level,omitempty"` // Copenhagen level
	Warmup    []Warmup   `json:"warmup,omitempty"`
	Heavy     bool       `json:"heavy,omitempty"`    // counts towards the heavy dose
	New       bool       `json:"new,omitempty"`      // new or overload eccentric work
	Unused    bool       `json:"unused,omitempty"`   // not done in the last nordic.window days
	Optional  bool       `json:"optional,omitempty"` // priming
	// Ended: a stop came while the session was under way. Sets are those done by
	// then, perhaps none; no more is asked for.
	Ended   bool     `json:"ended,omitempty"`
	Finding bool     `json:"finding,omitempty"` // no record: work up to one set of Reps that leaves RIR
	Ask     bool     `json:"ask,omitempty"`     // the item whose first set's reserve is worth asking for most
	Minutes int      `json:"minutes"`
	Reasons []Reason `json:"reasons"` // the derivation, in order
}

// Warmup is one warm-up set.
type Warmup struct {
	Load   Kg   `json:"load"`
	Reps   int  `json:"reps"`
	Plates []Kg `json:"plates,omitempty"`
}

// Reason is why a number or a choice is what it is. It is data: a code with
// typed arguments, worded when it is read, in the reader's language.
type Reason struct {
	Code  string   `json:"code"`            // such as "load.rounded"
	Rules []string `json:"rules,omitempty"` // ids of the rules used, for their sources
	Args  []Arg    `json:"args,omitempty"`
	See   Audience `json:"see"`
}

// ArgKind tells how an argument is worded.
type ArgKind string

const (
	ArgKg       ArgKind = "kg"
	ArgPercent  ArgKind = "percent"
	ArgNumber   ArgKind = "number"
	ArgInteger  ArgKind = "integer"
	ArgDays     ArgKind = "days"
	ArgHours    ArgKind = "hours"
	ArgSeconds  ArgKind = "seconds"
	ArgInertia  ArgKind = "inertia"
	ArgWatts    ArgKind = "watts"
	ArgDay      ArgKind = "day"
	ArgScore    ArgKind = "score"
	ArgRegion   ArgKind = "region"
	ArgExercise ArgKind = "exercise"
	ArgMatchDay ArgKind = "match_day" // "MD-3"
	ArgID       ArgKind = "id"        // a template, device, setting or rule id, shown as it is
)

// Arg is one typed argument of a reason.
type Arg struct {
	Name string  `json:"name"`
	Kind ArgKind `json:"kind"`
	Num  float64 `json:"num,omitempty"`
	ID   string  `json:"id,omitempty"` // region, exercise, match day or id
	Day  Day     `json:"day,omitempty"`
}

// NoticeKind is what staff are told.
type NoticeKind string

const (
	NoticePain     NoticeKind = "pain"     // a region stopped or held for pain
	NoticeWarning  NoticeKind = "warning"  // a warning sign
	NoticeSkipped  NoticeKind = "skipped"  // sessions missed running
	NoticeSoreness NoticeKind = "soreness" // ≥ 7
	NoticeSides    NoticeKind = "sides"    // left–right difference
	NoticeDoubtful NoticeKind = "doubtful" // a set far above the record waits for an answer
	NoticeLapsed   NoticeKind = "lapsed"   // a medical review lapsed, the stop is back
	NoticeDistress NoticeKind = "distress" // a named human at once
	NoticeDoubt    NoticeKind = "doubt"    // a question about pain or a sign that the player did not answer
	NoticeDose     NoticeKind = "dose"     // longest gap since heavy or Nordic work
)

// Notice is something that happened that staff have to know, told apart from
// how it is sent. To never includes somebody who may not read it.
type Notice struct {
	Kind   NoticeKind `json:"kind"`
	Region Region     `json:"region,omitempty"`
	Side   Side       `json:"side,omitempty"`
	Sign   Sign       `json:"sign,omitempty"`
	Urgent bool       `json:"urgent"` // ignores quiet hours
	To     Audience   `json:"to"`
	Args   []Arg      `json:"args,omitempty"`
}
