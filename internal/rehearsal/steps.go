package rehearsal

import (
	"math"
	"slices"
	"time"

	"floorpace/internal/day"
)

// late is how long before its press a start really was: the crew looks up once a
// view, and where the steps of a batch are pressed their ends come as much late as
// its start.
func (c *Crew) late() time.Duration {
	return time.Duration(c.luck.Float64() * float64(c.tick))
}

// uneven is how much further than the mean a batch goes: no two come out alike. It
// only shows where the front is marked often.
func (c *Crew) uneven(v *day.Snapshot) float64 {
	if !v.Plan.Rules.StepPresses {
		return 1
	}
	return math.Exp(unevenSpread * c.luck.NormFloat64())
}

// unevenSpread is the scatter of what a batch covers, sd of ln. Invented.
const unevenSpread = 0.02

// stepped presses the mix steps that have ended. The last one is the batch mixed.
func (c *Crew) stepped(v *day.Snapshot) (out []day.Press) {
	var batches []int
	for b := range c.steps {
		batches = append(batches, b)
	}
	slices.Sort(batches)
	for _, b := range batches {
		left := c.steps[b]
		for len(left) > 0 && !v.Now.Before(left[0]) {
			out = append(out, day.Press{Kind: day.BatchStepped, Batch: b})
			left = left[1:]
		}
		if c.steps[b] = left; len(left) == 0 {
			delete(c.steps, b)
		}
	}
	return out
}

// finisher is the spike roller or the broadcaster: what is at work on one row
// after the other, each for as long as its area takes.
type finisher struct {
	done int       // rows done, or given up
	row  int       // at work on, 0 for none
	till time.Time // when that, or the last one, is really done
}

// finishing reports whether rows that lie still have to be rolled or broadcast:
// the zone is not closed over them.
func (c *Crew) finishing(v *day.Snapshot) bool {
	if !v.Plan.Rules.StepPresses {
		return false
	}
	for i := range v.Rows {
		r := &v.Rows[i]
		if c.plan.Crew.RollM2Min > 0 && r.HasRoll && r.RolledAt.IsZero() && !r.RollOff ||
			c.plan.Crew.BroadM2Min > 0 && r.HasBroad && r.BroadcastAt.IsZero() && !r.BroadcastOff {
			return true
		}
	}
	return false
}

// finished presses the rows rolled and broadcast, where the plan wants steps on
// record.
func (c *Crew) finished(v *day.Snapshot) (out []day.Press) {
	if !v.Plan.Rules.StepPresses || v.Floor == nil || v.Zone < 0 {
		return nil
	}
	cr := &c.plan.Crew
	if cr.RollM2Min > 0 {
		out = c.rows(v, &c.roller, cr.RollM2Min, cr.Spread.Roll, day.RowRolled, func(r *day.RowWindow) (ready time.Time, off bool) {
			return r.Last, r.RollOff || !r.HasRoll
		})
	}
	if cr.BroadM2Min > 0 {
		out = append(out, c.rows(v, &c.caster, cr.BroadM2Min, cr.Spread.Broadcast, day.RowBroadcast, func(r *day.RowWindow) (ready time.Time, off bool) {
			ready = r.BroadFrom
			if cr.RollM2Min > 0 && r.RolledAt.After(ready) {
				ready = r.RolledAt
			}
			return ready, r.BroadcastOff || !r.HasBroad
		})...)
	}
	return out
}

// rows lets a post work its rows in their order, a row only when it lies whole.
func (c *Crew) rows(v *day.Snapshot, f *finisher, m2Min, spread float64, kind day.Kind, window func(*day.RowWindow) (ready time.Time, off bool)) (out []day.Press) {
	p := v.Floor.Path
	for i := len(v.Rows) - 1; i >= 0; i-- {
		r := &v.Rows[i]
		end := p.RowEnd(r.Row - 1)
		if r.Row <= f.done || v.PosL < end-1e-6 {
			continue
		}
		ready, off := window(r)
		if off {
			f.done, f.row = r.Row, 0
			continue
		}
		if f.row != r.Row {
			if v.Now.Before(ready) {
				return out
			}
			from := f.till
			if from.Before(ready) {
				from = ready
			}
			begin := 0.0
			if r.Row > 1 {
				begin = p.RowEnd(r.Row - 2)
			}
			area := v.Floor.AreaBetween(begin, end)
			f.row, f.till = r.Row, from.Add(c.vary(time.Duration(area/m2Min*float64(time.Minute)), spread))
		}
		if v.Now.Before(f.till) {
			return out
		}
		out = append(out, day.Press{Kind: kind, Zone: v.Floor.Z.Name, Row: r.Row})
		f.done, f.row = r.Row, 0
	}
	return out
}
