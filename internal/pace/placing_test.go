package pace

import (
	"fmt"
	"testing"
	"time"

	"floorpace/internal/plan"
	"floorpace/internal/sheet"
	"floorpace/internal/worked"
)

// bare is a plan with nothing but the figures of a placing-rate row: a zone, a
// batch without loss, one edge life at any temperature.
func bare(w, l, strip, depthM, batchL float64, life, margin time.Duration) *plan.Plan {
	p := rectangle(w, l)
	p.Zones[0].RowDepthM, p.Zones[0].DepthM = strip, depthM
	p.Rules.Loss, p.Rules.Turn, p.Rules.EdgeMargin = 0, 0, margin
	b := &p.Sheet.Blends[0]
	b.YieldL, b.EdgeLife, b.BucketLife = batchL, sheet.Table{Always: life}, sheet.Table{}
	p.Sheet.Blends = p.Sheet.Blends[:1]
	p.Lots = nil
	p.Crew.Runners, p.Crew.Buckets, p.Crew.RakeM2Min, p.Crew.RollM2Min, p.Crew.BroadM2Min = 8, 40, 1e6, 0, 0
	return p
}

// placed is the plan of the examination item: a slab 25 by 14 m, three mixers of
// 5 m³/h each, concrete that sets in 2 h of which 25 min are spent on the way.
func placed(depthM float64) *plan.Plan {
	// A plan stops at 200 mm, so depth and batch stand at a tenth: area, times
	// and batches are those of the item.
	const batchL = 500
	p := bare(14, 25, 1, depthM/10, batchL/10., 2*time.Hour, 25*time.Minute)
	p.Crew.Mixers = 3
	p.Sheet.Blends[0].Steps = []sheet.Step{{Name: "mix", Time: 6 * time.Minute}} // 500 L in 6 min: 5 m³/h
	p.Crew.Scrape, p.Crew.Reset = 0, 0
	p.Crew.Pour, p.Crew.Load = time.Second, 0
	return p
}

// Rows of testdata/placing.csv: wet edges of strips, and an examination item on
// placing concrete in layers, the same sums at another scale.
func TestPlacingRows(t *testing.T) {
	rows := worked.Rows(t, "testdata/placing.csv")
	if len(rows) < 19 {
		t.Fatal(len(rows))
	}
	for _, row := range rows {
		got, tol := placingRow(t, row)
		near(t, fmt.Sprint(row["case"], " ", row["inputs"], " ", row["output"]), got, row.Num(t, "value"), tol)
	}
}

func placingRow(t *testing.T, row worked.Row) (got, tol float64) {
	t.Helper()
	supply := func(b Band, batchL float64) float64 { return b.Limit * 60 * batchL / 1000 } // m³/h
	switch row["case"] {
	case "wet_edge_same_direction", "wet_edge_serpentine":
		return wetEdgeRow(t, row)
	case "available_time":
		b := bandOf(t, placed(0.3), 0)
		return (b.EdgeLife - 25*time.Minute).Hours(), 5e-5
	case "supply":
		return supply(bandOf(t, placed(0.3), 0), 500), 1e-6
	case "full_layer_required": // the whole layer as one patch: pace × patch / patch
		b := bandOf(t, placed(0.3), 0)
		return supply(b, 500) * 350 / b.PatchM2, 0.002
	case "full_layer_test":
		b := bandOf(t, placed(0.3), 0)
		if row["output"] == "A/Q" {
			return 350 / supply(b, 500), 0.05
		}
		return b.PatchM2 / supply(b, 500), 0.05
	case "segment_layer": // the deepest row of a layer 0.9 m high across 14 m
		return bandOf(t, placed(0.9), 0).DeepestM, 0.005
	case "duration":
		p := placed(1.2)
		z, err := floorsOf(t, p)[0].report(GroundOf(p, 0))
		if err != nil {
			t.Fatal(err)
		}
		return z.PourS / 3600, 1e-6
	}
	t.Fatalf("nothing checks %v", row)
	return 0, 0
}

func wetEdgeRow(t *testing.T, row worked.Row) (got, tol float64) {
	t.Helper()
	var w, strip, h, open, age float64
	if _, err := fmt.Sscanf(row["inputs"], "W=%gm;strip=%gm;h=%gmm;t_open=%gmin;t_age_at_pour=%gmin", &w, &strip, &h, &open, &age); err != nil {
		t.Fatal(row, err)
	}
	p := bare(w, 10*strip, strip, h/1000, 18, mins(open), mins(age))
	if row["case"] == "wet_edge_serpentine" {
		p.Zones[0].Pattern = plan.ToAndFro
	}
	b := bandOf(t, p, 0)
	if row["output"] == "Q_req" {
		return b.Needed * 60 * 18, 0.006
	}
	return Interval(b.Needed).Minutes(), 6e-5
}
