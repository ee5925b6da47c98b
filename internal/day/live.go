package day

import (
	"math"
	"sort"
	"time"

	"floorpace/internal/pace"
	"floorpace/internal/path"
)

// EdgeState is how a place on the wet edge stands.
type EdgeState uint8

// States of an edge, from sound to lost.
const (
	Joinable EdgeState = iota // age ≤ edge life − margin
	AtRisk                    // age ≤ edge life
	Gone                      // older: a ridge will show
)

// String is the word for the state, as on the screens.
func (e EdgeState) String() string { return [...]string{"joinable", "at risk", "gone"}[e] }

// EdgePoint is one cell of the wet edge.
type EdgePoint struct {
	Cell      int
	X, Y      float64 // m
	State     EdgeState
	Age       time.Duration
	Until     time.Time     // joinable until
	Dead      time.Time     // gone from
	Slack     time.Duration // to spare when the front comes back here at the present pace
	CloseL    float64       // path volume that covers it
	NeedLPerS float64       // rate that brings it home, L/s; +Inf when none does
}

// SlackSoon is when slack wants an eye on it: less than one batch at most paces.
const SlackSoon = time.Minute

// Edge is the wet edge of a zone at an instant.
type Edge struct {
	OK                    bool   // the sheet has an edge life at these temperatures
	Missing               string // what has no figure
	Points                []EdgePoint
	Least                 int     // index of the point with least slack, -1 for none
	LeastOpen             int     // the same among points not yet gone
	JoinM, RiskM, GoneM   float64 // length of edge in each state, m
	OutM                  float64 // of JoinM, what no pace brings home any more
	WholeUntil, LastUntil time.Time
	NeededPerMin          float64 // batches a minute that bring every edge not gone home
	NeededX, NeededY      float64
	Hopeless              bool // some point not yet gone cannot be reached in time at any pace
}

// ground is the ground of zone i by the newest readings.
func (s *State) ground(i int) pace.Ground {
	g := pace.Ground{SlabC: s.Air.SlabC, KitC: s.Air.KitC}
	z := s.Zones[i].Floor.Z
	for _, q := range z.Spots {
		v, ok := s.Air.Spots[z.Name+"/"+q.Name]
		if !ok {
			v = math.NaN()
		}
		g.SpotC = append(g.SpotC, v)
	}
	return g
}

// place is the name under which a cell's own temperature is read; "" for the
// plain slab.
func (s *State) place(f *pace.Zone, cell int) string {
	k := f.SpotOf[cell]
	if k < 0 {
		return ""
	}
	name := f.Z.Name + "/" + f.Z.Spots[k].Name
	if _, ok := s.Air.Spots[name]; !ok {
		return ""
	}
	return name
}

// edgeAt works out the wet edge of zone i at now, if the front goes on at
// perMin batches a minute.
func (s *State) edgeAt(i int, now time.Time, perMin float64) Edge {
	return s.edgeAfter(i, now, perMin, 0)
}

// edgeAfter is the same if moreL litres of path behind the front are to be laid
// again before it moves on.
func (s *State) edgeAfter(i int, now time.Time, perMin, moreL float64) Edge {
	z := &s.Zones[i]
	e := Edge{OK: true, Least: -1, LeastOpen: -1}
	blend := z.Floor.Blend.Name
	net := s.netL(i)
	come := s.coming(i, now, perMin, net)
	first := z.holeL() + moreL
	for _, c := range z.Floor.Path.Edge(z.PosL) {
		p, known, ok := s.edgePoint(z, c, blend, &come, first)
		switch {
		case !ok:
		case !known:
			e.OK, e.Missing = false, "edge life: outside the sheet"
		default:
			e.add(p, z.Floor.Path, net)
		}
	}
	return e
}

// edgePoint judges one cell of the wet edge, with firstL litres to be laid
// elsewhere before the front moves; ok is false for one that nothing
// joins any more, known where the sheet has no figure for it.
func (s *State) edgePoint(z *ZoneState, c path.EdgeCell, blend string, come *coming, firstL float64) (p EdgePoint, known, ok bool) {
	if z.behindBreak(c) || z.StopName != "" && c.CloseL >= z.endL()-1e-9 { // given up for a straight end
		return p, false, false
	}
	l, at, ok := z.LaidAt(c.LaidL)
	if !ok || l.Bad { // condemned: to be lifted, nothing joins it
		return p, false, false
	}
	life := s.life(s.blendOf(l, blend), "edge", s.place(z.Floor, c.Index))
	seen := come.now
	if seen.Before(at) {
		seen = at // still under the rake: its life begins when it is laid
	}
	used, ok := life.used(at, seen)
	if !ok || !life.ok {
		return p, false, true
	}
	used += l.Wasted
	r := &s.Plan.Rules
	p = EdgePoint{Cell: c.Index, X: c.X, Y: c.Y, Age: seen.Sub(at), CloseL: c.CloseL}
	p.Dead = life.end(used, seen)
	p.Until = p.Dead.Add(-r.EdgeMargin)
	p.State = stateAt(p, come.now)
	come.judge(&p, firstL+c.CloseL-z.PosL, time.Duration(c.RowEnds)*r.Turn)
	return p, true, true
}

// coming is how the front will move on: the next batch one interval after the
// last pour, or now if that is past, but not before one can be there; each batch
// laid at the rake's own speed and the rake at rest between two.
type coming struct {
	now, last time.Time
	first     time.Time     // no batch is at the front sooner
	interval  time.Duration // 0: no pace is known
	rake      time.Duration // over one batch
	net       float64       // litres of path a batch
}

