package prescribe

// Fold is the state after the event. It is total: an event that makes no
// sense changes nothing. It never changes s or anything s refers to, so the
// caller may keep s. Folding the same event twice is the caller's to prevent.
func Fold(s State, e Event, r Rules) State {
	return s
}

// Held lists what is stopped or capped on the day.
func (s State) Held(day Day) []HoldView { return nil }

// OpenPain lists the regions whose pain must be asked about on the day.
func (s State) OpenPain(day Day) []Region { return nil }
