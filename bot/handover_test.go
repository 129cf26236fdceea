package bot_test

import (
	"io"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/synctest"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
	"pegcard/store"
)

// What a short command has written beside the bot is seen within a minute: the
// card is worked out again and sent, staff are told, and nothing is done twice.
func TestTheBotTakesInWhatAnotherProcessWrote(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k := staffTalk(t, clubOf(t, "Farrowby"), tuesday(7, 20), "Farrowby", "Quintavale", "Harkwell")
		k.act("07:31")
		k.news(io.Discard)
		player := k.people[k.must("Farrowby")].ID
		day := prescribe.DayOf(tuesday(0, 0))

		beside, err := store.Open(t.Context(), store.Options{Dir: k.dir, Shared: true, Rand: rand.NewChaCha8([32]byte{9})})
		require.NoError(t, err)
		t.Cleanup(func() { require.NoError(t, beside.Close()) })
		now := prescribe.InstantOf(k.Now())
		require.NoError(t, beside.Write(t.Context(), func(tx *store.Tx) error {
			f, err := tx.Record(player, "cli:1", now,
				prescribe.Event{At: now, Day: day, Pain: &prescribe.Pain{Region: prescribe.Hamstring, Side: prescribe.Left, Score: 7}})
			if err != nil {
				return err
			}
			require.NotEmpty(t, f.Notices)
			if err := tx.PutNotices(player, now, f.Notices...); err != nil {
				return err
			}
			return tx.PutReplan(store.PersonDay{Person: player, Day: day - 1}, store.PersonDay{Person: player, Day: day}, store.PersonDay{Person: player, Day: day + 1})
		}))

		// The bot's own clock beats each minute; nothing has told it to look.
		require.NoError(t, k.set(t.Context(), k.Now().Add(60e9)))
		require.NoError(t, k.bot.Tick(t.Context()))
		k.settle()
		var said strings.Builder
		k.news(&said)
		require.Contains(t, said.String(), "bot → Farrowby:\n    | New card.")
		require.Contains(t, said.String(), "bot → Quintavale:\n    | Urgent. Edmund Farrowby")
		require.Empty(t, column(t, k.dir, `SELECT day FROM replan UNION ALL SELECT notice FROM pending_notice`))

		require.NoError(t, k.bot.Tick(t.Context()))
		k.settle()
		said.Reset()
		k.news(&said)
		require.Empty(t, said.String())
	})
}
