package bot

import (
	"errors"
	"slices"
	"strings"

	"pegcard/bot/telegram"
	"pegcard/prescribe"
	"pegcard/store"
	"pegcard/store/report"
)

// Pictures go out like every message: the outbox names what to draw, and it is
// drawn from what is stored by then. No picture is kept. The words under it say
// what each shape means, in every language; the words inside are left out where
// the pictures' letters cannot write the language.

// outPicture is a picture. Ref: the squad or the player; Args: what, and its
// arguments.
const outPicture = "picture"

// verbPicture is a button that sends one: pc:what:player.
const verbPicture = "pc"

// How far back the pictures of a player reach, in days.
const (
	strengthDays = 12 * 7
	workDays     = 6*7 - 1
	soreDays     = 28
)

func init() {
	renderers[outPicture] = (*rendering).picture
	pages["progress"] = (*rendering).progressPage
}

// drawn is a message with a picture that is drawn once it goes out, when no
// transaction waits for it.
func (r *rendering) drawn(name string, f report.Frame, protect bool, draw func() ([]byte, error)) telegram.Outgoing {
	lines := append([]string{f.Title}, f.Lines...)
	var keys []string
	for _, k := range f.Keys {
		keys = append(keys, k.Mark.String()+" "+k.Words)
	}
	if len(keys) > 0 {
		lines = append(lines, strings.Join(keys, "   "))
	}
	return telegram.Outgoing{Text: telegram.EscapeHTML(joinLines(lines)), Protect: protect,
		File: &telegram.Attachment{Name: name + ".png", Draw: draw, Photo: true}}
}

// plainly is worded text without markup.
func plainly(s string) string { return telegram.StripHTML(s) }

func (r *rendering) picture() (telegram.Outgoing, error) {
	t := readTap(r.out.Args)
	m, err := func() (telegram.Outgoing, error) {
		switch t.verb {
		case "day":
			day, err := prescribe.ParseDay(t.str(1))
			if err != nil {
				return telegram.Outgoing{}, err
			}
			return r.dayPicture(r.out.Ref, store.Role(t.str(0)), day)
		case "strength":
			return r.strengthPicture(r.out.Ref)
		case "work":
			return r.workPicture(r.out.Ref)
		}
		return r.sorePicture(r.out.Ref)
	}()
	if errors.Is(err, store.ErrNotFound) {
		return m, errNothing // not this reader's, or not any more
	}
	return m, err
}

// dayMark is the shape of a day's session.
func dayMark(s store.CardState) report.Mark {
	switch s {
	case store.CardDone:
		return report.MarkDone
	case store.CardChanged:
		return report.MarkChanged
	case store.CardMissed:
		return report.MarkMissed
	case store.CardUnanswered:
		return report.MarkSilent
	case store.CardSent, store.CardStarted:
		return report.MarkOpen
	case store.CardDraft, store.CardApproved:
		return report.MarkWaiting
	case store.CardWithheld:
		return report.MarkHeld
	}
	return report.MarkRest
}

// markWords are the words of the marks that ms hold, each once, in the marks'
// order.
func (r *rendering) markWords(ms []report.Mark) []report.Key {
	words := map[report.Mark]string{
		report.MarkDone: r.sp.State("done"), report.MarkChanged: r.sp.State("changed"), report.MarkMissed: r.sp.State("missed"),
		report.MarkSilent: r.sp.State("unanswered"), report.MarkOpen: r.sp.T("pic.open"), report.MarkWaiting: r.sp.T("pic.not_sent"),
		report.MarkHeld: r.sp.State("withheld"), report.MarkRest: r.sp.State("none"), report.MarkMatch: r.sp.T("pic.match"),
	}
	slices.Sort(ms)
	var keys []report.Key
	for _, m := range slices.Compact(ms) {
		if w, ok := words[m]; ok {
			keys = append(keys, report.Key{Mark: m, Words: plainly(w)})
		}
	}
	return keys
}

