package record

import (
	"fmt"
	"html/template"
	"io"
	"strings"
)

// page is the record as one file for the browser: no script, nothing fetched.
// It prints on A4 and Letter alike: the page's own size is the printer's.
const page = `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8"/>
<meta name="viewport" content="width=device-width, initial-scale=1"/>
<title>{{.Title}}</title>
<style>
@page { margin: 13mm 14mm 15mm; @bottom-left { content: "{{.Foot}}"; font: 7pt sans-serif; color: #555 } @bottom-right { content: counter(page) " of " counter(pages); font: 7pt sans-serif; color: #555 } }
* { box-sizing: border-box }
body { font: 9pt/1.35 "Helvetica Neue", Arial, "Liberation Sans", sans-serif; color: #141414; background: #fff; max-width: 186mm; margin: 6mm auto; padding: 0 3mm }
h1 { font-size: 16pt; margin: 0 0 1mm }
.under { color: #555; margin: 0 0 3mm }
h2 { font-size: 12pt; margin: 6mm 0 1.5mm; border-bottom: 0.4mm solid #141414; break-after: avoid }
h3 { font-size: 10pt; margin: 4mm 0 1mm; break-after: avoid }
p { margin: 0 0 1.5mm; break-inside: avoid }
section:has(table.whole) { break-inside: avoid }
section > p:not(.notes) { break-after: avoid }
p.strong { font-weight: bold }
.wrap { overflow-x: auto }
table { border-collapse: collapse; width: 100%; font-size: 7.6pt; line-height: 1.25; font-variant-numeric: tabular-nums }
table.wide { font-size: 6.4pt }
thead { display: table-header-group }
tr { break-inside: avoid }
table.whole { break-inside: avoid }
th { text-align: left; vertical-align: bottom; border-bottom: 0.3mm solid #141414; padding: 0.6mm 1mm; font-weight: bold }
tbody th { font-weight: normal }
tbody th, td { vertical-align: top; border-bottom: 0.15mm solid #c4c4c4; padding: 0.5mm 1mm }
td.r, th.r { text-align: right }
td.r, td.t { white-space: nowrap }
tr.heavy td { font-weight: bold }
.notes { font-size: 7pt; color: #333; margin-top: 1mm }
tbody.last { break-inside: avoid }
tr.notes td { border-bottom: none; padding-top: 1mm; font-size: 7pt; color: #333 }
figure { margin: 1mm 0 2mm; break-inside: avoid }
svg { width: 100%; height: auto; display: block; max-height: 245mm; font-family: Arial, "Liberation Sans", sans-serif }
.sign { display: grid; grid-template-columns: 1fr 1fr; gap: 9mm 8mm; margin-top: 9mm; break-inside: avoid }
.sign div { border-top: 0.3mm solid #141414; padding-top: 1mm; font-size: 8pt }
@media print { body { margin: 0; padding: 0; max-width: none } .wrap { overflow: visible } a { color: inherit } }
</style>
</head>
<body>
<main>
<h1>{{soft .Title}}</h1>
<p class="under">Record of a pour day, {{.Day}}</p>
{{range .Blocks}}<section>
{{if .Head}}{{if .Sub}}<h3>{{.Head}}</h3>{{else}}<h2>{{.Head}}</h2>{{end}}{{end}}
{{$strong := .Strong}}{{$head := .Name}}{{range .Words}}<p{{if $strong}} class="strong"{{end}}>{{soft .}}</p>
{{end}}{{with .Picture}}<figure>{{.}}</figure>
{{end}}{{with .Table}}{{if .Rows}}<div class="wrap"><table aria-label="{{$head}}"{{with .Class}} class="{{.}}"{{end}}>{{if .Named}}<thead><tr>{{range .Cols}}<th scope="col"{{if .Right}} class="r"{{end}}>{{.Name}}</th>{{end}}</tr></thead>{{end}}
<tbody>{{range .Rows}}{{if .Last}}</tbody><tbody class="last">{{end}}<tr{{if .Heavy}} class="heavy"{{end}}>{{range .Cells}}{{if .Head}}<th scope="row">{{soft .Text}}</th>{{else}}<td{{if .Right}} class="r"{{else if .Short}} class="t"{{end}}>{{soft .Text}}</td>{{end}}{{end}}</tr>
{{end}}{{if .Notes}}<tr class="notes"><td colspan="{{len .Cols}}">{{range .Notes}}{{.}} {{end}}</td></tr>{{end}}</tbody></table></div>{{else}}<p>N/A: {{.Empty}}.</p>
{{if .Notes}}<p class="notes">{{range .Notes}}{{.}} {{end}}</p>{{end}}{{end}}
{{end}}{{with .Sign}}<div class="sign">{{range .}}<div>{{.}}: name, date and time, signature</div>{{end}}</div>
{{end}}</section>
{{end}}</main>
</body>
</html>
`

