package bot_test

import (
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"

	"pegcard/bot"
	"pegcard/bot/telegram"
	"pegcard/cmd/pegcard/democlub"
	"pegcard/prescribe"
	"pegcard/store"
)

// target is a club to which anything may be sent, made anew now and then: what
// was sent before does not slow it down without end.
type target struct {
	dir   string
	store *store.Store
	bot   *bot.Bot
	used  int
	// accounts are a player's, a coach's, a doctor's and a stranger's.
	accounts []int64
	now      time.Time
}

const targetUses = 3000

func (g *target) fresh(t *testing.T) {
	if g.bot != nil && g.used < targetUses {
		g.used++
		return
	}
	ctx := context.Background()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	g.close(t)
	dir, err := os.MkdirTemp("", "target")
	must(err)
	g.dir = dir
	data := filepath.Join(dir, "data")
	must(os.CopyFS(data, os.DirFS(clubOf(t, "Farrowby"))))
	g.store, err = store.Open(ctx, store.Options{Dir: data, Rand: rand.NewChaCha8([32]byte{4})})
	must(err)
	answered := roundTrip(func(r *http.Request) (*http.Response, error) {
		_, _ = io.Copy(io.Discard, r.Body)
		_ = r.Body.Close()
		return &http.Response{StatusCode: 200, Header: http.Header{}, Body: io.NopCloser(strings.NewReader(`{"ok":true,"result":{"message_id":1,"chat":{"id":1,"type":"private"}}}`))}, nil
	})
	client, err := telegram.NewClient(telegram.Config{Token: "7000000001:target-secret", Endpoint: "http://chat.invalid", Transport: answered})
	must(err)
	g.now = democlub.Start().Add(12 * time.Hour)
	g.bot = bot.New(bot.Config{Store: g.store, Client: client, Words: words(t), Now: func() time.Time { return g.now }})
	g.accounts = []int64{1, 2, 3, 4}
	must(g.store.Write(ctx, func(tx *store.Tx) error {
		now := prescribe.InstantOf(g.now.Add(-48 * time.Hour))
		day := prescribe.DayOf(g.now)
		sq, err := tx.SquadBySlug("first")
		if err != nil {
			return err
		}
		players, err := tx.Members(sq.ID, day)
		if err != nil {
			return err
		}
		coaches, err := tx.Staff(sq.ID, store.RoleCoach, day)
		if err != nil {
			return err
		}
		doctors, err := tx.Staff(sq.ID, store.RoleMedical, day)
		if err != nil {
			return err
		}
		for i, p := range []store.Person{players[0], coaches[0], doctors[0]} {
			code, err := tx.Invite(p.ID, 0, now, now+1000)
			if err != nil {
				return err
			}
			if _, err := tx.Join(code, g.accounts[i], g.accounts[i], now); err != nil {
				return err
			}
			if err := tx.Consent(p.ID, bot.NoticeVersion, p.Language, now); err != nil {
				return err
			}
		}
		_, _, err = tx.IssueCard(players[0].ID, day, prescribe.InstantOf(g.now))
		return err
	}))
	g.used = 1
}

func (g *target) close(t *testing.T) {
	if g.bot == nil {
		return
	}
	if err := g.store.Close(); err != nil {
		t.Error(err)
	}
	_ = os.RemoveAll(g.dir)
	g.bot = nil
}

// take handles an update and words all that comes of it.
func (g *target) take(t *testing.T, u telegram.Update) {
	t.Helper()
	g.now = g.now.Add(3 * time.Second)
	if err := g.bot.Handle(t.Context(), u); err != nil {
		t.Fatalf("a fault of ours: %v", err)
	}
	words, err := g.bot.WordAll(t.Context())
	if err != nil {
		t.Fatalf("not worded: %v", err)
	}
	for _, m := range words {
		if !utf8.ValidString(m.Text) {
			t.Fatalf("not UTF-8: %q", m.Text)
		}
		for _, row := range m.Buttons {
			for _, b := range row {
				if len(b.Data) > 64 {
					t.Fatalf("button data %q", b.Data)
				}
			}
		}
	}
}

