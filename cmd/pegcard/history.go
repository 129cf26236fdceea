package main

import (
	"cmp"
	"context"
	"errors"
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
// an invented player whose strength and habits come from his tests, his body
// mass and his key, so the history is the same each time.
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
				staff, err := tx.Staff(sq.ID, role, first)
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
	tested := tested{}
	im, err := readDemo()
	if err != nil {
		return nil, err
	}
	for d := first; d < first+historyDays; d++ {
		// The minutes of a match are entered the morning after.
		played := slices.DeleteFunc(slices.Clone(im.Minutes), func(m store.MinutesRow) bool { return m.Day != d-1 || m.Day < first })
		if err := importInto(ctx, st, store.Import{Minutes: played}, prescribe.InstantOf(morning(d))); err != nil {
			return nil, fmt.Errorf("demo: minutes of %s: %w", d-1, err)
		}
		if err := st.Write(ctx, func(tx *store.Tx) error { return tested.trainDay(tx, d, prescribe.InstantOf(morning(d))) }); err != nil {
			return nil, fmt.Errorf("demo: history of %s: %w", d, err)
		}
	}
	return people, settleHistory(ctx, st)
}

// settleHistory marks as done what would have fallen due before the demo
// begins: yesterday's digests are not news, and the cards of its days stand.
func settleHistory(ctx context.Context, st *store.Store) error {
	start := democlub.Start()
	if err := st.Write(ctx, func(tx *store.Tx) error {
		days, err := tx.Replans()
		for _, d := range days {
			err = errors.Join(err, tx.DropReplan(d))
		}
		return err
	}); err != nil {
		return err
	}
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

// tested are the players' tests, by time, read once.
type tested map[int64][]prescribe.Event

// trainDay issues and answers the cards of one day of the history.
func (t tested) trainDay(tx *store.Tx, d prescribe.Day, now prescribe.Instant) error {
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
			if err := t.trainPlayer(tx, p, d, now); err != nil {
				return fmt.Errorf("player %s: %w", p.Key, err)
			}
		}
	}
	return nil
}

