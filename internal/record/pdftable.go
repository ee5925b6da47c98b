package record

import (
	"math"
	"slices"
	"strings"
)

// laidTable is a table measured for the page.
type laidTable struct {
	names      []string // nil: the columns have none
	rows       [][]string
	width      []float64
	pt, lineMM float64
	height     float64 // with its reasons, mm
}

// layTable measures a table: columns as wide as they need, the widest wrapped
// until all fit.
func (q *pdfWriter) layTable(t *table) laidTable {
	l := laidTable{pt: 7.6, rows: make([][]string, len(t.rows))}
	if len(t.cols) >= wideFrom {
		l.pt = 6.2
	}
	l.lineMM = l.pt / 72 * 25.4 * 1.25
	for i, r := range t.rows {
		l.rows[i] = make([]string, len(r))
		for k, c := range r {
			l.rows[i][k] = q.fitQuietly(c)
		}
	}
	l.width = q.columnWidths(t, l.rows, l.pt)
	for i, c := range t.cols {
		if c.name != "" && l.names == nil {
			l.names = make([]string, len(t.cols))
		}
		if l.names != nil {
			l.names[i] = q.fitQuietly(c.name)
		}
	}
	if l.names != nil {
		l.height = q.rowHeight(l.names, l.width, l.pt, l.lineMM, true)
	}
	for i, r := range l.rows {
		l.height += q.rowHeight(r, l.width, l.pt, l.lineMM, t.heavy[i])
	}
	q.SetFont("go", "", 7)
	if n := t.reasons(); len(n) > 0 {
		l.height += 1 + 3.4*float64(len(q.wrap(q.fitQuietly(strings.Join(n, " ")), q.w-2*pdfSide)))
	}
	return l
}

// table prints a table: the head again on each page, no row broken over two.
func (q *pdfWriter) table(t *table) {
	if len(t.rows) == 0 {
		q.para("N/A: "+t.empty+".", "", 8.5, 4)
		q.reasons(t)
		return
	}
	for _, r := range t.rows {
		for _, c := range r {
			q.fit(c) // counts what the font lacks
		}
	}
	l := q.layTable(t)
	head := func() {
		if l.names == nil {
			return
		}
		q.row(t, l.names, l.width, l.pt, l.lineMM, true, true)
		q.SetLineWidth(0.3)
		q.Line(pdfSide, q.GetY(), q.w-pdfSide, q.GetY())
	}
	q.room(3 * l.lineMM)
	head()
	for i, r := range l.rows {
		if q.GetY()+q.rowHeight(r, l.width, l.pt, l.lineMM, t.heavy[i]) > q.bottom {
			q.AddPage()
			head()
		}
		q.row(t, r, l.width, l.pt, l.lineMM, t.heavy[i], false)
		q.SetDrawColor(196, 196, 196)
		q.SetLineWidth(0.1)
		q.Line(pdfSide, q.GetY(), q.w-pdfSide, q.GetY())
		q.SetDrawColor(20, 20, 20)
	}
	q.Ln(1)
	q.reasons(t)
}

func (q *pdfWriter) reasons(t *table) {
	if n := t.reasons(); len(n) > 0 {
		q.para(strings.Join(n, " "), "", 7, 3.4)
	}
}

// longestMM is the widest word that a table keeps whole at the cost of its other
// columns: a longer one, a link or a slip of the keys, is broken.
const longestMM = 42

// columnWidths shares the width out: each column what its longest cell takes;
// when that is too much, the widest are cut down first, none below its longest
// word if that can be.
func (q *pdfWriter) columnWidths(t *table, rows [][]string, pt float64) []float64 {
	n := len(t.cols)
	want, least := make([]float64, n), make([]float64, n)
	measure := func(k int, s string) {
		want[k] = math.Max(want[k], q.GetStringWidth(s)+2*cellPad)
		for _, w := range strings.Fields(s) {
			least[k] = math.Max(least[k], math.Min(q.GetStringWidth(w)+2*cellPad, longestMM))
		}
	}
	q.SetFont("go", "B", pt)
	for k, c := range t.cols {
		measure(k, q.fitQuietly(c.name))
	}
	for i, r := range rows {
		style := ""
		if t.heavy[i] {
			style = "B"
		}
		q.SetFont("go", style, pt)
		for k, s := range r {
			measure(k, s)
		}
	}
	words := make([]bool, n)
	for k, c := range t.cols {
		words[k] = !c.right
	}
	return share(want, least, words, q.w-2*pdfSide)
}

