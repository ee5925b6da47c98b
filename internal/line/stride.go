package line

// chunk is the number of batches drawn ahead. Drawing has no chain of maxima
// and so runs faster on its own; 32 draws are 4 KiB, so that they stay in the
// first-level cache beside the tables; fewer cost more calls.
const chunk = 32

// drawn is one batch's luck turned into ms, and what became of it. The spare
// words make it two cache lines, so that its address is a shift.
type drawn struct {
	carry, pour, walk, rake, roll, cast, turn int64
	rest                                      int64
	clear, mix                                int64 // before and of the batch started next, see ahead
	key, pick, poured                         int64 // found by the chain
	_                                         [3]int64
}

// steady says how many batches from here are the usual case: every mixer has a
// batch in it, a bucket is there for whoever ends, and see program.plain. At the
// end of the day the last batches are counted too, whose mixers start no more.
func (w *worker) steady() int {
	p, s := w.p, &w.now
	if !p.plain || s.k < len(p.flights) || s.boundary >= 0 && s.room == 0 || s.waiting > 0 || s.known < s.given {
		return 0
	}
	if s.k == 0 && p.arrived != longAgo {
		return 0 // the headway after an arrival before the study may still bind
	}
	for _, key := range s.mixers[:p.mixers] {
		if key == never || key&lowMask == idle {
			return 0
		}
	}
	if s.boundary < 0 {
		return p.n - s.k
	}
	return s.room
}

// stride lays the next count batches, all of them the usual case. It does the
// same as step in three passes over a chunk: draw, run the chain, note. The
// split keeps each pass inside the processor's registers. Loads come before
// stores throughout, since the compiler keeps their order.
func (w *worker) stride(count int) {
	s := &w.now
	for count > 0 {
		draws := w.draws[:min(count, chunk)]
		starts := min(len(draws), s.room)
		w.ahead(draws, starts)
		if w.p.alike {
			w.chainAlike(draws)
		} else {
			w.chainEach(draws)
		}
		w.note(draws)
		if w.counts {
			w.count(draws, starts)
		}
		if w.stamps != nil {
			w.stamp(draws)
		}
		s.k += len(draws)
		s.known += len(draws)
		s.given += starts
		s.room -= starts
		count -= len(draws)
	}
}

// gone marks a start that does not take place: added to a key it sorts behind
// every batch, as a day ends before 2^30 ms.
const gone = 1 << 62

// ahead draws the luck of the next batches and of the starts when they leave
// their mixers: clear in ms, mix as its key without instant and mixer. When the
// mixers differ both are cells, for it is not known yet which mixer it will be.
func (w *worker) ahead(draws []drawn, starts int) {
	p, s, t := w.p, &w.now, w.p.tables
	batches := p.batch[s.k:][:len(draws)]
	at := w.luck.at(2 * uint64(p.laid+s.k))
	for i := range draws {
		d, b := &draws[i], &batches[i]
		l := fold(at)
		at += 2 * golden & (1<<64 - 1)
		carry := b.full * int64(t.walk[l>>stepCarry&(Cells-1)]) >> fracBits
		walk := b.empty * int64(t.walk[l>>stepWalk&(Cells-1)]) >> fracBits
		pour := int64(t.pour[l>>stepPour&(Cells-1)])
		rake := int64(t.rake[l>>stepRake&(Cells-1)])
		d.carry, d.walk, d.pour, d.rake = carry, walk, pour, rake
		roll := int64(t.roll[l>>stepRoll&(Cells-1)])
		cast := int64(t.cast[l>>stepBroadcast&(Cells-1)])
		turn, rest := b.turn, b.rest
		d.roll, d.cast, d.turn, d.rest = roll, cast, turn, rest
	}
	at = w.luck.at(2*uint64(p.start+s.given) + 1)
	for i := starts; i < len(draws); i++ {
		draws[i].clear, draws[i].mix = 0, gone
	}
	draws = draws[:starts]
	if !p.alike {
		for i := range draws {
			d, l := &draws[i], fold(at)
			at += 2 * golden & (1<<64 - 1)
			d.clear, d.mix = int64(l>>stepClear&(Cells-1)), int64(l>>stepMix&(Cells-1))
		}
		return
	}
	for i := range draws {
		d, l := &draws[i], fold(at)
		at += 2 * golden & (1<<64 - 1)
		clear, mix := int64(t.clear[0][l>>stepClear&(Cells-1)]), int64(t.mix[0][l>>stepMix&(Cells-1)])
		d.clear, d.mix = clear, mix<<keyTime+mix // as the key needs it
	}
}

