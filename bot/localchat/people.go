package localchat

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Person is somebody who can chat here. On the page a person is a peg, or,
// with Staff, a name in the staff room.
type Person struct {
	ID           int64
	FirstName    string
	Username     string
	LanguageCode string // of their own app, e.g. "en"
	Note         string // role or label shown on the page
	Section      string // heading of their pegs on the page
	Shirt        int    // number on the tag; 0: initials instead
	Staff        bool   // belongs to the staff room
	Started      bool   // has opened the bot already, so the bot may write first
}

// Group is a group chat. ID is negative; 0 has one allotted.
type Group struct {
	ID      int64
	Title   string
	Members []int64 // at least one; the first adds the bot
}

type person struct {
	Person
	blocked bool
	seen    map[int64]int // chat id → last message id seen on the page
}

func (p *person) user() User {
	return User{ID: p.ID, FirstName: p.FirstName, Username: p.Username, LanguageCode: p.LanguageCode}
}

// Errors of the people's side, to be matched with errors.Is.
var (
	ErrUnknown = errors.New("not known here") // person, chat, message or button
	ErrRefused = errors.New("not possible")   // known, but the rules of the chat forbid it
)

func unknown(format string, args ...any) error {
	return fmt.Errorf("localchat: %s: %w", fmt.Sprintf(format, args...), ErrUnknown)
}

func refused(format string, args ...any) error {
	return fmt.Errorf("localchat: %s: %w", fmt.Sprintf(format, args...), ErrRefused)
}

// AddPerson adds a person and their private chat with the bot.
func (s *Server) AddPerson(p Person) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case p.ID <= 0 || p.ID == s.bot.ID:
		return refused("person %q: an id must be positive and not the bot's own, %d is not", p.FirstName, p.ID)
	case strings.TrimSpace(p.FirstName) == "":
		return refused("person %d: a first name is needed", p.ID)
	case s.people[p.ID] != nil:
		return refused("person %d is here already as %q", p.ID, s.people[p.ID].FirstName)
	}
	in := &person{Person: p, seen: map[int64]int{}}
	s.people[p.ID] = in
	s.order = append(s.order, p.ID)
	s.chats[p.ID] = &chat{id: p.ID, kind: "private", person: in}
	s.publish("people", struct{}{})
	return nil
}

// AddGroup makes a group with the bot in it and returns its id. The bot gets
// my_chat_member and the service message of its own arrival.
func (s *Server) AddGroup(g Group) (int64, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if g.ID == 0 {
		g.ID = -1001 - int64(len(s.groups))
	}
	switch {
	case g.ID >= 0:
		return 0, refused("group %q: the id of a group is negative, %d is not", g.Title, g.ID)
	case s.chats[g.ID] != nil:
		return 0, refused("group %d is here already", g.ID)
	case len(g.Members) == 0:
		return 0, refused("group %q: it needs at least one member", g.Title)
	}
	ch := &chat{id: g.ID, kind: "group", title: g.Title, members: map[int64]bool{}}
	for _, id := range g.Members {
		if s.people[id] == nil {
			return 0, unknown("group %q: member %d", g.Title, id)
		}
		ch.members[id] = true
	}
	s.chats[g.ID] = ch
	s.groups = append(s.groups, g.ID)
	s.admitBot(ch, s.people[g.Members[0]])
	s.publish("people", struct{}{})
	return g.ID, nil
}

func (s *Server) admitBot(ch *chat, by *person) {
	ch.botIn = true
	s.standing(ch, by, "left", "member")
	u := by.user()
	m := s.hang(ch, Message{From: &u, NewChatMembers: []User{s.bot}})
	s.push(Update{Message: &m})
}

// standing tells the bot that its own place in a chat changed.
func (s *Server) standing(ch *chat, by *person, was, is string) int {
	member := func(status string) ChatMember {
		m := ChatMember{Status: status, User: s.bot}
		if status == "kicked" {
			m.UntilDate = new(int64)
		}
		return m
	}
	return s.push(Update{MyChatMember: &ChatMemberUpdated{
		Chat: ch.wire(), From: by.user(), Date: s.opt.Now().Unix(),
		OldChatMember: member(was), NewChatMember: member(is),
	}})
}

