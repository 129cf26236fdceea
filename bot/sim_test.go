package bot_test

import (
	"context"
	"fmt"
	"maps"
	"math/rand/v2"
	"net/http"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/bot"
	"pegcard/bot/localchat"
	"pegcard/bot/telegram"
	"pegcard/cmd/pegcard/democlub"
	"pegcard/prescribe"
	"pegcard/store"
)

// The simulation: some days of a club drawn from a seed. Players report, correct
// themselves, tap what they find, block the bot; staff ask; strangers knock; the
// network misbehaves, handlers panic in the middle of their transactions, the
// process stops and starts, the clock jumps. Beside it stands a model of a few
// lines that says what must have come of it.
//
// A failing seed is printed with the command that plays it again.
const (
	// seedEnv is the seed to begin with, and the only one unless seedsEnv says how
	// many are played.
	seedEnv  = "PEGCARD_SIM_SEED"
	seedsEnv = "PEGCARD_SIM_SEEDS"
)

func TestSimulation(t *testing.T) {
	seeds := 8
	if testing.Short() {
		seeds = 1
	}
	first := 1
	number := func(key string) (int, bool) {
		s := os.Getenv(key)
		if s == "" {
			return 0, false
		}
		n, err := strconv.Atoi(s)
		require.NoError(t, err, key)
		return n, true
	}
	if n, ok := number(seedEnv); ok {
		first, seeds = n, 1
	}
	if n, ok := number(seedsEnv); ok {
		seeds = n
	}
	met := map[string]int{}
	for seed := first; seed < first+seeds; seed++ {
		ok := t.Run(fmt.Sprint(seed), func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				for k, n := range simulate(t, uint64(seed), 7) {
					met[k] += n
				}
			})
		})
		if !ok {
			t.Fatalf("play it again: %s=%d go test ./bot -run TestSimulation -v", seedEnv, seed)
		}
	}
	t.Logf("%d seeds; faults met: %v", seeds, met)
	if seeds >= 8 {
		for _, kind := range slices.Concat(pollFaults, sendFaults, []string{"panic", "restart", "clock back"}) {
			require.Positive(t, met[kind], "never met: %s", kind)
		}
	}
}

// world is one simulation.
type world struct {
	*talk
	t    *testing.T
	rng  *rand.Rand
	net  *unruly
	told map[int64]map[int]string // chat → message → what the model holds of it
	held map[int]bool             // players who have told of a warning sign
	from prescribe.Day

	mu       sync.Mutex
	offset   time.Duration // civil − real
	panicked bool
	chance   *rand.Rand // of point, which the bot calls
	wild     bool       // faults of our own are on
	met      map[string]int

	log      logged // of every part, at its finest
	restarts int
	cards    map[int]map[int]bool // player → messages with a card
	windows  map[string]bool      // player/day whose time for a card the bot was up in
	blocked  map[int]bool
	ever     map[int]bool // players who blocked at any time
	up       bool
	stopBot  func()
}

var simPlayers = []string{"Farrowby", "Ashgrove"}
var simStaff = []string{"Harkwell", "Quintavale", "Larkfield"}

// fidget taps whatever stands in the chat: of it only safety is asked.
const fidget = "Ashgrove"

