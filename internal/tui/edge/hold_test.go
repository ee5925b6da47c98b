package edge

import (
	"strings"
	"testing"
	"time"

	"floorpace/config"
	"floorpace/internal/day"
	"floorpace/internal/shift"
	"floorpace/internal/tui/look"
	"floorpace/internal/units"
)

// A hold or a stop, why, and its age stand at the top at every size and on
// every page.
func TestHoldStandsAtTheTop(t *testing.T) {
	for _, h := range []struct {
		press []day.Press
		words string
	}{
		{[]day.Press{{Kind: day.HoldBegan, Why: "WAY BLOCKED"}}, "HOLD WAY BLOCKED"},
		{[]day.Press{{Kind: day.MixingStopped, Why: "LEAK"}}, "STOP LEAK"},
		{[]day.Press{{Kind: day.PostLost, Post: day.PostRake}}, "HOLD NO RAKE"},
		{[]day.Press{{Kind: day.PostLost, Post: day.PostPower}}, "HOLD NO POWER"},
		{[]day.Press{{Kind: day.PostLost, Post: day.PostMixer, Which: 1}, {Kind: day.PostLost, Post: day.PostMixer, Which: 2}}, "HOLD NO MIXER"},
	} {
		q := newPour(t, example(t, config.USPlan))
		q.batches(6, 130*time.Second)
		for _, p := range h.press {
			q.press(p)
		}
		q.wait(83 * time.Second)
		v := q.view(0)
		for _, size := range append(sizes[:len(sizes):len(sizes)], [2]int{40, 10}, [2]int{30, 5}, [2]int{30, 4}) {
			s := New()
			l := look.New(look.Dark(), look.NoColor, look.Unicode)
			for page := 1; ; page++ {
				lines := strings.Split(text(s, l, size[0], size[1], v), "\n")
				if top := strings.Join(lines[:2], "\n"); !strings.Contains(top, h.words) || !strings.Contains(top, "1:23") {
					t.Errorf("%d×%d page %d lacks %q with its age:\n%s", size[0], size[1], page, h.words, top)
				}
				if _, of := s.Page(); page >= of {
					break
				}
				s.NextPage()
			}
		}
	}
}

// Holds that no press began have an age too: a queue of buckets, a stop line
// that is reached with what is on the way.
func TestHoldsOfTheLineHaveAnAge(t *testing.T) {
	q := newPour(t, example(t, config.USPlan))
	q.batches(6, 130*time.Second)
	for i := 0; q.view(0).Next.Why != "BUCKETS QUEUE"; i++ { // nobody pours
		if i > 400 {
			t.Fatalf("%+v with %d buckets out, want a queue", q.view(0).Next, len(q.view(0).Buckets))
		}
		if i%130 == 0 {
			q.press(day.Press{Kind: day.BatchStarted, Mixer: i/130%2 + 1})
		}
		q.wait(time.Second)
	}
	q.wait(43 * time.Second)
	v := q.view(0)
	age := v.Now.Sub(v.Next.Since)
	if age < 43*time.Second || age > 44*time.Second { // seen within a second of its beginning
		t.Errorf("the queue of 43 s is %s old", age)
	}
	see(t, v, "HOLD BUCKETS QUEUE", units.Clock(age))

	q = newPour(t, example(t, config.USPlan))
	q.batches(6, 130*time.Second)
	z := &q.s.Zones[0]
	q.press(day.Press{Kind: day.StopChosen, Text: "joint 22"})
	for i := 0; q.view(0).Next.Say != day.SayHold; i++ {
		if i > 400 {
			t.Fatalf("the line at %.0f L is never reached", z.StopL)
		}
		q.press(day.Press{Kind: day.BatchStarted, Mixer: i%2 + 1})
		if v := q.view(0); v.Next.Say == day.SayHold {
			break
		}
		q.wait(200 * time.Second)
		q.press(day.Press{Kind: day.BatchPoured})
	}
	q.wait(57 * time.Second)
	see(t, q.view(0), "HOLD STOP LINE", "0:57")
}

// see wants words and age in the second row, at every size.
func see(t *testing.T, v *shift.View, words, age string) {
	t.Helper()
	for _, size := range sizes {
		got := strings.Split(text(New(), look.New(look.Dark(), look.NoColor, look.Unicode), size[0], size[1], v), "\n")[1]
		if !strings.Contains(got, words) || !strings.Contains(got, age) {
			t.Errorf("%v lacks %q with %s: %q", size, words, age, got)
		}
	}
}

// With no mixer there is no pace to speak of.
func TestNoMixerHasNoPace(t *testing.T) {
	q := newPour(t, example(t, config.USPlan))
	q.batches(6, 130*time.Second)
	q.press(day.Press{Kind: day.PostLost, Post: day.PostPower})
	for range 30 {
		q.wait(30 * time.Second)
		for _, size := range sizes {
			got := all(New(), size[0], size[1], q.view(0))
			if strings.Contains(got, "24:00:00") || strings.Contains(got, "one every 0") || !strings.Contains(got, "no mixer at work") {
				t.Fatalf("%d×%d:\n%s", size[0], size[1], got)
			}
		}
	}
}

// After the last zone the hours of use stand on the first page.
func TestOpeningsFirstWhenAllIsDown(t *testing.T) {
	p := example(t, config.USPlan)
	p.Zones = p.Zones[:1]
	q := newPour(t, p)
	q.batches(q.s.Floors[0].TakeOff(q.s.Floors[0].Blend).Kits, 130*time.Second)
	q.press(day.Press{Kind: day.ZoneClosed})
	q.wait(time.Minute)
	for _, size := range sizes {
		got := text(New(), look.New(look.Dark(), look.NoColor, look.Unicode), size[0], size[1], q.view(0))
		if !strings.Contains(got, "Open for use") || !strings.Contains(got, "every zone is closed") || strings.Contains(got, "no pace yet") {
			t.Errorf("%d×%d:\n%s", size[0], size[1], got)
		}
	}
}

// MIX FASTER says on Edge too when it will be over, at every size, loud or answered.
func TestFasterSaysWhenItIsOver(t *testing.T) {
	v := *states(t)[1].v
	snap := *v.Snapshot
	snap.Edge.Points = append([]day.EdgePoint(nil), snap.Edge.Points...)
	snap.Edge.Points[snap.Edge.Least].Slack = -30 * time.Second
	call := day.Call{ID: "edge", Grade: 2, What: day.MixFaster, Why: "wet edge needs one every 2:31, doing 2:45; over at 2:23 or 0:15 of slack", Raised: snap.Now}
	v.Snapshot = &snap
	for _, acked := range []time.Time{{}, snap.Now} {
		call.Acked = acked
		snap.Calls = []day.Call{call}
		for _, size := range [][2]int{{80, 24}, {100, 30}, {160, 45}, {200, 60}} {
			if got := text(New(), look.New(look.Dark(), look.NoColor, look.Unicode), size[0], size[1], &v); !strings.Contains(got, "MIX FASTER") || !strings.Contains(got, "over at 2:23") {
				t.Errorf("%d×%d does not say when it is over:\n%s", size[0], size[1], got)
			}
		}
	}
}
