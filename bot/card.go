package bot

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/schedule"
	"pegcard/store"
)

// card words a card on its way out. One that was replaced or answered since is
// dropped.
func (r *rendering) card() (telegram.Outgoing, error) {
	c, err := r.tx.CardByID(r.out.Ref)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	if yes, err := r.tx.MayBeAsked(c.Person, r.now); err != nil || !yes {
		return telegram.Outgoing{}, orNothing(err) // consent has ended since
	}
	if c.Rev != r.out.Rev {
		was, err := r.tx.CardRevision(r.out.Ref, r.out.Rev)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		if !sameWork(was.Card, c.Card) {
			return telegram.Outgoing{}, errNothing
		}
	}
	switch c.State {
	case store.CardDone, store.CardChanged, store.CardMissed, store.CardUnanswered, store.CardReplaced:
		return telegram.Outgoing{}, errNothing
	}
	return r.cardMessage(c, c.SentMessage != 0)
}

// cardMessage is the player's card with its buttons, or first the question it
// waits for.
func (r *rendering) cardMessage(c store.CardRev, replaces bool) (telegram.Outgoing, error) {
	state, err := r.tx.State(c.Person)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	if m, waits, err := r.answerFirst(c, state); err != nil || waits {
		return m, err
	}
	if c.State == store.CardDraft && r.out.Kind == outView {
		// What was sent is void and the new one has not been approved.
		return telegram.Outgoing{Text: r.sp.T("player.card_waits"), Buttons: [][]telegram.Button{{r.button("sore", "sore"), r.button("pain", "pain")}}}, nil
	}
	in, err := r.tx.InputsOf(c.ID, c.Rev)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	place := in.Calendar.Settings[c.Card.Setting].Place
	shown := c.Card
	shown.Setting = place
	var why []string
	if replaces && c.Rev > 1 {
		if why, err = r.newReasons(c); err != nil {
			return telegram.Outgoing{}, err
		}
	}
	v := wording.View{
		Today: r.day, Remote: place != "" && place != "gym",
		CoachHold: c.Card.Kind == prescribe.CardWithheld && byCoach(c.Card),
	}
	text := r.sp.Card(shown, v)
	if c.State == store.CardStarted {
		if stop := r.stopLine(state, c); stop != "" {
			text = stop + "\n\n" + text
		}
	}
	if replaces {
		head := []string{r.sp.T("card.replaced")}
		for _, l := range why {
			if !strings.Contains(text, l) {
				head = append(head, l)
			}
		}
		text = joinLines(head) + "\n\n" + text
	}
	return telegram.Outgoing{Text: text, Buttons: r.cardButtons(c)}, nil
}

// answerFirst is the question that stands before the card, if one does: about
// pain or warning signs of today, without a place, or of a place that is
// followed.
func (r *rendering) answerFirst(c store.CardRev, state prescribe.State) (telegram.Outgoing, bool, error) {
	if begunOrOver(c.State) && c.State != store.CardStarted {
		return telegram.Outgoing{}, false, nil
	}
	until, err := cardWaits(r.tx, c.Person)
	if err != nil {
		return telegram.Outgoing{}, false, err
	}
	if until > r.now {
		d, ok, err := r.tx.Dialog(r.out.Chat)
		if err != nil {
			return telegram.Outgoing{}, false, err
		}
		if ok && questions[d.Kind] != nil {
			var q question
			if len(d.Args) > 0 {
				if err := json.Unmarshal(d.Args, &q); err != nil {
					return telegram.Outgoing{}, false, fmt.Errorf("dialog %q: %w", d.Kind, err)
				}
			}
			if q.safety(d.Kind) {
				m, err := questions[d.Kind](r, d, q)
				m.Text = r.sp.T("player.question_again") + "\n" + m.Text
				return m, true, err
			}
		}
	}
	if state.Unplaced() {
		d, ok, err := r.tx.Dialog(r.out.Chat)
		if err != nil {
			return telegram.Outgoing{}, false, err
		}
		if r.out.Kind == outCard && ok && d.Kind == askPain && r.now-d.Asked < minutes(againUrgent) {
			return telegram.Outgoing{}, false, errNothing // it has just been asked
		}
		return telegram.Outgoing{Text: r.sp.T("player.pain_unplaced"),
			Buttons: append(r.places(painFirst, "pr"), []telegram.Button{r.button("more_places", "pmore"), r.button("nothing", "pn")})}, true, nil
	}
	if asks := unasked(state, c); len(asks) > 0 && c.State != store.CardStarted {
		return r.morning(c, state, asks[0]), true, nil
	}
	return telegram.Outgoing{}, false, nil
}

// telling are the groups of reasons that tell a player why a card was replaced;
// the others are steps of the arithmetic.
var telling = []string{"soreness.", "pain.", "stop.", "limit.", "edit.", "place.", "rest.", "break.", "fever.", "dose."}

