// Package tui is the console: the root of the screens, and the only place that
// knows Bubble Tea. It decides the mode before it looks at a key, so that a
// letter typed into a note never reaches a batch; it keeps one tick for the
// whole program; it draws the newest view from a mailbox and writes nothing
// itself.
//
// Whoever drives the day (a live pour, a demo, a log that is followed, a
// replay) is a Source; all share these screens. Time comes from the options as
// a reading of the machine's clocks.
//
//	m := tui.New(tui.Options{Source: shift, Now: clock.Now, Screen: "edge"})
//	err := tui.Run(ctx, m, os.Stdin, os.Stdout)
package tui

import (
	"fmt"
	"strings"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/shift"
	"floorpace/internal/tui/edge"
	"floorpace/internal/tui/entry"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/keys"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/mix"

	tea "github.com/charmbracelet/bubbletea"
)

// Source is where views come from and presses go to. *shift.Shift is one.
type Source interface {
	Latest() *shift.View             // the newest view; nil before the first
	Changed() <-chan struct{}        // receives after a new view was published
	Press(day.Press, time.Time) bool // queues a press; false when it cannot be taken
	Quiet(time.Time) bool            // the banner was read
	Waiting() (int, time.Time)       // presses not yet on disk, and since when
}

// Screen is one screen beside Mix. It draws a view, exactly inside its pane.
type Screen interface {
	Draw(p frame.Pane, v *shift.View)
}

// Pager is a Screen with more than one page.
type Pager interface {
	NextPage()
	FirstPage()
	Page() (page, of int)
}

// Strip is a few rows above the bottom line with keys of their own: the time
// line of a replay.
type Strip interface {
	Rows(w, h int) int
	Draw(p frame.Pane, v *shift.View)
	// Key takes a key by name before the bindings see it; false passes it on.
	Key(name string, now daylog.Reading) bool
	// Help lists keys and what they do, for the help.
	Help() [][2]string
}

// Named is a screen with the word on its tab.
type Named struct {
	Name   string
	Screen Screen
}

// Options are what a console is made of. Source and Now must be given.
type Options struct {
	Source  Source
	Now     func() daylog.Reading
	Screens []Named // after Mix, in the order of Tab; nil: the Edge screen
	Screen  string  // name of the screen to begin with, in any case; "" is Mix
	Title   string  // a word or two on the top line: "demo"
	// ReadOnly says in words why presses are not taken here; "" takes them.
	ReadOnly string
	// Rate is how fast the day's clock runs against the machine's; nil is 1. A
	// replay that stands still says 0.
	Rate    func() float64
	Keys    *keys.Map
	Sun     bool // begin with the palette for bright daylight
	Profile look.Profile
	Glyphs  look.GlyphSet
	Bell    func() // rings; called from a command, never more than once a second
	Strip   Strip
}

// mode is decided before any key is matched.
type mode uint8

const (
	normal mode = iota
	listing
	entering
	helping
)

// Model is the root. It is a tea.Model; use it by pointer.
type Model struct {
	o     Options
	looks [2]*look.Look
	sun   bool

	w, h    int
	mode    mode
	screen  int // 0 is Mix
	mix     *mix.Screen
	list    *entry.List
	choices []func() tea.Cmd
	after   bool // the list only asks why of what is saved: any other key goes past it
	line    *entry.Line
	taken   func(entry.Outcome) tea.Cmd
	closeAt time.Duration // when an open list or line closes itself
	lateBy  time.Duration // until then a digit was meant for the list that closed itself
	help    int           // page of the help

	v        *shift.View
	now      daylog.Reading
	seen     daylog.Reading // when v was first seen
	answered int64          // newest answer spoken of
	beat     bool
	gen      int // of the asynchronous replies that are still wanted

	bannerAt int // first line of the banner that is shown

	note    note
	guard   guard
	doubted inDoubt
	leaveBy time.Duration // a second Ctrl+C before this leaves
	bell    bell

	canvas *frame.Canvas
	shown  string
	dirty  bool
}

