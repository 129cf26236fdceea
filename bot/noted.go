package bot

import (
	"slices"
	"strings"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
)

// Flags of a confirmation.
const (
	noteChanges   = "changes"   // today's card asks for something else now
	noteCorrected = "corrected" // it took the place of an earlier version
	noteKept      = "kept"      // what staff have been told of stays
	noteUrgent    = "urgent"
	noteMoves     = "moves" // the day's session is not done; where it goes is said
	noteUndo      = "undo"  // with a button to take it back
)

func flagIf(cond bool, flag string) string {
	if cond {
		return flag
	}
	return ""
}

func isMessage(source string) bool { return strings.HasPrefix(source, "msg:") }

// notedOut is the confirmation of what a source has said. It names the entry by
// its id: a source may name a place on the body.
func (h *hand) notedOut(source string, flags ...string) (store.Out, error) {
	e, err := h.tx.EntryOf(h.person.ID, source)
	if err != nil {
		return store.Out{}, err
	}
	o := store.Out{Kind: outNoted, Ref: e.ID, Args: strings.Trim(strings.Join(flags, ":"), ":")}
	for _, f := range flags {
		if f == noteUrgent {
			o.Priority = prioFirst
		}
	}
	return o, nil
}

func (h *hand) replyNoted(source string, flags ...string) error {
	o, err := h.notedOut(source, flags...)
	if err != nil {
		return err
	}
	return h.reply(o)
}

// noted lists what was understood.
func (r *rendering) noted() (telegram.Outgoing, error) {
	entry, err := r.tx.Entry(r.person.ID, r.out.Ref)
	if err != nil {
		if ignoreNotFound(err) == nil {
			return telegram.Outgoing{}, errNothing // corrected since
		}
		return telegram.Outgoing{}, err
	}
	es, err := r.tx.Recorded(r.person.ID, entry.Source)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	if len(es) == 0 {
		return telegram.Outgoing{}, errNothing
	}
	state, err := r.tx.State(r.person.ID)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	flags := readTap("x:" + r.out.Args).args
	has := func(flag string) bool {
		for _, f := range flags {
			if f == flag {
				return true
			}
		}
		return false
	}

	var lines []string
	alarm, err := r.alarm(es)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	lines = append(lines, alarm...)
	switch {
	case has(noteKept):
		lines = append(lines, r.sp.T("player.undo_medical"))
	case has(noteCorrected):
		lines = append(lines, r.sp.T("player.replaced"))
	}
	for _, s := range r.setLines(es) {
		lines = append(lines, r.sp.T("player.logged", "what", wording.HTML(s)))
	}
	for _, e := range es {
		switch {
		case e.Soreness != nil:
			lines = append(lines, r.sp.T("player.sore_thanks", "region", wording.HTML(r.sp.Region(e.Soreness.Region, e.Soreness.Side)), "score", e.Soreness.Score))
		case e.Pain != nil && e.Pain.Unclear && e.Pain.Region == "":
			lines = append(lines, r.sp.T("player.pain_all_wait"))
		case e.Pain != nil && e.Pain.Unclear:
			lines = append(lines, r.sp.T("player.pain_waits", "region", wording.HTML(r.sp.Region(e.Pain.Region, e.Pain.Side))))
		case e.Pain != nil:
			lines = append(lines, r.painLine(*e.Pain, state))
		case e.Session != nil:
			more, err := r.sessionLines(e)
			if err != nil {
				return telegram.Outgoing{}, err
			}
			lines = append(lines, more...)
		}
	}
	if has(noteMoves) {
		more, err := r.moves(es)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		lines = append(lines, more...)
	}
	if has(noteChanges) {
		lines = append(lines, r.sp.T("player.sore_changes"))
	}
	m := telegram.Outgoing{Text: joinLines(lines)}
	if has(noteUndo) && len(alarm) == 0 {
		m.Buttons = [][]telegram.Button{{r.button("undo", newTap("undo", entry.ID))}}
	}
	return m, nil
}

