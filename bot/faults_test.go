package bot_test

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
	"github.com/stretchr/testify/require"

	"pegcard/bot"
	"pegcard/bot/localchat"
	"pegcard/bot/telegram"
	"pegcard/prescribe"
	"pegcard/store"
)

// spy watches the calls that send a message, and may hold or refuse them.
type spy struct {
	base http.RoundTripper

	mu   sync.Mutex
	sent []call
	// on decides what happens to a call; nil: it goes through.
	on func(c call) (*http.Response, error)
}

type call struct {
	at   time.Time
	chat string
	text string
}

func (s *spy) RoundTrip(r *http.Request) (*http.Response, error) {
	if !strings.HasSuffix(r.URL.Path, "/sendMessage") {
		return s.base.RoundTrip(r)
	}
	if err := r.ParseForm(); err != nil {
		return nil, err
	}
	c := call{time.Now(), r.PostForm.Get("chat_id"), r.PostForm.Get("text")}
	body := strings.NewReader(r.PostForm.Encode())
	r = r.Clone(r.Context())
	r.Body = readCloser{body}
	s.mu.Lock()
	s.sent = append(s.sent, c)
	on := s.on
	s.mu.Unlock()
	if on != nil {
		if res, err := on(c); res != nil || err != nil {
			if errors.Is(err, errHang) {
				<-r.Context().Done()
				err = r.Context().Err()
			}
			return res, err
		}
	}
	return s.base.RoundTrip(r)
}

var errHang = errors.New("hangs until it is given up")

type readCloser struct{ *strings.Reader }

func (readCloser) Close() error { return nil }

func (s *spy) set(on func(c call) (*http.Response, error)) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.on = on
}

func (s *spy) calls() []call {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.sent)
}

func (s *spy) forget() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.sent = nil
}

// watched is a dialogue whose sends are watched.
func watched(t *testing.T, at time.Time, joined ...string) (*talk, *spy) {
	return watchedClub(t, clubOf(t, "Farrowby"), at, joined...)
}

func watchedClub(t *testing.T, club string, at time.Time, joined ...string) (*talk, *spy) {
	k := newTalk(t, club, at)
	s := &spy{base: k.chat.Transport()}
	c, err := telegram.NewClient(telegram.Config{Token: k.chat.Token(), Endpoint: "http://chat.invalid", Transport: s})
	require.NoError(t, err)
	k.client = c
	for _, n := range joined {
		k.join(k.must(n))
	}
	k.run()
	k.settle()
	return k, s
}

// enqueue puts messages into the outbox as another part of the program would.
func (k *talk) enqueue(outs ...store.Out) {
	k.t.Helper()
	now := prescribe.InstantOf(k.Now())
	require.NoError(k.t, k.store.Write(k.t.Context(), func(tx *store.Tx) error {
		for _, o := range outs {
			o.Expires = now + 3*3600*1000
			if _, _, err := tx.Enqueue(o); err != nil {
				return err
			}
		}
		return nil
	}))
	k.bot.Changed()
}

// sqlexec changes the database behind the program's back.
func (k *talk) sqlexec(q string, args ...any) {
	k.t.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(k.dir, store.FileName)+"?_pragma=busy_timeout(5000)")
	require.NoError(k.t, err)
	defer db.Close()
	_, err = db.Exec(q, args...)
	require.NoError(k.t, err)
}

// saw reports how often the words stand in what the bot wrote to a chat.
func (k *talk) saw(chat int64, words string) int {
	n := 0
	for _, m := range k.chat.Transcript(chat) {
		if m.FromBot() && strings.Contains(m.Text, words) {
			n++
		}
	}
	return n
}

// most is how many calls fall into any window of that length.
func most(cs []call, window time.Duration) int {
	best := 0
	for i := range cs {
		n := 0
		for j := range cs {
			if d := cs[j].at.Sub(cs[i].at); d >= 0 && d < window {
				n++
			}
		}
		best = max(best, n)
	}
	return best
}

// hooked is a bot that stops at points.
func (k *talk) hooked(log *slog.Logger, point func(string)) {
	k.bot = bot.New(bot.Config{Store: k.store, Client: k.client, Words: k.words, Now: k.Now, Logger: log, Hooks: bot.Hooks{Point: point}})
	k.follow()
}

