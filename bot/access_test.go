package bot_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/synctest"

	"github.com/stretchr/testify/require"

	"pegcard/bot"
	"pegcard/bot/localchat"
	"pegcard/bot/telegram"
	"pegcard/prescribe"
	"pegcard/store"
)

// accessFile says for every command, button and page what each kind of person
// gets; its head explains the marks.
var accessFile = filepath.Join("..", "testdata", "access.txt")

// accessRow is a line of it: updates of one person, of which the last counts.
type accessRow struct {
	state string // in which a "yes" must be a yes
	steps []string
	cells []string // beside the columns
}

func (r accessRow) name() string { return strings.Join(r.steps, " ; ") }

// readAccess reads the file: the columns, and a line a row.
func readAccess(t *testing.T) (columns []string, rows []accessRow) {
	text, err := os.ReadFile(accessFile)
	require.NoError(t, err)
	state := ""
	for n, l := range strings.Split(string(text), "\n") {
		l = strings.TrimSpace(l)
		switch {
		case l == "" || strings.HasPrefix(l, "#"):
			continue
		case strings.HasPrefix(l, "state "):
			state = strings.TrimPrefix(l, "state ")
			continue
		}
		what, cells, ok := strings.Cut(l, "|")
		require.True(t, ok, "%s:%d: no | between what is sent and the cells", accessFile, n+1)
		fields := strings.Fields(cells)
		if strings.TrimSpace(what) == "what is sent" {
			columns = fields
			continue
		}
		require.Len(t, fields, len(columns), "%s:%d: a cell for each column", accessFile, n+1)
		require.NotEmpty(t, state, "%s:%d: before a state", accessFile, n+1)
		var steps []string
		for _, s := range strings.Split(what, " ; ") {
			steps = append(steps, strings.TrimSpace(s))
		}
		rows = append(rows, accessRow{state, steps, fields})
	}
	return columns, rows
}

// Every command, every kind of button and every page a button may open has its
// line, and the file names none that is not there.
func TestAccessIsComplete(t *testing.T) {
	_, rows := readAccess(t)
	have := map[string]bool{}
	for _, r := range rows {
		last := r.steps[len(r.steps)-1]
		if last == "/nosuch" || strings.HasPrefix(last, `"`) {
			continue // neither a command nor a button
		}
		if name, ok := strings.CutPrefix(last, "/"); ok {
			name, _, _ = strings.Cut(name, " ")
			have["/"+name] = true
			continue
		}
		parts := strings.Split(last, ":")
		have[parts[0]] = true
		if parts[0] == "v" {
			have["v:"+parts[1]] = true
		}
	}
	want := map[string]bool{}
	for _, c := range bot.CommandNames() {
		want["/"+c] = true
	}
	for _, v := range bot.TapVerbs() {
		want[v] = true
	}
	for _, p := range bot.TappablePages() {
		want["v:"+p] = true
	}
	for name := range want {
		require.True(t, have[name], "%s has no line in %s: say what each kind of person gets", name, accessFile)
	}
	for name := range have {
		require.True(t, want[name], "%s names %s, which is neither a command nor a button nor a page", accessFile, name)
	}
}

// accessPeople says who stands for each column. Farrowby is the player whom it
// is all about.
var accessPeople = map[string]struct {
	name  string
	group bool
}{
	"self":       {name: "Farrowby"},
	"mate":       {name: "Marrowstone"},
	"youth":      {name: "Brightwater"},
	"unagreed":   {name: "Oldcastle"},
	"former":     {name: "Pellworth"},
	"stranger":   {},
	"coach":      {name: "Harkwell"},
	"coach2":     {name: "Wexcombe"},
	"medic":      {name: "Quintavale"},
	"medic2":     {name: "Sallowfield"},
	"head":       {name: "Ashcombe-Rey"},
	"safe":       {name: "Dunmarsh"},
	"admin":      {name: "Larkfield"},
	"self@g":     {name: "Farrowby", group: true},
	"coach@g":    {name: "Harkwell", group: true},
	"medic@g":    {name: "Quintavale", group: true},
	"stranger@g": {group: true},
}

// strangerAccount is an account that nobody of the club has.
const strangerAccount = 9009

// access is the club in which the lines of the file are played.
type access struct {
	*talk
	group  int64
	n      int
	before map[int64]string // person → print, in the state that is played
}

