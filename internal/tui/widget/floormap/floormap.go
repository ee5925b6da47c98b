// Package floormap draws a zone to scale: bare floor, rows as they are laid,
// the wet edge by state, columns, stop lines, mix station, the next place to
// pour and the place of the least slack.
//
// It takes plain data in metres and knows nothing of the day. The longer side
// of the zone lies along the screen (turned, never mirrored). With half blocks
// a cell of the screen shows two square pixels; where the wet edge passes, the
// whole cell carries the sign of its state on the state's colour, the worse
// one if two meet. Without colour, or in ASCII, every cell is a sign. Braille
// resolves more but is faint in sunlight, so it is drawn only on request.
//
// A cell of a screen counts as twice as high as it is wide, which holds within
// some ten percent for the usual console fonts (common practice, no source).
package floormap

import (
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
)

// State is what a piece of floor is in.
type State uint8

// States. The worse of two edge states is the greater one.
const (
	Bare State = iota
	Laid
	Column // column, pit or another hole
	Joinable
	AtRisk
	Gone
)

// Cell is a square piece of floor.
type Cell struct {
	X, Y  float64 // centre, m
	State State
	Odd   bool // laid in an odd row or batch: shaded apart from its neighbours
	Bay   bool // in a bay with a depth of its own
	// Fenced is laid floor to keep off; the wet edge shows through.
	Fenced bool
}

// Point is a place on the floor or a direction, in metres, x to the right and
// y up on the plan.
type Point struct{ X, Y float64 }

// Line is a straight line on the floor.
type Line struct{ A, B Point }

// Kind is what a mark stands for.
type Kind uint8

// Kinds of marks, later ones drawn over earlier ones.
const (
	Label Kind = iota // words only
	Drain
	Door
	Station
	Slack // where the least slack is
	Next  // next place to pour
)

// Mark is a sign at a place, with a few words beside it if there is room.
type Mark struct {
	At    Point
	Kind  Kind
	Words string
}

// Map is what to draw.
type Map struct {
	Version uint64 // other content must have another version
	Step    float64
	Cells   []Cell // in any order; Step apart, m
	Stops   []Line // stop lines
	Ahead   []Line // pieces of the line up to which detail work may go down
	Marks   []Mark
	Pull    Point // direction in which the front advances; zero: not shown
	North   Point // direction of north; zero: not shown
	// The crew's unit of length for the scale bar.
	UnitMetres float64 // 0.3048 for ft; 0: no scale bar
	Unit       string
}

// Pen is a way of drawing.
type Pen uint8

// Pens.
const (
	Auto Pen = iota // half blocks where the look can, else signs
	Half
	Braille
	Signs
)

// View draws maps and keeps the last one drawn. The zero value is ready.
type View struct {
	Pen Pen

	cached frame.Cached[key]
	grid   grid
	pix    []look.Role
}

type key struct {
	version uint64
	pen     Pen
}

// outside is the role of a pixel that is no floor: its ground is the plain
// ground of the screen.
const outside = look.Text

// fenced is the role of a pixel of fenced floor.
const fenced = look.PlateWarn

// Draw draws the map on the pane, centred, with a line for scale and
// directions below it and a key to the signs if there is room.
func (v *View) Draw(p frame.Pane, m *Map) {
	v.cached.Draw(p, key{m.Version, v.Pen}, func(p frame.Pane) { v.draw(p, m) })
}

func (v *View) draw(p frame.Pane, m *Map) {
	if len(m.Cells) == 0 || !(m.Step > 0) {
		p.PrintCentre((p.H()-1)/2, look.Dim, "no floor to show")
		return
	}
	area, foot, legend := p, frame.Pane{}, frame.Pane{}
	if p.H() >= 6 && p.W() >= 16 {
		area, foot = area.Bottom(1)
	}
	if p.H() >= 10 && p.W() >= 50 {
		area, legend = area.Bottom(1)
	}
	v.grid.build(m)
	pen := v.pen(p.Look())
	t := place(&v.grid, m.Marks, area.W(), area.H(), pen)
	v.sample(m, t)
	switch pen {
	case Braille:
		v.drawBraille(area, t)
	case Signs:
		v.drawSigns(area, t)
	default:
		v.drawHalves(area, t)
	}
	drawAhead(area, m, t)
	drawStops(area, m, t)
	v.drawMarks(area, m, t)
	x := 0
	if foot.H() > 0 {
		x = drawFoot(foot, m, t)
	}
	if legend.H() > 0 {
		drawLegend(legend, foot, x, m, t)
	}
}

func (v *View) pen(l *look.Look) Pen {
	switch {
	case v.Pen == Signs || !l.HalfBlocks() && v.Pen != Braille || l.Glyphs == look.ASCII:
		return Signs
	case v.Pen == Braille:
		return Braille
	}
	return Half
}

// role gives what a piece of floor is drawn in.
func role(c Cell) look.Role {
	switch c.State {
	case Laid:
		if c.Fenced {
			return fenced
		}
		if c.Odd {
			return look.RowA
		}
		return look.RowB
	case Column:
		return look.Column
	case Joinable:
		return look.Joinable
	case AtRisk:
		return look.AtRisk
	case Gone:
		return look.Gone
	}
	if c.Bay {
		return look.BareBay
	}
	return look.Bare
}

// rank orders roles for a pixel in which several pieces of floor lie: an edge
// must never be lost between two sample points, nor a column.
func rank(r look.Role) int {
	switch r {
	case look.Gone:
		return 4
	case look.AtRisk:
		return 3
	case look.Joinable:
		return 2
	case look.Column, fenced:
		return 1
	}
	return 0
}

// sample fills the pixels: each from the piece of floor at its middle, then
// edges and columns again by their own middles, so that pieces smaller than a
// pixel show.
func (v *View) sample(m *Map, t placing) {
	n := t.pw * t.ph
	if cap(v.pix) < n {
		v.pix = make([]look.Role, n)
	}
	v.pix = v.pix[:n]
	for j := range t.ph {
		for i := range t.pw {
			r := outside
			if k := v.grid.at(t.floor(i, j)); k >= 0 {
				r = role(m.Cells[k])
			}
			v.pix[j*t.pw+i] = r
		}
	}
	for _, c := range m.Cells {
		if c.State < Column && !c.Fenced {
			continue
		}
		i, j := t.pixel(Point{c.X, c.Y})
		if i < 0 || j < 0 || i >= t.pw || j >= t.ph {
			continue
		}
		if r := role(c); rank(r) > rank(v.pix[j*t.pw+i]) {
			v.pix[j*t.pw+i] = r
		}
	}
}
