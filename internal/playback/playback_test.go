package playback

import (
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"floorpace/internal/day"
)

// sameState compares what a state is, not what it keeps to be quick.
func sameState(a, b *day.State) string {
	return cmp.Diff(a, b, cmpopts.IgnoreUnexported(day.State{}), cmpopts.IgnoreFields(day.State{}, "Plan", "Floors"),
		cmpopts.IgnoreFields(day.ZoneState{}, "Floor"), cmpopts.EquateEmpty())
}

// The state at the end is that of the whole log folded at once, and the state
// at any instant that of the events until then.
func TestAnyInstantIsTheFold(t *testing.T) {
	p, floors, events := pourDay(t, 400)
	b := New(p, floors, events)
	b.JumpTime(b.End())
	if d := sameState(day.Fold(p, floors, events), b.State()); d != "" {
		t.Fatalf("the end is not the fold of all events:\n%s", d)
	}
	r := rand.New(rand.NewPCG(1, 2))
	for range 20 {
		at := b.Begin().Add(time.Duration(r.Float64() * float64(b.End().Sub(b.Begin()))))
		n := 0
		for n < len(events) && !events[n].At.After(at) {
			n++
		}
		b.JumpTime(at)
		if d := sameState(day.Fold(p, floors, events[:n]), b.State()); d != "" {
			t.Fatalf("at %s, after %d events:\n%s", at, n, d)
		}
		v := b.At(at)
		if !v.Now.Equal(at) || v.Events != n || v.PosL != b.State().Zones[0].PosL {
			t.Fatalf("picture of %s after %d events, asked for %s, %d", v.Now, v.Events, at, n)
		}
	}
}

// A picture once given stays as it was, whatever is played afterwards.
func TestPicturesDoNotChange(t *testing.T) {
	p, floors, events := pourDay(t, 500)
	b := New(p, floors, events)
	var at time.Time
	for i, e := range events {
		if e.Kind == day.HoldBegan {
			at = events[i].At.Add(time.Second)
		}
	}
	v := b.At(at)
	if v.Hold == nil {
		t.Fatal("no hold in the picture")
	}
	hold, pos, laid := *v.Hold, v.PosL, slices.Clone(v.Laid)
	b.At(b.End())
	b.At(b.Begin())
	if *v.Hold != hold || v.PosL != pos || !slices.Equal(v.Laid, laid) || !v.Hold.To.IsZero() {
		t.Error("the picture changed when another instant was asked for")
	}
}

func TestControls(t *testing.T) {
	p, floors, events := pourDay(t, 400)
	b := New(p, floors, events)
	if !b.Now().Equal(b.Begin()) || b.Playing() || b.Speed() != 1 {
		t.Fatalf("begins at %s, playing %v at %g", b.Now(), b.Playing(), b.Speed())
	}
	b.Advance(time.Hour)
	if !b.Now().Equal(b.Begin()) {
		t.Error("time runs while paused")
	}
	b.Play()
	b.SetSpeed(60)
	b.Advance(time.Second)
	if got := b.Now().Sub(b.Begin()); got != time.Minute {
		t.Errorf("a second at 60 moved %s", got)
	}
	for _, c := range []struct{ ask, want float64 }{{0, 1}, {-3, 1}, {601, 600}, {600, 600}, {7, 7}} {
		if b.SetSpeed(c.ask); b.Speed() != c.want {
			t.Errorf("speed %g became %g, want %g", c.ask, b.Speed(), c.want)
		}
	}
	b.SetSpeed(1)
	for range 20 {
		b.Faster()
	}
	if b.Speed() != FastestSpeed {
		t.Errorf("fastest %g", b.Speed())
	}
	for range 20 {
		b.Slower()
	}
	if b.Speed() != SlowestSpeed {
		t.Errorf("slowest %g", b.Speed())
	}
	b.SetSpeed(600)
	b.Advance(24 * time.Hour)
	if !b.Now().Equal(b.End()) || b.Playing() {
		t.Errorf("after the end at %s, playing %v", b.Now(), b.Playing())
	}
	b.Play()
	if !b.Now().Equal(b.Begin()) || !b.Playing() {
		t.Error("play at the end does not begin again")
	}
	b.Scrub(5 * time.Minute)
	b.Scrub(-2 * time.Minute)
	if got := b.Now().Sub(b.Begin()); got != 3*time.Minute {
		t.Errorf("scrubbed to %s", got)
	}
	b.Scrub(-time.Hour)
	if !b.Now().Equal(b.Begin()) {
		t.Error("scrubbed out of the day")
	}
}

// Stepping forward meets every event once, and back the same way.
func TestStepByEvent(t *testing.T) {
	p, floors, events := pourDay(t, 200)
	b := New(p, floors, events)
	b.JumpTime(b.Begin())
	for b.Happened() > 1 {
		b.StepEvent(-1)
	}
	for n := 1; n <= len(events); n++ {
		if b.Happened() != n || b.Snapshot().Events != n || !b.Now().Equal(events[n-1].At) {
			t.Fatalf("step %d: %d events at %s, want those until %s", n, b.Happened(), b.Now(), events[n-1].At)
		}
		b.StepEvent(1)
	}
	if b.StepEvent(1); b.Happened() != len(events) {
		t.Error("stepped past the end")
	}
	for n := len(events) - 1; n >= 1; n-- {
		if b.StepEvent(-1); b.Happened() != n {
			t.Fatalf("stepped back to %d, want %d", b.Happened(), n)
		}
	}
}

