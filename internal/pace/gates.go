package pace

import (
	"fmt"
	"math"

	"floorpace/internal/air"
	"floorpace/internal/plan"
	"floorpace/internal/slab"
	"floorpace/internal/units"
)

// Gate is one go/no-go question with its answer and the figures behind it.
type Gate struct {
	Name string
	Call air.Call
	Why  string
}

// Gates asks every go/no-go question of a plan with the temperatures given, one
// ground for each floor. What the sheet sets no limit for is not asked.
func Gates(p *plan.Plan, floors []*Zone, grounds []Ground, airC, humidity float64) []Gate {
	if len(floors) == 0 {
		return nil
	}
	out := WeatherGates(p, floors, grounds, airC, humidity)
	add := func(gs ...Gate) { out = append(out, gs...) }
	add(slabGates(p, floors)...)
	for i, f := range floors {
		add(f.bandGate(grounds[i]), f.dwellGate(grounds[i]))
	}
	add(kitGates(p, floors)...)
	add(lotGates(p, floors)...)
	return out
}

// WeatherGates are the questions whose answers change through the day: dew
// margin, air, kits, humidity and the gap between slab and kits.
func WeatherGates(p *plan.Plan, floors []*Zone, grounds []Ground, airC, humidity float64) []Gate {
	g := grounds[0] // slab and kits are read once for the job, spots for each zone
	var out []Gate
	add := func(gs ...Gate) { out = append(out, gs...) }
	add(dewGates(p, floors, grounds, airC, humidity)...)
	l := &p.Sheet.Limits
	add(rangeGate(p, "air temperature", airC, l.AirMinC, l.AirMaxC)...)
	add(rangeGate(p, "kit temperature", g.KitC, l.KitMinC, l.KitMaxC)...)
	f := func(k units.Kind, v float64) string { return units.Format(k, v, p.Units) }
	if top := l.HumidityMax; top > 0 {
		add(mostGate("humidity", humidity, top, f(units.Share, humidity)+", the sheet allows up to "+f(units.Share, top)))
	}
	if gap := math.Abs(g.SlabC - g.KitC); l.SlabKitGapC > 0 {
		add(mostGate("slab to kit", gap, l.SlabKitGapC, f(units.TempDiff, gap)+" apart, the sheet allows "+f(units.TempDiff, l.SlabKitGapC)))
	}
	return out
}

// Go reports whether no gate says stop.
func Go(gates []Gate) bool {
	for _, g := range gates {
		if g.Call == air.Stop {
			return false
		}
	}
	return true
}

func callIf(ok bool) air.Call {
	if ok {
		return air.Go
	}
	return air.Stop
}

// DewRule is the plan's dew margin: the sheet's own, else 3 °C.
func DewRule(p *plan.Plan) air.Rule {
	if p.Sheet.Limits.DewMarginC > 0 {
		return air.Rule(p.Sheet.Limits.DewMarginC)
	}
	return air.ThreeC
}

// Instruments are the stated errors of the plan's thermometers and hygrometer.
func Instruments(p *plan.Plan) air.Instruments {
	return air.Instruments{SlabC: p.Rules.TempErrorC, AirC: p.Rules.TempErrorC, RH: p.Rules.RHError}
}

func dewGates(p *plan.Plan, floors []*Zone, grounds []Ground, airC, humidity float64) []Gate {
	g := grounds[0]
	if math.IsNaN(g.SlabC) || math.IsNaN(airC) || math.IsNaN(humidity) {
		return []Gate{{"dew margin", air.Stop, "slab, air and humidity must be read first"}}
	}
	judge := func(name string, slabC float64) Gate {
		v, err := air.Judge(slabC, airC, humidity, DewRule(p), Instruments(p))
		if err != nil {
			return Gate{name, air.Stop, err.Error()}
		}
		return Gate{name, v.Call, DewWords(p, v)}
	}
	out := []Gate{judge("dew margin", g.SlabC)}
	for k, f := range floors {
		for i, s := range f.Z.Spots {
			if i < len(grounds[k].SpotC) && !math.IsNaN(grounds[k].SpotC[i]) {
				out = append(out, judge("dew margin, "+f.Z.Name+" "+s.Name, grounds[k].SpotC[i]))
			}
		}
	}
	if cold := p.Rules.ColdestSlabC; !math.IsNaN(cold) && cold < g.SlabC {
		q := Gate{Name: "dew margin, coldest", Call: air.Stop}
		if v, err := air.JudgeThrough(g.SlabC, cold, airC, humidity, DewRule(p), Instruments(p)); err != nil {
			q.Why = err.Error()
		} else {
			q.Call, q.Why = v.Lowest.Call, "lowest slab through cure: "+DewWords(p, v.Lowest)
		}
		out = append(out, q)
	}
	return out
}

