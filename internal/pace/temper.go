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
	Fits    bool // the slab and every spot are inside the blend's range and tables
	Band    Band // of the zone that is hardest to hold
	Zone    string
	Holds   bool          // every zone's band is open and every bucket lives
	Dwells  bool          // buckets live long enough by the plan's own handling
	Dwell   time.Duration // the longest a batch is on the way, from its reaction on
	OnHand  bool          // the plan lists some kits of it, or lists no kits at all
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
	SpotC []float64 // its spots, by index in the zone's Spots, NaN as the slab; nil: as the slab
}

// All is every zone from its start, with its spots by the plan's first readings.
func All(p *plan.Plan, floors []*Zone) []Ahead {
	out := make([]Ahead, len(floors))
	for i, f := range floors {
		out[i] = Ahead{Zone: f, SpotC: GroundOf(p, f.Index).SpotC}
	}
	return out
}

// Advise judges every blend at the temperatures g, each zone with its own spots,
// from start on, for the zones given, and says what to do. It never chooses for the crew what the
// sheet forbids.
func Advise(p *plan.Plan, ahead []Ahead, h Hands, g Ground, start time.Time) TempAdvice {
	var a TempAdvice
	g.SpotC = nil
	for _, part := range ahead { // the coldest and warmest of all that is still to be poured
		g.SpotC = append(g.SpotC, part.SpotC...)
	}
	for i := range p.Sheet.Blends {
		a.Cases = append(a.Cases, judgeBlend(p, ahead, &p.Sheet.Blends[i], h, g, start))
	}
	plain, fast := a.best(false), a.best(true)
	switch {
	case math.IsNaN(g.SlabC):
		a.say(ReadingsDue, nil, "READ THE SLAB", "no slab temperature: take a reading before the first batch")
	case plain != nil && plain.works():
		a.sayPace(p, PourPlain, plain, nil)
	case fast != nil && fast.works():
		a.sayPace(p, PourFast, fast, plain)
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

// works says whether a blend can be poured, is there to be poured, and opens in time.
func (k *BlendCase) works() bool { return k.OnHand && k.Fits && k.Holds && k.Met }

func score(c *BlendCase) int {
	n := 0
	for _, yes := range []bool{c.Met, c.Holds, c.Fits, c.OnHand} { // what is on hand counts most
		n = n / 2
		if yes {
			n += 8
		}
	}
	return n
}

// sayPace is said for the blend that holds and opens in time; other is the plain
// blend when it was passed over.
func (a *TempAdvice) sayPace(p *plan.Plan, c Choice, k, other *BlendCase) {
	slow, quick := Interval(k.Band.Needed), Interval(k.Band.Limit)
	words := fmt.Sprintf("%s: a batch no later than every %s (edge), no sooner than every %s (%s)",
		k.Blend.Name, units.Clock(slow), units.Clock(quick), k.Band.LimitPost)
	if slow == 0 {
		words = fmt.Sprintf("%s: no edge has to wait, a batch no sooner than every %s (%s)", k.Blend.Name, units.Clock(quick), k.Band.LimitPost)
	}
	words += readyWords(p, k)
	short := "POUR AT PLAN PACE"
	switch {
	case c == PourFast:
		short = "USE " + strings.ToUpper(k.Blend.Name)
		if other != nil {
			words += "; " + other.whyNot(p)
		}
	case slow > 2*quick: // the edge waits at least twice as long as the crew needs
		short = "SLOWER PACE HOLDS"
	}
	a.say(c, k.Blend, short, words)
}

// whyNot says in a few words why a blend was passed over.
func (k *BlendCase) whyNot(p *plan.Plan) string {
	name := k.Blend.Name
	switch {
	case !k.OnHand:
		return name + ": none on hand"
	case k.Band.Missing != "":
		return name + ": " + k.Band.Missing
	case !k.Fits:
		return name + ": the slab is outside its range of " + rangeWords(p, k.Blend)
	case !k.Band.Holds():
		return fmt.Sprintf("%s: the edge needs a batch every %s", name, units.Clock(Interval(k.Band.Needed)))
	case !k.Dwells:
		return fmt.Sprintf("%s: buckets are past %s when poured", name, units.Clock(k.Band.DwellLimit))
	case !k.ReadyOK:
		return name + ": no cure figure for " + p.OpeningUse
	}
	return fmt.Sprintf("%s: %s only from %s", name, p.OpeningUse, stamp(k.Ready))
}

func rangeWords(p *plan.Plan, b *sheet.Blend) string {
	return units.Format(units.Temp, b.SlabMinC, p.Units) + " to " + units.Format(units.Temp, b.SlabMaxC, p.Units)
}

func readyWords(p *plan.Plan, k *BlendCase) string {
	if !k.ReadyOK {
		return "; no cure figure for " + p.OpeningUse
	}
	word := "in time"
	if !k.Met {
		word = "TOO LATE for " + stamp(p.Opening)
		if p.Inspection > 0 {
			word += " less " + units.Hours(p.Inspection) + " inspection"
		}
	}
	return fmt.Sprintf("; %s from %s, %s", p.OpeningUse, stamp(k.Ready), word)
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
	temp := func(c float64) string { return units.Format(units.Temp, c, p.Units) }
	switch cold, warm := g.Coldest(), g.Warmest(); {
	case cold < lo:
		a.say(HeatFirst, nil, "HEAT FIRST", fmt.Sprintf("slab %s is below every blend (from %s): heat, and read again", temp(cold), temp(lo)))
	case warm > hi:
		a.say(CoolFirst, nil, "COOL FIRST", fmt.Sprintf("slab %s is above every blend (up to %s): cool or shade, and read again", temp(warm), temp(hi)))
	case !k.OnHand:
		a.say(DoNotPour, nil, "DO NOT POUR", k.whyNot(p))
	case k.Band.Missing != "" && k.Band.EdgeLife > 0: // the edge has its figure, the buckets have none
		a.sayNoBucket(k, g)
	case !k.Fits || k.Band.Missing != "":
		a.say(DoNotPour, nil, "DO NOT POUR", k.whyNot(p))
	case k.Holds && !k.ReadyOK:
		a.say(DoNotPour, k.Blend, "NO CURE FIGURE", fmt.Sprintf("%s holds, but the sheet has no cure to %s at %s: get the figure first",
			k.Blend.Name, p.OpeningUse, temp(CureTempC(p, g.SlabC))))
	case k.Holds: // only the opening is missed
		a.say(HeatFirst, k.Blend, "HEAT FOR THE OPENING", fmt.Sprintf("%s holds, but cures too slowly at %s%s",
			k.Blend.Name, temp(CureTempC(p, g.SlabC)), readyWords(p, k)))
	case !k.Band.Holds():
		a.sayTooSlow(p, g, k)
	case !k.Dwells:
		a.sayBuckets(p, ahead, h, g, start, k)
	default:
		a.sayTooSlow(p, g, k)
	}
}

// sayNoBucket is said when the sheet gives no bucket life at the kits' temperature.
func (a *TempAdvice) sayNoBucket(k *BlendCase, g Ground) {
	if math.IsNaN(g.KitC) {
		a.say(ReadingsDue, nil, "READ THE KITS", "no kit temperature: take a reading before the first batch")
		return
	}
	lo, _, _ := k.Blend.BucketLife.Range()
	c, short, what := CoolFirst, "COOL THE KITS", "cool"
	if g.KitC < lo {
		c, short, what = HeatFirst, "WARM THE KITS", "warm"
	}
	a.say(c, k.Blend, short, fmt.Sprintf("%s: %s: %s the kits, and read again", k.Blend.Name, k.Band.Missing, what))
}

func (a *TempAdvice) sayTooSlow(p *plan.Plan, g Ground, k *BlendCase) {
	who, more := postWords(k.Band.LimitPost)
	ease := "cool first"
	if k.Blend.Accelerated && g.SlabC < plainFrom(p) {
		ease = "heat for " + p.Sheet.Plain().Name + " (from " + units.Format(units.Temp, plainFrom(p), p.Units) + ")"
	}
	needs := "the edge needs a batch every " + units.Clock(Interval(k.Band.Needed))
	if math.IsInf(k.Band.Needed, 1) {
		needs = "margin and turns use up the edge life of " + units.Clock(k.Band.EdgeLife)
	}
	can := fmt.Sprintf("%s one every %s", who, units.Clock(Interval(k.Band.Limit)))
	if k.Band.Limit == 0 {
		can = "no " + k.Band.LimitPost + " at work"
	}
	words := fmt.Sprintf("%s: %s, %s: %s, %s, pull narrower or do not pour", k.Blend.Name, needs, can, ease, more)
	if !k.Dwells {
		words += fmt.Sprintf("; a batch is also %s old when poured at the furthest, the limit is %s", units.Clock(k.Dwell), units.Clock(k.Band.DwellLimit))
	}
	a.say(PourFaster, k.Blend, "CREW TOO SLOW", words)
}

// postWords says what a post does, and what more of it is.
func postWords(post string) (who, more string) {
	switch post {
	case "mixers", "runners", "buckets":
		return "the " + post + " give", "add a " + strings.TrimSuffix(post, "s")
	case "rake":
		return "the raker gives", "add a raker"
	case "roll":
		return "the spike roller gives", "add a spike roller"
	}
	return "the broadcast gives", "add hands at the broadcast"
}

// plainFrom is the lowest slab temperature of the plain blend, °C; −Inf when the
// sheet has none.
func plainFrom(p *plan.Plan) float64 {
	if b := p.Sheet.Plain(); b != nil {
		if lo, _, ok := blendRange(b); ok {
			return lo
		}
	}
	return math.Inf(-1)
}

// sayBuckets is said when the edge holds but the buckets die on the way.
func (a *TempAdvice) sayBuckets(p *plan.Plan, ahead []Ahead, h Hands, g Ground, start time.Time, k *BlendCase) {
	words := fmt.Sprintf("%s: a batch is %s old when poured at the furthest, the limit is %s", k.Blend.Name, units.Clock(k.Dwell), units.Clock(k.Band.DwellLimit))
	if cool := p.Readings.CoolerKitC; !math.IsNaN(cool) && cool < g.KitC {
		cooler := g
		cooler.KitC = cool
		if c := judgeBlend(p, ahead, k.Blend, h, cooler, start); c.Holds && c.Met {
			a.say(CoolerKits, k.Blend, "USE THE COOLER KITS", fmt.Sprintf("%s; with kits at %s the limit is %s%s",
				words, units.Format(units.Temp, cool, p.Units), units.Clock(c.Band.DwellLimit), readyWords(p, &c)))
			return
		}
	}
	do := k.Band.nearer(p.Units)
	if k.Band.CarryMost >= leastCarryM {
		do = "cool the kits, or " + do
	}
	a.say(CoolFirst, k.Blend, "COOL THE KITS", words+": "+do)
}

// slabRange is the widest range of slab temperatures over all blends, °C.
func slabRange(p *plan.Plan) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for i := range p.Sheet.Blends {
		if a, z, ok := blendRange(&p.Sheet.Blends[i]); ok {
			lo, hi = math.Min(lo, a), math.Max(hi, z)
		}
	}
	return lo, hi
}

// blendRange is the slab temperatures that a blend may go on and that its edge
// lives cover, °C.
func blendRange(b *sheet.Blend) (lo, hi float64, ok bool) {
	lo, hi, ok = b.EdgeLife.Range()
	if ok && b.SlabMaxC > b.SlabMinC {
		lo, hi = math.Max(lo, b.SlabMinC), math.Min(hi, b.SlabMaxC)
	}
	return lo, hi, ok
}

func judgeBlend(p *plan.Plan, ahead []Ahead, b *sheet.Blend, h Hands, g Ground, start time.Time) BlendCase {
	k := BlendCase{
		Blend: b, Fits: b.FitsSlab(g.Coldest()) && b.FitsSlab(g.Warmest()), Holds: true, Dwells: true, Ends: start,
		OnHand: len(p.Lots) == 0 || p.Usable(b) > 0,
	}
	worst := math.Inf(-1)
	for i, part := range ahead {
		f, zg := part.Zone, g
		zg.SpotC = part.SpotC
		if i > 0 {
			k.Ends = k.Ends.Add(f.Z.Move)
		}
		band := f.Band(b, h, zg, part.FromL)
		if hard := band.Needed / band.Limit; hard > worst || band.Missing != "" && k.Band.Missing == "" || i == 0 {
			worst, k.Band, k.Zone = hard, band, f.Z.Name
		}
		if d := f.worstDwell(b, part.FromL); d > k.Dwell {
			k.Dwell = d
		}
		k.Dwells = k.Dwells && (b.BucketLife.Empty() || k.Dwell <= band.DwellLimit)
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
