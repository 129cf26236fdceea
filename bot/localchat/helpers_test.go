package localchat_test

import (
	"encoding/json"
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"

	"pegcard/bot/localchat"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

const (
	token = "7000000001:test-secret"
	kit   = int64(101) // a player who has started the bot
	noor  = int64(102) // a player who has not
	dara  = int64(201) // staff
	room  = int64(-500)
)

// morning is a fixed civil instant, so dates in answers can be foretold.
var morning = time.Date(2026, 8, 4, 7, 42, 0, 0, time.UTC)

func newServer(t *testing.T, change func(*localchat.Options)) *localchat.Server {
	t.Helper()
	o := localchat.Options{Token: token, BotName: "Pegs", BotUsername: "pegs_bot", Now: func() time.Time { return morning }}
	if change != nil {
		change(&o)
	}
	s := localchat.New(o)
	t.Cleanup(s.Close)
	require.NoError(t, s.AddPerson(localchat.Person{ID: kit, FirstName: "Kit", Username: "kit_b", LanguageCode: "en", Shirt: 7, Section: "First team", Started: true}))
	require.NoError(t, s.AddPerson(localchat.Person{ID: noor, FirstName: "Noor", LanguageCode: "ar", Shirt: 9, Section: "First team"}))
	require.NoError(t, s.AddPerson(localchat.Person{ID: dara, FirstName: "Dara", LanguageCode: "en", Note: "Strength coach", Staff: true, Started: true}))
	return s
}

func withRoom(t *testing.T, s *localchat.Server) {
	t.Helper()
	id, err := s.AddGroup(localchat.Group{ID: room, Title: "Staff room", Members: []int64{dara}})
	require.NoError(t, err)
	require.Equal(t, room, id)
}

// answer is a reply of the server, read without any of its own types.
type answer struct {
	status      int
	OK          bool            `json:"ok"`
	Result      json.RawMessage `json:"result"`
	ErrorCode   int             `json:"error_code"`
	Description string          `json:"description"`
	Parameters  map[string]any  `json:"parameters"`
}

func httpClient(s *localchat.Server) *http.Client { return &http.Client{Transport: s.Transport()} }

func do(t *testing.T, s *localchat.Server, req *http.Request) answer {
	t.Helper()
	resp, err := httpClient(s).Do(req)
	require.NoError(t, err)
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	require.NoError(t, err)
	a := answer{status: resp.StatusCode}
	require.NoError(t, json.Unmarshal(body, &a), "body: %s", body)
	return a
}

// api calls a method with form parameters given as name, value, name, value.
func api(t *testing.T, s *localchat.Server, method string, pairs ...string) answer {
	t.Helper()
	form := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		form.Set(pairs[i], pairs[i+1])
	}
	req, err := http.NewRequestWithContext(t.Context(), http.MethodPost, "http://127.0.0.1/bot"+token+"/"+method, strings.NewReader(form.Encode()))
	require.NoError(t, err)
	req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return do(t, s, req)
}

// good calls a method that must succeed and reads its result into v.
func good(t *testing.T, s *localchat.Server, v any, method string, pairs ...string) {
	t.Helper()
	a := api(t, s, method, pairs...)
	require.True(t, a.OK, "%s %v: %s", method, pairs, a.Description)
	require.Equal(t, http.StatusOK, a.status)
	if v != nil {
		require.NoError(t, json.Unmarshal(a.Result, v))
	}
}

// bad calls a method that must be refused in these words.
func bad(t *testing.T, s *localchat.Server, code int, description, method string, pairs ...string) answer {
	t.Helper()
	a := api(t, s, method, pairs...)
	require.False(t, a.OK)
	require.Equal(t, code, a.status)
	require.Equal(t, code, a.ErrorCode)
	require.Equal(t, description, a.Description)
	return a
}

// library is the client library, an outside reader of our answers.
func library(t *testing.T, s *localchat.Server) *tgbotapi.BotAPI {
	t.Helper()
	bot, err := tgbotapi.NewBotAPIWithClient(token, "http://127.0.0.1/bot%s/%s", httpClient(s))
	require.NoError(t, err)
	return bot
}
