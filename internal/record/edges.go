package record

import (
	"math"
	"sort"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/floor"
	"floorpace/internal/path"
	"floorpace/internal/sheet"
)

// aging runs an edge life under the temperatures of a place: share used up to
// each sample, so that any stretch is a difference.
type aging struct {
	from []time.Time
	rate []float64 // share a second from from[i] on; 0 outside the table
	sum  []float64 // used up to from[i]
	out  []float64 // seconds outside the table up to from[i]
	now  time.Duration
	ok   bool // the newest temperature lies inside the table
}

func newAging(t sheet.Table, temps []sheet.Sample) *aging {
	a := &aging{}
	for i, s := range temps {
		life, ok := t.At(s.TempC)
		a.ok, a.now = ok, life
		rate := 0.0
		if ok {
			rate = 1 / life.Seconds()
		}
		sum, out := 0.0, 0.0
		if i > 0 {
			d := s.At.Sub(a.from[i-1]).Seconds()
			sum = a.sum[i-1] + d*a.rate[i-1]
			if out = a.out[i-1]; a.rate[i-1] == 0 {
				out += d
			}
		}
		a.from, a.rate, a.sum, a.out = append(a.from, s.At), append(a.rate, rate), append(a.sum, sum), append(a.out, out)
	}
	return a
}

// upTo is the share used and the seconds outside the table since the first
// sample; the first one holds before itself too.
func (a *aging) upTo(t time.Time) (used, outside float64) {
	i := max(0, sort.Search(len(a.from), func(i int) bool { return a.from[i].After(t) })-1)
	d := t.Sub(a.from[i]).Seconds()
	if a.rate[i] == 0 {
		return a.sum[i], a.out[i] + d
	}
	return a.sum[i] + d*a.rate[i], a.out[i]
}

// used is Σ Δt / life(T) from from to to; false when some of it lies outside the
// table or nothing was read.
func (a *aging) used(from, to time.Time) (float64, bool) {
	if len(a.from) == 0 || !a.ok {
		return 0, false
	}
	u0, o0 := a.upTo(from)
	u1, o1 := a.upTo(to)
	return u1 - u0, o1-o0 < 1e-9
}

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
	w := &walk{m: m, z: &m.state.Zones[i], out: &out, ages: map[string]*aging{}, at: map[[3]int]int{}, least: math.MaxInt64}
	w.z.Floor.Path.EachPair(0, w.z.PosL, w.pair)
	if w.least < math.MaxInt64 {
		out.Least = seconds(w.least)
	} else if out.NoAgeM > 0 {
		out.Least, out.LeastX, out.LeastY, out.LeastAt = noNum("edge life: outside the sheet"), noNum("edge life: outside the sheet"), noNum("edge life: outside the sheet"), When{NA: "edge life: outside the sheet"}
	}
	sortBy(out.Joins, func(a, b Join) bool { return a.At.Before(b.At) })
	m.bad = append(m.bad, w.bad)
	return out
}

type walk struct {
	m     *maker
	z     *day.ZoneState
	out   *Edges
	ages  map[string]*aging
	at    map[[3]int]int // old, new, state → place in Joins
	least time.Duration
	bad   []stretch
}

func (w *walk) pair(q path.Pair) {
	for _, b := range w.z.Breaks { // given up for a straight cut
		if q.LaidL <= b && q.CloseL >= b {
			return
		}
	}
	l, from, ok := laidAt(w.z, q.LaidL)
	l2, to, ok2 := laidAt(w.z, q.CloseL)
	if !ok || !ok2 {
		return
	}
	p := w.z.Floor.Path
	cell := p.CellAt(q.At)
	along := 0.0
	if cell >= 0 {
		along, _ = p.Size(cell)
	}
	a := w.aging(l, cell)
	used, ok := a.used(from, to)
	if !ok {
		w.out.NoAgeM += along
		w.bad = append(w.bad, stretch{q.At, q.From, along, day.Gone, true})
		return
	}
	w.out.JoinedM += along
	left := time.Duration((1 - used - l.Wasted) * float64(a.now))
	margin := w.m.plan.Rules.EdgeMargin
	if slack := left - margin; slack < w.least {
		w.least = slack
		w.out.LeastX, w.out.LeastY, w.out.LeastAt = num(q.At.X), num(q.At.Y), When{T: to}
	}
	state := day.Joinable
	switch {
	case left < 0:
		state = day.Gone
		w.out.LostM += along
	case left < margin:
		state = day.AtRisk
		w.out.RiskM += along
	default:
		return
	}
	w.bad = append(w.bad, stretch{q.At, q.From, along, state, false})
	w.join(l.Batch, l2.Batch, state, along, q.At, to, to.Sub(from), left)
}

func (w *walk) join(old, young int, state day.EdgeState, along float64, p floor.Point, at time.Time, age, left time.Duration) {
	k := [3]int{old, young, int(state)}
	i, ok := w.at[k]
	if !ok {
		i = len(w.out.Joins)
		w.at[k] = i
		w.out.Joins = append(w.out.Joins, Join{Old: old, New: young, State: state.String(), X: p.X, Y: p.Y, At: at, AgeS: age.Seconds(), OverS: left.Seconds()})
	}
	j := &w.out.Joins[i]
	j.LengthM += along
	if left.Seconds() < j.OverS {
		j.X, j.Y, j.At, j.AgeS, j.OverS = p.X, p.Y, at, age.Seconds(), left.Seconds()
	}
}

// aging finds the running life for what lies at a cell.
func (w *walk) aging(l *day.Laying, cell int) *aging {
	f := w.z.Floor
	place := ""
	if cell >= 0 {
		if k := f.SpotOf[cell]; k >= 0 {
			name := f.Z.Name + "/" + f.Z.Spots[k].Name
			if _, read := w.m.state.Air.Spots[name]; read {
				place = name
			}
		}
	}
	bl := f.Blend
	if b := w.m.batchOf(l.Batch); b != nil {
		if x := w.m.plan.Sheet.Blend(b.Blend); x != nil {
			bl = x
		}
	}
	key := bl.Name + "\x00" + place
	a, ok := w.ages[key]
	if !ok {
		a = newAging(bl.EdgeLife, w.m.samples(place))
		w.ages[key] = a
	}
	return a
}

// laidAt is when the path volume vol went down, and with which batch: linear
// from pour to raked inside a batch.
func laidAt(z *day.ZoneState, vol float64) (*day.Laying, time.Time, bool) {
	i := sort.Search(len(z.Laid), func(i int) bool { return z.Laid[i].ToL >= vol })
	if i == len(z.Laid) {
		return nil, time.Time{}, false
	}
	l := &z.Laid[i]
	f := 0.0
	if d := l.ToL - l.FromL; d > 0 {
		f = math.Max(0, math.Min(1, (vol-l.FromL)/d))
	}
	return l, l.Start.Add(time.Duration(f * float64(l.End.Sub(l.Start)))), true
}
