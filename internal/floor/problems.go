package floor

import (
	"fmt"
	"math"
	"strconv"

	"floorpace/internal/units"
)

// Limits of the checks. None is a rule of the trade: each only catches a slip
// of the pen.
const (
	deepM    = 0.2  // above 200 mm it is a fill, not a poured floor; common practice, no source
	wallGapM = 0.05 // a line drawn to within 5 cm of a wall is meant to reach it
	doorGapM = 0.5  // a door sits in the wall, whose thickness the outline leaves out
	farM     = 5    // a door or corner this far off its zone is a slip, not a rough drawing
	carryM   = 300  // no bucket is carried farther: minutes of walking, longer than it lives
)

// Problem is one thing wrong with a zone. Where names the part ("outline",
// "hole", "bay", "panel", "stop line", "door", "spot", "station", "depth") and Index its
// place in the zone's list, −1 when there is no list. A Minor problem leaves
// every figure right and only wants a look; any other stops the zone from
// being used.
type Problem struct {
	Where string
	Index int
	What  string
	Hint  string
	Minor bool
}

// String is "what: hint".
func (p Problem) String() string { return p.What + ": " + p.Hint }

// Problems is ProblemsIn with metric figures.
func (z Zone) Problems() []Problem { return z.ProblemsIn(units.Metric) }

// ProblemsIn lists everything wrong with the zone, in the order in which the
// parts are listed, with figures in the units of sys; corners are bare numbers, as
// a plan gives them.
func (z Zone) ProblemsIn(sys units.System) []Problem {
	c := &checker{z: z, sys: sys}
	c.depths()
	c.sound = c.shape("outline", -1, "the outline", z.Outline)
	c.drawn = len(z.Outline) > 2 && z.Outline.allKnown()
	c.holes()
	if c.sound && z.NetAreaM2() <= nearM {
		c.add("hole", -1, "the holes leave nothing to pour", "check which outline is the zone and which the holes")
	}
	c.bays()
	c.panels()
	c.lines()
	c.doors()
	c.spots()
	c.station()
	return c.found
}

type checker struct {
	z     Zone
	sys   units.System
	found []Problem
	sound bool // the outline can be measured
	drawn bool // its corners are known, even where it crosses itself
}

// away is how far (m) the farthest, or with least the nearest, corner of p lies
// outside the box around the outline: what can be judged of any outline.
func (c *checker) away(p Polygon, least bool) float64 {
	if !c.drawn {
		return 0
	}
	lo, hi := c.z.Outline.Bounds()
	if least { // all of p must lie beyond one side of the box
		sides := [4]float64{math.Inf(1), math.Inf(1), math.Inf(1), math.Inf(1)}
		for _, q := range p {
			for k, d := range [4]float64{lo.X - q.X, q.X - hi.X, lo.Y - q.Y, q.Y - hi.Y} {
				sides[k] = math.Min(sides[k], d)
			}
		}
		return math.Max(math.Max(sides[0], sides[1]), math.Max(sides[2], sides[3]))
	}
	far := 0.0
	for _, q := range p {
		far = math.Max(far, math.Hypot(math.Max(0, math.Max(lo.X-q.X, q.X-hi.X)), math.Max(0, math.Max(lo.Y-q.Y, q.Y-hi.Y))))
	}
	return far
}

// placed checks where a hole or bay lies against the outline; cross says
// what a part that runs over it does.
func (c *checker) placed(where string, i int, of string, p Polygon, cross, mend string) {
	in, all := 0.0, p.Area()
	if c.sound {
		in = overlapM2(c.z.Outline, p)
	}
	out := c.sound && in < all*(1-1e-9)-nearM
	switch {
	case c.sound && in <= nearM, !c.sound && c.drawn && c.away(p, true) > nearM:
		c.add(where, i, of+" lies outside the outline", "check its corners, or leave it out")
	case c.away(p, false) > farM:
		c.add(where, i, fmt.Sprintf("%s has a corner %s outside the outline", of, c.far(c.away(p, false))), "check its corners")
	case out:
		c.note(where, i, fmt.Sprintf("%s %s: %s of its %s count", of, cross, c.area(in), c.area(all)), mend)
	}
}

