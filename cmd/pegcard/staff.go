package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"pegcard/prescribe"
	"pegcard/store"
)

// by is the staff member on whose behalf a command acts; it is written to the
// audit, and what they may not do in the chat they may not do here.
func (a *app) by(c *cobra.Command, into *string) {
	c.Flags().StringVar(into, "by", "", "key of the member of staff who does this (required)")
	if err := c.MarkFlagRequired("by"); err != nil {
		panic(err) // the flag was made a line before
	}
}

// actor is the member of staff with a viewer, who must have one of roles in the
// player's squad.
func actor(tx *store.Tx, key string, p store.Person, day prescribe.Day, roles ...store.Role) (store.Person, store.Viewer, error) {
	who, err := person(tx, key)
	if err != nil {
		return who, store.Viewer{}, err
	}
	v, err := tx.Viewer(who.ID, day)
	if err != nil {
		return who, v, err
	}
	sq, ok, err := tx.SquadOf(p.ID, day)
	if err != nil {
		return who, v, err
	}
	if !ok || !v.May(sq.ID, roles...) {
		names := make([]string, len(roles))
		for i, r := range roles {
			names[i] = string(r)
		}
		return who, v, fmt.Errorf("%s may not do this for %s; it takes one of: %s", who.Name, p.Name, strings.Join(names, ", "))
	}
	return who, v, nil
}

func (a *app) playerCmd() *cobra.Command {
	var by string
	c := &cobra.Command{
		Use:   "player KEY",
		Short: "Look a player up: strength records, what is held, the last days",
		Args:  cobra.ExactArgs(1),
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
				day, err := today(tx, p, now)
				if err != nil {
					return err
				}
				_, v, err := actor(tx, by, p, day, store.RoleCoach, store.RoleMedical)
				if err != nil {
					return err
				}
				in, err := tx.Inputs(p.ID, day)
				if err != nil {
					return err
				}
				fmt.Fprintf(a.out, "%s (%s)\n", p.Name, p.Key)
				for _, key := range in.State.LiftKeys() {
					rec := in.State.Lifts[key]
					if !rec.Known() {
						continue
					}
					e := rec.Estimate(day, in.Rules)
					fmt.Fprintf(a.out, "  %-44s 1RM %6.1f kg (%.1f to %.1f), used %.1f, %d days since an exact set\n", key, e.Median, e.Low, e.High, e.Used, e.Days)
				}
				holds, err := tx.ViewHolds(v, p.ID, day)
				if err != nil {
					return err
				}
				for _, h := range holds {
					what := "everything"
					if h.Region != "" {
						what = sp.Plain("region." + string(h.Region))
					}
					if h.AskMedical {
						what = "ask medical staff"
					}
					fmt.Fprintf(a.out, "  held since %s: %s, load at most %g %%\n", h.Since, what, float64(h.MaxLoad))
				}
				events, err := tx.ViewEvents(v, p.ID, day-14, day, now)
				if err != nil {
					return err
				}
				for _, e := range events {
					if s := eventLine(e); s != "" {
						fmt.Fprintf(a.out, "  %s %s\n", e.Day, s)
					}
				}
				return nil
			})
		},
	}
	a.by(c, &by)
	return c
}

func eventLine(e prescribe.Event) string {
	switch {
	case e.Set != nil:
		rir := ""
		if e.Set.RIR != nil {
			rir = fmt.Sprintf(", %d in reserve", *e.Set.RIR)
		}
		if e.Set.Inertia > 0 {
			return fmt.Sprintf("%s inertia %g kg m2 x %d%s", prescribe.LiftKey(e.Set.Exercise, e.Set.Side), float64(e.Set.Inertia), e.Set.Reps, rir)
		}
		return fmt.Sprintf("%s %g kg x %d%s", prescribe.LiftKey(e.Set.Exercise, e.Set.Side), float64(e.Set.Load), e.Set.Reps, rir)
	case e.Session != nil:
		return fmt.Sprintf("session %s: %s %s", e.Session.Template, e.Session.Outcome, e.Session.Reason)
	case e.Soreness != nil:
		return fmt.Sprintf("soreness %s %s %d", e.Soreness.Side, e.Soreness.Region, e.Soreness.Score)
	case e.Pain != nil:
		return fmt.Sprintf("pain %s %s %d", e.Pain.Side, e.Pain.Region, e.Pain.Score)
	case e.Warning != nil:
		return fmt.Sprintf("warning sign %s", e.Warning.Sign)
	case e.Match != nil:
		return fmt.Sprintf("match, %d minutes", e.Match.Minutes)
	}
	return ""
}

