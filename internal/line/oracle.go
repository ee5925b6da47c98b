package line

import (
	"cmp"
	"context"
	"slices"
)

// StudyByEvents is [Study] on the plain event simulator: the same line, the
// same luck and the same result, more than ten times slower. It is there to
// check the recursion, and for people shared by two posts.
func StudyByEvents(ctx context.Context, cfg Config, start Start, run Run) (Summary, error) {
	return study(ctx, cfg, start, run, true)
}

// Ranks of events at the same instant. Mixers call first, in their order.
const (
	rankRelease = -1
	rankMixer   = 0 // to 7: the mixer's number
	rankOther   = MaxMixers
)

// crewDay is the line as the event simulator sees it: mixers, buckets and
// runners with their queues, and the posts at the front.
type crewDay struct {
	clock
	p      *program
	luck   stream
	stamps []stamp
	mixing int64 // mixers with a batch, so far
	clear  int64 // mixers being scraped out, so far
	done   int   // batches through every post

	queued  int // batches that have joined the queue for a runner
	room    int // batches that may be started before the next move
	segment int
	parked  []int // mixers waiting for the move to end

	asks []ask  // mixers' calls for a bucket, by turn
	back []bool // buckets that have come back, by turn
	last int64  // latest start decided

	runners int      // standing ready
	full    []func() // full buckets waiting for a runner, first come first served

	carried, here, rolled []bool // by batch
	arrivals, rakings     int    // batches arrived, batches raked
	arrival, raked        int64  // the last ones
	toCast                int    // next batch to be let through to the broadcast

	rake, roll, cast    *group
	rakeQ, rollQ, castQ post
}

// ask is a mixer's call for a bucket.
type ask struct {
	mixer   int
	at      int64
	scrape  bool
	decided bool
}

// dayByEvents runs one day event by event and says what every batch did.
func (p *program) dayByEvents(luck stream) *crewDay {
	d := &crewDay{p: p, luck: luck, stamps: make([]stamp, p.n)}
	d.carried, d.here, d.rolled = make([]bool, p.n), make([]bool, p.n), make([]bool, p.n)
	d.raked, d.arrival, d.last = p.rakeFree, p.arrived, p.started
	d.setPosts()
	d.setRoom()
	d.setRunners()
	d.setFlights()
	d.setBuckets()
	d.setMixers()
	d.run(func() bool { return d.done == p.n })
	return d
}

func (d *crewDay) setPosts() {
	p := d.p
	switch p.shared {
	case RakeAndRoll:
		d.rake = newGroup(&d.clock, 1, &d.rakeQ, &d.rollQ)
		d.roll = d.rake
		d.cast = newGroup(&d.clock, p.casters, &d.castQ)
	case RollAndBroadcast:
		d.rake = newGroup(&d.clock, 1, &d.rakeQ)
		d.roll = newGroup(&d.clock, 1, &d.rollQ, &d.castQ)
		d.cast = d.roll
	default:
		d.rake = newGroup(&d.clock, 1, &d.rakeQ)
		d.roll = newGroup(&d.clock, p.rollers, &d.rollQ)
		d.cast = newGroup(&d.clock, p.casters, &d.castQ)
	}
	for _, at := range p.rollFree {
		if at < never {
			d.roll.busyUntil(at)
		}
	}
	for _, at := range p.castFree {
		if at < never {
			d.cast.busyUntil(at)
		}
	}
}

func (d *crewDay) setRoom() {
	p := d.p
	inHand := len(p.flights) + p.inMixers
	d.room = max(0, p.n-inHand)
	if len(p.moves) > 0 {
		d.room = p.moves[0].before - inHand
		d.drained()
	}
}

// drained plans the end of the move when the last batch before it is raked.
func (d *crewDay) drained() {
	if d.segment == len(d.p.moves) || d.p.moves[d.segment].before != d.rakings {
		return
	}
	m := d.p.moves[d.segment]
	d.segment++
	upto := d.p.n
	if d.segment < len(d.p.moves) {
		upto = d.p.moves[d.segment].before
	}
	d.plan(max(0, d.raked)+m.took, rankRelease, func() {
		d.room = upto - m.before
		for _, i := range d.parked {
			d.plan(d.now, rankMixer+i, func() { d.call(i, false) })
		}
		d.parked = nil
	})
}

func (d *crewDay) setRunners() {
	for _, at := range d.p.runnerBack {
		switch {
		case at == 0:
			d.runners++
		case at < never:
			d.plan(at, rankOther, d.runnerBack)
		}
	}
}

