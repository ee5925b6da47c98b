package advice

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/floor"
	"floorpace/internal/line"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
)

// twoZones is the warm cellar with an annex of 6 × 8 m behind it, set up in
// 20 minutes.
func twoZones(mixers int, spread float64) *plan.Plan {
	p := cellar(mixers, spread)
	p.Zones = append(p.Zones, plan.Zone{Zone: floor.Zone{
		Name: "Annex", Outline: floor.Polygon{{X: 20, Y: 0}, {X: 26, Y: 0}, {X: 26, Y: 8}, {X: 20, Y: 8}},
		DepthM: 0.006, Station: floor.Point{X: 18, Y: 4},
	}, PullDeg: 90, RowDepthM: 0.75, StartLeft: true, Move: 20 * time.Minute})
	return p
}

func (c *crew) judgeDay(days int) Outlook {
	c.t.Helper()
	q, ok := Ask(c.look())
	if !ok {
		c.t.Fatal("nothing to forecast")
	}
	return q.JudgeDay(context.Background(), days, 1)
}

// By hand, with steps that hardly vary and the mixers setting the pace: 79.05 kits
// of the cellar at 1:30 with three mixers, 20 minutes, 48 m² of the annex in 21.8
// kits at 1:30, and the first batch's own handling twice.
func TestWholeDayByHand(t *testing.T) {
	d := open(t, twoZones(3, 0.002))
	o := d.judgeDay(200)
	if !o.OK || !o.Day.OK || len(o.Day.Zones) != 2 || o.Day.Days != 200 {
		t.Fatalf("%+v", o.Day)
	}
	laid := o.Day.P50.Sub(d.at)
	if want := mins(79.05*1.5 + 20 + 21.8*1.5); laid < want || laid > want+mins(14) {
		t.Errorf("the day takes %v, by hand %v and the handling of two first batches", laid, want)
	}
	z := o.Day.Zones[1]
	if got := z.Start.Sub(o.P50); (got - 20*time.Minute).Abs() > time.Second {
		t.Errorf("the annex starts %v after the cellar, want the move of 20 min", got)
	}
	if z.Name != "Annex" || z.Kits != 22 || o.Day.Kits != o.Kits+22 || o.Day.Zones[0].P50 != o.P50 {
		t.Errorf("zones %+v", o.Day.Zones)
	}
	if o.Day.Edge < 0.99 || !o.Opening.Equal(o.Day.Opening) || !o.Day.InTime || o.Day.Opens < 0.99 {
		t.Errorf("day %+v, opening %s", o.Day, o.Opening)
	}
	if p := d.judge(200); p.Day.Days != 0 || p.Day.OK || len(p.Notes) == 0 || p.Edge != o.Edge || !p.P50.Equal(o.P50) {
		t.Errorf("the zone alone: %+v, %v", p.Day, p.Notes)
	}
}

// Two mixers lose the 9 m of the cellar and hold the 6 m of the annex (7.47 m at
// the most, by hand): the day is lost with its first zone, and once that is closed
// the annex alone is the day. While all mixers are out nothing comes and no finish
// is named.
func TestDayIsAsGoodAsItsZones(t *testing.T) {
	p := twoZones(2, 0.01)
	p.Zones[1].Move = 20 * time.Minute
	d := open(t, p)
	o := d.judgeDay(200)
	if z := o.Day.Zones; len(z) != 2 || z[0].Edge > 0.01 || z[1].Edge < 0.99 || o.Day.Edge > 0.01 {
		t.Errorf("%+v", o.Day)
	}
	d.press(d.at, day.Press{Kind: day.BatchStarted, Mixer: 1})
	d.press(d.at.Add(4*time.Minute), day.Press{Kind: day.BatchPoured})
	d.press(d.at.Add(time.Minute), day.Press{Kind: day.ZoneClosed})
	next := d.judgeDay(200)
	if len(next.Day.Zones) != 1 || next.Day.Zones[0].Name != "Annex" || next.Day.Edge < 0.99 || next.Day.Edge != next.Edge || !next.Day.P50.Equal(next.P50) {
		t.Errorf("after the cellar: %+v", next.Day)
	}
	closed := d.at
	if took := next.P50.Sub(closed); took < p.Zones[1].Move+mins(20) {
		t.Errorf("the annex is laid %v after the cellar was closed, its move alone takes %v", took, p.Zones[1].Move)
	}
	d.at = closed.Add(15 * time.Minute)
	if again := d.judgeDay(200); !again.P50.Equal(next.P50) {
		t.Errorf("on the move the annex is laid at %v, said before: %v", again.P50, next.P50)
	}
	for m := 1; m <= 2; m++ {
		d.press(d.at, day.Press{Kind: day.PostLost, Post: day.PostMixer, Which: m})
	}
	if none := d.judgeDay(100); none.Day.OK || none.Day.Why == "" || !none.Day.P50.IsZero() {
		t.Errorf("nobody mixes: %+v", none.Day)
	}
}

