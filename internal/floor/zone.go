package floor

// Hole is a part of the outline that is not poured: a column, a pit, a machine
// base, or a drain when Drain is set.
type Hole struct {
	Name    string
	Outline Polygon
	Drain   bool
}

// Panel is a part of the zone with a name of its own, between joints or strips:
// what is laid in it is to look alike.
type Panel struct {
	Name    string
	Outline Polygon
}

// Bay is a part of the zone with a depth of its own, metres.
type Bay struct {
	Name    string
	Outline Polygon
	DepthM  float64
}

// Line is a stop line: a joint, door, strip or taped key from A to B where a
// straight stop is allowed and no wet edge is needed.
type Line struct {
	Name string
	A, B Point
}

// Door is an opening in the outline; To names what it leads to ("outside" or
// another zone). When it may be used is the plan's affair.
type Door struct {
	Name string
	At   Point
	To   string
}

// Spot is a place with readings of its own, which hold for RadiusM metres
// around it.
type Spot struct {
	Name    string
	At      Point
	RadiusM float64
}

// Zone is one floor poured in one go. Depths in metres: DepthM everywhere
// outside the bays, AllowanceM on top of every depth for the profile of the
// slab. Station is where the mixers stand (NoPoint when not given).
type Zone struct {
	Name       string
	Outline    Polygon
	Holes      []Hole
	Bays       []Bay
	Panels     []Panel
	StopLines  []Line
	Doors      []Door
	Spots      []Spot
	Station    Point
	DepthM     float64
	AllowanceM float64
}

// NetAreaM2 is the exact area to pour: outline less holes, m².
func (z Zone) NetAreaM2() float64 {
	sum := 0.0
	for _, a := range z.areas() {
		sum += a
	}
	return sum
}

// BayAreas gives the exact area to pour in each bay, m², in the order of
// z.Bays: the part inside the outline less the holes.
func (z Zone) BayAreas() []float64 { return z.areas()[1:] }

// RestAreaM2 is the exact area to pour outside every bay, m².
func (z Zone) RestAreaM2() float64 { return z.areas()[0] }

// VolumeL is the volume to place without losses, litres.
func (z Zone) VolumeL() float64 {
	sum := 0.0
	for i, a := range z.areas() {
		sum += a * z.LayerM(i-1) * 1000
	}
	return sum
}

// LayerM is the depth laid in bay number bay, allowance included, metres; −1
// asks for the floor outside every bay.
func (z Zone) LayerM(bay int) float64 {
	if bay >= 0 && bay < len(z.Bays) {
		return z.Bays[bay].DepthM + z.AllowanceM
	}
	return z.DepthM + z.AllowanceM
}

// PanelAt is the index of the first listed panel that holds p, −1 for none.
func (z Zone) PanelAt(p Point) int {
	for i, b := range z.Panels {
		if b.Outline.Contains(p) {
			return i
		}
	}
	return -1
}

// BayAt is the index of the first listed bay that holds p, −1 for none.
func (z Zone) BayAt(p Point) int {
	for i, b := range z.Bays {
		if b.Outline.Contains(p) {
			return i
		}
	}
	return -1
}

// Holds says whether p is a place to be poured: in the outline and in no hole.
func (z Zone) Holds(p Point) bool {
	if !z.Outline.Contains(p) {
		return false
	}
	for _, h := range z.Holes {
		if h.Outline.Contains(p) {
			return false
		}
	}
	return true
}

// SpotAt is the index of the nearest spot whose radius reaches p, −1 for none.
func (z Zone) SpotAt(p Point) int {
	best, bestM := -1, 0.0
	for i, s := range z.Spots {
		if d := s.At.DistanceM(p); d <= s.RadiusM && (best < 0 || d < bestM) {
			best, bestM = i, d
		}
	}
	return best
}

// areas gives the area outside every bay and then that of each bay, m².
func (z Zone) areas() []float64 {
	out := make([]float64, 1+len(z.Bays))
	z.EachStrip(NewFrame(90), nil, func(s Strip) { out[1+s.Bay] += s.AreaM2() })
	return out
}

// overlapM2 is the area that two polygons share, m².
func overlapM2(a, b Polygon) float64 {
	return Zone{Outline: a, Bays: []Bay{{Outline: b}}}.BayAreas()[0]
}
