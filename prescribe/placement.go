package prescribe

import (
	"cmp"
	"slices"
	"strconv"
)

// Where the week's sessions fall. The days left of the ISO week are few, so
// every way to lay out what is still due is tried and the best is taken. What
// makes one better than another, first difference first, is in
// PlacementCriteria:
//
//	dose        working sets that the hard limits leave
//	exposures   Nordic and flywheel exposures of the phase's weekly minimum
//	gap         not more than dose.heavy_gap days without a session, nor than
//	            break.free, after which loads are cut
//	nonstarter  the main session the day after a match not played
//	soreness    the most-sore session farthest before the next match
//	spread      the smallest distance between sessions, last week's and next
//	            Monday included
//	earlier     the earlier days
//
// Nothing is ever placed twice on a day. The hard limits are in judge.

// maxWeekly is how many sessions of a week are placed at most. With seven days
// that is at most some 20,000 layouts.
const maxWeekly = 5

// facts are what the calendar says of one day.
type facts struct {
	CalendarDay
	setting Setting
	label   string  // "MD-3", "MD+1", "" when no match is near
	match   bool    // match day
	md1     bool    // the day before a match
	md2     bool    // two days before
	played  bool    // lower-body work is too early after a match played
	toKick  float64 // hours from Start to the next kick-off
	hasKick bool
	toMatch int // days to the next match day; 7 when it is farther or there is none
}

// nearMatch: after minutes of work from Start, the next kick-off is too close
// for new or overload eccentric work.
func (f facts) nearMatch(minutes int, r Rules) bool {
	return f.hasKick && f.toKick-float64(minutes)/60 < r.Num("place.new_eccentric_hours")
}

// factsOf reads a day off the calendar; false when it is not on it.
func (w *planner) factsOf(day Day) (facts, bool) {
	i, ok := slices.BinarySearchFunc(w.c.Days, day, func(c CalendarDay, d Day) int { return cmp.Compare(c.Day, d) })
	if !ok {
		return facts{}, false
	}
	f := facts{CalendarDay: w.c.Days[i], toMatch: 7}
	f.setting = w.c.Settings[f.Setting]
	next, last := 8, 8 // days to the next and since the last match
	for _, m := range w.c.Matches {
		switch d := int(m.Day - day); {
		case d == 0:
			f.match = true
		case d > 0:
			next = min(next, d)
		default:
			last = min(last, -d)
		}
		if m.Kickoff > f.Start {
			if h := m.Kickoff.Hours(f.Start); !f.hasKick || h < f.toKick {
				f.toKick, f.hasKick = h, true
			}
		}
	}
	f.toMatch = min(next, 7)
	f.md1, f.md2 = next == 1, next == 2
	f.played = w.tooEarly(f.Start)
	f.label = matchLabel(f.match, next, last)
	return f, true
}

// matchLabel names a day from the match. The day before wins over the day
// after, which wins over two days before: the stricter name is the one that
// people plan by.
func matchLabel(match bool, next, last int) string {
	switch {
	case match:
		return "MD"
	case next == 1:
		return "MD-1"
	case last == 1:
		return "MD+1"
	case next == 2:
		return "MD-2"
	case last == 2:
		return "MD+2"
	case next <= 4:
		return "MD-" + strconv.Itoa(next)
	}
	return ""
}

// tooEarly: a match was played that ended less than place.after_match_hours
// before start. Minutes that nobody has reported count as played.
func (w *planner) tooEarly(start Instant) bool {
	if w.r.Int("place.md1_option") == 1 {
		return false
	}
	early := func(end Instant) bool {
		return end != 0 && end <= start && start.Hours(end) < w.r.Num("place.after_match_hours")
	}
	marks := map[string]MatchMark{}
	for _, m := range w.s.Matches {
		marks[m.ID] = m
		if m.Minutes >= w.r.Int("place.played_minutes") && early(m.End) {
			return true
		}
	}
	for _, m := range w.c.Matches {
		mark, known := marks[m.ID]
		if known && (mark.Minutes < w.r.Int("place.played_minutes") || mark.End != 0) {
			continue // judged above, or not played
		}
		if early(m.End) {
			return true
		}
	}
	return false
}

// nonStarter: the last match before the day was the day before it, and less
// than place.played_minutes were played.
func (w *planner) nonStarter(day Day) (MatchMark, bool) {
	for _, m := range w.c.Matches {
		if m.Day != day-1 {
			continue
		}
		for _, mark := range w.s.Matches {
			if mark.ID == m.ID && mark.Minutes < w.r.Int("place.played_minutes") {
				return mark, true
			}
		}
	}
	return MatchMark{}, false
}

