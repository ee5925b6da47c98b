package record

import (
	"fmt"
	"io"
	"math"
	"strings"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"

	"floorpace/internal/units"
)

// PaperSize is a sheet of paper.
type PaperSize string

// The two sizes papers come in.
const (
	A4     PaperSize = "A4"     // ISO 216: 210 × 297 mm
	Letter PaperSize = "Letter" // ANSI Y14.1 size A: 8.5 × 11 in
)

// SizeFor is the paper usual where the crew's units are.
func SizeFor(sys units.System) PaperSize {
	if sys == units.US {
		return Letter
	}
	return A4
}

const (
	pdfSide   = 14.0 // mm
	pdfTop    = 13.0
	pdfBottom = 16.0
	cellPad   = 0.9
)

// pdfWriter lays blocks on pages.
type pdfWriter struct {
	*fpdf.Fpdf
	face   *sfnt.Font
	known  map[rune]bool
	lost   int // characters the font does not have
	w, h   float64
	bottom float64
}

// WritePDF writes the record as a PDF with its own fonts in it.
func (p *Paper) WritePDF(w io.Writer, size PaperSize) error { return p.writePDF(w, size, true) }

func (p *Paper) writePDF(w io.Writer, size PaperSize, compress bool) error {
	face, err := sfnt.Parse(goregular.TTF)
	if err != nil {
		return fmt.Errorf("the font of the PDF: %w", err)
	}
	f := fpdf.New("P", "mm", string(size), "")
	q := &pdfWriter{Fpdf: f, face: face, known: map[rune]bool{}}
	f.SetCompression(compress)
	f.SetCatalogSort(true) // the same record gives the same bytes
	f.SetCreationDate(p.Printed)
	f.SetModificationDate(p.Printed)
	f.SetTitle(p.heading(), true)
	f.SetCreator("floorpace", true)
	f.AddUTF8FontFromBytes("go", "", goregular.TTF)
	f.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	f.SetMargins(pdfSide, pdfTop, pdfSide)
	f.SetAutoPageBreak(false, 0)
	f.SetCellMargin(0)
	f.AliasNbPages("{pages}")
	q.w, q.h = f.GetPageSize()
	q.bottom = q.h - pdfBottom
	foot := q.fit(p.foot())
	f.SetFooterFunc(func() {
		f.SetFont("go", "", 7)
		f.SetTextColor(90, 90, 90)
		f.SetXY(pdfSide, q.h-11)
		f.CellFormat(q.w-2*pdfSide-30, 4, q.cut(foot, q.w-2*pdfSide-32), "", 0, "L", false, 0, "")
		f.CellFormat(30, 4, fmt.Sprintf("%d of {pages}", f.PageNo()), "", 0, "R", false, 0, "")
		f.SetTextColor(20, 20, 20)
	})
	f.AddPage()
	q.para(p.heading(), "B", 16, 7)
	q.para("Record of a pour day, "+dayOf(p), "", 9, 6)
	blocks := p.blocks()
	for i := range blocks {
		q.block(&blocks[i])
	}
	if q.lost > 0 {
		q.para(units.Count(q.lost, "character of a name or note is", "characters of names or notes are")+" not in the fonts of this PDF and shown as ?; the page for the browser has all.", "", 7, 3.4)
	}
	if err := f.Error(); err != nil {
		return fmt.Errorf("the PDF: %w", err)
	}
	return f.Output(w)
}

// fit replaces what the font does not have.
func (q *pdfWriter) fit(s string) string {
	var buf sfnt.Buffer
	return strings.Map(func(r rune) rune {
		ok, seen := q.known[r]
		if !seen {
			g, err := q.face.GlyphIndex(&buf, r)
			ok = err == nil && g != 0 && r < 0x10000
			q.known[r] = ok
		}
		if !ok {
			q.lost++
			return '?'
		}
		return r
	}, s)
}

// fitQuietly is fit for measuring: what is replaced is not counted twice.
func (q *pdfWriter) fitQuietly(s string) string {
	lost := q.lost
	s = q.fit(s)
	q.lost = lost
	return s
}

// room begins a new page when less than mm is left.
func (q *pdfWriter) room(mm float64) {
	if q.GetY()+mm > q.bottom {
		q.AddPage()
	}
}

// para prints words over the whole width.
func (q *pdfWriter) para(s, style string, pt, lineMM float64) {
	s = q.fit(s)
	q.SetFont("go", style, pt)
	for _, line := range q.wrap(s, q.w-2*pdfSide) {
		q.room(lineMM)
		q.SetX(pdfSide)
		q.CellFormat(0, lineMM, line, "", 1, "L", false, 0, "")
	}
}

