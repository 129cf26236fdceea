package telegram

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"math"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
)

// DefaultEndpoint is the public Bot API.
const DefaultEndpoint = "https://api.telegram.org"

const (
	// callDeadline bounds every call that is answered at once.
	callDeadline = 30 * time.Second
	// pollGrace is added to the time a long poll may wait at the server, for
	// the way there and back: 65 s in all for timeout=50.
	pollGrace = 15 * time.Second

	// updatesLimit bounds a getUpdates answer: 100 updates are far below it.
	updatesLimit = 32 << 20
	// answerLimit bounds every other answer, each a single object.
	answerLimit = 4 << 20

	// callbackDataMax is the API's limit for a button's data, in bytes.
	callbackDataMax = 64
)

// Config of a Client.
type Config struct {
	// Token of the bot, as BotFather gives it.
	Token string
	// Endpoint of the Bot API, scheme and host, default DefaultEndpoint.
	Endpoint string
	// Transport carries the requests; nil means one of the client's own.
	Transport http.RoundTripper
	// Logger; nil discards.
	Logger *slog.Logger
}

// String hides the token; Format and LogValue do so for every other way of
// printing.
func (c Config) String() string {
	return "telegram.Config{Token: [token], Endpoint: " + c.Endpoint + "}"
}

// Format implements fmt.Formatter.
func (c Config) Format(s fmt.State, _ rune) { _, _ = io.WriteString(s, c.String()) }

// LogValue implements slog.LogValuer.
func (c Config) LogValue() slog.Value { return slog.StringValue(c.String()) }

// MarshalJSON implements json.Marshaler.
func (c Config) MarshalJSON() ([]byte, error) { return json.Marshal(c.String()) }

// Client calls the Bot API. Its methods may be used at the same time; each
// returns nil or an *Error and ends when its context does.
type Client struct {
	// token is behind a function, as is redact, so that printing a Client, or
	// anything that holds one, cannot show it.
	token    func() string
	redact   func(string) string
	endpoint string // as given, without a trailing slash
	base     http.RoundTripper
	log      *slog.Logger
}

var tokenShape = regexp.MustCompile(`^[A-Za-z0-9_-]+:[A-Za-z0-9_-]+$`)

// NewClient checks the configuration. It makes no call.
func NewClient(c Config) (*Client, error) {
	if !tokenShape.MatchString(c.Token) {
		return nil, errors.New("telegram: the bot token does not look like one: it is digits, a colon, then letters, digits, _ and -, without spaces or quotes; copy it again from BotFather")
	}
	if c.Endpoint == "" {
		c.Endpoint = DefaultEndpoint
	}
	u, err := url.Parse(c.Endpoint)
	if err != nil || (u.Scheme != "https" && u.Scheme != "http") || u.Host == "" || u.RawQuery != "" || u.Fragment != "" || u.User != nil {
		return nil, errors.New("telegram: the API address must be like " + DefaultEndpoint + ": http or https, a host, no user, query or fragment")
	}
	if c.Transport == nil {
		// Its own, so that Close ends no connection of anybody else. One long
		// poll and a sender: more idle connections serve nobody.
		c.Transport = &http.Transport{
			Proxy:                 http.ProxyFromEnvironment,
			ForceAttemptHTTP2:     true,
			MaxIdleConnsPerHost:   4,
			IdleConnTimeout:       90 * time.Second,
			TLSHandshakeTimeout:   10 * time.Second,
			ExpectContinueTimeout: time.Second,
			// A connection that has gone silent is found out while a poll waits on
			// it, and not by each poll's deadline in turn.
			HTTP2: &http.HTTP2Config{SendPingTimeout: 20 * time.Second, PingTimeout: 10 * time.Second},
		}
	}
	if c.Logger == nil {
		c.Logger = slog.New(slog.DiscardHandler)
	}
	token := c.Token
	_, secret, _ := strings.Cut(token, ":")
	pairs := []string{token, "[token]", url.QueryEscape(token), "[token]"}
	if len(secret) >= 8 {
		// Whatever quoting was put between, the secret half alone gives it away.
		pairs = append(pairs, secret, "[token]")
	}
	return &Client{
		token:    func() string { return token },
		endpoint: strings.TrimRight(c.Endpoint, "/"),
		base:     c.Transport,
		log:      c.Logger,
		redact:   strings.NewReplacer(pairs...).Replace,
	}, nil
}

