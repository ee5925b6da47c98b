package floor

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/clip"
	"github.com/paulmach/orb/planar"
	"pgregory.net/rapid"
)

// box is an upright rectangle with its lower left corner at x, y.
func box(x, y, w, h float64) Polygon {
	return Polygon{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}
}

// ell is the L of test day 1.
var ell = Polygon{{0, 0}, {9, 0}, {9, 14}, {6, 14}, {6, 22}, {0, 22}}

// ring is p as the outside library's closed ring.
func ring(p Polygon) orb.Ring {
	r := make(orb.Ring, 0, len(p)+1)
	for _, q := range p {
		r = append(r, orb.Point{q.X, q.Y})
	}
	return append(r, r[0])
}

// near fails unless got is want to within tol.
func near(t interface{ Errorf(string, ...any) }, what string, got, want, tol float64) {
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.12g, want %.12g ± %g", what, got, want, tol)
	}
}

// star draws a random outline that does not cross itself: corners at rising
// angles round a middle, between rMin and rMax from it.
func star(t *rapid.T, label string, mid Point, rMin, rMax float64) Polygon {
	n := rapid.IntRange(3, 14).Draw(t, label+" corners")
	turn := rapid.Float64Range(0, 6).Draw(t, label+" turn")
	p := make(Polygon, n)
	for i := range p {
		a := turn + (float64(i)+rapid.Float64Range(0, 0.7).Draw(t, label+" angle"))*2*math.Pi/float64(n)
		r := rapid.Float64Range(rMin, rMax).Draw(t, label+" radius")
		p[i] = Point{mid.X + r*math.Cos(a), mid.Y + r*math.Sin(a)}
	}
	if rapid.Bool().Draw(t, label+" clockwise") {
		for i, j := 0, n-1; i < j; i, j = i+1, j-1 {
			p[i], p[j] = p[j], p[i]
		}
	}
	return p
}

func TestPolygonMeasures(t *testing.T) {
	for _, c := range []struct {
		name                string
		p                   Polygon
		area, round, cx, cy float64
		source              string
	}{
		{"unit square", box(0, 0, 1, 1), 1, 4, 0.5, 0.5, "by hand"},
		{"square far off", box(1e6, -2e6, 1, 1), 1, 4, 1e6 + 0.5, -2e6 + 0.5, "by hand"},
		{"3-4-5 triangle", Polygon{{0, 0}, {4, 0}, {0, 3}}, 6, 12, 4. / 3, 1, "Euclid; centroid by hand"},
		{"clockwise", Polygon{{0, 3}, {4, 0}, {0, 0}}, 6, 12, 4. / 3, 1, "by hand"},
		{"L of day 1", ell, 174, 62, (126*4.5 + 48*3) / 174, (126*7. + 48*18) / 174, "test day 1; centroid by hand from its two rectangles"},
		{"no area", Polygon{{0, 0}, {2, 0}, {4, 0}}, 0, 8, 2, 0, "by hand"},
	} {
		t.Run(c.name, func(t *testing.T) {
			near(t, "area", c.p.Area(), c.area, 1e-9)
			near(t, "perimeter", c.p.Perimeter(), c.round, 1e-9)
			near(t, "centroid x", c.p.Centroid().X, c.cx, 1e-9*math.Max(1, math.Abs(c.cx)))
			near(t, "centroid y", c.p.Centroid().Y, c.cy, 1e-9*math.Max(1, math.Abs(c.cy)))
		})
	}
	if Polygon(nil).Centroid().Known() {
		t.Error("no corners: the centroid must not be known")
	}
}

// Outside check: area, length, centroid and containment against the planar
// package of a general geometry library (paulmach/orb v0.14.0).
func TestPolygonAgainstLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := star(t, "outline", Point{rapid.Float64Range(-50, 50).Draw(t, "x"), 7}, 2, 30)
		r := ring(p)
		near(t, "area", p.Area(), math.Abs(planar.Area(r)), 1e-9*p.Area())
		near(t, "perimeter", p.Perimeter(), planar.Length(orb.LineString(r)), 1e-9*p.Perimeter())
		mid, _ := planar.CentroidArea(r)
		near(t, "centroid x", p.Centroid().X, mid[0], 1e-6)
		near(t, "centroid y", p.Centroid().Y, mid[1], 1e-6)
		lo, hi := p.Bounds()
		b := r.Bound()
		if lo != (Point{b.Min[0], b.Min[1]}) || hi != (Point{b.Max[0], b.Max[1]}) {
			t.Errorf("bounds %v %v, want %v", lo, hi, b)
		}
		q := Point{rapid.Float64Range(lo.X-1, hi.X+1).Draw(t, "qx"), rapid.Float64Range(lo.Y-1, hi.Y+1).Draw(t, "qy")}
		if p.distanceM(q) > 2*nearM && p.Contains(q) != planar.RingContains(r, orb.Point{q.X, q.Y}) {
			t.Errorf("contains %v: %v", q, p.Contains(q))
		}
		if a, b, crosses := p.Crossing(); crosses {
			t.Errorf("a plain outline is said to cross itself at edges %d and %d", a, b)
		}
	})
}

