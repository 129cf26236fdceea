package store

import (
	"errors"
	"slices"
	"strings"

	"pegcard/prescribe"
)

// Viewer is somebody who asks to see a player's data. What the viewer may not
// see is ErrNotFound, as if it were not there.
type Viewer struct {
	Person int64
	Roles  []RoleAt
}

// May reports whether the viewer has one of roles in squad.
func (v Viewer) May(squad int64, roles ...Role) bool {
	return slices.ContainsFunc(v.Roles, func(a RoleAt) bool {
		return a.Squad == squad && slices.Contains(roles, a.Role)
	})
}

// Has reports whether the viewer has one of roles anywhere.
func (v Viewer) Has(roles ...Role) bool {
	return slices.ContainsFunc(v.Roles, func(a RoleAt) bool { return slices.Contains(roles, a.Role) })
}

// Viewer is the person with the roles of the day.
func (tx *Tx) Viewer(person int64, day prescribe.Day) (Viewer, error) {
	roles, err := tx.Roles(person, day)
	return Viewer{Person: person, Roles: roles}, err
}

// audiences is what each role reads. The administrator keeps the roster and
// reads no training or health data.
var audiences = map[Role]prescribe.Audience{
	RoleCoach:        prescribe.ForCoach,
	RoleMedical:      prescribe.ForMedical,
	RoleHeadCoach:    prescribe.ForHeadCoach,
	RoleSafeguarding: prescribe.ForSafeguarding,
}

// AudienceOf is who a role is in a reason's or notice's audience; 0 for roles
// that read none.
func AudienceOf(r Role) prescribe.Audience {
	if r == RolePlayer {
		return prescribe.ForPlayer
	}
	return audiences[r]
}

// Sees is what the viewer is to the player on the day; ErrNotFound when the
// player's data are none of the viewer's business. The safeguarding role
// covers under-18s only.
func (tx *Tx) Sees(v Viewer, person int64, day prescribe.Day) (a prescribe.Audience, err error) {
	defer wrap(&err, "data of %d", person)
	a, _, err = tx.sees(v, person, day)
	return a, err
}

func (tx *Tx) sees(v Viewer, person int64, day prescribe.Day) (a prescribe.Audience, youth bool, err error) {
	if youth, err = tx.underage(person, day); err != nil {
		return 0, false, err
	}
	if v.Person == person {
		a |= prescribe.ForPlayer
	}
	squad, ok, err := tx.SquadOf(person, day)
	if err != nil {
		return 0, false, err
	}
	if ok {
		for _, r := range v.Roles {
			if r.Squad == squad.ID && (r.Role != RoleSafeguarding || youth) {
				a |= audiences[r.Role]
			}
		}
	}
	if a == 0 {
		return 0, false, ErrNotFound
	}
	return a, youth, nil
}

// underage is true for under-18s and, where the date of birth is not known, for
// everybody in a youth squad.
func (tx *Tx) underage(person int64, day prescribe.Day) (bool, error) {
	years, ok, err := tx.Age(person, day)
	if err != nil {
		return false, err
	}
	if ok {
		return years < 18, nil
	}
	s, ok, err := tx.SquadOf(person, day)
	return ok && s.Youth, err
}

// FindPlayers are the players whose key, or a word of whose name, begins with
// query, in the squads that the viewer's roles cover, by (key, id). An empty
// query finds all.
func (tx *Tx) FindPlayers(v Viewer, query string, day prescribe.Day) (found []Person, err error) {
	defer wrap(&err, "find players")
	query = strings.ToLower(strings.TrimSpace(query))
	squads, err := tx.Squads()
	if err != nil {
		return nil, err
	}
	for _, s := range squads {
		all := v.May(s.ID, RoleCoach, RoleMedical, RoleHeadCoach, RoleAdmin)
		if !all && !v.May(s.ID, RoleSafeguarding) {
			continue
		}
		members, err := tx.Members(s.ID, day)
		if err != nil {
			return nil, err
		}
		for _, p := range members {
			if !matchesPrefix(p, query) {
				continue
			}
			if !all {
				if young, err := tx.underage(p.ID, day); err != nil {
					return nil, err
				} else if !young {
					continue
				}
			}
			found = append(found, p)
		}
	}
	slices.SortStableFunc(found, func(a, b Person) int {
		if c := compareKeys(a.Key, b.Key); c != 0 {
			return c
		}
		return int(a.ID - b.ID)
	})
	return slices.CompactFunc(found, func(a, b Person) bool { return a.ID == b.ID }), nil
}

