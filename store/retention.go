package store

import (
	"context"
	"errors"
	"fmt"

	"pegcard/prescribe"
)

// Span is how long rows of a table are kept. The spans are this project's own
// choice, in the light of the principle that personal data are kept no longer
// than needed (Regulation (EU) 2016/679, Article 5(1)(e)), which names no
// number of days. Local law and the club's data protection officer come first.
type Span struct {
	Table string
	Days  int // after When; 0: as long as the person is in the club, and Left after
	When  string
	Why   string
	lapse string // SQL: the rows that have lapsed at the instant ?1
}

// LeftDays is how many days after somebody has left the club all that is kept
// of them is erased, unless the club says otherwise.
const LeftDays = 730

const dayMillis = 24 * 3600 * 1000

// spans has a line for each table whose rows are somebody's, or name somebody;
// a test finds tables that are missing.
var spans = []Span{
	{"alert", 0, "", "what was done about a complaint belongs to the record", ""},
	{"alert_transition", 0, "", "with its alert", ""},
	{"audit", 3 * 365, "it was written", "who saw and changed what must be found when somebody asks; it names nobody but by pseudonym", `at <= ?1`},
	{"away", 0, "", "the calendar of past cards is explained by it", ""},
	{"card", 0, "", "the record of training", ""},
	{"card_edit", 0, "", "the record of training", ""},
	{"card_item", 0, "", "the record of training", ""},
	{"card_rev", 0, "", "each load that was asked for stays explained", ""},
	{"change_log", 3 * 365, "it was written", "what an import or a member of staff changed", `at <= ?1`},
	{"checkpoint", 0, "", "thinned out with the record", ""},
	{"consent", 0, "", "who agreed to what when must be shown", ""},
	{"dialog", 30, "it was asked", "an open question that nobody answers any more", `asked_at <= ?1`},
	{"entry", 0, "", "the record of training", ""},
	{"flywheel_test", 0, "", "the record of training", ""},
	{"hold", 0, "", "the record of training", ""},
	{"invitation", 90, "it lapsed", "who was invited by whom", `expires_at <= ?1`},
	{"match_minutes", 0, "", "the record of training", ""},
	{"membership", 0, "", "the record of training", ""},
	{"message", 400, "it was sent", "the safeguarding officers look back a year; no text is in it", `at <= ?1`},
	{"once_key", 60, "it was used", "the chat service repeats nothing after a day; two months leave room for a moved clock", `at <= ?1`},
	{"outbox", 90, "it was sent or given up", "to find out why something did not arrive; no text is in it", `state IN ('sent', 'buried') AND settled_at <= ?1`},
	{"pain", 0, "", "the record of training", ""},
	{"pause", 90, "its last day", "why no card came", `until_day <= date(?1 / 1000, 'unixepoch')`},
	{"pending_notice", 0, "", "somebody still has to be told", ""},
	{"person", 0, "", "the person; the pseudonym stays for what they did to others' data", ""},
	{"person_account", 0, "", "what comes from an account is the person's", ""},
	{"person_gym", 0, "", "the calendar of past cards is explained by it", ""},
	{"person_zone", 0, "", "the calendar of past cards is explained by it", ""},
	{"profile", 0, "", "the record of training", ""},
	{"quarantine", 7, "it came", "a message that could not be handled, as it came; it is there for the repair only", `at <= ?1`},
	{"record_answer", 0, "", "the record of training", ""},
	{"release", 0, "", "the record of training", ""},
	{"replan", 30, "the day it is for", "a card of a day that is over is not worked out again", `day <= date(?1 / 1000, 'unixepoch')`},
	{"session_report", 0, "", "the record of training", ""},
	{"set_record", 0, "", "the record of training", ""},
	{"soreness", 0, "", "the record of training", ""},
	{"staff_role", 0, "", "who could see what when", ""},
	{"warning_sign", 0, "", "the record of training", ""},
}

// Spans are the spans in force, by table; left as in Housekeep.
func Spans(left int) []Span {
	out := make([]Span, len(spans))
	for i, s := range spans {
		if s.Days == 0 {
			s.Days, s.When = left, "the person has left"
		}
		out[i] = s
	}
	return out
}

// Housekeep is the nightly pass: it drops the rows that have lapsed, and erases
// whoever has left the club left days ago or more.
func (s *Store) Housekeep(ctx context.Context, now prescribe.Instant, left int) (err error) {
	defer wrap(&err, "housekeep")
	if left < 1 {
		return errors.New("who has left is kept for at least a day")
	}
	var gone []int64
	if err := s.write(ctx, func(tx *Tx) (err error) {
		if err := tx.exec(`INSERT INTO erasing (one) VALUES (1)`); err != nil {
			return err
		}
		for _, sp := range spans {
			if sp.lapse == "" {
				continue
			}
			if err := tx.exec(`DELETE FROM `+sp.Table+` WHERE `+sp.lapse, now-prescribe.Instant(sp.Days)*dayMillis); err != nil {
				return fmt.Errorf("%s: %w", sp.Table, err)
			}
		}
		if err := tx.exec(`DELETE FROM erasing`); err != nil {
			return err
		}
		gone, err = all(tx, one[int64], `SELECT id FROM person WHERE left_at <= ? AND erased_at IS NULL ORDER BY id`,
			now-prescribe.Instant(left)*dayMillis)
		return err
	}); err != nil {
		return err
	}
	if len(gone) == 0 {
		return nil
	}
	return s.eraseAll(ctx, now, gone...)
}

// eraseAll erases people, and rewrites the files once for all of them.
func (s *Store) eraseAll(ctx context.Context, now prescribe.Instant, people ...int64) error {
	for _, p := range people {
		var pseudo string
		if err := s.Read(ctx, func(tx *Tx) error {
			who, err := tx.Person(p)
			pseudo = who.Pseudo
			return err
		}); err != nil {
			return err
		}
		if err := s.journal(pseudo, now.Time()); err != nil {
			return err
		}
		s.point("erase.journal")
		if err := s.write(ctx, func(tx *Tx) error { return tx.erase(p, now) }); err != nil {
			return err
		}
	}
	return s.scrub(ctx, now.Time())
}
