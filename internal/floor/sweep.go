package floor

import (
	"math"
	"sort"
)

// Frame is a set of axes turned so that T runs along the pull and S to the
// right of it, looking along the pull; metres, same origin as the drawing.
type Frame struct{ cos, sin float64 }

// NewFrame turns the axes so that T points deg degrees anticlockwise from +x.
// Quarter turns are exact.
func NewFrame(deg float64) Frame {
	d := math.Mod(deg, 360)
	if d < 0 {
		d += 360
	}
	switch d {
	case 0:
		return Frame{1, 0}
	case 90:
		return Frame{0, 1}
	case 180:
		return Frame{-1, 0}
	case 270:
		return Frame{0, -1}
	}
	sin, cos := math.Sincos(d * math.Pi / 180)
	return Frame{cos, sin}
}

// To gives p in the turned axes.
func (f Frame) To(p Point) (s, t float64) {
	return p.X*f.sin - p.Y*f.cos, p.X*f.cos + p.Y*f.sin
}

// From gives the place on the drawing of (s, t).
func (f Frame) From(s, t float64) Point {
	return Point{t*f.cos + s*f.sin, t*f.sin - s*f.cos}
}

// Strip is one piece of floor of one depth: a trapezium between T0 and T1 whose
// sides stand at S0 and S1 halfway up, so its area is (T1−T0)·(S1−S0). Bay is
// the index of the bay it lies in, −1 for none.
type Strip struct {
	T0, T1, S0, S1 float64
	Bay            int
}

// AreaM2 is the exact area of the strip.
func (s Strip) AreaM2() float64 { return (s.T1 - s.T0) * (s.S1 - s.S0) }

// side is an edge in the turned axes, running upwards: s = s0 + (t−t0)·slope.
type side struct {
	t0, t1, s0, slope float64
	poly              int
}

func (e side) at(t float64) float64 { return e.s0 + (t-e.t0)*e.slope }

// EachStrip cuts the floor (outline less holes) into strips and yields them in
// the order of T, and of S within one height. It cuts at every corner and
// crossing and also at each of cuts, which must ascend.
func (z Zone) EachStrip(f Frame, cuts []float64, yield func(Strip)) {
	sides := z.sides(f)
	if len(sides) == 0 {
		return
	}
	ts := heights(sides, cuts)
	sw := sweep{nHoles: len(z.Holes), in: make([]bool, 1+len(z.Holes)+len(z.Bays))}
	next := 0
	for i := 0; i+1 < len(ts); i++ {
		lo, hi := ts[i], ts[i+1]
		mid := lo + (hi-lo)/2
		for next < len(sides) && sides[next].t0 <= mid {
			sw.active = append(sw.active, meet{side: sides[next]})
			next++
		}
		sw.line(lo, hi, mid, yield)
	}
}

// meet is a side and where it stands at the height in hand.
type meet struct {
	side
	s float64
}

// sweep is the state of EachStrip: the sides that cross the height in hand and
// which polygons the running place is in (outline, holes, bays).
type sweep struct {
	active []meet
	in     []bool
	bays   []int
	nHoles int
}

// line yields the pieces of one height.
func (w *sweep) line(lo, hi, mid float64, yield func(Strip)) {
	keep := w.active[:0]
	for _, m := range w.active {
		if m.t1 > mid {
			m.s = m.at(mid)
			keep = append(keep, m)
		}
	}
	w.active = keep
	// Nearly in order from the height before, so insertion is the quick sort here.
	for i := 1; i < len(keep); i++ {
		for j := i; j > 0 && keep[j].s < keep[j-1].s; j-- {
			keep[j], keep[j-1] = keep[j-1], keep[j]
		}
	}
	for i := range w.in {
		w.in[i] = false
	}
	w.bays = w.bays[:0]
	holes := 0
	for i, m := range keep {
		w.in[m.poly] = !w.in[m.poly]
		switch bay := m.poly - 1 - w.nHoles; {
		case m.poly == 0:
		case bay < 0 && w.in[m.poly]:
			holes++
		case bay < 0:
			holes--
		case w.in[m.poly]:
			w.bays = append(w.bays, bay)
		default:
			w.drop(bay)
		}
		if w.in[0] && holes == 0 && i+1 < len(keep) && keep[i+1].s > m.s {
			yield(Strip{T0: lo, T1: hi, S0: m.s, S1: keep[i+1].s, Bay: w.bay()})
		}
	}
}

// bay is the first listed of the bays that the running place is in.
func (w *sweep) bay() int {
	best := -1
	for _, b := range w.bays {
		if best < 0 || b < best {
			best = b
		}
	}
	return best
}

func (w *sweep) drop(bay int) {
	for i, b := range w.bays {
		if b == bay {
			w.bays = append(w.bays[:i], w.bays[i+1:]...)
			return
		}
	}
}

// sides lists the edges of outline, holes and bays that are not level, lowest
// start first. Level edges never stand beside a strip.
func (z Zone) sides(f Frame) []side {
	var out []side
	add := func(p Polygon, poly int) {
		for i := range p {
			a, b := p.edge(i)
			s0, t0 := f.To(a)
			s1, t1 := f.To(b)
			if t1 < t0 {
				s0, t0, s1, t1 = s1, t1, s0, t0
			}
			if t1-t0 > 1e-12 {
				out = append(out, side{t0, t1, s0, (s1 - s0) / (t1 - t0), poly})
			}
		}
	}
	add(z.Outline, 0)
	for i, h := range z.Holes {
		add(h.Outline, 1+i)
	}
	for i, b := range z.Bays {
		add(b.Outline, 1+len(z.Holes)+i)
	}
	sort.Slice(out, func(i, j int) bool { return out[i].t0 < out[j].t0 })
	return out
}

// heights lists, ascending and without repeats, every height at which a strip
// must end: corners, crossings of two sides, and the cuts asked for.
func heights(sides []side, cuts []float64) []float64 {
	ts := append([]float64(nil), cuts...)
	for i, a := range sides {
		ts = append(ts, a.t0, a.t1)
		for _, b := range sides[i+1:] {
			if b.t0 >= a.t1 {
				break
			}
			top := math.Min(a.t1, b.t1)
			d0, d1 := a.at(b.t0)-b.s0, a.at(top)-b.at(top)
			if d0*d1 < 0 {
				ts = append(ts, b.t0+(top-b.t0)*d0/(d0-d1))
			}
		}
	}
	sort.Float64s(ts)
	out := ts[:1]
	for _, t := range ts[1:] {
		if t > out[len(out)-1] {
			out = append(out, t)
		}
	}
	return out
}
