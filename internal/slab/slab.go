// Package slab judges whether a concrete slab is dry and rough enough: moisture
// emission by dish (ASTM F1869), relative humidity in drilled holes (ASTM F2170),
// how many tests an area asks for, and the surface profile (ICRI 310.2R).
//
// # Formulas and limits
//
//	emission [lb/(1000 ft²·24 h)] = 52.91 × gain [g] / (area [ft²] × time [h])
//
// 52.91 is 24 × 1000 / 453.59 (h, ft², g to the lb). In SI the same weighing
// gives gain/area/time in g/(m²·24 h); 1 lb/(1000 ft²·24 h) is 4.882 of those.
// The dish stays down 60 to 72 hours.
//
// Tests: 3 for the first 1000 ft² (92.9 m²) and 1 more for each further 1000 ft²
// or part of it, for both methods.
//
// A drilled hole reaches to 40 % of the slab's thickness where it dries from the
// top only, 20 % where it dries from both sides.
//
// What a floor may stand, its limit of emission, humidity and profile, is the data
// sheet's to say and comes in as an argument: nothing here is a limit of any
// material. The standards are cited from memory or from public quotations of them
// and do not replace their text; follow the data sheet, local codes and licensed
// practice.
package slab

import (
	"fmt"
	"math"
	"time"
)

const (
	m2PerFt2 = 0.3048 * 0.3048
	// formF1869 is the standard's own rounded factor; the exact one, 52.9109, would
	// differ in the fifth figure.
	formF1869 = 52.91
	// firstAreaM2 is the 1000 ft² of both standards' counting rule.
	firstAreaM2 = 1000 * m2PerFt2
)

// The time a dish must stay down, ASTM F1869.
const (
	LeastExposure = 60 * time.Hour
	MostExposure  = 72 * time.Hour
)

// Dish is one calcium chloride dish of ASTM F1869.
type Dish struct {
	BeforeG float64       // weight when put down, g
	AfterG  float64       // weight when taken up, g
	AreaM2  float64       // concrete under the dome, the dish's own foot taken off, m²
	Down    time.Duration // how long it stayed down
}

// GainG is the moisture caught, g.
func (d Dish) GainG() float64 { return d.AfterG - d.BeforeG }

// Emission is a moisture vapour emission rate.
type Emission struct {
	Lb float64 // lb per 1000 ft² per 24 h, the unit limits are written in
	G  float64 // g per m² per 24 h
}

// maxDishG refuses a slipped point: a dish and its salt weigh some tens of grams
// (common practice, no source).
const maxDishG = 1000

// Emission works out the rate. It refuses weights that are not above 0 or over
// 1000 g, a dish that lost weight, an area outside 0.001 to 1 m², and a time
// outside 60 to 72 hours, which voids the test.
func (d Dish) Emission() (Emission, error) {
	for _, w := range []struct {
		name string
		g    float64
	}{{"before", d.BeforeG}, {"after", d.AfterG}} {
		if !(w.g > 0 && w.g <= maxDishG) {
			return Emission{}, fmt.Errorf("dish weight %s %.4g g: must be above 0 and not above %d g; weigh it again", w.name, w.g, maxDishG)
		}
	}
	if d.GainG() < 0 {
		return Emission{}, fmt.Errorf("dish lost %.3g g: a dish can only gain; check that the two weights are not swapped and that the seal held", -d.GainG())
	}
	if !(d.AreaM2 >= 0.001 && d.AreaM2 <= 1) {
		return Emission{}, fmt.Errorf("dome area %.4g m²: must lie between 0.001 and 1 m²; take it from the test kit's papers", d.AreaM2)
	}
	if d.Down < LeastExposure || d.Down > MostExposure {
		return Emission{}, fmt.Errorf("dish was down %.4g h: ASTM F1869 asks for 60 to 72 h; the test is void, put down a new dish", d.Down.Hours())
	}
	perHour := d.GainG() / d.Down.Hours()
	return Emission{
		Lb: formF1869 * perHour / (d.AreaM2 / m2PerFt2),
		G:  perHour * 24 / d.AreaM2,
	}, nil
}

// TestsFor is how many moisture tests an area (m²) asks for, by ASTM F1869 and
// F2170 alike: 3 for the first 1000 ft², 1 more for each further 1000 ft² or part.
// An area that is not above 0 is refused.
func TestsFor(areaM2 float64) (int, error) {
	if !(areaM2 > 0 && areaM2 <= 1e8) {
		return 0, fmt.Errorf("area %.4g m²: must be above 0 and a floor's size; check the outline", areaM2)
	}
	// A billionth of slack keeps 2000 ft², turned to m² and back, from asking for a
	// test more.
	further := math.Ceil(areaM2/firstAreaM2 - 1 - 1e-9)
	return 3 + int(math.Max(0, further)), nil
}

// HoleDepth is how deep a hole for an in-slab humidity probe goes, m: 40 % of the
// slab's thickness when it dries from the top only, 20 % when from both sides
// (ASTM F2170, from memory). A thickness outside 0.02 to 3 m is refused.
func HoleDepth(thicknessM float64, bothSides bool) (float64, error) {
	if !(thicknessM >= 0.02 && thicknessM <= 3) {
		return 0, fmt.Errorf("slab thickness %.4g m: must lie between 0.02 and 3 m; take it from the drawings", thicknessM)
	}
	if bothSides {
		return 0.2 * thicknessM, nil
	}
	return 0.4 * thicknessM, nil
}
