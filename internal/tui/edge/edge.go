// Package edge draws the supervisor's screen: the zone to scale with its wet
// edge, the pace gauge, slack, kits, finish, conditions, calls and ways out.
//
// It draws from a shift.View and nothing else; times are those of the view.
// With room everything stands on one page. Without, blocks go on by a fixed
// order of importance and the rest is on further pages, one key away:
//
//	hold or stop, its reason and age                        on every page
//	calls · edge in danger · floor · pace · slack          always on page 1
//	what is wrong · ways out · kits · finish · stop lines · rows · zones · conditions ·
//	openings · trends (dew margin, slab, interval)
//
// Figures are in the crew's units. What has no figure is said in words.
package edge

import (
	"fmt"
	"time"

	"floorpace/internal/shift"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/widget/floormap"
	"floorpace/internal/units"
)

// Screen is the Edge screen. Make one with New. It is drawn by one goroutine.
type Screen struct {
	// Keys that the screen may name beside what they do; empty ones are left
	// out. Whoever routes keys fills them in.
	PageKey, WaysKey, AnswerKey, DecideKey string

	page, pages int
	peek        bool // drawn in less room for a while: pages stay as they are
	floor       floorView
	air         [3]trendView
}

// New gives a screen on its first page.
func New() *Screen { return &Screen{pages: 1} }

// NextPage goes to the next page, and from the last one to the first. With
// one page nothing happens.
func (s *Screen) NextPage() { s.Turn(1) }

// Turn goes on by so many pages, or back; past the ends it goes round.
func (s *Screen) Turn(by int) {
	n := max(s.pages, 1)
	s.page = ((s.page+by)%n + n) % n
}

// FirstPage goes back to the page with the floor.
func (s *Screen) FirstPage() { s.page = 0 }

// Page gives the page shown, from 1, and how many there were when the screen
// was last drawn.
func (s *Screen) Page() (page, of int) { return s.page + 1, s.pages }

// Pen chooses how the floor is drawn, braille for instance.
func (s *Screen) Pen(p floormap.Pen) { s.floor.view.Pen = p }

// Widths from which blocks stand beside the floor: below sideFrom a column of
// figures would leave the floor less than 60 cells, below wideFrom two would.
const (
	sideFrom = 98
	wideFrom = 140
	sideW    = 37 // the longest line of figures, in cells
)

// Draw draws the screen on the whole pane.
func (s *Screen) Draw(p frame.Pane, v *shift.View) {
	if p.Empty() {
		return
	}
	if v == nil || v.Snapshot == nil || v.Plan == nil {
		p.PrintCentre((p.H()-1)/2, look.Dim, "no day yet")
		return
	}
	c := &card{Screen: s, View: v, sys: v.Plan.Units, w: p.W()}
	if p.H() < 5 || p.W() < 24 {
		c.tiny(p)
		return
	}
	head, body := p.Top(1)
	if _, _, ok := c.holdWords(); ok {
		var row frame.Pane
		row, body = body.Top(1)
		c.drawHold(row)
	}
	left, sides, rest := c.firstPage(body)
	later := c.laterPages(body, rest)
	if s.peek {
		c.head(head)
		if n := min(s.page, len(later)); n > 0 {
			later[n-1]()
			return
		}
		left()
		sides()
		return
	}
	s.pages = 1 + len(later)
	s.page = min(s.page, s.pages-1)
	c.head(head)
	if s.page > 0 {
		later[s.page-1]()
		return
	}
	left()
	sides()
}

// Peek draws the screen in the room that something open below it leaves; which
// page is shown, and of how many, stays.
func (s *Screen) Peek(p frame.Pane, v *shift.View) {
	s.peek = true
	s.Draw(p, v)
	s.peek = false
}

// card is one drawing of the screen.
type card struct {
	*Screen
	*shift.View
	sys units.System
	w   int // of the whole screen
}

// firstPage gives what draws the main column and the side columns, and the
// blocks for which there was no room.
func (c *card) firstPage(p frame.Pane) (left, sides func(), rest []block) {
	bs := c.blocks()
	nothing := func() {}
	switch {
	case p.W() < sideFrom:
		left, rest = c.main(p, bs, true)
		return left, nothing, rest
	case p.W() < wideFrom:
		l, r := p.Right(sideW)
		l, _ = l.Right(2)
		left, rest = c.main(l, bs, false)
		sides, rest = columns(rest, r)
		return left, sides, rest
	}
	l, r := p.Right(2*sideW + 2 + (p.W()-wideFrom)/6)
	l, _ = l.Right(2)
	cols := r.Columns(2, 1, 1)
	left, rest = c.main(l, bs, false)
	sides, rest = columns(rest, cols...)
	return left, sides, rest
}

