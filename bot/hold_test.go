package bot_test

import (
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/synctest"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
	"pegcard/store"
)

// confirms is the data of the last [Yes, do it] that was shown to a person.
func (k *talk) confirms(i int) string {
	k.t.Helper()
	list := k.chat.Transcript(account(i))
	for n := len(list) - 1; n >= 0; n-- {
		for _, b := range list[n].Buttons() {
			if b.Text == "Yes, do it" {
				return b.CallbackData
			}
		}
	}
	k.t.Fatal("nothing is to be confirmed")
	return ""
}

func (k *talk) held(i int) (places []string) {
	k.t.Helper()
	now := prescribe.InstantOf(k.Now())
	require.NoError(k.t, k.store.Read(k.t.Context(), func(tx *store.Tx) error {
		day, err := tx.Today(k.people[i].ID, now)
		if err != nil {
			return err
		}
		s, err := tx.State(k.people[i].ID)
		for _, h := range s.Held(day) {
			places = append(places, string(h.Region))
		}
		return err
	}))
	return places
}

// Two holds chosen under one and the same message both stand; a yes counts once,
// and only while its question is the open one.
func TestTwoHoldsUnderOneMessage(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k := staffTalk(t, clubOf(t, "Farrowby"), tuesday(9, 0), "Farrowby", "Quintavale")
		doctor, player := k.must("Quintavale"), k.must("Farrowby")
		k.act("Quintavale writes: /player farrowby")
		set := func(field, value string) string {
			return fmt.Sprintf("hf:%d:0:%s:%s", k.people[player].ID, field, value)
		}
		step := func(data string) {
			require.NoError(t, k.set(t.Context(), k.Now().Add(5e9)))
			k.press(doctor, data)
		}
		run := func(region string) string {
			for _, data := range []string{set("start", ""), set("region", region), set("cap", "0"), set("days", "3")} {
				step(data)
			}
			return k.confirms(doctor)
		}
		first := run("hamstring")
		step(first)
		require.Equal(t, []string{"hamstring"}, k.held(player))

		second := run("calf")
		require.NotEqual(t, first, second)
		k.news(io.Discard)
		step(first)
		var said strings.Builder
		k.news(&said)
		require.Contains(t, said.String(), "That button is too old")
		require.Equal(t, []string{"hamstring"}, k.held(player), "the yes of another question")

		step(second)
		require.ElementsMatch(t, []string{"hamstring", "calf"}, k.held(player), "the second hold replaced the first")

		k.news(io.Discard)
		step(second)
		said.Reset()
		k.news(&said)
		require.Contains(t, said.String(), "That button is too old")
		require.Len(t, column(t, k.dir, `SELECT region FROM hold`), 2)
		for _, detail := range column(t, k.dir, `SELECT action || ' ' || detail FROM audit`) {
			for _, region := range prescribe.Regions() {
				require.NotContains(t, detail, string(region), "the audit names a place of the body")
			}
		}
	})
}

// What was chosen with days is not carried out on another day: the review would
// be on another than the one shown.
func TestHoldConfirmedTheNextDay(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k := staffTalk(t, clubOf(t, "Farrowby"), tuesday(23, 50), "Farrowby", "Quintavale")
		k.act("23:50 Quintavale writes: /hold farrowby knee until 13.3")
		k.act("23:51 Quintavale writes: 50 %")
		k.news(io.Discard)
		k.act("2026-03-11 00:05")
		k.act("00:05 Quintavale taps [Yes, do it]")
		var said strings.Builder
		k.news(&said)
		require.Contains(t, said.String(), "That button is too old")
		require.Empty(t, k.held(k.must("Farrowby")))
	})
}
