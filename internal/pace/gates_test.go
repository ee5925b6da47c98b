package pace

import (
	"math"
	"strings"
	"testing"

	"floorpace/internal/air"
	"floorpace/internal/floor"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
	"floorpace/internal/units"
)

// asked is a rectangle whose sheet sets every limit, with everything in order.
func asked() *plan.Plan {
	p := rectangle(9, 22)
	p.Sheet.Limits = sheet.Limits{
		AirMinC: 10, AirMaxC: 30, KitMinC: 12, KitMaxC: 25, HumidityMax: 0.8, DewMarginC: 3, SlabKitGapC: 8,
		MVERMax: 3, SlabRHMax: 0.75, CSPMin: 3, CSPMax: 5,
	}
	r := &p.Readings
	r.MVER, r.SlabRH, r.MoistureTests, r.CSP = 2.5, 0.7, 5, 4
	p.Zones[0].Spots = []floor.Spot{{Name: "door", At: floor.Point{X: 4, Y: 1}, RadiusM: 2}}
	return p
}

func gatesOf(t *testing.T, p *plan.Plan) map[string]Gate {
	t.Helper()
	out := map[string]Gate{}
	for _, g := range Gates(p, floorsOf(t, p), Grounds(p), p.Readings.AirC, p.Readings.Humidity) {
		if _, twice := out[g.Name]; twice {
			t.Errorf("two gates called %q", g.Name)
		}
		out[g.Name] = g
	}
	return out
}

func TestEveryGateGoes(t *testing.T) {
	p := asked()
	p.Readings.Spots = []plan.SpotReading{{Zone: "A", Spot: "door", SlabC: 18}}
	p.Rules.ColdestSlabC = 16
	got := gatesOf(t, p)
	for _, name := range []string{
		"dew margin", "dew margin, A door", "dew margin, coldest", "air temperature", "kit temperature", "humidity", "slab to kit",
		"slab moisture", "slab humidity", "profile", "wet edge, A", "bucket, A", "kits, plain",
	} {
		if g, ok := got[name]; !ok || g.Call != air.Go {
			t.Errorf("%s: %+v", name, g)
		}
		delete(got, name)
	}
	if len(got) > 0 {
		t.Errorf("asked besides: %v", got)
	}
}

