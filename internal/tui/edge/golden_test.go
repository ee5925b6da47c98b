package edge

import (
	"fmt"
	"strings"
	"testing"

	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/picture"
)

var sizes = [][2]int{{80, 24}, {100, 30}, {160, 45}, {200, 60}}

func TestGolden(t *testing.T) {
	l := look.New(look.Dark(), look.NoColor, look.Unicode)
	for _, st := range states(t) {
		for _, size := range sizes {
			t.Run(fmt.Sprintf("%s %d×%d", st.name, size[0], size[1]), func(t *testing.T) {
				s := New()
				s.PageKey, s.WaysKey, s.AnswerKey = "space", "w", "a"
				var b strings.Builder
				for page := 1; ; page++ {
					c := frame.New(l, size[0], size[1])
					s.Draw(c.Pane(), st.v)
					fmt.Fprintf(&b, "%s\n%s\n", strings.Repeat("=", size[0]), c.Plain())
					if _, of := s.Page(); page >= of {
						break
					}
					s.NextPage()
				}
				name := strings.ReplaceAll(st.name, " ", "-")
				picture.Golden(t, fmt.Sprintf("testdata/%s-%dx%d.txt", name, size[0], size[1]), b.String())
			})
		}
	}
}
