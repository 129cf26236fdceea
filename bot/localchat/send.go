package localchat

import (
	"encoding/json"
	"reflect"
	"slices"
	"strings"
	"time"
)

const (
	maxText    = 4096 // UTF-16 code units after parsing
	maxCaption = 1024
)

// formatted reads a text field with its parse mode or entities.
func (c *call) formatted(field, entityField string, limit int, tooLong string) (string, []Entity, *failure) {
	text := strings.ReplaceAll(c.str(field), "\r", "")
	var entities []Entity
	switch mode := strings.ToLower(c.str("parse_mode")); mode {
	case "":
		if raw := c.str(entityField); raw != "" {
			if err := json.Unmarshal([]byte(raw), &entities); err != nil {
				return "", nil, badRequest("can't parse entities JSON object")
			}
			for _, e := range entities {
				if e.Offset < 0 || e.Length <= 0 || e.Offset+e.Length > units(text) {
					return "", nil, badRequest("can't parse entities: entity of type %s lies outside the text", e.Type)
				}
			}
			entities = tidy(entities)
		}
		text, entities = trimText(text, entities)
	case "html":
		var err error
		if text, entities, err = parseHTML(text); err != nil {
			return "", nil, badRequest("can't parse entities: %v", err)
		}
	default:
		return "", nil, badRequest("unsupported parse_mode")
	}
	if units(text) > limit {
		return "", nil, badRequest("%s", tooLong)
	}
	return text, findEntities(text, entities), nil
}

func (s *Server) sendMessage(c *call) (any, *failure) {
	ch, f := s.target(c)
	if f != nil {
		return nil, f
	}
	m := Message{}
	if m.Text, m.Entities, f = c.formatted("text", "entities", maxText, "message is too long"); f != nil {
		return nil, f
	}
	if m.Text == "" {
		return nil, badRequest("message text is empty")
	}
	return s.send(c, ch, m)
}

func (s *Server) sendPhoto(c *call) (any, *failure) {
	return s.sendFile(c, "photo", func(m *Message, f *storedFile) { m.Photo = f.photo() })
}

func (s *Server) sendDocument(c *call) (any, *failure) {
	return s.sendFile(c, "document", func(m *Message, f *storedFile) { m.Document = f.document() })
}

// copyMessage hangs what a message shows into another chat, as the bot's own.
func (s *Server) copyMessage(c *call) (any, *failure) {
	ch, f := s.target(c)
	if f != nil {
		return nil, f
	}
	from, f := s.findChat(c.str("from_chat_id"))
	if f != nil {
		return nil, f
	}
	h := from.find(c.number("message_id"))
	if h == nil {
		return nil, badRequest("message to copy not found")
	}
	was := h.Message.clone()
	sent, f := s.send(c, ch, Message{Text: was.Text, Entities: was.Entities, Photo: was.Photo, Document: was.Document, Voice: was.Voice,
		Video: was.Video, Sticker: was.Sticker, Caption: was.Caption, CaptionEntities: was.CaptionEntities})
	if f != nil {
		return nil, f
	}
	return struct {
		MessageID int `json:"message_id"`
	}{sent.(Message).MessageID}, nil
}

func (s *Server) sendFile(c *call, kind string, put func(*Message, *storedFile)) (any, *failure) {
	ch, f := s.target(c)
	if f != nil {
		return nil, f
	}
	m := Message{}
	if m.Caption, m.CaptionEntities, f = c.formatted("caption", "caption_entities", maxCaption, "message caption is too long"); f != nil {
		return nil, f
	}
	file, f := s.fileOf(c, kind)
	if f != nil {
		return nil, f
	}
	put(&m, file)
	return s.send(c, ch, m)
}

// send is the way of every new message of the bot into a chat.
func (s *Server) send(c *call, ch *chat, m Message) (any, *failure) {
	mk, f := c.markup()
	if f != nil {
		return nil, f
	}
	if m.ReplyTo, f = s.repliedTo(c, ch); f != nil {
		return nil, f
	}
	if wait := s.limiter.take(ch, time.Now()); wait > 0 {
		return nil, tooMany(wait)
	}
	m.From = cloneOf(&s.bot)
	m.ReplyMarkup = mk.inline
	m.HasProtectedContent = c.flag("protect_content")
	switch {
	case mk.keyboard != nil:
		ch.keyboard = mk.keyboard
		if len(mk.keyboard.Rows) == 0 {
			ch.keyboard = nil
		}
	case mk.remove:
		ch.keyboard = nil
	}
	return s.hang(ch, m), nil
}

