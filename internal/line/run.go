package line

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
	mixing, held, inUse int64 // mixers at work; runners, buckets away from the mix station
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

// day runs the line once. rows holds the history and has room for every batch;
// stamps may be nil. It is one long function because its state has to stay in
// registers and on the stack: this loop is where the whole study's time goes.
func (p *program) day(luck stream, rows []row, acc *sums, stamps []stamp) outcome {
	var mx [MaxMixers]int64
	p.firstMixers(luck, &mx)
	m0, m1, m2, m3 := mx[0], mx[1], mx[2], mx[3]
	rn := p.runnerBack
	r0, r1, r2 := rn[0], rn[1], rn[2]
	rl, ca := p.rollFree, p.castFree
	var ring [MaxBuckets]int64 // returns of buckets, in turn
	known := uint(copy(ring[:], p.back))
	given := uint(0) // buckets handed out
	q := p.newQueue()

	n, flights := p.n, len(p.flights)
	batches, hist := p.batch[:n], len(rows)-n
	post := uint64(luck) + 2*uint64(p.laid)*golden
	mixed := uint64(luck) + (2*uint64(p.laid+flights+p.inMixers)+1)*golden
	worstDwell, worstEdge, firstLost := int64(noWorst), int64(noWorst), n
	arrived, started, rakeFree, inOrder := p.arrived, p.started, p.rakeFree, int64(-never)
	done := int64(0)
	var mixing, held, inUse int64

	for k := 0; k < n; {
		if k == q.boundary {
			mx = [MaxMixers]int64{m0, m1, m2, m3, mx[4], mx[5], mx[6], mx[7]}
			p.release(&q, &mx, rakeFree)
			m0, m1, m2, m3 = mx[0], mx[1], mx[2], mx[3]
		}
		ready, mixer, age := m0>>keyTime, m0>>keyMixer&(MaxMixers-1), m0&ageMask
		if k < flights || age != idle {
			b := &batches[k]
			w := scramble(post)
			post += 2 * golden & (1<<64 - 1)
			carry := int64(b.full) * int64(p.walk[w>>stepCarry&(Cells-1)]) >> fracBits
			walk := int64(b.empty) * int64(p.walk[w>>stepWalk&(Cells-1)]) >> fracBits
			pourMs := int64(p.pour[w>>stepPour&(Cells-1)])

			var pick, arrive, pour, poured int64
			if k >= flights {
				pick = max(ready, r0)
				arrive = max(pick+carry, arrived+p.headway)
				pour = max(arrive, rakeFree+int64(b.turn))
				poured = pour + pourMs
			} else {
				f := &p.flights[k]
				ready, mixer, age = f.at, -1, f.at-f.react
				pick, arrive, pour = p.resume(f, r0, carry, arrived, rakeFree+int64(b.turn))
				poured = max(0, pour+pourMs)
				if f.where != Waiting {
					// His runner was out, so he joins the pool and nobody leaves it.
					copy(rn[4:], rn[3:])
					rn[3], r2, r1 = r2, r1, r0
				}
			}
			arrived = arrive
			back := poured + walk
			raked := poured + int64(p.rake[w>>stepRake&(Cells-1)])
			rakeFree = raked

			// The runner that was back first is replaced by his own return; the
			// rest stays sorted without a branch.
			x := back
			r0, x = min(r1, x), max(r1, x)
			r1, x = min(r2, x), max(r2, x)
			if p.runners > 3 {
				r2, x = min(rn[3], x), max(rn[3], x)
				settle(rn[3:], x)
			} else {
				r2 = x
			}
			ring[known&ringMask] = back
			known++

			dwell := poured - ready + age
			worstDwell = max(worstDwell, dwell)
			held += back - pick
			inUse += back - ready + age

			rolled := max(raked, rl[0]) + int64(p.roll[w>>stepRoll&(Cells-1)])
			if p.rollers == 1 {
				rl[0] = rolled
			} else {
				settle(rl[:], rolled)
			}
			inOrder = max(inOrder, rolled)
			cast := max(inOrder, ca[0]) + int64(p.cast[w>>stepBroadcast&(Cells-1)])
			if p.casters == 1 {
				ca[0] = cast
			} else {
				settle(ca[:], cast)
			}
			done = max(done, cast)

			now := row{int32(pour), int32(raked), int32(max(0, dwell-p.planned) * p.spentMul >> spentShift)}
			rows[hist+k] = now
			if b.from != b.to {
				worst := int64(noWorst)
				for i := range p.edges[b.from:b.to] {
					e := &p.edges[int(b.from)+i]
					worst = max(worst, e.over(&rows[e.open], now))
				}
				worstEdge = max(worstEdge, worst)
				if worst > -p.margin && firstLost == n {
					firstLost = k
				}
			}
			if stamps != nil {
				stamps[k] = stamp{int(mixer), ready, age, pick, arrive, pour, poured, back, raked, rolled, cast}
			}
			k++
			if k <= flights {
				continue
			}
		}

		// The mixer that ended asks for its next bucket; when none is back it
		// queues, and a bucket just poured goes to the first in the queue.
		next, needs := int64(never), age != idle
		if q.waiting > 0 || given == known || q.room == 0 || p.down != 0 {
			switch {
			case p.down>>uint(mixer)&1 != 0:
			case q.room == 0:
				q.park(mixer)
			default:
				q.room--
				q.push(ready, needs, mixer)
			}
			if q.waiting == 0 || given == known {
				goto place
			}
			ready, needs, mixer = q.pop()
		} else {
			q.room--
		}
		{
			w := scramble(mixed)
			mixed += 2 * golden & (1<<64 - 1)
			mix := int64(p.mix[mixer][w>>stepMix&(Cells-1)])
			clear := int64(0)
			if needs {
				clear = int64(p.clear[mixer][w>>stepClear&(Cells-1)])
			}
			started = max(ready+clear, ring[given&ringMask], started+p.interval)
			given++
			mixing += clear + mix
			next = (started+mix)<<keyTime | mixer<<keyMixer | max(0, mix-p.react)
		}
	place:
		x := next
		m0, x = min(m1, x), max(m1, x)
		m1, x = min(m2, x), max(m2, x)
		m2, x = min(m3, x), max(m3, x)
		m3 = x
		if p.mixers > 4 {
			m3 = min(mx[4], x)
			settle(mx[4:], max(mx[4], x))
		}
	}
	acc.mixing += mixing
	acc.held += held
	acc.inUse += inUse
	return outcome{int32(rakeFree), int32(done), int32(worstEdge), int32(worstDwell), int32(firstLost)}
}
