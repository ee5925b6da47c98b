package chart

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/picture"
)

var start = time.Date(2026, 5, 4, 2, 7, 0, 0, time.FixedZone("", -7*3600))

// slab is an invented night: the slab cools, then warms.
func slab() *Chart {
	c := &Chart{From: start, To: start.Add(4 * time.Hour), Levels: []Level{{60, "least 60"}}}
	s := Series{Role: look.Curve}
	for m := 0; m <= 230; m += 10 {
		x := float64(m) / 230
		s.Points = append(s.Points, Point{start.Add(time.Duration(m) * time.Minute), 66.4 - 5*math.Sin(x*2.6) + 0.4*math.Sin(x*31)})
	}
	c.Series = []Series{s}
	return c
}

// intervals is an invented run of minutes between batches, with a stop.
func intervals() *Chart {
	c := &Chart{From: start, To: start.Add(70 * time.Minute), Levels: []Level{{3.2, "needed"}}, MaxGap: 6 * time.Minute}
	s := Series{Role: look.Curve}
	t := start
	for k := range 22 {
		gap := 2.6 + 0.8*math.Sin(float64(k)*1.7)
		t = t.Add(time.Duration(gap * float64(time.Minute)))
		if k == 12 {
			t = t.Add(9 * time.Minute)
		}
		s.Points = append(s.Points, Point{t, gap})
	}
	c.Series = []Series{s}
	return c
}

func TestGolden(t *testing.T) {
	for _, k := range []struct {
		name string
		l    *look.Look
	}{
		{"braille", look.New(look.Dark(), look.NoColor, look.Unicode)},
		{"halves", look.New(look.Sun(), look.NoColor, look.Unicode)},
		{"ascii", look.New(look.Dark(), look.NoColor, look.ASCII)},
	} {
		var b strings.Builder
		for _, c := range []*Chart{slab(), intervals(), {}} {
			for _, s := range [][2]int{{36, 6}, {60, 12}, {24, 4}, {10, 2}} {
				cv := frame.New(k.l, s[0], s[1])
				c.Draw(cv.Pane())
				fmt.Fprintf(&b, "%d×%d\n%s\n", s[0], s[1], cv.Plain())
			}
		}
		picture.Golden(t, "testdata/"+k.name+".txt", b.String())
	}
}

func TestPicture(t *testing.T) {
	for _, pal := range []look.Palette{look.Dark(), look.Sun()} {
		cv := frame.New(look.New(pal, look.TrueColor, look.Unicode), 80, 20)
		p := cv.Pane().Inset(1, 0)
		top, bottom := p.Top(10)
		cols := top.Columns(3, 1, 1)
		slab().Draw(cols[0].Title("Slab °F", "62.6 at 05:57"))
		intervals().Draw(cols[1].Title("Minutes between batches", ""))
		slab().Draw(bottom)
		picture.Golden(t, "testdata/"+pal.Name+".svg", picture.FromString(cv.String(), 80, 20).SVG())
	}
}

// The curve passes the rows of its ticks: a level series lies on the row of
// its own figure, in every pen.
func TestCurveLiesAtItsFigure(t *testing.T) {
	for _, l := range []*look.Look{
		look.New(look.Dark(), look.NoColor, look.Unicode), look.New(look.Sun(), look.NoColor, look.Unicode),
		look.New(look.Dark(), look.NoColor, look.ASCII),
	} {
		for h := 5; h < 20; h++ {
			for _, v := range []float64{0, 10} {
				c := &Chart{From: start, To: start.Add(time.Hour), Series: []Series{
					{Role: look.Curve, Points: []Point{{start, v}, {start.Add(30 * time.Minute), v}}},
					{Role: look.Curve, Dots: true, Points: []Point{{start.Add(time.Hour), 10 - v}}},
				}}
				cv := frame.New(l, 40, h)
				c.Draw(cv.Pane())
				figure := fmt.Sprintf("%.0f", v)
				for _, line := range strings.Split(cv.Plain(), "\n") {
					at, rest, found := strings.Cut(line, l.Glyph(look.GlyphRuleDown))
					if found && strings.TrimSpace(at) == figure && strings.TrimSpace(rest) == "" {
						t.Fatalf("height %d: no curve in the row of %s:\n%s", h, figure, cv.Plain())
					}
				}
			}
		}
	}
}

// A gap and a NaN break the curve.
func TestBreaks(t *testing.T) {
	at := func(m int) time.Time { return start.Add(time.Duration(m) * time.Minute) }
	l := look.New(look.Dark(), look.NoColor, look.ASCII)
	count := func(c *Chart) int {
		cv := frame.New(l, 60, 9)
		c.Draw(cv.Pane())
		return strings.Count(cv.Plain(), "*")
	}
	whole := &Chart{From: at(0), To: at(60), Series: []Series{{Points: []Point{{at(0), 1}, {at(50), 1}, {at(60), 1}}}}}
	all := count(whole)
	whole.MaxGap = 20 * time.Minute
	gap := count(whole)
	whole.MaxGap = 0
	whole.Series[0].Points[1].V = math.NaN()
	nan := count(whole)
	if all < 40 || gap > 15 || nan != 2 {
		t.Errorf("signs drawn: whole %d, with a gap %d, with NaN %d", all, gap, nan)
	}
}

func TestEverySize(t *testing.T) {
	for _, l := range []*look.Look{look.New(look.Dark(), look.TrueColor, look.Unicode), look.New(look.Sun(), look.Colors16, look.ASCII)} {
		for w := range 70 {
			for h := range 16 {
				for _, c := range []*Chart{slab(), intervals(), {}} {
					c.Draw(frame.New(l, w, h).Pane())
				}
			}
		}
	}
}

func BenchmarkDraw36x6(b *testing.B) {
	c := slab()
	cv := frame.New(look.New(look.Dark(), look.TrueColor, look.Unicode), 36, 6)
	b.ReportAllocs()
	for b.Loop() {
		c.Draw(cv.Pane())
	}
}

// Words of levels that fall on one row stand side by side.
func TestWordsOfCloseLevelsDoNotCover(t *testing.T) {
	c := intervals()
	c.Levels = []Level{{3.2, "needed"}, {3.1, "limit"}}
	cv := frame.New(look.New(look.Dark(), look.NoColor, look.Unicode), 37, 7)
	c.Draw(cv.Pane())
	if got := cv.Plain(); !strings.Contains(got, "limit") || !strings.Contains(got, "needed") {
		t.Error(got)
	}
}
