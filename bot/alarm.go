package bot

import (
	"fmt"

	"pegcard/bot/telegram"
	"pegcard/prescribe"
	"pegcard/schedule"
	"pegcard/store"
)

// Urgent alerts are sent again after 10 minutes, and go to the next medical
// person after 20 (our choice); after an hour all are asked each half hour, after
// four hours each hour, until somebody takes the alert. Others wait for the
// morning and are sent again after a day.
const (
	againUrgent = 10 // minutes between repeats
	slowAfter   = 6  // repeats after which they come each half hour
	slowerAfter = 12 // repeats after which they come each hour
	perPerson   = 2  // messages to one person before the next is asked too
	againCalm   = 24 // hours
	calmRepeats = 3
	// A player who told of a warning sign hears that nobody has read it.
	unreadAfter = 20 // minutes
	unreadEach  = 60 // minutes
	unreadMost  = 6
)

// tell turns notices into alerts and puts them on their way to those who may
// read them.
func (b *Bot) tell(tx *store.Tx, player int64, ns []prescribe.Notice, now prescribe.Instant) error {
	for _, n := range ns {
		a, fresh, err := tx.RaiseAlert(player, n, now)
		if err != nil {
			return err
		}
		if err := b.deliverAlert(tx, a, now, fresh); err != nil {
			return err
		}
	}
	return nil
}

// answers is who must acknowledge an alert, in the order in which they are
// asked. A distress notice goes to the safeguarding officer; what medical
// staff may read goes to them; the rest to the coaches.
func (b *Bot) answers(tx *store.Tx, a store.Alert, day prescribe.Day) ([]store.Person, store.Role, error) {
	role := store.RoleCoach
	switch {
	case a.Kind == prescribe.NoticeDistress:
		role = store.RoleSafeguarding
	case a.Notice.To.Has(prescribe.ForMedical) && a.Kind != prescribe.NoticeSkipped:
		role = store.RoleMedical
	}
	people, err := b.joined(tx, a.Squad, role, day)
	if err == nil && len(people) == 0 && role == store.RoleSafeguarding {
		// Nobody named: medical staff are bound to confidence too.
		role = store.RoleMedical
		people, err = b.joined(tx, a.Squad, role, day)
	}
	return people, role, err
}

// alertSquad is the squad whose zone, name and quiet hours an alert goes by. A
// player in no squad, as between two contracts, has the club's, and no quiet
// hours.
func alertSquad(tx *store.Tx, a store.Alert) (sq store.Squad, err error) {
	if a.Squad != 0 {
		return tx.Squad(a.Squad)
	}
	club, err := tx.Club()
	sq.Zone, sq.Name = club.Zone, club.Name
	return sq, err
}

// joined are the staff of the role who can be reached, in their order; of
// squad 0 everybody's.
func (b *Bot) joined(tx *store.Tx, squad int64, role store.Role, day prescribe.Day) ([]store.Person, error) {
	squads := []store.Squad{{ID: squad}}
	if squad == 0 {
		var err error
		if squads, err = tx.Squads(); err != nil {
			return nil, err
		}
	}
	var out []store.Person
	seen := map[int64]bool{}
	for _, sq := range squads {
		all, err := tx.Staff(sq.ID, role, day)
		if err != nil {
			return nil, err
		}
		for _, p := range all {
			if p.Chat != 0 && p.Reachable && !seen[p.ID] {
				seen[p.ID] = true
				out = append(out, p)
			}
		}
	}
	return out, nil
}

// deliverAlert sends a new alert, or one that got worse.
func (b *Bot) deliverAlert(tx *store.Tx, a store.Alert, now prescribe.Instant, fresh bool) error {
	sq, err := alertSquad(tx, a)
	if err != nil {
		return err
	}
	day := prescribe.DayOf(now.Time().In(b.location(sq.Zone)))
	people, role, err := b.answers(tx, a, day)
	if err != nil {
		return err
	}
	asked := map[int64]bool{}
	for _, p := range turn(a, people) {
		asked[p.ID] = true
		if err := b.sendAlert(tx, a, sq, p, now, a.Notice.Urgent); err != nil {
			return err
		}
	}
	if len(people) == 0 {
		if err := b.nobody(tx, a, role, day, now); err != nil {
			return err
		}
	}
	// The others who may read it hear of it once, in the words of their role.
	for _, other := range []struct {
		role store.Role
		see  prescribe.Audience
	}{
		{store.RoleMedical, prescribe.ForMedical}, {store.RoleCoach, prescribe.ForCoach},
		{store.RoleHeadCoach, prescribe.ForHeadCoach}, {store.RoleSafeguarding, prescribe.ForSafeguarding},
	} {
		if other.role == role && role == store.RoleMedical || a.Notice.To&other.see == 0 {
			continue
		}
		list, err := b.joined(tx, a.Squad, other.role, day)
		if err != nil {
			return err
		}
		for _, p := range list {
			if asked[p.ID] || a.Kind == prescribe.NoticeDistress {
				continue
			}
			if err := b.sendAlert(tx, a, sq, p, now, false); err != nil {
				return err
			}
		}
	}
	if fresh && a.Notice.Urgent && role == store.RoleMedical && a.Kind != prescribe.NoticeDistress {
		if err := b.tellHeld(tx, a, sq, day, now); err != nil {
			return err
		}
	}
	next := now + hours(againCalm)
	if a.Notice.Urgent {
		next = now + minutes(againUrgent)
	}
	if !fresh && a.NextAt > 0 {
		// Who writes the same again and again must not put off the next person.
		return tx.Escalate(a.ID, a.Level, min(next, max(a.NextAt, now)))
	}
	return tx.Escalate(a.ID, 0, next)
}

