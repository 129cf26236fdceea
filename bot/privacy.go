package bot

import (
	"bytes"
	"fmt"

	"pegcard/bot/telegram"
	"pegcard/store"
)

// outCopy is the person's copy of all that is stored about them, as a file.
const outCopy = "copy"

// eraseWithin is how many days the administrator has: the month of the General
// Data Protection Regulation, article 12(3).
const eraseWithin = 30

func (h *hand) cmdLanguage(string) error { return h.view("language") }

func (h *hand) cmdPrivacy(string) error { return h.view("privacy") }

func (h *hand) cmdHelp(string) error { return h.view("help") }

// cmdLeave asks before it ends everything.
func (h *hand) cmdLeave(string) error {
	if h.group {
		return h.say("error.group")
	}
	return h.ask(askLeave, 0, question{})
}

func (r *rendering) askLeave(d store.Dialog, q question) (telegram.Outgoing, error) {
	return telegram.Outgoing{
		Text:    r.sp.T("player.leave_question"),
		Buttons: [][]telegram.Button{{r.button("leave", "leave:yes"), r.button("stay", "leave:no")}},
	}, nil
}

func (h *hand) tapLeave(t tap) error { return h.gaveLeave(t.str(0) == "yes") }

func (h *hand) gaveLeave(yes bool) error {
	d, _, ok, err := h.open()
	if err != nil {
		return err
	}
	if !ok || d.Kind != askLeave {
		return h.stale()
	}
	if !yes {
		if err := h.replySay("player.stay"); err != nil {
			return err
		}
		return h.close()
	}
	sq, in, err := h.tx.SquadOf(h.person.ID, h.day)
	if err != nil {
		return err
	}
	if h.player() {
		if err := h.tx.WithdrawConsent(h.person.ID, h.now); err != nil {
			return err
		}
	}
	if err := h.tx.ClearDialog(h.chat); err != nil {
		return err
	}
	if err := h.tx.Leave(h.person.ID, h.now); err != nil {
		return err
	}
	if in {
		coaches, err := h.tx.Staff(sq.ID, store.RoleCoach, h.day)
		if err != nil {
			return err
		}
		for _, c := range coaches {
			if c.Chat == 0 {
				continue
			}
			if _, _, err := h.tx.Enqueue(store.Out{Kind: outView, Recipient: c.ID, Args: newTap("gone", h.person.ID), Priority: prioAlert, Expires: h.now + hours(48)}); err != nil {
				return err
			}
		}
	}
	return h.replySay("player.left")
}

// tapCopy sends the person their own data.
func (h *hand) tapCopy(tap) error {
	if err := h.say("player.privacy_copy"); err != nil {
		return err
	}
	if err := h.tx.Audit(h.person.ID, h.person.ID, "export", "", h.now); err != nil {
		return err
	}
	return h.answer(store.Out{Kind: outCopy})
}

// tapErase asks first, then tells the administrators: erasing is done at the
// machine, since it reaches backups.
func (h *hand) tapErase(t tap) error {
	if t.str(0) != "yes" {
		return h.redraw("erase")
	}
	sq, in, err := h.tx.SquadOf(h.person.ID, h.day)
	if err != nil {
		return err
	}
	var squads []int64
	if in {
		squads = append(squads, sq.ID)
	}
	for _, r := range h.roles {
		squads = append(squads, r.Squad)
	}
	told := map[int64]bool{}
	for _, s := range squads {
		admins, err := h.tx.Staff(s, store.RoleAdmin, h.day)
		if err != nil {
			return err
		}
		for _, a := range admins {
			if a.Chat == 0 || told[a.ID] {
				continue
			}
			told[a.ID] = true
			if _, _, err := h.tx.Enqueue(store.Out{Kind: outView, Recipient: a.ID, Args: newTap("eraseasked", h.person.ID), Priority: prioAlert,
				Expires: h.now + hours(24*eraseWithin), Dedup: fmt.Sprintf("erase/%s/%d/%d", h.person.Pseudo, a.ID, h.day)}); err != nil {
				return err
			}
		}
	}
	if err := h.tx.Audit(h.person.ID, h.person.ID, "erase.asked", "", h.now); err != nil {
		return err
	}
	return h.redraw("erasing")
}

