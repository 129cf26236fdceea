package report

import (
	"cmp"
	"fmt"
	"slices"

	"pegcard/prescribe"
	"pegcard/store"
)

// Period is a squad's days From..To for one kind of reader.
type Period struct {
	Squad    store.Squad
	From, To prescribe.Day
	Today    prescribe.Day
	For      prescribe.Audience
	Players  []PlayerPeriod // by name, then id
	Sessions Share          // done of prescribed; those withheld are in neither
	// Dose is Σ sets·reps·kg done ÷ prescribed; HasDose is false when nothing
	// loaded was prescribed.
	Dose    Ratio
	HasDose bool
	Weeks   Share // player-weeks that are over, with every method at its minimum
	// Available is player-days without a stop for the whole player.
	Available Share
	Matches   []prescribe.Day
	// Medical is to medical staff only: restrictions that they have set, counted
	// in hours of matches and strength sessions on record.
	Medical *Epidemiology
}

// PlayerPeriod is one player's part.
type PlayerPeriod struct {
	Person   int64
	Key      string
	Name     string
	Days     []DayMark // From..To
	Sessions Share
	Weeks    []WeekDose // that touch From..To, ascending
	Loads    []WeekLoad // the same weeks
	// DoseDone and DosePlanned are Σ repetitions × kg of external loads.
	DoseDone, DosePlanned float64
	// Days since the last exposure, and the longest gap; -1 none on record.
	SinceNordic, LongestNordic int
	SinceHeavy, LongestHeavy   int
	Restricted                 bool // on To
}

// WeekLoad is a week's session RPE × minutes of strength work.
type WeekLoad struct {
	Monday           prescribe.Day
	Sum              float64
	Monotony, Strain float64
	OK               bool // monotony and strain are defined: every day known, and not all equal
}

// DayMark is one day of one player.
type DayMark struct {
	Day   prescribe.Day
	State store.CardState // "" without a card, or on a rest day
	Match bool
}

// PeriodOf works out a squad's days from..to as the audience may read them, as of
// today. It is ErrNotFound when the viewer has no such role there.
func PeriodOf(tx *store.Tx, v store.Viewer, squad int64, from, to, today prescribe.Day, audience prescribe.Audience) (Period, error) {
	out := Period{From: from, To: to, Today: today, For: audience}
	if !v.May(squad, roleOf(audience)) || audience == prescribe.ForSafeguarding {
		return out, store.ErrNotFound
	}
	var err error
	if out.Squad, err = tx.Squad(squad); err != nil {
		return out, err
	}
	fixtures, err := tx.Fixtures(squad, from, to)
	if err != nil {
		return out, err
	}
	for _, f := range fixtures {
		if !f.Travel && f.Day >= from && f.Day <= to {
			out.Matches = append(out.Matches, f.Day)
		}
	}
	members, err := tx.Members(squad, min(to, today))
	if err != nil {
		return out, err
	}
	var done, planned []float64
	var lost []int
	hours := 0.0
	for _, p := range members {
		pp, x, err := playerPeriod(tx, p, out)
		if err != nil {
			return out, fmt.Errorf("player %s: %w", p.Pseudo, err)
		}
		out.Players = append(out.Players, pp)
		out.Sessions.K, out.Sessions.N = out.Sessions.K+pp.Sessions.K, out.Sessions.N+pp.Sessions.N
		out.Available.K, out.Available.N = out.Available.K+x.available.K, out.Available.N+x.available.N
		done, planned = append(done, pp.DoseDone), append(planned, pp.DosePlanned)
		lost, hours = append(lost, x.lost...), hours+x.hours
		for _, w := range pp.Weeks {
			if w.Over {
				out.Weeks.N++
				if w.Met() {
					out.Weeks.K++
				}
			}
		}
	}
	out.Dose, out.HasDose = RatioOf(done, planned)
	if audience == prescribe.ForMedical {
		e := EpidemiologyOf(lost, hours)
		out.Medical = &e
	}
	slices.SortFunc(out.Players, func(a, b PlayerPeriod) int {
		return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(a.Person, b.Person))
	})
	return out, nil
}

// outside is what of a player goes into the squad's figures only.
type outside struct {
	available Share
	lost      []int
	hours     float64
}

