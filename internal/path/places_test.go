package path

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"floorpace/internal/floor"
	"floorpace/internal/worked"
	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
	"pgregory.net/rapid"
)

// Source: testdata/wet_edge.csv, each row with its own.
func TestWetEdgeRows(t *testing.T) {
	for i, row := range worked.Rows(t, "testdata/wet_edge.csv") {
		name, in, output, want := row["case"], row["inputs"], row["output"], row.Num(t, "value")
		var w, strip, h, open, age float64
		if _, err := fmt.Sscanf(strings.NewReplacer(";", " ", "=", " ").Replace(in),
			"W %fm strip %fm h %fmm t_open %fmin t_age_at_pour %fmin", &w, &strip, &h, &open, &age); err != nil {
			t.Fatalf("row %d: %v", i+1, err)
		}
		l := Lay{PullDeg: 90, RowDepthM: strip}
		if name == "wet_edge_serpentine" {
			l.Pattern = ToAndFro
		}
		z := zone(box(0, 0, w, 8*strip))
		z.DepthM = h / 1000
		p := build(t, z, l)
		need, _ := p.QMin(0, math.Inf(1), minutes(open), minutes(age), 0)
		switch output {
		case "Q_req":
			near(t, in, need.RateLps*3600, want, 0.005)
		case "18 L batch interval":
			near(t, in, 18/(need.RateLps*60), want, 0.00005)
		default:
			t.Errorf("row %d asks for %q", i+1, output)
		}
	}
}

func minutes(m float64) time.Duration { return time.Duration(m * float64(time.Minute)) }

// Source: test day 1: 9 m pull, 0.75 m rows, 1.468 m²/min, turn 0:30: 5:06
// between touches from the same side, 9:42 to and fro; at 1.468/1.5 m²/min
// (two mixers, interval 2:15) 7:24. Turned round: the rate at which life less
// margin is 5:06 is that of three mixers.
func TestTouchesOfDay1(t *testing.T) {
	z := zone(box(0, 0, 9, 14))
	z.DepthM = 0.006
	kit := 14 / 1.06 // L a kit on the floor; 2.201 m² at 6 mm, as printed
	for _, c := range []struct {
		pattern  Pattern
		interval float64 // s
		wait     string
	}{
		{SameSide, 90, "5:06"}, {ToAndFro, 90, "9:42"}, {SameSide, 135, "7:24"},
	} {
		p := build(t, z, Lay{PullDeg: 90, RowDepthM: 0.75, Pattern: c.pattern})
		w := worst(t, p)
		s := w.SpanL/(kit/c.interval) + float64(w.RowEnds)*30
		got := time.Duration(math.Round(s)) * time.Second
		if text := fmt.Sprintf("%d:%02d", int(got.Minutes()), int(got.Seconds())%60); math.Abs(s-clock(c.wait)) > 0.6 {
			t.Errorf("%v at %g s a kit: %s between touches, want %s", c.pattern, c.interval, text, c.wait)
		}
		need, _ := p.QMin(0, math.Inf(1), minutes(1)+time.Duration(s*1e9), minutes(1), 30*time.Second)
		near(t, "rate at that life", need.RateLps, kit/c.interval, 1e-6)
	}
}

// clock reads m:ss as seconds.
func clock(s string) float64 {
	var m, sec float64
	fmt.Sscanf(s, "%f:%f", &m, &sec)
	return m*60 + sec
}

// When margin and turn use the life up, no rate will do.
func TestQMinWithoutTime(t *testing.T) {
	p := build(t, zone(box(0, 0, 5, 5)), Lay{RowDepthM: 1})
	need, ok := p.QMin(0, math.Inf(1), minutes(2), minutes(1), minutes(1))
	if !ok || !math.IsInf(need.RateLps, 1) || need.RowEnds != 1 {
		t.Errorf("got %+v, %v; want no rate, over one row end", need, ok)
	}
	if _, ok := p.QMin(p.TotalL(), math.Inf(1), minutes(2), 0, 0); ok {
		t.Error("nothing is joined beyond the end")
	}
}

