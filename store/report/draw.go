package report

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"slices"
	"strings"
	"sync"
	"unicode"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	xfont "golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
)

// How pictures are drawn. They are as wide as a phone, in points that a phone
// shows at about their size; black on white; each meaning has a shape and a
// word, and colour only repeats it, so a picture in grey says the same.
//
// The letters are Liberation Sans (SIL Open Font License 1.1, which allows
// embedding). It has Latin letters and no Arabic ones, and joined scripts
// need shaping besides: words that it cannot draw are left out, and stand in
// the message beside the picture, which explains every shape in any case.

const (
	sheetWidth  = vg.Length(360)
	sheetMargin = vg.Length(12)
	sheetDPI    = 180 // 900 pixels across
)

var (
	ink    = color.NRGBA{0x1a, 0x1a, 0x1a, 0xff}
	faint  = color.NRGBA{0x58, 0x58, 0x58, 0xff}
	rule   = color.NRGBA{0xc4, 0xc4, 0xc4, 0xff}
	stripe = color.NRGBA{0xf1, 0xf1, 0xf1, 0xff}
	blue   = color.NRGBA{0x1c, 0x55, 0x95, 0xff}
	pale   = color.NRGBA{0xc3, 0xd3, 0xe6, 0xff}
	red    = color.NRGBA{0xa8, 0x24, 0x1b, 0xff}
)

// Mark is a shape with a meaning.
type Mark int

// The marks, with the characters that stand for them in a message.
const (
	MarkNone        Mark = iota
	MarkDone             // ●
	MarkChanged          // ◐
	MarkMissed           // ✕
	MarkSilent           // ?
	MarkOpen             // ○
	MarkHeld             // ■
	MarkWaiting          // □
	MarkRest             // ·
	MarkMatch            // ▲
	MarkTraditional      // ■
	MarkEccentric        // ▼
	MarkFlywheel         // ◆
	MarkExact            // ●
	MarkAtLeast          // △
	MarkBand             // ▒
)

// String is the character that stands for the mark in a message.
func (m Mark) String() string {
	return [...]string{"", "●", "◐", "✕", "?", "○", "■", "□", "·", "▲", "■", "▼", "◆", "●", "△", "▒"}[m]
}

// Key says what a mark means.
type Key struct {
	Mark  Mark
	Words string
}

var letters = sync.OnceValue(func() *font.Cache {
	face := func(ttf []byte, weight xfont.Weight) font.Face {
		f, err := opentype.Parse(ttf)
		if err != nil {
			panic(fmt.Sprintf("an embedded font cannot be read: %v", err))
		}
		return font.Face{Font: font.Font{Typeface: "Liberation", Variant: "Sans", Weight: weight}, Face: f}
	}
	return font.NewCache(font.Collection{face(liberationsansregular.TTF, xfont.WeightNormal), face(liberationsansbold.TTF, xfont.WeightBold)})
})

// Drawable reports whether the pictures' letters can write s.
func Drawable(s string) bool {
	f := letters().Lookup(font.Font{Typeface: "Liberation", Variant: "Sans"}, 10).Face
	var buf sfnt.Buffer
	return !strings.ContainsFunc(clean(s), func(r rune) bool {
		i, err := f.GlyphIndex(&buf, r)
		return err != nil || i == 0
	})
}

// clean takes out the marks of writing direction, which are not drawn.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.Is(unicode.Cf, r):
			return -1
		case unicode.IsSpace(r):
			return ' '
		}
		return r
	}, s)
}

// sheet is a picture being drawn. Lengths are points from its top left corner.
type sheet struct {
	draw.Canvas
	img  *vgimg.Canvas
	h, y vg.Length // height, and how far down it is full
}

func newSheet(height vg.Length) *sheet {
	img := vgimg.NewWith(vgimg.UseWH(sheetWidth, height), vgimg.UseDPI(sheetDPI), vgimg.UseBackgroundColor(color.White))
	return &sheet{Canvas: draw.New(img), img: img, h: height, y: sheetMargin}
}

func (s *sheet) at(x, y vg.Length) vg.Point { return vg.Point{X: x, Y: s.h - y} }

// writing is how text is drawn.
type writing struct {
	size  vg.Length
	bold  bool
	color color.Color
	align text.XAlignment
}

var (
	titled  = writing{size: 14, bold: true, color: ink}
	plain   = writing{size: 11, color: ink}
	small   = writing{size: 9.5, color: faint}
	rightly = writing{size: 11, color: ink, align: text.XRight}
	middle  = writing{size: 9.5, color: faint, align: text.XCenter}
)

