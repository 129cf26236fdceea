package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"
)

func TestTokenIsPrivate(t *testing.T) {
	dir := t.TempDir()
	none := func(string) string { return "" }
	file := func(dir string, mode os.FileMode) string {
		name := filepath.Join(dir, fmt.Sprintf("token-%o", mode))
		require.NoError(t, os.WriteFile(name, []byte(" 700:abc\n"), 0o600))
		require.NoError(t, os.Chmod(name, mode))
		return name
	}
	for mode, fine := range map[os.FileMode]bool{0o600: true, 0o400: true, 0o640: false, 0o604: false, 0o644: false} {
		got, err := readToken(file(dir, mode), none)
		if fine {
			require.NoError(t, err)
			require.Equal(t, "700:abc", got)
			continue
		}
		require.ErrorContains(t, err, "chmod 600", "%o", mode)
	}
	// In the directory of the service manager the group's bits are the mask of an
	// access list.
	creds := t.TempDir()
	env := func(k string) string { return map[string]string{"CREDENTIALS_DIRECTORY": creds}[k] }
	_, err := readToken(file(creds, 0o440), env)
	require.NoError(t, err)
	_, err = readToken(file(creds, 0o444), env)
	require.ErrorContains(t, err, "chmod 600")
	_, err = readToken(file(dir, 0o440), env)
	require.ErrorContains(t, err, "chmod 600")

	got, err := readToken("", func(k string) string { return map[string]string{"PEGCARD_TOKEN": "700:env"}[k] })
	require.NoError(t, err)
	require.Equal(t, "700:env", got)
	_, err = readToken("", none)
	require.ErrorContains(t, err, "--token-file")
	// No flag takes the token itself.
	a := &app{out: io.Discard, err: io.Discard, env: none}
	require.Nil(t, a.serveCmd().Flags().Lookup("token"))
}

func TestStatusStaysOnThisMachine(t *testing.T) {
	for addr, fine := range map[string]bool{"127.0.0.1:0": true, "[::1]:0": true, ":0": false, "0.0.0.0:0": false, "192.0.2.1:0": false, "localhost": false, "example.invalid:80": false} {
		l, err := listenStatus(addr)
		if !fine {
			require.ErrorContains(t, err, "--status", addr)
			continue
		}
		if err != nil && strings.HasPrefix(addr, "[") {
			continue // a machine without IPv6
		}
		require.NoError(t, err, addr)
		require.NoError(t, l.Close())
	}
}

// The production program in this process, against a chat server on loopback:
// the status page, the modes of its files, and a stop that leaves nothing.
func TestServe(t *testing.T) {
	k := newKillScene(t, demoTemplate(t))
	before := goleak.IgnoreCurrent()
	var log lockedBuffer
	a := &app{out: io.Discard, err: &log, env: os.Getenv, dir: k.dir, debug: true, now: func() time.Time { return time.Now().Add(k.offset) }}
	ctx, stop := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() {
		done <- a.serve(ctx, serveOptions{token: k.chat.Token(), endpoint: k.addr, status: "127.0.0.1:0"})
	}()
	addr := ""
	require.Eventually(t, func() bool {
		m := regexp.MustCompile(`event=status.listening address=(\S+)`).FindStringSubmatch(log.String())
		if m != nil {
			addr = m[1]
		}
		return addr != ""
	}, 30*time.Second, 20*time.Millisecond)
	client := &http.Client{Transport: &http.Transport{DisableKeepAlives: true}, Timeout: 10 * time.Second}
	get := func(path string) (int, string) {
		res, err := client.Get("http://" + addr + path)
		require.NoError(t, err)
		defer res.Body.Close()
		b, err := io.ReadAll(res.Body)
		require.NoError(t, err)
		return res.StatusCode, string(b)
	}
	k.say(0)
	require.Eventually(t, func() bool {
		_, text := get("/metrics")
		return strings.Contains(text, fmt.Sprintf("pegcard_updates_total{result=%q} %d", "handled", killPlayers)) &&
			strings.Contains(text, `pegcard_messages_total{result="sent"}`) && strings.Contains(text, `pegcard_due_total{result="done"}`)
	}, 30*time.Second, 50*time.Millisecond)
	code, text := get("/healthz")
	require.Equal(t, 200, code, text)
	for _, part := range []string{"polls answered: ok", "tick: ok", "sender: ok", "database: ok"} {
		require.Contains(t, text, part)
	}
	code, _ = get("/debug/pprof/")
	require.Equal(t, 404, code, "nothing else is shown")
	require.NoError(t, filepath.Walk(k.dir, func(path string, info os.FileInfo, err error) error {
		require.NoError(t, err)
		require.Zero(t, info.Mode().Perm()&0o077, "%s is %s", path, info.Mode())
		return nil
	}))
	begin := time.Now()
	stop()
	require.NoError(t, <-done)
	require.LessOrEqual(t, time.Since(begin), 5*time.Second)
	require.NotContains(t, log.String(), k.chat.Token())
	goleak.VerifyNone(t, before, goleak.IgnoreAnyFunction("pegcard/bot/localchat.(*Server).Serve.func1")) // the chat server is another's, and may begin late
}

