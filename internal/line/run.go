package line

import "math"

// outcome is one simulated day, in ms after the study's zero.
type outcome struct {
	laid, done int32 // last batch raked; last batch through every post
	worstEdge  int32 // largest age over edge life, margin not taken off
	worstDwell int32 // largest bucket age when poured
	firstLost  int32 // first batch that closes a lost edge, margin taken off; the number of batches when none
}

// sums are whole-run totals for the use of the posts, ms. They are integers, so
// the order of the days does not matter.
type sums struct {
	mixing int64 // mixers with a batch
	clear  int64 // mixers being scraped out, no bucket in them
	held   int64 // runners with a full bucket, from pick-up until poured
	dwelt  int64 // buckets, from reaction start until poured
}

// stamp is what one batch did, in ms; only checks ask for stamps.
type stamp struct {
	mixer               int // -1: mixed before the study began
	ready, age          int64
	pick, arrive        int64
	pour, poured, back  int64
	raked, rolled, done int64
}

const noWorst = -1 << 31

// now is the state of a day between two batches. Every list is sorted, the
// unused places last.
type now struct {
	k            int // next batch
	mixers       [MaxMixers]int64
	runners      [MaxRunners]int64
	rollers      [MaxRollers]int64
	casters      [MaxCasters]int64
	known, given int // returns of buckets known, buckets handed out
	queue

	arrived, raked, started int64
	inOrder, done           int64 // all batches so far rolled; through every post
	worstDwell              int64
	sums
}

// worker runs days one after the other without allocating.
type worker struct {
	p      *program
	luck   stream
	counts bool // whether this day adds to the use of the posts
	now    now
	rows   []row
	backs  []int64 // returns of buckets, in turn
	stamps []stamp // nil but in checks
	draws  [chunk]drawn
	total  sums
}

func (p *program) newWorker() *worker {
	w := &worker{p: p, rows: make([]row, len(p.history)+p.n), backs: make([]int64, len(p.back)+p.n)}
	copy(w.rows, p.history)
	copy(w.backs, p.back)
	return w
}

// day runs one day from the first state to the last batch.
func (w *worker) day(luck stream, counts bool) outcome {
	p, s := w.p, &w.now
	w.luck, w.counts = luck, counts
	s.k = 0
	if s.mixers = p.firstKeys; p.drawsFirst {
		p.firstMixers(luck, &s.mixers)
	}
	s.runners, s.rollers, s.casters = p.runnerBack, p.rollFree, p.castFree
	s.known, s.given = len(p.back), 0
	s.queue.reset(p)
	s.arrived, s.raked, s.started, s.inOrder, s.done = p.arrived, p.rakeFree, p.started, longAgo, 0
	s.worstDwell, s.sums = noWorst, sums{}
	for s.k < p.n {
		if steady := w.steady(); steady > 0 {
			w.stride(steady)
			continue
		}
		w.step()
	}
	if counts {
		w.total.add(s.sums)
	}
	o := outcome{laid: int32(min(s.raked, maxDay)), done: int32(min(s.done, maxDay)), worstDwell: int32(s.worstDwell)}
	p.judge(w.rows, &o)
	return o
}

// step takes the next mixer that ends, lays its batch and starts it again. It
// knows every case; stride is the same for the usual one.
func (w *worker) step() {
	p, s := w.p, &w.now
	if s.k == s.boundary {
		p.release(&s.queue, &s.mixers, s.raked)
	}
	if s.k < len(p.flights) {
		w.lay(-1, 0, 0)
		return
	}
	key := s.mixers[0]
	ready, mixer, low := key>>keyTime, key>>keyMixer&(MaxMixers-1), key&lowMask
	if low != idle {
		w.lay(int(mixer), ready, max(0, low-p.react))
	}
	// The mixer asks for its next bucket; when none is back it queues, and a
	// bucket just poured goes to the first in the queue.
	switch {
	case p.down>>uint(mixer)&1 != 0:
	case s.room == 0:
		s.park(mixer)
	default:
		s.room--
		s.push(ready, low != idle, mixer)
	}
	next := int64(never)
	if s.waiting > 0 && s.given < s.known {
		next = w.start(s.pop())
	}
	settle(s.mixers[:p.mixers], next)
}

