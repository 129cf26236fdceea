package telegram_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"

	"pegcard/bot/telegram"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// secret and token are invented. No error, log line or printed value may hold
// either.
const (
	secret = "CANARY_kJ3x-8Qw1invented0Zs5Lm2TnB"
	token  = "700100200:" + secret
)

// roundTrip is a transport made of a function.
type roundTrip func(*http.Request) (*http.Response, error)

func (f roundTrip) RoundTrip(r *http.Request) (*http.Response, error) { return f(r) }

func answer(status int, body string) *http.Response {
	return &http.Response{StatusCode: status, Header: http.Header{}, Body: io.NopCloser(strings.NewReader(body))}
}

// always answers every request alike.
func always(status int, body string) roundTrip {
	return func(r *http.Request) (*http.Response, error) {
		if r.Body != nil {
			_, _ = io.Copy(io.Discard, r.Body)
			_ = r.Body.Close()
		}
		return answer(status, body), nil
	}
}

// logBuffer is a log that several goroutines write.
type logBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *logBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *logBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

func (l *logBuffer) logger() *slog.Logger {
	return slog.New(slog.NewTextHandler(l, &slog.HandlerOptions{Level: slog.LevelDebug}))
}

func newClient(t *testing.T, rt http.RoundTripper, log *logBuffer) *telegram.Client {
	t.Helper()
	c := telegram.Config{Token: token, Endpoint: "https://chat.invalid", Transport: rt}
	if log != nil {
		c.Logger = log.logger()
	}
	client, err := telegram.NewClient(c)
	require.NoError(t, err)
	return client
}

// form reads a request's parameters and the method it calls.
func form(t testing.TB, r *http.Request) (method string, values url.Values) {
	t.Helper()
	body, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	_ = r.Body.Close()
	values, err = url.ParseQuery(string(body))
	require.NoError(t, err)
	return r.URL.Path[strings.LastIndex(r.URL.Path, "/")+1:], values
}

// server keeps updates as the Bot API does: in order, until a call with a
// higher offset; an offset more than 10 above its last id is taken for a
// mistake and answered from the first, as the API's own server does after its
// ids restarted lower.
type server struct {
	t testing.TB

	mu      sync.Mutex
	queue   []queued
	tail    int           // the highest id given out
	news    chan struct{} // closed when an update arrives
	offsets []int         // of every getUpdates
	at      []time.Time   // of every getUpdates
	answers []string      // callback ids answered
	// fault, if it returns an answer or an error, comes before everything.
	fault func(method string, v url.Values, n int) (*http.Response, error)
	polls int
}

type queued struct {
	id  int
	raw string
}

func newServer(t testing.TB) *server { return &server{t: t, news: make(chan struct{})} }

// quietly adds an update that wakes no poll in progress.
func (s *server) quietly(id int, raw string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.queue = append(s.queue, queued{id, raw})
	s.tail = id
}

func (s *server) add(id int, raw string) {
	s.quietly(id, raw)
	s.mu.Lock()
	defer s.mu.Unlock()
	close(s.news)
	s.news = make(chan struct{})
}

func (s *server) text(id int, text string) { s.add(id, message(id, text)) }

func message(id int, text string) string {
	return fmt.Sprintf(`{"update_id":%d,"message":{"message_id":%d,"date":1,"chat":{"id":7,"type":"private"},"from":{"id":7,"first_name":"Invented"},"text":%s}}`, id, id, strconv.Quote(text))
}

func (s *server) left() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.queue)
}

// confirms are the offsets of every getUpdates so far.
func (s *server) confirms() []int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.offsets)
}

func (s *server) lastConfirm() int {
	all := s.confirms()
	return all[len(all)-1]
}

func (s *server) pollCount() int { return len(s.confirms()) }

// tapsAnswered are the ids of the callbacks answered so far.
func (s *server) tapsAnswered() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.answers)
}

func (s *server) RoundTrip(r *http.Request) (*http.Response, error) {
	method, v := form(s.t, r)
	s.mu.Lock()
	if method == "getUpdates" {
		s.polls++
		s.at = append(s.at, time.Now())
		offset, _ := strconv.Atoi(v.Get("offset"))
		s.offsets = append(s.offsets, offset)
		if s.polls > 20000 { // eight quiet days are 14000: this poller never gets on
			s.mu.Unlock()
			return answer(401, `{"ok":false,"error_code":401,"description":"endless polling"}`), nil
		}
	}
	if s.fault != nil {
		if res, err := s.fault(method, v, s.polls); res != nil || err != nil {
			s.mu.Unlock()
			return res, err
		}
	}
	if method == "answerCallbackQuery" {
		s.answers = append(s.answers, v.Get("callback_query_id"))
	}
	s.mu.Unlock()
	if method != "getUpdates" {
		return answer(200, `{"ok":true,"result":true}`), nil
	}
	if v.Get("allowed_updates") != `["message","edited_message","callback_query","my_chat_member"]` {
		return nil, fmt.Errorf("allowed_updates is %q", v.Get("allowed_updates"))
	}
	offset, _ := strconv.Atoi(v.Get("offset"))
	limit, _ := strconv.Atoi(v.Get("limit"))
	timeout, _ := strconv.Atoi(v.Get("timeout"))
	end := time.Now().Add(time.Duration(timeout) * time.Second)
	for {
		s.mu.Lock()
		if offset <= s.tail+10 {
			s.queue = slices.DeleteFunc(s.queue, func(q queued) bool { return q.id < offset })
		}
		var out []json.RawMessage
		for _, q := range s.queue {
			if len(out) < limit {
				out = append(out, json.RawMessage(q.raw))
			}
		}
		news := s.news
		s.mu.Unlock()
		wait := time.Until(end)
		if len(out) > 0 || wait <= 0 {
			// Joined by hand: a raw update may be odd in ways Marshal forbids.
			parts := make([]string, len(out))
			for i := range out {
				parts[i] = string(out[i])
			}
			return answer(200, `{"ok":true,"result":[`+strings.Join(parts, ",")+`]}`), nil
		}
		timer := time.NewTimer(wait)
		select {
		case <-news:
		case <-timer.C:
		case <-r.Context().Done():
			timer.Stop()
			// As http.Client's transport words it, with the address.
			return nil, &url.Error{Op: "Post", URL: r.URL.String(), Err: context.Cause(r.Context())}
		}
		timer.Stop()
	}
}
