package trial

import (
	"fmt"
	"slices"
)

// Parameter is one number of the virtual players or of their seasons.
type Parameter struct {
	ID     string  `json:"id"`
	Value  float64 `json:"value"`
	Unit   string  `json:"unit"`
	Source string  `json:"source"` // a publication, or "ours"
	Note   string  `json:"note"`
}

const ours = "ours"

// Model is a set of parameters. The zero Model has none; start from
// DefaultModel.
type Model struct {
	rows   []Parameter
	values map[string]float64
}

// DefaultModel is the parameters as published or chosen.
func DefaultModel() Model { return modelOf(defaultParameters()) }

func modelOf(rows []Parameter) Model {
	m := Model{rows: rows, values: map[string]float64{}}
	for _, p := range rows {
		m.values[p.ID] = p.Value
	}
	return m
}

// Parameters lists them in the order they are described.
func (m Model) Parameters() []Parameter { return slices.Clone(m.rows) }

// Times is the model with some parameters multiplied.
func (m Model) Times(factor float64, ids ...string) (Model, error) {
	rows := slices.Clone(m.rows)
	for _, id := range ids {
		i := slices.IndexFunc(rows, func(p Parameter) bool { return p.ID == id })
		if i < 0 {
			return m, fmt.Errorf("the trial has no parameter %q", id)
		}
		rows[i].Value *= factor
	}
	return modelOf(rows), nil
}

// Variant is one change to the model, to see what the result hangs on.
type Variant struct {
	Name string
	IDs  []string // doubled
}

// Variants are the changes of the sensitivity run: each doubles one thing.
func Variants() []Variant {
	return []Variant{
		{"spread of the repetition curves doubled", []string{"curve.spread"}},
		{"bias of the reports doubled", []string{"report.bias"}},
		{"noise of the day and of the reports doubled", []string{"form.sd", "report.sd"}},
	}
}

// num panics on an unknown id: a programming error, which the tests find.
func (m Model) num(id string) float64 {
	v, ok := m.values[id]
	if !ok {
		panic("trial: no parameter " + id)
	}
	return v
}