// follow runs the bot there is until the test ends.
func (k *talk) follow() {
	ctx, cancel := context.WithCancel(k.t.Context())
	done := make(chan error, 1)
	go func() { done <- k.bot.Run(ctx) }()
	k.stop = func() {
		cancel()
		require.NoError(k.t, <-done)
	}
	k.t.Cleanup(func() {
		k.halt()
		k.chat.Close()
	})
}

// One thing due that panics, again and again, keeps nothing else from being
// done, and is done when it can be.
func TestOneFailingItemStopsNoOther(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k := newTalk(t, clubOf(t, "Farrowby", "Ashgrove"), tuesday(7, 0))
		f, a := k.must("Farrowby"), k.must("Ashgrove")
		k.join(f)
		k.join(a)
		var mu sync.Mutex
		broken := true
		k.hooked(slog.New(slog.DiscardHandler), func(name string) {
			mu.Lock()
			defer mu.Unlock()
			if name == "due.in_transaction" && broken && !k.Now().Before(tuesday(7, 30)) {
				broken = false
				panic("out of order")
			}
		})
		time.Sleep(time.Second)
		require.Error(t, k.bot.Move(t.Context(), tuesday(7, 31), k.set), "the fault is told")
		// What came after it was done in the same tick, and it in the next.
		require.NoError(t, k.bot.Move(t.Context(), tuesday(7, 32), k.set))
		require.Equal(t, 1, k.saw(account(f), "Today, Tue 10 March"))
		require.Equal(t, 1, k.saw(account(a), "Today, Tue 10 March"))
	})
}

// A player whose time in the squad ends beside an open card: what is due about
// them neither fails nor stops anybody's card.
func TestNobodysPlayerStopsNoTick(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k := newTalk(t, clubOf(t, "Farrowby", "Ashgrove"), tuesday(7, 0))
		for _, n := range []string{"Farrowby", "Ashgrove", "Harkwell", "Quintavale"} {
			k.join(k.must(n))
		}
		k.run()
		require.NoError(t, k.bot.Move(t.Context(), tuesday(8, 0), k.set))
		f := k.must("Farrowby")
		k.act("08:00 Farrowby writes: I fainted")
		c, _ := k.today(f)
		k.sqlexec(`UPDATE membership SET until_day = ? WHERE person = ?`, c.Day.String(), k.people[f].ID)
		require.NoError(t, k.bot.Move(t.Context(), tuesday(7, 45).Add(24*time.Hour), k.set))
		require.Equal(t, 1, k.saw(account(k.must("Ashgrove")), "Today, Wed 11 March"))
		require.Greater(t, k.saw(account(k.must("Quintavale")), "Warning sign"), 20, "it went on through the night")
	})
}

func TestPanicInAMessageIsBuried(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k, _ := watched(t, tuesday(12, 0), "Farrowby")
		i := k.must("Farrowby")
		k.enqueue(store.Out{Kind: "view", Args: "testpanic", Recipient: k.people[i].ID}, store.Out{Kind: "say", Args: "player.noted", Recipient: k.people[i].ID})
		time.Sleep(time.Minute)
		require.Equal(t, []string{"buried could not be worded"}, column(t, k.dir, `SELECT state || ' ' || reason FROM outbox WHERE args = 'testpanic'`))
		require.Equal(t, []string{"sent"}, column(t, k.dir, `SELECT state FROM outbox WHERE args = 'player.noted'`), "the next one goes out")
	})
}

// A fault of the database while a message is worded loses no message.
func TestUnwordedIsTriedAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k, _ := watched(t, tuesday(12, 0), "Farrowby")
		i := k.must("Farrowby")
		k.sqlexec(`ALTER TABLE staff_role RENAME TO staff_role_x`)
		k.enqueue(store.Out{Kind: "view", Args: "privacy", Recipient: k.people[i].ID})
		time.Sleep(20 * time.Second)
		require.Equal(t, []string{"pending"}, column(t, k.dir, `SELECT state FROM outbox WHERE args = 'privacy'`))
		k.sqlexec(`ALTER TABLE staff_role_x RENAME TO staff_role`)
		k.set(t.Context(), k.Now().Add(time.Hour))
		k.bot.Changed()
		time.Sleep(time.Minute)
		require.Equal(t, []string{"sent"}, column(t, k.dir, `SELECT state FROM outbox WHERE args = 'privacy'`))
	})
}

