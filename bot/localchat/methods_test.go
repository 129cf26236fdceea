package localchat_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
	"github.com/stretchr/testify/require"

	"pegcard/bot/localchat"
)

// The shapes and rules checked here are those of the Bot API manual,
// https://core.telegram.org/bots/api; the wording of refusals is from memory
// of the public server's answers. Where the client library reads an answer,
// it is the outside check on the shape.

func TestGetMe(t *testing.T) {
	s := newServer(t, nil)
	var me map[string]any
	good(t, s, &me, "getMe")
	require.Equal(t, map[string]any{
		"id": 7000000001.0, "is_bot": true, "first_name": "Pegs", "username": "pegs_bot",
		"can_join_groups": true, "can_read_all_group_messages": false, "supports_inline_queries": false,
	}, me)
	require.Equal(t, "pegs_bot", library(t, s).Self.UserName)
}

func TestWrongTokenAndMethod(t *testing.T) {
	s := newServer(t, nil)
	for _, c := range []struct {
		path        string
		code        int
		description string
	}{
		{"/bot7000000001:other/getMe", 401, "Unauthorized"},
		{"/bot/getMe", 401, "Unauthorized"},
		{"/bot" + token + "/noSuchMethod", 404, "Not Found"},
		{"/bot" + token + "/setWebhook", 404, "Not Found"},
		{"/bot" + token + "/", 404, "Not Found"},
		{"/file/bot" + token + "/photos/none.png", 404, "Not Found"},
		{"/file/botother/photos/none.png", 401, "Unauthorized"},
	} {
		req, err := http.NewRequestWithContext(t.Context(), http.MethodGet, "http://127.0.0.1"+c.path, nil)
		require.NoError(t, err)
		a := do(t, s, req)
		require.Equal(t, c.code, a.status, c.path)
		require.Equal(t, c.code, a.ErrorCode, c.path)
		require.Equal(t, c.description, a.Description, c.path)
	}
	// names are case-insensitive
	good(t, s, nil, "GETME")
}

// Every way of handing over parameters must mean the same.
func TestParameterEncodings(t *testing.T) {
	const text = "Hello 💪 مرحبا"
	var form bytes.Buffer
	mw := multipart.NewWriter(&form)
	require.NoError(t, mw.WriteField("chat_id", "101"))
	require.NoError(t, mw.WriteField("text", text))
	require.NoError(t, mw.Close())
	values := url.Values{"chat_id": {"101"}, "text": {text}}
	for _, c := range []struct{ name, method, query, kind, body string }{
		{"query", "GET", "?" + values.Encode(), "", ""},
		{"form", "POST", "", "application/x-www-form-urlencoded", values.Encode()},
		{"json", "POST", "", "application/json; charset=utf-8", `{"chat_id":101,"text":"Hello 💪 مرحبا","disable_notification":true}`},
		{"multipart", "POST", "", mw.FormDataContentType(), form.String()},
		{"query and form", "POST", "?chat_id=101", "application/x-www-form-urlencoded", "text=" + url.QueryEscape(text)},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newServer(t, nil)
			req, err := http.NewRequestWithContext(t.Context(), c.method, "http://127.0.0.1/bot"+token+"/sendMessage"+c.query, strings.NewReader(c.body))
			require.NoError(t, err)
			if c.kind != "" {
				req.Header.Set("Content-Type", c.kind)
			}
			a := do(t, s, req)
			require.True(t, a.OK, a.Description)
			require.Equal(t, text, s.Transcript(kit)[0].Text)
		})
	}
}

func TestBodyLimits(t *testing.T) {
	s := newServer(t, nil)
	a := api(t, s, "sendMessage", "chat_id", "101", "text", strings.Repeat("x", 1<<20))
	require.Equal(t, http.StatusRequestEntityTooLarge, a.status)
	require.Equal(t, 413, a.ErrorCode)

	a = uploadTo(t, s, "sendDocument", "document", "big.bin", bytes.Repeat([]byte{1}, 20<<20+1))
	require.Equal(t, 413, a.ErrorCode)
	a = uploadTo(t, s, "sendDocument", "document", "fits.bin", bytes.Repeat([]byte{1}, 20<<20))
	require.True(t, a.OK, a.Description)
}