// An authorisation matrix: every command and button, by every role, by
// strangers, former players, another squad's staff and in a group, in each
// state of the card and the alert. A button's data is written by hand here, as
// a forger would. Each is handled whole and taken back.
func TestAccess(t *testing.T) {
	columns, rows := readAccess(t)
	template := clubWith(t, []string{"1", "11", "14", "18", "20", "a5"}, youthStaff)
	synctest.Test(t, func(t *testing.T) {
		k := &access{talk: newTalk(t, template, tuesday(17, 0))}
		var members []int64
		for i := range k.people {
			if k.name(i) != "Tanglemere" { // has an invitation coming
				k.join(i)
				members = append(members, account(i))
			}
		}
		var err error
		k.group, err = k.chat.AddGroup(localchat.Group{Title: "Staff room", Members: members})
		require.NoError(t, err)
		k.run()
		k.settle()
		k.act("Pellworth writes: /leave")
		k.act("Pellworth taps [Leave]")
		k.unconsent(k.must("Oldcastle"))

		var wrong []string
		checked := 0
		check := func(state string) {
			k.before = map[int64]string{}
			for n, r := range rows {
				if testing.Short() && n%3 != 0 {
					continue // the short form runs under the race detector
				}
				for i, col := range columns {
					// A stranger's answer hangs on no state.
					elsewhere := state != r.state
					if elsewhere && (testing.Short() || r.cells[i] == "yes" || slices.Contains([]string{"former", "stranger", "stranger@g"}, col)) {
						continue
					}
					got := k.probe(r, col)
					checked++
					// What is refused is refused in every state; what is given need be
					// given in the line's own state only.
					if want := r.cells[i]; got != want {
						wrong = append(wrong, fmt.Sprintf("%s, %s, %s: got %s, want %s", state, r.name(), col, got, want))
					}
				}
			}
		}
		// Evening: tomorrow's cards wait for the coach.
		require.NoError(t, k.bot.Move(t.Context(), tuesday(18, 5), k.set))
		check("evening")
		// Morning: the cards are out, and one alert is open.
		require.NoError(t, k.bot.Move(t.Context(), tuesday(7, 50).AddDate(0, 0, 1), k.set))
		k.act("08:00 Farrowby writes: left hamstring pain 6")
		check("morning")
		if !testing.Short() {
			k.act("08:10 Farrowby taps [None, in the muscle]")
			k.act("08:11 Quintavale taps [Read, I take care]")
			k.act("08:20 Farrowby taps [Done as written]")
			check("done")
		}
		require.Empty(t, wrong, "%d of %d cells", len(wrong), checked)
	})
}

// unconsent takes a person's consent back, as if they had joined only.
func (k *talk) unconsent(i int) {
	require.NoError(k.t, k.store.Write(k.t.Context(), func(tx *store.Tx) error {
		return tx.WithdrawConsent(k.people[i].ID, prescribe.InstantOf(k.Now()))
	}))
}

// probe plays a line for a column and gives the mark for it.
func (k *access) probe(r accessRow, column string) string {
	p, ok := accessPeople[column]
	require.True(k.t, ok, "nobody stands for the column %q", column)
	user, person := int64(strangerAccount), int64(0)
	if p.name != "" {
		i := k.must(p.name)
		user, person = account(i), k.people[i].ID
	}
	chat := user
	if p.group {
		chat = k.group
	}
	var steps []func(tx *store.Tx) telegram.Update
	for _, s := range r.steps {
		steps = append(steps, func(tx *store.Tx) telegram.Update { return k.sent(tx, s, user, chat) })
	}
	var prints []string
	got, err := k.bot.Probe(k.t.Context(), steps, func(tx *store.Tx) {
		if len(prints) > 0 || len(steps) > 1 {
			prints = append(prints, k.print(tx, person))
			return
		}
		// Every probe is taken back: before the first step all is as it was.
		if _, ok := k.before[person]; !ok {
			k.before[person] = k.print(tx, person)
		}
		prints = append(prints, k.before[person])
	})
	require.NoError(k.t, err, "%s by %s", r.name(), column)

	said := got.Said[chat]
	if got.Stranger != "" {
		said = []string{k.words.For("en").T(got.Stranger)}
		if p.group {
			said = nil // nobody is answered in a group who is nobody
		}
	}
	mark := k.mark(said, got)
	if mark != "yes" {
		changed := len(prints) == 2 && prints[0] != prints[1]
		require.False(k.t, changed, "%s by %s is refused and yet changes something", r.name(), column)
	}

	// Whatever is sent by whomever: nobody but the player and medical staff of
	// the squad reads where it hurts and how much.
	for to, texts := range got.Said {
		for _, text := range texts {
			if to == account(k.must("Farrowby")) || to == account(k.must("Quintavale")) || to == chat && person != 0 && r.own() {
				continue
			}
			for _, secret := range []string{"eft hamstring", "6/10"} {
				require.NotContains(k.t, text, secret, "%s by %s tells %d", r.name(), column, to)
			}
			if mark != "yes" {
				require.NotContains(k.t, text, "Edmund", "%s by %s is refused and yet names the player", r.name(), column)
			}
		}
	}
	return mark
}

// own: the words or the button themselves say where the sender hurts.
func (r accessRow) own() bool { return strings.Contains(r.name(), "hamstring") }

