package bot_test

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"image"
	"image/png"
	"io"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
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

// A dialogue is a chat that can be read as one. Lines at the left margin are
// what happens; lines that begin with a space are what the bot answers, whole.
//
//	# Comments, and what the dialogue shows.
//	now: 2026-03-10 07:00
//	players: Farrowby                   only these are in the club: quicker; without it, all
//	joined: Farrowby, Harkwell          people who have joined and agreed before
//	group: Staff room: Harkwell, Quintavale
//
//	07:30                               the clock moves; what falls due happens on the way
//	2026-03-11 07:30                    the same, to another day
//	07:41 Farrowby taps [Done as written]
//	07:41 Farrowby taps [3] on "how many more"    under the last message with these words
//	07:41 Farrowby taps [3] again       the same tap under another id
//	07:42 Farrowby writes: 3x5 100      \n is a new line
//	07:42 Harkwell writes in Staff room: /squad
//	07:43 Farrowby edits: 3x5 102.5     the last message of theirs
//	07:44 Farrowby opens the link       the last invitation link the bot has shown
//	07:44 Farrowby opens the link of Ashgrove      the last code that let Ashgrove in
//	07:44 Farrowby opens an invitation  one made for them outside the chat
//	07:44 Farrowby opens an invitation on a new phone
//	07:44 Farrowby scans the sheet      the code for them on the last sheet of invitations; "the first sheet"
//	07:44 the guardian of Netherfield agrees
//	07:44 Farrowby starts: CODE
//	07:45 Farrowby sends a voice message | a sticker | a photo | a video
//	07:45 Farrowby sends a video: caption
//	07:45 Harkwell sends minutes.csv: player,date,minutes\n9,2026-03-07,75
//	07:46 Farrowby blocks the bot | unblocks the bot
//	07:46 the bot stops                 what people do now waits
//	07:50 the bot starts
//	07:47 the records of Farrowby       what stands on record for today
//	07:47 the records of Farrowby, yesterday
//
// People are named by the last word of their name, or by their key. Times are
// those of the club. Run the tests with -update to write the answers anew, and
// read what changed.
var update = flag.Bool("update", false, "write the answers of the dialogues anew")

func TestDialogues(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("..", "testdata", "dialogues", "*.txt"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for i, file := range files {
		if testing.Short() && i%4 != 0 {
			continue // the short form, under the race detector, plays every fourth
		}
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txt"), func(t *testing.T) {
			t.Parallel()
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			var got string
			synctest.Test(t, func(t *testing.T) { got = converse(t, string(text)) })
			if *update {
				require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
				return
			}
			require.Equal(t, string(text), got, "the answers differ; run with -update and read the difference")
		})
	}
}

// clubs are the folders of stores with the demo club in them, each imported
// once, by the players that are in it.
var clubs = struct {
	sync.Mutex
	dirs map[string]string
}{dirs: map[string]string{}}

// clubOf is the folder of a store with the demo club in it: whole, or only the
// players of those names.
func clubOf(t *testing.T, names ...string) string {
	clubs.Lock()
	defer clubs.Unlock()
	key := strings.Join(names, ",")
	if dir, ok := clubs.dirs[key]; ok {
		return dir
	}
	dir, err := os.MkdirTemp("", "club")
	require.NoError(t, err)
	found := 0
	importClub(t, dir, func(p store.PlayerRow) bool {
		words := strings.Fields(p.Name)
		in := len(names) == 0 || slices.Contains(names, words[len(words)-1])
		if in {
			found++
		}
		return in
	})
	require.GreaterOrEqual(t, found, max(1, len(names)), "not all of %v play for the club", names)
	clubs.dirs[key] = dir
	return dir
}

