package day

import (
	"fmt"
	"sort"
	"strconv"
	"strings"

	"floorpace/internal/plan"
	"floorpace/internal/sheet"
	"floorpace/internal/units"
)

// LotsView is which lots are in use and what is left of them.
type LotsView struct {
	InUse  []LotUse
	Refuse string // why the next batch may not start with them; "" when it may
	Warn   string // a panel that it would begin takes more than a lot has left; "" when not
	Left   []LotLeft
	Panels []PanelLots // of the zone looked at
	Gone   string      // a part of which nothing is left by the plan, while others are; "" for none
}

// LotUse is the lot of one part that the next batch will take.
type LotUse struct{ Part, Lot string }

// LotLeft is what is left of a part under one lot, in kits.
type LotLeft struct {
	Lot, Part string
	Kits      int
}

// lotsUsed counts the kits opened of each part of each lot.
func (s *State) lotsUsed() map[string]int {
	same := map[string]int{} // batches by their lots: few differ, and only those need reading
	for i := range s.Batches {
		same[s.Batches[i].Lots]++
	}
	used := map[string]int{} // lot/part → kits
	for lots, n := range same {
		for part, lot := range pairs(lots) {
			used[lot+"/"+part] += n
		}
	}
	return used
}

// lotsInUse is the lot of each part for the next batch: the one last opened by
// a press while it lasts, else the one that lies where it goes, in a zone or
// panel in which lots must not mix, or that the plan's lots are best spread by,
// else the first in the plan that still has some.
func (s *State) lotsInUse(blend string, zone int) string {
	b := s.Plan.Sheet.Blend(blend)
	if b == nil || len(s.Plan.Lots) == 0 {
		return ""
	}
	used := s.lotsUsed()
	own := map[string]string{}
	if zone >= 0 {
		next := s.landings(zone, 1).next
		for _, a := range s.lotAreas(zone, next) {
			for part, lot := range s.areaLots(a) {
				if _, has := own[part]; !has {
					own[part] = lot
				}
			}
			for part, lot := range s.spreadLots(a) { // nothing is there yet
				if _, has := own[key(part)]; !has {
					own[key(part)] = key(lot)
				}
			}
		}
	}
	var out []string
	for _, part := range b.Parts {
		lot := s.lotOf(part.Name, b, used, own)
		if lot != "" {
			out = append(out, key(part.Name)+"="+key(lot))
		}
	}
	return strings.Join(out, " ")
}

func (s *State) lotOf(part string, b *sheet.Blend, used map[string]int, own map[string]string) string {
	opened := s.Lots[part]
	first := ""
	for i := range s.Plan.Lots {
		l := &s.Plan.Lots[i]
		if l.Blend != "" && l.Blend != b.Name || l.Parts[part] <= used[key(l.Name)+"/"+key(part)] {
			continue
		}
		if l.Name == opened {
			return opened
		}
		if first == "" || key(l.Name) == own[key(part)] {
			first = l.Name
		}
	}
	if first == "" || opened != "" && !s.lotKnown(opened) {
		return opened // a lot the plan does not count, or all of them opened
	}
	return first
}

// oneLotLeft is how many kits are left of the lots that a zone is laid with; ok is
// false where lots may mix or none are counted.
func (s *State) oneLotLeft(zone int, b *sheet.Blend) (n int, ok bool) {
	a := lotArea{zone, -1}
	if !s.Plan.Zones[zone].OneLot || s.mixable(a) || len(s.Plan.Lots) == 0 {
		return 0, false
	}
	down, next, used := s.areaLots(a), pairs(s.lotsInUse(b.Name, zone)), s.lotsUsed()
	for _, q := range b.Parts {
		part := key(q.Name)
		lot, is := down[part]
		if !is {
			lot = next[part]
		}
		for i := range s.Plan.Lots {
			l := &s.Plan.Lots[i]
			if key(l.Name) != lot || l.Parts[q.Name] == 0 {
				continue
			}
			if left := max(0, l.Parts[q.Name]-used[lot+"/"+part]); !ok || left < n {
				n, ok = left, true
			}
		}
	}
	return n, ok
}

func (s *State) lotKnown(name string) bool {
	for i := range s.Plan.Lots {
		if s.Plan.Lots[i].Name == name {
			return true
		}
	}
	return false
}

