package floormap

import "math"

// grid finds the piece of floor at a place.
type grid struct {
	minX, minY, step float64
	nx, ny           int
	index            []int32 // 1 + number in Map.Cells, 0 for none
}

// maxGrid bounds the memory for maps whose cells lie absurdly far apart.
const maxGrid = 1 << 20

func (g *grid) build(m *Map) {
	minX, minY := math.Inf(1), math.Inf(1)
	maxX, maxY := math.Inf(-1), math.Inf(-1)
	for _, c := range m.Cells {
		minX, maxX = min(minX, c.X), max(maxX, c.X)
		minY, maxY = min(minY, c.Y), max(maxY, c.Y)
	}
	g.step = m.Step
	for (maxX-minX)/g.step*((maxY-minY)/g.step) > maxGrid {
		g.step *= 2
	}
	g.minX, g.minY = minX-g.step/2, minY-g.step/2
	g.nx = int((maxX-minX)/g.step+0.5) + 1
	g.ny = int((maxY-minY)/g.step+0.5) + 1
	n := g.nx * g.ny
	if cap(g.index) < n {
		g.index = make([]int32, n)
	}
	g.index = g.index[:n]
	clear(g.index)
	for k, c := range m.Cells {
		ix, iy := int((c.X-g.minX)/g.step), int((c.Y-g.minY)/g.step)
		if ix >= 0 && iy >= 0 && ix < g.nx && iy < g.ny {
			g.index[iy*g.nx+ix] = int32(k) + 1
		}
	}
}

// at gives the number of the cell at a place, or -1.
func (g *grid) at(p Point) int {
	fx, fy := (p.X-g.minX)/g.step, (p.Y-g.minY)/g.step
	if fx < 0 || fy < 0 || fx >= float64(g.nx) || fy >= float64(g.ny) {
		return -1
	}
	return int(g.index[int(fy)*g.nx+int(fx)]) - 1
}

// placing is where the floor lies on the screen.
type placing struct {
	turned     bool    // a quarter turn clockwise
	x0, y0     float64 // floor coordinates of the upper left corner of the picture
	dx, dy     float64 // size of a pixel along and down the screen, m
	pw, ph     int     // pixels
	nx, ny     int     // pixels in a cell of the screen
	offX, offY int     // first cell of the screen
	perCell    float64 // metres along one cell of the screen
}

// reach gives the lower left and upper right corner of the floor, widened for
// signs that stand outside: the mix station often does. No sign widens it by
// more than a tenth of the longer side; beyond, it stands at the rim.
func (g *grid) reach(marks []Mark) (lo, hi Point) {
	lo = Point{g.minX, g.minY}
	hi = Point{g.minX + float64(g.nx)*g.step, g.minY + float64(g.ny)*g.step}
	most := max(hi.X-lo.X, hi.Y-lo.Y) / 10
	wide := [2]Point{lo, hi}
	for _, k := range marks {
		if k.Kind == Label || math.IsNaN(k.At.X+k.At.Y) {
			continue
		}
		wide[0].X, wide[0].Y = min(wide[0].X, max(k.At.X-g.step, lo.X-most)), min(wide[0].Y, max(k.At.Y-g.step, lo.Y-most))
		wide[1].X, wide[1].Y = max(wide[1].X, min(k.At.X+g.step, hi.X+most)), max(wide[1].Y, min(k.At.Y+g.step, hi.Y+most))
	}
	return wide[0], wide[1]
}

// place fits the floor into w × h cells, to scale, in the middle.
func place(g *grid, marks []Mark, w, h int, pen Pen) placing {
	t := placing{nx: 1, ny: 2}
	switch pen {
	case Braille:
		t.nx, t.ny = 2, 4
	case Signs:
		t.nx, t.ny = 1, 1
	}
	lo, hi := g.reach(marks)
	along, down := hi.X-lo.X, hi.Y-lo.Y
	t.turned = down > along
	t.x0, t.y0 = lo.X, hi.Y
	if t.turned {
		along, down = down, along
		t.y0 = lo.Y
	}
	if w < 1 || h < 1 {
		return t
	}
	t.perCell = max(along/float64(w), down/float64(2*h))
	t.dx, t.dy = t.perCell/float64(t.nx), 2*t.perCell/float64(t.ny)
	// Whole cells, the last one perhaps half empty; a rounding error must not
	// open a cell more.
	cw := min(max(int(math.Ceil(along/t.perCell-1e-6)), 1), w)
	ch := min(max(int(math.Ceil(down/(2*t.perCell)-1e-6)), 1), h)
	t.pw, t.ph = cw*t.nx, ch*t.ny
	t.offX, t.offY = (w-cw)/2, (h-ch)/2
	return t
}

// floor gives the place at the middle of a pixel.
func (t placing) floor(i, j int) Point {
	u, v := (float64(i)+0.5)*t.dx, (float64(j)+0.5)*t.dy
	if t.turned { // along the screen is y, down the screen is x
		return Point{t.x0 + v, t.y0 + u}
	}
	return Point{t.x0 + u, t.y0 - v}
}

// screen gives a place as metres along and down the picture.
func (t placing) screen(p Point) (u, v float64) {
	if t.turned {
		return p.Y - t.y0, p.X - t.x0
	}
	return p.X - t.x0, t.y0 - p.Y
}

// direction turns a direction on the floor into one on the screen, down
// positive.
func (t placing) direction(p Point) (u, v float64) {
	if t.turned {
		return p.Y, p.X
	}
	return p.X, -p.Y
}

// pixel gives the pixel at a place; it may lie outside the picture.
func (t placing) pixel(p Point) (i, j int) {
	u, v := t.screen(p)
	return toInt(u / t.dx), toInt(v / t.dy)
}

// cell gives the cell of the screen at a place; it may lie outside the pane.
func (t placing) cell(p Point) (x, y int) {
	u, v := t.screen(p)
	return toInt(u/t.perCell) + t.offX, toInt(v/(2*t.perCell)) + t.offY
}

// toInt rounds down and keeps wild values in bounds.
func toInt(v float64) int {
	if !(v > -1e6 && v < 1e6) {
		return -1 << 20
	}
	return int(math.Floor(v))
}
