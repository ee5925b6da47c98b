package tui

import (
	"time"

	"floorpace/internal/tui/keys"
	"floorpace/internal/tui/look"

	tea "github.com/charmbracelet/bubbletea"
)

// note is what the bottom line says for a while.
type note struct {
	glyph look.Glyph
	role  look.Role
	words string
	until time.Duration // of the machine's clock that counts sleep
}

// noteFor is long enough to look up from the drill and read a line.
const noteFor = 8 * time.Second

func (m *Model) say(g look.Glyph, r look.Role, words string) {
	m.note = note{g, r, words, m.now.Mono + noteFor}
	m.dirty = true
}

// warn says why a key did nothing.
func (m *Model) warn(words string) tea.Cmd {
	m.say(look.GlyphWarn, look.Warn, words)
	return nil
}

// Update takes one message. Nothing in here waits, reads a file or works out a
// day.
func (m *Model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	m.now = m.o.Now()
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.resize(msg.Width, msg.Height)
	case sizeMsg:
		m.resize(msg.w, msg.h)
	case tickMsg:
		if msg.gen != m.gen {
			return m, nil
		}
		m.beat = !m.beat
		m.dirty = true
		m.take()
		m.expire()
		return m, tea.Batch(m.ring(), tea.WindowSize(), m.tick())
	case wakeMsg:
		if msg.gen != m.gen || msg.ended {
			return m, nil
		}
		m.take()
		return m, tea.Batch(m.ring(), m.listen())
	case doubtMsg:
		if m.guard.inQ && msg.gen == m.guard.gen {
			m.guard.inQ = false
			return m, m.single(msg.name)
		}
	case endMsg:
		return m, tea.Quit
	case tea.KeyMsg:
		m.dirty = true
		return m, m.key(msg)
	}
	return m, nil
}

func (m *Model) resize(w, h int) {
	if w == m.w && h == m.h {
		return
	}
	m.w, m.h, m.dirty = max(w, 0), max(h, 0), true
}

// expire closes what was left open and takes away what was said.
func (m *Model) expire() {
	if m.note.words != "" && m.now.Mono >= m.note.until {
		m.note = note{}
	}
	if (m.mode == listing || m.mode == entering) && m.now.Mono >= m.closeAt {
		m.shut()
		m.warn("nothing was pressed: the list was closed, nothing taken")
	}
}

// Times after which an open list or line closes itself: a digit meant for a
// mixer must not find a list that somebody left open.
const (
	listOpen = 15 * time.Second
	lineOpen = time.Minute
)

func (m *Model) shut() {
	m.mode, m.list, m.choices, m.line, m.taken = normal, nil, nil, nil, nil
}

// leaveFor is how soon the second Ctrl+C must follow.
const leaveFor = 3 * time.Second

// key takes a key: first what leaves the program, then the mode, then the
// guard against bounces and bursts, and only then the bindings.
func (m *Model) key(k tea.KeyMsg) tea.Cmd {
	name := keys.Name(k.String())
	switch k.Type {
	case tea.KeyCtrlC:
		if m.now.Mono < m.leaveBy {
			return tea.Quit
		}
		m.leaveBy = m.now.Mono + leaveFor
		return m.warn("Ctrl+C again within 3 s leaves; nothing is lost, the day goes on when it is opened again")
	case tea.KeyCtrlZ:
		return m.warn("Ctrl+Z does nothing here: the clock must stay in view")
	}
	if m.mode == entering {
		m.guard.note(name, m.now.Mono)
		return m.write(k, name)
	}
	if m.mode == normal && m.o.Strip != nil && m.o.Strip.Key(name, m.now) {
		m.guard.note(name, m.now.Mono) // it writes nothing, so a held key may go on: it scrubs
		return nil
	}
	var before tea.Cmd
	if m.guard.inQ && name != m.guard.last { // another key followed: the press in doubt was meant
		before = m.single(m.guard.last)
	}
	one, words := m.guard.pass(k, name, m.now.Mono, m.doubtful)
	switch {
	case words != "":
		return tea.Batch(before, m.warn(words))
	case one == "":
		return tea.Batch(before, m.doubt())
	}
	return tea.Batch(before, m.single(one))
}

// single takes one key that was meant.
func (m *Model) single(name string) tea.Cmd {
	m.dirty = true
	switch m.mode {
	case listing:
		return m.choose(name)
	case helping:
		return m.helpKey(name)
	case entering:
		return nil // a line was opened while the press was in doubt
	}
	a, ok := m.o.Keys.Action(name)
	if !ok {
		return m.warn(printable(name) + " does nothing: " + m.o.Keys.Key(keys.Help) + " lists what works now")
	}
	return m.act(a)
}

// doubtful tells whether a key, pressed now, would write to the day at once.
func (m *Model) doubtful(name string) bool {
	if m.mode != normal {
		return false
	}
	a, ok := m.o.Keys.Action(name)
	return ok && a.Presses()
}

func (m *Model) doubt() tea.Cmd {
	d := doubtMsg{m.guard.gen, m.guard.last}
	return tea.Tick(doubtFor, func(time.Time) tea.Msg { return d })
}

func (m *Model) write(k tea.KeyMsg, name string) tea.Cmd {
	m.closeAt = m.now.Mono + lineOpen
	var chars []rune
	if k.Type == tea.KeyRunes && !k.Alt {
		chars = k.Runes
		if len(chars) > 1 {
			name = ""
		}
	}
	out := m.line.Key(name, chars)
	switch {
	case out.Left:
		m.shut()
		m.say(look.GlyphDot, look.Text, "left: nothing taken")
	case out.Done:
		taken := m.taken
		m.shut()
		m.note = note{}
		return taken(out)
	}
	return nil
}

func (m *Model) choose(name string) tea.Cmd {
	m.closeAt = m.now.Mono + listOpen
	i, ok, left := m.list.Key(name)
	switch {
	case left:
		m.shut()
	case ok:
		do := m.choices[i]
		m.shut()
		m.note = note{}
		if do != nil {
			return do()
		}
	}
	return nil
}
