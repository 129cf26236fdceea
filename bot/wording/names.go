package wording

import (
	"html"
	"strings"

	"pegcard/prescribe"
)

// name is the message family.key, or the key itself made readable when there
// is none, as for what a club adds.
func (sp *Speaker) name(family, key string) string {
	if id := family + "." + key; sp.Has(id) {
		return sp.t(id)
	}
	return sp.isolate(html.EscapeString(strings.ReplaceAll(key, "_", " ")))
}

// Region names a place on the body, with its side where it has one: "left
// knee". The empty region is the whole body.
func (sp *Speaker) Region(r prescribe.Region, side prescribe.Side) string {
	if r == "" {
		return sp.t("region.all")
	}
	region := sp.name("region", string(r))
	if side == prescribe.Both {
		return region
	}
	return sp.t("side.region", "region", HTML(region), "side", HTML(sp.Side(side)))
}

// Side names left or right; both is empty.
func (sp *Speaker) Side(side prescribe.Side) string {
	if side == prescribe.Both {
		return ""
	}
	return sp.name("side", string(side))
}

// Method names a way of working on strength.
func (sp *Speaker) Method(m prescribe.Method) string { return sp.name("method", string(m)) }

// Pattern names a movement pattern.
func (sp *Speaker) Pattern(p prescribe.Pattern) string { return sp.name("pattern", string(p)) }

// Phase names a part of the year.
func (sp *Speaker) Phase(p prescribe.Phase) string { return sp.name("phase", string(p)) }

// Absence names why a session was not done.
func (sp *Speaker) Absence(a prescribe.Absence) string { return sp.name("absence", string(a)) }

// Sign names a warning sign in the player's words.
func (sp *Speaker) Sign(s prescribe.Sign) string { return sp.name("sign", string(s)) }

// Role names a role of a club's people, by the key in the club's files.
func (sp *Speaker) Role(role string) string { return sp.name("role", role) }

// Place names where a player trains.
func (sp *Speaker) Place(place string) string { return sp.name("place", place) }

// State names the state of a card, by the key of the store.
func (sp *Speaker) State(state string) string { return sp.name("state", state) }
