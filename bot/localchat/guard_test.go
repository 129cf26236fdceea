package localchat_test

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/bot/localchat"
)

// ask sends a request straight to the handler, headers as given.
func ask(s *localchat.Server, method, target, body string, headers ...string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, target, strings.NewReader(body))
	r.Host = "127.0.0.1:8080"
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/json")
	}
	for i := 0; i+1 < len(headers); i += 2 {
		if headers[i] == "Host" {
			r.Host = headers[i+1]
			continue
		}
		r.Header.Set(headers[i], headers[i+1])
	}
	w := httptest.NewRecorder()
	s.ServeHTTP(w, r)
	return w
}

func TestHostGuard(t *testing.T) {
	s := newServer(t, nil)
	for host, want := range map[string]int{
		"127.0.0.1": 200, "127.0.0.1:8080": 200, "localhost:8080": 200, "LOCALHOST": 200, "[::1]:8080": 200, "[::1]": 200,
		"evil.example": 403, "evil.example:8080": 403, "127.0.0.1.evil.example": 403, "": 403, "192.168.1.4:8080": 403, "0.0.0.0": 403,
	} {
		require.Equal(t, want, ask(s, "GET", "/", "", "Host", host).Code, host)
		require.Equal(t, want, ask(s, "GET", "/bot"+token+"/getMe", "", "Host", host).Code, host)
	}
}

func TestWritesComeFromThePage(t *testing.T) {
	s := newServer(t, nil)
	const say = `{"person":101,"chat":101,"text":"hello"}`
	post := func(headers ...string) int { return ask(s, "POST", "/page/say", say, headers...).Code }
	require.Equal(t, 403, post("Origin", "http://evil.example"))
	require.Equal(t, 403, post("Origin", "http://127.0.0.1:9999"), "another port is another origin")
	require.Equal(t, 403, post("Origin", "null"))
	require.Equal(t, 403, post("Sec-Fetch-Site", "cross-site"))
	require.Equal(t, 403, post("Sec-Fetch-Site", "same-site"))
	require.Equal(t, 415, post("Content-Type", "text/plain"), "what a form can send without asking is not read")
	require.Empty(t, s.Transcript(kit))
	require.Equal(t, 200, post("Origin", "http://127.0.0.1:8080", "Sec-Fetch-Site", "same-origin"))
	require.Equal(t, 200, post())
	require.Len(t, s.Transcript(kit), 2)
	require.Equal(t, 405, ask(s, "GET", "/page/say", "").Code)
	require.Equal(t, 413, ask(s, "POST", "/page/say", `{"text":"`+strings.Repeat("x", 1<<20)+`"}`).Code)
	require.Equal(t, 400, ask(s, "POST", "/page/say", "{").Code)
}

func TestPageHeaders(t *testing.T) {
	s := newServer(t, nil)
	for path, kind := range map[string]string{"/": "text/html; charset=utf-8", "/page/style.css": "text/css; charset=utf-8", "/page/page.js": "text/javascript; charset=utf-8", "/page/state": "application/json"} {
		w := ask(s, "GET", path, "")
		require.Equal(t, 200, w.Code, path)
		require.Equal(t, kind, w.Header().Get("Content-Type"))
		csp := w.Header().Get("Content-Security-Policy")
		require.Contains(t, csp, "default-src 'none'")
		require.NotContains(t, csp, "unsafe")
		require.Equal(t, "nosniff", w.Header().Get("X-Content-Type-Options"))
		require.NotContains(t, w.Body.String(), "test-secret", "the token stays out of the page")
		require.NotContains(t, w.Body.String(), "innerHTML")
	}
	require.Equal(t, 404, ask(s, "GET", "/etc/passwd", "").Code)
}