// chainAlike is the recursion for up to three mixers of the same times and up to
// two runners, the crew seen most. The
// sorted lists live in registers; minimum and maximum compile to moves without
// branches, because a wrong guess costs as much as a batch.
//
// The headway is left out: plain says that it is shorter than pour and rake
// together, so whoever keeps behind the rake keeps it too.
func (w *worker) chainAlike(draws []drawn) {
	p, s := w.p, &w.now
	m0, m1, m2 := s.mixers[0], s.mixers[1], s.mixers[2]
	r0, r1 := s.runners[0], s.runners[1]
	raked, started, interval := s.raked, s.started, p.interval
	out, in := w.backs[s.known:][:len(draws)], w.backs[s.given:][:len(draws)]
	for i := range draws {
		d, key := &draws[i], m0
		d.key = key
		ready := key >> keyTime
		pick := max(ready, r0)
		d.pick = pick
		poured := max(pick+d.carry, raked+d.turn) + d.pour
		d.poured = poured
		raked = poured + d.rake

		back := poured + d.walk
		out[i] = back + d.rest
		r0, r1 = min(r1, back), max(r1, back)

		started = max(max(ready+d.clear, in[i]), started+interval)
		x := started<<keyTime + d.mix + key&mixerMask
		m0, x = min(m1, x), max(m1, x)
		m1, m2 = min(m2, x), max(m2, x)
	}
	s.mixers[0], s.mixers[1], s.mixers[2] = m0, m1, m2
	s.runners[0], s.runners[1] = r0, r1
	s.raked, s.started = raked, started
}

// chainEach is chainAlike for up to four mixers, each with its own times, and
// three runners.
func (w *worker) chainEach(draws []drawn) {
	s, t := &w.now, w.p.tables
	m0, m1, m2, m3 := s.mixers[0], s.mixers[1], s.mixers[2], s.mixers[3]
	r0, r1, r2 := s.runners[0], s.runners[1], s.runners[2]
	raked, started, interval := s.raked, s.started, w.p.interval
	out, in := w.backs[s.known:][:len(draws)], w.backs[s.given:][:len(draws)]
	for i := range draws {
		d, key := &draws[i], m0
		d.key = key
		ready, mixer := key>>keyTime, key>>keyMixer&(MaxMixers-1)
		clear := int64(t.clear[mixer][d.clear&(Cells-1)])
		mix := int64(t.mix[mixer][d.mix&(Cells-1)])
		d.clear, d.mix = clear, mix<<keyTime+mix+d.mix&gone
		pick := max(ready, r0)
		d.pick = pick
		poured := max(pick+d.carry, raked+d.turn) + d.pour
		d.poured = poured
		raked = poured + d.rake

		back := poured + d.walk
		out[i] = back + d.rest
		r0, back = min(r1, back), max(r1, back)
		r1, r2 = min(r2, back), max(r2, back)

		started = max(max(ready+clear, in[i]), started+interval)
		x := started<<keyTime + d.mix + key&mixerMask
		m0, x = min(m1, x), max(m1, x)
		m1, x = min(m2, x), max(m2, x)
		m2, m3 = min(m3, x), max(m3, x)
	}
	s.mixers[0], s.mixers[1], s.mixers[2], s.mixers[3] = m0, m1, m2, m3
	s.runners[0], s.runners[1], s.runners[2] = r0, r1, r2
	s.raked, s.started = raked, started
}

// note writes down what the chain found, and sends the batches through the
// posts after the rake, which nothing before them waits for.
func (w *worker) note(draws []drawn) {
	p, s := w.p, &w.now
	roll, cast := s.rollers[0], s.casters[0]
	for i := range draws {
		d := &draws[i]
		roll = max(d.poured+d.rake, roll) + d.roll
		cast = max(roll, cast) + d.cast
	}
	// Bucket ages are counted from the start of mixing here: plain says that
	// no mixing is so short that the reaction starts after it.
	worst, planned, spentMul := s.worstDwell+p.react, p.planned+p.react, p.spentMul
	rows := w.rows[len(p.history)+s.k:][:len(draws)]
	for i := range draws {
		d := &draws[i]
		poured, pour := d.poured, d.pour
		dwell := poured - d.key>>keyTime + d.key&lowMask
		worst = max(worst, dwell)
		rows[i].takes = uint32(pour + d.rake)
		rows[i].start = poured - pour
		rows[i].spent = uint32(positive(dwell-planned) * spentMul >> spentShift)
	}
	worst -= p.react
	s.rollers[0], s.casters[0], s.inOrder, s.done, s.worstDwell = roll, cast, roll, cast, worst
}

// count adds up the use of the posts.
func (w *worker) count(draws []drawn, starts int) {
	u := &w.now.sums
	for i := range draws {
		d := &draws[i]
		if i < starts {
			u.mixing += d.mix >> keyTime
			u.clear += d.clear
		}
		u.held += d.poured - d.pick
		u.dwelt += d.poured - d.key>>keyTime + max(0, d.key&lowMask-w.p.react)
	}
}

// positive is max with zero: two instructions less than max here.
func positive(a int64) int64 { return a &^ (a >> 63) }

// stamp keeps what every batch did, for checks. Only here are arrivals worked
// out: while the rake sets the pace nothing else depends on them.
func (w *worker) stamp(draws []drawn) {
	p, s := w.p, &w.now
	for i := range draws {
		d, k := &draws[i], s.k+i
		before := stamp{arrive: longAgo, rolled: p.rollFree[0], done: p.castFree[0]}
		if k > 0 {
			before = w.stamps[k-1]
		}
		raked := d.poured + d.rake
		rolled := max(raked, before.rolled) + d.roll
		w.stamps[k] = stamp{
			int(d.key >> keyMixer & (MaxMixers - 1)), d.key >> keyTime, max(0, d.key&lowMask-p.react), d.pick,
			max(d.pick+d.carry, before.arrive+p.headway), d.poured - d.pour, d.poured, d.poured + d.walk,
			raked, rolled, max(rolled, before.done) + d.cast,
		}
		s.arrived = w.stamps[k].arrive
	}
}
