package main

import (
	"context"

	"pegcard/bot/localchat"
	"pegcard/cmd/pegcard/democlub"
	"pegcard/prescribe"
	"pegcard/store"
)

// The players of the guided strip, by key.
const (
	demoLifter = "1"
	demoSore   = "3"
	demoHurt   = "11"
)

// scenes is the guided strip of the demo page: a morning, a session, soreness,
// pain, the alert, the evening, and the next card.
func scenes(ctx context.Context, st *store.Store, people []localchat.Person) []localchat.Scene {
	day := prescribe.DayOf(democlub.Start())
	check := func(fn func(tx *store.Tx) (bool, error)) func() bool {
		return func() bool {
			done := false
			err := st.Read(ctx, func(tx *store.Tx) (err error) {
				done, err = fn(tx)
				return err
			})
			return err == nil && done
		}
	}
	cardState := func(key string, from prescribe.Day, states ...store.CardState) func() bool {
		return check(func(tx *store.Tx) (bool, error) {
			p, err := tx.PersonByKey(key)
			if err != nil {
				return false, err
			}
			cards, err := tx.Cards(p.ID, from, from+7)
			if err != nil {
				return false, err
			}
			for _, c := range cards {
				for _, s := range states {
					if c.State == s {
						return true, nil
					}
				}
			}
			return false, nil
		})
	}
	happened := func(key string, is func(prescribe.Event) bool) func() bool {
		return check(func(tx *store.Tx) (bool, error) {
			p, err := tx.PersonByKey(key)
			if err != nil {
				return false, err
			}
			events, err := tx.Events(p.ID, day, day+7)
			for _, e := range events {
				if is(e) {
					return true, nil
				}
			}
			return false, err
		})
	}
	staff := func(role store.Role) int64 {
		var id int64
		check(func(tx *store.Tx) (bool, error) {
			squads, err := tx.Squads()
			if err != nil {
				return false, err
			}
			for _, sq := range squads {
				ps, err := tx.Staff(sq.ID, role, day)
				if err != nil {
					return false, err
				}
				if len(ps) > 0 {
					id = chatID(ps[0].ID)
					return true, nil
				}
			}
			return false, nil
		})()
		return id
	}
	player := func(key string) (id int64) {
		check(func(tx *store.Tx) (bool, error) {
			p, err := tx.PersonByKey(key)
			id = chatID(p.ID)
			return true, err
		})()
		return id
	}
	acknowledged := check(func(tx *store.Tx) (bool, error) {
		p, err := tx.PersonByKey(demoHurt)
		if err != nil {
			return false, err
		}
		alerts, err := tx.AlertsOf(p.ID)
		for _, a := range alerts {
			if a.Kind == prescribe.NoticePain && a.State != store.AlertOpen {
				return true, nil
			}
		}
		return false, err
	})
	digested := check(func(tx *store.Tx) (bool, error) {
		sq, err := tx.SquadBySlug("first")
		if err != nil {
			return false, err
		}
		_, id, err := tx.MessageOf("digest", sq.ID)
		return id != 0, err
	})
	return []localchat.Scene{
		{Title: "Morning", Text: "It is 7:20. Move the clock to the next event: every player gets a card of their own.", Move: "next",
			Done: cardState(demoLifter, day, store.CardSent, store.CardDone, store.CardChanged, store.CardStarted)},
		{Title: "Three taps", Text: "You are number 1. Read the card, then tap “Done as written” and answer the two questions.", Person: player(demoLifter),
			Done: cardState(demoLifter, day, store.CardDone, store.CardChanged)},
		{Title: "Sore", Text: "You are number 3 and your hamstring is sore. Send the words below: today's card changes at once and says why.", Person: player(demoSore), Say: "hamstring 6",
			Done: happened(demoSore, func(e prescribe.Event) bool { return e.Soreness != nil })},
		{Title: "Pain", Text: "You are number 11 and your knee hurts. Send the words below and answer the questions.", Person: player(demoHurt), Say: "knee pain 6",
			Done: happened(demoHurt, func(e prescribe.Event) bool { return e.Pain != nil })},
		{Title: "Medical alert", Text: "You are the club doctor. The alert is here already. Tap the button that says you take care. Then look into the strength coach's chat: no medical detail.", Person: staff(store.RoleMedical),
			Done: acknowledged},
		{Title: "Evening", Text: "Move the clock to the evening. What nobody answered stays open until tomorrow's cards.", Move: "evening",
			Done: digested},
		{Title: "Digest", Text: "Read the day as the strength coach, then as the head coach: the same day, without medical detail.", Person: staff(store.RoleCoach)},
		{Title: "Next card", Text: "Move on two days and read number 1: the next card says what changed and why.", Move: "+2d", Person: player(demoLifter),
			Done: cardState(demoLifter, day+1, store.CardSent, store.CardDone, store.CardChanged, store.CardStarted, store.CardUnanswered)},
	}
}
