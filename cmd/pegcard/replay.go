package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
	"pegcard/store/clubfile"
	"pegcard/store/report"
)

func (a *app) replayCmd() *cobra.Command {
	var b block
	var rules, programme string
	var asJSON bool
	c := &cobra.Command{
		Use:   "replay",
		Short: "Go over past days again under other rules or another programme, and print what would have differed",
		Long:  "What players did stays as it was recorded; each day's card is worked out from what was known that morning,\nas it was and with the change. Nothing is written. Without --rules and --programme it checks that the cards\ncome out as they were issued.",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			_, sp, err := words()
			if err != nil {
				return err
			}
			change, err := readChange(rules, programme)
			if err != nil {
				return err
			}
			return a.reading(cmd.Context(), func(tx *store.Tx, now prescribe.Instant) error {
				x, err := b.choosePast(cmd, tx, now)
				if err != nil {
					return err
				}
				r, err := report.Replaying(tx, x.v, x.players, x.from, x.to, change)
				if err != nil {
					return err
				}
				if asJSON {
					return a.printJSON(r)
				}
				printReplay(a.out, sp, r)
				return nil
			})
		},
	}
	a.pastFlags(c, &b)
	c.Flags().StringVar(&rules, "rules", "", "rules.toml to try")
	c.Flags().StringVar(&programme, "programme", "", "programme.toml to try")
	c.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	return c
}

// readChange reads the files to try, as an import would.
func readChange(rules, programme string) (x report.Change, err error) {
	read := func(name string, parse func(r io.Reader) []*clubfile.Problem) error {
		if name == "" {
			return nil
		}
		f, err := os.Open(name)
		if err != nil {
			return err
		}
		defer f.Close()
		var errs []error
		for _, p := range parse(f) {
			errs = append(errs, p)
		}
		return errors.Join(errs...)
	}
	err = read(rules, func(r io.Reader) []*clubfile.Problem {
		d, ps := clubfile.ReadRules(r, rules)
		if d != nil {
			x.Rules = d.Values
		}
		return ps
	})
	if err != nil {
		return x, err
	}
	err = read(programme, func(r io.Reader) []*clubfile.Problem {
		d, ps := clubfile.ReadProgramme(r, programme)
		if d != nil {
			x.Programme = &d.Programme
		}
		return ps
	})
	return x, err
}

func printReplay(w io.Writer, sp *wording.Speaker, r report.Replay) {
	who := prescribe.ForCoach | prescribe.ForMedical
	why := func(list []prescribe.Reason) string {
		var out []string
		for _, s := range sp.Reasons(list, who) {
			out = append(out, telegram.StripHTML(s))
		}
		if len(out) == 0 {
			return ""
		}
		return "  (" + strings.Join(out, "; ") + ")"
	}
	for _, c := range r.Changed {
		fmt.Fprintf(w, "%s %s (%s)%s\n", c.Day, c.Name, c.Player, why(c.Why))
		if c.Kind[0] != c.Kind[1] || c.Template[0] != c.Template[1] {
			fmt.Fprintf(w, "    %s → %s\n", kindText(c.Kind[0], c.Template[0]), kindText(c.Kind[1], c.Template[1]))
		}
		if c.Approval[0] != c.Approval[1] {
			fmt.Fprintf(w, "    waits for approval: %t → %t\n", c.Approval[0], c.Approval[1])
		}
		for _, it := range c.Items {
			was, is := itemText(sp, it.Was), itemText(sp, it.Is)
			if was == is {
				was, is = was+restText(it.Was), restText(it.Is)
			}
			fmt.Fprintf(w, "    %s: %s → %s%s\n", it.Slot, was, is, why(it.Why))
		}
	}
	for _, x := range r.Alerts {
		verb := "would not have been told"
		if x.Told {
			verb = "would have been told"
		}
		fmt.Fprintf(w, "%s %s (%s): alert %s %s %s\n", x.Day, x.Name, x.Player, x.Notice.Kind, x.Notice.Region, verb)
	}
	if len(r.Changed)+len(r.Alerts) > 0 {
		fmt.Fprintln(w)
	}
	fmt.Fprintf(w, "%s to %s: %d cards gone over, %d of them came out as issued without the change; %d differ with it, %d alerts differ\n",
		r.From, r.To, r.Cards, r.Issued, len(r.Changed), len(r.Alerts))
	fmt.Fprintf(w, "loads: %d compared, %d lighter, %d heavier, mean change %+.1f %%; sessions withheld: %d → %d\n",
		r.Loads, r.Lighter, r.Heavier, r.Percent, r.Withheld[0], r.Withheld[1])
	for _, d := range r.Dose {
		if d.Sets[0] == d.Sets[1] && d.Heavy[0] == d.Heavy[1] && d.Work[0] == d.Work[1] {
			continue
		}
		fmt.Fprintf(w, "week of %s, %s: sets %d → %d, heavy %d → %d, work %.0f → %.0f kg\n",
			d.Week, d.Method, d.Sets[0], d.Sets[1], d.Heavy[0], d.Heavy[1], d.Work[0], d.Work[1])
	}
}

func kindText(k prescribe.CardKind, template string) string {
	if template == "" {
		return string(k)
	}
	return string(k) + " " + template
}

func itemText(sp *wording.Speaker, it *prescribe.Item) string {
	if it == nil {
		return "nothing"
	}
	s := fmt.Sprintf("%s %d × %d", it.Exercise, it.Sets, it.Reps)
	if load := sp.Load(*it); load != "" {
		s += ", " + telegram.StripHTML(load)
	}
	if it.RIR != nil {
		s += fmt.Sprintf(", leave %d", *it.RIR)
	}
	return s
}

// restText is what itemText leaves out.
func restText(it *prescribe.Item) string {
	parts := []string{fmt.Sprintf("; rest %d s", it.Rest)}
	if len(it.Cluster) > 0 {
		parts = append(parts, fmt.Sprintf("in %v", it.Cluster))
	}
	for _, w := range it.Warmup {
		parts = append(parts, fmt.Sprintf("warm-up %d × %g kg", w.Reps, float64(w.Load)))
	}
	return strings.Join(parts, ", ")
}
