package edge

import (
	"fmt"
	"strings"
	"time"

	"floorpace/internal/advice"
	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/pace"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/units"
)

// mostWays is how many ways out are listed; each is named by a figure key, and
// beyond five nobody chooses better.
const mostWays = 6

// waysBlock lists the ways out, ranked, each with chance, its own figure,
// finish, opening and kits, whole.
func (c *card) waysBlock() block {
	if c.Floor == nil {
		return block{}
	}
	ok := c.Forecast.OK
	fresh := c.Forecast.Facts == c.Facts && !c.overtaken()
	n := min(len(c.Forecast.Ways), mostWays)
	why := frame.WrapLines(clean.String(c.whyNone()), min(c.w, sideW)-2)
	ways := make([][][]frame.Span, n)
	head := 1 // rows before the ways
	if !ok {
		head = len(why)
	}
	least, want := 1+head, 1+head
	for i := range ways {
		ways[i] = c.way(&c.Forecast.Ways[i], min(c.w, sideW))
		want += len(ways[i])
		if i < 3 {
			least += len(ways[i])
		}
	}
	return block{least: least, want: want, draw: func(p frame.Pane) {
		note := ""
		if c.WaysKey != "" && n > 0 {
			note = c.WaysKey + " to choose"
		}
		if !fresh && (ok || n > 0) {
			note = "as of " + hms(c.Forecast.From)
		}
		p = p.Title("Ways out", note)
		if !ok { // no figure for now; the ways are those that give one
			for y, l := range why {
				p.PrintFit(2, y, p.W()-2, look.Dim, l)
			}
			c.drawWays(p, head, ways)
			return
		}
		x := p.Print(0, 0, look.Dim, "  as now ")
		x = p.Print(x, 0, c.chanceRole(c.Forecast.Edge), percent(c.Forecast.Edge))
		if why := c.noFinish(); why != "" {
			p.PrintFit(x+2, 0, p.W()-x-2, look.Bad, why)
		} else {
			p.PrintFit(x+2, 0, p.W()-x-2, look.Dim, "finish "+c.hm(c.Forecast.P50))
		}
		c.drawWays(p, head, ways)
	}}
}

// drawWays draws from row y on as many ways as stand there whole.
func (c *card) drawWays(p frame.Pane, y int, ways [][][]frame.Span) {
	for i := range ways {
		if y+len(ways[i]) > p.H() {
			return
		}
		c.wayHead(p.Row(y), i+1, &c.Forecast.Ways[i], ways[i][0])
		for k, line := range ways[i][1:] {
			p.Spans(2, y+1+k, line...)
		}
		y += len(ways[i])
	}
}

func (c *card) wayHead(row frame.Pane, no int, w *advice.Way, line []frame.Span) {
	row.Print(0, 0, look.Accent, fmt.Sprint(no))
	row.Spans(2, 0, line...)
	row.PrintRight(row.W(), 0, c.chanceRole(w.Edge), percent(w.Edge))
}

