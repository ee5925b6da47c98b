package units

import (
	"math"
	"strconv"
	"testing"

	"floorpace/internal/worked"
)

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatalf("number %q: %v", s, err)
	}
	return v
}

func mustParse(t *testing.T, k Kind, s string, sys System) float64 {
	t.Helper()
	v, err := Parse(k, s, sys)
	if err != nil {
		t.Fatalf("Parse(%v, %q, %v): %v", k, s, sys, err)
	}
	return v
}

func kindNamed(t *testing.T, name string) Kind {
	t.Helper()
	for k := range kinds {
		if k.String() == name {
			return k
		}
	}
	t.Fatalf("no kind is called %q", name)
	return 0
}

// Every unit against its exact size: testdata/conversion.csv (NIST SP 811).
func TestConversions(t *testing.T) {
	for _, r := range worked.Rows(t, "testdata/conversion.csv") {
		got := mustParse(t, kindNamed(t, r["kind"]), r["written"], Metric)
		want := r.Num(t, "si")
		tol := math.Max(r.Num(t, "tolerance"), 4e-16*math.Abs(want)) // two last bits
		if math.Abs(got-want) > tol {
			t.Errorf("%s %q = %.17g, want %.17g (%s)", r["kind"], r["written"], got, want, r["source"])
		}
	}
}

// Wet film coverage against a published table: testdata/coverage.csv.
func TestCoverage(t *testing.T) {
	gallon := Yield{VolumeL: mustParse(t, Volume, "1 gal", US)}
	litre := Yield{VolumeL: mustParse(t, Volume, "1 L", US)}
	for _, r := range worked.Rows(t, "testdata/coverage.csv") {
		mil := mustParse(t, Depth, r["mil"]+" mil", US)
		mm := mustParse(t, Depth, r["mm"]+" mm", US)
		if math.Abs(mil-mm) > 1e-12 {
			t.Errorf("%s mil = %.10g m but %s mm = %.10g m", r["mil"], mil, r["mm"], mm)
		}
		ft2 := To(Area, gallon.AreaAt(mil), US)
		if want := r.Num(t, "ft2_per_gal"); math.Abs(ft2-want) > 5e-5 { // the table's last figure
			t.Errorf("1 gal at %s mil covers %.5f ft², want %.4f (%s)", r["mil"], ft2, want, r["source"])
		}
		if p := r["printed_ft2_per_gal"]; p != "" {
			// The printed table starts from 1604 in places, so it is 2 parts in 10,000 low,
			// plus half its last figure.
			if want := number(t, p); math.Abs(ft2-want) > 2e-4*want+0.05 {
				t.Errorf("1 gal at %s mil covers %.3f ft², published %s (%s)", r["mil"], ft2, p, r["source"])
			}
		}
		if got, want := 1/litre.AreaAt(mil), r.Num(t, "L_per_m2"); math.Abs(got-want) > 5e-5+1e-9 {
			t.Errorf("%s mil needs %.5f L/m², want %.4f", r["mil"], got, want)
		}
	}
}

// Kits at several depths: testdata/kits.csv (common practice, no source).
func TestKits(t *testing.T) {
	for _, r := range worked.Rows(t, "testdata/kits.csv") {
		y, err := ParseYield(r["given"], US)
		if err != nil {
			t.Fatal(err)
		}
		got := y.AreaAt(mustParse(t, Depth, r["depth"], US))
		want := mustParse(t, Area, r["area"], US)
		if math.Abs(got-want) > 1e-9*want {
			t.Errorf("%s covers %s at %s, want %s (%s)", r["given"], Format(Area, got, US), r["depth"], r["area"], r["source"])
		}
	}
}

func TestYieldForms(t *testing.T) {
	for _, c := range []struct {
		in     string
		sys    System
		litres float64
		print  string
	}{
		{"14 L", US, 14, "3.7 gal"},
		{"14", Metric, 14, "14 L"},
		{"3.7 gal", Metric, 3.7 * 3.785411784, "14.01 L"},
		{"2.2 m2 at 6 mm", Metric, 13.2, "2.2 m² at 6 mm"},
		{"2.2@6", Metric, 13.2, "2.2 m² at 6 mm"},
		{"66 ft² at 1/8 in", US, 66 * 12 * 12 * 0.125 / 231 * 3.785411784, "66 ft² at 1/8 in"}, // in³ by 231 in³/gal
		{"66  AT  1/8", US, 0, ""},
		{"66 at 1/8", US, 66 * 12 * 12 * 0.125 / 231 * 3.785411784, "66 ft² at 1/8 in"},
	} {
		y, err := ParseYield(c.in, c.sys)
		if c.litres == 0 {
			if err == nil {
				t.Errorf("ParseYield(%q) = %v, want an error", c.in, y)
			}
			continue
		}
		if err != nil {
			t.Errorf("ParseYield(%q): %v", c.in, err)
			continue
		}
		if math.Abs(y.Litres()-c.litres) > 1e-9 || y.Format(c.sys) != c.print {
			t.Errorf("ParseYield(%q) = %.9f L, %q; want %.9f L, %q", c.in, y.Litres(), y.Format(c.sys), c.litres, c.print)
		}
	}
	for _, in := range []string{"", "0 L", "14 kg", "66 ft² at", "66 ft² at 3 L", "at 6 mm", "0 m2 at 6 mm", "2 m2 at 0 mm", "-3 L", "2,2 m2 at 6 mm", "2 m2 at 6 mm at 3 mm"} {
		if y, err := ParseYield(in, Metric); err == nil {
			t.Errorf("ParseYield(%q) = %+v, want an error", in, y)
		}
	}
}

func TestAgree(t *testing.T) {
	yield := func(s string) Yield {
		y, err := ParseYield(s, US)
		if err != nil {
			t.Fatal(err)
		}
		return y
	}
	for _, c := range []struct {
		a, b string
		ok   bool
	}{
		{"66 ft² at 1/8 in", "44 ft² at 3/16 in", true},
		{"66 ft² at 1/8 in", "33 ft² at 1/4 in", true},
		{"66 ft² at 1/8 in", "5.1 gal", true},   // 5.143 gal: 0.8 % apart, rounding
		{"66 ft² at 1/8 in", "5 gal", false},    // 2.8 % apart: a kit in 36
		{"66 ft² at 1/8 in", "5.25 gal", false}, // 2.04 % apart, just past
		{"66 ft² at 1/8 in", "5.24 gal", true},
		{"66 ft² at 1/8 in", "66 ft² at 3/16 in", false},
	} {
		d, ok := Agree(yield(c.a), yield(c.b))
		back, okBack := Agree(yield(c.b), yield(c.a))
		if ok != c.ok || ok != okBack || d != back {
			t.Errorf("Agree(%q, %q) = %.4f %v, other way %.4f %v; want %v", c.a, c.b, d, ok, back, okBack, c.ok)
		}
	}
	// By hand: 14 L against 16 L is 2/16.
	if d, ok := Agree(Yield{VolumeL: 14}, Yield{VolumeL: 16}); math.Abs(d-0.125) > 1e-12 || ok {
		t.Errorf("Agree(14 L, 16 L) = %v, %v; want 0.125, false", d, ok)
	}
	if _, ok := Agree(Yield{}, Yield{}); ok {
		t.Error("two empty yields agree; nothing agrees with nothing")
	}
}
