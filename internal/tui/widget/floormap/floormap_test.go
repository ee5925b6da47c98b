package floormap

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/picture"
)

// lShape gives an invented L-shaped zone, 24 m by 15 m, poured in rows of
// 1.2 m from the left, laid up to a front, with two columns and a bay.
func lShape(step, front float64) *Map {
	m := &Map{
		Version: 1, Step: step, UnitMetres: 0.3048, Unit: "ft", Pull: Point{1, 0}, North: Point{0, 1},
		Stops: []Line{{Point{16, 0}, Point{16, 9}}},
		Marks: []Mark{
			{Point{-2, 13}, Station, ""},
			{Point{front + 0.6, 2}, Next, ""},
			{Point{front - 0.2, 7.4}, Slack, "6 min"},
			{Point{20, 2}, Drain, ""},
			{Point{24, 4}, Door, ""},
		},
	}
	for y := step / 2; y < 15; y += step {
		for x := step / 2; x < 24; x += step {
			if x > 12 && y > 9 {
				continue
			}
			c := Cell{X: x, Y: y, Bay: x > 19 && y < 5, Odd: int(x/1.2)%2 == 1}
			switch {
			case math.Hypot(x-6, y-4) < 0.45 || math.Hypot(x-13, y-4) < 0.45:
				c.State = Column
			case x > front:
			case x > front-step*1.01:
				c.State = Joinable
				if y > 5 {
					c.State = AtRisk
				}
				if y > 8 {
					c.State = Gone
				}
			default:
				c.State = Laid
			}
			m.Cells = append(m.Cells, c)
		}
	}
	return m
}

// turned gives the same zone with x and y changed over: higher than wide.
func turned(m *Map) *Map {
	t := *m
	t.Cells = nil
	for _, c := range m.Cells {
		c.X, c.Y = -c.Y, c.X // a quarter turn anticlockwise
		t.Cells = append(t.Cells, c)
	}
	t.Marks, t.Stops = nil, nil
	q := func(p Point) Point { return Point{-p.Y, p.X} }
	for _, k := range m.Marks {
		k.At = q(k.At)
		t.Marks = append(t.Marks, k)
	}
	for _, s := range m.Stops {
		t.Stops = append(t.Stops, Line{q(s.A), q(s.B)})
	}
	t.Pull, t.North = q(m.Pull), q(m.North)
	return &t
}

func draw(l *look.Look, pen Pen, w, h int, m *Map) *frame.Canvas {
	c := frame.New(l, w, h)
	v := View{Pen: pen}
	v.Draw(c.Pane(), m)
	return c
}

func TestGolden(t *testing.T) {
	m := lShape(0.25, 10)
	for _, k := range []struct {
		name string
		l    *look.Look
		pen  Pen
	}{
		{"half", look.New(look.Dark(), look.TrueColor, look.Unicode), Auto},
		{"braille", look.New(look.Dark(), look.TrueColor, look.Unicode), Braille},
		{"nocolour", look.New(look.Dark(), look.NoColor, look.Unicode), Auto},
		{"ascii", look.New(look.Dark(), look.NoColor, look.ASCII), Auto},
	} {
		var b strings.Builder
		for _, s := range [][2]int{{54, 14}, {30, 12}, {80, 24}, {20, 5}, {7, 3}} {
			fmt.Fprintf(&b, "%d×%d\n%s\n", s[0], s[1], draw(k.l, k.pen, s[0], s[1], m).Plain())
		}
		picture.Golden(t, "testdata/"+k.name+".txt", b.String())
	}
}

func TestPicture(t *testing.T) {
	for _, k := range []struct {
		name string
		l    *look.Look
		pen  Pen
	}{
		{"dark", look.New(look.Dark(), look.TrueColor, look.Unicode), Auto},
		{"sun", look.New(look.Sun(), look.TrueColor, look.Unicode), Auto},
		{"dark-16", look.New(look.Dark(), look.Colors16, look.Unicode), Auto},
		{"sun-16", look.New(look.Sun(), look.Colors16, look.Unicode), Auto},
		{"dark-braille", look.New(look.Dark(), look.TrueColor, look.Unicode), Braille},
		{"sun-ascii", look.New(look.Sun(), look.Colors256, look.ASCII), Auto},
	} {
		c := draw(k.l, k.pen, 70, 24, lShape(0.25, 10))
		picture.Golden(t, "testdata/"+k.name+".svg", picture.FromString(c.String(), 70, 24).SVG())
	}
}

