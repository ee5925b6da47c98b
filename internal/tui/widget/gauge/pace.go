// Package gauge draws two things to be read at a glance: the pace gauge (what
// the edge needs, what the crew does, what the crew can do, on one scale) and
// bars for what is left of a life.
package gauge

import (
	"math"
	"strconv"

	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
)

// Pace holds the three rates of one zone, in batches a minute or any other
// unit, all the same. NaN or a rate below 0 means not known.
type Pace struct {
	Needed float64   // the least rate that brings every edge home
	Doing  float64   // what the last batches made
	Limit  float64   // the crew's limit at this front
	Post   string    // the post that is the limit, "rake"; may be empty
	Unit   string    // "batches/min"; may be empty
	Word   string    // how the pace stands, in a few words; may be empty
	Role   look.Role // to show that word in
	// Figure prints a rate; nil prints two decimals.
	Figure func(float64) string
}

func known(v float64) bool { return v >= 0 && !math.IsInf(v, 1) }

func (g Pace) figure(v float64) string {
	switch {
	case !known(v):
		return "?"
	case g.Figure != nil:
		return g.Figure(v)
	}
	return strconv.FormatFloat(v, 'f', 2, 64)
}

// slow reports whether the pace falls short of what is needed, or cannot reach it.
func (g Pace) slow() bool {
	return known(g.Needed) && (known(g.Limit) && g.Needed > g.Limit || known(g.Doing) && g.Doing < g.Needed)
}

// scale gives the right end of a scale of w cells: past every mark, and far
// enough to leave room for n cells of words right of the last of the two lower
// marks, within reason.
func (g Pace) scale(w, n int) float64 {
	top, last := 0.0, 0.0
	for i, v := range []float64{g.Doing, g.Needed, g.Limit} {
		if known(v) {
			top = max(top, v)
			if i > 0 {
				last = max(last, v)
			}
		}
	}
	if top == 0 {
		return 1
	}
	end := top * 1.15 // so that a mark at the top still shows that more is possible
	if room := w - n - 3; room > 0 {
		end = max(end, min(last*float64(w)/float64(room), top*1.6))
	}
	return end
}

// Draw draws the gauge on the pane. Three rows or more: the mark of what is
// done above the band, the other two below. Two rows: figures and band. One
// row: figures alone.
func (g Pace) Draw(p frame.Pane) {
	switch {
	case p.Empty():
	case p.H() == 1 || p.W() < 12:
		g.words(p.Row(0))
		if p.H() > 1 {
			p.PrintFit(0, 1, p.W(), g.Role, g.Word)
		}
	case p.H() == 2:
		g.words(p.Row(0))
		g.band(p.Row(1), true)
	default:
		g.above(p.Row(0), p.H() == 3)
		g.band(p.Row(1), false)
		g.below(p.Row(2))
		if p.H() > 3 {
			x := p.PrintFit(0, 3, p.W(), g.Role, g.Word)
			if g.Unit != "" {
				p.PrintFit(x+2, 3, p.W()-x-2, look.Dim, g.Unit)
			}
		}
	}
}

// words puts all figures into one row, the word first; what does not fit is
// left out from the end.
func (g Pace) words(p frame.Pane) {
	x := p.PrintFit(0, 0, p.W(), g.Role, g.Word)
	parts := [][]frame.Span{
		{{Role: look.Dim, Text: "doing "}, {Role: look.Strong, Text: g.figure(g.Doing)}},
		{{Role: look.Dim, Text: "needed "}, {Role: look.Text, Text: g.figure(g.Needed)}},
		{{Role: look.Dim, Text: "limit "}, {Role: look.Text, Text: g.figure(g.Limit)}},
		{{Role: look.Dim, Text: g.Post}},
		{{Role: look.Dim, Text: g.Unit}},
	}
	for i, part := range parts {
		if part[0].Text == "" {
			continue
		}
		gap := 2
		if i == 3 {
			gap = 1
		}
		if x+gap+frame.SpansWidth(part...) > p.W() {
			return
		}
		x = p.Spans(x+gap, 0, part...)
	}
}

// at gives the column of a rate on a band of w cells.
func (g Pace) at(v float64, w int) int {
	return min(int(v/g.scale(w, g.lastLabel(w))*float64(w)), w-1)
}

// label is the words at a lower mark.
type label struct {
	v     float64
	spans []frame.Span
}