func (a *app) testCmd() *cobra.Command {
	var by, side, day string
	var rir int
	c := &cobra.Command{
		Use:   "test PLAYER EXERCISE LOADxREPS",
		Short: "Record a tested set, such as: pegcard test 9 back_squat 140x3 --rir 1 --by coach",
		Args:  cobra.ExactArgs(3),
		RunE: func(cmd *cobra.Command, args []string) error {
			ex, ok := prescribe.Lookup(prescribe.ExerciseID(args[1]))
			if !ok {
				return fmt.Errorf("there is no exercise %q; pegcard test takes the ids of the exercise library, such as back_squat", args[1])
			}
			load, reps, err := loadReps(args[2])
			if err != nil {
				return err
			}
			set := prescribe.Set{Exercise: ex.ID, Side: prescribe.Side(side), Load: load, Reps: reps, Ordinal: 1, Test: true}
			if rir >= 0 {
				r := prescribe.RIR(rir)
				set.RIR = &r
			} else {
				set.ToFail = true
			}
			if ex.Unilateral && side == "" {
				return fmt.Errorf("%s is done one side at a time; add --side left or --side right", ex.ID)
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
				if d > t {
					return fmt.Errorf("%s has not come yet; record a test on its day or later", d)
				}
				if _, _, err := actor(tx, by, p, t, store.RoleCoach); err != nil {
					return err
				}
				at := now
				if d != t {
					at = prescribe.InstantOf(d.Time().Add(12 * time.Hour))
				}
				source := fmt.Sprintf("test:%d:%s:%s", p.ID, prescribe.LiftKey(ex.ID, set.Side), d)
				f, err := tx.Record(p.ID, source, now, prescribe.Event{At: at, Day: d, Key: source + "/0", Set: &set})
				if err != nil {
					return err
				}
				rules := prescribe.DefaultRules()
				before, after := f.Before.Lifts[prescribe.LiftKey(ex.ID, set.Side)], f.After.Lifts[prescribe.LiftKey(ex.ID, set.Side)]
				fmt.Fprintf(a.out, "recorded; 1RM estimate %.1f -> %.1f kg\n", before.Estimate(t, rules).Median, after.Estimate(t, rules).Median)
				return nil
			})
		},
	}
	a.by(c, &by)
	c.Flags().StringVar(&side, "side", "", "left or right, for one-sided exercises")
	c.Flags().StringVar(&day, "day", "", "year-month-day of the test (default: today)")
	c.Flags().IntVar(&rir, "rir", -1, "repetitions left in reserve (default: to failure)")
	return c
}

// loadReps reads 140x3 or 102,5x5, in kg.
func loadReps(s string) (prescribe.Kg, int, error) {
	l, r, ok := strings.Cut(strings.ToLower(strings.ReplaceAll(s, ",", ".")), "x")
	load, err1 := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSpace(l), "kg"), 64)
	reps, err2 := strconv.Atoi(strings.TrimSpace(r))
	if !ok || err1 != nil || err2 != nil || load < 0 || load > 500 || reps < 1 || reps > 30 {
		return 0, 0, fmt.Errorf("%q is not a load and repetitions; write kilograms, x, repetitions, such as 140x3", s)
	}
	return prescribe.Kg(load), reps, nil
}

