package prescribe

// Under-18s: lighter, further from failure, always supervised, and every card
// waits for approval. A player whose date of birth is not known is treated as
// one.

// age in whole years on the day; false when the date of birth is not known.
func (p Profile) age(day Day) (int, bool) {
	if p.Born == 0 || p.Born > day {
		return 0, false
	}
	b, d := p.Born.Time(), day.Time()
	years := d.Year() - b.Year()
	if d.Month() < b.Month() || d.Month() == b.Month() && d.Day() < b.Day() {
		years--
	}
	return years, true
}

func (s State) youth(day Day, r Rules) bool {
	age, known := s.Profile.age(day)
	return !known || age < r.Int("youth.age")
}

// oldEnough: an exercise or method with a lower age limit is never given to a
// player whose age is not known.
func (s State) oldEnough(limit int, day Day) bool {
	age, known := s.Profile.age(day)
	return limit <= 0 || known && age >= limit
}

// youthPercent is the most of the record an under-18 lifts.
func (s State) youthPercent(r Rules) (Percent, string) {
	if s.Profile.YouthSignOff {
		return Percent(r.Num("youth.percent_signed")), "youth.percent_signed"
	}
	return Percent(r.Num("youth.percent")), "youth.percent"
}
