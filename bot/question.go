package bot

import (
	"encoding/json"
	"fmt"
	"time"

	"pegcard/bot/telegram"
	"pegcard/bot/understand"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
)

// The kinds of open question. A chat has at most one; what it has gathered
// stands in the dialog's row, never in the outbox.
const (
	askRIR     = "rir"     // how many more in the main lift's first set
	askEffort  = "effort"  // of the whole session
	askLog     = "log"     // the next set
	askSore    = "sore"    // where, which side, how sore
	askPain    = "pain"    // where, which side, how much, warning signs
	askMorning = "morning" // how much the place that is followed hurts today
	askCant    = "cant"    // why not
	askIll     = "ill"     // warning signs of somebody ill
	askWhich   = "which"   // a text that can be read in two ways
	askDoubt   = "doubt"   // was that set really …
	askAway    = "away"    // from when to when, and where
	askLeave   = "leave"
	askVideo   = "video" // what a video shows, and so whose it is
)

// question is what an open question has gathered so far.
type question struct {
	// Seq tells one asking from the next: the message that asks an older one is
	// dropped.
	Seq  int    `json:"seq"`
	Step string `json:"step,omitempty"`

	Region prescribe.Region `json:"region,omitempty"`
	Side   prescribe.Side   `json:"side,omitempty"`
	Sided  bool             `json:"sided,omitempty"` // the side has been asked
	Score  *prescribe.Score `json:"score,omitempty"` // said before the place was
	More   bool             `json:"more,omitempty"`  // the less usual places
	Source string           `json:"source,omitempty"`
	// Changed: what was told has changed the card; it is said with the answer.
	Changed bool `json:"changed,omitempty"`

	Log *setLog `json:"log,omitempty"`

	Asks []understand.Question `json:"asks,omitempty"`
	At   prescribe.Instant     `json:"at,omitempty"`
	Day  prescribe.Day         `json:"day,omitempty"`

	Exercise prescribe.ExerciseID `json:"exercise,omitempty"`
	SetKey   string               `json:"set,omitempty"`
	Load     prescribe.Kg         `json:"load,omitempty"`
	Reps     int                  `json:"reps,omitempty"`

	From prescribe.Day `json:"from,omitempty"`
	To   prescribe.Day `json:"to,omitempty"`
	// Of a time away: the place, what there is to train with, and whether the
	// town that was written is not known.
	Place   string `json:"place,omitempty"`
	Gym     string `json:"gym,omitempty"`
	Unknown bool   `json:"unknown,omitempty"`

	// Media is the message with the video that is asked about.
	Media int `json:"media,omitempty"`

	// Back is what was open before and comes again afterwards.
	Back *openQuestion `json:"back,omitempty"`
}

type openQuestion struct {
	Kind string   `json:"kind"`
	Card int64    `json:"card,omitempty"`
	Q    question `json:"q"`
}

// comesAgain are the questions that an interruption only puts off.
var comesAgain = map[string]bool{askRIR: true, askEffort: true, askLog: true, askMorning: true, askWhich: true, askDoubt: true}

// safety reports whether the question is about pain that is not told in full
// or about warning signs: words that do not answer it are no answer.
func (q question) safety(kind string) bool {
	switch kind {
	case askPain, askIll:
		return true
	case askWhich:
		return len(q.Asks) > 0 && alarming(q.Asks[0])
	}
	return false
}

// open is the chat's open question.
func (h *hand) open() (d store.Dialog, q question, ok bool, err error) {
	d, ok, err = h.tx.Dialog(h.chat)
	if err != nil || !ok {
		return d, q, ok, err
	}
	if len(d.Args) > 0 && questions[d.Kind] != nil { // a member of staff's has another form
		if err := json.Unmarshal(d.Args, &q); err != nil {
			return d, q, false, fmt.Errorf("dialog %q: %w", d.Kind, err)
		}
	}
	return d, q, true, nil
}

