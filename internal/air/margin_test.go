package air

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"floorpace/internal/worked"

	"floorpace/internal/stats"

	"pgregory.net/rapid"
)

// The cold dock of the worked days: testdata/day2.csv. Its printed figures are
// those of the Magnus form, to the digit; ASHRAE's equations differ from them by
// less than 0.015 °C (the grid's own row for 17 °C, 70 % is 11.4950), and every
// call comes out as printed.
func TestColdDock(t *testing.T) {
	site := Instruments{SlabC: 0.5, AirC: 0.5, RH: 0.02}
	for _, r := range worked.Rows(t, "testdata/day2.csv") {
		slabC, airC, rh := r.Num(t, "slab_c"), r.Num(t, "air_c"), r.Num(t, "rh")
		if got := fmt.Sprintf("%.2f", magnus(airC, rh)); got != r["printed_dew_c"] {
			t.Errorf("%s: dew point by Magnus %s, printed %s", r["place"], got, r["printed_dew_c"])
		}
		if got := math.Abs(slabC - magnus(airC, rh) - r.Num(t, "printed_margin_k")); got > 0.00501 {
			t.Errorf("%s: margin by Magnus is %.4f off the printed %s", r["place"], got, r["printed_margin_k"])
		}
		for _, rule := range []struct {
			rule Rule
			col  string
		}{{ThreeC, "three_c"}, {FiveF, "five_f"}} {
			v, err := Judge(slabC, airC, rh, rule.rule, site)
			if err != nil {
				t.Fatal(err)
			}
			if d := v.Dew.C - r.Num(t, "printed_dew_c"); math.Abs(d) > 0.015 {
				t.Errorf("%s: dew point %.4f, printed %s", r["place"], v.Dew.C, r["printed_dew_c"])
			}
			if d := v.MarginK - r.Num(t, "printed_margin_k"); math.Abs(d) > 0.015 {
				t.Errorf("%s: margin %.4f, printed %s", r["place"], v.MarginK, r["printed_margin_k"])
			}
			if v.Call.String() != r[rule.col] {
				t.Errorf("%s by the %v rule: %v, want %s", r["place"], rule.rule, v, r[rule.col])
			}
		}
	}
	// At 71 % with exact instruments the two rules part: stop by 3 °C, go by 5 °F.
	for _, c := range []struct {
		rule Rule
		want Call
	}{{ThreeC, Stop}, {FiveF, Go}} {
		if v, err := Judge(14.5, 17, 0.71, c.rule, Instruments{}); err != nil || v.Call != c.want {
			t.Errorf("71 %% by the %v rule: %v, %v; want %v", c.rule, v, err, c.want)
		}
	}
}

// The error of a margin by hand. Slab alone: its own error. Humidity alone, at
// 17 °C and 70 %: three points damper, 73 %, has its dew point 0.6 to 0.7 K higher
// (Magnus by hand: 12.12 against 11.49). All three: the root of the squares' sum.
func TestMarginError(t *testing.T) {
	errorOf := func(i Instruments) float64 {
		v, err := Judge(14.5, 17, 0.7, ThreeC, i)
		if err != nil {
			t.Fatal(err)
		}
		return v.ErrorK
	}
	if got := errorOf(Instruments{SlabC: 0.5}); math.Abs(got-0.5) > 1e-12 {
		t.Errorf("slab ± 0.5 gives ± %g", got)
	}
	rh := errorOf(Instruments{RH: 0.03})
	if want := magnus(17, 0.73) - magnus(17, 0.7); math.Abs(rh-want) > 0.005 || rh < 0.6 || rh > 0.7 {
		t.Errorf("humidity ± 3 %% gives ± %.4f, Magnus %.4f", rh, want)
	}
	air := errorOf(Instruments{AirC: 0.5})
	if want := magnus(17.5, 0.7) - magnus(17, 0.7); math.Abs(air-want) > 0.005 {
		t.Errorf("air ± 0.5 gives ± %.4f, Magnus %.4f", air, want)
	}
	all := errorOf(Instruments{SlabC: 0.5, AirC: 0.5, RH: 0.03})
	if want := math.Sqrt(0.25 + rh*rh + air*air); math.Abs(all-want) > 1e-12 {
		t.Errorf("all three give ± %g, want %g", all, want)
	}
}

