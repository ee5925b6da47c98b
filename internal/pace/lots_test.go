package pace

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"floorpace/internal/floor"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
)

// lotPlan has zones that want one lot each, of so many kits, and lots of so
// many of both parts. A kit lays exactly one square metre.
func lotPlan(t *testing.T, zones []int, lots []int) (*plan.Plan, []*Zone) {
	t.Helper()
	p := plan.Default()
	p.Title, p.Rules.Loss = "lots", 0
	p.Handover = time.Date(2026, 5, 4, 6, 0, 0, 0, time.UTC)
	p.Opening, p.OpeningUse = p.Handover.Add(60*time.Hour), sheet.UseWashDown
	p.Sheet = sheet.Sheet{Name: "invented", Blends: []sheet.Blend{{
		Name: "plain", YieldL: 5, Steps: []sheet.Step{{Name: "mix", Time: time.Minute, Starts: true}},
		Parts:    []sheet.Part{{Name: "A"}, {Name: "B"}},
		EdgeLife: sheet.Table{Always: 10 * time.Minute},
	}}}
	p.Crew.Mixers, p.Crew.Runners, p.Crew.Buckets = 2, 2, 4
	for i, n := range zones {
		z := plan.DefaultZone()
		l := float64(n)
		z.Name, z.Outline = fmt.Sprintf("Z%d", i+1), floor.Polygon{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 1, Y: l}, {X: 0, Y: l}}
		z.DepthM, z.Station, z.PullDeg, z.OneLot = 0.005, floor.Point{X: 0, Y: -2}, 90, true
		p.Zones = append(p.Zones, z)
	}
	for i, n := range lots {
		p.Lots = append(p.Lots, plan.Lot{Name: fmt.Sprintf("L%d", i+1), Parts: map[string]int{"A": n, "B": n}})
	}
	floors, err := Floors(&p)
	if err != nil {
		t.Fatal(err)
	}
	return &p, floors
}

// Worked by hand, no source: which zones are served whole.
func TestSpreadLots(t *testing.T) {
	for _, c := range []struct {
		zones, lots []int
		ok          bool
		served      string // a lot of part A for each zone, - for none
		short       string
	}{
		{[]int{20, 10}, []int{30}, true, "L1 L1", ""},
		{[]int{10, 20}, []int{20, 10}, true, "L2 L1", ""},                 // the first zone must not take the lot the second needs
		{[]int{12, 12, 6}, []int{18, 12}, true, "L2 L1 L1", ""},           // tightest first
		{[]int{7, 7, 6, 6, 6}, []int{18, 14}, true, "L2 L2 L1 L1 L1", ""}, // largest first by itself: 14 and 18
		{[]int{20, 15}, []int{20, 12}, false, "L1 -", "zone Z2: 15 kits from one lot, the largest of A left has 12 (L2): 3 short"},
		{[]int{30, 10, 9}, []int{30}, false, "- L1 L1", "zone Z1: 30 kits from one lot, the largest of A left has 11 (L1): 19 short"},
	} {
		p, floors := lotPlan(t, c.zones, c.lots)
		s := SpreadLots(p, floors)
		var got []string
		for _, z := range s.Zones {
			l := z.Lots["A"]
			if l == "" {
				l = "-"
			}
			got = append(got, l)
		}
		if s.OK != c.ok || strings.Join(got, " ") != c.served || s.Short != c.short {
			t.Errorf("zones %v, lots %v: %v %v %q; want %v %s %q", c.zones, c.lots, s.OK, got, s.Short, c.ok, c.served, c.short)
		}
	}
}

// A part that is short in every lot is named, whatever the others have.
func TestSpreadLotsNamesThePart(t *testing.T) {
	p, floors := lotPlan(t, []int{10}, []int{20})
	p.Lots[0].Parts["B"] = 8
	if s := SpreadLots(p, floors); s.OK || s.Short != "zone Z1: 10 kits from one lot, the largest of B left has 8 (L1): 2 short" {
		t.Errorf("%+v", s)
	}
	gates := Gates(p, floors, Grounds(p), 20, 0.5)
	for _, g := range gates {
		if g.Name == "lots" && strings.Contains(g.Why, "2 short") {
			return
		}
	}
	t.Errorf("no gate says so: %+v", gates)
}
