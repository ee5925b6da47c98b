package plan

import (
	"math"
	"strings"
	"testing"
	"time"

	"floorpace/internal/floor"
	"floorpace/internal/sheet"
	"floorpace/internal/units"
)

func square(x, y, side float64) floor.Polygon {
	return floor.Polygon{{X: x, Y: y}, {X: x + side, Y: y}, {X: x + side, Y: y + side}, {X: x, Y: y + side}}
}

// sound is a plan without problems: invented.
func sound() *Plan {
	p := Default()
	p.Title = "sound"
	p.Handover = time.Date(2026, 5, 4, 6, 0, 0, 0, time.UTC)
	p.Opening, p.OpeningUse = p.Handover.Add(48*time.Hour), sheet.UseFoot
	p.Crew.Mixers, p.Crew.Runners, p.Crew.Buckets = 2, 2, 5
	table := func(a, b time.Duration) sheet.Table {
		return sheet.Table{Points: []sheet.Point{{TempC: 10, Time: a}, {TempC: 30, Time: b}}}
	}
	p.Sheet.Blends = []sheet.Blend{
		{
			Name: "plain", YieldL: 14, Steps: []sheet.Step{{Name: "A", Time: time.Minute}, {Name: "B", Time: 90 * time.Second, Starts: true}},
			Parts: []sheet.Part{{Name: "A"}, {Name: "B"}}, EdgeLife: table(20*time.Minute, 7*time.Minute),
			Cures: []sheet.Cure{{Use: sheet.UseFoot, Hours: table(12*time.Hour, 4*time.Hour)}},
		},
		{
			Name: "quick", Accelerated: true, YieldL: 14, Steps: []sheet.Step{{Name: "all", Time: time.Minute}},
			Parts: []sheet.Part{{Name: "A"}, {Name: "B"}, {Name: "fast"}}, EdgeLife: table(9*time.Minute, 3*time.Minute),
		},
	}
	p.Lots = []Lot{
		{Name: "L1", Parts: map[string]int{"A": 10, "B": 12}},
		{Name: "L2", Parts: map[string]int{"A": 5, "fast": 4}},
		{Name: "L3", Blend: "quick", Parts: map[string]int{"A": 1}},
	}
	p.Readings.SlabC, p.Readings.AirC, p.Readings.Humidity, p.Readings.KitC = 18, 20, 0.5, 20
	z := DefaultZone()
	z.Name, z.Outline, z.DepthM, z.Station = "A", square(0, 0, 10), 0.006, floor.Point{X: 5, Y: -5}
	z.Spots = []floor.Spot{{Name: "door", At: floor.Point{X: 5, Y: 1}, RadiusM: 2}}
	p.Zones = []Zone{z}
	return &p
}

func TestASoundPlan(t *testing.T) {
	if ps := Validate(sound()); len(ps) > 0 {
		t.Error(ps)
	}
	if ns := Notes(sound()); len(ns) > 0 {
		t.Error(ns)
	}
}

