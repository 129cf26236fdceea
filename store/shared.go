package store

import (
	"encoding/json"
	"regexp"
	"slices"
	"sync"

	"pegcard/prescribe"
)

// shared is what all players of the club have in common, read once for each
// version of it. Triggers count club_version up with every change of the tables
// it comes from, in the transaction that makes the change, so a snapshot and
// its version always belong together; another process counts too.
//
// Nothing in it is ever changed: readers get clones of what they might change.
type shared struct {
	version int64

	mu        sync.Mutex
	club      *Club
	rules     *sharedRules
	programme *sharedProgramme
	rooms     *rooms
	squads    []Squad             // by slug; nil: not read yet
	fixtures  map[int64][]Fixture // by squad, all that are not cancelled, by (kick-off, id)
}

// clubTables are those whose changes the triggers of club_version count.
var clubTables = regexp.MustCompile(`\b(club|squad|phase|gym|gym_setting|fixture|programme_use|rules_use)\b`)

var touching sync.Map // query → bool

// touchesClub reports whether a statement may change what club_version counts:
// it would have to name the table.
func touchesClub(q string) bool {
	if v, ok := touching.Load(q); ok {
		return v.(bool)
	}
	v := clubTables.MatchString(q)
	touching.Store(q, v)
	return v
}

type sharedRules struct {
	rules, md1    prescribe.Rules // the club's, and with the option that a squad may choose
	hash, md1Hash string
}

type sharedProgramme struct {
	programme  prescribe.Programme
	text, hash string
}

// clubVersion is the version this transaction sees.
func (tx *Tx) clubVersion() (v int64, err error) {
	err = tx.row(`SELECT n FROM club_version`).Scan(&v)
	return v, err
}

// shared is the club's common data as this transaction sees them. What a
// transaction has changed itself is read anew for it alone: it may still be
// rolled back, and the next change would get the same number.
func (tx *Tx) shared() (*shared, error) {
	if tx.common != nil && !tx.wrote {
		return tx.common, nil
	}
	v, err := tx.clubVersion()
	if err != nil {
		return nil, err
	}
	tx.wrote = false
	if tx.common != nil && tx.common.version == v {
		return tx.common, nil
	}
	if v == tx.began {
		tx.s.commonMu.Lock()
		defer tx.s.commonMu.Unlock()
		if tx.s.common == nil || tx.s.common.version < v {
			tx.s.common = &shared{version: v}
		}
		if tx.s.common.version == v {
			tx.common = tx.s.common
			return tx.common, nil
		}
	}
	tx.common = &shared{version: v}
	return tx.common, nil
}

// Rules are the club's, with their hash; the defaults before any were imported.
func (tx *Tx) Rules() (_ prescribe.Rules, hash string, err error) {
	defer wrap(&err, "rules")
	r, err := tx.sharedRules()
	if err != nil {
		return prescribe.Rules{}, "", err
	}
	return r.rules, r.hash, nil
}