func matchesPrefix(p Person, query string) bool {
	name := strings.ToLower(p.Name)
	return strings.HasPrefix(strings.ToLower(p.Key), query) || strings.HasPrefix(name, query) ||
		slices.ContainsFunc(strings.Fields(name), func(w string) bool { return strings.HasPrefix(w, query) })
}

// ViewCard is the day's card with the reasons the viewer may read. Pain
// questions are the player's and medical staff's; a coach of an under-18 is
// shown no scores.
func (tx *Tx) ViewCard(v Viewer, person int64, day prescribe.Day) (c CardRev, err error) {
	defer wrap(&err, "card of %d on %s", person, day)
	a, youth, err := tx.sees(v, person, day)
	if err != nil {
		return c, err
	}
	c, ok, err := tx.Card(person, day)
	if err != nil {
		return c, err
	}
	if !ok {
		return c, ErrNotFound
	}
	c.Card = filterCard(c.Card, a, youth)
	return c, nil
}

// MayRead reports whether any part of the reader's audience is meant.
func MayRead(see, reader prescribe.Audience) bool { return see&reader != 0 }

func filterCard(c prescribe.Card, a prescribe.Audience, youth bool) prescribe.Card {
	medical := MayRead(prescribe.ForPlayer|prescribe.ForMedical, a)
	filter := func(rs []prescribe.Reason) []prescribe.Reason {
		var out []prescribe.Reason
		for _, r := range rs {
			if !MayRead(r.See, a) {
				continue
			}
			if youth && !medical {
				r.Args = withoutScores(r.Args)
			}
			out = append(out, r)
		}
		return out
	}
	c.Reasons = filter(c.Reasons)
	c.Items = slices.Clone(c.Items)
	for i := range c.Items {
		c.Items[i].Reasons = filter(c.Items[i].Reasons)
	}
	if !medical {
		c.AskPain = nil
	}
	return c
}

func withoutScores(args []prescribe.Arg) []prescribe.Arg {
	var out []prescribe.Arg
	for _, a := range args {
		if a.Kind != prescribe.ArgScore {
			out = append(out, a)
		}
	}
	return out
}

// Restriction is a hold as its reader may see it. Of a medical one, others than
// the player and medical staff are told only that it stands, what it restricts
// and to whom to turn (AskMedical); the head coach not even the region.
type Restriction struct {
	prescribe.HoldView
	AskMedical bool
}

// ViewHolds is what is stopped or capped on the day.
func (tx *Tx) ViewHolds(v Viewer, person int64, day prescribe.Day) (rs []Restriction, err error) {
	defer wrap(&err, "holds of %d", person)
	a, _, err := tx.sees(v, person, day)
	if err != nil {
		return nil, err
	}
	s, err := tx.State(person)
	if err != nil {
		return nil, err
	}
	for _, h := range s.Held(day) {
		r := Restriction{HoldView: h}
		if !MayRead(prescribe.ForPlayer|prescribe.ForMedical, a) {
			if h.Medical || h.Cause != "hold" {
				r.AskMedical = true
				r.ID, r.Cause, r.Lapsed, r.Sign = "", "", false, ""
			}
			if !MayRead(prescribe.ForCoach, a) {
				r.Region, r.Side, r.MaxLoad = "", prescribe.Both, 0
			}
		}
		rs = append(rs, r)
	}
	return rs, nil
}

// Lifted is what a release of a place would lift.
type Lifted struct {
	Fever   bool // a stop for a fever
	Warning bool // a stop for any warning sign
	Pain    bool // a stop for pain
}

// Lifting is what medical staff would lift with a release of the region, ""
// for everything, out of what they see held.
func Lifting(rs []Restriction, region prescribe.Region) (x Lifted) {
	for _, r := range rs {
		if r.AskMedical || region != "" && r.Region != region {
			continue
		}
		switch r.Cause {
		case "warning":
			x.Warning = true
			x.Fever = x.Fever || r.Sign == prescribe.SignFever
		case "pain", "reported", "unanswered":
			x.Pain = true
		}
	}
	return x
}

