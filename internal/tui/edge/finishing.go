package edge

import (
	"fmt"
	"math"

	"floorpace/internal/day"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/units"
)

// mostRows is how many rows are listed: windows last some minutes, and older
// rows are done or lost.
const mostRows = 6

// broadAt is where the column of the broadcaster begins: half of a column of
// figures.
const broadAt = 19

func (c *card) rolls() bool      { return c.Plan.Crew.RollM2Min > 0 }
func (c *card) broadcasts() bool { return c.Plan.Crew.BroadM2Min > 0 }

// rowsBlock lists what the roller and the broadcaster have before them, each by
// minutes left, what has shut as off, and what must stay away from the wet edge.
func (c *card) rowsBlock() block {
	f := &c.Finishing
	roll, broad := c.waiting(f.Roll), c.waiting(f.Broad)
	n := min(max(len(roll), len(broad)), mostRows)
	foot := c.keepOff()
	if n == 0 && (len(foot) == 0 || len(c.Laid) == 0) {
		return block{}
	}
	head := 0
	if n > 0 {
		head = 1
	}
	return block{least: 1 + head + min(n, 2) + len(foot), want: 1 + head + n + len(foot), draw: func(p frame.Pane) {
		p = p.Title("Finishing windows", "")
		below, list := p.Bottom(min(len(foot), p.H()))
		for y, w := range foot[:min(len(foot), list.H())] {
			x := list.Print(0, y, w.role, list.Glyph(w.glyph)) + 1
			list.PrintFit(x, y, list.W()-x, look.Text, w.words)
		}
		if head == 0 || below.H() == 0 {
			return
		}
		at := 0
		for _, q := range []struct {
			on   bool
			name string
			out  bool
			rows []day.FinishRow
		}{{c.rolls(), "roll", !f.RollOut.IsZero(), roll}, {c.broadcasts(), "broadcast", !f.BroadOut.IsZero(), broad}} {
			if !q.on {
				continue
			}
			w := min(broadAt-1, below.W()-at)
			if !c.rolls() || !c.broadcasts() {
				w = min(sideW, below.W())
			}
			if q.out {
				below.PrintFit(at, 0, w, look.Bad, q.name+": out")
			} else {
				below.PrintFit(at, 0, w, look.Dim, q.name)
			}
			for y := range min(len(q.rows), below.H()-1, mostRows) {
				c.waitLine(below.Sub(frame.Rect{X: at, Y: y + 1, W: w, H: 1}), &q.rows[y])
			}
			at += broadAt
		}
	}}
}

// waiting leaves out what shut so long ago that nobody can do anything about it.
func (c *card) waiting(rows []day.FinishRow) (out []day.FinishRow) {
	for _, q := range rows {
		if !q.Off || -q.Left <= showOff {
			out = append(out, q)
		}
	}
	return out
}

// waitLine is a row with its minutes left, "off" when its window has shut.
func (c *card) waitLine(p frame.Pane, q *day.FinishRow) {
	name := fmt.Sprintf("row %d", q.Row)
	if c.Floor == nil || q.Zone != c.Floor.Z.Name {
		name = fmt.Sprintf("%d %s", q.Row, q.Zone) // the number first: a long name is cut
	}
	words, role := units.ClockLeft(q.Left)+" left", look.Text
	switch {
	case q.Off:
		words, role = "off", c.offRole()
	case c.Now.Before(q.From):
		words, role = "from "+units.Clock(q.From.Sub(c.Now)), look.Dim
	case q.Left < 0:
		words, role = "ends "+units.ClockLeft(q.Ends.Sub(c.Now)), look.Warn
	}
	w := frame.Width(words)
	p.PrintFit(0, 0, p.W()-w-1, look.Text, name)
	p.PrintRight(p.W(), 0, role, words)
}

// offRole is loud only where the crew presses what it has finished: elsewhere
// every window ends as "off", rolled or not.
func (c *card) offRole() look.Role {
	if c.Plan.Rules.StepPresses {
		return look.Bad
	}
	return look.Dim
}

// keepOff says what must stay away from the wet edge: the broadcast by a bare
// strip, edge and detail work by the way the front comes in time.
func (c *card) keepOff() (out []trouble) {
	f := &c.Finishing
	if c.Floor == nil || c.Zone < 0 || len(c.Laid) == 0 {
		return nil
	}
	if c.broadcasts() && len(c.Edge.Points) > 0 {
		out = append(out, trouble{look.GlyphJoinable, look.Joinable, "bare strip " + units.FormatFixed(units.Depth, f.BareM, c.sys, 0) + ": no broadcast"})
	}
	words := "detail work: wait, the front stands"
	switch {
	case !f.AheadOK:
	case c.PosL+f.AheadL >= c.Floor.Path.TotalL()-1e-6:
		words = "detail work: all that is left"
	default:
		words = fmt.Sprintf("detail work up to %s ahead", c.short(f.AheadM))
	}
	sign := look.GlyphRule // as it is drawn: the longer side of the zone lies along the screen
	lo, hi := c.Floor.Z.Outline.Bounds()
	rad := c.Floor.Z.PullDeg * math.Pi / 180
	if alongX := math.Abs(math.Cos(rad)) > math.Abs(math.Sin(rad)); alongX == (hi.X-lo.X >= hi.Y-lo.Y) {
		sign = look.GlyphRuleDown
	}
	out = append(out, trouble{sign, look.Text, words})
	for _, q := range f.AheadAt {
		words := fmt.Sprintf("only %s ahead at %s", c.short(q.M), c.Floor.Z.Spots[q.Spot].Name)
		switch {
		case !q.OK:
			words = "detail work at " + c.Floor.Z.Spots[q.Spot].Name + ": no figure"
		case q.L <= 0:
			words = "detail work at " + c.Floor.Z.Spots[q.Spot].Name + ": with the front"
		}
		out = append(out, trouble{sign, look.Warn, words})
	}
	return out
}
