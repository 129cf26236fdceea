package prescribe

import "maps"

// Bibliography is every published source that a rule, the repetition table, a
// prediction equation or a body-mass fraction rests on, by key.
func Bibliography() map[string]string { return maps.Clone(references) }

var references = map[string]string{
	"brzycki1993":   "Brzycki M. Strength testing: predicting a one-rep max from reps-to-fatigue. J Phys Educ Recreat Dance 1993;64(1):88–90.",
	"caulfield2019": "Caterisano A, Decker D, Snyder B, et al. CSCCa and NSCA joint consensus guidelines for transition periods: safe return to training following inactivity. Strength Cond J 2019;41(3):1–23.",
	"grgic2020":     "Grgic J, Lazinica B, Schoenfeld BJ, Pedisic Z. Test–retest reliability of the one-repetition maximum (1RM) strength assessment: a systematic review. Sports Med Open 2020;6:31.",
	"mcmaster2013":  "McMaster DT, Gill N, Cronin J, McGuigan M. The development, retention and decay rates of strength and power in elite rugby union, rugby league and American football: a systematic review. Sports Med 2013;43(5):367–384.",
}
