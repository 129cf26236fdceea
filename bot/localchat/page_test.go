package localchat_test

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
	"github.com/stretchr/testify/require"

	"pegcard/bot/localchat"
)

// tab is one tab of a headless browser. Selectors are CSS, or XPath when they
// begin with two slashes.
type tab struct {
	t   *testing.T
	ctx context.Context
}

// browser starts headless Chromium with a profile of its own.
func browser(t *testing.T) tab {
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
	ctx, give := context.WithTimeout(ctx, 90*time.Second)
	t.Cleanup(give)
	return tab{t, ctx}
}

func (b tab) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, 20*time.Second)
	defer cancel()
	if err := chromedp.Do(ctx, steps...); err != nil {
		b.shot("failed-" + b.t.Name())
		require.NoError(b.t, err)
	}
}

func (b tab) click(sel string) {
	b.t.Helper()
	b.see(sel)
	if strings.HasPrefix(sel, "//") {
		b.do(chromedp.Click(sel))
		return
	}
	b.do(chromedp.Click(chromedp.CSS(sel)))
}

// see waits until something is visible.
func (b tab) see(sel string) {
	b.t.Helper()
	if strings.HasPrefix(sel, "//") {
		b.do(chromedp.WaitVisible(sel))
		return
	}
	b.do(chromedp.WaitVisible(chromedp.CSS(sel)))
}

func (b tab) keys(sel, text string) {
	b.t.Helper()
	b.do(chromedp.SendKeys(chromedp.CSS(sel), text))
}

// value evaluates a JavaScript expression.
func value[T any](b tab, expression string) T {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression))
	require.NoError(b.t, err)
	return v
}

func (b tab) text(sel string) string {
	b.t.Helper()
	return value[string](b, fmt.Sprintf("document.querySelector(%q).textContent", sel))
}

func (b tab) size(w, h int64) {
	b.t.Helper()
	var opts []chromedp.EmulateViewportOption
	if w < 600 {
		opts = append(opts, chromedp.EmulateMobile)
	}
	b.do(chromedp.EmulateViewport(w, h, opts...))
}

func (b tab) open(st *stage, w, h int64) {
	b.t.Helper()
	b.size(w, h)
	b.do(chromedp.Navigate(st.url + "/"))
	b.see(`body[data-ready="yes"]`)
}

// shot keeps a picture of the page where PEGCARD_SHOTS names a folder.
func (b tab) shot(name string) {
	b.t.Helper()
	dir := os.Getenv("PEGCARD_SHOTS")
	if dir == "" {
		return
	}
	png, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
	require.NoError(b.t, err)
	require.NoError(b.t, os.WriteFile(filepath.Join(dir, name+".png"), png, 0o600))
}

// movable is a fake civil clock with two things due a day.
type movable struct {
	mu    sync.Mutex
	now   time.Time
	onDue func(label string)
}

func (c *movable) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now
}

func (c *movable) Next() (time.Time, string, bool) {
	now := c.Now()
	for day := range 2 {
		for _, due := range []struct {
			hour  int
			label string
		}{{8, "morning cards"}, {20, "the digest"}} {
			at := time.Date(now.Year(), now.Month(), now.Day()+day, due.hour, 0, 0, 0, time.UTC)
			if at.After(now) {
				return at, due.label, true
			}
		}
	}
	return time.Time{}, "", false
}

