package rehearsal_test

import (
	"slices"
	"sync"
	"testing"
	"time"

	"floorpace/config"
	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/planfile"
	"floorpace/internal/rehearsal"
	"floorpace/internal/shift"
)

type handClock struct {
	mu   sync.Mutex
	from time.Time
	gone time.Duration
}

func (c *handClock) Now() daylog.Reading {
	c.mu.Lock()
	defer c.mu.Unlock()
	return daylog.Reading{Wall: c.from.Add(c.gone), Mono: c.gone, Awake: c.gone, Boot: "test"}
}

// rehearse pours an example plan to its end.
func rehearse(t *testing.T, name string, seed uint64) (*shift.Desk, *shift.Memory) {
	t.Helper()
	p, ps := planfile.Load(config.Files, name)
	if len(ps) > 0 {
		t.Fatalf("%v", ps)
	}
	return poured(t, p, seed)
}

func poured(t *testing.T, p *plan.Plan, seed uint64) (*shift.Desk, *shift.Memory) {
	t.Helper()
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	clock := &handClock{from: p.Handover.Add(p.Preparation)}
	log := shift.NewMemory(clock)
	desk := shift.Open(p, floors, log, clock, log.Records(), nil)
	crew := rehearsal.New(p, seed)
	v := desk.View().Snapshot
	for i := 0; i < 24*720 && !crew.Done(v); i++ {
		clock.gone += 5 * time.Second
		desk.Tick()
		v = desk.View().Snapshot
		for _, press := range crew.Act(v) {
			if a := desk.Press(press); a.Refused != "" {
				t.Logf("%s refused at %s: %s", press.Kind, a.At.Format("15:04:05"), a.Refused)
			}
		}
	}
	return desk, log
}

func TestExamplePlansPourToTheEnd(t *testing.T) {
	for _, name := range []string{config.USPlan, config.MetricPlan} {
		desk, log := rehearse(t, name, 1)
		v := desk.View().Snapshot
		for i, z := range v.Zones {
			t.Logf("%s zone %s: %.1f %% with %d batches, %s to %s, joins %+v", name, z.Name, 100*z.Done, z.Batches, z.Began.Format("15:04"), z.Closed.Format("15:04"), desk.State().Joined(i))
			if z.Closed.IsZero() {
				t.Errorf("%s: zone %s was not closed", name, z.Name)
			}
		}
		for _, c := range v.History {
			t.Logf("%s call %s %s: %s (cleared %s)", name, c.Raised.Format("15:04:05"), c.What, c.Why, c.Cleared.Format("15:04:05"))
		}
		// The log alone gives the same day again.
		again := day.Fold(desk.State().Plan, desk.State().Floors, shift.Events(log.Records()))
		a, b := day.Look(desk.State(), v.Now), day.Look(again, v.Now)
		if a.PosL != b.PosL || a.Next != b.Next || len(a.History) != len(b.History) || desk.State().Totals() != again.Totals() {
			t.Errorf("%s: the log gives another day:\n%+v\n%+v", name, a.Next, b.Next)
		}
	}
}

// Where the plan wants steps on record the crew presses the end of every mix step of
// every batch, each row rolled and broadcast in order, and no press is refused; where
// it does not, none. The same seed makes the same day, another one another.
func TestStepsArePressed(t *testing.T) {
	bay := func(steps bool) *plan.Plan {
		p, ps := planfile.Load(config.Files, config.USPlan)
		if len(ps) > 0 {
			t.Fatalf("%v", ps)
		}
		p.Zones, p.Readings.Spots = p.Zones[1:], nil
		p.Rules.StepPresses = steps
		return p
	}
	p := bay(true)
	desk, log := poured(t, p, 4)
	s := desk.State()
	done := 0
	for i := range s.Batches {
		b := &s.Batches[i]
		if b.Poured.IsZero() {
			continue
		}
		done++
		if want := len(p.Sheet.Blend(b.Blend).Steps); len(b.Steps) != want || !b.MixedTold || !b.Steps[want-1].Equal(b.Mixed) {
			t.Errorf("batch %d: steps %v of %d, mixed %v told %v", b.No, b.Steps, want, b.Mixed, b.MixedTold)
		}
		if took := b.Mixed.Sub(b.Started); took < 110*time.Second || took > 200*time.Second { // 2:30, spread 5 %
			t.Errorf("batch %d was mixed in %v", b.No, took)
		}
	}
	z := &s.Zones[0]
	if rows := z.Floor.Path.Rows(); done < 8 || len(z.RolledRows)+1 < rows || len(z.BroadRows)+1 < rows {
		t.Errorf("%d batches; %d rows rolled and %d broadcast of %d", done, len(z.RolledRows), len(z.BroadRows), rows)
	}
	for row, at := range z.RolledRows {
		if before := z.RolledRows[row-1]; row > 1 && !before.IsZero() && at.Before(before) {
			t.Errorf("row %d was rolled at %v, the row before at %v", row, at, before)
		}
		if b := z.BroadRows[row]; !b.IsZero() && b.Before(at) {
			t.Errorf("row %d was broadcast before it was rolled", row)
		}
	}
	events := func(m *shift.Memory) (out []string) {
		for _, r := range m.Records() {
			out = append(out, r.Kind+r.Wall.String()+string(r.Body))
		}
		return out
	}
	_, again := poured(t, bay(true), 4)
	if !slices.Equal(events(log), events(again)) {
		t.Error("the same seed made two days")
	}
	if _, other := poured(t, bay(true), 5); slices.Equal(events(log), events(other)) {
		t.Error("two seeds made the same day")
	}
	quiet, _ := poured(t, bay(false), 4)
	for _, e := range quiet.State().Events {
		if e.Kind == day.BatchStepped || e.Kind == day.RowRolled || e.Kind == day.RowBroadcast {
			t.Fatalf("%s was pressed though the plan asks for none", e.Kind)
		}
	}
}
