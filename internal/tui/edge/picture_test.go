package edge

import (
	"fmt"
	"os"
	"testing"

	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/picture"
)

func TestPictures(t *testing.T) {
	for _, st := range states(t) {
		for _, pal := range []look.Palette{look.Dark(), look.Sun()} {
			for _, size := range sizes {
				c := frame.New(look.New(pal, look.TrueColor, look.Unicode), size[0], size[1])
				s := New()
				s.PageKey, s.WaysKey, s.AnswerKey = "space", "w", "a"
				s.Draw(c.Pane(), st.v)
				svg := picture.FromString(c.String(), size[0], size[1]).SVG()
				if dir := os.Getenv("PICTURES_TO"); dir != "" { // for looking at all of them
					if err := os.WriteFile(fmt.Sprintf("%s/edge-%s-%s-%dx%d.svg", dir, st.name, pal.Name, size[0], size[1]), []byte(svg), 0o644); err != nil {
						t.Fatal(err)
					}
				}
				if st.name == "at risk" && size[0] == 100 {
					picture.Golden(t, "testdata/at-risk-"+pal.Name+".svg", svg)
				}
			}
		}
	}
}