// share cuts the wanted widths down to a total, the widest first, none below
// its least while that is possible; what is left over goes to the columns of
// words.
func share(want, least []float64, words []bool, total float64) []float64 {
	out := make([]float64, len(want))
	sum := 0.0
	for i := range want {
		out[i] = want[i]
		sum += want[i]
	}
	for sum > total+1e-6 {
		widest, next := -1, 0.0
		for i := range out { // the widest that may still give
			if out[i] > least[i]+1e-6 && (widest < 0 || out[i] > out[widest]) {
				widest = i
			}
		}
		if widest < 0 {
			break
		}
		for i := range out {
			if i != widest && out[i] < out[widest] {
				next = math.Max(next, out[i])
			}
		}
		to := math.Max(math.Max(next, least[widest]), out[widest]-(sum-total))
		if out[widest]-to < 0.05 {
			to = math.Max(least[widest], out[widest]-math.Min(0.5, sum-total))
		}
		sum -= out[widest] - to
		out[widest] = to
	}
	if sum > total+1e-6 { // words wider than the page: the widest are broken, the others stay whole
		level(out, total)
		return out
	}
	var give []int
	for i, w := range words {
		if w {
			give = append(give, i)
		}
	}
	for _, i := range give {
		out[i] += (total - sum) / float64(len(give))
	}
	return out
}

// level cuts the widest down to one width, so that all together take the total.
func level(out []float64, total float64) {
	order := slices.Sorted(slices.Values(out))
	left := total
	for i, w := range order {
		most := left / float64(len(order)-i) // what each of the wider ones may have
		if w >= most {
			for k := range out {
				out[k] = math.Min(out[k], most)
			}
			return
		}
		left -= w
	}
}

func (q *pdfWriter) rowHeight(r []string, width []float64, pt, lineMM float64, bold bool) float64 {
	q.style(pt, bold)
	lines := 1
	for k, s := range r {
		lines = max(lines, len(q.wrap(s, width[k]-2*cellPad)))
	}
	return float64(lines)*lineMM + 1
}

func (q *pdfWriter) style(pt float64, bold bool) {
	if bold {
		q.SetFont("go", "B", pt)
		return
	}
	q.SetFont("go", "", pt)
}

func (q *pdfWriter) row(t *table, r []string, width []float64, pt, lineMM float64, bold, low bool) {
	h := q.rowHeight(r, width, pt, lineMM, bold)
	y, x := q.GetY()+0.5, pdfSide
	for k, s := range r {
		lines := q.wrap(s, width[k]-2*cellPad)
		top := y
		if low {
			top += h - 1 - float64(len(lines))*lineMM
		}
		for i, line := range lines {
			q.SetXY(x+cellPad, top+float64(i)*lineMM)
			align := "L"
			if t.cols[k].right {
				align = "R"
			}
			q.CellFormat(width[k]-2*cellPad, lineMM, line, "", 0, align, false, 0, "")
		}
		x += width[k]
	}
	q.SetXY(pdfSide, y-0.5+h)
}

// wrap parts words into lines at most mm wide in the present font; a word wider
// than that is broken.
func (q *pdfWriter) wrap(s string, mm float64) []string {
	if q.GetStringWidth(s) <= mm+1e-3 {
		return []string{s}
	}
	var out []string
	line := ""
	for _, w := range strings.Fields(s) {
		try := w
		if line != "" {
			try = line + " " + w
		}
		if q.GetStringWidth(try) <= mm+1e-3 {
			line = try
			continue
		}
		if line != "" {
			out = append(out, line)
		}
		for q.GetStringWidth(w) > mm+1e-3 {
			head := q.cutPlain(w, mm)
			out = append(out, head)
			w = w[len(head):]
		}
		line = w
	}
	if line != "" || len(out) == 0 {
		out = append(out, line)
	}
	return out
}

// cutPlain is the longest beginning of s that fits, at least one character.
func (q *pdfWriter) cutPlain(s string, mm float64) string {
	end := 0
	for i, r := range s {
		n := i + len(string(r))
		if end > 0 && q.GetStringWidth(s[:n]) > mm {
			break
		}
		end = n
	}
	return s[:end]
}

// cut is cutPlain with an ellipsis when something was left out.
func (q *pdfWriter) cut(s string, mm float64) string {
	if q.GetStringWidth(s) <= mm {
		return s
	}
	return q.cutPlain(s, mm-q.GetStringWidth("…")) + "…"
}
