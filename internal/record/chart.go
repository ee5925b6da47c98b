package record

import (
	"fmt"
	"math"
	"slices"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/pace"
	"floorpace/internal/units"
)

// series is one chart: points and limit lines over the time of the day.
type series struct {
	title, note string
	points      []dot
	joined      bool // the points are joined by a line
	limits      []limit
	clock       bool // values are seconds
	unit        string
	spans       []span // holds
	empty       string // why there is nothing to draw
}

type dot struct {
	at  time.Time
	v   float64
	bad bool
}

// limit is a stepped line.
type limit struct {
	name   string
	points []dot
	upper  bool // the values must stay below
}

type span struct{ from, to time.Time }

// series makes the charts of the day.
func (m *maker) series() []series {
	gap := series{
		title: "Interval between batches against the band", clock: true, empty: "fewer than two batches were poured in any zone",
		note:   "Each point is a pour: minutes and seconds since the pour before it in the same zone.",
		limits: []limit{{name: "edge: no longer than", upper: true}, {name: "crew: no shorter than"}},
	}
	age := series{
		title: "Bucket age at the pour against its life", clock: true, empty: "no batch was poured",
		note:   "Minutes and seconds from the start of the reaction; the life is that at the kit temperature then read.",
		limits: []limit{{name: "life", upper: true}, {name: "life less margin", upper: true}},
	}
	margin := m.plan.Rules.BucketMargin.Seconds()
	for _, no := range pourOrder(m.state) {
		b := &m.paper.Batches[no-1]
		at := b.Poured.T
		if b.Gap.OK() {
			gap.points = append(gap.points, dot{at, b.Gap.V, b.Needed.OK() && b.Gap.V > b.Needed.V})
			if b.Needed.OK() {
				gap.limits[0].points = append(gap.limits[0].points, dot{at: at, v: b.Needed.V})
			}
			if b.Limit.OK() {
				gap.limits[1].points = append(gap.limits[1].points, dot{at: at, v: b.Limit.V})
			}
		}
		if b.Age.OK() {
			age.points = append(age.points, dot{at, b.Age.V, b.Used.OK() && b.Used.V > 1})
			if b.Life.OK() {
				age.limits[0].points = append(age.limits[0].points, dot{at: at, v: b.Life.V})
				age.limits[1].points = append(age.limits[1].points, dot{at: at, v: b.Life.V - margin})
			}
		}
	}
	sys := m.plan.Units
	slab := series{title: "Slab temperature", unit: units.Unit(units.Temp, sys), joined: true, empty: "the slab was not read"}
	for _, p := range m.look.Air.Slab.Points {
		slab.points = append(slab.points, dot{at: p.At, v: units.To(units.Temp, p.V, sys)})
	}
	dew := series{
		title: "Slab above the dew point", unit: units.Unit(units.TempDiff, sys), joined: true, empty: "slab, air and humidity were not all read",
		limits: []limit{{name: "the rule"}},
	}
	rule := units.To(units.TempDiff, float64(pace.DewRule(m.plan)), sys)
	for _, p := range m.look.Air.Margin.Points {
		v := units.To(units.TempDiff, p.V, sys)
		dew.points = append(dew.points, dot{p.At, v, v < rule})
		dew.limits[0].points = append(dew.limits[0].points, dot{at: p.At, v: rule})
	}
	out := []series{gap, age, slab, dew}
	early := func(a, b dot) bool { return a.at.Before(b.at) }
	for i := range out {
		sortBy(out[i].points, early) // the plan's own reading may be dated later than the first of the day
		for k := range out[i].limits {
			sortBy(out[i].limits[k].points, early)
		}
		for _, h := range m.paper.Holds {
			to := h.To.T
			if !h.To.OK() {
				to = m.state.Last
			}
			out[i].spans = append(out[i].spans, span{h.From, to})
		}
	}
	return out
}