var pageForm = template.Must(template.New("record").Funcs(template.FuncMap{"soft": soft}).Parse(page))

// softFrom is the length from which a word may be broken, softEvery how often: a
// word without a break would make its table, and so the whole printed page, wider
// than the paper.
const (
	softFrom  = 36
	softEvery = 18
)

// soft escapes words for the page and lets those that are too long for a line be
// broken; the text itself stays as it is.
func soft(s string) template.HTML {
	var b strings.Builder
	for i, word := range strings.Split(s, " ") {
		if i > 0 {
			b.WriteByte(' ')
		}
		r := []rune(word)
		for len(r) >= softFrom {
			b.WriteString(template.HTMLEscapeString(string(r[:softEvery])) + "<wbr/>")
			r = r[softEvery:]
		}
		b.WriteString(template.HTMLEscapeString(string(r)))
	}
	return template.HTML(b.String())
}

type htmlBlock struct {
	Head    string
	Name    string // of its table, for those who hear the page
	Sub     bool
	Words   []string
	Strong  bool
	Picture template.HTML
	Table   *htmlTable
	Sign    []string
}

type htmlTable struct {
	Cols  []htmlCol
	Rows  []htmlRow
	Notes []string
	Empty string
	Class string
	Named bool
}

type htmlCol struct {
	Name  string
	Right bool
}

type htmlRow struct {
	Cells []htmlCell
	Heavy bool
	Last  bool // the last few begin here, to stay with the reasons below them
}

type htmlCell struct {
	Text         string
	Right, Short bool
	Head         bool // it says what the row is about
}

// shortCell is how long a cell may be, in bytes, and still stand on one line: in
// a table of many columns an instant or a lot's name, in others a file's name.
func shortCell(columns int) int {
	if columns >= wideFrom {
		return 12
	}
	return 17
}

// wideFrom is how many columns a table needs to be set in small print.
const wideFrom = 11

// wholeTo is how many rows a table may have and still be kept on one page.
const wholeTo = 15

// lastRows are the last rows of a table that go to a new page together, with the
// reasons of what is N/A.
const lastRows = 3

// WriteHTML writes the record as one page for the browser.
func (p *Paper) WriteHTML(w io.Writer) error {
	data := struct {
		Title, Day, Foot string
		Blocks           []htmlBlock
	}{Title: p.heading(), Day: dayOf(p), Foot: p.foot()}
	for _, b := range p.blocks() {
		h := htmlBlock{Head: b.head, Name: b.head, Sub: b.sub, Words: b.words, Strong: b.strong, Sign: b.sign}
		if h.Name == "" {
			h.Name = "The day"
		}
		if b.picture != nil {
			h.Picture = b.picture.svg()
		}
		if b.table != nil {
			h.Table = htmlOf(b.table)
		}
		data.Blocks = append(data.Blocks, h)
	}
	return pageForm.Execute(w, data)
}

func htmlOf(t *table) *htmlTable {
	out := &htmlTable{Empty: t.empty}
	if len(t.cols) >= wideFrom {
		out.Class = "wide"
	}
	if len(t.rows) <= wholeTo {
		out.Class = strings.TrimSpace(out.Class + " whole")
	}
	for _, c := range t.cols {
		out.Cols = append(out.Cols, htmlCol{c.name, c.right})
		out.Named = out.Named || c.name != ""
	}
	for i, r := range t.rows {
		row := htmlRow{Heavy: t.heavy[i], Last: i > 0 && i == len(t.rows)-lastRows}
		for k, c := range r {
			row.Cells = append(row.Cells, htmlCell{c, t.cols[k].right, len(c) <= shortCell(len(t.cols)), k == 0 && !out.Named})
		}
		out.Rows = append(out.Rows, row)
	}
	out.Notes = t.reasons()
	return out
}

// reasons are the letters with what they stand for.
func (t *table) reasons() []string {
	var out []string
	for i, n := range t.notes {
		out = append(out, fmt.Sprintf("N/A %s: %s.", letter(i), n))
	}
	return out
}
