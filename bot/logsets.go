package bot

import (
	"slices"
	"strconv"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
)

// setLog is how far a session has been logged set by set. What was done stands
// on record at once; here is where the next question stands.
type setLog struct {
	Passed []spot       `json:"passed,omitempty"` // done, skipped or told in words
	Load   prescribe.Kg `json:"load"`             // chosen for the set that is asked
	Chosen bool         `json:"chosen,omitempty"`
	// Rest is when the rest that was asked for ends, RestFor how long it is.
	Rest    prescribe.Instant `json:"rest,omitempty"`
	RestFor prescribe.Seconds `json:"rest_for,omitempty"`
}

// spot is one set of one item on one side.
type spot struct {
	Item int            `json:"i"`
	Set  int            `json:"n"` // from 1
	Side prescribe.Side `json:"s,omitempty"`
}

// spots are all sets of a card in the order they are done.
func spots(c prescribe.Card) []spot {
	var out []spot
	for i, it := range c.Items {
		for n := 1; n <= it.Sets; n++ {
			for _, side := range sidesOf(it) {
				out = append(out, spot{i, n, side})
			}
		}
	}
	return out
}

// next is the first set that has not been passed, and is not stopped.
func (l *setLog) next(c prescribe.Card, stopped map[int]bool) (spot, bool) {
	for _, s := range spots(c) {
		if !slices.Contains(l.Passed, s) && !stopped[s.Item] {
			return s, true
		}
	}
	return spot{}, false
}

func (l *setLog) pass(s spot) {
	if !slices.Contains(l.Passed, s) {
		l.Passed = append(l.Passed, s)
	}
	l.Chosen, l.Rest = false, 0
}

// tapLog begins or goes on: card, revision.
func (h *hand) tapLog(t tap) error {
	c, ok, err := h.tappedCard(t)
	if err != nil || !ok {
		return err
	}
	switch c.State {
	case store.CardWithheld:
		return h.say(heldWords(c.Card))
	case store.CardStarted:
		if c.Card.Kind == prescribe.CardWithheld {
			return h.saysStop(c)
		}
	case store.CardDone, store.CardChanged:
		return h.say("player.done_already")
	}
	return h.log(c)
}

// log asks for the first set that is not on record.
func (h *hand) log(c store.CardRev) error {
	l, err := h.logOf(c)
	if err != nil {
		return err
	}
	return h.askNext(c, l)
}

// logOf is the open log of a card, else one made from what is on record.
func (h *hand) logOf(c store.CardRev) (*setLog, error) {
	d, q, ok, err := h.open()
	if err != nil {
		return nil, err
	}
	if ok && d.Kind == askLog && d.Card == c.ID && q.Log != nil {
		return q.Log, nil
	}
	s, err := h.said(c)
	if err != nil {
		return nil, err
	}
	l := &setLog{}
	for i, it := range c.Card.Items {
		for _, side := range sidesOf(it) {
			for n := range s.of(it, side) {
				l.pass(spot{i, n + 1, side})
			}
		}
	}
	return l, nil
}

// askNext asks for the next set, or ends the session after the last.
func (h *hand) askNext(c store.CardRev, l *setLog) error {
	stopped, err := h.stoppedNow(c)
	if err != nil {
		return err
	}
	at, ok := l.next(c.Card, stopped)
	if !ok {
		return h.endLog(c)
	}
	if !l.Chosen {
		load, err := h.lastLoad(c, at)
		if err != nil {
			return err
		}
		l.Load = load
	}
	return h.ask(askLog, c.ID, question{Log: l})
}

// lastLoad is the load of the set before this one, else the card's.
func (h *hand) lastLoad(c store.CardRev, at spot) (prescribe.Kg, error) {
	it := c.Card.Items[at.Item]
	s, err := h.said(c)
	if err != nil {
		return 0, err
	}
	if sets := s.of(it, at.Side); len(sets) > 0 {
		return sets[len(sets)-1].Set.Load, nil
	}
	return it.Load, nil
}

