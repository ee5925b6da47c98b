package playback

import (
	"slices"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
)

// every is the number of events between kept states: applying one costs some
// microseconds, keeping a state of 300 batches some 100 kB.
const every = 32

// Limits of the speed, in day time over real time.
const (
	SlowestSpeed = 1
	FastestSpeed = 600
)

// Speeds are the steps of Faster and Slower.
var Speeds = []float64{1, 2, 5, 10, 20, 60, 120, 300, 600}

// Playback plays the events of a day. Not for several goroutines at once; the
// snapshots it gives may go anywhere.
type Playback struct {
	plan   *plan.Plan
	floors []*pace.Zone
	events []day.Event
	at     []time.Time // of each event, never running backwards
	kept   []kept
	marks  []Mark

	live  *day.State // the state last shown, after liveN events; nothing else holds it
	liveN int

	now     time.Time
	n       int // events that have happened at the cursor
	playing bool
	speed   float64
}

// kept is the state after n events. It is never applied to.
type kept struct {
	n     int
	state *day.State
}

// New makes a playback of the events, in the order of the log, with its cursor
// at the beginning.
func New(p *plan.Plan, floors []*pace.Zone, events []day.Event) *Playback {
	b := &Playback{plan: p, floors: floors, events: slices.Clip(events), speed: SlowestSpeed}
	s := day.New(p, floors)
	b.kept = []kept{{0, s.Clone()}}
	var last time.Time
	for i, e := range events {
		if e.At.After(last) {
			last = e.At
		}
		b.at = append(b.at, last)
		s = s.Apply(e)
		if (i+1)%every == 0 || e.Kind == day.PressUndone {
			b.kept = append(b.kept, kept{i + 1, s.Clone()})
		}
	}
	b.marks = marksOf(s, b.at)
	b.live, b.liveN = s, len(events)
	b.JumpTime(b.Begin())
	return b
}

// Begin is the instant of the first event; the zero time for an empty day.
func (b *Playback) Begin() time.Time {
	if len(b.at) == 0 {
		return time.Time{}
	}
	return b.at[0]
}

// End is the instant of the last event.
func (b *Playback) End() time.Time {
	if len(b.at) == 0 {
		return time.Time{}
	}
	return b.at[len(b.at)-1]
}

// Len is the number of events.
func (b *Playback) Len() int { return len(b.events) }

// At is the picture of the instant t. It does not move the cursor.
func (b *Playback) At(t time.Time) *day.Snapshot { return b.picture(b.count(t), t) }

// Snapshot is the picture at the cursor.
func (b *Playback) Snapshot() *day.Snapshot { return b.picture(b.n, b.now) }

// State is the state at the cursor. The caller may do with it what it likes.
func (b *Playback) State() *day.State { return b.state(b.n).Clone() }

// count is the number of events not after t.
func (b *Playback) count(t time.Time) int {
	n, _ := slices.BinarySearchFunc(b.at, t, func(at, t time.Time) int {
		if at.After(t) {
			return 1
		}
		return -1
	})
	return n
}

func (b *Playback) picture(n int, t time.Time) *day.Snapshot {
	v := day.Look(b.state(n), t)
	if v.Hold != nil { // the state ends the hold in place; a picture never changes
		h := *v.Hold
		v.Hold = &h
	}
	return v
}

// state is the state after n events, to be looked at until the next call.
func (b *Playback) state(n int) *day.State {
	i, _ := slices.BinarySearchFunc(b.kept, n+1, func(k kept, n int) int { return k.n - n })
	from := b.kept[i-1]
	if b.live == nil || b.liveN > n || b.liveN < from.n {
		b.live, b.liveN = from.state.Clone(), from.n
	}
	for ; b.liveN < n; b.liveN++ {
		b.live = b.live.Apply(b.events[b.liveN])
	}
	return b.live
}
