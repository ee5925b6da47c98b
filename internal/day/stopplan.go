package day

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"time"

	"floorpace/internal/pace"
	"floorpace/internal/path"
	"floorpace/internal/units"
)

// StopPlan is where the pour may end with what is left: the places that kits,
// minutes, life and crew reach, best first.
type StopPlan struct {
	Best []StopView // reachable ones, the furthest first; then what is missing for the others, nearest first
	// Raised says that the end of the zone, or the line chosen, is out of reach
	// for want of kits or time while another place still is; Why names what runs
	// short.
	Raised bool
	Why    string
	Goal   StopView // the line chosen, else the end of the zone
}

// StopView is a place to stop at: a stop line ahead, the end of the zone, the
// end of a row, or the last straight stop behind the front.
type StopView struct {
	Name      string
	VolL      float64
	Batches   int
	Need      time.Duration // at the crew's limit; 0 with nobody at work
	Kits      bool          // the kits on hand reach it
	Edge      bool          // the edge can be held that far at the crew's limit
	InTime    bool          // its last batch is down by Deadline
	Crew      bool          // somebody is at work to do it
	LastStart time.Time     // start of its last batch, one after the other at the crew's limit
	LastBatch int           // number of the last batch that may be mixed for it; 0 = nothing more is to be mixed
	Down      time.Time     // when that one is down; zero with nobody at work
	// Deadline is the latest last batch for the opening, or when the last way
	// out shuts, whichever is sooner; zero for none. DeadlineIs says which.
	Deadline   time.Time
	DeadlineIs string
	Spare      int     // kits left over there; below 0 so many are short
	Over       int     // batches on the way that it has no room for
	RowEnd     bool    // no line of the plan: the end of a row, to be taped straight
	Back       bool    // behind the front: to be cut back to
	OffM2      float64 // what comes off again for that
	Chosen     bool
}

// Reach reports whether everything is there to end at this place.
func (w *StopView) Reach() bool { return w.Kits && w.Edge && w.InTime && w.Crew }

// Missing says what keeps the pour from ending there, "" for nothing.
func (w *StopView) Missing() string {
	var out []string
	if !w.Kits {
		out = append(out, pace.KitsOf(-w.Spare)+" short")
	}
	if !w.InTime {
		out = append(out, fmt.Sprintf("%s too late for %s", units.Hours(w.Down.Sub(w.Deadline)), w.DeadlineIs))
	}
	for _, q := range []struct {
		ok   bool
		word string
	}{{w.Edge, "edge dies"}, {w.Crew, "no crew"}} {
		if !q.ok {
			out = append(out, q.word)
		}
	}
	return strings.Join(out, ", ")
}

