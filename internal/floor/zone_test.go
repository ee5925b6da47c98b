package floor

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"floorpace/internal/units"
)

// good is a zone without problems.
func good() Zone {
	return Zone{
		Name: "cellar", Outline: ell, DepthM: 0.006, AllowanceM: 0.0005, Station: Point{-2, -2},
		Holes:     []Hole{{Name: "column", Outline: box(4, 4, 0.5, 0.5)}, {Name: "gully", Outline: box(2, 18, 0.3, 0.3), Drain: true}},
		Bays:      []Bay{{Name: "dip", Outline: box(0, 0, 3, 3), DepthM: 0.010}},
		StopLines: []Line{{Name: "neck", A: Point{0, 14}, B: Point{6, 14}}},
		Doors:     []Door{{Name: "gate", At: Point{4.5, 0}, To: "outside"}},
		Spots:     []Spot{{Name: "gate", At: Point{4.5, 1}, RadiusM: 2}},
	}
}

func TestGoodZoneHasNoProblem(t *testing.T) {
	if got := good().Problems(); len(got) > 0 {
		t.Errorf("problems of a good zone: %v", got)
	}
}

// Source: by hand. 174 m² (test day 1) less 0.25 and 0.09; 9 m² of dip.
func TestZoneAreas(t *testing.T) {
	z := good()
	near(t, "net", z.NetAreaM2(), 174-0.25-0.09, 1e-9)
	near(t, "dip", z.BayAreas()[0], 9, 1e-9)
	near(t, "rest", z.RestAreaM2(), 164.66, 1e-9)
	near(t, "volume", z.VolumeL(), 164.66*6.5+9*10.5, 1e-9)
}

// Source: test day 3, twelve bays of equal area, mean 7.167 mm, 620 m².
func TestVolumeOfDay3(t *testing.T) {
	z := Zone{Outline: box(0, 0, 62, 10), DepthM: 0.001}
	for i, mm := range []float64{4, 6, 9, 12, 7, 5, 8, 11, 10, 6, 3, 5} {
		z.Bays = append(z.Bays, Bay{Outline: box(62./12*float64(i), 0, 62./12, 10), DepthM: mm / 1000})
	}
	near(t, "rest", z.RestAreaM2(), 0, 1e-9)
	near(t, "mean depth", z.VolumeL()/z.NetAreaM2(), 7.167, 0.0005)
}

// Source: by hand. What is doubly drawn counts once, what sticks out not at all.
func TestAreasOfOverlaps(t *testing.T) {
	z := Zone{Outline: box(0, 0, 10, 10), DepthM: 0.005}
	z.Holes = []Hole{{Outline: box(-1, 4, 2, 2)}, {Outline: box(0, 5, 2, 2)}, {Outline: box(20, 20, 1, 1)}}
	near(t, "net", z.NetAreaM2(), 100-2-4+1, 1e-9)
	z.Bays = []Bay{{Outline: box(0, 0, 4, 5), DepthM: 0.01}, {Outline: box(3, 0, 4, 5), DepthM: 0.02}, {Outline: box(9, 9, 5, 5), DepthM: 0.01}}
	want := []float64{20 - 1, 15, 1}
	for i, a := range z.BayAreas() {
		near(t, z.Bays[i].Name, a, want[i], 1e-9)
	}
}

func TestZonePlaces(t *testing.T) {
	z := good()
	if !z.Holds(Point{1, 1}) || z.Holds(Point{4.2, 4.2}) || z.Holds(Point{8, 20}) {
		t.Error("floor is not where the outline less the holes is")
	}
	if z.BayAt(Point{1, 1}) != 0 || z.BayAt(Point{5, 1}) != -1 {
		t.Error("the dip is not where it is drawn")
	}
	if z.SpotAt(Point{4.5, 2.9}) != 0 || z.SpotAt(Point{4.5, 3.1}) != -1 {
		t.Error("the spot does not reach 2 m")
	}
	z.Spots = append(z.Spots, Spot{At: Point{4.5, 3}, RadiusM: 2})
	if z.SpotAt(Point{4.5, 2.5}) != 1 {
		t.Error("the nearer spot does not win")
	}
	near(t, "layer", z.LayerM(-1), 0.0065, 1e-15)
	near(t, "layer of the dip", z.LayerM(0), 0.0105, 1e-15)
}

func TestFrame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		deg := rapid.Float64Range(-720, 720).Draw(t, "deg")
		p := Point{rapid.Float64Range(-100, 100).Draw(t, "x"), rapid.Float64Range(-100, 100).Draw(t, "y")}
		f := NewFrame(deg)
		s, along := f.To(p)
		q := f.From(s, along)
		near(t, "x there and back", q.X, p.X, 1e-9)
		near(t, "y there and back", q.Y, p.Y, 1e-9)
		near(t, "along the pull", along, p.X*math.Cos(deg*math.Pi/180)+p.Y*math.Sin(deg*math.Pi/180), 1e-9)
	})
	if s, along := NewFrame(90).To(Point{3, 5}); s != 3 || along != 5 {
		t.Errorf("pulling up the drawing, right is %v and along is %v; want 3 and 5", s, along)
	}
	if s, along := NewFrame(-90).To(Point{3, 5}); s != -3 || along != -5 {
		t.Errorf("pulling down the drawing, right is %v and along is %v; want -3 and -5", s, along)
	}
}

