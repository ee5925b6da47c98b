package timeline

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/picture"
)

var start = time.Date(2026, 5, 4, 1, 50, 0, 0, time.UTC)

// day is an invented pour.
func day() *Line {
	at := func(m float64) time.Time { return start.Add(time.Duration(m * float64(time.Minute))) }
	l := &Line{From: start, To: at(200), Cursor: at(121.5)}
	for k := range 48 {
		m := 10 + 2.9*float64(k)
		if k > 25 {
			m += 14
		}
		l.Marks = append(l.Marks, Mark{At: at(m), Kind: Batch})
	}
	for m := 0.0; m < 200; m += 55 {
		l.Marks = append(l.Marks, Mark{At: at(m), Kind: Reading})
	}
	l.Marks = append(l.Marks,
		Mark{At: at(8), Kind: Zone}, Mark{At: at(150), Kind: Zone},
		Mark{At: at(84), Until: at(97), Kind: Hold}, Mark{At: at(170), Kind: Hold, Until: at(176)},
		Mark{At: at(88), Kind: Call, Role: look.Warn}, Mark{At: at(95), Kind: Call, Role: look.Bad}, Mark{At: at(180), Kind: Call, Role: look.Bad})
	return l
}

func TestGolden(t *testing.T) {
	for set, name := range []string{"unicode", "ascii"} {
		l := look.New(look.Dark(), look.NoColor, look.GlyphSet(set))
		var b strings.Builder
		for _, s := range [][2]int{{80, 5}, {80, 4}, {60, 3}, {60, 2}, {40, 1}, {80, 8}, {8, 3}} {
			c := frame.New(l, s[0], s[1])
			day().Draw(c.Pane())
			fmt.Fprintf(&b, "%d×%d\n%s\n", s[0], s[1], c.Plain())
		}
		picture.Golden(t, "testdata/"+name+".txt", b.String())
	}
}

func TestPicture(t *testing.T) {
	for _, pal := range []look.Palette{look.Dark(), look.Sun()} {
		c := frame.New(look.New(pal, look.TrueColor, look.Unicode), 90, 12)
		top, rest := c.Pane().Top(6)
		day().Draw(top)
		day().Draw(rest.Sub(frame.Rect{X: 0, Y: 0, W: 90, H: 2}))
		day().Draw(rest.Sub(frame.Rect{X: 0, Y: 3, W: 90, H: 3}))
		picture.Golden(t, "testdata/"+pal.Name+".svg", picture.FromString(c.String(), 90, 12).SVG())
	}
}

// Column and TimeAt undo each other, and no instant falls off the line.
func TestThereAndBack(t *testing.T) {
	l := day()
	for w := 1; w < 300; w += 7 {
		for x := range w {
			if got := l.Column(l.TimeAt(x, w).Add(time.Millisecond), w); got != x {
				t.Fatalf("width %d: column %d comes back as %d", w, x, got)
			}
		}
		if l.Column(l.To.Add(time.Hour), w) != w-1 || l.Column(l.From.Add(-time.Hour), w) != 0 {
			t.Fatalf("width %d: an instant outside fell off the line", w)
		}
	}
}

// Calls are never hidden by what shares their lane, at any height.
func TestCallsAlwaysShow(t *testing.T) {
	l := look.New(look.Dark(), look.NoColor, look.ASCII)
	for h := 1; h < 9; h++ {
		c := frame.New(l, 80, h)
		day().Draw(c.Pane())
		if got := c.Plain(); !strings.Contains(got, "!") || strings.Count(got, "x") != 2 {
			t.Errorf("height %d: a call is missing:\n%s", h, got)
		}
	}
}

func TestEverySize(t *testing.T) {
	for _, l := range []*look.Look{look.New(look.Dark(), look.TrueColor, look.Unicode), look.New(look.Sun(), look.NoColor, look.ASCII)} {
		for w := range 100 {
			for h := range 9 {
				day().Draw(frame.New(l, w, h).Pane())
				(&Line{}).Draw(frame.New(l, w, h).Pane())
			}
		}
	}
}
