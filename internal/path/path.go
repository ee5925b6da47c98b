package path

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"

	"floorpace/internal/floor"
)

// Path is a zone in pour order. It is not changed after Build, so any number of
// goroutines may read it. Positions are litres laid since the start, net of
// loss; those below zero or beyond the total are taken as the nearest end.
type Path struct {
	*raster
	lay   Lay
	scale float64 // exact volume over the sum of the cells'

	// By cell, in pour order.
	place []int32 // grid place
	sta   []int32 // station
	last  []int32 // station of the last neighbour with a wet edge, own station when none is later
	cells []int32 // by grid place: cell, −1 for none

	// By station.
	first []int32   // first cell; one more entry than stations
	start []float64 // volume at which it begins, L; one more entry
	areas []float64 // area covered before it, m²; one more entry
	turn  []int32   // row, counted in pour order
	worst []pair    // worst pair closing in the station
	open  []int32   // wet edges still open after the station
	stays []stay    // pairs of stations between which an edge waits, by the later, then the earlier

	// By row in pour order.
	rowSta []int32 // first station; one more entry
	rowBy  []int32 // band of the raster
	rowDir []int8  // +1 from left to right
	shut   []int32 // last station that any cell of the row waits for

	heightL []float64 // volume below each height of tb, for marks

	relaid bool    // what lies ahead was put in lanes; see Relay
	tapeM  float64 // length of taped edge that the lanes ask for, m
}

// pair is a wet edge: cell v joins cell u.
type pair struct {
	span float64
	u, v int32
}

// stay is a pair of stations between whose cells an edge waits: b joins a.
type stay struct{ a, b int32 }

// Build cuts z into cells and puts them in order. It refuses a zone with
// problems that are not minor, naming the first, and a lay that cannot be.
func Build(z floor.Zone, l Lay) (*Path, error) {
	if err := l.check(); err != nil {
		return nil, fmt.Errorf("pour path: %w", err)
	}
	for _, p := range z.Problems() {
		if !p.Minor {
			return nil, fmt.Errorf("pour path of zone %q: %v", z.Name, p)
		}
	}
	r, err := newRaster(z, l)
	if err != nil {
		return nil, fmt.Errorf("pour path of zone %q: %w", z.Name, err)
	}
	return r.order(l.Start, l.Pattern), nil
}

// order puts the cells of the raster in pour order.
func (r *raster) order(start Side, pattern Pattern) *Path {
	p := &Path{raster: r, lay: r.lay, scale: 1}
	p.lay.Start, p.lay.Pattern = start, pattern
	p.cells = make([]int32, len(r.area))
	for g := range p.cells {
		p.cells[g] = -1
	}
	n := 0
	for g := range r.area {
		if r.isCell(g) {
			n++
		}
	}
	p.place, p.sta = make([]int32, 0, n), make([]int32, 0, n)
	for i, b := range rowOrder(len(r.rows), pattern) {
		dir := int8(1)
		if (start == Right) != (pattern == ToAndFro && i%2 == 1) {
			dir = -1
		}
		p.layRow(b, dir)
	}
	p.close()
	p.marks()
	p.link()
	return p
}

// rowOrder lists the rows in pour order.
func rowOrder(n int, pattern Pattern) []int {
	out := make([]int, 0, n)
	if pattern != OutAndBack {
		for i := range n {
			out = append(out, i)
		}
		return out
	}
	for i := 0; i < n; i += 2 {
		out = append(out, i)
	}
	for i := n - 1; i >= 0; i-- {
		if i%2 == 1 {
			out = append(out, i)
		}
	}
	return out
}

// layRow appends the stations of one row.
func (p *Path) layRow(b int, dir int8) { p.layPart(b, dir, 0, p.nx, false) }

// layPart appends the stations of one row in the columns [x0, x1) that are not
// laid yet. They make a row of their own, or go on with the last one.
func (p *Path) layPart(b int, dir int8, x0, x1 int, goOn bool) (laid bool) {
	row, before, turn := p.rows[b], len(p.first), len(p.rowBy)
	if goOn {
		turn--
	}
	for k := range x1 - x0 {
		x := x0 + k
		if dir < 0 {
			x = x1 - 1 - k
		}
		from := len(p.place)
		vol, area := 0.0, 0.0
		for y := row.from; y < row.to; y++ {
			g := y*p.nx + x
			if !p.isCell(g) || p.cells[g] >= 0 {
				continue
			}
			p.cells[g] = int32(len(p.place))
			p.place = append(p.place, int32(g))
			p.sta = append(p.sta, int32(len(p.first)))
			vol, area = vol+p.vol[g], area+p.area[g]
		}
		if len(p.place) > from {
			p.first = append(p.first, int32(from))
			p.start = append(p.start, vol)
			p.areas = append(p.areas, area)
			p.turn = append(p.turn, int32(turn))
		}
	}
	laid = len(p.first) > before
	if laid && !goOn {
		p.rowSta = append(p.rowSta, int32(before))
		p.rowBy = append(p.rowBy, int32(b))
		p.rowDir = append(p.rowDir, dir)
	}
	return laid
}

