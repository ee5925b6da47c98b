package record

import (
	"math"
	"sort"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/floor"
	"floorpace/internal/units"
)

// holdEnd is how the floor stood when the present hold ended.
func (m *maker) holdEnd(s *day.State, at time.Time) Hold {
	h := s.Hold
	out := Hold{
		From: h.From, To: When{T: at}, Seconds: seconds(at.Sub(h.From)), Stop: h.Stop,
		Why: text(clean.String(h.Why), "no reason was given"), Where: text(clean.String(h.Where), "not asked for"),
	}
	none := "no zone was being poured"
	out.Zone, out.X, out.Y = Text{NA: none}, noNum(none), noNum(none)
	out.edgeNA(none)
	out.rowNA(none)
	v := day.Look(s, at)
	out.Waiting = len(v.Buckets)
	for _, b := range v.Buckets {
		if b.Dead {
			out.Dead = append(out.Dead, Dead{Batch: b.Batch, AgeS: b.Age.Seconds(), LifeS: (b.Age + b.Left).Seconds()})
		}
	}
	out.BucketLife = lifeOf(v.Band.BucketLife, "bucket life: outside the sheet")
	if v.Zone < 0 {
		return out
	}
	out.Zone = Text{S: v.Zones[v.Zone].Name}
	out.X, out.Y = num(v.NextAt.X), num(v.NextAt.Y)
	out.edge(m, v)
	out.row(v)
	return out
}

func lifeOf(d time.Duration, why string) Num {
	if d <= 0 {
		return noNum(why)
	}
	return seconds(d)
}

func (h *Hold) edgeNA(why string) {
	h.JoinM, h.RiskM, h.GoneM, h.EdgeLife, h.EdgeLimit, h.BucketLife = noNum(why), noNum(why), noNum(why), noNum(why), noNum(why), noNum(why)
	h.WholeTill, h.LastTill = When{NA: why}, When{NA: why}
}

func (h *Hold) rowNA(why string) {
	h.Row, h.LaidFirst, h.LaidLast = noNum(why), When{NA: why}, When{NA: why}
	h.RollWindow, h.RollFirst, h.RollLast = noNum(why), When{NA: why}, When{NA: why}
}

// edge fills in the wet edge: its life and limit by the readings of that
// instant, and how much of it was joinable, where.
func (h *Hold) edge(m *maker, v *day.Snapshot) {
	h.EdgeLife, h.EdgeLimit = lifeOf(v.Band.EdgeLife, "edge life: outside the sheet"), noNum("edge life: outside the sheet")
	if h.EdgeLife.OK() {
		h.EdgeLimit = num(h.EdgeLife.V - m.plan.Rules.EdgeMargin.Seconds())
	}
	if !v.Edge.OK {
		h.JoinM, h.RiskM, h.GoneM = noNum(v.Edge.Missing), noNum(v.Edge.Missing), noNum(v.Edge.Missing)
		h.WholeTill, h.LastTill = When{NA: v.Edge.Missing}, When{NA: v.Edge.Missing}
		return
	}
	runs := edgeRuns(v)
	h.WholeTill, h.LastTill = When{NA: "no wet edge was open"}, When{NA: "no wet edge was open"}
	least, most := math.Inf(1), math.Inf(-1)
	for i := range runs {
		h.Places = append(h.Places, runs[i].places()...)
		a, b := runs[i].span()
		least, most = math.Min(least, a), math.Max(most, b)
	}
	if len(runs) > 0 {
		h.WholeTill, h.LastTill = worked(v.Now.Add(time.Duration(least*1e9))), worked(v.Now.Add(time.Duration(most*1e9)))
	}
	var sum [3]float64
	for _, p := range h.Places {
		sum[p.state] += p.LengthM
	}
	h.JoinM, h.RiskM, h.GoneM = num(sum[day.Joinable]), num(sum[day.AtRisk]), num(sum[day.Gone])
}

// row fills in the newest row: when it was laid and when its rolling shut.
func (h *Hold) row(v *day.Snapshot) {
	h.rowNA("nothing was down yet")
	if len(v.Rows) == 0 {
		return
	}
	r := v.Rows[0]
	h.Row, h.LaidFirst, h.LaidLast = num(float64(r.Row)), worked(r.First), worked(r.Last)
	none := "the sheet gives no roll window"
	h.RollWindow, h.RollFirst, h.RollLast = noNum(none), When{NA: none}, When{NA: none}
	if r.HasRoll {
		h.RollWindow = lifeOf(v.Band.RollUntil, none)
		h.RollFirst, h.RollLast = worked(r.RollFirst), worked(r.RollLast)
	}
}

// worked is an instant that was worked out, to the nearest second: cut off, it
// would print a second too early. What was pressed stands as it is on the log.
func worked(t time.Time) When { return When{T: t.Round(time.Second)} }

