package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
)

// planned is a card with whose it is, as plan --json prints it.
type planned struct {
	Player string         `json:"player"`
	Name   string         `json:"name"`
	Card   prescribe.Card `json:"card"`
}

func (a *app) planCmd() *cobra.Command {
	var squad, player, day string
	var asJSON bool
	c := &cobra.Command{
		Use:   "plan",
		Short: "Print the cards of a squad or a player, worked out now; nothing is stored or sent",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			_, sp, err := words()
			if err != nil {
				return err
			}
			return a.with(cmd.Context(), func(tx *store.Tx, now prescribe.Instant) error {
				list, err := planWhom(tx, squad, player, now)
				if err != nil {
					return err
				}
				var out []planned
				for _, p := range list {
					t, err := today(tx, p, now)
					if err != nil {
						return err
					}
					d, err := dayFlag(day, t)
					if err != nil {
						return err
					}
					card, err := tx.Plan(p.ID, d)
					if err != nil {
						return fmt.Errorf("player %s: %w", p.Key, err)
					}
					out = append(out, planned{p.Key, p.Name, card})
				}
				if asJSON {
					return a.printJSON(out)
				}
				for i, p := range out {
					if i > 0 {
						fmt.Fprintln(a.out)
					}
					fmt.Fprintf(a.out, "== %s %s\n%s\n", p.Player, p.Name, sp.CardPlain(p.Card, wording.View{Audience: prescribe.ForCoach, Name: p.Name}))
				}
				return nil
			})
		},
	}
	c.Flags().StringVar(&squad, "squad", "", "slug of the squad (default: all squads)")
	c.Flags().StringVar(&player, "player", "", "key of one player")
	c.Flags().StringVar(&day, "day", "", "today, tomorrow or year-month-day (default: today where the player is)")
	c.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	return c
}

func planWhom(tx *store.Tx, squad, player string, now prescribe.Instant) ([]store.Person, error) {
	if player != "" {
		p, err := person(tx, player)
		return []store.Person{p}, err
	}
	squads, err := tx.Squads()
	if err != nil {
		return nil, err
	}
	if squad != "" {
		sq, err := tx.SquadBySlug(squad)
		if err != nil {
			return nil, fmt.Errorf("there is no squad %q; squads stand in club.toml: %w", squad, err)
		}
		squads = []store.Squad{sq}
	}
	var out []store.Person
	for _, sq := range squads {
		ps, err := tx.Members(sq.ID, prescribe.DayOf(now.Time()))
		if err != nil {
			return nil, err
		}
		out = append(out, ps...)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("there are no players; import the club's files first")
	}
	return out, nil
}

func (a *app) whyCmd() *cobra.Command {
	var day string
	c := &cobra.Command{
		Use:   "why PLAYER [EXERCISE]",
		Short: "Print how each number of a player's card came about, from the record to the rounded load, with sources",
		Args:  cobra.RangeArgs(1, 2),
		RunE: func(cmd *cobra.Command, args []string) error {
			_, sp, err := words()
			if err != nil {
				return err
			}
			return a.with(cmd.Context(), func(tx *store.Tx, now prescribe.Instant) error {
				p, err := person(tx, args[0])
				if err != nil {
					return err
				}
				t, err := today(tx, p, now)
				if err != nil {
					return err
				}
				d, err := dayFlag(day, t)
				if err != nil {
					return err
				}
				card, stored, err := cardOf(tx, p, d)
				if err != nil {
					return err
				}
				fmt.Fprintf(a.out, "%s, %s (%s; engine %s, rules %s)\n", p.Name, d, stored, card.Engine, card.RulesHash)
				for _, line := range sp.Reasons(card.Reasons, prescribe.ForCoach) {
					fmt.Fprintln(a.out, "- "+telegram.StripHTML(line))
				}
				found := false
				for i, it := range card.Items {
					if len(args) == 2 && string(it.Exercise) != args[1] {
						continue
					}
					found = true
					fmt.Fprintf(a.out, "\n%s\n", sp.WhyPlain(card, i, prescribe.ForCoach))
				}
				if len(args) == 2 && !found {
					return fmt.Errorf("the card of %s has no exercise %q", d, args[1])
				}
				return nil
			})
		},
	}
	c.Flags().StringVar(&day, "day", "", "today, tomorrow or year-month-day")
	return c
}

// cardOf is the stored card with its stored derivation, or, where none was
// issued, the one worked out now.
func cardOf(tx *store.Tx, p store.Person, d prescribe.Day) (prescribe.Card, string, error) {
	rev, ok, err := tx.Card(p.ID, d)
	if err != nil {
		return prescribe.Card{}, "", err
	}
	if ok {
		return rev.Card, fmt.Sprintf("stored, revision %d", rev.Rev), nil
	}
	c, err := tx.Plan(p.ID, d)
	return c, "worked out now, not issued", err
}

func (a *app) rulesCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "rules",
		Short: "Print every threshold with its unit, range and source",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			books := prescribe.Bibliography()
			for _, r := range prescribe.RuleTable() {
				source := map[string]string{"prac": "common practice, no source", "ours": "our choice, no source"}[r.Mark]
				if r.Source != "" {
					source = books[r.Source]
					if r.Mark == "mem" {
						source += " (value from memory)"
					}
				}
				fmt.Fprintf(a.out, "%-34s %g %s  (%g to %g)\n    %s\n", r.ID, r.Value, r.Unit, r.Min, r.Max, source)
				if r.Note != "" {
					fmt.Fprintf(a.out, "    %s\n", r.Note)
				}
			}
			return nil
		},
	}
}
