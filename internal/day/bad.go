package day

import (
	"fmt"
	"slices"
	"sort"
	"strings"
	"time"

	"floorpace/internal/pace"
	"floorpace/internal/path"
	"floorpace/internal/units"
)

// BadView is a batch condemned on the floor: where it lies, what it touches,
// how long it still lifts, and what it takes to put it right.
type BadView struct {
	Batch      int
	Why        string
	Zone       string
	FromL, ToL float64 // path volume
	FromM, ToM float64 // along the pull, m
	LeftM      float64 // its left edge from the zone's, looking along the pull, m
	X, Y       float64 // its middle, m
	AreaM2     float64
	Touches    []int // batches that lie against it
	EdgeM      float64
	// LiftUntil is how long its first point still lifts cleanly, by the sheet's
	// share of the edge life; LiftOK is false where the sheet gives none.
	LiftUntil time.Time
	LiftOK    bool
	Late      bool      // that is past
	Lifted    time.Time // taken up: the hole waits for the next batch poured
	Kits      int       // to fill the hole
	Short     int       // kits short to the end of the zone once it is filled; 0 = they suffice, or none are counted
	// FillBy is the instant until which all of its neighbours still join, each by
	// its own laid time and the temperature of its own place; zero with none.
	// FillAt is when the last of its kits can be down, from what is on the way and
	// the next starts; zero while nobody can. FillOK says that this is in time.
	FillBy, FillAt time.Time
	FillOK         bool
	// What lifting and filling it does to the wet edge of the zone being poured:
	// the least slack left where it still joins, and the pace then needed, batches
	// a minute. EdgeOK is false for another zone or without a figure.
	EdgeOK     bool
	EdgeSlack  time.Duration
	EdgeNeeded float64
}

// hole is the first piece of a zone that was lifted and waits to be filled; -1
// for none.
func (z *ZoneState) hole() int {
	return slices.IndexFunc(z.Laid, func(l Laying) bool { return l.Bad && !l.Lifted.IsZero() })
}

// holeL is the path volume of all holes that wait.
func (z *ZoneState) holeL() (l float64) {
	for i := range z.Laid {
		if q := &z.Laid[i]; q.Bad && !q.Lifted.IsZero() {
			l += q.ToL - q.FromL
		}
	}
	return l
}

// lifted takes a batch up again: its place is a hole, which the next batch
// poured fills first.
func (s *State) lifted(no int, at time.Time) {
	for i := range s.Zones {
		for j := range s.Zones[i].Laid {
			if l := &s.Zones[i].Laid[j]; l.Batch == no {
				l.Bad, l.Lifted = true, at
			}
		}
	}
}

// fillHoles puts a poured batch into the holes of the zone first and gives the
// litres that are left for the front.
func (s *State) fillHoles(z *ZoneState, l Laying, poured float64) (left float64) {
	drift := z.drift()
	for poured > 1e-9 {
		j := z.hole()
		if j < 0 {
			break
		}
		old := z.Laid[j]
		size := (old.ToL - old.FromL) / drift
		part := min(size, poured)
		n := l
		n.FromL, n.PouredL = old.FromL, part
		n.ToL = old.ToL
		if part < size-1e-9 {
			n.ToL = old.FromL + part*drift
		}
		n.End = n.Start.Add(s.rakeTime(z, n.FromL, n.ToL-n.FromL))
		z.Laid[j] = n
		if n.ToL < old.ToL { // the rest of the hole waits on
			old.FromL, old.PouredL = n.ToL, old.PouredL*(old.ToL-n.ToL)/(old.ToL-old.FromL)
			z.Laid = slices.Insert(z.Laid, j+1, old)
			for k := range z.Marks {
				if z.Marks[k].Layers > j {
					z.Marks[k].Layers++
				}
			}
			if z.RakeResetAt > j {
				z.RakeResetAt++
			}
		}
		poured -= part
	}
	return max(0, poured)
}

// bad lists the condemned batches that still lie there or left a hole.
func (s *State) bad(v *Snapshot) (out []BadView) {
	for i := range s.Zones {
		z := &s.Zones[i]
		for j := range z.Laid {
			if z.Laid[j].Bad {
				out = append(out, s.badView(v, i, &z.Laid[j]))
			}
		}
	}
	return out
}

