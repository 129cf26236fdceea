package localchat

import (
	"encoding/json"
	"regexp"
	"strconv"
)

// commandKey is where a command menu is shown, and in which language.
type commandKey struct {
	scope    string
	chat     int64
	user     int64
	language string
}

var (
	commandName  = regexp.MustCompile(`^[a-z0-9_]{1,32}$`)
	languageCode = regexp.MustCompile(`^([a-z]{2})?$`)
)

func (s *Server) commandKeyOf(c *call) (commandKey, *failure) {
	k := commandKey{scope: "default", language: c.str("language_code")}
	if !languageCode.MatchString(k.language) {
		return k, badRequest("invalid language code specified")
	}
	raw := c.str("scope")
	if raw == "" {
		return k, nil
	}
	var scope struct {
		Type   string      `json:"type"`
		ChatID json.Number `json:"chat_id"`
		UserID json.Number `json:"user_id"`
	}
	if err := json.Unmarshal([]byte(raw), &scope); err != nil {
		return k, badRequest("can't parse BotCommandScope: %v", err)
	}
	k.scope = scope.Type
	switch scope.Type {
	case "default", "all_private_chats", "all_group_chats", "all_chat_administrators":
		return k, nil
	case "chat", "chat_administrators", "chat_member":
		ch, f := s.findChat(scope.ChatID.String())
		if f != nil {
			return k, f
		}
		k.chat = ch.id
		if scope.Type == "chat" {
			return k, nil
		}
		if !ch.isGroup() {
			return k, badRequest("can't change commands for members of a private chat")
		}
		if scope.Type == "chat_member" {
			id, err := strconv.ParseInt(scope.UserID.String(), 10, 64)
			if err != nil || s.people[id] == nil {
				return k, badRequest("user not found")
			}
			k.user = id
		}
		return k, nil
	}
	return k, badRequest("can't parse BotCommandScope: unsupported type specified")
}

func (s *Server) setMyCommands(c *call) (any, *failure) {
	k, f := s.commandKeyOf(c)
	if f != nil {
		return nil, f
	}
	var list []BotCommand
	if err := json.Unmarshal([]byte(c.str("commands")), &list); err != nil {
		return nil, badRequest("can't parse commands JSON object")
	}
	if len(list) > 100 {
		return nil, badRequest("BOT_COMMANDS_TOO_MUCH")
	}
	for i := range list {
		if len(list[i].Command) > 0 && list[i].Command[0] == '/' {
			list[i].Command = list[i].Command[1:]
		}
		if !commandName.MatchString(list[i].Command) {
			return nil, badRequest("BOT_COMMAND_INVALID")
		}
		if n := units(list[i].Description); n < 1 || n > 256 {
			return nil, badRequest("BOT_COMMAND_DESCRIPTION_INVALID")
		}
	}
	if len(list) == 0 {
		delete(s.commands, k)
	} else {
		s.commands[k] = list
	}
	return true, nil
}

func (s *Server) getMyCommands(c *call) (any, *failure) {
	k, f := s.commandKeyOf(c)
	if f != nil {
		return nil, f
	}
	list := s.commands[k]
	if list == nil {
		list = []BotCommand{}
	}
	return list, nil
}

func (s *Server) deleteMyCommands(c *call) (any, *failure) {
	k, f := s.commandKeyOf(c)
	if f != nil {
		return nil, f
	}
	delete(s.commands, k)
	return true, nil
}

// menu is the list a person sees in a chat: the first that exists in the
// order documented under "Determining list of commands". The bot is nobody's
// administrator here, and neither are the people.
func (s *Server) menu(p *person, ch *chat) []BotCommand {
	var scopes []commandKey
	if ch.isGroup() {
		scopes = []commandKey{{scope: "chat_member", chat: ch.id, user: p.ID}, {scope: "chat", chat: ch.id}, {scope: "all_group_chats"}, {scope: "default"}}
	} else {
		scopes = []commandKey{{scope: "chat", chat: ch.id}, {scope: "all_private_chats"}, {scope: "default"}}
	}
	languages := []string{""}
	if len(p.LanguageCode) >= 2 {
		languages = []string{p.LanguageCode[:2], ""}
	}
	for _, k := range scopes {
		for _, k.language = range languages {
			if list := s.commands[k]; list != nil {
				return list
			}
		}
	}
	return nil
}
