package clubfile

import (
	"io"

	"pegcard/store"
)

type minutesLine struct {
	Player  string `csv:"player"`
	Date    string `csv:"date"`
	Minutes string `csv:"minutes"`
}

// maxMinutes is extra time and all of its stoppages.
const maxMinutes = 150

// ReadMinutes reads minutes.csv. name is how the file is called in problems.
func ReadMinutes(r io.Reader, name string, o Options) ([]store.MinutesRow, []*Problem) {
	ps := &problems{file: name}
	t := openTable[minutesLine](r, ps, "player", "date", "minutes")
	if t == nil {
		return nil, ps.sorted()
	}
	var rows []store.MinutesRow
	lineOf := map[string]int{}
	t.each(func(l minutesLine, at store.At) {
		row := store.MinutesRow{At: at, Player: l.Player}
		if l.Player == "" {
			t.missing("player", "write the player's key from players.csv")
		} else if f := keyFault(l.Player); f != nil {
			t.wrong("player", f)
		}
		var f *fault
		if l.Date == "" {
			t.missing("date", "write the day of the match")
		} else if row.Day, f = day(l.Date); f != nil {
			t.wrong("date", f)
		} else if row.Day > o.today() {
			t.wrong("date", wrong("write minutes after the match", "%s has not come yet", l.Date))
		} else if first, twice := lineOf[l.Player+" "+row.Day.String()]; twice {
			t.wrong("date", wrong("keep one of the two rows", "player %s has minutes on %s already in line %d", l.Player, row.Day, first))
		} else {
			lineOf[l.Player+" "+row.Day.String()] = at.Line
		}
		if l.Minutes == "" {
			t.missing("minutes", "write 0 for a player who did not play, or leave the row out")
		} else if row.Minutes, f = integer(l.Minutes, 0, maxMinutes, " minutes"); f != nil {
			t.wrong("minutes", f)
		}
		rows = append(rows, row)
	})
	return rows, ps.sorted()
}
