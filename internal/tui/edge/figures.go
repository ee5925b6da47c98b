package edge

import (
	"fmt"
	"math"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/pace"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/widget/gauge"
	"floorpace/internal/units"
)

// drawFoot is what stands below the floor: the pace gauge and the least slack;
// alone on a narrow screen also kits and finish in a line each.
func (c *card) drawFoot(p frame.Pane, alone bool) {
	if p.Empty() {
		return
	}
	under := min(p.H()-1, 1)
	if alone && p.H() >= 5 {
		under = 3
	}
	top, rest := p.Top(p.H() - under)
	c.gauge().Draw(top)
	if under >= 1 {
		c.slackLine(rest.Row(0))
	}
	if under == 3 {
		c.kitsLine(rest.Row(1))
		c.finishLine(rest.Row(2))
	}
}

// gauge is the pace as intervals between batches, which is how a crew speaks
// of it; the scale is in batches a minute, so faster is to the right.
func (c *card) gauge() gauge.Pace {
	g := gauge.Pace{
		Needed: math.NaN(), Doing: math.NaN(), Limit: math.NaN(), Post: c.Band.LimitPost, Unit: "one batch every …, faster to the right",
		Figure: func(v float64) string {
			if v == 0 {
				return "none"
			}
			return units.Clock(interval1(v))
		},
	}
	if c.Floor == nil {
		return g
	}
	if who := c.nobody(); who != "" {
		g.Post = who
	}
	what, grade := c.PaceWord()
	g.Word, g.Role = what, [...]look.Role{look.Good, look.Bad, look.Warn, look.Dim}[grade]
	if c.Zone >= 0 && c.PosL >= c.Floor.Path.TotalL()-1e-6 {
		return g // laid
	}
	if c.Band.OK && c.Edge.OK {
		g.Needed = c.Needed()
	}
	if c.Doing > 0 {
		g.Doing = c.Doing
	}
	if c.Band.Limit > 0 {
		g.Limit = c.Band.Limit
	}
	return g
}

// nobody says which post stands still so that nothing can be laid; "" when the
// line runs. Where it says so no time is shown: none of them would come true.
func (c *card) nobody() string {
	h := &c.Hands
	switch {
	case c.Floor == nil || c.Band.Limit > 0 || c.Band.LimitPost == "":
		return ""
	case !h.Rake:
		return "no rake at work"
	case h.Mixers < 1:
		return "no mixer at work"
	case h.Runners < 1:
		return "no runner at work"
	}
	return "no " + c.Band.LimitPost + " at work"
}

// noMixerWords stand where a pace would.
const noMixerWords = "no mixer at work"

// nobodyFor is nobody for what depends on a zone: one that is closed is down.
func (c *card) nobodyFor(zone string) string {
	for i := range c.Zones {
		if c.Zones[i].Name == zone && !c.Zones[i].Closed.IsZero() {
			return ""
		}
	}
	return c.nobody()
}

// longest is an interval that no crew keeps: beyond it a pace is as good as
// standing still.
const longest = 24 * time.Hour

func interval1(perMin float64) time.Duration {
	if !(perMin > 0) {
		return longest
	}
	return min(pace.Interval(perMin), longest)
}

// slackLine is the least slack and where on the edge it is.
func (c *card) slackLine(p frame.Pane) {
	e := &c.Edge
	k := c.slackPoint()
	switch {
	case c.Floor == nil:
		return
	case !e.OK:
		p.PrintFit(0, 0, p.W(), look.Bad, "no slack figure: "+e.Missing)
		return
	case k < 0 && c.Zone < 0:
		at, _ := c.ZoneFrom()
		words := "first batch of " + clean.String(c.Floor.Z.Name) + ": due now"
		if left := at.Sub(c.Now); left > 0 {
			words = fmt.Sprintf("first batch of %s at %s, in ", clean.String(c.Floor.Z.Name), hms(at))
			x := p.PrintFit(0, 0, p.W()-9, look.Text, words)
			p.PrintFit(x, 0, p.W()-x, look.Strong, units.ClockLeft(left))
			return
		}
		p.PrintFit(0, 0, p.W(), look.Text, words)
		return
	case k < 0:
		p.PrintFit(0, 0, p.W(), look.Dim, "no wet edge waits")
		return
	}
	q := e.Points[k]
	role := look.Good
	switch {
	case q.Slack < 0:
		role = look.Bad
	case q.Slack < day.SlackSoon:
		role = look.Warn
	}
	head := "least slack "
	if c.Approx { // the machine was restarted since
		head += "≈"
	}
	x := p.Spans(0, 0, frame.Span{Role: look.Dim, Text: head}, frame.Span{Role: role, Text: units.ClockLeft(q.Slack)})
	for _, part := range []string{c.where(q.Cell), "joinable until " + hms(q.Until)} {
		if x+2+frame.Width(part) > p.W() {
			break
		}
		x = p.Print(x+2, 0, look.Text, part)
	}
}

