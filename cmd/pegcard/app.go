package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
)

// app is the program as a value, so that tests can start it.
type app struct {
	out, err io.Writer
	env      func(string) string
	now      func() time.Time  // nil: time.Now
	point    func(name string) // for tests that stop the process; nil

	dir   string
	debug bool
}

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:           "pegcard",
		Short:         "Strength sessions for a football squad, by chat",
		Long:          "pegcard works out each player's strength session of the day from their own records,\nsends it by chat, reads back what was done and how it felt, and adjusts the next one.\nIt never diagnoses; medical staff decide.",
		SilenceUsage:  true,
		SilenceErrors: true,
	}
	root.SetOut(a.out)
	root.SetErr(a.err)
	root.PersistentFlags().StringVar(&a.dir, "data", defaultDir(a.env), "data directory")
	root.PersistentFlags().BoolVar(&a.debug, "debug", false, "log more")
	root.AddCommand(a.demoCmd(), a.serveCmd(), a.importCmd(), a.planCmd(), a.doseCmd(), a.whyCmd(), a.rulesCmd(),
		a.playerCmd(), a.testCmd(), a.holdCmd(), a.releaseCmd(), a.inviteCmd(), a.guardianCmd(),
		a.exportCmd(), a.eraseCmd(), a.backupCmd(), a.restoreCmd(), a.retentionCmd(), a.verifyCmd(), a.trialCmd(),
		a.workbookCmd(), a.replayCmd(), a.setsCmd(), a.wallCmd())
	return root
}

func defaultDir(env func(string) string) string {
	if d := env("PEGCARD_DATA"); d != "" {
		return d
	}
	return filepath.Join(".", "pegcard-data")
}

func (a *app) logger() *slog.Logger {
	level := slog.LevelInfo
	if a.debug {
		level = slog.LevelDebug
	}
	return slog.New(slog.NewTextHandler(a.err, &slog.HandlerOptions{Level: level}))
}

func (a *app) real() time.Time {
	if a.now != nil {
		return a.now()
	}
	return time.Now()
}

// open opens the data directory. Shared lets a short command work beside a
// running server.
func (a *app) open(ctx context.Context, shared bool) (*store.Store, error) {
	return store.Open(ctx, store.Options{Dir: a.dir, Logger: a.logger(), Shared: shared})
}

// with runs fn in one write transaction of the data directory, with the civil
// now of it.
func (a *app) with(ctx context.Context, fn func(tx *store.Tx, now prescribe.Instant) error) error {
	return a.in(ctx, (*store.Store).Write, fn)
}

// reading is with for what writes nothing.
func (a *app) reading(ctx context.Context, fn func(tx *store.Tx, now prescribe.Instant) error) error {
	return a.in(ctx, (*store.Store).Read, fn)
}

func (a *app) in(ctx context.Context, run func(*store.Store, context.Context, func(*store.Tx) error) error,
	fn func(tx *store.Tx, now prescribe.Instant) error) (err error) {
	if _, err := os.Stat(a.dir); errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("there is no data directory %s; make it with: pegcard import DIR --data %s", a.dir, a.dir)
	}
	st, err := a.open(ctx, true)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	return run(st, ctx, func(tx *store.Tx) error {
		now, err := a.civil(tx)
		if err != nil {
			return err
		}
		return fn(tx, prescribe.InstantOf(now))
	})
}

// civil is real time plus the stored offset of the moved clock.
func (a *app) civil(tx *store.Tx) (time.Time, error) {
	d, err := tx.ClockOffset()
	return a.real().Add(d), err
}

// words is the English speaker: the command line speaks English.
func words() (*wording.Catalogue, *wording.Speaker, error) {
	c, err := wording.Load()
	if err != nil {
		return nil, nil, err
	}
	return c, c.For(wording.Fallback), nil
}

// today is the person's civil date at now.
func today(tx *store.Tx, p store.Person, now prescribe.Instant) (prescribe.Day, error) {
	loc, err := time.LoadLocation(p.Zone)
	if err != nil {
		return 0, fmt.Errorf("time zone of %s: %w", p.Name, err)
	}
	return prescribe.DayOf(now.Time().In(loc)), nil
}

// dayFlag reads --day, or is today.
func dayFlag(s string, today prescribe.Day) (prescribe.Day, error) {
	switch s {
	case "", "today":
		return today, nil
	case "tomorrow":
		return today + 1, nil
	}
	return prescribe.ParseDay(s)
}

// person finds a player or staff member by key.
func person(tx *store.Tx, key string) (store.Person, error) {
	p, err := tx.PersonByKey(key)
	if errors.Is(err, store.ErrNotFound) {
		return p, fmt.Errorf("nobody has the key %q; keys are those of players.csv and of the staff in club.toml", key)
	}
	return p, err
}

// printJSON prints a value for another program, legibly.
func (a *app) printJSON(v any) error {
	enc := json.NewEncoder(a.out)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}