func (a *app) holdCmd() *cobra.Command {
	var by, region, until string
	var cap float64
	c := &cobra.Command{
		Use:   "hold PLAYER",
		Short: "Hold a player, or one place of the body; only medical staff can lift what medical staff hold",
		Args:  cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.restrict(cmd, args[0], by, region, until, func(who store.Person, medical bool, r prescribe.Region, d prescribe.Day, key string) prescribe.Event {
				return prescribe.Event{Hold: &prescribe.Hold{ID: key, Medical: medical, Region: r, MaxLoad: prescribe.Percent(cap), Until: d}}
			})
		},
	}
	a.by(c, &by)
	c.Flags().StringVar(&region, "region", "", "place of the body, such as hamstring (default: everything)")
	c.Flags().StringVar(&until, "until", "", "review day, year-month-day; medical: at most 7 days away")
	c.Flags().Float64Var(&cap, "cap", 0, "allow loads up to this percent of the record (default 0: stop)")
	return c
}

func (a *app) releaseCmd() *cobra.Command {
	var by, region, review string
	var cap float64
	var classified bool
	c := &cobra.Command{
		Use:   "release PLAYER",
		Short: "Lift a hold; a medical one only by medical staff, with a load cap and a review day",
		Args:  cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.restrict(cmd, args[0], by, region, review, func(who store.Person, medical bool, r prescribe.Region, d prescribe.Day, key string) prescribe.Event {
				return prescribe.Event{Release: &prescribe.Release{Medical: medical, Region: r, MaxLoad: prescribe.Percent(cap), Review: d, Classified: classified}}
			})
		},
	}
	a.by(c, &by)
	c.Flags().StringVar(&region, "region", "", "place of the body (default: everything the giver may lift)")
	c.Flags().StringVar(&review, "review", "", "review day, year-month-day; the stop comes back when it passes (default: full release)")
	c.Flags().Float64Var(&cap, "cap", 100, "loads up to this percent of the record")
	c.Flags().BoolVar(&classified, "classified", false, "medical staff have classified the complaint")
	return c
}

// reviewMax is how far away a medical review may be, in days.
const reviewMax = 7

func (a *app) restrict(cmd *cobra.Command, key, by, region, until string, event func(who store.Person, medical bool, r prescribe.Region, d prescribe.Day, key string) prescribe.Event) error {
	return a.with(cmd.Context(), func(tx *store.Tx, now prescribe.Instant) error {
		p, err := person(tx, key)
		if err != nil {
			return err
		}
		t, err := today(tx, p, now)
		if err != nil {
			return err
		}
		who, v, err := actor(tx, by, p, t, store.RoleCoach, store.RoleMedical)
		if err != nil {
			return err
		}
		sq, _, err := tx.SquadOf(p.ID, t)
		if err != nil {
			return err
		}
		medical := v.May(sq.ID, store.RoleMedical)
		r := prescribe.Region(region)
		if r != "" && !knownRegion(r) {
			return fmt.Errorf("%q is not a place of the body here; write one of: %s", region, strings.Join(regionNames(), ", "))
		}
		var d prescribe.Day
		if until != "" {
			if d, err = prescribe.ParseDay(until); err != nil {
				return err
			}
			if d < t || medical && d > t+reviewMax {
				return fmt.Errorf("the review day must lie between %s and %s", t, t+reviewMax)
			}
		}
		source := fmt.Sprintf("cli:%d:%d", p.ID, now)
		e := event(who, medical, r, d, source)
		if e.Hold != nil && medical && d == 0 {
			return fmt.Errorf("a medical hold needs a review day; add --until, at most %s", t+reviewMax)
		}
		if e.Release != nil && !medical {
			holds, err := tx.ViewHolds(v, p.ID, t)
			if err != nil {
				return err
			}
			own := false
			for _, h := range holds {
				own = own || !h.AskMedical && !h.Medical
			}
			if !own {
				return errors.New("only medical staff can lift a medical hold; ask them")
			}
		}
		e.At, e.Day, e.Key = now, t, source+"/0"
		if _, err := tx.Record(p.ID, source, now, e); err != nil {
			return err
		}
		action := "hold"
		if e.Release != nil {
			action = "release"
		}
		if err := tx.Audit(who.ID, p.ID, action, string(r), now); err != nil {
			return err
		}
		fmt.Fprintf(a.out, "%s: %s recorded for %s\n", p.Name, action, who.Name)
		return nil
	})
}

func regionNames() []string {
	var out []string
	for _, r := range prescribe.Regions() {
		out = append(out, string(r))
	}
	return out
}

