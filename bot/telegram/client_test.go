package telegram_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/bot/telegram"
)

const sentMessage = `{"ok":true,"result":{"message_id":41,"date":1,"chat":{"id":7,"type":"private"}}}`

// scan fails if the token shows in any way of printing anything of err's chain.
func scan(t testing.TB, err error, more ...any) {
	t.Helper()
	for e := err; e != nil; e = errors.Unwrap(e) {
		more = append(more, e)
	}
	for _, v := range more {
		for _, verb := range []string{"%v", "%+v", "%#v", "%s", "%q"} {
			require.NotContains(t, fmt.Sprintf(verb, v), secret, verb)
		}
		b, _ := json.Marshal(v)
		require.NotContains(t, string(b), secret)
	}
}

// Descriptions are those of the API's own open-source server.
func TestClasses(t *testing.T) {
	refuse := func(code int, description string) string {
		return fmt.Sprintf(`{"ok":false,"error_code":%d,"description":%q}`, code, description)
	}
	cases := []struct {
		name    string
		status  int
		body    string
		class   telegram.Class
		certain bool
		code    int
		after   time.Duration
	}{
		{"flood", 429, `{"ok":false,"error_code":429,"description":"Too Many Requests: retry after 17","parameters":{"retry_after":17}}`, telegram.RateLimited, true, 429, 17 * time.Second},
		{"flood, part of a second", 429, `{"ok":false,"error_code":429,"description":"x","parameters":{"retry_after":1.2}}`, telegram.RateLimited, true, 429, 2 * time.Second},
		{"flood, absurd", 429, `{"ok":false,"error_code":429,"description":"x","parameters":{"retry_after":1e300}}`, telegram.RateLimited, true, 429, 24 * time.Hour},
		{"flood, negative", 429, `{"ok":false,"error_code":429,"description":"x","parameters":{"retry_after":-4}}`, telegram.RateLimited, true, 429, 0},
		{"flood page of a proxy", 429, `<html>slow down</html>`, telegram.RateLimited, true, 429, 0},
		{"blocked", 403, refuse(403, "Forbidden: bot was blocked by the user"), telegram.Unreachable, true, 403, 0},
		{"no chat", 400, refuse(400, "Bad Request: chat not found"), telegram.Unreachable, true, 400, 0},
		{"gone", 400, refuse(400, "Bad Request: user is deactivated"), telegram.Unreachable, true, 400, 0},
		{"muted", 400, refuse(400, "Bad Request: have no rights to send a message"), telegram.Unreachable, true, 400, 0},
		{"migrated", 400, `{"ok":false,"error_code":400,"description":"Bad Request: group chat was upgraded to a supergroup chat","parameters":{"migrate_to_chat_id":-1001}}`, telegram.Migrated, true, 400, 0},
		{"unchanged", 400, refuse(400, "Bad Request: message is not modified: specified new message content and reply markup are exactly the same"), telegram.NotModified, true, 400, 0},
		{"markup", 400, refuse(400, "Bad Request: can't parse entities: Can't find end tag corresponding to start tag \"b\""), telegram.BadEntities, true, 400, 0},
		{"too long", 400, refuse(400, "Bad Request: message is too long"), telegram.Rejected, true, 400, 0},
		{"late tap", 400, refuse(400, "Bad Request: query is too old and response timeout expired or query ID is invalid"), telegram.QueryTooOld, true, 400, 0},
		{"token", 401, refuse(401, "Unauthorized"), telegram.Unauthorized, true, 401, 0},
		{"token shape", 404, refuse(404, "Not Found"), telegram.Unauthorized, true, 404, 0},
		{"two pollers", 409, refuse(409, "Conflict: terminated by other getUpdates request; make sure that only one bot instance is running"), telegram.Conflict, true, 409, 0},
		{"upload", 413, `<html><h1>413 Request Entity Too Large</h1></html>`, telegram.Rejected, true, 413, 0},
		{"internal", 500, refuse(500, "Internal Server Error"), telegram.Server, false, 500, 0},
		{"no error_code, so the status counts", 403, `{"ok":false,"description":"Forbidden"}`, telegram.Unreachable, true, 403, 0},
		{"not ok at all", 200, `{"ok":false}`, telegram.Server, false, 200, 0},
		{"gateway page", 502, "<html>\r\n<head><title>502 Bad Gateway</title></head>", telegram.Server, false, 502, 0},
		{"gateway page with status 200", 200, "<html>welcome to the hotel network</html>", telegram.Server, false, 200, 0},
		{"forbidden page of a proxy is no verdict on a chat", 403, "<html>blocked by policy</html>", telegram.Server, false, 403, 0},
		{"redirect", 302, "", telegram.Server, false, 302, 0},
		{"truncated", 200, `{"ok":true,"result":{"message_id":4`, telegram.Server, false, 200, 0},
		{"empty", 200, ``, telegram.Server, false, 200, 0},
		{"trailing garbage", 200, sentMessage + "<html>", telegram.Server, false, 200, 0},
		{"ok with an error status", 500, sentMessage, telegram.Server, false, 500, 0},
		{"ok without a result", 200, `{"ok":true}`, telegram.Server, false, 200, 0},
		{"another result", 200, `{"ok":true,"result":[1]}`, telegram.Server, false, 200, 0},
		{"no message at all", 200, `{"ok":true,"result":{}}`, telegram.Server, false, 200, 0},
		{"a bare null", 200, `null`, telegram.Server, false, 200, 0},
	}
	for _, c := range cases {
		// Form and multipart requests are classified alike.
		for _, how := range []string{"text", "document"} {
			t.Run(c.name+"/"+how, func(t *testing.T) {
				var log logBuffer
				client := newClient(t, always(c.status, c.body), &log)
				var err error
				if how == "text" {
					_, err = client.Send(t.Context(), telegram.Outgoing{ChatID: 7, Text: "squat"})
				} else {
					_, err = client.SendDocument(t.Context(), 7, "week.csv", []byte("a,b"), "week")
				}
				var e *telegram.Error
				require.ErrorAs(t, fmt.Errorf("wrapped: %w", err), &e)
				require.Equal(t, c.class, e.Class, e.Error())
				require.Equal(t, c.certain, e.Certain)
				require.Equal(t, c.code, e.Code)
				require.Equal(t, c.after, e.RetryAfter)
				require.Equal(t, c.class, telegram.ClassOf(err))
				if c.class == telegram.Migrated {
					require.Equal(t, int64(-1001), e.MigrateTo)
				}
				scan(t, err)
				require.NotContains(t, log.String(), secret)
			})
		}
	}
	require.Zero(t, telegram.ClassOf(nil))
	require.Zero(t, telegram.ClassOf(errors.New("other")))
}

