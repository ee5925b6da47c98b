package shift

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"floorpace/config"
	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/planfile"
)

// handClock is moved by hand.
type handClock struct {
	mu   sync.Mutex
	from time.Time
	gone time.Duration
	boot string
}

func (c *handClock) Now() daylog.Reading {
	c.mu.Lock()
	defer c.mu.Unlock()
	return daylog.Reading{Wall: c.from.Add(c.gone), Mono: c.gone, Awake: c.gone, Boot: c.boot}
}

func (c *handClock) add(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.gone += d
}

func example(t testing.TB) (*plan.Plan, []*pace.Zone) {
	t.Helper()
	p, ps := planfile.Load(config.Files, config.USPlan)
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	return p, floors
}

// gate is a log whose saves wait, or fail, at a word.
type gate struct {
	*Memory
	mu    sync.Mutex
	wait  chan struct{}
	err   error
	saved int
}

func (g *gate) Append(kind string, body any) (daylog.Record, daylog.Trouble, error) {
	g.mu.Lock()
	wait, err := g.wait, g.err
	g.mu.Unlock()
	if wait != nil {
		<-wait
	}
	if err != nil {
		return daylog.Record{}, daylog.Trouble{Words: []string{"The disk does not answer."}}, err
	}
	g.mu.Lock()
	g.saved++
	g.mu.Unlock()
	return g.Memory.Append(kind, body)
}

// A press is shown as saved only after the disk has answered: while the save
// hangs no view shows the batch, and the press stands as waiting.
func TestShownAsSavedOnlyAfterTheDisk(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p, floors := example(t)
		clock := &handClock{from: p.Handover, boot: "a"}
		g := &gate{Memory: NewMemory(clock), wait: make(chan struct{})}
		s := Start(Open(p, floors, g, clock, g.Records(), nil))
		ctx, stop := context.WithCancel(t.Context())
		done := make(chan struct{})
		go func() { s.Run(ctx, nil); close(done) }()
		synctest.Wait()
		at := clock.Now().Wall
		if !s.Press(day.Press{Kind: day.BatchStarted, Mixer: 1}, at) {
			t.Fatal("the press was not taken")
		}
		synctest.Wait()
		if n, since := s.Waiting(); n != 1 || !since.Equal(at) {
			t.Errorf("%d presses waiting since %s, want 1 since the press", n, since)
		}
		if v := s.Latest(); v.Mixers[0].Batch != 0 || len(v.Answers) != 0 {
			t.Errorf("shown before the disk answered: %+v", v.Mixers[0])
		}
		close(g.wait) // the disk answers: zone.began and batch.started
		synctest.Wait()
		if n, _ := s.Waiting(); n != 0 {
			t.Errorf("%d presses still waiting", n)
		}
		v := s.Latest()
		if v.Mixers[0].Batch != 1 || len(v.Answers) != 1 || v.Answers[0].Refused != "" || v.Answers[0].Unsaved {
			t.Errorf("after the save: %+v, %+v", v.Mixers[0], v.Answers)
		}
		stop()
		<-done
	})
}

// A disk that refuses for good: the event counts as in memory only, the view
// says so, and a press that cannot be written at all changes nothing.
func TestFailingDiskIsSaid(t *testing.T) {
	p, floors := example(t)
	clock := &handClock{from: p.Handover, boot: "a"}
	g := &gate{Memory: NewMemory(clock), err: fmt.Errorf("no such device: %w", daylog.ErrBody)}
	d := Open(p, floors, g, clock, g.Records(), nil)
	a := d.Press(day.Press{Kind: day.BatchStarted, Mixer: 1})
	if a.Refused == "" {
		t.Error("an event that cannot be written was taken")
	}
	v := d.View()
	if v.Mixers[0].Batch != 0 || len(v.Banner) == 0 {
		t.Errorf("batch %d shown, banner %q", v.Mixers[0].Batch, v.Banner)
	}
}

// The same through the real log on a real folder whose file goes bad: what is
// on disk is what was shown.
func TestEveryShownPressIsOnDisk(t *testing.T) {
	p, floors := example(t)
	clock := &handClock{from: p.Handover, boot: "a"}
	dir := t.TempDir()
	l, err := daylog.Create(daylog.OS(), dir, daylog.Header{Station: "A", Day: "2026-05-02", Plan: []byte(`"x"`)}, clock, daylog.Options{Ballast: -1, App: "test"})
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	c, err := daylog.Read(daylog.OS(), l.Path())
	if err != nil {
		t.Fatal(err)
	}
	d := Open(p, floors, l, clock, c.Records, nil)
	for i := range 30 {
		clock.add(70 * time.Second)
		if i%2 == 0 {
			d.Press(day.Press{Kind: day.BatchStarted, Mixer: i/2%2 + 1})
		} else {
			d.Press(day.Press{Kind: day.BatchPoured})
		}
		c, err := daylog.Read(daylog.OS(), l.Path())
		if err != nil {
			t.Fatal(err)
		}
		onDisk := day.Fold(p, floors, Events(c.Records))
		if a, b := onDisk.String(), d.State().String(); a != b {
			t.Fatalf("press %d: on disk %s, shown %s", i, a, b)
		}
	}
}

