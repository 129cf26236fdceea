package report

import (
	"image/color"
	"math"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pegcard/prescribe"
)

// Frame is what stands around a picture.
type Frame struct {
	Title string
	Lines []string
	Keys  []Key
	// Date writes a day short, such as "9 March"; where it cannot be drawn, the
	// picture writes 03-09.
	Date func(prescribe.Day) string
	// Weekdays are the names from Monday on.
	Weekdays [7]string
}

func (f Frame) date(d prescribe.Day) string {
	if s := clean(f.Date(d)); Drawable(s) {
		return s
	}
	return d.String()[5:]
}

const panelHeight = vg.Length(112)

// DrawStrength draws a player's strength: one panel a lift, the band of the
// estimate, and the sets behind it. names are the lifts' in the reader's
// language; one that cannot be drawn is written as its code.
func DrawStrength(f Frame, s Strength, names map[string]string) ([]byte, error) {
	height := 2*sheetMargin + headHeight(f.Lines) + panelHeight*vg.Length(len(s.Lifts)) + keyHeight(f.Keys)
	page := newSheet(height)
	page.head(f.Title, f.Lines)
	for _, l := range s.Lifts {
		name := names[l.Key]
		if !Drawable(name) || name == "" {
			name = l.Key
		}
		page.write(sheetMargin, page.y+7, writing{size: 11, bold: true, color: ink}, name, sheetWidth-2*sheetMargin)
		p := plot.New()
		p.TextHandler = text.Plain{Fonts: letters()}
		p.X.Min, p.X.Max = float64(s.From), float64(s.To)
		p.X.Tick.Marker = plot.TickerFunc(func(lo, hi float64) []plot.Tick {
			var ticks []plot.Tick
			days := int(hi - lo)
			step := (days/4 + 6) / 7 * 7
			for d := prescribe.Day(lo).Monday(); d <= prescribe.Day(hi); d += prescribe.Day(max(step, 7)) {
				if d >= prescribe.Day(lo) {
					ticks = append(ticks, plot.Tick{Value: float64(d), Label: f.date(d)})
				}
			}
			return ticks
		})
		p.Y.Tick.Marker = plot.TickerFunc(kgTicks)
		for _, axis := range []*plot.Axis{&p.X, &p.Y} {
			axis.Tick.Label.Handler, axis.Tick.Label.Font, axis.Tick.Label.Color = p.TextHandler, small.style().Font, faint
			axis.LineStyle.Color, axis.LineStyle.Width = rule, 0.7
			axis.Tick.LineStyle.Color, axis.Tick.LineStyle.Width, axis.Tick.Length = rule, 0.7, 3
		}
		grid := plotter.NewGrid()
		grid.Vertical.Width = 0
		grid.Horizontal.Color = stripe
		p.Add(grid)
		var low, high, mid plotter.XYs
		for _, b := range l.Band {
			low = append(low, plotter.XY{X: float64(b.Day), Y: float64(b.Low)})
			high = append(high, plotter.XY{X: float64(b.Day), Y: float64(b.High)})
			mid = append(mid, plotter.XY{X: float64(b.Day), Y: float64(b.Median)})
		}
		if len(mid) > 1 {
			around := append(plotter.XYs{}, high...)
			for i := len(low) - 1; i >= 0; i-- {
				around = append(around, low[i])
			}
			band, err := plotter.NewPolygon(around)
			if err != nil {
				return nil, err
			}
			band.Color, band.LineStyle.Width = pale, 0
			line, err := plotter.NewLine(mid)
			if err != nil {
				return nil, err
			}
			line.Color, line.Width = blue, 1.4
			p.Add(band, line)
		}
		lo, hi := l.span()
		p.Y.Min, p.Y.Max = lo, hi
		p.Add(marksOf{l.Sets})
		p.Draw(draw.Crop(page.Canvas, sheetMargin-4, -sheetMargin, page.h-page.y-panelHeight+6, -page.y-15))
		page.y += panelHeight
	}
	page.key(f.Keys)
	return page.png()
}

// span is from where to where a lift's axis goes, in kg: what is shown, and a
// little more.
func (l LiftHistory) span() (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	take := func(v prescribe.Kg) { lo, hi = min(lo, float64(v)), max(hi, float64(v)) }
	for _, b := range l.Band {
		take(b.Low)
		take(b.High)
	}
	for _, s := range l.Sets {
		take(s.OneRM)
	}
	pad := max((hi-lo)*0.08, 2)
	return lo - pad, hi + pad
}

// kgTicks are at most five round numbers of kilograms.
func kgTicks(lo, hi float64) []plot.Tick {
	step := 1.0
	for _, s := range []float64{1, 2, 5, 10, 20, 50, 100} {
		if step = s; (hi-lo)/s <= 5 {
			break
		}
	}
	var ticks []plot.Tick
	for v := math.Ceil(lo/step) * step; v <= hi; v += step {
		ticks = append(ticks, plot.Tick{Value: v, Label: strconv.Itoa(int(v)) + " kg"})
	}
	return ticks
}