// mark says in one word what was answered.
func (k *access) mark(said []string, got bot.Probed) string {
	sp := k.words.For("en")
	if len(said) == 0 {
		return "-"
	}
	text := said[0]
	starts := func(ids ...string) bool {
		return slices.ContainsFunc(ids, func(id string) bool {
			head, _, _ := strings.Cut(sp.T(id), "\n")
			return strings.HasPrefix(text, head)
		})
	}
	switch {
	case got.Stranger == "error.stopped":
		return "left"
	case got.Stranger != "":
		return "who"
	case starts("error.group"):
		return "own"
	case starts("join.choose_language") || strings.Contains(text, sp.T("join.privacy_question")):
		return "ask"
	case starts("player.stale_button", "error.old_button", "error.not_found", "error.not_allowed", "error.unknown_command_short", "staff.player_none", "staff.invite_again", "player.undo_nothing"):
		return "no"
	}
	return "yes"
}

// print is what the club has on record of Farrowby and of the person that a
// handler could change.
func (k *access) print(tx *store.Tx, person int64) string {
	var b strings.Builder
	must := func(err error) { require.NoError(k.t, err) }
	day := prescribe.DayOf(tuesday(0, 0)) + 1
	for _, p := range k.people {
		if p.ID != person && k.people[k.must("Farrowby")].ID != p.ID {
			continue
		}
		now, err := tx.Person(p.ID)
		must(err)
		es, err := tx.Events(p.ID, day-40, day+40)
		must(err)
		cards, err := tx.Cards(p.ID, day-2, day+2)
		must(err)
		alerts, err := tx.AlertsOf(p.ID)
		must(err)
		consented, err := tx.Consented(p.ID)
		must(err)
		fmt.Fprintf(&b, "%+v %d %v", now, len(es), consented)
		for _, c := range cards {
			fmt.Fprintf(&b, " card %d.%d %s", c.ID, c.Rev, c.State)
		}
		for _, a := range alerts {
			fmt.Fprintf(&b, " alert %d %s", a.ID, a.State)
		}
		b.WriteString("\n")
	}
	squads, err := tx.Squads()
	must(err)
	for _, s := range squads {
		fs, err := tx.Fixtures(s.ID, day-40, day+80)
		must(err)
		fmt.Fprintf(&b, "%+v\n", fs)
	}
	return b.String()
}

// sent is a line's step as an update. {player}, {card}, {rev}, {alert},
// {squad}, {day}, {fixture} and {entry} are those of Farrowby; {asked} is when
// the chat was asked its question.
func (k *access) sent(tx *store.Tx, s string, user, chat int64) telegram.Update {
	k.n++
	var u telegram.Update
	must := func(err error) { require.NoError(k.t, err) }
	if strings.Contains(s, "{") {
		target := k.people[k.must("Farrowby")].ID
		now := prescribe.InstantOf(k.Now())
		today, err := tx.Today(target, now)
		must(err)
		day := prescribe.DayOf(tuesday(0, 0)) + 1
		set := map[string]any{"player": target, "day": day, "alert": 0, "card": 0, "rev": 0, "entry": 0, "asked": int64(now), "notice": bot.NoticeVersion, "youth": k.people[k.must("Brightwater")].ID, "new": k.people[k.must("Tanglemere")].ID}
		if c, ok, err := tx.Card(target, day); ok {
			must(err)
			set["card"], set["rev"] = c.ID, c.Rev
		}
		as, err := tx.AlertsOf(target)
		must(err)
		if len(as) > 0 {
			set["alert"] = as[len(as)-1].ID
		}
		sq, err := tx.SquadBySlug("first")
		must(err)
		set["squad"] = sq.ID
		fs, err := tx.Fixtures(sq.ID, today, today+30)
		must(err)
		set["fixture"] = fs[0].ID
		if e, err := tx.LastEntry(target, "msg:"); err == nil {
			set["entry"] = e.ID
		}
		if strings.Contains(s, "{looked}") {
			set["looked"], err = k.bot.LookHash(tx, k.people[k.must("Harkwell")].ID, sq.ID, day)
			must(err)
		}
		if d, ok, err := tx.Dialog(chat); ok {
			must(err)
			set["asked"] = int64(d.Asked)
			var q struct {
				Seq int `json:"seq"`
			}
			_ = json.Unmarshal(d.Args, &q) // not every question has one
			set["seq"] = q.Seq
		}
		for name, v := range set {
			s = strings.ReplaceAll(s, "{"+name+"}", fmt.Sprint(v))
		}
	}
	where := map[string]any{"id": chat, "type": "private"}
	if chat < 0 {
		where["type"] = "group"
	}
	from := map[string]any{"id": user, "language_code": "en"}
	m := map[string]any{"message_id": 500_000 + k.n, "date": k.Now().Unix(), "chat": where}
	body := map[string]any{"update_id": 2_000_000 + k.n}
	if strings.HasPrefix(s, "/") || strings.HasPrefix(s, `"`) {
		if text, err := strconv.Unquote(s); err == nil {
			s = text
		}
		m["text"], m["from"] = s, from
		body["message"] = m
	} else {
		body["callback_query"] = map[string]any{"id": fmt.Sprint("probe", k.n), "from": from, "data": s, "message": m}
	}
	raw, err := json.Marshal(body)
	must(err)
	must(json.Unmarshal(raw, &u))
	return u
}
