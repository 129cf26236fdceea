package localchat_test

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
	"github.com/stretchr/testify/require"

	"pegcard/bot/localchat"
)

func say(t *testing.T, s *localchat.Server, text string) int {
	t.Helper()
	id, err := s.Say(kit, kit, text)
	require.NoError(t, err)
	return id
}

func pollIDs(t *testing.T, s *localchat.Server, pairs ...string) []int {
	t.Helper()
	var us []struct {
		ID int `json:"update_id"`
	}
	good(t, s, &us, "getUpdates", pairs...)
	var ids []int
	for _, u := range us {
		ids = append(ids, u.ID)
	}
	return ids
}

func TestOffsetConfirms(t *testing.T) {
	s := newServer(t, func(o *localchat.Options) { o.FirstUpdateID = 900 })
	require.JSONEq(t, `[]`, string(api(t, s, "getUpdates").Result))
	for _, w := range []string{"a", "b", "c", "d"} {
		say(t, s, w)
	}
	require.Equal(t, []int{900, 901, 902, 903}, pollIDs(t, s))
	require.Equal(t, []int{900, 901, 902, 903}, pollIDs(t, s), "without an offset nothing is confirmed")
	require.Equal(t, []int{900, 901}, pollIDs(t, s, "limit", "2"))
	require.Equal(t, []int{901, 902, 903}, pollIDs(t, s, "offset", "901"))
	require.Equal(t, []int{901, 902, 903}, pollIDs(t, s, "offset", "900"), "what is forgotten stays so")
	require.Equal(t, 3, s.Pending())
	require.Equal(t, []int{903}, pollIDs(t, s, "offset", "-1"), "a negative offset keeps the last ones")
	require.Equal(t, []int{903}, pollIDs(t, s))
	require.Empty(t, pollIDs(t, s, "offset", "904"))
	require.Zero(t, s.Pending())

	// the ids restart lower after a quiet week: a stale offset hides nothing
	require.NoError(t, s.RestartUpdateIDs(50))
	require.Equal(t, 50, say(t, s, "e"))
	require.Equal(t, []int{50}, pollIDs(t, s, "offset", "904"))
	require.Error(t, s.RestartUpdateIDs(10), "not while one is pending")
	require.Empty(t, pollIDs(t, s, "offset", "51"))
}

func TestAllowedUpdates(t *testing.T) {
	s := newServer(t, nil)
	require.Empty(t, pollIDs(t, s, "allowed_updates", `["callback_query"]`))
	require.Zero(t, say(t, s, "unheard"))
	require.Empty(t, pollIDs(t, s), "the wish stays until it is changed")
	require.Zero(t, say(t, s, "unheard"))
	require.Empty(t, pollIDs(t, s, "allowed_updates", `["message","my_chat_member"]`))
	require.NotZero(t, say(t, s, "heard"))
	_, err := s.Block(kit)
	require.NoError(t, err)
	require.Len(t, pollIDs(t, s), 2)
	require.Len(t, pollIDs(t, s, "allowed_updates", `[]`), 2, "an empty list is the default again")
	bad(t, s, 400, "Bad Request: can't parse allowed_updates: a JSON list of strings is expected", "getUpdates", "allowed_updates", "message")
}

func TestLongPoll(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := newServer(t, nil)
		start := time.Now()
		require.Empty(t, pollIDs(t, s, "timeout", "30"))
		require.Equal(t, 30*time.Second, time.Since(start))

		start = time.Now()
		require.Empty(t, pollIDs(t, s, "timeout", "600"))
		require.Equal(t, 50*time.Second, time.Since(start), "no poll waits longer")

		start = time.Now()
		go func() {
			time.Sleep(7 * time.Second)
			_, err := s.Say(kit, kit, "hello")
			if err != nil {
				t.Error(err)
			}
		}()
		require.Len(t, pollIDs(t, s, "timeout", "50"), 1)
		require.Equal(t, 7*time.Second, time.Since(start), "a poll ends as soon as something is there")

		start = time.Now()
		require.Len(t, pollIDs(t, s, "timeout", "50"), 1)
		require.Zero(t, time.Since(start), "and at once when something is waiting")

		start = time.Now()
		go func() {
			time.Sleep(3 * time.Second)
			s.Close()
		}()
		require.Empty(t, pollIDs(t, s, "timeout", "50", "offset", "2"))
		require.Equal(t, 3*time.Second, time.Since(start), "closing the server ends polls")
		bad(t, s, 500, "Internal Server Error: restart", "getUpdates", "timeout", "50")
	})
}

