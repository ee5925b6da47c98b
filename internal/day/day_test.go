package day

import (
	"math"
	"testing"
	"time"

	"floorpace/internal/floor"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
)

// The flow urethane of the worked test days: invented.
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
			{TempC: 10, Time: 40 * time.Hour}, {TempC: 15, Time: 30 * time.Hour}, {TempC: 20, Time: 20 * time.Hour}, {TempC: 25, Time: 16 * time.Hour},
		}}}},
	}}}
}

func mins(m float64) time.Duration { return time.Duration(m * float64(time.Minute)) }

// clockAt is an instant of the worked days, on an invented date.
func clockAt(t *testing.T, s string) time.Time {
	t.Helper()
	at, err := time.Parse("2006-01-02 15:04:05", "2026-05-04 "+s)
	if err != nil {
		t.Fatal(err)
	}
	return at
}

func rectangle(w, l float64) *plan.Plan {
	p := plan.Default()
	p.Title, p.Sheet = "rectangle", urethane()
	p.Handover = time.Date(2026, 5, 4, 6, 0, 0, 0, time.UTC)
	p.Opening = p.Handover.Add(60 * time.Hour)
	p.OpeningUse = sheet.UseWashDown
	c := &p.Crew
	c.Mixers, c.Runners, c.Buckets = 3, 3, 9
	c.Scrape, c.Reset = 15*time.Second, 105*time.Second
	c.Load, c.Headway = 0, 0
	c.RakeM2Min = 2.2012 / 1.0 // a batch a minute: with the pour exactly one every 1:30
	p.Readings.SlabC, p.Readings.KitC, p.Readings.AirC, p.Readings.Humidity = 19, 19, 19, 0.5
	p.Lots = []plan.Lot{{Name: "L1", Parts: map[string]int{"A": 60, "B": 60, "aggregate": 60}}}
	p.Zones = []plan.Zone{{Zone: floor.Zone{
		Name: "A", Outline: floor.Polygon{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: l}, {X: 0, Y: l}},
		DepthM: 0.006, Station: floor.Point{X: 0, Y: -5},
	}, PullDeg: 90, RowDepthM: 0.75, StartLeft: true}}
	return &p
}

func begin(t testing.TB, p *plan.Plan) *State {
	t.Helper()
	if ps := plan.Validate(p); len(ps) > 0 {
		t.Fatalf("the plan has problems: %v", ps)
	}
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	s := New(p, floors)
	return s.Apply(Event{Kind: SessionOpened, At: p.Handover})
}

func do(t *testing.T, s *State, at time.Time, press Press) *State {
	t.Helper()
	es, err := Decide(s, press, at)
	if err != nil {
		t.Fatalf("%s at %s: %v", press.Kind, at.Format("15:04:05"), err)
	}
	for _, e := range es {
		e.N = int64(len(s.Events))
		s = s.Apply(e)
	}
	return s
}

// A stop, worked out by hand (test day 6): the row's edge ages from one end to
// the other, and is gone, at risk or joinable by place.
func TestStopWorkedByHand(t *testing.T) {
	p := rectangle(9, 12)
	p.Crew.RakeM2Min = 2.2012578616352201 / 1.5 // the rake moves on without a break at one batch in 1:30
	s := begin(t, p)
	// Rows of 4:36 each; the fourth row begins at 11:01:00.
	row := mins(6.75 / (2.2012578616352201 / 1.5))
	first := clockAt(t, "11:01:00").Add(-3 * row)
	for i := 0; i < 13; i++ {
		at := first.Add(time.Duration(i) * 90 * time.Second)
		s = do(t, s, at.Add(-3*time.Minute), Press{Kind: BatchStarted, Mixer: i%3 + 1})
		share := 1.0
		if i == 12 { // four rows are 12.2658 batches: the row ends inside the last bucket
			share = 4*40.5/(14/1.06) - 12
		}
		s = do(t, s, at, Press{Kind: BatchPoured, Share: share})
	}
	z := &s.Zones[0]
	if n := len(z.Laid); n == 0 || math.Abs(z.PosL-4*40.5) > 1e-6 {
		t.Fatalf("front at %.3f L, want the end of the fourth row, 162 L", z.PosL)
	}
	now := clockAt(t, "11:15:30")
	e := s.edgeAt(0, now, 0)
	for _, c := range []struct {
		what string
		got  float64
		want float64
	}{{"gone", e.GoneM, 3.66}, {"at risk", e.RiskM, 7.57 - 3.66}, {"joinable", e.JoinM, 9 - 7.57}} {
		if math.Abs(c.got-c.want) > 0.15 { // one cell and the mark's own shift
			t.Errorf("%s: %.2f m, want %.2f", c.what, c.got, c.want)
		}
	}
	if d := e.WholeUntil.Sub(clockAt(t, "11:11:38")); d.Abs() > 3*time.Second {
		t.Errorf("whole row joinable until %s, want 11:11:38", e.WholeUntil.Format("15:04:05"))
	}
	if d := e.LastUntil.Sub(clockAt(t, "11:16:14")); d.Abs() > 3*time.Second {
		t.Errorf("last point joinable until %s, want 11:16:14", e.LastUntil.Format("15:04:05"))
	}
}

