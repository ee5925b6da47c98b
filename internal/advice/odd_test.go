package advice

import (
	"context"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/floor"
)

// try presses what may be refused.
func (c *crew) try(p day.Press) bool {
	es, err := day.Decide(c.s, p, c.at)
	if err != nil {
		return false
	}
	for _, e := range es {
		e.N = int64(len(c.s.Events))
		c.s = c.s.Apply(e)
	}
	return true
}

// sane holds an outlook against what must be true of any.
func (o Outlook) sane(t *testing.T, now time.Time, when string) {
	t.Helper()
	share := func(what string, v float64) {
		if !(v >= 0 && v <= 1) {
			t.Errorf("%s: %s is %v", when, what, v)
		}
	}
	order := func(what string, ts ...time.Time) {
		for i := 1; i < len(ts); i++ {
			if ts[i].Before(ts[i-1]) {
				t.Errorf("%s: %s run backwards: %v", when, what, ts)
			}
		}
	}
	if !o.OK && o.Why == "" || !o.Day.OK && o.Day.Why == "" {
		t.Errorf("%s: no figure and no reason: %q, %q", when, o.Why, o.Day.Why)
	}
	share("edge", o.Edge)
	share("both", o.Both)
	share("day", o.Day.Both)
	share("opens", o.Day.Opens)
	if o.Both > o.Edge+1e-9 || o.Both > o.Buckets+1e-9 || o.Edge > o.Live+1e-9 || o.Day.Edge > o.Edge+1e-9 && o.OK && o.Day.OK {
		t.Errorf("%s: edge %v, with the margin used up %v, buckets %v, both %v, day %v", when, o.Edge, o.Live, o.Buckets, o.Both, o.Day.Edge)
	}
	if o.OK && o.Why == "" {
		order("finishes", now, o.P10, o.P50, o.P90)
	}
	if o.Day.OK {
		order("finishes of the day", now, o.Day.P10, o.Day.P50, o.Day.P90)
		for _, z := range o.Day.Zones {
			order("finishes of "+z.Name, now, z.P10, z.P50, z.P90, o.Day.P90)
		}
	}
	for i, w := range o.Ways {
		share(w.ID, w.Edge)
		if w.Press == nil || w.What == "" || w.Figure == "" || w.Kits < 0 || w.People < 0 || w.LeavesM2 < 0 || !w.P50.IsZero() && w.P50.Before(now) {
			t.Errorf("%s: way %d %+v", when, i, w)
		}
	}
	for _, r := range o.Refused {
		if r.Why == "" || r.What == "" {
			t.Errorf("%s: refused without a word: %+v", when, r)
		}
	}
}

// A thousand presses by luck, sensible or not, over a day of two zones: whatever
// stands, the outlook is whole, says why where it has no figure, and every way that
// it offers can be pressed.
func TestOutlookAtAnyMoment(t *testing.T) {
	for seed := range uint64(4) {
		luck := rand.New(rand.NewPCG(seed, 9))
		p := twoZones(1+luck.IntN(3), 0.1)
		p.Zones[0].StopLines = []floor.Line{{Name: "joint", A: floor.Point{Y: 10}, B: floor.Point{X: 9, Y: 10}}}
		p.Zones[0].Outline = floor.Polygon{{X: 0, Y: 0}, {X: 9, Y: 0}, {X: 9, Y: 14}, {X: 0, Y: 14}}
		p.Zones[0].DepthM = 0.03 // few kits to a zone's end, so that ends are met
		p.Zones[0].Outline = floor.Polygon{{X: 0, Y: 0}, {X: 3, Y: 0}, {X: 3, Y: 4}, {X: 0, Y: 4}}
		p.Zones[0].StopLines[0] = floor.Line{Name: "joint", A: floor.Point{Y: 2}, B: floor.Point{X: 3, Y: 2}}
		d := open(t, p)
		d.at = p.Handover.Add(-10 * time.Minute)
		asked, said := 0, 0
		for step := range 250 {
			d.at = d.at.Add(time.Duration(luck.IntN(100)) * time.Second)
			press := randomPress(luck, d.look())
			d.try(press)
			if step%5 != 0 {
				continue
			}
			v := d.look()
			c, ok := Ask(v)
			if !ok {
				said++
				continue
			}
			asked++
			o := c.JudgeDay(context.Background(), 40, 1)
			o.sane(t, v.Now, string(press.Kind))
			for _, w := range o.Ways {
				if _, err := day.Decide(d.s, *w.Press, d.at); err != nil {
					t.Errorf("seed %d, step %d: %s is offered and refused: %v", seed, step, w.ID, err)
				}
			}
			if len(o.Ways) > 0 && luck.IntN(6) == 0 {
				d.try(*o.Ways[luck.IntN(len(o.Ways))].Press)
			}
		}
		t.Logf("seed %d: %d outlooks, %d times nothing left, %d batches", seed, asked, said, len(d.s.Batches))
	}
}