func (c *checker) far(m float64) string { return units.FormatFixed(units.Length, m, c.sys, 1) }

// at is a corner as a plan gives it: bare numbers, metres or feet.
func (c *checker) at(p Point) string {
	num := func(m float64) string {
		return strconv.FormatFloat(units.To(units.Length, m, c.sys), 'g', 6, 64)
	}
	return num(p.X) + ", " + num(p.Y)
}

func (c *checker) edge(a, b Point) string { return c.at(a) + " to " + c.at(b) }

func (c *checker) thick(m float64) string { return units.Format(units.Depth, m, c.sys) }

func (c *checker) area(m2 float64) string { return units.FormatFixed(units.Area, m2, c.sys, 2) }

func (c *checker) add(where string, i int, what, hint string) {
	c.found = append(c.found, Problem{Where: where, Index: i, What: what, Hint: hint})
}

func (c *checker) note(where string, i int, what, hint string) {
	c.found = append(c.found, Problem{Where: where, Index: i, What: what, Hint: hint, Minor: true})
}

// named is how a part is spoken of: by its name, else by its place in the list.
func named(kind, name string, i int) string {
	if name == "" {
		return fmt.Sprintf("%s %d", kind, i+1)
	}
	return fmt.Sprintf("%s %q", kind, name)
}

func (c *checker) depth(where string, i int, of string, d float64) {
	switch {
	case !finite(d) || d <= 0:
		c.add(where, i, fmt.Sprintf("%s has a depth of %s", of, c.thick(d)), "give the depth to lay, above zero")
	case d > deepM:
		c.add(where, i, fmt.Sprintf("%s has a depth of %s: above %s it is a fill, not a poured floor", of, c.thick(d), c.thick(deepM)), "check the unit of the depth")
	}
}

func (c *checker) depths() {
	c.depth("depth", -1, "the zone", c.z.DepthM)
	if a := c.z.AllowanceM; !finite(a) || a < 0 {
		c.add("depth", -1, "the profile allowance is "+c.thick(a), "give zero or the mean extra depth the slab takes up")
	}
}

// shape checks one outline by itself and says whether it can be measured.
func (c *checker) shape(where string, i int, of string, p Polygon) bool {
	if !p.allKnown() {
		c.add(where, i, of+" has a corner that is not a pair of numbers", "give x and y for every corner")
		return false
	}
	if len(p) < 3 {
		c.add(where, i, fmt.Sprintf("%s has %s", of, units.Count(len(p), "corner", "corners")), "give at least three")
		return false
	}
	for k := range p {
		if a, b := p.edge(k); a.DistanceM(b) <= nearM {
			c.add(where, i, fmt.Sprintf("%s gives the corner %s twice running (edge %d has no length)", of, c.at(a), k+1),
				"leave the second out; the last corner joins the first by itself")
			return false
		}
	}
	if a, b, crosses := p.Crossing(); crosses {
		a0, a1 := p.edge(a)
		b0, b1 := p.edge(b)
		c.add(where, i, fmt.Sprintf("%s crosses or touches itself: edge %d (%s) meets edge %d (%s)",
			of, a+1, c.edge(a0, a1), b+1, c.edge(b0, b1)),
			"list the corners in the order of a walk along the wall")
		return false
	}
	if p.Area() <= nearM {
		c.add(where, i, of+" has no area", "check its corners")
		return false
	}
	return true
}

// repeated adds a problem when names[i] was used before.
func (c *checker) repeated(where, kind string, i int, name string, used map[string]bool) {
	if name != "" && used[name] {
		c.add(where, i, fmt.Sprintf("there are two %ss called %q", kind, name), "give each a name of its own")
	}
	used[name] = true
}

