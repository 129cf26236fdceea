package telegram_test

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
	"github.com/stretchr/testify/require"

	"pegcard/bot/telegram"
)

type kept struct {
	raw    string
	id     int
	reason string
}

// bench is a poller on a fake server, with everything it did written down.
type bench struct {
	*telegram.Poller
	server *server
	log    logBuffer

	mu      sync.Mutex
	handled []int
	texts   []string
	kept    []kept
}

func newBench(t *testing.T) *bench {
	b := &bench{server: newServer(t)}
	b.Poller = &telegram.Poller{
		Client: newClient(t, b.server, &b.log),
		Logger: b.log.logger(),
		Handle: func(_ context.Context, u telegram.Update) error {
			b.note(u)
			return nil
		},
		Quarantine: func(_ context.Context, raw []byte, id int, reason string) error {
			b.mu.Lock()
			defer b.mu.Unlock()
			b.kept = append(b.kept, kept{string(raw), id, reason})
			return nil
		},
	}
	t.Cleanup(func() { require.NotContains(t, b.log.String(), secret) })
	return b
}

func (b *bench) note(u telegram.Update) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.handled = append(b.handled, u.UpdateID)
	if u.Message != nil {
		b.texts = append(b.texts, u.Message.Text)
	}
}

// ids are the updates handled so far.
func (b *bench) ids() []int {
	b.mu.Lock()
	defer b.mu.Unlock()
	return slices.Clone(b.handled)
}

// aside are the updates quarantined so far.
func (b *bench) aside() []kept {
	b.mu.Lock()
	defer b.mu.Unlock()
	return slices.Clone(b.kept)
}

// tally counts tries of updates.
type tally struct {
	mu sync.Mutex
	n  map[int]int
}

func (c *tally) add(id int) int {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.n == nil {
		c.n = map[int]int{}
	}
	c.n[id]++
	return c.n[id]
}

func (c *tally) all() map[int]int {
	c.mu.Lock()
	defer c.mu.Unlock()
	return maps.Clone(c.n)
}

// run starts Run and returns what stops it and waits.
func (b *bench) run(t *testing.T) (stop func()) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- b.Run(ctx) }()
	return func() {
		t.Helper()
		cancel()
		require.NoError(t, <-done)
	}
}

func TestOneUnreadableUpdateInEachPlace(t *testing.T) {
	for place := range 100 {
		synctest.Test(t, func(t *testing.T) {
			b := newBench(t)
			var want []int
			for i := range 100 {
				id := 5000 + i
				if i == place {
					b.server.add(id, fmt.Sprintf(`{"update_id":%d,"message":{"message_id":"not a number"}}`, id))
					continue
				}
				want = append(want, id)
				b.server.text(id, "3x5 100")
			}
			stop := b.run(t)
			synctest.Wait()
			require.Equal(t, want, b.ids())
			require.Len(t, b.aside(), 1)
			require.Equal(t, 5000+place, b.aside()[0].id)
			require.Contains(t, b.aside()[0].raw, "not a number")
			require.Zero(t, b.server.left(), "all confirmed")
			stop()
		})
	}
}

func TestStartsWithoutOffsetAndFollowsIdsDown(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t)
		b.server.text(900000000, "before the break")
		stop := b.run(t)
		synctest.Wait()
		time.Sleep(8 * 24 * time.Hour)
		b.server.text(1200, "back") // ids begin anywhere after a week of silence
		synctest.Wait()
		b.server.text(1201, "again")
		synctest.Wait()
		require.Equal(t, []int{900000000, 1200, 1201}, b.ids())
		require.Zero(t, b.server.left())
		require.Zero(t, b.server.confirms()[0])
		require.Equal(t, 1202, b.server.lastConfirm())
		stop()
	})
}

