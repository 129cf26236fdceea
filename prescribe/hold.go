package prescribe

import (
	"cmp"
	"slices"
)

// Stops and caps. Three things stop work: a warning sign (the whole player), a
// hold that staff set, and pain (a region). Only medical staff lift a warning,
// a medical hold or a pain stop. What they lift under a cap stays here as a
// medical hold with the cap and its review date; when the review passes, the
// cap is a stop again.

// maxHolds is how many holds stand at a time. The oldest that is not medical
// goes first.
const maxHolds = 32

// capped: the hold limits the load on the day but does not stop work.
func (h HoldMark) capped(day Day) bool { return h.MaxLoad > 0 && !h.lapsed(day) }

// lapsed: a medical review date passed, so the cap is a stop again.
func (h HoldMark) lapsed(day Day) bool {
	return h.Medical && h.MaxLoad > 0 && h.Until != 0 && day > h.Until
}

// over: a coach's hold that has run out. A medical one never runs out.
func (h HoldMark) over(day Day) bool { return !h.Medical && h.Until != 0 && day > h.Until }

func (s State) foldHold(h Hold, e Event, r Rules) State {
	if h.Medical && h.MaxLoad > 0 {
		h.Until = reviewDate(h.Until, e.Day, r)
	}
	return s.putHold(HoldMark{Hold: h, Day: e.Day})
}

// reviewDate keeps a medical review within hold.review_max days; a cap without
// a date gets the latest one allowed.
func reviewDate(review, day Day, r Rules) Day {
	last := day + Day(r.Int("hold.review_max"))
	if review == 0 || review > last {
		return last
	}
	return review
}

func (s State) putHold(h HoldMark) State {
	if !(h.MaxLoad > 0) { // and what is not a number: a stop is the safe reading
		h.MaxLoad = 0
	}
	h.MaxLoad = min(h.MaxLoad, 100)
	next := slices.DeleteFunc(slices.Clone(s.Holds), func(o HoldMark) bool { return o.ID == h.ID })
	next = append(next, h)
	slices.SortFunc(next, func(a, b HoldMark) int { return cmp.Compare(a.ID, b.ID) })
	for len(next) > maxHolds {
		oldest := 0
		for i, o := range next {
			if c := next[oldest]; !o.Medical && c.Medical || o.Medical == c.Medical && o.Day < c.Day {
				oldest = i
			}
		}
		next = slices.Delete(next, oldest, oldest+1)
	}
	s.Holds = next
	return s
}

func (s State) foldWarning(w Warning, e Event) State {
	// A disclosure goes to a named human; it does not stop training and nothing
	// of it is remembered here.
	if w.Sign == SignDistress {
		return s
	}
	mark := WarningMark{Sign: w.Sign, Region: w.Region, Day: e.Day, At: e.At}
	next := slices.DeleteFunc(slices.Clone(s.Warnings), func(o WarningMark) bool {
		return o.Sign == w.Sign && o.Region == w.Region
	})
	next = append(next, mark)
	slices.SortFunc(next, func(a, b WarningMark) int {
		return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(a.Sign, b.Sign), cmp.Compare(a.Region, b.Region))
	})
	// Any one of them stops everything, so the latest ones are enough.
	s.Warnings = next[max(0, len(next)-maxWarnings):]
	return s
}

// maxWarnings is how many unlifted warning signs are kept.
const maxWarnings = 32

// releaseID names the hold that a release under a cap leaves behind.
func releaseID(region Region) string { return "release/" + string(region) }

// foldRelease lifts what the giver may lift. A cap of 0 is a stop, so it
// lifts nothing.
func (s State) foldRelease(x Release, e Event, r Rules) State {
	if !(x.MaxLoad > 0) {
		return s
	}
	before, lifted := len(s.Warnings), false
	s.Holds = slices.DeleteFunc(slices.Clone(s.Holds), func(h HoldMark) bool {
		mine := h.Medical == x.Medical && (x.HoldID == "" && (x.Region == "" || h.Region == x.Region) || x.HoldID != "" && h.ID == x.HoldID)
		// Going on with a cap is not the end of a stop.
		lifted = lifted || mine && !h.capped(e.Day)
		return mine
	})
	if len(s.Holds) == 0 {
		s.Holds = nil
	}
	if !x.Medical {
		return s
	}

	if x.HoldID == "" {
		fever := false
		s.Warnings = slices.DeleteFunc(slices.Clone(s.Warnings), func(w WarningMark) bool {
			gone := x.Region == "" || w.Region == x.Region
			fever = fever || gone && w.Sign == SignFever
			return gone
		})
		if len(s.Warnings) == 0 {
			s.Warnings = nil
		}
		s.Medical.Fever = s.Medical.Fever || fever
		pain := false
		s, pain = s.releasePain(x, e.Day)
		lifted = lifted || pain || len(s.Warnings) < before
	}
	if lifted {
		s.Medical.Released, s.Medical.First = e.Day, true
	}
	if x.MaxLoad < 100 || x.Review != 0 {
		id := releaseID(x.Region)
		if x.HoldID != "" {
			id = x.HoldID
		}
		s = s.putHold(HoldMark{Day: e.Day, Hold: Hold{
			ID: id, Medical: true, Region: x.Region, MaxLoad: x.MaxLoad, Until: reviewDate(x.Review, e.Day, r),
		}})
	}
	return s
}

