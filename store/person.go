package store

import (
	"database/sql"
	"encoding/hex"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"pegcard/prescribe"
)

// Club is the club itself.
type Club struct {
	Name      string
	Zone      string // IANA
	Language  string // BCP 47
	Emergency string // the local emergency number
}

// Person is a player or a member of staff.
type Person struct {
	ID        int64
	Key       string // the club's own id
	Pseudo    string // stands for the person in logs and the audit
	Name      string
	Language  string // BCP 47, never empty
	Zone      string // IANA, never empty; of the day asked for, else the latest
	Chat      int64  // 0: not joined
	Reachable bool
	Left      bool
	Phone     string // of staff, as it is shown; empty: none
}

// RoleAt is a role in a squad.
type RoleAt struct {
	Role  Role
	Squad int64
}

// Squad is a squad as stored; an empty Zone has become the club's.
type Squad struct {
	ID int64
	SquadDef
}

// zoneOn is the zone of person p on the civil date that is the parameter: where
// they are away, else their own, the squad's, the club's.
func zoneOn(param string) string {
	return `COALESCE(
    NULLIF((SELECT a.zone FROM away a WHERE a.person = p.id AND a.from_day <= ` + param + ` AND a.until_day >= ` + param + `
      ORDER BY a.id DESC LIMIT 1), ''),
    NULLIF((SELECT z.zone FROM person_zone z WHERE z.person = p.id AND z.from_day <= ` + param + `
      ORDER BY z.from_day DESC LIMIT 1), ''),
    NULLIF((SELECT zs.zone FROM membership zm JOIN squad zs ON zs.id = zm.squad
      WHERE zm.person = p.id AND zm.from_day <= ` + param + ` ORDER BY zm.from_day DESC, zm.id DESC LIMIT 1), ''),
    (SELECT zone FROM club), 'UTC')`
}

// selectPerson takes the civil date (or lastDay) as its first argument. By
// lastDay nobody is away.
var selectPerson = `
SELECT p.id, p.key, p.pseudo, p.name,
  COALESCE(NULLIF(p.language, ''), (SELECT language FROM club), 'en'),
  ` + zoneOn("?1") + `,
  COALESCE(p.chat, 0), p.reachable, p.left_at IS NOT NULL, p.phone
FROM person p `

func scanPerson(r scanner) (p Person, err error) {
	err = r.Scan(&p.ID, &p.Key, &p.Pseudo, &p.Name, &p.Language, &p.Zone, &p.Chat, &p.Reachable, &p.Left, &p.Phone)
	return p, err
}

// Person is the person of that id.
func (tx *Tx) Person(id int64) (p Person, err error) {
	defer wrap(&err, "person %d", id)
	return scanPerson(tx.row(selectPerson+`WHERE p.id = ?2 AND p.erased_at IS NULL`, lastDay, id))
}

// PersonByUser is who joined with that chat account.
func (tx *Tx) PersonByUser(userID int64) (p Person, err error) {
	defer wrap(&err, "person of an account") // the number is a person's
	return scanPerson(tx.row(selectPerson+`WHERE p.user_id = ?2`, lastDay, userID))
}

// PersonByKey is the person with the club's own id.
func (tx *Tx) PersonByKey(key string) (p Person, err error) {
	defer wrap(&err, "person of a key") // it may be anything that was typed
	return scanPerson(tx.row(selectPerson+`WHERE p.key = ?2 AND p.erased_at IS NULL`, lastDay, key))
}

// Roles are what the person is on the day, by (role, squad).
func (tx *Tx) Roles(person int64, day prescribe.Day) (roles []RoleAt, err error) {
	defer wrap(&err, "roles of %d", person)
	return all(tx, func(r scanner) (a RoleAt, err error) {
		err = r.Scan(&a.Role, &a.Squad)
		return a, err
	}, `
SELECT ?, squad FROM membership
  WHERE person = ? AND from_day <= ? AND (until_day = '' OR until_day >= ?)
UNION
SELECT role, squad FROM staff_role
  WHERE person = ? AND from_day <= ? AND (until_day = '' OR until_day >= ?)
ORDER BY 1, 2`, RolePlayer, person, day.String(), day.String(), person, day.String(), day.String())
}

const selectSquad = `
SELECT id, slug, name, COALESCE(NULLIF(zone, ''), (SELECT zone FROM club), 'UTC'), youth, gym,
  cards_at, evening_at, digest_at, strength_at, cut_off, quiet_from, quiet_to,
  review, unapproved, off_days, pitch_days, md1_option, weekly_on, monthly
FROM squad `

