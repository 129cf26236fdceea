package bot

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
	"pegcard/store/report"
)

// cmdSquad shows the squads of the asker by the state of today's sessions. In
// a group, and to an administrator, it shows counts only.
func (h *hand) cmdSquad(string) error {
	var seen []int64
	for _, role := range h.roles {
		if role.Role == store.RolePlayer || slices.Contains(seen, role.Squad) {
			continue
		}
		seen = append(seen, role.Squad)
		if err := h.view("squad", role.Squad); err != nil {
			return err
		}
	}
	return nil
}

// reading is the roles of a squad from the one that sees most to the one that
// sees least.
var reading = []store.Role{store.RoleMedical, store.RoleCoach, store.RoleHeadCoach, store.RoleSafeguarding}

// squadStates is the order in which a squad's day is shown: what wants
// attention first.
var squadStates = []store.CardState{
	store.CardWithheld, store.CardMissed, store.CardUnanswered, store.CardStarted, store.CardSent,
	asked, store.CardDraft, store.CardApproved, store.CardChanged, store.CardDone, "", notJoined,
}

// notJoined stands beside the states of cards: no card reaches this player.
const notJoined store.CardState = "not joined"

// asked stands there too: the card in hand is void, and the new one waits for
// an answer of the player.
const asked store.CardState = "asked"

func init() {
	pages["squad"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		squad := t.id(0)
		sq, err := r.tx.Squad(squad)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		role := store.Role("")
		for _, x := range reading {
			if r.viewer.May(squad, x) {
				role = x
				break
			}
		}
		if role == "" {
			return r.roster(sq)
		}
		d, err := report.Day(r.tx, r.viewer, squad, r.day, store.AudienceOf(role))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		return r.squadDay(d), nil
	}
}

// roster is what an administrator sees: who has joined. No training data.
func (r *rendering) roster(sq store.Squad) (telegram.Outgoing, error) {
	if !r.viewer.May(sq.ID, store.RoleAdmin) {
		return telegram.Outgoing{}, errNothing
	}
	members, err := r.tx.Members(sq.ID, r.day)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	if len(members) == 0 {
		return telegram.Outgoing{Text: r.sp.T("staff.squad_empty", "squad", sq.Name)}, nil
	}
	text := r.sp.T("staff.squad_title", "squad", sq.Name, "day", r.day)
	if r.group() {
		return telegram.Outgoing{Text: text + "\n" + r.sp.Players(len(members))}, nil
	}
	for _, p := range members {
		if p.Chat == 0 {
			text += "\n" + r.sp.T("staff.squad_line", "name", p.Key+" "+p.Name, "state", wording.HTML(r.sp.T("staff.player_not_joined")))
		} else {
			text += "\n" + r.sp.Format(p.Key+" "+p.Name)
		}
	}
	return telegram.Outgoing{Text: text}, nil
}

func (r *rendering) squadDay(d report.DayReport) telegram.Outgoing {
	by := map[store.CardState][]string{}
	held := 0
	for _, l := range d.Lines {
		state := l.State
		if l.NotJoined {
			state = notJoined
		} else if l.Asked {
			state = asked
		}
		if d.For == prescribe.ForSafeguarding && !l.Under18 {
			continue
		}
		if l.Restricted && d.For != prescribe.ForSafeguarding {
			held++
		}
		name := r.sp.Format(l.Name)
		if l.Restricted && state != store.CardWithheld && d.For != prescribe.ForSafeguarding {
			name += " (" + r.sp.State(string(store.CardWithheld)) + ")"
		}
		by[state] = append(by[state], name)
	}
	n := func(ss ...store.CardState) (k int) {
		for _, s := range ss {
			k += len(by[s])
		}
		return k
	}
	text := r.sp.T("staff.squad_title", "squad", d.Squad.Name, "day", d.Day) + "\n" +
		r.sp.T("staff.squad_counts", "done", n(store.CardDone, store.CardChanged), "open", n(store.CardSent, store.CardStarted, store.CardDraft, store.CardApproved, asked),
			"missed", n(store.CardMissed), "unanswered", n(store.CardUnanswered), "held", held)
	if r.group() {
		return telegram.Outgoing{Text: text}
	}
	if d.For == prescribe.ForSafeguarding && len(by) == 0 {
		text += "\n" + r.sp.T("staff.no_under18")
	}
	for _, s := range squadStates {
		if len(by[s]) == 0 {
			continue
		}
		word := string(s)
		if s == "" {
			word = "none"
		}
		if s == notJoined {
			text += "\n\n" + r.sp.T("staff.squad_section", "state", wording.HTML(capital(r.sp.T("staff.player_not_joined"))), "n", len(by[s])) + "\n" + strings.Join(by[s], ", ")
			continue
		}
		text += "\n\n" + r.sp.T("staff.squad_section", "state", wording.HTML(r.sp.State(word)), "n", len(by[s])) + "\n" + strings.Join(by[s], ", ")
	}
	return telegram.Outgoing{Text: text}
}