func importClub(t *testing.T, dir string, plays func(store.PlayerRow) bool) {
	s, err := store.Open(context.Background(), store.Options{Dir: dir, Rand: rand.NewChaCha8([32]byte{1})})
	require.NoError(t, err)
	in, problems := clubfile.Read(democlub.Files, clubfile.Options{Now: democlub.Start()})
	require.Empty(t, problems)
	in.Players = slices.DeleteFunc(in.Players, func(p store.PlayerRow) bool { return !plays(p) })
	has := map[string]bool{}
	for _, p := range in.Players {
		has[p.Key] = true
	}
	in.Tests = slices.DeleteFunc(in.Tests, func(r store.TestRow) bool { return !has[r.Player] })
	in.Minutes = slices.DeleteFunc(in.Minutes, func(r store.MinutesRow) bool { return !has[r.Player] })
	res, err := s.Import(context.Background(), in, prescribe.InstantOf(democlub.Start()), false)
	require.NoError(t, err)
	require.Empty(t, res.Problems)
	require.NoError(t, s.Close())
}

func TestMain(m *testing.M) {
	code := m.Run()
	for _, dir := range clubs.dirs {
		os.RemoveAll(dir)
	}
	os.Exit(code)
}

// talk is a dialogue being played.
type talk struct {
	t      *testing.T
	store  *store.Store
	chat   *localchat.Server
	bot    *bot.Bot
	stop   func() // nil while the bot is down
	client *telegram.Client
	words  *wording.Catalogue
	loc    *time.Location

	mu  sync.Mutex
	now time.Time

	dir    string
	people []store.Person
	groups map[string]int64
	phones []int64                  // chats of new phones
	seen   map[int64]map[int]string // chat → message → as shown
	taps   map[int64]tapDone        // chat → the last tap
	codes  map[int]string           // the last invitation of each person
	out    strings.Builder
	// pressed counts the taps that were not made in the chat.
	pressed int
}

type tapDone struct {
	message int
	data    string
}

func (k *talk) Now() time.Time {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.now
}

func (k *talk) set(_ context.Context, to time.Time) error {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.now = to
	return nil
}

// newTalk opens a copy of the club and the bot beside a chat server, with
// everybody's account in it. It runs inside a synctest bubble: pauses between
// messages take no time.
func newTalk(t *testing.T, template string, now time.Time) *talk {
	k := &talk{t: t, now: now, loc: now.Location(), groups: map[string]int64{}, seen: map[int64]map[int]string{}, taps: map[int64]tapDone{}, codes: map[int]string{}}
	dir := filepath.Join(t.TempDir(), "data")
	k.dir = dir
	require.NoError(t, os.CopyFS(dir, os.DirFS(template)))
	var err error
	k.store, err = store.Open(t.Context(), store.Options{Dir: dir, Rand: rand.NewChaCha8([32]byte{2})})
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, k.store.Close()) })
	k.words = words(t)
	k.chat = localchat.New(localchat.Options{Token: "7000000001:dialogue-secret", BotName: "Pegs", BotUsername: "pegs_bot", Now: k.Now, Zone: k.loc})
	client, err := telegram.NewClient(telegram.Config{Token: k.chat.Token(), Endpoint: "http://chat.invalid", Transport: k.chat.Transport()})
	require.NoError(t, err)
	k.client = client
	k.people = k.everybody()
	for i, p := range k.people {
		require.NoError(t, k.chat.AddPerson(localchat.Person{ID: account(i), FirstName: strings.Fields(p.Name)[0], LanguageCode: p.Language}))
	}
	return k
}

var loaded struct {
	sync.Once
	words *wording.Catalogue
	err   error
}

func words(t *testing.T) *wording.Catalogue {
	loaded.Do(func() { loaded.words, loaded.err = wording.Load() })
	require.NoError(t, loaded.err)
	return loaded.words
}

// run runs the bot until the test ends.
func (k *talk) run() {
	k.start()
	k.t.Cleanup(func() {
		k.halt()
		k.chat.Close()
	})
}

func (k *talk) start() {
	k.bot = bot.New(bot.Config{Store: k.store, Client: k.client, Words: k.words, Now: k.Now, Logger: testLogger(k.t)})
	ctx, cancel := context.WithCancel(k.t.Context())
	done := make(chan error, 1)
	go func() { done <- k.bot.Run(ctx) }()
	k.stop = func() {
		cancel()
		require.NoError(k.t, <-done)
	}
}

