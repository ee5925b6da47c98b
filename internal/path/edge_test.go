package path

import (
	"math"
	"slices"
	"testing"

	"floorpace/internal/floor"
)

// Source: closed form. Rows of n cells from the same side leave n cells at the
// edge whenever the front is past the first row and before the last; a cell is
// covered at its middle, to the instant.
func TestEdgeIsOneRowLong(t *testing.T) {
	const n, rows = 4, 5
	p := build(t, zone(box(0, 0, n, rows)), Lay{PullDeg: 90, RowDepthM: 1, CellM: 1})
	var buf []EdgeCell
	for k := n; k < n*(rows-1); k++ {
		pos := 5*float64(k) + 2.5 // the middle of cell k, exactly
		buf = p.AppendEdge(buf[:0], pos)
		if len(buf) != n || buf[n-1].Index != k || buf[0].Index != k-n+1 {
			t.Errorf("at the middle of cell %d: edge %+v, want cells %d to %d", k, buf, k-n+1, k)
		}
		if e := p.Edge(pos - 1e-9); e[len(e)-1].Index != k-1 {
			t.Errorf("just before the middle of cell %d: it is covered", k)
		}
	}
	if e := p.Edge(p.TotalL()); len(e) > 0 {
		t.Errorf("the finished floor has an edge: %+v", e)
	}
	if e := p.Edge(0); len(e) > 0 {
		t.Errorf("the floor not begun has an edge: %+v", e)
	}
}

// At a row end the turn is still to be made, and still so until the first cell
// of the next row is covered.
func TestEdgeAtTheTurn(t *testing.T) {
	p := build(t, zone(box(0, 0, 4, 5)), Lay{PullDeg: 90, RowDepthM: 1, CellM: 1})
	for _, pos := range []float64{p.RowEnd(1), p.RowEnd(1) + 1} {
		for _, e := range p.Edge(pos) {
			if e.RowEnds != 1 || !e.RowEndBetween {
				t.Errorf("at %g L: %+v, want one row end", pos, e)
			}
		}
	}
	for _, e := range p.Edge(p.RowEnd(1) + 2.5) {
		if want := e.Index / 4; e.RowEnds != want-1 { // cells 5 to 7 join in this row, cell 8 in the next
			t.Errorf("after the turn: %+v, want %d row ends", e, want-1)
		}
	}
}

// A window holds what is joined at its start and not what is joined at its end.
func TestWindow(t *testing.T) {
	p := build(t, zone(box(0, 0, 4, 5)), Lay{PullDeg: 90, RowDepthM: 1, CellM: 1})
	last := p.VolAt(p.Cells() - 1)
	count := func(from, to float64) (n int) {
		p.EachPair(from, to, func(Pair) { n++ })
		return n
	}
	if n := count(last, math.Inf(1)); n != 2 {
		t.Errorf("%d pairs joined by the last cell, want 2", n)
	}
	if n := count(0, last); n != 4*4+5*3-2 {
		t.Errorf("%d pairs joined before the last cell, want 29", n)
	}
	if _, ok := p.MaxSpan(2.5, 7.5); ok {
		t.Error("the first cell joins something")
	}
}

// A wall thicker than nothing parts the cells beside it when cells are chosen,
// and a wish for a cell is not exceeded.
func TestChoiceOfCell(t *testing.T) {
	z := zone(box(0, 0, 4.1, 4))
	z.Holes = []floor.Hole{{Name: "wall", Outline: box(2, 0, 0.1, 4)}}
	p := build(t, z, Lay{PullDeg: 90, RowDepthM: 0.75})
	p.EachPair(0, math.Inf(1), func(q Pair) {
		if (q.At.X < 2.05) != (q.From.X < 2.05) {
			t.Fatalf("%v waits for %v through the wall", q.At, q.From)
		}
	})
	z = zone(box(0, 0, 80, 80))
	z.Holes = []floor.Hole{{Name: "wall", Outline: box(2, 0, 0.1, 4)}}
	if n := build(t, z, Lay{PullDeg: 90, RowDepthM: 0.75}).Cells(); n > cellsWish*11/10 {
		t.Errorf("%d cells, want about %d at most", n, cellsWish)
	}
	near(t, "cell for 0.2 m", build(t, zone(box(0, 0, 9, 9)), Lay{RowDepthM: 0.75, CellM: 0.2}).CellM(), 0.1875, 1e-12)
	near(t, "cell for a wide room", build(t, zone(box(0, 0, 300, 300)), Lay{RowDepthM: 0.75}).CellM(), 0.75, 1e-12)
}

// Source: closed form on rows of four cells of 5 L. What waits for something
// before the end of the row being laid is its last cell alone, and the cells of
// the row before that lie further on; up to the end of the floor it is the whole
// edge; up to the front nothing.
func TestEdgeTo(t *testing.T) {
	p := build(t, zone(box(0, 0, 4, 5)), Lay{PullDeg: 90, RowDepthM: 1, CellM: 1})
	pos := 5*5 + 2.5 // the middle of the second cell of row 2
	var got []int
	for _, e := range p.EdgeTo(pos, p.RowEnd(1)) {
		got = append(got, e.Index)
		if e.CloseL >= p.RowEnd(1) || e.RowEnds != 0 {
			t.Errorf("%+v closes beyond the row", e)
		}
	}
	if !slices.Equal(got, []int{2, 3, 5}) { // cells 2 and 3 of row 1 wait for row 2, cell 5 for cell 6
		t.Errorf("cells %v, want 2 3 5", got)
	}
	if got := p.EdgeTo(pos, p.TotalL()+1); !slices.Equal(got, p.Edge(pos)) {
		t.Errorf("to the end %+v, want the whole edge %+v", got, p.Edge(pos))
	}
	if got := p.EdgeTo(pos, pos); len(got) > 0 {
		t.Errorf("to the front %+v", got)
	}
}
