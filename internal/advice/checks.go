package advice

import (
	"math"
	"time"

	"floorpace/internal/line"
	"floorpace/internal/path"
)

const (
	aheadParts = 3 // of a batch: the worst edge of each third is kept
	openParts  = 4 // of a batch, for edges open now: they are fewer and nearer
)

// sieve keeps the worst check of each part of a batch.
type sieve struct {
	fromL, partL float64
	worst        []float64
	check        []line.Check
}

func newSieve(fromL, endL, partL float64) *sieve {
	n := int((endL-fromL)/partL) + 2
	v := &sieve{fromL: fromL, partL: partL, worst: make([]float64, n), check: make([]line.Check, n)}
	for i := range v.worst {
		v.worst[i] = -1
	}
	return v
}

func (v *sieve) put(c line.Check, strain float64) {
	i := int((c.CloseL - v.fromL) / v.partL)
	if i >= 0 && i < len(v.worst) && strain > v.worst[i] {
		v.worst[i], v.check[i] = strain, c
	}
}

func (v *sieve) append(dst []line.Check) []line.Check {
	for i, w := range v.worst {
		if w >= 0 {
			dst = append(dst, v.check[i])
		}
	}
	return dst
}

// checks lists the edges to keep and the rate the hardest of them asks for, L/s.
func (s *scene) checks(vol []float64) (out []line.Check, needLps float64) {
	batchL := s.plan.NetYieldL(s.blend) * s.drift
	var need float64
	if !s.fresh {
		out, need = s.openChecks(batchL)
	}
	ahead, more := s.aheadChecks(vol, batchL)
	return append(out, ahead...), math.Max(need, more)
}

// openChecks are the edges that wait now.
func (s *scene) openChecks(batchL float64) (out []line.Check, needLps float64) {
	r := &s.plan.Rules
	v := newSieve(s.posL, s.endL, batchL/openParts)
	for _, c := range s.floor.Path.Edge(s.posL) {
		o, ok := s.open[c.Index]
		if !ok || c.CloseL >= s.endL { // given up, condemned, or beyond the stop line
			continue
		}
		left := o.dead - r.EdgeMargin - time.Duration(c.RowEnds)*r.Turn
		need := math.Inf(1)
		if left > 0 {
			need = (c.CloseL - s.posL) / left.Seconds()
			needLps = math.Max(needLps, need)
		}
		strain := need
		if left <= 0 { // among those that no rate saves, the one that is longest dead
			strain = math.MaxFloat64/2 - left.Seconds()*math.MaxFloat64/1e12
		}
		v.put(line.Check{CloseL: c.CloseL, SpanL: c.CloseL - c.LaidL, EdgeLife: max(time.Millisecond, o.dead-o.laid)}, strain)
	}
	return v.append(nil), needLps
}

// aheadChecks are the edges that are still to be laid and joined.
func (s *scene) aheadChecks(vol []float64, batchL float64) (out []line.Check, needLps float64) {
	lives, ok := s.lives(s.blend)
	if !ok {
		return nil, 0
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
	spots := len(lives) > 1
	v := newSieve(s.posL, s.endL, batchL/aheadParts)
	s.floor.Path.EachPair(s.posL, s.endL, func(q path.Pair) {
		if q.LaidL < s.posL-1e-9 || q.CloseL >= s.endL {
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
		strain := math.MaxFloat64
		if left := life - r.EdgeMargin - time.Duration(q.RowEnds)*r.Turn; left > 0 {
			strain = q.SpanL / left.Seconds()
			needLps = math.Max(needLps, strain)
		}
		v.put(line.Check{CloseL: q.CloseL, SpanL: q.SpanL, EdgeLife: life}, strain)
	})
	return v.append(nil), needLps
}