func TestOffsetMovesOnlyAfterHandle(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t)
		for i := 1; i <= 250; i++ {
			b.server.text(i, "x")
		}
		busy := 0
		b.Handle = func(_ context.Context, u telegram.Update) error {
			busy++
			defer func() { busy-- }()
			require.Equal(t, 1, busy, "one at a time")
			time.Sleep(time.Second)
			for _, o := range b.server.confirms() {
				require.LessOrEqual(t, o, u.UpdateID, "never confirmed before it is handled")
			}
			b.note(u)
			return nil
		}
		stop := b.run(t)
		time.Sleep(5 * time.Minute)
		require.Len(t, b.ids(), 250)
		require.True(t, slices.IsSorted(b.ids()))
		require.Equal(t, []int{0, 101, 201, 251}, b.server.confirms()[:4])
		stop()
	})
}

// Updates that come out of order, or again, are handled in theirs, and a stop in
// between confirms nothing that was not handled.
func TestReorderedBatchLosesNothing(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		for place := range 5 {
			b := newBench(t)
			for _, id := range []int{14, 11, 13, 11, 12} {
				b.server.text(id, "x")
			}
			b.server.tail = 14
			ctx, cancel := context.WithCancel(t.Context())
			b.Handle = func(_ context.Context, u telegram.Update) error {
				b.note(u)
				if len(b.ids()) == place+1 {
					cancel()
				}
				return nil
			}
			require.NoError(t, b.Run(ctx))
			require.Equal(t, []int{11, 11, 12, 13, 14}[:place+1], b.ids())
			require.Equal(t, b.ids()[place]+1, b.server.lastConfirm())
		}
	})
}

func TestErrorsAreRetriedThenQuarantined(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t)
		b.server.text(1, "busy for a while")
		b.server.text(2, "poison")
		b.server.text(3, "fine")
		var tries tally
		b.Handle = func(_ context.Context, u telegram.Update) error {
			try := tries.add(u.UpdateID)
			if u.UpdateID == 2 || u.UpdateID == 1 && try < 4 {
				return errors.New("database busy")
			}
			b.note(u)
			return nil
		}
		stop := b.run(t)
		time.Sleep(7 * time.Second) // 1 + 2 + 4
		synctest.Wait()
		require.Equal(t, []int{1}, b.ids())
		time.Sleep(14 * time.Second)
		require.Equal(t, []int{1}, b.ids(), "order is kept while the second is tried")
		time.Sleep(time.Second) // 1 + 2 + 4 + 8
		synctest.Wait()
		require.Equal(t, []int{1, 3}, b.ids())
		require.Equal(t, map[int]int{1: 4, 2: 5, 3: 1}, tries.all())
		require.Equal(t, []kept{{message(2, "poison"), 2, "handling failed 5 times: database busy"}}, b.aside())
		stop()
	})
}

func TestPanicTwiceIsQuarantined(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t)
		b.server.text(1, "my knee hurts")
		b.server.text(2, "nil")
		b.server.text(3, "fine")
		var tries tally
		b.Handle = func(_ context.Context, u telegram.Update) error {
			tries.add(u.UpdateID)
			switch u.UpdateID {
			case 1:
				panic("cannot understand " + u.Message.Text)
			case 2:
				_ = u.CallbackQuery.ID
			}
			b.note(u)
			return nil
		}
		stop := b.run(t)
		time.Sleep(time.Minute)
		require.Equal(t, []int{3}, b.ids())
		require.Equal(t, map[int]int{1: 2, 2: 2, 3: 1}, tries.all())
		require.Len(t, b.aside(), 2)
		require.Contains(t, b.aside()[0].reason, "panicked 2 times: a value of type string at pegcard/bot/telegram_test.TestPanicTwiceIsQuarantined")
		require.Contains(t, b.aside()[1].reason, "nil pointer dereference at pegcard/bot/telegram_test.")
		require.Contains(t, b.aside()[1].reason, "(poll_test.go:")
		require.NotContains(t, b.log.String(), "knee")
		stop()
	})
}

