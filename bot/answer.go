package bot

import (
	"cmp"
	"errors"
	"math"
	"slices"
	"strings"
	"time"

	"pegcard/prescribe"
	"pegcard/schedule"
	"pegcard/store"
)

// What a player says of a card. Sets and the session's end are events of one
// source: the card's own for taps, the message's for text. There is one session
// event a card: a later word takes the place of an earlier one.

// myCard is the player's own card of that id.
func (h *hand) myCard(id int64) (store.CardRev, error) {
	c, err := h.tx.CardByID(id)
	if err == nil && c.Person != h.person.ID {
		err = store.ErrNotFound
	}
	return c, err
}

// tappedCard is the card that a button hangs on, t: card, revision. It is not
// ok when the button is too old: the card asks for something else by now, or a
// later one has come; the person has been told so then.
func (h *hand) tappedCard(t tap) (c store.CardRev, ok bool, err error) {
	c, err = h.myCard(t.id(0))
	if err != nil {
		if ignoreNotFound(err) != nil {
			return c, false, err
		}
		return c, false, h.stale()
	}
	rev, _ := t.int(1)
	if rev != c.Rev {
		old, err := h.tx.CardRevision(c.ID, rev)
		if ignoreNotFound(err) != nil {
			return c, false, err
		}
		if err == nil && curtailed(c.Card) {
			return c, false, h.saysStop(c)
		}
		if err != nil || !sameWork(old.Card, c.Card) {
			return c, false, h.stale()
		}
	}
	late, err := h.superseded(c)
	if err != nil {
		return c, false, err
	}
	if late || c.State == store.CardReplaced {
		return c, false, h.stale()
	}
	h.day = c.Day
	return c, true, nil
}

// superseded: a later card has been sent, so this one is closed for good.
func (h *hand) superseded(c store.CardRev) (bool, error) {
	today, err := h.tx.Today(h.person.ID, h.now)
	if err != nil || today <= c.Day {
		return false, err
	}
	later, err := h.tx.Cards(h.person.ID, c.Day+1, today)
	if err != nil {
		return false, err
	}
	return slices.ContainsFunc(later, sentCard), nil
}

// sentCard: the player has been shown the card, or the question before it.
func sentCard(c store.CardRev) bool {
	if c.Card.Kind == prescribe.CardRest {
		return false
	}
	switch c.State {
	case store.CardDraft, store.CardApproved:
		return c.SentMessage != 0
	}
	return true
}

// stale says that a button is too old and shows what is open now.
func (h *hand) stale() error {
	if err := h.say("player.stale_button"); err != nil {
		return err
	}
	return h.cmdToday("")
}

// openCard is the card that a text belongs to: that of the message's own date
// if it has been sent, else the last one sent before it, if it is still open.
func (h *hand) openCard() (c store.CardRev, ok bool, err error) {
	cs, err := h.tx.Cards(h.person.ID, h.day-openFor, h.day)
	if err != nil {
		return c, false, err
	}
	for _, c := range slices.Backward(cs) {
		if !sentCard(c) {
			continue
		}
		switch {
		case c.Day == h.day, c.State == store.CardSent, c.State == store.CardStarted, c.State == store.CardUnanswered:
			return c, true, nil
		}
		break
	}
	return c, false, nil
}

// openFor is how many days back a text looks for the card it answers. [ours]
const openFor = 3

// at is when what is said of a card happened, as far as known: now, or, for a
// day that is over, at its end.
func (h *hand) at(day prescribe.Day) prescribe.Instant {
	end := prescribe.InstantOf(schedule.At(day+1, 0, h.loc).Add(-time.Minute))
	return min(h.when, end)
}

func sourceOf(key string) string {
	s, _, _ := strings.Cut(key, "#")
	return s
}

// record writes what a source says and tells those who have to know. A warning
// sign, and pain that stopped a place, stay when a message is edited or taken
// back: staff have been told, and only they lift a stop.
func (h *hand) record(source string, events []prescribe.Event) (store.Folded, error) {
	prior, err := h.tx.Recorded(h.person.ID, source)
	if err != nil {
		return store.Folded{}, err
	}
	state, err := h.tx.State(h.person.ID)
	if err != nil {
		return store.Folded{}, err
	}
	var kept []prescribe.Event
	for _, e := range prior {
		if stays(e, state) && !slices.ContainsFunc(events, func(n prescribe.Event) bool { return sameReport(e, n) }) {
			kept = append(kept, e)
		}
	}
	events = append(kept, events...)
	f, err := h.tx.Record(h.person.ID, source, h.now, events...)
	if err != nil {
		return f, err
	}
	return f, h.tellNew(f.Notices)
}

