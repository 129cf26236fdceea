package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"pegcard/store"
)

func (a *app) backupCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "backup FILE",
		Short: "Write a checked copy of the database to FILE, also while the bot runs",
		Args:  cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			if _, err := os.Stat(args[0]); err == nil {
				return fmt.Errorf("%s exists; name a new file", args[0])
			}
			st, err := a.open(cmd.Context(), true)
			if err != nil {
				return err
			}
			defer func() { err = errors.Join(err, st.Close()) }()
			if err := st.Backup(cmd.Context(), args[0]); err != nil {
				return err
			}
			fmt.Fprintln(a.out, "written and checked:", filepath.Clean(args[0]))
			return nil
		},
	}
}

func (a *app) verifyCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "verify",
		Short: "Check the database: integrity, row sums and hashes, and that each card of this engine version comes out the same",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) (err error) {
			st, err := a.open(cmd.Context(), true)
			if err != nil {
				return err
			}
			defer func() { err = errors.Join(err, st.Close()) }()
			r, err := st.Verify(cmd.Context())
			if err != nil {
				return err
			}
			fmt.Fprintf(a.out, "%d card revisions checked, %d of them worked out again, %d records folded again\n", r.Cards, r.Recomputed, r.States)
			return a.found(r)
		},
	}
}

// found prints what verify found, and is an error when it is anything.
func (a *app) found(r store.VerifyReport) error {
	bad := slices.Concat(r.Integrity, r.Bad, r.Differs)
	for _, s := range bad {
		fmt.Fprintln(a.out, s)
	}
	if len(bad) > 0 {
		return fmt.Errorf("%d things do not agree; stop the bot and put a copy in place with: pegcard restore FILE (this database is kept beside it)", len(bad))
	}
	return nil
}

func (a *app) restoreCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "restore FILE",
		Short: "Put a copy of the database in place of the present one, which is kept beside it",
		Long: "Checks FILE, a copy that \"backup\" or the daily pass wrote, and puts it in place of the database. Stop the bot first.\n" +
			"The database that was there is kept under another name. Whoever was erased since is erased again, as the journal\n" +
			"(" + store.JournalName + ") in the data directory, or beside FILE, says.",
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			r, err := store.Restore(cmd.Context(), store.Options{Dir: a.dir, Logger: a.logger(), Hooks: store.Hooks{Point: a.point}}, args[0])
			if err != nil {
				return err
			}
			fmt.Fprintf(a.out, "restored: %d card revisions checked, %d of them worked out again\n", r.Report.Cards, r.Report.Recomputed)
			if r.Aside != "" {
				fmt.Fprintln(a.out, "the database before it:", r.Aside)
			}
			fmt.Fprintf(a.out, "The copy ends at %s. What came later is not in it, stops by medical staff and warning signs among it:\n"+
				"before the bot runs again, have medical staff set their stops anew, and tell players to report again what hurts.\n",
				r.Until.Time().UTC().Format("2006-01-02 15:04 UTC"))
			return a.found(r.Report)
		},
	}
}

func (a *app) retentionCmd() *cobra.Command {
	var left int
	c := &cobra.Command{
		Use:   "retention",
		Short: "List how long each kind of personal data is kept",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			w := tabwriter.NewWriter(a.out, 0, 0, 2, ' ', 0)
			fmt.Fprintln(w, "table\tdays\tafter\twhy")
			for _, s := range store.Spans(left) {
				fmt.Fprintf(w, "%s\t%d\t%s\t%s\n", s.Table, s.Days, s.When, s.Why)
			}
			return w.Flush()
		},
	}
	c.Flags().IntVar(&left, "keep-left", store.LeftDays, "as serve has it")
	return c
}
