package record

import (
	"fmt"
	"math"
	"slices"
	"time"

	"floorpace/internal/day"
)

// gather collects figures by step.
type gather struct {
	by     map[string][]value
	mixers []int // seen
	walk   struct{ x, y []float64 }
	ratios struct{ x, y []float64 } // place among the batches, drift
}

func (g *gather) put(name string, v float64, log string, batch int, at time.Time) {
	g.by[name] = append(g.by[name], value{v, log, batch, at})
}

func (g *gather) day(d Seen, s *day.State) {
	g.mixing(d, s)
	g.carrying(d, s)
	g.raking(d, s)
	g.rolling(d, s)
	g.fronts(d, s)
}

// mixing: from mix start to mixed, where that was pressed, for all mixers and
// for each; each step where steps were pressed; start to start on one mixer.
func (g *gather) mixing(d Seen, s *day.State) {
	last := map[int]*day.Batch{}
	for i := range s.Batches {
		b := &s.Batches[i]
		if b.Started.IsZero() {
			continue
		}
		if !slices.Contains(g.mixers, b.Mixer) {
			g.mixers = append(g.mixers, b.Mixer)
		}
		steps := d.Plan.Sheet.Blend(b.Blend)
		if b.MixedTold && b.Share == 1 {
			name := "mixing and pouring out"
			if steps != nil && len(b.Steps) == len(steps.Steps) {
				name = "mixing"
			}
			v := b.Mixed.Sub(b.Started).Seconds()
			g.put(name, v, d.Name, b.No, b.Started)
			g.put(fmt.Sprintf("%s, mixer %d", name, b.Mixer), v, d.Name, b.No, b.Started)
		}
		from := b.Started
		for k, t := range b.Steps {
			if steps != nil && k < len(steps.Steps) {
				g.put("step "+steps.Steps[k].Name, t.Sub(from).Seconds(), d.Name, b.No, from)
			}
			from = t
		}
		if p := last[b.Mixer]; p != nil && p.Zone == b.Zone && !heldBetween(s, p.Started, b.Started) {
			v := b.Started.Sub(p.Started).Seconds()
			g.put("start to start", v, d.Name, b.No, b.Started)
			g.put(fmt.Sprintf("start to start, mixer %d", b.Mixer), v, d.Name, b.No, b.Started)
		}
		last[b.Mixer] = b
	}
}

// heldBetween reports whether a hold or an outage touches a stretch of time:
// what took long then is not the crew's own time.
func heldBetween(s *day.State, from, to time.Time) bool {
	touches := func(a, b time.Time) bool { return a.Before(to) && (b.IsZero() || b.After(from)) }
	for _, h := range s.Holds {
		if touches(h.From, h.To) {
			return true
		}
	}
	for _, o := range s.Outages {
		if touches(o.From, o.To) {
			return true
		}
	}
	return false
}

// carrying: from out of the mixer to poured, for batches that nothing stood in
// the way of: the rake was free, no bucket was ahead, no hold.
func (g *gather) carrying(d Seen, s *day.State) {
	for zi := range s.Zones {
		z := &s.Zones[zi]
		for i := 1; i < len(z.Laid); i++ {
			b, before := &s.Batches[z.Laid[i].Batch-1], &s.Batches[z.Laid[i-1].Batch-1]
			if !b.MixedTold || before.Poured.After(b.Mixed) || heldBetween(s, b.Mixed, b.Poured) {
				continue
			}
			dist := z.Floor.Path.Distance(z.Laid[i].FromL)
			v := b.Poured.Sub(b.Mixed).Seconds()
			if math.IsNaN(dist) || v <= 0 {
				continue
			}
			g.put("out of the mixer to poured, nothing in the way", v, d.Name, b.No, b.Mixed)
			g.walk.x, g.walk.y = append(g.walk.x, dist), append(g.walk.y, v)
		}
	}
}

// raking: pour to pour while the next bucket stood waiting; the plan's pour is
// taken off.
func (g *gather) raking(d Seen, s *day.State) {
	for zi := range s.Zones {
		z := &s.Zones[zi]
		for i := 1; i < len(z.Laid); i++ {
			l := &z.Laid[i-1]
			b, before := &s.Batches[z.Laid[i].Batch-1], &s.Batches[l.Batch-1]
			there := b.Mixed.Add(d.Plan.Crew.Load + z.Floor.Carry(z.Laid[i].FromL))
			gap := b.Poured.Sub(before.Poured) - d.Plan.Crew.Pour
			if b.Mixed.IsZero() || there.After(before.Poured) || gap <= 0 || heldBetween(s, before.Poured, b.Poured) {
				continue
			}
			if area := z.Floor.AreaBetween(l.FromL, l.ToL); area > 0 {
				g.put("raking", area/gap.Minutes(), d.Name, b.No, before.Poured)
			}
		}
	}
}

// rolling: one row pressed rolled (or broadcast) after the row before it.
func (g *gather) rolling(d Seen, s *day.State) {
	for zi := range s.Zones {
		z := &s.Zones[zi]
		p := z.Floor.Path
		for name, rows := range map[string]map[int]time.Time{"rolling": z.RolledRows, "broadcasting": z.BroadRows} {
			for row := 2; row <= p.Rows(); row++ {
				a, b := rows[row-1], rows[row]
				if a.IsZero() || !b.After(a) || heldBetween(s, a, b) {
					continue
				}
				g.put(name, z.Floor.AreaBetween(p.RowEnd(row-2), p.RowEnd(row-1))/b.Sub(a).Minutes(), d.Name, 0, a)
			}
		}
	}
}

// fronts: path covered for a litre, from mark to mark. 1 means that the plan's
// loss is the real one.
func (g *gather) fronts(d Seen, s *day.State) {
	n := 0
	for zi := range s.Zones {
		z := &s.Zones[zi]
		from := 0
		for _, q := range z.Marks {
			to := min(q.Layers, len(z.Laid))
			if slices.Contains(z.Breaks, q.PosL) || to <= from {
				continue
			}
			moved, poured := 0.0, 0.0
			for _, l := range z.Laid[from:to] {
				moved += l.ToL - l.FromL
				poured += l.PouredL
			}
			if poured > 0 && moved > 0 {
				loss := (1+d.Plan.Rules.Loss)*poured/moved - 1
				g.put("front against the plan", moved/poured, d.Name, z.Laid[to-1].Batch, q.At)
				g.put("loss", 1+loss, d.Name, z.Laid[to-1].Batch, q.At)
				g.ratios.x = append(g.ratios.x, float64(n)+float64(from+to)/2)
				g.ratios.y = append(g.ratios.y, moved/poured)
			}
			from = to
		}
		n += len(z.Laid)
	}
}
