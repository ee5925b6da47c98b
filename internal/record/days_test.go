package record

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"floorpace/config"
	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/floor"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/planfile"
	"floorpace/internal/rehearsal"
	"floorpace/internal/sheet"
	"floorpace/internal/shift"
)

func mins(m float64) time.Duration { return time.Duration(m * float64(time.Minute)) }

// hall is an invented plan: a hall w by l metres with the invented flow urethane
// of the worked test days.
func hall(w, l float64) *plan.Plan {
	at := func(m10, m20, m30 float64) sheet.Table {
		return sheet.Table{Points: []sheet.Point{{TempC: 10, Time: mins(m10)}, {TempC: 20, Time: mins(m20)}, {TempC: 30, Time: mins(m30)}}}
	}
	p := plan.Default()
	p.Title, p.Site = "Invented hall", "invented"
	p.Sheet = sheet.Sheet{Name: "U", Limits: sheet.Limits{DewMarginC: 3}, Blends: []sheet.Blend{{
		Name: "plain", YieldL: 14,
		Steps:      []sheet.Step{{Name: "A and colour", Time: mins(0.5), Starts: true}, {Name: "B in", Time: mins(1)}, {Name: "aggregate", Time: mins(1)}},
		Parts:      []sheet.Part{{Name: "A", KgPerKit: 3}, {Name: "B", KgPerKit: 4}, {Name: "aggregate", KgPerKit: 20}},
		BucketLife: at(14, 8, 4.5), EdgeLife: at(20, 12, 7), RollUntil: at(15, 9, 5),
		BroadcastFrom: sheet.Table{Always: mins(2)}, BroadcastUntil: at(18, 11, 6),
		Cures: []sheet.Cure{{Use: sheet.UseWashDown, Hours: sheet.Table{Points: []sheet.Point{{TempC: 10, Time: 40 * time.Hour}, {TempC: 20, Time: 20 * time.Hour}}}}},
	}}}
	p.Handover = time.Date(2026, 5, 4, 6, 0, 0, 0, time.UTC)
	p.Opening, p.OpeningUse = p.Handover.Add(60*time.Hour), sheet.UseWashDown
	c := &p.Crew
	c.Mixers, c.Runners, c.Buckets = 3, 3, 8
	c.Scrape, c.Reset, c.Load, c.Headway = 15*time.Second, 105*time.Second, 0, 0
	c.RakeM2Min = 2.2012578616352201 / 1.5 // a batch in a minute and a half
	p.Readings.At = p.Handover
	p.Readings.SlabC, p.Readings.KitC, p.Readings.AirC, p.Readings.Humidity = 19, 19, 19, 0.5
	p.Lots = []plan.Lot{{Name: "L 1", Parts: map[string]int{"A": 60, "B": 60, "aggregate": 60}}}
	p.Zones = []plan.Zone{{Zone: floor.Zone{
		Name: "Hall", Outline: floor.Polygon{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: l}, {X: 0, Y: l}},
		DepthM: 0.006, Station: floor.Point{X: 4, Y: -3},
	}, PullDeg: 90, RowDepthM: 0.75, StartLeft: true}}
	return &p
}

// book writes the events of a day.
type book struct {
	t      testing.TB
	p      *plan.Plan
	floors []*pace.Zone
	s      *day.State
}

func open(t testing.TB, p *plan.Plan) *book {
	t.Helper()
	if ps := plan.Validate(p); len(ps) > 0 {
		t.Fatalf("the plan has problems: %v", ps)
	}
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	b := &book{t: t, p: p, floors: floors, s: day.New(p, floors)}
	b.put(p.Handover, day.Event{Kind: day.SessionOpened, App: "test"})
	return b
}

// put writes an event as it is.
func (b *book) put(at time.Time, es ...day.Event) {
	for _, e := range es {
		e.At, e.N = at, int64(len(b.s.Events)+1)
		b.s = b.s.Apply(e)
	}
}

// press writes what a hand pressed, if the console would take it.
func (b *book) press(at time.Time, q day.Press) {
	b.t.Helper()
	es, err := day.Decide(b.s, q, at)
	if err != nil {
		b.t.Fatalf("%s at %s: %v", q.Kind, hms(at), err)
	}
	b.put(at, es...)
}

func (b *book) paper() *Paper {
	b.t.Helper()
	return paperOf(b.t, b.p, b.floors, b.s.Events)
}

