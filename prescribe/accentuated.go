package prescribe

// Accentuated eccentric loading: more weight down than up. Supervised
// sessions only, never under 18, never away from the gym, never without a
// current exact set of the same lift, and always approved by staff.

// accentuatedBar is why the player may not do it today, as a slot cause; empty
// when he may. What hurts, is held or capped has stopped it before (judge).
func (w *planner) accentuatedBar(d *draft) string {
	switch {
	case !w.facts.setting.Supervised || w.facts.setting.Place != "gym":
		return "alone"
	case !w.s.oldEnough(w.r.Int("accentuated.min_age"), w.day):
		return "age"
	case !d.known:
		return "no_record"
	case d.est.Days > w.r.Int("accentuated.exact_days"):
		return "stale"
	case d.sore >= soreReduce:
		return "sore"
	case w.onBreak().gap > 0:
		return "stale"
	}
	return ""
}

// accentuate turns a draft that has its concentric load into an accentuated
// one. The repetitions are single: the releasers come off with each of them.
func (w *planner) accentuate(d *draft) string {
	percent := min(float64(d.slot.Ecc), w.r.Num("accentuated.ecc_max"))
	if percent < w.r.Num("accentuated.ecc_min") {
		return "number"
	}
	ecc := d.est.Used * Kg(percent) / 100
	built, ok := Build(ecc, d.ex, w.facts.setting.Equipment)
	if !ok || built.Load <= d.item.Load {
		return "equipment"
	}
	d.item.EccLoad, d.item.EccPlates = built.Load, built.Plates
	d.item.New = true
	d.item.RIR = nil // single repetitions below what can be raised: nothing to count in reserve
	d.item.Pause = Seconds(w.r.Int("accentuated.pause"))
	d.item.Cluster = make([]int, d.item.Reps)
	for i := range d.item.Cluster {
		d.item.Cluster[i] = 1
	}
	d.say(reason(seeTraining, "accentuated.load", by("accentuated.ecc_max", "accentuated.pause"), argPercent("percent", Percent(percent)), argKg("load", built.Load)))
	w.approve(reason(seeTraining, "approval.accentuated", by("accentuated.exact_days"), argExercise("exercise", d.ex.ID)))
	return ""
}

// accentuatedMost keeps sets and repetitions within what is usual for it.
func (w *planner) accentuatedMost(d *draft) {
	sets, reps := w.r.Int("accentuated.sets_max"), w.r.Int("accentuated.reps_max")
	if d.item.Sets > sets || d.item.Reps > reps {
		d.item.Sets, d.item.Reps = min(d.item.Sets, sets), min(d.item.Reps, reps)
		d.say(reason(seeTraining, "accentuated.most", by("accentuated.sets_max", "accentuated.reps_max"), argInt("sets", sets), argInt("reps", reps)))
	}
}