// spotOf reads card, item, set, side from a button.
func (h *hand) spotOf(t tap) (c store.CardRev, at spot, ok bool, err error) {
	if c, err = h.myCard(t.id(0)); err != nil {
		return c, at, false, ignoreNotFound(err)
	}
	i, ok1 := t.int(1)
	n, ok2 := t.int(2)
	side, ok3 := sideOf(t.str(3))
	if !ok1 || !ok2 || !ok3 || i < 0 || i >= len(c.Card.Items) {
		return c, at, false, nil
	}
	at = spot{i, n, side}
	if !c.Card.Items[i].Ended && !slices.Contains(spots(c.Card), at) {
		return c, at, false, nil
	}
	held, err := h.stoppedNow(c)
	if err != nil {
		return c, at, false, err
	}
	if held[at.Item] {
		return c, at, false, stopped{c}
	}
	late, err := h.superseded(c)
	if err != nil || late || c.State == store.CardDone || c.State == store.CardChanged {
		return c, at, false, err
	}
	h.day = c.Day
	return c, at, true, nil
}

// tapSet is one set done: card, item, set, side, repetitions, load.
func (h *hand) tapSet(t tap) error {
	c, at, ok, err := h.spotOf(t)
	reps, ok1 := t.int(4)
	load, err2 := strconv.ParseFloat(t.str(5), 64)
	if err != nil || !ok || !ok1 || err2 != nil || reps < 0 || reps > 100 || !(load >= 0 && load <= 2000) {
		return h.staleUnless(err)
	}
	return h.didSet(c, at, reps, prescribe.Kg(load))
}

// didSet records one set under the card's own source. The same set told twice
// counts once: its place on the card is part of it.
func (h *hand) didSet(c store.CardRev, at spot, reps int, load prescribe.Kg) error {
	l, err := h.logOf(c)
	if err != nil {
		return err
	}
	it := c.Card.Items[at.Item]
	if err := h.putSets(c, []prescribe.Set{setOf(it, at.Set, at.Side, reps, load)}, at.Item); err != nil {
		return err
	}
	l.pass(at)
	return h.askNext(c, l)
}

// putSets writes sets into the card's own answer, each in place of one of the
// same number and side, and the whole in the order of the card.
func (h *hand) putSets(c store.CardRev, sets []prescribe.Set, item int) error {
	source := cardSource(c.ID)
	es, err := h.tx.Recorded(h.person.ID, source)
	if err != nil {
		return err
	}
	at := h.at(c.Day)
	for _, e := range es {
		at = e.At // the session has one time: when it was begun to be told
	}
	it := c.Card.Items[item]
	for _, x := range sets {
		same := func(e prescribe.Event) bool {
			return e.Set != nil && answers(*e.Set, it) && e.Set.Ordinal == x.Ordinal && e.Set.Side == x.Side
		}
		if i := slices.IndexFunc(es, same); i >= 0 {
			x.RIR = es[i].Set.RIR
			es[i].Set = &x
			continue
		}
		es = append(es, prescribe.Event{At: at, Day: c.Day, Set: &x})
	}
	// An end that was there, such as silence, is over.
	es = slices.DeleteFunc(es, func(e prescribe.Event) bool { return e.Session != nil })
	s, err := h.said(c)
	if err != nil {
		return err
	}
	if err := h.dropSession(s, source); err != nil {
		return err
	}
	slices.SortStableFunc(es, func(a, b prescribe.Event) int { return place(c.Card, a) - place(c.Card, b) })
	if _, err := h.record(source, es); err != nil {
		return err
	}
	return h.settleCard(c.ID)
}

// place is where a set stands on the card.
func place(c prescribe.Card, e prescribe.Event) int {
	for i, it := range c.Items {
		if e.Set != nil && answers(*e.Set, it) {
			n := (i*100 + min(e.Set.Ordinal, 99)) * 2
			if sides := sidesOf(it); len(sides) > 1 && e.Set.Side == sides[1] {
				n++
			}
			return n
		}
	}
	return 1 << 20
}

// tapLoad chooses the load of a set before its repetitions: card, item, set,
// side, load.
func (h *hand) tapLoad(t tap) error {
	c, at, ok, err := h.spotOf(t)
	load, err2 := strconv.ParseFloat(t.str(4), 64)
	if err != nil || !ok || err2 != nil || !(load >= 0 && load <= 2000) {
		return h.staleUnless(err)
	}
	return h.choseLoad(c, at, prescribe.Kg(load))
}

