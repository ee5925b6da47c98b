package path

import (
	"fmt"
	"math"
	"sort"

	"floorpace/internal/floor"
)

// raster is a zone cut into cells in axes turned to the pull, before any order:
// nx columns from the left, the strips between the heights tb from the first
// edge, each strip part of a row.
type raster struct {
	frame floor.Frame
	zone  floor.Zone
	lay   Lay
	cell  float64 // side asked for, m
	s0    float64
	dx    float64 // width of a column, m
	nx    int
	tb    []float64 // heights between strips, m
	rowOf []int32   // row of each strip
	rows  []band
	area  []float64 // by grid place, m²
	vol   []float64 // by grid place, L
	bay   []int16
	wall  []uint8 // by grid place: toRight, toNext when a stop line lies there
	lines [][]int32
	netM2 float64 // exact
	volL  float64 // exact
	cutM2 float64 // sum over cells
}

// band is one row: its strips [from, to) and its heights.
type band struct {
	from, to int
	t0, t1   float64
}

const (
	toRight uint8 = 1 << iota
	toNext
)

// newRaster cuts z for the lay.
func newRaster(z floor.Zone, l Lay) (*raster, error) {
	r := &raster{frame: floor.NewFrame(l.PullDeg), zone: z, lay: l}
	s0, s1, t0, t1 := extent(z, r.frame)
	r.cell = l.cell(z, (s1-s0)*(t1-t0))
	if n := (s1 - s0) / r.cell * (t1 - t0) / r.cell; n > cellsMost {
		return nil, fmt.Errorf("cells of %.3g m cut the zone into %.0f, more than %d: give a larger cell, or 0 to have it chosen", r.cell, n, cellsMost)
	}
	r.s0 = s0
	r.nx = max(1, int(math.Ceil((s1-s0)/r.cell-1e-9)))
	r.dx = (s1 - s0) / float64(r.nx)
	r.tb = []float64{t0}
	r.cutRows(t1)
	r.fill()
	r.drawLines()
	return r, nil
}

// extent is the box around the outline in the turned axes.
func extent(z floor.Zone, f floor.Frame) (s0, s1, t0, t1 float64) {
	s0, s1, t0, t1 = math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, p := range z.Outline {
		s, t := f.To(p)
		s0, s1, t0, t1 = math.Min(s0, s), math.Max(s1, s), math.Min(t0, t), math.Max(t1, t)
	}
	return s0, s1, t0, t1
}

// cutRows sets the rows from the last height of tb to t1, beginning anew at each
// stop line that runs along the rows, and cuts each row into level strips no
// higher than a cell.
func (r *raster) cutRows(t1 float64) {
	for _, end := range r.breaks(r.tb[len(r.tb)-1], t1) {
		from := r.tb[len(r.tb)-1]
		n := max(1, int(math.Ceil((end-from)/r.lay.RowDepthM-1e-6)))
		for k := range n {
			lo, hi := from+float64(k)*r.lay.RowDepthM, end
			if k+1 < n {
				hi = lo + r.lay.RowDepthM
			}
			b := band{from: len(r.tb) - 1, t0: lo, t1: hi}
			m := max(1, int(math.Ceil((hi-lo)/r.cell-1e-6)))
			for j := 1; j <= m; j++ {
				t := lo + (hi-lo)*float64(j)/float64(m)
				if j == m {
					t = hi
				}
				r.tb = append(r.tb, t)
				r.rowOf = append(r.rowOf, int32(len(r.rows)))
			}
			b.to = len(r.tb) - 1
			r.rows = append(r.rows, b)
		}
	}
}

// breaks lists, ascending, the heights at which rows begin anew, ending with t1.
func (r *raster) breaks(t0, t1 float64) []float64 {
	var out []float64
	for _, l := range r.zone.StopLines {
		as, at := r.frame.To(l.A)
		bs, bt := r.frame.To(l.B)
		if t := (at + bt) / 2; math.Abs(bt-at) <= alongRows*math.Abs(bs-as) && t > t0+1e-6 && t < t1-1e-6 {
			out = append(out, t)
		}
	}
	out = append(out, t1)
	sort.Float64s(out)
	keep := out[:0]
	for _, t := range out {
		if len(keep) == 0 || t-keep[len(keep)-1] > 1e-6 {
			keep = append(keep, t)
		}
	}
	return keep
}