// Outside check: cell areas against the planar package of a general geometry
// library (paulmach/orb v0.14.0), in any direction.
func TestAreasAgainstLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 10).Draw(t, "corners")
		var o floor.Polygon
		var r orb.Ring
		for i := range n {
			a := (float64(i) + rapid.Float64Range(0, 0.7).Draw(t, "angle")) * 2 * math.Pi / float64(n)
			d := rapid.Float64Range(2, 12).Draw(t, "radius")
			o = append(o, floor.Point{X: d * math.Cos(a), Y: d * math.Sin(a)})
			r = append(r, orb.Point{d * math.Cos(a), d * math.Sin(a)})
		}
		r = append(r, r[0])
		want := math.Abs(planar.Area(r))
		l := Lay{
			PullDeg: rapid.Float64Range(0, 360).Draw(t, "pull"), RowDepthM: rapid.Float64Range(0.4, 1.5).Draw(t, "row"),
			Pattern: Pattern(rapid.IntRange(0, 2).Draw(t, "pattern")),
		}
		p, err := Build(zone(o), l)
		if err != nil {
			t.Fatal(err)
		}
		area, vol := 0.0, 0.0
		for i := range p.Cells() {
			area, vol = area+p.CellAreaM2(i), vol+p.CellL(i)
		}
		near(t, "cells", area, want, 1e-4*want)
		near(t, "volume", vol, 5*want, 1e-9*want)
		near(t, "area", p.AreaM2(), want, 1e-9*want)
		near(t, "area error", p.AreaError(), 0, 1e-4)
		near(t, "end of the last row", p.RowEnd(p.Rows()-1), p.TotalL(), 0)
		pos := rapid.Float64Range(0, 1).Draw(t, "pos") * p.TotalL()
		if l.Pattern != OutAndBack { // out and back, a row's edge is passed twice
			near(t, "front there and back", p.PosAtFront(p.FrontAt(pos)), pos, 1e-6*p.TotalL())
		}
		near(t, "area there and back", p.VolAtArea(p.AreaAt(pos)), pos, 1e-6*p.TotalL())
		if at, ok := p.LaidAt(p.NextPlace(pos)); ok {
			near(t, "place there and back", at, pos, 1e-6*p.TotalL())
		}
	})
}

// The chosen cell gives spans to one row of cells: against cells a quarter the
// size. The floors have slanted walls, a column and a widening.
func TestSpanToOneCellRow(t *testing.T) {
	for _, c := range []struct {
		name string
		o    floor.Polygon
		wide float64 // widest row, m
	}{
		{"slanted", floor.Polygon{{X: 0, Y: 0}, {X: 8, Y: 1}, {X: 10, Y: 9}, {X: 1, Y: 7}}, 10},
		{"widening", floor.Polygon{{X: 0, Y: 0}, {X: 3, Y: 0}, {X: 12, Y: 10}, {X: -6, Y: 10}}, 18},
		{"L", floor.Polygon{{X: 0, Y: 0}, {X: 9, Y: 0}, {X: 9, Y: 14}, {X: 6, Y: 14}, {X: 6, Y: 22}, {X: 0, Y: 22}}, 9},
	} {
		z := zone(c.o)
		z.Holes = []floor.Hole{{Name: "column", Outline: box(3, 3, 0.4, 0.4)}}
		for _, pattern := range []Pattern{SameSide, ToAndFro} {
			p := build(t, z, Lay{PullDeg: 90, RowDepthM: 0.75, Pattern: pattern})
			fine := build(t, z, Lay{PullDeg: 90, RowDepthM: 0.75, Pattern: pattern, CellM: p.CellM() / 4})
			near(t, c.name+" "+pattern.String(), worst(t, p).SpanL, worst(t, fine).SpanL, c.wide*p.CellM()*5)
		}
	}
}

// Source: test day 6: the last row is laid from x = 0 at 11:01:00 to x = 9 at
// 11:05:36, so x = 3.66 is laid 1:52 into the row.
func TestLaidAlongTheRow(t *testing.T) {
	p := build(t, zone(box(0, 0, 9, 3)), Lay{PullDeg: 90, RowDepthM: 0.75})
	row := p.RowEnd(3) - p.RowEnd(2)
	at, ok := p.LaidAt(floor.Point{X: 3.66, Y: 2.7})
	if !ok {
		t.Fatal("not on the floor")
	}
	near(t, "seconds into the row", (at-p.RowEnd(2))/row*(4*60+36), 112.2, 0.05)
	if _, ok := p.LaidAt(floor.Point{X: 9.01, Y: 2.7}); ok {
		t.Error("a place beyond the wall is said to be laid")
	}
}

