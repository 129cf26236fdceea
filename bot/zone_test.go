package bot

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/store"
)

// Towns and offsets are those of the IANA time zone database.
func TestReadZone(t *testing.T) {
	home, err := store.Zone("Europe/London")
	require.NoError(t, err)
	winter := time.Date(2026, 1, 10, 12, 0, 0, 0, time.UTC)
	summer := time.Date(2026, 6, 10, 12, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		text string
		now  time.Time
		want string
		ok   bool
	}{
		{"Lisbon", winter, "Europe/Lisbon", true},
		{"  new york ", winter, "America/New_York", true},
		{"SÃO PAULO", winter, "America/Sao_Paulo", true},
		{"dar es salaam", winter, "Africa/Dar_es_Salaam", true},
		{"Port of Spain", winter, "America/Port_of_Spain", true},
		{"Buenos Aires", winter, "America/Buenos_Aires", true},
		{"London", summer, "", true},
		{"Rovers Town", winter, "", false},
		{"Local", winter, "", false},
		{"../passwd", winter, "", false},
		{"القاهرة", winter, "", false},
		{"12:00", winter, "", true},          // as at home
		{"13:00", summer, "", true},          // home is an hour ahead in summer
		{"14:03", winter, "Etc/GMT-2", true}, // clocks are read roughly
		{"7.05", winter, "Etc/GMT+5", true},
		{"7h", winter, "", false}, // no minutes: too little to go by
		{"4 pm", winter, "Etc/GMT-4", true},
		{"12:15 a.m.", winter, "", false}, // no zone shows that
		{"17:30", winter, "Asia/Kolkata", true},
		{"١٥:٠٠", winter, "Etc/GMT-3", true},
		{"01:00", winter, "Etc/GMT+11", true},
		{"12:00", summer, "Etc/GMT", true},
		{"25:00", winter, "", false},
		{"13 pm", winter, "", false},
		{"7", winter, "", false},
		{"", winter, "", false},
	} {
		zone, ok := readZone(c.text, c.now, home)
		require.Equal(t, c.ok, ok, "%q", c.text)
		require.Equal(t, c.want, zone, "%q", c.text)
		if zone != "" {
			_, err := store.Zone(zone)
			require.NoError(t, err)
		}
	}
	// What the clocks show is what the zone shows, at every quarter of an hour.
	for minutes := 0; minutes < 24*60; minutes += 15 {
		zone, ok := zoneShowing(minutes, winter, home)
		if !ok || zone == "" {
			continue
		}
		loc, err := store.Zone(zone)
		require.NoError(t, err)
		at := winter.In(loc)
		require.Equal(t, minutes, at.Hour()*60+at.Minute(), zone)
	}
}