func TestNothingIsLostWhileQuarantineFails(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t)
		b.server.text(1, "a")
		b.server.text(2, "b")
		open := time.Now().Add(time.Minute)
		broken := func() error {
			if time.Now().Before(open) {
				return errors.New("disk full")
			}
			return nil
		}
		b.Handle = func(_ context.Context, u telegram.Update) error {
			if err := broken(); err != nil {
				return err
			}
			b.note(u)
			return nil
		}
		b.Quarantine = func(context.Context, []byte, int, string) error {
			if err := broken(); err != nil {
				panic(err)
			}
			t.Error("quarantined although only the disk was full")
			return nil
		}
		stop := b.run(t)
		time.Sleep(59 * time.Second)
		require.Empty(t, b.ids())
		require.Equal(t, 2, b.server.left())
		time.Sleep(time.Minute)
		require.Equal(t, []int{1, 2}, b.ids())
		stop()
	})
}

func TestUpdatesWithoutId(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t)
		// The server knows their ids; the updates do not say.
		b.server.add(10, `{"message":{"text":"nameless"}}`)
		b.server.add(11, `7`)
		stop := b.run(t)
		time.Sleep(10 * time.Minute)
		require.Len(t, b.aside(), 2, "each once, however often it comes")
		require.Zero(t, b.aside()[0].id)
		require.Less(t, len(b.server.confirms()), 40, "with pauses")
		b.server.text(12, "fine")
		time.Sleep(time.Minute)
		require.Equal(t, []int{12}, b.ids())
		require.Zero(t, b.server.left(), "the next good one confirms them")

		b.server.add(13, `{"update_id":"13","message":{}}`)
		b.server.add(14, `{"update_id":-5}`)
		time.Sleep(time.Minute)
		require.Len(t, b.aside(), 4)
		require.Equal(t, 13, b.aside()[2].id, "an id in quotes can be made out")
		require.Zero(t, b.server.left(), "a step past the offset confirms a nameless one at the end")
		stop()
	})
}

func TestFloodIsObeyedToTheInstant(t *testing.T) {
	for _, also := range []string{"", "drain"} {
		synctest.Test(t, func(t *testing.T) {
			b := newBench(t)
			b.Jitter = func(time.Duration) time.Duration { return 0 } // must not shorten it
			b.server.fault = func(_ string, _ url.Values, n int) (*http.Response, error) {
				if n == 1 {
					return answer(429, `{"ok":false,"error_code":429,"description":"Too Many Requests: retry after 13","parameters":{"retry_after":13}}`), nil
				}
				return nil, nil
			}
			b.server.text(1, "x")
			stop := b.run(t)
			if also != "" {
				time.Sleep(2 * time.Second)
				require.NoError(t, b.Drain(t.Context()))
			}
			time.Sleep(20 * time.Second)
			require.Equal(t, []time.Duration{13 * time.Second}, pauses(b.server, 1))
			require.Equal(t, []int{1}, b.ids())
			stop()
		})
	}
}

// pauses is the time between the first n polls.
func pauses(s *server, n int) (out []time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for i := 1; i <= n; i++ {
		out = append(out, s.at[i].Sub(s.at[i-1]))
	}
	return out
}

