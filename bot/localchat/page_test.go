package localchat_test

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
	"github.com/stretchr/testify/require"

	"pegcard/bot/localchat"
	"pegcard/bot/localchat/pagetest"
)

// tab is a browser on the chat page.
type tab struct{ pagetest.Tab }

func browser(t *testing.T) tab { return tab{pagetest.Open(t)} }

func (b tab) open(st *stage, w, h int64) {
	b.T.Helper()
	b.Size(w, h)
	b.Do(chromedp.Navigate(st.url + "/"))
	b.See(`body[data-ready="yes"]`)
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
	b.Shot("desk-1-start")

	// the morning: the clock moves to the next event and every peg has a card
	b.Click("#clock-next")
	b.See(`#pegs [data-person="105"] .badge`)
	b.See(`//time[text()="08:00"]`)
	b.See(`//*[@id="clock-next-label"][text()="Next event: 20:00 the digest"]`)
	b.See(`//strong[contains(text(),"Step 2 of 4")]`)
	b.Shot("desk-2-morning")

	// a player answers by typing; the bot's answer comes with buttons
	b.Click(`#pegs [data-person="103"]`)
	b.See(`//section[@id="peg"]//h2[text()="Tam"]`)
	b.Click(peg101)
	b.See(`//section[@id="peg"]//h2[text()="Kit"]`)
	b.See(`#peg [data-data="done:1"]`)
	b.Keys("#peg-words", "3x5 100 <script>\r")
	b.See(`#peg [data-data="rir:2"]`)
	b.Shot("desk-3-answered")

	// the tap is answered and the card changes
	b.Click(`#peg [data-data="rir:2"]`)
	b.See(`//section[@id="peg"]//div[contains(text(),"Noted. Well done, Kit.")]`)
	require.Contains(t, b.Text("#peg .cards > li:last-child"), "edited 08:00")

	// the guided walk leads to the head coach in the evening
	b.See(`//strong[contains(text(),"Step 4 of 4")]`)
	b.Click("#guide-go")
	b.See(`#staff blockquote`)
	b.See(`//strong[contains(text(),"That was the walk")]`)
	require.Empty(t, b.Text("#trouble"))
	b.Shot("desk-4-evening")
	require.Equal(t, "21:00", st.clock.Now().Format("15:04"))
}

