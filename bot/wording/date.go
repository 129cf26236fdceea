package wording

import (
	"strconv"
	"strings"
	"time"

	"pegcard/prescribe"
)

// Day writes a civil date: "Tue 10 March". The zero day is empty.
func (sp *Speaker) Day(d prescribe.Day) string {
	if d == 0 {
		return ""
	}
	t := d.Time()
	return sp.isolate(sp.t("date.day", "weekday", HTML(sp.Weekday(d)), "day", t.Day(), "month", HTML(sp.months[t.Month()-1])))
}

// DayYear writes a civil date that may lie in another year: "10 March 2026".
func (sp *Speaker) DayYear(d prescribe.Day) string {
	if d == 0 {
		return ""
	}
	t := d.Time()
	return sp.isolate(sp.t("date.day_year", "day", t.Day(), "month", HTML(sp.months[t.Month()-1]), "year", t.Year()))
}

// Short writes a civil date where there is little room: "10 March".
func (sp *Speaker) Short(d prescribe.Day) string {
	t := d.Time()
	return strconv.Itoa(t.Day()) + " " + sp.months[t.Month()-1]
}

// Near writes a day seen from today: "today", "tomorrow", "yesterday", else
// as Day does.
func (sp *Speaker) Near(d, today prescribe.Day) string {
	switch d - today {
	case 0:
		return sp.t("date.today")
	case 1:
		return sp.t("date.tomorrow")
	case -1:
		return sp.t("date.yesterday")
	}
	return sp.Day(d)
}

// Weekday is the short name of the day of the week: "Tue".
func (sp *Speaker) Weekday(d prescribe.Day) string {
	return sp.weekdays[(int(d.Weekday())+6)%7]
}

// Time writes the time of day in t's own location: "18:05".
func (sp *Speaker) Time(t time.Time) string { return t.Format("15:04") }

// At writes day and time in t's own location: "Tue 10 March, 18:05".
func (sp *Speaker) At(t time.Time) string {
	return sp.t("date.at", "day", HTML(sp.Day(prescribe.DayOf(t))), "time", t)
}

// MatchDay writes "MD-3" of a card as "MD−3" with a true minus, and "MD" or
// "MD+0" as "match day". Anything else comes back empty.
func (sp *Speaker) MatchDay(md string) string {
	rest, ok := strings.CutPrefix(md, "MD")
	if !ok {
		return ""
	}
	if rest == "" {
		return sp.t("md.match_day")
	}
	n, err := strconv.Atoi(strings.ReplaceAll(rest, "−", "-"))
	switch {
	case err != nil:
		return ""
	case n < 0:
		return sp.isolate(sp.t("md.before", "n", -n))
	case n > 0:
		return sp.isolate(sp.t("md.after", "n", n))
	}
	return sp.t("md.match_day")
}

// fromMatch is a day named from the match as a player reads it: in days, with the
// trade's name after it.
func (sp *Speaker) fromMatch(md string) string {
	n, name := matchDays(md), sp.MatchDay(md)
	switch {
	case n < 0:
		return sp.t("card.md_before", "days", HTML(sp.Days(-n)), "md", HTML(name))
	case n > 0:
		return sp.t("card.md_after", "days", HTML(sp.Days(n)), "md", HTML(name))
	}
	return name
}

// matchDays is the distance of "MD-3" or "MD+1" from the match; 0 where it
// cannot be read.
func matchDays(md string) int {
	n, err := strconv.Atoi(strings.ReplaceAll(strings.TrimPrefix(md, "MD"), "−", "-"))
	if err != nil {
		return 0
	}
	return n
}