// Every check by itself: what is spoilt, the key that is named, words of it.
func TestValidate(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		key   string
		what  string
		spoil func(p *Plan)
	}{
		{"title", "no title", func(p *Plan) { p.Title = "  " }},
		{"handover", "does not say", func(p *Plan) { p.Handover = time.Time{} }},
		{"opening", "does not say", func(p *Plan) { p.Opening = time.Time{} }},
		{"opening", "before it is handed over", func(p *Plan) { p.Opening = p.Handover }},
		{"opening_use", `"forklift" is not a use`, func(p *Plan) { p.OpeningUse = "forklift" }},
		{"inspection", "negative", func(p *Plan) { p.Inspection = -1 }},
		{"preparation", "negative", func(p *Plan) { p.Preparation = -1 }},
		{"rules.edge_margin", "negative", func(p *Plan) { p.Rules.EdgeMargin = -1 }},
		{"rules.bucket_margin", "negative", func(p *Plan) { p.Rules.BucketMargin = -1 }},
		{"rules.turn", "negative", func(p *Plan) { p.Rules.Turn = -1 }},
		{"rules.reading_every", "above zero", func(p *Plan) { p.Rules.ReadingEvery = 0 }},
		{"rules.loss", "60 % lies outside 0 % to 50 %", func(p *Plan) { p.Rules.Loss = 0.6 }},
		{"rules.chance", "sure of every day: at most 99.99 %", func(p *Plan) { p.Rules.Chance = 1 }},
		{"rules.chance", "outside", func(p *Plan) { p.Rules.Chance = 0.4 }},
		{"rules.thermometer_error", "outside", func(p *Plan) { p.Rules.TempErrorC = nan }},
		{"rules.hygrometer_error", "outside", func(p *Plan) { p.Rules.RHError = -0.01 }},
		{"rules.coldest_slab", "-30 °C", func(p *Plan) { p.Rules.ColdestSlabC = -30 }},
		{"rules.cure_slab", "70 °C", func(p *Plan) { p.Rules.CureSlabC = 70 }},
		{"rules.own_times", "no measure", func(p *Plan) { p.Rules.OwnTimes = 3 }},
		{"readings.warm_up", "negative", func(p *Plan) { p.Readings.WarmUp, p.Readings.WarmSlabC = -1, 18 }},
		{"readings.warm_slab", "by half", func(p *Plan) { p.Readings.WarmSlabC = 18 }},
		{"rules.tally_every", "negative", func(p *Plan) { p.Rules.TallyEvery = -1 }},
		{"crew.mixers", "0 mixers", func(p *Plan) { p.Crew.Mixers = 0 }},
		{"crew.runners", "9 runners", func(p *Plan) { p.Crew.Runners = 9 }},
		{"crew.buckets", "41 buckets", func(p *Plan) { p.Crew.Buckets = 41 }},
		{"crew.scrape", "negative", func(p *Plan) { p.Crew.Scrape = -1 }},
		{"crew.reset", "negative", func(p *Plan) { p.Crew.Reset = -1 }},
		{"crew.load", "negative", func(p *Plan) { p.Crew.Load = -1 }},
		{"crew.headway", "negative", func(p *Plan) { p.Crew.Headway = -1 }},
		{"crew.pour", "above zero", func(p *Plan) { p.Crew.Pour = 0 }},
		{"crew.walk_full", "above zero", func(p *Plan) { p.Crew.WalkFull = nan }},
		{"crew.walk_empty", "above zero", func(p *Plan) { p.Crew.WalkEmpty = math.Inf(1) }},
		{"crew.rake", "above zero", func(p *Plan) { p.Crew.RakeM2Min = 0 }},
		{"crew.roll", "negative", func(p *Plan) { p.Crew.RollM2Min = -1 }},
		{"crew.broadcast", "negative", func(p *Plan) { p.Crew.BroadM2Min = nan }},
		{"crew.spread.walk", "outside", func(p *Plan) { p.Crew.Spread.Walk = 2 }},
		{"sheet.blend", "no blend", func(p *Plan) { p.Sheet.Blends = nil }},
		{"sheet.blend.1.name", "name of its own", func(p *Plan) { p.Sheet.Blends[1].Name = "PLAIN" }},
		{"sheet.blend.0.yield", "above zero", func(p *Plan) { p.Sheet.Blends[0].YieldL = 0 }},
		{"sheet.blend.0.step", "no mix step", func(p *Plan) { p.Sheet.Blends[0].Steps = nil }},
		{"sheet.blend.0.step.0.time", "above zero", func(p *Plan) { p.Sheet.Blends[0].Steps[0].Time = 0 }},
		{"sheet.blend.0.step", "2 steps start", func(p *Plan) { p.Sheet.Blends[0].Steps[0].Starts = true }},
		{"sheet.blend.0.edge_life", "no edge life", func(p *Plan) { p.Sheet.Blends[0].EdgeLife = sheet.Table{} }},
		{"sheet.blend.0.edge_life", "does not fall", func(p *Plan) { p.Sheet.Blends[0].EdgeLife.Points[1].Time = time.Hour }},
		{"sheet.blend.0.slab", "ends below its start", func(p *Plan) { p.Sheet.Blends[0].SlabMinC = 5 }},
		{"sheet.blend.0.cure.dance", `"dance" is not a use`, func(p *Plan) { p.Sheet.Blends[0].Cures[0].Use = "dance" }},
		{"sheet.limits.humidity_max", "outside", func(p *Plan) { p.Sheet.Limits.HumidityMax = 1.2 }},
		{"sheet.limits.slab_rh_max", "outside", func(p *Plan) { p.Sheet.Limits.SlabRHMax = 1.2 }},
		{"sheet.limits.profile", "1 to 10", func(p *Plan) { p.Sheet.Limits.CSPMin = 4 }},
		{"sheet.limits.dew_margin", "negative", func(p *Plan) { p.Sheet.Limits.DewMarginC = -1 }},
		{"sheet.limits.slab_kit_gap", "negative", func(p *Plan) { p.Sheet.Limits.SlabKitGapC = nan }},
		{"kits.1.lot", `the 1st [[kits]] is "L1" too`, func(p *Plan) { p.Lots[1].Name = "L1" }},
		{"kits.2.blend", `no blend "slow"`, func(p *Plan) { p.Lots[2].Blend = "slow" }},
		{"kits.0.parts.A", "negative", func(p *Plan) { p.Lots[0].Parts["A"] = -1 }},
		{"kits.0.parts.sand", `a part "sand"`, func(p *Plan) { p.Lots[0].Parts["sand"] = 1 }},
		{"readings.slab", "61 °C lies outside -20 °C to 60 °C", func(p *Plan) { p.Readings.SlabC = 61 }},
		{"readings.humidity", "outside", func(p *Plan) { p.Readings.Humidity = 50 }},
		{"readings.mver", "outside 0 to 100", func(p *Plan) { p.Readings.MVER = 101 }},
		{"readings.moisture_tests", "negative", func(p *Plan) { p.Readings.MoistureTests = -1 }},
		{"readings.profile", "1 to 10", func(p *Plan) { p.Readings.CSP = 11 }},
		{"readings.spot.0.zone", `no zone "B"`, func(p *Plan) { p.Readings.Spots = []SpotReading{{"B", "door", 15}} }},
		{"readings.spot.0.spot", `no spot "gate"`, func(p *Plan) { p.Readings.Spots = []SpotReading{{"A", "gate", 15}} }},
		{"readings.spot.0.slab", "outside", func(p *Plan) { p.Readings.Spots = []SpotReading{{"A", "door", nan}} }},
		{"zone", "no zone", func(p *Plan) { p.Zones = nil }},
		{"zone.1.name", `the 1st [[zone]] is "A" too`, func(p *Plan) { p.Zones = append(p.Zones, p.Zones[0]) }},
		{"zone.0.outline", "has 2 corners", func(p *Plan) { p.Zones[0].Outline = p.Zones[0].Outline[:2] }},
		{"zone.0.depth", "depth of 0 mm", func(p *Plan) { p.Zones[0].DepthM = 0 }},
		{"zone.0.stop_line.0", "ends in the middle", func(p *Plan) {
			p.Zones[0].StopLines = []floor.Line{{A: floor.Point{X: 0, Y: 5}, B: floor.Point{X: 5, Y: 5}}}
		}},
		{"zone.0.outline", "measures 2000 m by 9 m", func(p *Plan) {
			p.Zones[0].Outline = floor.Polygon{{X: 0, Y: 0}, {X: 2000, Y: 0}, {X: 2000, Y: 9}, {X: 0, Y: 9}}
		}},
		{"zone.0.cell", "too fine for a zone of", func(p *Plan) { p.Zones[0].CellM = 0.001 }},
		{"zone.0.door.0", "50.0 m from the outline", func(p *Plan) {
			p.Zones[0].Zone.Doors = []floor.Door{{Name: "gate", At: floor.Point{X: -50, Y: 5}}}
		}},
		{"zone.0.blend", `no blend "slow"`, func(p *Plan) { p.Zones[0].Blend = "slow" }},
		{"zone.0.row_depth", "above zero", func(p *Plan) { p.Zones[0].RowDepthM = 0 }},
		{"zone.0.move", "negative", func(p *Plan) { p.Zones[0].Move = -1 }},
		{"zone.0.cell", "negative", func(p *Plan) { p.Zones[0].CellM = -1 }},
		{"zone.0.spot.1.until", "end before they begin", func(p *Plan) {
			p.Zones[0].Hours = []SpotHours{{}, {p.Handover.Add(time.Hour), p.Handover}}
		}},
		{"zone.0.door.0.open_until", "shuts before it opens", func(p *Plan) {
			p.Zones[0].Doors = []Door{{OpenFrom: p.Handover, OpenUntil: p.Handover}}
		}},
		{"room.1.name", "name of its own", func(p *Plan) { p.Rooms = []floor.Room{{Name: "1"}, {Name: "1"}} }},
		{"room.0.doors", `no room "9"`, func(p *Plan) { p.Rooms = []floor.Room{{Name: "1", Doors: []string{"9"}}} }},
		{"station_room", `no room "9"`, func(p *Plan) { p.Rooms, p.StationRoom = []floor.Room{{Name: "1"}}, "9" }},
		{"zone.0.room", `no room "9"`, func(p *Plan) { p.Rooms, p.Zones[0].Room = []floor.Room{{Name: "1"}}, "9" }},
	} {
		p := sound()
		c.spoil(p)
		found := false
		for _, q := range Validate(p) {
			found = found || q.Key == c.key && strings.Contains(q.What, c.what) && q.Mend != ""
		}
		if !found {
			t.Errorf("%s: want %q, got %v", c.key, c.what, Validate(p))
		}
	}
}

