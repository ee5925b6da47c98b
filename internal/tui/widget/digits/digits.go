// Package digits draws figures and words so large that they can be read from
// three metres: counts of minutes and seconds, START, HOLD, LATE.
//
// A letter is kept as a small grid of modules, three wide and five high for
// most, and each module is stretched: strokes grow in even steps with the
// height, counters take what is left. So one drawing serves every height from
// three rows up, with half blocks (two pixels a row) or, in ASCII, one pixel a
// row. In ASCII, three and four rows are drawn with thin strokes instead,
// because five modules do not fit.
//
// A word as high as h metres is read without effort from about 200·h (common
// practice for signs, no source): three rows of a laptop's console, some 15 mm,
// from 3 m.
package digits

import (
	"strings"

	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
)

// Size is the size of a drawing in cells.
type Size struct{ W, H int }

// MaxRows is the tallest drawing: more would only push other things away.
const MaxRows = 15

// Fit gives the largest size, at most w × h cells, at which text can be drawn
// large; ok is false if not even three rows fit.
func Fit(l *look.Look, text string, w, h int) (s Size, ok bool) {
	for rows := min(h, MaxRows); rows >= 3; rows-- {
		if size, fits := sizeAt(l, text, rows, w); fits {
			return size, true
		}
	}
	return Size{}, false
}

// Draw draws text, which may hold digits, capital letters, ':', '.', '-', '+',
// '!' and blanks, as large as the pane allows, in a role, in the middle of the
// pane. Where three rows do not fit it is written plainly in the middle row,
// cut if need be. It gives the size used.
func Draw(p frame.Pane, r look.Role, text string) Size {
	if p.Empty() {
		return Size{}
	}
	text = strings.ToUpper(text)
	s, ok := Fit(p.Look(), text, p.W(), p.H())
	if !ok {
		p.PrintCentre((p.H()-1)/2, r, text)
		return Size{min(frame.Width(text), p.W()), 1}
	}
	at := p.Sub(frame.Rect{X: (p.W() - s.W) / 2, Y: (p.H() - s.H) / 2, W: s.W, H: s.H})
	if thin(p.Look(), s.H) {
		drawThin(at, r, text)
		return s
	}
	px := raster(text, stretchFor(p.Look(), text, s))
	drawPixels(at, r, px, p.Look().Glyphs == look.ASCII)
	return s
}

// thin tells whether a height is drawn with thin strokes.
func thin(l *look.Look, rows int) bool { return l.Glyphs == look.ASCII && rows < 5 }

func sizeAt(l *look.Look, text string, rows, w int) (Size, bool) {
	if thin(l, rows) {
		n := thinWidth(text)
		return Size{n, 3}, n <= w && n > 0
	}
	for _, tight := range []bool{false, true} {
		st := stretch(l, rows, tight)
		if n := st.width(text); n <= w && n > 0 {
			return Size{n, rows}, true
		}
	}
	return Size{}, false
}

// stretchFor finds back the stretch that gave a size.
func stretchFor(l *look.Look, text string, s Size) stretching {
	st := stretch(l, s.H, false)
	if st.width(text) != s.W {
		st = stretch(l, s.H, true)
	}
	return st
}

// stretching says how many pixels each module takes.
type stretching struct {
	rows    [5]int // top stroke, counter, middle stroke, counter, bottom stroke
	stroke  int    // width of a stroke
	counter int    // width of the room between strokes
	gap     int    // between letters
}

// stretch gives the stretching for a height in rows. Pixels are square with
// half blocks and twice as high as wide in ASCII, so there letters are drawn
// twice as many pixels wide.
func stretch(l *look.Look, rows int, tight bool) stretching {
	high, wide := 2*rows, 1
	if l.Glyphs == look.ASCII {
		high, wide = rows, 2
	}
	// A stroke is a sixth of the height: heavier than print, as letters seen
	// from afar want to be.
	stroke := max((high+2)/6, 1)
	left := high - 3*stroke
	st := stretching{
		rows:   [5]int{stroke, left / 2, stroke, left - left/2, stroke},
		stroke: max(stroke*wide, 1),
	}
	switch high { // few pixels: the heaviest strokes that leave the counters open
	case 6:
		st.rows, st.stroke = [5]int{1, 1, 1, 2, 1}, 2
	case 8:
		st.rows, st.stroke = [5]int{2, 1, 2, 1, 2}, 2
	}
	st.counter, st.gap = max(st.stroke*5/4, 1), max(st.stroke*2/3, 1)
	if tight {
		st.counter = max(st.stroke*2/3, 1)
		st.stroke = max(st.stroke*2/3, 1)
		st.gap = max(st.gap*2/3, 1)
	}
	return st
}

// column gives the pixels of a module column by its kind.
func (st stretching) column(kind byte) int {
	if kind == 'c' {
		return st.counter
	}
	return st.stroke
}

func (st stretching) letter(r rune) int {
	w := 0
	for _, k := range []byte(letterOf(r).kinds) {
		w += st.column(k)
	}
	return w
}

func (st stretching) width(text string) int {
	w := -st.gap
	for _, r := range text {
		w += st.letter(r) + st.gap
	}
	return w
}

// raster gives the pixels, row by row.
func raster(text string, st stretching) [][]bool {
	high := 0
	for _, h := range st.rows {
		high += h
	}
	px := make([][]bool, high)
	w := st.width(text)
	for y := range px {
		px[y] = make([]bool, w)
	}
	x := 0
	for _, r := range text {
		g := letterOf(r)
		for col := range len(g.kinds) {
			cw := st.column(g.kinds[col])
			y := 0
			for row, rh := range st.rows {
				if g.rows[row][col] == '#' {
					fill(px, x, y, cw, rh)
				}
				y += rh
			}
			x += cw
		}
		x += st.gap
	}
	return px
}

func fill(px [][]bool, x, y, w, h int) {
	for yy := y; yy < y+h; yy++ {
		for xx := x; xx < x+w; xx++ {
			px[yy][xx] = true
		}
	}
}

// drawPixels puts two pixels into a cell with half blocks, one in ASCII.
func drawPixels(p frame.Pane, r look.Role, px [][]bool, ascii bool) {
	s := look.Plain(r)
	if ascii {
		for y, row := range px {
			for x, on := range row {
				if on {
					p.Set(x, y, "#", s)
				}
			}
		}
		return
	}
	for y := 0; y+1 < len(px); y += 2 {
		for x := range px[y] {
			switch up, down := px[y][x], px[y+1][x]; {
			case up && down:
				p.Set(x, y/2, "█", s)
			case up:
				p.Set(x, y/2, "▀", s)
			case down:
				p.Set(x, y/2, "▄", s)
			}
		}
	}
}
