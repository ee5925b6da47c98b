package pace

import (
	"fmt"
	"math"
	"strings"
	"time"

	"floorpace/internal/floor"
	"floorpace/internal/path"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
	"floorpace/internal/units"
)

// Report is everything a plan check says, in SI (m, m², L, °C, seconds,
// batches a minute) for the data form.
type Report struct {
	Title   string       `json:"title"`
	Go      bool         `json:"go"`
	Zones   []ZoneReport `json:"zones"`
	Kits    []KitReport  `json:"kits"`
	Gates   []GateReport `json:"gates"`
	Advice  AdviceReport `json:"advice"`
	Opening []UseReport  `json:"opening"`
	Orders  []string     `json:"orders,omitempty"` // orders in which the rooms can be poured
}

// ZoneReport is the take-off, path and band of one zone.
type ZoneReport struct {
	Zone       string    `json:"zone"`
	Blend      string    `json:"blend"`
	AreaM2     float64   `json:"area_m2"`
	VolumeL    float64   `json:"volume_l"`
	MeanDepthM float64   `json:"mean_depth_m"`
	LossL      float64   `json:"loss_l"`
	Kits       int       `json:"kits"`
	KitsExact  float64   `json:"kits_exact"`
	M2PerKit   float64   `json:"m2_per_kit"`
	Lines      []Amount  `json:"lines,omitempty"`
	Lives      LifeTable `json:"lives_s"`

	Rows         int     `json:"rows"`
	SpanM2       float64 `json:"largest_span_m2"`
	SpanX        float64 `json:"largest_span_x"`
	SpanY        float64 `json:"largest_span_y"`
	SpanWaitS    float64 `json:"largest_span_wait_s"` // at the crew's limit
	SpanLimitS   float64 `json:"span_limit_s"`        // edge life less margin
	Needed       float64 `json:"needed_per_min"`
	Limit        float64 `json:"limit_per_min"`
	LimitPost    string  `json:"limit_post"`
	Plain        float64 `json:"plain_per_min"` // width · front speed · depth / net yield of a kit
	WidthM       float64 `json:"width_m"`
	FrontMMin    float64 `json:"front_m_per_min"` // at the crew's limit
	NetL         float64 `json:"net_l_per_kit"`
	Posts        []Post  `json:"posts"`
	PatchM2      float64 `json:"patch_m2"`
	M2Min        float64 `json:"m2_per_min"`
	WidestM      float64 `json:"widest_pull_m"`
	DeepestM     float64 `json:"deepest_row_m"`
	DwellS       float64 `json:"dwell_s"`
	DwellLimitS  float64 `json:"dwell_limit_s"`
	CarryM       float64 `json:"carry_m"`
	CarryMostM   float64 `json:"carry_most_m"`
	BucketsMost  int     `json:"buckets_most"`
	PourS        float64 `json:"pour_s"` // from first start to last batch at the crew's limit
	Missing      string  `json:"missing,omitempty"`
	Holds        bool    `json:"holds"`
	Own          string  `json:"way"`      // how the plan lays it
	Best         string  `json:"best_way"` // the way that needs the slowest pace
	OwnSpanM2    float64 `json:"way_span_m2"`
	BestSpanM2   float64 `json:"best_way_span_m2"`
	PathAccuracy string  `json:"path_accuracy"`
}

// LifeTable is the lives at the temperatures of the day, seconds; 0 = no figure.
type LifeTable struct {
	Bucket    float64 `json:"bucket"`
	Edge      float64 `json:"edge"`
	Roll      float64 `json:"roll_until"`
	BroadFrom float64 `json:"broadcast_from"`
	Broad     float64 `json:"broadcast_until"`
}

// KitReport compares kits needed and on hand for one blend.
type KitReport struct {
	Blend  string `json:"blend"`
	Need   int    `json:"need"`
	Usable int    `json:"usable"`
}

// GateReport is one gate in words.
type GateReport struct {
	Name string `json:"name"`
	Call string `json:"call"`
	Why  string `json:"why"`
}

// AdviceReport is the advice on temperature.
type AdviceReport struct {
	Short string       `json:"short"`
	Words string       `json:"words"`
	Cases []CaseReport `json:"cases"`
}