// newReasons are the first reasons of a card that its last revision did not
// have.
func (r *rendering) newReasons(c store.CardRev) ([]string, error) {
	was, err := r.tx.CardRevision(c.ID, c.Rev-1)
	if err != nil {
		return nil, err
	}
	old := map[string]bool{}
	each := func(card prescribe.Card, do func(x prescribe.Reason, key string)) {
		all := slices.Clone(card.Reasons)
		for _, it := range card.Items {
			all = append(all, it.Reasons...)
		}
		for _, x := range all {
			if x.See.Has(prescribe.ForPlayer) && slices.ContainsFunc(telling, func(p string) bool { return strings.HasPrefix(x.Code, p) }) {
				do(x, r.sp.Reason(x))
			}
		}
	}
	each(was.Card, func(_ prescribe.Reason, key string) { old[key] = true })
	var lines []string
	each(c.Card, func(_ prescribe.Reason, key string) {
		if !old[key] && len(lines) < newLines {
			old[key] = true
			lines = append(lines, key)
		}
	})
	return lines, nil
}

// newLines is how many reasons a replaced card begins with.
const newLines = 2

// begunOrOver: nothing has to be asked before the session any more.
func begunOrOver(s store.CardState) bool {
	switch s {
	case store.CardStarted, store.CardDone, store.CardChanged, store.CardMissed:
		return true
	}
	return false
}

// unasked are the places whose pain the card asks about and that nothing was
// heard of on its day.
func unasked(s prescribe.State, c store.CardRev) []prescribe.Region {
	var out []prescribe.Region
	for _, region := range c.Card.AskPain {
		heard := false
		for _, m := range s.Pain {
			heard = heard || m.Region == region && m.Day >= c.Day && !m.Unclear
		}
		if !heard {
			out = append(out, region)
		}
	}
	return out
}

// cardButtons are what can be done with a card in its state.
func (r *rendering) cardButtons(c store.CardRev) [][]telegram.Button {
	feel := []telegram.Button{r.button("sore", "sore"), r.button("pain", "pain")}
	tell := []telegram.Button{r.button("howto", newTap(verbView, "howto", c.ID)), r.button("why", newTap(verbView, "why", c.ID))}
	log := r.button("log", newTap("log", c.ID, c.Rev))
	cant := []telegram.Button{r.button("cant", newTap("cant", c.ID, c.Rev))}
	switch {
	case c.Card.Kind == prescribe.CardRest || c.Card.Kind == prescribe.CardWithheld:
		return [][]telegram.Button{feel, {r.button("why", newTap(verbView, "why", c.ID))}}
	case c.State == store.CardDone || c.State == store.CardChanged || c.State == store.CardMissed:
		return [][]telegram.Button{feel, tell}
	case hasFinding(c.Card):
		// Its loads are only found while it is done.
		return [][]telegram.Button{{log}, feel, cant, tell}
	}
	return [][]telegram.Button{{r.button("done", newTap("done", c.ID, c.Rev)), log}, feel, cant, tell}
}

// morning asks how a place is before the session is shown.
func (r *rendering) morning(c store.CardRev, s prescribe.State, region prescribe.Region) telegram.Outgoing {
	side := prescribe.Both
	if marks := followed(s, region, c.Day); len(marks) == 1 {
		side = marks[0].Side
	}
	place := wording.HTML(r.sp.Region(region, side))
	text := r.sp.T("player.pain_morning", "region", place)
	if r.now.Time().In(r.loc).Hour() >= 12 {
		text = r.sp.T("player.reminder_pain", "region", place)
	}
	if c.Card.Kind != prescribe.CardRest {
		text += "\n" + r.sp.T("player.session_after")
	}
	return telegram.Outgoing{Text: text, Buttons: scores(r.sp, func(n int) string { return newTap("pm", c.ID, region, n) })}
}

// cmdToday shows today's card, or what there is instead.
func (h *hand) cmdToday(string) error {
	c, ok, err := h.openCard()
	if err != nil {
		return err
	}
	if ok && c.Day == h.day {
		return h.view("today", c.ID)
	}
	today, exists, err := h.tx.Card(h.person.ID, h.day)
	if err != nil {
		return err
	}
	if exists && (today.Card.Kind == prescribe.CardRest && len(today.Card.AskPain) > 0 || today.Card.Kind == prescribe.CardWithheld) {
		return h.view("today", today.ID)
	}
	if sent, err := h.pausedCard(); err != nil || sent {
		return err
	}
	return h.view("nocard")
}

// pausedCard sends today's card to a player in a pause who asks for it, between
// the hour of the morning's cards and their cut-off.
func (h *hand) pausedCard() (sent bool, err error) {
	from, _, paused, err := h.tx.Pause(h.person.ID, h.day)
	if err != nil || !paused || from > h.day {
		return false, err
	}
	sq, in, err := h.tx.SquadOf(h.person.ID, h.day)
	if err != nil || !in {
		return false, err
	}
	if h.now.Time().Before(schedule.At(h.day, sq.CardsAt, h.loc)) || h.now.Time().After(schedule.CutOff(h.day, sq, h.loc)) {
		return false, nil
	}
	c, _, err := h.tx.IssueCard(h.person.ID, h.day, h.now)
	if err != nil || c.Card.Kind == prescribe.CardRest {
		return false, err
	}
	at := prescribe.InstantOf(schedule.At(h.day, sq.CardsAt, h.loc)) + 1
	return true, h.b.morningCard(h.tx, schedule.Item{Kind: schedule.Card, At: at, Day: h.day, Squad: sq.ID, Person: h.person.ID}, h.now)
}