// All problems come at once, in the plan's own units.
func TestValidateSpeaksThePlansUnits(t *testing.T) {
	p := sound()
	p.Units = units.US
	p.Readings.SlabC, p.Readings.AirC = 70, 70
	p.Zones[0].Outline = floor.Polygon{{X: 0, Y: 0}, {X: 3.048, Y: 3.048}, {X: 3.048, Y: 0}, {X: 0, Y: 3.048}}
	var got []string
	for _, q := range Validate(p) {
		got = append(got, q.Error())
	}
	words := strings.Join(got, "\n")
	for _, want := range []string{
		"readings.slab: 158 °F lies outside -4 °F to 140 °F; write the slab's own temperature",
		"readings.air: 158 °F",
		"zone.0.outline: the outline crosses or touches itself: edge 1 (0, 0 to 10, 10) meets edge 3 (10, 0 to 0, 10)",
	} {
		if !strings.Contains(words, want) {
			t.Errorf("%q is not in:\n%s", want, words)
		}
	}
}

func TestNotes(t *testing.T) {
	p := sound()
	p.Zones[0].Zone.Doors = []floor.Door{{Name: "gate", At: floor.Point{X: 4, Y: 4}}}
	if ps := Validate(p); len(ps) > 0 {
		t.Error(ps)
	}
	if ns := Notes(p); len(ns) != 1 || ns[0].Key != "zone.0.door.0" {
		t.Error(ns)
	}
}