func simulate(t *testing.T, seed uint64, days int) map[string]int {
	loc, err := store.Zone(democlub.Zone)
	require.NoError(t, err)
	start := time.Date(2026, 3, 25, 7, 0, 0, 0, loc) // the clocks change within the week
	w := &world{t: t, rng: rand.New(rand.NewPCG(seed, 7)), chance: rand.New(rand.NewPCG(seed, 13)), told: map[int64]map[int]string{}, held: map[int]bool{},
		met: map[string]int{}, windows: map[string]bool{}, blocked: map[int]bool{}, ever: map[int]bool{}, from: prescribe.DayOf(start)}
	w.cards = map[int]map[int]bool{}
	w.talk = newTalk(t, clubOf(t, simPlayers...), start)
	w.offset = time.Until(start)
	w.chat.Close()
	w.chat = localchat.New(localchat.Options{Token: "7000000001:simulation-secret", BotName: "Pegs", BotUsername: "pegs_bot", Now: w.civil, Zone: loc, Limits: localchat.DefaultLimits(), KeepMessages: 5000})
	for i, p := range w.people {
		w.cards[i] = map[int]bool{}
		require.NoError(t, w.chat.AddPerson(localchat.Person{ID: account(i), FirstName: w.name(i), LanguageCode: p.Language}))
	}
	require.NoError(t, w.chat.AddPerson(localchat.Person{ID: strangerID, FirstName: "Nobody", Started: true}))
	w.net = newUnruly(w.chat.Transport(), rand.New(rand.NewPCG(seed, 11)))
	w.client, err = telegram.NewClient(telegram.Config{Token: w.chat.Token(), Endpoint: "http://chat.invalid", Transport: http.RoundTripper(w.net), Logger: w.log.logger()})
	require.NoError(t, err)
	for _, n := range slices.Concat(simPlayers, simStaff) {
		w.talk.set(t.Context(), w.civil())
		w.join(w.must(n))
	}
	w.begin()
	t.Cleanup(func() {
		w.end()
		w.chat.Close()
	})
	w.calm()
	for range days {
		for range 4 + w.rng.IntN(3) {
			w.step()
			w.safe()
		}
		w.calm()
		w.safe()
		w.settled()
		w.jump()
	}
	w.end()
	r, err := w.store.Verify(t.Context())
	require.NoError(t, err)
	require.Empty(t, slices.Concat(r.Integrity, r.Bad, r.Differs), "something is torn")
	require.Empty(t, column(t, w.dir, `SELECT reason FROM quarantine`), "set aside")
	for _, q := range []string{`SELECT key FROM once_key WHERE key LIKE '%/9009/%'`, `SELECT kind FROM outbox WHERE chat = 9009`, `SELECT kind FROM message WHERE chat = 9009`} {
		require.Empty(t, column(t, w.dir, q), "a stranger wrote something")
	}
	w.silent()
	_, _, met := w.net.seen()
	for k, n := range w.met {
		met[k] += n
	}
	return met
}

const strangerID = 9009

// silent: nobody's name, account, words or places stand in the log, nor in what
// an operator may see.
func (w *world) silent() {
	_, health := status(w.bot, "/healthz")
	_, metrics := status(w.bot, "/metrics")
	require.Contains(w.t, w.log.String(), "event=")
	all := w.log.String() + health + metrics
	noneOf(w.t, all, w.people, slices.Concat(simPlaces, []string{w.chat.Token(), "simulation-secret", "faint", "sore ", "9009"})...)
}

// noneOf looks for what must not stand in a text.
func noneOf(t *testing.T, text string, people []store.Person, words ...string) {
	t.Helper()
	var patterns []string
	for _, word := range words {
		patterns = append(patterns, regexp.QuoteMeta(word))
	}
	for i, p := range people {
		for _, word := range append(strings.Fields(p.Name), fmt.Sprint(account(i))) {
			patterns = append(patterns, `\b`+regexp.QuoteMeta(word)+`\b`)
		}
	}
	if at := regexp.MustCompile("(?i)" + strings.Join(patterns, "|")).FindStringIndex(text); at != nil {
		t.Fatalf("%q stands in: … %s …", text[at[0]:at[1]], text[max(0, at[0]-200):min(len(text), at[1]+200)])
	}
}

// civil is the club's time: the fake clock's, and what it has jumped by.
func (w *world) civil() time.Time {
	w.mu.Lock()
	defer w.mu.Unlock()
	return time.Now().Add(w.offset)
}

func (w *world) leap(d time.Duration) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.offset += d
}

