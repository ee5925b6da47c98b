package playback

import (
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/floor"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
)

func mins(m float64) time.Duration { return time.Duration(m * float64(time.Minute)) }

// hall is an invented plan: one long hall, laid with an invented material.
func hall(lengthM float64) *plan.Plan {
	at := func(m10, m20, m30 float64) sheet.Table {
		return sheet.Table{Points: []sheet.Point{{TempC: 10, Time: mins(m10)}, {TempC: 20, Time: mins(m20)}, {TempC: 30, Time: mins(m30)}}}
	}
	p := plan.Default()
	p.Title = "invented hall"
	p.Sheet = sheet.Sheet{Name: "U", Blends: []sheet.Blend{{
		Name: "plain", YieldL: 14,
		Steps:      []sheet.Step{{Name: "A and colour", Time: mins(0.5), Starts: true}, {Name: "B in", Time: mins(1)}, {Name: "aggregate", Time: mins(1)}},
		Parts:      []sheet.Part{{Name: "A"}, {Name: "B"}, {Name: "aggregate"}},
		BucketLife: at(14, 8, 4.5), EdgeLife: at(20, 12, 7), RollUntil: at(15, 9, 5),
		BroadcastFrom: sheet.Table{Always: mins(2)}, BroadcastUntil: at(18, 11, 6),
		Cures: []sheet.Cure{{Use: sheet.UseWashDown, Hours: sheet.Table{Points: []sheet.Point{{TempC: 10, Time: 40 * time.Hour}, {TempC: 20, Time: 20 * time.Hour}}}}},
	}}}
	p.Handover = time.Date(2026, 5, 4, 6, 0, 0, 0, time.UTC)
	p.Opening, p.OpeningUse = p.Handover.Add(60*time.Hour), sheet.UseWashDown
	c := &p.Crew
	c.Mixers, c.Runners, c.Buckets = 3, 3, 9
	c.Scrape, c.Reset, c.Load, c.Headway = 15*time.Second, 105*time.Second, 0, 0
	c.RakeM2Min = 2.2
	p.Readings.SlabC, p.Readings.KitC, p.Readings.AirC, p.Readings.Humidity = 19, 19, 19, 0.5
	p.Lots = []plan.Lot{{Name: "L1", Parts: map[string]int{"A": 600, "B": 600, "aggregate": 600}}}
	p.Zones = []plan.Zone{{Zone: floor.Zone{
		Name: "Hall", Outline: floor.Polygon{{X: 0, Y: 0}, {X: 9, Y: 0}, {X: 9, Y: lengthM}, {X: 0, Y: lengthM}},
		DepthM: 0.006, Station: floor.Point{X: 4, Y: -3},
	}, PullDeg: 90, RowDepthM: 0.75, StartLeft: true}}
	return &p
}

// pourDay pours events events' worth of a day: batches with their steps,
// calls, marks, readings, holds, and a slip that is taken back now and then.
func pourDay(t testing.TB, events int) (*plan.Plan, []*pace.Zone, []day.Event) {
	t.Helper()
	p := hall(90)
	if ps := plan.Validate(p); len(ps) > 0 {
		t.Fatalf("%v", ps)
	}
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	s := day.New(p, floors)
	put := func(es ...day.Event) {
		for _, e := range es {
			e.N = int64(len(s.Events))
			s = s.Apply(e)
		}
	}
	at := p.Handover.Add(2 * time.Hour)
	put(day.Event{Kind: day.SessionOpened, At: at})
	press := func(q day.Press) {
		es, err := day.Decide(s, q, at)
		if err != nil {
			t.Fatalf("event %d, %s: %v", len(s.Events), q.Kind, err)
		}
		put(es...)
	}
	for i := 0; len(s.Events) < events; i++ {
		mixer := i%3 + 1
		press(day.Press{Kind: day.BatchStarted, Mixer: mixer})
		no := len(s.Batches)
		at = at.Add(20 * time.Second)
		press(day.Press{Kind: day.BatchStepped, Batch: no})
		put(day.Due(s, day.Look(s, at))...)
		at = at.Add(30 * time.Second)
		if no > 2 {
			press(day.Press{Kind: day.BatchPoured, Batch: no - 2})
		}
		switch {
		case i%40 == 39:
			press(day.Press{Kind: day.ReadingTaken, What: day.ReadSlab, Value: day.Value(19 - float64(i%5)/10)})
		case i%25 == 24: // one that the day's own rules then clear
			put(day.Event{Kind: day.CallRaised, At: at, Call: "test", Grad: 1 + i%2, What: "LOOK HERE", Why: "raised by the test"})
		case i%60 == 59:
			press(day.Press{Kind: day.HoldBegan, Why: "water"})
			at = at.Add(3 * time.Minute)
			put(day.Due(s, day.Look(s, at))...)
			press(day.Press{Kind: day.HoldEnded})
		case i%30 == 29:
			press(day.Press{Kind: day.PressUndone, Of: s.Events[len(s.Events)-1].N})
			press(day.Press{Kind: day.BatchPoured, Batch: no - 2})
		}
		at = at.Add(10 * time.Second)
	}
	return p, floors, s.Events[:events]
}
