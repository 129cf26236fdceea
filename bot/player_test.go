package bot_test

import (
	"database/sql"
	"fmt"
	"io"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/bot"
	"pegcard/bot/localchat"
	"pegcard/cmd/pegcard/democlub"
	"pegcard/prescribe"
	"pegcard/store"
)

func TestEveryButtonMeansOneThing(t *testing.T) {
	seen := map[string]bool{}
	for _, v := range bot.TapVerbs() {
		require.False(t, seen[v], "two buttons begin with %q", v)
		seen[v] = true
	}
}

func TestDaysAway(t *testing.T) {
	today := prescribe.Date(2026, time.March, 10)
	for _, c := range []struct{ text, want string }{
		{"12.6 - 20.6", "2026-06-12 2026-06-20"},
		{"12.6.-20.6.", "2026-06-12 2026-06-20"},
		{"from 10/3 to 13/3", "2026-03-10 2026-03-13"},
		{"2026-06-12 2026-06-20", "2026-06-12 2026-06-20"},
		{"28.12 - 3.1", "2026-12-28 2027-01-03"},
		{"9.3 - 12.3", "2026-03-09 2026-03-12"}, // began yesterday
		{"29.2 - 1.3", ""},                      // over, and no leap year is near
		{"14.3", "2026-03-14 2026-03-14"},
		{"1.3 - 5.3", ""},   // over
		{"20.6 - 12.6", ""}, // back to front
		{"31.2 - 3.3", ""},
		{"0.5 - 40.80", ""},
		{"next week", ""},
		{"", ""},
	} {
		from, to, ok := bot.ReadDays(c.text, today)
		got := ""
		if ok {
			got = from.String() + " " + to.String()
		}
		require.Equal(t, c.want, got, "%q", c.text)
	}
}

// player is a dialogue with one player, played by the test.
func player(t *testing.T, name string, at time.Time, more ...string) (*talk, int) {
	k := newTalk(t, clubOf(t, name), at)
	for _, n := range append(more, name) {
		k.join(k.must(n))
	}
	k.run()
	k.settle()
	return k, k.must(name)
}

func tuesday(h, m int) time.Time {
	at := democlub.Start()
	return time.Date(at.Year(), at.Month(), at.Day(), h, m, 0, 0, at.Location())
}

// last is the last message of the bot with buttons.
func (k *talk) last(i int) localchat.Message {
	for _, m := range slices.Backward(k.chat.Transcript(account(i))) {
		if m.FromBot() && len(m.Buttons()) > 0 {
			return m
		}
	}
	k.t.Fatal("there is no button")
	return localchat.Message{}
}

func (k *talk) asked(i int) (d store.Dialog, open bool) {
	require.NoError(k.t, k.store.Read(k.t.Context(), func(tx *store.Tx) (err error) {
		d, open, err = tx.Dialog(account(i))
		return err
	}))
	return d, open
}

func (k *talk) today(i int) (c store.CardRev, es []prescribe.Event) {
	require.NoError(k.t, k.store.Read(k.t.Context(), func(tx *store.Tx) error {
		day, err := tx.Today(k.people[i].ID, prescribe.InstantOf(k.Now()))
		if err != nil {
			return err
		}
		if c, _, err = tx.Card(k.people[i].ID, day); err != nil {
			return err
		}
		es, err = tx.Events(k.people[i].ID, day, day)
		return err
	}))
	return c, es
}

// A session is answered whole in three taps, and counts from the first on.
func TestDoneTakesThreeTaps(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k, i := player(t, "Farrowby", tuesday(12, 0))
		taps := 0
		for _, label := range []string{"Done as written", "2", "7"} {
			k.act("Farrowby taps [" + label + "]")
			taps++
			c, es := k.today(i)
			require.Equal(t, store.CardDone, c.State, "recorded after tap %d", taps)
			require.Equal(t, 1, count(es, func(e prescribe.Event) bool { return e.Session != nil }))
		}
		_, open := k.asked(i)
		require.False(t, open, "nothing is left to ask after %d taps", taps)
		_, es := k.today(i)
		for _, e := range es {
			if e.Session != nil {
				require.NotNil(t, e.Session.RPE)
				require.Equal(t, prescribe.Score(7), *e.Session.RPE)
			}
			if e.Set != nil && e.Set.Exercise == "trap_bar_deadlift" {
				require.Equal(t, e.Set.Ordinal == 1, e.Set.RIR != nil, "effort is of the first set")
			}
		}
		require.LessOrEqual(t, taps, 3)
	})
}

