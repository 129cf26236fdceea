package main

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The program as a process: from start to its first poll, what it holds in
// memory at rest, and the size of the binary, against a minimal bot on the same
// libraries.
func BenchmarkFloorProcess(b *testing.B) {
	bin := b.TempDir()
	size := func(name, pkg string) float64 {
		out, err := exec.Command("go", "build", "-trimpath", "-o", filepath.Join(bin, name), pkg).CombinedOutput()
		require.NoError(b, err, string(out))
		info, err := os.Stat(filepath.Join(bin, name))
		require.NoError(b, err)
		return float64(info.Size()) / (1 << 20)
	}
	mine, least := size("pegcard", "."), size("minimal", "./testdata/minimal")
	for _, n := range []int{25, 10_000} {
		dir := bigClub(b, n)
		b.Run(fmt.Sprintf("players=%d", n), func(b *testing.B) {
			var starts, floorStarts time.Duration
			var rest, floorRest float64
			for b.Loop() {
				data := cloneData(b, dir)
				t, m := observe(b, func(addr string) *exec.Cmd {
					c := exec.Command(filepath.Join(bin, "pegcard"), "serve", "--data", data, "--api-endpoint", addr)
					c.Env = append(os.Environ(), "PEGCARD_TOKEN=7000000001:bench-secret")
					return c
				})
				starts, rest = starts+t, rest+m
				t, m = observe(b, func(addr string) *exec.Cmd {
					return exec.Command(filepath.Join(bin, "minimal"), filepath.Join(b.TempDir(), "minimal.db"), "7000000001:bench-secret", addr)
				})
				floorStarts, floorRest = floorStarts+t, floorRest+m
			}
			b.ReportMetric(starts.Seconds()/floorStarts.Seconds(), "start-x-floor")
			b.ReportMetric(rest/floorRest, "memory-x-floor")
			b.ReportMetric(float64(starts.Milliseconds())/float64(b.N), "ms-start")
			b.ReportMetric(rest/float64(b.N), "MiB-rest")
			b.ReportMetric(floorRest/float64(b.N), "floor-MiB-rest")
			b.ReportMetric(mine/least, "binary-x-floor")
			b.ReportMetric(mine, "MiB-binary")
		})
	}
}

// restAfter is how long a process is left alone before its memory is read.
const restAfter = 3 * time.Second

// observe starts a process and measures until its first poll, and its resident
// memory some seconds later, in MiB.
func observe(b *testing.B, command func(addr string) *exec.Cmd) (time.Duration, float64) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(b, err)
	polled := make(chan time.Time, 1)
	var once sync.Once
	srv := &http.Server{Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "application/json")
		switch path.Base(r.URL.Path) {
		case "getMe":
			fmt.Fprint(w, `{"ok":true,"result":{"id":1,"is_bot":true,"first_name":"b","username":"b_bot"}}`)
		case "getUpdates":
			once.Do(func() { polled <- time.Now() })
			<-r.Context().Done()
		default:
			fmt.Fprint(w, `{"ok":true,"result":true}`)
		}
	})}
	go srv.Serve(l)
	defer srv.Close()
	cmd := command("http://" + l.Addr().String())
	cmd.Stderr = os.Stderr
	began := time.Now()
	require.NoError(b, cmd.Start())
	defer func() { _ = cmd.Process.Kill(); _ = cmd.Wait() }()
	ctx, cancel := context.WithTimeout(b.Context(), time.Minute)
	defer cancel()
	var took time.Duration
	select {
	case t := <-polled:
		took = t.Sub(began)
	case <-ctx.Done():
		b.Fatal("it never polled")
	}
	time.Sleep(restAfter)
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", cmd.Process.Pid))
	require.NoError(b, err)
	for line := range strings.Lines(string(status)) {
		if f := strings.Fields(line); len(f) > 1 && f[0] == "VmRSS:" {
			kib, err := strconv.ParseFloat(f[1], 64)
			require.NoError(b, err)
			return took, kib / 1024
		}
	}
	b.Fatal("no VmRSS")
	return 0, 0
}