// Size of a chart, mm: the width of a page's column, and low enough that two
// stand with their tables on one page.
const (
	chartW = 180.0
	chartH = 52.0
)

// draw draws the chart.
func (s *series) draw() *drawing {
	d := &drawing{w: chartW, h: chartH, alt: s.title}
	const left, right, top, bottom = 17.0, 4.0, 7.0, 8.0
	x0, x1, y0, y1 := left, chartW-right, chartH-bottom, top
	from, to := s.times()
	lo, hi := s.values()
	px := func(t time.Time) float64 { return x0 + (x1-x0)*t.Sub(from).Seconds()/to.Sub(from).Seconds() }
	py := func(v float64) float64 { return y0 + (y1-y0)*(math.Max(lo, math.Min(hi, v))-lo)/(hi-lo) }
	for _, h := range s.spans {
		a, b := math.Max(x0, px(h.from)), math.Min(x1, px(h.to))
		if b > a {
			d.rect(a, y1, math.Max(b-a, 0.3), y0-y1, shade, nil, 0)
		}
	}
	for _, v := range s.valueTicks(lo, hi) {
		d.line(x0, py(v), x1, py(v), pale, 0.15)
		d.label(x0-1.5, py(v)+1, s.value(v), 2.6, 'r', black)
	}
	for _, t := range timeTicks(from, to) {
		d.line(px(t), y0, px(t), y0+1, grey, 0.2)
		d.label(px(t), y0+4, t.Format("15:04"), 2.6, 'm', black)
	}
	d.line(x0, y0, x1, y0, grey, 0.25)
	d.line(x0, y0, x0, y1, grey, 0.25)
	lx := x0
	for k, l := range s.limits {
		dash := [][]float64{{2.4, 1.2}, {0.8, 0.8}}[k%2]
		c := []*rgb{red, blue}[k%2]
		if len(l.points) == 0 {
			continue
		}
		name := l.name
		if least := lowest(l.points); least > hi { // off the chart: said, not drawn
			name += " " + s.value(least) + " or more, above the chart"
		} else {
			d.path(steps(l.points, px, py), c, 0.4, dash...)
		}
		d.line(lx, 3, lx+7, 3, c, 0.4, dash...)
		d.label(lx+8, 4, name, 2.6, 'l', c)
		lx += 14 + 1.5*float64(len(name))
	}
	if len(s.spans) > 0 {
		d.rect(lx, 1.6, 5, 2.8, shade, nil, 0)
		d.label(lx+6, 4, "hold", 2.6, 'l', black)
	}
	s.drawPoints(d, px, py, hi)
	return d
}

func lowest(p []dot) float64 {
	low := math.Inf(1)
	for _, q := range p {
		low = math.Min(low, q.v)
	}
	return low
}

func (s *series) drawPoints(d *drawing, px func(time.Time) float64, py func(float64) float64, hi float64) {
	if s.joined {
		var line [][2]float64
		for _, p := range s.points {
			line = append(line, [2]float64{px(p.at), py(p.v)})
		}
		d.path(line, black, 0.3)
	}
	r := 0.8
	if len(s.points) > 150 {
		r = 0.5
	}
	above := 0
	lastX := -100.0
	for _, p := range s.points {
		c := black
		if p.bad {
			c = red
		}
		x, y := px(p.at), py(p.v)
		if p.v > hi { // beyond the chart: an arrow with its value
			d.shape([][2]float64{{x - 1, y + 1.6}, {x, y}, {x + 1, y + 1.6}}, c, nil, 0)
			if x-lastX > 9 {
				d.label(x, y-0.6, s.value(p.v), 2.2, 'm', c)
				lastX = x
			}
			above++
			continue
		}
		if p.bad {
			d.dot(x, y, r*1.5, c)
		} else {
			d.dot(x, y, r, c)
		}
	}
}

