package day

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"floorpace/internal/floor"
	"floorpace/internal/pace"
	"floorpace/internal/sheet"
)

// PanelLots is a panel in which lots must not mix, and what lies in it.
type PanelLots struct {
	Name string
	X, Y float64  // a place for its name, off the middle, m
	Kits int      // by the plan
	Lots []LotUse // of each part, the first that went down there or is on its way
	Next bool     // the next batch goes there, at least in part
	Laid bool     // something is down
}

// Words are its name and its lots, each once: "P1 L1".
func (p *PanelLots) Words() string {
	w := []string{p.Name}
	for _, u := range p.Lots {
		if !slices.Contains(w[1:], u.Lot) {
			w = append(w, u.Lot)
		}
	}
	return strings.Join(w, " ")
}

// lotArea is a zone, or a panel of it, in which lots must not mix.
type lotArea struct{ zone, panel int } // panel -1: the whole zone

func (s *State) areaName(a lotArea) string {
	z := &s.Plan.Zones[a.zone]
	if a.panel < 0 {
		return "zone " + z.Name
	}
	return "panel " + z.Panels[a.panel].Name + " of zone " + z.Name
}

// piece is a stretch of path, litres.
type piece struct{ fromL, toL float64 }

// landing is where batches will lie when they are poured in the order of their
// numbers, holes first, at the rake's present drift.
type landing struct {
	way  map[int][]piece // by the number of a batch on the way
	next []piece         // of the next one
}

func (s *State) landings(zone int, share float64) landing {
	z := &s.Zones[zone]
	var free []piece
	for i := range z.Laid {
		if l := &z.Laid[i]; l.Bad && !l.Lifted.IsZero() {
			free = append(free, piece{l.FromL, l.ToL})
		}
	}
	free = append(free, piece{z.PosL, z.Floor.Path.TotalL()})
	take := func(l float64) (out []piece) {
		for len(free) > 0 && l > roundL {
			p := &free[0]
			n := math.Min(l, p.toL-p.fromL)
			if n > roundL {
				out = append(out, piece{p.fromL, p.fromL + n})
			}
			p.fromL, l = p.fromL+n, l-n
			if p.toL-p.fromL <= roundL {
				free = free[1:]
			}
		}
		return out
	}
	out := landing{way: map[int][]piece{}}
	for i := range s.Batches {
		b := &s.Batches[i]
		if b.Zone == zone && !b.Started.IsZero() && !b.Gone() {
			bl := s.Plan.Sheet.Blend(b.Blend)
			if bl == nil {
				bl = z.Floor.Blend
			}
			out.way[b.No] = take(s.Plan.NetYieldL(bl) * b.Share * z.drift())
		}
	}
	out.next = take(s.netL(zone) * share * z.drift())
	return out
}

// lotAreas are the zone or panels that pieces of its path lie in.
func (s *State) lotAreas(zone int, pieces []piece) (out []lotArea) {
	if s.Plan.Zones[zone].OneLot {
		return []lotArea{{zone, -1}}
	}
	for _, p := range pieces {
		for _, k := range s.Zones[zone].Floor.PanelsBetween(p.fromL, p.toL) {
			if a := (lotArea{zone, k}); !slices.Contains(out, a) {
				out = append(out, a)
			}
		}
	}
	return out
}

// areaLots is the lot of each part that went down first in an area, or is on its
// way there.
func (s *State) areaLots(a lotArea) map[string]string {
	out := map[string]string{}
	way := s.landings(a.zone, 1).way
	for i := range s.Batches {
		b := &s.Batches[i]
		if b.Zone != a.zone || b.Started.IsZero() || !b.Scrapped.IsZero() || !b.Lifted.IsZero() || !s.liesIn(a, b, way[b.No]) {
			continue
		}
		for part, lot := range pairs(b.Lots) {
			if _, has := out[part]; !has {
				out[part] = lot
			}
		}
	}
	return out
}

// spreadLots is the lot of each part that an area is best laid with, so that as
// many zones and panels as can be are served whole; nil when it cannot be.
func (s *State) spreadLots(a lotArea) map[string]string {
	if s.spread == nil {
		q := pace.SpreadLots(s.Plan, s.Floors)
		s.spread = &q
	}
	z := &s.Plan.Zones[a.zone]
	panel := ""
	if a.panel >= 0 {
		panel = z.Panels[a.panel].Name
	}
	for i := range s.spread.Zones {
		if q := &s.spread.Zones[i]; q.Zone == z.Name && q.Panel == panel {
			return q.Lots
		}
	}
	return nil
}

