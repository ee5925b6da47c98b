package day

import (
	"fmt"
	"strings"
	"time"

	"floorpace/internal/units"
)

// Fence is a piece of floor to keep off, and the batches under suspicion there.
type Fence struct {
	Since, Lifted time.Time // Lifted is zero while it stands
	Why           string
	What          string // one line of figures
	From, To      int    // batches suspected, both included; 0, 0 for a stop
}

// Reasons of fences beside those of a stop.
const (
	fenceCount = "count does not match"
	fenceBad   = "bad batch stays down"
)

// Counted says that the fence is about a count of empties that does not match,
// and is lifted by explaining it.
func (f *Fence) Counted() bool { return f.Why == fenceCount }

// FenceView is a fence with the places it covers.
type FenceView struct {
	Fence
	Places   []FencePlace // by zone and along the path; none when nothing is down
	AreaM2   float64      // of all of them
	OnTheWay []int        // suspected and not on the floor: do not pour
}

// FencePlace is one piece of floor without gaps inside one zone.
type FencePlace struct {
	Zone       string
	FromL, ToL float64 // path volume
	FromM, ToM float64 // along the pull from the zone's first edge, m
	Left0M     float64 // across, from the zone's left edge looking along the pull, m
	Left1M     float64
	Wide       bool // it reaches right across the zone
	AreaM2     float64
}

// Words says where a place lies: "zone A, 0.0 m to 2.3 m", and how far from the
// left where it does not reach right across.
func (p *FencePlace) Words(sys units.System) string {
	length := func(m float64) string { return units.FormatFixed(units.Length, m, sys, 2) }
	w := fmt.Sprintf("zone %s, %s to %s", p.Zone, length(p.FromM), length(p.ToM))
	if !p.Wide {
		w += fmt.Sprintf(" along, %s to %s from the left", length(p.Left0M), length(p.Left1M))
	}
	return w
}

// PlaceWords says where all of a list of places lie, "" for none.
func PlaceWords(ps []FencePlace, sys units.System) string {
	var out []string
	for i := range ps {
		out = append(out, ps[i].Words(sys))
	}
	return strings.Join(out, " and ")
}

// Places says where the batches from one number to another lie on the floor
// now, zone by zone: neighbours on the path are one place. What was lifted is
// no place.
func (s *State) Places(from, to int) (out []FencePlace) {
	for i := range s.Zones {
		z := &s.Zones[i]
		open := -1
		for j := range z.Laid {
			l := &z.Laid[j]
			if l.Batch < from || l.Batch > to || l.Bad && !l.Lifted.IsZero() {
				open = -1
				continue
			}
			if open < 0 {
				open = len(out)
				out = append(out, FencePlace{Zone: z.Floor.Z.Name, FromL: l.FromL})
			}
			out[open].ToL = l.ToL
		}
	}
	for i := range out {
		s.measure(&out[i])
	}
	return out
}

// measure fills in metres and area of a place.
func (s *State) measure(p *FencePlace) {
	if j := s.Plan.Zone(p.Zone); j >= 0 {
		f := s.Zones[j].Floor
		p.FromM, p.ToM, p.Left0M, p.Left1M = f.Path.Extent(p.FromL, p.ToL)
		_, _, _, most := f.Path.Extent(0, f.Path.TotalL())
		p.Wide = p.Left0M < f.Path.CellM() && p.Left1M > most-f.Path.CellM()
		p.AreaM2 = f.AreaBetween(p.FromL, p.ToL)
	}
}

// fences lists the fences that stand: counts that do not match, bad batches
// that stay down, and what a stop keeps everybody off.
func (s *State) fences(bad []BadView, now time.Time) (out []FenceView) {
	for i := range s.Fences {
		if f := &s.Fences[i]; f.Lifted.IsZero() {
			out = append(out, s.fenceOf(*f))
		}
	}
	seen := map[int]bool{}
	for i := range bad {
		if b := &bad[i]; b.Lifted.IsZero() && b.Late && !seen[b.Batch] {
			seen[b.Batch] = true
			out = append(out, s.fenceOf(Fence{Since: b.LiftUntil, Why: fenceBad, What: b.Why, From: b.Batch, To: b.Batch}))
		}
	}
	if s.Hold != nil && s.Hold.Stop {
		v := FenceView{Fence: Fence{Since: s.Hold.From, Why: s.Hold.Why, What: s.Hold.Where}}
		for i := range s.Zones {
			// What can be walked on by now needs no fence.
			if _, wet, _ := s.wet(i, now); wet {
				p := FencePlace{Zone: s.Zones[i].Floor.Z.Name, ToL: s.Zones[i].PosL}
				s.measure(&p)
				v.Places, v.AreaM2 = append(v.Places, p), v.AreaM2+p.AreaM2
			}
		}
		out = append(out, v)
	}
	return out
}

func (s *State) fenceOf(f Fence) FenceView {
	v := FenceView{Fence: f, Places: s.Places(f.From, f.To)}
	for i := range v.Places {
		v.AreaM2 += v.Places[i].AreaM2
	}
	for no := f.From; no <= f.To; no++ {
		if b := s.batch(no); b != nil && !b.Started.IsZero() && !b.Gone() {
			v.OnTheWay = append(v.OnTheWay, no)
		}
	}
	return v
}

// countCondition calls out a mismatch of the empties at once: what was mixed
// without a part never cures.
func countCondition(s *State, v *Snapshot) condition {
	c := condition{id: "count", grade: 1, off: true}
	for i := range v.Fences {
		f := &v.Fences[i]
		if !f.Counted() {
			continue
		}
		c.on, c.off, c.what = true, false, "COUNT DOES NOT MATCH"
		c.why = fmt.Sprintf("%s: batches %d to %d suspect", f.What, f.From, f.To)
		if len(f.Places) > 0 {
			c.why += ", down in " + PlaceWords(f.Places, s.Plan.Units)
		}
		if n := len(f.OnTheWay); n > 0 {
			c.why += fmt.Sprintf("; %d on the way: do not pour", n)
		}
		return c
	}
	return c
}