func TestSuccessAndEncoding(t *testing.T) {
	var got url.Values
	var method string
	client := newClient(t, roundTrip(func(r *http.Request) (*http.Response, error) {
		require.Equal(t, "https://chat.invalid/bot"+token+"/", r.URL.String()[:strings.LastIndex(r.URL.String(), "/")+1])
		method, got = form(t, r)
		switch method {
		case "sendMessage":
			return answer(200, sentMessage), nil
		case "getMe":
			return answer(200, `{"ok":true,"result":{"id":1,"is_bot":true,"username":"invented_bot","first_name":"x"}}`), nil
		}
		return answer(200, `{"ok":true,"result":true}`), nil
	}), nil)
	ctx := t.Context()

	me, err := client.GetMe(ctx)
	require.NoError(t, err)
	require.Equal(t, "invented_bot", me.UserName)

	sent, err := client.Send(ctx, telegram.Outgoing{ChatID: 7, Text: "<b>5 &lt; 6</b>\xff", HTML: true, Silent: true, Protect: true, ReplyTo: 40,
		Buttons: [][]telegram.Button{{{Text: "Done", Data: "c/1/done"}, {Text: "Video", URL: "https://example.org/v"}}, {}}})
	require.NoError(t, err)
	require.Equal(t, telegram.Sent{MessageID: 41, ChatID: 7}, sent)
	require.Equal(t, url.Values{
		"chat_id": {"7"}, "text": {"<b>5 &lt; 6</b>\uFFFD"}, "parse_mode": {"HTML"}, "disable_notification": {"true"}, "protect_content": {"true"},
		"reply_to_message_id": {"40"}, "allow_sending_without_reply": {"true"},
		"reply_markup": {`{"inline_keyboard":[[{"text":"Done","callback_data":"c/1/done"},{"text":"Video","url":"https://example.org/v"}]]}`},
	}, got)

	later := newClient(t, always(200, `{"ok":true,"result":{"message_id":0,"chat":{"id":-8,"type":"supergroup"}}}`), nil)
	sent, err = later.Send(ctx, telegram.Outgoing{ChatID: -8, Text: "x"})
	require.NoError(t, err, "put off by the server, so not to be sent again")
	require.Equal(t, telegram.Sent{ChatID: -8}, sent)

	require.NoError(t, client.EditText(ctx, 41, telegram.Outgoing{ChatID: 7, Text: "done"}))
	require.Equal(t, url.Values{"chat_id": {"7"}, "message_id": {"41"}, "text": {"done"}}, got)

	require.NoError(t, client.EditButtons(ctx, 7, 41, nil))
	require.Equal(t, url.Values{"chat_id": {"7"}, "message_id": {"41"}, "reply_markup": {`{"inline_keyboard":[]}`}}, got)

	require.NoError(t, client.AnswerCallback(ctx, "q1", "noted", true))
	require.Equal(t, url.Values{"callback_query_id": {"q1"}, "text": {"noted"}, "show_alert": {"true"}}, got)

	require.NoError(t, client.SetMyCommands(ctx, nil, telegram.Scope{}, "fr"))
	require.Equal(t, url.Values{"commands": {"[]"}, "language_code": {"fr"}}, got)
	require.NoError(t, client.SetMyCommands(ctx, []telegram.Command{{Command: "today", Description: "Card"}}, telegram.Scope{Type: "chat", ChatID: 7}, ""))
	require.Equal(t, url.Values{"commands": {`[{"command":"today","description":"Card"}]`}, "scope": {`{"type":"chat","chat_id":7}`}}, got)

	require.NoError(t, client.Typing(ctx, 7))
	require.Equal(t, "sendChatAction", method)
	require.Equal(t, url.Values{"chat_id": {"7"}, "action": {"typing"}}, got)
}

