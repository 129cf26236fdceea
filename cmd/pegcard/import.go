package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"pegcard/prescribe"
	"pegcard/store"
	"pegcard/store/clubfile"
)

func (a *app) importCmd() *cobra.Command {
	var dry bool
	c := &cobra.Command{
		Use:   "import DIR",
		Short: "Read a club's files into the data directory",
		Long:  "Reads " + strings.Join(clubfile.Files(), ", ") + ", whichever DIR holds, in one transaction.\nA file with a mistake changes nothing; every mistake is named with its line and what to write.",
		Args:  cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			if info, err := os.Stat(args[0]); err != nil || !info.IsDir() {
				return fmt.Errorf("%s is not a folder; name the folder that holds club.toml, players.csv and the others", args[0])
			}
			st, err := a.open(cmd.Context(), true)
			if err != nil {
				return err
			}
			defer func() { err = errors.Join(err, st.Close()) }()
			o, now, err := a.importOptions(cmd.Context(), st)
			if err != nil {
				return err
			}
			im, problems := clubfile.ReadDir(args[0], o)
			if len(problems) > 0 {
				return a.problems(problems)
			}
			res, err := st.Import(cmd.Context(), im, now, dry)
			if err != nil {
				return err
			}
			if len(res.Problems) > 0 {
				return a.problems(res.Problems)
			}
			printChanges(a.out, res, dry)
			return nil
		},
	}
	c.Flags().BoolVar(&dry, "dry-run", false, "print what would change, and change nothing")
	return c
}

// importOptions are what the club has already, for files that refer to it.
func (a *app) importOptions(ctx context.Context, st *store.Store) (o clubfile.Options, now prescribe.Instant, err error) {
	err = st.Read(ctx, func(tx *store.Tx) error {
		t, err := a.civil(tx)
		if err != nil {
			return err
		}
		now = prescribe.InstantOf(t)
		o, err = clubOptions(tx, t.UTC())
		return err
	})
	return o, now, err
}

func (a *app) problems(ps []*store.Problem) error {
	for _, p := range ps {
		fmt.Fprintln(a.err, p.Error())
	}
	return fmt.Errorf("nothing was imported: %d to mend", len(ps))
}

func printChanges(w io.Writer, res store.ImportResult, dry bool) {
	for _, c := range res.Changes {
		switch {
		case c.From == "" && c.To == "":
			fmt.Fprintf(w, "%s: %s\n", c.Kind, c.What)
		case c.From == "":
			fmt.Fprintf(w, "%s: %s: %s\n", c.Kind, c.What, c.To)
		case c.To == "":
			fmt.Fprintf(w, "%s: %s: no longer %s\n", c.Kind, c.What, c.From)
		default:
			fmt.Fprintf(w, "%s: %s: %s -> %s\n", c.Kind, c.What, c.From, c.To)
		}
	}
	switch {
	case len(res.Changes) == 0:
		fmt.Fprintln(w, "nothing changes")
	case dry:
		fmt.Fprintf(w, "%d changes; nothing was written (dry run)\n", len(res.Changes))
	default:
		fmt.Fprintf(w, "%d changes written; %d cards are planned again\n", len(res.Changes), len(res.Replan))
	}
}

// clubOptions are what the club has already, for files that refer to it.
func clubOptions(tx *store.Tx, now time.Time) (clubfile.Options, error) {
	o := clubfile.Options{Now: now}
	club, err := tx.Club()
	if errors.Is(err, store.ErrNotFound) {
		return o, nil // the first import brings the club
	}
	if err != nil {
		return o, err
	}
	o.Zone = club.Zone
	squads, err := tx.Squads()
	if err != nil {
		return o, err
	}
	for _, sq := range squads {
		o.Squads = append(o.Squads, clubfile.SquadZone{Slug: sq.Slug, Zone: sq.Zone})
	}
	gyms, err := tx.Gyms(prescribe.DayOf(now))
	for _, g := range gyms {
		o.Gyms = append(o.Gyms, g.Slug)
	}
	return o, err
}