func (known tested) trainPlayer(tx *store.Tx, p store.Person, d prescribe.Day, now prescribe.Instant) error {
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
		t, err := known.trainee(tx, p, c.Card)
		if err != nil {
			return err
		}
		for _, it := range c.Card.Items {
			for _, s := range t.answerItem(it, rng) {
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

// trainee is an invented player as he really is. The engine knows only what he
// was tested at and what he answers.
type trainee struct {
	key   string
	mass  prescribe.Kg
	tests []prescribe.Event // by time
	gear  prescribe.Equipment
}

func (known tested) trainee(tx *store.Tx, p store.Person, c prescribe.Card) (trainee, error) {
	in, err := tx.Inputs(p.ID, c.Day)
	if err != nil {
		return trainee{}, err
	}
	tests, ok := known[p.ID]
	if !ok {
		events, err := tx.Events(p.ID, 0, c.Day+historyDays)
		if err != nil {
			return trainee{}, err
		}
		for _, e := range events {
			if e.Set != nil && e.Set.Test {
				tests = append(tests, e)
			}
		}
		known[p.ID] = tests
	}
	t := trainee{key: p.Key, mass: in.State.Profile.BodyMass, gear: in.Calendar.Settings[c.Setting].Equipment}
	for _, e := range tests {
		if e.Day <= c.Day {
			t.tests = append(t.tests, e)
		}
	}
	return t, nil
}

// once is what he can lift once on an ordinary day, body included where it
// counts: by his latest test or, without one, by his body mass.
func (t trainee) once(ex prescribe.Exercise, side prescribe.Side) prescribe.Kg {
	own := rand.New(rand.NewPCG(seedOf(t.key+string(ex.ID)), 1))
	for i := len(t.tests) - 1; i >= 0; i-- {
		set := t.tests[i].Set
		if set.Exercise != ex.ID || set.Side != side && set.Side != prescribe.Both {
			continue
		}
		reps := set.Reps
		if set.RIR != nil {
			reps += int(*set.RIR)
		}
		if f, ok := prescribe.Fraction(reps); ok {
			total := set.Load + prescribe.Kg(ex.BodyFraction)*t.mass
			return total * 100 / prescribe.Kg(f) * prescribe.Kg(1.01+0.01*own.NormFloat64())
		}
	}
	return t.mass * prescribe.Kg(untested(ex)*(1+0.07*own.NormFloat64()))
}

// untested is a share of body mass that a fit player lifts once, in each hand
// with dumbbells, body included where it counts. They are made up for the demo.
func untested(ex prescribe.Exercise) float64 {
	switch ex.ID {
	case "leg_press":
		return 2.4
	case "overhead_press":
		return 0.6
	case "dumbbell_overhead_press":
		return 0.25
	}
	shares := map[prescribe.Pattern][3]float64{ // bar, a dumbbell, body
		prescribe.Squat:     {1.5, 0.45, 2.0},
		prescribe.Hinge:     {1.3, 0.45, 1.5},
		prescribe.SingleLeg: {0.75, 0.35, 1.3},
		prescribe.Push:      {0.95, 0.38, 1.1},
		prescribe.Pull:      {0.9, 0.42, 1.35},
	}
	list, ok := shares[ex.Pattern]
	if !ok {
		list = [3]float64{0.8, 0.3, 1.2}
	}
	switch ex.LoadKind {
	case prescribe.LoadBar:
		return list[0]
	case prescribe.LoadDumbbells:
		return list[1]
	}
	return list[2]
}

// answerItem is what he did at one exercise. His strength moves a little from
// day to day, so that repetitions in reserve, and with them the loads, move.
func (t trainee) answerItem(it prescribe.Item, rng *rand.Rand) []prescribe.Set {
	ex, ok := prescribe.Lookup(it.Exercise)
	if !ok {
		return nil
	}
	sides := []prescribe.Side{prescribe.Both}
	if it.PerSide {
		sides = []prescribe.Side{prescribe.Left, prescribe.Right}
	}
	noise := prescribe.Kg(1 + 0.015*rng.NormFloat64())
	body := prescribe.Kg(ex.BodyFraction) * t.mass
	load := it.Load
	free := it.Finding || load == 0 && (it.LoadKind == prescribe.LoadBar || it.LoadKind == prescribe.LoadDumbbells)
	if free && it.RIR != nil {
		// No load on the card: he works up to one that leaves what is asked for, on
		// the weaker side.
		least := t.once(ex, sides[0])
		for _, side := range sides {
			least = min(least, t.once(ex, side))
		}
		load = t.found(least, it.Reps+int(*it.RIR), ex, body)
	}
	var out []prescribe.Set
	for _, side := range sides {
		for n := range it.Sets {
			s := prescribe.Set{
				Exercise: it.Exercise, Side: side, Load: load, Inertia: it.Inertia, Device: it.Device,
				Reps: it.Reps, Asked: it.Reps, Ordinal: n + 1, AsWritten: !free, Scheme: it.Scheme, Intended: it.Intended,
			}
			if len(it.Cluster) > 0 {
				s.Unbroken = it.Cluster[0]
			}
			switch {
			case n > 0:
			case free:
				s.RIR = it.RIR
			case it.Percent > 0 && it.EccLoad == 0:
				can := repsAt(100 * float64((load+body)/(t.once(ex, side)*noise)))
				left := prescribe.RIR(min(4, max(0, can-s.Reps)))
				s.RIR = &left
				if can < s.Reps && len(it.Cluster) == 0 {
					s.Reps, s.AsWritten = max(1, can), false
				}
			}
			out = append(out, s)
		}
	}
	return out
}

// found is the load that can be built and leaves so many repetitions to failure
// in all.
func (t trainee) found(once prescribe.Kg, reps int, ex prescribe.Exercise, body prescribe.Kg) prescribe.Kg {
	f, ok := prescribe.Fraction(min(reps, prescribe.TableReps))
	if !ok {
		return 0
	}
	built, ok := prescribe.Build(once*prescribe.Kg(f)/100-body, ex, t.gear)
	if !ok {
		built, _ = prescribe.NextUp(0, ex, t.gear)
	}
	return built.Load
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