// An hour of a scripted pour: well under a second, and twice the same bytes.
func TestScriptedHourIsTheSameTwice(t *testing.T) {
	p, floors := example(t)
	run := func() []byte {
		clock := &handClock{from: p.Handover.Add(p.Preparation), boot: "a"}
		dir := t.TempDir()
		luck := io.LimitReader(neverEnding(7), 1<<20)
		l, err := daylog.Create(daylog.OS(), dir, daylog.Header{Station: "A", Day: "2026-05-02", Plan: []byte(`"x"`)}, clock, daylog.Options{Ballast: -1, App: "test", Rand: luck})
		if err != nil {
			t.Fatal(err)
		}
		defer l.Close()
		c, err := daylog.Read(daylog.OS(), l.Path())
		if err != nil {
			t.Fatal(err)
		}
		d := Open(p, floors, l, clock, c.Records, nil)
		for s := 0; s < 3600; s++ {
			clock.add(time.Second)
			d.Tick()
			switch {
			case s%128 == 10:
				d.Press(day.Press{Kind: day.BatchStarted, Mixer: s/128%2 + 1})
			case s%128 == 120 && s > 250:
				d.Press(day.Press{Kind: day.BatchPoured})
			case s == 1800:
				d.Press(day.Press{Kind: day.ReadingTaken, What: day.ReadSlab, Value: day.Value(18.5)})
			case s == 2000:
				d.Press(day.Press{Kind: day.HoldBegan, Why: "WAY BLOCKED"})
			case s == 2090:
				d.Press(day.Press{Kind: day.HoldEnded})
			}
		}
		data, err := os.ReadFile(l.Path())
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	a, b := run(), run()
	if !bytes.Equal(a, b) {
		t.Error("two runs of one script differ")
	}
	if n := bytes.Count(a, []byte("batch.poured")); n < 20 {
		t.Errorf("only %d batches poured: the script does not pour", n)
	}
}

// neverEnding is a reader of one byte, for ids that do not change.
type neverEnding byte

func (b neverEnding) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = byte(b)
	}
	return len(p), nil
}

// Sleep, a stepped clock and a stall become events and words, and ages count
// the sleep.
func TestClockTroubleIsOnRecord(t *testing.T) {
	p, floors := example(t)
	clock := &sleeper{handClock: handClock{from: p.Handover, boot: "a"}}
	m := NewMemory(clock)
	d := Open(p, floors, m, clock, m.Records(), nil)
	d.Press(day.Press{Kind: day.BatchStarted, Mixer: 1})
	clock.add(time.Second)
	d.Tick()
	clock.add(10 * time.Minute)
	clock.slept += 10 * time.Minute // the lid was shut
	d.Tick()
	v := d.View()
	if !strings.Contains(strings.Join(v.Banner, "|"), "asleep") {
		t.Errorf("banner %q does not tell of the sleep", v.Banner)
	}
	if len(v.Buckets) != 1 || v.Buckets[0].Age < 9*time.Minute {
		t.Errorf("the age of the batch does not count the sleep: %+v", v.Buckets)
	}
	kinds := ""
	for _, e := range d.State().Events {
		kinds += string(e.Kind) + " "
	}
	if !strings.Contains(kinds, "clock.slept") {
		t.Errorf("no event tells of the sleep: %s", kinds)
	}
}

type sleeper struct {
	handClock
	slept time.Duration
}

func (c *sleeper) Now() daylog.Reading {
	r := c.handClock.Now()
	r.Awake -= c.slept
	return r
}

// A second session goes on where the first was, with the same ages, whatever
// the wall clock says.
func TestResumeKeepsAges(t *testing.T) {
	p, floors := example(t)
	clock := &handClock{from: p.Handover, boot: "a"}
	m := NewMemory(clock)
	d := Open(p, floors, m, clock, m.Records(), nil)
	d.Press(day.Press{Kind: day.BatchStarted, Mixer: 1})
	clock.add(3*time.Minute + 7*time.Second)
	before := d.View()
	records := append(m.Records(), daylog.Record{N: 99, Kind: daylog.KindOpened, Wall: clock.Now().Wall.Add(time.Hour), Mono: clock.gone.Milliseconds(), Body: []byte(`{"boot":"a"}`), Writer: "memory"})
	clock.from = clock.from.Add(time.Hour) // somebody set the wall clock
	after := Open(p, floors, m, clock, records, nil).View()
	if a, b := before.Buckets[0].Age, after.Buckets[0].Age; a != b {
		t.Errorf("age %s before, %s after", a, b)
	}
	if len(after.Resumed) == 0 {
		t.Error("the last presses are not shown on resume")
	}
}

// A watcher of a log whose clock is not this machine's goes on from its last
// event; one of this machine's goes by the clock they share.
func TestWatchedClock(t *testing.T) {
	p, floors := example(t)
	clock := &handClock{from: p.Handover, boot: "theirs"}
	m := NewMemory(clock)
	d := Open(p, floors, m, clock, m.Records(), nil)
	d.Press(day.Press{Kind: day.BatchStarted, Mixer: 1})
	last := d.Now()
	mine := daylog.Reading{Wall: p.Handover.Add(900 * time.Hour), Mono: 77 * time.Hour, Boot: "mine"}
	w := Watch(p, floors, m.Records(), mine)
	mine.Mono += 5 * time.Second
	if got := w.View(mine).Now; !got.Equal(last.Add(5 * time.Second)) {
		t.Errorf("another clock: now is %s, want 5 s after the last event, %s", got, last)
	}
	clock.add(8 * time.Second)
	same := Watch(p, floors, m.Records(), clock.Now())
	if got := same.View(clock.Now()).Now; !got.Equal(last.Add(8 * time.Second)) {
		t.Errorf("the same clock: now is %s, want %s", got, last.Add(8*time.Second))
	}
}