// cmdPlayer shows one player, as the asker may see them.
func (h *hand) cmdPlayer(arg string) error {
	return h.withPlayer(arg, "player", func(p store.Person) error { return h.view("player", p.ID) })
}

// findMax bounds the buttons when several players fit a name.
const findMax = 8

// withPlayer finds the player that arg names and goes on; when several fit,
// they are offered as buttons that lead to page with the player's id.
func (h *hand) withPlayer(arg, page string, then func(p store.Person) error) error {
	if strings.TrimSpace(arg) == "" {
		return h.view("pick", page, "")
	}
	found, rest, err := h.leadingPlayers(arg)
	switch {
	case err != nil:
		return err
	case len(found) == 0 || rest != "":
		return mend("staff.player_none")
	case len(found) == 1:
		return then(found[0])
	}
	return h.view("pick", page, strings.ReplaceAll(clip(arg, 24), ":", " "))
}

// findPlayers are the players the asker may see whose name, or key, begins
// with arg; all of them for no arg. A key written out is that player alone.
func (h *hand) findPlayers(arg string) ([]store.Person, error) {
	found, err := h.tx.FindPlayers(h.viewer, arg, h.day)
	for _, p := range found {
		if strings.EqualFold(p.Key, strings.TrimSpace(arg)) {
			return []store.Person{p}, err
		}
	}
	return found, err
}

// leadingPlayers are the players that the first words of arg name, as many
// words as a name takes, and the rest of arg.
func (h *hand) leadingPlayers(arg string) (found []store.Person, rest string, err error) {
	words := strings.Fields(arg)
	all, err := h.findPlayers("")
	if err != nil {
		return nil, "", err
	}
	for n := min(len(words), nameWords); n > 0; n-- {
		name := strings.Join(words[:n], " ")
		found, err := h.findPlayers(name)
		if err != nil {
			return nil, "", err
		}
		for _, p := range all {
			// "van Kolkenrade": words from the middle of a name on.
			if n > 1 && len(found) == 0 && strings.Contains(strings.ToLower(" "+p.Name), " "+strings.ToLower(name)) {
				found = append(found, p)
			}
		}
		if len(found) > 0 {
			return found, strings.Join(words[n:], " "), nil
		}
	}
	return nil, "", nil
}

// nameWords is the most words a name is looked for in.
const nameWords = 4

func clip(s string, n int) string {
	r := []rune(s)
	if len(r) > n {
		r = r[:n]
	}
	return string(r)
}

func init() {
	// pick:page:query offers the players that fit the query.
	pages["pick"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		found, err := r.tx.FindPlayers(r.viewer, t.str(1), r.day)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		m := telegram.Outgoing{Text: r.sp.T("staff.player_many")}
		if t.str(1) == "" {
			m.Text = r.sp.T("staff.which_player")
		}
		var buttons []telegram.Button
		for i, p := range found {
			if t.str(1) != "" && i >= findMax {
				break
			}
			b := telegram.Button{Text: clip(p.Key+" "+p.Name, 24), Data: newTap(verbView, t.str(0), p.ID)}
			switch t.str(0) {
			case "hold":
				b.Data = startHold(p.ID, false)
			case "release":
				b.Data = startHold(p.ID, true)
			}
			buttons = append(buttons, b)
		}
		m.Buttons = rows(2, buttons...)
		return m, nil
	}
	pages["player"] = (*rendering).playerPage
}