// stays: the event cannot be taken back.
func stays(e prescribe.Event, s prescribe.State) bool {
	switch {
	case e.Warning != nil:
		return true
	case e.Pain != nil && !e.Pain.Unclear:
		for _, m := range s.Pain {
			if m.Region == e.Pain.Region && m.Side == e.Pain.Side && m.Stop != "" {
				return true
			}
		}
	}
	return false
}

// sameReport: the later event says at least as much as the earlier one.
func sameReport(e, n prescribe.Event) bool {
	switch {
	case e.Warning != nil && n.Warning != nil:
		return *e.Warning == *n.Warning
	case e.Pain != nil && n.Pain != nil:
		return e.Pain.Region == n.Pain.Region && e.Pain.Side == n.Pain.Side && n.Pain.Score >= e.Pain.Score
	}
	return false
}

// tellNew tells staff what they have not been told in the same words: the same
// score entered twice alarms nobody twice while the first alert is open.
func (h *hand) tellNew(ns []prescribe.Notice) error {
	var fresh []prescribe.Notice
	for _, n := range ns {
		if n.To&^prescribe.ForPlayer == 0 {
			continue
		}
		a, ok, err := h.tx.OpenAlertLike(h.person.ID, n)
		if err != nil {
			return err
		}
		if ok && sameNotice(a.Notice, n) {
			continue
		}
		fresh = append(fresh, n)
	}
	return h.b.tell(h.tx, h.person.ID, fresh, h.now)
}

func sameNotice(a, b prescribe.Notice) bool {
	return a.Kind == b.Kind && a.Region == b.Region && a.Side == b.Side && a.Sign == b.Sign &&
		a.Urgent == b.Urgent && a.To == b.To && slices.Equal(a.Args, b.Args)
}

// said is all that stands on record for a card's day.
type said struct {
	card    store.CardRev
	sets    []prescribe.Event // in the order of the fold
	session *prescribe.Event  // the card's; nil: none
}

func (h *hand) said(c store.CardRev) (said, error) {
	return saidOf(h.tx, c)
}

func saidOf(tx *store.Tx, c store.CardRev) (s said, err error) {
	s.card = c
	es, err := tx.Events(c.Person, c.Day, c.Day)
	if err != nil {
		return s, err
	}
	for _, e := range es {
		switch {
		case e.Set != nil && !e.Set.Test:
			s.sets = append(s.sets, e)
		case e.Session != nil && e.Session.Template == c.Card.Template:
			s.session = new(e)
		}
	}
	return s, nil
}

// over: the session has an end other than silence.
func (s said) over() bool { return s.session != nil && s.session.Session.Outcome != prescribe.NoAnswer }

// of are the sets that answer an item, on a side (Both: all).
func (s said) of(it prescribe.Item, side prescribe.Side) []prescribe.Event {
	var out []prescribe.Event
	for _, e := range s.sets {
		if answers(*e.Set, it) && (side == prescribe.Both || e.Set.Side == side || e.Set.Side == prescribe.Both) {
			out = append(out, e)
		}
	}
	slices.SortStableFunc(out, func(a, b prescribe.Event) int { return cmp.Compare(a.Set.Ordinal, b.Set.Ordinal) })
	return out
}

func answers(s prescribe.Set, it prescribe.Item) bool {
	return s.Exercise == it.Exercise && s.Scheme == it.Scheme && s.Intended == it.Intended
}

// sidesOf are the sides of an item in the order they are worked.
func sidesOf(it prescribe.Item) []prescribe.Side {
	switch {
	case !it.PerSide:
		return []prescribe.Side{prescribe.Both}
	case it.First == prescribe.Right:
		return []prescribe.Side{prescribe.Right, prescribe.Left}
	}
	return []prescribe.Side{prescribe.Left, prescribe.Right}
}

