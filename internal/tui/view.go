package tui

import (
	"fmt"
	"strings"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/shift"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/keys"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/mix"
	"floorpace/internal/units"
)

// View gives the screen, exactly as wide and as high as the terminal.
func (m *Model) View() string {
	if m.redraw() {
		m.shown = m.canvas.String()
	}
	return m.shown
}

// redraw draws the canvas anew if something changed, and tells whether it did.
func (m *Model) redraw() bool {
	if !m.dirty {
		return false
	}
	m.dirty = false
	m.canvas.Reset(m.look(), m.w, m.h)
	m.draw(m.canvas.Pane())
	return true
}

// Rooms below which lines of the frame are given up.
const (
	barsW, barsH = 40, 10 // top line and banner
	footH        = 4      // bottom line
)

func (m *Model) draw(p frame.Pane) {
	if p.Empty() {
		return
	}
	if m.v == nil {
		p.PrintFit(0, 0, p.W(), look.Text, "the day is being opened")
		return
	}
	body := p
	if bars := p.W() >= barsW && p.H() >= barsH; bars {
		var top frame.Pane
		top, body = body.Top(1)
		m.top(top)
		lines := m.bannerShown()
		top, body = body.Top(len(lines))
		m.banner(top, lines)
	}
	body = m.foot(body, p.H())
	if m.mode == helping {
		m.drawHelp(body)
		return
	}
	if body.Empty() {
		return
	}
	at := m.at()
	switch {
	case m.screen == 0:
		m.mix.Draw(body, m.v, at)
	case p.W() < barsW || p.H() < barsH:
		m.mix.Tiny(body, m.v, at)
	case m.mode != normal && body.H() > 8: // what is open must not hide the clock
		head, rest := body.Top(5)
		m.mix.Tiny(head, m.v, at)
		if s, ok := m.o.Screens[m.screen-1].Screen.(peeker); ok {
			s.Peek(rest, m.v)
			return
		}
		m.o.Screens[m.screen-1].Screen.Draw(rest, m.v)
	default:
		m.o.Screens[m.screen-1].Screen.Draw(body, m.v)
	}
}

// peeker is a screen that can be drawn in less room without counting its pages
// anew.
type peeker interface {
	Peek(p frame.Pane, v *shift.View)
}

func (m *Model) at() mix.At {
	at := mix.At{Now: m.dayNow(), Key: m.keyFor}
	n, since := m.o.Source.Waiting()
	at.Waiting = n
	if n > 0 {
		at.Since = max(m.now.Wall.Sub(since), 0)
	}
	return at
}

// foot draws what stands below the screen (list, line, strip, bottom line) and
// gives what is left above it.
func (m *Model) foot(p frame.Pane, h int) frame.Pane {
	var foot frame.Pane
	switch {
	case m.mode == listing:
		// A list never takes more than half: the clock stays in view.
		p, foot = p.Bottom(m.list.Layout(p.W(), max(p.H()/2, 1)))
		m.list.Draw(foot)
		return p
	case m.mode == entering:
		p, foot = p.Bottom(min(2, max(p.H()/2, 1)))
		m.line.Draw(foot)
		return p
	case h < footH:
		return p
	}
	p, foot = p.Bottom(1)
	m.bottom(foot)
	if m.o.Strip != nil {
		n := min(m.o.Strip.Rows(p.W(), h), p.H()/3)
		p, foot = p.Bottom(n)
		m.o.Strip.Draw(foot, m.v)
	}
	return p
}

// top draws tabs, zone, state of the log, heartbeat and clock.
func (m *Model) top(p frame.Pane) {
	right := m.lamps()
	w := frame.SpansWidth(right...)
	p.Spans(max(p.W()-w, 0), 0, right...)
	p, _ = p.Left(p.W() - w - 1)
	x := m.tab(p, 0, "Mix", m.screen == 0)
	for i, s := range m.o.Screens {
		x = m.tab(p, x, s.Name, m.screen == i+1)
	}
	x++
	if t := clean.String(m.o.Title); t != "" {
		x = p.PrintFit(x, 0, p.W()-x, look.Accent, t) + 2
	}
	v := m.v
	if v.Zone >= 0 {
		z := v.Zones[v.Zone]
		x = p.PrintFit(x, 0, p.W()-x, look.Text, fmt.Sprintf("zone %s %.0f %% laid", clean.String(z.Name), 100*z.Done)) + 2
	}
	if t := frame.Whole(clean.String(v.Plan.Title), p.W()-x); frame.Width(t) <= p.W()-x { // whole or not at all
		p.Print(x, 0, look.Dim, t)
	}
}

func (m *Model) tab(p frame.Pane, x int, name string, chosen bool) int {
	role := look.Dim
	if chosen {
		role = look.PlateText
		if !p.Look().Colour() {
			name = "[" + name + "]"
		}
	}
	return p.Print(x, 0, role, " "+name+" ")
}

// staleFor is how old a picture may be before the screen says so: a source
// publishes every second.
const staleFor = 5e9