// turn is whom an alert goes to at its level, of those who may act on it: one
// after the other while it is urgent, and, when all have been asked, all.
func turn(a store.Alert, people []store.Person) []store.Person {
	if len(people) == 0 || !a.Notice.Urgent {
		return people[:min(1, len(people))]
	}
	if i := a.Level / perPerson; i < len(people) {
		return people[i : i+1]
	}
	return people
}

// nobody is for an alert that nobody who may act on it can be sent: when it is
// urgent, the coaches and the administrators hear, at every repeat, that medical
// staff have to be called, and nothing else. What somebody has confided to the
// program is no coach's, who may be whom it is about: the administrators hear of
// it, and coaches only where there is none.
func (b *Bot) nobody(tx *store.Tx, a store.Alert, role store.Role, day prescribe.Day, now prescribe.Instant) error {
	b.Logger.Error("nobody who may act on an alert can be reached", "event", "alert.nobody", "alert", a.ID, "role", string(role))
	if !a.Notice.Urgent {
		return nil
	}
	told := map[int64]bool{}
	roles := []store.Role{store.RoleCoach, store.RoleAdmin}
	if a.Kind == prescribe.NoticeDistress {
		roles = []store.Role{store.RoleAdmin, store.RoleCoach}
	}
	for _, r := range roles {
		list, err := b.joined(tx, a.Squad, r, day)
		if err != nil {
			return err
		}
		for _, p := range list {
			if told[p.ID] {
				continue
			}
			told[p.ID] = true
			if _, _, err := tx.Enqueue(store.Out{Kind: outView, Recipient: p.ID, Args: newTap("nomedic", a.ID), Priority: prioUrgent,
				Expires: now + hours(2)}); err != nil {
				return err
			}
		}
		if a.Kind == prescribe.NoticeDistress && len(told) > 0 {
			break
		}
	}
	return nil
}

// medicalReachable reports whether somebody medical of the player's squad can
// be written to: nobody may be promised that medical staff are told otherwise.
func (b *Bot) medicalReachable(tx *store.Tx, player int64, day prescribe.Day) (bool, error) {
	sq, _, err := tx.LastSquad(player, day)
	if err != nil {
		return false, err
	}
	list, err := b.joined(tx, sq.ID, store.RoleMedical, day)
	return len(list) > 0, err
}

// passOn sends the urgent alerts that cannot reach the person they went to, to
// the next at once.
func (b *Bot) passOn(tx *store.Tx, outs []store.Out, now prescribe.Instant) error {
	seen := map[int64]bool{}
	for _, o := range outs {
		if o.Kind != outAlert || o.Priority != prioUrgent || o.Edit || seen[o.Ref] {
			continue
		}
		seen[o.Ref] = true
		a, err := tx.Alert(o.Ref)
		if err != nil {
			return err
		}
		if a.State != store.AlertOpen {
			continue
		}
		sq, err := alertSquad(tx, a)
		if err != nil {
			return err
		}
		day := prescribe.DayOf(now.Time().In(b.location(sq.Zone)))
		people, role, err := b.answers(tx, a, day)
		if err != nil {
			return err
		}
		if len(people) == 0 {
			if err := b.nobody(tx, a, role, day, now); err != nil {
				return err
			}
		}
		for _, p := range turn(a, people) {
			if err := b.sendAlert(tx, a, sq, p, now, true); err != nil {
				return err
			}
		}
	}
	return nil
}

// tellHeld tells the coaches that a player is held and whom to ask, and
// nothing else: they have to know before the session.
func (b *Bot) tellHeld(tx *store.Tx, a store.Alert, sq store.Squad, day prescribe.Day, now prescribe.Instant) error {
	coaches, err := b.joined(tx, a.Squad, store.RoleCoach, day)
	if err != nil {
		return err
	}
	for _, p := range coaches {
		at := prescribe.InstantOf(schedule.AfterQuiet(now.Time(), sq.QuietFrom, sq.QuietTo, b.location(p.Zone)))
		if _, _, err := tx.Enqueue(store.Out{Kind: outView, Recipient: p.ID, Args: newTap("held", a.Person), Priority: prioAlert,
			NotBefore: at, Expires: at + hours(24), Dedup: fmt.Sprintf("held/%d/%d/%s", p.ID, a.Person, day)}); err != nil {
			return err
		}
	}
	return nil
}

