package day

import (
	"fmt"
	"strings"
	"time"

	"floorpace/internal/air"
	"floorpace/internal/pace"
	"floorpace/internal/units"
)

// conditions judges every reason for a call. One subject, one call: the wet edge
// with the pace that holds it, the buckets, the kits, the weather, the finishing
// windows, the opening, a stop, the way out, a bad batch, the lots, and the jobs
// left undone for too long. A subject that a graver one explains is left out: a
// stop of all mixing says itself what is lost next.
func conditions(s *State, v *Snapshot) []condition {
	var out []condition
	stopped := v.Hold != nil && v.Hold.Stop
	where := s.whereCondition(v)
	if v.Zone >= 0 {
		out = append(out, where, slabCondition(s, v))
	}
	if v.Zone >= 0 && len(v.Laid) > 0 {
		if !stopped {
			out = append(out, edgeCondition(s, v))
		}
		if !where.on || v.StopPlan.Goal.Kits {
			out = append(out, kitsCondition(s, v))
		}
		out = append(out, useCondition(s, v), rollCondition(s, v), finisherCondition(s, v))
	}
	out = append(out, stopCondition(v), exitCondition(s, v), badCondition(s, v), countCondition(s, v), lotCondition(v, s.Plan))
	if c, ok := bucketCondition(s, v); ok && !stopped {
		out = append(out, c)
	}
	out = append(out, dewCondition(s, v), sheetCondition(v), weatherCondition(s, v), openingCondition(s, v))
	return append(out, jobConditions(v)...)
}

func bucketCondition(s *State, v *Snapshot) (condition, bool) {
	c := condition{id: "bucket", grade: 2}
	var worst *BucketView
	var dead []string
	for i := range v.Buckets {
		b := &v.Buckets[i]
		if !b.OK {
			continue
		}
		if b.Dead {
			dead = append(dead, fmt.Sprint(b.Batch))
		}
		if worst == nil || b.Left < worst.Left {
			worst = b
		}
	}
	if worst == nil {
		return c, false
	}
	left := worst.Left - s.Plan.Rules.BucketMargin
	switch {
	case len(dead) > 0:
		c.grade, c.on, c.what = 1, true, fmt.Sprintf("BUCKET %d DEAD", worst.Batch)
		c.why = fmt.Sprintf("%s old: set it outside, not on the floor", units.Clock(worst.Age))
		if n := len(dead); n > 1 {
			c.what, c.why = fmt.Sprintf("%d BUCKETS DEAD", n), strings.Join(dead, ", ")+": set them outside, not on the floor"
		}
	default:
		c.what = fmt.Sprintf("POUR BUCKET %d NOW", worst.Batch)
		c.why = fmt.Sprintf("%s of its life left", units.Clock(worst.Left))
		c.on, c.off = left < 0, left > bucketFirst
	}
	return c, true
}

func kitsCondition(s *State, v *Snapshot) condition {
	k := &v.Kits
	have := k.OnHand + k.OnTheWay
	c := condition{id: "kits", grade: 2, on: k.Short && len(v.Laid) >= kitsFirst}
	c.off = !k.Short || have >= max(k.NeedMean, k.NeedLast)+1
	short := max(k.NeedMean, k.NeedLast) - have
	c.what = "KITS RUN SHORT"
	c.why = fmt.Sprintf("%d more needed, %d on hand%s: %d short", have+short, have, k.ofLot(), short)
	if k.Drift < 1-driftBand && k.SaveFor >= 0 {
		c.what = "RESET THE RAKE"
		c.why = fmt.Sprintf("front at %.1f %% of plan, %d to %d more needed, %d on hand; a reset saves it for %s",
			100*k.Drift, min(k.NeedMean, k.NeedLast), max(k.NeedMean, k.NeedLast), have, units.Count(k.SaveFor, "more kit", "more kits"))
	}
	return c
}

// ofLot says behind a count of kits on hand that other lots have more.
func (k *Kits) ofLot() string {
	if k.OneLot {
		return " of the lots in use"
	}
	return ""
}

