package record

import (
	"fmt"
	"math"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/units"
)

// endShort is how much of a zone may be left, as a share, and still be called
// full: a millionth is rounding.
const endShort = 1e-6

func (m *maker) zones() {
	gaps := map[string][]float64{}
	for _, b := range m.paper.Batches {
		if b.Gap.OK() {
			gaps[b.Zone.S] = append(gaps[b.Zone.S], b.Gap.V)
		}
	}
	for i := range m.state.Zones {
		z := &m.state.Zones[i]
		f := z.Floor
		p := f.Path
		bl := f.Blend
		take := f.TakeOff(bl)
		out := Zone{
			Name: clean.String(f.Z.Name), Blend: clean.String(bl.Name), Batches: len(z.Laid),
			Began: when(z.Began, "not begun"), Closed: when(z.Closed, "not closed on the log"),
			AreaM2: p.AreaM2(), LaidM2: p.AreaAt(z.PosL), PlanKits: take.Kits, KitsExact: take.Exact, M2PerKit: take.M2PerKit,
			RowDepthM: f.Z.RowDepthM, PullDeg: f.Z.PullDeg, MeanDepthM: p.TotalL() / p.AreaM2() / 1000,
		}
		if z.Began.IsZero() {
			out.Closed = When{NA: "not begun"}
		}
		if z.PosL <= 0 {
			out.LaidM2 = 0
		}
		for _, l := range z.Laid {
			out.BroughtL += l.PouredL
		}
		out.Ended = m.ended(z)
		m.zoneKits(&out, z, i)
		m.zonePace(&out, z, gaps[f.Z.Name])
		out.Resets = m.resets[i]
		out.Edge = m.edges(i)
		out.Bays = bays(z)
		m.paper.Zones = append(m.paper.Zones, out)
		m.paper.floors = append(m.paper.floors, m.picture(i))
	}
}

// ended says in words where the zone stopped.
func (m *maker) ended(z *day.ZoneState) string {
	p := z.Floor.Path
	switch {
	case z.Began.IsZero() && len(z.Laid) == 0:
		return "not begun"
	case z.PosL >= p.TotalL()*(1-endShort):
		return "full"
	}
	front := units.Format(units.Length, p.FrontAt(z.PosL), m.plan.Units)
	net := m.plan.NetYieldL(z.Floor.Blend)
	for _, s := range p.StopAt() {
		if s.Can && math.Abs(s.VolL-z.PosL) < net/2 { // within half a batch of the line
			return "at stop line " + clean.String(s.Name)
		}
	}
	word := "short of the end"
	if z.Closed.IsZero() {
		word = "not closed"
	}
	return fmt.Sprintf("%s, front at %s along the pull", word, front)
}

func (m *maker) zoneKits(out *Zone, z *day.ZoneState, i int) {
	n := measured(z)
	none := noNum("no front mark was taken")
	out.Drift, out.DriftLast, out.RealM2Kit, out.DepthM = none, none, none, none
	if n > 0 {
		moved, poured := m.moved(z, 0, n)
		out.Drift = num(moved / poured)
		moved, poured = m.moved(z, max(0, n-3), n)
		out.DriftLast = num(moved / poured)
		area, kits, litres := z.Floor.Path.AreaAt(z.Laid[n-1].ToL), 0.0, 0.0
		for _, l := range z.Laid[:n] {
			if b := m.batchOf(l.Batch); b != nil {
				kits += b.Share
			}
			litres += l.PouredL
		}
		out.RealM2Kit, out.DepthM = num(area/kits), num(litres/area/1000)
	}
	open := m.look.Floor != nil && m.look.Floor.Index == i && z.PosL < z.Floor.Path.TotalL()*(1-endShort) && z.Closed.IsZero() && len(z.Laid) > 0
	if !open {
		why := noNum("the zone is not being poured at the end of the log")
		out.OnHand, out.NeedPlan, out.NeedMean, out.NeedLast, out.ReachM2, out.ReachLast, out.SaveFor = why, why, why, why, why, why, why
		return
	}
	k := m.ahead(m.look)
	out.NeedPlan, out.NeedMean, out.NeedLast = num(float64(m.look.Kits.Need)), k.NeedMean, k.NeedLast
	out.OnHand, out.ReachM2, out.ReachLast, out.SaveFor = k.OnHand, k.ReachM2, k.ReachLast, k.SaveFor
}

