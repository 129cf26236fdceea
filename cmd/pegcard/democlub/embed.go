// Package democlub is an invented club, Brackwater Rovers, in the files that
// any club would bring. Nobody and nothing in it is real.
package democlub

import (
	"embed"
	"time"
	_ "time/tzdata" // the demo begins at the same instant on every machine
)

// Files holds the club's files at its top.
//
//go:embed club.toml programme.toml players.csv tests.csv minutes.csv fixtures.ics
var Files embed.FS

// Zone is where the club is.
const Zone = "Europe/London"

// Start is the civil instant at which the demo begins: Tuesday 2026-03-10,
// 07:20, four days before a match.
func Start() time.Time {
	loc, err := time.LoadLocation(Zone)
	if err != nil {
		panic(err) // the zones are built in
	}
	return time.Date(2026, time.March, 10, 7, 20, 0, 0, loc)
}
