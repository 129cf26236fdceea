package bot

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"slices"
	"strings"
	"sync"
	"time"

	"pegcard/bot/telegram"
	"pegcard/prescribe"
	"pegcard/schedule"
	"pegcard/store"
)

// ticker remembers when the next thing is due, so that most minutes cost one
// comparison.
type ticker struct {
	run  sync.Mutex        // one tick at a time: cron's, and the moved clock's
	kept prescribe.Day     // of the last nightly pass, UTC; guarded by run
	keep prescribe.Instant // not before: a pass that failed is tried again later; guarded by run

	mu    sync.Mutex
	next  prescribe.Instant
	valid bool
	gen   int // counts invalidations: one during a tick must not be overwritten
}

func (t *ticker) invalidate() {
	t.mu.Lock()
	t.valid, t.gen = false, t.gen+1
	t.mu.Unlock()
}

func (t *ticker) quiet(now prescribe.Instant) (gen int, quiet bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.gen, t.valid && now < t.next
}

func (t *ticker) set(gen int, next prescribe.Instant) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.gen == gen {
		t.next, t.valid = next, true
	}
}

// lookAgain bounds how long the cached instant is believed.
const lookAgain = 6 * time.Hour

// Tick does all that is due by now. Cron calls it each minute, and the moved
// clock at each due instant.
func (b *Bot) Tick(ctx context.Context) error {
	b.ticker.run.Lock()
	defer b.ticker.run.Unlock()
	at := b.Now()
	now := prescribe.InstantOf(at)
	if err := b.workReplans(ctx, now); err != nil && ctx.Err() == nil {
		b.Logger.Error("what another process left to do could not be done and is tried again", "event", "handover.failed", "err", err)
	}
	gen, quiet := b.ticker.quiet(now)
	if quiet {
		return nil
	}
	in, alerts, err := b.dueNow(ctx, now)
	if err != nil {
		return err
	}
	items, err := schedule.Due(in, at)
	if err != nil {
		return err
	}
	// Alerts first. One thing that cannot be done stops none of the others: it
	// keeps its key, and is tried again in a minute.
	var failed []error
	once := func(what, key string, fn func(tx *store.Tx) error) {
		if ctx.Err() != nil {
			return // stopping: the next start finds it
		}
		if err := b.guarded(ctx, key, now, fn); err != nil {
			b.Logger.Error("something due could not be done and is tried again", "event", "due.failed", "kind", what, "err", err)
			failed = append(failed, fmt.Errorf("%s: %w", what, err))
			b.status.due.WithLabelValues("failed").Inc()
			return
		}
		b.status.due.WithLabelValues("done").Inc()
		in.Done[key] = true
	}
	for _, a := range alerts {
		once("alert", fmt.Sprintf("alert/%d/%d", a.ID, a.NextAt), func(tx *store.Tx) error { return b.escalate(tx, a, now) })
	}
	for _, it := range items {
		once(string(it.Kind), it.Key, func(tx *store.Tx) error {
			b.Hooks.at("due.in_transaction")
			return b.perform(tx, it, now)
		})
	}
	if len(items)+len(alerts) > 0 {
		b.sender.wake()
	}
	b.nightly(ctx, prescribe.DayOf(at.UTC()), now)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if len(failed) > 0 {
		return errors.Join(failed...) // and nothing is cached: the next minute looks again
	}
	// What was read before the work still says what comes next: what the work
	// adds is due no earlier than the next morning's cards, which are in it.
	ev, ok, err := b.nextIn(ctx, in, at)
	if err != nil {
		return err
	}
	next := prescribe.InstantOf(at.Add(lookAgain))
	if ok && ev.At < next {
		next = ev.At
	}
	b.ticker.set(gen, next)
	return nil
}

// guarded is Once with a panic turned into an error: one thing that is wrong
// must not take the process down with everything else.
func (b *Bot) guarded(ctx context.Context, key string, now prescribe.Instant, fn func(tx *store.Tx) error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic %T at %s", p, telegram.PanicPlace(debug.Stack()))
		}
	}()
	_, err = b.Store.Once(ctx, key, now, fn)
	return err
}

func (b *Bot) dueNow(ctx context.Context, now prescribe.Instant) (in store.DueInputs, alerts []store.Alert, err error) {
	err = b.Store.Read(ctx, func(tx *store.Tx) error {
		if in, err = tx.DueInputs(now); err != nil {
			return err
		}
		alerts, err = tx.DueAlerts(now)
		return err
	})
	return in, alerts, err
}