// lamps gives the state of the log, the heartbeat and the clock.
func (m *Model) lamps() []frame.Span {
	l := m.look()
	g := func(x look.Glyph) string { return l.Glyph(x) + " " }
	var out []frame.Span
	add := func(r look.Role, s string) {
		out = append(out, frame.Span{Role: r, Text: s}, frame.Span{Role: look.Text, Text: "  "})
	}
	v := m.v
	n, since := m.o.Source.Waiting()
	wait := m.now.Wall.Sub(since)
	switch {
	case m.o.ReadOnly != "":
		add(look.Dim, "looking on")
	case v.Unsaved > 0:
		add(look.PlateBad, g(look.GlyphBad)+fmt.Sprintf("%d NOT SAVED", v.Unsaved))
	case n > 0 && wait > 2e9:
		add(look.Warn, g(look.GlyphWarn)+"disk slow")
	case n > 0:
		add(look.Text, "saving…")
	default:
		add(look.Good, g(look.GlyphGood)+"log")
	}
	switch v.Space.Level {
	case daylog.Alarm:
		add(look.Bad, g(look.GlyphBad)+"disk full")
	case daylog.Warn:
		add(look.Warn, g(look.GlyphWarn)+"disk")
	}
	if v.Second.On && v.Second.Level != daylog.Calm {
		add(look.Warn, g(look.GlyphWarn)+"copy")
	}
	if old := m.now.Mono - m.seen.Mono; old >= staleFor && (m.o.Rate == nil || m.o.Rate() > 0) {
		add(look.PlateBad, fmt.Sprintf("%s picture %d s old", l.Glyph(look.GlyphBad), int(old.Seconds())))
	}
	beat := l.Glyph(look.GlyphDot)
	if m.beat {
		beat = l.Glyph(look.GlyphBeat)
	}
	return append(out, frame.Span{Role: look.Accent, Text: beat + " "}, frame.Span{Role: look.Strong, Text: m.dayNow().Format("15:04:05") + " "})
}

// bottom says what became of the last key, else of the last press, and which
// key helps.
func (m *Model) bottom(p frame.Pane) {
	right := ""
	if k := m.keyFor(keys.Help); k != "" {
		right = k + " help"
	}
	if k := m.keyFor(keys.Other); k != "" {
		right = k + " " + m.nextName() + "  " + right
	}
	if frame.Width(right)+20 > p.W() {
		right = m.keyFor(keys.Help) + " help"
	}
	p.PrintRight(p.W()-1, 0, look.Dim, right)
	w := p.W() - frame.Width(right) - 3
	role, words := m.lastWords(p, w)
	p.PrintFit(0, 0, w, role, frame.Whole(words, w))
}

func (m *Model) nextName() string {
	i := (m.screen + 1) % (1 + len(m.o.Screens))
	if i == 0 {
		return "Mix"
	}
	return m.o.Screens[i-1].Name
}

func (m *Model) lastWords(p frame.Pane, w int) (look.Role, string) {
	g := func(x look.Glyph) string { return p.Glyph(x) + " " }
	if m.note.words != "" {
		return m.note.role, g(m.note.glyph) + clean.String(m.note.words)
	}
	v := m.v
	if n, since := m.o.Source.Waiting(); n > 0 {
		return look.Warn, mix.Saving(n, max(m.now.Wall.Sub(since), 0))
	}
	if v.Unsaved > 0 {
		return look.Bad, g(look.GlyphBad) + units.Count(v.Unsaved, "press is in memory only: it is", "presses are in memory only: they are") + " written as soon as the disk takes " + map[bool]string{true: "it", false: "them"}[v.Unsaved == 1]
	}
	for _, s := range []string{v.Space.Words, v.Second.Words} {
		if s != "" {
			return look.Warn, g(look.GlyphWarn) + clean.String(s)
		}
	}
	n := len(v.LastAre)
	if len(v.Jobs) > 0 && (n == 0 || m.dayNow().Sub(v.LastAre[n-1].At) >= noteFor) {
		return look.Accent, m.jobWords(p, w)
	}
	if n == 0 {
		return look.Dim, ""
	}
	e := v.LastAre[n-1]
	s := g(look.GlyphGood) + "saved " + e.At.Format("15:04:05") + " " + mix.Words(e, v.Plan.Units)
	if k := m.keyFor(keys.Undo); k != "" && e.Kind != day.PressUndone {
		s += "; " + k + " takes it back"
	}
	return look.Good, s
}

// jobKeys are the keys with which a job that is due is put on record.
var jobKeys = map[string]keys.Action{day.JobRead: keys.Reading, day.JobSpot: keys.Reading, day.JobCount: keys.Tally}

// jobWords say what is due and with which key it goes on record: with its
// figures, else without, else the first and how many more.
func (m *Model) jobWords(p frame.Pane, w int) string {
	var long, short []string
	for _, j := range m.v.Jobs {
		what := clean.String(j.What)
		if k := m.keyFor(jobKeys[j.ID]); k != "" {
			what = k + " " + what
		}
		short, long = append(short, what), append(long, what+", "+clean.String(j.Why))
	}
	sign, dot := p.Glyph(look.GlyphRight)+" ", " "+p.Glyph(look.GlyphDot)+" "
	for _, words := range [][]string{long, short} {
		if s := sign + strings.Join(words, dot); frame.Width(s) <= w {
			return s
		}
	}
	if n := len(short); n > 1 {
		return sign + fmt.Sprintf("%s, +%d more", short[0], n-1)
	}
	return sign + short[0]
}
