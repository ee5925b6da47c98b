package slab

import (
	"fmt"
	"math"

	"floorpace/internal/units"
)

// Moisture is a set of readings of one kind held against the sheet's limit.
type Moisture struct {
	Limit  float64 // from the data sheet
	Worst  float64 // the highest reading; NaN when there is none
	At     int     // its place in the readings, from 0; -1 when there is none
	Over   int     // readings above the limit
	Tests  int     // readings taken
	Wanted int     // readings the area asks for
	unit   string
	scale  float64
}

// OK says that every reading keeps the limit and that there are enough of them.
func (m Moisture) OK() bool { return m.Over == 0 && m.Missing() == 0 }

// Missing is how many more tests the area asks for.
func (m Moisture) Missing() int { return max(0, m.Wanted-m.Tests) }

// String says what was found, and what to do when it is not enough.
func (m Moisture) String() string {
	show := func(v float64) string { return fmt.Sprintf("%.4g %s", v*m.scale, m.unit) }
	switch {
	case m.Over > 0:
		return fmt.Sprintf("too wet: test %d reads %s, limit %s (%d of %d over); let it dry, or ask the maker of the floor for a moisture barrier",
			m.At+1, show(m.Worst), show(m.Limit), m.Over, m.Tests)
	case m.Missing() > 0:
		return fmt.Sprintf("%d of %s done; this area asks for %d more", m.Tests, units.Count(m.Wanted, "test", "tests"), m.Missing())
	}
	return fmt.Sprintf("dry enough: highest %s, limit %s, %s", show(m.Worst), show(m.Limit), units.Count(m.Tests, "test", "tests"))
}

// JudgeEmission holds dish results (lb per 1000 ft² per 24 h, [Emission.Lb])
// against the sheet's limit for a floor of areaM2. Every single test must keep the
// limit: an average hides the wet corner. It refuses a limit that is not above 0,
// readings that are negative or not numbers, and what [TestsFor] refuses.
func JudgeEmission(lb []float64, limitLb, areaM2 float64) (Moisture, error) {
	return judge("emission", "lb/1000 ft²/24 h", 1, lb, limitLb, areaM2, math.MaxFloat64)
}

// JudgeRH holds in-slab humidities (shares, 0 to 1, ASTM F2170) against the
// sheet's limit (above 0, up to 1) as [JudgeEmission] does.
func JudgeRH(rh []float64, limit, areaM2 float64) (Moisture, error) {
	return judge("in-slab humidity", "%", 100, rh, limit, areaM2, 1)
}

func judge(name, unit string, scale float64, readings []float64, limit, areaM2, most float64) (Moisture, error) {
	if !(limit > 0 && limit <= most) {
		return Moisture{}, fmt.Errorf("%s limit %.4g %s is not possible; take it from the data sheet", name, limit*scale, unit)
	}
	wanted, err := TestsFor(areaM2)
	if err != nil {
		return Moisture{}, err
	}
	m := Moisture{Limit: limit, Worst: math.NaN(), At: -1, Tests: len(readings), Wanted: wanted, unit: unit, scale: scale}
	for i, r := range readings {
		if !(r >= 0 && r <= most) {
			return Moisture{}, fmt.Errorf("%s test %d reads %.4g %s, which is not possible; read or weigh it again", name, i+1, r*scale, unit)
		}
		if m.At < 0 || r > m.Worst {
			m.Worst, m.At = r, i
		}
		if r > limit {
			m.Over++
		}
	}
	return m, nil
}

// The ends of the surface profile scale, ICRI 310.2R: chips CSP 1, the smoothest,
// to CSP 10.
const (
	LeastProfile = 1
	MostProfile  = 10
)

// CheckProfile holds a surface profile, matched against the ICRI 310.2R chips,
// against the sheet's range. A nil error means it lies inside. It tells apart a
// figure that is no profile, a range that is none, a surface too smooth and one
// too rough.
func CheckProfile(csp, least, most int) error {
	switch {
	case least < LeastProfile || most > MostProfile || least > most:
		return fmt.Errorf("profile range CSP %d to %d is not a range within 1 to 10; take it from the data sheet", least, most)
	case csp < LeastProfile || csp > MostProfile:
		return fmt.Errorf("profile CSP %d: the chips run from 1 to 10; match the surface again", csp)
	case csp < least:
		return fmt.Errorf("profile CSP %d is too smooth: the sheet asks for CSP %d to %d; prepare the surface further", csp, least, most)
	case csp > most:
		return fmt.Errorf("profile CSP %d is too rough: the sheet asks for CSP %d to %d; fill or prime it as the sheet says, and allow for the material it takes", csp, least, most)
	}
	return nil
}