func (k *talk) halt() {
	if k.stop != nil {
		k.stop()
		k.stop = nil
	}
}

func account(i int) int64 { return int64(1001 + i) }

// everybody is players by key, then staff by key.
func (k *talk) everybody() []store.Person {
	var out []store.Person
	have := map[int64]bool{}
	add := func(ps []store.Person) {
		for _, p := range ps {
			if !have[p.ID] {
				have[p.ID] = true
				out = append(out, p)
			}
		}
	}
	day := prescribe.DayOf(k.now)
	require.NoError(k.t, k.store.Read(k.t.Context(), func(tx *store.Tx) error {
		squads, err := tx.Squads()
		if err != nil {
			return err
		}
		for _, s := range slices.Backward(squads) {
			members, err := tx.Members(s.ID, day)
			if err != nil {
				return err
			}
			add(members)
		}
		for _, s := range squads {
			for _, r := range []store.Role{store.RoleCoach, store.RoleMedical, store.RoleHeadCoach, store.RoleSafeguarding, store.RoleAdmin} {
				staff, err := tx.Staff(s.ID, r, day)
				if err != nil {
					return err
				}
				add(staff)
			}
		}
		return nil
	}))
	return out
}

// who finds a person by the last word of the name or by the key.
func (k *talk) who(name string) (i int, ok bool) {
	for i, p := range k.people {
		words := strings.Fields(p.Name)
		if strings.EqualFold(words[len(words)-1], name) || p.Key == name {
			return i, true
		}
	}
	return 0, false
}

func (k *talk) must(name string) int {
	i, ok := k.who(strings.TrimSpace(name))
	require.True(k.t, ok, "nobody in the club is called %q", name)
	return i
}

func (k *talk) name(i int) string {
	words := strings.Fields(k.people[i].Name)
	return words[len(words)-1]
}

// join lets somebody in as if they had joined and agreed long ago.
func (k *talk) join(i int) {
	now := prescribe.InstantOf(k.Now().Add(-48 * time.Hour))
	require.NoError(k.t, k.store.Write(k.t.Context(), func(tx *store.Tx) error {
		code, err := tx.Invite(k.people[i].ID, 0, now, now+1000)
		if err != nil {
			return err
		}
		if _, err := tx.Join(code, account(i), account(i), now); err != nil {
			return err
		}
		if missing, err := tx.GuardianMissing(k.people[i].ID, now); err != nil {
			return err
		} else if missing {
			if err := tx.GuardianConsent(k.people[i].ID, 0, now); err != nil {
				return err
			}
		}
		return tx.Consent(k.people[i].ID, bot.NoticeVersion, k.people[i].Language, now)
	}))
	_, err := k.chat.Start(account(i), "")
	require.NoError(k.t, err)
}

// settle lets the bot do all there is to do now. What it sends past the outbox
// may be on its way yet.
func (k *talk) settle() {
	if k.stop == nil {
		return
	}
	require.NoError(k.t, k.bot.Move(k.t.Context(), k.Now(), k.set))
	synctest.Wait()
}