// Turning the zone by a quarter turns the map back: the longer side lies along
// the screen and nothing is mirrored, so the picture is the same.
func TestTurnedIsTheSame(t *testing.T) {
	l := look.New(look.Dark(), look.TrueColor, look.Unicode)
	m := lShape(0.25, 10)
	// North stays as it was on the floor, so leave it out of the comparison.
	m.North = Point{}
	// 71 cells: no pixel lies with its middle on a border, where rounding decides.
	a, b := draw(l, Auto, 71, 25, m), draw(l, Auto, 71, 25, turned(m))
	if a.String() != b.String() {
		t.Errorf("not turned:\n%s\nturned:\n%s", a.Plain(), b.Plain())
	}
}

// The map is to scale: its area in pixels is the area of the floor.
func TestToScale(t *testing.T) {
	l := look.New(look.Dark(), look.TrueColor, look.Unicode)
	const area = 24*15 - 12*6 // of the L
	for _, w := range []int{40, 70, 120, 200} {
		for _, pen := range []Pen{Half, Signs} {
			v := View{Pen: pen}
			m := lShape(0.25, 10)
			v.grid.build(m)
			pl := place(&v.grid, m.Marks, w, w/3, pen)
			v.sample(m, pl)
			n := 0
			for _, r := range v.pix {
				if r != outside {
					n++
				}
			}
			got := float64(n) * pl.dx * pl.dy
			if math.Abs(got-area) > 0.06*area {
				t.Errorf("pen %d at width %d: %.1f m², want %d within 6%%", pen, w, got, area)
			}
			if pl.dx*float64(pl.nx)*2 != pl.dy*float64(pl.ny) {
				t.Errorf("pen %d: pixels are not square on the floor", pen)
			}
		}
	}
	c := draw(l, Auto, 54, 14, lShape(0.25, 10))
	if !strings.Contains(c.Plain(), "20 ft   pull →   north ↑") {
		t.Errorf("no scale bar of 20 ft with directions:\n%s", c.Plain())
	}
}

// No edge state is ever lost, however small the map.
func TestEdgeIsNeverLost(t *testing.T) {
	l := look.New(look.Dark(), look.NoColor, look.ASCII)
	m := lShape(0.15, 10)
	m.Marks = nil
	for h := 4; h <= 40; h += 3 {
		got := draw(l, Auto, 3*h, h, m).Plain()
		for _, sign := range []string{"o", "!", "x"} {
			if !strings.Contains(got, sign) {
				t.Fatalf("height %d: sign %q is missing:\n%s", h, sign, got)
			}
		}
	}
}

func TestEverySize(t *testing.T) {
	maps := []*Map{
		lShape(0.5, 10), turned(lShape(0.5, 10)),
		{Version: 3},
		{Version: 4, Step: 1, Cells: []Cell{{X: 3, Y: 3, State: Gone}}},
		{Version: 5, Step: 0.1, UnitMetres: 1, Cells: []Cell{{}, {X: 1e7, Y: 1e7}}, Marks: []Mark{{Point{math.NaN(), math.Inf(1)}, Next, "far"}}, Stops: []Line{{Point{-1e9, 0}, Point{1e9, 3}}}},
	}
	for _, l := range []*look.Look{look.New(look.Dark(), look.TrueColor, look.Unicode), look.New(look.Sun(), look.NoColor, look.ASCII)} {
		for _, pen := range []Pen{Auto, Braille} {
			for w := 0; w < 90; w += 5 {
				for h := range 30 {
					for _, m := range maps[:4+bool1(w%30 == 0 && h%10 == 9)] {
						draw(l, pen, w, h, m)
					}
				}
			}
		}
	}
}

func bool1(b bool) int {
	if b {
		return 1
	}
	return 0
}

