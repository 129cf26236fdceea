package bot

import (
	"context"
	"errors"

	"pegcard/bot/telegram"
	"pegcard/prescribe"
	"pegcard/store"
)

// CommandNames are the names of all commands.
func CommandNames() []string {
	var out []string
	for _, c := range commands() {
		out = append(out, c.name)
	}
	return out
}

// TappablePages are the pages that a button may open.
func TappablePages() []string {
	var out []string
	for name := range tappable {
		out = append(out, name)
	}
	return out
}

// Probed is what updates would have led to.
type Probed struct {
	Stranger string             // the message of the catalogue for somebody who is nobody of the club
	Refused  string             // the message of the catalogue that a handler's error became
	Said     map[int64][]string // chat → what would have been sent
}

var errTakeBack = errors.New("taken back")

// Probe handles updates one after the other as Handle does, words what they
// would send, and takes everything back. look is called before the last update
// and after it.
func (b *Bot) Probe(ctx context.Context, steps []func(tx *store.Tx) telegram.Update, look func(tx *store.Tx)) (Probed, error) {
	out := Probed{Said: map[int64][]string{}}
	now := b.now()
	err := b.Store.Write(ctx, func(tx *store.Tx) error {
		for i, step := range steps {
			u := step(tx)
			who, err := b.caller(ctx, u)
			if err != nil {
				return err
			}
			if who.stranger {
				if i == len(steps)-1 {
					look(tx)
					out.Stranger = who.answer
				}
				continue
			}
			if i == len(steps)-1 {
				look(tx)
				// What the steps before it have to say is not of interest.
				if _, err := b.wordAll(tx, nil); err != nil {
					return err
				}
			}
			h, err := b.newHand(tx, now, u)
			if err != nil {
				return err
			}
			err = h.dispatch(u)
			id, refused := refusal(err)
			if err != nil && !refused {
				return err
			}
			if i < len(steps)-1 {
				continue
			}
			if out.Refused = id; refused {
				out.Said[h.chat] = append(out.Said[h.chat], h.sp.T(id))
				return errTakeBack // what was written before is rolled back
			}
			if _, err := b.wordAll(tx, out.Said); err != nil {
				return err
			}
		}
		look(tx)
		return errTakeBack
	})
	if errors.Is(err, errTakeBack) {
		err = nil
	}
	return out, err
}

// wordAll words what is due and marks it sent.
func (b *Bot) wordAll(tx *store.Tx, said map[int64][]string) (n int, err error) {
	for range 100 {
		outs, err := tx.ClaimOut(b.now(), 100, nil)
		if err != nil || len(outs) == 0 {
			return n, err
		}
		for _, o := range outs {
			m, err := b.render(tx, o, b.now())
			switch {
			case errors.Is(err, errNothing), errors.Is(err, store.ErrNotFound):
				if err := tx.OutBury(o.ID, "nothing to say"); err != nil {
					return n, err
				}
				continue
			case err != nil:
				return n, err
			}
			if said != nil {
				text := m.Text
				if m.File != nil {
					text += " (file " + m.File.Name + ")"
				}
				said[o.Chat] = append(said[o.Chat], text)
			}
			if err := tx.OutSent(o.ID, o.Chat, 1_000_000+n, b.now()); err != nil {
				return n, err
			}
			n++
		}
	}
	return n, errors.New("the outbox does not become empty")
}

// LookHash is what the button that approves all of a squad's cards carries
// for that coach.
func (b *Bot) LookHash(tx *store.Tx, coach, squad int64, day prescribe.Day) (string, error) {
	sq, err := tx.Squad(squad)
	if err != nil {
		return "", err
	}
	v, err := tx.Viewer(coach, day)
	if err != nil {
		return "", err
	}
	list, err := (&rendering{b: b, tx: tx, now: b.now(), sp: b.Words.For(""), viewer: v}).lookAt(sq, day)
	return lookHash(list), err
}

// HelpIDs are the messages that say what each role can do.
func HelpIDs() map[store.Role]string {
	out := map[store.Role]string{}
	for _, x := range helps {
		out[x.role] = x.id
	}
	return out
}

// CommandsOf are the commands that the role may use.
func CommandsOf(role store.Role) []string {
	var out []string
	for _, c := range commands() {
		if c.roles == nil || anyOf(c.roles, []store.Role{role}) {
			out = append(out, c.name)
		}
	}
	return out
}