// An outcome that cannot be stored for a while is kept, and the chat goes on
// afterwards without a restart and without a message said twice.
func TestOutcomeThatCannotBeStored(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k, s := watched(t, tuesday(12, 0), "Farrowby")
		i := k.must("Farrowby")
		k.sqlexec(`ALTER TABLE message RENAME TO message_x`)
		s.forget()
		k.enqueue(store.Out{Kind: "say", Args: "player.noted", Recipient: k.people[i].ID})
		time.Sleep(5 * time.Minute)
		require.Len(t, s.calls(), 1)
		k.sqlexec(`ALTER TABLE message_x RENAME TO message`)
		k.enqueue(store.Out{Kind: "say", Args: "player.thanks", Recipient: k.people[i].ID})
		time.Sleep(2 * time.Minute)
		require.Equal(t, []string{"sent", "sent"}, column(t, k.dir, `SELECT state FROM outbox WHERE kind = 'say' AND args IN ('player.noted', 'player.thanks')`))
		require.Len(t, s.calls(), 2)
	})
}

// A claim that nobody holds, as when its commit was reported as failed, is taken
// up by the running sender.
func TestLostClaimIsTakenUp(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k, _ := watched(t, tuesday(12, 0), "Farrowby")
		i := k.must("Farrowby")
		k.sqlexec(`INSERT INTO outbox (kind, recipient, chat, ref, rev, args, priority, not_before, expires_at, edit, message_id, attempts, state)
VALUES ('say', ?, 0, 0, 0, 'player.noted', 5, 1, 0, 0, 0, 1, 'claimed')`, k.people[i].ID)
		time.Sleep(2 * time.Minute)
		require.Equal(t, []string{"sent"}, column(t, k.dir, `SELECT state FROM outbox WHERE args = 'player.noted'`))
	})
}

// The limits are the API's (core.telegram.org/bots/faq): 30 messages a second
// in all, one a second in a chat with short bursts above it.
func TestSendsKeepThePace(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k, s := watched(t, tuesday(12, 0), "Farrowby")
		var outs []store.Out
		for i := range 150 {
			id := int64(5000 + i)
			require.NoError(t, k.chat.AddPerson(localchat.Person{ID: id, FirstName: "x"}))
			_, err := k.chat.Start(id, "")
			require.NoError(t, err)
			outs = append(outs, store.Out{Kind: "say", Chat: id, Args: "player.noted", Priority: 5})
		}
		time.Sleep(time.Minute)
		all := s.calls()
		require.LessOrEqual(t, most(all, time.Second), 30, "greetings of strangers")
		s.forget()
		k.enqueue(outs...)
		time.Sleep(time.Minute)
		require.Len(t, s.calls(), 150)
		require.LessOrEqual(t, most(s.calls(), time.Second), 30)

		s.forget()
		outs = nil
		for range 10 {
			outs = append(outs, store.Out{Kind: "view", Args: "testlong", Chat: 5000})
		}
		k.enqueue(outs...)
		time.Sleep(2 * time.Minute)
		require.Len(t, s.calls(), 30, "each in three parts")
		require.LessOrEqual(t, most(s.calls(), 10*time.Second), 13, "a burst of 3 and one a second")
	})
}

func TestStopIsBounded(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k, s := watched(t, tuesday(12, 0), "Farrowby")
		s.set(func(call) (*http.Response, error) { return nil, errHang })
		k.enqueue(store.Out{Kind: "say", Args: "player.noted", Recipient: k.people[k.must("Farrowby")].ID})
		time.Sleep(time.Second)
		require.NotEmpty(t, s.calls())
		at := time.Now()
		k.halt()
		require.LessOrEqual(t, time.Since(at), 5*time.Second)
		require.Equal(t, []string{"pending"}, column(t, k.dir, `SELECT state FROM outbox WHERE args = 'player.noted'`), "it goes out with the next start")
	})
}

// Parts of a long message that have arrived are not said again, not even by the
// next process.
func TestPartsAreSaidOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k, s := watched(t, tuesday(12, 0), "Farrowby")
		i := k.must("Farrowby")
		s.set(func(c call) (*http.Response, error) {
			if strings.HasPrefix(c.text, "beta") {
				return nil, errors.New("no network")
			}
			return nil, nil
		})
		k.enqueue(store.Out{Kind: "view", Args: "testlong", Recipient: k.people[i].ID})
		time.Sleep(30 * time.Second)
		k.halt()
		s.set(nil)
		k.set(t.Context(), k.Now().Add(time.Hour))
		k.start()
		time.Sleep(time.Minute)
		for _, word := range []string{"alpha", "beta", "gamma"} {
			require.Equal(t, 1, k.saw(account(i), word), word)
		}
	})
}

