package clubfile

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"pegcard/prescribe"
	"pegcard/store"
)

var (
	patterns = names(prescribe.Squat, prescribe.Hinge, prescribe.SingleLeg, prescribe.KneeFlexion, prescribe.HipAdduction,
		prescribe.HipAbduction, prescribe.CalfRaise, prescribe.Push, prescribe.Pull, prescribe.TrunkBrace, prescribe.Rotation)
	methods = names(prescribe.Traditional, prescribe.Eccentric, prescribe.Flywheel, prescribe.Support)
	schemes = names(prescribe.SchemePercent, prescribe.SchemeRIR, prescribe.SchemeNordic, prescribe.SchemeCopenhagen,
		prescribe.SchemeAccentuated, prescribe.SchemeFlywheel, prescribe.SchemeReps, prescribe.SchemeHold)
	sixes = names(prescribe.SixCluster, prescribe.SixStraight, prescribe.SixLighter)
)

func names[T ~string](l ...T) []string {
	var out []string
	for _, x := range l {
		out = append(out, string(x))
	}
	return out
}

// ReadProgramme reads programme.toml. name is how the file is called in
// problems.
func ReadProgramme(r io.Reader, name string) (*store.ProgrammeDef, []*Problem) {
	ps := &problems{file: name}
	t, text := openTOML(r, ps)
	if t == nil {
		return nil, ps.sorted()
	}
	p := prescribe.Programme{Name: personName(t, "name")}
	doses := map[string]int{}
	for _, dt := range t.tables("dose") {
		d := prescribe.PhaseDose{
			Phase:        needPhase(dt),
			Sessions:     dt.needWhole("sessions", 0, 6, "strength sessions a week"),
			Crowded:      dt.whole("crowded", 1, 0, 6),
			WorkingSets:  dt.needWhole("working_sets", 0, 30, "heavy working sets a session"),
			Exercises:    dt.whole("exercises", 1, 0, 15),
			NordicWeekly: dt.whole("nordic_weekly", 0, 0, 5),
			FlywheelWeek: dt.whole("flywheel_weekly", 0, 0, 5),
		}
		if d.Crowded > d.Sessions {
			dt.wrong("crowded", wrong("write at most as many as sessions", "%d sessions in a crowded week are more than the %d of any other", d.Crowded, d.Sessions))
		}
		dt.done()
		if unique(dt, "phase", string(d.Phase), doses, "phase") {
			p.Doses = append(p.Doses, d)
		}
	}
	if !t.has("dose") {
		t.missing("dose", "add a [[dose]] for each phase with sessions and working_sets")
	}
	ids := map[string]int{}
	for _, st := range t.tables("session") {
		s := prescribe.SessionTemplate{
			ID:      slug(st, "id"),
			Phase:   needPhase(st),
			Small:   st.flag("small"),
			Priming: st.flag("priming"),
			Remote:  st.flag("remote"),
		}
		slots := map[string]int{}
		for _, lt := range st.tables("slot") {
			l := readSlot(lt)
			if unique(lt, "id", l.ID, slots, "slot of a session") {
				s.Slots = append(s.Slots, l)
			}
			if s.Remote && l.Scheme == prescribe.SchemeAccentuated {
				lt.wrong("scheme", wrong("put it into a session at the gym", "accentuated loading is supervised only, and this session is remote"))
			}
		}
		if !st.has("slot") {
			st.missing("slot", "add [[session.slot]] tables, one for each exercise of the session")
		}
		if s.Small && s.Priming {
			st.wrong("priming", wrong("take one of the two out", "a session is either the small dose or priming"))
		}
		st.done()
		if unique(st, "id", s.ID, ids, "session") {
			p.Sessions = append(p.Sessions, s)
		}
	}
	if !t.has("session") {
		t.missing("session", "add a [[session]] with id, phase and slots")
	}
	for i, d := range p.Doses {
		if d.Phase == "" || d.Sessions == 0 {
			continue
		}
		if !slices.ContainsFunc(p.Sessions, func(s prescribe.SessionTemplate) bool { return s.Phase == d.Phase && !s.Priming }) {
			at := t.place(index("dose", i))
			ps.add(at.line, at.column, fmt.Sprintf("phase %q has a dose but no session", d.Phase), fmt.Sprintf("add a [[session]] with phase = %q", d.Phase))
		}
	}
	for i, s := range p.Sessions {
		if s.Phase != "" && t.has("dose") && !slices.ContainsFunc(p.Doses, func(d prescribe.PhaseDose) bool { return d.Phase == s.Phase }) {
			at := t.place(index("session", i))
			ps.add(at.line, at.column, fmt.Sprintf("phase %q of session %q has no dose", s.Phase, s.ID), fmt.Sprintf("add a [[dose]] with phase = %q", s.Phase))
		}
	}
	t.done()
	return &store.ProgrammeDef{Programme: p, Source: text}, ps.sorted()
}