// releasePain lifts pain stops. What was open counts as answered and the weeks
// before do not count towards "rising" again: medical staff have judged them.
func (s State) releasePain(x Release, day Day) (State, bool) {
	lifted := false
	marks := s.Pain
	for _, k := range sortedKeys(s.Pain) {
		m := s.Pain[k]
		if x.Region != "" && m.Region != x.Region {
			continue
		}
		lifted = lifted || m.Stop != ""
		m.Stop, m.StopDay, m.Open, m.Weeks, m.Base, m.BaseDay = "", 0, false, nil, 0, 0
		m.Unclear, m.UnclearDay = false, 0
		m.Classified = x.Classified
		marks = with(marks, k, m, maxPlaces)
	}
	if key := placeKey(x.Region, Both); x.Classified && x.Region != "" {
		m := marks[key]
		m.Region, m.Classified = x.Region, true
		if m.Day == 0 {
			m.Day = day
		}
		marks = with(marks, key, m, maxPlaces)
	}
	s.Pain = marks
	return s, lifted
}

// HoldView is a hold as people are shown it.
type HoldView struct {
	ID      string  `json:"id"` // empty: set by the rules, not by a person
	Medical bool    `json:"medical"`
	Region  Region  `json:"region,omitempty"` // empty: the whole player
	Side    Side    `json:"side,omitempty"`
	Sign    Sign    `json:"sign,omitempty"`
	MaxLoad Percent `json:"max_load"` // 0: stop
	Since   Day     `json:"since"`
	Until   Day     `json:"until,omitempty"`
	Lapsed  bool    `json:"lapsed,omitempty"` // a medical review passed, so the cap is a stop again
	Cause   string  `json:"cause"`            // "warning", "hold", "pain" (stopped), "reported" (for the day), "unanswered"
}

// Held lists what is stopped or capped on the day: warning signs, then holds
// by ID, then pain by place.
func (s State) Held(day Day) []HoldView {
	var out []HoldView
	for _, w := range s.Warnings {
		out = append(out, HoldView{Medical: true, Region: w.Region, Sign: w.Sign, Since: w.Day, Cause: "warning"})
	}
	for _, h := range s.Holds {
		if h.over(day) {
			continue
		}
		v := HoldView{ID: h.ID, Medical: h.Medical, Region: h.Region, MaxLoad: h.MaxLoad, Since: h.Day, Until: h.Until, Cause: "hold"}
		if h.lapsed(day) {
			v.MaxLoad, v.Lapsed = 0, true
		}
		out = append(out, v)
	}
	for _, k := range sortedKeys(s.Pain) {
		m := s.Pain[k]
		switch {
		case m.Stop != "":
			out = append(out, HoldView{Medical: true, Region: m.Region, Side: m.Side, Since: m.StopDay, Cause: "pain"})
		case m.reported(day):
			out = append(out, HoldView{Medical: true, Region: m.Region, Side: m.Side, Since: m.Day, Cause: "reported"})
		case m.unanswered(day):
			out = append(out, HoldView{Medical: true, Region: m.Region, Side: m.Side, Since: m.Day, Cause: "unanswered"})
		}
	}
	return out
}

// restraint is what Held means for one exercise on a day.
type restraint struct {
	stopped []Reason // not empty: the exercise is withheld
	places  []Region // that it is withheld or capped for
	cap     Percent  // most of the record; 100: none
	capBy   HoldMark
}

// why is the reason for the cap.
func (x restraint) why() Reason {
	if !x.capBy.Medical {
		return reason(seeTraining, "limit.cap", nil, argPercent("percent", x.cap), argDay("day", x.capBy.Until))
	}
	return reason(seeMedical, "limit.medical_cap", by("hold.review_max"), argPercent("percent", x.cap), argDay("day", x.capBy.Until))
}

