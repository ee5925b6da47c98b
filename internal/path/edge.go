package path

import (
	"math"
	"sort"
	"time"

	"floorpace/internal/floor"
)

// EdgeCell is a covered cell that still waits for a neighbour. LaidL is the
// path volume at which its centre was laid, CloseL that at which its last
// neighbour will be. RowEnds counts the row ends still to come before CloseL,
// the one the front stands at included: its turn is still to be made.
type EdgeCell struct {
	Index         int
	X, Y          float64 // m
	LaidL, CloseL float64
	RowEnds       int
	RowEndBetween bool
}

// Edge lists the edge cells at posL in pour order.
func (p *Path) Edge(posL float64) []EdgeCell { return p.AppendEdge(nil, posL) }

// AppendEdge appends the edge cells at posL to dst. It looks only at rows that
// still wait for something.
func (p *Path) AppendEdge(dst []EdgeCell, posL float64) []EdgeCell {
	n := p.coveredCells(posL)
	if n == 0 {
		return dst
	}
	now := p.sta[n-1]
	here := int(p.turn[now])
	for row := 0; row <= int(p.turn[now]); row++ {
		if p.shut[row] <= now {
			continue
		}
		for i := int(p.first[p.rowSta[row]]); i < min(n, int(p.first[p.rowSta[row+1]])); i++ {
			if p.last[i] <= now {
				continue
			}
			x, y := p.Centre(i)
			ends := int(p.turn[p.last[i]]) - here
			dst = append(dst, EdgeCell{
				Index: i, X: x, Y: y, LaidL: p.VolAt(i), CloseL: p.Close(i),
				RowEnds: ends, RowEndBetween: ends > 0,
			})
		}
	}
	return dst
}

// EdgeTo lists the edge cells at posL that wait for something laid before toL.
// CloseL and RowEnds speak of the last of that: what lies beyond toL is left to
// a straight stop there and needs no wet edge.
func (p *Path) EdgeTo(posL, toL float64) []EdgeCell {
	n := p.coveredCells(posL)
	if n == 0 {
		return nil
	}
	now := p.sta[n-1]
	_, end := p.window(posL, toL)
	var dst []EdgeCell
	for row := 0; row <= int(p.turn[now]); row++ {
		if p.shut[row] <= now {
			continue
		}
		for i := int(p.first[p.rowSta[row]]); i < min(n, int(p.first[p.rowSta[row+1]])); i++ {
			last := p.lastBefore(int32(i), now, int32(end))
			if last <= now {
				continue
			}
			x, y := p.Centre(i)
			ends := int(p.turn[last]) - int(p.turn[now])
			dst = append(dst, EdgeCell{
				Index: i, X: x, Y: y, LaidL: p.VolAt(i), CloseL: p.mid(last), RowEnds: ends, RowEndBetween: ends > 0,
			})
		}
	}
	return dst
}

// lastBefore is the last station before end that cell i waits for; now for none.
func (p *Path) lastBefore(i, now, end int32) int32 {
	if p.last[i] <= now || p.last[i] < end {
		return p.last[i]
	}
	last, g := now, int(p.place[i])
	look := func(h, at int, way uint8) {
		if u := p.cells[h]; u >= 0 && (p.wall == nil || p.wall[at]&way == 0) && p.sta[u] < end {
			last = max(last, p.sta[u])
		}
	}
	if x := g % p.nx; x > 0 {
		look(g-1, g-1, toRight)
	}
	if g%p.nx+1 < p.nx {
		look(g+1, g, toRight)
	}
	if g >= p.nx {
		look(g-p.nx, g-p.nx, toNext)
	}
	if g+p.nx < len(p.cells) {
		look(g+p.nx, g, toNext)
	}
	return last
}

// Pair is a wet edge: the place At, laid at LaidL, waits SpanL litres and is
// joined at CloseL. That is the point of it that waits longest, by volume; of rows
// laid the same way the points of the edge wait alike, one after the other, up to
// the one laid at LaidToL and joined at CloseToL. Elsewhere these are LaidL and
// CloseL again. RowEnds counts the row ends it waits through.
type Pair struct {
	SpanL, LaidL, CloseL float64
	LaidToL, CloseToL    float64
	At, From             floor.Point // the edge that waits; the place that joins it
	RowEnds              int
}

// RowChange says whether a row ends while the edge waits.
func (q Pair) RowChange() bool { return q.RowEnds > 0 }

