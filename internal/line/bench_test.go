package line

import (
	"context"
	"fmt"
	"syscall"
	"testing"
	"time"
)

// benchConfig is an invented crew of three mixers, two runners and six buckets:
// seven steps a batch (mix, carry, pour, walk, rake, roll, broadcast) and the
// clearing, every one with spread, and checks edges per batch, which hold on most
// days. Learned mixers
// have times of their own, as after a few batches of a real day.
func benchConfig(batches, checks int, learned bool) Config {
	cfg := Config{
		Batches: batches, Runners: 2, Buckets: 6,
		WalkSpread: 0.15, Headway: 10 * time.Second,
		Pour: LogNormal(30*time.Second, 0.2), Rake: LogNormal(45*time.Second, 0.2),
		Roll: LogNormal(60*time.Second, 0.2), Broadcast: LogNormal(60*time.Second, 0.2),
		VolL: []float64{13.2}, EdgeMargin: 2 * time.Minute,
		BucketLife: 8 * time.Minute, ReactionAfter: time.Minute, PlannedDwell: 4 * time.Minute,
	}
	for i := range 3 {
		m := Mixer{Mix: LogNormal(4*time.Minute, 0.15), Clear: LogNormal(15*time.Second, 0.3)}
		if learned {
			m.Mix = LogNormal(4*time.Minute+time.Duration(i)*5*time.Second, 0.15)
		}
		cfg.Mixers = append(cfg.Mixers, m)
	}
	for k := range batches {
		walk := time.Duration(20+float64(k%100)/3) * time.Second
		cfg.Full, cfg.Empty = append(cfg.Full, walk), append(cfg.Empty, walk*3/4)
		for i := range checks {
			at := (float64(k) + (float64(i)+0.5)/float64(checks)) * 13.2
			if at > 45 {
				cfg.Checks = append(cfg.Checks, Check{CloseL: at, SpanL: 40 + float64(i), EdgeLife: 11 * time.Minute})
			}
		}
	}
	return cfg
}

// fewEdges is how many edges a batch keeps that a [Sieve] has been through: four to
// six on the test floors.
const fewEdges = 5

// cpu is the processor time this process has used: unlike the clock it does not
// count what other programs do to the machine.
func cpu(b *testing.B) time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// BenchmarkBatch is the CPU time of one simulated batch on one core, a new day
// every time: by the length of the day and the number of edges checked.
func BenchmarkBatch(b *testing.B) {
	for _, c := range []struct {
		batches, checks int
		learned         bool
	}{{100, 0, false}, {100, 1, false}, {100, 4, false}, {100, 0, true}, {50, 0, false}, {500, 0, false}, {5000, 0, false}} {
		b.Run(fmt.Sprintf("%d_batches/%d_edges/learned_%v", c.batches, c.checks, c.learned), func(b *testing.B) {
			cfg := benchConfig(c.batches, c.checks, c.learned)
			p, err := compile(&cfg, &Start{})
			if err != nil {
				b.Fatal(err)
			}
			w := p.newWorker()
			b.ReportAllocs()
			from, day := cpu(b), 0
			for b.Loop() {
				w.day(newStream(1, day), counted(day))
				day++
			}
			b.ReportMetric(float64((cpu(b)-from).Nanoseconds())/float64(b.N*c.batches), "cpu-ns/batch")
		})
	}
}

// BenchmarkStudy is a whole study of 10,000 days of 100 batches, tables and
// quantiles included, on one core and on two.
func BenchmarkStudy(b *testing.B) {
	for _, c := range []struct{ workers, checks int }{{1, 0}, {2, 0}, {1, fewEdges}} {
		workers, cfg := c.workers, benchConfig(100, c.checks, false)
		b.Run(fmt.Sprintf("workers_%d/%d_edges", workers, c.checks), func(b *testing.B) {
			from, seed := cpu(b), uint64(0)
			for b.Loop() {
				seed++
				if _, err := Study(context.Background(), cfg, Start{}, Run{Days: 10000, Seed: seed, Workers: workers}); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64((cpu(b)-from).Nanoseconds())/float64(b.N)/1e6, "cpu-ns/batch")
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/1e6, "ns/batch")
		})
	}
}

