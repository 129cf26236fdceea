// Package prescribe decides what a player should lift today, and says why.
//
// It is pure: records, programme, calendar and rules in; a card with its
// reasons out. It imports the standard library only and uses no clock, no SQL,
// no log and no global randomness, so the same inputs give the same card on
// every machine and on every day.
//
// The map of the domain:
//
//	Event      one thing that happened: a set, a soreness score, a match, a hold
//	State      all that is remembered of a player, bounded, made by folding events
//	Calendar   the days around today: matches, place, equipment, phase
//	Programme  the coach's sessions for each phase
//	Rules      every threshold, each with its unit, range and source
//	Card       today's session: items, loads and the reasons for every number
//	Notice     what a person on the staff has to be told after an event
//
// Two functions serve the bot, the command line, the trial and the replay:
//
//	Fold(State, Event, Rules) State
//	Plan(State, Calendar, Programme, Rules, Day) Card
//
// Nothing here replaces licensed practice. A stop is always lawful and only
// medical staff lift a medical stop. The package never diagnoses.
package prescribe