func TestJumps(t *testing.T) {
	p, floors, events := pourDay(t, 400)
	b := New(p, floors, events)
	undone := map[int64]bool{}
	for _, e := range events {
		if e.Kind == day.PressUndone {
			undone[e.Of] = true
		}
	}
	for _, c := range []struct {
		kind day.Kind
		jump func(int) bool
	}{{day.CallRaised, b.JumpCall}, {day.BatchPoured, b.JumpBatch}} {
		var want []int
		for i, e := range events {
			if e.Kind == c.kind && !undone[e.N] {
				want = append(want, i+1)
			}
		}
		if len(want) < 2 {
			t.Fatalf("only %d of %s in the day", len(want), c.kind)
		}
		b.JumpTime(b.Begin())
		for b.Happened() > 1 {
			b.StepEvent(-1)
		}
		var got, back []int
		for c.jump(1) {
			got = append(got, b.Happened())
		}
		b.JumpTime(b.End())
		for c.jump(-1) {
			back = append(back, b.Happened())
		}
		slices.Reverse(back)
		if d := cmp.Diff(want, got); d != "" {
			t.Errorf("%s: jumped elsewhere:\n%s", c.kind, d)
		}
		if b.n != want[0] || len(back) < len(want)-1 {
			t.Errorf("%s: back at %v, want %v", c.kind, back, want)
		}
	}
	if !b.JumpBatchNo(7) || b.Snapshot().Laid[len(b.Snapshot().Laid)-1].Batch != 7 {
		t.Error("batch 7 was not the last on the floor when it was jumped to")
	}
	if b.JumpBatchNo(9999) {
		t.Error("jumped to a batch that never was")
	}
}

func TestMarks(t *testing.T) {
	p, floors, events := pourDay(t, 400)
	b := New(p, floors, events)
	end := day.Fold(p, floors, events)
	count := map[MarkKind]int{}
	for i, m := range b.Marks() {
		count[m.Kind]++
		if i > 0 && m.At.Before(b.Marks()[i-1].At) {
			t.Fatalf("mark %d is out of order", i)
		}
		if m.Kind == MarkHold && !m.Until.IsZero() && m.Until.Sub(m.At) != 3*time.Minute {
			t.Errorf("a hold of %s, want 3 min", m.Until.Sub(m.At))
		}
	}
	poured := 0
	for i := range end.Batches {
		if !end.Batches[i].Poured.IsZero() {
			poured++
		}
	}
	want := map[MarkKind]int{MarkBatch: poured, MarkReading: len(end.Readings), MarkHold: len(end.Holds), MarkCall: len(end.CallLog), MarkZone: 1}
	if d := cmp.Diff(want, count); d != "" {
		t.Errorf("marks against the folded day:\n%s", d)
	}
}

func TestEmptyDay(t *testing.T) {
	p, floors, _ := pourDay(t, 1)
	b := New(p, floors, nil)
	b.Play()
	b.Advance(time.Hour)
	b.StepEvent(1)
	b.StepEvent(-1)
	b.Scrub(time.Hour)
	if b.JumpCall(1) || b.JumpBatch(-1) || b.Playing() {
		t.Error("something happened on an empty day")
	}
	if v := b.Snapshot(); v.Events != 0 {
		t.Errorf("%d events on an empty day", v.Events)
	}
}

// seekWithin is what the picture of any instant of a day of 2,000 events may
// cost (the figure asked for); raceFactor allows for the race detector.
const seekWithin = 10 * time.Millisecond

// The slowest of many random jumps counts, in processor time; and a jump must
// cost a small part of folding the day from its start, on any machine.
func TestSeekIsQuick(t *testing.T) {
	if testing.Short() {
		t.Skip("times a long day")
	}
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	if _, ok := cpuTime(); !ok {
		t.Skip("this system does not say how much processor time a thread took")
	}
	timed := func(f func()) time.Duration {
		from, _ := cpuTime()
		f()
		to, _ := cpuTime()
		return to - from
	}
	p, floors, events := pourDay(t, 2000)
	b := New(p, floors, events)
	r := rand.New(rand.NewPCG(3, 4))
	const jumps = 1000
	var took []time.Duration
	for range jumps {
		n := 1 + r.IntN(len(events))
		took = append(took, timed(func() { b.picture(n, b.at[n-1]) }))
	}
	slices.Sort(took)
	p50, p99, worst := took[jumps/2], took[jumps*99/100], took[jumps-1]
	t.Logf("picture of any instant of 2,000 events, processor time: median %s, 99 of 100 within %s, worst of %d %s", p50, p99, jumps, worst)
	if worst > seekWithin*raceFactor {
		t.Errorf("the worst took %s, want at most %s", worst, seekWithin*raceFactor)
	}
	var states []time.Duration
	for range jumps {
		n := len(events) - 1 - r.IntN(200)
		states = append(states, timed(func() { b.state(n) }))
	}
	slices.Sort(states)
	if fold := timed(func() { day.Fold(p, floors, events) }); states[jumps/2] > fold/3 {
		t.Errorf("a state late in the day takes %s, a fold from the start %s: the kept states do not help", states[jumps/2], fold)
	}
}

func BenchmarkSeek2000(b *testing.B) {
	p, floors, events := pourDay(b, 2000)
	pb := New(p, floors, events)
	r := rand.New(rand.NewPCG(3, 4))
	b.ReportAllocs()
	for b.Loop() {
		pb.At(pb.Begin().Add(time.Duration(r.Float64() * float64(pb.End().Sub(pb.Begin())))))
	}
}

func BenchmarkNew2000(b *testing.B) {
	p, floors, events := pourDay(b, 2000)
	b.ReportAllocs()
	for b.Loop() {
		New(p, floors, events)
	}
}
