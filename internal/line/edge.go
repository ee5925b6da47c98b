package line

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"
)

// fraction bits of a place inside a batch: 2^-15 of a batch is under a
// millilitre of resin.
const fracBits = 15

// edges are two Checks worked out for one line: both close inside one known
// batch, open inside one known row of the laying record and live equally long.
// Two share a good half of the work of one; a single one stands twice.
type edges struct {
	open, close   uint32    // rows
	openF, closeF [2]uint32 // place inside the batch, 2^15 = its end
	life          int64     // ms
	limit         int64     // life less the turn, ms
}

// over is the age beyond its life of the worse of two edges, ms.
func (e *edges) over(rows []row) int64 {
	open, close := &rows[e.open], &rows[e.close]
	ct, ot := int64(close.takes), int64(open.takes)
	inside := max(ct*int64(e.closeF[0])-ot*int64(e.openF[0]), ct*int64(e.closeF[1])-ot*int64(e.openF[1]))
	return (inside+e.life*int64(open.spent))>>fracBits + close.start - open.start - e.limit
}

// worst is the most that any of the edges is over its life, ms. It looks no further
// than the first one that is over by more than enough, and says which that is; the
// number of edges when none is.
func worst(list []edges, rows []row, enough int64) (most int64, at int) {
	most = noWorst
	for at = range list {
		// The same as over, which is too long for the compiler to put in here.
		e := &list[at]
		open, close := &rows[e.open], &rows[e.close]
		ct, ot := int64(close.takes), int64(open.takes)
		inside := max(ct*int64(e.closeF[0])-ot*int64(e.openF[0]), ct*int64(e.closeF[1])-ot*int64(e.openF[1]))
		most = max(most, (inside+e.life*int64(open.spent))>>fracBits+close.start-open.start-e.limit)
		if most > enough {
			return most, at
		}
	}
	return most, len(list)
}

// layout is the path volume cut into rows: history first, then the batches to
// come. bound[i] to bound[i+1] is row i.
type layout struct {
	bound   []float64
	history int
}

func newLayout(cfg *Config, st *Start) (layout, error) {
	lo := layout{history: len(st.History)}
	for i, h := range st.History {
		if !(h.ToL > h.FromL) || h.End < h.Start {
			return lo, fmt.Errorf("history %d: laid %v to %v L from %v to %v; volume and time must go forward", i, h.FromL, h.ToL, h.Start, h.End)
		}
		if i > 0 && math.Abs(h.FromL-st.History[i-1].ToL) > 1e-6 {
			return lo, fmt.Errorf("history %d: begins at %v L but the one before ends at %v L; fill the gap", i, h.FromL, st.History[i-1].ToL)
		}
		if i > 0 && h.Start < st.History[i-1].Start {
			return lo, fmt.Errorf("history %d: poured before the one before it; put it in pour order", i)
		}
		lo.bound = append(lo.bound, h.FromL)
	}
	if n := len(st.History); n > 0 && math.Abs(st.History[n-1].ToL-st.PositionL) > 1e-6 {
		return lo, fmt.Errorf("history ends at %v L but the path position is %v L; make them agree", st.History[n-1].ToL, st.PositionL)
	}
	at := st.PositionL
	for k := range cfg.Batches {
		lo.bound = append(lo.bound, at)
		v := pick(cfg.VolL, k)
		if len(cfg.Checks) > 0 && !(v > 0) {
			return lo, fmt.Errorf("batch %d: path volume %v L; give each batch a volume above zero", k, v)
		}
		at += v
	}
	lo.bound = append(lo.bound, at)
	return lo, nil
}

// place finds the row that owns volume v and how far inside it v lies.
func (lo *layout) place(v float64) (row int, frac uint32) {
	row = sort.SearchFloat64s(lo.bound, v)
	if row == len(lo.bound) || lo.bound[row] != v {
		row--
	}
	width := lo.bound[row+1] - lo.bound[row]
	return row, uint32(math.Round((v - lo.bound[row]) / width * (1 << fracBits)))
}

