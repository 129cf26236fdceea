package bot

import (
	"strconv"
	"strings"

	"pegcard/bot/telegram"
	"pegcard/bot/understand"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
)

// Questions about a text that can be read in two ways, put as buttons. What
// each answer would mean is kept with the question.

// maxAsks is how many questions one message raises at most.
const maxAsks = 6

// askReading asks the first of the questions; the others follow.
func (h *hand) askReading(asks []understand.Question) error {
	if len(asks) > maxAsks {
		asks = asks[:maxAsks]
	}
	return h.ask(askWhich, 0, question{Asks: asks, Source: h.source, At: h.when, Day: h.day})
}

// tapPick is the answer to the question: its number among the asked, and the
// reading; −1 is none of them.
func (h *hand) tapPick(t tap) error {
	d, q, ok, err := h.open()
	if err != nil {
		return err
	}
	n, ok1 := t.int(0)
	i, ok2 := t.int(1)
	if !ok || d.Kind != askWhich || !ok1 || !ok2 || n != len(q.Asks) {
		return h.stale()
	}
	return h.pick(q, i)
}

// pick takes reading i of the first question.
func (h *hand) pick(q question, i int) error {
	if len(q.Asks) == 0 {
		return h.close()
	}
	first, rest := q.Asks[0], q.Asks[1:]
	if i >= len(first.Candidates) {
		return h.stale()
	}
	h.source, h.day, h.when = q.Source, q.Day, q.At
	if i < 0 {
		if err := h.refused(first, rest); err != nil {
			return err
		}
		if onlyPain(first) {
			// It hurts, and none of the places offered is it.
			return h.ask(askPain, 0, question{Step: "where", Score: scoreOf(first), Source: q.Source, Back: q.Back})
		}
		if len(rest) > 0 {
			return h.ask(askWhich, 0, question{Asks: rest, Source: q.Source, At: q.At, Day: q.Day, Back: q.Back})
		}
		id := "player.not_taken"
		if first.Code == understand.QSign {
			id = "player.noted"
		}
		if err := h.replySay(id); err != nil {
			return err
		}
		return h.close()
	}
	c, has, err := h.openCard()
	if err != nil {
		return err
	}
	prior, err := h.tx.Recorded(h.person.ID, h.source)
	if err != nil {
		return err
	}
	// The answer is added to what the message has said already.
	r := taking{card: c, has: has, day: h.day, asks: rest}
	if has {
		r.day = c.Day
	}
	for _, e := range prior {
		switch {
		case e.Set != nil && !e.Set.AsWritten:
			r.sets = append(r.sets, e)
		case e.Soreness != nil || e.Pain != nil && !e.Pain.Unclear || e.Warning != nil:
			r.other = append(r.other, e)
		}
	}
	if err := h.sort(&r, first.Candidates[i], nil); err != nil {
		return err
	}
	h.unfinished(&r)
	if err := h.tx.ClearDialog(h.chat); err != nil {
		return err
	}
	if q.Back != nil {
		// What was open before the question is open again; it is repeated at the end.
		if err := h.restore(q); err != nil {
			return err
		}
	}
	recorded, err := h.write(&r, prior)
	if err != nil {
		return err
	}
	if !recorded && len(r.follow)+len(r.asks) == 0 {
		if err := h.replySay("player.noted"); err != nil {
			return err
		}
		h.tap = false
	}
	return h.respond(r, understand.Reading{}, recorded, false, false)
}

// refused: none of the readings of a question is right. What was withheld for it
// is let go, unless all of them were pain.
func (h *hand) refused(first understand.Question, rest []understand.Question) error {
	switch {
	case hintOf(first) != "":
		return h.settle(func(n prescribe.Notice) bool { return doubtOf(n) == doubtHint && n.Sign == hintOf(first) })
	case !aboutPain(first) || onlyPain(first):
		return nil
	}
	es, err := h.tx.Recorded(h.person.ID, h.source)
	if err != nil {
		return err
	}
	r := taking{asks: rest}
	h.unfinished(&r)
	if _, err := h.record(h.source, append(clearOnly(es), r.other...)); err != nil {
		return err
	}
	if len(r.other) == 0 {
		if err := h.settle(func(n prescribe.Notice) bool { return doubtOf(n) == doubtPlace || doubtOf(n) == doubtScore }); err != nil {
			return err
		}
	}
	_, err = h.replanned()
	return err
}

// onlyPain: every reading of the question is pain.
func onlyPain(q understand.Question) bool {
	if !aboutPain(q) {
		return false
	}
	for _, c := range q.Candidates {
		for _, m := range c {
			if m.Kind != understand.Pain {
				return false
			}
		}
	}
	return true
}

// scoreOf is the number that all readings of the question give; nil: none.
func scoreOf(q understand.Question) *prescribe.Score {
	var out *prescribe.Score
	for _, c := range q.Candidates {
		for _, m := range c {
			if m.Score == nil || out != nil && *out != *m.Score {
				return nil
			}
			out = m.Score
		}
	}
	return out
}

// restore makes the interrupted question the open one again without asking it.
func (h *hand) restore(q question) error {
	args, err := encode(q.Back.Q)
	if err != nil {
		return err
	}
	return h.tx.PutDialog(store.Dialog{Chat: h.chat, Kind: q.Back.Kind, Args: args, Card: q.Back.Card, Asked: h.now})
}

