package bot

import (
	"fmt"
	"slices"
	"strings"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/schedule"
	"pegcard/store"
)

// Approving a card or keeping it back.

const (
	verbApprove    = "cok"  // cok:card:revision
	verbHoldCard   = "cno"  // cno:card:revision
	verbApproveAll = "call" // call:squad:day:hash of what was shown
)

// coachCard is a card of a squad that the person coaches, else ErrNotFound.
func (h *hand) coachCard(id int64) (store.CardRev, store.Squad, error) {
	return coachCard(h.tx, h.viewer, id)
}

func coachCard(tx *store.Tx, v store.Viewer, id int64) (store.CardRev, store.Squad, error) {
	c, err := tx.CardByID(id)
	if err != nil {
		return c, store.Squad{}, err
	}
	sq, ok, err := tx.SquadOf(c.Person, c.Day)
	if err != nil {
		return c, sq, err
	}
	if !ok || !v.May(sq.ID, store.RoleCoach) {
		return c, sq, store.ErrNotFound
	}
	return c, sq, nil
}

// tapApprove lets a card go out. What was tapped on is what is approved: a
// later revision is shown first.
func (h *hand) tapApprove(t tap) error {
	c, sq, err := h.coachCard(t.id(0))
	if err != nil {
		return err
	}
	rev, ok := t.int(1)
	if !ok {
		return store.ErrNotFound
	}
	switch {
	case c.Approved >= rev && c.State == store.CardApproved:
		return h.redraw("lookcard", c.ID, "approved")
	case c.Rev != rev:
		return h.redraw("lookcard", c.ID, "again")
	case !unsent(c) && !heldCard(c):
		return h.redraw("lookcard", c.ID)
	}
	late, err := h.b.approveCard(h.tx, sq, c, h.person.ID, h.now)
	if err != nil {
		return err
	}
	if late {
		return h.redraw("lookcard", c.ID, "late")
	}
	return h.redraw("lookcard", c.ID, "approved")
}

// approveCard writes a coach's yes. A card whose morning has passed goes out at
// once, unless it is too late for today: late.
func (b *Bot) approveCard(tx *store.Tx, sq store.Squad, c store.CardRev, by int64, now prescribe.Instant) (late bool, err error) {
	if err := tx.AddEdit(c.ID, by, prescribe.Edit{At: now, Kind: prescribe.EditApprove}); err != nil {
		return false, err
	}
	if err := tx.Audit(by, c.Person, "card.approve", fmt.Sprintf("card %d revision %d", c.ID, c.Rev), now); err != nil {
		return false, err
	}
	shown := c
	if c, _, err = tx.IssueCard(c.Person, c.Day, now); err != nil {
		return false, err
	}
	if trains(c.Card) && heldCard(shown) {
		// The coach lets go what the coach has kept back: the yes is to the card
		// that was shown before, if this one asks for no more.
		if before, err := tx.CardRevision(shown.ID, shown.Rev-1); err != nil {
			return false, err
		} else if !onlyReduced(before.Card, c.Card) {
			return false, nil
		}
		if err := tx.AddEdit(c.ID, by, prescribe.Edit{At: now, Kind: prescribe.EditApprove}); err != nil {
			return false, err
		}
		if c, _, err = tx.IssueCard(c.Person, c.Day, now); err != nil {
			return false, err
		}
	}
	if trains(c.Card) && c.State != store.CardSent {
		if err := tx.SetCardState(c.ID, store.CardApproved); err != nil {
			return false, err
		}
		c.State = store.CardApproved
	}
	return b.goNow(tx, sq, c, now)
}

// goNow sends a card that would be with its player already, had it not waited.
// Before its hour it does nothing; after the cut-off it is too late.
func (b *Bot) goNow(tx *store.Tx, sq store.Squad, c store.CardRev, now prescribe.Instant) (late bool, err error) {
	loc, err := b.locate(tx, c.Person, now)
	if err != nil {
		return false, err
	}
	if c.Day != prescribe.DayOf(now.Time().In(loc)) || now.Time().Before(schedule.At(c.Day, sq.CardsAt, loc)) {
		return false, nil
	}
	if now.Time().After(schedule.CutOff(c.Day, sq, loc)) {
		return true, nil
	}
	yes, err := tx.MayBeAsked(c.Person, now)
	if err != nil || !yes {
		return false, err
	}
	if c.Card.Kind == prescribe.CardWithheld {
		if err := tx.SetCardState(c.ID, store.CardWithheld); err != nil {
			return false, err
		}
	}
	ok, err := b.mayGo(tx, sq.ID, c)
	if err != nil || !ok {
		return false, err
	}
	return false, b.sendCard(tx, c, now)
}