// pairOf fills in a pair.
func (p *Path) pairOf(w pair) Pair {
	a, b := p.sta[w.u], p.sta[w.v]
	ux, uy := p.Centre(int(w.u))
	vx, vy := p.Centre(int(w.v))
	q := p.wait(a, b)
	q.At, q.From = floor.Point{X: ux, Y: uy}, floor.Point{X: vx, Y: vy}
	return q
}

// wait is the edge of station a that waits for station b, without its places.
func (p *Path) wait(a, b int32) Pair {
	laid, joined := p.reach(a, b)
	q := Pair{SpanL: joined - laid, LaidL: laid, CloseL: joined, LaidToL: laid, CloseToL: joined, RowEnds: int(p.turn[b] - p.turn[a])}
	if ra, rb := p.turn[a], p.turn[b]; ra != rb && p.rowDir[ra] == p.rowDir[rb] {
		if q.LaidToL, q.CloseToL = p.start[a+1], p.start[b+1]; laid == q.LaidToL {
			q.LaidToL, q.CloseToL = p.start[a], p.start[b]
		}
	}
	return q
}

// window gives the stations whose middle lies in [fromL, toL).
func (p *Path) window(fromL, toL float64) (a, b int) {
	at := func(v float64) int {
		return sort.Search(p.stations(), func(i int) bool { return p.mid(int32(i)) >= v })
	}
	return at(fromL), at(toL)
}

// MaxSpan is the pair with the largest span among those joined at path volumes
// in [fromL, toL); the earliest of equals. False when none is.
func (p *Path) MaxSpan(fromL, toL float64) (Pair, bool) {
	a, b := p.window(fromL, toL)
	w := p.worstOf(a, b)
	if w.u < 0 {
		return Pair{}, false
	}
	return p.pairOf(w), true
}

// worstOf is the worst pair of the stations [a, b).
func (p *Path) worstOf(a, b int) pair {
	best := pair{u: -1}
	for i := a; i < b; i++ {
		// Spans equal but for rounding stay with the earliest.
		if w := p.worst[i]; w.span > best.span*(1+1e-9) {
			best = w
		}
	}
	return best
}

// Worst appends to dst up to k of the worst pairs joined in [fromL, toL): the
// window is parted in k and the worst of each part taken, so the worst of all is
// among them and the others stand apart from it.
func (p *Path) Worst(fromL, toL float64, k int, dst []Pair) []Pair {
	a, b := p.window(fromL, toL)
	k = min(k, b-a)
	for i := range k {
		if w := p.worstOf(a+i*(b-a)/k, a+(i+1)*(b-a)/k); w.u >= 0 {
			dst = append(dst, p.pairOf(w))
		}
	}
	return dst
}

// Need is the slowest safe rate and the pair that sets it. Life is the edge
// life at its place. RateLps is +Inf when no rate saves it: the life is used up
// by margin and turns alone.
type Need struct {
	Pair
	RateLps float64
	Life    time.Duration
}

// QMin is the slowest rate, litres a second, that joins in time every edge that
// is joined in [fromL, toL), with one edge life everywhere. margin is kept in
// hand and turn is lost at each row end. False when no edge is joined there.
//
//	rate = max of span / (life − margin − turn · row ends)
func (p *Path) QMin(fromL, toL float64, life, margin, turn time.Duration) (Need, bool) {
	a, b := p.window(fromL, toL)
	best := Need{RateLps: -1}
	bestPair := pair{u: -1}
	for i := a; i < b; i++ {
		w := p.worst[i]
		if w.u < 0 {
			continue
		}
		// For one joining place a larger span never waits through fewer row
		// ends, so the largest span of a station is its worst pair.
		if q := rate(w.span, life, margin, turn, p.rowEnds(w)); q > best.RateLps*(1+1e-9) || bestPair.u < 0 {
			best.RateLps, bestPair = q, w
		}
	}
	if bestPair.u < 0 {
		return Need{}, false
	}
	best.Pair, best.Life = p.pairOf(bestPair), life
	return best, true
}

// Ahead is QMin to the end of the path with an edge life that differs from place
// to place, for every front: worked out once, then looked up. It is only read.
type Ahead struct {
	p    *Path
	own  []aheadOf // by station: the worst pair joined there
	best []aheadOf // the same there or further on
}

type aheadOf struct {
	pair
	rate float64
	life time.Duration
}