// cmdWhy shows why today's card is as it is.
func (h *hand) cmdWhy(string) error {
	c, ok, err := h.tx.Card(h.person.ID, h.day)
	if err != nil {
		return err
	}
	if !ok {
		return h.say("player.no_card")
	}
	return h.view("why", c.ID)
}

func init() {
	pages["today"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		c, err := r.myCard(t.id(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		return r.cardMessage(c, false)
	}
	pages["nocard"] = pageNoCard
	pages["howto"] = pageHowTo
	pages["detail"] = pageDetail
	pages["why"] = pageWhy
	pages["whyitem"] = pageWhyItem
	pages["closing"] = pageClosing
}

// myCard is the reader's own card; anybody else's is not found.
func (r *rendering) myCard(id int64) (store.CardRev, error) {
	c, err := r.tx.CardByID(id)
	if err == nil && c.Person != r.person.ID {
		err = store.ErrNotFound
	}
	return c, err
}

// pageNoCard says that there is no session today, or when it comes.
func pageNoCard(r *rendering, t tap) (telegram.Outgoing, error) {
	id := "player.no_card"
	var args []any
	sq, in, err := r.tx.SquadOf(r.person.ID, r.day)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	if in {
		card, err := r.tx.Plan(r.person.ID, r.day)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		at := schedule.At(r.day, sq.CardsAt, r.loc)
		if card.Kind != prescribe.CardRest && at.After(r.now.Time()) {
			id, args = "player.no_card_yet", []any{"time", at.In(r.loc)}
		}
	}
	return telegram.Outgoing{Text: r.sp.T(id, args...), Buttons: [][]telegram.Button{{r.button("sore", "sore"), r.button("pain", "pain")}}}, nil
}

// pageHowTo lists the exercises of a card. t: card.
func pageHowTo(r *rendering, t tap) (telegram.Outgoing, error) {
	return r.exercises(t, "why.pick", "detail", nil)
}

// exercises is a button for each exercise of a card.
func (r *rendering) exercises(t tap, title, page string, extra []string) (telegram.Outgoing, error) {
	c, err := r.myCard(t.id(0))
	if err != nil {
		return telegram.Outgoing{}, err
	}
	var bs []telegram.Button
	for i, it := range c.Card.Items {
		bs = append(bs, telegram.Button{Text: plain(r.sp.Exercise(it.Exercise)), Data: newTap(verbView, page, c.ID, i)})
	}
	text := append(extra, r.sp.T(title))
	if len(bs) == 0 {
		text = extra
	}
	return telegram.Outgoing{
		Text:    strings.Join(text, "\n\n"),
		Buttons: append(rows(1, bs...), []telegram.Button{r.button("card", newTap(verbView, "today", c.ID))}),
	}, nil
}

// pageDetail is how one exercise is done. t: card, item.
func pageDetail(r *rendering, t tap) (telegram.Outgoing, error) {
	c, err := r.myCard(t.id(0))
	if err != nil {
		return telegram.Outgoing{}, err
	}
	i, _ := t.int(1)
	return telegram.Outgoing{Text: r.sp.CardDetail(c.Card, i), Buttons: r.backTo("howto", c.ID)}, nil
}

func (r *rendering) backTo(page string, card int64) [][]telegram.Button {
	return [][]telegram.Button{{r.button("back", newTap(verbView, page, card)), r.button("card", newTap(verbView, "today", card))}}
}

// pageWhy gives the reasons of the whole card. t: card.
func pageWhy(r *rendering, t tap) (telegram.Outgoing, error) {
	c, err := r.myCard(t.id(0))
	if err != nil {
		return telegram.Outgoing{}, err
	}
	lines := r.sp.Reasons(c.Card.Reasons, prescribe.ForPlayer)
	if len(lines) == 0 {
		lines = []string{r.sp.T("why.none")}
	}
	return r.exercises(t, "why.pick", "whyitem", []string{r.sp.T("why.title") + "\n" + joinLines(lines)})
}

// pageWhyItem gives the derivation of one exercise. t: card, item.
func pageWhyItem(r *rendering, t tap) (telegram.Outgoing, error) {
	c, err := r.myCard(t.id(0))
	if err != nil {
		return telegram.Outgoing{}, err
	}
	i, ok := t.int(1)
	if !ok || i < 0 || i >= len(c.Card.Items) {
		return telegram.Outgoing{}, store.ErrNotFound
	}
	it := c.Card.Items[i]
	lines := r.sp.Reasons(it.Reasons, prescribe.ForPlayer)
	return telegram.Outgoing{Text: "<b>" + r.sp.Exercise(it.Exercise) + "</b>\n" + joinLines(lines), Buttons: r.backTo("why", c.ID)}, nil
}

// plain is text of ours without tags, for a button.
func plain(s string) string { return telegram.StripHTML(s) }
