package bot

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"

	"pegcard/bot/telegram"
	"pegcard/prescribe"
	"pegcard/store"
)

func (b *Bot) newPoller() *telegram.Poller {
	return &telegram.Poller{
		Client:  b.Client,
		Timeout: b.PollTimeout,
		Handle: func(ctx context.Context, u telegram.Update) error {
			err := b.Handle(ctx, u)
			if err != nil {
				b.status.updates.WithLabelValues("failed").Inc()
			}
			return err
		},
		Quarantine: b.quarantine,
		Logger:     b.Logger,
		Hooks: telegram.Hooks{
			BatchReceived: func() { b.Hooks.at("batch.received") },
			Handled:       func() { b.Hooks.at("update.handled") },
			BeforeConfirm: func() { b.Hooks.at("before.confirm") },
		},
	}
}

// updateKey names an update by itself: update ids may come again after a quiet
// week.
func updateKey(u telegram.Update) (string, bool) {
	switch {
	case u.Message != nil:
		return fmt.Sprintf("in/msg/%d/%d/0", u.Message.Chat.ID, u.Message.MessageID), true
	case u.EditedMessage != nil:
		return fmt.Sprintf("in/msg/%d/%d/%d", u.EditedMessage.Chat.ID, u.EditedMessage.MessageID, u.EditedMessage.EditDate), true
	case u.CallbackQuery != nil && u.CallbackQuery.Message != nil:
		q := u.CallbackQuery
		return fmt.Sprintf("in/tap/%d/%d/%s", q.Message.Chat.ID, q.Message.MessageID, q.ID), true
	case u.MyChatMember != nil:
		m := u.MyChatMember
		return fmt.Sprintf("in/member/%d/%d/%s", m.Chat.ID, m.Date, m.NewChatMember.Status), true
	}
	return "", false
}

// doubleTap is how long the same tap of the same person under another id is
// taken for the same tap. [ours] Later it counts anew, which does no harm: a
// button says an absolute result, and it may have been taken back in between.
const doubleTap = 2 * time.Second

// twice reports whether the tap has just been handled under another id. Taps
// that only show something may follow each other as fast as they like.
func (h *hand) twice(q *tgbotapi.CallbackQuery) (bool, error) {
	if strings.HasPrefix(q.Data, verbView+":") {
		return false, nil
	}
	slot := int64(h.now) / doubleTap.Milliseconds()
	// The person belongs to the meaning: two people may tap one button of a
	// group. The data may name a place of the body and a score; what is kept for
	// weeks is its hash.
	sum := sha256.Sum256([]byte(q.Data))
	key := func(slot int64) string {
		return fmt.Sprintf("in/same/%d/%d/%d/%x/%d", h.chat, h.message, h.user, sum[:16], slot)
	}
	fresh, err := h.tx.Mark(key(slot), h.now)
	if err != nil || !fresh {
		return !fresh, err
	}
	return h.tx.Marked(key(slot - 1))
}

// Handle takes one update to its end: one transaction, then it is done. It
// returns an error only when the fault is ours, and then nothing was written.
func (b *Bot) Handle(ctx context.Context, u telegram.Update) error {
	key, ok := updateKey(u)
	if !ok {
		return nil // a kind we did not ask for, or a tap on a message that is gone
	}
	who, err := b.caller(ctx, u)
	if err != nil {
		return err
	}
	if who.stranger {
		b.status.updates.WithLabelValues("stranger").Inc()
		b.greet(ctx, u, who.answer)
		return nil
	}
	tooMuch := false
	if !who.joining && messageOf(u) != nil && !urgent(u, who.lang) {
		ok, tell := b.talkers.allow(fromOf(u).ID, b.Now())
		if tooMuch = !ok; tooMuch {
			b.status.updates.WithLabelValues("refused").Inc()
			if !tell {
				return nil
			}
		}
	}
	file, err := b.fetch(ctx, u)
	if err != nil {
		return err
	}
	now := b.now()
	run := func(fn func(h *hand) error) error {
		_, err := b.Store.Once(ctx, key, now, func(tx *store.Tx) error {
			b.Hooks.at("in.transaction")
			h, err := b.newHand(tx, now, u)
			if err != nil {
				return err
			}
			h.fetched = file
			return fn(h)
		})
		return err
	}
	err = run(func(h *hand) error {
		if tooMuch {
			return h.say("error.busy")
		}
		return h.dispatch(u)
	})
	if id, ok := refusal(err); ok {
		// What the handler wrote before it found the mistake is rolled back; only
		// the sentence that says how to mend it goes out.
		err = run(func(h *hand) error { return h.say(id) })
	}
	if err != nil {
		return err
	}
	b.Hooks.at("after.commit")
	b.status.updates.WithLabelValues("handled").Inc()
	b.Changed()
	return nil
}

// Changed wakes the sender and makes the next tick look again: something was
// written.
func (b *Bot) Changed() {
	b.ticker.invalidate()
	b.sender.wake()
}