// DewWords says a dew margin in the crew's units. The margin is cut down, never
// up, to a hundredth, so that it never reads as the rule beside the word stop.
func DewWords(p *plan.Plan, v air.Verdict) string {
	f := func(k units.Kind, c float64) string { return units.Format(k, c, p.Units) }
	cut := math.Floor(units.To(units.TempDiff, v.MarginK, p.Units)*100+1e-7) / 100
	margin := units.FormatFixed(units.TempDiff, units.From(units.TempDiff, cut, p.Units), p.Units, 2)
	rule := v.Rule.String()
	if own := f(units.TempDiff, float64(v.Rule)); own != rule { // a rule of 3 °C in a plan in °F
		rule += " (" + own + ")"
	}
	return fmt.Sprintf("slab %s, %s %s, margin %s against %s", f(units.Temp, v.SlabC), v.Dew.Name(), f(units.Temp, v.Dew.C), margin, rule)
}

// mostGate asks that a reading stays at or below the sheet's figure.
func mostGate(name string, v, most float64, why string) Gate {
	if math.IsNaN(v) {
		return Gate{name, air.Amber, "not read; the sheet sets a limit"}
	}
	return Gate{name, callIf(v <= most+readSlack), why}
}

// readSlack forgives the rounding of a figure turned from °F or % and back.
const readSlack = 1e-9

func rangeGate(p *plan.Plan, name string, at, lo, hi float64) []Gate {
	if hi <= lo {
		return nil
	}
	span := units.Format(units.Temp, lo, p.Units) + " to " + units.Format(units.Temp, hi, p.Units)
	if math.IsNaN(at) {
		return []Gate{{name, air.Amber, "not read; the sheet asks for " + span}}
	}
	return []Gate{{name, callIf(at >= lo-readSlack && at <= hi+readSlack), units.Format(units.Temp, at, p.Units) + ", the sheet asks for " + span}}
}

// slabGates asks for slab moisture and profile where the sheet sets limits.
func slabGates(p *plan.Plan, floors []*Zone) (out []Gate) {
	l, r := &p.Sheet.Limits, &p.Readings
	area := 0.0
	for _, f := range floors {
		area += f.Path.AreaM2()
	}
	want, _ := slab.TestsFor(area)
	tests := func(c air.Call, why string) (air.Call, string) {
		if r.MoistureTests < want {
			return max(c, air.Amber), fmt.Sprintf("%s; %s of the %d this area asks for", why, units.Count(r.MoistureTests, "test", "tests"), want)
		}
		return c, why + "; " + units.Count(r.MoistureTests, "test", "tests")
	}
	if l.MVERMax > 0 {
		if math.IsNaN(r.MVER) {
			out = append(out, Gate{"slab moisture", air.Stop, fmt.Sprintf("no emission test; the sheet allows %.3g lb per 1000 ft² in 24 h (ASTM F1869)", l.MVERMax)})
		} else {
			c, why := tests(callIf(r.MVER <= l.MVERMax), fmt.Sprintf("%.2f lb per 1000 ft² in 24 h, the sheet allows %.3g (ASTM F1869)", r.MVER, l.MVERMax))
			out = append(out, Gate{"slab moisture", c, why})
		}
	}
	if l.SlabRHMax > 0 {
		if math.IsNaN(r.SlabRH) {
			out = append(out, Gate{"slab humidity", air.Stop, fmt.Sprintf("no test; the sheet allows %.0f %% (ASTM F2170)", 100*l.SlabRHMax)})
		} else {
			c, why := tests(callIf(r.SlabRH <= l.SlabRHMax), fmt.Sprintf("%.0f %%, the sheet allows %.0f %% (ASTM F2170)", 100*r.SlabRH, 100*l.SlabRHMax))
			out = append(out, Gate{"slab humidity", c, why})
		}
	}
	if l.CSPMax > 0 {
		if r.CSP == 0 {
			out = append(out, Gate{"profile", air.Stop, fmt.Sprintf("not judged; the sheet asks for CSP %d to %d (ICRI 310.2R)", l.CSPMin, l.CSPMax)})
		} else {
			why := fmt.Sprintf("CSP %d, the sheet asks for %d to %d (ICRI 310.2R)", r.CSP, l.CSPMin, l.CSPMax)
			out = append(out, Gate{"profile", callIf(slab.CheckProfile(r.CSP, l.CSPMin, l.CSPMax) == nil), why})
		}
	}
	return out
}

