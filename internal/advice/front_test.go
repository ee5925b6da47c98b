package advice

import (
	"context"
	"testing"
	"time"

	"floorpace/internal/floor"
	"floorpace/internal/pace"
)

// The console holds a start that the front cannot take, so mixers that are faster
// than the rake, or than one runner on a long way, fill no queue. By hand on test day
// 1: four mixers could start every 67.5 s, but pour and rake take 30 + 33 s and the
// turns another 11 s a batch (29 of 30 s in 80 batches); a batch is 3:26 old at the
// front when nothing waits, the limit is 3:46. Across half the pull a batch meets two
// turns in places, 63 + 60 s, and across a quarter three: slower, but no bucket dies.
func TestNothingIsMixedIntoAQueue(t *testing.T) {
	p := cellar(3, 0.02)
	p.Crew.RakeM2Min = 4
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Forecast(context.Background(), p, floors, Options{Days: 300, Seed: 1}, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range r.Crews {
		if c.Mixers >= 3 && c.Both < 0.95 {
			t.Errorf("%d mixers, %d runners: edge %.3f, with the buckets %.3f", c.Mixers, c.Runners, c.Edge, c.Both)
		}
	}
	for _, w := range r.Widths {
		if w.Both < 0.95 {
			t.Errorf("pull %.2f m: edge %.3f, with the buckets %.3f", w.WidthM, w.Edge, w.Both)
		}
	}
}

// One runner and a way that grows to 50 m: 0:42 there, 0:36 back and 0:30 of pouring
// are a batch every 1:48 at the far end, by hand, and 1:11 at the near one; the
// starts follow it, and what is out is no older than its way.
func TestStartsFollowTheWay(t *testing.T) {
	p := cellar(4, 0.01)
	p.Crew.Runners, p.Crew.RakeM2Min = 1, 8
	p.Readings.KitC = 25
	p.Zones[0].Station = floor.Point{X: 3, Y: -28}
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	s := begin(p, floors[0], pace.HandsOf(p))
	v, err := run{ctx: context.Background(), days: 300, seed: 1}.study(s)
	if err != nil {
		t.Fatal(err)
	}
	cfg, _ := s.build()
	old := 165*time.Second + cfg.Full[cfg.Batches-1] + 30*time.Second
	if v.Dwell.P90 > old+30*time.Second {
		t.Errorf("the oldest bucket is %v old, mixed, carried and poured without waiting %v", v.Dwell.P90, old)
	}
	var all time.Duration
	for k := range cfg.Batches {
		all += cfg.Full[k] + 30*time.Second + cfg.Empty[k]
	}
	if d := v.Laid.P50 - all; d < 0 || d > 12*time.Minute {
		t.Errorf("down after %v; the runner alone is under way for %v", v.Laid.P50, all)
	}
}
