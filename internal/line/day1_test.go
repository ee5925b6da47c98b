package line

import (
	"context"
	"fmt"
	"testing"
	"time"
)

// The warm cellar: 9 m wide, rows of 0.75 m, 6 mm deep, 14 L kits less 6 % loss,
// mixer cycle 4:30, edge life 8:14, bucket life 4:46, edge margin 2:00, turn
// 0:30, bucket margin 1:00. Every verdict below was worked out by hand from
// widest pull = (edge life − margin − turn) · rate / row depth; no step of it
// uses a simulation.
const (
	cellarYieldL = 14 / 1.06
	cellarRowM   = 0.75
	cellarDeepM  = 0.006
)

// cellar is the line with mixers started in turn, the rake filling the time
// between two batches, and steps that hardly vary.
func cellar(mixers int, widthM, rows, carryM float64) Config {
	const spread = 0.002
	cycle := 270 * time.Second
	interval := cycle / time.Duration(mixers)
	cfg := Config{
		Batches: 80, Runners: 3, Buckets: 8, WalkSpread: spread,
		Full:          []time.Duration{time.Duration(carryM / 1.2 * float64(time.Second))},
		Empty:         []time.Duration{time.Duration(carryM / 1.5 * float64(time.Second))},
		Pour:          LogNormal(30*time.Second, spread),
		Rake:          LogNormal(interval-31*time.Second, spread),
		VolL:          []float64{cellarYieldL},
		StartInterval: interval,
		EdgeMargin:    2 * time.Minute, BucketLife: 286 * time.Second, BucketMargin: time.Minute,
	}
	for range mixers {
		cfg.Mixers = append(cfg.Mixers, Mixer{Mix: LogNormal(165*time.Second, spread), Clear: LogNormal(100*time.Second, spread)})
	}
	spanL := rows * widthM * cellarRowM * cellarDeepM * 1000
	for at := spanL; at < 79*cellarYieldL; at += cellarYieldL / 4 {
		cfg.Checks = append(cfg.Checks, Check{CloseL: at, SpanL: spanL, EdgeLife: 494 * time.Second, Turn: 30 * time.Second})
	}
	return cfg
}

func TestWarmCellarVerdicts(t *testing.T) {
	for _, c := range []struct {
		name         string
		mixers       int
		width, rows  float64
		carry        float64
		edge, bucket bool
		laid         time.Duration
	}{
		{"three mixers, 9 m, same side", 3, 9, 1, 30, true, true, 120 * time.Minute},
		{"three mixers, 9 m, to and fro", 3, 9, 2, 30, false, true, 120 * time.Minute},
		{"two mixers, 9 m", 2, 9, 1, 30, false, true, 180 * time.Minute},
		{"two mixers, 6 m", 2, 6, 1, 30, true, true, 180 * time.Minute},
		{"two mixers, just under the widest pull of 7.47 m", 2, 7.47 * 0.96, 1, 30, true, true, 180 * time.Minute},
		{"two mixers, just over it", 2, 7.47 * 1.04, 1, 30, false, true, 180 * time.Minute},
		{"one mixer, just under the widest pull of 3.74 m", 1, 3.74 * 0.96, 1, 30, true, true, 360 * time.Minute},
		{"one mixer, just over it", 1, 3.74 * 1.04, 1, 30, false, true, 360 * time.Minute},
		{"station at 46 m: dwell 3:53 against 3:46", 3, 9, 1, 46, true, false, 120 * time.Minute},
		{"station just inside 37.2 m", 3, 9, 1, 35, true, true, 120 * time.Minute},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := Study(context.Background(), cellar(c.mixers, c.width, c.rows, c.carry), Start{}, Run{Days: 500, Seed: 1})
			if err != nil {
				t.Fatal(err)
			}
			if err := sure(got.EdgesHold, c.edge); err != nil {
				t.Errorf("edges hold: %v (slack %v)", err, got.EdgeSlack)
			}
			if err := sure(got.BucketsHold, c.bucket); err != nil {
				t.Errorf("buckets hold: %v (dwell %v)", err, got.Dwell)
			}
			// The hand figure counts whole intervals; the first batch also has
			// to be mixed, carried and raked once.
			if d := got.Laid.P50 - c.laid; d < 0 || d > 8*time.Minute {
				t.Errorf("laid after %v, want %v and the first batch's own time", got.Laid.P50, c.laid)
			}
		})
	}
}

func sure(chance float64, want bool) error {
	if want && chance < 0.99 || !want && chance > 0.01 {
		return fmt.Errorf("chance %.3f, want %v", chance, want)
	}
	return nil
}