func TestSendMessageShape(t *testing.T) {
	s := newServer(t, nil)
	var m map[string]any
	good(t, s, &m, "sendMessage", "chat_id", "101", "text", "<b>Squat</b> 3x5", "parse_mode", "HTML",
		"protect_content", "true", "disable_notification", "true",
		"reply_markup", `{"inline_keyboard":[[{"text":"Done","callback_data":"done:1"},{"text":"Site","url":"https://example.org/"}]]}`)
	require.Equal(t, map[string]any{
		"message_id":            1.0,
		"from":                  map[string]any{"id": 7000000001.0, "is_bot": true, "first_name": "Pegs", "username": "pegs_bot"},
		"chat":                  map[string]any{"id": 101.0, "type": "private", "first_name": "Kit", "username": "kit_b"},
		"date":                  float64(morning.Unix()),
		"text":                  "Squat 3x5",
		"entities":              []any{map[string]any{"type": "bold", "offset": 0.0, "length": 5.0}},
		"has_protected_content": true,
		"reply_markup": map[string]any{"inline_keyboard": []any{[]any{
			map[string]any{"text": "Done", "callback_data": "done:1"},
			map[string]any{"text": "Site", "url": "https://example.org/"},
		}}},
	}, m)
	got := s.Transcript(kit)[0]
	b, ok := got.Button("Done")
	require.True(t, ok)
	require.Equal(t, "done:1", b.CallbackData)
	_, ok = got.Button("Nothing")
	require.False(t, ok)
}

func TestSendMessageRefusals(t *testing.T) {
	s := newServer(t, nil)
	long := func(n int) string { return strings.Repeat("x", n) }
	keyboard := func(data string) string {
		return fmt.Sprintf(`{"inline_keyboard":[[{"text":"A","callback_data":%q}]]}`, data)
	}
	for _, c := range []struct {
		code        int
		description string
		pairs       []string
	}{
		{400, "Bad Request: chat_id is empty", []string{"text", "x"}},
		{400, "Bad Request: chat not found", []string{"chat_id", "999", "text", "x"}},
		{400, "Bad Request: chat not found", []string{"chat_id", "@nobody", "text", "x"}},
		{403, "Forbidden: bot can't initiate conversation with a user", []string{"chat_id", "102", "text", "x"}},
		{400, "Bad Request: message text is empty", []string{"chat_id", "101"}},
		{400, "Bad Request: message text is empty", []string{"chat_id", "101", "text", " \n "}},
		{400, "Bad Request: message text is empty", []string{"chat_id", "101", "text", "<b> </b>", "parse_mode", "HTML"}},
		{400, "Bad Request: message is too long", []string{"chat_id", "101", "text", long(4097)}},
		{400, "Bad Request: message is too long", []string{"chat_id", "101", "text", strings.Repeat("💪", 2049)}},
		{400, "Bad Request: unsupported parse_mode", []string{"chat_id", "101", "text", "x", "parse_mode", "MarkdownV2"}},
		{400, `Bad Request: can't parse entities: Unsupported start tag "h1" at byte offset 2`, []string{"chat_id", "101", "text", "a <h1>x</h1>", "parse_mode", "HTML"}},
		{400, `Bad Request: can't parse entities: Can't find end tag corresponding to start tag "b"`, []string{"chat_id", "101", "text", "<b>x", "parse_mode", "HTML"}},
		{400, "Bad Request: strings must be encoded in UTF-8", []string{"chat_id", "101", "text", "\xff"}},
		{400, "Bad Request: BUTTON_DATA_INVALID", []string{"chat_id", "101", "text", "x", "reply_markup", keyboard(long(65))}},
		{400, "Bad Request: BUTTON_DATA_INVALID", []string{"chat_id", "101", "text", "x", "reply_markup", keyboard(strings.Repeat("é", 33))}},
		{400, "Bad Request: object expected as reply markup", []string{"chat_id", "101", "text", "x", "reply_markup", "[]"}},
		{400, "Bad Request: can't parse reply keyboard markup JSON object", []string{"chat_id", "101", "text", "x", "reply_markup", "{"}},
		{400, "Bad Request: can't parse inline keyboard button: Text buttons are unallowed in the inline keyboard", []string{"chat_id", "101", "text", "x", "reply_markup", `{"inline_keyboard":[[{"text":"A"}]]}`}},
		{400, "Bad Request: message to be replied not found", []string{"chat_id", "101", "text", "x", "reply_to_message_id", "7"}},
	} {
		bad(t, s, c.code, c.description, "sendMessage", c.pairs...)
	}
	require.Empty(t, s.Transcript(kit), "a refused message must not hang anywhere")
	good(t, s, nil, "sendMessage", "chat_id", "101", "text", strings.Repeat("💪", 2048))
	good(t, s, nil, "sendMessage", "chat_id", "101", "text", "<b>"+long(4096)+"</b>", "parse_mode", "HTML")
	good(t, s, nil, "sendMessage", "chat_id", "101", "text", "x", "reply_markup", keyboard(long(64)))
}