// Next is the next thing that will happen by itself: something due, or an
// alert that will be sent again.
func (b *Bot) Next(ctx context.Context, at time.Time) (schedule.Item, bool, error) {
	var in store.DueInputs
	if err := b.Store.Read(ctx, func(tx *store.Tx) (err error) {
		in, err = tx.DueInputs(prescribe.InstantOf(at))
		return err
	}); err != nil {
		return schedule.Item{}, false, err
	}
	return b.nextIn(ctx, in, at)
}

func (b *Bot) nextIn(ctx context.Context, in store.DueInputs, at time.Time) (schedule.Item, bool, error) {
	now := prescribe.InstantOf(at)
	ev, ok, err := schedule.Next(in, at)
	if err != nil {
		return schedule.Item{}, false, err
	}
	// Alerts that will be due: those due by the event found, or by tomorrow.
	horizon := prescribe.InstantOf(at.Add(24 * time.Hour))
	if ok {
		horizon = ev.At
	}
	var alerts []store.Alert
	if err := b.Store.Read(ctx, func(tx *store.Tx) (err error) {
		alerts, err = tx.DueAlerts(horizon)
		return err
	}); err != nil {
		return schedule.Item{}, false, err
	}
	for _, a := range alerts {
		if a.NextAt > now && (!ok || a.NextAt < ev.At) {
			ev, ok = schedule.Item{Kind: AlertAgain, At: a.NextAt, Person: a.Person, Squad: a.Squad}, true
		}
	}
	return ev, ok, nil
}

// AlertAgain is the kind of an alert that is sent again; it comes from the
// alert's own row, not from the schedule.
const AlertAgain schedule.Kind = "alert"

// perform does one due thing inside its transaction.
func (b *Bot) perform(tx *store.Tx, it schedule.Item, now prescribe.Instant) error {
	switch it.Kind {
	case schedule.Close:
		return b.closeCard(tx, it, now)
	case schedule.Draft:
		return b.draftCards(tx, it, now)
	case schedule.LookOver:
		return b.lookOver(tx, it, now)
	case schedule.Card:
		return b.morningCard(tx, it, now)
	case schedule.Waiting:
		return b.waiting(tx, it, now)
	case schedule.TooLate:
		return tx.Audit(0, it.Person, "card.too_late", it.Day.String(), now)
	case schedule.Week:
		_, _, err := tx.Enqueue(store.Out{Kind: outView, Recipient: it.Person, Args: newTap("week", it.Day), Priority: prioCard,
			Expires: now + hours(20), Dedup: it.Key})
		return err
	case schedule.Digest:
		if _, _, err := tx.Enqueue(store.Out{
			Kind: outPicture, Recipient: it.Person, Ref: it.Squad, Args: newTap("day", it.Role, it.Day),
			Priority: prioDigest, Expires: now + hours(20), Dedup: it.Key + "/picture",
		}); err != nil {
			return err
		}
		_, _, err := tx.Enqueue(store.Out{
			Kind: outDigest, Recipient: it.Person, Ref: it.Squad, Args: newTap(string(it.Role), it.Day),
			Priority: prioDigest, Expires: now + hours(20), Dedup: it.Key,
		})
		return err
	case schedule.Weekly:
		monday := it.Day.Monday() - 7 // the last whole week
		return b.sendReport(tx, it.Person, it.Squad, it.Role, monday, monday+6, it.Key, now)
	case schedule.Monthly:
		last := it.Day - 1
		return b.sendReport(tx, it.Person, it.Squad, it.Role, firstOfMonth(last), last, it.Key, now)
	}
	return fmt.Errorf("nothing is known to do for %q", it.Kind)
}

// morningCard works out today's card and puts it on its way, unless it waits
// for approval.
func (b *Bot) morningCard(tx *store.Tx, it schedule.Item, now prescribe.Instant) error {
	c, _, err := tx.IssueCard(it.Person, it.Day, now)
	if err != nil {
		return err
	}
	if c.State == store.CardSent || c.State == store.CardStarted {
		return nil
	}
	switch c.Card.Kind {
	case prescribe.CardRest:
		return b.askMorning(tx, c, now) // nothing to do; perhaps something to be asked
	case prescribe.CardWithheld:
		if err := tx.SetCardState(c.ID, store.CardWithheld); err != nil {
			return err
		}
	}
	ok, err := b.mayGo(tx, it.Squad, c)
	if err != nil {
		return err
	}
	if !ok {
		if err := unapprove(tx, c); err != nil {
			return err
		}
		sq, err := tx.Squad(it.Squad)
		if err != nil {
			return err
		}
		if it.At <= prescribe.InstantOf(schedule.At(it.Day, sq.CardsAt, b.location(sq.Zone))) {
			return nil // told with the others of the squad, see waiting
		}
		return b.askApproval(tx, it.Squad, c, now)
	}
	return b.sendCard(tx, c, now)
}

