package air

import (
	"math"
	"strings"
	"testing"

	"floorpace/internal/worked"
	"pgregory.net/rapid"
)

// The whole grid of an independent library of the same ASHRAE equations, which
// stops at 0.001 °C: frost points too, and the Magnus form within 0.05 °C where
// the package says so.
func TestDewPointGrid(t *testing.T) {
	var worst, worstFrost, magnusOff float64
	water := 0
	for _, r := range worked.Rows(t, "testdata/dewpoint.csv") {
		tC, rh := r.Num(t, "t_c"), r.Num(t, "rh_pct")/100
		p, err := DewPoint(tC, rh)
		if err != nil {
			t.Fatal(err)
		}
		want := r.Num(t, "tdp_c")
		if d := math.Abs(p.C - want); d > 0.01 {
			t.Errorf("%g °C, %g %%: %.4f °C, want %.4f (%s)", tC, rh*100, p.C, want, r["source"])
		} else if p.Frost {
			worstFrost = math.Max(worstFrost, d)
		} else {
			worst = math.Max(worst, d)
		}
		if p.Frost != (r["branch"] == "ice") {
			t.Errorf("%g °C, %g %%: %s at %.4f °C, the table says %s", tC, rh*100, p.Name(), p.C, r["branch"])
		}
		if got, want := SatPressure(tC), r.Num(t, "pws_pa"); math.Abs(got-want) > 0.006+1e-6*want {
			t.Errorf("saturation pressure at %g °C = %.3f Pa, want %.2f", tC, got, want)
		}
		if p.Frost {
			continue
		}
		water++
		off := math.Abs(p.C - r.Num(t, "magnus_tdp_c"))
		magnusOff = math.Max(magnusOff, off)
		if off > 0.05 {
			t.Errorf("%g °C, %g %%: %.4f °C, Magnus %s, %.3f apart", tC, rh*100, p.C, r["magnus_tdp_c"], off)
		}
		if got, want := magnus(tC, rh), r.Num(t, "magnus_tdp_c"); math.Abs(got-want) > 6e-5 {
			t.Errorf("Magnus at %g °C, %g %% = %.5f, want %.4f", tC, rh*100, got, want)
		}
	}
	t.Logf("worst above freezing %.5f (%d rows), frost %.5f; Magnus %.4f off", worst, water, worstFrost, magnusOff)
}

// The range the package comment states for the Magnus form: within 0.05 °C in air
// of 0 to 50 °C above freezing, at any humidity, and no longer at 52 °C.
func TestMagnusRange(t *testing.T) {
	worst := func(tC float64) (most float64) {
		for i := 1; i <= 1000; i++ {
			rh := float64(i) / 1000
			p, err := DewPoint(tC, rh)
			if err != nil {
				t.Fatal(err)
			}
			if !p.Frost {
				most = math.Max(most, math.Abs(p.C-magnus(tC, rh)))
			}
		}
		return most
	}
	for tC := 0.0; tC <= 50; tC += 0.5 {
		if d := worst(tC); d > 0.045 {
			t.Errorf("at %g °C Magnus is %.4f °C off", tC, d)
		}
	}
	if d := worst(52); d <= 0.05 {
		t.Errorf("at 52 °C Magnus is only %.4f °C off: the stated range is too narrow", d)
	}
}

// The same library in its Fahrenheit form. It solves in Fahrenheit, to 0.001.
func TestDewPointFahrenheit(t *testing.T) {
	worst := 0.0
	for _, r := range worked.Rows(t, "testdata/dewpoint_f.csv") {
		tF := r.Num(t, "t_f")
		p, err := DewPoint((tF-32)/1.8, r.Num(t, "rh_pct")/100)
		if err != nil {
			t.Fatal(err)
		}
		gotF, want := p.C*1.8+32, r.Num(t, "tdp_f")
		if d := math.Abs(gotF - want); d > 0.018 { // 0.01 °C
			t.Errorf("%g °F, %s %%: %.4f °F, want %.4f (%s)", tF, r["rh_pct"], gotF, want, r["source"])
		} else {
			worst = math.Max(worst, d)
		}
		// The least slab the table gives passes the 5 °F rule; a hair less fails.
		least := (r.Num(t, "min_slab_f") - 32) / 1.8
		for _, c := range []struct {
			slab float64
			want Call
		}{{least + 0.01, Go}, {least - 0.01, Stop}} {
			v, err := Judge(c.slab, (tF-32)/1.8, r.Num(t, "rh_pct")/100, FiveF, Instruments{})
			if err != nil || v.Call != c.want {
				t.Errorf("%g °F, %s %%, slab %.3f °C: %v, %v; want %v", tF, r["rh_pct"], c.slab, v, err, c.want)
			}
		}
	}
	t.Logf("worst %.5f °F", worst)
}

