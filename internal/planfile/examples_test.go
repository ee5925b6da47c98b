package planfile

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"floorpace/config"
	"floorpace/internal/floor"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
	"floorpace/internal/units"
)

func example(t *testing.T, name string) *plan.Plan {
	t.Helper()
	p, ps := Load(config.Files, name)
	for _, q := range ps {
		t.Error(q)
	}
	if p == nil {
		t.FailNow()
	}
	return p
}

// close to: the figures below are converted by hand to six digits (1 ft =
// 0.3048 m, 1 in = 25.4 mm, 1 US gal = 3.785412 L, °C = (°F − 32) / 1.8).
var byHand = cmp.Options{cmpopts.EquateApprox(2e-6, 1e-9), cmpopts.EquateNaNs()}

func differ(t *testing.T, what string, got, want any) {
	t.Helper()
	if d := cmp.Diff(want, got, byHand); d != "" {
		t.Errorf("%s (-want +got):\n%s", what, d)
	}
}

func TestUSExampleInSI(t *testing.T) {
	p := example(t, config.USPlan)
	west := time.FixedZone("", -7*3600)
	if !p.Handover.Equal(time.Date(2026, 5, 1, 22, 0, 0, 0, west)) || !p.Opening.Equal(time.Date(2026, 5, 4, 5, 0, 0, 0, west)) {
		t.Errorf("hours: %v to %v", p.Handover, p.Opening)
	}
	if p.Units != units.US || p.OpeningUse != sheet.UseWashDown || p.Inspection != 2*time.Hour || p.Preparation != 6*time.Hour {
		t.Errorf("top: %v %q %v %v", p.Units, p.OpeningUse, p.Inspection, p.Preparation)
	}
	rules := plan.Default().Rules
	rules.TallyEvery, rules.ColdestSlabC = 20, 15.555556
	differ(t, "rules", p.Rules, rules)
	crew := plan.Default().Crew
	crew.Mixers, crew.Runners, crew.Buckets = 2, 2, 5
	crew.Reset = 90 * time.Second // 4:15 less 2:30 of mixing and 0:15 of scraping
	crew.WalkFull, crew.WalkEmpty = 1.18872, 1.40208
	crew.RakeM2Min, crew.RollM2Min, crew.BroadM2Min = 2.229673, 4.180637, 3.716122
	differ(t, "crew", p.Crew, crew)
	b := p.Sheet.Blend("plain")
	differ(t, "yield", b.YieldL, 14.006024)
	differ(t, "edge life", b.EdgeLife, sheet.Table{Points: []sheet.Point{{TempC: 10, Time: 20 * time.Minute}, {TempC: 20, Time: 12 * time.Minute}, {TempC: 30, Time: 7 * time.Minute}}})
	differ(t, "broadcast from", b.BroadcastFrom, sheet.Table{Always: 2 * time.Minute})
	differ(t, "part", b.Parts[2], sheet.Part{Name: "aggregate", KgPerKit: 20.865249})
	if b.MixTime() != 150*time.Second || b.ReactionAfter() != 30*time.Second {
		t.Errorf("mix %v, reaction after %v", b.MixTime(), b.ReactionAfter())
	}
	differ(t, "limits", p.Sheet.Limits, sheet.Limits{
		AirMinC: 7.222222, AirMaxC: 32.222222, KitMinC: 12.777778, KitMaxC: 26.666667, HumidityMax: 0.85,
		DewMarginC: 2.777778, SlabKitGapC: 8.333333, MVERMax: 10, CSPMin: 3, CSPMax: 5, PartTolerance: 0.02,
	})
	z := &p.Zones[0]
	differ(t, "corner", z.Outline[2], floor.Point{X: 13.4112, Y: 8.5344})
	differ(t, "depths", []float64{z.DepthM, z.Bays[0].DepthM, z.RowDepthM, z.PullDeg}, []float64{0.00635, 0.009525, 0.762, 0})
	differ(t, "column", z.Holes[0].Outline.Area(), 0.165161) // 16 in × 16 in
	differ(t, "extra", z.Cove[0], plan.Line{Name: "cove base", PerM: 1.640420, LengthM: 43.8912, Unit: "lb"})
	if len(z.Holes) != 5 || !z.Holes[4].Drain || z.Holes[4].Name != "trench" {
		t.Errorf("holes: %+v", z.Holes)
	}
	// 10 in round: π/4 · 0.254²
	differ(t, "round column", p.Zones[1].Holes[0].Outline.Area(), 0.0506707)
	// 1232 less 4 columns of 16 in and a trench of 32 ft × 1 ft
	differ(t, "area", z.NetAreaM2()/0.09290304, 1232-4*1.777778-32)
	differ(t, "kits on hand", []int{p.Usable(b), p.Usable(p.Sheet.Blend("quick"))}, []int{84, 40})
	differ(t, "spot", p.Readings.Spots, []plan.SpotReading{{Zone: "Hall", Spot: "chiller wall", SlabC: 16.666667}})
}

