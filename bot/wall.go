package bot

import (
	_ "embed"
	"html/template"
	"io"
	"unicode/utf8"

	"pegcard/bot/wording"
	"pegcard/prescribe"
)

// WallCard is a card for the gym wall, in its player's language.
type WallCard struct {
	Name     string
	Language string
	Card     prescribe.Card
}

//go:embed wall.html
var wallHTML string

var wallPage = template.Must(template.New("wall").Parse(wallHTML))

// wallSheet is a sheet as the page wants it. The wording's HTML has its
// arguments escaped.
type wallSheet struct {
	Size        string
	Name, Lang  string
	RTL         bool
	Title, Foot []template.HTML
	Items       []wallItem
	Write, Ask  template.HTML
	Reps, Left  template.HTML
}

// size is how large a sheet is printed, so that it fills a page and no more.
func size(s wording.Sheet) string {
	rows := 0
	for _, it := range s.Items {
		lines := 0
		for _, l := range it.Lines {
			lines += 1 + utf8.RuneCountInString(string(l))/38
		}
		rows += max(3, lines)
	}
	switch {
	case rows <= 25:
		return "few"
	case rows <= 32:
		return "some"
	}
	return "many"
}

type wallItem struct{ Lines, Boxes []template.HTML }

// WriteWall writes a page to be printed, one sheet a card. A wall is read by
// everybody: there is nothing on it of why a load is what it is, of soreness,
// pain or what is held.
func WriteWall(w io.Writer, words *wording.Catalogue, title string, cards []WallCard) error {
	page := struct {
		Lang, Title string
		Cards       []wallSheet
	}{Lang: wording.Fallback, Title: title}
	for _, c := range cards {
		sp := words.For(c.Language)
		s := sp.Sheet(c.Card, c.Name)
		x := wallSheet{Size: size(s), Name: c.Name, Lang: sp.Lang(), RTL: sp.RightToLeft(), Title: safe(s.Title), Foot: safe(s.Foot),
			Write: template.HTML(s.Write), Ask: template.HTML(s.Ask), Reps: template.HTML(s.Reps), Left: template.HTML(s.Left)}
		for _, it := range s.Items {
			x.Items = append(x.Items, wallItem{safe(it.Lines), safe(it.Boxes)})
		}
		page.Cards = append(page.Cards, x)
	}
	return wallPage.Execute(w, page)
}

func safe(list []wording.HTML) (out []template.HTML) {
	for _, s := range list {
		out = append(out, template.HTML(s))
	}
	return out
}
