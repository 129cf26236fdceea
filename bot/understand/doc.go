// Package understand reads what a player wrote.
//
// Read is a pure function from a text and what the bot knows at that moment (the
// card, the open question, the language) to meanings the engine can record, and
// questions for whatever was not clear. It never guesses in silence: a text that
// can be read in two ways comes back as a question with both readings, so that
// the bot can put them as buttons. It never panics, and its work is bounded.
//
// The order of the stages is the order of the promise:
//
//  1. Warning signs, over the whole text, in all languages at once, before
//     anything else and whatever the language of the chat. Doubt alerts. A sign
//     that is plainly denied ("no chest pain") becomes a question, never nothing.
//  2. Commands.
//  3. Words are looked up: the exercises of the card, then the language of the
//     chat, then English, then the other languages; exactly first, then with
//     typing mistakes.
//  4. Clauses: what was done, where it hurts, why not.
//
// Nothing here diagnoses or reassures.
//
// A language is one file, lexicon_xx.go: a list of concepts, each with the
// phrases people use for it. See lexicon.go for its form.
package understand
