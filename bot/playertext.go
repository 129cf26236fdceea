package bot

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"pegcard/bot/telegram"
	"pegcard/bot/understand"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
)

// taking is a message being turned into records.
type taking struct {
	card store.CardRev
	has  bool // there is a card it may be about
	// day is the card's, which sets belong to; how the body feels belongs to the
	// day of the message.
	day   prescribe.Day
	sets  []prescribe.Event
	none  map[prescribe.ExerciseID]bool // said not to have been done
	other []prescribe.Event             // soreness, pain, warning signs

	done, notDone bool
	reason        prescribe.Absence
	rir           *prescribe.RIR
	effort        *prescribe.Score
	length        int // minutes

	follow []understand.Meaning // what needs a question of a fixed flow
	asks   []understand.Question
	stays  bool // of an edited message something cannot be taken back
}

// playerText reads what a player wrote. What is clear is recorded at once under
// the message's own source, so that an edited message counts once; what is not
// is asked. Nothing stays without an answer.
func (h *hand) playerText(text string) error {
	d, q, isOpen, err := h.openOrMorning()
	if err != nil {
		return err
	}
	// A message from before the question does not answer it by being edited.
	isOpen = isOpen && h.after(d)
	c, has, err := h.openCard()
	if err != nil {
		return err
	}
	if isOpen && (d.Kind == askLog || d.Kind == askCant) {
		// Of a session that is closed for good nothing is asked any more.
		if isOpen, err = h.stillOpen(d); err != nil {
			return err
		}
	}
	kind := understand.OpenNone
	if isOpen {
		kind = openKind(d.Kind, q)
	}
	read := understand.Read(text, understand.Context{Lang: h.sp.Lang(), Items: h.itemsOf(c, has), Open: kind})

	if isOpen {
		done, err := h.answerOpen(d, q, c, read, text)
		if done || err != nil {
			return err
		}
	}
	r := taking{card: c, has: has, day: h.day}
	if has {
		r.day = c.Day
	}
	return h.take(r, read, isOpen)
}

// stillOpen drops a question about a card that a later one has taken the place
// of.
func (h *hand) stillOpen(d store.Dialog) (bool, error) {
	c, err := h.myCard(d.Card)
	if err == nil {
		var late bool
		if late, err = h.superseded(c); err == nil && !late {
			return true, nil
		}
	}
	if ignoreNotFound(err) != nil {
		return false, err
	}
	return false, h.tx.ClearDialog(h.chat)
}

// openOrMorning is the open question; where none is remembered, the morning's
// question about a followed place, which hangs on the card.
func (h *hand) openOrMorning() (store.Dialog, question, bool, error) {
	d, q, ok, err := h.open()
	if err != nil || ok {
		return d, q, ok, err
	}
	c, ok, err := h.tx.Card(h.person.ID, h.day)
	if err != nil || !ok || begunOrOver(c.State) || !sentCard(c) && c.Card.Kind != prescribe.CardRest {
		return d, q, false, err
	}
	state, err := h.tx.State(h.person.ID)
	if err != nil {
		return d, q, false, err
	}
	left := unasked(state, c)
	if len(left) == 0 {
		return d, q, false, nil
	}
	return store.Dialog{Chat: h.chat, Kind: askMorning, Card: c.ID, Asked: c.CreatedAt}, question{Region: left[0]}, true, nil
}

// openKind is what kind of answer an open question wants.
func openKind(kind string, q question) understand.Open {
	switch kind {
	case askRIR:
		return understand.OpenRIR
	case askEffort:
		return understand.OpenRPE
	case askLog:
		return understand.OpenReps
	case askMorning:
		return understand.OpenPain
	case askCant:
		return understand.OpenReason
	case askDoubt, askLeave, askWhich, askIll:
		return understand.OpenYesNo
	case askSore, askPain:
		switch q.Step {
		case "where":
			return understand.OpenRegion
		case "side":
			return understand.OpenNone
		case "score":
			if kind == askPain {
				return understand.OpenPain
			}
			return understand.OpenSoreness
		}
		return understand.OpenYesNo
	}
	return understand.OpenNone
}

// itemsOf are the exercises a text can be about, by the names the player may
// know them by.
func (h *hand) itemsOf(c store.CardRev, has bool) []understand.Item {
	if !has {
		return nil
	}
	var out []understand.Item
	for _, it := range c.Card.Items {
		names := []string{telegram.StripHTML(h.sp.Exercise(it.Exercise))}
		if en := telegram.StripHTML(h.b.Words.For(wording.Fallback).Exercise(it.Exercise)); en != names[0] {
			names = append(names, en)
		}
		out = append(out, understand.Item{Exercise: it.Exercise, Names: names, Sets: it.Sets, Reps: it.Reps, Load: it.Load, PerSide: it.PerSide, LoadKind: it.LoadKind})
	}
	return out
}

