// Package pagetest drives a page in headless Chromium, for tests. Where no
// browser is installed the test is skipped and says so; under the gate
// (PEGCARD_NEED_CHROMIUM=1) it fails.
package pagetest

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// Tab is one tab of a headless browser. Selectors are CSS, or XPath when they
// begin with two slashes.
type Tab struct {
	T   *testing.T
	Ctx context.Context
}

// Open starts headless Chromium with a profile of its own.
func Open(t *testing.T) Tab {
	t.Helper()
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "google-chrome-stable"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		if os.Getenv("PEGCARD_NEED_CHROMIUM") == "1" {
			t.Fatal("PEGCARD_NEED_CHROMIUM=1, but no Chromium is installed")
		}
		t.Skip("no Chromium is installed: the page is not tested in a browser")
	}
	alloc, stop := chromedp.NewExecAllocator(context.Background(),
		chromedp.ExecPath(path), chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun,
		chromedp.NoDefaultBrowserCheck, chromedp.UserDataDir(t.TempDir()),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true),
		chromedp.Flag("disable-dev-shm-usage", true), chromedp.Flag("force-prefers-reduced-motion", true),
	)
	ctx, end := chromedp.NewContext(alloc, chromedp.WithErrorf(t.Logf))
	t.Cleanup(func() {
		// Ends the browser and waits for it, so that its profile can go.
		if err := chromedp.Cancel(ctx); err != nil && !errors.Is(err, context.Canceled) {
			t.Logf("ending the browser: %v", err)
		}
		end()
		stop()
	})
	require.NoError(t, chromedp.Do(ctx)) // starts it; a deadline here would be the browser's own
	// Bounds against a hang, not measurements: under the race detector, beside
	// other packages' tests on two cores, a page is many times slower.
	ctx, give := context.WithTimeout(ctx, 8*time.Minute)
	t.Cleanup(give)
	return Tab{t, ctx}
}

func (b Tab) Do(steps ...chromedp.Action[chromedp.Void]) {
	b.T.Helper()
	ctx, cancel := context.WithTimeout(b.Ctx, 90*time.Second)
	defer cancel()
	if err := chromedp.Do(ctx, steps...); err != nil {
		b.Shot("failed-" + b.T.Name())
		require.NoError(b.T, err)
	}
}

func (b Tab) Click(sel string) {
	b.T.Helper()
	b.See(sel)
	if xpath(sel) {
		b.Do(chromedp.Click(sel))
		return
	}
	b.Do(chromedp.Click(chromedp.CSS(sel)))
}

// See waits until something is visible.
func (b Tab) See(sel string) {
	b.T.Helper()
	if xpath(sel) {
		b.Do(chromedp.WaitVisible(sel))
		return
	}
	b.Do(chromedp.WaitVisible(chromedp.CSS(sel)))
}

func (b Tab) Keys(sel, text string) {
	b.T.Helper()
	b.Do(chromedp.SendKeys(chromedp.CSS(sel), text))
}

// Value evaluates a JavaScript expression.
func Value[T any](b Tab, expression string) T {
	b.T.Helper()
	v, err := chromedp.Run(b.Ctx, chromedp.Evaluate[T](expression))
	require.NoError(b.T, err)
	return v
}

func (b Tab) Text(sel string) string {
	b.T.Helper()
	return Value[string](b, fmt.Sprintf("document.querySelector(%q).textContent", sel))
}

func (b Tab) Size(w, h int64) {
	b.T.Helper()
	var opts []chromedp.EmulateViewportOption
	if w < 600 {
		opts = append(opts, chromedp.EmulateMobile)
	}
	b.Do(chromedp.EmulateViewport(w, h, opts...))
}

// Shot keeps a picture of the page where PEGCARD_SHOTS names a folder.
func (b Tab) Shot(name string) {
	b.T.Helper()
	dir := os.Getenv("PEGCARD_SHOTS")
	if dir == "" {
		return
	}
	png, err := chromedp.Run(b.Ctx, chromedp.CaptureScreenshot())
	require.NoError(b.T, err)
	require.NoError(b.T, os.WriteFile(filepath.Join(dir, name+".png"), png, 0o600))
}

// xpath: a selector that is not CSS.
func xpath(sel string) bool {
	return strings.HasPrefix(sel, "//") || strings.HasPrefix(sel, "(//")
}
