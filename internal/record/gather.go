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
	by      map[string][]value
	left    map[string]int // why → how many times were not the crew's own
	waited  map[string]int // step → how often it was only seen waiting
	mixers  []int          // seen
	blends  []string       // seen, in the order of the sheet
	asked   bool           // a plan wanted the steps pressed
	oneOnly bool           // one blend was poured: its name need not be said
	carryM  []float64      // how far each of fitCarry was carried, m
	ratios  scatter        // place among the batches, drift
}

func newGather() *gather {
	return &gather{by: map[string][]value{}, left: map[string]int{}, waited: map[string]int{}}
}

// scatter is the points of a straight line.
type scatter struct{ x, y []float64 }

func (p *scatter) add(x, y float64) { p.x, p.y = append(p.x, x), append(p.y, y) }

// put keeps a figure of the time between two presses, unless that time is not the
// crew's own.
func (g *gather) put(w *watched, name string, v float64, batch int, from, to time.Time) bool {
	if why := w.why(from, to); why != "" {
		g.left[why]++
		return false
	}
	g.by[name] = append(g.by[name], value{v, w.Name, batch, from})
	return true
}

// also keeps the figure of one mixer, which is in the figure of all already.
func (g *gather) also(w *watched, name string, v float64, batch int, from time.Time) {
	g.by[name] = append(g.by[name], value{v, w.Name, batch, from})
}

// of names a step of a blend: by the step alone where one blend was poured.
func (g *gather) of(step, blend string) string {
	if g.oneOnly {
		return step
	}
	return step + " (" + blend + ")"
}

func byMixer(name string, mixer int) string { return fmt.Sprintf("%s, mixer %d", name, mixer) }

// name of the steps that are fitted.
const (
	fitMixing = "mixing"
	fitOut    = "mixing and pouring out"
	fitCycle  = "start to start"
	fitCarry  = "mixed to poured, no wait"
	fitRake   = "raking"
	fitRoll   = "rolling"
	fitBroad  = "broadcasting"
	fitFront  = "front against the plan"
	fitLoss   = "loss"
)

func (g *gather) day(w *watched) {
	g.asked = g.asked || w.Plan.Rules.StepPresses
	g.mixing(w)
	for zi := range w.s.Zones {
		z := &w.s.Zones[zi]
		g.carrying(w, z)
		g.raking(w, z)
		g.finishing(w, z, fitRoll, z.RolledRows, nil)
		g.finishing(w, z, fitBroad, z.BroadRows, z.RolledRows)
	}
	g.fronts(w)
}

// mixing: from mix start to mixed, where that was pressed, for all mixers and
// for each; each step where steps were pressed; start to start on one mixer.
func (g *gather) mixing(w *watched) {
	last := map[int]*day.Batch{}
	for i := range w.s.Batches {
		b := &w.s.Batches[i]
		if b.Started.IsZero() {
			continue
		}
		if !slices.Contains(g.mixers, b.Mixer) {
			g.mixers = append(g.mixers, b.Mixer)
		}
		steps := w.Plan.Sheet.Blend(b.Blend)
		if b.MixedTold && b.Share == 1 {
			name := fitOut
			if steps != nil && len(b.Steps) == len(steps.Steps) {
				name = fitMixing
			}
			name = g.of(name, b.Blend)
			v := b.Mixed.Sub(b.Started).Seconds()
			if g.put(w, name, v, b.No, b.Started, b.Mixed) {
				g.also(w, byMixer(name, b.Mixer), v, b.No, b.Started)
			}
		}
		from := b.Started
		for k, t := range b.Steps {
			if steps != nil && k < len(steps.Steps) && b.Share == 1 {
				g.put(w, g.of("step "+steps.Steps[k].Name, b.Blend), t.Sub(from).Seconds(), b.No, from, t)
			}
			from = t
		}
		if p := last[b.Mixer]; p != nil && p.Zone == b.Zone && p.Blend == b.Blend && !w.paced(p.Started, b.Started) {
			v, name := b.Started.Sub(p.Started).Seconds(), g.of(fitCycle, b.Blend)
			if g.put(w, name, v, b.No, p.Started, b.Started) {
				g.also(w, byMixer(name, b.Mixer), v, b.No, b.Started)
			}
		}
		last[b.Mixer] = b
	}
}

// rakeMargin is how much longer than the plan's a rake may take before a bucket
// that seems to have come straight from its mixer did not: four spreads of 12 %.
const rakeMargin = 1.5

