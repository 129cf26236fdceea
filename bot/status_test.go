package bot_test

import (
	"bytes"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/bot"
	"pegcard/bot/telegram"
)

// logged is a log that several goroutines write.
type logged struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *logged) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *logged) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

func (l *logged) logger() *slog.Logger {
	return slog.New(slog.NewTextHandler(l, &slog.HandlerOptions{Level: slog.LevelDebug}))
}

// every is a transport that may do something with each call before it goes
// through; nil, nil lets it go.
type every struct {
	base http.RoundTripper

	mu sync.Mutex
	on func(r *http.Request) (*http.Response, error)
}

func (e *every) set(on func(r *http.Request) (*http.Response, error)) {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.on = on
}

func (e *every) RoundTrip(r *http.Request) (*http.Response, error) {
	e.mu.Lock()
	on := e.on
	e.mu.Unlock()
	if on != nil {
		if res, err := on(r); res != nil || err != nil {
			return res, err
		}
	}
	return e.base.RoundTrip(r)
}

// through makes the dialogue's client go through the transport.
func (k *talk) through(rt http.RoundTripper, log *slog.Logger) {
	c, err := telegram.NewClient(telegram.Config{Token: k.chat.Token(), Endpoint: "http://chat.invalid", Transport: rt, Logger: log})
	require.NoError(k.t, err)
	k.client = c
}

func status(b *bot.Bot, path string) (int, string) {
	w := httptest.NewRecorder()
	b.StatusHandler().ServeHTTP(w, httptest.NewRequest("GET", path, nil))
	return w.Code, w.Body.String()
}

// A server that answers no poll is noticed and told from a quiet one.
func TestDeafBotSaysSo(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k := newTalk(t, clubOf(t, "Farrowby"), tuesday(12, 0))
		k.join(k.must("Farrowby"))
		rt := &every{base: k.chat.Transport()}
		k.through(rt, nil)
		var log logged
		k.hooked(log.logger(), nil)
		time.Sleep(time.Hour)
		code, text := status(k.bot, "/healthz")
		require.Equal(t, 200, code, "an hour in which nobody writes: %s", text)
		require.NotContains(t, log.String(), "watch.")

		rt.set(func(r *http.Request) (*http.Response, error) {
			if strings.HasSuffix(r.URL.Path, "/getUpdates") {
				<-r.Context().Done() // a connection that is dead and does not say so
				return nil, r.Context().Err()
			}
			return nil, nil
		})
		time.Sleep(7 * time.Minute)
		code, text = status(k.bot, "/healthz")
		require.Equal(t, 503, code)
		require.Contains(t, text, "polls answered: NOT OK")
		require.Contains(t, text, "database: ok")
		_, metrics := status(k.bot, "/metrics")
		require.Contains(t, metrics, "pegcard_poll_age_seconds")
		require.Equal(t, 1, strings.Count(log.String(), "watch.deaf"), "said once")
		require.NotContains(t, log.String(), "watch.stuck", "it goes on trying")
		time.Sleep(30 * time.Minute)
		require.Equal(t, 1, strings.Count(log.String(), "watch.deaf"))

		rt.set(nil)
		time.Sleep(3 * time.Minute)
		require.Equal(t, 1, strings.Count(log.String(), "watch.hears"))
		code, _ = status(k.bot, "/healthz")
		require.Equal(t, 200, code)
	})
}

// Something that hangs for good, whatever its context says, is told to whoever
// can end the process.
func TestHangingForGoodIsTold(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k := newTalk(t, clubOf(t, "Farrowby"), tuesday(12, 0))
		i := k.must("Farrowby")
		k.join(i)
		let := make(chan struct{})
		rt := &every{base: k.chat.Transport()}
		k.through(rt, nil)
		var log logged
		var mu sync.Mutex
		var stuck []string
		k.bot = bot.New(bot.Config{Store: k.store, Client: k.client, Words: k.words, Now: k.Now, Logger: log.logger(), Stuck: func(part string) {
			mu.Lock()
			defer mu.Unlock()
			stuck = append(stuck, part)
		}})
		k.follow()
		time.Sleep(time.Minute)
		rt.set(func(r *http.Request) (*http.Response, error) {
			if strings.HasSuffix(r.URL.Path, "/getUpdates") {
				<-let // heeds no deadline
			}
			return nil, nil
		})
		time.Sleep(15 * time.Minute)
		mu.Lock()
		require.NotEmpty(t, stuck)
		for _, part := range stuck {
			require.Equal(t, "poll", part)
		}
		mu.Unlock()
		require.Contains(t, log.String(), "watch.stuck")
		rt.set(nil)
		close(let)
		time.Sleep(time.Minute)
	})
}
