package tui

import (
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/shift"
	"floorpace/internal/tui/frame"

	tea "github.com/charmbracelet/bubbletea"
)

// scrubber is a strip that counts one key.
type scrubber struct{ moved int }

func (s *scrubber) Rows(int, int) int            { return 1 }
func (s *scrubber) Draw(frame.Pane, *shift.View) {}
func (s *scrubber) Help() [][2]string            { return nil }
func (s *scrubber) Key(n string, _ daylog.Reading) bool {
	if n == "right" {
		s.moved++
	}
	return n == "right"
}

// still is a source of nothing.
type still struct{ changed chan struct{} }

func (still) Latest() *shift.View             { return nil }
func (s still) Changed() <-chan struct{}      { return s.changed }
func (still) Press(day.Press, time.Time) bool { return false }
func (still) Quiet(time.Time) bool            { return false }
func (still) Waiting() (int, time.Time)       { return 0, time.Time{} }

// A cursor key held on a replay moves it on with every repeat: the guard that
// makes one press of a held key is for keys that write to the day.
func TestHeldKeyScrubs(t *testing.T) {
	c := &clock{wall: time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC)}
	strip := &scrubber{}
	m := New(Options{Source: still{make(chan struct{})}, Now: c.Now, Strip: strip, ReadOnly: "over"})
	m.Init()
	for range 20 {
		c.wall = c.wall.Add(30 * time.Millisecond)
		m.Update(tea.KeyMsg{Type: tea.KeyRight})
	}
	if strip.moved != 20 {
		t.Errorf("20 repeats of a held key moved it %d times", strip.moved)
	}
}
