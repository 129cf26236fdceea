package bot

import (
	"context"
	"errors"
	"fmt"
	"reflect"
	"runtime/debug"

	"pegcard/bot/telegram"
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
	if was.State == store.CardStarted {
		return b.stopBegun(tx, was, now) // it is not planned anew
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
		if seen && trains(was.Card) {
			if err := b.voidCard(tx, c, now); err != nil {
				return err
			}
		}
		return b.askApproval(tx, sq.ID, c, now)
	}
	return b.sendCard(tx, c, now)
}

// voidCard tells a player that the card in hand no longer holds, while the new
// one waits for a coach.
func (b *Bot) voidCard(tx *store.Tx, c store.CardRev, now prescribe.Instant) error {
	if yes, err := tx.MayBeAsked(c.Person, now); err != nil || !yes {
		return err
	}
	_, _, err := tx.Enqueue(store.Out{Kind: outSay, Recipient: c.Person, Args: "player.card_void", Priority: prioAnswer,
		Expires: now + hours(20), Dedup: fmt.Sprintf("void/%d/%d", c.ID, c.Rev)})
	return err
}

// workReplans takes in what another process has written: the next tick and the
// sender look anew, cards that have to be planned again are, and notices are
// told. Each card and notice is a transaction of its own: one that fails stays,
// and is tried again with the next tick.
func (b *Bot) workReplans(ctx context.Context, now prescribe.Instant) error {
	version, err := b.Store.DataVersion(ctx)
	if err != nil {
		return err
	}
	if b.taken.done && b.taken.version == version {
		return nil
	}
	b.ticker.invalidate()
	b.sender.wake()
	var days []store.PersonDay
	var notices []store.PendingNotice
	if err := b.Store.Read(ctx, func(tx *store.Tx) (err error) {
		if days, err = tx.Replans(); err != nil {
			return err
		}
		notices, err = tx.PendingNotices()
		return err
	}); err != nil {
		return err
	}
	var errs []error
	do := func(fn func(tx *store.Tx) error) {
		if ctx.Err() != nil {
			return // it stays for the next start
		}
		defer func() {
			if p := recover(); p != nil {
				errs = append(errs, fmt.Errorf("panic %T at %s", p, telegram.PanicPlace(debug.Stack())))
			}
		}()
		errs = append(errs, b.Store.Write(ctx, fn))
	}
	for _, n := range notices {
		do(func(tx *store.Tx) error {
			if err := tx.DropNotice(n.ID); err != nil {
				return err
			}
			return b.tell(tx, n.Person, []prescribe.Notice{n.Notice}, now)
		})
	}
	for _, d := range days {
		do(func(tx *store.Tx) error {
			if err := tx.DropReplan(d); err != nil {
				return err
			}
			today, err := tx.Today(d.Person, now)
			if err != nil || d.Day < today {
				return ignoreNotFound(err)
			}
			return b.replanDay(tx, d.Person, d.Day, today, now)
		})
	}
	if err := errors.Join(append(errs, ctx.Err())...); err != nil {
		return fmt.Errorf("what another process left to do: %w", err)
	}
	b.taken.done, b.taken.version = true, version
	return nil
}

// taken is the version of the data up to which the bot has taken in what other
// processes wrote. The ticker's lock guards it.
type taken struct {
	done    bool
	version int64
}

// overdue reports whether the day's card would be with its player by now: its
// hour has passed and its cut-off has not, and the player may be sent cards.
func (b *Bot) overdue(tx *store.Tx, sq store.Squad, person int64, d, today prescribe.Day, now prescribe.Instant) (bool, error) {
	loc, err := b.locate(tx, person, now)
	if err != nil {
		return false, err
	}
	if d != today || now.Time().Before(schedule.At(d, sq.CardsAt, loc)) || now.Time().After(schedule.CutOff(d, sq, loc)) {
		return false, nil
	}
	if from, _, paused, err := tx.Pause(person, d); err != nil || paused && from <= d {
		return false, err // it comes when it is asked for
	}
	return tx.MayBeAsked(person, now)
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