// setOf is one set of an item, as the record wants it.
func setOf(it prescribe.Item, n int, side prescribe.Side, reps int, load prescribe.Kg) prescribe.Set {
	s := prescribe.Set{
		Exercise: it.Exercise, Side: side, Load: load, Inertia: it.Inertia, Device: it.Device,
		Reps: reps, Asked: it.Reps, Ordinal: n, Slow: it.Slow, Scheme: it.Scheme, Intended: it.Intended,
	}
	if len(it.Cluster) > 1 {
		s.Unbroken = min(slices.Max(it.Cluster), reps)
	}
	return s
}

// asWritten are the sets of an item from number n on, all as the card says.
func asWritten(it prescribe.Item, n int, side prescribe.Side) []prescribe.Set {
	var out []prescribe.Set
	for ; n <= it.Sets; n++ {
		s := setOf(it, n, side, it.Reps, it.Load)
		s.AsWritten = true
		out = append(out, s)
	}
	return out
}

// mainLift is the lift of the card whose first set's effort is asked for: the
// one the engine marks, or else, of those with a load, the traditional one at
// the highest percentage.
func mainLift(c prescribe.Card) (prescribe.Item, bool) {
	best, found := prescribe.Item{}, false
	for _, it := range c.Items {
		if it.Method != prescribe.Traditional || it.Optional || it.Ended || it.Load <= 0 && !it.Finding || it.Slow {
			continue
		}
		if it.Ask {
			return it, true
		}
		if !found || it.Percent > best.Percent {
			best, found = it, true
		}
	}
	return best, found
}

// optional: the whole session is one that may be left out.
func optional(c prescribe.Card) bool {
	return !slices.ContainsFunc(c.Items, func(it prescribe.Item) bool { return !it.Optional })
}

func hasFinding(c prescribe.Card) bool {
	return slices.ContainsFunc(c.Items, func(it prescribe.Item) bool { return it.Finding })
}

// finish ends a session: what is not on record yet was done as written, unless
// fill is false or the exercise is in none. stated are the sets that this
// source gives itself. Finding work is never filled in: its load is not known.
func (h *hand) finish(c store.CardRev, source string, stated []prescribe.Event, fill bool, none map[prescribe.ExerciseID]bool, rpe *prescribe.Score, length int) error {
	before, err := h.said(c)
	if err != nil {
		return err
	}
	if rpe == nil && before.over() {
		rpe = before.session.Session.RPE
	}
	if err := h.dropSession(before, source); err != nil {
		return err
	}
	s, err := h.said(c)
	if err != nil {
		return err
	}
	at := h.at(c.Day)
	events := slices.Clone(stated)
	others := s.sets[:0:0]
	for _, e := range s.sets {
		switch {
		case sourceOf(e.Key) != source:
			others = append(others, e)
		case source == cardSource(c.ID) && (!fill || !e.Set.AsWritten):
			events = append(events, e) // logged set by set before
		}
	}
	now := said{card: c, sets: append(others, events...)}
	wholly := optional(c.Card)
	if fill {
		stopped, err := h.stoppedNow(c)
		if err != nil {
			return err
		}
		for i, it := range c.Card.Items {
			if it.Optional && !wholly || it.Finding || none[it.Exercise] || stopped[i] {
				continue
			}
			for _, side := range sidesOf(it) {
				have := now.of(it, side)
				// Sets that came by text are the whole of that exercise.
				if slices.ContainsFunc(have, func(e prescribe.Event) bool { return sourceOf(e.Key) != cardSource(c.ID) }) {
					continue
				}
				for _, x := range asWritten(it, len(have)+1, side) {
					events = append(events, prescribe.Event{At: at, Day: c.Day, Set: &x})
				}
			}
		}
	}
	now.sets = append(slices.Clone(others), events...)
	end := now.end()
	end.RPE = rpe
	if end.Outcome == prescribe.DoneChanged {
		end.Minutes = now.minutes(h.at(c.Day))
	}
	if length > 0 {
		end.Minutes = length
	}
	kept, err := h.notOfCard(source)
	if err != nil {
		return err
	}
	events = append(append(kept, events...), prescribe.Event{At: at, Day: c.Day, Session: &end})
	if _, err := h.record(source, events); err != nil {
		return err
	}
	return h.settleCard(c.ID)
}

