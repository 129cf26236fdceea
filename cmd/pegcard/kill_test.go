package main

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
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
// that cannot be caught, at named points of the message path, of the nightly
// pass and of an upgrade, and at random moments; then it starts it again. No
// reply is lost, none counts twice, no card is issued twice; at most one message
// a chat is repeated a kill, and only in the window between the server's answer
// and the mark in the outbox. The long form, 500 kills at each point:
//
//	PEGCARD_KILLS=500 go test ./cmd/pegcard -run Killed -timeout 12h

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
	keep := bot.Keep{Left: 1, Backups: filepath.Join(f[0], "backups"), Copies: 3}
	if err := a.serve(ctx, serveOptions{token: f[2], endpoint: f[1], keep: keep}); err != nil {
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
	gone    store.Person // who has left, and is erased in the first nightly pass
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
		k.gone = members[killPlayers]
		return tx.Leave(k.gone.ID, at)
	}))
	require.NoError(t, st.Close())
	return k
}

const (
	killPlayers = 5
	killReplies = 8 // a player
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

// say has every player write: the i-th of killReplies places that are sore.
func (k *killScene) say(i int) {
	regions := []string{"hamstring", "calf", "glute", "quads", "groin", "shoulder", "arm", "neck"}
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
	db, err := sql.Open("sqlite", "file:"+filepath.Join(k.dir, store.FileName)+"?_pragma=busy_timeout(10000)")
	require.NoError(k.t, err)
	defer db.Close()
	waiting := -1
	for quiet, deadline := 0, time.Now().Add(2*time.Minute); quiet < 4 && time.Now().Before(deadline); {
		time.Sleep(100 * time.Millisecond)
		now := time.Now().Add(k.offset).UnixMilli()
		require.NoError(k.t, db.QueryRow(`SELECT COUNT(*) FROM outbox WHERE state IN ('pending', 'claimed') AND not_before <= ?`, now).Scan(&waiting))
		if waiting == 0 && k.chat.Pending() == 0 {
			quiet++
		} else {
			quiet = 0
		}
	}
	require.Zero(k.t, k.chat.Pending(), "updates are left that nobody handled")
	require.Zero(k.t, waiting, "messages are left that nobody sent")
	require.NoError(k.t, cmd.Process.Signal(syscall.SIGTERM))
	require.NoError(k.t, cmd.Wait())
}

// check looks at what came of it.
func (k *killScene) check(kills int) {
	st, err := store.Open(k.t.Context(), store.Options{Dir: k.dir})
	require.NoError(k.t, err)
	defer st.Close()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(k.dir, store.FileName))
	require.NoError(k.t, err)
	defer db.Close()
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
			// A chat has one message on its way at a time, so a kill repeats at most
			// one in each, and only one whose fate the bot knew to be open. After
			// three repeats it is given up, though it may have come.
			var sent, given, again int
			require.NoError(k.t, db.QueryRow(`SELECT COUNT(*) FILTER (WHERE state = 'sent'), COUNT(*) FILTER (WHERE state <> 'sent'), COALESCE(SUM(repeated), 0)
FROM outbox WHERE (recipient = ? OR chat = ?) AND edit = 0 AND (state = 'sent' OR repeated > 0)`, p.ID, 4000+i).Scan(&sent, &given, &again))
			said := 0
			for _, m := range k.chat.Transcript(int64(4000 + i)) {
				if m.FromBot() {
					said++
				}
			}
			require.GreaterOrEqual(k.t, said, sent, "%s: a message never came", p.Name)
			require.LessOrEqual(k.t, said, sent+given+again, "%s: a message came again, and not in its window", p.Name)
			require.LessOrEqual(k.t, said, sent+given+kills, "%s: more than one message a kill came again", p.Name)
			var issued int
			require.NoError(k.t, db.QueryRow(`SELECT COUNT(*) - COUNT(DISTINCT ref || '/' || rev) FROM outbox WHERE kind = 'card' AND recipient = ?`, p.ID).Scan(&issued))
			require.Zero(k.t, issued, "%s: a card went out twice", p.Name)
		}
		return nil
	}))
	r, err := st.Verify(k.t.Context())
	require.NoError(k.t, err)
	require.Empty(k.t, append(append(r.Integrity, r.Bad...), r.Differs...), "something is torn")
}

// killsEnv is how often the program is killed at each point, and at how many
// random moments.
const killsEnv = "PEGCARD_KILLS"

func kills(t *testing.T, short, normal int) int {
	if s := os.Getenv(killsEnv); s != "" {
		n, err := strconv.Atoi(s)
		require.NoError(t, err, killsEnv)
		return n
	}
	if testing.Short() {
		return short
	}
	return normal
}

// killsAScene is how many kills one scene sees: each comes with a reply of its
// own, and the last replies come in the end.
const killsAScene = 5