// converse plays a dialogue and gives it back with the answers of now.
func converse(t *testing.T, text string) string {
	loc, err := time.LoadLocation(democlub.Zone)
	require.NoError(t, err)
	lines := strings.Split(strings.TrimRight(text, "\n"), "\n")
	header := map[string][]string{}
	body := 0
	for i, l := range lines {
		if key, value, ok := strings.Cut(l, ": "); ok && slices.Contains([]string{"now", "players", "joined", "group"}, key) {
			header[key] = append(header[key], value)
			body = i + 1
		}
	}
	require.Len(t, header["now"], 1, "a dialogue says at what time it begins: now: 2026-03-10 07:00")
	now, err := time.ParseInLocation("2006-01-02 15:04", header["now"][0], loc)
	require.NoError(t, err)

	var only []string
	if len(header["players"]) > 0 {
		only = strings.Split(header["players"][0], ", ")
	}
	template := clubOf(t, only...)
	k := newTalk(t, template, now)
	for _, l := range header["joined"] {
		for _, name := range strings.Split(l, ",") {
			k.join(k.must(name))
		}
	}
	for _, l := range header["group"] {
		title, names, _ := strings.Cut(l, ":")
		var members []int64
		for _, name := range strings.Split(names, ",") {
			members = append(members, account(k.must(name)))
		}
		id, err := k.chat.AddGroup(localchat.Group{Title: title, Members: members})
		require.NoError(t, err)
		k.groups[title] = id
	}
	k.run()
	k.settle()
	k.news(io.Discard) // what /start of those who have joined was answered

	for _, l := range lines[:body] {
		fmt.Fprintln(&k.out, l)
	}
	blank := body < len(lines)
	for _, l := range lines[body:] {
		switch {
		case strings.HasPrefix(l, " ") || l == "":
			continue // an answer of the last time
		case strings.HasPrefix(l, "#"):
			fmt.Fprintf(&k.out, "\n%s\n", l)
			blank = false
			continue
		}
		if blank {
			fmt.Fprintln(&k.out)
		}
		fmt.Fprintln(&k.out, l)
		k.act(l)
		k.news(&k.out)
		blank = true
	}
	return k.out.String()
}

// act does one line.
func (k *talk) act(line string) {
	k.t.Helper()
	rest := k.clock(line)
	if rest == "" {
		return
	}
	switch rest {
	case "the bot stops":
		k.halt()
		return
	case "the bot starts":
		k.start()
		k.settle()
		return
	}
	if name, ok := strings.CutPrefix(rest, "the records of "); ok {
		name, yesterday := strings.CutSuffix(name, ", yesterday")
		if yesterday {
			k.records(k.must(name), 1)
		} else {
			k.records(k.must(name), 0)
		}
		return
	}
	if name, ok := strings.CutPrefix(rest, "the guardian of "); ok {
		k.guardian(k.must(strings.TrimSuffix(name, " agrees")))
		return
	}
	who, what, _ := strings.Cut(rest, " ")
	i := k.must(who)
	id := account(i)
	var err error
	head, said, _ := strings.Cut(what, ": ")
	said = strings.ReplaceAll(said, `\n`, "\n")
	switch {
	case strings.HasPrefix(what, "taps ["):
		k.tap(i, strings.TrimPrefix(what, "taps "))
	case head == "writes":
		_, err = k.chat.Say(id, id, said)
	case strings.HasPrefix(head, "writes in "):
		_, err = k.chat.Say(id, k.group(strings.TrimPrefix(head, "writes in ")), said)
	case head == "edits":
		_, err = k.chat.Edit(id, id, k.lastOf(id), said)
	case head == "starts":
		_, err = k.chat.Start(id, said)
	case what == "opens the link":
		_, err = k.chat.Start(id, k.link())
	case strings.HasPrefix(what, "opens the link of "):
		_, err = k.chat.Start(id, k.codes[k.must(strings.TrimPrefix(what, "opens the link of "))])
	case what == "scans the sheet", what == "scans the first sheet":
		_, err = k.chat.Start(id, k.scanned(i, what == "scans the first sheet"))
	case what == "opens an invitation":
		_, err = k.chat.Start(id, k.invite(i))
	case what == "opens an invitation on a new phone":
		phone := account(len(k.people) + i)
		require.NoError(k.t, k.chat.AddPerson(localchat.Person{ID: phone, FirstName: who, LanguageCode: "en"}))
		k.phones = append(k.phones, phone)
		_, err = k.chat.Start(phone, k.invite(i))
	case what == "sends a voice message":
		_, err = k.chat.SendVoiceFrom(id, id, 4)
	case what == "sends a sticker":
		_, err = k.chat.SendStickerFrom(id, id, "💪")
	case head == "sends a video" || what == "sends a video":
		caption := ""
		if head == "sends a video" {
			caption = said
		}
		_, err = k.chat.SendVideoFrom(id, id, 6, caption)
	case what == "sends a photo":
		_, err = k.chat.SendPhotoFrom(id, id, picture(), "")
	case strings.HasPrefix(head, "sends "):
		_, err = k.chat.SendDocumentFrom(id, id, strings.TrimPrefix(head, "sends "), []byte(said), "")
	case what == "blocks the bot":
		_, err = k.chat.Block(id)
	case what == "unblocks the bot":
		_, err = k.chat.Unblock(id)
	default:
		k.t.Fatalf("%q is nothing that people do in a dialogue", line)
	}
	require.NoError(k.t, err, "%q", line)
	k.settle()
}

