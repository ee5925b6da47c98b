package edge

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"floorpace/config"
	"floorpace/internal/advice"
	"floorpace/internal/day"
	"floorpace/internal/shift"
	"floorpace/internal/tui/look"
	"floorpace/internal/units"
)

// The bare strip and the way that detail work may run ahead stand on the screen
// in words, the line of the latter on the floor too, without colour and in ASCII.
func TestKeepOffTheWetEdge(t *testing.T) {
	q := newPour(t, example(t, config.USPlan))
	q.batches(9, 2*time.Minute)
	l := look.New(look.Dark(), look.NoColor, look.ASCII)
	v := q.view(0.9)
	got := text(New(), l, 200, 60, v)
	for _, want := range []string{"o bare strip 6 in: no broadcast", "| detail work up to ", "| detail work to here", "roll ", "broadcast "} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is missing:\n%s", want, got)
		}
	}
	s := New()
	text(s, l, 200, 60, v)
	if n := len(s.floor.rest.Ahead); n == 0 {
		t.Fatal("no line of detail work on the floor")
	}
	to := v.Floor.Path.FrontAt(v.PosL + v.Finishing.AheadL)
	for _, a := range s.floor.rest.Ahead { // the pull is along x: within a row of where the front will be
		if d := a.A.X - to; d > v.Floor.Z.RowDepthM || d < -v.Floor.Z.RowDepthM {
			t.Errorf("the line stands at %.2f m, the front comes to %.2f m", a.A.X, to)
		}
	}
	q.press(day.Press{Kind: day.HoldBegan, Why: "BREAK"})
	if got := all(New(), 160, 45, q.view(0.9)); !strings.Contains(got, "detail work: wait, the front stands") {
		t.Errorf("on hold detail work goes on:\n%s", got)
	}
}

// A post that is out is named over its list, and the windows run on.
func TestPostOutOverItsList(t *testing.T) {
	q := newPour(t, example(t, config.USPlan))
	q.batches(9, 2*time.Minute)
	q.press(day.Press{Kind: day.PostLost, Post: day.PostRoll})
	got := all(New(), 160, 45, q.view(0.9))
	if !strings.Contains(got, "roll: out") || !strings.Contains(got, " left") {
		t.Errorf("the roller is out and not said:\n%s", got)
	}
}

// The rows of a zone that is closed already stand below its whole name, however
// long, and a row's number is never cut.
func TestClosedZoneIsNamedWhole(t *testing.T) {
	v := states(t)[4].v
	snap := *v.Snapshot
	long := "Bottling hall behind the cold store"
	for _, rows := range []*[]day.FinishRow{&snap.Finishing.Roll, &snap.Finishing.Broad} {
		*rows = append([]day.FinishRow(nil), *rows...)
		for i := range *rows {
			if q := &(*rows)[i]; q.Zone != snap.Floor.Z.Name {
				q.Zone, q.Row = long, q.Row+990
			}
		}
	}
	w := *v
	w.Snapshot = &snap
	for _, size := range [][2]int{{80, 24}, {100, 30}, {160, 45}, {200, 60}} {
		got := all(New(), size[0], size[1], &w)
		if !strings.Contains(got, long) || !strings.Contains(got, "1008") || strings.Contains(got, "…") {
			t.Errorf("%d×%d: name or row is cut:\n%s", size[0], size[1], got)
		}
	}
}

// Every figure of when a zone ends rests on the same days: finish, zones,
// openings and ways out of one screen do not contradict each other.
func TestOneFinishOnOneScreen(t *testing.T) {
	v := states(t)[1].v
	p50 := v.Forecast.P50.Format("15:04")
	got := all(New(), 160, 45, v)
	for _, want := range []string{"finish " + p50, "finish     " + p50, "%, ends " + p50} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is missing:\n%s", want, got)
		}
	}
	slip := v.Forecast.P50.Sub(v.Zones[0].Turnout.Ends)
	next := v.Zones[1].Turnout
	if want := "from " + next.Start.Add(slip).Format("15:04") + " to " + next.Ends.Add(slip).Format("15:04"); !strings.Contains(got, want) {
		t.Errorf("%q is missing:\n%s", want, got)
	}
	for _, o := range v.Opening {
		if want := o.At.Add(slip).Format("Mon 15:04"); !strings.Contains(got, want) {
			t.Errorf("%s %s: %q is missing:\n%s", o.Zone, o.Use, want, got)
		}
	}
	none := *v
	none.Forecast = advice.Outlook{}
	if got := all(New(), 160, 45, &none); !strings.Contains(got, "at the crew's limit") || !strings.Contains(got, "%, ends "+v.Zones[0].Turnout.Ends.Format("15:04")) {
		t.Errorf("without a forecast the crew's limit is not named:\n%s", got)
	}
}

