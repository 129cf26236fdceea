package localchat

import (
	"sort"
	"strconv"
	"strings"
)

// chat is a private chat or a group.
type chat struct {
	id         int64
	kind       string // private, group, supergroup
	title      string
	person     *person // of a private chat
	members    map[int64]bool
	botIn      bool // of a group
	migratedTo int64
	messages   []*hung // by id
	lastID     int
	keyboard   *ReplyKeyboard
}

// hung is a message with what only the server knows of it.
type hung struct {
	Message
	// offered is every callback data that ever stood under the message: a
	// person may tap a button in the moment before it goes away.
	offered []string
}

func (h *hung) remember() {
	for _, b := range h.Buttons() {
		if b.CallbackData != "" && !h.hasOffered(b.CallbackData) && len(h.offered) < 1000 {
			h.offered = append(h.offered, b.CallbackData)
		}
	}
}

func (h *hung) hasOffered(data string) bool {
	for _, d := range h.offered {
		if d == data {
			return true
		}
	}
	return false
}

func (ch *chat) isGroup() bool { return ch.kind != "private" }

func (ch *chat) wire() Chat {
	if ch.isGroup() {
		return Chat{ID: ch.id, Type: ch.kind, Title: ch.title}
	}
	return Chat{ID: ch.id, Type: "private", FirstName: ch.person.FirstName, Username: ch.person.Username}
}

func (ch *chat) find(id int) *hung {
	i := sort.Search(len(ch.messages), func(i int) bool { return ch.messages[i].MessageID >= id })
	if i < len(ch.messages) && ch.messages[i].MessageID == id {
		return ch.messages[i]
	}
	return nil
}

// findChat reads a chat_id.
func (s *Server) findChat(raw string) (*chat, *failure) {
	raw = strings.TrimSpace(raw)
	if raw == "" {
		return nil, badRequest("chat_id is empty")
	}
	id, err := strconv.ParseInt(raw, 10, 64)
	if err != nil {
		return nil, badRequest("chat not found")
	}
	ch, ok := s.chats[id]
	if !ok {
		return nil, badRequest("chat not found")
	}
	return ch, nil
}

// target is findChat for a method that needs the bot to have the floor there.
func (s *Server) target(c *call) (*chat, *failure) {
	ch, f := s.findChat(c.str("chat_id"))
	if f != nil {
		return nil, f
	}
	switch {
	case ch.migratedTo != 0:
		return nil, &failure{code: 400, description: "Bad Request: group chat was upgraded to a supergroup chat", migrateTo: ch.migratedTo}
	case ch.isGroup() && !ch.botIn:
		return nil, forbidden("bot was kicked from the " + ch.kind + " chat")
	case !ch.isGroup() && ch.person.blocked:
		return nil, forbidden("bot was blocked by the user")
	case !ch.isGroup() && !ch.person.Started:
		return nil, forbidden("bot can't initiate conversation with a user")
	}
	return ch, nil
}

// hang appends a message to a chat: number, date, room, page. It returns a
// copy.
func (s *Server) hang(ch *chat, m Message) Message {
	ch.lastID++
	m.MessageID = ch.lastID
	m.Chat = ch.wire()
	m.Date = s.opt.Now().Unix()
	h := &hung{Message: m}
	h.remember()
	ch.messages = append(ch.messages, h)
	if n := len(ch.messages) - s.opt.KeepMessages; n > 0 {
		clear(ch.messages[:n])
		ch.messages = ch.messages[n:]
	}
	s.publish("message", messageEvent{Chat: ch.id, Message: s.view(ch, h), Unread: s.unreadOf(ch), Keyboard: ch.keyboard})
	return h.Message.clone()
}
