package bot

import (
	"errors"
	"strings"

	"pegcard/bot/telegram"
	"pegcard/prescribe"
	"pegcard/store"
)

// inviteDays is how long an invitation can be used.
const inviteDays = 7

// cmdInvite makes a one-time invitation for a player or member of staff, by
// key or by the start of the name.
func (h *hand) cmdInvite(arg string) error {
	switch {
	case arg == "":
		return h.view("invitewho")
	case strings.EqualFold(arg, "all"):
		return h.inviteAll()
	}
	p, err := h.invited(arg)
	if err != nil {
		return err
	}
	return h.invitePerson(p)
}

// invited finds whom the words name among those whose squads the asker runs.
func (h *hand) invited(arg string) (store.Person, error) {
	p, err := h.tx.PersonByKey(arg)
	if errors.Is(err, store.ErrNotFound) {
		found := []store.Person(nil)
		list, err := h.invitable()
		if err != nil {
			return store.Person{}, err
		}
		for _, q := range list {
			if strings.Contains(strings.ToLower(q.Name), strings.ToLower(arg)) {
				found = append(found, q)
			}
		}
		if len(found) != 1 {
			return store.Person{}, mend("staff.player_none")
		}
		return found[0], nil
	}
	if err != nil {
		return store.Person{}, err
	}
	list, err := h.invitable()
	if err != nil {
		return store.Person{}, err
	}
	for _, q := range list {
		if q.ID == p.ID {
			return p, nil
		}
	}
	return store.Person{}, store.ErrNotFound
}

// invitable are the people of the squads that the asker coaches or
// administers. A coach invites players only: who gets a staff role's rights is
// the administrator's to say.
func (h *hand) invitable() ([]store.Person, error) {
	return invitableBy(h.tx, h.viewer, h.day)
}

func invitableBy(tx *store.Tx, v store.Viewer, day prescribe.Day) ([]store.Person, error) {
	var out []store.Person
	seen := map[int64]bool{}
	add := func(ps []store.Person) {
		for _, p := range ps {
			if !seen[p.ID] {
				seen[p.ID] = true
				out = append(out, p)
			}
		}
	}
	for _, role := range v.Roles {
		if role.Role != store.RoleCoach && role.Role != store.RoleAdmin {
			continue
		}
		ps, err := tx.Members(role.Squad, day)
		if err != nil {
			return nil, err
		}
		add(ps)
		if role.Role != store.RoleAdmin {
			continue
		}
		for _, staff := range []store.Role{store.RoleCoach, store.RoleMedical, store.RoleHeadCoach, store.RoleSafeguarding, store.RoleAdmin} {
			ps, err := tx.Staff(role.Squad, staff, day)
			if err != nil {
				return nil, err
			}
			add(ps)
		}
	}
	return out, nil
}

const verbInvite = "iv" // iv:person

func (h *hand) tapInvite(t tap) error {
	list, err := h.invitable()
	if err != nil {
		return err
	}
	for _, p := range list {
		if p.ID == t.id(0) {
			return h.invitePerson(p)
		}
	}
	return store.ErrNotFound
}

// invitePerson makes the invitation. A new one for somebody who has a chat moves
// that chat to whoever opens the link: an administrator's to decide.
func (h *hand) invitePerson(p store.Person) error {
	if p.Chat != 0 && !h.is(store.RoleAdmin) {
		return mend("staff.invite_again")
	}
	code, err := h.tx.Invite(p.ID, h.person.ID, h.now, h.now+hours(24*inviteDays))
	if err != nil {
		return err
	}
	if err := h.tx.Audit(h.person.ID, p.ID, "invite", "", h.now); err != nil {
		return err
	}
	return h.answer(store.Out{Kind: outInvite, Ref: p.ID, Args: code})
}

// invite hands the link out. It stands in this one message only: what is
// stored of the code is its hash.
func (r *rendering) invite() (telegram.Outgoing, error) {
	p, err := r.tx.Person(r.out.Ref)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	link := inviteLink(r.b.name(), r.out.Args)
	return telegram.Outgoing{Text: r.sp.T("staff.invite_made", "name", p.Name, "day", r.day+inviteDays, "link", link), Protect: true}, nil
}

func init() {
	pages["invitewho"] = func(r *rendering, _ tap) (telegram.Outgoing, error) {
		list, err := invitableBy(r.tx, r.viewer, r.day)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		m := telegram.Outgoing{Text: r.sp.T("staff.invite_who")}
		var buttons []telegram.Button
		for _, p := range list {
			if p.Chat == 0 {
				buttons = append(buttons, telegram.Button{Text: clip(p.Name, 24), Data: newTap(verbInvite, p.ID)})
			}
		}
		if len(buttons) == 0 {
			return telegram.Outgoing{Text: r.sp.T("staff.sheet_nobody")}, nil
		}
		m.Buttons = append([][]telegram.Button{{r.button("invite_all", newTap(verbInviteAll))}}, rows(2, buttons...)...)
		return m, nil
	}
}