func TestPagePhone(t *testing.T) {
	b := browser(t)
	st := newStage(t)
	st.scenes()
	require.NoError(t, st.clock.MoveTo(b.Ctx, morning.Add(time.Hour)))
	b.open(st, 390, 844)
	b.Shot("phone-1-pegs")
	b.Accessible()
	b.Click("#guide-go") // leads to the peg and lays the words out
	b.See(`#peg [data-data="done:1"]`)
	require.Equal(t, "3x5 100", pagetest.Value[string](b.Tab, `document.querySelector("#peg-words").value`))
	b.Click(`#tabs [data-pane="wall"]`)
	b.Click(peg101)
	b.See(`#peg [data-data="done:1"]`)
	b.Shot("phone-2-card")
	b.Keys("#peg-words", "\r")
	b.Click(`#peg [data-data="rir:1"]`)
	b.See(`//section[@id="peg"]//div[contains(text(),"Noted.")]`)
	b.Shot("phone-3-answered")
	b.Click(`#tabs [data-pane="staff"]`)
	b.See(`#staff .who`)
	b.Shot("phone-4-staff")
	b.Accessible()
	// a long walk fits too, and shows where one is
	walk := []localchat.Scene{}
	for i, title := range []string{"Morning push", "Answer as Kit", "Say how hard", "See the next card change", "Report pain", "Read the medical alert", "To the evening", "Read the digest"} {
		walk = append(walk, localchat.Scene{Title: title, Text: "One sentence that says what to do and what to look for on the page.", Person: 101, Done: func() bool { return i < 5 }})
	}
	st.server.SetScenes(walk)
	b.See(`//strong[contains(text(),"Step 6 of 8")]`)
	b.Do(chromedp.Evaluate[chromedp.Void](`window.scrollTo(0, 0)`))
	b.Shot("phone-5-walk")
	for _, w := range []int64{360, 390, 800, 1100, 1280, 1600} {
		b.Size(w, 844)
		b.Shot(fmt.Sprintf("width-%d", w))
		require.LessOrEqual(t, pagetest.Value[int](b.Tab, `document.documentElement.scrollWidth`), int(w), "the page is wider than a window of %d", w)
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

// Everything a message can hold, as the page draws it; read for words that
// would run, for words hidden, and for the direction of writing.
func TestPageDrawsMessages(t *testing.T) {
	b := browser(t)
	st := newStage(t)
	st.scenes()
	s := st.server
	var asked string
	s.Fault(func(method string, r *http.Request) *localchat.Fault {
		if method == "sendMessage" && strings.Contains(r.Form.Get("text"), "onerror") {
			asked = r.Form.Get("text")
		}
		return nil
	})
	send := func(pairs ...string) {
		t.Helper()
		good(t, s, nil, "sendMessage", append([]string{"chat_id", "101", "parse_mode", "HTML"}, pairs...)...)
	}
	send("text", "<b>Bold <i>both</i></b> <u>under</u> <s>struck</s> <code>100 kg × 5</code> <tg-spoiler>hidden words</tg-spoiler> <a href=\"https://example.org/\">a link</a>\n<blockquote>Set this down,\nthen rest 3 min</blockquote><pre>bar 20\nplates 25+15</pre>💪🏽 👩‍🦱 <b>end</b>", "protect_content", "true")
	send("text", "مرحبا <b>كيت</b>، تمرين اليوم: 3 × 5 × 100 kg\nSecond line, left to right.")
	send("text", "&lt;img src=x onerror=document.body.dataset.ran=1&gt;", "reply_markup", `{"inline_keyboard":[[{"text":"<b>not bold</b>","callback_data":"x"},{"text":"Manual","url":"https://example.org/"},{"text":"Join","url":"https://chat.example/pegs_bot?start=join-7"}]]}`)
	send("text", "Which side?", "reply_markup", `{"keyboard":[["Left","Right"],["Both sides"]],"input_field_placeholder":"left, right or both"}`)
	require.True(t, uploadTo(t, s, "sendPhoto", "photo", "p.png", picture(t, 300, 120), "caption", "Your load, four weeks").OK)
	require.True(t, uploadTo(t, s, "sendDocument", "document", "week.csv", []byte("a,b"), "caption", "").OK)
	_, err := s.SendVoiceFrom(101, 101, 4)
	require.NoError(t, err)
	_, err = s.SendStickerFrom(101, 101, "💪")
	require.NoError(t, err)
	b.open(st, 1440, 1800)
	b.See(`//section[@id="peg"]//button[text()="Both sides"]`)
	b.Shot("messages")
	require.NotEmpty(t, asked)
	require.False(t, pagetest.Value[bool](b.Tab, `"ran" in document.body.dataset`), "words must not run")
	require.Equal(t, "Bold both", pagetest.Value[string](b.Tab, `document.querySelector("#peg .words strong").textContent`))
	require.Equal(t, "💪🏽 👩‍🦱 end", pagetest.Value[string](b.Tab, `[...document.querySelector("#peg .words").childNodes].slice(-2).map((n) => n.textContent).join("").trim()`))
	require.Equal(t, "hidden", pagetest.Value[string](b.Tab, `getComputedStyle(document.querySelector("#peg .spoiler > span")).visibility`))
	b.Click("#peg .spoiler")
	require.Equal(t, "visible", pagetest.Value[string](b.Tab, `getComputedStyle(document.querySelector("#peg .spoiler > span")).visibility`))
	require.Equal(t, "noopener noreferrer", pagetest.Value[string](b.Tab, `document.querySelector("#peg .words a").rel`))
	require.Equal(t, "rtl", pagetest.Value[string](b.Tab, `getComputedStyle(document.querySelectorAll("#peg .words")[1]).direction`))
	require.Equal(t, "left, right or both", pagetest.Value[string](b.Tab, `document.querySelector("#peg-words").placeholder`))
	// The picture loads beside the page.
	require.Eventually(t, func() bool {
		return pagetest.Value[int](b.Tab, `document.querySelector("#peg img").naturalWidth`) == 300
	}, 10*time.Second, 50*time.Millisecond)
	b.Accessible()

	// an invitation's link asks who opens it
	b.Click(`//section[@id="peg"]//button[text()="Join"]`)
	b.See("#invite")
	b.Shot("invitation")
	require.Equal(t, "102", pagetest.Value[string](b.Tab, `document.querySelector("#invite-who").value`), "who has not joined comes first")
	b.Accessible()
	b.Click(`#invite .strong`)
	b.See(`//section[@id="peg"]//h2[text()="Noor"]`)
	b.See(`//section[@id="peg"]//div[contains(text(),"/start join-7") or .="/start join-7"]`)

	// blocking, from the menu
	b.Click("#peg .more summary")
	b.Shot("menu")
	b.Accessible()
	b.Click("#peg .block")
	b.See(`//section[@id="peg"]//p[contains(text(),"has blocked the bot")]`)
	b.See(`//*[@data-person="102"]//*[text()="blocked"]`)
	b.Shot("blocked")
	b.Accessible()
	bad(t, s, 403, "Forbidden: bot was blocked by the user", "sendMessage", "chat_id", "102", "text", "x")
	b.Click("#peg .start button")
	b.See("#peg .composer")

	// a correction of what was sent
	b.Keys("#peg-words", "3x5 90\r")
	b.See(`//section[@id="peg"]//div[text()="3x5 90"]`)
	b.Click("#peg .own.latest .correct")
	b.Shot("correcting")
	b.Keys("#peg-words", " rir 2\r")
	b.See(`//section[@id="peg"]//div[text()="3x5 90 rir 2"]`)

	// what is refused is said and comes back into the field
	b.Do(chromedp.Evaluate[chromedp.Void](`document.querySelector("#peg-words").value = "x".repeat(4097)`))
	b.Keys("#peg-words", "\r")
	b.See(`//*[@id="trouble"][contains(text(),"A message may be 4096 characters long, this one is 4097")]`)
	b.Shot("refused")
	require.Equal(t, 4097, pagetest.Value[int](b.Tab, `document.querySelector("#peg-words").value.trim().length`))
	b.Do(chromedp.Evaluate[chromedp.Void](`document.querySelector("#peg-words").value = ""; trouble("")`))

	// the staff's common room
	b.Click(`//section[@id="staff"]//button[text()="Staff board"]`)
	b.Keys("#staff-words", "/digest\r")
	b.See(`//section[@id="staff"]//*[text()="/digest"]`)
	b.Shot("staff-board")
	require.Equal(t, "/digest", s.Transcript(room)[1].Text)
	require.Empty(t, b.Text("#trouble"))
}

// What happens while a chat is being fetched is neither lost nor drawn on
// another person's peg.
func TestPageWhileFetching(t *testing.T) {
	b := browser(t)
	st := newStage(t)
	good(t, st.server, nil, "sendMessage", "chat_id", "101", "text", "Kit’s card", "reply_markup", `{"inline_keyboard":[[{"text":"A","callback_data":"a"}]]}`)
	b.open(st, 1280, 800)
	b.See(`//section[@id="peg"]//div[text()="Kit’s card"]`)
	b.Do(chromedp.Evaluate[chromedp.Void](`{
		const real = window.fetch;
		window.held = 0;
		window.fetch = async (u, ...a) => {
			const r = await real(u, ...a);
			if (String(u).startsWith("/page/chat")) { window.held++; await new Promise((ok) => (window.release = ok)); }
			return r;
		};
	}`))
	b.Click(`#pegs [data-person="104"]`)
	b.See(`//section[@id="peg"]//h2[text()="Ivo"]`)
	b.See(`body:not(:has(#peg .cards > li))`)
	_, err := chromedp.Run(b.Ctx, chromedp.Poll[bool](`window.held === 1`, chromedp.WithPollingTimeout(10*time.Second)))
	require.NoError(t, err)
	good(t, st.server, nil, "sendMessage", "chat_id", "104", "text", "Ivo’s card")
	_, err = chromedp.Run(b.Ctx, chromedp.Poll[bool](`rooms.peg.held.length === 1`, chromedp.WithPollingTimeout(10*time.Second)))
	require.NoError(t, err)
	b.Do(chromedp.Evaluate[chromedp.Void](`window.release()`))
	b.See(`//section[@id="peg"]//div[text()="Ivo’s card"]`)
	require.Equal(t, 1, pagetest.Value[int](b.Tab, `document.querySelectorAll("#peg .cards > li").length`))
}

// The whole way by keyboard alone.
func TestPageByKeyboard(t *testing.T) {
	b := browser(t)
	st := newStage(t)
	st.scenes()
	b.open(st, 1280, 800)
	focus := func() string {
		t.Helper()
		return pagetest.Value[string](b.Tab, `(() => { const e = document.activeElement; return e.id || e.dataset.person || e.className || e.tagName })()`)
	}
	// to presses Tab until something has the focus.
	to := func(want string) {
		t.Helper()
		for range 40 {
			if focus() == want {
				return
			}
			b.Do(chromedp.KeyEvent(kb.Tab))
		}
		t.Fatalf("Tab never reaches %s", want)
	}
	b.Do(chromedp.KeyEvent(kb.Tab))
	require.Equal(t, "skip", focus())
	to("clock-next")
	b.Do(chromedp.KeyEvent(kb.Enter))
	b.See(`//time[text()="08:00"]`)
	to("101")
	b.Do(chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.ArrowRight))
	require.Equal(t, "103", focus())
	b.Do(chromedp.KeyEvent(kb.ArrowDown))
	require.NotEqual(t, "103", focus())
	b.Do(chromedp.KeyEvent(kb.ArrowUp))
	require.Equal(t, "103", focus())
	b.Shot("keyboard-focus")
	b.Do(chromedp.KeyEvent(kb.Enter))
	b.See(`//section[@id="peg"]//h2[text()="Tam"]`)
	require.Equal(t, "103", focus(), "the focus stays while one looks from peg to peg")
	b.Do(chromedp.KeyEvent(kb.End))
	require.Equal(t, "156", focus())
	to("peg-words")
	b.Do(chromedp.KeyEvent("done" + kb.Enter))
	b.See(`#peg [data-data="rir:1"]`)
	require.Contains(t, pagetest.Value[string](b.Tab, `document.querySelector("#live").textContent`)+b.Text("#peg .cards"), "How hard was it?")
	b.Do(chromedp.Focus(chromedp.CSS(`#peg [data-data="rir:1"]`)), chromedp.KeyEvent(kb.Enter))
	b.See(`//section[@id="peg"]//div[contains(text(),"Noted.")]`)
	b.Accessible()
}
