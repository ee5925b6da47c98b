package line

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// leans are the views under which a [Sieve] looks for the worst edge between two
// batches: what share of the mean time between batches the rake takes over the
// closing and over the opening one. Time passes in lumps: a batch is raked, then
// the rake waits. All edges between the same two batches wait through the same
// others, so which is the oldest depends on how slowly these two were raked: both
// alike, either more slowly, either at once. Each view fewer misses edges that the
// tests see go.
var leans = [...]struct{ close, open float64 }{{0.7, 0.7}, {0.9, 0.6}, {0.6, 0.9}, {1, 0.3}, {0.3, 1}}

// Sieve thins edges to the few that can be the first to go in each batch, for a
// study that then need not look at every cell. Of the edges between two batches it
// keeps the worst under each view of [leans], and of all that close in one batch
// it drops those that close no later, were laid no earlier and live no shorter
// than another. Give it every edge; [Sieve.Checks] are those kept. The tests hold
// its chances against those of every edge.
type Sieve struct {
	bound []float64
	at    int // row found last: edges come in laying order
	kept  [][]pairKept
}

// pairKept is what is kept of the edges between one closing batch and one opening.
type pairKept struct {
	open int
	best [len(leans)]kept
}

type kept struct {
	strain float64 // batches to lay a second of life; 0 = nothing kept
	leftS  float64
	laidL  float64 // minus infinity for an edge that waits already
	c      Check
}

// hidden reports whether an edge can go first only with another.
func (k *kept) hidden(by *kept) bool {
	return by.c.CloseL >= k.c.CloseL && by.laidL <= k.laidL && by.leftS <= k.leftS
}

// NewSieve makes a sieve for batches whose volumes are volL, litres, the first of
// which begins at fromL. Edges that close elsewhere are left out.
func NewSieve(fromL float64, volL []float64) *Sieve {
	v := &Sieve{bound: make([]float64, len(volL)+1), kept: make([][]pairKept, len(volL))}
	v.bound[0] = fromL
	for i, w := range volL {
		v.bound[i+1] = v.bound[i] + w
	}
	return v
}

// place is the batch that owns a volume and how far inside it that lies; before
// the first batch, batches as large as that are counted backwards.
func (v *Sieve) place(volL float64) (batch int, inside float64) {
	if volL < v.bound[0] {
		n := (volL - v.bound[0]) / (v.bound[1] - v.bound[0])
		return int(math.Floor(n)), n - math.Floor(n)
	}
	for _, i := range [...]int{v.at, v.at + 1} {
		if i+1 < len(v.bound) && v.bound[i] <= volL && volL < v.bound[i+1] {
			v.at = i
			return i, (volL - v.bound[i]) / (v.bound[i+1] - v.bound[i])
		}
	}
	i := min(sort.Search(len(v.bound), func(i int) bool { return v.bound[i] > volL }), len(v.bound)-1) - 1
	return i, (volL - v.bound[i]) / (v.bound[i+1] - v.bound[i])
}

// Put looks at an edge. marginS is what is taken off its life beside the turn, in
// seconds; with nothing left it goes before any that has.
func (v *Sieve) Put(c Check, marginS float64) {
	if len(v.kept) == 0 || c.CloseL < v.bound[0] || c.CloseL >= v.bound[len(v.bound)-1] {
		return
	}
	open, openIn := v.place(c.CloseL - c.SpanL)
	shut, shutIn := v.place(c.CloseL)
	v.keep(shut, open, shutIn, openIn, kept{leftS: (c.EdgeLife - c.Turn).Seconds() - marginS, laidL: c.CloseL - c.SpanL, c: c})
}

// PutLaid looks at an edge that waits already and dies in leftS seconds, turn and
// margin taken off: its age is known, so only what is to be laid counts.
func (v *Sieve) PutLaid(c Check, leftS float64) {
	if len(v.kept) == 0 || c.CloseL < v.bound[0] || c.CloseL >= v.bound[len(v.bound)-1] {
		return
	}
	shut, shutIn := v.place(c.CloseL)
	v.keep(shut, -1, shutIn, 0, kept{leftS: leftS, laidL: math.Inf(-1), c: c})
}

func (v *Sieve) keep(shut, open int, shutIn, openIn float64, k kept) {
	dead, leftS := 0.0, k.leftS // among those that no pace saves, the one longest dead
	if leftS < 1e-3 {
		dead, leftS = 1e9*(1-leftS), 1e-3
	}
	i := slices.IndexFunc(v.kept[shut], func(p pairKept) bool { return p.open == open })
	if i < 0 {
		i = len(v.kept[shut])
		v.kept[shut] = append(v.kept[shut], pairKept{open: open})
	}
	best := &v.kept[shut][i].best
	for j, l := range leans {
		k.strain = (float64(shut-open)+l.close*shutIn-l.open*openIn)/leftS + dead
		if k.strain > best[j].strain {
			best[j] = k
		}
	}
}

// Checks are the edges kept, by closing volume.
func (v *Sieve) Checks() (out []Check) {
	for i := range v.kept {
		var row []kept
		for _, p := range v.kept[i] {
			for _, k := range p.best {
				if k.strain > 0 && !slices.ContainsFunc(row, func(o kept) bool { return k.hidden(&o) }) {
					row = append(slices.DeleteFunc(row, func(o kept) bool { return o.hidden(&k) }), k)
				}
			}
		}
		for _, k := range row {
			out = append(out, k.c)
		}
	}
	slices.SortStableFunc(out, func(a, b Check) int { return cmp.Compare(a.CloseL, b.CloseL) })
	return out
}
