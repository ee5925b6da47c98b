package path

import (
	"fmt"
	"math"
	"sort"
	"testing"
	"time"

	"floorpace/internal/floor"
	"pgregory.net/rapid"
)

// plot is a small floor on squared paper for the oracle: w × h squares of one
// metre, some taken out by columns, one bay, one stop line between squares.
type plot struct {
	w, h   int
	column map[[2]int]bool
	bay    [4]int // x0 y0 x1 y1
	line   int    // height or place of the stop line, 0 for none
	level  bool   // the line runs along x
	lay    Lay
	k      int // squares in a row's depth
}

func drawPlot(t *rapid.T) plot {
	p := plot{
		w: rapid.IntRange(2, 9).Draw(t, "w"), h: rapid.IntRange(2, 9).Draw(t, "h"),
		k: rapid.IntRange(1, 3).Draw(t, "k"), column: map[[2]int]bool{},
	}
	for range rapid.IntRange(0, 6).Draw(t, "columns") {
		p.column[[2]int{rapid.IntRange(0, p.w-1).Draw(t, "cx"), rapid.IntRange(0, p.h-1).Draw(t, "cy")}] = true
	}
	// One square is always floor, and so is one in the bay.
	delete(p.column, [2]int{0, 0})
	x, y := rapid.IntRange(1, p.w).Draw(t, "bx"), rapid.IntRange(1, p.h).Draw(t, "by")
	p.bay = [4]int{0, 0, x, y}
	p.level = rapid.Bool().Draw(t, "level")
	if p.level {
		p.line = rapid.IntRange(0, p.h-1).Draw(t, "line")
	} else {
		p.line = rapid.IntRange(0, p.w-1).Draw(t, "line")
	}
	p.lay = Lay{
		PullDeg: float64(90 * rapid.IntRange(0, 3).Draw(t, "quarter")), RowDepthM: float64(p.k), CellM: 1,
		Start:   Side(rapid.IntRange(0, 1).Draw(t, "side")),
		Pattern: Pattern(rapid.IntRange(0, 2).Draw(t, "pattern")),
	}
	for _, q := range p.zone().Problems() {
		if q.Where == "stop line" { // columns all along it
			p.line = 0
		}
	}
	return p
}

func (p plot) zone() floor.Zone {
	z := zone(box(0, 0, float64(p.w), float64(p.h)))
	for c := range p.column {
		z.Holes = append(z.Holes, floor.Hole{Outline: box(float64(c[0]), float64(c[1]), 1, 1)})
	}
	z.Bays = []floor.Bay{{Name: "bay", DepthM: 0.008, Outline: box(0, 0, float64(p.bay[2]), float64(p.bay[3]))}}
	if p.line > 0 {
		l := floor.Line{Name: "line", A: floor.Point{X: float64(p.line)}, B: floor.Point{X: float64(p.line), Y: float64(p.h)}}
		if p.level {
			l.A, l.B = floor.Point{Y: float64(p.line)}, floor.Point{X: float64(p.w), Y: float64(p.line)}
		}
		z.StopLines = []floor.Line{l}
	}
	return z
}

// square is a cell of the oracle. right and along are whole numbers in the axes
// of the pull.
type square struct {
	x, y, right, along int
	row, order         int // row by height; place of the row in pour order
	dir                int
	s, e               float64 // station laid from s to e
	vol                float64
}

// squares lays the plot by plain sorting, without any of the package's code.
func (p plot) squares() []square {
	var out []square
	quarter := int(p.lay.PullDeg) / 90
	for x := range p.w {
		for y := range p.h {
			if p.column[[2]int{x, y}] {
				continue
			}
			q := square{x: x, y: y, vol: 5}
			if x < p.bay[2] && y < p.bay[3] {
				q.vol = 8
			}
			switch quarter {
			case 0: // pulling right: the right hand is down
				q.along, q.right = x, p.h-1-y
			case 1: // pulling up
				q.along, q.right = y, x
			case 2: // pulling left
				q.along, q.right = p.w-1-x, y
			case 3: // pulling down
				q.along, q.right = p.h-1-y, p.w-1-x
			}
			q.row = p.rowOf(q.along, quarter)
			out = append(out, q)
		}
	}
	p.number(out, quarter)
	sort.Slice(out, func(i, j int) bool {
		a, b := out[i], out[j]
		if a.order != b.order {
			return a.order < b.order
		}
		if a.right != b.right {
			return a.dir*a.right < b.dir*b.right
		}
		return a.along < b.along
	})
	vol := 0.0
	for i := 0; i < len(out); {
		j, v := i, 0.0
		for j < len(out) && out[j].order == out[i].order && out[j].right == out[i].right {
			v += out[j].vol
			j++
		}
		for k := i; k < j; k++ {
			out[k].s, out[k].e = vol, vol+v
		}
		vol += v
		i = j
	}
	return out
}

