package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"pegcard/prescribe"
	"pegcard/store"
	"pegcard/store/report"
)

// dosed is a player's weeks as dose --json prints them.
type dosed struct {
	Squad   string             `json:"squad"`
	Player  string             `json:"player"`
	Name    string             `json:"name"`
	Weeks   []report.WeekDose  `json:"weeks"`
	Loads   []report.WeekLoad  `json:"loads"`
	Nordic  map[string]int     `json:"days_without_nordics"`
	Heavy   map[string]int     `json:"days_without_heavy"`
	Session map[string]int     `json:"sessions"`
	Moved   map[string]float64 `json:"kg_repetitions"`
}

func (a *app) doseCmd() *cobra.Command {
	var squad, by string
	var weeks int
	var asJSON bool
	c := &cobra.Command{
		Use:   "dose",
		Short: "Print each player's dose by method and week against the minimum, with what stood in the way",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if weeks < 1 || weeks > 52 {
				return fmt.Errorf("--weeks is %d; write a number from 1 to 52", weeks)
			}
			return a.with(cmd.Context(), func(tx *store.Tx, now prescribe.Instant) error {
				who, err := person(tx, by)
				if err != nil {
					return err
				}
				t, err := today(tx, who, now)
				if err != nil {
					return err
				}
				v, err := tx.Viewer(who.ID, t)
				if err != nil {
					return err
				}
				squads, err := tx.Squads()
				if err != nil {
					return err
				}
				var out []dosed
				for _, sq := range squads {
					if squad != "" && sq.Slug != squad {
						continue
					}
					p, err := report.PeriodOf(tx, v, sq.ID, t.Monday()-prescribe.Day(7*(weeks-1)), t.Monday()+6, t, prescribe.ForCoach)
					if errors.Is(err, store.ErrNotFound) {
						p, err = report.PeriodOf(tx, v, sq.ID, t.Monday()-prescribe.Day(7*(weeks-1)), t.Monday()+6, t, prescribe.ForMedical)
					}
					if errors.Is(err, store.ErrNotFound) {
						continue
					}
					if err != nil {
						return err
					}
					for _, x := range p.Players {
						out = append(out, dosed{sq.Slug, x.Key, x.Name, x.Weeks, x.Loads,
							map[string]int{"now": x.SinceNordic, "longest": x.LongestNordic}, map[string]int{"now": x.SinceHeavy, "longest": x.LongestHeavy},
							map[string]int{"done": x.Sessions.K, "prescribed": x.Sessions.N}, map[string]float64{"done": x.DoseDone, "prescribed": x.DosePlanned}})
					}
					if !asJSON {
						a.printDose(p)
					}
				}
				if asJSON {
					return a.printJSON(out)
				}
				if len(out) == 0 {
					return fmt.Errorf("%s looks after no such squad; --by takes the key of a strength coach or of medical staff, --squad a slug of club.toml", who.Name)
				}
				return nil
			})
		},
	}
	a.by(c, &by)
	c.Flags().StringVar(&squad, "squad", "", "slug of the squad (default: all squads)")
	c.Flags().IntVar(&weeks, "weeks", 4, "how many weeks, this one included")
	c.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	return c
}

func (a *app) printDose(p report.Period) {
	low, high := p.Sessions.Wilson()
	fmt.Fprintf(a.out, "%s, %s to %s\nsessions %d of %d (95 %% interval %.0f to %.0f %%)\n", p.Squad.Name, p.From, p.To, p.Sessions.K, p.Sessions.N, low, high)
	if p.HasDose {
		fmt.Fprintf(a.out, "kg x repetitions: ratio of sums %.0f %% (%.0f to %.0f), mean of ratios %.0f %% (%.0f to %.0f), %d players\n",
			p.Dose.OfSums, p.Dose.SumsLow, p.Dose.SumsHigh, p.Dose.Mean, p.Dose.MeanLow, p.Dose.MeanHigh, p.Dose.N)
	}
	for _, x := range p.Players {
		fmt.Fprintf(a.out, "%s %s: days without Nordics %d (longest %d), without heavy leg work %d (longest %d); -1 none on record\n", x.Key, x.Name, x.SinceNordic, x.LongestNordic, x.SinceHeavy, x.LongestHeavy)
		for i, w := range x.Weeks {
			line := "  " + w.Monday.String()
			var why []string
			for _, m := range w.Methods {
				line += fmt.Sprintf("  %s %d/%d", m.Method, m.Done, m.Due)
				if len(why) == 0 {
					for _, c := range m.Short {
						why = append(why, string(c))
					}
				}
			}
			line += fmt.Sprintf("  load %.0f", x.Loads[i].Sum)
			if x.Loads[i].OK {
				line += fmt.Sprintf(" monotony %.2f strain %.0f", x.Loads[i].Monotony, x.Loads[i].Strain)
			}
			if len(why) > 0 {
				line += "  short: " + strings.Join(why, ", ")
			}
			fmt.Fprintln(a.out, line)
		}
	}
	fmt.Fprintln(a.out)
}