func paperOf(t testing.TB, p *plan.Plan, floors []*pace.Zone, events []day.Event) *Paper {
	t.Helper()
	q, err := Build(p, floors, events, soundLog(len(events)), p.Opening)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

func soundLog(n int) Log {
	return Log{Day: "2026-05-04", Files: []LogFile{{
		Name: "A-7f3c91d2.jsonl", Found: "named", Station: Text{S: "A"}, Writer: Text{S: "7f3c91d2"}, App: Text{S: "test"}, Verdict: "clean", Sound: true,
		Events: n, Seal: Text{S: "0123456789ab"}, SHA256: strings.Repeat("0123456789abcdef", 4), Words: []string{"Sound."},
	}}}
}

// soundDay is a day without a fault: a hall of 9 by 6 m filled at one batch in a
// minute and a half, every step pressed, marks, one hold, one slip taken back,
// one part batch at the end.
func soundDay(t testing.TB) *book {
	t.Helper()
	p := hall(9, 6)
	p.Rules.StepPresses = true
	b := open(t, p)
	begin := p.Handover.Add(30 * time.Minute)
	for what, v := range map[string]float64{day.ReadSlab: 19, day.ReadAir: 19, day.ReadHumidity: 0.5, day.ReadKit: 19} {
		b.put(begin, day.Event{Kind: day.ReadingTaken, What: what, Value: day.Value(v)})
	}
	type act struct {
		at time.Duration
		q  day.Press
	}
	var acts []act
	const n = 25 // 9 · 6 · 6 mm = 324 L are 24.53 kits of 14 / 1.06 L
	for i := range n {
		start, mixer := time.Duration(i)*mins(1.5), i%3+1
		q := day.Press{Kind: day.BatchStarted, Mixer: mixer}
		if i == n-1 {
			q.Share, q.Weights = 0.75, "A=2.25 B=3.00 aggregate=15.00"
		}
		acts = append(acts, act{start, q})
		for k, d := range []float64{0.5, 1.5, 2.5} {
			acts = append(acts, act{start + mins(d) + time.Duration(k), day.Press{Kind: day.BatchStepped, Batch: i + 1}})
		}
		acts = append(acts, act{start + mins(3.5), day.Press{Kind: day.BatchPoured, Batch: i + 1}})
	}
	acts = append(
		acts,
		act{mins(15.2), day.Press{Kind: day.FrontMarked, AreaM2: day.Value(16)}},
		act{mins(33.2), day.Press{Kind: day.FrontMarked, AreaM2: day.Value(42)}},
		act{mins(20.1), day.Press{Kind: day.HoldBegan, Why: "WAY BLOCKED"}},
		act{mins(20.6), day.Press{Kind: day.HoldEnded}},
		act{mins(22.1), day.Press{Kind: day.NoteWritten, Text: "bubbles at the wall"}},
		act{mins(22.2), day.Press{Kind: day.PressUndone}},
		act{mins(25.1), day.Press{Kind: day.DecisionMade, Text: "go on", Who: "A. Placer", Role: "foreman"}},
		act{mins(42), day.Press{Kind: day.ZoneClosed}},
	)
	sortBy(acts, func(a, b act) bool { return a.at < b.at })
	for _, a := range acts {
		b.press(begin.Add(a.at), a.q)
	}
	return b
}

// rehearsals are kept: a day takes a second to pour and is only read.
var rehearsals = map[string]*book{}

// rehearsed is a whole invented day poured from an example plan.
func rehearsed(t testing.TB, name string, seed uint64) *book {
	t.Helper()
	key := fmt.Sprint(name, seed)
	if b, ok := rehearsals[key]; ok {
		return b
	}
	p, ps := planfile.Load(config.Files, name)
	if len(ps) > 0 {
		t.Fatalf("%v", ps)
	}
	if first := p.Handover.Add(p.Preparation); p.Readings.At.After(first) {
		p.Readings.At = first // this crew begins as soon as it may
	}
	rehearsals[key] = rehearse(t, p, seed)
	return rehearsals[key]
}

type handClock struct {
	from time.Time
	gone time.Duration
}

func (c *handClock) Now() daylog.Reading {
	return daylog.Reading{Wall: c.from.Add(c.gone), Mono: c.gone, Awake: c.gone, Boot: "test"}
}

func rehearse(t testing.TB, p *plan.Plan, seed uint64) *book {
	t.Helper()
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	clock := &handClock{from: p.Handover.Add(p.Preparation)}
	log := shift.NewMemory(clock)
	desk := shift.Open(p, floors, log, clock, log.Records(), nil)
	desk.Steady()
	crew := rehearsal.New(p, seed)
	v := desk.View().Snapshot
	for i := 0; i < 24*720 && !crew.Done(v); i++ {
		clock.gone += 5 * time.Second
		desk.Tick()
		v = desk.View().Snapshot
		for _, press := range crew.Act(v) {
			desk.Press(press)
		}
	}
	if !crew.Done(v) {
		t.Fatal("the crew did not finish")
	}
	events := shift.Events(log.Records())
	return &book{t: t, p: p, floors: floors, s: day.Fold(p, floors, events)}
}

func kindsOf(p *Paper) string {
	var out []string
	for _, f := range p.Findings {
		out = append(out, f.Kind+" | "+f.Where+" | "+f.What)
	}
	return strings.Join(out, "\n")
}
