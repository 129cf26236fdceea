package store

import (
	"time"

	"pegcard/prescribe"
)

// Import is the content of a club's files, read and checked, before it is
// compared with what is stored. A nil or empty part was not given and changes
// nothing. Line numbers are kept so that a conflict found while applying can
// still name the place.
type Import struct {
	Club      *ClubDef
	Programme *ProgrammeDef
	Rules     *RulesDef
	Players   []PlayerRow
	Tests     []TestRow
	Minutes   []MinutesRow
	Fixtures  []FixtureRow
	// FixturesFrom..FixturesTo is the span that Fixtures covers; a stored fixture
	// of the same source inside it that is not named any more is cancelled.
	FixturesFrom, FixturesTo prescribe.Day
}

// At is where something stands in a club's file.
type At struct {
	File   string
	Line   int
	Column int
}

// Clock is a time of day in minutes after midnight.
type Clock int

// ClubDef is club.toml.
type ClubDef struct {
	Name     string
	Zone     string // IANA
	Language string // BCP 47, the default of everybody
	// Emergency is the local emergency number that a player is told to call for
	// a life-threatening sign.
	Emergency string
	Squads    []SquadDef
	Gyms      []GymDef
	Staff     []StaffDef
}

// SquadDef is one squad of club.toml.
type SquadDef struct {
	Slug       string
	Name       string
	Zone       string // empty: the club's
	Youth      bool
	Gym        string // slug of the usual gym
	CardsAt    Clock  // morning cards
	EveningAt  Clock  // look-over of tomorrow's cards; ignored when Review is "none"
	DigestAt   Clock
	StrengthAt Clock // when a strength session usually begins
	CutOff     Clock // the latest time of day that a late card still goes out
	QuietFrom  Clock
	QuietTo    Clock
	Review     string // "none", "look", "must": must = no card goes without approval
	Unapproved string // "go" or "wait", for cards changed after approval
	OffDays    []time.Weekday
	PitchDays  []time.Weekday
	MD1Option  bool   // lower-body work on MD+1 for starters is permitted
	WeeklyOn   string // weekday of the week's report, such as "monday"; "none" or empty: none
	Monthly    bool   // a report of the month, on the 1st
	Phases     []PhaseDef
}

// PhaseDef is a dated phase; From and To are inclusive.
type PhaseDef struct {
	Phase    prescribe.Phase
	From, To prescribe.Day
}

// GymDef is a place to train.
type GymDef struct {
	Slug    string
	Name    string
	Setting prescribe.Setting
}

// Role is what a staff member is to a squad.
type Role string

const (
	RolePlayer       Role = "player"
	RoleCoach        Role = "strength_coach"
	RoleMedical      Role = "medical"
	RoleHeadCoach    Role = "head_coach"
	RoleSafeguarding Role = "safeguarding"
	RoleAdmin        Role = "administrator"
)

// StaffDef is one staff member of club.toml.
type StaffDef struct {
	At       At
	Key      string // the club's own id
	Name     string
	Role     Role
	Squads   []string // slugs; empty: all
	Language string
	Order    int    // medical: who is asked first; then the next
	Phone    string // as it is to be shown; empty: none
}

// ProgrammeDef is programme.toml with its text, kept for the record.
type ProgrammeDef struct {
	Programme prescribe.Programme
	Source    string
}

// RulesDef is rules.toml.
type RulesDef struct {
	Values map[string]float64
	Source string
}

// PlayerRow is a line of players.csv.
type PlayerRow struct {
	At          At
	Key         string // the club's own id, such as a shirt number; unique in the club
	Name        string
	Squad       string // slug
	Born        prescribe.Day
	BodyMass    prescribe.Kg // 0 unknown
	Language    string       // empty: the club's
	Zone        string       // empty: the squad's
	Gym         string       // empty: the squad's
	TrainingAge int
	From        prescribe.Day // member since; 0: the day of import
	Until       prescribe.Day // 0: still
}

// TestRow is a line of tests.csv: a rep set, or a flywheel power test.
type TestRow struct {
	At     At
	Player string
	Day    prescribe.Day
	Set    *prescribe.Set
	Power  *prescribe.PowerTest
	Unit   string // "kg" or "lb", as written
}

// MinutesRow is a line of minutes.csv.
type MinutesRow struct {
	At      At
	Player  string
	Day     prescribe.Day // of the match
	Minutes int
}

// FixtureRow is one occurrence of an event of fixtures.ics.
type FixtureRow struct {
	At         At
	UID        string
	Recurrence string // RECURRENCE-ID in UTC, "" for a single event
	Squad      string // slug
	Summary    string
	Kickoff    time.Time // in the event's own zone
	End        time.Time // final whistle: DTEND, or two hours after kick-off
	Known      bool      // a date without a time: unknown kick-off, 12:00 is assumed
	Day        prescribe.Day
	Cancelled  bool
	Travel     bool // CATEGORIES:TRAVEL: a trip, not a match; Day..Until away from the gym
	Until      prescribe.Day
}
