package store

import (
	"cmp"
	"slices"

	"pegcard/prescribe"
)

// DueInputs is all that the schedule needs to say what is due.
type DueInputs struct {
	Squads []DueSquad // by slug
	// Done are the keys beginning "due/" that Once committed in the last 4 days.
	Done map[string]bool
}

// doneFor is how far back Done reaches, in milliseconds.
const doneFor = 4 * 24 * 3600 * 1000

// DueSquad is one squad.
type DueSquad struct {
	Squad   Squad
	Players []DuePlayer // members on any day from yesterday to tomorrow (UTC), by key
	Staff   []DueStaff  // by (role, order, id)
}

// DuePlayer is one player.
type DuePlayer struct {
	Person    int64
	Zone      string // IANA, today's
	Joined    bool
	Reachable bool
	Consented bool      // and, of an under-18, a guardian too
	Cards     []DueCard // from two days ago to two days ahead (UTC), by day
}

// DueCard is a card already issued.
type DueCard struct {
	Card     int64
	Day      prescribe.Day
	Rev      int
	Approved int // the latest revision that staff approved
	State    CardState
	Kind     prescribe.CardKind
	Approval bool // must be approved before it goes out
}

// DueStaff is one staff member in one role.
type DueStaff struct {
	Person    int64
	Role      Role
	Zone      string
	Order     int
	Joined    bool
	Reachable bool
}

// DueInputs gathers them.
func (tx *Tx) DueInputs(now prescribe.Instant) (in DueInputs, err error) {
	defer wrap(&err, "due inputs")
	utc := prescribe.DayOf(now.Time())
	squads, err := tx.Squads()
	if err != nil {
		return in, err
	}
	for _, s := range squads {
		d := DueSquad{Squad: s}
		var members []Person
		for day := utc - 1; day <= utc+1; day++ {
			ps, err := tx.Members(s.ID, day)
			if err != nil {
				return in, err
			}
			members = append(members, ps...)
		}
		slices.SortStableFunc(members, func(a, b Person) int {
			return cmp.Or(compareKeys(a.Key, b.Key), cmp.Compare(a.ID, b.ID))
		})
		members = slices.CompactFunc(members, func(a, b Person) bool { return a.ID == b.ID })
		for _, m := range members {
			p := DuePlayer{Person: m.ID, Joined: m.Chat != 0, Reachable: m.Reachable}
			if p.Zone, err = tx.ZoneOn(m.ID, utc); err != nil {
				return in, err
			}
			if p.Consented, err = tx.MayBeAsked(m.ID, now); err != nil {
				return in, err
			}
			cards, err := tx.Cards(m.ID, utc-2, utc+2)
			if err != nil {
				return in, err
			}
			for _, c := range cards {
				p.Cards = append(p.Cards, DueCard{
					Card: c.ID, Day: c.Day, Rev: c.Rev, Approved: c.Approved, State: c.State,
					Kind: c.Card.Kind, Approval: c.Card.Approval,
				})
			}
			d.Players = append(d.Players, p)
		}
		if d.Staff, err = tx.dueStaff(s.ID, utc); err != nil {
			return in, err
		}
		in.Squads = append(in.Squads, d)
	}
	keys, err := all(tx, one[string], `SELECT key FROM once_key WHERE at > ? AND key LIKE 'due/%'`, now-doneFor)
	if err != nil {
		return in, err
	}
	in.Done = make(map[string]bool, len(keys))
	for _, k := range keys {
		in.Done[k] = true
	}
	return in, nil
}

func (tx *Tx) dueStaff(squad int64, day prescribe.Day) ([]DueStaff, error) {
	staff, err := all(tx, func(r scanner) (s DueStaff, err error) {
		err = r.Scan(&s.Person, &s.Role, &s.Order, &s.Joined, &s.Reachable)
		return s, err
	}, `SELECT r.person, r.role, r.ord, p.chat IS NOT NULL, p.reachable FROM staff_role r JOIN person p ON p.id = r.person
WHERE r.squad = ? AND r.from_day <= ? AND (r.until_day = '' OR r.until_day >= ?) AND p.left_at IS NULL AND p.erased_at IS NULL
ORDER BY r.role, r.ord, r.person`, squad, day.String(), day.String())
	if err != nil {
		return nil, err
	}
	for i := range staff {
		if staff[i].Zone, err = tx.ZoneOn(staff[i].Person, day); err != nil {
			return nil, err
		}
	}
	return staff, nil
}