// Crowded reports whether two of the matches are less than place.crowded_days
// apart, the later one in the week that begins on monday, and how many days the
// closest such two are apart.
func Crowded(matches []Match, monday Day, r Rules) (apart int, yes bool) {
	var days []Day
	for _, m := range matches {
		days = append(days, m.Day)
	}
	slices.Sort(days)
	for i := 1; i < len(days); i++ {
		d := int(days[i] - days[i-1])
		if d > 0 && d < r.Int("place.crowded_days") && days[i] >= monday && days[i] < monday+7 && (!yes || d < apart) {
			apart, yes = d, true
		}
	}
	return apart, yes
}

func (w *planner) crowded(day Day) (apart int, yes bool) {
	return Crowded(w.c.Matches, day.Monday(), w.r)
}

// doseOf is the minimum of the phase; without one, every session of it once.
func (w *planner) doseOf(phase Phase) PhaseDose {
	for _, d := range w.p.Doses {
		if d.Phase == phase {
			return d
		}
	}
	return PhaseDose{Phase: phase, Sessions: len(w.sessions(phase, plainSession)), Crowded: 1}
}

// Kinds of session of the programme.
const (
	plainSession = iota
	smallSession
	primingSession
	remoteSession
)

func kindOf(t SessionTemplate) int {
	switch {
	case t.Priming:
		return primingSession
	case t.Remote:
		return remoteSession
	case t.Small:
		return smallSession
	}
	return plainSession
}

func (w *planner) sessions(phase Phase, kind int) []SessionTemplate {
	var list []SessionTemplate
	for _, t := range w.p.Sessions {
		if t.Phase == phase && kindOf(t) == kind {
			list = append(list, t)
		}
	}
	return list
}

// need is one session that the week still owes.
type need struct {
	template SessionTemplate
	ordinal  int // which session of the week it is, from 0
}

// needs are the sessions still due in the week of the planned day.
func (w *planner) needs() (due []need, total int) {
	phase := w.facts.Phase
	plain, dose := w.sessions(phase, plainSession), w.doseOf(phase)
	total, list, main := dose.Sessions, plain, false
	if _, yes := w.crowded(w.day); yes {
		total = max(1, dose.Crowded)
		if small := w.sessions(phase, smallSession); len(small) > 0 {
			list = small
		}
		// Who did not play has no match to recover from: a main session first.
		if _, bench := w.nonStarter(w.day); bench && len(plain) > 0 {
			list, main = append([]SessionTemplate{plain[0]}, list...), true
		}
	}
	if len(list) == 0 {
		list = plain
	}
	if len(list) == 0 {
		list = w.sessions(phase, remoteSession)
	}
	if len(list) == 0 {
		return nil, 0
	}
	total = min(max(total, 0), maxWeekly)
	for k := range total {
		due = append(due, need{list[k%len(list)], k})
	}
	// What is done takes away the need for it, or else the first one.
	monday := w.day.Monday()
	for _, m := range w.s.Sessions {
		if m.Day < monday || m.Day >= w.day || !m.Outcome.done() || len(due) == 0 || w.isPriming(m.Template) {
			continue
		}
		i := slices.IndexFunc(due, func(n need) bool { return n.template.ID == m.Template })
		if i < 0 && main && len(due) == 1 {
			continue // a small session does not make up for the main one
		}
		due = slices.Delete(due, max(i, 0), max(i, 0)+1)
	}
	return due, total
}

func (w *planner) isPriming(id string) bool {
	return slices.ContainsFunc(w.p.Sessions, func(t SessionTemplate) bool { return t.ID == id && t.Priming })
}

// fit is what is left of a session on a day under the hard limits.
type fit struct {
	template  SessionTemplate
	ok        bool
	sets      int // working sets
	exposures int // Nordic and flywheel exposures
	sore      int // how sore it is expected to make
}

