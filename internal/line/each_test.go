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
