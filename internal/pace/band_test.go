package pace

import (
	"math"
	"testing"
	"time"

	"floorpace/internal/floor"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
)

// A batch of 14 L at 6 mm with 6 % loss, by hand.
const batchM2 = 14 / 1.06 / 6

// Every post by hand, 24 m from the station: carry and walk back 20 s each.
func TestPostsByHand(t *testing.T) {
	b := bandOf(t, rectangle(9, 22), 0)
	want := map[string]float64{
		"mixers":    3 / 4.5,              // 2:30 mix, 0:15 scrape, 1:45 reset
		"runners":   3 / 1.25,             // 5 + 20 + 30 + 20 s
		"buckets":   9 / (2.75 + 1.25),    // mix, scrape and the runner's round
		"rake":      1 / (.5 + batchM2/4), // pour, then a batch at 4 m²/min
		"roll":      6 / batchM2,
		"broadcast": 8 / batchM2,
	}
	if len(b.Posts) != len(want) {
		t.Errorf("%d posts, want %d", len(b.Posts), len(want))
	}
	for _, p := range b.Posts {
		near(t, p.Name, p.PerMin, want[p.Name], 1e-6)
	}
	near(t, "limit", b.Limit, 3/4.5, 1e-9)
	near(t, "area a minute", b.M2Min, batchM2/1.5, 1e-9)
	near(t, "carry", b.CarryM, 24, 0.05)
}

// The bottleneck is named, whichever it is.
func TestBottleneckByName(t *testing.T) {
	for _, c := range []struct {
		post string
		make func(*plan.Crew)
	}{
		{"mixers", func(*plan.Crew) {}},
		{"runners", func(c *plan.Crew) { c.Runners, c.Mixers = 1, 8 }},
		{"buckets", func(c *plan.Crew) { c.Buckets = 2 }},
		{"rake", func(c *plan.Crew) { c.RakeM2Min = 1 }},
		{"roll", func(c *plan.Crew) { c.RollM2Min = 1 }},
		{"broadcast", func(c *plan.Crew) { c.BroadM2Min = 1.2 }},
	} {
		p := rectangle(9, 22)
		c.make(&p.Crew)
		if b := bandOf(t, p, 0); b.LimitPost != c.post {
			t.Errorf("the %s hold the line up, want the %s: %+v", b.LimitPost, c.post, b.Posts)
		}
	}
}

func TestPostsThatAreOut(t *testing.T) {
	p := rectangle(9, 22)
	f := floorsOf(t, p)[0]
	for _, c := range []struct {
		post string
		make func(*Hands)
	}{
		{"rake", func(h *Hands) { h.Rake = false }},
		{"mixers", func(h *Hands) { h.Mixers = 0 }},
		{"runners", func(h *Hands) { h.Runners = 0 }},
	} {
		h := HandsOf(p)
		c.make(&h)
		b := f.Band(f.Blend, h, GroundOf(p, 0), 0)
		if b.Limit != 0 || b.LimitPost != c.post || b.Holds() {
			t.Errorf("without %s: limit %g by %s, holds %v", c.post, b.Limit, b.LimitPost, b.Holds())
		}
	}
	h := HandsOf(p) // the edge does not wait for those who finish
	h.Roll, h.Broadcast = false, false
	if b := f.Band(f.Blend, h, GroundOf(p, 0), 0); len(b.Posts) != 4 || !b.Holds() {
		t.Errorf("without roller and broadcaster: %+v", b.Posts)
	}
	p.Crew.RollM2Min, p.Crew.BroadM2Min = 0, 0 // not used at all: not asked
	if b := bandOf(t, p, 0); len(b.Posts) != 4 || !b.Holds() {
		t.Errorf("%+v", b.Posts)
	}
}

// Patch, widest pull, deepest row and the pace needed, by hand at 20 °C: edge
// life 12 min, less 2:00 and a turn of 0:30.
func TestBandByHand(t *testing.T) {
	b := bandOf(t, rectangle(9, 22), 0)
	if !b.OK || !b.Holds() || b.EdgeLife != 12*time.Minute {
		t.Fatalf("%+v", b)
	}
	near(t, "patch", b.PatchM2, 9.5*batchM2/1.5, 1e-9)
	near(t, "widest", b.WidestM, 9.5*batchM2/1.5/0.75, 1e-9)
	near(t, "deepest", b.DeepestM, 9.5*batchM2/1.5/9, 1e-9)
	near(t, "span", b.NeededSpanM2, 6.75, 1e-6)
	near(t, "needed", b.Needed, 6.75/batchM2/9.5, 1e-6)
	near(t, "wait", b.NeededWait.Minutes(), 6.75/batchM2*1.5+0.5, 1e-6)
	near(t, "plain form", b.PlainMin, 9*(batchM2/1.5/9)*0.006*1000/(14/1.06), 1e-9)

	fro := rectangle(9, 22)
	fro.Zones[0].Pattern = plan.ToAndFro
	c := bandOf(t, fro, 0)
	near(t, "to and fro span", c.NeededSpanM2, 13.5, 1e-6)
	near(t, "to and fro needed", c.Needed, 13.5/batchM2/9.5, 1e-6)
}

