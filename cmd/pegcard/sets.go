package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"pegcard/prescribe"
	"pegcard/store"
	"pegcard/store/report"
)

func (a *app) setsCmd() *cobra.Command {
	var b block
	var names bool
	c := &cobra.Command{
		Use:   "sets DIR",
		Short: "Write every set asked for and done as a table for R or Python, with its data dictionary",
		Long:  "Writes DIR/sets.csv, one row a set, and DIR/dictionary.csv, which says what each column holds.\nPlayers are pseudonyms unless --names is given. Pseudonyms are not anonymity: dates, matches and loads\ncan give a player away, so the files are to be kept as carefully as the database.",
		Args:  cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			var rows []report.SetRow
			if err := a.with(cmd.Context(), func(tx *store.Tx, now prescribe.Instant) error {
				x, err := b.choosePast(cmd, tx, now)
				if err != nil {
					return err
				}
				rows, err = report.Sets(tx, x.v, x.players, x.from, x.to, names, now)
				return err
			}); err != nil {
				return err
			}
			if err := os.MkdirAll(args[0], 0o700); err != nil {
				return err
			}
			sets, dictionary := filepath.Join(args[0], "sets.csv"), filepath.Join(args[0], "dictionary.csv")
			if err := writeNew(sets, func(w io.Writer) error { return report.WriteCSV(w, rows) }); err != nil {
				return err
			}
			if err := writeNew(dictionary, func(w io.Writer) error { return report.WriteCSV(w, report.SetColumns()) }); err != nil {
				return err
			}
			fmt.Fprintf(a.out, "written: %s, %d rows; %s\n", sets, len(rows), dictionary)
			return nil
		},
	}
	a.pastFlags(c, &b)
	c.Flags().BoolVar(&names, "names", false, "with the club's keys and the players' names")
	return c
}
