package store

import (
	"encoding/json"
	"fmt"

	"pegcard/prescribe"
)

// AlertState is how far an alert has come.
type AlertState string

const (
	AlertOpen         AlertState = "open"
	AlertAcknowledged AlertState = "acknowledged"
	AlertClosed       AlertState = "closed"
)

// urgentAgain is when an urgent alert that nobody acknowledged is due again.
const urgentAgain = 10 * 60 * 1000

// Alert is something staff have been told.
type Alert struct {
	ID        int64
	Person    int64
	Squad     int64 // the player's on the day it was raised, or the last one before; 0 none
	Kind      prescribe.NoticeKind
	Notice    prescribe.Notice
	State     AlertState
	Level     int // of escalation, from 0
	CreatedAt prescribe.Instant
	AckBy     int64
	NextAt    prescribe.Instant // when it is due to be sent again; 0 never
}

const selectAlert = `
SELECT id, person, COALESCE(squad, 0), kind, notice, state, level, created_at, COALESCE(ack_by, 0), next_at FROM alert `

func scanAlert(r scanner) (a Alert, err error) {
	var notice string
	if err = r.Scan(&a.ID, &a.Person, &a.Squad, &a.Kind, &notice, &a.State, &a.Level, &a.CreatedAt, &a.AckBy, &a.NextAt); err != nil {
		return a, err
	}
	err = json.Unmarshal([]byte(notice), &a.Notice)
	return a, err
}

// place is what alerts are grouped by besides person and kind.
func place(n prescribe.Notice) string {
	s := string(n.Region)
	if n.Side != prescribe.Both {
		s += "/" + string(n.Side)
	}
	if n.Sign != "" {
		s += "!" + string(n.Sign)
	}
	return s
}

// RaiseAlert opens an alert. An open one of the same person, kind and place is
// refreshed instead, and fresh is false; one that was acknowledged before is
// another matter, and a new one is opened.
func (tx *Tx) RaiseAlert(person int64, n prescribe.Notice, now prescribe.Instant) (a Alert, fresh bool, err error) {
	defer wrap(&err, "alert about %d", person)
	notice, err := json.Marshal(n)
	if err != nil {
		return a, false, err
	}
	ids, err := all(tx, one[int64], `SELECT id FROM alert WHERE person = ? AND kind = ? AND region = ? AND state = 'open'`, person, n.Kind, place(n))
	if err != nil {
		return a, false, err
	}
	if len(ids) > 0 {
		if err := tx.exec(`UPDATE alert SET notice = ?, refreshed_at = ? WHERE id = ?`, string(notice), now, ids[0]); err != nil {
			return a, false, err
		}
		a, err = tx.Alert(ids[0])
		return a, false, err
	}
	today, err := tx.Today(person, now)
	if err != nil {
		return a, false, err
	}
	// Between squads, or out of one: those who looked after the player last. Of a
	// player who was in none, everybody with the role is told.
	squad, _, err := tx.LastSquad(person, today)
	if err != nil {
		return a, false, err
	}
	var next prescribe.Instant
	if n.Urgent {
		next = now + urgentAgain
	}
	id, err := tx.insert(`INSERT INTO alert (person, squad, kind, region, notice, state, level, created_at, refreshed_at, next_at)
VALUES (?, ?, ?, ?, ?, 'open', 0, ?, ?, ?)`, person, none(squad.ID), n.Kind, place(n), string(notice), now, now, next)
	if err != nil {
		return a, false, err
	}
	if err := tx.transition(id, AlertOpen, 0, "", now); err != nil {
		return a, false, err
	}
	a, err = tx.Alert(id)
	return a, true, err
}

func (tx *Tx) transition(alert int64, state AlertState, by int64, note string, now prescribe.Instant) error {
	return tx.exec(`INSERT INTO alert_transition (alert, state, by_person, note, at) VALUES (?, ?, ?, ?, ?)`,
		alert, state, none(by), note, now)
}

// Alert is the alert of that id.
func (tx *Tx) Alert(id int64) (a Alert, err error) {
	defer wrap(&err, "alert %d", id)
	return scanAlert(tx.row(selectAlert+`WHERE id = ?`, id))
}

// Acknowledge notes who saw it first; changed is false when somebody had.
func (tx *Tx) Acknowledge(id, by int64, now prescribe.Instant) (changed bool, err error) {
	defer wrap(&err, "acknowledge alert %d", id)
	a, err := tx.Alert(id)
	if err != nil || a.State != AlertOpen {
		return false, err
	}
	if err := tx.exec(`UPDATE alert SET state = 'acknowledged', ack_by = ?, next_at = 0 WHERE id = ?`, none(by), id); err != nil {
		return false, err
	}
	if err := tx.transition(id, AlertAcknowledged, by, "", now); err != nil {
		return false, err
	}
	return true, tx.Audit(by, a.Person, "acknowledge", fmt.Sprintf("alert %d", id), now)
}

