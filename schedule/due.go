package schedule

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"pegcard/prescribe"
	"pegcard/store"
)

// Kind is what is due.
type Kind string

const (
	Draft    Kind = "draft"    // work out tomorrow's cards for the look-over
	LookOver Kind = "lookover" // show staff the drafts
	Week     Kind = "week"     // on Mondays of the off-season: the days ahead, and how it goes
	Card     Kind = "card"     // the morning card of one player
	TooLate  Kind = "toolate"  // a morning card whose cut-off has passed: not sent
	Waiting  Kind = "waiting"  // tell staff which of the morning's cards wait for them
	Digest   Kind = "digest"   // the daily digest of one staff member in one role
	Weekly   Kind = "weekly"   // the report of the week before, of one staff member in one role
	Monthly  Kind = "monthly"  // the report of the month before, likewise
	Close    Kind = "close"    // yesterday's card without an answer is closed
)

// order settles what comes first at one instant: yesterday is closed before
// today's card is worked out, drafts exist before they are shown, and what waits
// for approval is told once all of the morning's cards are there.
var order = map[Kind]int{Close: 0, Draft: 1, LookOver: 2, Week: 3, Card: 4, TooLate: 5, Waiting: 6, Digest: 7, Weekly: 8, Monthly: 9}

// Item is one due thing.
type Item struct {
	Kind   Kind
	Key    string // for Once; begins "due/"
	At     prescribe.Instant
	Day    prescribe.Day // the civil date it is about
	Squad  int64
	Person int64 // the player, or the member of staff
	Role   store.Role
	Card   int64 // Close: the card
}

// key names an item once and for all. The instant is not part of it: the same
// civil date in another zone is the same thing.
func key(k Kind, id int64, d prescribe.Day, more string) string {
	if k == TooLate {
		k = Card
	}
	return fmt.Sprintf("due/%s/%d/%s%s", k, id, d, more)
}

// Plan lists what falls due, done or not, around now: from two days ago to
// tomorrow, by (At, kind, key).
func Plan(in store.DueInputs, now time.Time) ([]Item, error) {
	var out []Item
	for _, s := range in.Squads {
		items, err := squadItems(s, now)
		if err != nil {
			return nil, err
		}
		out = append(out, items...)
	}
	slices.SortFunc(out, func(a, b Item) int {
		return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(order[a.Kind], order[b.Kind]), cmp.Compare(a.Key, b.Key))
	})
	return out, nil
}

// Due is what has fallen due by now and was not done yet, in the order in which
// it is to be done.
func Due(in store.DueInputs, now time.Time) ([]Item, error) {
	all, err := Plan(in, now)
	if err != nil {
		return nil, err
	}
	var out []Item
	seen := map[string]bool{}
	for _, it := range all {
		if it.At > prescribe.InstantOf(now) || in.Done[it.Key] || seen[it.Key] {
			continue
		}
		seen[it.Key] = true
		out = append(out, it)
	}
	return out, nil
}

// Next is the first thing still to come. The tick need not look again before
// it, unless something is written in between.
func Next(in store.DueInputs, now time.Time) (Item, bool, error) {
	all, err := Plan(in, now)
	if err != nil {
		return Item{}, false, err
	}
	for _, it := range all {
		if it.At > prescribe.InstantOf(now) && !in.Done[it.Key] && it.Kind != TooLate {
			return it, true, nil
		}
	}
	return Item{}, false, nil
}

