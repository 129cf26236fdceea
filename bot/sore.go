package bot

import (
	"fmt"
	"slices"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
)

// Places in the order in which they are offered: the usual ones of a footballer
// first, the others behind "more places". [ours]
var (
	soreFirst = []prescribe.Region{prescribe.Hamstring, prescribe.Quadriceps, prescribe.Adductor, prescribe.Glute, prescribe.Calf, prescribe.LowBack}
	soreMore  = []prescribe.Region{prescribe.HipFront, prescribe.UpperBack, prescribe.Trunk, prescribe.Chest, prescribe.Shoulder, prescribe.Arm, prescribe.Neck}
	painFirst = []prescribe.Region{prescribe.Hamstring, prescribe.Quadriceps, prescribe.Adductor, prescribe.Calf, prescribe.Knee, prescribe.Ankle, prescribe.HipFront, prescribe.LowBack}
	painMore  = []prescribe.Region{prescribe.Glute, prescribe.Hip, prescribe.TibialTub, prescribe.Shin, prescribe.Achilles, prescribe.Heel, prescribe.Foot,
		prescribe.UpperBack, prescribe.Trunk, prescribe.Chest, prescribe.Shoulder, prescribe.Arm, prescribe.Elbow, prescribe.Wrist, prescribe.Neck}
	// midline are the places that have no sides.
	midline = []prescribe.Region{prescribe.LowBack, prescribe.UpperBack, prescribe.Trunk, prescribe.Chest, prescribe.Neck}
)

func sided(r prescribe.Region) bool { return !slices.Contains(midline, r) }

// muscular: the place takes soreness, and its pain may be in the muscle.
func muscular(r prescribe.Region) bool {
	return slices.Contains(soreFirst, r) || slices.Contains(soreMore, r)
}

// A region and a side come back from a chat, so they are looked up.
func regionOf(s string) (prescribe.Region, bool) {
	r := prescribe.Region(s)
	return r, slices.Contains(painFirst, r) || slices.Contains(painMore, r)
}

func sideOf(s string) (prescribe.Side, bool) {
	switch s {
	case "l":
		return prescribe.Left, true
	case "r":
		return prescribe.Right, true
	case "b":
		return prescribe.Both, true
	}
	return prescribe.Both, false
}

func sideKey(s prescribe.Side) string {
	switch s {
	case prescribe.Left:
		return "l"
	case prescribe.Right:
		return "r"
	}
	return "b"
}

// placeSource names a report by tap: a second score of the same day and place
// takes the place of the first.
func placeSource(what string, person int64, day prescribe.Day, r prescribe.Region, s prescribe.Side) string {
	source := fmt.Sprintf("%s:%d:%s:%s", what, person, day, r)
	if s != prescribe.Both {
		source += "/" + string(s)
	}
	return source
}

// cmdSore begins with the place.
func (h *hand) cmdSore(string) error { return h.ask(askSore, 0, question{Step: "where"}) }

func (h *hand) tapSore(tap) error { return h.cmdSore("") }

func (h *hand) tapSoreMore(tap) error {
	return h.ask(askSore, 0, question{Step: "where", More: true, Score: h.saidScore(askSore), Source: h.saidSource(askSore)})
}

// saidScore is a score that came before its place, the same day.
func (h *hand) saidScore(kind string) *prescribe.Score {
	if d, q, ok, err := h.open(); err == nil && ok && d.Kind == kind && prescribe.DayOf(d.Asked.Time().In(h.loc)) == h.day {
		return q.Score
	}
	return nil
}

// saidSource is the message whose report the question completes.
func (h *hand) saidSource(kind string) string {
	if d, q, ok, err := h.open(); err == nil && ok && d.Kind == kind {
		return q.Source
	}
	return ""
}

// tapSoreWhere is the place: region.
func (h *hand) tapSoreWhere(t tap) error {
	r, ok := regionOf(t.str(0))
	if !ok || !muscular(r) {
		return h.stale()
	}
	return h.soreAt(r)
}

func (h *hand) soreAt(r prescribe.Region) error {
	q := question{Region: r, Step: "score", Score: h.saidScore(askSore), Source: h.saidSource(askSore)}
	if sided(r) {
		q.Step = "side"
	} else if q.Score != nil {
		return h.sore(r, prescribe.Both, *q.Score, q.Source)
	}
	return h.ask(askSore, 0, q)
}