func TestReplyKeyboard(t *testing.T) {
	s := newServer(t, nil)
	good(t, s, nil, "sendMessage", "chat_id", "101", "text", "Which?", "reply_markup",
		`{"keyboard":[["Left",{"text":"Right"}],["Both"]],"one_time_keyboard":true,"input_field_placeholder":"Side"}`)
	require.Equal(t, &localchat.ReplyKeyboard{Rows: [][]string{{"Left", "Right"}, {"Both"}}, OneTime: true, Placeholder: "Side"}, s.Keyboard(kit))
	require.Nil(t, s.Transcript(kit)[0].ReplyMarkup, "the API shows only inline keyboards in messages")
	_, err := s.Say(kit, kit, "Left")
	require.NoError(t, err)
	require.Nil(t, s.Keyboard(kit), "a one-time keyboard goes with its use")
	good(t, s, nil, "sendMessage", "chat_id", "101", "text", "Which?", "reply_markup", `{"keyboard":[["Left"]]}`)
	good(t, s, nil, "sendMessage", "chat_id", "101", "text", "Thanks", "reply_markup", `{"remove_keyboard":true}`)
	require.Nil(t, s.Keyboard(kit))
}

func TestEdit(t *testing.T) {
	now := morning
	s := newServer(t, func(o *localchat.Options) { o.Now = func() time.Time { return now } })
	const k1 = `{"inline_keyboard":[[{"text":"A","callback_data":"a"}]]}`
	good(t, s, nil, "sendMessage", "chat_id", "101", "text", "one", "reply_markup", k1)
	const same = "Bad Request: message is not modified: specified new message content and reply markup are exactly the same as a current content and reply markup of the message"
	bad(t, s, 400, same, "editMessageText", "chat_id", "101", "message_id", "1", "text", "one", "reply_markup", k1)
	bad(t, s, 400, same, "editMessageReplyMarkup", "chat_id", "101", "message_id", "1", "reply_markup", k1)
	bad(t, s, 400, "Bad Request: message to edit not found", "editMessageText", "chat_id", "101", "message_id", "9", "text", "x")
	bad(t, s, 400, "Bad Request: message text is empty", "editMessageText", "chat_id", "101", "message_id", "1", "text", "")
	bad(t, s, 400, "Bad Request: inline keyboard expected", "editMessageReplyMarkup", "chat_id", "101", "message_id", "1", "reply_markup", `{"keyboard":[["A"]]}`)

	now = morning.Add(time.Hour)
	var m localchat.Message
	good(t, s, &m, "editMessageText", "chat_id", "101", "message_id", "1", "text", "<i>two</i>", "parse_mode", "HTML")
	require.Equal(t, "two", m.Text)
	require.Equal(t, now.Unix(), m.EditDate)
	require.Equal(t, morning.Unix(), m.Date)
	require.Nil(t, m.ReplyMarkup, "an edit without reply_markup takes the buttons away")
	good(t, s, &m, "editMessageReplyMarkup", "chat_id", "101", "message_id", "1", "reply_markup", k1)
	require.Len(t, m.Buttons(), 1)

	_, err := s.Say(kit, kit, "mine")
	require.NoError(t, err)
	bad(t, s, 400, "Bad Request: message can't be edited", "editMessageText", "chat_id", "101", "message_id", "2", "text", "yours")
}