func (s *State) coming(zone int, now time.Time, perMin, net float64) coming {
	z := &s.Zones[zone]
	c := coming{now: now, last: now, first: s.firstThere(zone, now), net: net * z.drift(), rake: s.rakeTime(z, z.PosL, net)}
	if n := len(z.Laid); n > 0 {
		c.last = s.pouredAt(z.Laid[n-1])
	}
	if perMin > 0 {
		c.interval = time.Duration(float64(time.Minute) / perMin)
	}
	return c
}

// next is when the next batch is poured.
func (c *coming) next() time.Time { return latest(c.now, c.first, c.last.Add(c.interval)) }

// judge works out slack and needed pace of an edge that is covered need litres
// on, with turns lost at row ends before.
func (c *coming) judge(p *EdgePoint, need float64, turns time.Duration) {
	batches := need / c.net
	whole := math.Max(0, math.Ceil(batches-1e-9)-1) // batches before the one that covers it
	last := turns + time.Duration((batches-whole)*float64(c.rake))
	from := latest(c.now, c.first)
	p.Slack = p.Until.Sub(c.next()) - last - time.Duration(whole*float64(c.interval))
	// Needed: the longest interval that still brings the batch there in time,
	// from the last pour; with that overdue, from now, or the first that can come.
	every := time.Duration(float64(p.Until.Sub(c.last)-last) / (whole + 1))
	if c.last.Add(every).Before(from) {
		switch left := p.Until.Sub(from) - last; {
		case left < 0 || whole > 0 && left == 0:
			every = 0
		case whole == 0:
			p.NeedLPerS = 0 // the very next batch covers it, whenever it comes by then
			return
		default:
			every = time.Duration(float64(left) / whole)
		}
	}
	p.NeedLPerS = math.Inf(1)
	if every > 0 {
		p.NeedLPerS = c.net / every.Seconds()
	}
}

func (s *State) blendOf(l *Laying, otherwise string) string {
	if b := s.batch(l.Batch); b != nil && b.Blend != "" {
		return b.Blend
	}
	return otherwise
}

// behindBreak reports whether an edge was given up for a straight cut: its
// cell lies before the cut and what would join it after.
func (z *ZoneState) behindBreak(c path.EdgeCell) bool {
	for _, b := range z.Breaks {
		if c.LaidL <= b && c.CloseL >= b {
			return true
		}
	}
	return false
}

func stateAt(p EdgePoint, now time.Time) EdgeState {
	switch {
	case !now.After(p.Until):
		return Joinable
	case !now.After(p.Dead):
		return AtRisk
	}
	return Gone
}

func (e *Edge) add(p EdgePoint, pt *path.Path, net float64) {
	along, _ := pt.Size(p.Cell)
	switch p.State {
	case Joinable:
		e.JoinM += along
	case AtRisk:
		e.RiskM += along
	case Gone:
		e.GoneM += along
	}
	n := len(e.Points)
	e.Points = append(e.Points, p)
	if e.Least < 0 || p.Slack < e.Points[e.Least].Slack {
		e.Least = n
	}
	if e.WholeUntil.IsZero() || p.Until.Before(e.WholeUntil) {
		e.WholeUntil = p.Until
	}
	if p.Until.After(e.LastUntil) {
		e.LastUntil = p.Until
	}
	if p.State == Gone {
		return
	}
	if e.LeastOpen < 0 || p.Slack < e.Points[e.LeastOpen].Slack {
		e.LeastOpen = n
	}
	if p.State == AtRisk || math.IsInf(p.NeedLPerS, 1) {
		e.Hopeless = true
		if p.State == Joinable {
			e.OutM += along
		}
		return
	}
	if perMin := p.NeedLPerS * 60 / net; perMin > e.NeededPerMin {
		e.NeededPerMin, e.NeededX, e.NeededY = perMin, p.X, p.Y
	}
}

// doingPours is how many of the latest pours the present pace is taken from:
// enough to even out one slow carry, few enough to follow a change.
const doingPours = 5

// firstPours is how many pours tell nothing of the pace yet: the line is still
// filling.
const firstPours = 3

// doing is the present pace in batches a minute: the middle of the latest
// intervals between pours, and, when the last pour lies back much longer than
// that, the slower pace that this amounts to. Both are 0 while
// the line is filling.
func (s *State) doing(i int, now time.Time) (steady, present float64) {
	laid := s.Zones[i].Laid
	n := len(laid)
	if n <= firstPours {
		return 0, 0
	}
	from := max(0, n-1-doingPours)
	var gaps []float64
	for k := from + 1; k < n; k++ {
		gaps = append(gaps, s.pouredAt(laid[k]).Sub(s.pouredAt(laid[k-1])).Minutes())
	}
	sort.Float64s(gaps)
	mid := gaps[len(gaps)/2]
	if mid <= 0 {
		return 0, 0
	}
	steady, present = 1/mid, 1/mid
	if since := now.Sub(s.pouredAt(laid[n-1])).Minutes(); since > 2*mid { // it has slowed down or stopped
		present = 1 / since
	}
	return steady, present
}

func (s *State) pouredAt(l Laying) time.Time {
	if b := s.batch(l.Batch); b != nil && !b.Poured.IsZero() {
		return b.Poured
	}
	return l.Start
}

// Hands counts who is at work now: the plan's crew less the posts that are out.
func (s *State) Hands() pace.Hands {
	h := pace.HandsOf(s.Plan)
	h.Mixers = max(0, h.Mixers-len(s.Posts.MixersDown))
	h.Runners = max(0, h.Runners-len(s.Posts.RunnersDown))
	h.Rake = s.Posts.RakeDown.IsZero()
	h.Roll = h.Roll && s.Posts.RollDown.IsZero()
	h.Broadcast = h.Broadcast && s.Posts.BroadDown.IsZero()
	if !s.Posts.PowerDown.IsZero() {
		h.Mixers = 0
	}
	return h
}
