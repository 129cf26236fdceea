package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"pegcard/prescribe"
	"pegcard/store"
)

// Line is one player's day.
type Line struct {
	Person int64
	Name   string
	State  store.CardState // "" when there was no card or it was a rest day
	Kind   prescribe.CardKind
	Reason prescribe.Absence // of a session not done, to who may read it
	// Restricted: something is held or capped. To medical staff Regions says what.
	Restricted bool
	Regions    []prescribe.Region
	Sore, Pain []Place // to who may read them
	// Reduced: the card was made smaller than the programme's.
	Reduced bool
	// NotJoined, Unreachable: why nothing can come from this player.
	NotJoined, Unreachable bool
	// Waiting: the card waits for somebody's approval.
	Waiting bool
	Away    bool // trains elsewhere by their own word
	Paused  bool // wants no card by itself
	// Asked: the card was sent and has changed, and the new one waits for an
	// answer of the player.
	Asked                 bool
	Under18               bool
	SetsDone, SetsPlanned int
	Dose, DosePlanned     float64 // Σ repetitions × kg of external loads
	RPE                   *prescribe.Score
}

// Place is a score of the day at a place of the body.
type Place struct {
	Region prescribe.Region
	Side   prescribe.Side
	Score  prescribe.Score
}

// DayReport is a squad's day for one kind of reader.
type DayReport struct {
	Squad store.Squad
	Day   prescribe.Day
	For   prescribe.Audience
	Lines []Line // by name, then id
	// Done is sessions done of sessions prescribed; withheld ones are in neither.
	Done Share
	// Dose is the ratio of sums Σ sets·reps·kg done ÷ prescribed over the squad,
	// in percent; ok is false when nothing loaded was prescribed.
	Dose     prescribe.Percent
	DoseOK   bool
	Alerts   int // open ones that this reader may see
	Tomorrow struct {
		Match    bool
		Sessions int // of players who have joined and agreed
		NotIn    int // players for whom there would be one, had they
	}
	NextMatch prescribe.Day // 0: none within 14 days
}

// Day works out the squad's day as audience may read it: one of ForCoach,
// ForMedical, ForHeadCoach, ForSafeguarding. It is ErrNotFound when the viewer
// has no such role there. What a reader may not see is left out here, not in
// the drawing.
func Day(tx *store.Tx, v store.Viewer, squad int64, day prescribe.Day, audience prescribe.Audience) (DayReport, error) {
	out := DayReport{Day: day, For: audience}
	if !v.May(squad, roleOf(audience)) {
		return out, store.ErrNotFound
	}
	var err error
	if out.Squad, err = tx.Squad(squad); err != nil {
		return out, err
	}
	members, err := tx.Members(squad, day)
	if err != nil {
		return out, err
	}
	cards, err := tx.CardsOn(squad, day)
	if err != nil {
		return out, err
	}
	byPerson := map[int64]store.CardRev{}
	for _, c := range cards {
		byPerson[c.Person] = c
	}
	var done, planned float64
	for _, p := range members {
		l, err := line(tx, p, byPerson[p.ID], day, audience)
		if err != nil {
			return out, fmt.Errorf("player %s: %w", p.Pseudo, err)
		}
		out.Lines = append(out.Lines, l)
		if counted(l) {
			out.Done.N++
			if l.State == store.CardDone || l.State == store.CardChanged {
				out.Done.K++
			}
			done, planned = done+l.Dose, planned+l.DosePlanned
		}
	}
	if planned > 0 {
		out.Dose, out.DoseOK = prescribe.Percent(100*done/planned), true
	}
	slices.SortFunc(out.Lines, func(a, b Line) int {
		return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(a.Person, b.Person))
	})
	alerts, err := tx.OpenAlerts(v)
	if err != nil {
		return out, err
	}
	for _, a := range alerts {
		if a.Squad == squad {
			out.Alerts++
		}
	}
	return out, ahead(tx, &out, members)
}

func roleOf(a prescribe.Audience) store.Role {
	switch a {
	case prescribe.ForCoach:
		return store.RoleCoach
	case prescribe.ForMedical:
		return store.RoleMedical
	case prescribe.ForHeadCoach:
		return store.RoleHeadCoach
	}
	return store.RoleSafeguarding
}

// counted reports whether a line counts in compliance: a session went out and
// was not withheld.
func counted(l Line) bool {
	switch l.State {
	case store.CardSent, store.CardStarted, store.CardDone, store.CardChanged, store.CardMissed, store.CardUnanswered:
		return l.Kind == prescribe.CardTrain || l.Kind == prescribe.CardFinding
	}
	return false
}

