package record

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/floor"
	"floorpace/internal/plan"
	"floorpace/internal/units"
)

// floorPicture is the drawing of one zone as poured.
type floorPicture struct {
	zone string
	d    *drawing
	none string // why there is no drawing
}

// Size of a floor picture, mm: a page's column, and the lower of the two papers
// less margins and heading, so that every batch of a long hall can be read.
const (
	floorW = 180.0
	floorH = 222.0
	legend = 9.0
)

// canvas places a zone on a drawing.
type canvas struct {
	d      *drawing
	z      *plan.Zone
	scale  float64 // mm a metre
	x0, y0 float64 // mm of the drawing at the zone's lower left corner
	lo, hi floor.Point
	turn   bool // laid on its side, so that a long hall fills the paper
	frame  floor.Frame
	pieces
	taken [][4]float64 // boxes with words or signs: left, top, right, bottom
}

// take notes a box around a point as taken.
func (c *canvas) take(x, y, w, h float64) {
	c.taken = append(c.taken, [4]float64{x - w/2, y - h/2, x + w/2, y + h/2})
}

func (c *canvas) free(x, y, w, h float64) bool {
	for _, t := range c.taken {
		if x-w/2 < t[2] && x+w/2 > t[0] && y-h/2 < t[3] && y+h/2 > t[1] {
			return false
		}
	}
	return true
}

// wordsMM is about how wide words of a size are, mm.
func wordsMM(s string, size float64) float64 { return 0.62 * size * float64(len([]rune(s))) }

// note writes words on the floor and keeps the place for them.
func (c *canvas) note(x, y float64, s string, colour *rgb) {
	if !c.here(x, y) {
		return
	}
	const size = 2.4
	w := wordsMM(s, size)
	c.d.rect(x-w/2-0.4, y-size*0.85, w+0.8, size*1.15, fillNo, nil, 0)
	c.d.label(x, y, s, size, 'm', colour)
	c.take(x, y-size*0.3, w+0.8, size*1.2)
}

// on gives the place of a point of the zone on the drawing.
func (c *canvas) on(p floor.Point) [2]float64 {
	dx, dy := c.shift()
	if c.turn { // a quarter turn clockwise: up becomes right
		return [2]float64{c.x0 + (p.Y-c.lo.Y)*c.scale + dx, c.y0 + (p.X-c.lo.X)*c.scale + dy}
	}
	return [2]float64{c.x0 + (p.X-c.lo.X)*c.scale + dx, c.y0 + (c.hi.Y-p.Y)*c.scale + dy}
}

func newCanvas(z *plan.Zone) *canvas {
	c := &canvas{z: z, frame: floor.NewFrame(z.PullDeg)}
	c.lo, c.hi = z.Outline.Bounds()
	w, h := c.hi.X-c.lo.X, c.hi.Y-c.lo.Y
	fit := func(w, h float64) float64 { return math.Min((floorW-2*sideMM)/w, (floorH-legend-2*sideMM)/h) }
	c.scale = fit(w, h)
	if s := fit(h, w); s > c.scale*1.4 {
		c.turn, c.scale = true, s
		w, h = h, w
	}
	c.scale = math.Min(c.scale, 25) // a small room need not fill the page
	c.cut(w, h, z.RowDepthM)
	wide, high := c.size()
	c.x0, c.y0 = (floorW-wide)/2, sideMM
	c.d = &drawing{w: floorW, h: c.y0 + high + sideMM + legend, alt: "zone " + z.Name + " as poured"}
	return c
}

// picture draws zone i as poured.
func (m *maker) picture(i int) floorPicture {
	z := &m.state.Zones[i]
	out := floorPicture{zone: clean.String(z.Floor.Z.Name)}
	if len(z.Laid) == 0 {
		out.none = "nothing was poured in this zone"
		return out
	}
	c := newCanvas(z.Floor.Z)
	c.d.id = fmt.Sprintf("floor%d", i)
	c.inPieces(func() { m.poured(c, z, i) })
	c.keys(m)
	out.d = c.d
	return out
}