// labels gives the known lower marks from left to right.
func (g Pace) labels() []label {
	var out []label
	add := func(v float64, word, tail string) {
		if !known(v) {
			return
		}
		sp := []frame.Span{{Role: look.Dim, Text: word + " "}, {Role: look.Text, Text: g.figure(v)}}
		if tail != "" {
			sp = append(sp, frame.Span{Role: look.Dim, Text: " " + tail})
		}
		out = append(out, label{v, sp})
	}
	add(g.Needed, "needed", "")
	add(g.Limit, "limit", g.Post)
	if len(out) == 2 && out[0].v > out[1].v {
		out[0], out[1] = out[1], out[0]
	}
	return out
}

// lastLabel gives the cells that the words of the last lower mark take; on a
// narrow gauge those of its figure alone.
func (g Pace) lastLabel(w int) int {
	ls := g.labels()
	if len(ls) == 0 {
		return 0
	}
	sp := ls[len(ls)-1].spans
	if n := frame.SpansWidth(sp...); 3*n <= w {
		return n
	}
	return frame.SpansWidth(sp[:2]...)
}

// band paints what is too slow, what holds, and what is past the limit. Too
// slow is painted loud only while the crew is there. Inside, the mark of what
// is done stands on the band itself, for want of a row beside it.
func (g Pace) band(p frame.Pane, inside bool) {
	l := p.Look()
	w := p.W()
	slow := look.Track
	if g.slow() {
		slow = look.BandSlow
	}
	needed, limit := -1, w
	if known(g.Needed) {
		needed = g.at(g.Needed, w)
	}
	if known(g.Limit) {
		limit = g.at(g.Limit, w)
	}
	for x := range w {
		r := look.BandHold
		switch {
		case x < needed:
			r = slow
		case x > limit || needed < 0 && limit == w:
			r = look.BandOver
		}
		p.Set(x, 0, l.Fill(r), look.Plain(r))
	}
	if inside && known(g.Doing) {
		p.Set(g.at(g.Doing, w), 0, p.Glyph(look.GlyphPointDown), look.Plain(look.PlateText))
	}
}

// above writes what is done, with its mark pointing at the band, and the
// word where there is no row of its own for it.
func (g Pace) above(p frame.Pane, verdict bool) {
	if !known(g.Doing) {
		p.PrintFit(0, 0, p.W(), g.Role, g.Word)
		return
	}
	x := g.at(g.Doing, p.W())
	sp := []frame.Span{{Role: look.Dim, Text: "doing "}, {Role: look.Strong, Text: g.figure(g.Doing)}}
	n := frame.SpansWidth(sp...)
	from, to := x, x+1 // cells taken
	switch {           // beside the mark, on the side with room
	case x+2+n <= p.W():
		p.Spans(x+2, 0, sp...)
		to = x + 2 + n
	case x-1-n >= 0:
		p.Spans(x-1-n, 0, sp...)
		from = x - 1 - n
	}
	p.Set(x, 0, p.Glyph(look.GlyphPointDown), look.Plain(g.Role))
	switch nw := frame.Width(g.Word); {
	case !verdict:
	case nw+2 <= from:
		p.Print(0, 0, g.Role, g.Word)
	case to+2+nw <= p.W():
		p.Print(p.W()-nw, 0, g.Role, g.Word)
	}
}

// below writes what is needed and the limit at their marks: the words of the
// left mark left of it, those of the right mark right of it, if they fit.
func (g Pace) below(p frame.Pane) {
	free, end := 0, p.W() // cells not yet taken
	ls := g.labels()
	for i, lb := range ls {
		x := g.at(lb.v, p.W())
		next := end
		if i+1 < len(ls) {
			next = g.at(ls[i+1].v, p.W()) - 1
		}
		for _, sp := range [][]frame.Span{lb.spans, lb.spans[:2], lb.spans[1:2]} {
			n := frame.SpansWidth(sp...)
			left, right := x-1-n, x+2
			if i == 0 && left >= free {
				p.Spans(left, 0, sp...)
				break
			}
			if right >= free && right+n <= next {
				p.Spans(right, 0, sp...)
				free = right + n + 1
				break
			}
			if left >= free {
				p.Spans(left, 0, sp...)
				break
			}
		}
		p.Set(x, 0, p.Glyph(look.GlyphPointUp), look.Plain(look.Text))
		free = max(free, x+2)
	}
}
