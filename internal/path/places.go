package path

import (
	"fmt"
	"math"
	"sort"

	"floorpace/internal/floor"
)

// Cells is the number of cells.
func (p *Path) Cells() int { return len(p.place) }

// Rows is the number of rows.
func (p *Path) Rows() int { return len(p.rowBy) }

// TotalL is the exact volume of the zone, litres.
func (p *Path) TotalL() float64 { return p.volL }

// AreaM2 is the exact area of the zone, m².
func (p *Path) AreaM2() float64 { return p.netM2 }

// CellM is the larger side of a cell, metres.
func (p *Path) CellM() float64 { return p.cell }

// Lay is how the zone is covered, with CellM as used.
func (p *Path) Lay() Lay {
	l := p.lay
	l.CellM = p.cell
	return l
}

// Zone is the zone the path was built from.
func (p *Path) Zone() floor.Zone { return p.zone }

// AreaError is the sum of the cells' areas over the exact area, less 1.
func (p *Path) AreaError() float64 { return p.cutM2/p.netM2 - 1 }

// Accuracy says in words how fine the cells are and what that is good for.
func (p *Path) Accuracy() string {
	largest := 0.0
	for s := range p.stations() {
		largest = math.Max(largest, p.start[s+1]-p.start[s])
	}
	return fmt.Sprintf("%d cells of %.0f mm in %d rows; areas agree to %.2g %%, spans to %.2g L (one station)",
		p.Cells(), p.cell*1000, p.Rows(), 100*math.Abs(p.AreaError()), largest)
}

// Centre is the middle of cell i on the drawing, metres.
func (p *Path) Centre(i int) (x, y float64) {
	g := int(p.place[i])
	q := p.frame.From(p.midS(g%p.nx), p.midT(g/p.nx))
	return q.X, q.Y
}

// Size is the sides of cell i, metres: along the row and along the pull.
func (p *Path) Size(i int) (along, deep float64) {
	y := int(p.place[i]) / p.nx
	return p.dx, p.tb[y+1] - p.tb[y]
}

// CellAreaM2 is the part of cell i that is floor, m².
func (p *Path) CellAreaM2(i int) float64 { return p.area[p.place[i]] }

// CellL is the volume of cell i, litres.
func (p *Path) CellL(i int) float64 { return p.vol[p.place[i]] * p.scale }

// Row is the row of cell i, counted from 0 in pour order.
func (p *Path) Row(i int) int { return int(p.turn[p.sta[i]]) }

// Bay is the bay that most of cell i lies in, −1 for none.
func (p *Path) Bay(i int) int { return int(p.bay[p.place[i]]) }

// VolAt is the path volume at which the centre of cell i is laid, litres.
func (p *Path) VolAt(i int) float64 { return p.mid(p.sta[i]) }

// Close is the path volume at which the last neighbour of cell i that needs its
// edge wet is laid, litres; VolAt(i) when none is laid later.
func (p *Path) Close(i int) float64 { return p.mid(p.last[i]) }

// CellAt is the cell that holds the place q, −1 for none.
func (p *Path) CellAt(q floor.Point) int {
	s, t := p.frame.To(q)
	x := int(math.Floor((s - p.s0) / p.dx))
	y := sort.SearchFloat64s(p.tb, t) - 1
	if y < 0 && t == p.tb[0] {
		y = 0
	}
	if x == p.nx && s <= p.s0+float64(p.nx)*p.dx+1e-9 {
		x--
	}
	if x < 0 || x >= p.nx || y < 0 || y+1 >= len(p.tb) {
		return -1
	}
	return int(p.cells[y*p.nx+x])
}

// RowOf is the row being laid at posL.
func (p *Path) RowOf(posL float64) int { return int(p.turn[p.stationAt(p.clampL(posL))]) }

// RowEnd is the path volume at which row ends, litres.
func (p *Path) RowEnd(row int) float64 { return p.start[p.rowSta[row+1]] }

// RowEnds lists the path volumes at which the rows end, litres.
func (p *Path) RowEnds() []float64 {
	out := make([]float64, p.Rows())
	for r := range out {
		out[r] = p.RowEnd(r)
	}
	return out
}

// RowEndsBetween counts the row ends from fromL up to but not at toL: a front
// that stands at a row end has its turn still to make, and one that arrives at
// a row end has not made it yet.
func (p *Path) RowEndsBetween(fromL, toL float64) int {
	before := func(v float64) int {
		return sort.Search(p.Rows(), func(r int) bool { return p.RowEnd(r) >= v })
	}
	return max(0, before(toL)-before(fromL))
}

// LaidAt is the path volume at which the place q is laid, litres, to the point
// along its row; false when q is not on the floor.
func (p *Path) LaidAt(q floor.Point) (posL float64, ok bool) {
	i := p.CellAt(q)
	if i < 0 {
		return 0, false
	}
	s := p.sta[i]
	along, _ := p.frame.To(q)
	u := (along-p.s0)/p.dx - float64(int(p.place[i])%p.nx)
	if p.rowDir[p.turn[s]] < 0 {
		u = 1 - u
	}
	u = math.Max(0, math.Min(1, u))
	return p.start[s] + u*(p.start[s+1]-p.start[s]), true
}