// poured draws what lies in one piece of the floor of zone i.
func (m *maker) poured(c *canvas, z *day.ZoneState, i int) {
	c.polygon(z.Floor.Z.Outline, fillNo, nil, 0)
	var labels []func()
	c.d.inside(c.corners(z.Floor.Z.Outline), func() { labels = m.runs(c, z) })
	for k := range z.Floor.Z.Bays {
		b := &z.Floor.Z.Bays[k]
		c.polygon(b.Outline, nil, grey, 0.25, 1, 1)
		at := c.on(b.Outline.Centroid())
		c.note(at[0], at[1], b.Name, grey)
	}
	for _, h := range z.Floor.Z.Holes {
		c.polygon(h.Outline, shade, black, 0.25)
		lo, hi := h.Outline.Bounds()
		a, b := c.on(lo), c.on(hi)
		c.take((a[0]+b[0])/2, (a[1]+b[1])/2, math.Abs(a[0]-b[0]), math.Abs(a[1]-b[1]))
	}
	c.polygon(z.Floor.Z.Outline, nil, black, 0.5)
	for _, s := range z.Floor.Z.StopLines {
		a, b := c.on(s.A), c.on(s.B)
		c.d.line(a[0], a[1], b[0], b[1], blue, 0.5, 3, 1.2, 0.6, 1.2)
		c.note((a[0]+b[0])/2, math.Max(a[1], b[1])+3.2, s.Name, blue)
	}
	for _, s := range m.bad[i] {
		c.edge(s)
	}
	m.holdMarks(c, z)
	for _, f := range labels {
		f()
	}
	m.rowTimes(c, z)
}

func (c *canvas) corners(p floor.Polygon) [][2]float64 {
	pts := make([][2]float64, len(p))
	for i := range p {
		pts[i] = c.on(p[i])
	}
	return pts
}

func (c *canvas) polygon(p floor.Polygon, fill, stroke *rgb, width float64, dash ...float64) {
	c.d.shape(c.corners(p), fill, stroke, width, dash...)
}

// runs fills the floor batch by batch: the cells of one batch in one row that
// stand side by side make one rectangle. It returns the batch numbers to write
// on top.
func (m *maker) runs(c *canvas, z *day.ZoneState) (labels []func()) {
	p := z.Floor.Path
	at := 0
	type run struct {
		s0, s1, t0, t1 float64
		row, batch     int
	}
	var cur *run
	best := map[int]run{} // longest run of each batch, for its number
	lastOf := -1
	shades := map[int]*rgb{}
	flush := func() {
		if cur == nil {
			return
		}
		fill, ok := shades[cur.batch]
		if !ok {
			if lastOf++; lastOf%2 == 0 {
				fill = fillA
			} else {
				fill = fillB
			}
			shades[cur.batch] = fill
		}
		c.box(cur.s0, cur.s1, cur.t0, cur.t1, fill, grey)
		if b, ok := best[cur.batch]; !ok || cur.s1-cur.s0 > b.s1-b.s0 {
			best[cur.batch] = *cur
		}
		cur = nil
	}
	for i := range p.Cells() {
		vol := p.VolAt(i)
		if vol > z.PosL {
			break
		}
		for at < len(z.Laid) && z.Laid[at].ToL < vol {
			at++
		}
		if at == len(z.Laid) {
			break
		}
		x, y := p.Centre(i)
		s, t := c.frame.To(floor.Point{X: x, Y: y})
		along, deep := p.Size(i)
		n := run{s - along/2, s + along/2, t - deep/2, t + deep/2, p.Row(i), z.Laid[at].Batch}
		switch {
		case cur != nil && cur.row == n.row && cur.batch == n.batch && overlap(cur.s0, cur.s1, n.s0, n.s1):
			cur.s0, cur.s1 = math.Min(cur.s0, n.s0), math.Max(cur.s1, n.s1)
			cur.t0, cur.t1 = math.Min(cur.t0, n.t0), math.Max(cur.t1, n.t1)
		default:
			flush()
			cur = &n
		}
	}
	flush()
	for _, no := range slices.Sorted(maps.Keys(best)) {
		if f := m.number(c, no, best[no].s0, best[no].s1, best[no].t0, best[no].t1); f != nil {
			labels = append(labels, f)
		}
	}
	return labels
}