// KickBot has a member put the bot out of a group; AddBot takes it in again.
func (s *Server) KickBot(group, by int64) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	p, ch, err := s.inGroup(by, group)
	if err != nil {
		return err
	}
	if !ch.botIn {
		return refused("the bot is not in group %d", group)
	}
	ch.botIn = false
	s.standing(ch, p, "member", "kicked")
	s.publish("people", struct{}{})
	return nil
}

// AddBot has a member take the bot into a group it was put out of.
func (s *Server) AddBot(group, by int64) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	p, ch, err := s.inGroup(by, group)
	if err != nil {
		return err
	}
	if ch.botIn {
		return refused("the bot is in group %d already", group)
	}
	s.admitBot(ch, p)
	s.publish("people", struct{}{})
	return nil
}

func (s *Server) inGroup(personID, group int64) (*person, *chat, error) {
	p, ch, err := s.in(personID, group)
	if err == nil && !ch.isGroup() {
		err = refused("chat %d is not a group", group)
	}
	return p, ch, err
}

// Leave has a person leave a group; Join has them come in.
func (s *Server) Leave(personID, group int64) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	p, ch, err := s.inGroup(personID, group)
	if err != nil {
		return err
	}
	delete(ch.members, personID)
	u := p.user()
	m := s.hang(ch, Message{From: &u, LeftChatMember: &u})
	s.tell(ch, Update{Message: &m})
	s.publish("people", struct{}{})
	return nil
}

// Join has a person enter a group.
func (s *Server) Join(personID, group int64) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	p, ch := s.people[personID], s.chats[group]
	switch {
	case p == nil:
		return unknown("person %d", personID)
	case ch == nil || !ch.isGroup():
		return unknown("group %d", group)
	case ch.members[personID]:
		return refused("%s is in group %d already", p.FirstName, group)
	}
	ch.members[personID] = true
	u := p.user()
	m := s.hang(ch, Message{From: &u, NewChatMembers: []User{u}})
	s.tell(ch, Update{Message: &m})
	s.publish("people", struct{}{})
	return nil
}

// tell pushes an update of a chat unless the bot is outside it.
func (s *Server) tell(ch *chat, u Update) int {
	if ch.isGroup() && !ch.botIn {
		return 0
	}
	return s.push(u)
}

// MigrateGroup turns a group into a supergroup with a new id, as happens when
// a group grows. The old id answers 400 with migrate_to_chat_id from then on;
// the bot gets both service messages.
func (s *Server) MigrateGroup(group int64) (int64, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	old := s.chats[group]
	if old == nil || old.kind != "group" || old.migratedTo != 0 {
		return 0, unknown("group %d that could become a supergroup", group)
	}
	id := -1_000_000_000_000 + group // the form that supergroup ids have
	next := &chat{id: id, kind: "supergroup", title: old.title, members: old.members, botIn: old.botIn}
	for _, h := range old.messages { // people go on seeing what was said
		copied := *h
		copied.Message = h.Message.clone()
		copied.Chat = next.wire()
		next.messages = append(next.messages, &copied)
	}
	next.lastID = old.lastID
	s.chats[id] = next
	s.groups[slices.Index(s.groups, group)] = id
	for _, p := range s.people {
		p.seen[id] = p.seen[group]
	}
	var from *User
	for _, pid := range s.order {
		if next.members[pid] {
			u := s.people[pid].user()
			from = &u
			break
		}
	}
	gone := s.hang(old, Message{From: from, MigrateToChatID: id})
	s.tell(old, Update{Message: &gone})
	old.migratedTo = id
	come := s.hang(next, Message{From: from, MigrateFromChatID: group})
	s.tell(next, Update{Message: &come})
	s.publish("people", struct{}{})
	return id, nil
}

// in finds a person and a chat that they are part of.
func (s *Server) in(personID, chatID int64) (*person, *chat, error) {
	p := s.people[personID]
	if p == nil {
		return nil, nil, unknown("person %d", personID)
	}
	ch := s.chats[chatID]
	if ch == nil || !ch.isGroup() && chatID != personID || ch.isGroup() && !ch.members[personID] {
		return nil, nil, unknown("chat %d of %s", chatID, p.FirstName)
	}
	if ch.migratedTo != 0 {
		return nil, nil, refused("chat %d has become %d", chatID, ch.migratedTo)
	}
	return p, ch, nil
}

// Say has a person write in a chat: their own id for the private chat with
// the bot, or a group's. It returns the update's id, 0 when the bot does not
// get to see the message.
func (s *Server) Say(personID, chatID int64, text string) (int, error) {
	return s.SayInReply(personID, chatID, 0, text)
}

