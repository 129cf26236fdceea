package bot

import (
	"errors"
	"time"

	"pegcard/bot/telegram"
	"pegcard/prescribe"
	"pegcard/schedule"
	"pegcard/store"
)

// NoticeVersion names the privacy notice that consent is given to. It changes
// when the notice does, so that it can be shown what somebody agreed to.
const NoticeVersion = "2"

// start is /start, with the code of an invitation or without.
func (h *hand) start(code string) error {
	if code == "" {
		if !h.known {
			return h.say("join.need_invitation")
		}
		return h.backAgain()
	}
	was, err := h.tx.Invitation(code, h.now)
	var p store.Person
	if err == nil && was.Chat != 0 && was.Chat != h.chat {
		err = h.movesAway(was)
	}
	if err == nil {
		p, err = h.tx.Join(code, h.user, h.chat, h.now)
	}
	var problem *store.Problem
	switch {
	case err == nil:
	case h.known && (errors.Is(err, store.ErrInvitationUsed) || errors.Is(err, store.ErrInvitationUnknown)):
		// The link that let somebody in is often opened again.
		return h.backAgain()
	case errors.Is(err, store.ErrInvitationUnknown):
		return h.say("join.code_unknown")
	case errors.Is(err, store.ErrInvitationUsed):
		return h.say("join.code_used")
	case errors.Is(err, store.ErrInvitationExpired):
		return h.say("join.code_expired")
	case errors.As(err, &problem):
		return h.say("join.other_account")
	default:
		return err
	}
	if err := h.identify(h.now.Time()); err != nil {
		return err
	}
	h.b.menusChanged()
	if was.Chat != 0 {
		if was.Chat != h.chat {
			if err := h.say("join.new_phone"); err != nil {
				return err
			}
		}
		return h.backAgain()
	}
	h.person = p
	return h.view("welcome")
}

// movesAway tells the chat that a person leaves behind, while it is still known
// as theirs: a chat that is taken over must not fall silent unseen. Of an
// under-18 the safeguarding officers hear too.
func (h *hand) movesAway(p store.Person) error {
	if err := h.tx.ClearDialog(p.Chat); err != nil {
		return err
	}
	if _, _, err := h.tx.Enqueue(store.Out{Kind: outSay, Recipient: p.ID, Chat: p.Chat, Args: "join.moved_away", Priority: prioFirst, Expires: h.now + hours(7*24)}); err != nil {
		return err
	}
	day, err := h.tx.Today(p.ID, h.now)
	if err != nil {
		return err
	}
	young, err := underage(h.tx, p.ID, day)
	if err != nil || !young {
		return err
	}
	sq, in, err := h.tx.SquadOf(p.ID, day)
	if err != nil || !in {
		return err
	}
	officers, err := h.b.joined(h.tx, sq.ID, store.RoleSafeguarding, day)
	if err != nil {
		return err
	}
	for _, o := range officers {
		if _, _, err := h.tx.Enqueue(store.Out{Kind: outView, Recipient: o.ID, Args: newTap("moved", p.ID), Priority: prioAlert, Expires: h.now + hours(7*24)}); err != nil {
			return err
		}
	}
	return nil
}

// backAgain is for somebody who is in already.
func (h *hand) backAgain() error {
	if done, err := h.mustConsent(); done || err != nil {
		return err
	}
	if !h.player() {
		return h.say("join.already_staff")
	}
	if err := h.say("join.already"); err != nil {
		return err
	}
	return h.cmdToday("")
}

// mustConsent asks for consent where a player has not given it: nothing about
// health is asked or taken before. done: the asking was the answer.
func (h *hand) mustConsent() (done bool, err error) {
	if !h.known || !h.player() {
		return false, nil
	}
	yes, err := h.tx.MayBeAsked(h.person.ID, h.now)
	if err != nil || yes {
		return false, err
	}
	if h.group {
		return true, h.say("error.group")
	}
	return true, h.view("consent")
}

