package day

import (
	"fmt"
	"slices"
	"sort"
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
	// FillBy is the instant until which all of its neighbours still join; FillOK
	// says that a batch started now is down by then.
	FillBy time.Time
	FillOK bool
}

// hole is the first piece of a zone that was lifted and waits to be filled; -1
// for none.
func (z *ZoneState) hole() int {
	return slices.IndexFunc(z.Laid, func(l Laying) bool { return l.Bad && !l.Lifted.IsZero() })
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
	b.FromM, b.ToM = p.FrontAt(l.FromL), p.FrontAt(l.ToL)
	b.AreaM2 = z.Floor.AreaBetween(l.FromL, l.ToL)
	at := p.NextPlace((l.FromL + l.ToL) / 2)
	b.X, b.Y = at.X, at.Y
	b.Kits = pace.Ceil((l.ToL - l.FromL) / (s.netL(zone) * z.drift()))
	if share := s.Plan.Sheet.Limits.LiftUntil; share > 0 {
		b.LiftUntil, b.LiftOK = s.usedBy(z, l, share, v.Now)
		b.Late = b.LiftOK && v.Now.After(b.LiftUntil)
	}
	s.touches(&b, zone, l, v.Now)
	lead := z.Floor.Lead(s.blend(zone), z.PosL) + s.Plan.Crew.Pour
	b.FillOK = b.FillBy.IsZero() || !v.Now.Add(lead).After(b.FillBy)
	return b
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
		life := s.life(s.blendOf(o, z.Floor.Blend.Name), "edge", "")
		if now.Before(from) {
			from = now
		}
		if used, ok := life.used(from, now); ok && life.ok {
			until := life.end(used+o.Wasted, now).Add(-s.Plan.Rules.EdgeMargin)
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
	where := fmt.Sprintf("%s at %s in zone %s", units.FormatFixed(units.Area, b.AreaM2, s.Plan.Units, 1),
		units.FormatFixed(units.Length, b.FromM, s.Plan.Units, 1), b.Zone)
	fill := fmt.Sprintf("%d kits fill it, neighbours join until %s", b.Kits, b.FillBy.Format("15:04:05"))
	if b.Kits == 1 {
		fill = fmt.Sprintf("1 kit fills it, neighbours join until %s", b.FillBy.Format("15:04:05"))
	}
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
	return c
}

// decideBad marks a batch on the floor as bad, or as taken up again.
func (s *State) decideBad(p Press) ([]Event, error) {
	b := s.batch(p.Batch)
	switch {
	case b == nil || b.Poured.IsZero():
		return nil, refuse("batch %d is not on the floor", p.Batch)
	case p.Kind == BatchCondemned && b.Bad != "":
		return nil, refuse("batch %d is condemned already", p.Batch)
	case p.Kind == BatchLifted && !b.Lifted.IsZero():
		return nil, refuse("batch %d was lifted already", p.Batch)
	}
	if b.Zone >= 0 {
		p.Zone = s.Zones[b.Zone].Floor.Z.Name
	}
	return []Event{p}, nil
}
