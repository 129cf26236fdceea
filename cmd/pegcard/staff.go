package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"pegcard/bot"
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
					if h.Sign != "" {
						what += ", " + sp.Plain("sign."+string(h.Sign))
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
				who, _, err := actor(tx, by, p, t, store.RoleCoach)
				if err != nil {
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
				if err := a.handOver(tx, p, t, now, f); err != nil {
					return err
				}
				if err := tx.Audit(who.ID, p.ID, "test", "", now); err != nil {
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
	var limit float64
	c := &cobra.Command{
		Use:   "hold PLAYER",
		Short: "Hold a player, or one place of the body; only medical staff can lift what medical staff hold",
		Args:  cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if !(limit >= 0 && limit < 100) { // also not a number
				return errors.New("--cap takes percent of the record, from 0 (a stop) to less than 100")
			}
			return a.restrict(cmd, restriction{player: args[0], by: by, region: region, until: until, limit: limit, limited: limit > 0})
		},
	}
	a.by(c, &by)
	c.Flags().StringVar(&region, "region", "", "medical staff: place of the body, such as hamstring (default: everything)")
	c.Flags().StringVar(&until, "until", "", "review day, year-month-day; medical: at most 7 days away; a coach's hold: at most 28")
	c.Flags().Float64Var(&limit, "cap", 0, "medical staff: allow loads up to this percent of the record (default 0: stop)")
	return c
}

func (a *app) releaseCmd() *cobra.Command {
	x := restriction{release: true}
	c := &cobra.Command{
		Use:   "release PLAYER",
		Short: "Lift a hold; a medical one only by medical staff, with a load cap and a review day",
		Args:  cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if !(x.limit > 0 && x.limit <= 100) { // also not a number
				return errors.New("--cap takes percent of the record, more than 0 and at most 100; 100 is a full release")
			}
			x.player, x.limited = args[0], x.limit < 100
			return a.restrict(cmd, x)
		},
	}
	a.by(c, &x.by)
	c.Flags().StringVar(&x.region, "region", "", "medical staff: place of the body (default: everything the giver may lift)")
	c.Flags().StringVar(&x.until, "review", "", "review day, year-month-day; the stop comes back when it passes (default: full release)")
	c.Flags().Float64Var(&x.limit, "cap", 100, "medical staff: loads up to this percent of the record")
	c.Flags().BoolVar(&x.classified, "classified", false, "medical staff have assessed the complaint: light work at pain 3 to 5 is allowed")
	c.Flags().BoolVar(&x.noFever, "no-fever", false, "24 hours without symptoms and without medicine against fever")
	c.Flags().StringVar(&x.reason, "reason", "", "why a stop for a warning sign is lifted without a cap")
	return c
}

const (
	// reviewMax is how far away a medical review may be, in days.
	reviewMax = 7
	// coachMax is how long a coach's own hold may be, in days.
	coachMax = 28
)

// restriction is a hold or a release as the command line has it.
type restriction struct {
	release                           bool
	player, by, region, until, reason string
	limit                             float64 // percent
	limited, classified, noFever      bool
}

// restrict records a hold or a release, with what follows from it in the chat.
func (a *app) restrict(cmd *cobra.Command, x restriction) error {
	return a.with(cmd.Context(), func(tx *store.Tx, now prescribe.Instant) error {
		p, err := person(tx, x.player)
		if err != nil {
			return err
		}
		t, err := today(tx, p, now)
		if err != nil {
			return err
		}
		who, v, err := actor(tx, x.by, p, t, store.RoleCoach, store.RoleMedical)
		if err != nil {
			return err
		}
		sq, _, err := tx.SquadOf(p.ID, t)
		if err != nil {
			return err
		}
		medical := v.May(sq.ID, store.RoleMedical)
		r := prescribe.Region(x.region)
		if r != "" && !knownRegion(r) {
			return fmt.Errorf("%q is not a place of the body here; write one of: %s", x.region, strings.Join(regionNames(), ", "))
		}
		if !medical && (r != "" || x.limited || x.classified) {
			return errors.New("a coach holds the session as a whole; a place of the body, a load limit and an assessment are medical staff's")
		}
		var d prescribe.Day
		if x.until != "" {
			if d, err = prescribe.ParseDay(x.until); err != nil {
				return err
			}
			most := prescribe.Day(coachMax)
			if medical {
				most = reviewMax
			}
			if d <= t || d > t+most {
				return fmt.Errorf("the day must lie between %s and %s", t+1, t+most)
			}
		}
		source := fmt.Sprintf("cli:%d:%d", p.ID, now)
		e := prescribe.Event{At: now, Day: t, Key: source + "/0"}
		action := "hold"
		if x.release {
			action = "release"
			if e.Release, err = releaseOf(tx, v, p, t, r, d, medical, x); err != nil {
				return err
			}
		} else {
			if medical && d == 0 {
				return fmt.Errorf("a medical hold needs a review day; add --until, at most %s", t+reviewMax)
			}
			e.Hold = &prescribe.Hold{ID: source, Medical: medical, Region: r, MaxLoad: prescribe.Percent(x.limit), Until: d}
		}
		f, err := tx.Record(p.ID, source, now, e)
		if err != nil {
			return err
		}
		if err := tx.Audit(who.ID, p.ID, action, "", now); err != nil {
			return err
		}
		if err := a.handOver(tx, p, t, now, f); err != nil {
			return err
		}
		fmt.Fprintf(a.out, "%s: %s recorded for %s\n", p.Name, action, who.Name)
		return nil
	})
}

