package bot

import (
	"pegcard/bot/telegram"
	"pegcard/prescribe"
	"pegcard/schedule"
	"pegcard/store"
)

// blockWeeks is how many weeks of an off-season are shown when it begins. [ours]
const blockWeeks = 4

func init() {
	// The days ahead in the off-season, and how it goes; t: the Monday.
	pages["week"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		monday, err := prescribe.ParseDay(t.str(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		if yes, err := r.tx.MayBeAsked(r.person.ID, r.now); err != nil || !yes {
			return telegram.Outgoing{}, orNothing(err)
		}
		sq, in, err := r.tx.SquadOf(r.person.ID, monday)
		if err != nil || !in {
			return telegram.Outgoing{}, orNothing(err)
		}
		first := !schedule.OffSeason(sq, monday-7)
		weeks := prescribe.Day(1)
		lines := []string{r.sp.T("player.week")}
		if first {
			weeks, lines = blockWeeks, []string{r.sp.T("player.week_block")}
		}
		ahead, err := planAhead(r.tx, r.person.ID, monday, weeks)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		for _, c := range ahead {
			if schedule.OffSeason(sq, c.Day) {
				lines = append(lines, r.sp.T("player.week_day", "day", c.Day, "n", c.Minutes))
			}
		}
		if len(lines) == 1 {
			lines = append(lines, r.sp.T("player.week_none"))
		} else {
			lines = append(lines, r.sp.T("player.week_moves"))
		}
		if !first {
			done, planned, err := sessionsDone(r.tx, r.person.ID, monday-7, monday-1)
			if err != nil {
				return telegram.Outgoing{}, err
			}
			if planned > 0 {
				lines = append(lines, "", r.sp.T("player.week_last", "done", done, "planned", planned))
			}
		}
		lines = append(lines, "", r.sp.T("player.week_check"))
		return telegram.Outgoing{Text: joinLines(lines), Buttons: [][]telegram.Button{
			{r.button("sore", "sore"), r.button("pain", "pain")}, {r.button("elsewhere", "awq")},
		}}, nil
	}
}

// planAhead are the sessions of the weeks from monday on, each planned as if those
// before it had been done.
func planAhead(tx *store.Tx, person int64, monday, weeks prescribe.Day) ([]prescribe.Card, error) {
	var out []prescribe.Card
	var state prescribe.State
	for w := range weeks {
		// The calendar around the middle of a week holds the whole of it.
		in, err := tx.Inputs(person, monday+7*w+3)
		if err != nil {
			return nil, err
		}
		if w == 0 {
			state = in.State
		}
		for d := monday + 7*w; d < monday+7*w+7; d++ {
			c := prescribe.Plan(state, in.Calendar, in.Programme, in.Rules, d, nil)
			if !trains(c) {
				continue
			}
			out = append(out, c)
			state = asIfDone(state, c, in.Rules)
		}
	}
	return out, nil
}

// sessionsDone are the sessions of the days from..to that went out, and those of
// them that were done. One that was carried over counts once.
func sessionsDone(tx *store.Tx, person int64, from, to prescribe.Day) (done, planned int, err error) {
	cs, err := tx.Cards(person, from, to)
	if err != nil {
		return 0, 0, err
	}
	was := map[string]bool{} // by template: done
	for _, c := range cs {
		if !trains(c.Card) {
			continue
		}
		switch c.State {
		case store.CardDone, store.CardChanged, store.CardSent, store.CardStarted, store.CardMissed, store.CardUnanswered:
			was[c.Card.Template] = was[c.Card.Template] || c.State == store.CardDone || c.State == store.CardChanged
		}
	}
	for _, d := range was {
		if d {
			done++
		}
	}
	return done, len(was), nil
}
