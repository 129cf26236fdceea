package bot_test

import (
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/synctest"

	"github.com/stretchr/testify/require"

	"pegcard/bot"
	"pegcard/prescribe"
	"pegcard/store"
)

// Once consent has ended, own or guardian's, nothing of a session goes out,
// whatever staff do with the card, and also not what was on its way.
func TestNothingGoesOutAfterConsentEnded(t *testing.T) {
	for _, c := range []struct {
		name, who string
		end       func(k *talk, i int)
	}{
		{"own", "Farrowby", func(k *talk, i int) {
			k.act("07:40 Farrowby writes: /privacy")
			k.act("07:40 Farrowby taps [End my consent]")
		}},
		{"guardian", "Brightwater", func(k *talk, i int) {
			now := prescribe.InstantOf(k.Now())
			require.NoError(k.t, k.store.Write(k.t.Context(), func(tx *store.Tx) error {
				return tx.WithdrawGuardianConsent(k.people[i].ID, 0, now)
			}))
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				k := staffTalk(t, clubOf(t, "Farrowby", "Brightwater"), tuesday(6, 50), "Farrowby", "Brightwater", "Harkwell", "Quintavale")
				i := k.must(c.who)
				k.act("07:35")
				c.end(k, i)
				k.news(io.Discard)
				k.act("07:50")
				day := prescribe.DayOf(tuesday(0, 0))
				card := k.card(i, day)

				k.act("07:51 Harkwell writes: /cards")
				coach := k.must("Harkwell")
				k.press(coach, fmt.Sprintf("ev:%d:%d:0:s:2", card.ID, card.Rev))
				k.act("07:52 Harkwell writes: two sets will do")
				k.press(coach, fmt.Sprintf("cok:%d:%d", card.ID, k.card(i, day).Rev))
				k.act("07:53 Quintavale writes: /hold " + strings.ToLower(c.who) + " until 13.3")
				k.act("07:53 Quintavale taps [Everything]")
				k.act("07:53 Quintavale taps [Stop]")
				k.act("07:54 Quintavale taps [Yes, do it]")
				require.Greater(t, k.card(i, day).Rev, card.Rev, "the card has changed")

				// Rows that were written before consent ended.
				now := prescribe.InstantOf(k.Now())
				require.NoError(t, k.store.Write(t.Context(), func(tx *store.Tx) error {
					c, _, err := tx.Card(k.people[i].ID, day)
					if err != nil {
						return err
					}
					_, _, err = tx.Enqueue(store.Out{Kind: "card", Recipient: k.people[i].ID, Ref: c.ID, Rev: c.Rev, Expires: now + 3600_000})
					if err != nil {
						return err
					}
					if _, _, err = tx.Enqueue(store.Out{Kind: "view", Recipient: k.people[i].ID, Args: fmt.Sprintf("morning:%d", c.ID), Expires: now + 3600_000}); err != nil {
						return err
					}
					if err := tx.PutDialog(store.Dialog{Chat: account(i), Kind: "sore", Args: []byte(`{"step":"where"}`), Asked: now}); err != nil {
						return err
					}
					_, _, err = tx.Enqueue(store.Out{Kind: "question", Recipient: k.people[i].ID, Args: "sore:again", Expires: now + 3600_000})
					return err
				}))
				k.bot.Changed()
				k.act("2026-03-12 08:00")
				for _, m := range k.chat.Transcript(account(i)) {
					if m.FromBot() && m.Date > tuesday(7, 41).Unix() {
						t.Fatalf("sent after consent had ended: %q", m.Text)
					}
				}
			})
		})
	}
}

// Notices to staff are worded for those only who have the role in the player's
// squad, whoever the row is addressed to.
func TestNoticesCheckTheirReader(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k := staffTalk(t, twoCoaches(t), tuesday(9, 0), "Farrowby", "Brightwater", "Wexcombe", "Harkwell", "Larkfield", "Dunmarsh")
		player := k.people[k.must("Farrowby")].ID
		told := func(who, page string) bool {
			k.news(io.Discard)
			now := prescribe.InstantOf(k.Now())
			require.NoError(t, k.store.Write(t.Context(), func(tx *store.Tx) error {
				_, _, err := tx.Enqueue(store.Out{Kind: "view", Recipient: k.people[k.must(who)].ID, Args: page, Expires: now + 3600_000})
				return err
			}))
			k.bot.Changed()
			k.settle()
			var said strings.Builder
			k.news(&said)
			return strings.Contains(said.String(), "Farrowby")
		}
		for page, reader := range map[string]string{"guardian": "Larkfield", "eraseasked": "Larkfield", "moved": "Dunmarsh", "reach": "Harkwell", "gone": "Harkwell"} {
			args := fmt.Sprintf("%s:%d", page, player)
			require.True(t, told(reader, args), "%s is %s's to read", page, reader)
			for _, other := range []string{"Brightwater", "Wexcombe", "Harkwell", "Larkfield", "Dunmarsh"} {
				if other != reader {
					require.False(t, told(other, args), "%s read %s", other, page)
				}
			}
		}
	})
}

// Version 2 of the notice says who reads soreness, and to whom a message of
// danger goes.
func TestNoticeVersion(t *testing.T) {
	require.Equal(t, "2", bot.NoticeVersion)
	text := words(t).For("en").T("join.privacy")
	require.Contains(t, text, "if you are 18 or older, your soreness")
	require.Contains(t, text, "goes to one named person")
}