func line(tx *store.Tx, p store.Person, c store.CardRev, day prescribe.Day, audience prescribe.Audience) (Line, error) {
	l := Line{Person: p.ID, Name: p.Name, NotJoined: p.Chat == 0, Unreachable: p.Chat != 0 && !p.Reachable}
	age, known, err := tx.Age(p.ID, day)
	if err != nil {
		return l, err
	}
	l.Under18 = known && age < 18
	if _, l.Away, err = tx.AwayOn(p.ID, day); err != nil {
		return l, err
	}
	from, _, paused, err := tx.Pause(p.ID, day)
	if err != nil {
		return l, err
	}
	l.Paused = paused && from <= day
	if c.ID != 0 && c.Card.Kind != prescribe.CardRest {
		l.State, l.Kind = c.State, c.Card.Kind
		l.SetsPlanned, l.DosePlanned = prescribedWork(c.Card)
		l.Reduced = reduced(c.Card)
		l.Waiting = p.Chat != 0 && c.State == store.CardDraft && c.Card.Approval && c.Approved != c.Rev
		l.Asked = !l.Waiting && c.State == store.CardDraft && c.SentMessage != 0
	}
	state, err := tx.State(p.ID)
	if err != nil {
		return l, err
	}
	for _, h := range state.Held(day) {
		l.Restricted = true
		if audience == prescribe.ForMedical && h.Region != "" && !slices.Contains(l.Regions, h.Region) {
			l.Regions = append(l.Regions, h.Region)
		}
	}
	events, err := tx.Events(p.ID, day, day)
	if err != nil {
		return l, err
	}
	for _, e := range events {
		switch {
		case e.Set != nil && !e.Set.Test:
			l.SetsDone++
			l.Dose += float64(e.Set.Reps) * float64(e.Set.Load)
		case e.Session != nil:
			l.RPE = e.Session.RPE
			if e.Session.Outcome == prescribe.NotDone && mayReason(audience, e.Session.Reason) {
				l.Reason = e.Session.Reason
			}
		case e.Soreness != nil && (audience == prescribe.ForMedical || audience == prescribe.ForCoach && !l.Under18):
			l.Sore = append(l.Sore, Place{e.Soreness.Region, e.Soreness.Side, e.Soreness.Score})
		case e.Pain != nil && !e.Pain.Unclear && audience == prescribe.ForMedical:
			l.Pain = append(l.Pain, Place{e.Pain.Region, e.Pain.Side, e.Pain.Score})
		}
	}
	return l, nil
}

// mayReason: illness, pain and soreness as reasons are health data and go to
// medical staff only.
func mayReason(a prescribe.Audience, r prescribe.Absence) bool {
	switch r {
	case prescribe.AbsentIll, prescribe.AbsentPain, prescribe.AbsentSore, prescribe.AbsentPrivate:
		return a == prescribe.ForMedical
	}
	return a == prescribe.ForMedical || a == prescribe.ForCoach || a == prescribe.ForHeadCoach
}

// prescribedWork is the sets of a card, both sides of unilateral work counted,
// and its Σ repetitions × kg.
func prescribedWork(c prescribe.Card) (sets int, dose float64) {
	for _, it := range c.Items {
		if it.Optional {
			continue
		}
		n := it.Sets
		if it.PerSide {
			n *= 2
		}
		sets += n
		dose += float64(n*it.Reps) * float64(it.Load)
	}
	return sets, dose
}

// reduced reports whether soreness, pain, a hold, a break or the calendar took
// something from the card.
func reduced(c prescribe.Card) bool {
	for _, r := range c.Reasons {
		if reducing(r) {
			return true
		}
	}
	for _, it := range c.Items {
		for _, r := range it.Reasons {
			if reducing(r) {
				return true
			}
		}
	}
	return false
}

// reducing reports whether the reason took something away for the body's or the
// calendar's sake. A load that follows the record down, or an exercise swapped
// by the coach, is no reduction.
func reducing(r prescribe.Reason) bool {
	family, _, _ := strings.Cut(r.Code, ".")
	switch family {
	case "soreness", "pain", "fever", "break":
		return true
	case "limit":
		return r.Code == "limit.cap" || r.Code == "limit.medical_cap" || r.Code == "limit.restricted"
	case "dose":
		return r.Code == "dose.small"
	}
	return r.Code == "stop.region" || r.Code == "stop.pain" || r.Code == "stop.restricted"
}

// ahead fills in tomorrow and the next match.
func ahead(tx *store.Tx, out *DayReport, members []store.Person) error {
	fixtures, err := tx.Fixtures(out.Squad.ID, out.Day+1, out.Day+14)
	if err != nil {
		return err
	}
	for _, f := range fixtures {
		if f.Travel || f.Day <= out.Day {
			continue
		}
		if out.NextMatch == 0 || f.Day < out.NextMatch {
			out.NextMatch = f.Day
		}
	}
	out.Tomorrow.Match = out.NextMatch == out.Day+1
	for _, p := range members {
		c, err := tx.Plan(p.ID, out.Day+1)
		if err != nil {
			return err
		}
		if c.Kind != prescribe.CardTrain && c.Kind != prescribe.CardFinding {
			continue
		}
		yes, err := tx.MayBeAsked(p.ID, prescribe.InstantOf(out.Day.Time().Add(12*time.Hour)))
		if err != nil {
			return err
		}
		if yes {
			out.Tomorrow.Sessions++
		} else {
			out.Tomorrow.NotIn++
		}
	}
	return nil
}
