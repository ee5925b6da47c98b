// Package stats holds the few statistics the console needs: quantiles, running
// moments, a straight-line fit, and learning a step's time as the day goes on.
//
// # Formulas and sources
//
// Quantiles: Hyndman and Fan, "Sample quantiles in statistical packages", The
// American Statistician 50 (1996) 361–365. Type 7 puts quantile p at rank
// 1 + p(n−1); type 6, the rule of the NIST/SEMATECH e-Handbook, at p(n+1).
//
// Running mean and variance: Welford, Technometrics 4 (1962) 419–420:
//
//	mean += (x − mean)/n,   M2 += (x − mean before)(x − mean after)
//
// Straight line by least squares about the means, with Sxx = Σ(x−x̄)²:
//
//	slope b = Sxy/Sxx, intercept a = ȳ − b·x̄, s² = Σ(y−a−bx)²/(n−2)
//	se(b) = s/√Sxx, se(a) = s·√(1/n + x̄²/Sxx), r² = 1 − Σ(y−a−bx)²/Syy
//
// Learning of times: see [LogTime].
//
// Sources are cited from memory; the tests check the numbers against the NIST
// e-Handbook example and the NIST data set Norris.
package stats

import (
	"fmt"
	"math"
)

// Quantile is the type 7 quantile of ascending values at p in [0, 1], the usual
// one of spreadsheets. It is NaN for no values or a p outside the range. The
// values are not changed; they must be sorted already.
func Quantile(sorted []float64, p float64) float64 {
	return atRank(sorted, p, 1+p*float64(len(sorted)-1))
}

// QuantileNIST is the type 6 quantile, at rank p(n+1), held to the ends of the
// data: wider in the tails than [Quantile], the cautious choice for few values.
func QuantileNIST(sorted []float64, p float64) float64 {
	return atRank(sorted, p, p*float64(len(sorted)+1))
}

// atRank interpolates between neighbours at a 1-based, fractional rank.
func atRank(sorted []float64, p, rank float64) float64 {
	n := len(sorted)
	if n == 0 || !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	// p(n+1) of a decimal p may miss a whole rank by a rounding error.
	if r := math.Round(rank); math.Abs(rank-r) < 1e-9 {
		rank = r
	}
	if rank <= 1 {
		return sorted[0]
	}
	if rank >= float64(n) {
		return sorted[n-1]
	}
	k := int(rank)
	d := rank - float64(k)
	if d == 0 {
		return sorted[k-1]
	}
	return sorted[k-1] + d*(sorted[k]-sorted[k-1])
}

// Moments gathers a mean and a variance one value at a time. The zero value is
// ready to use.
type Moments struct {
	n        int
	mean, m2 float64
}

// Add takes in one value.
func (m *Moments) Add(x float64) {
	m.n++
	before := x - m.mean
	m.mean += before / float64(m.n)
	m.m2 += before * (x - m.mean)
}

// N is how many values were added.
func (m Moments) N() int { return m.n }

// Mean is the average, NaN before the first value.
func (m Moments) Mean() float64 {
	if m.n == 0 {
		return math.NaN()
	}
	return m.mean
}

// Variance is the sample variance (divisor n−1), NaN for fewer than two values.
func (m Moments) Variance() float64 {
	if m.n < 2 {
		return math.NaN()
	}
	return m.m2 / float64(m.n-1)
}

// SD is the square root of [Moments.Variance].
func (m Moments) SD() float64 { return math.Sqrt(m.Variance()) }

// Line is a straight line y = Intercept + Slope·x fitted by least squares.
// With two points the line is exact and the three errors are NaN.
type Line struct {
	N                    int
	Slope, Intercept     float64
	SlopeSE, InterceptSE float64 // standard errors
	ResidualSD           float64 // √(Σ residual² / (n − 2))
	R2                   float64 // share of the variance of y explained; NaN when y is constant
}

// At is the height of the line at x.
func (l Line) At(x float64) float64 { return l.Intercept + l.Slope*x }

// Fit puts a straight line through the points (x[i], y[i]). It refuses slices of
// different lengths, fewer than two points, values that are not finite, and
// points that all share one x.
func Fit(x, y []float64) (Line, error) {
	n := len(x)
	if n != len(y) {
		return Line{}, fmt.Errorf("line fit: %d x values but %d y values; give one y for each x", n, len(y))
	}
	if n < 2 {
		return Line{}, fmt.Errorf("line fit: %d points; at least 2 are needed", n)
	}
	var mx, my float64
	for i := range x {
		mx += x[i] / float64(n)
		my += y[i] / float64(n)
	}
	if math.IsNaN(mx+my) || math.IsInf(mx+my, 0) {
		return Line{}, fmt.Errorf("line fit: a value is not a finite number; leave that point out")
	}
	var sxx, sxy, syy float64
	for i := range x {
		dx, dy := x[i]-mx, y[i]-my
		sxx += dx * dx
		sxy += dx * dy
		syy += dy * dy
	}
	if sxx == 0 {
		return Line{}, fmt.Errorf("line fit: all %d points have x = %g; they need different x", n, x[0])
	}
	b := sxy / sxx
	l := Line{N: n, Slope: b, Intercept: my - b*mx, R2: math.NaN(), SlopeSE: math.NaN(), InterceptSE: math.NaN(), ResidualSD: math.NaN()}
	// Residuals are taken about the means and summed one by one: the short form
	// Syy − b·Sxy would lose half the digits when the fit is close.
	var rss float64
	for i := range x {
		r := (y[i] - my) - b*(x[i]-mx)
		rss += r * r
	}
	if syy > 0 {
		l.R2 = 1 - rss/syy
	}
	if n > 2 {
		l.ResidualSD = math.Sqrt(rss / float64(n-2))
		l.SlopeSE = l.ResidualSD / math.Sqrt(sxx)
		l.InterceptSE = l.ResidualSD * math.Sqrt(1/float64(n)+mx*mx/sxx)
	}
	return l, nil
}
