package bot_test

import (
	"context"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/bot"
	"pegcard/bot/localchat"
	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/cmd/pegcard/democlub"
	"pegcard/prescribe"
	"pegcard/store"
	"pegcard/store/clubfile"
)

// A season of mornings with the production loops: cron ticks, long polls, the
// sender and its pacing, all on a fake clock, against the chat server in the
// same process. Every card, look-over and digest goes out once a civil date.
func TestSeasonOfMornings(t *testing.T) {
	if testing.Short() {
		t.Skip("the season is long; two weeks around a clock change run in the short form")
	}
	mornings(t, "2025-08-04 00:00", 46*7, 3)
}

// The two weeks around the last Sunday of March, when European clocks go
// forward.
func TestTwoWeeksAroundAClockChange(t *testing.T) {
	joined := 8
	if testing.Short() {
		joined = 3 // under the race detector
	}
	mornings(t, "2026-03-22 00:00", 14, joined)
}

// mornings runs the bot for days with the given number of players joined.
func mornings(t *testing.T, from string, days, joined int) {
	loc, err := store.Zone(democlub.Zone)
	require.NoError(t, err)
	start, err := time.ParseInLocation("2006-01-02 15:04", from, loc)
	require.NoError(t, err)
	synctest.Test(t, func(t *testing.T) {
		offset := time.Until(start)
		now := func() time.Time { return time.Now().Add(offset) }
		st, err := store.Open(t.Context(), store.Options{Dir: filepath.Join(t.TempDir(), "data"), Rand: rand.NewChaCha8([32]byte{3})})
		require.NoError(t, err)
		// Imported the day before, without what had not happened yet.
		im, problems := clubfile.Read(democlub.Files, clubfile.Options{Now: democlub.Start()})
		require.Empty(t, problems)
		im.Tests, im.Minutes = nil, nil
		im.Players = im.Players[:joined] // of the first team: the fewer, the longer a season can be
		res, err := st.Import(t.Context(), im, prescribe.InstantOf(start.AddDate(0, 0, -1)), false)
		require.NoError(t, err)
		require.Empty(t, res.Problems)
		words, err := wording.Load()
		require.NoError(t, err)
		chat := localchat.New(localchat.Options{Token: "7000000001:season-secret", Now: now, Zone: loc, Limits: localchat.DefaultLimits(), KeepMessages: 20_000})
		client, err := telegram.NewClient(telegram.Config{Token: chat.Token(), Endpoint: "http://chat.invalid", Transport: chat.Transport()})
		require.NoError(t, err)
		players, coach, squad := joinSome(t, st, chat, prescribe.InstantOf(start), joined)

		ctx, cancel := context.WithCancel(t.Context())
		b := bot.New(bot.Config{Store: st, Client: client, Words: words, Now: now, Logger: testLogger(t)})
		done := make(chan error, 1)
		go func() { done <- b.Run(ctx) }()
		time.Sleep(time.Duration(days) * 24 * time.Hour)
		synctest.Wait()
		cancel()
		require.NoError(t, <-done)

		first := prescribe.DayOf(start)
		last := first + prescribe.Day(days) - 1
		zone, err := time.LoadLocation(squad.Zone)
		require.NoError(t, err)
		trained := 0
		for _, p := range players {
			var cards []store.CardRev
			require.NoError(t, st.Read(t.Context(), func(tx *store.Tx) (err error) {
				cards, err = tx.Cards(p.ID, first, last)
				return err
			}))
			require.Len(t, cards, days, "%s: one card worked out each civil date", p.Name)
			want := map[prescribe.Day]int{}
			for _, c := range cards {
				if c.SentMessage != 0 {
					want[c.Day] = 1
					trained++
				}
			}
			require.Equal(t, want, pushes(chat, p.Chat, zone), "%s: messages with a card, by civil date", p.Name)
		}
		require.Greater(t, trained, days*joined/5, "the season has sessions in it")
		digests := digestsTo(chat, coach.Chat, squad.Name)
		// One for each day, and first the one of the evening before the bot began;
		// and a report on Mondays and on the 1st.
		reports := 0
		for d := first; d <= last; d++ {
			if d.Weekday() == time.Monday {
				reports++
			}
			if d.Time().Day() == 1 {
				reports++
			}
		}
		require.Len(t, digests, days+1+reports)
		for title, n := range digests {
			require.Equal(t, 1, n, "the digest %q", title)
		}
		chat.Close()
		require.NoError(t, st.Close())
	})
}

// joinSome lets the first players and the coach of the first team in.
func joinSome(t *testing.T, st *store.Store, chat *localchat.Server, now prescribe.Instant, n int) (players []store.Person, coach store.Person, squad store.Squad) {
	day := prescribe.DayOf(now.Time())
	require.NoError(t, st.Write(t.Context(), func(tx *store.Tx) (err error) {
		if squad, err = tx.SquadBySlug("first"); err != nil {
			return err
		}
		members, err := tx.Members(squad.ID, day)
		if err != nil {
			return err
		}
		coaches, err := tx.Staff(squad.ID, store.RoleCoach, day)
		if err != nil {
			return err
		}
		for i, p := range append(members[:n:n], coaches[0]) {
			id := int64(5000 + i)
			code, err := tx.Invite(p.ID, 0, now, now+1)
			if err != nil {
				return err
			}
			joined, err := tx.Join(code, id, id, now)
			if err != nil {
				return err
			}
			if err := tx.Consent(p.ID, bot.NoticeVersion, p.Language, now); err != nil {
				return err
			}
			if err := chat.AddPerson(localchat.Person{ID: id, FirstName: p.Name, LanguageCode: p.Language, Started: true}); err != nil {
				return err
			}
			if i < n {
				players = append(players, joined)
			} else {
				coach = joined
			}
		}
		return nil
	}))
	return players, coach, squad
}

// pushes counts the messages of a chat that hang a card, by the civil date on
// which they came: a card has its button for "done", whatever the language.
func pushes(chat *localchat.Server, id int64, zone *time.Location) map[prescribe.Day]int {
	out := map[prescribe.Day]int{}
	for _, m := range chat.Transcript(id) {
		if !m.FromBot() || !hasCard(m) {
			continue
		}
		out[prescribe.DayOf(time.Unix(m.Date, 0).In(zone))]++
	}
	return out
}

// hasCard: the button for "cannot today" stands under every card to be trained.
func hasCard(m localchat.Message) bool {
	for _, b := range m.Buttons() {
		if strings.HasPrefix(b.CallbackData, "cant:") {
			return true
		}
	}
	return false
}

// digestsTo counts the digests of a squad in a chat, by their title, which names
// the day.
func digestsTo(chat *localchat.Server, id int64, squad string) map[string]int {
	out := map[string]int{}
	for _, m := range chat.Transcript(id) {
		if title, _, _ := strings.Cut(m.Text, "\n"); m.FromBot() && strings.HasPrefix(title, squad+": ") {
			out[title]++
		}
	}
	return out
}
