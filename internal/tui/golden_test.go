package tui

import (
	"fmt"
	"testing"

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