// unapprove: what was approved is another card by now, and waits.
func unapprove(tx *store.Tx, c store.CardRev) error {
	if c.State != store.CardApproved {
		return nil
	}
	return tx.SetCardState(c.ID, store.CardDraft)
}

// waiting tells the coaches which of the morning's cards wait for them, in one
// message.
func (b *Bot) waiting(tx *store.Tx, it schedule.Item, now prescribe.Instant) error {
	cards, err := tx.DraftsOn(it.Squad, it.Day)
	if err != nil {
		return err
	}
	for _, c := range cards {
		if !trains(c.Card) {
			continue
		}
		ok, err := b.mayGo(tx, it.Squad, c)
		if err != nil {
			return err
		}
		if !ok {
			return b.lookOver(tx, it, now)
		}
	}
	return nil
}

// mayGo reports whether a card goes out without anybody looking at it.
func (b *Bot) mayGo(tx *store.Tx, squad int64, c store.CardRev) (bool, error) {
	if c.Card.Kind == prescribe.CardWithheld {
		return true, nil // a stop needs nobody's approval
	}
	if stopped, err := stoppedSince(tx, c); err != nil || stopped {
		return false, err
	}
	if c.Approved == c.Rev {
		return true, nil
	}
	sq, err := tx.Squad(squad)
	if err != nil {
		return false, err
	}
	carried := false
	if c.Approved > 0 {
		old, err := tx.CardRevision(c.ID, c.Approved)
		if err != nil {
			return false, err
		}
		carried = onlyReduced(old.Card, c.Card)
	}
	switch {
	case carried:
		return true, nil
	case alwaysApproved(c.Card) || sq.Review == "must":
		return false, nil
	case c.Approved > 0:
		return sq.Unapproved == "go", nil
	}
	return true, nil
}

// alwaysApproved reports whether the card is of a kind that never goes out
// unseen: of an under-18, after a medical stop, with accentuated work. An
// approve edit clears the card's own flag, also on later revisions that ask for
// more; the reasons stay.
func alwaysApproved(c prescribe.Card) bool {
	if c.Approval {
		return true
	}
	for _, r := range c.Reasons {
		if strings.HasPrefix(r.Code, "approval.") {
			return true
		}
	}
	return false
}

// stoppedSince reports whether medical staff have released the player after the
// card was approved: that yes was to a card before the stop, and the first one
// after it waits for another.
func stoppedSince(tx *store.Tx, c store.CardRev) (bool, error) {
	if c.Approved == 0 {
		return false, nil // the card itself says that it waits
	}
	in, err := tx.Inputs(c.Person, c.Day)
	if err != nil || !in.State.Medical.First {
		return false, err
	}
	approved := prescribe.Instant(0)
	for _, e := range in.Edits {
		if e.Kind == prescribe.EditApprove {
			approved = max(approved, e.At)
		}
	}
	events, err := tx.Events(c.Person, in.State.Medical.Released, c.Day)
	if err != nil {
		return false, err
	}
	for _, e := range events {
		if e.Release != nil && e.Release.Medical && e.At > approved {
			return true, nil
		}
	}
	return false, nil
}

// onlyReduced reports whether the new card asks for nothing that the old one
// did not: the approval of the old one carries over.
func onlyReduced(old, now prescribe.Card) bool {
	if now.Kind != old.Kind || now.Template != old.Template {
		return now.Kind == prescribe.CardRest || now.Kind == prescribe.CardWithheld
	}
	was := map[string]prescribe.Item{}
	for _, it := range old.Items {
		was[it.Slot] = it
	}
	for _, it := range now.Items {
		o, ok := was[it.Slot]
		if !ok || o.Exercise != it.Exercise || it.Sets > o.Sets || it.Reps > o.Reps || it.Load > o.Load ||
			it.EccLoad > o.EccLoad || it.Inertia > o.Inertia || it.Seconds > o.Seconds || it.Level > o.Level {
			return false
		}
	}
	return true
}

// askMorning asks how a place is that is followed, if nothing has been heard of
// it today.
func (b *Bot) askMorning(tx *store.Tx, c store.CardRev, now prescribe.Instant) error {
	if yes, err := tx.MayBeAsked(c.Person, now); err != nil || !yes {
		return err
	}
	state, err := tx.State(c.Person)
	if err != nil || len(unasked(state, c)) == 0 {
		return err
	}
	until, err := cardWaits(tx, c.Person)
	if err != nil {
		return err
	}
	_, _, err = tx.Enqueue(store.Out{
		Kind: outView, Recipient: c.Person, Args: newTap(pageMorning, c.ID), Priority: prioCard,
		NotBefore: until, Expires: now + hours(20), Dedup: fmt.Sprintf("morning/%d", c.ID),
	})
	return err
}

