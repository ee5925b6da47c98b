package shift

import (
	"context"
	"sync"
	"sync/atomic"
	"time"

	"floorpace/internal/day"
)

// Shift runs a Desk on one goroutine.
type Shift struct {
	desk    *Desk
	queue   chan request
	changed chan struct{}
	latest  atomic.Pointer[View]
	ahead   forecaster

	mu      sync.Mutex
	waiting []time.Time // when each press that is not yet answered was made
}

type request struct {
	press day.Press
	quiet bool
}

// queueLength is far more presses than hands can make while a disk hangs; past
// it a press is refused in words rather than taken and forgotten.
const queueLength = 64

// Start wraps a desk. Run must be called once.
func Start(d *Desk) *Shift {
	s := &Shift{desk: d, queue: make(chan request, queueLength), changed: make(chan struct{}, 1)}
	s.publish()
	return s
}

// Press queues a press and returns at once; false when the queue is full. now
// is when the key went down, for the "saving" word.
func (s *Shift) Press(p day.Press, now time.Time) bool {
	return s.put(request{press: p}, now)
}

// Quiet queues the acknowledgement of the banner.
func (s *Shift) Quiet(now time.Time) bool { return s.put(request{quiet: true}, now) }

func (s *Shift) put(r request, now time.Time) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	select {
	case s.queue <- r:
		s.waiting = append(s.waiting, now)
		return true
	default:
		return false
	}
}

// Waiting says how many presses are not yet on disk and since when the oldest
// has been.
func (s *Shift) Waiting() (n int, since time.Time) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.waiting) == 0 {
		return 0, time.Time{}
	}
	return len(s.waiting), s.waiting[0]
}

// Latest is the newest view.
func (s *Shift) Latest() *View { return s.latest.Load() }

// Changed receives after a new view was published; it holds at most one.
func (s *Shift) Changed() <-chan struct{} { return s.changed }

// Run works until ctx ends: presses as they come, a tick whenever ticks
// delivers.
func (s *Shift) Run(ctx context.Context, ticks <-chan time.Time) {
	forecast := make(chan struct{})
	go func() { defer close(forecast); s.ahead.run(ctx) }()
	defer func() { <-forecast }()
	s.desk.Tick()
	s.publish()
	for {
		select {
		case <-ctx.Done():
			s.drain()
			return
		case r := <-s.queue:
			s.answer(r)
		case <-ticks:
			s.desk.Tick()
		case o := <-s.ahead.out:
			s.ahead.last = o
		}
		s.publish()
	}
}

// drain saves what was pressed before the end.
func (s *Shift) drain() {
	for {
		select {
		case r := <-s.queue:
			s.answer(r)
		default:
			s.publish()
			return
		}
	}
}

func (s *Shift) answer(r request) {
	if r.quiet {
		s.desk.Quiet()
	} else {
		s.desk.Press(r.press)
	}
	s.mu.Lock()
	s.waiting = s.waiting[1:]
	s.mu.Unlock()
}

func (s *Shift) publish() {
	v := s.desk.View()
	v.Forecast = s.ahead.last
	s.latest.Store(v)
	s.ahead.ask(v.Snapshot)
	select {
	case s.changed <- struct{}{}:
	default:
	}
}