// alarm is what somebody with a warning sign reads first.
func (r *rendering) alarm(es []prescribe.Event) ([]string, error) {
	warned, distress := false, false
	for _, e := range es {
		if e.Warning != nil {
			if e.Warning.Sign == prescribe.SignDistress {
				distress = true
			} else {
				warned = true
			}
		}
	}
	if !warned && !distress {
		return nil, nil
	}
	club, err := r.tx.Club()
	if err != nil {
		return nil, err
	}
	var lines []string
	if distress {
		name, err := r.confidant()
		if err != nil {
			return nil, err
		}
		if club.Emergency != "" {
			lines = append(lines, r.sp.T("player.distress", "name", name, "number", club.Emergency))
		} else {
			lines = append(lines, r.sp.T("player.distress_no_number", "name", name))
		}
	}
	if !warned {
		return lines, nil
	}
	switch {
	case !slices.ContainsFunc(es, func(e prescribe.Event) bool { return e.Warning != nil && mayKill[e.Warning.Sign] }):
	case club.Emergency != "":
		lines = append(lines, r.sp.T("player.emergency", "number", club.Emergency))
	default:
		lines = append(lines, r.sp.T("player.emergency_no_number"))
	}
	reachable, err := r.b.medicalReachable(r.tx, r.person.ID, r.day)
	if err != nil {
		return nil, err
	}
	if !reachable {
		return append(lines, r.sp.T("player.warning_nobody")), nil
	}
	lines = append(lines, r.sp.T("player.warning"))
	contacts, err := r.contacts(r.person.ID, false)
	if err != nil {
		return nil, err
	}
	if len(contacts) > 0 {
		lines = append(lines, r.sp.T("player.warning_contact", "contact", contacts))
	}
	return lines, nil
}

// mayKill are the signs at which the emergency number comes first; one that is
// not known is among them.
var mayKill = map[prescribe.Sign]bool{
	prescribe.SignChestPain: true, prescribe.SignFainting: true, prescribe.SignPalpitations: true, prescribe.SignBreathless: true,
	prescribe.SignHeadImpact: true, prescribe.SignConfusion: true, prescribe.SignLimbWeak: true, prescribe.SignSaddle: true,
	prescribe.SignBladderBowel: true, prescribe.SignCalfSwollen: true, prescribe.SignOther: true,
}

// confidant is who a disclosure is passed to, as in answers.
func (r *rendering) confidant() (string, error) {
	for _, role := range []store.Role{store.RoleSafeguarding, store.RoleMedical} {
		names, err := r.staffNames(role)
		if err != nil {
			return "", err
		}
		if len(names) > 0 {
			return names[0], nil
		}
	}
	return r.sp.Role(string(store.RoleMedical)), nil
}

// staffNames are those of the reader's squad who can be reached, in their order.
func (r *rendering) staffNames(role store.Role) ([]string, error) {
	sq, ok, err := r.tx.SquadOf(r.person.ID, r.day)
	if err != nil || !ok {
		return nil, err
	}
	people, err := r.b.joined(r.tx, sq.ID, role, r.day)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, p := range people {
		names = append(names, p.Name)
	}
	return names, nil
}

// contacts are the medical staff of a player's squad who can be reached, in
// their order, each with the telephone number that the club has given; withPhone:
// those only who have one.
func (r *rendering) contacts(player int64, withPhone bool) ([]string, error) {
	sq, ok, err := r.tx.SquadOf(player, r.day)
	if err != nil || !ok {
		return nil, err
	}
	people, err := r.b.joined(r.tx, sq.ID, store.RoleMedical, r.day)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, p := range people {
		switch {
		case p.Phone != "":
			out = append(out, p.Name+" "+p.Phone)
		case !withPhone:
			out = append(out, p.Name)
		}
	}
	return out, nil
}

// painLine says what follows from a score, from what is stopped now.
func (r *rendering) painLine(p prescribe.Pain, s prescribe.State) string {
	id := "player.pain_low"
	for _, m := range s.Pain {
		if m.Region != p.Region || m.Side != p.Side {
			continue
		}
		switch {
		case m.Stop != "":
			id = "player.pain_stop"
		case m.Open:
			id = "player.pain_held"
		}
	}
	return r.sp.T(id, "region", wording.HTML(r.sp.Region(p.Region, p.Side)), "score", p.Score)
}

