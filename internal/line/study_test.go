package line

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"floorpace/internal/stats"
)

func mustStudy(t *testing.T, cfg Config, start Start, run Run) Summary {
	t.Helper()
	s, err := Study(context.Background(), cfg, start, run)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// shaky is a line whose chances are neither nought nor one: two mixers, a pull
// close to the widest, spreads of a real crew. All invented.
func shaky(widthM float64) Config {
	cfg := cellar(2, widthM, 1, 34)
	cfg.StartInterval = 0
	cfg.WalkSpread = 0.15
	cfg.Pour, cfg.Rake = LogNormal(30*time.Second, 0.2), LogNormal(90*time.Second, 0.2)
	cfg.Roll, cfg.Broadcast = LogNormal(70*time.Second, 0.2), LogNormal(60*time.Second, 0.2)
	for i := range cfg.Mixers {
		cfg.Mixers[i] = Mixer{Mix: LogNormal(165*time.Second, 0.08), Clear: LogNormal(100*time.Second, 0.15)}
	}
	return cfg
}

func TestStudyDoesNotDependOnWorkers(t *testing.T) {
	cfg := shaky(6)
	one := mustStudy(t, cfg, Start{}, Run{Days: 1500, Seed: 5, Workers: 1})
	if one.EdgesHold < 0.02 || one.EdgesHold > 0.98 {
		t.Fatalf("chance %v: the line is too clear-cut to show a difference", one.EdgesHold)
	}
	for _, workers := range []int{0, 2, 3, 16, 1000} {
		if diff := cmp.Diff(one, mustStudy(t, cfg, Start{}, Run{Days: 1500, Seed: 5, Workers: workers})); diff != "" {
			t.Errorf("%d workers, one (-) against many (+):\n%s", workers, diff)
		}
	}
	other := mustStudy(t, cfg, Start{}, Run{Days: 1500, Seed: 6, Workers: 2})
	if cmp.Equal(one, other) {
		t.Error("another seed gave the same study")
	}
	if d := one.EdgesHold - other.EdgesHold; d > 0.08 || d < -0.08 {
		t.Errorf("two seeds give chances %v and %v, further apart than 1,500 days allow", one.EdgesHold, other.EdgesHold)
	}
}

func TestStudyByEventsIsTheSame(t *testing.T) {
	for _, start := range []Start{{}, midway()} {
		run := Run{Days: 200, Seed: 3, Workers: 2}
		cfg := shaky(6)
		events, err := StudyByEvents(context.Background(), cfg, start, run)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(events, mustStudy(t, cfg, start, run)); diff != "" {
			t.Errorf("events (-) against recursion (+):\n%s", diff)
		}
	}
}

// midway is a state after 20 batches of the warm cellar: one mixer mixing, one
// just emptied, a bucket on its way, the rake at work.
func midway() Start {
	s := Start{Laid: 22, PositionL: 20 * cellarYieldL}
	for i := range 20 {
		at := time.Duration(i-20)*135*time.Second + 60*time.Second
		s.History = append(s.History, Lay{float64(i) * cellarYieldL, float64(i+1) * cellarYieldL, at, at + 120*time.Second, 0})
	}
	s.Mixers = []MixerAt{{Mixing: true, Started: -80 * time.Second}, {FreeAt: 20 * time.Second}}
	s.Flight = []Flight{{Carried, -10 * time.Second, -175 * time.Second}}
	s.RunnersBack = []time.Duration{15 * time.Second}
	s.EmptyBack = []time.Duration{15 * time.Second}
	return s
}

// The use of every post, by hand: times that do not vary, a start every 90 s from
// three mixers, so that nothing ever waits. A bucket is with its batch through
// mixing, carrying and pouring, and comes back; while the mixer is scraped out it
// is not in it.
func TestUseByHand(t *testing.T) {
	const n, mix, clear, full, pour, rake, empty, roll = 300, 165, 105, 20, 30, 25, 15, 40
	sec := func(s int) time.Duration { return time.Duration(s) * time.Second }
	cfg := Config{
		Batches: n, Runners: 2, Buckets: 4, VolL: []float64{10}, StartInterval: 90 * time.Second,
		Full: []time.Duration{sec(full)}, Empty: []time.Duration{sec(empty)},
		Pour: Fixed(sec(pour)), Rake: Fixed(sec(rake)), Roll: Fixed(sec(roll)),
	}
	for range 3 {
		cfg.Mixers = append(cfg.Mixers, Mixer{Mix: Fixed(sec(mix)), Clear: Fixed(sec(clear))})
	}
	laid := 90.*(n-1) + mix + full + pour + rake // the last batch is started 299 turns after the first
	want := map[Post]float64{
		Mixing:        (n*mix + (n-3)*clear) / (3 * laid), // each stands clean at first
		Bucketing:     n * (mix + full + pour + empty) / (4 * laid),
		Carrying:      n * (full + pour + empty) / (2 * laid),
		PouringRaking: n * (pour + rake) / laid,
		Rolling:       n * roll / (laid + roll),
		Broadcasting:  0,
	}
	got := mustStudy(t, cfg, Start{}, Run{Days: 8, Seed: 1})
	for _, u := range got.Use {
		if math.Abs(u.Work-want[u.Post]) > 1e-4 {
			t.Errorf("%s at work %.4f, want %.4f", u.Post, u.Work, want[u.Post])
		}
	}
}

// A panic on any of the goroutines comes out where the caller can recover it.
func TestStudyPanicsWhereItWasCalled(t *testing.T) {
	cfg := shaky(6)
	for _, at := range []int32{1, 2, 7} {
		var calls atomic.Int32
		got := func() (r any) {
			defer func() { r = recover() }()
			_, err := Study(context.Background(), cfg, Start{}, Run{Days: 4000, Workers: 4, Tick: func(int) {
				if calls.Add(1) == at {
					panic("a broken day")
				}
			}})
			return err
		}()
		if got != "a broken day" {
			t.Errorf("panic in block %d: the caller got %v", at, got)
		}
	}
}

func TestStudyStopsWhenTold(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Study(ctx, shaky(6), Start{}, Run{Days: 100000}); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v, want the context's error", err)
	}
}

