package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"net"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/bot"
	"pegcard/bot/localchat"
	"pegcard/cmd/pegcard/democlub"
	"pegcard/prescribe"
	"pegcard/store"
)

// The kill test runs the real program as a child and kills it, with the signal
// that cannot be caught, at named points of the message path and at random
// moments; then it starts it again. No reply is lost, none counts twice, no
// card goes out twice; at most one message is repeated a kill, and only in the
// window between the server's answer and the mark in the outbox.

const childEnv = "PEGCARD_TEST_CHILD"

func TestMain(m *testing.M) {
	if spec := os.Getenv(childEnv); spec != "" {
		os.Exit(killChild(spec))
	}
	os.Exit(m.Run())
}

// killChild serves until the n-th passing of the named point: "dir|addr|token|now|point|n".
func killChild(spec string) int {
	f := strings.Split(spec, "|")
	nth, err := strconv.Atoi(f[5])
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 2
	}
	offset, err := time.ParseDuration(f[3])
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 2
	}
	passed := 0
	at := make(chan struct{}, 1) // one at a time: points are passed by several goroutines
	a := &app{out: os.Stdout, err: os.Stderr, env: os.Getenv, dir: f[0],
		now: func() time.Time { return time.Now().Add(offset) }}
	a.point = func(name string) {
		if name != f[4] {
			return
		}
		at <- struct{}{}
		passed++
		if passed == nth {
			_ = syscall.Kill(os.Getpid(), syscall.SIGKILL)
			select {} // until the signal arrives
		}
		<-at
	}
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGTERM)
	defer stop()
	if err := a.serve(ctx, serveOptions{token: f[2], endpoint: f[1]}); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return 0
}

// scene is a club with players who have joined, a chat server, and the clock.
type killScene struct {
	t       *testing.T
	dir     string
	chat    *localchat.Server
	addr    string
	offset  time.Duration
	players []store.Person
}

func newKillScene(t *testing.T, template string) *killScene {
	k := &killScene{t: t, dir: filepath.Join(t.TempDir(), "data")}
	require.NoError(t, os.CopyFS(k.dir, os.DirFS(template)))
	start := democlub.Start().Add(20 * time.Minute) // the morning cards are due at once
	k.offset = time.Until(start)
	now := func() time.Time { return time.Now().Add(k.offset) }
	k.chat = localchat.New(localchat.Options{Now: now})
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	served := make(chan error, 1)
	go func() { served <- k.chat.Serve(ctx, l) }()
	t.Cleanup(func() { cancel(); require.NoError(t, <-served) })
	k.addr = "http://" + l.Addr().String()
	st, err := store.Open(t.Context(), store.Options{Dir: k.dir})
	require.NoError(t, err)
	require.NoError(t, st.Write(t.Context(), func(tx *store.Tx) error {
		sq, err := tx.SquadBySlug("first")
		if err != nil {
			return err
		}
		members, err := tx.Members(sq.ID, prescribe.DayOf(start))
		if err != nil {
			return err
		}
		at := prescribe.InstantOf(start.Add(-48 * time.Hour))
		for i, p := range members[:killPlayers] {
			id := int64(4000 + i)
			code, err := tx.Invite(p.ID, 0, at, at+1)
			if err != nil {
				return err
			}
			joined, err := tx.Join(code, id, id, at)
			if err != nil {
				return err
			}
			if err := tx.Consent(p.ID, bot.NoticeVersion, p.Language, at); err != nil {
				return err
			}
			if err := k.chat.AddPerson(localchat.Person{ID: id, FirstName: p.Name, Started: true}); err != nil {
				return err
			}
			k.players = append(k.players, joined)
		}
		return nil
	}))
	require.NoError(t, st.Close())
	return k
}

const (
	killPlayers = 5
	killReplies = 4 // a player
)

// child starts the program; it dies at the n-th passing of point, or when the
// returned function kills it.
func (k *killScene) child(point string, n int) (*exec.Cmd, func()) {
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), fmt.Sprintf("%s=%s|%s|%s|%s|%s|%d", childEnv, k.dir, k.addr, k.chat.Token(), k.offset, point, n))
	cmd.Stderr = os.Stderr
	require.NoError(k.t, cmd.Start())
	return cmd, func() { _ = cmd.Process.Kill(); _ = cmd.Wait() }
}

// say has every player write: soreness scores 1 to killReplies at as many places.
func (k *killScene) say(i int) {
	regions := []string{"hamstring", "calf", "glute", "quads"}
	for n := range k.players {
		id := int64(4000 + n)
		_, err := k.chat.Say(id, id, fmt.Sprintf("%s sore %d", regions[i%len(regions)], 1+i%3))
		require.NoError(k.t, err)
	}
}

