package store

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"

	"pegcard/prescribe"
)

// CardState is how far a card has come.
type CardState string

const (
	CardDraft      CardState = "draft"
	CardApproved   CardState = "approved"
	CardSent       CardState = "sent"
	CardStarted    CardState = "started"
	CardDone       CardState = "done"
	CardChanged    CardState = "changed" // done, otherwise than written
	CardMissed     CardState = "missed"
	CardUnanswered CardState = "unanswered"
	CardWithheld   CardState = "withheld"
	CardReplaced   CardState = "replaced"
)

// settled are the states from which a card is no longer worked out again.
var settled = []CardState{CardDone, CardChanged, CardMissed, CardUnanswered}

// KindCard is the outbox kind of a message that shows a card; its Ref is the
// card's id and its Rev the revision.
const KindCard = "card"

// mainSlot is the one card of a day. The column leaves room for a second.
const mainSlot = "main"

// CardRev is one revision of a player's card.
type CardRev struct {
	ID          int64 // of the card, the same for all its revisions
	Person      int64
	Day         prescribe.Day
	Rev         int // from 1
	State       CardState
	Card        prescribe.Card
	SentMessage int // id of the last message that showed it; 0 not sent
	CreatedAt   prescribe.Instant
	Approved    int // the latest revision that staff approved; 0 none
}

const selectCard = `
SELECT c.id, c.person, c.day, r.rev, c.state, r.content, r.created_at,
  COALESCE((SELECT m.message_id FROM message m WHERE m.kind = 'card' AND m.ref = c.id ORDER BY m.id DESC LIMIT 1), 0),
  COALESCE((SELECT MAX(e.rev) FROM card_edit e WHERE e.card = c.id AND e.kind = 'approve'), 0)
FROM card c JOIN card_rev r ON r.card = c.id `

// latestRev limits selectCard to the last revision of each card.
const latestRev = ` AND r.rev = (SELECT MAX(rev) FROM card_rev WHERE card = c.id) `

func scanCard(r scanner) (c CardRev, err error) {
	var content string
	if err = r.Scan(&c.ID, &c.Person, intoDay(&c.Day), &c.Rev, &c.State, &content, &c.CreatedAt, &c.SentMessage, &c.Approved); err != nil {
		return c, err
	}
	err = json.Unmarshal([]byte(content), &c.Card)
	return c, err
}

// Plan works the day's card out and stores nothing.
func (tx *Tx) Plan(person int64, day prescribe.Day) (c prescribe.Card, err error) {
	defer wrap(&err, "plan %d on %s", person, day)
	in, err := tx.Inputs(person, day)
	if err != nil {
		return c, err
	}
	return plan(in), nil
}

func plan(in Inputs) prescribe.Card {
	if in.Begun != nil {
		return prescribe.Curtail(in.State, *in.Begun, in.Rules)
	}
	return prescribe.Plan(in.State, in.Calendar, in.Programme, in.Rules, in.Day, in.Edits)
}

// IssueCard works the day's card out from what is known now. A new revision is
// written only when it differs from the last one, and never once the session
// was answered or closed. From one under way a stop takes work and nothing else
// changes.
func (tx *Tx) IssueCard(person int64, day prescribe.Day, now prescribe.Instant) (c CardRev, changed bool, err error) {
	defer wrap(&err, "issue card of %d on %s", person, day)
	last, ok, err := tx.Card(person, day)
	if err != nil {
		return c, false, err
	}
	if ok && slices.Contains(settled, last.State) {
		return last, false, nil
	}
	in, err := tx.Inputs(person, day)
	if err != nil {
		return c, false, err
	}
	if ok && last.State == CardStarted {
		if in.Begun, err = tx.begun(last); err != nil {
			return c, false, err
		}
	}
	card := plan(in)
	content, err := json.Marshal(card)
	if err != nil {
		return c, false, err
	}
	if ok {
		same, err := json.Marshal(last.Card)
		if err != nil {
			return c, false, err
		}
		if bytes.Equal(same, content) {
			return last, false, nil
		}
	} else {
		last = CardRev{Person: person, Day: day, State: CardDraft}
		last.ID, err = tx.insert(`INSERT INTO card (person, day, slot, state, created_at) VALUES (?, ?, ?, ?, ?)`,
			person, day.String(), mainSlot, CardDraft, now)
		if err != nil {
			return c, false, err
		}
	}
	if err := tx.insertRev(last.ID, last.Rev+1, in, card, string(content), now); err != nil {
		return c, false, err
	}
	// What CardByID would read: the rest is the card's, not the revision's.
	last.Rev, last.Card, last.CreatedAt = last.Rev+1, card, now
	return last, true, nil
}

