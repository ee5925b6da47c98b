package pace

import (
	"math"
	"testing"
	"time"

	"floorpace/internal/floor"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
	"floorpace/internal/units"
)

func adviceOf(t *testing.T, p *plan.Plan) TempAdvice {
	t.Helper()
	return Advise(p, All(p, floorsOf(t, p)), HandsOf(p), GroundOf(p, 0), p.Handover)
}

func noQuick(p *plan.Plan) {
	p.Sheet.Blends = p.Sheet.Blends[:1]
	delete(p.Lots[0].Parts, "accelerator")
}

// The cases of a cold and of a hot floor. Figures in the words are worked by
// hand from the invented sheet: rows of 6.75 m², a batch of 2.201 m², the crew
// one batch every 1:30.
func TestAdviseOnTemperature(t *testing.T) {
	for _, c := range []struct {
		name   string
		make   func(p *plan.Plan, r *plan.Readings)
		choice Choice
		short  string
		blend  string
		says   []string
	}{
		{
			"in range", func(*plan.Plan, *plan.Readings) {},
			PourPlain, "SLOWER PACE HOLDS", "plain",
			// 9.5 min for 3.066 batches; 90 kits of 1:30, then 20 h.
			[]string{"plain: a batch no later than every 3:06 (edge), no sooner than every 1:30 (mixers)", "wash-down from Tue 04:15, in time"},
		},
		{
			"just fast enough", func(_ *plan.Plan, r *plan.Readings) { r.SlabC = 29 }, // edge life 7:23
			PourPlain, "POUR AT PLAN PACE", "plain",
			[]string{"no later than every 1:36"},
		},
		{
			"below the plain range, with an accelerated blend", func(_ *plan.Plan, r *plan.Readings) { r.SlabC = 7 },
			PourFast, "USE QUICK", "quick",
			// Edge life 9^0.6·7.5^0.4 = 8.37 min; the cure of quick at 7 °C.
			[]string{"quick: a batch no later than every 1:55", "no sooner than every 1:30", "in time", "plain: edge life at 7 °C: outside the sheet"},
		},
		{
			"below the plain range, accelerator not on hand", func(p *plan.Plan, r *plan.Readings) {
				r.SlabC = 7
				delete(p.Lots[0].Parts, "accelerator")
			},
			DoNotPour, "DO NOT POUR", "",
			[]string{"plain: edge life at 7 °C: outside the sheet"},
		},
		{
			"below the plain range, without one", func(p *plan.Plan, r *plan.Readings) { r.SlabC = 7; noQuick(p) },
			HeatFirst, "HEAT FIRST", "",
			[]string{"slab 7 °C is below every blend (from 10 °C): heat"},
		},
		{
			"below the plain range, the crew too slow for the accelerated one", func(p *plan.Plan, r *plan.Readings) {
				r.SlabC = 7
				p.Crew.Mixers = 2
			},
			PourFaster, "CREW TOO SLOW", "quick",
			[]string{"needs a batch every 1:55", "the mixers give one every 2:15", "heat for plain (from 10 °C)", "add a mixer"},
		},
		{
			"below every blend", func(_ *plan.Plan, r *plan.Readings) { r.SlabC = 4 },
			HeatFirst, "HEAT FIRST", "",
			[]string{"slab 4 °C is below every blend (from 5 °C)"},
		},
		{
			"cold but in range, loose opening", func(_ *plan.Plan, r *plan.Readings) { r.SlabC = 12 },
			PourPlain, "SLOWER PACE HOLDS", "plain",
			// Edge life 18:03: 15.56 min for 3.066 batches.
			[]string{"no later than every 5:04", "no sooner than every 1:30", "in time"},
		},
		{
			"cold but in range, tight opening", func(p *plan.Plan, r *plan.Readings) {
				r.SlabC = 12
				p.Opening = p.Handover.Add(30 * time.Hour) // plain needs 35:39 h, quick 12:31
				p.Crew.Mixers = 4                          // its edge life of 6:46 needs a batch every 1:24
			},
			PourFast, "USE QUICK", "quick",
			[]string{"quick: a batch no later than ", "in time", "every 1:24 (edge), no sooner than every 1:08 (mixers)", "plain: wash-down only from Tue 19:20"},
		},
		{
			"cold but in range, tight opening, without an accelerated blend", func(p *plan.Plan, r *plan.Readings) {
				r.SlabC = 12
				p.Opening, p.Inspection = p.Handover.Add(30*time.Hour), time.Hour
				noQuick(p)
			},
			HeatFirst, "HEAT FOR THE OPENING", "plain",
			[]string{"plain holds, but cures too slowly at 12 °C", "wash-down from Tue 19:54, TOO LATE for Tue 12:00 less 1 h inspection"},
		},
		{
			"hot, the crew too slow", func(p *plan.Plan, r *plan.Readings) { r.SlabC = 30 }, // edge life 7:00
			PourFaster, "CREW TOO SLOW", "plain",
			[]string{"the edge needs a batch every 1:28, the mixers give one every 1:30", "cool first, add a mixer, pull narrower or do not pour"},
		},
		{
			"hot, the raker too slow", func(p *plan.Plan, r *plan.Readings) {
				r.SlabC = 30
				p.Crew.RakeM2Min = 2
			},
			PourFaster, "CREW TOO SLOW", "plain",
			[]string{"the raker gives one every 1:36", "add a raker"},
		},
		{
			"above every blend", func(_ *plan.Plan, r *plan.Readings) { r.SlabC = 31 },
			CoolFirst, "COOL FIRST", "",
			[]string{"slab 31 °C is above every blend (up to 30 °C)"},
		},
		{
			"hot kits with cooler ones on hand", func(p *plan.Plan, r *plan.Readings) {
				r.KitC, r.CoolerKitC = 30, 18
				p.Zones[0].Station.Y -= 100
			},
			CoolerKits, "USE THE COOLER KITS", "plain",
			// Life 4:30 less 1:00; at 18 °C 8:57 less 1:00. Carry 145.6 m at the far end: 2:50 + 2:01.
			[]string{"is 4:51 old when poured at the furthest, the limit is 3:30", "with kits at 18 °C the limit is 7:57", "in time"},
		},
		{
			"hot kits without cooler ones", func(p *plan.Plan, r *plan.Readings) {
				r.KitC = 30
				p.Zones[0].Station.Y -= 100
			},
			CoolFirst, "COOL THE KITS", "plain",
			[]string{"the limit is 3:30: cool the kits, or move the mix station to within 48 m"}, // (3:30 − 2:50) · 1.2 m/s
		},
		{
			"hot kits and a slow mix: no place of the station helps", func(p *plan.Plan, r *plan.Readings) {
				r.KitC = 30
				p.Crew.Load = 45 * time.Second // 40 s more: 3:30 of life are gone before the first step, 2:50 + 0:40
				p.Zones[0].Station.Y -= 100
			},
			CoolFirst, "COOL THE KITS", "plain",
			[]string{"the limit is 3:30: no mix station is near enough: cool the kits"},
		},
		{
			"both too slow and too old", func(p *plan.Plan, r *plan.Readings) {
				r.SlabC, r.KitC = 30, 30
				p.Zones[0].Station.Y -= 100
			},
			PourFaster, "CREW TOO SLOW", "plain",
			[]string{"needs a batch every 1:28", "also 4:51 old when poured at the furthest, the limit is 3:30"},
		},
		{
			"kits outside the sheet, hot", func(_ *plan.Plan, r *plan.Readings) { r.KitC = 35 },
			CoolFirst, "COOL THE KITS", "plain",
			[]string{"bucket life at 35 °C: outside the sheet", "cool the kits"},
		},
		{
			"kits outside the sheet, cold", func(p *plan.Plan, r *plan.Readings) { r.KitC = 8; noQuick(p) },
			HeatFirst, "WARM THE KITS", "plain",
			[]string{"bucket life at 8 °C: outside the sheet", "warm the kits"},
		},
		{
			"a cold spot", func(p *plan.Plan, r *plan.Readings) {
				noQuick(p)
				p.Zones[0].Spots = []floor.Spot{{Name: "door", At: floor.Point{X: 4, Y: 1}, RadiusM: 2}}
				r.Spots = []plan.SpotReading{{Zone: "A", Spot: "door", SlabC: 9}}
			},
			HeatFirst, "HEAT FIRST", "",
			[]string{"slab 9 °C is below every blend (from 10 °C)"},
		},
		{
			"slab not read", func(_ *plan.Plan, r *plan.Readings) { r.SlabC = math.NaN() },
			ReadingsDue, "READ THE SLAB", "",
			[]string{"no slab temperature"},
		},
		{
			"kits not read", func(_ *plan.Plan, r *plan.Readings) { r.KitC = math.NaN() },
			ReadingsDue, "READ THE KITS", "",
			[]string{"no kit temperature"},
		},
		{
			"no cure for the opening", func(p *plan.Plan, _ *plan.Readings) { p.OpeningUse = sheet.UseFoot },
			DoNotPour, "NO CURE FIGURE", "plain",
			[]string{"plain holds, but the sheet has no cure to foot at 20 °C"},
		},
		{
			"the blend's own range is narrower than its table", func(p *plan.Plan, r *plan.Readings) {
				noQuick(p)
				p.Sheet.Blends = append(p.Sheet.Blends, urethane().Blends[0])
				p.Sheet.Blends[0].SlabMinC, p.Sheet.Blends[0].SlabMaxC = 10, 14
				p.Sheet.Blends[1].Name, p.Sheet.Blends[1].SlabMinC, p.Sheet.Blends[1].SlabMaxC = "warm", 22, 30
				r.SlabC = 18
			},
			DoNotPour, "DO NOT POUR", "",
			[]string{"plain: the slab is outside its range of 10 °C to 14 °C"},
		},
		{
			"the margin eats the edge life", func(p *plan.Plan, _ *plan.Readings) { p.Rules.EdgeMargin = mins(12) },
			PourFaster, "CREW TOO SLOW", "plain",
			[]string{"margin and turns use up the edge life of 12:00"},
		},
	} {
		p := rectangle(9, 22)
		c.make(p, &p.Readings)
		a := adviceOf(t, p)
		name := ""
		if a.Blend != nil {
			name = a.Blend.Name
		}
		if a.Choice != c.choice || a.Short != c.short || name != c.blend {
			t.Errorf("%s: choice %d, %q for %q: %s; want %d, %q for %q", c.name, a.Choice, a.Short, name, a.Words, c.choice, c.short, c.blend)
		}
		t.Run(c.name, func(t *testing.T) { holdsAll(t, a.Words, c.says...) })
	}
}