// Close ends idle connections.
func (c *Client) Close() {
	if t, ok := c.base.(interface{ CloseIdleConnections() }); ok {
		t.CloseIdleConnections()
	}
}

// api is the library's request maker over one exchange. The library's own
// constructor is not used: it makes a call.
func (c *Client) api(x *exchange) *tgbotapi.BotAPI {
	api := &tgbotapi.BotAPI{Token: c.token(), Client: x, Buffer: 100}
	api.SetAPIEndpoint(strings.ReplaceAll(c.endpoint, "%", "%%") + "/bot%s/%s")
	return api
}

// exchange is one request and its answer, as the library's HTTP client. It
// binds the context, which the library does not pass on, reads the whole
// answer within its limits, and turns everything that is not a success into
// an *Error. The library hands errors of Do on untouched.
type exchange struct {
	client   *Client
	ctx      context.Context
	method   string
	deadline time.Duration
	limit    int64
}

func (c *Client) exchange(ctx context.Context, method string) *exchange {
	return &exchange{client: c, ctx: ctx, method: method, deadline: callDeadline, limit: answerLimit}
}

// Do implements the library's HTTPClient. It uses the transport itself, not an
// http.Client: no redirect is followed, as it would carry the token elsewhere.
func (x *exchange) Do(req *http.Request) (*http.Response, error) {
	status, header, body, err := x.roundTrip(req)
	if err != nil {
		return nil, err
	}
	result, e := x.client.judge(x.method, status, header, body)
	if e != nil {
		return nil, e
	}
	// The library reads the answer once more and more strictly, so it gets no
	// more than it needs.
	body = slices.Concat([]byte(`{"ok":true,"result":`), result, []byte(`}`))
	return &http.Response{StatusCode: status, Header: header, Body: io.NopCloser(bytes.NewReader(body))}, nil
}

func (x *exchange) roundTrip(req *http.Request) (status int, header http.Header, body []byte, err error) {
	if req.Body != nil {
		// An upload is written by a goroutine of the library, which ends only
		// when its body is closed.
		defer req.Body.Close()
	}
	if cerr := x.ctx.Err(); cerr != nil {
		return 0, nil, nil, &Error{Class: Canceled, Method: x.method, Description: cerr.Error(), Certain: true, cause: cerr}
	}
	ctx, cancel := context.WithTimeout(x.ctx, x.deadline)
	defer cancel()
	fail := func(err error) *Error {
		return transportFailure(x.ctx, x.method, err, x.client.redact(err.Error()))
	}
	res, err := x.client.base.RoundTrip(req.WithContext(ctx))
	if err == nil && res == nil {
		err = errors.New("the transport returned neither an answer nor an error")
	}
	if err != nil {
		return 0, nil, nil, fail(err)
	}
	defer res.Body.Close()
	body, err = io.ReadAll(io.LimitReader(res.Body, x.limit+1))
	if err != nil {
		e := fail(err)
		// It did arrive: only the answer is missing.
		e.Certain = false
		return 0, nil, nil, e
	}
	if int64(len(body)) > x.limit {
		return 0, nil, nil, &Error{Class: Server, Method: x.method, Code: res.StatusCode,
			Description: fmt.Sprintf("the answer is larger than %d bytes", x.limit)}
	}
	return res.StatusCode, res.Header, body, nil
}

// judge returns the result of an answer that says "ok": true and has one.
func (c *Client) judge(method string, status int, header http.Header, body []byte) (json.RawMessage, *Error) {
	var answer struct {
		Ok          *bool           `json:"ok"`
		Result      json.RawMessage `json:"result"`
		ErrorCode   int             `json:"error_code"`
		Description string          `json:"description"`
		Parameters  struct {
			RetryAfter json.Number `json:"retry_after"`
			MigrateTo  int64       `json:"migrate_to_chat_id"`
		} `json:"parameters"`
	}
	if err := json.Unmarshal(body, &answer); err != nil || answer.Ok == nil {
		return nil, c.foreign(method, status, header)
	}
	description := c.redact(strings.ToValidUTF8(answer.Description, "\uFFFD"))
	if *answer.Ok {
		if status < 200 || status > 299 || len(answer.Result) == 0 || string(answer.Result) == "null" {
			return nil, &Error{Class: Server, Method: method, Code: status, Description: "the answer says ok but carries no result"}
		}
		return answer.Result, nil
	}
	code := answer.ErrorCode
	if code == 0 {
		code = status
	}
	return nil, refusal(method, code, description, seconds(answer.Parameters.RetryAfter.String()), answer.Parameters.MigrateTo)
}