func scanSquad(r scanner) (s Squad, err error) {
	var off, pitch string
	err = r.Scan(&s.ID, &s.Slug, &s.Name, &s.Zone, &s.Youth, &s.Gym,
		&s.CardsAt, &s.EveningAt, &s.DigestAt, &s.StrengthAt, &s.CutOff, &s.QuietFrom, &s.QuietTo,
		&s.Review, &s.Unapproved, &off, &pitch, &s.MD1Option, &s.WeeklyOn, &s.Monthly)
	if err != nil {
		return s, err
	}
	if s.OffDays, err = parseWeekdays(off); err != nil {
		return s, err
	}
	s.PitchDays, err = parseWeekdays(pitch)
	return s, err
}

func formatWeekdays(ds []time.Weekday) string {
	ds = slices.Clone(ds)
	slices.Sort(ds)
	var b strings.Builder
	for i, d := range slices.Compact(ds) {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString(strconv.Itoa(int(d)))
	}
	return b.String()
}

func parseWeekdays(s string) ([]time.Weekday, error) {
	if s == "" {
		return nil, nil
	}
	var out []time.Weekday
	for f := range strings.SplitSeq(s, ",") {
		n, err := strconv.Atoi(f)
		if err != nil || n < 0 || n > 6 {
			return nil, fmt.Errorf("weekdays are stored as %q", s)
		}
		out = append(out, time.Weekday(n))
	}
	return out, nil
}

// Squads are all squads, by slug.
func (tx *Tx) Squads() (ss []Squad, err error) {
	defer wrap(&err, "squads")
	known, err := tx.sharedSquads()
	for _, s := range known {
		ss = append(ss, s.clone())
	}
	return ss, err
}

// Squad is the squad of that id.
func (tx *Tx) Squad(id int64) (s Squad, err error) {
	defer wrap(&err, "squad %d", id)
	return tx.squadWith(func(s *Squad) bool { return s.ID == id })
}

// SquadBySlug is the squad with that slug.
func (tx *Tx) SquadBySlug(slug string) (s Squad, err error) {
	defer wrap(&err, "squad %q", slug)
	return tx.squadWith(func(s *Squad) bool { return s.Slug == slug })
}

func (tx *Tx) squadWith(is func(*Squad) bool) (Squad, error) {
	known, err := tx.sharedSquads()
	if err != nil {
		return Squad{}, err
	}
	for i := range known {
		if is(&known[i]) {
			return known[i].clone(), nil
		}
	}
	return Squad{}, sql.ErrNoRows // which wrap turns into ErrNotFound
}

// Members are the squad's players on the day, by key: numbers by value, before
// words.
func (tx *Tx) Members(squad int64, day prescribe.Day) (ps []Person, err error) {
	defer wrap(&err, "members of squad %d", squad)
	// From the squad to its people: a club may have many squads.
	ps, err = all(tx, scanPerson, selectPerson+`
JOIN (SELECT DISTINCT person FROM membership WHERE squad = ?2 AND from_day <= ?1 AND (until_day = '' OR until_day >= ?1)) m
ON m.person = p.id WHERE p.left_at IS NULL AND p.erased_at IS NULL`,
		day.String(), squad)
	if err != nil {
		return nil, err
	}
	slices.SortFunc(ps, func(a, b Person) int { return compareKeys(a.Key, b.Key) })
	return ps, nil
}

// compareKeys puts shirt number 9 before 10.
func compareKeys(a, b string) int {
	na, ea := strconv.Atoi(a)
	nb, eb := strconv.Atoi(b)
	switch {
	case ea == nil && eb == nil && na != nb:
		return na - nb
	case ea == nil && eb != nil:
		return -1
	case ea != nil && eb == nil:
		return 1
	}
	return strings.Compare(a, b)
}

// Staff are those with the role in the squad on the day, in the order they are
// to be asked.
func (tx *Tx) Staff(squad int64, role Role, day prescribe.Day) (ps []Person, err error) {
	defer wrap(&err, "staff of squad %d", squad)
	return all(tx, scanPerson, selectPerson+`
JOIN staff_role r ON r.person = p.id
WHERE p.left_at IS NULL AND p.erased_at IS NULL AND r.squad = ?2 AND r.role = ?3
  AND r.from_day <= ?1 AND (r.until_day = '' OR r.until_day >= ?1)
ORDER BY r.ord, p.id`, day.String(), squad, role)
}

