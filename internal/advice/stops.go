package advice

import (
	"fmt"
	"math"

	"floorpace/internal/day"
	"floorpace/internal/pace"
	"floorpace/internal/units"
)

// stopsShown is how many stop lines ahead are judged: the next one, and one to
// choose against it.
const stopsShown = 2

// stops runs to the next stop lines, or on to the end when one is chosen.
func (w *ways) stops() error {
	shown := 0
	for _, q := range w.v.Stops {
		end := q.VolL >= w.s.floor.Path.TotalL()-spare
		if math.Abs(q.VolL-w.s.endL) < spare || !end && shown == stopsShown {
			continue
		}
		s := w.s.copy()
		s.endL = q.VolL
		v, err := w.study(s)
		if err != nil {
			return err
		}
		x := Way{ID: "stop:" + q.Name, What: "stop at " + q.Name, Press: &day.Press{
			Kind: day.StopChosen, Zone: s.floor.Z.Name, Text: q.Name, Value: day.Value(q.VolL),
		}}
		if end {
			x.ID, x.What = "end", "go on to the end"
		} else {
			shown++
		}
		x.Figure = fmt.Sprintf("to %s: %s, %s", q.Name, pace.KitsOf(v.batches), units.Clock(v.Laid.P50))
		if v.idle != "" {
			x.Figure = fmt.Sprintf("to %s: %s, %s", q.Name, pace.KitsOf(v.batches), v.idle)
		}
		w.offer(s, x, v, true)
	}
	if shown == 0 {
		w.refuse("stop", "stop at a line", "none lies ahead")
	}
	return nil
}

// cutBack gives up the wet edge for a straight cut: going on from there, or
// stopping there.
func (w *ways) cutBack() error {
	if len(w.s.laid) == 0 {
		w.refuse("stop-now", "stop now", "nothing is laid yet")
		return nil
	}
	c := w.s.floor.Path.CutBack(w.s.posL)
	off := w.s.floor.AreaBetween(c.VolL, w.s.posL)
	area := func(m2 float64) string { return units.Format(units.Area, m2, w.v.Plan.Units) }
	zone := w.s.floor.Z.Name
	s := w.s.copy()
	s.posL, s.fresh, s.endL = c.VolL, true, w.s.endL
	if s.endL-s.posL > spare {
		if err := w.judge(s, Way{
			ID: "cut-back", What: "cut back and go on", Figure: fmt.Sprintf("to %s, %s comes off", c.Name, area(off)),
			Press: &day.Press{Kind: day.CutBack, Zone: zone, Value: day.Value(c.VolL), Text: c.Name},
		}, false); err != nil {
			return err
		}
	}
	w.out.Ways = append(w.out.Ways, Way{
		ID: "stop-now", What: "stop now", Figure: fmt.Sprintf("cut back to %s, %s comes off", c.Name, area(off)),
		Edge: 1, Buckets: 1, Both: 1, P50: w.v.Now, LeavesM2: w.s.floor.AreaBetween(c.VolL, w.s.floor.Path.TotalL()),
		Press: &day.Press{Kind: day.StopChosen, Zone: zone, Text: c.Name, Value: day.Value(c.VolL)},
	})
	return nil
}
