package bot_test

import (
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/bot"
	"pegcard/bot/telegram"
	"pegcard/cmd/pegcard/democlub"
	"pegcard/prescribe"
	"pegcard/store"
	"pegcard/store/clubfile"
)

// youthCoach and youthStaff are people of the academy alone.
const (
	youthCoach = `
[[staff]]
key = "s-youth"
name = "Hal Wexcombe"
role = "strength_coach"
squads = ["academy"]
`
	youthStaff = youthCoach + `
[[staff]]
key = "s-youth-physio"
name = "Nell Sallowfield"
role = "medical"
order = 3
squads = ["academy"]
`
)

// twoCoaches is the folder of a store with the demo club in it, a few players
// of each squad, and a coach, Wexcombe, of the academy alone.
func twoCoaches(t *testing.T) string { return clubWith(t, []string{"1", "2", "a5"}, youthCoach) }

// clubWith is the folder of a store with those players of the demo club in it,
// the coach of the first team alone, and more staff, as in club.toml.
func clubWith(t *testing.T, players []string, staff string) string {
	dir := t.TempDir()
	files := fstest.MapFS{}
	for _, name := range clubfile.Files() {
		data, err := fs.ReadFile(democlub.Files, name)
		if err != nil {
			continue // a club need not have every file
		}
		files[name] = &fstest.MapFile{Data: data}
	}
	// A coach of no squad named coaches all; the demo's are kept to the first team.
	club := strings.Replace(string(files[clubfile.ClubFile].Data), "role = \"strength_coach\"\n", "role = \"strength_coach\"\nsquads = [\"first\"]\n", 1)
	files[clubfile.ClubFile].Data = []byte(club + staff)
	s, err := store.Open(t.Context(), store.Options{Dir: dir, Rand: rand.NewChaCha8([32]byte{1})})
	require.NoError(t, err)
	in, problems := clubfile.Read(files, clubfile.Options{Now: democlub.Start()})
	require.Empty(t, problems)
	keep := func(key string) bool { return slices.Contains(players, key) }
	in.Players = slices.DeleteFunc(in.Players, func(p store.PlayerRow) bool { return !keep(p.Key) })
	in.Tests = slices.DeleteFunc(in.Tests, func(r store.TestRow) bool { return !keep(r.Player) })
	in.Minutes = slices.DeleteFunc(in.Minutes, func(r store.MinutesRow) bool { return !keep(r.Player) })
	res, err := s.Import(t.Context(), in, prescribe.InstantOf(democlub.Start()), false)
	require.NoError(t, err)
	require.Empty(t, res.Problems)
	require.NoError(t, s.Close())
	return dir
}

// staffTalk is a dialogue with those people, played by the test.
func staffTalk(t *testing.T, template string, at time.Time, names ...string) *talk {
	k := newTalk(t, template, at)
	for _, n := range names {
		k.join(k.must(n))
	}
	k.run()
	k.settle()
	return k
}

// press hands the bot a tap on its last message in a chat, with data that no
// button needs to have had.
func (k *talk) press(i int, data string) {
	k.t.Helper()
	k.pressed++
	for _, m := range slices.Backward(k.chat.Transcript(account(i))) {
		if !m.FromBot() {
			continue
		}
		var u telegram.Update
		raw, err := json.Marshal(map[string]any{"update_id": 1_000_000 + k.pressed, "callback_query": map[string]any{
			"id": fmt.Sprint("forged", k.pressed), "from": map[string]any{"id": account(i)}, "data": data,
			"message": map[string]any{"message_id": m.MessageID, "date": m.Date, "chat": map[string]any{"id": account(i), "type": "private"}}}})
		require.NoError(k.t, err)
		require.NoError(k.t, json.Unmarshal(raw, &u))
		require.NoError(k.t, k.bot.Handle(k.t.Context(), u), "%q", data)
		k.settle()
		return
	}
	k.t.Fatal("the bot has said nothing yet")
}

// card is the card of a person's day.
func (k *talk) card(i int, day prescribe.Day) (c store.CardRev) {
	k.t.Helper()
	require.NoError(k.t, k.store.Read(k.t.Context(), func(tx *store.Tx) error {
		var ok bool
		var err error
		c, ok, err = tx.Card(k.people[i].ID, day)
		require.True(k.t, ok, "%s has no card on %s", k.name(i), day)
		return err
	}))
	return c
}

