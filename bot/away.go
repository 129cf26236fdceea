package bot

import (
	"errors"
	"regexp"
	"strconv"
	"strings"
	"time"

	"pegcard/bot/telegram"
	"pegcard/prescribe"
	"pegcard/store"
)

// awayPlaces are where a player may train when not at the club.
var awayPlaces = []string{"hotel", "home", "travel"}

// cmdAway asks from when to when, and where; days may stand behind the command.
func (h *hand) cmdAway(arg string) error {
	if from, to, ok := readDays(arg, h.day); ok {
		return h.awayFrom(from, to)
	}
	return h.ask(askAway, 0, question{Step: "when"})
}

func (h *hand) awayFrom(from, to prescribe.Day) error {
	return h.ask(askAway, 0, question{Step: "where", From: from, To: to})
}

// tapAway is the place: first day, last day, place; "" is the club again.
func (h *hand) tapAway(t tap) error {
	from, err1 := prescribe.ParseDay(t.str(0))
	to, err2 := prescribe.ParseDay(t.str(1))
	place := t.str(2)
	known := place == ""
	for _, p := range awayPlaces {
		known = known || p == place
	}
	if err1 != nil || err2 != nil || !known {
		return h.stale()
	}
	return h.away(from, to, place)
}

func (h *hand) away(from, to prescribe.Day, place string) error {
	gym := ""
	if place != "" {
		gyms, err := h.tx.Gyms(from)
		if err != nil {
			return err
		}
		for _, g := range gyms {
			if g.Setting.Place == place {
				gym = g.Slug
				break
			}
		}
	}
	days, err := h.tx.SetAway(h.person.ID, from, to, place, gym, h.now)
	var problem *store.Problem
	if errors.As(err, &problem) {
		return h.ask(askAway, 0, question{Step: "when"})
	}
	if err != nil {
		return err
	}
	for _, d := range days {
		if err := h.b.replan(h.tx, d.Person, d.Day, h.now); err != nil {
			return err
		}
	}
	if place == "" {
		err = h.replySay("player.away_end")
	} else {
		err = h.replyView("awayset", from, to, place)
	}
	if err != nil {
		return err
	}
	return h.close()
}

func (r *rendering) askAway(d store.Dialog, q question) (telegram.Outgoing, error) {
	if q.Step == "when" {
		m := telegram.Outgoing{Text: r.sp.T("player.away_when")}
		cal, err := r.tx.Calendar(r.person.ID, r.day, r.day)
		if err != nil {
			return m, err
		}
		if len(cal.Days) == 1 && strings.Contains(cal.Days[0].Setting, ":") {
			// Away now: the way back is one tap.
			m.Buttons = [][]telegram.Button{{r.button("back_again", newTap("away", r.day, r.day+awayMax, ""))}}
		}
		return m, nil
	}
	var bs []telegram.Button
	for _, p := range awayPlaces {
		bs = append(bs, telegram.Button{Text: capital(plain(r.sp.Place(p))), Data: newTap("away", q.From, q.To, p)})
	}
	return telegram.Outgoing{Text: r.sp.T("player.away_where"), Buttons: rows(3, bs...)}, nil
}

// awayMax is how far an early return reaches: no time away is longer.
const awayMax = 120

func init() {
	// t: first day, last day, place.
	pages["awayset"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		from, err := prescribe.ParseDay(t.str(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		to, err := prescribe.ParseDay(t.str(1))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		return telegram.Outgoing{Text: r.sp.T("player.away_set", "from", from, "to", to, "place", plain(r.sp.Place(t.str(2))))}, nil
	}
}

var (
	isoDay   = regexp.MustCompile(`\d{4}-\d{1,2}-\d{1,2}`)
	shortDay = regexp.MustCompile(`(\d{1,2})[./](\d{1,2})\.?`)
)

// readDays reads "12.6 - 20.6" or "2026-06-12 2026-06-20", day before month. A
// date without a year is the next one from today on; one date alone is one day.
func readDays(s string, today prescribe.Day) (from, to prescribe.Day, ok bool) {
	var days []prescribe.Day
	for _, m := range isoDay.FindAllString(s, -1) {
		t, err := time.Parse("2006-1-2", m)
		if err != nil {
			return 0, 0, false
		}
		days = append(days, prescribe.DayOf(t))
	}
	if len(days) == 0 {
		for _, m := range shortDay.FindAllStringSubmatch(s, -1) {
			d, _ := strconv.Atoi(m[1])
			mon, _ := strconv.Atoi(m[2])
			day, ok := nextDate(d, mon, today)
			if !ok {
				return 0, 0, false
			}
			days = append(days, day)
		}
	}
	switch len(days) {
	case 1:
		return days[0], days[0], days[0] >= today
	case 2:
		return days[0], days[1], days[1] >= days[0] && days[1] >= today
	}
	return 0, 0, false
}

// nextDate is the day of that date in this year or the next; a date of the last
// month is still this year's.
func nextDate(d, mon int, today prescribe.Day) (prescribe.Day, bool) {
	if mon < 1 || mon > 12 || d < 1 {
		return 0, false
	}
	for y := today.Time().Year(); y <= today.Time().Year()+1; y++ {
		t := time.Date(y, time.Month(mon), d, 0, 0, 0, 0, time.UTC)
		if t.Day() != d {
			continue
		}
		if day := prescribe.DayOf(t); day >= today-31 {
			return day, true
		}
	}
	return 0, false
}
