package air

import (
	"fmt"
	"math"
	"strconv"
)

// Rule is the least margin of slab over dew point, in K.
type Rule float64

// The two rules in use. They are not the same: 5 °F is 2.78 °C.
const (
	ThreeC Rule = 3           // 3 °C, the practice of ISO 8502-4
	FiveF  Rule = 5 * 5.0 / 9 // 5 °F, US coating practice (common practice, no source)
)

// String names the rule as a crew speaks of it: "3 °C", "5 °F", or a sheet's own
// figure in °C.
func (r Rule) String() string {
	if math.Abs(float64(r-FiveF)) < 0.005 { // a sheet's "2.78 °C" is the same rule
		return "5 °F"
	}
	return strconv.FormatFloat(float64(r), 'g', 4, 64) + " °C"
}

// Instruments are the stated errors, ±, of what was read. Zero means exact, which
// leaves no amber.
type Instruments struct {
	SlabC float64 // K
	AirC  float64 // K
	RH    float64 // share: 0.03 is 3 % of humidity
}

// Call is the answer to "may we?".
type Call uint8

// The three answers, in order of severity.
const (
	Go    Call = iota // the rule is kept, the instruments' error included
	Amber             // kept by the readings, but their error could hide a breach
	Stop              // broken by the readings
)

// String is "go", "amber" or "stop".
func (c Call) String() string {
	switch c {
	case Go:
		return "go"
	case Amber:
		return "amber"
	}
	return "stop"
}

// Verdict is a margin judged, with the figures behind it.
type Verdict struct {
	Call    Call
	Dew     Point
	SlabC   float64 // as judged, °C
	MarginK float64 // slab − dew point
	ErrorK  float64 // what the instruments' errors amount to in the margin, ±
	Rule    Rule
}

// ShortK is how much the margin falls short of the rule, K; 0 when it is kept.
func (v Verdict) ShortK() float64 { return math.Max(0, float64(v.Rule)-v.MarginK) }

// ShownK is the margin in K cut down, never up, to a hundredth: a margin of 2.997
// must not stand on a screen as 3.00 beside the word stop.
func (v Verdict) ShownK() float64 {
	return math.Floor(v.MarginK*100+1e-7) / 100 // 1e-7: 3 less a rounding error is still 3.00
}

// String reads: stop: slab 11.0 °C, dew point 11.49 °C, margin -0.49 ± 0.60 °C against 3 °C.
func (v Verdict) String() string {
	return fmt.Sprintf("%s: slab %.1f °C, %s %.2f °C, margin %+.2f ± %.2f °C against %s",
		v.Call, v.SlabC, v.Dew.Name(), v.Dew.C, v.ShownK(), v.ErrorK, v.Rule)
}

// Judge holds a slab at slabC (°C) in air at airC and humidity rh (0 to 1) against
// the rule:
//
//	stop   margin < rule
//	amber  rule ≤ margin < rule + error
//	go     rule + error ≤ margin
//
// The readings' own breach is a stop even when the error could excuse it. The
// error of the margin is the root of the sum of squares of what each instrument's
// stated error moves it by (JCGM 100:2008, 5.1.2, independent inputs; from
// memory): the three do not all err the bad way at once, but any one may. Each
// shift is taken towards damper air, the side that matters.
//
// It refuses readings that [DewPoint] refuses, a slab outside −100 to 200 °C, a
// rule that is not above 0, and errors that are negative or not numbers.
func Judge(slabC, airC, rh float64, rule Rule, err Instruments) (Verdict, error) {
	if !(slabC >= coldC && slabC <= hotC) {
		return Verdict{}, fmt.Errorf("slab temperature %.4g °C: must lie between %d and %d °C; read the probe again", slabC, coldC, hotC)
	}
	if !(rule > 0) || math.IsInf(float64(rule), 0) {
		return Verdict{}, fmt.Errorf("dew margin rule %.4g °C: must be above 0; take it from the data sheet, or write 3 °C or 5 °F", float64(rule))
	}
	for _, e := range []struct {
		name string
		v    float64
	}{{"slab thermometer", err.SlabC}, {"air thermometer", err.AirC}, {"hygrometer", err.RH}} {
		if !(e.v >= 0) || math.IsInf(e.v, 0) {
			return Verdict{}, fmt.Errorf("stated error of the %s is %.4g: must be 0 or more; take it from the instrument's papers", e.name, e.v)
		}
	}
	dew, bad := DewPoint(airC, rh)
	if bad != nil {
		return Verdict{}, bad
	}
	v := Verdict{Dew: dew, SlabC: slabC, MarginK: slabC - dew.C, Rule: rule}
	// Past 100 % or past the equations' end the shift stops there: air cannot be
	// damper than full.
	byAir, bad := DewPoint(math.Min(hotC, airC+err.AirC), rh)
	if bad != nil {
		return Verdict{}, bad
	}
	byRH, bad := DewPoint(airC, math.Min(1, rh+err.RH))
	if bad != nil {
		return Verdict{}, bad
	}
	v.ErrorK = math.Hypot(err.SlabC, math.Hypot(byAir.C-dew.C, byRH.C-dew.C))
	// A billionth of a degree: a margin typed as exactly the rule is kept.
	const hair = 1e-9
	switch {
	case v.MarginK < float64(rule)-hair:
		v.Call = Stop
	case v.MarginK < float64(rule)+v.ErrorK-hair:
		v.Call = Amber
	default:
		v.Call = Go
	}
	return v, nil
}

// Through is a margin judged now and at the lowest slab temperature expected
// before the floor has cured.
type Through struct {
	Now, Lowest Verdict
	Call        Call // the more severe of the two
}

// JudgeThrough judges the slab as read and at the lowest temperature it is
// expected to reach through cure, in the air as read: if the air cools and keeps
// its moisture its dew point stays, so the cold slab is the case to test. A lowest
// temperature above the reading is taken as the reading. It refuses what [Judge]
// refuses.
func JudgeThrough(slabC, lowestC, airC, rh float64, rule Rule, err Instruments) (Through, error) {
	now, bad := Judge(slabC, airC, rh, rule, err)
	if bad != nil {
		return Through{}, bad
	}
	if lowestC > slabC {
		lowestC = slabC
	}
	low, bad := Judge(lowestC, airC, rh, rule, err)
	if bad != nil {
		return Through{}, fmt.Errorf("lowest expected %w", bad)
	}
	return Through{Now: now, Lowest: low, Call: max(now.Call, low.Call)}, nil
}
