package floor

import "math"

// nearM is the distance below which two places are the same place, metres: a
// micrometre is far below any tape and far above float64 error on a floor.
const nearM = 1e-6

// Point is a place on the drawing, metres.
type Point struct{ X, Y float64 }

// NoPoint stands for a place that was not given.
var NoPoint = Point{math.NaN(), math.NaN()}

// Known says whether both coordinates are finite numbers.
func (p Point) Known() bool { return finite(p.X) && finite(p.Y) }

// DistanceM is the straight line from p to q, metres.
func (p Point) DistanceM(q Point) float64 { return math.Hypot(q.X-p.X, q.Y-p.Y) }

// Polygon is a closed outline; the last corner joins the first without being
// repeated. Either sense of rotation will do.
type Polygon []Point

// signedArea is the shoelace sum, m², positive when the corners run
// anticlockwise. Corners are taken relative to the first so that a drawing far
// from its origin loses no digits.
func (p Polygon) signedArea() float64 {
	if len(p) < 3 {
		return 0
	}
	o, sum := p[0], 0.0
	for i := 1; i+1 < len(p); i++ {
		a, b := p[i], p[i+1]
		sum += (a.X-o.X)*(b.Y-o.Y) - (b.X-o.X)*(a.Y-o.Y)
	}
	return sum / 2
}

// Area is the enclosed area by the shoelace sum, m², never negative. An outline
// that crosses itself has no one area: see Crossing.
func (p Polygon) Area() float64 { return math.Abs(p.signedArea()) }

// Perimeter is the length of all edges, the closing one included, metres.
func (p Polygon) Perimeter() float64 {
	sum := 0.0
	for i := range p {
		a, b := p.edge(i)
		sum += a.DistanceM(b)
	}
	return sum
}

// Bounds gives the lower left and upper right corners of the upright rectangle
// around p; both are NoPoint when p has no corner.
func (p Polygon) Bounds() (lo, hi Point) {
	if len(p) == 0 {
		return NoPoint, NoPoint
	}
	lo, hi = p[0], p[0]
	for _, q := range p[1:] {
		lo = Point{math.Min(lo.X, q.X), math.Min(lo.Y, q.Y)}
		hi = Point{math.Max(hi.X, q.X), math.Max(hi.Y, q.Y)}
	}
	return lo, hi
}

// Centroid is the centre of area. An outline without area gives the mean of its
// corners, one without corners NoPoint.
func (p Polygon) Centroid() Point {
	if len(p) == 0 {
		return NoPoint
	}
	o := p[0]
	var sx, sy, twice float64
	for i := 1; i+1 < len(p); i++ {
		ax, ay := p[i].X-o.X, p[i].Y-o.Y
		bx, by := p[i+1].X-o.X, p[i+1].Y-o.Y
		c := ax*by - bx*ay
		sx, sy, twice = sx+c*(ax+bx), sy+c*(ay+by), twice+c
	}
	if math.Abs(twice) < nearM*nearM {
		for _, q := range p {
			sx, sy = sx+q.X, sy+q.Y
		}
		n := float64(len(p))
		return Point{sx / n, sy / n}
	}
	return Point{o.X + sx/(3*twice), o.Y + sy/(3*twice)}
}

// Contains says whether q lies in p; a place within a micrometre of an edge
// does. The test counts the edges that a ray to the right meets.
func (p Polygon) Contains(q Point) bool {
	in := false
	for i := range p {
		a, b := p.edge(i)
		if segmentDistance(q, a, b) <= nearM {
			return true
		}
		if (a.Y > q.Y) != (b.Y > q.Y) && q.X < a.X+(q.Y-a.Y)*(b.X-a.X)/(b.Y-a.Y) {
			in = !in
		}
	}
	return in
}

// Crossing looks for two edges that meet where they should not: edge i runs
// from corner i to corner i+1. Edges that only share their common corner are
// fine; one that doubles back over its neighbour is not.
func (p Polygon) Crossing() (edgeA, edgeB int, crosses bool) {
	n := len(p)
	if n < 3 {
		return 0, 0, false
	}
	for i := 0; i < n; i++ {
		a, b := p.edge(i)
		for j := i + 1; j < n; j++ {
			c, d := p.edge(j)
			switch {
			case j == i+1:
				if doublesBack(a, b, d) {
					return i, j, true
				}
			case i == 0 && j == n-1:
				if doublesBack(c, a, b) {
					return i, j, true
				}
			case segmentsMeet(a, b, c, d):
				return i, j, true
			}
		}
	}
	return 0, 0, false
}

// edge gives the ends of edge i.
func (p Polygon) edge(i int) (a, b Point) {
	if i+1 == len(p) {
		return p[i], p[0]
	}
	return p[i], p[i+1]
}

// distanceM is the distance from q to the nearest edge of p, metres.
func (p Polygon) distanceM(q Point) float64 {
	best := math.Inf(1)
	for i := range p {
		a, b := p.edge(i)
		best = math.Min(best, segmentDistance(q, a, b))
	}
	return best
}

// allKnown says whether every corner is a pair of finite numbers.
func (p Polygon) allKnown() bool {
	for _, q := range p {
		if !q.Known() {
			return false
		}
	}
	return true
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// cross is twice the area of the triangle o a b, positive when it turns left.
func cross(o, a, b Point) float64 {
	return (a.X-o.X)*(b.Y-o.Y) - (a.Y-o.Y)*(b.X-o.X)
}

// segmentDistance is the distance from q to the segment a b, metres.
func segmentDistance(q, a, b Point) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	l2 := dx*dx + dy*dy
	if l2 == 0 {
		return q.DistanceM(a)
	}
	u := ((q.X-a.X)*dx + (q.Y-a.Y)*dy) / l2
	u = math.Max(0, math.Min(1, u))
	return q.DistanceM(Point{a.X + u*dx, a.Y + u*dy})
}

// segmentsMeet says whether the segments a b and c d cross or touch.
func segmentsMeet(a, b, c, d Point) bool {
	if segmentDistance(a, c, d) <= nearM || segmentDistance(b, c, d) <= nearM ||
		segmentDistance(c, a, b) <= nearM || segmentDistance(d, a, b) <= nearM {
		return true
	}
	return (cross(a, b, c) > 0) != (cross(a, b, d) > 0) &&
		(cross(c, d, a) > 0) != (cross(c, d, b) > 0)
}

// doublesBack says whether the edge b c runs back over the edge a b.
func doublesBack(a, b, c Point) bool {
	ab, bc := a.DistanceM(b), b.DistanceM(c)
	if ab <= nearM || bc <= nearM {
		return true
	}
	back := (b.X-a.X)*(c.X-b.X) + (b.Y-a.Y)*(c.Y-b.Y)
	return back < 0 && math.Abs(cross(a, b, c)) <= nearM*math.Min(ab, bc)
}