// Whole kits are the least count of any part, over the lots that fit: by hand
// 12 of B for plain, 4 of fast for quick.
func TestUsableKits(t *testing.T) {
	p := sound()
	plain, quick := &p.Sheet.Blends[0], &p.Sheet.Blends[1]
	for _, c := range []struct {
		b    *sheet.Blend
		used map[string]int
		want int
	}{
		{plain, nil, 12},
		{quick, nil, 4},
		{plain, map[string]int{"A": 8, "B": 8}, 4},   // 15 − 8 of A, 12 − 8 of B
		{quick, map[string]int{"A": 15, "B": 12}, 0}, // 16 − 15 of A, but no B
		{plain, map[string]int{"A": 99}, 0},
		{&sheet.Blend{}, nil, 0},
	} {
		if got := p.UsableAfter(c.b, c.used); got != c.want {
			t.Errorf("%s after %v: %d, want %d", c.b.Name, c.used, got, c.want)
		}
	}
	if p.Usable(plain) != 12 {
		t.Error(p.Usable(plain))
	}
}

func TestSums(t *testing.T) {
	p := sound()
	b := &p.Sheet.Blends[0]
	if got := p.NetYieldL(b); math.Abs(got-14/1.06) > 1e-12 {
		t.Error("net yield", got)
	}
	if got := p.Cycle(b); got != 150*time.Second+15*time.Second+90*time.Second {
		t.Error("cycle", got)
	}
	if p.BlendOf(&p.Zones[0]) != b || p.Zone("A") != 0 || p.Zone("B") != -1 {
		t.Error("blend or zone not found")
	}
	p.Zones[0].Blend = "Quick"
	if p.BlendOf(&p.Zones[0]) != &p.Sheet.Blends[1] {
		t.Error("the named blend was not found")
	}
	p.Sheet.Blends, p.Zones[0].Blend = nil, ""
	if p.BlendOf(&p.Zones[0]) != nil {
		t.Error("a blend out of nothing")
	}
}