// CloseAlert ends it. Closing a closed one changes nothing.
func (tx *Tx) CloseAlert(id, by int64, note string, now prescribe.Instant) (err error) {
	defer wrap(&err, "close alert %d", id)
	a, err := tx.Alert(id)
	if err != nil || a.State == AlertClosed {
		return err
	}
	if err := tx.exec(`UPDATE alert SET state = 'closed', next_at = 0 WHERE id = ?`, id); err != nil {
		return err
	}
	if err := tx.transition(id, AlertClosed, by, note, now); err != nil {
		return err
	}
	return tx.Audit(by, a.Person, "close", fmt.Sprintf("alert %d", id), now)
}

// confidential is who may read the kinds that hold medical detail, whatever a
// notice says of itself.
var confidential = map[prescribe.NoticeKind]prescribe.Audience{
	prescribe.NoticePain:     prescribe.ForMedical,
	prescribe.NoticeWarning:  prescribe.ForMedical,
	prescribe.NoticeDoubt:    prescribe.ForMedical,
	prescribe.NoticeLapsed:   prescribe.ForMedical,
	prescribe.NoticeDistress: prescribe.ForMedical | prescribe.ForSafeguarding,
	prescribe.NoticeSoreness: prescribe.ForStaff,
	prescribe.NoticeSides:    prescribe.ForStaff,
}

// ReadersOf is who on the staff may read the notice.
func ReadersOf(n prescribe.Notice) prescribe.Audience {
	to := n.To &^ prescribe.ForPlayer
	if limit, ok := confidential[n.Kind]; ok {
		to &= limit
	}
	return to
}

// OpenAlerts are the alerts that nobody closed, of the squads and kinds that
// the viewer may read, newest first. A coach is told no scores of an under-18.
func (tx *Tx) OpenAlerts(v Viewer) (as []Alert, err error) {
	defer wrap(&err, "open alerts")
	found, err := all(tx, scanAlert, selectAlert+`WHERE state <> 'closed' ORDER BY created_at DESC, id DESC`)
	if err != nil {
		return nil, err
	}
	for _, a := range found {
		b, err := tx.ViewAlert(v, a)
		switch {
		case err == nil:
			as = append(as, b)
		case !isNotFound(err):
			return nil, err
		}
	}
	return as, nil
}

// ViewAlert is the alert as the viewer may read it, else ErrNotFound.
func (tx *Tx) ViewAlert(v Viewer, a Alert) (_ Alert, err error) {
	defer wrap(&err, "alert %d", a.ID)
	day := prescribe.DayOf(a.CreatedAt.Time())
	young, err := tx.underage(a.Person, day)
	if err != nil {
		return Alert{}, err
	}
	var as prescribe.Audience
	for _, r := range v.Roles {
		// Of a player in no squad, everybody with the role is told.
		if (r.Squad == a.Squad || a.Squad == 0) && (r.Role != RoleSafeguarding || young || a.Kind == prescribe.NoticeDistress) {
			as |= audiences[r.Role]
		}
	}
	if !MayRead(ReadersOf(a.Notice), as) {
		return Alert{}, ErrNotFound
	}
	if young && !MayRead(prescribe.ForMedical, as) {
		a.Notice.Args = withoutScores(a.Notice.Args)
	}
	return a, nil
}

// DueAlerts are the open ones that are due to be sent again, by (when, id).
func (tx *Tx) DueAlerts(now prescribe.Instant) (as []Alert, err error) {
	defer wrap(&err, "due alerts")
	return all(tx, scanAlert, selectAlert+`WHERE state = 'open' AND next_at > 0 AND next_at <= ? ORDER BY next_at, id`, now)
}

// NextAlert is when the next open alert is due to be sent again.
func (tx *Tx) NextAlert() (at prescribe.Instant, ok bool, err error) {
	defer wrap(&err, "next alert")
	err = tx.row(`SELECT COALESCE(MIN(next_at), 0) FROM alert WHERE state = 'open' AND next_at > 0`).Scan(&at)
	return at, at > 0, err
}

// Escalate notes the level that was reached and when the next is due; 0 never.
func (tx *Tx) Escalate(id int64, level int, nextAt prescribe.Instant) (err error) {
	defer wrap(&err, "escalate alert %d", id)
	return tx.touched(`UPDATE alert SET level = ?, next_at = ? WHERE id = ? AND state = 'open'`, level, nextAt, id)
}

// AlertsOf are all alerts about a player, the newest first, for the program's
// own use: it asks nobody's rights.
func (tx *Tx) AlertsOf(person int64) (as []Alert, err error) {
	defer wrap(&err, "alerts of a player")
	return all(tx, scanAlert, selectAlert+`WHERE person = ? ORDER BY created_at DESC, id DESC`, person)
}

// AlertStep is one step of an alert's way.
type AlertStep struct {
	State AlertState
	By    int64
	At    prescribe.Instant
}

// AlertEnd is the last step of an alert that somebody took: ErrNotFound for
// one that is open.
func (tx *Tx) AlertEnd(id int64) (s AlertStep, err error) {
	defer wrap(&err, "who took alert %d", id)
	err = tx.row(`SELECT state, by_person, at FROM alert_transition WHERE alert = ? AND by_person IS NOT NULL ORDER BY id DESC LIMIT 1`, id).
		Scan(&s.State, &s.By, &s.At)
	return s, err
}
