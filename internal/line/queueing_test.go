package line

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"floorpace/internal/worked"
)

// theory is one row of testdata/queueing.csv.
type theory struct {
	kind       string
	lam        float64
	s1, s2     float64
	servers, n int
	measure    string
	exact      float64
}

func readTheory(t *testing.T) []theory {
	t.Helper()
	var out []theory
	for _, r := range worked.Rows(t, "testdata/queueing.csv") {
		num := func(column string) float64 { return r.Num(t, column) }
		out = append(out, theory{r["case"], num("lam"), num("s1"), num("s2"), int(num("servers")), int(num("n")), r["measure"], num("exact")})
	}
	return out
}

// tick is the number of milliseconds that stand for the mean of the shortest
// time of a case: coarse enough for a long run, fine enough that rounding to
// whole ms is lost in the noise.
const tick = 5000

// The runs: warm-up is dropped, and every day is one independent sample.
const (
	theoryDays   = 120
	theoryWarmUp = 2000
	theoryLength = 6000
)

// TestLineAgainstTheory sets the crew line up so that it is a textbook queue and
// compares the recursion with the exact value, within four standard errors. The
// tables cut 0.1 % off an exponential's variance; the errors allowed are ten
// times that.
func TestLineAgainstTheory(t *testing.T) {
	days := theoryDays
	if testing.Short() || raceDetector {
		days = 30
	}
	for _, row := range readTheory(t) {
		cfg, measure, ok := row.asLine()
		if !ok {
			continue
		}
		p, err := compile(&cfg, &Start{})
		if err != nil {
			t.Fatalf("%+v: %v", row, err)
		}
		var samples []float64
		w := p.newWorker()
		w.stamps = make([]stamp, p.n)
		for d := range days {
			w.day(newStream(7, d), true)
			samples = append(samples, measure(w.stamps[theoryWarmUp:]))
		}
		row.compare(t, samples)
	}
}

func (r theory) compare(t *testing.T, samples []float64) {
	t.Helper()
	mean, se := meanAndError(samples)
	t.Logf("%-8s %d servers, %d sources: %s = %.5f ± %.5f, exact %.5f", r.kind, r.servers, r.n, r.measure, mean, se, r.exact)
	if math.Abs(mean-r.exact) > 4*se {
		t.Errorf("%+v: got %v ± %v, %.1f standard errors off", r, mean, se, (mean-r.exact)/se)
	}
	if se > r.exact/20 {
		t.Errorf("%+v: standard error %v is too wide to tell anything", r, se)
	}
}