// hostile are arguments of buttons that nobody was shown.
var hostile = []string{"", ":", ":0", ":1", ":1:1", ":1:1:0", ":1:1:0:s:2", ":-1:-1", ":9223372036854775807:9223372036854775807", ":1:1:1:1:1:1:1:1:1",
	":hamstring:left:6", ":1:hamstring", ":1:1:back_squat", ":1e9:NaN:Inf", ":\x00:\xff:<b>", ":2026-03-10", ":9999-12-31", ":en:xx", ":%s:%d", strings.Repeat(":1", 30)}

// FuzzTap sends button data that nobody was shown, as a player, a coach, a
// doctor and a stranger would forge it. Nothing panics, nothing is a fault of
// ours, and what comes of it can be worded.
func FuzzTap(f *testing.F) {
	for i, verb := range append(bot.TapVerbs(), "", "zz", "v:today", "v:player", "v:why", "v:cardedit", "v:edititem", "v:howto") {
		for j, args := range hostile {
			if !testing.Short() || (i+j)%6 == 0 {
				f.Add(verb+args, uint8(i+j))
			}
		}
	}
	g := &target{}
	f.Cleanup(func() {
		if g.bot != nil {
			_ = g.store.Close()
			_ = os.RemoveAll(g.dir)
		}
	})
	n := 0
	f.Fuzz(func(t *testing.T, data string, who uint8) {
		if len(data) > 64 {
			data = data[:64] // the server passes on no more
		}
		g.fresh(t)
		n++
		user := g.accounts[int(who)%len(g.accounts)]
		g.take(t, telegram.Update{UpdateID: n, CallbackQuery: &tgbotapi.CallbackQuery{
			ID: fmt.Sprint("f", n), From: &tgbotapi.User{ID: user, LanguageCode: "en"}, Data: data,
			Message: &tgbotapi.Message{MessageID: 5, Chat: &tgbotapi.Chat{ID: user, Type: "private"}, Date: int(g.now.Unix())}}})
	})
}

// FuzzMessage writes anything to the bot, as each of them.
func FuzzMessage(f *testing.F) {
	for i, text := range []string{"3x5 100", "left hamstring pain 6", "sore 3", "/start", "/start x", "/today", "/why 1", "/squad", "/hold", "/release 9", "/invite", "/fixtures",
		"I fainted", "100", "-1", "1e309", "yes", "\x00", "<b>&amp;", "\u202e", strings.Repeat("3x5 ", 900), "/test 9 back_squat 5 100", "/minutes 9 75", "/away 2026-03-11", "/language", "/privacy", "/erase"} {
		f.Add(text, uint8(i))
		f.Add(text, uint8(i+1))
	}
	g := &target{}
	f.Cleanup(func() {
		if g.bot != nil {
			_ = g.store.Close()
			_ = os.RemoveAll(g.dir)
		}
	})
	n := 0
	f.Fuzz(func(t *testing.T, text string, who uint8) {
		if !utf8.ValidString(text) || len(text) > 16<<10 {
			t.Skip("JSON carries UTF-8, and the server no more than 4096 characters")
		}
		g.fresh(t)
		n++
		user := g.accounts[int(who)%len(g.accounts)]
		g.take(t, telegram.Update{UpdateID: n, Message: &tgbotapi.Message{MessageID: 10 + n, From: &tgbotapi.User{ID: user, LanguageCode: "en"},
			Chat: &tgbotapi.Chat{ID: user, Type: "private"}, Date: int(g.now.Unix()), Text: text}})
	})
}

type roundTrip func(*http.Request) (*http.Response, error)

func (f roundTrip) RoundTrip(r *http.Request) (*http.Response, error) { return f(r) }
