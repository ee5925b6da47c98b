package tui

import (
	"encoding/csv"
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/tui/look"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
)

func exact(t testing.TB, view string, w, h int) {
	t.Helper()
	lines := strings.Split(view, "\n")
	if len(lines) != h {
		t.Fatalf("%d×%d: %d lines", w, h, len(lines))
	}
	for y, line := range lines {
		bare := ansi.Strip(line)
		if n := ansi.StringWidth(bare); n != w {
			t.Fatalf("%d×%d: line %d is %d wide: %q", w, h, y, n, bare)
		}
	}
}

// Every size from 1×1 to 250×80: nothing panics, every view is exactly as wide
// and high as asked. States, modes and looks take turns, so that each meets
// every kind of size; the Edge screen, which has a sweep of its own, is looked
// at in its frame at one size in eleven.
func TestEverySize(t *testing.T) {
	step := 1
	switch {
	case testing.Short():
		step = 7
	case raceOn: // the detector makes drawing ten times slower and finds nothing more by size
		step = 8
	}
	open := []string{"", "?", "h", "n", "c", "", "r"}
	var ms []*Model
	var cs []*crew
	for _, c := range states(t) {
		for _, o := range []Options{{Profile: look.NoColor}, {Profile: look.Colors16, Glyphs: look.ASCII, Sun: true}} {
			ms, cs = append(ms, console(c, o)), append(cs, c)
		}
	}
	i := 0
	for w := 1; w <= 250; w += step {
		for h := 1; h <= 80; h += step {
			i++
			m, c := ms[i%len(ms)], cs[i%len(ms)]
			m.shut()
			m.screen = 0
			if i%11 == 0 {
				m.screen = 1
			}
			m.Update(tea.WindowSizeMsg{Width: w, Height: h})
			if k := open[i%len(open)]; k != "" {
				c.clock.wall = c.clock.wall.Add(time.Second)
				m.Update(runes(k))
			}
			exact(t, m.View(), w, h)
		}
	}
}

// At the smallest sizes what counts is still there.
func TestTinyKeepsWhatCounts(t *testing.T) {
	all := states(t)
	for _, c := range []struct {
		state string
		w, h  int
		want  []string
	}{
		{"3-at-risk", 40, 1, []string{"HOLD", "2 BUCKETS DEAD"}},
		{"3-at-risk", 20, 2, []string{"HOLD", "2 BUCKETS DEAD"}},
		{"3-at-risk", 30, 6, []string{"2 BUCKETS DEAD", "WAY BLOCKED"}},
		{"2-mid-row", 10, 1, []string{"0:29"}},
		{"4-gone", 24, 3, []string{"LATE +", "2 BUCKETS DEAD"}},
	} {
		for screen := range 2 {
			m := sized(all[c.state], plainOptions(), c.w, c.h)
			m.screen, m.dirty = screen, true
			for _, w := range c.want {
				if !strings.Contains(m.View(), w) {
					t.Errorf("%s at %d×%d, screen %d, lacks %q:\n%s", c.state, c.w, c.h, screen, w, m.View())
				}
			}
		}
	}
}

// escapes are the texts of the cleaner's own corpus.
func escapes(t *testing.T) (texts []string) {
	t.Helper()
	f, err := os.Open("../clean/testdata/escapes.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) < 19 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	for _, r := range rows[1:] {
		text, err := strconv.Unquote(`"` + strings.ReplaceAll(r[1], `"`, `\"`) + `"`)
		if err != nil {
			t.Fatal(err)
		}
		texts = append(texts, text)
	}
	return texts
}

// What stands in names, notes, reasons and banners never moves, colours or ends
// anything, on either screen and whatever is open over it.
func TestNamesFromOutside(t *testing.T) {
	for _, bad := range append([]string{
		"\x1b[2J\x1b[31mred", "\x9b31m", "tab\there\r\nline", "\x00\x07\x08", "a\u202eb\u200dc", "日本語の区画日本語の区画", "👷🏽‍♀️🇩🇪❤️", "Z̵̡̢algo̴̧", "\xff\xfe",
		"\x1b]0;title\x07", "\x1b]52;c;aGk=\x07", strings.Repeat("long ", 60),
	}, escapes(t)...) {
		p := samplePlan()
		p.Title = bad
		c := open(t, p)
		c.pour(t, 3)
		c.do(t, day.Press{Kind: day.HoldBegan, Why: bad})
		c.do(t, day.Press{Kind: day.NoteWritten, Text: bad})
		c.do(t, day.Press{Kind: day.BatchScrapped, Why: bad})
		c.view.Banner = []string{bad, "two " + bad}
		for _, s := range [][2]int{{80, 24}, {160, 45}, {33, 7}} {
			for i, key := range []string{"", "l", "c", "?", "", "l", "c", "w"} {
				m := sized(c, Options{Profile: look.TrueColor, Title: bad}, s[0], s[1])
				m.screen = i / 4
				if key != "" {
					m.Update(runes(key))
				}
				m.say(look.GlyphWarn, look.Warn, bad)
				view := m.View()
				exact(t, view, s[0], s[1])
				for _, r := range view {
					if r < ' ' && r != '\n' && r != '\x1b' || r >= 0x7f && r < 0xa0 || r == 0x202e {
						t.Fatalf("%q lets %U through", bad, r)
					}
				}
				for _, seq := range strings.Split(view, "\x1b")[1:] {
					if !strings.HasPrefix(seq, "[") || strings.IndexFunc(seq[1:], func(r rune) bool { return r != ';' && (r < '0' || r > '9') }) < 0 ||
						seq[1+strings.IndexFunc(seq[1:], func(r rune) bool { return r != ';' && (r < '0' || r > '9') })] != 'm' {
						t.Fatalf("%q lets the sequence %q through", bad, seq[:min(len(seq), 12)])
					}
				}
			}
		}
	}
}

// Without colour there is no escape sequence at all, and in ASCII no other
// character.
func TestNoColourAndASCII(t *testing.T) {
	for name, c := range states(t) {
		view := sized(c, Options{Profile: look.NoColor, Glyphs: look.ASCII}, 100, 30).View()
		if i := strings.IndexFunc(view, func(r rune) bool { return r != '\n' && (r < ' ' || r > '~') }); i >= 0 {
			t.Errorf("%s: %q in an ASCII view without colour", name, view[i:min(i+8, len(view))])
		}
	}
}

// A frame costs the same whatever the day has seen.
func BenchmarkFrame(b *testing.B) {
	for _, n := range []int{50, 500} {
		p := samplePlan()
		p.Zones[0].Outline[2].Y, p.Zones[0].Outline[3].Y = 130, 130
		p.Lots[0].Parts = map[string]int{"A": 900, "B": 900, "aggregate": 900}
		c := open(b, p)
		for i := range n {
			c.do(b, day.Press{Kind: day.BatchStarted, Mixer: i%3 + 1})
			c.clock.wall = c.clock.wall.Add(90e9)
			if i >= 2 {
				c.do(b, day.Press{Kind: day.BatchPoured})
			}
		}
		for screen, name := range []string{"mix", "edge"} {
			b.Run(fmt.Sprintf("%s-%d", name, n), func(b *testing.B) {
				m := sized(c, Options{Profile: look.TrueColor}, 160, 45)
				m.screen = screen
				b.ReportAllocs()
				for b.Loop() {
					c.clock.wall = c.clock.wall.Add(1e9)
					m.Update(tickMsg{m.gen})
					_ = m.View()
				}
			})
		}
	}
}