// clock moves the clock to the time at the start of a line, if there is one,
// else by a second, and gives the rest of the line.
func (k *talk) clock(line string) string {
	to, rest := k.Now().Add(time.Second), line
	for _, layout := range []string{"2006-01-02 15:04", "15:04"} {
		if len(line) < len(layout) {
			continue
		}
		at, err := time.ParseInLocation(layout, line[:len(layout)], k.loc)
		if err != nil {
			continue
		}
		if layout == "15:04" {
			y, m, d := k.Now().In(k.loc).Date()
			at = time.Date(y, m, d, at.Hour(), at.Minute(), 0, 0, k.loc)
		}
		if at.After(k.Now()) {
			to = at
		}
		require.False(k.t, at.Before(k.Now().Truncate(time.Minute)), "%q: the clock does not go back", line)
		rest = strings.TrimSpace(line[len(layout):])
		break
	}
	if k.stop == nil || to.Sub(k.Now()) < time.Minute {
		// Nothing falls due within a minute that the next settling does not find.
		require.NoError(k.t, k.set(k.t.Context(), to))
		return rest
	}
	require.NoError(k.t, k.bot.Move(k.t.Context(), to, k.set))
	synctest.Wait()
	return rest
}

func (k *talk) group(title string) int64 {
	id, ok := k.groups[title]
	require.True(k.t, ok, "there is no group %q", title)
	return id
}

// tap presses "[Label]", perhaps `on "words of the message"` or "again".
func (k *talk) tap(i int, what string) {
	end := strings.LastIndex(what, "]")
	label, rest := what[1:end], strings.TrimSpace(what[end+1:])
	chat := account(i)
	if in, ok := strings.CutPrefix(rest, "in "); ok {
		chat, rest = k.group(in), ""
	}
	if rest == "again" {
		last := k.taps[chat]
		_, err := k.chat.Tap(account(i), chat, last.message, last.data)
		require.NoError(k.t, err)
		return
	}
	words := strings.Trim(strings.TrimPrefix(rest, "on "), `"`)
	for _, m := range slices.Backward(k.chat.Transcript(chat)) {
		if !m.FromBot() || !strings.Contains(m.Text, words) {
			continue
		}
		for _, b := range m.Buttons() {
			if b.Text == label {
				_, err := k.chat.Tap(account(i), chat, m.MessageID, b.CallbackData)
				require.NoError(k.t, err)
				k.taps[chat] = tapDone{m.MessageID, b.CallbackData}
				return
			}
		}
	}
	k.t.Fatalf("%s has no button [%s]; the chat:\n%s", k.name(i), label, k.out.String())
}

// lastOf is the last message a person wrote to the bot.
func (k *talk) lastOf(id int64) int {
	for _, m := range slices.Backward(k.chat.Transcript(id)) {
		if !m.FromBot() && m.Text != "" {
			return m.MessageID
		}
	}
	k.t.Fatal("there is nothing to edit")
	return 0
}

// link is the code of the last invitation link in any chat.
func (k *talk) link() string {
	var code string
	var at int64
	for i := range k.people {
		for _, m := range k.chat.Transcript(account(i)) {
			if _, after, ok := strings.Cut(m.Text, "?start="); ok && m.Date >= at {
				code, at = strings.FieldsFunc(after, func(r rune) bool { return r == ' ' || r == '\n' })[0], m.Date
			}
		}
	}
	require.NotEmpty(k.t, code, "no invitation link was shown")
	return code
}

