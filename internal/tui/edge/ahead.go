package edge

import (
	"fmt"

	"floorpace/internal/advice"
	"floorpace/internal/day"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/units"
)

// mostWays is how many ways out are listed; each is named by a figure key, and
// beyond five nobody chooses better.
const mostWays = 6

// waysBlock lists the ways out, ranked, each with chance, finish, opening and
// kits in a second line.
func (c *card) waysBlock() block {
	if c.Floor == nil {
		return block{}
	}
	ok := c.Forecast.OK
	fresh := c.Forecast.Facts == c.Facts
	n := min(len(c.Forecast.Ways), mostWays)
	if !ok && n == 0 {
		return lines(1, func(p frame.Pane) {
			p.Title("Ways out", "").PrintFit(0, 0, p.W(), look.Dim, c.whyNone())
		})
	}
	least := 2 + min(n, 3)*2
	return block{least, 2 + n*2, func(p frame.Pane) {
		note := ""
		if c.WaysKey != "" && n > 0 {
			note = c.WaysKey + " to choose"
		}
		if !fresh {
			note = "as of " + hms(c.Forecast.From)
		}
		p = p.Title("Ways out", note)
		x := p.Print(0, 0, look.Dim, "  as now ")
		if !ok { // no figure for now; the ways are those that give one
			p.PrintFit(x, 0, p.W()-x, look.Bad, "no figure: "+c.whyNone())
			for i := range min(n, (p.H()-1)/2) {
				c.way(p, 1+2*i, i+1, &c.Forecast.Ways[i])
			}
			return
		}
		x = p.Print(x, 0, c.chanceRole(c.Forecast.Edge), percent(c.Forecast.Edge))
		if why := c.noFinish(); why != "" {
			p.PrintFit(x+2, 0, p.W()-x-2, look.Bad, why)
		} else {
			p.PrintFit(x+2, 0, p.W()-x-2, look.Dim, "finish "+c.hm(c.Forecast.P50))
		}
		for i := range min(n, (p.H()-1)/2) {
			c.way(p, 1+2*i, i+1, &c.Forecast.Ways[i])
		}
	}}
}

func (c *card) way(p frame.Pane, y, no int, w *advice.Way) {
	p.Print(0, y, look.Accent, fmt.Sprint(no))
	chance := percent(w.Edge)
	end := p.W() - frame.Width(chance)
	x := p.PrintFit(2, y, end-3, look.Text, w.What)
	if w.Figure != "" && x+2 < end {
		p.PrintFit(x+1, y, end-x-2, look.Dim, w.Figure)
	}
	p.Print(end, y, c.chanceRole(w.Edge), chance)
	x = 2
	parts := []frame.Span{}
	if !w.P50.IsZero() {
		parts = append(parts, frame.Span{Role: look.Dim, Text: "finish " + c.hm(w.P50)})
	}
	switch {
	case w.Opening.IsZero():
	case w.InTime:
		parts = append(parts, frame.Span{Role: look.Dim, Text: "opens " + c.hm(w.Opening) + " " + p.Glyph(look.GlyphGood)})
	default:
		parts = append(parts, frame.Span{Role: look.Bad, Text: "opens " + c.hm(w.Opening) + " late"})
	}
	if w.Kits > 0 {
		parts = append(parts, frame.Span{Role: look.Dim, Text: fmt.Sprintf("%d kits", w.Kits)})
	}
	if w.People > 0 {
		parts = append(parts, frame.Span{Role: look.Dim, Text: fmt.Sprintf("+%d hands", w.People)})
	}
	for _, part := range parts {
		if x+frame.Width(part.Text) > p.W() {
			break
		}
		x = p.Spans(x, y+1, part) + 2
	}
}

// mostStops is how many places to stop are listed, best first.
const mostStops = 4

func (c *card) stopsBlock() block {
	best := c.StopPlan.Best
	n := min(len(best), mostStops)
	if n == 0 {
		return block{}
	}
	return block{1 + min(n, 2)*2, 1 + n*2, func(p frame.Pane) {
		p = p.Title("Where it may stop", "best first")
		for i := range min(n, p.H()/2) {
			c.stop(p, 2*i, &best[i])
		}
	}}
}

