package store

import (
	"cmp"
	"fmt"
	"slices"

	"pegcard/prescribe"
)

// Fixture is a match or a trip of a squad.
type Fixture struct {
	ID           int64
	Squad        int64
	UID          string // of the calendar it came from
	Recurrence   string
	Summary      string
	Day          prescribe.Day
	Kickoff, End prescribe.Instant // 12:00 of the day and two hours later when not known
	Known        bool
	Travel       bool          // a trip: Day..Until away from the gym
	Until        prescribe.Day // of a trip
	Cancelled    bool
}

// PersonDay is a player's day that has to be planned again.
type PersonDay struct {
	Person int64
	Day    prescribe.Day
}

const selectFixture = `
SELECT id, squad, uid, recurrence, summary, day, kickoff_at, end_at, known, travel, until_day, cancelled FROM fixture `

func scanFixture(r scanner) (f Fixture, err error) {
	err = r.Scan(&f.ID, &f.Squad, &f.UID, &f.Recurrence, &f.Summary, intoDay(&f.Day), &f.Kickoff, &f.End,
		&f.Known, &f.Travel, intoDay(&f.Until), &f.Cancelled)
	return f, err
}

// Fixtures are those of the squad that are not cancelled and touch from..to, by
// (kick-off, id).
func (tx *Tx) Fixtures(squad int64, from, to prescribe.Day) (fs []Fixture, err error) {
	defer wrap(&err, "fixtures of squad %d", squad)
	known, err := tx.sharedFixtures(squad)
	for _, f := range known {
		if f.Day <= to && (f.Day >= from || f.Travel && f.Until >= from) {
			fs = append(fs, f)
		}
	}
	return fs, err
}

// Fixture is the fixture of that id, cancelled or not.
func (tx *Tx) Fixture(id int64) (f Fixture, err error) {
	defer wrap(&err, "fixture %d", id)
	return scanFixture(tx.row(selectFixture+`WHERE id = ?`, id))
}

// MoveFixture gives the fixture another day and time; the end moves along. The
// days that have to be planned again are returned.
func (tx *Tx) MoveFixture(id int64, day prescribe.Day, kickoff prescribe.Instant, known bool, by int64, now prescribe.Instant) (replan []PersonDay, err error) {
	defer wrap(&err, "move fixture %d", id)
	was, err := tx.Fixture(id)
	if err != nil {
		return nil, err
	}
	f := was
	f.Day, f.Kickoff, f.Known = day, kickoff, known
	f.End += kickoff - was.Kickoff
	if f.Travel {
		f.Until += day - was.Day
	}
	return tx.changeFixture(was, f, by, now)
}

// CancelFixture takes the fixture off.
func (tx *Tx) CancelFixture(id, by int64, now prescribe.Instant) (replan []PersonDay, err error) {
	defer wrap(&err, "cancel fixture %d", id)
	was, err := tx.Fixture(id)
	if err != nil {
		return nil, err
	}
	f := was
	f.Cancelled = true
	return tx.changeFixture(was, f, by, now)
}

// AddFixture adds a match or trip by hand; no import takes it off.
func (tx *Tx) AddFixture(f Fixture, by int64, now prescribe.Instant) (id int64, replan []PersonDay, err error) {
	defer wrap(&err, "add fixture")
	if f.UID == "" {
		f.UID = fmt.Sprintf("by-hand-%d-%s", now, f.Summary)
	}
	if id, err = tx.insertFixture(f, ""); err != nil {
		return 0, nil, err
	}
	if err := tx.logChange(Change{Kind: "fixture", What: f.Summary, To: fixtureText(f)}, by, 0, now); err != nil {
		return 0, nil, err
	}
	replan, err = tx.affected(now, f)
	return id, replan, err
}

func (tx *Tx) insertFixture(f Fixture, source string) (int64, error) {
	return tx.insert(`INSERT INTO fixture (squad, source, uid, recurrence, summary, day, kickoff_at, end_at, known, travel, until_day, cancelled)
VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		f.Squad, source, f.UID, f.Recurrence, f.Summary, f.Day.String(), f.Kickoff, f.End, f.Known, f.Travel, f.Until.String(), f.Cancelled)
}

func (tx *Tx) updateFixture(f Fixture) error {
	return tx.touched(`UPDATE fixture SET summary = ?, day = ?, kickoff_at = ?, end_at = ?, known = ?, travel = ?, until_day = ?, cancelled = ?
WHERE id = ?`, f.Summary, f.Day.String(), f.Kickoff, f.End, f.Known, f.Travel, f.Until.String(), f.Cancelled, f.ID)
}

func (tx *Tx) changeFixture(was, f Fixture, by int64, now prescribe.Instant) ([]PersonDay, error) {
	if was == f {
		return nil, nil
	}
	if err := tx.updateFixture(f); err != nil {
		return nil, err
	}
	if err := tx.logChange(Change{Kind: "fixture", What: f.Summary, From: fixtureText(was), To: fixtureText(f)}, by, 0, now); err != nil {
		return nil, err
	}
	return tx.affected(now, was, f)
}

// affected are the days, from each player's today on, that lie within a week of
// one of the fixtures, of everybody who is in its squad that day.
func (tx *Tx) affected(now prescribe.Instant, fs ...Fixture) ([]PersonDay, error) {
	seen := map[PersonDay]bool{}
	today := map[int64]prescribe.Day{}
	utc := prescribe.DayOf(now.Time())
	for _, f := range fs {
		for d := max(f.Day-7, utc-1); d <= max(f.Day, f.Until)+7; d++ {
			members, err := tx.Members(f.Squad, d)
			if err != nil {
				return nil, err
			}
			for _, p := range members {
				if _, ok := today[p.ID]; !ok {
					if today[p.ID], err = tx.Today(p.ID, now); err != nil {
						return nil, err
					}
				}
				if d >= today[p.ID] {
					seen[PersonDay{p.ID, d}] = true
				}
			}
		}
	}
	return sortedDays(seen), nil
}

func sortedDays(seen map[PersonDay]bool) []PersonDay {
	out := make([]PersonDay, 0, len(seen))
	for pd := range seen {
		out = append(out, pd)
	}
	slices.SortFunc(out, func(a, b PersonDay) int {
		return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Person, b.Person))
	})
	return out
}

// logChange keeps a line of what was changed. whose is 0 when it is nobody's
// personal data, by 0 an import.
func (tx *Tx) logChange(c Change, by, whose int64, now prescribe.Instant) error {
	return tx.exec(`INSERT INTO change_log (at, by_person, person, kind, what, was, became) VALUES (?, ?, ?, ?, ?, ?, ?)`,
		now, none(by), none(whose), c.Kind, c.What, c.From, c.To)
}
