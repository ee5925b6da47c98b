package path

import (
	"math"
	"strings"
	"testing"

	"floorpace/internal/floor"
)

func line(name string, x0, y0, x1, y1 float64) floor.Line {
	return floor.Line{Name: name, A: floor.Point{X: x0, Y: y0}, B: floor.Point{X: x1, Y: y1}}
}

// dumbbell is two rooms of 6 × 5 m with a door of 1 m between them at x = 6,
// through a wall 0.3 m thick.
func dumbbell() floor.Zone {
	z := zone(floor.Polygon{
		{X: 0, Y: 0},
		{X: 6, Y: 0},
		{X: 6, Y: 2},
		{X: 6.3, Y: 2},
		{X: 6.3, Y: 0},
		{X: 12.3, Y: 0},
		{X: 12.3, Y: 5},
		{X: 6.3, Y: 5},
		{X: 6.3, Y: 3},
		{X: 6, Y: 3},
		{X: 6, Y: 5},
		{X: 0, Y: 5},
	})
	z.StopLines = []floor.Line{line("door", 6.1, 2, 6.1, 3)}
	return z
}

// Source: by hand.
func TestStopAt(t *testing.T) {
	hall := func(l floor.Line) floor.Zone {
		z := zone(box(0, 0, 9, 14))
		z.StopLines = []floor.Line{l}
		return z
	}
	for _, c := range []struct {
		name    string
		z       floor.Zone
		pull    float64
		pattern Pattern
		volL    float64
		why     string
	}{
		{"along the rows", hall(line("a", 0, 5, 9, 5)), 90, SameSide, 45 * 5, ""},
		{"along the rows, from the far side", hall(line("a", 0, 5, 9, 5)), 270, ToAndFro, 81 * 5, ""},
		{"a hair off the rows", hall(line("a", 0, 4.98, 9, 5.02)), 90, SameSide, 45 * 5, ""},
		{"across the rows", hall(line("a", 4, 0, 4, 14)), 90, SameSide, 0, "run across this line"},
		{"slanted", hall(line("a", 0, 2, 9, 8)), 90, SameSide, 0, "run across this line"},
		{"out and back", hall(line("a", 0, 5, 9, 5)), 90, OutAndBack, 0, "other edges"},
		{"door, room by room", dumbbell(), 0, SameSide, (30 + 0.1) * 5, ""},
		{"door, both rooms at once", dumbbell(), 90, SameSide, 0, "run across this line"},
	} {
		p := build(t, c.z, Lay{PullDeg: c.pull, RowDepthM: 0.75, Pattern: c.pattern})
		s := p.StopAt()[0]
		if s.Can != (c.why == "") || !strings.Contains(s.Why, c.why) {
			t.Errorf("%s: got %+v, want %q", c.name, s, c.why)
		}
		near(t, c.name, s.VolL, c.volL, 1e-6*math.Max(1, c.volL))
		if !s.Can {
			continue
		}
		if e := p.Edge(s.VolL); len(e) > 0 {
			t.Errorf("%s: %d edge cells open at the stop, first %+v", c.name, len(e), e[0])
		}
	}
}

// A U pulled along its arms has both arms under way, so a line across one arm
// leaves the other's edge open.
func TestStopWithAnotherEdgeOpen(t *testing.T) {
	z := zone(floor.Polygon{{X: 0, Y: 0}, {X: 9, Y: 0}, {X: 9, Y: 9}, {X: 6, Y: 9}, {X: 6, Y: 3}, {X: 3, Y: 3}, {X: 3, Y: 9}, {X: 0, Y: 9}})
	z.StopLines = []floor.Line{line("arm", 0, 6, 3, 6)}
	lay := Lay{PullDeg: 90, RowDepthM: 0.75}
	if s := build(t, z, lay).StopAt()[0]; s.Can || !strings.Contains(s.Why, "other edges") {
		t.Errorf("got %+v", s)
	}
	z.StopLines = append(z.StopLines, line("other arm", 6, 6, 9, 6))
	for _, s := range build(t, z, lay).StopAt() {
		if !s.Can {
			t.Errorf("with a line across both arms: got %+v", s)
		}
		near(t, "stop", s.VolL, (27+18)*5, 1e-6)
	}
}

// Without its stop line the door needs a wet edge, and the stop is no stop.
func TestStopLineNeedsNoWetEdge(t *testing.T) {
	z := dumbbell()
	lay := Lay{PullDeg: 0, RowDepthM: 0.75}
	stop := build(t, z, lay).StopAt()[0].VolL
	z.StopLines = nil
	if e := build(t, z, lay).Edge(stop); len(e) == 0 {
		t.Error("no edge is open in the middle of the floor")
	}
}

// Source: by hand: 9 m rows of 0.75 m, 33.75 L each, at 5 mm; line at 5 m, in
// the seventh row, which therefore ends there at 225 L.
func TestCutBack(t *testing.T) {
	z := zone(box(0, 0, 9, 14))
	z.StopLines = []floor.Line{line("joint", 0, 5, 9, 5)}
	p := build(t, z, Lay{PullDeg: 90, RowDepthM: 0.75})
	for _, c := range []struct {
		pos  float64
		name string
		volL float64
		at   float64
	}{
		{20, "first edge", 0, 0},
		{33.75, "end of row 1", 33.75, 0.75},
		{80, "end of row 2", 67.5, 1.5},
		{230, "joint", 225, 5},
		{225, "joint", 225, 5},
		{265, "end of row 8", 258.75, 5.75},
		{1e9, "end of row 19", 630, 14},
	} {
		got := p.CutBack(c.pos)
		if got.Name != c.name {
			t.Errorf("at %g L: %q, want %q", c.pos, got.Name, c.name)
		}
		near(t, "cut", got.VolL, c.volL, 1e-6)
		near(t, "lost", got.LostL, math.Min(c.pos, 630)-c.volL, 1e-6)
		near(t, "place", got.FrontM, c.at, 1e-6)
	}
}
