package rehearsal_test

import (
	"sync"
	"testing"
	"time"

	"floorpace/config"
	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/pace"
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