// ask makes kind the chat's open question and asks it, in place of the question
// whose button was tapped, if one was. What was open and can wait comes again
// when the new one is done.
func (h *hand) ask(kind string, card int64, q question) error {
	d, was, ok, err := h.open()
	if err != nil {
		return err
	}
	if ok {
		q.Seq = was.Seq
		switch {
		case q.Back != nil || d.Kind == kind && d.Card == card:
			if q.Back == nil {
				q.Back = was.Back
			}
		case (comesAgain[d.Kind] || was.safety(d.Kind)) && !sameTurn(d.Kind, kind):
			back := was
			if back.Back != nil { // two deep at most
				last := *back.Back
				last.Q.Back, back.Back = nil, &last
			}
			q.Back = &openQuestion{d.Kind, d.Card, back}
		default:
			q.Back = was.Back
		}
	}
	q.Seq = q.Seq%1_000_000 + 1
	args, err := json.Marshal(q)
	if err != nil {
		return err
	}
	if err := h.tx.PutDialog(store.Dialog{Chat: h.chat, Kind: kind, Args: args, Card: card, Asked: h.now}); err != nil {
		return err
	}
	o := store.Out{Kind: outQuestion, Args: newTap(kind, q.Seq)}
	if o.Edit, err = h.onQuestion(); err != nil {
		return err
	}
	if o.Edit {
		o.MessageID = h.message
	}
	return h.answer(o)
}

// sameTurn: the second question follows from the first one's answer.
func sameTurn(was, now string) bool {
	if was == askPain && now == askPain {
		return true
	}
	return now == askEffort && (was == askRIR || was == askLog) || now == askRIR && was == askLog || was == askMorning && now == askMorning
}

// onQuestion reports whether a button of a question was tapped, which the next
// question or the answer takes the place of.
func (h *hand) onQuestion() (bool, error) {
	if !h.tap || h.message == 0 {
		return false, nil
	}
	m, err := h.tx.MessageIn(h.chat, h.message)
	if err != nil {
		return false, ignoreNotFound(err)
	}
	return m.Kind == outQuestion, nil
}

// close ends the open question. What it had interrupted is asked again.
func (h *hand) close() error {
	_, q, ok, err := h.open()
	if err != nil || !ok {
		return err
	}
	if err := h.tx.ClearDialog(h.chat); err != nil {
		return err
	}
	if q.Back == nil {
		return nil
	}
	tapped := h.tap
	h.tap = false // in a message of its own
	defer func() { h.tap = tapped }()
	back := q.Back.Q
	back.Seq = q.Seq
	return h.ask(q.Back.Kind, q.Back.Card, back)
}

// reply answers in place of the question that was tapped on, else anew.
func (h *hand) reply(o store.Out) error {
	on, err := h.onQuestion()
	if err != nil {
		return err
	}
	if on {
		o.Edit, o.MessageID = true, h.message
	}
	return h.answer(o)
}

// replyView is reply with a page.
func (h *hand) replyView(name string, args ...any) error {
	return h.reply(store.Out{Kind: outView, Args: newTap(name, args...)})
}

// replySay is reply with a message of the catalogue.
func (h *hand) replySay(id string) error { return h.reply(store.Out{Kind: outSay, Args: id}) }

// asking words one kind of question.
type asking func(r *rendering, d store.Dialog, q question) (telegram.Outgoing, error)

// questions says how each kind is worded. The table is filled in init: it
// reaches back to itself.
var questions map[string]asking

func init() {
	questions = map[string]asking{
		askRIR:     (*rendering).askRIR,
		askEffort:  (*rendering).askEffort,
		askLog:     (*rendering).askLog,
		askSore:    (*rendering).askSore,
		askPain:    (*rendering).askPain,
		askMorning: (*rendering).askMorning,
		askCant:    (*rendering).askCant,
		askIll:     (*rendering).askIll,
		askWhich:   (*rendering).askWhich,
		askDoubt:   (*rendering).askDoubt,
		askAway:    (*rendering).askAway,
		askLeave:   (*rendering).askLeave,
		askVideo:   (*rendering).askVideo,
	}
}