// Handover, preparation and the hours of doors keep the first batch; a door shut
// by a press says nothing of when it opens.
func TestDayWaitsForDoorsAndHandover(t *testing.T) {
	p := twoZones(3, 0.002)
	p.Preparation = 2 * time.Hour
	opens := p.Handover.Add(9 * time.Hour)
	p.Zones[1].Doors = []plan.Door{{Door: floor.Door{Name: "yard", At: floor.Point{X: 23, Y: 8}}, OpenFrom: opens}}
	d := open(t, p) // an hour after the handover
	o := d.judgeDay(100)
	first := p.Handover.Add(p.Preparation)
	if took := o.P50.Sub(first); took < mins(118.6) || took > mins(128) {
		t.Errorf("the cellar is laid %v after the preparation, by hand 118.6 min and one handling", took)
	}
	if !o.Day.Zones[1].Start.Equal(opens) {
		t.Errorf("the annex starts at %s, its door opens at %s", o.Day.Zones[1].Start, opens)
	}
	d.press(d.at, day.Press{Kind: day.HandoverGiven, Time: p.Handover.Add(3 * time.Hour).Format(time.RFC3339)})
	if later := d.judgeDay(100); later.P50.Sub(o.P50) != 3*time.Hour {
		t.Errorf("handed over three hours later it is laid %v later", later.P50.Sub(o.P50))
	}
}

