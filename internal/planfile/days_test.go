package planfile

import (
	"fmt"
	"math"
	"path/filepath"
	"testing"

	"floorpace/internal/floor"
	"floorpace/internal/plan"
	"floorpace/internal/worked"
)

func dayPlan(t *testing.T, day string) *plan.Plan {
	t.Helper()
	p, b, ps := LoadPath(filepath.Join("..", "..", "testdata", "days", "day"+day, "plan.toml"))
	for _, q := range ps {
		t.Error(q)
	}
	if p == nil {
		t.FailNow()
	}
	if _, _, notes := b.Check(); len(notes) > 0 {
		t.Errorf("day %s: a note: %v", day, notes[0])
	}
	return p
}

func TestDaysHaveTheTakeOffWorkedByHand(t *testing.T) {
	days := map[string]bool{}
	for _, row := range worked.Rows(t, "testdata/days.csv") {
		days[row["day"]] = true
		p := dayPlan(t, row["day"])
		i := p.Zone(row["zone"])
		if i < 0 {
			t.Errorf("day %s has no zone %q", row["day"], row["zone"])
			continue
		}
		z := &p.Zones[i]
		b := p.BlendOf(z)
		for column, got := range map[string]float64{
			"area_m2": z.NetAreaM2(), "volume_l": z.VolumeL(), "exact_kits": z.VolumeL() / p.NetYieldL(b), "usable": float64(p.Usable(b)),
		} {
			if want := row.Num(t, column); math.Abs(got-want) > 0.006 { // the table has two decimals
				t.Errorf("day %s, zone %s, %s: %.3f, want %v", row["day"], row["zone"], column, got, want)
			}
		}
	}
	if len(days) != 7 {
		t.Errorf("%d days, want 7", len(days))
	}
}

// TestDay5Orders: three orders of 120 do not trap anyone (worked by hand), and
// the plan's own is one of them.
func TestDay5Orders(t *testing.T) {
	p := dayPlan(t, "5")
	orders, more, err := floor.Orders(p.Rooms, p.StationRoom, 0)
	if err != nil || more {
		t.Fatal(more, err)
	}
	if got := fmt.Sprint(orders); got != "[[4 3 5 2 1] [4 5 3 2 1] [5 4 3 2 1]]" {
		t.Error(got)
	}
	var own []string
	for i := range p.Zones {
		own = append(own, p.Zones[i].Room)
	}
	if why := floor.WhyNot(p.Rooms, p.StationRoom, own); why != "" {
		t.Error(why)
	}
}

// TestDay3BagsAreExact: 301 bags, where a plain ceiling of the sum of decimals
// may give 302.
func TestDay3BagsAreExact(t *testing.T) {
	p := dayPlan(t, "3")
	bags := p.Zones[0].VolumeL() / p.NetYieldL(p.BlendOf(&p.Zones[0])) * 2
	if math.Abs(bags-301) > 1e-6 {
		t.Errorf("%.9f bags, want 301", bags)
	}
}
