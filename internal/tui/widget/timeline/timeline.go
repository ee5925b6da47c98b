// Package timeline draws a day as a line from left to right: batches, holds,
// readings, calls and zones, clock times below, and the instant shown as a
// cursor. What lies after the cursor is drawn dim.
package timeline

import (
	"time"

	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/widget/ticks"
)

// Kind is what a mark stands for.
type Kind uint8

// Kinds, the more pressing ones last: where lanes must be shared they win.
const (
	Batch Kind = iota
	Reading
	Zone // a zone begins
	Hold // has a length
	Call
)

// Mark is something that happened.
type Mark struct {
	At, Until time.Time // Until for a hold; zero if it is an instant or goes on
	Kind      Kind
	Role      look.Role // of a call: Warn or Bad; otherwise not used
}

// Line is what to draw.
type Line struct {
	From, To time.Time
	Cursor   time.Time
	Marks    []Mark // in any order
}

// lanes tell which kinds share a row, for each number of rows; the words stand
// at the left where there is room.
var lanes = [][][]Kind{
	1: {{Batch, Reading, Zone, Hold, Call}},
	2: {{Reading, Zone, Hold, Call}, {Batch}},
	3: {{Zone, Call}, {Reading, Hold}, {Batch}},
	4: {{Call}, {Zone, Hold}, {Reading}, {Batch}},
}

var laneWords = [][]string{
	1: {"day"},
	2: {"calls", "batches"},
	3: {"calls", "holds", "batches"},
	4: {"calls", "holds", "readings", "batches"},
}

const wordsW = 9 // "readings" and a blank

// Draw draws the line on the pane: with one row only the lanes' marks, with
// more the clock below.
func (l *Line) Draw(p frame.Pane) {
	if p.Empty() {
		return
	}
	if !l.To.After(l.From) {
		p.PrintFit(0, 0, p.W(), look.Dim, "nothing on the log yet")
		return
	}
	rows, foot := p, frame.Pane{}
	if p.H() > 1 {
		rows, foot = p.Bottom(1)
	}
	n := min(rows.H(), len(lanes)-1)
	if gap := rows.H() - n; gap > 0 {
		rows, _ = rows.Top(n)
		_, foot = p.Top(n)
		foot = foot.Row(0)
	}
	if p.W() >= 5*wordsW {
		var words frame.Pane
		words, rows = rows.Left(wordsW)
		for i, w := range laneWords[n] {
			words.Print(0, i, look.Dim, w)
		}
		if foot.H() > 0 {
			_, foot = foot.Left(wordsW)
		}
	}
	for i, kinds := range lanes[n] {
		l.lane(rows.Row(i), kinds)
	}
	l.cursor(rows)
	if foot.H() > 0 {
		l.clock(foot)
	}
}

// Column gives the column of an instant on a line of w columns, kept inside.
func (l *Line) Column(t time.Time, w int) int {
	f := float64(t.Sub(l.From)) / float64(l.To.Sub(l.From))
	return min(max(int(f*float64(w)), 0), max(w-1, 0))
}

// TimeAt gives the instant at the left of a column: the way back from Column.
func (l *Line) TimeAt(x, w int) time.Time {
	if w < 1 {
		return l.From
	}
	return l.From.Add(time.Duration(float64(x) / float64(w) * float64(l.To.Sub(l.From))))
}

func (l *Line) inside(t time.Time) bool { return !t.Before(l.From) && !t.After(l.To) }

func (l *Line) lane(p frame.Pane, kinds []Kind) {
	for x := range p.W() {
		p.Set(x, 0, p.Glyph(look.GlyphDot), look.Plain(look.Rule))
	}
	for _, kind := range kinds {
		if kind == Batch {
			l.batches(p)
			continue
		}
		for _, m := range l.Marks {
			if m.Kind == kind {
				l.mark(p, m)
			}
		}
	}
}

// batches shows one, two or more in a column.
func (l *Line) batches(p frame.Pane) {
	count := make([]int, p.W())
	for _, m := range l.Marks {
		if m.Kind == Batch && l.inside(m.At) {
			count[l.Column(m.At, p.W())]++
		}
	}
	for x, n := range count {
		if n > 0 {
			g := [...]look.Glyph{look.GlyphOne, look.GlyphTwo, look.GlyphMany}[min(n, 3)-1]
			p.Set(x, 0, p.Glyph(g), look.Plain(l.tense(x, p.W(), look.Accent)))
		}
	}
}

// tense gives the role, or dim for what lies after the cursor.
func (l *Line) tense(x, w int, r look.Role) look.Role {
	if x > l.Column(l.Cursor, w) {
		return look.Dim
	}
	return r
}

func (l *Line) mark(p frame.Pane, m Mark) {
	w := p.W()
	x := l.Column(m.At, w)
	switch m.Kind {
	case Hold:
		end := m.Until
		if end.IsZero() || end.After(l.To) {
			end = l.To
		}
		if end.Before(l.From) || m.At.After(l.To) {
			return
		}
		for k := x; k <= l.Column(end, w); k++ {
			r := look.PlateWarn
			if l.tense(k, w, r) == look.Dim {
				r = look.Track
			}
			p.Set(k, 0, p.Look().Fill(r), look.Plain(r))
		}
		return
	case Reading:
		if l.inside(m.At) {
			p.Set(x, 0, p.Glyph(look.GlyphReading), look.Plain(l.tense(x, w, look.Text)))
		}
	case Zone:
		if l.inside(m.At) {
			p.Set(x, 0, p.Glyph(look.GlyphNext), look.Plain(l.tense(x, w, look.Heading)))
		}
	case Call:
		if !l.inside(m.At) {
			return
		}
		g := look.GlyphWarn
		if m.Role == look.Bad {
			g = look.GlyphBad
		}
		p.Set(x, 0, p.Glyph(g), look.Plain(l.tense(x, w, m.Role)))
	}
}

// cursor draws a plate through all lanes; a sign under it stays readable.
func (l *Line) cursor(p frame.Pane) {
	if !l.inside(l.Cursor) {
		return
	}
	x := l.Column(l.Cursor, p.W())
	for y := range p.H() {
		t := p.TextAt(x, y)
		if t == p.Glyph(look.GlyphDot) || t == " " || t == p.Look().Fill(look.PlateWarn) {
			t = p.Glyph(look.GlyphRuleDown)
		}
		p.Set(x, y, t, look.Plain(look.PlateText))
	}
}

const clockW = 5 // "15:04"

// clock writes the cursor's time, to the second, and round times that do not
// touch it: one cut in two would read as another time.
func (l *Line) clock(p frame.Pane) {
	w := p.W()
	from, to := w+clockW, w+clockW // columns of the cursor's time
	if l.inside(l.Cursor) {
		own := " " + l.Cursor.Format("15:04:05") + " "
		from = min(max(l.Column(l.Cursor, w)-len(own)/2, 0), max(w-len(own), 0))
		to = p.Print(from, 0, look.PlateText, own)
	}
	for _, t := range ticks.Times(l.From, l.To, max(w/(clockW+5), 1)) {
		x := min(max(l.Column(t, w)-clockW/2, 0), w-clockW)
		if x+clockW < from || x > to {
			p.Print(x, 0, look.Dim, t.Format("15:04"))
		}
	}
}
