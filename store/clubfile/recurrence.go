package clubfile

import (
	"slices"
	"strings"
	"time"

	"github.com/teambition/rrule-go"
)

// maxRule is the longest recurrence rule that is read, in characters.
const maxRule = 300

// recurrence reads a recurrence rule (RFC 5545 section 3.3.10) whose frequency
// is one of freqs. Its times are wall times; an UNTIL in UTC is still to be
// shifted. Parts that would make a fixture begin several times a day are
// refused, and so is what the standard does not have.
func recurrence(value string, freqs ...string) (*rrule.ROption, *fault) {
	if len(value) > maxRule {
		return nil, wrong("write a simpler rule, or single events", "the rule has more than %d characters", maxRule)
	}
	v := strings.ToUpper(strings.TrimSuffix(strings.TrimSpace(value), ";"))
	seen := map[string]string{}
	for _, part := range strings.Split(v, ";") {
		k, x, ok := strings.Cut(part, "=")
		if !ok || x == "" {
			return nil, wrong("write NAME=value parts with semicolons between, such as FREQ=WEEKLY;BYDAY=SA", "%q is no part of a recurrence rule", part)
		}
		if _, twice := seen[k]; twice {
			return nil, wrong("write it once", "%s is there twice", k)
		}
		seen[k] = x
		switch k {
		case "BYHOUR", "BYMINUTE", "BYSECOND":
			return nil, wrong("write one event for each time of day", "%s would give several times on one day", k)
		case "BYEASTER", "DTSTART":
			return nil, wrong("take it out", "%s is no part of a recurrence rule", k)
		}
	}
	switch f := seen["FREQ"]; {
	case f == "":
		return nil, wrong("begin the rule with FREQ=WEEKLY or another frequency", "the rule has no FREQ")
	case !slices.Contains(freqs, f):
		return nil, wrong("write FREQ="+strings.Join(freqs, ", FREQ="), "FREQ=%s is not read here", f)
	}
	if seen["UNTIL"] != "" && seen["COUNT"] != "" {
		return nil, wrong("take one of them out", "UNTIL and COUNT exclude each other")
	}
	opt, err := rrule.StrToROptionInLocation(v, time.UTC)
	if err != nil {
		return nil, wrong("check it against RFC 5545 section 3.3.10, or write single events", "%q cannot be read: %v", value, err)
	}
	if seen["COUNT"] != "" && opt.Count < 1 || seen["INTERVAL"] != "" && opt.Interval < 1 {
		return nil, wrong("write a number of 1 or more", "COUNT and INTERVAL begin at 1")
	}
	if opt.Interval > 1000 {
		return nil, wrong("write a smaller number", "INTERVAL=%d is too large", opt.Interval)
	}
	if len(seen["UNTIL"]) == len(icalDate) { // a date means its whole day
		opt.Until = opt.Until.Add(24*time.Hour - time.Second)
	}
	opt.Dtstart = time.Unix(0, 0).UTC() // replaced by the caller; unset, the library would take the clock's
	if _, err := rrule.NewRRule(*opt); err != nil {
		return nil, wrong("check it against RFC 5545 section 3.3.10, or write single events", "%q cannot be worked out: %v", value, err)
	}
	return opt, nil
}
