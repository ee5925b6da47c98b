package line

import "slices"

// queue holds the mixers that are not at work: those waiting for a bucket, first
// come first served, and those parked until a move is over.
type queue struct {
	asked         [MaxMixers]int64 // instant<<4 | needs clearing<<3 | mixer
	head, waiting uint

	parked   [MaxMixers]int64 // mixers
	standing int

	room     int // batches that may still be started before the next boundary
	boundary int // the batch before which the line drains; -1 when none
	segment  int // of the program's moves
}

// reset empties the queue for a new day.
func (q *queue) reset(p *program) {
	q.head, q.waiting, q.standing, q.segment = 0, 0, 0, 0
	q.boundary, q.room = -1, max(0, p.n-len(p.flights)-p.inMixers)
	if len(p.moves) > 0 {
		q.boundary = p.moves[0].before
		q.room = q.boundary - len(p.flights) - p.inMixers
	}
}

func (q *queue) push(at int64, needs bool, mixer int64) {
	v := at<<4 | mixer
	if needs {
		v |= 8
	}
	q.asked[(q.head+q.waiting)%MaxMixers] = v
	q.waiting++
}

func (q *queue) pop() (at int64, needs bool, mixer int64) {
	v := q.asked[q.head%MaxMixers]
	q.head++
	q.waiting--
	return v >> 4, v&8 != 0, v & 7
}

func (q *queue) park(mixer int64) {
	q.parked[q.standing] = mixer
	q.standing++
}

// release lets the parked mixers start again once the move is over, and holds
// back those that would have come free during it.
func (p *program) release(q *queue, mx *[MaxMixers]int64, raked int64) {
	m := p.moves[q.segment]
	over := max(0, raked) + m.took
	for i, key := range mx {
		if key != never && key>>keyTime < over {
			mx[i] = over<<keyTime | key&(1<<keyTime-1)
		}
	}
	for _, mixer := range q.parked[:q.standing] {
		insert(mx[:], over<<keyTime|mixer<<keyMixer|idle)
	}
	q.standing = 0
	slices.Sort(mx[:])
	next := p.n
	q.segment++
	q.boundary = -1
	if q.segment < len(p.moves) {
		next = p.moves[q.segment].before
		q.boundary = next
	}
	q.room = next - m.before
}

// firstMixers fills mx with the first ends, sorted, missing mixers last.
func (p *program) firstMixers(luck stream, mx *[MaxMixers]int64) {
	for i := range mx {
		mx[i] = never
	}
	batch := p.laid + len(p.flights)
	for _, s := range p.startMix {
		if s.idle {
			insert(mx[:], s.at<<keyTime|int64(s.mixer)<<keyMixer|idle)
			continue
		}
		at := s.at
		if s.drawn {
			at = s.from + int64(p.first[s.mixer][luck.drawMix(stepMix, batch)])
		}
		batch++
		insert(mx[:], at<<keyTime|int64(s.mixer)<<keyMixer|max(0, at-s.react)+p.react)
	}
}

// insert puts key into its place in a sorted list whose last element is spare.
func insert(list []int64, key int64) {
	i := len(list) - 1
	for ; i > 0 && list[i-1] > key; i-- {
		list[i] = list[i-1]
	}
	list[i] = key
}

// settle replaces the first element of a sorted list and keeps it sorted.
func settle(list []int64, x int64) {
	i := 0
	for ; i+1 < len(list) && list[i+1] < x; i++ {
		list[i] = list[i+1]
	}
	list[i] = x
}

// resume takes up a full bucket where it was seen.
func (p *program) resume(f *flight, runner, carry, arrived, rakeReady int64) (pick, arrive, pour int64) {
	switch f.where {
	case Pouring:
		return f.at, f.at, f.at
	case Carried:
		arrive = max(0, f.at+carry, arrived+p.headway)
		return f.at, arrive, max(arrive, rakeReady)
	}
	pick = max(f.at, runner)
	arrive = max(pick+carry, arrived+p.headway)
	return pick, arrive, max(arrive, rakeReady)
}
