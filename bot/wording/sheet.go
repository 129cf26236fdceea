package wording

import (
	"slices"
	"strings"

	"pegcard/prescribe"
)

// Sheet is a card for paper, where anybody may read it: what to do, and nothing
// of why. Its texts are HTML with the tags of Telegram's parse mode.
type Sheet struct {
	Title []HTML // day, distance from the match, how long; how it is done where there is more to say
	Items []SheetItem
	Write HTML // what to write down
	Reps  HTML // heads of the boxes
	Left  HTML
	Ask   HTML // the effort of the whole session
	Foot  []HTML
}

// SheetItem is one exercise and its boxes.
type SheetItem struct {
	Lines []HTML
	Boxes []HTML // one a set and side: its number, and its side
}

// findingSets are the boxes of an exercise whose weight is looked for.
const findingSets = 5

// Sheet is the card as paper has it.
func (sp *Speaker) Sheet(c prescribe.Card, name string) Sheet {
	s := Sheet{Write: HTML(sp.t("sheet.write")), Reps: HTML(sp.t("sheet.reps")), Left: HTML(sp.t("sheet.left")),
		Ask:  HTML(sp.t("player.effort_question")),
		Foot: []HTML{HTML(sp.t("sheet.safety")), HTML(sp.t("sheet.only", "name", name))}}
	add := func(to *[]HTML, lines ...string) {
		for _, l := range lines {
			*to = append(*to, HTML(l))
		}
	}
	add(&s.Title, sp.headline(c, View{Remote: c.Setting != "" && !c.Supervised})...)
	for i, it := range c.Items {
		x := SheetItem{}
		add(&x.Lines, sp.item(it, i+1, full, true)...)
		sides := []prescribe.Side{prescribe.Both}
		if it.PerSide {
			sides = []prescribe.Side{prescribe.Left, prescribe.Right}
			if it.First == prescribe.Right {
				slices.Reverse(sides)
			}
		}
		sets := it.Sets
		if it.Finding {
			sets = findingSets
		}
		for n := range sets {
			for _, side := range sides {
				add(&x.Boxes, strings.TrimSpace(sp.Number(float64(n+1))+" "+sp.Side(side)))
			}
		}
		s.Items = append(s.Items, x)
	}
	return s
}
