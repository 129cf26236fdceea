package report_test

import (
	"bytes"
	"flag"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
	"pegcard/store/report"
)

var update = flag.Bool("update", false, "write the golden pictures anew; look at each of them then")

const pictures = "../../testdata/pictures"

// golden compares a picture with the one on file. Letters may come out a little
// different with another version of the font renderer, so that a pixel may
// differ somewhat and a few pixels altogether; size and layout may not.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join(pictures, name+".png")
	if *update {
		require.NoError(t, os.MkdirAll(pictures, 0o755))
		require.NoError(t, os.WriteFile(path, got, 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "draw it with -update, and look at it")
	a, err := png.Decode(bytes.NewReader(got))
	require.NoError(t, err)
	b, err := png.Decode(bytes.NewReader(want))
	require.NoError(t, err)
	require.Equal(t, b.Bounds(), a.Bounds())
	require.Less(t, different(a, b), 0.002, "the share of pixels that differ in %s", name)
	require.LessOrEqual(t, a.Bounds().Dx()+a.Bounds().Dy(), 10000, "more than a chat takes")
}

// different is the share of pixels whose grey differs by more than a sixth.
func different(a, b image.Image) float64 {
	n, size := 0, a.Bounds()
	for y := size.Min.Y; y < size.Max.Y; y++ {
		for x := size.Min.X; x < size.Max.X; x++ {
			if d := grey(a, x, y) - grey(b, x, y); d > 1./6 || d < -1./6 {
				n++
			}
		}
	}
	return float64(n) / float64(size.Dx()*size.Dy())
}

// grey is the luminance of a pixel (ITU-R BT.601), 0 to 1.
func grey(m image.Image, x, y int) float64 {
	r, g, b, _ := m.At(x, y).RGBA()
	return (0.299*float64(r) + 0.587*float64(g) + 0.114*float64(b)) / 0xffff
}

var dayKeys = []report.Key{{report.MarkDone, "done"}, {report.MarkChanged, "done with changes"}, {report.MarkMissed, "not done"},
	{report.MarkSilent, "no answer"}, {report.MarkOpen, "still open"}, {report.MarkWaiting, "waits for approval"}, {report.MarkHeld, "held"}, {report.MarkRest, "no session"}}

func dayBoard() report.Board {
	row := func(name string, m report.Mark, note string, done, planned int) report.Row {
		r := report.Row{Name: name, Short: "7", Cells: []report.Cell{{Mark: m}}, Note: note, Done: done, Planned: planned}
		if planned > 0 {
			r.Value = string(rune('0'+done/10)) + string(rune('0'+done%10)) + "/" + string(rune('0'+planned/10)) + string(rune('0'+planned%10))
		}
		return r
	}
	return report.Board{
		Title: "First team: Tue 10 March",
		Lines: []string{"Done: 3 of 5 (60 %; 95 % interval 23 to 88 %)", "Weight moved, of what was planned: 71 %"},
		Rows: []report.Row{
			row("Aurelio Brightmoor", report.MarkDone, "", 14, 14),
			row("Bastien Coldwater-Achterberg", report.MarkChanged, "with changes", 9, 14),
			row("Cadoc Fenwright", report.MarkMissed, "not done (no time)", 0, 14),
			row("Dragoš Ølberg", report.MarkSilent, "no answer", 0, 12),
			row("Emeric Harrowgate", report.MarkHeld, "held, ask medical staff", 0, 0),
			row("فلان", report.MarkOpen, "still open", 0, 16),
			row("Ginaro Iveshall", report.MarkWaiting, "waits for approval", 0, 14),
			row("Hale Juniper", report.MarkRest, "", 0, 0),
		},
		Keys: dayKeys,
	}
}

func TestDayPicture(t *testing.T) {
	got, err := report.DrawBoard(dayBoard())
	require.NoError(t, err)
	golden(t, "day", got)
	again, err := report.DrawBoard(dayBoard())
	require.NoError(t, err)
	require.True(t, bytes.Equal(got, again), "the same values give the same bytes")
}

func TestWeekPicture(t *testing.T) {
	b := report.Board{Title: "First team: week of 9 March", Lines: []string{"Done: 17 of 20 (85 %; 95 % interval 64 to 95 %)"}, Heads: []string{"M", "T", "W", "T", "F", "S", "S"}, Keys: append([]report.Key{{report.MarkMatch, "match"}}, dayKeys[:4]...)}
	marks := []report.Mark{report.MarkRest, report.MarkDone, report.MarkNone, report.MarkChanged, report.MarkMissed, report.MarkMatch, report.MarkSilent}
	for i, name := range []string{"Aurelio Brightmoor", "Bastien Coldwater-Achterberg", "Cadoc Fenwright"} {
		r := report.Row{Name: name, Value: "2/3"}
		for j := range marks {
			r.Cells = append(r.Cells, report.Cell{Mark: marks[(i+j)%7]})
		}
		b.Rows = append(b.Rows, r)
	}
	got, err := report.DrawBoard(b)
	require.NoError(t, err)
	golden(t, "week", got)
	b.Title, b.Heads = "First team: March", []string{"2/3", "9/3", "16/3", "23/3", "30/3"}
	for i := range b.Rows {
		b.Rows[i].Cells = []report.Cell{{report.MarkDone, "2/2"}, {report.MarkChanged, "1/2"}, {report.MarkMissed, "0/2"}, {report.MarkDone, "3/3"}, {report.MarkHeld, ""}}
	}
	got, err = report.DrawBoard(b)
	require.NoError(t, err)
	golden(t, "month", got)
}

// monday is the first day of the pictures' weeks.
var monday = prescribe.Date(2026, 2, 9)

func frame(title string, keys ...report.Key) report.Frame {
	return report.Frame{Title: title, Lines: []string{"What your own sets say. The band is where your strength most likely is."}, Keys: keys,
		Date:     func(d prescribe.Day) string { return d.Time().Format("2 Jan") },
		Weekdays: [7]string{"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"}}
}

func TestStrengthPicture(t *testing.T) {
	s := report.Strength{From: monday, To: monday + 55}
	for i, key := range []string{"back_squat", "rear_foot_elevated_split_squat/left"} {
		l := report.LiftHistory{Key: key}
		for d := monday + 3; d <= s.To; d += 4 {
			n := prescribe.Kg(d - monday)
			mid := prescribe.Kg(130-70*i) + n/8
			wide := 3 + 6/(1+n/10)
			l.Band = append(l.Band, report.BandPoint{Day: d, Low: mid - wide, Median: mid, High: mid + wide})
			as := prescribe.ReadAtLeast
			if d%3 == 0 {
				as = prescribe.ReadExact
			}
			l.Sets = append(l.Sets, report.SetPoint{Day: d, OneRM: mid + prescribe.Kg(int(d)%7) - 4, As: as})
		}
		s.Lifts = append(s.Lifts, l)
	}
	got, err := report.DrawStrength(frame("Aurelio Brightmoor: strength", report.Key{Mark: report.MarkExact, Words: "a set that shows it"},
		report.Key{Mark: report.MarkAtLeast, Words: "a set that shows: this or more"}, report.Key{Mark: report.MarkBand, Words: "likely strength"}), s,
		map[string]string{"back_squat": "Back squat", "rear_foot_elevated_split_squat/left": "القرفصاء"})
	require.NoError(t, err)
	golden(t, "strength", got)
}

func TestExposurePicture(t *testing.T) {
	x := report.Exposure{From: monday, To: monday + 34, Days: map[prescribe.Day]report.ExposureDay{}}
	for d := x.From; d <= x.To; d++ {
		day := report.ExposureDay{Did: map[prescribe.Method]int{}, Minutes: -1}
		switch (d - monday) % 7 {
		case 1:
			day.Did = map[prescribe.Method]int{prescribe.Traditional: 8, prescribe.Eccentric: 2, prescribe.Flywheel: 3}
		case 3:
			day.Did = map[prescribe.Method]int{prescribe.Traditional: 4}
		case 5:
			day.Match, day.Minutes = true, 90
		}
		x.Days[d] = day
	}
	x.Days[monday+5] = report.ExposureDay{Did: map[prescribe.Method]int{prescribe.Eccentric: 2}, Match: true, Minutes: -1}
	got, err := report.DrawExposure(frame("Aurelio Brightmoor: work and matches", report.Key{Mark: report.MarkTraditional, Words: "weights"},
		report.Key{Mark: report.MarkEccentric, Words: "eccentric"}, report.Key{Mark: report.MarkFlywheel, Words: "flywheel"}, report.Key{Mark: report.MarkMatch, Words: "match, minutes"}), x)
	require.NoError(t, err)
	golden(t, "exposure", got)
}

func TestSorenessPicture(t *testing.T) {
	x := report.SorenessHistory{From: monday, To: monday + 27}
	for i, key := range []string{"hamstring/left", "hamstring/right", "calf", "adductor"} {
		p := report.SorePlace{Key: key, Scores: map[prescribe.Day]prescribe.Score{}}
		for d := x.From + prescribe.Day(i); d <= x.To; d += prescribe.Day(2 + i) {
			p.Scores[d] = prescribe.Score(int(d) % 11)
		}
		x.Places = append(x.Places, p)
	}
	got, err := report.DrawSoreness(frame("Aurelio Brightmoor: soreness"), x, map[string]string{"hamstring/left": "left hamstring", "hamstring/right": "right hamstring", "calf": "calf"})
	require.NoError(t, err)
	golden(t, "soreness", got)
}