// notOfCard are the source's events that have nothing to do with sets or the
// session, while a card's answer is written again.
func (h *hand) notOfCard(source string) ([]prescribe.Event, error) {
	if !strings.HasPrefix(source, "msg:") || h.batch == nil {
		return nil, nil
	}
	return h.batch, nil
}

// A session is timed by its log, from the first set told to the end, where that
// can be how long it took: not the minute in which a log was filled in
// afterwards, and not a log left open over the day. [ours]
const (
	shortestLog = 0.5 // of the minutes planned
	longestLog  = 2.0
)

// minutes is how long a session took that was logged set by set; 0: not known.
func (s said) minutes(end prescribe.Instant) int {
	var first prescribe.Instant
	told := 0
	for _, e := range s.sets {
		if sourceOf(e.Key) != cardSource(s.card.ID) && e.Key != "" || e.Set.AsWritten {
			continue
		}
		told++
		if first == 0 || e.At < first {
			first = e.At
		}
	}
	took := end.Time().Sub(first.Time()).Minutes()
	planned := float64(s.card.Card.Minutes)
	if told < 2 || took < shortestLog*planned || took > longestLog*planned {
		return 0
	}
	return int(math.Round(took))
}

// end is the session that the sets make.
func (s said) end() prescribe.Session {
	x := prescribe.Session{Template: s.card.Card.Template, Outcome: prescribe.DoneAsWritten, Minutes: s.card.Card.Minutes}
	wholly := optional(s.card.Card)
	for _, it := range s.card.Card.Items {
		done := 0
		for _, side := range sidesOf(it) {
			sets := s.of(it, side)
			done = max(done, len(sets))
			if it.Optional && !wholly {
				continue
			}
			if len(sets) < it.Sets || it.Finding || it.Ended {
				x.Outcome = prescribe.DoneChanged
			}
			for _, e := range sets {
				if e.Set.Reps < it.Reps || e.Set.Load < it.Load-0.001 || e.Set.Load > it.Load+0.001 {
					x.Outcome = prescribe.DoneChanged
				}
			}
		}
		x.Sets += done
		if ex, ok := prescribe.Lookup(it.Exercise); ok && done > 0 && !slices.Contains(x.Patterns, string(ex.Pattern)) {
			x.Patterns = append(x.Patterns, string(ex.Pattern))
		}
	}
	return x
}

// notDone ends a session that was not done.
func (h *hand) notDone(c store.CardRev, source string, reason prescribe.Absence) error {
	s, err := h.said(c)
	if err != nil {
		return err
	}
	if err := h.dropSession(s, source); err != nil {
		return err
	}
	kept, err := h.notOfCard(source)
	if err != nil {
		return err
	}
	x := prescribe.Session{Template: c.Card.Template, Outcome: prescribe.NotDone, Reason: reason}
	if _, err := h.record(source, append(kept, prescribe.Event{At: h.at(c.Day), Day: c.Day, Session: &x})); err != nil {
		return err
	}
	return h.settleCard(c.ID)
}

// dropSession takes back the end of a session that another source gave, and
// with it the sets it only gave as "as written".
func (h *hand) dropSession(s said, source string) error {
	if s.session == nil {
		return nil
	}
	from := sourceOf(s.session.Key)
	if from == source {
		return nil
	}
	es, err := h.tx.Recorded(h.person.ID, from)
	if err != nil {
		return err
	}
	es = slices.DeleteFunc(es, func(e prescribe.Event) bool { return e.Session != nil || e.Set != nil && e.Set.AsWritten })
	_, err = h.record(from, es)
	return err
}

// amend changes the events of the source that event key belongs to.
func (h *hand) amend(key string, change func(es []prescribe.Event) []prescribe.Event) error {
	source := sourceOf(key)
	es, err := h.tx.Recorded(h.person.ID, source)
	if err != nil {
		return err
	}
	_, err = h.record(source, change(es))
	return err
}

