package prescribe

// Built is a load that can be put together.
type Built struct {
	Load    Kg     `json:"load"` // as the exercise's LoadKind counts it
	Bar     Kg     `json:"bar,omitempty"`
	BarKind string `json:"bar_kind,omitempty"`
	Plates  []Kg   `json:"plates,omitempty"` // a side, heaviest first
}

// Build is the greatest load at or below target that the equipment allows.
func Build(target Kg, ex Exercise, eq Equipment) (Built, bool) { return Built{}, false }

// NextUp is the smallest load above load that the equipment allows.
func NextUp(load Kg, ex Exercise, eq Equipment) (Built, bool) { return Built{}, false }

// WarmupSets are the sets before work of load kg at pct % of 1RM.
func WarmupSets(load Kg, pct Percent, ex Exercise, eq Equipment, r Rules) []Warmup { return nil }