// Words says what ending there takes: kits, the last batch and when it must be
// started, what of what is on the way is too much.
func (w *StopView) Words() string {
	switch {
	case w.Back:
		return fmt.Sprintf("cut back to %s", w.Name)
	case w.LastBatch > 0:
		return fmt.Sprintf("%s is reached with %d, last batch %d by %s", w.Name, w.Batches, w.LastBatch, w.LastStart.Format("15:04:05"))
	case w.Over > 0:
		return fmt.Sprintf("%s is reached with what is on the way, %d too many: mix nothing more", w.Name, w.Over)
	case w.Crew:
		return fmt.Sprintf("%s is reached with what is on the way: mix nothing more", w.Name)
	}
	return fmt.Sprintf("%s takes %d", w.Name, w.Batches)
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

// endL is where the pour of a zone is to end: the stop chosen, else its end;
// never behind the front.
func (z *ZoneState) endL() float64 {
	end := z.Floor.Path.TotalL()
	if z.StopName != "" {
		end = math.Min(end, z.StopL)
	}
	return math.Max(end, z.PosL)
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
	w.Over = max(0, v.Kits.OnTheWay-n)
	w.Kits = w.Spare >= 0 || len(s.Plan.Lots) == 0
	w.Edge = s.edgeTo(v, zone, q.VolL)
	w.Deadline, w.DeadlineIs = v.deadline(zone)
	if toMix := n - v.Kits.OnTheWay; toMix > 0 && w.Crew {
		at := latest(v.Next.At, s.from(zone, v.Now)) // overdue: it can still go now
		w.LastStart = at.Add(time.Duration(toMix-1) * iv)
		w.LastBatch = s.nextBatch() + toMix - 1
	}
	if w.Crew {
		come := s.coming(zone, v.Now, v.Band.Limit, s.netL(zone))
		w.Down = come.next().Add(time.Duration(n-1) * iv)
		if lead := z.Floor.Lead(s.blend(zone), q.VolL) + s.Plan.Crew.Pour; w.LastBatch > 0 && w.LastStart.Add(lead).After(w.Down) {
			w.Down = w.LastStart.Add(lead) // the line is empty: the first has its way still before it
		}
		w.InTime = w.Deadline.IsZero() || !w.Down.After(w.Deadline)
	}
	return w
}

// deadline is the instant by which the last batch of a zone must be down.
func (v *Snapshot) deadline(zone int) (at time.Time, is string) {
	if t := &v.Zones[zone].Turnout; t.OK {
		at, is = t.Latest, "the opening"
	}
	if shut := v.Exits[zone].LastShut; !shut.IsZero() && (at.IsZero() || shut.Before(at)) {
		at, is = shut, "the last way out"
	}
	return at, is
}

// edgeTo reports whether the edge can be held from the front to path volume
// toL at the crew's limit: what is open now and waits for something laid before
// toL, and what is still to be laid, each place by its own edge life. What is
// gone already no pace brings back.
func (s *State) edgeTo(v *Snapshot, zone int, toL float64) bool {
	if !v.Edge.OK {
		return false
	}
	z := &s.Zones[zone]
	most := v.Band.Limit * (1 + 1e-9)
	net := s.netL(zone)
	come := s.coming(zone, v.Now, v.Band.Limit, net)
	for _, c := range z.Floor.Path.EdgeTo(z.PosL, toL) {
		p, known, ok := s.edgePoint(z, c, z.Floor.Blend.Name, &come, z.holeL())
		if ok && (!known || p.State != Gone && (p.State == AtRisk || p.NeedLPerS*60/net > most)) {
			return false
		}
	}
	if toL >= z.Floor.Path.TotalL()-1e-9 {
		return v.Band.Needed <= most
	}
	need, ok := z.Floor.NeededTo(s.blend(zone), v.Ground, z.PosL, toL)
	return ok && need <= most
}

// stopPlan ranks the places to stop at. With no line within reach it names the
// furthest row end that is: tape it straight; with no row end either, the last
// straight stop behind the front.
func (s *State) stopPlan(v *Snapshot, zone int) StopPlan {
	var p StopPlan
	z := &s.Zones[zone]
	if len(v.Stops) == 0 {
		return p
	}
	p.Best = append(p.Best, v.Stops...)
	p.Goal = v.Stops[len(v.Stops)-1]
	reach := false
	for i := range v.Stops {
		reach = reach || v.Stops[i].Reach()
		if v.Stops[i].Chosen && z.StopName != "" {
			p.Goal = v.Stops[i]
		}
	}
	if z.StopName != "" && p.Goal.Name != z.StopName && z.StopL > z.PosL { // a row end was chosen
		p.Goal = s.stopView(v, zone, path.Stop{Name: z.StopName, VolL: z.StopL, Can: true})
		p.Goal.RowEnd = true
		p.Best, reach = append(p.Best, p.Goal), reach || p.Goal.Reach()
	}
	if !reach {
		if w, ok := s.lastRowEnd(v, zone); ok {
			p.Best = append(p.Best, w)
		} else if w, ok := s.backTo(v, zone); ok && (!p.Goal.Kits || !p.Goal.InTime) {
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
	if p.Best[0].Reach() && !p.Goal.Reach() && (!p.Goal.Kits || !p.Goal.InTime) {
		p.Raised, p.Why = true, p.Goal.Missing()
	}
	return p
}

// lastRowEnd is the furthest row end ahead that everything is there for.
func (s *State) lastRowEnd(v *Snapshot, zone int) (StopView, bool) {
	z := &s.Zones[zone]
	pt := z.Floor.Path
	n := float64(v.Kits.OnHand+v.Kits.OnTheWay)*s.netL(zone)*z.drift() - z.holeL()
	if len(s.Plan.Lots) == 0 {
		n = math.Inf(1)
	}
	for row := pt.Rows() - 1; row >= 0; row-- {
		end := pt.RowEnd(row)
		if end > z.PosL+n+1e-9 || end >= pt.TotalL()-1e-9 {
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

// backTo is the last straight stop behind the front, where what was laid beyond
// it still comes off; somebody must be there to cut.
func (s *State) backTo(v *Snapshot, zone int) (StopView, bool) {
	z := &s.Zones[zone]
	c := z.Floor.Path.CutBack(z.PosL)
	if len(z.Laid) == 0 || v.Band.Limit <= 0 {
		return StopView{}, false
	}
	w := StopView{Name: c.Name, VolL: c.VolL, Kits: true, Edge: true, InTime: true, Crew: true, Back: true, RowEnd: true, Down: v.Now}
	w.OffM2 = z.Floor.AreaBetween(c.VolL, z.PosL)
	w.Over = v.Kits.OnTheWay
	w.Spare = v.Kits.OnHand + v.Kits.OnTheWay
	return w, true
}

// decideStop refuses a stop that is not one, and fills in where it lies and what
// it takes.
func (s *State) decideStop(p Press, now time.Time) ([]Event, error) {
	i, err := s.zoneOf(&p)
	if err != nil {
		return nil, err
	}
	z := &s.Zones[i]
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
	case *p.Value < z.PosL-1e-6:
		return s.stopBehind(p, z)
	}
	if p.Why == "" && i == s.lookedAt() {
		w := s.stopView(Look(s, now), i, path.Stop{Name: p.Text, VolL: *p.Value, Can: true})
		p.Why = w.Words()
		if miss := w.Missing(); miss != "" {
			p.Why += "; " + miss
		}
	}
	return []Event{p}, nil
}

// stopBehind stops at the nearest straight cut behind the front: what lies beyond
// comes off first. Anything further back is a slip.
func (s *State) stopBehind(p Press, z *ZoneState) ([]Event, error) {
	if c := z.Floor.Path.CutBack(z.PosL); len(z.Laid) == 0 || math.Abs(*p.Value-c.VolL) > 1e-6 {
		return nil, refuse("%s lies behind the front: cut back to it", p.Text)
	}
	out, err := s.decideCut(Press{Kind: CutBack, At: p.At, Zone: p.Zone, Value: p.Value, Text: p.Text, Who: p.Who, Role: p.Role})
	if err != nil {
		return nil, err
	}
	if p.Why == "" {
		p.Why = out[0].Why
	}
	return append(out, p), nil
}

// noArea is an area too small to be scraped off, m².
const noArea = 0.01

// lastChoice is how many batches before the last one that may be mixed for the
// best stop the call becomes urgent: what is in the mixers when it rings.
const lastChoice = 3

// whereCondition asks where to stop while there is still a choice, when kits or
// time do not reach the end, instead of letting the crew stretch thin. A place
// chosen within reach answers it.
func (s *State) whereCondition(v *Snapshot) condition {
	p, k := &v.StopPlan, &v.Kits
	c := condition{id: "where", grade: 2, off: true}
	short := !p.Goal.Kits && len(v.Laid) >= kitsFirst && k.SaveFor < 0
	if v.Zone < 0 || !p.Raised || !short && p.Goal.InTime {
		return c
	}
	w := &p.Best[0]
	c.on, c.off, c.what = true, false, "CHOOSE WHERE TO STOP"
	take := w.Words() // what to do first: a line on a screen may be cut short
	if w.LastBatch < s.nextBatch()+lastChoice {
		c.grade = 1
	}
	switch {
	case w.Back && w.OffM2 < noArea:
		c.what, take = "STOP HERE", "the front is straight at "+w.Name
	case w.Back:
		c.what = "STOP HERE"
		take += fmt.Sprintf(", %s come off", units.Format(units.Area, w.OffM2, s.Plan.Units))
	case w.RowEnd:
		take += ", tape it straight"
	}
	c.why = fmt.Sprintf("%s; %s: %s", take, p.Goal.Name, p.Goal.Missing())
	if short && p.Goal.InTime {
		have := k.OnHand + k.OnTheWay
		c.why = fmt.Sprintf("%s; %d more needed, %d on hand%s: %d short", take, have-p.Goal.Spare, have, k.ofLot(), -p.Goal.Spare)
	}
	if short {
		c.why += "; never stretch thin"
	}
	return c
}
