package bot_test

import (
	"context"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"path/filepath"
	"runtime"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/bot"
	"pegcard/bot/localchat"
	"pegcard/bot/telegram"
	"pegcard/cmd/pegcard/democlub"
	"pegcard/prescribe"
	"pegcard/store"
	"pegcard/store/clubfile"
)

// One account that writes without end, and a crowd of strangers, delay nobody
// else: not the handling, and not what is sent.
func TestNoisyDelaysNobodyElse(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k, s := watchedClub(t, clubOf(t, "Farrowby", "Ashgrove"), tuesday(12, 0), "Farrowby", "Ashgrove", "Quintavale")
		noisy, other := account(k.must("Farrowby")), account(k.must("Ashgrove"))
		for i := range 300 {
			id := int64(20_000 + i)
			require.NoError(t, k.chat.AddPerson(localchat.Person{ID: id, FirstName: "x", Started: true}))
		}
		s.forget()
		for range 39 {
			_, err := k.chat.Say(noisy, noisy, "/today")
			require.NoError(t, err)
		}
		for range 1000 {
			_, err := k.chat.Say(noisy, noisy, "left calf sore 1")
			require.NoError(t, err)
		}
		for i := range 300 {
			for range 3 {
				_, err := k.chat.Say(int64(20_000+i), int64(20_000+i), "hello")
				require.NoError(t, err)
			}
		}
		begin := time.Now()
		_, err := k.chat.Say(other, other, "right calf pain 6")
		require.NoError(t, err)
		time.Sleep(5 * time.Second)
		var answered, alerted time.Duration
		loud := 0
		for _, c := range s.calls() {
			switch c.chat {
			case fmt.Sprint(other):
				if answered == 0 {
					answered = c.at.Sub(begin) + 1
				}
			case fmt.Sprint(account(k.must("Quintavale"))):
				if alerted == 0 {
					alerted = c.at.Sub(begin) + 1
				}
			case fmt.Sprint(noisy):
				loud++
			}
		}
		require.NotZero(t, answered)
		require.NotZero(t, alerted)
		// At the pace of all messages 600 greetings would take more than 20 s.
		require.LessOrEqual(t, answered, 3*time.Second, "the answer")
		require.LessOrEqual(t, alerted, 3*time.Second, "the alert")
		require.LessOrEqual(t, loud, 8, "the noisy chat keeps its pace")
		require.Less(t, len(column(t, k.dir, fmt.Sprintf(`SELECT key FROM once_key WHERE key LIKE 'in/msg/%d/%%'`, noisy))), 50, "the rest was not read")
		require.Empty(t, column(t, k.dir, `SELECT 'x' FROM outbox WHERE chat BETWEEN 20000 AND 20300 UNION ALL SELECT key FROM once_key WHERE key LIKE 'in/msg/20___/%'`), "strangers write nothing")
	})
}

// A group that becomes a supergroup while messages wait for it and the network
// misbehaves: each arrives in the new one, once but for answers that were lost.
func TestGroupMigratesInAStorm(t *testing.T) {
	for seed := range uint64(3) {
		if testing.Short() && seed > 0 {
			break
		}
		synctest.Test(t, func(t *testing.T) {
			k := newTalk(t, clubOf(t, "Farrowby"), tuesday(12, 0))
			for _, n := range []string{"Farrowby", "Harkwell", "Quintavale"} {
				k.join(k.must(n))
			}
			old, err := k.chat.AddGroup(localchat.Group{Title: "Staff room", Members: []int64{account(k.must("Harkwell")), account(k.must("Quintavale"))}})
			require.NoError(t, err)
			net := newUnruly(k.chat.Transport(), rand.New(rand.NewPCG(seed, 3)))
			k.through(net, nil)
			k.hooked(slog.New(slog.DiscardHandler), nil)
			k.settle()
			net.be(0.6)
			for n := range 6 {
				k.enqueue(store.Out{Kind: "say", Chat: old, Args: "player.noted", Ref: int64(n), Priority: 5})
			}
			time.Sleep(2 * time.Second)
			next, err := k.chat.MigrateGroup(old)
			require.NoError(t, err)
			time.Sleep(30 * time.Minute)
			net.be(0)
			for range 4 { // messages in a long pause are due by the civil clock
				require.NoError(t, k.set(t.Context(), k.Now().Add(20*time.Minute)))
				k.bot.Changed()
				time.Sleep(2 * time.Minute)
			}
			early, lost, met := net.seen()
			require.Empty(t, early)
			require.Positive(t, met["429"]+met["429 page"])
			got := 0
			for _, m := range k.chat.Transcript(next) {
				if m.FromBot() {
					got++
				}
			}
			require.GreaterOrEqual(t, got, 6, "all arrived, before or after")
			require.LessOrEqual(t, got, 6+lost[fmt.Sprint(old)]+lost[fmt.Sprint(next)], "only what lost its answer came again")
			require.Empty(t, column(t, k.dir, `SELECT state FROM outbox WHERE args = 'player.noted' AND state <> 'sent'`))
		})
	}
}

