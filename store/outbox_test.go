package store_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
	"pegcard/store"
)

func kindsOf(os []store.Out) (out []string) {
	for _, o := range os {
		out = append(out, o.Kind)
	}
	return out
}

func enqueue(tx *store.Tx, o store.Out) int64 {
	n, _, err := tx.Enqueue(o)
	do(err)
	return n
}

func joined(t *testing.T, s *store.Store, key string, chat int64) int64 {
	t.Helper()
	n := id(t, s, key)
	write(t, s, func(tx *store.Tx) {
		_, err := tx.Join(must(tx.Invite(n, 0, morning, morning+day)), chat, chat, morning)
		do(err)
	})
	return n
}

func TestOutboxOrder(t *testing.T) {
	s := withClub(t)
	nine := joined(t, s, "9", 701)
	write(t, s, func(tx *store.Tx) {
		enqueue(tx, store.Out{Kind: "digest", Chat: 1, Priority: 5, NotBefore: morning})
		enqueue(tx, store.Out{Kind: "later", Chat: 2, Priority: 0, NotBefore: morning + hour})
		enqueue(tx, store.Out{Kind: "card", Recipient: nine, Priority: 5, NotBefore: morning - 1})
		enqueue(tx, store.Out{Kind: "alert", Chat: 3, Priority: 0, NotBefore: morning})
		enqueue(tx, store.Out{Kind: "second", Recipient: nine, Priority: 5, NotBefore: morning})
		enqueue(tx, store.Out{Kind: "busy", Chat: 4, NotBefore: morning})
		enqueue(tx, store.Out{Kind: "stale", Chat: 5, NotBefore: morning - hour, Expires: morning})

		at, ok, err := tx.NextOut()
		do(err)
		require.True(t, ok)
		require.Equal(t, morning-hour, at)
		require.Equal(t, 5, must(tx.OutPending(morning)))

		got := must(tx.ClaimOut(morning, 10, []int64{4}))
		require.Equal(t, []string{"alert", "card", "digest"}, kindsOf(got))
		require.Equal(t, int64(701), got[1].Chat)
		require.Equal(t, 1, got[1].Attempts)
		require.Empty(t, must(tx.ClaimOut(morning, 10, []int64{4})), "one of a chat is under way")
		do(tx.OutSent(got[1].ID, 701, 55, morning))
		require.Equal(t, []string{"second"}, kindsOf(must(tx.ClaimOut(morning, 10, []int64{4}))))
		require.Equal(t, []string{"busy"}, kindsOf(must(tx.ClaimOut(morning, 10, nil))))
		require.Equal(t, []string{"later"}, kindsOf(must(tx.ClaimOut(morning+hour, 10, nil))))
		_, ok, err = tx.NextOut()
		do(err)
		require.False(t, ok)
	})
}

func TestOutboxLimit(t *testing.T) {
	s := open(t)
	write(t, s, func(tx *store.Tx) {
		for i := range int64(5) {
			enqueue(tx, store.Out{Kind: "k", Chat: i + 1})
		}
		require.Len(t, must(tx.ClaimOut(morning, 3, nil)), 3)
		require.Len(t, must(tx.ClaimOut(morning, 3, nil)), 2)
	})
}

