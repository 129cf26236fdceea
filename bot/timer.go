package bot

import (
	"strconv"

	"pegcard/bot/telegram"
	"pegcard/prescribe"
	"pegcard/store"
)

// The rest timer is a message that waits in the outbox: a restart does not lose
// it, and one that comes too late is dropped, since a rest that is long over is
// no news.

const (
	restMin, restMax prescribe.Seconds = 10, 900
	// restLate is how late the end of a rest may still be told. [ours]
	restLate = prescribe.Instant(90_000)
)

// tapRest starts the rest after the last set: card, item.
func (h *hand) tapRest(t tap) error {
	c, err := h.myCard(t.id(0))
	i, ok := t.int(1)
	if err != nil || !ok || i < 0 || i >= len(c.Card.Items) {
		return h.staleUnless(err)
	}
	return h.rest(c, c.Card.Items[i].Rest)
}

// cmdRest starts a rest of so many seconds, or of what the card says.
func (h *hand) cmdRest(arg string) error {
	c, ok, err := h.openCard()
	if err != nil {
		return err
	}
	switch {
	case !ok:
		return h.view("nocard")
	case c.State == store.CardDone || c.State == store.CardChanged:
		return h.say("player.done_already")
	case c.State == store.CardWithheld:
		return h.say(heldWords(c.Card))
	}
	rest := prescribe.Seconds(0)
	if arg != "" {
		n, err := strconv.Atoi(arg)
		rest = prescribe.Seconds(n)
		if err != nil || rest < restMin || rest > restMax {
			return h.view("restno")
		}
		return h.rest(c, rest)
	}
	l, err := h.logOf(c)
	if err != nil {
		return err
	}
	if at, ok := l.resting(c.Card); ok {
		rest = c.Card.Items[at].Rest
	} else if it, ok := mainLift(c.Card); ok {
		rest = it.Rest
	}
	if rest == 0 {
		return h.view("restno")
	}
	return h.rest(c, rest)
}

// resting is the item whose set was the last one done.
func (l *setLog) resting(c prescribe.Card) (item int, ok bool) {
	if len(l.Passed) == 0 {
		return 0, false
	}
	item = l.Passed[len(l.Passed)-1].Item
	return item, item < len(c.Items) && c.Items[item].Rest > 0
}

func (h *hand) rest(c store.CardRev, rest prescribe.Seconds) error {
	until := h.now + prescribe.Instant(rest)*1000
	d, q, ok, err := h.open()
	if err != nil {
		return err
	}
	o := store.Out{Kind: outView, Args: newTap("restover", c.ID), NotBefore: until, Expires: until + restLate}
	if ok && d.Kind == askLog && d.Card == c.ID && q.Log != nil {
		// The end of the rest asks for the next set. A later rest, and the next
		// set, take its place.
		o.Kind, o.Args = outQuestion, newTap(askLog, "rest", int64(until))
		q.Log.Rest, q.Log.RestFor = until, rest
		if err := h.ask(askLog, c.ID, q); err != nil {
			return err
		}
		return h.answer(o)
	}
	if err := h.view("reststart", rest); err != nil {
		return err
	}
	return h.answer(o)
}

func init() {
	// t: seconds.
	pages["reststart"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		n, _ := t.int(0)
		return telegram.Outgoing{Text: r.sp.T("player.timer_start", "rest", prescribe.Seconds(n))}, nil
	}
	pages["restno"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		return telegram.Outgoing{Text: r.sp.T("player.timer_no", "low", int(restMin), "high", int(restMax))}, nil
	}
	// t: card.
	pages["restover"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		c, err := r.myCard(t.id(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		if c.State != store.CardSent && c.State != store.CardStarted {
			return telegram.Outgoing{}, errNothing // the session is over, or held
		}
		return telegram.Outgoing{Text: r.sp.T("player.timer_over")}, nil
	}
}
