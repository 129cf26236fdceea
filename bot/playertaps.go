package bot

// playerTaps is every button of the player's. They belong into the own chat:
// nothing of a player's is answered where others read along.
func playerTaps() []tapRow {
	list := playerTapList()
	for i, row := range list {
		list[i].run = func(h *hand, t tap) error {
			if h.group {
				return h.say("error.group")
			}
			return row.run(h, t)
		}
	}
	return list
}

func playerTapList() []tapRow {
	return []tapRow{
		{verb: "lang", early: true, run: (*hand).tapLanguage},
		{verb: "ok", early: true, run: (*hand).tapAgree},
		{verb: "nok", early: true, run: (*hand).tapDisagree},
		{verb: "copy", early: true, run: (*hand).tapCopy},
		{verb: "erase", early: true, run: (*hand).tapErase},
		{verb: "unok", early: true, run: (*hand).tapWithdraw},
		{verb: "leave", early: true, run: (*hand).tapLeave},

		{verb: "done", roles: players, run: (*hand).tapDone},
		{verb: "rir", roles: players, run: (*hand).tapRIR},
		{verb: "eff", roles: players, run: (*hand).tapEffort},
		{verb: "dbt", roles: players, run: (*hand).tapDoubt},

		{verb: "log", roles: players, run: (*hand).tapLog},
		{verb: "set", roles: players, run: (*hand).tapSet},
		{verb: "load", roles: players, run: (*hand).tapLoad},
		{verb: "skip", roles: players, run: (*hand).tapSkip},
		{verb: "ascard", roles: players, run: (*hand).tapAsCard},
		{verb: "rest", roles: players, run: (*hand).tapRest},
		{verb: "fin", roles: players, run: (*hand).tapFinish},

		{verb: "sore", roles: players, run: (*hand).tapSore},
		{verb: "sm", roles: players, run: (*hand).tapSoreMore},
		{verb: "sn", roles: players, run: (*hand).tapSoreNone},
		{verb: "sr", roles: players, run: (*hand).tapSoreWhere},
		{verb: "ss", roles: players, run: (*hand).tapSoreSide},
		{verb: "sv", roles: players, run: (*hand).tapSoreScore},

		{verb: "pain", roles: players, run: (*hand).tapPain},
		{verb: "pmore", roles: players, run: (*hand).tapPainMore},
		{verb: "pr", roles: players, run: (*hand).tapPainWhere},
		{verb: "ps", roles: players, run: (*hand).tapPainSide},
		{verb: "pv", roles: players, run: (*hand).tapPainScore},
		{verb: "pn", roles: players, run: (*hand).tapPainNothing},
		{verb: "pg", roles: players, run: (*hand).tapPainSign},
		{verb: "pm", roles: players, run: (*hand).tapMorning},
		{verb: "ill", roles: players, run: (*hand).tapIll},

		{verb: "cant", roles: players, run: (*hand).tapCant},
		{verb: "ca", roles: players, run: (*hand).tapReason},
		{verb: "away", roles: players, run: (*hand).tapAway},
		{verb: "awq", roles: players, run: func(h *hand, _ tap) error { return h.cmdAway("") }},
		{verb: "awk", roles: players, run: (*hand).tapAwayKit},
		{verb: "awz", roles: players, run: (*hand).tapAwayZone},
		{verb: "hush", roles: players, run: (*hand).tapPause},
		{verb: "vid", roles: players, run: (*hand).tapVideo},
		{verb: "undo", roles: players, run: (*hand).tapUndo},
		{verb: "pick", roles: players, run: (*hand).tapPick},
	}
}
