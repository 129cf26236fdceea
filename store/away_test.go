package store_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
	"pegcard/store"
)

// A time away moves the player's days and mornings to the zone there and back;
// an early return ends both.
func TestAwayInAnotherZone(t *testing.T) {
	s := open(t)
	_, err := s.Import(t.Context(), files(), morning, false)
	require.NoError(t, err)
	p := id(t, s, "9")
	var home string
	write(t, s, func(tx *store.Tx) {
		home = must(tx.ZoneOn(p, today))
		must(tx.SetAway(p, store.Away{From: today + 2, Until: today + 6, Place: "hotel", Equipment: "hotel", Zone: "Asia/Tokyo"}, morning))
		must(tx.SetAway(p, store.Away{From: today + 5, Until: today + 120}, morning)) // back early
		_, err := tx.SetAway(p, store.Away{From: today, Until: today, Place: "home", Zone: "Mars/Base"}, morning)
		var problem *store.Problem
		require.ErrorAs(t, err, &problem)
	})
	tokyo, err := store.Zone("Asia/Tokyo")
	require.NoError(t, err)
	read(t, s, func(tx *store.Tx) {
		c := must(tx.Inputs(p, today)).Calendar
		for _, day := range c.Days {
			away := day.Day >= today+2 && day.Day < today+5
			zone := must(tx.ZoneOn(p, day.Day))
			a, ok, err := tx.AwayOn(p, day.Day)
			require.NoError(t, err)
			require.Equal(t, away, ok, day.Day.String())
			if away {
				require.Equal(t, "Asia/Tokyo", zone)
				require.Equal(t, store.Away{From: today + 2, Until: today + 6, Place: "hotel", Equipment: "hotel", Zone: "Asia/Tokyo"}, a)
				require.Equal(t, day.Day, prescribe.DayOf(day.Start.Time().In(tokyo)))
				require.Contains(t, day.Setting, "hotel:")
			} else {
				require.Equal(t, home, zone, day.Day.String())
			}
		}
		person := must(tx.Person(p))
		require.Equal(t, home, person.Zone, "the usual zone")
		due := must(tx.DueInputs(prescribe.InstantOf((today + 2).Time().Add(12 * time.Hour))))
		for _, q := range due.Squads[0].Players {
			if q.Person == p {
				require.Equal(t, "Asia/Tokyo", q.Zone)
				require.Equal(t, map[prescribe.Day]string{today + 1: home}, q.Zones)
			}
		}
	})
}

func TestPause(t *testing.T) {
	s := open(t)
	_, err := s.Import(t.Context(), files(), morning, false)
	require.NoError(t, err)
	p := id(t, s, "9")
	paused := func() (days []prescribe.Day) {
		read(t, s, func(tx *store.Tx) {
			for d := today - 1; d <= today+4; d++ {
				from, _, ok, err := tx.Pause(p, d)
				require.NoError(t, err)
				if ok && from <= d {
					days = append(days, d)
				}
			}
			var due []prescribe.Day
			for _, q := range must(tx.DueInputs(morning)).Squads[0].Players {
				for d := today - 1; d <= today+2; d++ {
					if q.Person == p && q.Paused[d] {
						due = append(due, d)
					}
				}
			}
			for _, d := range due {
				require.Contains(t, days, d)
			}
		})
		return days
	}
	require.Empty(t, paused())
	write(t, s, func(tx *store.Tx) { require.NoError(t, tx.SetPause(p, today+1, today+3, morning)) })
	require.Equal(t, []prescribe.Day{today + 1, today + 2, today + 3}, paused())
	write(t, s, func(tx *store.Tx) {
		require.NoError(t, tx.SetPause(p, today, today-1, morning))
		var problem *store.Problem
		require.ErrorAs(t, tx.SetPause(p, today, today+28, morning), &problem)
	})
	require.Empty(t, paused(), "ended")
}
