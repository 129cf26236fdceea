package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"pegcard/bot"
	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/store"
)

func (a *app) serveCmd() *cobra.Command {
	var tokenFile, endpoint string
	c := &cobra.Command{
		Use:   "serve",
		Short: "Run the bot",
		Long:  "Runs the bot until it is stopped. The token comes from --token-file, a file that only its owner can read,\nor from the environment variable PEGCARD_TOKEN.",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			token, err := readToken(tokenFile, a.env)
			if err != nil {
				return err
			}
			return a.serve(cmd.Context(), token, endpoint)
		},
	}
	c.Flags().StringVar(&tokenFile, "token-file", "", "file that holds the bot's token (mode 0600)")
	c.Flags().StringVar(&endpoint, "api-endpoint", telegram.DefaultEndpoint, "address of the Bot API")
	return c
}

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
	if info.Mode().Perm()&0o077 != 0 {
		return "", fmt.Errorf("%s can be read by others; make it private first: chmod 600 %s", file, file)
	}
	b, err := os.ReadFile(file)
	if err != nil {
		return "", fmt.Errorf("token file: %w", err)
	}
	return strings.TrimSpace(string(b)), nil
}

func (a *app) serve(ctx context.Context, token, endpoint string) (err error) {
	log := a.logger()
	cat, err := wording.Load()
	if err != nil {
		return err
	}
	client, err := telegram.NewClient(telegram.Config{Token: token, Endpoint: endpoint, Logger: log})
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
	b := bot.New(bot.Config{Store: st, Client: client, Words: cat, Logger: log, Now: clock.now, Hooks: bot.Hooks{Point: a.point}})
	log.Info("the bot runs", "event", "bot.started", "data", a.dir)
	err = b.Run(ctx)
	log.Info("the bot has stopped", "event", "bot.stopped")
	return err
}
