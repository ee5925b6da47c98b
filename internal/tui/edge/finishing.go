package edge

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/units"
)

// mostRows is how many rows are listed: windows last some minutes, and older
// rows are done or lost.
const mostRows = 6

// broadAt is where the column of the broadcaster begins: half of a column of
// figures, with a gap before it that keeps one row's minutes from the next row's
// name.
const (
	broadAt  = 19
	broadGap = 2
)

func (c *card) rolls() bool      { return c.Plan.Crew.RollM2Min > 0 }
func (c *card) broadcasts() bool { return c.Plan.Crew.BroadM2Min > 0 }

// finishLine is one line of the list: the zone of the rows below it, or a row
// for the roller and one for the broadcaster.
type finishLine struct {
	zone        string
	roll, broad *day.FinishRow
}

// finishLines lists what waits, zone by zone: the rows of a zone that is closed
// already stand below its name, written whole. The zone whose window shuts first
// comes first.
func (c *card) finishLines() (out []finishLine) {
	roll, broad := c.waiting(c.Finishing.Roll), c.waiting(c.Finishing.Broad)
	var zones []string
	soonest := map[string]time.Duration{}
	of := func(rows []day.FinishRow, zone string) (of []*day.FinishRow) {
		for i := range rows {
			if q := &rows[i]; q.Zone == zone {
				of = append(of, q)
			}
		}
		return of[:min(len(of), mostRows)]
	}
	for _, rows := range [][]day.FinishRow{roll, broad} {
		for i := range rows {
			q := &rows[i]
			left, known := soonest[q.Zone]
			if !known {
				zones, left = append(zones, q.Zone), math.MaxInt64
			}
			if soonest[q.Zone] = left; !q.Off {
				soonest[q.Zone] = min(left, q.Left)
			}
		}
	}
	slices.SortStableFunc(zones, func(a, b string) int { return cmp.Compare(soonest[a], soonest[b]) })
	for _, zone := range zones {
		if c.Floor == nil || zone != c.Floor.Z.Name {
			out = append(out, finishLine{zone: zone})
		}
		roll, broad := of(roll, zone), of(broad, zone)
		for i := range max(len(roll), len(broad)) {
			var l finishLine
			if i < len(roll) {
				l.roll = roll[i]
			}
			if i < len(broad) {
				l.broad = broad[i]
			}
			out = append(out, l)
		}
	}
	return out
}

// rowsBlock lists what the roller and the broadcaster have before them, each by
// minutes left, what has shut as off, and what must stay away from the wet edge.
func (c *card) rowsBlock() block {
	rows := c.finishLines()
	n := min(len(rows), mostRows+1)
	foot := c.keepOff()
	if n == 0 && (len(foot) == 0 || len(c.Laid) == 0) {
		return block{}
	}
	head := 0
	if n > 0 {
		head = 1
	}
	return lines(head+n+len(foot), func(p frame.Pane) {
		p = p.Title("Finishing windows", "")
		below, list := p.Bottom(min(len(foot), p.H()))
		for y, w := range foot[:min(len(foot), list.H())] {
			x := list.Print(0, y, w.role, list.Glyph(w.glyph)) + 1
			list.PrintFit(x, y, list.W()-x, look.Text, w.words)
		}
		if head == 0 || below.H() == 0 {
			return
		}
		both := c.rolls() && c.broadcasts()
		second := 0 // where the broadcaster's column begins
		if both {
			second = broadAt
		}
		column := func(y, at int) frame.Pane {
			w := min(sideW, below.W()-at)
			if both {
				w = min(broadAt-broadGap, below.W()-at)
			}
			return below.Sub(frame.Rect{X: at, Y: y, W: w, H: 1})
		}
		if c.rolls() {
			postName(column(0, 0), "roll", c.Finishing.RollOut)
		}
		if c.broadcasts() {
			postName(column(0, second), "broadcast", c.Finishing.BroadOut)
		}
		for i := range min(n, below.H()-1) {
			l := &rows[i]
			if l.zone != "" {
				name := clean.String(l.zone)
				below.PrintFit(0, i+1, below.W(), look.Dim, first(below.W(), name+", closed", name))
			}
			if l.roll != nil {
				c.waitLine(column(i+1, 0), l.roll)
			}
			if l.broad != nil {
				c.waitLine(column(i+1, second), l.broad)
			}
		}
	})
}

// postName heads the column of a post, loud while it is out.
func postName(p frame.Pane, name string, out time.Time) {
	if !out.IsZero() {
		p.PrintFit(0, 0, p.W(), look.Bad, name+": out")
		return
	}
	p.PrintFit(0, 0, p.W(), look.Dim, name)
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
	words, role := units.ClockLeft(q.Left)+" left", look.Text
	switch {
	case q.Off:
		words, role = "off", c.offRole()
	case c.Now.Before(q.From):
		words, role = "from "+units.Clock(q.From.Sub(c.Now)), look.Dim
	case q.Left < 0:
		words, role = "ends "+units.ClockLeft(q.Ends.Sub(c.Now)), look.Warn
	}
	name := first(p.W()-frame.Width(words)-1, fmt.Sprintf("row %d", q.Row), fmt.Sprint(q.Row))
	p.Print(0, 0, look.Text, name)
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
	if c.PosL >= c.Floor.Path.TotalL()-1e-6 {
		return out // laid: nothing is ahead
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