func TestBackoff(t *testing.T) {
	const s = time.Second
	cases := []struct {
		name  string
		fault func() (*http.Response, error)
		want  []time.Duration
	}{
		{"gateway page", func() (*http.Response, error) { return answer(502, "<html>"), nil }, []time.Duration{s, 2 * s, 4 * s, 8 * s, 16 * s, 30 * s, 30 * s}},
		{"truncated", func() (*http.Response, error) { return answer(200, `{"ok":true,"result":[{"update_id"`), nil }, []time.Duration{s, 2 * s, 4 * s}},
		{"reset", func() (*http.Response, error) { return nil, errors.New("connection reset by peer") }, []time.Duration{s, 2 * s, 4 * s}},
		{"conflict", func() (*http.Response, error) {
			return answer(409, `{"ok":false,"error_code":409,"description":"Conflict: terminated by other getUpdates request"}`), nil
		}, []time.Duration{5 * s, 10 * s, 20 * s, 30 * s, 30 * s}},
		{"flood without a time", func() (*http.Response, error) { return answer(429, `<html>`), nil }, []time.Duration{s, 2 * s, 4 * s}},
		{"refused", func() (*http.Response, error) {
			return answer(400, `{"ok":false,"error_code":400,"description":"Bad Request: x"}`), nil
		}, []time.Duration{s, 2 * s, 4 * s}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				b := newBench(t)
				n := len(c.want)
				b.server.fault = func(_ string, _ url.Values, i int) (*http.Response, error) {
					if i <= n {
						return c.fault()
					}
					return nil, nil
				}
				b.server.text(1, "survives")
				require.True(t, b.LastPoll().IsZero())
				stop := b.run(t)
				time.Sleep(5 * time.Minute)
				require.Equal(t, c.want, pauses(b.server, n))
				require.Equal(t, []int{1}, b.ids())
				require.Less(t, time.Since(b.LastPoll()), time.Minute)
				if c.name == "conflict" {
					require.Contains(t, b.log.String(), "another process takes this bot's updates, or a webhook is set")
				}
				stop()
			})
		})
	}
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t)
		b.Jitter = func(d time.Duration) time.Duration { return d / 2 }
		b.server.fault = func(_ string, _ url.Values, i int) (*http.Response, error) {
			if i <= 2 {
				return answer(500, ""), nil
			}
			return nil, nil
		}
		stop := b.run(t)
		time.Sleep(time.Minute)
		require.Equal(t, []time.Duration{s / 2, s}, pauses(b.server, 2))
		stop()
	})
}

// An answer that cannot be read as a whole is asked for in smaller pieces, and
// the good ones get through.
func TestUnreadableBatchIsTakenApart(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t)
		for i := 1; i <= 5; i++ {
			b.server.text(i, "x")
		}
		b.server.fault = func(_ string, v url.Values, i int) (*http.Response, error) {
			if v.Get("limit") != "1" && i < 20 {
				return answer(200, `{"ok":true,"result":[{"upd`), nil
			}
			return nil, nil
		}
		stop := b.run(t)
		time.Sleep(time.Minute)
		require.Equal(t, []int{1, 2, 3, 4, 5}, b.ids())
		stop()
	})
}

func TestPollsThatAreNotHeldDoNotFlood(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t)
		b.server.fault = func(string, url.Values, int) (*http.Response, error) {
			return answer(200, `{"ok":true,"result":[]}`), nil
		}
		stop := b.run(t)
		time.Sleep(time.Minute)
		require.InDelta(t, 60, b.server.pollCount(), 2)
		stop()

		b = newBench(t)
		b.Timeout = time.Millisecond
		stop = b.run(t)
		time.Sleep(time.Minute)
		require.InDelta(t, 60, b.server.pollCount(), 2)
		stop()
	})
}

// Polls that are answered and bring nothing, while updates wait: the server is
// asked, and the poller begins anew.
func TestDeafPollIsNoticed(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t)
		b.server.text(100, "heard")
		asked := 0
		b.server.fault = func(method string, v url.Values, _ int) (*http.Response, error) {
			switch {
			case method == "getWebhookInfo":
				asked++
				return answer(200, fmt.Sprintf(`{"ok":true,"result":{"url":"","has_custom_certificate":false,"pending_update_count":%d}}`, len(b.server.queue))), nil
			case method == "getUpdates" && v.Get("offset") == "101":
				b.server.queue = slices.DeleteFunc(b.server.queue, func(q queued) bool { return q.id < 101 })
				return answer(200, `{"ok":true,"result":[]}`), nil
			}
			return nil, nil
		}
		stop := b.run(t)
		time.Sleep(45 * time.Minute)
		require.Equal(t, 2, asked, "once in 20 minutes without news")
		require.NotContains(t, b.log.String(), "poll.deaf", "nothing waits: silence is no fault")
		b.server.quietly(101, message(101, "not heard"))
		time.Sleep(21 * time.Minute)
		require.Equal(t, []int{100, 101}, b.ids())
		require.Contains(t, b.log.String(), "poll.deaf")
		stop()
	})
}

