package cli_test

import (
	"math"
	"os"
	"os/exec"
	"testing"
	"time"

	"floorpace/internal/tui/look"
	"floorpace/internal/tui/picture"
)

// luminance and contrast are those of WCAG 2.2, "relative luminance" and
// "contrast ratio".
func luminance(c picture.Colour) float64 {
	lin := func(v uint8) float64 {
		if s := float64(v) / 255; s > 0.04045 {
			return math.Pow((s+0.055)/1.055, 2.4)
		}
		return float64(v) / 255 / 12.92
	}
	return 0.2126*lin(c.R) + 0.7152*lin(c.G) + 0.0722*lin(c.B)
}

func contrast(a, b picture.Colour) float64 {
	x, y := luminance(a), luminance(b)
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

// isWord tells a letter or a digit: what must be read.
func isWord(c picture.Cell) bool {
	r := c.Text
	return len(r) == 1 && (r >= "0" && r <= "9" || r >= "A" && r <= "Z" || r >= "a" && r <= "z")
}

// The real program on a terminal, both screens in both palettes: the cells have
// the palette's own colours, and every letter and figure stands 7 to 1 against
// its ground (WCAG 2.2, 1.4.6). With NO_COLOR no cell has a colour; with 16
// colours there are no others.
func TestColoursOnTheTerminal(t *testing.T) {
	if testing.Short() {
		t.Skip("drives the real program three times")
	}
	bin := program(t)
	start := func(env ...string) *picture.Terminal {
		t.Helper()
		cmd := exec.Command(bin, "demo", "--speed", "120")
		cmd.Env = append(append(os.Environ(), "LANG=C.UTF-8", "LC_ALL=C.UTF-8"), env...)
		term, err := picture.Start(100, 30, cmd)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(term.Close)
		if _, err := term.WaitText("batch 3 started", 30*time.Second); err != nil {
			t.Fatal(err)
		}
		return term
	}
	plate := func(s picture.Screen, p look.Palette) bool {
		x, y, ok := s.Find("Mix")
		pair := p.Pairs[look.PlateText]
		c := s.At(x, y)
		return ok && c.Ink == rgb(pair.Ink) && c.Ground == rgb(pair.Ground)
	}

	term := start("TERM=xterm-256color", "COLORTERM=truecolor", "NO_COLOR=")
	for i, p := range []look.Palette{look.Dark(), look.Sun()} {
		if i > 0 {
			time.Sleep(900 * time.Millisecond)
			_ = term.Send("y")
		}
		if _, err := term.Wait("the palette "+p.Name, 5*time.Second, func(s picture.Screen) bool { return plate(s, p) }); err != nil {
			t.Fatal(err)
		}
		time.Sleep(300 * time.Millisecond) // the rest of the frame
		s := term.Screen()
		readable(t, p.Name+" Mix", s)
		time.Sleep(900 * time.Millisecond)
		_ = term.Send("\t")
		if _, err := term.WaitText("pull →", 5*time.Second); err != nil {
			t.Fatal(err)
		}
		time.Sleep(300 * time.Millisecond)
		s = term.Screen()
		readable(t, p.Name+" Edge", s)
		joinable := p.Pairs[look.Joinable]
		if x, y, ok := s.Find("○"); !ok || s.At(x, y).Ground != rgb(joinable.Ground) {
			t.Errorf("%s: the sign of a joinable edge stands on %v, want %v", p.Name, s.At(x, y).Ground, joinable.Ground)
		}
		time.Sleep(900 * time.Millisecond)
		_ = term.Send("\t")
		if _, err := term.WaitText("Mixers", 5*time.Second); err != nil {
			t.Fatal(err)
		}
	}
	term.Close()

	s := start("TERM=xterm-256color", "COLORTERM=truecolor", "NO_COLOR=1").Screen()
	for i, c := range s.Cells {
		if c.Ink.Set || c.Ground.Set {
			t.Fatalf("NO_COLOR: cell %d,%d %q has a colour", i%s.W, i/s.W, c.Text)
		}
	}

	s = start("TERM=xterm", "COLORTERM=", "NO_COLOR=").Screen()
	seen := map[picture.Colour]bool{}
	for _, c := range s.Cells {
		seen[c.Ink], seen[c.Ground] = true, true
	}
	delete(seen, picture.Colour{})
	if len(seen) < 4 || len(seen) > 16 {
		t.Errorf("on 16 colours %d are used", len(seen))
	}
}

func rgb(c look.RGB) picture.Colour { return picture.Colour{R: c.R, G: c.G, B: c.B, Set: true} }

func readable(t *testing.T, name string, s picture.Screen) {
	t.Helper()
	n := 0
	for i, c := range s.Cells {
		if !isWord(c) {
			continue
		}
		n++
		if !c.Ink.Set || !c.Ground.Set {
			t.Fatalf("%s: cell %d,%d %q has no colour of its own", name, i%s.W, i/s.W, c.Text)
		}
		if q := contrast(c.Ink, c.Ground); q < 7 {
			t.Errorf("%s: cell %d,%d %q stands %.1f to 1 against its ground", name, i%s.W, i/s.W, c.Text, q)
		}
	}
	if n < 200 {
		t.Errorf("%s: only %d letters and figures on the screen:\n%s", name, n, s.Text())
	}
}