// close turns the volumes of the stations into running sums that end on the
// exact volume and area.
func (p *Path) close() {
	p.first = append(p.first, int32(len(p.place)))
	p.rowSta = append(p.rowSta, int32(len(p.start)))
	p.start = runningSum(p.start)
	p.areas = runningSum(p.areas)
	n := len(p.start) - 1
	p.scale = p.volL / p.start[n]
	k := p.netM2 / p.areas[n]
	for i := range p.start {
		p.start[i] *= p.scale
		p.areas[i] *= k
	}
	p.start[n], p.areas[n] = p.volL, p.netM2
}

// runningSum gives the sums before each entry and, last, the sum of all.
func runningSum(v []float64) []float64 {
	sum := 0.0
	for i, x := range v {
		v[i] = sum
		sum += x
	}
	return append(v, sum)
}

// marks fills the volume below each height.
func (p *Path) marks() {
	p.heightL = make([]float64, 1, len(p.tb))
	sum := 0.0
	for y := 0; y+1 < len(p.tb); y++ {
		for x := range p.nx {
			if g := y*p.nx + x; p.cells[g] >= 0 {
				sum += p.vol[g] * p.scale
			}
		}
		p.heightL = append(p.heightL, sum)
	}
}

// link finds for each cell the neighbours that are laid later, and for each
// station the pair that waited longest.
func (p *Path) link() {
	n := len(p.place)
	p.last, p.stays = make([]int32, n), nil
	copy(p.last, p.sta)
	p.worst = make([]pair, p.stations())
	for i := range p.worst {
		p.worst[i] = pair{span: 0, u: -1, v: -1}
	}
	p.open = make([]int32, p.stations()+1)
	for i := range p.place {
		g := int(p.place[i])
		if x := g % p.nx; x+1 < p.nx {
			p.join(int32(i), g, g+1, toRight)
		}
		if g+p.nx < len(p.cells) {
			p.join(int32(i), g, g+p.nx, toNext)
		}
	}
	slices.SortFunc(p.stays, func(v, w stay) int { return cmp.Or(cmp.Compare(v.b, w.b), cmp.Compare(v.a, w.a)) })
	p.stays = slices.Clip(slices.Compact(p.stays))
	run := int32(0)
	for i := range p.open {
		run += p.open[i]
		p.open[i] = run
	}
	p.shut = make([]int32, p.Rows())
	for i, l := range p.last {
		row := p.turn[p.sta[i]]
		p.shut[row] = max(p.shut[row], l)
	}
}

// join notes the wet edge between cell i at grid place g and its neighbour at h.
func (p *Path) join(i int32, g, h int, way uint8) {
	j := p.cells[h]
	if j < 0 || p.wall != nil && p.wall[g]&way != 0 {
		return
	}
	u, v := i, j
	if p.sta[u] > p.sta[v] {
		u, v = v, u
	}
	a, b := p.sta[u], p.sta[v]
	if a == b {
		return
	}
	p.last[u] = max(p.last[u], b)
	p.open[a]++
	p.open[b]--
	if n := len(p.stays); n == 0 || p.stays[n-1] != (stay{a, b}) {
		p.stays = append(p.stays, stay{a, b})
	}
	if s := p.span(a, b); s > p.worst[b].span {
		p.worst[b] = pair{s, u, v}
	}
}

// span is what is laid while the point of station a that waits longest waits
// for station b; see the package comment.
func (p *Path) span(a, b int32) float64 {
	lo, hi := p.reach(a, b)
	return hi - lo
}

// reach gives the volumes at which the point of station a that waits longest is
// laid and at which it is joined from station b.
func (p *Path) reach(a, b int32) (laid, joined float64) {
	ra, rb := p.turn[a], p.turn[b]
	switch {
	case ra == rb:
		return p.mid(a), p.mid(b)
	case p.rowDir[ra] != p.rowDir[rb]:
		return p.start[a], p.start[b+1]
	case p.start[b+1]-p.start[a+1] >= p.start[b]-p.start[a]:
		return p.start[a+1], p.start[b+1]
	}
	return p.start[a], p.start[b]
}

func (p *Path) mid(s int32) float64 { return (p.start[s] + p.start[s+1]) / 2 }

func (p *Path) stations() int { return len(p.turn) }

// stationAt is the station being laid at posL: the first whose end is beyond it.
func (p *Path) stationAt(posL float64) int {
	n := p.stations()
	i := sort.Search(n, func(i int) bool { return p.start[i+1] > posL })
	return min(i, n-1)
}

// coveredCells is the number of cells whose centre is laid at posL.
func (p *Path) coveredCells(posL float64) int {
	i := sort.Search(p.stations(), func(i int) bool { return p.mid(int32(i)) > posL })
	return int(p.first[i])
}

// clampL keeps a position on the path.
func (p *Path) clampL(posL float64) float64 {
	return math.Max(0, math.Min(posL, p.TotalL()))
}
