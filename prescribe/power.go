package prescribe

import (
	"cmp"
	"math"
	"slices"
)

// powerTests is how many inertias a record keeps; the oldest test goes first.
const powerTests = 12

// inertiaStep is how close two settings of one device are the same setting.
const inertiaStep = 1e-6

// KineticEnergy of a flywheel in joules, ½Iω², from its moment of inertia in
// kg·m² and its angular velocity in rad/s.
func KineticEnergy(i Inertia, omega float64) float64 { return 0.5 * float64(i) * omega * omega }

// PowerRecord is a player's power-by-inertia test of one exercise on one
// device. Inertias compare within one device only. It is a value; the zero
// PowerRecord knows nothing.
type PowerRecord struct {
	Device string      `json:"device,omitempty"`
	Tests  []PowerMark `json:"tests,omitempty"` // by inertia
}

// PowerMark is the latest test at one inertia.
type PowerMark struct {
	Inertia Inertia `json:"inertia"`
	Power   Watts   `json:"power"` // mean concentric
	Day     Day     `json:"day"`
}

// Known reports whether there is a test to choose from.
func (p PowerRecord) Known() bool { return len(p.Tests) > 0 }

// Observe is the record after a test. At one inertia a later day replaces an
// earlier one and the best of a day stands. A test of another device, or
// without a positive inertia and power, changes nothing.
func (p PowerRecord) Observe(t PowerTest, day Day) PowerRecord {
	if p.Device != "" && t.Device != p.Device || !positive(float64(t.Inertia)) || !positive(float64(t.Power)) {
		return p
	}
	p.Device = t.Device
	mark := PowerMark{t.Inertia, t.Power, day}
	p.Tests = slices.Clone(p.Tests)
	if i := slices.IndexFunc(p.Tests, func(m PowerMark) bool { return sameInertia(m.Inertia, t.Inertia) }); i >= 0 {
		if old := p.Tests[i]; old.Day > day || old.Day == day && old.Power >= t.Power {
			return p
		}
		p.Tests[i] = mark
		return p
	}
	if len(p.Tests) == powerTests {
		oldest := slices.MinFunc(p.Tests, func(a, b PowerMark) int {
			return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Inertia, b.Inertia))
		})
		p.Tests = slices.DeleteFunc(p.Tests, func(m PowerMark) bool { return m == oldest })
	}
	p.Tests = append(p.Tests, mark)
	slices.SortFunc(p.Tests, func(a, b PowerMark) int { return cmp.Compare(a.Inertia, b.Inertia) })
	return p
}

// Choose picks the inertia to train at: the one with the highest mean
// concentric power among those tested that w can be set to, within
// flywheel.inertia_min and _max; of those within flywheel.power_tie of the
// best, the lowest. It is false when nothing tested can be set; the reasons say
// so. Eccentric to concentric ratios are not used: they are not reliable.
func (p PowerRecord) Choose(w Wheel, r Rules) (Inertia, []Reason, bool) {
	device := Arg{Name: "device", Kind: ArgID, ID: w.Device}
	least, most := Inertia(r.Num("flywheel.inertia_min")), Inertia(r.Num("flywheel.inertia_max"))
	var usable []PowerMark
	for _, m := range p.Tests {
		settable := slices.ContainsFunc(w.Inertias, func(i Inertia) bool { return sameInertia(i, m.Inertia) })
		if p.Device == w.Device && settable && m.Inertia >= least-inertiaStep && m.Inertia <= most+inertiaStep {
			usable = append(usable, m)
		}
	}
	if len(usable) == 0 {
		return 0, []Reason{{
			Code: "flywheel.untested", Rules: []string{"flywheel.inertia_max", "flywheel.inertia_min"},
			Args: []Arg{device}, See: ForEveryone,
		}}, false
	}
	best := slices.MaxFunc(usable, func(a, b PowerMark) int {
		return cmp.Or(cmp.Compare(a.Power, b.Power), cmp.Compare(b.Inertia, a.Inertia))
	})
	reasons := []Reason{{
		Code: "flywheel.best", Rules: []string{"flywheel.inertia_max", "flywheel.inertia_min"},
		Args: []Arg{
			device,
			{Name: "inertia", Kind: ArgInertia, Num: float64(best.Inertia)},
			{Name: "power", Kind: ArgWatts, Num: float64(best.Power)},
			{Name: "day", Kind: ArgDay, Day: best.Day},
		},
		See: ForEveryone,
	}}
	enough := float64(best.Power) * (1 - r.Num("flywheel.power_tie")/100)
	chosen := usable[slices.IndexFunc(usable, func(m PowerMark) bool { return float64(m.Power) >= enough })]
	if chosen != best {
		reasons = append(reasons, Reason{
			Code: "flywheel.tie", Rules: []string{"flywheel.power_tie"},
			Args: []Arg{
				{Name: "inertia", Kind: ArgInertia, Num: float64(chosen.Inertia)},
				{Name: "power", Kind: ArgWatts, Num: float64(chosen.Power)},
				{Name: "within", Kind: ArgPercent, Num: r.Num("flywheel.power_tie")},
			},
			See: ForEveryone,
		})
	}
	return chosen.Inertia, reasons, true
}

func sameInertia(a, b Inertia) bool { return math.Abs(float64(a-b)) < inertiaStep }

func positive(v float64) bool { return v > 0 && !math.IsInf(v, 0) }
