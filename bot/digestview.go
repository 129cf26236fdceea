package bot

import (
	"errors"
	"slices"
	"strings"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/schedule"
	"pegcard/store"
	"pegcard/store/report"
)

// digest is the daily digest for one reader in one role.
func (r *rendering) digest() (telegram.Outgoing, error) {
	t := readTap(r.out.Args)
	day, err := prescribe.ParseDay(t.str(0))
	if err != nil {
		return telegram.Outgoing{}, err
	}
	return r.digestOf(r.out.Ref, store.Role(t.verb), day)
}

func (r *rendering) digestOf(squad int64, role store.Role, day prescribe.Day) (telegram.Outgoing, error) {
	see := store.AudienceOf(role)
	d, err := report.Day(r.tx, r.viewer, squad, day, see)
	if errors.Is(err, store.ErrNotFound) {
		return telegram.Outgoing{}, errNothing // the role has gone since
	}
	if err != nil {
		return telegram.Outgoing{}, err
	}
	if see == prescribe.ForMedical {
		for _, l := range d.Lines {
			if len(l.Sore)+len(l.Pain)+len(l.Regions) > 0 {
				if err := r.tx.Audit(r.person.ID, l.Person, "digest.shown", day.String(), r.now); err != nil {
					return telegram.Outgoing{}, err
				}
			}
		}
	}
	text := digestText(r.sp, d)
	if see.Has(prescribe.ForCoach) || see.Has(prescribe.ForHeadCoach) {
		week, err := r.weekOf(d)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		text += week
	}
	return telegram.Outgoing{Text: text, Protect: see == prescribe.ForMedical}, nil
}

// onCourse reports whether so many sessions done of a week's are enough: two
// thirds. [ours]
func onCourse(done, planned int) bool { return 3*done >= 2*planned }

// weekOf says on Sundays of the off-season who is on course; "" on other days.
func (r *rendering) weekOf(d report.DayReport) (string, error) {
	if d.Day != d.Day.Monday()+6 || !schedule.OffSeason(d.Squad, d.Day) {
		return "", nil
	}
	var on, behind, silent []string
	for _, l := range d.Lines {
		done, planned, err := sessionsDone(r.tx, l.Person, d.Day-6, d.Day)
		if err != nil {
			return "", err
		}
		if planned == 0 {
			continue
		}
		name := r.sp.T("digest.share", "name", l.Name, "done", done, "planned", planned)
		heard, err := r.tx.Events(l.Person, d.Day-6, d.Day)
		if err != nil {
			return "", err
		}
		switch {
		case onCourse(done, planned):
			on = append(on, name)
		case !slices.ContainsFunc(heard, func(e prescribe.Event) bool { return e.Session == nil || e.Session.Outcome != prescribe.NoAnswer }):
			silent = append(silent, name)
		default:
			behind = append(behind, name)
		}
	}
	text := ""
	for _, x := range []struct {
		id    string
		names []string
	}{{"digest.course", on}, {"digest.behind", behind}, {"digest.silent", silent}} {
		if len(x.names) > 0 {
			text += "\n" + r.sp.T(x.id, "names", wording.HTML(strings.Join(x.names, ", ")))
		}
	}
	if text != "" {
		text = "\n" + text
	}
	return text, nil
}