// One person for two posts is never faster than two, and the event simulator is
// used without being asked for.
func TestSharedPersonSlowsTheLine(t *testing.T) {
	cfg := shaky(6)
	own := mustStudy(t, cfg, Start{}, Run{Days: 100, Seed: 1})
	for _, share := range []Sharing{RakeAndRoll, RollAndBroadcast} {
		cfg.Shared = share
		shared := mustStudy(t, cfg, Start{}, Run{Days: 100, Seed: 1})
		if shared.Done.P50 <= own.Done.P50 {
			t.Errorf("sharing %d: done after %v, with people of their own %v", share, shared.Done.P50, own.Done.P50)
		}
		if share == RollAndBroadcast && shared.Laid != own.Laid {
			t.Errorf("sharing behind the rake moved the rake: %v, was %v", shared.Laid, own.Laid)
		}
	}
	// By hand: rake 120 s and roll 100 s by one person make a batch every 220 s
	// once mixing is no limit; 20 batches are laid after 100 + 19 × 220 + 120 s.
	cfg = Config{
		Batches: 20, Mixers: []Mixer{{Mix: Fixed(100 * time.Second)}}, Runners: 8, Buckets: 30,
		Rake: Fixed(120 * time.Second), Roll: Fixed(100 * time.Second), Shared: RakeAndRoll,
	}
	got := mustStudy(t, cfg, Start{}, Run{Days: 1}).Done.P50
	// Whoever waits longest is served first, so rolls and pours alternate or
	// not, but the person works without a break from 100 s on.
	if want := 100*time.Second + 20*220*time.Second; got != want {
		t.Errorf("one person for 20 rakings and rollings is done after %v, want %v", got, want)
	}
}

// A mixer dies: the chance falls; a narrower pull from there on raises it again.
func TestDeadMixerAndNarrowerPull(t *testing.T) {
	run := Run{Days: 1000, Seed: 11}
	both := mustStudy(t, shaky(4.5), midway(), run).EdgesHold
	dead := shaky(4.5)
	dead.Mixers[1].Down = true
	alone := mustStudy(t, dead, midway(), run).EdgesHold
	narrow := shaky(2)
	narrow.Mixers[1].Down = true
	saved := mustStudy(t, narrow, midway(), run).EdgesHold
	t.Logf("chance with two mixers %.3f, with one %.3f, with one and a narrower pull %.3f", both, alone, saved)
	if both < 0.6 || alone > 0.1 || saved < alone+0.3 {
		t.Errorf("chances %.3f, %.3f, %.3f do not fall and rise", both, alone, saved)
	}
}

