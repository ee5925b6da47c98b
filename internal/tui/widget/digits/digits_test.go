package digits

import (
	"fmt"
	"strings"
	"testing"

	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/picture"
)

var words = []string{"0:07", "4:32", "12:58", "START", "HOLD", "LATE 1:05"}

// sheet draws the words at several sizes, one below the other.
func sheet(l *look.Look) string {
	var b strings.Builder
	for _, size := range []Size{{30, 3}, {40, 4}, {60, 5}, {78, 7}, {100, 9}, {10, 2}} {
		for _, w := range words {
			c := frame.New(l, size.W, size.H)
			used := Draw(c.Pane(), look.Text, w)
			fmt.Fprintf(&b, "%s in %d×%d uses %d×%d\n%s\n", w, size.W, size.H, used.W, used.H, c.Plain())
		}
	}
	return b.String()
}

func TestGolden(t *testing.T) {
	picture.Golden(t, "testdata/unicode.txt", sheet(look.New(look.Dark(), look.NoColor, look.Unicode)))
	picture.Golden(t, "testdata/ascii.txt", sheet(look.New(look.Dark(), look.NoColor, look.ASCII)))
}

func TestPicture(t *testing.T) {
	for _, pal := range []look.Palette{look.Dark(), look.Sun()} {
		c := frame.New(look.New(pal, look.TrueColor, look.Unicode), 90, 36)
		rows := c.Pane().Rows(1, 3, 4, 5, 7, 11)
		for i, r := range []look.Role{look.Text, look.Good, look.Bad, look.Warn, look.Strong} {
			Draw(rows[i], r, []string{"4:32", "START", "LATE 1:05", "HOLD", "12:58"}[i])
		}
		picture.Golden(t, "testdata/"+pal.Name+".svg", picture.FromString(c.String(), 90, 36).SVG())
	}
}

// In every size the drawing stays inside the size promised, and growing the
// room never makes it lower.
func TestEverySize(t *testing.T) {
	for set := look.Unicode; set <= look.ASCII; set++ {
		l := look.New(look.Dark(), look.NoColor, set)
		for _, text := range append(words, "", "é?", "NEXT ZONE 10:00") {
			for w := 0; w <= 120; w += 4 {
				was := 0
				for h := 0; h <= 20; h++ {
					c := frame.New(l, w, h)
					s := Draw(c.Pane(), look.Text, text)
					if s.W > w || s.H > h {
						t.Fatalf("%q in %d×%d: used %d×%d", text, w, h, s.W, s.H)
					}
					if s.H < was {
						t.Fatalf("%q in %d×%d: %d rows, with less room %d", text, w, h, s.H, was)
					}
					was = s.H
				}
			}
		}
	}
}

// At 80×24 with ten rows to spare, a count-down and the words on the way of a
// batch are five rows high or more: the figure that must be read from 3 m.
func TestLargeAt80(t *testing.T) {
	l := look.New(look.Dark(), look.NoColor, look.Unicode)
	for _, text := range []string{"4:32", "12:58", "START", "HOLD", "LATE 1:05"} {
		if s, ok := Fit(l, text, 80, 10); !ok || s.H < 5 {
			t.Errorf("%s: %d rows, want 5 or more", text, s.H)
		}
	}
}

// Every letter differs from every other, in each way of drawing.
func TestLettersDiffer(t *testing.T) {
	alike := map[string]bool{"0O": true, "O0": true, "5S": true, "S5": true} // told apart by what stands beside them
	for a, ga := range letters {
		for b, gb := range letters {
			if a != b && ga == gb && !alike[string([]rune{a, b})] {
				t.Errorf("%c and %c are drawn alike", a, b)
			}
			if a != b && thinOf(a) == thinOf(b) && !alike[string([]rune{a, b})] {
				t.Errorf("%c and %c are drawn alike in thin strokes", a, b)
			}
		}
		for _, row := range ga.rows {
			if len(row) != len(ga.kinds) {
				t.Errorf("%c: a row of %d modules, want %d", a, len(row), len(ga.kinds))
			}
		}
	}
}
