package prescribe

// Region is a place on the body that can be sore or hurt. Sides are separate.
type Region string

// The regions a player can name. Muscle regions take soreness and pain; joint
// and other regions take pain only.
const (
	Hamstring  Region = "hamstring"
	Quadriceps Region = "quadriceps"
	Adductor   Region = "adductor" // groin
	Glute      Region = "glute"
	Calf       Region = "calf"
	HipFront   Region = "hip_front"
	LowBack    Region = "low_back"
	UpperBack  Region = "upper_back"
	Trunk      Region = "trunk" // abdominal wall, flank
	Chest      Region = "chest" // pectoral muscle; chest pain is a warning sign, never a region
	Shoulder   Region = "shoulder"
	Arm        Region = "arm"
	Neck       Region = "neck"
	Knee       Region = "knee"
	TibialTub  Region = "tibial_tubercle"
	Shin       Region = "shin"
	Ankle      Region = "ankle"
	Achilles   Region = "achilles"
	Heel       Region = "heel"
	Foot       Region = "foot"
	Hip        Region = "hip"
	Elbow      Region = "elbow"
	Wrist      Region = "wrist"
)

// Regions lists every region, muscle regions first.
func Regions() []Region {
	return []Region{Hamstring, Quadriceps, Adductor, Glute, Calf, HipFront, LowBack, UpperBack, Trunk, Chest, Shoulder,
		Arm, Neck, Knee, TibialTub, Shin, Ankle, Achilles, Heel, Foot, Hip, Elbow, Wrist}
}

// Side is left, right or, empty, both or neither.
type Side string

const (
	Both  Side = ""
	Left  Side = "left"
	Right Side = "right"
)

// Method is the way strength is worked on.
type Method string

const (
	Traditional Method = "traditional" // a constant external load, up and down
	Eccentric   Method = "eccentric"   // the lowering is the work: Nordic, Copenhagen, accentuated, calf
	Flywheel    Method = "flywheel"    // inertial
	Support     Method = "support"     // trunk, mobility, priming: no dose of its own
)

// Pattern is the movement pattern a slot of the programme asks for.
type Pattern string

const (
	Squat        Pattern = "squat"
	Hinge        Pattern = "hinge"
	SingleLeg    Pattern = "single_leg"
	KneeFlexion  Pattern = "knee_flexion" // hamstring, Nordic and leg curl
	HipAdduction Pattern = "hip_adduction"
	HipAbduction Pattern = "hip_abduction"
	CalfRaise    Pattern = "calf_raise"
	Push         Pattern = "push"
	Pull         Pattern = "pull"
	TrunkBrace   Pattern = "trunk"
	Rotation     Pattern = "rotation"
)

// ExerciseID names an exercise of the library, such as "back_squat".
type ExerciseID string

// Phase is the part of the year a squad is in.
type Phase string

const (
	PreSeason Phase = "pre_season"
	InSeason  Phase = "season"
	OffSeason Phase = "off_season"
)

// Absence is why a session was not done.
type Absence string

const (
	AbsentTravel  Absence = "travel"
	AbsentIll     Absence = "ill"
	AbsentSore    Absence = "sore"
	AbsentPain    Absence = "pain"
	AbsentTime    Absence = "no_time"
	AbsentNoGym   Absence = "no_gym"
	AbsentPrivate Absence = "private"
	AbsentOther   Absence = "other"
)

// Sign is a warning sign. Any of them stops training and goes to medical staff
// at once; no number overrides it.
type Sign string

const (
	SignChestPain    Sign = "chest_pain"
	SignFainting     Sign = "fainting"
	SignPalpitations Sign = "palpitations"
	SignBreathless   Sign = "breathless"
	SignHeadImpact   Sign = "head_impact"
	SignConfusion    Sign = "confusion"
	SignLimbWeak     Sign = "limb_weakness"
	SignSaddle       Sign = "saddle_numbness"
	SignBladderBowel Sign = "bladder_bowel"
	SignCalfSwollen  Sign = "calf_swollen_warm"
	SignCannotBear   Sign = "cannot_bear_weight"
	SignDeformity    Sign = "deformity"
	SignPop          Sign = "pop"
	SignSwelling     Sign = "swelling"
	SignLimp         Sign = "limp"
	SignSudden       Sign = "sudden_onset"
	SignDarkUrine    Sign = "dark_urine"
	SignFever        Sign = "fever"
	SignTesticular   Sign = "testicular_pain"
	SignDistress     Sign = "distress" // self-harm or abuse disclosed: a named human, outside digests
	SignOther        Sign = "other"    // in doubt, alert
)

// Audience says who may read a reason, a notice or a figure.
type Audience uint8

const (
	ForPlayer Audience = 1 << iota
	ForCoach
	ForMedical
	ForHeadCoach
	ForSafeguarding
	ForEveryone = ForPlayer | ForCoach | ForMedical | ForHeadCoach | ForSafeguarding
	ForStaff    = ForCoach | ForMedical
)

// Has reports whether all of b are in a.
func (a Audience) Has(b Audience) bool { return a&b == b }