// The failure of the warm cellar at kit 30: 120 min becomes 157.5 (worked by
// hand: 30 batches at 1:30 and 50 at 2:15).
func TestFailureAtKitThirty(t *testing.T) {
	first, rest := cellar(3, 6, 1, 30), cellar(2, 6, 1, 30)
	first.Batches, rest.Batches = 30, 50
	first.Checks, rest.Checks = nil, nil
	run := Run{Days: 50, Seed: 1}
	// Both begin with the first batch's own way from mixer to rake; it counts once.
	own := 165*time.Second + 25*time.Second
	got := mustStudy(t, first, Start{}, run).Laid.P50 + mustStudy(t, rest, Start{Laid: 30}, run).Laid.P50 - 2*own
	if want := 157*time.Minute + 30*time.Second; got < want-time.Minute || got > want+time.Minute {
		t.Errorf("laid after %v, want %v", got, want)
	}
}

// The integer places inside batches against a straight line drawn in floating
// point through the same laying times, cell by cell.
func TestEdgesAgainstPlainInterpolation(t *testing.T) {
	cfg, start := shaky(6), midway()
	cfg.PlannedDwell = 0
	cfg.Checks = nil
	for at := start.PositionL; at < start.PositionL+60*cellarYieldL; at += 1.7 {
		cfg.Checks = append(cfg.Checks, Check{CloseL: at, SpanL: 27, EdgeLife: 8 * time.Minute})
	}
	p, err := compile(&cfg, &start)
	if err != nil {
		t.Fatal(err)
	}
	w := p.newWorker()
	w.day(newStream(1, 1), true)
	laid := func(v float64) float64 {
		row := int(v / cellarYieldL) // the history begins at 0 with batches of the same size
		return float64(w.rows[row].start) + float64(w.rows[row].takes)*(v/cellarYieldL-float64(row))
	}
	want := math.Inf(-1)
	for _, c := range cfg.Checks {
		want = max(want, laid(c.CloseL)-laid(c.CloseL-c.SpanL)-msOf(c.EdgeLife))
	}
	var o outcome
	p.judge(w.rows, &o)
	// 2^-15 of a batch raked in two minutes is 4 ms, half of it at either end.
	if diff := float64(o.worstEdge) - want; math.Abs(diff) > 5 {
		t.Errorf("worst edge %d ms over, a plain line says %.1f", o.worstEdge, want)
	}
}

// The few worst cells of each batch against every cell: the study may look at
// fewer edges, but on every day it has to see the same worst one to within the
// rounding of a place inside a batch.
func TestFewWorstAgainstEveryCell(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	cfg := shaky(5.6)
	var every []Check
	for at := 5.0; at < 79*cellarYieldL; at += 0.05 {
		span := min(at, (3+2.6*r.Float64())*cellarRowM*cellarDeepM*1000)
		every = append(every, Check{CloseL: at, SpanL: span, EdgeLife: 494 * time.Second, Turn: 30 * time.Second})
	}
	cfg.Checks = every
	run := Run{Days: 400, Seed: 2, Workers: 2}
	all, err := StudyByEvents(context.Background(), cfg, Start{}, run)
	if err != nil {
		t.Fatal(err)
	}
	v := NewSieve(0, slices.Repeat([]float64{cellarYieldL}, cfg.Batches))
	for _, c := range every {
		v.Put(c, cfg.EdgeMargin.Seconds())
	}
	cfg.Checks = v.Checks()
	got := mustStudy(t, cfg, Start{}, run)
	diff := got.EdgesHold - all.EdgesHold
	t.Logf("%d of %d edges: chance %.4f, every cell %.4f, difference %+.4f; least slack P50 %v, %v",
		got.Checked, all.Checked, got.EdgesHold, all.EdgesHold, diff, got.EdgeSlack.P50, all.EdgeSlack.P50)
	if all.EdgesHold < 0.05 || all.EdgesHold > 0.95 {
		t.Errorf("chance %v is decided: it would not show a missed edge", all.EdgesHold)
	}
	if diff < 0 || diff > 0.005 {
		t.Errorf("chance %v against %v of every cell", got.EdgesHold, all.EdgesHold)
	}
}

// The study's quantiles are those of the stats package.
func TestQuantilesAreThoseOfStats(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	for n := 1; n < 300; n += 7 {
		list, want := make([]int32, n), make([]float64, n)
		for i := range list {
			list[i] = int32(r.Uint32()) >> r.IntN(32)
			want[i] = float64(list[i])
		}
		slices.Sort(want)
		sortTicks(list)
		for i, v := range list {
			if float64(v) != want[i] {
				t.Fatalf("%d values: place %d holds %d, want %v", n, i, v, want[i])
			}
		}
		for _, q := range []float64{0, 0.1, 0.5, 0.9, 1} {
			got, exact := quantile(list, q), stats.Quantile(want, q)
			if diff := got - exact; diff > 1e-3 || diff < -1e-3 {
				t.Errorf("%d values, quantile %v: %v, stats has %v", n, q, got, exact)
			}
		}
	}
}