// settleCard brings the card's state and the session's outcome in line with
// what stands on record.
func (h *hand) settleCard(id int64) error {
	c, err := h.tx.CardByID(id)
	if err != nil {
		return err
	}
	s, err := h.said(c)
	if err != nil {
		return err
	}
	if s.session != nil && (s.session.Session.Outcome == prescribe.DoneAsWritten || s.session.Session.Outcome == prescribe.DoneChanged) {
		end := s.end()
		is := *s.session.Session
		if is.Outcome != end.Outcome || is.Sets != end.Sets || !slices.Equal(is.Patterns, end.Patterns) {
			if is.Outcome == prescribe.DoneAsWritten && is.Minutes == end.Minutes {
				is.Minutes = 0 // the planned length, of a session that was another one
			}
			is.Outcome, is.Sets, is.Patterns = end.Outcome, end.Sets, end.Patterns
			if err := h.amend(s.session.Key, func(es []prescribe.Event) []prescribe.Event {
				for i := range es {
					if es[i].Session != nil {
						es[i].Session = &is
					}
				}
				return es
			}); err != nil {
				return err
			}
			s.session.Session = &is
		}
	}
	state := store.CardSent
	switch {
	case s.session == nil && slices.ContainsFunc(c.Card.Items, func(it prescribe.Item) bool { return len(s.of(it, prescribe.Both)) > 0 }):
		state = store.CardStarted
	case s.session == nil && (c.State == store.CardDraft || c.State == store.CardApproved || c.State == store.CardWithheld):
		state = c.State
	case s.session == nil:
	case s.session.Session.Outcome == prescribe.DoneAsWritten:
		state = store.CardDone
	case s.session.Session.Outcome == prescribe.DoneChanged:
		state = store.CardChanged
	case s.session.Session.Outcome == prescribe.NotDone:
		state = store.CardMissed
	case s.session.Session.Outcome == prescribe.NoAnswer:
		state = store.CardUnanswered
	}
	if state == c.State {
		return nil
	}
	return h.tx.SetCardState(id, state)
}

// tapDone is "done as written": recorded at once, whatever comes after.
func (h *hand) tapDone(t tap) error {
	c, ok, err := h.tappedCard(t)
	if err != nil || !ok {
		return err
	}
	return h.done(c, cardSource(c.ID), nil, nil, nil, 0)
}

// done records a card as done and asks for the effort.
func (h *hand) done(c store.CardRev, source string, stated []prescribe.Event, none map[prescribe.ExerciseID]bool, rpe *prescribe.Score, length int) error {
	switch c.State {
	case store.CardWithheld:
		return h.say(heldWords(c.Card))
	case store.CardStarted:
		if c.Card.Kind == prescribe.CardWithheld {
			return h.saysStop(c)
		}
	case store.CardDone, store.CardChanged:
		if h.tap {
			return h.say("player.done_already")
		}
	}
	if hasFinding(c.Card) && len(stated) == 0 {
		return h.log(c)
	}
	if err := h.finish(c, source, stated, true, none, rpe, length); err != nil {
		return err
	}
	return h.afterDone(c)
}

// afterDone asks what is still missing of a session that is over, and closes it
// when nothing is.
func (h *hand) afterDone(c store.CardRev) error {
	if c.Card.Kind == prescribe.CardWithheld {
		// What was done until the stop stands; nothing more is asked.
		if err := h.tx.ClearDialog(h.chat); err != nil {
			return err
		}
		return h.saysStop(c)
	}
	s, err := h.said(c)
	if err != nil {
		return err
	}
	if it, ok := mainLift(c.Card); ok {
		if first := s.of(it, sidesOf(it)[0]); len(first) > 0 && first[0].Set.RIR == nil && !first[0].Set.Stopped {
			return h.ask(askRIR, c.ID, question{})
		}
	}
	if s.session != nil && s.session.Session.RPE == nil {
		return h.ask(askEffort, c.ID, question{})
	}
	return h.closing(c)
}

// tapRIR is how many more could have been done: card, number.
func (h *hand) tapRIR(t tap) error {
	n, ok := t.int(1)
	c, err := h.myCard(t.id(0))
	if err != nil || !ok || n < 0 || n > 4 {
		return h.staleUnless(err)
	}
	return h.gaveRIR(c, prescribe.RIR(n))
}

// staleUnless answers a button that makes no sense, unless the fault is ours.
func (h *hand) staleUnless(err error) error {
	var stop stopped
	if errors.As(err, &stop) {
		return h.saysStop(stop.card)
	}
	if ignoreNotFound(err) != nil {
		return err
	}
	return h.stale()
}

