package bot

import (
	"fmt"
	"hash/fnv"
	"slices"
	"strings"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/schedule"
	"pegcard/store"
)

// The look-over: the day's cards before they go out, what is unusual first.

const (
	// lookButtons is how many cards of the look-over get buttons of their own;
	// the others are behind the list of all cards.
	lookButtons = 20
	// lookReasons is how much is said of one card there.
	lookReasons = 3
	// loadNews is the change of load, as a fraction, that a coach wants to see
	// (our choice).
	loadNews = 0.05
)

// cmdCards shows the cards that are still to go out: today's, else tomorrow's.
func (h *hand) cmdCards(string) error {
	for _, role := range h.roles {
		if role.Role != store.RoleCoach {
			continue
		}
		sq, err := h.tx.Squad(role.Squad)
		if err != nil {
			return err
		}
		day, err := h.b.lookOverDay(h.tx, sq, h.now)
		if err != nil {
			return err
		}
		if err := h.answer(store.Out{Kind: outLookOver, Ref: sq.ID, Args: day.String()}); err != nil {
			return err
		}
	}
	return nil
}

// lookOverDay is today while cards of today may still go out, else tomorrow,
// whose cards are then worked out.
func (b *Bot) lookOverDay(tx *store.Tx, sq store.Squad, now prescribe.Instant) (prescribe.Day, error) {
	loc := b.location(sq.Zone)
	today := prescribe.DayOf(now.Time().In(loc))
	if now.Time().Before(schedule.CutOff(today, sq, loc)) {
		cards, err := tx.CardsOn(sq.ID, today)
		if err != nil {
			return 0, err
		}
		for _, c := range cards {
			if unsent(c) && trains(c.Card) {
				return today, nil
			}
		}
	}
	return today + 1, b.draftCards(tx, schedule.Item{Squad: sq.ID, Day: today + 1}, now)
}

// unsent: nobody but staff has seen the card.
func unsent(c store.CardRev) bool {
	return c.State == store.CardDraft || c.State == store.CardApproved
}

// trains: the card asks for work.
func trains(c prescribe.Card) bool {
	return c.Kind == prescribe.CardTrain || c.Kind == prescribe.CardFinding
}

// looked is a card of the look-over with what is unusual about it.
type looked struct {
	card   store.CardRev
	person store.Person
	waits  bool     // goes out only when a coach approves it
	why    []string // HTML; empty: as usual
}

// lookAt gathers a squad's cards of the day, as their coach may read them.
func (r *rendering) lookAt(sq store.Squad, day prescribe.Day) ([]looked, error) {
	cards, err := r.tx.CardsOn(sq.ID, day)
	if err != nil {
		return nil, err
	}
	var out []looked
	for _, c := range cards {
		if c.Card.Kind == prescribe.CardRest {
			continue
		}
		p, err := r.tx.Person(c.Person)
		if err != nil {
			return nil, err
		}
		if p.Chat == 0 {
			continue // nothing can go out to somebody who has not joined
		}
		waits, err := r.b.waits(r.tx, sq.ID, c)
		if err != nil {
			return nil, err
		}
		if c, err = r.tx.ViewCard(r.viewer, c.Person, day); err != nil {
			return nil, err
		}
		out = append(out, looked{card: c, person: p, waits: waits, why: r.unusual(c, waits)})
	}
	return out, nil
}

// waits reports whether the card stays here until a coach approves it.
func (b *Bot) waits(tx *store.Tx, squad int64, c store.CardRev) (bool, error) {
	if !unsent(c) || !trains(c.Card) {
		return false, nil
	}
	ok, err := b.mayGo(tx, squad, c)
	return !ok, err
}

