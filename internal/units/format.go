package units

import (
	"math"
	"strconv"
	"strings"
)

// NoFigure is printed for a value that is not a finite number.
const NoFigure = "no figure"

// significant is how many digits Format keeps in all, so long as the kind's own
// decimals allow: 1.468 m²/min, 84.1 %, 8.41 m², 1234 ft².
const significant = 4

// Format prints an SI value in the crew's units with its unit: "6 mm", "66 ft²",
// "7.47 m". It keeps four significant digits at most after the point, never more
// decimals than the crew can measure, and drops trailing zeros; digits before
// the point are always whole. Inch depths that are a multiple of 1/32 in print
// as a fraction, "3/16 in". Time prints as a clock, see [Clock]. What is not a
// finite number prints as [NoFigure].
//
// What Format prints, [Parse] reads back to a value that prints the same.
func Format(k Kind, si float64, sys System) string {
	bare := FormatBare(k, si, sys)
	if k == Time || bare == NoFigure {
		return bare
	}
	return bare + " " + Unit(k, sys)
}

// FormatBare is [Format] without the unit, for columns that name it once. Time
// keeps its clock form.
func FormatBare(k Kind, si float64, sys System) string {
	if math.IsNaN(si) || math.IsInf(si, 0) {
		return NoFigure
	}
	if k == Time {
		return Clock(seconds(si))
	}
	v := To(k, si, sys)
	places := k.info().crew(sys).places
	if k == Depth && sys == US {
		if f, ok := inchFraction(v, places); ok {
			return f
		}
		return trimNumber(v, places)
	}
	return trimNumber(v, min(places, placesFor(v)))
}

// FormatFixed prints an SI value in the crew's units with exactly the decimals
// asked for and its unit: for columns, and where the decimals carry meaning.
func FormatFixed(k Kind, si float64, sys System, decimals int) string {
	if math.IsNaN(si) || math.IsInf(si, 0) {
		return NoFigure
	}
	s := strconv.FormatFloat(To(k, si, sys), 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return s + " " + Unit(k, sys)
}

// placesFor is how many decimals bring v to [significant] digits, 0 at least.
func placesFor(v float64) int {
	v = math.Abs(v)
	places := significant - 1
	for v >= 10 && places > 0 {
		v /= 10
		places--
	}
	return places
}

// trimNumber prints v with at most the given decimals and no trailing zeros.
func trimNumber(v float64, places int) string {
	s := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// inchFraction prints inches as a fraction when v, or v rounded to the decimals
// it would print with, is a multiple of 1/32 in. Rounding first matters: 0.1249
// would print as 0.125, which reads back as 1/8.
func inchFraction(v float64, places int) (string, bool) {
	scale := math.Pow(10, float64(places))
	for _, x := range []float64{v, math.Round(v*scale) / scale} {
		n := math.Round(x * 32)
		if math.Abs(x-n/32) > 1e-6 || math.Abs(n) > 1e6 { // 1e-6 in: far below any gauge, far above rounding
			continue
		}
		return fraction32(int(n)), true
	}
	return "", false
}

// fraction32 prints n/32 in lowest terms: "3/16", "1 1/2", "2".
func fraction32(n int) string {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	whole, num, den := n/32, n%32, 32
	for num > 0 && num%2 == 0 {
		num, den = num/2, den/2
	}
	part := strconv.Itoa(num) + "/" + strconv.Itoa(den)
	switch {
	case num == 0:
		return sign + strconv.Itoa(whole)
	case whole == 0:
		return sign + part
	}
	return sign + strconv.Itoa(whole) + " " + part
}

// Count prints how many of a thing: "1 kit", "2 kits", "0 kits".
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}