// answerOpen takes a text for the answer to the open question. It is not done
// when the text says something else.
func (h *hand) answerOpen(d store.Dialog, q question, c store.CardRev, read understand.Reading, text string) (done bool, err error) {
	if d.Kind == askWhich && !(q.safety(d.Kind) && !plainAnswer(read, text)) {
		if i, ok := h.pickByWords(q, read, text); ok {
			return true, h.pick(q, i)
		}
	}
	if d.Kind == askAway {
		if done, err := h.answerAway(q, text); done || err != nil {
			return done, err
		}
	}
	if (d.Kind == askSore || d.Kind == askPain) && q.Step == "side" {
		for _, s := range []prescribe.Side{prescribe.Left, prescribe.Right} {
			if strings.EqualFold(strings.TrimSpace(text), telegram.StripHTML(h.sp.Side(s))) {
				if d.Kind == askPain {
					return true, h.tapPainSide(tap{args: []string{string(q.Region), sideKey(s)}})
				}
				return true, h.tapSoreSide(tap{args: []string{string(q.Region), sideKey(s)}})
			}
		}
	}
	if len(read.Meanings) != 1 || len(read.Unclear) > 0 {
		return false, nil
	}
	m := read.Meanings[0]
	if q.safety(d.Kind) && (m.Kind == understand.Yes || m.Kind == understand.No) && !plainAnswer(read, text) {
		return true, h.askAgain() // "its ok now" is neither a yes nor a no
	}
	card := func() (store.CardRev, error) { return h.myCard(d.Card) }
	switch {
	case d.Kind == askRIR && m.Kind == understand.RIR:
		c, err := card()
		if err != nil {
			return true, err
		}
		return true, h.gaveRIR(c, prescribe.RIR(min(max(m.N, 0), 4)))
	case d.Kind == askEffort && m.Kind == understand.RPE:
		c, err := card()
		if err != nil {
			return true, err
		}
		return true, h.gaveEffort(c, prescribe.Score(m.N))
	case d.Kind == askMorning && (m.Kind == understand.Score || m.Kind == understand.Pain && m.Region == q.Region && m.Score != nil):
		n := prescribe.Score(m.N)
		if m.Score != nil {
			n = *m.Score
		}
		c, err := card()
		if err != nil {
			return true, err
		}
		h.day = c.Day
		return true, h.gaveMorning(c, q.Region, n, h.source)
	case d.Kind == askLog && q.Log != nil && (m.Kind == understand.Reps || m.Kind == understand.Load || m.Kind == understand.Sets):
		c, err := card()
		if err != nil {
			return true, err
		}
		return h.logText(c, q.Log, m)
	case d.Kind == askDoubt && (m.Kind == understand.Yes || m.Kind == understand.No):
		return true, h.gaveDoubt(m.Kind == understand.Yes)
	case d.Kind == askLeave && (m.Kind == understand.Yes || m.Kind == understand.No):
		return true, h.gaveLeave(m.Kind == understand.Yes)
	case d.Kind == askIll && m.Kind == understand.No:
		return true, h.tapIll(tap{args: []string{"none"}})
	case d.Kind == askIll && m.Kind == understand.Yes:
		// A yes without saying which of them: in doubt, the alarm.
		return true, h.warned(prescribe.Warning{Sign: prescribe.SignOther})
	case d.Kind == askPain && (q.Step == stepSigns || q.Step == stepYesNo) && m.Kind == understand.No:
		return true, h.tapPainSign(tap{args: []string{"none"}})
	case d.Kind == askPain && (q.Step == stepSigns || q.Step == stepYesNo) && m.Kind == understand.Yes:
		return true, h.warned(prescribe.Warning{Sign: prescribe.SignOther, Region: q.Region})
	case d.Kind == askCant && m.Kind == understand.NotDone && m.Reason != "":
		c, err := card()
		if err != nil {
			return true, err
		}
		h.day = c.Day
		return true, h.gaveReason(c, h.source, m.Reason)
	case d.Kind == askPain && m.Kind == understand.Place:
		if m.Side != prescribe.Both || !sided(m.Region) {
			return true, h.tapPainSide(tap{args: []string{string(m.Region), sideKey(m.Side)}})
		}
		return true, h.painAt(m.Region)
	case d.Kind == askSore && m.Kind == understand.Place && muscular(m.Region):
		if m.Side != prescribe.Both || !sided(m.Region) {
			return true, h.tapSoreSide(tap{args: []string{string(m.Region), sideKey(m.Side)}})
		}
		return true, h.soreAt(m.Region)
	case d.Kind == askPain && q.Step == "score" && m.Kind == understand.Score:
		return true, h.pain(q.Region, q.Side, prescribe.Score(m.N), cmp.Or(q.Source, h.source))
	case d.Kind == askSore && q.Step == "score" && m.Kind == understand.Score:
		return true, h.sore(q.Region, q.Side, prescribe.Score(m.N), cmp.Or(q.Source, h.source))
	}
	return false, nil
}