func (w writing) style() text.Style {
	f := font.Font{Typeface: "Liberation", Variant: "Sans", Size: w.size}
	if w.bold {
		f.Weight = xfont.WeightBold
	}
	return text.Style{Color: w.color, Font: f, XAlign: w.align, YAlign: text.YCenter, Handler: text.Plain{Fonts: letters()}}
}

// write draws words with their middle at y; words that cannot be drawn are left
// out, and what is wider than room ends in an ellipsis.
func (s *sheet) write(x, y vg.Length, w writing, words string, room vg.Length) vg.Length {
	words = clean(words)
	if words == "" || !Drawable(words) {
		return 0
	}
	style := w.style()
	if style.Width(words) > room {
		r := []rune(words)
		for len(r) > 0 && style.Width(string(r)+"…") > room {
			r = r[:len(r)-1]
		}
		words = strings.TrimSpace(string(r)) + "…"
	}
	// The middle of the capitals stands at y: text is not centred on its descent.
	style.YAlign = text.YBottom
	s.FillText(style, s.at(x, y+w.size*0.26+style.FontExtents().Descent), words)
	return style.Width(words)
}

// wrap breaks words into lines no wider than room.
func (w writing) wrap(words string, room vg.Length) []string {
	style := w.style()
	var lines []string
	line := ""
	for _, f := range strings.Fields(clean(words)) {
		switch next := strings.TrimSpace(line + " " + f); {
		case line == "" || style.Width(next) <= room:
			line = next
		default:
			lines, line = append(lines, line), f
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

func (s *sheet) fill(c color.Color, x, y, w, h vg.Length) {
	s.FillPolygon(c, []vg.Point{s.at(x, y), s.at(x+w, y), s.at(x+w, y+h), s.at(x, y+h)})
}

func (s *sheet) line(c color.Color, width vg.Length, ps ...vg.Point) {
	s.StrokeLines(draw.LineStyle{Color: c, Width: width}, ps)
}

func (s *sheet) box(c color.Color, width, x, y, w, h vg.Length) {
	s.line(c, width, s.at(x, y), s.at(x+w, y), s.at(x+w, y+h), s.at(x, y+h), s.at(x, y))
}

// mark draws m around (x, y) with radius r.
func (s *sheet) mark(m Mark, x, y, r vg.Length) { drawMark(&s.Canvas, m, s.at(x, y), r) }

func drawMark(c *draw.Canvas, m Mark, p vg.Point, r vg.Length) {
	glyph := func(g draw.GlyphDrawer, col color.Color, r vg.Length) {
		c.DrawGlyphNoClip(draw.GlyphStyle{Color: col, Radius: r, Shape: g}, p)
	}
	poly := func(col color.Color, fill bool, ds ...vg.Point) {
		for i := range ds {
			ds[i] = vg.Point{X: p.X + ds[i].X*r, Y: p.Y + ds[i].Y*r}
		}
		if fill {
			c.FillPolygon(col, ds)
			return
		}
		c.StrokeLines(draw.LineStyle{Color: col, Width: max(r/4, 0.8)}, append(ds, ds[0]))
	}
	ring := func(col color.Color, width vg.Length) {
		var path vg.Path
		path.Move(vg.Point{X: p.X + r, Y: p.Y})
		path.Arc(p, r, 0, 2*3.141592653589793)
		path.Close()
		c.SetColor(col)
		c.SetLineWidth(width)
		c.SetLineDash(nil, 0)
		c.Stroke(path)
	}
	pt := func(x, y vg.Length) vg.Point { return vg.Point{X: x, Y: y} }
	switch m {
	case MarkDone, MarkExact:
		glyph(draw.CircleGlyph{}, blue, r)
	case MarkChanged:
		ring(blue, max(r/4, 0.8))
		var path vg.Path
		path.Move(pt(p.X, p.Y+r))
		path.Arc(p, r, 3.141592653589793/2, 3.141592653589793)
		path.Close()
		c.SetColor(blue)
		c.Fill(path)
	case MarkMissed:
		style := draw.LineStyle{Color: red, Width: max(r/2.4, 1.2)}
		k := r * 0.85
		c.StrokeLine2(style, p.X-k, p.Y-k, p.X+k, p.Y+k)
		c.StrokeLine2(style, p.X-k, p.Y+k, p.X+k, p.Y-k)
	case MarkSilent:
		w := writing{size: r * 3, bold: true, color: ink, align: text.XCenter}.style()
		c.FillText(w, p, "?")
	case MarkOpen:
		ring(ink, max(r/4, 0.8))
	case MarkHeld:
		poly(ink, true, pt(-.9, -.9), pt(.9, -.9), pt(.9, .9), pt(-.9, .9))
	case MarkTraditional:
		poly(blue, true, pt(-.9, -.9), pt(.9, -.9), pt(.9, .9), pt(-.9, .9))
	case MarkWaiting:
		poly(ink, false, pt(-.9, -.9), pt(.9, -.9), pt(.9, .9), pt(-.9, .9))
	case MarkRest:
		glyph(draw.CircleGlyph{}, faint, r/3)
	case MarkMatch:
		poly(ink, true, pt(-1, -.85), pt(1, -.85), pt(0, 1))
	case MarkEccentric:
		poly(red, true, pt(-1, .85), pt(1, .85), pt(0, -1))
	case MarkFlywheel:
		poly(ink, true, pt(-1.1, 0), pt(0, -1.1), pt(1.1, 0), pt(0, 1.1))
	case MarkAtLeast:
		poly(faint, false, pt(-.9, -.75), pt(.9, -.75), pt(0, .9))
	case MarkBand:
		poly(pale, true, pt(-1.3, -.8), pt(1.3, -.8), pt(1.3, .8), pt(-1.3, .8))
	}
}

// head draws a title, the lines under it, and moves down.
func (s *sheet) head(title string, lines []string) {
	room := sheetWidth - 2*sheetMargin
	s.write(sheetMargin, s.y+8, titled, title, room)
	s.y += 22
	for _, l := range lines {
		for _, part := range small.wrap(l, room) {
			s.write(sheetMargin, s.y+5, small, part, room)
			s.y += 13
		}
	}
	s.y += 5
}

func headHeight(lines []string) vg.Length {
	h := vg.Length(27)
	for _, l := range lines {
		h += 13 * vg.Length(len(small.wrap(l, sheetWidth-2*sheetMargin)))
	}
	return h
}

// key draws what the marks mean. Where the words cannot be drawn there is
// nothing: the message says it.
func (s *sheet) key(keys []Key) {
	s.y += 6
	for _, line := range keyLines(keys) {
		x := sheetMargin
		for _, k := range line {
			s.mark(k.Mark, x+5, s.y+6, 4)
			x += 14
			x += s.write(x, s.y+6, small, k.Words, sheetWidth-sheetMargin-x) + 12
		}
		s.y += 15
	}
}

func keyLines(keys []Key) [][]Key {
	keys = slices.DeleteFunc(slices.Clone(keys), func(k Key) bool { return !Drawable(k.Words) })
	style := small.style()
	var lines [][]Key
	x := vg.Length(0)
	for _, k := range keys {
		w := 26 + style.Width(clean(k.Words))
		if len(lines) == 0 || x+w > sheetWidth-2*sheetMargin+12 {
			lines, x = append(lines, nil), 0
		}
		lines[len(lines)-1] = append(lines[len(lines)-1], k)
		x += w
	}
	return lines
}

func keyHeight(keys []Key) vg.Length { return 6 + 15*vg.Length(len(keyLines(keys))) }

// png encodes the picture. Its few colours go into a palette: a fifth of the
// bytes of a true-colour file.
func (s *sheet) png() ([]byte, error) {
	var out bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := enc.Encode(&out, indexed(s.img.Image())); err != nil {
		return nil, fmt.Errorf("encode a picture: %w", err)
	}
	return out.Bytes(), nil
}

// indexed is src in at most 256 colours, or src itself when it has more. The
// colours are in the order they are met, so the same picture gives the same
// bytes.
func indexed(src image.Image) image.Image {
	rgba, ok := src.(*image.RGBA)
	if !ok {
		return src
	}
	b := rgba.Bounds()
	var colors color.Palette
	index := map[uint32]uint8{}
	pix := make([]uint8, b.Dx()*b.Dy())
	for y := range b.Dy() {
		row := rgba.Pix[y*rgba.Stride : y*rgba.Stride+4*b.Dx()]
		for x := range b.Dx() {
			p := row[4*x : 4*x+3]
			// 32 steps a channel: letters stay smooth, and the palette holds them.
			r, g, bl := step(p[0]), step(p[1]), step(p[2])
			k := uint32(r)<<16 | uint32(g)<<8 | uint32(bl)
			i, ok := index[k]
			if !ok {
				if len(colors) == 256 {
					return src
				}
				i = uint8(len(colors))
				index[k] = i
				colors = append(colors, color.NRGBA{r, g, bl, 0xff})
			}
			pix[y*b.Dx()+x] = i
		}
	}
	return &image.Paletted{Pix: pix, Stride: b.Dx(), Rect: image.Rect(0, 0, b.Dx(), b.Dy()), Palette: colors}
}

func step(v uint8) uint8 { return uint8(min((int(v)+4)/8*8, 255)) }