func (tx *Tx) sharedRules() (*sharedRules, error) {
	c, err := tx.shared()
	if err != nil {
		return nil, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.rules != nil {
		return c.rules, nil
	}
	found, err := all(tx, one[string], `
SELECT v.rules FROM rules_use u JOIN rules_version v ON v.hash = u.hash ORDER BY u.id DESC LIMIT 1`)
	if err != nil {
		return nil, err
	}
	var r sharedRules
	if len(found) > 0 {
		if err := json.Unmarshal([]byte(found[0]), &r.rules); err != nil {
			return nil, err
		}
	}
	r.hash = r.rules.Hash()
	if r.md1, err = r.rules.With("place.md1_option", 1); err != nil {
		return nil, err
	}
	r.md1Hash = r.md1.Hash()
	c.rules = &r
	return c.rules, nil
}

// rulesFor are the club's with what the player's squad chose.
func (tx *Tx) rulesFor(squad Squad) (_ prescribe.Rules, hash string, err error) {
	r, err := tx.sharedRules()
	if err != nil {
		return prescribe.Rules{}, "", err
	}
	if squad.MD1Option {
		return r.md1, r.md1Hash, nil
	}
	return r.rules, r.hash, nil
}

// Programme is the coach's, with its hash; empty before any was imported.
func (tx *Tx) Programme() (_ prescribe.Programme, hash string, err error) {
	defer wrap(&err, "programme")
	p, err := tx.sharedProgramme()
	if err != nil {
		return prescribe.Programme{}, "", err
	}
	return p.programme, p.hash, nil
}

func (tx *Tx) sharedProgramme() (*sharedProgramme, error) {
	c, err := tx.shared()
	if err != nil {
		return nil, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.programme != nil {
		return c.programme, nil
	}
	found, err := all(tx, one[string], `
SELECT v.programme FROM programme_use u JOIN programme_version v ON v.hash = u.hash ORDER BY u.id DESC LIMIT 1`)
	if err != nil {
		return nil, err
	}
	var p sharedProgramme
	if len(found) > 0 {
		if err := json.Unmarshal([]byte(found[0]), &p.programme); err != nil {
			return nil, err
		}
	}
	if p.text, p.hash, err = programmeText(p.programme); err != nil {
		return nil, err
	}
	c.programme = &p
	return c.programme, nil
}

// Club is the club; ErrNotFound before the first import.
func (tx *Tx) Club() (_ Club, err error) {
	defer wrap(&err, "club")
	c, err := tx.shared()
	if err != nil {
		return Club{}, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.club == nil {
		var club Club
		if err := tx.row(`SELECT name, zone, language, emergency FROM club`).
			Scan(&club.Name, &club.Zone, &club.Language, &club.Emergency); err != nil {
			return Club{}, err
		}
		c.club = &club
	}
	return *c.club, nil
}

// sharedSquads are all squads, by slug; not to be changed.
func (tx *Tx) sharedSquads() ([]Squad, error) {
	c, err := tx.shared()
	if err != nil {
		return nil, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.squads != nil {
		return c.squads, nil
	}
	ss, err := all(tx, scanSquad, selectSquad+`ORDER BY slug`)
	if err != nil {
		return nil, err
	}
	type row struct {
		squad int64
		p     PhaseDef
	}
	phases, err := all(tx, func(r scanner) (x row, err error) {
		err = r.Scan(&x.squad, &x.p.Phase, intoDay(&x.p.From), intoDay(&x.p.To))
		return x, err
	}, `SELECT squad, phase, from_day, until_day FROM phase ORDER BY from_day, id`)
	if err != nil {
		return nil, err
	}
	of := map[int64][]PhaseDef{}
	for _, x := range phases {
		of[x.squad] = append(of[x.squad], x.p)
	}
	for i := range ss {
		ss[i].Phases = of[ss[i].ID]
	}
	if ss == nil {
		ss = []Squad{}
	}
	c.squads = ss
	return ss, nil
}

// clone keeps what is shared from being changed.
func (s Squad) clone() Squad {
	s.Phases, s.OffDays, s.PitchDays = slices.Clone(s.Phases), slices.Clone(s.OffDays), slices.Clone(s.PitchDays)
	return s
}

// sharedFixtures are all of the squad that are not cancelled, by (kick-off,
// id); not to be changed.
func (tx *Tx) sharedFixtures(squad int64) ([]Fixture, error) {
	c, err := tx.shared()
	if err != nil {
		return nil, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if fs, ok := c.fixtures[squad]; ok {
		return fs, nil
	}
	fs, err := all(tx, scanFixture, selectFixture+`WHERE squad = ? AND NOT cancelled ORDER BY kickoff_at, id`, squad)
	if err != nil {
		return nil, err
	}
	if c.fixtures == nil {
		c.fixtures = map[int64][]Fixture{}
	}
	c.fixtures[squad] = fs
	return fs, nil
}

// gymSettings are all gyms as they are and were; not to be changed.
func (tx *Tx) gymSettings() (*rooms, error) {
	c, err := tx.shared()
	if err != nil {
		return nil, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.rooms == nil {
		rs, err := tx.readRooms()
		if err != nil {
			return nil, err
		}
		c.rooms = &rs
	}
	return c.rooms, nil
}
