package bot

import (
	"slices"
	"strings"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
)

// legSigns and armSigns are asked about after pain in a limb. Any sign overrides
// the number.
var (
	legSigns = []prescribe.Sign{prescribe.SignPop, prescribe.SignSwelling, prescribe.SignSudden, prescribe.SignCannotBear, prescribe.SignDeformity}
	armSigns = []prescribe.Sign{prescribe.SignPop, prescribe.SignSwelling, prescribe.SignSudden, prescribe.SignLimbWeak, prescribe.SignDeformity}
)

// placeSigns are those asked about after pain in other places; the signs are the
// method's, which of them belong to which place is our choice.
var placeSigns = map[prescribe.Region][]prescribe.Sign{
	prescribe.LowBack:   {prescribe.SignSaddle, prescribe.SignBladderBowel, prescribe.SignLimbWeak},
	prescribe.UpperBack: {prescribe.SignChestPain, prescribe.SignBreathless, prescribe.SignLimbWeak},
	prescribe.Neck:      {prescribe.SignHeadImpact, prescribe.SignConfusion, prescribe.SignLimbWeak},
	prescribe.Chest:     {prescribe.SignChestPain, prescribe.SignBreathless, prescribe.SignPalpitations, prescribe.SignFainting},
	prescribe.Trunk:     {prescribe.SignTesticular, prescribe.SignSwelling, prescribe.SignSudden, prescribe.SignDarkUrine, prescribe.SignFever},
	prescribe.Adductor:  {prescribe.SignTesticular, prescribe.SignPop, prescribe.SignSwelling, prescribe.SignSudden, prescribe.SignCannotBear},
	prescribe.HipFront:  {prescribe.SignTesticular, prescribe.SignPop, prescribe.SignSwelling, prescribe.SignSudden, prescribe.SignCannotBear},
	prescribe.Calf:      {prescribe.SignCalfSwollen, prescribe.SignPop, prescribe.SignSudden, prescribe.SignCannotBear, prescribe.SignDeformity},
	prescribe.Shoulder:  armSigns,
	prescribe.Arm:       armSigns,
	prescribe.Elbow:     armSigns,
	prescribe.Wrist:     armSigns,
}

// signsOf are the warning signs asked about after pain at a place.
func signsOf(r prescribe.Region) []prescribe.Sign {
	if list, ok := placeSigns[r]; ok {
		return list
	}
	return legSigns
}

// painSign reports whether the sign is one that some place is asked about.
func painSign(s prescribe.Sign) bool {
	if s == prescribe.SignOther || slices.Contains(legSigns, s) {
		return true
	}
	for _, list := range placeSigns {
		if slices.Contains(list, s) {
			return true
		}
	}
	return false
}

// illSigns are asked of somebody who is ill.
var illSigns = []prescribe.Sign{prescribe.SignFever, prescribe.SignChestPain, prescribe.SignBreathless}

// cmdPain begins with the place.
func (h *hand) cmdPain(string) error { return h.ask(askPain, 0, question{Step: "where"}) }

func (h *hand) tapPain(tap) error { return h.cmdPain("") }

func (h *hand) tapPainMore(tap) error {
	return h.ask(askPain, 0, question{Step: "where", More: true, Score: h.saidScore(askPain), Source: h.saidSource(askPain)})
}

// tapPainWhere is the place: region.
func (h *hand) tapPainWhere(t tap) error {
	r, ok := regionOf(t.str(0))
	if !ok {
		return h.stale()
	}
	return h.painAt(r)
}

func (h *hand) painAt(r prescribe.Region) error {
	q := question{Region: r, Step: "score", Score: h.saidScore(askPain), Source: h.saidSource(askPain)}
	if sided(r) {
		q.Step = "side"
	} else if q.Score != nil {
		return h.pain(r, prescribe.Both, *q.Score, q.Source)
	}
	return h.ask(askPain, 0, q)
}

