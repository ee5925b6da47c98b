// Package picture is for tests: it runs a program on a pseudo-terminal with a
// terminal emulator behind it, sends keys, waits for words, reads cells and
// their colours, and draws the cells as an SVG. Only tests import it.
//
//	term, err := picture.Start(100, 30, exec.Command(bin, "demo"))
//	defer term.Close()
//	screen, err := term.WaitText("START", 5*time.Second)
//	term.Send("1")
//
// A view that is already a string, with escape sequences, needs no program:
//
//	picture.FromString(view, 100, 30).SVG()
package picture

import (
	"image/color"
	"strings"

	"github.com/charmbracelet/x/vt"
)

// Colour is a colour on the screen; Set is false for the terminal's own.
type Colour struct {
	R, G, B uint8
	Set     bool
}

// Cell is one cell of the screen. The right half of a wide character has an
// empty Text.
type Cell struct {
	Text        string
	Width       int
	Ink, Ground Colour
	Attrs       uint8 // bold, reverse and so on, as the emulator packs them; 0 is none
}

// Screen is what stood on the terminal at one instant.
type Screen struct {
	W, H             int
	Cells            []Cell // row by row
	CursorX, CursorY int
}

// FromString shows a view, lines joined by line feeds, on a terminal of w × h
// cells. A view that is too large scrolls or is cut, as it would be.
func FromString(view string, w, h int) Screen {
	e := vt.NewEmulator(w, h)
	_, _ = e.WriteString("\x1b[?25l" + strings.ReplaceAll(view, "\n", "\r\n"))
	return read(e, w, h)
}

func read(e *vt.Emulator, w, h int) Screen {
	s := Screen{W: w, H: h, Cells: make([]Cell, w*h)}
	pos := e.CursorPosition()
	s.CursorX, s.CursorY = pos.X, pos.Y
	for y := range h {
		for x := range w {
			c := &s.Cells[y*w+x]
			k := e.CellAt(x, y)
			if k == nil {
				*c = Cell{Text: " ", Width: 1}
				continue
			}
			*c = Cell{k.Content, k.Width, colour(k.Style.Fg), colour(k.Style.Bg), k.Style.Attrs}
			switch {
			case c.Text == "" && c.Width == 1:
				c.Text = " "
			case c.Width == 0 && x > 0: // right half: it looks like the left one
				left := s.Cells[y*w+x-1]
				*c = Cell{"", 0, left.Ink, left.Ground, left.Attrs}
			}
		}
	}
	return s
}

func colour(c color.Color) Colour {
	if c == nil {
		return Colour{}
	}
	r, g, b, _ := c.RGBA()
	return Colour{uint8(r >> 8), uint8(g >> 8), uint8(b >> 8), true}
}

// At gives the cell at column x of row y; a blank one outside the screen.
func (s Screen) At(x, y int) Cell {
	if x < 0 || y < 0 || x >= s.W || y >= s.H {
		return Cell{Text: " ", Width: 1}
	}
	return s.Cells[y*s.W+x]
}

// Line gives row y as text, blanks at its end cut off.
func (s Screen) Line(y int) string {
	var b strings.Builder
	for x := range s.W {
		b.WriteString(s.At(x, y).Text)
	}
	return strings.TrimRight(b.String(), " ")
}

// Text gives all rows, joined by line feeds.
func (s Screen) Text() string {
	lines := make([]string, s.H)
	for y := range lines {
		lines[y] = s.Line(y)
	}
	return strings.Join(lines, "\n")
}

// Has tells whether a row contains the words.
func (s Screen) Has(words string) bool {
	_, _, ok := s.Find(words)
	return ok
}

// Find gives the cell at which words first stand in one row.
func (s Screen) Find(words string) (x, y int, ok bool) {
	for y := range s.H {
		for x := range s.W {
			if s.startsAt(x, y, words) {
				return x, y, true
			}
		}
	}
	return 0, 0, false
}

func (s Screen) startsAt(x, y int, words string) bool {
	for words != "" && x < s.W {
		t := s.At(x, y).Text
		if !strings.HasPrefix(words, t) {
			return false
		}
		words, x = words[len(t):], x+1
	}
	return words == ""
}