// unusual is what a coach wants to look at before the card goes out: HTML, the
// weightiest first.
func (r *rendering) unusual(c store.CardRev, waits bool) []string {
	var out []string
	add := func(s string) {
		if len(out) < lookReasons && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	said := false
	for _, group := range [][]string{
		{"edit.hold", "stop."}, {"approval."}, {"edit.refused"}, {"place.after_break"}, {"limit.medical_cap", "limit.restricted", "limit.cap"},
	} {
		for _, reason := range c.Card.Reasons {
			approval := startsWithAny(reason.Code, []string{"approval."})
			if reason.See.Has(prescribe.ForCoach) && startsWithAny(reason.Code, group) && (waits || !approval) {
				add(r.sp.Reason(reason))
				said = said || approval
			}
		}
	}
	if c.Card.Kind == prescribe.CardWithheld && len(out) == 0 {
		add(r.sp.T("card.withheld_staff"))
	}
	if waits && !said {
		add(r.sp.T("draft.needs_approval"))
	}
	if c.Card.Kind == prescribe.CardFinding {
		add(r.sp.T("card.title.finding"))
	}
	for _, it := range c.Card.Items {
		if it.Finding && c.Card.Kind != prescribe.CardFinding {
			add(r.sp.T("draft.line", "name", wording.HTML(r.sp.Exercise(it.Exercise)), "what", wording.HTML(r.sp.T("card.title.finding"))))
		}
		for _, reason := range it.Reasons {
			switch {
			case !reason.See.Has(prescribe.ForCoach):
			case loadChanged(reason):
				add(r.sp.T("draft.item", "exercise", it.Exercise, "reason", wording.HTML(r.sp.Reason(reason))))
			case startsWithAny(reason.Code, []string{"soreness.", "pain."}):
				add(r.sp.T("draft.line", "name", wording.HTML(r.sp.Exercise(it.Exercise)), "what", wording.HTML(r.sp.Reason(reason))))
			}
		}
	}
	for _, reason := range c.Card.Reasons {
		if reason.See.Has(prescribe.ForCoach) && reason.Code == "change.withdrawn" {
			add(r.sp.Reason(reason))
		}
	}
	return out
}

func startsWithAny(s string, prefixes []string) bool {
	return slices.ContainsFunc(prefixes, func(p string) bool { return len(s) >= len(p) && s[:len(p)] == p })
}

// loadChanged: the load differs from the last one by more than loadNews.
func loadChanged(reason prescribe.Reason) bool {
	if !slices.Contains([]string{"change.load_up", "change.load_down", "change.load_harder"}, reason.Code) {
		return false
	}
	var from, to float64
	for _, a := range reason.Args {
		switch a.Name {
		case "from":
			from = a.Num
		case "to":
			to = a.Num
		}
	}
	return from > 0 && (to > from*(1+loadNews) || to < from*(1-loadNews))
}

// lookOver words the look-over of one squad and day.
func (r *rendering) lookOver() (telegram.Outgoing, error) {
	day, err := prescribe.ParseDay(r.out.Args)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	return r.lookPage(r.out.Ref, day, false)
}

// lookPage words the look-over; again: the cards are others than those that
// were to be approved.
func (r *rendering) lookPage(squad int64, day prescribe.Day, again bool) (telegram.Outgoing, error) {
	if !r.viewer.May(squad, store.RoleCoach) {
		return telegram.Outgoing{}, errNothing // the role has gone since
	}
	sq, err := r.tx.Squad(squad)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	list, err := r.lookAt(sq, day)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	// What nobody asked for is sent only when there is something to look at: in
	// the evening any card, in the morning one that waits.
	unasked := r.out.Dedup != ""
	if unasked && (len(list) == 0 || day <= r.day && !slices.ContainsFunc(list, func(l looked) bool { return l.waits })) {
		return telegram.Outgoing{}, errNothing
	}
	if len(list) == 0 {
		return telegram.Outgoing{Text: r.lookTitle(sq, day, 0)}, nil
	}
	m := telegram.Outgoing{Text: r.lookTitle(sq, day, len(list))}
	if again {
		m.Text = r.sp.T("draft.changed_since") + "\n\n" + m.Text
	}
	usual, open, waits, n := 0, 0, 0, 0
	for _, l := range list {
		if unsent(l.card) && trains(l.card.Card) && l.card.State != store.CardApproved {
			open++
			if alwaysApproved(l.card.Card) {
				waits++
			}
		}
		if len(l.why) == 0 {
			usual++
			continue
		}
		if n == 0 {
			m.Text += "\n\n" + r.sp.T("draft.unusual")
		}
		n++
		what := joinSemicolons(l.why)
		if l.card.State == store.CardApproved {
			what += " (" + r.sp.State(string(store.CardApproved)) + ")"
		} else if !unsent(l.card) {
			what += " (" + r.sp.State(string(l.card.State)) + ")"
		}
		m.Text += fmt.Sprintf("\n%d. %s", n, r.sp.T("draft.line", "name", l.person.Name, "what", wording.HTML(what)))
		if n <= lookButtons {
			row, err := r.lookRow(l, n)
			if err != nil {
				return telegram.Outgoing{}, err
			}
			if len(row) > 0 {
				m.Buttons = append(m.Buttons, row)
			}
		}
	}
	if usual > 0 {
		m.Text += "\n\n" + r.sp.T("draft.usual", "n", usual)
	}
	if open > 0 {
		goes := schedule.At(day, sq.CardsAt, r.b.location(sq.Zone))
		switch {
		case prescribe.InstantOf(goes) <= r.now:
			m.Text += "\n" + r.sp.T("draft.waiting_now")
		case sq.Review == "must":
			m.Text += "\n" + r.sp.T("draft.until", "time", goes, "what", wording.HTML(r.sp.T("draft.waits")))
		case waits > 0:
			m.Text += "\n" + r.sp.T("draft.until_mixed", "time", goes)
		default:
			m.Text += "\n" + r.sp.T("draft.until", "time", goes, "what", wording.HTML(r.sp.T("draft.goes")))
		}
		m.Buttons = append(m.Buttons, []telegram.Button{r.button("approve_all", newTap(verbApproveAll, sq.ID, day, lookHash(list)))})
	}
	m.Buttons = append(m.Buttons, []telegram.Button{r.button("all_cards", newTap(verbView, "lookall", sq.ID, day))})
	return m, nil
}

// lookTitle is the squad, the day and how many cards there are.
func (r *rendering) lookTitle(sq store.Squad, day prescribe.Day, n int) string {
	head := "<b>" + r.sp.Format(sq.Name) + "</b>\n"
	tomorrow := day == r.day+1
	switch {
	case n == 0 && tomorrow:
		return head + r.sp.T("draft.none")
	case n == 0:
		return head + r.sp.T("draft.none_day", "day", day)
	case tomorrow:
		return head + r.sp.T("draft.title", "day", day, "n", n)
	}
	return head + r.sp.T("draft.title_day", "day", day, "n", n)
}

// joinSemicolons joins sentences into one line.
func joinSemicolons(parts []string) string {
	for i, p := range parts {
		parts[i] = strings.TrimSuffix(p, ".")
	}
	return strings.Join(parts, "; ")
}

// lookRow is the buttons of one card in the list, by its number there.
func (r *rendering) lookRow(l looked, n int) ([]telegram.Button, error) {
	numbered := func(b telegram.Button) telegram.Button {
		b.Text = clip(fmt.Sprintf("%d: %s", n, b.Text), 24)
		return b
	}
	choices, err := r.cardChoices(l.card)
	for i, b := range choices {
		choices[i] = numbered(b)
	}
	return choices, err
}

// cardChoices is what a coach can do with a card that has not gone out.
func (r *rendering) cardChoices(c store.CardRev) ([]telegram.Button, error) {
	out, err := r.onItsWay(c)
	if err != nil {
		return nil, err
	}
	approve := r.button("approve", newTap(verbApprove, c.ID, c.Rev))
	keep := r.button("hold_card", newTap(verbHoldCard, c.ID, c.Rev))
	edit := r.button("edit", newTap(verbView, "cardedit", c.ID))
	switch {
	case heldCard(c):
		return []telegram.Button{approve}, nil
	case !trains(c.Card):
		return nil, nil
	case c.State == store.CardDraft:
		return []telegram.Button{approve, keep, edit}, nil
	case c.State == store.CardSent || out:
		return []telegram.Button{edit}, nil
	case c.State == store.CardApproved:
		return []telegram.Button{keep, edit}, nil
	}
	return nil, nil
}

// onItsWay: an approved card whose hour has passed waits for the network only.
func (r *rendering) onItsWay(c store.CardRev) (bool, error) {
	if c.State != store.CardApproved {
		return false, nil
	}
	loc, err := r.b.locate(r.tx, c.Person, r.now)
	if err != nil {
		return false, err
	}
	sq, _, err := r.tx.SquadOf(c.Person, c.Day)
	return err == nil && !r.now.Time().Before(schedule.At(c.Day, sq.CardsAt, loc)), err
}

// heldCard: a coach has kept this one card back, and nothing else does.
func heldCard(c store.CardRev) bool {
	if c.Card.Kind != prescribe.CardWithheld {
		return false
	}
	held := false
	for _, reason := range c.Card.Reasons {
		if startsWithAny(reason.Code, []string{"stop."}) {
			return false
		}
		held = held || reason.Code == "edit.hold"
	}
	return held
}

// lookHash stands for the cards as they were shown: approving all of them means
// these revisions and no others.
func lookHash(list []looked) string {
	f := fnv.New32a()
	for _, l := range list {
		fmt.Fprintf(f, "%d/%d;", l.card.ID, l.card.Rev)
	}
	return fmt.Sprintf("%08x", f.Sum32())
}

func init() {
	pages["look"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		day, err := prescribe.ParseDay(t.str(1))
		if err != nil {
			return telegram.Outgoing{}, store.ErrNotFound // no button of ours says so
		}
		return r.lookPage(t.id(0), day, t.str(2) == "again")
	}
	// lookall:squad:day is a button for each card of the day.
	pages["lookall"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		day, err := prescribe.ParseDay(t.str(1))
		if err != nil {
			return telegram.Outgoing{}, store.ErrNotFound // no button of ours says so
		}
		if !r.viewer.May(t.id(0), store.RoleCoach) {
			return telegram.Outgoing{}, errNothing
		}
		sq, err := r.tx.Squad(t.id(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		list, err := r.lookAt(sq, day)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		m := telegram.Outgoing{Text: r.lookTitle(sq, day, len(list)) + "\n" + r.sp.T("staff.which_player")}
		var buttons []telegram.Button
		for _, l := range list {
			buttons = append(buttons, telegram.Button{Text: clip(l.person.Key+" "+l.person.Name, 24), Data: newTap(verbView, "lookcard", l.card.ID)})
		}
		m.Buttons = append(rows(2, buttons...), []telegram.Button{r.button("back", newTap(verbView, "look", sq.ID, day))})
		return m, nil
	}
}