// At the widest pull and at the deepest row the band is just open.
func TestWidestAndDeepestAreTheEdgeOfHolding(t *testing.T) {
	b := bandOf(t, rectangle(9, 22), 0)
	for _, c := range []struct {
		part  float64
		holds bool
	}{{0.999, true}, {1.001, false}} {
		if bandOf(t, rectangle(b.WidestM*c.part, 22), 0).Holds() != c.holds {
			t.Errorf("at %.3f of the widest pull it holds: %v", c.part, !c.holds)
		}
		p := rectangle(9, 22)
		p.Zones[0].RowDepthM = b.DeepestM * c.part
		if bandOf(t, p, 0).Holds() != c.holds {
			t.Errorf("at %.3f of the deepest row it holds: %v", c.part, !c.holds)
		}
	}
}

// Dwell, its limit, the furthest carry and the most buckets, by hand at kits of
// 20 °C: life 8:00, limit 7:00; the reaction starts 0:30 after the first stir.
func TestBucketSideByHand(t *testing.T) {
	p := rectangle(9, 22)
	b := bandOf(t, p, 0)
	near(t, "dwell", b.Dwell.Seconds(), 120+15+5+20+30, 0.1)
	if b.BucketLife != 8*time.Minute || b.DwellLimit != 7*time.Minute {
		t.Error(b.BucketLife, b.DwellLimit)
	}
	near(t, "furthest carry", b.CarryMost, (420-170)*1.2, 1e-6)
	if b.BucketsMax != 5 { // (8:00 + 0:30) / 1:30 = 5.67
		t.Errorf("%d buckets, want 5", b.BucketsMax)
	}
	late := rectangle(9, 22)
	late.Sheet.Blends[0].Steps = []sheet.Step{{Name: "A", Time: mins(1.5)}, {Name: "B", Time: mins(1), Starts: true}}
	if n := bandOf(t, late, 0).BucketsMax; n != 6 { // (8:00 + 1:30) / 1:30 = 6.33
		t.Errorf("%d buckets with a late reaction, want 6", n)
	}
	// Carried that far, a batch is exactly at its limit.
	p.Zones[0].Station.Y = 0.375 - b.CarryMost
	near(t, "dwell at the furthest carry", bandOf(t, p, 0).Dwell.Seconds(), 420, 0.2)
}

// The carry grows as the front moves away, so the runners' limit falls.
func TestLimitFallsWithTheCarry(t *testing.T) {
	p := rectangle(9, 60)
	p.Crew.Runners, p.Crew.Mixers = 1, 8
	f := floorsOf(t, p)[0]
	last := math.Inf(1)
	for i := range 10 {
		pos := f.Path.PosAtFront(6*float64(i) + 0.4)
		limit, post := f.Limit(f.Blend, HandsOf(p), pos)
		if post != "runners" || limit >= last {
			t.Fatalf("at %d m: %g by the %s, before it was %g", 6*i, limit, post, last)
		}
		d := f.Path.Distance(pos)
		near(t, "runners", limit, 60/(35+2*d/1.2), 1e-9)
		if f.Carry(pos) != f.Back(pos) || math.Abs(f.Carry(pos).Seconds()-d/1.2) > 1e-6 {
			t.Error("carry", f.Carry(pos), f.Back(pos), d)
		}
		last = limit
	}
}

