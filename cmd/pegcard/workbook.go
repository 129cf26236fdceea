package main

import (
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"

	"pegcard/bot/telegram"
	"pegcard/prescribe"
	"pegcard/store"
	"pegcard/store/report"
)

// block is which cards a command shows, and to whom.
type block struct {
	squad, player, day, by string
	days, most             int
}

// The most days that one command works out, of days to come and of the past.
const (
	longestBlock = 42
	longestPast  = 400
)

// blockFlags are for a day or a block of days.
func (a *app) blockFlags(c *cobra.Command, b *block) {
	a.whoseFlags(c, b)
	b.most = longestBlock
	c.Flags().StringVar(&b.day, "day", "", "first day: today, tomorrow or year-month-day (default: today)")
	c.Flags().IntVar(&b.days, "days", 1, fmt.Sprintf("how many days, at most %d; days to come are worked out from what is known now", b.most))
}

// pastFlags are for days that are over.
func (a *app) pastFlags(c *cobra.Command, b *block) {
	a.whoseFlags(c, b)
	b.most = longestPast
	c.Flags().StringVar(&b.day, "day", "", "first day, year-month-day (default: so many days back that the last one is yesterday)")
	c.Flags().IntVar(&b.days, "days", 28, fmt.Sprintf("how many days, at most %d", b.most))
}

func (a *app) whoseFlags(c *cobra.Command, b *block) {
	a.by(c, &b.by)
	c.Flags().StringVar(&b.squad, "squad", "", "slug of the squad (default: all squads)")
	c.Flags().StringVar(&b.player, "player", "", "key of one player")
}

// chosen is what a block comes to.
type chosen struct {
	players  []store.Person
	who      store.Person
	v        store.Viewer
	from, to prescribe.Day
}

// choose reads the flags. Every player must be one that the member of staff may
// see as a coach or as medical staff; without --squad or --player it is all of
// those.
func (b block) choose(tx *store.Tx, now prescribe.Instant, roles ...store.Role) (x chosen, err error) {
	if b.days < 1 || b.days > b.most {
		return x, fmt.Errorf("--days is %d; write a number from 1 to %d", b.days, b.most)
	}
	if x.who, err = person(tx, b.by); err != nil {
		return x, err
	}
	t, err := today(tx, x.who, now)
	if err != nil {
		return x, err
	}
	if x.from, err = dayFlag(b.day, t); err != nil {
		return x, err
	}
	x.to = x.from + prescribe.Day(b.days) - 1
	if x.v, err = tx.Viewer(x.who.ID, t); err != nil {
		return x, err
	}
	list, err := planWhom(tx, b.squad, b.player, now)
	if err != nil {
		return x, err
	}
	for _, p := range list {
		if _, _, err := actor(tx, b.by, p, t, roles...); err != nil {
			if b.squad != "" || b.player != "" {
				return x, err
			}
			continue
		}
		x.players = append(x.players, p)
	}
	if len(x.players) == 0 {
		return x, fmt.Errorf("%s looks after no players in this way; --by takes the key of a strength coach or of medical staff", x.who.Name)
	}
	return x, nil
}

// choosePast is choose for coaches and medical staff, of pastFlags.
func (b block) choosePast(c *cobra.Command, tx *store.Tx, now prescribe.Instant) (chosen, error) {
	x, err := b.choose(tx, now, store.RoleCoach, store.RoleMedical)
	if err == nil && !c.Flags().Changed("day") {
		x.from, x.to = x.from-prescribe.Day(b.days), x.from-1
	}
	return x, err
}

func (a *app) workbookCmd() *cobra.Command {
	var b block
	c := &cobra.Command{
		Use:   "workbook FILE.xlsx",
		Short: "Write cards as a workbook whose loads are formulas, from the record to the plates",
		Long:  "Writes the cards of a day or a block into a workbook. Every load is a formula over the record, the table,\nthe rules and the plates of the place, with the sets behind the record beside it, so that it can be checked\nand other numbers can be tried. Nothing that is changed in the workbook comes back.",
		Args:  cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			_, sp, err := words()
			if err != nil {
				return err
			}
			var book report.Book
			if err := a.with(cmd.Context(), func(tx *store.Tx, now prescribe.Instant) error {
				x, err := b.choose(tx, now, store.RoleCoach, store.RoleMedical)
				if err != nil {
					return err
				}
				if book, err = report.Workbook(tx, x.v, x.players, x.from, x.to, now); err != nil {
					return err
				}
				club, err := tx.Club()
				if err != nil {
					return err
				}
				book.Title = fmt.Sprintf("%s, %s", club.Name, x.from)
				if x.to != x.from {
					book.Title += " to " + x.to.String()
				}
				return nil
			}); err != nil {
				return err
			}
			book.Words = func(rs []prescribe.Reason) (out []string) {
				for _, s := range sp.Reasons(rs, prescribe.ForCoach|prescribe.ForMedical) {
					out = append(out, telegram.StripHTML(s))
				}
				return out
			}
			if len(book.Cards) == 0 {
				return fmt.Errorf("there is no session on these days; try --days 7")
			}
			if err := writeNew(args[0], book.Write); err != nil {
				return err
			}
			fmt.Fprintf(a.out, "written: %s, %d cards\n", args[0], len(book.Cards))
			return nil
		},
	}
	a.blockFlags(c, &b)
	return c
}

// writeNew writes a file that was not there before, readable by its owner
// only: it holds what players did.
func writeNew(name string, write func(w io.Writer) error) (err error) {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if errors.Is(err, os.ErrExist) {
		return fmt.Errorf("%s exists; name a new file", name)
	}
	if err != nil {
		return err
	}
	defer func() {
		if err = errors.Join(err, f.Close()); err != nil {
			err = errors.Join(err, os.Remove(name))
		}
	}()
	return write(f)
}
