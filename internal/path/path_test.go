package path

import (
	"math"
	"testing"

	"floorpace/internal/floor"
)

// box is an upright rectangle with its lower left corner at x, y.
func box(x, y, w, h float64) floor.Polygon {
	return floor.Polygon{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}
}

// zone is a zone 5 mm deep with its mix station off the floor.
func zone(outline floor.Polygon) floor.Zone {
	return floor.Zone{Name: "test", Outline: outline, DepthM: 0.005, Station: floor.Point{X: -3, Y: -4}}
}

// build is Build for zones and lays that must be good.
func build(t testing.TB, z floor.Zone, l Lay) *Path {
	t.Helper()
	p, err := Build(z, l)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// worst is the largest span of the whole path.
func worst(t testing.TB, p *Path) Pair {
	t.Helper()
	w, ok := p.MaxSpan(0, math.Inf(1))
	if !ok {
		t.Fatal("no wet edge on the whole path")
	}
	return w
}

// near fails unless got is want to within tol.
func near(t interface {
	Helper()
	Errorf(string, ...any)
}, what string, got, want, tol float64,
) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g ± %g", what, got, want, tol)
	}
}

// Source: span of a rectangle, W·d·h same side and 2·W·d·h to and fro, worked
// out in the package comment.
func TestSpanOfRectangle(t *testing.T) {
	for _, deg := range []float64{0, 30, 90, 137, 180, 270} {
		for _, side := range []Side{Left, Right} {
			f := floor.NewFrame(deg)
			var o floor.Polygon
			for _, q := range box(2, 1, 9, 6) { // s from 2 to 11, t from 1 to 7
				o = append(o, f.From(q.X, q.Y))
			}
			z := zone(o)
			l := Lay{PullDeg: deg, RowDepthM: 0.75, Start: side}
			near(t, "same side", worst(t, build(t, z, l)).SpanL, 9*0.75*5, 1e-6)
			l.Pattern = ToAndFro
			near(t, "to and fro", worst(t, build(t, z, l)).SpanL, 2*9*0.75*5, 1e-6)
		}
	}
}

// Source: test day 1, direction on the L (worked by hand): 6.75 m² against 16.5 m².
func TestSpanOfDay1(t *testing.T) {
	z := zone(floor.Polygon{{X: 0, Y: 0}, {X: 9, Y: 0}, {X: 9, Y: 14}, {X: 6, Y: 14}, {X: 6, Y: 22}, {X: 0, Y: 22}})
	z.DepthM = 0.006
	along := worst(t, build(t, z, Lay{PullDeg: 90, RowDepthM: 0.75})).SpanL / 6
	across := worst(t, build(t, z, Lay{PullDeg: 0, RowDepthM: 0.75})).SpanL / 6
	near(t, "rows across 9 m", along, 6.75, 0.005)
	near(t, "rows along 22 m", across, 16.5, 0.005)
	near(t, "times the pace", across/along, 2.44, 0.005)
}
