package clubfile

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pegcard/prescribe"
)

func TestNumbersAsPeopleWriteThem(t *testing.T) {
	for in, want := range map[string]float64{
		"100": 100, "102.5": 102.5, "102,5": 102.5, " 7 ": 7, ".5": 0.5, "5.": 5, "0,050": 0.05, "0.145": 0.145, "102.125": 102.125, "+4": 4, "-3": -3,
		"1234.567": 1234.567, // no thousands separator has four digits before it
	} {
		got, f := number(in, 500)
		require.Nil(t, f, in)
		require.Equal(t, want, got, in)
	}
	for in, mend := range map[string]string{
		"1,000": "write 1000 or 1.0", "1.250": "write 1250 or 1.25", "12,345": "write 12345 or 12.3450",
		"1,234,5": "without thousands separators", "1.234,5": "without thousands separators", "1'000": "without thousands separators",
		"1 000": "without thousands separators", "1\u202f000": "without thousands separators",
		"": "write a number", "-": "write a number", "abc": "write a number", "1e3": "write a number", "NaN": "write a number", "٣": "write a number",
		"1234567890123456": "write a number",
	} {
		_, f := number(in, 100000)
		require.NotNil(t, f, in)
		require.Contains(t, f.mend, mend, in)
	}
}

// What the advice says to write is read.
func TestTheAdviceForANumberWorks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := fmt.Sprintf("%d%s%03d", rapid.IntRange(1, 999).Draw(t, "whole"), rapid.SampledFrom([]string{",", "."}).Draw(t, "separator"), rapid.IntRange(0, 999).Draw(t, "decimals"))
		_, f := number(in, 1e6)
		require.NotNil(t, f)
		a, b, ok := strings.Cut(strings.TrimPrefix(f.mend, "write "), " or ")
		require.True(t, ok)
		x, f := number(a, 1e6)
		require.Nil(t, f)
		y, f := number(b, 1e6)
		require.Nil(t, f)
		require.InDelta(t, x, y*1000, 1e-6)
	})
}

// The pound is 0.45359237 kg exactly (international yard and pound agreement of
// 1959), so 225 lb, two 45 lb plates a side on a 45 lb bar, is 102.05828325 kg.
func TestMassesInEitherUnit(t *testing.T) {
	for _, c := range []struct {
		value, row string
		want       float64
		unit       string
	}{
		{"100", "", 100, "kg"},
		{"100 kg", "", 100, "kg"},
		{"225 lb", "", 102.05828325, "lb"},
		{"225lbs", "", 102.05828325, "lb"},
		{"225 Pounds", "lb", 102.05828325, "lb"},
		{"225", "lb", 102.05828325, "lb"},
		{"82,5KG", "kg", 82.5, "kg"},
	} {
		got, unit, f := mass(c.value, c.row, 1, 500)
		require.Nil(t, f, c.value)
		require.InDelta(t, c.want, float64(got), 1e-9, c.value)
		require.Equal(t, c.unit, unit)
	}
	for _, c := range []struct{ value, row, mend string }{
		{"225 lb", "kg", "write the same unit"},
		{"1200", "lb", "write 2.2 lb to 1102.3 lb"},
		{"0.5", "", "write 1 kg to 500 kg"},
		{"100 stone", "", "write a number of kilograms or pounds"},
		{"kg", "", "write a number"},
	} {
		_, _, f := mass(c.value, c.row, 1, 500)
		require.NotNil(t, f, c.value)
		require.Contains(t, f.mend, c.mend, c.value)
	}
}

func TestAgesOnBirthdays(t *testing.T) {
	born := prescribe.Date(2008, 2, 29)
	require.Equal(t, 17, yearsBetween(born, prescribe.Date(2026, 2, 28)))
	require.Equal(t, 18, yearsBetween(born, prescribe.Date(2026, 3, 1)))
	require.Equal(t, 18, yearsBetween(prescribe.Date(2008, 3, 10), prescribe.Date(2026, 3, 10)))
}

func TestTheNearestName(t *testing.T) {
	known := []string{"back_squat", "front_squat", "key", "name"}
	for in, want := range map[string]string{
		"back_sqaut": "back_squat", "Back_Squat": "back_squat", "bck_squat": "back_squat", "nmae": "name", "kye": "key",
		"weight": "", "": "", "x": "", strings.Repeat("a", 10000): "",
	} {
		require.Equal(t, want, nearest(in, known), in)
	}
	require.Equal(t, 1, distance("nmae", "name"))
	require.Equal(t, 3, distance("kitten", "sitting")) // Levenshtein's textbook pair
	require.Equal(t, 0, distance("", ""))
	require.Equal(t, 4, distance("", "name"))
}

// 01632 960000 to 960999 is set aside for drama (Ofcom, telephone numbers for use
// in TV and radio drama programmes).
func TestTelephoneNumbers(t *testing.T) {
	for in, want := range map[string]string{
		"+44 1632 960101": "+44 1632 960101", "01632  960101": "01632 960101", "(01632) 960-101": "(01632) 960-101", "999": "999", "+441632960101": "+441632960101",
	} {
		got, f := phoneNumber(in)
		require.Nil(t, f, in)
		require.Equal(t, want, got)
	}
	for _, in := range []string{"12", "call me", "44+1632", "1234567890123456", "+44 1632 960101 ext 4", "<b>999</b>", "٩٩٩"} {
		_, f := phoneNumber(in)
		require.NotNil(t, f, in)
	}
}
