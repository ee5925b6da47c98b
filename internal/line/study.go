package line

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync"
	"sync/atomic"
	"time"
)

// Run says how long to study: Days simulated days, keyed by Seed, on Workers
// goroutines (0 counts as 1). Workers never changes the result.
type Run struct {
	Days    int
	Seed    uint64
	Workers int
	// Tick, when not nil, is called with a number of days just studied, from any
	// of the goroutines, also two at once.
	Tick func(days int)
}

// Spread is the 10 %, 50 % and 90 % quantile over the days.
type Spread struct{ P10, P50, P90 time.Duration }

// Post is a part of the crew line.
type Post uint8

// The posts in the order of the line.
const (
	Mixing Post = iota
	Bucketing
	Carrying
	PouringRaking
	Rolling
	Broadcasting
)

// String returns the trade's word for the post.
func (p Post) String() string {
	return [...]string{"mixers", "buckets", "runners", "pour and rake", "roll", "broadcast"}[p]
}

// Use is how busy one post is, as shares of its people's time until the last
// batch is laid (rolled and broadcast: until the last batch is through). Work
// is its own work; Held counts waiting with a batch in hand as well.
type Use struct {
	Post       Post
	Crew       int
	Work, Held float64
}

// Summary is what a study found. Instants are relative to the study's zero.
type Summary struct {
	Days, Batches int

	// Chances, 0 to 1. EdgesHold and BucketsHold keep the margins; EdgesLive
	// and BucketsLive use them up. Both is EdgesHold and BucketsHold.
	EdgesHold, EdgesLive     float64
	BucketsHold, BucketsLive float64
	Both                     float64

	// Laid is when the last batch is raked, Done when it is through every post.
	Laid, Done Spread
	// EdgeSlack is the least life left, over the margin, of any edge; negative
	// when one is lost. Zero Spread when nothing is checked.
	EdgeSlack Spread
	// Dwell is the oldest bucket when poured.
	Dwell Spread
	// Lost is the share of days that lose an edge, by the batch (of those to
	// lay, from 0) where the first one goes: its quantiles; -1 when none does.
	LostP10, LostP50, LostP90 int

	// Use by post in the order of the line; Ranking orders the same posts by
	// Work, the tightest first.
	Use, Ranking []Use

	// Checked edges; Beyond are those that no batch to lay reaches.
	Checked, Beyond int
}

// block is the number of days one worker takes at a time: small enough to share
// 2,000 days evenly, large enough that taking one costs nothing.
const block = 64

// Study simulates the line from start to its last batch run.Days times and
// sums up. It stops early with ctx's error when ctx ends.
func Study(ctx context.Context, cfg Config, start Start, run Run) (Summary, error) {
	return study(ctx, cfg, start, run, cfg.Shared != OwnPeople)
}

func study(ctx context.Context, cfg Config, start Start, run Run, byEvents bool) (Summary, error) {
	if run.Days < 1 || run.Days > 1<<24 {
		return Summary{}, fmt.Errorf("days: %d; give 1 to %d", run.Days, 1<<24)
	}
	p, err := compile(&cfg, &start)
	if err != nil {
		return Summary{}, err
	}
	days := make([]outcome, run.Days)
	total, err := p.run(ctx, days, run, byEvents)
	if err != nil {
		return Summary{}, err
	}
	return p.summary(&cfg, days, total), nil
}