func TestDelete(t *testing.T) {
	now := morning
	s := newServer(t, func(o *localchat.Options) { o.Now = func() time.Time { return now } })
	good(t, s, nil, "sendMessage", "chat_id", "101", "text", "old")
	now = now.Add(48*time.Hour + time.Second)
	good(t, s, nil, "sendMessage", "chat_id", "101", "text", "new")
	bad(t, s, 400, "Bad Request: message can't be deleted for everyone", "deleteMessage", "chat_id", "101", "message_id", "1")
	var yes bool
	good(t, s, &yes, "deleteMessage", "chat_id", "101", "message_id", "2")
	require.True(t, yes)
	bad(t, s, 400, "Bad Request: message to delete not found", "deleteMessage", "chat_id", "101", "message_id", "2")
	require.Len(t, s.Transcript(kit), 1)
	good(t, s, nil, "sendMessage", "chat_id", "101", "text", "ids never come again")
	require.Equal(t, 3, s.Transcript(kit)[1].MessageID)
}

func TestTapAndAnswer(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := newServer(t, nil)
		good(t, s, nil, "sendMessage", "chat_id", "101", "text", "How hard?", "reply_markup", `{"inline_keyboard":[[{"text":"2 left","callback_data":"rir:2"}]]}`)
		_, err := s.Tap(kit, kit, 1, "rir:9")
		require.ErrorIs(t, err, localchat.ErrUnknown)
		_, err = s.Tap(noor, kit, 1, "rir:2")
		require.ErrorIs(t, err, localchat.ErrUnknown, "another person's chat is not there")
		id, err := s.Tap(kit, kit, 1, "rir:2")
		require.NoError(t, err)

		updates, err := library(t, s).GetUpdates(tgbotapi.UpdateConfig{})
		require.NoError(t, err)
		require.Len(t, updates, 1)
		q := updates[0].CallbackQuery
		require.Equal(t, id, updates[0].UpdateID)
		require.Equal(t, kit, q.From.ID)
		require.Equal(t, "rir:2", q.Data)
		require.Equal(t, 1, q.Message.MessageID)
		require.Equal(t, "How hard?", q.Message.Text)
		require.NotEmpty(t, q.ChatInstance)

		good(t, s, nil, "answerCallbackQuery", "callback_query_id", q.ID, "text", "Noted")
		const late = "Bad Request: query is too old and response timeout expired or query ID is invalid"
		bad(t, s, 400, late, "answerCallbackQuery", "callback_query_id", "1")
		time.Sleep(150 * time.Second)
		good(t, s, nil, "answerCallbackQuery", "callback_query_id", q.ID)
		time.Sleep(time.Second)
		bad(t, s, 400, late, "answerCallbackQuery", "callback_query_id", q.ID)

		// a tap and an edit cross: the button that just went may be tapped
		good(t, s, nil, "editMessageText", "chat_id", "101", "message_id", "1", "text", "Thanks")
		_, err = s.Tap(kit, kit, 1, "rir:2")
		require.NoError(t, err)
	})
}