func TestUpload(t *testing.T) {
	client := newClient(t, roundTrip(func(r *http.Request) (*http.Response, error) {
		require.NoError(t, r.ParseMultipartForm(1<<20))
		require.Equal(t, "7", r.FormValue("chat_id"))
		require.Equal(t, "minutes", r.FormValue("caption"))
		field := "document"
		if strings.HasSuffix(r.URL.Path, "/sendPhoto") {
			field = "photo"
		}
		f, h, err := r.FormFile(field)
		require.NoError(t, err)
		b, _ := io.ReadAll(f)
		require.Equal(t, "payload", string(b))
		require.Equal(t, "minutes.csv", h.Filename)
		return answer(200, sentMessage), nil
	}), nil)
	for _, send := range []func(context.Context, int64, string, []byte, string) (telegram.Sent, error){client.SendDocument, client.SendPhoto} {
		sent, err := send(t.Context(), 7, "minutes.csv", []byte("payload"), "minutes")
		require.NoError(t, err)
		require.Equal(t, 41, sent.MessageID)
	}
}

// A server that answers before it has read an upload must not leave the
// writing goroutine behind (TestMain looks for it).
func TestUploadRefusedEarly(t *testing.T) {
	client := newClient(t, roundTrip(func(r *http.Request) (*http.Response, error) {
		return answer(413, "<html>"), nil
	}), nil)
	_, err := client.SendDocument(t.Context(), 7, "big.bin", make([]byte, 1<<20), "")
	require.Equal(t, telegram.Rejected, telegram.ClassOf(err))
}

