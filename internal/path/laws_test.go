package path

import (
	"math"
	"testing"
	"time"

	"floorpace/internal/floor"
	"pgregory.net/rapid"
)

// anyZone draws a zone as a crew might: slanted walls, columns that may stick
// into a wall, a bay, a stop line from wall to wall. Zones with a problem that
// stops them are drawn again.
func anyZone(t *rapid.T) floor.Zone {
	n := rapid.IntRange(3, 9).Draw(t, "corners")
	var o floor.Polygon
	for i := range n {
		a := (float64(i) + rapid.Float64Range(0, 0.7).Draw(t, "angle")) * 2 * math.Pi / float64(n)
		d := rapid.Float64Range(2, 9).Draw(t, "radius")
		o = append(o, floor.Point{X: d * math.Cos(a), Y: d * math.Sin(a)})
	}
	z := zone(o)
	at := rapid.Float64Range(-6, 6)
	for range rapid.IntRange(0, 4).Draw(t, "columns") {
		z.Holes = append(z.Holes, floor.Hole{Outline: box(at.Draw(t, "x"), at.Draw(t, "y"), 0.4, rapid.Float64Range(0.25, 3).Draw(t, "h"))})
	}
	z.Bays = []floor.Bay{{Name: "bay", DepthM: 0.011, Outline: box(at.Draw(t, "x"), at.Draw(t, "y"), 3, 2)}}
	if rapid.Bool().Draw(t, "line") {
		x := at.Draw(t, "place")
		l := floor.Line{Name: "line", A: floor.Point{X: x, Y: -20}, B: floor.Point{X: x + at.Draw(t, "slant"), Y: 20}}
		if rapid.Bool().Draw(t, "level") {
			l.A, l.B = floor.Point{X: -20, Y: x}, floor.Point{X: 20, Y: x}
		}
		z.StopLines = []floor.Line{l}
	}
	for _, p := range z.Problems() {
		if !p.Minor {
			t.Skip(p.String())
		}
	}
	return z
}

// Laws that hold whatever the zone and the lay.
func TestLawsOfAnyZone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z := anyZone(t)
		l := Lay{
			PullDeg:   rapid.SampledFrom([]float64{0, 30, 90, 143.7, 180, 270}).Draw(t, "pull"),
			RowDepthM: rapid.Float64Range(0.3, 2).Draw(t, "row"),
			Start:     Side(rapid.IntRange(0, 1).Draw(t, "side")),
			Pattern:   Pattern(rapid.IntRange(0, 2).Draw(t, "pattern")),
		}
		p, err := Build(z, l)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "volume", p.TotalL(), z.VolumeL(), 1e-9*z.VolumeL())
		near(t, "area error", p.AreaError(), 0, 0.005) // the promise of the cell choice
		sum, before := 0.0, 0.0
		for i := range p.Cells() {
			if at := p.VolAt(i); at < before || at > p.TotalL() || p.Close(i) < at {
				t.Fatalf("cell %d laid at %g L after %g L, closed at %g L of %g L", i, at, before, p.Close(i), p.TotalL())
			}
			before = p.VolAt(i)
			sum += p.CellL(i)
			x, y := p.Centre(i)
			if p.CellAt(floor.Point{X: x, Y: y}) != i {
				t.Fatalf("cell %d is not found at its middle %g, %g", i, x, y)
			}
		}
		near(t, "volume of the cells", sum, p.TotalL(), 1e-9*p.TotalL())
		for _, s := range p.StopAt() {
			if e := p.Edge(s.VolL); s.Can && len(e) > 0 {
				t.Errorf("stop %+v leaves %d edge cells open", s, len(e))
			}
		}
		pos := rapid.Float64Range(-0.1, 1.1).Draw(t, "pos") * p.TotalL()
		if c := p.CutBack(pos); c.VolL > math.Max(0, pos)+1e-6 || c.LostL < 0 {
			t.Errorf("cut back from %g L: %+v", pos, c)
		}
		sameNeed(t, p)
	})
}

// sameNeed: one life everywhere, asked either way, needs the same rate, and
// pouring in batches needs no other than pouring at once.
func sameNeed(t *rapid.T, p *Path) {
	life, margin, turn := 10*time.Minute, 2*time.Minute, 30*time.Second
	all, ok := p.QMin(0, math.Inf(1), life, margin, turn)
	by, ok2 := p.Ahead(func(floor.Point) time.Duration { return life }, margin, turn).From(0)
	if ok != ok2 {
		t.Fatalf("found %v by one life and %v by place", ok, ok2)
	}
	if !ok {
		return
	}
	// Infinite when a way out and back has more turns than the life.
	if all.RateLps != by.RateLps && math.Abs(all.RateLps-by.RateLps) > 1e-8*by.RateLps {
		t.Errorf("rate %g by one life, %g by place", all.RateLps, by.RateLps)
	}
	parts, n := 0.0, 17
	for i := range n {
		from, to := p.TotalL()*float64(i)/float64(n), p.TotalL()*float64(i+1)/float64(n)
		if q, ok := p.QMin(from, to, life, margin, turn); ok {
			parts = math.Max(parts, q.RateLps)
		}
	}
	if parts != all.RateLps && math.Abs(parts-all.RateLps) > 1e-8*parts {
		t.Errorf("rate %g in parts, %g at once", parts, all.RateLps)
	}
}
