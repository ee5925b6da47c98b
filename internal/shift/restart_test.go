package shift

import (
	"strings"
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/daylog"
)

// setBy is a clock whose wall clock somebody set.
type setBy struct {
	*handClock
	by time.Duration
}

func (c setBy) Now() daylog.Reading {
	r := c.handClock.Now()
	r.Wall = r.Wall.Add(c.by)
	return r
}

// A wall clock that was set between two sessions of one boot is told of like one
// that is set while the console runs; across a restart nobody can tell.
func TestWallClockSetBetweenSessions(t *testing.T) {
	p, floors := example(t)
	for _, c := range []struct {
		by   time.Duration
		boot string
		want string
	}{
		{0, "a", ""},
		{400 * time.Millisecond, "a", ""},
		{-time.Hour, "a", "set back by 1 h"},
		{26 * time.Hour, "a", "set forward by 26 h"},
		{-time.Hour, "b", ""},
	} {
		clock := &handClock{from: p.Handover, boot: "a"}
		m := NewMemory(clock)
		d := Open(p, floors, m, clock, m.Records(), nil)
		clock.add(time.Minute)
		d.Press(day.Press{Kind: day.BatchStarted, Mixer: 1})
		records := m.Records()
		clock.add(20 * time.Minute)
		clock.boot = c.boot
		next := NewMemory(setBy{clock, c.by})
		d = Open(p, floors, next, setBy{clock, c.by}, append(records, next.Records()...), nil)
		d.Tick()
		d.Tick()
		v := d.View()
		if got := strings.Join(v.Banner, "|"); c.want == "" && strings.Contains(got, "wall clock") || !strings.Contains(got, c.want) {
			t.Errorf("set by %v, boot %s: banner %q, want %q", c.by, c.boot, got, c.want)
		}
		steps := 0
		for _, r := range next.Records() {
			if r.Kind == daylog.KindStepped {
				steps++
			}
		}
		if want := min(1, len(c.want)); steps != want {
			t.Errorf("set by %v, boot %s: %d events, want %d", c.by, c.boot, steps, want)
		}
	}
}
