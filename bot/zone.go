package bot

import (
	"regexp"
	"strconv"
	"strings"
	"time"
	"unicode"

	"pegcard/bot/understand"
	"pegcard/store"
)

// The time zone of somebody away is read from the name of a town that the time
// zone database has, or from what the clocks show there now. A town it does not
// have is not guessed: the time is asked for.

// zoneAreas are the areas of the IANA time zone database with towns in them.
var zoneAreas = []string{"Europe", "America", "Africa", "Asia", "Australia", "Pacific", "Atlantic", "Indian",
	"America/Argentina", "America/Indiana", "America/Kentucky", "America/North_Dakota"}

// oddZones are zones whose clocks are not whole hours from UTC, by minutes. None
// of them but the last three changes its clocks.
var oddZones = map[int]string{
	210: "Asia/Tehran", 270: "Asia/Kabul", 330: "Asia/Kolkata", 345: "Asia/Kathmandu", 390: "Asia/Yangon", 525: "Australia/Eucla",
	570: "Australia/Darwin", -570: "Pacific/Marquesas", 630: "Australia/Adelaide", 765: "Pacific/Chatham", -210: "America/St_Johns", -150: "America/St_Johns",
}

var hereText = regexp.MustCompile(`^(\d{1,2})\s*(?:[:.h]\s*(\d{2}))?\s*(?i:(a|p)\.?m\.?)?$`)

// readZone reads a town or a time of day. The zone is "" where the clocks show
// the same as at home.
func readZone(text string, now time.Time, home *time.Location) (zone string, ok bool) {
	text = strings.TrimSpace(understand.Normalise(text))
	if m := hereText.FindStringSubmatch(text); m != nil && (m[2] != "" || m[3] != "") {
		hour, _ := strconv.Atoi(m[1])
		minute, _ := strconv.Atoi(m[2])
		switch {
		case m[3] != "" && (hour < 1 || hour > 12) || hour > 23 || minute > 59:
			return "", false
		case m[3] != "":
			hour = hour % 12
			if strings.EqualFold(m[3], "p") {
				hour += 12
			}
		}
		return zoneShowing(hour*60+minute, now, home)
	}
	name := zoneName(text)
	if name == "" {
		return "", false
	}
	for _, area := range zoneAreas {
		full := area + "/" + name
		loc, err := store.Zone(full)
		if err != nil {
			continue
		}
		if loc.String() == home.String() {
			return "", true
		}
		return full, true
	}
	return "", false
}

// zoneShowing is a zone whose clocks show so many minutes after midnight now,
// to a quarter of an hour. Such a zone does not follow a change of clocks there.
func zoneShowing(minutes int, now time.Time, home *time.Location) (string, bool) {
	utc := now.UTC()
	offset := minutes - utc.Hour()*60 - utc.Minute()
	// To a quarter, and from -12 to +12 h: beyond, the date would have to be
	// asked for too.
	for offset > 12*60+7 {
		offset -= 24 * 60
	}
	for offset < -12*60+8 {
		offset += 24 * 60
	}
	offset = roundTo(offset, 15)
	if _, seconds := now.In(home).Zone(); seconds == offset*60 {
		return "", true
	}
	if offset%60 != 0 {
		zone, ok := oddZones[offset]
		if !ok {
			return "", false
		}
		// One that changes its clocks may show something else now.
		loc, err := store.Zone(zone)
		if err != nil {
			return "", false
		}
		_, seconds := now.In(loc).Zone()
		return zone, seconds == offset*60
	}
	if offset == 0 {
		return "Etc/GMT", true
	}
	// The database counts these westward: Etc/GMT-3 is three hours east.
	return "Etc/GMT" + signed(-offset/60), true
}

func signed(n int) string {
	if n > 0 {
		return "+" + strconv.Itoa(n)
	}
	return strconv.Itoa(n)
}

func roundTo(n, step int) int {
	if n < 0 {
		return -roundTo(-n, step)
	}
	return (n + step/2) / step * step
}

// smallWords are written small inside the names of the database.
var smallWords = map[string]bool{"of": true, "es": true, "au": true, "en": true}

// zoneName is the name of a town, normalised, as the database writes it: New_York, Sao_Paulo,
// Dar_es_Salaam; "" when it is none.
func zoneName(text string) string {
	words := strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '_' })
	if len(words) == 0 || len(words) > 4 {
		return ""
	}
	for i, w := range words {
		for _, r := range w {
			if (r < 'a' || r > 'z') && r != '-' {
				return ""
			}
		}
		if i == 0 || !smallWords[w] {
			words[i] = strings.ToUpper(w[:1]) + w[1:]
		}
	}
	return strings.Join(words, "_")
}

// town reports whether the text may be the name of a town: a few words.
func town(text string) bool {
	n := 0
	for _, r := range text {
		if unicode.IsDigit(r) {
			return false
		}
		if unicode.IsLetter(r) {
			n++
		}
	}
	return n >= 3 && len(strings.Fields(text)) <= 3
}
