package advice

import (
	"context"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"floorpace/internal/pace"
)

// Test day 1 before the day, by hand: two and one mixers lose the 9 m pull, three
// hold it, and four widths of the pull say the same. 80 kits.
func TestForecastOfWarmCellar(t *testing.T) {
	p := cellar(2, 0.02)
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	var steps, total int
	r, err := Forecast(context.Background(), p, floors, Options{Days: 300, Seed: 1}, func(done, all int) {
		if done != steps+1 {
			t.Errorf("progress from %d to %d", steps, done)
		}
		steps, total = done, all
	})
	if err != nil {
		t.Fatal(err)
	}
	if steps != total || total != 17 {
		t.Errorf("progress ends at %d of %d, want 17: the plan, 12 crews, 4 widths", steps, total)
	}
	if r.Both > 0.05 || r.Zones[0].Kits != 80 || r.Zones[0].LostAt == 0 {
		t.Errorf("as planned: %+v", r.Zones[0])
	}
	for _, c := range r.Crews {
		if want := c.Mixers >= 3; (c.Edge > 0.95) != want {
			t.Errorf("%d mixers, %d runners: %.3f, want held %v", c.Mixers, c.Runners, c.Edge, want)
		}
	}
	if s := r.Smallest; s == nil || s.Mixers != 3 || s.Runners != 1 {
		t.Errorf("smallest crew %+v, want 3 mixers and 1 runner", s)
	}
	if len(r.Widths) != 4 || math.Abs(r.Widths[0].WidthM-9) > 1e-9 || r.Widths[0].Edge > 0.05 || r.Widths[0].TapeM != 0 {
		t.Fatalf("widths %+v", r.Widths)
	}
	if w := r.Widths[2]; math.Abs(w.WidthM-4.5) > 1e-9 || w.Edge < 0.95 || w.TapeM < 20 {
		t.Errorf("half the pull %+v, want it to hold", w)
	}
	one, err := Forecast(context.Background(), p, floors, Options{Days: 300, Seed: 1, Workers: 1}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(r, one); diff != "" {
		t.Errorf("one core finds other figures:\n%s", diff)
	}
}

func TestForecastRefuses(t *testing.T) {
	p := cellar(2, 0.02)
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Forecast(context.Background(), p, nil, Options{Days: 10}, nil); err == nil {
		t.Error("no floors were studied")
	}
	if _, err := Forecast(context.Background(), p, floors, Options{}, nil); err == nil {
		t.Error("no days were studied")
	}
	p.Readings.SlabC = 8
	r, err := Forecast(context.Background(), p, floors, Options{Days: 100}, nil)
	if err != nil || r.Zones[0].Missing == "" || r.Both != 0 {
		t.Errorf("outside the sheet: %v, %+v", err, r.Zones)
	}
}
