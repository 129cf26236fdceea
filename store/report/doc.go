// Package report works out what staff are shown: values first, then drawing.
// Every figure says what it is: a ratio of sums or a mean of ratios, with an
// interval where the sample is small. Nothing of a player's health is in a
// value that its reader may not see.
package report