// foreign classifies an answer that does not come from the API itself, such as
// a proxy's page. It is never a verdict on a chat or on the token.
func (c *Client) foreign(method string, status int, header http.Header) *Error {
	switch status {
	case http.StatusTooManyRequests:
		return refusal(method, status, http.StatusText(status), seconds(header.Get("Retry-After")), 0)
	case http.StatusRequestEntityTooLarge:
		return refusal(method, status, "the upload is too large", 0, 0)
	}
	return &Error{Class: Server, Method: method, Code: status, Description: "the answer is not one of the Bot API (" + http.StatusText(status) + ")"}
}

// seconds reads a number of seconds, rounded up so that no call comes early.
// Anything else is 0.
func seconds(s string) time.Duration {
	f, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(f) || f <= 0 {
		return 0
	}
	if f >= retryAfterMax.Seconds() {
		return retryAfterMax
	}
	return time.Duration(math.Ceil(f)) * time.Second
}

// finish turns what the library returned into a result or an *Error. into may
// be nil.
func (c *Client) finish(x *exchange, res *tgbotapi.APIResponse, err error, into any) error {
	if err != nil {
		var e *Error
		if errors.As(err, &e) {
			c.log.LogAttrs(x.ctx, slog.LevelDebug, "telegram call failed", slog.String("event", "call.failed"), slog.String("method", x.method), slog.String("class", e.Class.String()), slog.Int("code", e.Code))
			return e
		}
		// Only making the request can fail here: Do returns *Error alone, and
		// what it returned was decoded before.
		return &Error{Class: Rejected, Method: x.method, Description: c.redact(err.Error()), Certain: true}
	}
	if into == nil {
		return nil
	}
	if err := json.Unmarshal(res.Result, into); err != nil {
		return &Error{Class: Server, Method: x.method, Code: http.StatusOK, Description: "the result is not what the method returns"}
	}
	return nil
}

func (c *Client) call(ctx context.Context, method string, params tgbotapi.Params, into any) error {
	x := c.exchange(ctx, method)
	res, err := c.api(x).MakeRequest(method, params)
	return c.finish(x, res, err, into)
}

func (c *Client) request(ctx context.Context, method string, what tgbotapi.Chattable, into any) error {
	x := c.exchange(ctx, method)
	res, err := c.api(x).Request(what)
	return c.finish(x, res, err, into)
}

// User is a person or a bot.
type User = tgbotapi.User

// GetMe returns the bot's own account: the cheapest check of the token.
func (c *Client) GetMe(ctx context.Context) (User, error) {
	var u User
	err := c.call(ctx, "getMe", nil, &u)
	return u, err
}

// GetUpdates returns up to limit (1 to 100) waiting updates, each as it came,
// and confirms to the server all with an id below offset; offset 0 confirms
// none. The server waits up to timeout, in whole seconds, for a first one.
// allowed names the kinds wanted; it must not be empty, because an empty list
// leaves the last setting of any earlier process in force.
func (c *Client) GetUpdates(ctx context.Context, offset, limit int, timeout time.Duration, allowed []string) ([]json.RawMessage, error) {
	const method = "getUpdates"
	if len(allowed) == 0 {
		return nil, &Error{Class: Rejected, Method: method, Description: "no kinds of update named", Certain: true}
	}
	x := c.exchange(ctx, method)
	x.deadline, x.limit = timeout+pollGrace, updatesLimit
	res, err := c.api(x).Request(tgbotapi.UpdateConfig{Offset: offset, Limit: limit, Timeout: int(timeout / time.Second), AllowedUpdates: allowed})
	var raw []json.RawMessage
	if err := c.finish(x, res, err, &raw); err != nil {
		return nil, err
	}
	return raw, nil
}

// Waiting is how many updates the server holds that were not confirmed.
func (c *Client) Waiting(ctx context.Context) (int, error) {
	const method = "getWebhookInfo" // the only method that says
	var info tgbotapi.WebhookInfo
	if err := c.call(ctx, method, nil, &info); err != nil {
		return 0, err
	}
	return info.PendingUpdateCount, nil
}

// Button of an inline keyboard: Data (1 to 64 bytes) comes back as a tap, URL
// opens a page. One of the two is set.
type Button struct {
	Text string
	Data string
	URL  string
}

