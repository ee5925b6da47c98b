package advice

import (
	"context"
	"fmt"
	"math"
	"testing"
	"time"

	"floorpace/internal/floor"
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

// Edges taken from the floor itself, without cells: on a pull 9 m wide each point of
// a row waits for 9 m · 0.75 m · 6 mm = 40.5 L, from the first to the last. Every
// 2 cm of the rows are looked at, and both sides of every place where one batch ends
// and the next begins. The plan's own edges must find the same days lost: a cell that
// is passed over at such a place hides a whole lull.
func TestEdgesOfAPlainFloor(t *testing.T) {
	const rowL, rows, step = 40.5, 14, 0.09
	for _, spread := range []float64{0.08, 0.1} {
		p := cellar(3, spread)
		p.Zones[0].Outline = floor.Polygon{{X: 0, Y: 0}, {X: 9, Y: 0}, {X: 9, Y: rows * 0.75}, {X: 0, Y: rows * 0.75}}
		floors, err := pace.Floors(p)
		if err != nil {
			t.Fatal(err)
		}
		s := begin(p, floors[0], pace.HandsOf(p))
		cfg, st := s.build()
		run := line.Run{Days: 3000, Seed: 1, Workers: 2}
		got, err := run1(cfg, st)(run)
		if err != nil {
			t.Fatal(err)
		}
		life, ok := s.edgeLife(s.blend, -1)
		if !ok {
			t.Fatal("no edge life")
		}
		cfg.Checks = nil
		look := func(closeL float64) {
			if closeL > rowL && closeL < rows*rowL {
				cfg.Checks = append(cfg.Checks, line.Check{CloseL: closeL, SpanL: rowL, EdgeLife: life})
			}
		}
		for i := range int(rows * rowL / step) {
			look(float64(i) * step)
		}
		at := 0.0
		for _, v := range cfg.VolL {
			look(at)
			look(at - 1e-6 + rowL)
			at += v
		}
		want, err := run1(cfg, st)(run)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("spread %.2f: %d edges of the plan hold on %.3f, %d of the floor on %.3f", spread, got.Checked, got.EdgesHold, want.Checked, want.EdgesHold)
		if want.EdgesHold < 0.1 || want.EdgesHold > 0.9 {
			t.Errorf("spread %.2f: chance %.3f tells nothing apart", spread, want.EdgesHold)
		}
		if math.Abs(got.EdgesHold-want.EdgesHold) > mostMissed {
			t.Errorf("spread %.2f: chance %.3f by the plan's edges, %.3f by those of the floor", spread, got.EdgesHold, want.EdgesHold)
		}
	}
}