func (h *hand) gaveRIR(c store.CardRev, n prescribe.RIR) error {
	s, err := h.said(c)
	if err != nil {
		return err
	}
	it, ok := mainLift(c.Card)
	if !ok {
		return h.stale()
	}
	first := s.of(it, sidesOf(it)[0])
	if len(first) == 0 {
		return h.stale()
	}
	key := first[0].Key
	if err := h.amend(key, func(es []prescribe.Event) []prescribe.Event {
		for i := range es {
			if es[i].Key == key {
				set := *es[i].Set
				set.RIR = &n
				es[i].Set = &set
			}
		}
		return es
	}); err != nil {
		return err
	}
	if s.session == nil {
		return h.ask(askLog, c.ID, question{})
	}
	if s.session.Session.RPE == nil {
		return h.ask(askEffort, c.ID, question{})
	}
	return h.closing(c)
}

// tapEffort is the effort of the whole session: card, number.
func (h *hand) tapEffort(t tap) error {
	n, ok := t.int(1)
	c, err := h.myCard(t.id(0))
	if err != nil || !ok || n < 0 || n > 10 {
		return h.staleUnless(err)
	}
	return h.gaveEffort(c, prescribe.Score(n))
}

func (h *hand) gaveEffort(c store.CardRev, n prescribe.Score) error {
	s, err := h.said(c)
	if err != nil {
		return err
	}
	if !s.over() || s.session.Session.Outcome == prescribe.NotDone {
		return h.stale()
	}
	if err := h.amendSession(s, func(x *prescribe.Session) { x.RPE = &n }); err != nil {
		return err
	}
	return h.closing(c)
}

func (h *hand) amendSession(s said, change func(x *prescribe.Session)) error {
	key := s.session.Key
	return h.amend(key, func(es []prescribe.Event) []prescribe.Event {
		for i := range es {
			if es[i].Key == key {
				x := *es[i].Session
				change(&x)
				es[i].Session = &x
			}
		}
		return es
	})
}

// closing thanks, says what comes next time, and goes back to what was open.
func (h *hand) closing(c store.CardRev) error {
	if err := h.replyView("closing", c.ID); err != nil {
		return err
	}
	if err := h.close(); err != nil {
		return err
	}
	if err := h.b.replan(h.tx, h.person.ID, c.Day+1, h.now); err != nil {
		return err
	}
	_, err := h.askDoubts(c.Day)
	return err
}

// askDoubts asks about a set of the day that is far above the record, if there
// is one.
func (h *hand) askDoubts(day prescribe.Day) (asked bool, err error) {
	state, err := h.tx.State(h.person.ID)
	if err != nil {
		return false, err
	}
	for _, key := range state.LiftKeys() {
		for _, d := range state.Lifts[key].Waiting {
			if d.Day != day {
				continue
			}
			ex, side, _ := strings.Cut(key, "/")
			return true, h.ask(askDoubt, 0, question{Exercise: prescribe.ExerciseID(ex), Side: prescribe.Side(side), SetKey: d.Key, Load: d.Load, Reps: d.Reps, Day: day})
		}
	}
	return false, nil
}

// tapDoubt answers the question about the set: yes or no.
func (h *hand) tapDoubt(t tap) error { return h.gaveDoubt(t.str(0) == "yes") }

func (h *hand) gaveDoubt(right bool) error {
	d, q, ok, err := h.open()
	if err != nil {
		return err
	}
	if !ok || d.Kind != askDoubt {
		return h.stale()
	}
	a := prescribe.RecordAnswer{Exercise: q.Exercise, Side: q.Side, SetKey: q.SetKey, Right: right}
	if _, err := h.record("answer:"+strings.ReplaceAll(q.SetKey, "#", "/"), []prescribe.Event{{At: h.now, Day: h.day, Answer: &a}}); err != nil {
		return err
	}
	id := "player.doubt_no"
	if right {
		id = "player.doubt_yes"
	}
	if err := h.replySay(id); err != nil {
		return err
	}
	if err := h.close(); err != nil {
		return err
	}
	if err := h.b.replan(h.tx, h.person.ID, h.day, h.now); err != nil {
		return err
	}
	_, err = h.askDoubts(q.Day)
	return err
}