func TestOutboxOutcomes(t *testing.T) {
	s := withClub(t)
	nine := joined(t, s, "9", 701)
	var o store.Out
	write(t, s, func(tx *store.Tx) {
		n, fresh, err := tx.Enqueue(store.Out{Kind: "card", Recipient: nine, Ref: 3, Rev: 2, Args: "a", Dedup: "card/9/today", Edit: true, MessageID: 8, NotBefore: morning})
		do(err)
		require.True(t, fresh)
		same, fresh, err := tx.Enqueue(store.Out{Kind: "card", Recipient: nine, Dedup: "card/9/today"})
		do(err)
		require.False(t, fresh)
		require.Equal(t, n, same)

		o = must(tx.ClaimOut(morning, 1, nil))[0]
		require.Equal(t, store.Out{ID: n, Kind: "card", Recipient: nine, Chat: 701, Ref: 3, Rev: 2, Args: "a", NotBefore: morning,
			Dedup: "card/9/today", Edit: true, MessageID: 8, Attempts: 1}, o)
		do(tx.OutRetry(o.ID, morning+minute, "429"))
		require.Empty(t, must(tx.ClaimOut(morning, 1, nil)))
		again := must(tx.ClaimOut(morning+minute, 1, nil))
		require.Len(t, again, 1)
		require.Equal(t, 2, again[0].Attempts)
		require.False(t, again[0].Repeat)
	})

	// The process ends here. What was claimed is sent again, and says so.
	write(t, s, func(tx *store.Tx) {
		require.Equal(t, 1, must(tx.Reclaim(morning+hour)))
		require.Equal(t, 0, must(tx.Reclaim(morning+hour)))
		again := must(tx.ClaimOut(morning+hour, 1, nil))
		require.Len(t, again, 1)
		require.True(t, again[0].Repeat)
		_, _, err := tx.MessageOf("card", 3)
		require.ErrorIs(t, err, store.ErrNotFound)
		do(tx.OutSent(o.ID, 701, 99, morning+hour))
		require.ErrorIs(t, tx.OutSent(o.ID, 701, 99, morning+hour), store.ErrNotFound, "sent is sent")
		chat, message, err := tx.MessageOf("card", 3)
		do(err)
		require.Equal(t, [2]int64{701, 99}, [2]int64{chat, int64(message)})
		require.Equal(t, store.Message{Recipient: nine, Kind: "card", Ref: 3, Chat: 701, MessageID: 99, At: morning + hour}, must(tx.MessageIn(701, 99)))

		bad := enqueue(tx, store.Out{Kind: "bad", Chat: 6})
		must(tx.ClaimOut(morning, 1, nil))
		do(tx.OutBury(bad, "400"))
		require.Empty(t, must(tx.ClaimOut(morning+hour, 1, nil)))

		// Who cannot be reached is not waited for.
		do(tx.SetReachable(701, false))
		enqueue(tx, store.Out{Kind: "lost", Recipient: nine})
		require.Empty(t, must(tx.ClaimOut(morning+hour, 1, nil)))
		_, ok, err := tx.NextOut()
		do(err)
		require.False(t, ok)
	})
}

func TestOutboxHoldsNoText(t *testing.T) {
	s := open(t)
	err := s.Write(t.Context(), func(tx *store.Tx) error {
		_, _, err := tx.Enqueue(store.Out{Kind: "k", Chat: 1, Args: strings.Repeat("a long message ", 20)})
		return err
	})
	require.ErrorContains(t, err, "CHECK")
	err = s.Write(t.Context(), func(tx *store.Tx) error { _, _, err := tx.Enqueue(store.Out{Kind: "k"}); return err })
	require.ErrorContains(t, err, "recipient")
}

func notice(k prescribe.NoticeKind, to prescribe.Audience, r prescribe.Region) prescribe.Notice {
	return prescribe.Notice{Kind: k, Region: r, To: to, Args: []prescribe.Arg{{Name: "score", Kind: prescribe.ArgScore, Num: 7}}}
}

func TestAlertsAreGrouped(t *testing.T) {
	s := withClub(t)
	nine, ten, doc := id(t, s, "9"), id(t, s, "10"), id(t, s, "doc")
	write(t, s, func(tx *store.Tx) {
		raise := func(p int64, n prescribe.Notice, at prescribe.Instant) (store.Alert, bool) {
			a, fresh, err := tx.RaiseAlert(p, n, at)
			do(err)
			return a, fresh
		}
		knee := notice(prescribe.NoticePain, prescribe.ForMedical, prescribe.Knee)
		a, fresh := raise(nine, knee, morning)
		require.True(t, fresh)
		require.Equal(t, store.AlertOpen, a.State)
		require.Zero(t, a.NextAt)
		worse := knee
		worse.Args = []prescribe.Arg{{Name: "score", Kind: prescribe.ArgScore, Num: 9}}
		b, fresh := raise(nine, worse, morning+hour)
		require.False(t, fresh)
		require.Equal(t, a.ID, b.ID)
		require.Equal(t, worse, b.Notice)
		for _, other := range []func() (store.Alert, bool){
			func() (store.Alert, bool) { return raise(ten, knee, morning) },
			func() (store.Alert, bool) {
				return raise(nine, notice(prescribe.NoticePain, prescribe.ForMedical, prescribe.Calf), morning)
			},
			func() (store.Alert, bool) {
				return raise(nine, notice(prescribe.NoticeSoreness, prescribe.ForStaff, prescribe.Knee), morning)
			},
		} {
			c, fresh := other()
			require.True(t, fresh)
			require.NotEqual(t, a.ID, c.ID)
		}

		require.True(t, must(tx.Acknowledge(a.ID, doc, morning+hour)))
		require.False(t, must(tx.Acknowledge(a.ID, doc, morning+hour)), "a second tap changes nothing")
		require.Equal(t, doc, must(tx.Alert(a.ID)).AckBy)
		c, fresh := raise(nine, knee, morning+2*hour)
		require.True(t, fresh, "what comes after an acknowledgement is told again")
		require.NotEqual(t, a.ID, c.ID)
		do(tx.CloseAlert(c.ID, doc, "seen at the clinic", morning+3*hour))
		do(tx.CloseAlert(c.ID, doc, "", morning+3*hour))
		require.Equal(t, store.AlertClosed, must(tx.Alert(c.ID)).State)
	})
}

