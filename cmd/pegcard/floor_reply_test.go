package main

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"path"
	"slices"
	"strconv"
	"sync"
	"testing"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
	"github.com/stretchr/testify/require"

	"pegcard/bot"
	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/store"
)

// replies is how many players answer in the reply benchmark, one after the
// other, slower than the pace the server allows.
const (
	replies    = 100
	replyEvery = 150 * time.Millisecond
)

// One reply: from the update's arrival to the answer in the network's hands,
// with the event recorded and folded and today's card worked out again in
// between. The floor is a bot on the same library that writes one row durably
// and says one thing.
func BenchmarkFloorReply(b *testing.B) {
	dir := bigClub(b, replies)
	var ours, floor []time.Duration
	for b.Loop() {
		ours = append(ours, replyOurs(b, cloneData(b, dir))...)
		floor = append(floor, replyMinimal(b)...)
	}
	for name, p := range map[string]float64{"p50": 0.5, "p99": 0.99} {
		b.ReportMetric(quantile(ours, p).Seconds()/quantile(floor, p).Seconds(), name+"-x-floor")
		b.ReportMetric(quantile(ours, p).Seconds()*1e3, "ms-"+name)
		b.ReportMetric(quantile(floor, p).Seconds()*1e3, "floor-ms-"+name)
	}
}

func quantile(ds []time.Duration, p float64) time.Duration {
	s := slices.Sorted(slices.Values(ds))
	return s[min(len(s)-1, int(p*float64(len(s))))]
}

func replyOurs(b *testing.B, dir string) []time.Duration {
	at := morningOf(b)
	st, err := store.Open(b.Context(), store.Options{Dir: dir})
	require.NoError(b, err)
	words, err := wording.Load()
	require.NoError(b, err)
	srv := newEchoServer()
	client, err := telegram.NewClient(telegram.Config{Token: "7000000001:bench-secret", Endpoint: "http://chat.invalid", Transport: srv})
	require.NoError(b, err)
	began := time.Now()
	bt := bot.New(bot.Config{Store: st, Client: client, Words: words, Now: func() time.Time { return at.Add(time.Since(began)) }})
	ctx, cancel := context.WithCancel(b.Context())
	done := make(chan error, 1)
	go func() { done <- bt.Run(ctx) }()
	chats := make([]int64, 0, replies)
	for p := range replies {
		chats = append(chats, chatID(int64(p%squadSize+1))+int64(p/squadSize*copyStep))
	}
	srv.await(b, chats) // the cards
	time.Sleep(2 * time.Second)
	out := srv.ask(b, chats, at)
	cancel()
	require.NoError(b, <-done)
	require.NoError(b, st.Close())
	return out
}

// replyMinimal polls, writes one row in a durable transaction, and answers.
func replyMinimal(b *testing.B) []time.Duration {
	srv := newEchoServer()
	api := &tgbotapi.BotAPI{Token: "7000000001:bench-secret", Client: &http.Client{Transport: srv}, Buffer: 100}
	api.SetAPIEndpoint("http://chat.invalid/bot%s/%s")
	dir := b.TempDir()
	db := rawDB(b, dir)
	_, err := db.Exec(`CREATE TABLE note (id INTEGER PRIMARY KEY, chat INTEGER, text TEXT)`)
	require.NoError(b, err)
	insert, err := db.Prepare(`INSERT INTO note (chat, text) VALUES (?, ?)`)
	require.NoError(b, err)
	stop := make(chan struct{})
	go func() {
		defer close(stop)
		for offset := 0; ; {
			us, err := api.GetUpdates(tgbotapi.UpdateConfig{Offset: offset, Timeout: 50})
			if err != nil {
				return
			}
			for _, u := range us {
				offset = u.UpdateID + 1
				if _, err := insert.Exec(u.Message.Chat.ID, u.Message.Text); err != nil {
					b.Error(err)
					return
				}
				if _, err := api.Send(tgbotapi.NewMessage(u.Message.Chat.ID, "Noted.")); err != nil {
					b.Error(err)
					return
				}
			}
		}
	}()
	chats := make([]int64, replies)
	for i := range chats {
		chats[i] = int64(i + 1)
	}
	out := srv.ask(b, chats, time.Now())
	close(srv.end)
	<-stop
	require.NoError(b, db.Close())
	return out
}

// echoServer hands out updates and notes when a message to a chat arrives.
type echoServer struct {
	mu      sync.Mutex
	id      int
	arrived map[int64]chan time.Time
	updates chan string
	end     chan struct{}
}

func newEchoServer() *echoServer {
	return &echoServer{arrived: map[int64]chan time.Time{}, updates: make(chan string, 1), end: make(chan struct{})}
}

func (s *echoServer) chat(id int64) chan time.Time {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.arrived[id] == nil {
		s.arrived[id] = make(chan time.Time, 100)
	}
	return s.arrived[id]
}

// await waits for a message in each chat.
func (s *echoServer) await(b *testing.B, chats []int64) {
	for _, c := range chats {
		select {
		case <-s.chat(c):
		case <-time.After(time.Minute):
			b.Fatalf("nothing came to chat %d", c)
		}
	}
}

// ask sends one message from each chat and measures until the answer.
func (s *echoServer) ask(b *testing.B, chats []int64, at time.Time) (out []time.Duration) {
	for i, c := range chats {
		for len(s.chat(c)) > 0 {
			<-s.chat(c)
		}
		u, err := json.Marshal(map[string]any{"update_id": i + 1, "message": map[string]any{
			"message_id": 1_000_000 + i, "date": at.Unix(), "text": "left hamstring soreness 6",
			"chat": map[string]any{"id": c, "type": "private"}, "from": map[string]any{"id": c, "first_name": "x"},
		}})
		require.NoError(b, err)
		began := time.Now()
		s.updates <- string(u)
		select {
		case t := <-s.chat(c):
			out = append(out, t.Sub(began))
		case <-time.After(time.Minute):
			b.Fatalf("no answer to chat %d", c)
		}
		time.Sleep(replyEvery)
	}
	return out
}

func (s *echoServer) RoundTrip(r *http.Request) (*http.Response, error) {
	switch path.Base(r.URL.Path) {
	case "getMe":
		return answer(200, `{"ok":true,"result":{"id":1,"is_bot":true,"first_name":"b","username":"b_bot"}}`), nil
	case "getUpdates":
		select {
		case u := <-s.updates:
			return answer(200, `{"ok":true,"result":[`+u+`]}`), nil
		case <-r.Context().Done():
			return nil, r.Context().Err()
		case <-s.end:
			return nil, fmt.Errorf("closed")
		}
	case "sendMessage":
		now := time.Now()
		if err := r.ParseForm(); err != nil {
			return nil, err
		}
		chat, err := strconv.ParseInt(r.PostForm.Get("chat_id"), 10, 64)
		if err != nil {
			return nil, err
		}
		s.mu.Lock()
		s.id++
		id := s.id
		s.mu.Unlock()
		s.chat(chat) <- now
		return answer(200, fmt.Sprintf(`{"ok":true,"result":{"message_id":%d,"date":1,"chat":{"id":%d,"type":"private"}}}`, id, chat)), nil
	}
	return answer(200, `{"ok":true,"result":true}`), nil
}
