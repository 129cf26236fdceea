package store

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"time"

	"pegcard/prescribe"
)

// A player's calendar reaches from windowBefore days before the day that is
// planned to windowAfter days after.
const (
	windowBefore = 14
	windowAfter  = 21
)

// Inputs are what a card is worked out from. Rules and programme are kept by
// hash beside them.
type Inputs struct {
	State     prescribe.State     `json:"state"`
	Calendar  prescribe.Calendar  `json:"calendar"`
	Programme prescribe.Programme `json:"-"`
	Rules     prescribe.Rules     `json:"-"`
	Day       prescribe.Day       `json:"day"`
	Edits     []prescribe.Edit    `json:"edits,omitempty"`
	// Begun is the session under way from which a stop took work; nil: the card
	// was planned.
	Begun *prescribe.Begun `json:"begun,omitempty"`

	rulesHash string // of Rules
}

func programmeText(p prescribe.Programme) (text, hash string, err error) {
	b, err := json.Marshal(p)
	if err != nil {
		return "", "", err
	}
	return string(b), rowHash(string(b))[:32], nil
}

// Inputs gathers what the player's card of the day is worked out from. A player
// in no squad that day has a calendar without matches, in the club's zone.
func (tx *Tx) Inputs(person int64, day prescribe.Day) (in Inputs, err error) {
	defer wrap(&err, "inputs of %d on %s", person, day)
	in.Day = day
	if in.State, err = tx.State(person); err != nil {
		return in, err
	}
	if in.Programme, _, err = tx.Programme(); err != nil {
		return in, err
	}
	squad, _, err := tx.SquadOf(person, day)
	if err != nil {
		return in, err
	}
	if in.Rules, in.rulesHash, err = tx.rulesFor(squad); err != nil {
		return in, err
	}
	if in.Calendar, err = tx.Calendar(person, day-windowBefore, day+windowAfter); err != nil {
		return in, err
	}
	in.Edits, err = tx.edits(person, day)
	return in, err
}

// dated is a value that holds from a day on; the last one that has begun counts.
type dated[T any] struct {
	from, until prescribe.Day // until 0: open
	v           T
}

// lastOf is the last value that covers the day.
func lastOf[T any](vs []dated[T], day prescribe.Day) (v T, ok bool) {
	for _, d := range vs {
		if d.from <= day && (d.until == 0 || d.until >= day) {
			v, ok = d.v, true
		}
	}
	return v, ok
}

func (tx *Tx) datedWords(q string, args ...any) ([]dated[string], error) {
	return all(tx, func(r scanner) (d dated[string], err error) {
		err = r.Scan(intoDay(&d.from), intoDay(&d.until), &d.v)
		return d, err
	}, q, args...)
}