// ahead is what the kits still to come were worth at an instant.
func (m *maker) ahead(v *day.Snapshot) Reset {
	k := v.Kits
	out := Reset{
		At: v.Now, NeedMean: num(float64(k.NeedMean)), NeedLast: num(float64(k.NeedLast)),
		OnHand: num(float64(k.OnHand)), ReachM2: num(k.ReachM2), ReachLast: num(k.ReachLastM2), SaveFor: num(float64(k.SaveFor)),
	}
	if len(m.plan.Lots) == 0 {
		why := noNum("the plan counts no kits")
		out.OnHand, out.ReachM2, out.ReachLast, out.SaveFor = why, why, why, why
	} else if k.SaveFor < 0 {
		out.SaveFor = noNum("a reset no longer saves it")
	}
	return out
}

// reset keeps what stood when the rake was set anew, and applies it.
func (m *maker) reset(s *day.State, e day.Event) *day.State {
	zone := s.Zone
	if zone < 0 {
		return s.Apply(e)
	}
	v := day.Look(s, e.At)
	out := m.ahead(v)
	out.Drift, out.DriftLast = num(v.Kits.Drift), num(v.Kits.DriftLast)
	if len(s.Zones[zone].Marks) == 0 {
		out.Drift, out.DriftLast = noNum("no front mark was taken"), noNum("no front mark was taken")
	}
	s = s.Apply(e)
	out.NeedAfter = num(float64(day.Look(s, e.At).Kits.NeedMean))
	m.resets[zone] = append(m.resets[zone], out)
	return s
}

func (m *maker) batchOf(no int) *day.Batch {
	if no < 1 || no > len(m.state.Batches) {
		return nil
	}
	return &m.state.Batches[no-1]
}

// moved is the path volume covered by layings [i, j) and the litres poured for
// it.
func (m *maker) moved(z *day.ZoneState, i, j int) (path, poured float64) {
	for _, l := range z.Laid[i:j] {
		path += l.ToL - l.FromL
		poured += l.PouredL
	}
	return path, poured
}

func (m *maker) zonePace(out *Zone, z *day.ZoneState, gaps []float64) {
	out.Interval, out.M2PerHour = noNum("fewer than two batches"), noNum("fewer than two batches")
	if len(gaps) == 0 {
		return
	}
	out.Interval = num(median(gaps))
	first, last := m.batchOf(z.Laid[0].Batch), m.batchOf(z.Laid[len(z.Laid)-1].Batch)
	if first == nil || last == nil {
		return
	}
	if h := last.Poured.Sub(first.Poured).Hours(); h > 0 {
		// what the first batch covered was down when the clock began
		out.M2PerHour = num((out.LaidM2 - z.Floor.AreaBetween(z.Laid[0].FromL, z.Laid[0].ToL)) / h)
	}
}

// bays compares depths, bay by bay. Only what a mark has measured counts.
func bays(z *day.ZoneState) []Bay {
	f := z.Floor
	p := f.Path
	list := make([]Bay, len(f.Z.Bays)+1)
	for i, a := range f.Z.BayAreas() {
		list[i] = Bay{Name: clean.String(f.Z.Bays[i].Name), AreaM2: a, PlanDepthM: f.Z.LayerM(i)}
	}
	rest := len(list) - 1
	list[rest] = Bay{Name: "elsewhere", AreaM2: f.Z.RestAreaM2(), PlanDepthM: f.Z.LayerM(-1)}
	if rest == 0 {
		list[rest].Name = "whole zone"
	}
	type sums struct{ m2, litres float64 }
	got := make([]sums, len(list))
	n, at := measured(z), 0
	for c := range p.Cells() {
		vol := p.VolAt(c)
		if vol > z.PosL {
			break
		}
		k := p.Bay(c)
		if k < 0 {
			k = rest
		}
		list[k].LaidM2 += p.CellAreaM2(c)
		for at < len(z.Laid) && z.Laid[at].ToL < vol {
			at++
		}
		if at >= n {
			continue
		}
		if l := &z.Laid[at]; l.ToL > l.FromL {
			got[k].m2 += p.CellAreaM2(c)
			got[k].litres += p.CellL(c) * l.PouredL / (l.ToL - l.FromL)
		}
	}
	out := list[:0]
	for k, b := range list {
		if b.AreaM2 < 1e-9 {
			continue // bays that fill the zone leave no rest
		}
		b.DepthM = noNum("no front mark behind it")
		if got[k].m2 > 0 {
			b.DepthM = num(got[k].litres / got[k].m2 / 1000)
		} else if b.LaidM2 == 0 {
			b.DepthM = noNum("nothing was laid here")
		}
		out = append(out, b)
	}
	return out
}

// earliest is the earlier of two instants, the zero one counting as none.
func earliest(a, b time.Time) time.Time {
	if a.IsZero() || !b.IsZero() && b.Before(a) {
		return b
	}
	return a
}