// plainAnswer reports whether a yes or no about warning signs is nothing else:
// other words may turn it round, and "ok" may mean that all is well.
func plainAnswer(read understand.Reading, text string) bool {
	if len(read.Ignored) > 0 {
		return false
	}
	return !slices.ContainsFunc(strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) && r != '👍' }), func(w string) bool {
		switch w {
		case "ok", "okay", "okey", "oké", "oke", "occhei", "حسنا", "اوكي", "أوكي", "👍":
			return true
		}
		return false
	})
}

// logText is an answer in words while sets are logged one by one. Sets keep the
// message's source, so that an edited message corrects them.
func (h *hand) logText(c store.CardRev, l *setLog, m understand.Meaning) (bool, error) {
	stopped, err := h.stoppedNow(c)
	if err != nil {
		return true, err
	}
	at, ok := l.next(c.Card, stopped)
	if !ok {
		return false, nil
	}
	it := c.Card.Items[at.Item]
	var sets []understand.SetRead
	switch m.Kind {
	case understand.Load:
		return true, h.choseLoad(c, at, *m.Load)
	case understand.Reps:
		sets = []understand.SetRead{{Load: &l.Load, Reps: m.N}}
	default:
		if m.Exercise != "" && m.Exercise != it.Exercise || m.Side != prescribe.Both && m.Side != at.Side || len(m.Sets) == 0 {
			return false, nil
		}
		sets = m.Sets
	}
	h.day = c.Day
	var events []prescribe.Event
	for _, x := range sets {
		spot, ok := l.next(c.Card, stopped)
		if !ok || spot.Item != at.Item {
			break
		}
		load := l.Load
		if x.Load != nil {
			load = *x.Load
		}
		set := setOf(it, spot.Set, spot.Side, x.Reps, load)
		set.RIR = x.RIR
		events = append(events, prescribe.Event{At: h.at(c.Day), Day: c.Day, Set: &set})
		l.pass(spot)
		l.Load, l.Chosen = load, true
	}
	if _, err := h.record(h.source, events); err != nil {
		return true, err
	}
	if err := h.settleCard(c.ID); err != nil {
		return true, err
	}
	l.Chosen = false
	return true, h.askNext(c, l)
}

// take records what a text means and answers it.
func (h *hand) take(r taking, read understand.Reading, wasOpen bool) error {
	prior, err := h.tx.Recorded(h.person.ID, h.source)
	if err != nil {
		return err
	}
	ms := h.completed(read.Meanings, prior)
	if len(ms) == 1 {
		switch ms[0].Kind {
		case understand.Command:
			return h.command("/" + ms[0].Name + " " + ms[0].Rest)
		case understand.Away:
			return h.cmdAway("")
		case understand.Help:
			return h.cmdHelp("")
		case understand.Thanks, understand.Yes, understand.No:
			if len(read.Unclear) == 0 && len(prior) == 0 {
				if again, err := h.safetyAgain(); again || err != nil {
					return err
				}
				return h.small(ms[0].Kind)
			}
		}
	}
	r.asks = read.Unclear
	if err := h.sort(&r, ms, prior); err != nil {
		return err
	}
	h.unfinished(&r)
	state, err := h.tx.State(h.person.ID)
	if err != nil {
		return err
	}
	r.stays = slices.ContainsFunc(prior, func(e prescribe.Event) bool { return stays(e, state) })
	recorded, err := h.write(&r, prior)
	if err != nil {
		return err
	}
	return h.respond(r, read, recorded || r.stays, len(prior) > 0, wasOpen)
}

// completed fills in from the message's earlier version what an edit left out:
// which exercise it was about, and what place a bare number was a score of.
func (h *hand) completed(ms []understand.Meaning, prior []prescribe.Event) []understand.Meaning {
	var ex prescribe.ExerciseID
	for _, e := range prior {
		if e.Set != nil {
			if ex != "" && ex != e.Set.Exercise {
				return ms
			}
			ex = e.Set.Exercise
		}
	}
	ms = slices.Clone(ms)
	for i := range ms {
		if ms[i].Kind == understand.Sets && ms[i].Exercise == "" && ex != "" {
			ms[i].Exercise = ex
		}
	}
	return ms
}