// rowOf counts rows by height, beginning anew at a stop line along the rows.
func (p plot) rowOf(along, quarter int) int {
	most, alongRows := p.w, !p.level
	if quarter%2 == 1 {
		most, alongRows = p.h, p.level
	}
	cut := p.line
	if quarter >= 2 {
		cut = most - p.line
	}
	if p.line == 0 || !alongRows || along < cut {
		return along / p.k
	}
	return (cut+p.k-1)/p.k + (along-cut)/p.k
}

// number gives each square the place of its row in pour order and the way it
// is laid. Every row counts, even one that columns fill.
func (p plot) number(out []square, quarter int) {
	most := p.w
	if quarter%2 == 1 {
		most = p.h
	}
	rows := p.rowOf(most-1, quarter) + 1
	for i := range out {
		q := &out[i]
		q.order, q.dir = q.row, 1
		if p.lay.Pattern == OutAndBack {
			q.order = q.row / 2
			if q.row%2 == 1 {
				q.order = (rows+1)/2 + (rows/2 - 1 - q.row/2)
			}
		}
		back := p.lay.Pattern == ToAndFro && q.row%2 == 1
		if back != (p.lay.Start == Right) {
			q.dir = -1
		}
	}
}

// parted says whether the stop line runs between two neighbouring squares.
func (p plot) parted(a, b square) bool {
	if p.level {
		return p.line > 0 && min(a.y, b.y) == p.line-1 && max(a.y, b.y) == p.line
	}
	return p.line > 0 && min(a.x, b.x) == p.line-1 && max(a.x, b.x) == p.line
}

func beside(a, b square) bool {
	return max(a.x-b.x, b.x-a.x)+max(a.y-b.y, b.y-a.y) == 1
}

// wait is the longest that a point of u's edge waits for v: tried at both ends
// of the square, by place along the row.
func wait(u, v square) float64 {
	if u.order == v.order {
		return (v.s+v.e)/2 - (u.s+u.e)/2
	}
	at := func(q square, left bool) float64 {
		if left == (q.dir > 0) {
			return q.s
		}
		return q.e
	}
	return math.Max(at(v, true)-at(u, true), at(v, false)-at(u, false))
}

// The oracle: every pair of squares of a small floor, laid by plain sorting.
func TestAgainstEveryPair(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pl := drawPlot(t)
		sq := pl.squares()
		p, err := Build(pl.zone(), pl.lay)
		if err != nil {
			t.Fatal(err)
		}
		if p.Cells() != len(sq) {
			t.Fatalf("%d cells, want %d", p.Cells(), len(sq))
		}
		of := map[[2]int]int{}
		for i := range sq {
			x, y := p.Centre(i)
			of[[2]int{int(math.Floor(x)), int(math.Floor(y))}] = i
		}
		for _, q := range sq {
			i, ok := of[[2]int{q.x, q.y}]
			if !ok {
				t.Fatalf("no cell at %d, %d", q.x, q.y)
			}
			near(t, fmt.Sprintf("VolAt of %d, %d", q.x, q.y), p.VolAt(i), (q.s+q.e)/2, 1e-9)
		}
		checkPairs(t, pl, sq, p)
		checkEdges(t, pl, sq, p, of)
	})
}