// SquadOf is the squad the person plays in on the day.
func (tx *Tx) SquadOf(person int64, day prescribe.Day) (s Squad, ok bool, err error) {
	defer wrap(&err, "squad of %d", person)
	ids, err := all(tx, one[int64], `
SELECT squad FROM membership WHERE person = ? AND from_day <= ? AND (until_day = '' OR until_day >= ?)
ORDER BY from_day DESC, id DESC LIMIT 1`, person, day.String(), day.String())
	if err != nil || len(ids) == 0 {
		return s, false, err
	}
	s, err = tx.Squad(ids[0])
	return s, err == nil, err
}

// LastSquad is the squad the person plays in on the day, or the last one
// before it.
func (tx *Tx) LastSquad(person int64, day prescribe.Day) (s Squad, ok bool, err error) {
	defer wrap(&err, "last squad of %d", person)
	ids, err := all(tx, one[int64], `
SELECT squad FROM membership WHERE person = ? AND from_day <= ?
ORDER BY from_day DESC, id DESC LIMIT 1`, person, day.String())
	if err != nil || len(ids) == 0 {
		return s, false, err
	}
	s, err = tx.Squad(ids[0])
	return s, err == nil, err
}

// Age is in whole years; ok is false when the date of birth is not known. Who
// is born on 29 February has the birthday on 1 March in other years.
func (tx *Tx) Age(person int64, day prescribe.Day) (_ int, ok bool, err error) {
	defer wrap(&err, "age of %d", person)
	p, ok, err := tx.profile(person)
	if err != nil || !ok || p.Born == 0 {
		return 0, false, err
	}
	return years(p.Born, day), true, nil
}

func years(born, day prescribe.Day) int {
	b, d := born.Time(), day.Time()
	n := d.Year() - b.Year()
	if d.Month() < b.Month() || d.Month() == b.Month() && d.Day() < b.Day() {
		n--
	}
	return n
}

// profile is the latest one recorded.
func (tx *Tx) profile(person int64) (prescribe.Profile, bool, error) {
	ps, err := all(tx, func(r scanner) (p prescribe.Profile, err error) {
		err = r.Scan(intoDay(&p.Born), &p.BodyMass, &p.TrainingAge, &p.YouthSignOff)
		return p, err
	}, `
SELECT e.born, e.body_mass, e.training_age, e.youth_sign_off FROM profile e
WHERE e.person = ? AND NOT EXISTS (SELECT 1 FROM entry n WHERE n.replaces = e.entry)
ORDER BY e.at DESC, e.key DESC LIMIT 1`, person)
	if err != nil || len(ps) == 0 {
		return prescribe.Profile{}, false, err
	}
	return ps[0], true, nil
}

// ZoneOn is the time zone the person's days are counted in on the day.
func (tx *Tx) ZoneOn(person int64, day prescribe.Day) (zone string, err error) {
	defer wrap(&err, "zone of %d", person)
	p, err := scanPerson(tx.row(selectPerson+`WHERE p.id = ?2`, day.String(), person))
	return p.Zone, err
}

// ZoneAt is the time zone where the person is at now.
func (tx *Tx) ZoneAt(person int64, now prescribe.Instant) (zone string, err error) {
	// The zone depends on the date and the date on the zone: the zone of the
	// date in UTC is right but for the first hours after a change of zone.
	return tx.ZoneOn(person, prescribe.DayOf(now.Time()))
}

// Today is the person's civil date at now.
func (tx *Tx) Today(person int64, now prescribe.Instant) (day prescribe.Day, err error) {
	defer wrap(&err, "date of %d", person)
	zone, err := tx.ZoneAt(person, now)
	if err != nil {
		return 0, err
	}
	return dayIn(now, zone)
}

func dayIn(now prescribe.Instant, zone string) (prescribe.Day, error) {
	loc, err := Zone(zone)
	if err != nil {
		return 0, err
	}
	return prescribe.DayOf(now.Time().In(loc)), nil
}

// SetZone dates a change of the person's zone; an empty zone is the squad's again.
func (tx *Tx) SetZone(person int64, zone string, from prescribe.Day) (err error) {
	defer wrap(&err, "set zone of %d", person)
	if zone != "" {
		if _, err := Zone(zone); err != nil {
			return &Problem{What: fmt.Sprintf("%q is not a time zone", zone), Mend: "write a name such as Europe/Dublin"}
		}
	}
	return tx.exec(`INSERT INTO person_zone (person, from_day, zone) VALUES (?, ?, ?)
ON CONFLICT (person, from_day) DO UPDATE SET zone = excluded.zone`, person, from.String(), zone)
}

