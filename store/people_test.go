package store_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
	"pegcard/store"
)

func keys(ps []store.Person) (out []string) {
	for _, p := range ps {
		out = append(out, p.Key)
	}
	return out
}

func TestPeople(t *testing.T) {
	s := withClub(t)
	read(t, s, func(tx *store.Tx) {
		require.Equal(t, store.Club{Name: "Brackwater Rovers", Zone: "Europe/Dublin", Language: "en", Emergency: "112"}, must(tx.Club()))
		first, academy := must(tx.SquadBySlug("first")), must(tx.SquadBySlug("academy"))
		require.Equal(t, "Europe/Dublin", first.Zone)
		require.Equal(t, "Atlantic/Azores", academy.Zone)
		want := club().Club.Squads[0]
		want.Zone = "Europe/Dublin"
		require.Equal(t, want, first.SquadDef)
		require.Equal(t, first, must(tx.Squad(first.ID)))
		require.Equal(t, []store.Squad{academy, first}, must(tx.Squads()))

		require.Equal(t, []string{"9", "10"}, keys(must(tx.Members(first.ID, today))))
		require.Empty(t, must(tx.Members(first.ID, prescribe.Date(2025, 6, 30))))
		require.Equal(t, []string{"doc", "phys"}, keys(must(tx.Staff(first.ID, store.RoleMedical, today))))
		require.Equal(t, []string{"doc"}, keys(must(tx.Staff(academy.ID, store.RoleMedical, today))))

		ten := must(tx.PersonByKey("10"))
		require.Equal(t, "Europe/Madrid", ten.Zone)
		require.Equal(t, "en", ten.Language)
		young := must(tx.PersonByKey("41"))
		require.Equal(t, "pt", young.Language)
		require.Equal(t, "Atlantic/Azores", young.Zone)
		require.Equal(t, young, must(tx.Person(young.ID)))
		require.NotEqual(t, ten.Pseudo, young.Pseudo)
		_, err := tx.PersonByUser(7)
		require.ErrorIs(t, err, store.ErrNotFound)

		require.Equal(t, []store.RoleAt{{Role: store.RolePlayer, Squad: first.ID}}, must(tx.Roles(ten.ID, today)))
		require.Equal(t, []store.RoleAt{{Role: store.RoleCoach, Squad: first.ID}, {Role: store.RoleCoach, Squad: academy.ID}},
			must(tx.Roles(must(tx.PersonByKey("sc")).ID, today)))
	})
}

func TestAge(t *testing.T) {
	s := withClub(t)
	young, doc := id(t, s, "41"), id(t, s, "doc") // born 9 September 2009
	read(t, s, func(tx *store.Tx) {
		for d, want := range map[prescribe.Day]int{
			prescribe.Date(2027, 9, 8): 17, prescribe.Date(2027, 9, 9): 18, prescribe.Date(2027, 12, 31): 18, prescribe.Date(2028, 1, 1): 18,
		} {
			n, ok, err := tx.Age(young, d)
			do(err)
			require.True(t, ok)
			require.Equal(t, want, n, d)
		}
		_, ok, err := tx.Age(doc, today)
		do(err)
		require.False(t, ok)
	})
}