// tapLanguage takes the language chosen; for somebody new the privacy notice
// comes next.
func (h *hand) tapLanguage(t tap) error {
	lang := t.str(0)
	if h.b.Words.For(lang).Lang() != lang {
		return h.say("error.old_button")
	}
	if err := h.tx.SetLanguage(h.person.ID, lang); err != nil {
		return err
	}
	h.person.Language, h.sp = lang, h.b.Words.For(lang)
	h.b.menusChanged()
	if t.str(1) == "new" {
		if h.player() {
			return h.redraw("consent")
		}
		return h.redraw("staffin")
	}
	return h.redraw("language_is")
}

// tapAgree records consent, with the language in which the notice was read.
func (h *hand) tapAgree(t tap) error {
	if t.str(0) != NoticeVersion {
		return h.redraw("consent")
	}
	blocked, err := h.tx.GuardianMissing(h.person.ID, h.now)
	if err != nil || blocked {
		return errors.Join(err, h.redraw("consent"))
	}
	yes, err := h.tx.Consented(h.person.ID)
	if err != nil {
		return err
	}
	if !yes {
		if err := h.tx.Consent(h.person.ID, NoticeVersion, h.sp.Lang(), h.now); err != nil {
			return err
		}
	}
	return h.redraw("agreed")
}

func (h *hand) tapDisagree(tap) error {
	yes, err := h.tx.Consented(h.person.ID)
	if err != nil {
		return err
	}
	if yes {
		if err := h.tx.WithdrawConsent(h.person.ID, h.now); err != nil {
			return err
		}
	}
	return h.redraw("declined")
}

func underage(tx *store.Tx, person int64, day prescribe.Day) (bool, error) {
	years, known, err := tx.Age(person, day)
	if err != nil {
		return false, err
	}
	if known {
		return years < 18, nil
	}
	sq, in, err := tx.SquadOf(person, day)
	return in && sq.Youth, err
}

// GuardianAgreed is the message to a player after a parent or guardian agreed,
// to be enqueued where that is recorded.
func GuardianAgreed(person int64, now prescribe.Instant) store.Out {
	return store.Out{Kind: outView, Recipient: person, Args: newTap("consent", "guardian"), Priority: prioAnswer, Expires: now + hours(7*24)}
}

func init() {
	pages["welcome"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		club, err := r.tx.Club()
		if err != nil {
			return telegram.Outgoing{}, err
		}
		return telegram.Outgoing{
			Text:    r.sp.T("join.welcome", "name", r.person.Name, "club", club.Name) + "\n\n" + r.sp.T("lang.choose"),
			Buttons: r.languages("new"),
		}, nil
	}
	pages["language"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		return telegram.Outgoing{Text: r.sp.T("lang.choose"), Buttons: r.languages()}, nil
	}
	pages["language_is"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		return telegram.Outgoing{Text: r.sp.T("lang.changed")}, nil
	}
	pages["consent"] = pageConsent
	pages["agreed"] = pageAgreed
	pages["declined"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		return telegram.Outgoing{Text: r.sp.T("join.declined")}, nil
	}
	pages["staffin"] = pageStaffIn
	pages["guardian"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		p, err := r.about(t.id(0), store.RoleAdmin)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		return telegram.Outgoing{Text: r.sp.T("staff.guardian_needed", "name", p.Name, "key", p.Key)}, nil
	}
	pages["moved"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		p, err := r.about(t.id(0), store.RoleSafeguarding)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		return telegram.Outgoing{Text: r.sp.T("staff.chat_moved", "name", p.Name)}, nil
	}
}

// about is the player that a notice to staff is about; errNothing unless the
// reader has one of roles in the player's squad, or in the last one.
func (r *rendering) about(player int64, roles ...store.Role) (store.Person, error) {
	p, err := r.tx.Person(player)
	if err != nil {
		return p, err
	}
	sq, ok, err := r.tx.LastSquad(player, r.day)
	if err != nil {
		return p, err
	}
	if !ok || !r.viewer.May(sq.ID, roles...) {
		return p, errNothing
	}
	return p, nil
}

