package prescribe_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	. "pegcard/prescribe"
)

var wheel = Wheel{Device: "wheel", Inertias: []Inertia{0.05, 0.075, 0.1, 0.145, 0.2}}

func powerRecord(tests ...PowerMark) PowerRecord {
	var p PowerRecord
	for _, m := range tests {
		p = p.Observe(PowerTest{Exercise: "flywheel_squat", Device: "wheel", Inertia: m.Inertia, Power: m.Power}, m.Day)
	}
	return p
}

func TestPowerChoosesTheBest(t *testing.T) {
	day := Date(2026, 3, 2)
	p := powerRecord(PowerMark{0.145, 520, day}, PowerMark{0.05, 480, day}, PowerMark{0.075, 600, day}, PowerMark{0.1, 560, day})
	require.True(t, p.Known())
	got, reasons, ok := p.Choose(wheel, DefaultRules())
	require.True(t, ok)
	require.Equal(t, Inertia(0.075), got)
	require.Len(t, reasons, 1)
	require.Equal(t, "flywheel.best", reasons[0].Code)
	require.Equal(t, Arg{Name: "power", Kind: ArgWatts, Num: 600}, reasons[0].Args[2])
}

func TestPowerTieTakesTheLower(t *testing.T) {
	day := Date(2026, 3, 2)
	tie := powerRecord(PowerMark{0.05, 569, day}, PowerMark{0.075, 570, day}, PowerMark{0.1, 600, day})
	got, reasons, ok := tie.Choose(wheel, DefaultRules())
	require.True(t, ok)
	require.Equal(t, Inertia(0.075), got, "570 is within 5 %% of 600, 569 is not")
	require.Equal(t, "flywheel.tie", reasons[1].Code)

	equal := powerRecord(PowerMark{0.1, 600, day}, PowerMark{0.075, 600, day})
	got, reasons, _ = equal.Choose(wheel, DefaultRules())
	require.Equal(t, Inertia(0.075), got)
	require.Len(t, reasons, 1, "the lower of two equals is the best")

	r, err := DefaultRules().With("flywheel.power_tie", 0)
	require.NoError(t, err)
	got, _, _ = tie.Choose(wheel, r)
	require.Equal(t, Inertia(0.1), got)
}

func TestPowerOnlyWhatCanBeSet(t *testing.T) {
	day := Date(2026, 3, 2)
	p := powerRecord(PowerMark{0.06, 900, day}, PowerMark{0.2, 800, day}, PowerMark{0.1, 500, day})
	got, _, ok := p.Choose(wheel, DefaultRules())
	require.True(t, ok)
	require.Equal(t, Inertia(0.1), got, "0.06 cannot be set, 0.2 is above the range")

	for name, c := range map[string]struct {
		p PowerRecord
		w Wheel
	}{
		"no test":          {PowerRecord{}, wheel},
		"another device":   {p, Wheel{Device: "other", Inertias: wheel.Inertias}},
		"nothing settable": {p, Wheel{Device: "wheel", Inertias: []Inertia{0.05}}},
	} {
		_, reasons, ok := c.p.Choose(c.w, DefaultRules())
		require.False(t, ok, name)
		require.Equal(t, "flywheel.untested", reasons[0].Code, name)
	}
}

func TestPowerObserve(t *testing.T) {
	day := Date(2026, 3, 2)
	p := powerRecord(PowerMark{0.1, 500, day})
	for name, c := range map[string]struct {
		power Watts
		day   Day
		want  Watts
	}{
		"better the same day": {520, day, 520},
		"worse the same day":  {480, day, 500},
		"worse later":         {480, day + 1, 480},
		"better earlier":      {520, day - 1, 500},
	} {
		got := p.Observe(PowerTest{Device: "wheel", Inertia: 0.1, Power: c.power}, c.day)
		require.Len(t, got.Tests, 1, name)
		require.Equal(t, c.want, got.Tests[0].Power, name)
	}
	require.Equal(t, Watts(500), p.Tests[0].Power, "the record observed from stays as it was")
	for _, bad := range []PowerTest{
		{Device: "other", Inertia: 0.1, Power: 500},
		{Device: "wheel", Inertia: 0, Power: 500},
		{Device: "wheel", Inertia: 0.1, Power: Watts(math.NaN())},
		{Device: "wheel", Inertia: Inertia(math.Inf(1)), Power: 500},
	} {
		require.Equal(t, p, p.Observe(bad, day+1))
	}
}

func TestPowerRecordIsBounded(t *testing.T) {
	var p PowerRecord
	for i := range 40 {
		p = p.Observe(PowerTest{Device: "wheel", Inertia: Inertia(0.2 - 0.004*float64(i)), Power: 500}, Date(2026, 3, 2)+Day(i))
	}
	require.Len(t, p.Tests, 12)
	require.Equal(t, Date(2026, 3, 2)+39, p.Tests[0].Day, "lowest inertia first")
	require.Equal(t, Date(2026, 3, 2)+28, p.Tests[11].Day, "the oldest went")
}