// useCondition looks at the stretch between the last two marks against the plan
// of the same bays: far more gone than planned there is not a rake's setting but
// a leak, a hole, or a bay deeper than drawn.
func useCondition(s *State, v *Snapshot) condition {
	c := condition{id: "use", grade: 2, off: v.Drift > 1-leakBand/2}
	z := &s.Zones[v.Zone]
	n := len(z.Marks)
	if n == 0 || v.Drift > 1-leakBand {
		return c
	}
	from, to := 0, min(z.Marks[n-1].Layers, len(z.Laid))
	if n > 1 {
		from = z.Marks[n-2].Layers
	}
	if from >= to {
		return c
	}
	began, poured := z.Laid[from].FromL, 0.0
	for _, l := range z.Laid[from:to] {
		poured += l.PouredL
	}
	area := func(toL float64) string {
		return units.Format(units.Area, z.Floor.AreaBetween(began, toL), s.Plan.Units)
	}
	c.on, c.what = true, "CHECK FOR A LEAK"
	c.why = fmt.Sprintf("the last %s covered %s where the plan gives %s: a leak, a hole, or deeper than drawn",
		strings.TrimPrefix(units.Count(to-from, "kit", "kits"), "1 "), area(z.Laid[to-1].ToL), area(began+poured))
	return c
}

const (
	// leakBand: a worn rake lays a tenth to a fifth too thick; a quarter too much
	// between two marks is something else. Common practice, no source.
	leakBand  = 0.25
	kitsFirst = 3    // drift is not judged before three kits are measured
	driftBand = 0.03 // a drift inside 3 % is within a rake's own setting
)

// rollCondition speaks of the oldest row whose rolling or broadcast shuts
// next and has not been pressed off; only when the crew has the post.
func rollCondition(s *State, v *Snapshot) condition {
	c := condition{id: "finish", grade: 3, off: true}
	for i := len(v.Rows) - 1; i >= 0; i-- {
		r := &v.Rows[i]
		if r.HasRoll && !r.RollOff && r.RolledAt.IsZero() && s.Posts.RollDown.IsZero() && s.Plan.Crew.RollM2Min > 0 && s.Plan.Rules.StepPresses {
			left := r.RollFirst.Sub(v.Now)
			c.what, c.why = fmt.Sprintf("ROLL ROW %d", r.Row), fmt.Sprintf("shuts from %s", r.RollFirst.Format("15:04:05"))
			c.on, c.off = left < rollFirst, left > rollFirst+slackBand
			return c
		}
	}
	return c
}

// finisherCondition speaks of a roller or broadcaster that is out: the pour goes
// on for the edge's sake, and rows shut undone.
func finisherCondition(s *State, v *Snapshot) condition {
	c := condition{id: "finisher", grade: 2, off: true}
	for _, q := range []struct {
		down       time.Time
		what, verb string
		rows       []FinishRow
	}{
		{s.Posts.RollDown, "NO ROLLER", "rolling", v.Finishing.Roll},
		{s.Posts.BroadDown, "NO BROADCASTER", "broadcasting", v.Finishing.Broad},
	} {
		if q.down.IsZero() || len(q.rows) == 0 || q.rows[0].Off {
			continue
		}
		r := q.rows[0]
		why := fmt.Sprintf("out since %s; %s row %d shuts from %s: another hand to it", q.down.Format("15:04"), q.verb, r.Row, r.Until.Format("15:04:05"))
		if c.on {
			c.what, c.why = c.what+", "+q.what, c.why+"; "+why
			continue
		}
		c.on, c.off, c.what, c.why = true, false, q.what, why
	}
	return c
}

// rollFirst warns of a rolling window this long before it begins to shut.
const rollFirst = 90 * time.Second

