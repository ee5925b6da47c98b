package slab

import (
	"math"
	"strings"
	"testing"
	"time"

	"floorpace/internal/worked"

	"pgregory.net/rapid"
)

const ft2 = 0.3048 * 0.3048

// ASTM F1869 worked examples and the formula worked out: testdata/mver.csv.
func TestEmission(t *testing.T) {
	for _, r := range worked.Rows(t, "testdata/mver.csv") {
		d := Dish{
			BeforeG: 30, AfterG: 30 + r.Num(t, "gain_g"),
			AreaM2: r.Num(t, "area_ft2") * ft2,
			Down:   time.Duration(r.Num(t, "hours") * float64(time.Hour)),
		}
		e, err := d.Emission()
		if err != nil {
			t.Errorf("%v: %v", r, err)
			continue
		}
		if want := r.Num(t, "mver_5291_lb"); math.Abs(e.Lb-want) > 6e-5 {
			t.Errorf("%.5f lb, want %.4f (%s)", e.Lb, want, r["source"])
		}
		// The exact pound differs by 2 parts in 100,000.
		if want := r.Num(t, "mver_exact_lb"); math.Abs(e.Lb-want) > 2e-5*want+6e-5 {
			t.Errorf("%.5f lb, exact %.4f (%s)", e.Lb, want, r["source"])
		}
		if want := r.Num(t, "mver_g_m2_24h"); math.Abs(e.G-want) > 6e-4 {
			t.Errorf("%.4f g/m², want %.3f (%s)", e.G, want, r["source"])
		}
		if r["printed_value"] != "" {
			// One source cut its figure, 4.9557 to 4.95, instead of rounding it.
			if want := r.Num(t, "printed_value"); e.Lb < want-0.005 || e.Lb >= want+0.01 {
				t.Errorf("%.4f lb, published %.2f (%s)", e.Lb, want, r["source"])
			}
		}
	}
}

func TestEmissionRefuses(t *testing.T) {
	good := Dish{BeforeG: 30, AfterG: 33, AreaM2: 0.0413, Down: 72 * time.Hour}
	if _, err := good.Emission(); err != nil {
		t.Fatal(err)
	}
	for _, down := range []time.Duration{60 * time.Hour, 66 * time.Hour, 72 * time.Hour} {
		d := good
		d.Down = down
		if _, err := d.Emission(); err != nil {
			t.Errorf("%v down: %v", down, err)
		}
	}
	for _, c := range []struct {
		change func(*Dish)
		says   string
	}{
		{func(d *Dish) { d.Down = 60*time.Hour - time.Minute }, "60 to 72 h"},
		{func(d *Dish) { d.Down = 72*time.Hour + time.Minute }, "60 to 72 h"},
		{func(d *Dish) { d.AfterG = 29.5 }, "lost 0.5 g"},
		{func(d *Dish) { d.BeforeG = 0 }, "weight before"},
		{func(d *Dish) { d.BeforeG = math.NaN() }, "weight before"},
		{func(d *Dish) { d.AfterG = 3300 }, "weight after"},
		{func(d *Dish) { d.AreaM2 = 0 }, "dome area"},
		{func(d *Dish) { d.AreaM2 = 4.8 }, "dome area"},
		{func(d *Dish) { d.AreaM2 = math.NaN() }, "dome area"},
	} {
		d := good
		c.change(&d)
		if e, err := d.Emission(); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%+v gives %+v, %v; want an error with %q", d, e, err, c.says)
		}
	}
}

// The counting rule of ASTM F1869 and F2170: testdata/tests.csv.
func TestTestsFor(t *testing.T) {
	for _, r := range worked.Rows(t, "testdata/tests.csv") {
		got, err := TestsFor(r.Num(t, "area_ft2") * ft2)
		if err != nil || float64(got) != r.Num(t, "tests") {
			t.Errorf("%s ft² asks for %d tests, %v; want %s (%s)", r["area_ft2"], got, err, r["tests"], r["source"])
		}
	}
	for _, a := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if n, err := TestsFor(a); err == nil {
			t.Errorf("%g m² asks for %d tests", a, n)
		}
	}
	rapid.Check(t, func(rt *rapid.T) {
		k := rapid.IntRange(1, 2000).Draw(rt, "thousands")
		if n, err := TestsFor(float64(k) * 1000 * ft2); err != nil || n != k+2 {
			rt.Errorf("%d thousand ft² ask for %d tests, %v", k, n, err)
		}
	})
}

