package store_test

import (
	"database/sql"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
	"pegcard/store"
)

func TestCardIsIssuedOnce(t *testing.T) {
	s := open(t)
	_, err := s.Import(t.Context(), files(), morning, false)
	require.NoError(t, err)
	agreed(t, s)
	nine := id(t, s, "9")
	var first store.CardRev
	write(t, s, func(tx *store.Tx) {
		_, ok, err := tx.Card(nine, today)
		do(err)
		require.False(t, ok)

		planned := must(tx.Plan(nine, today))
		var changed bool
		first, changed, err = tx.IssueCard(nine, today, morning)
		do(err)
		require.True(t, changed)
		require.Equal(t, 1, first.Rev)
		require.Equal(t, store.CardDraft, first.State)
		require.Equal(t, text(t, planned), text(t, first.Card))
		require.Equal(t, prescribe.EngineVersion, first.Card.Engine)

		again, changed, err := tx.IssueCard(nine, today, morning+minute)
		do(err)
		require.False(t, changed)
		require.Equal(t, first, again)
	})

	// A stop of everything makes another card, and the first revision stays.
	write(t, s, func(tx *store.Tx) {
		must(tx.Record(nine, "staff:1", morning+hour, prescribe.Event{At: morning + hour, Hold: &prescribe.Hold{ID: "h1", Medical: true, Until: today + 5}}))
		next, changed, err := tx.IssueCard(nine, today, morning+hour)
		do(err)
		require.True(t, changed)
		require.Equal(t, first.ID, next.ID)
		require.Equal(t, 2, next.Rev)
		require.Equal(t, prescribe.CardWithheld, next.Card.Kind)
		require.Equal(t, first.Card, must(tx.CardRevision(first.ID, 1)).Card)
		require.Equal(t, next, must(tx.CardByID(first.ID)))

		// Once started, the card stays as it is, whatever comes.
		do(tx.SetCardState(next.ID, store.CardStarted))
		must(tx.Undo(nine, "staff:1", morning+2*hour))
		kept, changed, err := tx.IssueCard(nine, today, morning+2*hour)
		do(err)
		require.False(t, changed)
		require.Equal(t, 2, kept.Rev)
		require.Error(t, tx.SetCardState(next.ID, "vanished"))
		require.ErrorIs(t, tx.SetCardState(next.ID+100, store.CardSent), store.ErrNotFound)
	})
}

func TestEveryStoredCardIsWorkedOutAgain(t *testing.T) {
	dir := t.TempDir()
	s := open(t, inDir(dir))
	_, err := s.Import(t.Context(), files(), morning, false)
	require.NoError(t, err)
	agreed(t, s)
	people := []int64{id(t, s, "9"), id(t, s, "10"), id(t, s, "41")}
	items := 0
	for d := range prescribe.Day(10) {
		now := morning + prescribe.Instant(d)*day
		write(t, s, func(tx *store.Tx) {
			for _, p := range people {
				c, _, err := tx.IssueCard(p, today+d, now)
				do(err)
				items += len(c.Card.Items)
				must(tx.Record(p, "m:"+(today+d).String(), now, sore(now, prescribe.Hamstring, prescribe.Score(d)), squat(now+hour, 100+prescribe.Kg(d), 5, 1)))
				_, _, err = tx.IssueCard(p, today+d+1, now)
				do(err)
			}
		})
	}
	require.Positive(t, items, "ten days of rest prove nothing")
	r, err := s.Verify(t.Context())
	require.NoError(t, err)
	require.True(t, r.OK(), r)
	require.Equal(t, r.Cards, r.Recomputed)
	require.GreaterOrEqual(t, r.Cards, 33)
	read(t, s, func(tx *store.Tx) {
		c, _, err := tx.Card(people[0], today+3)
		do(err)
		for rev := 1; rev <= c.Rev; rev++ {
			same, stored, now, err := tx.Recompute(c.ID, rev)
			do(err)
			require.True(t, same)
			require.Equal(t, text(t, stored), text(t, now))
		}
		in := must(tx.InputsOf(c.ID, c.Rev))
		require.Equal(t, "Season", in.Programme.Name)
		require.Equal(t, 4.0, in.Rules.Num("pain.stop_above"))
	})

	// The items stand in rows of their own.
	require.Equal(t, []int{items}, query[int](t, dir, `SELECT COUNT(*) FROM card_item i JOIN card_rev r ON r.id = i.card_rev
JOIN (SELECT card, MAX(rev) AS rev FROM card_rev GROUP BY card) l ON l.card = r.card AND l.rev = r.rev
JOIN card c ON c.id = r.card WHERE c.day <= ?`, (today+9).String()))

	// A row that was tampered with is found.
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName))
	require.NoError(t, err)
	defer db.Close()
	_, err = db.Exec(`DROP TRIGGER card_rev_no_update`)
	require.NoError(t, err)
	_, err = db.Exec(`UPDATE card_rev SET content = replace(content, '"rev"', '"rev"'), created_at = created_at + 1 WHERE id = 1`)
	require.NoError(t, err)
	_, err = db.Exec(`UPDATE checkpoint SET state = '{"profile":{}}' WHERE id = (SELECT MAX(id) FROM checkpoint)`)
	require.NoError(t, err)
	r, err = s.Verify(t.Context())
	require.NoError(t, err)
	require.False(t, r.OK())
	require.Len(t, r.Bad, 3, "the schema, a card and a checkpoint: %v", r.Bad)
	require.Len(t, r.Differs, 1, "the state that is read from the checkpoint")
}

