package prescribe

import (
	"maps"
	"slices"
)

// Pain 0–10 by place. The published bands (0–2 carry on, 3–5 hold or lower,
// above 5 stop) come from kneecap and Achilles rehabilitation and circulate in
// two versions, so their boundaries are here and nowhere else. The middle band
// is only for complaints that medical staff have classified: of any other, the
// place is withheld from pain.ask_from on until it is answered.

// StopCause is why pain stopped a region.
type StopCause string

const (
	StopScore   StopCause = "score"   // above pain.stop_above
	StopMuscle  StopCause = "muscle"  // muscle pain from pain.ask_from, not classified by medical staff
	StopDuring  StopCause = "during"  // new pain during a set
	StopGrowth  StopCause = "growth"  // under-18: heel, tibial tubercle, front of the hip
	StopMorning StopCause = "morning" // worse the morning after
	StopRising  StopCause = "rising"  // weekly highest score went up two weeks running
)

// painBand is what the score of a classified complaint that does not stop its
// region asks for that day.
type painBand int

const (
	painNone  painBand = iota
	painHold           // no heavier than last time, nothing new
	painLower          // lighter
)

func bandOfPain(score Score, r Rules) painBand {
	switch {
	case int(score) < r.Int("pain.ask_from"):
		return painNone
	case int(score) < r.Int("pain.lower_from"):
		return painHold
	}
	return painLower
}

// PainClassified is, in a notice, the cause of pain in a complaint that medical
// staff have classified: the load is held or lowered and nothing is withheld.
const PainClassified = "classified"

// maxWeeks is how many weekly maxima are kept.
const maxWeeks = 4

var muscleRegions = []Region{Hamstring, Quadriceps, Adductor, Glute, Calf, Chest, Arm, UpperBack, Trunk}

var growthRegions = []Region{Heel, TibialTub, HipFront}

// judgePain says whether the report stops its region, and why. before is what
// was known of the place.
func judgePain(p Pain, day Day, before PainMark, weeks []WeekMax, youth bool, r Rules) StopCause {
	strain := p.Muscle || slices.Contains(muscleRegions, p.Region) && !before.Classified
	switch {
	case int(p.Score) > r.Int("pain.stop_above"):
		return StopScore
	case strain && int(p.Score) >= r.Int("pain.ask_from"):
		return StopMuscle
	case p.Timing == PainDuring && p.Score > 0 && (p.Muscle || !before.Classified):
		return StopDuring
	case youth && slices.Contains(growthRegions, p.Region) && int(p.Score) >= r.Int("youth.growth_pain"):
		return StopGrowth
	case before.BaseDay != 0 && day == before.BaseDay+1 && int(p.Score-before.Base) >= r.Int("pain.worse_by"):
		return StopMorning
	case rising(weeks, r.Int("pain.rising_weeks")):
		return StopRising
	}
	return ""
}

// rising reports whether the weekly maxima went up n weeks running. A week
// without a report breaks the row: nothing is known of it.
func rising(weeks []WeekMax, n int) bool {
	if len(weeks) < n+1 {
		return false
	}
	last := weeks[len(weeks)-n-1:]
	for i := 1; i < len(last); i++ {
		if last[i].Monday != last[i-1].Monday+7 || last[i].Max <= last[i-1].Max {
			return false
		}
	}
	return true
}

func (s State) foldPain(p Pain, e Event, r Rules) State {
	p.Score = clampScore(p.Score)
	key := placeKey(p.Region, p.Side)
	m := s.Pain[key]
	m.Region, m.Side = p.Region, p.Side
	if p.Unclear {
		m.Unclear, m.UnclearDay = true, e.Day
		s.Pain = with(s.Pain, key, m, maxPlaces)
		return s
	}
	m.Unclear, m.UnclearDay = false, 0
	m.Weeks = weekMaxima(m.Weeks, e.Day, p.Score)

	if cause := judgePain(p, e.Day, m, m.Weeks, s.youth(e.Day, r), r); cause != "" && m.Stop == "" {
		m.Stop, m.StopDay = cause, e.Day
	}
	m.Score, m.Day, m.Muscle = p.Score, e.Day, p.Muscle
	m.Open = int(p.Score) >= r.Int("pain.ask_from")
	m.High = recentHigh(m.High, PainScore{Score: p.Score, Day: e.Day, At: e.At}, r)
	if p.Timing == PainBefore {
		m.Base, m.BaseDay = p.Score, e.Day
	}

	// An answer about a place answers what was open about the same region on
	// that side or on no side in particular.
	marks := s.Pain
	for _, k := range sortedKeys(s.Pain) {
		o := s.Pain[k]
		switch {
		case k == key:
		case o.Region == "" && o.Unclear: // now the place is known
			marks = maps.Clone(marks)
			delete(marks, k)
		case o.Region == p.Region && (o.Open || o.Unclear) && sidesMeet(o.Side, p.Side):
			o.Open, o.Unclear, o.UnclearDay = false, false, 0
			marks = with(marks, k, o, maxPlaces)
		}
	}
	s.Pain = with(marks, key, m, maxPlaces)
	if int(p.Score) > r.Int("copenhagen.easier_above") {
		s = s.easierCopenhagen(p.Region)
	}
	return s
}