// run fills days on run.Workers goroutines. A panic on one of them comes out here,
// where the caller can recover it.
func (p *program) run(ctx context.Context, days []outcome, run Run, byEvents bool) (sums, error) {
	var total sums
	var mu sync.Mutex
	var next atomic.Int64
	work := func() {
		w := p.newWorker()
		for ctx.Err() == nil {
			from := int(next.Add(block)) - block
			if from >= len(days) {
				break
			}
			for d := from; d < min(from+block, len(days)); d++ {
				luck := newStream(run.Seed, d)
				if byEvents {
					days[d] = w.dayByEvents(luck, counted(d))
				} else {
					days[d] = w.day(luck, counted(d))
				}
			}
			if run.Tick != nil {
				run.Tick(min(from+block, len(days)) - from)
			}
		}
		mu.Lock()
		total.add(w.total)
		mu.Unlock()
	}
	var broken any
	safe := func() {
		defer func() {
			if r := recover(); r != nil {
				mu.Lock()
				broken = r
				mu.Unlock()
				next.Store(int64(len(days))) // the others stop
			}
		}()
		work()
	}
	var wg sync.WaitGroup
	for range max(1, min(run.Workers, (len(days)+block-1)/block)) - 1 {
		wg.Go(safe)
	}
	safe()
	wg.Wait()
	if broken != nil {
		panic(broken)
	}
	if ctx.Err() != nil {
		return total, ctx.Err()
	}
	for i, d := range days {
		if d.done >= maxDay {
			return total, fmt.Errorf("day %d of the study lasts longer than %.1f days; forecast a shorter stretch", i, float64(maxDay)/86400e3)
		}
	}
	return total, nil
}

// counted tells whether a day adds to the use of the posts: every eighth, which
// knows the use to a thousandth and costs next to nothing.
func counted(day int) bool { return day%8 == 0 }

func (w *worker) dayByEvents(luck stream, counts bool) outcome {
	d := w.p.dayByEvents(luck)
	use := sums{mixing: d.mixing, clear: d.clear}
	o := w.p.outcome(d.stamps, w.rows, &use)
	if counts {
		w.total.add(use)
	}
	return o
}

func (s *sums) add(o sums) {
	s.mixing += o.mixing
	s.clear += o.clear
	s.held += o.held
	s.dwelt += o.dwelt
}

func (p *program) summary(cfg *Config, days []outcome, total sums) Summary {
	s := Summary{Days: len(days), Batches: p.n, Checked: p.checked, Beyond: p.beyond}
	bucketLife, bucketLimit := int64(math.MaxInt64), int64(math.MaxInt64)
	if cfg.BucketLife > 0 {
		bucketLife = int64(ticks(cfg.BucketLife))
		bucketLimit = bucketLife - int64(ticks(cfg.BucketMargin))
	}
	var hold, live, bhold, blive, both int
	var lost []int32
	laid, done := make([]int32, len(days)), make([]int32, len(days))
	slack, dwell := make([]int32, len(days)), make([]int32, len(days))
	for i, d := range days {
		laid[i], done[i], dwell[i] = d.laid, d.done, d.worstDwell
		slack[i] = int32(min(math.MaxInt32, -p.margin-int64(d.worstEdge)))
		edgeOK, bucketOK := int64(d.worstEdge) <= -p.margin, int64(d.worstDwell) <= bucketLimit
		hold += count(edgeOK)
		live += count(d.worstEdge <= 0)
		bhold += count(bucketOK)
		blive += count(int64(d.worstDwell) <= bucketLife)
		both += count(edgeOK && bucketOK)
		if !edgeOK {
			lost = append(lost, d.firstLost)
		}
	}
	n := float64(len(days))
	s.EdgesHold, s.EdgesLive, s.BucketsHold, s.BucketsLive, s.Both = float64(hold)/n, float64(live)/n, float64(bhold)/n, float64(blive)/n, float64(both)/n
	s.LostP10, s.LostP50, s.LostP90 = -1, -1, -1
	if len(lost) > 0 {
		sortTicks(lost)
		s.LostP10, s.LostP50, s.LostP90 = int(math.Round(quantile(lost, 0.1))), int(math.Round(quantile(lost, 0.5))), int(math.Round(quantile(lost, 0.9)))
	}
	s.Use = p.use(days, total)
	s.Ranking = slices.Clone(s.Use)
	slices.SortStableFunc(s.Ranking, func(a, b Use) int {
		switch {
		case a.Work > b.Work:
			return -1
		case a.Work < b.Work:
			return 1
		}
		return 0
	})
	s.Laid, s.Done, s.Dwell = spread(laid), spread(done), spread(dwell)
	if p.checked > 0 {
		s.EdgeSlack = spread(slack)
	}
	return s
}

