package line

// chunk is the number of batches whose luck is drawn ahead: drawing has no
// chain of maxima and so runs far faster on its own; 32 cache lines stay in the
// first-level cache beside the tables.
const chunk = 32

// steady says how many batches from here are the usual case: every mixer has a
// batch in it, a bucket is there for whoever ends, one roller, one caster and a
// crew that fits in registers.
func (w *worker) steady() int {
	p, s := w.p, &w.now
	if !p.plain || s.k < len(p.flights) || s.k == s.boundary || s.waiting > 0 || s.known < s.given {
		return 0
	}
	for _, key := range s.mixers[:p.mixers] {
		if key == never || key&ageMask == idle {
			return 0
		}
	}
	return s.room
}

// draw turns the luck of batch k after the mixer into times.
func (p *program) draw(luck stream, k int, d *drawn) {
	b := &p.batch[k]
	l := luck.word(2 * uint64(p.laid+k))
	d.carry = b.full * int64(p.walk[l>>stepCarry&(Cells-1)]) >> fracBits
	d.walk = b.empty * int64(p.walk[l>>stepWalk&(Cells-1)]) >> fracBits
	d.pour = int64(p.pour[l>>stepPour&(Cells-1)])
	d.rake = int64(p.rake[l>>stepRake&(Cells-1)])
	d.roll = int64(p.roll[l>>stepRoll&(Cells-1)])
	d.cast = int64(p.cast[l>>stepBroadcast&(Cells-1)])
}

// stride lays the next count batches, all of them the usual case: the same
// arithmetic as step, with the lists in registers and kept sorted by minimum
// and maximum instead of branches.
func (w *worker) stride(count int) {
	for count > 0 {
		c := min(count, chunk)
		w.ahead(c)
		w.batches(c)
		count -= c
	}
}

// ahead draws the luck of the next c batches and of the c batches started then.
func (w *worker) ahead(c int) {
	p, s := w.p, &w.now
	first := p.laid + len(p.flights) + p.inMixers + int(s.given)
	for i := range w.draws[:c] {
		d := &w.draws[i]
		p.draw(w.luck, s.k+i, d)
		l := w.luck.word(2*uint64(first+i) + 1)
		d.mix = int64(l >> stepMix & (Cells - 1))
		d.clear = int64(l >> stepClear & (Cells - 1))
	}
}

func (w *worker) batches(c int) {
	p, s := w.p, &w.now
	m0, m1, m2, m3 := s.mixers[0], s.mixers[1], s.mixers[2], s.mixers[3]
	r0, r1, r2 := s.runners[0], s.runners[1], s.runners[2]
	arrived, raked, started := s.arrived, s.raked, s.started
	roll, cast := s.rollers[0], s.casters[0]
	known, given := s.known, s.given
	worst, mixing, held, dwelt := s.worstDwell, s.mixing, s.held, s.dwelt
	batches := p.batch[s.k:][:c]
	rows := w.rows[len(p.history)+s.k:][:c]
	draws := w.draws[:c]
	for i := range draws {
		d := &draws[i]
		ready, mixer, age := m0>>keyTime, m0>>keyMixer&(MaxMixers-1), m0&ageMask
		pick := max(ready, r0)
		arrived = max(pick+d.carry, arrived+p.headway)
		pour := max(arrived, raked+batches[i].turn)
		poured := pour + d.pour
		raked = poured + d.rake
		back := poured + d.walk

		r0, back = min(r1, back), max(r1, back)
		r1, r2 = min(r2, back), max(r2, back)
		s.ring[known&ringMask] = poured + d.walk
		known++

		dwell := poured - ready + age
		worst = max(worst, dwell)
		held += poured - pick
		dwelt += dwell
		roll = max(raked, roll) + d.roll
		cast = max(roll, cast) + d.cast
		rows[i] = row{int32(pour), int32(raked - pour), p.spent(dwell)}
		if w.stamps != nil {
			w.stamps[s.k+i] = stamp{int(mixer), ready, age, pick, arrived, pour, poured, poured + d.walk, raked, roll, cast}
		}

		mix, clear := int64(p.mix[mixer][d.mix&(Cells-1)]), int64(p.clear[mixer][d.clear&(Cells-1)])
		started = max(ready+clear, s.ring[given&ringMask], started+p.interval)
		given++
		mixing += clear + mix
		x := (started+mix)<<keyTime | mixer<<keyMixer | max(0, mix-p.react)
		m0, x = min(m1, x), max(m1, x)
		m1, x = min(m2, x), max(m2, x)
		m2, m3 = min(m3, x), max(m3, x)
	}
	s.mixers = [MaxMixers]int64{m0, m1, m2, m3, never, never, never, never}
	s.runners[0], s.runners[1], s.runners[2] = r0, r1, r2
	s.arrived, s.raked, s.started = arrived, raked, started
	s.rollers[0], s.casters[0] = roll, cast
	s.inOrder, s.done = roll, cast
	s.known, s.given = known, given
	s.worstDwell, s.mixing, s.held, s.dwelt = worst, mixing, held, dwelt
	s.k += c
	s.room -= c
}