func TestKilledAtNamedPoints(t *testing.T) {
	template := demoTemplate(t)
	for i, point := range []string{
		"batch.received", "in.transaction", "tx.begin", "tx.before_commit", "tx.after_commit", "after.commit",
		"update.handled", "before.confirm", "due.in_transaction", "out.claimed", "out.answered", "out.marked",
		"backup.rename", "erase.journal", "erase.scrub",
	} {
		if testing.Short() && i%5 != 0 {
			continue
		}
		t.Run(point, func(t *testing.T) {
			t.Parallel()
			rng := rand.New(rand.NewPCG(uint64(i), 7))
			for left := kills(t, 2, killsAScene); left > 0; left -= killsAScene {
				killed := min(left, killsAScene)
				k := newKillScene(t, template)
				for n := range killed {
					k.say(n)
					nth := 1 // all that waits comes in one batch; of some there is but one
					switch point {
					case "in.transaction", "tx.begin", "tx.before_commit", "tx.after_commit", "after.commit", "update.handled", "out.claimed", "out.answered", "out.marked":
						nth += rng.IntN(3)
					}
					k.killedAt(point, nth)
				}
				for n := killed; n < killReplies; n++ {
					k.say(n)
				}
				k.finish()
				k.check(killed)
				k.checkKept()
			}
		})
	}
}

// killedAt runs the program until the n-th passing of the point ends it.
func (k *killScene) killedAt(point string, n int) {
	k.t.Helper()
	cmd, kill := k.child(point, n)
	killed := make(chan error, 1)
	go func() { killed <- cmd.Wait() }()
	select {
	case <-killed:
		require.Equal(k.t, syscall.SIGKILL, cmd.ProcessState.Sys().(syscall.WaitStatus).Signal(), "the program ended by itself")
	case <-time.After(time.Minute):
		kill()
		k.t.Fatalf("the point %s was not passed", point)
	}
}

// checkKept looks at the nightly pass: the day's copy is whole, and of whoever
// was erased no byte is left but in it.
func (k *killScene) checkKept() {
	copies, err := filepath.Glob(filepath.Join(k.dir, "backups", "*"))
	require.NoError(k.t, err)
	require.NotEmpty(k.t, copies)
	restored := 0
	for _, c := range copies {
		if filepath.Base(c) == store.JournalName {
			continue
		}
		require.Equal(k.t, ".db", filepath.Ext(c), "a stop left %s", c)
		r, err := store.Restore(k.t.Context(), store.Options{Dir: filepath.Join(k.t.TempDir(), "restored")}, c)
		require.NoError(k.t, err)
		require.True(k.t, r.Report.OK(), r.Report)
		restored++
	}
	require.Positive(k.t, restored)
	for _, suffix := range []string{"", "-wal"} {
		b, err := os.ReadFile(filepath.Join(k.dir, store.FileName+suffix))
		if !errors.Is(err, fs.ErrNotExist) {
			require.NoError(k.t, err)
		}
		require.NotContains(k.t, string(b), k.gone.Name)
	}
}

func TestKilledAtRandomMoments(t *testing.T) {
	template := demoTemplate(t)
	rng := rand.New(rand.NewPCG(1, 2))
	for left := kills(t, 6, 100); left > 0; left -= 20 {
		killed := min(left, 20)
		k := newKillScene(t, template)
		said := 0
		for n := range killed {
			if n%2 == 0 && said < killReplies {
				k.say(said)
				said++
			}
			_, kill := k.child("none", 0)
			time.Sleep(time.Duration(20+rng.IntN(400)) * time.Millisecond)
			kill()
		}
		for ; said < killReplies; said++ {
			k.say(said)
		}
		k.finish()
		k.check(killed)
		k.checkKept()
	}
}

// An upgrade that is killed, after a step of it or anywhere, is taken up by the
// next start, and what stood in the database stands there.
func TestKilledWhileUpgrading(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "db", "v1.sql"))
	require.NoError(t, err)
	rng := rand.New(rand.NewPCG(3, 4))
	chat := localchat.New(localchat.Options{Now: time.Now})
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	served := make(chan error, 1)
	go func() { served <- chat.Serve(ctx, l) }()
	t.Cleanup(func() { cancel(); require.NoError(t, <-served) })
	old := filepath.Join(t.TempDir(), store.FileName)
	db, err := sql.Open("sqlite", "file:"+old)
	require.NoError(t, err)
	_, err = db.Exec(string(text))
	require.NoError(t, err)
	require.NoError(t, db.Close())
	b, err := os.ReadFile(old)
	require.NoError(t, err)
	for n := range kills(t, 2, 10) {
		k := &killScene{t: t, dir: filepath.Join(t.TempDir(), fmt.Sprint(n)), chat: chat, addr: "http://" + l.Addr().String()}
		require.NoError(t, os.Mkdir(k.dir, 0o700))
		require.NoError(t, os.WriteFile(filepath.Join(k.dir, store.FileName), b, 0o600))
		if n%2 == 0 {
			k.killedAt("migrate.step", 1)
		} else {
			_, kill := k.child("none", 0)
			time.Sleep(time.Duration(10+rng.IntN(150)) * time.Millisecond)
			kill()
		}
		st, err := store.Open(t.Context(), store.Options{Dir: k.dir})
		require.NoError(t, err)
		r, err := st.Verify(t.Context())
		require.NoError(t, err)
		require.Empty(t, append(r.Integrity, r.Bad...))
		require.Positive(t, r.Cards) // it may have come as far as the next one
		require.NoError(t, st.Read(t.Context(), func(tx *store.Tx) error {
			p, err := tx.PersonByKey("9")
			if err != nil {
				return err
			}
			es, err := tx.Recorded(p.ID, "m:700001:1")
			require.Len(t, es, 3)
			return err
		}))
		require.NoError(t, st.Close())
	}
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