// tapHoldCard keeps a card back. The player is told that the coach has held the
// session, so that nobody waits for it.
func (h *hand) tapHoldCard(t tap) error {
	c, sq, err := h.coachCard(t.id(0))
	if err != nil {
		return err
	}
	rev, ok := t.int(1)
	switch {
	case !ok:
		return store.ErrNotFound
	case heldCard(c):
		return h.redraw("lookcard", c.ID, "held")
	case c.Rev != rev:
		return h.redraw("lookcard", c.ID, "again")
	case !unsent(c):
		return h.redraw("lookcard", c.ID)
	}
	if err := h.tx.AddEdit(c.ID, h.person.ID, prescribe.Edit{At: h.now, Kind: prescribe.EditHold}); err != nil {
		return err
	}
	if err := h.tx.Audit(h.person.ID, c.Person, "card.hold", fmt.Sprintf("card %d revision %d", c.ID, c.Rev), h.now); err != nil {
		return err
	}
	if c, _, err = h.tx.IssueCard(c.Person, c.Day, h.now); err != nil {
		return err
	}
	if _, err := h.b.goNow(h.tx, sq, c, h.now); err != nil {
		return err
	}
	return h.redraw("lookcard", c.ID, "held")
}

// tapApproveAll approves the cards that were shown. When one of them is another
// by now, nothing is approved and they are shown again.
func (h *hand) tapApproveAll(t tap) error {
	squad := t.id(0)
	day, err := prescribe.ParseDay(t.str(1))
	if err != nil || !h.viewer.May(squad, store.RoleCoach) {
		return store.ErrNotFound
	}
	sq, err := h.tx.Squad(squad)
	if err != nil {
		return err
	}
	r := &rendering{b: h.b, tx: h.tx, now: h.now, person: h.person, known: true, sp: h.sp, loc: h.loc, day: h.day, viewer: h.viewer}
	list, err := r.lookAt(sq, day)
	if err != nil {
		return err
	}
	if lookHash(list) != t.str(2) {
		open := slices.ContainsFunc(list, func(l looked) bool { return l.card.State == store.CardDraft && trains(l.card.Card) })
		if !open {
			return h.redraw("look", squad, day) // approved already
		}
		return h.redraw("look", squad, day, "again")
	}
	n := 0
	for _, l := range list {
		if l.card.State != store.CardDraft || !trains(l.card.Card) {
			continue
		}
		c, err := h.tx.CardByID(l.card.ID) // with all its reasons
		if err != nil {
			return err
		}
		if _, err := h.b.approveCard(h.tx, sq, c, h.person.ID, h.now); err != nil {
			return err
		}
		n++
	}
	return h.redraw("lookdone", squad, day, n)
}

// askApproval shows the coaches a card that cannot go out before one of them
// has approved it, once.
func (b *Bot) askApproval(tx *store.Tx, squad int64, c store.CardRev, now prescribe.Instant) error {
	sq, err := tx.Squad(squad)
	if err != nil {
		return err
	}
	coaches, err := b.joined(tx, squad, store.RoleCoach, c.Day)
	if err != nil {
		return err
	}
	for _, p := range coaches {
		notBefore := prescribe.InstantOf(schedule.AfterQuiet(now.Time(), sq.QuietFrom, sq.QuietTo, b.location(p.Zone)))
		if _, _, err := tx.Enqueue(store.Out{Kind: outView, Recipient: p.ID, Args: newTap("lookcard", c.ID, "waits"), Priority: prioAlert,
			NotBefore: notBefore, Expires: notBefore + hours(12), Dedup: fmt.Sprintf("waits/%d/%d/%d", c.ID, c.Rev, p.ID)}); err != nil {
			return err
		}
	}
	return nil
}