// main stacks calls, danger, floor, pace and slack, and below them, on a tall
// screen, the first of the other blocks. Alone, it also carries kits and
// finish in one line each.
func (c *card) main(p frame.Pane, bs []block, alone bool) (func(), []block) {
	calls := c.callsH(p)
	danger := c.dangerH(p)
	foot := 4 // gauge and slack
	switch {
	case c.Floor == nil: // no pace, no slack
		foot = 0
	case alone && danger > 0 && p.H() < 30: // the floor needs the room
		foot = 3
	case alone:
		foot = 6
	}
	if foot > 0 && p.H()-calls-danger-foot < 6 { // the floor must be seen: figures give way
		foot = max(2, p.H()-calls-danger-6)
	}
	mapH := p.H() - calls - danger - foot
	var below func()
	if want := c.floor.rows(p.W(), c.Snapshot); want < mapH {
		under, beside := bs, []block(nil)
		if c.Floor == nil && !alone { // the rest beside it, so that neither half stands empty
			under, beside = bs[:min(2, len(bs))], bs[min(2, len(bs)):]
		}
		room, rest := p.Sub(frame.Rect{X: 0, Y: calls + danger + want + foot + 1, W: p.W(), H: mapH - want - 1}), under
		n := max(1, p.W()/(sideW+3))
		below, rest = columns(under, room.Columns(2, make([]int, n)...)...)
		bs, mapH = append(rest[:len(rest):len(rest)], beside...), want
	}
	return func() {
		at := func(y, h int) frame.Pane { return p.Sub(frame.Rect{X: 0, Y: y, W: p.W(), H: h}) }
		c.drawCalls(at(0, calls), c.large(p))
		c.drawDanger(at(calls, danger))
		c.drawFloor(at(calls+danger, mapH))
		c.drawFoot(at(calls+danger+mapH, foot), alone)
		if below != nil {
			below()
		}
	}, bs
}

// laterPages lays the blocks that are left on pages of their own.
func (c *card) laterPages(p frame.Pane, bs []block) []func() {
	n := max(1, (p.W()+2)/(sideW+3))
	var out []func()
	for len(bs) > 0 {
		draw, rest := columns(bs, p.Columns(2, make([]int, n)...)...)
		if len(rest) == len(bs) { // a block taller than the page is cut
			b := bs[0]
			draw, rest = func() { b.draw(p) }, bs[1:]
		}
		out = append(out, draw)
		bs = rest
	}
	return out
}

// head is the first line: zone, how far, and the page.
func (c *card) head(p frame.Pane) {
	x := p.W()
	if c.pages > 1 {
		words := fmt.Sprintf("page %d of %d", c.page+1, c.pages)
		if c.PageKey != "" {
			words = c.PageKey + " " + words
		}
		x -= frame.Width(words) + 2
		p.PrintRight(p.W(), 0, look.Dim, words)
	}
	name, parts := c.headWords()
	at := p.PrintFit(0, 0, x, look.Strong, name)
	for _, part := range parts {
		if at+3+frame.Width(part) > x {
			continue
		}
		at = p.Spans(at, 0, frame.Span{Role: look.Dim, Text: " " + p.Glyph(look.GlyphDot) + " "}, frame.Span{Role: look.Text, Text: part})
	}
}

func (c *card) headWords() (name string, parts []string) {
	if c.Floor == nil {
		return c.Plan.Title, []string{"every zone is closed"}
	}
	pt := c.Floor.Path
	name = c.Floor.Z.Name
	if c.Zone < 0 {
		return name, []string{"not begun", units.Count(pt.Rows(), "row", "rows"), c.area(pt.AreaM2())}
	}
	return name, []string{
		fmt.Sprintf("row %d of %d", pt.RowOf(c.PosL)+1, pt.Rows()),
		fmt.Sprintf("front %s of %s", c.short(pt.FrontAt(c.PosL)), c.short(pt.FrontMost())),
		fmt.Sprintf("%d poured", c.Kits.Poured),
	}
}

// tiny keeps the worst call, else the slack, where nothing else fits.
func (c *card) tiny(p frame.Pane) {
	if !c.peek {
		c.pages, c.page = 1, 0
	}
	y := 0
	most := max(1, p.H()-1)
	// On a single row the line's own hold gives way to the worst call.
	if _, _, ok := c.holdWords(); ok && (p.H() > 1 || c.Hold != nil || len(c.Calls) == 0) {
		c.drawHold(p.Row(0))
		y, most = 1, max(2, most)
	}
	for i := 0; i < len(c.Calls) && y < most; i, y = i+1, y+1 {
		c.callLine(p.Row(y), &c.Calls[i])
	}
	if y < p.H() {
		c.slackLine(p.Row(y))
	}
	if _, rest := p.Top(y + 1); rest.H() >= 2 && rest.W() >= 6 {
		c.drawFloor(rest)
	}
}

func (c *card) area(m2 float64) string { return units.Format(units.Area, m2, c.sys) }

// short prints a length to a tenth of a metre or a foot: what can be told from
// a tape held at arm's length.
func (c *card) short(m float64) string { return units.FormatFixed(units.Length, m, c.sys, 1) }

func percent(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }

func hms(t time.Time) string { return t.Format("15:04:05") }

// hm is a clock time, with the day when it is not today.
func (c *card) hm(t time.Time) string {
	t = t.In(c.Now.Location())
	if y, d := t.Year(), t.YearDay(); y == c.Now.Year() && d == c.Now.YearDay() {
		return t.Format("15:04")
	}
	return t.Format("Mon 15:04")
}