func TestSecondPollEndsTheFirst(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := newServer(t, nil)
		var wg sync.WaitGroup
		wg.Go(func() {
			a := api(t, s, "getUpdates", "timeout", "50")
			if a.status != http.StatusConflict || a.Description != "Conflict: terminated by other getUpdates request; make sure that only one bot instance is running" {
				t.Errorf("the first poll got %+v", a)
			}
		})
		synctest.Wait()
		time.Sleep(5 * time.Second)
		start := time.Now()
		wg.Go(func() {
			time.Sleep(time.Second)
			if _, err := s.Say(kit, kit, "x"); err != nil {
				t.Error(err)
			}
		})
		require.Len(t, pollIDs(t, s, "timeout", "50"), 1)
		require.Equal(t, time.Second, time.Since(start))
		wg.Wait()
	})
}

func TestPollEndsWithItsClient(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := newServer(t, nil)
		ctx, cancel := context.WithTimeout(t.Context(), 4*time.Second)
		defer cancel()
		req, err := http.NewRequestWithContext(ctx, http.MethodGet, "http://127.0.0.1/bot"+token+"/getUpdates?timeout=50", nil)
		require.NoError(t, err)
		start := time.Now()
		_, err = httpClient(s).Do(req)
		require.ErrorIs(t, err, context.DeadlineExceeded)
		require.Equal(t, 4*time.Second, time.Since(start))
		synctest.Wait() // the handler is gone, or the bubble would not end
		say(t, s, "still works")
		require.Len(t, pollIDs(t, s, "timeout", "50"), 1)
	})
}

// Updates wait 24 hours of real time, whatever the civil clock does.
func TestUpdatesExpire(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		now := morning
		s := newServer(t, func(o *localchat.Options) { o.Now = func() time.Time { return now } })
		say(t, s, "early")
		now = now.AddDate(0, 0, 3)
		time.Sleep(23 * time.Hour)
		say(t, s, "late")
		require.Len(t, pollIDs(t, s), 2)
		time.Sleep(time.Hour + time.Second)
		require.Len(t, pollIDs(t, s), 1)
	})
}

func TestRateLimits(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := newServer(t, func(o *localchat.Options) {
			o.Limits = localchat.Limits{PerSecondAll: 30, PerChatPerSecond: 1, ChatBurst: 2, PerGroupPerMinute: 20}
		})
		withRoom(t, s)
		send := func(chat int64) answer {
			return api(t, s, "sendMessage", "chat_id", strconv.FormatInt(chat, 10), "text", "x")
		}
		require.True(t, send(kit).OK)
		require.True(t, send(kit).OK)
		a := send(kit)
		require.Equal(t, 429, a.status)
		require.Equal(t, 429, a.ErrorCode)
		require.Equal(t, "Too Many Requests: retry after 1", a.Description)
		require.Equal(t, map[string]any{"retry_after": 1.0}, a.Parameters)
		require.Len(t, s.Transcript(kit), 2)
		require.True(t, send(dara).OK, "another chat is not concerned")
		time.Sleep(time.Second)
		require.True(t, send(kit).OK, "obeying retry_after is enough")

		for range 20 {
			require.True(t, send(room).OK)
			time.Sleep(50 * time.Millisecond)
		}
		a = send(room)
		require.Equal(t, 429, a.status)
		require.InDelta(t, 3, a.Parameters["retry_after"], 1)
		_, err := library(t, s).Send(tgbotapi.NewMessage(room, "x"))
		var refused *tgbotapi.Error
		require.ErrorAs(t, err, &refused)
		require.Equal(t, 429, refused.Code)
		require.Positive(t, refused.RetryAfter)
	})
}

func TestRateLimitInAll(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := newServer(t, func(o *localchat.Options) { o.Limits = localchat.DefaultLimits() })
		for i := range int64(40) {
			require.NoError(t, s.AddPerson(localchat.Person{ID: 1000 + i, FirstName: fmt.Sprint(i), Started: true}))
		}
		okay := 0
		for i := range 40 {
			if api(t, s, "sendMessage", "chat_id", strconv.Itoa(1000+i), "text", "x").OK {
				okay++
			}
		}
		require.Equal(t, 30, okay)
	})
}