func (c *checker) holes() {
	used := map[string]bool{}
	for i, h := range c.z.Holes {
		c.repeated("hole", "hole", i, h.Name, used)
		of := named("hole", h.Name, i)
		if !c.shape("hole", i, of, h.Outline) {
			continue
		}
		c.placed("hole", i, of, h.Outline, "crosses the outline", "fine for a pier in the wall; else check its corners")
		if c.sound && c.z.Outline.holdsAll(h.Outline) && touches(h.Outline, c.z.Outline) {
			c.note("hole", i, of+" touches the outline", "fine for a pier in the wall; else check its corners")
		}
		for k := range i {
			if g := c.z.Holes[k]; g.Outline.allKnown() && overlapM2(g.Outline, h.Outline) > nearM {
				c.note("hole", i, fmt.Sprintf("%s overlaps %s; the shared part counts once", of, named("hole", g.Name, k)), "check the corners of both")
			}
		}
	}
}

// holdsAll says whether all of q's area lies in p.
func (p Polygon) holdsAll(q Polygon) bool {
	return overlapM2(p, q) >= q.Area()*(1-1e-9)-nearM
}

// touches says whether a corner of either outline lies on an edge of the other.
func touches(a, b Polygon) bool {
	for _, q := range a {
		if b.distanceM(q) <= nearM {
			return true
		}
	}
	for _, q := range b {
		if a.distanceM(q) <= nearM {
			return true
		}
	}
	return false
}

func (c *checker) bays() {
	used := map[string]bool{}
	for i, b := range c.z.Bays {
		of := named("bay", b.Name, i)
		c.repeated("bay", "bay", i, b.Name, used)
		c.depth("bay", i, of, b.DepthM)
		if !c.shape("bay", i, of, b.Outline) {
			continue
		}
		c.placed("bay", i, of, b.Outline, "sticks out over the outline", "check its corners")
		for k := range i {
			if g := c.z.Bays[k]; g.Outline.allKnown() && overlapM2(g.Outline, b.Outline) > nearM {
				c.add("bay", i, fmt.Sprintf("%s overlaps %s, so the depth there is in doubt", of, named("bay", g.Name, k)), "draw each place in one bay only")
			}
		}
	}
}

func (c *checker) panels() {
	used := map[string]bool{}
	for i, b := range c.z.Panels {
		of := named("panel", b.Name, i)
		c.repeated("panel", "panel", i, b.Name, used)
		if !c.shape("panel", i, of, b.Outline) {
			continue
		}
		c.placed("panel", i, of, b.Outline, "sticks out over the outline", "check its corners")
		for k := range i {
			if g := c.z.Panels[k]; g.Outline.allKnown() && overlapM2(g.Outline, b.Outline) > nearM {
				c.add("panel", i, fmt.Sprintf("%s overlaps %s, so the lot there is in doubt", of, named("panel", g.Name, k)), "draw each place in one panel only")
			}
		}
	}
}

func (c *checker) lines() {
	used := map[string]bool{}
	for i, l := range c.z.StopLines {
		c.repeated("stop line", "stop line", i, l.Name, used)
		of := named("stop line", l.Name, i)
		switch {
		case !l.A.Known() || !l.B.Known():
			c.add("stop line", i, of+" has an end that is not a pair of numbers", "give both ends")
		case l.A.DistanceM(l.B) <= nearM:
			c.add("stop line", i, of+" has no length", "give two different ends")
		case !c.sound:
		case !c.z.lineOnFloor(l):
			c.add("stop line", i, of+" does not cross the floor", "draw it from wall to wall")
		case !c.z.endsAtWall(l.A) || !c.z.endsAtWall(l.B):
			c.add("stop line", i, of+" ends in the middle of the floor", "draw it from wall to wall, column or another stop line")
		}
	}
}

