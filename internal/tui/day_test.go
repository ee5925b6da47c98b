package tui

import (
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/floor"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
	"floorpace/internal/shift"
	"floorpace/internal/tui/look"
	"floorpace/internal/units"

	tea "github.com/charmbracelet/bubbletea"
)

// clock is a machine's clock that moves only when told to.
type clock struct{ wall time.Time }

func (c *clock) Now() daylog.Reading {
	up := c.wall.Sub(time.Date(2026, 5, 4, 0, 0, 0, 0, time.UTC))
	return daylog.Reading{Wall: c.wall, Mono: up, Awake: up, Boot: "b"}
}

// crew is a source that saves at once: a desk without a goroutine.
type crew struct {
	clock   *clock
	desk    *shift.Desk
	view    *shift.View
	changed chan struct{}
	pressed []day.Press
	full    bool
	waiting int
}

func (c *crew) Latest() *shift.View       { return c.view }
func (c *crew) Changed() <-chan struct{}  { return c.changed }
func (c *crew) Quiet(time.Time) bool      { c.desk.Quiet(); c.view = c.desk.View(); return true }
func (c *crew) Waiting() (int, time.Time) { return c.waiting, c.clock.wall.Add(-3 * time.Second) }
func (c *crew) Press(p day.Press, _ time.Time) bool {
	if c.full {
		return false
	}
	c.pressed = append(c.pressed, p)
	c.desk.Press(p)
	c.view = c.desk.View()
	return true
}

// wait lets time pass with a tick of the desk every few seconds.
func (c *crew) wait(d time.Duration) {
	for d > 0 {
		step := min(d, 2*time.Second)
		c.clock.wall = c.clock.wall.Add(step)
		c.desk.Tick()
		d -= step
	}
	c.view = c.desk.View()
}

func (c *crew) do(t testing.TB, p day.Press) {
	t.Helper()
	if a := c.desk.Press(p); a.Refused != "" {
		t.Fatalf("%s: %s", p.Kind, a.Refused)
	}
	c.view = c.desk.View()
}

func mins(m float64) time.Duration { return time.Duration(m * float64(time.Minute)) }

// samplePlan is an invented two-zone day with the flow urethane of the worked
// test days.
func samplePlan() *plan.Plan {
	at := func(m10, m20, m30 float64) sheet.Table {
		return sheet.Table{Points: []sheet.Point{{TempC: 10, Time: mins(m10)}, {TempC: 20, Time: mins(m20)}, {TempC: 30, Time: mins(m30)}}}
	}
	p := plan.Default()
	p.Title, p.Units = "Cold store, invented", units.Metric
	p.Sheet = sheet.Sheet{Name: "U", Blends: []sheet.Blend{{
		Name: "plain", YieldL: 14,
		Steps:      []sheet.Step{{Name: "A and colour", Time: mins(0.5), Starts: true}, {Name: "B in", Time: mins(1)}, {Name: "aggregate", Time: mins(1)}},
		Parts:      []sheet.Part{{Name: "A", KgPerKit: 9.2}, {Name: "B", KgPerKit: 6.4}, {Name: "aggregate", KgPerKit: 14}},
		BucketLife: at(14, 8, 4.5), EdgeLife: at(20, 12, 7), RollUntil: at(15, 9, 5),
		BroadcastFrom: sheet.Table{Always: mins(2)}, BroadcastUntil: at(18, 11, 6),
		Cures: []sheet.Cure{{Use: sheet.UseWashDown, Hours: sheet.Table{Points: []sheet.Point{{TempC: 10, Time: 40 * time.Hour}, {TempC: 20, Time: 20 * time.Hour}, {TempC: 25, Time: 16 * time.Hour}}}}},
	}}}
	p.Handover = time.Date(2026, 5, 4, 6, 0, 0, 0, time.UTC)
	p.Opening, p.OpeningUse = p.Handover.Add(60*time.Hour), sheet.UseWashDown
	c := &p.Crew
	c.Mixers, c.Runners, c.Buckets, c.RakeM2Min = 3, 3, 9, 2.2
	c.Reset = 105 * time.Second
	p.Readings.SlabC, p.Readings.KitC, p.Readings.AirC, p.Readings.Humidity = 19, 19, 19, 0.5
	p.Lots = []plan.Lot{{Name: "L1", Parts: map[string]int{"A": 90, "B": 90, "aggregate": 90}}}
	zone := func(name string, w, l float64) plan.Zone {
		z := plan.DefaultZone()
		z.Name, z.Outline = name, floor.Polygon{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: l}, {X: 0, Y: l}}
		z.DepthM, z.Station, z.PullDeg, z.Move = 0.006, floor.Point{X: 0, Y: -5}, 90, 20*time.Minute
		return z
	}
	p.Zones = []plan.Zone{zone("A", 9, 6), zone("B", 6, 4)}
	return &p
}