// way gives the lines of a way out for a width, each beginning at column 2, the
// first with room for the chance at its right. Nothing is cut: what finds no
// room beside goes on below.
func (c *card) way(w *advice.Way, width int) (out [][]frame.Span) {
	text := func(r look.Role, words string) frame.Span { return frame.Span{Role: r, Text: words} }
	room := width - 2
	head := room - frame.Width(percent(w.Edge)) - 1
	what := frame.WrapLines(clean.String(w.What), head)
	if len(what) == 0 { // no room, or no words
		what = []string{""}
	}
	for _, l := range what {
		out = append(out, []frame.Span{text(look.Text, l)})
	}
	figure := clean.String(w.Figure)
	last := len(out) - 1
	if used := frame.SpansWidth(out[last]...); last == 0 && used+1+frame.Width(figure) <= head {
		out[0] = append(out[0], text(look.Dim, " "+figure))
	} else {
		for _, l := range frame.WrapLines(figure, room) {
			out = append(out, []frame.Span{text(look.Dim, l)})
		}
	}
	var parts []frame.Span
	if !w.P50.IsZero() {
		parts = append(parts, text(look.Dim, "finish "+c.hm(w.P50)))
	}
	switch {
	case w.Opening.IsZero():
	case w.InTime:
		parts = append(parts, text(look.Dim, "opens "+c.hm(w.Opening)+" ✓"))
	default:
		parts = append(parts, text(look.Bad, "opens "+c.hm(w.Opening)+" late"))
	}
	if w.Kits > 0 {
		if w.Short {
			parts = append(parts, text(look.Bad, pace.KitsOf(w.Kits)+", too few"))
		} else {
			parts = append(parts, text(look.Dim, pace.KitsOf(w.Kits)))
		}
	}
	if w.People > 0 {
		parts = append(parts, text(look.Dim, "+"+units.Count(w.People, "hand", "hands")))
	}
	var line []frame.Span
	for _, q := range parts {
		gap := text(look.Dim, "  ")
		if len(line) > 0 && frame.SpansWidth(append(line, gap, q)...) > room {
			out, line = append(out, line), nil
		}
		if len(line) > 0 {
			line = append(line, gap)
		}
		line = append(line, q)
	}
	if len(line) > 0 {
		out = append(out, line)
	}
	return out
}

// mostStops is how many places to stop are listed, best first.
const mostStops = 4

func (c *card) stopsBlock() block {
	best := c.StopPlan.Best
	n := min(len(best), mostStops)
	if n == 0 {
		return block{}
	}
	return block{least: 1 + min(n, 2)*2, want: 1 + n*2, draw: func(p frame.Pane) {
		note := "best first"
		if c.DecideKey != "" && c.Zone >= 0 {
			note = c.DecideKey + " to choose"
		}
		p = p.Title("Where it may stop", note)
		for i := range min(n, p.H()/2) {
			c.stop(p, 2*i, &best[i])
		}
	}}
}

func (c *card) stop(p frame.Pane, y int, q *day.StopView) {
	end := pace.KitsOf(q.Batches)
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
	edge := "edge"
	if c.Edge.GoneM > 0 && !q.Back { // no pace brings back what is gone: only the rest is judged
		edge = "rest"
	}
	lamp(q.Edge, edge, edge)
	if !q.Crew {
		lamp(false, "", "no crew")
	} else if !q.InTime {
		lamp(false, "", units.Hours(q.Down.Sub(q.Deadline))+" late")
	}
	words := "mix nothing more"
	switch {
	case q.Back:
		words = c.area(q.OffM2) + " come off"
	case !q.Crew:
		return
	case q.LastBatch > 0 && !q.Reach():
		return // no batch is to be mixed for a place that is out of reach
	case q.LastBatch > 0:
		words = fmt.Sprintf("last %d at %s", q.LastBatch, hms(q.LastStart))
	case q.Over > 0:
		words = first(p.W()-x, fmt.Sprintf("mix no more, %d too many", q.Over), fmt.Sprintf("%d too many", q.Over))
	}
	p.PrintFit(x, y+1, p.W()-x, look.Dim, words)
}

// dayBlock is the forecast of the whole day, when there is more than one zone: it
// is studied after the zone's own, and says on what it rests.
func (c *card) dayBlock() block {
	d := &c.Forecast.Day
	if len(c.Zones) < 2 || c.Floor == nil || d.Facts == 0 && d.Days == 0 && d.Why == "" {
		return block{}
	}
	if !d.OK {
		return lines(1, func(p frame.Pane) {
			p.Title("Whole day", "").PrintFit(0, 0, p.W(), look.Dim, first(p.W(), "no figure: "+d.Why, d.Why))
		})
	}
	return lines(4, func(p frame.Pane) {
		note := fmt.Sprintf("%d days", d.Days)
		if d.Facts != c.Facts || c.overtaken() || c.dayOvertaken() {
			note = "as of " + hms(d.From)
		}
		p = p.Title("Whole day", note)
		row(p, 0, "finish", c.hm(d.P50), "in half the days")
		row(p, 1, "8 in 10", c.hm(d.P10)+" to "+c.hm(d.P90), "")
		x := rowStart(p, 2, "edges hold")
		x = p.Print(x, 2, c.chanceRole(d.Edge), percent(d.Edge))
		p.PrintFit(x+2, 2, p.W()-x-2, look.Dim, "with buckets "+percent(d.Both))
		if d.Opening.IsZero() {
			row(p, 3, "opens", "none", "no figure")
			return
		}
		role := look.Dim
		if !d.InTime {
			role = look.Bad
		}
		rowIn(p, 3, "opens", c.hm(d.Opening), "in time "+percent(d.Opens), role)
	})
}