// scanned is the code for a person on the first or the newest sheet of
// invitations, read off its QR code.
func (k *talk) scanned(i int, first bool) string {
	files := map[string]bool{} // ids, which the server numbers in order
	for p := range k.people {
		for _, m := range k.chat.Transcript(account(p)) {
			if m.Document != nil && strings.HasPrefix(m.Document.FileName, "invitations-") {
				files[m.Document.FileID] = true
			}
		}
	}
	require.NotEmpty(k.t, files, "there is no sheet")
	ids := slices.Sorted(maps.Keys(files))
	id := ids[len(ids)-1]
	if first {
		id = ids[0]
	}
	_, page, ok := k.chat.File(id)
	require.True(k.t, ok)
	_, code, ok := strings.Cut(readStrip(k.t, page, k.people[i].Name), "?start=")
	require.True(k.t, ok)
	return code
}

func (k *talk) invite(i int) (code string) {
	now := prescribe.InstantOf(k.Now())
	require.NoError(k.t, k.store.Write(k.t.Context(), func(tx *store.Tx) (err error) {
		code, err = tx.Invite(k.people[i].ID, 0, now, now+7*24*3600*1000)
		return err
	}))
	k.codes[i] = code
	return code
}

// guardian records what the administrator does outside the chat.
func (k *talk) guardian(i int) {
	now := prescribe.InstantOf(k.Now())
	require.NoError(k.t, k.store.Write(k.t.Context(), func(tx *store.Tx) error {
		if err := tx.GuardianConsent(k.people[i].ID, 0, now); err != nil {
			return err
		}
		_, _, err := tx.Enqueue(bot.GuardianAgreed(k.people[i].ID, now))
		return err
	}))
	k.bot.Changed()
	k.settle()
}

// news writes what the bot has said or changed since the last time, chat by
// chat in the order of the club's people.
func (k *talk) news(w io.Writer) {
	show := func(chat int64, name string) {
		if k.seen[chat] == nil {
			k.seen[chat] = map[int]string{}
		}
		for _, m := range k.chat.Transcript(chat) {
			if !m.FromBot() {
				continue
			}
			s := shown(m)
			was, old := k.seen[chat][m.MessageID]
			if old && was == s {
				continue
			}
			k.seen[chat][m.MessageID] = s
			verb := "bot"
			if old {
				verb = "bot (in place of an earlier message)"
			}
			fmt.Fprintf(w, "\n  %s → %s:\n%s", verb, name, s)
		}
	}
	for i := range k.people {
		show(account(i), k.name(i))
	}
	for _, p := range k.phones {
		show(p, "the new phone")
	}
	titles := make([]string, 0, len(k.groups))
	for t := range k.groups {
		titles = append(titles, t)
	}
	slices.Sort(titles)
	for _, t := range titles {
		show(k.groups[t], t)
	}
}

// shown is a message as a reader sees it.
func shown(m localchat.Message) string {
	var b strings.Builder
	text := m.Text
	if m.Document != nil {
		text = "(file " + m.Document.FileName + ")"
		if m.Caption != "" {
			text += "\n" + m.Caption
		}
	}
	if m.Video != nil {
		text = strings.TrimRight("(video) "+m.Caption, " ")
	}
	if len(m.Photo) > 0 {
		text = "(picture)\n" + m.Caption
	}
	for _, l := range strings.Split(text, "\n") {
		b.WriteString(strings.TrimRight("    | "+l, " ") + "\n")
	}
	if m.ReplyMarkup != nil {
		for _, row := range m.ReplyMarkup.Rows {
			b.WriteString("   ")
			for _, x := range row {
				b.WriteString(" [" + x.Text + "]")
				if x.URL != "" {
					b.WriteString("(" + x.URL + ")")
				}
			}
			b.WriteString("\n")
		}
	}
	return b.String()
}