// liesIn reports whether a batch lies in an area, or will.
func (s *State) liesIn(a lotArea, b *Batch, way []piece) bool {
	if a.panel < 0 {
		return true
	}
	z := &s.Zones[a.zone]
	for i := range z.Laid {
		if l := &z.Laid[i]; l.Batch == b.No {
			way = append(slices.Clip(way), piece{l.FromL, l.ToL})
		}
	}
	return slices.Contains(s.lotAreas(a.zone, way), a)
}

// mixesLots says why the lots may not go where the next batch of a zone will lie,
// share of a kit big: another lot is down there, and nobody has overridden it.
// "" when they may.
func (s *State) mixesLots(zone int, lots string, share float64) string {
	if zone < 0 {
		return ""
	}
	next := s.landings(zone, share).next
	for _, a := range s.lotAreas(zone, next) {
		if s.mixable(a) {
			continue
		}
		down, use := s.areaLots(a), pairs(lots)
		for _, part := range sortedKeys(use) {
			if old, has := down[part]; has && old != use[part] {
				return fmt.Sprintf("%s takes %s of %s, not %s: it must not mix lots. Override it with name, role and reason, %s",
					s.areaName(a), old, part, use[part], s.orElse(a, next, share))
			}
		}
	}
	return ""
}

// orElse is the other way out beside an override: stop at a line, or a part
// batch that ends at the panel's edge.
func (s *State) orElse(a lotArea, next []piece, share float64) string {
	if end := s.endsBefore(a, next); end > 0 && share > end {
		return fmt.Sprintf("or a part batch of %.0f %% ends before it", math.Floor(100*end+0.05))
	}
	return "or stop at a line"
}

// leastPart is the smallest part batch that is worth weighing, share of a kit.
// Common practice, no source.
const leastPart = 0.1

// endsBefore is the share of a kit that lies before an area begins; 0 when the
// next batch lies in it from its start, or nearly.
func (s *State) endsBefore(a lotArea, next []piece) float64 {
	if a.panel < 0 || len(next) != 1 {
		return 0
	}
	z := &s.Zones[a.zone]
	edge, ok := z.Floor.PanelFrom(next[0].fromL, a.panel)
	if share := (edge - next[0].fromL) / (s.netL(a.zone) * z.drift()); ok && share >= leastPart {
		return share
	}
	return 0
}

// mixable reports whether mixing lots in an area was overridden on record.
func (s *State) mixable(a lotArea) bool {
	z := &s.Plan.Zones[a.zone]
	for i := range s.Overrides {
		e := &s.Overrides[i]
		if e.What == LotsMixed && (e.Zone == "" || e.Zone == z.Name && (e.Bay == "" || a.panel >= 0 && e.Bay == z.Panels[a.panel].Name)) {
			return true
		}
	}
	return false
}

// beginsShort says that the next batch would begin a panel with a lot that has
// not enough left for it, so that it would end mixed or bare; "" when not.
func (s *State) beginsShort(zone int, lots string) string {
	next := s.landings(zone, 1).next
	used, use := s.lotsUsed(), pairs(lots)
	for _, a := range s.lotAreas(zone, next) {
		if a.panel < 0 || len(s.areaLots(a)) > 0 || s.mixable(a) {
			continue
		}
		f := s.Zones[zone].Floor
		need := f.PanelKits(s.blend(zone), a.panel)
		for _, part := range sortedKeys(use) {
			for i := range s.Plan.Lots {
				l := &s.Plan.Lots[i]
				if key(l.Name) != use[part] {
					continue
				}
				for p, n := range l.Parts {
					if left := n - used[key(l.Name)+"/"+part]; key(p) == part && left < need {
						w := fmt.Sprintf("%s takes %s, lot %s has %d of %s left: open another lot first", s.areaName(a), pace.KitsOf(need), l.Name, max(0, left), p)
						if end := s.endsBefore(a, next); end > 0 {
							w += fmt.Sprintf(", or a part batch of %.0f %% ends before it", math.Floor(100*end+0.05))
						}
						return w
					}
				}
			}
		}
	}
	return ""
}