// dayOvertaken tells the same of the whole day: a zone that is laid and not closed
// makes no facts, and all that comes after it waits.
func (c *card) dayOvertaken() bool {
	if c.Band.Limit <= 0 {
		return false
	}
	for i := range c.Zones {
		z := &c.Zones[i]
		if z.Closed.IsZero() && z.Turnout.Ends.Sub(c.Forecast.Day.P50) > interval1(c.Band.Limit) {
			return true
		}
	}
	return false
}

// spans is when a zone not yet closed is poured: by the forecast where there is
// one, so that all figures on the screen rest on the same days; else at the crew's
// limit. A zone behind one that the forecast has later is later by as much. A
// forecast that the clock has overtaken counts no more.
func (c *card) spans(z *day.ZoneView) (from, to time.Time, forecast bool) {
	from, to = z.Turnout.Start, z.Turnout.Ends
	ok, fresh := c.outlook()
	good := func(p50, ends time.Time) bool { return !p50.IsZero() && (fresh || p50.After(ends)) }
	if c.Floor == nil || !ok {
		return from, to, false
	}
	now := &c.Zones[c.Floor.Index]
	if !good(c.Forecast.P50, now.Turnout.Ends) {
		return from, to, false
	}
	if z.Name == now.Name {
		return from, c.Forecast.P50, true
	}
	if d := &c.Forecast.Day; d.OK {
		for i := range d.Zones {
			if q := &d.Zones[i]; q.Name == z.Name && good(q.P50, to) {
				return q.Start, q.P50, true
			}
		}
	}
	slip := c.Forecast.P50.Sub(now.Turnout.Ends)
	return from.Add(slip), to.Add(slip), true
}

// zonesBlock is the order of the day, when there is more than one zone.
func (c *card) zonesBlock() block {
	if len(c.Zones) < 2 {
		return block{}
	}
	return lines(len(c.Zones), func(p frame.Pane) {
		note := ""
		for i := range c.Zones {
			if z := &c.Zones[i]; z.Closed.IsZero() && c.nobody() == "" {
				if _, _, forecast := c.spans(z); !forecast {
					note = "at the crew's limit"
				}
			}
		}
		p = p.Title("Zones", note)
		from := max(0, min(c.Zone, len(c.Zones)-p.H()))
		for y, z := range c.Zones[from:] {
			c.zoneLine(p.Row(y), &z)
		}
	})
}

func (c *card) zoneLine(p frame.Pane, z *day.ZoneView) {
	words, role := "", look.Text
	from, to, _ := c.spans(z)
	switch who := c.nobody(); {
	case !z.Closed.IsZero():
		words, role = "done "+c.hm(z.Closed), look.Good
	case who != "" && z.Began.IsZero():
		words, role = who, look.Dim
	case who != "":
		words, role = fmt.Sprintf("%s, %s", percent(z.Done), who), look.Bad
	case !z.Began.IsZero():
		words = fmt.Sprintf("%s, ends %s", percent(z.Done), c.hm(to))
	default:
		words, role = fmt.Sprintf("from %s to %s", c.hm(from), c.hm(to)), look.Dim
	}
	x := max(p.PrintFit(0, 0, p.W()/3, look.Text, z.Name)+1, labelW)
	if z.Turnout.OK && (!z.Turnout.Fits || z.Closed.IsZero() && to.After(z.Turnout.Latest)) {
		short, _, _ := strings.Cut(words, " to ")
		words, role = first(p.W()-x, words+", late for opening", words+", late", short+", late"), look.Bad
	}
	p.PrintFit(x, 0, p.W()-x, role, words)
}
