// Package air answers what the air and the slab's own temperature allow: dew
// point, the margin of a slab above it, the trend of readings, and a caution on
// drying for levellers.
//
// # Dew point
//
// Saturation pressure over ice (−100 to 0.01 °C) and over water (0.01 to 200 °C)
// is ASHRAE Handbook Fundamentals 2017, chapter 1, equations 5 and 6, with T in
// kelvin and p in pascals:
//
//	ice:   ln p = C1/T + C2 + C3·T + C4·T² + C5·T³ + C6·T⁴ + C7·ln T
//	water: ln p = C8/T + C9 + C10·T + C11·T² + C12·T³ + C13·ln T
//
// The dew point is the temperature at which p equals rh times the saturation
// pressure of the air; it is found by Newton's method held inside a bracket. At
// or below 0.01 °C (the triple point) the answer is a frost point and says so.
//
// The Magnus form of WMO-No. 8 (17.62, 243.12 °C, over water) starts the search
// and checks it: in air of 0 to 50 °C at any humidity, wherever the dew point is
// above freezing, the two agree within 0.05 °C (measured: 0.044 at most; at 52 °C
// they part by more). Below freezing Magnus keeps to water and is of no use.
//
// # Margin
//
// margin = slab − dew point, against the plan's rule: 3 °C (the practice of
// ISO 8502-4) and 5 °F (2.78 °C, US coating practice) are different rules. What
// the instruments' stated errors could hide is amber; see [Judge].
//
// Relative humidity is a share, 0 to 1. The sources are cited from memory; the
// constants are checked against a table made by an independent library of the
// same equations. A coating's data sheet, the local codes and the licensed
// practice of the place always stand above any figure from here.
package air

import (
	"fmt"
	"math"
)

// Constants of ASHRAE Handbook Fundamentals 2017, chapter 1, equations 5 (c1 to
// c7, over ice) and 6 (c8 to c13, over water).
const (
	c1  = -5.6745359e3
	c2  = 6.3925247
	c3  = -9.677843e-3
	c4  = 6.2215701e-7
	c5  = 2.0747825e-9
	c6  = -9.484024e-13
	c7  = 4.1635019
	c8  = -5.8002206e3
	c9  = 1.3914993
	c10 = -4.8640239e-2
	c11 = 4.1764768e-5
	c12 = -1.4452093e-8
	c13 = 6.5459673
)

// Magnus constants over water, WMO-No. 8, part I, chapter 4, annex 4.B.
const (
	magnusB = 17.62
	magnusC = 243.12 // °C
)

const (
	kelvin = 273.15
	triple = 0.01 // °C: ice below, water above
	coldC  = -100 // ends of the equations, °C
	hotC   = 200
)

// SatPressure is the saturation pressure of water vapour in Pa at tC, −100 to
// 200 °C: over ice up to 0.01 °C, over water above. Outside the range it is NaN.
func SatPressure(tC float64) float64 {
	if !(tC >= coldC && tC <= hotC) {
		return math.NaN()
	}
	ln, _ := lnSat(tC)
	return math.Exp(ln)
}

// lnSat is the logarithm of the saturation pressure and its slope per degree.
func lnSat(tC float64) (ln, slope float64) {
	t := tC + kelvin
	if tC <= triple {
		ln = c1/t + c2 + t*(c3+t*(c4+t*(c5+t*c6))) + c7*math.Log(t)
		return ln, -c1/(t*t) + c3 + t*(2*c4+t*(3*c5+t*4*c6)) + c7/t
	}
	ln = c8/t + c9 + t*(c10+t*(c11+t*c12)) + c13*math.Log(t)
	return ln, -c8/(t*t) + c10 + t*(2*c11+t*3*c12) + c13/t
}

// Point is the temperature at which the air's moisture begins to settle.
type Point struct {
	C     float64 // °C
	Frost bool    // it settles as frost: the point is at or below 0.01 °C
}

// Name is "dew point" or "frost point".
func (p Point) Name() string {
	if p.Frost {
		return "frost point"
	}
	return "dew point"
}

// DewPoint is the dew or frost point of air at tC (−100 to 200 °C) and relative
// humidity rh (above 0, up to 1), good to a thousandth of a degree of ASHRAE's
// equations. It refuses values outside those ranges, and air so dry that its
// point would lie below −100 °C.
func DewPoint(tC, rh float64) (Point, error) {
	if !(tC >= coldC && tC <= hotC) {
		return Point{}, fmt.Errorf("air temperature %.4g °C: must lie between %d and %d °C; read the thermometer again", tC, coldC, hotC)
	}
	if !(rh > 0 && rh <= 1) {
		return Point{}, fmt.Errorf("relative humidity %.4g %%: must be above 0 and not above 100 %%; read the hygrometer again", rh*100)
	}
	air, _ := lnSat(tC)
	want := air + math.Log(rh)
	if low, _ := lnSat(coldC); want < low {
		return Point{}, fmt.Errorf("relative humidity %.4g %% at %.4g °C: the frost point lies below %d °C, where no figure is given; read the hygrometer again", rh*100, tC, coldC)
	}
	c := solve(want, tC, magnus(tC, rh))
	return Point{C: c, Frost: c <= triple}, nil
}

// solve finds the temperature, at most highC, whose saturation pressure has the
// logarithm want, by Newton steps from first. A step that leaves the bracket is
// replaced by its middle, so that the search ends whatever it meets, the small
// jump between the two equations at the triple point included.
func solve(want, highC, first float64) float64 {
	lo, hi := float64(coldC), highC
	t := math.Max(lo, math.Min(hi, first))
	for range 100 {
		ln, slope := lnSat(t)
		if ln > want {
			hi = t
		} else {
			lo = t
		}
		next := t - (ln-want)/slope
		if next < lo || next > hi {
			next = lo + (hi-lo)/2
		}
		if math.Abs(next-t) < 1e-9 || hi-lo < 1e-9 {
			return next
		}
		t = next
	}
	return t
}

// magnus is the dew point over water by the Magnus form, in °C.
func magnus(tC, rh float64) float64 {
	g := math.Log(rh) + magnusB*tC/(magnusC+tC)
	return magnusC * g / (magnusB - g)
}
