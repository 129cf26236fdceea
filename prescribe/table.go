package prescribe

import "math"

// TableReps is the most repetitions the table of % 1RM answers for.
const TableReps = 10

// TableSource is the bibliography key of the table.
const TableSource = "nsca2012"

// handbook is % of 1RM by repetitions to failure, with 100 at 1. Rows above 10
// disagree between printings of the source, so the table stops there.
var handbook = [TableReps + 1]Percent{1: 100, 2: 95, 3: 93, 4: 90, 5: 87, 6: 85, 7: 83, 8: 80, 9: 77, 10: 75}

// Fraction is the percentage of 1RM that can be lifted totalReps times, that
// is, repetitions done and in reserve together. It is false below 1 and above
// TableReps.
func Fraction(totalReps int) (Percent, bool) {
	if totalReps < 1 || totalReps > TableReps {
		return 0, false
	}
	return handbook[totalReps], true
}

// logFraction is the natural logarithm of the table's fraction at n
// repetitions, 1 to TableReps, straight between the rows.
func logFraction(n float64) float64 {
	n = min(max(n, 1), TableReps)
	low := int(n)
	a := math.Log(float64(handbook[low]) / 100)
	if low == TableReps {
		return a
	}
	b := math.Log(float64(handbook[low+1]) / 100)
	return a + (n-float64(low))*(b-a)
}

// logBeyond is logFraction, straight on above the table's last row for as many
// repetitions as it has printings that disagree: to 15.
func logBeyond(n float64) float64 {
	return logFraction(n) - max(min(n, 15)-TableReps, 0)*logSlope(TableReps)
}

// logSlope is how much logFraction falls for one more repetition around n. The
// table's rows are rounded, so the slope is taken over the row before and the
// row after.
func logSlope(n float64) float64 {
	lo, hi := max(n-1, 1), min(n+1, TableReps)
	return (logFraction(lo) - logFraction(hi)) / (hi - lo)
}
