package store_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
	"pegcard/store"
)

// What one process leaves another finds, once; an erased person leaves nothing.
func TestHandOver(t *testing.T) {
	dir := t.TempDir()
	s := open(t, inDir(dir))
	res, err := s.Import(t.Context(), files(), morning, false)
	require.NoError(t, err)
	require.NotEmpty(t, res.Replan)
	nine := id(t, s, "9")
	first := res.Replan[0]
	write(t, s, func(tx *store.Tx) {
		require.Empty(t, must(tx.Replans()), "no card is there yet to be planned again")
		_, _, err := tx.IssueCard(first.Person, first.Day, morning)
		do(err)
		_, _, err = tx.IssueCard(nine, today, morning)
		do(err)
		do(tx.PutReplan(res.Replan...))
		left := must(tx.Replans())
		require.Contains(t, left, first, "a day with a card is planned again by the bot")
		require.Less(t, len(left), 3, "and no other")
		for _, d := range left {
			do(tx.DropReplan(d))
		}
		require.Empty(t, must(tx.Replans()))
	})
	dry := files()
	dry.Players[0].BodyMass++
	_, err = s.Import(t.Context(), dry, morning, true)
	require.NoError(t, err)
	write(t, s, func(tx *store.Tx) { require.Empty(t, must(tx.Replans()), "a dry run leaves nothing") })

	version := must(s.DataVersion(t.Context()))
	write(t, s, func(tx *store.Tx) {
		do(tx.PutReplan(store.PersonDay{Person: nine, Day: today}, store.PersonDay{Person: nine, Day: today}))
		require.Len(t, must(tx.Replans()), 1)
	})
	require.Equal(t, version, must(s.DataVersion(t.Context())), "its own writing is no news")
	beside := open(t, inDir(dir), func(o *store.Options) { o.Shared = true })
	write(t, beside, func(tx *store.Tx) {
		do(tx.PutNotices(nine, morning, notice(prescribe.NoticePain, prescribe.ForMedical, prescribe.Knee)))
	})
	require.NotEqual(t, version, must(s.DataVersion(t.Context())), "another's is")
	write(t, s, func(tx *store.Tx) {
		ns := must(tx.PendingNotices())
		require.Len(t, ns, 1)
		require.Equal(t, nine, ns[0].Person)
		require.Equal(t, prescribe.Knee, ns[0].Notice.Region)
		do(tx.DropNotice(ns[0].ID))
		require.Empty(t, must(tx.PendingNotices()))
		do(tx.PutNotices(nine, morning, notice(prescribe.NoticePain, prescribe.ForMedical, prescribe.Knee)))
	})
	require.NoError(t, beside.Close())
	require.NoError(t, s.Erase(t.Context(), nine, morning))
	require.Empty(t, query[int64](t, dir, `SELECT person FROM replan UNION ALL SELECT person FROM pending_notice`))
}

// Cards and questions go to those who joined and agree, with a guardian's word
// under 18, and have not left.
func TestMayBeAsked(t *testing.T) {
	s := open(t)
	_, err := s.Import(t.Context(), files(), morning, false)
	require.NoError(t, err)
	grown, young := id(t, s, "9"), id(t, s, "41")
	asked := func(person int64) (yes bool) {
		write(t, s, func(tx *store.Tx) { yes = must(tx.MayBeAsked(person, morning)) })
		return yes
	}
	require.False(t, asked(grown), "not joined")
	joined(t, s, "9", 700001)
	joined(t, s, "41", 700041)
	require.False(t, asked(grown), "not agreed")
	write(t, s, func(tx *store.Tx) {
		do(tx.Consent(grown, "2", "en", morning))
		do(tx.GuardianConsent(young, 0, morning))
	})
	require.True(t, asked(grown))
	require.False(t, asked(young), "a guardian's yes is not the player's")
	write(t, s, func(tx *store.Tx) { do(tx.Consent(young, "2", "en", morning)) })
	require.True(t, asked(young))
	write(t, s, func(tx *store.Tx) { do(tx.WithdrawGuardianConsent(young, 0, morning)) })
	require.False(t, asked(young))
	write(t, s, func(tx *store.Tx) { do(tx.WithdrawConsent(grown, morning)) })
	require.False(t, asked(grown))
	write(t, s, func(tx *store.Tx) {
		do(tx.Consent(grown, "2", "en", morning))
		do(tx.Leave(grown, morning))
	})
	require.False(t, asked(grown))
	require.False(t, asked(987654), "nobody")
}

// A release lifts what its place covers; what only medical staff see counts for
// them alone.
func TestLifting(t *testing.T) {
	held := func(cause string, region prescribe.Region, sign prescribe.Sign) store.Restriction {
		return store.Restriction{HoldView: prescribe.HoldView{Medical: true, Cause: cause, Region: region, Sign: sign}}
	}
	all := []store.Restriction{held("warning", "", prescribe.SignFever), held("pain", prescribe.Knee, ""), held("hold", prescribe.Calf, "")}
	require.Equal(t, store.Lifted{Fever: true, Warning: true, Pain: true}, store.Lifting(all, ""))
	require.Equal(t, store.Lifted{Pain: true}, store.Lifting(all, prescribe.Knee))
	require.Equal(t, store.Lifted{}, store.Lifting(all, prescribe.Calf))
	require.Equal(t, store.Lifted{Warning: true}, store.Lifting([]store.Restriction{held("warning", prescribe.Hamstring, prescribe.SignPop)}, prescribe.Hamstring))
	all[0].AskMedical = true
	require.Equal(t, store.Lifted{Pain: true}, store.Lifting(all, ""))
}

// A coach sees of a warning sign that something is held, and not which sign.
func TestCoachIsToldNoSign(t *testing.T) {
	s := open(t)
	_, err := s.Import(t.Context(), files(), morning, false)
	require.NoError(t, err)
	agreed(t, s)
	nine, coach, doctor := id(t, s, "9"), id(t, s, "sc"), id(t, s, "doc")
	write(t, s, func(tx *store.Tx) {
		must(tx.Record(nine, "m:1", morning, prescribe.Event{At: morning, Warning: &prescribe.Warning{Sign: prescribe.SignFainting}}))
		rs := must(tx.ViewHolds(must(tx.Viewer(coach, today)), nine, today))
		require.Len(t, rs, 1)
		require.True(t, rs[0].AskMedical)
		require.Empty(t, rs[0].Sign)
		rs = must(tx.ViewHolds(must(tx.Viewer(doctor, today)), nine, today))
		require.Equal(t, prescribe.SignFainting, rs[0].Sign)
	})
}

// The telephone number of staff comes with club.toml and goes with it.
func TestStaffPhone(t *testing.T) {
	s := open(t)
	im := files()
	im.Club.Staff[1].Phone = "+44 1632 960101"
	_, err := s.Import(t.Context(), im, morning, false)
	require.NoError(t, err)
	phone := func() (p string) {
		write(t, s, func(tx *store.Tx) { p = must(tx.PersonByKey("doc")).Phone })
		return p
	}
	require.Equal(t, "+44 1632 960101", phone())
	res, err := s.Import(t.Context(), im, morning, false)
	require.NoError(t, err)
	require.Empty(t, res.Changes)
	im.Club.Staff[1].Phone = ""
	res, err = s.Import(t.Context(), im, morning, false)
	require.NoError(t, err)
	require.Len(t, res.Changes, 1)
	require.Contains(t, res.Changes[0].String(), "phone")
	require.Empty(t, phone())
}