func TestUrgentAlertsComeAgain(t *testing.T) {
	s := withClub(t)
	nine, doc := id(t, s, "9"), id(t, s, "doc")
	write(t, s, func(tx *store.Tx) {
		n := prescribe.Notice{Kind: prescribe.NoticeWarning, Sign: prescribe.SignChestPain, Urgent: true, To: prescribe.ForMedical}
		a, _, err := tx.RaiseAlert(nine, n, morning)
		do(err)
		require.Equal(t, morning+10*minute, a.NextAt)
		require.Empty(t, must(tx.DueAlerts(morning+10*minute-1)))
		require.Len(t, must(tx.DueAlerts(morning+10*minute)), 1)
		do(tx.Escalate(a.ID, 1, morning+20*minute))
		require.Empty(t, must(tx.DueAlerts(morning+10*minute)))
		at, ok, err := tx.NextAlert()
		do(err)
		require.True(t, ok)
		require.Equal(t, morning+20*minute, at)
		due := must(tx.DueAlerts(morning + 20*minute))
		require.Len(t, due, 1)
		require.Equal(t, 1, due[0].Level)
		// Another sign of the same player is another alert.
		n.Sign = prescribe.SignFainting
		_, fresh, err := tx.RaiseAlert(nine, n, morning)
		do(err)
		require.True(t, fresh)
		must(tx.Acknowledge(a.ID, doc, morning+20*minute))
		require.Len(t, must(tx.DueAlerts(morning+day)), 1)
		require.ErrorIs(t, tx.Escalate(a.ID, 2, morning), store.ErrNotFound)
	})
}

// Even a notice that says it is for everybody keeps medical detail from those
// who may not read it.
func TestWhoReadsAlerts(t *testing.T) {
	s := withClub(t)
	nine, young := id(t, s, "9"), id(t, s, "41")
	write(t, s, func(tx *store.Tx) {
		for _, p := range []int64{nine, young} {
			for _, k := range []prescribe.NoticeKind{prescribe.NoticePain, prescribe.NoticeWarning, prescribe.NoticeLapsed,
				prescribe.NoticeDistress, prescribe.NoticeSoreness, prescribe.NoticeSkipped} {
				_, _, err := tx.RaiseAlert(p, notice(k, prescribe.ForEveryone, ""), morning)
				do(err)
			}
		}
	})
	for who, want := range map[string]string{
		"doc":  "skipped soreness distress lapsed warning pain skipped soreness distress lapsed warning pain",
		"phys": "skipped soreness distress lapsed warning pain",
		"sc":   "skipped soreness skipped soreness",
		"head": "skipped skipped",
		"safe": "skipped distress distress",
		"adm":  "",
		"9":    "",
	} {
		v := viewer(t, s, who)
		read(t, s, func(tx *store.Tx) {
			var got []string
			for _, a := range must(tx.OpenAlerts(v)) {
				got = append(got, string(a.Kind))
				if who == "sc" {
					require.Equal(t, a.Person == young, len(a.Notice.Args) == 0, "no scores of an under-18")
				}
			}
			require.Equal(t, want, strings.Join(got, " "), who)
		})
	}
}

// A player in no squad can still be hurt: the alert reaches those who looked
// after the player last, and, of a player who was in no squad yet, whoever has the
// role anywhere.
func TestAlertOfAPlayerInNoSquad(t *testing.T) {
	s := withClub(t)
	nine := id(t, s, "9")
	late := morning + 400*day
	_, err := s.Import(t.Context(), store.Import{Players: []store.PlayerRow{
		{Key: "9", Name: "Tomas Windlass", Squad: "first", Until: today + 1}}}, morning, false)
	require.NoError(t, err)
	write(t, s, func(tx *store.Tx) {
		a, _, err := tx.RaiseAlert(nine, notice(prescribe.NoticePain, prescribe.ForMedical, prescribe.Knee), late)
		do(err)
		first := must(tx.SquadBySlug("first"))
		require.Equal(t, first.ID, a.Squad)
		b, _, err := tx.RaiseAlert(nine, notice(prescribe.NoticePain, prescribe.ForMedical, prescribe.Calf), morning-4000*day)
		do(err)
		require.Zero(t, b.Squad, "before the player's first day")
		require.Len(t, must(tx.OpenAlerts(viewer(t, s, "doc"))), 2)
		require.Empty(t, must(tx.OpenAlerts(viewer(t, s, "sc"))))
	})
}

