package rehearsal_test

import (
	"os"
	"strings"
	"testing"
	"time"

	"floorpace/config"
	"floorpace/internal/day"
	"floorpace/internal/pace"
	"floorpace/internal/planfile"
	"floorpace/internal/rehearsal"
	"floorpace/internal/shift"
)

// handful is how many calls the worst hour of a day may have, and how often
// they may speak: each may get worse once or twice.
const handful, spoken = 5, 10

// Calls of the example days, whatever the crew's luck: at most a handful in the
// worst hour, and every loss called out while there was still time.
func TestCallsAreFewAndTrue(t *testing.T) {
	for name, seeds := range map[string]uint64{config.USPlan: 20, config.MetricPlan: 5} {
		switch {
		case testing.Short():
			seeds = 1
		case os.Getenv("FLOORPACE_LONG") == "":
			seeds = (seeds + 3) / 4
		}
		for seed := uint64(1); seed <= seeds; seed++ {
			h := &rehearsal.Ears{}
			desk := rehearseTo(t, name, seed, nil, h)
			calls, spoke := rehearsal.WorstHour(desk.View().History)
			if calls > handful || spoke > spoken {
				t.Errorf("%s, seed %d: %d calls in the worst hour, speaking %d times; want at most %d and %d\n%s", name, seed, calls, spoke, handful, spoken, told(desk))
			}
			for _, f := range h.Faults {
				t.Errorf("%s, seed %d: %s\n%s", name, seed, f, told(desk))
			}
		}
	}
}

// A day on which the edge is lost and buckets die: the crew leaves everything
// standing for a while.
func TestLossesAreCalledInTime(t *testing.T) {
	h := &rehearsal.Ears{}
	from, to := 40*time.Minute, 65*time.Minute // long enough for buckets to queue and die
	desk := rehearseTo(t, config.USPlan, 1, func(gone time.Duration) bool { return gone > from && gone < to }, h)
	t.Logf("%d edges lost, %d buckets dead\n%s", h.Lost, h.Dead, told(desk))
	if h.Lost == 0 || h.Dead == 0 {
		t.Fatalf("nothing was lost (%d edges, %d buckets): the test shows nothing", h.Lost, h.Dead)
	}
	for _, f := range h.Faults {
		t.Errorf("%s\n%s", f, told(desk))
	}
	for _, why := range []string{"WAY BLOCKED"} {
		if h.Holds[why] == 0 {
			t.Errorf("no hold %s in %v", why, h.Holds)
		}
	}
	if calls, spoke := rehearsal.WorstHour(desk.View().History); calls > handful || spoke > spoken {
		t.Errorf("%d calls in the worst hour, speaking %d times\n%s", calls, spoke, told(desk))
	}
}

// The ears hear what is not called out.
func TestEarsFindWhatIsUnsaid(t *testing.T) {
	h := &rehearsal.Ears{}
	desk := rehearseTo(t, config.USPlan, 1, func(gone time.Duration) bool { return gone > 40*time.Minute && gone < 65*time.Minute }, nil)
	st := desk.State()
	mute := day.New(st.Plan, st.Floors)
	at := st.Opened
	for _, e := range st.Events {
		if e.Kind == day.CallRaised {
			continue
		}
		mute = mute.Apply(e)
		for ; at.Before(e.At); at = at.Add(20 * time.Second) {
			h.Hear(day.Look(mute, at))
		}
	}
	if len(h.Faults) == 0 {
		t.Error("a day without calls has no fault")
	}
}

func told(desk *shift.Desk) string {
	var b strings.Builder
	for _, c := range desk.View().History {
		for _, w := range c.Was {
			b.WriteString(w.At.Format("15:04:05 ") + w.What + ": " + w.Why + "\n  then ")
		}
		b.WriteString(c.Spoke.Format("15:04:05 ") + c.What + ": " + c.Why + "; over " + c.Cleared.Format("15:04:05") + "\n")
	}
	return b.String()
}

// rehearseTo pours an example plan to its end; while idle says so the crew
// presses nothing.
func rehearseTo(t *testing.T, name string, seed uint64, idle func(time.Duration) bool, h *rehearsal.Ears) *shift.Desk {
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
	desk.Steady()
	crew := rehearsal.New(p, seed)
	v := desk.View().Snapshot
	for i := 0; i < 24*720 && !crew.Done(v); i++ {
		clock.gone += 5 * time.Second
		desk.Tick()
		v = desk.View().Snapshot
		if h != nil {
			h.Hear(v)
		}
		if idle != nil && idle(clock.gone) {
			continue
		}
		for _, press := range crew.Act(v) {
			desk.Press(press)
		}
	}
	return desk
}