// Where nobody medical can be reached, the player is not promised that they are
// told, and coaches and administrators hear at every repeat that they have to
// call, without what it is.
func TestNobodyMedical(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k, _ := watched(t, tuesday(12, 0), "Farrowby", "Harkwell", "Larkfield")
		k.act("12:00 Farrowby writes: I fainted")
		f, coach, admin := account(k.must("Farrowby")), account(k.must("Harkwell")), account(k.must("Larkfield"))
		require.Zero(t, k.saw(f, "Medical staff are being told"))
		require.Equal(t, 1, k.saw(f, "Nobody of the medical staff can be reached"))
		require.NoError(t, k.bot.Move(t.Context(), tuesday(12, 25), k.set))
		for _, chat := range []int64{coach, admin} {
			require.Equal(t, 3, k.saw(chat, "Edmund Farrowby</b>, First team\nHeld. No medical person can be reached")+k.saw(chat, "No medical person can be reached here"), "at once, and at 10 and 20 minutes")
			require.Zero(t, k.saw(chat, "faint"))
		}
		require.Equal(t, 1, k.saw(f, "Nobody has confirmed your message yet"))
	})
}

// What somebody has confided goes to no coach while an administrator can be
// reached.
func TestNobodyForAConfidence(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k, _ := watched(t, tuesday(12, 0), "Farrowby", "Harkwell", "Larkfield")
		k.act("12:00 Farrowby writes: I want to kill myself")
		require.Equal(t, 1, k.saw(account(k.must("Larkfield")), "needs a person now"))
		require.Zero(t, k.saw(account(k.must("Harkwell")), "Farrowby</b>"), "no alert")
		require.Zero(t, k.saw(account(k.must("Harkwell")), "needs a person"))
	})
}

// An urgent alert that cannot be delivered goes to the next at once.
func TestUndeliveredAlertGoesOn(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k, _ := watched(t, tuesday(12, 0), "Farrowby", "Quintavale", "Oosterling")
		first, next := k.must("Quintavale"), k.must("Oosterling")
		// The block is not known yet when the alert is raised.
		k.halt()
		_, err := k.chat.Block(account(first))
		require.NoError(t, err)
		k.sqlexec(`UPDATE person SET reachable = 1`)
		k.start()
		k.act("12:00 Farrowby writes: I fainted")
		require.Equal(t, 1, k.saw(account(next), "Warning sign: fainting"))
	})
}

// A player who writes the same sign again and again does not put off the next
// person.
func TestRepeatedWarningStillEscalates(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k, _ := watched(t, tuesday(12, 0), "Farrowby", "Quintavale", "Oosterling")
		for m := 0; m <= 40; m += 8 {
			k.act(tuesday(12, m).Format("15:04") + " Farrowby writes: I fainted")
		}
		require.Positive(t, k.saw(account(k.must("Oosterling")), "Warning sign: fainting"))
		require.Equal(t, 1, k.saw(account(k.must("Farrowby")), "Nobody has confirmed your message yet"))
	})
}

// The player hears that nobody has read a warning: after 20 minutes, then each
// hour, six times, and not any more when somebody has.
func TestUnreadWarningIsSaid(t *testing.T) {
	for _, read := range []bool{false, true} {
		synctest.Test(t, func(t *testing.T) {
			k, _ := watched(t, tuesday(12, 0), "Farrowby", "Quintavale")
			f := account(k.must("Farrowby"))
			k.act("12:00 Farrowby writes: I fainted")
			require.NoError(t, k.bot.Move(t.Context(), tuesday(12, 19), k.set))
			require.Zero(t, k.saw(f, "Nobody has confirmed"))
			require.NoError(t, k.bot.Move(t.Context(), tuesday(12, 21), k.set))
			require.Equal(t, 1, k.saw(f, "Nobody has confirmed"))
			want := 6
			if read {
				k.act("12:22 Quintavale taps [Read, I take care]")
				want = 1
			}
			require.NoError(t, k.bot.Move(t.Context(), tuesday(12, 0).Add(24*time.Hour), k.set))
			require.Equal(t, want, k.saw(f, "Nobody has confirmed"))
		})
	}
}

