package wording

import (
	"strings"

	"golang.org/x/text/number"

	"pegcard/prescribe"
)

// Number writes v with at most 3 decimals, no trailing zeros, no thousands
// separator and a true minus: 102.5, in German 102,5.
func (sp *Speaker) Number(v float64) string {
	s := sp.numbers.Sprint(number.Decimal(v, number.MaxFractionDigits(3), number.NoSeparator()))
	return strings.NewReplacer("\u200e", "", "\u061c", "", "-", "−").Replace(s)
}

// rounded writes v with at most digits decimals.
func (sp *Speaker) rounded(v float64, digits int) string {
	s := sp.numbers.Sprint(number.Decimal(v, number.MaxFractionDigits(digits), number.NoSeparator()))
	return strings.NewReplacer("\u200e", "", "\u061c", "", "-", "−").Replace(s)
}

// unit wraps a written number in its unit.
func (sp *Speaker) unit(id, n string) string { return sp.isolate(sp.t(id, "n", HTML(n))) }

// Kg writes a mass: "102.5 kg". Two decimals show 1.25 kg plates and hide the
// noise of a pound conversion.
func (sp *Speaker) Kg(v prescribe.Kg) string { return sp.unit("unit.kg", sp.rounded(float64(v), 2)) }

// mass is the number alone, where the unit stands in the line already.
func (sp *Speaker) mass(v prescribe.Kg) string { return sp.rounded(float64(v), 2) }

// Percent writes "85 %", with one decimal where it has one.
func (sp *Speaker) Percent(v prescribe.Percent) string {
	return sp.unit("unit.percent", sp.rounded(float64(v), 1))
}

// Inertia writes "0.07 kg·m²".
func (sp *Speaker) Inertia(v prescribe.Inertia) string {
	return sp.unit("unit.inertia", sp.rounded(float64(v), 4))
}

// Watts writes "612 W".
func (sp *Speaker) Watts(v prescribe.Watts) string {
	return sp.unit("unit.watts", sp.rounded(float64(v), 0))
}

// Seconds writes a rest or a hold: "20 s", "3 min", "2 min 30 s".
func (sp *Speaker) Seconds(v prescribe.Seconds) string {
	switch {
	case v < 60 || v < 120 && v%60 != 0:
		return sp.unit("unit.seconds", sp.Number(float64(v)))
	case v%60 == 0:
		return sp.unit("unit.minutes", sp.Number(float64(v/60)))
	}
	return sp.isolate(sp.t("unit.minutes_seconds", "minutes", int(v/60), "seconds", int(v%60)))
}

// Score writes "6/10".
func (sp *Speaker) Score(v prescribe.Score) string {
	return sp.unit("unit.score", sp.Number(float64(v)))
}

// Days writes "3 days".
func (sp *Speaker) Days(n int) string { return sp.t("unit.days", "n", n) }

// Hours writes "72 hours".
func (sp *Speaker) Hours(n int) string { return sp.t("unit.hours", "n", n) }

// Sets writes "3 sets".
func (sp *Speaker) Sets(n int) string { return sp.t("unit.sets", "n", n) }

// Reps writes "5 reps".
func (sp *Speaker) Reps(n int) string { return sp.t("unit.reps", "n", n) }

// Sessions writes "2 sessions".
func (sp *Speaker) Sessions(n int) string { return sp.t("unit.sessions", "n", n) }

// Players writes "25 players".
func (sp *Speaker) Players(n int) string { return sp.t("unit.players", "n", n) }
