package prescribe

// Calendar is the player's days around the day to be planned, resolved into
// instants before it gets here. Days holds one row a civil date, ascending and
// without gaps, from at least 7 days before to at least 14 days after.
type Calendar struct {
	Days     []CalendarDay      `json:"days"`
	Matches  []Match            `json:"matches"` // by Kickoff, the player's squad's
	Settings map[string]Setting `json:"settings"`
}

// CalendarDay is one civil date of the player's.
type CalendarDay struct {
	Day     Day     `json:"day"`
	Phase   Phase   `json:"phase"`
	Setting string  `json:"setting"` // key of Calendar.Settings
	Start   Instant `json:"start"`   // when a strength session would begin that day
	// Off: no training that day (holiday, coach's day off, travel all day).
	Off bool `json:"off,omitempty"`
	// Pitch: pitch training that day. Nordics come after it, never before sprinting.
	Pitch bool `json:"pitch,omitempty"`
}

// Match is one fixture.
type Match struct {
	ID      string  `json:"id"`
	Day     Day     `json:"day"`
	Kickoff Instant `json:"kickoff"` // 12:00 of the day when unknown
	End     Instant `json:"end"`     // planned final whistle
	Known   bool    `json:"known"`   // the kick-off time is known
}

// Setting is where the player trains and with what.
type Setting struct {
	Place      string    `json:"place"` // "gym", "hotel", "home", "travel"
	Supervised bool      `json:"supervised"`
	Equipment  Equipment `json:"equipment"`
}

// Equipment is what can be loaded. Masses in kg.
type Equipment struct {
	Bars      []Bar      `json:"bars,omitempty"`      // empty: no barbell
	Plates    []Plate    `json:"plates,omitempty"`    // pairs available
	Dumbbells []Kg       `json:"dumbbells,omitempty"` // each mass exists as a pair
	Flywheels []Wheel    `json:"flywheels,omitempty"`
	Added     []Kg       `json:"added,omitempty"` // vests, belt plates: single masses for bodyweight exercises
	Has       []GearItem `json:"has,omitempty"`
}

// GearItem is a thing an exercise may need besides load.
type GearItem string

const (
	GearRack      GearItem = "rack" // with safeties
	GearBench     GearItem = "bench"
	GearPullUpBar GearItem = "pull_up_bar"
	GearBand      GearItem = "band"
	GearReleasers GearItem = "weight_releasers"
	GearBox       GearItem = "box"
	GearAnchor    GearItem = "ankle_anchor" // something, or someone, that holds the ankles
	GearCable     GearItem = "cable"
	GearLegPress  GearItem = "leg_press"
	GearSlider    GearItem = "slider"
)

// Bar is a bar and its kind: "straight", "trap".
type Bar struct {
	Kind string `json:"kind"`
	Mass Kg     `json:"mass"`
}

// Plate is a plate mass and how many pairs there are for one bar.
type Plate struct {
	Mass  Kg  `json:"mass"`
	Pairs int `json:"pairs"`
}

// Wheel is a flywheel device and the inertias it can be set to, ascending.
type Wheel struct {
	Device   string    `json:"device"`
	Inertias []Inertia `json:"inertias"`
}
