package pace

import (
	"math"
	"strings"
	"testing"
	"time"

	"floorpace/internal/floor"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
)

func mins(m float64) time.Duration { return time.Duration(math.Round(m * float64(time.Minute))) }

func hours(h float64) time.Duration { return time.Duration(math.Round(h * float64(time.Hour))) }

func table(unit func(float64) time.Duration, points ...float64) sheet.Table {
	var t sheet.Table
	for i := 0; i+1 < len(points); i += 2 {
		t.Points = append(t.Points, sheet.Point{TempC: points[i], Time: unit(points[i+1])})
	}
	return t
}

// A flow urethane with an accelerated blend: invented. The plain one is that of
// the worked days.
func urethane() sheet.Sheet {
	steps := []sheet.Step{{Name: "A and colour", Time: mins(0.5)}, {Name: "B in", Time: mins(1), Starts: true}, {Name: "aggregate", Time: mins(1)}}
	return sheet.Sheet{Name: "U", Blends: []sheet.Blend{
		{
			Name: "plain", YieldL: 14, Steps: steps, Parts: []sheet.Part{{Name: "A"}, {Name: "B"}, {Name: "aggregate"}},
			BucketLife:     table(mins, 10, 14, 20, 8, 30, 4.5),
			EdgeLife:       table(mins, 10, 20, 20, 12, 30, 7),
			RollUntil:      table(mins, 10, 15, 20, 9, 30, 5),
			BroadcastUntil: table(mins, 10, 18, 20, 11, 30, 6),
			Cures:          []sheet.Cure{{Use: sheet.UseWashDown, Hours: table(hours, 10, 40, 15, 30, 20, 20, 25, 16, 30, 13)}},
		},
		{
			Name: "quick", Accelerated: true, YieldL: 14, Steps: steps, Parts: []sheet.Part{{Name: "A"}, {Name: "B"}, {Name: "aggregate"}, {Name: "accelerator"}},
			BucketLife: table(mins, 5, 12, 20, 6, 30, 3.5),
			EdgeLife:   table(mins, 5, 9, 10, 7.5, 20, 4.5),
			Cures:      []sheet.Cure{{Use: sheet.UseWashDown, Hours: table(hours, 5, 20, 10, 14, 20, 8)}},
		},
	}}
}

// rectangle is a plan of one zone, w across the pull and l along it, with the
// station 24 m from where the first bucket is poured.
func rectangle(w, l float64) *plan.Plan {
	p := plan.Default()
	p.Title, p.Sheet = "rectangle", urethane()
	p.Handover = time.Date(2026, 5, 4, 6, 0, 0, 0, time.UTC)
	p.Opening = p.Handover.Add(72 * time.Hour)
	p.OpeningUse = sheet.UseWashDown
	c := &p.Crew
	c.Mixers, c.Runners, c.Buckets = 3, 3, 9
	c.Scrape, c.Reset = 15*time.Second, 105*time.Second
	c.Load, c.Pour, c.WalkFull, c.WalkEmpty = 5*time.Second, 30*time.Second, 1.2, 1.2
	c.RakeM2Min, c.RollM2Min, c.BroadM2Min = 4, 6, 8
	p.Readings.SlabC, p.Readings.KitC, p.Readings.AirC, p.Readings.Humidity = 20, 20, 20, 0.5
	p.Lots = []plan.Lot{{Name: "L1", Parts: map[string]int{"A": 90, "B": 90, "aggregate": 90, "accelerator": 90}}}
	p.Zones = []plan.Zone{{Zone: floor.Zone{
		Name: "A", Outline: floor.Polygon{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: l}, {X: 0, Y: l}},
		DepthM: 0.006, Station: floor.Point{X: 0, Y: 0.375 - 24},
	}, PullDeg: 90, RowDepthM: 0.75, StartLeft: true}}
	return &p
}

func floorsOf(t testing.TB, p *plan.Plan) []*Zone {
	t.Helper()
	if ps := plan.Validate(p); len(ps) > 0 {
		t.Fatalf("the plan has problems: %v", ps)
	}
	floors, err := Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	return floors
}

func bandOf(t testing.TB, p *plan.Plan, posL float64) Band {
	t.Helper()
	f := floorsOf(t, p)[0]
	return f.Band(f.Blend, HandsOf(p), GroundOf(p, 0), posL)
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %g, want %g", what, got, want)
	}
}

func holdsAll(t *testing.T, words string, parts ...string) {
	t.Helper()
	for _, s := range parts {
		if !strings.Contains(words, s) {
			t.Errorf("%q does not say %q", words, s)
		}
	}
}