func TestMetricExampleInSI(t *testing.T) {
	p := example(t, config.MetricPlan)
	if p.Units != units.Metric || p.Crew.BroadM2Min != 0 || p.Crew.Reset != 150*time.Second {
		t.Errorf("%v %v %v", p.Units, p.Crew.BroadM2Min, p.Crew.Reset)
	}
	z := &p.Zones[0]
	if z.Pattern != plan.ToAndFro || z.StartLeft || z.PullDeg != 180 || p.Zones[1].PullDeg != 180 || !p.Zones[1].StartLeft {
		t.Errorf("lay: %v %v %v", z.Pattern, z.StartLeft, z.PullDeg)
	}
	differ(t, "depths", []float64{z.DepthM, z.AllowanceM, z.RowDepthM, p.Zones[1].RowDepthM}, []float64{0.0025, 0.0002, 0.75, 0.75})
	differ(t, "area", z.NetAreaM2(), 22*8+12*6-0.16-0.09)
	differ(t, "cure", p.Sheet.Blends[0].Cures[1].Hours.Points[2], sheet.Point{TempC: 30, Time: 16 * time.Hour})
	differ(t, "rooms", p.Rooms, []floor.Room{{Name: "dock", Doors: []string{"lock"}}, {Name: "lock", Exit: true}})
	differ(t, "kits on hand", p.Usable(&p.Sheet.Blends[0]), 53)
	if d := z.Doors[0]; d.To != floor.Outside || d.OpenUntil.Sub(d.OpenFrom) != time.Hour || !z.Doors[1].OpenFrom.IsZero() || z.Doors[2].To != "Lock" {
		t.Errorf("doors: %+v", z.Doors)
	}
	if why := floor.WhyNot(p.Rooms, p.StationRoom, []string{z.Room, p.Zones[1].Room}); why != "" {
		t.Error(why)
	}
}

// TestExamplesCanBePoured: both plans are go, with room; the first one's hall
// could not be poured to and fro.
func TestExamplesCanBePoured(t *testing.T) {
	for _, name := range []string{config.USPlan, config.MetricPlan} {
		b, _ := Read(config.Files, name)
		p, _, notes := b.Check()
		if len(notes) > 0 {
			t.Errorf("%s: a note: %v", name, notes[0])
		}
		floors, err := pace.Floors(p)
		if err != nil {
			t.Fatal(err)
		}
		grounds := pace.Grounds(p)
		for _, g := range pace.Gates(p, floors, grounds, p.Readings.AirC, p.Readings.Humidity) {
			if g.Call.String() != "go" {
				t.Errorf("%s: %v: %s: %s", name, g.Call, g.Name, g.Why)
			}
		}
		for i, f := range floors {
			band := f.Band(f.Blend, pace.HandsOf(p), grounds[i], 0)
			if band.Needed > 0.75*band.Limit {
				t.Errorf("%s, %s: needs %.3f of %.3f batches a minute: no room", name, f.Z.Name, band.Needed, band.Limit)
			}
		}
		if name != config.USPlan {
			continue
		}
		p.Zones[0].Pattern = plan.ToAndFro
		floors, err = pace.Floors(p)
		if err != nil {
			t.Fatal(err)
		}
		if band := floors[0].Band(floors[0].Blend, pace.HandsOf(p), grounds[0], 0); band.Holds() {
			t.Errorf("the hall holds to and fro: %.3f of %.3f", band.Needed, band.Limit)
		}
	}
}