// releaseOf is the release, if what it lifts may be lifted so: a coach lifts a
// coach's hold, medical staff answer for a fever and give a reason for lifting a
// warning sign without a cap.
func releaseOf(tx *store.Tx, v store.Viewer, p store.Person, t prescribe.Day, r prescribe.Region, review prescribe.Day, medical bool, x restriction) (*prescribe.Release, error) {
	holds, err := tx.ViewHolds(v, p.ID, t)
	if err != nil {
		return nil, err
	}
	out := &prescribe.Release{Medical: medical, Region: r, MaxLoad: prescribe.Percent(x.limit), Review: review}
	if !medical {
		for _, h := range holds {
			if !h.AskMedical && !h.Medical {
				return out, nil
			}
		}
		return nil, errors.New("only medical staff can lift a medical hold; ask them")
	}
	lifted := store.Lifting(holds, r)
	switch {
	case lifted.Fever && !x.noFever:
		return nil, errors.New("a fever is held: release it after 24 hours without symptoms and without medicine against fever, and say so with --no-fever")
	case lifted.Warning && !x.limited && strings.TrimSpace(x.reason) == "":
		return nil, errors.New("a warning sign is held: a full release needs --reason; or give --cap and --review")
	case x.limited && review == 0:
		return nil, fmt.Errorf("a load limit needs a review day; add --review, at most %s", t+reviewMax)
	case x.classified && !lifted.Pain:
		return nil, errors.New("--classified is for a complaint that is held for pain")
	}
	out.Classified = x.classified
	if lifted.Warning && !x.limited {
		out.Reason = strings.TrimSpace(x.reason)
	}
	return out, nil
}

