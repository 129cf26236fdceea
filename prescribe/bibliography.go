package prescribe

import "maps"

// Bibliography is every published source that a rule, the repetition table, a
// prediction equation or a share of body mass rests on, by key. Whether a
// value was read there or is quoted from memory is the mark of the value.
func Bibliography() map[string]string { return maps.Clone(references) }

var references = map[string]string{
	"brzycki1993":     "Brzycki M. Strength testing: predicting a one-rep max from reps-to-fatigue. Journal of Physical Education, Recreation & Dance 1993;64(1):88–90.",
	"caterisano2019":  "Caterisano A, Decker D, Snyder B, et al. CSCCa and NSCA joint consensus guidelines for transition periods: safe return to training following inactivity. Strength and Conditioning Journal 2019;41(3):1–23.",
	"deforest2014":    "DeForest BA, Cantrell GS, Schilling BK. Muscle activity in single- vs. double-leg squats. International Journal of Exercise Science 2014;7(4):302–310.",
	"deleva1996":      "de Leva P. Adjustments to Zatsiorsky-Seluyanov's segment inertia parameters. Journal of Biomechanics 1996;29(9):1223–1230.",
	"epley1985":       "Epley B. Poundage chart. In: Boyd Epley Workout. Lincoln, NE: Body Enterprises; 1985.",
	"grgic2020":       "Grgic J, Lazinica B, Schoenfeld BJ, Pedisic Z. Test–retest reliability of the one-repetition maximum (1RM) strength assessment: a systematic review. Sports Medicine – Open 2020;6:31.",
	"halperin2022":    "Halperin I, Malleron T, Har-Nir I, et al. Accuracy in predicting repetitions to task failure in resistance exercise: a scoping review and exploratory meta-analysis. Sports Medicine 2022;52:377–390.",
	"haroy2019":       "Harøy J, Clarsen B, Wiger EG, et al. The Adductor Strengthening Programme prevents groin problems among male football players: a cluster-randomised controlled trial. British Journal of Sports Medicine 2019;53(3):150–157.",
	"lander1985":      "Lander J. Maximum based on reps. National Strength and Conditioning Association Journal 1985;6(6):60–61.",
	"lloyd2014":       "Lloyd RS, Faigenbaum AD, Stone MH, et al. Position statement on youth resistance training: the 2014 International Consensus. British Journal of Sports Medicine 2014;48(7):498–505.",
	"lombardi1989":    "Lombardi VP. Beginning Weight Training: The Safe and Effective Way. Dubuque, IA: W.C. Brown; 1989.",
	"lovell2018":      "Lovell R, Whalan M, Marshall PWM, Sampson JA, Siegler JC, Buchheit M. Scheduling of eccentric lower limb injury prevention exercises during the soccer micro-cycle: which day of the week? Scandinavian Journal of Medicine & Science in Sports 2018;28(10):2216–2225.",
	"mayhew1992":      "Mayhew JL, Ball TE, Arnold MD, Bowen JC. Relative muscular endurance performance as a predictor of bench press strength in college men and women. Journal of Applied Sport Science Research 1992;6(4):200–206.",
	"mcmaster2013":    "McMaster DT, Gill N, Cronin J, McGuigan M. The development, retention and decay rates of strength and power in elite rugby union, rugby league and American football: a systematic review. Sports Medicine 2013;43(5):367–384.",
	"merrigan2021":    "Merrigan JJ, Borth J, Taber CB, Suchomel TJ, Jones MT. Application of accentuated eccentric loading to elicit acute and chronic velocity and power improvements: a narrative review. International Journal of Strength and Conditioning 2021;1(1).",
	"mier2014":        "Mier CM, Amasay T, Capehart S, Garner H. Differences between men and women in percentage of body weight supported during push-up exercise. International Journal of Exercise Science 2014;7(2):161–168.",
	"nsca2012":        "National Strength and Conditioning Association. Training load chart (maximum repetitions and % 1RM). NSCA; 2012.",
	"nuzzo2024":       "Nuzzo JL, Pinto MD, Nosaka K, Steele J. Maximal number of repetitions at percentages of the one repetition maximum: a meta-regression and moderator analysis of sex, age, training status, and exercise. Sports Medicine 2024;54(2):303–321.",
	"oconner1989":     "O'Conner B, Simmons J, O'Shea P. Weight Training Today. St. Paul, MN: West Publishing; 1989.",
	"petersen2011":    "Petersen J, Thorborg K, Nielsen MB, Budtz-Jørgensen E, Hölmich P. Preventive effect of eccentric training on acute hamstring injuries in men's soccer: a cluster-randomized controlled trial. American Journal of Sports Medicine 2011;39(11):2296–2303.",
	"presland2018":    "Presland JD, Timmins RG, Bourne MN, Williams MD, Opar DA. The effect of Nordic hamstring exercise training volume on biceps femoris long head architectural adaptation. Scandinavian Journal of Medicine & Science in Sports 2018;28(7):1775–1783.",
	"ronnestad2011":   "Rønnestad BR, Nymark BS, Raastad T. Effects of in-season strength maintenance training frequency in professional soccer players. Journal of Strength and Conditioning Research 2011;25(10):2653–2660.",
	"silbernagel2007": "Silbernagel KG, Thomeé R, Eriksson BI, Karlsson J. Continued sports activity, using a pain-monitoring model, during rehabilitation in patients with Achilles tendinopathy: a randomized controlled study. American Journal of Sports Medicine 2007;35(6):897–906.",
	"silva2018":       "Silva JR, Rumpf MC, Hertzog M, et al. Acute and residual soccer match-related fatigue: a systematic review and meta-analysis. Sports Medicine 2018;48(3):539–583.",
	"thomee1997":      "Thomeé R. A comprehensive treatment approach for patellofemoral pain syndrome in young women. Physical Therapy 1997;77(12):1690–1703.",
	"wagle2018":       "Wagle JP, Cunanan AJ, Carroll KM, et al. Accentuated eccentric loading and cluster set configurations in the back squat: a kinetic and kinematic analysis. Journal of Strength and Conditioning Research 2021;35(2):420–427 (ahead of print 2018).",
	"wathan1994":      "Wathan D. Load assignment. In: Baechle TR, editor. Essentials of Strength Training and Conditioning. Champaign, IL: Human Kinetics; 1994. p. 435–446.",
	"zourdos2016":     "Zourdos MC, Klemp A, Dolan C, et al. Novel resistance training-specific rating of perceived exertion scale measuring repetitions in reserve. Journal of Strength and Conditioning Research 2016;30(1):267–275.",
	"zourdos2021":     "Zourdos MC, Goldsmith JA, Helms ER, et al. Proximity to failure and total repetitions performed in a set influences accuracy of intraset repetitions in reserve-based rating of perceived exertion. Journal of Strength and Conditioning Research 2021;35(Suppl 1):S158–S165.",
}