// checkPairs compares spans and slowest rates over a window.
func checkPairs(t *rapid.T, pl plot, sq []square, p *Path) {
	from := rapid.Float64Range(0, p.TotalL()).Draw(t, "from") + 1e-7
	to := from + rapid.Float64Range(0, p.TotalL()).Draw(t, "window")
	life, margin, turn := 500*time.Second, 60*time.Second, 13*time.Second
	by := func(x, y int) time.Duration { return life + time.Duration(37*x-11*y)*time.Second }
	n, span, q, qBy, qIn := 0, 0.0, 0.0, 0.0, 0.0
	for _, u := range sq {
		for _, v := range sq {
			mid := (v.s + v.e) / 2
			if !beside(u, v) || u.s >= v.s || pl.parted(u, v) || mid < from {
				continue
			}
			w, ends := wait(u, v), laidRows(sq, u.order, v.order)
			lost := margin + time.Duration(ends)*turn
			qBy = math.Max(qBy, w/(by(u.x, u.y)-lost).Seconds()) // on to the end of the path
			if mid >= to {
				continue
			}
			n++
			span = math.Max(span, w)
			q = math.Max(q, w/(life-lost).Seconds())
			qIn = math.Max(qIn, w/(by(u.x, u.y)-lost).Seconds())
		}
	}
	seen, spans := 0, map[Pair]bool{}
	p.EachPair(from, to, func(q Pair) {
		seen++
		checkAlong(t, sq, q)
		q.At, q.From = floor.Point{}, floor.Point{}
		spans[q] = false
	})
	if seen != n {
		t.Errorf("%d pairs, want %d", seen, n)
	}
	p.EachSpan(from, to, func(q Pair) {
		if _, ok := spans[q]; !ok {
			t.Errorf("a span of no edge: %v", q)
		}
		spans[q] = true
		seen--
	})
	if seen < 0 {
		t.Errorf("%d spans more than edges", -seen)
	}
	for q, ok := range spans {
		if !ok {
			t.Errorf("a span left out: %v", q)
		}
	}
	w, ok := p.MaxSpan(from, to)
	need, ok2 := p.QMin(from, to, life, margin, turn)
	ahead := p.Ahead(func(q floor.Point) time.Duration { return by(int(q.X), int(q.Y)) }, margin, turn)
	needBy, ok3 := ahead.From(from)
	if need, found := ahead.Between(from, to); found != ok || found && math.Abs(need.RateLps-qIn) > 1e-9*qIn {
		t.Errorf("slowest rate by place from %g to %g: %g %v, want %g", from, to, need.RateLps, found, qIn)
	}
	if ok != (n > 0) || ok2 != ok || ok3 != (qBy > 0) {
		t.Fatalf("found %v %v %v, want %v and %v", ok, ok2, ok3, n > 0, qBy > 0)
	}
	if ok3 {
		near(t, "slowest rate by place", needBy.RateLps, qBy, 1e-9)
	}
	if !ok {
		return
	}
	near(t, "largest span", w.SpanL, span, 1e-9)
	near(t, "joined less laid", w.CloseL-w.LaidL, w.SpanL, 1e-9)
	near(t, "slowest rate", need.RateLps, q, 1e-9)
	best := 0.0
	for _, x := range p.Worst(from, to, 3, nil) {
		best = math.Max(best, x.SpanL)
	}
	near(t, "worst of the few", best, span, 1e-9)
}

// checkAlong looks for the two squares of a pair by its ends: along rows laid the
// same way the edge waits from where both begin to where both end.
func checkAlong(t *rapid.T, sq []square, q Pair) {
	same := func(a, b float64) bool { return math.Abs(a-b) < 1e-6 }
	lo, hi := math.Min(q.LaidL, q.LaidToL), math.Max(q.LaidL, q.LaidToL)
	if lo == hi {
		if q.CloseL != q.CloseToL {
			t.Errorf("one place is joined at two: %+v", q)
		}
		return
	}
	shutLo, shutHi := math.Min(q.CloseL, q.CloseToL), math.Max(q.CloseL, q.CloseToL)
	for _, u := range sq {
		for _, v := range sq {
			if beside(u, v) && u.order < v.order && u.dir == v.dir && same(u.s, lo) && same(u.e, hi) && same(v.s, shutLo) && same(v.e, shutHi) {
				return
			}
		}
	}
	t.Errorf("no two squares of rows laid the same way wait like %+v", q)
}

