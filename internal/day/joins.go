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
