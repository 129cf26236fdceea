// Package telegram is the client side of the Telegram Bot API: calls with a
// deadline and a class for every failure (Client), updates taken in order and
// confirmed only after they were handled (Poller), and the rate at which chats
// may be written to (Pacer).
//
// The bot token is part of every address of the API. It never appears in an
// error, a log line or a printed value of this package.
//
// Figures without another source are those of the public Bot API
// documentation, core.telegram.org/bots/api and core.telegram.org/bots/faq.
package telegram
