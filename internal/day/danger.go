package day

import (
	"fmt"
	"math"
	"sort"
	"time"

	"floorpace/internal/floor"
	"floorpace/internal/pace"
	"floorpace/internal/path"
	"floorpace/internal/units"
)

// Danger is the wet edge on one screen: what still joins, what dies when, and
// the two choices there are.
type Danger struct {
	On                    bool    // the edge asks for a decision
	JoinM, RiskM, GoneM   float64 // length of edge in each state, m
	WholeUntil, LastUntil time.Time
	Spans                 []EdgeSpan // the edge piece by piece, row by row from the left
	Dies                  []Loss     // what is lost next if nothing moves, soonest first
	Dead                  []int      // buckets past their life: outside, not on the floor
	GoOn                  GoOn
	Cut                   CutChoice
}

// EdgeSpan is a piece of the wet edge in one state, along its row from the left
// wall looking along the pull.
type EdgeSpan struct {
	Row         int // from 1
	State       EdgeState
	FromM, ToM  float64
	Until, Dead time.Time // its first point is joinable until, and gone from
}

// spans puts the cells of an edge together to pieces.
func (z *ZoneState) spans(e *Edge) (out []EdgeSpan) {
	pt, f := z.Floor.Path, floor.NewFrame(z.Floor.Z.PullDeg)
	left := math.Inf(1)
	for _, q := range z.Floor.Z.Outline {
		s, _ := f.To(q)
		left = math.Min(left, s)
	}
	type piece struct {
		row    int
		at, dx float64
		p      *EdgePoint
	}
	ps := make([]piece, len(e.Points))
	for i := range e.Points {
		p := &e.Points[i]
		s, _ := f.To(floor.Point{X: p.X, Y: p.Y})
		dx, _ := pt.Size(p.Cell)
		ps[i] = piece{pt.Row(p.Cell) + 1, s - left, dx, p}
	}
	sort.SliceStable(ps, func(i, j int) bool {
		if ps[i].row != ps[j].row {
			return ps[i].row < ps[j].row
		}
		return ps[i].at < ps[j].at
	})
	for _, q := range ps {
		if n := len(out) - 1; n >= 0 && out[n].Row == q.row && out[n].State == q.p.State && q.at-q.dx/2-out[n].ToM < q.dx/2 {
			w := &out[n]
			w.ToM = math.Max(w.ToM, q.at+q.dx/2)
			if q.p.Until.Before(w.Until) {
				w.Until, w.Dead = q.p.Until, q.p.Dead
			}
			continue
		}
		out = append(out, EdgeSpan{Row: q.row, State: q.p.State, FromM: q.at - q.dx/2, ToM: q.at + q.dx/2, Until: q.p.Until, Dead: q.p.Dead})
	}
	return out
}

// Words is what cutting back costs.
func (c *CutChoice) Words(sys units.System) string {
	if c.Kits == 0 {
		return "the edge is straight there, nothing comes off"
	}
	s := units.Format(units.Area, c.AreaM2, sys) + " come off, " + pace.KitsOf(c.Kits)
	if c.Need > 0 {
		s += ", " + units.Clock(c.Need)
	}
	return s
}

// Loss is one thing that is lost at an instant.
type Loss struct {
	What string
	At   time.Time
	Past bool // it is lost already
}

// GoOn is what going on from here means for what still joins.
type GoOn struct {
	Every time.Duration // longest interval that brings it home; 0 = nothing has to wait
	OutM  float64       // length of it that no pace brings home, m
}

// CutChoice is what cutting back straight means: to the nearest row end or stop
// line behind the front.
type CutChoice struct {
	Name   string
	VolL   float64       // where on the path, litres
	FrontM float64       // where along the pull, m
	AreaM2 float64       // comes off again
	Kits   int           // to lay it again
	Need   time.Duration // for those, at the crew's limit; 0 with no crew
}

// mostDies is how many losses are listed: past the next few minutes nothing is
// certain.
const mostDies = 12

// danger works out the choice at the wet edge from a snapshot that has its
// edge, buckets, rows and band.
func (s *State) danger(v *Snapshot, zone int) Danger {
	e := &v.Edge
	d := Danger{JoinM: e.JoinM, RiskM: e.RiskM, GoneM: e.GoneM, WholeUntil: e.WholeUntil, LastUntil: e.LastUntil}
	for i := range v.Buckets {
		if b := &v.Buckets[i]; b.OK && b.Dead {
			d.Dead = append(d.Dead, b.Batch)
		}
	}
	z := &s.Zones[zone]
	d.Dies, d.Spans = s.dies(v), z.spans(e)
	if !e.OK || len(z.Laid) == 0 {
		return d
	}
	d.On = e.RiskM > 0 || e.GoneM > 0 || e.Hopeless || e.Least >= 0 && e.Points[e.Least].Slack < 0
	d.GoOn = GoOn{Every: pace.Interval(e.NeededPerMin), OutM: e.OutM}
	d.Cut = s.cutChoice(zone, z.Floor.Path.CutBack(z.PosL), v.Band.Limit)
	return d
}

