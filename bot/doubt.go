package bot

import (
	"slices"

	"pegcard/prescribe"
	"pegcard/store"
)

// A question about pain or a warning sign that stays without an answer becomes
// an alert to medical staff: doubt alerts. It is raised with the question and
// told when its time has passed; an answer before then closes it unsaid. While
// it is waited for, a card that has changed waits, too.

// What a doubt is about, in its notice.
const (
	doubtPlace = "place" // says that it hurts, not where
	doubtScore = "score" // says where, not how much, or not whether sore or hurt
	doubtSigns = "signs" // has not answered the question about warning signs
	doubtIll   = "ill"   // the same, of somebody ill
	doubtHint  = "hint"  // has named a sign in words that can be read in two ways
)

// aDoubt is the notice of a question; score nil: none was said.
func aDoubt(what string, r prescribe.Region, s prescribe.Side, score *prescribe.Score) prescribe.Notice {
	n := prescribe.Notice{Kind: prescribe.NoticeDoubt, Region: r, Side: s, Urgent: true, To: prescribe.ForMedical,
		Args: []prescribe.Arg{{Name: "what", Kind: prescribe.ArgID, ID: what}}}
	if score != nil {
		n.Args = append(n.Args, prescribe.Arg{Name: "score", Kind: prescribe.ArgScore, Num: float64(*score)})
	}
	return n
}

func doubtOf(n prescribe.Notice) string {
	for _, a := range n.Args {
		if a.Name == "what" {
			return a.ID
		}
	}
	return ""
}

// doubt begins to wait for an answer. One that was waited for before is waited
// for no longer than before.
func (h *hand) doubt(n prescribe.Notice) error {
	_, _, err := h.tx.RaiseAlert(h.person.ID, n, h.now)
	return err
}

// waiting are the doubts that are still waited for.
func waitingDoubts(tx *store.Tx, person int64) ([]store.Alert, error) {
	as, err := tx.OpenAlertsOf(person, prescribe.NoticeDoubt)
	return slices.DeleteFunc(as, func(a store.Alert) bool { return a.Level > 0 }), err
}

// settle closes the doubts that an answer settles before they are told, and
// lets the card go that waited for it. Those that were told stay with medical
// staff.
func (h *hand) settle(answered func(n prescribe.Notice) bool) error {
	as, err := waitingDoubts(h.tx, h.person.ID)
	if err != nil {
		return err
	}
	left := 0
	for _, a := range as {
		if !answered(a.Notice) {
			left++
			continue
		}
		if err := h.tx.CloseAlert(a.ID, 0, "", h.now); err != nil {
			return err
		}
	}
	if len(as) == 0 || left > 0 {
		return nil
	}
	return h.tx.Hasten(h.person.ID, outCard, h.now)
}

// everyDoubt is settled by a warning sign, which is told in its own right.
func everyDoubt(prescribe.Notice) bool { return true }

// aboutPlace: the doubts that a report of pain or soreness at a place settles.
func aboutPlace(r prescribe.Region) func(n prescribe.Notice) bool {
	return func(n prescribe.Notice) bool {
		what := doubtOf(n)
		return what == doubtPlace || what == doubtScore && (n.Region == "" || n.Region == r)
	}
}

// aboutSigns: the question about warning signs of a place.
func aboutSigns(r prescribe.Region, s prescribe.Side) func(n prescribe.Notice) bool {
	return func(n prescribe.Notice) bool { return doubtOf(n) == doubtSigns && n.Region == r && n.Side == s }
}

func about(what string) func(n prescribe.Notice) bool {
	return func(n prescribe.Notice) bool { return doubtOf(n) == what }
}

// noAnswer tells medical staff of a question that was not answered in time.
func (b *Bot) noAnswer(tx *store.Tx, a store.Alert, now prescribe.Instant) error {
	if err := b.deliverAlert(tx, a, now, false); err != nil {
		return err
	}
	return tx.Escalate(a.ID, 1, now+minutes(againUrgent))
}

// cardWaits is until when the player's card waits for an answer; 0: it does not.
func cardWaits(tx *store.Tx, person int64) (prescribe.Instant, error) {
	as, err := waitingDoubts(tx, person)
	var until prescribe.Instant
	for _, a := range as {
		until = max(until, a.NextAt)
	}
	return until, err
}