func BenchmarkDraw54x14(b *testing.B) {
	m := lShape(0.2, 10)
	c := frame.New(look.New(look.Dark(), look.TrueColor, look.Unicode), 54, 14)
	var v View
	b.ReportAllocs()
	for b.Loop() {
		m.Version++
		v.Draw(c.Pane(), m)
	}
	b.ReportMetric(float64(len(m.Cells)), "cells")
}

// The key shows a stop line by the piece it is drawn with, however the floor is
// turned.
func TestKeyShowsTheStopLineAsDrawn(t *testing.T) {
	l := look.New(look.Dark(), look.NoColor, look.Unicode)
	seen := map[string]bool{}
	for _, m := range []*Map{lShape(0.2, 9), turned(lShape(0.2, 9))} {
		got := draw(l, Half, 120, 40, m).Plain()
		for _, sign := range []string{"═", "║"} {
			if !strings.Contains(got, sign+" stop line") {
				continue
			}
			seen[sign] = true
			if strings.Count(got, sign) < 3 || strings.ContainsAny(strings.ReplaceAll(got, sign, ""), "═║") {
				t.Errorf("the key says %s:\n%s", sign, got)
			}
		}
	}
	if len(seen) == 0 {
		t.Error("no stop line in any key")
	}
}

// The line of detail work is dashed, leaves the wet edge alone and has its words
// in the key, with and without colour.
func TestAheadIsDashed(t *testing.T) {
	for _, g := range []look.GlyphSet{look.Unicode, look.ASCII} {
		l := look.New(look.Dark(), look.NoColor, g)
		m := lShape(0.25, 10)
		m.Marks, m.Stops = nil, nil
		m.Ahead = []Line{{Point{12, 0}, Point{12, 15}}}
		got := draw(l, Signs, 100, 30, m).Plain()
		sign := l.Glyph(look.GlyphRuleDown)
		if !strings.Contains(got, sign+" detail work to here") {
			t.Fatalf("no words for the line:\n%s", got)
		}
		rows := strings.Split(got, "\n")
		n := 0
		for y, row := range rows[:26] {
			if strings.Contains(row, sign) {
				n++
				if y > 0 && strings.Contains(rows[y-1], sign) {
					t.Errorf("row %d: the line is not dashed", y)
				}
			}
		}
		if n < 5 {
			t.Errorf("%d dashes:\n%s", n, got)
		}
		m.Ahead = []Line{{Point{9.9, 0}, Point{9.9, 15}}} // along the wet edge itself
		if got := draw(l, Signs, 100, 30, m).Plain(); strings.Contains(strings.Join(strings.Split(got, "\n")[:26], "\n"), sign) {
			t.Errorf("the line hides the wet edge:\n%s", got)
		}
	}
}

// The place where a zone begins lies on its border, in a corner of an L too; its
// sign stands on the floor all the same, in every size.
func TestNextStandsOnTheFloor(t *testing.T) {
	l := look.New(look.Dark(), look.TrueColor, look.Unicode)
	for _, corner := range []Point{{0, 0}, {24, 0}, {24, 9}, {12, 15}, {0, 15}} {
		for _, pen := range []Pen{Half, Signs} {
			for w := 30; w <= 120; w += 7 {
				m := lShape(0.3, 0)
				m.Stops, m.Marks = nil, []Mark{{Point{-2, 13}, Station, ""}, {corner, Next, ""}}
				c := draw(l, pen, w, w/4+5, m)
				m.Marks = m.Marks[:1]
				bare := draw(l, pen, w, w/4+5, m)
				sign := l.Glyph(look.GlyphNext)
				for y, line := range strings.Split(c.Plain(), "\n")[:w/4+5-2] {
					before, _, ok := strings.Cut(line, sign)
					if !ok {
						continue
					}
					if x := frame.Width(before); bare.Pane().StyleAt(x, y) == look.Plain(look.Text) {
						t.Errorf("%v, pen %d, %d wide: the sign stands at %d, %d, beside the floor\n%s", corner, pen, w, x, y, c.Plain())
					}
				}
			}
		}
	}
}