// stopsEnv is how many random moments are tried; 100 is the long form.
const stopsEnv = "PEGCARD_STOPS"

// A stop asked for at any moment, also while starting and while all chats
// write, takes at most 5 s, and the program goes on afterwards where it stood.
func TestStopsWithinFiveSeconds(t *testing.T) {
	n := 10
	if testing.Short() {
		n = 3
	}
	if s := os.Getenv(stopsEnv); s != "" {
		var err error
		n, err = strconv.Atoi(s)
		require.NoError(t, err, stopsEnv)
	}
	k := newKillScene(t, demoTemplate(t))
	rng := rand.New(rand.NewPCG(5, 1))
	worst := time.Duration(0)
	for i := range n {
		if i < killReplies {
			k.say(i)
		} else {
			for p := range k.players {
				_, err := k.chat.Say(int64(4000+p), int64(4000+p), "thanks")
				require.NoError(t, err)
			}
		}
		cmd, kill := k.child("none", 0)
		time.Sleep(time.Duration(rng.IntN(900)) * time.Millisecond)
		begin := time.Now()
		require.NoError(t, cmd.Process.Signal(syscall.SIGTERM))
		err := cmd.Wait()
		took := time.Since(begin)
		worst = max(worst, took)
		if took > 5*time.Second {
			kill()
			t.Fatalf("stop %d took %s", i, took)
		}
		// Before the program listens to signals it ends by the signal itself.
		if err != nil {
			require.ErrorContains(t, err, "signal: terminated")
		}
	}
	for i := n; i < killReplies; i++ {
		k.say(i)
	}
	k.finish()
	k.check(0)
	t.Logf("%d stops, the longest %s", n, worst.Round(time.Millisecond))
}

// The service files say what the program understands, and the unit is one that
// systemd takes.
func TestDeployFiles(t *testing.T) {
	a := &app{out: io.Discard, err: io.Discard, env: func(string) string { return "" }}
	unit, err := os.ReadFile("deploy/pegcard.service")
	require.NoError(t, err)
	container, err := os.ReadFile("deploy/Containerfile")
	require.NoError(t, err)
	start := regexp.MustCompile(`(?m)^ExecStart=\S+ serve (.*)$`).FindSubmatch(unit)
	require.NotNil(t, start)
	run := regexp.MustCompile(`(?m)^CMD \["serve", (.*)\]$`).FindSubmatch(container)
	require.NotNil(t, run)
	for _, line := range []string{string(start[1]), strings.NewReplacer(`"`, "", ",", "").Replace(string(run[1]))} {
		c, rest, err := a.root().Find(append([]string{"serve"}, strings.Fields(line)...))
		require.NoError(t, err)
		require.NoError(t, c.ParseFlags(rest), line)
		require.NoError(t, c.ValidateArgs(c.Flags().Args()))
		require.NotEmpty(t, c.Flag("token-file").Value.String())
		l, err := listenStatus(regexp.MustCompile(`:\d+$`).ReplaceAllString(c.Flag("status").Value.String(), ":0"))
		require.NoError(t, err)
		require.NoError(t, l.Close())
	}
	for _, key := range []string{"DynamicUser=yes", "NoNewPrivileges=yes", "ProtectSystem=strict", "ProtectHome=yes", "UMask=0077", "StateDirectoryMode=0700", "LimitCORE=0", "Restart=always", "CapabilityBoundingSet=\n"} {
		require.Contains(t, string(unit), key)
	}
	if _, err := exec.LookPath("systemd-analyze"); err != nil {
		t.Skip("systemd-analyze is not on this machine: the unit is not checked by it")
	}
	// The program is not installed here.
	file := filepath.Join(t.TempDir(), "pegcard.service")
	require.NoError(t, os.WriteFile(file, bytes.ReplaceAll(unit, []byte("/usr/local/bin/pegcard"), []byte("/bin/true")), 0o600))
	out, err := exec.Command("systemd-analyze", "verify", file).CombinedOutput()
	require.NoError(t, err, "%s", out)
	require.NotContains(t, string(out), file, "%s", out)
}