// Source: by hand, on the L of test day 1 with a bay.
func TestMarks(t *testing.T) {
	z := zone(floor.Polygon{{X: 0, Y: 0}, {X: 9, Y: 0}, {X: 9, Y: 14}, {X: 6, Y: 14}, {X: 6, Y: 22}, {X: 0, Y: 22}})
	z.Bays = []floor.Bay{{Name: "dip", Outline: box(0, 6, 9, 1.5), DepthM: 0.015}}
	z.Station = floor.Point{X: -3, Y: 0.375}
	p := build(t, z, Lay{PullDeg: 90, RowDepthM: 0.75})
	dip := 9 * 1.5 * 10. // L more than without the bay
	near(t, "total", p.TotalL(), 174*5+dip, 1e-9)
	near(t, "front at 6 m", p.PosAtFront(6), 54*5, 1e-9)
	near(t, "front at 12 m", p.PosAtFront(12), 108*5+dip, 1e-9)
	near(t, "front at 14.1 m", p.PosAtFront(14.1), 126*5+dip+0.6*5, 1e-9)
	near(t, "front beyond the wall", p.PosAtFront(40), p.TotalL(), 1e-9)
	near(t, "front before the wall", p.PosAtFront(-1), 0, 0)
	near(t, "front after 270 L", p.FrontAt(270), 6, 1e-9)
	near(t, "length", p.FrontMost(), 22, 1e-9)
	pos, ok := p.PosAtBay("dip")
	if !ok {
		t.Fatal("no dip")
	}
	near(t, "past the dip", pos, 9*7.5*5+dip, 1e-9)
	if _, ok := p.PosAtBay("sump"); ok {
		t.Error("a bay that is not there is found")
	}
	near(t, "area at the dip's end", p.AreaAt(pos), 67.5, 1e-9)
	near(t, "distance at the start", p.Distance(0), 3, 1e-6)
	near(t, "distance at the first row's end", p.Distance(9*0.75*5-1e-9), 12, 1e-6)
	if r := p.RowOf(pos); r != 10 {
		t.Errorf("row %d after the dip, want 10", r)
	}
	near(t, "first row's end", p.RowEnds()[0], 33.75, 1e-9)
	if n := p.RowEndsBetween(p.RowEnd(0), p.RowEnd(1)); n != 1 {
		t.Errorf("%d row ends from one row end to the next, want 1: the turn at the first", n)
	}
	if n := p.RowEndsBetween(0, p.RowEnd(0)); n != 0 {
		t.Errorf("%d row ends before the first, want 0: its turn comes after", n)
	}
	if n := p.RowEndsBetween(p.RowEnd(0), 40); n != 1 {
		t.Errorf("%d row ends from the first on, want 1", n)
	}
	if !strings.Contains(p.Accuracy(), "30 rows") || p.Rows() != 30 {
		t.Errorf("accuracy %q, %d rows; want 30: eighteen whole, one across the neck, eleven", p.Accuracy(), p.Rows())
	}
}

// Out and back the front goes up the even rows and down the odd ones.
func TestOutAndBack(t *testing.T) {
	p := build(t, zone(box(0, 0, 4, 5)), Lay{PullDeg: 90, RowDepthM: 1, Pattern: OutAndBack})
	row := 4 * 5.
	// Worked by hand: rows 1 3 5 4 2; the first row waits for the second, laid last.
	near(t, "largest span", worst(t, p).SpanL, 4*row, 1e-9)
	near(t, "way out", p.FrontAt(1.5*row), 2.5, 1e-9)
	near(t, "way back", p.FrontAt(4.5*row), 1.5, 1e-9)
	near(t, "second row", p.PosAtFront(1.5), 4.5*row, 1e-9)
	near(t, "third row", p.PosAtFront(2.5), 1.5*row, 1e-9)
	if w := worst(t, p); w.RowEnds != 4 {
		t.Errorf("the first row waits through %d row ends, want 4", w.RowEnds)
	}
}

func TestBuildRefuses(t *testing.T) {
	ok := Lay{PullDeg: 90, RowDepthM: 0.75}
	for _, c := range []struct {
		name  string
		spoil func(*floor.Zone, *Lay)
		want  string
	}{
		{"no direction", func(_ *floor.Zone, l *Lay) { l.PullDeg = math.NaN() }, "no direction"},
		{"no row depth", func(_ *floor.Zone, l *Lay) { l.RowDepthM = 0 }, "row depth is 0 m"},
		{"row depth not a number", func(_ *floor.Zone, l *Lay) { l.RowDepthM = math.NaN() }, "row depth is NaN m"},
		{"side", func(_ *floor.Zone, l *Lay) { l.Start = 7 }, "side 7"},
		{"pattern", func(_ *floor.Zone, l *Lay) { l.Pattern = 9 }, "pattern 9"},
		{"cell", func(_ *floor.Zone, l *Lay) { l.CellM = -1 }, "cell is -1 m"},
		{"cell too large", func(_ *floor.Zone, l *Lay) { l.CellM = 1 }, "larger than the row depth"},
		{"cells too many", func(_ *floor.Zone, l *Lay) { l.CellM = 0.001 }, "give a larger cell"},
		{"zone", func(z *floor.Zone, _ *Lay) { z.Outline = z.Outline[:2] }, "has 2 corners"},
	} {
		z, l := zone(box(0, 0, 9, 9)), ok
		c.spoil(&z, &l)
		if _, err := Build(z, l); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
}
