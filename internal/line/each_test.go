package line

import (
	"context"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"floorpace/internal/stats"
)

// The days one by one add up to the summary: the source of the right value is the
// summary of the same study, whose own figures other tests check.
func TestEachDayAddsUp(t *testing.T) {
	cfg := cellar(2, 6.9, 1, 33)
	for i := range cfg.Mixers {
		cfg.Mixers[i].Mix = LogNormal(165*time.Second, 0.02)
	}
	cfg.Rake = LogNormal(100*time.Second, 0.03)
	run := Run{Days: 1000, Seed: 3, Workers: 2}
	first, err := Study(context.Background(), cfg, Start{}, run)
	if err != nil {
		t.Fatal(err)
	}
	// Margins at which half of the days hold, so that there is something to count.
	cfg.EdgeMargin += first.EdgeSlack.P50
	cfg.BucketMargin = cfg.BucketLife - first.Dwell.P50
	want, err := Study(context.Background(), cfg, Start{}, run)
	if err != nil {
		t.Fatal(err)
	}
	got, days, err := StudyEach(context.Background(), cfg, Start{}, run)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("another summary:\n%s", diff)
	}
	var edges, buckets, both int
	var laid []float64
	for _, d := range days {
		edges += count(d.Edges)
		buckets += count(d.Buckets)
		both += count(d.Edges && d.Buckets)
		laid = append(laid, float64(d.Laid.Milliseconds()))
	}
	if e, b, q := float64(edges)/1000, float64(buckets)/1000, float64(both)/1000; e != want.EdgesHold || b != want.BucketsHold || q != want.Both {
		t.Errorf("edges %v, buckets %v, both %v; the summary says %v, %v, %v", e, b, q, want.EdgesHold, want.BucketsHold, want.Both)
	}
	if want.EdgesHold < 0.02 || want.EdgesHold > 0.98 || want.BucketsHold < 0.02 || want.BucketsHold > 0.98 {
		t.Errorf("edges %v and buckets %v are not open enough to tell", want.EdgesHold, want.BucketsHold)
	}
	slices.Sort(laid)
	for p, q := range map[float64]time.Duration{0.1: want.Laid.P10, 0.5: want.Laid.P50, 0.9: want.Laid.P90} {
		if ms := stats.Quantile(laid, p); time.Duration(ms*1e6)-q > time.Millisecond || q-time.Duration(ms*1e6) > time.Millisecond {
			t.Errorf("quantile %v is %v ms by the days, %v by the summary", p, ms, q)
		}
	}
	if _, _, err := StudyEach(context.Background(), cfg, Start{}, Run{}); err == nil {
		t.Error("no days were studied")
	}
}

// A walk with a shape of its own: three times in four the median, else twice as
// long, so by hand 1.25 medians in the mean; the recursion and the event simulator
// find the same, and a shape that is a lognormal is the spread.
func TestWalkShape(t *testing.T) {
	cfg := cellar(2, 6, 1, 30)
	cfg.WalkShape = Observed([]time.Duration{time.Second, time.Second, time.Second, 2 * time.Second})
	if got := cfg.walk().Table().mean() / (1 << fracBits); got < 1.2499 || got > 1.2501 {
		t.Errorf("mean walk %v medians, want 1.25", got)
	}
	run := Run{Days: 200, Seed: 5}
	a, err := Study(context.Background(), cfg, Start{}, run)
	if err != nil {
		t.Fatal(err)
	}
	b, err := StudyByEvents(context.Background(), cfg, Start{}, run)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(a, b); diff != "" {
		t.Errorf("event by event:\n%s", diff)
	}
	cfg.WalkSpread, cfg.WalkShape = 0.15, Dist{}
	c, err := Study(context.Background(), cfg, Start{}, run)
	if err != nil {
		t.Fatal(err)
	}
	cfg.WalkSpread, cfg.WalkShape = 0, LogNormal(time.Second, 0.15)
	d, err := Study(context.Background(), cfg, Start{}, run)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(c, d); diff != "" {
		t.Errorf("the same walk said in two ways:\n%s", diff)
	}
	cfg.WalkShape = Triangular(2, 1, 3)
	if _, err := Study(context.Background(), cfg, Start{}, run); err == nil {
		t.Error("a walk out of order was taken")
	}
}