func (r *rendering) dayPicture(squad int64, role store.Role, day prescribe.Day) (telegram.Outgoing, error) {
	d, err := report.Day(r.tx, r.viewer, squad, day, store.AudienceOf(role))
	if err != nil {
		return telegram.Outgoing{}, err
	}
	b := r.dayBoard(d)
	if !slices.ContainsFunc(d.Lines, func(l report.Line) bool { return l.State != "" || l.Restricted }) {
		return telegram.Outgoing{}, errNothing // a day without sessions is no picture
	}
	f := report.Frame{Title: b.Title, Lines: b.Lines, Keys: b.Keys}
	return r.drawn("day", f, d.For == prescribe.ForMedical, func() ([]byte, error) { return report.DrawBoard(b) }), nil
}

// dayBoard is a squad's day in words for the picture. What the reader may not
// see is not in the values.
func (r *rendering) dayBoard(d report.DayReport) report.Board {
	b := report.Board{Title: plainly(r.sp.T("digest.title", "squad", d.Squad.Name, "day", d.Day))}
	if p, ok := d.Done.Percent(); ok {
		low, high := d.Done.Wilson()
		b.Lines = append(b.Lines, plainly(r.sp.T("report.done", "done", d.Done.K, "planned", d.Done.N,
			"percent", rounded(p), "low", rounded(low), "high", rounded(high))))
	}
	var marks []report.Mark
	for _, l := range d.Lines {
		row := report.Row{Name: l.Name, Done: l.SetsDone, Planned: l.SetsPlanned}
		if p, err := r.tx.Person(l.Person); err == nil {
			row.Short = p.Key
		}
		mark, notes := dayMark(l.State), []string{}
		switch {
		case l.NotJoined:
			notes = append(notes, plainly(r.sp.T("staff.player_not_joined")))
		case l.Waiting:
			notes = append(notes, plainly(r.sp.T("pic.not_sent")))
		case l.Reason != "":
			notes = append(notes, plainly(r.sp.Absence(l.Reason)))
		case l.State == store.CardSent, l.State == store.CardStarted:
			notes = append(notes, plainly(r.sp.T("pic.open")))
		case l.State != "" && l.State != store.CardDone && l.State != store.CardWithheld:
			notes = append(notes, plainly(r.sp.State(string(l.State))))
		}
		if l.Restricted || l.State == store.CardWithheld {
			notes = append(notes, plainly(r.sp.State("withheld")))
		}
		for _, p := range append(slices.Clone(l.Pain), l.Sore...) {
			notes = append(notes, plainly(r.sp.Region(p.Region, p.Side)+" "+r.sp.Score(p.Score)))
		}
		row.Note = strings.Join(notes, ", ")
		if l.SetsPlanned > 0 {
			row.Value = fraction(l.SetsDone, l.SetsPlanned)
		}
		row.Cells = []report.Cell{{Mark: mark}}
		marks = append(marks, mark)
		b.Rows = append(b.Rows, row)
	}
	b.Keys = r.markWords(marks)
	return b
}

// frame is what stands around a picture of a player.
func (r *rendering) frame(title string, lines ...string) report.Frame {
	f := report.Frame{Title: plainly(title), Date: func(d prescribe.Day) string { return plainly(r.sp.Short(d)) }}
	for _, l := range lines {
		f.Lines = append(f.Lines, plainly(l))
	}
	for i := range f.Weekdays {
		f.Weekdays[i] = r.sp.Weekday(prescribe.Date(2024, 1, 1) + prescribe.Day(i)) // a Monday
	}
	return f
}

func (r *rendering) strengthPicture(player int64) (telegram.Outgoing, error) {
	s, err := report.StrengthOf(r.tx, r.viewer, player, r.day-strengthDays, r.day)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	p, err := r.tx.Person(player)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	if len(s.Lifts) == 0 {
		return telegram.Outgoing{Text: r.sp.T("pic.none")}, nil
	}
	f := r.frame(r.sp.T("pic.strength", "name", p.Name), r.sp.T("pic.strength_note"))
	f.Keys = []report.Key{{Mark: report.MarkBand, Words: plainly(r.sp.T("pic.band"))}, {Mark: report.MarkExact, Words: plainly(r.sp.T("pic.exact"))},
		{Mark: report.MarkAtLeast, Words: plainly(r.sp.T("pic.at_least"))}}
	var keys []string
	names := map[string]string{}
	for _, l := range s.Lifts {
		keys = append(keys, l.Key)
		ex, side, _ := strings.Cut(l.Key, "/")
		names[l.Key] = plainly(r.sp.Lift(prescribe.ExerciseID(ex), prescribe.Side(side)))
	}
	return r.spelt(r.drawn("strength", f, false, func() ([]byte, error) { return report.DrawStrength(f, s, names) }), keys, names), nil
}

