package report

import (
	"cmp"
	"fmt"
	"io"
	"slices"

	"github.com/jszwec/csvutil"

	"pegcard/prescribe"
	"pegcard/store"
)

// SetRow is one set of one player: asked for by a card, done, or both. What is
// missing is empty.
type SetRow struct {
	Player   string               `csv:"player"`
	Name     string               `csv:"name"`
	Squad    string               `csv:"squad"`
	Day      string               `csv:"day"`
	Week     string               `csv:"week"`
	MatchDay string               `csv:"match_day"`
	Session  string               `csv:"session"`
	State    store.CardState      `csv:"state"`
	Counts   *int                 `csv:"counts"`
	Exercise prescribe.ExerciseID `csv:"exercise"`
	Method   prescribe.Method     `csv:"method"`
	Scheme   prescribe.Scheme     `csv:"scheme"`
	Side     prescribe.Side       `csv:"side"`
	Set      int                  `csv:"set"`
	Optional *int                 `csv:"optional"`
	Heavy    *int                 `csv:"heavy"`

	RepsAsked    *int     `csv:"reps_asked"`
	LoadAsked    *float64 `csv:"load_asked"`
	EccAsked     *float64 `csv:"lowering_load_asked"`
	PercentAsked *float64 `csv:"percent_asked"`
	RIRAsked     *int     `csv:"rir_asked"`

	Reps    *int     `csv:"reps"`
	Load    *float64 `csv:"load"`
	Inertia *float64 `csv:"inertia"`
	Device  string   `csv:"device"`
	RIR     *int     `csv:"rir"`
	Failure *int     `csv:"to_failure"`
	Test    *int     `csv:"test"`
	Written *int     `csv:"as_written"`
	Stopped *int     `csv:"stopped"`

	RPE     *int `csv:"session_rpe"`
	Minutes *int `csv:"session_minutes"`
}

// Column is a line of the data dictionary.
type Column struct {
	Name    string `csv:"column"`
	Type    string `csv:"type"`
	Unit    string `csv:"unit"`
	Meaning string `csv:"meaning"`
	Missing string `csv:"missing_means"`
}

// SetColumns is the data dictionary of SetRow, in its order.
func SetColumns() []Column {
	const notAsked, notDone, noCard = "no card asked for it", "not done, or not reported", "no card of that day"
	return []Column{
		{"player", "text", "", "pseudonym, the same in every export of this club; with --names the club's own key", "never"},
		{"name", "text", "", "the player's name, with --names only", "pseudonymous export"},
		{"squad", "text", "", "squad on that day", "in no squad"},
		{"day", "date", "year-month-day", "civil date where the player was", "never"},
		{"week", "date", "year-month-day", "Monday of that week", "never"},
		{"match_day", "text", "", "days from the nearest match: MD-3, MD+1", "no match near"},
		{"session", "text", "", "session of the programme", noCard},
		{"state", "text", "", "how far the day's card came: sent, started, done, changed (done, otherwise than written), missed, unanswered, withheld; draft, approved and replaced were not sent or not the last", noCard},
		{"counts", "0/1", "", "1: a session that went out and was not withheld, which counts in shares of sessions and work done", noCard},
		{"exercise", "text", "", "exercise, a name that does not change", "a session reported without sets"},
		{"method", "text", "", "traditional, eccentric, flywheel or other", "not on the card"},
		{"scheme", "text", "", "how the card came to sets and load", "reported without a card"},
		{"side", "text", "", "left or right", "both sides at once"},
		{"set", "integer", "", "number of the set of that exercise and side that day, from 1", "never; 0 where exercise is missing"},
		{"optional", "0/1", "", "1: not counted in what was asked for", "not on the card"},
		{"heavy", "0/1", "", "1: counts as heavy work", "not on the card"},
		{"reps_asked", "integer", "repetitions", "asked for, each side", notAsked},
		{"load_asked", "number", "kg", "external load asked for: total on the bar, each hand, or added to the body; 0 where there is none in kg", notAsked},
		{"lowering_load_asked", "number", "kg", "load for lowering, where it is heavier", "none"},
		{"percent_asked", "number", "% of 1RM", "of the cautious estimate, from the load that was built", "not worked out from a record"},
		{"rir_asked", "integer", "repetitions", "to be left in reserve", "not said"},
		{"reps", "integer", "repetitions", "done", notDone},
		{"load", "number", "kg", "external load used, as load_asked", notDone},
		{"inertia", "number", "kg·m²", "flywheel", "no flywheel"},
		{"device", "text", "", "flywheel", "no flywheel"},
		{"rir", "integer", "repetitions", "reported as left in reserve; 4 is four or more", "not reported"},
		{"to_failure", "0/1", "", "1: no further repetition was possible", notDone},
		{"test", "0/1", "", "1: a tested set, not training", notDone},
		{"as_written", "0/1", "", "1: reported by \"done as written\", not set by set", notDone},
		{"stopped", "0/1", "", "1: stopped for pain, says nothing about strength", "not done; or not exported by medical staff"},
		{"session_rpe", "integer", "0-10", "effort of the whole session, the same on each of its rows", "not reported"},
		{"session_minutes", "integer", "minutes", "duration of the session, the same on each of its rows", "not reported"},
	}
}