func TestChatAction(t *testing.T) {
	s := newServer(t, nil)
	good(t, s, nil, "sendChatAction", "chat_id", "101", "action", "typing")
	bad(t, s, 400, "Bad Request: wrong parameter action in request", "sendChatAction", "chat_id", "101", "action", "juggling")
}

func picture(t *testing.T, w, h int) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, image.NewGray(image.Rect(0, 0, w, h))))
	return b.Bytes()
}

func uploadTo(t *testing.T, s *localchat.Server, method, field, name string, data []byte, pairs ...string) answer {
	t.Helper()
	var form bytes.Buffer
	mw := multipart.NewWriter(&form)
	require.NoError(t, mw.WriteField("chat_id", "101"))
	for i := 0; i+1 < len(pairs); i += 2 {
		require.NoError(t, mw.WriteField(pairs[i], pairs[i+1]))
	}
	part, err := mw.CreateFormFile(field, name)
	require.NoError(t, err)
	_, err = part.Write(data)
	require.NoError(t, err)
	require.NoError(t, mw.Close())
	req, err := http.NewRequestWithContext(t.Context(), http.MethodPost, "http://127.0.0.1/bot"+token+"/"+method, &form)
	require.NoError(t, err)
	req.Header.Set("Content-Type", mw.FormDataContentType())
	return do(t, s, req)
}

func TestPhotoAndFile(t *testing.T) {
	s := newServer(t, nil)
	bot := library(t, s)
	data := picture(t, 40, 30)
	p := tgbotapi.NewPhoto(kit, tgbotapi.FileBytes{Name: "load.png", Bytes: data})
	p.Caption, p.ParseMode = "<b>Load</b>", tgbotapi.ModeHTML
	m, err := bot.Send(p)
	require.NoError(t, err)
	require.Equal(t, "Load", m.Caption)
	require.Equal(t, "bold", m.CaptionEntities[0].Type)
	require.Len(t, m.Photo, 1)
	require.Equal(t, []int{40, 30, len(data)}, []int{m.Photo[0].Width, m.Photo[0].Height, m.Photo[0].FileSize})

	f, err := bot.GetFile(tgbotapi.FileConfig{FileID: m.Photo[0].FileID})
	require.NoError(t, err)
	resp, err := httpClient(s).Get("http://127.0.0.1/file/bot" + token + "/" + f.FilePath)
	require.NoError(t, err)
	got, err := io.ReadAll(resp.Body)
	require.NoError(t, err)
	require.NoError(t, resp.Body.Close())
	require.Equal(t, data, got)

	// by file_id, and by an attach:// name
	_, err = bot.Send(tgbotapi.NewPhoto(kit, tgbotapi.FileID(m.Photo[0].FileID)))
	require.NoError(t, err)
	a := uploadTo(t, s, "sendPhoto", "x1", "a.png", data, "photo", "attach://x1")
	require.True(t, a.OK, a.Description)
	require.Len(t, s.Transcript(kit), 3)

	bad(t, s, 400, "Bad Request: there is no photo in the request", "sendPhoto", "chat_id", "101")
	bad(t, s, 400, "Bad Request: wrong file identifier/HTTP URL specified", "sendPhoto", "chat_id", "101", "photo", "nope")
	bad(t, s, 400, "Bad Request: failed to get HTTP URL content", "sendPhoto", "chat_id", "101", "photo", "https://example.org/a.png")
	bad(t, s, 400, "Bad Request: invalid file_id", "getFile", "file_id", "nope")
	for data, want := range map[string]string{
		"":                        "Bad Request: file must be non-empty",
		"not a picture":           "Bad Request: IMAGE_PROCESS_FAILED",
		string(picture(t, 1, 21)): "Bad Request: PHOTO_INVALID_DIMENSIONS",
	} {
		require.Equal(t, want, uploadTo(t, s, "sendPhoto", "photo", "a.png", []byte(data)).Description)
	}
	a = uploadTo(t, s, "sendPhoto", "photo", "a.png", data, "caption", strings.Repeat("x", 1025))
	require.Equal(t, "Bad Request: message caption is too long", a.Description)
	a = uploadTo(t, s, "sendPhoto", "photo", "a.png", data, "caption", strings.Repeat("x", 1024))
	require.True(t, a.OK)
	bad(t, s, 400, "Bad Request: there is no text in the message to edit", "editMessageText", "chat_id", "101", "message_id", "1", "text", "x")
	var edited localchat.Message
	good(t, s, &edited, "editMessageCaption", "chat_id", "101", "message_id", "1", "caption", "Load, week 32")
	require.Equal(t, "Load, week 32", edited.Caption)
}