// pickByWords finds the reading that a text names: its label, its number, or,
// where there is one only, a yes.
func (h *hand) pickByWords(q question, read understand.Reading, text string) (int, bool) {
	if len(q.Asks) == 0 {
		return 0, false
	}
	cs := q.Asks[0].Candidates
	text = strings.TrimSpace(text)
	for i, c := range cs {
		if strings.EqualFold(text, telegram.StripHTML(readingText(h.sp, c))) {
			return i, true
		}
		if len(cs) > 1 && len(c) == 1 && c[0].Exercise != "" && strings.EqualFold(text, telegram.StripHTML(h.sp.Exercise(c[0].Exercise))) {
			return i, true
		}
	}
	if n, err := strconv.Atoi(text); err == nil && n >= 1 && n <= len(cs) && len(cs) > 1 {
		return n - 1, true
	}
	if len(read.Meanings) == 1 && len(read.Unclear) == 0 {
		switch {
		case read.Meanings[0].Kind == understand.Yes && len(cs) == 1:
			return 0, true
		case read.Meanings[0].Kind == understand.No:
			return -1, true
		}
	}
	return 0, false
}

func (r *rendering) askWhich(d store.Dialog, q question) (telegram.Outgoing, error) {
	if len(q.Asks) == 0 {
		return telegram.Outgoing{}, errNothing
	}
	a := q.Asks[0]
	m := telegram.Outgoing{Text: r.sp.Ask(string(a.Code), a.Word, a.Sign)}
	n := len(q.Asks)
	var bs []telegram.Button
	if len(a.Candidates) == 1 && (a.Code == understand.QSign || a.Code == understand.QNotOnCard) {
		bs = []telegram.Button{r.button("yes", newTap("pick", n, 0)), r.button("no", newTap("pick", n, -1))}
		m.Buttons = [][]telegram.Button{bs}
		return m, nil
	}
	for i, c := range a.Candidates {
		bs = append(bs, telegram.Button{Text: capital(telegram.StripHTML(readingText(r.sp, c))), Data: newTap("pick", n, i)})
	}
	if len(bs) > 0 {
		m.Buttons = append(rows(1, bs...), []telegram.Button{r.button("none", newTap("pick", n, -1))})
	}
	if a.Code == understand.QTooLong || a.Code == understand.QUnreadable {
		m.Text += "\n" + r.sp.T("player.unreadable_health")
	}
	return m, nil
}

// readingText words one way of reading a text.
func readingText(sp *wording.Speaker, ms []understand.Meaning) string {
	var parts []string
	for _, m := range ms {
		if s := meaningText(sp, m); s != "" {
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, ", ")
}

func meaningText(sp *wording.Speaker, m understand.Meaning) string {
	region := wording.HTML(sp.Region(m.Region, m.Side))
	switch m.Kind {
	case understand.Done:
		return sp.Button("done")
	case understand.NotDone:
		reason := m.Reason
		if reason == "" {
			reason = prescribe.AbsentOther
		}
		return sp.T("ask.as_not_done", "reason", reason)
	case understand.Sets:
		var sets []prescribe.Set
		for _, x := range m.Sets {
			s := prescribe.Set{Reps: x.Reps, RIR: x.RIR}
			if x.Load != nil {
				s.Load = *x.Load
			}
			sets = append(sets, s)
		}
		text := setsText(sp, sets)
		if m.Exercise == "" && len(sets) == 1 && sets[0].Load == 0 && sets[0].RIR == nil {
			return sp.Reps(sets[0].Reps)
		}
		if m.Exercise == "" {
			return text
		}
		return sp.T("ask.as_sets", "exercise", wording.HTML(sp.Lift(m.Exercise, m.Side)), "sets", wording.HTML(text))
	case understand.Soreness:
		switch {
		case m.Region == "" && m.Score != nil:
			return sp.Button("soreness_is") + " " + sp.Number(float64(*m.Score))
		case m.Region == "" || m.Score == nil:
			return sp.Button("soreness_is")
		}
		return sp.T("ask.as_soreness", "region", region, "score", *m.Score)
	case understand.Pain:
		switch {
		case m.Region == "" && m.Score != nil:
			return sp.Button("pain_is") + " " + sp.Number(float64(*m.Score))
		case m.Region == "" || m.Score == nil:
			return sp.Button("pain_is")
		}
		return sp.T("ask.as_pain", "region", region, "score", *m.Score)
	case understand.Warning:
		return sp.Sign(m.Sign)
	case understand.RIR:
		return sp.T("ask.as_rir", "n", m.N)
	case understand.RPE:
		return sp.T("ask.as_effort", "score", prescribe.Score(m.N))
	case understand.Score:
		return sp.Number(float64(m.N))
	case understand.Minutes:
		return sp.Seconds(prescribe.Seconds(m.N * 60))
	case understand.Reps:
		return sp.Reps(m.N)
	case understand.Load:
		if m.Load != nil {
			return sp.Kg(*m.Load)
		}
	case understand.Place:
		return string(region)
	case understand.Away:
		return sp.Plain("cmd.away")
	case understand.Yes:
		return sp.Button("yes")
	case understand.No:
		return sp.Button("no")
	case understand.Help:
		return sp.Plain("cmd.help")
	}
	return ""
}
