package path

import (
	"fmt"
	"math"
	"sort"

	"floorpace/internal/floor"
)

// Option is one way to cover a zone and the wet edge it asks for. Worst is the
// pair with the largest span. Own marks the lay that was asked about.
type Option struct {
	Lay   Lay
	Worst Pair
	Own   bool
}

// String names direction, side and pattern.
func (o Option) String() string {
	return fmt.Sprintf("pull %.4g°, %v, starting on the %v", o.Lay.PullDeg, o.Lay.Pattern, o.Lay.Start)
}

const (
	// searchCells is enough to tell spans apart to a percent on any floor while
	// some hundred ways are tried in well under a second.
	searchCells = 20_000
	// searchTurns caps the directions of an outline with many short edges.
	searchTurns = 32
)

// Search tries the directions 0, 90, 180, 270 and along and square to each edge
// of the outline, both start sides and the three patterns, with l's row depth,
// and ranks them by largest span. Among equals (to 0.1 %) l's own comes first,
// then those that differ least from it: pattern, direction, side.
func Search(z floor.Zone, l Lay) ([]Option, error) {
	own, err := Build(z, l)
	if err != nil {
		return nil, err
	}
	var out []Option
	for _, deg := range directions(z, l) {
		k := l
		k.PullDeg = deg
		k.CellM = searchCell(own, l)
		r, err := newRaster(z, k)
		if err != nil {
			return nil, fmt.Errorf("pour path of zone %q: %w", z.Name, err)
		}
		for _, side := range []Side{Left, Right} {
			for _, pattern := range []Pattern{SameSide, ToAndFro, OutAndBack} {
				k.Start, k.Pattern, k.CellM = side, pattern, l.CellM
				q := r.order(side, pattern)
				w, _ := q.MaxSpan(0, math.Inf(1))
				out = append(out, Option{Lay: k, Worst: w, Own: sameDeg(deg, l.PullDeg) && side == l.Start && pattern == l.Pattern})
			}
		}
	}
	rank(out, l)
	return out, nil
}

// searchCell is the cell for the search: coarse enough for searchCells.
func searchCell(own *Path, l Lay) float64 {
	c := math.Max(own.cell, math.Sqrt(own.netM2/searchCells))
	return math.Min(c, l.RowDepthM)
}

// rank sorts the options; see Search.
func rank(out []Option, l Lay) {
	apart := func(o Option) int {
		n := 0
		if o.Lay.Pattern != l.Pattern {
			n += 4
		}
		if !sameDeg(o.Lay.PullDeg, l.PullDeg) {
			n += 2
		}
		if o.Lay.Start != l.Start {
			n++
		}
		return n
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Worst.SpanL < out[j].Worst.SpanL })
	for i := 0; i < len(out); {
		j := i + 1
		for j < len(out) && out[j].Worst.SpanL <= out[i].Worst.SpanL*1.001 {
			j++
		}
		tied := out[i:j]
		sort.SliceStable(tied, func(a, b int) bool { return apart(tied[a]) < apart(tied[b]) })
		i = j
	}
}

// directions lists the pulls to try, the plan's own first, longest edges next.
func directions(z floor.Zone, l Lay) []float64 {
	degs := []float64{turnOf(l.PullDeg)}
	add := func(d float64) {
		for _, e := range degs {
			if sameDeg(d, e) {
				return
			}
		}
		degs = append(degs, turnOf(d))
	}
	for q := range 4 {
		add(float64(q) * 90)
	}
	type edge struct{ deg, lenM float64 }
	var edges []edge
	for i, a := range z.Outline {
		b := z.Outline[(i+1)%len(z.Outline)]
		edges = append(edges, edge{math.Atan2(b.Y-a.Y, b.X-a.X) * 180 / math.Pi, a.DistanceM(b)})
	}
	sort.SliceStable(edges, func(i, j int) bool { return edges[i].lenM > edges[j].lenM })
	for _, e := range edges {
		for q := range 4 {
			if len(degs) < searchTurns {
				add(e.deg + float64(q)*90)
			}
		}
	}
	return degs
}

// turnOf brings an angle into [0, 360).
func turnOf(d float64) float64 {
	d = math.Mod(d, 360)
	if d < 0 {
		d += 360
	}
	return d
}

// sameDeg says whether two directions are the same to a hundredth of a degree.
func sameDeg(a, b float64) bool {
	d := turnOf(a - b)
	return d < 0.01 || d > 359.99
}
