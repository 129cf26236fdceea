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

// Kinds of the outbox. A row holds references; what it says is found when it
// is sent.
const (
	outSay      = "say"      // Args: a message of the catalogue
	outView     = "view"     // Args: a page and its arguments, as a tap's data
	outQuestion = "question" // the open question of the chat; Args: its kind
	outNoted    = "noted"    // Args: the source that was recorded
	outCard     = "card"     // Ref, Rev: the card
	outAlert    = "alert"    // Ref: the alert
	outDigest   = "digest"   // Ref: the squad; Args: role:day
	outLookOver = "lookover" // Ref: the squad; Args: day
	outInvite   = "invite"   // Ref: the invited person; Args: the one-time code
	outVideo    = "video"    // Ref: the player; Args: chat:message
	outSheet    = "sheet"    // invitations for all whom the recipient may invite
	outFault    = "fault"    // Args: the number of the fault
)

// errNothing says that a message has nothing left to say: the question was
// answered, the card replaced. It is dropped.
var errNothing = errors.New("nothing left to say")

// rendering is one row of the outbox on its way into words.
type rendering struct {
	b      *Bot
	tx     *store.Tx
	out    store.Out
	now    prescribe.Instant
	person store.Person // who reads; zero for a chat that is nobody's
	known  bool
	sp     *wording.Speaker
	loc    *time.Location
	day    prescribe.Day // today, for the reader
	viewer store.Viewer
}

// renderers says how each kind is worded. The table is filled in init: the
// pages reach back to it.
var renderers map[string]func(r *rendering) (telegram.Outgoing, error)

func init() {
	renderers = map[string]func(r *rendering) (telegram.Outgoing, error){
		outSay:      (*rendering).say,
		outFault:    (*rendering).fault,
		outView:     (*rendering).view,
		outQuestion: (*rendering).question,
		outNoted:    (*rendering).noted,
		outCard:     (*rendering).card,
		outAlert:    (*rendering).alert,
		outDigest:   (*rendering).digest,
		outLookOver: (*rendering).lookOver,
		outInvite:   (*rendering).invite,
		outSheet:    (*rendering).sheet,
		outCopy:     (*rendering).copy,
		outVideo:    (*rendering).video,
	}
}

// pages are what outView shows, by name. Player's and staff's files add theirs.
var pages = map[string]func(r *rendering, t tap) (telegram.Outgoing, error){}

// render words a row in its reader's language.
func (b *Bot) render(tx *store.Tx, o store.Out, now prescribe.Instant) (telegram.Outgoing, error) {
	r := &rendering{b: b, tx: tx, out: o, now: now, loc: time.UTC, sp: b.Words.For("")}
	if o.Recipient != 0 {
		p, err := tx.Person(o.Recipient)
		if err != nil {
			return telegram.Outgoing{}, fmt.Errorf("recipient of outbox row %d: %w", o.ID, err)
		}
		r.person, r.known = p, true
		r.sp = b.Words.For(p.Language)
		if r.loc, err = b.locate(tx, p.ID, now); err != nil {
			return telegram.Outgoing{}, err
		}
	}
	r.day = prescribe.DayOf(now.Time().In(r.loc))
	if r.known {
		v, err := tx.Viewer(r.person.ID, r.day)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		r.viewer = v
	}
	f, ok := renderers[o.Kind]
	if !ok {
		return telegram.Outgoing{}, fmt.Errorf("outbox row %d is of unknown kind %q", o.ID, o.Kind)
	}
	if r.group() && o.Kind != outSay && o.Kind != outView && o.Kind != outFault {
		return telegram.Outgoing{}, errNothing // nothing else is for a group
	}
	m, err := f(r)
	if err != nil {
		return m, err
	}
	m.ChatID, m.HTML = o.Chat, true
	return m, nil
}

func (r *rendering) say() (telegram.Outgoing, error) {
	return telegram.Outgoing{Text: r.sp.T(r.out.Args)}, nil
}

func (r *rendering) fault() (telegram.Outgoing, error) {
	return telegram.Outgoing{Text: r.sp.T("error.ours", "id", r.out.Args) + "\n" + r.sp.T("error.emergency_hint")}, nil
}

func (r *rendering) view() (telegram.Outgoing, error) {
	t := readTap(r.out.Args)
	page, ok := pages[t.verb]
	if !ok {
		return telegram.Outgoing{}, fmt.Errorf("there is no page %q", t.verb)
	}
	if r.group() && !groupPages[t.verb] && t.verb != "help" && t.verb != "unknown" {
		return telegram.Outgoing{}, errNothing // nothing else is anybody's business in a group
	}
	m, err := page(r, t)
	if errors.Is(err, store.ErrNotFound) {
		// What is gone, and what this reader may not see, look the same.
		return telegram.Outgoing{Text: r.sp.T("error.not_found")}, nil
	}
	return m, err
}

// group reports whether the message goes to a group, where no player's detail
// is shown whoever asked.
func (r *rendering) group() bool { return r.out.Chat < 0 }