func TestProblems(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(*Zone)
		where string
		index int
		what  string // part of it
		minor bool
	}{
		{"crossing", func(z *Zone) { z.Outline = Polygon{{0, 0}, {9, 14}, {9, 0}, {0, 14}} }, "outline", -1, "edge 1 (0, 0 to 9, 14) meets edge 3 (9, 0 to 0, 14)", false},
		{"two corners", func(z *Zone) { z.Outline = ell[:2] }, "outline", -1, "has 2 corners", false},
		{"no corners", func(z *Zone) { z.Outline = nil }, "outline", -1, "has 0 corners", false},
		{"closed by hand", func(z *Zone) { z.Outline = append(append(Polygon{}, ell...), ell[0]) }, "outline", -1, "twice running (edge 7 has no length)", false},
		{"flat", func(z *Zone) { z.Outline = Polygon{{0, 0}, {1, 0}, {2, 0}} }, "outline", -1, "touches itself", false},
		{"not a number", func(z *Zone) { z.Outline = Polygon{{0, 0}, {1, math.NaN()}, {2, 0}} }, "outline", -1, "not a pair of numbers", false},
		{"no depth", func(z *Zone) { z.DepthM = 0 }, "depth", -1, "depth of 0 mm", false},
		{"negative depth", func(z *Zone) { z.DepthM = -0.006 }, "depth", -1, "depth of -6 mm", false},
		{"depth in mm", func(z *Zone) { z.DepthM = 6 }, "depth", -1, "depth of 6000 mm: above 200 mm it is a fill", false},
		{"allowance", func(z *Zone) { z.AllowanceM = -1 }, "depth", -1, "allowance is -1000 mm", false},
		{"hole outside", func(z *Zone) { z.Holes[0].Outline = box(20, 20, 1, 1) }, "hole", 0, `hole "column" lies outside`, false},
		{"hole in the recess", func(z *Zone) { z.Holes[0].Outline = box(7, 16, 1, 1) }, "hole", 0, "lies outside", false},
		{"hole across the wall", func(z *Zone) { z.Holes[1].Outline = box(-0.5, 18, 1, 1) }, "hole", 1, "crosses the outline: 0.50 m² of its 1.00 m²", true},
		{"hole at the wall", func(z *Zone) { z.Holes[0].Outline = box(0, 5, 1, 1) }, "hole", 0, "touches the outline", true},
		{"hole over hole", func(z *Zone) { z.Holes[1].Outline = box(4.2, 4.2, 1, 1) }, "hole", 1, `overlaps hole "column"`, true},
		{"hole crosses itself", func(z *Zone) { z.Holes[0].Outline = Polygon{{1, 1}, {2, 2}, {2, 1}, {1, 2}} }, "hole", 0, "crosses or touches itself", false},
		{"hole twice", func(z *Zone) { z.Holes[1].Name = "column" }, "hole", 1, `two holes called "column"`, false},
		{"nothing left", func(z *Zone) { z.Holes[0].Outline = box(-1, -1, 30, 30) }, "hole", -1, "leave nothing", false},
		{"bay outside", func(z *Zone) { z.Bays[0].Outline = box(7, 15, 1, 1) }, "bay", 0, "lies outside", false},
		{"bay sticks out", func(z *Zone) { z.Bays[0].Outline = box(-1, 0, 2, 2) }, "bay", 0, "2.00 m² of its 4.00 m²", true},
		{"bay without depth", func(z *Zone) { z.Bays[0].DepthM = math.NaN() }, "bay", 0, "depth of no figure", false},
		{"bays overlap", func(z *Zone) { z.Bays = append(z.Bays, Bay{Name: "sump", Outline: box(2, 2, 2, 2), DepthM: 0.02}) }, "bay", 1, `bay "sump" overlaps bay "dip"`, false},
		{"bay twice", func(z *Zone) { z.Bays = append(z.Bays, Bay{Name: "dip", Outline: box(5, 8, 1, 1), DepthM: 0.02}) }, "bay", 1, `two bays called "dip"`, false},
		{"line off the floor", func(z *Zone) { z.StopLines[0] = Line{A: Point{0, 30}, B: Point{6, 30}} }, "stop line", 0, "stop line 1 does not cross", false},
		{"line along the wall", func(z *Zone) { z.StopLines[0] = Line{A: Point{0, 0}, B: Point{9, 0}} }, "stop line", 0, "does not cross", false},
		{"line too short", func(z *Zone) { z.StopLines[0].B.X = 3 }, "stop line", 0, "ends in the middle", false},
		{"line without length", func(z *Zone) { z.StopLines[0].B = z.StopLines[0].A }, "stop line", 0, "no length", false},
		{"line without end", func(z *Zone) { z.StopLines[0].B = NoPoint }, "stop line", 0, "not a pair", false},
		{"line twice", func(z *Zone) { z.StopLines = append(z.StopLines, z.StopLines[0]) }, "stop line", 1, "two stop lines", false},
		{"door nowhere", func(z *Zone) { z.Doors[0].At = NoPoint }, "door", 0, "no place", false},
		{"door in the room", func(z *Zone) { z.Doors[0].At = Point{4.5, 3} }, "door", 0, "3.0 m from the outline", true},
		{"spot nowhere", func(z *Zone) { z.Spots[0].At = NoPoint }, "spot", 0, "no place", false},
		{"spot reach", func(z *Zone) { z.Spots[0].RadiusM = -1 }, "spot", 0, "reaches -1 m", false},
		{"spot outside", func(z *Zone) { z.Spots[0].At = Point{50, 1} }, "spot", 0, "lies 41.0 m outside the outline and reaches none", false},
		{"spot just outside", func(z *Zone) { z.Spots[0].At = Point{10, 1} }, "spot", 0, "outside", true},
		{"door far off", func(z *Zone) { z.Doors[0].At = Point{59, 3} }, "door", 0, "stands 50.0 m from the outline", false},
		{"bay corner far out", func(z *Zone) { z.Bays[0].Outline = Polygon{{0, 0}, {2, 0}, {-99, 2}} }, "bay", 0, "corner 99.0 m outside", false},
		{"station far off", func(z *Zone) { z.Station = Point{4, -301} }, "station", -1, "stands 301.0 m from the outline", false},
		{"no station", func(z *Zone) { z.Station = NoPoint }, "station", -1, "no place", false},
		{"station on the floor", func(z *Zone) { z.Station = Point{5, 5} }, "station", -1, "stands on the floor", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			z := good()
			c.spoil(&z)
			got := z.Problems()
			for _, g := range got {
				if g.Where == c.where && g.Index == c.index && g.Minor == c.minor && strings.Contains(g.What, c.what) && g.Hint != "" {
					return
				}
			}
			t.Errorf("got %+v", got)
		})
	}
}