// cutChoice is what a cut costs at a pace of limit batches a minute.
func (s *State) cutChoice(zone int, c path.Cut, limit float64) CutChoice {
	z := &s.Zones[zone]
	out := CutChoice{Name: c.Name, VolL: c.VolL, FrontM: c.FrontM, AreaM2: z.Floor.AreaBetween(c.VolL, z.PosL)}
	out.Kits = pace.Ceil(c.LostL / (s.netL(zone) * z.drift()))
	out.Need = time.Duration(out.Kits) * pace.Interval(limit)
	return out
}

// dies lists what is lost when, if nothing moves: buckets and batches in the
// mixers, the edge, the finishing windows of rows not yet finished.
func (s *State) dies(v *Snapshot) []Loss {
	var out []Loss
	add := func(at time.Time, format string, args ...any) {
		if !at.IsZero() {
			out = append(out, Loss{What: fmt.Sprintf(format, args...), At: at, Past: v.Now.After(at)})
		}
	}
	for _, w := range v.Way {
		life := s.life(w.Blend, "bucket", "kit")
		b := s.batch(w.Batch)
		if b == nil || !life.ok {
			continue
		}
		from := v.Now
		if w.Reaction.After(from) {
			from = w.Reaction
		}
		if used, ok := s.bucketUsed(b, from); ok {
			add(life.end(used, from), "batch %d", w.Batch)
		}
	}
	if e := &v.Edge; e.OK && len(e.Points) > 0 {
		first, last := e.dead()
		add(e.WholeUntil, "whole edge joinable")
		add(e.LastUntil, "last point joinable")
		add(first, "first point of the edge")
		add(last, "last point of the edge")
	}
	for i := range v.Rows {
		r := &v.Rows[i]
		if s.Plan.Crew.RollM2Min > 0 && r.HasRoll && r.RolledAt.IsZero() && !r.RollOff {
			add(r.RollLast, "rolling row %d", r.Row)
		}
		if s.Plan.Crew.BroadM2Min > 0 && r.HasBroad && r.BroadcastAt.IsZero() && !r.BroadcastOff {
			add(r.BroadUntil, "broadcast row %d", r.Row)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].At.Before(out[j].At) })
	return out[:min(len(out), mostDies)]
}

// dead is when the first and the last point of the edge are gone.
func (e *Edge) dead() (first, last time.Time) {
	for _, p := range e.Points {
		if first.IsZero() || p.Dead.Before(first) {
			first = p.Dead
		}
		if p.Dead.After(last) {
			last = p.Dead
		}
	}
	return first, last
}

// What stands in Event.What of a decision that the console knows: it answers
// the call it was about.
const (
	GoOnFromHere = "go on"    // from the wet edge as it is
	LaterStarts  = "later"    // does a start Event.Seconds later still work
	CountSettled = "count"    // a mismatch of the empties is explained
	LotsMixed    = "mix lots" // What of an override: lots may mix in Event.Zone
)

// decisionMade takes a decision that answers a call: the call falls silent, and
// stands on until its cause is gone.
func decisionMade(s *State, e Event) {
	switch e.What {
	case GoOnFromHere:
		s.callDo(Event{Call: "edge"}, func(c *Call) { c.Acked = e.At })
	case CountSettled:
		for i := range s.Fences {
			if f := &s.Fences[i]; f.Why == fenceCount && f.Lifted.IsZero() {
				f.Lifted = e.At
			}
		}
	}
}

// decideCut refuses a cut ahead of the front.
func (s *State) decideCut(p Press) ([]Event, error) {
	i, err := s.zoneOf(&p)
	if err != nil {
		return nil, err
	}
	z := &s.Zones[i]
	if len(z.Laid) == 0 {
		return nil, refuse("nothing is down yet")
	}
	if p.Value == nil {
		c := z.Floor.Path.CutBack(z.PosL)
		p.Value, p.Text = Value(c.VolL), c.Name
	}
	if *p.Value < 0 || *p.Value > z.PosL+1e-6 {
		return nil, refuse("a cut lies at the front or behind it")
	}
	if p.Why == "" {
		c := s.cutChoice(i, path.Cut{Name: p.Text, VolL: *p.Value, LostL: z.PosL - *p.Value}, s.band(i).Limit)
		p.Why = c.Words(s.Plan.Units)
	}
	return []Event{p}, nil
}