// restrain gathers the stops and caps on an exercise. The lowest cap wins.
func (s State) restrain(ex Exercise, day Day) restraint {
	out := restraint{cap: 100}
	for _, h := range s.Holds {
		if h.over(day) || h.Region != "" && !restricts(h.Region, ex) {
			continue
		}
		if h.Region != "" && (h.MaxLoad < 100 || h.lapsed(day)) {
			out.places = append(out.places, h.Region)
		}
		switch {
		case h.lapsed(day):
			out.stopped = append(out.stopped, reason(seeMedical, "stop.lapsed", by("hold.review_max"), argRegion("region", h.Region), argDay("day", h.Until)))
		case h.MaxLoad <= 0:
			see := Audience(seeTraining)
			if h.Medical {
				see = seeMedical
			}
			out.stopped = append(out.stopped, reason(see, "stop.region", nil, argRegion("region", h.Region), argID("id", h.ID)))
		case h.MaxLoad < out.cap:
			out.cap, out.capBy = h.MaxLoad, h
		}
	}
	for _, k := range sortedKeys(s.Pain) {
		m := s.Pain[k]
		if !restricts(m.Region, ex) {
			continue
		}
		held := len(out.stopped)
		switch {
		case m.Stop != "":
			out.stopped = append(out.stopped, reason(seeMedical, "stop.pain", stopRules(m.Stop),
				argRegion("region", m.Region), argScore("score", m.Score), argID("cause", string(m.Stop))))
		case m.Unclear:
			out.stopped = append(out.stopped, reason(seeMedical, "stop.unclear", nil, argRegion("region", m.Region)))
		case m.unanswered(day):
			out.stopped = append(out.stopped, reason(seeMedical, "stop.unanswered", by("pain.ask_from"),
				argRegion("region", m.Region), argScore("score", m.Score)))
		case m.reported(day):
			out.stopped = append(out.stopped, reason(seeMedical, "stop.reported", by("pain.ask_from"),
				argRegion("region", m.Region), argScore("score", m.Score)))
		}
		if len(out.stopped) > held {
			out.places = append(out.places, m.Region)
		}
	}
	return out
}

func stopRules(c StopCause) []string {
	switch c {
	case StopScore:
		return by("pain.stop_above")
	case StopMuscle, StopDuring:
		return by("pain.ask_from")
	case StopGrowth:
		return by("youth.growth_pain")
	case StopMorning:
		return by("pain.worse_by")
	}
	return by("pain.rising_weeks")
}

// neighbours are the regions that work with a painful one: a joint is loaded
// by the muscles across it. A stop takes the exercises that stress any of
// them.
var neighbours = map[Region][]Region{
	Calf:      {Achilles},
	Achilles:  {Calf},
	Heel:      {Achilles, Calf, Foot, Ankle},
	Foot:      {Ankle, Calf, Achilles},
	Ankle:     {Foot, Calf, Achilles},
	Shin:      {Ankle, Calf},
	Knee:      {TibialTub},
	TibialTub: {Knee, Quadriceps},
	Hip:       {HipFront, Adductor, Glute},
	HipFront:  {Hip},
	Elbow:     {Arm},
	Wrist:     {Elbow},
	Neck:      {UpperBack},
}

// kneePatterns bend a loaded knee, whatever the library lists.
var kneePatterns = []Pattern{Squat, SingleLeg, KneeFlexion}

// restricts reports whether pain or a stop in the region concerns the exercise.
func restricts(region Region, ex Exercise) bool {
	if stresses(ex, region) {
		return true
	}
	for _, n := range neighbours[region] {
		if stresses(ex, n) {
			return true
		}
	}
	return (region == Knee || region == TibialTub) && slices.Contains(kneePatterns, ex.Pattern)
}

func stresses(ex Exercise, region Region) bool { return slices.Contains(ex.Regions, region) }

// bordering are pairs of regions that take over each other's work. A stop does
// not withdraw the other one's exercises; but nothing that stresses it is put
// in the place of what was withdrawn. Our choice, no source.
var bordering = [][2]Region{
	{Hamstring, Glute},
	{Adductor, Hip},
	{Adductor, HipFront},
	{LowBack, Hamstring},
	{LowBack, Glute},
}

// burdens reports whether the exercise works the region, one that restricts
// it, or one that borders on it.
func burdens(ex Exercise, region Region) bool {
	if restricts(region, ex) {
		return true
	}
	for _, p := range bordering {
		if p[0] == region && stresses(ex, p[1]) || p[1] == region && stresses(ex, p[0]) {
			return true
		}
	}
	return false
}
