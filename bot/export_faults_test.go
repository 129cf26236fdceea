package bot

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"pegcard/bot/telegram"
	"pegcard/store"
)

// Pages that only tests send: one that panics over a person's words, and one of
// three messages' length.
func init() {
	pages["testpanic"] = func(*rendering, tap) (telegram.Outgoing, error) { panic("my knee hurts") }
	pages["testlong"] = func(*rendering, tap) (telegram.Outgoing, error) {
		var b strings.Builder
		for _, word := range []string{"alpha", "beta", "gamma"} {
			b.WriteString(word + "\n" + strings.Repeat("x", telegram.MessageMax-len(word)-2) + "\n")
		}
		return telegram.Outgoing{Text: strings.TrimSpace(b.String())}, nil
	}
}

// Tappable reports whether a button may open the page.
func Tappable(page string) bool { return tappable[page] }

// WordAll words every message that waits, as the sender would, and calls each
// sent. It ends with what could not be worded.
func (b *Bot) WordAll(ctx context.Context) (words []telegram.Outgoing, err error) {
	for {
		var outs []store.Out
		if err := b.Store.Write(ctx, func(tx *store.Tx) (err error) {
			outs, err = tx.ClaimOut(b.now(), claimMax, nil)
			return err
		}); err != nil || len(outs) == 0 {
			return words, err
		}
		for _, o := range outs {
			m, err := b.sender.word(ctx, o)
			switch {
			case errors.Is(err, errNothing), errors.Is(err, store.ErrNotFound):
				err = b.Store.Write(ctx, func(tx *store.Tx) error { return tx.OutBury(o.ID, "nothing to say") })
			case err == nil:
				words = append(words, m)
				err = b.Store.Write(ctx, func(tx *store.Tx) error {
					return errors.Join(tx.OutSent(o.ID, o.Chat, int(1_000_000+o.ID), b.now()), b.afterSent(tx, o))
				})
			}
			if err != nil {
				return words, fmt.Errorf("%s %q: %w", o.Kind, o.Args, err)
			}
		}
	}
}
