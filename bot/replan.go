package bot

import (
	"reflect"

	"pegcard/prescribe"
	"pegcard/schedule"
	"pegcard/store"
)

// replan works a player's card of the day, and of the day after it, out again
// from what is known now. A card that was sent and not begun, and whose work is
// another now, is sent in its new form; one that nobody has seen is only stored.
// What waits for approval waits.
func (b *Bot) replan(tx *store.Tx, person int64, day prescribe.Day, now prescribe.Instant) error {
	today, err := tx.Today(person, now)
	if err != nil {
		return err
	}
	for d := max(day, today); d <= day+1; d++ {
		if err := b.replanDay(tx, person, d, today, now); err != nil {
			return err
		}
	}
	return nil
}

func (b *Bot) replanDay(tx *store.Tx, person int64, d, today prescribe.Day, now prescribe.Instant) error {
	was, ok, err := tx.Card(person, d)
	if err != nil || !ok {
		return err // it is worked out when its time comes
	}
	c, changed, err := tx.IssueCard(person, d, now)
	if err != nil || !changed || sameWork(was.Card, c.Card) {
		return err
	}
	seen := was.State == store.CardSent || was.State == store.CardWithheld
	sq, in, err := tx.SquadOf(person, d)
	if err != nil || !in {
		return err
	}
	if !seen {
		// A rest day is not sent and a card that waits has not been; when its
		// morning has passed, what may go now goes now.
		out, err := b.overdue(tx, sq, person, d, today, now)
		if err != nil {
			return err
		}
		ok, err := b.mayGo(tx, sq.ID, c)
		if err != nil {
			return err
		}
		if !ok && (!out || was.Card.Kind != prescribe.CardRest) {
			return unapprove(tx, c)
		}
		if !out {
			return nil
		}
	}
	switch {
	case c.Card.Kind == prescribe.CardWithheld:
		if err := tx.SetCardState(c.ID, store.CardWithheld); err != nil {
			return err
		}
	case c.State != store.CardDraft:
		if err := tx.SetCardState(c.ID, store.CardDraft); err != nil {
			return err
		}
	}
	ok, err = b.mayGo(tx, sq.ID, c)
	if err != nil {
		return err
	}
	if !ok {
		return b.askApproval(tx, sq.ID, c, now)
	}
	return b.sendCard(tx, c, now)
}

// overdue reports whether the day's card would be with its player by now: its
// hour has passed and its cut-off has not, and the player may be sent cards.
func (b *Bot) overdue(tx *store.Tx, sq store.Squad, person int64, d, today prescribe.Day, now prescribe.Instant) (bool, error) {
	p, err := tx.Person(person)
	if err != nil {
		return false, err
	}
	loc := b.location(p.Zone)
	if d != today || now.Time().Before(schedule.At(d, sq.CardsAt, loc)) || now.Time().After(schedule.At(d, sq.CutOff, loc)) {
		return false, nil
	}
	return tx.Consented(person)
}

// sameWork reports whether two cards ask for the same, whatever their reasons.
func sameWork(a, b prescribe.Card) bool {
	if a.Kind != b.Kind || a.Template != b.Template || len(a.Items) != len(b.Items) {
		return false
	}
	for i := range a.Items {
		x, y := a.Items[i], b.Items[i]
		x.Reasons, y.Reasons = nil, nil
		if !reflect.DeepEqual(x, y) {
			return false
		}
	}
	return true
}
