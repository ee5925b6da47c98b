package pace

import (
	"strings"
	"testing"
	"time"

	"floorpace/internal/air"
	"floorpace/internal/floor"
	"floorpace/internal/plan"
)

// Doors that are the way one after the other; worked by hand, no source. The one
// zone takes 10 kits, one every 1:30 from 6:00: until 6:15.
func TestWayOutByHours(t *testing.T) {
	at := func(min int) time.Time { return time.Date(2026, 5, 4, 6, min, 0, 0, time.UTC) }
	for _, c := range []struct {
		a, b [2]int // minutes after six from and until which two doors are open; 0: always
		call air.Call
		why  string
	}{
		{[2]int{0, 9}, [2]int{8, 0}, air.Go, "a door is open"},
		{[2]int{0, 8}, [2]int{8, 0}, air.Go, "a door is open"},
		{[2]int{0, 8}, [2]int{9, 0}, air.Stop, "none from Mon 06:08: a shuts at 06:08, last batch 06:15; b opens only at 06:09"},
		{[2]int{2, 0}, [2]int{3, 0}, air.Stop, "none from Mon 06:00: a opens only at 06:02; b opens only at 06:03"},
		{[2]int{0, 20}, [2]int{30, 0}, air.Go, "a door is open"},
	} {
		p, floors := lotPlan(t, []int{10}, []int{20})
		for i, q := range [][2]int{c.a, c.b} {
			d := plan.Door{Door: floor.Door{Name: string(rune('a' + i))}}
			if q[0] > 0 {
				d.OpenFrom = at(q[0])
			}
			if q[1] > 0 {
				d.OpenUntil = at(q[1])
			}
			p.Zones[0].Doors = append(p.Zones[0].Doors, d)
		}
		line := Timeline(p, floors, at(0), []time.Duration{90 * time.Second}, 20)
		gs := exitGates(p, floors, line, 20)
		if len(gs) != 1 || gs[0].Call != c.call || !strings.HasPrefix(gs[0].Why, c.why) {
			t.Errorf("%v %v: %+v, want %v %q", c.a, c.b, gs, c.call, c.why)
		}
	}
}
