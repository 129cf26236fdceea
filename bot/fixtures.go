package bot

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strconv"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/schedule"
	"pegcard/store"
)

// The next matches, and moving one.

const (
	dialogFixture = "fixture"
	verbFixture   = "fm" // fm:fixture asks for the new day
	verbFixtureDo = "fd" // fd:asked
	fixtureWeeks  = 4
)

// fixtureMove is a move while it is put together.
type fixtureMove struct {
	Fixture int64             `json:"fixture"`
	Day     prescribe.Day     `json:"day,omitempty"` // 0: not said yet
	Kickoff prescribe.Instant `json:"kickoff,omitempty"`
	Known   bool              `json:"known,omitempty"`
}

// cmdFixtures lists the next weeks' fixtures of the asker's squads.
func (h *hand) cmdFixtures(string) error {
	var seen []int64
	for _, role := range h.roles {
		if role.Role != store.RoleCoach && role.Role != store.RoleAdmin || slices.Contains(seen, role.Squad) {
			continue
		}
		seen = append(seen, role.Squad)
		if err := h.view("fixtures", role.Squad); err != nil {
			return err
		}
	}
	return nil
}

// fixturesAhead are the squad's fixtures of the next weeks.
func (r *rendering) fixturesAhead(squad int64) (store.Squad, []store.Fixture, error) {
	if !r.viewer.May(squad, store.RoleCoach, store.RoleAdmin) {
		return store.Squad{}, nil, store.ErrNotFound
	}
	sq, err := r.tx.Squad(squad)
	if err != nil {
		return sq, nil, err
	}
	list, err := r.tx.Fixtures(squad, r.day, r.day+7*fixtureWeeks)
	return sq, list, err
}

// fixtureText is a fixture in a line: the day, the time where it is known, and
// what it is.
func (r *rendering) fixtureText(f store.Fixture, sq store.Squad) string {
	return r.sp.T("staff.fixtures_line", "day", wording.HTML(r.fixtureDay(f.Day, f.Kickoff, f.Known && !f.Travel, sq)), "match", f.Summary)
}

func (r *rendering) fixtureDay(day prescribe.Day, kickoff prescribe.Instant, known bool, sq store.Squad) string {
	if !known {
		return r.sp.Day(day)
	}
	return r.sp.T("date.at", "day", day, "time", kickoff.Time().In(r.b.location(sq.Zone)))
}

// moving is the fixture of a move that the person may make.
func moving(tx *store.Tx, v store.Viewer, id int64) (store.Fixture, store.Squad, error) {
	f, err := tx.Fixture(id)
	if err != nil {
		return f, store.Squad{}, err
	}
	if f.Cancelled || !v.May(f.Squad, store.RoleCoach, store.RoleAdmin) {
		return f, store.Squad{}, store.ErrNotFound
	}
	sq, err := tx.Squad(f.Squad)
	return f, sq, err
}

func (h *hand) tapFixture(t tap) error {
	f, _, err := moving(h.tx, h.viewer, t.id(0))
	if err != nil {
		return err
	}
	if err := h.putMove(fixtureMove{Fixture: f.ID}); err != nil {
		return err
	}
	return h.answer(store.Out{Kind: outSay, Args: "staff.fixture_day", Edit: h.message != 0, MessageID: h.message})
}

func (h *hand) putMove(m fixtureMove) error {
	args, err := json.Marshal(m)
	if err != nil {
		return err
	}
	return h.tx.PutDialog(store.Dialog{Chat: h.chat, Kind: dialogFixture, Args: args, Asked: h.now})
}

var clockText = regexp.MustCompile(`\b(\d{1,2}):(\d{2})\b`)

// fixtureText is the new day, perhaps with a time. Without one the match keeps
// the time it had.
func (h *hand) fixtureText(d store.Dialog, text string) error {
	var m fixtureMove
	if err := json.Unmarshal(d.Args, &m); err != nil {
		return fmt.Errorf("dialog %q: %w", d.Kind, err)
	}
	f, sq, err := moving(h.tx, h.viewer, m.Fixture)
	if err != nil {
		return err
	}
	day, to, ok := readDays(text, h.day)
	if !ok || to != day {
		return mend("staff.fixture_day_unreadable")
	}
	loc := h.b.location(sq.Zone)
	at := f.Kickoff.Time().In(loc)
	clock := store.Clock(at.Hour()*60 + at.Minute())
	known := f.Known
	if c := clockText.FindStringSubmatch(text); c != nil {
		hour, _ := strconv.Atoi(c[1]) // digits, by the pattern
		minute, _ := strconv.Atoi(c[2])
		if hour > 23 || minute > 59 {
			return mend("staff.fixture_day_unreadable")
		}
		clock, known = store.Clock(hour*60+minute), true
	}
	m.Day, m.Known = day, known
	m.Kickoff = prescribe.InstantOf(schedule.At(day, clock, loc))
	if err := h.putMove(m); err != nil {
		return err
	}
	return h.view("fixconfirm")
}