// Each place waits by its own temperature: a hot spot needs the quicker pace.
func TestHotSpotNeedsMore(t *testing.T) {
	p := rectangle(9, 22)
	p.Zones[0].Spots = []floor.Spot{{Name: "boiler", At: floor.Point{X: 4, Y: 10}, RadiusM: 2}}
	f := floorsOf(t, p)[0]
	hot := Ground{SlabC: 20, KitC: 20, SpotC: []float64{30}}
	b := f.Band(f.Blend, HandsOf(p), hot, 0)
	near(t, "needed at the spot", b.Needed, 6.75/batchM2/4.5, 1e-6) // 7 min less 2:30
	if d := math.Hypot(b.NeededX-4, b.NeededY-10); d > 2.2 {
		t.Errorf("needed at %.2f, %.2f, want it at the spot", b.NeededX, b.NeededY)
	}
	past := f.Band(f.Blend, HandsOf(p), hot, f.Path.PosAtFront(14))
	near(t, "needed past the spot", past.Needed, 6.75/batchM2/9.5, 1e-6)
	unread := f.Band(f.Blend, HandsOf(p), Ground{SlabC: 20, KitC: 20, SpotC: []float64{math.NaN()}}, 0)
	near(t, "a spot that was not read is as the slab", unread.Needed, 6.75/batchM2/9.5, 1e-6)
	cold := f.Band(f.Blend, HandsOf(p), Ground{SlabC: 20, KitC: 20, SpotC: []float64{9}}, 0)
	if cold.OK || cold.Holds() || cold.Missing != "edge life at 9 °C: outside the sheet" {
		t.Errorf("%+v", cold)
	}
}

func TestBandWithoutFigures(t *testing.T) {
	for _, c := range []struct {
		slab, kit float64
		want      string
	}{
		{9, 20, "edge life at 9 °C: outside the sheet"},
		{31, 20, "edge life at 31 °C: outside the sheet"},
		{20, 31, "bucket life at 31 °C: outside the sheet"},
		{math.NaN(), 20, "edge life: no temperature read"},
		{20, math.NaN(), "bucket life: no temperature read"},
	} {
		p := rectangle(9, 22)
		f := floorsOf(t, p)[0]
		b := f.Band(f.Blend, HandsOf(p), Ground{SlabC: c.slab, KitC: c.kit}, 0)
		if b.OK || b.Holds() || b.Missing != c.want {
			t.Errorf("slab %g, kits %g: ok %v, %q; want %q", c.slab, c.kit, b.OK, b.Missing, c.want)
		}
	}
	// A leveller has no bucket life, and none is asked for.
	p := rectangle(9, 22)
	p.Sheet.Blends[0].BucketLife = sheet.Table{}
	if b := bandOf(t, p, 0); !b.Holds() || b.DwellLimit != 0 || b.BucketsMax != 0 {
		t.Errorf("%+v", b)
	}
}

func TestMarginsCanEatTheWholeLife(t *testing.T) {
	p := rectangle(9, 22)
	p.Rules.EdgeMargin = 12 * time.Minute
	b := bandOf(t, p, 0)
	if !math.IsInf(b.Needed, 1) || b.Holds() || b.PatchM2 != 0 {
		t.Errorf("needed %g, holds %v, patch %g", b.Needed, b.Holds(), b.PatchM2)
	}
	if Interval(b.Needed) != 0 || Interval(0) != 0 || Interval(0.5) != 2*time.Minute {
		t.Error("interval")
	}
}

// Only what lies ahead of the front is asked for.
func TestNeededAheadOnly(t *testing.T) {
	p := rectangle(9, 22)
	p.Zones[0].Outline = floor.Polygon{{X: 0, Y: 0}, {X: 9, Y: 0}, {X: 9, Y: 14}, {X: 6, Y: 14}, {X: 6, Y: 22}, {X: 0, Y: 22}}
	f := floorsOf(t, p)[0]
	b := f.Band(f.Blend, HandsOf(p), GroundOf(p, 0), f.Path.PosAtFront(15))
	near(t, "needed in the narrow part", b.Needed, 4.5/batchM2/9.5, 1e-6)
	end := f.Band(f.Blend, HandsOf(p), GroundOf(p, 0), f.Path.TotalL())
	if end.Needed != 0 || !end.Holds() {
		t.Errorf("at the end: %g", end.Needed)
	}
}

// Zones with a narrowed pull need less, and say what width they are laid in.
func TestNarrowedPull(t *testing.T) {
	p := rectangle(9, 22)
	f := floorsOf(t, p)[0]
	n, err := f.Narrow(0, 4.5, 0, false)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "lane", n.WidthM(), 4.5, 1e-9)
	near(t, "zone", f.WidthM(), 9, 1e-9)
	near(t, "needed", n.Band(n.Blend, HandsOf(p), GroundOf(p, 0), 0).Needed, 3.375/batchM2/9.5, 0.02)
	if _, err := f.Narrow(0, -1, 0, false); err == nil {
		t.Error("a width below zero was taken")
	}
}