func (d *crewDay) runnerBack() {
	d.runners++
	d.send()
}

// send gives full buckets to runners.
func (d *crewDay) send() {
	for d.runners > 0 && len(d.full) > 0 {
		d.runners--
		take := d.full[0]
		d.full = d.full[1:]
		take()
	}
}

func (d *crewDay) setFlights() {
	for _, f := range d.p.flights {
		k := d.queued
		d.queued++
		s := &d.stamps[k]
		s.mixer, s.ready, s.age = -1, f.at, f.at-f.react
		switch f.where {
		case Waiting:
			d.full = append(d.full, func() { d.carry(k, d.now) })
		case Carried:
			d.carry(k, f.at)
		case Pouring:
			s.pick, s.arrive, s.pour = f.at, f.at, f.at
			d.carried[k] = true
			d.arrivals, d.arrival = k+1, f.at
			d.rake.free--
			d.lay(k, f.at)
			d.plan(s.raked, rankOther, func() { d.rake.free++; d.isRaked(k); d.rake.work() })
		}
	}
	d.send()
}

func (d *crewDay) setBuckets() {
	d.back = make([]bool, d.p.buckets+d.p.n+1)
	for turn, at := range d.p.back {
		if at == 0 {
			d.back[turn] = true
			continue
		}
		d.plan(at, rankOther, func() { d.bucketBack(turn) })
	}
}

func (d *crewDay) bucketBack(turn int) {
	d.back[turn] = true
	d.decide(turn)
}

func (d *crewDay) setMixers() {
	batch := d.p.laid + len(d.p.flights)
	for _, s := range d.p.callers() {
		d.call(s.mixer, false)
	}
	for _, s := range d.p.startMix {
		i := s.mixer
		if s.early {
			continue
		}
		if s.idle {
			d.plan(s.at, rankMixer+i, func() { d.call(i, false) })
			continue
		}
		at := s.at
		if s.drawn {
			at = s.from + int64(d.p.first[i][d.luck.drawMix(stepMix, batch)])
		}
		batch++
		d.plan(at, rankMixer+i, func() { d.ready(i, max(0, at-s.react)) })
	}
}

// callers are the mixers that call before the study, in the order in which they do.
func (p *program) callers() (out []mixerStart) {
	for _, s := range p.startMix {
		if s.early {
			out = append(out, s)
		}
	}
	slices.SortStableFunc(out, func(a, b mixerStart) int { return cmp.Compare(a.at, b.at) })
	return out
}

// ready is a mixer's batch mixed: it joins the queue for a runner, and the mixer
// calls for its next bucket.
func (d *crewDay) ready(mixer int, age int64) {
	if k := d.queued; k < d.p.n {
		d.queued++
		d.stamps[k].mixer, d.stamps[k].ready, d.stamps[k].age = mixer, d.now, age
		d.full = append(d.full, func() { d.carry(k, d.now) })
		d.send()
	}
	d.call(mixer, true)
}

func (d *crewDay) call(mixer int, scrape bool) {
	switch {
	case d.p.down>>mixer&1 != 0:
	case d.room == 0:
		d.parked = append(d.parked, mixer)
	default:
		d.room--
		d.asks = append(d.asks, ask{mixer: mixer, at: d.now, scrape: scrape})
		d.decide(len(d.asks) - 1)
	}
}

// decide fixes the start of the mixer whose turn it is once its bucket is back
// and, when starts are paced, the start before it is fixed.
func (d *crewDay) decide(turn int) {
	p := d.p
	paced := p.interval > 0
	if turn >= len(d.asks) || d.asks[turn].decided || !d.back[turn] || paced && turn > 0 && !d.asks[turn-1].decided {
		return
	}
	a := &d.asks[turn]
	a.decided = true
	batch := p.start + turn
	mix := int64(p.tables.mix[a.mixer][d.luck.drawMix(stepMix, batch)])
	free := a.at
	if a.scrape {
		scrape := int64(p.tables.clear[a.mixer][d.luck.drawMix(stepClear, batch)])
		free += scrape
		d.clear += scrape
	} else {
		free = max(free, p.clears[a.mixer])
	}
	d.mixing += mix
	start := max(d.now, free)
	if paced {
		start = max(start, d.last+p.interval)
		d.last = start
	}
	mixer := a.mixer
	d.plan(start+mix, rankMixer+mixer, func() { d.ready(mixer, max(0, mix-p.react)) })
	if paced {
		d.decide(turn + 1)
	}
}