// question words the chat's open question, unless it has been answered or
// another one was asked since.
func (r *rendering) question() (telegram.Outgoing, error) {
	d, ok, err := r.tx.Dialog(r.out.Chat)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	t := readTap(r.out.Args)
	if !ok || d.Kind != t.verb {
		return telegram.Outgoing{}, errNothing
	}
	if d.Kind != askLeave {
		// Consent may have ended since, the guardian's too.
		if yes, err := r.tx.MayBeAsked(r.person.ID, r.now); err != nil || !yes {
			return telegram.Outgoing{}, orNothing(err)
		}
	}
	var q question
	if len(d.Args) > 0 {
		if err := json.Unmarshal(d.Args, &q); err != nil {
			return telegram.Outgoing{}, fmt.Errorf("dialog %q: %w", d.Kind, err)
		}
	}
	again, rested := t.str(0) == "again", t.str(0) == "rest"
	if rested && (q.Log == nil || t.id(1) != int64(q.Log.Rest)) {
		return telegram.Outgoing{}, errNothing // another rest, or the next set
	}
	if n, ok := t.int(0); !again && !rested && (!ok || n != q.Seq) {
		return telegram.Outgoing{}, errNothing
	}
	f, ok := questions[d.Kind]
	if !ok {
		return telegram.Outgoing{}, errNothing
	}
	m, err := f(r, d, q)
	if err == nil && rested {
		m.Text = r.sp.T("player.timer_over") + "\n\n" + m.Text
	}
	if err == nil && (again || t.str(1) == "again") {
		m.Text = r.sp.T("player.question_again") + "\n" + m.Text
	}
	return m, err
}

// askAgain repeats the open question in a message of its own, after something
// else was said.
func (h *hand) askAgain() error {
	d, q, ok, err := h.open()
	if err != nil || !ok || !comesAgain[d.Kind] && !q.safety(d.Kind) {
		return err
	}
	if d.Kind == askPain && q.Step == stepSigns {
		q.Step = stepYesNo
		h.tap = false
		return h.ask(askPain, d.Card, q)
	}
	return h.answer(store.Out{Kind: outQuestion, Args: newTap(d.Kind, q.Seq, "again")})
}

// A tap is gone after 150 s while the process is down; text waits a day.
const (
	tapLife      = 150 * time.Second
	questionLife = 24 * time.Hour
)

// reopen asks the questions again whose buttons may have been tapped in vain
// while no process was running, each once.
func (b *Bot) reopen(tx *store.Tx, now prescribe.Instant) error {
	from := prescribe.InstantOf(now.Time().Add(-questionLife))
	to := prescribe.InstantOf(now.Time().Add(-tapLife))
	ds, err := tx.Dialogs(from, to)
	if err != nil {
		return err
	}
	for _, d := range ds {
		if questions[d.Kind] == nil {
			continue
		}
		p, err := tx.PersonByUser(d.Chat)
		if ignoreNotFound(err) != nil {
			return err
		}
		if _, _, err := tx.Enqueue(store.Out{Kind: outQuestion, Recipient: p.ID, Chat: d.Chat, Args: newTap(d.Kind, "again"),
			Priority: prioAnswer, Expires: now + hours(12), Dedup: fmt.Sprintf("again/%d/%d", d.Chat, d.Asked)}); err != nil {
			return err
		}
	}
	return nil
}

// scores are buttons 0 to 10 in two rows; data makes a button's data.
func scores(sp *wording.Speaker, data func(n int) string) [][]telegram.Button {
	var bs []telegram.Button
	for n := 0; n <= 10; n++ {
		bs = append(bs, telegram.Button{Text: sp.Number(float64(n)), Data: data(n)})
	}
	return rows(6, bs...)
}

func (r *rendering) button(name string, data string) telegram.Button {
	return telegram.Button{Text: r.sp.Button(name), Data: data}
}
