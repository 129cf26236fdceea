package prescribe

// EditKind is one way a coach changes a card.
type EditKind string

const (
	EditApprove  EditKind = "approve"  // send as it is
	EditHold     EditKind = "hold"     // do not send
	EditExercise EditKind = "exercise" // Slot gets Exercise
	EditLoad     EditKind = "load"     // Slot's load becomes Load, rounded down to what can be built
	EditSets     EditKind = "sets"
	EditReps     EditKind = "reps"
	EditDrop     EditKind = "drop" // Slot is left out
	EditAdd      EditKind = "add"  // session Template today though placement chose otherwise
)

// Edit is a coach's change to one day's card, an input to its next revision.
// A medical stop and the hard limits win over it, and the card says so.
type Edit struct {
	At       Instant    `json:"at"`
	Kind     EditKind   `json:"kind"`
	Slot     string     `json:"slot,omitempty"`
	Template string     `json:"template,omitempty"`
	Exercise ExerciseID `json:"exercise,omitempty"`
	Load     Kg         `json:"load,omitempty"`
	Number   int        `json:"number,omitempty"` // sets or reps
	Reason   string     `json:"reason,omitempty"` // the coach's own words
}