func knownRegion(r prescribe.Region) bool {
	for _, k := range prescribe.Regions() {
		if k == r {
			return true
		}
	}
	return false
}

func (a *app) inviteCmd() *cobra.Command {
	var bot string
	c := &cobra.Command{
		Use:   "invite KEY",
		Short: "Make a one-time invitation for a player or a member of staff",
		Long:  "Prints a one-time invitation link. The first administrator joins this way; later invitations can be made in the chat.",
		Args:  cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.with(cmd.Context(), func(tx *store.Tx, now prescribe.Instant) error {
				p, err := person(tx, args[0])
				if err != nil {
					return err
				}
				code, err := tx.Invite(p.ID, 0, now, now+prescribe.Instant(7*24*time.Hour/time.Millisecond))
				if err != nil {
					return err
				}
				if bot == "" {
					fmt.Fprintf(a.out, "%s writes to the bot, within 7 days: /start %s\n", p.Name, code)
					return nil
				}
				fmt.Fprintf(a.out, "%s opens, within 7 days: https://t.me/%s?start=%s\n", p.Name, strings.TrimPrefix(bot, "@"), code)
				return nil
			})
		},
	}
	c.Flags().StringVar(&bot, "bot", "", "user name of the bot, to print a link instead of a code")
	return c
}

func (a *app) guardianCmd() *cobra.Command {
	var by string
	c := &cobra.Command{
		Use:   "guardian KEY",
		Short: "Record that a parent or guardian has agreed for a player under 18",
		Args:  cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.with(cmd.Context(), func(tx *store.Tx, now prescribe.Instant) error {
				p, err := person(tx, args[0])
				if err != nil {
					return err
				}
				t, err := today(tx, p, now)
				if err != nil {
					return err
				}
				who, _, err := actor(tx, by, p, t, store.RoleAdmin, store.RoleSafeguarding)
				if err != nil {
					return err
				}
				if err := tx.GuardianConsent(p.ID, who.ID, now); err != nil {
					return err
				}
				fmt.Fprintf(a.out, "recorded: the guardian of %s has agreed\n", p.Name)
				return nil
			})
		},
	}
	a.by(c, &by)
	return c
}

func (a *app) exportCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "export KEY",
		Short: "Write all that is kept of a person, as JSON",
		Args:  cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.with(cmd.Context(), func(tx *store.Tx, now prescribe.Instant) error {
				p, err := person(tx, args[0])
				if err != nil {
					return err
				}
				if err := tx.Audit(0, p.ID, "export", "", now); err != nil {
					return err
				}
				return tx.Export(p.ID, a.out)
			})
		},
	}
}

func (a *app) eraseCmd() *cobra.Command {
	var yes bool
	c := &cobra.Command{
		Use:   "erase KEY --yes",
		Short: "Erase all that is kept of a person; it cannot be taken back",
		Args:  cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			if !yes {
				return errors.New("this cannot be taken back; say so with --yes")
			}
			st, err := a.open(cmd.Context(), false)
			if err != nil {
				return err
			}
			defer func() { err = errors.Join(err, st.Close()) }()
			var id int64
			var now prescribe.Instant
			if err := st.Read(cmd.Context(), func(tx *store.Tx) error {
				p, err := person(tx, args[0])
				if err != nil {
					return err
				}
				id = p.ID
				t, err := a.civil(tx)
				now = prescribe.InstantOf(t)
				return err
			}); err != nil {
				return err
			}
			if err := st.Erase(cmd.Context(), id, now); err != nil {
				return err
			}
			fmt.Fprintf(a.out, "%s is erased\n", args[0])
			return nil
		},
	}
	c.Flags().BoolVar(&yes, "yes", false, "really")
	return c
}

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
		Short: "Check the database: integrity, row hashes, and that each card of this engine version comes out the same",
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
			bad := slices.Concat(r.Integrity, r.Bad, r.Differs)
			for _, s := range bad {
				fmt.Fprintln(a.out, s)
			}
			if len(bad) > 0 {
				return fmt.Errorf("%d things do not agree; keep this database as it is and restore a backup beside it", len(bad))
			}
			return nil
		},
	}
}
