package line

import "container/heap"

// clock is a plain event simulator: a heap of things to do, by instant, then by
// rank (lower first), then in the order they were planned.
type clock struct {
	now  int64
	todo events
	seq  int
}

type event struct {
	at        int64
	rank, seq int
	do        func()
}

type events []event

func (e events) Len() int { return len(e) }
func (e events) Less(i, j int) bool {
	if e[i].at != e[j].at {
		return e[i].at < e[j].at
	}
	if e[i].rank != e[j].rank {
		return e[i].rank < e[j].rank
	}
	return e[i].seq < e[j].seq
}
func (e events) Swap(i, j int) { e[i], e[j] = e[j], e[i] }
func (e *events) Push(x any)   { *e = append(*e, x.(event)) }
func (e *events) Pop() any {
	last := (*e)[len(*e)-1]
	*e = (*e)[:len(*e)-1]
	return last
}

// plan puts do on the list at an instant, never before now.
func (c *clock) plan(at int64, rank int, do func()) {
	c.seq++
	heap.Push(&c.todo, event{max(at, c.now), rank, c.seq, do})
}

// run works the list off until it is empty or stop says so.
func (c *clock) run(stop func() bool) {
	for len(c.todo) > 0 && !stop() {
		e := heap.Pop(&c.todo).(event)
		c.now = e.at
		e.do()
	}
}

// job is one piece of work waiting at a post.
type job struct {
	ready int64
	takes int64
	begin func(at int64) // when a worker takes it up; may be nil
	end   func(at int64)
}

// post is a first-come queue in front of a group of workers.
type post struct{ queue []job }

// group is one or more workers who serve one or more posts. A free worker takes
// the job that has been ready longest; equal ones by the order of the posts.
type group struct {
	c     *clock
	free  int
	posts []*post
}

func newGroup(c *clock, workers int, posts ...*post) *group {
	return &group{c: c, free: workers, posts: posts}
}

// add queues a job that is ready now and sets the workers to it.
func (g *group) add(p *post, j job) {
	j.ready = g.c.now
	p.queue = append(p.queue, j)
	g.work()
}

func (g *group) work() {
	for g.free > 0 {
		var best *post
		for _, p := range g.posts {
			if len(p.queue) > 0 && (best == nil || p.queue[0].ready < best.queue[0].ready) {
				best = p
			}
		}
		if best == nil {
			return
		}
		j := best.queue[0]
		best.queue = best.queue[1:]
		g.free--
		if j.begin != nil {
			j.begin(g.c.now)
		}
		g.c.plan(g.c.now+j.takes, rankOther, func() {
			g.free++
			j.end(g.c.now)
			g.work()
		})
	}
}

// busyUntil takes one worker out until an instant.
func (g *group) busyUntil(at int64) {
	if at <= g.c.now {
		return
	}
	g.free--
	g.c.plan(at, rankOther, func() { g.free++; g.work() })
}
