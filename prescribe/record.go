package prescribe

// Record is a strength record of one lift and side.
type Record struct {
	Mean float64 `json:"mean"`
	Var  float64 `json:"var"`
}

// Estimate is what a record says on a day, in kg of the lift's total.
type Estimate struct {
	Median Kg      `json:"median"`
	Low    Kg      `json:"low"`
	High   Kg      `json:"high"`
	Used   Kg      `json:"used"` // prescribing quantile
	SD     float64 `json:"sd"`   // of the logarithm
	Days   int     `json:"days"` // since the last exact set
	Sets   int     `json:"sets"` // that counted
}

// Known reports whether there is a record to prescribe from.
func (rec Record) Known() bool { return false }

// At is the record predicted forward to day.
func (rec Record) At(day Day, r Rules) Record { return rec }

// Observe is the record after set, whose event key is key.
func (rec Record) Observe(set Set, key string, ex Exercise, body Kg, day Day, r Rules) Record {
	return rec
}

// Answer is the record after the player said whether a doubtful set was right.
func (rec Record) Answer(a RecordAnswer, r Rules) Record { return rec }

// Estimate is what the record says on day.
func (rec Record) Estimate(day Day, r Rules) Estimate { return Estimate{} }
