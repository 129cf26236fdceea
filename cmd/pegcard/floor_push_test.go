package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"path"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/bot"
	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
)

// pushed is how many chats the push benchmark writes to, and troubled how many
// of them are slow or fail.
const (
	pushed   = 1_000
	troubled = 10
)

// The morning's cards of 1,000 players at the pace that the chat server allows,
// 30 a second in all, with ten chats that hang or fail. The floor is the pace
// itself. Half-way an alert is written: it must overtake the cards.
func BenchmarkFloorPush(b *testing.B) {
	dir := bigClub(b, pushed)
	for b.Loop() {
		b.StopTimer()
		mine := cloneData(b, dir)
		at := morningOf(b)
		bt, st := quietBot(b, mine, at.Add(-time.Minute))
		require.NoError(b, bt.Tick(b.Context()))
		require.NoError(b, st.Close())

		st, err := store.Open(b.Context(), store.Options{Dir: mine})
		require.NoError(b, err)
		words, err := wording.Load()
		require.NoError(b, err)
		srv := &strictServer{got: map[int64]time.Time{}, all: make(chan struct{}), want: pushed - troubled}
		client, err := telegram.NewClient(telegram.Config{Token: "7000000001:bench-secret", Endpoint: "http://chat.invalid", Transport: srv})
		require.NoError(b, err)
		began := time.Now()
		bt = bot.New(bot.Config{Store: st, Client: client, Words: words, Now: func() time.Time { return at.Add(time.Since(began)) }})
		require.NoError(b, bt.Tick(b.Context()))
		ctx, cancel := context.WithCancel(b.Context())
		done := make(chan error, 1)

		b.StartTimer()
		began = time.Now()
		go func() { done <- bt.Run(ctx) }()
		time.Sleep(5 * time.Second)
		var alerted int64
		require.NoError(b, st.Write(ctx, func(tx *store.Tx) error {
			sq, err := tx.Squads()
			if err != nil {
				return err
			}
			ps, err := tx.Members(sq[0].ID, prescribe.DayOf(at))
			if err != nil {
				return err
			}
			alerted = ps[0].Chat
			srv.expectAlert(alerted)
			_, _, err = tx.Enqueue(store.Out{Kind: "say", Recipient: ps[0].ID, Args: "player.noted", Priority: 0})
			return err
		}))
		wrote := time.Now()
		select {
		case <-srv.all:
		case <-time.After(5 * time.Minute):
			b.Fatalf("only %d cards arrived", srv.count())
		}
		took := time.Since(began)
		b.StopTimer()
		cancel()
		require.NoError(b, <-done)
		require.NoError(b, st.Close())
		srv.mu.Lock()
		refused, alert := srv.refused, srv.alert.Sub(wrote)
		srv.mu.Unlock()
		b.ReportMetric(float64(srv.want)/30/took.Seconds()*100, "%-of-pace")
		b.ReportMetric(float64(refused), "429s")
		b.ReportMetric(float64(alert.Milliseconds()), "ms-alert")
		b.StartTimer()
	}
}

// strictServer is the least of a chat server: it refuses the 31st message in
// any second, hangs and fails in ten chats, and notes when each chat got its
// first message.
type strictServer struct {
	mu      sync.Mutex
	last    []time.Time
	got     map[int64]time.Time
	refused int
	want    int
	all     chan struct{}
	watched int64
	alert   time.Time
	id      int
}

func (s *strictServer) count() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.got)
}

// expectAlert notes when the chat's next message comes, which is not its card.
func (s *strictServer) expectAlert(chat int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.watched = chat
}

func (s *strictServer) RoundTrip(r *http.Request) (*http.Response, error) {
	switch path.Base(r.URL.Path) {
	case "getMe":
		return answer(200, `{"ok":true,"result":{"id":1,"is_bot":true,"first_name":"b","username":"b_bot"}}`), nil
	case "getUpdates":
		<-r.Context().Done()
		return nil, r.Context().Err()
	case "sendMessage":
		if err := r.ParseForm(); err != nil {
			return nil, err
		}
		chat, err := strconv.ParseInt(r.PostForm.Get("chat_id"), 10, 64)
		if err != nil {
			return nil, err
		}
		return s.message(r, chat)
	}
	return answer(200, `{"ok":true,"result":true}`), nil
}

func (s *strictServer) message(r *http.Request, chat int64) (*http.Response, error) {
	if squad := chat / copyStep; chat%copyStep == chatID(5) && squad < troubled {
		if squad%2 == 0 {
			<-r.Context().Done()
			return nil, r.Context().Err()
		}
		return answer(500, `{"ok":false,"error_code":500,"description":"Internal Server Error"}`), nil
	}
	now := time.Now()
	s.mu.Lock()
	defer s.mu.Unlock()
	for len(s.last) > 0 && now.Sub(s.last[0]) >= time.Second {
		s.last = s.last[1:]
	}
	if len(s.last) >= 30 {
		s.refused++
		return answer(429, `{"ok":false,"error_code":429,"description":"Too Many Requests: retry after 1","parameters":{"retry_after":1}}`), nil
	}
	s.last = append(s.last, now)
	if chat == s.watched && s.alert.IsZero() {
		s.alert = now
	} else if _, ok := s.got[chat]; !ok {
		if s.got[chat] = now; len(s.got) == s.want {
			close(s.all)
		}
	}
	s.id++
	return answer(200, fmt.Sprintf(`{"ok":true,"result":{"message_id":%d,"date":%d,"chat":{"id":%d,"type":"private"}}}`, s.id, now.Unix(), chat)), nil
}

func answer(code int, body string) *http.Response {
	return &http.Response{StatusCode: code, Status: http.StatusText(code), Header: http.Header{"Content-Type": {"application/json"}},
		Body: io.NopCloser(bytes.NewReader([]byte(body))), ContentLength: int64(len(body))}
}