func TestNotModifiedAndLateTapAreSuccess(t *testing.T) {
	same := newClient(t, always(400, `{"ok":false,"error_code":400,"description":"Bad Request: message is not modified"}`), nil)
	require.NoError(t, same.EditText(t.Context(), 1, telegram.Outgoing{ChatID: 7, Text: "x"}))
	require.NoError(t, same.EditButtons(t.Context(), 7, 1, nil))
	late := newClient(t, always(400, `{"ok":false,"error_code":400,"description":"Bad Request: query is too old and response timeout expired or query ID is invalid"}`), nil)
	require.NoError(t, late.AnswerCallback(t.Context(), "q", "", false))
}

func TestPlainTextAfterRefusedMarkup(t *testing.T) {
	for _, refuseAll := range []bool{false, true} {
		var texts, modes []string
		client := newClient(t, roundTrip(func(r *http.Request) (*http.Response, error) {
			_, v := form(t, r)
			texts, modes = append(texts, v.Get("text")), append(modes, v.Get("parse_mode"))
			require.Contains(t, v.Get("reply_markup"), "Done")
			if v.Get("parse_mode") != "" || refuseAll {
				return answer(400, `{"ok":false,"error_code":400,"description":"Bad Request: can't parse entities: Unsupported start tag"}`), nil
			}
			return answer(200, sentMessage), nil
		}), nil)
		o := telegram.Outgoing{ChatID: 7, HTML: true, Text: `<b>Squat</b> 5 &lt; 6 &amp; <u>"3 < 4"`, Buttons: [][]telegram.Button{{{Text: "Done", Data: "d"}}}}
		_, err := client.Send(t.Context(), o)
		require.Equal(t, []string{o.Text, `Squat 5 < 6 & "3 < 4"`}, texts, "once with markup, once without, never again")
		require.Equal(t, []string{"HTML", ""}, modes)
		if refuseAll {
			require.Equal(t, telegram.BadEntities, telegram.ClassOf(err))
		} else {
			require.NoError(t, err)
		}
	}
}

func TestButtonsAreChecked(t *testing.T) {
	client := newClient(t, roundTrip(func(*http.Request) (*http.Response, error) {
		t.Error("sent")
		return nil, errors.New("sent")
	}), nil)
	for want, b := range map[string]telegram.Button{
		"has no text":                  {Data: "x"},
		"needs either data or a URL":   {Text: "x"},
		"has 65 bytes of data":         {Text: "x", Data: strings.Repeat("y", 65)},
		"button 2 in row 2 needs eith": {Text: "x", Data: "x", URL: "https://example.org"},
	} {
		ok := telegram.Button{Text: "ok", Data: "ok"}
		_, err := client.Send(t.Context(), telegram.Outgoing{ChatID: 7, Text: "x", Buttons: [][]telegram.Button{{ok}, {ok, b}}})
		var e *telegram.Error
		require.ErrorAs(t, err, &e)
		require.Equal(t, telegram.Rejected, e.Class)
		require.True(t, e.Certain)
		require.ErrorContains(t, err, want)
	}
}

