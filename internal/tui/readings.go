package tui

import (
	"math"

	"floorpace/internal/day"
)

// usual ranges of readings, SI, where the sheet states none: outside them the
// console asks once. Common practice, no source: a floor is poured well inside
// them.
var usual = map[string][2]float64{
	day.ReadSlab: {5, 40}, day.ReadAir: {0, 45}, day.ReadKit: {5, 40}, day.ReadHumidity: {0.1, 0.95},
}

// jumpC is how far a temperature may lie from the last one before the console
// asks once, K: no slab, hall or stack of kits moves further between two
// readings, a finger on the wrong digit does. Common practice, no source.
const jumpC = 8

// usualNow is the range in which a reading needs no question: that of the
// sheet, and near the reading before.
func (m *Model) usualNow(what, spot string) [2]float64 {
	r := usual[what]
	v := m.v
	limits := &v.Plan.Sheet.Limits
	within := func(lo, hi float64) {
		if hi > lo {
			r = [2]float64{lo, hi}
		}
	}
	last := math.NaN()
	switch what {
	case day.ReadSlab:
		if b := v.Blend; b != nil {
			within(b.SlabMinC, b.SlabMaxC)
		}
		last = v.Air.SlabC
	case day.ReadAir:
		within(limits.AirMinC, limits.AirMaxC)
		last = v.Air.AirC
	case day.ReadKit:
		within(limits.KitMinC, limits.KitMaxC)
		last = v.Air.KitC
	case day.ReadHumidity:
		if limits.HumidityMax > 0 {
			r[1] = limits.HumidityMax
		}
	}
	if spot != "" { // a door in the sun is not the slab
		last = math.NaN()
		if at, ok := v.Air.Temps.Spots[spot]; ok {
			last = at
		}
	}
	if math.IsNaN(last) {
		return r
	}
	near := [2]float64{math.Max(r[0], last-jumpC), math.Min(r[1], last+jumpC)}
	if near[1] <= near[0] { // the last one was outside already: what is near it is no slip, but is asked about
		return r
	}
	return near
}
