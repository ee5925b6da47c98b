package pace

import (
	"fmt"
	"math"
	"strings"
	"time"

	"floorpace/internal/plan"
	"floorpace/internal/sheet"
	"floorpace/internal/units"
)

// BlendCase is one blend judged at the temperatures of the day, over all zones
// not yet poured.
type BlendCase struct {
	Blend   *sheet.Blend
	Fits    bool // the slab is inside the blend's range and tables
	Band    Band // of the zone that is hardest to hold
	Zone    string
	Holds   bool // every zone's band is open and every bucket lives
	Dwells  bool // buckets live long enough by the plan's own handling
	Ready   time.Time
	ReadyOK bool
	Met     bool // the opening is met
	Ends    time.Time
}

// Choice is what the temperatures call for.
type Choice uint8

// Choices, in the words of a crew.
const (
	PourPlain   Choice = iota // the plain blend, between two paces
	PourFast                  // the accelerated blend
	HeatFirst                 // too cold for any blend, or for the opening
	CoolFirst                 // too hot: cooler slab, or cooler kits
	CoolerKits                // cooler kits make the buckets live long enough
	PourFaster                // the edge needs more than the crew can do now
	DoNotPour                 // nothing on hand holds
	ReadingsDue               // no temperature, no figure
)

// TempAdvice is the advice on temperature: the cases side by side, the choice,
// and the words for it.
type TempAdvice struct {
	Cases  []BlendCase
	Choice Choice
	Short  string // at most four words
	Words  string
	Blend  *sheet.Blend // the blend the choice is about, nil for none
}

// Ahead is a zone, or what is left of it from FromL (litres of path) on.
type Ahead struct {
	Zone  *Zone
	FromL float64
}

// All is every zone from its start.
func All(floors []*Zone) []Ahead {
	out := make([]Ahead, len(floors))
	for i, f := range floors {
		out[i].Zone = f
	}
	return out
}

// Advise judges every blend at the temperatures g, from start on, for the
// zones given, and says what to do. It never chooses for the crew what the
// sheet forbids.
func Advise(p *plan.Plan, ahead []Ahead, h Hands, g Ground, start time.Time) TempAdvice {
	var a TempAdvice
	for i := range p.Sheet.Blends {
		a.Cases = append(a.Cases, judgeBlend(p, ahead, &p.Sheet.Blends[i], h, g, start))
	}
	plain, fast := a.best(false), a.best(true)
	switch {
	case math.IsNaN(g.SlabC):
		a.say(ReadingsDue, nil, "READ THE SLAB", "no slab temperature: take a reading before the first batch")
	case plain != nil && plain.Fits && plain.Holds && plain.Met:
		a.sayPace(p, PourPlain, plain)
	case fast != nil && fast.Fits && fast.Holds && fast.Met:
		a.sayPace(p, PourFast, fast)
	default:
		a.sayWhyNot(p, ahead, h, g, start, plain, fast)
	}
	return a
}

func (a *TempAdvice) say(c Choice, b *sheet.Blend, short, words string) {
	a.Choice, a.Blend, a.Short, a.Words = c, b, short, words
}

func (a *TempAdvice) best(accelerated bool) *BlendCase {
	var best *BlendCase
	for i := range a.Cases {
		c := &a.Cases[i]
		if c.Blend.Accelerated == accelerated && (best == nil || score(c) > score(best)) {
			best = c
		}
	}
	return best
}

func score(c *BlendCase) int {
	n := 0
	for _, yes := range []bool{c.Met, c.Holds, c.Fits} { // fits counts most
		n = n / 2
		if yes {
			n += 4
		}
	}
	return n
}

func (a *TempAdvice) sayPace(p *plan.Plan, c Choice, k *BlendCase) {
	slow, quick := Interval(k.Band.Needed), Interval(k.Band.Limit)
	words := fmt.Sprintf("%s: a batch no later than every %s (edge), no sooner than every %s (%s)",
		k.Blend.Name, units.Clock(slow), units.Clock(quick), k.Band.LimitPost)
	short := "POUR AT PLAN PACE"
	if c == PourFast {
		short = "USE " + strings.ToUpper(k.Blend.Name)
	} else if slow > 2*quick { // the edge waits at least twice as long as the crew needs
		short = "SLOWER PACE HOLDS"
	}
	a.say(c, k.Blend, short, words+readyWords(p, k))
}

func readyWords(p *plan.Plan, k *BlendCase) string {
	if !k.ReadyOK {
		return "; no cure figure for " + p.OpeningUse
	}
	word := "in time"
	if !k.Met {
		word = "TOO LATE"
	}
	return fmt.Sprintf("; %s from %s, %s", p.OpeningUse, k.Ready.Format("Mon 15:04"), word)
}