// weekMaxima is weeks with the score of a day taken in; it never changes weeks.
func weekMaxima(weeks []WeekMax, day Day, score Score) []WeekMax {
	next := slices.Clone(weeks)
	monday := day.Monday()
	i, found := slices.BinarySearchFunc(next, monday, func(w WeekMax, m Day) int { return int(w.Monday - m) })
	if found {
		next[i].Max = max(next[i].Max, score)
	} else {
		next = slices.Insert(next, i, WeekMax{Monday: monday, Max: score})
	}
	return next[max(0, len(next)-maxWeeks):]
}

// recentHigh is list with a score taken in: those from pain.ask_from on that
// can still matter, because no later one is as high. It never changes list.
func recentHigh(list []PainScore, p PainScore, r Rules) []PainScore {
	var next []PainScore
	for _, o := range list {
		if o.Score > p.Score && p.At.Hours(o.At) <= r.Num("pain.after_hours") {
			next = append(next, o)
		}
	}
	if int(p.Score) >= r.Int("pain.ask_from") {
		next = append(next, p)
	}
	return next
}

func sidesMeet(a, b Side) bool { return a == b || a == Both || b == Both }

// unanswered: pain from pain.ask_from was reported on an earlier day and
// nothing has been heard since, or it was never said how much it hurts.
func (m PainMark) unanswered(day Day) bool {
	return m.Stop == "" && (m.Unclear || m.Open && day > m.Day)
}

// Unplaced: the player says that something hurts and has not said where.
func (s State) Unplaced() bool { return s.Pain[placeKey("", Both)].Unclear }

// reported: pain from pain.ask_from was told on the day, of a complaint that
// medical staff have not classified. What the published band allows does not
// apply to it.
func (m PainMark) reported(day Day) bool {
	return m.Open && m.Stop == "" && !m.Classified && day == m.Day
}

// today is the score that still speaks for the day: a report counts on its own
// day; from the next morning on it has to be asked again.
func (m PainMark) today(day Day) (Score, bool) { return m.Score, m.Day == day && m.Stop == "" }

// OpenPain lists the regions whose pain must be asked about on the day before
// anything is done with them: silence keeps them withheld.
func (s State) OpenPain(day Day) []Region {
	var open []Region
	for _, k := range sortedKeys(s.Pain) {
		if m := s.Pain[k]; m.Region != "" && m.unanswered(day) && !slices.Contains(open, m.Region) {
			open = append(open, m.Region)
		}
	}
	slices.Sort(open)
	return open
}

// askPain is OpenPain and the complaints that are being followed: released
// under a cap, or from pain.ask_from when last told, in the last week.
func (s State) askPain(day Day, r Rules) []Region {
	ask := s.OpenPain(day)
	add := func(r Region) {
		if r != "" && !slices.Contains(ask, r) {
			ask = append(ask, r)
		}
	}
	for _, k := range sortedKeys(s.Pain) {
		m := s.Pain[k]
		if m.Stop == "" && int(m.Score) >= r.Int("pain.ask_from") && m.Day < day && day-m.Day <= 7 {
			add(m.Region)
		}
	}
	for _, h := range s.Holds {
		if h.Medical && h.capped(day) && !s.painAnswered(h.Region, day) {
			add(h.Region)
		}
	}
	slices.Sort(ask)
	return ask
}

// painAnswered: pain in the region was already told on the day.
func (s State) painAnswered(region Region, day Day) bool {
	for _, k := range sortedKeys(s.Pain) {
		if m := s.Pain[k]; m.Region == region && m.Day == day && m.Score > 0 {
			return true
		}
	}
	return s.Pain[placeKey(region, Both)].Day == day
}

// recentPain is the highest score from pain.ask_from in the last
// pain.after_hours, over the places that the exercise concerns; 0: none. A
// lower score since then does not take it back.
func (s State) recentPain(ex Exercise, at Instant, r Rules) (PainMark, PainScore) {
	var mark PainMark
	var worst PainScore
	for _, k := range sortedKeys(s.Pain) {
		m := s.Pain[k]
		if !restricts(m.Region, ex) {
			continue
		}
		for _, p := range m.High {
			if p.Score > worst.Score && at.Hours(p.At) <= r.Num("pain.after_hours") {
				mark, worst = m, p
			}
		}
	}
	return mark, worst
}