// tapPainSide is the side: region, side.
func (h *hand) tapPainSide(t tap) error {
	r, ok := regionOf(t.str(0))
	s, ok2 := sideOf(t.str(1))
	if !ok || !ok2 {
		return h.stale()
	}
	q := question{Region: r, Side: s, Step: "score", Score: h.saidScore(askPain), Source: h.saidSource(askPain)}
	if q.Score != nil {
		return h.pain(r, s, *q.Score, q.Source)
	}
	return h.ask(askPain, 0, q)
}

// tapPainScore is the score: region, side, number.
func (h *hand) tapPainScore(t tap) error {
	r, ok := regionOf(t.str(0))
	s, ok2 := sideOf(t.str(1))
	n, ok3 := t.int(2)
	if !ok || !ok2 || !ok3 || n < 0 || n > 10 {
		return h.stale()
	}
	return h.pain(r, s, prescribe.Score(n), h.saidSource(askPain))
}

// pain records a score at once and asks for warning signs.
func (h *hand) pain(r prescribe.Region, s prescribe.Side, n prescribe.Score, source string) error {
	timing, err := h.painTiming()
	if err != nil {
		return err
	}
	if source == "" {
		source = placeSource("pain", h.person.ID, h.day, r, s)
	}
	e := prescribe.Event{At: h.when, Day: h.day, Pain: &prescribe.Pain{Region: r, Side: s, Score: n, Timing: timing}}
	if err := h.addTo(source, e); err != nil {
		return err
	}
	if n > 0 {
		if err := h.doubt(aDoubt(doubtSigns, r, s, &n)); err != nil {
			return err
		}
	}
	if err := h.settle(aboutPlace(r)); err != nil {
		return err
	}
	changed, err := h.replanned()
	if err != nil {
		return err
	}
	if n == 0 {
		_, moves, err := h.missedForPain()
		if err != nil {
			return err
		}
		if err := h.replyNoted(source, flagIf(changed, noteChanges), flagIf(moves, noteMoves)); err != nil {
			return err
		}
		return h.close()
	}
	return h.ask(askPain, 0, question{Step: stepSigns, Region: r, Side: s, Score: &n, Source: source, Changed: changed})
}

// unclear is the event of pain of which the place or the number is missing.
func (h *hand) unclear(r prescribe.Region, s prescribe.Side, n *prescribe.Score) prescribe.Event {
	p := prescribe.Pain{Region: r, Side: s, Unclear: true}
	if n != nil {
		p.Score = *n
	}
	return prescribe.Event{At: h.when, Day: h.day, Pain: &p}
}

// unplaced records that something hurts and nobody knows where yet.
func (h *hand) unplaced() error {
	if err := h.doubt(aDoubt(doubtPlace, "", prescribe.Both, nil)); err != nil {
		return err
	}
	source := placeSource("pain?", h.person.ID, h.day, "", prescribe.Both)
	if _, err := h.record(source, []prescribe.Event{h.unclear("", prescribe.Both, nil)}); err != nil {
		return err
	}
	_, err := h.replanned()
	return err
}

// unclearDays is how far back an unfinished report of pain is looked for when
// the player says that nothing hurts.
const unclearDays = 14

// dropUnclear takes back what was said of pain without a place or a number.
func (h *hand) dropUnclear() error {
	es, err := h.tx.Events(h.person.ID, h.day-unclearDays, h.day)
	if err != nil {
		return err
	}
	for _, e := range es {
		if e.Pain == nil || !e.Pain.Unclear {
			continue
		}
		if err := h.amend(e.Key, clearOnly); err != nil {
			return err
		}
	}
	return h.settle(func(n prescribe.Notice) bool { return doubtOf(n) == doubtPlace || doubtOf(n) == doubtScore })
}

// clearOnly leaves out the reports of pain that were not finished.
func clearOnly(es []prescribe.Event) []prescribe.Event {
	return slices.DeleteFunc(slices.Clone(es), func(e prescribe.Event) bool { return e.Pain != nil && e.Pain.Unclear })
}

