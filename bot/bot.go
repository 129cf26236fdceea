package bot

import (
	"context"
	"log/slog"
	"sync"
	"time"

	"github.com/robfig/cron/v3"
	"golang.org/x/sync/errgroup"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
)

// Config is what a Bot is made of.
type Config struct {
	Store  *store.Store
	Client *telegram.Client
	Words  *wording.Catalogue
	Logger *slog.Logger
	// Now is the civil now: real time, or the moved clock. Pacing, retries and
	// polls use real time whatever it says.
	Now func() time.Time
	// PollTimeout is how long a long poll waits at the server; 0: 50 s.
	PollTimeout time.Duration
	// Stuck is told the part of the bot that hangs for good, so that the process
	// can be ended and started anew; nil: it is only logged.
	Stuck func(part string)
	// Keep is what the nightly pass keeps.
	Keep Keep
	// Hooks are the points at which a test may stop the process. Nil in production.
	Hooks Hooks
}

// Hooks are named points of the message path.
type Hooks struct {
	Point func(name string)
}

func (h Hooks) at(name string) {
	if h.Point != nil {
		h.Point(name)
	}
}

// Bot runs the chat of one club.
type Bot struct {
	Config
	poller    *telegram.Poller
	sender    *sender
	ticker    ticker
	taken     taken
	strangers strangers
	talkers   talkers
	status    *status
	// username is the bot's own name, for invitation links; set by Run.
	username string
	mu       sync.Mutex // guards username
	// menus wakes introduce.
	menus chan struct{}
	// alive ends with Run: what goes on beside the handling ends with it.
	alive context.Context
	end   context.CancelFunc
}

// New makes a bot. It makes no call.
func New(c Config) *Bot {
	if c.Logger == nil {
		c.Logger = slog.New(slog.DiscardHandler)
	}
	if c.Now == nil {
		c.Now = time.Now
	}
	b := &Bot{Config: c, menus: make(chan struct{}, 1)}
	b.alive, b.end = context.WithCancel(context.Background())
	b.sender = newSender(b)
	b.poller = b.newPoller()
	b.status = b.newStatus()
	return b
}

func (b *Bot) now() prescribe.Instant { return prescribe.InstantOf(b.Now()) }

// Run polls, ticks and sends until ctx ends or the token turns out wrong. A
// message that was being handled is finished first.
func (b *Bot) Run(ctx context.Context) error {
	defer b.end()
	if err := b.recover(ctx); err != nil {
		if ctx.Err() != nil {
			return nil // stopped before it began
		}
		return err
	}
	g, ctx := errgroup.WithContext(ctx)
	g.Go(func() error { return b.introduce(ctx) })
	g.Go(func() error { return b.poller.Run(ctx) })
	g.Go(func() error { return b.sender.run(ctx) })
	g.Go(func() error { return b.runTicks(ctx) })
	g.Go(func() error { return b.watch(ctx) })
	err := g.Wait()
	if ctx.Err() != nil && telegramCanceled(err) {
		return nil
	}
	return err
}

// recover settles what the last process left open: questions whose buttons
// could not be tapped in the meantime are asked again. Messages that were handed
// to the network and never marked sent are found by the sender's rounds.
func (b *Bot) recover(ctx context.Context) error {
	return b.Store.Write(ctx, func(tx *store.Tx) error { return b.reopen(tx, b.now()) })
}

// runTicks calls Tick each minute, and once at the start. Cron is only the
// beat: it may skip or double a minute at a clock change, which changes
// nothing, since Due looks at instants and keys.
func (b *Bot) runTicks(ctx context.Context) error {
	logger := cronLogger{b.Logger}
	c := cron.New(cron.WithLocation(time.UTC), cron.WithLogger(logger),
		cron.WithChain(cron.SkipIfStillRunning(logger), cron.Recover(logger)))
	if _, err := c.AddFunc("* * * * *", func() { b.tickAndLog(ctx) }); err != nil {
		return err
	}
	b.tickAndLog(ctx)
	c.Start()
	<-ctx.Done()
	<-c.Stop().Done()
	return nil
}

func (b *Bot) tickAndLog(ctx context.Context) {
	defer b.status.tick.beat()
	if err := b.Tick(ctx); err != nil && ctx.Err() == nil {
		b.Logger.Error("the tick failed and is tried again in a minute", "event", "tick.failed", "err", err)
	}
}

type cronLogger struct{ *slog.Logger }

func (l cronLogger) Info(msg string, kv ...any) {
	l.Logger.Debug("cron: "+msg, append(kv, "event", "cron.beat")...)
}
func (l cronLogger) Error(err error, msg string, kv ...any) {
	l.Logger.Error("cron: "+msg, append(kv, "event", "cron.error", "err", err)...)
}
