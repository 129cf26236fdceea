package prescribe

// TableReps is the most repetitions the table of % 1RM answers for.
const TableReps = 10

// TableSource is the bibliography key of the table.
const TableSource = "nsca2012"

// handbook is % of 1RM by repetitions to failure. Rows above 10 disagree
// between printings of the source, so the table stops there.
var handbook = [TableReps + 1]Percent{1: 100, 2: 95, 3: 93, 4: 90, 5: 87, 6: 85, 7: 83, 8: 80, 9: 77, 10: 75}

// Fraction is the percentage of 1RM that can be lifted totalReps times, that
// is, repetitions done and in reserve together. It is false below 1 and above
// 10.
func Fraction(totalReps int) (Percent, bool) {
	if totalReps < 1 || totalReps > TableReps {
		return 0, false
	}
	return handbook[totalReps], true
}