// Calendar is the player's days from..to, both included.
func (tx *Tx) Calendar(person int64, from, to prescribe.Day) (c prescribe.Calendar, err error) {
	defer wrap(&err, "calendar of %d", person)
	c.Settings = map[string]prescribe.Setting{}

	members, err := all(tx, func(r scanner) (d dated[int64], err error) {
		err = r.Scan(intoDay(&d.from), intoDay(&d.until), &d.v)
		return d, err
	}, `SELECT from_day, until_day, squad FROM membership WHERE person = ? ORDER BY from_day, id`, person)
	if err != nil {
		return c, err
	}
	zones, err := tx.datedWords(`SELECT from_day, '', zone FROM person_zone WHERE person = ? ORDER BY from_day`, person)
	if err != nil {
		return c, err
	}
	gyms, err := tx.datedWords(`SELECT from_day, '', gym FROM person_gym WHERE person = ? ORDER BY from_day`, person)
	if err != nil {
		return c, err
	}
	aways, err := all(tx, func(r scanner) (d dated[awayPlace], err error) {
		err = r.Scan(intoDay(&d.from), intoDay(&d.until), &d.v.place, &d.v.gym, &d.v.zone)
		return d, err
	}, `SELECT from_day, until_day, place, gym, zone FROM away WHERE person = ? AND from_day <= ? AND until_day >= ? ORDER BY id`,
		person, to.String(), from.String())
	if err != nil {
		return c, err
	}
	rooms, err := tx.gymSettings()
	if err != nil {
		return c, err
	}
	squads := map[int64]Squad{}
	fixtures := map[int64][]Fixture{}
	for _, m := range members {
		if _, ok := squads[m.v]; ok {
			continue
		}
		if squads[m.v], err = tx.Squad(m.v); err != nil {
			return c, err
		}
		if fixtures[m.v], err = tx.Fixtures(m.v, from, to); err != nil {
			return c, err
		}
	}
	clubZone := "UTC"
	if club, err := tx.Club(); err == nil {
		clubZone = club.Zone
	}

	for day := from; day <= to; day++ {
		cd := prescribe.CalendarDay{Day: day, Phase: prescribe.OffSeason}
		squadID, _ := lastOf(members, day)
		squad := squads[squadID] // zero when in none
		away, elsewhere := lastOf(aways, day)
		zone, _ := lastOf(zones, day)
		zone = firstWord(away.zone, zone, squad.Zone, clubZone)
		loc, err := Zone(zone)
		if err != nil {
			return c, err
		}
		cd.Start = atClock(day, squad.StrengthAt, loc)
		for _, p := range squad.Phases {
			if p.From <= day && day <= p.To {
				cd.Phase = p.Phase
			}
		}
		cd.Off = slices.Contains(squad.OffDays, day.Weekday())
		cd.Pitch = slices.Contains(squad.PitchDays, day.Weekday())

		trip := false
		for _, f := range fixtures[squadID] {
			switch {
			case f.Travel:
				trip = trip || f.Day <= day && day <= f.Until
			case f.Day == day:
				c.Matches = append(c.Matches, prescribe.Match{
					ID: MatchID(f.ID), Day: f.Day, Kickoff: f.Kickoff, End: f.End, Known: f.Known,
				})
			}
		}
		gym, _ := lastOf(gyms, day)
		switch {
		case elsewhere && away.place != "":
			// His own absence is more particular than the squad's trip.
		case trip:
			away = awayPlace{place: "hotel", gym: rooms.hotel()}
		default:
			away = awayPlace{}
		}
		cd.Setting = rooms.into(c.Settings, day, firstWord(gym, squad.Gym), away)
		c.Days = append(c.Days, cd)
	}
	slices.SortStableFunc(c.Matches, func(a, b prescribe.Match) int { return int(a.Kickoff - b.Kickoff) })
	return c, nil
}

// awayPlace is somewhere else than the usual gym.
type awayPlace struct{ place, gym, zone string }

func firstWord(ws ...string) string {
	for _, w := range ws {
		if w != "" {
			return w
		}
	}
	return ""
}

// atClock is the instant of a time of day. A time that a clock change skips is
// the same number of minutes after midnight's offset, as time.Date has it.
func atClock(day prescribe.Day, c Clock, loc *time.Location) prescribe.Instant {
	y, m, d := day.Time().Date()
	return prescribe.InstantOf(time.Date(y, m, d, int(c)/60, int(c)%60, 0, 0, loc))
}

// rooms are the settings of all gyms, dated.
type rooms struct {
	slugs  []string // sorted
	bySlug map[string][]dated[roomSetting]
}

type roomSetting struct {
	id      int64
	setting prescribe.Setting
}

func (tx *Tx) readRooms() (rooms, error) {
	rs := rooms{bySlug: map[string][]dated[roomSetting]{}}
	type row struct {
		slug string
		d    dated[roomSetting]
	}
	rows, err := all(tx, func(r scanner) (x row, err error) {
		var text string
		if err = r.Scan(&x.slug, intoDay(&x.d.from), &x.d.v.id, &text); err != nil {
			return x, err
		}
		err = json.Unmarshal([]byte(text), &x.d.v.setting)
		return x, err
	}, `SELECT g.slug, s.from_day, s.id, s.setting FROM gym g JOIN gym_setting s ON s.gym = g.id ORDER BY g.slug, s.from_day`)
	if err != nil {
		return rs, err
	}
	for _, x := range rows {
		if _, ok := rs.bySlug[x.slug]; !ok {
			rs.slugs = append(rs.slugs, x.slug)
		}
		rs.bySlug[x.slug] = append(rs.bySlug[x.slug], x.d)
	}
	return rs, nil
}

// hotel is the first gym that is in a hotel, for squad trips; "" when the club
// named none: then there is the floor only.
func (rs *rooms) hotel() string {
	for _, slug := range rs.slugs {
		ds := rs.bySlug[slug]
		if ds[len(ds)-1].v.setting.Place == "hotel" {
			return slug
		}
	}
	return ""
}

