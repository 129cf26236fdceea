package bot

import (
	"pegcard/bot/telegram"
	"pegcard/prescribe"
)

func init() {
	// coachwhy:card is why the card is as it is, for its coach, with the rules
	// and their sources; each exercise behind a button of its own.
	pages["coachwhy"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		c, _, err := coachCard(r.tx, r.viewer, t.id(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		if c, err = r.tx.ViewCard(r.viewer, c.Person, c.Day); err != nil {
			return telegram.Outgoing{}, err
		}
		p, err := r.tx.Person(c.Person)
		if err != nil {
			return telegram.Outgoing{}, err
		}
		m := telegram.Outgoing{Text: r.sp.T("staff.why_title", "name", p.Name, "day", c.Day) + "\n" + r.sp.Why(c.Card, -1, prescribe.ForCoach)}
		for i, it := range c.Card.Items {
			m.Buttons = append(m.Buttons, []telegram.Button{{Text: plain(r.sp.Exercise(it.Exercise)), Data: newTap(verbView, "coachwhyitem", c.ID, i)}})
		}
		m.Buttons = append(m.Buttons, []telegram.Button{r.button("card", newTap(verbView, "lookcard", c.ID))})
		return m, nil
	}
	pages["coachwhyitem"] = func(r *rendering, t tap) (telegram.Outgoing, error) {
		c, _, err := coachCard(r.tx, r.viewer, t.id(0))
		if err != nil {
			return telegram.Outgoing{}, err
		}
		if c, err = r.tx.ViewCard(r.viewer, c.Person, c.Day); err != nil {
			return telegram.Outgoing{}, err
		}
		i, ok := t.int(1)
		if !ok || i < 0 || i >= len(c.Card.Items) {
			return telegram.Outgoing{}, errNothing
		}
		return telegram.Outgoing{Text: r.sp.Why(c.Card, i, prescribe.ForCoach), Buttons: [][]telegram.Button{
			{r.button("back", newTap(verbView, "coachwhy", c.ID))}}}, nil
	}
}