// In a group a hand-written button opens nothing of a player, whoever taps it.
func TestGroupShowsNoPlayer(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k := newTalk(t, clubOf(t, "Farrowby"), tuesday(12, 0))
		for _, n := range []string{"Farrowby", "Harkwell", "Quintavale"} {
			k.join(k.must(n))
		}
		id, err := k.chat.AddGroup(localchat.Group{Title: "Staff room", Members: []int64{account(k.must("Harkwell")), account(k.must("Quintavale"))}})
		require.NoError(t, err)
		k.groups["Staff room"] = id
		k.run()
		k.settle()
		k.act("12:01 Farrowby writes: left hamstring pain 6")
		k.act("12:02 Harkwell writes in Staff room: /squad")
		msg := 0
		for _, m := range k.chat.Transcript(id) {
			if m.FromBot() {
				msg = m.MessageID
			}
		}
		require.NotZero(t, msg)
		person := k.people[k.must("Farrowby")].ID
		c, _ := k.today(k.must("Farrowby"))
		for n, data := range []string{
			fmt.Sprintf("v:player:%d", person), "v:alerts", fmt.Sprintf("v:lookcard:%d", c.ID), fmt.Sprintf("v:coachwhy:%d", c.ID),
			fmt.Sprintf("v:held:%d", person), "v:seen:1", "ack:1", "shut:1", fmt.Sprintf("cok:%d:%d", c.ID, c.Rev), "pain", "v:help",
		} {
			for _, who := range []string{"Quintavale", "Harkwell"} {
				require.NoError(t, k.bot.Handle(t.Context(), telegram.Update{UpdateID: 1, CallbackQuery: &tgbotapi.CallbackQuery{
					ID: fmt.Sprint("g", n, who), From: &tgbotapi.User{ID: account(k.must(who))}, Data: data,
					Message: &tgbotapi.Message{MessageID: msg, Chat: &tgbotapi.Chat{ID: id, Type: "group"}}}}))
				k.settle()
			}
		}
		for _, m := range k.chat.Transcript(id) {
			if m.FromBot() {
				require.NotContains(t, m.Text, "Farrowby")
				require.NotContains(t, strings.ToLower(m.Text), "hamstring")
			}
		}
	})
}

// Notices are no pages: whoever writes button data by hand reads nobody's name.
func TestNoticesAreNotTappable(t *testing.T) {
	for _, page := range []string{"guardian", "reach", "gone", "eraseasked", "seen", "held", "nomedic", "unread", "waiting", "pick", "testpanic", ""} {
		require.False(t, bot.Tappable(page), page)
	}
	synctest.Test(t, func(t *testing.T) {
		k, _ := watched(t, tuesday(12, 0), "Farrowby", "Harkwell", "Quintavale")
		i := k.must("Farrowby")
		k.act("Farrowby writes: hello")
		for _, page := range []string{"guardian", "reach", "gone", "eraseasked", "seen", "held", "nomedic", "player"} {
			for n := 1; n < 6; n++ {
				k.set(t.Context(), k.Now().Add(2*time.Second))
				k.press(i, fmt.Sprintf("v:%s:%d", page, n))
			}
		}
		for _, p := range k.people {
			if p.ID != k.people[i].ID {
				require.Zero(t, k.saw(account(i), p.Name), p.Name)
			}
		}
	})
}

// No key names a place of the body or a score.
func TestKeysHoldNoHealth(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k, _ := watched(t, tuesday(12, 0), "Farrowby", "Quintavale")
		k.act("Farrowby taps [Pain]")
		k.act("Farrowby taps [Hamstring]")
		k.act("Farrowby taps [Left]")
		k.act("Farrowby taps [6]")
		keys := column(t, k.dir, `SELECT key FROM once_key WHERE key LIKE 'in/%'`)
		require.NotEmpty(t, keys)
		for _, key := range keys {
			for _, region := range prescribe.Regions() {
				require.NotContains(t, key, string(region))
			}
		}
		err := k.store.Write(t.Context(), func(tx *store.Tx) error {
			_, err := tx.RecordIn(k.people[k.must("Farrowby")].ID, "pain:7:2026-03-10:hamstring/left", 1, "stone", prescribe.Event{At: 1})
			return err
		})
		require.Error(t, err)
		require.NotContains(t, err.Error(), "hamstring")
	})
}

