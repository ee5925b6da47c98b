package internal_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/rehearsal"
)

// The calls of the worked days, as a console would have raised them: at most a
// handful in the worst hour, and no loss that was not called out before.
func TestCallsOfTheWorkedDays(t *testing.T) {
	const step, after = 10 * time.Second, 20 * time.Minute
	lost := 0
	for _, a := range allDays {
		if a.presses == nil {
			continue
		}
		d := openWorkedDay(t, a)
		s, h := day.New(d.plan, d.floors), &rehearsal.Ears{}
		own := int64(1) << 40 // numbers of the calls; presses keep theirs
		at := d.events[0].At
		tick := func(until time.Time) {
			for ; at.Before(until); at = at.Add(step) {
				for _, e := range day.Due(s, day.Look(s, at)) {
					e.N, own = own, own+1
					s = s.Apply(e)
				}
				h.Hear(day.Look(s, at))
			}
		}
		for _, e := range d.events {
			if e.Kind == day.CallRaised || e.Kind == day.CallCleared {
				continue
			}
			tick(e.At)
			s = s.Apply(e)
		}
		tick(at.Add(after))
		lost += h.Lost + h.Dead
		calls, spoke := rehearsal.WorstHour(day.Look(s, at).History)
		t.Logf("day %d: %d edges lost, %d buckets dead, %d calls in the worst hour, speaking %d times", a.no, h.Lost, h.Dead, calls, spoke)
		if calls > 5 || spoke > 10 {
			t.Errorf("day %d: %d calls in the worst hour, speaking %d times\n%s", a.no, calls, spoke, saidOf(s))
		}
		for _, f := range h.Faults {
			t.Errorf("day %d: %s\n%s", a.no, f, saidOf(s))
		}
	}
	if lost == 0 {
		t.Error("nothing is lost on any of the days: the test shows nothing")
	}
}

func saidOf(s *day.State) string {
	var b strings.Builder
	for _, c := range s.CallLog {
		for _, w := range c.Was {
			fmt.Fprintf(&b, "%s %s: %s\n  then ", w.At.Format("15:04:05"), w.What, w.Why)
		}
		fmt.Fprintf(&b, "%s %s: %s\n", c.Spoke.Format("15:04:05"), c.What, c.Why)
	}
	return b.String()
}
