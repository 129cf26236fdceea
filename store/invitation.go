package store

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"io"

	"pegcard/prescribe"
)

// Invite makes a one-time code with which the person can join until expires.
// Earlier unused ones of the person lapse. Only the code's hash is kept. by 0
// is the program itself.
func (tx *Tx) Invite(person, by int64, now, expires prescribe.Instant) (code string, err error) {
	defer wrap(&err, "invite %d", person)
	p, err := tx.Person(person)
	if err != nil {
		return "", err
	}
	if p.Left {
		return "", ErrNotFound
	}
	// 18 bytes are 24 characters of the alphabet that a deep link may carry.
	var b [18]byte
	if _, err := io.ReadFull(tx.s.rand, b[:]); err != nil {
		return "", err
	}
	code = base64.RawURLEncoding.EncodeToString(b[:])
	if err := tx.exec(`UPDATE invitation SET expires_at = ?1 WHERE person = ?2 AND used_at IS NULL AND expires_at > ?1`,
		now, person); err != nil {
		return "", err
	}
	if err := tx.exec(`INSERT INTO invitation (person, by_person, code_hash, created_at, expires_at) VALUES (?, ?, ?, ?, ?)`,
		person, none(by), hashCode(code), now, expires); err != nil {
		return "", err
	}
	return code, tx.Audit(by, person, "invite", "", now)
}

func hashCode(code string) string {
	h := sha256.Sum256([]byte(code))
	return hex.EncodeToString(h[:])
}

// Invitation is whom the code is for, or one of ErrInvitationUnknown,
// ErrInvitationUsed and ErrInvitationExpired.
func (tx *Tx) Invitation(code string, now prescribe.Instant) (p Person, err error) {
	defer wrap(&err, "invitation")
	type inv struct {
		person  int64
		expires prescribe.Instant
		used    bool
	}
	found, err := all(tx, func(r scanner) (i inv, err error) {
		err = r.Scan(&i.person, &i.expires, &i.used)
		return i, err
	}, `SELECT person, expires_at, used_at IS NOT NULL FROM invitation WHERE code_hash = ?`, hashCode(code))
	switch {
	case err != nil:
		return p, err
	case len(found) == 0:
		return p, ErrInvitationUnknown
	case found[0].used:
		return p, ErrInvitationUsed
	case found[0].expires <= now:
		return p, ErrInvitationExpired
	}
	return tx.Person(found[0].person)
}

// Join binds the chat account to the invited person and uses the code up. An
// account that belongs to somebody else is a *Problem. The person's earlier
// account, if any, is replaced.
func (tx *Tx) Join(code string, userID, chatID int64, now prescribe.Instant) (p Person, err error) {
	defer wrap(&err, "join")
	if p, err = tx.Invitation(code, now); err != nil {
		return p, err
	}
	others, err := all(tx, one[int64], `SELECT id FROM person WHERE (user_id = ? OR chat = ?) AND id <> ?`, userID, chatID, p.ID)
	if err != nil {
		return p, err
	}
	if len(others) > 0 {
		return Person{}, &Problem{
			What: "this chat account has already joined as somebody else",
			Mend: "use your own account, or ask the club's administrator to free this one",
		}
	}
	if err := tx.exec(`UPDATE person SET user_id = ?, chat = ?, reachable = 1 WHERE id = ?`, userID, chatID, p.ID); err != nil {
		return p, err
	}
	if err := tx.exec(`INSERT INTO person_account (person, user_id, chat) VALUES (?, ?, ?) ON CONFLICT DO NOTHING`, p.ID, userID, chatID); err != nil {
		return p, err
	}
	if err := tx.exec(`UPDATE invitation SET used_at = ? WHERE code_hash = ?`, now, hashCode(code)); err != nil {
		return p, err
	}
	if err := tx.Audit(p.ID, p.ID, "join", "", now); err != nil {
		return p, err
	}
	return tx.Person(p.ID)
}