func TestTokenNeverShows(t *testing.T) {
	var log logBuffer
	errs := map[string]error{
		"address":   &url.Error{Op: "Post", URL: "https://chat.invalid/bot" + token + "/sendMessage", Err: errors.New("refused")},
		"quoted":    fmt.Errorf("parse %q: bad", "https://chat.invalid/bot"+url.QueryEscape(token)),
		"half":      errors.New("header " + secret),
		"dial":      &net.OpError{Op: "dial", Net: "tcp", Err: errors.New("refused " + token)},
		"canceled":  fmt.Errorf("%s: %w", token, context.Canceled),
		"deadline":  fmt.Errorf("%s: %w", token, context.DeadlineExceeded),
		"multiline": errors.New("a\n" + token + "\nb"),
	}
	for name, cause := range errs {
		client := newClient(t, roundTrip(func(*http.Request) (*http.Response, error) { return nil, cause }), &log)
		_, err := client.Send(t.Context(), telegram.Outgoing{ChatID: 7, Text: "x"})
		require.Equal(t, telegram.Network, telegram.ClassOf(err), name)
		scan(t, err)
		_, err = client.Download(t.Context(), telegram.File{FilePath: "a/b"}, 10)
		require.Error(t, err)
		scan(t, err)
		_, err = client.SendPhoto(t.Context(), 7, "p", []byte("x"), "")
		require.Error(t, err)
		scan(t, err)
	}
	// Servers repeat the address in their pages and descriptions.
	for _, body := range []string{
		"<html>Cannot POST /bot" + token + "/sendMessage",
		`{"ok":false,"error_code":400,"description":"no such path /bot` + token + `/sendMessage"}`,
		`{"ok":false,"error_code":401,"description":"` + token + `"}`,
	} {
		client := newClient(t, always(400, body), &log)
		_, err := client.Send(t.Context(), telegram.Outgoing{ChatID: 7, Text: "x"})
		require.Error(t, err)
		scan(t, err)
	}
	config := telegram.Config{Token: token, Transport: always(200, "")}
	client, err := telegram.NewClient(config)
	require.NoError(t, err)
	log.logger().Info("x", "config", config, "client", client, "pointer", &config)
	scan(t, nil, config, &config, client, struct{ C *telegram.Client }{client}, &telegram.Poller{Client: client}, struct{ C telegram.Config }{config})
	require.NotContains(t, log.String(), secret)

	for _, bad := range []string{"", "nocolon" + secret, token + "\n", `"` + token + `"`, token + "/x", "12:ab?" + secret} {
		_, err := telegram.NewClient(telegram.Config{Token: bad})
		require.ErrorContains(t, err, "does not look like one")
		scan(t, err)
	}
	for _, bad := range []string{"chat.invalid", "ftp://chat.invalid", "https://u:p@chat.invalid", "https://chat.invalid/?a=b", "://"} {
		_, err := telegram.NewClient(telegram.Config{Token: token, Endpoint: bad})
		require.ErrorContains(t, err, "API address")
		scan(t, err)
	}
}

func TestUnauthorizedSaysWhatToDo(t *testing.T) {
	_, err := newClient(t, always(401, `{"ok":false,"error_code":401,"description":"Unauthorized"}`), nil).GetMe(t.Context())
	require.ErrorContains(t, err, "does not accept the bot token (401 Unauthorized): check that the token")
}

// Which failures are certain not to have delivered anything.
func TestNetworkCertainty(t *testing.T) {
	for _, c := range []struct {
		err     error
		certain bool
	}{
		{&net.OpError{Op: "dial", Net: "tcp", Err: errors.New("connection refused")}, true},
		{&net.OpError{Op: "proxyconnect", Net: "tcp", Err: errors.New("refused")}, true},
		{&net.DNSError{Err: "no such host", Name: "chat.invalid"}, true},
		{&net.OpError{Op: "read", Net: "tcp", Err: errors.New("connection reset by peer")}, false},
		{&net.OpError{Op: "write", Net: "tcp", Err: errors.New("broken pipe")}, false},
		{io.ErrUnexpectedEOF, false},
		{io.EOF, false},
	} {
		client := newClient(t, roundTrip(func(*http.Request) (*http.Response, error) { return nil, c.err }), nil)
		_, err := client.Send(t.Context(), telegram.Outgoing{ChatID: 7, Text: "x"})
		var e *telegram.Error
		require.ErrorAs(t, err, &e)
		require.Equal(t, telegram.Network, e.Class)
		require.Equal(t, c.certain, e.Certain, c.err)
	}
	// A real refused connection, over the client's own transport.
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	address := "http://" + l.Addr().String()
	require.NoError(t, l.Close())
	client, err := telegram.NewClient(telegram.Config{Token: token, Endpoint: address})
	require.NoError(t, err)
	defer client.Close()
	_, err = client.GetMe(t.Context())
	var e *telegram.Error
	require.ErrorAs(t, err, &e)
	require.Equal(t, telegram.Network, e.Class)
	require.True(t, e.Certain)
	scan(t, err)
}