// fitOn works out what the limits leave of a need on a day.
func (w *planner) fitOn(n need, f facts) fit {
	if f.Off || f.match || f.md1 || w.youth && !f.setting.Supervised {
		return fit{}
	}
	out := fit{template: w.variant(n, f)}
	minutes := w.templateMinutes(out.template)
	w.slots = out.template.Slots
	heavyLeft, written := w.r.Int("place.md2_sets"), 0
	for _, slot := range out.template.Slots {
		c, ok := w.choose(slot, f, minutes, nil)
		sets := max(slot.Sets, 1)
		// What a stop or the equipment takes away is taken away on every day.
		if !slot.Optional && (ok || calendarCause(c.cause)) {
			written += sets
		}
		if !ok || slot.Optional {
			continue
		}
		if f.md2 && w.heavyOnMD2(slot, c.scheme, c.ex) {
			sets = min(sets, heavyLeft)
			heavyLeft -= sets
		}
		if sets == 0 {
			continue
		}
		out.sets += sets
		switch {
		case c.ex.ID == NordicHamstring, c.ex.LoadKind == LoadFlywheel:
			out.exposures++
			out.sore += 3
		case c.eccentric && c.ex.Lower:
			out.sore += 3
		case c.ex.Lower:
			out.sore++
		}
	}
	out.ok = out.sets > 0 && float64(100*out.sets) >= w.r.Num("place.least_share")*float64(written)
	return out
}

// calendarCause: the exercise fell away for the day, not for the player.
func calendarCause(cause string) bool {
	return cause == "match" || cause == "played" || cause == "md2"
}

// variant is the session as it is written for where the player is.
func (w *planner) variant(n need, f facts) SessionTemplate {
	if f.setting.Place != "gym" {
		if remote := w.sessions(f.Phase, remoteSession); len(remote) > 0 {
			return remote[n.ordinal%len(remote)]
		}
	}
	return n.template
}

// layout is one way to lay out the rest of the week.
type layout struct {
	days   []Day // ascending
	needs  []int // index into the needs, one a day
	merits merits
}

// merits are compared in the order of PlacementCriteria, higher first.
type merits struct{ dose, exposures, gap, nonstarter, soreness, spread int }

// better compares two layouts and names the criterion that decides.
func better(a, b layout) (int, string) {
	for _, c := range []struct {
		name string
		a, b int
	}{
		{"dose", a.merits.dose, b.merits.dose},
		{"exposures", a.merits.exposures, b.merits.exposures},
		{"gap", a.merits.gap, b.merits.gap},
		{"nonstarter", a.merits.nonstarter, b.merits.nonstarter},
		{"soreness", a.merits.soreness, b.merits.soreness},
		{"spread", a.merits.spread, b.merits.spread},
	} {
		if c.a != c.b {
			return c.a - c.b, c.name
		}
	}
	return cmp.Or(slices.Compare(b.days, a.days), slices.Compare(b.needs, a.needs)), "earlier"
}

// week is the result of the search.
type week struct {
	best     layout
	fits     [][]fit // by need, by day from the planned one
	today    *fit    // what is placed on the planned day
	other    Day     // where the best layout that treats today otherwise puts what today has or could have
	otherIs  string  // template there
	decided  string  // criterion between the two; empty when there is no other
	due      int     // sessions still due
	total    int     // sessions of the week
	searched int     // layouts tried
}

// place lays out the rest of the week from the planned day on.
func (w *planner) place() week {
	due, total := w.needs()
	out := week{due: len(due), total: total}
	sunday := w.day.Monday() + 6
	n := int(sunday-w.day) + 1
	days := make([]facts, n)
	for i := range days {
		days[i], _ = w.factsOf(w.day + Day(i))
		if days[i].Day == 0 {
			days[i].Off = true // beyond the calendar
		}
	}
	out.fits = make([][]fit, len(due))
	for k, nd := range due {
		out.fits[k] = make([]fit, n)
		for i, f := range days {
			out.fits[k][i] = w.fitOn(nd, f)
		}
	}

	// Sessions of the same template are interchangeable: only the first unused
	// of them is tried.
	twin := make([]int, len(due))
	for k, nd := range due {
		twin[k] = -1
		for j := range k {
			if due[j].template.ID == nd.template.ID {
				twin[k] = j
			}
		}
	}
	// The best layout for each thing that can be done with today: index 0 is
	// rest, k+1 need k.
	bests := make([]*layout, len(due)+1)
	used := make([]bool, len(due))
	var cur layout
	var try func(i int)
	try = func(i int) {
		if i == n {
			out.searched++
			l := layout{days: slices.Clone(cur.days), needs: slices.Clone(cur.needs)}
			l.merits = w.judgeLayout(l, due, out.fits, days)
			slot := &bests[w.todayOf(l)+1]
			if *slot == nil {
				*slot = &l
			} else if c, _ := better(l, **slot); c > 0 {
				*slot = &l
			}
			return
		}
		for k := range due {
			if used[k] || !out.fits[k][i].ok || twin[k] >= 0 && !used[twin[k]] {
				continue
			}
			used[k] = true
			cur.days, cur.needs = append(cur.days, w.day+Day(i)), append(cur.needs, k)
			try(i + 1)
			cur.days, cur.needs = cur.days[:len(cur.days)-1], cur.needs[:len(cur.needs)-1]
			used[k] = false
		}
		try(i + 1)
	}
	try(0)

	var best, unlike *layout
	for _, l := range bests {
		switch {
		case l == nil:
		case best == nil:
			best = l
		default:
			if c, _ := better(*l, *best); c > 0 {
				best, l = l, best
			}
			if unlike == nil {
				unlike = l
			} else if c, _ := better(*l, *unlike); c > 0 {
				unlike = l
			}
		}
	}
	out.best = *best // resting is always possible
	if k := w.todayOf(out.best); k >= 0 {
		out.today = &out.fits[k][0]
	}
	if unlike != nil {
		_, out.decided = better(*best, *unlike)
	}
	out.other, out.otherIs = w.elsewhere(*best, unlike, out.fits)
	return out
}

