package bot_test

import (
	"fmt"
	"net/http"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
	"github.com/stretchr/testify/require"

	"pegcard/bot/telegram"
)

// What people wrote, who they are and the token stand in no log line, no error,
// no reason of a message that was dropped, and no figure: also when the database
// fails under every flow, when wording panics over their words, when a handler
// panics, and when the network echoes the address it was called under.
func TestNothingOfPeopleIsLogged(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k := newTalk(t, clubOf(t, "Farrowby"), tuesday(12, 0))
		for _, n := range []string{"Farrowby", "Harkwell", "Quintavale", "Larkfield"} {
			k.join(k.must(n))
		}
		rt := &every{base: k.chat.Transport()}
		var log logged
		k.through(rt, log.logger())
		var broken atomic.Value // the point at which to panic, once
		k.hooked(log.logger(), func(name string) {
			if broken.CompareAndSwap(name, "") {
				panic("canarypanic Farrowby")
			}
		})
		time.Sleep(time.Second)
		const note = "zyxcanary"
		said := []string{"left hamstring pain 6 " + note, "I fainted " + note, "3x5 100 " + note, note, "/why " + note, "/start " + note, "/today " + note, "my chest hurts " + note}
		staff := []string{"/squad " + note, "/hold " + note, "/invite " + note, "/test 1 back_squat 5 100 " + note, "/minutes " + note, note}
		i, coach, doctor := k.must("Farrowby"), k.must("Harkwell"), k.must("Quintavale")
		n := 0
		all := func() {
			for m := range max(len(said), len(staff)) {
				// Straight to the handler, so that its error is seen as well.
				for _, x := range []struct {
					who  int
					text []string
				}{{i, said}, {coach, staff}, {doctor, staff}} {
					n++
					id := account(x.who)
					if err := k.bot.Handle(t.Context(), telegram.Update{UpdateID: n, Message: &tgbotapi.Message{MessageID: 100_000 + n,
						Text: x.text[m%len(x.text)], Date: int(k.Now().Unix()), Chat: &tgbotapi.Chat{ID: id, Type: "private"}, From: &tgbotapi.User{ID: id}}}); err != nil {
						fmt.Fprintln(&log, "error:", err)
					}
				}
			}
			_, err := k.chat.Say(account(i), account(i), "right calf pain 5 "+note)
			require.NoError(t, err)
			require.NoError(t, k.set(t.Context(), k.Now().Add(10*time.Minute)))
			k.bot.Changed()
			time.Sleep(3 * time.Minute)
		}
		tables := column(t, k.dir, `SELECT name FROM sqlite_schema WHERE type = 'table' AND name IN
			('event', 'card', 'alert', 'dialog', 'person', 'outbox', 'audit', 'once_key', 'staff_role', 'message', 'consent', 'note', 'quarantine') ORDER BY name`)
		require.GreaterOrEqual(t, len(tables), 8)
		for i, table := range tables {
			if testing.Short() && i%3 != 0 {
				continue
			}
			k.sqlexec(`ALTER TABLE ` + table + ` RENAME TO ` + table + `_x`)
			all()
			if err := k.bot.Tick(t.Context()); err != nil {
				fmt.Fprintln(&log, "error:", err)
			}
			k.sqlexec(`ALTER TABLE ` + table + `_x RENAME TO ` + table)
		}
		rt.set(func(r *http.Request) (*http.Response, error) {
			return nil, fmt.Errorf("Post %q: proxy says no to %v", r.URL.String(), r.Header)
		})
		all()
		rt.set(nil)
		for range 2 {
			broken.Store("in.transaction")
			_, err := k.chat.Say(account(i), account(i), "left calf pain 7 "+note)
			require.NoError(t, err)
			time.Sleep(time.Minute)
		}
		all()
		_, health := status(k.bot, "/healthz")
		_, metrics := status(k.bot, "/metrics")
		reasons := strings.Join(column(t, k.dir, `SELECT reason FROM outbox UNION ALL SELECT reason FROM quarantine`), "\n")
		text := log.String() + health + metrics + reasons
		for _, event := range []string{"update.failed", "due.failed", "outbox.failed", "outbox.send_failed", "update.panicked", "error: "} {
			require.True(t, testing.Short() || strings.Contains(text, event), "the flow to %s was not walked", event)
		}
		noneOf(t, text, k.people, note, "canarypanic", "dialogue-secret", "hamstring", "calf", "faint", "chest", k.chat.Token())
	})
}