func count(b bool) int {
	if b {
		return 1
	}
	return 0
}

// spread sorts ms in place and reads its quantiles.
func spread(ms []int32) Spread {
	sortTicks(ms)
	at := func(q float64) time.Duration {
		return time.Duration(math.Round(quantile(ms, q))) * time.Millisecond
	}
	return Spread{at(0.1), at(0.5), at(0.9)}
}

// quantile reads a sorted list at q with a straight line between neighbours:
// stats.Quantile (Hyndman and Fan 1996, definition 7) without turning a whole
// study into float64 first; a test holds the two together.
func quantile(list []int32, q float64) float64 {
	h := q * float64(len(list)-1)
	i := min(int(h), len(list)-1)
	j := min(i+1, len(list)-1)
	return float64(list[i]) + (h-float64(i))*(float64(list[j])-float64(list[i]))
}

// sortTicks sorts by digits of 11 bits above the least, lowest first, as many as
// there are: four lists of 10,000 days compared two by two would cost a tenth of
// the whole study.
func sortTicks(list []int32) {
	const bits, size = 11, 1 << 11
	if len(list) == 0 {
		return
	}
	least := slices.Min(list)
	span := uint32(slices.Max(list)) - uint32(least)
	from, to := list, make([]int32, len(list))
	for shift := 0; span>>shift > 0; shift += bits {
		digit := func(v int32) uint32 { return (uint32(v) - uint32(least)) >> shift & (size - 1) }
		var place [size + 1]int32
		for _, v := range from {
			place[digit(v)+1]++
		}
		for i := range size {
			place[i+1] += place[i]
		}
		for _, v := range from {
			d := digit(v)
			to[place[d]] = v
			place[d]++
		}
		from, to = to, from
	}
	copy(list, from)
}

// use works out how busy the posts are: their own work from the tables' means,
// their holding time from the run.
func (p *program) use(days []outcome, total sums) []Use {
	var laid, done, counts float64
	for i, d := range days {
		if counted(i) {
			laid += float64(d.laid)
			done += float64(d.done)
			counts++
		}
	}
	laid, done = max(1, laid/counts), max(1, done/counts)
	var walk, empty, pour, turn float64
	for k, b := range p.batch {
		if k >= len(p.flights) || p.flights[k].where == Waiting {
			walk += float64(b.full)
		}
		empty += float64(b.empty)
		turn += float64(b.turn)
	}
	walk *= p.tables.walk.mean() / (1 << fracBits)
	empty *= p.tables.walk.mean() / (1 << fracBits)
	walk += empty
	n := float64(p.n)
	pour = n * p.tables.pour.mean()
	perDay := func(ms int64) float64 { return float64(ms) / counts }
	mix := perDay(total.mixing)
	mixers := mix + perDay(total.clear)
	active := 0
	for i := range p.mixers {
		active += count(p.down>>i&1 == 0)
	}
	one := func(post Post, crew int, work, held, until float64) Use {
		time := until * float64(max(1, crew))
		return Use{post, crew, work / time, max(work, held) / time}
	}
	rake := pour + n*p.tables.rake.mean() + turn
	roll, cast := n*p.tables.roll.mean(), n*p.tables.cast.mean()
	return []Use{
		one(Mixing, active, mixers, mixers, laid),
		one(Bucketing, p.buckets, mix+walk+pour, perDay(total.dwelt)+empty, laid),
		one(Carrying, p.runners, walk+pour, perDay(total.held)+empty, laid),
		one(PouringRaking, 1, rake, rake, laid),
		one(Rolling, p.rollers, roll, roll, done),
		one(Broadcasting, p.casters, cast, cast, done),
	}
}