// begun is the session under way on a card.
func (tx *Tx) begun(c CardRev) (*prescribe.Begun, error) {
	es, err := tx.Events(c.Person, c.Day, c.Day)
	if err != nil {
		return nil, err
	}
	b := prescribe.Begun{Card: c.Card, Done: make([]int, len(c.Card.Items))}
	for i, it := range c.Card.Items {
		sides := map[prescribe.Side]int{}
		for _, e := range es {
			if e.Set != nil && !e.Set.Test && e.Set.Exercise == it.Exercise && e.Set.Scheme == it.Scheme && e.Set.Intended == it.Intended {
				sides[e.Set.Side]++
				b.Done[i] = max(b.Done[i], sides[e.Set.Side])
			}
		}
	}
	return &b, nil
}

func (tx *Tx) insertRev(card int64, rev int, in Inputs, c prescribe.Card, content string, now prescribe.Instant) error {
	programme, err := tx.sharedProgramme()
	if err != nil {
		return err
	}
	if err := tx.putProgramme(programme.hash, programme.text, "", now); err != nil {
		return err
	}
	if err := tx.putRules(in.Rules, in.rulesHash, "", now); err != nil {
		return err
	}
	inputs, err := json.Marshal(in)
	if err != nil {
		return err
	}
	id, err := tx.insert(`INSERT INTO card_rev (card, rev, engine, rules, programme, inputs, content, created_at, hash)
VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`, card, rev, c.Engine, in.rulesHash, programme.hash, string(inputs), content, now,
		rowHash(card, rev, c.Engine, in.rulesHash, programme.hash, string(inputs), content, int64(now)))
	if err != nil {
		return err
	}
	for n, i := range c.Items {
		if err := tx.exec(`INSERT INTO card_item (card_rev, n, slot, exercise, method, scheme, sets, reps, load_kind, load, ecc_load, inertia, device, percent, rir, heavy)
VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`, id, n, i.Slot, i.Exercise, i.Method, i.Scheme, i.Sets, i.Reps,
			i.LoadKind, i.Load, i.EccLoad, i.Inertia, i.Device, i.Percent, i.RIR, i.Heavy); err != nil {
			return err
		}
	}
	return nil
}

func (tx *Tx) putProgramme(hash, text, source string, now prescribe.Instant) error {
	if known, err := tx.known(`SELECT EXISTS (SELECT 1 FROM programme_version WHERE hash = ?)`, hash); err != nil || known {
		return err
	}
	return tx.exec(`INSERT INTO programme_version (hash, programme, source, created_at) VALUES (?, ?, ?, ?)`, hash, text, source, now)
}

func (tx *Tx) putRules(r prescribe.Rules, hash, source string, now prescribe.Instant) error {
	if known, err := tx.known(`SELECT EXISTS (SELECT 1 FROM rules_version WHERE hash = ?)`, hash); err != nil || known {
		return err
	}
	text, err := json.Marshal(r)
	if err != nil {
		return err
	}
	return tx.exec(`INSERT INTO rules_version (hash, rules, source, created_at) VALUES (?, ?, ?, ?)`, hash, string(text), source, now)
}

func (tx *Tx) known(q, hash string) (yes bool, err error) {
	err = tx.row(q, hash).Scan(&yes)
	return yes, err
}

// Card is the latest revision of the day's card, if there is one.
func (tx *Tx) Card(person int64, day prescribe.Day) (c CardRev, ok bool, err error) {
	defer wrap(&err, "card of %d on %s", person, day)
	cs, err := all(tx, scanCard, selectCard+`WHERE c.person = ? AND c.day = ? AND c.slot = ?`+latestRev, person, day.String(), mainSlot)
	if err != nil || len(cs) == 0 {
		return c, false, err
	}
	return cs[0], true, nil
}

// Cards are the latest revisions of the days from..to, by day.
func (tx *Tx) Cards(person int64, from, to prescribe.Day) (cs []CardRev, err error) {
	defer wrap(&err, "cards of %d", person)
	return all(tx, scanCard, selectCard+`WHERE c.person = ? AND c.day BETWEEN ? AND ?`+latestRev+`ORDER BY c.day, c.id`,
		person, from.String(), to.String())
}

// CardByID is the latest revision of the card.
func (tx *Tx) CardByID(id int64) (c CardRev, err error) {
	defer wrap(&err, "card %d", id)
	return scanCard(tx.row(selectCard+`WHERE c.id = ?`+latestRev, id))
}

// CardRevision is that revision of the card.
func (tx *Tx) CardRevision(id int64, rev int) (c CardRev, err error) {
	defer wrap(&err, "card %d revision %d", id, rev)
	return scanCard(tx.row(selectCard+`WHERE c.id = ? AND r.rev = ?`, id, rev))
}

// SetCardState notes how far the card has come.
func (tx *Tx) SetCardState(id int64, state CardState) (err error) {
	defer wrap(&err, "card %d", id)
	switch state {
	case CardDraft, CardApproved, CardSent, CardStarted, CardDone, CardChanged, CardMissed, CardUnanswered, CardWithheld, CardReplaced:
	default:
		return fmt.Errorf("there is no card state %q", state)
	}
	return tx.touched(`UPDATE card SET state = ? WHERE id = ?`, state, id)
}

