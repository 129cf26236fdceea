package localchat

import (
	"net/http"
	"strings"
	"time"
)

// method is one Bot API method. It runs with the server locked, except
// getUpdates, which waits.
type method struct {
	name string
	do   func(*Server, *call) (any, *failure)
}

// methodTable is keyed by the lower-case name: names are case-insensitive.
var methodTable = func() map[string]method {
	list := []method{
		{"getMe", (*Server).getMe},
		{"getUpdates", nil},
		{"deleteWebhook", (*Server).deleteWebhook},
		{"getWebhookInfo", (*Server).getWebhookInfo},
		{"sendMessage", (*Server).sendMessage},
		{"sendPhoto", (*Server).sendPhoto},
		{"sendDocument", (*Server).sendDocument},
		{"copyMessage", (*Server).copyMessage},
		{"sendChatAction", (*Server).sendChatAction},
		{"editMessageText", (*Server).editMessageText},
		{"editMessageCaption", (*Server).editMessageCaption},
		{"editMessageReplyMarkup", (*Server).editMessageReplyMarkup},
		{"deleteMessage", (*Server).deleteMessage},
		{"answerCallbackQuery", (*Server).answerCallbackQuery},
		{"getFile", (*Server).getFile},
		{"getChat", (*Server).getChat},
		{"getChatMember", (*Server).getChatMember},
		{"setMyCommands", (*Server).setMyCommands},
		{"getMyCommands", (*Server).getMyCommands},
		{"deleteMyCommands", (*Server).deleteMyCommands},
	}
	m := make(map[string]method, len(list))
	for _, e := range list {
		m[strings.ToLower(e.name)] = e
	}
	return m
}()

// serveMethod answers "<token>/<method>".
func (s *Server) serveMethod(w http.ResponseWriter, r *http.Request, rest string) {
	token, name, _ := strings.Cut(rest, "/")
	if token != s.token {
		writeJSON(w, http.StatusUnauthorized, failUnauthorized.response())
		return
	}
	m, known := methodTable[strings.ToLower(strings.TrimSuffix(name, "/"))]
	if !known {
		writeJSON(w, http.StatusNotFound, failNotFound.response())
		return
	}
	c, f := readCall(w, r)
	if f != nil {
		writeJSON(w, f.code, f.response())
		return
	}
	s.mu.Lock()
	faulty := s.fault
	s.mu.Unlock()
	var fault *Fault
	if faulty != nil {
		fault = faulty(m.name, r)
	}
	if fault != nil && s.suffer(w, r, fault) {
		return
	}
	var result any
	if m.do == nil {
		result, f = s.getUpdates(c)
	} else {
		s.mu.Lock()
		result, f = m.do(s, c)
		s.mu.Unlock()
	}
	if fault != nil && fault.Drop {
		panic(http.ErrAbortHandler)
	}
	if f != nil {
		writeJSON(w, f.code, f.response())
		return
	}
	writeJSON(w, http.StatusOK, apiResponse{OK: true, Result: result})
}

func (s *Server) getMe(*call) (any, *failure) {
	return struct {
		User
		CanJoinGroups           bool `json:"can_join_groups"`
		CanReadAllGroupMessages bool `json:"can_read_all_group_messages"`
		SupportsInlineQueries   bool `json:"supports_inline_queries"`
	}{s.bot, true, s.opt.ReadsGroups, false}, nil
}

func (s *Server) deleteWebhook(c *call) (any, *failure) {
	if c.flag("drop_pending_updates") {
		s.queue.pending = nil
	}
	return true, nil
}

func (s *Server) getWebhookInfo(*call) (any, *failure) {
	return struct {
		URL                  string `json:"url"`
		HasCustomCertificate bool   `json:"has_custom_certificate"`
		PendingUpdateCount   int    `json:"pending_update_count"`
	}{"", false, len(s.queue.pending)}, nil
}

func (s *Server) getChat(c *call) (any, *failure) {
	ch, f := s.findChat(c.str("chat_id"))
	if f != nil {
		return nil, f
	}
	return ch.wire(), nil
}

func (s *Server) getChatMember(c *call) (any, *failure) {
	ch, f := s.target(c)
	if f != nil {
		return nil, f
	}
	id := int64(c.number("user_id"))
	if id == s.bot.ID {
		return ChatMember{Status: "member", User: s.bot}, nil
	}
	p, ok := s.people[id]
	if !ok {
		return nil, badRequest("user not found")
	}
	if ch.isGroup() && !ch.members[id] || !ch.isGroup() && ch.id != id {
		return ChatMember{Status: "left", User: p.user()}, nil
	}
	return ChatMember{Status: "member", User: p.user()}, nil
}

// actions are those that sendChatAction documents.
var actions = map[string]bool{
	"typing": true, "upload_photo": true, "record_video": true, "upload_video": true,
	"record_voice": true, "upload_voice": true, "upload_document": true, "choose_sticker": true,
	"find_location": true, "record_video_note": true, "upload_video_note": true,
}

func (s *Server) sendChatAction(c *call) (any, *failure) {
	ch, f := s.target(c)
	if f != nil {
		return nil, f
	}
	if !actions[c.str("action")] {
		return nil, badRequest("wrong parameter action in request")
	}
	s.publish("doing", doingEvent{Chat: ch.id})
	return true, nil
}

// queryLife is how long a tap may be answered.
const queryLife = 150 * time.Second

type query struct {
	person int64
	chat   int64
	at     time.Time // real
}

func (s *Server) answerCallbackQuery(c *call) (any, *failure) {
	q, ok := s.queries[c.str("callback_query_id")]
	if !ok || time.Since(q.at) > queryLife {
		return nil, badRequest("query is too old and response timeout expired or query ID is invalid")
	}
	text := c.str("text")
	if units(text) > 200 {
		return nil, badRequest("MESSAGE_TOO_LONG")
	}
	s.publish("answer", answerEvent{Person: q.person, Chat: q.chat, Text: text, Alert: c.flag("show_alert")})
	return true, nil
}