func TestFaults(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := newServer(t, nil)
		var next *localchat.Fault
		s.Fault(func(method string, r *http.Request) *localchat.Fault {
			if method != "sendMessage" || r.Form.Get("chat_id") != "101" {
				return nil
			}
			return next
		})
		send := func() (*http.Response, error) {
			return httpClient(s).Get("http://127.0.0.1/bot" + token + "/sendMessage?chat_id=101&text=x")
		}
		next = &localchat.Fault{Status: 502, Body: "<html>Bad Gateway</html>"}
		resp, err := send()
		require.NoError(t, err)
		require.Equal(t, 502, resp.StatusCode)
		require.Equal(t, "text/html", resp.Header.Get("Content-Type"))
		require.NoError(t, resp.Body.Close())
		require.Empty(t, s.Transcript(kit))

		next = &localchat.Fault{Drop: true}
		_, err = send()
		require.Error(t, err)
		require.Empty(t, s.Transcript(kit), "dropped before it was processed")

		next = &localchat.Fault{Drop: true, Process: true}
		_, err = send()
		require.Error(t, err)
		require.Len(t, s.Transcript(kit), 1, "processed, the answer lost")

		next = &localchat.Fault{Delay: 9 * time.Second}
		start := time.Now()
		resp, err = send()
		require.NoError(t, err)
		require.NoError(t, resp.Body.Close())
		require.Equal(t, 9*time.Second, time.Since(start))
		require.Len(t, s.Transcript(kit), 2)

		good(t, s, nil, "getMe") // other methods are spared
		s.Fault(nil)
		good(t, s, nil, "sendMessage", "chat_id", "101", "text", "x")
	})
}

func TestUpdateShapes(t *testing.T) {
	s := newServer(t, nil)
	var raw []json.RawMessage
	_, err := s.Start(noor, "join-1_A")
	require.NoError(t, err)
	good(t, s, &raw, "getUpdates")
	require.JSONEq(t, fmt.Sprintf(`{"update_id":1,"message":{"message_id":1,
		"from":{"id":102,"is_bot":false,"first_name":"Noor","language_code":"ar"},
		"chat":{"id":102,"type":"private","first_name":"Noor"},
		"date":%d,"text":"/start join-1_A","entities":[{"type":"bot_command","offset":0,"length":6}]}}`, morning.Unix()), string(raw[0]))

	_, err = s.Edit(noor, noor, 1, "/start again")
	require.NoError(t, err)
	_, err = s.Block(noor)
	require.NoError(t, err)
	us, err := library(t, s).GetUpdates(tgbotapi.UpdateConfig{Offset: 2})
	require.NoError(t, err)
	require.Len(t, us, 2)
	require.Equal(t, "again", us[0].EditedMessage.CommandArguments())
	require.Equal(t, int(morning.Unix()), us[0].EditedMessage.EditDate)
	require.Equal(t, "member", us[1].MyChatMember.OldChatMember.Status)
	require.True(t, us[1].MyChatMember.NewChatMember.WasKicked())
	require.Equal(t, noor, us[1].MyChatMember.From.ID)
	bad(t, s, 403, "Forbidden: bot was blocked by the user", "sendMessage", "chat_id", "102", "text", "x")
	_, err = s.Say(noor, noor, "hello?")
	require.ErrorIs(t, err, localchat.ErrRefused)
	_, err = s.Unblock(noor)
	require.NoError(t, err)
	good(t, s, nil, "sendMessage", "chat_id", "102", "text", "x")

	good(t, s, &raw, "getUpdates", "offset", "4")
	_, err = s.SendPhotoFrom(kit, kit, picture(t, 8, 8), "look")
	require.NoError(t, err)
	_, err = s.SendVoiceFrom(kit, kit, 3)
	require.NoError(t, err)
	_, err = s.SendStickerFrom(kit, kit, "💪")
	require.NoError(t, err)
	_, err = s.SendDocumentFrom(kit, kit, "tests.csv", []byte("x"), "")
	require.NoError(t, err)
	us, err = library(t, s).GetUpdates(tgbotapi.UpdateConfig{Offset: 5})
	require.NoError(t, err)
	require.Len(t, us, 4)
	require.Equal(t, "look", us[0].Message.Caption)
	require.Equal(t, 8, us[0].Message.Photo[0].Width)
	require.Equal(t, 3, us[1].Message.Voice.Duration)
	require.Equal(t, "💪", us[2].Message.Sticker.Emoji)
	require.Equal(t, "tests.csv", us[3].Message.Document.FileName)
}

func TestGroup(t *testing.T) {
	s := newServer(t, nil)
	withRoom(t, s)
	us, err := library(t, s).GetUpdates(tgbotapi.UpdateConfig{})
	require.NoError(t, err)
	require.Len(t, us, 2)
	require.Equal(t, "left", us[0].MyChatMember.OldChatMember.Status)
	require.Equal(t, "member", us[0].MyChatMember.NewChatMember.Status)
	require.Equal(t, s.Bot().ID, us[1].Message.NewChatMembers[0].ID)

	// privacy mode: commands, mentions and replies get through, talk does not
	good(t, s, nil, "sendMessage", "chat_id", "-500", "text", "hello all")
	bots := s.Transcript(room)[1].MessageID
	for text, heard := range map[string]bool{
		"nice weather": false, "/digest": true, "/digest@pegs_bot": true, "/digest@other_bot": false,
		"ask @pegs_bot": true, "and/or": false,
	} {
		id, err := s.Say(dara, room, text)
		require.NoError(t, err)
		require.Equal(t, heard, id != 0, text)
	}
	id, err := s.SayInReply(dara, room, bots, "thanks")
	require.NoError(t, err)
	require.NotZero(t, id)
	_, err = s.Say(kit, room, "let me in")
	require.ErrorIs(t, err, localchat.ErrUnknown)
	require.NoError(t, s.Join(kit, room))
	require.NoError(t, s.Leave(kit, room))

	require.NoError(t, s.KickBot(room, dara))
	bad(t, s, 403, "Forbidden: bot was kicked from the group chat", "sendMessage", "chat_id", "-500", "text", "x")
	id, err = s.Say(dara, room, "/digest")
	require.NoError(t, err)
	require.Zero(t, id)
	require.NoError(t, s.AddBot(room, dara))
	good(t, s, nil, "sendMessage", "chat_id", "-500", "text", "back")
}

