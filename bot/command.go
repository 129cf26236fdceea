package bot

import (
	"strings"

	"pegcard/bot/telegram"
	"pegcard/store"
)

// command is one /word: who may use it, where, and what it does.
type command struct {
	name  string
	roles []store.Role // any of them; nil: everybody who has joined
	group bool         // works in a group, where it shows no player's details
	run   func(h *hand, arg string) error
}

var (
	players = []store.Role{store.RolePlayer}
	coaches = []store.Role{store.RoleCoach}
	carers  = []store.Role{store.RoleCoach, store.RoleMedical}
	// schedulers keep the club's lists: matches, files, invitations.
	schedulers = []store.Role{store.RoleCoach, store.RoleAdmin}
)

// commands is the table of all commands, in the order of the menu. Adding one
// is a row here, a handler, and its words.
func commands() []command {
	return []command{
		{name: "today", roles: players, run: (*hand).cmdToday},
		{name: "sore", roles: players, run: (*hand).cmdSore},
		{name: "pain", roles: players, run: (*hand).cmdPain},
		{name: "cant", roles: players, run: (*hand).cmdCant},
		{name: "rest", roles: players, run: (*hand).cmdRest},
		{name: "why", roles: players, run: (*hand).cmdWhy},
		{name: "away", roles: players, run: (*hand).cmdAway},
		{name: "pause", roles: players, run: (*hand).cmdPause},
		{name: "undo", roles: players, run: (*hand).cmdUndo},
		{name: "progress", roles: []store.Role{store.RolePlayer, store.RoleCoach, store.RoleMedical}, run: (*hand).cmdProgress},
		{name: "squad", roles: []store.Role{store.RoleCoach, store.RoleMedical, store.RoleHeadCoach, store.RoleSafeguarding, store.RoleAdmin}, group: true, run: (*hand).cmdSquad},
		{name: "player", roles: []store.Role{store.RoleCoach, store.RoleMedical, store.RoleSafeguarding}, run: (*hand).cmdPlayer},
		{name: "cards", roles: coaches, run: (*hand).cmdCards},
		{name: "alerts", roles: []store.Role{store.RoleCoach, store.RoleMedical, store.RoleSafeguarding}, run: (*hand).cmdAlerts},
		{name: "test", roles: coaches, run: (*hand).cmdTest},
		{name: "hold", roles: carers, run: (*hand).cmdHold},
		{name: "release", roles: carers, run: (*hand).cmdRelease},
		{name: "minutes", roles: coaches, run: (*hand).cmdMinutes},
		{name: "fixtures", roles: schedulers, group: true, run: (*hand).cmdFixtures},
		{name: "dose", roles: carers, run: (*hand).cmdDose},
		{name: "report", roles: reporters, run: (*hand).cmdReport},
		{name: "digest", roles: []store.Role{store.RoleCoach, store.RoleMedical, store.RoleHeadCoach}, run: (*hand).cmdDigest},
		{name: "invite", roles: schedulers, run: (*hand).cmdInvite},
		{name: "language", run: (*hand).cmdLanguage},
		{name: "privacy", run: (*hand).cmdPrivacy},
		{name: "help", group: true, run: (*hand).cmdHelp},
		{name: "leave", run: (*hand).cmdLeave},
	}
}

// pageUnknown says what the reader may send here and now, in place of a command
// that is not there or not theirs.
func pageUnknown(r *rendering, _ tap) (telegram.Outgoing, error) {
	asked, err := r.mayBeAsked()
	if err != nil {
		return telegram.Outgoing{}, err
	}
	var names []string
	for _, c := range commands() {
		if c.roles != nil && !r.viewer.Has(c.roles...) || r.group() && !c.group || !asked && !withoutConsent[c.name] {
			continue
		}
		names = append(names, "/"+c.name)
	}
	return telegram.Outgoing{Text: r.sp.T("error.unknown_command_short", "commands", strings.Join(names, " "))}, nil
}

// mayBeAsked: the reader is no player, or one who has agreed.
func (r *rendering) mayBeAsked() (bool, error) {
	if !r.viewer.Has(store.RolePlayer) {
		return true, nil
	}
	return r.tx.MayBeAsked(r.person.ID, r.now)
}

// withoutConsent are the commands that work before consent: they ask nothing
// about health.
var withoutConsent = map[string]bool{"language": true, "privacy": true, "help": true, "leave": true}

// command runs "/name arg", also "/name@bot arg".
func (h *hand) command(text string) error {
	word, arg, _ := strings.Cut(text, " ")
	name, at, _ := strings.Cut(strings.TrimPrefix(word, "/"), "@")
	if at != "" && h.group && !strings.EqualFold(at, h.b.name()) {
		return nil // meant for another bot
	}
	if !h.known {
		return h.say("join.need_invitation")
	}
	name = strings.ToLower(name)
	for _, c := range commands() {
		if c.name != name {
			continue
		}
		if h.group && !c.group {
			return h.say("error.group")
		}
		if c.roles != nil && !h.is(c.roles...) {
			// Who may not use a command is told the same as for one that is not there.
			return h.view("unknown")
		}
		if !withoutConsent[name] {
			if done, err := h.mustConsent(); done || err != nil {
				return err
			}
		}
		return c.run(h, strings.TrimSpace(arg))
	}
	if h.group {
		return nil
	}
	return h.view("unknown")
}
