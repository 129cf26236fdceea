// Package trial measures the engine on virtual players and against the usual
// ways to set a load.
//
// A virtual player has what the engine cannot see: a strength for each lift, a
// repetition curve of his own, days that are better and worse, a habit of
// reporting. A season is 46 weeks of off-season, pre-season and matches, with
// travel, illness, injuries, releases and missed sessions, all drawn from a
// seed. The engine is run as in production: events are folded, the day's card
// is planned, the player does what it says as far as he can and reports it.
//
// The comparison policies get the same seasons and the same draws. They have no
// rule for when, what and how much, so they get the engine's days, exercises,
// sets and reductions for soreness, pain, breaks and medical caps; the load,
// and for APRE and double progression the repetitions, are their own. What the
// comparison shows is therefore the load alone, and the columns about dose and
// hard limits are the engine's in every row but for the sets a policy does not
// ask for. Each policy trains its own copy of the player, so a policy that is
// too light gains less. They are also given more than the engine: a report of
// repetitions in reserve for every set.
//
// On a test day the lifts that are safe to fail are done again to failure, with
// test.long_share of what was tested. Every policy is told of that set as of any
// recorded one. "last set, Epley" takes it for the last set; APRE moves the RM of
// the protocol that its repetitions belong to; "percent of last test" stays with
// the test itself, which has fewer repetitions and so gives the better 1RM;
// double progression and "two for two" begin from a test and from then on count
// only working sets at their own load.
//
// Only the lifts that every policy has a test for are measured: see TestedLifts.
//
// The numbers behind the players are in Parameters, each with its source or
// marked as ours. None of them is taken from the engine: in particular the
// repetition curves are drawn from the published spread, not from the engine's
// table.
package trial
