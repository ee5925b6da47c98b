package record

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/units"
)

// checkKits: more opened than was there.
func (m *maker) checkKits() {
	if len(m.plan.Lots) == 0 {
		return
	}
	on, opened := map[string]float64{}, map[string]float64{}
	for _, y := range m.paper.Yield {
		on[y.Part] += y.OnHand.V
		opened[y.Part] += y.Opened
		if y.OnHand.OK() && y.Opened > y.OnHand.V {
			m.find("more opened than the lot has", "lot "+y.Lot.S, time.Time{}, "%s: %g opened, %g on hand", y.Part, y.Opened, y.OnHand.V)
		}
	}
	for _, part := range m.partNames() {
		p := clean.String(part)
		if opened[p] > on[p] {
			m.find("more batches than kits", p, time.Time{}, "%g kits opened, %g on hand by the plan", opened[p], on[p])
		}
	}
}

// checkLots: lots and parts that do not exist, and lots mixed where they must
// not be.
func (m *maker) checkLots() {
	parts := m.partNames()
	lot := func(name string) (ok bool, has map[string]int) {
		for _, l := range m.plan.Lots {
			if l.Name == name || wire(l.Name) == name {
				if has == nil {
					has = map[string]int{}
				}
				for k, n := range l.Parts {
					has[wire(k)] += n
				}
			}
		}
		return has != nil, has
	}
	one := map[string]string{} // zone/part → lot
	for _, e := range m.standing(day.LotOpened, day.BatchStarted) {
		if e.Kind == day.LotOpened {
			if ok, has := lot(e.Text); len(m.plan.Lots) > 0 && !ok {
				m.find("lot does not exist", "lot "+e.Text, e.At, "opened for %s, but the plan has no such lot", e.What)
			} else if _, in := has[wire(e.What)]; ok && !in {
				m.find("lot has no such part", "lot "+e.Text, e.At, "opened for %s, which it does not hold", e.What)
			}
			continue
		}
		named := pairs(e.Lots)
		for _, part := range sortedKeys(named) {
			if !slices.ContainsFunc(parts, func(p string) bool { return wire(p) == part }) {
				m.find("part not on the sheet", batchName(e.Batch), e.At, "the sheet has no part %q", part)
				continue
			}
			if ok, has := lot(named[part]); len(m.plan.Lots) > 0 && !ok {
				m.find("lot does not exist", batchName(e.Batch), e.At, "%s from lot %q, which the plan does not have", part, named[part])
			} else if _, in := has[part]; ok && !in {
				m.find("lot has no such part", batchName(e.Batch), e.At, "%s from lot %q, which does not hold it", part, named[part])
			}
			zi := m.plan.Zone(e.Zone)
			if zi < 0 || !m.plan.Zones[zi].OneLot {
				continue
			}
			k := e.Zone + "/" + part
			if was, ok := one[k]; ok && was != named[part] {
				m.find("lots mixed in one zone", batchName(e.Batch), e.At, "%s from lot %q; zone %s began with %q and the plan wants one lot%s", part, named[part], e.Zone, was, m.overrode(e.Zone, ""))
			} else {
				one[k] = named[part]
			}
		}
	}
	m.checkPanels()
}

// checkPanels: more than one lot of a part in a panel.
func (m *maker) checkPanels() {
	first := map[string]day.LotPlace{}
	for _, q := range m.state.LotPlaces() {
		k := q.Zone + "/" + q.Panel + "/" + q.Part
		was, mixed := first[k]
		if !mixed {
			first[k] = q
		}
		if zi := m.plan.Zone(q.Zone); q.Panel == "" || !mixed || zi < 0 || m.plan.Zones[zi].OneLot {
			continue
		}
		m.find("lots mixed in one panel", "panel "+q.Panel, time.Time{}, "%s of zone %s from lot %q (batches %s) and %q (batches %s)%s", q.Part, q.Zone,
			was.Lot, numbers(was.Batches), q.Lot, numbers(q.Batches), m.overrode(q.Zone, q.Panel))
	}
}

