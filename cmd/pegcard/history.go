package main

import (
	"cmp"
	"context"
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"time"

	"pegcard/bot"
	"pegcard/bot/localchat"
	"pegcard/cmd/pegcard/democlub"
	"pegcard/prescribe"
	"pegcard/schedule"
	"pegcard/store"
)

// historyDays is how far the demo's history reaches back from its first day.
const historyDays = 28

// chatID is the chat account of a person of the demo.
func chatID(person int64) int64 { return 700_000 + person }

// seedHistory has everybody join and lets the players train through the weeks
// before the demo: each day's card is worked out by the engine and answered by
// an invented player whose strength and habits are drawn from his key, so the
// history is the same each time.
func seedHistory(ctx context.Context, st *store.Store) ([]localchat.Person, error) {
	first := prescribe.DayOf(democlub.Start()) - historyDays
	loc, err := time.LoadLocation(democlub.Zone)
	if err != nil {
		return nil, err
	}
	morning := func(d prescribe.Day) time.Time { return schedule.At(d, 7*60+15, loc) }
	var people []localchat.Person
	err = st.Write(ctx, func(tx *store.Tx) error {
		now := prescribe.InstantOf(morning(first))
		squads, err := tx.Squads()
		if err != nil {
			return err
		}
		// The first team's pegs come first.
		slices.SortStableFunc(squads, func(a, b store.Squad) int { return cmp.Compare(youth(a), youth(b)) })
		known := map[int64]bool{}
		for _, sq := range squads {
			members, err := tx.Members(sq.ID, first)
			if err != nil {
				return err
			}
			for _, p := range members {
				shirt, _ := strconv.Atoi(strings.TrimLeft(p.Key, "UAua"))
				people = append(people, localchat.Person{
					ID: chatID(p.ID), FirstName: p.Name, LanguageCode: p.Language, Section: sq.Name, Shirt: shirt, Started: true,
					Note: "player, writes " + p.Language,
				})
				if err := joinDemo(tx, p, now); err != nil {
					return err
				}
			}
			for _, role := range []store.Role{store.RoleCoach, store.RoleMedical, store.RoleHeadCoach, store.RoleSafeguarding, store.RoleAdmin} {
				// Roles date from the import, which is the demo's first day.
				staff, err := tx.Staff(sq.ID, role, first+historyDays)
				if err != nil {
					return err
				}
				for _, p := range staff {
					if known[p.ID] {
						continue
					}
					known[p.ID] = true
					people = append(people, localchat.Person{
						ID: chatID(p.ID), FirstName: p.Name, LanguageCode: p.Language, Started: true, Staff: true,
						Note: strings.ReplaceAll(string(role), "_", " "),
					})
					if err := joinDemo(tx, p, now); err != nil {
						return err
					}
				}
			}
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("demo: joining: %w", err)
	}
	for d := first; d < first+historyDays; d++ {
		if err := st.Write(ctx, func(tx *store.Tx) error { return trainDay(tx, d, prescribe.InstantOf(morning(d))) }); err != nil {
			return nil, fmt.Errorf("demo: history of %s: %w", d, err)
		}
	}
	return people, settleHistory(ctx, st)
}

// settleHistory marks as done what would have fallen due before the demo
// begins: yesterday's digests are not news.
func settleHistory(ctx context.Context, st *store.Store) error {
	start := democlub.Start()
	var items []schedule.Item
	err := st.Read(ctx, func(tx *store.Tx) error {
		in, err := tx.DueInputs(prescribe.InstantOf(start))
		if err != nil {
			return err
		}
		items, err = schedule.Due(in, start)
		return err
	})
	if err != nil {
		return err
	}
	for _, it := range items {
		if _, err := st.Once(ctx, it.Key, prescribe.InstantOf(start), func(*store.Tx) error { return nil }); err != nil {
			return err
		}
	}
	return nil
}

func youth(s store.Squad) int {
	if s.Youth {
		return 1
	}
	return 0
}

func joinDemo(tx *store.Tx, p store.Person, now prescribe.Instant) error {
	code, err := tx.Invite(p.ID, 0, now, now+1)
	if err != nil {
		return err
	}
	if _, err := tx.Join(code, chatID(p.ID), chatID(p.ID), now); err != nil {
		return err
	}
	age, known, err := tx.Age(p.ID, prescribe.DayOf(now.Time()))
	if err != nil {
		return err
	}
	if known && age < 18 {
		if err := tx.GuardianConsent(p.ID, 0, now); err != nil {
			return err
		}
	}
	return tx.Consent(p.ID, bot.NoticeVersion, p.Language, now)
}

// trainDay issues and answers the cards of one day of the history.
func trainDay(tx *store.Tx, d prescribe.Day, now prescribe.Instant) error {
	squads, err := tx.Squads()
	if err != nil {
		return err
	}
	for _, sq := range squads {
		members, err := tx.Members(sq.ID, d)
		if err != nil {
			return err
		}
		for _, p := range members {
			if err := trainPlayer(tx, p, d, now); err != nil {
				return fmt.Errorf("player %s: %w", p.Key, err)
			}
		}
	}
	return nil
}

func trainPlayer(tx *store.Tx, p store.Person, d prescribe.Day, now prescribe.Instant) error {
	rng := rand.New(rand.NewPCG(seedOf(p.Key), uint64(d)))
	c, _, err := tx.IssueCard(p.ID, d, now)
	if err != nil {
		return err
	}
	if c.Card.Kind != prescribe.CardTrain && c.Card.Kind != prescribe.CardFinding {
		return nil
	}
	if err := tx.SetCardState(c.ID, store.CardSent); err != nil {
		return err
	}
	at := now + prescribe.Instant(4*time.Hour/time.Millisecond)
	source := fmt.Sprintf("card:%d", c.ID)
	session := prescribe.Session{Template: c.Card.Template}
	state := store.CardDone
	var events []prescribe.Event
	// Habits: most sessions are done as written; some are missed, with a reason
	// or without an answer.
	switch x := rng.Float64(); {
	case x < 0.04:
		session.Outcome, session.Reason, state = prescribe.NotDone, prescribe.AbsentTime, store.CardMissed
	case x < 0.07:
		session.Outcome, state = prescribe.NoAnswer, store.CardUnanswered
	default:
		session.Outcome, session.Minutes = prescribe.DoneAsWritten, c.Card.Minutes
		rpe := prescribe.Score(5 + rng.IntN(4))
		session.RPE = &rpe
		for i := range c.Card.Items {
			for _, s := range answerItem(c.Card.Items[i], p, rng) {
				events = append(events, prescribe.Event{At: at, Day: d, Key: fmt.Sprintf("%s/%d", source, len(events)), Set: &s})
				session.Sets++
			}
		}
	}
	events = append(events, prescribe.Event{At: at + 1, Day: d, Key: source + "/session", Session: &session})
	if _, err := tx.Record(p.ID, source, at, events...); err != nil {
		return err
	}
	return tx.SetCardState(c.ID, state)
}

// answerItem is what the invented player did at one exercise. His strength is
// the record's times a factor of his own with some noise of the day, so that
// repetitions in reserve, and with them the loads, move.
func answerItem(it prescribe.Item, p store.Person, rng *rand.Rand) []prescribe.Set {
	own := rand.New(rand.NewPCG(seedOf(p.Key+string(it.Exercise)), 1))
	factor := 1 + 0.05*own.NormFloat64() + 0.015*rng.NormFloat64()
	sides := []prescribe.Side{prescribe.Both}
	if it.PerSide {
		sides = []prescribe.Side{prescribe.Left, prescribe.Right}
	}
	var out []prescribe.Set
	for _, side := range sides {
		for n := range it.Sets {
			s := prescribe.Set{
				Exercise: it.Exercise, Side: side, Load: it.Load, Inertia: it.Inertia, Device: it.Device,
				Reps: it.Reps, Asked: it.Reps, Ordinal: n + 1, AsWritten: true,
			}
			if len(it.Cluster) > 0 {
				s.Unbroken = it.Cluster[0]
			}
			if it.Percent > 0 && n == 0 {
				can := repsAt(float64(it.Percent) / factor)
				left := prescribe.RIR(min(4, max(0, can-s.Reps)))
				s.RIR = &left
				if can < s.Reps {
					s.Reps, s.AsWritten = max(1, can), false
				}
			}
			out = append(out, s)
		}
	}
	return out
}

// repsAt is how many repetitions a percentage of the day's strength allows, by
// the handbook table.
func repsAt(percent float64) int {
	n := 1
	for r := 1; r <= 10; r++ {
		if f, ok := prescribe.Fraction(r); ok && float64(f) >= percent {
			n = r
		}
	}
	return n
}

func seedOf(s string) uint64 {
	h := fnv.New64a()
	h.Write([]byte(s))
	return h.Sum64()
}