func meanAndError(x []float64) (mean, se float64) {
	var sum, sq float64
	for _, v := range x {
		sum += v
	}
	mean = sum / float64(len(x))
	for _, v := range x {
		sq += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(sq / float64(len(x)-1) / float64(len(x)))
}

// asLine is the row as a crew line: arrivals are one mixer with more buckets
// than it can use, the servers are the rollers and casters; in a closed case
// mixers and pour are the stations and buckets the jobs.
func (r theory) asLine() (cfg Config, measure func([]stamp) float64, ok bool) {
	shortest := r.s1
	for _, s := range []float64{r.s2, 1 / r.lam} {
		if s > 0 && s < shortest {
			shortest = s
		}
	}
	scale := tick / shortest // ms per unit
	exp := func(mean float64) Dist { return Exponential(time.Duration(mean * scale * float64(time.Millisecond))) }
	cfg = Config{Batches: theoryWarmUp + theoryLength, Mixers: []Mixer{{}}, Runners: 1, Buckets: MaxBuckets, Rollers: r.servers}
	over := func(value func(s, before stamp) float64) func([]stamp) float64 {
		return func(all []stamp) float64 {
			var sum float64
			for i := 1; i < len(all); i++ {
				sum += value(all[i], all[i-1])
			}
			return sum / float64(len(all)-1)
		}
	}
	inSystem := over(func(s, _ stamp) float64 { return float64(s.done-s.raked) / scale })
	switch r.kind {
	case "open":
		cfg.Mixers[0].Mix, cfg.Roll = exp(1/r.lam), exp(r.s1)
		return cfg, over(func(s, _ stamp) float64 { return float64(s.rolled-s.raked) / scale }), true
	case "constant":
		cfg.Mixers[0].Mix, cfg.Roll = exp(1/r.lam), Fixed(time.Duration(r.s1*scale)*time.Millisecond)
		return cfg, inSystem, true
	case "tandem":
		cfg.Mixers[0].Mix, cfg.Roll, cfg.Broadcast = exp(1/r.lam), exp(r.s1), exp(r.s2)
		return cfg, inSystem, true
	case "repair":
		cfg.Mixers = make([]Mixer, r.n)
		for i := range cfg.Mixers {
			cfg.Mixers[i].Mix = exp(r.s1)
		}
		cfg.Pour, cfg.Buckets, cfg.Runners = exp(r.s2), r.n, r.n
		if r.measure == "D" {
			return cfg, over(func(s, _ stamp) float64 { return float64(count(s.pour > s.ready)) }), true
		}
		return cfg, over(func(s, _ stamp) float64 { return float64(s.poured-s.ready) / scale }), true
	case "loop2":
		cfg.Mixers[0].Mix, cfg.Pour, cfg.Buckets, cfg.Runners = exp(r.s1), exp(r.s1), r.n, r.n
		return cfg, func(all []stamp) float64 {
			first, last := all[0], all[len(all)-1]
			return float64(len(all)-1) / (float64(last.poured-first.poured) / scale)
		}, true
	}
	return cfg, nil, false
}

// TestEventsAgainstTheory builds the same queues from the event simulator's own
// clock and posts, with times from a library generator.
func TestEventsAgainstTheory(t *testing.T) {
	days := theoryDays / 3 // events cost more
	if testing.Short() || raceDetector {
		days = 15
	}
	for i, row := range readTheory(t) {
		var samples []float64
		for d := range days {
			q := network{row: row, r: rand.New(rand.NewPCG(uint64(i), uint64(d)))}
			samples = append(samples, q.run())
		}
		row.compare(t, samples)
	}
}

// network is a row as posts in a circle or behind a source.
type network struct {
	row   theory
	r     *rand.Rand
	c     clock
	posts []post
	crews []*group
	done  int
	sum   float64
	from  int64
}

const theoryScale = 1e6 // ticks per unit of time

func (q *network) exp(mean float64) int64 { return int64(mean * theoryScale * q.r.ExpFloat64()) }

func (q *network) stations(n, servers int) {
	q.posts = make([]post, n)
	for i := range q.posts {
		q.crews = append(q.crews, newGroup(&q.c, servers, &q.posts[i]))
	}
}

func (q *network) finished() bool { return q.done == theoryWarmUp+theoryLength }

// tally takes one finished job's measure.
func (q *network) tally(v float64) {
	q.done++
	if q.done == theoryWarmUp {
		q.from = q.c.now
	}
	if q.done > theoryWarmUp {
		q.sum += v
	}
}

func (q *network) run() float64 {
	r := q.row
	switch r.kind {
	case "open", "constant", "tandem":
		q.stations(2, r.servers)
		q.source()
	case "repair":
		q.stations(1, r.servers)
		for range r.n {
			q.machine()
		}
	case "loop2", "loop4":
		q.stations(map[string]int{"loop2": 2, "loop4": 4}[r.kind], 1)
		for range r.n {
			q.circle(0)
		}
	}
	q.c.run(q.finished)
	if r.measure == "X" {
		return theoryLength / (float64(q.c.now-q.from) / theoryScale)
	}
	return q.sum / theoryLength
}

func (q *network) source() {
	q.c.plan(q.c.now+q.exp(1/q.row.lam), 0, func() {
		in := q.c.now
		out := func(at int64) { q.tally(float64(at-in) / theoryScale) }
		service := q.exp(q.row.s1)
		if q.row.kind == "constant" {
			service = int64(q.row.s1 * theoryScale)
		}
		q.crews[0].add(&q.posts[0], job{takes: service, end: func(at int64) {
			if q.row.kind != "tandem" {
				out(at)
				return
			}
			q.crews[1].add(&q.posts[1], job{takes: q.exp(q.row.s2), end: out})
		}})
		q.source()
	})
}

func (q *network) machine() {
	q.c.plan(q.c.now+q.exp(q.row.s1), 0, func() {
		broke, waited := q.c.now, 0.0
		q.crews[0].add(&q.posts[0], job{
			takes: q.exp(q.row.s2),
			begin: func(at int64) { waited = float64(count(at > broke)) },
			end: func(at int64) {
				if q.row.measure == "D" {
					q.tally(waited)
				} else {
					q.tally(float64(at-broke) / theoryScale)
				}
				q.machine()
			},
		})
	})
}

func (q *network) circle(i int) {
	q.crews[i].add(&q.posts[i], job{takes: q.exp(q.row.s1), end: func(int64) {
		if i == len(q.posts)-1 {
			q.tally(0)
		}
		q.circle((i + 1) % len(q.posts))
	}})
}