// A connection that is dead and does not say so is not used for the next poll.
func TestFailedPollLeavesItsConnection(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t)
		rt := &closing{RoundTripper: b.server}
		b.Client = newClient(t, rt, &b.log)
		b.server.fault = func(_ string, _ url.Values, i int) (*http.Response, error) {
			if i <= 3 {
				return nil, errors.New("connection reset by peer")
			}
			return nil, nil
		}
		stop := b.run(t)
		time.Sleep(time.Minute)
		require.EqualValues(t, 3, rt.closed.Load())
		stop()
	})
}

type closing struct {
	http.RoundTripper
	closed atomic.Int32
}

func (c *closing) CloseIdleConnections() { c.closed.Add(1) }

// The pulse goes on through failures and waits, and stands still only in what
// never comes back.
func TestPulse(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t)
		b.server.fault = func(_ string, _ url.Values, i int) (*http.Response, error) {
			switch i {
			case 1:
				return answer(429, `{"ok":false,"error_code":429,"description":"Too Many Requests: retry after 3600","parameters":{"retry_after":3600}}`), nil
			case 2, 3, 4, 5, 6:
				return answer(502, "<html>"), nil
			}
			return nil, nil
		}
		hang := make(chan struct{})
		b.Handle = func(context.Context, telegram.Update) error { <-hang; return nil }
		stop := b.run(t)
		for range 3 * 60 {
			time.Sleep(time.Minute)
			require.Less(t, time.Since(b.Pulse()), 2*time.Minute)
		}
		b.server.text(1, "never comes back")
		time.Sleep(10 * time.Minute)
		require.Equal(t, 10*time.Minute, time.Since(b.Pulse()))
		close(hang)
		time.Sleep(time.Minute)
		require.Less(t, time.Since(b.LastPoll()), time.Minute)
		stop()
	})
}

func TestWrongTokenStops(t *testing.T) {
	b := newBench(t)
	b.server.fault = func(string, url.Values, int) (*http.Response, error) {
		return answer(401, `{"ok":false,"error_code":401,"description":"Unauthorized"}`), nil
	}
	err := b.Run(t.Context())
	require.Equal(t, telegram.Unauthorized, telegram.ClassOf(err))
	err = b.Drain(t.Context())
	require.Equal(t, telegram.Unauthorized, telegram.ClassOf(err))
	require.Equal(t, 2, b.server.pollCount(), "not tried again")
}

func TestStopFinishesTheHandleAndConfirms(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t)
		for i := 1; i <= 3; i++ {
			b.server.text(i, "x")
		}
		b.Handle = func(ctx context.Context, u telegram.Update) error {
			time.Sleep(2 * time.Second)
			if ctx.Err() != nil {
				return ctx.Err()
			}
			b.note(u)
			return nil
		}
		var points []string
		b.Hooks = telegram.Hooks{
			BatchReceived: func() { points = append(points, "received") },
			Handled:       func() { points = append(points, "handled") },
			BeforeConfirm: func() { points = append(points, "confirm") },
		}
		stop := b.run(t)
		time.Sleep(3 * time.Second) // in the middle of the second
		stop()
		require.Equal(t, []int{1, 2}, b.ids())
		require.Equal(t, []int{0, 3}, b.server.confirms())
		require.Equal(t, 1, b.server.left(), "the third waits for the next start")
		require.Equal(t, []string{"received", "handled", "handled", "confirm"}, points)
	})
}

