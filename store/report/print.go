package report

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"html/template"
)

// Print is a report as one file that any browser shows and prints: no script,
// nothing fetched, the pictures inside it. Words are plain text in the reader's
// language.
type Print struct {
	Lang        string
	RightToLeft bool
	Title       string
	Lines       []string
	Picture     []byte // PNG; nil none
	Alt         string // what the picture shows
	Tables      []PrintTable
	Foot        []string
}

// PrintTable is one table of it. A row has as many cells as the head.
type PrintTable struct {
	Title string
	Head  []string
	Rows  [][]string
}

// HTML writes the file.
func (p Print) HTML() ([]byte, error) {
	var b bytes.Buffer
	if err := printed.Execute(&b, p); err != nil {
		return nil, fmt.Errorf("write the report %q: %w", p.Title, err)
	}
	return b.Bytes(), nil
}

var printed = template.Must(template.New("print").Funcs(template.FuncMap{
	"png": func(data []byte) template.URL {
		return template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(data))
	},
}).Parse(`<!DOCTYPE html>
<html lang="{{.Lang}}" dir="{{if .RightToLeft}}rtl{{else}}ltr{{end}}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{{.Title}}</title>
<style>
@page { size: A4; margin: 15mm }
body { font: 11pt/1.4 sans-serif; color: #000; background: #fff; max-width: 180mm; margin: 1em auto; padding: 0 1em }
h1 { font-size: 16pt; margin: 0 0 .4em }
h2 { font-size: 12pt; margin: 1.2em 0 .3em; break-after: avoid }
p { margin: .15em 0 }
img { width: 120mm; max-width: 100%; margin: .6em 0 }
table { border-collapse: collapse; width: 100% }
thead { display: table-header-group }
tr { break-inside: avoid }
th, td { text-align: start; padding: .15em .5em .15em 0; border-bottom: 1px solid #999; vertical-align: top }
footer { margin-top: 1.2em; font-size: 9pt }
@media print { body { max-width: none; margin: 0; padding: 0 } }
</style>
</head>
<body>
<h1>{{.Title}}</h1>
{{range .Lines}}<p>{{.}}</p>
{{end}}{{if .Picture}}<img src="{{png .Picture}}" alt="{{.Alt}}">
{{end}}{{range .Tables}}<h2>{{.Title}}</h2>
<table>
<thead><tr>{{range .Head}}<th scope="col">{{.}}</th>{{end}}</tr></thead>
<tbody>
{{range .Rows}}<tr>{{range .}}<td>{{.}}</td>{{end}}</tr>
{{end}}</tbody>
</table>
{{end}}{{if .Foot}}<footer>
{{range .Foot}}<p>{{.}}</p>
{{end}}</footer>
{{end}}</body>
</html>
`))