// small answers what asks for nothing.
func (h *hand) small(kind understand.Kind) error {
	if kind == understand.Thanks {
		return h.say("player.thanks")
	}
	return h.unreadable()
}

func (h *hand) unreadable() error {
	if again, err := h.safetyAgain(); again || err != nil {
		return err
	}
	return h.view("unreadable")
}

// safetyAgain asks an open question about pain or warning signs again: what was
// written is no answer to it.
func (h *hand) safetyAgain() (again bool, err error) {
	d, q, ok, err := h.open()
	if err != nil || !ok || !q.safety(d.Kind) {
		return false, err
	}
	return true, h.askAgain()
}

func init() {
	pages["voice"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		club, err := r.tx.Club()
		if err != nil {
			return telegram.Outgoing{}, err
		}
		text := r.sp.T("player.voice_no_number")
		if club.Emergency != "" {
			text = r.sp.T("player.voice", "number", club.Emergency)
		}
		return telegram.Outgoing{Text: text, Buttons: [][]telegram.Button{{r.button("sore", "sore"), r.button("pain", "pain")}}}, nil
	}
	pages["unreadable"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		m := telegram.Outgoing{Text: r.sp.T("player.unreadable") + "\n" + r.sp.T("player.unreadable_health")}
		m.Buttons = [][]telegram.Button{{r.button("sore", "sore"), r.button("pain", "pain")}}
		c, ok, err := r.tx.Card(r.person.ID, r.day)
		if err != nil {
			return m, err
		}
		if ok && sentCard(c) {
			m.Buttons = append(m.Buttons, []telegram.Button{r.button("card", newTap(verbView, "today", c.ID))})
		}
		return m, nil
	}
}

// sort puts each meaning where it belongs.
func (h *hand) sort(r *taking, ms []understand.Meaning, prior []prescribe.Event) error {
	for _, m := range ms {
		switch m.Kind {
		case understand.Done:
			r.done = true
		case understand.NotDone:
			r.notDone, r.reason = true, m.Reason
		case understand.Sets:
			if err := h.sortSets(r, m, prior); err != nil {
				return err
			}
		case understand.Soreness, understand.Pain:
			if m.Region == "" || m.Score == nil || m.Kind == understand.Soreness && !muscular(m.Region) {
				r.follow = append(r.follow, m)
				if m.Kind == understand.Pain {
					r.other = append(r.other, h.unclear(m.Region, m.Side, m.Score))
				}
				continue
			}
			e := prescribe.Event{At: h.when, Day: h.day}
			if m.Kind == understand.Soreness {
				e.Soreness = &prescribe.Soreness{Region: m.Region, Side: m.Side, Score: *m.Score}
			} else {
				timing, err := h.painTiming()
				if err != nil {
					return err
				}
				e.Pain = &prescribe.Pain{Region: m.Region, Side: m.Side, Score: *m.Score, Timing: timing}
			}
			r.other = append(r.other, e)
		case understand.Warning:
			r.other = append(r.other, prescribe.Event{At: h.when, Day: h.day, Warning: &prescribe.Warning{Sign: m.Sign, Region: m.Region}})
		case understand.RIR:
			n := prescribe.RIR(min(max(m.N, 0), 4))
			r.rir = &n
		case understand.RPE:
			n := prescribe.Score(min(max(m.N, 0), 10))
			r.effort = &n
		case understand.Minutes:
			r.length = m.N
		case understand.Score:
			// A bare number after a question that is gone: it is asked about.
			r.asks = append(r.asks, understand.Question{Code: understand.QNumberAlone})
		}
	}
	if r.hurts() {
		// "Done" beside a pain or a warning sign is no statement about every set:
		// what was given in numbers counts, the rest stays open.
		r.done, r.rir, r.effort, r.length = false, nil, nil, 0
		r.asks = slices.DeleteFunc(slices.Clone(r.asks), wouldBeDone)
	}
	return nil
}

// askFrom is the number of pain from which a place is withheld until it is told
// in full; the same as the rule's.
const askFrom = 3

// aboutPain: one of the ways in which the words can be read is pain that
// withholds a place. A number, a place or a face alone says nothing of the kind.
func aboutPain(q understand.Question) bool {
	switch {
	case q.Code == understand.QNumberAlone, q.Code == understand.QRegionAlone,
		q.Code == understand.QEmoji && len(q.Candidates) > 1:
		return false
	}
	for _, c := range q.Candidates {
		for _, m := range c {
			if m.Kind == understand.Pain && (m.Score == nil || *m.Score >= askFrom) {
				return true
			}
		}
	}
	return false
}

