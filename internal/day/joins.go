package day

import (
	"math"
	"time"

	"floorpace/internal/floor"
	"floorpace/internal/path"
)

// Joins says how the wet edges of a zone were really joined, looking back.
type Joins struct {
	OK    bool          // something was joined, and the sheet has the figures
	Least time.Duration // least life left, over the margin, of any edge when it was joined
	X, Y  float64       // where, m
	At    time.Time     // when
	RiskM float64       // length of edge joined inside the margin, m
	LostM float64       // length joined after its life, m
}

// Joint is one cell's edge that was joined: what lay there first, and what met
// it.
type Joint struct {
	Old, New     int           // batches
	At, Beside   floor.Point   // the middles of the two cells, the older first
	AlongM       float64       // length of the edge, m
	Laid, Joined time.Time     // when each of the two went down
	OK           bool          // the sheet has an edge life at every temperature in between
	Left         time.Duration // of the edge life when it was joined; below 0 it was over
}

// EachJoint goes through the wet edges of a zone, looking back: every pair of
// neighbours that both lie on the floor and that no stop line parts. The edge
// life left is that by the readings until it was joined; what was read later
// changes nothing.
func (s *State) EachJoint(zone int, visit func(Joint)) {
	z := &s.Zones[zone]
	blend := z.Floor.Blend.Name
	z.Floor.Path.EachPair(0, z.PosL, func(q path.Pair) {
		if z.behindBreak(path.EdgeCell{LaidL: q.LaidL, CloseL: q.CloseL}) {
			return
		}
		l, from, ok := z.LaidAt(q.LaidL)
		l2, to, ok2 := z.LaidAt(q.CloseL)
		if !ok || !ok2 {
			return
		}
		j := Joint{Old: l.Batch, New: l2.Batch, At: q.At, Beside: q.From, Laid: from, Joined: to}
		place := ""
		if cell := z.Floor.Path.CellAt(q.At); cell >= 0 {
			j.AlongM, _ = z.Floor.Path.Size(cell)
			place = s.place(z.Floor, cell)
		}
		life := s.life(s.blendOf(l, blend), "edge", place)
		if used, ok := life.used(from, to); ok {
			j.Left, j.OK = life.leftAt(used+l.Wasted, to)
		}
		visit(j)
	})
}

// Joined sums up a zone's wet edges, looking back.
func (s *State) Joined(zone int) Joins {
	out := Joins{Least: math.MaxInt64}
	margin := s.Plan.Rules.EdgeMargin
	s.EachJoint(zone, func(j Joint) {
		if !j.OK {
			return
		}
		out.OK = true
		if slack := j.Left - margin; slack < out.Least {
			out.Least, out.X, out.Y, out.At = slack, j.At.X, j.At.Y, j.Joined
		}
		switch {
		case j.Left < 0:
			out.LostM += j.AlongM
		case j.Left < margin:
			out.RiskM += j.AlongM
		}
	})
	return out
}

// Totals counts the batches and kits of the whole day.
type Totals struct {
	Poured, Scrapped, OnTheWay int
	Usable, Left               int // kits of the blends the zones are poured with
}

// Totals counts the day so far.
func (s *State) Totals() Totals {
	var t Totals
	for i := range s.Batches {
		switch b := &s.Batches[i]; {
		case b.Started.IsZero():
		case !b.Poured.IsZero():
			t.Poured++
		case !b.Scrapped.IsZero():
			t.Scrapped++
		default:
			t.OnTheWay++
		}
	}
	used, seen := s.partsUsed(), map[string]bool{}
	for i := range s.Zones {
		b := s.Zones[i].Floor.Blend
		if seen[b.Name] {
			continue
		}
		seen[b.Name] = true
		t.Usable += s.Plan.Usable(b)
		t.Left += s.Plan.UsableAfter(b, used)
	}
	return t
}

// partsUsed counts the parts of every batch that was started, in kits.
func (s *State) partsUsed() map[string]int {
	used := map[string]int{}
	for i := range s.Batches {
		b := &s.Batches[i]
		bl := s.Plan.Sheet.Blend(b.Blend)
		if b.Started.IsZero() || bl == nil {
			continue
		}
		for _, q := range bl.Parts {
			used[q.Name]++
		}
	}
	return used
}