func (s *State) badView(v *Snapshot, zone int, l *Laying) BadView {
	z := &s.Zones[zone]
	p := z.Floor.Path
	b := BadView{Batch: l.Batch, Zone: z.Floor.Z.Name, FromL: l.FromL, ToL: l.ToL, Lifted: l.Lifted}
	if q := s.batch(l.Batch); q != nil {
		b.Why = q.Bad
	}
	b.FromM, b.ToM, b.LeftM, _ = p.Extent(l.FromL, l.ToL)
	b.AreaM2 = z.Floor.AreaBetween(l.FromL, l.ToL)
	at := p.NextPlace((l.FromL + l.ToL) / 2)
	b.X, b.Y = at.X, at.Y
	b.Kits = pace.Ceil((l.ToL - l.FromL) / (s.netL(zone) * z.drift()))
	if share := s.Plan.Sheet.Limits.LiftUntil; share > 0 {
		b.LiftUntil, b.LiftOK = s.usedBy(z, l, share, v.Now)
		b.Late = b.LiftOK && v.Now.After(b.LiftUntil)
	}
	s.touches(&b, zone, l, v.Now)
	return b
}

// replacing fills in what puts the condemned batches of the zone looked at
// right: the kits, when they can be down, and what that does to the edge.
func (s *State) replacing(v *Snapshot, zone int) {
	for i := range v.Bad {
		b := &v.Bad[i]
		if b.Zone != s.Zones[zone].Floor.Z.Name {
			continue
		}
		b.FillAt = s.downBy(v, zone, b.Kits)
		b.FillOK = !b.FillAt.IsZero() && (b.FillBy.IsZero() || !b.FillAt.After(b.FillBy))
		k, more := &v.Kits, 0
		if b.Lifted.IsZero() { // the count knows of holes, not of what is still to be lifted
			more = b.Kits
		}
		if len(s.Plan.Lots) > 0 {
			b.Short = max(0, max(k.NeedMean, k.NeedLast)+more-k.OnHand-k.OnTheWay)
		}
		e := &v.Edge
		if b.Lifted.IsZero() {
			after := s.edgeAfter(zone, v.Now, v.rate, b.ToL-b.FromL)
			e = &after
		}
		if b.EdgeOK = e.OK && e.LeastOpen >= 0; b.EdgeOK {
			b.EdgeSlack, b.EdgeNeeded = e.Points[e.LeastOpen].Slack, e.NeededPerMin
		}
	}
}

// downBy is when so many batches more can be raked out: what is on the way
// first, then starts at the crew's limit from the next one on. Zero with nobody
// to mix them.
func (s *State) downBy(v *Snapshot, zone, batches int) time.Time {
	f, bl, c := s.Zones[zone].Floor, v.Blend, &s.Plan.Crew
	carry := c.Load + f.Carry(v.PosL) + c.Pour
	way := slices.DeleteFunc(slices.Clone(v.Way), func(w OnTheWay) bool { return w.Dead })
	at := func(i int) time.Time {
		if i < len(way) {
			if t := way[i].Out.Add(carry); t.After(v.Now) {
				return t
			}
			return v.Now.Add(c.Pour)
		}
		iv := pace.Interval(v.Band.Limit)
		if v.Band.Limit <= 0 || v.Next.Say == SayHold {
			return time.Time{}
		}
		start := v.Next.At
		if start.Before(v.Now) {
			start = v.Now
		}
		return start.Add(time.Duration(i-len(way))*iv + f.Lead(bl, v.PosL) + c.Pour)
	}
	if batches < 1 || !v.Hands.Rake {
		return time.Time{}
	}
	return at(batches - 1)
}

// usedBy is when the first point of a laying has used a share of its edge life.
func (s *State) usedBy(z *ZoneState, l *Laying, share float64, now time.Time) (time.Time, bool) {
	place := ""
	if c := z.Floor.Path.CellAt(z.Floor.Path.NextPlace(l.FromL)); c >= 0 {
		place = s.place(z.Floor, c)
	}
	life := s.life(s.blendOf(l, z.Floor.Blend.Name), "edge", place)
	to := now
	if l.Start.After(to) {
		to = l.Start
	}
	used, ok := life.used(l.Start, to)
	if !ok || !life.ok {
		return time.Time{}, false
	}
	return to.Add(time.Duration((share - used - l.Wasted) * float64(life.now))), true
}

// touches finds the batches against a laying, the wet edge in it, and until
// when its neighbours join.
func (s *State) touches(b *BadView, zone int, l *Laying, now time.Time) {
	z := &s.Zones[zone]
	in := func(vol float64) bool { return vol > l.FromL && vol <= l.ToL }
	near := map[int]bool{}
	z.Floor.Path.EachPair(l.FromL, z.PosL, func(q path.Pair) {
		other := q.CloseL
		switch a, c := in(q.LaidL), in(q.CloseL); {
		case a == c:
			return
		case c:
			other = q.LaidL
		}
		o, from, ok := z.LaidAt(other)
		if !ok || o.Bad {
			return
		}
		near[o.Batch] = true
		at := q.At // the neighbour's own place, and its own time on the floor
		if other == q.CloseL {
			at = q.From
		}
		place := ""
		if cell := z.Floor.Path.CellAt(at); cell >= 0 {
			place = s.place(z.Floor, cell)
		}
		life := s.life(s.blendOf(o, z.Floor.Blend.Name), "edge", place)
		seen := now
		if seen.Before(from) {
			seen = from // still under the rake
		}
		if used, ok := life.used(from, seen); ok && life.ok {
			until := life.end(used+o.Wasted, seen).Add(-s.Plan.Rules.EdgeMargin)
			if b.FillBy.IsZero() || until.Before(b.FillBy) {
				b.FillBy = until
			}
		}
	})
	for no := range near {
		b.Touches = append(b.Touches, no)
	}
	sort.Ints(b.Touches)
	for _, c := range z.Floor.Path.Edge(z.PosL) {
		if in(c.LaidL) {
			along, _ := z.Floor.Path.Size(c.Index)
			b.EdgeM += along
		}
	}
}