func TestPolygonContainsItsEdge(t *testing.T) {
	for _, q := range []Point{{0, 0}, {9, 14}, {6, 18}, {4.5, 0}, {0, 22}, {7.5, 14}} {
		if !ell.Contains(q) {
			t.Errorf("%v on the edge counts as outside", q)
		}
	}
	for _, q := range []Point{{9.00001, 3}, {6.00001, 18}, {-1e-5, 5}, {8, 14.00001}} {
		if ell.Contains(q) {
			t.Errorf("%v beyond the edge counts as inside", q)
		}
	}
}

func TestPolygonCrossing(t *testing.T) {
	for _, c := range []struct {
		name    string
		p       Polygon
		a, b    int
		crosses bool
	}{
		{"square", box(0, 0, 2, 2), 0, 0, false},
		{"L", ell, 0, 0, false},
		{"bow tie", Polygon{{0, 0}, {2, 2}, {2, 0}, {0, 2}}, 0, 2, true},
		{"corner on an edge", Polygon{{0, 0}, {4, 0}, {4, 4}, {2, 0}, {0, 4}}, 0, 2, true},
		{"doubles back", Polygon{{0, 0}, {4, 0}, {2, 0}, {2, 3}}, 0, 1, true},
		{"doubles back at the close", Polygon{{0, 0}, {0, 4}, {3, 4}, {3, 0}, {5, 0}}, 2, 4, true},
		{"straight corner", Polygon{{0, 0}, {2, 0}, {4, 0}, {4, 4}, {0, 4}}, 0, 0, false},
		{"spike", Polygon{{0, 0}, {4, 0}, {4, 4}, {2, 4}, {2, 0}, {2, 4}, {0, 4}}, 0, 3, true},
		{"two corners", Polygon{{0, 0}, {1, 0}}, 0, 0, false},
	} {
		a, b, crosses := c.p.Crossing()
		if crosses != c.crosses || a != c.a || b != c.b {
			t.Errorf("%s: edges %d and %d, %v; want %d and %d, %v", c.name, a, b, crosses, c.a, c.b, c.crosses)
		}
	}
}

// Outside check: what is left of a random outline when a box that may stick out
// is taken from it, against the clip package of the same library.
func TestNetAreaAgainstLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z := Zone{Outline: star(t, "outline", Point{1, 2}, 3, 20), DepthM: 0.006, AllowanceM: 0.001}
		x, y := rapid.Float64Range(-20, 15).Draw(t, "x"), rapid.Float64Range(-20, 15).Draw(t, "y")
		w, h := rapid.Float64Range(0.1, 25).Draw(t, "w"), rapid.Float64Range(0.1, 25).Draw(t, "h")
		all := math.Abs(planar.Area(ring(z.Outline)))
		cut := 0.0
		b := orb.Bound{Min: orb.Point{x, y}, Max: orb.Point{x + w, y + h}}
		if c := clip.Ring(b, ring(z.Outline)); c != nil {
			cut = math.Abs(planar.Area(c))
		}
		asHole, asBay := z, z
		asHole.Holes = []Hole{{Outline: box(x, y, w, h)}}
		asBay.Bays = []Bay{{Outline: box(x, y, w, h), DepthM: 0.010}}
		near(t, "outline less box", asHole.NetAreaM2(), all-cut, 1e-9*all)
		near(t, "box as bay", asBay.BayAreas()[0], cut, 1e-9*all)
		near(t, "rest", asBay.RestAreaM2(), all-cut, 1e-9*all)
		near(t, "volume", asBay.VolumeL(), (all-cut)*7+cut*11, 1e-8*all)
		// Turning the strips does not change an area.
		f, sum := NewFrame(rapid.Float64Range(0, 360).Draw(t, "turn")), 0.0
		asHole.EachStrip(f, []float64{-3, 0, 4.5}, func(s Strip) { sum += s.AreaM2() })
		near(t, "turned", sum, all-cut, 1e-9*all)
	})
}