func init() {
	pages["nomedic"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		a, err := r.tx.Alert(t.id(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		if a.State != store.AlertOpen || !r.viewer.Has(store.RoleCoach) && !r.viewer.Has(store.RoleAdmin) ||
			a.Squad != 0 && !r.viewer.May(a.Squad, store.RoleCoach, store.RoleAdmin) {
			return telegram.Outgoing{}, errNothing
		}
		p, err := r.tx.Person(a.Person)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		sq, err := alertSquad(r.tx, a)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		id := "alert.nobody_medical"
		if a.Kind == prescribe.NoticeDistress {
			id = "alert.nobody_person"
		}
		return telegram.Outgoing{Text: r.sp.T("alert.head", "name", p.Name, "squad", sq.Name) + "\n" + r.sp.T(id)}, nil
	}
	pages["unread"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		a, err := r.tx.Alert(t.id(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		if a.State != store.AlertOpen || a.Person != r.person.ID {
			return telegram.Outgoing{}, errNothing // somebody has read it since
		}
		text := r.sp.T("player.warning_unread")
		contacts, err := r.contacts(a.Person, false)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		if len(contacts) > 0 {
			text += "\n" + r.sp.T("player.warning_contact", "contact", contacts)
		}
		return telegram.Outgoing{Text: text}, nil
	}
	pages["held"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		if _, err := r.tx.Sees(r.viewer, t.id(0), r.day); err != nil {
			return telegram.Outgoing{}, errNothing // the role has gone since
		}
		p, err := r.tx.Person(t.id(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		sq, _, err := r.tx.SquadOf(p.ID, r.day)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		text := r.sp.T("alert.head", "name", p.Name, "squad", sq.Name) + "\n" + r.sp.T("staff.player_held")
		contacts, err := r.contacts(p.ID, true)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		if len(contacts) > 0 {
			text += "\n" + r.sp.T("alert.phone", "phone", contacts)
		}
		return telegram.Outgoing{Text: text,
			Buttons: [][]telegram.Button{{r.button("open_player", newTap(verbView, "player", p.ID))}}}, nil
	}
}

// sendAlert enqueues one alert to one person. Quiet hours hold back what is
// not urgent.
func (b *Bot) sendAlert(tx *store.Tx, a store.Alert, sq store.Squad, p store.Person, now prescribe.Instant, urgent bool) error {
	prio, notBefore := prioAlert, now
	if urgent {
		prio = prioUrgent
	} else {
		notBefore = prescribe.InstantOf(schedule.AfterQuiet(now.Time(), sq.QuietFrom, sq.QuietTo, b.location(p.Zone)))
	}
	_, _, err := tx.Enqueue(store.Out{
		Kind: outAlert, Recipient: p.ID, Ref: a.ID, Args: fmt.Sprint(a.Level), Priority: prio,
		NotBefore: notBefore, Expires: notBefore + hours(48),
	})
	return err
}

// escalate sends an alert again that nobody has acknowledged: to the same
// person, then to the next too, and, when all have been asked, to all of them.
func (b *Bot) escalate(tx *store.Tx, a store.Alert, now prescribe.Instant) error {
	a, err := tx.Alert(a.ID)
	if err != nil || a.State != store.AlertOpen {
		return err
	}
	if a.Kind == prescribe.NoticeDoubt && a.Level == 0 {
		return b.noAnswer(tx, a, now)
	}
	sq, err := alertSquad(tx, a)
	if err != nil {
		return err
	}
	day := prescribe.DayOf(now.Time().In(b.location(sq.Zone)))
	people, role, err := b.answers(tx, a, day)
	if err != nil {
		return err
	}
	a.Level++
	if len(people) == 0 {
		if err := b.nobody(tx, a, role, day, now); err != nil {
			return err
		}
	}
	for _, p := range turn(a, people) {
		if err := b.sendAlert(tx, a, sq, p, now, a.Notice.Urgent); err != nil {
			return err
		}
	}
	if err := b.unread(tx, a, now); err != nil {
		return err
	}
	next := now + minutes(againUrgent)
	switch {
	case a.Level >= slowerAfter:
		next = now + minutes(60)
	case a.Level >= slowAfter:
		next = now + minutes(30)
	}
	if !a.Notice.Urgent {
		next = now + hours(againCalm)
		if a.Level >= calmRepeats {
			next = 0 // it stays in the list of open alerts and in the digest
		}
	}
	return tx.Escalate(a.ID, a.Level, next)
}

// unread tells the player of a warning that nobody has read it yet: waiting for
// an answer here may be the wrong thing to do.
func (b *Bot) unread(tx *store.Tx, a store.Alert, now prescribe.Instant) error {
	if a.Kind != prescribe.NoticeWarning || !a.Notice.Urgent {
		return nil
	}
	late := now - a.CreatedAt - minutes(unreadAfter)
	if late < 0 {
		return nil
	}
	n := int(late / minutes(unreadEach))
	if n >= unreadMost {
		return nil
	}
	_, _, err := tx.Enqueue(store.Out{Kind: outView, Recipient: a.Person, Args: newTap("unread", a.ID), Priority: prioFirst,
		Expires: now + hours(1), Dedup: fmt.Sprintf("unread/%d/%d", a.ID, n)})
	return err
}