// What a button carries may come from anywhere: the rights are asked of the
// store, not of the message that showed the button.
func TestForgedButtonsOfAnotherSquadsStaff(t *testing.T) {
	template := twoCoaches(t)
	synctest.Test(t, func(t *testing.T) {
		k := staffTalk(t, template, tuesday(17, 0), "Farrowby", "Brightwater", "Harkwell", "Wexcombe", "Quintavale")
		require.NoError(t, k.bot.Move(t.Context(), tuesday(18, 0), k.set))
		youth, player := k.must("Wexcombe"), k.must("Farrowby")
		day := prescribe.DayOf(tuesday(0, 0)) + 1
		c := k.card(player, day)
		require.Equal(t, prescribe.CardTrain, c.Card.Kind)
		var squad int64
		require.NoError(t, k.store.Read(t.Context(), func(tx *store.Tx) error {
			sq, err := tx.SquadBySlug("first")
			squad = sq.ID
			return err
		}))
		before := column(t, k.dir, `SELECT CAST(COUNT(*) AS TEXT) FROM card_edit UNION ALL SELECT CAST(COUNT(*) AS TEXT) FROM hold UNION ALL SELECT CAST(COUNT(*) AS TEXT) FROM set_record`)

		k.act("Wexcombe writes: /help")
		for _, data := range []string{
			fmt.Sprintf("cok:%d:%d", c.ID, c.Rev),
			fmt.Sprintf("cno:%d:%d", c.ID, c.Rev),
			fmt.Sprintf("call:%d:%s:00000000", squad, day),
			fmt.Sprintf("ef:%d:%d:0:s", c.ID, c.Rev),
			fmt.Sprintf("ev:%d:%d:0:s:1", c.ID, c.Rev),
			fmt.Sprintf("ev:%d:%d:0:d:-", c.ID, c.Rev),
			fmt.Sprintf("hf:%d:0:start:", k.people[player].ID),
			fmt.Sprintf("hx:%d:0:all:0:0:0", k.people[player].ID),
			fmt.Sprintf("hx:%d:1:all:100:0:0", k.people[player].ID),
			fmt.Sprintf("iv:%d", k.people[player].ID),
			fmt.Sprintf("v:lookcard:%d", c.ID),
			fmt.Sprintf("v:cardedit:%d", c.ID),
			fmt.Sprintf("v:edititem:%d:%d:0", c.ID, c.Rev),
			fmt.Sprintf("v:coachwhy:%d", c.ID),
			fmt.Sprintf("v:coachwhyitem:%d:0", c.ID),
			fmt.Sprintf("v:look:%d:%s", squad, day),
			fmt.Sprintf("v:lookall:%d:%s", squad, day),
			fmt.Sprintf("v:player:%d", k.people[player].ID),
			fmt.Sprintf("v:squad:%d", squad),
			fmt.Sprintf("v:fixtures:%d", squad),
			fmt.Sprintf("v:fixmove:%d", squad),
			"fm:1", "fd:0", "tx:0", "ti:0:p:1", "mx:0", "fi:0",
		} {
			k.news(io.Discard)
			k.press(youth, data)
			var said strings.Builder
			k.news(&said)
			for _, word := range []string{"Farrowby", "deadlift", "First team", "League match"} {
				require.NotContains(t, said.String(), word, "%s", data)
			}
		}
		require.Equal(t, c, k.card(player, day))
		after := column(t, k.dir, `SELECT CAST(COUNT(*) AS TEXT) FROM card_edit UNION ALL SELECT CAST(COUNT(*) AS TEXT) FROM hold UNION ALL SELECT CAST(COUNT(*) AS TEXT) FROM set_record`)
		require.Equal(t, before, after, "a forged button wrote something")

		// The same words from the coach of that squad do it: the test would see it.
		k.act("Harkwell writes: /help")
		k.press(k.must("Harkwell"), fmt.Sprintf("cok:%d:%d", c.ID, c.Rev))
		require.Equal(t, store.CardApproved, k.card(player, day).State)
	})
}

