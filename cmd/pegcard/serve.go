package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/sync/errgroup"

	"pegcard/bot"
	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/store"
)

// serveOptions are what serve is told.
type serveOptions struct {
	token, tokenFile, endpoint string
	status                     string // address of the status page; empty: none
	keep                       bot.Keep
}

func (a *app) serveCmd() *cobra.Command {
	var o serveOptions
	c := &cobra.Command{
		Use:   "serve",
		Short: "Run the bot",
		Long:  "Runs the bot until it is stopped. The token comes from --token-file, a file that only its owner can read,\nor from the environment variable PEGCARD_TOKEN.",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			token, err := readToken(o.tokenFile, a.env)
			if err != nil {
				return err
			}
			o.token = token
			if o.keep.Left < 1 || o.keep.Copies < 1 {
				return errors.New("--keep-left and --keep-copies take a whole number of at least 1")
			}
			switch o.keep.Backups {
			case "":
				o.keep.Backups = filepath.Join(a.dir, "backups")
			case "none":
				o.keep.Backups = ""
			}
			return a.serve(cmd.Context(), o)
		},
	}
	c.Flags().StringVar(&o.tokenFile, "token-file", "", "file that holds the bot's token (mode 0600)")
	c.Flags().StringVar(&o.status, "status", "", "loopback address for /healthz and /metrics, such as 127.0.0.1:9470; empty: none")
	c.Flags().StringVar(&o.keep.Backups, "backups", "", "folder of the daily copies; \"none\": no copies (default: backups in the data directory)")
	c.Flags().IntVar(&o.keep.Copies, "keep-copies", 14, "how many daily copies are kept")
	c.Flags().IntVar(&o.keep.Left, "keep-left", store.LeftDays, "days after somebody has left the club until all that is kept of them is erased")
	c.Flags().StringVar(&o.endpoint, "api-endpoint", telegram.DefaultEndpoint, "address of the Bot API")
	return c
}

// exitStuck is the exit code of a process that ended itself because a part of it
// hung: its service manager starts it again.
const exitStuck = 3

// readToken takes the token from a private file or the environment, never from
// an argument: arguments are seen by everybody on the machine.
func readToken(file string, env func(string) string) (string, error) {
	if file == "" {
		if t := strings.TrimSpace(env("PEGCARD_TOKEN")); t != "" {
			return t, nil
		}
		return "", errors.New("the bot's token is missing; put it into a file, chmod 600 it, and give --token-file")
	}
	info, err := os.Stat(file)
	if err != nil {
		return "", fmt.Errorf("token file: %w", err)
	}
	others := os.FileMode(0o077)
	if dir := env("CREDENTIALS_DIRECTORY"); dir != "" && filepath.Dir(file) == filepath.Clean(dir) {
		// The service manager gives its one reader the right by an access list,
		// whose mask shows as that of the group.
		others = 0o007
	}
	if info.Mode().Perm()&others != 0 {
		return "", fmt.Errorf("%s can be read by others; make it private first: chmod 600 %s", file, file)
	}
	b, err := os.ReadFile(file)
	if err != nil {
		return "", fmt.Errorf("token file: %w", err)
	}
	return strings.TrimSpace(string(b)), nil
}

// listenStatus opens the status page's address, which must be one of this
// machine alone.
func listenStatus(addr string) (net.Listener, error) {
	host, _, err := net.SplitHostPort(addr)
	if err != nil {
		return nil, fmt.Errorf("--status: %w; write it like 127.0.0.1:9470", err)
	}
	if ip := net.ParseIP(host); ip == nil || !ip.IsLoopback() {
		return nil, fmt.Errorf("--status: %q is not an address of this machine alone; write it like 127.0.0.1:9470", host)
	}
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return nil, fmt.Errorf("--status: %w", err)
	}
	return l, nil
}

// statusGrace is what a reader of the status page may still take at a stop.
const statusGrace = time.Second

// serveStatus answers on l until ctx ends.
func serveStatus(ctx context.Context, l net.Listener, h http.Handler) error {
	srv := &http.Server{Handler: h, ReadHeaderTimeout: 5 * time.Second, WriteTimeout: 10 * time.Second, IdleTimeout: time.Minute}
	defer context.AfterFunc(ctx, func() {
		end, cancel := context.WithTimeout(context.WithoutCancel(ctx), statusGrace)
		defer cancel()
		if srv.Shutdown(end) != nil {
			_ = srv.Close() // a reader who does not end is cut off
		}
	})()
	if err := srv.Serve(l); !errors.Is(err, http.ErrServerClosed) {
		return fmt.Errorf("the status page: %w", err)
	}
	return nil
}

func (a *app) serve(ctx context.Context, o serveOptions) (err error) {
	log := a.logger()
	asked, running := ctx, false
	defer func() {
		if asked.Err() != nil && !running {
			err = nil // stopped while it was starting: what broke off, broke off
		}
	}()
	cat, err := wording.Load()
	if err != nil {
		return err
	}
	client, err := telegram.NewClient(telegram.Config{Token: o.token, Endpoint: o.endpoint, Logger: log})
	if err != nil {
		return err
	}
	defer client.Close()
	st, err := store.Open(ctx, store.Options{Dir: a.dir, Logger: log, Hooks: store.Hooks{Point: a.point}})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	clock, err := newMovedClock(ctx, st, a.real)
	if err != nil {
		return err
	}
	b := bot.New(bot.Config{Store: st, Client: client, Words: cat, Logger: log, Now: clock.now, Keep: o.keep, Hooks: bot.Hooks{Point: a.point},
		// What hangs cannot be asked to end. The next start goes on where it stood.
		Stuck: func(string) { os.Exit(exitStuck) }})
	g, ctx := errgroup.WithContext(ctx)
	if o.status != "" {
		l, err := listenStatus(o.status)
		if err != nil {
			return err
		}
		log.Info("status page", "event", "status.listening", "address", l.Addr().String())
		g.Go(func() error { return serveStatus(ctx, l, b.StatusHandler()) })
	}
	running = true
	log.Info("the bot runs", "event", "bot.started", "data", a.dir)
	g.Go(func() error { return b.Run(ctx) })
	err = g.Wait()
	log.Info("the bot has stopped", "event", "bot.stopped")
	return err
}
