// Package localchat is a chat server for one bot on the loopback interface:
// it speaks the Bot API over HTTP to the bot, and serves a web page on which
// one person at a desk can be every player and every member of staff.
//
// It exists so that a demonstration and the tests run the production path.
// The bot meets the same methods, shapes, limits and refusals as in
// production: https://core.telegram.org/bots/api is the reference for every
// answer, and descriptions of refusals are worded as the public server words
// them, because clients match on them.
//
// What differs from the public server, on purpose:
//
//   - nothing is kept on disk; at most KeepMessages messages a chat;
//   - parse_mode is HTML or absent; the two Markdown modes are refused;
//   - a file is sent by upload or by a file_id seen before, never by URL;
//   - a photo is kept in the one size it was sent in, not re-encoded;
//   - no webhooks: deleteWebhook answers true, setWebhook is not found.
//
// Two clocks run here. Options.Now is the civil clock, which a demonstration
// may move: message dates and everything the page shows come from it. Ages
// (a tap's 150 seconds, an update's 24 hours), rate limits and long polls use
// real time, because moving the civil clock must not expire anything.
//
// A Server is safe for concurrent use. It starts no goroutine of its own:
// work is done in the calls and requests that ask for it.
package localchat
