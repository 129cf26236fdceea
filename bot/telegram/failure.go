package telegram

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"strings"
	"time"
)

// Class says what a failed call means for the caller.
type Class int

const (
	// RateLimited: too many calls (429). Do not call again for this chat
	// before Error.RetryAfter has passed.
	RateLimited Class = iota + 1
	// Unreachable: nobody can be written to in this chat (403; 400 for a chat
	// or user that is gone). Do not retry; tell staff once.
	Unreachable
	// Migrated: the group became a supergroup; Error.MigrateTo is its new chat
	// id. Store it and send again there.
	Migrated
	// NotModified: an edit would change nothing. The edit methods return nil
	// for it.
	NotModified
	// BadEntities: the markup cannot be parsed. Send and EditText have already
	// tried plain text when a caller sees this.
	BadEntities
	// Rejected: another refusal of this very request (other 4xx), or one that
	// was found wrong before it was sent. The same request fails again.
	Rejected
	// QueryTooOld: a button tap can no longer be answered. AnswerCallback
	// returns nil for it.
	QueryTooOld
	// Unauthorized: the token or the address of the API is wrong (401, 404).
	// Nothing works until a person mends it.
	Unauthorized
	// Conflict: another process polls with this token, or a webhook is set (409).
	Conflict
	// Server: 5xx, or an answer that is not one of the API's (HTML of a proxy,
	// truncated or oversized JSON). Whether the request was carried out is
	// unknown.
	Server
	// Network: no answer (name, connection, deadline, reset). Unknown as well,
	// unless Error.Certain says that no connection came about.
	Network
	// Canceled: the caller's context ended.
	Canceled
)

var classNames = [...]string{
	RateLimited:  "rate limited",
	Unreachable:  "chat unreachable",
	Migrated:     "chat migrated",
	NotModified:  "not modified",
	BadEntities:  "markup refused",
	Rejected:     "rejected",
	QueryTooOld:  "tap too old to answer",
	Unauthorized: "unauthorized",
	Conflict:     "conflict",
	Server:       "server error",
	Network:      "network error",
	Canceled:     "canceled",
}

func (c Class) String() string {
	if c <= 0 || int(c) >= len(classNames) {
		return fmt.Sprintf("class %d", int(c))
	}
	return classNames[c]
}

// Error is the only kind of error that a Client call returns.
type Error struct {
	Class  Class
	Method string // method of the Bot API, such as sendMessage
	// Code is the error code of the API, else the HTTP status; 0 when there
	// was no answer.
	Code int
	// Description is the reason in words, without the token.
	Description string
	// RetryAfter is how long not to call; 0 when the server did not say.
	RetryAfter time.Duration
	MigrateTo  int64 // new chat id, with class Migrated
	// Certain is true when the request was certainly not carried out, so that
	// sending it again cannot repeat a message.
	Certain bool

	// cause is a sentinel of package context or nil. Nothing else is kept in
	// the chain: other errors may hold the address, and with it the token.
	cause error
}

func (e *Error) Error() string {
	if e.Class == Unauthorized {
		return fmt.Sprintf("telegram: %s: the server does not accept the bot token (%d %s): check that the token is the one BotFather gave, complete and not revoked, and that the API address is right",
			e.Method, e.Code, e.Description)
	}
	var b strings.Builder
	b.WriteString("telegram: " + e.Method + ": " + e.Class.String())
	if e.Code != 0 {
		fmt.Fprintf(&b, " (%d)", e.Code)
	}
	if e.Description != "" {
		b.WriteString(": " + e.Description)
	}
	return b.String()
}

// Unwrap gives context.Canceled or context.DeadlineExceeded where one of them
// ended the call, else nil.
func (e *Error) Unwrap() error { return e.cause }

// ClassOf is the class of the first Error in err's chain, or 0.
func ClassOf(err error) Class {
	var e *Error
	if errors.As(err, &e) {
		return e.Class
	}
	return 0
}

// retryAfterMax bounds what a server can ask for; more than a day is not
// flood control but a mistake, and would overflow a Duration far above it.
const retryAfterMax = 24 * time.Hour

// refusals are 400 descriptions that mean something of their own, in lower
// case, first match wins. The API has no finer codes; the texts are those its
// open-source server produces.
var refusals = []struct {
	text  string
	class Class
}{
	{"message is not modified", NotModified},
	{"can't parse entities", BadEntities},
	{"query is too old", QueryTooOld},
	{"query id is invalid", QueryTooOld},
	{"query_id_invalid", QueryTooOld},
	{"chat not found", Unreachable},
	{"user not found", Unreachable},
	{"user is deactivated", Unreachable},
	{"group chat was deactivated", Unreachable},
	{"peer_id_invalid", Unreachable},
	{"chat_write_forbidden", Unreachable},
	{"have no rights to send a message", Unreachable},
	{"not enough rights to send", Unreachable},
}

// refusal classifies an answer of the API that says "ok": false.
func refusal(method string, code int, description string, retryAfter time.Duration, migrateTo int64) *Error {
	e := &Error{
		Method: method, Code: code, Description: description,
		RetryAfter: min(max(retryAfter, 0), retryAfterMax), MigrateTo: migrateTo, Certain: true,
	}
	switch {
	case migrateTo != 0:
		e.Class = Migrated
	case code == 429:
		e.Class = RateLimited
	case code == 401 || code == 404:
		e.Class = Unauthorized
	case code == 403:
		e.Class = Unreachable
	case code == 409:
		e.Class = Conflict
	case code == 400:
		e.Class = Rejected
		low := strings.ToLower(description)
		for _, r := range refusals {
			if strings.Contains(low, r.text) {
				e.Class = r.class
				break
			}
		}
	case code > 400 && code < 500:
		e.Class = Rejected
	default:
		e.Class, e.Certain = Server, false
	}
	return e
}

// transportFailure classifies an error of the transport. ctx is the caller's
// context, without the deadline of the call. text is err's text, redacted.
func transportFailure(ctx context.Context, method string, err error, text string) *Error {
	e := &Error{Class: Network, Method: method, Description: text}
	switch {
	case ctx.Err() != nil:
		// The caller's end outweighs what the transport says about it.
		e.Class, e.cause, e.Description = Canceled, ctx.Err(), ctx.Err().Error()
	case errors.Is(err, context.DeadlineExceeded):
		e.cause, e.Description = context.DeadlineExceeded, "no answer within the time allowed"
	default:
		e.Certain = neverConnected(err)
	}
	return e
}

// neverConnected reports whether err shows that no connection was ever ready
// to carry the request.
func neverConnected(err error) bool {
	var (
		op   *net.OpError
		dns  *net.DNSError
		cert *tls.CertificateVerificationError
		rec  tls.RecordHeaderError
	)
	switch {
	case errors.As(err, &dns), errors.As(err, &cert):
		return true
	case errors.As(err, &rec):
		return true
	case errors.As(err, &op):
		return op.Op == "dial" || op.Op == "proxyconnect"
	}
	return false
}
