package report_test

import (
	"bufio"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/store/report"
)

// published reads the rows of a file of outside figures. Its head names the
// source.
func published(t *testing.T, name string) (rows [][]string) {
	f, err := os.Open(filepath.Join("../../testdata/published", name))
	require.NoError(t, err)
	defer f.Close()
	sourced := false
	for lines := bufio.NewScanner(f); lines.Scan(); {
		line := strings.TrimSpace(lines.Text())
		if strings.HasPrefix(line, "#") {
			sourced = sourced || strings.Contains(line, "Source")
		} else if line != "" {
			rows = append(rows, strings.Fields(line))
		}
	}
	require.True(t, sourced, "%s names no source", name)
	require.NotEmpty(t, rows)
	return rows
}

func num(t *testing.T, s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

func TestWilson(t *testing.T) {
	for _, row := range published(t, "wilson.txt") {
		low, high := report.Share{K: int(num(t, row[0])), N: int(num(t, row[1]))}.Wilson()
		require.InDelta(t, num(t, row[2]), float64(low), 0.05, row)
		require.InDelta(t, num(t, row[3]), float64(high), 0.05, row)
	}
	low, high := report.Share{}.Wilson()
	require.Zero(t, low)
	require.EqualValues(t, 100, high)
	p, ok := report.Share{K: 17, N: 20}.Percent()
	require.True(t, ok)
	require.EqualValues(t, 85, p)
}

func TestMonotonyAndStrain(t *testing.T) {
	for _, row := range published(t, "monotony.txt") {
		var w report.Week
		for i := range w {
			if row[i] != "-" {
				w[i] = new(num(t, row[i]))
			}
		}
		m, s, ok := w.Monotony()
		require.Equal(t, row[7] != "x", ok, row)
		if ok {
			require.InDelta(t, num(t, row[7]), m, 0.00005)
			require.InDelta(t, num(t, row[8]), s, 0.005)
		}
	}
}

func TestInjuryRates(t *testing.T) {
	ints := func(s string) (out []int) {
		for _, f := range strings.Split(s, ",") {
			out = append(out, int(num(t, f)))
		}
		return out
	}
	for _, row := range published(t, "injury-rates.txt") {
		e := report.EpidemiologyOf(ints(row[0]), num(t, row[1]))
		all, loss, ok := e.Incidence()
		require.True(t, ok)
		require.InDelta(t, num(t, row[2]), all, 0.005)
		require.InDelta(t, num(t, row[3]), loss, 0.005)
		burden, _ := e.Burden()
		require.InDelta(t, num(t, row[4]), burden, 0.005)
		require.Equal(t, ints(row[5]), e.Bins[:])
	}
	_, _, ok := report.EpidemiologyOf([]int{3}, 0).Incidence()
	require.False(t, ok, "no hours, no rate")
}

// By hand: done 900 of 1000, 400 of 500, 100 of 500 kg. Ratio of sums 1400/2000 =
// 70 %; mean of ratios (90+80+20)/3 = 63.33 %. Jackknife pseudo-values of the
// ratio of sums: 3*70-2*50 = 110, 3*70-2*66.667 = 76.667, 3*70-2*86.667 = 36.667;
// their standard deviation is 36.717, so the half width is 4.303*36.717/sqrt 3 =
// 91.22; of the ratios it is 37.859, so 4.303*37.859/sqrt 3 = 94.05.
func TestRatio(t *testing.T) {
	r, ok := report.RatioOf([]float64{900, 400, 100, 0}, []float64{1000, 500, 500, 0})
	require.True(t, ok)
	require.Equal(t, 3, r.N)
	require.InDelta(t, 70, float64(r.OfSums), 1e-9)
	require.InDelta(t, 63.333, float64(r.Mean), 0.001)
	require.InDelta(t, 70+91.22, float64(r.SumsHigh), 0.05)
	require.Zero(t, r.SumsLow)
	require.InDelta(t, 63.333+94.05, float64(r.MeanHigh), 0.05)
	_, ok = report.RatioOf([]float64{0}, []float64{0})
	require.False(t, ok)
	one, ok := report.RatioOf([]float64{50}, []float64{100})
	require.True(t, ok)
	require.Zero(t, one.SumsHigh, "one player has no interval")
}
