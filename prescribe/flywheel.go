package prescribe

// Flywheel work. It counts as overload eccentric in the first sessions, after
// a gap and at a higher inertia than before; otherwise as heavy lower-body
// work.

// wheelFor picks the device: of those that have an inertia to be set, the one
// the player knows best, then the first.
func (s State) wheelFor(ex ExerciseID, wheels []Wheel) (best Wheel) {
	for _, w := range wheels {
		known := s.Wheels[PowerKey(ex, w.Device)].Sessions
		if len(w.Inertias) > 0 && (len(best.Inertias) == 0 || known > s.Wheels[PowerKey(ex, best.Device)].Sessions) {
			best = w
		}
	}
	return best
}

// wheelOverload is why flywheel work counts as overload eccentric today: a
// reason code, empty when it does not.
func (s State) wheelOverload(key string, day Day, r Rules) string {
	use := s.Wheels[key]
	switch {
	case use.Sessions == 0:
		return "flywheel.first"
	case use.Sessions < r.Int("flywheel.familiar"):
		return "flywheel.familiar"
	case int(day-use.Last) > r.Int("flywheel.stale"):
		return "flywheel.stale"
	}
	return ""
}

// flywheel sets inertia, sets and repetitions.
func (w *planner) flywheel(d *draft) {
	wheel := w.s.wheelFor(d.ex.ID, w.facts.setting.Equipment.Flywheels)
	key := PowerKey(d.ex.ID, wheel.Device)
	use := w.s.Wheels[key]
	lowest := wheel.Inertias[0]
	for _, i := range wheel.Inertias {
		lowest = min(lowest, i)
	}

	chosen, why, tested := w.s.Power[key].Choose(wheel, w.r)
	overload := w.s.wheelOverload(key, w.day, w.r)
	switch {
	case w.youth:
		chosen = lowest
		d.say(reason(seeTraining, "flywheel.youth", by("youth.age"), argInertia("inertia", lowest)))
	case overload == "flywheel.first":
		chosen = lowest
		d.say(reason(seeTraining, "flywheel.first", by("flywheel.familiar"), argInertia("inertia", lowest)))
	case !tested:
		chosen = lowest
		d.say(reason(seeTraining, "flywheel.untested", nil, argInertia("inertia", lowest)))
	default:
		d.reasons = append(d.reasons, why...)
	}
	// A higher inertia than before is new work; so it is not for today when a
	// match is near or something is sore or hurts.
	if use.Sessions > 0 && chosen > use.Inertia && use.Inertia > 0 {
		if w.facts.nearMatch(w.minutes, w.r) || d.sore >= soreReduce || d.hurt() {
			chosen = max(lowest, highestUpTo(wheel.Inertias, use.Inertia))
			d.say(reason(seeTraining, "flywheel.no_higher", by("place.new_eccentric_hours"), argInertia("inertia", chosen)))
		} else {
			d.item.New = true
		}
	}
	switch overload {
	case "flywheel.first", "flywheel.familiar":
		d.item.New = true
		d.say(reason(seeTraining, "flywheel.familiar", by("flywheel.familiar"),
			argInt("session", use.Sessions+1), argInt("of", w.r.Int("flywheel.familiar"))))
		d.limitSets(w.r.Int("flywheel.familiar_sets"), true, reason(seeTraining, "flywheel.familiar", by("flywheel.familiar_sets"),
			argInt("session", use.Sessions+1), argInt("of", w.r.Int("flywheel.familiar"))))
	case "flywheel.stale":
		d.item.New = true
		d.say(reason(seeTraining, "flywheel.stale", by("flywheel.stale"), argDays("days", int(w.day-use.Last))))
	}
	d.item.Inertia, d.item.Device = chosen, wheel.Device
	d.item.Uncount = w.r.Int("flywheel.uncounted")
	d.say(reason(seeTraining, "flywheel.uncounted", by("flywheel.uncounted"), argInt("reps", d.item.Uncount)))
}

func highestUpTo(list []Inertia, limit Inertia) Inertia {
	var best Inertia
	for _, i := range list {
		if i <= limit {
			best = max(best, i)
		}
	}
	return best
}
