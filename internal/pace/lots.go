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

// Spread says which lot goes into which of the zones that must not mix lots,
// so that as many as can be are served whole.
type Spread struct {
	Zones []LotZone // those zones, in the order of the plan
	OK    bool      // every one is served whole, and the others have enough left
	Short string    // what is missing, "" when nothing is
}

// LotZone is one zone that wants a single lot of each part.
type LotZone struct {
	Zone  string
	Kits  int
	Lots  map[string]string // part → lot; nil when the zone cannot be served whole
	Words string            // "A from L1, B from L2", or what is short
}

// mostOneLot is up to how many such zones every choice is tried: a thousand
// choices, beyond any day's number of zones.
const mostOneLot = 10

// SpreadLots spreads the lots over the zones that must not mix them: the most
// zones served whole, then the most kits, then the earliest zones. Each part is
// packed by itself, since the lot of one part says nothing of another's.
func SpreadLots(p *plan.Plan, floors []*Zone) Spread {
	s := Spread{OK: true}
	var zones []*Zone
	for _, f := range floors {
		if f.Z.OneLot && len(zones) < mostOneLot {
			zones = append(zones, f)
		}
	}
	if len(zones) == 0 || len(p.Lots) == 0 {
		return s
	}
	kits := make([]int, len(zones))
	for i, f := range zones {
		kits[i] = f.TakeOff(f.Blend).Kits
	}
	best, bestLots := bestSet(p, zones, kits)
	left := lotCounts(p)
	for i := range zones {
		for part, lot := range bestLots[i] {
			left[part][lot] -= kits[i]
		}
	}
	var short []string
	for i, f := range zones {
		z := LotZone{Zone: f.Z.Name, Kits: kits[i]}
		if best&(1<<i) != 0 {
			z.Lots = bestLots[i]
			var words []string
			for _, q := range f.Blend.Parts {
				words = append(words, q.Name+" from "+z.Lots[q.Name])
			}
			z.Words = strings.Join(words, ", ")
		} else {
			z.Words = shortOf(f, kits[i], left, p)
			short = append(short, "zone "+f.Z.Name+": "+z.Words)
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
		words = append(words, "zone "+z.Zone+": "+z.Words)
	}
	return []Gate{{"lots", air.Go, strings.Join(words, "; ")}}
}

// bestSet tries every set of zones.
func bestSet(p *plan.Plan, zones []*Zone, kits []int) (best uint, lots []map[string]string) {
	bestKits := -1
	for set := uint(0); set < 1<<len(zones); set++ {
		sum := 0
		for i := range zones {
			if set&(1<<i) != 0 {
				sum += kits[i]
			}
		}
		n, m := bits.OnesCount(set), bits.OnesCount(best)
		if bestKits >= 0 && (n < m || n == m && sum <= bestKits) {
			continue
		}
		if l, ok := packSet(p, zones, kits, set); ok {
			best, bestKits, lots = set, sum, l
		}
	}
	return best, lots
}

// packSet packs every part of a set of zones into lots.
func packSet(p *plan.Plan, zones []*Zone, kits []int, set uint) ([]map[string]string, bool) {
	out := make([]map[string]string, len(zones))
	var parts []string
	for i, f := range zones {
		out[i] = map[string]string{}
		for _, q := range f.Blend.Parts {
			if set&(1<<i) != 0 && !contains(parts, q.Name) {
				parts = append(parts, q.Name)
			}
		}
	}
	counts := lotCounts(p)
	for _, part := range parts {
		var items []int
		for i, f := range zones {
			if set&(1<<i) != 0 && hasPart(f.Blend, part) {
				items = append(items, i)
			}
		}
		sort.SliceStable(items, func(a, b int) bool { return kits[items[a]] > kits[items[b]] })
		if !pack(p, zones, kits, items, part, counts[part], out) {
			return nil, false
		}
	}
	return out, true
}

// pack puts the zones in items into the lots of one part, largest first, the
// tightest lot that fits first, going back where it does not come out.
func pack(p *plan.Plan, zones []*Zone, kits, items []int, part string, left map[string]int, out []map[string]string) bool {
	if len(items) == 0 {
		return true
	}
	i := items[0]
	var fit []*plan.Lot
	for k := range p.Lots {
		l := &p.Lots[k]
		if (l.Blend == "" || l.Blend == zones[i].Blend.Name) && left[l.Name] >= kits[i] {
			fit = append(fit, l)
		}
	}
	sort.SliceStable(fit, func(a, b int) bool { return left[fit[a].Name] < left[fit[b].Name] })
	for _, l := range fit {
		left[l.Name] -= kits[i]
		out[i][part] = l.Name
		if pack(p, zones, kits, items[1:], part, left, out) {
			return true
		}
		left[l.Name] += kits[i]
	}
	delete(out[i], part)
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
			words = fmt.Sprintf("%d kits from one lot, the largest of %s left has %d (%s): %d short", kits, q.Name, most, name, short)
			if name == "" {
				words = fmt.Sprintf("%d kits from one lot, none of %s is left: %d short", kits, q.Name, short)
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