// number writes a batch's number on its longest run, given along and across the
// pull, aside of what stands there already; nil where it could not be read.
func (m *maker) number(c *canvas, no int, s0, s1, t0, t1 float64) func() {
	name := fmt.Sprint(no)
	w, h := (s1-s0)*c.scale, (t1-t0)*c.scale
	size := math.Min(2.8, math.Min(h*0.78, w/(0.62*float64(len(name)))))
	if size < 1.3 && no%10 != 0 { // too small to read: every tenth will do
		return nil
	}
	size = math.Max(size, 1.6)
	if b := m.batchOf(no); b != nil && b.Bad != "" {
		name += "!"
	}
	return func() {
		q := c.on(c.frame.From((s0+s1)/2, (t0+t1)/2))
		if !c.here(q[0], q[1]) {
			return
		}
		for _, part := range []float64{0.5, 0.35, 0.65, 0.2, 0.8} {
			at := c.on(c.frame.From(s0+part*(s1-s0), (t0+t1)/2))
			if c.here(at[0], at[1]) && c.free(at[0], at[1], wordsMM(name, size), size*0.75) {
				q = at
				break
			}
		}
		c.d.label(q[0], q[1]+size*0.36, name, size, 'm', black)
		c.take(q[0], q[1], wordsMM(name, size), size*0.75)
	}
}

// overlap reports whether two stretches touch or overlap.
func overlap(a0, a1, b0, b1 float64) bool { return b0 <= a1+1e-6 && a0 <= b1+1e-6 }

// box draws a rectangle given along and across the pull.
func (c *canvas) box(s0, s1, t0, t1 float64, fill, stroke *rgb) {
	c.d.shape([][2]float64{
		c.on(c.frame.From(s0, t0)), c.on(c.frame.From(s1, t0)), c.on(c.frame.From(s1, t1)), c.on(c.frame.From(s0, t1)),
	}, fill, stroke, 0.12)
}

// edge draws a stretch of edge that was joined inside the margin, too late, or
// at no known age: across the line from one cell to the other, at its middle.
func (c *canvas) edge(s stretch) {
	mx, my := (s.a.X+s.b.X)/2, (s.a.Y+s.b.Y)/2
	dx, dy := s.b.X-s.a.X, s.b.Y-s.a.Y
	n := math.Hypot(dx, dy)
	if n == 0 {
		return
	}
	dx, dy = dx/n*s.along/2, dy/n*s.along/2
	a, b := c.on(floor.Point{X: mx - dy, Y: my + dx}), c.on(floor.Point{X: mx + dy, Y: my - dx})
	switch {
	case s.noAge:
		c.d.line(a[0], a[1], b[0], b[1], grey, 0.9)
	case s.state == day.Gone:
		c.d.line(a[0], a[1], b[0], b[1], red, 1.3)
	default:
		c.d.line(a[0], a[1], b[0], b[1], amber, 0.8)
	}
}

