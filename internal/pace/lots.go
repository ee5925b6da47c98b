package pace

import (
	"fmt"
	"math/bits"
	"sort"
	"strings"

	"floorpace/internal/air"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
)

// Spread says which lot goes into which of the zones and panels that must not
// mix lots, so that as many as can be are served whole.
type Spread struct {
	Zones []LotZone // those zones and panels, in the order of the plan
	OK    bool      // every one is served whole, and the others have enough left
	Short string    // what is missing, "" when nothing is
}

// LotZone is one zone, or one panel of a zone, that wants a single lot of each
// part.
type LotZone struct {
	Zone  string
	Panel string // "" for the whole zone
	Kits  int
	Lots  map[string]string // part → lot; nil when the zone cannot be served whole
	Words string            // "A from L1, B from L2", or what is short
}

// Where says which zone or panel it is: "zone A, panel P1".
func (z *LotZone) Where() string {
	if z.Panel == "" {
		return "zone " + z.Zone
	}
	return "zone " + z.Zone + ", panel " + z.Panel
}

// mostOneLot is up to how many zones and panels every choice is tried: a thousand
// choices. Beyond that, when not all can be served, the smallest are served
// first, which serves the most of them, and then one is exchanged for a larger
// one as long as that comes out: rarely, two exchanged at once would lay more.
const mostOneLot = 10

// lotPlace is a zone or panel that wants one lot.
type lotPlace struct {
	f     *Zone
	panel int // -1 for the whole zone
	kits  int
}

// lotPlaces lists them in the order of the plan. A zone that wants one lot needs
// no word on its panels.
func lotPlaces(floors []*Zone) (out []lotPlace) {
	for _, f := range floors {
		if f.Z.OneLot {
			out = append(out, lotPlace{f, -1, f.TakeOff(f.Blend).Kits})
			continue
		}
		for k := range f.Z.Panels {
			out = append(out, lotPlace{f, k, f.PanelKits(f.Blend, k)})
		}
	}
	return out
}

// SpreadLots spreads the lots over the zones that must not mix them: the most
// zones served whole, then the most kits, then the earliest zones. Each part is
// packed by itself, since the lot of one part says nothing of another's.
func SpreadLots(p *plan.Plan, floors []*Zone) Spread {
	s := Spread{OK: true}
	zones := lotPlaces(floors)
	if len(zones) == 0 || len(p.Lots) == 0 {
		return s
	}
	served, bestLots := bestSet(p, zones)
	left := lotCounts(p)
	for i := range zones {
		for part, lot := range bestLots[i] {
			left[part][lot] -= zones[i].kits
		}
	}
	var short []string
	for i := range zones {
		f := zones[i].f
		z := LotZone{Zone: f.Z.Name, Kits: zones[i].kits}
		if k := zones[i].panel; k >= 0 {
			z.Panel = f.Z.Panels[k].Name
		}
		if served[i] {
			z.Lots = bestLots[i]
			var words []string
			for _, q := range f.Blend.Parts {
				words = append(words, q.Name+" from "+z.Lots[q.Name])
			}
			z.Words = strings.Join(words, ", ")
		} else {
			z.Words = shortOf(f, zones[i].kits, left, p)
			short = append(short, z.Where()+": "+z.Words)
			s.OK = false
		}
		s.Zones = append(s.Zones, z)
	}
	s.Short = strings.Join(short, "; ")
	return s
}

// lotGates asks whether the zones that must not mix lots can be served whole.
// A shortfall names the zone to leave, or to override on record.
func lotGates(p *plan.Plan, floors []*Zone) []Gate {
	s := SpreadLots(p, floors)
	if len(s.Zones) == 0 {
		return nil
	}
	if !s.OK {
		return []Gate{{"lots", air.Stop, s.Short}}
	}
	var words []string
	for _, z := range s.Zones {
		words = append(words, z.Where()+": "+z.Words)
	}
	return []Gate{{"lots", air.Go, strings.Join(words, "; ")}}
}

// bestSet finds which of the places are served whole and from which lots.
func bestSet(p *plan.Plan, zones []lotPlace) (served []bool, lots []map[string]string) {
	all := make([]bool, len(zones))
	for i := range all {
		all[i] = true
	}
	if l, ok := packSet(p, zones, all); ok {
		return all, l
	}
	if len(zones) > mostOneLot {
		served, lots := smallestFirst(p, zones)
		return served, exchange(p, zones, served, lots)
	}
	best, bestKits := uint(0), -1
	for set := range uint(1) << len(zones) {
		sum, in := 0, make([]bool, len(zones))
		for i := range zones {
			if in[i] = set&(1<<i) != 0; in[i] {
				sum += zones[i].kits
			}
		}
		n, m := bits.OnesCount(set), bits.OnesCount(best)
		if bestKits >= 0 && (n < m || n == m && sum <= bestKits) {
			continue
		}
		if l, ok := packSet(p, zones, in); ok {
			best, bestKits, served, lots = set, sum, in, l
		}
	}
	return served, lots
}