func (f *Zone) bandGate(g Ground) Gate {
	name := "wet edge, " + f.Z.Name
	b := f.Band(f.Blend, HandsOf(f.plan), g, 0)
	switch {
	case !b.OK:
		return Gate{name, air.Stop, b.Missing}
	case math.IsInf(b.Needed, 1):
		return Gate{name, air.Stop, "no pace saves the edge: margin and turns use up its life of " + units.Clock(b.EdgeLife)}
	case b.Needed == 0:
		return Gate{name, air.Go, "no edge has to wait"}
	}
	why := fmt.Sprintf("a batch at least every %s, the crew can do one every %s (%s)",
		units.Clock(Interval(b.Needed)), units.Clock(Interval(b.Limit)), b.LimitPost)
	if b.Holds() {
		return Gate{name, air.Go, why}
	}
	return Gate{name, air.Stop, fmt.Sprintf("%s: rows would wait %s of the %s allowed; widest pull %s at rows of %s",
		why, units.Clock(b.NeededWait), units.Clock(b.EdgeLife-f.plan.Rules.EdgeMargin),
		units.Format(units.Length, b.WidestM, f.plan.Units), units.Format(units.Length, f.Z.RowDepthM, f.plan.Units))}
}

func (f *Zone) dwellGate(g Ground) Gate {
	name := "bucket, " + f.Z.Name
	if f.Blend.BucketLife.Empty() {
		return Gate{name, air.Amber, "the sheet gives no bucket life: nothing here says when a bucket is too old to pour; ask for the figure and write bucket_life"}
	}
	b := f.Band(f.Blend, HandsOf(f.plan), g, 0)
	if b.BucketLife == 0 {
		return Gate{name, air.Stop, f.missing("bucket life", g.KitC)}
	}
	worst := f.worstDwell(f.Blend, 0)
	why := fmt.Sprintf("%s old when poured at the furthest, limit %s", units.Clock(worst), units.Clock(b.DwellLimit))
	if worst <= b.DwellLimit {
		return Gate{name, air.Go, why}
	}
	return Gate{name, air.Stop, why + ": " + b.nearer(f.plan.Units)}
}

// leastCarryM is the shortest carry that is worth asking for: no mixer stands nearer
// to the front. Common practice, no source.
const leastCarryM = 1

// nearer says what place of the mix station would do for the bucket life.
func (b *Band) nearer(sys units.System) string {
	if b.CarryMost < leastCarryM {
		return "no mix station is near enough: cool the kits"
	}
	return "move the mix station to within " + units.Format(units.Length, b.CarryMost, sys)
}

// kitGates compares whole kits needed with the usable kits on hand.
func kitGates(p *plan.Plan, floors []*Zone) (out []Gate) {
	if len(p.Lots) == 0 {
		return []Gate{{"kits", air.Amber, "no lots in the plan: kits on hand are not known"}}
	}
	need, used := KitsNeeded(floors), map[string]int{}
	for i := range p.Sheet.Blends {
		b := &p.Sheet.Blends[i]
		n := need[b.Name]
		if n == 0 {
			continue
		}
		have := p.UsableAfter(b, used) // blends share their parts
		why := fmt.Sprintf("%d needed, %s on hand", n, units.Count(have, "whole kit", "whole kits"))
		if have < n {
			why += fmt.Sprintf(": %d short, say where to stop before starting", n-have)
		}
		out = append(out, Gate{"kits, " + b.Name, callIf(have >= n), why})
		for _, q := range b.Parts {
			used[q.Name] += n
		}
	}
	return out
}

// Grounds is the ground of every zone by the plan's first readings.
func Grounds(p *plan.Plan) []Ground {
	out := make([]Ground, len(p.Zones))
	for i := range out {
		out[i] = GroundOf(p, i)
	}
	return out
}

// GroundOf is the ground of zone i by the plan's first readings.
func GroundOf(p *plan.Plan, i int) Ground {
	g := Ground{SlabC: p.Readings.SlabC, KitC: p.Readings.KitC}
	z := &p.Zones[i]
	for _, s := range z.Spots {
		v := math.NaN()
		for _, r := range p.Readings.Spots {
			if r.Zone == z.Name && r.Spot == s.Name {
				v = r.SlabC
			}
		}
		g.SpotC = append(g.SpotC, v)
	}
	return g
}

// Coldest is the least of the ground's temperatures, °C.
func (g Ground) Coldest() float64 {
	least := g.SlabC
	for _, c := range g.SpotC {
		if c < least {
			least = c
		}
	}
	return least
}

// Warmest is the greatest of the ground's temperatures, °C.
func (g Ground) Warmest() float64 {
	most := g.SlabC
	for _, c := range g.SpotC {
		if c > most {
			most = c
		}
	}
	return most
}