func (q *pdfWriter) block(b *block) {
	// A heading takes the first lines of what it heads along.
	need := 24.0 + 4*float64(len(b.words)) + b.keep
	if b.table != nil && len(b.table.rows) <= wholeTo { // a short table stays in one piece
		need = math.Max(need, 14+4*float64(q.lines(b.words))+q.layTable(b.table).height)
	}
	if b.picture != nil {
		need = 14 + b.picture.h*q.pictureScale(b.picture)
	}
	if b.sign != nil {
		need = 20 + 20*math.Ceil(float64(len(b.sign))/2)
	}
	if b.head != "" {
		if q.GetY() > pdfTop+1 {
			q.room(math.Min(need, q.bottom-pdfTop))
		}
		if b.sub {
			q.Ln(2)
			q.para(b.head, "B", 10, 5)
		} else {
			q.Ln(3)
			q.para(b.head, "B", 12, 6)
			q.SetLineWidth(0.4)
			q.Line(pdfSide, q.GetY(), q.w-pdfSide, q.GetY())
			q.Ln(1.2)
		}
	}
	style := ""
	if b.strong {
		style = "B"
	}
	for _, w := range b.words {
		q.para(w, style, 8.5, 4)
	}
	if b.picture != nil {
		q.picture(b.picture)
	}
	if b.table != nil {
		q.table(b.table)
	}
	if b.sign != nil {
		q.sign(b.sign)
	}
}

// lines is how many lines some words take over the whole width.
func (q *pdfWriter) lines(words []string) int {
	q.SetFont("go", "B", 8.5)
	n := 0
	for _, w := range words {
		n += len(q.wrap(q.fitQuietly(w), q.w-2*pdfSide))
	}
	return n
}

func (q *pdfWriter) pictureScale(d *drawing) float64 {
	return math.Min((q.w-2*pdfSide)/d.w, (q.bottom-pdfTop-24)/d.h)
}

func (q *pdfWriter) picture(d *drawing) {
	k := q.pictureScale(d)
	q.room(d.h * k)
	x0, y0 := (q.w-d.w*k)/2, q.GetY()
	for _, it := range d.items {
		q.item(it, x0, y0, k)
	}
	q.SetDashPattern([]float64{}, 0)
	q.SetDrawColor(20, 20, 20)
	q.SetTextColor(20, 20, 20)
	q.SetY(y0 + d.h*k + 1)
}

func (q *pdfWriter) item(it item, x0, y0, k float64) {
	switch {
	case it.clip == '(':
		q.ClipPolygon(onPage(it.pts, x0, y0, k), false)
		return
	case it.clip == ')':
		q.ClipEnd()
		return
	case it.text != "":
		q.label(it, x0, y0, k)
		return
	}
	how := ""
	if it.stroke != nil {
		q.SetDrawColor(int(it.stroke.r), int(it.stroke.g), int(it.stroke.b))
		q.SetLineWidth(it.width * k)
		how = "D"
	}
	if it.fill != nil {
		q.SetFillColor(int(it.fill.r), int(it.fill.g), int(it.fill.b))
		how = "F" + how
	}
	if how == "" {
		return
	}
	q.SetDashPattern(scaled(it.dash, k), 0)
	pts := onPage(it.pts, x0, y0, k)
	if it.closed {
		q.Polygon(pts, how)
		return
	}
	q.MoveTo(pts[0].X, pts[0].Y)
	for _, p := range pts[1:] {
		q.LineTo(p.X, p.Y)
	}
	q.DrawPath("D")
}

func onPage(pts [][2]float64, x0, y0, k float64) []fpdf.PointType {
	out := make([]fpdf.PointType, len(pts))
	for i, p := range pts {
		out[i] = fpdf.PointType{X: x0 + p[0]*k, Y: y0 + p[1]*k}
	}
	return out
}

// label prints the words of a drawing.
func (q *pdfWriter) label(it item, x0, y0, k float64) {
	style := ""
	if it.bold {
		style = "B"
	}
	q.SetFont("go", style, it.size*k/25.4*72)
	q.SetTextColor(int(it.fill.r), int(it.fill.g), int(it.fill.b))
	s := q.fit(it.text)
	x := x0 + it.pts[0][0]*k
	switch it.anchor {
	case 'm':
		x -= q.GetStringWidth(s) / 2
	case 'r':
		x -= q.GetStringWidth(s)
	}
	q.Text(x, y0+it.pts[0][1]*k, s)
}

func scaled(v []float64, k float64) []float64 {
	out := make([]float64, len(v))
	for i := range v {
		out[i] = v[i] * k
	}
	return out
}

func (q *pdfWriter) sign(who []string) {
	const step = 20.0
	w := (q.w - 2*pdfSide - 8) / 2
	y := q.GetY() + 14
	q.SetFont("go", "", 8)
	q.SetLineWidth(0.3)
	for i, s := range who {
		x := pdfSide + float64(i%2)*(w+8)
		at := y + float64(i/2)*step
		q.Line(x, at, x+w, at)
		q.Text(x, at+4, q.fit(s+": name, date and time, signature"))
	}
	q.SetY(y + step*math.Ceil(float64(len(who))/2))
}