// A coach's files change the records of the coach's own players only.
func TestFilesOfAnotherSquad(t *testing.T) {
	template := twoCoaches(t)
	synctest.Test(t, func(t *testing.T) {
		k := staffTalk(t, template, tuesday(9, 0), "Wexcombe", "Harkwell", "Larkfield")
		answer := func(line string) string {
			k.news(io.Discard)
			k.act(line)
			var said strings.Builder
			k.news(&said)
			return said.String()
		}
		require.Contains(t, answer(`Wexcombe sends tests.csv: player,date,exercise,load,reps\n1,2026-03-09,back_squat,150,3`), "not allowed")
		require.Contains(t, answer(`Wexcombe sends tests.csv: player,date,exercise,load,reps\na5,2026-03-09,back_squat,60,5`), "1 change")
		require.Contains(t, answer(`Wexcombe sends minutes.csv: player,date,minutes\n1,2026-03-07,80`), "not allowed")
		require.Contains(t, answer(`Wexcombe sends fixtures.ics: BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//x//x//EN\nBEGIN:VEVENT\nUID:a@x.example\nDTSTAMP:20260301T090000Z\nDTSTART:20260401T180000Z\nSUMMARY:Cup\nCATEGORIES:academy\nEND:VEVENT\nEND:VCALENDAR`),
			"not allowed", "a list of matches calls off what it leaves out")
		require.Contains(t, answer(`Harkwell sends rules.toml: [soreness]\nreduce_from = 4`), "not allowed", "rules hold for the academy too")
		require.Contains(t, answer(`Larkfield sends tests.csv: player,date,exercise,load,reps\na5,2026-03-09,back_squat,60,5`), "not allowed", "an administrator reads no training data")
	})
}

// The buttons are tapped in any order, with whatever arguments: the bot answers,
// nothing panics, and nothing of the body stands in the outbox.
func TestAnyStaffButton(t *testing.T) {
	verbs := append(bot.TapVerbs(), "v:lookcard", "v:cardedit", "v:edititem", "v:editvalue", "v:editwhy", "v:coachwhy", "v:coachwhyitem",
		"v:look", "v:lookall", "v:lookdone", "v:player", "v:squad", "v:pick", "v:which", "v:holdflow", "v:holddone", "v:test", "v:minutesconfirm",
		"v:minutesdone", "v:fixtures", "v:fixmove", "v:fixconfirm", "v:fixdone", "v:file", "v:filedone", "v:alerts", "v:seen", "v:invitewho", "v:nothing")
	template := twoCoaches(t)
	synctest.Test(t, func(t *testing.T) {
		k := staffTalk(t, template, tuesday(7, 20), "Farrowby", "Brightwater", "Harkwell", "Quintavale", "Larkfield", "Dunmarsh")
		k.act("07:46 Farrowby writes: left hamstring pain 6")
		k.act("07:47 Quintavale writes: /hold farrowby")
		r := rand.New(rand.NewPCG(7, 11))
		word := func() string {
			words := []string{"1", "2", "3", "0", "-1", "99", "x", "l", "s", "d", "p", "", "all", "100", "7", "region", "cap", "days", "class", "start", "hamstring",
				"2026-03-10", "2026-03-11", "9223372036854775808", "back_squat", "left", "release", "true", "again", "waits", "\x00", "ü"}
			return words[r.IntN(len(words))]
		}
		k.act("07:48 Harkwell writes: /cards")
		for range 400 {
			data := verbs[r.IntN(len(verbs))]
			for range r.IntN(6) {
				data += ":" + word()
			}
			if strings.HasPrefix(data, "v:") {
				data = strings.ReplaceAll(data, "hamstring", "12") // a forger's own words
			}
			if len(data) > 64 {
				continue
			}
			who := []string{"Harkwell", "Quintavale", "Larkfield", "Dunmarsh", "Farrowby"}[r.IntN(5)]
			k.press(k.must(who), data)
		}
		require.Empty(t, column(t, k.dir, `SELECT reason FROM quarantine`), "an update could not be handled")
		require.Empty(t, column(t, k.dir, `SELECT kind || ' ' || args FROM outbox WHERE reason LIKE '%could not be worded'`))
		for _, args := range column(t, k.dir, `SELECT args FROM outbox`) {
			for _, region := range prescribe.Regions() {
				require.NotContains(t, args, string(region), "the outbox names a place of the body")
			}
		}
	})
}

