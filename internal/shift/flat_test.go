package shift

import (
	"maps"
	"runtime"
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
)

// Twelve hours of a live shift that presses all the while, forecasts included:
// batches, readings, holds, notes taken back, scrap, calls answered and put aside.
// No goroutine is left over, and the memory in use grows with what is pressed and
// kept, not with time. Presses that nobody makes are none: hour by hour the script
// must pour.
func TestTwelveHoursStayFlat(t *testing.T) {
	if testing.Short() {
		t.Skip("twelve hours of ticks")
	}
	before := runtime.NumGoroutine()
	t.Run("day", func(t *testing.T) {
		p, floors := longFloor(t)
		c := &longCrew{live: liveDay(t, p, floors, nil), taken: map[day.Kind]int{}}
		var at []flatSample
		for hour := range 12 {
			had := maps.Clone(c.taken)
			for range int(time.Hour / crewStep) {
				c.tick(crewStep)
				c.pressDue()
			}
			at = append(at, c.sample())
			for kind, least := range map[day.Kind]int{
				day.BatchStarted: 20, day.BatchPoured: 20, day.BatchScrapped: 1, day.ReadingTaken: 4,
				day.HoldBegan: 1, day.HoldEnded: 1, day.NoteWritten: 1, day.PressUndone: 1,
			} {
				if n := c.taken[kind] - had[kind]; n < least {
					t.Errorf("hour %d: %s was pressed %d times, want %d at least", hour+1, kind, n, least)
				}
			}
		}
		for i, q := range at {
			t.Logf("hour %2d: %d goroutines, heap %d kB, %d events", i+1, q.goroutines, q.heap>>10, q.events)
		}
		first, last := at[0], at[len(at)-1]
		if last.goroutines > first.goroutines {
			t.Errorf("%d goroutines after twelve hours, %d after one", last.goroutines, first.goroutines)
		}
		if most := first.heap + uint64(last.events-first.events)*perEvent + spareHeap; last.heap > most {
			t.Errorf("heap %d kB after twelve hours, want %d kB at most: %d kB after one, and %d events since",
				last.heap>>10, most>>10, first.heap>>10, last.events-first.events)
		}
		if c.taken[day.CallAcked] < 6 || c.taken[day.CallShelved] < 6 {
			t.Errorf("%d calls answered and %d put aside: the calls do not come and go", c.taken[day.CallAcked], c.taken[day.CallShelved])
		}
	})
	time.Sleep(50 * time.Millisecond)
	if g := runtime.NumGoroutine(); g > before {
		t.Errorf("%d goroutines after the end, %d before", g, before)
	}
}

const (
	crewStep = 10 * time.Second

	// perEvent is what the day keeps of an event with the batch, laying and
	// picture that come of it, and the log of this test of its record. A view left
	// over by the tick or by the press would be a hundred times that.
	perEvent  = 2 << 10
	spareHeap = 512 << 10 // what lies about from one collection to the next
)

type flatSample struct {
	goroutines, events int
	heap               uint64
}

// longFloor is the invented hall, five and a half times as long, with kits for
// it: more than twelve hours of pouring.
func longFloor(t *testing.T) (*plan.Plan, []*pace.Zone) {
	t.Helper()
	p, _ := example(t)
	p.Zones = p.Zones[:1]
	z := &p.Zones[0]
	_, hi := z.Outline.Bounds()
	for i := range z.Outline {
		if z.Outline[i].X > hi.X/2 {
			z.Outline[i].X += 4.5 * hi.X
		}
	}
	z.Doors = nil
	for i := range p.Lots {
		for part := range p.Lots[i].Parts {
			p.Lots[i].Parts[part] *= 6
		}
	}
	if ps := plan.Validate(p); len(ps) > 0 {
		t.Fatal(ps)
	}
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	return p, floors
}

// longCrew presses by the clock: a batch every 160 s, and once an hour all else.
type longCrew struct {
	*live
	i, batch int
	taken    map[day.Kind]int
}

// pressDue presses what is due at this tick.
func (c *longCrew) pressDue() {
	i := c.i
	c.i++
	if i%16 == 0 {
		c.batch++
		c.do(day.Press{Kind: day.BatchStarted, Mixer: c.batch%2 + 1})
	}
	if v := c.s.Latest(); i%16 == 12 && len(v.Buckets) > 0 {
		if i%360 > 340 {
			c.do(day.Press{Kind: day.BatchScrapped, Batch: v.Buckets[0].Batch, Why: "SPILT"})
		} else {
			c.do(day.Press{Kind: day.BatchPoured})
		}
	}
	switch i % 360 {
	case 65:
		for what, v := range map[string]float64{day.ReadSlab: 18, day.ReadAir: 19, day.ReadKit: 19.5, day.ReadHumidity: 0.5} {
			c.do(day.Press{Kind: day.ReadingTaken, What: what, Value: day.Value(v + float64(i%7)/100)})
		}
	case 130:
		c.do(day.Press{Kind: day.HoldBegan, Why: "WAY BLOCKED"})
	case 135:
		c.do(day.Press{Kind: day.HoldEnded})
	case 210:
		c.do(day.Press{Kind: day.NoteWritten, Text: "hose moved"})
		c.do(day.Press{Kind: day.PressUndone})
	}
	if i%30 == 29 {
		for n, q := range c.s.Latest().Calls {
			switch {
			case !q.Loud():
			case (i/30+n)%2 == 0:
				c.do(day.Press{Kind: day.CallAcked, Call: q.ID})
			default:
				c.do(day.Press{Kind: day.CallShelved, Call: q.ID, Why: "SEEN, IN HAND"})
			}
		}
	}
}

// do presses and waits for the answer; it must be taken.
func (c *longCrew) do(p day.Press) {
	c.t.Helper()
	before := c.s.Latest().Events
	c.s.Press(p, c.clock.Now().Wall)
	for end := time.Now().Add(time.Minute); c.s.Latest().Events == before; time.Sleep(200 * time.Microsecond) {
		if a := c.s.Latest().Answers; len(a) > 0 && a[len(a)-1].Refused != "" && a[len(a)-1].Press.Kind == p.Kind {
			c.t.Fatalf("%s at tick %d was refused: %s", p.Kind, c.i, a[len(a)-1].Refused)
		}
		if time.Now().After(end) {
			c.t.Fatalf("%s at tick %d was not answered", p.Kind, c.i)
		}
	}
	c.taken[p.Kind]++
}

// sample waits until nothing is being studied and looks at what is in use.
func (c *longCrew) sample() flatSample {
	c.until("rest", atRest)
	time.Sleep(50 * time.Millisecond)
	runtime.GC()
	var ms runtime.MemStats
	runtime.ReadMemStats(&ms)
	return flatSample{runtime.NumGoroutine(), c.s.Latest().Events, ms.HeapAlloc}
}