// languages is a button for each language, by its own name.
func (r *rendering) languages(more ...any) [][]telegram.Button {
	var bs []telegram.Button
	for _, tag := range r.b.Words.Languages() {
		bs = append(bs, telegram.Button{Text: r.b.Words.For(tag).Plain("lang.name"), Data: newTap("lang", append([]any{tag}, more...)...)})
	}
	return rows(2, bs...)
}

// pageConsent is the privacy notice with its question, or, for somebody under
// 18, that a parent or guardian comes first. t: guardian, when they have just
// agreed.
func pageConsent(r *rendering, t tap) (telegram.Outgoing, error) {
	young, err := underage(r.tx, r.person.ID, r.day)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	missing, err := r.tx.GuardianMissing(r.person.ID, r.now)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	text := r.sp.T("join.privacy")
	if young {
		text += "\n" + r.sp.T("join.privacy_youth")
	}
	if missing {
		return telegram.Outgoing{Text: text + "\n\n" + r.sp.T("join.guardian_needed")}, r.tellAdmins()
	}
	if t.str(0) == "guardian" {
		text = r.sp.T("join.guardian_done") + "\n\n" + text
	}
	return telegram.Outgoing{
		Text: text + "\n\n" + r.sp.T("join.privacy_question"),
		Buttons: [][]telegram.Button{{
			{Text: r.sp.Button("agree"), Data: newTap("ok", NoticeVersion)},
			{Text: r.sp.Button("disagree"), Data: "nok"},
		}},
	}, nil
}

// tellAdmins tells the administrators once that a guardian has to be asked.
func (r *rendering) tellAdmins() error {
	sq, ok, err := r.tx.SquadOf(r.person.ID, r.day)
	if err != nil || !ok {
		return err
	}
	admins, err := r.tx.Staff(sq.ID, store.RoleAdmin, r.day)
	if err != nil {
		return err
	}
	for _, a := range admins {
		if a.Chat == 0 {
			continue
		}
		if _, _, err := r.tx.Enqueue(store.Out{Kind: outView, Recipient: a.ID, Args: newTap("guardian", r.person.ID), Priority: prioAlert,
			Expires: r.now + hours(7*24), Dedup: "guardian/" + r.person.Pseudo}); err != nil {
			return err
		}
	}
	return nil
}

// pageAgreed says when the next card comes.
func pageAgreed(r *rendering, t tap) (telegram.Outgoing, error) {
	at, err := r.nextMorning()
	if err != nil {
		return telegram.Outgoing{}, err
	}
	return telegram.Outgoing{Text: r.sp.T("join.agreed", "time", r.sp.At(at.In(r.loc)))}, nil
}

// nextMorning is when the reader's next card comes: the next morning, or now
// where this morning's has passed and today's card still goes out.
func (r *rendering) nextMorning() (time.Time, error) {
	sq, ok, err := r.tx.SquadOf(r.person.ID, r.day)
	if err != nil {
		return time.Time{}, err
	}
	if !ok {
		return schedule.At(r.day+1, 0, r.loc), nil
	}
	if now := r.now.Time(); now.After(schedule.At(r.day, sq.CardsAt, r.loc)) && now.Before(schedule.CutOff(r.day, sq, r.loc)) {
		card, err := r.tx.Plan(r.person.ID, r.day)
		if err != nil {
			return time.Time{}, err
		}
		if card.Kind != prescribe.CardRest && !card.Approval {
			return now, nil
		}
	}
	for d := r.day; ; d++ {
		if at := schedule.At(d, sq.CardsAt, r.loc); at.After(r.now.Time()) {
			return at, nil
		}
	}
}

// pageStaffIn is what a member of staff reads after joining.
func pageStaffIn(r *rendering, t tap) (telegram.Outgoing, error) {
	var lines []string
	for _, role := range r.viewer.Roles {
		sq, err := r.tx.Squad(role.Squad)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		lines = append(lines, r.sp.T("join.agreed_staff", "role", r.sp.Role(string(role.Role)), "squad", sq.Name))
	}
	if len(lines) == 0 {
		return telegram.Outgoing{Text: r.sp.T("join.already")}, nil
	}
	return telegram.Outgoing{Text: joinLines(lines)}, nil
}
