// Package chart draws small trends: slab temperature, dew margin, interval
// between batches. Values have round ticks at the left, times round ticks
// below; limits are level lines with a word. Curves are drawn with braille, or
// with half blocks where thin strokes wash out, or with signs in ASCII.
package chart

import (
	"math"
	"strconv"
	"time"

	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/widget/ticks"
)

// Point is a value at an instant. NaN breaks the curve.
type Point struct {
	T time.Time
	V float64
}

// Series is one curve, in order of time.
type Series struct {
	Points []Point
	Role   look.Role // Curve or Curve2
	Dots   bool      // single points, not joined
}

// Level is a line at a value, with a word or two at its right end.
type Level struct {
	V     float64
	Words string
}

// Chart is what to draw.
type Chart struct {
	From, To time.Time // the window; its zone is that of the clock shown
	Series   []Series
	Levels   []Level
	MaxGap   time.Duration // points farther apart are not joined; 0: always joined
	// Figure prints a value at a tick; nil prints as many decimals as the step
	// needs.
	Figure func(float64) string
}

// Draw draws the chart on the pane. Below 3 rows or 12 columns only the last
// value is written.
func (c *Chart) Draw(p frame.Pane) {
	lo, hi, any := c.rangeOf()
	switch {
	case p.Empty():
		return
	case !any || !c.To.After(c.From):
		p.PrintCentre((p.H()-1)/2, look.Dim, "no readings yet")
		return
	case p.H() < 3 || p.W() < 12:
		c.lastOnly(p)
		return
	}
	plot, foot := p.Bottom(1)
	from, to, step := ticks.Values(lo, hi, max((plot.H()-1)/2, 1))
	plot, gutter := c.values(plot, from, to, step)
	_, foot = foot.Left(gutter)
	c.times(foot)
	s := scale{c.From, c.To, from, to, plot.W(), plot.H()}
	for _, lv := range c.Levels {
		c.level(plot, s, lv)
	}
	pen := pick(p.Look())
	for _, sr := range c.Series {
		c.curve(plot, s, sr, pen)
	}
	words := map[int]string{} // by row; levels too close to tell apart share one
	for _, lv := range c.Levels {
		y := s.row(lv.V)
		if words[y] != "" {
			words[y] += ", "
		}
		words[y] += lv.Words
	}
	for y, w := range words { // over curves: they must be read
		plot.PrintRight(plot.W(), y, look.Dim, plot.Fit(w, plot.W()))
	}
}

func (c *Chart) figure(v, step float64) string {
	if c.Figure != nil {
		return c.Figure(v)
	}
	return strconv.FormatFloat(v, 'f', ticks.Decimals(step), 64)
}

func (c *Chart) rangeOf() (lo, hi float64, any bool) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, s := range c.Series {
		for _, q := range s.Points {
			if !finite(q.V) || q.T.Before(c.From) || q.T.After(c.To) {
				continue
			}
			lo, hi, any = min(lo, q.V), max(hi, q.V), true
		}
	}
	for _, lv := range c.Levels {
		if any && finite(lv.V) {
			lo, hi = min(lo, lv.V), max(hi, lv.V)
		}
	}
	return lo, hi, any
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

func (c *Chart) lastOnly(p frame.Pane) {
	for _, s := range c.Series {
		for i := len(s.Points) - 1; i >= 0; i-- {
			if q := s.Points[i]; finite(q.V) && !q.T.After(c.To) {
				p.PrintCentre((p.H()-1)/2, look.Text, c.figure(q.V, 0.1))
				return
			}
		}
	}
}

// values writes the ticks of the value axis at the left, the rule beside them,
// and gives the pane for the curves and the columns used.
func (c *Chart) values(p frame.Pane, from, to, step float64) (frame.Pane, int) {
	n := int(math.Round((to - from) / step))
	w := 0
	for k := range n + 1 {
		w = max(w, frame.Width(c.figure(from+float64(k)*step, step)))
	}
	w = min(w, p.W()/2)
	s := scale{lo: from, hi: to, h: p.H()}
	left, plot := p.Left(w + 1)
	left.RuleDown(w)
	for k := range n + 1 {
		v := from + float64(k)*step
		left.PrintRight(w, s.row(v), look.Dim, left.Fit(c.figure(v, step), w))
	}
	return plot, w + 1
}

const clockW = 5 // "15:04"

// times writes the ticks of the time axis.
func (c *Chart) times(p frame.Pane) {
	s := scale{from: c.From, to: c.To, w: p.W()}
	for _, t := range ticks.Times(c.From, c.To, max(p.W()/(clockW+4), 1)) {
		x := min(max(s.column(t)-clockW/2, 0), p.W()-clockW)
		p.Print(x, 0, look.Dim, t.Format("15:04"))
	}
}

func (c *Chart) level(p frame.Pane, s scale, lv Level) {
	if !finite(lv.V) {
		return
	}
	y := s.row(lv.V)
	for x := range p.W() {
		p.Set(x, y, p.Glyph(look.GlyphRule), look.Plain(look.Limit))
	}
}

// scale turns instants and values into places on a plot of w × h cells, the
// highest value in the middle of the top row.
type scale struct {
	from, to time.Time
	lo, hi   float64
	w, h     int
}

func (s scale) column(t time.Time) int {
	f := float64(t.Sub(s.from)) / float64(s.to.Sub(s.from))
	return min(max(int(f*float64(s.w)), 0), s.w-1)
}

func (s scale) row(v float64) int { return s.pixelRow(v, 1) }

// pixelRow gives the row of a value with n pixels in a cell's height.
func (s scale) pixelRow(v float64, n int) int {
	f := (s.hi - v) / (s.hi - s.lo)
	return min(max(int(math.Round(f*float64(s.h*n-1))), 0), s.h*n-1)
}