// hintOf is the warning sign that a question is about, "" for none.
func hintOf(q understand.Question) prescribe.Sign {
	if q.Code == understand.QSign {
		return q.Sign
	}
	for _, c := range q.Candidates {
		for _, m := range c {
			if m.Kind == understand.Warning {
				return m.Sign
			}
		}
	}
	return ""
}

// alarming: the question may turn out to be about pain or a warning sign.
func alarming(q understand.Question) bool { return aboutPain(q) || hintOf(q) != "" }

// wouldBeDone: one of the readings is that the whole card was done.
func wouldBeDone(q understand.Question) bool {
	return slices.ContainsFunc(q.Candidates, func(c []understand.Meaning) bool {
		return slices.ContainsFunc(c, func(m understand.Meaning) bool { return m.Kind == understand.Done })
	})
}

// unfinished withholds what a question is about that may turn out to be pain:
// the place, or everything where the readings name several.
func (h *hand) unfinished(r *taking) {
	for _, q := range r.asks {
		if !aboutPain(q) {
			continue
		}
		var pains []understand.Meaning
		for _, c := range q.Candidates {
			for _, m := range c {
				if m.Kind == understand.Pain {
					pains = append(pains, m)
				}
			}
		}
		one := pains[0]
		for _, m := range pains[1:] {
			if m.Region != one.Region {
				one.Region, one.Side = "", prescribe.Both
			}
			if m.Side != one.Side {
				one.Side = prescribe.Both
			}
			if one.Score == nil || m.Score != nil && *m.Score > *one.Score {
				one.Score = m.Score
			}
		}
		r.other = append(r.other, h.unclear(one.Region, one.Side, one.Score))
	}
}

// highPain is the number of pain at which a report without a place is told at
// once; above it pain stops a place.
const highPain = 6

// raise begins to wait for what the message left open about pain and signs, and
// ends the waiting for what it answers.
func (h *hand) raise(r *taking) error {
	if slices.ContainsFunc(r.other, func(e prescribe.Event) bool { return e.Warning != nil && e.Warning.Sign != prescribe.SignDistress }) {
		return h.settle(everyDoubt)
	}
	for _, q := range r.asks {
		if sign := hintOf(q); sign != "" {
			n := aDoubt(doubtHint, "", prescribe.Both, nil)
			n.Sign = sign
			if err := h.doubt(n); err != nil {
				return err
			}
		}
	}
	if p := painOf(r.other); p != nil {
		if err := h.doubt(aDoubt(doubtSigns, p.Region, p.Side, &p.Score)); err != nil {
			return err
		}
	}
	for _, e := range r.other {
		switch {
		case e.Pain != nil && e.Pain.Unclear:
			what, score := doubtScore, &e.Pain.Score
			if e.Pain.Region == "" {
				what = doubtPlace
			}
			if e.Pain.Score == 0 {
				score = nil
			}
			n := aDoubt(what, e.Pain.Region, e.Pain.Side, score)
			a, fresh, err := h.tx.RaiseAlert(h.person.ID, n, h.now)
			if err != nil {
				return err
			}
			if fresh && e.Pain.Score >= highPain && e.Pain.Region == "" {
				if err := h.b.noAnswer(h.tx, a, h.now); err != nil {
					return err
				}
			}
		case e.Pain != nil:
			if err := h.settle(aboutPlace(e.Pain.Region)); err != nil {
				return err
			}
		case e.Soreness != nil:
			if err := h.settle(aboutPlace(e.Soreness.Region)); err != nil {
				return err
			}
		}
	}
	return nil
}

// hurts reports whether the message tells of pain or a warning sign, finished
// or not.
func (r *taking) hurts() bool {
	for _, e := range r.other {
		if e.Pain != nil || e.Warning != nil {
			return true
		}
	}
	for _, m := range r.follow {
		if m.Kind == understand.Pain {
			return true
		}
	}
	return slices.ContainsFunc(r.asks, alarming)
}