// 40 % of the thickness from the top only, 20 % from both sides: ASTM F2170 (from
// memory).
func TestHoleDepth(t *testing.T) {
	for _, c := range []struct {
		thick float64
		both  bool
		want  float64
	}{{0.1, false, 0.04}, {0.1, true, 0.02}, {0.15, false, 0.06}} {
		if got, err := HoleDepth(c.thick, c.both); err != nil || math.Abs(got-c.want) > 1e-12 {
			t.Errorf("HoleDepth(%g, %v) = %g, %v; want %g", c.thick, c.both, got, err, c.want)
		}
	}
	for _, bad := range []float64{0, 0.01, 150, math.NaN()} {
		if got, err := HoleDepth(bad, false); err == nil {
			t.Errorf("HoleDepth(%g) = %g, want an error", bad, got)
		}
	}
}

func TestJudge(t *testing.T) {
	for _, c := range []struct {
		name    string
		lb      []float64
		areaFt2 float64
		ok      bool
		worst   float64
		over    int
		missing int
		says    string
	}{
		{"dry", []float64{2.1, 2.9, 2.4}, 800, true, 2.9, 0, 0, "dry enough: highest 2.9 lb/1000 ft²/24 h, limit 3"},
		{"at the limit", []float64{3, 3, 3}, 1000, true, 3, 0, 0, "dry enough"},
		{"one wet corner", []float64{1, 1, 3.1}, 800, false, 3.1, 1, 0, "too wet: test 3 reads 3.1"},
		{"too few", []float64{1, 1, 1}, 2500, false, 1, 0, 2, "3 of 5 tests done; this area asks for 2 more"},
		{"wet and too few", []float64{4, 5}, 800, false, 5, 2, 1, "too wet: test 2"},
		{"more than asked", []float64{1, 1, 1, 1}, 800, true, 1, 0, 0, "4 tests"},
		{"none", nil, 800, false, math.NaN(), 0, 3, "0 of 3 tests"},
	} {
		m, err := JudgeEmission(c.lb, 3, c.areaFt2*ft2)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		same := m.Worst == c.worst || math.IsNaN(m.Worst) && math.IsNaN(c.worst)
		if m.OK() != c.ok || !same || m.Over != c.over || m.Missing() != c.missing || !strings.Contains(m.String(), c.says) {
			t.Errorf("%s: %+v, %q; want %+v", c.name, m, m, c)
		}
	}
	m, err := JudgeRH([]float64{0.71, 0.82, 0.74}, 0.75, 90)
	if err != nil || m.OK() || m.At != 1 || !strings.Contains(m.String(), "test 2 reads 82 %, limit 75 %") {
		t.Errorf("humidity: %+v, %v", m, err)
	}
	if m, err := JudgeRH([]float64{1, 1, 1}, 1, 90); err != nil || !m.OK() {
		t.Errorf("a sheet that stands full humidity: %+v, %v", m, err)
	}
}

func TestJudgeRefuses(t *testing.T) {
	for name, f := range map[string]func() (Moisture, error){
		"limit 0":         func() (Moisture, error) { return JudgeEmission([]float64{1}, 0, 90) },
		"limit nan":       func() (Moisture, error) { return JudgeEmission([]float64{1}, math.NaN(), 90) },
		"limit per cent":  func() (Moisture, error) { return JudgeRH([]float64{0.7}, 75, 90) },
		"reading below 0": func() (Moisture, error) { return JudgeEmission([]float64{1, -1}, 3, 90) },
		"reading nan":     func() (Moisture, error) { return JudgeEmission([]float64{math.NaN()}, 3, 90) },
		"per cent":        func() (Moisture, error) { return JudgeRH([]float64{0.7, 70}, 0.75, 90) },
		"no area":         func() (Moisture, error) { return JudgeRH([]float64{0.7}, 0.75, 0) },
	} {
		if m, err := f(); err == nil {
			t.Errorf("%s: judged as %v", name, m)
		}
	}
	if _, err := JudgeRH([]float64{0.7, 70}, 0.75, 90); err == nil || !strings.Contains(err.Error(), "test 2") {
		t.Errorf("%v does not name the test", err)
	}
}

// Every chip against every range, by the plain definition.
func TestCheckProfile(t *testing.T) {
	for least := -1; least <= 12; least++ {
		for most := -1; most <= 12; most++ {
			for csp := -1; csp <= 12; csp++ {
				want := ""
				switch {
				case least < 1 || most > 10 || least > most:
					want = "not a range"
				case csp < 1 || csp > 10:
					want = "run from 1 to 10"
				case csp < least:
					want = "too smooth"
				case csp > most:
					want = "too rough"
				}
				err := CheckProfile(csp, least, most)
				if (err == nil) != (want == "") || err != nil && !strings.Contains(err.Error(), want) {
					t.Fatalf("CheckProfile(%d, %d, %d): %v, want %q", csp, least, most, err, want)
				}
			}
		}
	}
}