func (w *world) count(what string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.met[what]++
}

// point panics in the middle of a transaction now and then, never twice in a
// row: what is abandoned is done at the next try.
func (w *world) point(name string) {
	if name != "in.transaction" && name != "due.in_transaction" {
		return
	}
	w.mu.Lock()
	throw := w.wild && !w.panicked && w.chance.IntN(5) == 0
	w.panicked = throw
	if throw {
		w.met["panic"]++
	}
	w.mu.Unlock()
	if throw {
		panic("abandoned")
	}
}

func (w *world) begin() {
	w.bot = bot.New(bot.Config{Store: w.store, Client: w.client, Words: w.words, Now: w.civil, Logger: w.log.logger(), Hooks: bot.Hooks{Point: w.point}})
	ctx, cancel := context.WithCancel(w.t.Context())
	done := make(chan error, 1)
	b := w.bot
	go func() { done <- b.Run(ctx) }()
	w.up = true
	w.stopBot = func() {
		at := time.Now()
		cancel()
		require.NoError(w.t, <-done)
		require.LessOrEqual(w.t, time.Since(at), 5*time.Second, "a stop")
	}
}

func (w *world) end() {
	if w.up {
		w.up = false
		w.stopBot()
	}
}

func (w *world) rough(on bool) {
	w.mu.Lock()
	w.wild = on
	w.mu.Unlock()
	if on {
		w.net.be(0.3)
	} else {
		w.net.be(0)
	}
}

// pass lets time pass, and notes whose time for a card it was.
func (w *world) pass(d time.Duration) {
	from := w.civil()
	time.Sleep(d)
	synctest.Wait()
	if !w.up {
		return
	}
	to := w.civil()
	for i := range w.people {
		day := prescribe.DayOf(from.In(w.loc))
		open := time.Date(0, 1, 1, 7, 30, 0, 0, time.UTC)
		at, cut := clockOn(day, open.Hour(), open.Minute(), w.loc), clockOn(day, 14, 0, w.loc)
		// Long enough for a tick, or two that were abandoned.
		if !to.Before(at.Add(5*time.Minute)) && from.Before(cut.Add(-5*time.Minute)) && to.Sub(from) >= 5*time.Minute {
			w.windows[fmt.Sprint(i, "/", day)] = true
		}
	}
}

func clockOn(d prescribe.Day, h, m int, loc *time.Location) time.Time {
	y, mo, da := d.Time().Date()
	return time.Date(y, mo, da, h, m, 0, 0, loc)
}

// step is one thing that happens, and the minutes after it.
func (w *world) step() {
	w.rough(true)
	i := w.must(simPlayers[w.rng.IntN(len(simPlayers))])
	switch w.rng.IntN(12) {
	case 0, 1, 2:
		w.report(i)
	case 3:
		w.correct(i)
	case 4, 5:
		w.tapSomething(w.must(fidget))
	case 6:
		w.say(w.must(simStaff[w.rng.IntN(len(simStaff))]), []string{"/squad", "/help", "/alerts", "what?"}[w.rng.IntN(4)])
	case 7:
		w.knock()
	case 8:
		w.end()
		w.pass(time.Duration(w.rng.IntN(10)) * time.Minute)
		if w.rng.IntN(2) == 0 {
			w.report(i)
		}
		w.net.forget()
		w.begin()
		w.restarts++
		w.count("restart")
	case 9:
		w.toggleBlock(w.must(fidget))
	case 10:
		// A clock that was set wrong and is set right.
		w.leap(-time.Duration(1+w.rng.IntN(20)) * time.Minute)
		w.count("clock back")
	case 11:
		if w.rng.IntN(3) == 0 {
			w.warn(i)
		}
	}
	w.pass(time.Duration(1+w.rng.IntN(25)) * time.Minute)
}