func TestStopIsBounded(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t)
		b.server.text(1, "x")
		hang := make(chan struct{})
		b.Client = newClient(t, roundTrip(func(r *http.Request) (*http.Response, error) {
			select {
			case <-hang:
				<-r.Context().Done()
				return nil, r.Context().Err()
			default:
				return b.server.RoundTrip(r)
			}
		}), &b.log)
		b.Handle = func(context.Context, telegram.Update) error {
			close(hang) // from now on the server answers nothing
			return nil
		}
		stop := b.run(t)
		synctest.Wait()
		begin := time.Now()
		stop()
		require.Equal(t, 2*time.Second, time.Since(begin))

		// A handler that hangs is broken off; its update stays at the server.
		b = newBench(t)
		b.server.text(1, "x")
		b.Handle = func(ctx context.Context, _ telegram.Update) error {
			<-ctx.Done()
			return ctx.Err()
		}
		stop = b.run(t)
		synctest.Wait()
		begin = time.Now()
		stop()
		require.Equal(t, 2500*time.Millisecond, time.Since(begin))
		require.Equal(t, 1, b.server.left())

		// A retry in its pause stops at once, and nothing is confirmed.
		b = newBench(t)
		b.server.text(1, "x")
		b.Handle = func(context.Context, telegram.Update) error { return errors.New("busy") }
		stop = b.run(t)
		synctest.Wait()
		begin = time.Now()
		stop()
		require.Zero(t, time.Since(begin))
		require.Equal(t, []int{0}, b.server.confirms())
		require.Empty(t, b.aside())
	})
}

func TestRunsOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t)
		stop := b.run(t)
		synctest.Wait()
		require.ErrorContains(t, b.Run(t.Context()), "running already")
		stop()
	})
}

func TestDrain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t)
		for i := 1; i <= 230; i++ {
			b.server.text(i, "x")
		}
		begin := time.Now()
		require.NoError(t, b.Drain(t.Context()), "without Run")
		require.Len(t, b.ids(), 230)
		require.Zero(t, b.server.left())
		require.Zero(t, time.Since(begin))
	})
}

func TestDrainInterruptsTheLongPoll(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t)
		polling, most := 0, 0
		var mu sync.Mutex
		b.Client = newClient(t, roundTrip(func(r *http.Request) (*http.Response, error) {
			mu.Lock()
			polling++
			most = max(most, polling)
			mu.Unlock()
			defer func() {
				mu.Lock()
				polling--
				mu.Unlock()
			}()
			return b.server.RoundTrip(r)
		}), &b.log)
		stop := b.run(t)
		for round := range 20 {
			time.Sleep(7 * time.Second)
			begin := time.Now()
			b.server.quietly(round+1, message(round+1, "x"))
			var wg sync.WaitGroup
			for range 3 { // several at once
				wg.Go(func() { require.NoError(t, b.Drain(t.Context())) })
			}
			wg.Wait()
			require.Zero(t, time.Since(begin), "did not wait for the long poll")
			require.Len(t, b.ids(), round+1)
		}
		mu.Lock()
		require.Equal(t, 1, most, "one poll at a time")
		mu.Unlock()
		b.server.text(21, "after")
		synctest.Wait()
		require.Len(t, b.ids(), 21, "the long poll goes on")
		require.NotContains(t, b.log.String(), "polling failed")
		stop()
	})
}

func TestDrainGivesUp(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t)
		b.server.fault = func(string, url.Values, int) (*http.Response, error) { return answer(502, "<html>"), nil }
		err := b.Drain(t.Context())
		require.Equal(t, telegram.Server, telegram.ClassOf(err))
		require.Equal(t, 5, b.server.pollCount())

		b = newBench(t)
		b.server.text(1, "x")
		b.Handle = func(context.Context, telegram.Update) error { return errors.New("busy") }
		ctx, cancel := context.WithTimeout(t.Context(), 3*time.Second)
		defer cancel()
		require.ErrorIs(t, b.Drain(ctx), context.DeadlineExceeded)
		require.Equal(t, 1, b.server.left())
	})
}