// Any exercise of the library fits a button beside large ids.
func TestLongestButtons(t *testing.T) {
	for _, ex := range prescribe.Library() {
		require.LessOrEqual(t, len(bot.EditValueTap(9_999_999, 99, 99, string(ex.ID))), 64)
		require.LessOrEqual(t, len(bot.ExerciseTap(ex.ID)), 64)
	}
	for _, region := range prescribe.Regions() {
		require.LessOrEqual(t, len(bot.HoldTap(9_999_999, string(region))), 64)
	}
}

func TestLoadsWritten(t *testing.T) {
	for text, want := range map[string]prescribe.Kg{"100": 100, "102,5 kg": 102.5, "102.5kg": 102.5, " 60 KG ": 60, "0": 0} {
		got, ok := bot.LoadText(text)
		require.True(t, ok, text)
		require.InDelta(t, float64(want), float64(got), 1e-9, text)
	}
	// The international pound is exactly 0.45359237 kg (agreement of 1959).
	got, ok := bot.LoadText("225 lb")
	require.True(t, ok)
	require.InDelta(t, 102.05828325, float64(got), 1e-9)
	for _, text := range []string{"", "heavy", "-5", "601", "1400 lb", "NaN", "1e9", "Inf"} {
		_, ok := bot.LoadText(text)
		require.False(t, ok, text)
	}
}

func TestPowerWritten(t *testing.T) {
	inertia, power, ok := bot.PowerText("flywheel squat inertia 0,05 power 520")
	require.True(t, ok)
	require.InDelta(t, 0.05, float64(inertia), 1e-12)
	require.InDelta(t, 520.0, float64(power), 1e-12)
	_, _, ok = bot.PowerText("back squat 120.5x3")
	require.False(t, ok)
}

// A player whose time in the squad is over, or has not begun, is still read: a
// warning sign reaches medical staff, whichever squad's.
func TestWarningOfAPlayerInNoSquad(t *testing.T) {
	dir := t.TempDir()
	s, err := store.Open(t.Context(), store.Options{Dir: dir, Rand: rand.NewChaCha8([32]byte{1})})
	require.NoError(t, err)
	in, problems := clubfile.Read(democlub.Files, clubfile.Options{Now: democlub.Start()})
	require.Empty(t, problems)
	in.Players = slices.DeleteFunc(in.Players, func(p store.PlayerRow) bool { return p.Key != "1" && p.Key != "2" })
	in.Players[0].Until = prescribe.DayOf(tuesday(0, 0))
	in.Tests, in.Minutes = nil, nil
	res, err := s.Import(t.Context(), in, prescribe.InstantOf(democlub.Start()), false)
	require.NoError(t, err)
	require.Empty(t, res.Problems)
	require.NoError(t, s.Close())

	synctest.Test(t, func(t *testing.T) {
		k := staffTalk(t, dir, tuesday(12, 0), "Farrowby", "Quintavale", "Oosterling")
		k.act("2026-03-12 12:00")
		k.news(io.Discard)
		k.act("12:00 Farrowby writes: I fainted")
		k.act("12:05 Quintavale taps [Read, I take care]")
		var said strings.Builder
		k.news(&said)
		require.Contains(t, said.String(), "Warning sign: fainting")
		require.Contains(t, said.String(), "Dr Ines Quintavale (medical staff) has read your message at 12:05")
	})
}

// An urgent alert that nobody takes goes on, but ever more slowly: counted here
// over a day.
func TestUrgentRepeatsSlowDown(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k := staffTalk(t, clubOf(t, "Farrowby"), tuesday(12, 0), "Farrowby", "Quintavale")
		k.act("12:00 Farrowby writes: I fainted")
		require.NoError(t, k.bot.Move(t.Context(), tuesday(12, 0).Add(24*time.Hour), k.set))
		n, firstHour := 0, 0
		for _, m := range k.chat.Transcript(account(k.must("Quintavale"))) {
			if !m.FromBot() || !strings.Contains(m.Text, "Warning sign") {
				continue
			}
			n++
			if time.Unix(m.Date, 0).Before(tuesday(13, 0)) {
				firstHour++
			}
		}
		require.Equal(t, 6, firstHour, "at once, then every 10 minutes")
		require.Greater(t, n, 20)
		require.Less(t, n, 40)
	})
}