// Consent records that the person agreed to that version of the notice, read in
// that language. An under-18 can agree only once a parent or guardian has:
// before that it is ErrNotAllowed.
func (tx *Tx) Consent(person int64, version, lang string, now prescribe.Instant) (err error) {
	defer wrap(&err, "consent of %d", person)
	if version == "" {
		return fmt.Errorf("no version of the notice")
	}
	missing, err := tx.GuardianMissing(person, now)
	if err != nil {
		return err
	}
	if missing {
		return ErrNotAllowed
	}
	return tx.putConsent(person, false, 0, version, lang, true, now)
}

// WithdrawConsent records that the person no longer agrees.
func (tx *Tx) WithdrawConsent(person int64, now prescribe.Instant) (err error) {
	defer wrap(&err, "withdraw consent of %d", person)
	given, err := tx.consented(person, false)
	if err != nil || !given {
		return err
	}
	return tx.putConsent(person, false, 0, "", "", false, now)
}

// GuardianConsent records that a parent or guardian agreed, as by was told.
func (tx *Tx) GuardianConsent(person, by int64, now prescribe.Instant) (err error) {
	defer wrap(&err, "consent of the guardian of %d", person)
	if _, err := tx.Person(person); err != nil {
		return err
	}
	if err := tx.putConsent(person, true, by, "", "", true, now); err != nil {
		return err
	}
	return tx.Audit(by, person, "guardian consent", "", now)
}

// WithdrawGuardianConsent records that the parent or guardian no longer agrees.
func (tx *Tx) WithdrawGuardianConsent(person, by int64, now prescribe.Instant) (err error) {
	defer wrap(&err, "withdraw consent of the guardian of %d", person)
	if err := tx.putConsent(person, true, by, "", "", false, now); err != nil {
		return err
	}
	return tx.Audit(by, person, "guardian consent withdrawn", "", now)
}

func (tx *Tx) putConsent(person int64, guardian bool, by int64, version, lang string, given bool, now prescribe.Instant) error {
	return tx.exec(`INSERT INTO consent (person, guardian, by_person, version, language, given, at) VALUES (?, ?, ?, ?, ?, ?, ?)`,
		person, guardian, none(by), version, lang, given, now)
}

func (tx *Tx) consented(person int64, guardian bool) (yes bool, err error) {
	err = tx.row(`SELECT COALESCE((SELECT given FROM consent WHERE person = ? AND guardian = ? ORDER BY id DESC LIMIT 1), 0)`,
		person, guardian).Scan(&yes)
	return yes, err
}

// Consented reports whether the person agreed and did not withdraw.
func (tx *Tx) Consented(person int64) (yes bool, err error) {
	defer wrap(&err, "consent of %d", person)
	return tx.consented(person, false)
}

// GuardianMissing reports whether the person is under 18 and no parent or
// guardian agrees.
func (tx *Tx) GuardianMissing(person int64, now prescribe.Instant) (missing bool, err error) {
	defer wrap(&err, "guardian of %d", person)
	today, err := tx.Today(person, now)
	if err != nil {
		return false, err
	}
	young, err := tx.underage(person, today)
	if err != nil || !young {
		return false, err
	}
	given, err := tx.consented(person, true)
	return !given, err
}

// MayBeAsked reports whether cards and questions may go to the player: who has
// joined, agreed and not left, and, under 18, whose parent or guardian agrees
// too.
func (tx *Tx) MayBeAsked(person int64, now prescribe.Instant) (yes bool, err error) {
	defer wrap(&err, "consent of %d", person)
	p, err := tx.Person(person)
	if isNotFound(err) {
		return false, nil // erased
	}
	if err != nil || p.Left || p.Chat == 0 {
		return false, err
	}
	if yes, err = tx.consented(person, false); err != nil || !yes {
		return false, err
	}
	missing, err := tx.GuardianMissing(person, now)
	return err == nil && !missing, err
}
