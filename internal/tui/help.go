package tui

import (
	"strings"

	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/keys"
	"floorpace/internal/tui/look"

	tea "github.com/charmbracelet/bubbletea"
)

// helpLines lists the keys that do something now, and only those.
func (m *Model) helpLines() [][2]string {
	var out [][2]string
	if m.o.Strip != nil {
		out = append(out, m.o.Strip.Help()...)
	}
	for _, a := range keys.Actions() {
		ks := m.o.Keys.Keys(a)
		if len(ks) == 0 || !m.works(a) {
			continue
		}
		what := a.What()
		switch {
		case a == keys.Hold && m.v.Hold != nil:
			what = "go on"
		case a == keys.Hold:
			what = "hold, with a reason"
		case a.Mixer() > 0 && m.v.Plan.Rules.StepPresses && m.v.Mixers[a.Mixer()-1].Batch > 0:
			what = "next step on mixer " + string(rune('0'+a.Mixer()))
		}
		out = append(out, [2]string{strings.Join(ks, " "), what})
	}
	return append(out, [2]string{"ctrl+c", "twice leaves, nothing lost"})
}

// drawHelp draws the call of the mix station, so that the clock stays in view,
// and the keys below it.
func (m *Model) drawHelp(p frame.Pane) {
	if p.H() >= 12 {
		head, rest := p.Top(max(5, p.H()/4))
		m.mix.Tiny(head, m.v, m.at())
		p = rest
	}
	p = p.Title("What works now", "any key goes back")
	lines := m.helpLines()
	const wide = 38 // "backspace u" and the longest action
	cols := max(p.W()/wide, 1)
	per := cols * p.H()
	if per == 0 {
		return
	}
	pages := (len(lines) + per - 1) / per
	if m.help >= pages {
		m.help = 0
	}
	if pages > 1 { // the last row says how to see the rest
		per = cols * max(p.H()-1, 1)
		pages = (len(lines) + per - 1) / per
		if m.help >= pages {
			m.help = 0
		}
		p.Row(p.H()-1).PrintFit(0, 0, p.W(), look.Dim, m.o.Keys.Key(keys.Page)+" shows more")
		if p.H() > 1 {
			p, _ = p.Bottom(1)
		}
	}
	shown := lines[min(m.help*per, len(lines)):min((m.help+1)*per, len(lines))]
	keyW := 0
	for _, l := range lines {
		keyW = max(keyW, frame.Width(l[0]))
	}
	for i, l := range shown {
		c, y := i/p.H(), i%p.H()
		x := c * (p.W() / cols)
		p.PrintRight(x+keyW, y, look.Accent, l[0])
		p.PrintFit(x+keyW+1, y, p.W()/cols-keyW-2, look.Text, l[1])
	}
}

// helpKey turns the page; any other key goes back.
func (m *Model) helpKey(name string) tea.Cmd {
	if a, ok := m.o.Keys.Action(name); ok && a == keys.Page {
		m.help++
		return nil
	}
	m.mode = normal
	return nil
}