// steps draws a limit as it held: each value until the next.
func steps(p []dot, px func(time.Time) float64, py func(float64) float64) [][2]float64 {
	var out [][2]float64
	for i, q := range p {
		if i > 0 && p[i-1].v != q.v {
			out = append(out, [2]float64{px(q.at), py(p[i-1].v)})
		}
		if i == 0 || p[i-1].v != q.v || i == len(p)-1 {
			out = append(out, [2]float64{px(q.at), py(q.v)})
		}
	}
	return out
}

func (s *series) times() (from, to time.Time) {
	for _, p := range s.points {
		from = earliest(from, p.at)
		if p.at.After(to) {
			to = p.at
		}
	}
	if !to.After(from) {
		from, to = from.Add(-5*time.Minute), to.Add(5*time.Minute)
	}
	pad := to.Sub(from) / 50
	return from.Add(-pad), to.Add(pad)
}

// farLimit is how many times the usual value a limit may lie above it and still be
// drawn: further up it would press all the rest to the ground.
const farLimit = 12

// values is the range drawn. One long stop must not flatten all the rest: what
// lies above three times the usual is cut, with an arrow and its value.
func (s *series) values() (lo, hi float64) {
	var all []float64
	for _, p := range s.points {
		all = append(all, p.v)
	}
	slices.Sort(all)
	lo, hi = all[0], all[len(all)-1]
	lims, usual := 0.0, 0.0 // a limit that runs away at the end of a zone must not flatten the rest either
	for _, l := range s.limits {
		var v []float64
		for _, p := range l.points {
			lo, lims = math.Min(lo, p.v), math.Max(lims, p.v)
			v = append(v, p.v)
		}
		if len(v) > 0 {
			usual = math.Max(usual, median(v))
		}
	}
	if s.clock {
		lo = 0
		hi = math.Max(math.Min(hi, 3*all[len(all)/2]), math.Min(1.3*usual, farLimit*all[len(all)/2])) * 1.1
	} else {
		hi = math.Max(hi, lims)
		pad := math.Max(0.5, (hi-lo)*0.15)
		lo, hi = lo-pad, hi+pad
	}
	if hi <= lo {
		hi = lo + 1
	}
	return lo, hi
}

func (s *series) valueTicks(lo, hi float64) []float64 {
	if !s.clock {
		return ticks(lo, hi, 5)
	}
	for _, step := range []float64{15, 30, 60, 120, 300, 600, 1800, 3600, 7200, 14400} {
		if (hi-lo)/step <= 6 {
			var out []float64
			for v := math.Ceil(lo/step) * step; v <= hi; v += step {
				out = append(out, v)
			}
			return out
		}
	}
	return ticks(lo, hi, 5)
}

func (s *series) value(v float64) string {
	if s.clock {
		return units.Clock(time.Duration(v * float64(time.Second)))
	}
	return fmt.Sprintf("%.4g %s", v, s.unit)
}

// timeTicks are round clock times inside [from, to].
func timeTicks(from, to time.Time) []time.Time {
	for _, step := range []time.Duration{time.Minute, 5 * time.Minute, 10 * time.Minute, 15 * time.Minute, 30 * time.Minute, time.Hour, 2 * time.Hour, 4 * time.Hour, 12 * time.Hour, 24 * time.Hour} {
		if to.Sub(from)/step > 10 {
			continue
		}
		_, offset := from.Zone()
		shift := time.Duration(offset) * time.Second // round by the wall clock, not by UTC
		t := from.Add(shift).Truncate(step).Add(-shift)
		var out []time.Time
		for ; !t.After(to); t = t.Add(step) {
			if !t.Before(from) {
				out = append(out, t)
			}
		}
		return out
	}
	return []time.Time{from, to}
}

// stateWord is a word for a joined edge.
func stateWord(s string) string {
	switch s {
	case day.AtRisk.String():
		return "inside the margin"
	case day.Gone.String():
		return "too late"
	}
	return s
}
