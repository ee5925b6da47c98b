package logtest

import (
	"fmt"
	"sync"
	"time"

	"floorpace/internal/daylog"
)

// Clock is a set of clocks that tests move. Any goroutine may read it.
type Clock struct {
	mu     sync.Mutex
	r      daylog.Reading
	boots  int
	actual time.Time // what a perfect clock would show
}

// NewClock starts at an instant, one hour after boot, in the zone of at.
func NewClock(at time.Time) *Clock {
	return &Clock{r: daylog.Reading{Wall: at, Mono: time.Hour, Awake: time.Hour, Boot: "boot-0"}, actual: at}
}

// Now implements daylog.Clock.
func (c *Clock) Now() daylog.Reading {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.r
}

// True is the true instant, whatever the wall clock was set to.
func (c *Clock) True() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.actual
}

// Run lets time pass with the machine awake.
func (c *Clock) Run(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.r.Wall, c.actual = c.r.Wall.Add(d), c.actual.Add(d)
	c.r.Mono += d
	c.r.Awake += d
}

// Sleep lets time pass with the machine asleep.
func (c *Clock) Sleep(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.r.Wall, c.actual = c.r.Wall.Add(d), c.actual.Add(d)
	c.r.Mono += d
}

// Step sets the wall clock forward or back.
func (c *Clock) Step(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.r.Wall = c.r.Wall.Add(d)
}

// Reboot restarts the machine, which takes d.
func (c *Clock) Reboot(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.boots++
	c.r.Wall, c.actual = c.r.Wall.Add(d), c.actual.Add(d)
	c.r.Mono, c.r.Awake = 20*time.Second, 20*time.Second
	c.r.Boot = fmt.Sprintf("boot-%d", c.boots)
}