// carrying: from out of the mixer to poured, for batches that nothing stood in
// the way of: a runner was back and the rake free before they were out.
func (g *gather) carrying(w *watched, z *day.ZoneState) {
	c := &w.Plan.Crew
	for i := range z.Laid {
		l := &z.Laid[i]
		b := &w.s.Batches[l.Batch-1]
		dist, out := z.Floor.Path.Distance(l.FromL), b.Mixed
		if !b.MixedTold || b.Share != 1 || math.IsNaN(dist) {
			continue
		}
		if i > 0 { // at half the walk: the way there is the surest of the times
			before := &z.Laid[i-1]
			rake := time.Duration(rakeMargin * z.Floor.AreaBetween(before.FromL, before.ToL) / c.RakeM2Min * float64(time.Minute))
			if w.s.Batches[before.Batch-1].Poured.Add(rake + turns(w, z, before)).After(out.Add(c.Load + z.Floor.Carry(l.FromL)/2)) {
				continue
			}
		}
		if w.runnerBack(z, i).After(out) {
			continue
		}
		if v := b.Poured.Sub(b.Mixed).Seconds(); v > 0 && g.put(w, fitCarry, v, b.No, b.Mixed, b.Poured) {
			g.carryM = append(g.carryM, dist)
		}
	}
}

// runnerBack is when the runner that takes laying i was back at the mixers.
func (w *watched) runnerBack(z *day.ZoneState, i int) time.Time {
	k := i - w.Plan.Crew.Runners
	if k < 0 {
		return time.Time{}
	}
	return w.s.Batches[z.Laid[k].Batch-1].Poured.Add(z.Floor.Back(z.Laid[k].FromL))
}

// turns is the time of the row ends inside a laying.
func turns(w *watched, z *day.ZoneState, l *day.Laying) time.Duration {
	return time.Duration(z.Floor.Path.RowEndsBetween(l.FromL, l.ToL)) * w.Plan.Rules.Turn
}

// raking: pour to pour while the next bucket stood waiting; the plan's pour and
// the turns at row ends are taken off.
func (g *gather) raking(w *watched, z *day.ZoneState) {
	c := &w.Plan.Crew
	for i := 1; i < len(z.Laid); i++ {
		l := &z.Laid[i-1]
		b, before := &w.s.Batches[z.Laid[i].Batch-1], &w.s.Batches[l.Batch-1]
		out := b.Mixed
		if back := w.runnerBack(z, i); back.After(out) {
			out = back
		}
		there := out.Add(c.Load + z.Floor.Carry(z.Laid[i].FromL))
		area := z.Floor.AreaBetween(l.FromL, l.ToL)
		if b.Mixed.IsZero() || area <= 0 {
			continue
		}
		if there.After(before.Poured) {
			g.waited[fitRake]++
			continue
		}
		if gap := b.Poured.Sub(before.Poured) - c.Pour - turns(w, z, l); gap > 0 {
			g.put(w, fitRake, area/gap.Minutes(), b.No, before.Poured, b.Poured)
		}
	}
}

// finishing: one row pressed rolled (or broadcast) after the row before it, where
// the row lay ready by then: else the post waited for the front.
func (g *gather) finishing(w *watched, z *day.ZoneState, name string, rows, first map[int]time.Time) {
	p := z.Floor.Path
	for row := 2; row <= p.Rows(); row++ {
		a, b := rows[row-1], rows[row]
		if a.IsZero() || !b.After(a) {
			continue
		}
		ready, ok := w.ready(z, row, name == fitBroad)
		if f := first[row]; f.After(ready) {
			ready = f
		}
		if !ok || ready.After(a) {
			g.waited[name]++
			continue
		}
		g.put(w, name, z.Floor.AreaBetween(p.RowEnd(row-2), p.RowEnd(row-1))/b.Sub(a).Minutes(), 0, a, b)
	}
}

// ready is when a row lay whole and could be rolled, or broadcast to.
func (w *watched) ready(z *day.ZoneState, row int, broad bool) (time.Time, bool) {
	end := z.Floor.Path.RowEnd(row - 1)
	for i := range z.Laid {
		l := &z.Laid[i]
		if l.ToL < end-1e-6 {
			continue
		}
		if !broad {
			return l.End, true
		}
		bl := w.Plan.Sheet.Blend(w.s.Batches[l.Batch-1].Blend)
		if bl == nil {
			return l.End, false
		}
		if bl.BroadcastFrom.Empty() {
			return l.End, true
		}
		from, ok := bl.BroadcastFrom.At(w.s.Air.SlabC)
		return l.End.Add(from), ok
	}
	return time.Time{}, false
}

// fronts: path covered for a litre, from mark to mark. 1 means that the plan's
// loss is the real one.
func (g *gather) fronts(w *watched) {
	n := 0
	for zi := range w.s.Zones {
		z := &w.s.Zones[zi]
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
				loss := (1+w.Plan.Rules.Loss)*poured/moved - 1
				batch := z.Laid[to-1].Batch
				g.also(w, fitFront, moved/poured, batch, q.At)
				g.also(w, fitLoss, 1+loss, batch, q.At)
				g.ratios.add(float64(n)+float64(from+to)/2, moved/poured)
			}
			from = to
		}
		n += len(z.Laid)
	}
}
