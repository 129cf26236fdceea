package wording

import (
	"slices"

	"pegcard/prescribe"
)

// Notice is what a member of staff is told of a player, HTML without the
// player's name. Only medical staff read places, scores and signs; the
// strength coach reads soreness of adults; everybody else reads that the
// player is held and whom to ask. Somebody the notice is not meant for reads
// nothing: "".
func (sp *Speaker) Notice(n prescribe.Notice, who prescribe.Audience, youth bool) string {
	if n.To&who == 0 {
		return ""
	}
	medical := who.Has(prescribe.ForMedical)
	args := sp.args(n.Args)
	args["region"] = HTML(sp.Region(n.Region, n.Side))
	args["sign"] = n.Sign
	has := func(name string) bool { _, ok := args[name]; return ok }
	var id string
	switch n.Kind {
	case prescribe.NoticePain:
		id = pick(medical, pick(has("score"), "alert.pain_medical", "alert.pain_medical_no_score"), "alert.pain_staff")
		classified := slices.ContainsFunc(n.Args, func(a prescribe.Arg) bool { return a.Name == "cause" && a.ID == prescribe.PainClassified })
		if medical && classified && has("score") {
			id = "alert.pain_medical_classified"
		}
	case prescribe.NoticeWarning:
		id = pick(medical, pick(n.Region != "", "alert.warning_medical_region", "alert.warning_medical"), "alert.warning_staff")
	case prescribe.NoticeDoubt:
		id = pick(medical, doubt(n), "alert.pain_staff")
	case prescribe.NoticeSkipped:
		id = "alert.skipped_staff"
		args["n"] = args["sessions"]
	case prescribe.NoticeSoreness:
		switch {
		case medical:
			id = "alert.soreness_medical"
		case who.Has(prescribe.ForCoach) && !youth:
			id = "alert.soreness_coach"
		default:
			id = "alert.soreness_staff"
		}
	case prescribe.NoticeSides:
		id = pick(has("exercise") && has("difference"), "alert.sides_staff", "alert.sides_staff_short")
	case prescribe.NoticeDoubtful:
		id = pick(has("exercise"), "alert.doubtful_staff", "alert.doubtful_staff_short")
	case prescribe.NoticeLapsed:
		id = pick(medical, "alert.lapsed_medical", "alert.lapsed_staff")
	case prescribe.NoticeDistress:
		id = "alert.distress_named"
	case prescribe.NoticeDose:
		nordic := slices.ContainsFunc(n.Args, func(a prescribe.Arg) bool { return a.Name == "what" && a.ID == "nordic" })
		id = pick(nordic, "alert.dose_nordic_staff", "alert.dose_staff")
	default:
		return sp.Format(string(n.Kind))
	}
	return sp.directed(sp.say(id, args))
}

func pick(cond bool, yes, no string) string {
	if cond {
		return yes
	}
	return no
}

// doubt is the sentence about a question that was not answered.
func doubt(n prescribe.Notice) string {
	what, scored := "", false
	for _, a := range n.Args {
		if a.Name == "what" {
			what = a.ID
		}
		scored = scored || a.Name == "score"
	}
	switch {
	case n.Sign != "":
		return "alert.doubt_hint"
	case what == "signs" && scored:
		return "alert.doubt_signs"
	case what == "ill":
		return "alert.doubt_ill"
	case n.Region != "":
		return "alert.doubt_score"
	case scored:
		return "alert.doubt_place_score"
	}
	return "alert.doubt_place"
}