// edgeRuns parts the wet edge into stretches without a gap, row by row. The age
// between the middles of two cells runs straight, so that a stretch ends where
// the edge did and not where a cell does.
func edgeRuns(v *day.Snapshot) []edgeRun {
	p := v.Floor.Path
	frame := floor.NewFrame(v.Floor.Z.PullDeg)
	type node struct {
		s, t, along float64
		row         int
		q           *day.EdgePoint
	}
	nodes := make([]node, 0, len(v.Edge.Points))
	for i := range v.Edge.Points {
		q := &v.Edge.Points[i]
		n := node{row: p.Row(q.Cell), q: q}
		n.s, n.t = frame.To(floor.Point{X: q.X, Y: q.Y})
		n.along, _ = p.Size(q.Cell)
		nodes = append(nodes, n)
	}
	sort.SliceStable(nodes, func(i, k int) bool {
		if nodes[i].row != nodes[k].row {
			return nodes[i].row < nodes[k].row
		}
		return nodes[i].s < nodes[k].s
	})
	var out []edgeRun
	for from := 0; from < len(nodes); {
		to := from + 1
		for to < len(nodes) && nodes[to].row == nodes[from].row && nodes[to].s-nodes[to-1].s < 1.01*(nodes[to].along+nodes[to-1].along)/2 {
			to++
		}
		r := edgeRun{frame: frame, t: nodes[from].t}
		for _, n := range nodes[from:to] {
			r.add(n.s, n.along, n.q.Until.Sub(v.Now).Seconds(), n.q.Dead.Sub(v.Now).Seconds())
		}
		out = append(out, r)
		from = to
	}
	return out
}

// edgeRun is a stretch of edge without a gap: seconds to spare along it, until
// it stops being joinable and until it is gone.
type edgeRun struct {
	frame                   floor.Frame
	t                       float64
	s, along, until, beyond []float64
}

// add puts a cell at the end of the run. The front of a row not yet laid to its
// end has several cells at one place: the first to go speaks for it.
func (r *edgeRun) add(s, along, until, dead float64) {
	if k := len(r.s) - 1; k >= 0 && s-r.s[k] < along/2 {
		r.until[k], r.beyond[k] = math.Min(r.until[k], until), math.Min(r.beyond[k], dead)
		return
	}
	r.s, r.along = append(r.s, s), append(r.along, along)
	r.until, r.beyond = append(r.until, until), append(r.beyond, dead)
}

// at is a value at place s: straight between cells, and on past the last ones.
func (r *edgeRun) at(v []float64, s float64) float64 {
	n := len(r.s)
	if n == 1 {
		return v[0]
	}
	i := min(max(sort.SearchFloat64s(r.s, s), 1), n-1)
	return v[i-1] + (v[i]-v[i-1])*(s-r.s[i-1])/(r.s[i]-r.s[i-1])
}

// ends are the places where the run begins and ends: half a cell beyond the
// middles of the last ones.
func (r *edgeRun) ends() (begin, end float64) {
	n := len(r.s)
	return r.s[0] - r.along[0]/2, r.s[n-1] + r.along[n-1]/2
}

// span is the least and the most time until a place of the run stops being
// joinable, seconds.
func (r *edgeRun) span() (least, most float64) {
	begin, end := r.ends()
	least, most = math.Inf(1), math.Inf(-1)
	for _, s := range append([]float64{begin, end}, r.s...) {
		least, most = math.Min(least, r.at(r.until, s)), math.Max(most, r.at(r.until, s))
	}
	return least, most
}

func (r *edgeRun) places() []EdgePlace {
	begin, end := r.ends()
	cuts := append([]float64{begin, end}, r.s...)
	sort.Float64s(cuts)
	for _, v := range [][]float64{r.until, r.beyond} { // where the state turns
		for i := len(cuts) - 1; i > 0; i-- {
			a, b := r.at(v, cuts[i-1]), r.at(v, cuts[i])
			if (a < 0) != (b < 0) {
				cuts = append(cuts, cuts[i-1]+(cuts[i]-cuts[i-1])*a/(a-b))
			}
		}
		sort.Float64s(cuts)
	}
	var out []EdgePlace
	for i := 1; i < len(cuts); i++ {
		mid, length := (cuts[i-1]+cuts[i])/2, cuts[i]-cuts[i-1]
		if length < 1e-9 {
			continue
		}
		state := day.Joinable
		switch {
		case r.at(r.beyond, mid) < 0:
			state = day.Gone
		case r.at(r.until, mid) < 0:
			state = day.AtRisk
		}
		a, b := r.frame.From(cuts[i-1], r.t), r.frame.From(cuts[i], r.t)
		if k := len(out) - 1; k >= 0 && out[k].state == state {
			out[k].LengthM, out[k].X2, out[k].Y2 = out[k].LengthM+length, tidyM(b.X), tidyM(b.Y)
			continue
		}
		out = append(out, EdgePlace{state: state, State: state.String(), LengthM: length, X: tidyM(a.X), Y: tidyM(a.Y), X2: tidyM(b.X), Y2: tidyM(b.Y)})
	}
	return out
}

// tidyM drops what turning a frame leaves behind the hundredth of a millimetre,
// and the minus of a zero.
func tidyM(v float64) float64 { return math.Round(v*1e5)/1e5 + 0 }

// point is a place with two decimals, in the crew's unit of length.
func (q printer) point(x, y float64) string {
	return units.FormatFixed(units.Length, x, q.sys, 2) + ", " + units.FormatFixed(units.Length, y, q.sys, 2)
}