// sayWhyNot finds the words when no blend both holds and opens in time.
func (a *TempAdvice) sayWhyNot(p *plan.Plan, ahead []Ahead, h Hands, g Ground, start time.Time, plain, fast *BlendCase) {
	k := plain
	if k == nil || (fast != nil && score(fast) > score(k)) {
		k = fast
	}
	if k == nil {
		a.say(DoNotPour, nil, "DO NOT POUR", "the sheet has no blend")
		return
	}
	lo, hi := slabRange(p)
	slab := units.Format(units.Temp, g.SlabC, p.Units)
	switch {
	case g.SlabC < lo:
		a.say(HeatFirst, nil, "HEAT FIRST", fmt.Sprintf("slab %s is below every blend (from %s): heat, and read again", slab, units.Format(units.Temp, lo, p.Units)))
	case g.SlabC > hi:
		a.say(CoolFirst, nil, "COOL FIRST", fmt.Sprintf("slab %s is above every blend (up to %s): cool or shade, and read again", slab, units.Format(units.Temp, hi, p.Units)))
	case !k.Fits:
		a.say(DoNotPour, nil, "DO NOT POUR", fmt.Sprintf("%s: %s", k.Blend.Name, k.Band.Missing))
	case k.Holds: // only the opening is missed
		a.say(HeatFirst, k.Blend, "HEAT FOR THE OPENING", fmt.Sprintf("%s holds, but cures too slowly at %s%s", k.Blend.Name, slab, readyWords(p, k)))
	case !k.Dwells && !k.Band.Holds():
		a.sayTooSlow(k)
	case !k.Dwells:
		a.sayBuckets(p, ahead, h, g, start, k)
	default:
		a.sayTooSlow(k)
	}
}

func (a *TempAdvice) sayTooSlow(k *BlendCase) {
	a.say(PourFaster, k.Blend, "CREW TOO SLOW", fmt.Sprintf(
		"%s: the edge needs a batch every %s, the %s give one every %s: cool first, add a %s, pull narrower or do not pour",
		k.Blend.Name, units.Clock(Interval(k.Band.Needed)), k.Band.LimitPost, units.Clock(Interval(k.Band.Limit)), strings.TrimSuffix(k.Band.LimitPost, "s")))
}

// sayBuckets is said when the edge holds but the buckets die on the way.
func (a *TempAdvice) sayBuckets(p *plan.Plan, ahead []Ahead, h Hands, g Ground, start time.Time, k *BlendCase) {
	words := fmt.Sprintf("%s: a batch is %s old when poured, the limit is %s", k.Blend.Name, units.Clock(k.Band.Dwell), units.Clock(k.Band.DwellLimit))
	if cool := p.Readings.CoolerKitC; !math.IsNaN(cool) && cool < g.KitC {
		cooler := g
		cooler.KitC = cool
		if c := judgeBlend(p, ahead, k.Blend, h, cooler, start); c.Holds && c.Met {
			a.say(CoolerKits, k.Blend, "USE THE COOLER KITS", fmt.Sprintf("%s; with kits at %s the limit is %s%s",
				words, units.Format(units.Temp, cool, p.Units), units.Clock(c.Band.DwellLimit), readyWords(p, &c)))
			return
		}
	}
	a.say(CoolFirst, k.Blend, "COOL THE KITS", words+": cool the kits, or move the mix station to within "+
		units.Format(units.Length, k.Band.CarryMost, p.Units))
}

// slabRange is the widest range of slab temperatures over all blends, °C.
func slabRange(p *plan.Plan) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for i := range p.Sheet.Blends {
		b := &p.Sheet.Blends[i]
		a, z, ok := b.EdgeLife.Range()
		if !ok {
			continue
		}
		if b.SlabMaxC > b.SlabMinC {
			a, z = math.Max(a, b.SlabMinC), math.Min(z, b.SlabMaxC)
		}
		lo, hi = math.Min(lo, a), math.Max(hi, z)
	}
	return lo, hi
}

func judgeBlend(p *plan.Plan, ahead []Ahead, b *sheet.Blend, h Hands, g Ground, start time.Time) BlendCase {
	k := BlendCase{Blend: b, Fits: b.FitsSlab(g.SlabC), Holds: true, Dwells: true, Ends: start}
	worst := math.Inf(-1)
	for i, part := range ahead {
		f, zg := part.Zone, g
		if i > 0 {
			zg.SpotC = nil // spots belong to the zone being looked at
			k.Ends = k.Ends.Add(f.Z.Move)
		}
		band := f.Band(b, h, zg, part.FromL)
		if hard := band.Needed / band.Limit; hard > worst || band.Missing != "" && k.Band.Missing == "" || i == 0 {
			worst, k.Band, k.Zone = hard, band, f.Z.Name
		}
		k.Dwells = k.Dwells && (band.DwellLimit == 0 || f.worstDwell(b, part.FromL) <= band.DwellLimit)
		k.Holds = k.Holds && band.Holds()
		k.Ends = k.Ends.Add(time.Duration(Ceil((f.Path.TotalL()-part.FromL)/f.NetL(b))) * Interval(band.Limit))
	}
	k.Holds = k.Holds && k.Dwells && k.Fits
	cure := CureTempC(p, g.SlabC)
	k.Ready, k.ReadyOK = UsableAt(b, p.OpeningUse, k.Ends, []sheet.Sample{{At: k.Ends, TempC: cure}})
	k.Met = k.ReadyOK && !k.Ready.Add(p.Inspection).After(p.Opening)
	return k
}

// worstDwell is the longest dwell from fromL on: at the furthest carry.
func (f *Zone) worstDwell(b *sheet.Blend, fromL float64) time.Duration {
	most := time.Duration(0)
	for i := range worstDwellSteps + 1 {
		most = max(most, f.Dwell(b, fromL+(f.Path.TotalL()-fromL)*float64(i)/worstDwellSteps))
	}
	return most
}

// worstDwellSteps looks at the carry in forty places: the front moves by less
// than a metre between two of them on any floor one crew pours.
const worstDwellSteps = 40
