package bot_test

import (
	"image"
	"image/color"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
	"github.com/stretchr/testify/require"

	"pegcard/bot"
	"pegcard/prescribe"
	"pegcard/store"
)

var (
	stripCode   = regexp.MustCompile(`<code>(.*?)</code>`)
	stripSide   = regexp.MustCompile(`viewBox="0 0 (\d+) `)
	stripModule = regexp.MustCompile(`M(\d+) (\d+)h1v1h-1z`)
)

// readStrip is the link on the strip of a sheet that bears the name. It is read
// twice: off the QR code, by a reader of another library than the one that drew
// it, and where it is printed.
func readStrip(t *testing.T, page []byte, name string) string {
	t.Helper()
	for _, s := range strings.Split(string(page), "<section ")[1:] {
		if !strings.Contains(s, name) {
			continue
		}
		side, err := strconv.Atoi(stripSide.FindStringSubmatch(s)[1])
		require.NoError(t, err)
		const scale = 4
		img := image.NewGray(image.Rect(0, 0, side*scale, side*scale))
		for i := range img.Pix {
			img.Pix[i] = 255
		}
		for _, m := range stripModule.FindAllStringSubmatch(s, -1) {
			x, _ := strconv.Atoi(m[1]) // digits, by the pattern
			y, _ := strconv.Atoi(m[2])
			for i := range scale * scale {
				img.SetGray(x*scale+i%scale, y*scale+i/scale, color.Gray{})
			}
		}
		bits, err := gozxing.NewBinaryBitmapFromImage(img)
		require.NoError(t, err)
		read, err := qrcode.NewQRCodeReader().Decode(bits, nil)
		require.NoError(t, err)
		require.Equal(t, stripCode.FindStringSubmatch(s)[1], read.GetText(), "printed and drawn")
		return read.GetText()
	}
	t.Fatalf("there is no strip for %s", name)
	return ""
}

// A strip for each who has not joined, in each one's own language and direction;
// the sheet names nobody who is in, runs nothing and asks the network for nothing.
func TestInvitationSheet(t *testing.T) {
	k := newTalk(t, clubOf(t), tuesday(9, 0))
	k.join(k.must("Farrowby"))
	var page []byte
	var n int
	require.NoError(t, k.store.Write(t.Context(), func(tx *store.Tx) (err error) {
		now := prescribe.InstantOf(k.Now())
		page, n, err = bot.InvitationSheet(tx, k.words, k.everybody(), 0, "@pegs_bot", prescribe.DayOf(k.Now()), now)
		return err
	}))
	text := string(page)
	require.Equal(t, len(k.people)-1, n)
	require.Equal(t, n, strings.Count(text, "<section "))
	require.NotContains(t, text, "Edmund Farrowby")
	require.NotContains(t, text, "<script")
	require.NotContains(t, text, "src=")
	require.NotContains(t, text, "href=")
	require.Contains(t, text, `<section lang="ar" dir="rtl">`)
	require.Contains(t, text, `<section lang="de" dir="ltr">`)
	links := map[string]bool{}
	for _, name := range []string{"Iker Valdebruma", "Yusuf Al-Maqsadi", "Dr Ines Quintavale", "Zeynep Larkfield"} {
		link := readStrip(t, page, name)
		require.Regexp(t, `^https://t\.me/pegs_bot\?start=[A-Za-z0-9_-]{24}$`, link)
		links[link] = true
	}
	require.Len(t, links, 4)
}

// The help of each role names the commands that it may use, and no others.
func TestHelpNamesWhatTheRoleMayDo(t *testing.T) {
	word := regexp.MustCompile(`(?:^|[\s,\p{Cf}])(/[a-z]+)`)
	for role, id := range bot.HelpIDs() {
		for _, lang := range words(t).Languages() {
			have := map[string]bool{}
			for _, w := range word.FindAllStringSubmatch(words(t).For(lang).T(id), -1) {
				have[w[1]] = true
			}
			want := map[string]bool{}
			for _, name := range bot.CommandsOf(role) {
				want["/"+name] = true
			}
			for _, w := range []string{"/help", "/leave", "/undo"} { // said elsewhere
				delete(want, w)
				delete(have, w)
			}
			require.Equal(t, want, have, "%s in %s", role, lang)
		}
	}
}
