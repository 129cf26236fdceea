package store

import (
	"fmt"
	"slices"
	"strings"

	"pegcard/prescribe"
)

// Heard is an event with the time for which it stood in the record.
type Heard struct {
	prescribe.Event
	From  prescribe.Instant // when it was recorded
	Until prescribe.Instant // when it was corrected or taken back; 0: it stands
}

// Heard are all events ever recorded of the person, also those corrected since,
// in fold order. It is for going over the past again and asks nobody's rights.
func (tx *Tx) Heard(person int64) (hs []Heard, err error) {
	defer wrap(&err, "past of %d", person)
	for _, t := range eventTables {
		found, err := all(tx, func(r scanner) (h Heard, err error) {
			err = r.Scan(append([]any{&h.At, intoDay(&h.Day), &h.Key, &h.From, &h.Until}, t.set(&h.Event)...)...)
			return h, err
		}, `SELECT e.at, e.day, e.key, h.received_at, COALESCE((SELECT n.received_at FROM entry n WHERE n.replaces = h.id), 0), e.`+
			strings.Join(t.cols, ", e.")+` FROM `+t.name+` e JOIN entry h ON h.id = e.entry WHERE e.person = ? ORDER BY h.id`, person)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", t.name, err)
		}
		hs = append(hs, found...)
	}
	slices.SortStableFunc(hs, func(a, b Heard) int { return compareEvents(a.Event, b.Event) })
	return hs, nil
}