func TestSetFindsItsItem(t *testing.T) {
	dir := t.TempDir()
	s := open(t, inDir(dir))
	_, err := s.Import(t.Context(), files(), morning, false)
	require.NoError(t, err)
	agreed(t, s)
	nine := id(t, s, "9")
	found := false
	write(t, s, func(tx *store.Tx) {
		for d := today; d < today+7 && !found; d++ {
			at := morning + prescribe.Instant(d-today)*day
			c, _, err := tx.IssueCard(nine, d, at)
			do(err)
			for _, i := range c.Card.Items {
				must(tx.Record(nine, "m:1", at, prescribe.Event{At: at, Day: d, Set: &prescribe.Set{Exercise: i.Exercise, Load: i.Load, Reps: i.Reps}}))
				found = true
				break
			}
		}
	})
	require.True(t, found, "no card of the week has an item")
	require.Equal(t, []int{1}, query[int](t, dir, `SELECT COUNT(*) FROM set_record s JOIN card_item i ON i.id = s.card_item AND i.exercise = s.exercise`))
}

func TestEditsAreInputs(t *testing.T) {
	s := open(t)
	_, err := s.Import(t.Context(), files(), morning, false)
	require.NoError(t, err)
	agreed(t, s)
	nine, coach := id(t, s, "9"), id(t, s, "sc")
	write(t, s, func(tx *store.Tx) {
		c, _, err := tx.IssueCard(nine, today, morning)
		do(err)
		require.Zero(t, c.Approved)
		hold := prescribe.Edit{At: morning, Kind: prescribe.EditHold, Reason: "travel"}
		approve := prescribe.Edit{At: morning + minute, Kind: prescribe.EditApprove}
		do(tx.AddEdit(c.ID, coach, hold))
		do(tx.AddEdit(c.ID, coach, approve))
		require.Equal(t, []prescribe.Edit{hold, approve}, must(tx.Inputs(nine, today)).Edits)
		require.Empty(t, must(tx.Inputs(nine, today+1)).Edits)
		require.Equal(t, 1, must(tx.CardByID(c.ID)).Approved)
		require.ErrorIs(t, tx.AddEdit(c.ID+100, coach, hold), store.ErrNotFound)
	})
}

func TestOpenCards(t *testing.T) {
	s := withClub(t)
	agreed(t, s)
	nine, ten := id(t, s, "9"), id(t, s, "10")
	write(t, s, func(tx *store.Tx) {
		for i, d := range []prescribe.Day{today - 1, today, today - 2} {
			c, _, err := tx.IssueCard(nine, d, morning)
			do(err)
			do(tx.SetCardState(c.ID, []store.CardState{store.CardSent, store.CardSent, store.CardStarted}[i]))
		}
		c, _, err := tx.IssueCard(ten, today-1, morning)
		do(err)
		do(tx.SetCardState(c.ID, store.CardDone))
		var days []prescribe.Day
		for _, c := range must(tx.OpenCards(today)) {
			days = append(days, c.Day)
			require.Equal(t, nine, c.Person)
		}
		require.Equal(t, []prescribe.Day{today - 2, today - 1}, days)
		first := must(tx.SquadBySlug("first"))
		on := must(tx.CardsOn(first.ID, today-1))
		require.Len(t, on, 2)
		require.Equal(t, []int64{nine, ten}, []int64{on[0].Person, on[1].Person})
		require.Len(t, must(tx.Cards(nine, today-2, today-1)), 2)
	})
}

