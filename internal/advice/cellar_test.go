package advice

import (
	"context"
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/floor"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
)

func mins(m float64) time.Duration { return time.Duration(m * float64(time.Minute)) }

// urethane is the flow urethane of the worked test days: invented.
func urethane() sheet.Sheet {
	at := func(m10, m20, m30 float64) sheet.Table {
		return sheet.Table{Points: []sheet.Point{{TempC: 10, Time: mins(m10)}, {TempC: 20, Time: mins(m20)}, {TempC: 30, Time: mins(m30)}}}
	}
	return sheet.Sheet{Name: "U", Blends: []sheet.Blend{{
		Name: "plain", YieldL: 14,
		Steps:      []sheet.Step{{Name: "A and colour", Time: mins(0.5), Starts: true}, {Name: "B in", Time: mins(1)}, {Name: "aggregate", Time: mins(1)}},
		Parts:      []sheet.Part{{Name: "A"}, {Name: "B"}, {Name: "aggregate"}},
		BucketLife: at(14, 8, 4.5), EdgeLife: at(20, 12, 7), RollUntil: at(15, 9, 5),
		BroadcastFrom: sheet.Table{Always: mins(2)}, BroadcastUntil: at(18, 11, 6),
		Cures: []sheet.Cure{{Use: sheet.UseWashDown, Hours: sheet.Table{Points: []sheet.Point{
			{TempC: 10, Time: 40 * time.Hour}, {TempC: 15, Time: 30 * time.Hour}, {TempC: 20, Time: 20 * time.Hour}, {TempC: 30, Time: 14 * time.Hour},
		}}}},
	}}}
}

// cellar is test day 1, the warm cellar: an L of 174 m² at 6 mm, slab 27 °C, kits
// 29 °C, mixer cycle 4:30, one kit lays 2.201 m². The mix station stands near
// enough for the buckets. Steps vary by spread (sd of ln).
func cellar(mixers int, spread float64) *plan.Plan {
	p := plan.Default()
	p.Title, p.Sheet = "warm cellar", urethane()
	p.Handover = time.Date(2026, 5, 4, 6, 0, 0, 0, time.UTC)
	p.Opening = p.Handover.Add(48 * time.Hour)
	p.OpeningUse = sheet.UseWashDown
	c := &p.Crew
	c.Mixers, c.Runners, c.Buckets = mixers, 2, 8
	c.Scrape, c.Reset = 15*time.Second, 105*time.Second
	c.Load, c.Headway = 0, 0
	c.Spread = plan.Spread{Mix: spread, Scrape: spread, Reset: spread, Load: spread, Walk: spread, Pour: spread, Rake: spread, Roll: spread, Broadcast: spread}
	p.Readings.SlabC, p.Readings.KitC, p.Readings.AirC, p.Readings.Humidity = 27, 29, 27, 0.5
	p.Zones = []plan.Zone{{Zone: floor.Zone{
		Name:    "Cellar",
		Outline: floor.Polygon{{X: 0, Y: 0}, {X: 9, Y: 0}, {X: 9, Y: 14}, {X: 6, Y: 14}, {X: 6, Y: 22}, {X: 0, Y: 22}},
		DepthM:  0.006, Station: floor.Point{X: 12, Y: 12},
	}, PullDeg: 90, RowDepthM: 0.75, StartLeft: true}}
	return &p
}

// crew is a day with its presses.
type crew struct {
	t  testing.TB
	s  *day.State
	at time.Time
}

func open(t testing.TB, p *plan.Plan) *crew {
	t.Helper()
	if ps := plan.Validate(p); len(ps) > 0 {
		t.Fatalf("the plan has problems: %v", ps)
	}
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	return &crew{t, day.New(p, floors), p.Handover.Add(time.Hour)}
}

func (c *crew) press(at time.Time, p day.Press) {
	c.t.Helper()
	es, err := day.Decide(c.s, p, at)
	if err != nil {
		c.t.Fatalf("%s at %s: %v", p.Kind, at.Format("15:04:05"), err)
	}
	for _, e := range es {
		e.N = int64(len(c.s.Events))
		c.s = c.s.Apply(e)
	}
	if at.After(c.at) {
		c.at = at
	}
}

// pour works on in even turns: a start every interval on the mixers in turn, each
// batch poured handling after its start, until n batches are started in all.
func (c *crew) pour(n int, interval, handling time.Duration, mixers ...int) {
	c.t.Helper()
	start := c.at
	for i := len(c.s.Batches); i < n; i++ {
		c.pourUntil(start, handling)
		c.press(start, day.Press{Kind: day.BatchStarted, Mixer: mixers[i%len(mixers)]})
		start = start.Add(interval)
	}
	c.at = start
	c.pourUntil(start, handling)
}

// pourUntil pours every batch whose time has come.
func (c *crew) pourUntil(t time.Time, handling time.Duration) {
	c.t.Helper()
	for i := range c.s.Batches {
		b := c.s.Batches[i]
		if at := b.Started.Add(handling); !b.Gone() && !at.After(t) {
			c.press(at, day.Press{Kind: day.BatchPoured, Batch: b.No})
		}
	}
}

func (c *crew) look() *day.Snapshot { return day.Look(c.s, c.at) }

func (c *crew) judge(days int) Outlook {
	c.t.Helper()
	q, ok := Ask(c.look())
	if !ok {
		c.t.Fatal("nothing to forecast")
	}
	o := q.Judge(context.Background(), days, 1)
	if !o.OK {
		c.t.Fatalf("no forecast: %s", o.Why)
	}
	return o
}

func (o Outlook) find(id string) (Way, int, bool) {
	for i, w := range o.Ways {
		if w.ID == id {
			return w, i, true
		}
	}
	return Way{}, -1, false
}