// Outgoing is a message to be sent.
type Outgoing struct {
	ChatID int64
	// Text, at most 4096 UTF-16 units after its markup is read; see Split.
	Text string
	// HTML reads Text as HTML: words of people in it go through EscapeHTML.
	HTML    bool
	Buttons [][]Button
	Silent  bool // arrives without a sound
	Protect bool // cannot be forwarded or saved
	ReplyTo int  // message id; sent without the reference if that is gone
	// Copy goes out by CopyMessage: a message of another chat, by reference.
	Copy *MessageRef
	// File goes out by SendFile, with Text as its caption; Send passes it over.
	File *Attachment
}

// MessageRef names a message.
type MessageRef struct {
	ChatID    int64
	MessageID int
}

// CopyMessage sends a copy of the message into chat, without naming its sender
// and without loading its file. protect: it cannot be forwarded or saved.
func (c *Client) CopyMessage(ctx context.Context, chat int64, from MessageRef, protect bool) (Sent, error) {
	const method = "copyMessage"
	params := tgbotapi.Params{}
	params.AddNonZero64("chat_id", chat)
	params.AddNonZero64("from_chat_id", from.ChatID)
	params.AddNonZero("message_id", from.MessageID)
	params.AddBool("protect_content", protect)
	var m tgbotapi.MessageID
	if err := c.call(ctx, method, params, &m); err != nil {
		return Sent{}, err
	}
	return Sent{MessageID: m.MessageID, ChatID: chat}, nil
}

// Attachment is a file to be sent.
type Attachment struct {
	Name string
	Data []byte
	// Draw makes the data when it goes out; nil: Data is them.
	Draw  func() ([]byte, error)
	Photo bool // shown as a picture
}

// Sent is a message that arrived.
type Sent struct {
	// MessageID is 0 where the server put the message off to a later minute,
	// which it may do in large groups; it cannot be edited then.
	MessageID int
	ChatID    int64
}

func sentOf(method string, m tgbotapi.Message, chat int64) (Sent, error) {
	if m.MessageID == 0 && m.Chat == nil {
		return Sent{}, &Error{Class: Server, Method: method, Code: http.StatusOK, Description: "the answer names no message"}
	}
	if m.Chat != nil {
		chat = m.Chat.ID
	}
	return Sent{MessageID: m.MessageID, ChatID: chat}, nil
}

// Send sends a text message. Where the server cannot read the markup, the
// same words go as plain text. A failure that is not Certain may have
// delivered the message: the API has no key to find out.
func (c *Client) Send(ctx context.Context, o Outgoing) (Sent, error) {
	const method = "sendMessage"
	params, err := textParams(method, o)
	if err != nil {
		return Sent{}, err
	}
	params.AddBool("disable_notification", o.Silent)
	params.AddBool("protect_content", o.Protect)
	if o.ReplyTo != 0 {
		params.AddNonZero("reply_to_message_id", o.ReplyTo)
		params.AddBool("allow_sending_without_reply", true)
	}
	var m tgbotapi.Message
	if err := c.orPlain(ctx, method, o, params, &m); err != nil {
		return Sent{}, err
	}
	return sentOf(method, m, o.ChatID)
}

// EditText replaces text and buttons of the message with id message in
// o.ChatID. Without buttons the message loses those it had. A message that is
// already so is success.
func (c *Client) EditText(ctx context.Context, message int, o Outgoing) error {
	const method = "editMessageText"
	params, err := textParams(method, o)
	if err != nil {
		return err
	}
	params.AddNonZero("message_id", message)
	return unlessClass(NotModified, c.orPlain(ctx, method, o, params, nil))
}

// EditButtons replaces the buttons of a message; none removes them. Buttons
// that are already so are success.
func (c *Client) EditButtons(ctx context.Context, chat int64, message int, buttons [][]Button) error {
	const method = "editMessageReplyMarkup"
	markup, err := keyboard(method, buttons)
	if err != nil {
		return err
	}
	params := tgbotapi.Params{}
	params.AddNonZero64("chat_id", chat)
	params.AddNonZero("message_id", message)
	if err := params.AddInterface("reply_markup", markup); err != nil {
		return &Error{Class: Rejected, Method: method, Description: err.Error(), Certain: true}
	}
	return unlessClass(NotModified, c.call(ctx, method, params, nil))
}

// unlessClass drops an error of one class.
func unlessClass(class Class, err error) error {
	if ClassOf(err) == class {
		return nil
	}
	return err
}