// tapPainNothing: nothing hurts after all.
func (h *hand) tapPainNothing(tap) error {
	if err := h.dropUnclear(); err != nil {
		return err
	}
	if _, err := h.replanned(); err != nil {
		return err
	}
	missed, ok, err := h.missedForPain()
	if err != nil {
		return err
	}
	if ok {
		err = h.replyView("cantdone", missed.ID)
	} else {
		err = h.replySay("player.noted")
	}
	if err != nil {
		return err
	}
	return h.close()
}

// missedForPain is the session of the day that is not done for pain: what of it
// moves is said once it is known where it hurts.
func (h *hand) missedForPain() (store.CardRev, bool, error) {
	c, ok, err := h.tx.Card(h.person.ID, h.day)
	if err != nil || !ok || c.State != store.CardMissed {
		return c, false, err
	}
	s, err := saidOf(h.tx, c)
	if err != nil || s.session == nil {
		return c, false, err
	}
	return c, s.session.Session.Reason == prescribe.AbsentPain, nil
}

// painTiming is when pain is reported: during a session that was begun, before
// one that was not, else at any time.
func (h *hand) painTiming() (prescribe.PainTiming, error) {
	c, ok, err := h.tx.Card(h.person.ID, h.day)
	if err != nil || !ok {
		return prescribe.PainOther, err
	}
	switch c.State {
	case store.CardStarted:
		return prescribe.PainDuring, nil
	case store.CardSent, store.CardDraft, store.CardApproved:
		if c.Card.Kind == prescribe.CardTrain || c.Card.Kind == prescribe.CardFinding {
			return prescribe.PainBefore, nil
		}
	}
	return prescribe.PainOther, nil
}

// tapPainSign is the answer to the signs: a sign, or none with the kind of pain
// ("none", "muscle", "joint").
func (h *hand) tapPainSign(t tap) error {
	d, q, ok, err := h.open()
	if err != nil {
		return err
	}
	word := t.str(0)
	if word == "yes" {
		word = string(prescribe.SignOther) // which of them was not said
	}
	if sign := prescribe.Sign(word); painSign(sign) {
		// A sign counts whatever the question was that it hung on.
		w := prescribe.Warning{Sign: sign}
		if ok && d.Kind == askPain {
			w.Region = q.Region
		}
		return h.warned(w)
	}
	if !ok || d.Kind != askPain || q.Step != stepSigns && q.Step != stepYesNo {
		return h.stale()
	}
	switch word {
	case "muscle":
		if err := h.inMuscle(q); err != nil {
			return err
		}
	case "joint", "none":
	default:
		return h.stale()
	}
	changed, err := h.replanned()
	if err != nil {
		return err
	}
	if err := h.settle(aboutSigns(q.Region, q.Side)); err != nil {
		return err
	}
	_, moves, err := h.missedForPain()
	if err != nil {
		return err
	}
	if err := h.replyNoted(q.Source, flagIf(changed || q.Changed, noteChanges), flagIf(moves, noteMoves)); err != nil {
		return err
	}
	return h.close()
}

// inMuscle notes that the pain just reported is in the muscle.
func (h *hand) inMuscle(q question) error {
	es, err := h.tx.Recorded(h.person.ID, q.Source)
	if err != nil {
		return err
	}
	for i, e := range es {
		if e.Pain != nil && e.Pain.Region == q.Region && e.Pain.Side == q.Side {
			p := *e.Pain
			p.Muscle = true
			es[i].Pain = &p
		}
	}
	_, err = h.record(q.Source, es)
	return err
}