// tapWithdraw ends consent: nothing about health is asked or sent any more.
func (h *hand) tapWithdraw(tap) error {
	if err := h.tx.WithdrawConsent(h.person.ID, h.now); err != nil {
		return err
	}
	if err := h.tx.ClearDialog(h.chat); err != nil {
		return err
	}
	return h.redraw("withdrawn")
}

func init() {
	pages["privacy"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		player := r.viewer.Has(store.RolePlayer)
		yes, err := r.tx.Consented(r.person.ID)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		bs := [][]telegram.Button{{r.button("copy", "copy")}, {r.button("erase", "erase")}}
		switch {
		case player && yes:
			bs = append(bs, []telegram.Button{r.button("withdraw", "unok")})
		case player:
			return pageConsent(r, tap{})
		}
		return telegram.Outgoing{Text: r.sp.T("player.privacy_menu"), Buttons: bs}, nil
	}
	pages["erase"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		return telegram.Outgoing{
			Text:    r.sp.T("player.privacy_erase_question"),
			Buttons: [][]telegram.Button{{r.button("erase", "erase:yes"), r.button("back", newTap(verbView, "privacy"))}},
		}, nil
	}
	for name, id := range map[string]string{"erasing": "player.privacy_erase_asked", "withdrawn": "player.privacy_withdrawn"} {
		pages[name] = func(r *rendering, t tap) (telegram.Outgoing, error) {
			return telegram.Outgoing{Text: r.sp.T(id)}, nil
		}
	}
	pages["eraseasked"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		p, err := r.tx.Person(t.id(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		// Staff may ask it too, who are in no squad's list of players.
		if !r.viewer.Has(store.RoleAdmin) {
			return telegram.Outgoing{}, errNothing
		}
		return telegram.Outgoing{Text: r.sp.T("staff.erase_asked", "name", p.Name, "n", eraseWithin)}, nil
	}
	pages["gone"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		p, err := r.about(t.id(0), store.RoleCoach)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		return telegram.Outgoing{Text: r.sp.T("staff.player_left", "name", p.Name)}, nil
	}
	pages["help"] = pageHelp
	pages["unknown"] = pageUnknown
}

// helps is what each role can do.
var helps = []struct {
	role store.Role
	id   string
}{
	{store.RolePlayer, "player.help"}, {store.RoleCoach, "staff.help_coach"}, {store.RoleMedical, "staff.help_medical"},
	{store.RoleHeadCoach, "staff.help_head"}, {store.RoleSafeguarding, "staff.help_safeguarding"}, {store.RoleAdmin, "staff.help_admin"},
}

func pageHelp(r *rendering, t tap) (telegram.Outgoing, error) {
	text := ""
	var buttons [][]telegram.Button
	if r.viewer.Has(store.RolePlayer) && !r.group() {
		now, card, err := r.moment()
		if err != nil {
			return telegram.Outgoing{}, err
		}
		if text = now; card != 0 {
			buttons = [][]telegram.Button{{r.button("card", newTap(verbView, "today", card))}}
		}
	}
	for _, x := range helps {
		if r.viewer.Has(x.role) {
			if text != "" {
				text += "\n\n"
			}
			text += r.sp.T(x.id)
		}
	}
	return telegram.Outgoing{Text: text, Buttons: buttons}, nil
}

// moment is what a player can do right now, and the card it is about, if there
// is one.
func (r *rendering) moment() (text string, card int64, err error) {
	if yes, err := r.tx.MayBeAsked(r.person.ID, r.now); err != nil || !yes {
		return "", 0, err
	}
	c, ok, err := r.tx.Card(r.person.ID, r.day)
	if err != nil || !ok || !sentCard(c) {
		return "", 0, err
	}
	switch c.State {
	case store.CardWithheld:
		return r.sp.T(heldWords(c.Card)), 0, nil
	case store.CardDone, store.CardChanged, store.CardMissed:
		return r.sp.T("player.help_answered"), c.ID, nil
	case store.CardStarted:
		return r.sp.T("player.help_begun"), c.ID, nil
	}
	return r.sp.T("player.help_open"), c.ID, nil
}

// copy is the person's data as a file. Reading one's own data needs no role.
func (r *rendering) copy() (telegram.Outgoing, error) {
	var b bytes.Buffer
	if err := r.tx.Export(r.person.ID, &b); err != nil {
		return telegram.Outgoing{}, err
	}
	return telegram.Outgoing{File: &telegram.Attachment{Name: "pegcard-" + r.day.String() + ".json", Data: b.Bytes()}}, nil
}