// calm is a while without faults: all there is to do is done in it.
func (w *world) calm() {
	w.rough(false)
	if !w.up {
		w.begin()
	}
	w.pass(75 * time.Minute)
}

// jump moves the club's clock to about the next morning.
func (w *world) jump() {
	now := w.civil().In(w.loc)
	next := prescribe.DayOf(now) + 1
	w.leap(clockOn(next, 6, w.rng.IntN(60), w.loc).Sub(now))
	if w.rng.IntN(4) == 0 {
		// A machine that slept into the morning, sometimes past the cut-off.
		w.leap(time.Duration(w.rng.IntN(10)) * time.Hour)
	}
}

func (w *world) say(i int, text string) int {
	id, err := w.chat.Say(account(i), account(i), text)
	if w.blocked[i] {
		return 0 // who has blocked a bot cannot write to it
	}
	require.NoError(w.t, err)
	return id
}

var simPlaces = []string{"hamstring", "calf", "glute", "quadriceps"}

// report is a soreness score at a place and a side, in one message.
func (w *world) report(i int) {
	if w.blocked[i] {
		return
	}
	what := w.soreness()
	id := w.say(i, what)
	w.hold(i, w.last(i, id), what)
}

func (w *world) soreness() string {
	return fmt.Sprintf("%s %s sore %d", []string{"left", "right"}[w.rng.IntN(2)], simPlaces[w.rng.IntN(len(simPlaces))], 1+w.rng.IntN(3))
}

// last is the message that the person wrote last; Say gives the update's id.
func (w *world) last(i, _ int) int { return w.lastOf(account(i)) }

func (w *world) hold(i, message int, what string) {
	if w.told[account(i)] == nil {
		w.told[account(i)] = map[int]string{}
	}
	w.told[account(i)][message] = what
}

// correct edits the last report of the day.
func (w *world) correct(i int) {
	mine := w.told[account(i)]
	if len(mine) == 0 || w.blocked[i] {
		return
	}
	message := slices.Max(slices.Collect(maps.Keys(mine)))
	for _, m := range w.chat.Transcript(account(i)) {
		if m.MessageID == message && prescribe.DayOf(time.Unix(m.Date, 0).In(w.loc)) != prescribe.DayOf(w.civil().In(w.loc)) {
			return // of another day
		}
	}
	what := w.soreness()
	if what == mine[message] {
		return // Telegram tells of no edit that changes nothing
	}
	w.leap(time.Second) // an edit has a second of its own
	_, err := w.chat.Edit(account(i), account(i), message, what)
	require.NoError(w.t, err)
	mine[message] = what
}

// warn tells of a warning sign: from then on no card until staff say so.
func (w *world) warn(i int) {
	if w.blocked[i] {
		return
	}
	w.say(i, "I fainted")
	// What waits at the server is known to nobody yet.
	w.calm()
	w.safe()
	w.held[i] = true
}

func (w *world) knock() {
	_, err := w.chat.Start(strangerID, []string{"", "guess", strings.Repeat("x", 64)}[w.rng.IntN(3)])
	require.NoError(w.t, err)
}

func (w *world) toggleBlock(i int) {
	var err error
	if w.blocked[i] {
		_, err = w.chat.Unblock(account(i))
	} else {
		_, err = w.chat.Block(account(i))
		w.ever[i] = true
	}
	require.NoError(w.t, err)
	w.blocked[i] = !w.blocked[i]
}

func (w *world) tapSomething(i int) {
	if w.blocked[i] {
		return
	}
	type button struct {
		message int
		data    string
	}
	var all []button
	for _, m := range w.chat.Transcript(account(i)) {
		if !m.FromBot() {
			continue
		}
		for _, b := range m.Buttons() {
			if b.CallbackData != "" {
				all = append(all, button{m.MessageID, b.CallbackData})
			}
		}
	}
	if len(all) == 0 {
		return
	}
	b := all[len(all)-1-w.rng.IntN(min(len(all), 12))]
	for range 1 + w.rng.IntN(2) { // a tap may come twice, under two ids
		_, err := w.chat.Tap(account(i), account(i), b.message, b.data)
		require.NoError(w.t, err)
	}
}