// tapSoreSide is the side: region, side.
func (h *hand) tapSoreSide(t tap) error {
	r, ok := regionOf(t.str(0))
	s, ok2 := sideOf(t.str(1))
	if !ok || !ok2 || !muscular(r) {
		return h.stale()
	}
	q := question{Region: r, Side: s, Step: "score", Score: h.saidScore(askSore), Source: h.saidSource(askSore)}
	if q.Score != nil {
		return h.sore(r, s, *q.Score, q.Source)
	}
	return h.ask(askSore, 0, q)
}

// tapSoreScore is the score: region, side, number.
func (h *hand) tapSoreScore(t tap) error {
	r, ok := regionOf(t.str(0))
	s, ok2 := sideOf(t.str(1))
	n, ok3 := t.int(2)
	if !ok || !ok2 || !ok3 || !muscular(r) || n < 0 || n > 10 {
		return h.stale()
	}
	return h.sore(r, s, prescribe.Score(n), h.saidSource(askSore))
}

func (h *hand) tapSoreNone(tap) error {
	if err := h.replySay("player.sore_none"); err != nil {
		return err
	}
	return h.close()
}

// sore records soreness and says what it changes.
func (h *hand) sore(r prescribe.Region, s prescribe.Side, n prescribe.Score, source string) error {
	e := prescribe.Event{At: h.when, Day: h.day, Soreness: &prescribe.Soreness{Region: r, Side: s, Score: n}}
	if source == "" {
		source = placeSource("sore", h.person.ID, h.day, r, s)
	}
	return h.reported(source, e)
}

// reported records one report about the body, answers in place of the question,
// and goes back to what was open.
func (h *hand) reported(source string, e prescribe.Event) error {
	if err := h.addTo(source, e); err != nil {
		return err
	}
	if e.Soreness != nil {
		if err := h.settle(aboutPlace(e.Soreness.Region)); err != nil {
			return err
		}
	}
	changed, err := h.replanned()
	if err != nil {
		return err
	}
	if err := h.replyNoted(source, flagIf(changed, noteChanges)); err != nil {
		return err
	}
	return h.close()
}

// addTo adds an event to what a message has said, or makes it all that a tap's
// source says.
func (h *hand) addTo(source string, e prescribe.Event) error {
	events := []prescribe.Event{e}
	if isMessage(source) {
		prior, err := h.tx.Recorded(h.person.ID, source)
		if err != nil {
			return err
		}
		events = append(clearOnly(prior), e)
	}
	_, err := h.record(source, events)
	return err
}

// replanned works the player's cards out again and reports whether today's asks
// for something else now.
func (h *hand) replanned() (changed bool, err error) {
	today, err := h.tx.Today(h.person.ID, h.now)
	if err != nil {
		return false, err
	}
	was, _, err := h.tx.Card(h.person.ID, today)
	if err != nil {
		return false, err
	}
	if err := h.b.replan(h.tx, h.person.ID, today, h.now); err != nil {
		return false, err
	}
	is, _, err := h.tx.Card(h.person.ID, today)
	return is.Rev != was.Rev && !sameWork(was.Card, is.Card), err
}

func (r *rendering) askSore(d store.Dialog, q question) (telegram.Outgoing, error) {
	switch q.Step {
	case "where":
		first, last := soreFirst, r.button("more_places", "sm")
		if q.More {
			first, last = soreMore, r.button("back", "sore")
		}
		bs := r.places(first, "sr")
		return telegram.Outgoing{Text: r.sp.T("player.sore_where"), Buttons: append(bs, []telegram.Button{last, r.button("nothing", "sn")})}, nil
	case "side":
		return telegram.Outgoing{Text: r.sp.T("player.sore_side", "region", q.Region), Buttons: r.sides("ss", q.Region)}, nil
	}
	return telegram.Outgoing{
		Text:    r.sp.T("player.sore_score", "region", wording.HTML(r.sp.Region(q.Region, q.Side))),
		Buttons: scores(r.sp, func(n int) string { return newTap("sv", q.Region, sideKey(q.Side), n) }),
	}, nil
}

func (r *rendering) places(list []prescribe.Region, verb string) [][]telegram.Button {
	var bs []telegram.Button
	for _, region := range list {
		bs = append(bs, telegram.Button{Text: capital(plain(r.sp.Region(region, prescribe.Both))), Data: newTap(verb, region)})
	}
	return rows(2, bs...)
}

func (r *rendering) sides(verb string, region prescribe.Region) [][]telegram.Button {
	return [][]telegram.Button{{
		r.button("left", newTap(verb, region, "l")), r.button("right", newTap(verb, region, "r")), r.button("both", newTap(verb, region, "b")),
	}}
}