// todayOf is the need that a layout puts on the planned day; -1 for none.
func (w *planner) todayOf(l layout) int {
	if len(l.days) > 0 && l.days[0] == w.day {
		return l.needs[0]
	}
	return -1
}

// elsewhere is the day and template to name beside today: where the runner-up
// does what the best layout does today or, on a rest day, what comes next.
func (w *planner) elsewhere(best layout, unlike *layout, fits [][]fit) (Day, string) {
	if k := w.todayOf(best); k >= 0 { // then there is another one: to rest today
		for i, n := range unlike.needs {
			if n == k {
				return unlike.days[i], fits[n][int(unlike.days[i]-w.day)].template.ID
			}
		}
		return 0, ""
	}
	if len(best.days) > 0 {
		return best.days[0], fits[best.needs[0]][int(best.days[0]-w.day)].template.ID
	}
	return 0, ""
}

// judgeLayout works out the merits of a layout.
func (w *planner) judgeLayout(l layout, due []need, fits [][]fit, days []facts) merits {
	m := merits{soreness: 7}
	sorest := 0
	for i, k := range l.needs {
		at := int(l.days[i] - w.day)
		f := fits[k][at]
		m.dose += f.sets
		m.exposures += f.exposures
		if _, bench := w.nonStarter(l.days[i]); bench && due[k].ordinal == 0 {
			m.nonstarter = 1
		}
		switch far := days[at].toMatch; {
		case f.sore > sorest:
			sorest, m.soreness = f.sore, far
		case f.sore == sorest:
			m.soreness = max(m.soreness, far)
		}
	}
	dose := w.doseOf(w.facts.Phase)
	m.exposures = min(m.exposures, max(0, dose.NordicWeekly+dose.FlywheelWeek-w.exposedThisWeek()))

	m.spread = 7
	last := w.lastSession()
	for _, d := range append(slices.Clone(l.days), w.day.Monday()+7) {
		if last != 0 {
			m.spread = min(m.spread, int(d-last))
			m.gap = min(m.gap, min(w.r.Int("dose.heavy_gap"), w.r.Int("break.free"))-int(d-last))
		}
		last = d
	}
	return m
}

// exposedThisWeek counts this week's Nordic and flywheel exposures done.
func (w *planner) exposedThisWeek() int {
	n := 0
	for _, id := range sortedKeys(w.s.Exposed) {
		ex, ok := Lookup(ExerciseID(id))
		if !ok || ex.ID != NordicHamstring && ex.LoadKind != LoadFlywheel {
			continue
		}
		for _, d := range w.s.Exposed[id] {
			if d.Day >= w.day.Monday() && d.Day < w.day {
				n++
			}
		}
	}
	return n
}

// lastSession is the last day before the planned one with a session done, or
// one that may have been: silence is not "not done".
func (w *planner) lastSession() Day {
	var last Day
	for _, m := range w.s.Sessions {
		if m.Day < w.day && (m.Outcome.done() || m.Outcome == NoAnswer) && !w.isPriming(m.Template) {
			last = max(last, m.Day)
		}
	}
	return last
}
