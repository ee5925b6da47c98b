package edge

import (
	"math"
	"strings"
	"time"

	"floorpace/internal/air"
	"floorpace/internal/day"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/widget/chart"
	"floorpace/internal/units"
)

// showOff is how long a shut finishing window stays listed, so that it is seen
// by whoever looks once in some minutes.
const showOff = 5 * time.Minute

func (c *card) temp(v float64) string {
	if math.IsNaN(v) {
		return "?"
	}
	return units.FormatFixed(units.Temp, v, c.sys, 1)
}

func (c *card) airBlock() block {
	where := 0
	if c.dewAt() != "" {
		where = 1
	}
	return lines(6+where, func(p frame.Pane) {
		p = p.Title("Conditions", "")
		a := &c.Air
		row(p, 0, "slab", c.temp(a.SlabC), c.trendWords(a.Slab))
		humidity := "?"
		if !math.IsNaN(a.Humidity) {
			humidity = percent(a.Humidity)
		}
		row(p, 1, "air", c.temp(a.AirC), humidity+" humidity")
		row(p, 2, "kits", c.temp(a.KitC), "")
		c.dewLine(p.Row(3))
		if where > 0 {
			p.PrintFit(labelW, 4, p.W()-labelW, look.Dim, c.dewAt())
		}
		c.readLine(p.Row(4 + where))
		if len(c.Forbidden) == 0 && c.Edge.RiskM+c.Edge.GoneM == 0 { // else the calls say what to do
			p.PrintFit(0, 5+where, p.W(), look.Text, c.Advice.Short)
		}
	})
}

// trendWords says how a reading moves, per hour in the crew's units.
func (c *card) trendWords(t day.Trend) string {
	switch {
	case !t.OK:
		return "no trend yet"
	case math.Abs(t.PerHour) < steady:
		return "steady"
	case t.PerHour > 0:
		return "rising " + units.FormatFixed(units.TempDiff, t.PerHour, c.sys, 1) + "/h"
	}
	return "falling " + units.FormatFixed(units.TempDiff, -t.PerHour, c.sys, 1) + "/h"
}

// steady is a change per hour inside the error of two readings, K.
const steady = 0.2

func (c *card) dewLine(p frame.Pane) {
	p.PrintFit(0, 0, labelW-1, look.Dim, "dew margin")
	a := &c.Air
	if !a.DewOK {
		p.PrintFit(labelW, 0, p.W()-labelW, look.Bad, "no figure: read slab, air, humidity")
		return
	}
	g, r, word := look.GlyphGood, look.Good, "go"
	d := &a.Dew
	if a.WorstOK {
		d = &a.Worst
	}
	switch d.Call {
	case air.Stop:
		g, r, word = look.GlyphBad, look.Bad, "stop"
	case air.Amber:
		g, r, word = look.GlyphWarn, look.Warn, "close"
	}
	x := p.Print(labelW, 0, look.Strong, units.FormatFixed(units.TempDiff, d.MarginK, c.sys, 1))
	x = p.Print(x+2, 0, r, p.Glyph(g)+" "+word)
	words := "rule " + units.FormatFixed(units.TempDiff, float64(d.Rule), c.sys, 1)
	words = first(p.W()-x-2, words, strings.TrimSuffix(words, " "+units.Unit(units.TempDiff, c.sys)))
	if at := strings.TrimSuffix(a.WorstAt, " through cure"); at != "" {
		if both := words + ", " + at; c.dewAt() == "" && frame.Width(both) <= p.W()-x-2 {
			words = both
		}
	}
	p.PrintFit(x+2, 0, p.W()-x-2, look.Dim, words)
}

// dewAt is where the margin is close or gone, "" when it holds or when that is
// the slab as read: it has a line of its own, to look there.
func (c *card) dewAt() string {
	if a := &c.Air; a.DewOK && a.WorstOK && a.Worst.Call != air.Go {
		return a.WorstAt
	}
	return ""
}

func (c *card) readLine(p frame.Pane) {
	if c.Air.Due {
		p.PrintFit(0, 0, p.W(), look.Warn, p.Glyph(look.GlyphWarn)+" reading due since "+c.hm(c.Air.NextRead))
		return
	}
	row(p, 0, "next read", c.hm(c.Air.NextRead), "in "+units.Hours(c.Air.NextRead.Sub(c.Now)))
}

// mostOpenings is how many uses are listed.
const mostOpenings = 8

func (c *card) openingBlock() block {
	n := min(len(c.Opening), mostOpenings)
	if n == 0 {
		return block{}
	}
	order := make([]*day.OpeningView, 0, len(c.Opening))
	for _, asked := range []bool{true, false} {
		for i := range c.Opening {
			if c.Opening[i].Asked == asked {
				order = append(order, &c.Opening[i])
			}
		}
	}
	return lines(n, func(p frame.Pane) {
		p = p.Title("Open for use", "asked by "+c.Plan.Opening.In(c.Now.Location()).Format("Mon 15:04"))
		for y, o := range order[:min(n, p.H())] {
			c.openingLine(p.Row(y), o)
		}
	})
}

