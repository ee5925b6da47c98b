package advice

import (
	"context"
	"fmt"
	"testing"
	"time"

	"floorpace/internal/line"
	"floorpace/internal/pace"
)

// everyPair is the line of a scene with every edge of the path checked.
func everyPair(s *scene) (cfg line.Config, st line.Start) {
	cfg, st = s.build()
	cfg.Checks = nil
	if !s.fresh {
		for _, c := range s.floor.Path.Edge(s.posL) {
			if o, ok := s.open[c.Index]; ok && c.CloseL < s.endL {
				cfg.Checks = append(cfg.Checks, line.Check{CloseL: c.CloseL, SpanL: c.CloseL - c.LaidL, EdgeLife: max(time.Millisecond, o.dead-o.laid)})
			}
		}
	}
	s.eachAhead(cfg.VolL, func(c line.Check, _ float64) { cfg.Checks = append(cfg.Checks, c) })
	st.History = s.history(cfg.Checks)
	return cfg, st
}

// mostMissed is how much chance the few edges of a batch may hide against every
// edge: half of what 2,000 days can tell apart.
const mostMissed = 0.005

// The few edges that a study looks at against every edge of the path, on the same
// days, where neither outcome is sure. The source of the right value is the study
// of every pair itself.
func TestFewEdgesAgainstEveryPair(t *testing.T) {
	run := line.Run{Days: 1000, Seed: 1, Workers: 2}
	undecided := 0
	check := func(name string, s *scene) {
		t.Helper()
		few, err := run1(s.build())(run)
		if err != nil {
			t.Fatal(err)
		}
		all, err := run1(everyPair(s))(run)
		if err != nil {
			t.Fatal(err)
		}
		diff := few.EdgesHold - all.EdgesHold
		if all.EdgesHold > 0.02 && all.EdgesHold < 0.98 {
			undecided++
			t.Logf("%s: chance %.3f by %d edges, %.3f by all %d, difference %+.4f", name, few.EdgesHold, few.Checked, all.EdgesHold, all.Checked, diff)
		}
		if diff < 0 || diff > mostMissed {
			t.Errorf("%s: chance %.3f by %d edges, %.3f by all %d", name, few.EdgesHold, few.Checked, all.EdgesHold, all.Checked)
		}
	}
	for _, spread := range []float64{0.05, 0.10, 0.15} {
		for mixers, pulls := range [][]float64{1: {2.25, 2.5, 2.75}, 2: {4, 4.5, 5, 5.5}, 3: {4, 4.5, 9}} {
			for _, pull := range pulls {
				p := cellar(mixers, spread)
				floors, err := pace.Floors(p)
				if err != nil {
					t.Fatal(err)
				}
				s := begin(p, floors[0], pace.HandsOf(p))
				if pull < 9 {
					if s.floor, err = floors[0].Narrow(0, pull, 0, false); err != nil {
						t.Fatal(err)
					}
				}
				check(fmt.Sprintf("%d mixers, spread %.2f, pull %.1f", mixers, spread, pull), s)
			}
		}
	}
	for _, n := range []int{8, 13} { // in the middle of the day, with an edge that waits
		d := open(t, cellar(3, 0.04))
		d.pour(n, 100*time.Second, 205*time.Second, 1, 2, 3)
		for _, wait := range []time.Duration{0, 20 * time.Second, 20 * time.Second} {
			d.at = d.at.Add(wait)
			check(fmt.Sprintf("after %d batches, %v late", n, wait), look(d.look()))
		}
	}
	if undecided < 12 {
		t.Errorf("only %d cases are undecided: the comparison is too narrow", undecided)
	}
}

func run1(cfg line.Config, st line.Start) func(line.Run) (line.Summary, error) {
	return func(r line.Run) (line.Summary, error) { return line.Study(context.Background(), cfg, st, r) }
}