// open sits down at a day half an hour after its handover.
func open(t testing.TB, p *plan.Plan) *crew {
	t.Helper()
	if ps := plan.Validate(p); len(ps) > 0 {
		t.Fatalf("the plan has problems: %v", ps)
	}
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	c := &crew{clock: &clock{p.Handover.Add(30 * time.Minute)}, changed: make(chan struct{}, 1)}
	log := shift.NewMemory(c.clock)
	c.desk = shift.Open(p, floors, log, c.clock, log.Records(), nil)
	c.wait(time.Second)
	return c
}

// pour works n batches at one every 1:30, each poured 4:10 after its start.
func (c *crew) pour(t testing.TB, n int) {
	t.Helper()
	for i := range n {
		c.do(t, day.Press{Kind: day.BatchStarted, Mixer: i%3 + 1})
		c.wait(70 * time.Second)
		if i >= 2 {
			c.do(t, day.Press{Kind: day.BatchPoured})
		}
		c.wait(20 * time.Second)
	}
}

func (c *crew) empty(t testing.TB) {
	t.Helper()
	for range 9 {
		if len(c.view.Buckets)+c.view.Kits.OnTheWay == 0 {
			return
		}
		c.wait(90 * time.Second)
		c.do(t, day.Press{Kind: day.BatchPoured})
	}
}

// state is one of the five instants that every screen is looked at in.
func state(t testing.TB, name string) *crew {
	t.Helper()
	c := open(t, samplePlan())
	switch name {
	case "2-mid-row":
		c.pour(t, 11)
		c.wait(12 * time.Second)
	case "3-at-risk":
		c.pour(t, 11)
		c.do(t, day.Press{Kind: day.HoldBegan, Why: "WAY BLOCKED"})
		c.wait(mins(8))
	case "4-gone":
		c.pour(t, 11)
		c.do(t, day.Press{Kind: day.HoldBegan, Why: "WAY BLOCKED"})
		c.wait(mins(12))
		c.do(t, day.Press{Kind: day.HoldEnded})
		c.wait(mins(1))
	case "5-zone-done":
		c.pour(t, 26)
		c.empty(t)
		c.do(t, day.Press{Kind: day.ZoneClosed})
		c.wait(mins(3))
	}
	return c
}

func states(t testing.TB) map[string]*crew {
	t.Helper()
	out := map[string]*crew{}
	for _, name := range []string{"1-start", "2-mid-row", "3-at-risk", "4-gone", "5-zone-done"} {
		out[name] = state(t, name)
	}
	return out
}

func console(c *crew, o Options) *Model {
	o.Source, o.Now = c, c.clock.Now
	m := New(o)
	m.Init()
	return m
}

// sized gives a console that has been told its size.
func sized(c *crew, o Options, w, h int) *Model {
	m := console(c, o)
	m.Update(tea.WindowSizeMsg{Width: w, Height: h})
	return m
}

func plainOptions() Options { return Options{Profile: look.NoColor} }