// decideLot takes the lot of a part for the batches to come. Event.What is the
// part, "" for every part of the lot; Event.Text the lot, "" for the lot in use.
func (s *State) decideLot(p Press) ([]Event, error) {
	zone := s.lookedAt()
	if zone < 0 {
		return nil, refuse("every zone is closed")
	}
	b := s.blend(zone)
	known := p.What == ""
	for _, q := range b.Parts {
		known = known || q.Name == p.What
	}
	if !known {
		return nil, refuse("%q is not a part of %s", p.What, b.Name)
	}
	if p.Text == "" {
		return nil, refuse("name the lot")
	}
	var out []Event
	next := pairs(s.lotsInUse(b.Name, zone))
	for _, q := range b.Parts {
		if p.What == q.Name || p.What == "" && s.lotHas(p.Text, q.Name) {
			e := p
			e.What = q.Name
			out = append(out, e)
			next[key(q.Name)] = key(p.Text)
		}
	}
	if len(out) == 0 {
		return nil, refuse("the plan has no part under lot %q: name the part too", p.Text)
	}
	var all []string
	for part, lot := range next {
		all = append(all, part+"="+lot)
	}
	if s.Zone >= 0 {
		if why := s.mixesLots(s.Zone, strings.Join(all, " "), 1); why != "" {
			return nil, refuse("%s", why)
		}
	}
	return out, nil
}

func (s *State) lotHas(lot, part string) bool {
	for i := range s.Plan.Lots {
		if l := &s.Plan.Lots[i]; l.Name == lot && l.Parts[part] > 0 {
			return true
		}
	}
	return false
}

// lotsView is the lots for the next batch of a zone.
func (s *State) lotsView(zone int) LotsView {
	b := s.blend(zone)
	lots := s.lotsInUse(b.Name, zone)
	v := LotsView{Refuse: s.mixesLots(zone, lots, 1), Panels: s.panelLots(zone), Gone: s.partGone(b)}
	if v.Refuse == "" {
		v.Warn = s.beginsShort(zone, lots)
	}
	in := pairs(lots)
	used := s.lotsUsed()
	for _, q := range b.Parts {
		v.InUse = append(v.InUse, LotUse{q.Name, in[key(q.Name)]})
		for i := range s.Plan.Lots {
			if l := &s.Plan.Lots[i]; l.Parts[q.Name] > 0 && (l.Blend == "" || l.Blend == b.Name) {
				v.Left = append(v.Left, LotLeft{l.Name, q.Name, l.Parts[q.Name] - used[key(l.Name)+"/"+key(q.Name)]})
			}
		}
	}
	return v
}

// tallyTaken compares the empties since the last count with the batches
// started since; a part that does not match fences them.
func tallyTaken(s *State, e Event) {
	from, to := 1, s.nextBatch()-1
	if n := len(s.Tallies); n > 0 {
		from = s.Tallies[n-1].Batch + 1
	}
	s.Tallies = append(s.Tallies, Tally{At: e.At, Batch: to, Counts: e.Counts})
	if to < from {
		return
	}
	if off := s.tallyOff(e.Counts, to-from+1); off != "" {
		s.Fences = append(s.Fences, Fence{Since: e.At, Why: fenceCount, What: off, From: from, To: to})
	}
}

// tallyOff names the parts whose empties do not match the batches.
func (s *State) tallyOff(counts string, batches int) string {
	got := pairs(counts)
	var off []string
	for _, part := range sortedKeys(got) {
		if n, err := strconv.Atoi(got[part]); err == nil && n != batches {
			off = append(off, fmt.Sprintf("%s %d", part, n))
		}
	}
	if len(off) == 0 {
		return ""
	}
	return strings.Join(off, ", ") + " for " + units.Count(batches, "batch", "batches")
}

func sortedKeys(m map[string]string) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

// decideTally wants counts of parts that the sheet has.
func (s *State) decideTally(p Press) ([]Event, error) {
	got := pairs(p.Counts)
	if len(got) == 0 {
		return nil, refuse("a count names the parts, as A=10 B=10")
	}
	for part, n := range got {
		if v, err := strconv.Atoi(n); err != nil || v < 0 {
			return nil, refuse("%s=%s is not a count", part, n)
		}
		if !partOf(&s.Plan.Sheet, part) {
			return nil, refuse("%q is not a part of the sheet", part)
		}
	}
	return []Event{p}, nil
}

func partOf(s *sheet.Sheet, part string) bool {
	for i := range s.Blends {
		for _, q := range s.Blends[i].Parts {
			if key(q.Name) == part {
				return true
			}
		}
	}
	return false
}

// lotCondition warns that the next batch may not start with the lots there are.
func lotCondition(v *Snapshot, p *plan.Plan) condition {
	c := condition{id: "lot", grade: 2}
	l := &v.Lots
	switch {
	case len(p.Lots) == 0:
	case l.Refuse != "":
		c.what, c.why = "LOTS WOULD MIX", l.Refuse
	case l.Gone != "":
		c.what, c.why = "A PART IS GONE", l.Gone
	case l.Warn != "":
		c.what, c.why = "LOT TOO SMALL", l.Warn
	}
	c.on, c.off = c.what != "", c.what == ""
	return c
}