// warned records a warning sign by tap: everything stops, medical staff are told
// at once, and the player reads whom to turn to.
func (h *hand) warned(w prescribe.Warning) error {
	source := placeSource("sign", h.person.ID, h.day, w.Region, prescribe.Both) + "!" + string(w.Sign)
	if _, err := h.record(source, []prescribe.Event{{At: h.when, Day: h.day, Warning: &w}}); err != nil {
		return err
	}
	if err := h.settle(everyDoubt); err != nil {
		return err
	}
	if _, err := h.replanned(); err != nil {
		return err
	}
	if err := h.replyNoted(source, noteUrgent); err != nil {
		return err
	}
	return h.close()
}

// tapIll is a warning sign of somebody ill, or none.
func (h *hand) tapIll(t tap) error {
	if sign := prescribe.Sign(t.str(0)); sign == prescribe.SignOther || slices.Contains(illSigns, sign) {
		return h.warned(prescribe.Warning{Sign: sign})
	}
	d, _, ok, err := h.open()
	if err != nil {
		return err
	}
	if !ok || d.Kind != askIll {
		return h.stale()
	}
	if err := h.settle(about(doubtIll)); err != nil {
		return err
	}
	if d.Card != 0 {
		err = h.replyView("cantdone", d.Card) // now what moves may be said
	} else {
		err = h.replySay("player.noted")
	}
	if err != nil {
		return err
	}
	return h.close()
}

// tapMorning answers how a followed place is today: card, region, number.
func (h *hand) tapMorning(t tap) error {
	c, err := h.myCard(t.id(0))
	r, ok := regionOf(t.str(1))
	n, ok2 := t.int(2)
	if err != nil || !ok || !ok2 || n < 0 || n > 10 {
		return h.staleUnless(err)
	}
	late, err := h.superseded(c)
	if err != nil {
		return err
	}
	if late {
		return h.stale()
	}
	h.day = c.Day
	return h.gaveMorning(c, r, prescribe.Score(n), "")
}

// gaveMorning records the morning's score for the place, on each side that is
// followed, then asks for the next place or sends the session. It counts as the
// score before the session, which the next morning is judged by.
func (h *hand) gaveMorning(c store.CardRev, r prescribe.Region, n prescribe.Score, source string) error {
	state, err := h.tx.State(h.person.ID)
	if err != nil {
		return err
	}
	var events []prescribe.Event
	for _, m := range followed(state, r, c.Day) {
		events = append(events, prescribe.Event{At: h.at(c.Day), Day: c.Day, Pain: &prescribe.Pain{
			Region: r, Side: m.Side, Score: n, Timing: prescribe.PainBefore, Muscle: m.Muscle}})
	}
	if source == "" {
		source = placeSource("pain", h.person.ID, c.Day, r, prescribe.Both)
	}
	if _, err := h.record(source, events); err != nil {
		return err
	}
	if err := h.b.replan(h.tx, h.person.ID, c.Day, h.now); err != nil {
		return err
	}
	entry, err := h.tx.EntryOf(h.person.ID, source)
	if err != nil {
		return err
	}
	o := store.Out{Kind: outNoted, Ref: entry.ID}
	if h.tap {
		o.Edit, o.MessageID = true, h.message
	}
	if err := h.answer(o); err != nil {
		return err
	}
	if c, err = h.tx.CardByID(c.ID); err != nil {
		return err
	}
	if state, err = h.tx.State(h.person.ID); err != nil {
		return err
	}
	if left := unasked(state, c); len(left) > 0 {
		return h.view(pageMorning, c.ID)
	}
	if c.Card.Kind == prescribe.CardRest || c.State != store.CardSent && c.State != store.CardWithheld {
		return nil
	}
	return h.b.sendCard(h.tx, c, h.now)
}

// followed are the marks of a region whose pain is being followed; one of no
// side when only a cap of medical staff is.
func followed(s prescribe.State, r prescribe.Region, day prescribe.Day) []prescribe.PainMark {
	var out []prescribe.PainMark
	for _, side := range []prescribe.Side{prescribe.Both, prescribe.Left, prescribe.Right} {
		for _, m := range s.Pain {
			if m.Region == r && m.Side == side && (m.Unclear || m.Open || m.Score >= askFrom) && day-max(m.Day, m.UnclearDay) <= followFor {
				out = append(out, m)
			}
		}
	}
	if len(out) == 0 {
		out = []prescribe.PainMark{{Region: r}}
	}
	return out
}