func defaultParameters() []Parameter {
	return []Parameter{
		// Strength.
		{"strength.squat", 1.65, "× body mass", ours, "back squat 1RM of a trained player, median"},
		{"strength.spread", 0.13, "log SD", ours, "between players"},
		{"strength.lift_spread", 0.08, "log SD", ours, "of one lift around what the others say"},
		{"strength.side_spread", 0.03, "log SD", ours, "of one leg around both"},
		{"body.mass", 78, "kg", ours, "mean"},
		{"body.spread", 7, "kg", ours, "SD"},
		{"level.wander", 0.2, "% a square-root day", ours, "slow changes of a lift that no training explains"},

		// Repetition curves: repetitions to failure n at fraction f of 1RM are
		// n = 1 − ln f / k. Published repetitions fix the median k; its spread is
		// the published range.
		{"curve.squat_reps", 12.2, "repetitions at 70 %", "Zourdos 2021: 6–26 at 70 % squat", "median: the middle of 5 and 25 repetitions beyond the first, on the log scale"},
		{"curve.bench_reps", 8.8, "repetitions at 80 %", "Nuzzo 2024: bench 8.8 (7.7–10.1) at 80 %", "median, for every upper-body lift"},
		{"curve.press_reps", 13.1, "repetitions at 80 %", "Nuzzo 2024: leg press 13.1 (9.8–17.5) at 80 %", "median, for the leg press"},
		{"curve.spread", 0.35, "log SD of k", "Zourdos 2021: 6–26 at 70 % squat", "that range taken as ±2.3 SD, as of some fifty lifters: ours"},
		{"curve.shared", 0.7, "share of the variance", ours, "that a player's lifts have in common"},

		// Test days.
		{"season.tests", 9, "weeks", ours, "between strength tests in season"},
		{"test.long_sets", 1, "sets", ours, "to failure after the test of a lift that is safe to fail: split squat, pull-up, bench press; every policy is told"},
		{"test.long_share", 85, "% of the tested load", ours, "the load of such a set; about six repetitions by the handbook table"},

		// The day.
		{"form.sd", 4.2, "%", "Grgic 2020: median retest CV of the 1RM 4.2 %", "form of the day, each lift"},
		{"form.shared", 0.5, "share of the variance", ours, "that the lifts of a day have in common"},
		{"match.fatigue", 4, "%", ours, "lower-body strength missing 24 h after a full match, halving each day; Silva 2018 finds recovery incomplete at 72 h"},
		{"sore.fatigue", 0.5, "% a point", ours, "strength missing for each point of soreness above 3"},
		{"set.fatigue", 1.2, "%", ours, "strength a set at 1 in reserve takes from the next after a full rest; 0.6 times that for each more in reserve"},
		{"cluster.gain", 1.5, "times", ours, "repetitions possible with a pause inside the set"},

		// Reports.
		{"report.bias", 0.95, "repetitions", "Halperin 2022: 0.95 (0.17–1.73) under-reported", "repetitions in reserve reported too few, mean of players"},
		{"report.bias_spread", 0.4, "repetitions", "Halperin 2022: the interval 0.17–1.73 taken as ±2 SD of players: ours", "between players"},
		{"report.sd", 0.8, "repetitions", ours, "of a single report"},
		{"report.detail", 0.4, "share of players", ours, "who log set by set with reserve; the others tap \"done as written\" and answer the effort of the main lift"},
		{"report.silent", 0.15, "share of sessions", ours, "without any report of reserve"},
		{"report.typing", 0.002, "share of sets", ours, "logged by hand with a load 30 % too high"},
		{"sore.answered", 0.8, "share of mornings", ours, "on which soreness is reported"},

		// Training and detraining.
		{"gain.rate", 0.8, "% a session", ours, "first gain of a full session"},
		{"gain.season", 0.6, "times", ours, "in season, beside the pitch"},
		{"gain.ceiling", 12, "%", ours, "gain a player can reach in a year, mean"},
		{"gain.ceiling_spread", 3, "%", ours, "SD"},
		{"gain.sets", 3, "sets", ours, "after which the gain of a session is two thirds done"},
		{"loss.held", 7, "days", "Rønnestad 2011: once a week keeps strength, once in two weeks loses it", "without work before any loss"},
		{"loss.early", 0.1, "% a day", "McMaster 2013: about three weeks held", "up to day 21"},
		{"loss.late", 0.47, "% a day", "McMaster 2013 (from memory): −14.5 % at 7 weeks", "from day 21 to day 49"},

		// Soreness, 0–10.
		{"sore.nordic", 5, "points", ours, "after the first Nordics or other unaccustomed eccentric work; falls with each exposure"},
		{"sore.heavy", 0.35, "points a set", ours, "after heavy sets"},
		{"sore.match", 2.5, "points", ours, "after a full match"},
		{"sore.keep", 0.55, "a day", ours, "what is left of it the next day"},
		{"sore.noise", 0.8, "points", ours, "of a report"},

		// The season.
		{"season.injuries", 2, "a season", "Ekstrand 2011: about two a player-season", "Poisson"},
		{"season.minor", 0.4, "share of injuries", ours, "of 2–7 days; of the rest three quarters 8–28 days, the others 29–70"},
		{"season.illness", 0.8, "a season", ours, "fevers, Poisson"},
		{"season.complaints", 2, "a season", ours, "pain 2–3 without a stop, Poisson"},
		{"season.missed", 0.04, "share of days", ours, "on which the player cannot come and says so"},
		{"season.silent", 0.02, "share of days", ours, "on which he does not come and does not answer"},
		{"season.postponed", 0.04, "share of matches", ours, "put off one to three days before"},
		{"season.away", 0.25, "share of players", ours, "away with a national side in the blank weeks, at a hotel"},
	}
}