// Thirty days with replies each day: what is held in memory does not grow.
func TestMemoryIsFlat(t *testing.T) {
	if testing.Short() {
		t.Skip("thirty days under the race detector say nothing more")
	}
	synctest.Test(t, func(t *testing.T) {
		loc, err := store.Zone(democlub.Zone)
		require.NoError(t, err)
		start := time.Date(2026, 2, 2, 0, 0, 0, 0, loc)
		offset := time.Until(start)
		now := func() time.Time { return time.Now().Add(offset) }
		st, err := store.Open(t.Context(), store.Options{Dir: filepath.Join(t.TempDir(), "data"), Rand: rand.NewChaCha8([32]byte{3})})
		require.NoError(t, err)
		im, problems := clubfile.Read(democlub.Files, clubfile.Options{Now: democlub.Start()})
		require.Empty(t, problems)
		im.Tests, im.Minutes, im.Players = nil, nil, im.Players[:3]
		res, err := st.Import(t.Context(), im, prescribe.InstantOf(start.AddDate(0, 0, -1)), false)
		require.NoError(t, err)
		require.Empty(t, res.Problems)
		// The chat server remembers little, so what grows is the program.
		chat := localchat.New(localchat.Options{Token: "7000000001:memory-secret", Now: now, Zone: loc, Limits: localchat.DefaultLimits(), KeepMessages: 20})
		client, err := telegram.NewClient(telegram.Config{Token: chat.Token(), Endpoint: "http://chat.invalid", Transport: chat.Transport()})
		require.NoError(t, err)
		players, _, _ := joinSome(t, st, chat, prescribe.InstantOf(start), 3)
		b := bot.New(bot.Config{Store: st, Client: client, Words: words(t), Now: now})
		done := make(chan error, 1)
		ctx, cancel := context.WithCancel(t.Context())
		go func() { done <- b.Run(ctx) }()
		var heap []uint64
		goroutines := 0
		for day := range 30 {
			time.Sleep(9 * time.Hour)
			for i, p := range players {
				_, err := chat.Say(p.Chat, p.Chat, fmt.Sprintf("left calf sore %d", 1+(day+i)%3))
				require.NoError(t, err)
			}
			for i := range 20 { // strangers, new ones each day
				id := int64(30_000 + 20*day + i)
				if day < 15 {
					require.NoError(t, chat.AddPerson(localchat.Person{ID: id, FirstName: "x", Started: true}))
				}
				_, err := chat.Say(int64(30_000+(20*day+i)%300), int64(30_000+(20*day+i)%300), "hello")
				require.NoError(t, err)
			}
			time.Sleep(15 * time.Hour)
			synctest.Wait()
			runtime.GC()
			runtime.GC()
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			heap = append(heap, m.HeapAlloc)
			goroutines = max(goroutines, runtime.NumGoroutine())
		}
		cancel()
		require.NoError(t, <-done)
		chat.Close()
		require.NoError(t, st.Close())
		lowest := func(days []uint64) uint64 {
			low := days[0]
			for _, h := range days {
				low = min(low, h)
			}
			return low
		}
		second, last := lowest(heap[10:15]), lowest(heap[25:])
		t.Logf("heap in use: %.1f MB on days 11 to 15, %.1f MB on days 26 to 30; at most %d goroutines", float64(second)/1e6, float64(last)/1e6, goroutines)
		require.Less(t, float64(last), 1.1*float64(second)+1e6, "%v", heap)
		require.Less(t, goroutines, 100)
	})
}
