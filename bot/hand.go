package bot

import (
	"errors"
	"fmt"
	"time"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
)

// hand is one update being handled: who, where, when, inside one transaction.
type hand struct {
	b   *Bot
	tx  *store.Tx
	now prescribe.Instant
	// day is the civil date that the reply belongs to, in the person's zone: of
	// the message's own date, or, for a tap on a card, set by that card.
	day    prescribe.Day
	loc    *time.Location
	chat   int64
	group  bool
	user   int64
	locale string // of the person's client, a hint only
	// source names the message for supersession: an edited message has the
	// same source and so counts once.
	source  string
	message int // id of the message, or of the message whose button was tapped
	edited  bool
	tap     bool // a button was tapped
	// fetched is the file that the update is about, read before the transaction.
	fetched *fetched
	// when is the message's own date, or now for a tap.
	when prescribe.Instant
	// batch is what the message says besides sets and the session.
	batch []prescribe.Event

	person store.Person
	known  bool
	roles  []store.RoleAt
	viewer store.Viewer
	sp     *wording.Speaker
}

// is reports whether the person has the role in any squad today.
func (h *hand) is(roles ...store.Role) bool {
	for _, r := range h.roles {
		for _, want := range roles {
			if r.Role == want {
				return true
			}
		}
	}
	return false
}

func (h *hand) player() bool { return h.is(store.RolePlayer) }
func (h *hand) staff() bool {
	return h.is(store.RoleCoach, store.RoleMedical, store.RoleHeadCoach, store.RoleSafeguarding, store.RoleAdmin)
}

// Priorities of the outbox. Urgent messages overtake everything.
const (
	prioUrgent = 0
	prioFirst  = 1 // the answer to a warning sign
	prioAnswer = 2
	prioAlert  = 3
	prioCard   = 5
	prioDigest = 7
)

// answer enqueues a message to the chat that is being answered.
func (h *hand) answer(o store.Out) error {
	o.Chat = h.chat
	if h.known {
		o.Recipient = h.person.ID
	}
	if o.Priority == 0 {
		o.Priority = prioAnswer
	}
	if o.Expires == 0 {
		o.Expires = h.now + prescribe.Instant(24*time.Hour/time.Millisecond)
	}
	_, _, err := h.tx.Enqueue(o)
	return err
}

// say answers with a message of the catalogue that has no arguments, or whose
// renderer finds them in what is stored.
func (h *hand) say(id string) error { return h.answer(store.Out{Kind: outSay, Args: id}) }

// view answers with a page rendered from what is stored: a name, and arguments
// that are ids or words of our own, never text of people.
func (h *hand) view(name string, args ...any) error {
	return h.answer(store.Out{Kind: outView, Args: newTap(name, args...)})
}

// redraw is view, drawn over the message whose button was tapped.
func (h *hand) redraw(name string, args ...any) error {
	if h.message == 0 {
		return h.view(name, args...)
	}
	return h.answer(store.Out{Kind: outView, Args: newTap(name, args...), Edit: true, MessageID: h.message})
}

// userError is a mistake that the user can mend, as a message of the catalogue.
type userError struct{ id string }

func (e userError) Error() string { return e.id }

// mend makes an error that is answered with message id and rolls nothing back
// that was written before.
func mend(id string) error { return userError{id} }

// refusal turns an error of a handler into the message for it, if it is one
// that people can do something about. Everything else is ours.
func refusal(err error) (id string, ok bool) {
	var u userError
	switch {
	case errors.As(err, &u):
		return u.id, true
	case errors.Is(err, store.ErrNotFound):
		return "error.not_found", true
	case errors.Is(err, store.ErrNotAllowed):
		return "error.not_allowed", true
	}
	return "", false
}

// location is the person's zone on the day, UTC when it cannot be loaded: a
// reply must not be refused for it.
func (b *Bot) location(zone string) *time.Location {
	loc, err := store.Zone(zone)
	if err != nil {
		b.Logger.Error("time zone is not known", "event", "zone.unknown", "err", err)
		return time.UTC
	}
	return loc
}

// locate is where the person is at now: their days and mornings are counted there.
func (b *Bot) locate(tx *store.Tx, person int64, now prescribe.Instant) (*time.Location, error) {
	zone, err := tx.ZoneAt(person, now)
	if err != nil {
		return nil, err
	}
	return b.location(zone), nil
}

// rows lays buttons out, n a row.
func rows(n int, buttons ...telegram.Button) [][]telegram.Button {
	var out [][]telegram.Button
	for len(buttons) > n {
		out, buttons = append(out, buttons[:n]), buttons[n:]
	}
	if len(buttons) > 0 {
		out = append(out, buttons)
	}
	return out
}

func msgSource(chat int64, message int) string { return fmt.Sprintf("msg:%d:%d", chat, message) }