// quarantine keeps an update that could not be handled and says so to its
// sender, with a number that is in the log too.
func (b *Bot) quarantine(ctx context.Context, raw []byte, id int, reason string) error {
	now := b.now()
	b.status.updates.WithLabelValues("quarantined").Inc()
	b.Logger.Error("an update could not be handled and is set aside", "event", "update.quarantined", "update", id, "reason", reason)
	var u telegram.Update
	chat, from := int64(0), int64(0)
	if json.Unmarshal(raw, &u) == nil {
		if m := messageOf(u); m != nil && m.Chat != nil {
			chat = m.Chat.ID
		}
		if f := fromOf(u); f != nil {
			from = f.ID
		}
	}
	err := b.Store.Write(ctx, func(tx *store.Tx) error {
		if err := tx.Quarantine(raw, int64(id), reason, now); err != nil {
			return err
		}
		if chat == 0 {
			return nil
		}
		// Whose it is, so that it is in their copy and goes with their erasure.
		p, err := tx.PersonByUser(from)
		if ignoreNotFound(err) != nil {
			return err
		}
		_, _, err = tx.Enqueue(store.Out{Kind: outFault, Recipient: p.ID, Chat: chat, Args: fmt.Sprint(id), Priority: prioAnswer,
			Expires: now + hours(24), Dedup: fmt.Sprintf("fault/%d/%d", chat, id)})
		return err
	})
	b.sender.wake()
	return err
}

func hours(n int) prescribe.Instant {
	return prescribe.Instant(time.Duration(n) * time.Hour / time.Millisecond)
}

func minutes(n int) prescribe.Instant {
	return prescribe.Instant(time.Duration(n) * time.Minute / time.Millisecond)
}

func messageOf(u telegram.Update) *tgbotapi.Message {
	switch {
	case u.Message != nil:
		return u.Message
	case u.EditedMessage != nil:
		return u.EditedMessage
	case u.CallbackQuery != nil:
		return u.CallbackQuery.Message
	}
	return nil
}

func fromOf(u telegram.Update) *tgbotapi.User {
	switch {
	case u.Message != nil:
		return u.Message.From
	case u.EditedMessage != nil:
		return u.EditedMessage.From
	case u.CallbackQuery != nil:
		return u.CallbackQuery.From
	case u.MyChatMember != nil:
		return &u.MyChatMember.From
	}
	return nil
}

// caller is what is known of the sender of an update before it is handled.
type caller struct {
	// stranger: nobody of the club and without an invitation that holds. They
	// write nothing into the store, not even a key.
	stranger bool
	answer   string // to a stranger: a message of the catalogue
	joining  bool   // not of the club yet, with an invitation
	lang     string
}

func (b *Bot) caller(ctx context.Context, u telegram.Update) (caller, error) {
	who := caller{stranger: true, answer: "join.need_invitation"}
	from := fromOf(u)
	if from == nil {
		return who, nil
	}
	who.lang = from.LanguageCode
	code := ""
	if u.Message != nil && u.Message.Chat.IsPrivate() {
		if c, ok := startCode(u.Message.Text); ok {
			code = c // other words with a space in them are no code
		}
	}
	err := b.Store.Read(ctx, func(tx *store.Tx) error {
		p, err := tx.PersonByUser(from.ID)
		if err == nil {
			who = caller{lang: p.Language}
			return nil
		}
		if !errors.Is(err, store.ErrNotFound) {
			return err
		}
		left, err := tx.HasLeft(from.ID)
		if err != nil {
			return err
		}
		if left {
			who.answer = "error.stopped"
		}
		if code == "" || !b.strangers.allow(u.Message.Chat.ID, time.Now()) {
			return nil
		}
		_, err = tx.Invitation(code, b.now())
		switch {
		case err == nil:
			who.stranger, who.joining = false, true
		case errors.Is(err, store.ErrInvitationUnknown):
			who.answer = "join.code_unknown"
		case errors.Is(err, store.ErrInvitationUsed):
			who.answer = "join.code_used"
		case errors.Is(err, store.ErrInvitationExpired):
			who.answer = "join.code_expired"
		default:
			return err
		}
		return nil
	})
	return who, err
}

// greetWithin bounds an answer to a stranger.
const greetWithin = 30 * time.Second

// greet answers a stranger, at most once in a while, best effort and past the
// outbox: nothing of strangers is stored.
func (b *Bot) greet(ctx context.Context, u telegram.Update, id string) {
	m := messageOf(u)
	from := fromOf(u)
	if m == nil || from == nil || !m.Chat.IsPrivate() {
		return
	}
	sp := b.Words.For(from.LanguageCode)
	sign := u.CallbackQuery == nil && tellsSign(m.Text+" "+m.Caption, sp.Lang())
	if !b.strangers.greet(m.Chat.ID, sign, time.Now()) {
		return
	}
	text := sp.T(id)
	if sign {
		if help, err := b.cannotPass(ctx, sp); err == nil {
			text = help
		}
	}
	// It goes on when the handling is over, at the pace of all messages.
	b.sender.aside.Add(1)
	go func() {
		defer b.sender.aside.Add(-1)
		ctx, cancel := context.WithTimeout(b.alive, greetWithin)
		defer cancel()
		if b.sender.turn(ctx, m.Chat.ID) {
			_, err := b.Client.Send(ctx, telegram.Outgoing{ChatID: m.Chat.ID, Text: text, HTML: true})
			b.sender.obey(m.Chat.ID, err)
		}
	}()
}