func TestJoining(t *testing.T) {
	s := withClub(t)
	nine, ten, adm := id(t, s, "9"), id(t, s, "10"), id(t, s, "adm")
	var code string
	write(t, s, func(tx *store.Tx) {
		code = must(tx.Invite(nine, adm, morning, morning+day))
		require.Regexp(t, `^[A-Za-z0-9_-]{20,64}$`, code)
		p, err := tx.Invitation(code, morning)
		do(err)
		require.Equal(t, nine, p.ID)
		_, err = tx.Invitation("nonsense", morning)
		require.ErrorIs(t, err, store.ErrInvitationUnknown)
		_, err = tx.Join(code, 700, 700, morning+day)
		require.ErrorIs(t, err, store.ErrInvitationExpired)
	})
	write(t, s, func(tx *store.Tx) {
		p, err := tx.Join(code, 700, 701, morning+hour)
		do(err)
		require.Equal(t, nine, p.ID)
		require.Equal(t, int64(701), p.Chat)
		require.True(t, p.Reachable)
		require.Equal(t, nine, must(tx.PersonByUser(700)).ID)
		_, err = tx.Join(code, 800, 800, morning+hour)
		require.ErrorIs(t, err, store.ErrInvitationUsed)

		// Somebody else's account; then a second invitation makes the first lapse.
		old := must(tx.Invite(ten, adm, morning, morning+day))
		_, err = tx.Join(old, 700, 701, morning+hour)
		var p2 *store.Problem
		require.ErrorAs(t, err, &p2)
		must(tx.Invite(ten, adm, morning+hour, morning+day))
		_, err = tx.Join(old, 900, 900, morning+hour)
		require.ErrorIs(t, err, store.ErrInvitationExpired)

		require.False(t, must(tx.Consented(nine)))
		do(tx.Consent(nine, "1", "en", morning))
		require.True(t, must(tx.Consented(nine)))
		do(tx.WithdrawConsent(nine, morning+hour))
		require.False(t, must(tx.Consented(nine)))
		do(tx.WithdrawConsent(ten, morning)) // never given: nothing to withdraw
		require.False(t, must(tx.Consented(ten)))

		do(tx.SetReachable(701, false))
		require.False(t, must(tx.Person(nine)).Reachable)
		do(tx.SetLanguage(nine, "de"))
		require.Equal(t, "de", must(tx.Person(nine)).Language)
		do(tx.SetChat(701, 702))
		require.Equal(t, int64(702), must(tx.Person(nine)).Chat)

		do(tx.Leave(nine, morning))
		require.True(t, must(tx.Person(nine)).Left)
		_, err = tx.PersonByUser(700)
		require.ErrorIs(t, err, store.ErrNotFound)
		require.Equal(t, []string{"10"}, keys(must(tx.Members(must(tx.SquadBySlug("first")).ID, today))))
	})
}

func TestAnUnder18WaitsForTheGuardian(t *testing.T) {
	s := withClub(t)
	young, nine, sc := joined(t, s, "41", 741), id(t, s, "9"), id(t, s, "sc")
	due := func(tx *store.Tx) bool { return must(tx.DueInputs(morning)).Squads[0].Players[0].Consented }
	write(t, s, func(tx *store.Tx) {
		require.False(t, must(tx.GuardianMissing(nine, morning)))
		require.True(t, must(tx.GuardianMissing(young, morning)))
		require.ErrorIs(t, tx.Consent(young, "1", "pt", morning), store.ErrNotAllowed)
		do(tx.GuardianConsent(young, sc, morning))
		require.False(t, must(tx.Consented(young)), "a guardian's word is not the player's")
		do(tx.Consent(young, "1", "pt", morning))
		require.True(t, due(tx))
		do(tx.WithdrawGuardianConsent(young, sc, morning))
		require.False(t, due(tx))
		grown := prescribe.InstantOf(prescribe.Date(2027, 9, 9).Time()) + 12*hour
		require.False(t, must(tx.GuardianMissing(young, grown)))
	})
}

func TestInvitationsAreNotGuessable(t *testing.T) {
	seed := make([]byte, 4096)
	for i := range seed {
		seed[i] = byte(i * i >> 3)
	}
	dir := t.TempDir()
	s := withClub(t, inDir(dir), func(o *store.Options) { o.Rand = bytes.NewReader(seed) })
	nine := id(t, s, "9")
	var given string
	write(t, s, func(tx *store.Tx) {
		code := must(tx.Invite(nine, 0, morning, morning+day))
		require.Len(t, code, 24) // 144 bits
		given = code
	})
	require.NotContains(t, dump(t, dir), given, "only the hash of a code is kept")
}

func TestDialog(t *testing.T) {
	s := open(t)
	write(t, s, func(tx *store.Tx) {
		_, ok, err := tx.Dialog(7)
		do(err)
		require.False(t, ok)
		for _, kind := range []string{"rpe", "pain"} {
			d := store.Dialog{Chat: 7, Kind: kind, Args: []byte(`{"a":1}`), Card: 3, Asked: morning}
			do(tx.PutDialog(d))
			got, ok, err := tx.Dialog(7)
			do(err)
			require.True(t, ok)
			require.Equal(t, d, got)
		}
		do(tx.ClearDialog(7))
		_, ok, err = tx.Dialog(7)
		do(err)
		require.False(t, ok)
	})
}

