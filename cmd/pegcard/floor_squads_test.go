package main

import (
	"database/sql"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
)

// Fifty squads of one club have their morning at the same minute, and one of
// them has a player whose card cannot be worked out. Everybody else's must be
// on its way within the tick, which is a minute: no squad delays another.
func BenchmarkFloorSquads(b *testing.B) {
	const squads = 50
	dir := bigClub(b, squads*squadSize)
	at := morningOf(b)
	day := prescribe.DayOf(at).String()
	var alone, together time.Duration
	for b.Loop() {
		b.StopTimer()
		mine := cloneData(b, dir)
		bt, st := quietBot(b, mine, at.Add(-time.Minute))
		require.NoError(b, bt.Tick(b.Context()))
		require.NoError(b, st.Close())
		db := rawDB(b, mine)
		breakPlayer(b, db)
		require.NoError(b, db.Close())
		bt, st = quietBot(b, mine, at)
		b.StartTimer()
		began := time.Now()
		err := bt.Tick(b.Context())
		together += time.Since(began)
		b.StopTimer()
		require.Error(b, err, "the broken player's card")
		require.NoError(b, st.Close())
		db = rawDB(b, mine)
		require.EqualValues(b, squads*squadSize-1, readTable(b, db, `SELECT COUNT(*) FROM card WHERE day = ?`, day).rows[0][0])
		require.NoError(b, db.Close())

		bt, st = quietBot(b, cloneData(b, bigClub(b, squadSize)), at)
		began = time.Now()
		require.NoError(b, bt.Tick(b.Context()))
		alone += time.Since(began)
		require.NoError(b, st.Close())
		b.StartTimer()
	}
	b.ReportMetric(together.Seconds()/float64(b.N)/60, "ticks")
	b.ReportMetric(together.Seconds()/alone.Seconds()/squads, "x-floor")
}

// breakPlayer spoils the state of one player of the first squad.
func breakPlayer(b *testing.B, db *sql.DB) {
	b.Helper()
	r, err := db.Exec(fmt.Sprintf(`UPDATE checkpoint SET state = '{' WHERE person = %d`, 7))
	require.NoError(b, err)
	n, err := r.RowsAffected()
	require.NoError(b, err)
	require.NotZero(b, n)
}