// A stranger with a code of no invitation writes nothing and is answered a few
// times only.
func TestStrangersWriteNothing(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k, _ := watched(t, tuesday(12, 0), "Farrowby")
		require.NoError(t, k.chat.AddPerson(localchat.Person{ID: 9999, FirstName: "x"}))
		for n := range 6 {
			_, err := k.chat.Start(9999, fmt.Sprint("guess", n))
			require.NoError(t, err)
			k.settle()
		}
		_, err := k.chat.Say(9999, 9999, "chest pain, can't breathe")
		require.NoError(t, err)
		k.settle()
		time.Sleep(10 * time.Second)
		require.Equal(t, 2, k.saw(9999, "This invitation"))
		require.Equal(t, 1, k.saw(9999, "I cannot pass"), "what helps is always said")
		for _, q := range []string{`SELECT key FROM once_key WHERE key LIKE '%9999%'`, `SELECT kind FROM outbox WHERE chat = 9999`, `SELECT kind FROM message WHERE chat = 9999`} {
			require.Empty(t, column(t, k.dir, q))
		}
	})
}

// Somebody who writes without end is told so once, and a warning sign gets
// through all the same.
func TestFlood(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k, _ := watched(t, tuesday(12, 0), "Farrowby", "Quintavale")
		i := k.must("Farrowby")
		now := k.Now()
		for range 60 {
			_, err := k.chat.Say(account(i), account(i), "thanks")
			require.NoError(t, err)
		}
		time.Sleep(3 * time.Minute)
		require.Equal(t, 1, k.saw(account(i), "Too many messages at once"))
		require.Len(t, column(t, k.dir, `SELECT key FROM once_key WHERE key LIKE 'in/msg/1001/%'`), 41, "40 and the one that was told")
		require.Equal(t, now, k.Now())
		_, err := k.chat.Say(account(i), account(i), "I fainted")
		require.NoError(t, err)
		k.settle()
		require.Equal(t, 1, k.saw(account(k.must("Quintavale")), "Warning sign: fainting"))
		require.NoError(t, k.bot.Move(t.Context(), now.Add(5*time.Minute), k.set))
		said := k.saw(account(i), "/today")
		k.act("Farrowby writes: /help")
		require.Equal(t, said+1, k.saw(account(i), "/today"), "heard again")
	})
}

// The code of an invitation is not kept once its message is settled.
func TestInvitationCodeIsNotKept(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k, _ := watched(t, tuesday(12, 0), "Larkfield")
		i := k.must("Larkfield")
		k.enqueue(store.Out{Kind: "invite", Ref: k.people[k.must("Farrowby")].ID, Args: "codecodecode", Recipient: k.people[i].ID})
		time.Sleep(10 * time.Second)
		require.Equal(t, 1, k.saw(account(i), "codecodecode"))
		require.Equal(t, []string{"sent "}, column(t, k.dir, `SELECT state || ' ' || args FROM outbox WHERE kind = 'invite'`))
	})
}

// What was written from an account that somebody has left goes with their
// erasure.
func TestErasureReachesFormerAccounts(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k, _ := watched(t, tuesday(12, 0), "Farrowby", "Quintavale")
		i := k.must("Farrowby")
		k.act("Farrowby writes: left hamstring pain 6")
		k.act("Farrowby opens an invitation on a new phone")
		mine := fmt.Sprintf(`{"message":{"from":{"id":%d},"text":"my chest hurts"}}`, account(i))
		require.NoError(t, k.store.Write(t.Context(), func(tx *store.Tx) error { return tx.Quarantine([]byte(mine), 5, "x", 1) }))
		k.enqueue(store.Out{Kind: "fault", Chat: account(i), Args: "5"})
		k.act("Farrowby writes: hello")
		k.halt()
		require.NoError(t, k.store.Write(t.Context(), func(tx *store.Tx) error {
			return tx.Leave(k.people[i].ID, prescribe.InstantOf(k.Now()))
		}))
		require.NoError(t, k.store.Erase(t.Context(), k.people[i].ID, prescribe.InstantOf(k.Now())))
		require.Empty(t, column(t, k.dir, fmt.Sprintf(`SELECT key FROM once_key WHERE key LIKE '%%/%d/%%' OR key LIKE '%%/%d/%%'`, account(i), account(len(k.people)+i))))
		require.Empty(t, column(t, k.dir, `SELECT CAST(raw AS TEXT) FROM quarantine`))
		require.Empty(t, column(t, k.dir, fmt.Sprintf(`SELECT kind FROM outbox WHERE chat IN (%d, %d)`, account(i), account(len(k.people)+i))))
		require.Empty(t, column(t, k.dir, `SELECT 'x' FROM person_account a JOIN person p ON p.id = a.person WHERE p.erased_at IS NOT NULL`))
	})
}
