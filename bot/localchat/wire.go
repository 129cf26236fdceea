package localchat

import (
	"slices"
	"strings"
)

// The wire types have the field names and presence rules of the Bot API.

// User is a person or the bot.
type User struct {
	ID           int64  `json:"id"`
	IsBot        bool   `json:"is_bot"`
	FirstName    string `json:"first_name"`
	Username     string `json:"username,omitempty"`
	LanguageCode string `json:"language_code,omitempty"`
}

// Chat is a private chat (ID = the person's), a group or a supergroup.
type Chat struct {
	ID        int64  `json:"id"`
	Type      string `json:"type"`
	Title     string `json:"title,omitempty"`
	Username  string `json:"username,omitempty"`
	FirstName string `json:"first_name,omitempty"`
}

// Entity marks a stretch of text; Offset and Length count UTF-16 code units.
type Entity struct {
	Type     string `json:"type"`
	Offset   int    `json:"offset"`
	Length   int    `json:"length"`
	URL      string `json:"url,omitempty"`
	User     *User  `json:"user,omitempty"`
	Language string `json:"language,omitempty"`
}

// Button is one inline button: either CallbackData or URL is set.
type Button struct {
	Text         string `json:"text"`
	URL          string `json:"url,omitempty"`
	CallbackData string `json:"callback_data,omitempty"`
}

// InlineKeyboard is the rows of buttons under a message.
type InlineKeyboard struct {
	Rows [][]Button `json:"inline_keyboard"`
}

// PhotoSize is one size of a photo, in pixels and bytes.
type PhotoSize struct {
	FileID       string `json:"file_id"`
	FileUniqueID string `json:"file_unique_id"`
	Width        int    `json:"width"`
	Height       int    `json:"height"`
	FileSize     int    `json:"file_size,omitempty"`
}

// Document is a file sent as it is.
type Document struct {
	FileID       string `json:"file_id"`
	FileUniqueID string `json:"file_unique_id"`
	FileName     string `json:"file_name,omitempty"`
	MimeType     string `json:"mime_type,omitempty"`
	FileSize     int    `json:"file_size,omitempty"`
}

// Voice is a voice note; Duration in seconds.
type Voice struct {
	FileID       string `json:"file_id"`
	FileUniqueID string `json:"file_unique_id"`
	Duration     int    `json:"duration"`
	MimeType     string `json:"mime_type,omitempty"`
	FileSize     int    `json:"file_size,omitempty"`
}

// Video is a film; Duration in seconds.
type Video struct {
	FileID       string `json:"file_id"`
	FileUniqueID string `json:"file_unique_id"`
	Width        int    `json:"width"`
	Height       int    `json:"height"`
	Duration     int    `json:"duration"`
	MimeType     string `json:"mime_type,omitempty"`
	FileSize     int    `json:"file_size,omitempty"`
}

// Sticker is a still sticker.
type Sticker struct {
	FileID       string `json:"file_id"`
	FileUniqueID string `json:"file_unique_id"`
	Type         string `json:"type"`
	Width        int    `json:"width"`
	Height       int    `json:"height"`
	IsAnimated   bool   `json:"is_animated"`
	IsVideo      bool   `json:"is_video"`
	Emoji        string `json:"emoji,omitempty"`
	FileSize     int    `json:"file_size,omitempty"`
}

// Message is one message of a chat as the Bot API documents it; Date and
// EditDate are Unix seconds of the civil clock.
type Message struct {
	MessageID           int             `json:"message_id"`
	From                *User           `json:"from,omitempty"`
	Chat                Chat            `json:"chat"`
	Date                int64           `json:"date"`
	EditDate            int64           `json:"edit_date,omitempty"`
	ReplyTo             *Message        `json:"reply_to_message,omitempty"`
	HasProtectedContent bool            `json:"has_protected_content,omitempty"`
	Text                string          `json:"text,omitempty"`
	Entities            []Entity        `json:"entities,omitempty"`
	Photo               []PhotoSize     `json:"photo,omitempty"`
	Document            *Document       `json:"document,omitempty"`
	Voice               *Voice          `json:"voice,omitempty"`
	Video               *Video          `json:"video,omitempty"`
	Sticker             *Sticker        `json:"sticker,omitempty"`
	Caption             string          `json:"caption,omitempty"`
	CaptionEntities     []Entity        `json:"caption_entities,omitempty"`
	NewChatMembers      []User          `json:"new_chat_members,omitempty"`
	LeftChatMember      *User           `json:"left_chat_member,omitempty"`
	MigrateToChatID     int64           `json:"migrate_to_chat_id,omitempty"`
	MigrateFromChatID   int64           `json:"migrate_from_chat_id,omitempty"`
	ReplyMarkup         *InlineKeyboard `json:"reply_markup,omitempty"`
}