// Ahead goes once through all edges, from the end back. life is asked for the
// place of each edge that waits; margin and turn are as for QMin.
func (p *Path) Ahead(life func(floor.Point) time.Duration, margin, turn time.Duration) *Ahead {
	n := p.stations()
	a := &Ahead{p: p, own: make([]aheadOf, n), best: make([]aheadOf, n+1)}
	a.best[n] = aheadOf{pair: pair{u: -1}, rate: -1}
	for i := n - 1; i >= 0; i-- {
		here := aheadOf{pair: pair{u: -1}, rate: -1}
		p.eachPair(i, i+1, func(w pair) {
			x, y := p.Centre(int(w.u))
			e := life(floor.Point{X: x, Y: y})
			if q := rate(w.span, e, margin, turn, p.rowEnds(w)); q > here.rate*(1+1e-9) || here.u < 0 {
				here = aheadOf{w, q, e}
			}
		})
		a.own[i] = here
		// Rates equal but for rounding stay with the earliest.
		if later := a.best[i+1]; here.u < 0 || later.u >= 0 && later.rate > here.rate*(1+1e-9) {
			here = later
		}
		a.best[i] = here
	}
	return a
}

// From is the slowest safe rate for all edges joined at fromL and further on.
// False when no edge is joined there.
func (a *Ahead) From(fromL float64) (Need, bool) {
	i, _ := a.p.window(fromL, math.Inf(1))
	b := a.best[i]
	if b.u < 0 {
		return Need{}, false
	}
	return Need{Pair: a.p.pairOf(b.pair), RateLps: b.rate, Life: b.life}, true
}

// Between is the slowest safe rate for the edges joined in [fromL, toL). False
// when no edge is joined there.
func (a *Ahead) Between(fromL, toL float64) (Need, bool) {
	i, end := a.p.window(fromL, toL)
	b := aheadOf{pair: pair{u: -1}, rate: -1}
	for ; i < end; i++ {
		if q := &a.own[i]; q.u >= 0 && (b.u < 0 || q.rate > b.rate*(1+1e-9)) {
			b = *q
		}
	}
	if b.u < 0 {
		return Need{}, false
	}
	return Need{Pair: a.p.pairOf(b.pair), RateLps: b.rate, Life: b.life}, true
}

func (p *Path) rowEnds(w pair) int { return int(p.turn[p.sta[w.v]] - p.turn[p.sta[w.u]]) }

// rate is the slowest safe rate for one span, L/s.
func rate(spanL float64, life, margin, turn time.Duration, rowEnds int) float64 {
	left := (life - margin - time.Duration(rowEnds)*turn).Seconds()
	if left <= 0 {
		return math.Inf(1)
	}
	return spanL / left
}

// EachPair yields every wet edge that is joined in [fromL, toL).
func (p *Path) EachPair(fromL, toL float64, yield func(Pair)) {
	a, b := p.window(fromL, toL)
	p.eachPair(a, b, func(w pair) { yield(p.pairOf(w)) })
}

// EachSpan is EachPair without the places, and once for all the edges that wait for
// the same cut of the front from the same cut: a row deep, a pull has dozens.
func (p *Path) EachSpan(fromL, toL float64, yield func(Pair)) {
	from, to := p.window(fromL, toL)
	at := func(b int) int {
		return sort.Search(len(p.stays), func(i int) bool { return p.stays[i].b >= int32(b) })
	}
	for _, w := range p.stays[at(from):at(to)] {
		yield(p.wait(w.a, w.b))
	}
}

// eachPair yields the pairs whose later cell stands in the stations [a, b).
func (p *Path) eachPair(a, b int, yield func(pair)) {
	for v := p.first[a]; v < p.first[b]; v++ {
		g := int(p.place[v])
		x := g % p.nx
		if x > 0 {
			p.earlier(v, g-1, g-1, toRight, yield)
		}
		if x+1 < p.nx {
			p.earlier(v, g+1, g, toRight, yield)
		}
		if g >= p.nx {
			p.earlier(v, g-p.nx, g-p.nx, toNext, yield)
		}
		if g+p.nx < len(p.cells) {
			p.earlier(v, g+p.nx, g, toNext, yield)
		}
	}
}

// earlier yields the pair of v and its neighbour at h when that is laid before
// it and no stop line (noted at grid place at) parts them.
func (p *Path) earlier(v int32, h, at int, way uint8, yield func(pair)) {
	u := p.cells[h]
	if u < 0 || p.sta[u] >= p.sta[v] || p.wall != nil && p.wall[at]&way != 0 {
		return
	}
	yield(pair{p.span(p.sta[u], p.sta[v]), u, v})
}
