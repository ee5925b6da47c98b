package record

import "math"

// A long, narrow floor is drawn in pieces beside each other, cut across its longer
// side, so that the rows stay deep enough for the numbers of their batches.
const (
	sideMM     = 14.0 // room for the times of the rows
	gapMM      = 17.0 // between two pieces: those times, and air
	leastRowMM = 1.7  // depth of a row whose batch numbers can still be read
	mostPieces = 6
)

// pieces says how a floor is cut.
type pieces struct {
	n, at   int     // how many; which one is being drawn
	tall    bool    // the longer side runs down the paper
	longM   float64 // of one piece, metres
	acrossM float64
}

// cut parts a floor of w by h metres into as many pieces as its rows need, at the
// largest scale that gives.
func (c *canvas) cut(w, h, rowM float64) {
	p := pieces{n: 1, tall: h >= w, longM: math.Max(w, h), acrossM: math.Min(w, h)}
	room, beside := floorW-2*sideMM, floorH-legend-2*sideMM
	if p.tall {
		room, beside = beside, room
	}
	for k := 2; k <= mostPieces && rowM*c.scale < leastRowMM; k++ {
		n := float64(k)
		if s := math.Min(room/(p.longM/n), (beside-(n-1)*gapMM)/(n*p.acrossM)); s > 1.05*c.scale {
			c.scale, p.n = s, k
		}
	}
	p.longM /= float64(p.n)
	c.pieces = p
}

// size is what all pieces take together, mm.
func (c *canvas) size() (w, h float64) {
	long := c.longM * c.scale
	across := float64(c.n)*c.acrossM*c.scale + float64(c.n-1)*gapMM
	if c.tall {
		return across, long
	}
	return long, across
}

// shift is how far the piece that is drawn lies from where the whole floor would
// have it, mm.
func (c *canvas) shift() (dx, dy float64) {
	back, aside := -float64(c.at)*c.longM*c.scale, float64(c.at)*(c.acrossM*c.scale+gapMM)
	if c.tall {
		return aside, back
	}
	return back, aside
}

// here tells whether a place on the paper lies in the piece that is drawn, along
// the side that is cut.
func (c *canvas) here(x, y float64) bool {
	v := x - c.x0
	if c.tall {
		v = y - c.y0
	}
	long := c.longM * c.scale
	return (v >= 0 || c.at == 0) && (v < long || c.at == c.n-1)
}

// inPieces draws a floor piece by piece; what lies in another piece is cut off.
func (c *canvas) inPieces(draw func()) {
	if c.n == 1 {
		draw()
		return
	}
	for c.at = range c.n {
		long, across := c.longM*c.scale, c.acrossM*c.scale
		from := float64(c.at) * (across + gapMM)
		box := func(a0, a1, l0, l1 float64) [][2]float64 {
			if c.tall {
				return [][2]float64{{c.x0 + a0, c.y0 + l0}, {c.x0 + a1, c.y0 + l0}, {c.x0 + a1, c.y0 + l1}, {c.x0 + a0, c.y0 + l1}}
			}
			return [][2]float64{{c.x0 + l0, c.y0 + a0}, {c.x0 + l1, c.y0 + a0}, {c.x0 + l1, c.y0 + a1}, {c.x0 + l0, c.y0 + a1}}
		}
		l0, l1 := 0.0, long
		if c.at == 0 {
			l0 = -sideMM
		}
		if c.at == c.n-1 {
			l1 += sideMM
		}
		c.d.inside(box(from-sideMM, from+across+sideMM, l0, l1), draw)
		if c.at == c.n-1 {
			break
		}
		if c.tall {
			c.d.label(c.x0+from+across/2, c.y0+long+3, "goes on beside, at the top", 2.2, 'm', grey)
		} else {
			c.d.label(c.x0+long+1, c.y0+from+across+3, "goes on below, at the left", 2.2, 'r', grey)
		}
	}
}