// laidRows counts the rows with floor from order a to order b.
func laidRows(sq []square, a, b int) int {
	rows := map[int]bool{}
	for _, q := range sq {
		if q.order > a && q.order <= b {
			rows[q.order] = true
		}
	}
	return len(rows)
}

// checkEdges compares the edge cells at a position, and each cell's close.
func checkEdges(t *rapid.T, pl plot, sq []square, p *Path, of map[[2]int]int) {
	pos := rapid.Float64Range(0, p.TotalL()).Draw(t, "pos") + 1e-7
	got := map[int]EdgeCell{}
	for _, e := range p.Edge(pos) {
		got[e.Index] = e
	}
	area := 0.0
	for _, u := range sq {
		area += math.Max(0, math.Min(1, (pos-u.s)/(u.e-u.s)))
		laid, joined := (u.s+u.e)/2, (u.s+u.e)/2
		for _, v := range sq {
			if beside(u, v) && !pl.parted(u, v) {
				joined = math.Max(joined, (v.s+v.e)/2)
			}
		}
		i := of[[2]int{u.x, u.y}]
		near(t, "close", p.Close(i), joined, 1e-9)
		e, is := got[i]
		if want := laid <= pos && joined > pos; is != want {
			t.Fatalf("at %g L square %d, %d: edge %v, want %v", pos, u.x, u.y, is, want)
		}
		if is {
			near(t, "edge laid", e.LaidL, laid, 1e-9)
			near(t, "edge joined", e.CloseL, joined, 1e-9)
			if e.RowEndBetween != (e.RowEnds > 0) || e.RowEnds < p.RowEndsBetween(pos, joined) {
				t.Errorf("edge %+v has fewer row ends than lie between %g and %g L", e, pos, joined)
			}
		}
	}
	near(t, "area covered", p.AreaAt(pos), area, 1e-9)
	near(t, "volume at that area", p.VolAtArea(area), math.Min(pos, p.TotalL()), 1e-6)
}

// Source: Chvátalová, Discrete Mathematics 11, 1975, 249–253, from memory: the
// bandwidth of an m × n grid graph is min(m, n). Tried here over every order of
// small grids, and reached by rows from the same side across the shorter way;
// to and fro gives 2n − 1 between the middles of cells.
func TestBandwidthOfGrid(t *testing.T) {
	for _, c := range []struct{ m, n int }{{2, 2}, {3, 2}, {4, 2}, {3, 3}} {
		want := min(c.m, c.n)
		if got := bandwidth(c.m, c.n); got != want {
			t.Errorf("bandwidth of %d × %d by trying every order: %d, want %d", c.m, c.n, got, want)
		}
		z := zone(box(0, 0, float64(c.m), float64(c.n)))
		best, err := Search(z, Lay{PullDeg: 45, RowDepthM: 1, CellM: 1})
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprintf("best span of %d × %d", c.m, c.n), best[0].Worst.SpanL/5, float64(want), 1e-9)
	}
	for n := 2; n <= 12; n++ {
		p := build(t, zone(box(0, 0, float64(n), 6)), Lay{PullDeg: 90, RowDepthM: 1, CellM: 1, Pattern: ToAndFro})
		most := 0.0
		for i := range p.Cells() {
			most = math.Max(most, (p.Close(i)-p.VolAt(i))/5)
		}
		near(t, "to and fro between middles", most, float64(2*n-1), 1e-9)
	}
}

// bandwidth tries every numbering of an m × n grid graph.
func bandwidth(m, n int) int {
	size := m * n
	num := make([]int, size)
	for i := range num {
		num[i] = -1
	}
	best := size
	var place func(k, worst int)
	place = func(k, worst int) {
		if worst >= best {
			return
		}
		if k == size {
			best = worst
			return
		}
		for c := range size {
			if num[c] >= 0 {
				continue
			}
			num[c] = k
			w := worst
			x, y := c%m, c/m
			for _, d := range [][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
				a, b := x+d[0], y+d[1]
				if a >= 0 && a < m && b >= 0 && b < n && num[b*m+a] >= 0 {
					w = max(w, k-num[b*m+a])
				}
			}
			place(k+1, w)
			num[c] = -1
		}
	}
	place(0, 0)
	return best
}
