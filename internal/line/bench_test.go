package line

import (
	"testing"
	"time"
)

// benchConfig is an invented crew of three mixers, two runners and six buckets
// on a floor with three checks a batch.
func benchConfig(batches int) Config {
	mixer := Mixer{Mix: LogNormal(4*time.Minute, 0.15), Clear: LogNormal(15*time.Second, 0.3)}
	cfg := Config{
		Batches: batches, Mixers: []Mixer{mixer, mixer, mixer}, Runners: 2, Buckets: 6,
		WalkSpread: 0.15, Headway: 10 * time.Second,
		Pour: LogNormal(30*time.Second, 0.2), Rake: LogNormal(45*time.Second, 0.2),
		Roll: LogNormal(60*time.Second, 0.2), Broadcast: LogNormal(60*time.Second, 0.2),
		VolL: []float64{13.2}, EdgeMargin: 2 * time.Minute,
		BucketLife: 8 * time.Minute, ReactionAfter: time.Minute, PlannedDwell: 4 * time.Minute,
	}
	for k := range batches {
		walk := time.Duration(20+float64(k%100)/3) * time.Second
		cfg.Full, cfg.Empty = append(cfg.Full, walk), append(cfg.Empty, walk*3/4)
		for i := range 3 {
			at := (float64(k) + 0.2 + 0.3*float64(i)) * 13.2
			if at > 45 {
				cfg.Checks = append(cfg.Checks, Check{CloseL: at, SpanL: 40 + float64(i), EdgeLife: 9 * time.Minute})
			}
		}
	}
	return cfg
}

func benchDays(b *testing.B, cfg Config, start Start) {
	p, err := compile(&cfg, &start)
	if err != nil {
		b.Fatal(err)
	}
	w := p.newWorker()
	b.ReportAllocs()
	day := 0
	for b.Loop() {
		w.day(newStream(1, day), counted(day)) // a new day each time: fresh variates
		day++
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*cfg.Batches), "ns/batch")
}

func BenchmarkDay100(b *testing.B) { benchDays(b, benchConfig(100), Start{}) }

func BenchmarkDay100NoChecks(b *testing.B) {
	cfg := benchConfig(100)
	cfg.Checks = nil
	benchDays(b, cfg, Start{})
}
