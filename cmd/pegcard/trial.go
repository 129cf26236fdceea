package main

import (
	"fmt"
	"math/rand/v2"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"pegcard/prescribe/trial"
)

// variantReport is one run of the trial as --json prints it.
type variantReport struct {
	Variant string       `json:"variant"`
	Report  trial.Report `json:"report"`
}

func (a *app) trialCmd() *cobra.Command {
	var seasons, workers int
	var seed uint64
	var asJSON, sensitivity, parameters bool
	c := &cobra.Command{
		Use:   "trial",
		Short: "Run the engine and the usual ways to set a load on virtual players, and compare",
		Long: "Run the engine and the usual ways to set a load on virtual players with the same seeds,\n" +
			"and compare them. No club's data are used. Where each number of the players comes from:\n" +
			"pegcard trial --parameters. The long run: pegcard trial --seasons 10000.",
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			model := trial.DefaultModel()
			if parameters {
				return a.trialParameters(model, asJSON)
			}
			variants := []trial.Variant{{Name: "as described"}}
			if sensitivity {
				variants = append(variants, trial.Variants()...)
			}
			var out []variantReport
			for i, v := range variants {
				m, err := model.Times(2, v.IDs...)
				if err != nil {
					return err
				}
				rep, err := trial.Run(cmd.Context(), trial.Options{Seasons: seasons, Workers: workers, Model: m, Source: rand.NewPCG(seed, 0)})
				if err != nil {
					return err
				}
				if asJSON {
					out = append(out, variantReport{v.Name, rep})
					continue
				}
				if i > 0 {
					fmt.Fprintln(a.out)
				}
				if len(variants) > 1 {
					fmt.Fprintf(a.out, "== %s\n", v.Name)
				}
				if err := rep.WriteTable(a.out); err != nil {
					return err
				}
			}
			if asJSON {
				return a.printJSON(out)
			}
			return nil
		},
	}
	c.Flags().IntVar(&seasons, "seasons", 200, "player-seasons")
	c.Flags().Uint64Var(&seed, "seed", 1, "seed; the same seed gives the same table")
	c.Flags().IntVar(&workers, "workers", 0, "how many at a time (default: one a processor)")
	c.Flags().BoolVar(&sensitivity, "sensitivity", false, "also with the spread of the curves, the bias of reports and the noise doubled")
	c.Flags().BoolVar(&parameters, "parameters", false, "print the numbers behind the virtual players and their sources")
	c.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	return c
}

func (a *app) trialParameters(m trial.Model, asJSON bool) error {
	if asJSON {
		return a.printJSON(m.Parameters())
	}
	w := tabwriter.NewWriter(a.out, 0, 4, 2, ' ', 0)
	for _, p := range m.Parameters() {
		fmt.Fprintf(w, "%s\t%v\t%s\t%s\t%s\n", p.ID, p.Value, p.Unit, p.Source, p.Note)
	}
	return w.Flush()
}
