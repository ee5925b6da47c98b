package path

import (
	"math"
	"testing"

	"floorpace/internal/floor"
	"pgregory.net/rapid"
)

// narrow is Narrow for widths and depths that must be good.
func narrow(t testing.TB, p *Path, posL, widthM, rowDepthM float64) *Path {
	t.Helper()
	q, err := p.Narrow(posL, widthM, rowDepthM)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// worstAhead is the largest span of the pairs laid altogether ahead of posL.
func worstAhead(p *Path, posL float64) (most float64) {
	p.EachPair(posL, math.Inf(1), func(q Pair) {
		if q.LaidL >= posL-1e-9 {
			most = math.Max(most, q.SpanL)
		}
	})
	return most
}

// Source: span of a rectangle, W·d·h, worked out in the package comment, with
// the lane's width for W; the tape by hand.
func TestNarrowRectangle(t *testing.T) {
	for _, side := range []Side{Left, Right} {
		for _, pattern := range []Pattern{SameSide, ToAndFro} {
			p := build(t, zone(box(0, 0, 9, 12)), Lay{PullDeg: 90, RowDepthM: 0.75, Start: side, Pattern: pattern})
			times := 1.0
			if pattern == ToAndFro {
				times = 2
			}
			for _, c := range []struct{ pos, width, depth, span, tape float64 }{
				{0, 4.5, 0, times * 4.5 * 0.75 * 5, 12},
				{0, 6, 0, times * 6 * 0.75 * 5, 12},
				{0, 3, 0, times * 3 * 0.75 * 5, 24},
				{0, 9, 0.6, times * 9 * 0.6 * 5, 0},
				{4 * 9 * 0.75 * 5, 6, 0, times * 6 * 0.75 * 5, 9 + 3},        // 9 m of line, 3 m of front given up
				{4 * 9 * 0.75 * 5, 4.5, 0.5, times * 4.5 * 0.5 * 5, 9 + 4.5}, // and shallower rows
			} {
				q := narrow(t, p, c.pos, c.width, c.depth)
				near(t, "largest span ahead", worstAhead(q, c.pos), c.span, 1e-6)
				near(t, "tape", q.TapeM(), c.tape, 1e-6)
				near(t, "total", q.TotalL(), p.TotalL(), 0)
			}
		}
	}
}

// Source: worked by hand. The front stands 3 m into the fifth row of a 9 m pull
// (0.75 m rows, 5 mm) when the pull goes to 6 m: the row goes on to 6 m, the
// lane follows it to the far wall, then the lane beside begins at the fifth row.
func TestNarrowInsideRow(t *testing.T) {
	p := build(t, zone(box(0, 0, 9, 12)), Lay{PullDeg: 90, RowDepthM: 0.75, Start: Left})
	row := 9 * 0.75 * 5.0
	pos := 4*row + 3*0.75*5
	q := narrow(t, p, pos, 6, 0)
	at := func(x, y float64) float64 {
		l, ok := q.LaidAt(floor.Point{X: x, Y: y})
		if !ok {
			t.Fatalf("%g, %g is not on the floor", x, y)
		}
		return l
	}
	lane := 6 * 0.75 * 5.0
	near(t, "end of the fifth row", q.RowEnd(4), 4*row+lane, 1e-9)
	near(t, "sixth row, 3 m in", at(3, 4.1), 4*row+lane+3*0.75*5, 1e-6)
	near(t, "start of the lane beside", at(6, 3.1), 4*row+12*lane, 1e-6)
	near(t, "front there", q.FrontAt(4*row+12*lane+1e-9), 3, 1e-6)
	near(t, "front at 5.25 m in the first lane", q.PosAtFront(5.25), 4*row+3*lane, 1e-6)
	near(t, "and in the second", q.PosAtFrontNear(5.25, q.TotalL()*0.95), 4*row+12*lane+3*3*0.75*5, 1e-6)
	if n := len(q.Edge(4*row + 12*lane)); n != 0 {
		t.Errorf("%d places wait at the end of the first lane, want none: the rest is taped", n)
	}
}

// Source: the stop line parts the zone; worked by hand.
func TestNarrowStopsAtLine(t *testing.T) {
	z := zone(box(0, 0, 8, 12))
	z.StopLines = []floor.Line{{Name: "joint", A: floor.Point{Y: 6}, B: floor.Point{X: 8, Y: 6}}}
	p := build(t, z, Lay{PullDeg: 90, RowDepthM: 0.75, Start: Left})
	q := narrow(t, p, 0, 4, 0)
	s := q.StopAt()[0]
	if !s.Can {
		t.Fatalf("cannot stop at the joint: %s", s.Why)
	}
	near(t, "joint", s.VolL, p.TotalL()/2, 1e-6)
	if l, _ := q.LaidAt(floor.Point{X: 7.9, Y: 5.9}); l > s.VolL {
		t.Errorf("the second lane before the joint is laid at %g, after it", l)
	}
	near(t, "tape", q.TapeM(), 12, 1e-6)
}

func TestNarrowRefuses(t *testing.T) {
	p := build(t, zone(box(0, 0, 9, 6)), Lay{PullDeg: 90, RowDepthM: 0.75})
	for _, c := range []struct{ pos, w, d float64 }{
		{0, 0, 0},
		{0, -1, 0},
		{0, math.NaN(), 0},
		{0, 0.01, 0},
		{0, 3, -1},
		{0, 3, math.NaN()},
		{0, 3, math.Inf(1)},
		{p.TotalL(), 3, 0},
		{math.NaN(), 3, 0},
	} {
		if q, err := p.Narrow(c.pos, c.w, c.d); err == nil || q != nil {
			t.Errorf("Narrow(%g, %g, %g) was taken", c.pos, c.w, c.d)
		}
	}
	back := build(t, zone(box(0, 0, 9, 6)), Lay{PullDeg: 90, RowDepthM: 0.75, Pattern: OutAndBack})
	if _, err := back.Narrow(0, 3, 0); err == nil {
		t.Error("rows out and back were narrowed")
	}
	if _, err := back.Relay(0, 9, 0, SameSide); err != nil {
		t.Errorf("rows out and back cannot be laid from the same side: %v", err)
	}
}

// Laws of any zone, narrowed once and again: what is laid stays to the last
// bit, every cell is laid once, no wet edge runs between a lane and the lane
// beside it, and no lane is wider than asked.
func TestLawsOfNarrow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z := anyZone(t)
		l := Lay{
			PullDeg: float64(rapid.IntRange(0, 23).Draw(t, "turn")) * 15, RowDepthM: rapid.Float64Range(0.4, 1.5).Draw(t, "depth"),
			Start:   Side(rapid.IntRange(0, 1).Draw(t, "side")),
			Pattern: Pattern(rapid.IntRange(0, 1).Draw(t, "pattern")),
		}
		p, err := Build(z, l)
		if err != nil {
			t.Skip(err)
		}
		pos := 0.0
		for range rapid.IntRange(1, 2).Draw(t, "times") {
			pos += rapid.Float64Range(0, 0.99).Draw(t, "place") * (p.TotalL() - pos)
			width := rapid.Float64Range(1.5*p.dx, 8).Draw(t, "width")
			depth := rapid.SampledFrom([]float64{0, 0.5, 0.9}).Draw(t, "row")
			q, err := p.Narrow(pos, width, depth)
			if err != nil {
				if pos > p.TotalL()*(1-1e-3) {
					return // the last station is under way
				}
				t.Fatal(err)
			}
			checkNarrow(t, p, q, pos, width)
			p = q
		}
	})
}

