package prescribe

// Notices is what staff have to be told of e, which turned before into after.
// Their arguments, in order:
//
//	pain      score, cause (a StopCause: stopped; empty: the place is withheld
//	          until the next answer; PainClassified: the load is held or lowered)
//	warning   none; the sign is in Sign
//	distress  none; to the safeguarding officer alone
//	soreness  score
//	skipped   sessions
//	sides     exercise, difference (percent), side (the weaker)
//	doubtful  exercise, load, reps, set (the event's key, for RecordAnswer)
//	lapsed    hold (ID), day (of the review)
//	dose      what ("heavy" or "nordic"), days
func Notices(before, after State, e Event, r Rules) []Notice {
	var out []Notice
	switch {
	case e.Pain != nil:
		out = append(out, painNotices(before, after, *e.Pain, r)...)
	case e.Warning != nil && e.Warning.Sign == SignDistress:
		out = append(out, Notice{Kind: NoticeDistress, Sign: SignDistress, Urgent: true, To: ForSafeguarding})
	case e.Warning != nil:
		out = append(out, Notice{Kind: NoticeWarning, Sign: e.Warning.Sign, Region: e.Warning.Region, Urgent: true, To: ForMedical})
	case e.Soreness != nil:
		if sorenessBand(clampScore(e.Soreness.Score), r) == soreWithdraw {
			to := Audience(ForStaff)
			if after.youth(e.Day, r) {
				to = ForMedical
			}
			out = append(out, Notice{Kind: NoticeSoreness, Region: e.Soreness.Region, Side: e.Soreness.Side, To: to,
				Args: []Arg{argScore("score", clampScore(e.Soreness.Score))}})
		}
	case e.Session != nil:
		// Told at every missed.notify sessions running, not after each.
		if n := r.Int("missed.notify"); after.Missed > before.Missed && after.Missed%n == 0 {
			out = append(out, Notice{Kind: NoticeSkipped, To: ForCoach, Args: []Arg{argInt("sessions", after.Missed)}})
		}
	case e.Set != nil:
		out = append(out, setNotices(before, after, *e.Set, e, r)...)
	}
	return append(out, passedNotices(before, after, r)...)
}

// painNotices: a new stop at once; a score that withholds the place for the
// day, or holds the load, is told too.
func painNotices(before, after State, p Pain, r Rules) []Notice {
	key := placeKey(p.Region, p.Side)
	was, is := before.Pain[key], after.Pain[key]
	if p.Unclear {
		return nil // it is asked about first
	}
	n := Notice{Kind: NoticePain, Region: p.Region, Side: p.Side, To: ForMedical,
		Args: []Arg{argScore("score", is.Score), argID("cause", string(is.Stop))}}
	switch {
	case is.Stop != "" && (was.Stop == "" || is.Score > was.Score):
		n.Urgent = true
		return []Notice{n}
	case is.Stop == "" && is.Open:
		if is.Classified {
			n.Args[1] = argID("cause", PainClassified)
		}
		return []Notice{n}
	}
	return nil
}

func setNotices(before, after State, set Set, e Event, r Rules) []Notice {
	ex, ok := Lookup(set.Exercise)
	if !ok {
		return nil
	}
	var out []Notice
	for _, side := range recordSides(ex, set.Side) {
		key := LiftKey(ex.ID, side)
		if len(after.Lifts[key].Waiting) == 0 || waits(before.Lifts[key], e.Key) || !waits(after.Lifts[key], e.Key) {
			continue
		}
		out = append(out, Notice{Kind: NoticeDoubtful, Side: side, To: ForPlayer | ForCoach, Args: []Arg{
			argExercise("exercise", ex.ID), argKg("load", set.Load), argInt("reps", set.Reps), argID("set", e.Key)}})
	}
	if ex.Unilateral {
		limit := Percent(r.Num("sides.show_above"))
		was, _ := before.sideDifference(ex.ID, e.Day, r)
		is, weaker := after.sideDifference(ex.ID, e.Day, r)
		if is > limit && was <= limit {
			out = append(out, Notice{Kind: NoticeSides, Side: weaker, To: ForStaff, Args: []Arg{
				argExercise("exercise", ex.ID), argPercent("difference", is), argID("side", string(weaker))}})
		}
	}
	return out
}

func waits(rec Record, key string) bool {
	for _, d := range rec.Waiting {
		if d.Key == key {
			return true
		}
	}
	return false
}

// sideDifference is how much weaker the weaker side is; 0 without two records.
func (s State) sideDifference(ex ExerciseID, day Day, r Rules) (Percent, Side) {
	left, right := s.Lifts[LiftKey(ex, Left)], s.Lifts[LiftKey(ex, Right)]
	if !left.Known() || !right.Known() {
		return 0, Both
	}
	l, ri := left.Estimate(day, r).Median, right.Estimate(day, r).Median
	if l <= ri {
		return Percent(100 * (1 - float64(l/ri))), Left
	}
	return Percent(100 * (1 - float64(ri/l))), Right
}

// passedNotices are limits of time that passed between the two states.
func passedNotices(before, after State, r Rules) []Notice {
	if before.Now == 0 || after.Now <= before.Now {
		return nil
	}
	var out []Notice
	for _, h := range after.Holds {
		if h.lapsed(after.Now) && !h.lapsed(before.Now) {
			out = append(out, Notice{Kind: NoticeLapsed, Region: h.Region, To: ForMedical, Args: []Arg{
				argID("hold", h.ID), argDay("day", h.Until)}})
		}
	}
	gap := func(what string, last, was Day, limit int) {
		if last != 0 && last == was && int(after.Now-last) > limit && int(before.Now-last) <= limit {
			out = append(out, Notice{Kind: NoticeDose, To: ForCoach, Args: []Arg{argID("what", what), argDays("days", int(after.Now-last))}})
		}
	}
	gap("heavy", after.Heavy, before.Heavy, r.Int("dose.heavy_gap"))
	gap("nordic", after.Nordic, before.Nordic, r.Int("nordic.recent"))
	return out
}