// into puts the day's setting into the calendar's and gives its key. Away from
// the usual gym nobody supervises.
func (rs *rooms) into(settings map[string]prescribe.Setting, day prescribe.Day, gym string, away awayPlace) string {
	slug := gym
	if away.place != "" {
		slug = away.gym
	}
	room, ok := lastOf(rs.bySlug[slug], day)
	key := firstWord(slug, "floor")
	if ok && len(rs.bySlug[slug]) > 1 {
		key += "~" + strconv.FormatInt(room.id, 10) // equipment that changed within the window
	}
	s := room.setting
	if away.place != "" {
		s.Place = away.place
		s.Supervised = false
		key = away.place + ":" + key
	}
	settings[key] = s
	return key
}

// MatchID is how a stored fixture is named in a calendar and in match minutes.
func MatchID(fixture int64) string { return "m" + strconv.FormatInt(fixture, 10) }

// MinutesSource is the source under which the minutes of a fixture are
// recorded, so that a corrected figure supersedes the earlier one.
func MinutesSource(fixture int64) string { return "minutes:" + MatchID(fixture) }

// Gyms are the places to train as they are on the day, by slug.
func (tx *Tx) Gyms(day prescribe.Day) (gs []GymDef, err error) {
	defer wrap(&err, "gyms")
	rs, err := tx.gymSettings()
	if err != nil {
		return nil, err
	}
	for _, slug := range rs.slugs {
		g := GymDef{Slug: slug}
		if err := tx.row(`SELECT name FROM gym WHERE slug = ?`, slug).Scan(&g.Name); err != nil {
			return nil, err
		}
		room, _ := lastOf(rs.bySlug[slug], day)
		g.Setting = room.setting
		gs = append(gs, g)
	}
	return gs, nil
}

func (tx *Tx) isGym(slug string) (yes bool, err error) {
	err = tx.row(`SELECT EXISTS (SELECT 1 FROM gym WHERE slug = ?)`, slug).Scan(&yes)
	return yes, err
}

// Away is a time at another place, From to Until, both included. Equipment is a
// gym's slug; empty: nothing but the floor. Zone is the IANA zone there; empty:
// the usual one. An empty Place is the usual one again.
type Away struct {
	From, Until            prescribe.Day
	Place, Equipment, Zone string
}

// AwayOn is the time away that covers the day, if one does.
func (tx *Tx) AwayOn(person int64, day prescribe.Day) (a Away, ok bool, err error) {
	defer wrap(&err, "away of %d", person)
	as, err := all(tx, func(r scanner) (a Away, err error) {
		err = r.Scan(intoDay(&a.From), intoDay(&a.Until), &a.Place, &a.Equipment, &a.Zone)
		return a, err
	}, `SELECT from_day, until_day, place, gym, zone FROM away WHERE person = ? AND from_day <= ? AND until_day >= ? ORDER BY id DESC LIMIT 1`,
		person, day.String(), day.String())
	if err != nil || len(as) == 0 || as[0].Place == "" {
		return Away{}, false, err
	}
	return as[0], true, nil
}

// SetAway says that the player trains elsewhere. The days to be planned again
// are those from today on.
func (tx *Tx) SetAway(person int64, a Away, now prescribe.Instant) (replan []PersonDay, err error) {
	defer wrap(&err, "set away %d", person)
	if a.Until < a.From || a.Until-a.From > 366 {
		return nil, &Problem{What: fmt.Sprintf("%s to %s is no span of days", a.From, a.Until), Mend: "write the first day, then the last, at most a year later"}
	}
	if a.Equipment != "" {
		if there, err := tx.isGym(a.Equipment); err != nil {
			return nil, err
		} else if !there {
			return nil, &Problem{What: fmt.Sprintf("there is no gym %q", a.Equipment), Mend: "write the slug of a gym in club.toml, or none"}
		}
	}
	if a.Zone != "" {
		if _, err := Zone(a.Zone); err != nil {
			return nil, &Problem{What: fmt.Sprintf("%q is not a time zone", a.Zone), Mend: "write a name such as Europe/Dublin, or none"}
		}
	}
	if err := tx.exec(`INSERT INTO away (person, from_day, until_day, place, gym, zone, at) VALUES (?, ?, ?, ?, ?, ?, ?)`,
		person, a.From.String(), a.Until.String(), a.Place, a.Equipment, a.Zone, now); err != nil {
		return nil, err
	}
	today, err := tx.Today(person, now)
	if err != nil {
		return nil, err
	}
	// Days before and after it shift with the placement of the week.
	for d := max(today, a.From-7); d <= a.Until+7 && d <= today+windowAfter; d++ {
		replan = append(replan, PersonDay{person, d})
	}
	return replan, nil
}