// Before the first press the console and the plan's forecast say the same, zone by
// zone and for the day, on the same days and luck.
func TestConsoleAgreesWithForecast(t *testing.T) {
	p := twoZones(3, 0.06)
	p.Zones[0].RowDepthM, p.Preparation = 0.8, time.Hour
	d := open(t, p)
	d.at = p.Handover.Add(-time.Hour)
	o := d.judgeDay(500)
	r, err := Forecast(context.Background(), p, d.s.Floors, Options{Days: 500, Seed: 1}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if o.Day.Edge != r.Edge || o.Day.Both != r.Both || o.Edge != r.Zones[0].Edge || o.Day.Zones[1].Edge != r.Zones[1].Edge {
		t.Errorf("console: zone %v, day %v and %v; forecast: %v, %v and %v", o.Edge, o.Day.Edge, o.Day.Both, r.Zones[0].Edge, r.Edge, r.Both)
	}
	first := p.Handover.Add(p.Preparation)
	for name, c := range map[string]struct {
		at   time.Time
		want float64
	}{"p10": {o.Day.P10, r.P10S}, "p50": {o.Day.P50, r.P50S}, "p90": {o.Day.P90, r.P90S}, "zone": {o.P50, r.Zones[0].P50S}} {
		if got := c.at.Sub(first).Seconds(); math.Abs(got-c.want) > 0.0015 {
			t.Errorf("%s: the console says %.3f s after the first start, the forecast %.3f", name, got, c.want)
		}
	}
	if r.Opening == nil || !o.Day.Opening.Equal(*r.Opening) || o.Day.Opens != *r.Opens {
		t.Errorf("opening %s on %v, forecast %v", o.Day.Opening, o.Day.Opens, r.Opening)
	}
	if o.Day.Edge < 0.02 || o.Day.Edge > 0.98 {
		t.Errorf("the chance %.3f is too sure to compare", o.Day.Edge)
	}
	planned := slices.IndexFunc(r.Crews, func(c CrewRow) bool { return c.Planned })
	if c := r.Crews[planned]; c.Edge != r.Edge || c.Both != r.Both || c.P50S != r.P50S {
		t.Errorf("the planned crew's row %+v is not the forecast's own %+v", c, r.Whole)
	}
}

// The course of a day against a count by itself: random zones, the end of each day
// worked out one after the other and its quantiles read off the sorted list.
func TestCourseByCounting(t *testing.T) {
	luck := rand.New(rand.NewPCG(1, 2))
	const days, zones = 501, 4
	c := newCourse(days)
	ends := make([]float64, days)
	hold := make([]bool, days)
	for d := range hold {
		hold[d] = true
	}
	for range zones {
		move := time.Duration(luck.IntN(1200)) * time.Second
		gate := time.Duration(luck.IntN(3)) * time.Hour
		zone := make([]line.DayEnd, days)
		for d := range zone {
			zone[d] = line.DayEnd{Laid: time.Duration(3600+luck.IntN(3600)) * time.Second, Edges: luck.IntN(5) > 0, Buckets: luck.IntN(9) > 0}
			ends[d] = max(ends[d]+move.Seconds(), gate.Seconds()) + zone[d].Laid.Seconds()
			hold[d] = hold[d] && zone[d].Edges && zone[d].Buckets
		}
		c.then(move, gate, zone)
	}
	n := 0
	for _, ok := range hold {
		if ok {
			n++
		}
	}
	if _, _, both := c.shares(); both != float64(n)/days {
		t.Errorf("both hold on %v of the days, counted %d of %d", both, n, days)
	}
	slices.Sort(ends)
	laid := c.laid() // of 501 days the tenth, half and nine tenths are days 51, 251, 451
	for i, got := range map[int]time.Duration{50: laid.P10, 250: laid.P50, 450: laid.P90} {
		if math.Abs(got.Seconds()-ends[i]) > 1e-3 {
			t.Errorf("rank %d: %v, counted %v", i+1, got.Seconds(), ends[i])
		}
	}
	late := time.Duration(ends[400] * float64(time.Second))
	c.by(late)
	if got := c.opens(); got != 401.0/days {
		t.Errorf("in time on %v of the days, counted 401 of %d", got, days)
	}
}

// A larger crew is never down later on the same luck, and every edge that a crew
// keeps at a pace is kept by one more runner: the table must not fall.
func TestCrewTableIsMonotone(t *testing.T) {
	p := twoZones(2, 0.08)
	p.Zones[0].Station = floor.Point{X: 4.5, Y: -25}
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Forecast(context.Background(), p, floors, Options{Days: 300, Seed: 1}, nil)
	if err != nil {
		t.Fatal(err)
	}
	at := map[[2]int]CrewRow{}
	for _, c := range r.Crews {
		at[[2]int{c.Mixers, c.Runners}] = c
	}
	const slack = 1 // s: a larger crew is paced by another post, whose turns fall elsewhere
	for m := 1; m <= crewMixers; m++ {
		for n := 1; n <= crewRunners; n++ {
			c := at[[2]int{m, n}]
			if w, ok := at[[2]int{m, n + 1}]; ok && (w.P50S > c.P50S+slack || w.Edge < c.Edge-0.02) {
				t.Errorf("%d mixers: a runner more is down at %.0f s, %.3f; before %.0f s, %.3f", m, w.P50S, w.Edge, c.P50S, c.Edge)
			}
			if w, ok := at[[2]int{m + 1, n}]; ok && (w.P50S > c.P50S+slack || w.Edge < c.Edge-0.02 || w.Both < c.Both-0.02) {
				t.Errorf("%d runners: a mixer more (%d) is down at %.0f s, %.3f, %.3f; before %.0f s, %.3f, %.3f", n, m+1, w.P50S, w.Edge, w.Both, c.P50S, c.Edge, c.Both)
			}
		}
	}
	if s := r.Smallest; s != nil {
		for _, c := range r.Crews {
			if c.Both >= r.Asked && c.Mixers+c.Runners < s.Mixers+s.Runners {
				t.Errorf("%+v holds with fewer people than the smallest %+v", c, *s)
			}
		}
	}
}
