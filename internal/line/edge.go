package line

import (
	"fmt"
	"math"
	"slices"
	"sort"
)

// fraction bits of a place inside a batch: 2^-15 of a batch is under a
// millilitre of resin.
const fracBits = 15

// edge is a Check worked out for one line: it closes inside a known batch, and
// opens inside a known row of the laying record.
type edge struct {
	open, close   uint32 // rows
	openF, closeF uint32 // place inside the batch, 2^15 = its end
	limit         int64  // ms, turn taken off
	life          uint32 // ms
}

// Worst thins checks to the few of each batch of batchL litres that wait
// longest for their share of life, and returns them by closing volume. The
// first batch begins at fromL. It does not change the given slice.
func Worst(checks []Check, fromL, batchL float64, few int) []Check {
	if batchL <= 0 || few <= 0 {
		return nil
	}
	type ranked struct {
		batch  int
		strain float64 // litres to lay per minute of life: the pace it asks for
		c      Check
	}
	all := make([]ranked, 0, len(checks))
	for _, c := range checks {
		left := (c.EdgeLife - c.Turn).Minutes()
		strain := math.Inf(1)
		if left > 0 {
			strain = c.SpanL / left
		}
		all = append(all, ranked{int(math.Floor((c.CloseL - fromL) / batchL)), strain, c})
	}
	slices.SortStableFunc(all, func(a, b ranked) int {
		switch {
		case a.batch != b.batch:
			return a.batch - b.batch
		case a.strain > b.strain:
			return -1
		case a.strain < b.strain:
			return 1
		}
		return 0
	})
	var out []Check
	for i, n := 0, 0; i < len(all); i++ {
		if i > 0 && all[i].batch != all[i-1].batch {
			n = 0
		}
		if n++; n <= few {
			out = append(out, all[i].c)
		}
	}
	slices.SortStableFunc(out, func(a, b Check) int {
		switch {
		case a.CloseL < b.CloseL:
			return -1
		case a.CloseL > b.CloseL:
			return 1
		}
		return 0
	})
	return out
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
func (lo *layout) edges(checks []Check, position float64) (list []edge, beyond int, err error) {
	batches := len(lo.bound) - 1 - lo.history
	by := make([][]edge, batches)
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
		open := max(lo.bound[0], c.CloseL-c.SpanL)
		if c.CloseL-c.SpanL < lo.bound[0]-1e-6 {
			return nil, 0, fmt.Errorf("check %d: reaches back to %v L, before the first known batch at %v L; give more history", i, open, lo.bound[0])
		}
		row, closeF := lo.place(c.CloseL)
		from, openF := lo.place(open)
		by[row-lo.history] = append(by[row-lo.history], edge{uint32(from), uint32(row), openF, closeF, int64(ticks(c.EdgeLife - c.Turn)), uint32(ticks(c.EdgeLife))})
	}
	for _, es := range by {
		list = append(list, es...)
	}
	return list, beyond, nil
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
