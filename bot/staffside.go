package bot

import (
	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"

	"pegcard/bot/telegram"
)

func (h *hand) cmdCards(arg string) error                 { return h.say("staff.nothing_changed") }
func (h *hand) cmdTest(arg string) error                  { return h.say("staff.nothing_changed") }
func (h *hand) cmdMinutes(arg string) error               { return h.say("staff.nothing_changed") }
func (h *hand) cmdFixtures(arg string) error              { return h.say("staff.nothing_changed") }
func (h *hand) cmdInvite(arg string) error                { return h.say("staff.nothing_changed") }
func (h *hand) staffText(text string) error               { return h.say("staff.nothing_changed") }
func (h *hand) file(m *tgbotapi.Message) error            { return h.say("staff.nothing_changed") }
func (r *rendering) lookOver() (telegram.Outgoing, error) { return telegram.Outgoing{}, errNothing }
func (r *rendering) invite() (telegram.Outgoing, error)   { return telegram.Outgoing{}, errNothing }

func staffTaps() []tapRow {
	return []tapRow{
		{verb: verbAck, run: (*hand).tapAck},
		{verb: verbCloseNote, run: (*hand).tapCloseNote},
		{verb: verbHoldSet, roles: carers, run: (*hand).tapHoldSet},
		{verb: verbHoldDo, roles: carers, run: (*hand).tapHoldDo},
		{verb: verbCancel, run: (*hand).tapCancel},
	}
}
