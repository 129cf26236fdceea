package bot

import (
	"context"
	"errors"

	"pegcard/bot/telegram"
	"pegcard/prescribe"
	"pegcard/store"
)

// unreachable notes that a chat is blocked and tells the coaches of its squad
// once.
func (b *Bot) unreachable(tx *store.Tx, chat int64, now prescribe.Instant) error {
	return b.reach(tx, chat, now, false)
}

// reachable notes that a blocked chat is open again.
func (b *Bot) reachable(tx *store.Tx, chat int64, now prescribe.Instant) error {
	return b.reach(tx, chat, now, true)
}

func (b *Bot) reach(tx *store.Tx, chat int64, now prescribe.Instant, open bool) error {
	p, err := tx.PersonByUser(chat) // a private chat has its person's id
	if errors.Is(err, store.ErrNotFound) {
		return nil
	}
	if err != nil || p.Reachable == open {
		return err
	}
	if err := tx.SetReachable(chat, open); err != nil {
		return err
	}
	if !open {
		waiting, err := tx.OutWaiting(p.ID, outAlert)
		if err != nil {
			return err
		}
		if err := b.passOn(tx, waiting, now); err != nil {
			return err
		}
	}
	day := prescribe.DayOf(now.Time().In(b.location(p.Zone)))
	sq, ok, err := tx.SquadOf(p.ID, day)
	if err != nil || !ok {
		return err
	}
	coaches, err := tx.Staff(sq.ID, store.RoleCoach, day)
	if err != nil {
		return err
	}
	state := "closed"
	if open {
		state = "open"
	}
	for _, c := range coaches {
		if c.ID == p.ID || c.Chat == 0 {
			continue
		}
		if _, _, err := tx.Enqueue(store.Out{Kind: outView, Recipient: c.ID, Args: newTap("reach", p.ID, state), Priority: prioAlert, Expires: now + hours(48)}); err != nil {
			return err
		}
	}
	return nil
}

func init() {
	pages["reach"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		p, err := r.about(t.id(0), store.RoleCoach)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		id := "staff.player_unreachable"
		if t.str(1) == "open" {
			id = "staff.player_reachable"
		}
		return telegram.Outgoing{Text: r.sp.T(id, "name", p.Name)}, nil
	}
}

// telegramCanceled reports whether err only says that we are stopping.
func telegramCanceled(err error) bool {
	var e *telegram.Error
	return err == nil || errors.Is(err, context.Canceled) || errors.As(err, &e) && e.Class == telegram.Canceled
}
