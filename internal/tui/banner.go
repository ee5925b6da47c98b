package tui

import (
	"fmt"

	tea "github.com/charmbracelet/bubbletea"

	"floorpace/internal/clean"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/keys"
	"floorpace/internal/tui/look"
)

// Rows that the banner takes at most, and below which height only one.
const (
	bannerRows = 3
	bannerH    = 20
)

// banners are the sentences that stand until they are read, each once, the
// newest last.
func (m *Model) banners() []string {
	var out []string
	for i, s := range m.v.Banner {
		if i == 0 || s != m.v.Banner[i-1] {
			out = append(out, s)
		}
	}
	return out
}

// bannerLines are all sentences whole, broken into lines beside the hint.
func (m *Model) bannerLines() []string {
	var out []string
	w := m.w - 2 - 2 - 2 - frame.Width(m.bannerHint(bannerRows)) // edges, sign, gap
	for _, words := range m.banners() {
		sign := m.look().Glyph(look.GlyphWarn) + " "
		for _, line := range frame.WrapLines(clean.String(words), w) {
			out = append(out, sign+line)
			sign = "  "
		}
	}
	return out
}

// bannerShown are the lines that there is room for, from where the crew has read
// to.
func (m *Model) bannerShown() []string {
	lines := m.bannerLines()
	if m.bannerAt >= len(lines) {
		m.bannerAt = 0
	}
	lines = lines[m.bannerAt:]
	return lines[:min(len(lines), m.bannerRoom())]
}

func (m *Model) bannerRoom() int {
	if m.h < bannerH {
		return 1
	}
	return bannerRows
}

// bannerHint says which key reads on, or takes the banner away.
func (m *Model) bannerHint(more int) string {
	key := m.o.Keys.Key(keys.Quiet)
	switch {
	case more <= 0 && m.o.ReadOnly != "":
		return ""
	case more <= 0:
		return key + ": read"
	case m.o.ReadOnly != "":
		return fmt.Sprintf("+%d more", more)
	}
	return fmt.Sprintf("%s: %d more", key, more)
}

func (m *Model) banner(p frame.Pane, lines []string) {
	hint := m.bannerHint(len(m.bannerLines()) - m.bannerAt - len(lines))
	for y, words := range lines {
		row := p.Row(y)
		row.Plate(look.PlateWarn)
		if y == 0 && hint != "" {
			row.PrintRight(row.W()-1, 0, look.PlateWarn, hint)
		}
		row.PrintFit(1, 0, row.W()-2, look.PlateWarn, words)
	}
}

// quiet reads on in the banner, and takes it away once all of it was shown.
func (m *Model) quiet() tea.Cmd {
	if len(m.v.Banner) == 0 {
		return m.warn("no banner stands; Ctrl+C twice leaves, nothing is lost")
	}
	if m.w >= barsW && m.h >= barsH {
		if on := m.bannerAt + m.bannerRoom(); on < len(m.bannerLines()) {
			m.bannerAt = on
			return nil
		}
	}
	if !m.o.Source.Quiet(m.now.Wall) {
		return m.warn("not taken: press again")
	}
	m.bannerAt = 0
	return nil
}
