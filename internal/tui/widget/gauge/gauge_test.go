package gauge

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/picture"
)

var nan = math.NaN()

// cases are invented rates.
var cases = []Pace{
	{Word: "PACE HOLDS", Role: look.Good, Needed: 0.42, Doing: 0.47, Limit: 0.55, Post: "rake", Unit: "batches/min"},
	{Word: "MIX FASTER", Role: look.Warn, Needed: 0.42, Doing: 0.33, Limit: 0.55, Post: "runners", Unit: "batches/min"},
	{Word: "CREW CANNOT HOLD", Role: look.Bad, Needed: 0.61, Doing: 0.47, Limit: 0.55, Post: "mixers", Unit: "batches/min"},
	{Word: "PACE HOLDS", Role: look.Good, Needed: 0.10, Doing: 0.56, Limit: 0.55, Post: "rake", Unit: "batches/min"},
	{Needed: nan, Doing: 0.40, Limit: 0.55, Post: "rake"},
	{Word: "PACE NOT KNOWN YET", Role: look.Dim, Needed: 0.42, Doing: nan, Limit: 0.55, Post: "rake"},
	{Word: "PACE HOLDS", Role: look.Good, Needed: 0.05, Doing: 0.06, Limit: 0.07, Post: "spike roller"},
	{Word: "NO ZONE BEGUN", Role: look.Dim, Needed: nan, Doing: nan, Limit: nan},
	{Needed: 0, Doing: 0, Limit: 0},
}

func TestGolden(t *testing.T) {
	for set, name := range []string{"unicode", "ascii"} {
		l := look.New(look.Dark(), look.NoColor, look.GlyphSet(set))
		var b strings.Builder
		for _, size := range [][2]int{{60, 4}, {36, 3}, {50, 2}, {70, 1}, {20, 3}, {10, 3}} {
			for _, g := range cases {
				c := frame.New(l, size[0], size[1])
				g.Draw(c.Pane())
				fmt.Fprintf(&b, "%v %v %v in %d×%d\n%s\n", g.Needed, g.Doing, g.Limit, size[0], size[1], c.Plain())
			}
		}
		for left := -0.1; left <= 1.11; left += 0.1 {
			c := frame.New(l, 12, 1)
			Life{left, look.PlateGood}.Draw(c.Pane())
			fmt.Fprintf(&b, "%4.1f %s\n", left, c.Plain())
		}
		picture.Golden(t, "testdata/"+name+".txt", b.String())
	}
}

func TestPicture(t *testing.T) {
	for _, pal := range []look.Palette{look.Dark(), look.Sun()} {
		c := frame.New(look.New(pal, look.TrueColor, look.Unicode), 64, 30)
		p := c.Pane().Inset(2, 1)
		for _, g := range cases[:4] {
			var top frame.Pane
			top, p = p.Top(5)
			g.Draw(top)
		}
		cases[0].Draw(p.Row(0))
		for i, r := range []look.Role{look.PlateGood, look.PlateWarn, look.PlateBad} {
			Life{[]float64{0.73, 0.31, 0.06}[i], r}.Draw(p.Sub(frame.Rect{X: 0, Y: 2 + 2*i, W: 30, H: 1}))
		}
		picture.Golden(t, "testdata/"+pal.Name+".svg", picture.FromString(c.String(), 64, 30).SVG())
	}
}

// The marks stand in the order of the rates, and the band agrees with them.
func TestMarksStandInOrder(t *testing.T) {
	for w := 12; w < 120; w++ {
		for _, g := range cases {
			at := func(v float64) int { return g.at(v, w) }
			if known(g.Needed) && known(g.Limit) && g.Needed <= g.Limit && at(g.Needed) > at(g.Limit) {
				t.Fatalf("width %d: needed stands at %d, right of the limit at %d", w, at(g.Needed), at(g.Limit))
			}
			for _, v := range []float64{g.Needed, g.Doing, g.Limit} {
				if known(v) && (at(v) < 0 || at(v) >= w) {
					t.Fatalf("width %d: a mark stands at %d", w, at(v))
				}
			}
		}
	}
}

// What is too slow is painted loud when the crew falls short, and only then.
func TestSlow(t *testing.T) {
	want := []bool{false, true, true, false, false, false, false, false, false}
	for i, g := range cases {
		if got := g.slow(); got != want[i] {
			t.Errorf("case %d: slow %v, want %v", i, got, want[i])
		}
	}
}

func TestLifeShowsASliver(t *testing.T) {
	c := frame.New(look.New(look.Dark(), look.NoColor, look.ASCII), 10, 1)
	Life{0.001, look.PlateBad}.Draw(c.Pane())
	if got := c.Plain(); got != "#---------" {
		t.Errorf("got %q, want one full cell while anything is left", got)
	}
	Life{0, look.PlateBad}.Draw(c.Pane())
	if got := c.Plain(); got != "----------" {
		t.Errorf("got %q, want an empty bar", got)
	}
}

func TestEverySize(t *testing.T) {
	for set := look.Unicode; set <= look.ASCII; set++ {
		l := look.New(look.Dark(), look.TrueColor, set)
		for w := range 90 {
			for h := range 6 {
				for _, g := range cases {
					c := frame.New(l, w, h)
					g.Draw(c.Pane())
					Life{g.Doing, look.PlateGood}.Draw(c.Pane())
				}
			}
		}
	}
}