// sortSets turns sets of one exercise into events.
func (h *hand) sortSets(r *taking, m understand.Meaning, prior []prescribe.Event) error {
	if m.Exercise == "" {
		q := understand.Question{Code: understand.QWhichEx}
		which := m.Which
		if len(which) == 0 && r.has {
			for _, it := range r.card.Card.Items {
				which = append(which, it.Exercise)
			}
		}
		for _, ex := range r.loadable(which, m.Sets) {
			one := m
			one.Exercise, one.Which = ex, nil
			q.Candidates = append(q.Candidates, []understand.Meaning{one})
		}
		r.asks = append(r.asks, q)
		return nil
	}
	if len(m.Sets) == 0 {
		if r.none == nil {
			r.none = map[prescribe.ExerciseID]bool{}
		}
		r.none[m.Exercise] = true
		return nil
	}
	it, onCard := prescribe.Item{Exercise: m.Exercise}, false
	if r.has {
		for _, x := range r.card.Card.Items {
			if x.Exercise == m.Exercise {
				it, onCard = x, true
				break
			}
		}
	}
	ex, known := prescribe.Lookup(m.Exercise)
	if !onCard {
		it.PerSide = known && ex.Unilateral
		it.LoadKind = ex.LoadKind
	}
	sides := []prescribe.Side{m.Side}
	if m.Side == prescribe.Both {
		sides = sidesOf(it)
	}
	from, err := h.firstOrdinal(m.Exercise, r.day, prior)
	if err != nil {
		return err
	}
	at := h.at(r.day)
	for i, x := range m.Sets {
		for _, side := range sides {
			load := it.Load
			switch {
			case x.Load != nil:
				load = *x.Load
			case !onCard && (it.LoadKind == prescribe.LoadBar || it.LoadKind == prescribe.LoadDumbbells):
				// A set without its load says nothing that can be kept.
				r.asks = append(r.asks, understand.Question{Code: understand.Code("load")})
				return nil
			}
			set := setOf(it, from+i, side, x.Reps, load)
			if !onCard {
				set.Asked = 0
			}
			set.RIR = x.RIR
			r.sets = append(r.sets, prescribe.Event{At: at, Day: r.day, Set: &set})
		}
	}
	return nil
}

// mostAdded is the most that somebody is taken to have added to their own body.
const mostAdded = 50 // kg

// loadable are those of the exercises that can have been done with the loads of
// the sets; all, where none can.
func (r *taking) loadable(which []prescribe.ExerciseID, sets []understand.SetRead) []prescribe.ExerciseID {
	most := prescribe.Kg(0)
	for _, s := range sets {
		if s.Load != nil {
			most = max(most, *s.Load)
		}
	}
	if most <= 0 || !r.has {
		return which
	}
	out := slices.DeleteFunc(slices.Clone(which), func(ex prescribe.ExerciseID) bool {
		i := slices.IndexFunc(r.card.Card.Items, func(it prescribe.Item) bool { return it.Exercise == ex })
		if i < 0 {
			return false
		}
		switch it := r.card.Card.Items[i]; it.LoadKind {
		case prescribe.LoadNone, prescribe.LoadFlywheel:
			return true
		case prescribe.LoadBodyweight:
			return most > max(mostAdded, 2*it.Load)
		}
		return false
	})
	if len(out) == 0 {
		return which
	}
	return out
}

// firstOrdinal is the number of the first set of an exercise that a message
// tells of: after those told before, or where its earlier version began.
func (h *hand) firstOrdinal(ex prescribe.ExerciseID, day prescribe.Day, prior []prescribe.Event) (int, error) {
	for _, e := range prior {
		if e.Set != nil && e.Set.Exercise == ex {
			return e.Set.Ordinal, nil
		}
	}
	es, err := h.tx.Events(h.person.ID, day, day)
	if err != nil {
		return 0, err
	}
	last := 0
	for _, e := range es {
		// What was only said to be as written is told anew.
		if e.Set != nil && e.Set.Exercise == ex && !e.Set.AsWritten && !e.Set.Test {
			last = max(last, e.Set.Ordinal)
		}
	}
	return last + 1, nil
}

// write records a reading. It reports whether anything was.
func (h *hand) write(r *taking, prior []prescribe.Event) (bool, error) {
	carry(r, prior)
	if err := h.makeRoom(r.sets); err != nil {
		return false, err
	}
	h.batch = r.other
	defer func() { h.batch = nil }()
	finished := r.has && (r.card.State == store.CardDone || r.card.State == store.CardChanged)
	switch {
	case r.notDone && r.has && r.card.State != store.CardWithheld:
		h.batch = append(r.other, r.sets...)
		return true, h.notDone(r.card, h.source, r.reason)
	case r.done && r.has && r.card.State != store.CardWithheld && r.card.Card.Kind != prescribe.CardWithheld && !(hasFinding(r.card.Card) && len(r.sets) == 0):
		if finished && !h.edited {
			break // it is done already; the rest of the message counts
		}
		stated := r.sets
		setFirstRIR(stated, r.rir)
		r.rir = nil
		return true, h.finish(r.card, h.source, stated, true, r.none, r.effort, r.length)
	}
	if len(r.sets) > 0 && r.rir != nil {
		setFirstRIR(r.sets, r.rir)
		r.rir = nil
	}
	events := append(slices.Clone(r.other), r.sets...)
	if len(events) == 0 && len(prior) == 0 {
		return false, nil
	}
	if _, err := h.record(h.source, events); err != nil {
		return false, err
	}
	if r.has {
		if err := h.settleCard(r.card.ID); err != nil {
			return false, err
		}
	}
	return len(events) > 0, nil
}

