package advice

import (
	"math"
	"sort"
	"time"

	"floorpace/internal/line"
	"floorpace/internal/path"
)

// checks lists the edges to keep and the rate the hardest of them asks for, L/s.
func (s *scene) checks(vol []float64) (out []line.Check, needLps float64) {
	var need float64
	if !s.fresh {
		out, need = s.openChecks(vol)
	}
	ahead, more := s.aheadChecks(vol)
	return append(out, ahead...), math.Max(need, more)
}

// openChecks are the edges that wait now.
func (s *scene) openChecks(vol []float64) (out []line.Check, needLps float64) {
	r := &s.plan.Rules
	v := line.NewSieve(s.posL, vol)
	for _, c := range s.floor.Path.Edge(s.posL) {
		o, ok := s.open[c.Index]
		if !ok || c.CloseL >= s.endL { // given up, condemned, or beyond the stop line
			continue
		}
		left := o.dead - r.EdgeMargin - time.Duration(c.RowEnds)*r.Turn
		if left > 0 {
			needLps = math.Max(needLps, (c.CloseL-s.posL)/left.Seconds())
		}
		v.PutLaid(line.Check{CloseL: c.CloseL, SpanL: c.CloseL - c.LaidL, EdgeLife: max(time.Millisecond, o.dead-o.laid)}, left.Seconds())
	}
	return v.Checks(), needLps
}

// aheadChecks are the edges that are still to be laid and joined.
func (s *scene) aheadChecks(vol []float64) (out []line.Check, needLps float64) {
	v := line.NewSieve(s.posL, vol)
	needLps = s.eachAhead(vol, v.Put)
	return v.Checks(), needLps
}

// eachAhead gives keep every edge still to be laid and joined, with what is taken
// off its life in seconds, and returns the rate that the hardest asks for, L/s.
func (s *scene) eachAhead(vol []float64, keep func(c line.Check, marginS float64)) (needLps float64) {
	lives, ok := s.lives(s.blend)
	if !ok {
		return 0
	}
	handL := s.posL
	for k := range min(len(vol), len(s.inHand)) {
		handL += vol[k]
	}
	old := lives
	if len(s.inHand) > 0 && s.inHand[0].blend != s.blend {
		if o, ok := s.lives(s.inHand[0].blend); ok {
			old = o
		}
	}
	r := &s.plan.Rules
	each, spots := s.floor.Path.EachSpan, len(lives) > 1
	if spots {
		each = s.floor.Path.EachPair
	}
	at := cuts(s.posL, vol)
	each(s.posL, s.endL, func(q path.Pair) {
		ahead := func(laidL, closeL float64) bool { return laidL >= s.posL-1e-9 && closeL < s.endL }
		if !ahead(q.LaidL, q.CloseL) && !ahead(q.LaidToL, q.CloseToL) {
			return
		}
		table := lives
		if q.LaidL < handL {
			table = old
		}
		life := table[len(table)-1]
		if spots {
			if c := s.floor.Path.CellAt(q.At); c >= 0 && s.floor.SpotOf[c] >= 0 {
				life = table[s.floor.SpotOf[c]]
			}
		}
		if left := life - r.EdgeMargin - time.Duration(q.RowEnds)*r.Turn; left > 0 {
			needLps = math.Max(needLps, q.SpanL/left.Seconds())
		}
		// The line itself lays the turns, with the batches between.
		off := (r.EdgeMargin + time.Duration(q.RowEnds)*r.Turn).Seconds()
		at.along(q, func(laidL, closeL float64) {
			if ahead(laidL, closeL) {
				keep(line.Check{CloseL: closeL, SpanL: closeL - laidL, EdgeLife: life}, off)
			}
		})
	})
	return needLps
}

// cutL are the path volumes at which one batch ends and the next begins.
type cutL []float64

func cuts(fromL float64, vol []float64) cutL {
	out := make(cutL, 0, len(vol)+1)
	for _, v := range vol {
		out = append(out, fromL)
		fromL += v
	}
	return append(out, fromL)
}

// inside are the cuts in [aL, bL].
func (c cutL) inside(aL, bL float64) cutL {
	from := sort.SearchFloat64s(c, aL)
	to := from
	for to < len(c) && c[to] <= bL {
		to++
	}
	return c[from:to]
}

// along gives the points of an edge of which one is the oldest on any day. Litres go
// down in lumps: what closes an edge first in a batch, or was laid last in one, has
// waited through one more lull than its neighbour on the other side of the cut,
// though both wait for as many litres. Between two cuts nothing is older than both
// ends.
func (c cutL) along(q path.Pair, point func(laidL, closeL float64)) {
	point(q.LaidL, q.CloseL)
	laid, shut := q.LaidToL-q.LaidL, q.CloseToL-q.CloseL
	if shut == 0 || laid == 0 {
		return
	}
	point(q.LaidToL, q.CloseToL)
	for _, at := range c.inside(min(q.CloseL, q.CloseToL), max(q.CloseL, q.CloseToL)) {
		point(q.LaidL+laid*(at-q.CloseL)/shut, at)
	}
	for _, at := range c.inside(min(q.LaidL, q.LaidToL)+spare, max(q.LaidL, q.LaidToL)) {
		point(at-spare, q.CloseL+shut*(at-spare-q.LaidL)/laid) // the batch before the cut
	}
}
