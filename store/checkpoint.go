package store

import (
	"encoding/json"
	"fmt"

	"pegcard/prescribe"
)

// How long checkpoints are kept, in civil days before the newest: every one of
// the last days, then the last of each day, then the last of each week. They
// are a cache: a thinner one makes a late correction slower, never different.
const (
	checkpointsAll   = 3
	checkpointsDaily = 60
)

// checkpoint is the state after all events up to (at, key).
type checkpoint struct {
	at    prescribe.Instant
	key   string
	day   prescribe.Day
	state prescribe.State
}

// State is all that is remembered of the player; the zero State when nothing is.
func (tx *Tx) State(person int64) (s prescribe.State, err error) {
	defer wrap(&err, "state of %d", person)
	if s, ok := tx.states[person]; ok {
		return s, nil
	}
	if s, err = tx.readState(person); err != nil {
		return s, err
	}
	if tx.states == nil {
		tx.states = map[int64]prescribe.State{}
	}
	tx.states[person] = s
	return s, nil
}

func (tx *Tx) readState(person int64) (s prescribe.State, err error) {
	rules, hash, err := tx.Rules()
	if err != nil {
		return s, err
	}
	// A checkpoint of these rules and this engine that is still there covers every
	// event: whatever adds one folds in the same transaction, and drops those of
	// other rules and engines. After a change of either there may be none yet.
	base, err := tx.lastCheckpoint(person, hash, lastInstant, "")
	if err != nil || base.key != "" {
		return base.state, err
	}
	events, err := tx.eventsAfter(person, base)
	if err != nil {
		return s, err
	}
	for _, e := range events {
		s = prescribe.Fold(s, e, rules)
	}
	return s, nil
}

// lastInstant is after every instant.
const lastInstant = prescribe.Instant(1<<63 - 1)

// lastCheckpoint is the last one before (at, key) of these rules and this
// engine; the beginning of everything when there is none.
func (tx *Tx) lastCheckpoint(person int64, rules string, at prescribe.Instant, key string) (checkpoint, error) {
	cs, err := all(tx, func(r scanner) (c checkpoint, err error) {
		var state string
		if err = r.Scan(&c.at, &c.key, intoDay(&c.day), &state); err != nil {
			return c, err
		}
		err = json.Unmarshal([]byte(state), &c.state)
		return c, err
	}, `SELECT at, key, day, state FROM checkpoint
WHERE person = ? AND engine = ? AND rules = ? AND (at, key) < (?, ?) ORDER BY at DESC, key DESC LIMIT 1`,
		person, prescribe.EngineVersion, rules, at, key)
	if err != nil {
		return checkpoint{}, fmt.Errorf("checkpoint: %w", err)
	}
	if len(cs) == 0 {
		return checkpoint{at: -1 << 63}, nil
	}
	return cs[0], nil
}

func (tx *Tx) eventsAfter(person int64, c checkpoint) ([]prescribe.Event, error) {
	return tx.events(person, `(e.at, e.key) > (?, ?)`, c.at, c.key)
}

// foldFrom folds again from the last checkpoint before (at, key), drops the
// checkpoints this makes wrong and writes new ones. Notices are those of the
// events whose keys are in fresh.
func (tx *Tx) foldFrom(person int64, at prescribe.Instant, key string, fresh map[string]bool) (s prescribe.State, notices []prescribe.Notice, err error) {
	tx.states = nil
	rules, hash, err := tx.Rules()
	if err != nil {
		return s, nil, err
	}
	base, err := tx.lastCheckpoint(person, hash, at, key)
	if err != nil {
		return s, nil, err
	}
	if err := tx.dropCheckpoints(person, hash, at, key); err != nil {
		return s, nil, err
	}
	events, err := tx.eventsAfter(person, base)
	if err != nil {
		return s, nil, err
	}
	s = base.state
	var made []checkpoint
	for i, e := range events {
		before := s
		s = prescribe.Fold(s, e, rules)
		if fresh[e.Key] {
			notices = append(notices, prescribe.Notices(before, s, e, rules)...)
		}
		if i+1 < len(events) && sourceOf(e.Key) == sourceOf(events[i+1].Key) {
			continue // what one source says is corrected as a whole
		}
		made = append(made, checkpoint{at: e.At, key: e.Key, day: e.Day, state: s})
		if len(made) > 1000 {
			made = thin(made)
		}
	}
	for _, c := range thin(made) {
		if err := tx.putCheckpoint(person, hash, c); err != nil {
			return s, nil, err
		}
	}
	if len(made) == 0 {
		return s, notices, nil
	}
	return s, notices, tx.pruneCheckpoints(person, min(base.day, made[0].day))
}