// At the edges of the three answers: exactly the rule is kept, exactly the error
// above it is go.
func TestJudgeEdges(t *testing.T) {
	dew, err := DewPoint(20, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		over float64 // slab above dew point + rule
		want Call
	}{{-0.001, Stop}, {0, Amber}, {0.499, Amber}, {0.5, Go}, {5, Go}, {-20, Stop}} {
		v, err := Judge(dew.C+3+c.over, 20, 0.5, ThreeC, Instruments{SlabC: 0.5})
		if err != nil || v.Call != c.want {
			t.Errorf("%+g K from the rule: %v, %v; want %v", c.over, v, err, c.want)
		}
		if want := math.Max(0, -c.over); math.Abs(v.ShortK()-want) > 1e-9 {
			t.Errorf("%+g K from the rule is short by %g", c.over, v.ShortK())
		}
	}
	// Full air with an erring hygrometer stays full.
	if v, err := Judge(24, 20, 1, ThreeC, Instruments{RH: 0.05}); err != nil || v.ErrorK > 1e-9 || v.Call != Go {
		t.Errorf("full air: %v, %v", v, err)
	}
	if v, err := Judge(-3, -2, 0.6, ThreeC, Instruments{}); err != nil || !strings.Contains(v.String(), "frost point") {
		t.Errorf("below freezing: %v, %v; want a frost point", v, err)
	}
}

// A margin is never shown larger than it is.
func TestShownMargin(t *testing.T) {
	for m, want := range map[float64]float64{2.997: 2.99, 3: 3, 3 - 1e-12: 3, 3.0049: 3, -0.495: -0.5, 4.4414: 4.44} {
		if got := (Verdict{MarginK: m}).ShownK(); math.Abs(got-want) > 1e-12 {
			t.Errorf("margin %g is shown as %g, want %g", m, got, want)
		}
	}
	v, err := Judge(14.49, 17, 0.7, ThreeC, Instruments{SlabC: 0.5})
	want := "stop: slab 14.5 °C, dew point 11.50 °C, margin +2.99 ± 0.50 °C against 3 °C"
	if err != nil || v.String() != want {
		t.Errorf("%q, %v; want %q", v, err, want)
	}
}

func TestRuleNames(t *testing.T) {
	for r, want := range map[Rule]string{ThreeC: "3 °C", FiveF: "5 °F", 2.78: "5 °F", 4.5: "4.5 °C"} {
		if r.String() != want {
			t.Errorf("rule %g is called %q, want %q", float64(r), r, want)
		}
	}
	if d := float64(ThreeC - FiveF); math.Abs(d-2.0/9) > 1e-12 {
		t.Errorf("the rules are %g K apart, want 2/9", d)
	}
}

func TestJudgeThrough(t *testing.T) {
	none := Instruments{}
	// Day 2 after heating: dew point 10.56 °C (ASHRAE), +4.44: go now. The slab
	// falling back to 13 °C leaves +2.44, a stop; to 14 °C +3.44, still go.
	for _, c := range []struct {
		lowest float64
		margin float64
		want   Call
	}{{13, 2.44, Stop}, {14, 3.44, Go}, {15, 4.44, Go}, {18, 4.44, Go}} {
		th, err := JudgeThrough(15, c.lowest, 19, 0.58, ThreeC, none)
		if err != nil || th.Call != c.want || th.Now.Call != Go || math.Abs(th.Lowest.MarginK-c.margin) > 0.005 {
			t.Errorf("lowest %g °C: %+v, %v; want %v at %+.2f", c.lowest, th, err, c.want, c.margin)
		}
	}
	if _, err := JudgeThrough(15, math.NaN(), 19, 0.58, ThreeC, none); err == nil || !strings.Contains(err.Error(), "lowest expected slab") {
		t.Errorf("no lowest temperature: %v; want an error that names it", err)
	}
	if _, err := JudgeThrough(math.NaN(), 12, 19, 0.58, ThreeC, none); err == nil {
		t.Error("no slab temperature is judged")
	}
}

func TestJudgeRefuses(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		slab, air, rh float64
		rule          Rule
		err           Instruments
		says          string
	}{
		{nan, 17, 0.7, ThreeC, Instruments{}, "slab temperature"},
		{300, 17, 0.7, ThreeC, Instruments{}, "slab temperature"},
		{14, nan, 0.7, ThreeC, Instruments{}, "air temperature"},
		{14, 17, 70, ThreeC, Instruments{}, "relative humidity"},
		{14, 17, 0.7, 0, Instruments{}, "dew margin rule"},
		{14, 17, 0.7, Rule(nan), Instruments{}, "dew margin rule"},
		{14, 17, 0.7, ThreeC, Instruments{SlabC: -1}, "slab thermometer"},
		{14, 17, 0.7, ThreeC, Instruments{AirC: nan}, "air thermometer"},
		{14, 17, 0.7, ThreeC, Instruments{RH: math.Inf(1)}, "hygrometer"},
	} {
		if v, err := Judge(c.slab, c.air, c.rh, c.rule, c.err); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("Judge(%+v) = %v, %v; want an error about %q", c, v, err, c.says)
		}
	}
}