// dewCondition is the dew margin by itself, at the place where it is least: it
// stops whatever the temperatures say. A margin that only the instruments' error
// could break asks for a second reading.
func dewCondition(s *State, v *Snapshot) condition {
	c := condition{id: "dew", grade: 1}
	a := &v.Air
	if !a.WorstOK {
		c.off = true
		return c
	}
	words := pace.DewWords(s.Plan, a.Worst)
	if a.WorstAt != "" {
		words = a.WorstAt + ": " + words
	}
	switch {
	case a.Worst.Call == air.Stop && a.WorstAt == lowestSlab:
		c.on, c.what, c.why = true, "DEW MARGIN FAILS LATER", words+": heat or dry the air through cure"
	case a.Worst.Call == air.Stop:
		c.on, c.what, c.why = true, "DEW MARGIN GONE", words
	case a.Worst.Call == air.Amber && v.Zone >= 0:
		c.grade, c.on, c.what = 3, true, "DEW MARGIN CLOSE"
		c.why = fmt.Sprintf("%s, instruments err by %s: read again", words, units.FormatFixed(units.TempDiff, a.Worst.ErrorK, s.Plan.Units, 1))
	}
	c.off = !c.on && a.Worst.MarginK > float64(a.Worst.Rule)+dewBand
	return c
}

// weatherCondition is the advice on temperature, spots and trends.
func weatherCondition(s *State, v *Snapshot) condition {
	c := condition{id: "weather", grade: 2}
	if before, after, ok := s.crossed(); ok {
		c.on, c.what = true, after.Short
		c.why = after.Words + " (before: " + before.Words + ")"
		if after.Choice == pace.DoNotPour || after.Choice == pace.HeatFirst || after.Choice == pace.CoolFirst {
			c.grade = 1
		}
		return c
	}
	if q, ok := s.weatherSpots(v); ok {
		return q
	}
	c.off = true
	return c
}

// dewBand is how far above the rule the margin must rise again, K: about the
// error of two contact thermometers.
const dewBand = 0.5

// crossed reports whether the newest readings call for something else than the
// plan did when the zone began, and not only for the plain way of pouring.
func (s *State) crossed() (before, after pace.TempAdvice, ok bool) {
	if len(s.Readings) == 0 {
		return before, after, false
	}
	after = s.adviceWith(pace.HandsOf(s.Plan)) // what the crew lost is another call
	before = s.firstAdvice()
	better := after.Choice == pace.PourPlain && before.Choice != pace.PourFast // nothing is asked any more
	return before, after, before.Choice != after.Choice && !better
}

// firstAdvice is the advice by the plan's own readings.
func (s *State) firstAdvice() pace.TempAdvice {
	if s.adviceFirst == nil {
		a := pace.Advise(s.Plan, pace.All(s.Plan, s.Floors), pace.HandsOf(s.Plan), pace.GroundOf(s.Plan, 0), s.Plan.Handover.Add(s.Plan.Preparation))
		s.adviceFirst = &a
	}
	return *s.adviceFirst
}

func openingCondition(s *State, v *Snapshot) condition {
	c := condition{id: "opening", grade: 2, off: true}
	var late []string
	p := &v.StopPlan
	for i, z := range v.Zones {
		asked := i == v.Zone && p.Raised && !p.Goal.InTime // that call says it, and where to stop
		if !asked && z.Turnout.OK && !z.Turnout.Fits && (z.Closed.IsZero() || z.Turnout.Spare < -time.Minute) {
			late = append(late, fmt.Sprintf("%s by %s (last batch by %s)", z.Name, units.Hours(-z.Turnout.Spare), z.Turnout.Latest.Format("Mon 15:04")))
		}
	}
	if len(late) > 0 {
		c.on, c.off, c.what, c.why = true, false, "OPENING IN DANGER", "too late: "+strings.Join(late, ", ")+"; "+fitWords(s.fitting(s.onWay(v.Now), s.Handover))
		if v.Zone < 0 && p.Raised && !p.Goal.InTime {
			c.why += fmt.Sprintf("; %s is in time", p.Best[0].Name)
		}
	}
	return c
}
