package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"slices"
	"strings"
	"sync/atomic"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/sync/errgroup"

	"pegcard/bot"
	"pegcard/bot/localchat"
	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/cmd/pegcard/democlub"
	"pegcard/prescribe"
	"pegcard/schedule"
	"pegcard/store"
	"pegcard/store/clubfile"
)

func (a *app) demoCmd() *cobra.Command {
	var port int
	c := &cobra.Command{
		Use:   "demo",
		Short: "Try it with an invented club: the bot, a chat server of its own on this machine, and a page to chat in",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			l, err := localchat.Listen(port)
			if err != nil {
				return fmt.Errorf("port %d: %w; choose another with --port", port, err)
			}
			return a.demo(cmd.Context(), l)
		},
	}
	c.Flags().IntVar(&port, "port", 8765, "port on the loopback interface")
	return c
}

// demo runs the production bot against a chat server in the same process, on a
// clock that starts at a fixed civil instant and can be moved.
func (a *app) demo(ctx context.Context, l net.Listener) (err error) {
	log := a.logger()
	dir, err := os.MkdirTemp("", "pegcard-demo-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	st, err := store.Open(ctx, store.Options{Dir: dir, Logger: log})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	cat, err := wording.Load()
	if err != nil {
		return err
	}
	fmt.Fprintln(a.out, "Setting up Brackwater Rovers, an invented club, with some weeks of history …")
	if err := importDemo(ctx, st); err != nil {
		return err
	}
	people, err := seedHistory(ctx, st)
	if err != nil {
		return err
	}
	clock := &movedClock{st: st, real: a.real}
	if err := clock.set(ctx, democlub.Start()); err != nil {
		return err
	}
	loc, err := time.LoadLocation(democlub.Zone)
	if err != nil {
		return err
	}
	chat := localchat.New(localchat.Options{
		BotName: "Peg card", BotUsername: "pegcard_demo_bot", Title: "Brackwater Rovers: the dressing room",
		Now: clock.now, Zone: loc, Limits: localchat.DefaultLimits(), EveningAt: 19*time.Hour + 5*time.Minute,
	})
	for _, p := range people {
		if err := chat.AddPerson(p); err != nil {
			return err
		}
	}
	var staff []int64
	for _, p := range people {
		if p.Staff {
			staff = append(staff, p.ID)
		}
	}
	if _, err := chat.AddGroup(localchat.Group{Title: "Staff room", Members: staff}); err != nil {
		return err
	}
	addr := "http://" + l.Addr().String()
	client, err := telegram.NewClient(telegram.Config{Token: chat.Token(), Endpoint: addr, Logger: log})
	if err != nil {
		return err
	}
	b := bot.New(bot.Config{Store: st, Client: client, Words: cat, Logger: log, Now: clock.now})
	next := &nextCache{b: b, st: st}
	chat.SetClock(localchat.Clock{
		Now:  clock.now,
		Next: func() (time.Time, string, bool) { return next.get(ctx, clock.now()) },
		MoveTo: func(ctx context.Context, to time.Time) error {
			return b.Move(ctx, to, clock.set)
		},
	})
	chat.SetScenes(scenes(ctx, st, people))
	g, ctx := errgroup.WithContext(ctx)
	g.Go(func() error { return chat.Serve(ctx, l) })
	g.Go(func() error { return b.Run(ctx) })
	fmt.Fprintf(a.out, "Open %s in a browser. Stop with Ctrl-C; nothing of the demo is kept.\n", addr)
	return g.Wait()
}

// importDemo brings the club's files in on the morning on which its history
// begins, as a club would have done; the minutes of matches to come follow with
// the history.
func importDemo(ctx context.Context, st *store.Store) error {
	im, err := readDemo()
	if err != nil {
		return err
	}
	first := prescribe.DayOf(democlub.Start()) - historyDays
	im.Minutes = slices.DeleteFunc(im.Minutes, func(m store.MinutesRow) bool { return m.Day >= first })
	return importInto(ctx, st, im, prescribe.InstantOf(democlub.Start().AddDate(0, 0, -historyDays))-15*60_000)
}

// readDemo reads the files as they are on the demo's first day.
func readDemo() (store.Import, error) {
	im, problems := clubfile.Read(democlub.Files, clubfile.Options{Now: democlub.Start(), Zone: democlub.Zone})
	if len(problems) > 0 {
		return im, problems[0]
	}
	return im, nil
}

func importInto(ctx context.Context, st *store.Store, im store.Import, now prescribe.Instant) error {
	res, err := st.Import(ctx, im, now, false)
	if err != nil {
		return err
	}
	if len(res.Problems) > 0 {
		return res.Problems[0]
	}
	return nil
}

// nextCache keeps the next event for a second or until something is due: the
// page asks once a second.
type nextCache struct {
	b  *bot.Bot
	st *store.Store
	v  atomic.Pointer[nextEvent]
}

type nextEvent struct {
	asked time.Time
	at    time.Time
	label string
	ok    bool
}

func (n *nextCache) get(ctx context.Context, now time.Time) (time.Time, string, bool) {
	if v := n.v.Load(); v != nil && now.Sub(v.asked) >= 0 && now.Sub(v.asked) < 2*time.Second && now.Before(v.at) {
		return v.at, v.label, v.ok
	}
	ev, ok, err := n.b.Next(ctx, now)
	v := &nextEvent{asked: now, ok: ok && err == nil}
	if v.ok {
		v.at, v.label = ev.At.Time(), eventLabel(ev.Kind)
	}
	n.v.Store(v)
	return v.at, v.label, v.ok
}

func eventLabel(k schedule.Kind) string {
	switch k {
	case schedule.Card:
		return "morning cards"
	case schedule.Draft, schedule.LookOver:
		return "coach looks over tomorrow"
	case schedule.Waiting:
		return "what waits for the coach"
	case schedule.Digest:
		return "daily digest"
	case schedule.Weekly:
		return "report of the week"
	case schedule.Monthly:
		return "report of the month"
	case schedule.Close:
		return "yesterday is closed"
	case bot.AlertAgain:
		return "alert is sent again"
	}
	return strings.ReplaceAll(string(k), "_", " ")
}