func (h *hand) choseLoad(c store.CardRev, at spot, load prescribe.Kg) error {
	l, err := h.logOf(c)
	if err != nil {
		return err
	}
	stopped, err := h.stoppedNow(c)
	if err != nil {
		return err
	}
	if is, ok := l.next(c.Card, stopped); !ok || is != at {
		return h.askNext(c, l)
	}
	l.Load, l.Chosen = load, true
	return h.ask(askLog, c.ID, question{Log: l})
}

// tapSkip leaves a set out: card, item, set, side.
func (h *hand) tapSkip(t tap) error {
	c, at, ok, err := h.spotOf(t)
	if err != nil || !ok {
		return h.staleUnless(err)
	}
	l, err := h.logOf(c)
	if err != nil {
		return err
	}
	l.pass(at)
	return h.askNext(c, l)
}

// tapAsCard takes the rest of an exercise as written: card, item.
func (h *hand) tapAsCard(t tap) error {
	c, at, ok, err := h.spotOf(tap{args: []string{t.str(0), t.str(1), t.str(2), t.str(3)}})
	if err != nil || !ok {
		return h.staleUnless(err)
	}
	l, err := h.logOf(c)
	if err != nil {
		return err
	}
	it := c.Card.Items[at.Item]
	var sets []prescribe.Set
	for _, s := range spots(c.Card) {
		if s.Item != at.Item || slices.Contains(l.Passed, s) {
			continue
		}
		x := setOf(it, s.Set, s.Side, it.Reps, it.Load)
		x.AsWritten = true
		sets = append(sets, x)
		l.pass(s)
	}
	if err := h.putSets(c, sets, at.Item); err != nil {
		return err
	}
	return h.askNext(c, l)
}

// tapFinish ends the log where it is: card.
func (h *hand) tapFinish(t tap) error {
	c, err := h.myCard(t.id(0))
	if err != nil {
		return h.staleUnless(err)
	}
	if c.State == store.CardDone || c.State == store.CardChanged {
		return h.say("player.done_already")
	}
	h.day = c.Day
	return h.endLog(c)
}

// endLog closes a session that was logged. One of which nothing was done is one
// that was not done.
func (h *hand) endLog(c store.CardRev) error {
	s, err := h.said(c)
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(c.Card.Items, func(it prescribe.Item) bool { return len(s.of(it, prescribe.Both)) > 0 }) {
		return h.ask(askCant, c.ID, question{})
	}
	if err := h.finish(c, cardSource(c.ID), nil, false, nil, nil, 0); err != nil {
		return err
	}
	return h.afterDone(c)
}

func (r *rendering) askLog(d store.Dialog, q question) (telegram.Outgoing, error) {
	c, err := r.tx.CardByID(d.Card)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	if q.Log == nil {
		return telegram.Outgoing{}, errNothing
	}
	state, err := r.tx.State(c.Person)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	at, ok := q.Log.next(c.Card, stoppedItems(state, c))
	if !ok {
		// What is left is stopped: the stop itself is told elsewhere.
		return telegram.Outgoing{Text: r.sp.T("player.log_all_done"), Buttons: [][]telegram.Button{{r.button("finish", newTap("fin", c.ID))}}}, nil
	}
	it := c.Card.Items[at.Item]
	lift := wording.HTML(r.sp.Lift(it.Exercise, at.Side))
	spotArgs := []any{c.ID, at.Item, at.Set, sideKey(at.Side)}
	last := []telegram.Button{r.button("skip", newTap("skip", spotArgs...)), r.button("finish", newTap("fin", c.ID))}
	if it.Finding && q.Log.Load == 0 && it.LoadKind != prescribe.LoadBodyweight {
		// Its load is not known: it has to be written.
		return telegram.Outgoing{Text: r.sp.T("player.log_find", "exercise", lift), Buttons: [][]telegram.Button{last}}, nil
	}
	text := r.sp.T("player.log_set", "exercise", lift, "set", at.Set, "sets", it.Sets)
	if q.Log.Rest > r.now {
		text = r.sp.T("player.timer_start", "rest", q.Log.RestFor) + "\n\n" + text
	}
	// The session begins here: how the body feels is asked without a tap.
	begins := len(q.Log.Passed) == 0
	if begins {
		text = r.sp.T("player.precheck") + "\n\n" + text
	}
	shown := it
	shown.Load = q.Log.Load
	if s := r.sp.Load(shown); s != "" {
		text += "\n" + s
	}
	set := func(reps int) string {
		return newTap("set", append(spotArgs, reps, strconv.FormatFloat(float64(q.Log.Load), 'g', -1, 64))...)
	}
	var bs [][]telegram.Button
	if it.Seconds > 0 {
		bs = append(bs, []telegram.Button{{Text: plain(r.sp.Seconds(it.Seconds)), Data: set(it.Reps)}})
	} else {
		var reps []telegram.Button
		for _, n := range repChoices(it.Reps) {
			reps = append(reps, telegram.Button{Text: r.sp.Number(float64(n)), Data: set(n)})
		}
		bs = append(bs, reps)
	}
	loads, err := r.loadChoices(c, it, q.Log.Load)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	var ls []telegram.Button
	for _, kg := range loads {
		ls = append(ls, telegram.Button{Text: plain(r.sp.Kg(kg)), Data: newTap("load", append(spotArgs, strconv.FormatFloat(float64(kg), 'g', -1, 64))...)})
	}
	if len(ls) > 0 {
		bs = append(bs, ls)
	}
	if !it.Finding {
		bs = append(bs, []telegram.Button{r.button("as_card", newTap("ascard", spotArgs...))})
	}
	bs = append(bs, last)
	if begins {
		bs = append(bs, []telegram.Button{r.button("sore", "sore"), r.button("pain", "pain")})
	} else if item, ok := q.Log.resting(c.Card); ok {
		bs = append(bs, []telegram.Button{r.button("timer", newTap("rest", c.ID, item))})
	}
	return telegram.Outgoing{Text: text, Buttons: bs}, nil
}

