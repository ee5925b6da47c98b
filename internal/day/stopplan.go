package day

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"time"

	"floorpace/internal/pace"
	"floorpace/internal/path"
)

// StopPlan is where the pour may end with what is left: the places that kits,
// minutes, life and crew reach, best first.
type StopPlan struct {
	Best []StopView // reachable ones, the furthest first; then what is missing for the others, nearest first
	// Raised says that the end of the zone, or the line chosen, is out of reach
	// while another place still is; Why names what runs short.
	Raised bool
	Why    string
}

// StopView is a stop line ahead.
type StopView struct {
	Name      string
	VolL      float64
	Batches   int
	Need      time.Duration // at the crew's limit; 0 with nobody at work
	Kits      bool          // the kits on hand reach it
	Edge      bool          // the edge can be held that far at the crew's limit
	InTime    bool          // reached before the latest last batch for the opening, and before the last way out shuts
	Crew      bool          // somebody is at work to do it
	LastStart time.Time     // start of its last batch, one after the other at the crew's limit
	LastBatch int           // number of the last batch that may be mixed for it; 0 = nothing more is to be mixed
	Spare     int           // kits left over there; below 0 so many are short
	RowEnd    bool          // no line of the plan: the end of a row, to be taped straight
	Chosen    bool
}

// Reach reports whether everything is there to end at this place.
func (w *StopView) Reach() bool { return w.Kits && w.Edge && w.InTime && w.Crew }

// Missing says what keeps the pour from ending there, "" for nothing.
func (w *StopView) Missing() string {
	var out []string
	if !w.Kits {
		out = append(out, fmt.Sprintf("%d kits short", -w.Spare))
	}
	for _, q := range []struct {
		ok   bool
		word string
	}{{w.InTime, "too late"}, {w.Edge, "edge dies"}, {w.Crew, "no crew"}} {
		if !q.ok {
			out = append(out, q.word)
		}
	}
	return strings.Join(out, ", ")
}

// stops lists the stop lines ahead, nearest first, the end of the zone last.
func (s *State) stops(v *Snapshot, zone int) []StopView {
	z := &s.Zones[zone]
	var out []StopView
	for _, q := range append(z.Floor.Path.StopAt(), endOf(z)) {
		if q.Can && q.VolL > z.PosL+1e-9 {
			out = append(out, s.stopView(v, zone, q))
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].VolL < out[j].VolL })
	return out
}

// endOf is the end of the zone, as a place to stop at.
func endOf(z *ZoneState) path.Stop {
	return path.Stop{Name: "end of zone", VolL: z.Floor.Path.TotalL(), Can: true}
}

func (s *State) stopView(v *Snapshot, zone int, q path.Stop) StopView {
	z := &s.Zones[zone]
	net := s.netL(zone) * z.drift()
	iv := pace.Interval(v.Band.Limit)
	n := pace.Ceil((q.VolL - z.PosL + z.holeL()) / net)
	w := StopView{
		Name: q.Name, VolL: q.VolL, Batches: n, Need: time.Duration(n) * iv, Chosen: q.Name == z.StopName,
		Crew: v.Band.Limit > 0 && v.Hands.Rake, InTime: true,
	}
	if !w.Crew { // nobody comes: no minutes, no last batch
		w.Need = 0
	}
	w.Spare = v.Kits.OnHand + v.Kits.OnTheWay - n
	w.Kits = w.Spare >= 0 || len(s.Plan.Lots) == 0
	w.Edge = s.edgeTo(v, zone, q.VolL)
	if t := &v.Zones[zone].Turnout; t.OK && v.Now.Add(w.Need).After(t.Latest) {
		w.InTime = false
	}
	if shut := v.Exits[zone].LastShut; !shut.IsZero() && v.Now.Add(w.Need).After(shut) {
		w.InTime = false
	}
	if toMix := n - v.Kits.OnTheWay; toMix > 0 && w.Crew {
		w.LastStart = v.Next.At.Add(time.Duration(toMix-1) * iv)
		w.LastBatch = s.nextBatch() + toMix - 1
	}
	return w
}

// edgeTo reports whether the edge can be held from the front to path volume
// toL at the crew's limit: what is open now and closes before it, and what is
// still to be laid. What is gone already no pace brings back.
func (s *State) edgeTo(v *Snapshot, zone int, toL float64) bool {
	if !v.Edge.OK {
		return false
	}
	most := v.Band.Limit * (1 + 1e-9)
	net := s.netL(zone)
	for i := range v.Edge.Points {
		p := &v.Edge.Points[i]
		if p.CloseL <= toL && p.State != Gone && (p.State == AtRisk || p.NeedLPerS*60/net > most) {
			return false
		}
	}
	z := &s.Zones[zone]
	if toL >= z.Floor.Path.TotalL()-1e-9 {
		return v.Band.Needed <= most
	}
	need, ok := z.Floor.NeededTo(s.blend(zone), v.Ground, z.PosL, toL)
	return ok && need <= most
}