// CaseReport is one blend judged.
type CaseReport struct {
	Blend   string    `json:"blend"`
	Fits    bool      `json:"fits_slab"`
	Holds   bool      `json:"holds"`
	Met     bool      `json:"opening_met"`
	Needed  float64   `json:"needed_per_min"`
	Limit   float64   `json:"limit_per_min"`
	EdgeS   float64   `json:"edge_life_s"`
	BucketS float64   `json:"bucket_life_s"`
	Ready   time.Time `json:"ready"`
	Missing string    `json:"missing,omitempty"`
}

// UseReport is when a zone may be put to a use.
type UseReport struct {
	Zone   string    `json:"zone"`
	Use    string    `json:"use"`
	At     time.Time `json:"at"`
	OK     bool      `json:"figure"` // false: outside the sheet
	Asked  bool      `json:"asked"`
	Latest time.Time `json:"latest_last_batch"`
	Ends   time.Time `json:"last_batch"`
}

// Check judges a whole plan by its own first readings.
func Check(p *plan.Plan, floors []*Zone) (Report, error) {
	r := Report{Title: p.Title}
	grounds := Grounds(p)
	gates := Gates(p, floors, grounds, p.Readings.AirC, p.Readings.Humidity)
	intervals := make([]time.Duration, len(floors))
	for i, f := range floors {
		z, err := f.report(grounds[i])
		if err != nil {
			return r, err
		}
		intervals[i] = Interval(z.Limit)
		r.Zones = append(r.Zones, z)
	}
	if g, ok := orderGate(p, &r); ok {
		gates = append(gates, g)
	}
	start := p.Handover.Add(p.Preparation)
	line := Timeline(p, floors, start, intervals, grounds[0].SlabC)
	gates = append(gates, exitGates(p, floors, line, CureTempC(p, grounds[0].SlabC))...)
	r.opening(p, floors, line, grounds[0].SlabC, &gates)
	need := KitsNeeded(floors)
	for i := range p.Sheet.Blends {
		b := &p.Sheet.Blends[i]
		r.Kits = append(r.Kits, KitReport{b.Name, need[b.Name], p.Usable(b)})
	}
	r.Advice = adviceReport(Advise(p, All(p, floors), HandsOf(p), grounds[0], start))
	r.Go = Go(gates)
	for _, g := range gates {
		r.Gates = append(r.Gates, GateReport{g.Name, g.Call.String(), g.Why})
	}
	return r, nil
}

func (f *Zone) report(g Ground) (ZoneReport, error) {
	t := f.TakeOff(f.Blend)
	b := f.Band(f.Blend, HandsOf(f.plan), g, 0)
	z := ZoneReport{
		Zone: f.Z.Name, Blend: f.Blend.Name, AreaM2: t.AreaM2, VolumeL: t.VolumeL, MeanDepthM: t.MeanDepthM, LossL: t.LossL,
		Kits: t.Kits, KitsExact: t.Exact, M2PerKit: t.M2PerKit, Lines: t.Lines, Lives: f.lives(g),
		Rows: f.Path.Rows(), SpanM2: b.NeededSpanM2, SpanX: b.NeededX, SpanY: b.NeededY,
		SpanWaitS: b.NeededWait.Seconds(), SpanLimitS: (b.EdgeLife - f.plan.Rules.EdgeMargin).Seconds(),
		Needed: finiteOr(b.Needed), Limit: b.Limit, LimitPost: b.LimitPost, Plain: b.PlainMin,
		WidthM: f.WidthM(), FrontMMin: b.M2Min / f.WidthM(), NetL: f.NetL(f.Blend), Posts: b.Posts, PatchM2: b.PatchM2, M2Min: b.M2Min,
		WidestM: b.WidestM, DeepestM: b.DeepestM, DwellS: b.Dwell.Seconds(), DwellLimitS: b.DwellLimit.Seconds(),
		CarryM: b.CarryM, CarryMostM: b.CarryMost, BucketsMost: b.BucketsMax,
		PourS: float64(t.Kits) * Interval(b.Limit).Seconds(), Missing: b.Missing, Holds: b.Holds(), PathAccuracy: f.Path.Accuracy(),
	}
	options, err := path.Search(f.Z.Zone, LayOf(f.Z))
	if err != nil {
		return z, fmt.Errorf("zone %s: %w", f.Z.Name, err)
	}
	mean := t.AreaM2 / t.VolumeL
	for i, o := range options {
		if i == 0 {
			z.Best, z.BestSpanM2 = o.String(), o.Worst.SpanL*mean
		}
		if o.Own {
			z.Own, z.OwnSpanM2 = o.String(), o.Worst.SpanL*mean
		}
	}
	return z, nil
}