func (c *card) stop(p frame.Pane, y int, q *day.StopView) {
	end := fmt.Sprintf("%d kits", q.Batches)
	if q.Need > 0 {
		end += "  " + units.Clock(q.Need)
	}
	x := p.W() - frame.Width(end)
	role := look.Text
	name := q.Name
	switch {
	case q.Chosen:
		role, name = look.Accent, name+" (chosen)"
	case q.Back:
		name = "cut back to " + name
	case q.RowEnd:
		name += ", taped"
	}
	p.PrintFit(0, y, x-1, role, name)
	p.Print(x, y, look.Strong, end)
	x = 2
	lamp := func(ok bool, yes, no string) {
		g, r, w := look.GlyphGood, look.Good, yes
		if !ok {
			g, r, w = look.GlyphBad, look.Bad, no
		}
		x = p.Spans(x, y+1, frame.Span{Role: r, Text: p.Glyph(g)}, frame.Span{Role: look.Dim, Text: " " + w}) + 2
	}
	lamp(q.Kits, "kits", fmt.Sprintf("%d short", -q.Spare))
	lamp(q.Edge, "edge", "edge")
	if !q.Crew {
		lamp(false, "", "no crew")
	} else if !q.InTime {
		lamp(false, "", "late")
	}
	words := "mix nothing more"
	switch {
	case q.Back:
		words = c.area(q.OffM2) + " come off"
	case !q.Crew:
		return
	case q.LastBatch > 0:
		words = fmt.Sprintf("last %d at %s", q.LastBatch, hms(q.LastStart))
	case q.Over > 0:
		words = fmt.Sprintf("mix no more, %d too many", q.Over)
	}
	p.PrintFit(x, y+1, p.W()-x, look.Dim, words)
}

// dayBlock is the forecast of the whole day, when there is more than one zone: it
// is studied after the zone's own, and says on what it rests.
func (c *card) dayBlock() block {
	d := &c.Forecast.Day
	if len(c.Zones) < 2 || d.Facts == 0 && d.Days == 0 && d.Why == "" {
		return block{}
	}
	if !d.OK {
		return lines(1, func(p frame.Pane) {
			p.Title("Whole day", "").PrintFit(0, 0, p.W(), look.Dim, "no figure: "+d.Why)
		})
	}
	return lines(3, func(p frame.Pane) {
		note := fmt.Sprintf("%d days", d.Days)
		if d.Facts != c.Facts {
			note = "as of " + hms(d.From)
		}
		p = p.Title("Whole day", note)
		row(p, 0, "finish", c.hm(d.P50), c.hm(d.P10)+" to "+c.hm(d.P90))
		x := rowStart(p, 1, "edges hold")
		x = p.Print(x, 1, c.chanceRole(d.Edge), percent(d.Edge))
		p.PrintFit(x+2, 1, p.W()-x-2, look.Dim, "with buckets "+percent(d.Both))
		if d.Opening.IsZero() {
			row(p, 2, "opens", "none", "no figure")
			return
		}
		role := look.Dim
		if !d.InTime {
			role = look.Bad
		}
		rowIn(p, 2, "opens", c.hm(d.Opening), "in time "+percent(d.Opens), role)
	})
}

// zonesBlock is the order of the day, when there is more than one zone.
func (c *card) zonesBlock() block {
	if len(c.Zones) < 2 {
		return block{}
	}
	return block{1 + min(len(c.Zones), 3), 1 + len(c.Zones), func(p frame.Pane) {
		p = p.Title("Zones", "")
		from := max(0, min(c.Zone, len(c.Zones)-p.H()))
		for y, z := range c.Zones[from:] {
			c.zoneLine(p.Row(y), &z)
		}
	}}
}

func (c *card) zoneLine(p frame.Pane, z *day.ZoneView) {
	words, role := "", look.Text
	switch who := c.nobody(); {
	case !z.Closed.IsZero():
		words, role = "done "+c.hm(z.Closed), look.Good
	case who != "" && z.Began.IsZero():
		words, role = who, look.Dim
	case who != "":
		words, role = fmt.Sprintf("%s, %s", percent(z.Done), who), look.Bad
	case !z.Began.IsZero():
		words = fmt.Sprintf("%s, ends %s", percent(z.Done), c.hm(z.Turnout.Ends))
	default:
		words, role = fmt.Sprintf("from %s to %s", c.hm(z.Turnout.Start), c.hm(z.Turnout.Ends)), look.Dim
	}
	if z.Turnout.OK && !z.Turnout.Fits {
		words, role = words+", late for opening", look.Bad
	}
	x := p.PrintFit(0, 0, p.W()/3, look.Text, z.Name)
	p.PrintFit(max(x+1, labelW), 0, p.W()-max(x+1, labelW), role, words)
}