func tap(id int) string {
	return fmt.Sprintf(`{"update_id":%d,"callback_query":{"id":"q%d","from":{"id":7,"first_name":"x"},"data":"d"}}`, id, id)
}

func TestTapsAreAnsweredBesideTheHandling(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t)
		for i := 1; i <= 30; i++ {
			b.server.add(i, tap(i))
		}
		b.Handle = func(_ context.Context, u telegram.Update) error {
			time.Sleep(20 * time.Second)
			b.note(u)
			return nil
		}
		stop := b.run(t)
		synctest.Wait()
		require.Empty(t, b.ids())
		require.Len(t, b.server.tapsAnswered(), 30, "all answered before the first is handled")
		stop()

		// A server that does not take answers holds nothing up.
		b = newBench(t)
		b.server.add(1, tap(1))
		b.server.text(2, "x")
		b.Answer = func(ctx context.Context, q tgbotapi.CallbackQuery) {
			<-ctx.Done()
			panic("late " + q.ID)
		}
		stop = b.run(t)
		synctest.Wait()
		require.Equal(t, []int{1, 2}, b.ids())
		begin := time.Now()
		stop()
		require.LessOrEqual(t, time.Since(begin), 5*time.Second)
		require.Contains(t, b.log.String(), "a tap was not answered")
	})
}

func TestDecodeUpdate(t *testing.T) {
	for raw, want := range map[string]string{
		``:                                      "not an update",
		`[]`:                                    "not an update",
		`{}`:                                    "no usable update_id",
		`{"update_id":0}`:                       "no usable update_id",
		`{"update_id":1.5}`:                     "no usable update_id",
		`{"update_id":9223372036854775807}`:     "no usable update_id",
		`{"update_id":3,"message":{}}`:          "lacks message.chat",
		`{"update_id":3,"edited_message":{}}`:   "lacks edited_message.chat",
		`{"update_id":3,"callback_query":{}}`:   "lacks callback_query.from",
		`{"update_id":3,"message":[]}`:          "does not have the form",
		`{"update_id":3,"message":{"date":""}}`: "does not have the form",
		`{"update_id":3,"callback_query":{"id":"q","from":{"id":1},"message":{"message_id":1}}}`: "lacks callback_query.message.chat",
		`{"update_id":3,"callback_query":{"from":{"id":1}}}`:                                     "lacks callback_query.id",
	} {
		_, id, err := telegram.DecodeUpdate([]byte(raw))
		require.ErrorContains(t, err, want, raw)
		if strings.Contains(raw, `"update_id":3`) {
			require.Equal(t, 3, id)
		} else {
			require.Zero(t, id)
		}
	}
	u, id, err := telegram.DecodeUpdate([]byte(`{"update_id":3,"something_new":{"a":[1]},"message":{"message_id":9,"chat":{"id":-5,"type":"group"},"paid_media":{}}}`))
	require.NoError(t, err, "kinds and fields of later versions are no fault")
	require.Equal(t, 3, id)
	require.Equal(t, int64(-5), u.Message.Chat.ID)
}

func FuzzDecodeUpdate(f *testing.F) {
	for _, s := range []string{message(1, "x"), tap(2), `{"update_id":"5"}`, `{"update_id":null}`, `{"UPDATE_ID":5,"update_id":6}`, `7`, `{`, `{"update_id":1,"my_chat_member":{"chat":{"id":1}}}`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		u, id, err := telegram.DecodeUpdate(raw)
		if id < 0 || id+1 < 0 {
			t.Fatalf("id %d", id)
		}
		if err != nil {
			return
		}
		if id == 0 || u.UpdateID != id {
			t.Fatalf("id %d, update %d", id, u.UpdateID)
		}
		if u.Message != nil && u.Message.Chat == nil || u.CallbackQuery != nil && u.CallbackQuery.From == nil {
			t.Fatal("a handler would trip over this")
		}
	})
}