// ViewEvents is the player's events of the civil days from..to that the viewer
// may read: medical staff and the player all; a strength coach sets, tests,
// sessions, matches, the profile, soreness (not an under-18's) and holds that
// are not medical. The head coach, safeguarding and the administrator read no
// events: ErrNotFound. Reading another's health data is written to the audit,
// so it wants a write transaction.
func (tx *Tx) ViewEvents(v Viewer, person int64, from, to prescribe.Day, now prescribe.Instant) (es []prescribe.Event, err error) {
	defer wrap(&err, "events of %d", person)
	a, youth, err := tx.sees(v, person, to)
	if err != nil {
		return nil, err
	}
	full := MayRead(prescribe.ForPlayer|prescribe.ForMedical, a)
	if !full && !MayRead(prescribe.ForCoach, a) {
		return nil, ErrNotFound
	}
	all, err := tx.Events(person, from, to)
	if err != nil {
		return nil, err
	}
	health := false
	for _, e := range all {
		if !full {
			if !coachMayRead(e, youth) {
				continue
			}
			if e.Session != nil && (e.Session.Reason == prescribe.AbsentPain || e.Session.Reason == prescribe.AbsentIll) {
				s := *e.Session
				s.Reason = prescribe.AbsentOther
				e.Session = &s
			}
		}
		health = health || isHealth(e)
		es = append(es, e)
	}
	if health && v.Person != person {
		err = tx.Audit(v.Person, person, "read", "health "+from.String()+".."+to.String(), now)
	}
	return es, err
}

func isHealth(e prescribe.Event) bool {
	return e.Pain != nil || e.Warning != nil || e.Soreness != nil || e.Hold != nil || e.Release != nil
}

func coachMayRead(e prescribe.Event, youth bool) bool {
	switch {
	case e.Pain != nil, e.Warning != nil:
		return false
	case e.Hold != nil:
		return !e.Hold.Medical
	case e.Release != nil:
		return !e.Release.Medical
	case e.Soreness != nil:
		return !youth
	}
	return true
}

// ChatEntry is one message of a chat without its content.
type ChatEntry struct {
	At     prescribe.Instant
	Kind   string // of the message sent, or "answer"
	ToThem bool   // from the bot to the player
}

// ViewChat is the traffic of an under-18's chat in from..to, oldest first, for
// the safeguarding role: what kind of message when, no scores and no text.
func (tx *Tx) ViewChat(v Viewer, person int64, from, to prescribe.Instant, day prescribe.Day) (cs []ChatEntry, err error) {
	defer wrap(&err, "chat of %d", person)
	a, _, err := tx.sees(v, person, day)
	if err != nil {
		return nil, err
	}
	if !MayRead(prescribe.ForSafeguarding|prescribe.ForPlayer, a) {
		return nil, ErrNotFound
	}
	return all(tx, func(r scanner) (c ChatEntry, err error) {
		err = r.Scan(&c.At, &c.Kind, &c.ToThem)
		return c, err
	}, `
SELECT at, kind, 1 FROM message WHERE recipient = ?1 AND at BETWEEN ?2 AND ?3
UNION ALL
SELECT received_at, 'answer', 0 FROM entry e WHERE person = ?1 AND received_at BETWEEN ?2 AND ?3
  AND (source LIKE 'msg:%' OR source LIKE 'card:%' OR source LIKE 'sore:%' OR source LIKE 'pain:%')
  AND NOT EXISTS (SELECT 1 FROM session_report s WHERE s.entry = e.id AND s.outcome = 'no_answer')
ORDER BY 1, 3, 2`, person, from, to)
}

// Audit appends who did what to whose data, by pseudonym. An actor of 0 is the
// program itself. The detail must name nobody.
func (tx *Tx) Audit(actor, subject int64, action, detail string, now prescribe.Instant) (err error) {
	defer wrap(&err, "audit")
	if action == "" {
		return errors.New("no action")
	}
	return tx.exec(`INSERT INTO audit (at, actor, target, action, detail) VALUES (?,
  COALESCE((SELECT pseudo FROM person WHERE id = ?), ''), COALESCE((SELECT pseudo FROM person WHERE id = ?), ''), ?, ?)`,
		now, actor, subject, action, detail)
}