// finiteOr keeps an endless pace out of the data form, which has no number
// for it; Holds is false then and the gate says why.
func finiteOr(v float64) float64 {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return 0
	}
	return v
}

func (f *Zone) lives(g Ground) LifeTable {
	at := func(t sheet.Table, c float64) float64 {
		d, _ := t.At(c)
		return d.Seconds()
	}
	b := f.Blend
	return LifeTable{at(b.BucketLife, g.KitC), at(b.EdgeLife, g.SlabC), at(b.RollUntil, g.SlabC), at(b.BroadcastFrom, g.SlabC), at(b.BroadcastUntil, g.SlabC)}
}

// orderGate asks whether the order of the zones leaves a way out for crew and
// station, where the plan names rooms.
func orderGate(p *plan.Plan, r *Report) (Gate, bool) {
	if len(p.Rooms) == 0 {
		return Gate{}, false
	}
	station := p.StationRoom
	if station == "" {
		station = floor.Outside
	}
	const most = 24 // more orders than anyone reads
	orders, more, err := floor.Orders(p.Rooms, station, most)
	if err != nil {
		return Gate{"order of rooms", callIf(false), err.Error()}, true
	}
	for _, o := range orders {
		r.Orders = append(r.Orders, strings.Join(o, " - "))
	}
	if more {
		r.Orders = append(r.Orders, "and more")
	}
	var own []string
	for i := range p.Zones {
		if room := p.Zones[i].Room; room != "" && (len(own) == 0 || own[len(own)-1] != room) {
			own = append(own, room)
		}
	}
	if why := floor.WhyNot(p.Rooms, station, own); why != "" {
		return Gate{"order of rooms", callIf(false), why}, true
	}
	return Gate{"order of rooms", callIf(true), strings.Join(own, " - ") + " leaves a way out"}, true
}

// opening fills in when each use comes back, and adds the gate for the one the
// plan asks for.
func (r *Report) opening(p *plan.Plan, floors []*Zone, line []Turnout, slabC float64, gates *[]Gate) {
	cure := CureTempC(p, slabC)
	for i, f := range floors {
		t := line[i]
		for _, c := range f.Blend.Cures {
			u := UseReport{Zone: t.Zone, Use: c.Use, Ends: t.Ends, Asked: strings.EqualFold(c.Use, p.OpeningUse)}
			u.At, u.OK = UsableAt(f.Blend, c.Use, t.Ends, []sheet.Sample{{At: t.Ends, TempC: cure}})
			u.Latest, _ = LatestLast(f.Blend, c.Use, p.Opening, p.Inspection, cure)
			r.Opening = append(r.Opening, u)
		}
		g := Gate{Name: "opening, " + t.Zone}
		_, listed := f.Blend.Cure(p.OpeningUse)
		switch {
		case !listed:
			g.Call, g.Why = callIf(false), fmt.Sprintf("the sheet has no cure table for %s: add cure.%q to blend %q, or ask for another opening_use", p.OpeningUse, p.OpeningUse, f.Blend.Name)
		case !t.OK:
			g.Call, g.Why = callIf(false), "no cure figure for "+p.OpeningUse+" at "+units.Format(units.Temp, cure, p.Units)+": outside the sheet"
		default:
			g.Call = callIf(t.Fits)
			g.Why = fmt.Sprintf("last batch %s, latest %s; %s from %s", stamp(t.Ends), stamp(t.Latest), p.OpeningUse, stamp(t.Ready))
		}
		*gates = append(*gates, g)
	}
}

func stamp(t time.Time) string { return t.Format("Mon 15:04") }

func adviceReport(a TempAdvice) AdviceReport {
	r := AdviceReport{Short: a.Short, Words: a.Words}
	for _, c := range a.Cases {
		r.Cases = append(r.Cases, CaseReport{
			Blend: c.Blend.Name, Fits: c.Fits, Holds: c.Holds, Met: c.Met, Needed: finiteOr(c.Band.Needed), Limit: c.Band.Limit,
			EdgeS: c.Band.EdgeLife.Seconds(), BucketS: c.Band.BucketLife.Seconds(), Ready: c.Ready, Missing: c.Band.Missing,
		})
	}
	return r
}