// Laws over the whole range: the air at its dew point is just full; damper air
// has a higher dew point; no dew point is above the air.
func TestDewPointLaws(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		tC := rapid.Float64Range(-60, 200).Draw(rt, "t")
		rh := rapid.Float64Range(0.02, 1).Draw(rt, "rh")
		p, err := DewPoint(tC, rh)
		if err != nil {
			rt.Fatal(err)
		}
		if p.C > tC+1e-9 {
			rt.Errorf("dew point %.9f above the air at %.9f", p.C, tC)
		}
		// At the triple point the two equations meet with a step of a few parts in a
		// hundred thousand.
		if got, want := SatPressure(p.C), rh*SatPressure(tC); math.Abs(got-want) > 1e-4*want {
			rt.Errorf("%g °C, %g: pressure at the dew point %g Pa, in the air %g", tC, rh, got, want)
		}
		damper, err := DewPoint(tC, math.Min(1, rh*1.01))
		if err != nil || damper.C < p.C-1e-9 {
			rt.Errorf("damper air has dew point %.9f, drier %.9f (%v)", damper.C, p.C, err)
		}
		if p.Frost != (p.C <= 0.01) || strings.HasPrefix(p.Name(), "frost") != p.Frost {
			rt.Errorf("%.4f °C is called a %s", p.C, p.Name())
		}
	})
	for _, tC := range []float64{-100, -40, 0, 0.01, 0.02, 15, 100, 200} {
		if p, err := DewPoint(tC, 1); err != nil || math.Abs(p.C-tC) > 1e-6 {
			t.Errorf("full air at %g °C has dew point %.8f, %v", tC, p.C, err)
		}
	}
}

// Triple point, 611.657 Pa, and the boiling point at one atmosphere, 101,325 Pa
// at 99.97 °C: IAPWS and CODATA figures (from memory).
func TestSatPressureFixedPoints(t *testing.T) {
	for _, c := range []struct{ tC, pa, tol float64 }{
		{0.01, 611.657, 0.2}, {0.010001, 611.657, 0.2}, {99.974, 101325, 40},
	} {
		if got := SatPressure(c.tC); math.Abs(got-c.pa) > c.tol {
			t.Errorf("saturation pressure at %g °C = %.3f Pa, want %.3f ± %g", c.tC, got, c.pa, c.tol)
		}
	}
	for _, tC := range []float64{-100.1, 200.1, math.NaN()} {
		if !math.IsNaN(SatPressure(tC)) {
			t.Errorf("a pressure is given at %g °C", tC)
		}
	}
}

func TestDewPointRefuses(t *testing.T) {
	for _, c := range []struct {
		tC, rh float64
		says   string
	}{
		{math.NaN(), 0.5, "thermometer"},
		{-101, 0.5, "thermometer"},
		{201, 0.5, "thermometer"},
		{20, 0, "hygrometer"},
		{20, -0.1, "hygrometer"},
		{20, 1.01, "hygrometer"},
		{20, 70, "hygrometer"}, // per cent where a share is meant
		{20, math.NaN(), "hygrometer"},
		{-90, 0.001, "frost point lies below -100"},
	} {
		if p, err := DewPoint(c.tC, c.rh); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("DewPoint(%g, %g) = %v, %v; want an error about %q", c.tC, c.rh, p, err, c.says)
		}
	}
}

// Uno's equation, and an older chart where it has a figure: read off a graph, so
// good to 0.02 lb/ft² an hour.
func TestDrying(t *testing.T) {
	const lbFt2PerKgM2 = 0.3048 * 0.3048 / 0.45359237
	for _, r := range worked.Rows(t, "testdata/evaporation.csv") {
		c := func(col string) float64 { return (r.Num(t, col) - 32) / 1.8 }
		got, err := Drying(c("surface_f"), c("air_f"), r.Num(t, "rh"), r.Num(t, "wind_mph")*1.609344)
		if err != nil {
			t.Fatal(err)
		}
		if want := r.Num(t, "uno_kg_m2_h"); math.Abs(got-want) > 6e-5 {
			t.Errorf("%v: %.5f kg/m²/h, want %.4f", r, got, want)
		}
		if r["printed_lb"] != "" {
			if want := r.Num(t, "printed_lb"); math.Abs(got*lbFt2PerKgM2-want) > 0.02 {
				t.Errorf("%v: %.4f lb/ft²/h, the chart gives %g", r, got*lbFt2PerKgM2, want)
			}
		}
	}
	if got, err := Drying(5, 30, 1, 10); err != nil || got != 0 {
		t.Errorf("a cold surface in full air dries %g, %v; want 0", got, err)
	}
	for _, c := range [][4]float64{{-20, 20, 0.5, 5}, {20, 90, 0.5, 5}, {20, 20, 50, 5}, {20, 20, 0.5, -1}, {20, 20, 0.5, math.NaN()}} {
		if got, err := Drying(c[0], c[1], c[2], c[3]); err == nil {
			t.Errorf("Drying(%v) = %g, want an error", c, got)
		}
	}
}