func (c *movable) MoveTo(ctx context.Context, to time.Time) error {
	for {
		at, label, ok := c.Next()
		if !ok || at.After(to) {
			break
		}
		c.mu.Lock()
		c.now = at
		c.mu.Unlock()
		c.onDue(label)
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = to
	return ctx.Err()
}

// stage is a server on a real port with a small bot behind it, which talks
// to it through the client library.
type stage struct {
	server *localchat.Server
	clock  *movable
	url    string
}

func newStage(t *testing.T) *stage {
	t.Helper()
	clock := &movable{now: morning}
	s := localchat.New(localchat.Options{
		Token: token, BotName: "Pegs", BotUsername: "pegs_bot", Now: clock.Now, Title: "Brackwater Rovers dressing room",
		Clock: localchat.Clock{Now: clock.Now, Next: clock.Next, MoveTo: clock.MoveTo},
	})
	names := []string{"Kit", "Noor", "Tam", "Ivo", "Bram", "Sol", "Jory", "Ade", "Luca", "Wim", "Otis", "Rafe", "Niall", "Ezra", "Milo", "Hugo", "Sami", "Theo", "Dov", "Pim", "Alfie", "Koji", "Zeno", "Abel", "Cole"}
	for i, n := range names {
		require.NoError(t, s.AddPerson(localchat.Person{ID: 101 + int64(i), FirstName: n, LanguageCode: "en", Note: []string{"goalkeeper", "defender", "midfielder", "forward"}[i%4], Section: "First team", Shirt: i + 1, Started: i != 1}))
	}
	for i, n := range []string{"Una", "Bea", "Finn", "Rory", "Gus", "Leif"} {
		require.NoError(t, s.AddPerson(localchat.Person{ID: 151 + int64(i), FirstName: n, LanguageCode: "en", Section: "Academy", Shirt: 41 + i, Started: true}))
	}
	for i, n := range [][2]string{{"Dara", "Strength coach"}, {"Mo", "Medical"}, {"Greta", "Head coach"}, {"Pat", "Safeguarding"}} {
		require.NoError(t, s.AddPerson(localchat.Person{ID: 201 + int64(i), FirstName: n[0], Note: n[1], LanguageCode: "en", Staff: true, Started: true}))
	}
	_, err := s.AddGroup(localchat.Group{ID: room, Title: "Staff board", Members: []int64{201, 202, 203}})
	require.NoError(t, err)

	l, err := localchat.Listen(0)
	require.NoError(t, err)
	st := &stage{server: s, clock: clock, url: "http://" + l.Addr().String()}
	ctx, cancel := context.WithCancel(context.Background())
	var wg sync.WaitGroup
	wg.Go(func() {
		if err := s.Serve(ctx, l); err != nil {
			t.Errorf("serve: %v", err)
		}
	})
	client := &http.Client{Transport: &http.Transport{}}
	bot, err := tgbotapi.NewBotAPIWithClient(token, st.url+"/bot%s/%s", client)
	require.NoError(t, err)
	wg.Go(func() { st.bot(ctx, t, bot) })
	clock.onDue = func(label string) { st.due(t, bot, label) }
	_, err = bot.Request(tgbotapi.NewSetMyCommands(tgbotapi.BotCommand{Command: "card", Description: "today’s card"}, tgbotapi.BotCommand{Command: "help", Description: "what I understand"}))
	require.NoError(t, err)
	t.Cleanup(func() {
		cancel()
		wg.Wait()
		client.CloseIdleConnections()
	})
	return st
}

const cardText = `<b>Tuesday strength</b>, matchday −4
1. <b>Back squat</b> 3 × 5 at <code>102.5 kg</code>
2. Nordic lowers 2 × 4
3. Copenhagen side plank 2 × 20 s, each side
<i>Why: your last five at 100 kg left two in reserve.</i>`

func (st *stage) due(t *testing.T, bot *tgbotapi.BotAPI, label string) {
	if label == "the digest" {
		m := tgbotapi.NewMessage(203, "<b>Today</b>\n24 of 25 answered\n1 held back\n<blockquote>No medical detail is shown here.</blockquote>")
		m.ParseMode = tgbotapi.ModeHTML
		_, err := bot.Send(m)
		require.NoError(t, err)
		return
	}
	for i := range int64(25) {
		if i == 1 {
			continue // has not opened the chat
		}
		m := tgbotapi.NewMessage(101+i, cardText)
		m.ParseMode = tgbotapi.ModeHTML
		m.ReplyMarkup = tgbotapi.NewInlineKeyboardMarkup(
			tgbotapi.NewInlineKeyboardRow(tgbotapi.NewInlineKeyboardButtonData("Done as written", "done:1"), tgbotapi.NewInlineKeyboardButtonData("Set by set", "sets:1")),
			tgbotapi.NewInlineKeyboardRow(tgbotapi.NewInlineKeyboardButtonData("Something hurts", "pain:1"), tgbotapi.NewInlineKeyboardButtonData("Can’t train", "no:1")),
		)
		_, err := bot.Send(m)
		require.NoError(t, err)
	}
}

// bot answers each text with a card that carries one button, and a tap by
// changing that card.
func (st *stage) bot(ctx context.Context, t *testing.T, bot *tgbotapi.BotAPI) {
	offset := 0
	for ctx.Err() == nil {
		cfg := tgbotapi.UpdateConfig{Offset: offset, Timeout: 20}
		updates, err := bot.GetUpdates(cfg)
		if err != nil {
			if ctx.Err() == nil {
				t.Errorf("getUpdates: %v", err)
			}
			return
		}
		for _, u := range updates {
			offset = u.UpdateID + 1
			switch {
			case u.CallbackQuery != nil:
				q := u.CallbackQuery
				_, err = bot.Request(tgbotapi.NewCallback(q.ID, "Noted"))
				if err == nil {
					e := tgbotapi.NewEditMessageText(q.Message.Chat.ID, q.Message.MessageID, "Noted. Well done, "+q.From.FirstName+".")
					_, err = bot.Send(e)
				}
			case u.Message != nil && u.Message.Text != "":
				m := tgbotapi.NewMessage(u.Message.Chat.ID, fmt.Sprintf("Read: <b>%s</b>. How hard was it?", tgbotapi.EscapeText(tgbotapi.ModeHTML, u.Message.Text)))
				m.ParseMode = tgbotapi.ModeHTML
				m.ReplyMarkup = tgbotapi.NewInlineKeyboardMarkup(tgbotapi.NewInlineKeyboardRow(
					tgbotapi.NewInlineKeyboardButtonData("Two left", "rir:2"), tgbotapi.NewInlineKeyboardButtonData("One left", "rir:1"), tgbotapi.NewInlineKeyboardButtonData("None left", "rir:0")))
				_, err = bot.Send(m)
			}
			if err != nil && ctx.Err() == nil {
				t.Errorf("bot: %v", err)
				return
			}
		}
		select {
		case <-ctx.Done():
		default:
		}
	}
}

func (st *stage) scenes() {
	has := func(chat int64, bot bool, words string) func() bool {
		return func() bool {
			for _, m := range st.server.Transcript(chat) {
				if m.FromBot() == bot && strings.Contains(m.Text, words) {
					return true
				}
			}
			return false
		}
	}
	st.server.SetScenes([]localchat.Scene{
		{Title: "Morning push", Text: "Move the clock to eight: every player’s card is hung on their peg.", Move: "next", Done: has(101, true, "strength")},
		{Title: "Answer as Kit", Text: "Type what was lifted, or tap a strip under the card, then look at the answer.", Person: 101, Say: "3x5 100", Done: has(101, true, "Read")},
		{Title: "Say how hard", Text: "Tap one of the strips under the question.", Person: 101, Done: has(101, true, "Noted")},
		{Title: "Read the digest", Text: "Move to the evening and read what the head coach gets.", Move: "evening", Person: 203, Done: has(203, true, "Today")},
	})
}

const peg101 = `#pegs [data-person="101"]`

func TestPageDesktop(t *testing.T) {
	b := browser(t)
	st := newStage(t)
	st.scenes()
	b.open(st, 1440, 900)
	b.shot("desk-1-start")

	// the morning: the clock moves to the next event and every peg has a card
	b.click("#clock-next")
	b.see(`#pegs [data-person="105"] .badge`)
	b.see(`//time[text()="08:00"]`)
	b.see(`//*[@id="clock-next-label"][text()="Next event: 20:00 the digest"]`)
	b.see(`//strong[contains(text(),"Step 2 of 4")]`)
	b.shot("desk-2-morning")

	// a player answers by typing; the bot's answer comes with buttons
	b.click(`#pegs [data-person="103"]`)
	b.see(`//section[@id="peg"]//h2[text()="Tam"]`)
	b.click(peg101)
	b.see(`//section[@id="peg"]//h2[text()="Kit"]`)
	b.see(`#peg [data-data="done:1"]`)
	b.keys("#peg-words", "3x5 100 <script>\r")
	b.see(`#peg [data-data="rir:2"]`)
	b.shot("desk-3-answered")

	// the tap is answered and the card changes
	b.click(`#peg [data-data="rir:2"]`)
	b.see(`//section[@id="peg"]//div[contains(text(),"Noted. Well done, Kit.")]`)
	require.Contains(t, b.text("#peg .cards > li:last-child"), "edited 08:00")

	// the guided walk leads to the head coach in the evening
	b.see(`//strong[contains(text(),"Step 4 of 4")]`)
	b.click("#guide-go")
	b.see(`#staff blockquote`)
	b.see(`//strong[contains(text(),"That was the walk")]`)
	require.Empty(t, b.text("#trouble"))
	b.shot("desk-4-evening")
	require.Equal(t, "21:00", st.clock.Now().Format("15:04"))
}

func TestPagePhone(t *testing.T) {
	b := browser(t)
	st := newStage(t)
	st.scenes()
	require.NoError(t, st.clock.MoveTo(b.ctx, morning.Add(time.Hour)))
	b.open(st, 390, 844)
	b.shot("phone-1-pegs")
	b.click(peg101)
	b.see(`#peg [data-data="done:1"]`)
	b.shot("phone-2-card")
	b.keys("#peg-words", "done\r")
	b.click(`#peg [data-data="rir:1"]`)
	b.see(`//section[@id="peg"]//div[contains(text(),"Noted.")]`)
	b.shot("phone-3-answered")
	b.click(`#tabs [data-pane="staff"]`)
	b.see(`#staff .who`)
	b.shot("phone-4-staff")
	for _, w := range []int64{360, 390, 800, 1100, 1280, 1600} {
		b.size(w, 844)
		b.shot(fmt.Sprintf("width-%d", w))
		require.LessOrEqual(t, value[int](b, `document.documentElement.scrollWidth`), int(w), "the page is wider than a window of %d", w)
	}
}

func TestListenIsLoopbackOnly(t *testing.T) {
	l, err := localchat.Listen(0)
	require.NoError(t, err)
	require.True(t, l.Addr().(*net.TCPAddr).IP.IsLoopback())
	require.NoError(t, l.Close())
	everywhere, err := net.Listen("tcp", "0.0.0.0:0")
	require.NoError(t, err)
	s := newServer(t, nil)
	require.ErrorContains(t, s.Serve(t.Context(), everywhere), "refusing to listen")
}