// where names a place on the edge: its row, and how far from the left wall
// looking along the pull.
func (c *card) where(cell int) string {
	return fmt.Sprintf("row %d, %s from the left", c.Floor.Path.Row(cell)+1, c.short(c.Floor.FromLeft(cell)))
}

// kitsLine is the kits in one line.
func (c *card) kitsLine(p frame.Pane) {
	if c.Floor == nil {
		return
	}
	k := &c.Kits
	role, word := c.kitsWord()
	need := k.Need
	if k.NeedMean > need {
		need = k.NeedMean
	}
	x := p.Spans(0, 0, frame.Span{Role: look.Dim, Text: "kits "}, frame.Span{Role: look.Strong, Text: fmt.Sprint(k.Poured)}, frame.Span{Role: look.Dim, Text: " laid  "},
		frame.Span{Role: look.Strong, Text: fmt.Sprint(need)}, frame.Span{Role: look.Dim, Text: " to go"})
	if c.counted() {
		x = p.Spans(x+2, 0, frame.Span{Role: look.Strong, Text: fmt.Sprint(k.OnHand + k.OnTheWay)}, frame.Span{Role: look.Dim, Text: " on hand"})
	}
	x = p.PrintFit(x+2, 0, p.W()-x-2, role, word)
	if c.Depth.ActualM > 0 {
		p.PrintFit(x+2, 0, p.W()-x-2, look.Text, "thickness "+units.Format(units.Depth, c.Depth.ActualM, c.sys))
	}
}

// counted tells whether the plan counts the kits on hand.
func (c *card) counted() bool { return len(c.Plan.Lots) > 0 }

// kitsWord is how the kits stand, in a few words.
func (c *card) kitsWord() (look.Role, string) {
	k := &c.Kits
	have := k.OnHand + k.OnTheWay
	spare := have - max(k.Need, k.NeedMean, k.NeedLast)
	switch {
	case !c.counted():
		return look.Dim, "on hand not counted"
	case k.Short && k.SaveFor < 0:
		return look.Bad, fmt.Sprintf("short by %d", -spare)
	case k.Short:
		return look.Bad, fmt.Sprintf("short by %d: reset the rake", -spare)
	}
	return look.Good, fmt.Sprintf("%d to spare", spare)
}

func (c *card) kitsBlock() block {
	if c.Floor == nil {
		return block{}
	}
	k := &c.Kits
	n := 5
	if k.Short {
		n = 7
	}
	return lines(n, func(p frame.Pane) {
		p = p.Title("Kits", "")
		used := fmt.Sprintf("%d coming, %d scrapped", k.OnTheWay, k.Scrapped)
		if k.Dead > 0 {
			used = fmt.Sprintf("%d coming, %d dead", k.OnTheWay, k.Dead)
		}
		row(p, 0, "used", fmt.Sprint(k.Poured), used)
		row(p, 1, "to finish", fmt.Sprint(max(k.Need, k.NeedMean)), fmt.Sprintf("plan %d, last 3 %d", k.Need, k.NeedLast))
		onHand := fmt.Sprint(k.OnHand + k.OnTheWay)
		if !c.counted() {
			onHand = "?"
		}
		role, word := c.kitsWord()
		rowIn(p, 2, "on hand", onHand, word, role)
		plan := units.Format(units.Depth, c.Depth.PlanM, c.sys)
		if c.Depth.ActualM > 0 {
			row(p, 3, "thickness", units.Format(units.Depth, c.Depth.ActualM, c.sys), "plan "+plan)
			row(p, 4, "a kit lays", c.area(k.M2PerKit*k.Drift), fmt.Sprintf("drift %+.1f %%", 100*(k.Drift-1)))
		} else {
			row(p, 3, "thickness", "?", "plan "+plan+", no mark")
			row(p, 4, "a kit lays", c.area(k.M2PerKit), "by plan")
		}
		if !k.Short {
			return
		}
		p.PrintFit(0, 5, p.W(), look.Text, fmt.Sprintf("reach %s to %s of %s", c.area(min(k.ReachM2, k.ReachLastM2)), c.area(max(k.ReachM2, k.ReachLastM2)), c.area(c.Floor.Path.AreaM2())))
		save := "a rake reset no longer saves it"
		if k.SaveFor >= 0 {
			save = "a rake reset saves it within " + units.Count(k.SaveFor, "kit", "kits")
		}
		p.PrintFit(0, 6, p.W(), look.Bad, save)
	})
}

// outlook tells whether there is a forecast that the clock has not overtaken, and
// whether it rests on the facts of now.
func (c *card) outlook() (ok, fresh bool) {
	ok = c.Forecast.OK && !c.overtaken()
	return ok, ok && c.Forecast.Facts == c.Facts
}