// SayInReply is Say in reply to a message; 0 for none.
func (s *Server) SayInReply(personID, chatID int64, replyTo int, text string) (int, error) {
	text = strings.TrimSpace(strings.ToValidUTF8(text, "\uFFFD"))
	if text == "" {
		return 0, refused("an empty message cannot be sent")
	}
	if units(text) > maxText {
		return 0, refused("a message may be %d characters long, this one is %d", maxText, units(text))
	}
	m := Message{Text: text, Entities: findEntities(text, nil)}
	return s.fromPerson(personID, chatID, replyTo, m, nil)
}

// Start has a person press the start button: "/start", with the payload of a
// deep link if there is one (1–64 characters of A–Z a–z 0–9 _ -).
func (s *Server) Start(personID int64, payload string) (int, error) {
	if payload == "" {
		return s.Say(personID, personID, "/start")
	}
	if !startPayload.MatchString(payload) {
		return 0, refused("%q cannot be the payload of a link: 1 to 64 characters of A-Z a-z 0-9 _ and - are", payload)
	}
	return s.Say(personID, personID, "/start "+payload)
}

var startPayload = regexp.MustCompile(`^[A-Za-z0-9_-]{1,64}$`)

// fromPerson hangs a person's message and tells the bot. put completes the
// message under the lock.
func (s *Server) fromPerson(personID, chatID int64, replyTo int, m Message, put func(*Message) error) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	p, ch, err := s.in(personID, chatID)
	if err != nil {
		return 0, err
	}
	if !ch.isGroup() && p.blocked {
		return 0, refused("%s has blocked the bot and must unblock it before writing", p.FirstName)
	}
	if replyTo != 0 {
		h := ch.find(replyTo)
		if h == nil {
			return 0, unknown("message %d in chat %d", replyTo, chatID)
		}
		r := h.Message.clone()
		r.ReplyTo = nil
		m.ReplyTo = &r
	}
	if put != nil {
		if err := put(&m); err != nil {
			return 0, err
		}
	}
	if !ch.isGroup() && !p.Started {
		p.Started = true
		defer s.publish("people", struct{}{})
	}
	if ch.keyboard != nil && ch.keyboard.OneTime {
		ch.keyboard = nil
	}
	u := p.user()
	m.From = &u
	p.seen[ch.id] = ch.lastID + 1 // who writes has read what is above
	m = s.hang(ch, m)
	if !s.visible(ch, m) {
		return 0, nil
	}
	return s.tell(ch, Update{Message: &m}), nil
}

// visible tells whether privacy mode lets the bot see a group's message.
func (s *Server) visible(ch *chat, m Message) bool {
	if !ch.isGroup() || s.opt.ReadsGroups || m.isService() || m.ReplyTo != nil && m.ReplyTo.FromBot() {
		return true
	}
	at := "@" + s.bot.Username
	for _, e := range m.Entities {
		word := substring(m.Text, e)
		switch e.Type {
		case "bot_command":
			if _, addressee, named := strings.Cut(word, "@"); !named || strings.EqualFold("@"+addressee, at) {
				return true
			}
		case "mention":
			if strings.EqualFold(word, at) {
				return true
			}
		}
	}
	return false
}

// Edit has a person change a message of their own.
func (s *Server) Edit(personID, chatID int64, messageID int, text string) (int, error) {
	text = strings.TrimSpace(strings.ToValidUTF8(text, "\uFFFD"))
	s.mu.Lock()
	defer s.mu.Unlock()
	p, ch, err := s.in(personID, chatID)
	if err != nil {
		return 0, err
	}
	h := ch.find(messageID)
	switch {
	case h == nil || h.From == nil || h.From.ID != p.ID || h.isService():
		return 0, unknown("message %d of %s", messageID, p.FirstName)
	case h.Text == "":
		return 0, refused("message %d has no text to edit", messageID)
	case text == "" || units(text) > maxText:
		return 0, refused("a message has 1 to %d characters", maxText)
	case text == h.Text:
		return 0, refused("message %d says that already", messageID)
	case !ch.isGroup() && p.blocked:
		return 0, refused("%s has blocked the bot", p.FirstName)
	}
	h.Text, h.Entities = text, findEntities(text, nil)
	h.EditDate = s.opt.Now().Unix()
	s.publish("edited", messageEvent{Chat: ch.id, Message: s.view(ch, h)})
	m := h.Message.clone()
	if !s.visible(ch, m) {
		return 0, nil
	}
	return s.tell(ch, Update{EditedMessage: &m}), nil
}