func TestPageFilesAreDownloads(t *testing.T) {
	s := newServer(t, nil)
	a := uploadTo(t, s, "sendDocument", "document", "x.html", []byte("<script>alert(1)</script>"))
	var m localchat.Message
	require.NoError(t, json.Unmarshal(a.Result, &m))
	w := ask(s, "GET", "/page/file?id="+m.Document.FileID, "")
	require.Equal(t, "application/octet-stream", w.Header().Get("Content-Type"))
	require.Equal(t, `attachment; filename=x.html`, w.Header().Get("Content-Disposition"))
	a = uploadTo(t, s, "sendPhoto", "photo", "x.png", picture(t, 4, 4))
	require.NoError(t, json.Unmarshal(a.Result, &m))
	require.Equal(t, "image/png", ask(s, "GET", "/page/file?id="+m.Photo[0].FileID, "").Header().Get("Content-Type"))
	require.Equal(t, 404, ask(s, "GET", "/page/file?id=none", "").Code)
}

func TestPageDeeds(t *testing.T) {
	s := newServer(t, nil)
	good(t, s, nil, "sendMessage", "chat_id", "101", "text", "Q", "reply_markup", `{"inline_keyboard":[[{"text":"A","callback_data":"a"}]]}`)
	type chat struct {
		Messages []struct {
			ID   int    `json:"id"`
			Text string `json:"text"`
			Bot  bool   `json:"bot"`
			At   string `json:"at"`
		} `json:"messages"`
		Seen int  `json:"seen"`
		More bool `json:"more"`
	}
	read := func(query string) (c chat) {
		t.Helper()
		w := ask(s, "GET", "/page/chat?"+query, "")
		require.Equal(t, 200, w.Code, w.Body)
		require.NoError(t, json.Unmarshal(w.Body.Bytes(), &c))
		return c
	}
	c := read("person=101&chat=101")
	require.Len(t, c.Messages, 1)
	require.True(t, c.Messages[0].Bot)
	require.Equal(t, "07:42", c.Messages[0].At)
	require.Contains(t, ask(s, "GET", "/page/state", "").Body.String(), `"unread":{"101":1}`)
	for _, d := range []struct {
		path, body string
		code       int
	}{
		{"seen", `{"person":101,"chat":101,"message":1}`, 200},
		{"tap", `{"person":101,"chat":101,"message":1,"data":"a"}`, 200},
		{"tap", `{"person":101,"chat":101,"message":1,"data":"b"}`, 404},
		{"say", `{"person":101,"chat":101,"text":"one"}`, 200},
		{"say", `{"person":101,"chat":102,"text":"one"}`, 404},
		{"say", `{"person":101,"chat":101,"text":" "}`, 409},
		{"edit", `{"person":101,"chat":101,"message":2,"text":"two"}`, 200},
		{"attach", `{"person":101,"chat":101,"kind":"photo"}`, 200},
		{"attach", `{"person":101,"chat":101,"kind":"voice"}`, 200},
		{"attach", `{"person":101,"chat":101,"kind":"sticker"}`, 200},
		{"attach", `{"person":101,"chat":101,"kind":"file"}`, 200},
		{"attach", `{"person":101,"chat":101,"kind":"car"}`, 409},
		{"block", `{"person":101,"blocked":true}`, 200},
		{"block", `{"person":101,"blocked":true}`, 409},
		{"block", `{"person":101,"blocked":false}`, 200},
		{"start", `{"person":102,"text":"join-1"}`, 200},
		{"start", `{"person":102,"text":"no good"}`, 409},
		{"scene", `{"scene":3}`, 404},
	} {
		w := ask(s, "POST", "/page/"+d.path, d.body)
		require.Equal(t, d.code, w.Code, "%s %s: %s", d.path, d.body, w.Body)
		if d.code != 200 {
			require.Contains(t, w.Body.String(), `"error":`)
			require.NotContains(t, w.Body.String(), "localchat")
		}
	}
	require.Contains(t, ask(s, "GET", "/page/state", "").Body.String(), `"unread":{"101":0}`)
	require.Len(t, s.Transcript(kit), 6)
	require.Equal(t, "/start join-1", s.Transcript(noor)[0].Text)
	for range 120 {
		say(t, s, "more")
	}
	c = read("person=101&chat=101")
	require.Len(t, c.Messages, 100)
	require.True(t, c.More)
	c = read("person=101&chat=101&before=27")
	require.Len(t, c.Messages, 26)
	require.False(t, c.More)
	require.Equal(t, 404, ask(s, "GET", "/page/chat?person=101&chat=201", "").Code)
}