// The calendar, against a week worked out by hand.
func TestCalendar(t *testing.T) {
	s := open(t)
	im := files()
	im.Fixtures = append(im.Fixtures, store.FixtureRow{At: store.At{File: "in/fixtures.ics"}, UID: "camp", Squad: "first", Summary: "camp",
		Kickoff: (today + 8).Time(), End: (today + 11).Time(), Day: today + 8, Until: today + 10, Travel: true})
	_, err := s.Import(t.Context(), im, morning, false)
	require.NoError(t, err)
	nine, young := id(t, s, "9"), id(t, s, "41")
	write(t, s, func(tx *store.Tx) {
		replan := must(tx.SetAway(nine, store.Away{From: today + 9, Until: today + 9, Place: "home", Equipment: ""}, morning))
		require.NotEmpty(t, replan)
		require.Equal(t, store.PersonDay{Person: nine, Day: today + 2}, replan[0])
		must(tx.SetAway(nine, store.Away{From: today + 15, Until: today + 16, Place: "home", Equipment: ""}, morning))
		must(tx.SetAway(nine, store.Away{From: today + 16, Until: today + 16, Place: "", Equipment: ""}, morning)) // back a day earlier
		_, err := tx.SetAway(nine, store.Away{From: today, Until: today, Place: "hotel", Equipment: "attic"}, morning)
		var p *store.Problem
		require.ErrorAs(t, err, &p)
	})
	read(t, s, func(tx *store.Tx) {
		c := must(tx.Inputs(nine, today)).Calendar
		require.Len(t, c.Days, 36)
		require.Equal(t, today-14, c.Days[0].Day)
		require.Equal(t, today+21, c.Days[35].Day)
		for i, d := range c.Days {
			require.Equal(t, today-14+prescribe.Day(i), d.Day)
			require.Equal(t, prescribe.InSeason, d.Phase)
			require.Equal(t, d.Day.Weekday() == time.Sunday, d.Off)
			require.Equal(t, d.Day.Weekday() == time.Tuesday || d.Day.Weekday() == time.Thursday, d.Pitch)
			// Dublin is on UTC in winter, so 10:30 there is 10:30 UTC.
			require.Equal(t, prescribe.InstantOf(d.Day.Time().Add(10*time.Hour+30*time.Minute)), d.Start)
			require.Contains(t, c.Settings, d.Setting)
		}
		at := func(d prescribe.Day) string { return c.Days[d-today+14].Setting }
		require.Equal(t, "main", at(today))
		require.Equal(t, "hotel:hotel", at(today+8))
		require.Equal(t, "home:floor", at(today+9), "his own absence wins over the squad's trip")
		require.Equal(t, "hotel:hotel", at(today+10))
		require.Equal(t, "main", at(today+11))
		require.Equal(t, "home:floor", at(today+15))
		require.Equal(t, "main", at(today+16))
		require.True(t, c.Settings["main"].Supervised)
		require.Equal(t, prescribe.Setting{Place: "hotel", Equipment: prescribe.Equipment{Dumbbells: []prescribe.Kg{10}}}, c.Settings["hotel:hotel"])
		require.Equal(t, prescribe.Setting{Place: "home"}, c.Settings["home:floor"])
		require.Len(t, c.Matches, 2, "a trip is no match")
		require.Equal(t, []prescribe.Day{today - 4, today + 3}, []prescribe.Day{c.Matches[0].Day, c.Matches[1].Day})

		// Azores: UTC-1 in winter, UTC from 29 March 2026, when the European
		// Union's clocks go forward.
		c = must(tx.Inputs(young, prescribe.Date(2026, 3, 28))).Calendar
		for _, d := range c.Days {
			want := d.Day.Time().Add(11*time.Hour + 30*time.Minute)
			if d.Day >= prescribe.Date(2026, 3, 29) {
				want = want.Add(-time.Hour)
			}
			require.Equal(t, prescribe.InstantOf(want), d.Start, d.Day)
		}
		require.Empty(t, c.Matches)
		require.Equal(t, 1.0, must(tx.Inputs(young, today)).Rules.Num("place.md1_option"))
		require.Equal(t, 0.0, must(tx.Inputs(nine, today)).Rules.Num("place.md1_option"))
	})
}

// Equipment that changes keeps what it was on the days before.
func TestGymIsDated(t *testing.T) {
	s := withClub(t)
	agreed(t, s)
	im := club()
	im.Club.Gyms[0].Setting.Equipment.Bars = nil
	_, err := s.Import(t.Context(), im, morning, false)
	require.NoError(t, err)
	nine := id(t, s, "9")
	read(t, s, func(tx *store.Tx) {
		c := must(tx.Inputs(nine, today)).Calendar
		bars := func(d prescribe.Day) int { return len(c.Settings[c.Days[d-today+14].Setting].Equipment.Bars) }
		require.Equal(t, 2, bars(today-1))
		require.Equal(t, 0, bars(today))
	})
}

func TestZoneIsDated(t *testing.T) {
	s := withClub(t)
	agreed(t, s)
	nine := id(t, s, "9")
	write(t, s, func(tx *store.Tx) {
		do(tx.SetZone(nine, "America/New_York", today+2))
		require.Equal(t, "Europe/Dublin", must(tx.ZoneOn(nine, today+1)))
		require.Equal(t, "America/New_York", must(tx.ZoneOn(nine, today+2)))
		do(tx.SetZone(nine, "", today+4))
		require.Equal(t, "Europe/Dublin", must(tx.ZoneOn(nine, today+4)))
		require.Error(t, tx.SetZone(nine, "Mars/Base", today))
		c := must(tx.Calendar(nine, today+1, today+2))
		require.Equal(t, 24+5, int(c.Days[1].Start-c.Days[0].Start)/int(hour))
	})
}
