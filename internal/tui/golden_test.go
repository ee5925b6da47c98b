package tui

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"floorpace/internal/tui/look"
	"floorpace/internal/tui/picture"
)

var sizes = [][2]int{{80, 24}, {100, 30}, {160, 45}, {200, 60}}

// The Mix screen in its frame, in five states and four sizes: plain text, and
// as pictures in both palettes.
func TestGoldens(t *testing.T) {
	for name, c := range states(t) {
		for _, s := range sizes {
			file := fmt.Sprintf("testdata/mix/%s-%dx%d", name, s[0], s[1])
			picture.Golden(t, file+".txt", sized(c, plainOptions(), s[0], s[1]).View()+"\n")
			for _, sun := range []bool{false, true} {
				if s[0] != 80 && s[0] != 160 {
					continue
				}
				pal := map[bool]string{false: "dark", true: "sun"}[sun]
				view := sized(c, Options{Profile: look.TrueColor, Sun: sun}, s[0], s[1]).View()
				picture.Golden(t, file+"-"+pal+".svg", picture.FromString(view, s[0], s[1]).SVG())
			}
		}
	}
}

// Nothing that the mix station says is cut short, in any state at any of the
// sizes.
func TestNothingOnMixIsCut(t *testing.T) {
	for name, c := range states(t) {
		for _, s := range append(sizes[:len(sizes):len(sizes)], [2]int{90, 26}, [2]int{120, 36}, [2]int{140, 40}) {
			if view := sized(c, plainOptions(), s[0], s[1]).View(); strings.Contains(view, "…") {
				t.Errorf("%s at %v:\n%s", name, s, view)
			}
		}
	}
}

// What is open at the bottom, the help, a refusal and START, at 80×24.
func TestOpenGoldens(t *testing.T) {
	for name, q := range map[string]struct{ state, keys string }{
		"hold-list":    {"2-mid-row", "h"},
		"reading-line": {"2-mid-row", "r 1 9 9 enter"},
		"help":         {"2-mid-row", "?"},
		"calls-list":   {"4-gone", "c"},
		"refused":      {"2-mid-row", "5"},
		"start":        {"2-mid-row", "wait"},
	} {
		for _, o := range []Options{plainOptions(), {Profile: look.TrueColor, Sun: name == "start"}} {
			c := state(t, q.state)
			m := sized(c, o, 80, 24)
			if q.keys == "wait" {
				c.wait(31 * time.Second)
				m.Update(tickMsg{m.gen})
			} else {
				hand(c, m, strings.Fields(q.keys)...)
			}
			if o.Profile == look.NoColor {
				picture.Golden(t, "testdata/open/"+name+".txt", m.View()+"\n")
				continue
			}
			picture.Golden(t, "testdata/open/"+name+".svg", picture.FromString(m.View(), 80, 24).SVG())
		}
	}
}

// On the Edge screen, what is open at the bottom brings the count-down with it.
func TestClockStaysInViewOnEdge(t *testing.T) {
	for _, keys := range []string{"tab r", "tab n", "tab ?"} {
		c := state(t, "2-mid-row")
		m := sized(c, plainOptions(), 80, 24)
		hand(c, m, strings.Fields(keys)...)
		view := m.View()
		if !strings.Contains(view, "next start mixer 3") || !strings.Contains(view, "██") || !strings.Contains(view, m.dayNow().Format("15:04:05")) {
			t.Errorf("%s hides the clock:\n%s", keys, view)
		}
	}
}