// AddEdit adds a coach's change, an input to the card's next revision. by 0 is
// the program itself.
func (tx *Tx) AddEdit(card, by int64, e prescribe.Edit) (err error) {
	defer wrap(&err, "edit card %d", card)
	c, err := tx.CardByID(card)
	if err != nil {
		return err
	}
	text, err := json.Marshal(e)
	if err != nil {
		return err
	}
	return tx.exec(`INSERT INTO card_edit (card, rev, by_person, at, kind, edit) VALUES (?, ?, ?, ?, ?, ?)`,
		card, c.Rev, none(by), e.At, e.Kind, string(text))
}

// edits of the day's card, in the order they were made.
func (tx *Tx) edits(person int64, day prescribe.Day) ([]prescribe.Edit, error) {
	return all(tx, func(r scanner) (e prescribe.Edit, err error) {
		var text string
		if err = r.Scan(&text); err != nil {
			return e, err
		}
		err = json.Unmarshal([]byte(text), &e)
		return e, err
	}, `SELECT e.edit FROM card_edit e JOIN card c ON c.id = e.card WHERE c.person = ? AND c.day = ? AND c.slot = ? ORDER BY e.id`,
		person, day.String(), mainSlot)
}

// CardsOn are the day's cards of the squad's members, by the members' order.
func (tx *Tx) CardsOn(squad int64, day prescribe.Day) (cs []CardRev, err error) {
	defer wrap(&err, "cards of squad %d on %s", squad, day)
	return tx.cardsOn(squad, day, `TRUE`)
}

// DraftsOn are those of CardsOn that wait to go out and are not on their way.
func (tx *Tx) DraftsOn(squad int64, day prescribe.Day) (cs []CardRev, err error) {
	defer wrap(&err, "drafts of squad %d on %s", squad, day)
	return tx.cardsOn(squad, day, `c.state = 'draft' AND NOT EXISTS (SELECT 1 FROM outbox o
  WHERE o.recipient = c.person AND o.kind = '`+KindCard+`' AND o.ref = c.id AND o.rev = r.rev)`)
}

func (tx *Tx) cardsOn(squad int64, day prescribe.Day, where string) ([]CardRev, error) {
	members, err := tx.Members(squad, day)
	if err != nil {
		return nil, err
	}
	d := day.String()
	cs, err := all(tx, scanCard, selectCard+`JOIN (SELECT DISTINCT person FROM membership
  WHERE squad = ? AND from_day <= ? AND (until_day = '' OR until_day >= ?)) m ON c.person = m.person
WHERE c.day = ? AND c.slot = ? AND `+where+latestRev, squad, d, d, d, mainSlot)
	if err != nil {
		return nil, err
	}
	of := map[int64]CardRev{}
	for _, c := range cs {
		of[c.Person] = c
	}
	cs = cs[:0]
	for _, p := range members {
		if c, ok := of[p.ID]; ok {
			cs = append(cs, c)
		}
	}
	return cs, nil
}

// OpenCards are the cards of days before day that were sent or started and
// neither answered nor closed, by (day, id).
func (tx *Tx) OpenCards(before prescribe.Day) (cs []CardRev, err error) {
	defer wrap(&err, "open cards")
	return all(tx, scanCard, selectCard+`WHERE c.day < ? AND c.state IN ('sent', 'started')`+latestRev+`ORDER BY c.day, c.id`, before.String())
}

// InputsOf is what that revision was worked out from, as it was stored.
func (tx *Tx) InputsOf(id int64, rev int) (in Inputs, err error) {
	defer wrap(&err, "inputs of card %d revision %d", id, rev)
	var inputs, programme, rules string
	if err := tx.row(`SELECT r.inputs, p.programme, v.rules FROM card_rev r
JOIN programme_version p ON p.hash = r.programme JOIN rules_version v ON v.hash = r.rules
WHERE r.card = ? AND r.rev = ?`, id, rev).Scan(&inputs, &programme, &rules); err != nil {
		return in, err
	}
	if err := json.Unmarshal([]byte(inputs), &in); err != nil {
		return in, err
	}
	if err := json.Unmarshal([]byte(programme), &in.Programme); err != nil {
		return in, err
	}
	err = json.Unmarshal([]byte(rules), &in.Rules)
	return in, err
}

// Recompute works a stored revision out again from its stored inputs. The same
// engine version must give the same card; another one may not.
func (tx *Tx) Recompute(id int64, rev int) (same bool, stored, now prescribe.Card, err error) {
	defer wrap(&err, "recompute card %d revision %d", id, rev)
	c, err := tx.CardRevision(id, rev)
	if err != nil {
		return false, stored, now, err
	}
	in, err := tx.InputsOf(id, rev)
	if err != nil {
		return false, stored, now, err
	}
	now = plan(in)
	a, err := json.Marshal(c.Card)
	if err != nil {
		return false, stored, now, err
	}
	b, err := json.Marshal(now)
	return bytes.Equal(a, b), c.Card, now, err
}