// dropCheckpoints deletes those at or after (at, key) and, where there are any,
// all of other rules or another engine. A player's are all of one kind, since
// this is done before any is written: the last one tells.
func (tx *Tx) dropCheckpoints(person int64, rules string, at prescribe.Instant, key string) error {
	var others bool
	if err := tx.row(`SELECT COALESCE((SELECT engine <> ? OR rules <> ? FROM checkpoint WHERE person = ? ORDER BY at DESC, key DESC LIMIT 1), 0)`,
		prescribe.EngineVersion, rules, person).Scan(&others); err != nil {
		return err
	}
	if others {
		return tx.exec(`DELETE FROM checkpoint WHERE person = ?`, person)
	}
	return tx.exec(`DELETE FROM checkpoint WHERE person = ? AND (at, key) >= (?, ?)`, person, at, key)
}

func (tx *Tx) putCheckpoint(person int64, rules string, c checkpoint) error {
	state, err := json.Marshal(c.state)
	if err != nil {
		return fmt.Errorf("checkpoint: %w", err)
	}
	return tx.exec(`INSERT OR REPLACE INTO checkpoint (person, at, key, day, engine, rules, state, hash) VALUES (?, ?, ?, ?, ?, ?, ?, ?)`,
		person, c.at, c.key, c.day.String(), prescribe.EngineVersion, rules, string(state),
		rowHash(person, c.at, c.key, c.day, prescribe.EngineVersion, rules, string(state)))
}

// thin keeps of checkpoints in fold order those that are to be kept.
func thin(cs []checkpoint) []checkpoint {
	if len(cs) == 0 {
		return nil
	}
	newest := cs[len(cs)-1].day
	var out []checkpoint
	for i, c := range cs {
		if i == len(cs)-1 || bucket(newest, c.day) == noBucket || bucket(newest, c.day) != bucket(newest, cs[i+1].day) {
			out = append(out, c)
		}
	}
	return out
}

const noBucket = prescribe.Day(0)

// bucket is the day or week of which the last checkpoint is kept; noBucket: all
// are. Weeks and days cannot be mixed up: a week's is negative.
func bucket(newest, day prescribe.Day) prescribe.Day {
	switch age := newest - day; {
	case age < checkpointsAll:
		return noBucket
	case age < checkpointsDaily:
		return day
	}
	return -day.Monday()
}

// pruneCheckpoints thins those that are new since the day or have grown older
// since then: what lies before has been thinned already, however long it is.
func (tx *Tx) pruneCheckpoints(person int64, since prescribe.Day) error {
	type row struct {
		id  int64
		day prescribe.Day
	}
	rows, err := all(tx, func(r scanner) (x row, err error) {
		err = r.Scan(&x.id, intoDay(&x.day))
		return x, err
	}, `SELECT id, day FROM checkpoint WHERE person = ? AND at >= ? ORDER BY at, key`,
		person, prescribe.InstantOf((since - checkpointsDaily - 8).Time()))
	if err != nil || len(rows) == 0 {
		return err
	}
	newest := rows[len(rows)-1].day
	for i, x := range rows[:len(rows)-1] {
		b := bucket(newest, x.day)
		if b == noBucket || b != bucket(newest, rows[i+1].day) {
			continue
		}
		if err := tx.exec(`DELETE FROM checkpoint WHERE id = ?`, x.id); err != nil {
			return err
		}
	}
	return nil
}

// foldStale folds again whoever has events but no checkpoint of these rules and
// this engine.
func (tx *Tx) foldStale() error {
	_, hash, err := tx.Rules()
	if err != nil {
		return err
	}
	people, err := all(tx, one[int64], `SELECT DISTINCT e.person FROM entry e
WHERE NOT EXISTS (SELECT 1 FROM checkpoint c WHERE c.person = e.person AND c.engine = ? AND c.rules = ?) ORDER BY e.person`,
		prescribe.EngineVersion, hash)
	if err != nil {
		return err
	}
	for _, p := range people {
		if _, _, err := tx.foldFrom(p, -1<<63, "", nil); err != nil {
			return fmt.Errorf("fold %d again: %w", p, err)
		}
	}
	return nil
}
