package main

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"pegcard/bot/localchat"
	"pegcard/bot/localchat/pagetest"
)

// A newcomer walks through the demo in a browser, led by nothing but the page:
// the morning push, a session in three taps, soreness, pain, the medical alert,
// the evening, the digest, the next card. Set PEGCARD_SHOTS to a folder to keep
// the pictures.
func TestDemoInTheBrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("the walk is long; the page's own tests run in the short form")
	}
	b := pagetest.Open(t)
	url := startDemo(t)
	b.Size(1440, 1000)
	b.Do(chromedp.Navigate(url))
	b.See(`body[data-ready="yes"]`)
	b.Shot("demo-1-start")
	began := time.Now()

	step := func(n int) { b.See(fmt.Sprintf(`//strong[contains(text(),"Step %d of 8")]`, n)) }
	follow := func() { b.Click("#guide-go") }
	peg := func(words string) string {
		return fmt.Sprintf(`//section[@id="peg"]//ol//li[last()][contains(.,%q)]`, words)
	}
	tap := func(label string) {
		b.Click(fmt.Sprintf(`(//section[@id="peg"]//button[normalize-space(.)=%q])[last()]`, label))
	}

	step(1)
	follow() // the clock moves to the morning push
	step(2)
	follow() // number 1
	b.See(`//section[@id="peg"]//button[normalize-space(.)="Done as written"]`)
	b.Shot("demo-2-card")
	tap("Done as written") // one
	b.See(peg("how many more good reps"))
	tap("3") // two
	b.See(peg("How hard was the whole session"))
	tap("7") // three
	b.See(peg("Effort 7/10"))
	b.Shot("demo-3-done")

	step(3)
	follow() // number 3: the words are laid into the composer
	b.ClickTo("#peg .send", `//section[@id="peg"]//ol//li[contains(.,"New card")]`)
	b.Shot("demo-4-sore")

	step(4)
	follow() // number 11
	b.ClickTo("#peg .send", `//section[@id="peg"]//ol//li[contains(.,"Medical staff")]`)
	tap("None of these") // the question about warning signs; unanswered it becomes an alert
	b.Shot("demo-5-pain")

	step(5)
	follow() // the doctor
	b.See(`//section[@id="staff"]//ol//li[contains(.,"Pain 6/10")]`)
	b.Shot("demo-6-alert")
	b.Click(`(//section[@id="staff"]//button[normalize-space(.)="Read, I take care"])[last()]`)
	b.See(`//section[@id="staff"]//ol//li[contains(.,"Acknowledged by")]`)

	step(6)
	follow() // to the evening
	step(7)
	follow() // the coach
	b.See(`//section[@id="staff"]//h2[text()="Ottoline Harkwell"]`)
	b.See(`//section[@id="staff"]//ol//li[contains(.,"First team: ")]`)
	b.Shot("demo-7-digest")
	coach := pagetest.Value[string](b, `document.querySelector("#staff .cards").innerText`)
	require.NotContains(t, strings.ToLower(coach), "knee", "the coach reads no place of pain")
	require.Contains(t, coach, "ask medical staff")

	step(8)
	follow() // one day on, number 1
	b.See(`//strong[contains(text(),"That was the walk")]`)
	b.See(`//section[@id="peg"]//h2[text()="Edmund Farrowby"]`)
	b.Shot("demo-8-next")
	require.Less(t, time.Since(began), 3*time.Minute, "within three minutes")
	require.Empty(t, b.Text("#trouble"))

	// The same cards on a phone, in three languages, one written from the right.
	b.Size(390, 844)
	for _, p := range []struct{ name, lang, dir, done string }{
		{"Edmund Farrowby", "en", "ltr", "Done as written"}, {"Jonas Winterhaag", "de", "ltr", "Wie geschrieben gemacht"}, {"Yusuf Al-Maqsadi", "ar", "rtl", "تم كما هو مكتوب"},
	} {
		b.Click(`#tabs [data-pane="wall"]`)
		b.Click(fmt.Sprintf(`//*[@id="pegs"]//*[@data-person][contains(., %q)]`, strings.Fields(p.name)[0]))
		b.See(fmt.Sprintf(`//section[@id="peg"]//h2[text()=%q]`, p.name))
		b.Shot("phone-" + p.lang)
		b.Accessible()
		require.Equal(t, p.dir, pagetest.Value[string](b, `getComputedStyle([...document.querySelectorAll("#peg .words")].at(-1)).direction`), p.lang)
		require.Contains(t, pagetest.Value[string](b, `document.querySelector("#peg .cards").innerText`), p.done)
	}
}

// startDemo runs the demo on a free port until the test ends.
func startDemo(t *testing.T) string {
	l, err := localchat.Listen(0)
	require.NoError(t, err)
	var out lockedBuffer
	a := &app{out: &out, err: &out, env: func(string) string { return "" }}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- a.demo(ctx, l) }()
	t.Cleanup(func() {
		cancel()
		require.NoError(t, <-done, out.String())
		if t.Failed() {
			t.Log(out.String())
		}
	})
	require.Eventually(t, func() bool { return strings.Contains(out.String(), "Open http") }, 10*time.Minute, 50*time.Millisecond, "%s", &out)
	return "http://" + l.Addr().String() + "/"
}

type lockedBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}
