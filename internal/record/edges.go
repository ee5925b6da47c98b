package record

import (
	"math"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/floor"
)

// stretch is one cell's edge that was joined too late or inside the margin, or
// at no known age, for the picture of the floor.
type stretch struct {
	a, b  floor.Point // the two cells
	along float64     // its length, m
	state day.EdgeState
	noAge bool
}

// edges looks back over the wet edges of zone i.
func (m *maker) edges(i int) Edges {
	none := noNum("nothing was joined")
	out := Edges{Least: none, LeastX: none, LeastY: none, LeastAt: When{NA: none.NA}}
	w := &walk{m: m, out: &out, at: map[[3]int]int{}, least: math.MaxInt64}
	m.state.EachJoint(i, w.joint)
	if w.least < math.MaxInt64 {
		out.Least = seconds(w.least)
	} else if out.NoAgeM > 0 {
		outside := noNum("edge life: outside the sheet")
		out.Least, out.LeastX, out.LeastY, out.LeastAt = outside, outside, outside, When{NA: outside.NA}
	}
	sortBy(out.Joins, func(a, b Join) bool { return a.At.Before(b.At) })
	m.bad = append(m.bad, w.bad)
	return out
}

type walk struct {
	m     *maker
	out   *Edges
	at    map[[3]int]int // old, new, state → place in Joins
	least time.Duration
	bad   []stretch
}

func (w *walk) joint(j day.Joint) {
	if !j.OK {
		w.out.NoAgeM += j.AlongM
		w.bad = append(w.bad, stretch{j.At, j.Beside, j.AlongM, day.Gone, true})
		return
	}
	w.out.JoinedM += j.AlongM
	margin := w.m.plan.Rules.EdgeMargin
	if slack := j.Left - margin; slack < w.least {
		w.least = slack
		w.out.LeastX, w.out.LeastY, w.out.LeastAt = num(j.At.X), num(j.At.Y), When{T: j.Joined}
	}
	state := day.AtRisk
	switch {
	case j.Left < 0:
		state = day.Gone
		w.out.LostM += j.AlongM
	case j.Left < margin:
		w.out.RiskM += j.AlongM
	default:
		return
	}
	w.bad = append(w.bad, stretch{j.At, j.Beside, j.AlongM, state, false})
	w.place(j, state)
}

// place adds a joint to the stretch between its two batches.
func (w *walk) place(j day.Joint, state day.EdgeState) {
	k := [3]int{j.Old, j.New, int(state)}
	age := j.Joined.Sub(j.Laid)
	i, ok := w.at[k]
	if !ok {
		i = len(w.out.Joins)
		w.at[k] = i
		w.out.Joins = append(w.out.Joins, Join{Old: j.Old, New: j.New, State: state.String(), X: j.At.X, Y: j.At.Y, At: j.Joined, AgeS: age.Seconds(), OverS: j.Left.Seconds()})
	}
	q := &w.out.Joins[i]
	q.LengthM += j.AlongM
	if j.Left.Seconds() < q.OverS {
		q.X, q.Y, q.At, q.AgeS, q.OverS = j.At.X, j.At.Y, j.Joined, age.Seconds(), j.Left.Seconds()
	}
}
