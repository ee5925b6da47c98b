package chart

import (
	"time"

	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
)

// pen is how many pixels a cell has, along and down.
type pen struct{ nx, ny int }

var (
	braille = pen{2, 4}
	halves  = pen{1, 2}
	signs   = pen{1, 1}
)

func pick(l *look.Look) pen {
	switch {
	case l.Glyphs == look.ASCII:
		return signs
	case l.Palette.Thick:
		return halves
	}
	return braille
}

// curve rasters one series and draws the cells that it touches.
func (c *Chart) curve(p frame.Pane, s scale, sr Series, k pen) {
	w, h := s.w*k.nx, s.h*k.ny
	px := make([]bool, w*h)
	set := func(x, y int) {
		if x >= 0 && y >= 0 && x < w && y < h {
			px[y*w+x] = true
		}
	}
	fine := s
	fine.w = w
	x0, y0, joined := 0, 0, false
	var last time.Time
	for _, q := range sr.Points {
		if !finite(q.V) || q.T.Before(c.From) || q.T.After(c.To) {
			joined = false
			continue
		}
		x, y := fine.column(q.T), s.pixelRow(q.V, k.ny)
		if joined && !sr.Dots && (c.MaxGap == 0 || q.T.Sub(last) <= c.MaxGap) {
			join(x0, y0, x, y, set)
		}
		set(x, y)
		x0, y0, last, joined = x, y, q.T, true
	}
	for y := range s.h {
		for x := range s.w {
			if t := k.cell(px, w, x, y, p); t != "" {
				p.Set(x, y, t, look.Plain(sr.Role))
			}
		}
	}
}

// join draws a straight line, one pixel for each step along its longer way.
func join(x0, y0, x1, y1 int, set func(x, y int)) {
	n := max(abs(x1-x0), abs(y1-y0))
	for i := 1; i < n; i++ {
		set(x0+div(i*(x1-x0), n), y0+div(i*(y1-y0), n))
	}
}

func abs(v int) int { return max(v, -v) }

// div divides and rounds to the nearest, halves away from 0.
func div(a, n int) int {
	if a < 0 {
		return -div(-a, n)
	}
	return (2*a + n) / (2 * n)
}

// dotBits as in the Unicode block for braille, from 2800: two columns of four.
var dotBits = [4][2]rune{{1, 8}, {2, 16}, {4, 32}, {64, 128}}

// cell gives the character for a cell; "" if no pixel of it is set.
func (k pen) cell(px []bool, w, x, y int, p frame.Pane) string {
	bits, up, down := rune(0), false, false
	for j := range k.ny {
		for i := range k.nx {
			if !px[(y*k.ny+j)*w+x*k.nx+i] {
				continue
			}
			bits |= dotBits[j][i]
			up, down = up || j == 0, down || j == 1
		}
	}
	switch {
	case bits == 0:
		return ""
	case k == signs:
		return p.Glyph(look.GlyphPoint)
	case k == braille:
		return string(0x2800 + bits)
	case up && down:
		return "█"
	case up:
		return "▀"
	}
	return "▄"
}