// BenchmarkReforecast is a forecast from the middle of the day: 2,000 days of the 50
// batches left, tables and quantiles included. Each time one mixer has just been
// timed anew, as a press does, so its table is made and the others are on the shelf.
func BenchmarkReforecast(b *testing.B) {
	for _, checks := range []int{0, fewEdges} {
		b.Run(fmt.Sprintf("%d_edges", checks), func(b *testing.B) {
			cfg, start := benchConfig(50, checks, true), Start{Laid: 50, Mixers: []MixerAt{
				{Mixing: true, Started: -time.Minute}, {Mixing: true, Started: -2 * time.Minute}, {Mixing: true, Started: -3 * time.Minute},
			}}
			from, seed := cpu(b), uint64(0)
			for b.Loop() {
				seed++
				cfg.Mixers[seed%3].Mix = LogNormal(4*time.Minute+time.Duration(seed%9000)*time.Millisecond, 0.15)
				if _, err := Study(context.Background(), cfg, start, Run{Days: 2000, Seed: seed, Workers: 1}); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64((cpu(b)-from).Nanoseconds())/float64(b.N)/1e6, "cpu-ms/forecast")
		})
	}
}

// BenchmarkAgainstEvents runs new days on both engines, turn by turn, so that the
// ratio is of the same minutes of the same machine.
func BenchmarkAgainstEvents(b *testing.B) {
	cfg := benchConfig(100, 1, false)
	p, err := compile(&cfg, &Start{})
	if err != nil {
		b.Fatal(err)
	}
	w, o := p.newWorker(), p.newWorker()
	var fast, slow time.Duration
	const each = 64
	day := 0
	for b.Loop() {
		from := cpu(b)
		for d := range each * each { // every day is a new one: no branch is learned by heart
			w.day(newStream(1, day+d), false)
		}
		middle := cpu(b)
		for d := range each {
			o.dayByEvents(newStream(1, day+d), false)
		}
		fast, slow = fast+(middle-from)/each, slow+cpu(b)-middle
		day += each * each
	}
	b.ReportMetric(float64(slow.Nanoseconds())/float64(b.N*each*100), "events-cpu-ns/batch")
	b.ReportMetric(float64(slow)/float64(fast), "times-faster")
}

// BenchmarkTwoCores runs whole studies on one core and on two, turn by turn, and
// prints how many times faster two are by the clock.
func BenchmarkTwoCores(b *testing.B) {
	cfg, seed := benchConfig(100, 0, false), uint64(0)
	var took [3]time.Duration
	for b.Loop() {
		seed++
		for _, workers := range []int{1, 2} {
			began := time.Now()
			if _, err := Study(context.Background(), cfg, Start{}, Run{Days: 10000, Seed: seed, Workers: workers}); err != nil {
				b.Fatal(err)
			}
			took[workers] += time.Since(began)
		}
	}
	b.ReportMetric(float64(took[1])/float64(took[2]), "times-faster")
}

// BenchmarkGrowth runs days of 50 and of 5,000 batches, turn by turn, and prints how
// much more CPU a batch of the long day takes: 1 is flat.
func BenchmarkGrowth(b *testing.B) {
	const short, long = 50, 5000
	var w [2]*worker
	for i, n := range []int{short, long} {
		cfg := benchConfig(n, 0, false)
		p, err := compile(&cfg, &Start{})
		if err != nil {
			b.Fatal(err)
		}
		w[i] = p.newWorker()
	}
	var took [2]time.Duration
	day := 0
	for b.Loop() {
		from := cpu(b)
		for d := range 2 * long / short {
			w[0].day(newStream(1, day+d), false)
		}
		middle := cpu(b)
		for d := range 2 {
			w[1].day(newStream(1, day+d), false)
		}
		took[0], took[1] = took[0]+middle-from, took[1]+cpu(b)-middle
		day += 2 * long / short
	}
	b.ReportMetric(float64(took[1])/float64(took[0]), "growth-50-to-5000")
}
