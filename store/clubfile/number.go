package clubfile

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"pegcard/prescribe"
)

// fault is what is wrong with a value, and what to write instead, without its
// place. A nil *fault is none.
type fault struct{ what, mend string }

func wrong(mend, format string, args ...any) *fault {
	return &fault{fmt.Sprintf(format, args...), mend}
}

// number reads a decimal number with a point or a comma. hi is the largest
// value that makes sense: "1,250" is taken for 1.25 only where 1250 would be
// out of range, and refused where it could be either.
func number(s string, hi float64) (float64, *fault) {
	t := strings.TrimSpace(s)
	sep, digits, frac := -1, 0, 0
	for i, r := range t {
		switch {
		case r >= '0' && r <= '9':
			digits++
			if sep >= 0 {
				frac++
			}
		case r == '-' && i == 0, r == '+' && i == 0:
		case (r == '.' || r == ',') && sep < 0:
			sep = i
		case r == '.', r == ',', r == '\'', r == '’', r == ' ', r == '\u00a0', r == '\u202f':
			return 0, wrong("write the digits without thousands separators, such as 1250 or 102.5",
				"%q has more than one separator", s)
		default:
			return 0, wrong("write a number, such as 102.5", "%q is not a number", s)
		}
	}
	if digits == 0 || digits > 15 {
		return 0, wrong("write a number, such as 102.5", "%q is not a number", s)
	}
	plain := strings.Replace(t, ",", ".", 1)
	v, err := strconv.ParseFloat(plain, 64)
	if err != nil {
		return 0, wrong("write a number, such as 102.5", "%q is not a number", s)
	}
	if whole := strings.TrimLeft(t[:max(sep, 0)], "+-"); sep >= 0 && frac == 3 && whole != "" && whole[0] != '0' && len(whole) <= 3 && v*1000 <= hi {
		return 0, wrong(fmt.Sprintf("write %s or %s.%s", whole+t[sep+1:], whole, notThree(t[sep+1:])),
			"%q could be a thousands separator or a decimal", s)
	}
	return v, nil
}

// notThree writes decimals so that they are not three, which is refused.
func notThree(decimals string) string {
	switch d := strings.TrimRight(decimals, "0"); len(d) {
	case 0:
		return "0"
	case 3:
		return d + "0"
	default:
		return d
	}
}

// integer reads a whole number within lo..hi.
func integer(s string, lo, hi int, unit string) (int, *fault) {
	v, f := number(s, float64(hi))
	if f != nil {
		return 0, f
	}
	if v != float64(int(v)) {
		return 0, wrong(fmt.Sprintf("write a whole number from %d to %d", lo, hi), "%q is not a whole number", s)
	}
	if v < float64(lo) || v > float64(hi) {
		return 0, wrong(fmt.Sprintf("write a whole number from %d to %d", lo, hi), "%s%s is out of range", s, unit)
	}
	return int(v), nil
}

// Units of mass as written in a file.
const (
	unitKg = "kg"
	unitLb = "lb"
)

var massUnits = map[string]string{
	"kg": unitKg, "kgs": unitKg, "kilogram": unitKg, "kilograms": unitKg, "kilo": unitKg, "kilos": unitKg,
	"lb": unitLb, "lbs": unitLb, "pound": unitLb, "pounds": unitLb,
}

// massUnit reads a unit of mass; empty gives "".
func massUnit(s string) (string, *fault) {
	t := strings.TrimSuffix(strings.ToLower(strings.TrimSpace(s)), ".")
	if t == "" {
		return "", nil
	}
	if u, ok := massUnits[t]; ok {
		return u, nil
	}
	return "", wrong(`write "kg" or "lb"`, "%q is not known", s)
}

// mass reads "100", "102,5", "100 kg" or "225lbs" within lo..hi kg. A unit at
// the number wins only when unit is empty or the same; unit is the row's.
// The unit that was used comes back, kilograms when none was written.
func mass(s, unit string, lo, hi prescribe.Kg) (prescribe.Kg, string, *fault) {
	t := strings.TrimSpace(s)
	i := strings.IndexFunc(t, func(r rune) bool { return r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z' })
	num := t
	if i >= 0 {
		u, f := massUnit(t[i:])
		if f != nil {
			return 0, "", wrong(`write a number of kilograms or pounds, such as 102.5 or "225 lb"`, "%q is not a mass", s)
		}
		if unit != "" && unit != u {
			return 0, "", wrong("write the same unit in both places, or in one", "%q contradicts the unit %q of the row", s, unit)
		}
		num, unit = strings.TrimSpace(t[:i]), u
	}
	if unit == "" {
		unit = unitKg
	}
	factor := 1.0
	if unit == unitLb {
		factor = prescribe.KgPerLb
	}
	v, f := number(num, float64(hi)/factor)
	if f != nil {
		return 0, "", f
	}
	kg := prescribe.Kg(v * factor)
	if kg < lo || kg > hi {
		return 0, "", wrong(fmt.Sprintf("write %s to %s", sayMass(lo, unit), sayMass(hi, unit)), "%q is out of range", s)
	}
	return kg, unit, nil
}

func sayMass(kg prescribe.Kg, unit string) string {
	v := float64(kg)
	if unit == unitLb {
		v /= prescribe.KgPerLb
	}
	return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) + " " + unit
}

// day reads a civil date.
func day(s string) (prescribe.Day, *fault) {
	d, err := prescribe.ParseDay(strings.TrimSpace(s))
	if err != nil || d.Time().Year() < 1900 || d.Time().Year() > 2200 {
		return 0, wrong("write year-month-day, such as 2001-03-12", "%q is not a date", s)
	}
	return d, nil
}
