package store

import (
	"fmt"

	"pegcard/prescribe"
)

// pauseMax is how long a pause may be, in days. [ours] A longer one is a talk
// with the coach.
const pauseMax = 28

// SetPause says that no card shall come by itself from..until, both included;
// until before from ends a pause. What was asked for last counts.
func (tx *Tx) SetPause(person int64, from, until prescribe.Day, now prescribe.Instant) (err error) {
	defer wrap(&err, "set pause of %d", person)
	if until-from >= pauseMax {
		return &Problem{What: fmt.Sprintf("a pause from %s to %s is too long", from, until), Mend: fmt.Sprintf("ask for at most %d days", pauseMax)}
	}
	return tx.exec(`INSERT INTO pause (person, from_day, until_day, at) VALUES (?, ?, ?, ?)`, person, from.String(), until.String(), now)
}

// Pause is the pause that was asked for last, if it is not over on the day.
func (tx *Tx) Pause(person int64, day prescribe.Day) (from, until prescribe.Day, ok bool, err error) {
	defer wrap(&err, "pause of %d", person)
	ps, err := tx.pauses(`WHERE person = ?`, person)
	if err != nil || len(ps) == 0 {
		return 0, 0, false, err
	}
	p := ps[len(ps)-1]
	return p.from, p.until, day <= p.until && p.from <= p.until, nil
}

type pause struct {
	person      int64
	from, until prescribe.Day
}

func (tx *Tx) pauses(where string, args ...any) ([]pause, error) {
	return all(tx, func(r scanner) (p pause, err error) {
		err = r.Scan(&p.person, intoDay(&p.from), intoDay(&p.until))
		return p, err
	}, `SELECT person, from_day, until_day FROM pause `+where+` ORDER BY id`, args...)
}

// pausedDays are the days from..to on which players have asked for quiet.
func (tx *Tx) pausedDays(from, to prescribe.Day) (map[int64]map[prescribe.Day]bool, error) {
	ps, err := tx.pauses(`WHERE id IN (SELECT MAX(id) FROM pause GROUP BY person) AND until_day >= ? AND from_day <= ?`, from.String(), to.String())
	if err != nil {
		return nil, err
	}
	out := map[int64]map[prescribe.Day]bool{}
	for _, p := range ps {
		out[p.person] = map[prescribe.Day]bool{}
		for d := max(from, p.from); d <= min(to, p.until); d++ {
			out[p.person][d] = true
		}
	}
	return out, nil
}
