package path

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Narrow is the path with what lies ahead of posL laid in lanes of widthM across
// the pull and in rows of rowDepthM (0: as before). See Relay.
func (p *Path) Narrow(posL, widthM, rowDepthM float64) (*Path, error) {
	if p.lay.Pattern == OutAndBack {
		return nil, errors.New("rows laid out and back cannot be narrowed: lay the rest from the same side first")
	}
	return p.Relay(posL, widthM, rowDepthM, p.lay.Pattern)
}

// Relay is the path with what is behind posL as it was laid, to the litre, and
// what is ahead laid anew: in lanes of widthM across the pull, in rows of
// rowDepthM (0: as before), in the pattern given.
//
// The lane at the start side comes first, up to the next usable stop line or the
// end of the zone, then the lane beside it, and so on; then the stretch behind
// the line. The row under way goes on as far as the lane reaches. The line
// between two lanes is a straight taped edge that nothing needs to join wet, and
// so is the front that the later lanes leave standing: both are counted in TapeM.
// A lane is a whole number of columns of cells, so it may be up to one cell
// narrower than asked, never wider; the last lane is what is left. A row depth
// takes hold beyond the rows already begun.
//
// It refuses a width or depth that is no length, a width below one cell, a
// pattern out and back, and a position with nothing ahead of it.
func (p *Path) Relay(posL, widthM, rowDepthM float64, pattern Pattern) (*Path, error) {
	switch {
	case !(widthM > 0):
		return nil, fmt.Errorf("a pull of %g m: give the width to lay at a time, above zero", widthM)
	case widthM < p.dx*(1-1e-6):
		return nil, fmt.Errorf("a pull of %g m is narrower than a cell of the path (%.3g m): give a wider one", widthM, p.dx)
	case math.IsNaN(rowDepthM) || rowDepthM < 0 || math.IsInf(rowDepthM, 0):
		return nil, fmt.Errorf("a row depth of %g m: give the reach of the rake, or 0 to keep it", rowDepthM)
	case pattern > ToAndFro:
		return nil, fmt.Errorf("what is left cannot be laid %v: give the same side, or to and fro", pattern)
	case !(posL < p.TotalL()):
		return nil, errors.New("nothing is left to lay")
	}
	laid := 0
	for laid < p.stations() && p.start[laid] < posL-1e-9 {
		laid++
	}
	if laid == p.stations() {
		return nil, errors.New("nothing is left to lay")
	}
	q := &Path{raster: p.recut(laid, rowDepthM), lay: p.lay, scale: 1, relaid: true}
	q.lay.Pattern = pattern
	if rowDepthM > 0 {
		q.lay.RowDepthM = rowDepthM
	}
	q.copyLaid(p, laid)
	ids := q.layLanes(p.segments(posL, q.raster), widthM)
	q.close()
	q.keepLaid(p, laid)
	q.tape(p, ids)
	q.marks()
	q.link()
	return q, nil
}

// TapeM is the length of straight taped edge that lanes ask for, m; 0 for a path
// laid in one piece.
func (p *Path) TapeM() float64 { return p.tapeM }

// recut is the raster with rows of the new depth beyond the furthest row begun.
// The walls of stop lines are drawn afresh.
func (p *Path) recut(laid int, rowDepthM float64) *raster {
	r := *p.raster
	if rowDepthM > 0 && rowDepthM != p.lay.RowDepthM {
		keep := 0
		for s := range laid {
			keep = max(keep, int(p.rowBy[p.turn[s]])+1)
		}
		strips := 0
		if keep > 0 {
			strips = p.rows[keep-1].to
		}
		r.lay.RowDepthM = rowDepthM
		r.rows, r.rowOf, r.tb = slices.Clone(p.rows[:keep]), slices.Clone(p.rowOf[:strips]), slices.Clone(p.tb[:strips+1])
		if t1 := p.tb[len(p.tb)-1]; r.tb[strips] < t1 {
			r.cutRows(t1)
		}
		r.cutM2 = 0
		r.fill()
	}
	r.wall = make([]uint8, len(r.area))
	r.lines = make([][]int32, len(r.zone.StopLines))
	for i, l := range r.zone.StopLines {
		r.lines[i] = r.drawLine(l)
	}
	return &r
}

// copyLaid takes over the first stations of old.
func (p *Path) copyLaid(old *Path, laid int) {
	p.cells = make([]int32, len(p.area))
	for g := range p.cells {
		p.cells[g] = -1
	}
	for s := range laid {
		row := old.turn[s]
		if int(row) == len(p.rowBy) {
			p.rowSta = append(p.rowSta, int32(s))
			p.rowBy = append(p.rowBy, old.rowBy[row])
			p.rowDir = append(p.rowDir, old.rowDir[row])
		}
		p.first = append(p.first, int32(len(p.place)))
		p.turn = append(p.turn, row)
		vol, area := 0.0, 0.0
		for i := old.first[s]; i < old.first[s+1]; i++ {
			g := old.place[i]
			p.cells[g] = int32(len(p.place))
			p.place, p.sta = append(p.place, g), append(p.sta, int32(s))
			vol, area = vol+p.vol[g], area+p.area[g]
		}
		p.start, p.areas = append(p.start, vol), append(p.areas, area)
	}
}

