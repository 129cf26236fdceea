package bot

import (
	"strings"

	"pegcard/prescribe"
)

// EditValueTap is the data of a button that gives an exercise's field a value.
func EditValueTap(card int64, rev, item int, value string) string {
	return strings.Join([]string{verbEditValue, newTap("", card, rev, item)[1:], "x", value}, ":")
}

// ExerciseTap is the data of a button that answers which exercise was tested.
func ExerciseTap(id prescribe.ExerciseID) string {
	return strings.Join([]string{verbTestIs, "9999999999999", "x", string(id)}, ":")
}

// HoldTap is the data of the last button of a hold.
func HoldTap(player int64, region string) string {
	f := holdFlow{Player: player, Release: true, Region: region, Cap: "100", Days: "28", Class: "1"}
	return verbHoldDo + ":" + strings.Join(f.decision(9_999_999_999_999), ":")
}

// LoadText is loadText.
func LoadText(s string) (prescribe.Kg, bool) { return loadText(s) }

// PowerText is powerText.
func PowerText(s string) (prescribe.Inertia, prescribe.Watts, bool) { return powerText(s) }