// badCondition says of a condemned batch how long it still lifts. What is asked
// changes with time and so does the call: lift it, fill the hole, fence it.
func badCondition(s *State, v *Snapshot) condition {
	c := condition{id: "bad", grade: 1, off: true}
	if len(v.Bad) == 0 {
		return c
	}
	b := &v.Bad[0]
	for i := range v.Bad { // the one that still lifts, soonest shut
		if q := &v.Bad[i]; q.Lifted.IsZero() && !q.Late && (!b.Lifted.IsZero() || b.Late || q.LiftUntil.Before(b.LiftUntil)) {
			b = q
		}
	}
	c.on, c.off = true, false
	where := fmt.Sprintf("%s at %s, %s from the left, in zone %s", units.FormatFixed(units.Area, b.AreaM2, s.Plan.Units, 1),
		units.FormatFixed(units.Length, b.FromM, s.Plan.Units, 1), units.FormatFixed(units.Length, b.LeftM, s.Plan.Units, 1), b.Zone)
	fill := b.fillWords()
	switch {
	case !b.Lifted.IsZero():
		c.id, c.what, c.why = "hole", fmt.Sprintf("FILL HOLE OF %d", b.Batch), where+"; "+fill
	case !b.LiftOK:
		c.what, c.why = fmt.Sprintf("BATCH %d IS BAD", b.Batch), where+"; the sheet does not say how long it lifts; "+fill
	case b.Late:
		c.id, c.grade = "stays", 2
		c.what, c.why = fmt.Sprintf("BATCH %d STAYS DOWN", b.Batch), where+"; past lifting since "+b.LiftUntil.Format("15:04:05")+": fence it"
	default:
		c.what, c.why = fmt.Sprintf("LIFT BATCH %d", b.Batch), where+"; lifts until "+b.LiftUntil.Format("15:04:05")+"; "+fill
	}
	if b.Why != badNoReason {
		c.why = strings.ToLower(b.Why) + ": " + c.why
	}
	return c
}

// fillWords say what fills the place of a condemned batch, whether that is in
// time and what it does to the edge.
func (b *BadView) fillWords() string {
	w := "1 kit fills it"
	if b.Kits != 1 {
		w = fmt.Sprintf("%s fill it", units.Count(b.Kits, "kit", "kits"))
	}
	if b.Short > 0 {
		w += fmt.Sprintf(", then %d short", b.Short)
	}
	if !b.FillBy.IsZero() {
		w += ", neighbours join until " + b.FillBy.Format("15:04:05")
	}
	switch {
	case b.FillAt.IsZero():
		w += ", nobody can fill it now"
	case b.FillOK:
		w += ", down by " + b.FillAt.Format("15:04:05")
	default:
		w += ", down only by " + b.FillAt.Format("15:04:05") + ": a seam"
	}
	if b.EdgeOK && b.EdgeSlack < 0 {
		w += fmt.Sprintf("; the edge is then short by %s", units.Clock(-b.EdgeSlack))
	} else if b.EdgeOK {
		w += fmt.Sprintf("; the edge then has %s to spare", units.Clock(b.EdgeSlack))
	}
	return w
}

// badNoReason stands until somebody has a hand free to say why.
const badNoReason = "bad"

// decideBad marks a batch on the floor as bad, or as taken up again. A batch
// that is bad already takes a reason, or a better one.
func (s *State) decideBad(p Press) ([]Event, error) {
	b := s.batch(p.Batch)
	switch {
	case b == nil || b.Poured.IsZero():
		return nil, refuse("batch %d is not on the floor", p.Batch)
	case p.Kind == BatchCondemned && b.Bad != "" && (p.Why == "" || p.Why == badNoReason || p.Why == b.Bad):
		return nil, refuse("batch %d is condemned already", p.Batch)
	case p.Kind == BatchLifted && !b.Lifted.IsZero():
		return nil, refuse("batch %d was lifted already", p.Batch)
	}
	if b.Zone >= 0 {
		p.Zone = s.Zones[b.Zone].Floor.Z.Name
	}
	return []Event{p}, nil
}