// lineOnFloor says whether any part of l lies on floor to be poured: a strip
// one millimetre wide along it shares area with the floor.
func (z Zone) lineOnFloor(l Line) bool {
	n := l.A.DistanceM(l.B)
	ox, oy := -(l.B.Y-l.A.Y)/n*0.0005, (l.B.X-l.A.X)/n*0.0005
	strip := Polygon{{l.A.X - ox, l.A.Y - oy}, {l.B.X - ox, l.B.Y - oy}, {l.B.X + ox, l.B.Y + oy}, {l.A.X + ox, l.A.Y + oy}}
	on := Zone{Outline: z.Outline, Holes: z.Holes, Bays: []Bay{{Outline: strip}}}
	// A line laid along a wall has half its strip on the floor and is no crossing.
	return on.BayAreas()[0] > 0.001*math.Min(n, wallGapM) && z.inside(l)
}

// inside says whether l runs farther from the walls than a wall's gap somewhere.
func (z Zone) inside(l Line) bool {
	const steps = 64 // fine enough: a line is refused only when every step hugs a wall
	for k := 0; k <= steps; k++ {
		u := float64(k) / steps
		q := Point{l.A.X + u*(l.B.X-l.A.X), l.A.Y + u*(l.B.Y-l.A.Y)}
		if z.Holds(q) && z.Outline.distanceM(q) > nearM {
			return true
		}
	}
	return false
}

// endsAtWall says whether q is off the floor or within a wall's gap of a wall,
// a hole or a stop line that does not end there too.
func (z Zone) endsAtWall(q Point) bool {
	if !z.Holds(q) || z.Outline.distanceM(q) <= wallGapM {
		return true
	}
	for _, h := range z.Holes {
		if h.Outline.distanceM(q) <= wallGapM {
			return true
		}
	}
	for _, l := range z.StopLines {
		if l.A != q && l.B != q && segmentDistance(q, l.A, l.B) <= wallGapM {
			return true
		}
	}
	return false
}

func (c *checker) doors() {
	for i, d := range c.z.Doors {
		of := named("door", d.Name, i)
		switch {
		case !d.At.Known():
			c.add("door", i, of+" has no place", "give x and y")
		case !c.drawn:
		case c.z.Outline.distanceM(d.At) > farM:
			c.add("door", i, fmt.Sprintf("%s stands %s from the outline", of, c.far(c.z.Outline.distanceM(d.At))), "a door belongs in the wall: check its place")
		case c.z.Outline.distanceM(d.At) > doorGapM:
			c.note("door", i, fmt.Sprintf("%s stands %s from the outline", of, c.far(c.z.Outline.distanceM(d.At))), "a door belongs in the wall: check its place")
		}
	}
}

func (c *checker) spots() {
	for i, s := range c.z.Spots {
		of := named("spot", s.Name, i)
		switch {
		case !s.At.Known():
			c.add("spot", i, of+" has no place", "give x and y")
		case !finite(s.RadiusM) || s.RadiusM < 0:
			c.add("spot", i, fmt.Sprintf("%s reaches %s", of, units.Format(units.Length, s.RadiusM, c.sys)), "give zero or the distance its readings hold for")
		case !c.sound || c.z.Outline.Contains(s.At):
		case c.z.Outline.distanceM(s.At) > math.Max(s.RadiusM, nearM):
			c.add("spot", i, fmt.Sprintf("%s lies %s outside the outline and reaches none of the floor", of, c.far(c.z.Outline.distanceM(s.At))), "check its place and its radius")
		default:
			c.note("spot", i, of+" lies outside the outline", "check its place")
		}
	}
}

func (c *checker) station() {
	switch {
	case !c.z.Station.Known():
		c.add("station", -1, "the mix station has no place", "give x and y of where the mixers stand; outside the outline is fine")
	case c.drawn && !c.z.Outline.Contains(c.z.Station) && c.z.Outline.distanceM(c.z.Station) > carryM:
		c.add("station", -1, fmt.Sprintf("the mix station stands %s from the outline, too far to carry a bucket", c.far(c.z.Outline.distanceM(c.z.Station))), "check its place: x and y count from the same corner as the outline")
	case len(c.z.Outline) > 2 && c.z.Outline.allKnown() && c.z.Holds(c.z.Station) && c.z.Outline.distanceM(c.z.Station) > nearM:
		c.note("station", -1, "the mix station stands on the floor to be poured", "it must move before the front comes to it")
	}
}