// TestDefaults: a plan with nothing but what must be written has the defaults.
func TestDefaults(t *testing.T) {
	p, ps := Parse("least.toml", []byte(leastPlan), none)
	if len(ps) > 0 {
		t.Fatal(said(ps))
	}
	want := plan.Default()
	differ(t, "rules", p.Rules, want.Rules)
	differ(t, "readings", p.Readings, want.Readings)
	want.Crew.Mixers, want.Crew.Runners, want.Crew.Buckets = 1, 1, 2
	differ(t, "crew", p.Crew, want.Crew)
	z := plan.DefaultZone()
	differ(t, "zone", []any{p.Zones[0].RowDepthM, p.Zones[0].StartLeft, p.Zones[0].Pattern, p.Zones[0].PullDeg}, []any{z.RowDepthM, z.StartLeft, z.Pattern, z.PullDeg})
	if p.OpeningUse != "full" || p.StationRoom != floor.Outside || p.Sheet.Blends[0].Parts[0].Name != wholeKit {
		t.Errorf("%q %q %v", p.OpeningUse, p.StationRoom, p.Sheet.Blends[0].Parts)
	}
}

const leastPlan = `title = "least"
units = "metric"
handover = 2026-05-01T22:00:00Z
opening = 2026-05-04T05:00:00Z
crew = { mixers = 1, runners = 1, buckets = 2 }
[[zone]]
name = "A"
outline = [[0, 0], [3, 0], [3, 3], [0, 3]]
depth = 6
station = [0, -2]
[[sheet.blend]]
name = "plain"
yield = "14 L"
edge_life = "12 min"
step = [{ name = "mix", time = "2:30" }]
`

// TestLineEndsAndMark: Windows line ends and a byte order mark change neither
// the plan nor the place of a problem.
func TestLineEndsAndMark(t *testing.T) {
	windows := func(data []byte) []byte {
		return []byte("\ufeff" + strings.ReplaceAll(string(data), "\n", "\r\n"))
	}
	for _, name := range []string{config.USPlan, config.MetricPlan} {
		b, _ := Read(config.Files, name)
		want, _, _ := b.Check()
		b.Plan, b.Sheet = windows(b.Plan), windows(b.Sheet)
		got, ps, _ := b.Check()
		if len(ps) > 0 {
			t.Fatal(said(ps))
		}
		differ(t, name, got, want)
	}
	slip := strings.Replace(leastPlan, "depth = 6", "dept = 6 # °C\ndepth = \"6 L\"", 1)
	_, want := Parse("p.toml", []byte(slip), none)
	_, got := Parse("p.toml", windows([]byte(slip)), none)
	if len(want) != 2 || said(got) != said(want) {
		t.Errorf("%s\nwant\n%s", said(got), said(want))
	}
	syntax := strings.Replace(leastPlan, "depth = 6", "depth = 6 mm\nname = \"a", 1)
	_, want = Parse("p.toml", []byte(syntax), none)
	_, got = Parse("p.toml", windows([]byte(syntax)), none)
	if len(want) != 2 || said(got) != said(want) {
		t.Errorf("%s\nwant\n%s", said(got), said(want))
	}
}