// lookHeads are the first lines of a card's page, by what happened.
var lookHeads = map[string]string{
	"approved": "draft.approved",
	"held":     "draft.held",
	"again":    "draft.changed_overnight",
	"waits":    "draft.waits_for_you",
	"late":     "draft.too_late",
	"new":      "draft.edited",
}

func init() {
	// lookcard:card[:what happened] is one card before its coach.
	pages["lookcard"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		c, sq, err := coachCard(r.tx, r.viewer, t.id(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		if t.str(1) == "waits" {
			// It may have been approved, or changed, since this was put on its way.
			if waits, err := r.b.waits(r.tx, sq.ID, c); err != nil || !waits {
				return telegram.Outgoing{}, orNothing(err)
			}
		}
		text, err := r.coachsView(c)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		if id, ok := lookHeads[t.str(1)]; ok {
			p, err := r.tx.Person(c.Person)
			if err != nil {
				return telegram.Outgoing{}, err
			}
			text = r.sp.T(id, "name", p.Name) + "\n\n" + text
		}
		m := telegram.Outgoing{Text: text}
		row, err := r.cardChoices(c)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		if len(row) > 0 {
			m.Buttons = append(m.Buttons, row)
		}
		m.Buttons = append(m.Buttons, []telegram.Button{
			r.button("why", newTap(verbView, "coachwhy", c.ID)),
			r.button("back", newTap(verbView, "look", sq.ID, c.Day)),
		})
		return m, nil
	}
	pages["lookdone"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		n, _ := t.int(2)
		return telegram.Outgoing{Text: r.sp.T("draft.approved_all", "n", n), Buttons: [][]telegram.Button{
			{r.button("back", newTap(verbView, "look", t.str(0), t.str(1)))}}}, nil
	}
}

func orNothing(err error) error {
	if err == nil {
		return errNothing
	}
	return err
}

// byCoach: what withholds the card is the coach's own doing.
func byCoach(c prescribe.Card) bool {
	own := false
	for _, reason := range c.Reasons {
		if reason.Code == "stop.restricted" {
			return false
		}
		own = own || reason.Code == "edit.hold" || reason.Code == "stop.hold"
	}
	return own
}

// heldWords is what a player reads of a card that is withheld: whom to talk to.
func heldWords(c prescribe.Card) string {
	if byCoach(c) {
		return "card.withheld_coach_hold"
	}
	return "player.held"
}

// coachsView is a card as its coach reads it, with what is unusual.
func (r *rendering) coachsView(c store.CardRev) (string, error) {
	p, err := r.tx.Person(c.Person)
	if err != nil {
		return "", err
	}
	sq, _, err := r.tx.SquadOf(c.Person, c.Day)
	if err != nil {
		return "", err
	}
	waits, err := r.b.waits(r.tx, sq.ID, c)
	if err != nil {
		return "", err
	}
	place := ""
	in, err := r.tx.InputsOf(c.ID, c.Rev)
	if err != nil {
		return "", err
	}
	place = in.Calendar.Settings[c.Card.Setting].Place
	seen, err := r.tx.ViewCard(r.viewer, c.Person, c.Day)
	if err != nil {
		return "", err
	}
	shown := seen.Card
	shown.Setting = place
	shown.Approval = waits
	text := r.sp.Card(shown, wording.View{CoachHold: byCoach(seen.Card), Audience: prescribe.ForCoach, Name: p.Name, Today: r.day, Draft: c.State == store.CardDraft, Remote: place != "" && place != "gym"})
	if !trains(c.Card) {
		return text, nil // the card says why already
	}
	notes := r.unusual(seen, waits)
	for _, it := range seen.Card.Items {
		for _, reason := range it.Reasons {
			if startsWithAny(reason.Code, []string{"edit."}) {
				notes = append(notes, r.sp.T("draft.line", "name", wording.HTML(r.sp.Exercise(it.Exercise)), "what", wording.HTML(r.sp.Reason(reason))))
			}
		}
	}
	notes = slices.DeleteFunc(notes, func(n string) bool { return strings.Contains(text, n) }) // it says so itself
	if len(notes) > 0 {
		text += "\n"
	}
	for _, s := range notes {
		text += "\n• " + s
	}
	return text, nil
}
