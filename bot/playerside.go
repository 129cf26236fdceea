package bot

import (
	"context"

	"pegcard/bot/telegram"
	"pegcard/prescribe"
	"pegcard/store"
)

// NoticeVersion names the privacy notice that consent is given to. It changes
// when the notice does.
const NoticeVersion = "1"

func (h *hand) cmdToday(string) error    { return h.say("player.no_card") }
func (h *hand) cmdSore(string) error     { return h.say("player.sore_where") }
func (h *hand) cmdPain(string) error     { return h.say("player.pain_where") }
func (h *hand) cmdCant(string) error     { return h.say("player.cant_why") }
func (h *hand) cmdWhy(string) error      { return h.say("player.no_card") }
func (h *hand) cmdAway(string) error     { return h.say("player.away_when") }
func (h *hand) cmdUndo(string) error     { return h.say("player.undo_nothing") }
func (h *hand) cmdLanguage(string) error { return h.say("lang.choose") }
func (h *hand) cmdPrivacy(string) error  { return h.say("player.privacy_menu") }
func (h *hand) cmdHelp(string) error     { return h.say("player.help") }
func (h *hand) cmdLeave(string) error    { return h.say("player.leave_question") }

func (h *hand) start(code string) error      { return h.say("join.already") }
func (h *hand) mustConsent() (bool, error)   { return false, nil }
func (h *hand) playerText(text string) error { return h.say("player.unreadable") }

func playerTaps() []tapRow { return nil }

func (b *Bot) introduce(ctx context.Context) error { return nil }

func (b *Bot) name() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.username
}

func (r *rendering) card() (telegram.Outgoing, error)     { return telegram.Outgoing{}, errNothing }
func (r *rendering) question() (telegram.Outgoing, error) { return telegram.Outgoing{}, errNothing }
func (r *rendering) noted() (telegram.Outgoing, error) {
	return telegram.Outgoing{Text: r.sp.T("player.noted")}, nil
}

func (b *Bot) replan(tx *store.Tx, person int64, day prescribe.Day, now prescribe.Instant) error {
	c, changed, err := tx.IssueCard(person, day, now)
	if err != nil || !changed || c.State != store.CardSent {
		return err
	}
	return b.sendCard(tx, c, now)
}
