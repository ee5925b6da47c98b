package shift

import (
	"context"
	"runtime"
	"testing"
	"time"

	"floorpace/internal/day"
)

// Twelve hours of a live shift, forecasts included: no goroutine is left over
// and the memory in use does not grow with time.
func TestTwelveHoursStayFlat(t *testing.T) {
	if testing.Short() {
		t.Skip("twelve hours of ticks")
	}
	p, floors := example(t)
	clock := &handClock{from: p.Handover.Add(p.Preparation), boot: "a"}
	m := NewMemory(clock)
	d := Open(p, floors, m, clock, m.Records(), nil)
	d.Steady()
	s := Start(d)
	ctx, stop := context.WithCancel(t.Context())
	ticks, done := make(chan time.Time), make(chan struct{})
	before := runtime.NumGoroutine()
	go func() { s.Run(ctx, ticks); close(done) }()
	used := func() (goroutines int, heap uint64) {
		for !atRest(s.Latest()) {
			time.Sleep(20 * time.Millisecond)
		}
		time.Sleep(50 * time.Millisecond)
		runtime.GC()
		var ms runtime.MemStats
		runtime.ReadMemStats(&ms)
		return runtime.NumGoroutine(), ms.HeapAlloc
	}
	const step = 20 * time.Second
	var g1 int
	var h1 uint64
	for i := range int(12 * time.Hour / step) {
		clock.add(step)
		ticks <- time.Time{}
		switch { // a batch every five minutes of the first hour
		case i < 180 && i%15 == 0:
			s.Press(day.Press{Kind: day.BatchStarted, Mixer: i/15%2 + 1}, clock.Now().Wall)
		case i < 190 && i%15 == 10:
			s.Press(day.Press{Kind: day.BatchPoured}, clock.Now().Wall)
		case i == 200:
			g1, h1 = used()
		}
	}
	g12, h12 := used()
	t.Logf("goroutines %d after an hour, %d after twelve; heap %d and %d kB; events %d", g1, g12, h1>>10, h12>>10, s.Latest().Events)
	if g12 > g1 {
		t.Errorf("%d goroutines after twelve hours, %d after one", g12, g1)
	}
	if h12 > h1+4<<20 { // a few calls came meanwhile; a leak by the tick would be far more
		t.Errorf("heap %d kB after twelve hours, %d kB after one", h12>>10, h1>>10)
	}
	if n := s.Latest().Events; n < 24 { // twelve batches started and poured
		t.Errorf("only %d events: the script does not pour", n)
	}
	stop()
	<-done
	time.Sleep(50 * time.Millisecond)
	if g := runtime.NumGoroutine(); g > before {
		t.Errorf("%d goroutines after the end, %d before", g, before)
	}
}
