package tui

import (
	"bytes"
	"io"
	"strings"
	"testing"
	"time"

	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/picture"

	tea "github.com/charmbracelet/bubbletea"
	"pgregory.net/rapid"
)

// Painted changes one after the other leave the same screen as painting the
// last frame alone, whatever was drawn. The emulator is the outside check.
func TestChangesLeaveTheSameScreen(t *testing.T) {
	const w, h = 24, 4
	looks := []*look.Look{look.New(look.Dark(), look.TrueColor, look.Unicode), look.New(look.Sun(), look.Colors16, look.Unicode), look.New(look.Dark(), look.NoColor, look.ASCII)}
	rapid.Check(t, func(t *rapid.T) {
		var was *frame.Canvas
		sent := ""
		l := looks[0]
		for range rapid.IntRange(1, 6).Draw(t, "frames") {
			if rapid.IntRange(0, 4).Draw(t, "switch") == 0 {
				l = rapid.SampledFrom(looks).Draw(t, "look")
			}
			c := frame.New(l, w, h)
			if was != nil && was.Look() == l {
				c.Pane().Blit(0, 0, was)
			}
			for range rapid.IntRange(0, 5).Draw(t, "texts") {
				r := look.Role(rapid.IntRange(0, int(look.RoleCount)-1).Draw(t, "role"))
				text := rapid.SampledFrom([]string{"abc", " ", "12:34", "日本", "█▀▄", "x", "é", strings.Repeat("=", 30)}).Draw(t, "text")
				c.Pane().Print(rapid.IntRange(-2, w).Draw(t, "x"), rapid.IntRange(0, h-1).Draw(t, "y"), r, text)
			}
			sent += changes(was, c)
			was = c
		}
		got, want := picture.FromString(sent, w, h), picture.FromString(changes(nil, was), w, h)
		for i := range want.Cells {
			a, b := got.Cells[i], want.Cells[i]
			if a.Text == " " && b.Text == " " { // nobody sees the ink of a blank
				a.Ink, b.Ink = picture.Colour{}, picture.Colour{}
			}
			if a != b {
				t.Fatalf("cell %d,%d is %+v, want %+v\n%q", i%w, i/w, got.Cells[i], want.Cells[i], sent)
			}
		}
	})
}

// An unchanged frame costs nothing, a clock that moved a few bytes.
func TestChangesAreSmall(t *testing.T) {
	c := states(t)["2-mid-row"]
	m := sized(c, Options{Profile: look.TrueColor}, 160, 45)
	frameNow := func() *frame.Canvas {
		m.dirty = true
		m.redraw()
		k := frame.New(m.look(), 160, 45)
		k.Pane().Blit(0, 0, m.canvas)
		return k
	}
	a := frameNow()
	if s := changes(a, frameNow()); s != "" {
		t.Errorf("an unchanged frame sends %q", s)
	}
	c.clock.wall = c.clock.wall.Add(time.Second)
	m.Update(tickMsg{m.gen})
	if n := len(changes(a, frameNow())); n == 0 || n > 1500 {
		t.Errorf("a second later %d bytes are sent, want fewer than 1500", n)
	}
}

// After the screen was left nothing is painted over the shell.
func TestNothingAfterLeaving(t *testing.T) {
	var out bytes.Buffer
	p := newPainter(&out)
	c := frame.New(look.New(look.Dark(), look.NoColor, look.Unicode), 10, 1)
	p.show(c)
	p.paint()
	if out.Len() == 0 {
		t.Fatal("nothing was painted")
	}
	_, _ = p.Write([]byte("x" + leaves))
	out.Reset()
	p.show(c)
	p.paint()
	if out.Len() > 0 {
		t.Errorf("painted %q after leaving", out.String())
	}
}

// A key is on its way to the terminal well within a frame of 16 ms, with 200
// batches on the log at 160×45.
func BenchmarkKeyToBytes(b *testing.B) {
	p := samplePlan()
	p.Zones[0].Outline[2].Y, p.Zones[0].Outline[3].Y = 60, 60
	p.Lots[0].Parts = map[string]int{"A": 900, "B": 900, "aggregate": 900}
	c := open(b, p)
	c.pour(b, 200)
	m := sized(c, Options{Profile: look.TrueColor}, 160, 45)
	paint := newPainter(io.Discard)
	s := painted{m, paint}
	for b.Loop() {
		c.clock.wall = c.clock.wall.Add(time.Second)
		s.Update(tea.KeyMsg{Type: tea.KeyTab})
		s.View()
		paint.paint()
	}
}
