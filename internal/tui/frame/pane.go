package frame

import (
	"strings"

	"floorpace/internal/tui/look"
)

// Pane is a window on a canvas. Places are counted from its own upper left
// corner; nothing is drawn outside it. A Pane is a small value: copy it.
type Pane struct {
	c *Canvas
	r Rect // on the canvas; always inside it
}

// W gives the width in cells.
func (p Pane) W() int { return p.r.W }

// H gives the height in cells.
func (p Pane) H() int { return p.r.H }

// Empty tells whether the pane has no cell.
func (p Pane) Empty() bool { return p.r.Empty() }

// Look gives the look that the canvas is drawn with.
func (p Pane) Look() *look.Look { return p.c.look }

// Glyph gives the character of a sign.
func (p Pane) Glyph(g look.Glyph) string { return p.c.look.Glyph(g) }

// Sub gives the part of the pane in a rectangle counted from its corner.
func (p Pane) Sub(r Rect) Pane {
	r.X, r.Y = r.X+p.r.X, r.Y+p.r.Y
	return Pane{p.c, r.Intersect(p.r)}
}

// Inset gives the pane less dx cells at both sides and dy above and below.
func (p Pane) Inset(dx, dy int) Pane {
	return p.Sub(Rect{dx, dy, p.r.W - 2*dx, p.r.H - 2*dy})
}

// Row gives row y as a pane.
func (p Pane) Row(y int) Pane { return p.Sub(Rect{0, y, p.r.W, 1}) }

// Top splits off the n upper rows.
func (p Pane) Top(n int) (top, rest Pane) {
	n = min(max(n, 0), p.r.H)
	return p.Sub(Rect{0, 0, p.r.W, n}), p.Sub(Rect{0, n, p.r.W, p.r.H - n})
}

// Bottom splits off the n lower rows.
func (p Pane) Bottom(n int) (rest, bottom Pane) {
	return p.Top(p.r.H - min(max(n, 0), p.r.H))
}

// Left splits off the n leftmost columns.
func (p Pane) Left(n int) (left, rest Pane) {
	n = min(max(n, 0), p.r.W)
	return p.Sub(Rect{0, 0, n, p.r.H}), p.Sub(Rect{n, 0, p.r.W - n, p.r.H})
}

// Right splits off the n rightmost columns.
func (p Pane) Right(n int) (rest, right Pane) {
	return p.Left(p.r.W - min(max(n, 0), p.r.W))
}

// Columns splits the pane side by side, by weight, gap cells apart.
func (p Pane) Columns(gap int, weights ...int) []Pane {
	out := make([]Pane, len(weights))
	x := 0
	for i, w := range Share(p.r.W, gap, weights...) {
		out[i] = p.Sub(Rect{x, 0, w, p.r.H})
		x += w + gap
	}
	return out
}

// Rows splits the pane one above the other, by weight, gap cells apart.
func (p Pane) Rows(gap int, weights ...int) []Pane {
	out := make([]Pane, len(weights))
	y := 0
	for i, h := range Share(p.r.H, gap, weights...) {
		out[i] = p.Sub(Rect{0, y, p.r.W, h})
		y += h + gap
	}
	return out
}

// Set draws one cluster in a style; wide or doubtful text falls back as Print
// does. For signs and half blocks.
func (p Pane) Set(x, y int, text string, s look.Style) {
	if x < 0 || y < 0 || x >= p.r.W || y >= p.r.H {
		return
	}
	if len(text) == 1 || oneCell[text] {
		p.c.put(p.r.X+x, p.r.Y+y, text, 1, s)
		return
	}
	p.print(x, y, s, text)
}

// Print draws text in a role from column x of row y and gives the column after
// it. Text that does not fit is cut, without a sign; see Fit for one with.
func (p Pane) Print(x, y int, r look.Role, text string) int {
	return p.print(x, y, look.Plain(r), text)
}

func (p Pane) print(x, y int, s look.Style, text string) int {
	inside := y >= 0 && y < p.r.H
	for text != "" {
		var cl string
		var w int
		cl, w, text = next(text, p.c.look.Glyphs == look.ASCII)
		if w == 0 {
			continue
		}
		switch {
		case !inside || p.r.W <= 0 || x+w <= 0 || x >= p.r.W:
		case x < 0 || x+w > p.r.W: // half of a wide character
			p.c.put(p.r.X+max(x, 0), p.r.Y+y, " ", 1, s)
		default:
			p.c.put(p.r.X+x, p.r.Y+y, cl, w, s)
		}
		x += w
	}
	return x
}

// Span is a piece of text in a role.
type Span struct {
	Role look.Role
	Text string
}

// Spans draws pieces one after the other and gives the column after the last.
func (p Pane) Spans(x, y int, spans ...Span) int {
	for _, s := range spans {
		x = p.Print(x, y, s.Role, s.Text)
	}
	return x
}