// Whatever does not find room on the first page stands on another one: no opening,
// zone or finishing row is out of reach at any size, also when the day is done.
func TestNothingIsOutOfReach(t *testing.T) {
	q := newPour(t, example(t, config.USPlan))
	for range 2 {
		q.press(day.Press{Kind: day.BatchStarted, Mixer: 1})
		q.wait(4 * time.Minute)
		q.press(day.Press{Kind: day.BatchPoured})
		q.press(day.Press{Kind: day.ZoneClosed})
	}
	done := q.view(0)
	if done.Floor != nil {
		t.Fatal("the day is not done")
	}
	sts := append(states(t), struct {
		name string
		v    *shift.View
	}{"day done", done})
	for _, st := range sts {
		for _, size := range [][2]int{{80, 24}, {100, 30}, {160, 45}, {200, 60}} {
			got := all(New(), size[0], size[1], st.v)
			for _, o := range st.v.Opening {
				if want := o.Zone + " " + o.Use; !strings.Contains(got, want) {
					t.Errorf("%s at %d×%d: %q is on no page:\n%s", st.name, size[0], size[1], want, got)
				}
			}
			for i := range st.v.Zones {
				if z := &st.v.Zones[i]; !strings.Contains(got, "\n"+z.Name+" ") && !strings.Contains(got, "  "+z.Name+" ") {
					t.Errorf("%s at %d×%d: zone %s is on no page:\n%s", st.name, size[0], size[1], z.Name, got)
				}
			}
			for _, r := range st.v.Finishing.Roll {
				if want := fmt.Sprintf("row %d ", r.Row); (!r.Off || -r.Left <= showOff) && !strings.Contains(got, want) {
					t.Errorf("%s at %d×%d: %q to roll is on no page:\n%s", st.name, size[0], size[1], want, got)
				}
			}
		}
	}
}

// A forecast that the clock has overtaken names no finish any more: nothing was
// pressed, and an hour later the zone cannot be down when it said.
func TestOvertakenForecast(t *testing.T) {
	q := newPour(t, example(t, config.USPlan))
	q.batches(9, 2*time.Minute)
	v := q.view(0.9)
	v.Forecast.P50 = v.Finish.Add(time.Minute)
	later := &shift.View{Snapshot: day.Look(q.s, q.at.Add(time.Hour)), Forecast: v.Forecast}
	for _, size := range [][2]int{{80, 24}, {160, 45}} {
		now, then := all(New(), size[0], size[1], v), all(New(), size[0], size[1], later)
		said := "finish " + v.Forecast.P50.Format("15:04")
		if !strings.Contains(now, said) || strings.Contains(now, "overtaken") {
			t.Errorf("%q is missing:\n%s", said, now)
		}
		if want := later.Finish.Format("15:04"); !strings.Contains(then, want+" at the crew's limit") && !strings.Contains(then, want+"  at the crew's limit") || !strings.Contains(then, "overtaken") {
			t.Errorf("an hour later %q is missing:\n%s", want, then)
		}
	}
}

// A day whose zone is laid and not closed goes on slipping, though nothing is pressed
// and nothing is left to study in that zone: what was said of the whole day then says
// since when. By hand: the last zone is down as much later as the crew waits.
func TestWholeDayOvertaken(t *testing.T) {
	q := newPour(t, example(t, config.USPlan))
	n := q.s.Floors[0].TakeOff(q.s.Floors[0].Blend).Kits
	q.batches(n, 130*time.Second)
	v := q.view(0)
	v.Forecast = advice.Outlook{Facts: v.Facts, From: v.Now, Why: "zone Hall is laid"}
	last := len(v.Zones) - 1
	v.Forecast.Day = advice.Day{OK: true, Days: 10000, Facts: v.Facts, From: v.Now, P10: v.Zones[last].Turnout.Ends, P50: v.Zones[last].Turnout.Ends, P90: v.Zones[last].Turnout.Ends, Edge: 1, Both: 1, Opens: 1}
	later := &shift.View{Snapshot: day.Look(q.s, q.at.Add(20*time.Minute)), Forecast: v.Forecast}
	if slip := later.Zones[last].Turnout.Ends.Sub(v.Zones[last].Turnout.Ends); slip.Round(time.Minute) != 20*time.Minute {
		t.Fatalf("20 minutes of waiting make the last zone %s later", slip)
	}
	asOf := "as of " + v.Now.Format("15:04:05")
	if got := all(New(), 160, 45, v); !strings.Contains(got, "10000 days") || strings.Contains(got, asOf) {
		t.Errorf("fresh, and not said to rest on 10000 days:\n%s", got)
	}
	if got := all(New(), 160, 45, later); strings.Contains(got, "10000 days") || !strings.Contains(got, asOf) {
		t.Errorf("20 minutes later %q is missing:\n%s", asOf, got)
	}
}

// A call that got worse is as old as what it says now, in its line as above its plate.
func TestCallIsAsOldAsItsWords(t *testing.T) {
	for _, st := range states(t) {
		if st.name != "gone" {
			continue
		}
		i := slices.IndexFunc(st.v.Calls, func(c day.Call) bool { return c.ID == "edge" })
		if i < 0 || !st.v.Calls[i].Since().After(st.v.Calls[i].Raised) {
			t.Fatal("no call about the edge that got worse")
		}
		c := st.v.Calls[i]
		want, not := "stands "+units.Clock(st.v.Now.Sub(c.Since())), "stands "+units.Clock(st.v.Now.Sub(c.Raised))
		if got := all(New(), 160, 45, st.v); !strings.Contains(got, want) || strings.Contains(got, not) {
			t.Errorf("want %q and not %q:\n%s", want, not, got)
		}
	}
}