// The same words in feet and Fahrenheit.
func TestAdviceSpeaksThePlansUnits(t *testing.T) {
	p := rectangle(9, 22)
	p.Units = units.US
	p.Readings.SlabC = 7
	holdsAll(t, adviceOf(t, p).Words, "plain: edge life at 44.6 °F: outside the sheet")
	noQuick(p)
	holdsAll(t, adviceOf(t, p).Words, "slab 44.6 °F is below every blend (from 50 °F)")
	p = rectangle(9, 22)
	p.Units = units.US
	p.Readings.KitC, p.Readings.CoolerKitC = 30, math.NaN()
	p.Zones[0].Station.Y -= 100
	holdsAll(t, adviceOf(t, p).Words, "to within 157.5 ft") // 48 m
	p.Readings.CoolerKitC = 18
	holdsAll(t, adviceOf(t, p).Words, "with kits at 64.4 °F")
}

// Every blend is laid side by side, whatever is chosen.
func TestCasesSideBySide(t *testing.T) {
	p := rectangle(9, 22)
	p.Readings.SlabC = 12
	a := adviceOf(t, p)
	if len(a.Cases) != 2 {
		t.Fatal(a.Cases)
	}
	plain, quick := a.Cases[0], a.Cases[1]
	if !(quick.Band.EdgeLife < plain.Band.EdgeLife && quick.Band.Needed > plain.Band.Needed && quick.Ready.Before(plain.Ready)) {
		t.Errorf("quick should live shorter, need more and be ready sooner: %+v %+v", plain.Band, quick.Band)
	}
	near(t, "plain's cure", plain.Ready.Sub(plain.Ends).Hours(), 35.65, 0.005)
	near(t, "the pour", plain.Ends.Sub(p.Handover).Hours(), 2.25, 1e-9) // 90 kits at 1:30
}