// What ends the process each time it is sent is not sent for ever.
func TestReclaimIsBounded(t *testing.T) {
	s := withClub(t)
	nine := joined(t, s, "9", 701)
	write(t, s, func(tx *store.Tx) {
		bad := enqueue(tx, store.Out{Kind: "bad", Recipient: nine})
		good := enqueue(tx, store.Out{Kind: "good", Chat: 5})
		for i := range 3 {
			require.Len(t, must(tx.ClaimOut(morning, 5, nil)), 2)
			require.Equal(t, []int64{bad, good}, must(tx.OutClaimed()))
			require.Equal(t, 1, must(tx.Reclaim(morning, bad)), "time %d", i)
			do(tx.OutRetry(good, morning, "no network"))
		}
		require.Len(t, must(tx.ClaimOut(morning, 5, nil)), 2)
		require.Equal(t, 1, must(tx.Reclaim(morning)), "the good one")
		require.Equal(t, []string{"good"}, kindsOf(must(tx.ClaimOut(morning, 5, nil))))
	})
}

func TestPartsOfALongMessage(t *testing.T) {
	s := open(t)
	write(t, s, func(tx *store.Tx) {
		n := enqueue(tx, store.Out{Kind: "long", Chat: 5})
		require.Zero(t, must(tx.ClaimOut(morning, 1, nil))[0].Parts)
		do(tx.OutPart(n, 2))
		must(tx.Reclaim(morning))
		require.Equal(t, 2, must(tx.ClaimOut(morning, 1, nil))[0].Parts)
		do(tx.OutSent(n, 5, 7, morning))
		require.ErrorIs(t, tx.OutPart(n, 3), store.ErrNotFound)
	})
}

// However the message of an invitation ends, its code is not kept.
func TestInvitationCodesAreBlanked(t *testing.T) {
	dir := t.TempDir()
	s := withClub(t, inDir(dir))
	write(t, s, func(tx *store.Tx) {
		invite := func(chat int64, expires prescribe.Instant) int64 {
			return enqueue(tx, store.Out{Kind: "invite", Chat: chat, Args: "secret-code", Expires: expires})
		}
		sent, buried := invite(1, 0), invite(2, 0)
		invite(3, morning)
		enqueue(tx, store.Out{Kind: "say", Chat: 4, Args: "secret-code", NotBefore: morning + hour})
		must(tx.ClaimOut(morning, 5, nil))
		do(tx.OutSent(sent, 1, 1, morning))
		do(tx.OutBury(buried, "400"))
	})
	require.Equal(t, []string{"invite/", "invite/", "invite/", "say/secret-code"}, query[string](t, dir, `SELECT kind || '/' || args FROM outbox ORDER BY id`))
}

func TestMessagesThatWait(t *testing.T) {
	s := withClub(t)
	nine := joined(t, s, "9", 701)
	write(t, s, func(tx *store.Tx) {
		enqueue(tx, store.Out{Kind: "alert", Recipient: nine, Ref: 1})
		enqueue(tx, store.Out{Kind: "card", Recipient: nine, Ref: 2})
		enqueue(tx, store.Out{Kind: "alert", Chat: 701, Ref: 3})
		enqueue(tx, store.Out{Kind: "alert", Recipient: nine, Ref: 4, NotBefore: morning + hour})
		must(tx.ClaimOut(morning, 1, nil)) // the first is on its way
		waiting := must(tx.OutWaiting(nine, "alert"))
		require.Len(t, waiting, 1)
		require.Equal(t, int64(4), waiting[0].Ref)
	})
}

func TestWhoTookAnAlert(t *testing.T) {
	s := withClub(t)
	nine, doc, phys := id(t, s, "9"), id(t, s, "doc"), id(t, s, "phys")
	write(t, s, func(tx *store.Tx) {
		a, _, err := tx.RaiseAlert(nine, notice(prescribe.NoticePain, prescribe.ForMedical, prescribe.Knee), morning)
		do(err)
		_, err = tx.AlertEnd(a.ID)
		require.ErrorIs(t, err, store.ErrNotFound)
		must(tx.Acknowledge(a.ID, doc, morning+minute))
		require.Equal(t, store.AlertStep{State: store.AlertAcknowledged, By: doc, At: morning + minute}, must(tx.AlertEnd(a.ID)))
		do(tx.CloseAlert(a.ID, phys, "", morning+hour))
		require.Equal(t, store.AlertStep{State: store.AlertClosed, By: phys, At: morning + hour}, must(tx.AlertEnd(a.ID)))
		b, _, err := tx.RaiseAlert(nine, notice(prescribe.NoticePain, prescribe.ForMedical, prescribe.Calf), morning+hour)
		do(err)
		all := must(tx.AlertsOf(nine))
		require.Equal(t, []int64{b.ID, a.ID}, []int64{all[0].ID, all[1].ID})
	})
}
