package advice

import (
	"context"
	"encoding/json"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"floorpace/internal/floor"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
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
		if done <= steps || done > steps+64 { // moves on within a study, a block at a time
			t.Errorf("progress from %d to %d", steps, done)
		}
		steps, total = done, all
	})
	if err != nil {
		t.Fatal(err)
	}
	if steps != total || total != 17*300 {
		t.Errorf("progress ends at %d of %d, want 17 × 300: the plan, 12 crews, 4 widths", steps, total)
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
}

// A zone without a figure leaves nothing that rests on every zone: no totals, no
// opening, no crews, in data nothing or null. Another zone keeps its own figures.
func TestForecastInventsNoFigure(t *testing.T) {
	second := func(p *plan.Plan) {
		z := p.Zones[0]
		z.Name, z.Spots = "Annex", []floor.Spot{{Name: "pipe", At: floor.Point{X: 2, Y: 2}, RadiusM: 1}}
		p.Zones = append(p.Zones, z)
	}
	for name, c := range map[string]struct {
		change func(*plan.Plan)
		zones  int // that keep figures
	}{
		"cold slab": {func(p *plan.Plan) { p.Readings.SlabC = 8 }, 0},
		"hot slab":  {func(p *plan.Plan) { p.Readings.SlabC = 40 }, 0},
		"hot spot": {func(p *plan.Plan) {
			second(p)
			p.Readings.Spots = []plan.SpotReading{{Zone: "Annex", Spot: "pipe", SlabC: 40}}
		}, 1},
	} {
		p := cellar(3, 0.02)
		c.change(p)
		floors, err := pace.Floors(p)
		if err != nil {
			t.Fatal(err)
		}
		r, err := Forecast(context.Background(), p, floors, Options{Days: 100}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if r.Holds() || r.Whole != nil || r.Opening != nil || r.InTime != nil || len(r.Crews) > 0 || r.Smallest != nil || len(r.Missing) != 1 {
			t.Errorf("%s: %+v", name, r)
		}
		for i, z := range r.Zones {
			if has := z.Found != nil; has != (i < c.zones) || has == (z.Missing != "") {
				t.Errorf("%s: zone %s: %+v", name, z.Zone, z)
			}
		}
		if len(r.Widths) != c.zones*widthParts {
			t.Errorf("%s: widths %+v", name, r.Widths)
		}
		text, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		var data map[string]any
		if err := json.Unmarshal(text, &data); err != nil {
			t.Fatal(err)
		}
		for _, key := range []string{"edge_holds", "both", "laid_p50_s", "opening", "in_time", "crews", "smallest_crew"} {
			if data[key] != nil {
				t.Errorf("%s: data gives %s as %v", name, key, data[key])
			}
		}
	}
}

// The planned crew's row is the head's, with the plan's own buckets however few;
// a crew beyond the table has a row of its own.
func TestPlannedCrewRowIsTheHead(t *testing.T) {
	for _, c := range []struct{ mixers, buckets, rows int }{{3, 3, 12}, {2, 8, 12}, {5, 6, 13}} {
		p := cellar(c.mixers, 0.1)
		p.Crew.Buckets = c.buckets
		floors, err := pace.Floors(p)
		if err != nil {
			t.Fatal(err)
		}
		r, err := Forecast(context.Background(), p, floors, Options{Days: 200, Seed: 3}, nil)
		if err != nil {
			t.Fatal(err)
		}
		planned := 0
		for _, q := range r.Crews {
			if !q.Planned {
				continue
			}
			planned++
			if q.Buckets != c.buckets || q.Edge != r.Edge || q.Both != r.Both || q.P50S != r.P50S {
				t.Errorf("%+v: row %+v, head %+v", c, q, *r.Whole)
			}
		}
		if planned != 1 || len(r.Crews) != c.rows {
			t.Errorf("%+v: %d planned of %d rows", c, planned, len(r.Crews))
		}
	}
}

// No zone has the luck of another one under a seed nearby.
func TestZoneSeeds(t *testing.T) {
	seen := map[uint64]bool{}
	for seed := range uint64(100) {
		for zone := range 20 {
			if s := zoneSeed(seed, zone); seen[s] {
				t.Fatalf("seed %d, zone %d: the same luck as another one", seed, zone)
			} else {
				seen[s] = true
			}
		}
	}
}
