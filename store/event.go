package store

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"pegcard/prescribe"
)

// eventTable is one kind of event and where it is kept. Every such table also
// has person, entry, key, at and day.
type eventTable struct {
	name string
	cols []string
	// get gives the values of cols, nil when the event is of another kind.
	get func(e prescribe.Event) []any
	// set makes the event one of this kind and gives where cols are scanned to.
	set func(e *prescribe.Event) []any
}

var eventTables = []eventTable{
	{"profile", []string{"born", "body_mass", "training_age", "youth_sign_off"},
		func(e prescribe.Event) []any {
			if e.Profile == nil {
				return nil
			}
			v := e.Profile
			return []any{v.Born.String(), v.BodyMass, v.TrainingAge, v.YouthSignOff}
		},
		func(e *prescribe.Event) []any {
			v := new(prescribe.Profile)
			e.Profile = v
			return []any{intoDay(&v.Born), &v.BodyMass, &v.TrainingAge, &v.YouthSignOff}
		}},
	{"set_record", []string{"exercise", "side", "load", "inertia", "device", "reps", "asked", "rir", "to_fail",
		"ordinal", "test", "stopped", "as_written", "unbroken", "slow", "scheme", "intended"},
		func(e prescribe.Event) []any {
			if e.Set == nil {
				return nil
			}
			v := e.Set
			return []any{v.Exercise, v.Side, v.Load, v.Inertia, v.Device, v.Reps, v.Asked, v.RIR, v.ToFail,
				v.Ordinal, v.Test, v.Stopped, v.AsWritten, v.Unbroken, v.Slow, v.Scheme, v.Intended}
		},
		func(e *prescribe.Event) []any {
			v := new(prescribe.Set)
			e.Set = v
			return []any{&v.Exercise, &v.Side, &v.Load, &v.Inertia, &v.Device, &v.Reps, &v.Asked, &v.RIR, &v.ToFail,
				&v.Ordinal, &v.Test, &v.Stopped, &v.AsWritten, &v.Unbroken, &v.Slow, &v.Scheme, &v.Intended}
		}},
	{"flywheel_test", []string{"exercise", "device", "inertia", "power"},
		func(e prescribe.Event) []any {
			if e.Power == nil {
				return nil
			}
			v := e.Power
			return []any{v.Exercise, v.Device, v.Inertia, v.Power}
		},
		func(e *prescribe.Event) []any {
			v := new(prescribe.PowerTest)
			e.Power = v
			return []any{&v.Exercise, &v.Device, &v.Inertia, &v.Power}
		}},
	{"session_report", []string{"template", "outcome", "reason", "rpe", "minutes", "patterns", "sets"},
		func(e prescribe.Event) []any {
			if e.Session == nil {
				return nil
			}
			v := e.Session
			return []any{v.Template, v.Outcome, v.Reason, v.RPE, v.Minutes, jsonList{&v.Patterns}.text(), v.Sets}
		},
		func(e *prescribe.Event) []any {
			v := new(prescribe.Session)
			e.Session = v
			return []any{&v.Template, &v.Outcome, &v.Reason, &v.RPE, &v.Minutes, jsonList{&v.Patterns}, &v.Sets}
		}},
	{"soreness", []string{"region", "side", "score"},
		func(e prescribe.Event) []any {
			if e.Soreness == nil {
				return nil
			}
			v := e.Soreness
			return []any{v.Region, v.Side, v.Score}
		},
		func(e *prescribe.Event) []any {
			v := new(prescribe.Soreness)
			e.Soreness = v
			return []any{&v.Region, &v.Side, &v.Score}
		}},
	{"pain", []string{"region", "side", "score", "timing", "muscle", "unclear"},
		func(e prescribe.Event) []any {
			if e.Pain == nil {
				return nil
			}
			v := e.Pain
			return []any{v.Region, v.Side, v.Score, v.Timing, v.Muscle, v.Unclear}
		},
		func(e *prescribe.Event) []any {
			v := new(prescribe.Pain)
			e.Pain = v
			return []any{&v.Region, &v.Side, &v.Score, &v.Timing, &v.Muscle, &v.Unclear}
		}},
	{"warning_sign", []string{"sign", "region"},
		func(e prescribe.Event) []any {
			if e.Warning == nil {
				return nil
			}
			v := e.Warning
			return []any{v.Sign, v.Region}
		},
		func(e *prescribe.Event) []any {
			v := new(prescribe.Warning)
			e.Warning = v
			return []any{&v.Sign, &v.Region}
		}},
	{"hold", []string{"hold", "medical", "region", "max_load", "until_day"},
		func(e prescribe.Event) []any {
			if e.Hold == nil {
				return nil
			}
			v := e.Hold
			return []any{v.ID, v.Medical, v.Region, v.MaxLoad, v.Until.String()}
		},
		func(e *prescribe.Event) []any {
			v := new(prescribe.Hold)
			e.Hold = v
			return []any{&v.ID, &v.Medical, &v.Region, &v.MaxLoad, intoDay(&v.Until)}
		}},
	{"release", []string{"medical", "hold", "region", "max_load", "review_day", "classified", "reason"},
		func(e prescribe.Event) []any {
			if e.Release == nil {
				return nil
			}
			v := e.Release
			return []any{v.Medical, v.HoldID, v.Region, v.MaxLoad, v.Review.String(), v.Classified, v.Reason}
		},
		func(e *prescribe.Event) []any {
			v := new(prescribe.Release)
			e.Release = v
			return []any{&v.Medical, &v.HoldID, &v.Region, &v.MaxLoad, intoDay(&v.Review), &v.Classified, &v.Reason}
		}},
	{"match_minutes", []string{"match", "minutes", "end_at"},
		func(e prescribe.Event) []any {
			if e.Match == nil {
				return nil
			}
			v := e.Match
			return []any{v.MatchID, v.Minutes, v.End}
		},
		func(e *prescribe.Event) []any {
			v := new(prescribe.MatchPlayed)
			e.Match = v
			return []any{&v.MatchID, &v.Minutes, &v.End}
		}},
	{"record_answer", []string{"exercise", "side", "set_key", "is_right"},
		func(e prescribe.Event) []any {
			if e.Answer == nil {
				return nil
			}
			v := e.Answer
			return []any{v.Exercise, v.Side, v.SetKey, v.Right}
		},
		func(e *prescribe.Event) []any {
			v := new(prescribe.RecordAnswer)
			e.Answer = v
			return []any{&v.Exercise, &v.Side, &v.SetKey, &v.Right}
		}},
}