// Over a real socket: a cut connection, a redirect, and reuse.
func TestRealTransport(t *testing.T) {
	var elsewhere int
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch {
		case strings.HasSuffix(r.URL.Path, "/elsewhere"):
			elsewhere++
		case strings.HasSuffix(r.URL.Path, "/getMe"):
			_, _ = io.WriteString(w, `{"ok":true,"result":{"id":1,"first_name":"x"}}`)
		case strings.HasSuffix(r.URL.Path, "/sendMessage"):
			w.Header().Set("Content-Length", "500")
			_, _ = io.WriteString(w, `{"ok":true,`)
		case strings.HasSuffix(r.URL.Path, "/sendChatAction"):
			http.Redirect(w, r, "/elsewhere", http.StatusTemporaryRedirect)
		}
	}))
	defer s.Close()
	client, err := telegram.NewClient(telegram.Config{Token: token, Endpoint: s.URL + "/"})
	require.NoError(t, err)
	defer client.Close()
	_, err = client.GetMe(t.Context())
	require.NoError(t, err)
	_, err = client.Send(t.Context(), telegram.Outgoing{ChatID: 7, Text: "x"})
	var e *telegram.Error
	require.ErrorAs(t, err, &e)
	require.Equal(t, telegram.Network, e.Class)
	require.False(t, e.Certain, "the request arrived")
	require.Equal(t, telegram.Server, telegram.ClassOf(client.Typing(t.Context(), 7)))
	require.Zero(t, elsewhere, "a redirect would carry the token elsewhere")
}

// slowBody ends never, except with its request.
type slowBody struct{ ctx context.Context }

func (b slowBody) Read(p []byte) (int, error) {
	<-b.ctx.Done()
	return 0, b.ctx.Err()
}
func (slowBody) Close() error { return nil }

func TestDeadlines(t *testing.T) {
	hang := roundTrip(func(r *http.Request) (*http.Response, error) {
		if r.Body != nil {
			_ = r.Body.Close()
		}
		<-r.Context().Done()
		return nil, &url.Error{Op: "Post", URL: r.URL.String(), Err: r.Context().Err()}
	})
	slow := roundTrip(func(r *http.Request) (*http.Response, error) {
		return &http.Response{StatusCode: 200, Body: slowBody{r.Context()}}, nil
	})
	for name, rt := range map[string]http.RoundTripper{"no answer": hang, "slow body": slow} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				client := newClient(t, rt, nil)
				begin := time.Now()
				_, err := client.GetUpdates(t.Context(), 0, 100, 50*time.Second, telegram.AllowedUpdates())
				require.Equal(t, 65*time.Second, time.Since(begin))
				require.Equal(t, telegram.Network, telegram.ClassOf(err))
				require.ErrorIs(t, err, context.DeadlineExceeded)
				scan(t, err)

				begin = time.Now()
				_, err = client.Send(t.Context(), telegram.Outgoing{ChatID: 7, Text: "x"})
				require.Equal(t, 30*time.Second, time.Since(begin))
				var e *telegram.Error
				require.ErrorAs(t, err, &e)
				require.Equal(t, telegram.Network, e.Class)
				require.False(t, e.Certain)

				ctx, cancel := context.WithTimeout(t.Context(), 2*time.Second)
				defer cancel()
				begin = time.Now()
				_, err = client.SendPhoto(ctx, 7, "p.png", []byte("x"), "")
				require.Equal(t, 2*time.Second, time.Since(begin))
				require.ErrorAs(t, err, &e)
				require.Equal(t, telegram.Canceled, e.Class)
				require.False(t, e.Certain, "it was on its way")
			})
		})
	}
}