// finish runs the program until nothing waits any more, and stops it kindly.
func (k *killScene) finish() {
	cmd, kill := k.child("none", 0)
	defer kill()
	deadline := time.Now().Add(30 * time.Second)
	quiet := 0
	last := -1
	for time.Now().Before(deadline) {
		time.Sleep(100 * time.Millisecond)
		n := 0
		for i := range k.players {
			n += len(k.chat.Transcript(int64(4000 + i)))
		}
		if k.chat.Pending() == 0 && n == last {
			if quiet++; quiet >= 12 {
				break
			}
			continue
		}
		quiet, last = 0, n
	}
	require.Zero(k.t, k.chat.Pending(), "updates are left that nobody handled")
	require.NoError(k.t, cmd.Process.Signal(syscall.SIGTERM))
	require.NoError(k.t, cmd.Wait())
}

// check looks at what came of it.
func (k *killScene) check(kills int) {
	st, err := store.Open(k.t.Context(), store.Options{Dir: k.dir})
	require.NoError(k.t, err)
	defer st.Close()
	day := prescribe.DayOf(democlub.Start())
	require.NoError(k.t, st.Read(k.t.Context(), func(tx *store.Tx) error {
		for i, p := range k.players {
			events, err := tx.Events(p.ID, day, day)
			if err != nil {
				return err
			}
			places := map[prescribe.Region]int{}
			for _, e := range events {
				if e.Soreness != nil {
					places[e.Soreness.Region]++
				}
			}
			require.Len(k.t, places, killReplies, "%s: a reply is lost: %v", p.Name, places)
			for region, n := range places {
				require.Equal(k.t, 1, n, "%s: %s counts twice", p.Name, region)
			}
			cards, err := tx.Cards(p.ID, day, day)
			if err != nil {
				return err
			}
			require.Len(k.t, cards, 1, "%s: one card a day", p.Name)
			shown := map[string]int{}
			for _, m := range k.chat.Transcript(int64(4000 + i)) {
				if !m.FromBot() {
					continue
				}
				for _, b := range m.Buttons() {
					if strings.HasPrefix(b.CallbackData, "cant:") {
						shown[b.CallbackData]++ // carries card and revision
					}
				}
			}
			// A chat has one message on its way at a time, so a kill repeats at most
			// one in each.
			for _, n := range shown {
				require.LessOrEqual(k.t, n, 1+kills, "%s: a card was repeated", p.Name)
			}
		}
		return nil
	}))
	r, err := st.Verify(k.t.Context())
	require.NoError(k.t, err)
	require.Empty(k.t, append(append(r.Integrity, r.Bad...), r.Differs...), "something is torn")
}

func TestKilledAtNamedPoints(t *testing.T) {
	template := demoTemplate(t)
	for i, point := range []string{
		"batch.received", "in.transaction", "tx.before_commit", "tx.after_commit", "after.commit",
		"update.handled", "before.confirm", "due.in_transaction", "out.claimed", "out.answered", "out.marked",
	} {
		if testing.Short() && i%4 != 0 {
			continue
		}
		t.Run(point, func(t *testing.T) {
			k := newKillScene(t, template)
			for n := range 2 {
				k.say(2 * n)
				k.say(2*n + 1)
				nth := 1 + 2*n
				if point == "batch.received" || point == "before.confirm" {
					nth = 1 // all that waits comes in one batch
				}
				cmd, kill := k.child(point, nth)
				killed := make(chan error, 1)
				go func() { killed <- cmd.Wait() }()
				select {
				case <-killed:
				case <-time.After(15 * time.Second):
					kill()
					t.Fatalf("the point %s was not passed", point)
				}
			}
			k.finish()
			k.check(2)
		})
	}
}

func TestKilledAtRandomMoments(t *testing.T) {
	template := demoTemplate(t)
	k := newKillScene(t, template)
	rng := rand.New(rand.NewPCG(1, 2))
	kills := 8
	for n := range kills {
		if n%2 == 0 && n/2 < killReplies {
			k.say(n / 2)
		}
		_, kill := k.child("none", 0)
		time.Sleep(time.Duration(20+rng.IntN(400)) * time.Millisecond)
		kill()
	}
	k.finish()
	k.check(kills)
}

// demoTemplate is a data directory with the demo club in it.
func demoTemplate(t *testing.T) string {
	dir := filepath.Join(t.TempDir(), "template")
	st, err := store.Open(t.Context(), store.Options{Dir: dir})
	require.NoError(t, err)
	require.NoError(t, importDemo(t.Context(), st))
	require.NoError(t, st.Close())
	return dir
}
