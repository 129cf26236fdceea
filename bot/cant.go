package bot

import (
	"slices"

	"pegcard/bot/telegram"
	"pegcard/prescribe"
	"pegcard/store"
)

// absences are the reasons in the order in which they are offered.
var absences = []prescribe.Absence{
	prescribe.AbsentTravel, prescribe.AbsentIll, prescribe.AbsentSore, prescribe.AbsentPain,
	prescribe.AbsentTime, prescribe.AbsentNoGym, prescribe.AbsentPrivate, prescribe.AbsentOther,
}

// cmdCant asks why today's session cannot be done.
func (h *hand) cmdCant(string) error {
	c, ok, err := h.openCard()
	if err != nil {
		return err
	}
	if !ok {
		return h.view("nocard")
	}
	return h.cant(c)
}

// tapCant: card, revision.
func (h *hand) tapCant(t tap) error {
	c, ok, err := h.tappedCard(t)
	if err != nil || !ok {
		return err
	}
	return h.cant(c)
}

func (h *hand) cant(c store.CardRev) error {
	switch c.State {
	case store.CardWithheld:
		return h.say(heldWords(c.Card))
	case store.CardDone, store.CardChanged:
		return h.say("player.done_already")
	}
	return h.ask(askCant, c.ID, question{})
}

// tapReason: card, reason.
func (h *hand) tapReason(t tap) error {
	c, err := h.myCard(t.id(0))
	reason := prescribe.Absence(t.str(1))
	if err != nil || !slices.Contains(absences, reason) {
		return h.staleUnless(err)
	}
	late, err := h.superseded(c)
	if err != nil {
		return err
	}
	if late || c.State == store.CardDone || c.State == store.CardChanged {
		return h.stale()
	}
	h.day = c.Day
	return h.gaveReason(c, cardSource(c.ID), reason)
}

// gaveReason records that the session was not done, and why; what hurts or
// alarms is asked about next.
func (h *hand) gaveReason(c store.CardRev, source string, reason prescribe.Absence) error {
	if err := h.notDone(c, source, reason); err != nil {
		return err
	}
	if err := h.b.replan(h.tx, h.person.ID, c.Day+1, h.now); err != nil {
		return err
	}
	switch reason {
	case prescribe.AbsentIll, prescribe.AbsentPain:
		// What alarms is asked before anything is said of the next session.
		return h.askAfter(c.ID, reason)
	}
	if err := h.replyView("cantdone", c.ID); err != nil {
		return err
	}
	if err := h.close(); err != nil {
		return err
	}
	h.tap = false // what follows is asked in a message of its own
	return h.askAfter(c.ID, reason)
}

// askAfter asks what a reason calls for. Until it is answered how ill somebody
// is, or where it hurts, medical staff wait for it.
func (h *hand) askAfter(card int64, reason prescribe.Absence) error {
	switch reason {
	case prescribe.AbsentIll:
		if err := h.doubt(aDoubt(doubtIll, "", prescribe.Both, nil)); err != nil {
			return err
		}
		return h.ask(askIll, card, question{})
	case prescribe.AbsentPain:
		if err := h.unplaced(); err != nil {
			return err
		}
		return h.ask(askPain, 0, question{Step: "where"})
	case prescribe.AbsentSore:
		return h.ask(askSore, 0, question{Step: "where"})
	}
	return nil
}

func (r *rendering) askCant(d store.Dialog, q question) (telegram.Outgoing, error) {
	var bs []telegram.Button
	for _, a := range absences {
		bs = append(bs, telegram.Button{Text: capital(plain(r.sp.Absence(a))), Data: newTap("ca", d.Card, a)})
	}
	return telegram.Outgoing{Text: r.sp.T("player.cant_why"), Buttons: rows(2, bs...)}, nil
}

func init() {
	// t: card.
	pages["cantdone"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		c, err := r.myCard(t.id(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		s, err := saidOf(r.tx, c)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		if s.session == nil || s.session.Session.Outcome != prescribe.NotDone {
			return telegram.Outgoing{}, errNothing
		}
		lines, err := r.notDoneLines(c.Day, *s.session.Session)
		return telegram.Outgoing{Text: joinLines(lines)}, err
	}
}

// madeUp is the day of the same week on which a session not done comes again.
func madeUp(tx *store.Tx, person int64, day prescribe.Day, template string) (prescribe.Day, bool, error) {
	for d := day + 1; d < day.Monday()+7; d++ {
		c, err := tx.Plan(person, d)
		if err != nil {
			return 0, false, err
		}
		if c.Kind == prescribe.CardTrain && c.Template == template {
			return d, true, nil
		}
	}
	return 0, false, nil
}