// slips is how much later a zone is down by the forecast than at the crew's
// limit, on which its openings rest: they slip with it.
func (c *card) slips(zone string) time.Duration {
	for i := range c.Zones {
		if z := &c.Zones[i]; z.Name == zone && z.Closed.IsZero() {
			if _, to, forecast := c.spans(z); forecast {
				return to.Sub(z.Turnout.Ends)
			}
		}
	}
	return 0
}

func (c *card) openingLine(p frame.Pane, o *day.OpeningView) {
	name := o.Use
	if len(c.Zones) > 1 {
		name = o.Zone + " " + o.Use
	}
	at, g, r := "no figure", look.GlyphWarn, look.Dim
	inTime := o.InTime
	if who := c.nobodyFor(o.Zone); who != "" {
		at = who
	} else if o.OK {
		opens := o.At.Add(c.slips(o.Zone))
		inTime = inTime && !opens.Add(c.Plan.Inspection).After(c.Plan.Opening)
		at = opens.In(c.Now.Location()).Format("Mon 15:04")
	}
	switch {
	case c.nobodyFor(o.Zone) != "":
		r = look.Bad
	case o.Asked && inTime:
		g, r = look.GlyphGood, look.Good
	case o.Asked && o.OK:
		g, r, at = look.GlyphBad, look.Bad, at+" late"
	}
	w := frame.Width(at)
	p.PrintFit(0, 0, p.W()-w-4, look.Text, name)
	p.Print(p.W()-w-2, 0, look.Strong, at)
	if o.Asked {
		p.Print(p.W()-1, 0, r, p.Glyph(g))
	}
}

// trend is one of the small charts.
type trend uint8

const (
	margin trend = iota
	slab
	interval
)

// trendView keeps a chart until a fact or the minute changes.
type trendView struct{ kept frame.Cached[trendKey] }

type trendKey struct {
	facts, points int
	minute        int64
	day           time.Time
}

// Charts show at least so much time, so that two readings a minute apart do
// not look like a cliff.
const leastWindow = time.Hour

func (c *card) trendBlock(kind trend) block {
	if kind == interval && (c.Floor == nil || len(c.Laid) < 3) {
		return block{}
	}
	return block{least: 5, want: 8, draw: func(p frame.Pane) {
		title, note := c.trendTitle(kind)
		p = p.Title(title, note)
		to := c.Now.Truncate(time.Minute).Add(time.Minute)
		key := trendKey{c.Facts, len(c.Laid), to.Unix() / 60, c.Started}
		c.air[kind].kept.Draw(p, key, func(p frame.Pane) { c.chart(kind, to).Draw(p) })
	}}
}

func (c *card) trendTitle(kind trend) (title, note string) {
	switch kind {
	case margin:
		return "Dew margin", units.Unit(units.TempDiff, c.sys)
	case slab:
		return "Slab", units.Unit(units.Temp, c.sys)
	}
	return "Between batches", "minutes"
}

func (c *card) chart(kind trend, to time.Time) *chart.Chart {
	ch := &chart.Chart{To: to}
	var points []chart.Point
	switch kind {
	case margin:
		for _, q := range c.Air.Margin.Points {
			points = append(points, chart.Point{T: q.At, V: units.To(units.TempDiff, q.V, c.sys)})
		}
		if c.Air.DewOK {
			ch.Levels = []chart.Level{{V: units.To(units.TempDiff, float64(c.Air.Dew.Rule), c.sys), Words: "rule"}}
		}
	case slab:
		for _, q := range c.Air.Slab.Points {
			points = append(points, chart.Point{T: q.At, V: units.To(units.Temp, q.V, c.sys)})
		}
	default:
		for i := 1; i < len(c.Laid); i++ {
			points = append(points, chart.Point{T: c.Laid[i].Start, V: c.Laid[i].Start.Sub(c.Laid[i-1].Start).Minutes()})
		}
		ch.Levels = c.paceLevels()
	}
	ch.From = to.Add(-leastWindow)
	if kind != interval && len(points) > 0 { // a reading holds until the next one
		last := points[len(points)-1]
		points = append(points, chart.Point{T: to, V: last.V})
	}
	if len(points) > 0 && points[0].T.Before(ch.From) {
		ch.From = points[0].T
	}
	ch.Series = []chart.Series{{Points: points, Role: look.Curve}}
	return ch
}

// paceLevels are the longest interval that keeps the edge and the shortest the
// crew can do; one line where two would lie on each other.
func (c *card) paceLevels() []chart.Level {
	var out []chart.Level
	need := c.Needed()
	if c.Edge.OK && need > 0 {
		out = append(out, chart.Level{V: 1 / need, Words: "needed"})
	}
	if limit := c.Band.Limit; limit > 0 && (len(out) == 0 || math.Abs(need/limit-1) > apart) {
		out = append(out, chart.Level{V: 1 / limit, Words: "limit"})
	}
	return out
}

// apart is how far two lines of a small chart must differ to be told apart.
const apart = 0.25
