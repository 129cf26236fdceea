// Package wording turns decisions into words: it holds every sentence of the
// bot in every language, and writes numbers, dates, names and cards the way the
// reader's language does.
//
// A language is one file, lang/<tag>.toml. English is the model: the tests name
// what another language lacks, has too much, or fills with other arguments.
// Messages are named by area:
//
//	lang date unit list md          the language itself, dates, numbers, units
//	region side method pattern      the vocabulary of package prescribe
//	phase absence sign role place
//	state                           the states of a card
//	exercise howto                  names (English: prescribe.Library) and how to do it
//	card                            the card
//	reason why                      why a number is what it is
//	cause criterion outcome edit    words inside a reason
//	join player ask                 what players read
//	staff draft alert digest        what staff read
//	button                          labels, at most 24 characters
//	cmd                             descriptions of the commands
//	error                           what went wrong and how to mend it
//
// To add a message, write it into lang/en.toml and say it; the tests list the
// languages that lack it and the arguments that do not fit. To take out what no
// code says any more: go test ./bot/wording -run TestNoUnusedMessage -prune.
// After a change to a card, read what -update writes into testdata/cards.
//
// Texts are Telegram HTML. Argument values are escaped, message texts may hold
// tags. The package has no clock and keeps no state; a Speaker may be used by
// many goroutines at once.
package wording
