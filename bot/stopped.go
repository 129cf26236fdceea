package bot

import (
	"fmt"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
)

// A stop reaches a session that has begun: what was done stays on record, and
// of the rest nothing more is asked, logged or filled in where it is stopped.

// stoppedItems are the items of a card, by index, of which nothing more may be
// done.
func stoppedItems(s prescribe.State, c store.CardRev) map[int]bool {
	out := map[int]bool{}
	for i, it := range c.Card.Items {
		if s.Stops(it.Exercise, c.Day) {
			out[i] = true
		}
	}
	return out
}

func (h *hand) stoppedNow(c store.CardRev) (map[int]bool, error) {
	s, err := h.tx.State(c.Person)
	if err != nil {
		return nil, err
	}
	return stoppedItems(s, c), nil
}

// stopBegun tells a player in a session that has begun what is stopped of it.
func (b *Bot) stopBegun(tx *store.Tx, c store.CardRev, now prescribe.Instant) error {
	s, err := tx.State(c.Person)
	if err != nil {
		return err
	}
	stopped := stoppedItems(s, c)
	if len(stopped) == 0 {
		return nil
	}
	which := 0
	for i := range c.Card.Items {
		if stopped[i] {
			which |= 1 << min(i, 30)
		}
	}
	_, _, err = tx.Enqueue(store.Out{Kind: outView, Recipient: c.Person, Args: newTap("stopsession", c.ID), Priority: prioUrgent,
		Expires: now + hours(12), Dedup: fmt.Sprintf("stopsession/%d/%x", c.ID, which)})
	return err
}

// stopLine says what is stopped of a card; "" when nothing is.
func (r *rendering) stopLine(s prescribe.State, c store.CardRev) string {
	stopped := stoppedItems(s, c)
	switch {
	case len(stopped) == 0:
		return ""
	case len(stopped) == len(c.Card.Items):
		return r.sp.T("player.stop_all")
	}
	var names []string
	for i, it := range c.Card.Items {
		if stopped[i] {
			names = append(names, telegram.StripHTML(r.sp.Exercise(it.Exercise)))
		}
	}
	return r.sp.T("player.stop_some", "names", wording.HTML(r.sp.List(names)))
}

func init() {
	pages["stopsession"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		c, err := r.myCard(t.id(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		s, err := r.tx.State(c.Person)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		text := r.stopLine(s, c)
		if text == "" {
			return telegram.Outgoing{}, errNothing // lifted since
		}
		return telegram.Outgoing{Text: text}, nil
	}
}