// carry keeps what was answered about an earlier version of the message and the
// new one does not say: repetitions in reserve, and the session's effort.
func carry(r *taking, prior []prescribe.Event) {
	for _, e := range prior {
		switch {
		case e.Set != nil && e.Set.RIR != nil:
			for _, n := range r.sets {
				if n.Set.Exercise == e.Set.Exercise && n.Set.Ordinal == e.Set.Ordinal && n.Set.Side == e.Set.Side && n.Set.RIR == nil {
					n.Set.RIR = e.Set.RIR
				}
			}
		case e.Session != nil && r.effort == nil:
			r.effort = e.Session.RPE
		}
	}
}

// setFirstRIR gives the effort said without a set to the first one.
func setFirstRIR(es []prescribe.Event, rir *prescribe.RIR) {
	if rir == nil || len(es) == 0 {
		return
	}
	if slices.ContainsFunc(es, func(e prescribe.Event) bool { return e.Set.RIR != nil }) {
		return
	}
	es[0].Set.RIR = rir
}

// makeRoom takes back sets that were only said to be as written, of exercises
// that are told in numbers now. What was said of the first one's effort goes
// over to the new first one.
func (h *hand) makeRoom(sets []prescribe.Event) error {
	told := map[prescribe.ExerciseID]bool{}
	for _, e := range sets {
		told[e.Set.Exercise] = true
	}
	if len(told) == 0 {
		return nil
	}
	day := sets[0].Day
	es, err := h.tx.Events(h.person.ID, day, day)
	if err != nil {
		return err
	}
	done := map[string]bool{}
	for _, e := range es {
		source := sourceOf(e.Key)
		if e.Set == nil || !e.Set.AsWritten || !told[e.Set.Exercise] || source == h.source {
			continue
		}
		for _, n := range sets {
			if e.Set.RIR != nil && n.Set.Exercise == e.Set.Exercise && n.Set.Ordinal == e.Set.Ordinal && n.Set.Side == e.Set.Side && n.Set.RIR == nil {
				n.Set.RIR = e.Set.RIR
			}
		}
		if done[source] {
			continue
		}
		done[source] = true
		kept, err := h.tx.Recorded(h.person.ID, source)
		if err != nil {
			return err
		}
		kept = slices.DeleteFunc(kept, func(x prescribe.Event) bool { return x.Set != nil && x.Set.AsWritten && told[x.Set.Exercise] })
		if _, err := h.record(source, kept); err != nil {
			return err
		}
	}
	return nil
}

