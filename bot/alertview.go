package bot

import (
	"errors"
	"fmt"
	"strings"

	"pegcard/bot/telegram"
	"pegcard/prescribe"
	"pegcard/store"
)

// Verbs of the buttons under an alert.
const (
	verbAck       = "ack"  // ack:alert
	verbCloseNote = "shut" // shut:alert: asks for a note
)

// alert words one alert for one reader, by what that reader may see.
func (r *rendering) alert() (telegram.Outgoing, error) {
	a, err := r.tx.Alert(r.out.Ref)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	text, see, err := r.alertText(a)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	var m telegram.Outgoing
	answers, err := r.mayAnswer(a)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	if a.State == store.AlertOpen && !r.out.Edit && r.out.Args != "0" {
		if answers {
			text = r.sp.T("alert.repeat") + "\n" + text
		}
	}
	switch a.State {
	case store.AlertOpen:
		if answers {
			text += "\n" + r.sp.T("alert.acknowledge_hint")
			m.Buttons = rows(1, telegram.Button{Text: r.sp.Button("ack"), Data: newTap(verbAck, a.ID)})
		}
	default:
		line, err := r.alertEnd(a)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		text += "\n" + line
		if answers && a.State == store.AlertAcknowledged {
			m.Buttons = rows(1, telegram.Button{Text: r.sp.Button("close"), Data: newTap(verbCloseNote, a.ID)})
		}
	}
	if see.Has(prescribe.ForCoach) || see.Has(prescribe.ForMedical) {
		m.Buttons = append(m.Buttons, []telegram.Button{{Text: r.sp.Button("open_player"), Data: newTap(verbView, "player", a.Person)}})
	}
	m.Text = text
	m.Protect = see.Has(prescribe.ForMedical)
	if m.Protect {
		// Somebody is shown medical data: that goes to the audit.
		if err := r.tx.Audit(r.person.ID, a.Person, "alert.shown", string(a.Kind), r.now); err != nil {
			return telegram.Outgoing{}, err
		}
	}
	return m, nil
}

// alertText is the head and the sentence of an alert for the reader.
func (r *rendering) alertText(a store.Alert) (string, prescribe.Audience, error) {
	seen, err := r.tx.ViewAlert(r.viewer, a)
	if errors.Is(err, store.ErrNotFound) {
		return "", 0, errNothing // the role has gone since
	}
	if err != nil {
		return "", 0, err
	}
	see := prescribe.Audience(0)
	for _, role := range r.viewer.Roles {
		if a.Squad == 0 || role.Squad == a.Squad {
			see |= store.AudienceOf(role.Role)
		}
	}
	p, err := r.tx.Person(a.Person)
	if err != nil {
		return "", 0, err
	}
	sq, err := alertSquad(r.tx, a)
	if err != nil {
		return "", 0, err
	}
	age, known, err := r.tx.Age(a.Person, r.day)
	if err != nil {
		return "", 0, err
	}
	var b strings.Builder
	if a.Notice.Urgent {
		b.WriteString(r.sp.T("alert.urgent") + " ")
	}
	b.WriteString(r.sp.T("alert.head", "name", p.Name, "squad", sq.Name) + "\n")
	b.WriteString(r.sp.Notice(seen.Notice, see, known && age < 18))
	return b.String(), see, nil
}

// alertEnd says who has acknowledged or closed it, and when.
func (r *rendering) alertEnd(a store.Alert) (string, error) {
	t, err := r.tx.AlertEnd(a.ID)
	if err != nil {
		return "", err
	}
	by, err := r.tx.Person(t.By)
	if err != nil {
		return "", err
	}
	id := "alert.acknowledged"
	if a.State == store.AlertClosed {
		id = "staff.closed"
	}
	return r.sp.T(id, "name", by.Name, "time", r.sp.At(t.At.Time().In(r.loc))), nil
}

// mayAnswer reports whether the reader is one of those who are asked to take
// care of the alert.
func (r *rendering) mayAnswer(a store.Alert) (bool, error) {
	return r.b.answersFor(r.tx, a, r.person.ID, r.now)
}

func (b *Bot) answersFor(tx *store.Tx, a store.Alert, person int64, now prescribe.Instant) (bool, error) {
	sq, err := alertSquad(tx, a)
	if err != nil {
		return false, err
	}
	people, _, err := b.answers(tx, a, prescribe.DayOf(now.Time().In(b.location(sq.Zone))))
	for _, p := range people {
		if p.ID == person {
			return true, err
		}
	}
	return false, err
}

