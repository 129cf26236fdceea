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

// Click waits for something to be visible and clicks it.
func (b Tab) Click(sel string) {
	b.T.Helper()
	b.See(sel)
	if xpath(sel) {
		b.Do(chromedp.Click(sel))
		return
	}
	b.Do(chromedp.Click(chromedp.CSS(sel)))
}

// ClickTo clicks until something is visible: what moves on the page between
// aiming and clicking makes a click miss, for a person too.
func (b Tab) ClickTo(sel, see string) {
	b.T.Helper()
	for range 3 {
		b.Click(sel)
		ctx, cancel := context.WithTimeout(b.Ctx, 15*time.Second)
		err := chromedp.Do(ctx, visible(see))
		cancel()
		if err == nil {
			return
		}
	}
	b.See(see)
}

// See waits until something is visible.
func (b Tab) See(sel string) {
	b.T.Helper()
	b.Do(visible(sel))
}

func visible(sel string) chromedp.Action[chromedp.Void] {
	if xpath(sel) {
		return chromedp.WaitVisible(sel)
	}
	return chromedp.WaitVisible(chromedp.CSS(sel))
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

// accessible lists what on the page as it stands breaks the rules: text
// under 4.5:1 (WCAG 2.2, 1.4.3 AA), controls lower than 44 px, and what does not
// fit the window.
const accessible = `(() => {
  const rgb = (s) => (s.match(/[\d.]+/g) || []).map(Number);
  const lum = (c) => {
    const [r, g, b] = c.map((v) => v / 255).map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ground = (e) => {
    for (; e; e = e.parentElement) {
      const c = rgb(getComputedStyle(e).backgroundColor);
      if (c.length === 3 || c[3] > 0.95) return c.slice(0, 3);
    }
    return [255, 255, 255];
  };
  const out = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  let seen = 0;
  while (walk.nextNode()) {
    const e = walk.currentNode.parentElement;
    if (!walk.currentNode.textContent.trim() || !e.checkVisibility({ visibilityProperty: true }) || e.closest(".aside, .skip, script, noscript, option")) continue;
    if (e.closest("svg")) continue;
    seen++;
    const fg = rgb(getComputedStyle(e).color).slice(0, 3);
    const [a, b] = [lum(fg), lum(ground(e))].sort((x, y) => y - x);
    const ratio = (a + 0.05) / (b + 0.05);
    if (ratio < 4.5) out.push(ratio.toFixed(2) + ":1 " + e.className + " " + walk.currentNode.textContent.trim().slice(0, 30));
  }
  for (const e of document.querySelectorAll("textarea, input")) {
    if (!e.placeholder || !e.checkVisibility({ visibilityProperty: true })) continue;
    const c = getComputedStyle(e, "::placeholder"), bg = lum(ground(e));
    const [a, b] = [lum(rgb(c.color).slice(0, 3)) , bg].sort((x, y) => y - x);
    if (c.opacity < 1 || (a + 0.05) / (b + 0.05) < 4.5) out.push("faint placeholder " + ((a + 0.05) / (b + 0.05)).toFixed(2) + ":1 at " + c.opacity + " " + e.placeholder);
    if (!e.value && e.scrollHeight > e.clientHeight + 1) out.push("the placeholder does not fit: " + e.placeholder);
  }
  if (seen < 20) out.push("only " + seen + " texts looked at");
  for (const e of document.querySelectorAll("button, .button, summary, input, select, textarea, [role=option]")) {
    if (!e.checkVisibility({ visibilityProperty: true }) || e.closest(".words")) continue;
    const h = e.getBoundingClientRect().height;
    if (h < 43.9) out.push(Math.round(h) + " px high: " + (e.id || e.className) + " " + e.textContent.trim().slice(0, 30));
  }
  const wide = document.documentElement.scrollWidth;
  if (wide > innerWidth) out.push("the page is " + wide + " px wide in a window of " + innerWidth);
  for (const e of document.querySelectorAll(".cards > li, .cards button, .words")) {
    if (!e.checkVisibility({ visibilityProperty: true })) continue;
    const r = e.getBoundingClientRect();
    if (r.width && (r.left < -0.5 || r.right > innerWidth + 0.5)) out.push("cut off at the side: " + e.className + " " + e.textContent.trim().slice(0, 30));
    if (e.matches("button") && e.scrollWidth > e.clientWidth + 1) out.push("words wider than their button: " + e.textContent.trim());
  }
  return out;
})()`

// Accessible fails when the page as it stands breaks a rule of contrast, size or
// width.
func (b Tab) Accessible() {
	b.T.Helper()
	require.Empty(b.T, Value[[]string](b, accessible))
}

// xpath: a selector that is not CSS.
func xpath(sel string) bool {
	return strings.HasPrefix(sel, "//") || strings.HasPrefix(sel, "(//")
}