// playerPage is one player for one reader.
func (r *rendering) playerPage(t tap) (telegram.Outgoing, error) {
	id := t.id(0)
	see, err := r.tx.Sees(r.viewer, id, r.day)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	if see&^prescribe.ForPlayer == 0 {
		return telegram.Outgoing{}, store.ErrNotFound // a staff page, also of oneself
	}
	p, err := r.tx.Person(id)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	sq, _, err := r.tx.SquadOf(id, r.day)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	var b strings.Builder
	b.WriteString(r.sp.T("staff.player_title", "name", p.Key+" "+p.Name, "squad", sq.Name))
	line := func(s string) { b.WriteString("\n" + s) }
	if p.Chat == 0 {
		line(r.sp.T("staff.player_not_joined"))
	}
	if see.Has(prescribe.ForSafeguarding) && see&(prescribe.ForCoach|prescribe.ForMedical) == 0 {
		if err := r.chatTraffic(id, line); err != nil {
			return telegram.Outgoing{}, err
		}
		return telegram.Outgoing{Text: b.String()}, nil
	}
	card, ok, err := r.tx.Card(id, r.day)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	state := "none"
	if ok && card.Card.Kind != prescribe.CardRest {
		state = string(card.State)
		if card.State == store.CardDraft && card.SentMessage != 0 && !(card.Card.Approval && card.Approved != card.Rev) {
			state = string(asked)
		}
	}
	line(r.sp.T("staff.player_today", "state", wording.HTML(r.sp.State(state))))
	if err := r.holdsOf(id, see, line); err != nil {
		return telegram.Outgoing{}, err
	}
	in, err := r.tx.Inputs(id, r.day)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	lifts := 0
	for _, key := range in.State.LiftKeys() {
		rec := in.State.Lifts[key]
		if !rec.Known() {
			continue
		}
		lifts++
		ex, side, _ := strings.Cut(key, "/")
		e := rec.Estimate(r.day, in.Rules)
		line(r.sp.T("staff.player_lift", "exercise", wording.HTML(r.sp.Lift(prescribe.ExerciseID(ex), prescribe.Side(side))),
			"low", whole(e.Low), "high", whole(e.High), "day", r.day-prescribe.Day(e.Days)))
	}
	if lifts == 0 {
		line(r.sp.T("staff.player_lift_none"))
	}
	if n := in.State.MissedRun(); n > 0 {
		line(r.sp.T("staff.player_missed_run", "n", n))
	}
	events, err := r.tx.ViewEvents(r.viewer, id, r.day-7, r.day, r.now)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	for _, e := range events {
		switch {
		case e.Soreness != nil:
			line(r.sp.T("staff.player_sore", "region", wording.HTML(r.sp.Region(e.Soreness.Region, e.Soreness.Side)), "score", e.Soreness.Score, "day", e.Day))
		case e.Pain != nil:
			line(r.sp.T("staff.player_pain", "region", wording.HTML(r.sp.Region(e.Pain.Region, e.Pain.Side)), "score", e.Pain.Score, "day", e.Day))
		case e.Warning != nil:
			line(r.sp.T("staff.player_warning", "sign", e.Warning.Sign, "day", e.Day))
		case e.Release != nil && e.Release.Reason != "":
			line(r.sp.T("staff.player_release", "day", e.Day, "text", e.Release.Reason))
		}
	}
	m := telegram.Outgoing{Text: b.String(), Protect: see.Has(prescribe.ForMedical)}
	if r.viewer.May(sq.ID, store.RoleCoach, store.RoleMedical) {
		m.Buttons = rows(2,
			r.button("hold", startHold(id, false)), r.button("release", startHold(id, true)))
	}
	if ok && r.viewer.May(sq.ID, store.RoleCoach) && card.Card.Kind != prescribe.CardRest {
		m.Buttons = append(m.Buttons, []telegram.Button{r.button("days_card", newTap(verbView, "lookcard", card.ID)), r.button("why", newTap(verbView, "coachwhy", card.ID))})
	}
	return m, nil
}

// whole rounds an estimate: its kilograms are not worth decimals.
func whole(kg prescribe.Kg) prescribe.Kg { return prescribe.Kg(math.Round(float64(kg))) }

// holdsOf says what is held, to medical staff with the place, to others that
// medical staff know.
func (r *rendering) holdsOf(player int64, see prescribe.Audience, line func(string)) error {
	holds, err := r.tx.ViewHolds(r.viewer, player, r.day)
	if err != nil {
		return err
	}
	for _, h := range holds {
		region := r.sp.T("staff.everything")
		if h.Region != "" {
			region = r.sp.Region(h.Region, h.Side)
		}
		switch {
		case h.AskMedical && h.MaxLoad > 0 && see.Has(prescribe.ForCoach):
			line(r.sp.T("staff.player_capped", "cap", h.MaxLoad))
		case h.AskMedical:
			line(r.sp.T("staff.player_held"))
		case !h.Medical:
			line(r.sp.T("staff.player_coach_hold", "day", h.Since))
		case h.Sign != "" && h.Region != "":
			line(r.sp.T("staff.player_hold_sign_region", "sign", h.Sign, "region", wording.HTML(region), "day", h.Since))
		case h.Sign != "":
			line(r.sp.T("staff.player_hold_sign", "sign", h.Sign, "day", h.Since))
		case h.MaxLoad > 0 && h.Until != 0:
			line(r.sp.T("staff.player_cap", "cap", h.MaxLoad, "region", wording.HTML(region), "until", h.Until))
		case h.Until != 0:
			line(r.sp.T("staff.player_hold_until", "region", wording.HTML(region), "day", h.Since, "until", h.Until))
		default:
			line(r.sp.T("staff.player_hold", "region", wording.HTML(region), "day", h.Since))
		}
	}
	return nil
}

// chatTraffic is what the safeguarding officer sees of an under-18's chat: when
// messages went which way, by kind, without content.
func (r *rendering) chatTraffic(player int64, line func(string)) error {
	list, err := r.tx.ViewChat(r.viewer, player, r.now-hours(7*24), r.now, r.day)
	if err != nil {
		return err
	}
	if len(list) > trafficMax {
		list = list[len(list)-trafficMax:]
	}
	for _, e := range list {
		arrow := "→ bot"
		if e.ToThem {
			arrow = "bot →"
		}
		word, ok := traffic[e.Kind]
		if !ok {
			word = "traffic.message"
		}
		line(fmt.Sprintf("%s %s %s", r.sp.At(e.At.Time().In(r.loc)), arrow, r.sp.T(word)))
	}
	return nil
}

const trafficMax = 40

// traffic names the kinds of messages that are told apart there.
var traffic = map[string]string{"answer": "traffic.answer", outCard: "traffic.card", outQuestion: "traffic.question"}
