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
	Person int64
	Zone   string // IANA, today's (UTC)
	// Zones are those of the UTC dates yesterday to tomorrow, where they differ
	// from Zone: the player travels.
	Zones     map[prescribe.Day]string
	Paused    map[prescribe.Day]bool // no card comes by itself
	Joined    bool
	Reachable bool
	Consented bool      // and, of an under-18, a guardian too
	Cards     []DueCard // that wait for an answer, from two days ago to two days ahead (UTC), by day

	key string
}

// DueCard is a card that was sent or started.
type DueCard struct {
	Card  int64
	Day   prescribe.Day
	State CardState
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

// DueInputs gathers them, with a few queries however many players there are.
func (tx *Tx) DueInputs(now prescribe.Instant) (in DueInputs, err error) {
	defer wrap(&err, "due inputs")
	utc := prescribe.DayOf(now.Time())
	squads, err := tx.Squads()
	if err != nil {
		return in, err
	}
	players, err := tx.duePlayers(utc, now)
	if err != nil {
		return in, err
	}
	staff, err := tx.dueStaff(utc)
	if err != nil {
		return in, err
	}
	for _, s := range squads {
		in.Squads = append(in.Squads, DueSquad{Squad: s, Players: players[s.ID], Staff: staff[s.ID]})
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

// duePlayers are the players by squad.
func (tx *Tx) duePlayers(utc prescribe.Day, now prescribe.Instant) (map[int64][]DuePlayer, error) {
	waiting, err := all(tx, func(r scanner) (x struct {
		person int64
		card   DueCard
	}, err error) {
		err = r.Scan(&x.person, &x.card.Card, intoDay(&x.card.Day), &x.card.State)
		return x, err
	}, `SELECT person, id, day, state FROM card WHERE day BETWEEN ? AND ? AND state IN ('sent', 'started') ORDER BY day, id`,
		(utc - 2).String(), (utc + 2).String())
	if err != nil {
		return nil, err
	}
	cards := map[int64][]DueCard{}
	for _, w := range waiting {
		cards[w.person] = append(cards[w.person], w.card)
	}
	paused, err := tx.pausedDays(utc-1, utc+2)
	if err != nil {
		return nil, err
	}
	type row struct {
		squad int64
		p     DuePlayer
	}
	rows, err := all(tx, func(r scanner) (x row, err error) {
		// What MayBeAsked asks, of all at once.
		var agrees, guardian, known, youth bool
		var born prescribe.Day
		var before, after string
		if err = r.Scan(&x.squad, &x.p.Person, &x.p.key, &before, &x.p.Zone, &after, &x.p.Joined, &x.p.Reachable, &agrees, &guardian, &known, intoDay(&born), &youth); err != nil {
			return x, err
		}
		for i, zone := range []string{before, x.p.Zone, after} {
			if zone != x.p.Zone {
				if x.p.Zones == nil {
					x.p.Zones = map[prescribe.Day]string{}
				}
				x.p.Zones[utc+prescribe.Day(i)-1] = zone
			}
		}
		if x.p.Joined && agrees && !guardian {
			today, err := dayIn(now, x.p.Zone)
			if err != nil {
				return x, err
			}
			if known && born != 0 {
				youth = years(born, today) < 18
			}
			agrees = !youth
		}
		x.p.Consented = x.p.Joined && agrees
		return x, nil
	}, `
SELECT m.squad, p.id, p.key, `+zoneOn("?1")+`, `+zoneOn("?2")+`, `+zoneOn("?3")+`, p.chat IS NOT NULL, p.reachable,
  COALESCE((SELECT given FROM consent WHERE person = p.id AND guardian = 0 ORDER BY id DESC LIMIT 1), 0),
  COALESCE((SELECT given FROM consent WHERE person = p.id AND guardian = 1 ORDER BY id DESC LIMIT 1), 0),
  f.entry IS NOT NULL, COALESCE(f.born, ''),
  COALESCE((SELECT s.youth FROM membership n JOIN squad s ON s.id = n.squad
    WHERE n.person = p.id AND n.from_day <= ?2 AND (n.until_day = '' OR n.until_day >= ?2) ORDER BY n.from_day DESC, n.id DESC LIMIT 1), 0)
FROM (SELECT DISTINCT person, squad FROM membership WHERE from_day <= ?3 AND (until_day = '' OR until_day >= ?1)) m
JOIN person p ON p.id = m.person
LEFT JOIN profile f ON f.rowid = (SELECT e.rowid FROM profile e
  WHERE e.person = p.id AND NOT EXISTS (SELECT 1 FROM entry n WHERE n.replaces = e.entry) ORDER BY e.at DESC, e.key DESC LIMIT 1)
WHERE p.left_at IS NULL AND p.erased_at IS NULL`, (utc - 1).String(), utc.String(), (utc + 1).String())
	if err != nil {
		return nil, err
	}
	out := map[int64][]DuePlayer{}
	for _, x := range rows {
		x.p.Cards, x.p.Paused = cards[x.p.Person], paused[x.p.Person]
		out[x.squad] = append(out[x.squad], x.p)
	}
	for _, ps := range out {
		slices.SortFunc(ps, func(a, b DuePlayer) int {
			return cmp.Or(compareKeys(a.key, b.key), cmp.Compare(a.Person, b.Person))
		})
	}
	return out, nil
}

// dueStaff are the staff by squad.
func (tx *Tx) dueStaff(day prescribe.Day) (map[int64][]DueStaff, error) {
	type row struct {
		squad int64
		s     DueStaff
	}
	rows, err := all(tx, func(r scanner) (x row, err error) {
		err = r.Scan(&x.squad, &x.s.Person, &x.s.Role, &x.s.Order, &x.s.Joined, &x.s.Reachable, &x.s.Zone)
		return x, err
	}, `SELECT r.squad, p.id, r.role, r.ord, p.chat IS NOT NULL, p.reachable, `+zoneOn("?1")+`
FROM staff_role r JOIN person p ON p.id = r.person
WHERE r.from_day <= ?1 AND (r.until_day = '' OR r.until_day >= ?1) AND p.left_at IS NULL AND p.erased_at IS NULL
ORDER BY r.role, r.ord, r.person`, day.String())
	if err != nil {
		return nil, err
	}
	out := map[int64][]DueStaff{}
	for _, x := range rows {
		out[x.squad] = append(out[x.squad], x.s)
	}
	return out, nil
}
