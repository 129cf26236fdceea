package prescribe

// KineticEnergy of a flywheel: joules, from kg·m² and rad/s.
func KineticEnergy(i Inertia, omega float64) float64 { return 0.5 * float64(i) * omega * omega }

// PowerRecord is a power-by-inertia record.
type PowerRecord struct {
	Device string `json:"device,omitempty"`
}

// Observe is the record after a test.
func (p PowerRecord) Observe(t PowerTest, day Day) PowerRecord { return p }

// Choose picks the inertia to train at.
func (p PowerRecord) Choose(w Wheel, r Rules) (Inertia, []Reason, bool) { return 0, nil, false }
