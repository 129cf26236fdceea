package bot

import (
	"context"
	"fmt"
	"net/http"
	"strings"
	"sync/atomic"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"pegcard/store"
)

const (
	// watchEvery is how often the bot is looked after, by real time.
	watchEvery = 30 * time.Second
	// deafAfter is how long no poll may be answered, three of them, and stuckAfter
	// how long a part may show no sign of life, before it is said. [ours] Every
	// wait inside the parts is bounded well below.
	deafAfter  = 4 * time.Minute
	stuckAfter = 10 * time.Minute
	// readWithin bounds the look into the database for one answer.
	readWithin = 2 * time.Second
)

// status is what an operator may see: counts and ages, never who, where it
// hurts, or which chat.
type status struct {
	registry *prometheus.Registry
	updates  *prometheus.CounterVec // by what came of it
	messages *prometheus.CounterVec // by what came of it
	due      *prometheus.CounterVec // by what came of it

	started time.Time // real
	tick    pulse
	send    pulse
}

// pulse is the last sign of life of a part, by real time.
type pulse struct{ at atomic.Int64 }

func (p *pulse) beat() { p.at.Store(time.Now().UnixNano()) }

// age is how old the sign is; of a part that never gave one, since started.
func age(at, started time.Time) time.Duration {
	if at.Before(started) {
		at = started
	}
	return max(time.Since(at), 0)
}

func (p *pulse) time() time.Time { return time.Unix(0, p.at.Load()) }

func (b *Bot) newStatus() *status {
	s := &status{registry: prometheus.NewRegistry(), started: time.Now()}
	count := func(name, help string) *prometheus.CounterVec {
		c := prometheus.NewCounterVec(prometheus.CounterOpts{Name: name, Help: help}, []string{"result"})
		s.registry.MustRegister(c)
		return c
	}
	s.updates = count("pegcard_updates_total", "Updates by what came of them: handled, failed (tried again), refused (too many), stranger, quarantined.")
	s.messages = count("pegcard_messages_total", "Tries to send a message by what came of them: sent, or the class of the failure.")
	s.due = count("pegcard_due_total", "Things due by what came of them: done, failed (tried again).")
	gauge := func(name, help string, f func() float64) {
		s.registry.MustRegister(prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: name, Help: help}, f))
	}
	gauge("pegcard_poll_age_seconds", "Since the chat server last answered a poll.", func() float64 { return s.polled(b).Seconds() })
	gauge("pegcard_tick_age_seconds", "Since the tick last ended.", func() float64 { return age(s.tick.time(), s.started).Seconds() })
	gauge("pegcard_outbox_waiting", "Messages that are due and not sent; -1 when the database does not answer.", func() float64 {
		n, _, err := b.outbox()
		if err != nil {
			return -1
		}
		return float64(n)
	})
	gauge("pegcard_outbox_oldest_seconds", "How long the first of the messages that wait has been due; -1 when the database does not answer.", func() float64 {
		_, late, err := b.outbox()
		if err != nil {
			return -1
		}
		return late.Seconds()
	})
	s.registry.MustRegister(collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return s
}

func (s *status) polled(b *Bot) time.Duration { return age(b.poller.LastPoll(), s.started) }

// outbox is how many messages are due, and since when the first of them.
func (b *Bot) outbox() (n int, late time.Duration, err error) {
	ctx, cancel := context.WithTimeout(b.alive, readWithin)
	defer cancel()
	now := b.now()
	err = b.Store.Read(ctx, func(tx *store.Tx) error {
		if n, err = tx.OutPending(now); err != nil || n == 0 {
			return err
		}
		at, _, err := tx.NextOut()
		late = max(now.Time().Sub(at.Time()), 0)
		return err
	})
	return n, late, err
}

// StatusHandler answers /healthz, for whoever starts the program again, and
// /metrics, in the format of Prometheus. Neither holds anything of a person;
// all the same it belongs on the loopback interface.
func (b *Bot) StatusHandler() http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(b.status.registry, promhttp.HandlerOpts{}))
	mux.HandleFunc("GET /healthz", func(w http.ResponseWriter, _ *http.Request) {
		text, ok := b.health()
		w.Header().Set("Content-Type", "text/plain; charset=utf-8")
		if !ok {
			w.WriteHeader(http.StatusServiceUnavailable)
		}
		fmt.Fprint(w, text)
	})
	return mux
}

// health says part by part how it is.
func (b *Bot) health() (text string, ok bool) {
	var out strings.Builder
	ok = true
	part := func(name string, fine bool, how string) {
		word := "ok"
		if !fine {
			word, ok = "NOT OK", false
		}
		fmt.Fprintf(&out, "%s: %s, %s\n", name, word, how)
	}
	since := func(d time.Duration) string { return "last " + d.Round(time.Second).String() + " ago" }
	polled, ticked := b.status.polled(b), age(b.status.tick.time(), b.status.started)
	part("polls answered", polled <= deafAfter, since(polled))
	part("tick", ticked <= stuckAfter, since(ticked))
	sent := age(b.status.send.time(), b.status.started)
	part("sender", sent <= stuckAfter, since(sent))
	n, late, err := b.outbox()
	if err != nil {
		part("database", false, "it does not answer")
	} else {
		part("database", true, fmt.Sprintf("%d messages wait, the first for %s", n, late.Round(time.Second)))
	}
	return out.String(), ok
}

// watch says so when no poll is answered any more, and when one is again; and
// it ends a process in which something hangs for good: no reply is lost by
// that, and whoever looks after the process starts it again.
func (b *Bot) watch(ctx context.Context) error {
	t := time.NewTicker(watchEvery)
	defer t.Stop()
	deaf := false
	for {
		select {
		case <-ctx.Done():
			return nil
		case <-t.C:
		}
		polled := b.status.polled(b)
		switch {
		case polled > deafAfter && !deaf:
			deaf = true
			b.Logger.Error("the chat server has not answered a poll for some time; replies wait there for up to 24 hours", "event", "watch.deaf", "for", polled.Round(time.Second))
		case polled <= deafAfter && deaf:
			deaf = false
			b.Logger.Warn("the chat server answers again", "event", "watch.hears")
		}
		for _, part := range []struct {
			name string
			at   time.Time
		}{{"poll", b.poller.Pulse()}, {"tick", b.status.tick.time()}, {"sender", b.status.send.time()}} {
			if d := age(part.at, b.status.started); d > stuckAfter {
				b.Logger.Error("a part of the program hangs", "event", "watch.stuck", "part", part.name, "for", d.Round(time.Second))
				if b.Stuck != nil {
					b.Stuck(part.name)
				}
			}
		}
	}
}
