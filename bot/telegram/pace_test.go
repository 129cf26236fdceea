package telegram_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pegcard/bot/telegram"
)

var noon = time.Date(2031, 7, 1, 12, 0, 0, 0, time.UTC)

// The limits the API documents (core.telegram.org/bots/faq): 30 messages a
// second in all, 20 a minute in a group; a chat once a second with short bursts.
func TestPacerWindows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := telegram.NewPacer()
		now := noon
		type sent struct {
			chat int64
			at   time.Time
		}
		var log []sent
		chats := rapid.IntRange(1, 60).Draw(t, "chats")
		for range 400 {
			now = now.Add(time.Duration(rapid.IntRange(0, 40).Draw(t, "ms")) * time.Millisecond)
			chat := int64(rapid.IntRange(1, chats).Draw(t, "chat"))
			if rapid.Bool().Draw(t, "group") {
				chat = -chat
			}
			ready := p.Ready(chat, now)
			wait := p.Reserve(chat, now)
			require.Equal(t, ready, wait)
			if wait == 0 {
				log = append(log, sent{chat, now})
			}
		}
		for i, first := range log {
			all, chat, group := 0, 0, 0
			for _, s := range log[i:] {
				in := s.at.Sub(first.at)
				if in < time.Second {
					all++
				}
				if s.chat == first.chat && in < 10*time.Second {
					chat++
				}
				if s.chat == first.chat && in < time.Minute {
					group++
				}
			}
			require.LessOrEqual(t, all, 30)
			require.LessOrEqual(t, chat, 13, "3 at once, then one a second")
			if first.chat < 0 {
				require.LessOrEqual(t, group, 20)
			}
		}
	})
}

// 200 messages to 200 chats go out at the full rate, each wait as announced.
func TestPacerFullRate(t *testing.T) {
	p := telegram.NewPacer()
	now := noon
	for chat := int64(1); chat <= 200; chat++ {
		for {
			wait := p.Reserve(chat, now)
			if wait == 0 {
				break
			}
			now = now.Add(wait)
			require.Zero(t, p.Ready(chat, now), "the wait is enough")
		}
	}
	require.InDelta(t, 6*1.015, now.Sub(noon).Seconds(), 0.001, "30 at once, then 30 each 1.015 s")
}

func TestPacerChatAndGroup(t *testing.T) {
	p := telegram.NewPacer()
	for range 3 {
		require.Zero(t, p.Reserve(7, noon))
	}
	require.Equal(t, time.Second, p.Reserve(7, noon))
	require.Zero(t, p.Reserve(8, noon.Add(200*time.Millisecond)), "another chat does not wait for it")
	require.Equal(t, 10*time.Millisecond, p.Reserve(7, noon.Add(990*time.Millisecond)))
	require.Zero(t, p.Reserve(7, noon.Add(time.Second)))

	at := noon.Add(time.Hour)
	sent := 0
	for d := time.Duration(0); d < time.Minute; d += 100 * time.Millisecond {
		if p.Reserve(-9, at.Add(d)) == 0 {
			sent++
		}
	}
	require.GreaterOrEqual(t, sent, 19)
	require.LessOrEqual(t, sent, 20)
}

func TestPacerObeys429(t *testing.T) {
	p := telegram.NewPacer()
	require.Zero(t, p.Reserve(7, noon))
	p.Note429(7, 30*time.Second, noon)
	p.Note429(7, 5*time.Second, noon) // a shorter one does not open it earlier
	require.Equal(t, 30*time.Second, p.Reserve(7, noon))
	require.Equal(t, time.Nanosecond, p.Reserve(7, noon.Add(30*time.Second-1)))
	require.Zero(t, p.Reserve(8, noon.Add(time.Second)), "one refused chat closes no other")
	require.Zero(t, p.Reserve(7, noon.Add(30*time.Second)))

	p.Note429(7, 0, noon.Add(40*time.Second))
	require.Equal(t, time.Second, p.Reserve(7, noon.Add(40*time.Second)), "no time given")
}

func TestPacerFlood(t *testing.T) {
	p := telegram.NewPacer()
	p.Note429(1, time.Hour, noon)
	p.Note429(1, time.Hour, noon.Add(time.Second)) // the same chat again says nothing about others
	p.Note429(2, 20*time.Second, noon.Add(2*time.Second))
	require.Zero(t, p.Ready(9, noon.Add(2*time.Second)))
	p.Note429(3, 60*time.Second, noon.Add(3*time.Second))
	at := noon.Add(3 * time.Second)
	require.Equal(t, 19*time.Second, p.Ready(9, at), "the shortest time they share")
	require.Equal(t, 60*time.Second, p.Ready(3, at))
	require.Equal(t, time.Hour-2*time.Second, p.Ready(1, at))
	require.Zero(t, p.Reserve(9, noon.Add(22*time.Second)))

	slow := telegram.NewPacer()
	for i := range 10 { // one refusal in 6 s: never three within 10 s
		slow.Note429(int64(i+1), time.Second, noon.Add(time.Duration(i)*6*time.Second))
	}
	require.Zero(t, slow.Ready(99, noon.Add(54*time.Second)))

	all := telegram.NewPacer()
	all.Note429(0, 7*time.Second, noon)
	require.Equal(t, 7*time.Second, all.Ready(5, noon))
}

func TestPacerClockJumpsBack(t *testing.T) {
	p := telegram.NewPacer()
	for range 3 {
		require.Zero(t, p.Reserve(7, noon))
	}
	p.Note429(8, 10*time.Second, noon)
	back := noon.Add(-time.Hour)
	require.Equal(t, time.Second, p.Reserve(7, back), "no message early")
	require.Equal(t, 10*time.Second, p.Ready(8, back))
	require.Zero(t, p.Reserve(7, back.Add(time.Second)), "and none an hour late")
	require.Zero(t, p.Ready(8, back.Add(10*time.Second)))
}

func TestPacerForgetsIdleChats(t *testing.T) {
	p := telegram.NewPacer()
	now := noon
	for chat := int64(1); chat <= 20000; chat++ {
		now = now.Add(50 * time.Millisecond)
		require.Zero(t, p.Reserve(chat, now))
	}
	require.LessOrEqual(t, telegram.ChatsRemembered(p), 256)

	// One that is closed is not forgotten.
	p.Note429(5, 24*time.Hour, now)
	for chat := int64(30000); chat < 31000; chat++ {
		now = now.Add(50 * time.Millisecond)
		require.Zero(t, p.Reserve(chat, now))
	}
	require.Greater(t, p.Ready(5, now), 23*time.Hour)
}