// sessionLines say how a session ended, and whether one not done is made up.
func (r *rendering) sessionLines(e prescribe.Event) ([]string, error) {
	switch x := e.Session; x.Outcome {
	case prescribe.DoneAsWritten, prescribe.DoneChanged:
		line := r.sp.T("player.done")
		if x.RPE != nil {
			line = r.sp.T("player.effort_thanks", "score", *x.RPE)
		}
		return []string{line}, nil
	case prescribe.NotDone:
		if x.Reason == prescribe.AbsentIll || x.Reason == prescribe.AbsentPain {
			// What moves is said once it is known how ill, or where it hurts.
			return []string{r.sp.T("player.cant_thanks", "reason", x.Reason)}, nil
		}
		return r.notDoneLines(e.Day, *x)
	}
	return nil, nil
}

func (r *rendering) notDoneLines(day prescribe.Day, x prescribe.Session) ([]string, error) {
	line := r.sp.T("player.noted")
	if x.Reason != "" {
		line = r.sp.T("player.cant_thanks", "reason", x.Reason)
	}
	to, ok, err := madeUp(r.tx, r.person.ID, day, x.Template)
	if err != nil {
		return nil, err
	}
	if ok {
		return []string{line, r.sp.T("player.cant_carry", "day", to)}, nil
	}
	return []string{line, r.sp.T("player.cant_drop")}, nil
}

// moves is where the session of the events' day goes, which was not done.
func (r *rendering) moves(es []prescribe.Event) ([]string, error) {
	c, ok, err := r.tx.Card(r.person.ID, es[0].Day)
	if err != nil || !ok || c.State != store.CardMissed {
		return nil, err
	}
	lines, err := r.notDoneLines(c.Day, prescribe.Session{Template: c.Card.Template})
	if err != nil {
		return nil, err
	}
	return lines[1:], nil // that it is noted has been said
}

// setLines are the sets of an entry, an exercise a line.
func (r *rendering) setLines(es []prescribe.Event) []string {
	type lift struct {
		ex   prescribe.ExerciseID
		side prescribe.Side
	}
	var order []lift
	sets := map[lift][]prescribe.Set{}
	written := map[lift]bool{}
	for _, e := range es {
		if e.Set == nil {
			continue
		}
		k := lift{e.Set.Exercise, e.Set.Side}
		if _, ok := sets[k]; !ok {
			order = append(order, k)
			written[k] = true
		}
		sets[k] = append(sets[k], *e.Set)
		written[k] = written[k] && e.Set.AsWritten
	}
	var out []string
	for _, k := range order {
		if written[k] {
			continue // "done" says it
		}
		out = append(out, r.sp.T("ask.as_sets", "exercise", wording.HTML(r.sp.Lift(k.ex, k.side)), "sets", wording.HTML(setsText(r.sp, sets[k]))))
	}
	return out
}

// setsText writes sets as people do: "3 × 5 · 100 kg", "100 kg × 5, 5, 4".
func setsText(sp *wording.Speaker, sets []prescribe.Set) string {
	var parts []string
	for i := 0; i < len(sets); {
		j, same := i, true
		for j < len(sets) && sets[j].Load == sets[i].Load {
			same = same && sets[j].Reps == sets[i].Reps
			j++
		}
		load := ""
		if sets[i].Load > 0 {
			load = sp.Kg(sets[i].Load)
		}
		var text string
		if same {
			text = sp.T("card.sets_reps", "sets", j-i, "reps", sets[i].Reps)
			if load != "" {
				text += " · " + load
			}
		} else {
			var reps []string
			for _, s := range sets[i:j] {
				reps = append(reps, sp.Number(float64(s.Reps)))
			}
			text = strings.Join(reps, ", ")
			if load != "" {
				text = load + " × " + text
			}
		}
		if rir := sets[i].RIR; rir != nil {
			text += ", " + sp.T("ask.as_rir", "n", *rir)
		}
		parts = append(parts, text)
		i = j
	}
	return strings.Join(parts, "; ")
}