// repChoices are two more than asked for down to three fewer, and none.
func repChoices(asked int) []int {
	var out []int
	for n := asked + 2; n >= max(1, asked-3); n-- {
		out = append(out, n)
	}
	return append(out, 0)
}

// loadChoices are the next loads below and above that the place can build.
func (r *rendering) loadChoices(c store.CardRev, it prescribe.Item, load prescribe.Kg) ([]prescribe.Kg, error) {
	ex, ok := prescribe.Lookup(it.Exercise)
	if !ok || it.LoadKind == prescribe.LoadNone || it.LoadKind == prescribe.LoadFlywheel {
		return nil, nil
	}
	in, err := r.tx.InputsOf(c.ID, c.Rev)
	if err != nil {
		return nil, err
	}
	eq := in.Calendar.Settings[c.Card.Setting].Equipment
	var out []prescribe.Kg
	below := load
	for range 2 {
		// Half a kilogram is less than any step of plates or dumbbells.
		b, ok := prescribe.Build(below-0.5, ex, eq)
		if !ok {
			break
		}
		out = slices.Insert(out, 0, b.Load)
		below = b.Load
	}
	above := load
	for range 2 {
		b, ok := prescribe.NextUp(above, ex, eq)
		if !ok {
			break
		}
		out = append(out, b.Load)
		above = b.Load
	}
	return out, nil
}

func (r *rendering) askRIR(d store.Dialog, q question) (telegram.Outgoing, error) {
	c, err := r.tx.CardByID(d.Card)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	it, ok := mainLift(c.Card)
	if !ok {
		return telegram.Outgoing{}, errNothing
	}
	var bs []telegram.Button
	for n := range 4 {
		bs = append(bs, telegram.Button{Text: r.sp.Number(float64(n)), Data: newTap("rir", d.Card, n)})
	}
	bs = append(bs, r.button("four_plus", newTap("rir", d.Card, 4)))
	return telegram.Outgoing{Text: r.sp.T("player.rir_question", "exercise", wording.HTML(r.sp.Lift(it.Exercise, sidesOf(it)[0]))), Buttons: [][]telegram.Button{bs}}, nil
}

func (r *rendering) askEffort(d store.Dialog, q question) (telegram.Outgoing, error) {
	return telegram.Outgoing{Text: r.sp.T("player.effort_question"), Buttons: scores(r.sp, func(n int) string { return newTap("eff", d.Card, n) })}, nil
}

func (r *rendering) askDoubt(d store.Dialog, q question) (telegram.Outgoing, error) {
	return telegram.Outgoing{
		Text:    r.sp.T("player.doubt_question", "exercise", wording.HTML(r.sp.Lift(q.Exercise, q.Side)), "load", q.Load, "reps", q.Reps),
		Buttons: [][]telegram.Button{{r.button("yes", "dbt:yes"), r.button("no", "dbt:no")}},
	}, nil
}