// followFor is how long a complaint is asked about each morning, in days; the
// same as in prescribe.
const followFor = 7

// The steps of the question about pain that ask for warning signs: by name,
// and, after words that did not answer it, by yes and no.
const (
	stepSigns = "signs"
	stepYesNo = "yesno"
)

func (r *rendering) askPain(d store.Dialog, q question) (telegram.Outgoing, error) {
	region := wording.HTML(r.sp.Region(q.Region, q.Side))
	switch q.Step {
	case "where":
		first, last := painFirst, r.button("more_places", "pmore")
		if q.More {
			first, last = painMore, r.button("back", "pain")
		}
		return telegram.Outgoing{Text: r.sp.T("player.pain_where"), Buttons: append(r.places(first, "pr"), []telegram.Button{last, r.button("nothing", "pn")})}, nil
	case "side":
		return telegram.Outgoing{Text: r.sp.T("player.pain_side", "region", q.Region), Buttons: r.sides("ps", q.Region)}, nil
	case "score":
		return telegram.Outgoing{
			Text:    r.sp.T("player.pain_score", "region", region),
			Buttons: scores(r.sp, func(n int) string { return newTap("pv", q.Region, sideKey(q.Side), n) }),
		}, nil
	}
	list := signsOf(q.Region)
	names := make([]string, len(list))
	for i, s := range list {
		names[i] = plain(r.sp.Sign(s))
	}
	text := r.sp.T("player.pain_signs", "signs", wording.HTML(strings.Join(names, " · ")))
	if q.Score != nil {
		text = r.sp.T("ask.as_pain", "region", region, "score", *q.Score) + ".\n" + text
	}
	if q.Step == stepYesNo {
		return telegram.Outgoing{Text: text, Buttons: [][]telegram.Button{{r.button("yes", newTap("pg", "yes")), r.button("no", newTap("pg", "none"))}}}, nil
	}
	bs := r.signs(list, "pg")
	if muscular(q.Region) {
		bs = append(bs, []telegram.Button{r.button("none_muscle", newTap("pg", "muscle")), r.button("none_joint", newTap("pg", "joint"))})
	} else {
		bs = append(bs, []telegram.Button{r.button("none", newTap("pg", "none"))})
	}
	return telegram.Outgoing{Text: text, Buttons: bs}, nil
}

func (r *rendering) askIll(d store.Dialog, q question) (telegram.Outgoing, error) {
	return telegram.Outgoing{Text: r.sp.T("player.cant_ill"), Buttons: append(r.signs(illSigns, "ill"), []telegram.Button{r.button("none", newTap("ill", "none"))})}, nil
}

func (r *rendering) askMorning(d store.Dialog, q question) (telegram.Outgoing, error) {
	return telegram.Outgoing{}, errNothing // it is a page: nothing has to be remembered for it
}

func (r *rendering) signs(list []prescribe.Sign, verb string) [][]telegram.Button {
	var bs []telegram.Button
	for _, s := range list {
		bs = append(bs, telegram.Button{Text: capital(plain(r.sp.Sign(s))), Data: newTap(verb, s)})
	}
	return rows(2, append(bs, r.button("other_bad", newTap(verb, prescribe.SignOther)))...)
}

// pageMorning is the page that asks how a followed place is today.
const pageMorning = "morning"

func init() {
	// The question of the morning; t: card.
	pages[pageMorning] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		c, err := r.myCard(t.id(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		state, err := r.tx.State(c.Person)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		left := unasked(state, c)
		if len(left) == 0 || begunOrOver(c.State) {
			return telegram.Outgoing{}, errNothing
		}
		return r.morning(c, state, left[0]), nil
	}
}