// records writes what stands on record for a person's day.
func (k *talk) records(i int, ago prescribe.Day) {
	now := prescribe.InstantOf(k.Now())
	fmt.Fprintln(&k.out)
	require.NoError(k.t, k.store.Read(k.t.Context(), func(tx *store.Tx) error {
		day, err := tx.Today(k.people[i].ID, now)
		if err != nil {
			return err
		}
		day -= ago
		es, err := tx.Events(k.people[i].ID, day, day)
		if err != nil {
			return err
		}
		for _, e := range es {
			fmt.Fprintf(&k.out, "    = %s\n", recorded(e))
		}
		if len(es) == 0 {
			fmt.Fprintln(&k.out, "    = nothing")
		}
		c, ok, err := tx.Card(k.people[i].ID, day)
		if err == nil && ok {
			fmt.Fprintf(&k.out, "    = card: %s, revision %d, %s\n", c.Card.Kind, c.Rev, c.State)
		}
		return err
	}))
}

func recorded(e prescribe.Event) string {
	var parts []string
	add := func(format string, args ...any) { parts = append(parts, fmt.Sprintf(format, args...)) }
	place := func(r prescribe.Region, s prescribe.Side) string {
		if s != "" {
			return string(s) + " " + string(r)
		}
		return string(r)
	}
	switch {
	case e.Set != nil:
		s := *e.Set
		add("set %s", prescribe.LiftKey(s.Exercise, s.Side))
		if s.Inertia > 0 {
			add("inertia %v × %d", s.Inertia, s.Reps)
		} else {
			add("%v kg × %d", s.Load, s.Reps)
		}
		if s.RIR != nil {
			add("%d left", *s.RIR)
		}
		if s.Unbroken > 0 {
			add("at most %d running", s.Unbroken)
		}
		if s.Stopped {
			add("stopped")
		}
		if s.AsWritten {
			add("as written")
		}
	case e.Session != nil:
		s := *e.Session
		add("session %s: %s", s.Template, s.Outcome)
		if s.Reason != "" {
			add("reason %s", s.Reason)
		}
		if s.RPE != nil {
			add("effort %d", *s.RPE)
		}
		if s.Minutes > 0 {
			add("%d min", s.Minutes)
		}
		if s.Sets > 0 {
			add("%d sets", s.Sets)
		}
	case e.Soreness != nil:
		add("soreness %s %d", place(e.Soreness.Region, e.Soreness.Side), e.Soreness.Score)
	case e.Pain != nil:
		add("pain %s %d", place(e.Pain.Region, e.Pain.Side), e.Pain.Score)
		if e.Pain.Unclear {
			add("unclear")
		}
		if e.Pain.Timing != "" {
			add("%s", e.Pain.Timing)
		}
		if e.Pain.Muscle {
			add("in the muscle")
		}
	case e.Warning != nil:
		add("warning sign %s %s", e.Warning.Sign, e.Warning.Region)
	case e.Hold != nil:
		add("hold %s, medical %t, at most %v, until %s", place(e.Hold.Region, ""), e.Hold.Medical, e.Hold.MaxLoad, e.Hold.Until)
	case e.Release != nil:
		add("release %s, medical %t, at most %v, review %s", place(e.Release.Region, ""), e.Release.Medical, e.Release.MaxLoad, e.Release.Review)
	case e.Match != nil:
		add("match %d minutes", e.Match.Minutes)
	case e.Power != nil:
		add("power test %s inertia %v: %v W", e.Power.Exercise, e.Power.Inertia, e.Power.Power)
	case e.Answer != nil:
		add("answer about %s: right %t", e.Answer.Exercise, e.Answer.Right)
	case e.Profile != nil:
		add("profile")
	}
	return strings.TrimSpace(strings.Join(parts, ", "))
}

// picture is a small PNG.
func picture() []byte {
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, 8, 8))); err != nil {
		panic(err) // a buffer takes everything
	}
	return b.Bytes()
}