// sendCard enqueues the card's latest revision, or the question that comes
// before it: the card follows the answer. To a player whose consent has ended
// nothing goes out.
func (b *Bot) sendCard(tx *store.Tx, c store.CardRev, now prescribe.Instant) error {
	if yes, err := tx.MayBeAsked(c.Person, now); err != nil || !yes {
		return err
	}
	state, err := tx.State(c.Person)
	if err != nil {
		return err
	}
	if len(unasked(state, c)) > 0 {
		return b.askMorning(tx, c, now)
	}
	until, err := cardWaits(tx, c.Person)
	if err != nil {
		return err
	}
	_, _, err = tx.Enqueue(store.Out{
		Kind: outCard, Recipient: c.Person, Ref: c.ID, Rev: c.Rev, Priority: prioCard,
		NotBefore: until, Expires: now + hours(20), Dedup: fmt.Sprintf("card/%d/%d", c.ID, c.Rev),
	})
	return err
}

// afterSent is what follows from a message having arrived.
func (b *Bot) afterSent(tx *store.Tx, o store.Out) error {
	card := o.Ref
	switch {
	case o.Kind == outCard:
	case o.Kind == outView && readTap(o.Args).verb == pageMorning:
		card = readTap(o.Args).id(0)
	default:
		return nil
	}
	c, err := tx.CardByID(card)
	if err != nil || c.Card.Kind == prescribe.CardRest {
		return err
	}
	if c.State == store.CardDraft || c.State == store.CardApproved {
		return tx.SetCardState(c.ID, store.CardSent)
	}
	return nil
}

// closeCard ends a card that got no answer. No answer is counted apart from
// not done. A session that was begun counts as changed: what was logged stands.
func (b *Bot) closeCard(tx *store.Tx, it schedule.Item, now prescribe.Instant) error {
	c, err := tx.CardByID(it.Card)
	if err != nil {
		return err
	}
	if c.State != store.CardSent && c.State != store.CardStarted {
		return nil
	}
	zone, err := tx.ZoneOn(c.Person, c.Day)
	if err != nil {
		return err
	}
	end := schedule.At(c.Day+1, 0, b.location(zone)).Add(-time.Minute)
	s := prescribe.Session{Template: c.Card.Template, Outcome: prescribe.NoAnswer}
	state := store.CardUnanswered
	if c.State == store.CardStarted {
		was, err := saidOf(tx, c)
		if err != nil {
			return err
		}
		s, state = was.end(), store.CardChanged
		s.Outcome, s.Minutes = prescribe.DoneChanged, 0
	}
	logged, err := tx.Recorded(c.Person, cardSource(c.ID))
	if err != nil {
		return err
	}
	logged = slices.DeleteFunc(logged, func(e prescribe.Event) bool { return e.Session != nil })
	f, err := tx.Record(c.Person, cardSource(c.ID), now, append(logged, prescribe.Event{
		At: prescribe.InstantOf(end), Day: c.Day, Session: &s,
	})...)
	if err != nil {
		return err
	}
	if err := tx.SetCardState(c.ID, state); err != nil {
		return err
	}
	if err := b.tell(tx, c.Person, f.Notices, now); err != nil {
		return err
	}
	return nil
}

// cardSource names the answer that closes a card.
func cardSource(card int64) string { return fmt.Sprintf("card:%d", card) }

// draftCards works tomorrow's cards out for the look-over.
func (b *Bot) draftCards(tx *store.Tx, it schedule.Item, now prescribe.Instant) error {
	members, err := tx.Members(it.Squad, it.Day)
	if err != nil {
		return err
	}
	for _, p := range members {
		if _, _, err := tx.IssueCard(p.ID, it.Day, now); err != nil {
			return fmt.Errorf("player %s: %w", p.Pseudo, err)
		}
	}
	return nil
}

func (b *Bot) lookOver(tx *store.Tx, it schedule.Item, now prescribe.Instant) error {
	coaches, err := tx.Staff(it.Squad, store.RoleCoach, it.Day)
	if err != nil {
		return err
	}
	for _, c := range coaches {
		if c.Chat == 0 {
			continue
		}
		if _, _, err := tx.Enqueue(store.Out{Kind: outLookOver, Recipient: c.ID, Ref: it.Squad, Args: it.Day.String(),
			Priority: prioDigest, Expires: now + hours(14), Dedup: fmt.Sprintf("%s/%d", it.Key, c.ID)}); err != nil {
			return err
		}
	}
	return nil
}