// TestBundle: what a log carries gives the same plan as the files did.
func TestBundle(t *testing.T) {
	for _, name := range []string{config.USPlan, config.MetricPlan} {
		b, ps := Read(config.Files, name)
		if len(ps) > 0 || b.SheetName == "" || len(b.Sheet) == 0 {
			t.Fatal(name, b.SheetName, said(ps))
		}
		data, err := json.Marshal(b)
		if err != nil {
			t.Fatal(err)
		}
		var back Bundle
		if err := json.Unmarshal(data, &back); err != nil {
			t.Fatal(err)
		}
		differ(t, "bundle", back, b)
		want, _ := Load(config.Files, name)
		got, ps, _ := back.Check()
		if len(ps) > 0 {
			t.Fatal(said(ps))
		}
		differ(t, name, got, want)
	}
	var b Bundle
	for _, bad := range []string{`{}`, `{"plan_name":"x"}`, `[]`, `{"plan":3}`} {
		if err := json.Unmarshal([]byte(bad), &b); err == nil {
			t.Errorf("%s was taken", bad)
		}
	}
	// A plan that names a sheet which the log does not carry is refused.
	b = Bundle{PlanName: "p.toml", Plan: []byte(strings.Replace(leastPlan, "units", "sheet = \"s.toml\"\nunits", 1))}
	if p, ps, _ := b.Check(); p != nil || len(ps) == 0 {
		t.Error("a plan without its sheet was taken")
	}
}

// TestSheetInPlan: the sheet under [sheet] is the sheet in a file.
func TestSheetInPlan(t *testing.T) {
	head, body, _ := strings.Cut(leastPlan, "[[sheet.blend]]")
	fsys := fstest.MapFS{
		"plan.toml":      {Data: []byte("sheet = \"sub/sheet.toml\"\n" + head)},
		"sub/sheet.toml": {Data: []byte("[[blend]]" + body)},
	}
	got, ps := Load(fsys, "plan.toml")
	if len(ps) > 0 {
		t.Fatal(said(ps))
	}
	want, _ := Parse("plan.toml", []byte(leastPlan), none)
	differ(t, "plan", got, want)
}

// TestSheetUnits: a sheet may be in other units than its plan.
func TestSheetUnits(t *testing.T) {
	us := strings.Replace(leastPlan, "[[sheet.blend]]", "[sheet]\nunits = \"us\"\n[[sheet.blend]]", 1)
	us = strings.Replace(us, `yield = "14 L"`, `yield = 2`, 1)
	p, ps := Parse("p.toml", []byte(us), none)
	if len(ps) > 0 {
		t.Fatal(said(ps))
	}
	differ(t, "yield", p.Sheet.Blends[0].YieldL, 2*3.785411784)
	differ(t, "depth", p.Zones[0].DepthM, 0.006)
}

func TestYieldForms(t *testing.T) {
	for _, c := range []struct {
		lines  string
		litres float64
		want   string // part of the message
	}{
		{`yield = 14`, 14, ""},
		{`yield = "2 m² at 6 mm"`, 12, ""},
		{`yield_area = "2 m² at 6 mm"`, 12, ""},
		{"yield_volume = \"12.1 L\"\nyield_area = \"2 m² at 6 mm\"", 12.1, ""},
		{"yield = \"12.1 L\"\nyield_area = \"2 m² at 6 mm\"", 12.1, ""},
		{"yield_volume = \"13 L\"\nyield_area = \"2 m² at 6 mm\"", 0, "differ by 7.7 %"},
		{"yield = \"13 L\"\nyield_volume = \"13 L\"", 0, "twice in the same form"},
		{`yield_area = "13 L"`, 0, "this is a volume"},
		{`yield_volume = "2 m² at 6 mm"`, 0, "this is an area at a depth"},
		{`yield = 0`, 0, "above zero"},
		{``, 0, "no yield"},
	} {
		p, ps := Parse("p.toml", []byte(strings.Replace(leastPlan, `yield = "14 L"`, c.lines, 1)), none)
		switch {
		case c.want == "" && (p == nil || math.Abs(p.Sheet.Blends[0].YieldL-c.litres) > 1e-9):
			t.Errorf("%s: %s", c.lines, said(ps))
		case c.want != "" && (len(ps) != 1 || !strings.Contains(ps[0].What, c.want)):
			t.Errorf("%s: %s", c.lines, said(ps))
		}
	}
}