// jsonList keeps a list of words in one column.
type jsonList struct{ list *[]string }

func (j jsonList) text() string {
	if len(*j.list) == 0 {
		return "[]"
	}
	b, err := json.Marshal(*j.list)
	if err != nil {
		panic(err) // strings always marshal
	}
	return string(b)
}

func (j jsonList) Scan(src any) error {
	s, ok := src.(string)
	if !ok {
		return fmt.Errorf("a list is stored as %T", src)
	}
	*j.list = nil
	if s == "[]" {
		return nil
	}
	return json.Unmarshal([]byte(s), j.list)
}

// insertEvent writes one event of an entry. Unit is how a load was written.
func (tx *Tx) insertEvent(person, entry int64, unit string, e prescribe.Event) error {
	found := false
	for _, t := range eventTables {
		values := t.get(e)
		if values == nil {
			continue
		}
		if found {
			return fmt.Errorf("event %q is of more than one kind", e.Key)
		}
		found = true
		cols := append([]string{"person", "entry", "key", "at", "day"}, t.cols...)
		values = append([]any{person, entry, e.Key, e.At, e.Day.String()}, values...)
		if e.Set != nil {
			item, err := tx.itemOf(person, e.Day, e.Set.Exercise)
			if err != nil {
				return err
			}
			cols = append(cols, "unit", "card_item")
			values = append(values, unit, none(item))
		}
		q := `INSERT INTO ` + t.name + ` (` + strings.Join(cols, ", ") + `) VALUES (?` + strings.Repeat(", ?", len(cols)-1) + `)`
		if err := tx.exec(q, values...); err != nil {
			return fmt.Errorf("%s: %w", t.name, err)
		}
	}
	if !found {
		return fmt.Errorf("event %q is of no kind", e.Key)
	}
	return nil
}

// itemOf is the item of the day's latest card revision that asks for the
// exercise; 0 when none does.
func (tx *Tx) itemOf(person int64, day prescribe.Day, ex prescribe.ExerciseID) (int64, error) {
	ids, err := all(tx, one[int64], `
SELECT i.id FROM card c JOIN card_rev r ON r.card = c.id JOIN card_item i ON i.card_rev = r.id
WHERE c.person = ? AND c.day = ? AND i.exercise = ? AND r.rev = (SELECT MAX(rev) FROM card_rev WHERE card = c.id)
ORDER BY i.n LIMIT 1`, person, day.String(), ex)
	if err != nil || len(ids) == 0 {
		return 0, err
	}
	return ids[0], nil
}

// events are the person's events that stand, for which where holds, in fold
// order. where may use the columns of an event table as e.
func (tx *Tx) events(person int64, where string, args ...any) ([]prescribe.Event, error) {
	var out []prescribe.Event
	for _, t := range eventTables {
		es, err := all(tx, func(r scanner) (e prescribe.Event, err error) {
			err = r.Scan(append([]any{&e.At, intoDay(&e.Day), &e.Key}, t.set(&e)...)...)
			return e, err
		}, `SELECT e.at, e.day, e.key, e.`+strings.Join(t.cols, ", e.")+` FROM `+t.name+` e
WHERE e.person = ? AND NOT EXISTS (SELECT 1 FROM entry n WHERE n.replaces = e.entry) AND `+where,
			append([]any{person}, args...)...)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", t.name, err)
		}
		out = append(out, es...)
	}
	slices.SortFunc(out, compareEvents)
	return out, nil
}

// compareEvents is the order of the fold.
func compareEvents(a, b prescribe.Event) int {
	return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(a.Key, b.Key))
}

// Events are those of the civil days from..to, both included, in fold order.
func (tx *Tx) Events(person int64, from, to prescribe.Day) (es []prescribe.Event, err error) {
	defer wrap(&err, "events of %d", person)
	return tx.events(person, `e.day BETWEEN ? AND ?`, from.String(), to.String())
}

// Recorded are the events that the source stands for now; none when it was
// never recorded or undone.
func (tx *Tx) Recorded(person int64, source string) (es []prescribe.Event, err error) {
	defer wrap(&err, "record of %d", person)
	head, err := tx.head(person, source)
	if err != nil || head == 0 {
		return nil, err
	}
	return tx.events(person, `e.entry = ?`, head)
}

// head is the source's entry that nothing replaces; 0 when there is none.
func (tx *Tx) head(person int64, source string) (int64, error) {
	ids, err := all(tx, one[int64], `SELECT id FROM entry e WHERE person = ? AND source = ?
AND NOT EXISTS (SELECT 1 FROM entry n WHERE n.replaces = e.id)`, person, source)
	if err != nil || len(ids) == 0 {
		return 0, err
	}
	return ids[0], nil
}