// marksOf draws sets in their shapes.
type marksOf struct{ sets []SetPoint }

func (m marksOf) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	for _, s := range m.sets {
		mark := MarkAtLeast
		if s.As == prescribe.ReadExact {
			mark = MarkExact
		}
		drawMark(&c, mark, vg.Point{X: x(float64(s.Day)), Y: y(float64(s.OneRM))}, 3)
	}
}

// DrawExposure draws which methods a player trained on which day, week by week,
// beside the matches.
func DrawExposure(f Frame, x Exposure) ([]byte, error) {
	weeks := int(x.To.Monday()-x.From.Monday())/7 + 1
	const cellH, top = vg.Length(34), vg.Length(14)
	height := 2*sheetMargin + headHeight(f.Lines) + top + cellH*vg.Length(weeks) + keyHeight(f.Keys)
	s := newSheet(height)
	s.head(f.Title, f.Lines)
	label := vg.Length(66)
	cell := (sheetWidth - 2*sheetMargin - label) / 7
	for i, w := range f.Weekdays {
		s.write(sheetMargin+label+cell*(vg.Length(i)+.5), s.y+5, middle, w, cell)
	}
	s.y += top
	for w := range weeks {
		monday := x.From.Monday() + prescribe.Day(7*w)
		s.write(sheetMargin, s.y+cellH/2, small, f.date(monday), label-4)
		for i := range 7 {
			d := monday + prescribe.Day(i)
			left := sheetMargin + label + cell*vg.Length(i)
			if d < x.From || d > x.To {
				continue
			}
			day := x.Days[d]
			if day.Match {
				s.fill(stripe, left, s.y, cell, cellH)
			}
			s.box(rule, 0.7, left, s.y, cell, cellH)
			s.write(left+4, s.y+7, writing{size: 7.5, color: faint}, strconv.Itoa(d.Time().Day()), cell)
			var marks []Mark
			if day.Match {
				marks = append(marks, MarkMatch)
				if day.Minutes >= 0 {
					s.write(left+cell-3, s.y+7, writing{size: 7.5, color: ink, align: text.XRight}, strconv.Itoa(day.Minutes)+"′", cell)
				}
			}
			for _, m := range []struct {
				did  bool
				mark Mark
			}{{day.Did[prescribe.Traditional] > 0, MarkTraditional}, {day.Did[prescribe.Eccentric] > 0, MarkEccentric}, {day.Did[prescribe.Flywheel] > 0, MarkFlywheel}} {
				if m.did {
					marks = append(marks, m.mark)
				}
			}
			gap := min(vg.Length(11), (cell-4)/vg.Length(max(len(marks), 1)))
			from := left + cell/2 - gap*vg.Length(len(marks)-1)/2
			for j, m := range marks {
				s.mark(m, from+gap*vg.Length(j), s.y+cellH*0.64, min(4, gap*0.42))
			}
		}
		s.y += cellH
	}
	s.key(f.Keys)
	return s.png()
}

// DrawSoreness draws a player's soreness, one row a place, one column a day:
// the score as a number, and the darker the higher. names are the places' in
// the reader's language; one that cannot be drawn is written as its code.
func DrawSoreness(f Frame, x SorenessHistory, names map[string]string) ([]byte, error) {
	days := int(x.To-x.From) + 1
	const rowH = vg.Length(18)
	height := 2*sheetMargin + headHeight(f.Lines) + rowH*vg.Length(len(x.Places)) + 16 + keyHeight(f.Keys)
	s := newSheet(height)
	s.head(f.Title, f.Lines)
	const label = vg.Length(86)
	cell := (sheetWidth - 2*sheetMargin - label) / vg.Length(days)
	for _, p := range x.Places {
		name := names[p.Key]
		if !Drawable(name) || name == "" {
			name = p.Key
		}
		s.write(sheetMargin, s.y+rowH/2, writing{size: 9.5, color: ink}, name, label-4)
		for d := range days {
			left := sheetMargin + label + cell*vg.Length(d)
			s.box(stripe, 0.5, left, s.y, cell, rowH)
			score, told := p.Scores[x.From+prescribe.Day(d)]
			if !told {
				continue
			}
			v := uint8(0xff - 0x15*int(score))
			s.fill(color.NRGBA{v, v, v, 0xff}, left+.3, s.y+.3, cell-.6, rowH-.6)
			w := writing{size: min(8.5, cell*0.85), color: ink, align: text.XCenter}
			if score >= 6 {
				w.color = color.White
			}
			s.write(left+cell/2, s.y+rowH/2, w, strconv.Itoa(int(score)), rowH)
		}
		s.y += rowH
	}
	for d := range days {
		if day := x.From + prescribe.Day(d); day == day.Monday() {
			left := sheetMargin + label + cell*vg.Length(d)
			s.line(rule, 0.7, s.at(left, s.y), s.at(left, s.y+4))
			s.write(left, s.y+10, writing{size: 8.5, color: faint}, f.date(day), sheetWidth-left)
		}
	}
	s.y += 16
	s.key(f.Keys)
	return s.png()
}
