package pace

import (
	"fmt"
	"math"

	"floorpace/internal/sheet"
	"floorpace/internal/units"
)

// TakeOff is what a zone needs.
type TakeOff struct {
	AreaM2, VolumeL float64
	MeanDepthM      float64
	Exact           float64 // kits before rounding up
	Kits            int
	M2PerKit        float64
	LossL           float64 // extra litres for what stays behind: loss × volume
	Lines           []Amount
}

// Amount is a further take-off line.
type Amount struct {
	Name   string  `json:"name"`
	Amount float64 `json:"amount"`
	Unit   string  `json:"unit"`
}

// ceilSlack forgives the rounding of a sum of decimals: 301.0000000001 kits
// are 301. It is far below a spoonful.
const ceilSlack = 1e-6

// Ceil rounds up to a whole number, robustly.
func Ceil(x float64) int { return int(math.Ceil(x - ceilSlack)) }

// KitsOf is a count of kits in words.
func KitsOf(n int) string { return units.Count(n, "kit", "kits") }

// TakeOff counts what the zone needs of blend b.
func (f *Zone) TakeOff(b *sheet.Blend) TakeOff {
	vol := f.Path.TotalL()
	exact := vol / f.NetL(b)
	t := TakeOff{
		AreaM2: f.Path.AreaM2(), VolumeL: vol, MeanDepthM: vol / f.Path.AreaM2() / 1000,
		Exact: exact, Kits: Ceil(exact), M2PerKit: f.M2PerKit(b), LossL: vol * f.plan.Rules.Loss,
	}
	for _, l := range f.Z.Cove {
		t.Lines = append(t.Lines, Amount{Name: l.Name, Amount: l.PerM2*t.AreaM2 + l.PerM*l.LengthM, Unit: l.Unit})
	}
	return t
}

// KitsNeeded sums the whole kits of each blend over the zones that use it.
func KitsNeeded(floors []*Zone) map[string]int {
	need := map[string]int{}
	for _, f := range floors {
		need[f.Blend.Name] += f.TakeOff(f.Blend).Kits
	}
	return need
}

// Reach is the area (m²) of the zone that a number of kits covers.
func (f *Zone) Reach(b *sheet.Blend, kits float64) float64 {
	return f.Path.AreaAt(kits * f.NetL(b))
}

// missing says which figure the sheet does not give.
func (f *Zone) missing(what string, atC float64) string {
	if math.IsNaN(atC) {
		return what + ": no temperature read"
	}
	return fmt.Sprintf("%s at %s: outside the sheet", what, units.Format(units.Temp, atC, f.plan.Units))
}