func checkNarrow(t *rapid.T, p, q *Path, pos, width float64) {
	near(t, "total", q.TotalL(), p.TotalL(), 0)
	near(t, "start", q.start[len(q.start)-1], p.TotalL(), 0)
	for s := 0; s < p.stations() && p.start[s+1] <= pos; s++ {
		if q.start[s+1] != p.start[s+1] || q.place[q.first[s]] != p.place[p.first[s]] {
			t.Fatalf("station %d was laid to %g, now %g", s, p.start[s+1], q.start[s+1])
		}
	}
	near(t, "area behind", q.AreaAt(pos), p.AreaAt(pos), 1e-6*p.AreaM2())
	area, seen := 0.0, map[int32]bool{}
	for i := range q.Cells() {
		if seen[q.place[i]] {
			t.Fatalf("cell at %d is laid twice", q.place[i])
		}
		seen[q.place[i]] = true
		area += q.CellAreaM2(i)
	}
	near(t, "area of the cells", area, q.AreaM2(), 1e-3*q.AreaM2())
	for s := range q.stations() {
		if q.start[s+1] <= q.start[s] {
			t.Fatalf("station %d lays %g L", s, q.start[s+1]-q.start[s])
		}
	}
	for r := int(q.turn[q.stationAt(pos)]) + 1; r < q.Rows(); r++ {
		lo, hi := q.nx, 0
		for s := q.rowSta[r]; s < q.rowSta[r+1]; s++ {
			x := int(q.place[q.first[s]]) % q.nx
			lo, hi = min(lo, x), max(hi, x+1)
		}
		if wide := float64(hi-lo) * q.dx; wide > width*(1+1e-6) {
			t.Fatalf("row %d is %g m wide, asked for %g", r, wide, width)
		}
	}
	sameNeed(t, q)
}