func TestDocument(t *testing.T) {
	s := newServer(t, nil)
	m, err := library(t, s).Send(tgbotapi.NewDocument(kit, tgbotapi.FileBytes{Name: "week.csv", Bytes: []byte("a,b\n")}))
	require.NoError(t, err)
	require.Equal(t, "week.csv", m.Document.FileName)
	require.Equal(t, "text/csv", m.Document.MimeType)
	require.Equal(t, 4, m.Document.FileSize)
	name, data, ok := s.File(m.Document.FileID)
	require.True(t, ok)
	require.Equal(t, "week.csv", name)
	require.Equal(t, "a,b\n", string(data))
	bad(t, s, 400, "Bad Request: there is no document in the request", "sendDocument", "chat_id", "101")
	bad(t, s, 400, "Bad Request: can't use file of type document as photo", "sendPhoto", "chat_id", "101", "photo", m.Document.FileID)
}

// Files are bounded: the oldest gives way.
func TestFileMemory(t *testing.T) {
	s := newServer(t, func(o *localchat.Options) { o.FilesInMemory = 1000 })
	var ids []string
	for range 3 {
		a := uploadTo(t, s, "sendDocument", "document", "x.bin", bytes.Repeat([]byte{7}, 400))
		var m localchat.Message
		require.NoError(t, json.Unmarshal(a.Result, &m))
		ids = append(ids, m.Document.FileID)
	}
	bad(t, s, 400, "Bad Request: invalid file_id", "getFile", "file_id", ids[0])
	good(t, s, nil, "getFile", "file_id", ids[1])
	good(t, s, nil, "getFile", "file_id", ids[2])
}

// The order in which a menu is looked up is the one documented under
// "Determining list of commands".
func TestCommands(t *testing.T) {
	s := newServer(t, nil)
	withRoom(t, s)
	set := func(word, scope, language string) {
		t.Helper()
		good(t, s, nil, "setMyCommands", "commands", fmt.Sprintf(`[{"command":%q,"description":"d"}]`, word), "scope", scope, "language_code", language)
	}
	see := func(person, chat int64) string {
		t.Helper()
		list, err := s.Menu(person, chat)
		require.NoError(t, err)
		if len(list) == 0 {
			return ""
		}
		return list[0].Command
	}
	require.Equal(t, "", see(noor, noor))
	set("all", "", "")
	set("all_ar", `{"type":"default"}`, "ar")
	require.Equal(t, "all_ar", see(noor, noor))
	require.Equal(t, "all", see(kit, kit))
	set("private", `{"type":"all_private_chats"}`, "")
	require.Equal(t, "private", see(noor, noor), "a nearer scope comes before the language")
	set("own", `{"type":"chat","chat_id":101}`, "")
	require.Equal(t, "own", see(kit, kit))
	require.Equal(t, "all", see(dara, room))
	set("groups", `{"type":"all_group_chats"}`, "")
	set("here", `{"type":"chat","chat_id":-500}`, "")
	set("dara", `{"type":"chat_member","chat_id":-500,"user_id":201}`, "")
	require.Equal(t, "dara", see(dara, room))
	good(t, s, nil, "deleteMyCommands", "scope", `{"type":"chat_member","chat_id":-500,"user_id":201}`)
	require.Equal(t, "here", see(dara, room))

	var list []localchat.BotCommand
	good(t, s, &list, "getMyCommands", "language_code", "ar")
	require.Equal(t, []localchat.BotCommand{{Command: "all_ar", Description: "d"}}, list)
	a := api(t, s, "getMyCommands", "language_code", "fr")
	require.JSONEq(t, `[]`, string(a.Result))

	bad(t, s, 400, "Bad Request: BOT_COMMAND_INVALID", "setMyCommands", "commands", `[{"command":"No","description":"d"}]`)
	bad(t, s, 400, "Bad Request: BOT_COMMAND_DESCRIPTION_INVALID", "setMyCommands", "commands", `[{"command":"no","description":""}]`)
	bad(t, s, 400, "Bad Request: can't parse commands JSON object", "setMyCommands", "commands", `no`)
	bad(t, s, 400, "Bad Request: can't parse BotCommandScope: unsupported type specified", "getMyCommands", "scope", `{"type":"moon"}`)
	bad(t, s, 400, "Bad Request: chat not found", "getMyCommands", "scope", `{"type":"chat","chat_id":1}`)
}

