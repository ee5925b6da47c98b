package day

import (
	"time"

	"floorpace/internal/pace"
)

// spotCells gives the cells of a zone that lie at spots, by row; kept, as the
// drawing does not change.
func (s *State) spotCells(f *pace.Zone) map[int][]int {
	if m, ok := s.atSpots[f]; ok {
		return m
	}
	m := map[int][]int{}
	for cell, k := range f.SpotOf {
		if k >= 0 {
			row := f.Path.Row(cell)
			m[row] = append(m[row], cell)
		}
	}
	if s.atSpots == nil {
		s.atSpots = map[*pace.Zone]map[int][]int{}
	}
	s.atSpots[f] = m
	return m
}

// spotWithin reports whether a part of spot k lies between two path volumes.
func (s *State) spotWithin(f *pace.Zone, k int, fromL, toL float64) bool {
	for _, cells := range s.spotCells(f) {
		for _, c := range cells {
			if v := f.Path.VolAt(c); int(f.SpotOf[c]) == k && v > fromL && v < toL {
				return true
			}
		}
	}
	return false
}

// windowAtSpots narrows the windows of a row where it crosses spots with a slab
// temperature of their own: the warm one shuts sooner, the cold one later.
func (s *State) windowAtSpots(w *RowWindow, zone int, now time.Time) {
	z := &s.Zones[zone]
	if len(z.Floor.Z.Spots) == 0 || len(s.Air.Spots) == 0 {
		return
	}
	for _, cell := range s.spotCells(z.Floor)[w.Row-1] {
		place := s.place(z.Floor, cell)
		l, at, ok := z.LaidAt(z.Floor.Path.VolAt(cell))
		if place == "" || !ok {
			continue
		}
		seen := now
		if at.After(now) {
			seen = at
		}
		ends := func(table string) (time.Time, bool) {
			c := s.life(s.blendOf(l, z.Floor.Blend.Name), table, place)
			u, ok := c.used(at, seen)
			return c.end(u, seen), ok && c.ok
		}
		if t, ok := ends("roll"); ok && w.HasRoll {
			w.RollFirst, w.RollLast = sooner(w.RollFirst, t), latest(w.RollLast, t)
		}
		if t, ok := ends("broadcast"); ok && w.HasBroad {
			w.BroadUntil = sooner(w.BroadUntil, t)
		}
		if t, ok := ends("broadcast from"); ok && w.HasBroad {
			w.BroadFrom = latest(w.BroadFrom, t)
		}
	}
	w.RollOff = w.HasRoll && now.After(w.RollLast)
	w.BroadcastOff = w.HasBroad && now.After(w.BroadUntil)
}

func sooner(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}
