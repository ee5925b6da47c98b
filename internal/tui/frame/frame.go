// Package frame puts screens together: rectangles and a canvas of cells that
// is always exactly as wide and as high as asked for, whatever is drawn on it.
//
// A Canvas owns the cells. A Pane is a window on a canvas: it has its own
// origin, and whatever is drawn through it stays inside. Widgets draw on
// panes, screens split panes. String gives the lines, each complete in itself
// (it begins and ends in the terminal's own colours), so that a renderer may
// send any line alone.
//
// Names on a site come in any script. A cluster of characters on whose width
// terminals disagree (joined emoji, flags, some Indic vowels) is shown by its
// base character, or by a box of one cell; a control character never gets
// through. So no name can shift or break a frame.
package frame

import (
	"strings"

	"floorpace/internal/tui/look"
)

type cell struct {
	text  string // one cluster; "" is the right half of a wide one
	style look.Style
}

// Canvas is a grid of styled cells. Make one with New.
type Canvas struct {
	w, h  int
	look  *look.Look
	cells []cell
}

// New gives a blank canvas of w × h cells; sizes below 0 count as 0.
func New(l *look.Look, w, h int) *Canvas {
	c := &Canvas{}
	c.Reset(l, w, h)
	return c
}

// Reset blanks the canvas, with a new look and size, keeping its memory.
func (c *Canvas) Reset(l *look.Look, w, h int) {
	c.w, c.h, c.look = max(w, 0), max(h, 0), l
	n := c.w * c.h
	if cap(c.cells) < n {
		c.cells = make([]cell, n)
	}
	c.cells = c.cells[:n]
	blank := cell{" ", look.Plain(look.Text)}
	for i := range c.cells {
		c.cells[i] = blank
	}
}

// Pane gives the whole canvas as a pane.
func (c *Canvas) Pane() Pane { return Pane{c, Rect{0, 0, c.w, c.h}} }

// Size gives width and height in cells.
func (c *Canvas) Size() (w, h int) { return c.w, c.h }

// Look gives the look that the canvas is drawn with.
func (c *Canvas) Look() *look.Look { return c.look }

// At gives text and style of a cell; "" for the right half of a wide
// character and outside the canvas.
func (c *Canvas) At(x, y int) (string, look.Style) {
	if x < 0 || y < 0 || x >= c.w || y >= c.h {
		return "", 0
	}
	k := c.cells[y*c.w+x]
	return k.text, k.style
}

// put writes one cluster of width 1 or 2 at a place known to be inside. What
// is left of a wide character that is cut by it becomes blank.
func (c *Canvas) put(x, y int, text string, width int, s look.Style) {
	i := y*c.w + x
	if c.cells[i].text == "" && x > 0 {
		c.cells[i-1].text = " "
	}
	if end := x + width; end < c.w && c.cells[i+width].text == "" {
		c.cells[i+width].text = " "
	}
	c.cells[i] = cell{text, s}
	if width == 2 {
		c.cells[i+1] = cell{"", s}
	}
}

// Lines gives the rows, each w cells wide.
func (c *Canvas) Lines() []string {
	out := make([]string, c.h)
	var b strings.Builder
	for y := range out {
		b.Reset()
		c.line(&b, y)
		out[y] = b.String()
	}
	return out
}

// String gives the rows joined by line feeds.
func (c *Canvas) String() string {
	var b strings.Builder
	b.Grow(len(c.cells) * 2)
	for y := range c.h {
		if y > 0 {
			b.WriteByte('\n')
		}
		c.line(&b, y)
	}
	return b.String()
}

func (c *Canvas) line(b *strings.Builder, y int) {
	pen := look.Pen{Look: c.look}
	for _, k := range c.cells[y*c.w : (y+1)*c.w] {
		if k.text == "" {
			continue
		}
		pen.Set(b, k.style, k.text == " ")
		b.WriteString(k.text)
	}
	pen.Reset(b)
}

// Plain gives the rows without any escape sequence, for tests and for reading.
func (c *Canvas) Plain() string {
	var b strings.Builder
	for i, k := range c.cells {
		if i > 0 && i%c.w == 0 {
			b.WriteByte('\n')
		}
		b.WriteString(k.text)
	}
	return b.String()
}
