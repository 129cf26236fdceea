package report

import (
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
)

// Board is a squad as a picture, one row a player.
type Board struct {
	Title string
	Lines []string // under the title
	Heads []string // over the cells; none for a single cell
	Rows  []Row
	Keys  []Key
}

// Row is one player.
type Row struct {
	Name  string
	Short string // written where the pictures have no letters for the name
	Cells []Cell
	Note  string
	// Done and Planned are drawn as a bar where Planned is not 0.
	Done, Planned int
	Value         string // at the right end
}

// Cell is a mark with a short text under it or none.
type Cell struct {
	Mark Mark
	Text string
}

const (
	rowHeight = vg.Length(17)
	nameRoom  = vg.Length(112)
)

// DrawBoard draws a board as a PNG.
func DrawBoard(b Board) ([]byte, error) {
	widest := 0
	planned := 0
	for _, r := range b.Rows {
		widest, planned = max(widest, len(r.Cells)), max(planned, r.Planned)
	}
	height := 2*sheetMargin + headHeight(b.Lines) + rowHeight*vg.Length(len(b.Rows)) + keyHeight(b.Keys)
	if len(b.Heads) > 0 {
		height += 14
	}
	s := newSheet(height)
	s.head(b.Title, b.Lines)
	right := sheetWidth - sheetMargin
	cellsFrom := sheetMargin + nameRoom + 6
	valueRoom := vg.Length(0)
	for _, r := range b.Rows {
		valueRoom = max(valueRoom, plain.style().Width(clean(r.Value)))
	}
	cellWidth := vg.Length(16)
	if widest > 1 {
		cellWidth = min(46, (right-valueRoom-8-cellsFrom)/vg.Length(widest))
	}
	if len(b.Heads) > 0 {
		for i, h := range b.Heads {
			s.write(cellsFrom+cellWidth*(vg.Length(i)+.5), s.y+5, middle, h, cellWidth+2)
		}
		s.y += 14
	}
	for i, r := range b.Rows {
		if i%2 == 0 {
			s.fill(stripe, sheetMargin-4, s.y, sheetWidth-2*sheetMargin+8, rowHeight)
		}
		y := s.y + rowHeight/2
		name := r.Name
		if !Drawable(name) {
			name = r.Short
		}
		x := sheetMargin
		if widest == 1 {
			for _, c := range r.Cells {
				s.mark(c.Mark, x+5, y, 4.5)
			}
			x += cellWidth
		}
		s.write(x, y, plain, name, nameRoom)
		x += nameRoom + 6
		if widest > 1 {
			for j, c := range r.Cells {
				mid := cellsFrom + cellWidth*(vg.Length(j)+.5)
				if c.Text == "" || !Drawable(c.Text) {
					s.mark(c.Mark, mid, y, 4)
					continue
				}
				s.mark(c.Mark, mid-9, y, 4)
				s.write(mid+6, y, writing{size: 9.5, color: ink, align: text.XCenter}, c.Text, cellWidth-12)
			}
		}
		s.write(right, y, rightly, r.Value, sheetWidth)
		if planned > 0 && widest == 1 {
			const bar = vg.Length(58)
			from := right - valueRoom - 6 - bar
			if r.Planned > 0 {
				full := bar * vg.Length(r.Planned) / vg.Length(planned)
				s.fill(blue, from, y-3.5, min(full*vg.Length(r.Done)/vg.Length(r.Planned), bar), 7)
				s.box(ink, 0.7, from, y-3.5, full, 7)
			}
			s.write(x, y, small, r.Note, from-x-4)
		} else if widest == 1 {
			s.write(x, y, small, r.Note, right-valueRoom-x-4)
		}
		s.y += rowHeight
	}
	s.key(b.Keys)
	return s.png()
}