// fill shares the exact strips of the floor among the cells.
func (r *raster) fill() {
	n := r.nx * (len(r.tb) - 1)
	r.area, r.vol, r.bay = make([]float64, n), make([]float64, n), make([]int16, n)
	most := make([]float32, n)
	layers := make([]float64, 1+len(r.zone.Bays))
	for i := range layers {
		layers[i] = r.zone.LayerM(i-1) * 1000
	}
	row := 0
	r.zone.EachStrip(r.frame, r.tb, func(s floor.Strip) {
		for row+2 < len(r.tb) && s.T0 >= r.tb[row+1] {
			row++
		}
		h, layer := s.T1-s.T0, layers[1+s.Bay]
		gx := r.column(s.S0)
		for lo := s.S0; lo < s.S1; gx++ {
			hi := s.S1
			if gx+1 < r.nx {
				hi = math.Min(hi, r.s0+float64(gx+1)*r.dx)
			}
			if hi > lo {
				a, g := (hi-lo)*h, row*r.nx+gx
				r.area[g] += a
				r.vol[g] += a * layer
				if float32(a) > most[g] {
					most[g], r.bay[g] = float32(a), int16(s.Bay)
				}
			}
			lo = math.Max(hi, lo)
			if gx+1 >= r.nx {
				break
			}
		}
	})
	r.netM2, r.volL = r.zone.NetAreaM2(), r.zone.VolumeL()
	for _, a := range r.area {
		r.cutM2 += a
	}
}

// column is the grid column that holds s.
func (r *raster) column(s float64) int {
	return min(max(int((s-r.s0)/r.dx), 0), r.nx-1)
}

// isCell says whether the grid place holds floor beyond rounding.
func (r *raster) isCell(g int) bool { return r.area[g] > sliver*r.cell*r.cell }

// midT is the middle height of strip y.
func (r *raster) midT(y int) float64 { return (r.tb[y] + r.tb[y+1]) / 2 }

// midS is the middle of column x.
func (r *raster) midS(x int) float64 { return r.s0 + (float64(x)+0.5)*r.dx }

// drawLines marks the pairs of grid places whose centres lie on two sides of a
// stop line, and keeps them by line as grid place ×2, +1 for the pair upwards.
func (r *raster) drawLines() {
	r.lines = make([][]int32, len(r.zone.StopLines))
	if len(r.lines) > 0 {
		r.wall = make([]uint8, len(r.area))
	}
	for i, l := range r.zone.StopLines {
		r.lines[i] = r.drawLine(l)
	}
}

func (r *raster) drawLine(l floor.Line) (pairs []int32) {
	as, at := r.frame.To(l.A)
	bs, bt := r.frame.To(l.B)
	n := math.Hypot(bs-as, bt-at)
	if n == 0 {
		return nil
	}
	// Reach a little beyond both ends: the cell at the wall may have its centre
	// outside. The nudge keeps a line that runs through centres off them.
	reach := math.Max(r.cell, lineReachM) / n
	ds, dt := bs-as, bt-at
	as, at, bs, bt = as-reach*ds, at-reach*dt, bs+reach*ds, bt+reach*dt
	nudge := 1e-7 * r.cell
	as, bs, at, bt = as+nudge, bs+nudge, at+1.7*nudge, bt+1.7*nudge
	ny := len(r.tb) - 1
	for x := range r.nx {
		u := (r.midS(x) - as) / (bs - as)
		if u >= 0 && u <= 1 {
			if y := r.below(at + u*(bt-at)); y >= 0 && y+1 < ny {
				g := y*r.nx + x
				r.wall[g] |= toNext
				pairs = append(pairs, int32(2*g+1))
			}
		}
	}
	for y := range ny {
		u := (r.midT(y) - at) / (bt - at)
		if u >= 0 && u <= 1 {
			x := int(math.Floor((as+u*(bs-as)-r.s0)/r.dx - 0.5))
			if x >= 0 && x+1 < r.nx {
				g := y*r.nx + x
				r.wall[g] |= toRight
				pairs = append(pairs, int32(2*g))
			}
		}
	}
	return pairs
}

// below is the last strip whose middle is not above t, −1 for none.
func (r *raster) below(t float64) int {
	lo, hi := 0, len(r.tb)-1
	for lo < hi {
		if m := (lo + hi) / 2; r.midT(m) <= t {
			lo = m + 1
		} else {
			hi = m
		}
	}
	return lo - 1
}