// A plan in feet is told off in feet and inches.
func TestProblemsInThePlansUnits(t *testing.T) {
	const ft = 0.3048
	for _, c := range []struct {
		spoil func(*Zone)
		want  string
	}{
		{func(z *Zone) { z.Outline = Polygon{{0, 0}, {30 * ft, 40 * ft}, {30 * ft, 0}, {0, 40 * ft}} }, "edge 1 (0, 0 to 30, 40) meets edge 3 (30, 0 to 0, 40)"},
		{func(z *Zone) { z.Outline = append(append(Polygon{}, ell...), ell[5], ell[5]) }, "gives the corner 0, 72.1785 twice running"},
		{func(z *Zone) { z.DepthM = 10 * ft }, "depth of 120 in"},
		{func(z *Zone) { z.Holes[1].Outline = box(-0.5, 18, 1, 1) }, "crosses the outline: 5.38 ft² of its 10.76 ft² count"},
		{func(z *Zone) { z.Doors[0].At = Point{4.5, 3} }, "stands 9.8 ft from the outline"},
		{func(z *Zone) { z.Spots[0].RadiusM = -ft }, "reaches -1 ft"},
	} {
		z, found := good(), false
		c.spoil(&z)
		got := z.ProblemsIn(units.US)
		for _, g := range got {
			found = found || strings.Contains(g.What, c.want)
		}
		if !found {
			t.Errorf("want %q in %+v", c.want, got)
		}
	}
}

// A crossing outline hides nothing that can be judged without it.
func TestProblemsBesideACrossingOutline(t *testing.T) {
	z := good()
	z.Outline = Polygon{{0, 0}, {9, 14}, {9, 0}, {0, 14}}
	z.Holes[0].Outline, z.Holes[1].Outline = box(20, 20, 1, 1), box(4.2, 1, 1, 1) // outside any order of the corners; not to be judged
	z.Bays = []Bay{{Name: "dip", Outline: box(1, 1, 2, 2), DepthM: 0.01}, {Name: "dip", Outline: box(2, 2, 2, 2), DepthM: 0.02}}
	z.StopLines[0].B = z.StopLines[0].A
	z.Doors[0].At, z.Spots[0].At = Point{59, 3}, NoPoint
	var got []string
	for _, p := range z.Problems() {
		if !p.Minor {
			got = append(got, p.Where)
		}
	}
	if d := cmp.Diff([]string{"outline", "hole", "bay", "bay", "stop line", "door", "spot"}, got); d != "" {
		t.Error(d, z.Problems())
	}
}

// All problems are listed at once, in the order of the parts.
func TestProblemsListsAll(t *testing.T) {
	z := good()
	z.DepthM, z.AllowanceM, z.Station = 0, -1, NoPoint
	z.Holes[0].Outline = box(20, 20, 1, 1)
	z.Bays[0].DepthM = -1
	z.StopLines[0].B.X = 3
	var got []string
	for _, p := range z.Problems() {
		got = append(got, p.Where)
	}
	if d := cmp.Diff([]string{"depth", "depth", "hole", "bay", "stop line", "station"}, got); d != "" {
		t.Error(d)
	}
}
