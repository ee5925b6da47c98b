package pace

import (
	"testing"

	"floorpace/internal/floor"
	"floorpace/internal/plan"
	"floorpace/internal/units"
)

func TestCeilIsRobust(t *testing.T) {
	for _, c := range []struct {
		x    float64
		want int
	}{{301.0000000001, 301}, {301, 301}, {300.9999999, 301}, {301.001, 302}, {0, 0}, {0.2, 1}} {
		if got := Ceil(c.x); got != c.want {
			t.Errorf("Ceil(%v) = %d, want %d", c.x, got, c.want)
		}
	}
}

// By hand: 9 × 22 m, a bay of 10 m² twice as deep, 0.5 mm lost in the profile.
func TestTakeOffByHand(t *testing.T) {
	p := rectangle(9, 22)
	z := &p.Zones[0]
	z.AllowanceM = 0.0005
	z.Bays = []floor.Bay{{Name: "pad", Outline: floor.Polygon{{X: 0, Y: 0}, {X: 5, Y: 0}, {X: 5, Y: 2}, {X: 0, Y: 2}}, DepthM: 0.012}}
	z.Cove = []plan.Line{{Name: "cove", PerM: 0.5, LengthM: 62, Unit: "kg"}, {Name: "primer", PerM2: 0.3, Unit: "kg"}}
	f := floorsOf(t, p)[0]
	k := f.TakeOff(f.Blend)
	volume := 188*6.5 + 10*12.5
	near(t, "area", k.AreaM2, 198, 1e-6)
	near(t, "volume", k.VolumeL, volume, 1e-6)
	near(t, "mean depth", k.MeanDepthM, volume/198/1000, 1e-9)
	near(t, "kits exact", k.Exact, volume*1.06/14, 1e-6)
	near(t, "loss", k.LossL, volume*0.06, 1e-6)
	near(t, "area of a kit", k.M2PerKit, 198/(volume*1.06/14), 1e-6)
	if k.Kits != 102 { // 101.99
		t.Errorf("%d kits of %.3f", k.Kits, k.Exact)
	}
	if len(k.Lines) != 2 || k.Lines[0] != (Amount{"cove", 31, "kg"}) {
		t.Errorf("%+v", k.Lines)
	}
	near(t, "primer", k.Lines[1].Amount, 59.4, 1e-6)
	near(t, "reach of all", f.Reach(f.Blend, k.Exact), 198, 1e-6)
	if got := KitsNeeded([]*Zone{f, f}); got["plain"] != 204 { // whole kits of each zone
		t.Error(got)
	}
}

// A kit that covers 66 ft² at 1/8 in covers 44 at 3/16 and 33 at 1/4 (common
// practice, no source): both forms of a yield make the same take-off.
func TestBothFormsOfYield(t *testing.T) {
	y, err := units.ParseYield("66 ft² at 1/8 in", units.US)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ inches, ft2 float64 }{{1. / 8, 66}, {3. / 16, 44}, {1. / 4, 33}} {
		p := rectangle(9, 22)
		p.Rules.Loss = 0
		p.Sheet.Blends[0].YieldL = y.Litres()
		p.Zones[0].DepthM = c.inches * 0.0254
		f := floorsOf(t, p)[0]
		near(t, "ft² a kit", f.M2PerKit(f.Blend)/0.09290304, c.ft2, 1e-6)
	}
}

func TestFloorsSayWhichZone(t *testing.T) {
	p := rectangle(9, 22)
	p.Zones[0].Blend = "none"
	if _, err := Floors(p); err == nil || err.Error() != `zone A: the sheet has no blend "none"` {
		t.Error(err)
	}
	p = rectangle(9, 22)
	p.Zones[0].RowDepthM = -1
	if _, err := Floors(p); err == nil {
		t.Error("rows of a negative depth were laid")
	}
}