// handOver leaves to the process that runs the bot what follows from records:
// the cards of today and tomorrow again, and what staff have to be told.
func (a *app) handOver(tx *store.Tx, p store.Person, today prescribe.Day, now prescribe.Instant, f store.Folded) error {
	if err := tx.PutNotices(p.ID, now, f.Notices...); err != nil {
		return err
	}
	return tx.PutReplan(store.PersonDay{Person: p.ID, Day: today}, store.PersonDay{Person: p.ID, Day: today + 1})
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
	var name, sheet string
	c := &cobra.Command{
		Use:   "invite KEY | invite --sheet FILE --bot NAME",
		Short: "Make one-time invitations for players and staff",
		Long: `Prints a one-time invitation link. The first administrator joins this way; later invitations can be made in the chat.
With --sheet it writes a page to print instead, with a strip and a QR code for everybody who has not joined.`,
		Args: func(cmd *cobra.Command, args []string) error {
			if sheet == "" {
				return cobra.ExactArgs(1)(cmd, args)
			}
			if name == "" {
				return errors.New("a sheet needs the user name of the bot for its links: add --bot NAME")
			}
			return cobra.NoArgs(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if sheet != "" {
				return a.inviteSheet(cmd.Context(), sheet, name)
			}
			return a.with(cmd.Context(), func(tx *store.Tx, now prescribe.Instant) error {
				p, err := person(tx, args[0])
				if err != nil {
					return err
				}
				code, err := tx.Invite(p.ID, 0, now, now+prescribe.Instant(7*24*time.Hour/time.Millisecond))
				if err != nil {
					return err
				}
				if name == "" {
					fmt.Fprintf(a.out, "%s writes to the bot, within 7 days: /start %s\n", p.Name, code)
					return nil
				}
				fmt.Fprintf(a.out, "%s opens, within 7 days: https://t.me/%s?start=%s\n", p.Name, strings.TrimPrefix(name, "@"), code)
				return nil
			})
		},
	}
	c.Flags().StringVar(&name, "bot", "", "user name of the bot, to print a link instead of a code")
	c.Flags().StringVar(&sheet, "sheet", "", "write invitations for all who have not joined to this HTML file, to print")
	return c
}

// inviteSheet writes invitations for everybody of the club who has not joined.
// The file holds the codes: nobody else may read it, and none is overwritten.
func (a *app) inviteSheet(ctx context.Context, path, botName string) error {
	catalogue, _, err := words()
	if err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return fmt.Errorf("the sheet is written to a new file: %w", err)
	}
	var n int
	err = a.with(ctx, func(tx *store.Tx, now prescribe.Instant) error {
		club, err := tx.Club()
		if err != nil {
			return err
		}
		loc, err := store.Zone(club.Zone)
		if err != nil {
			return err
		}
		day := prescribe.DayOf(now.Time().In(loc))
		people, err := everybody(tx, day)
		if err != nil {
			return err
		}
		page, made, err := bot.InvitationSheet(tx, catalogue, people, 0, botName, day, now)
		if n = made; err != nil {
			return err
		}
		_, err = f.Write(page)
		return err
	})
	if err = errors.Join(err, f.Close()); err != nil {
		return errors.Join(err, os.Remove(path))
	}
	fmt.Fprintf(a.out, "%d invitations in %s, for 7 days. Print it, hand each strip to its person only, then delete the file.\n", n, path)
	return nil
}

// everybody is the players and the staff of all squads on the day.
func everybody(tx *store.Tx, day prescribe.Day) (people []store.Person, err error) {
	squads, err := tx.Squads()
	if err != nil {
		return nil, err
	}
	seen := map[int64]bool{}
	add := func(ps []store.Person, err error) error {
		for _, p := range ps {
			if !seen[p.ID] {
				seen[p.ID] = true
				people = append(people, p)
			}
		}
		return err
	}
	for _, sq := range squads {
		if err := add(tx.Members(sq.ID, day)); err != nil {
			return nil, err
		}
	}
	for _, sq := range squads {
		for _, role := range []store.Role{store.RoleCoach, store.RoleMedical, store.RoleHeadCoach, store.RoleSafeguarding, store.RoleAdmin} {
			if err := add(tx.Staff(sq.ID, role, day)); err != nil {
				return nil, err
			}
		}
	}
	return people, nil
}

func (a *app) guardianCmd() *cobra.Command {
	var by string
	var withdraw bool
	c := &cobra.Command{
		Use:   "guardian KEY",
		Short: "Record that a parent or guardian has agreed for a player under 18, or no longer does",
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
				if withdraw {
					if err := tx.WithdrawGuardianConsent(p.ID, who.ID, now); err != nil {
						return err
					}
					if p.Chat != 0 {
						if err := tx.ClearDialog(p.Chat); err != nil {
							return err
						}
					}
					fmt.Fprintf(a.out, "recorded: the guardian of %s no longer agrees; nothing more is sent to %s\n", p.Name, p.Name)
					return nil
				}
				if err := tx.GuardianConsent(p.ID, who.ID, now); err != nil {
					return err
				}
				if p.Chat != 0 {
					if _, _, err := tx.Enqueue(bot.GuardianAgreed(p.ID, now)); err != nil {
						return err
					}
				}
				fmt.Fprintf(a.out, "recorded: the guardian of %s has agreed\n", p.Name)
				return nil
			})
		},
	}
	a.by(c, &by)
	c.Flags().BoolVar(&withdraw, "withdraw", false, "the parent or guardian no longer agrees")
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
			fmt.Fprintf(a.out, "%s is erased; copies made earlier still hold the data: the daily ones go by themselves, delete others\n", args[0])
			return nil
		},
	}
	c.Flags().BoolVar(&yes, "yes", false, "really")
	return c
}