func TestClockPanel(t *testing.T) {
	zone, err := time.LoadLocation("Europe/Berlin")
	require.NoError(t, err)
	clock := &movable{now: time.Date(2026, 10, 24, 10, 0, 0, 0, time.UTC), onDue: func(string) {}}
	s := newServer(t, func(o *localchat.Options) {
		o.Zone = zone
		o.Clock = localchat.Clock{Now: clock.Now, Next: clock.Next, MoveTo: clock.MoveTo}
	})
	move := func(to string) (int, string) {
		t.Helper()
		body, err := json.Marshal(map[string]string{"to": to})
		require.NoError(t, err)
		w := ask(s, "POST", "/page/clock", string(body))
		return w.Code, w.Body.String()
	}
	require.JSONEq(t, `{"clock":{"day":"Sat 24 Oct 2026","time":"12:00","zone":"Europe/Berlin","local":"2026-10-24T12:00","evening":"21:00","movable":true,"moving":false,
		"next":{"label":"the digest","when":"22:00","in":"in 10 h"}},"scenes":[]}`, ask(s, "GET", "/page/clock", "").Body.String())
	for _, c := range []struct{ to, want string }{
		{"evening", "2026-10-24T19:00:00Z"}, // 21:00 in summer time
		{"next", "2026-10-24T20:00:00Z"},
		{"+1d", "2026-10-25T21:00:00Z"},     // 22:00 local, the clocks went back
		{"evening", "2026-10-26T20:00:00Z"}, // 21:00 in winter time
		{"+90m", "2026-10-26T21:30:00Z"},
		{"2026-10-28T07:00:00Z", "2026-10-28T07:00:00Z"},
		{"2026-10-28T09:15", "2026-10-28T08:15:00Z"},
	} {
		code, body := move(c.to)
		require.Equal(t, 200, code, body)
		require.Equal(t, c.want, clock.Now().UTC().Format(time.RFC3339), c.to)
	}
	for to, want := range map[string]string{
		"2026-10-01T08:00": "the clock only moves forward: it is Wed 28 Oct 2026, 09:15 already",
		"+9999d":           "that is too far in one move",
		"yesterday":        "is no time to move to; write next, evening",
		"+0d":              "is no time to move to",
	} {
		code, body := move(to)
		require.Equal(t, 409, code)
		require.Contains(t, body, want)
	}
	s.SetClock(localchat.Clock{Now: clock.Now})
	_, body := move("next")
	require.Contains(t, body, "this clock cannot be moved")
	s.SetClock(localchat.Clock{})
	require.JSONEq(t, `{"clock":null,"scenes":[]}`, ask(s, "GET", "/page/clock", "").Body.String())
}

func TestClockMovesOneAtATime(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := newServer(t, nil)
		var now atomic.Int64 // Unix seconds
		var fail atomic.Bool
		now.Store(time.Now().Unix())
		s.SetClock(localchat.Clock{Now: func() time.Time { return time.Unix(now.Load(), 0) }, MoveTo: func(ctx context.Context, to time.Time) error {
			if fail.Load() {
				return errors.New("the sender is stuck")
			}
			select {
			case <-time.After(10 * time.Second):
			case <-ctx.Done():
				return ctx.Err()
			}
			now.Store(to.Unix())
			return nil
		}})
		done := make(chan int)
		go func() { done <- ask(s, "POST", "/page/clock", `{"to":"+1d"}`).Code }()
		synctest.Wait()
		require.Contains(t, ask(s, "GET", "/page/clock", "").Body.String(), `"moving":true`)
		w := ask(s, "POST", "/page/clock", `{"to":"+1d"}`)
		require.Equal(t, 409, w.Code)
		require.Contains(t, w.Body.String(), "on its way already")
		require.Equal(t, 200, <-done)
		fail.Store(true)
		require.Contains(t, ask(s, "POST", "/page/clock", `{"to":"+1d"}`).Body.String(), "the sender is stuck")

		fail.Store(false) // a stopping server ends a move
		go func() { done <- ask(s, "POST", "/page/clock", `{"to":"+1d"}`).Code }()
		synctest.Wait()
		s.Close()
		require.Equal(t, 409, <-done)
	})
}

