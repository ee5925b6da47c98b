package tui

import (
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/tui/keys"
	"floorpace/internal/tui/look"

	tea "github.com/charmbracelet/bubbletea"
)

// act does what a key is bound to.
func (m *Model) act(a keys.Action) tea.Cmd {
	if done := m.turn(a); done {
		return nil
	}
	if m.v == nil {
		return m.warn("the day is still being opened")
	}
	switch a { // looking, also where presses are not taken
	case keys.Calls:
		return m.listCalls()
	case keys.WaysOut:
		return m.listWays()
	}
	if m.o.ReadOnly != "" {
		return m.warn(m.o.ReadOnly)
	}
	if n := a.Mixer(); n > 0 {
		return m.mixer(n)
	}
	switch a {
	case keys.Pour:
		return m.press(day.Press{Kind: day.BatchPoured})
	case keys.Undo:
		return m.press(day.Press{Kind: day.PressUndone})
	case keys.Hold:
		return m.hold()
	case keys.Answer:
		return m.answer()
	case keys.Rolled:
		return m.row(day.RowRolled, "rolled", m.v.Finishing.Roll, func(r *day.RowWindow) bool { return r.RolledAt.IsZero() })
	case keys.Broadcast:
		return m.row(day.RowBroadcast, "broadcast", m.v.Finishing.Broad, func(r *day.RowWindow) bool { return r.BroadcastAt.IsZero() })
	case keys.RakeReset:
		return m.press(day.Press{Kind: day.RakeReset})
	case keys.Quiet:
		return m.quiet()
	}
	return m.open(a)
}

// turn does what concerns the screen alone.
func (m *Model) turn(a keys.Action) bool {
	switch a {
	case keys.Other:
		m.screen = (m.screen + 1) % (1 + len(m.o.Screens))
	case keys.Palette:
		m.sun = !m.sun
	case keys.Help:
		m.mode, m.help = helping, 0
	case keys.Page:
		if s, ok := m.pager(); ok {
			s.NextPage()
		} else {
			m.warn("this screen has one page")
		}
	default:
		return false
	}
	return true
}

func (m *Model) pager() (Pager, bool) {
	if m.screen == 0 {
		return nil, false
	}
	p, ok := m.o.Screens[m.screen-1].Screen.(Pager)
	if !ok {
		return nil, false
	}
	_, of := p.Page()
	return p, of > 1
}

// press hands a press to the one who writes.
func (m *Model) press(p day.Press) tea.Cmd {
	if m.o.ReadOnly != "" {
		return m.warn(m.o.ReadOnly)
	}
	m.note = note{}
	if !m.o.Source.Press(p, m.now.Wall) {
		m.say(look.GlyphBad, look.Bad, "not taken: too many presses wait for the disk. Press again when they are saved")
	}
	return nil
}

// mixer starts the next batch on a mixer, or marks the end of a step where the
// plan wants steps on record.
func (m *Model) mixer(n int) tea.Cmd {
	p := day.Press{Kind: day.BatchStarted, Mixer: n}
	if m.v.Plan.Rules.StepPresses && n <= len(m.v.Mixers) && m.v.Mixers[n-1].Batch > 0 {
		p.Kind = day.BatchStepped
	}
	return m.press(p)
}

// hold begins a hold with a reason, or goes on.
func (m *Model) hold() tea.Cmd {
	h := m.v.Hold
	switch {
	case h == nil && len(m.v.Forbidden) > 0:
		return m.againstSheet()
	case h == nil:
		return m.reasons("Hold: why", []string{"WAY BLOCKED", "NO POWER", "NO RUNNER", "RAKE BEHIND", "KITS NOT READY", "CHECK THE MIX", "BREAK", "WEATHER"}, day.Press{Kind: day.HoldBegan})
	case h.Stop:
		m.openList("Mixing is stopped: "+clean.String(h.Why), choice{"all clear: go on mixing", "", func() tea.Cmd {
			return m.press(day.Press{Kind: day.HoldEnded})
		}})
		return nil
	}
	return m.press(day.Press{Kind: day.HoldEnded})
}

func (m *Model) topCall(loud bool) *day.Call {
	for i := range m.v.Calls {
		if c := &m.v.Calls[i]; c.Shelved.IsZero() && (c.Loud() || !loud) {
			return c
		}
	}
	return nil
}

func (m *Model) answer() tea.Cmd {
	c := m.topCall(true)
	if c == nil {
		return m.warn("no call waits for an answer")
	}
	return m.press(day.Press{Kind: day.CallAcked, Call: c.ID})
}

// row records the oldest row that is down and still lacks the step; one of
// another zone first while its window is open.
func (m *Model) row(k day.Kind, word string, waits []day.FinishRow, open func(*day.RowWindow) bool) tea.Cmd {
	if q := m.elsewhere(waits); q != nil {
		return m.press(day.Press{Kind: k, Zone: q.Zone, Row: q.Row})
	}
	if r := m.openRow(open); r != nil {
		return m.press(day.Press{Kind: k, Row: r.Row})
	}
	return m.warn("no row waits to be " + word)
}

// elsewhere is the row with the fewest minutes left of a zone that is not the
// one looked at; nil for none.
func (m *Model) elsewhere(waits []day.FinishRow) *day.FinishRow {
	for i := range waits {
		if q := &waits[i]; !q.Off && (m.v.Floor == nil || q.Zone != m.v.Floor.Z.Name) {
			return q
		}
	}
	return nil
}

func (m *Model) openRow(open func(*day.RowWindow) bool) *day.RowWindow {
	for i := len(m.v.Rows) - 1; i >= 0; i-- {
		if r := &m.v.Rows[i]; open(r) {
			return r
		}
	}
	return nil
}

// keyFor names the key of an action that works now, for the screens.
func (m *Model) keyFor(a keys.Action) string {
	if !m.works(a) {
		return ""
	}
	return m.o.Keys.Key(a)
}

// bell keeps how often it has rung for what.
type bell struct {
	rung map[string]time.Time // call → when it spoke, as last rung for
	at   time.Duration
	ever bool
}

const (
	bellGap   = time.Second      // never more than one a second
	bellAgain = 10 * time.Second // a call of the first grade rings again until it is answered
)

// ring rings for loud calls of the first and second grade: once when raised,
// and for the first grade again and again until it is answered. The third grade
// is silent: it waits for a free hand.
func (m *Model) ring() tea.Cmd {
	if m.v == nil || m.o.Bell == nil || m.bell.ever && m.now.Mono-m.bell.at < bellGap {
		return nil
	}
	ring := false
	for i := range m.v.Calls {
		c := &m.v.Calls[i]
		if !c.Loud() || c.Grade > 2 {
			continue
		}
		if !m.bell.rung[c.ID].Equal(c.Spoke) || c.Grade == 1 && m.now.Mono-m.bell.at >= bellAgain {
			m.bell.rung[c.ID], ring = c.Spoke, true
		}
	}
	if !ring {
		return nil
	}
	m.bell.at, m.bell.ever = m.now.Mono, true
	do := m.o.Bell
	return func() tea.Msg { do(); return nil }
}