func (h *hand) tapFixtureDo(t tap) error {
	d, ok, err := h.tx.Dialog(h.chat)
	if err != nil {
		return err
	}
	var m fixtureMove
	if !ok || d.Kind != dialogFixture || strconv.FormatInt(int64(d.Asked), 10) != t.str(0) || json.Unmarshal(d.Args, &m) != nil || m.Day == 0 {
		return h.say("error.old_button")
	}
	f, _, err := moving(h.tx, h.viewer, m.Fixture)
	if err != nil {
		return err
	}
	days, err := h.tx.MoveFixture(f.ID, m.Day, m.Kickoff, m.Known, h.person.ID, h.now)
	if err != nil {
		return err
	}
	if err := h.tx.ClearDialog(h.chat); err != nil {
		return err
	}
	n, err := h.b.replanAll(h.tx, days, h.now)
	if err != nil {
		return err
	}
	return h.redraw("fixdone", n)
}

// replanAll works out again the cards of the days that exist already, and says
// how many of them are others now. Later days are worked out when they come.
func (b *Bot) replanAll(tx *store.Tx, days []store.PersonDay, now prescribe.Instant) (n int, err error) {
	for _, d := range days {
		today, err := tx.Today(d.Person, now)
		if err != nil {
			return n, err
		}
		if d.Day < today {
			continue
		}
		was, ok, err := tx.Card(d.Person, d.Day)
		if err != nil {
			return n, err
		}
		if !ok {
			continue
		}
		if err := b.replanDay(tx, d.Person, d.Day, today, now); err != nil {
			return n, err
		}
		is, _, err := tx.Card(d.Person, d.Day)
		if err != nil {
			return n, err
		}
		if !sameWork(was.Card, is.Card) {
			n++
		}
	}
	return n, nil
}

func init() {
	pages["fixtures"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		sq, list, err := r.fixturesAhead(t.id(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		m := telegram.Outgoing{Text: r.sp.T("staff.fixtures_title", "squad", sq.Name)}
		if len(list) == 0 {
			m.Text += "\n" + r.sp.T("staff.fixtures_none")
			return m, nil
		}
		for _, f := range list {
			m.Text += "\n" + r.fixtureText(f, sq)
		}
		if !r.group() {
			m.Buttons = [][]telegram.Button{{r.button("move_match", newTap(verbView, "fixmove", sq.ID))}}
		}
		return m, nil
	}
	pages["fixmove"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		sq, list, err := r.fixturesAhead(t.id(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		m := telegram.Outgoing{Text: r.sp.T("staff.fixture_move")}
		for _, f := range list {
			m.Buttons = append(m.Buttons, []telegram.Button{{Text: clip(plain(r.fixtureText(f, sq)), 60), Data: newTap(verbFixture, f.ID)}})
		}
		m.Buttons = append(m.Buttons, []telegram.Button{r.button("back", newTap(verbView, "fixtures", sq.ID))})
		return m, nil
	}
	pages["fixconfirm"] = func(r *rendering, _ tap) (telegram.Outgoing, error) {
		d, ok, err := r.tx.Dialog(r.out.Chat)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		var move fixtureMove
		if !ok || d.Kind != dialogFixture || json.Unmarshal(d.Args, &move) != nil || move.Day == 0 {
			return telegram.Outgoing{}, errNothing
		}
		f, sq, err := moving(r.tx, r.viewer, move.Fixture)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		return telegram.Outgoing{
			Text:    r.sp.T("staff.fixtures_confirm", "match", f.Summary, "day", wording.HTML(r.fixtureDay(move.Day, move.Kickoff, move.Known && !f.Travel, sq))),
			Buttons: rows(2, r.button("confirm", newTap(verbFixtureDo, d.Asked)), r.button("cancel", newTap(verbCancel)))}, nil
	}
	pages["fixdone"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		n, _ := t.int(0)
		return telegram.Outgoing{Text: r.sp.T("staff.fixtures_moved", "n", n)}, nil
	}
}
