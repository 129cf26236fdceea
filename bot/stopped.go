package bot

import (
	"encoding/json"
	"fmt"
	"slices"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
)

// A stop reaches a session that has begun: the card gets a revision without the
// work that is stopped, what was done stays on record, and of the rest nothing
// more is asked, logged or filled in.

// stoppedItems are the items of a card, by index, of which nothing more may be
// done.
func stoppedItems(s prescribe.State, c store.CardRev) map[int]bool {
	out := map[int]bool{}
	for i, it := range c.Card.Items {
		if it.Ended || s.Stops(it.Exercise, c.Day) {
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

// stopBegun takes out of a session under way what is stopped: the card's new
// revision, the end of the questions about its sets, and word to the player at
// once. What is left of the session follows as a card.
func (b *Bot) stopBegun(tx *store.Tx, was store.CardRev, now prescribe.Instant) error {
	c, changed, err := tx.IssueCard(was.Person, was.Day, now)
	if err != nil || !changed || sameWork(was.Card, c.Card) {
		return err
	}
	p, err := tx.Person(c.Person)
	if err != nil {
		return err
	}
	if err := dropSessionQuestions(tx, p.Chat, c.ID); err != nil {
		return err
	}
	state, err := tx.State(c.Person)
	if err != nil {
		return err
	}
	// Who names a warning sign is answered with the same words and more.
	if len(state.Warnings) == 0 {
		if _, _, err := tx.Enqueue(store.Out{Kind: outView, Recipient: c.Person, Args: newTap("stopsession", c.ID), Priority: prioUrgent,
			Expires: now + hours(12), Dedup: fmt.Sprintf("stopsession/%d/%d", c.ID, c.Rev)}); err != nil {
			return err
		}
	}
	if c.Card.Kind == prescribe.CardWithheld {
		return nil
	}
	return b.sendCard(tx, c, now)
}

// ofSession are the questions about the sets of a session, which end with it.
var ofSession = map[string]bool{askLog: true, askRIR: true, askEffort: true}

// dropSessionQuestions forgets what is open about the sets of a card, also
// where another question has put it off.
func dropSessionQuestions(tx *store.Tx, chat, card int64) error {
	d, ok, err := tx.Dialog(chat)
	if err != nil || !ok || questions[d.Kind] == nil {
		return err
	}
	if ofSession[d.Kind] && d.Card == card {
		return tx.ClearDialog(chat)
	}
	var q question
	if len(d.Args) > 0 {
		if err := json.Unmarshal(d.Args, &q); err != nil {
			return fmt.Errorf("dialog %q: %w", d.Kind, err)
		}
	}
	if q.Back == nil || !ofSession[q.Back.Kind] || q.Back.Card != card {
		return nil
	}
	q.Back = nil
	if d.Args, err = encode(q); err != nil {
		return err
	}
	return tx.PutDialog(d)
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

// saysStop answers a tap or a text about work that is stopped.
func (h *hand) saysStop(c store.CardRev) error { return h.view("stopsession", c.ID) }

func init() {
	// t: card.
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
		return telegram.Outgoing{Text: text, Buttons: [][]telegram.Button{{r.button("sore", "sore"), r.button("pain", "pain")}}}, nil
	}
}

// stopped is the error of a button for work that is stopped.
type stopped struct{ card store.CardRev }

func (stopped) Error() string { return "this work is stopped" }

// curtailed reports whether work was taken out of a session under way.
func curtailed(c prescribe.Card) bool {
	return slices.ContainsFunc(c.Items, func(it prescribe.Item) bool { return it.Ended })
}