// overtaken tells whether so much time has passed without a press that the zone
// can no longer be down when the forecast says: even at the crew's limit it takes
// a batch longer.
func (c *card) overtaken() bool {
	f := &c.Forecast
	return f.OK && !f.P50.IsZero() && c.Band.Limit > 0 && c.Finish.Sub(f.P50) > interval1(c.Band.Limit)
}

func (c *card) finishLine(p frame.Pane) {
	if c.Floor == nil {
		return
	}
	ok, fresh := c.outlook()
	x := p.Print(0, 0, look.Dim, "finish ")
	if why := c.noFinish(); why != "" {
		p.PrintFit(x, 0, p.W()-x, look.Bad, why)
		return
	}
	if !ok {
		x = p.Print(x, 0, look.Strong, c.hm(c.Finish))
		p.PrintFit(x+1, 0, p.W()-x-1, look.Dim, "at the crew's limit, "+c.whyNone())
		return
	}
	f := &c.Forecast
	x = p.Spans(x, 0, frame.Span{Role: look.Strong, Text: c.hm(f.P50)},
		frame.Span{Role: look.Dim, Text: fmt.Sprintf(" (%s to %s)  edge holds ", c.hm(f.P10), c.hm(f.P90))},
		frame.Span{Role: c.chanceRole(f.Edge), Text: percent(f.Edge)})
	if !fresh {
		p.PrintFit(x+2, 0, p.W()-x-2, look.Dim, "as of "+hms(f.From))
	}
}

// noFinish says why there is no finish to name; "" when there is one.
func (c *card) noFinish() string {
	ok, fresh := c.outlook()
	if ok && c.Forecast.P50.IsZero() {
		return c.Forecast.Why
	}
	if ok && fresh {
		return "" // what is on its way may be all that is left
	}
	return c.nobody()
}

func (c *card) whyNone() string {
	if c.overtaken() {
		return "forecast of " + hms(c.Forecast.From) + " overtaken"
	}
	if c.Forecast.Why != "" {
		return c.Forecast.Why
	}
	return "no forecast yet"
}

func (c *card) chanceRole(share float64) look.Role {
	switch {
	case share >= c.Plan.Rules.Chance:
		return look.Good
	case share >= c.Plan.Rules.Chance/2:
		return look.Warn
	}
	return look.Bad
}

func (c *card) finishBlock() block {
	if c.Floor == nil {
		return block{}
	}
	ok, fresh := c.outlook()
	if !ok {
		return lines(2, func(p frame.Pane) {
			p = p.Title("Finish of this zone", "")
			if why := c.nobody(); why != "" {
				rowIn(p, 0, "finish", "none", why, look.Bad)
			} else {
				row(p, 0, "finish", c.hm(c.Finish), "at the crew's limit")
			}
			p.PrintFit(0, 1, p.W(), look.Dim, c.whyNone())
		})
	}
	return lines(4, func(p frame.Pane) {
		f := &c.Forecast
		note := fmt.Sprintf("%d days", f.Days)
		if !fresh {
			note = "as of " + hms(f.From)
		}
		p = p.Title("Finish of this zone", note)
		if why := c.noFinish(); why != "" {
			rowIn(p, 0, "finish", "none", why, look.Bad)
			row(p, 1, "8 in 10", "none", "")
		} else {
			row(p, 0, "finish", c.hm(f.P50), "in half the days")
			row(p, 1, "8 in 10", c.hm(f.P10)+" to "+c.hm(f.P90), "")
		}
		x := rowStart(p, 2, "edge holds")
		x = p.Print(x, 2, c.chanceRole(f.Edge), percent(f.Edge))
		p.PrintFit(x+2, 2, p.W()-x-2, look.Dim, percent(c.Plan.Rules.Chance)+" asked for")
		row(p, 3, "buckets", percent(f.Buckets), fmt.Sprintf("both hold %s", percent(f.Both)))
	})
}

// row is a line of a block: what, a figure, a remark.
func row(p frame.Pane, y int, what, figure, note string) {
	x := rowStart(p, y, what)
	x = p.Print(x, y, look.Strong, figure)
	p.PrintFit(x+2, y, p.W()-x-2, look.Dim, note)
}

// rowIn is row with the remark in a role of its own.
func rowIn(p frame.Pane, y int, what, figure, note string, r look.Role) {
	x := rowStart(p, y, what)
	x = p.Print(x, y, look.Strong, figure)
	p.PrintFit(x+2, y, p.W()-x-2, r, note)
}

// labelW is the width of the words at the left of a block.
const labelW = 11

func rowStart(p frame.Pane, y int, what string) int {
	p.PrintFit(0, y, labelW-1, look.Dim, what)
	return labelW
}