// stopPlan ranks the places to stop at. With no line within reach it names the
// furthest row end that is: tape it straight.
func (s *State) stopPlan(v *Snapshot, zone int) StopPlan {
	var p StopPlan
	z := &s.Zones[zone]
	if len(v.Stops) == 0 {
		return p
	}
	p.Best = append(p.Best, v.Stops...)
	reach := false
	for i := range v.Stops {
		reach = reach || v.Stops[i].Reach()
	}
	if !reach {
		if w, ok := s.lastRowEnd(v, zone); ok {
			p.Best = append(p.Best, w)
		}
	}
	sort.SliceStable(p.Best, func(i, j int) bool {
		a, b := &p.Best[i], &p.Best[j]
		if ra, rb := a.Reach(), b.Reach(); ra != rb {
			return ra
		} else if ra {
			return a.VolL > b.VolL
		}
		return a.VolL < b.VolL
	})
	goal := v.Stops[len(v.Stops)-1]
	for i := range v.Stops {
		if v.Stops[i].Chosen && z.StopName != "" {
			goal = v.Stops[i]
		}
	}
	if p.Best[0].Reach() && !goal.Reach() && (!goal.Kits || !goal.InTime) {
		p.Raised, p.Why = true, goal.Missing()
	}
	return p
}

// lastRowEnd is the furthest row end ahead that everything is there for.
func (s *State) lastRowEnd(v *Snapshot, zone int) (StopView, bool) {
	z := &s.Zones[zone]
	pt := z.Floor.Path
	n := float64(v.Kits.OnHand+v.Kits.OnTheWay) * s.netL(zone) * z.drift()
	if len(s.Plan.Lots) == 0 {
		n = math.Inf(1)
	}
	for row := pt.Rows() - 1; row >= 0; row-- {
		end := pt.RowEnd(row)
		if end > z.PosL+n || end >= pt.TotalL()-1e-9 {
			continue
		}
		if end <= z.PosL+1e-9 {
			break
		}
		w := s.stopView(v, zone, path.Stop{Name: fmt.Sprintf("end of row %d", row+1), VolL: end, Can: true})
		w.RowEnd = true
		if w.Reach() {
			return w, true
		}
	}
	return StopView{}, false
}

// decideStop refuses a stop that is not one, and fills in where it lies.
func (s *State) decideStop(p Press) ([]Event, error) {
	i := s.lookedAt()
	if p.Zone != "" {
		i = s.Plan.Zone(p.Zone)
	}
	if i < 0 {
		return nil, refuse("there is no such zone to pour")
	}
	z := &s.Zones[i]
	p.Zone = z.Floor.Z.Name
	if p.Value == nil {
		for _, q := range append(z.Floor.Path.StopAt(), endOf(z)) {
			if q.Name == p.Text && q.Can {
				p.Value = Value(q.VolL)
			}
		}
	}
	switch {
	case p.Text == "" || p.Value == nil:
		return nil, refuse("%q is not a place where the pour can stop straight", p.Text)
	case *p.Value < 0 || *p.Value > z.Floor.Path.TotalL()+1e-6:
		return nil, refuse("that place does not lie in zone %s", p.Zone)
	}
	return []Event{p}, nil
}

// lastChoice is how many batches before the last one that may be mixed for the
// best stop the call becomes urgent: what is in the mixers when it rings.
const lastChoice = 3

// whereToStop makes the call for kits say where to stop instead of stretching
// thin. A line chosen within reach answers it.
func (s *State) whereToStop(c *condition, v *Snapshot) {
	p := &v.StopPlan
	for i := range p.Best {
		if w := &p.Best[i]; w.Chosen && w.Kits {
			c.on, c.off = false, true
			return
		}
	}
	if !c.on || !p.Raised || v.Kits.SaveFor >= 0 {
		return
	}
	w := &p.Best[0]
	c.what = "CHOOSE WHERE TO STOP"
	c.why += fmt.Sprintf("; %s is reached with %d", w.Name, w.Batches)
	if w.LastBatch > 0 {
		c.why += fmt.Sprintf(", last batch %d by %s", w.LastBatch, w.LastStart.Format("15:04:05"))
		if w.LastBatch < s.nextBatch()+lastChoice {
			c.grade = 1
		}
	}
	if w.RowEnd {
		c.why += ", tape it straight"
	}
	c.why += "; never stretch thin"
}