// respond answers a text: what was noted first, then what has to be asked.
func (h *hand) respond(r taking, read understand.Reading, recorded, corrected, wasOpen bool) error {
	if err := h.raise(&r); err != nil {
		return err
	}
	changed, err := h.replanned()
	if err != nil {
		return err
	}
	said := recorded
	warned := slices.ContainsFunc(r.other, func(e prescribe.Event) bool { return e.Warning != nil })
	if recorded {
		flags := []string{noteUndo}
		if warned {
			flags = append(flags, noteUrgent)
		}
		if changed {
			flags = append(flags, noteChanges)
		}
		if corrected && r.stays {
			flags = append(flags, noteKept)
		} else if corrected {
			flags = append(flags, noteCorrected)
		}
		o, err := h.notedOut(h.source, flags...)
		if err != nil {
			return err
		}
		// In place of the question that was tapped on; what follows comes anew.
		if err := h.reply(o); err != nil {
			return err
		}
		h.tap = false
	} else if corrected {
		// The new version says nothing that counts; the old one does not either.
		if err := h.say("player.replaced"); err != nil {
			return err
		}
	}
	// What was open is settled by what was said, or waits behind it.
	if (r.done || r.notDone) && wasOpen {
		d, q, _, err := h.open()
		if err != nil {
			return err
		}
		if !q.safety(d.Kind) {
			if err := h.tx.ClearDialog(h.chat); err != nil {
				return err
			}
		}
	}
	switch {
	case len(r.asks) > 0 && !(len(r.asks) == 1 && r.asks[0].Code == understand.QUnreadable):
		return h.askReading(r.asks)
	case len(r.asks) == 1:
		if said {
			return nil
		}
		return h.unreadable()
	case warned:
		return nil
	case len(r.follow) > 0:
		return h.askFollow(r.follow[0])
	}
	if p := painOf(r.other); p != nil {
		return h.ask(askPain, 0, question{Step: stepSigns, Region: p.Region, Side: p.Side, Score: &p.Score, Source: h.source})
	}
	if !r.has && (r.done || r.notDone) {
		return h.view("nocard")
	}
	if r.has {
		c, err := h.tx.CardByID(r.card.ID)
		if err != nil {
			return err
		}
		stopped, err := h.stoppedSets(c, r.sets)
		if err != nil {
			return err
		}
		switch {
		case r.done && c.State == store.CardStarted && c.Card.Kind == prescribe.CardWithheld || stopped:
			return h.saysStop(c)
		case (r.done || r.notDone) && c.State == store.CardWithheld:
			return h.say(heldWords(c.Card))
		case r.done && !recorded && hasFinding(c.Card):
			return h.log(c)
		case r.done && !recorded:
			return h.say("player.done_already")
		case r.done:
			return h.afterDone(c)
		case r.notDone && r.reason == "":
			return h.ask(askCant, c.ID, question{})
		case r.notDone:
			return h.askAfter(r.card.ID, r.reason)
		}
		if said, err := h.lateEffort(&r, c, said); said || err != nil {
			return err
		}
	}
	if !said && !corrected {
		return h.unreadable()
	}
	if asked, err := h.askDoubts(r.day); asked || err != nil {
		return err
	}
	return h.askAgain()
}

// stoppedSets reports whether sets are told of work that is stopped. They count,
// and the player is told to do no more.
func (h *hand) stoppedSets(c store.CardRev, sets []prescribe.Event) (bool, error) {
	if !begunOrOver(c.State) {
		return false, nil
	}
	stopped, err := h.stoppedNow(c)
	if err != nil {
		return false, err
	}
	for i, it := range c.Card.Items {
		if stopped[i] && slices.ContainsFunc(sets, func(e prescribe.Event) bool { return e.Set.Exercise == it.Exercise }) {
			return true, nil
		}
	}
	return false, nil
}

// lateEffort is effort or length told without the session: it belongs to the
// one that is over, and asks whether the card was done where none is.
func (h *hand) lateEffort(r *taking, c store.CardRev, said bool) (done bool, err error) {
	if r.rir == nil && r.effort == nil && r.length == 0 {
		return false, nil
	}
	s, err := h.said(c)
	if err != nil {
		return false, err
	}
	if s.over() && s.session.Session.Outcome != prescribe.NotDone {
		if r.effort != nil || r.length > 0 {
			if err := h.amendSession(s, func(x *prescribe.Session) {
				if r.effort != nil {
					x.RPE = r.effort
				}
				if r.length > 0 {
					x.Minutes = r.length
				}
			}); err != nil {
				return true, err
			}
		}
		if r.rir != nil {
			return true, h.gaveRIR(c, *r.rir)
		}
		return true, h.afterDone(c)
	}
	if said {
		return false, nil
	}
	q := understand.Question{Code: understand.QConfirm, Candidates: [][]understand.Meaning{{{Kind: understand.Done}}}}
	if r.effort != nil {
		q.Candidates[0] = append(q.Candidates[0], understand.Meaning{Kind: understand.RPE, N: int(*r.effort)})
	}
	if r.rir != nil {
		q.Candidates[0] = append(q.Candidates[0], understand.Meaning{Kind: understand.RIR, N: int(*r.rir)})
	}
	return true, h.askReading([]understand.Question{q})
}

// painOf is the worst pain told in full; nil: none above 0.
func painOf(es []prescribe.Event) *prescribe.Pain {
	var worst *prescribe.Pain
	for _, e := range es {
		if e.Pain != nil && !e.Pain.Unclear && e.Pain.Score > 0 && (worst == nil || e.Pain.Score > worst.Score) {
			worst = e.Pain
		}
	}
	return worst
}

// askFollow asks what a report of soreness or pain left out.
func (h *hand) askFollow(m understand.Meaning) error {
	kind := askPain
	if m.Kind == understand.Soreness {
		kind = askSore
	}
	q := question{Step: "where", Score: m.Score, Source: h.source}
	if m.Region != "" && (kind == askPain || muscular(m.Region)) {
		q.Region, q.Side, q.Step = m.Region, m.Side, "score"
	}
	return h.ask(kind, 0, q)
}