// What is poured already does not count.
func TestAdviceLooksAhead(t *testing.T) {
	p := rectangle(9, 22)
	f := floorsOf(t, p)[0]
	half := f.Path.TotalL() / 2
	a := Advise(p, []Ahead{{Zone: f, FromL: half}}, HandsOf(p), GroundOf(p, 0), p.Handover)
	near(t, "half the pour", a.Cases[0].Ends.Sub(p.Handover).Hours(), 45*1.5/60, 1e-9)
}

// With nobody at work nothing is promised.
func TestAdviceWithoutHands(t *testing.T) {
	p := rectangle(9, 22)
	h := HandsOf(p)
	h.Mixers = 0
	a := Advise(p, All(p, floorsOf(t, p)), h, GroundOf(p, 0), p.Handover)
	if a.Choice != PourFaster {
		t.Errorf("%d %q", a.Choice, a.Words)
	}
	holdsAll(t, a.Words, "no mixers at work")
	h = HandsOf(p)
	h.Rake = false
	holdsAll(t, Advise(p, All(p, floorsOf(t, p)), h, GroundOf(p, 0), p.Handover).Words, "no rake at work")
	p.Sheet.Blends = nil
	if a := Advise(p, nil, h, Ground{SlabC: 20}, p.Handover); a.Choice != DoNotPour {
		t.Errorf("%+v", a)
	}
}