// start gives a mixer the next bucket and returns its key.
func (w *worker) start(ready int64, scrape bool, mixer int64) int64 {
	p, s := w.p, &w.now
	luck := w.luck.word(2*uint64(p.start+s.given) + 1)
	mix, clear := int64(p.tables.mix[mixer][luck>>stepMix&(Cells-1)]), int64(0)
	if scrape {
		clear = int64(p.tables.clear[mixer][luck>>stepClear&(Cells-1)])
	} else {
		ready = max(ready, p.clears[mixer])
	}
	s.started = max(ready+clear, w.backs[s.given], s.started+p.interval)
	s.given++
	s.mixing += mix
	s.clear += clear
	return (s.started+mix)<<keyTime | mixer<<keyMixer | mix
}

// lay carries, pours, rakes, rolls and broadcasts batch k.
func (w *worker) lay(mixer int, ready, age int64) {
	p, s := w.p, &w.now
	k := s.k
	b := &p.batch[k]
	d := &w.draws[0]
	p.draw(w.luck, k, d)
	var pick, arrive, pour, poured int64
	if k >= len(p.flights) {
		pick = max(ready, s.runners[0])
		arrive = max(pick+d.carry, s.arrived+p.headway)
		pour = max(arrive, s.raked+b.turn)
		poured = pour + d.pour
	} else {
		f := &p.flights[k]
		ready, age = f.at, f.at-f.react
		pick, arrive, pour = p.resume(f, s.runners[0], d.carry, s.arrived, s.raked+b.turn)
		poured = max(0, pour+d.pour)
		if f.where != Waiting {
			// His runner was out: he joins the others and takes nobody's place.
			copy(s.runners[1:], s.runners[:])
		}
	}
	s.arrived, s.raked = arrive, poured+d.rake
	back := poured + d.walk
	settle(s.runners[:p.runners], back)
	w.backs[s.known] = back + b.rest
	s.known++

	dwell := poured - ready + age
	s.worstDwell = max(s.worstDwell, dwell)
	s.held += poured - pick
	s.dwelt += dwell
	rolled := max(s.raked, s.rollers[0]) + d.roll
	settle(s.rollers[:p.rollers], rolled)
	s.inOrder = max(s.inOrder, rolled)
	cast := max(s.inOrder, s.casters[0]) + d.cast
	settle(s.casters[:p.casters], cast)
	s.done = max(s.done, cast)

	w.rows[len(p.history)+k] = row{pour, uint32(s.raked - pour), p.spent(dwell)}
	if w.stamps != nil {
		w.stamps[k] = stamp{mixer, ready, age, pick, arrive, pour, poured, back, s.raked, rolled, cast}
	}
	s.k++
}

// spent is the share of its edge life a batch has used up in the bucket.
func (p *program) spent(dwell int64) uint32 {
	return uint32(max(0, dwell-p.planned) * p.spentMul >> spentShift)
}

// draw turns the luck of batch k after the mixer into times.
func (p *program) draw(luck stream, k int, d *drawn) {
	b, t, l := &p.batch[k], p.tables, luck.word(2*uint64(p.laid+k))
	d.carry = b.full * int64(t.walk[l>>stepCarry&(Cells-1)]) >> fracBits
	d.walk = b.empty * int64(t.walk[l>>stepWalk&(Cells-1)]) >> fracBits
	d.pour = int64(t.pour[l>>stepPour&(Cells-1)])
	d.rake = int64(t.rake[l>>stepRake&(Cells-1)])
	d.roll = int64(t.roll[l>>stepRoll&(Cells-1)])
	d.cast = int64(t.cast[l>>stepBroadcast&(Cells-1)])
}

// judge looks at every edge of a day.
func (p *program) judge(rows []row, o *outcome) {
	over, _ := worst(p.oldest, rows, math.MaxInt64)
	first := p.n
	if over > -p.margin {
		_, i := worst(p.edges, rows, -p.margin)
		first = int(p.edges[i].close) - len(p.history)
	}
	o.worstEdge, o.firstLost = int32(over), int32(first)
}
