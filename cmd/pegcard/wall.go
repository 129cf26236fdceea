package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"pegcard/bot"
	"pegcard/prescribe"
	"pegcard/store"
)

func (a *app) wallCmd() *cobra.Command {
	var b block
	c := &cobra.Command{
		Use:   "wall FILE.html",
		Short: "Write cards to be printed and hung up where phones are not allowed, one sheet a player, in their language",
		Long:  "Writes a page that a browser prints, one sheet a card, with boxes for what was done. A wall is read by\neverybody: reasons are not on it. Cards that wait for approval, that are held, or that are done are left out.",
		Args:  cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			words, _, err := words()
			if err != nil {
				return err
			}
			var cards []bot.WallCard
			var waiting []string
			title := ""
			if err := a.reading(cmd.Context(), func(tx *store.Tx, now prescribe.Instant) error {
				x, err := b.choose(tx, now, store.RoleCoach, store.RoleMedical)
				if err != nil {
					return err
				}
				club, err := tx.Club()
				if err != nil {
					return err
				}
				title = fmt.Sprintf("%s, %s", club.Name, x.from)
				for day := x.from; day <= x.to; day++ {
					for _, p := range x.players {
						card, ready, err := wallCard(tx, x.v, p, day)
						if err != nil {
							return fmt.Errorf("player %s: %w", p.Key, err)
						}
						switch {
						case len(card.Items) == 0:
						case !ready:
							waiting = append(waiting, fmt.Sprintf("%s (%s)", p.Name, day))
						default:
							cards = append(cards, bot.WallCard{Name: p.Name, Language: p.Language, Card: card})
						}
					}
				}
				return nil
			}); err != nil {
				return err
			}
			if len(waiting) > 0 {
				fmt.Fprintf(a.out, "left out, waiting for approval: %s\n", strings.Join(waiting, ", "))
			}
			if len(cards) == 0 {
				return errors.New("there is no card to be printed for these days")
			}
			if err := writeNew(args[0], func(w io.Writer) error { return bot.WriteWall(w, words, title, cards) }); err != nil {
				return err
			}
			fmt.Fprintf(a.out, "written: %s, %d sheets\n", args[0], len(cards))
			return nil
		},
	}
	a.blockFlags(c, &b)
	return c
}

// wallCard is the card as it would go out now, whatever was sent before: a stop
// of a moment ago counts. Without items there is none to print; not ready is one
// that staff have to approve first.
func wallCard(tx *store.Tx, v store.Viewer, p store.Person, day prescribe.Day) (card prescribe.Card, ready bool, err error) {
	if _, err := tx.Sees(v, p.ID, day); err != nil {
		return card, false, err
	}
	if card, err = tx.Plan(p.ID, day); err != nil || card.Kind == prescribe.CardWithheld {
		return prescribe.Card{}, false, err
	}
	if !card.Approval {
		return card, true, nil
	}
	rev, ok, err := tx.Card(p.ID, day)
	if err != nil || !ok || rev.Approved != rev.Rev {
		return card, false, err
	}
	approved, err := json.Marshal(rev.Card)
	if err != nil {
		return card, false, err
	}
	now, err := json.Marshal(card)
	return card, bytes.Equal(approved, now), err
}
