// Package bot is the chat: it polls, understands, answers, and words each
// message at send time in its reader's language.
//
// A reply goes through six hops: poll (telegram.Poller), Handle (who is it,
// what is asked, may they), understand, store.Once, prescribe through the
// store's Record and IssueCard, and the sender. A morning card goes through
// the tick, schedule.Due, store.Once, prescribe, and the same sender.
//
// Handlers never send. They write rows of the outbox, which refer to stored
// things; the sender renders them from what is stored by then. So a message
// can neither be lost with a crash nor tell an old state.
package bot