// Tap has a person press an inline button, named by its callback data. A
// button that stood under the message earlier may still be pressed, as
// happens when a tap and an edit cross.
func (s *Server) Tap(personID, chatID int64, messageID int, callbackData string) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	p, ch, err := s.in(personID, chatID)
	if err != nil {
		return 0, err
	}
	h := ch.find(messageID)
	switch {
	case h == nil:
		return 0, unknown("message %d in chat %d", messageID, chatID)
	case !h.hasOffered(callbackData):
		return 0, unknown("button %q under message %d", callbackData, messageID)
	case !ch.isGroup() && p.blocked:
		return 0, refused("%s has blocked the bot", p.FirstName)
	}
	now := time.Now()
	for id, q := range s.queries {
		if now.Sub(q.at) > queryLife {
			delete(s.queries, id)
		}
	}
	s.nextID++
	id := strconv.FormatInt(s.bot.ID%1_000_000, 10) + strconv.FormatInt(1_000_000_000_000+s.nextID, 10)
	s.queries[id] = query{person: p.ID, chat: ch.id, at: now}
	m := h.Message.clone()
	return s.tell(ch, Update{CallbackQuery: &CallbackQuery{
		ID: id, From: p.user(), Message: &m, ChatInstance: strconv.FormatInt(-ch.id, 10), Data: callbackData,
	}}), nil
}

// Block has a person block the bot.
func (s *Server) Block(personID int64) (int, error) { return s.setBlocked(personID, true) }

// Unblock takes Block back.
func (s *Server) Unblock(personID int64) (int, error) { return s.setBlocked(personID, false) }

func (s *Server) setBlocked(personID int64, blocked bool) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	p := s.people[personID]
	if p == nil {
		return 0, unknown("person %d", personID)
	}
	if p.blocked == blocked {
		return 0, refused("nothing to change: %s has blocked the bot: %t", p.FirstName, blocked)
	}
	p.blocked = blocked
	s.publish("people", struct{}{})
	if blocked {
		return s.standing(s.chats[personID], p, "member", "kicked"), nil
	}
	return s.standing(s.chats[personID], p, "kicked", "member"), nil
}

// SendPhotoFrom has a person send a picture (PNG, JPEG or GIF).
func (s *Server) SendPhotoFrom(personID, chatID int64, picture []byte, caption string) (int, error) {
	if units(caption) > maxCaption {
		return 0, refused("a caption may be %d characters long", maxCaption)
	}
	m := Message{Caption: caption, CaptionEntities: findEntities(caption, nil)}
	return s.fromPerson(personID, chatID, 0, m, func(m *Message) error {
		f, bad := s.addPhoto("photo", picture)
		if bad != nil {
			return refused("the picture: %s", bad.description)
		}
		m.Photo = f.photo()
		return nil
	})
}

// SendDocumentFrom has a person send a file.
func (s *Server) SendDocumentFrom(personID, chatID int64, name string, data []byte, caption string) (int, error) {
	if len(data) == 0 || len(data) > maxFile || units(caption) > maxCaption {
		return 0, refused("a file has 1 to %d bytes and a caption up to %d characters", maxFile, maxCaption)
	}
	m := Message{Caption: caption, CaptionEntities: findEntities(caption, nil)}
	return s.fromPerson(personID, chatID, 0, m, func(m *Message) error {
		m.Document = s.files.add(storedFile{kind: "document", name: name, data: bytes.Clone(data)}).document()
		return nil
	})
}

// SendVoiceFrom has a person send a voice note of the given length. Its file
// is a stub of a stream header: nothing here listens to it.
func (s *Server) SendVoiceFrom(personID, chatID int64, seconds int) (int, error) {
	return s.fromPerson(personID, chatID, 0, Message{}, func(m *Message) error {
		f := s.files.add(storedFile{kind: "voice", name: "note.oga", mime: "audio/ogg", data: []byte("OggS\x00\x02")})
		m.Voice = &Voice{FileID: f.id, FileUniqueID: f.unique, Duration: max(seconds, 1), MimeType: f.mime, FileSize: len(f.data)}
		return nil
	})
}

