package day

import (
	"math"
	"time"

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

// Joined looks back over a zone: every pair of neighbours that both lie on the
// floor, the older one's age when the younger was laid, against its life.
func (s *State) Joined(zone int) Joins {
	z := &s.Zones[zone]
	j := Joins{Least: math.MaxInt64}
	blend := z.Floor.Blend.Name
	z.Floor.Path.EachPair(0, z.PosL, func(q path.Pair) {
		if z.behindBreak(path.EdgeCell{LaidL: q.LaidL, CloseL: q.CloseL}) {
			return
		}
		l, from, ok := z.laidAt(q.LaidL)
		_, to, ok2 := z.laidAt(q.CloseL)
		if !ok || !ok2 {
			return
		}
		cell := z.Floor.Path.CellAt(q.At)
		place := ""
		if cell >= 0 {
			place = s.place(z.Floor, cell)
		}
		life := s.life(s.blendOf(l, blend), "edge", place)
		used, ok := life.used(from, to)
		if !ok || !life.ok {
			return
		}
		j.OK = true
		left := life.end(used+l.Wasted, to).Sub(to)
		if slack := left - s.Plan.Rules.EdgeMargin; slack < j.Least {
			j.Least, j.X, j.Y, j.At = slack, q.At.X, q.At.Y, to
		}
		along := 0.0
		if cell >= 0 {
			along, _ = z.Floor.Path.Size(cell)
		}
		switch {
		case left < 0:
			j.LostM += along
		case left < s.Plan.Rules.EdgeMargin:
			j.RiskM += along
		}
	})
	return j
}

// Totals counts the batches and kits of the whole day.
type Totals struct {
	Poured, Scrapped, OnTheWay int
	Usable, Left               int // kits, all blends
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
	for i := range s.Plan.Sheet.Blends {
		t.Usable += s.Plan.Usable(&s.Plan.Sheet.Blends[i])
	}
	t.Left = max(0, t.Usable-t.Poured-t.Scrapped-t.OnTheWay)
	return t
}