// overrode says who allowed lots to mix in a zone or panel, "" for nobody.
func (m *maker) overrode(zone, panel string) string {
	for i := range m.state.Overrides {
		if e := &m.state.Overrides[i]; e.What == day.LotsMixed && (e.Zone == "" || e.Zone == zone) && (e.Bay == "" || e.Bay == panel) {
			return fmt.Sprintf("; overridden %s by %s, %s: %s", hms(e.At), e.Who, e.Role, e.Why)
		}
	}
	return ""
}

// usualTolerance is how far a part batch's ratio may be off when the sheet gives
// no figure. Common practice, no source; the live console asks for the same.
const usualTolerance = 0.02

// checkPartKits: part batches are weighed, and in the ratio of the sheet.
func (m *maker) checkPartKits() {
	tol := m.plan.Sheet.Limits.PartTolerance
	if tol <= 0 {
		tol = usualTolerance
	}
	for i := range m.state.Batches {
		b := &m.state.Batches[i]
		bl := m.plan.Sheet.Blend(b.Blend)
		if b.Started.IsZero() || b.Share >= 1 && b.Weights == "" || bl == nil {
			continue
		}
		if b.Weights == "" {
			if !m.plan.Sheet.Limits.VolumeAllowed {
				m.find("part kit without weights", batchName(b.No), b.Started, "%s of a kit, and no weights on the log", units.Format(units.Share, b.Share, m.plan.Units))
			}
			continue
		}
		w := pairs(b.Weights)
		for _, q := range bl.Parts {
			kg, err := strconv.ParseFloat(strings.TrimSuffix(w[wire(q.Name)], "kg"), 64)
			switch {
			case err != nil || kg <= 0:
				m.find("part kit without weights", batchName(b.No), b.Started, "no weight of %s", q.Name)
			case q.KgPerKit > 0 && math.Abs(kg/q.KgPerKit/b.Share-1) > tol:
				m.find("part kit off the ratio", batchName(b.No), b.Started, "%s is %s; a share of %s would be %s", q.Name,
					units.Format(units.Mass, kg, m.plan.Units), units.Format(units.Share, b.Share, m.plan.Units), units.Format(units.Mass, q.KgPerKit*b.Share, m.plan.Units))
			}
		}
	}
}

// checkTallies: empties counted since the last count against batches started
// since then.
func (m *maker) checkTallies() {
	var since time.Time
	from := 1
	for _, t := range m.state.Tallies {
		want := map[string]int{}
		for i := range m.state.Batches {
			b := &m.state.Batches[i]
			if bl := m.plan.Sheet.Blend(b.Blend); bl != nil && b.Started.After(since) && !b.Started.After(t.At) {
				for _, q := range bl.Parts {
					want[wire(q.Name)]++
				}
			}
		}
		got := pairs(t.Counts)
		for _, part := range sortedKeys(got) {
			n, err := strconv.Atoi(got[part])
			if err != nil || n != want[part] {
				m.find("empties do not fit", part, t.At, "%s empties counted, %s with it started since the last count: %s suspect%s", got[part], units.Count(want[part], "batch", "batches"), batchRange(from, t.Batch), m.lies(from, t.Batch))
			}
		}
		since, from = t.At, t.Batch+1
	}
}

func batchRange(from, to int) string {
	if from >= to {
		return fmt.Sprintf("batch %d", to)
	}
	return fmt.Sprintf("batches %d to %d", from, to)
}

// lies says where batches lie on the floor, zone by zone, to be put behind
// their numbers; "" for batches that are not down.
func (m *maker) lies(from, to int) string {
	if w := day.PlaceWords(m.state.Places(from, to), m.plan.Units); w != "" {
		return ", in " + clean.String(w)
	}
	return ""
}