// SpansWidth gives the cells that pieces take.
func SpansWidth(spans ...Span) int {
	w := 0
	for _, s := range spans {
		w += Width(s.Text)
	}
	return w
}

// Right-aligned, centred and shortened text.

// PrintRight draws text so that it ends before column x, cut at the left of
// the pane if need be.
func (p Pane) PrintRight(x, y int, r look.Role, text string) {
	p.Print(x-Width(text), y, r, text)
}

// PrintCentre draws text in the middle of row y, shortened to the width.
func (p Pane) PrintCentre(y int, r look.Role, text string) {
	text = p.Fit(text, p.r.W)
	p.Print((p.r.W-Width(text))/2, y, r, text)
}

// PrintFit draws text from column x in at most w cells, with a sign where it
// was cut, and gives the column after it.
func (p Pane) PrintFit(x, y, w int, r look.Role, text string) int {
	return p.Print(x, y, r, p.Fit(text, min(w, p.r.W-x)))
}

// Fit shortens text to w cells; the last one says that there is more.
func (p Pane) Fit(text string, w int) string {
	if w <= 0 {
		return ""
	}
	if Width(text) <= w {
		return text
	}
	var b strings.Builder
	used := 0
	for text != "" {
		cl, cw, rest := next(text, false)
		if used+cw > w-1 {
			break
		}
		b.WriteString(cl)
		used, text = used+cw, rest
	}
	b.WriteString(p.Glyph(look.GlyphMore))
	return b.String()
}

// Fill paints the whole pane in a role: a blank where there is colour, the
// role's texture where there is none.
func (p Pane) Fill(r look.Role) {
	f := p.c.look.Fill(r)
	for y := range p.r.H {
		for x := range p.r.W {
			p.c.put(p.r.X+x, p.r.Y+y, f, 1, look.Plain(r))
		}
	}
}

// Plate paints the whole pane in a role as the ground for words.
func (p Pane) Plate(r look.Role) {
	for y := range p.r.H {
		for x := range p.r.W {
			p.c.put(p.r.X+x, p.r.Y+y, " ", 1, look.Plain(r))
		}
	}
}

// Title draws a heading with a thin rule behind it on the first row and gives
// what is left below. An optional note stands at the right end of the rule.
func (p Pane) Title(heading, note string) Pane {
	row, rest := p.Top(1)
	if row.Empty() {
		return rest
	}
	row.Rule(0)
	x := row.PrintFit(0, 0, row.W(), look.Heading, heading)
	if heading != "" {
		row.Print(x, 0, look.Text, " ")
	}
	if w := Width(note); note != "" && x+w+4 <= row.W() {
		row.PrintRight(row.W(), 0, look.Dim, " "+note)
	}
	return rest
}

// Rule draws a thin rule across row y.
func (p Pane) Rule(y int) {
	for x := range p.r.W {
		p.Set(x, y, p.Glyph(look.GlyphRule), look.Plain(look.Rule))
	}
}

// RuleDown draws a thin rule down column x.
func (p Pane) RuleDown(x int) {
	for y := range p.r.H {
		p.Set(x, y, p.Glyph(look.GlyphRuleDown), look.Plain(look.Rule))
	}
}

// Wrap draws text broken at blanks from row y on and gives the row after it.
// The last row that fits ends with a sign if there is more.
func (p Pane) Wrap(y int, r look.Role, text string) int {
	lines := WrapLines(text, p.r.W)
	for i, line := range lines {
		if y >= p.r.H {
			break
		}
		if y == p.r.H-1 && i < len(lines)-1 {
			line = p.Fit(line+" "+lines[i+1], p.r.W)
		}
		p.Print(0, y, r, line)
		y++
	}
	return y
}

// Blit copies a canvas, which has the same look, with its corner at x, y.
func (p Pane) Blit(x, y int, src *Canvas) {
	for sy := range src.h {
		for sx := 0; sx < src.w; {
			k := src.cells[sy*src.w+sx]
			w := 1
			if sx+1 < src.w && src.cells[sy*src.w+sx+1].text == "" {
				w = 2
			}
			tx, ty := x+sx, y+sy
			if ty >= 0 && ty < p.r.H && tx >= 0 && tx+w <= p.r.W {
				p.c.put(p.r.X+tx, p.r.Y+ty, k.text, w, k.style)
			}
			sx += w
		}
	}
}

// StyleAt gives the style of a cell; the style of plain text outside the pane.
func (p Pane) StyleAt(x, y int) look.Style {
	if x < 0 || y < 0 || x >= p.r.W || y >= p.r.H {
		return look.Plain(look.Text)
	}
	_, s := p.c.At(p.r.X+x, p.r.Y+y)
	return s
}

// TextAt gives the text of a cell; a blank outside the pane.
func (p Pane) TextAt(x, y int) string {
	if x < 0 || y < 0 || x >= p.r.W || y >= p.r.H {
		return " "
	}
	t, _ := p.c.At(p.r.X+x, p.r.Y+y)
	return t
}