// NextPlace is the place being laid at posL: the middle of the row's depth, as
// far along the row as the volume says.
func (p *Path) NextPlace(posL float64) floor.Point {
	posL = p.clampL(posL)
	s := p.stationAt(posL)
	vol := p.start[s+1] - p.start[s]
	u := (posL - p.start[s]) / vol
	t, w := 0.0, 0.0
	for i := p.first[s]; i < p.first[s+1]; i++ {
		g := int(p.place[i])
		t, w = t+p.vol[g]*p.midT(g/p.nx), w+p.vol[g]
	}
	x := float64(int(p.place[p.first[s]]) % p.nx)
	if p.rowDir[p.turn[s]] < 0 {
		u = 1 - u
	}
	return p.frame.From(p.s0+(x+u)*p.dx, t/w)
}

// Distance is the straight line from the mix station to the place being laid at
// posL, metres. The way round a column or through a door is longer.
func (p *Path) Distance(posL float64) float64 {
	return p.zone.Station.DistanceM(p.NextPlace(posL))
}

// FrontAt is how far the front has come at posL along the pull, measured from
// the zone's first edge, metres: as far as a straight front across the zone
// would stand with the same volume behind it. Out and back, and in lanes, it is
// the height of the row being laid.
func (p *Path) FrontAt(posL float64) float64 {
	posL = p.clampL(posL)
	if p.byRow() {
		row := p.turn[p.stationAt(posL)]
		b := p.rows[p.rowBy[row]]
		lo, hi := p.start[p.rowSta[row]], p.RowEnd(int(row))
		return b.t0 + (b.t1-b.t0)*(posL-lo)/(hi-lo) - p.tb[0]
	}
	return interpolate(p.heightL, p.tb, posL) - p.tb[0]
}

// Extent is the rectangle that holds what is laid from path volume fromL to toL:
// along the pull from the zone's first edge, and across from its left edge,
// looking along the pull, metres, to whole cells. All are 0 where nothing is.
func (p *Path) Extent(fromL, toL float64) (along0, along1, left0, left1 float64) {
	none := true
	for i := range p.place {
		if v := p.VolAt(i); v <= fromL || v > toL {
			continue
		}
		x, y := int(p.place[i])%p.nx, int(p.place[i])/p.nx
		s := p.midS(x) - p.midS(0)
		if none {
			none, along0, along1, left0, left1 = false, p.tb[y], p.tb[y+1], s, s+p.dx
			continue
		}
		along0, along1 = math.Min(along0, p.tb[y]), math.Max(along1, p.tb[y+1])
		left0, left1 = math.Min(left0, s), math.Max(left1, s+p.dx)
	}
	if none {
		return 0, 0, 0, 0
	}
	return along0 - p.tb[0], along1 - p.tb[0], left0, left1
}

// PosAtFront is the path volume at which the front has come to alongM metres
// from the zone's first edge, litres; the inverse of FrontAt. Out and back, and
// in lanes, it is the volume in the row that holds the place, the earliest where
// several do.
func (p *Path) PosAtFront(alongM float64) float64 { return p.PosAtFrontNear(alongM, 0) }

// PosAtFrontNear is PosAtFront for a front that was last seen at nearL: where
// several rows hold the place (lanes side by side), the one nearest to it.
func (p *Path) PosAtFrontNear(alongM, nearL float64) float64 {
	t := math.Max(p.tb[0], math.Min(p.tb[0]+alongM, p.tb[len(p.tb)-1]))
	if !p.byRow() {
		return interpolate(p.tb, p.heightL, t)
	}
	best := math.Inf(1)
	for r, i := range p.rowBy {
		b := p.rows[i]
		if t < b.t0 || t > b.t1 {
			continue
		}
		lo, hi := p.start[p.rowSta[r]], p.RowEnd(r)
		if at := lo + (hi-lo)*(t-b.t0)/(b.t1-b.t0); math.Abs(at-nearL) < math.Abs(best-nearL) {
			best = at
		}
	}
	return math.Min(best, p.TotalL())
}

// byRow says whether the front is told by the row being laid, because it does
// not stand straight across the zone.
func (p *Path) byRow() bool { return p.lay.Pattern == OutAndBack || p.relaid }

// FrontMost is the length of the zone along the pull, metres.
func (p *Path) FrontMost() float64 { return p.tb[len(p.tb)-1] - p.tb[0] }

// AreaAt is the area covered at posL, m².
func (p *Path) AreaAt(posL float64) float64 {
	return interpolate(p.start, p.areas, p.clampL(posL))
}

// VolAtArea is the path volume at which m2 square metres are covered, litres.
func (p *Path) VolAtArea(m2 float64) float64 {
	return interpolate(p.areas, p.start, math.Max(0, math.Min(m2, p.netM2)))
}

// interpolate reads y at x from the ascending table xs, ys.
func interpolate(xs, ys []float64, x float64) float64 {
	n := len(xs)
	i := sort.SearchFloat64s(xs, x)
	if i == 0 {
		return ys[0]
	}
	if i == n {
		return ys[n-1]
	}
	return ys[i-1] + (ys[i]-ys[i-1])*(x-xs[i-1])/(xs[i]-xs[i-1])
}

// PosAtBay is the path volume at which the whole of the named bay is covered,
// litres; false when the zone has no such bay or none of it is floor.
func (p *Path) PosAtBay(name string) (posL float64, ok bool) {
	for k, b := range p.zone.Bays {
		if b.Name != name {
			continue
		}
		for i := len(p.place) - 1; i >= 0; i-- {
			if p.Bay(i) == k {
				return p.start[p.sta[i]+1], true
			}
		}
	}
	return 0, false
}