// spelt says which code of a picture is what, where the picture cannot write
// the names themselves.
func (r *rendering) spelt(m telegram.Outgoing, keys []string, names map[string]string) telegram.Outgoing {
	if report.Drawable(r.sp.T("pic.band")) {
		return m
	}
	for _, k := range keys {
		m.Text += "\n" + telegram.EscapeHTML(k+": "+names[k])
	}
	return m
}

func (r *rendering) workPicture(player int64) (telegram.Outgoing, error) {
	x, err := report.ExposureOf(r.tx, r.viewer, player, r.day.Monday()-workDays+6, r.day)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	p, err := r.tx.Person(player)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	if len(x.Days) == 0 {
		return telegram.Outgoing{Text: r.sp.T("pic.none")}, nil
	}
	f := r.frame(r.sp.T("pic.work", "name", p.Name))
	f.Keys = []report.Key{{Mark: report.MarkTraditional, Words: plainly(r.sp.Method(prescribe.Traditional))}, {Mark: report.MarkEccentric, Words: plainly(r.sp.Method(prescribe.Eccentric))},
		{Mark: report.MarkFlywheel, Words: plainly(r.sp.Method(prescribe.Flywheel))}, {Mark: report.MarkMatch, Words: plainly(r.sp.T("pic.match_minutes"))}}
	return r.drawn("work", f, false, func() ([]byte, error) { return report.DrawExposure(f, x) }), nil
}

func (r *rendering) sorePicture(player int64) (telegram.Outgoing, error) {
	x, err := report.SorenessOf(r.tx, r.viewer, player, r.day-soreDays+1, r.day, r.now)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	p, err := r.tx.Person(player)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	if len(x.Places) == 0 {
		return telegram.Outgoing{Text: r.sp.T("pic.sore_none")}, nil
	}
	f := r.frame(r.sp.T("pic.sore", "name", p.Name), r.sp.T("pic.sore_note"))
	var keys []string
	names := map[string]string{}
	for _, x := range x.Places {
		keys = append(keys, x.Key)
		names[x.Key] = plainly(r.sp.Region(x.Region, x.Side))
	}
	return r.spelt(r.drawn("soreness", f, true, func() ([]byte, error) { return report.DrawSoreness(f, x, names) }), keys, names), nil
}

// progressPage offers the pictures of a player that the reader may see.
func (r *rendering) progressPage(t tap) (telegram.Outgoing, error) {
	id := t.id(0)
	see, err := r.tx.Sees(r.viewer, id, r.day)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	if see&(prescribe.ForPlayer|prescribe.ForCoach|prescribe.ForMedical) == 0 {
		return telegram.Outgoing{}, store.ErrNotFound
	}
	buttons := []telegram.Button{r.button("pic_strength", newTap(verbPicture, "strength", id)), r.button("pic_work", newTap(verbPicture, "work", id))}
	if see&(prescribe.ForPlayer|prescribe.ForMedical) != 0 {
		buttons = append(buttons, r.button("pic_sore", newTap(verbPicture, "sore", id)))
	}
	p, err := r.tx.Person(id)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	return telegram.Outgoing{Text: r.sp.T("pic.which", "name", p.Name), Buttons: rows(1, buttons...)}, nil
}

// cmdProgress offers a player's own pictures, or to staff those of a player.
func (h *hand) cmdProgress(arg string) error {
	if arg == "" && h.is(store.RolePlayer) {
		return h.view("progress", h.person.ID)
	}
	return h.withPlayer(arg, "progress", func(p store.Person) error { return h.view("progress", p.ID) })
}

func (h *hand) tapPicture(t tap) error {
	what, id := t.str(0), t.id(1)
	see, err := h.tx.Sees(h.viewer, id, h.day)
	if err != nil {
		return err
	}
	may := prescribe.ForPlayer | prescribe.ForCoach | prescribe.ForMedical
	switch what {
	case "strength", "work":
	case "sore":
		may = prescribe.ForPlayer | prescribe.ForMedical
	default:
		return h.say("player.stale_button")
	}
	if see&may == 0 {
		return store.ErrNotFound
	}
	return h.answer(store.Out{Kind: outPicture, Ref: id, Args: what})
}
