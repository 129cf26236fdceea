package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"pegcard/bot"
	"pegcard/bot/localchat/pagetest"
	"pegcard/bot/wording"
	"pegcard/cmd/pegcard/democlub"
	"pegcard/prescribe"
	"pegcard/store"
)

var pdfPage = regexp.MustCompile(`/Type\s*/Page\b`)

// The sheets of a day print on a page each, in each of the languages, also when
// the session is long, and what is on them fits their width.
func TestWallPrintsOnePageASheet(t *testing.T) {
	if testing.Short() {
		t.Skip("prints in a browser")
	}
	tab := pagetest.Open(t)
	d := newDesk(t)
	words, err := wording.Load()
	require.NoError(t, err)
	var cards []bot.WallCard
	d.read(func(tx *store.Tx) {
		day := prescribe.DayOf(democlub.Start())
		p, err := tx.PersonByKey("1")
		require.NoError(t, err)
		c, err := tx.Plan(p.ID, day)
		require.NoError(t, err)
		require.NotEmpty(t, c.Items)
		long := c
		long.Items = append(append([]prescribe.Item{}, c.Items...), c.Items...)
		long.Items = long.Items[:min(len(long.Items), 8)]
		for _, lang := range []string{"en", "es", "fr", "pt", "de", "it", "nl", "ar"} {
			cards = append(cards, bot.WallCard{Name: p.Name, Language: lang, Card: c}, bot.WallCard{Name: p.Name, Language: lang, Card: long})
		}
	})
	var page bytes.Buffer
	require.NoError(t, bot.WriteWall(&page, words, "Brackwater Rovers", cards))
	name := filepath.Join(t.TempDir(), "wall.html")
	require.NoError(t, os.WriteFile(name, page.Bytes(), 0o600))
	tab.Do(chromedp.Navigate("file://" + name))
	tab.Size(900, 1300)
	tab.Shot("wall")
	pdf, err := chromedp.Run(tab.Ctx, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize()))
	require.NoError(t, err)
	require.Equal(t, len(cards), len(pdfPage.FindAll(pdf, -1)))
	require.Equal(t, "rtl", pagetest.Value[string](tab, `getComputedStyle(document.querySelector("section[lang=ar]")).direction`))
	require.Zero(t, pagetest.Value[float64](tab, `[...document.querySelectorAll(".card")].filter(c => c.scrollWidth > c.clientWidth).length`))
}

// On a wall everybody reads: no reasons, no pain, nobody who is held, and no
// card that staff have not approved.
func TestWallTellsNobodysHealth(t *testing.T) {
	d := newDesk(t)
	print := func(player string) (string, string, error) {
		name := filepath.Join(t.TempDir(), "wall.html")
		out, err := d.run("wall", name, "--by", "s-coach", "--player", player)
		text, _ := os.ReadFile(name)
		return string(text), out, err
	}
	page, out, err := print("1")
	require.NoError(t, err)
	require.Contains(t, out, "1 sheets")
	require.Contains(t, page, "Edmund Farrowby")

	d.read(func(tx *store.Tx) {
		p, err := tx.PersonByKey("1")
		require.NoError(t, err)
		at := prescribe.InstantOf(d.now)
		require.NoError(t, joinDemo(tx, p, at))
		_, err = tx.Record(p.ID, "sore", at, prescribe.Event{At: at, Soreness: &prescribe.Soreness{Region: prescribe.Hamstring, Score: 8}})
		require.NoError(t, err)
		c, changed, err := tx.IssueCard(p.ID, prescribe.DayOf(d.now), at)
		require.NoError(t, err)
		require.True(t, changed)
		require.Contains(t, fmt.Sprint(c.Card), "soreness.")
	})
	page, _, err = print("1")
	require.NoError(t, err)
	sp := mustWords(t)
	for _, word := range []string{sp.Region(prescribe.Hamstring, prescribe.Both), "sore", "Sore", "pain", "hold"} {
		require.NotContains(t, visible(page), word)
	}

	d.must("hold", "1", "--by", "s-doctor", "--until", (prescribe.DayOf(d.now) + 2).String())
	_, _, err = print("1")
	require.ErrorContains(t, err, "no card to be printed")
	_, out, err = print("a3") // under 18: waits for approval
	require.ErrorContains(t, err, "no card to be printed")
	require.Contains(t, out, "waiting for approval: Hugo Valmontane")
	_, err = d.run("wall", filepath.Join(t.TempDir(), "x.html"), "--by", "s-head", "--player", "1")
	require.ErrorContains(t, err, "may not do this")
}

func mustWords(t *testing.T) *wording.Speaker {
	t.Helper()
	_, sp, err := words()
	require.NoError(t, err)
	return sp
}

var tags = regexp.MustCompile(`(?s)<style>.*?</style>|<[^>]*>`)

// visible is a page's text, without the names of exercises.
func visible(page string) string {
	text := tags.ReplaceAllString(page, " ")
	for _, e := range prescribe.Library() {
		text = strings.ReplaceAll(text, e.Name, "")
	}
	return text
}