// rowTimes writes beside the start of each row when it was begun, as far apart
// as can be read.
func (m *maker) rowTimes(c *canvas, z *day.ZoneState) {
	p := z.Floor.Path
	var last [2]float64
	from := 0.0
	for row := 0; row < p.Rows() && from < z.PosL-1e-6; row++ {
		_, at, ok := z.LaidAt(from + 1e-9)
		place := p.NextPlace(from + 1e-6)
		from = p.RowEnd(row)
		if !ok {
			break
		}
		// Outwards is against the way the row runs.
		s, t := c.frame.To(place)
		way := 1.0
		if after, _ := c.frame.To(p.NextPlace(from - 1e-6)); after < s {
			way = -1
		}
		q, out := c.on(place), c.on(c.frame.From(s-way, t))
		if !c.here(q[0], q[1]) {
			continue
		}
		dx, dy := (out[0]-q[0])/c.scale, (out[1]-q[1])/c.scale
		x, y := q[0]+1.4*dx, q[1]+1.4*dy
		anchor := byte('m')
		switch {
		case dx < -0.5:
			anchor, y = 'r', y+0.8
		case dx > 0.5:
			anchor, y = 'l', y+0.8
		case dy > 0:
			y += 2
		}
		if row > 0 && math.Abs(y-last[1]) < 2.8 && math.Abs(x-last[0]) < 9 {
			continue // the words would lie on each other
		}
		const size = 2.2
		words := at.Format("15:04")
		w := wordsMM(words, size)
		mid := x + map[byte]float64{'l': w / 2, 'r': -w / 2}[anchor]
		if !c.free(mid, y-size*0.36, w, size*0.75) {
			continue // the name of a stop line or a bay stands there
		}
		c.take(mid, y-size*0.36, w, size*0.75)
		last = [2]float64{x, y}
		c.d.label(x, y, words, size, anchor, black)
	}
}

// holdMarks shows where the front stood in each hold.
func (m *maker) holdMarks(c *canvas, z *day.ZoneState) {
	for k, h := range m.ends {
		if h.Zone.S != clean.String(z.Floor.Z.Name) || !h.X.OK() || !h.Y.OK() {
			continue
		}
		q := c.on(floor.Point{X: h.X.V, Y: h.Y.V})
		if !c.here(q[0], q[1]) {
			continue
		}
		c.d.shape([][2]float64{{q[0] - 2, q[1] + 1.6}, {q[0], q[1] - 2}, {q[0] + 2, q[1] + 1.6}}, &rgb{255, 255, 255}, red, 0.4)
		c.d.strong(q[0], q[1]+1.1, fmt.Sprint(k+1), 2, 'm', red)
		c.take(q[0], q[1], 4, 3.6)
	}
}

// keys says what the signs mean, and the scale.
func (c *canvas) keys(m *maker) {
	y := c.d.h - 3
	x := 2.0
	put := func(draw func(x float64), w float64, s string) {
		draw(x)
		c.d.label(x+w+1.2, y+0.9, s, 2.5, 'l', black)
		x += w + 4 + 1.42*float64(len([]rune(s)))
	}
	put(func(x float64) {
		c.d.rect(x, y-1.6, 3.4, 3, fillA, grey, 0.1)
		c.d.rect(x+3.4, y-1.6, 3.4, 3, fillB, grey, 0.1)
	}, 7, "batches by number, rows by start")
	put(func(x float64) { c.d.line(x, y, x+7, y, amber, 0.8) }, 7, "joined inside the margin")
	put(func(x float64) { c.d.line(x, y, x+7, y, red, 1.3) }, 7, "joined too late")
	put(func(x float64) { c.d.line(x, y, x+7, y, grey, 0.9) }, 7, "no age")
	put(func(x float64) {
		c.d.shape([][2]float64{{x, y + 1.6}, {x + 2, y - 2}, {x + 4, y + 1.6}}, &rgb{255, 255, 255}, red, 0.4)
	}, 4, "hold")
	bar := 5.0 // metres or feet
	si := units.From(units.Length, bar, m.plan.Units)
	for si*c.scale > 40 && bar > 1 {
		bar, si = 1, units.From(units.Length, 1, m.plan.Units)
	}
	w := si * c.scale
	by := y - 5.5
	c.d.line(2, by, 2+w, by, black, 0.4)
	c.d.line(2, by-0.8, 2, by+0.8, black, 0.4)
	c.d.line(2+w, by-0.8, 2+w, by+0.8, black, 0.4)
	c.d.label(2+w+1.5, by+0.9, units.Format(units.Length, si, m.plan.Units), 2.5, 'l', black)
}