// A worn rake (test day 7), answers worked out by hand.
func TestWornRakeWorkedByHand(t *testing.T) {
	p := rectangle(12, 22)
	b := &p.Sheet.Blends[0]
	b.YieldL = 15
	p.Zones[0].DepthM = 0.003
	p.Crew.RakeM2Min = 20
	p.Lots[0].Parts = map[string]int{"A": 58, "B": 58, "aggregate": 58}
	s := begin(t, p)
	if k := s.Floors[0].TakeOff(b); k.Kits != 56 || math.Abs(k.Exact-55.97) > 0.005 || math.Abs(k.M2PerKit-4.717) > 0.0005 {
		t.Errorf("take-off %+v, want 55.97, so 56, at 4.717 m²", k)
	}
	at, area := p.Handover.Add(time.Hour), 0.0
	for i, m2 := range []float64{4.3, 4.1, 3.9, 3.8, 3.9, 3.8} {
		at = at.Add(2 * time.Minute)
		s = do(t, s, at.Add(-4*time.Minute), Press{Kind: BatchStarted, Mixer: i%3 + 1})
		s = do(t, s, at, Press{Kind: BatchPoured})
		area += m2
		s = do(t, s, at.Add(50*time.Second), Press{Kind: FrontMarked, AreaM2: Value(area)})
	}
	v := Look(s, at.Add(time.Minute))
	k := v.Kits
	if math.Abs(100*k.Drift-84.1) > 0.05 {
		t.Errorf("drift %.2f %%, want 84.1", 100*k.Drift)
	}
	if k.NeedMean != 61 || k.NeedLast != 63 || k.Need != 51 || k.OnHand != 52 || k.SaveFor != 6 || !k.Short {
		t.Errorf("%+v: want 61 by the mean, 63 by the last three, 51 at plan, 52 on hand, saved for 6 more", k)
	}
	if math.Round(k.ReachM2) != 230 || math.Round(k.ReachLastM2) != 223 {
		t.Errorf("reach %.1f and %.1f m², want 230 and 223", k.ReachM2, k.ReachLastM2)
	}
	var got *condition
	for _, c := range conditions(s, v) {
		if c.id == "kits" {
			got = &c
		}
	}
	if got == nil || !got.on || got.what != "RESET THE RAKE" {
		t.Errorf("kits call: %+v", got)
	}
	t.Log(got.why)
}

// An hour of presses gives the same state twice, an undo takes back exactly
// one press, and the fold of the events is the live state.
func TestFoldIsLiveState(t *testing.T) {
	p := rectangle(9, 12)
	s := begin(t, p)
	at := p.Handover.Add(time.Hour)
	for i := 0; i < 20; i++ {
		v := Look(s, at)
		for _, e := range Due(s, v) {
			e.N = int64(len(s.Events))
			s = s.Apply(e)
		}
		if i >= 3 {
			s = do(t, s, at.Add(5*time.Second), Press{Kind: BatchPoured})
		}
		s = do(t, s, at.Add(10*time.Second), Press{Kind: BatchStarted, Mixer: i%3 + 1})
		at = at.Add(90 * time.Second)
	}
	before := Look(s, at)
	pos := s.Zones[0].PosL
	s = do(t, s, at, Press{Kind: BatchPoured})
	if s.Zones[0].PosL <= pos {
		t.Fatal("a pour does not move the front")
	}
	s = do(t, s, at.Add(time.Second), Press{Kind: PressUndone})
	if s.Zones[0].PosL != pos {
		t.Errorf("after the undo the front is at %g, was %g", s.Zones[0].PosL, pos)
	}
	if _, err := Decide(s, Press{Kind: PressUndone}, at.Add(2*time.Minute)); err == nil {
		t.Error("a press two minutes old was undone by one key")
	}
	again := Fold(p, s.Floors, s.Events)
	a, b := Look(s, at), Look(again, at)
	if a.PosL != b.PosL || len(a.Laid) != len(b.Laid) || a.Next != b.Next || len(a.Calls) != len(b.Calls) || a.Kits != b.Kits {
		t.Errorf("the fold differs from the live state:\n%+v\n%+v", a.Next, b.Next)
	}
	if a.PosL != before.PosL {
		t.Error("the snapshot moved")
	}
}