// A full log of four exercises takes at most fourteen taps: with every exercise
// off the card in its first set and as written after that, the questions at the
// end included. Each tap is on record at once.
func TestFullLogTakesFourteenTaps(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k, i := player(t, "Farrowby", tuesday(12, 0))
		c, _ := k.today(i)
		require.GreaterOrEqual(t, len(c.Card.Items), 4)
		taps := 0
		tap := func(label string) {
			k.act("Farrowby taps [" + label + "]")
			taps++
		}
		tap("Log sets")
		for n, it := range c.Card.Items[:4] {
			tap(fmt.Sprint(max(1, it.Reps-1)))
			_, es := k.today(i)
			require.True(t, slices.ContainsFunc(es, func(e prescribe.Event) bool {
				return e.Set != nil && e.Set.Exercise == it.Exercise && e.Set.Reps == max(1, it.Reps-1)
			}), "%s is on record after tap %d", it.Exercise, taps)
			tap("As on the card")
			_, es = k.today(i)
			sets := it.Sets
			if it.PerSide {
				sets *= 2
			}
			require.Equal(t, sets, count(es, func(e prescribe.Event) bool { return e.Set != nil && e.Set.Exercise == it.Exercise }), "exercise %d", n)
		}
		tap("Finish")
		tap("2")
		tap("7")
		c, _ = k.today(i)
		require.Equal(t, store.CardChanged, c.State)
		_, open := k.asked(i)
		require.False(t, open, "nothing is left to ask after %d taps", taps)
		require.LessOrEqual(t, taps, 14)
	})
}

// Pain is told whole in at most five taps at the usual places, and is on record
// by the fifth everywhere.
func TestPainTakesFiveTaps(t *testing.T) {
	first, more := bot.PainPlaces()
	synctest.Test(t, func(t *testing.T) {
		k, i := player(t, "Farrowby", tuesday(8, 0), "Quintavale")
		sp := k.words.For("en")
		for n, region := range slices.Concat(first, more) {
			before := len(painOf(k, i))
			taps, recorded := 0, 0
			tap := func(label string) {
				k.act("Farrowby taps [" + label + "]")
				taps++
				if recorded == 0 && len(painOf(k, i)) > before {
					recorded = taps
				}
			}
			tap("Pain")
			if n >= len(first) {
				tap("More places")
			}
			name := sp.Region(region, prescribe.Both)
			tap(strings.ToUpper(name[:1]) + name[1:])
			if _, ok := k.last(i).Button("Left"); ok {
				tap("Left")
			}
			tap("1")
			m := k.last(i)
			for _, b := range m.Buttons() {
				if strings.HasPrefix(b.Text, "None") {
					tap(b.Text)
					break
				}
			}
			_, open := k.asked(i)
			require.False(t, open, "%s: something is still asked", region)
			require.Positive(t, recorded, "%s was not recorded", region)
			require.LessOrEqual(t, recorded, 5, string(region))
			if n < len(first) {
				require.LessOrEqual(t, taps, 5, string(region))
			}
		}
	})
}

func painOf(k *talk, i int) []prescribe.Event {
	_, es := k.today(i)
	return slices.DeleteFunc(es, func(e prescribe.Event) bool { return e.Pain == nil })
}

func count[T any](list []T, is func(T) bool) int {
	n := 0
	for _, x := range list {
		if is(x) {
			n++
		}
	}
	return n
}

// texts are things players write.
var texts = []string{
	"done", "done, effort 6", "3x5 100", "bench 3x6 70", "trap bar 125x4,4,4,3 rir 1", "hamstring 6", "sore quads 3", "knee pain 4", "left knee pain 2",
	"can't, travelling", "can't today", "ill", "7", "2", "0", "yes", "no", "thanks", "rir 2", "rpe 8", "/today", "/pain", "/sore", "/cant", "/undo", "/why", "/away",
	"10.3 - 12.3", "knee", "hamstring", "back", "65 min", "all but the bench", "what?", "👍", "no chest pain", "100", "5x5", "12x8", "225", "squat 100x5",
}

