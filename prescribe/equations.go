package prescribe

import "math"

// Equation predicts a 1RM from one set to failure. The engine does not use
// them: they are what the record is compared with.
type Equation struct {
	Name   string // the author's, as the trade calls it
	Source string // bibliography key
	oneRM  func(w, r float64) float64
}

// equationReps is where the first of the equations stops being defined
// (Brzycki divides by 37−r). None means much above ten.
const equationReps = 36

// OneRM is the predicted 1RM in kg from reps repetitions to failure at load.
// One repetition is the load itself, whatever the equation says. It is false
// for a load or a number of repetitions that no equation answers for.
func (e Equation) OneRM(load Kg, reps int) (Kg, bool) {
	switch {
	case !(load > 0) || reps < 1 || reps > equationReps:
		return 0, false
	case reps == 1:
		return load, true
	}
	return Kg(e.oneRM(float64(load), float64(reps))), true
}

// Equations lists the prediction equations by name, in the form given by
// LeSuer et al. 1997.
func Equations() []Equation {
	return []Equation{
		{"Brzycki", "brzycki1993", func(w, r float64) float64 { return 36 * w / (37 - r) }},
		{"Epley", "epley1985", func(w, r float64) float64 { return w * (1 + r/30) }},
		{"Lander", "lander1985", func(w, r float64) float64 { return 100 * w / (101.3 - 2.67123*r) }},
		{"Lombardi", "lombardi1989", func(w, r float64) float64 { return w * math.Pow(r, 0.10) }},
		{"Mayhew", "mayhew1992", func(w, r float64) float64 { return 100 * w / (52.2 + 41.9*math.Exp(-0.055*r)) }},
		{"O'Conner", "oconner1989", func(w, r float64) float64 { return w * (1 + 0.025*r) }},
		{"Wathan", "wathan1994", func(w, r float64) float64 { return 100 * w / (48.8 + 53.8*math.Exp(-0.075*r)) }},
	}
}

// EquationByName finds an equation.
func EquationByName(name string) (Equation, bool) {
	for _, e := range Equations() {
		if e.Name == name {
			return e, true
		}
	}
	return Equation{}, false
}
