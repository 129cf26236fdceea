package understand

import "pegcard/prescribe"

// rirOfRPE gives the repetitions in reserve that a set RPE stands for, lowest
// first: one value where the scale gives one, both where it gives a range.
//
// Source: Zourdos et al. 2016, J Strength Cond Res 30(1):267–275, the
// resistance-training-specific RPE scale: 10 maximal effort; 9.5 no further
// repetition, but more load; 9 one repetition left; 8.5 one to two; 8 two;
// 7.5 two to three; 7 three; 5–6 four to six; below that light effort. (RPE 10
// = 0 in reserve, 9 = 1 and so on as published; the half points and the rows
// under 7 from memory.) 4 is "four or more" to the engine, so the rows under 7
// all read as 4.
func rirOfRPE(rpe float64) (lo, hi prescribe.RIR, ok bool) {
	switch rpe {
	case 10, 9.5:
		return 0, 0, true
	case 9:
		return 1, 1, true
	case 8.5:
		return 1, 2, true
	case 8:
		return 2, 2, true
	case 7.5:
		return 2, 3, true
	case 7:
		return 3, 3, true
	}
	if rpe >= 1 && rpe <= 6.5 {
		return 4, 4, true
	}
	return 0, 0, false
}