func randomPress(luck *rand.Rand, v *day.Snapshot) day.Press {
	post := []string{day.PostMixer, day.PostRunner, day.PostRake, day.PostPower}[luck.IntN(4)]
	switch luck.IntN(26) {
	case 0:
		return day.Press{Kind: day.PostLost, Post: post, Which: 1 + luck.IntN(2)}
	case 1, 2, 3:
		for _, q := range v.Posts {
			if !q.Down.IsZero() {
				return day.Press{Kind: day.PostReturned, Post: q.Post, Which: q.Which}
			}
		}
		return day.Press{Kind: day.HoldEnded}
	case 4:
		return day.Press{Kind: day.HoldBegan, Why: "forklift"}
	case 5, 6:
		return day.Press{Kind: day.HoldEnded}
	case 7:
		return day.Press{Kind: day.ReadingTaken, What: day.ReadSlab, Value: day.Value(8 + 20*luck.Float64())}
	case 8:
		return day.Press{Kind: day.ReadingTaken, What: day.ReadKit, Value: day.Value(8 + 24*luck.Float64())}
	case 9:
		return day.Press{Kind: day.FrontMarked, AlongM: day.Value(4 * luck.Float64())}
	case 10:
		return day.Press{Kind: day.PaceSet, Seconds: float64(luck.IntN(3)) * 150}
	case 11:
		return day.Press{Kind: day.PressUndone}
	case 12:
		return day.Press{Kind: day.ZoneClosed}
	case 13:
		return day.Press{Kind: day.BatchScrapped, Why: "TOO OLD"}
	case 14:
		return day.Press{Kind: day.MixingStopped, Why: "leak", Text: "north"}
	case 15:
		return day.Press{Kind: day.RakeReset}
	case 16, 17, 18, 19, 20:
		return day.Press{Kind: day.BatchPoured}
	}
	return day.Press{Kind: day.BatchStarted, Mixer: 1 + luck.IntN(3)}
}

// A zone that is laid and not yet closed: the zone has no figure and says so, the
// day goes on with the next one; after the last zone nothing is asked.
func TestOutlookOfALaidZone(t *testing.T) {
	p := twoZones(2, 0.02)
	p.Zones[0].Outline = floor.Polygon{{X: 0, Y: 0}, {X: 2, Y: 0}, {X: 2, Y: 1}, {X: 0, Y: 1}} // one kit
	d := open(t, p)
	d.press(d.at, day.Press{Kind: day.BatchStarted, Mixer: 1})
	d.press(d.at.Add(4*time.Minute), day.Press{Kind: day.BatchPoured})
	o := d.judgeDay(100)
	if o.OK || !strings.Contains(o.Why, "Cellar is laid") || len(o.Ways) > 0 {
		t.Errorf("%v %q %v", o.OK, o.Why, o.Ways)
	}
	if z := o.Day.Zones; !o.Day.OK || len(z) != 1 || z[0].Name != "Annex" || z[0].Start.Before(d.at.Add(20*time.Minute)) {
		t.Errorf("%+v", o.Day)
	}
	d.press(d.at.Add(time.Minute), day.Press{Kind: day.ZoneClosed})
	d.press(d.at.Add(time.Minute), day.Press{Kind: day.ZoneBegan, Zone: "Annex"})
	d.press(d.at.Add(time.Minute), day.Press{Kind: day.ZoneClosed})
	if _, ok := Ask(d.look()); ok {
		t.Error("a day that is done is forecast")
	}
}

// What is lifted has to be laid again: with three of the cellar's kits taken up
// again, three more are needed and the floor is done as many batches later. A
// roller that is out holds up nothing.
func TestHolesTakeBatches(t *testing.T) {
	d := open(t, cellar(3, 0.03))
	d.pour(12, 90*time.Second, 205*time.Second, 1, 2, 3)
	before := d.judge(300)
	d.press(d.at, day.Press{Kind: day.PostLost, Post: day.PostRoll})
	if o := d.judge(300); o.Kits != before.Kits || o.P50.Sub(before.P50).Abs() > time.Second {
		t.Errorf("without the roller %d kits until %s, with it %d until %s", o.Kits, o.P50, before.Kits, before.P50)
	}
	for _, no := range []int{5, 7, 8} {
		d.press(d.at, day.Press{Kind: day.BatchCondemned, Batch: no, Why: "bad"})
		d.press(d.at, day.Press{Kind: day.BatchLifted, Batch: no})
	}
	after := d.judge(300)
	if later := after.P50.Sub(before.P50); after.Kits != before.Kits+3 || later < 4*time.Minute || later > 5*time.Minute {
		t.Errorf("with three holes %d kits until %s, before %d until %s", after.Kits, after.P50, before.Kits, before.P50)
	}
}
