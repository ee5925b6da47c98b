package tui

import (
	"math/rand"
	"strings"
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/pace"
	"floorpace/internal/shift"
	"floorpace/internal/tui/keys"
)

// What the help says to work is what the day takes, at every moment of a day
// of random presses.
func TestWorksAgreesWithTheDay(t *testing.T) {
	c := open(t, samplePlan())
	p := samplePlan()
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewSource(7))
	s, at := day.New(p, floors), p.Handover.Add(30*time.Minute)
	put := func(es ...day.Event) {
		for _, e := range es {
			e.N = int64(len(s.Events) + 1)
			s = s.Apply(e)
		}
	}
	put(day.Event{Kind: day.SessionOpened, At: at})
	m := sized(c, plainOptions(), 80, 24)
	press := map[keys.Action]day.Press{
		keys.Mixer1: {Kind: day.BatchStarted, Mixer: 1}, keys.Mixer2: {Kind: day.BatchStarted, Mixer: 2}, keys.Mixer3: {Kind: day.BatchStarted, Mixer: 3},
		keys.Mixer4: {Kind: day.BatchStarted, Mixer: 4}, keys.Pour: {Kind: day.BatchPoured}, keys.Undo: {Kind: day.PressUndone},
		keys.Scrap: {Kind: day.BatchScrapped, Why: "DROPPED"}, keys.Zone: {Kind: day.ZoneClosed}, keys.Mark: {Kind: day.FrontMarked, AlongM: day.Value(6)},
	}
	also := []day.Press{
		{Kind: day.MixingStopped, Why: "LEAK"}, {Kind: day.HoldEnded}, {Kind: day.PostLost, Post: day.PostMixer, Which: 2}, {Kind: day.PostReturned, Post: day.PostMixer, Which: 2},
	}
	saw := map[bool]map[keys.Action]bool{true: {}, false: {}}
	for range 1500 {
		at = at.Add(time.Duration(r.Intn(40)) * time.Second)
		v := &shift.View{Snapshot: day.Look(s, at)}
		m.v, m.seen = v, m.now
		for a, p := range press {
			if a == keys.Zone && v.Zone < 0 {
				p.Kind = day.ZoneBegan
			}
			_, err := day.Decide(s, p, at)
			if got := m.works(a); got != (err == nil) {
				t.Fatalf("%s at %s: works %v, the day says %v", a, at.Format("15:04:05"), got, err)
			}
			saw[err == nil][a] = true
		}
		var next day.Press
		if n := r.Intn(10); n < 8 {
			next = []day.Press{press[keys.Mixer1], press[keys.Mixer2], press[keys.Mixer3], press[keys.Pour], press[keys.Pour], press[keys.Pour], press[keys.Undo], press[keys.Scrap]}[n]
		} else {
			next = also[r.Intn(len(also))]
		}
		if es, err := day.Decide(s, next, at); err == nil {
			put(es...)
		}
	}
	for a := range press {
		if !saw[false][a] || a != keys.Mixer4 && !saw[true][a] {
			t.Errorf("%s was always or never taken", a)
		}
	}
}

// Keys that open a list or a line are named only where there is something in
// it.
func TestListsThatWouldBeEmptyAreNotNamed(t *testing.T) {
	c := open(t, samplePlan())
	m := sized(c, plainOptions(), 80, 24)
	if !m.works(keys.Part) || m.works(keys.TakeBack) || m.works(keys.Scrap) {
		t.Error("before the first batch")
	}
	for n := range 3 {
		c.do(t, day.Press{Kind: day.BatchStarted, Mixer: n + 1})
	}
	m.take()
	if m.works(keys.Part) || m.works(keys.Pour) || m.works(keys.Zone) || !m.works(keys.Scrap) || !m.works(keys.TakeBack) {
		t.Error("with every mixer full")
	}
	hand(c, m, "u", "u", "u", "u") // the beginning of the zone is the fourth
	if m.works(keys.TakeBack) || !m.works(keys.Part) {
		t.Error("with everything taken back")
	}
}

// A bucket past its life that is poured all the same is said to lie on the
// floor dead; one in time is not.
func TestPouringADeadBucketIsSaid(t *testing.T) {
	for _, q := range []struct {
		wait time.Duration
		dead bool
	}{{4 * time.Minute, false}, {20 * time.Minute, true}} {
		c := open(t, samplePlan())
		c.pour(t, 1)
		c.wait(q.wait)
		m := sized(c, plainOptions(), 80, 24)
		if b := c.view.Buckets[0]; b.Dead != q.dead {
			t.Fatalf("after %s the bucket is %+v", q.wait, b)
		}
		hand(c, m, "p")
		if got := strings.Contains(m.View(), "batch 1 poured DEAD, on the floor"); got != q.dead {
			t.Errorf("poured after %s:\n%s", q.wait, m.View())
		}
	}
}