// New makes a console. It reads no clock and no view yet.
func New(o Options) *Model {
	if o.Keys == nil {
		o.Keys = keys.Default()
	}
	m := &Model{o: o, sun: o.Sun, mix: mix.New(), dirty: true, bell: bell{rung: map[string]time.Time{}}}
	m.looks = [2]*look.Look{look.New(look.Dark(), o.Profile, o.Glyphs), look.New(look.Sun(), o.Profile, o.Glyphs)}
	m.canvas = frame.New(m.look(), 0, 0)
	if o.Screens == nil {
		e := edge.New()
		e.PageKey = m.o.Keys.Key(keys.Page)
		if o.ReadOnly == "" { // a key that is not taken here is not named
			e.WaysKey, e.AnswerKey, e.DecideKey = m.o.Keys.Key(keys.WaysOut), m.o.Keys.Key(keys.Answer), m.o.Keys.Key(keys.Decide)
		}
		m.o.Screens = []Named{{"Edge", e}}
	}
	for i, s := range m.o.Screens {
		if strings.EqualFold(s.Name, o.Screen) {
			m.screen = i + 1
		}
	}
	return m
}

func (m *Model) look() *look.Look {
	if m.sun {
		return m.looks[1]
	}
	return m.looks[0]
}

// Init starts the tick and the wait for the next view.
func (m *Model) Init() tea.Cmd {
	m.now = m.o.Now()
	m.take()
	return tea.Batch(m.tick(), m.listen())
}

// Messages of our own. Each carries the generation it was asked in; a stale
// one is dropped in Update and nowhere else.
type (
	tickMsg struct{ gen int }
	wakeMsg struct {
		gen   int
		ended bool
	}
	doubtMsg struct {
		gen  int
		name string
	}
	endMsg struct{} // end of input
)

// tick asks for the next full second. tea.Tick counts from when it is built,
// so it is built in the return statement that sends it; what is shown is
// worked out from instants, never from counted ticks.
func (m *Model) tick() tea.Cmd {
	gen := m.gen
	return tea.Tick(time.Second-time.Duration(m.now.Wall.Nanosecond()), func(time.Time) tea.Msg { return tickMsg{gen} })
}

// listenFor bounds how long a command waits for a view, so that none outlives
// the program by more than this.
const listenFor = 5 * time.Second

func (m *Model) listen() tea.Cmd {
	gen, changed := m.gen, m.o.Source.Changed()
	return func() tea.Msg {
		t := time.NewTimer(listenFor)
		defer t.Stop()
		select {
		case _, open := <-changed:
			return wakeMsg{gen, !open}
		case <-t.C:
			return wakeMsg{gen, false}
		}
	}
}

// take looks into the mailbox and speaks of answers that are new.
func (m *Model) take() {
	v := m.o.Source.Latest()
	if v == nil || v == m.v {
		return
	}
	first, before := m.v == nil, m.v
	m.v, m.seen, m.dirty = v, m.now, true
	for _, a := range v.Answers {
		if a.ID <= m.answered {
			continue
		}
		m.answered = a.ID
		switch {
		case first: // pressed before this screen was opened
		case a.Refused != "":
			m.say(look.GlyphBad, look.Bad, "not taken: "+a.Refused)
		default:
			m.note = note{}
			m.sayDead(a.Press.Kind, before)
		}
	}
}

// sayDead says that the batch just poured was past its life: it is on the
// floor, and wants a decision while it still lifts.
func (m *Model) sayDead(k day.Kind, before *shift.View) {
	if k != day.BatchPoured {
		return
	}
	for i := len(m.v.LastAre) - 1; i >= 0; i-- {
		e := &m.v.LastAre[i]
		if e.Kind != day.BatchPoured {
			continue
		}
		for _, b := range before.Buckets {
			if b.Batch == e.Batch && b.OK && b.Left <= e.At.Sub(before.Now) {
				words := fmt.Sprintf("batch %d poured DEAD, on the floor", b.Batch)
				if k := m.keyFor(keys.Wrong); k != "" {
					words += ": " + k + " says it is bad"
				}
				m.say(look.GlyphBad, look.Bad, words)
			}
		}
		return
	}
}

// dayNow is the instant shown: the view's, moved on by the machine's clock.
func (m *Model) dayNow() time.Time {
	rate := 1.0
	if m.o.Rate != nil {
		rate = m.o.Rate()
	}
	return m.v.Now.Add(time.Duration(float64(m.now.Mono-m.seen.Mono) * rate))
}