// repliedTo reads reply_parameters or the older reply_to_message_id.
func (s *Server) repliedTo(c *call, ch *chat) (*Message, *failure) {
	id, lenient := c.number("reply_to_message_id"), c.flag("allow_sending_without_reply")
	if raw := c.str("reply_parameters"); raw != "" {
		var p struct {
			MessageID int  `json:"message_id"`
			Lenient   bool `json:"allow_sending_without_reply"`
		}
		if err := json.Unmarshal([]byte(raw), &p); err != nil {
			return nil, badRequest("can't parse reply parameters JSON object")
		}
		id, lenient = p.MessageID, p.Lenient
	}
	if id == 0 {
		return nil, nil
	}
	h := ch.find(id)
	if h == nil {
		if lenient {
			return nil, nil
		}
		return nil, badRequest("message to be replied not found")
	}
	m := h.Message.clone()
	m.ReplyTo = nil
	return &m, nil
}

const notModified = "message is not modified: specified new message content and reply markup are exactly the same as a current content and reply markup of the message"

// own finds the bot's message that an edit names.
func (s *Server) own(c *call) (*chat, *hung, *failure) {
	ch, f := s.target(c)
	if f != nil {
		return nil, nil, f
	}
	h := ch.find(c.number("message_id"))
	switch {
	case h == nil:
		return nil, nil, badRequest("message to edit not found")
	case !h.FromBot() || h.isService():
		return nil, nil, badRequest("message can't be edited")
	}
	return ch, h, nil
}

func (s *Server) editMessageText(c *call) (any, *failure) {
	ch, h, f := s.own(c)
	if f != nil {
		return nil, f
	}
	if h.Text == "" {
		return nil, badRequest("there is no text in the message to edit")
	}
	next := h.Message
	if next.Text, next.Entities, f = c.formatted("text", "entities", maxText, "MESSAGE_TOO_LONG"); f != nil {
		return nil, f
	}
	if next.Text == "" {
		return nil, badRequest("message text is empty")
	}
	return s.rehang(c, ch, h, next)
}

func (s *Server) editMessageCaption(c *call) (any, *failure) {
	ch, h, f := s.own(c)
	if f != nil {
		return nil, f
	}
	if h.Text != "" {
		return nil, badRequest("there is no caption in the message to edit")
	}
	next := h.Message
	if next.Caption, next.CaptionEntities, f = c.formatted("caption", "caption_entities", maxCaption, "message caption is too long"); f != nil {
		return nil, f
	}
	return s.rehang(c, ch, h, next)
}

func (s *Server) editMessageReplyMarkup(c *call) (any, *failure) {
	ch, h, f := s.own(c)
	if f != nil {
		return nil, f
	}
	return s.rehang(c, ch, h, h.Message)
}

// rehang puts the changed message in the old one's place. A changed keyboard
// alone does not mark a message as edited.
func (s *Server) rehang(c *call, ch *chat, h *hung, next Message) (any, *failure) {
	mk, f := c.markup()
	if f != nil {
		return nil, f
	}
	if mk.keyboard != nil || mk.remove {
		return nil, badRequest("inline keyboard expected")
	}
	next.ReplyMarkup = mk.inline
	sameWords := next.Text == h.Text && next.Caption == h.Caption &&
		slices.Equal(next.Entities, h.Entities) && slices.Equal(next.CaptionEntities, h.CaptionEntities)
	if sameWords && reflect.DeepEqual(next.ReplyMarkup, h.ReplyMarkup) {
		return nil, badRequest(notModified)
	}
	if wait := s.limiter.take(ch, time.Now()); wait > 0 {
		return nil, tooMany(wait)
	}
	if !sameWords {
		next.EditDate = s.opt.Now().Unix()
	}
	h.Message = next
	h.remember()
	s.publish("edited", messageEvent{Chat: ch.id, Message: s.view(ch, h)})
	return h.Message.clone(), nil
}

// deleteLife is how long after sending a message may still be deleted.
const deleteLife = 48 * time.Hour

func (s *Server) deleteMessage(c *call) (any, *failure) {
	ch, f := s.target(c)
	if f != nil {
		return nil, f
	}
	h := ch.find(c.number("message_id"))
	switch {
	case h == nil:
		return nil, badRequest("message to delete not found")
	case s.opt.Now().Unix()-h.Date > int64(deleteLife/time.Second),
		ch.isGroup() && !h.FromBot():
		return nil, badRequest("message can't be deleted for everyone")
	}
	ch.messages = slices.DeleteFunc(ch.messages, func(o *hung) bool { return o == h })
	s.publish("deleted", deletedEvent{Chat: ch.id, ID: h.MessageID})
	return true, nil
}