// orPlain calls and, if the markup is refused, calls once more without it.
func (c *Client) orPlain(ctx context.Context, method string, o Outgoing, params tgbotapi.Params, into any) error {
	err := c.call(ctx, method, params, into)
	if !o.HTML || ClassOf(err) != BadEntities {
		return err
	}
	c.log.LogAttrs(ctx, slog.LevelWarn, "telegram refused the markup of a message; sending it as plain text", slog.String("event", "markup.refused"), slog.String("method", method))
	delete(params, "parse_mode")
	params["text"] = StripHTML(params["text"])
	return c.call(ctx, method, params, into)
}

func textParams(method string, o Outgoing) (tgbotapi.Params, error) {
	params := tgbotapi.Params{}
	params.AddNonZero64("chat_id", o.ChatID)
	params["text"] = strings.ToValidUTF8(o.Text, "\uFFFD") // the API refuses anything else
	if o.HTML {
		params["parse_mode"] = tgbotapi.ModeHTML
	}
	if len(o.Buttons) > 0 {
		markup, err := keyboard(method, o.Buttons)
		if err != nil {
			return nil, err
		}
		if err := params.AddInterface("reply_markup", markup); err != nil {
			return nil, &Error{Class: Rejected, Method: method, Description: err.Error(), Certain: true}
		}
	}
	return params, nil
}

func keyboard(method string, buttons [][]Button) (tgbotapi.InlineKeyboardMarkup, error) {
	rows := [][]tgbotapi.InlineKeyboardButton{} // an empty list, never null, removes a keyboard
	bad := func(r, i int, why string) error {
		return &Error{Class: Rejected, Method: method, Certain: true,
			Description: fmt.Sprintf("button %d in row %d %s", i+1, r+1, why)}
	}
	for r, row := range buttons {
		var out []tgbotapi.InlineKeyboardButton
		for i, b := range row {
			switch {
			case b.Text == "":
				return tgbotapi.InlineKeyboardMarkup{}, bad(r, i, "has no text")
			case (b.Data == "") == (b.URL == ""):
				return tgbotapi.InlineKeyboardMarkup{}, bad(r, i, "needs either data or a URL")
			case len(b.Data) > callbackDataMax:
				return tgbotapi.InlineKeyboardMarkup{}, bad(r, i, fmt.Sprintf("has %d bytes of data, at most %d are allowed", len(b.Data), callbackDataMax))
			case b.URL != "":
				out = append(out, tgbotapi.NewInlineKeyboardButtonURL(b.Text, b.URL))
			default:
				out = append(out, tgbotapi.NewInlineKeyboardButtonData(b.Text, b.Data))
			}
		}
		if len(out) > 0 {
			rows = append(rows, out)
		}
	}
	return tgbotapi.InlineKeyboardMarkup{InlineKeyboard: rows}, nil
}

// AnswerCallback ends the waiting mark on a tapped button, with a short text
// (at most 200 characters, may be empty), as an alert if wanted. A tap too old
// to be answered is no error.
func (c *Client) AnswerCallback(ctx context.Context, id, text string, alert bool) error {
	return unlessClass(QueryTooOld, c.request(ctx, "answerCallbackQuery", tgbotapi.CallbackConfig{CallbackQueryID: id, Text: text, ShowAlert: alert}, nil))
}

// SendDocument sends data as a file called name, with a plain-text caption of
// at most 1024 UTF-16 units.
func (c *Client) SendDocument(ctx context.Context, chat int64, name string, data []byte, caption string) (Sent, error) {
	return c.upload(ctx, "sendDocument", "document", Outgoing{ChatID: chat, Text: caption}, name, data)
}

// SendPhoto sends a picture, with a plain-text caption of at most 1024 UTF-16
// units.
func (c *Client) SendPhoto(ctx context.Context, chat int64, name string, data []byte, caption string) (Sent, error) {
	return c.upload(ctx, "sendPhoto", "photo", Outgoing{ChatID: chat, Text: caption}, name, data)
}

// CaptionMax is the longest caption of a file, in UTF-16 units.
const CaptionMax = 1024

// SendFile sends m's file or picture. m's Text is its caption, without markup
// and no longer than CaptionMax; m's buttons are not sent. A file that cannot be
// drawn is Rejected.
func (c *Client) SendFile(ctx context.Context, m Outgoing) (Sent, error) {
	f, method, field := *m.File, "sendDocument", "document"
	if f.Photo {
		method, field = "sendPhoto", "photo"
	}
	if f.Draw != nil {
		data, err := f.Draw()
		if err != nil {
			return Sent{}, &Error{Class: Rejected, Method: method, Certain: true, Description: "the file could not be made: " + err.Error()}
		}
		f.Data = data
	}
	m.Text = StripHTML(m.Text)
	if parts := Split(EscapeHTML(m.Text), CaptionMax); len(parts) > 1 {
		m.Text = StripHTML(parts[0])
	}
	return c.upload(ctx, method, field, m, f.Name, f.Data)
}