// keepLaid gives the stations taken over their old volumes to the last bit and
// spreads the rounding over those ahead.
func (p *Path) keepLaid(old *Path, laid int) {
	exact := func(v, was []float64, most float64) {
		from := v[laid]
		for i := range v {
			if i <= laid {
				v[i] = was[i]
			} else {
				v[i] = was[laid] + (v[i]-from)*(most-was[laid])/(most-from)
			}
		}
		v[len(v)-1] = most
	}
	exact(p.start, old.start, p.volL)
	exact(p.areas, old.areas, p.netM2)
}

// segments lists the rows of r, as bands [from, to), that are laid one stretch
// after the other: they end at the stop lines ahead of posL that the pour can
// stop at.
func (p *Path) segments(posL float64, r *raster) [][2]int {
	ends := []int{len(r.rows)}
	for i, s := range p.StopAt() {
		l := p.zone.StopLines[i]
		as, at := p.frame.To(l.A)
		bs, bt := p.frame.To(l.B)
		if !s.Can || s.VolL <= posL || math.Abs(bt-at) > alongRows*math.Abs(bs-as) {
			continue
		}
		for b := 1; b < len(r.rows); b++ {
			if math.Abs(r.rows[b].t0-(at+bt)/2) < 1e-6 {
				ends = append(ends, b)
			}
		}
	}
	slices.Sort(ends)
	var out [][2]int
	from := 0
	for _, e := range slices.Compact(ends) {
		out = append(out, [2]int{from, e})
		from = e
	}
	return out
}

// layLanes lays what is left of each segment in lanes and gives the lane of each
// grid place, counted from 0 in the order laid; −1 for what was laid before.
func (p *Path) layLanes(segments [][2]int, widthM float64) []int32 {
	ids := make([]int32, len(p.cells))
	for g := range ids {
		ids[g] = -1
	}
	wide := max(1, int(math.Floor(widthM/p.dx+1e-6)))
	if widthM >= p.dx*float64(p.nx) {
		wide = p.nx
	}
	lane := int32(0)
	for _, seg := range segments {
		lo, hi := p.left(seg)
		for n := 0; lo+n*wide < hi; n++ {
			x0, x1 := lo+n*wide, min(hi, lo+(n+1)*wide)
			if p.lay.Start == Right {
				x0, x1 = max(lo, hi-(n+1)*wide), hi-n*wide
			}
			from := len(p.place)
			p.layLane(seg, x0, x1, lane == 0)
			for _, g := range p.place[from:] {
				ids[g] = lane
			}
			if len(p.place) > from {
				lane++
			}
		}
	}
	return ids
}

// left gives the columns [lo, hi) in which a segment still has cells to lay.
func (p *Path) left(seg [2]int) (lo, hi int) {
	lo = p.nx
	for y := p.rows[seg[0]].from; y < p.rows[seg[1]-1].to; y++ {
		for x := range p.nx {
			if g := y*p.nx + x; p.isCell(g) && p.cells[g] < 0 {
				lo, hi = min(lo, x), max(hi, x+1)
			}
		}
	}
	return lo, hi
}

// layLane lays the columns [x0, x1) of a segment row by row. The first lane of
// all goes on with the row under way.
func (p *Path) layLane(seg [2]int, x0, x1 int, first bool) {
	dir := int8(1)
	if p.lay.Start == Right {
		dir = -1
	}
	turned := func(d int8) int8 {
		if p.lay.Pattern == ToAndFro {
			return -d
		}
		return dir
	}
	next, now := dir, -1
	if n := len(p.rowBy); first && n > 0 {
		now = int(p.rowBy[n-1])
		p.layPart(now, p.rowDir[n-1], x0, x1, true)
		next = turned(p.rowDir[n-1])
	}
	for b := seg[0]; b < seg[1]; b++ {
		if b != now && p.layPart(b, next, x0, x1, false) {
			next = turned(next)
		}
	}
}

// tape walls off the lanes from each other and from the front that the later
// lanes leave standing, and what old had taped beside a cell already laid.
func (p *Path) tape(old *Path, ids []int32) {
	for g := range p.cells {
		if x := g % p.nx; x+1 < p.nx {
			p.tapePair(old, ids, g, g+1, toRight, p.tb[g/p.nx+1]-p.tb[g/p.nx])
		}
		if g+p.nx < len(p.cells) {
			p.tapePair(old, ids, g, g+p.nx, toNext, p.dx)
		}
	}
}

func (p *Path) tapePair(old *Path, ids []int32, g, h int, way uint8, longM float64) {
	if p.cells[g] < 0 || p.cells[h] < 0 || p.wall[g]&way != 0 {
		return
	}
	a, b := ids[g], ids[h]
	switch {
	case (a < 0 || b < 0) && old.relaid && g < len(old.wall) && old.wall[g]&way != 0:
		// Taped before: a cell beside it is laid already, so it stays so.
	case a == b, a < 0 && b == 0, a == 0 && b < 0:
		return
	}
	p.wall[g] |= way
	p.tapeM += longM
}