func needPhase(t *tomlTable) prescribe.Phase {
	p := t.choice("phase", "", phases...)
	if !t.has("phase") {
		t.missing("phase", "add phase, "+anyOf(phases))
	}
	return prescribe.Phase(p)
}

func needChoice(t *tomlTable, key string, of []string) string {
	s := t.choice(key, "", of...)
	if !t.has(key) {
		t.missing(key, "add "+key+", "+anyOf(of))
	}
	return s
}

// Ranges of a slot's numbers.
const (
	maxSets                    = 10
	minIntensity, maxIntensity = 20, 100 // % of the record
	minEcc, maxEcc             = 100, 130
	maxSlotRIR                 = 6
	maxRest                    = 600 // s
	maxHold                    = 300 // s
)

func readSlot(t *tomlTable) prescribe.Slot {
	l := prescribe.Slot{
		ID:       slug(t, "id"),
		Pattern:  prescribe.Pattern(needChoice(t, "pattern", patterns)),
		Method:   prescribe.Method(needChoice(t, "method", methods)),
		Scheme:   prescribe.Scheme(needChoice(t, "scheme", schemes)),
		Sets:     t.needWhole("sets", 1, maxSets, "working sets"),
		Rest:     prescribe.Seconds(t.whole("rest", 0, 10, maxRest)),
		Tempo:    t.checked("tempo", `"3-0-1-0"`, tempo),
		Optional: t.flag("optional"),
		RIR:      prescribe.RIR(t.whole("rir", 0, 0, maxSlotRIR)),
		Six:      prescribe.SixAt85(t.choice("six", "", sixes...)),
		Reps:     t.whole("reps", 0, 1, maxReps),
		Seconds:  prescribe.Seconds(t.whole("seconds", 0, 1, maxHold)),
	}
	l.Intensity = prescribe.Percent(t.real("intensity", 0, minIntensity, maxIntensity, "% of the record"))
	l.Ecc = prescribe.Percent(t.real("ecc", 0, minEcc, maxEcc, "% of the record"))
	l.MinSets = t.whole("min_sets", min(1, l.Sets), 0, maxSets)
	if l.MinSets > l.Sets && l.Sets > 0 {
		t.wrong("min_sets", wrong("write at most as many as sets", "%d is more than the %d sets", l.MinSets, l.Sets))
	}
	schemeFits(t, l)
	for i, w := range t.texts("candidates", "exercises in quotation marks, in order of preference") {
		key := index("candidates", i)
		ex, ok := findExercise(w)
		if !ok {
			if w != "" {
				t.wrong(key, unknownExercise(w))
			}
			continue
		}
		candidateFits(t, key, l, ex)
		if slices.Contains(l.Candidates, ex.ID) {
			t.wrong(key, wrong("name it once", "%q is there twice", ex.ID))
			continue
		}
		l.Candidates = append(l.Candidates, ex.ID)
	}
	if !t.has("candidates") {
		t.missing("candidates", `add candidates = ["back_squat"], the exercises in order of preference`)
	} else if v, ok := t.values["candidates"].([]any); ok && len(v) == 0 {
		t.wrong("candidates", wrong("name at least one exercise", "is empty"))
	}
	t.done()
	return l
}

