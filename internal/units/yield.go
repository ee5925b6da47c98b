package units

import (
	"math"
	"strings"
)

// Yield is what one kit or bag gives when mixed: a volume, or an area at a
// depth. A field that was not written is 0.
type Yield struct {
	VolumeL float64 // L
	AreaM2  float64 // m²
	DepthM  float64 // m
}

// AgreeWithin is the largest relative difference at which two forms of one
// yield count as the same: 2 %. Both forms come rounded off a sheet: 66 ft² may
// be 65.5 to 66.5 (0.8 %), 5.1 gal may be 5.05 to 5.15 (1 %); together 1.8 %.
// Beyond that they are two different kits.
const AgreeWithin = 0.02

// ParseYield reads "14 L", "3.7 gal", "66 ft² at 1/8 in" or "2.2 m2 at 6 mm"
// ("@" may stand for "at"). A bare number is litres or gallons; before "at" it
// is the crew's area, after it the crew's depth. Zero is refused.
func ParseYield(s string, sys System) (Yield, error) {
	bad := func(reason string) (Yield, error) {
		return Yield{}, &Error{Input: s, What: "yield", Reason: reason, Hint: "write a volume like 14 L, or an area at a depth like 66 ft² at 1/8 in"}
	}
	var y Yield
	area, depth, both := cutAt(s)
	if !both {
		v, err := Parse(Volume, s, sys)
		if err != nil {
			return bad("is not a volume (" + err.(*Error).Reason + ")")
		}
		y.VolumeL = v
	} else {
		a, err := Parse(Area, area, sys)
		if err != nil {
			return bad("has no area before \"at\" (" + err.(*Error).Reason + ")")
		}
		d, err := Parse(Depth, depth, sys)
		if err != nil {
			return bad("has no depth after \"at\" (" + err.(*Error).Reason + ")")
		}
		y.AreaM2, y.DepthM = a, d
	}
	if !(y.Litres() > 0) {
		return bad("is nothing")
	}
	return y, nil
}

// cutAt splits at "@" or the word "at".
func cutAt(s string) (before, after string, found bool) {
	if before, after, found = strings.Cut(s, "@"); found {
		return before, after, true
	}
	return strings.Cut(strings.Join(strings.Fields(s), " "), " at ")
}

// Litres is the mixed volume: the one written, or area × depth (1 m² × 1 mm =
// 1 L).
func (y Yield) Litres() float64 {
	if y.VolumeL > 0 {
		return y.VolumeL
	}
	return y.AreaM2 * y.DepthM * 1000
}

// AreaAt is the area one kit covers at the given depth (m), in m², before any
// loss. A depth of 0 or less covers nothing that can be named: +Inf.
func (y Yield) AreaAt(depthM float64) float64 {
	if !(depthM > 0) {
		return math.Inf(1)
	}
	return y.Litres() / 1000 / depthM
}

// Format prints the yield in the form it was written in, in the crew's units.
func (y Yield) Format(sys System) string {
	if y.VolumeL > 0 {
		return Format(Volume, y.VolumeL, sys)
	}
	return Format(Area, y.AreaM2, sys) + " at " + Format(Depth, y.DepthM, sys)
}

// Agree compares two forms of one yield by their litres: the difference as a
// share of the larger, and whether it is within [AgreeWithin]. Nothing agrees
// with a yield of zero.
func Agree(a, b Yield) (relDiff float64, ok bool) {
	x, y := a.Litres(), b.Litres()
	most := math.Max(x, y)
	if !(x > 0) || !(y > 0) || math.IsInf(most, 0) {
		return 1, false
	}
	relDiff = math.Abs(x-y) / most
	return relDiff, relDiff <= AgreeWithin
}
