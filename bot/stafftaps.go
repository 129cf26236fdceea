package bot

// staffTaps is every button of the staff's.
func staffTaps() []tapRow {
	return []tapRow{
		{verb: verbAck, run: (*hand).tapAck},
		{verb: verbCloseNote, run: (*hand).tapCloseNote},
		{verb: verbCancel, run: (*hand).tapCancel},

		{verb: verbHoldSet, roles: carers, run: (*hand).tapHoldSet},
		{verb: verbHoldDo, roles: carers, run: (*hand).tapHoldDo},

		{verb: verbApprove, roles: coaches, run: (*hand).tapApprove},
		{verb: verbHoldCard, roles: coaches, run: (*hand).tapHoldCard},
		{verb: verbApproveAll, roles: coaches, run: (*hand).tapApproveAll},
		{verb: verbEditField, roles: coaches, run: (*hand).tapEditField},
		{verb: verbEditValue, roles: coaches, run: (*hand).tapEditValue},

		{verb: verbTestIs, roles: coaches, run: (*hand).tapTestIs},
		{verb: verbTestDo, roles: coaches, run: (*hand).tapTestDo},
		{verb: verbMinutesDo, roles: coaches, run: (*hand).tapMinutesDo},
		{verb: verbFixture, roles: schedulers, run: (*hand).tapFixture},
		{verb: verbFixtureDo, roles: schedulers, run: (*hand).tapFixtureDo},
		{verb: verbFileDo, roles: schedulers, run: (*hand).tapFileDo},
		{verb: verbInvite, roles: schedulers, run: (*hand).tapInvite},
		{verb: verbInviteAll, roles: schedulers, run: (*hand).tapInviteAll},
	}
}