// schemeFits checks that a slot has what its scheme needs, and nothing that
// another one needs.
func schemeFits(t *tomlTable, l prescribe.Slot) {
	need := func(key, what string) {
		if !t.has(key) {
			t.missing(key, fmt.Sprintf("scheme %q needs %s = %s", l.Scheme, key, what))
		}
	}
	reps := func() { need("reps", "repetitions a set") }
	only := func(key string, of ...prescribe.Scheme) {
		if t.has(key) && l.Scheme != "" && !slices.Contains(of, l.Scheme) {
			t.wrong(key, wrong("take it out", "scheme %q does not use it", l.Scheme))
		}
	}
	methodOf := map[prescribe.Scheme]prescribe.Method{
		prescribe.SchemeNordic: prescribe.Eccentric, prescribe.SchemeCopenhagen: prescribe.Eccentric,
		prescribe.SchemeAccentuated: prescribe.Eccentric, prescribe.SchemeFlywheel: prescribe.Flywheel,
	}
	if m, ok := methodOf[l.Scheme]; ok && l.Method != "" && l.Method != m {
		t.wrong("method", wrong(fmt.Sprintf("write %q", m), "scheme %q is not %s work", l.Scheme, l.Method))
	}
	if l.Method == prescribe.Flywheel && l.Scheme != "" && l.Scheme != prescribe.SchemeFlywheel {
		t.wrong("scheme", wrong(`write "flywheel"`, "%q does not choose an inertia", l.Scheme))
	}
	switch l.Scheme {
	case prescribe.SchemePercent:
		reps()
		need("intensity", "percent of the record, such as 85")
		if !t.has("six") && l.Reps >= 6 && l.Intensity >= 85 {
			t.missing("six", fmt.Sprintf(`%d repetitions at %v %% leave nothing in reserve: add six = "cluster" (3+3 with a pause), "straight" (fewer repetitions) or "lighter" (less load)`, l.Reps, float64(l.Intensity)))
		}
	case prescribe.SchemeRIR:
		reps()
		need("rir", "repetitions to leave in reserve")
	case prescribe.SchemeAccentuated:
		reps()
		need("intensity", "percent of the record on the way up, such as 80")
		need("ecc", "percent of the record on the way down, such as 105")
	case prescribe.SchemeFlywheel, prescribe.SchemeReps:
		reps()
	case prescribe.SchemeHold:
		need("seconds", "how long each hold lasts")
	}
	only("ecc", prescribe.SchemeAccentuated)
	only("intensity", prescribe.SchemePercent, prescribe.SchemeAccentuated)
	only("six", prescribe.SchemePercent)
	only("seconds", prescribe.SchemeHold)
}

// candidateFits checks that an exercise can fill a slot.
func candidateFits(t *tomlTable, key string, l prescribe.Slot, ex prescribe.Exercise) {
	if l.Pattern != "" && ex.Pattern != l.Pattern {
		t.wrong(key, wrong(fmt.Sprintf("name another exercise, or write pattern = %q", ex.Pattern), "%s is a %s exercise, and the slot asks for %s", ex.ID, plain(ex.Pattern), plain(l.Pattern)))
	}
	if l.Method != "" && l.Method != prescribe.Support && !slices.Contains(ex.Methods, l.Method) {
		t.wrong(key, wrong("name another exercise, or another method", "%s is not %s work", ex.ID, l.Method))
	}
	if (l.Scheme == prescribe.SchemeFlywheel) != (ex.LoadKind == prescribe.LoadFlywheel) && l.Scheme != "" {
		t.wrong(key, wrong("name another exercise, or another scheme", "%s does not go with scheme %q", ex.ID, l.Scheme))
	}
	if noRecord := ex.LoadKind == prescribe.LoadNone || ex.LoadKind == prescribe.LoadBodyweight && ex.BodyFraction == 0; l.Scheme == prescribe.SchemePercent && noRecord {
		t.wrong(key, wrong(`write scheme = "reps"`, "%s has no record to take a percentage of", ex.ID))
	}
	if l.Scheme != "" && (l.Scheme == prescribe.SchemeAccentuated) != ex.EccentricOverload {
		t.wrong(key, wrong("name another exercise, or another scheme", "%s does not go with scheme %q", ex.ID, l.Scheme))
	}
	if l.Scheme == prescribe.SchemeHold && !ex.Hold {
		t.wrong(key, wrong(`write scheme = "reps"`, "%s is not held", ex.ID))
	}
}

func plain[T ~string](s T) string { return strings.ReplaceAll(string(s), "_", " ") }

// tempo checks "3-0-1-0": seconds down, pause, up, pause.
func tempo(s string) (string, *fault) {
	parts := strings.Split(s, "-")
	ok := len(parts) == 4
	for _, p := range parts {
		if len(p) == 0 || len(p) > 2 || strings.Trim(p, "0123456789") != "" {
			ok = false
		}
	}
	if !ok {
		return "", wrong(`write the seconds down, held, up and held, such as "3-0-1-0"`, "%q is not a tempo", s)
	}
	return s, nil
}
