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

// Beyond ten places as many are served, and of those the ones that lay most: of
// eleven places of 3 and one of 5 in a lot of 32, ten are served either way, and
// with the larger one 32 kits instead of 30. Worked by hand, no source.
func TestSpreadLotsLaysMost(t *testing.T) {
	p, floors := lotPlan(t, []int{3, 3, 3, 3, 3, 5, 3, 3, 3, 3, 3, 3}, []int{32})
	n, kits := 0, 0
	for _, z := range SpreadLots(p, floors).Zones {
		if z.Lots != nil {
			n, kits = n+1, kits+z.Kits
		}
	}
	if n != 10 || kits != 32 {
		t.Errorf("%d served with %d kits, want 10 with 32", n, kits)
	}
}

// Panels of a zone are served like zones; worked by hand, no source: 4, 6 and 2
// kits of 12, the last of them in no panel.
func TestSpreadLotsOverPanels(t *testing.T) {
	box := func(y0, y1 float64) floor.Polygon {
		return floor.Polygon{{X: 0, Y: y0}, {X: 1, Y: y0}, {X: 1, Y: y1}, {X: 0, Y: y1}}
	}
	for _, c := range []struct {
		lots  []int
		ok    bool
		want  string
		short string
	}{
		{[]int{7, 5}, true, "P1 4 L2, P2 6 L1", ""},
		{[]int{10}, true, "P1 4 L1, P2 6 L1", ""},
		{[]int{5, 5}, false, "P1 4 L1, P2 6 -", "zone Z1, panel P2: 6 kits from one lot, the largest of A left has 5 (L2): 1 short"},
	} {
		p, _ := lotPlan(t, []int{12}, c.lots)
		z := &p.Zones[0]
		z.OneLot, z.RowDepthM = false, 0.5
		z.Panels = []floor.Panel{{Name: "P1", Outline: box(0, 4)}, {Name: "P2", Outline: box(4, 10)}}
		floors, err := Floors(p)
		if err != nil {
			t.Fatal(err)
		}
		s := SpreadLots(p, floors)
		var got []string
		for _, q := range s.Zones {
			l := q.Lots["A"]
			if l == "" {
				l = "-"
			}
			got = append(got, fmt.Sprintf("%s %d %s", q.Panel, q.Kits, l))
		}
		if s.OK != c.ok || strings.Join(got, ", ") != c.want || s.Short != c.short {
			t.Errorf("lots %v: %v %v %q; want %v %s %q", c.lots, s.OK, got, s.Short, c.ok, c.want, c.short)
		}
		// The path meets P1, then P2, then neither; a kit lays one square metre.
		f := floors[0]
		for _, q := range []struct {
			from, to float64 // m² of path
			want     string
		}{{0, 4, "[0]"}, {3.5, 4.5, "[0 1]"}, {4, 10, "[1]"}, {10, 12, "[]"}, {9.5, 12, "[1]"}} {
			if got := fmt.Sprint(f.PanelsBetween(5*q.from, 5*q.to)); got != q.want {
				t.Errorf("from %g to %g m²: panels %s, want %s", q.from, q.to, got, q.want)
			}
		}
	}
}

// More panels than every choice can be tried for: all of them come out when they
// can, else the smallest are served.
func TestSpreadLotsOverManyPanels(t *testing.T) {
	for _, c := range []struct {
		lots   []int
		served int
	}{{[]int{28, 24}, 13}, {[]int{26, 24}, 12}, {[]int{9}, 2}} {
		p, floors := lotPlan(t, []int{4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4}, c.lots)
		s, n := SpreadLots(p, floors), 0
		for _, z := range s.Zones {
			if z.Lots != nil {
				n++
			}
		}
		if len(s.Zones) != 13 || n != c.served || s.OK != (n == 13) {
			t.Errorf("lots %v: %d of %d served, want %d", c.lots, n, len(s.Zones), c.served)
		}
	}
}