// SendVideoFrom has a person send a film of the given length. Its file is a stub
// of a header: nothing here plays it.
func (s *Server) SendVideoFrom(personID, chatID int64, seconds int, caption string) (int, error) {
	if units(caption) > maxCaption {
		return 0, refused("a caption may be %d characters long", maxCaption)
	}
	m := Message{Caption: caption, CaptionEntities: findEntities(caption, nil)}
	return s.fromPerson(personID, chatID, 0, m, func(m *Message) error {
		f := s.files.add(storedFile{kind: "video", name: "film.mp4", mime: "video/mp4", data: []byte("\x00\x00\x00\x08ftyp")})
		m.Video = &Video{FileID: f.id, FileUniqueID: f.unique, Width: 720, Height: 1280, Duration: max(seconds, 1), MimeType: f.mime, FileSize: len(f.data)}
		return nil
	})
}

// SendStickerFrom has a person send a sticker that stands for an emoji.
func (s *Server) SendStickerFrom(personID, chatID int64, emoji string) (int, error) {
	return s.fromPerson(personID, chatID, 0, Message{}, func(m *Message) error {
		f := s.files.add(storedFile{kind: "sticker", name: "sticker.webp", mime: "image/webp", data: []byte("RIFF\x00\x00\x00\x00WEBP")})
		m.Sticker = &Sticker{FileID: f.id, FileUniqueID: f.unique, Type: "regular", Width: 512, Height: 512, Emoji: emoji, FileSize: len(f.data)}
		return nil
	})
}

// samplePicture is a plain picture to send from the page: a whiteboard with
// stripes, drawn here so that nobody's photo is shipped.
func samplePicture() []byte {
	const w, h = 240, 160
	img := image.NewPaletted(image.Rect(0, 0, w, h), color.Palette{
		color.RGBA{0xf4, 0xec, 0xd8, 0xff}, color.RGBA{0x1f, 0x4d, 0x3a, 0xff}, color.RGBA{0x8a, 0x5a, 0x2b, 0xff},
	})
	for y := range h {
		for x := range w {
			switch {
			case x < 8 || y < 8 || x >= w-8 || y >= h-8:
				img.SetColorIndex(x, y, 2)
			case (x+y)/20%2 == 0:
				img.SetColorIndex(x, y, 1)
			}
		}
	}
	var out bytes.Buffer
	if err := png.Encode(&out, img); err != nil {
		panic(fmt.Sprintf("localchat: encoding a fixed picture: %v", err)) // the buffer cannot fail
	}
	return out.Bytes()
}

// Transcript is a copy of a chat's messages in order; nil for a chat that is
// not there.
func (s *Server) Transcript(chatID int64) []Message {
	s.mu.Lock()
	defer s.mu.Unlock()
	ch := s.chats[chatID]
	if ch == nil {
		return nil
	}
	out := make([]Message, len(ch.messages))
	for i, h := range ch.messages {
		out[i] = h.Message.clone()
	}
	return out
}

// Keyboard is the reply keyboard that a chat shows now, nil for none.
func (s *Server) Keyboard(chatID int64) *ReplyKeyboard {
	s.mu.Lock()
	defer s.mu.Unlock()
	ch := s.chats[chatID]
	if ch == nil || ch.keyboard == nil {
		return nil
	}
	k := *ch.keyboard
	k.Rows = nil
	for _, row := range ch.keyboard.Rows {
		k.Rows = append(k.Rows, slices.Clone(row))
	}
	return &k
}

// Menu is the command menu that a person sees in a chat.
func (s *Server) Menu(personID, chatID int64) ([]BotCommand, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	p, ch, err := s.in(personID, chatID)
	if err != nil {
		return nil, err
	}
	return slices.Clone(s.menu(p, ch)), nil
}

// unreadOf counts, for each person of a chat, others' messages not yet seen.
func (s *Server) unreadOf(ch *chat) map[int64]int {
	out := map[int64]int{}
	for _, id := range s.order {
		if ch.id == id || ch.members[id] {
			out[id] = s.unread(s.people[id], ch)
		}
	}
	return out
}

func (s *Server) unread(p *person, ch *chat) int {
	n, seen := 0, p.seen[ch.id]
	for i := len(ch.messages) - 1; i >= 0 && ch.messages[i].MessageID > seen; i-- {
		if h := ch.messages[i]; !h.isService() && (h.From == nil || h.From.ID != p.ID) {
			n++
		}
	}
	return n
}