func TestMigration(t *testing.T) {
	s := newServer(t, func(o *localchat.Options) { o.ReadsGroups = true })
	withRoom(t, s)
	_, err := s.Say(dara, room, "hello")
	require.NoError(t, err)
	pollIDs(t, s, "offset", "-1")
	next, err := s.MigrateGroup(room)
	require.NoError(t, err)
	require.Less(t, next, int64(-1_000_000_000_000))
	a := bad(t, s, 400, "Bad Request: group chat was upgraded to a supergroup chat", "sendMessage", "chat_id", "-500", "text", "x")
	require.Equal(t, map[string]any{"migrate_to_chat_id": float64(next)}, a.Parameters)
	us, err := library(t, s).GetUpdates(tgbotapi.UpdateConfig{Offset: 4})
	require.NoError(t, err)
	require.Len(t, us, 2)
	require.Equal(t, next, us[0].Message.MigrateToChatID)
	require.Equal(t, room, us[0].Message.Chat.ID)
	require.Equal(t, room, us[1].Message.MigrateFromChatID)
	require.True(t, us[1].Message.Chat.IsSuperGroup())
	good(t, s, nil, "sendMessage", "chat_id", strconv.FormatInt(next, 10), "text", "x")
	_, err = s.Say(dara, room, "too late")
	require.ErrorIs(t, err, localchat.ErrRefused)
	_, err = s.MigrateGroup(room)
	require.ErrorIs(t, err, localchat.ErrUnknown)
}

func TestPeopleRefusals(t *testing.T) {
	s := newServer(t, nil)
	require.ErrorIs(t, s.AddPerson(localchat.Person{ID: kit, FirstName: "Twice"}), localchat.ErrRefused)
	require.ErrorIs(t, s.AddPerson(localchat.Person{ID: -1, FirstName: "Negative"}), localchat.ErrRefused)
	require.ErrorIs(t, s.AddPerson(localchat.Person{ID: 1}), localchat.ErrRefused)
	_, err := s.AddGroup(localchat.Group{Title: "Empty"})
	require.ErrorIs(t, err, localchat.ErrRefused)
	_, err = s.AddGroup(localchat.Group{Title: "Strangers", Members: []int64{5}})
	require.ErrorIs(t, err, localchat.ErrUnknown)
	_, err = s.Say(5, 5, "x")
	require.ErrorIs(t, err, localchat.ErrUnknown)
	_, err = s.Say(kit, kit, "  ")
	require.ErrorIs(t, err, localchat.ErrRefused)
	_, err = s.Start(kit, "not a payload")
	require.ErrorIs(t, err, localchat.ErrRefused)
	say(t, s, "one")
	_, err = s.Edit(kit, kit, 1, "one")
	require.ErrorIs(t, err, localchat.ErrRefused)
	_, err = s.Edit(kit, kit, 2, "two")
	require.ErrorIs(t, err, localchat.ErrUnknown)
	require.Nil(t, s.Transcript(5))
}

func TestTranscriptIsACopyAndBounded(t *testing.T) {
	s := newServer(t, func(o *localchat.Options) { o.KeepMessages = 10 })
	for i := range 25 {
		good(t, s, nil, "sendMessage", "chat_id", "101", "text", fmt.Sprintf("<b>%d</b>", i), "parse_mode", "HTML",
			"reply_markup", `{"inline_keyboard":[[{"text":"A","callback_data":"a"}]]}`)
	}
	got := s.Transcript(kit)
	require.Len(t, got, 10)
	require.Equal(t, 16, got[0].MessageID)
	got[0].Text, got[0].Entities[0].Type, got[0].ReplyMarkup.Rows[0][0].Text = "x", "x", "x"
	again := s.Transcript(kit)
	require.Equal(t, "15", again[0].Text)
	require.Equal(t, "bold", again[0].Entities[0].Type)
	require.Equal(t, "A", again[0].ReplyMarkup.Rows[0][0].Text)
}