// Whatever a player taps and writes, in whatever order: every message is
// answered, a session ends at most once, the card's state is that of the
// record, and the outbox names no place on the body.
func TestAnyOrderOfTapsAndWords(t *testing.T) {
	for seed := range uint64(6) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				r := rand.New(rand.NewPCG(seed, 7))
				k, i := player(t, "Farrowby", tuesday(7, 40), "Quintavale", "Harkwell")
				k.news(io.Discard)
				var script []string
				for range 30 {
					line, wrote := anything(k, i, r)
					script = append(script, line)
					if line == "" {
						continue
					}
					said := len(k.chat.Transcript(account(i)))
					k.act(line)
					fresh := k.chat.Transcript(account(i))[said:]
					if wrote {
						require.True(t, slices.ContainsFunc(fresh, localchat.Message.FromBot), "silence after\n%s", strings.Join(script, "\n"))
					}
					for _, m := range k.chat.Transcript(account(i)) {
						require.NotContains(t, m.Text, "Something went wrong", strings.Join(script, "\n"))
						require.NotContains(t, m.Text, "{", "an argument is missing after\n%s", strings.Join(script, "\n"))
					}
					k.check(i, strings.Join(script, "\n"))
				}
				require.Empty(t, column(t, k.dir, `SELECT reason FROM quarantine`))
				first, more := bot.PainPlaces()
				for _, args := range column(t, k.dir, `SELECT args FROM outbox`) {
					for _, region := range slices.Concat(first, more) {
						require.NotContains(t, args, string(region), "the outbox names a place")
					}
				}
			})
		})
	}
}

// anything is something a player may do now.
func anything(k *talk, i int, r *rand.Rand) (line string, wrote bool) {
	chat := k.chat.Transcript(account(i))
	switch n := r.IntN(10); {
	case n < 5: // a button of one of the last messages
		var with []localchat.Message
		for _, m := range slices.Backward(chat) {
			if m.FromBot() && len(m.Buttons()) > 0 && len(with) < 3 {
				with = append(with, m)
			}
		}
		if len(with) == 0 {
			return "", false
		}
		m := with[r.IntN(len(with))]
		b := m.Buttons()[r.IntN(len(m.Buttons()))]
		if b.Text == "Leave" || b.Text == "End my consent" {
			return "", false
		}
		first, _, _ := strings.Cut(m.Text, "\n")
		return fmt.Sprintf("Farrowby taps [%s] on %q", b.Text, strings.ReplaceAll(first, `"`, "")), false
	case n < 6 && len(k.taps) > 0:
		if _, ok := k.taps[account(i)]; ok {
			return "Farrowby taps [x] again", false
		}
		return "", false
	case n < 7:
		return k.Now().Add(time.Duration(r.IntN(9*60)) * time.Minute).In(k.loc).Format("2006-01-02 15:04"), false
	}
	return "Farrowby writes: " + texts[r.IntN(len(texts))], true
}

// check looks at what stands on record.
func (k *talk) check(i int, script string) {
	require.NoError(k.t, k.store.Read(k.t.Context(), func(tx *store.Tx) error {
		today, err := tx.Today(k.people[i].ID, prescribe.InstantOf(k.Now()))
		if err != nil {
			return err
		}
		for d := today - 7; d <= today; d++ {
			es, err := tx.Events(k.people[i].ID, d, d)
			if err != nil {
				return err
			}
			var end *prescribe.Session
			ends := map[string]int{}
			for _, e := range es {
				if e.Session != nil {
					ends[e.Session.Template]++
					end = e.Session
				}
			}
			for t, n := range ends {
				require.Equal(k.t, 1, n, "session %s of %s ends %d times after\n%s", t, d, n, script)
			}
			c, ok, err := tx.Card(k.people[i].ID, d)
			if err != nil || !ok {
				return err
			}
			want := map[store.CardState][]prescribe.Outcome{
				store.CardDone: {prescribe.DoneAsWritten}, store.CardChanged: {prescribe.DoneChanged},
				store.CardMissed: {prescribe.NotDone}, store.CardUnanswered: {prescribe.NoAnswer},
			}[c.State]
			if want != nil {
				require.NotNil(k.t, end, "card of %s is %s without a session after\n%s", d, c.State, script)
				require.Contains(k.t, want, end.Outcome, script)
			} else if ok && end != nil && end.Template == c.Card.Template {
				k.t.Fatalf("card of %s is %s and its session %s after\n%s", d, c.State, end.Outcome, script)
			}
		}
		return nil
	}))
}

// column reads one column of the database beside the store.
func column(t *testing.T, dir, query string) []string {
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName)+"?mode=ro")
	require.NoError(t, err)
	defer db.Close()
	rows, err := db.Query(query)
	require.NoError(t, err)
	defer rows.Close()
	var out []string
	for rows.Next() {
		var s string
		require.NoError(t, rows.Scan(&s))
		out = append(out, s)
	}
	require.NoError(t, rows.Err())
	return out
}
