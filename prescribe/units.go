package prescribe

import (
	"fmt"
	"time"
)

// Kg is a mass in kilograms. Pounds are converted where a file or a reply is
// read; inside the engine there is one unit.
type Kg float64

// KgPerLb is the exact international avoirdupois pound (1959 agreement).
const KgPerLb = 0.45359237

// Percent is a percentage: 85 means 85 %.
type Percent float64

// Inertia is a flywheel's moment of inertia in kg·m².
type Inertia float64

// Watts is mean concentric power.
type Watts float64

// RIR is repetitions in reserve: how many more could have been done. A report
// of 4 is a lower bound ("four or more").
type RIR int

// Score is a 0–10 rating of soreness, pain or session effort.
type Score int

// Seconds is a rest or a tempo phase.
type Seconds int

// Instant is a point in time, Unix milliseconds, UTC.
type Instant int64

// InstantOf converts a time.
func InstantOf(t time.Time) Instant { return Instant(t.UnixMilli()) }

// Time converts back, in UTC.
func (i Instant) Time() time.Time { return time.UnixMilli(int64(i)).UTC() }

// Hours is the signed number of hours from j to i.
func (i Instant) Hours(j Instant) float64 { return float64(i-j) / 3.6e6 }

// Day is a civil date, counted in days from 1970-01-01. It has no time zone:
// whose date it is, is settled before it gets here. Its text form is
// 2006-01-02, also in JSON. The zero Day means "none": 1970-01-01 is not a
// training day of anybody's.
type Day int

// DayOf is the civil date of t in t's own location.
func DayOf(t time.Time) Day {
	y, m, d := t.Date()
	return Date(y, m, d)
}

// Date is the day y-m-d.
func Date(y int, m time.Month, d int) Day {
	return Day(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// ParseDay reads 2006-01-02.
func ParseDay(s string) (Day, error) {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return 0, fmt.Errorf("%q is not a date; write year-month-day, such as 2026-03-04", s)
	}
	return DayOf(t), nil
}

// Time is midnight UTC of the day, for formatting and weekdays only.
func (d Day) Time() time.Time { return time.Unix(int64(d)*86400, 0).UTC() }

// Weekday is the day of the week.
func (d Day) Weekday() time.Weekday { return d.Time().Weekday() }

// Monday is the first day of the ISO week that d lies in.
func (d Day) Monday() Day { return d - Day((int(d.Weekday())+6)%7) }

func (d Day) String() string {
	if d == 0 {
		return ""
	}
	return d.Time().Format(time.DateOnly)
}

// MarshalText writes 2006-01-02; the zero day is empty.
func (d Day) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (d *Day) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*d = 0
		return nil
	}
	v, err := ParseDay(string(b))
	*d = v
	return err
}