func viewer(t *testing.T, s *store.Store, key string) (v store.Viewer) {
	t.Helper()
	n := id(t, s, key)
	read(t, s, func(tx *store.Tx) { v = must(tx.Viewer(n, today)) })
	return v
}

func TestWhoFindsWhom(t *testing.T) {
	s := withClub(t)
	for key, want := range map[string][]string{
		"sc": {"9", "10", "41"}, "doc": {"9", "10", "41"}, "phys": {"9", "10"}, "head": {"9", "10", "41"},
		"adm": {"9", "10", "41"}, "safe": {"41"}, "9": nil,
	} {
		v := viewer(t, s, key)
		read(t, s, func(tx *store.Tx) { require.Equal(t, want, keys(must(tx.FindPlayers(v, "", today))), key) })
	}
	v := viewer(t, s, "sc")
	read(t, s, func(tx *store.Tx) {
		for query, want := range map[string][]string{
			"1": {"10"}, "9": {"9"}, "wind": {"9"}, "IVO": {"10"}, "  cap ": {"41"}, "indlass": nil, "zzz": nil, "4": {"41"},
		} {
			require.Equal(t, want, keys(must(tx.FindPlayers(v, query, today))), query)
		}
	})
}

// Who is shown what: a table of the club's rules, not of the code's.
func TestViewers(t *testing.T) {
	s := withClub(t)
	agreed(t, s)
	nine, young := id(t, s, "9"), id(t, s, "41")
	coachHold := prescribe.Event{At: morning, Hold: &prescribe.Hold{ID: "c", Region: prescribe.Shoulder}}
	medicalHold := prescribe.Event{At: morning, Hold: &prescribe.Hold{ID: "m", Medical: true, Region: prescribe.Ankle, Until: today + 5}}
	write(t, s, func(tx *store.Tx) {
		for _, p := range []int64{nine, young} {
			must(tx.Record(p, "m:1", morning,
				pain(morning, prescribe.Knee, 7), sore(morning, prescribe.Calf, 8), squat(morning, 100, 5, 1), coachHold, medicalHold,
				prescribe.Event{At: morning, Warning: &prescribe.Warning{Sign: prescribe.SignPop}},
				prescribe.Event{At: morning, Session: &prescribe.Session{Template: "main-a", Outcome: prescribe.NotDone, Reason: prescribe.AbsentPain}}))
			_, _, err := tx.IssueCard(p, today, morning)
			do(err)
		}
	})
	kindsSeen := func(es []prescribe.Event) string {
		out := ""
		for _, e := range es {
			switch {
			case e.Pain != nil:
				out += "pain "
			case e.Warning != nil:
				out += "warning "
			case e.Soreness != nil:
				out += "soreness "
			case e.Set != nil:
				out += "set "
			case e.Hold != nil && e.Hold.Medical:
				out += "medical-hold "
			case e.Hold != nil:
				out += "hold "
			case e.Session != nil:
				out += "session:" + string(e.Session.Reason) + " "
			}
		}
		return out
	}
	all := "pain soreness set hold medical-hold warning session:pain "
	for _, c := range []struct {
		who      string
		player   int64
		events   string // "-": not found
		audience prescribe.Audience
	}{
		{"doc", nine, all, prescribe.ForMedical},
		{"phys", nine, all, prescribe.ForMedical},
		{"phys", young, "-", 0}, // another squad
		{"9", nine, all, prescribe.ForPlayer},
		{"10", nine, "-", 0}, // another player
		{"sc", nine, "soreness set hold session:other ", prescribe.ForCoach},
		{"sc", young, "set hold session:other ", prescribe.ForCoach},
		{"head", nine, "-", prescribe.ForHeadCoach},
		{"safe", young, "-", prescribe.ForSafeguarding},
		{"safe", nine, "-", 0}, // of age
		{"adm", nine, "-", 0},
	} {
		v := viewer(t, s, c.who)
		write(t, s, func(tx *store.Tx) {
			a, err := tx.Sees(v, c.player, today)
			if c.audience == 0 {
				require.ErrorIs(t, err, store.ErrNotFound, c)
				_, err = tx.ViewCard(v, c.player, today)
				require.ErrorIs(t, err, store.ErrNotFound, c)
				_, err = tx.ViewHolds(v, c.player, today)
				require.ErrorIs(t, err, store.ErrNotFound, c)
			} else {
				do(err)
				require.Equal(t, c.audience, a, c)
			}
			es, err := tx.ViewEvents(v, c.player, today, today, morning)
			if c.events == "-" {
				require.ErrorIs(t, err, store.ErrNotFound, c)
				return
			}
			do(err)
			require.Equal(t, c.events, kindsSeen(es), c)
		})
	}

	read(t, s, func(tx *store.Tx) {
		medical := must(tx.ViewHolds(viewer(t, s, "doc"), nine, today))
		coach := must(tx.ViewHolds(viewer(t, s, "sc"), nine, today))
		head := must(tx.ViewHolds(viewer(t, s, "head"), nine, today))
		require.NotEmpty(t, medical)
		require.Len(t, coach, len(medical))
		require.Len(t, head, len(medical))
		own, asked := 0, 0
		for i := range medical {
			require.False(t, medical[i].AskMedical)
			if coach[i].AskMedical {
				asked++
				require.Empty(t, coach[i].Cause, "a coach learns that medical staff are to be asked, not why")
				require.Empty(t, coach[i].ID)
			} else {
				own++
				require.Equal(t, "c", coach[i].ID)
			}
			require.Empty(t, head[i].Region)
			require.Zero(t, head[i].MaxLoad)
		}
		require.Equal(t, 1, own)
		require.Positive(t, asked)

		for _, who := range []string{"sc", "head"} {
			c := must(tx.ViewCard(viewer(t, s, who), nine, today))
			require.Empty(t, c.Card.AskPain, who)
			a, err := tx.Sees(viewer(t, s, who), nine, today)
			do(err)
			for _, r := range c.Card.Reasons {
				require.NotZero(t, r.See&a, "%s is shown %v", who, r)
			}
		}
	})
}

