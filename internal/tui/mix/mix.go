// Package mix is the screen for the operator at the mix station: wet gloves,
// earmuffs, three metres from the laptop, eyes on the drill.
//
// One thing stands in large digits: when to start the next batch (a count-down,
// then START, then how late) or HOLD with the reason in a word. Below it each
// mixer with its step, what comes next and when; each bucket that is out with
// its age and what is left of its life, oldest first; the pace; the edge's
// least slack; the last presses.
//
// Everything is drawn from a view that nobody changes and from an instant given
// as an argument; between two views ages and count-downs go on by that
// instant. The room is given out in a fixed order: the large digits and the
// worst call last of all give theirs up.
package mix

import (
	"time"

	"floorpace/internal/shift"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/keys"
	"floorpace/internal/tui/look"
)

// At is what the screen needs besides the view: the instant and the hands.
type At struct {
	Now     time.Time     // on the day's own time line
	Waiting int           // presses not yet on disk
	Since   time.Duration // how long the oldest of them has been waiting
	// Key names the key of an action for the eye; "" when it has none or does
	// nothing here.
	Key func(keys.Action) string
}

// Screen draws the mix station. The zero value is ready.
type Screen struct{}

// New makes the screen.
func New() *Screen { return &Screen{} }

// Rooms below which the screen keeps only the digits and the worst call.
const (
	tinyW = 40
	tinyH = 9
)

// Draw draws the screen on the pane, whatever its size.
func (s *Screen) Draw(p frame.Pane, v *shift.View, at At) {
	if p.Empty() || v == nil || v.Snapshot == nil {
		return
	}
	d := &drawing{v: v, at: at, sys: v.Plan.Units}
	if at.Key == nil {
		d.at.Key = func(keys.Action) string { return "" }
	}
	if d.at.Now.Before(v.Now) {
		d.at.Now = v.Now
	}
	d.late = d.at.Now.Sub(v.Now)
	if p.W() < tinyW || p.H() < tinyH {
		d.tiny(p)
		return
	}
	d.full(p)
}

// Tiny draws only the large digits and the worst call, for any screen that has
// no room for itself.
func (s *Screen) Tiny(p frame.Pane, v *shift.View, at At) {
	if p.Empty() || v == nil || v.Snapshot == nil {
		return
	}
	d := &drawing{v: v, at: at, sys: v.Plan.Units, late: max(at.Now.Sub(v.Now), 0)}
	if at.Key == nil {
		d.at.Key = func(keys.Action) string { return "" }
	}
	if d.at.Now.Before(v.Now) {
		d.at.Now = v.Now
	}
	d.tiny(p)
}

// full gives out the room: the call, the digits, mixers and buckets, pace and
// edge, presses.
func (d *drawing) full(p frame.Pane) {
	n, more := d.callRows(p.H(), p.W())
	top, rest := p.Top(n + more)
	d.calls(top, more)
	if n > 0 && p.H() >= apartFrom { // two plates of one colour must not run together
		_, rest = rest.Top(1)
	}

	mixers, buckets := len(d.v.Mixers), len(d.v.Buckets)
	wide := p.W() >= 70
	tables := 1 + max(mixers, min(max(buckets, 2), 6), 3)
	if !wide {
		tables = 2 + max(mixers, 1) + min(max(buckets, 1), 6)
	}
	foot := 2
	presses := 4
	h := rest.H()
	const least = 5 // rows of digits, with their caption, that nothing else may take
	if t := d.tallRows(); p.W() >= tallW && h >= tallCallout+t+foot+presses {
		d.tall, tables = true, t
	}
	switch {
	case h < least+foot+2:
		foot, presses = min(1, max(h-least-1, 0)), 0
	case h < least+foot+tables+presses:
		presses = max(0, min(presses, h-least-foot-tables))
		if presses < 2 { // a title with nothing below it
			presses = 0
		}
	}
	if left := h - least - foot - presses; tables > left {
		tables = max(left, 0)
	}
	if tables < 2 {
		tables = 0
	}
	call := h - foot - presses - tables
	// More than the digits can use goes to air around the blocks.
	air := 0
	if spare := call - calloutMost; spare > 0 {
		air = min(spare/4, 2)
		more := min(spare-3*air, 3)
		if presses > 0 {
			presses += max(more, 0)
		}
		call = h - foot - presses - tables - 3*air
	}
	big, rest := rest.Top(call)
	d.callout(big)
	_, rest = rest.Top(air)
	mid, rest := rest.Top(tables)
	d.tables(mid, wide)
	_, rest = rest.Top(air)
	low, rest := rest.Top(foot)
	d.foot(low)
	_, rest = rest.Top(air)
	d.presses(rest)
}

// apartFrom is the height from which a row of air is spared below the calls.
const apartFrom = 28

// tallCallout is the callout that tall tables leave: nine rows of digits, air
// and a caption.
const tallCallout = 12

// calloutMost is the tallest callout: fifteen rows of digits and three lines
// of small words.
const calloutMost = 18

func (d *drawing) tables(p frame.Pane, wide bool) {
	if p.H() < 2 {
		return
	}
	if wide {
		cols := p.Columns(2, 11, 9)
		d.mixers(cols[0])
		d.buckets(cols[1])
		return
	}
	top, rest := p.Top(min(1+len(d.v.Mixers), max(p.H()-2, p.H()/2)))
	d.mixers(top)
	d.buckets(rest)
}

// tiny keeps the digits and the worst call.
func (d *drawing) tiny(p frame.Pane) {
	c, has := d.worst()
	switch {
	case p.H() == 1:
		b := d.big()
		x := p.Print(0, 0, b.role, b.words(p.W()))
		if has && x+2 < p.W() {
			p.PrintFit(x+1, 0, p.W()-x-1, callRole(c, true), d.callGlyph(p, c)+c.What)
		}
		return
	case has:
		rest, row := p.Bottom(1)
		row.Plate(callRole(c, true))
		row.PrintFit(0, 0, row.W(), callRole(c, true), d.callGlyph(p, c)+c.What)
		p = rest
	}
	d.callout(p)
}

func (d *drawing) callGlyph(p frame.Pane, c call) string {
	g := look.GlyphWarn
	if c.Grade == 1 {
		g = look.GlyphBad
	}
	return p.Glyph(g) + " "
}