func (c *Client) upload(ctx context.Context, method, field string, m Outgoing, name string, data []byte) (Sent, error) {
	chat := m.ChatID
	params := tgbotapi.Params{}
	params.AddNonZero64("chat_id", chat)
	params.AddNonEmpty("caption", strings.ToValidUTF8(m.Text, "\uFFFD"))
	params.AddBool("protect_content", m.Protect)
	params.AddBool("disable_notification", m.Silent)
	x := c.exchange(ctx, method)
	res, err := c.api(x).UploadFiles(method, params, []tgbotapi.RequestFile{{Name: field, Data: tgbotapi.FileBytes{Name: name, Bytes: data}}})
	var sent tgbotapi.Message
	if err := c.finish(x, res, err, &sent); err != nil {
		return Sent{}, err
	}
	return sentOf(method, sent, chat)
}

// File is a file waiting at the server; FilePath is good for an hour.
type File = tgbotapi.File

// GetFile prepares a file for Download.
func (c *Client) GetFile(ctx context.Context, fileID string) (File, error) {
	var f File
	err := c.request(ctx, "getFile", tgbotapi.FileConfig{FileID: fileID}, &f)
	return f, err
}

// Download fetches a file that GetFile prepared. One larger than limit bytes
// is Rejected.
func (c *Client) Download(ctx context.Context, f File, limit int64) ([]byte, error) {
	const method = "download"
	tooLarge := &Error{Class: Rejected, Method: method, Certain: true,
		Description: fmt.Sprintf("the file is larger than the %d bytes allowed", limit)}
	if int64(f.FileSize) > limit {
		return nil, tooLarge
	}
	parts := strings.Split(f.FilePath, "/")
	for i, p := range parts {
		if p == "" || p == "." || p == ".." {
			return nil, &Error{Class: Rejected, Method: method, Certain: true, Description: "the server gave no path to fetch the file from"}
		}
		parts[i] = url.PathEscape(p)
	}
	req, err := http.NewRequest(http.MethodGet, c.endpoint+"/file/bot"+c.token()+"/"+strings.Join(parts, "/"), nil)
	if err != nil {
		return nil, &Error{Class: Rejected, Method: method, Certain: true, Description: c.redact(err.Error())}
	}
	x := c.exchange(ctx, method)
	// Room for a refusal, which may be longer than a small file may be.
	x.limit = max(limit, answerLimit)
	status, header, body, err := x.roundTrip(req)
	var e *Error
	switch {
	case errors.As(err, &e) && e.Class == Server && e.Code == http.StatusOK, status == http.StatusOK && int64(len(body)) > limit:
		return nil, tooLarge
	case err != nil:
		return nil, err
	case status == http.StatusOK:
		return body, nil
	case status == http.StatusNotFound || status == http.StatusBadRequest || status == http.StatusGone:
		return nil, &Error{Class: Rejected, Method: method, Code: status, Certain: true, Description: "the file is no longer at the server: send it again"}
	}
	if _, e := c.judge(method, status, header, body); e != nil {
		return nil, e
	}
	return nil, c.foreign(method, status, header)
}

// Command is one entry of the bot's menu.
type Command = tgbotapi.BotCommand

// Scope is for whom a menu holds: the zero value is everybody, Type "chat"
// with ChatID one chat.
type Scope = tgbotapi.BotCommandScope

// SetMyCommands sets the bot's menu for a scope and a language (ISO 639-1, ""
// for every other one). No commands clears it.
func (c *Client) SetMyCommands(ctx context.Context, commands []Command, scope Scope, lang string) error {
	if commands == nil {
		commands = []Command{} // null is refused
	}
	config := tgbotapi.SetMyCommandsConfig{Commands: commands, LanguageCode: lang}
	if scope.Type != "" {
		config.Scope = &scope
	}
	return c.request(ctx, "setMyCommands", config, nil)
}

// Typing shows "typing" in the chat for some seconds.
func (c *Client) Typing(ctx context.Context, chat int64) error {
	return c.request(ctx, "sendChatAction", tgbotapi.NewChatAction(chat, tgbotapi.ChatTyping), nil)
}
