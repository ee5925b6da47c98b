package day

import (
	"fmt"
	"math"
	"time"

	"floorpace/internal/pace"
	"floorpace/internal/units"
)

// What is called out about the wet edge, one story that gets worse: the crew is
// too slow, then too small for what lies ahead, then no pace saves the whole
// edge, then some of it is at risk, then lost.
const (
	MixFaster      = "MIX FASTER" // the only one that faster hands end; its why says when
	crewCannotHold = "CREW CANNOT HOLD"
	edgeRunningOut = "EDGE RUNNING OUT"
	edgeAtRisk     = "EDGE AT RISK"
	edgeLost       = "EDGE LOST"

	edgeCall = "edge" // the subject of them all
)

// stage is one step of the story: it begins when on and is over when off, so
// that between the two it goes on if it had begun.
type stage struct {
	what, why string
	grade     int
	on, off   bool
}

// edgeCondition is the story of the wet edge as it stands: the gravest stage
// that is on, or that had begun and is not over.
func edgeCondition(s *State, v *Snapshot) condition {
	c := condition{id: edgeCall, grade: 1}
	if !v.Edge.OK {
		c.on, c.what, c.why = true, "NO EDGE FIGURE", v.Edge.Missing
		return c
	}
	begun := 0
	if old := s.Calls[edgeCall]; old != nil && old.Standing() {
		begun = rank(old.What)
	}
	for _, q := range []stage{lostStage(s, v), riskStage(s, v), outStage(v), crewStage(v), fasterStage(v)} {
		if q.on || !q.off && rank(q.what) <= begun {
			c.on, c.grade, c.what, c.why = true, q.grade, q.what, q.why
			return c
		}
	}
	c.off = true
	return c
}

func lostStage(s *State, v *Snapshot) stage {
	e := &v.Edge
	length := func(m float64) string { return units.Format(units.Length, m, s.Plan.Units) }
	return stage{
		what: edgeLost, grade: 1, on: e.GoneM > 0, off: e.GoneM <= 0,
		why: fmt.Sprintf("%s gone, %s at risk, %s joinable", length(e.GoneM), length(e.RiskM), length(e.JoinM)),
	}
}

func riskStage(s *State, v *Snapshot) stage {
	e := &v.Edge
	return stage{
		what: edgeAtRisk, grade: 1, on: e.RiskM > 0, off: e.RiskM <= 0,
		why: fmt.Sprintf("%s at risk, first point gone at %s", units.Format(units.Length, e.RiskM, s.Plan.Units), e.firstDead().Format("15:04:05")),
	}
}

// outStage begins when more speed no longer saves the whole edge: that wants a
// decision, not faster hands.
func outStage(v *Snapshot) stage {
	e := &v.Edge
	q := stage{what: edgeRunningOut, grade: 1, off: true}
	if e.Least < 0 {
		return q
	}
	l := e.Points[e.Least]
	q.why = fmt.Sprintf("wet edge needs one every %s, crew's limit %s; joinable until %s",
		every(e.NeededPerMin), every(v.Band.Limit), l.Until.Format("15:04:05"))
	if v.PastAnyPace() {
		q.why = "no pace saves the whole wet edge; joinable until " + l.Until.Format("15:04:05")
	}
	q.on = e.Hopeless || e.NeededPerMin > v.Band.Limit && l.Slack < 0
	q.off = !e.Hopeless && e.NeededPerMin < v.Band.Limit*(1-paceBand)
	return q
}

// hopeless is how many times the crew's limit a pace is no figure to aim at.
const hopeless = 4

// crewStage says that the crew is too small for the rows that lie ahead.
func crewStage(v *Snapshot) stage {
	b := &v.Band
	q := stage{what: crewCannotHold, grade: 1, on: b.Needed > b.Limit, off: b.Needed <= b.Limit*(1-paceBand)}
	if b.Limit == 0 {
		q.why = fmt.Sprintf("rows ahead need one every %s, no %s at work", every(b.Needed), b.LimitPost)
		return q
	}
	q.why = fmt.Sprintf("rows ahead need one every %s, %s can %s", every(b.Needed), b.LimitPost, every(b.Limit))
	if b.WidestM > 0 {
		q.why += ", widest pull " + units.FormatFixed(units.Length, b.WidestM, v.Plan.Units, 1)
	}
	return q
}

// fasterStage asks for more speed while that helps: not during a hold, which
// has its own reason.
func fasterStage(v *Snapshot) stage {
	q := stage{what: MixFaster, grade: 2, off: true}
	if v.Hold != nil || v.Doing <= 0 {
		return q
	}
	need := v.Edge.NeededPerMin
	slack := time.Duration(math.MaxInt64)
	if v.Edge.Least >= 0 {
		slack = v.Edge.Points[v.Edge.Least].Slack
	}
	q.why = fmt.Sprintf("wet edge needs one every %s, doing %s; over at %s or %s of slack",
		every(need), every(v.Doing), every(need/(1-paceBand)), units.Clock(slackBand/2))
	q.on = slack < -slackBand/2 && need > v.Doing
	q.off = slack > slackBand/2 || need < v.Doing*(1-paceBand)
	return q
}

// Needed is the pace that everything rests on, in batches a minute: the greater
// of what brings the wet edge home and what the rows ahead need.
func (v *Snapshot) Needed() float64 { return math.Max(v.Edge.NeededPerMin, v.Band.Needed) }

// PastAnyPace reports whether that is beyond any pace to aim at.
func (v *Snapshot) PastAnyPace() bool {
	return v.Edge.Hopeless || v.Band.Limit > 0 && v.Needed() > hopeless*v.Band.Limit
}

// PaceWord says in at most four words how the pace stands, the same words on
// every screen, and how much it matters: 0 it holds, 1 and 2 as a call's grade,
// 3 nothing to judge. While a call about the pace stands it is that call, so that
// the word comes and goes with it, by its dead-band.
func (v *Snapshot) PaceWord() (what string, grade int) {
	switch {
	case v.Floor == nil:
		return "DAY DONE", 0
	case v.Zone < 0:
		return "NO ZONE BEGUN", 3
	case !v.Edge.OK || !v.Band.OK:
		return "NO EDGE FIGURE", 1
	case v.Hold != nil && v.Hold.Stop:
		return "MIXING IS STOPPED", 1
	case v.Next.Say == SayDone && v.Next.Why == zoneFull:
		return "ZONE IS LAID", 0
	}
	lost := false // some of the edge: what is judged is the pace for the rest
	for i := range v.Calls {
		if c := &v.Calls[i]; c.ID == edgeCall && c.Standing() {
			if rank(c.What) >= rank(edgeAtRisk) {
				lost = true
				break
			}
			return c.What, c.Grade
		}
	}
	need := v.Needed()
	switch {
	case v.Edge.Hopeless || need > v.Band.Limit:
		return crewCannotHold, 1
	case v.Hold != nil || v.Next.Say == SayHold:
		return "ON HOLD", 2
	case v.Doing <= 0:
		return "PACE NOT KNOWN YET", 3
	case lost && v.Doing < need*(1-paceBand):
		return MixFaster, 2
	case v.Doing < need:
		return "PACE IS TIGHT", 2
	case lost:
		return "REST HOLDS", 0
	}
	return "PACE HOLDS", 0
}

func every(perMin float64) string { return units.Clock(pace.Interval(perMin)) }

func (e *Edge) firstDead() (t time.Time) {
	for _, p := range e.Points {
		if t.IsZero() || p.Dead.Before(t) {
			t = p.Dead
		}
	}
	return t
}
