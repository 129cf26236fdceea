package bot

import (
	"errors"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"pegcard/bot/telegram"
	"pegcard/bot/understand"
	"pegcard/prescribe"
	"pegcard/schedule"
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
	if err1 != nil || err2 != nil || place != "" && !slices.Contains(awayPlaces, place) {
		return h.stale()
	}
	if place == "" {
		return h.away(store.Away{From: from, Until: to})
	}
	return h.awayAt(from, to, place)
}

// awayAt is the place known: what there is to train with is asked, where the
// club has named anything.
func (h *hand) awayAt(from, to prescribe.Day, place string) error {
	gyms, err := gymsAt(h.tx, from, place)
	if err != nil {
		return err
	}
	q := question{Step: "kit", From: from, To: to, Place: place}
	if len(gyms) == 0 {
		q.Step = "zone"
	}
	return h.ask(askAway, 0, q)
}

// gymsAt are the places of that kind that the club has named.
func gymsAt(tx *store.Tx, day prescribe.Day, place string) ([]store.GymDef, error) {
	gyms, err := tx.Gyms(day)
	return slices.DeleteFunc(gyms, func(g store.GymDef) bool { return g.Setting.Place != place }), err
}

// tapAwayKit is what there is to train with: a gym's slug, or "" for the floor.
func (h *hand) tapAwayKit(t tap) error {
	d, q, ok, err := h.open()
	if err != nil {
		return err
	}
	if !ok || d.Kind != askAway || q.Step != "kit" {
		return h.stale()
	}
	gyms, err := gymsAt(h.tx, q.From, q.Place)
	if err != nil {
		return err
	}
	if q.Gym = t.str(0); q.Gym != "" && !slices.ContainsFunc(gyms, func(g store.GymDef) bool { return g.Slug == q.Gym }) {
		return h.stale()
	}
	q.Step = "zone"
	return h.ask(askAway, 0, q)
}

// tapAwayZone: the clocks there show what they show at the club.
func (h *hand) tapAwayZone(tap) error {
	d, q, ok, err := h.open()
	if err != nil {
		return err
	}
	if !ok || d.Kind != askAway || q.Step != "zone" {
		return h.stale()
	}
	return h.awayIn(q, "")
}

func (h *hand) awayIn(q question, zone string) error {
	return h.away(store.Away{From: q.From, Until: q.To, Place: q.Place, Equipment: q.Gym, Zone: zone})
}

// answerAway reads what was written in answer to one of the questions.
func (h *hand) answerAway(q question, text string) (done bool, err error) {
	text = strings.TrimSpace(text)
	same := func(name string) bool { return strings.EqualFold(text, telegram.StripHTML(name)) }
	switch q.Step {
	case "when":
		if from, to, ok := readDays(text, h.day); ok {
			return true, h.awayFrom(from, to)
		}
	case "where":
		for _, p := range awayPlaces {
			if same(h.sp.Place(p)) {
				return true, h.awayAt(q.From, q.To, p)
			}
		}
	case "kit":
		gyms, err := gymsAt(h.tx, q.From, q.Place)
		if err != nil {
			return true, err
		}
		for _, g := range gyms {
			if same(g.Name) {
				return true, h.tapAwayKit(tap{args: []string{g.Slug}})
			}
		}
		if same(h.sp.Button("floor")) {
			return true, h.tapAwayKit(tap{args: []string{""}})
		}
	case "zone":
		if zone, ok := readZone(text, h.when.Time(), h.loc); ok {
			return true, h.awayIn(q, zone)
		}
		if town(text) {
			q.Unknown = true
			return true, h.ask(askAway, 0, q)
		}
	}
	return false, nil
}

func (h *hand) away(a store.Away) error {
	days, err := h.tx.SetAway(h.person.ID, a, h.now)
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
	if a.Place == "" {
		err = h.replySay("player.away_end")
	} else {
		err = h.replyView("awayset", a.From)
	}
	if err != nil {
		return err
	}
	return h.close()
}

func (r *rendering) askAway(d store.Dialog, q question) (telegram.Outgoing, error) {
	switch q.Step {
	case "when":
		m := telegram.Outgoing{Text: r.sp.T("player.away_when")}
		_, away, err := r.tx.AwayOn(r.person.ID, r.day)
		if err != nil {
			return m, err
		}
		if away {
			// Away now: the way back is one tap.
			m.Buttons = [][]telegram.Button{{r.button("back_again", newTap("away", r.day, r.day+awayMax, ""))}}
		}
		return m, nil
	case "kit":
		gyms, err := gymsAt(r.tx, q.From, q.Place)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		var bs []telegram.Button
		for _, g := range gyms {
			bs = append(bs, telegram.Button{Text: g.Name, Data: newTap("awk", g.Slug)})
		}
		return telegram.Outgoing{Text: r.sp.T("player.away_kit"), Buttons: rows(1, append(bs, r.button("floor", newTap("awk", "")))...)}, nil
	case "zone":
		text := r.sp.T("player.away_zone")
		if q.Unknown {
			text = r.sp.T("player.away_zone_unknown")
		}
		return telegram.Outgoing{Text: text, Buttons: [][]telegram.Button{{r.button("same_time", "awz")}}}, nil
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
	// t: first day.
	pages["awayset"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		from, err := prescribe.ParseDay(t.str(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		a, ok, err := r.tx.AwayOn(r.person.ID, from)
		if err != nil || !ok {
			return telegram.Outgoing{}, orNothing(err)
		}
		lines := []string{r.sp.T("player.away_set", "from", a.From, "to", a.Until, "place", plain(r.sp.Place(a.Place)))}
		sq, in, err := r.tx.SquadOf(r.person.ID, from)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		if in && a.Zone != "" {
			loc := r.b.location(a.Zone)
			lines = append(lines, r.sp.T("player.away_time", "now", r.now.Time().In(loc), "time", schedule.At(from, sq.CardsAt, loc)))
		}
		return telegram.Outgoing{Text: joinLines(lines)}, nil
	}
}

var (
	isoDay   = regexp.MustCompile(`\d{4}-\d{1,2}-\d{1,2}`)
	shortDay = regexp.MustCompile(`(\d{1,2})[./](\d{1,2})\.?`)
)

// readDays reads "12.6 - 20.6" or "2026-06-12 2026-06-20", day before month. A
// date without a year is the next one from today on; one date alone is one day.
func readDays(s string, today prescribe.Day) (from, to prescribe.Day, ok bool) {
	s = understand.Normalise(s)
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
