package stats

import (
	"math"
	"slices"
	"testing"

	"floorpace/internal/worked"
	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"
)

// columns reads the named columns of a testdata table.
func columns(t *testing.T, file string, names ...string) [][]float64 {
	t.Helper()
	out := make([][]float64, len(names))
	for _, row := range worked.Rows(t, "testdata/"+file) {
		for i, name := range names {
			out[i] = append(out[i], row.Num(t, name))
		}
	}
	return out
}

// digits is how many figures of got are right: NIST's log relative error.
func digits(got, want float64) float64 {
	if got == want {
		return 15
	}
	return -math.Log10(math.Abs(got-want) / math.Abs(want))
}

// NIST StRD Norris: all certified figures to 11 digits at least.
func TestFitNorris(t *testing.T) {
	c := columns(t, "norris.csv", "x", "y")
	l, err := Fit(c[0], c[1])
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range []struct {
		name      string
		got, want float64
	}{
		{"intercept", l.Intercept, -0.262323073774029},
		{"intercept error", l.InterceptSE, 0.232818234301152},
		{"slope", l.Slope, 1.00211681802045},
		{"slope error", l.SlopeSE, 0.429796848199937e-03},
		{"residual sd", l.ResidualSD, 0.884796396144373},
		{"r2", l.R2, 0.999993745883712},
	} {
		if d := digits(f.got, f.want); d < 11 {
			t.Errorf("%s = %.15g, certified %.15g: %.1f digits", f.name, f.got, f.want, d)
		} else {
			t.Logf("%s: %.1f digits", f.name, d)
		}
	}
	if l.N != 36 {
		t.Errorf("N = %d, want 36", l.N)
	}
	if got, want := l.At(100), -0.262323073774029+100.211681802045; digits(got, want) < 11 {
		t.Errorf("At(100) = %.15g, want %.15g", got, want)
	}
}

// The fit against gonum's own on made-up points.
func TestFitAgreesWithGonum(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(3, 40).Draw(rt, "n")
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i] = float64(i) + rapid.Float64Range(0, 0.5).Draw(rt, "x")
			y[i] = rapid.Float64Range(-50, 50).Draw(rt, "y")
		}
		l, err := Fit(x, y)
		if err != nil {
			rt.Fatal(err)
		}
		a, b := stat.LinearRegression(x, y, nil, false)
		if math.Abs(l.Intercept-a) > 1e-9 || math.Abs(l.Slope-b) > 1e-10 {
			rt.Errorf("fit %g + %g x, gonum %g + %g x", l.Intercept, l.Slope, a, b)
		}
		if r2 := stat.RSquared(x, y, nil, a, b); l.R2 > 0.01 && math.Abs(l.R2-r2) > 1e-8 {
			rt.Errorf("r2 %g, gonum %g", l.R2, r2)
		}
	})
}

func TestFitSmallAndBad(t *testing.T) {
	l, err := Fit([]float64{1, 3}, []float64{5, 9})
	if err != nil || l.Slope != 2 || l.Intercept != 3 || l.R2 != 1 || !math.IsNaN(l.SlopeSE) || !math.IsNaN(l.ResidualSD) {
		t.Errorf("two points: %+v, %v; want 3 + 2x without errors", l, err)
	}
	l, err = Fit([]float64{1, 2, 3}, []float64{4, 4, 4})
	if err != nil || l.Slope != 0 || l.SlopeSE != 0 || !math.IsNaN(l.R2) {
		t.Errorf("level points: %+v, %v; want slope 0, no r2", l, err)
	}
	for name, c := range map[string][2][]float64{
		"lengths": {{1, 2}, {1}},
		"one":     {{1}, {1}},
		"none":    {nil, nil},
		"same x":  {{2, 2, 2}, {1, 2, 3}},
		"nan":     {{1, math.NaN(), 3}, {1, 2, 3}},
		"inf":     {{1, 2, 3}, {1, math.Inf(-1), 3}},
	} {
		if l, err := Fit(c[0], c[1]); err == nil {
			t.Errorf("%s: fitted %+v, want an error", name, l)
		}
	}
}

// The 12 values of the NIST/SEMATECH e-Handbook percentile example.
var resistivities = []float64{
	95.1772, 95.1567, 95.1937, 95.1959, 95.1442, 95.0610, 95.1591, 95.1195, 95.1065, 95.0925, 95.1990, 95.1682,
}

func TestQuantiles(t *testing.T) {
	v := slices.Sorted(slices.Values(resistivities))
	c := columns(t, "quantile.csv", "p", "type6", "type7")
	for i, p := range c[0] {
		if got := QuantileNIST(v, p); math.Abs(got-c[1][i]) > 5e-7 {
			t.Errorf("type 6 at %g = %.7f, want %.6f", p, got, c[1][i])
		}
		if got := Quantile(v, p); math.Abs(got-c[2][i]) > 5e-7 {
			t.Errorf("type 7 at %g = %.7f, want %.6f", p, got, c[2][i])
		}
	}
	// Printed by the e-Handbook to four decimals.
	if got := QuantileNIST(v, 0.90); math.Abs(got-95.1981) > 5e-5 {
		t.Errorf("90th percentile %.5f, the handbook prints 95.1981", got)
	}
	for _, q := range []func([]float64, float64) float64{Quantile, QuantileNIST} {
		if q(v, 0) != v[0] || q(v, 1) != v[11] || q([]float64{7}, 0.3) != 7 || q([]float64{1, 2, 3}, 0.5) != 2 {
			t.Error("ends, a single value or the middle of three come out wrong")
		}
		for _, p := range []float64{-0.01, 1.01, math.NaN()} {
			if !math.IsNaN(q(v, p)) {
				t.Errorf("p = %g gives a figure", p)
			}
		}
		if !math.IsNaN(q(nil, 0.5)) {
			t.Error("no values give a figure")
		}
	}
}

func TestQuantilesNeverFall(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		v := rapid.SliceOfN(rapid.Float64Range(-1e3, 1e3), 1, 30).Draw(rt, "v")
		slices.Sort(v)
		p := rapid.Float64Range(0, 1).Draw(rt, "p")
		q := rapid.Float64Range(p, 1).Draw(rt, "q")
		if Quantile(v, p) > Quantile(v, q)+1e-9 || QuantileNIST(v, p) > QuantileNIST(v, q)+1e-9 {
			rt.Errorf("a higher p gave a lower quantile")
		}
		if x := Quantile(v, p); x < v[0] || x > v[len(v)-1] {
			rt.Errorf("%g lies outside the data", x)
		}
	})
}

// Running moments against gonum's two-pass ones, on values with a large offset.
func TestMoments(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		v := rapid.SliceOfN(rapid.Float64Range(0, 10), 2, 50).Draw(rt, "v")
		var m Moments
		for i := range v {
			v[i] += 1e6
			m.Add(v[i])
		}
		mean, variance := stat.MeanVariance(v, nil)
		if m.N() != len(v) || math.Abs(m.Mean()-mean) > 1e-8 || math.Abs(m.Variance()-variance) > 1e-6 || math.Abs(m.SD()*m.SD()-m.Variance()) > 1e-9 {
			rt.Errorf("n %d mean %.10g variance %.10g, gonum %.10g and %.10g", m.N(), m.Mean(), m.Variance(), mean, variance)
		}
	})
	var m Moments
	if !math.IsNaN(m.Mean()) || !math.IsNaN(m.Variance()) {
		t.Error("moments of nothing give a figure")
	}
	m.Add(3)
	if m.Mean() != 3 || !math.IsNaN(m.SD()) {
		t.Error("one value has its mean and no spread")
	}
}