// SetLanguage is the person's own choice of the language they are written to
// in; imports leave it alone from then on.
func (tx *Tx) SetLanguage(person int64, lang string) (err error) {
	defer wrap(&err, "set language of %d", person)
	return tx.touched(`UPDATE person SET language = ?, chosen = 1 WHERE id = ? AND erased_at IS NULL`, lang, person)
}

// SetReachable notes whether messages get through to the chat.
func (tx *Tx) SetReachable(chat int64, reachable bool) (err error) {
	defer wrap(&err, "set reachable")
	return tx.touched(`UPDATE person SET reachable = ? WHERE chat = ?`, reachable, chat)
}

// SetChat follows a chat that changed its id, with what waits to be sent to it.
func (tx *Tx) SetChat(from, to int64) (err error) {
	defer wrap(&err, "set chat")
	for _, q := range []string{
		`INSERT INTO person_account (person, user_id, chat) SELECT id, user_id, ? FROM person WHERE chat = ? AND user_id IS NOT NULL ON CONFLICT DO NOTHING`,
		`UPDATE person SET chat = ? WHERE chat = ?`,
		`UPDATE outbox SET chat = ? WHERE chat = ? AND state IN ('pending', 'claimed')`,
		`UPDATE message SET chat = ? WHERE chat = ?`,
		`UPDATE OR REPLACE dialog SET chat = ? WHERE chat = ?`,
	} {
		if err := tx.exec(q, to, from); err != nil {
			return err
		}
	}
	return nil
}

// HasLeft reports whether the account is that of somebody who was in the club
// and has left it.
func (tx *Tx) HasLeft(userID int64) (yes bool, err error) {
	defer wrap(&err, "who has left")
	err = tx.row(`SELECT EXISTS (SELECT 1 FROM person_account a JOIN person p ON p.id = a.person
WHERE a.user_id = ? AND p.user_id IS NULL AND p.left_at IS NOT NULL AND p.erased_at IS NULL)`, userID).Scan(&yes)
	return yes, err
}

// Leave ends the person's roles and membership and forgets the chat. Records
// stay until they are erased.
func (tx *Tx) Leave(person int64, now prescribe.Instant) (err error) {
	defer wrap(&err, "leave %d", person)
	today, err := tx.Today(person, now)
	if err != nil {
		return err
	}
	yesterday := (today - 1).String()
	if err := tx.exec(`DELETE FROM dialog WHERE chat = (SELECT chat FROM person WHERE id = ?)`, person); err != nil {
		return err
	}
	if err := tx.touched(`UPDATE person SET left_at = ?, user_id = NULL, chat = NULL WHERE id = ?`, now, person); err != nil {
		return err
	}
	for _, q := range []string{
		`DELETE FROM membership WHERE person = ?2 AND from_day > ?1`,
		`DELETE FROM staff_role WHERE person = ?2 AND from_day > ?1`,
		`UPDATE membership SET until_day = ?1 WHERE person = ?2 AND (until_day = '' OR until_day > ?1)`,
		`UPDATE staff_role SET until_day = ?1 WHERE person = ?2 AND (until_day = '' OR until_day > ?1)`,
	} {
		if err := tx.exec(q, yesterday, person); err != nil {
			return err
		}
	}
	return tx.exec(`UPDATE outbox SET state = 'buried', `+blankArgs+`, reason = 'left', settled_at = ?
WHERE recipient = ? AND state IN ('pending', 'claimed')`, now, person)
}

// touched is exec of a statement that has to find its row.
func (tx *Tx) touched(q string, args ...any) error {
	n, err := tx.changed(q, args...)
	if err == nil && n == 0 {
		err = ErrNotFound
	}
	return err
}

// addPerson makes a person with a pseudonym of its own.
func (tx *Tx) addPerson(key, name, language string) (int64, error) {
	var b [8]byte
	if _, err := io.ReadFull(tx.s.rand, b[:]); err != nil {
		return 0, fmt.Errorf("pseudonym: %w", err)
	}
	return tx.insert(`INSERT INTO person (key, pseudo, name, language) VALUES (?, ?, ?, ?)`,
		key, "p"+hex.EncodeToString(b[:]), name, language)
}