// Reading another's health data leaves a trace, by pseudonym.
func TestReadingHealthDataIsAudited(t *testing.T) {
	dir := t.TempDir()
	s := withClub(t, inDir(dir))
	agreed(t, s)
	nine := id(t, s, "9")
	write(t, s, func(tx *store.Tx) { must(tx.Record(nine, "m:1", morning, pain(morning, prescribe.Knee, 4))) })
	count := func() int {
		return query[int](t, dir, `SELECT COUNT(*) FROM audit a JOIN person p ON p.pseudo = a.target AND p.key = '9'
JOIN person q ON q.pseudo = a.actor AND q.key = 'doc' WHERE a.action = 'read'`)[0]
	}
	require.Equal(t, 0, count())
	v := viewer(t, s, "doc")
	write(t, s, func(tx *store.Tx) { must(tx.ViewEvents(v, nine, today, today, morning)) })
	require.Equal(t, 1, count())
	err := s.Read(t.Context(), func(tx *store.Tx) error { _, err := tx.ViewEvents(v, nine, today, today, morning); return err })
	require.Error(t, err, "read without a trace")
	for _, row := range query[string](t, dir, `SELECT actor || target || action || detail FROM audit`) {
		require.NotContains(t, row, "Windlass")
		require.NotContains(t, row, "Quay")
	}
}

func TestSafeguardingSeesTheTraffic(t *testing.T) {
	s := withClub(t)
	agreed(t, s)
	young, nine := id(t, s, "41"), id(t, s, "9")
	write(t, s, func(tx *store.Tx) {
		for _, p := range []int64{young, nine} {
			out, _, err := tx.Enqueue(store.Out{Kind: "card", Recipient: p, Chat: 40 + p})
			do(err)
			do(tx.OutSent(out, 40+p, 5, morning))
			must(tx.Record(p, "msg:40:1", morning+hour, pain(morning, prescribe.Knee, 9)))
		}
	})
	v := viewer(t, s, "safe")
	read(t, s, func(tx *store.Tx) {
		require.Equal(t, []store.ChatEntry{{At: morning, Kind: "card", ToThem: true}, {At: morning + hour, Kind: "answer"}},
			must(tx.ViewChat(v, young, morning, morning+day, today)))
		_, err := tx.ViewChat(v, nine, morning, morning+day, today)
		require.ErrorIs(t, err, store.ErrNotFound)
		_, err = tx.ViewChat(viewer(t, s, "sc"), young, morning, morning+day, today)
		require.ErrorIs(t, err, store.ErrNotFound)
	})
}