// smallestFirst serves one place after the other, the smallest first, as long as
// all of them come out.
func smallestFirst(p *plan.Plan, zones []lotPlace) (served []bool, lots []map[string]string) {
	order := make([]int, len(zones))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return zones[order[a]].kits < zones[order[b]].kits })
	served = make([]bool, len(zones))
	lots, _ = packSet(p, zones, served)
	for _, i := range order {
		served[i] = true
		if l, ok := packSet(p, zones, served); ok {
			lots = l
		} else {
			served[i] = false
		}
	}
	return served, lots
}

// exchange serves a larger place instead of a smaller one as long as that comes
// out, the most kits more first; as many as before are served.
func exchange(p *plan.Plan, zones []lotPlace, served []bool, lots []map[string]string) []map[string]string {
	type swap struct{ out, in, gain int }
	for {
		var swaps []swap
		for i := range zones {
			for j := range zones {
				if gain := zones[j].kits - zones[i].kits; served[i] && !served[j] && gain > 0 {
					swaps = append(swaps, swap{i, j, gain})
				}
			}
		}
		sort.SliceStable(swaps, func(a, b int) bool { return swaps[a].gain > swaps[b].gain })
		found := false
		for _, q := range swaps {
			served[q.out], served[q.in] = false, true
			if l, ok := packSet(p, zones, served); ok {
				lots, found = l, true
				break
			}
			served[q.out], served[q.in] = true, false
		}
		if !found {
			return lots
		}
	}
}

// packSet packs every part of the places in a set into lots.
func packSet(p *plan.Plan, zones []lotPlace, in []bool) ([]map[string]string, bool) {
	out := make([]map[string]string, len(zones))
	var parts []string
	for i := range zones {
		out[i] = map[string]string{}
		for _, q := range zones[i].f.Blend.Parts {
			if in[i] && !contains(parts, q.Name) {
				parts = append(parts, q.Name)
			}
		}
	}
	counts := lotCounts(p)
	for _, part := range parts {
		var items []int
		for i := range zones {
			if in[i] && hasPart(zones[i].f.Blend, part) {
				items = append(items, i)
			}
		}
		sort.SliceStable(items, func(a, b int) bool { return zones[items[a]].kits > zones[items[b]].kits })
		q := packing{p, zones, part, counts[part], out, mostTries}
		if !q.pack(items) {
			return nil, false
		}
	}
	return out, true
}

// mostTries bounds the going back of one part: beyond it a set counts as one that
// does not come out. Ten places in four lots are settled in a few hundred.
const mostTries = 20000

type packing struct {
	p     *plan.Plan
	zones []lotPlace
	part  string
	left  map[string]int
	out   []map[string]string
	tries int
}

// pack puts the places in items into the lots of one part, largest first, the
// tightest lot that fits first, going back where it does not come out.
func (q *packing) pack(items []int) bool {
	if len(items) == 0 {
		return true
	}
	if q.tries--; q.tries < 0 {
		return false
	}
	i := items[0]
	z := &q.zones[i]
	var fit []*plan.Lot
	for k := range q.p.Lots {
		l := &q.p.Lots[k]
		if (l.Blend == "" || l.Blend == z.f.Blend.Name) && q.left[l.Name] >= z.kits {
			fit = append(fit, l)
		}
	}
	sort.SliceStable(fit, func(a, b int) bool { return q.left[fit[a].Name] < q.left[fit[b].Name] })
	for _, l := range fit {
		q.left[l.Name] -= z.kits
		q.out[i][q.part] = l.Name
		if q.pack(items[1:]) {
			return true
		}
		q.left[l.Name] += z.kits
	}
	delete(q.out[i], q.part)
	return false
}

func lotCounts(p *plan.Plan) map[string]map[string]int {
	out := map[string]map[string]int{}
	for _, l := range p.Lots {
		for part, n := range l.Parts {
			if out[part] == nil {
				out[part] = map[string]int{}
			}
			out[part][l.Name] = n
		}
	}
	return out
}

// shortOf names the part of which the largest lot left falls short by most.
func shortOf(f *Zone, kits int, left map[string]map[string]int, p *plan.Plan) string {
	worst, words := 0, "no lot is left whole"
	for _, q := range f.Blend.Parts {
		most, name := 0, ""
		for _, l := range p.Lots {
			if (l.Blend == "" || l.Blend == f.Blend.Name) && left[q.Name][l.Name] > most {
				most, name = left[q.Name][l.Name], l.Name
			}
		}
		if short := kits - most; short > worst {
			worst = short
			words = fmt.Sprintf("%s from one lot, the largest of %s left has %d (%s): %d short", KitsOf(kits), q.Name, most, name, short)
			if name == "" {
				words = fmt.Sprintf("%s from one lot, none of %s is left: %d short", KitsOf(kits), q.Name, short)
			}
		}
	}
	return words
}

func hasPart(b *sheet.Blend, part string) bool {
	for _, q := range b.Parts {
		if q.Name == part {
			return true
		}
	}
	return false
}

func contains(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}