// carry is a runner walking a full bucket to the front.
func (d *crewDay) carry(k int, pick int64) {
	p := d.p
	walk := int64(p.batch[k].full) * int64(p.tables.walk[d.luck.draw(stepCarry, p.laid+k)]) >> fracBits
	d.stamps[k].pick = pick
	d.plan(pick+walk, rankOther, func() { d.carried[k] = true; d.admit() })
}

// admit lets carried buckets onto the front in order, a headway apart.
func (d *crewDay) admit() {
	k := d.arrivals
	if k == d.p.n || !d.carried[k] {
		return
	}
	d.arrivals++
	d.arrival = max(d.now, d.arrival+d.p.headway)
	d.stamps[k].arrive = d.arrival
	d.plan(d.arrival, rankOther, func() { d.here[k] = true; d.toRake() })
	d.admit()
}

// toRake queues the next batch for the rake once the batch before is raked and
// the rake has turned.
func (d *crewDay) toRake() {
	k := d.rakings
	if k == d.p.n || !d.here[k] {
		return
	}
	d.here[k] = false
	d.plan(d.raked+int64(d.p.batch[k].turn), rankOther, func() {
		s := &d.stamps[k]
		d.rake.add(&d.rakeQ, job{
			takes: d.rakeTime(k),
			begin: func(at int64) { s.pour = at; d.lay(k, at) },
			end:   func(int64) { d.isRaked(k) },
		})
	})
}

func (d *crewDay) rakeTime(k int) int64 {
	b := d.p.laid + k
	return int64(d.p.tables.pour[d.luck.draw(stepPour, b)]) + int64(d.p.tables.rake[d.luck.draw(stepRake, b)])
}

// lay pours batch k from an instant on: bucket and runner are back one walk
// after the pour.
func (d *crewDay) lay(k int, at int64) {
	p, s, b := d.p, &d.stamps[k], d.p.laid+k
	s.poured = max(0, at+int64(p.tables.pour[d.luck.draw(stepPour, b)]))
	s.raked = s.poured + int64(p.tables.rake[d.luck.draw(stepRake, b)])
	s.back = s.poured + int64(p.batch[k].empty)*int64(p.tables.walk[d.luck.draw(stepWalk, b)])>>fracBits
	turn := len(p.back) + k
	d.plan(s.back, rankOther, d.runnerBack)
	d.plan(s.back+p.batch[k].rest, rankOther, func() { d.bucketBack(turn) })
}

func (d *crewDay) isRaked(k int) {
	d.rakings, d.raked = k+1, d.now
	d.drained()
	d.toRake()
	d.roll.add(&d.rollQ, job{
		takes: int64(d.p.tables.roll[d.luck.draw(stepRoll, d.p.laid+k)]),
		end: func(at int64) {
			d.stamps[k].rolled = at
			d.rolled[k] = true
			d.toBroadcast()
		},
	})
}

// toBroadcast lets rolled batches through in path order.
func (d *crewDay) toBroadcast() {
	for d.toCast < d.p.n && d.rolled[d.toCast] {
		k := d.toCast
		d.toCast++
		d.cast.add(&d.castQ, job{
			takes: int64(d.p.tables.cast[d.luck.draw(stepBroadcast, d.p.laid+k)]),
			end:   func(at int64) { d.stamps[k].done = at; d.done++ },
		})
	}
}

// outcome judges a day from what its batches did.
func (p *program) outcome(stamps []stamp, rows []row, acc *sums) outcome {
	o := outcome{worstEdge: noWorst, worstDwell: noWorst, firstLost: int32(p.n)}
	hist := len(p.history)
	for k, s := range stamps {
		dwell := s.poured - s.ready + s.age
		rows[hist+k] = row{s.pour, uint32(s.raked - s.pour), p.spent(dwell)}
		acc.held += s.poured - s.pick
		acc.dwelt += dwell
		o.worstDwell = max(o.worstDwell, int32(dwell))
		o.laid, o.done = int32(s.raked), max(o.done, int32(s.done))
	}
	for _, e := range p.edges {
		over := e.over(rows)
		o.worstEdge = max(o.worstEdge, int32(over))
		if over > -p.margin {
			o.firstLost = min(o.firstLost, int32(e.close)-int32(hist))
		}
	}
	return o
}
