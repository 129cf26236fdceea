package bot

import (
	"bytes"
	"fmt"
	"html/template"
	"strings"

	"rsc.io/qr"

	"pegcard/bot/telegram"
	"pegcard/bot/wording"
	"pegcard/prescribe"
	"pegcard/store"
)

// verbInviteAll asks for invitations on a sheet to print.
const verbInviteAll = "ia"

func (h *hand) tapInviteAll(tap) error { return h.inviteAll() }

// inviteAll sends invitations for all who have not joined and whom the asker
// may invite.
func (h *hand) inviteAll() error {
	if err := h.tx.Audit(h.person.ID, 0, "invite.sheet", "", h.now); err != nil {
		return err
	}
	return h.answer(store.Out{Kind: outSheet})
}

// sheet makes the invitations when the file is on its way: no code is stored.
// Should the file go out twice, the codes of the newer one hold.
func (r *rendering) sheet() (telegram.Outgoing, error) {
	list, err := invitableBy(r.tx, r.viewer, r.day)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	file, n, err := InvitationSheet(r.tx, r.b.Words, list, r.person.ID, r.b.name(), r.day, r.now)
	if err != nil {
		return telegram.Outgoing{}, err
	}
	if n == 0 {
		return telegram.Outgoing{Text: r.sp.T("staff.sheet_nobody")}, nil
	}
	return telegram.Outgoing{
		Text: r.sp.T("staff.sheet_made", "n", n, "day", r.day+inviteDays),
		File: &telegram.Attachment{Name: "invitations-" + r.day.String() + ".html", Data: file},
	}, nil
}

// InvitationSheet makes an invitation for each of the people who has not joined,
// by that person (0: the program itself), and a page of HTML to print with a
// strip for each: name, what to do in their language, the link and its QR code.
// n is how many.
func InvitationSheet(tx *store.Tx, words *wording.Catalogue, people []store.Person, by int64, botName string, day prescribe.Day, now prescribe.Instant) (page []byte, n int, err error) {
	club, err := tx.Club()
	if err != nil {
		return nil, 0, err
	}
	type strip struct {
		Lang, Dir   string
		Title, Scan template.HTML
		Link        string
		Code        template.HTML
	}
	var strips []strip
	for _, p := range people {
		if p.Chat != 0 || p.Left {
			continue
		}
		code, err := tx.Invite(p.ID, by, now, now+hours(24*inviteDays))
		if err != nil {
			return nil, 0, err
		}
		link := inviteLink(botName, code)
		drawn, err := qrSVG(link)
		if err != nil {
			return nil, 0, err
		}
		sp, dir := words.For(p.Language), "ltr"
		if sp.RightToLeft() {
			dir = "rtl"
		}
		strips = append(strips, strip{
			Lang: sp.Lang(), Dir: dir, Link: link, Code: drawn,
			// The catalogue's sentences are HTML with their arguments escaped.
			Title: template.HTML(sp.T("invite.strip_title", "club", club.Name, "name", p.Name)),
			Scan:  template.HTML(sp.T("invite.strip_scan", "day", day+inviteDays)),
		})
	}
	var b bytes.Buffer
	if err := sheetPage.Execute(&b, map[string]any{"Club": club.Name, "Day": day.String(), "Strips": strips}); err != nil {
		return nil, 0, fmt.Errorf("sheet of invitations: %w", err)
	}
	return b.Bytes(), len(strips), nil
}

// inviteLink opens the chat with the code already written.
func inviteLink(botName, code string) string {
	return "https://t.me/" + strings.TrimPrefix(botName, "@") + "?start=" + code
}

// quiet is the empty margin of a QR code in modules (ISO/IEC 18004: 4).
const quiet = 4

// qrSVG draws a text as a QR code, a unit a module. Level M restores 15 % of a
// creased strip.
func qrSVG(text string) (template.HTML, error) {
	c, err := qr.Encode(text, qr.M)
	if err != nil {
		return "", fmt.Errorf("QR code: %w", err)
	}
	var b strings.Builder
	side := c.Size + 2*quiet
	fmt.Fprintf(&b, `<svg viewBox="0 0 %d %d" shape-rendering="crispEdges" role="img" aria-label="QR"><path d="`, side, side)
	for y := range c.Size {
		for x := range c.Size {
			if c.Black(x, y) {
				fmt.Fprintf(&b, "M%d %dh1v1h-1z", x+quiet, y+quiet)
			}
		}
	}
	b.WriteString(`"/></svg>`)
	return template.HTML(b.String()), nil
}

var sheetPage = template.Must(template.New("sheet").Parse(`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="referrer" content="no-referrer">
<title>{{.Club}} {{.Day}}</title>
<style>
@page { size: A4; margin: 12mm }
body { margin: 0; font: 12pt/1.4 system-ui, sans-serif; color: #000; background: #fff }
main { display: grid; grid-template-columns: 1fr 1fr }
section { display: grid; grid-template-columns: 42mm 1fr; gap: 4mm; padding: 4mm; border: 1px dashed #555; margin: 0 -1px -1px 0; break-inside: avoid }
svg { width: 42mm; height: 42mm; background: #fff }
h2 { font-size: 12pt; margin: 0 0 2mm }
p { margin: 0 0 2mm; font-size: 10pt }
code { font-size: 8pt; overflow-wrap: anywhere; direction: ltr; unicode-bidi: isolate; display: block }
@media (max-width: 40em) { main { grid-template-columns: 1fr } }
</style>
</head>
<body>
<main>
{{range .Strips}}<section lang="{{.Lang}}" dir="{{.Dir}}">
{{.Code}}
<div><h2>{{.Title}}</h2>
<p>{{.Scan}}</p>
<code>{{.Link}}</code></div>
</section>
{{end}}</main>
</body>
</html>
`))