func playerPeriod(tx *store.Tx, p store.Person, of Period) (PlayerPeriod, outside, error) {
	out := PlayerPeriod{Person: p.ID, Key: p.Key, Name: p.Name}
	var x outside
	last := min(of.To, of.Today)
	first := of.From.Monday()
	events, err := tx.Events(p.ID, 1, of.To.Monday()+6)
	if err != nil {
		return out, x, err
	}
	pw := playerWeeks{events: events}
	age, known, err := tx.Age(p.ID, last)
	if err != nil {
		return out, x, err
	}
	pw.young = known && age < 18 || !known && of.Squad.Youth
	if pw.cards, err = tx.Cards(p.ID, first, of.To.Monday()+6); err != nil {
		return out, x, err
	}
	if pw.calendar, err = tx.Calendar(p.ID, first-7, of.To.Monday()+6); err != nil {
		return out, x, err
	}
	if pw.programme, _, err = tx.Programme(); err != nil {
		return out, x, err
	}
	if pw.rules, _, err = tx.Rules(); err != nil {
		return out, x, err
	}
	for monday := first; monday <= of.To && monday <= of.Today; monday += 7 {
		out.Weeks = append(out.Weeks, pw.weekDose(monday, of.Today))
		w, sum := pw.load(monday)
		l := WeekLoad{Monday: monday, Sum: sum}
		l.Monotony, l.Strain, l.OK = w.Monotony()
		out.Loads = append(out.Loads, l)
	}
	nordic, heavy := pw.exposures()
	out.SinceNordic, out.LongestNordic = gaps(nordic, of.From, last)
	out.SinceHeavy, out.LongestHeavy = gaps(heavy, of.From, last)

	byDay := map[prescribe.Day]store.CardRev{}
	for _, c := range pw.cards {
		byDay[c.Day] = c
	}
	matches := map[prescribe.Day]bool{}
	for _, m := range pw.calendar.Matches {
		matches[m.Day] = true
	}
	doneOn := map[prescribe.Day]float64{}
	for _, e := range events {
		if e.Day < of.From || e.Day > of.To {
			continue
		}
		switch {
		case e.Set != nil && !e.Set.Test:
			doneOn[e.Day] += float64(e.Set.Reps) * float64(e.Set.Load)
		case e.Match != nil:
			x.hours += float64(e.Match.Minutes) / 60
		case e.Session != nil && (e.Session.Outcome == prescribe.DoneAsWritten || e.Session.Outcome == prescribe.DoneChanged):
			minutes := e.Session.Minutes
			if minutes == 0 {
				minutes = byDay[e.Day].Card.Minutes
			}
			x.hours += float64(minutes) / 60
		}
	}
	for d := of.From; d <= of.To; d++ {
		m := DayMark{Day: d, Match: matches[d]}
		if c, ok := byDay[d]; ok && c.Card.Kind != prescribe.CardRest {
			m.State = c.State
			if counted(Line{State: c.State, Kind: c.Card.Kind}) && !(d == of.Today && (c.State == store.CardSent || c.State == store.CardStarted)) {
				out.Sessions.N++
				if c.State == store.CardDone || c.State == store.CardChanged {
					out.Sessions.K++
				}
				_, dose := prescribedWork(c.Card)
				out.DosePlanned += dose
				out.DoseDone += doneOn[d]
			}
		}
		out.Days = append(out.Days, m)
	}
	x.available, x.lost, out.Restricted = restrictions(events, pw.rules, of.From, last)
	return out, x, nil
}

// restrictions folds a player's events and looks at each of the days from..to:
// the days without a stop for the whole player of all of them, the days that each
// restriction set by medical staff has cost by then, counted from its own first
// day for those that stood in from..to, and whether anything is held on the last
// day. A restriction of a region, or one that only caps the load, costs no day.
func restrictions(events []prescribe.Event, r prescribe.Rules, from, to prescribe.Day) (available Share, lost []int, restricted bool) {
	type episode struct{ lost, touched int }
	open := map[prescribe.Region]*episode{}
	var all []*episode
	var s prescribe.State
	next := 0
	start := from
	for _, e := range events {
		if e.Hold != nil || e.Warning != nil {
			start = min(start, e.Day)
			break
		}
	}
	for ; next < len(events) && events[next].Day < start; next++ {
		s = prescribe.Fold(s, events[next], r)
	}
	for d := start; d <= to; d++ {
		for ; next < len(events) && events[next].Day <= d; next++ {
			s = prescribe.Fold(s, events[next], r)
		}
		whole, now := false, map[prescribe.Region]bool{}
		held := s.Held(d)
		for _, h := range held {
			stopped := h.MaxLoad == 0 && h.Region == ""
			whole = whole || stopped
			if !h.Medical || h.Cause != "hold" {
				continue
			}
			now[h.Region] = true
			if open[h.Region] == nil {
				open[h.Region] = &episode{}
				all = append(all, open[h.Region])
			}
			if stopped {
				open[h.Region].lost++
			}
			if d >= from {
				open[h.Region].touched++
			}
		}
		for region := range open {
			if !now[region] {
				delete(open, region)
			}
		}
		if d >= from {
			available.N++
			if !whole {
				available.K++
			}
			restricted = len(held) > 0
		}
	}
	for _, e := range all {
		if e.touched > 0 {
			lost = append(lost, e.lost)
		}
	}
	return available, lost, restricted
}
