package edge

import (
	"strings"
	"testing"
	"time"

	"floorpace/config"
	"floorpace/internal/advice"
	"floorpace/internal/air"
	"floorpace/internal/day"
	"floorpace/internal/shift"
	"floorpace/internal/tui/frame"
	"floorpace/internal/units"
)

// Nothing on the screen is cut short, at no size from which all of it stands
// beside the floor: in the five states, and on a day that goes wrong in many ways
// at once (the second zone's way out shut, a long reason, an opening missed, a
// forecast over midnight).
func TestNothingIsCutOnABadDay(t *testing.T) {
	views := map[string]*shift.View{}
	for _, st := range states(t) {
		views[st.name] = st.v
	}
	q := newPour(t, example(t, config.MetricPlan))
	q.batches(20, 175*time.Second)
	q.wait(7 * time.Hour)
	v := q.view(0.4)
	v.Exits = []day.ExitView{{Zone: "Lock", Why: `pouring room "lock" shuts the way to the fire exit for "dock"`}}
	night := time.Date(v.Now.Year(), v.Now.Month(), v.Now.Day()+1, 0, 3, 0, 0, v.Now.Location())
	v.Forecast.Day = advice.Day{
		OK: true, Days: 10000, Facts: v.Facts, P10: night.Add(-8 * time.Minute), P50: night, P90: night.Add(9 * time.Minute), Edge: 1, Both: 1, Opens: 1, Opening: night.Add(30 * time.Hour),
	}
	for i := range v.Zones {
		v.Zones[i].Turnout.OK, v.Zones[i].Turnout.Fits = true, false
	}
	for i := range v.Stops {
		v.Stops[i].Crew, v.Stops[i].LastBatch, v.Stops[i].Over = true, 0, 12
	}
	v.Air.DewOK, v.Air.WorstOK, v.Air.WorstAt = true, true, "lowest slab through cure"
	v.Air.Worst.Call = air.Amber
	views["all wrong"] = v
	for name, v := range views {
		for _, size := range [][2]int{{80, 24}, {100, 30}, {160, 45}, {200, 60}} {
			if got := all(New(), size[0], size[1], v); strings.Contains(got, "…") {
				t.Errorf("%s at %v:\n%s", name, size, got)
			}
		}
	}
}

// The rooms of the example leave a way out in the plan's order, so nothing is wrong
// in the morning; with the only exit shut something is.
func TestNothingIsWrongInTheMorning(t *testing.T) {
	q := newPour(t, example(t, config.MetricPlan))
	if got := all(New(), 160, 45, q.view(0.4)); strings.Contains(got, "way out of Lock") {
		t.Errorf("the lock comes after the dock and traps nobody:\n%s", got)
	}
	q.press(day.Press{Kind: day.DoorShut, What: "lock/outside"})
	if got := all(New(), 160, 45, q.view(0.4)); !strings.Contains(got, "way out of Dock") {
		t.Errorf("the only exit, in the lock, is shut and nothing says so:\n%s", got)
	}
}

// With every zone closed, openings and the air that the floor cures in stand on
// the screen, each once.
func TestEveryZoneClosed(t *testing.T) {
	p := example(t, config.USPlan)
	q := newPour(t, p)
	for range p.Zones {
		q.press(day.Press{Kind: day.BatchStarted, Mixer: 1})
		q.wait(4 * time.Minute)
		q.press(day.Press{Kind: day.BatchPoured})
		q.press(day.Press{Kind: day.ZoneClosed})
	}
	for _, size := range sizes {
		got := all(New(), size[0], size[1], q.view(0))
		for _, title := range []string{"Open for use ─", "Conditions ─", "Zones ─", "Dew margin ─"} {
			if n := strings.Count(got, title); n != 1 {
				t.Errorf("%v: %q stands %d times:\n%s", size, title, n, got)
			}
		}
	}
}

// Blocks do not change sides when the ways out grow by a line or two.
func TestBlocksKeepTheirPlace(t *testing.T) {
	at := func(v *shift.View) int {
		for _, l := range strings.Split(text(New(), dark(), 160, 45, v), "\n") {
			if before, _, ok := strings.Cut(l, "Zones ──"); ok {
				return frame.Width(before)
			}
		}
		return -1
	}
	v := states(t)[1].v
	few, many := *v, *v
	few.Forecast.Ways, many.Forecast.Ways = v.Forecast.Ways[:1], append(v.Forecast.Ways[:4:4], v.Forecast.Ways[0], v.Forecast.Ways[1])
	if a, b := at(&few), at(&many); a != b || a < 100 {
		t.Errorf("the zones stand at column %d with one way out, at %d with six", a, b)
	}
}

// Between two zones the supervisor sees when the next one's first batch is due:
// when the last was closed and the move the plan asks for.
func TestNextZoneClock(t *testing.T) {
	p := example(t, config.USPlan)
	q := newPour(t, p)
	q.press(day.Press{Kind: day.BatchStarted, Mixer: 1})
	q.wait(4 * time.Minute)
	q.press(day.Press{Kind: day.BatchPoured})
	q.press(day.Press{Kind: day.ZoneClosed})
	due := q.at.Add(p.Zones[1].Move)
	q.wait(2 * time.Minute)
	want := "first batch of " + p.Zones[1].Name + " at " + due.Format("15:04:05") + ", in " + units.Clock(p.Zones[1].Move-2*time.Minute)
	for _, size := range sizes {
		if got := all(New(), size[0], size[1], q.view(0)); !strings.Contains(got, want) {
			t.Errorf("%v: %q is missing:\n%s", size, want, got)
		}
	}
}

// The order of the example's rooms leaves a way out, as its check says: neither before
// the first batch nor while the dock is poured does the screen say that the lock shuts it.
func TestValidOrderIsNotWrong(t *testing.T) {
	q := newPour(t, example(t, config.MetricPlan))
	for range 2 {
		if got := all(New(), 160, 45, q.view(0)); strings.Contains(got, "way out of") || strings.Contains(got, "WAY OUT SHUTS") {
			t.Errorf("a way out is said to shut:\n%s", got)
		}
		q.batches(4, 175*time.Second)
	}
}

// With some of the edge gone no place to stop at says that the edge holds so far: what
// is judged is the rest. By hand: 5 m or more of the wet row are past joining.
func TestStopsSpeakOfTheRestOfALostEdge(t *testing.T) {
	for _, st := range states(t) {
		if st.name != "gone" && st.name != "mid-row" {
			continue
		}
		got := all(New(), 160, 45, st.v)
		gone := st.name == "gone"
		if strings.Contains(got, "✓ edge") == gone || (strings.Contains(got, "✓ rest") || strings.Contains(got, "× rest")) != gone {
			t.Errorf("%s, %.1f m gone:\n%s", st.name, st.v.Edge.GoneM, got)
		}
	}
}