// Each gate by itself: what turns it amber or stop, and the figures it says.
func TestGates(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name string
		make func(p *plan.Plan, r *plan.Readings)
		call air.Call
		says []string
	}{
		// Air 20 °C at 50 %: dew point 9.26 °C (ASHRAE reference grid), so a slab of
		// 12.26 °C keeps 3 °C by a hair and 12.2 °C does not.
		{"dew margin", func(_ *plan.Plan, r *plan.Readings) { r.SlabC = 12.3 }, air.Amber, []string{"9.3 °C", "against 3 °C"}},
		{"dew margin", func(_ *plan.Plan, r *plan.Readings) { r.SlabC = 12.2 }, air.Stop, []string{"margin 2.9"}},
		{"dew margin", func(_ *plan.Plan, r *plan.Readings) { r.SlabC = nan }, air.Stop, []string{"must be read first"}},
		{"dew margin", func(_ *plan.Plan, r *plan.Readings) { r.AirC = nan }, air.Stop, []string{"must be read first"}},
		{"dew margin", func(_ *plan.Plan, r *plan.Readings) { r.Humidity = nan }, air.Stop, []string{"must be read first"}},
		{"dew margin, A door", func(_ *plan.Plan, r *plan.Readings) {
			r.Spots = []plan.SpotReading{{Zone: "A", Spot: "door", SlabC: 11}}
		}, air.Stop, []string{"slab 11 °C"}},
		{"dew margin, coldest", func(p *plan.Plan, _ *plan.Readings) { p.Rules.ColdestSlabC = 12.4 }, air.Amber, []string{"lowest slab through cure"}},
		{"dew margin, coldest", func(p *plan.Plan, _ *plan.Readings) { p.Rules.ColdestSlabC = 11 }, air.Stop, []string{"slab 11 °C"}},
		{"air temperature", func(_ *plan.Plan, r *plan.Readings) { r.AirC = 31 }, air.Stop, []string{"31 °C", "10 °C to 30 °C"}},
		{"air temperature", func(_ *plan.Plan, r *plan.Readings) { r.AirC = nan }, air.Amber, []string{"not read"}},
		{"kit temperature", func(_ *plan.Plan, r *plan.Readings) { r.KitC = 11 }, air.Stop, []string{"11 °C", "12 °C to 25 °C"}},
		{"kit temperature", func(_ *plan.Plan, r *plan.Readings) { r.KitC = nan }, air.Amber, []string{"not read"}},
		{"humidity", func(_ *plan.Plan, r *plan.Readings) { r.Humidity = 0.81 }, air.Stop, []string{"81 %", "80 %"}},
		{"humidity", func(_ *plan.Plan, r *plan.Readings) { r.Humidity = 0.8 }, air.Go, nil},
		{"humidity", func(_ *plan.Plan, r *plan.Readings) { r.Humidity = nan }, air.Amber, []string{"not read"}},
		{"slab to kit", func(_ *plan.Plan, r *plan.Readings) { r.KitC = 11.5 }, air.Stop, []string{"8.5 °C apart", "8 °C"}},
		{"slab to kit", func(_ *plan.Plan, r *plan.Readings) { r.KitC = nan }, air.Amber, []string{"not read"}},
		{"slab moisture", func(_ *plan.Plan, r *plan.Readings) { r.MVER = 3.1 }, air.Stop, []string{"3.10 lb", "F1869"}},
		{"slab moisture", func(_ *plan.Plan, r *plan.Readings) { r.MVER = nan }, air.Stop, []string{"no emission test"}},
		// 198 m² are 2131 ft²: 3 tests for the first 1000, one for each further
		// 1000 or part.
		{"slab moisture", func(_ *plan.Plan, r *plan.Readings) { r.MoistureTests = 4 }, air.Amber, []string{"4 tests of the 5"}},
		{"slab humidity", func(_ *plan.Plan, r *plan.Readings) { r.SlabRH = 0.76 }, air.Stop, []string{"76 %", "75 %", "F2170"}},
		{"slab humidity", func(_ *plan.Plan, r *plan.Readings) { r.SlabRH = nan }, air.Stop, []string{"no test"}},
		{"slab humidity", func(_ *plan.Plan, r *plan.Readings) { r.MoistureTests = 0 }, air.Amber, []string{"0 tests of the 5"}},
		{"profile", func(_ *plan.Plan, r *plan.Readings) { r.CSP = 2 }, air.Stop, []string{"CSP 2", "3 to 5"}},
		{"profile", func(_ *plan.Plan, r *plan.Readings) { r.CSP = 0 }, air.Stop, []string{"not judged"}},
		{"wet edge, A", func(p *plan.Plan, _ *plan.Readings) { p.Crew.Mixers = 1 }, air.Stop, []string{"at least every", "every 4:30 (mixers)", "of the 10:00 allowed", "widest pull"}},
		{"wet edge, A", func(_ *plan.Plan, r *plan.Readings) { r.SlabC = 9 }, air.Stop, []string{"edge life at 9 °C: outside the sheet"}},
		{"wet edge, A", func(p *plan.Plan, _ *plan.Readings) { p.Rules.EdgeMargin = mins(12) }, air.Stop, []string{"no pace saves the edge", "12:00"}},
		{"bucket, A", func(p *plan.Plan, _ *plan.Readings) { p.Zones[0].Station.Y = -299 }, air.Stop, []string{"limit 7:00", "to within 300 m"}},
		{"bucket, A", func(_ *plan.Plan, r *plan.Readings) { r.KitC = 9 }, air.Stop, []string{"bucket life at 9 °C: outside the sheet"}},
		{"bucket, A", func(p *plan.Plan, _ *plan.Readings) { p.Sheet.Blends[0].BucketLife = sheet.Table{} }, air.Amber, []string{"gives no bucket life", "write bucket_life"}},
		// 198 m² at 2.201 m² a kit are 89.95.
		{"kits, plain", func(p *plan.Plan, _ *plan.Readings) { p.Lots[0].Parts["B"] = 89 }, air.Stop, []string{"90 needed, 89 whole kits on hand: 1 short"}},
		{"kits", func(p *plan.Plan, _ *plan.Readings) { p.Lots = nil }, air.Amber, []string{"not known"}},
	} {
		p := asked()
		c.make(p, &p.Readings)
		g, ok := gatesOf(t, p)[c.name]
		if !ok || g.Call != c.call {
			t.Errorf("%s: %v %q, want %v", c.name, g.Call, g.Why, c.call)
		}
		holdsAll(t, g.Why, c.says...)
	}
}