func TestRefusals(t *testing.T) {
	for _, c := range []struct {
		name, says string
		break_     func(*Config, *Start, *Run)
	}{
		{"no days", "days: 0", func(_ *Config, _ *Start, r *Run) { r.Days = 0 }},
		{"no batches", "batches: 0", func(c *Config, _ *Start, _ *Run) { c.Batches = 0 }},
		{"no mixers", "mixers: 0", func(c *Config, _ *Start, _ *Run) { c.Mixers = nil }},
		{"all down", "all are down", func(c *Config, _ *Start, _ *Run) { c.Mixers[0].Down, c.Mixers[1].Down = true, true }},
		{"too many runners", "runners: 9", func(c *Config, _ *Start, _ *Run) { c.Runners = 9 }},
		{"no buckets", "buckets: 0", func(c *Config, _ *Start, _ *Run) { c.Buckets = 0 }},
		{"buckets out", "buckets: 1 in the loop", func(c *Config, s *Start, _ *Run) {
			c.Buckets, s.EmptyBack = 1, make([]time.Duration, 2)
		}},
		{"runners out", "runners: 1 in the crew", func(c *Config, s *Start, _ *Run) { c.Runners, s.RunnersBack = 1, make([]time.Duration, 2) }},
		{"negative pour", "pour: time -1000", func(c *Config, _ *Start, _ *Run) { c.Pour = Fixed(-time.Second) }},
		{"median zero", "mixer 1, mix: median 0", func(c *Config, _ *Start, _ *Run) { c.Mixers[1].Mix = LogNormal(0, 0.1) }},
		{"triangle", "rake: lowest", func(c *Config, _ *Start, _ *Run) { c.Rake = Triangular(3, 2, 1) }},
		{"nothing seen", "roll: no times seen", func(c *Config, _ *Start, _ *Run) { c.Roll = Observed(nil) }},
		{"a month a step", "longer than 24 h", func(c *Config, _ *Start, _ *Run) { c.Roll = Fixed(700 * time.Hour) }},
		{"walks", "full walks: 2 given for 80", func(c *Config, _ *Start, _ *Run) { c.Full = make([]time.Duration, 2) }},
		{"turns", "turns: 1 given for 80", func(c *Config, _ *Start, _ *Run) { c.Turn = make([]time.Duration, 1) }},
		{"volume", "batch 0: path volume 0 L", func(c *Config, _ *Start, _ *Run) { c.VolL = nil }},
		{"moves", "move 1", func(c *Config, _ *Start, _ *Run) { c.Moves = []Move{{5, 0}, {5, 0}} }},
		{"history gap", "history 1: begins at", func(_ *Config, s *Start, _ *Run) { s.History[1].FromL++ }},
		{"history end", "history ends at", func(_ *Config, s *Start, _ *Run) { s.PositionL++ }},
		{"reach", "reaches back to", func(c *Config, s *Start, _ *Run) {
			s.History = s.History[10:]
			c.Checks = []Check{{CloseL: s.PositionL + 1, SpanL: s.PositionL - 5, EdgeLife: time.Hour}}
		}},
		{"two pouring", "one is poured at a time", func(_ *Config, s *Start, _ *Run) { s.Flight = []Flight{{Where: Pouring}, {Where: Pouring}} }},
		{"order of buckets", "list them in pour order", func(_ *Config, s *Start, _ *Run) { s.Flight = []Flight{{Where: Waiting}, {Where: Carried}} }},
		{"too long", "forecast a shorter stretch", func(c *Config, _ *Start, _ *Run) {
			c.Batches, c.Rake, c.Turn = 5000, Fixed(2*time.Hour), nil
		}},
		{"too long by luck", "lasts longer than 12.4 days", func(c *Config, s *Start, _ *Run) {
			c.Rake, s.RollFree = Dist{}, []time.Duration{300 * time.Hour}
		}},
		{"check", "check 0", func(c *Config, _ *Start, _ *Run) { c.Checks = []Check{{SpanL: -1, EdgeLife: 1}} }},
	} {
		cfg, start, run := shaky(6), midway(), Run{Days: 10}
		c.break_(&cfg, &start, &run)
		_, err := Study(context.Background(), cfg, start, run)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: got %v, want an error saying %q", c.name, err, c.says)
		}
	}
}