// FromBot tells whether the bot wrote the message.
func (m Message) FromBot() bool { return m.From != nil && m.From.IsBot }

// Buttons lists the inline buttons in reading order.
func (m Message) Buttons() []Button {
	if m.ReplyMarkup == nil {
		return nil
	}
	return slices.Concat(m.ReplyMarkup.Rows...)
}

// Button finds the first inline button whose label contains the given text.
func (m Message) Button(label string) (Button, bool) {
	for _, b := range m.Buttons() {
		if strings.Contains(b.Text, label) {
			return b, true
		}
	}
	return Button{}, false
}

func (m Message) isService() bool {
	return len(m.NewChatMembers) > 0 || m.LeftChatMember != nil || m.MigrateToChatID != 0 || m.MigrateFromChatID != 0
}

// clone copies everything a caller could change.
func (m Message) clone() Message {
	m.Entities = slices.Clone(m.Entities)
	m.CaptionEntities = slices.Clone(m.CaptionEntities)
	m.Photo = slices.Clone(m.Photo)
	m.NewChatMembers = slices.Clone(m.NewChatMembers)
	m.From = cloneOf(m.From)
	m.Document = cloneOf(m.Document)
	m.Voice = cloneOf(m.Voice)
	m.Sticker = cloneOf(m.Sticker)
	m.LeftChatMember = cloneOf(m.LeftChatMember)
	if m.ReplyTo != nil {
		r := m.ReplyTo.clone()
		m.ReplyTo = &r
	}
	if m.ReplyMarkup != nil {
		rows := make([][]Button, len(m.ReplyMarkup.Rows))
		for i, row := range m.ReplyMarkup.Rows {
			rows[i] = slices.Clone(row)
		}
		m.ReplyMarkup = &InlineKeyboard{Rows: rows}
	}
	return m
}

func cloneOf[T any](p *T) *T {
	if p == nil {
		return nil
	}
	v := *p
	return &v
}

// CallbackQuery is a tap on an inline button.
type CallbackQuery struct {
	ID           string   `json:"id"`
	From         User     `json:"from"`
	Message      *Message `json:"message,omitempty"`
	ChatInstance string   `json:"chat_instance"`
	Data         string   `json:"data"`
}

// ChatMember is somebody's standing in a chat.
type ChatMember struct {
	Status string `json:"status"`
	User   User   `json:"user"`
	// UntilDate is present, and 0, for a member who was put out for good.
	UntilDate *int64 `json:"until_date,omitempty"`
}

// ChatMemberUpdated tells that the bot's own standing in a chat changed.
type ChatMemberUpdated struct {
	Chat          Chat       `json:"chat"`
	From          User       `json:"from"`
	Date          int64      `json:"date"`
	OldChatMember ChatMember `json:"old_chat_member"`
	NewChatMember ChatMember `json:"new_chat_member"`
}

// Update is one thing that happened; exactly one field beside the id is set.
type Update struct {
	UpdateID      int                `json:"update_id"`
	Message       *Message           `json:"message,omitempty"`
	EditedMessage *Message           `json:"edited_message,omitempty"`
	CallbackQuery *CallbackQuery     `json:"callback_query,omitempty"`
	MyChatMember  *ChatMemberUpdated `json:"my_chat_member,omitempty"`
}

func (u Update) kind() string {
	switch {
	case u.Message != nil:
		return "message"
	case u.EditedMessage != nil:
		return "edited_message"
	case u.CallbackQuery != nil:
		return "callback_query"
	default:
		return "my_chat_member"
	}
}

// BotCommand is one entry of a command menu.
type BotCommand struct {
	Command     string `json:"command"`
	Description string `json:"description"`
}

// ReplyKeyboard is the buttons that stand in for typing, below the composer.
type ReplyKeyboard struct {
	Rows        [][]string
	OneTime     bool
	Placeholder string
}