func TestCanceledBeforeSending(t *testing.T) {
	client := newClient(t, roundTrip(func(*http.Request) (*http.Response, error) {
		t.Error("sent")
		return nil, errors.New("sent")
	}), nil)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := client.Send(ctx, telegram.Outgoing{ChatID: 7, Text: "x"})
	var e *telegram.Error
	require.ErrorAs(t, err, &e)
	require.Equal(t, telegram.Canceled, e.Class)
	require.True(t, e.Certain)
	require.ErrorIs(t, err, context.Canceled)
	_, err = client.SendDocument(ctx, 7, "x", []byte("y"), "")
	require.ErrorIs(t, err, context.Canceled)
}

// endless is a body far larger than any limit, without the memory.
type endless struct{ read *int64 }

func (e endless) Read(p []byte) (int, error) {
	*e.read += int64(len(p))
	for i := range p {
		p[i] = ' '
	}
	return len(p), nil
}
func (endless) Close() error { return nil }

func TestOversizedAnswers(t *testing.T) {
	var read int64
	client := newClient(t, roundTrip(func(r *http.Request) (*http.Response, error) {
		return &http.Response{StatusCode: 200, Body: endless{&read}}, nil
	}), nil)
	_, err := client.Send(t.Context(), telegram.Outgoing{ChatID: 7, Text: "x"})
	require.Equal(t, telegram.Server, telegram.ClassOf(err))
	require.ErrorContains(t, err, "larger than 4194304 bytes")
	require.LessOrEqual(t, read, int64(4<<20+1))
	read = 0
	_, err = client.GetUpdates(t.Context(), 0, 100, time.Second, telegram.AllowedUpdates())
	require.ErrorContains(t, err, "larger than 33554432 bytes")
	require.LessOrEqual(t, read, int64(32<<20+1))
}

func TestGetUpdatesNeedsKinds(t *testing.T) {
	client := newClient(t, always(200, `{"ok":true,"result":[]}`), nil)
	_, err := client.GetUpdates(t.Context(), 0, 1, 0, nil)
	require.Equal(t, telegram.Rejected, telegram.ClassOf(err))
}

func TestFiles(t *testing.T) {
	content := bytes.Repeat([]byte("z"), 100)
	var path string
	client := newClient(t, roundTrip(func(r *http.Request) (*http.Response, error) {
		path = r.URL.EscapedPath()
		if strings.HasSuffix(r.URL.Path, "/getFile") {
			return answer(200, `{"ok":true,"result":{"file_id":"f","file_path":"documents/file 1.csv"}}`), nil
		}
		if strings.HasSuffix(r.URL.Path, "gone") {
			return answer(404, `{"ok":false,"error_code":404,"description":"Not Found"}`), nil
		}
		if strings.HasSuffix(r.URL.Path, "busy") {
			return answer(502, "<html>"), nil
		}
		return answer(200, string(content)), nil
	}), nil)
	f, err := client.GetFile(t.Context(), "f")
	require.NoError(t, err)
	b, err := client.Download(t.Context(), f, 100)
	require.NoError(t, err)
	require.Equal(t, content, b)
	require.Equal(t, "/file/bot"+token+"/documents/file%201.csv", path)

	_, err = client.Download(t.Context(), f, 99)
	require.Equal(t, telegram.Rejected, telegram.ClassOf(err))
	require.ErrorContains(t, err, "larger than the 99 bytes")
	f.FileSize = 1000
	path = ""
	_, err = client.Download(t.Context(), f, 100)
	require.ErrorContains(t, err, "larger than")
	require.Empty(t, path, "known to be too large before it is fetched")

	for _, bad := range []string{"", "/etc/passwd", "../x", "a//b", "a/./b"} {
		_, err := client.Download(t.Context(), telegram.File{FilePath: bad}, 10)
		require.ErrorContains(t, err, "no path", bad)
	}
	_, err = client.Download(t.Context(), telegram.File{FilePath: "gone"}, 10)
	require.ErrorContains(t, err, "send it again")
	_, err = client.Download(t.Context(), telegram.File{FilePath: "busy"}, 10)
	require.Equal(t, telegram.Server, telegram.ClassOf(err))
}