// newHand finds out who it is and which day it is for them.
func (b *Bot) newHand(tx *store.Tx, now prescribe.Instant, u telegram.Update) (*hand, error) {
	h := &hand{b: b, tx: tx, now: now}
	if from := fromOf(u); from != nil {
		h.user, h.locale = from.ID, from.LanguageCode
	}
	when := now.Time()
	if m := messageOf(u); m != nil {
		h.chat, h.message = m.Chat.ID, m.MessageID
		h.group = !m.Chat.IsPrivate()
		h.source = msgSource(h.chat, h.message)
		if u.CallbackQuery == nil {
			when = m.Time()
			h.edited = u.EditedMessage != nil
		}
	}
	if u.MyChatMember != nil {
		h.chat, h.group = u.MyChatMember.Chat.ID, !u.MyChatMember.Chat.IsPrivate()
	}
	h.when = prescribe.InstantOf(when)
	return h, h.identify(when)
}

// identify loads the person by user id, with language, zone and roles.
func (h *hand) identify(when time.Time) error {
	p, err := h.tx.PersonByUser(h.user)
	if errors.Is(err, store.ErrNotFound) {
		h.sp, h.loc = h.b.Words.For(h.locale), time.UTC
		h.day = prescribe.DayOf(when.UTC())
		return nil
	}
	if err != nil {
		return err
	}
	h.person, h.known = p, true
	h.sp = h.b.Words.For(p.Language)
	if h.loc, err = h.b.locate(h.tx, p.ID, prescribe.InstantOf(when)); err != nil {
		return err
	}
	h.day = prescribe.DayOf(when.In(h.loc))
	if h.roles, err = h.tx.Roles(p.ID, h.day); err != nil {
		return err
	}
	h.viewer, err = h.tx.Viewer(p.ID, h.day)
	return err
}

// dispatch is the way of every update through the rooms.
func (h *hand) dispatch(u telegram.Update) error {
	switch {
	case u.MyChatMember != nil:
		return h.membership(u.MyChatMember.NewChatMember.Status)
	case u.CallbackQuery != nil:
		// The poller answers the tap itself, beside the handling.
		h.tap = true
		if again, err := h.twice(u.CallbackQuery); again || err != nil {
			return err
		}
		return h.tapped(readTap(u.CallbackQuery.Data))
	case u.Message != nil && u.Message.MigrateToChatID != 0:
		return h.tx.SetChat(h.chat, u.Message.MigrateToChatID)
	case u.Message != nil:
		return h.wrote(u.Message)
	case u.EditedMessage != nil:
		return h.wrote(u.EditedMessage)
	}
	return nil
}

// membership follows the player blocking or opening the chat.
func (h *hand) membership(status string) error {
	if h.group || !h.known {
		return nil
	}
	switch status {
	case "kicked", "left":
		return h.b.unreachable(h.tx, h.chat, h.now)
	case "member":
		return h.b.reachable(h.tx, h.chat, h.now)
	}
	return nil
}

// wrote is a message: a command, a file, or free text.
func (h *hand) wrote(m *tgbotapi.Message) error {
	text := strings.TrimSpace(m.Text)
	if code, ok := startCode(text); ok && !h.group {
		return h.start(code)
	}
	if strings.HasPrefix(text, "/") {
		return h.command(text)
	}
	if h.group {
		return nil // people talk to each other there
	}
	if !h.known {
		return h.say("join.need_invitation")
	}
	if tellsSign(text+" "+m.Caption, h.sp.Lang()) {
		if may, err := h.mayTell(); err != nil || !may {
			if err != nil {
				return err
			}
			// Nothing of it may be kept or passed on. What helps is said all the same.
			return h.view("cannotpass")
		}
	}
	if done, err := h.mustConsent(); done || err != nil {
		return err
	}
	if m.Document != nil && h.is(store.RoleCoach, store.RoleAdmin) {
		return h.file(m)
	}
	if h.player() && (m.Video != nil || m.VideoNote != nil) {
		return h.video(m)
	}
	if text == "" {
		if m.Caption != "" {
			text = strings.TrimSpace(m.Caption)
		} else {
			return h.media(m)
		}
	}
	if h.staff() {
		asked, err := h.staffAsked()
		if err != nil {
			return err
		}
		if asked || !h.player() {
			return h.staffText(text)
		}
	}
	return h.playerText(text)
}

// startCode reads "/start CODE".
func startCode(text string) (code string, ok bool) {
	word, rest, _ := strings.Cut(text, " ")
	word, _, _ = strings.Cut(word, "@")
	return strings.TrimSpace(rest), word == "/start"
}

// media answers what is not text.
func (h *hand) media(m *tgbotapi.Message) error {
	switch {
	case m.Voice != nil || m.Audio != nil:
		return h.view("voice")
	case m.Sticker != nil:
		return h.say("player.sticker")
	case m.Document != nil:
		return h.say("player.file")
	}
	return h.say("player.photo")
}