func TestChatLookups(t *testing.T) {
	s := newServer(t, nil)
	withRoom(t, s)
	c, err := library(t, s).GetChat(tgbotapi.ChatInfoConfig{ChatConfig: tgbotapi.ChatConfig{ChatID: room}})
	require.NoError(t, err)
	require.True(t, c.IsGroup())
	require.Equal(t, "Staff room", c.Title)
	for user, want := range map[string]string{"201": "member", "101": "left", "7000000001": "member"} {
		var m localchat.ChatMember
		good(t, s, &m, "getChatMember", "chat_id", "-500", "user_id", user)
		require.Equal(t, want, m.Status, user)
	}
	bad(t, s, 400, "Bad Request: user not found", "getChatMember", "chat_id", "-500", "user_id", "5")
}

func TestReplies(t *testing.T) {
	s := newServer(t, nil)
	_, err := s.Say(kit, kit, "3x5 100")
	require.NoError(t, err)
	for _, how := range [][]string{
		{"reply_to_message_id", "1"},
		{"reply_parameters", `{"message_id":1}`},
	} {
		var m localchat.Message
		good(t, s, &m, "sendMessage", append([]string{"chat_id", "101", "text", "read"}, how...)...)
		require.Equal(t, "3x5 100", m.ReplyTo.Text)
		require.Equal(t, kit, m.ReplyTo.From.ID)
	}
	var m localchat.Message
	good(t, s, &m, "sendMessage", "chat_id", "101", "text", "x", "reply_parameters", `{"message_id":99,"allow_sending_without_reply":true}`)
	require.Nil(t, m.ReplyTo)
	bad(t, s, 400, "Bad Request: can't parse reply parameters JSON object", "sendMessage", "chat_id", "101", "text", "x", "reply_parameters", "1,")
}

func TestWebhookState(t *testing.T) {
	s := newServer(t, nil)
	_, err := s.Say(kit, kit, "one")
	require.NoError(t, err)
	info, err := library(t, s).GetWebhookInfo()
	require.NoError(t, err)
	require.False(t, info.IsSet())
	require.Equal(t, 1, info.PendingUpdateCount)
	good(t, s, nil, "deleteWebhook")
	require.Equal(t, 1, s.Pending())
	good(t, s, nil, "deleteWebhook", "drop_pending_updates", "true")
	require.Zero(t, s.Pending())
}

func TestMadeTokens(t *testing.T) {
	a, b := localchat.New(localchat.Options{}), localchat.New(localchat.Options{})
	require.NotEqual(t, a.Token(), b.Token())
	require.Regexp(t, `^\d+:[0-9a-f]{36}$`, a.Token())
	require.Equal(t, "local_bot", a.Bot().Username)
	require.EqualValues(t, 42, localchat.New(localchat.Options{Token: "42:x"}).Bot().ID)
}