// panelLots is every panel of a zone with what lies in it.
func (s *State) panelLots(zone int) (out []PanelLots) {
	z := &s.Plan.Zones[zone]
	if len(z.Panels) == 0 {
		return nil
	}
	f := s.Zones[zone].Floor
	next := s.lotAreas(zone, s.landings(zone, 1).next)
	for k := range z.Panels {
		shape := z.Panels[k].Outline
		at := shape.Centroid() // fences and holes stand in the middle: halfway to its first corner
		if q := (floor.Point{X: (at.X + shape[0].X) / 2, Y: (at.Y + shape[0].Y) / 2}); shape.Contains(q) {
			at = q
		}
		a := lotArea{zone, k}
		q := PanelLots{Name: z.Panels[k].Name, X: at.X, Y: at.Y, Kits: f.PanelKits(s.blend(zone), k), Next: slices.Contains(next, a)}
		down := s.areaLots(a)
		for _, part := range sortedKeys(down) {
			q.Lots = append(q.Lots, LotUse{part, down[part]})
		}
		q.Laid = slices.Contains(f.PanelsBetween(-1, s.Zones[zone].PosL), k)
		out = append(out, q)
	}
	return out
}

// LotPlace is what one zone, or one panel of it, was laid with: every lot of one
// part that is down there, and the batches of each.
type LotPlace struct {
	Zone, Panel string // Panel "" for what lies in no panel, or for the whole zone
	Part, Lot   string
	Batches     []int
}

// LotPlaces says for every zone and panel which lots lie there, by the batches on
// the floor.
func (s *State) LotPlaces() (out []LotPlace) {
	for i := range s.Zones {
		z := &s.Zones[i]
		names := []string{""}
		for k := range z.Floor.Z.Panels {
			names = append(names, z.Floor.Z.Panels[k].Name)
		}
		for k, panel := range names {
			found := map[string]*LotPlace{}
			for j := range z.Laid {
				l := &z.Laid[j]
				b := s.batch(l.Batch)
				if b == nil || l.Bad && !l.Lifted.IsZero() || !z.inPanel(l, k-1) {
					continue
				}
				for part, lot := range pairs(b.Lots) {
					q := found[part+"/"+lot]
					if q == nil {
						q = &LotPlace{Zone: z.Floor.Z.Name, Panel: panel, Part: part, Lot: lot}
						found[part+"/"+lot] = q
					}
					if !slices.Contains(q.Batches, b.No) {
						q.Batches = append(q.Batches, b.No)
					}
				}
			}
			keys := make([]string, 0, len(found))
			for name := range found {
				keys = append(keys, name)
			}
			sort.Strings(keys)
			for _, name := range keys {
				out = append(out, *found[name])
			}
		}
	}
	return out
}

// inPanel reports whether a laying lies in a panel; -1 asks for what lies in none.
func (z *ZoneState) inPanel(l *Laying, panel int) bool {
	in := z.Floor.PanelsBetween(l.FromL, l.ToL)
	if panel < 0 {
		return len(in) == 0
	}
	return slices.Contains(in, panel)
}

// partGone names a part of a blend of which nothing is left by the plan while
// others still are: whole kits end with the part that has least.
func (s *State) partGone(b *sheet.Blend) string {
	var gone, left []string
	on := s.partsOnHand(b)
	for _, q := range b.Parts {
		switch n, counted := on[q.Name]; {
		case !counted:
		case n <= 0:
			gone = append(gone, q.Name)
		default:
			left = append(left, fmt.Sprintf("%s %d", q.Name, n))
		}
	}
	if len(gone) == 0 || len(left) == 0 {
		return ""
	}
	return fmt.Sprintf("no %s left by the plan; still there: %s. Find more of it, or stop at a line", strings.Join(gone, ", "), strings.Join(left, ", "))
}

// partsOnHand counts what is left of each part of a blend, in kits; a part of
// which the plan names no lot is not counted.
func (s *State) partsOnHand(b *sheet.Blend) map[string]int {
	out := map[string]int{}
	used := s.partsUsed()
	for i := range s.Plan.Lots {
		l := &s.Plan.Lots[i]
		if l.Blend != "" && l.Blend != b.Name {
			continue
		}
		for part, n := range l.Parts {
			if _, seen := out[part]; !seen {
				out[part] = -used[part]
			}
			out[part] += n
		}
	}
	return out
}
