package bot

import (
	"context"

	"pegcard/bot/telegram"
	"pegcard/bot/understand"
	"pegcard/bot/wording"
	"pegcard/store"
)

// Warning signs from people whose words may not be kept: strangers, and players
// who have not agreed, wait for their guardian, or have left. Nothing is stored
// and nobody is told; the answer says so, and whom to call.

// tellsSign reports whether a text names or hints at a warning sign.
func tellsSign(text, lang string) bool {
	read := understand.Read(text, understand.Context{Lang: lang})
	for _, m := range read.Meanings {
		if m.Kind == understand.Warning {
			return true
		}
	}
	for _, q := range read.Unclear {
		if q.Code == understand.QSign {
			return true
		}
	}
	return false
}

// mayTell reports whether what the person writes about health may be kept.
// Staff do not write about their own.
func (h *hand) mayTell() (bool, error) {
	if !h.known || !h.player() {
		return true, nil
	}
	yes, err := h.tx.Consented(h.person.ID)
	if err != nil || !yes {
		return false, err
	}
	missing, err := h.tx.GuardianMissing(h.person.ID, h.now)
	return !missing, err
}

func cannotPassText(sp *wording.Speaker, club store.Club) string {
	if club.Emergency == "" {
		return sp.T("player.cannot_pass_no_number")
	}
	return sp.T("player.cannot_pass", "number", club.Emergency)
}

// cannotPass is the text for a stranger.
func (b *Bot) cannotPass(ctx context.Context, sp *wording.Speaker) (text string, err error) {
	err = b.Store.Read(ctx, func(tx *store.Tx) error {
		club, err := tx.Club()
		text = cannotPassText(sp, club)
		return err
	})
	return text, err
}

func init() {
	pages["cannotpass"] = func(r *rendering, _ tap) (telegram.Outgoing, error) {
		club, err := r.tx.Club()
		return telegram.Outgoing{Text: cannotPassText(r.sp, club)}, err
	}
}