func TestScenes(t *testing.T) {
	s := newServer(t, nil)
	done := false
	s.SetScenes([]localchat.Scene{
		{Title: "One", Text: "Say it.", Person: kit, Say: "hello", Done: func() bool { return len(s.Transcript(kit)) > 0 }},
		{Title: "Two", Person: dara, Done: func() bool { return done }},
		{Title: "Three"},
		{Title: "Four", Move: "evening", Button: "Go on"},
	})
	state := func() (out []map[string]any) {
		t.Helper()
		var b struct{ Scenes []map[string]any }
		time.Sleep(350 * time.Millisecond) // the picture of the board is kept 300 ms
		require.NoError(t, json.Unmarshal(ask(s, "GET", "/page/clock", "").Body.Bytes(), &b))
		return b.Scenes
	}
	got := state()
	require.Equal(t, map[string]any{"title": "One", "text": "Say it.", "done": false, "person": 101.0, "say": "hello", "button": "Go to Kit’s peg"}, got[0])
	require.Equal(t, "Go to Dara in the staff room", got[1]["button"])
	require.Equal(t, true, got[2]["by_hand"])
	require.Equal(t, "Go on", got[3]["button"])
	say(t, s, "hello")
	done = true
	require.Equal(t, true, state()[0]["done"])
	done = false
	require.Equal(t, true, state()[1]["done"], "a tick stays")
	require.Equal(t, 404, ask(s, "POST", "/page/scene", `{"scene":1}`).Code)
	require.Equal(t, 200, ask(s, "POST", "/page/scene", `{"scene":2}`).Code)
	require.Equal(t, true, state()[2]["done"])
}

// The stream of events: numbered, resumable, bounded.
func TestEvents(t *testing.T) {
	s := newServer(t, nil)
	l, err := localchat.Listen(0)
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(t.Context())
	served := make(chan error, 1)
	go func() { served <- s.Serve(ctx, l) }()
	client := &http.Client{Transport: &http.Transport{}}
	defer client.CloseIdleConnections()
	// stream reads n numbered events after a sequence number.
	stream := func(header, query string, n int) (kinds []string, ids []string) {
		t.Helper()
		ctx, stop := context.WithTimeout(t.Context(), 10*time.Second)
		defer stop()
		req, err := http.NewRequestWithContext(ctx, http.MethodGet, "http://"+l.Addr().String()+"/page/events"+query, nil)
		require.NoError(t, err)
		if header != "" {
			req.Header.Set("Last-Event-ID", header)
		}
		resp, err := client.Do(req)
		require.NoError(t, err)
		defer resp.Body.Close()
		require.Equal(t, "text/event-stream", resp.Header.Get("Content-Type"))
		id := ""
		for in := bufio.NewScanner(io.LimitReader(resp.Body, 1<<20)); len(kinds) < n && in.Scan(); {
			if v, ok := strings.CutPrefix(in.Text(), "id: "); ok {
				id = v
			}
			if v, ok := strings.CutPrefix(in.Text(), "event: "); ok && id != "" {
				kinds, ids = append(kinds, v), append(ids, id)
				id = ""
			}
		}
		return kinds, ids
	}
	say(t, s, "one") // after the three people
	kinds, ids := stream("", "?since=0", 4)
	require.Equal(t, []string{"people", "people", "people", "message"}, kinds)
	require.Equal(t, []string{"1", "2", "3", "4"}, ids)
	kinds, _ = stream("3", "?since=0", 1)
	require.Equal(t, []string{"message"}, kinds, "a reconnecting page goes on where it was")
	go func() {
		time.Sleep(50 * time.Millisecond)
		_, err := s.Say(kit, kit, "two")
		if err != nil {
			t.Error(err)
		}
	}()
	_, ids = stream("", "?since=4", 1)
	require.Equal(t, []string{"5"}, ids)
	kinds, _ = stream("", "?since=77", 1)
	require.Equal(t, []string{"resync"}, kinds, "a number of an earlier run")
	for range 1100 {
		say(t, s, "flood")
	}
	kinds, ids = stream("", "?since=4", 1)
	require.Equal(t, []string{"resync"}, kinds, "too far behind")
	require.Equal(t, []string{"1105"}, ids)
	cancel()
	require.NoError(t, <-served)
}
