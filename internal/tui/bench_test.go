package tui

import (
	"runtime"
	"slices"
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/floor"
	"floorpace/internal/tui/look"
)

// BenchmarkKeyToFrame200 is the time from a key to the frame that answers it,
// on a day of 200 batches at 160×45 in full colour: each round takes the key,
// what the desk makes of it (every fourth key is a press that goes on the log and
// changes the day), and the whole screen as it goes to the terminal. p99_ms is what
// a hand notices; the mean hides the redrawn floor. p99_cpu_ms is the same in
// processor time, for a machine that others are busy on.
func BenchmarkKeyToFrame200(b *testing.B) {
	p := samplePlan()
	p.Zones[0].Outline = floor.Polygon{{X: 0, Y: 0}, {X: 45, Y: 0}, {X: 45, Y: 30}, {X: 0, Y: 30}}
	p.Opening = p.Handover.Add(96 * time.Hour)
	p.Lots[0].Parts = map[string]int{"A": 900, "B": 900, "aggregate": 900}
	c := open(b, p)
	for i := range 200 {
		c.do(b, day.Press{Kind: day.BatchStarted, Mixer: i%3 + 1})
		c.clock.wall = c.clock.wall.Add(70 * time.Second)
		if i >= 2 {
			c.do(b, day.Press{Kind: day.BatchPoured})
		}
		c.clock.wall = c.clock.wall.Add(20 * time.Second)
	}
	c.wait(2 * time.Second)
	if n := len(c.view.Batches); n != 200 {
		b.Fatalf("%d batches", n)
	}
	m := sized(c, Options{Profile: look.TrueColor}, 160, 45)
	round := []string{"tab", "1", "n", "esc", "u", "r", "esc", "y", "tab", "2", "?", "esc", "u", "space"}
	var took, cpu []time.Duration
	runtime.LockOSThread() // its own processor time
	defer runtime.UnlockOSThread()
	events := c.view.Events
	for b.Loop() {
		c.clock.wall = c.clock.wall.Add(time.Second)
		key := runes(round[len(took)%len(round)])
		begin, used := time.Now(), threadTime()
		m.Update(key)
		m.Update(wakeMsg{gen: m.gen})
		if len(m.View()) == 0 {
			b.Fatal("no frame")
		}
		took, cpu = append(took, time.Since(begin)), append(cpu, threadTime()-used)
	}
	if n := c.view.Events - events; n < len(took)/4-1 {
		b.Fatalf("%d events by %d keys: the presses are not taken", n, len(took))
	}
	at := func(d []time.Duration, share float64) float64 {
		slices.Sort(d)
		return float64(d[int(share*float64(len(d)-1))]) / float64(time.Millisecond)
	}
	b.ReportMetric(at(took, 0.5), "p50_ms")
	b.ReportMetric(at(took, 0.99), "p99_ms")
	b.ReportMetric(at(cpu, 0.99), "p99_cpu_ms")
}