func squadItems(s store.DueSquad, now time.Time) ([]Item, error) {
	sq := s.Squad
	home, err := store.Zone(sq.Zone)
	if err != nil {
		return nil, fmt.Errorf("squad %s: time zone %q is not known: %w", sq.Slug, sq.Zone, err)
	}
	today := prescribe.DayOf(now.In(home))
	var out []Item
	if sq.Review != "none" {
		for d := today - 1; d <= today+1; d++ {
			// The drafts of d+1 are made on the evening of d. A look-over of a
			// morning that has passed shows nothing anybody can change.
			at := At(d, sq.EveningAt, home)
			if !now.Before(At(d+1, sq.CardsAt, home)) {
				continue
			}
			out = append(out,
				Item{Kind: Draft, Key: key(Draft, sq.ID, d+1, ""), At: prescribe.InstantOf(at), Day: d + 1, Squad: sq.ID},
				Item{Kind: LookOver, Key: key(LookOver, sq.ID, d+1, ""), At: prescribe.InstantOf(at), Day: d + 1, Squad: sq.ID})
		}
	}
	for d := today - 1; d <= today+1; d++ {
		if now.After(CutOff(d, sq, home)) {
			continue
		}
		at := AfterQuiet(At(d, sq.CardsAt, home), sq.QuietFrom, sq.QuietTo, home)
		out = append(out, Item{Kind: Waiting, Key: key(Waiting, sq.ID, d, ""), At: prescribe.InstantOf(at), Day: d, Squad: sq.ID})
	}
	for _, p := range s.Players {
		items, err := playerItems(sq, p, now)
		if err != nil {
			return nil, err
		}
		out = append(out, items...)
	}
	for d := today - 1; d <= today+1; d++ {
		if !now.Before(At(d+1, sq.DigestAt, home)) {
			continue // as with the digest
		}
		var kinds []Kind
		if strings.EqualFold(d.Weekday().String(), sq.WeeklyOn) {
			kinds = append(kinds, Weekly)
		}
		if sq.Monthly && d.Time().Day() == 1 {
			kinds = append(kinds, Monthly)
		}
		for _, st := range s.Staff {
			for _, k := range kinds {
				if st.Joined && digested(st.Role) {
					out = append(out, Item{
						Kind: k, Key: key(k, sq.ID, d, fmt.Sprintf("/%d/%s", st.Person, st.Role)),
						At: prescribe.InstantOf(At(d, sq.DigestAt, home)), Day: d, Squad: sq.ID, Person: st.Person, Role: st.Role,
					})
				}
			}
		}
	}
	for d := today - 1; d <= today+1; d++ {
		at := At(d, sq.DigestAt, home)
		for _, st := range s.Staff {
			if !st.Joined || !digested(st.Role) {
				continue
			}
			// Yesterday's digest is still worth having until today's.
			if !now.Before(At(d+1, sq.DigestAt, home)) {
				continue
			}
			out = append(out, Item{
				Kind: Digest, Key: key(Digest, sq.ID, d, fmt.Sprintf("/%d/%s", st.Person, st.Role)),
				At: prescribe.InstantOf(at), Day: d, Squad: sq.ID, Person: st.Person, Role: st.Role,
			})
		}
	}
	return out, nil
}

// CutOff is the last instant at which the cards of d may still go out. The time
// for them is never shorter than on other days: where the clocks skip over it
// whole, both of its ends would be the same instant.
func CutOff(d prescribe.Day, sq store.Squad, loc *time.Location) time.Time {
	at, least := At(d, sq.CutOff, loc), At(d, sq.CardsAt, loc).Add(time.Duration(sq.CutOff-sq.CardsAt)*time.Minute)
	if least.After(at) {
		return least
	}
	return at
}

// digested are the roles that get the daily digest. Safeguarding reads on
// request; the administrator has no business with training.
func digested(r store.Role) bool {
	return r == store.RoleCoach || r == store.RoleMedical || r == store.RoleHeadCoach
}

func playerItems(sq store.Squad, p store.DuePlayer, now time.Time) ([]Item, error) {
	here, err := zoneOf(p, 0)
	if err != nil {
		return nil, err
	}
	today := prescribe.DayOf(now.In(here))
	var out []Item
	if p.Joined && p.Reachable && p.Consented {
		for d := today - 1; d <= today+1; d++ {
			if p.Paused[d] {
				continue
			}
			loc, err := zoneOf(p, d)
			if err != nil {
				return nil, err
			}
			at := AfterQuiet(At(d, sq.CardsAt, loc), sq.QuietFrom, sq.QuietTo, loc)
			if d == d.Monday() && OffSeason(sq, d) && !now.After(CutOff(d, sq, loc)) {
				out = append(out, Item{Kind: Week, Key: key(Week, p.Person, d, ""), At: prescribe.InstantOf(at), Day: d, Squad: sq.ID, Person: p.Person})
			}
			it := Item{Kind: Card, Key: key(Card, p.Person, d, ""), At: prescribe.InstantOf(at), Day: d, Squad: sq.ID, Person: p.Person}
			if now.After(CutOff(d, sq, loc)) {
				it.Kind = TooLate
			}
			out = append(out, it)
		}
	}
	// A card without an answer is closed just before the card of the next day,
	// whether that one will be sent or not.
	for _, c := range p.Cards {
		loc, err := zoneOf(p, c.Day+1)
		if err != nil {
			return nil, err
		}
		at := AfterQuiet(At(c.Day+1, sq.CardsAt, loc), sq.QuietFrom, sq.QuietTo, loc)
		out = append(out, Item{Kind: Close, Key: key(Close, c.Card, c.Day, ""), At: prescribe.InstantOf(at), Day: c.Day, Squad: sq.ID, Person: p.Person, Card: c.Card})
	}
	return out, nil
}

// zoneOf is where the player's mornings are on the day: a traveller's move on
// the first day away, and back on the day after the last.
func zoneOf(p store.DuePlayer, d prescribe.Day) (*time.Location, error) {
	zone := p.Zone
	if z, ok := p.Zones[d]; ok {
		zone = z
	}
	loc, err := store.Zone(zone)
	if err != nil {
		return nil, fmt.Errorf("player %d: time zone %q is not known: %w", p.Person, zone, err)
	}
	return loc, nil
}

// OffSeason reports whether the squad's day lies in a phase of the off-season.
func OffSeason(sq store.Squad, d prescribe.Day) bool {
	return slices.ContainsFunc(sq.Phases, func(p store.PhaseDef) bool {
		return p.Phase == prescribe.OffSeason && p.From <= d && d <= p.To
	})
}