// Sets are the sets of the players from..to, by (player, day, the card's order),
// as far as the viewer may read them: coaches and medical staff only. Without
// names players are pseudonyms. It is written to the audit, so it wants a write
// transaction.
func Sets(tx *store.Tx, v store.Viewer, players []store.Person, from, to prescribe.Day, names bool, now prescribe.Instant) ([]SetRow, error) {
	var out []SetRow
	for _, p := range players {
		for day := from; day <= to; day++ {
			rows, err := daySets(tx, v, p, day)
			if err != nil {
				return nil, fmt.Errorf("player %s on %s: %w", p.Key, day, err)
			}
			for i := range rows {
				rows[i].Player = p.Pseudo
				if names {
					rows[i].Player, rows[i].Name = p.Key, p.Name
				}
			}
			out = append(out, rows...)
		}
		action := "sets"
		if names {
			action = "sets with name"
		}
		if err := tx.Audit(v.Person, p.ID, action, from.String()+".."+to.String(), now); err != nil {
			return nil, err
		}
	}
	slices.SortStableFunc(out, func(a, b SetRow) int { return cmp.Or(cmp.Compare(a.Player, b.Player), cmp.Compare(a.Day, b.Day)) })
	return out, nil
}

// liftSide is what sets are numbered by.
type liftSide struct {
	exercise prescribe.ExerciseID
	side     prescribe.Side
	test     bool
}

func daySets(tx *store.Tx, v store.Viewer, p store.Person, day prescribe.Day) ([]SetRow, error) {
	a, err := tx.Sees(v, p.ID, day)
	if err != nil {
		return nil, err
	}
	if !a.Has(prescribe.ForCoach) && !a.Has(prescribe.ForMedical) {
		return nil, store.ErrNotFound
	}
	squad, _, err := tx.SquadOf(p.ID, day)
	if err != nil {
		return nil, err
	}
	c, issued, err := tx.Card(p.ID, day)
	if err != nil {
		return nil, err
	}
	events, err := tx.Events(p.ID, day, day)
	if err != nil {
		return nil, err
	}
	base := SetRow{Squad: squad.Slug, Day: day.String(), Week: day.Monday().String(), Method: ""}
	if issued {
		base.MatchDay, base.Session, base.State = c.Card.MatchDay, c.Card.Template, c.State
		base.Counts = new(flag(counted(Line{State: c.State, Kind: c.Card.Kind})))
	}
	for _, e := range events {
		if e.Session == nil {
			continue
		}
		if e.Session.RPE != nil {
			base.RPE = new(int(*e.Session.RPE))
		}
		if e.Session.Minutes > 0 {
			base.Minutes = new(e.Session.Minutes)
		}
	}

	var rows []SetRow
	place := map[liftSide][]int{} // rows that wait for a set
	if issued {
		for _, it := range c.Card.Items {
			rows = askedSets(rows, place, base, it)
		}
	}
	number := map[liftSide]int{}
	for _, e := range events {
		if e.Set == nil {
			continue
		}
		key := liftSide{e.Set.Exercise, e.Set.Side, e.Set.Test}
		number[key]++
		if list := place[key]; len(list) > 0 {
			fill(&rows[list[0]], *e.Set, a)
			place[key] = list[1:]
			continue
		}
		r := base
		r.Exercise, r.Side, r.Scheme, r.Set = e.Set.Exercise, e.Set.Side, e.Set.Scheme, number[key]
		fill(&r, *e.Set, a)
		rows = append(rows, r)
	}
	if len(rows) == 0 && issued && *base.Counts == 1 {
		rows = append(rows, base) // nothing but its end is known of the session
	}
	return rows, nil
}

// askedSets adds the rows of a card's line.
func askedSets(rows []SetRow, place map[liftSide][]int, base SetRow, it prescribe.Item) []SetRow {
	sides := []prescribe.Side{prescribe.Both}
	if it.PerSide {
		sides = []prescribe.Side{prescribe.Left, prescribe.Right}
		if it.First == prescribe.Right {
			slices.Reverse(sides)
		}
	}
	for n := range it.Sets {
		for _, side := range sides {
			r := base
			r.Exercise, r.Method, r.Scheme, r.Side, r.Set = it.Exercise, it.Method, it.Scheme, side, n+1
			r.Optional, r.Heavy = new(flag(it.Optional)), new(flag(it.Heavy))
			r.RepsAsked, r.LoadAsked = new(it.Reps), new(float64(it.Load))
			if it.EccLoad > 0 {
				r.EccAsked = new(float64(it.EccLoad))
			}
			if it.Percent > 0 {
				r.PercentAsked = new(float64(it.Percent))
			}
			if it.RIR != nil {
				r.RIRAsked = new(int(*it.RIR))
			}
			key := liftSide{it.Exercise, side, false}
			place[key] = append(place[key], len(rows))
			rows = append(rows, r)
		}
	}
	return rows
}

// fill puts what was done into a row.
func fill(r *SetRow, s prescribe.Set, a prescribe.Audience) {
	r.Reps, r.Load = new(s.Reps), new(float64(s.Load))
	if s.Inertia > 0 {
		r.Inertia, r.Device = new(float64(s.Inertia)), s.Device
	}
	if s.RIR != nil {
		r.RIR = new(int(*s.RIR))
	}
	r.Failure, r.Test, r.Written = new(flag(s.ToFail)), new(flag(s.Test)), new(flag(s.AsWritten))
	if a.Has(prescribe.ForMedical) {
		r.Stopped = new(flag(s.Stopped))
	}
}

// WriteCSV writes rows of one kind under their head.
func WriteCSV[T any](w io.Writer, rows []T) error {
	text, err := csvutil.Marshal(rows)
	if err != nil {
		return err
	}
	_, err = w.Write(text)
	return err
}
