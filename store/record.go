package store

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"pegcard/prescribe"
)

// Folded is what recording did.
type Folded struct {
	Before, After prescribe.State // now, without and with the events
	Notices       []prescribe.Notice
	Changed       bool // false: exactly this was recorded before
}

// Record writes what one source (a message, a file line, a command) says
// happened, and folds it. What the same source said before is superseded, so an
// edited message counts once and a repeated one changes nothing. The events get
// their keys here, from the source and their place. An event without a day gets
// the person's civil date at its instant. Notices are those of the new events,
// each judged at its place in the order of events.
func (tx *Tx) Record(person int64, source string, received prescribe.Instant, events ...prescribe.Event) (Folded, error) {
	return tx.RecordIn(person, source, received, "kg", events...)
}

// RecordIn is Record for loads that were reported in unit, "kg" or "lb". The
// events are in kg already; the unit is kept to show them as they were written.
func (tx *Tx) RecordIn(person int64, source string, received prescribe.Instant, unit string, events ...prescribe.Event) (f Folded, err error) {
	defer wrap(&err, "record of %d", person) // a source may name a place on the body
	if unit != "kg" && unit != "lb" {
		return f, fmt.Errorf("unit %q is neither kg nor lb", unit)
	}
	return tx.record(person, source, received, unit, events)
}

// Undo takes back what the source said.
func (tx *Tx) Undo(person int64, source string, now prescribe.Instant) (f Folded, err error) {
	defer wrap(&err, "undo of %d", person)
	return tx.record(person, source, now, "kg", nil)
}

func (tx *Tx) record(person int64, source string, received prescribe.Instant, unit string, events []prescribe.Event) (f Folded, err error) {
	if source == "" || strings.Contains(source, "#") {
		return f, errors.New("a source is a name without #")
	}
	if _, err := tx.Person(person); err != nil {
		return f, err
	}
	if events, err = tx.complete(person, source, events); err != nil {
		return f, err
	}
	before, err := tx.Recorded(person, source)
	if err != nil {
		return f, err
	}
	if f.Before, err = tx.State(person); err != nil {
		return f, err
	}
	same, err := equalJSON(before, events)
	if err != nil {
		return f, err
	}
	if same {
		f.After = f.Before
		return f, nil
	}

	replaces, err := tx.head(person, source)
	if err != nil {
		return f, err
	}
	entry, err := tx.insert(`INSERT INTO entry (person, source, received_at, replaces) VALUES (?, ?, ?, ?)`,
		person, source, received, none(replaces))
	if err != nil {
		return f, err
	}
	fresh := make(map[string]bool, len(events))
	var first *prescribe.Event
	for _, e := range append(before, events...) {
		if first == nil || compareEvents(e, *first) < 0 {
			first = &e
		}
	}
	for _, e := range events {
		fresh[e.Key] = true
		if err := tx.insertEvent(person, entry, unit, e); err != nil {
			return f, err
		}
	}
	f.Changed = true
	f.After, f.Notices, err = tx.foldFrom(person, first.At, first.Key, fresh)
	return f, err
}

// eventKey names the i-th event of a source; keys sort as the events stand.
func eventKey(source string, i int) string { return fmt.Sprintf("%s#%03d", source, i) }

// sourceOf is the source of an event with that key.
func sourceOf(key string) string {
	source, _, _ := strings.Cut(key, "#")
	return source
}

// complete fills in keys and missing days.
func (tx *Tx) complete(person int64, source string, events []prescribe.Event) ([]prescribe.Event, error) {
	out := make([]prescribe.Event, len(events))
	for i, e := range events {
		if e.At == 0 {
			return nil, fmt.Errorf("event %d has no instant", i)
		}
		e.Key = eventKey(source, i)
		if e.Day == 0 {
			var err error
			if e.Day, err = tx.Today(person, e.At); err != nil {
				return nil, err
			}
		}
		out[i] = e
	}
	return out, nil
}

func equalJSON(a, b []prescribe.Event) (bool, error) {
	if len(a) != len(b) {
		return false, nil
	}
	byKey := make(map[string]string, len(a))
	for _, e := range a {
		t, err := json.Marshal(e)
		if err != nil {
			return false, err
		}
		byKey[e.Key] = string(t)
	}
	for _, e := range b {
		t, err := json.Marshal(e)
		if err != nil {
			return false, err
		}
		if byKey[e.Key] != string(t) {
			return false, nil
		}
	}
	return true, nil
}

// rowHash covers the values of a row in order, each with its length so that
// none can flow into the next.
func rowHash(values ...any) string {
	h := sha256.New()
	for _, v := range values {
		s := fmt.Sprint(v)
		fmt.Fprintf(h, "%d:%s\n", len(s), s)
	}
	return hex.EncodeToString(h.Sum(nil))
}