// What DueInputs asks of all players at once is what is asked of each.
func TestDueInputsAgreeWithEachPlayer(t *testing.T) {
	s := withClub(t)
	adult, minor := id(t, s, "9"), id(t, s, "41")
	check := func(asked ...int64) {
		t.Helper()
		read(t, s, func(tx *store.Tx) {
			var yes []int64
			for _, sq := range must(tx.DueInputs(morning)).Squads {
				var members, due []int64
				for _, p := range must(tx.Members(sq.Squad.ID, today)) {
					members = append(members, p.ID)
				}
				for _, p := range sq.Players {
					due = append(due, p.Person)
					require.Equal(t, must(tx.MayBeAsked(p.Person, morning)), p.Consented)
					require.Equal(t, must(tx.ZoneOn(p.Person, today)), p.Zone)
					if p.Consented {
						yes = append(yes, p.Person)
					}
				}
				require.Equal(t, members, due, sq.Squad.Slug)
			}
			require.ElementsMatch(t, asked, yes)
		})
	}
	check()
	for i, p := range []int64{adult, minor} {
		write(t, s, func(tx *store.Tx) {
			_, err := tx.Join(must(tx.Invite(p, 0, morning, morning+day)), int64(700+i), int64(700+i), morning)
			do(err)
		})
	}
	check()
	write(t, s, func(tx *store.Tx) {
		do(tx.Consent(adult, "1", "en", morning))
		do(tx.GuardianConsent(minor, 0, morning))
		do(tx.SetZone(adult, "Pacific/Kiritimati", today))
	})
	check(adult)
	write(t, s, func(tx *store.Tx) { do(tx.Consent(minor, "1", "en", morning)) })
	check(adult, minor)
	write(t, s, func(tx *store.Tx) { do(tx.WithdrawGuardianConsent(minor, 0, morning)) })
	check(adult)
	write(t, s, func(tx *store.Tx) { do(tx.GuardianConsent(minor, 0, morning)) })
	write(t, s, func(tx *store.Tx) { do(tx.WithdrawConsent(adult, morning)) })
	check(minor)
}

func TestDueInputs(t *testing.T) {
	s := withClub(t)
	nine := id(t, s, "9")
	write(t, s, func(tx *store.Tx) {
		_, err := tx.Join(must(tx.Invite(nine, 0, morning, morning+day)), 700, 700, morning)
		do(err)
		do(tx.Consent(nine, "1", "en", morning))
		for _, d := range []prescribe.Day{today - 5, today, today + 1} {
			c, _, err := tx.IssueCard(nine, d, morning)
			do(err)
			if d <= today {
				do(tx.SetCardState(c.ID, store.CardSent))
			}
		}
	})
	for _, k := range []string{"due/card/1", "other"} {
		_, err := s.Once(t.Context(), k, morning, func(*store.Tx) error { return nil })
		require.NoError(t, err)
	}
	_, err := s.Once(t.Context(), "due/old", morning-10*day, func(*store.Tx) error { return nil })
	require.NoError(t, err)
	read(t, s, func(tx *store.Tx) {
		in := must(tx.DueInputs(morning))
		require.Equal(t, map[string]bool{"due/card/1": true}, in.Done)
		require.Len(t, in.Squads, 2)
		first := in.Squads[1]
		require.Equal(t, "first", first.Squad.Slug)
		require.Len(t, first.Players, 2)
		p := first.Players[0]
		require.Equal(t, nine, p.Person)
		require.Equal(t, "Europe/Dublin", p.Zone)
		require.True(t, p.Joined && p.Consented && p.Reachable)
		require.Len(t, p.Cards, 1, "what waits for an answer, of the last days")
		require.Equal(t, today, p.Cards[0].Day)
		require.Equal(t, store.CardSent, p.Cards[0].State)
		require.Equal(t, "Europe/Madrid", first.Players[1].Zone)
		require.False(t, first.Players[1].Joined)
		require.Len(t, first.Staff, 6)
		require.Equal(t, store.DueStaff{Person: must(tx.PersonByKey("phys")).ID, Role: store.RoleMedical, Zone: "Europe/Dublin", Order: 2, Reachable: true}, first.Staff[3])
	})
}