// tapAck takes an alert on: the repeats stop, everybody who was told sees who
// has it, and the player of a warning is told that somebody has read it, not
// before.
func (h *hand) tapAck(t tap) error {
	a, err := h.tx.Alert(t.id(0))
	if err != nil {
		return err
	}
	ok, err := h.b.answersFor(h.tx, a, h.person.ID, h.now)
	if err != nil {
		return err
	}
	if !ok {
		return store.ErrNotFound
	}
	changed, err := h.tx.Acknowledge(a.ID, h.person.ID, h.now)
	if err != nil {
		return err
	}
	if err := h.redrawAlert(a.ID); err != nil || !changed {
		return err
	}
	if a.Kind != prescribe.NoticeWarning && a.Kind != prescribe.NoticeDistress {
		return nil
	}
	_, _, err = h.tx.Enqueue(store.Out{Kind: outView, Recipient: a.Person, Args: newTap("seen", a.ID), Priority: prioUrgent,
		Expires: h.now + hours(24), Dedup: fmt.Sprintf("seen/%d", a.ID)})
	return err
}

// copiesMax is how many copies of an alert are edited: one that was sent again
// and again leaves its oldest ones behind.
const copiesMax = 40

// redrawAlert edits the copies of an alert in all chats.
func (h *hand) redrawAlert(id int64) error {
	ms, err := h.tx.CopiesOf(outAlert, id, copiesMax)
	if err != nil {
		return err
	}
	for _, m := range ms {
		if m.Recipient == 0 {
			continue
		}
		if _, _, err := h.tx.Enqueue(store.Out{Kind: outAlert, Recipient: m.Recipient, Chat: m.Chat, Ref: id, Edit: true, MessageID: m.MessageID,
			Priority: prioAnswer, Expires: h.now + hours(24)}); err != nil {
			return err
		}
	}
	return nil
}

// dialogClose waits for the note that closes an alert.
const dialogClose = "close_note"

func (h *hand) tapCloseNote(t tap) error {
	a, err := h.tx.Alert(t.id(0))
	if err != nil {
		return err
	}
	ok, err := h.b.answersFor(h.tx, a, h.person.ID, h.now)
	if err != nil {
		return err
	}
	if !ok || a.State == store.AlertClosed {
		return store.ErrNotFound
	}
	if err := h.tx.PutDialog(store.Dialog{Chat: h.chat, Kind: dialogClose, Args: []byte(fmt.Sprintf(`{"alert":%d}`, a.ID)), Asked: h.now}); err != nil {
		return err
	}
	return h.say("staff.close_note")
}

// cmdAlerts lists what is open, a message with the buttons of each.
func (h *hand) cmdAlerts(string) error { return h.view("alerts") }

func init() {
	pages["seen"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		a, err := r.tx.Alert(t.id(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		if a.Person != r.person.ID || a.AckBy == 0 {
			return telegram.Outgoing{}, errNothing
		}
		end, err := r.tx.AlertEnd(a.ID)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		by, err := r.tx.Person(end.By)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		roles, err := r.tx.Roles(by.ID, r.day)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		role := store.RoleMedical
		for _, x := range roles {
			if a.Squad == 0 && store.AudienceOf(x.Role) != 0 || x.Squad == a.Squad {
				role = x.Role
			}
		}
		return telegram.Outgoing{Text: r.sp.T("player.warning_acknowledged", "name", by.Name, "role", r.sp.Role(string(role)), "time", end.At.Time().In(r.loc))}, nil
	}
	pages["alerts"] = func(r *rendering, _ tap) (telegram.Outgoing, error) {
		list, err := r.tx.OpenAlerts(r.viewer)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		if len(list) == 0 {
			return telegram.Outgoing{Text: r.sp.T("staff.alerts_none")}, nil
		}
		m := telegram.Outgoing{Text: r.sp.T("staff.alerts_title", "n", len(list))}
		for i, a := range list {
			text, see, err := r.alertText(a)
			if err != nil {
				return telegram.Outgoing{}, err
			}
			m.Text += fmt.Sprintf("\n\n%d. %s", i+1, text)
			if a.State == store.AlertAcknowledged {
				end, err := r.alertEnd(a)
				if err != nil {
					return telegram.Outgoing{}, err
				}
				m.Text += "\n" + end
			}
			ok, err := r.mayAnswer(a)
			if err != nil {
				return telegram.Outgoing{}, err
			}
			if ok && i < alertButtons {
				b := telegram.Button{Text: fmt.Sprintf("%d: %s", i+1, r.sp.Button("ack")), Data: newTap(verbAck, a.ID)}
				if a.State == store.AlertAcknowledged {
					b = telegram.Button{Text: fmt.Sprintf("%d: %s", i+1, r.sp.Button("close")), Data: newTap(verbCloseNote, a.ID)}
				}
				m.Buttons = append(m.Buttons, []telegram.Button{b})
			}
			if see.Has(prescribe.ForMedical) {
				m.Protect = true
				if err := r.tx.Audit(r.person.ID, a.Person, "alert.shown", string(a.Kind), r.now); err != nil {
					return telegram.Outgoing{}, err
				}
			}
		}
		return m, nil
	}
}

// alertButtons bounds the buttons under the list of alerts.
const alertButtons = 12
