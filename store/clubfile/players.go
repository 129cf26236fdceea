package clubfile

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"golang.org/x/text/language"

	"pegcard/prescribe"
	"pegcard/store"
)

type playerLine struct {
	Key         string `csv:"key"`
	Name        string `csv:"name"`
	Squad       string `csv:"squad"`
	Born        string `csv:"born"`
	BodyMass    string `csv:"body_mass"`
	Language    string `csv:"language"`
	Zone        string `csv:"zone"`
	Gym         string `csv:"gym"`
	TrainingAge string `csv:"training_age"`
	From        string `csv:"from"`
	Until       string `csv:"until"`
}

// Ages and body masses outside of these are taken for slips.
const (
	minAge, maxAge           = 12, 50
	minBodyMass, maxBodyMass = 35, 160 // kg
	maxTrainingAge           = 30      // years
)

// ReadPlayers reads players.csv. name is how the file is called in problems.
func ReadPlayers(r io.Reader, name string, o Options) ([]store.PlayerRow, []*Problem) {
	ps := &problems{file: name}
	t := openTable[playerLine](r, ps, "key", "name", "squad", "born")
	if t == nil {
		return nil, ps.sorted()
	}
	var rows []store.PlayerRow
	lineOf := map[string]int{}
	t.each(func(l playerLine, at store.At) {
		row := store.PlayerRow{At: at, Key: l.Key, Name: l.Name, Squad: l.Squad}
		if l.Key == "" {
			t.missing("key", "write the club's own id of the player, such as the shirt number")
		} else if f := keyFault(l.Key); f != nil {
			t.wrong("key", f)
		} else if first, twice := lineOf[l.Key]; twice {
			t.wrong("key", wrong("give each player a key of his or her own", "%q is already used in line %d", l.Key, first))
		} else {
			lineOf[l.Key] = at.Line
		}
		if l.Name == "" {
			t.missing("name", "write the player's name")
		} else if utf8.RuneCountInString(l.Name) > maxName {
			t.wrong("name", wrong(fmt.Sprintf("write at most %d", maxName), "has %d characters", utf8.RuneCountInString(l.Name)))
		}
		if l.Squad == "" {
			t.missing("squad", "write the squad's slug from club.toml")
		} else if slugs := o.slugs(); len(slugs) > 0 && !slices.Contains(slugs, l.Squad) {
			t.wrong("squad", wrong(oneOf(l.Squad, slugs), "%q is not a squad of the club", l.Squad))
		}
		var f *fault
		if l.Born == "" {
			t.missing("born", "write the date of birth as year-month-day; under-18s have rules of their own")
		} else if row.Born, f = day(l.Born); f != nil {
			t.wrong("born", f)
		} else if age := yearsBetween(row.Born, o.today()); age < minAge || age > maxAge {
			t.wrong("born", wrong("check the year of birth", "%s makes the player %d years old; %d to %d are expected", l.Born, age, minAge, maxAge))
		}
		if l.BodyMass != "" {
			if row.BodyMass, _, f = mass(l.BodyMass, "", minBodyMass, maxBodyMass); f != nil {
				t.wrong("body_mass", f)
			}
		}
		if row.Language, f = languageTag(l.Language); f != nil {
			t.wrong("language", f)
		}
		if row.Zone, f = zoneName(l.Zone); f != nil {
			t.wrong("zone", f)
		}
		row.Gym = l.Gym
		if gyms := o.Gyms; l.Gym != "" && len(gyms) > 0 && !slices.Contains(gyms, l.Gym) {
			t.wrong("gym", wrong(oneOf(l.Gym, gyms), "%q is not a gym of the club", l.Gym))
		}
		if l.TrainingAge != "" {
			if row.TrainingAge, f = integer(l.TrainingAge, 0, maxTrainingAge, " years"); f != nil {
				t.wrong("training_age", f)
			}
		}
		if l.From != "" {
			if row.From, f = day(l.From); f != nil {
				t.wrong("from", f)
			}
		}
		if l.Until != "" {
			if row.Until, f = day(l.Until); f != nil {
				t.wrong("until", f)
			} else if row.From != 0 && row.Until < row.From {
				t.wrong("until", wrong("write the later date in the column until", "%s is before %s", l.Until, l.From))
			}
		}
		rows = append(rows, row)
	})
	return rows, ps.sorted()
}

// maxName is the longest name of a person, squad or gym, in characters.
const maxName = 80

// keyFault checks a club's own id or slug: letters, digits, dot, dash and
// underscore, at most 32, so that it can be typed and carried in a link.
func keyFault(s string) *fault {
	for _, r := range s {
		if !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '_' || r == '.') {
			return wrong("use letters a–z, digits, dots, dashes and underscores", "%q has the character %q", s, string(r))
		}
	}
	if len(s) > 32 {
		return wrong("write at most 32 characters", "%q is too long", s)
	}
	return nil
}

// languageTag checks a BCP 47 language tag; empty stays empty.
func languageTag(s string) (string, *fault) {
	if s == "" {
		return "", nil
	}
	if len(s) <= 35 {
		if tag, err := language.Parse(s); err == nil && tag != language.Und {
			return tag.String(), nil
		}
	}
	return "", wrong(`write a language tag, such as "en", "pt" or "es"`, "%q is not a language", s)
}

// zoneName checks an IANA time zone; empty stays empty.
func zoneName(s string) (string, *fault) {
	if s == "" {
		return "", nil
	}
	if _, err := loadZone(s); err != nil {
		mend := `write a name of the IANA list, such as "Europe/London"`
		if n := ianaOf(s); n != "" {
			mend = fmt.Sprintf("write %q", n)
		}
		return "", wrong(mend, "%q is not a time zone", s)
	}
	return s, nil
}

// loadZone loads an IANA zone. "Local" and names without a region would mean
// something else on another machine; only UTC is taken of those.
func loadZone(s string) (*time.Location, error) {
	if s != "UTC" && !strings.Contains(s, "/") {
		return nil, fmt.Errorf("%q is not a zone of the IANA list", s)
	}
	return time.LoadLocation(s)
}

// yearsBetween is the age in whole years of somebody born on b, on day d.
func yearsBetween(b, d prescribe.Day) int {
	by, bm, bd := b.Time().Date()
	y, m, dd := d.Time().Date()
	n := y - by
	if m < bm || m == bm && dd < bd {
		n--
	}
	return n
}