func TestGoNeedsEveryGate(t *testing.T) {
	if !Go([]Gate{{Call: air.Go}, {Call: air.Amber}}) || Go([]Gate{{Call: air.Go}, {Call: air.Stop}}) {
		t.Error("amber may be poured, one stop may not")
	}
	if Gates(asked(), nil, nil, 20, 0.5) != nil {
		t.Error("gates without a floor")
	}
}

// No cure table at all for the use asked is not the same as a slab too cold for it.
func TestOpeningWithoutCureTable(t *testing.T) {
	gate := func(p *plan.Plan) GateReport {
		t.Helper()
		r, err := Check(p, floorsOf(t, p))
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range r.Gates {
			if g.Name == "opening, A" {
				return g
			}
		}
		t.Fatal("no gate for the opening")
		return GateReport{}
	}
	p := asked()
	p.Sheet.Blends[0].Cures = nil
	g := gate(p)
	holdsAll(t, g.Why, "the sheet has no cure table for "+p.OpeningUse)
	if g.Call != air.Stop.String() || strings.Contains(g.Why, "outside") {
		t.Errorf("%+v", g)
	}
	p = asked()
	p.Rules.CureSlabC = -10
	holdsAll(t, gate(p).Why, "at -10 °C: outside the sheet")
}

// A sheet without limits asks for nothing but the margin, the band and the kits.
func TestNoLimitNoGate(t *testing.T) {
	if got := gatesOf(t, rectangle(9, 22)); len(got) != 4 {
		t.Errorf("%v", got)
	}
}

// Blends share their parts: two zones of two blends may not count the same kits.
func TestSharedPartsCountOnce(t *testing.T) {
	p := rectangle(9, 11)
	second := p.Zones[0]
	second.Name, second.Blend = "B", "quick"
	p.Zones = append(p.Zones, second)
	p.Readings.SlabC = 12
	p.Lots[0].Parts = map[string]int{"A": 89, "B": 90, "aggregate": 90, "accelerator": 45}
	got := gatesOf(t, p) // 45 of each blend: 44.97 by hand
	if g := got["kits, plain"]; g.Call != air.Go {
		t.Errorf("%+v", g)
	}
	if g := got["kits, quick"]; g.Call != air.Stop || !strings.Contains(g.Why, "45 needed, 44 whole kits on hand: 1 short") {
		t.Errorf("%+v", g)
	}
}

// The margin is never rounded up to the rule, and speaks the plan's units.
func TestDewWords(t *testing.T) {
	p := rectangle(9, 22)
	v := air.Verdict{Call: air.Stop, Dew: air.Point{C: 10}, SlabC: 12.9999, MarginK: 2.9999, Rule: air.ThreeC}
	holdsAll(t, DewWords(p, v), "margin 2.99 °C against 3 °C")
	v.Rule = air.FiveF
	holdsAll(t, DewWords(p, v), "against 5 °F (2.78 °C)")
	p.Units = units.US
	v.MarginK = 2.775 // 4.995 °F
	holdsAll(t, DewWords(p, v), "slab 55.4 °F", "dew point 50 °F", "margin 4.99 °F against 5 °F")
	v.Rule = air.ThreeC
	holdsAll(t, DewWords(p, v), "against 3 °C (5.4 °F)")
}
