package tui

import (
	"time"

	"floorpace/internal/tui/entry"
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
			return m, m.settle()
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
		if m.mode == listing && !m.after {
			m.lateBy = m.now.Mono + listLate
		}
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

// listLate is how long after a list has closed itself a digit was still meant for
// it: a hand on its way does not stop sooner.
const listLate = 2 * time.Second

func (m *Model) shut() {
	m.mode, m.list, m.choices, m.line, m.taken, m.after = normal, nil, nil, nil, nil, false
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
		return m.warn("Ctrl+C again within 3 s leaves; nothing is lost")
	case tea.KeyCtrlZ:
		return m.warn("Ctrl+Z does nothing here: the clock must stay in view")
	}
	if m.mode == normal && m.o.Strip != nil && m.o.Strip.Key(name, m.now) {
		m.guard.note(name, m.now.Mono) // it writes nothing, so a held key may go on: it scrubs
		return nil
	}
	var before tea.Cmd
	if g := &m.guard; g.inQ && (m.lineName(k, name) != g.last || m.now.Mono-g.at >= doubtFor) {
		before = m.settle() // another key followed, or none soon: the press in doubt was meant
	}
	if m.mode == entering {
		return tea.Batch(before, m.typed(k, m.lineName(k, name)))
	}
	one, words := m.guard.pass(k, name, m.now.Mono, m.doubtful)
	switch {
	case words != "":
		return tea.Batch(before, m.held(words))
	case one == "":
		return tea.Batch(before, m.doubt(k))
	}
	return tea.Batch(before, m.single(one))
}

// lineName is the name of a key for a line: that of the one character of which
// several came in one piece.
func (m *Model) lineName(k tea.KeyMsg, name string) string {
	if m.mode == entering && !k.Paste && len(k.Runes) > 1 && same(k.Runes) {
		return keys.Name(string(k.Runes[:1]))
	}
	return name
}

// typed takes a key for the open line.
func (m *Model) typed(k tea.KeyMsg, name string) tea.Cmd {
	ok, words := m.guard.typed(k, name, m.now.Mono)
	switch {
	case !ok && words == "":
		return m.doubt(k)
	case !ok:
		return m.held(words)
	case words != "":
		k.Runes = k.Runes[:1]
		cmd := m.write(k, name)
		m.held(words)
		return cmd
	}
	return m.write(k, name)
}

// held says that a key was not taken, where the eye is: on the open list or
// line, else on the bottom line.
func (m *Model) held(words string) tea.Cmd {
	switch m.mode {
	case listing:
		m.list.Say(words)
	case entering:
		m.line.Say(words)
	}
	return m.warn(words)
}

// inDoubt is a press that waits for the next one, and what was open when it
// came: a list that closed itself meanwhile must not hand its digit to a mixer.
type inDoubt struct {
	key  tea.KeyMsg
	mode mode
	list *entry.List
	line *entry.Line
}

// settle takes the press that was in doubt, if what it was meant for is still
// open.
func (m *Model) settle() tea.Cmd {
	m.guard.inQ = false
	d := m.doubted
	switch {
	case d.mode != m.mode || d.list != m.list || d.line != m.line:
		return nil
	case m.mode == entering:
		m.dirty = true
		return m.write(d.key, m.guard.last)
	}
	return m.single(m.guard.last)
}

// single takes one key that was meant.
func (m *Model) single(name string) tea.Cmd {
	m.dirty = true
	switch m.mode {
	case listing:
		return m.choose(name)
	case helping:
		return m.helpKey(name)
	}
	if m.now.Mono < m.lateBy && listKey(name) {
		m.lateBy = 0
		return m.warn("the list had just closed, " + printable(name) + " was not taken: press again")
	}
	a, ok := m.o.Keys.Action(name)
	if !ok {
		return m.warn(printable(name) + " does nothing: " + m.o.Keys.Key(keys.Help) + " lists what works now")
	}
	return m.act(a)
}

// doubtful tells whether a key, pressed now, would write to the day at once, or
// choose what may.
func (m *Model) doubtful(name string) bool {
	if m.mode != normal {
		return name != "esc"
	}
	a, ok := m.o.Keys.Action(name)
	return ok && a.Presses()
}

func (m *Model) doubt(k tea.KeyMsg) tea.Cmd {
	m.doubted = inDoubt{k, m.mode, m.list, m.line}
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
	if m.after && !listKey(name) {
		if _, known := m.o.Keys.Action(name); known { // what was pressed is saved: the next press need not wait
			m.shut()
			return m.single(name)
		}
	}
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

// listKey tells whether a list itself takes a key.
func listKey(name string) bool {
	return name == "esc" || name == "space" || len(name) == 1 && name[0] >= '0' && name[0] <= '9'
}
