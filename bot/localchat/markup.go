package localchat

import (
	"encoding/json"
	"net/url"
	"strings"
)

const (
	maxCallbackData = 64 // bytes
	maxButtons      = 100
)

// markup is what reply_markup asked for; at most one field is set.
type markup struct {
	inline   *InlineKeyboard
	keyboard *ReplyKeyboard
	remove   bool
}

func (c *call) markup() (markup, *failure) {
	var m markup
	raw := strings.TrimSpace(c.str("reply_markup"))
	if raw == "" {
		return m, nil
	}
	var in struct {
		Inline []([]struct {
			Text         string  `json:"text"`
			URL          string  `json:"url"`
			CallbackData *string `json:"callback_data"`
		}) `json:"inline_keyboard"`
		Keyboard    [][]json.RawMessage `json:"keyboard"`
		OneTime     bool                `json:"one_time_keyboard"`
		Placeholder string              `json:"input_field_placeholder"`
		Remove      bool                `json:"remove_keyboard"`
		Force       bool                `json:"force_reply"`
	}
	if raw[0] != '{' {
		return m, badRequest("object expected as reply markup")
	}
	if err := json.Unmarshal([]byte(raw), &in); err != nil {
		return m, badRequest("can't parse reply keyboard markup JSON object")
	}
	switch {
	case in.Inline != nil:
		m.inline = &InlineKeyboard{}
		n := 0
		for _, row := range in.Inline {
			var out []Button
			for _, b := range row {
				n++
				switch {
				case strings.TrimSpace(b.Text) == "":
					return m, badRequest("can't parse inline keyboard button: Field \"text\" must be non-empty")
				case b.URL != "":
					u, err := url.Parse(b.URL)
					if err != nil || u.Host == "" && u.Scheme != "tg" {
						return m, badRequest("inline keyboard button URL '%s' is invalid: Wrong HTTP URL", b.URL)
					}
					out = append(out, Button{Text: b.Text, URL: b.URL})
				case b.CallbackData == nil || *b.CallbackData == "":
					return m, badRequest("can't parse inline keyboard button: Text buttons are unallowed in the inline keyboard")
				case len(*b.CallbackData) > maxCallbackData:
					return m, badRequest("BUTTON_DATA_INVALID")
				default:
					out = append(out, Button{Text: b.Text, CallbackData: *b.CallbackData})
				}
			}
			if len(out) > 0 {
				m.inline.Rows = append(m.inline.Rows, out)
			}
		}
		if n > maxButtons {
			return m, badRequest("REPLY_MARKUP_TOO_LONG")
		}
		if len(m.inline.Rows) == 0 {
			m.inline = nil // an empty keyboard is none
		}
	case in.Keyboard != nil:
		m.keyboard = &ReplyKeyboard{OneTime: in.OneTime, Placeholder: in.Placeholder}
		for _, row := range in.Keyboard {
			var out []string
			for _, b := range row {
				text, ok := keyText(b)
				if !ok {
					return m, badRequest("can't parse keyboard button: Field \"text\" must be a non-empty string")
				}
				out = append(out, text)
			}
			if len(out) > 0 {
				m.keyboard.Rows = append(m.keyboard.Rows, out)
			}
		}
	case in.Remove:
		m.remove = true
	}
	return m, nil
}

// keyText reads a keyboard button: a string, or an object with a text.
func keyText(raw json.RawMessage) (string, bool) {
	var s string
	if json.Unmarshal(raw, &s) == nil {
		return s, s != ""
	}
	var o struct {
		Text string `json:"text"`
	}
	err := json.Unmarshal(raw, &o)
	return o.Text, err == nil && o.Text != ""
}