// edges sorts the checks into the batches that close them. Checks already
// closed, and those beyond the last batch, are left out; beyond is their number.
func (lo *layout) edges(checks []Check, position float64) (singles []edges, beyond int, err error) {
	last := lo.bound[len(lo.bound)-1]
	for i, c := range checks {
		switch {
		case c.SpanL < 0 || c.EdgeLife <= 0 || c.EdgeLife > maxSpan || c.Turn < 0 || c.Turn > maxSpan || math.IsNaN(c.CloseL) || math.IsNaN(c.SpanL):
			return nil, 0, fmt.Errorf("check %d: closes at %v L, spans %v L, lives %v; give a span from zero up and a life above zero", i, c.CloseL, c.SpanL, c.EdgeLife)
		case c.CloseL < position:
			continue
		case c.CloseL >= last:
			beyond++
			continue
		}
		opens := max(lo.bound[0], c.CloseL-c.SpanL)
		if c.CloseL-c.SpanL < lo.bound[0]-1e-6 {
			return nil, 0, fmt.Errorf("check %d: reaches back to %v L, before the first known batch at %v L; give more history", i, opens, lo.bound[0])
		}
		close, closeF := lo.place(c.CloseL)
		open, openF := lo.place(opens)
		limit := int64(ticks(c.EdgeLife - c.Turn))
		singles = append(singles, edges{
			open: uint32(open), close: uint32(close), openF: [2]uint32{openF, openF}, closeF: [2]uint32{closeF, closeF},
			life: int64(ticks(c.EdgeLife)), limit: limit,
		})
	}
	slices.SortStableFunc(singles, func(a, b edges) int {
		return cmp.Or(cmp.Compare(a.close, b.close), cmp.Compare(a.open, b.open), cmp.Compare(a.life, b.life))
	})
	return singles, beyond, nil
}

// paired puts two edges that close, open and live alike together.
func paired(singles []edges) (list []edges) {
	for i := 0; i < len(singles); i++ {
		e := singles[i]
		if i+1 < len(singles) {
			if f := &singles[i+1]; f.close == e.close && f.open == e.open && f.life == e.life && f.limit == e.limit {
				e.openF[1], e.closeF[1] = f.openF[0], f.closeF[0]
				i++
			}
		}
		list = append(list, e)
	}
	return list
}

// corners leaves out every edge between two batches whose age lies, on every day,
// between those of two others of the same batches: a point of a batch was laid at
// its start and a share of its time, so an edge on the straight line between two
// others, or on the younger side of it, is older than neither or only than one.
// Along a straight front that is all but the first and the last.
//
// It may stand out by rounding, so the age of the worst is found to a few ms.
// singles must be in the order of [layout.edges].
func corners(singles []edges) (list []edges) {
	for from, to := 0, 0; from < len(singles); from = to {
		for to < len(singles) && singles[to].between(&singles[from]) {
			to++
		}
		group := slices.SortedStableFunc(slices.Values(singles[from:to]), func(a, b edges) int {
			return cmp.Compare(a.closeF[0], b.closeF[0])
		})
		for i := 0; i < len(group); {
			list = append(list, group[i])
			next := i + 1
			for next+1 < len(group) && !slices.ContainsFunc(group[i+1:next+1], func(e edges) bool { return !e.inside(&group[i], &group[next+1]) }) {
				next++
			}
			i = next
		}
	}
	return list
}

// rounding is how far a place on a straight line may lie off it, 2^-15 of a batch:
// half of that for itself, half for the ends of the line, and the same once more
// for where it closes.
const rounding = 2

// between reports whether two edges join the same two batches and live equally long.
func (e *edges) between(o *edges) bool {
	return e.close == o.close && e.open == o.open && e.life == o.life
}

// inside reports whether a single edge is no older than the straight line from a
// to b, which close no later and no sooner than it in the same batch.
func (e *edges) inside(a, b *edges) bool {
	width := int64(b.closeF[0]) - int64(a.closeF[0])
	if width == 0 {
		return a.hides(e) || b.hides(e)
	}
	part := int64(e.closeF[0]) - int64(a.closeF[0])
	open := int64(a.openF[0])*(width-part) + int64(b.openF[0])*part
	limit := a.limit*(width-part) + b.limit*part
	return (int64(e.openF[0])+rounding)*width >= open && e.limit*width >= limit
}

// oldest leaves out every edge that no luck makes the worst of all: another one of
// the same opening batch was laid no later, closes no sooner and lives no longer.
// Of the same batch, for then its bucket used up the same share of the life.
func oldest(singles []edges) (list []edges) {
	kept := make(map[uint32][]edges) // by opening batch
	for _, e := range singles {
		rest := kept[e.open]
		if slices.ContainsFunc(rest, func(o edges) bool { return o.hides(&e) }) {
			continue
		}
		rest = slices.DeleteFunc(rest, func(o edges) bool { return e.hides(&o) })
		kept[e.open] = append(rest, e)
	}
	for _, e := range singles {
		if slices.Contains(kept[e.open], e) {
			list = append(list, e)
		}
	}
	return list
}

// hides reports whether a single edge is over its life by as much as another of
// the same opening batch, or more, on every day.
func (e *edges) hides(o *edges) bool {
	later := e.close > o.close || e.close == o.close && e.closeF[0] >= o.closeF[0]
	return later && e.openF[0] <= o.openF[0] && e.limit <= o.limit && e.life >= o.life
}

// pick reads a per-batch list in which one element serves all.
func pick[T any](list []T, k int) T {
	var zero T
	switch {
	case len(list) == 0:
		return zero
	case len(list) == 1:
		return list[0]
	}
	return list[k]
}
