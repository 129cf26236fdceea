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
	squads    *[]Squad             // by slug
	fixtures  *map[int64][]Fixture // by squad, all that are not cancelled, by (kick-off, id)
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

// kept is the part of the common data that slot names, read when it is first
// asked for. A reading that fails is tried again the next time.
func kept[T any](tx *Tx, slot func(*shared) **T, read func() (T, error)) (T, error) {
	var none T
	c, err := tx.shared()
	if err != nil {
		return none, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	p := slot(c)
	if *p == nil {
		v, err := read()
		if err != nil {
			return none, err
		}
		*p = &v
	}
	return **p, nil
}

// Rules are the club's, with their hash; the defaults before any were imported.
func (tx *Tx) Rules() (_ prescribe.Rules, hash string, err error) {
	defer wrap(&err, "rules")
	r, err := tx.sharedRules()
	return r.rules, r.hash, err
}

func (tx *Tx) sharedRules() (sharedRules, error) {
	return kept(tx, func(c *shared) **sharedRules { return &c.rules }, func() (r sharedRules, err error) {
		found, err := all(tx, one[string], `
SELECT v.rules FROM rules_use u JOIN rules_version v ON v.hash = u.hash ORDER BY u.id DESC LIMIT 1`)
		if err != nil {
			return r, err
		}
		if len(found) > 0 {
			if err := json.Unmarshal([]byte(found[0]), &r.rules); err != nil {
				return r, err
			}
		}
		r.hash = r.rules.Hash()
		if r.md1, err = r.rules.With("place.md1_option", 1); err != nil {
			return r, err
		}
		r.md1Hash = r.md1.Hash()
		return r, nil
	})
}

// rulesFor are the club's with what the player's squad chose.
func (tx *Tx) rulesFor(squad Squad) (_ prescribe.Rules, hash string, err error) {
	r, err := tx.sharedRules()
	if squad.MD1Option {
		return r.md1, r.md1Hash, err
	}
	return r.rules, r.hash, err
}

// Programme is the coach's, with its hash; empty before any was imported.
func (tx *Tx) Programme() (_ prescribe.Programme, hash string, err error) {
	defer wrap(&err, "programme")
	p, err := tx.sharedProgramme()
	return p.programme, p.hash, err
}

func (tx *Tx) sharedProgramme() (sharedProgramme, error) {
	return kept(tx, func(c *shared) **sharedProgramme { return &c.programme }, func() (p sharedProgramme, err error) {
		found, err := all(tx, one[string], `
SELECT v.programme FROM programme_use u JOIN programme_version v ON v.hash = u.hash ORDER BY u.id DESC LIMIT 1`)
		if err != nil {
			return p, err
		}
		if len(found) > 0 {
			if err := json.Unmarshal([]byte(found[0]), &p.programme); err != nil {
				return p, err
			}
		}
		p.text, p.hash, err = programmeText(p.programme)
		return p, err
	})
}

// Club is the club; ErrNotFound before the first import.
func (tx *Tx) Club() (_ Club, err error) {
	defer wrap(&err, "club")
	return kept(tx, func(c *shared) **Club { return &c.club }, func() (c Club, err error) {
		err = tx.row(`SELECT name, zone, language, emergency FROM club`).Scan(&c.Name, &c.Zone, &c.Language, &c.Emergency)
		return c, err
	})
}

// sharedSquads are all squads, by slug; not to be changed.
func (tx *Tx) sharedSquads() ([]Squad, error) {
	return kept(tx, func(c *shared) **[]Squad { return &c.squads }, func() ([]Squad, error) {
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
		return ss, nil
	})
}

// clone keeps what is shared from being changed.
func (s Squad) clone() Squad {
	s.Phases, s.OffDays, s.PitchDays = slices.Clone(s.Phases), slices.Clone(s.OffDays), slices.Clone(s.PitchDays)
	return s
}

// sharedFixtures are all of the squad that are not cancelled, by (kick-off,
// id); not to be changed.
func (tx *Tx) sharedFixtures(squad int64) ([]Fixture, error) {
	of, err := kept(tx, func(c *shared) **map[int64][]Fixture { return &c.fixtures }, func() (map[int64][]Fixture, error) {
		fs, err := all(tx, scanFixture, selectFixture+`WHERE NOT cancelled ORDER BY kickoff_at, id`)
		of := map[int64][]Fixture{}
		for _, f := range fs {
			of[f.Squad] = append(of[f.Squad], f)
		}
		return of, err
	})
	return of[squad], err
}

// gymSettings are all gyms as they are and were; not to be changed.
func (tx *Tx) gymSettings() (*rooms, error) {
	rs, err := kept(tx, func(c *shared) **rooms { return &c.rooms }, tx.readRooms)
	return &rs, err
}