// digestText words a day. What the reader may not see is not in the values.
func digestText(sp *wording.Speaker, d report.DayReport) string {
	var b strings.Builder
	line := func(s string) { b.WriteString("\n" + s) }
	b.WriteString(sp.T("digest.title", "squad", d.Squad.Name, "day", d.Day))
	switch {
	case d.Done.N == 0 && slices.ContainsFunc(d.Lines, func(l report.Line) bool { return l.Kind == prescribe.CardWithheld }):
		line(sp.T("digest.done_held"))
	case d.Done.N == 0:
		line(sp.T("digest.done_none"))
	default:
		p, _ := d.Done.Percent()
		line(sp.T("digest.done", "done", d.Done.K, "planned", d.Done.N, "percent", prescribe.Percent(float64(int(p+0.5)))))
	}
	if d.DoseOK && d.For.Has(prescribe.ForCoach) {
		line(sp.T("digest.relative_dose", "percent", prescribe.Percent(float64(int(d.Dose+0.5)))))
	}
	names := func(id string, keep func(report.Line) bool, word func(report.Line) string) {
		var list []string
		for _, l := range d.Lines {
			if keep(l) {
				list = append(list, word(l))
			}
		}
		if len(list) > 0 {
			line(sp.T(id, "names", wording.HTML(strings.Join(list, ", "))))
		}
	}
	plain := func(l report.Line) string { return sp.Format(l.Name) }
	state := func(ss ...store.CardState) func(report.Line) bool {
		return func(l report.Line) bool { return slices.Contains(ss, l.State) }
	}
	places := func(l report.Line, ps []report.Place) string {
		parts := make([]string, len(ps))
		for i, p := range ps {
			parts[i] = sp.Region(p.Region, p.Side) + " " + sp.Score(p.Score)
		}
		return sp.Format(l.Name) + " (" + strings.Join(parts, ", ") + ")"
	}
	names("digest.changed", func(l report.Line) bool { return l.State == store.CardChanged && l.Kind != prescribe.CardWithheld }, plain)
	names("digest.missed", state(store.CardMissed), func(l report.Line) string {
		if l.Reason == "" {
			return sp.Format(l.Name)
		}
		return sp.T("digest.missed_line", "name", l.Name, "reason", l.Reason)
	})
	names("digest.open", func(l report.Line) bool {
		return (l.State == store.CardSent || l.State == store.CardStarted) && l.Kind != prescribe.CardWithheld
	}, plain)
	names("digest.unanswered", state(store.CardUnanswered), plain)
	names("digest.waiting", func(l report.Line) bool { return l.Waiting }, plain)
	if d.For.Has(prescribe.ForMedical) {
		names("digest.held_medical", func(l report.Line) bool { return l.Restricted }, func(l report.Line) string {
			if len(l.Regions) == 0 {
				return sp.Format(l.Name)
			}
			parts := make([]string, len(l.Regions))
			for i, x := range l.Regions {
				parts[i] = sp.Region(x, prescribe.Both)
			}
			return sp.Format(l.Name) + " (" + strings.Join(parts, ", ") + ")"
		})
		names("digest.pain", func(l report.Line) bool { return len(l.Pain) > 0 }, func(l report.Line) string { return places(l, l.Pain) })
	} else {
		names("digest.held", func(l report.Line) bool { return l.Restricted || l.State == store.CardWithheld }, plain)
	}
	names("digest.stopped", func(l report.Line) bool {
		return l.Kind == prescribe.CardWithheld && (l.State == store.CardStarted || l.State == store.CardChanged)
	}, plain)
	names("digest.sore", func(l report.Line) bool { return len(l.Sore) > 0 }, func(l report.Line) string { return places(l, l.Sore) })
	if d.For.Has(prescribe.ForCoach) {
		names("digest.reduced", func(l report.Line) bool { return l.Reduced }, plain)
	}
	if !d.For.Has(prescribe.ForMedical) {
		names("digest.away", func(l report.Line) bool { return l.Away }, plain)
		names("digest.paused", func(l report.Line) bool { return l.Paused }, plain)
	}
	names("digest.unreachable", func(l report.Line) bool { return l.Unreachable }, plain)
	if n := count(d.Lines, func(l report.Line) bool { return l.NotJoined }); n > namesMax {
		line(sp.T("digest.not_joined", "names", wording.HTML(sp.Players(n))))
	} else {
		names("digest.not_joined", func(l report.Line) bool { return l.NotJoined }, plain)
	}
	if d.Alerts > 0 && !d.For.Has(prescribe.ForHeadCoach) {
		id := "digest.alerts"
		if d.For.Has(prescribe.ForMedical) {
			id = "digest.alerts_medical"
		}
		line(sp.T(id, "n", d.Alerts))
	}
	b.WriteString("\n")
	tomorrow := sp.T("digest.tomorrow_sessions", "n", d.Tomorrow.Sessions)
	if d.Tomorrow.Match {
		tomorrow = sp.T("digest.tomorrow_match")
	}
	line(sp.T("digest.tomorrow", "what", wording.HTML(tomorrow)))
	if d.Tomorrow.NotIn > 0 && !d.Tomorrow.Match && !d.For.Has(prescribe.ForHeadCoach) {
		line(sp.T("digest.tomorrow_not_in", "n", d.Tomorrow.NotIn))
	}
	if d.NextMatch != 0 && !d.Tomorrow.Match {
		line(sp.T("digest.next_match", "day", d.NextMatch))
	}
	return b.String()
}

// namesMax is how many names are written out of those who have not joined: a
// new squad is a number.
const namesMax = 6

func count(lines []report.Line, keep func(report.Line) bool) (n int) {
	for _, l := range lines {
		if keep(l) {
			n++
		}
	}
	return n
}

// cmdDigest is the day so far, in each role that the person has.
func (h *hand) cmdDigest(string) error {
	for _, role := range h.roles {
		if store.AudienceOf(role.Role)&(prescribe.ForCoach|prescribe.ForMedical|prescribe.ForHeadCoach) == 0 {
			continue
		}
		if err := h.answer(store.Out{Kind: outPicture, Ref: role.Squad, Args: newTap("day", role.Role, h.day)}); err != nil {
			return err
		}
		if err := h.answer(store.Out{Kind: outDigest, Ref: role.Squad, Args: newTap(string(role.Role), h.day)}); err != nil {
			return err
		}
	}
	return nil
}
