package bot

import (
	"context"
	"strings"
	"time"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/store"
)

// name is the bot's own user name, "" before it is known.
func (b *Bot) name() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.username
}

// menusChanged wakes introduce: somebody joined, or reads another language.
func (b *Bot) menusChanged() {
	select {
	case b.menus <- struct{}{}:
	default:
	}
}

// menuPause lets a change of menus be committed before it is looked up.
const menuPause = time.Second

// menuStep keeps many menus from crowding out messages.
const menuStep = 200 * time.Millisecond

// introduce finds out the bot's name and hangs up the menus of commands: the
// player's in every language for everybody, and each other person's own. It is
// a courtesy: nothing waits for it and its failures are only logged.
func (b *Bot) introduce(ctx context.Context) error {
	for {
		me, err := b.Client.GetMe(ctx)
		if err == nil {
			b.mu.Lock()
			b.username = me.UserName
			b.mu.Unlock()
			break
		}
		if ctx.Err() != nil || telegram.ClassOf(err) == telegram.Unauthorized {
			return nil // the poller says so
		}
		if !sleep(ctx, time.Minute) {
			return nil
		}
	}
	for _, lang := range b.Words.Languages() {
		sp := b.Words.For(lang)
		code, _, _ := strings.Cut(lang, "-") // the server knows two-letter codes
		if lang == wording.Fallback {
			code = ""
		}
		if err := b.Client.SetMyCommands(ctx, menuOf(sp, players), telegram.Scope{}, code); err != nil && ctx.Err() == nil {
			b.Logger.Warn("the menu of commands could not be set", "event", "menu.failed", "lang", lang, "err", err)
		}
	}
	hung := map[int64]string{}
	for {
		if err := b.hangMenus(ctx, hung); err != nil && ctx.Err() == nil {
			b.Logger.Warn("the menus of staff could not be set", "event", "menu.failed", "err", err)
		}
		select {
		case <-ctx.Done():
			return nil
		case <-b.menus:
		}
		if !sleep(ctx, menuPause) {
			return nil
		}
	}
}

func sleep(ctx context.Context, d time.Duration) bool {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-ctx.Done():
		return false
	case <-t.C:
		return true
	}
}

// hangMenus sets the menu of everybody who has another than a player's in the
// language of their app. hung is what was set before, by chat.
func (b *Bot) hangMenus(ctx context.Context, hung map[int64]string) error {
	type menu struct {
		chat  int64
		roles []store.Role
		lang  string
	}
	var menus []menu
	err := b.Store.Read(ctx, func(tx *store.Tx) error {
		in, err := tx.DueInputs(b.now())
		if err != nil {
			return err
		}
		at := map[int64]int{}
		add := func(person int64, role store.Role) error {
			if i, ok := at[person]; ok {
				menus[i].roles = append(menus[i].roles, role)
				return nil
			}
			p, err := tx.Person(person)
			if err != nil || p.Chat == 0 || !p.Reachable {
				return err
			}
			at[person] = len(menus)
			menus = append(menus, menu{p.Chat, []store.Role{role}, p.Language})
			return nil
		}
		for _, s := range in.Squads {
			for _, p := range s.Players {
				if err := add(p.Person, store.RolePlayer); err != nil {
					return err
				}
			}
			for _, p := range s.Staff {
				if err := add(p.Person, p.Role); err != nil {
					return err
				}
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	for _, m := range menus {
		list := menuOf(b.Words.For(m.lang), m.roles)
		key := m.lang
		for _, c := range list {
			key += " " + c.Command
		}
		if hung[m.chat] == key {
			continue
		}
		if err := b.Client.SetMyCommands(ctx, list, telegram.Scope{Type: "chat", ChatID: m.chat}, ""); err != nil {
			if ctx.Err() != nil {
				return nil
			}
			// One chat that refuses its menu keeps nobody else from theirs.
			b.Logger.Warn("a menu of commands could not be set", "event", "menu.failed", "err", err)
			continue
		}
		hung[m.chat] = key
		if !sleep(ctx, menuStep) {
			return nil
		}
	}
	return nil
}

// menuOf is the commands that the roles may use, in the order of the table.
func menuOf(sp *wording.Speaker, roles []store.Role) []telegram.Command {
	var list []telegram.Command
	for _, c := range commands() {
		if c.roles != nil && !anyOf(c.roles, roles) {
			continue
		}
		list = append(list, telegram.Command{Command: c.name, Description: sp.Command(c.name)})
	}
	return list
}

func anyOf(want, have []store.Role) bool {
	for _, w := range want {
		for _, x := range have {
			if w == x {
				return true
			}
		}
	}
	return false
}