// sore is what stands on record of a player's soreness, by message.
func (w *world) sore(i int) map[string]int {
	out := map[string]int{}
	require.NoError(w.t, w.store.Read(w.t.Context(), func(tx *store.Tx) error {
		es, err := tx.Events(w.people[i].ID, w.from-1, w.from+60)
		for _, e := range es {
			if e.Soreness != nil && e.Soreness.Score > 0 {
				out[fmt.Sprintf("%s %s sore %d", e.Soreness.Side, e.Soreness.Region, e.Soreness.Score)]++
			}
		}
		return err
	}))
	return out
}

// safe holds at every moment.
func (w *world) safe() {
	early, lost, _ := w.net.seen()
	require.Empty(w.t, early, "calls before the time a refusal named")
	for _, n := range simPlayers {
		i := w.must(n)
		shown := map[string]int{}
		for _, m := range w.chat.Transcript(account(i)) {
			if !m.FromBot() {
				continue
			}
			for _, b := range m.Buttons() {
				if strings.HasPrefix(b.CallbackData, "cant:") && m.EditDate == 0 {
					shown[b.CallbackData]++
				}
			}
			if hasCard(m) && m.EditDate == 0 && !w.cards[i][m.MessageID] { // an edit shows an older one again
				w.cards[i][m.MessageID] = true
				if w.held[i] {
					w.t.Fatalf("%s: a card after a warning sign:\n%s", n, w.lastly(i, 14))
				}
			}
		}
		if n == fidget {
			continue // whoever taps on old buttons sees cards again
		}
		for data, times := range shown {
			// A chat has one message on its way at a time: each answer that was lost,
			// and each stop, repeats one at most.
			require.LessOrEqual(w.t, times, 1+lost[fmt.Sprint(account(i))]+w.restarts, "%s: the card %s", n, data)
		}
	}
}

// lastly are the last n messages of a chat, to understand a failure by.
func (w *world) lastly(i, n int) string {
	var out strings.Builder
	all := w.chat.Transcript(account(i))
	for _, m := range all[max(0, len(all)-n):] {
		who := "they"
		if m.FromBot() {
			who = "bot"
		}
		fmt.Fprintf(&out, "%s %s (message %d):\n%s", time.Unix(m.Date, 0).In(w.loc).Format("Mon 15:04:05"), who, m.MessageID, shown(m))
	}
	return out.String()
}

// settled holds when all there was to do is done.
func (w *world) settled() {
	require.Zero(w.t, w.chat.Pending(), "updates wait that nobody handled")
	for _, n := range simPlayers {
		i := w.must(n)
		if n != fidget {
			want := map[string]int{}
			for _, what := range w.told[account(i)] {
				want[what]++
			}
			require.Equal(w.t, want, w.sore(i), "%s: reports on record", n)
		}
		require.NoError(w.t, w.store.Read(w.t.Context(), func(tx *store.Tx) error {
			today := prescribe.DayOf(w.civil().In(w.loc))
			cards, err := tx.Cards(w.people[i].ID, w.from, today)
			if err != nil {
				return err
			}
			per := map[prescribe.Day]int{}
			for _, c := range cards {
				per[c.Day]++
			}
			for d := w.from; d <= today; d++ {
				require.LessOrEqual(w.t, per[d], 1, "%s, %s", n, d)
				if w.windows[fmt.Sprint(i, "/", d)] && !w.ever[i] {
					require.Equal(w.t, 1, per[d], "%s: no card for %s", n, d)
				}
			}
			return nil
		}))
		if w.held[i] {
			require.Positive(w.t, w.saw(account(w.must("Quintavale")), "Warning sign"), "nobody medical was told")
		}
	}
}