// A warmer slab, drier air or better instruments never make the answer worse.
func TestJudgeIsMonotone(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		slab := rapid.Float64Range(-10, 40).Draw(rt, "slab")
		airC := rapid.Float64Range(-10, 45).Draw(rt, "air")
		rh := rapid.Float64Range(0.1, 1).Draw(rt, "rh")
		i := Instruments{rapid.Float64Range(0, 2).Draw(rt, "es"), rapid.Float64Range(0, 2).Draw(rt, "ea"), rapid.Float64Range(0, 0.05).Draw(rt, "er")}
		base, err := Judge(slab, airC, rh, ThreeC, i)
		if err != nil {
			rt.Fatal(err)
		}
		warmer, _ := Judge(slab+1, airC, rh, ThreeC, i)
		better, _ := Judge(slab, airC, rh, ThreeC, Instruments{i.SlabC / 2, i.AirC / 2, i.RH / 2})
		easier, _ := Judge(slab, airC, rh, FiveF, i)
		if warmer.Call > base.Call || better.Call > base.Call || easier.Call > base.Call {
			rt.Errorf("%v; warmer %v, better instruments %v, easier rule %v", base, warmer, better, easier)
		}
	})
}

func at(hours float64) time.Time {
	return time.Date(2031, 3, 4, 6, 0, 0, 0, time.UTC).Add(time.Duration(hours * float64(time.Hour)))
}

func TestTrend(t *testing.T) {
	// A slab warming by exactly half a degree an hour, readings out of order.
	d, err := Trend([]Sample{{at(2), 15}, {at(0), 14}, {at(1), 14.5}, {at(4), 16}})
	if err != nil || math.Abs(d.PerHour-0.5) > 1e-9 || d.N != 4 || d.Over != 4*time.Hour || d.Direction != Rising {
		t.Errorf("%+v, %v; want 0.5 an hour, rising", d, err)
	}
	if got := d.At(at(6)); math.Abs(got-17) > 1e-9 {
		t.Errorf("two hours on %g, want 17", got)
	}
	// By hand: 0, 1, 0 at hours 0, 1, 2. Slope 0, residuals −1/3, 2/3, −1/3, s² = 2/3,
	// Sxx = 2, standard error √(1/3).
	d, err = Trend([]Sample{{at(0), 0}, {at(1), 1}, {at(2), 0}})
	if err != nil || math.Abs(d.PerHour) > 1e-12 || math.Abs(d.SE-math.Sqrt(1.0/3)) > 1e-9 || d.Direction != Level {
		t.Errorf("%+v, %v; want 0 ± √(1/3), level", d, err)
	}
	// Student's t for 1 degree of freedom is 12.706 (any table): 0, 1.1, 2 rises
	// (slope 1, error 0.0577, ratio 17.3) and 0, 1.2, 2 does not (0.1155, 8.66).
	for mid, want := range map[float64]Direction{1.1: Rising, 1.2: Level} {
		d, err = Trend([]Sample{{at(0), 0}, {at(1), mid}, {at(2), 2}})
		if err != nil || d.Direction != want || math.Abs(d.SE-(mid-1)/math.Sqrt(3)) > 1e-9 {
			t.Errorf("0, %g, 2: %+v, %v; want %v", mid, d, err, want)
		}
		down, err := Trend([]Sample{{at(0), 0}, {at(1), -mid}, {at(2), -2}})
		if err != nil || (down.Direction == Falling) != (want == Rising) || down.Direction == Rising {
			t.Errorf("0, %g, -2: %+v, %v", -mid, down, err)
		}
	}
	// Two readings give a slope and no more.
	d, err = Trend([]Sample{{at(0), 14}, {at(0.5), 15}})
	if err != nil || math.Abs(d.PerHour-2) > 1e-9 || !math.IsNaN(d.SE) || d.Direction != Level {
		t.Errorf("%+v, %v; want 2 an hour without an error", d, err)
	}
	for _, bad := range [][]Sample{nil, {{at(0), 1}}, {{at(0), 1}, {at(0), 2}}, {{at(0), 1}, {at(1), math.NaN()}}} {
		if d, err := Trend(bad); err == nil || !strings.HasPrefix(err.Error(), "trend: ") {
			t.Errorf("Trend(%v) = %+v, %v; want an error", bad, d, err)
		}
	}
}

// The trend is the line fit that NIST's data certify, with hours for x.
func TestTrendIsTheFit(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var readings []Sample
		var x, y []float64
		for i := range rapid.IntRange(3, 12).Draw(rt, "n") {
			v := rapid.Float64Range(5, 30).Draw(rt, "v")
			readings = append(readings, Sample{at(float64(i) / 4), v})
			x, y = append(x, float64(i)/4), append(y, v)
		}
		d, err := Trend(readings)
		l, err2 := stats.Fit(x, y)
		if err != nil || err2 != nil || math.Abs(d.PerHour-l.Slope) > 1e-9 || math.Abs(d.SE-l.SlopeSE) > 1e-9 {
			rt.Errorf("trend %+v, fit %+v, %v %v", d, l, err, err2)
		}
	})
}
