package prescribe

import (
	"math"
)

// Who reads which reason. A reason with a score of pain or a warning sign in
// it goes to the player and medical staff; everybody else reads that there is
// a restriction.
const (
	seeTraining = ForPlayer | ForCoach | ForMedical
	seeMedical  = ForPlayer | ForMedical
	seeOthers   = ForCoach | ForHeadCoach
)

func reason(see Audience, code string, rules []string, args ...Arg) Reason {
	return Reason{Code: code, Rules: rules, Args: args, See: see}
}

// by lists the rules a reason rests on.
func by(ids ...string) []string { return ids }

func argKg(name string, v Kg) Arg { return Arg{Name: name, Kind: ArgKg, Num: round(float64(v), 2)} }
func argPercent(name string, v Percent) Arg {
	return Arg{Name: name, Kind: ArgPercent, Num: round(float64(v), 1)}
}
func argNumber(name string, v float64) Arg {
	return Arg{Name: name, Kind: ArgNumber, Num: round(v, 2)}
}
func argInt(name string, v int) Arg       { return Arg{Name: name, Kind: ArgInteger, Num: float64(v)} }
func argDays(name string, v int) Arg      { return Arg{Name: name, Kind: ArgDays, Num: float64(v)} }
func argHours(name string, v float64) Arg { return Arg{Name: name, Kind: ArgHours, Num: round(v, 1)} }
func argSeconds(name string, v Seconds) Arg {
	return Arg{Name: name, Kind: ArgSeconds, Num: float64(v)}
}
func argInertia(name string, v Inertia) Arg {
	return Arg{Name: name, Kind: ArgInertia, Num: float64(v)}
}
func argDay(name string, v Day) Arg       { return Arg{Name: name, Kind: ArgDay, Day: v} }
func argScore(name string, v Score) Arg   { return Arg{Name: name, Kind: ArgScore, Num: float64(v)} }
func argRegion(name string, v Region) Arg { return Arg{Name: name, Kind: ArgRegion, ID: string(v)} }
func argExercise(name string, v ExerciseID) Arg {
	return Arg{Name: name, Kind: ArgExercise, ID: string(v)}
}
func argMatchDay(name, v string) Arg { return Arg{Name: name, Kind: ArgMatchDay, ID: v} }
func argID(name, v string) Arg       { return Arg{Name: name, Kind: ArgID, ID: v} }

// round keeps figures of reasons to the places that people read.
func round(v float64, places int) float64 {
	p := math.Pow10(places)
	return math.Round(v*p) / p
}
